//! Where the parts of a stage lie and how they move: model coordinates in millimetres, origin on
//! the nozzle axis under the middle of the diaphragm, y up. Draws nothing.
//!
//! Diaphragms, bores, vents and lever ratios are the rig's own; wall thicknesses, the depth of
//! the chambers and the spring towers are of our making. Travel is enlarged by one factor for
//! both stages, which is told, the same for diaphragm, lever and seat, so that the linkage stays true to itself.

use crate::fault::{Fault, grain_m};
use crate::rig::{Rig, Seat, Stage, Vent, presets};
use crate::window::look::within::within;
use egui::{Pos2, Rect, Vec2, pos2, vec2};

/// Thickness of the cut walls \[mm\].
pub const WALL: f32 = 2.6;
/// How far the clamping flange stands out \[mm\].
pub const FLANGE: f32 = 5.5;
/// Thickness of the seat disc \[mm\].
pub const DISC: f32 = 2.4;
/// Inner half-width of the drawn pipes \[mm\].
pub const PIPE: f32 = 4.2;
/// Widest turn of a lever that is drawn \[rad\]: further travel is said.
const WIDEST_TURN: f32 = 0.42;

/// What the drawing must know of one stage's dimensions.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct StageShape {
    /// Effective diameter of the diaphragm \[m\].
    pub diaphragm_m: f64,
    /// Bore of the nozzle \[m\].
    pub bore_m: f64,
    /// Diaphragm travel per seat travel.
    pub lever_ratio: f64,
    /// Diaphragm travel from the full-open stop to touch \[m\].
    pub stroke_m: f64,
    /// Bore of the vent \[m\].
    pub vent_m: f64,
    /// Whether a relief valve sits in the diaphragm plate.
    pub relief: bool,
    /// Whether the lever still holds the stem.
    pub linked: bool,
    /// How far the adjusting screw is in, against its nominal place \[m\].
    pub screw_in_m: f64,
    /// What keeps the seat off its nozzle whatever the lever does \[m\]: a grain, or rubber that is gone.
    pub held_m: f64,
    /// Size of the loose grain that does it, most of it bedded in the rubber \[m\]; nothing where it is none.
    pub grain_m: Option<f64>,
    /// Channel across the rubber that no force closes \[m²\].
    pub nick_m2: f64,
    /// Depth of a ring that the nozzle has left in the rubber \[m\].
    pub set_m: f64,
    /// Tear of the diaphragm \[m²\].
    pub tear_m2: f64,
    /// Its vent, where a flap lies beside it.
    pub flap: Option<Vent>,
    /// How bad a break of the adjusting spring is, 0 (whole) to 1.
    pub spring_broken: f64,
    /// Whether what closes the vent is ice.
    pub vent_iced: bool,
}

/// The parts of one stage laid out \[mm\].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plan {
    /// Radius at which the diaphragm is clamped.
    pub clamp: f32,
    /// Radius of the diaphragm plate.
    pub plate: f32,
    /// Long arm of the lever.
    pub arm: f32,
    /// Short arm of the lever, pin to seat.
    pub short: f32,
    /// Height of the chamber floor.
    pub floor: f32,
    /// Height of the diaphragm with the seat just touching.
    pub rest: f32,
    /// Height at which the wide part of the spring case ends.
    pub shoulder: f32,
    /// Inner radius of the spring tower.
    pub tower: f32,
    /// Top of the spring tower's cavity.
    pub top: f32,
    /// Radius of the bore.
    pub bore: f32,
    /// Half-width of the vent passage.
    pub vent: f32,
    /// Radius of the spring coils.
    pub coil: f32,
    /// Lower face of the screw plug.
    pub screw: f32,
    /// How many times as large travel is drawn.
    pub enlarged: f32,
}

