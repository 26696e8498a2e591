//! The rules at the edges of every chart, as on a manometer: round steps, long strokes with numbers, short ones between;
//! and the ring that marks where a line is read. Knows no quantity and no time.

use egui::{Align2, Painter, Pos2, Rect, Stroke, pos2};

use crate::window::look::show::grouped;
use crate::window::look::theme::{Theme, plain};

/// Height of a number on a scale with a gap to the next: digits, which have nothing below the line \[points\].
const NUMBER_HIGH: f64 = 12.0;
/// Room that a number below a chart asks for \[points\].
const NUMBER_WIDE: f64 = 76.0;

/// Steps of 1, 2 or 5 that cut a range into about `wanted` parts.
pub fn nice_step(range: f64, wanted: f64) -> f64 {
    let raw = (range / wanted.max(1.0)).max(1e-12);
    let power = 10f64.powf(raw.log10().floor());
    let lead = raw / power;
    power
        * if lead <= 1.0 {
            1.0
        } else if lead <= 2.0 {
            2.0
        } else if lead <= 5.0 {
            5.0
        } else {
            10.0
        }
}

/// The next smaller of 1, 2, 2.5, 5: none is less than half of the one before.
fn next_smaller(step: f64) -> f64 {
    let power = 10f64.powf((step * 1.001).log10().floor());
    let lead = step / power;
    power
        * if lead > 4.9 {
            2.5
        } else if lead > 2.4 {
            2.0
        } else if lead > 1.9 {
            1.0
        } else {
            0.5
        }
}

/// A round step that puts about `wanted` numbers between `a` and `b`, and two at least where there is height for
/// two \[points\].
pub fn scale_step(a: f64, b: f64, wanted: f64, height: f64) -> f64 {
    let mut step = nice_step(b - a, wanted);
    let numbers = |step: f64| (b / step).floor() - (a / step).ceil() + 1.0;
    while numbers(step) < 2.0 {
        let next = next_smaller(step);
        if height * next / (b - a) < NUMBER_HIGH {
            break;
        }
        step = next;
    }
    step
}

/// The step of a rule of a height, and whether only the first and the last of its numbers are told: where two round ones next to
/// each other have no room, those two still say how large what lies between them is.
fn numbers_up(a: f64, b: f64, height: f64) -> (f64, bool) {
    let mut step = scale_step(a, b, (height / 24.0).max(2.0), height);
    let ends = |step: f64| [(a / step).ceil(), (b / step).floor()];
    let mut ends_only = false;
    // A range of no width, or of none at all, has no two numbers at any step.
    while ends(step)[1] - ends(step)[0] < 1.0 && step > 1e-3 * (b - a) {
        step = next_smaller(step);
        ends_only = true;
    }
    (step, ends_only)
}

/// Decimals of a rule with such steps.
fn decimals(step: f64) -> usize {
    let lead = step / 10f64.powf(step.log10().floor());
    // 2.5 has one more than 2.
    let half = u8::from((lead - 2.5).abs() < 1e-6);
    (f64::from(half) - step.log10().floor()).max(0.0) as usize
}

/// A manometer's rule at the left of a plot whose values run from `a` to `b`, with a line of the grid at each number.
pub fn rule_up(painter: &Painter, plot: Rect, [a, b]: [f64; 2], t: &Theme) {
    let height = f64::from(plot.height());
    let (step, ends_only) = numbers_up(a, b, height);
    let last = (b / step).floor();
    let first = (a / step).ceil();
    let y_at = |v: f64| plot.bottom() - plot.height() * ((v - a) / (b - a)) as f32;
    let rule = plot.left() - 3.0;
    painter.vline(rule, plot.y_range(), Stroke::new(1.0, t.faint));
    let parts = if height * step / (b - a) > 30.0 {
        5.0
    } else {
        2.0
    };
    let mut k = (a / step * parts).ceil();
    while k * step / parts <= b {
        let value = k * step / parts;
        let y = y_at(value);
        // Of two ends that would stand over each other the first is told.
        let has_room = f64::from(y_at(first * step) - y) >= NUMBER_HIGH;
        let named = |k: f64| !ends_only || k == first || (k == last && has_room);
        if k.rem_euclid(parts) == 0.0 && named(k / parts) {
            painter.hline(plot.x_range(), y, Stroke::new(1.0, t.grid));
            painter.hline(rule - 6.0..=rule, y, Stroke::new(1.2, t.soft));
            painter.text(
                pos2(rule - 8.0, y),
                Align2::RIGHT_CENTER,
                grouped(value, decimals(step)),
                plain(11.0),
                t.soft,
            );
        } else {
            painter.hline(rule - 3.0..=rule, y, Stroke::new(1.0, t.faint));
        }
        k += 1.0;
    }
}

