//! The digital manometer as drawn: case, port, and a display with its numbers, their last place and its range.

use egui::{Align2, Painter, Pos2, Rect, Stroke, StrokeKind, pos2, vec2};

use crate::service::{DigitalManometer, Shown};
use crate::window::look::show::{Units, grouped};
use crate::window::look::theme::{Theme, plain, strong};

/// Widest and highest case \[points\].
const CASE: (f32, f32) = (124.0, 128.0);
/// Height of the nipple on top of it \[points\].
const PORT: f32 = 9.0;

fn case(rect: Rect) -> Rect {
    let size = vec2(
        (rect.width() - 8.0).min(CASE.0),
        (rect.height() - PORT - 4.0).min(CASE.1),
    );
    Rect::from_min_size(
        pos2(rect.center().x - 0.5 * size.x, rect.top() + PORT),
        size,
    )
}

/// Where its hose goes on.
pub fn port(rect: Rect) -> Pos2 {
    pos2(case(rect).center().x, rect.top())
}

/// Draws it.
pub fn digital(painter: &Painter, rect: Rect, d: &DigitalManometer, units: Units, t: &Theme) {
    let case = case(rect);
    let nipple = Rect::from_min_max(
        pos2(case.center().x - 4.0, rect.top()),
        pos2(case.center().x + 4.0, case.top() + 2.0),
    );
    painter.rect(nipple, 1.0, t.brass, t.outline(), StrokeKind::Inside);
    painter.rect(
        case,
        7.0,
        t.rubber,
        Stroke::new(1.4, t.steel),
        StrokeKind::Inside,
    );
    let over = d.shown() == Shown::OverRange;
    let high = (0.52 * case.height()).min(58.0);
    let display = Rect::from_min_size(case.min + vec2(8.0, 8.0), vec2(case.width() - 16.0, high));
    painter.rect(
        display,
        2.0,
        t.card,
        Stroke::new(1.2, t.steel),
        StrokeKind::Inside,
    );
    let one = units.low_fine(1e3);
    let numbers = match d.shown() {
        Shown::Value(pa) => units.low_fine(pa).number(),
        Shown::OverRange => "OL".to_owned(),
    };
    let ink = if over { t.danger } else { t.ink };
    let size = (0.5 * high).min(26.0);
    let at = display.right_center() - vec2(7.0, 0.14 * high);
    painter.text(at, Align2::RIGHT_CENTER, numbers, strong(size), ink);
    let at = display.right_bottom() - vec2(7.0, 2.0);
    painter.text(at, Align2::RIGHT_BOTTOM, one.unit, plain(10.5), t.soft);
    // What it can do stands on its case, as on any instrument.
    let paper = if t.dark { t.soft } else { t.card };
    let places = units.low_fine(d.resolution_pa);
    let place = grouped(places.value, places.decimals);
    let most = grouped(units.low(d.range_pa).value, usize::from(one.unit == "kPa"));
    let below = display.bottom() + 6.0;
    if case.bottom() - below > 26.0 {
        for (k, words) in [format!("to {place}"), format!("0 to {most}")]
            .iter()
            .enumerate()
        {
            let at = pos2(case.center().x, below + 14.0 * k as f32);
            painter.text(at, Align2::CENTER_TOP, words, plain(10.5), paper);
        }
    } else if case.bottom() - below > 12.0 {
        let at = pos2(case.center().x, below - 2.0);
        let words = format!("0 to {most}");
        painter.text(at, Align2::CENTER_TOP, words, plain(10.5), paper);
    }
}
