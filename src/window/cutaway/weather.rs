//! Cold and wet things on and in the regulator: frost on the body, the pool of liquid in the
//! first stage, water above a diaphragm.

use egui::{Painter, Pos2, Shape, Stroke, pos2, vec2};

use super::draw;
use super::stage::Stage;
use crate::window::look::theme::plain;

/// Liquid propane, for the height of the drawn pool only \[kg/m³\].
const LIQUID_KG_PER_M3: f64 = 510.0;
/// Degrees below the frost point at which the drawn frost is thickest \[K\].
const THICK_FROST_K: f64 = 18.0;

/// Frost tufts along the outline of a body so far below the frost point \[K\]; none above it.
pub fn frost(painter: &Painter, stage: &Stage<'_>, depth_k: f64) {
    let cold = (depth_k / THICK_FROST_K).clamp(0.0, 1.0) as f32;
    if cold <= 0.0 {
        return;
    }
    let (v, t) = (&stage.view, stage.theme);
    let outline = draw::profile_outline(&stage.plan.silhouette());
    let middle = pos2(0.0, 0.5 * (stage.plan.floor + stage.plan.top));
    let mut n = 0;
    let mut tufts = Vec::new();
    for (i, &a) in outline.iter().enumerate() {
        let b = outline[(i + 1) % outline.len()];
        // The top is under the cap.
        let top = stage.plan.top;
        if a.y >= top && b.y >= top {
            continue;
        }
        let count = (a.distance(b) / 1.3) as u32;
        for k in 0..count {
            n += 1;
            if draw::scatter(n) > 0.25 + 0.75 * cold {
                continue;
            }
            let at = a + (b - a) * ((k as f32 + draw::scatter(n + 7001)) / count as f32);
            if at.y > top - 4.0 {
                continue;
            }
            let edge = (b - a).normalized();
            let normal = vec2(edge.y, -edge.x);
            let outward = if normal.dot(at - middle) > 0.0 {
                normal
            } else {
                -normal
            };
            let size = cold.sqrt() * (0.7 + 2.2 * draw::scatter(n + 311));
            for spread in [-0.6_f32, 0.0, 0.6] {
                let tip = at + (outward + edge * spread) * size;
                tufts.push(Shape::line_segment(
                    [v.at(at - outward * 0.4), v.at(tip)],
                    Stroke::new(1.1, t.frost),
                ));
            }
        }
    }
    painter.extend(tufts);
}

/// Residue from which a film is drawn \[kg\], and at which it is thickest.
const FILM_KG: [f64; 2] = [1e-6, 2e-3];

/// Oily residue: a film on the floor of the chamber; its word stands beside the stage's name.
pub fn residue(painter: &Painter, stage: &Stage<'_>, kg: f64) {
    if !has_residue(kg) {
        return;
    }
    let (p, v, t) = (&stage.plan, &stage.view, stage.theme);
    let thick = 0.5 + 1.3 * (kg / FILM_KG[1]).sqrt().min(1.0) as f32;
    let film = v.rect(
        pos2(-p.clamp + 0.5, p.floor),
        pos2(p.clamp - 0.5, p.floor + thick),
    );
    painter.rect_filled(film, 0.0, t.mud);
}

/// Whether there is residue that is drawn.
pub fn has_residue(kg: f64) -> bool {
    kg >= FILM_KG[0]
}

/// How far frost reaches out of a body so far below the frost point \[mm\].
pub fn frost_reach(depth_k: f64) -> f32 {
    2.9 * ((depth_k / THICK_FROST_K).clamp(0.0, 1.0) as f32).sqrt()
}

/// The pool in a chamber; its mass is told beside the stage's name.
pub fn pool(painter: &Painter, stage: &Stage<'_>, pool_kg: f64, seconds: f64) {
    if pool_kg < 2e-5 {
        return;
    }
    let (p, v, t) = (&stage.plan, &stage.view, stage.theme);
    let area_mm2 = f64::from(p.clamp * p.clamp) * std::f64::consts::PI;
    let depth = (pool_kg / LIQUID_KG_PER_M3 * 1e9 / area_mm2) as f32;
    let level = (p.floor + depth.max(0.5)).min(stage.plate_height() - 2.5);
    let half = p.clamp - 0.3;
    let surface: Vec<Pos2> = (0..=40)
        .map(|i| {
            let x = -half + 2.0 * half * i as f32 / 40.0;
            let wave = (x * 0.45 + seconds as f32 * 2.4).sin() * 0.22;
            pos2(x, level + wave)
        })
        .collect();
    draw::fill_under(
        painter,
        v,
        &surface,
        p.floor + 0.2,
        t.liquid.gamma_multiply(0.86),
    );
    painter.add(Shape::line(v.all(&surface), Stroke::new(1.2, t.ink)));
    // It boils with whatever heat it gets.
    for i in 0..9_u32 {
        let u = (draw::scatter(i + 40) + seconds as f32 * (0.25 + 0.3 * draw::scatter(i))).fract();
        let at = v.xy(
            -half * 0.8 + 1.6 * half * draw::scatter(i + 90),
            p.floor + (level - p.floor) * u,
        );
        painter.circle_stroke(at, 1.0 + 1.2 * u, Stroke::new(1.0, t.card));
    }
}

/// Weight of water from which it is drawn \[N\].
const WATER_SEEN_N: f64 = 1e-4;

/// Water standing above the diaphragm, told by its weight.
pub fn water(painter: &Painter, stage: &Stage<'_>) {
    let weight_n = stage.now.forces.water_n.abs();
    if weight_n < WATER_SEEN_N {
        return;
    }
    let (p, v, t) = (&stage.plan, &stage.view, stage.theme);
    let area_m2 = f64::from(p.clamp * p.clamp) * 1e-6 * std::f64::consts::PI;
    let depth = (weight_n / (1000.0 * 9.81 * area_m2) * 1e3) as f32;
    let membrane = stage.membrane();
    // More than the wide part of the case holds is said, and not drawn through its wall.
    let level = (stage.plate_height() + 1.0 + depth.max(0.8)).min(p.shoulder - 0.4);
    let mut mesh = egui::Mesh::default();
    for (i, q) in membrane.iter().enumerate() {
        mesh.colored_vertex(v.xy(q.x, level.max(q.y)), t.water.gamma_multiply(0.7));
        mesh.colored_vertex(v.at(*q), t.water.gamma_multiply(0.7));
        if i > 0 {
            let k = 2 * i as u32;
            mesh.add_triangle(k - 2, k - 1, k);
            mesh.add_triangle(k - 1, k, k + 1);
        }
    }
    painter.add(Shape::mesh(mesh));
    painter.text(
        v.xy(-p.plate * 0.62, level - 0.6),
        egui::Align2::CENTER_TOP,
        "water",
        plain(11.0),
        t.ink,
    );
}
