//! Names in files and answers: of actions, of steps.

use super::check::Check;
use crate::fault::Remedy;

/// Name of a remedy in answers and files.
pub fn remedy_id(remedy: Remedy) -> &'static str {
    match remedy {
        Remedy::Flush => "flush",
        Remedy::Warm => "warm",
        Remedy::Clear => "clear",
        Remedy::Adjust => "adjust",
        Remedy::Replace => "replace",
        Remedy::Refill => "refill",
        Remedy::Wait => "wait",
        Remedy::Repair => "repair",
        Remedy::Tap => "tap",
    }
}

/// All actions an answer can name, with their words.
pub const ACTIONS: [(Remedy, &str); 8] = [
    (
        Remedy::Flush,
        "flush it with a burst of flow, by a qualified technician",
    ),
    (Remedy::Warm, "warm it with a warm wet cloth"),
    (Remedy::Clear, "clear the vent or the line"),
    (
        Remedy::Adjust,
        "set the screw with a gauge on the tap, by a qualified technician",
    ),
    (Remedy::Replace, "replace the part or the regulator"),
    (
        Remedy::Refill,
        "purge, drain or refill the container, by a qualified person",
    ),
    (Remedy::Wait, "wait, then open slowly"),
    (Remedy::Repair, "repair the line or the joint"),
];

impl Check {
    /// Name in files.
    pub fn id(self) -> &'static str {
        match self {
            Self::Look => "look",
            Self::Listen => "listen",
            Self::HalfLoad => "half_load",
            Self::FullLoad => "full_load",
            Self::Manifold => "manifold",
            Self::UpDown => "up_down",
            Self::Tap => "tap",
            Self::LockUp => "lock_up",
            Self::Creep => "creep",
            Self::Supply => "supply",
            Self::FirstStage => "first_stage",
            Self::FirstCreep => "first_creep",
            Self::Vent => "vent",
            Self::Joints => "joints",
            Self::LeakCheck => "leak_check",
            Self::Weigh => "weigh",
            Self::Flush => "flush",
            Self::Warm => "warm",
            Self::Piping => "piping",
        }
    }

    /// The step of a name.
    pub fn named(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|c| c.id() == id)
    }
}
