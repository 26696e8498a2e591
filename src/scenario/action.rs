//! What can be done to a running rig: by a file at a set time, by a person in the window, or by
//! a service procedure. One enum for all of them.

use crate::fault::Fault;
use crate::rig::Rig;
use serde::{Deserialize, Serialize};

/// A site value that can be set.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum SiteValue {
    /// Air temperature \[K\].
    Air,
    /// Sun on the spring case \[W/m²\].
    Sun,
    /// Elevation \[m\].
    Elevation,
    /// Factor on the container wall's heat transfer \[1\].
    Wall,
}

/// First or second stage.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum WhichStage {
    /// Container pressure to about 10 psig.
    First,
    /// About 10 psig to 11 in w.c.
    Second,
}

impl WhichStage {
    /// Both, in the order of the gas.
    pub const BOTH: [Self; 2] = [Self::First, Self::Second];

    /// "first" or "second".
    pub fn word(self) -> &'static str {
        match self {
            Self::First => "first",
            Self::Second => "second",
        }
    }
}

/// What a fault grows with, where it is not time.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Growth {
    /// With use: all of it after so many openings of the stage's seat, in proportion before.
    Cycles {
        /// Openings of the first seat for a fault of the first stage, else of the second.
        count: u32,
    },
    /// With the temperature of the regulator's body: in proportion between two temperatures, and back.
    Temperature {
        /// Nothing of it here and beyond \[K\].
        none_k: f64,
        /// All of it here and beyond \[K\].
        all_k: f64,
    },
}

impl Growth {
    /// Share of the way, 0 to 1, after so many cycles and at a body temperature \[K\].
    pub fn share(self, cycles: u64, body_k: f64) -> f64 {
        match self {
            Self::Cycles { count } => (cycles as f64 / f64::from(count.max(1))).min(1.0),
            Self::Temperature { none_k, all_k } => {
                ((body_k - none_k) / (all_k - none_k)).clamp(0.0, 1.0)
            }
        }
    }
}

/// How a fault comes that is put in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Comes {
    /// Within a time \[s\].
    Over(f64),
    /// With use or temperature.
    With(Growth),
}

impl Comes {
    /// The act that puts a fault in so.
    pub fn action(self, fault: Fault, severity: f64) -> Action {
        match self {
            Self::Over(over_s) => Action::Inject {
                fault,
                severity,
                over_s,
            },
            Self::With(by) => Action::Grow {
                fault,
                severity,
                by,
            },
        }
    }

    /// Whether a fault can come so: what comes with the gas does not come with temperature.
    pub fn can_bring(self, fault: Fault) -> bool {
        !(matches!(self, Self::With(Growth::Temperature { .. })) && fault.arrives())
    }
}

/// One act.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Action {
    /// Switch an appliance on or off.
    Switch {
        /// Index of the appliance.
        appliance: usize,
        /// On or off.
        on: bool,
    },
    /// Reset a lock-out, relight a pilot.
    Reset {
        /// Index of the appliance.
        appliance: usize,
    },
    /// Take heat from what an appliance heats (a hot tap, a door) \[W\].
    Draw {
        /// Index of the appliance.
        appliance: usize,
        /// Heat drawn \[W\].
        power_w: f64,
        /// Time to get there \[s\].
        over_s: f64,
    },
    /// Turn a service valve.
    Valve {
        /// Index of the container.
        container: usize,
        /// Opening, 0 to 1.
        open: f64,
        /// Time the hand takes \[s\].
        over_s: f64,
    },
    /// Point the changeover knob at a container.
    Knob {
        /// Index of the container.
        side: usize,
    },
    /// Set a site value.
    Site {
        /// Which.
        value: SiteValue,
        /// New value, SI.
        to: f64,
        /// Time to get there \[s\].
        over_s: f64,
    },
    /// Put a fault in, or change its severity.
    Inject {
        /// Which fault.
        fault: Fault,
        /// Severity, 0 to 1.
        severity: f64,
        /// Time to get there \[s\].
        over_s: f64,
    },
    /// Let a fault grow with use or temperature.
    Grow {
        /// Which fault.
        fault: Fault,
        /// Severity when it is all there, 0 to 1.
        severity: f64,
        /// What it grows with.
        by: Growth,
    },
    /// Take a fault out.
    Clear {
        /// Which fault.
        fault: Fault,
    },
    /// Turn an adjusting screw; positive turns raise the set point.
    TurnScrew {
        /// Which stage.
        stage: WhichStage,
        /// Turns.
        turns: f64,
    },
    /// Press a diaphragm with a finger: a force that grows in a straight line and stays.
    Press {
        /// Which stage.
        stage: WhichStage,
        /// Force down, which opens the seat; under 0 it lifts, 0 lets go \[N\].
        force_n: f64,
        /// Time to get there \[s\].
        over_s: f64,
    },
    /// Put a thumb on a vent, or take it off.
    Thumb {
        /// Which stage.
        stage: WhichStage,
        /// On or off.
        on: bool,
    },
    /// Tap the regulator's body: frees what only friction holds.
    Tap,
    /// Bleed the low side through a test tap, or shut it again: effective area \[m²\].
    Bleed {
        /// Area of the tap's opening \[m²\], 0 shuts it.
        area_m2: f64,
    },
    /// Warm the regulator with a wet cloth at the given temperature \[K\].
    Warm {
        /// Cloth temperature \[K\].
        to_k: f64,
    },
}

impl Action {
    /// A container valve shut over so long \[s\].
    pub fn shut(container: usize, over_s: f64) -> Self {
        Self::Valve {
            container,
            open: 0.0,
            over_s,
        }
    }

    /// Whether the rig has the part that the act is about.
    pub fn fits(&self, rig: &Rig) -> bool {
        match *self {
            Self::Switch { appliance, .. }
            | Self::Reset { appliance }
            | Self::Draw { appliance, .. } => appliance < rig.appliances.len(),
            Self::Valve { container, .. } => container < rig.containers.len(),
            Self::Knob { side } => side < rig.containers.len(),
            _ => true,
        }
    }
}
