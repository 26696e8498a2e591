//! The charts of an attempt that is gone through: what the gauges stood at with the acts on it, and how sure the readings
//! made of the true cause, the trainee's way beside the best. And of a look-alike what it would have shown beside what was
//! shown here.

use egui::{RichText, ScrollArea, Sense, Stroke, Ui, vec2};

use super::debrief::Debriefing;
use crate::drill::attempt::act::Act;
use crate::drill::attempt::rig_of;
use crate::drill::marking::grade::is_of;
use crate::service::LIMITS;
use crate::units::{inwc_to_pa, psi_to_pa};
use crate::window::desk::Desk;
use crate::window::look::plots::{Axes, Sheet, pressure_ink, range};
use crate::window::look::theme::{Theme, plain, strong};

/// Heights of the three charts \[points\].
const OUTLET: f32 = 165.0;
const FIRST: f32 = 130.0;
const SURE: f32 = 165.0;
/// Room of a digit of the number of an act, and between numbers and lines \[points\].
const DIGIT: f32 = 7.5;
const GAP: f32 = 3.0;
/// Height of the strip of a look-alike \[points\].
const STRIP: f32 = 16.0;

/// Draws them; the act whose moment is asked for by a click.
pub(super) fn show(ui: &mut Ui, desk: &Desk<'_>, d: &Debriefing) -> Option<usize> {
    let t = desk.theme;
    let mut asked = None;
    ScrollArea::vertical()
        .id_salt("charts of the attempt")
        .auto_shrink(false)
        .show(ui, |ui| {
            match &d.trace {
                Some(Ok(_)) => {}
                Some(Err(why)) => {
                    ui.label(RichText::new(why).font(plain(12.0)).color(t.caution));
                }
                None => {
                    let words = "The acts are done again on the rig with its true fault";
                    ui.label(RichText::new(words).font(plain(11.5)).color(t.soft));
                }
            }
            let clicked = [
                pressure_ui(ui, desk, d, Gauge::Outlet),
                sure_ui(ui, desk, d),
                pressure_ui(ui, desk, d, Gauge::First),
            ];
            asked = clicked.into_iter().flatten().next();
        });
    asked
}

/// Clock of all of it in minutes, the best path with it.
fn across(d: &Debriefing) -> [f64; 2] {
    let worked = d.entries.last().map_or(60.0, |e| e.end_s);
    [0.0, worked.max(60.0) / 60.0]
}

/// Least that a chart of pressure spans, in w.c. at the outlet and psi before it: less is no change to look at.
const LEAST: f64 = 0.5;

/// A range that spans so much at least, about its middle.
fn opened([low, high]: [f64; 2], least: f64) -> [f64; 2] {
    let more = (0.5 * (least - (high - low))).max(0.0);
    [low - more, high + more]
}

/// What a chart of pressure is of.
#[derive(Clone, Copy, PartialEq)]
enum Gauge {
    Outlet,
    First,
}

fn pressure_ui(ui: &mut Ui, desk: &Desk<'_>, d: &Debriefing, of: Gauge) -> Option<usize> {
    let Some(Ok(trace)) = &d.trace else {
        return None;
    };
    let (t, u) = (desk.theme, desk.units);
    let (name, high, points, least_pa) = match of {
        Gauge::Outlet => ("Outlet", OUTLET, &trace.outlet, inwc_to_pa(LEAST)),
        Gauge::First => ("First stage", FIRST, &trace.first, psi_to_pa(LEAST)),
    };
    let shown = |pa: f64| match of {
        Gauge::Outlet => u.low(pa),
        Gauge::First => u.high(pa),
    };
    let each = points.iter();
    let line: Vec<[f64; 2]> = each.map(|[s, pa]| [s / 60.0, shown(*pa).value]).collect();
    // From the least at a flow to the most at rest.
    let band = [LIMITS.flow.low, LIMITS.lock_up.high].map(|pa| shown(pa).value);
    let band = (of == Gauge::Outlet).then_some(band);
    let values = line.iter().map(|p| p[1]);
    let least = shown(least_pa).value - shown(0.0).value;
    let axes = Axes {
        high,
        x: across(d),
        y: opened(range(values.chain(band.into_iter().flatten()), 0.06), least),
        across: "minutes of the drill",
        up: [name, shown(1e5).unit],
        rows: &[],
    };
    let sheet = Sheet::begin(ui, &axes, t);
    if let Some(band) = band {
        sheet.patch(axes.x, band, t.band, Stroke::NONE);
    }
    let asked = acts_ui(ui, desk, d, &sheet);
    sheet.line(&line, Stroke::new(1.6, pressure_ink(t)), false);
    asked
}

