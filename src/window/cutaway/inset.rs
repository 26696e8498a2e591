//! The loupe: one lip of the nozzle and the seat disc over it, drawn to scale, with a bar that
//! says how large.

use egui::{Align2, Color32, Painter, Pos2, Rect, Shape, Stroke, pos2, vec2};

use super::draw;
use crate::rig::readings::StageReadings;
use crate::window::theme::{Theme, plain};

/// Bar lengths the loupe can show \[m\], with their words.
const BARS: [(f64, &str); 6] = [
    (5e-6, "5 µm"),
    (20e-6, "20 µm"),
    (50e-6, "50 µm"),
    (0.1e-3, "0.1 mm"),
    (0.2e-3, "0.2 mm"),
    (0.5e-3, "0.5 mm"),
];
/// Lift from which the seat is open \[m\].
pub const OPEN_FROM_M: f64 = 0.5e-6;
/// Lift without the lever from which something holds the seat open, and no rounding \[m\].
pub const HELD_FROM_M: f64 = 2e-6;
/// Largest grain that is drawn as one \[m\]; more than that is rubber gone.
const GRAIN_MOST_M: f64 = 0.15e-3;
/// On screen a bar is this share of the loupe's radius.
const BAR_SHARE: f32 = 0.42;

/// What the loupe shows now and how far it is drawn in.
#[derive(Debug, Clone, Copy)]
pub struct Loupe {
    bar: usize,
}

impl Default for Loupe {
    fn default() -> Self {
        Self { bar: 3 }
    }
}

impl Loupe {
    /// Follows the gap: closer for small ones, back for large ones, with some reluctance.
    pub fn follow(&mut self, stage: &StageReadings) {
        let size = if stage.lift_m > OPEN_FROM_M {
            stage.lift_m
        } else {
            stage.squeeze_m * 1.5
        };
        let bars = size / BARS[self.bar].0;
        if bars > 2.6 && self.bar + 1 < BARS.len() {
            self.bar += 1;
        } else if bars < 0.55 && self.bar > 1 {
            self.bar -= 1;
        }
    }

    /// Draws the loupe at `center`.
    pub fn draw(
        self,
        painter: &Painter,
        center: Pos2,
        radius: f32,
        stage: &StageReadings,
        held_m: f64,
        theme: &Theme,
    ) {
        let (bar_m, words) = BARS[self.bar];
        let per_m = f64::from(BAR_SHARE * radius) / bar_m;
        let px = |m: f64| (m * per_m) as f32;
        let chamber = theme.gas(stage.chamber_pa);
        painter.circle_filled(center, radius, chamber);
        let clip = Disc { center, radius };
        // The nozzle's lip from the left, cut; its passage below.
        let tip = center.x - radius * 0.34;
        let gap = px(stage.lift_m);
        // A seat held open by a grain is squeezed by the grain, not by the lip.
        let open = stage.lift_m > OPEN_FROM_M;
        let squeeze = if open { 0.0 } else { px(stage.squeeze_m) };
        let squeeze = squeeze.min(radius * 0.3);
        let passage_top = center.y + radius * 0.30;
        clip.fill(
            painter,
            Rect::from_min_max(
                pos2(center.x - radius, passage_top),
                pos2(tip, center.y + radius),
            ),
            theme.gas(stage.inlet_pa),
        );
        // Past the lip the jet spreads: half-way between the two pressures.
        if gap > 0.5 {
            clip.fill(
                painter,
                Rect::from_min_max(pos2(tip, passage_top), pos2(tip + gap, center.y + radius)),
                draw::mix(theme.gas(stage.inlet_pa), chamber, 0.4),
            );
        }
        clip.fill(
            painter,
            Rect::from_min_max(
                pos2(center.x - radius, center.y - radius * 0.14),
                pos2(tip - radius * 0.10, passage_top),
            ),
            theme.steel,
        );
        lip(painter, tip, center.y, radius, theme);
        clip.seat(painter, tip, gap, squeeze, stage, theme);
        if (HELD_FROM_M..GRAIN_MOST_M).contains(&held_m) && gap > 2.0 {
            grain(painter, pos2(tip, center.y), gap.min(px(held_m)), theme);
        }
        if stage.ice > 0.003 {
            ice(painter, tip, passage_top, radius, stage.ice, theme);
        }
        painter.circle_stroke(center, radius, Stroke::new(1.6, theme.ink));
        // The scale bar.
        let bar = BAR_SHARE * radius;
        let y = center.y - radius * 0.58;
        let x = center.x - radius * 0.24 - bar * 0.5;
        let ink = theme.ink_on_gas(stage.chamber_pa);
        painter.hline(x..=x + bar, y, Stroke::new(1.4, ink));
        for end in [x, x + bar] {
            painter.vline(end, y - 3.0..=y + 3.0, Stroke::new(1.4, ink));
        }
        // A small loupe has no room over the bar.
        let (at, align) = if radius < 44.0 {
            (pos2(x + 0.5 * bar, y + 3.0), Align2::CENTER_TOP)
        } else {
            (pos2(x + 0.5 * bar, y - 4.0), Align2::CENTER_BOTTOM)
        };
        painter.text(at, align, words, plain(10.5), ink);
    }
}

