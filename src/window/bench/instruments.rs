//! The instruments as drawn: a U-tube of water with its two menisci, a dial with its pointer. The digital one stands beside.

use egui::{Align2, Painter, Pos2, Rect, Shape, Stroke, pos2, vec2};

use super::digital::digital;
use crate::service::{Device, DialGauge, Manometer, Shown};
use crate::window::cutaway::draw::smooth;
use crate::window::look::show::{Units, grouped};
use crate::window::look::theme::{Theme, plain, strong};
use crate::window::look::within::within;

/// Half the distance between the legs of the tube \[points\].
const LEG: f32 = 25.0;
/// Half the bore of the tube \[points\].
const BORE: f32 = 4.5;
/// Room over the tube for its hose, and for the word over its open mouth \[points\].
const HEADROOM: f32 = 15.0;
/// A dial of less than this radius has room for few numbers \[points\].
const SMALL_DIAL: f32 = 46.0;
/// A dial of less than this has room for none \[points\].
const LEAST_DIAL: f32 = 27.0;
/// How far the pointer swings \[radians\]: three quarters of a turn.
const SWEEP: f32 = 1.5 * std::f32::consts::PI;

/// What is read, in words.
pub fn reading(device: &Device, units: Units) -> String {
    match device.shown() {
        Shown::Value(pa) if matches!(device, Device::Digital(_)) => units.low_fine(pa).to_string(),
        Shown::Value(pa) if device.is_low() => units.low(pa).to_string(),
        // No more digits than the dial has.
        Shown::Value(pa) => {
            let mut shown = units.high(pa);
            if units.high(device.division_pa()).value >= 1.0 {
                shown.decimals = 0;
            }
            shown.to_string()
        }
        Shown::OverRange => "over its range".to_owned(),
    }
}

/// How finely it is read, in words: "read to 2 psig". A gauge for a container's pressure does not tell tenths.
pub fn fineness(device: &Device, units: Units) -> String {
    let pa = device.division_pa();
    let mut shown = match device {
        Device::Digital(_) => units.low_fine(pa),
        _ if device.is_low() => units.low(pa),
        _ => units.high(pa),
    };
    if shown.value >= 1.0 && shown.value.fract() < 1e-6 {
        shown.decimals = 0;
    }
    format!("read to {shown}")
}

/// Draws an instrument of any kind.
pub fn face(painter: &Painter, rect: Rect, device: &Device, units: Units, t: &Theme) {
    match device {
        Device::Manometer(m) => manometer(painter, rect, m, units, t),
        Device::Digital(d) => digital(painter, rect, d, units, t),
        Device::Dial(g) => dial(painter, rect, g, units, t),
    }
}

/// Steps of 1, 2 or 5 that cut a range into at most `most` parts.
fn step_of(range: f64, most: f64) -> f64 {
    let raw = range / most;
    let power = 10f64.powf(raw.log10().floor());
    [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|lead| lead * power)
        .find(|step| *step >= raw * (1.0 - 1e-9))
        .unwrap_or(10.0 * power)
}

/// A U-tube open to the air at the right, the gauge hose at the left.
fn manometer(painter: &Painter, rect: Rect, m: &Manometer, units: Units, t: &Theme) {
    let x = rect.center().x;
    let bottom = rect.bottom() - LEG - 4.0;
    let top = rect.top() + HEADROOM;
    let middle = 0.5 * (top + bottom) + 2.0;
    let per_pa = (f64::from(bottom - middle - 2.0) / (0.5 * m.range_pa)) as f32;
    let blown = m.shown() == Shown::OverRange;
    let half = 0.5 * within(m.level_pa(), -m.range_pa, m.range_pa) as f32 * per_pa;
    let (left_y, right_y) = (middle + half, middle - half);
    tube(painter, x, top, bottom, t);
    if !blown {
        water(painter, x, bottom, [left_y, right_y], t);
    }
    scale(painter, x, middle, per_pa, m, units, t);
    // The hose ends in a sleeve over the left leg; the right one is open, and says so over its mouth.
    let leg = pos2(x - LEG, top);
    painter.add(Shape::line(
        smooth(&[leg + vec2(0.0, -4.0), leg + vec2(-3.0, -10.0), port(rect)]),
        Stroke::new(3.0, t.rubber),
    ));
    let sleeve = Rect::from_center_size(leg, vec2(2.0 * BORE + 5.0, 9.0));
    painter.rect(
        sleeve,
        2.0,
        t.rubber,
        Stroke::new(1.0, t.ink),
        egui::StrokeKind::Inside,
    );
    let mouth = pos2(x + LEG, top);
    for side in [-1.0, 1.0] {
        let wall = mouth + vec2(side * BORE, 0.0);
        let lip = [wall, wall + vec2(side * 2.5, -2.0)];
        painter.line_segment(lip, Stroke::new(1.2, t.steel));
    }
    painter.text(
        mouth - vec2(0.0, 2.0),
        Align2::CENTER_BOTTOM,
        "open",
        plain(10.5),
        t.soft,
    );
}