/// The acts on a chart by their numbers, the one that is watched strong; the one that is clicked.
fn acts_ui(ui: &Ui, desk: &Desk<'_>, d: &Debriefing, sheet: &Sheet<'_>) -> Option<usize> {
    let (t, plot) = (desk.theme, sheet.plot());
    let watched = d.watched(desk.snap);
    let place = |end_s: f64| sheet.at([end_s / 60.0, 0.0]).x;
    // A number stands right of its line, and left of it at the edge; it takes so much of the chart.
    let taken = |x: f32, n: usize| {
        let wide = DIGIT * n.to_string().len() as f32;
        let at_edge = x + wide + 2.0 * GAP > plot.right();
        let from = if at_edge { x - GAP - wide } else { x + GAP };
        [from, from + wide]
    };
    let mut free_from = f32::NEG_INFINITY;
    let of_watched = d.entries.iter().find(|e| watched == Some(e.n));
    let kept = of_watched.map(|e| taken(place(e.end_s), e.n));
    let mut numbers = Vec::new();
    for (entry, line) in d.entries.iter().zip(&d.lines) {
        let (x, on) = (place(entry.end_s), watched == Some(entry.n));
        if line.is_thought && !on {
            continue;
        }
        let stroke = if on {
            Stroke::new(2.0, t.accent)
        } else {
            Stroke::new(1.0, t.faint)
        };
        sheet.painter().vline(x, plot.y_range(), stroke);
        // The room of the number that is watched is its own.
        let [from, to] = taken(x, entry.n);
        let is_free =
            from >= free_from && kept.is_none_or(|[a, b]| to + GAP <= a || from >= b + GAP);
        if on || is_free {
            numbers.push((from, entry.n, on));
            free_from = to + GAP;
        }
    }
    // Over the lines, on a ground of its own, so that none runs through it.
    for (from, n, on) in numbers {
        let font = if on { strong(12.0) } else { plain(11.0) };
        let ink = if on { t.accent } else { t.soft };
        let painter = sheet.painter();
        let galley = painter.layout_no_wrap(n.to_string(), font, ink);
        let at = egui::pos2(from, plot.top() + 1.0);
        let ground = egui::Rect::from_min_size(at, galley.size());
        painter.rect_filled(ground, 0.0, t.card);
        painter.galley(at, galley, ink);
    }
    if d.is_above(desk.snap) && watched.is_some() {
        sheet.index(desk.snap.readings.time_s.min(60.0 * across(d)[1]) / 60.0);
    }
    let id = ui.scope_id().with(("act of a chart", plot.top() as i32));
    let response = ui.interact(plot, id, Sense::click());
    let at = response
        .interact_pointer_pos()
        .filter(|_| response.clicked())?;
    let off = |end_s: f64| (place(end_s) - at.x).abs();
    let near = d
        .entries
        .iter()
        .min_by(|a, b| off(a.end_s).total_cmp(&off(b.end_s)))?;
    Some(near.n)
}

