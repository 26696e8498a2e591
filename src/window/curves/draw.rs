//! The sheets of the curves: lines, limits and the map of stability.

use egui::{Align2, Stroke, Ui};

use super::family::{self, LOADS, Look, Looked, MOST_W, Member, Read};
use crate::analysis::{
    CurvePoint, Curves, Endurance, LockUpCurve, Mechanism, ReliefCapacity, StabilityMap,
};
use crate::service::LIMITS;
use crate::units::{PA_PER_INWC, W_PER_BTU_PER_H};
use crate::window::desk::Desk;
use crate::window::look::plots::{Axes, Sheet, pressure_ink, range, value_at};
use crate::window::look::show::{Units, grouped};
use crate::window::look::theme::{Theme, plain};

/// Share of a sheet that stays free beyond the ends of its lines.
const MARGIN: f64 = 0.06;

/// The shortest axis of loads \[W\]: 10,000 Btu/h, one burner.
const LEAST_W: f64 = 10_000.0 * W_PER_BTU_PER_H;

/// A draw that counts as one \[W\]: a few hundred Btu/h.
const DRAWN_W: f64 = 50.0;

/// Load in thousand Btu/h or kW.
fn load_of(units: Units, watt: f64) -> f64 {
    match units {
        Units::Us => 1e-3 * watt / W_PER_BTU_PER_H,
        Units::Si => 1e-3 * watt,
    }
}

/// Its unit.
fn load_unit(units: Units) -> &'static str {
    match units {
        Units::Us => "thousand Btu/h",
        Units::Si => "kW",
    }
}

/// From where to where the band of flow pressure holds, of burners that take so much together \[W\].
fn band_w(rated_w: f64) -> [f64; 2] {
    [0.5 * rated_w, rated_w]
}

/// The values of all lines, across or up.
fn all(members: &[Member], axis: usize) -> impl Iterator<Item = f64> {
    let lines = members.iter().flat_map(|m| &m.branches);
    lines.flatten().map(move |p| p[axis])
}

/// Inks of a family of lines, told apart by lightness and named in the key.
fn family_ink(t: &Theme, k: usize, count: usize) -> egui::Color32 {
    let share = k as f64 / (count.max(2) - 1) as f64;
    // From brass to the gas's blue.
    let (a, b) = (t.opens, t.gas(if t.dark { 3e5 } else { 9e5 }));
    a.lerp_to_gamma(b, share as f32)
}

/// How a family of curves is looked at.
#[derive(Debug, Clone, Copy, Default)]
pub struct View {
    /// Which of its lines.
    pub looked: Looked,
    /// Whether what each line reads over the first one is drawn, and not what it reads.
    pub difference: bool,
}

/// What a line reads over another at its own loads; nothing where the other has no point.
fn over(line: &[[f64; 2]], first: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let points = line.iter();
    let over = |p: &[f64; 2]| Some([p[0], p[1] - value_at(first, p[0])?]);
    points.filter_map(over).collect()
}

/// The two ways to look at outlets against load: lines of one regulator at many container pressures nearly lie on one another.
pub(super) fn ways_ui(ui: &mut Ui, desk: &Desk<'_>, c: &Curves, view: &mut View) {
    let Some((first_pa, _)) = c.lines.first() else {
        return;
    };
    let over = format!("Over that at {}", desk.units.high(*first_pa));
    for (difference, words) in [(false, "Outlet"), (true, &over)] {
        let on = view.difference == difference;
        if ui.selectable_label(on, words).clicked() {
            view.difference = difference;
        }
    }
}

pub(super) fn flow_ui(ui: &mut Ui, desk: &Desk<'_>, high: f32, c: &Curves, view: &mut View) {
    let (t, u) = (desk.theme, desk.units);
    let branches = |points: &[CurvePoint]| -> Vec<Vec<[f64; 2]>> {
        let of = |up: bool| {
            let value = |q: &CurvePoint| if up { q.rising_pa } else { q.falling_pa };
            let at = |q: &CurvePoint| [load_of(u, q.load_w), u.low(value(q)).value];
            points.iter().map(at).collect()
        };
        vec![of(true), of(false)]
    };
    let first = c.lines.first().map(|(_, points)| branches(points));
    let difference = first.filter(|_| view.difference);
    let members: Vec<Member> = c
        .lines
        .iter()
        .enumerate()
        .map(|(k, (pa, points))| {
            let mut branches = branches(points);
            if let Some(first) = &difference {
                let each = branches.iter().zip(first);
                branches = each.map(|(line, first)| over(line, first)).collect();
            }
            Member {
                name: u.high(*pa).to_string(),
                ink: family_ink(t, k, c.lines.len()),
                look: Look::Marked(k),
                branches,
            }
        })
        .collect();
    let n = &desk.snap.readings;
    let lowest = u.low(LIMITS.flow.low - 0.2 * PA_PER_INWC);
    // The rig stands at an outlet, and at no difference of two.
    let stands = if difference.is_some() {
        f64::NAN
    } else {
        u.low(n.outlet_pa).value
    };
    let now = [load_of(u, n.flow_w), stands];
    // Lines that break off early have the whole width.
    let most = all(&members, 0)
        .fold(now[0], f64::max)
        .max(load_of(u, LEAST_W));
    let least = if difference.is_some() {
        0.0
    } else {
        lowest.value
    };
    let name = match c.lines.first() {
        Some((pa, _)) if difference.is_some() => format!("Outlet over that at {}", u.high(*pa)),
        _ => "Outlet".to_owned(),
    };
    let sheet = Sheet::begin(
        ui,
        &Axes {
            high,
            x: range([0.0, most], 0.02),
            y: range(all(&members, 1).chain([least]), MARGIN),
            across: &format!("load, {}", load_unit(u)),
            up: [&name, lowest.unit],
            rows: &[],
        },
        t,
    );
    if difference.is_none() {
        let (low, high) = (u.low(LIMITS.flow.low).value, u.low(LIMITS.flow.high).value);
        // The band is one of flow from half load of the burners to all of them; what is drawn beyond no limit speaks of.
        let rated_w: f64 = desk.snap.rig.appliances.iter().map(|a| a.input_w).sum();
        let across = band_w(rated_w).map(|watt| load_of(u, watt).min(most));
        sheet.patch(across, [low, high], t.band, Stroke::NONE);
    }
    let read = Read {
        heads: &["rising", "falling"],
        unit: load_unit(u),
    };
    family::draw(ui, &sheet, &members, &mut view.looked, now, &read, t);
}