impl Plan {
    /// Lays out a stage with its travel drawn `enlarged` times.
    pub fn of(shape: &StageShape, enlarged: f32) -> Self {
        let mm = |m: f64| (m * 1e3) as f32;
        let radius = (mm(shape.diaphragm_m) * 0.5).clamp(12.0, 70.0);
        let ratio = (shape.lever_ratio as f32).clamp(0.5, 12.0);
        let clamp = radius * 1.13;
        let arm = clamp * if ratio < 2.0 { 0.42 } else { 0.60 };
        let short = (arm / ratio).clamp(3.0, 14.0);
        let bore = (mm(shape.bore_m) * 0.5).clamp(0.4, 5.0);
        let rest = (bore + 7.5).max(0.2 * clamp + 4.5);
        let shoulder = rest + 0.10 * clamp + 5.0;
        let tower = 0.34 * clamp + 6.0;
        let top = shoulder + 0.24 * clamp + 20.0;
        // A screw far in or out stays in its bore, and still further is still further.
        let far = |mm: f32, most: f32| most * (mm / most).tanh();
        let screw_mm = mm(shape.screw_in_m);
        let screw = top
            - 5.0
            - if screw_mm > 0.0 {
                far(screw_mm, 6.0)
            } else {
                far(screw_mm, 4.0)
            };
        Self {
            clamp,
            plate: radius * 0.80,
            arm,
            short,
            floor: -short - if ratio < 2.0 { 9.0 } else { 6.5 },
            rest,
            shoulder,
            tower,
            top,
            bore,
            vent: (mm(shape.vent_m) * 0.5).clamp(0.6, 2.4),
            coil: tower * 0.66,
            screw,
            enlarged,
        }
    }

    /// Height drawn for a diaphragm at `rise_m`, when the seat touches at `touch_m` \[mm\].
    pub fn plate_height(&self, rise_m: f64, touch_m: f64) -> f32 {
        let travel = ((rise_m - touch_m) * 1e3) as f32 * self.enlarged;
        if !travel.is_finite() {
            return self.rest;
        }
        within(
            self.rest + travel,
            self.rest - WIDEST_TURN * self.arm,
            self.rest + 6.0,
        )
    }

    /// Whether the travel reaches further than it is drawn, so many times enlarged.
    pub fn runs_off(&self, rise_m: f64, touch_m: f64) -> bool {
        let travel = ((rise_m - touch_m) * 1e3) as f32 * self.enlarged;
        !(-WIDEST_TURN * self.arm - 0.05..=6.05).contains(&travel)
    }

    /// Turn of the lever for a plate height \[rad\]; zero when the seat touches.
    pub fn lever_turn(&self, plate_height: f32) -> f32 {
        ((plate_height - self.rest) / self.arm).min(0.02)
    }

    /// How far the long arm may lie under the level of its pin before it meets the floor \[rad\].
    fn dip(&self) -> f32 {
        ((-self.short - self.floor - 1.6) / self.arm)
            .clamp(0.0, 1.0)
            .asin()
    }

    /// How far the long arm is bent up \[rad\], so that it stays over the floor at the widest turn that is drawn.
    fn bend(&self) -> f32 {
        (WIDEST_TURN - self.dip()).max(0.0)
    }

    /// Turn at which the long arm meets the floor \[rad\].
    pub fn widest_turn(&self) -> f32 {
        self.bend() + self.dip()
    }

    /// The lever's pin.
    pub fn pin(&self) -> Pos2 {
        pos2(-self.arm, -self.short)
    }

    /// End of the long arm under the stem.
    pub fn arm_end(&self, turn: f32) -> Pos2 {
        self.pin() + rotated(vec2(self.arm, 0.0), turn + self.bend())
    }

    /// Middle of the seat disc's face towards the nozzle.
    pub fn seat_face(&self, turn: f32) -> Pos2 {
        self.pin() + rotated(vec2(-DISC, self.short), turn)
    }

    /// Tip of the nozzle.
    pub fn nozzle_tip(&self) -> f32 {
        -self.arm - DISC
    }

    /// The flexing part of the diaphragm from the clamp (left) to the plate, then mirrored: the
    /// whole membrane as points from left to right. `bulge` is -1 to 1, up when the chamber
    /// presses harder than the case.
    pub fn membrane(&self, plate_height: f32, bulge: f32) -> Vec<Pos2> {
        const STEPS: usize = 14;
        let width = self.clamp - self.plate;
        let drop = plate_height - self.rest;
        // The rubber keeps its length: what travel does not stretch goes into the fold.
        let length = (width * width * 1.32 + 36.0 * width * 0.12).sqrt();
        let chord = (width * width + drop * drop).sqrt();
        let fold = 0.52 * (length * length - chord * chord).max(0.0).sqrt() * bulge;
        let half: Vec<Pos2> = (0..=STEPS)
            .map(|i| {
                let u = i as f32 / STEPS as f32;
                let ease = u * u * (3.0 - 2.0 * u);
                let loop_ = (std::f32::consts::PI * u).sin().max(0.0).powf(1.25);
                pos2(
                    -self.clamp + u * width,
                    self.rest + drop * ease + fold * loop_,
                )
            })
            .collect();
        let mirrored = half.iter().rev().map(|p| pos2(-p.x, p.y));
        half.iter().copied().chain(mirrored).collect()
    }

