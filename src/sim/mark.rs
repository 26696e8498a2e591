//! What stands on the record of a run: what the rig did by itself, and what a hand did to it.

use crate::fault::Fault;
use crate::rig::Happening;
use crate::scenario::{SiteValue, WhichStage};
use serde::Serialize;

/// What is put on the record: by the rig itself, or by a hand.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Noted {
    /// Something happened in the rig.
    Happened(Happening),
    /// A container valve was turned.
    Valve {
        /// Which.
        container: usize,
        /// Opened, or shut.
        opened: bool,
    },
    /// The place was changed at once, as no weather and no road does: a deed of the program.
    Elsewhere(SiteValue),
    /// An adjusting screw was turned by so many turns, in is positive.
    Screw {
        /// Of which stage.
        stage: WhichStage,
        /// So many turns, in positive.
        turns: f64,
    },
    /// A diaphragm is pressed or lifted by hand.
    Pressed(WhichStage),
    /// A thumb on a vent, or off it.
    Thumb {
        /// Which.
        stage: WhichStage,
        /// On or off.
        on: bool,
    },
    /// The body was tapped.
    Tapped,
    /// A warm wet cloth was laid on.
    ClothOn,
    /// A new regulator was put in.
    NewRegulator,
    /// Full containers were put on.
    NewContainers,
    /// A fault has begun.
    FaultIn(Fault),
    /// A fault was taken out.
    FaultOut(Fault),
}

/// Something on the record, at a time.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Mark {
    /// When \[s\].
    pub time_s: f64,
    /// What.
    pub what: Noted,
}