pub(super) fn lock_up_ui(ui: &mut Ui, desk: &Desk<'_>, high: f32, c: &LockUpCurve) {
    let (t, u) = (desk.theme, desk.units);
    let points = c.points.iter();
    let line: Vec<[f64; 2]> = points
        .map(|[x, _, y]| [u.high(*x).value, u.low(*y).value])
        .collect();
    let across = range(line.iter().map(|p| p[0]), 0.0);
    let limits = [
        ("120 % of set:", &LIMITS.lock_up, t.caution),
        ("never above", &LIMITS.lock_up_caution, t.danger),
    ];
    let limits = limits.map(|(name, limit, ink)| {
        let high = u.low(limit.high);
        Member {
            ink,
            ..Member::limit(format!("{name} {high}"), across, high.value, t)
        }
    });
    let mut members = vec![Member {
        name: "lock-up".to_owned(),
        ink: pressure_ink(t),
        look: Look::Plain,
        branches: vec![line],
    }];
    members.extend(limits);
    let n = &desk.snap.readings;
    // Under load nothing is locked up: the rig has a place across and none up.
    let is_locked_up = n.demand_w <= 0.0 && n.flow_w < DRAWN_W;
    let stands = if is_locked_up {
        u.low(n.outlet_pa).value
    } else {
        f64::NAN
    };
    let now = [u.high(n.first.inlet_pa).value, stands];
    let lowest = u.low(LIMITS.flow.low);
    let unit = u.high(1e6).unit;
    let sheet = Sheet::begin(
        ui,
        &Axes {
            high,
            x: range(across.into_iter().chain([now[0]]), 0.02),
            y: range(all(&members, 1).chain([lowest.value, now[1]]), MARGIN),
            across: &format!("container, {unit}"),
            up: ["Outlet", lowest.unit],
            rows: &[],
        },
        t,
    );
    let read = Read { heads: &[], unit };
    let looked = &mut Looked::default();
    family::draw(ui, &sheet, &members, looked, now, &read, t);
}

pub(super) fn relief_ui(ui: &mut Ui, desk: &Desk<'_>, high: f32, c: &ReliefCapacity) {
    let (t, u) = (desk.theme, desk.units);
    let line = |case: bool| -> Vec<[f64; 2]> {
        let up = |q: &crate::analysis::ReliefPoint| if case { q.case_pa } else { q.outlet_pa };
        let points = c.points.iter();
        points
            .map(|q| [u.high(q.container_pa).value, u.high(up(q)).value])
            .collect()
    };
    let outlet = line(false);
    let across = range(outlet.iter().map(|p| p[0]), 0.0);
    let limit = u.high(LIMITS.relief.high);
    let members = [
        Member {
            name: "outlet".to_owned(),
            ink: pressure_ink(t),
            look: Look::Plain,
            branches: vec![outlet],
        },
        Member {
            name: "spring case".to_owned(),
            ink: t.steel,
            look: Look::Thin,
            branches: vec![line(true)],
        },
        Member::limit(format!("at most {limit}"), across, limit.value, t),
    ];
    let n = &desk.snap.readings;
    let now = [u.high(n.first.inlet_pa).value, u.high(n.outlet_pa).value];
    let sheet = Sheet::begin(
        ui,
        &Axes {
            high,
            x: range(across.into_iter().chain([now[0]]), 0.02),
            y: range(all(&members, 1).chain([0.0, now[1]]), MARGIN),
            across: &format!("container, {}", limit.unit),
            up: ["Gauge pressure", limit.unit],
            rows: &[],
        },
        t,
    );
    let read = Read {
        heads: &[],
        unit: limit.unit,
    };
    let looked = &mut Looked::default();
    family::draw(ui, &sheet, &members, looked, now, &read, t);
}

