//! The strokes of the curves: lines, limits and the map of stability.

use egui::{RichText, Ui};
use egui_plot::{
    Corner, Legend, Line, LineStyle, Plot, PlotPoint, PlotPoints, Points, Polygon, Text,
};

use super::family::{self, Member};
use super::{Kind, LOADS, MOST_W};
use crate::analysis::{
    CurvePoint, Curves, Endurance, LockUpCurve, Mechanism, ReliefCapacity, StabilityMap,
};
use crate::service::LIMITS;
use crate::units::{PA_PER_INWC, W_PER_BTU_PER_H};
use crate::window::app::Desk;
use crate::window::plots::present_point;
use crate::window::show::{Units, grouped};
use crate::window::theme::{Theme, plain};

/// Load in thousand Btu/h or kW, and its unit.
fn load_of(units: Units, watt: f64) -> f64 {
    match units {
        Units::Us => 1e-3 * watt / W_PER_BTU_PER_H,
        Units::Si => 1e-3 * watt,
    }
}

fn load_label(units: Units) -> &'static str {
    match units {
        Units::Us => "load, thousand Btu/h",
        Units::Si => "load, kW",
    }
}

/// Inks of a family of lines, told apart by lightness and named in the legend.
fn family_ink(t: &Theme, k: usize, count: usize) -> egui::Color32 {
    let share = k as f64 / (count.max(2) - 1) as f64;
    // From brass to the gas's blue.
    let (a, b) = (t.opens, t.gas(if t.dark { 3e5 } else { 9e5 }));
    a.lerp_to_gamma(b, share as f32)
}

fn legend() -> Legend {
    Legend::default()
        .position(Corner::LeftBottom)
        .follow_insertion_order(true)
}

pub(super) fn flow_ui(ui: &mut Ui, desk: &Desk<'_>, plot: Plot<'_>, c: &Curves) {
    let (t, u) = (desk.theme, desk.units);
    let members: Vec<Member> = c
        .lines
        .iter()
        .enumerate()
        .map(|(k, (pa, points))| {
            let of = |up: bool| {
                let value = |q: &CurvePoint| if up { q.rising_pa } else { q.falling_pa };
                let at = |q: &CurvePoint| [load_of(u, q.load_w), u.low(value(q)).value];
                points.iter().map(at).collect()
            };
            Member {
                name: u.high(*pa).to_string(),
                ink: family_ink(t, k, c.lines.len()),
                rising: of(true),
                falling: of(false),
            }
        })
        .collect();
    let n = &desk.snap.readings;
    let now = [load_of(u, n.flow_w), u.low(n.outlet_pa).value];
    let shown = plot
        .x_axis_label(load_label(u))
        .y_axis_label(format!("outlet, {}", u.low(1e3).unit))
        .include_y(u.low(LIMITS.flow.low - 0.2 * PA_PER_INWC).value)
        .show(ui, |p| {
            let right = load_of(u, MOST_W);
            let (low, high) = (u.low(LIMITS.flow.low).value, u.low(LIMITS.flow.high).value);
            p.polygon(
                Polygon::new(
                    "",
                    vec![[0.0, low], [right, low], [right, high], [0.0, high]],
                )
                .fill_color(t.band)
                .stroke(egui::Stroke::NONE)
                .allow_hover(false),
            );
            for (k, m) in members.iter().enumerate() {
                let line = |points: &[[f64; 2]]| {
                    Line::new(m.name.clone(), points.to_vec())
                        .color(m.ink)
                        .allow_hover(false)
                };
                p.line(line(&m.rising).width(1.6));
                p.line(line(&m.falling).width(1.0).style(LineStyle::dashed_dense()));
                p.points(
                    Points::new(m.name.clone(), family::marked(k, &m.rising))
                        .shape(family::mark(k))
                        .radius(4.5)
                        .color(m.ink)
                        .allow_hover(false),
                );
            }
            present_point(p, t, now);
        });
    let frame = *shown.transform.frame();
    let pointer = shown.response.hover_pos().filter(|at| frame.contains(*at));
    let x = pointer.map_or(now[0], |at| shown.transform.value_from_position(at).x);
    if let Some(at) = pointer {
        let hair = egui::Stroke::new(1.0, t.faint);
        ui.painter().vline(at.x, frame.y_range(), hair);
    }
    let what = if pointer.is_some() { "at" } else { "now, at" };
    let words = format!("{what} {} {}", grouped(x, 1), axes(Kind::Flow, u)[0]);
    family::key(ui.painter(), frame, &members, x, &words, t);
}

fn limit_line(p: &mut egui_plot::PlotUi<'_>, name: String, ends: [[f64; 2]; 2], t: &Theme) {
    p.line(
        Line::new(name, ends.to_vec())
            .color(t.danger)
            .width(1.2)
            .style(LineStyle::dashed_dense()),
    );
}

pub(super) fn lock_up_ui(ui: &mut Ui, desk: &Desk<'_>, plot: Plot<'_>, c: &LockUpCurve) {
    let (t, u) = (desk.theme, desk.units);
    plot.legend(legend())
        .x_axis_label(format!("container, {}", u.high(1e6).unit))
        .y_axis_label(format!("outlet, {}", u.low(1e3).unit))
        .include_y(u.low(LIMITS.flow.low).value)
        .show(ui, |p| {
            let line: PlotPoints<'_> = c
                .points
                .iter()
                .map(|[x, _, y]| [u.high(*x).value, u.low(*y).value])
                .collect();
            p.line(
                Line::new("lock-up", line)
                    .color(crate::window::plots::pressure_ink(t))
                    .width(2.0),
            );
            if let (Some(a), Some(b)) = (c.points.first(), c.points.last()) {
                let ends = [u.high(a[0]).value, u.high(b[0]).value];
                for limit in [LIMITS.lock_up, LIMITS.lock_up_caution] {
                    let y = u.low(limit.high).value;
                    let name = format!("at most {}", u.low(limit.high));
                    limit_line(p, name, ends.map(|x| [x, y]), t);
                }
            }
            let n = &desk.snap.readings;
            let at = [u.high(n.first.inlet_pa).value, u.low(n.outlet_pa).value];
            present_point(p, t, at);
        });
}

