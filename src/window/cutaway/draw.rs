//! The strokes the cutaway is made of: filled profiles, hatching, coils, cased lines, dashes
//! along a path. Knows no regulator.

use egui::{Color32, Mesh, Painter, Pos2, Shape, Stroke, pos2, vec2};

use super::geometry::View;
use crate::window::look::within::within;

/// Fills a body symmetric about x = 0, given its half-width over height.
pub fn fill_profile(painter: &Painter, view: &View, profile: &[(f32, f32)], color: Color32) {
    let mut mesh = Mesh::default();
    for (i, &(y, half)) in profile.iter().enumerate() {
        mesh.colored_vertex(view.xy(-half, y), color);
        mesh.colored_vertex(view.xy(half, y), color);
        if i > 0 {
            let k = 2 * i as u32;
            mesh.add_triangle(k - 2, k - 1, k);
            mesh.add_triangle(k - 1, k, k + 1);
        }
    }
    painter.add(Shape::mesh(mesh));
}

/// The closed outline of such a body.
pub fn profile_outline(profile: &[(f32, f32)]) -> Vec<Pos2> {
    let left = profile.iter().map(|&(y, half)| pos2(-half, y));
    let right = profile.iter().rev().map(|&(y, half)| pos2(half, y));
    left.chain(right).collect()
}

/// Slanting lines inside a closed outline \[mm\], `step` apart.
pub fn hatch(painter: &Painter, view: &View, outline: &[Pos2], step: f32, stroke: Stroke) {
    // Along each line x - y is constant; crossings with the outline pair up.
    let slant = |p: Pos2| p.x - p.y;
    let low = outline.iter().map(|p| slant(*p)).fold(f32::MAX, f32::min);
    let high = outline.iter().map(|p| slant(*p)).fold(f32::MIN, f32::max);
    let mut level = low + 0.5 * step;
    while level < high {
        let mut crossings: Vec<Pos2> = Vec::new();
        for (i, &a) in outline.iter().enumerate() {
            let b = outline[(i + 1) % outline.len()];
            let (da, db) = (slant(a) - level, slant(b) - level);
            if (da < 0.0) != (db < 0.0) {
                crossings.push(a + (b - a) * (da / (da - db)));
            }
        }
        crossings.sort_by(|a, b| a.y.total_cmp(&b.y));
        for pair in crossings.chunks_exact(2) {
            painter.line_segment([view.at(pair[0]), view.at(pair[1])], stroke);
        }
        level += step;
    }
}

/// Fills between an upper curve, given left to right, and a level floor.
pub fn fill_under(painter: &Painter, view: &View, curve: &[Pos2], floor: f32, color: Color32) {
    let mut mesh = Mesh::default();
    for (i, p) in curve.iter().enumerate() {
        mesh.colored_vertex(view.at(*p), color);
        mesh.colored_vertex(view.xy(p.x, floor), color);
        if i > 0 {
            let k = 2 * i as u32;
            mesh.add_triangle(k - 2, k - 1, k);
            mesh.add_triangle(k - 1, k, k + 1);
        }
    }
    painter.add(Shape::mesh(mesh));
}

/// A thick line with an ink edge.
pub fn cased(painter: &Painter, points: Vec<Pos2>, width: f32, fill: Color32, edge: Color32) {
    painter.add(Shape::line(points.clone(), Stroke::new(width + 1.8, edge)));
    painter.add(Shape::line(points, Stroke::new(width, fill)));
}

/// A convex patch with an edge.
pub fn patch(painter: &Painter, points: Vec<Pos2>, fill: Color32, stroke: Stroke) {
    painter.add(Shape::convex_polygon(points, fill, stroke));
}

/// A helical spring seen from the side: strands behind first, strands in front over them.
#[derive(Debug, Clone, Copy, Default)]
pub struct Coil {
    /// Coil radius \[mm\].
    pub radius: f32,
    /// Lower end \[mm\].
    pub low: f32,
    /// Upper end \[mm\].
    pub high: f32,
    /// Windings.
    pub turns: usize,
    /// Wire \[points\].
    pub wire: f32,
    /// How far its axis stands to the right \[mm\], and how much its windings rise to that side.
    pub aside: f32,
    pub leans: f32,
}