/// Where a hose comes to a manometer.
pub fn port(rect: Rect) -> Pos2 {
    pos2(rect.center().x - LEG - 22.0, rect.top() + 3.0)
}

/// Points of the bend, from the left leg to the right, at a distance from its middle line.
fn bend(x: f32, bottom: f32, radius: f32) -> Vec<Pos2> {
    (0..=16)
        .map(|i| {
            let a = std::f32::consts::PI * (1.0 - i as f32 / 16.0);
            pos2(x + radius * a.cos(), bottom + radius * a.sin())
        })
        .collect()
}

fn tube(painter: &Painter, x: f32, top: f32, bottom: f32, t: &Theme) {
    for radius in [LEG - BORE, LEG + BORE] {
        let mut wall = vec![pos2(x - radius, top)];
        wall.extend(bend(x, bottom, radius));
        wall.push(pos2(x + radius, top));
        painter.add(Shape::line(wall, Stroke::new(1.2, t.steel)));
    }
}

/// Water in both legs and the bend, with a meniscus that climbs the glass.
fn water(painter: &Painter, x: f32, bottom: f32, [left_y, right_y]: [f32; 2], t: &Theme) {
    let inner = BORE - 0.6;
    let mut middle = vec![pos2(x - LEG, left_y.min(bottom))];
    middle.extend(bend(x, bottom, LEG));
    middle.push(pos2(x + LEG, right_y.min(bottom)));
    painter.add(Shape::line(middle, Stroke::new(2.0 * inner, t.frost)));
    for (leg, y) in [(x - LEG, left_y), (x + LEG, right_y)] {
        let cup: Vec<Pos2> = (0..=8)
            .map(|i| {
                let u = i as f32 / 4.0 - 1.0;
                pos2(leg + u * inner, y - 2.6 * u * u + 1.0)
            })
            .collect();
        // The water's corners, up to the meniscus.
        for side in [0, 8] {
            let corner = cup[side];
            painter.add(Shape::convex_polygon(
                vec![corner, pos2(leg, y + 1.0), pos2(corner.x, y + 1.0)],
                t.frost,
                Stroke::NONE,
            ));
        }
        painter.add(Shape::line(cup, Stroke::new(1.4, t.ink)));
    }
}

fn scale(
    painter: &Painter,
    x: f32,
    middle: f32,
    per_pa: f32,
    m: &Manometer,
    units: Units,
    t: &Theme,
) {
    let pa_per_unit = 1e3 / units.low(1e3).value;
    let half = 0.5 * m.range_pa / pa_per_unit;
    // Every other line is named, so two must leave room for a number.
    let room = 0.5 * m.range_pa * f64::from(per_pa) / 6.5;
    let step = step_of(half, room.clamp(1.0, 8.0));
    let count = (half / step + 1e-9).floor() as i32;
    for i in -count..=count {
        let y = middle - (f64::from(i) * step * pa_per_unit) as f32 * per_pa;
        let named = i % 2 == 0;
        // At the legs, where the water is read: beside a figure a line reads as a minus.
        let (leg, long) = (LEG - BORE - 1.0, if named { 5.0 } else { 3.0 });
        let stroke = Stroke::new(if i == 0 { 1.4 } else { 0.8 }, t.faint);
        for side in [-1.0, 1.0] {
            let ends = [leg, leg - long].map(|off| pos2(x + side * off, y));
            painter.line_segment(ends, stroke);
        }
        if named {
            let value = f64::from(i.abs()) * step;
            let text = grouped(value, usize::from(step < 1.0));
            let galley = painter.layout_no_wrap(text, plain(10.5), t.soft);
            let at = pos2(x, y) - 0.5 * galley.size();
            painter.rect_filled(
                Rect::from_min_size(at, galley.size()).shrink2(vec2(0.0, 2.0)),
                0.0,
                t.card,
            );
            painter.galley(at, galley, t.soft);
        }
    }
}

