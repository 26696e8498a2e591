//! Hands where they act, in either picture: a gloved thumb on a vent's mouth and a warm wet cloth over a stage.

use egui::{Color32, Painter, Pos2, Shape, Stroke, pos2, vec2};

use super::metal::shade;
use crate::window::cutaway::draw::{mix, scatter};
use crate::window::cutaway::geometry::{Plan, View, WALL};
use crate::window::look::theme::Theme;

/// Points of the round end of a thumb.
const ROUND: usize = 12;
/// Folds of the hem of a cloth.
const FOLDS: u32 = 14;

/// A thumb that shuts a mouth `wide` points across, as far as `share`; `down` is 1 where the mouth looks down.
pub fn thumb(painter: &Painter, mouth: Pos2, wide: f32, down: f32, share: f32, t: &Theme) {
    if !(share > 0.0 && wide > 0.0) {
        return;
    }
    let half = 0.62 * wide + 3.0;
    // It comes from below, and lies on the mouth once it shuts it.
    let tip = mouth + vec2(0.0, down * (1.0 - share) * 2.0 * half);
    let leather = mix(t.brass, t.mud, if t.dark { 0.45 } else { 0.30 });
    let at = |x: f32, y: f32| tip + vec2(x + 0.30 * y.max(0.0), down * y);
    let mut outline: Vec<Pos2> = (0..=ROUND)
        .map(|k| {
            let a = std::f32::consts::PI * k as f32 / ROUND as f32;
            at(-half * a.cos(), 0.55 * half * (1.0 - a.sin()))
        })
        .collect();
    let long = 3.4 * half;
    outline.push(at(1.15 * half, long));
    outline.push(at(-1.15 * half, long));
    painter.add(Shape::convex_polygon(
        outline,
        leather,
        Stroke::new(1.4, t.ink),
    ));
    let seam = Stroke::new(1.0, shade(leather, -0.35));
    let nail: Vec<Pos2> = (0..=ROUND)
        .map(|k| {
            let a = std::f32::consts::PI * k as f32 / ROUND as f32;
            at(-0.55 * half * a.cos(), 1.5 * half - 0.75 * half * a.sin())
        })
        .collect();
    painter.add(Shape::line(nail, seam));
    for y in [2.1, 2.4] {
        painter.line_segment([at(-0.8 * half, y * half), at(0.8 * half, y * half)], seam);
    }
    let cuff = [at(-1.3 * half, long), at(1.3 * half, long)];
    painter.line_segment(cuff, Stroke::new(5.0, t.ink));
    painter.line_segment(cuff, Stroke::new(3.2, shade(leather, -0.2)));
}

/// A warm wet cloth over the shoulders of a stage; `cover` is how much of what lies under it it hides, 0 to 1.
pub fn cloth(painter: &Painter, p: &Plan, v: &View, cover: f32, t: &Theme) {
    let wet = mix(t.water, t.card, if t.dark { 0.25 } else { 0.45 });
    let high = p.shoulder + 0.42 * (p.top - p.shoulder);
    let (tower, wide) = (p.tower + WALL + 1.2, p.clamp + WALL + 2.0);
    let shoulder = p.shoulder + WALL + 2.0;
    let low = p.rest - 5.0;
    let hem = |k: u32| {
        let u = k as f32 / FOLDS as f32;
        let x = -wide - 1.5 + (2.0 * wide + 3.0) * u;
        let drop = if k.is_multiple_of(2) { 1.6 } else { -0.6 };
        v.xy(x, low - drop - 1.4 * scatter(k + 7))
    };
    let top = [
        v.xy(-tower, high),
        v.xy(tower, high + 1.0),
        v.xy(tower + 1.2, shoulder + 3.0),
        v.xy(wide, shoulder - 1.0),
    ];
    let left = [
        v.xy(-wide, shoulder - 1.0),
        v.xy(-tower - 1.2, shoulder + 3.0),
    ];
    let fill = wet.gamma_multiply(cover);
    // In upright strips, since its outline is not convex.
    let mut mesh = egui::Mesh::default();
    let crown = [left[0], left[1], top[0], top[1], top[2], top[3]];
    let over = |x: f32| {
        let k = crown
            .windows(2)
            .find(|w| x <= w[1].x.max(w[0].x))
            .unwrap_or(&crown[4..]);
        let u = (x - k[0].x) / (k[1].x - k[0].x).max(0.1);
        k[0].y + (k[1].y - k[0].y) * u.clamp(0.0, 1.0)
    };
    for k in 0..=FOLDS {
        let foot = hem(k);
        let dull = if k % 2 == 0 {
            fill
        } else {
            shade(wet, -0.12).gamma_multiply(cover)
        };
        mesh.colored_vertex(pos2(foot.x, over(foot.x)), dull);
        mesh.colored_vertex(foot, dull);
        if k > 0 {
            let i = 2 * k;
            mesh.add_triangle(i - 2, i - 1, i);
            mesh.add_triangle(i - 1, i, i + 1);
        }
    }
    painter.add(Shape::mesh(mesh));
    let mut edge: Vec<Pos2> = crown.to_vec();
    edge.extend((0..=FOLDS).rev().map(hem));
    painter.add(Shape::closed_line(edge, Stroke::new(1.4, t.ink)));
    folds(painter, v, [tower, wide], [shoulder, low], wet, t);
}

/// Folds that run down from the shoulder, drops at the hem, and the warmth that rises.
fn folds(painter: &Painter, v: &View, half: [f32; 2], y: [f32; 2], wet: Color32, t: &Theme) {
    for k in 0..FOLDS / 2 {
        let u = 2.0 * (k as f32 + 0.5) / (FOLDS as f32 / 2.0) - 1.0;
        let from = v.xy(half[0] * u, y[0] + 2.0);
        let to = v.xy(half[1] * u, y[1]);
        painter.line_segment([from, to], Stroke::new(1.0, shade(wet, -0.28)));
        if k % 2 == 0 {
            let drop = to + vec2(0.0, v.len(3.0 + 2.0 * scatter(k)));
            painter.circle_filled(drop, v.len(0.5).max(1.2), t.water);
        }
    }
    for k in 0..3 {
        let x = half[0] * (0.9 * k as f32 - 0.9);
        let from = v.xy(x, y[0] + 14.0);
        let wisp: Vec<Pos2> = (0..=8)
            .map(|i| {
                let u = i as f32;
                from + vec2(v.len(1.2) * (0.9 * u).sin(), -v.len(1.1) * u)
            })
            .collect();
        painter.add(Shape::line(
            wisp,
            Stroke::new(1.2, t.soft.gamma_multiply(0.6)),
        ));
    }
}
