//! The force balance of one diaphragm: a signed bar for every force, with its number and the net.

use egui::{Align2, Painter, Pos2, Rect, Stroke, pos2, vec2};

use crate::rig::readings::DiaphragmForces;
use crate::window::show::grouped;
use crate::window::theme::{Theme, plain, strong};

/// Height of one row \[points\].
const ROW: f32 = 14.0;
/// Width of the picture \[points\].
pub const WIDTH: f32 = 246.0;
/// Water lighter than this takes no row \[N\].
const WORTH_A_ROW_N: f64 = 5e-4;

/// Forces under this share of the largest have a hollow bar, so many times as long; the row says so.
const SMALL: f64 = 0.04;
const MAGNIFIED: f64 = 20.0;
/// Under this share even the longer bar would not be seen.
const LEAST: f64 = 1e-3;

/// The forces with their names, in the order they are read; water only when it is there.
pub fn rows(forces: &DiaphragmForces) -> Vec<(&'static str, f64)> {
    let always = [
        ("gas below", forces.gas_n),
        ("spring", forces.spring_n),
        ("jet on seat", forces.jet_n),
        ("seat pushes back", forces.seat_n),
        ("friction", forces.friction_n),
        ("damping, stops", forces.damping_n + forces.stop_n),
    ];
    let water = ("water on top", forces.water_n);
    always
        .into_iter()
        .chain((water.1.abs() > WORTH_A_ROW_N).then_some(water))
        .collect()
}

/// What the net force does, in words.
pub fn verdict(net_n: f64) -> &'static str {
    if net_n.abs() < 2e-3 {
        "in balance"
    } else if net_n > 0.0 {
        "moves towards closed"
    } else {
        "moves towards open"
    }
}

/// Height of the card for so many rows.
pub fn height(rows: usize) -> f32 {
    ROW * rows as f32 + 38.0
}

/// Draws the picture with its top left corner at `at`; as a card of its own when it floats.
pub fn draw(
    painter: &Painter,
    at: Pos2,
    name: &str,
    forces: &DiaphragmForces,
    theme: &Theme,
    floats: bool,
) {
    let rows = rows(forces);
    let card = Rect::from_min_size(at, vec2(WIDTH, height(rows.len())));
    if floats {
        painter.rect(
            card.expand(10.0),
            8.0,
            theme.card,
            Stroke::new(1.0, theme.edge),
            egui::StrokeKind::Inside,
        );
    }
    let left = at.x;
    painter.text(
        pos2(left, at.y),
        Align2::LEFT_TOP,
        format!("On the {name}"),
        strong(11.5),
        theme.ink,
    );
    let zero = at.x + 96.0 + 40.0;
    let reach = 38.0;
    let head = at.y;
    painter.text(
        pos2(card.right(), head + 1.0),
        Align2::RIGHT_TOP,
        "← opens   closes →",
        plain(10.5),
        theme.soft,
    );
    let full = rows.iter().map(|(_, n)| n.abs()).fold(1e-3, f64::max);
    let mut y = head + 17.0;
    for (label, newton) in &rows {
        row(
            painter,
            (left, y),
            (zero, reach),
            label,
            *newton,
            full,
            theme,
        );
        y += ROW;
    }
    painter.vline(zero, head + 17.0..=y, Stroke::new(1.0, theme.faint));
    let net = forces.sum_n();
    painter.hline(left..=card.right(), y + 1.0, Stroke::new(1.0, theme.edge));
    painter.text(
        pos2(left, y + 4.0),
        Align2::LEFT_TOP,
        format!("net: {}", verdict(net)),
        strong(11.5),
        theme.ink,
    );
    painter.text(
        pos2(card.right(), y + 4.0),
        Align2::RIGHT_TOP,
        format!("{} N", grouped(net, 3)),
        strong(11.5),
        theme.ink,
    );
}

/// How many times longer than to scale a force's bar is; nothing worth a bar stays as it is.
fn magnified(newton: f64, full: f64) -> f64 {
    let small = (LEAST * full..SMALL * full).contains(&newton.abs());
    if small { MAGNIFIED } else { 1.0 }
}

fn row(
    painter: &Painter,
    (left, y): (f32, f32),
    (zero, reach): (f32, f32),
    label: &str,
    newton: f64,
    full: f64,
    theme: &Theme,
) {
    painter.text(
        pos2(left, y),
        Align2::LEFT_TOP,
        label,
        plain(11.5),
        theme.soft,
    );
    let times = magnified(newton, full);
    let long = reach * (times * newton / full) as f32;
    let bar = Rect::from_two_pos(pos2(zero, y + 3.0), pos2(zero + long, y + 11.0));
    let color = if newton < 0.0 {
        theme.spring
    } else {
        theme.rubber
    };
    if times > 1.0 {
        // Paler, so that nobody holds it for a bar to scale; filled, so that a short one is no figure.
        painter.rect_filled(bar, 1.5, color.gamma_multiply(0.35));
        let edge = Stroke::new(1.0, color);
        painter.rect_stroke(bar, 1.5, edge, egui::StrokeKind::Inside);
        painter.text(
            // On the side that the bar leaves free.
            pos2(zero - 4.0 * newton.signum() as f32, y + 1.5),
            if newton < 0.0 {
                Align2::LEFT_TOP
            } else {
                Align2::RIGHT_TOP
            },
            format!("× {MAGNIFIED:.0}"),
            plain(10.0),
            theme.soft,
        );
    } else {
        painter.rect_filled(bar, 1.5, color);
    }
    let decimals = if newton.abs() < 1.0 { 3 } else { 2 };
    painter.text(
        pos2(left + WIDTH, y),
        Align2::RIGHT_TOP,
        format!("{} N", grouped(newton, decimals)),
        plain(11.5),
        theme.ink,
    );
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn small_forces_have_a_longer_bar_that_never_passes_the_scale() {
        assert_eq!(magnified(16.0, 16.0), 1.0);
        assert_eq!(magnified(-0.132, 16.0), MAGNIFIED);
        assert_eq!(magnified(0.0, 16.0), 1.0);
        const { assert!(MAGNIFIED * SMALL <= 1.0) };
    }

    #[test]
    fn small_forces_take_no_row_and_the_net_is_said() {
        let mut f = DiaphragmForces {
            gas_n: 15.5,
            spring_n: -15.5,
            ..DiaphragmForces::default()
        };
        assert_eq!(rows(&f).len(), 6);
        assert_eq!(verdict(f.sum_n()), "in balance");
        f.water_n = -0.4;
        assert_eq!(rows(&f).len(), 7);
        assert_eq!(verdict(f.sum_n()), "moves towards open");
    }
}
