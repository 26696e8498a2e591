//! One stage: body, gas, nozzle, lever, diaphragm, springs, screw and vent, as they stand now.

use egui::{Color32, CornerRadius, Painter, Pos2, Rect, Shape, Stroke, StrokeKind, pos2, vec2};

use super::draw::{self, Coil};
use super::geometry::{DISC, FLANGE, PIPE, Plan, StageShape, View, WALL};
use crate::rig::readings::StageReadings;
use crate::window::look::theme::Theme;
use crate::window::look::within::within;

/// Share of an orifice under ice from which it is drawn.
pub const ICE_SEEN: f64 = 0.0005;
/// Relief flow at which the drawn gap of the relief is widest \[kg/s\].
const RELIEF_WIDE_KG_PER_S: f64 = 4e-4;
/// Rubber gone from which nothing is left on the holder \[m\].
const CRUMBLED_M: f64 = 0.5e-3;
/// A grain that is drawn largest \[m\].
const GRAIN_LARGE_M: f64 = 0.15e-3;

/// One stage ready to be drawn.
pub struct Stage<'a> {
    /// Where its parts lie.
    pub plan: Plan,
    /// Its place on the screen.
    pub view: View,
    /// Its readings.
    pub now: &'a StageReadings,
    /// The healthy twin's, if one runs.
    pub twin: Option<&'a StageReadings>,
    /// Its dimensions.
    pub shape: StageShape,
    /// Colours.
    pub theme: &'a Theme,
    /// Whether words say nothing of what is wrong with it: the picture shows it.
    pub quiet: bool,
}

