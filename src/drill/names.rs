//! Names of steps in files.

use super::check::Check;
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