/// How sure the readings made, step by step; dashed the best path; rings for what was suspected.
fn sure_ui(ui: &mut Ui, desk: &Desk<'_>, d: &Debriefing) -> Option<usize> {
    let t = desk.theme;
    let found = d.found.as_ref()?;
    let own = d.entries.iter().zip(&found.steps);
    let own = steps(own.map(|(e, s)| [e.end_s / 60.0, 100.0 * s.truth]));
    let mut clock = d.drill.onset_s() / 60.0;
    // Where this attempt was as sure in less there is no better one to be held against.
    let shown = if found.sooner.is_some() {
        &[][..]
    } else {
        &found.best[..]
    };
    let best = shown
        .iter()
        .zip(&found.best_took)
        .map(|((_, belief), took)| {
            clock += took;
            [clock, 100.0 * belief]
        });
    let best = steps(best.collect::<Vec<_>>().into_iter());
    let end = best.last().map_or(0.0, |p| p[0]).max(across(d)[1]);
    let axes = Axes {
        high: SURE,
        x: [0.0, end],
        y: [0.0, 105.0],
        across: "minutes of the drill",
        up: ["Belief in the true cause", "%"],
        rows: &[],
    };
    let sheet = Sheet::begin(ui, &axes, t);
    let asked = acts_ui(ui, desk, d, &sheet);
    sheet.line(&best, Stroke::new(1.8, t.steel), true);
    sheet.line(&own, Stroke::new(2.0, t.accent), false);
    let rig = rig_of(&d.drill).rig;
    for entry in d.entries.iter() {
        if let Ok(Act::Note(cause, sure)) = Act::parse(&entry.act, &rig) {
            let right = found.accepts.iter().any(|a| is_of(a, &cause));
            sheet.ring([entry.end_s / 60.0, 100.0 * sure], !right);
        }
    }
    let words = "Full line: by what was read; dashed: the best path; rings: what was suspected, small and empty where it was \
                 no part of it. Click on a chart to see the rig at that act";
    ui.label(RichText::new(words).font(plain(11.5)).color(t.soft));
    asked
}

/// Points as a line of steps, from nothing known on.
fn steps(points: impl Iterator<Item = [f64; 2]>) -> Vec<[f64; 2]> {
    let mut out: Vec<[f64; 2]> = Vec::new();
    for [x, y] in points {
        let before = out.last().map_or(0.0, |p| p[1]);
        if out.is_empty() {
            out.push([0.0, before]);
        }
        out.extend([[x, before], [x, y]]);
    }
    out
}

/// What a look-alike would have shown, a bar from mild to bad, beside what was shown here, a ring.
pub(super) fn beside_ui(ui: &mut Ui, t: &Theme, here: f64, there: &[f64]) {
    let [low, high] = range(there.iter().copied().chain([here]), 0.08);
    let (rect, response) =
        ui.allocate_exact_size(vec2(ui.available_width(), STRIP), Sense::hover());
    let painter = ui.painter_at(rect);
    let middle = rect.shrink2(vec2(5.0, 0.0));
    let x = |v: f64| middle.left() + middle.width() * ((v - low) / (high - low)) as f32;
    painter.hline(
        middle.x_range(),
        middle.center().y,
        Stroke::new(1.0, t.edge),
    );
    let places = there.iter().map(|v| x(*v));
    let (from, to) = places.fold((f32::MAX, f32::MIN), |(a, b), x| (a.min(x), b.max(x)));
    if from <= to {
        let bar = egui::Rect::from_x_y_ranges(
            from - 2.0..=to + 2.0,
            middle.center().y - 4.0..=middle.center().y + 4.0,
        );
        painter.rect_filled(bar, 2.0, t.steel);
    }
    let at = egui::pos2(x(here), middle.center().y);
    painter.circle(at, 4.5, t.brass, Stroke::new(1.3, t.ink));
    response.on_hover_text(
        "Ring: what it shows here. Bar: what the other would have shown, from mild to bad",
    );
}

#[cfg(test)]
mod tests {
    use super::steps;

    #[test]
    fn belief_stands_until_the_next_reading() {
        let line = steps([[1.0, 20.0], [3.0, 90.0]].into_iter());
        assert_eq!(
            line,
            [
                [0.0, 0.0],
                [1.0, 0.0],
                [1.0, 20.0],
                [3.0, 20.0],
                [3.0, 90.0]
            ]
        );
        assert_eq!(steps(std::iter::empty()), Vec::<[f64; 2]>::new());
    }
}
