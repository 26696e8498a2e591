//! What moves through the regulator: dashes of gas at the pace of the true flow, droplets of
//! liquid, the breath of the vents, the relief and a torn diaphragm.

use egui::{Align2, Color32, Painter, Pos2, Rect, Shape, Stroke, pos2, vec2};

use super::draw::{self, Path};
use super::geometry::WALL;
use super::stage::Stage;
use crate::report::percent::percent;
use crate::rig::readings::{Readings, StageReadings};
use crate::service::ESCAPES_KG_PER_S;
use crate::window::look::show::Units;
use crate::window::look::theme::{NOTE, Theme, plain, strong};
use crate::window::told::part::{Breath, breathes};

/// Puffs of a plume on their way at once.
const PUFFS: u32 = 7;

/// Drawn travel of a dash per mass of gas \[mm/kg\]: 0.4 g/s moves 45 mm in a second.
const TRAVEL_MM_PER_KG: f64 = 1.1e5;
/// No dash moves faster than this \[mm/s\], or the eye sees it run backwards.
const FASTEST_MM_PER_S: f64 = 110.0;
/// Flow under which the dashes fade, down to nothing at rest \[kg/s\]: half a pilot.
const FAINT_KG_PER_S: f64 = 1.5e-6;
/// Distance between dashes \[mm\].
const GAP_MM: f32 = 8.5;
/// A tear that is drawn widest \[m²\].
const LARGE_TEAR_M2: f64 = 20e-6;
/// Breath at which its arrow is longest \[m³/s\].
const GUST_M3_PER_S: f64 = 2e-4;

/// How far the dashes of each part have moved.
#[allow(
    clippy::struct_field_names,
    reason = "a suffix is the unit, as everywhere"
)]
#[derive(Debug, Clone, Copy, Default)]
pub struct Phases {
    /// Through the first seat.
    pub first_mm: f64,
    /// Through the second seat.
    pub second_mm: f64,
    /// To the burners.
    pub outlet_mm: f64,
    /// Across the diaphragms, through tears and reliefs.
    pub leak_mm: [f64; 2],
    /// From the reserve of a changeover.
    pub reserve_mm: f64,
    /// Out of pigtails and low side.
    pub line_mm: [f64; 2],
}

impl Phases {
    /// Moves on by `dt_s` seconds on the viewer's clock at these flows \[kg/s\].
    pub fn advance(&mut self, dt_s: f64, first: f64, second: f64, outlet: f64) {
        let step = |flow: f64| {
            if flow.is_nan() {
                return 0.0;
            }
            (flow * TRAVEL_MM_PER_KG).clamp(-FASTEST_MM_PER_S, FASTEST_MM_PER_S) * dt_s
        };
        self.first_mm = wrap(self.first_mm + step(first));
        self.second_mm = wrap(self.second_mm + step(second));
        self.outlet_mm = wrap(self.outlet_mm + step(outlet));
    }

    /// Moves what crosses the diaphragms, and what a reserve gives, on by `dt_s` seconds, each at the pace of its own flow.
    pub fn advance_leaks(&mut self, dt_s: f64, r: &Readings) {
        let reserve = r.containers[1 - r.service_side.min(1)].flow_kg_per_s;
        if reserve.is_finite() {
            let pace = (reserve * TRAVEL_MM_PER_KG).clamp(0.0, FASTEST_MM_PER_S);
            self.reserve_mm = wrap(self.reserve_mm + pace * dt_s);
        }
        let flows = [&r.first, &r.second].map(escapes);
        for (mm, flow) in self.leak_mm.iter_mut().zip(flows) {
            drift(mm, flow, dt_s);
        }
        for (mm, flow) in self.line_mm.iter_mut().zip(lost(r)) {
            drift(mm, flow, dt_s);
        }
    }
}

/// Moves gas that escapes on by `dt_s`; a whiff still drifts.
fn drift(mm: &mut f64, flow: f64, dt_s: f64) {
    let pace = (flow * TRAVEL_MM_PER_KG).clamp(0.0, FASTEST_MM_PER_S);
    let pace = if flow > 1e-9 { pace.max(4.0) } else { 0.0 };
    if pace.is_finite() {
        *mm = wrap(*mm + pace * dt_s);
    }
}

/// Gas that leaves the pigtails, and the low side \[kg/s\].
pub fn lost(r: &Readings) -> [f64; 2] {
    let pigtails = r.containers[..r.container_count].iter();
    [
        pigtails.map(|c| c.leak_kg_per_s).sum(),
        r.line_leak_kg_per_s,
    ]
}

/// Gas that crosses a diaphragm \[kg/s\].
pub fn escapes(s: &StageReadings) -> f64 {
    let flow = s.relief_kg_per_s + s.tear_kg_per_s;
    if flow.is_finite() { flow.max(0.0) } else { 0.0 }
}