    /// Half-width of the body's silhouette over height, from the bottom up.
    pub fn silhouette(&self) -> Vec<(f32, f32)> {
        let wide = self.clamp + WALL;
        let rim = self.clamp + FLANGE;
        let tower = self.tower + WALL;
        vec![
            (self.floor - WALL, wide - 2.0),
            (self.floor - WALL + 0.6, wide - 0.6),
            (self.floor - WALL + 2.0, wide),
            (self.rest - 3.2, wide),
            (self.rest - 2.6, rim),
            (self.rest + 2.6, rim),
            (self.rest + 3.2, wide),
            (self.shoulder - 1.2, wide),
            (self.shoulder + 0.6, wide - 1.0),
            (self.shoulder + WALL, wide - 3.2),
            (self.shoulder + WALL + 1.4, tower + 1.2),
            (self.shoulder + WALL + 3.4, tower),
            (self.top, tower),
        ]
    }

    /// Half-width of the cavity over height, from the floor up.
    pub fn cavity(&self) -> Vec<(f32, f32)> {
        vec![
            (self.floor, self.clamp - 1.4),
            (self.floor + 0.5, self.clamp - 0.4),
            (self.floor + 1.6, self.clamp),
            (self.shoulder - 1.6, self.clamp),
            (self.shoulder, self.clamp - 1.4),
            (self.shoulder + 0.4, self.tower + 1.0),
            (self.shoulder + 1.8, self.tower),
            (self.top, self.tower),
        ]
    }

    /// Right-hand mouth of the vent: tube down from the wide part of the case.
    pub fn vent_mouth(&self) -> Pos2 {
        pos2(self.clamp + FLANGE + 5.0, self.rest - 3.5)
    }

    /// Box around everything of the stage.
    pub fn extent(&self) -> Rect {
        Rect::from_min_max(
            pos2(-self.clamp - FLANGE, self.floor - WALL),
            pos2(self.vent_mouth().x + self.vent + 3.0, self.top + 7.0),
        )
    }
}

fn rotated(v: Vec2, turn: f32) -> Vec2 {
    let (sin, cos) = turn.sin_cos();
    vec2(v.x * cos - v.y * sin, v.x * sin + v.y * cos)
}

/// Millimetres of one stage to points on the screen; y turns over.
#[derive(Debug, Clone, Copy)]
pub struct View {
    /// Screen position of the stage's origin.
    pub origin: Pos2,
    /// Points per millimetre.
    pub scale: f32,
}

impl View {
    /// A point.
    pub fn at(&self, p: Pos2) -> Pos2 {
        self.xy(p.x, p.y)
    }

    /// A point from its coordinates.
    pub fn xy(&self, x: f32, y: f32) -> Pos2 {
        self.origin + vec2(x, -y) * self.scale
    }

    /// A box from two corners.
    pub fn rect(&self, a: Pos2, b: Pos2) -> Rect {
        Rect::from_two_pos(self.at(a), self.at(b))
    }

    /// Many points.
    pub fn all(&self, points: &[Pos2]) -> Vec<Pos2> {
        points.iter().map(|p| self.at(*p)).collect()
    }

    /// A length.
    pub fn len(&self, mm: f32) -> f32 {
        mm * self.scale
    }
}

/// How far the screw presses the spring together at the open stop \[m\]; a tired spring does not
/// move the screw.
fn pressed_m(stage: &Stage) -> f64 {
    stage.preload_n / stage.spring_n_per_m.max(1.0)
}