/// A round gauge.
fn dial(painter: &Painter, rect: Rect, g: &DialGauge, units: Units, t: &Theme) {
    let radius = (0.5 * rect.width().min(rect.height()) - 7.0).min(66.0);
    let c = pos2(rect.center().x, rect.top() + radius + 4.0);
    painter.rect(
        Rect::from_center_size(c + vec2(0.0, radius + 4.0), vec2(13.0, 12.0)),
        1.5,
        t.body,
        t.outline(),
        egui::StrokeKind::Inside,
    );
    painter.circle(c, radius, t.well, Stroke::new(4.0, t.steel));
    painter.circle(c, radius - 5.0, t.card, Stroke::new(0.8, t.edge));
    let low = g.range_pa < 9e3;
    let one = if low { units.low(1e3) } else { units.high(1e3) };
    let range = g.range_pa * one.value / 1e3;
    let at = |share: f64| {
        let a = -1.25 * std::f32::consts::PI + SWEEP * share as f32;
        vec2(a.cos(), a.sin())
    };
    let (major, minor) = (step_of(range, 7.0), step_of(range, 7.0) / 5.0);
    for i in 0..=(range / minor + 1e-6).floor() as i32 {
        let share = f64::from(i) * minor / range;
        let named = i % 5 == 0;
        let (out, inward) = (radius - 7.0, if named { 9.0 } else { 5.0 });
        let d = at(share);
        // On a small dial numbers stand in the place of their lines, and of many every other; on the smallest there are none, and the
        // reading stands below.
        let small = radius <= SMALL_DIAL;
        let sparse = range / major > 4.0 + 1e-6;
        let told = named && (!small || (radius > LEAST_DIAL && (!sparse || i % 10 == 0)));
        if !(small && told) {
            painter.line_segment(
                [c + d * out, c + d * (out - inward)],
                Stroke::new(if named { 1.3 } else { 0.7 }, t.ink),
            );
        }
        if told {
            let text = grouped(f64::from(i) * minor, usize::from(major < 1.0));
            let inset = if small { 6.0 } else { 18.0 };
            painter.text(
                c + d * (out - inset),
                Align2::CENTER_CENTER,
                text,
                plain(if small { 9.5 } else { 10.5 }),
                t.soft,
            );
        }
    }
    if radius > SMALL_DIAL {
        painter.text(
            c + vec2(0.0, 0.62 * radius),
            Align2::CENTER_CENTER,
            one.unit,
            plain(10.5),
            t.soft,
        );
    }
    let over = g.shown() == Shown::OverRange;
    let share = if over {
        1.02
    } else {
        g.pointer_pa() / g.range_pa
    };
    let d = at(share);
    let side = vec2(-d.y, d.x);
    painter.add(Shape::convex_polygon(
        vec![
            c + d * (radius - 12.0),
            c + side * 2.4,
            c - d * 13.0,
            c - side * 2.4,
        ],
        if over { t.danger } else { t.accent },
        Stroke::NONE,
    ));
    painter.circle_filled(c, 4.5, t.steel);
}

/// What is read, under an instrument.
pub fn words_under(painter: &Painter, at: Pos2, text: &str, warn: bool, t: &Theme) {
    painter.text(
        at,
        Align2::CENTER_TOP,
        text,
        strong(14.0),
        if warn { t.danger } else { t.ink },
    );
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scales_are_cut_in_round_steps() {
        assert_eq!(step_of(300.0, 7.0), 50.0);
        assert_eq!(step_of(15.0, 7.0), 5.0);
        assert_eq!(step_of(8.0, 8.0), 1.0);
        assert_eq!(step_of(35.0, 7.0), 5.0);
    }
}