impl Coil {
    /// Draws it in one colour; `behind` is for the strands at the back.
    pub fn draw(&self, painter: &Painter, view: &View, front: Color32, behind: Color32) {
        let pitch = (self.high - self.low) / self.turns as f32;
        let at = |x: f32, y: f32| view.xy(self.aside + x, y + self.leans * x);
        let strand = |from_left: bool, y: f32| {
            const STEPS: usize = 8;
            (0..=STEPS)
                .map(|i| {
                    let u = i as f32 / STEPS as f32;
                    let x = -self.radius * (std::f32::consts::PI * u).cos();
                    let x = if from_left { x } else { -x };
                    at(x, y + 0.5 * pitch * u)
                })
                .collect::<Vec<_>>()
        };
        for i in 0..self.turns {
            let y = self.low + pitch * (i as f32 + 0.5);
            painter.add(Shape::line(
                strand(false, y),
                Stroke::new(self.wire * 0.8, behind),
            ));
        }
        for i in 0..self.turns {
            let y = self.low + pitch * i as f32;
            painter.add(Shape::line(strand(true, y), Stroke::new(self.wire, front)));
        }
        for y in [self.low, self.high] {
            painter.line_segment(
                [at(-self.radius, y), at(self.radius, y)],
                Stroke::new(self.wire, front),
            );
        }
    }
}

/// A path with its lengths, to put things on it.
pub struct Path {
    points: Vec<Pos2>,
    reach: Vec<f32>,
}

impl Path {
    /// A path through points on the screen.
    pub fn new(points: Vec<Pos2>) -> Self {
        let mut reach = Vec::with_capacity(points.len());
        let mut sum = 0.0;
        for (i, p) in points.iter().enumerate() {
            if i > 0 {
                sum += p.distance(points[i - 1]);
            }
            reach.push(sum);
        }
        Self { points, reach }
    }

    /// Its whole length.
    pub fn length(&self) -> f32 {
        self.reach.last().copied().unwrap_or(0.0)
    }

    /// The point `s` along it and the direction there.
    pub fn at(&self, s: f32) -> Option<(Pos2, egui::Vec2)> {
        if self.points.len() < 2 {
            return None;
        }
        let after = self.reach.partition_point(|r| *r < s);
        let i = within(after, 1, self.points.len() - 1);
        let (a, b) = (self.points[i - 1], self.points[i]);
        let span = self.reach[i] - self.reach[i - 1];
        let u = if span > 0.0 {
            (s - self.reach[i - 1]) / span
        } else {
            0.0
        };
        Some((a + (b - a) * u.clamp(0.0, 1.0), (b - a).normalized()))
    }

    /// Places `gap` apart, shifted by `phase`.
    pub fn places(&self, gap: f32, phase: f32) -> impl Iterator<Item = f32> + '_ {
        let first = phase.rem_euclid(gap);
        let count = ((self.length() - first) / gap).floor().max(-1.0) as i32 + 1;
        (0..count).map(move |i| first + i as f32 * gap)
    }
}

/// A smooth curve through a few points (Catmull-Rom), for paths of gas.
pub fn smooth(points: &[Pos2]) -> Vec<Pos2> {
    const STEPS: usize = 8;
    if points.len() < 3 {
        return points.to_vec();
    }
    let last = points.len() - 1;
    let mut out = Vec::with_capacity(points.len() * STEPS);
    for i in 0..last {
        let (b, c) = (points[i], points[i + 1]);
        let (a, d) = (points[i.saturating_sub(1)], points[(i + 2).min(last)]);
        for k in 0..STEPS {
            let u = k as f32 / STEPS as f32;
            let (u2, u3) = (u * u, u * u * u);
            let mix = |a: f32, b: f32, c: f32, d: f32| {
                0.5 * (2.0 * b
                    + (c - a) * u
                    + (2.0 * a - 5.0 * b + 4.0 * c - d) * u2
                    + (3.0 * b - a - 3.0 * c + d) * u3)
            };
            out.push(pos2(mix(a.x, b.x, c.x, d.x), mix(a.y, b.y, c.y, d.y)));
        }
    }
    out.push(points[points.len() - 1]);
    out
}

