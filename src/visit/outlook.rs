//! What a person sees who kneels before the rig: bottles, pigtails, casting, vents, line, flames. Made of readings and of
//! what the rig's parameters show on its outside; no pressure is in it, nor anything that only the inside would tell.
//!
//! A picture of the rig from outside draws this and nothing else, so that it can show no more than eyes have. Amounts are
//! shares of the worst there is, so that a little of it is seen as a little. Thresholds are common practice (no source).

use crate::physics::heat::{Shape, frost_depth_k};
use crate::physics::{WATER_FREEZING_K, contact};
use crate::rig::readings::ContainerReadings;
use crate::rig::{Appliance, Container, Flame, Ignition, Phase, Readings, Rig, Stage};

/// A surface so far under the frost point is as white as it gets \[K\] (own).
const WHITE_K: f64 = 18.0;
/// Loss of a pigtail over that of a sound one at which it is bent double, in decades (own).
const KINK_DECADES: f64 = 6.0;
/// The same for a line that is crushed flat, in decades.
const CRUSH_DECADES: f64 = 3.5;
/// Head of liquid for which a line must sag as far as it can \[Pa\]: 0.15 m of water.
const SAG_PA: f64 = 1471.0;
/// Depth of water that fills the spring case of a vent turned up \[m\].
const FULL_M: f64 = 15e-3;
/// Flow out of a vent from which it makes the air shimmer, and that at which it blows hardest \[m³/s\]: some 0.1 and 10 g/s
/// of propane (practice: what is heard is seen).
const SHIMMER_M3_PER_S: (f64, f64) = (5.4e-5, 5.4e-3);
/// The same of a leak \[kg/s\].
const SHIMMER_KG_PER_S: (f64, f64) = (1e-4, 1e-2);
/// A burner takes in air by its jet; richer by this over its plate its tips turn yellow, and all of it at the second (own).
const YELLOW: (f64, f64) = (1.06, 1.9);

/// Frost on a wall.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rime {
    /// How white, over 0 to 1.
    pub white: f64,
    /// Share of the height it reaches, that of the liquid inside.
    pub height: f64,
}

/// A container with its valve and pigtail.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BottleSeen {
    /// Outer shape.
    pub shape: Shape,
    /// How far the valve's stem stands out, 0 shut to 1.
    pub valve: f64,
    /// How far it leans or lies, 0 upright to 1 lying.
    pub leans: f64,
    /// Snow or a cover on it, 0 to 1.
    pub covered: f64,
    /// Frost, where there is any.
    pub rime: Option<Rime>,
    /// How sharply its pigtail is bent, 0 straight to 1 double.
    pub kink: f64,
    /// What a tank's level gauge shows; a cylinder has none.
    pub gauge: Option<f64>,
    /// How hard its own relief blows, 0 to 1.
    pub blows: f64,
    /// How hard gas comes out at its pigtail, 0 to 1.
    pub pigtail_blows: f64,
}

/// What bars a vent.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bar {
    /// Nothing.
    Nothing,
    /// Mud, insects, a plug.
    Mud,
    /// Ice.
    Ice,
    /// Paint over screen and flap.
    Paint,
}

/// A vent.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct VentSeen {
    /// What bars it.
    pub bar: Bar,
    /// How much of it is barred, 0 to 1.
    pub barred: f64,
    /// Water that hangs in it or stands in its case, 0 to 1.
    pub wet: f64,
    /// Whether it looks up instead of down.
    pub looks_up: bool,
    /// How hard gas comes out, 0 to 1.
    pub blows: f64,
    /// How far its flap stands open, where it has one.
    pub flap: Option<f64>,
    /// How much of it a thumb shuts, 0 to 1.
    pub thumb: f64,
}

/// The changeover.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChangeoverSeen {
    /// Container its knob points at.
    pub points_at: usize,
    /// How much red its indicator shows, 0 to 1.
    pub red: f64,
}

/// The line to the burners.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LineSeen {
    /// Its width as a share of the one it was made with.
    pub width: f64,
    /// How flat it is crushed, 0 to 1.
    pub crushed: f64,
    /// How far it sags, 0 to 1.
    pub sags: f64,
    /// How hard gas comes out of it, 0 to 1.
    pub blows: f64,
}

/// A flame.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FlameOut {
    /// How it looks.
    pub flame: Flame,
    /// Heat over its plate.
    pub size: f64,
    /// Strength of the jet: 1 as rated; soft below, sharp and off its ports above.
    pub strength: f64,
    /// Yellow in it, 0 to 1.
    pub yellow: f64,
    /// Whether it jumps up and down.
    pub surges: bool,
}

/// An appliance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ApplianceSeen {
    /// Whether its knob or switch is on.
    pub on: bool,
    /// Its main flame.
    pub flame: Option<FlameOut>,
    /// Its pilot's flame, where it has a pilot.
    pub pilot: Option<bool>,
    /// Whether it sparks.
    pub sparks: bool,
    /// Whether its gas is on and a hand is about to light it.
    pub being_lit: bool,
    /// Whether its fan runs without flame.
    pub purges: bool,
    /// Whether its lamp tells of a lock-out.
    pub locked_out: bool,
    /// Whether its gas is on without a flame, by its knob.
    pub unlit: bool,
    /// Whether it has lost or not got its flame, and waits for another try.
    pub waits: bool,
}