impl Stage<'_> {
    /// Height of the diaphragm plate \[mm\].
    pub fn plate_height(&self) -> f32 {
        self.plan
            .plate_height(self.now.rise_m, self.now.touch_rise_m)
    }

    /// Turn of the lever \[rad\].
    pub fn turn(&self) -> f32 {
        if !self.shape.linked {
            // Off its stem the lever goes where the seat goes.
            let gap = (self.now.lift_m * 1e3) as f32 * self.plan.enlarged;
            return -within(gap / self.plan.short, 0.0, self.plan.widest_turn());
        }
        self.plan.lever_turn(self.plate_height())
    }

    /// Colour of what stands in the spring case.
    pub fn case_color(&self) -> Color32 {
        let gas = self.theme.gas(self.now.case_pa);
        let share = (self.now.case_pa.abs() / 1500.0).min(1.0) as f32;
        draw::mix(self.theme.air, gas, share)
    }

    /// Draws everything that is solid or fills a room.
    pub fn draw(&self, painter: &Painter) {
        self.draw_body(painter);
        self.draw_rooms(painter);
        self.draw_vent(painter);
        self.draw_nozzle(painter);
        self.draw_lever(painter);
        self.draw_spring(painter);
        self.draw_diaphragm(painter);
        self.draw_twin(painter);
    }

    pub(super) fn ink(&self, width: f32) -> Stroke {
        Stroke::new(width, self.theme.ink)
    }

    fn draw_body(&self, painter: &Painter) {
        let (v, t) = (&self.view, self.theme);
        let silhouette = self.plan.silhouette();
        draw::fill_profile(painter, v, &silhouette, t.body);
        let outline = draw::profile_outline(&silhouette);
        draw::hatch(painter, v, &outline, 2.1, Stroke::new(0.7, t.hatch));
        painter.add(Shape::closed_line(v.all(&outline), self.ink(1.3)));
        // Screws that clamp the flange.
        for side in [-1.0, 1.0] {
            let x = side * (self.plan.clamp + WALL + 1.6);
            let r = v.rect(
                pos2(x - 1.3, self.plan.rest - 4.4),
                pos2(x + 1.3, self.plan.rest + 4.4),
            );
            painter.rect(r, 1.0, t.steel, self.ink(0.9), StrokeKind::Middle);
        }
        self.draw_cap(painter);
    }

    /// Cap and adjusting screw on the spring tower.
    fn draw_cap(&self, painter: &Painter) {
        let (p, v, t) = (&self.plan, &self.view, self.theme);
        let half = p.tower + WALL;
        let cap = v.rect(
            pos2(-half - 0.8, p.top - 3.5),
            pos2(half + 0.8, p.top + 5.5),
        );
        painter.rect(
            cap,
            CornerRadius {
                nw: 5,
                ne: 5,
                sw: 0,
                se: 0,
            },
            draw::mix(t.body, t.steel, 0.35),
            self.ink(1.2),
            StrokeKind::Middle,
        );
        let knurls = 11;
        for i in 1..knurls {
            let x = -half + 2.0 * half * i as f32 / knurls as f32;
            painter.line_segment(
                [v.xy(x, p.top + 4.2), v.xy(x, p.top - 2.2)],
                Stroke::new(0.7, t.faint),
            );
        }
    }

    fn draw_rooms(&self, painter: &Painter) {
        let (p, v, t) = (&self.plan, &self.view, self.theme);
        let cavity = p.cavity();
        draw::fill_profile(painter, v, &cavity, self.case_color());
        let membrane = self.membrane();
        let gas = t.gas(self.now.chamber_pa);
        let ceiling = self.gas_ceiling(&membrane);
        draw::fill_under(painter, v, &ceiling, p.floor, gas);
        let room = v.rect(pos2(-p.clamp, p.floor), pos2(p.clamp, p.rest + 4.0));
        let top = self.plate_height().min(p.rest) - 0.5;
        let under = v.xy(0.0, top).y;
        draw::stipple(painter, room, v.scale, t, self.now.chamber_pa, |q| {
            q.y > under
        });
        painter.add(Shape::closed_line(
            v.all(&draw::profile_outline(&cavity)),
            self.ink(1.1),
        ));
        // Threads of the screw plug's bore.
        let mut y = p.screw + 1.0;
        while y < p.top {
            for side in [-1.0, 1.0] {
                painter.line_segment(
                    [
                        v.xy(side * p.tower, y),
                        v.xy(side * (p.tower - 1.0), y + 0.6),
                    ],
                    Stroke::new(0.8, t.ink),
                );
            }
            y += 1.5;
        }
    }

    /// The membrane with the plate's underside in it, left to right.
    fn gas_ceiling(&self, membrane: &[Pos2]) -> Vec<Pos2> {
        let inner = self.plan.clamp - 0.1;
        membrane
            .iter()
            .map(|q| pos2(within(q.x, -inner, inner), q.y))
            .collect()
    }

    /// The membrane as it hangs.
    pub fn membrane(&self) -> Vec<Pos2> {
        self.plan.membrane(
            self.plate_height(),
            bulge(self.now.chamber_pa - self.now.case_pa),
        )
    }

    fn draw_nozzle(&self, painter: &Painter) {
        let (p, v, t) = (&self.plan, &self.view, self.theme);
        let tip = p.nozzle_tip();
        let wall_in = -p.clamp;
        let outer = p.bore + 2.6;
        let lip = p.bore + 0.8;
        let root = (wall_in - 0.2).min(tip - 6.0);
        // Metal above and below the passage.
        for side in [-1.0, 1.0] {
            let metal = [
                (root, p.bore),
                (root, outer + 1.2),
                (root + 2.0, outer + 1.2),
                (root + 2.6, outer),
                (tip - 2.6, outer),
                (tip, lip),
                (tip, p.bore),
            ]
            .map(|(x, y)| v.xy(x, side * y));
            painter.add(Shape::convex_polygon(metal.to_vec(), t.brass, Stroke::NONE));
            painter.add(Shape::line(metal[1..].to_vec(), self.ink(1.1)));
        }
        let passage = v.rect(pos2(root - WALL - 0.4, -p.bore), pos2(tip, p.bore));
        painter.rect_filled(passage, 0.0, t.gas(self.now.inlet_pa));
        for y in [-p.bore, p.bore] {
            painter.line_segment([v.xy(root, y), v.xy(tip, y)], self.ink(1.0));
        }
        self.draw_ice(painter, tip);
    }

    /// Ice that narrows the orifice, and a flake over it: in a small picture a little of it is a stroke on brass.
    fn draw_ice(&self, painter: &Painter, tip: f32) {
        if self.now.ice <= ICE_SEEN {
            return;
        }
        let (p, v, t) = (&self.plan, &self.view, self.theme);
        let share = self.now.ice.min(1.0);
        let least = 1.5 / v.scale;
        let thick = (p.bore * (1.0 - (1.0 - share).sqrt()) as f32).max(least.min(0.6 * p.bore));
        for side in [-1.0, 1.0] {
            let r = v.rect(
                pos2(tip - 4.0, side * p.bore),
                pos2(tip - 0.2, side * (p.bore - thick)),
            );
            painter.rect(
                r,
                1.0,
                t.frost,
                Stroke::new(0.7, t.card),
                StrokeKind::Middle,
            );
        }
        let long = 5.0 + 3.0 * share.sqrt() as f32;
        let at = v.xy(tip - 2.2, p.bore + 2.4) - vec2(0.0, long);
        // White with a dark edge, in light and in dark: gas of any pressure lies behind.
        let (white, edge) = if t.dark {
            (t.ink, t.card)
        } else {
            (t.card, t.ink)
        };
        for (wide, ink) in [(4.0, edge), (2.0, white)] {
            for k in 0..3_u8 {
                let arm = long * egui::Vec2::angled(f32::from(k) * std::f32::consts::FRAC_PI_3);
                painter.line_segment([at - arm, at + arm], Stroke::new(wide, ink));
            }
        }
    }

    fn draw_lever(&self, painter: &Painter) {
        let (p, v, t) = (&self.plan, &self.view, self.theme);
        let turn = self.turn();
        let pin = p.pin();
        let end = p.arm_end(turn);
        let knee = pin;
        let width = v.len(1.7).clamp(2.5, 8.0);
        // Bracket of the pin.
        draw::patch(
            painter,
            vec![
                v.xy(pin.x - 3.2, p.floor),
                v.xy(pin.x + 3.2, p.floor),
                v.xy(pin.x + 1.3, pin.y),
                v.xy(pin.x - 1.3, pin.y),
            ],
            draw::mix(t.body, t.steel, 0.5),
            self.ink(1.0),
        );
        // Stem from the plate to the lever's end.
        let plate = self.plate_height();
        let stem_end = if self.shape.linked {
            end.y
        } else {
            plate - 0.4 * (plate - end.y)
        };
        draw::cased(
            painter,
            vec![v.xy(0.0, plate), v.xy(0.0, stem_end)],
            width,
            t.steel,
            t.ink,
        );
        let (sin, cos) = turn.sin_cos();
        let along = |d: f32, s: f32| {
            // d along the short arm upwards, s towards the nozzle.
            pos2(pin.x - d * sin - s * cos, pin.y + d * cos - s * sin)
        };
        draw::cased(
            painter,
            vec![v.at(along(p.short, 0.6)), v.at(knee), v.at(end)],
            width,
            t.steel,
            t.ink,
        );
        self.draw_disc(painter, along);
        painter.circle(v.at(pin), v.len(1.5).max(2.5), t.card, self.ink(1.3));
        painter.circle(v.at(end), v.len(1.15).max(2.0), t.steel, self.ink(1.1));
    }

    /// Seat disc in its holder at the short arm's end.
    fn draw_disc(&self, painter: &Painter, along: impl Fn(f32, f32) -> Pos2) {
        let (p, v, t) = (&self.plan, &self.view, self.theme);
        let half = p.bore + 2.1;
        let quad = |near: f32, far: f32, half: f32| {
            [
                (p.short - half, near),
                (p.short + half, near),
                (p.short + half, far),
                (p.short - half, far),
            ]
            .map(|(d, s)| v.at(along(d, s)))
            .to_vec()
        };
        draw::patch(
            painter,
            quad(-0.3, DISC * 0.6, half + 0.7),
            t.steel,
            self.ink(1.0),
        );
        self.draw_rubber(painter, quad, &along, half);
    }

    /// The rubber of the disc, with what is wrong with it large enough to be seen.
    fn draw_rubber(
        &self,
        painter: &Painter,
        quad: impl Fn(f32, f32, f32) -> Vec<Pos2>,
        along: &impl Fn(f32, f32) -> Pos2,
        half: f32,
    ) {
        let (p, v, t, shape) = (&self.plan, &self.view, self.theme, &self.shape);
        let crumbled = if shape.grain_m.is_some() {
            0.0
        } else {
            (shape.held_m / CRUMBLED_M).min(1.0) as f32
        };
        // Rubber in crumbs: a part of it is left on the holder, until nothing is.
        if crumbled < 0.999 {
            draw::patch(
                painter,
                quad(
                    DISC * 0.25,
                    DISC * (1.0 - 0.6 * crumbled),
                    half * (1.0 - 0.75 * crumbled),
                ),
                t.rubber,
                self.ink(1.0),
            );
        }
        if crumbled > 0.0 {
            for k in 0..4_u32 {
                let at = along(
                    p.short + half * (1.8 * draw::scatter(k + 60) - 0.9),
                    DISC * (0.5 + 0.6 * draw::scatter(k + 80)),
                );
                painter.circle(
                    v.at(at),
                    v.len(0.35 + 0.5 * crumbled),
                    t.rubber,
                    self.ink(0.8),
                );
            }
        }
        if let Some(grain_m) = shape.grain_m {
            // A grain where disc and lip would meet.
            let at = along(p.short + p.bore + 0.3, DISC + 0.3);
            let share = (grain_m / GRAIN_LARGE_M).min(1.0) as f32;
            let size = v.len(0.3 + 1.1 * share).hypot(2.6);
            let points = (0..7_u32).map(|i| {
                let a = std::f32::consts::TAU * i as f32 / 7.0;
                v.at(at) + size * (0.8 + 0.3 * draw::scatter(i + 17)) * vec2(a.cos(), a.sin())
            });
            draw::patch(painter, points.collect(), t.mud, self.ink(1.1));
        }
        for (harmed, at, deep) in [
            (shape.nick_m2 > 0.0, p.short - p.bore, 1.5),
            (shape.set_m > 0.0, p.short + p.bore, 0.8),
        ] {
            if harmed {
                let notch = [(-0.8, DISC + 0.1), (0.0, DISC - deep), (0.8, DISC + 0.1)];
                let points = notch.map(|(d, s)| v.at(along(at + d, s)));
                draw::patch(painter, points.to_vec(), t.card, Stroke::new(1.4, t.danger));
            }
        }
    }

    fn draw_diaphragm(&self, painter: &Painter) {
        let (p, v, t) = (&self.plan, &self.view, self.theme);
        let y = self.plate_height();
        let mut line = vec![pos2(-p.clamp - FLANGE + 0.6, p.rest)];
        line.extend(self.membrane());
        line.push(pos2(p.clamp + FLANGE - 0.6, p.rest));
        draw::cased(
            painter,
            v.all(&line),
            v.len(1.25).clamp(2.5, 6.0),
            t.rubber,
            t.ink,
        );
        // Plates: a broad one under the spring, a washer below.
        let hole = if self.shape.relief { 2.6 } else { 0.0 };
        for side in [-1.0, 1.0] {
            let upper = v.rect(pos2(side * hole, y + 0.5), pos2(side * p.plate, y + 1.9));
            painter.rect(upper, 1.0, t.steel, self.ink(1.0), StrokeKind::Middle);
            let lower = v.rect(
                pos2(side * hole, y - 0.5),
                pos2(side * p.plate * 0.62, y - 1.7),
            );
            painter.rect(lower, 1.0, t.steel, self.ink(1.0), StrokeKind::Middle);
        }
        if self.shape.relief {
            self.draw_relief(painter, y);
        }
    }

    /// Share of its opening at which the relief is drawn.
    fn relief_gap(&self) -> f32 {
        (self.now.relief_kg_per_s.abs() / RELIEF_WIDE_KG_PER_S)
            .sqrt()
            .min(1.0) as f32
    }

    /// The relief: a stem head that closes the plate's hole, held by a small spring above.
    fn draw_relief(&self, painter: &Painter, y: f32) {
        let (v, t) = (&self.view, self.theme);
        let gap = 1.6 * self.relief_gap();
        let hole = v.rect(pos2(-2.6, y - 1.7), pos2(2.6, y + 1.9));
        painter.rect_filled(hole, 0.0, t.gas(self.now.chamber_pa));
        for x in [-2.6, 2.6] {
            painter.line_segment([v.xy(x, y - 1.7), v.xy(x, y + 1.9)], self.ink(1.0));
        }
        let head = y - 1.7 - gap;
        draw::patch(
            painter,
            vec![
                v.xy(-3.9, head),
                v.xy(3.9, head),
                v.xy(1.2, head - 1.9),
                v.xy(-1.2, head - 1.9),
            ],
            t.steel,
            self.ink(1.0),
        );
        let post = v.rect(pos2(-0.7, head), pos2(0.7, y + 7.6));
        painter.rect(post, 0.0, t.steel, self.ink(0.8), StrokeKind::Middle);
        let collar = v.rect(pos2(-2.8, y + 7.0), pos2(2.8, y + 8.0));
        painter.rect(collar, 0.5, t.steel, self.ink(0.8), StrokeKind::Middle);
        Coil {
            radius: 2.2,
            low: y + 2.2,
            high: y + 6.8,
            turns: 4,
            wire: v.len(0.5).clamp(0.9, 2.0),
            ..Coil::default()
        }
        .draw(
            painter,
            v,
            t.brass,
            draw::mix(t.brass, self.case_color(), 0.6),
        );
    }

    /// The healthy twin: where its diaphragm and lever stand.
    fn draw_twin(&self, painter: &Painter) {
        let Some(twin) = self.twin else { return };
        let (p, v, t) = (&self.plan, &self.view, self.theme);
        let height = p.plate_height(twin.rise_m, twin.touch_rise_m);
        if v.len((height - self.plate_height()).abs()) < 1.0 {
            return;
        }
        let push = bulge(twin.chamber_pa - twin.case_pa);
        let above = height > self.plate_height();
        let ink = if above {
            t.ink
        } else {
            t.ink_on_gas(self.now.chamber_pa)
        };
        let faint = Stroke::new(1.2, ink.gamma_multiply(0.7));
        let mut lines = Vec::new();
        lines.extend(Shape::dashed_line(
            &v.all(&p.membrane(height, push)),
            faint,
            4.0,
            3.0,
        ));
        let turn = p.lever_turn(height);
        let seat = p.seat_face(turn) + vec2(DISC, 0.0);
        lines.extend(Shape::dashed_line(
            &v.all(&[seat, p.pin(), p.arm_end(turn)]),
            faint,
            4.0,
            3.0,
        ));
        painter.extend(lines);
        if v.len((height - self.plate_height()).abs()) > 7.0 {
            let align = if above {
                egui::Align2::CENTER_BOTTOM
            } else {
                egui::Align2::CENTER_TOP
            };
            // On a ground of its own: coils and levers lie behind.
            let font = crate::window::look::theme::plain(10.5);
            let word = painter.layout_no_wrap("healthy".to_owned(), font, faint.color);
            let at = align.anchor_size(v.xy(-0.46 * p.plate, height), word.size());
            // Clear of the arrows on the plate.
            let clear = v.xy(-0.6 * p.plate, height).x + 3.0;
            let at = at.translate(vec2((clear - at.left()).max(0.0), 0.0));
            let ground = if above {
                self.case_color()
            } else {
                t.gas(self.now.chamber_pa)
            };
            painter.rect_filled(at.expand2(vec2(2.0, -1.0)), 2.0, ground);
            painter.galley(at.min, word, faint.color);
        }
    }

    /// Gas below, air above and spring on the diaphragm as arrows to one scale, in the colours of the balance.
    pub fn draw_push(&self, painter: &Painter) {
        const LONGEST_MM: f32 = 7.0;
        let (p, v, t) = (&self.plan, &self.view, self.theme);
        let great = super::balance::Pushes::of(self.now, &self.shape).great();
        let full = great.iter().map(|n| n.abs()).fold(1e-6, f64::max);
        let y = self.plate_height();
        let width = v.len(0.8).clamp(1.6, 3.2);
        for side in [-1.0, 1.0] {
            for (k, newton) in great.into_iter().enumerate() {
                let long = LONGEST_MM * (newton / full) as f32;
                if !long.is_finite() || long.abs() < 0.25 {
                    continue;
                }
                // Spring nearest to the middle, then gas, then air.
                let x = side * p.plate * [0.80, 0.92, 0.66][k];
                let color = if newton > 0.0 { t.closes } else { t.opens };
                let face = if long > 0.0 { y - 2.0 } else { y + 2.2 };
                super::balance::arrow(painter, v.xy(x, face), v.len(long), width, color);
            }
        }
    }
}

/// How far the folds are blown up, -1 to 1, by a pressure difference \[Pa\].
fn bulge(across_pa: f64) -> f32 {
    let push = (across_pa / 400.0).tanh() as f32;
    if push.is_finite() { push } else { 0.0 }
}

/// A straight pipe between two points at one height on the screen, filled with gas.
pub fn pipe(painter: &Painter, theme: &Theme, scale: f32, from: Pos2, to_x: f32, gas: Color32) {
    let half = PIPE * scale;
    let wall = 1.7 * scale;
    let outer = Rect::from_x_y_ranges(from.x..=to_x, from.y - half - wall..=from.y + half + wall);
    painter.rect_filled(outer, 0.0, theme.body);
    let bore = Rect::from_x_y_ranges(from.x..=to_x, from.y - half..=from.y + half);
    painter.rect_filled(bore, 0.0, gas);
    for y in [outer.top(), outer.bottom(), bore.top(), bore.bottom()] {
        painter.hline(from.x..=to_x, y, Stroke::new(1.1, theme.ink));
    }
}