/// The rounded bead of the nozzle.
fn lip(painter: &Painter, tip: f32, y: f32, radius: f32, theme: &Theme) {
    let top = y - radius * 0.14;
    let bottom = y + radius * 0.30;
    let r = 0.5 * (bottom - top);
    let middle = 0.5 * (top + bottom);
    let back = tip - radius * 0.12;
    let mut points = vec![pos2(back, top)];
    for i in 0..=14 {
        let a = -std::f32::consts::FRAC_PI_2 + std::f32::consts::PI * i as f32 / 14.0;
        points.push(pos2(
            tip - r * 0.5 + 0.5 * r * a.cos(),
            middle + r * a.sin(),
        ));
    }
    points.push(pos2(back, bottom));
    painter.add(Shape::convex_polygon(
        points.clone(),
        theme.steel,
        Stroke::NONE,
    ));
    painter.add(Shape::line(points, Stroke::new(1.3, theme.ink)));
}

/// A grain that keeps the seat off its nozzle.
fn grain(painter: &Painter, at: Pos2, size: f32, theme: &Theme) {
    let half = 0.5 * size;
    let points = (0..7_u32)
        .map(|i| {
            let a = std::f32::consts::TAU * i as f32 / 7.0;
            let r = half * (0.8 + 0.25 * draw::scatter(i + 17));
            at + vec2(half + r * a.cos(), r * a.sin())
        })
        .collect();
    painter.add(Shape::convex_polygon(
        points,
        theme.hatch,
        Stroke::new(1.2, theme.ink),
    ));
}

/// Ice growing inward from the passage's wall.
fn ice(painter: &Painter, tip: f32, wall: f32, radius: f32, share: f64, theme: &Theme) {
    let thick = radius * 0.6 * (share.min(1.0) as f32).sqrt();
    for i in 0..7_u32 {
        let x = tip - radius * (0.08 + 0.07 * i as f32);
        let long = thick * (0.55 + 0.45 * draw::scatter(i));
        let w = radius * 0.045;
        painter.add(Shape::convex_polygon(
            vec![pos2(x - w, wall), pos2(x + w, wall), pos2(x, wall + long)],
            theme.frost,
            Stroke::new(0.7, theme.card),
        ));
    }
}

/// A round window on things drawn as boxes.
struct Disc {
    center: Pos2,
    radius: f32,
}