pub(super) fn relief_ui(ui: &mut Ui, desk: &Desk<'_>, plot: Plot<'_>, c: &ReliefCapacity) {
    let (t, u) = (desk.theme, desk.units);
    plot.legend(legend())
        .x_axis_label(format!("container, {}", u.high(1e6).unit))
        .y_axis_label(format!("gauge pressure, {}", u.high(1e4).unit))
        .include_y(0.0)
        .show(ui, |p| {
            let of = |case: bool| -> PlotPoints<'_> {
                c.points
                    .iter()
                    .map(|q| {
                        let y = if case { q.case_pa } else { q.outlet_pa };
                        [u.high(q.container_pa).value, u.high(y).value]
                    })
                    .collect()
            };
            let ink = crate::window::plots::pressure_ink(t);
            p.line(Line::new("outlet", of(false)).color(ink).width(2.0));
            p.line(Line::new("spring case", of(true)).color(t.steel).width(1.2));
            if let (Some(a), Some(b)) = (c.points.first(), c.points.last()) {
                let y = u.high(LIMITS.relief.high).value;
                let ends = [a, b].map(|q| [u.high(q.container_pa).value, y]);
                limit_line(
                    p,
                    format!("at most {}", u.high(LIMITS.relief.high)),
                    ends,
                    t,
                );
            }
        });
}

pub(super) fn endurance_ui(ui: &mut Ui, desk: &Desk<'_>, plot: Plot<'_>, c: &Endurance) {
    let (t, u) = (desk.theme, desk.units);
    let mut air: Vec<f64> = c.points.iter().map(|q| q.air_k).collect();
    air.dedup();
    plot.legend(legend().position(Corner::LeftTop))
        .x_axis_label("fill, %")
        .y_axis_label(format!("hours at {}", u.heat(c.draw_w)))
        .include_y(0.0)
        .show(ui, |p| {
            for (k, air_k) in air.iter().enumerate() {
                let line: PlotPoints<'_> = c
                    .points
                    .iter()
                    .filter(|q| q.air_k == *air_k)
                    .filter_map(|q| Some([100.0 * q.fill, q.held_s? / 3600.0]))
                    .collect();
                let ink = family_ink(t, k, air.len());
                p.line(
                    Line::new(u.temperature(*air_k).to_string(), line)
                        .color(ink)
                        .width(2.0),
                );
            }
        });
}

pub(super) fn stability_ui(ui: &mut Ui, desk: &Desk<'_>, plot: Plot<'_>, c: &StabilityMap) {
    let (t, u) = (desk.theme, desk.units);
    let mut pressures: Vec<f64> = c.points.iter().map(|q| q.container_pa).collect();
    pressures.dedup();
    let across = load_of(u, MOST_W) / LOADS as f64;
    let names: Vec<String> = pressures.iter().map(|p| u.high(*p).to_string()).collect();
    let name_of = move |mark: egui_plot::GridMark| {
        let i = mark.value.round();
        let near = (mark.value - i).abs() < 0.05 && i >= 0.0;
        near.then(|| names.get(i as usize).cloned())
            .flatten()
            .unwrap_or_default()
    };
    plot.x_axis_label(load_label(u))
        .y_axis_label("container")
        .y_axis_formatter(move |mark, _| name_of(mark))
        .y_grid_spacer(egui_plot::uniform_grid_spacer(|_| [1.0, 1.0, 1.0]))
        .show_grid([false, false])
        .show(ui, |p| {
            for (k, q) in c.points.iter().enumerate() {
                let by = c.carrier(k).map_or("", Mechanism::label);
                let row = pressures
                    .iter()
                    .position(|pa| *pa == q.container_pa)
                    .unwrap_or(0) as f64;
                let x = load_of(u, q.load_w);
                let (h, v) = (0.5 * across, 0.5);
                let cell = vec![
                    [x - h, row - v],
                    [x + h, row - v],
                    [x + h, row + v],
                    [x - h, row + v],
                ];
                let fill = if q.hunts() {
                    t.accent_wash
                } else {
                    t.card
                        .lerp_to_gamma(t.band, (q.damping.min(0.5) * 2.0) as f32)
                };
                p.polygon(
                    Polygon::new("", cell)
                        .fill_color(fill)
                        .stroke(egui::Stroke::new(1.0, t.edge))
                        .allow_hover(false),
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
                let text = RichText::new(words).font(plain(11.5));
                p.text(Text::new("", PlotPoint::new(x, row), text).color(ink));
            }
        });
}

/// Units of the two axes, across and up, for what the pointer reads.
pub(super) fn axes(kind: Kind, units: Units) -> [String; 2] {
    let load = match units {
        Units::Us => "thousand Btu/h",
        Units::Si => "kW",
    };
    let (low, high) = (units.low(1e3).unit, units.high(1e6).unit);
    let [across, up] = match kind {
        Kind::Flow => [load, low],
        Kind::LockUp => [high, low],
        Kind::Relief => [high, units.high(1e4).unit],
        Kind::Endurance => ["% fill", "hours"],
        Kind::Stability => [load, ""],
    };
    [across, up].map(str::to_owned)
}
