//! What a technician does at the bench besides testing, each with the caution that belongs to it. Not here: the doing
//! (`hands`).

use super::tool::Tool;
use crate::scenario::WhichStage;
use serde::{Deserialize, Serialize};

/// One deed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Deed {
    /// Open a container valve, slowly (8 s) or fast (0.2 s).
    OpenValve {
        /// Index of the container.
        container: usize,
        /// Slowly, as it should be.
        slowly: bool,
    },
    /// Shut a container valve.
    ShutValve {
        /// Index of the container.
        container: usize,
    },
    /// Shut a container valve with a jerk (0.2 s).
    ShutFast {
        /// Index of the container.
        container: usize,
    },
    /// Light an appliance.
    Light {
        /// Index of the appliance.
        appliance: usize,
    },
    /// Shut an appliance off.
    ShutOff {
        /// Index of the appliance.
        appliance: usize,
    },
    /// Tap the regulator's body.
    Tap,
    /// A burst of flow through a wide-open test tap, outdoors.
    Flush,
    /// Clear both vents of dirt, ice and water.
    ClearVents,
    /// A warm wet cloth on the regulator.
    WarmCloth,
    /// Turn an adjusting screw; positive is in, which raises the pressure.
    TurnScrew {
        /// Which stage.
        stage: WhichStage,
        /// Angle in degrees.
        degrees: f64,
    },
    /// The line bled through the test tap, the container shut.
    BleedDown,
    /// A new pigtail hose.
    SwapHose,
    /// A new regulator.
    SwapRegulator,
    /// Full containers, purged and dry, with their valves.
    NewContainers,
    /// Line, joints and hoses put right.
    MendLine,
    /// Spuds, valves and safeties of the appliances cleaned or renewed.
    MendAppliances,
    /// Put a container on the scales.
    Weigh {
        /// Index of the container.
        container: usize,
    },
}

/// What came of a deed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Effect {
    /// Nothing to be told but that it was done.
    Done,
    /// A container valve opened; whether the excess-flow valve tripped, and whether it stays shut.
    Opened {
        /// It tripped.
        tripped: bool,
        /// It is shut.
        shut: bool,
    },
    /// Of two containers this one is shut; the other stands open, where one does.
    Shut {
        /// Which was shut.
        container: usize,
        /// Which stands open.
        open: Option<usize>,
    },
    /// The outlet moved by so much \[Pa\].
    Moved(f64),
    /// Flushed; whether something went with the gas.
    Flushed {
        /// Something was carried off.
        carried: bool,
    },
    /// A part came off a line with gas in it: whether a container fed it, and how many flames it cost.
    BlewOut {
        /// A container stood open.
        fed: bool,
        /// Flames that went out.
        flames: usize,
    },
    /// Fuel on the scales, and the fill limit by weight \[kg\].
    Weighed {
        /// Fuel.
        fuel_kg: f64,
        /// Limit.
        limit_kg: f64,
    },
}

/// A deed that was done.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct DeedDone {
    /// Which.
    pub deed: Deed,
    /// What came of it.
    pub effect: Effect,
    /// The caution that belongs to the act.
    pub caution: &'static str,
}

impl Deed {
    /// The caution that belongs to the act.
    pub fn caution(self) -> &'static str {
        match self {
            Self::OpenValve { .. } => {
                "Open a container valve slowly: fast trips the excess-flow valve and kicks the regulator"
            }
            Self::ShutValve { .. } | Self::ShutFast { .. } => {
                "Pilots go out: relight and prove each when gas is back"
            }
            Self::Light { .. } => "No smell of gas before lighting; a few tries, then air and stop",
            Self::ShutOff { .. } => "",
            Self::Tap => "A tap tells something and mends nothing",
            Self::Flush => {
                "Only outdoors, burners off, no flame or switch near by, by a qualified technician"
            }
            Self::ClearVents => "Clear a vent from outside with a soft pick; never push into it",
            Self::WarmCloth => "A warm wet cloth only: no flame, no boiling water, no heat gun",
            Self::TurnScrew { .. } => {
                "Only a qualified technician with a gauge on the tap; never to cure a weak flame"
            }
            Self::BleedDown => {
                "Outdoors, no flame or switch near by: what is in the line goes into the air"
            }
            Self::SwapHose => "Leak-test the new connections with leak fluid, never with a flame",
            Self::SwapRegulator => {
                "A qualified technician replaces it; then purge the air, open slowly, leak check, relight, flow pressure, lock-up and creep"
            }
            Self::NewContainers => {
                "A supplier fills, purges and dries; never above 80 %; leak fluid at the new connections"
            }
            Self::MendLine => {
                "Repaired piping is leak-tested before gas is used, with fluid, never with a flame"
            }
            Self::MendAppliances => {
                "An orifice is never drilled, a safety never bridged; prove each safety after lighting"
            }
            Self::Weigh { .. } => "Never above 80 % of the volume",
        }
    }

    /// Whether it leaves another rig than it found.
    pub fn changes_the_rig(self) -> bool {
        !matches!(
            self,
            Self::OpenValve { .. }
                | Self::ShutValve { .. }
                | Self::ShutFast { .. }
                | Self::Light { .. }
                | Self::ShutOff { .. }
                | Self::BleedDown
                | Self::Weigh { .. }
        )
    }
}

impl Deed {
    /// Whether a rig answers for itself when it is done where it must not be: in a drill, which counts it, it is done then, and
    /// only the bench refuses it. The others cannot be done at all where they are refused.
    pub fn is_answered(self) -> bool {
        matches!(
            self,
            Self::SwapHose | Self::SwapRegulator | Self::Flush | Self::OpenValve { .. }
        )
    }

    /// The tool it takes, if any.
    pub fn tool(self) -> Option<Tool> {
        Some(match self {
            Self::OpenValve { .. }
            | Self::ShutValve { .. }
            | Self::ShutFast { .. }
            | Self::BleedDown => Tool::Valve,
            Self::Light { .. } | Self::ShutOff { .. } => Tool::Burners,
            Self::Tap => Tool::Tap,
            Self::Flush => Tool::Flush,
            Self::ClearVents => Tool::ClearVents,
            Self::WarmCloth => Tool::WarmCloth,
            Self::TurnScrew { .. } => Tool::Screw,
            Self::SwapHose => Tool::NewHose,
            Self::SwapRegulator => Tool::NewRegulator,
            Self::Weigh { .. } => Tool::Scales,
            Self::NewContainers | Self::MendLine | Self::MendAppliances => return None,
        })
    }
}