pub(super) fn endurance_ui(
    ui: &mut Ui,
    desk: &Desk<'_>,
    high: f32,
    c: &Endurance,
    view: &mut View,
) {
    let (t, u) = (desk.theme, desk.units);
    let mut air: Vec<f64> = c.points.iter().map(|q| q.air_k).collect();
    air.dedup();
    let members: Vec<Member> = air
        .iter()
        .enumerate()
        .map(|(k, air_k)| {
            let of_it = c.points.iter().filter(|q| q.air_k == *air_k);
            let held = of_it.filter_map(|q| Some([100.0 * q.fill, q.held_s? / 3600.0]));
            Member {
                name: u.temperature(*air_k).to_string(),
                ink: family_ink(t, k, air.len()),
                look: Look::Marked(k),
                branches: vec![held.collect()],
            }
        })
        .collect();
    let n = &desk.snap.readings;
    let fill = 100.0 * n.containers[n.service_side.min(n.containers.len() - 1)].fill;
    let sheet = Sheet::begin(
        ui,
        &Axes {
            high,
            x: range([0.0, 80.0], 0.02),
            y: range(all(&members, 1).chain([0.0]), MARGIN),
            across: "fill, %",
            up: ["Hours at", &u.heat(c.draw_w).to_string()],
            rows: &[],
        },
        t,
    );
    // The rig stands at a fill, and no line is its own: it has a place across and none up.
    let read = Read {
        heads: &[],
        unit: "% fill",
    };
    let looked = &mut view.looked;
    family::draw(ui, &sheet, &members, looked, [fill, f64::NAN], &read, t);
}

pub(super) fn stability_ui(ui: &mut Ui, desk: &Desk<'_>, high: f32, c: &StabilityMap) {
    let (t, u) = (desk.theme, desk.units);
    let mut pressures: Vec<f64> = c.points.iter().map(|q| q.container_pa).collect();
    pressures.dedup();
    let across = load_of(u, MOST_W) / LOADS as f64;
    let names: Vec<String> = pressures.iter().map(|p| u.high(*p).to_string()).collect();
    let sheet = Sheet::begin(
        ui,
        &Axes {
            high,
            x: [0.0, load_of(u, MOST_W) + 0.5 * across],
            y: [-0.5, pressures.len().max(1) as f64 - 0.5],
            across: &format!("load, {}", load_unit(u)),
            up: ["Container", "at each row"],
            rows: &names,
        },
        t,
    );
    for (k, q) in c.points.iter().enumerate() {
        let by = c.carrier(k).map_or("", Mechanism::label);
        let row = pressures
            .iter()
            .position(|pa| *pa == q.container_pa)
            .unwrap_or(0) as f64;
        // A cell reaches half way to its neighbours: what a rig draws at its most is less than was asked of it.
        let beside = |step: isize| {
            let near = k.checked_add_signed(step).and_then(|j| c.points.get(j));
            let near = near.filter(|r| r.container_pa == q.container_pa);
            near.map(|r| 0.5 * (load_of(u, r.load_w) + load_of(u, q.load_w)))
        };
        let x = load_of(u, q.load_w);
        let from = beside(-1).unwrap_or(x - 0.5 * across);
        let to = beside(1).unwrap_or(2.0 * x - from);
        let fill = if q.hunts() {
            t.accent_wash
        } else {
            t.card
                .lerp_to_gamma(t.band, (q.damping.min(0.5) * 2.0) as f32)
        };
        let cell = sheet.patch(
            [from, to],
            [row - 0.5, row + 0.5],
            fill,
            Stroke::new(1.0, t.edge),
        );
        let ink = if q.hunts() { t.danger } else { t.ink };
        let words = if q.hunts() {
            // Nothing carries it here.
            format!("hunts\n{} Hz", grouped(q.frequency_hz, 0))
        } else if q.frequency_hz > 0.0 {
            format!(
                "{}\n{} Hz\n{by}",
                grouped(q.damping, 2),
                grouped(q.frequency_hz, 0)
            )
        } else {
            "no swing".to_owned()
        };
        let painter = sheet.painter();
        let galley = painter.layout_no_wrap(words, plain(11.5), ink);
        let place = Align2::CENTER_CENTER.anchor_size(cell.center(), galley.size());
        painter.galley(place.min, galley, ink);
    }
}

#[cfg(test)]
mod tests {
    use super::over;

    #[test]
    fn a_line_over_another_is_read_at_its_own_loads_and_nowhere_else() {
        let first = [[0.0, 12.0], [10.0, 11.0]];
        let line = [[0.0, 12.5], [5.0, 11.75], [20.0, 10.0]];
        assert_eq!(over(&line, &first), [[0.0, 0.5], [5.0, 0.25]]);
        assert_eq!(over(&first, &first), [[0.0, 0.0], [10.0, 0.0]]);
        assert!(over(&line, &[]).is_empty());
    }
}
