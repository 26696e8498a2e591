//! Containers from outside: cylinder or tank, valve, frost, snow, what its own relief blows.

use egui::{Color32, Painter, Pos2, Rect, Shape, Stroke, pos2, vec2};

use super::metal::{self, shade};
use crate::physics::heat::Shape as Outer;
use crate::visit::BottleSeen;
use crate::window::cutaway::draw::{mix, scatter};
use crate::window::look::theme::Theme;

/// A cylinder that lies down turns so far [rad].
const LYING: f32 = 1.35;

/// A container in its place; all of it may lean about its foot.
pub struct Bottle<'a> {
    seen: &'a BottleSeen,
    /// Foot's middle.
    foot: Pos2,
    /// Half the width, and the height up to the shoulder's top \[points\].
    half: f32,
    high: f32,
    turn: (f32, f32),
    tank: bool,
}

impl<'a> Bottle<'a> {
    /// In a room that stands on the ground.
    pub fn new(seen: &'a BottleSeen, room: Rect) -> Self {
        let (tank, slim) = match seen.shape {
            Outer::Upright {
                diameter_m,
                height_m,
            } => (false, (height_m / diameter_m) as f32),
            Outer::Horizontal {
                diameter_m,
                length_m,
            } => (true, (diameter_m / length_m) as f32),
        };
        let (half, high) = if tank {
            let half = 0.5 * room.width() - 2.0;
            (half, (2.0 * half * slim.max(0.42)).min(0.5 * room.height()))
        } else {
            // Domes add a third of the width; the valve stands over it.
            let slim = (slim + 0.32).clamp(1.15, 3.0);
            let high = 0.78 * room.height();
            let half = (0.5 * room.width() - 3.0).min(0.5 * high / slim);
            (half, (2.0 * half * slim).min(high))
        };
        // Leaning it needs more room beside it, so it stands further off, on the edge of its foot.
        let angle = LYING * seen.leans as f32;
        let (sin, cos) = angle.sin_cos();
        let wide = 1.1 * high * sin + 2.0 * half * cos;
        let far = ((room.width() + 6.0) / wide).min(1.0);
        let (half, high) = (far * half, far * high);
        let foot = pos2(
            room.center().x - 0.55 * high * sin,
            room.bottom() - 0.68 * half * sin,
        );
        Self {
            seen,
            foot,
            half,
            high,
            turn: (sin, cos),
            tank,
        }
    }

    /// A place of the container: so far right of its middle and above its foot \[points\].
    fn at(&self, x: f32, y: f32) -> Pos2 {
        let (sin, cos) = self.turn;
        self.foot + vec2(x * cos + y * sin, x * sin - y * cos)
    }

    /// The valve's outlet, where the pigtail begins.
    pub fn outlet(&self) -> Pos2 {
        let y = self.top() + 0.13 * self.valve_size();
        self.at(0.62 * self.valve_size(), y)
    }

    /// Where the hand wheel is.
    pub fn wheel(&self) -> Pos2 {
        self.at(
            0.0,
            self.top() + (0.42 + 0.2 * self.seen.valve as f32) * self.valve_size(),
        )
    }

    fn top(&self) -> f32 {
        self.high + if self.tank { self.leg() } else { 0.0 }
    }

    fn leg(&self) -> f32 {
        0.10 * self.high
    }

    fn valve_size(&self) -> f32 {
        if self.tank {
            (0.30 * self.high).clamp(14.0, 40.0)
        } else {
            (0.62 * self.half).clamp(16.0, 44.0)
        }
    }