/// The same below a plot whose values run from `a` to `b` across.
pub fn rule_across(painter: &Painter, plot: Rect, [a, b]: [f64; 2], t: &Theme) {
    let width = f64::from(plot.width());
    let step = nice_step(b - a, (width / NUMBER_WIDE).max(2.0));
    let rule = plot.bottom() + 3.0;
    painter.hline(plot.x_range(), rule, Stroke::new(1.0, t.faint));
    let parts = 5.0;
    let mut k = (a / step * parts).ceil();
    while k * step / parts <= b {
        let value = k * step / parts;
        let x = plot.left() + plot.width() * ((value - a) / (b - a)) as f32;
        if k.rem_euclid(parts) == 0.0 {
            painter.vline(x, plot.y_range(), Stroke::new(1.0, t.grid));
            painter.vline(x, rule..=rule + 6.0, Stroke::new(1.2, t.soft));
            painter.text(
                pos2(x, rule + 8.0),
                Align2::CENTER_TOP,
                grouped(value, decimals(step)),
                plain(11.0),
                t.soft,
            );
        } else {
            painter.vline(x, rule..=rule + 3.0, Stroke::new(1.0, t.faint));
        }
        k += 1.0;
    }
}

/// A ring on a line, brass in ink, as the index of a gauge.
pub fn ring(painter: &Painter, at: Pos2, faint: bool, t: &Theme) {
    let (radius, fill) = if faint { (2.5, t.card) } else { (3.6, t.brass) };
    painter.circle(at, radius, fill, Stroke::new(1.3, t.ink));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_are_round() {
        assert!((nice_step(6.0, 4.0) - 2.0).abs() < 1e-12);
        assert!((nice_step(0.9, 3.0) - 0.5).abs() < 1e-12);
        assert_eq!(
            [10.0, 2.0, 0.2, 0.05, 25.0, 2.5, 0.25].map(decimals),
            [0, 0, 1, 2, 0, 1, 2],
            "all numbers of an axis have as many"
        );
    }

    /// In a strip of a chart two numbers stand all the same, as far apart as a number is high.
    #[test]
    fn a_strip_has_two_numbers() {
        for (a, b) in [(-0.6, 15.3), (8.6, 14.7), (0.2, 15.0), (9.0, 80.0)] {
            for height in [20.0, 28.0, 36.0] {
                let (step, _) = numbers_up(a, b, height);
                let [first, last] = [(a / step).ceil(), (b / step).floor()];
                assert!(last > first, "{a} to {b} at {height}");
                let apart = height * step * (last - first) / (b - a);
                assert!(apart > 8.0, "{a} to {b} at {height}: {apart}");
            }
        }
    }

    /// One number on a scale says nothing about its size.
    #[test]
    fn a_scale_has_two_numbers_wherever_they_fit() {
        for (a, b) in [
            (9.2, 14.8),
            (8.6, 11.4),
            (-1.0, 1.0),
            (0.0, 0.23),
            (79.0, 81.9),
            // A first stage that has run up to the container's pressure.
            (9.0, 80.0),
            (7.3, 86.0),
            (70.0, 130.0),
            (-4.0, 83.0),
        ] {
            for height in [40.0, 47.0, 60.0, 90.0, 200.0] {
                let step = scale_step(a, b, (height / 24.0_f64).max(2.0), height);
                let numbers = (b / step).floor() - (a / step).ceil() + 1.0;
                assert!(numbers >= 2.0, "{a} to {b} at {height}: {numbers}");
                let apart = height * step / (b - a);
                assert!(
                    apart >= NUMBER_HIGH,
                    "{a} to {b} at {height}: {apart} points apart"
                );
            }
        }
    }
}
