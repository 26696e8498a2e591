//! Appliances: burner, gas valve, ignition, what watches the flame, and the thing they heat or cool.

use super::piping::Pipe;
use super::readings::Flame;
use serde::Serialize;

/// What kind of appliance, which decides words and pictures, never physics.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// Forced-air furnace.
    Furnace,
    /// Storage water heater.
    WaterHeater,
    /// Absorption refrigerator.
    Refrigerator,
    /// A cooktop burner.
    Cooktop,
    /// Oven.
    Oven,
    /// On-demand water heater.
    OnDemandHeater,
    /// Outdoor grill.
    Grill,
}

/// How the main burner is lit and watched.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub enum Ignition {
    /// Purge, spark, flame sense, lock-out after a number of tries.
    Spark {
        /// Fan time before the gas valve opens \[s\].
        purge_s: f64,
        /// Time allowed to prove a flame \[s\].
        trial_s: f64,
        /// Pause between tries \[s\].
        pause_s: f64,
        /// Tries in one call for heat before lock-out; a flame lost counts as one.
        tries: u8,
        /// Time in which flame sensing shuts the gas when it sees no flame \[s\].
        sense_s: f64,
    },
    /// A standing pilot with a thermocouple.
    Pilot {
        /// Pilot input \[W\].
        pilot_w: f64,
        /// Time the thermocouple holds after it is no longer heated \[s\].
        hold_s: f64,
    },
    /// Lit by hand; `flame_failure` tells whether a thermocouple shuts the gas when blown out.
    Hand {
        /// Whether the burner has a flame-failure device.
        flame_failure: bool,
    },
}

/// Time the thermocouple of a burner lit by hand holds \[s\] (memory: 20 to 60).
const HAND_HOLD_S: f64 = 30.0;

impl Ignition {
    /// Time in which what watches the flame shuts the gas when it sees none \[s\]; `None` where nothing watches.
    pub fn sense_s(self) -> Option<f64> {
        match self {
            Self::Spark { sense_s, .. } => Some(sense_s),
            Self::Pilot { hold_s, .. } => Some(hold_s),
            Self::Hand { flame_failure } => flame_failure.then_some(HAND_HOLD_S),
        }
    }
}

/// What surrounds a heated or cooled mass.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Surroundings {
    /// The air outside.
    Outside,
    /// The cabin (the mass heated by the first furnace; the air outside where there is none).
    Cabin,
}

/// A lumped mass with a thermostat: cabin air and furniture, water in a tank, a cold box.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ThermalLoad {
    /// Heat capacity \[J/K\].
    pub heat_j_per_k: f64,
    /// Heat exchanged with the surroundings \[W/K\].
    pub loss_w_per_k: f64,
    /// What it exchanges heat with.
    pub surroundings: Surroundings,
    /// Share of burner heat that reaches the mass; negative for a refrigerator.
    pub efficiency: f64,
    /// Thermostat setting \[K\].
    pub set_k: f64,
    /// Full width of the thermostat's hysteresis \[K\].
    pub band_k: f64,
    /// Temperature at the start \[K\].
    pub start_k: f64,
}

/// One appliance on its branch.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Appliance {
    /// Name shown to people.
    pub name: String,
    /// Kind.
    pub kind: Kind,
    /// Rated input \[W\].
    pub input_w: f64,
    /// Gauge pressure at which it is rated \[Pa\].
    pub rated_pa: f64,
    /// Branch from the manifold.
    pub branch: Pipe,
    /// Time the gas valve takes from shut to open \[s\].
    pub valve_s: f64,
    /// Ignition and flame safety.
    pub ignition: Ignition,
    /// Heated mass and thermostat, if it cycles by itself.
    pub thermal: Option<ThermalLoad>,
    /// Effective (K A) area of the main spud \[m²\].
    pub spud_m2: f64,
    /// Effective (K A) area of the pilot spud \[m²\]; 0 without pilot.
    pub pilot_m2: f64,
    /// Strength of flame under which what watches it no longer sees it, or a flame that nothing watches goes out,
    /// as the inlet gauge pressure of pure fuel \[Pa\].
    pub drop_out_pa: f64,
    /// Strength of flame from which it is seen when it is lit, or lights where nothing watches \[Pa\].
    pub light_pa: f64,
    /// Leak through the shut gas valve \[m²\].
    pub valve_leak_m2: f64,
    /// Whether the igniter works.
    pub igniter_works: bool,
    /// Whether the flame sensor or thermocouple works.
    pub flame_sensor_works: bool,
    /// Effective (K A) area of the gas valve when open \[m²\].
    pub valve_m2: f64,
}

/// Limits of any flame as shares of the rated pressure (common practice, no source): it goes out under `LOST_LOW`, is soft
/// under `LOW`, loud over `HARD`, lifts over `LIFT`, and blows off over `LOST_HIGH`. What watches it gives up far earlier:
/// `usual_limits`.
pub mod flame {
    /// Goes out below, watched or not.
    pub const LOST_LOW: f64 = 0.12;
    /// Cannot be lit below.
    pub const LIGHT_LOW: f64 = 0.22;
    /// Soft below.
    pub const LOW: f64 = 0.60;
    /// Loud above.
    pub const HARD: f64 = 1.35;
    /// Lifts above.
    pub const LIFT: f64 = 2.0;
    /// Cannot be lit above.
    pub const LIGHT_HIGH: f64 = 2.4;
    /// Blows off above.
    pub const LOST_HIGH: f64 = 3.2;
    /// Mole share of air in the gas at which no burner holds a flame.
    pub const AIR_LOST: f64 = 0.45;
    /// A flame no longer seen is seen again this much over its drop-out: a sensor's own width.
    pub const SEEN_AGAIN: f64 = 1.05;
}

