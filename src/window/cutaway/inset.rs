//! The loupe: one lip of the nozzle and the seat disc over it, drawn to one scale for both stages and at all times, with
//! a bar that says how large, and with what is wrong with the rubber.

use egui::{Color32, Painter, Pos2, Rect, Shape, Stroke, pos2, vec2};

use super::draw;
use super::geometry::StageShape;
use super::stage::ICE_SEEN;
use crate::rig::readings::StageReadings;
use crate::service::{OPEN_FROM_M, passes_gas};
use crate::window::look::show::Units;
use crate::window::look::theme::{Theme, plain};

/// Length of the scale bar \[m\] and its words: the same in both stages, always.
const BAR_US: (f64, &str) = (101.6e-6, "4 thou");
const BAR_SI: (f64, &str) = (0.1e-3, "0.1 mm");
/// On screen a bar is this share of the loupe's radius.
const BAR_SHARE: f32 = 0.42;
/// Rubber gone from which nothing of it is left in sight \[m\].
const ALL_GONE_M: f64 = 0.7e-3;
/// Area of a channel across the rubber that is drawn as deep as the loupe's notch goes \[m²\].
const DEEP_NICK_M2: f64 = 0.02e-6;
/// The lip is drawn so deep in the rubber at most, as a share of the radius: the words say when it is deeper.
const DEEPEST: f32 = 0.5;

/// Radius of the smallest loupe with words in it \[points\].
const LEAST_WITH_WORDS: f32 = 46.0;
/// The share of a grain that rubber shut on it lets in.
const BEDDED: f32 = 0.25;
/// Smallest grain that is seen \[points\].
const LEAST_GRAIN: f32 = 4.0;

/// How long the bar of a loupe is, in words.
pub fn bar_words(units: Units) -> &'static str {
    match units {
        Units::Us => BAR_US.1,
        Units::Si => BAR_SI.1,
    }
}

/// Whether a loupe has room for the words of its bar; in a smaller one they would lie on nozzle and gap, and stand beside it.
pub fn tells_its_bar(radius: f32) -> bool {
    radius >= LEAST_WITH_WORDS
}

/// Whether a lip stands deeper in its rubber than it is drawn.
pub fn is_deeper(stage: &StageReadings) -> bool {
    let open = stage.lift_m > OPEN_FROM_M;
    !open && stage.squeeze_m * f64::from(BAR_SHARE) > f64::from(DEEPEST) * BAR_US.0
}

/// A loupe and what it shows.
pub struct Loupe<'a> {
    /// Its middle on the screen.
    pub center: Pos2,
    /// Its radius \[points\].
    pub radius: f32,
    /// The stage's readings.
    pub stage: &'a StageReadings,
    /// Its dimensions, and what is wrong with its seat.
    pub shape: &'a StageShape,
    /// Units of the bar.
    pub units: Units,
    /// Colours.
    pub theme: &'a Theme,
}