    /// Half-widths over height.
    fn profile(&self) -> Vec<(f32, f32)> {
        const STEPS: usize = 10;
        let dome = if self.tank {
            0.5 * self.high
        } else {
            0.46 * self.half
        };
        let (low, high) = if self.tank {
            (self.leg(), self.leg() + self.high)
        } else {
            (0.14 * self.half, self.high)
        };
        let mut out = Vec::new();
        for i in 0..=STEPS {
            let u = i as f32 / STEPS as f32;
            let a = u * std::f32::consts::FRAC_PI_2;
            if self.tank {
                // A lying cylinder: straight above and below, domed at its ends.
                let y = low + dome - dome * a.cos();
                out.push((y, self.half - dome * 0.55 * (1.0 - a.sin())));
            } else {
                out.push((
                    low + dome * (1.0 - a.cos()) * 0.8,
                    self.half * (0.55 + 0.45 * a.sin()),
                ));
            }
        }
        let mirrored: Vec<(f32, f32)> = out
            .iter()
            .rev()
            .map(|(y, h)| (low + high - y, *h))
            .collect();
        if !self.tank {
            out.extend(mirrored.iter().map(|(y, h)| (*y, h.max(0.24 * self.half))));
            return out;
        }
        out.extend(mirrored);
        out
    }

    fn inside(&self, profile: &[(f32, f32)], p: Pos2) -> Option<f32> {
        let (sin, cos) = self.turn;
        let d = p - self.foot;
        let (x, y) = (d.x * cos + d.y * sin, d.x * sin - d.y * cos);
        let k = profile.partition_point(|(h, _)| *h < y);
        let half = profile.get(k)?.1;
        (k > 0 && x.abs() < half - 1.0).then_some(y)
    }

    /// Draws it.
    pub fn draw(&self, painter: &Painter, clock_s: f64, t: &Theme) {
        let profile = self.profile();
        let left: Vec<Pos2> = profile.iter().map(|(y, h)| self.at(-h, *y)).collect();
        let right: Vec<Pos2> = profile.iter().map(|(y, h)| self.at(*h, *y)).collect();
        self.draw_foot(painter, t);
        if self.tank {
            self.draw_tank(painter, &profile, t);
        } else {
            metal::round(painter, &left, &right, t.enamel);
        }
        let outline: Vec<Pos2> = left
            .iter()
            .copied()
            .chain(right.iter().rev().copied())
            .collect();
        painter.add(Shape::closed_line(outline.clone(), Stroke::new(1.3, t.ink)));
        self.draw_seam(painter, t);
        let box_ = Rect::from_points(&outline);
        self.draw_frost(painter, box_, &profile, t);
        self.draw_snow(painter, &profile, t);
        self.draw_valve(painter, clock_s, t);
        if let Some(level) = self.seen.gauge {
            self.draw_gauge(painter, level, t);
        }
    }

    /// The lying shell in strips from the top down.
    fn draw_tank(&self, painter: &Painter, profile: &[(f32, f32)], t: &Theme) {
        let low = profile[0].0;
        let high = profile[profile.len() - 1].0;
        let mut mesh = egui::Mesh::default();
        for (i, (y, half)) in profile.iter().enumerate() {
            let u = 1.0 - 2.0 * (y - low) / (high - low);
            let lit = (-(u + 0.5).powi(2) / 0.10).exp();
            let tone = shade(
                t.enamel,
                0.40 * lit - 0.14 * (u + 0.4).max(0.0) - 0.22 * u.abs().powi(3),
            );
            mesh.colored_vertex(self.at(-half, *y), tone);
            mesh.colored_vertex(self.at(*half, *y), tone);
            if i > 0 {
                let k = 2 * i as u32;
                mesh.add_triangle(k - 2, k - 1, k);
                mesh.add_triangle(k - 1, k, k + 1);
            }
        }
        painter.add(Shape::mesh(mesh));
    }

    fn draw_foot(&self, painter: &Painter, t: &Theme) {
        let patch = |x0: f32, x1: f32, y1: f32| {
            let at = vec![
                self.at(x0, 0.0),
                self.at(x1, 0.0),
                self.at(x1, y1),
                self.at(x0, y1),
            ];
            painter.add(Shape::convex_polygon(
                at,
                shade(t.enamel, -0.30),
                Stroke::new(1.1, t.ink),
            ));
        };
        if self.tank {
            for s in [-0.6, 0.45] {
                patch(s * self.half, (s + 0.15) * self.half, 2.0 * self.leg());
            }
        } else {
            patch(-0.68 * self.half, 0.68 * self.half, 0.22 * self.half);
        }
    }