/// Everything seen at one glance.
#[derive(Debug, Clone, PartialEq)]
pub struct Outlook {
    /// Containers.
    pub bottles: Vec<BottleSeen>,
    /// Changeover, where there is one.
    pub changeover: Option<ChangeoverSeen>,
    /// Vents of first and second stage.
    pub vents: [VentSeen; 2],
    /// Frost on the body, 0 to 1.
    pub rime: f64,
    /// Sun on the spring case, 0 to 1 of full.
    pub sun: f64,
    /// Whether a warm wet cloth lies on it.
    pub cloth: bool,
    /// How dark the casting is with dirt or paint, 0 to 1.
    pub dark: f64,
    /// Line.
    pub line: LineSeen,
    /// Appliances.
    pub appliances: Vec<ApplianceSeen>,
}

/// Full sun \[W/m²\].
const FULL_SUN: f64 = 1000.0;

/// White of a wall at a temperature \[K\], 0 to 1; the thinnest frost is seen.
fn white(wall_k: f64, air_k: f64) -> f64 {
    let depth = frost_depth_k(wall_k, air_k) / WHITE_K;
    depth.clamp(0.0, 1.0).sqrt()
}

/// Place of a value over another on a scale of decades, 0 to 1.
fn decades_over(value: f64, sound: f64, most: f64) -> f64 {
    ((value / sound.max(f64::MIN_POSITIVE)).max(1.0).log10() / most).clamp(0.0, 1.0)
}

/// Share of a thing that is gone.
fn gone(left: f64, whole: f64) -> f64 {
    if whole <= 0.0 {
        return 0.0;
    }
    (1.0 - left / whole).clamp(0.0, 1.0)
}

/// How hard gas comes out at this flow, 0 to 1; nothing is seen under the least.
fn hard(flow: f64, (least, most): (f64, f64)) -> f64 {
    if flow > least {
        (0.25 + 0.75 * (flow / least).log10() / (most / least).log10()).clamp(0.0, 1.0)
    } else {
        0.0
    }
}

impl Outlook {
    /// What is seen of a rig that was made as `new`.
    pub fn of(rig: &Rig, new: &Rig, r: &Readings) -> Self {
        let bottles = rig.containers.iter().zip(&new.containers);
        let appliances = rig.appliances.iter().zip(&new.appliances);
        Self {
            bottles: bottles
                .zip(&r.containers)
                .map(|((c, new), now)| BottleSeen::of(c, new, now, r.air_k))
                .collect(),
            changeover: rig.changeover.map(|_| ChangeoverSeen {
                points_at: r.service_side,
                red: r.indicator_red,
            }),
            vents: [
                VentSeen::of(&rig.first, &new.first, r, false),
                VentSeen::of(&rig.second, &new.second, r, true),
            ],
            rime: white(r.body_k, r.air_k),
            cloth: r.cloth,
            sun: (r.sun_w_per_m2 / FULL_SUN).clamp(0.0, 1.0),
            dark: (rig.body.sun_k_m2_per_w / new.body.sun_k_m2_per_w - 1.0).clamp(0.0, 1.0),
            line: LineSeen {
                width: (rig.piping.main.bore_m / new.piping.main.bore_m).clamp(0.0, 1.0),
                crushed: decades_over(
                    rig.piping.main.minor_loss,
                    new.piping.main.minor_loss,
                    CRUSH_DECADES,
                ),
                sags: ((rig.piping.low_point_pa - new.piping.low_point_pa) / SAG_PA)
                    .clamp(0.0, 1.0),
                blows: hard(r.line_leak_kg_per_s, SHIMMER_KG_PER_S),
            },
            appliances: appliances
                .enumerate()
                .filter(|(i, _)| *i < r.appliance_count)
                .map(|(i, (a, plate))| ApplianceSeen::of(a, plate, r, i))
                .collect(),
        }
    }
}

impl Outlook {
    /// How sharply the hose of each container is bent, 0 (not) to 1.
    pub fn kinks(&self) -> [f64; crate::rig::MAX_CONTAINERS] {
        let mut kinks = [0.0; crate::rig::MAX_CONTAINERS];
        for (kink, bottle) in kinks.iter_mut().zip(&self.bottles) {
            *kink = bottle.kink;
        }
        kinks
    }

    /// The same from where one stands who has not yet come near: the casting is under its cover, and nobody has looked
    /// along hose and line or at a valve's stem.
    #[must_use]
    pub fn from_afar(mut self) -> Self {
        for b in &mut self.bottles {
            (b.kink, b.pigtail_blows) = (0.0, 0.0);
            b.valve = b.valve.ceil();
        }
        self.vents = [VentSeen::CLEAR; 2];
        (self.rime, self.dark, self.cloth) = (0.0, 0.0, false);
        self.line = LineSeen::SOUND;
        self
    }
}