/// Keeps a phase small without a jump: many gaps long.
fn wrap(mm: f64) -> f64 {
    mm.rem_euclid(f64::from(GAP_MM) * 3600.0)
}

/// Dashes on a path, their colour, and how many of them are drops of liquid.
pub struct Stream {
    /// Where they run.
    pub path: Path,
    /// How far they have moved \[mm\].
    pub phase_mm: f64,
    /// Flow \[kg/s\]; nothing is drawn without any.
    pub flow_kg_per_s: f64,
    /// Their colour.
    pub color: Color32,
    /// Share of liquid, 0 to 1.
    pub liquid_share: f64,
}

impl Stream {
    /// Draws the dashes.
    pub fn draw(&self, painter: &Painter, scale: f32, theme: &Theme) {
        if self.flow_kg_per_s.abs() < 1e-9 {
            return;
        }
        let strength = (self.flow_kg_per_s.abs() / FAINT_KG_PER_S).min(1.0) as f32;
        let gap = GAP_MM * scale;
        let half = 1.5 * scale;
        let mut shapes = Vec::new();
        for (i, s) in self
            .path
            .places(gap, self.phase_mm as f32 * scale)
            .enumerate()
        {
            let Some((at, along)) = self.path.at(s) else {
                continue;
            };
            // Fade in and out at the ends so that nothing pops.
            let edge = strength * (s.min(self.path.length() - s) / gap).clamp(0.0, 1.0);
            let drop = f64::from(draw::scatter(i as u32)) < self.liquid_share;
            if drop {
                let color = theme.liquid.gamma_multiply(edge);
                shapes.push(Shape::circle_filled(at, 0.9 * scale, color));
                shapes.push(Shape::circle_stroke(
                    at,
                    0.9 * scale,
                    Stroke::new(0.8, self.color.gamma_multiply(edge)),
                ));
            } else {
                let tail = self.path.at(s - half).map_or(at, |(q, _)| q);
                let head = self.path.at(s + half).map_or(at + along * half, |(q, _)| q);
                shapes.push(Shape::line_segment(
                    [tail, head],
                    Stroke::new(1.7, self.color.gamma_multiply(0.75 * edge)),
                ));
            }
        }
        painter.extend(shapes);
    }
}

/// The way of gas through a chamber: past the seat, under the diaphragm, to the outlet.
pub fn chamber_way(stage: &Stage<'_>, lane: f32) -> Vec<Pos2> {
    let (p, v) = (&stage.plan, &stage.view);
    let tip = p.nozzle_tip();
    let high = stage.plate_height() - 4.0;
    let way = if lane > 0.0 {
        vec![
            v.xy(tip + 0.3, p.bore + 0.6),
            v.xy(tip + 0.4, p.bore + 3.4),
            v.xy(tip + 5.0, high - 1.0),
            v.xy(-p.clamp * 0.05, high - 2.5),
            v.xy(p.clamp * 0.55, 3.0),
            v.xy(p.clamp, 1.6),
        ]
    } else {
        vec![
            v.xy(tip + 0.3, -p.bore - 0.6),
            v.xy(tip + 0.2, -p.bore - 3.2),
            v.xy(tip + 3.5, p.floor * 0.72),
            v.xy(0.0, p.floor * 0.78),
            v.xy(p.clamp * 0.6, -2.4),
            v.xy(p.clamp, -1.6),
        ]
    };
    draw::smooth(&way)
}

