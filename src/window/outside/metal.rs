//! The matter of the outside view: cast metal, brass, rubber and enamel with light from the upper left. Knows no rig.

use egui::{Color32, Mesh, Painter, Pos2, Rect, Shape, Stroke, Vec2, pos2, vec2};

use crate::window::cutaway::draw::{mix, scatter};
use crate::window::look::theme::Theme;

/// Strips that a round thing is shaded in.
const STRIPS: usize = 14;

/// How light a round thing is across, from -1 at its lit side to 1; over 0 lighter than its colour.
fn light_across(u: f32) -> f32 {
    let lit = (-(u + 0.42).powi(2) / 0.09).exp();
    let edge = u.abs().powi(3);
    0.40 * lit - 0.12 * (u + 0.35).max(0.0) - 0.30 * edge
}

/// A colour so much lighter, or darker.
pub fn shade(color: Color32, by: f32) -> Color32 {
    if by >= 0.0 {
        mix(color, Color32::WHITE, by)
    } else {
        mix(color, Color32::BLACK, -by)
    }
}

/// A round thing seen from the side, between two curves of as many points each.
pub fn round(painter: &Painter, left: &[Pos2], right: &[Pos2], color: Color32) {
    let mut mesh = Mesh::default();
    let rows = left.len().min(right.len());
    for (a, b) in left.iter().zip(right) {
        for k in 0..=STRIPS {
            let u = k as f32 / STRIPS as f32;
            let tone = shade(color, light_across(2.0 * u - 1.0));
            mesh.colored_vertex(*a + (*b - *a) * u, tone);
        }
    }
    let wide = STRIPS as u32 + 1;
    for row in 1..rows as u32 {
        for k in 0..STRIPS as u32 {
            let at = (row - 1) * wide + k;
            mesh.add_triangle(at, at + 1, at + wide);
            mesh.add_triangle(at + 1, at + wide, at + wide + 1);
        }
    }
    painter.add(Shape::mesh(mesh));
}

/// A standing round thing.
pub fn standing(painter: &Painter, rect: Rect, color: Color32, edge: Stroke) {
    let (l, r) = (rect.left(), rect.right());
    let ys = [rect.top(), rect.bottom()];
    round(
        painter,
        &ys.map(|y| pos2(l, y)),
        &ys.map(|y| pos2(r, y)),
        color,
    );
    painter.rect_stroke(rect, 0.0, edge, egui::StrokeKind::Middle);
}

/// A lying round thing.
pub fn lying(painter: &Painter, rect: Rect, color: Color32, edge: Stroke) {
    let (top, bottom) = (rect.top(), rect.bottom());
    let xs = [rect.left(), rect.right()];
    round(
        painter,
        &xs.map(|x| pos2(x, top)),
        &xs.map(|x| pos2(x, bottom)),
        color,
    );
    painter.rect_stroke(rect, 0.0, edge, egui::StrokeKind::Middle);
}

/// A pipe through points, so wide.
pub fn pipe(painter: &Painter, points: &[Pos2], width: f32, color: Color32, t: &Theme) {
    let line = |w: f32, c: Color32, by: Vec2| {
        let at: Vec<Pos2> = points.iter().map(|p| *p + by).collect();
        for joint in &at[..at.len().saturating_sub(1)] {
            painter.circle_filled(*joint, 0.5 * w, c);
        }
        painter.add(Shape::line(at, Stroke::new(w, c)));
    };
    let up = vec2(-0.10, -0.22) * width;
    line(width + 1.8, t.ink, Vec2::ZERO);
    line(width, shade(color, -0.22), Vec2::ZERO);
    line(0.62 * width, color, 0.4 * up);
    line((0.20 * width).max(0.8), shade(color, 0.45), up);
}

/// A hose: rubber with its braid.
pub fn hose(painter: &Painter, points: &[Pos2], width: f32, t: &Theme) {
    let rubber = if t.dark {
        shade(t.rubber, 0.16)
    } else {
        t.rubber
    };
    pipe(painter, points, width, rubber, t);
    let braid = Stroke::new(0.8, shade(rubber, if t.dark { 0.22 } else { 0.30 }));
    for pair in points.windows(2).step_by(2) {
        let along = pair[1] - pair[0];
        if along.length() < 0.5 {
            continue;
        }
        let side = along.normalized().rot90() * 0.40 * width;
        painter.line_segment([pair[0] - side, pair[1] + side], braid);
    }
}

/// A hexagon nut on a lying pipe: three faces.
pub fn hex_lying(painter: &Painter, rect: Rect, color: Color32, t: &Theme) {
    for (share, by) in [
        ((0.0, 0.26), 0.22),
        ((0.26, 0.74), 0.02),
        ((0.74, 1.0), -0.28),
    ] {
        let y = |s: f32| rect.top() + s * rect.height();
        let face = Rect::from_x_y_ranges(rect.x_range(), y(share.0)..=y(share.1));
        painter.rect_filled(face, 0.0, shade(color, by));
    }
    painter.rect_stroke(rect, 1.0, Stroke::new(1.0, t.ink), egui::StrokeKind::Middle);
}