impl LineSeen {
    /// As it was made.
    pub const SOUND: Self = Self {
        width: 1.0,
        crushed: 0.0,
        sags: 0.0,
        blows: 0.0,
    };
}

impl BottleSeen {
    fn of(c: &Container, new: &Container, now: &ContainerReadings, air_k: f64) -> Self {
        let (way, sound) = (&c.supply, &new.supply);
        let white = if now.fill > 0.0 {
            white(now.temperature_k, air_k)
        } else {
            0.0
        };
        let lies = matches!(c.shape, Shape::Horizontal { .. });
        // A valve hardly open has its stem hardly out, by the turns of a hand and not by the gas.
        let turned = (way.valve_m2 / sound.valve_m2).clamp(0.0, 1.0).sqrt();
        let over = now.pressure_pa / c.relief_start_pa - 1.0;
        Self {
            shape: c.shape,
            valve: now.valve_open * turned,
            leans: (c.liquid_share - new.liquid_share).clamp(0.0, 1.0),
            covered: gone(c.wall_w_per_m2_k, new.wall_w_per_m2_k),
            rime: (white > 0.0).then_some(Rime {
                white,
                height: now.fill.clamp(0.0, 1.0),
            }),
            kink: decades_over(
                way.pigtail_minor_loss,
                sound.pigtail_minor_loss,
                KINK_DECADES,
            ),
            gauge: lies.then_some(now.fill),
            blows: (over / 0.1).clamp(0.0, 1.0),
            pigtail_blows: hard(now.leak_kg_per_s, SHIMMER_KG_PER_S),
        }
    }
}

impl VentSeen {
    /// Clear, dry and still.
    pub const CLEAR: Self = Self {
        bar: Bar::Nothing,
        barred: 0.0,
        wet: 0.0,
        looks_up: false,
        blows: 0.0,
        flap: None,
        thumb: 0.0,
    };

    fn of(stage: &Stage, new: &Stage, r: &Readings, second: bool) -> Self {
        let now = if second { &r.second } else { &r.first };
        let (vent, sound) = (&stage.vent, &new.vent);
        let painted = gone(vent.flap_m2, sound.flap_m2);
        let frozen = r.case_k <= WATER_FREEZING_K;
        let stands = (stage.water_m / FULL_M).clamp(0.0, 1.0);
        let iced = frozen && (vent.freezing_share > 0.0 || stands > 0.0);
        let bar = if painted > 0.0 {
            Bar::Paint
        } else if iced {
            Bar::Ice
        } else if vent.open < sound.open {
            Bar::Mud
        } else {
            Bar::Nothing
        };
        let barred = match bar {
            Bar::Paint => painted.max(gone(vent.open, sound.open)),
            // A thumb on it hides how much of it is ice.
            Bar::Ice if now.thumb > 0.0 => vent.freezing_share,
            Bar::Ice => gone(now.vent_open, sound.open).max(vent.freezing_share),
            _ => gone(vent.open, sound.open),
        };
        let wet = if frozen { 0.0 } else { vent.freezing_share };
        Self {
            bar,
            barred,
            thumb: now.thumb,
            wet: wet.max(stands),
            looks_up: stage.water_m > 0.0,
            blows: hard(now.vent_m3_per_s, SHIMMER_M3_PER_S),
            flap: vent.flap_open(now.case_pa, now.vent_open),
        }
    }
}

impl ApplianceSeen {
    fn of(a: &Appliance, plate: &Appliance, r: &Readings, i: usize) -> Self {
        let now = &r.appliances[i];
        // Held against the plate that it has now: a larger appliance has a larger one.
        let strength = (now.inlet_pa / a.rated_pa).max(0.0);
        let size = (now.heat_w / a.input_w).max(0.0);
        // Gas for the air that the jet draws in.
        let rich = size / strength.sqrt().max(0.05);
        let soft = (1.0 - strength / 0.6).clamp(0.0, 1.0);
        let yellow = contact::smoothstep(rich, YELLOW.0, YELLOW.1).max(soft);
        let burns = now.phase == Phase::Burning && now.flame != Flame::Out;
        Self {
            on: now.phase != Phase::Off,
            flame: burns.then_some(FlameOut {
                flame: now.flame,
                size,
                strength,
                yellow,
                surges: now.surges,
            }),
            pilot: matches!(plate.ignition, Ignition::Pilot { .. }).then_some(now.pilot_lit),
            sparks: now.phase == Phase::Trial
                && a.igniter_works
                && matches!(plate.ignition, Ignition::Spark { .. }),
            being_lit: now.phase == Phase::Trial && matches!(plate.ignition, Ignition::Hand { .. }),
            purges: now.phase == Phase::Purge,
            locked_out: now.phase == Phase::LockedOut,
            unlit: now.phase == Phase::OpenUnlit,
            waits: now.phase == Phase::Waiting,
        }
    }
}