/// What the vent does: arrow or plume at its mouth, and the word. A word that only says "vent" needs room up to what stands
/// at its right.
pub fn breath(painter: &Painter, stage: &Stage<'_>, phases: &Phases, right: f32) {
    let (p, v, t) = (&stage.plan, &stage.view, stage.theme);
    let mouth = p.vent_mouth();
    let flow = stage.now.vent_m3_per_s;
    let open = stage.now.vent_open;
    let shut = open < 0.01;
    let breath = breathes(stage.now);
    let gas = escapes(stage.now) > 1e-9 && breath == Some(Breath::Out);
    let mut at = v.xy(mouth.x + p.vent.max(1.1) + 3.4, p.shoulder + 1.0);
    // Each with what is left of it where it has little room.
    let mut lines: Vec<([&str; 2], Color32)> = Vec::new();
    let percent_open = percent(open);
    let [part, short] = [
        format!("vent {percent_open} open"),
        format!("{percent_open} open"),
    ];
    if gas && !shut {
        plume(painter, stage, phases);
        lines.push((["gas escapes", "gas out"], t.danger));
    } else if let (Some(breath), false) = (breath, shut) {
        let share = (flow.abs() / GUST_M3_PER_S).sqrt().min(1.0) as f32;
        let long = v.len(2.5 + 2.5 * share);
        let near = v.xy(mouth.x, mouth.y - 0.7);
        let far = near + vec2(0.0, long);
        let (from, to, word) = match breath {
            Breath::Out => (near, far, "air out"),
            Breath::In => (far, near, "air in"),
        };
        draw::arrow(painter, from, to, 1.2 + 1.6 * share, t.accent);
        lines.push(([word; 2], t.soft));
    } else if open > 0.995 || stage.quiet {
        let wide = painter
            .layout_no_wrap("vent".to_owned(), plain(NOTE), t.soft)
            .size()
            .x;
        if at.x + wide < right {
            lines.push((["vent"; 2], t.soft));
        }
    }
    if stage.now.thumb > 0.5 {
        lines.push((["thumb on it", "thumb"], t.caution));
    } else if stage.quiet {
        // What bars it is drawn, and is for the class to see.
    } else if shut {
        lines.push((["vent shut", "shut"], t.danger));
    } else if open <= 0.995 {
        lines.push(([&part, &short], t.caution));
    }
    // Never into what stands at its right, nor over the edge of the picture.
    let edge = right.min(painter.clip_rect().right()) - 2.0;
    for (words, color) in lines {
        let font = if color == t.soft {
            plain(NOTE)
        } else {
            strong(NOTE)
        };
        let laid = words.map(|w| painter.layout_no_wrap(w.to_owned(), font.clone(), color));
        let galley = laid
            .iter()
            .find(|g| at.x + g.size().x <= edge)
            .unwrap_or(&laid[1])
            .clone();
        let x = at.x.min(edge - galley.size().x);
        let high = galley.size().y;
        if x < at.x {
            let ground = Rect::from_min_size(pos2(x, at.y), galley.size());
            painter.rect_filled(ground.expand(2.0), 0.0, t.card);
        }
        painter.galley(pos2(x, at.y), galley, color);
        at.y += high;
    }
}

/// Gas out of the vent: puffs that drift down and spread, the more the more escapes.
fn plume(painter: &Painter, stage: &Stage<'_>, phases: &Phases) {
    let (p, v) = (&stage.plan, &stage.view);
    let mouth = v.at(p.vent_mouth()) + vec2(0.0, v.len(0.6));
    let phase = phases.leak_mm[usize::from(stage.shape.relief)];
    puffs(
        painter,
        (mouth, 1.0),
        (escapes(stage.now), phase),
        v.len(1.0),
        stage.theme,
    );
}

/// Puffs from a place, down (1) or up (-1).
fn puffs(
    painter: &Painter,
    (from, down): (Pos2, f32),
    (flow, phase_mm): (f64, f64),
    mm: f32,
    t: &Theme,
) {
    let share = (flow / 3e-4).sqrt().clamp(0.12, 1.0) as f32;
    let reach = 4.0 + 9.0 * share;
    let phase = (phase_mm as f32 / 9.0).fract();
    for k in 0..PUFFS {
        let u = (phase + k as f32 / PUFFS as f32).fract();
        let drift = (draw::scatter(k + 11) - 0.4) * 7.0 * u;
        let at = from + mm * vec2(drift, down * reach * u);
        let radius = mm * (0.5 + (0.5 + 1.5 * share) * u);
        let ink = t.danger.gamma_multiply(0.75 * (1.0 - u));
        painter.circle_stroke(at, radius, Stroke::new(1.5, ink));
    }
}

/// Gas that leaves pigtails and low side before it comes to where it should: puffs over the ends of the drawn pipes, with what goes where
/// units are given.
pub fn losses(
    painter: &Painter,
    [inlet, _, outlet]: [Rect; 3],
    phases: &Phases,
    (r, units): (&Readings, Option<Units>),
    mm: f32,
    t: &Theme,
) {
    let places = [
        (
            pos2(inlet.left() + 8.0 * mm, inlet.top()),
            Align2::LEFT_BOTTOM,
            inlet.left(),
        ),
        (
            pos2(outlet.right() - 8.0 * mm, outlet.top()),
            Align2::RIGHT_BOTTOM,
            outlet.right(),
        ),
    ];
    for (i, (flow, (from, align, edge))) in lost(r).into_iter().zip(places).enumerate() {
        if !(flow.is_finite() && flow > ESCAPES_KG_PER_S) {
            continue;
        }
        puffs(painter, (from, -1.0), (flow, phases.line_mm[i]), mm, t);
        // A small picture has no room over its pipes; there the headline tells it.
        if let Some(units) = units {
            let words = format!("gas escapes\n{}", units.mass_flow(flow));
            let at = pos2(edge, from.y - 14.0 * mm);
            painter.text(at, align, words, strong(NOTE), t.danger);
        }
    }
}

