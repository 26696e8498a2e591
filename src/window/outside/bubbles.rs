//! Leak fluid and its bubbles, and gas that makes the air shimmer where it rushes out.

use egui::{Painter, Pos2, Shape, Stroke, Vec2, vec2};

use crate::service::Bubbles;
use crate::window::cutaway::draw::scatter;
use crate::window::look::theme::Theme;

/// How long a bubble lives where they come one by one, and in a string \[s\].
const LIFE_S: (f32, f32) = (3.0, 1.1);

/// Leak fluid on a place, so large \[points\].
pub fn fluid(painter: &Painter, at: Pos2, size: f32, bubbles: Bubbles, clock_s: f64, t: &Theme) {
    let clock = clock_s as f32;
    let film = t.water.gamma_multiply(0.30);
    painter.add(Shape::ellipse_filled(at, vec2(1.25, 0.75) * size, film));
    painter.add(Shape::ellipse_stroke(
        at,
        vec2(1.25, 0.75) * size,
        Stroke::new(1.0, t.water),
    ));
    match bubbles {
        Bubbles::None => {
            // Wet, and nothing else: a run of it hangs down.
            let end = at + vec2(0.5 * size, 1.25 * size);
            painter.line_segment(
                [at + vec2(0.5 * size, 0.5 * size), end],
                Stroke::new(2.0, film),
            );
            super::metal::drop(painter, end, 0.3 * size, t);
        }
        Bubbles::Slow => foam(painter, at, size, 3, LIFE_S.0, clock, t),
        Bubbles::Steady => foam(painter, at, size, 13, LIFE_S.1, clock, t),
        Bubbles::BlownOff => spray(painter, at, size, clock, t),
    }
}

/// Bubbles that grow, rise a little and burst.
fn foam(painter: &Painter, at: Pos2, size: f32, count: u32, life_s: f32, clock: f32, t: &Theme) {
    let skin = if t.dark { t.frost } else { t.card };
    for k in 0..count {
        let age = (clock / life_s + scatter(k + 21)).fract();
        let spread = vec2(scatter(k) - 0.5, scatter(k + 7) - 0.6) * vec2(2.0, 1.2) * size;
        let r = size * (0.16 + 0.36 * age * (0.6 + 0.4 * scatter(k + 3)));
        let c = at + spread * (0.4 + 0.6 * age) - vec2(0.0, 0.5 * size * age);
        painter.circle(c, r, skin.gamma_multiply(0.45), Stroke::new(1.2, t.water));
        painter.circle_filled(c - vec2(0.3, 0.35) * r, 0.22 * r, egui::Color32::WHITE);
    }
}

/// Fluid that is blown away.
fn spray(painter: &Painter, at: Pos2, size: f32, clock: f32, t: &Theme) {
    for k in 0..22 {
        let age = (1.8 * clock + scatter(k + 80)).fract();
        let a = (scatter(k) - 0.5) * 2.6 + std::f32::consts::FRAC_PI_2;
        let c = at + vec2(a.cos(), a.sin()) * size * (0.6 + 2.6 * age);
        painter.circle_filled(c, (1.0 - age) * 0.22 * size + 0.6, t.water);
    }
}

/// Gas that rushes out: the air behind it shimmers. No colour of its own: wavering lines that spread.
pub fn plume(painter: &Painter, at: Pos2, way: Vec2, strength: f32, clock_s: f64, t: &Theme) {
    let clock = clock_s as f32;
    let way = way.normalized();
    let side = way.rot90();
    let long = 22.0 + 62.0 * strength;
    let lines = 3 + (4.0 * strength) as i32;
    for k in 0..lines {
        let u = (k as f32 + 0.5) / lines as f32 * 2.0 - 1.0;
        let points: Vec<Pos2> = (0..=14)
            .map(|i| {
                let s = i as f32 / 14.0;
                let waver = (9.0 * s - 13.0 * clock * (0.6 + strength) + 2.1 * k as f32).sin();
                at + way * (2.0 + long * s) + side * (u * (2.0 + 0.36 * long * s) + 2.2 * s * waver)
            })
            .collect();
        let ink = t.ink.gamma_multiply(0.32 + 0.28 * strength);
        let dashes = Shape::dashed_line(&points, Stroke::new(1.1 + 0.7 * strength, ink), 6.0, 4.0);
        painter.extend(dashes);
    }
}