    fn draw_seam(&self, painter: &Painter, t: &Theme) {
        if self.tank {
            return;
        }
        let y = 0.52 * self.high;
        let seam: Vec<Pos2> = (0..=12)
            .map(|i| {
                let u = i as f32 / 6.0 - 1.0;
                self.at(self.half * u, y - 0.10 * self.half * (1.0 - u * u))
            })
            .collect();
        painter.add(Shape::line(
            seam.clone(),
            Stroke::new(2.4, shade(t.enamel, -0.18)),
        ));
        let over: Vec<Pos2> = seam.iter().map(|p| *p - vec2(0.0, 1.4)).collect();
        painter.add(Shape::line(over, Stroke::new(0.9, shade(t.enamel, 0.5))));
    }

    fn draw_frost(&self, painter: &Painter, box_: Rect, profile: &[(f32, f32)], t: &Theme) {
        let Some(rime) = self.seen.rime else { return };
        let (low, high) = (profile[0].0, profile[profile.len() - 1].0);
        let level = low + (high - low) * rime.height as f32;
        let white = rime.white as f32;
        // A veil with an edge that wanders, then crystals.
        let veil = if t.dark {
            t.frost
        } else {
            shade(t.frost, 0.72)
        };
        let mut mesh = egui::Mesh::default();
        for (i, (y, half)) in profile
            .iter()
            .filter(|(y, _)| *y <= level)
            .chain([&(level, self.half)])
            .enumerate()
        {
            let h = half.min(self.half) - 1.0;
            let c = veil.gamma_multiply(0.20 + 0.38 * white);
            mesh.colored_vertex(self.at(-h, *y), c);
            mesh.colored_vertex(self.at(h, *y), c);
            if i > 0 {
                let k = 2 * i as u32;
                mesh.add_triangle(k - 2, k - 1, k);
                mesh.add_triangle(k - 1, k, k + 1);
            }
        }
        painter.add(Shape::mesh(mesh));
        metal::rime(painter, box_, white, t, |p| {
            let wander = 3.0 * (scatter((p.x * 0.2) as u32) - 0.5);
            self.inside(profile, p).is_some_and(|y| y < level + wander)
        });
        let line: Vec<Pos2> = (0..=16)
            .map(|i| {
                let u = i as f32 / 8.0 - 1.0;
                self.at(
                    (self.half - 1.0) * u,
                    level - 0.08 * self.half * (1.0 - u * u) + 2.0 * (scatter(i) - 0.5),
                )
            })
            .collect();
        painter.add(Shape::line(line, Stroke::new(1.6, veil)));
    }

    /// Snow, or a cover, from the top down.
    fn draw_snow(&self, painter: &Painter, profile: &[(f32, f32)], t: &Theme) {
        const ROWS: u32 = 14;
        let covered = self.seen.covered as f32;
        if covered <= 0.0 {
            return;
        }
        let snow = if t.dark {
            shade(t.frost, 0.35)
        } else {
            shade(t.frost, 0.90)
        };
        let (low, high) = (profile[0].0, profile[profile.len() - 1].0);
        let down = high - (high - low) * (0.08 + 0.85 * covered);
        let thick = 2.0 + 7.0 * covered;
        let half = |y: f32| {
            let k = profile
                .partition_point(|(h, _)| *h < y)
                .min(profile.len() - 1);
            profile[k].1
        };
        let (mut left, mut right) = (Vec::new(), Vec::new());
        for i in 0..=ROWS {
            let y = down + (high + thick * 0.6 - down) * i as f32 / ROWS as f32;
            let swell = thick * (0.5 + 0.5 * scatter(i)) * (i as f32 / 3.0).min(1.0);
            left.push(self.at(-half(y) - swell, y));
            right.push(self.at(half(y) + swell, y));
        }
        metal::round(painter, &left, &right, snow);
        let rag: Vec<Pos2> = (0..=18)
            .map(|i| {
                let u = i as f32 / 9.0 - 1.0;
                self.at(half(down) * u, down + 5.0 * (scatter(i + 60) - 0.5))
            })
            .collect();
        painter.add(Shape::line(rag, Stroke::new(4.0, snow)));
        let edge: Vec<Pos2> = left
            .iter()
            .copied()
            .chain(right.iter().rev().copied())
            .collect();
        painter.add(Shape::closed_line(edge, Stroke::new(0.9, t.faint)));
    }