/// Usual drop-out and lighting limits of a kind lit in a way, as shares of the rated pressure: at 11 in w.c.
///
/// | | drops out, in w.c. | lights and is seen from |
/// |---|---|---|
/// | spark and flame sensing, a fan pulls at the flame | 6 | 7 |
/// | spark and flame sensing, natural draught | 5 | 6 |
/// | pilot or burner on a thermocouple | 2 | 3 |
/// | nothing watches: the flame itself | 1.3 | 2.4 |
///
/// Estimates: 5 to 7 for spark, 1 to 3 for pilots (practice); no drop-out pressure of a maker was found. Plates ask for 11
/// at the inlet and 10 at the manifold. The gap between the two is that between a sensor's two thresholds; without it a
/// flame at the limit would be proved and lost in turn.
fn usual_limits(kind: Kind, ignition: Ignition) -> (f64, f64) {
    let (drops, lights) = match (ignition, kind) {
        (Ignition::Spark { .. }, Kind::Furnace | Kind::OnDemandHeater) => (6.0, 7.0),
        (Ignition::Spark { .. }, _) => (5.0, 6.0),
        (
            Ignition::Pilot { .. }
            | Ignition::Hand {
                flame_failure: true,
            },
            _,
        ) => (2.0, 3.0),
        (Ignition::Hand { .. }, _) => return (flame::LOST_LOW, flame::LIGHT_LOW),
    };
    (drops / 11.0, lights / 11.0)
}

impl Appliance {
    /// How strongly a flame burns, as the share of rated pressure that would give the same heat
    /// release per port from pure fuel: pressure ratio, weakened by air in the gas.
    pub fn flame_ratio(&self, inlet_pa: f64, air_share: f64) -> f64 {
        let weak = (1.0 - air_share / flame::AIR_LOST).max(0.0);
        inlet_pa / self.rated_pa * weak
    }

    /// How the flame looks at a flame ratio.
    pub fn flame_at(lit: bool, ratio: f64) -> Flame {
        match ratio {
            _ if !lit => Flame::Out,
            r if r < flame::LOW => Flame::Low,
            r if r < flame::HARD => Flame::Normal,
            r if r < flame::LIFT => Flame::Hard,
            _ => Flame::Lifting,
        }
    }
}

impl Appliance {
    /// Flame ratios between which a flame burns at all, seen or not.
    pub fn burns_at(&self) -> (f64, f64) {
        let drops = self.drop_out_pa / self.rated_pa;
        let low = match self.ignition.sense_s() {
            Some(_) => flame::LOST_LOW.min(drops),
            None => drops,
        };
        (low, flame::LOST_HIGH)
    }

    /// Whether gas of a flame ratio takes a flame from the igniter.
    pub fn lights_at(&self, ratio: f64) -> bool {
        let low = match self.ignition.sense_s() {
            Some(_) => flame::LIGHT_LOW.min(self.seen_from()),
            None => self.seen_from(),
        };
        self.igniter_works && (low..flame::LIGHT_HIGH).contains(&ratio)
    }

    /// Flame ratio from which a new flame counts: never under drop-out, or it would be lit and lost in turn.
    fn seen_from(&self) -> f64 {
        self.light_pa.max(self.drop_out_pa) / self.rated_pa
    }

    /// Whether a flame just lit at a flame ratio is seen by what watches it.
    pub fn proves_at(&self, ratio: f64) -> bool {
        match self.ignition.sense_s() {
            None => true,
            Some(_) => self.flame_sensor_works && ratio >= self.seen_from(),
        }
    }

    /// How far a flame ratio is over drop-out, as a share of the rated pressure: under 0 the flame is no longer seen.
    pub fn seen_by(&self, ratio: f64) -> f64 {
        ratio - self.drop_out_pa / self.rated_pa
    }
}

impl Appliance {
    /// Sizes spud and gas valve for a rated input \[W\] at a rated gauge pressure \[Pa\]; the gas
    /// valve is wide enough to lose little of it. The limits of the flame go with the rated pressure.
    pub fn set_rating(&mut self, input_w: f64, rated_pa: f64) {
        let total = super::presets::spud_m2(input_w, rated_pa);
        let scale = rated_pa / self.rated_pa;
        self.drop_out_pa *= scale;
        self.light_pa *= scale;
        self.input_w = input_w;
        self.rated_pa = rated_pa;
        self.valve_m2 = 8.0 * total;
        // Spud and valve in series pass what the rating says.
        self.spud_m2 = total / (1.0 - (1.0_f64 / 8.0).powi(2)).sqrt();
    }

    /// Changes how it is lit and watched: a pilot's spud follows its input, and the limits of the flame are the usual ones.
    pub fn set_ignition(&mut self, ignition: Ignition) {
        self.pilot_m2 = match ignition {
            Ignition::Pilot { pilot_w, .. } => super::presets::spud_m2(pilot_w, self.rated_pa),
            _ => 0.0,
        };
        let (drops, lights) = usual_limits(self.kind, ignition);
        self.drop_out_pa = drops * self.rated_pa;
        self.light_pa = lights * self.rated_pa;
        self.ignition = ignition;
    }
}