/// Gas that crosses the diaphragm: through the relief and through a tear; a tear is seen whether gas goes or not.
pub fn leaks(painter: &Painter, stage: &Stage<'_>, phases: &Phases, which: usize) {
    let (p, v, t) = (&stage.plan, &stage.view, stage.theme);
    let y = stage.plate_height();
    let stream = |points: Vec<Pos2>, flow: f64| {
        Stream {
            path: Path::new(draw::smooth(&points)),
            phase_mm: phases.leak_mm[which] * flow.signum(),
            flow_kg_per_s: flow,
            color: t.danger,
            liquid_share: 0.0,
        }
        .draw(painter, v.scale * 0.7, t);
    };
    let relief = stage.now.relief_kg_per_s;
    if relief.abs() > 1e-9 {
        for side in [-1.0, 1.0] {
            stream(
                vec![
                    v.xy(side * 5.5, y - 3.6),
                    v.xy(side * 2.4, y - 1.4),
                    v.xy(side * 1.6, y + 2.0),
                    v.xy(side * 5.0, y + 8.0),
                    v.xy(side * p.tower * 0.8, y + 14.0),
                ],
                relief,
            );
        }
    }
    if stage.shape.tear_m2 > 0.0 || stage.now.tear_kg_per_s.abs() > 1e-9 {
        tear(painter, stage, &stream);
    }
    if relief.abs() > 1e-9 || stage.now.tear_kg_per_s.abs() > 1e-9 {
        // In the bonnet it goes to the vent.
        let level = 0.5 * (p.rest + 3.2 + p.shoulder);
        let way = vec![
            v.xy(0.55 * p.clamp, level),
            v.xy(p.clamp, level),
            v.xy(p.vent_mouth().x, level),
            v.at(p.vent_mouth()),
        ];
        stream(way, escapes(stage.now));
    }
}

/// The tear: a gap with ragged ends in the rubber, wider the larger it is, and its word outside the body.
fn tear(painter: &Painter, stage: &Stage<'_>, stream: &impl Fn(Vec<Pos2>, f64)) {
    let (p, v, t) = (&stage.plan, &stage.view, stage.theme);
    let x = -0.5 * (p.clamp + p.plate);
    let at = stage
        .membrane()
        .into_iter()
        .min_by(|a, b| (a.x - x).abs().total_cmp(&(b.x - x).abs()))
        .unwrap_or(pos2(x, stage.plate_height()));
    let half = 0.6 + 1.3 * (stage.shape.tear_m2 / LARGE_TEAR_M2).sqrt().min(1.0) as f32;
    let hole = v.rect(pos2(at.x - half, at.y - 0.9), pos2(at.x + half, at.y + 0.9));
    painter.rect_filled(hole, 0.0, t.gas(stage.now.chamber_pa));
    for side in [-1.0, 1.0] {
        let end = v.xy(at.x + side * half, at.y);
        for lean in [-0.9, 0.0, 0.9] {
            let tip = v.xy(at.x + side * (half - 0.7), at.y + lean);
            painter.line_segment([end, tip], Stroke::new(1.8, t.danger));
        }
    }
    for lean in [-1.2, 0.0, 1.2] {
        stream(
            vec![
                v.xy(at.x, at.y - 3.0),
                v.at(at),
                v.xy(at.x + lean, at.y + 3.0),
                v.xy(at.x + 2.5 + lean, p.shoulder - 0.8),
                v.xy(0.0, p.shoulder - 0.6),
            ],
            stage.now.tear_kg_per_s,
        );
    }
    // Over the flange, however small the picture.
    let word_at = v.xy(-p.clamp - WALL - 1.0, p.rest + 3.6);
    painter.line_segment([word_at, v.at(at)], Stroke::new(1.2, t.danger));
    painter.text(
        word_at,
        egui::Align2::RIGHT_BOTTOM,
        "torn",
        strong(NOTE),
        t.danger,
    );
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dashes_stand_still_without_flow_and_run_with_it() {
        let mut p = Phases::default();
        p.advance(1.0, 0.0, 4e-4, -4e-4);
        assert_eq!(p.first_mm, 0.0);
        assert!((p.second_mm - 44.0).abs() < 1e-9);
        // Backwards, modulo whole gaps.
        let back = f64::from(GAP_MM) * 3600.0 - p.outlet_mm;
        assert!((back - 44.0).abs() < 1e-9);
    }

    #[test]
    fn twice_the_flow_moves_twice_as_far() {
        let (mut a, mut b) = (Phases::default(), Phases::default());
        a.advance(0.5, 1e-4, 0.0, 0.0);
        b.advance(0.5, 2e-4, 0.0, 0.0);
        assert!((b.first_mm - 2.0 * a.first_mm).abs() < 1e-9);
    }
}