    /// Body, outlet, hand wheel on its stem, and the ring that guards them.
    fn draw_valve(&self, painter: &Painter, clock_s: f64, t: &Theme) {
        let s = self.valve_size();
        let y = self.top();
        let edge = Stroke::new(1.1, t.ink);
        let patch = |x: [f32; 2], h: [f32; 2], c: Color32| {
            let at = vec![
                self.at(x[0] * s, y + h[0] * s),
                self.at(x[1] * s, y + h[0] * s),
                self.at(x[1] * s, y + h[1] * s),
                self.at(x[0] * s, y + h[1] * s),
            ];
            painter.add(Shape::convex_polygon(at, c, edge));
        };
        patch([-0.20, 0.20], [-0.06, 0.30], t.brass);
        patch([-0.20, -0.06], [-0.06, 0.30], shade(t.brass, 0.34));
        patch([0.20, 0.62], [0.02, 0.24], shade(t.brass, -0.10));
        let stem = 0.30 + 0.02;
        let wheel = stem + 0.05 + 0.22 * self.seen.valve as f32;
        patch([-0.07, 0.07], [0.30, wheel], shade(t.steel, 0.2));
        patch(
            [-0.40, 0.40],
            [wheel, wheel + 0.15],
            shade(t.danger, if t.dark { -0.35 } else { 0.05 }),
        );
        for k in 0..5 {
            let x = -0.34 + 0.17 * k as f32;
            painter.line_segment(
                [
                    self.at(x * s, y + (wheel + 0.02) * s),
                    self.at(x * s, y + (wheel + 0.13) * s),
                ],
                Stroke::new(1.0, t.ink),
            );
        }
        if !self.tank {
            // The guard ring, behind which the valve is seen through its opening.
            let ring = |x0: f32, x1: f32| {
                let (a, b) = (x0 * self.half, x1 * self.half);
                let top = y + 0.74 * s;
                let at = vec![
                    self.at(a, y - 0.10 * s),
                    self.at(b, y - 0.10 * s),
                    self.at(b, top),
                    self.at(a, top),
                ];
                painter.add(Shape::convex_polygon(at, shade(t.enamel, -0.12), edge));
            };
            ring(-0.62, -0.36);
            let top = y + 0.74 * s;
            let bar = vec![
                self.at(-0.62 * self.half, top),
                self.at(0.62 * self.half, top),
                self.at(0.62 * self.half, top + 0.14 * s),
                self.at(-0.62 * self.half, top + 0.14 * s),
            ];
            painter.add(Shape::convex_polygon(bar, t.enamel, edge));
        }
        let blows = self.seen.blows as f32;
        if blows > 0.0 {
            super::bubbles::plume(
                painter,
                self.at(-0.3 * s, y + 0.2 * s),
                vec2(-0.4, -1.0),
                blows,
                clock_s,
                t,
            );
        }
    }

    /// The level gauge of a tank: share of full, in tenths.
    fn draw_gauge(&self, painter: &Painter, level: f64, t: &Theme) {
        let r = (0.20 * self.high).clamp(8.0, 26.0);
        let c = self.at(-0.55 * self.half, self.leg() + 0.55 * self.high);
        painter.circle(c, r, t.card, Stroke::new(2.0, t.steel));
        let dir = |share: f64| {
            let a = (-1.25 + 1.5 * share) as f32 * std::f32::consts::PI;
            vec2(a.cos(), a.sin())
        };
        for i in 0..=10 {
            let d = dir(f64::from(i) / 10.0);
            let stroke = Stroke::new(
                if i == 8 { 2.2 } else { 0.8 },
                if i == 8 { t.danger } else { t.ink },
            );
            painter.line_segment([c + d * r * 0.72, c + d * r * 0.92], stroke);
        }
        let d = dir(level.clamp(0.0, 1.0));
        painter.line_segment(
            [c - d * r * 0.15, c + d * r * 0.68],
            Stroke::new(1.8, t.accent),
        );
        painter.circle_filled(c, 1.8, mix(t.steel, t.ink, 0.4));
    }
}