/// What the drawing needs of a stage; the screw's place is told against `nominal`.
pub fn shape_of(stage: &Stage, nominal: &Stage) -> StageShape {
    StageShape {
        diaphragm_m: (4.0 * stage.area_m2 / std::f64::consts::PI).sqrt(),
        bore_m: stage.bore_m,
        lever_ratio: stage.lever_ratio,
        stroke_m: nominal.touch_rise_m,
        vent_m: (4.0 * nominal.vent.area_m2 / std::f64::consts::PI).sqrt(),
        relief: stage.relief.is_some(),
        linked: stage.linked,
        screw_in_m: pressed_m(stage) - pressed_m(nominal),
        held_m: stage.held_lift_m,
        grain_m: grain_m(stage),
        nick_m2: stage.seal_channel_m2,
        set_m: (stage.touch_rise_m - nominal.touch_rise_m).max(0.0) / stage.lever_ratio,
        tear_m2: stage.tear_m2,
        flap: Some(stage.vent).filter(|v| v.flap_m2 > 0.0),
        spring_broken: 0.0,
        vent_iced: stage.vent.freezing_share > 0.0,
    }
}

/// What the drawing needs of both stages of a rig with so much of these faults in it: that a spring is broken, and not only
/// weak, no number of the rig tells.
pub fn shapes_of(rig: &Rig, faults: impl IntoIterator<Item = (Fault, f64)>) -> [StageShape; 2] {
    let mut shapes = [
        shape_of(&rig.first, &presets::first_stage()),
        shape_of(&rig.second, &presets::second_stage()),
    ];
    for (fault, severity) in faults {
        let shape = match fault.breaks_a_spring() {
            Some(Seat::First) => &mut shapes[0],
            Some(Seat::Second) => &mut shapes[1],
            None => continue,
        };
        shape.spring_broken = severity.clamp(0.0, 1.0);
    }
    shapes
}

#[cfg(test)]
mod tests {
    use super::*;

    fn second() -> StageShape {
        StageShape {
            diaphragm_m: 0.085,
            bore_m: 0.0032,
            lever_ratio: 4.0,
            stroke_m: 0.004,
            vent_m: 0.003,
            relief: true,
            linked: true,
            screw_in_m: 0.0,
            ..StageShape::default()
        }
    }

    #[test]
    fn a_touching_seat_lies_flat_on_the_nozzle() {
        let p = Plan::of(&second(), 2.0);
        let face = p.seat_face(p.lever_turn(p.plate_height(0.004, 0.004)));
        assert!((face.x - p.nozzle_tip()).abs() < 1e-4);
        assert!(face.y.abs() < 1e-4);
    }

    /// The linkage alone: seat travel is diaphragm travel over the lever ratio (geometry).
    #[test]
    fn the_drawn_gap_is_the_lift_enlarged() {
        let p = Plan::of(&second(), 2.0);
        for lift_mm in [0.1_f32, 0.3, 0.6, 1.0] {
            let rise = 0.004 - f64::from(lift_mm) * 4e-3;
            let gap = p.seat_face(p.lever_turn(p.plate_height(rise, 0.004))).x - p.nozzle_tip();
            let want = lift_mm * p.enlarged;
            assert!((gap - want).abs() < 0.06 * want, "{gap} for {want}");
        }
    }

    /// However far motion is drawn, no end of the lever goes through the floor or the membrane's rest.
    #[test]
    fn the_lever_stays_inside_the_chamber() {
        for ratio in [0.5, 1.5, 4.0, 9.0] {
            let shape = StageShape {
                lever_ratio: ratio,
                ..second()
            };
            let p = Plan::of(&shape, 200.0);
            for rise in [-0.01, 0.0, 0.002, 0.0039, 0.004, 0.02] {
                let turn = p.lever_turn(p.plate_height(rise, 0.004));
                let end = p.arm_end(turn);
                assert!(
                    end.y > p.floor + 1.2 && end.y < p.rest,
                    "{ratio} {rise}: {end:?}"
                );
            }
            assert!(p.arm_end(-p.widest_turn()).y > p.floor + 1.2, "{ratio}");
        }
    }

    #[test]
    fn bores_and_diaphragms_keep_the_rigs_proportion() {
        let p = Plan::of(&second(), 2.0);
        assert!((p.bore / p.clamp - (3.2 / 85.0) / 1.13).abs() < 1e-4);
    }

    #[test]
    fn the_membrane_starts_and_ends_at_the_clamp() {
        let p = Plan::of(&second(), 2.0);
        for height in [p.rest - 8.0, p.rest, p.rest + 2.0] {
            let m = p.membrane(height, 1.0);
            assert_eq!(m[0], pos2(-p.clamp, p.rest));
            assert_eq!(m[m.len() - 1], pos2(p.clamp, p.rest));
            assert!(m.iter().all(|q| q.x.is_finite() && q.y.is_finite()));
        }
    }
}