/// An arrow with a filled head.
pub fn arrow(painter: &Painter, from: Pos2, to: Pos2, width: f32, color: Color32) {
    let along = to - from;
    let length = along.length();
    if length < 1.0 {
        return;
    }
    let dir = along / length;
    let side = vec2(-dir.y, dir.x);
    let head = (2.6 * width).max(4.0).min(length);
    let neck = to - dir * head;
    painter.line_segment([from, neck], Stroke::new(width, color));
    patch(
        painter,
        vec![to, neck + side * head * 0.55, neck - side * head * 0.55],
        color,
        Stroke::NONE,
    );
}

/// Distance between the places of the stipple \[mm\].
const STIPPLE_MM: f32 = 2.3;

/// Gas as a stipple: the higher its gauge pressure \[Pa\] the denser, beside the colour; `inside` says of a place on the
/// screen whether it lies in the gas.
pub fn stipple(
    painter: &Painter,
    rect: egui::Rect,
    scale: f32,
    theme: &crate::window::look::theme::Theme,
    gauge_pa: f64,
    inside: impl Fn(Pos2) -> bool,
) {
    let share = crate::window::look::theme::gas_share(gauge_pa);
    let step = (STIPPLE_MM * scale).max(5.0);
    if share <= 0.01 || !rect.is_finite() || rect.width() > 6000.0 {
        return;
    }
    let color = theme.ink_on_gas(gauge_pa).gamma_multiply(0.34);
    let half = 0.55 + 0.25 * (scale / 3.0).min(1.6);
    let mut mesh = Mesh::default();
    let (columns, rows) = (
        (rect.width() / step).ceil() as u32,
        (rect.height() / step).ceil() as u32,
    );
    for i in 0..columns {
        for k in 0..rows {
            let n = i * 977 + k * 131;
            // Every place has a pressure from which a dot stands there.
            if scatter(n + 3) > share {
                continue;
            }
            let at = rect.min
                + vec2(
                    (i as f32 + 0.15 + 0.7 * scatter(n)) * step,
                    (k as f32 + 0.15 + 0.7 * scatter(n + 1)) * step,
                );
            if !rect.contains(at) || !inside(at) {
                continue;
            }
            mesh.add_colored_rect(
                egui::Rect::from_center_size(at, vec2(2.0 * half, 2.0 * half)),
                color,
            );
        }
    }
    painter.add(Shape::mesh(mesh));
}

/// A repeatable number from 0 to 1 for the n-th of something.
pub fn scatter(n: u32) -> f32 {
    let mut h = n.wrapping_mul(0x9E37_79B9) ^ 0x85EB_CA6B;
    h = (h ^ (h >> 16)).wrapping_mul(0x7FEB_352D);
    h = (h ^ (h >> 15)).wrapping_mul(0x846C_A68B);
    (h ^ (h >> 16)) as f32 / u32::MAX as f32
}

/// Two colours mixed, `share` of the second.
pub fn mix(a: Color32, b: Color32, share: f32) -> Color32 {
    let share = if share.is_nan() { 0.0 } else { share };
    a.lerp_to_gamma(b, share.clamp(0.0, 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_knows_its_places() {
        let p = Path::new(vec![pos2(0.0, 0.0), pos2(3.0, 0.0), pos2(3.0, 4.0)]);
        assert_eq!(p.length(), 7.0);
        assert_eq!(p.at(5.0).map(|(q, _)| q), Some(pos2(3.0, 2.0)));
        assert_eq!(
            p.places(2.0, 5.0).collect::<Vec<_>>(),
            vec![1.0, 3.0, 5.0, 7.0]
        );
        assert!(Path::new(vec![]).at(1.0).is_none());
    }

    #[test]
    fn scatter_is_repeatable_and_spread() {
        let mean = (0..1000).map(scatter).sum::<f32>() / 1000.0;
        assert_eq!(scatter(7), scatter(7));
        assert!((mean - 0.5).abs() < 0.05, "{mean}");
    }
}
