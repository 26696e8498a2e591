//! Appliances: burner, gas valve, ignition, flame safety, and the thing they heat or cool.

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
        /// Tries before lock-out.
        tries: u8,
    },
    /// A standing pilot with a thermocouple.
    Pilot {
        /// Pilot input \[W\].
        pilot_w: f64,
        /// Time the thermocouple holds after the pilot is gone \[s\].
        hold_s: f64,
    },
    /// Lit by hand; `flame_failure` tells whether a thermocouple shuts the gas when blown out.
    Hand {
        /// Whether the burner has a flame-failure device.
        flame_failure: bool,
    },
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
    /// Leak through the shut gas valve \[m²\].
    pub valve_leak_m2: f64,
    /// Whether the igniter works.
    pub igniter_works: bool,
    /// Whether the flame sensor or thermocouple works.
    pub flame_sensor_works: bool,
    /// Effective (K A) area of the gas valve when open \[m²\].
    pub valve_m2: f64,
}

/// Limits of a flame as shares of the rated pressure (common practice, no source): a burner
/// goes out under `LOST_LOW`, is soft under `LOW`, loud over `HARD`, lifts over `LIFT`, and
/// blows off over `LOST_HIGH`.
pub mod flame {
    /// Goes out below.
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
    /// Sizes spud and gas valve for a rated input \[W\] at a rated gauge pressure \[Pa\]; the gas
    /// valve is wide enough to lose little of it.
    pub fn set_rating(&mut self, input_w: f64, rated_pa: f64) {
        let total = super::presets::spud_m2(input_w, rated_pa);
        self.input_w = input_w;
        self.rated_pa = rated_pa;
        self.valve_m2 = 8.0 * total;
        // Spud and valve in series pass what the rating says.
        self.spud_m2 = total / (1.0 - (1.0_f64 / 8.0).powi(2)).sqrt();
    }
}