/// A hexagon nut on a standing pipe.
pub fn hex_standing(painter: &Painter, rect: Rect, color: Color32, t: &Theme) {
    for (share, by) in [
        ((0.0, 0.28), 0.20),
        ((0.28, 0.74), 0.04),
        ((0.74, 1.0), -0.28),
    ] {
        let x = |s: f32| rect.left() + s * rect.width();
        let face = Rect::from_x_y_ranges(x(share.0)..=x(share.1), rect.y_range());
        painter.rect_filled(face, 0.0, shade(color, by));
    }
    painter.rect_stroke(rect, 1.0, Stroke::new(1.0, t.ink), egui::StrokeKind::Middle);
}

/// A screw with its cross.
pub fn screw(painter: &Painter, at: Pos2, radius: f32, t: &Theme) {
    painter.circle(at, radius, shade(t.steel, 0.25), Stroke::new(0.9, t.ink));
    if radius > 1.9 {
        let d = vec2(0.55, 0.30) * radius;
        painter.line_segment([at - d, at + d], Stroke::new(0.9, t.ink));
        painter.line_segment([at - d.rot90(), at + d.rot90()], Stroke::new(0.9, t.ink));
    }
}

/// The grain of cast metal inside a box, where `inside` says so.
pub fn grain(painter: &Painter, rect: Rect, color: Color32, inside: impl Fn(Pos2) -> bool) {
    if !rect.is_finite() || rect.area() > 4e5 {
        return;
    }
    let mut mesh = Mesh::default();
    for n in 0..(rect.area() / 26.0) as u32 {
        let at = rect.min + vec2(scatter(2 * n + 5), scatter(2 * n + 6)) * rect.size();
        if inside(at) {
            let tone = shade(color, if n % 2 == 0 { 0.14 } else { -0.14 });
            mesh.add_colored_rect(Rect::from_center_size(at, vec2(1.0, 1.0)), tone);
        }
    }
    painter.add(Shape::mesh(mesh));
}

/// Frost: crystals over a box, where `inside` says so; `white` from 0 to 1.
pub fn rime(painter: &Painter, rect: Rect, white: f32, t: &Theme, inside: impl Fn(Pos2) -> bool) {
    if white <= 0.0 || !rect.is_finite() || rect.area() > 4e5 {
        return;
    }
    let count = (rect.area() / 15.0 * (0.25 + 0.75 * white)) as u32;
    let snow = if t.dark {
        t.frost
    } else {
        shade(t.frost, 0.82)
    };
    let mut mesh = Mesh::default();
    let mut stars = Vec::new();
    for n in 0..count {
        let at = rect.min + vec2(scatter(3 * n + 11), scatter(3 * n + 12)) * rect.size();
        if !inside(at) {
            continue;
        }
        let size = 0.8 + 2.0 * white * scatter(3 * n + 13);
        mesh.add_colored_rect(
            Rect::from_center_size(at, vec2(size, size)),
            snow.gamma_multiply(0.55 + 0.45 * white),
        );
        if n % 9 == 0 {
            for k in 0..3 {
                let a = (k as f32 + scatter(n)) * std::f32::consts::FRAC_PI_3;
                let d = vec2(a.cos(), a.sin()) * (1.4 + 2.2 * white);
                stars.push(Shape::line_segment(
                    [at - d, at + d],
                    Stroke::new(0.8, snow),
                ));
            }
        }
    }
    painter.add(Shape::mesh(mesh));
    painter.extend(stars);
}

/// A drop that hangs.
pub fn drop(painter: &Painter, at: Pos2, size: f32, t: &Theme) {
    let points = vec![
        at - vec2(0.0, size),
        at + vec2(0.55, 0.1) * size,
        at + vec2(0.32, 0.62) * size,
        at + vec2(-0.32, 0.62) * size,
        at + vec2(-0.55, 0.1) * size,
    ];
    painter.add(Shape::convex_polygon(
        points,
        t.water,
        Stroke::new(0.8, t.ink),
    ));
    painter.circle_filled(at + vec2(-0.18, 0.1) * size, 0.16 * size, Color32::WHITE);
}

/// A soft glow around a place.
pub fn glow(painter: &Painter, at: Pos2, radius: Vec2, color: Color32) {
    const STEPS: u32 = 20;
    let mut mesh = Mesh::default();
    mesh.colored_vertex(at, color);
    for k in 0..=STEPS {
        let a = k as f32 / STEPS as f32 * std::f32::consts::TAU;
        mesh.colored_vertex(
            at + vec2(a.cos() * radius.x, a.sin() * radius.y),
            Color32::TRANSPARENT,
        );
        if k > 0 {
            mesh.add_triangle(0, k, k + 1);
        }
    }
    painter.add(Shape::mesh(mesh));
}