impl Loupe<'_> {
    /// Draws it.
    pub fn draw(&self, painter: &Painter) {
        let Self {
            center,
            radius,
            stage,
            theme,
            ..
        } = *self;
        let (bar_m, words) = match self.units {
            Units::Us => BAR_US,
            Units::Si => BAR_SI,
        };
        let per_m = f64::from(BAR_SHARE * radius) / bar_m;
        let px = |m: f64| (m * per_m) as f32;
        let chamber = theme.gas(stage.chamber_pa);
        painter.circle_filled(center, radius, chamber);
        let clip = Disc { center, radius };
        // The nozzle's lip from the left, cut; its passage below.
        let tip = center.x - radius * 0.34;
        // Here the cut goes through a grain, if there is one: it holds the rubber off the lip, and the rubber gives way to it a little.
        let grain = self.grain_px();
        let held = (1.0 - BEDDED) * grain.unwrap_or_default();
        let gap = px(stage.lift_m).max(held);
        let open = stage.lift_m > OPEN_FROM_M || grain.is_some();
        let squeeze = if open { 0.0 } else { px(stage.squeeze_m) };
        let squeeze = squeeze.max(0.0).min(radius * DEEPEST);
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
            theme.brass,
        );
        lip(painter, tip, center.y, radius, theme);
        clip.seat(painter, tip, gap, squeeze, stage, theme);
        self.harm(painter, tip, tip + gap - squeeze);
        if stage.ice > ICE_SEEN {
            ice(painter, tip, passage_top, radius, stage.ice, theme);
        }
        painter.circle_stroke(center, radius, Stroke::new(1.6, theme.ink));
        self.bar(painter, words, tells_its_bar(radius));
    }

    /// Size of the grain on the lip, to scale; a speck stays as large as can be seen \[points\].
    fn grain_px(&self) -> Option<f32> {
        let per_m = BAR_SHARE * self.radius / BAR_SI.0 as f32;
        let size_m = self.shape.grain_m?;
        Some((size_m as f32 * per_m).hypot(LEAST_GRAIN))
    }

    /// What is wrong with the rubber, at every severity: a grain to scale, crumbled or lost rubber, a nick, a ring.
    fn harm(&self, painter: &Painter, tip: f32, face: f32) {
        let Self {
            center,
            radius,
            shape,
            theme: t,
            ..
        } = *self;
        let right = center.x + radius;
        let per_m = BAR_SHARE * radius / BAR_SI.0 as f32;
        if let Some(size) = self.grain_px() {
            grain(painter, pos2(tip, center.y + 0.08 * radius), size, t);
        } else if shape.held_m > 0.0 {
            // Ragged rubber; where it is out of sight the holder's bare steel says so.
            let gone = (shape.held_m / ALL_GONE_M).min(1.0) as f32;
            let from = face.min(right - 0.12 * radius - 2.0);
            let edge = [-0.62_f32, -0.30, 0.06, 0.36, 0.66];
            for (k, y) in edge.into_iter().enumerate() {
                let deep =
                    radius * (0.10 + 0.30 * gone) * (0.7 + 0.6 * draw::scatter(k as u32 + 5));
                let wide = radius * (0.12 + 0.10 * gone);
                // No tooth reaches out of the round.
                let edge =
                    |y: f32| center.x + (radius * radius - (y - center.y).powi(2)).max(0.0).sqrt();
                let y = center.y + radius * y;
                let (above, below) = (edge(y - wide), edge(y + wide));
                let x = from.max(tip).min(above.min(below) - 3.0);
                painter.add(Shape::convex_polygon(
                    vec![
                        pos2(x - 0.5, y - wide),
                        pos2((x + deep).min(edge(y) - 2.0).max(x), y),
                        pos2(x - 0.5, y + wide),
                    ],
                    t.gas(self.stage.chamber_pa),
                    Stroke::new(1.1, t.ink),
                ));
            }
            if face > right - 2.0 {
                self.note(painter, "rubber out of sight →");
            }
        }
        if shape.nick_m2 > 0.0 && face < right {
            let deep =
                radius * (0.12 + 0.26 * (shape.nick_m2 / DEEP_NICK_M2).sqrt().min(1.0) as f32);
            let y = center.y + radius * 0.08;
            let x = face.max(tip) - 1.0;
            painter.add(Shape::convex_polygon(
                vec![
                    pos2(x, y - 0.10 * radius),
                    pos2(x + deep, y),
                    pos2(x, y + 0.10 * radius),
                ],
                t.gas(self.stage.inlet_pa),
                Stroke::new(1.2, t.danger),
            ));
        }
        if shape.set_m > 0.0 && face < right {
            // The ring the lip has pressed in, as deep as it is.
            let deep = (shape.set_m as f32 * per_m).max(3.0);
            let (top, low) = (center.y - 0.18 * radius, center.y + 0.34 * radius);
            let x = face.max(tip) - 0.5;
            painter.add(Shape::line(
                vec![
                    pos2(x, top),
                    pos2(x + deep, top + 4.0),
                    pos2(x + deep, low - 4.0),
                    pos2(x, low),
                ],
                Stroke::new(1.6, t.danger),
            ));
        }
        if shape.held_m <= 0.0 && face > right {
            self.note(painter, "open further than shown →");
        }
    }

    fn note(&self, painter: &Painter, words: &str) {
        let ink = self.theme.ink_on_gas(self.stage.chamber_pa);
        let at = self.center + vec2(-0.04 * self.radius, -0.3 * self.radius);
        let laid =
            |words: &str| painter.layout(words.to_owned(), plain(10.5), ink, 0.9 * self.radius);
        // Where a small loupe has no room for words, its arrow says it: they stand beside it as a number.
        let whole = laid(words);
        let fits = whole.size().x <= 0.9 * self.radius && whole.size().y <= 0.9 * self.radius;
        if fits {
            painter.galley(at, whole, ink);
        } else {
            painter.galley(self.center + vec2(0.5 * self.radius, -8.0), laid("→"), ink);
        }
    }

    /// The scale bar.
    fn bar(&self, painter: &Painter, words: &str, told: bool) {
        let Self { center, radius, .. } = *self;
        let bar = BAR_SHARE * radius;
        let y = center.y - radius * if told { 0.58 } else { 0.76 };
        let x = center.x - radius * 0.24 - bar * 0.5;
        let ink = self.theme.ink_on_gas(self.stage.chamber_pa);
        let words = if told { words } else { "" };
        let galley = painter.layout_no_wrap(words.to_owned(), plain(10.5), ink);
        let tall = if told { galley.size().y } else { 2.0 };
        let at = pos2(x + 0.5 * (bar - galley.size().x), y + 3.0);
        // On a ground of its own, since the rubber may stand under it.
        let ground = Rect::from_min_max(
            pos2(x.min(at.x) - 3.0, y - 5.0),
            pos2((x + bar).max(at.x + galley.size().x) + 3.0, at.y + tall),
        );
        painter.rect_filled(ground, 2.0, self.theme.gas(self.stage.chamber_pa));
        painter.hline(x..=x + bar, y, Stroke::new(1.4, ink));
        for end in [x, x + bar] {
            painter.vline(end, y - 3.0..=y + 3.0, Stroke::new(1.4, ink));
        }
        painter.galley(at, galley, ink);
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
        theme.brass,
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
        // Rust, with a light edge: the rubber under it is nearly black.
        theme.caution,
        Stroke::new(1.6, theme.frost),
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
            let a = rect.top().max(top).min(bottom);
            let b = rect.bottom().max(top).min(bottom);
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
        if gap > 3.0 && passes_gas(stage) {
            let x = tip + (gap * 0.5).min(0.2 * radius);
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