impl Disc {
    /// Fills the part of a box that lies inside.
    fn fill(&self, painter: &Painter, rect: Rect, color: Color32) {
        let x0 = rect.left().max(self.center.x - self.radius);
        let x1 = rect.right().min(self.center.x + self.radius);
        if x1 <= x0 {
            return;
        }
        let mut mesh = egui::Mesh::default();
        let steps = ((x1 - x0) / 2.0).ceil().clamp(1.0, 120.0) as u32;
        for i in 0..=steps {
            let x = x0 + (x1 - x0) * i as f32 / steps as f32;
            let (top, bottom) = self.span(x);
            let a = rect.top().clamp(top, bottom);
            let b = rect.bottom().clamp(top, bottom);
            mesh.colored_vertex(pos2(x, a), color);
            mesh.colored_vertex(pos2(x, b), color);
            if i > 0 {
                let k = 2 * i;
                mesh.add_triangle(k - 2, k - 1, k);
                mesh.add_triangle(k - 1, k, k + 1);
            }
        }
        painter.add(Shape::mesh(mesh));
    }

    /// The upright line at `x` between two heights, cut to the disc.
    fn vline(&self, painter: &Painter, x: f32, from: f32, to: f32, stroke: Stroke) {
        let (top, bottom) = self.span(x);
        let (a, b) = (from.max(top), to.min(bottom));
        if b > a {
            painter.line_segment([pos2(x, a), pos2(x, a) + vec2(0.0, b - a)], stroke);
        }
    }

    /// The seat disc over the lip, and the gas that slips through between them.
    fn seat(
        &self,
        painter: &Painter,
        tip: f32,
        gap: f32,
        squeeze: f32,
        stage: &StageReadings,
        theme: &Theme,
    ) {
        let face = tip + gap - squeeze;
        let Disc { center, radius } = *self;
        // The rubber gives way around the lip when it is squeezed.
        self.fill(
            painter,
            Rect::from_min_max(
                pos2(face.max(tip), center.y - radius),
                pos2(center.x + radius, center.y + radius),
            ),
            theme.rubber,
        );
        if squeeze > 0.3 {
            for (top, bottom) in [
                (center.y - radius, center.y - radius * 0.18),
                (center.y + radius * 0.34, center.y + radius),
            ] {
                self.fill(
                    painter,
                    Rect::from_min_max(pos2(face, top), pos2(tip, bottom)),
                    theme.rubber,
                );
            }
        }
        let edge = if squeeze > 0.3 { face } else { face.max(tip) };
        if edge < center.x + radius {
            for (from, to) in [(-1.0, -0.18), (0.34, 1.0)] {
                self.vline(
                    painter,
                    edge,
                    center.y + radius * from,
                    center.y + radius * to,
                    Stroke::new(1.3, theme.ink),
                );
            }
            self.vline(
                painter,
                edge.max(tip),
                center.y - radius * 0.18,
                center.y + radius * 0.34,
                Stroke::new(1.3, theme.ink),
            );
        }
        if gap > 3.0 && stage.flow_kg_per_s.abs() > 1e-9 {
            let x = (tip + gap * 0.5).min(center.x + radius * 0.35);
            let ink = theme.ink_on_gas(stage.inlet_pa);
            let (from, to) = (
                pos2(x, center.y + radius * 0.62),
                pos2(x, center.y - radius * 0.18),
            );
            let (from, to) = if stage.flow_kg_per_s > 0.0 {
                (from, to)
            } else {
                (to, from)
            };
            draw::arrow(painter, from, to, 1.6_f32.min(gap * 0.25), ink);
        }
    }

    fn span(&self, x: f32) -> (f32, f32) {
        let dx = x - self.center.x;
        let half = (self.radius * self.radius - dx * dx).max(0.0).sqrt();
        (self.center.y - half, self.center.y + half)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_loupe_comes_closer_for_small_gaps_and_settles() {
        let mut loupe = Loupe::default();
        let mut stage = StageReadings {
            lift_m: 0.9e-3,
            ..StageReadings::default()
        };
        for _ in 0..20 {
            loupe.follow(&stage);
        }
        assert_eq!(BARS[loupe.bar].1, "0.5 mm");
        stage.lift_m = 0.03e-3;
        for _ in 0..20 {
            loupe.follow(&stage);
        }
        let near = loupe.bar;
        loupe.follow(&stage);
        assert_eq!(near, loupe.bar);
        assert!(BARS[near].0 <= 50e-6);
    }
}
