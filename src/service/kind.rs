//! The names of the tests and what is done in each.

use serde::Serialize;

/// The tests.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum TestKind {
    /// Low side held at 9 in w.c., container shut.
    LeakCheck,
    /// Outlet at about half of the connected load.
    FlowPressure,
    /// Outlet at all of it.
    FullLoad,
    /// The same load come to from below and from above.
    LoadUpDown,
    /// Outlet with everything off.
    LockUp,
    /// Five minutes more.
    Creep,
    /// Leak fluid at the vents, at rest and flowing.
    Vent,
    /// A gauge on the first-stage tap.
    FirstStage,
    /// Air at 10 psi in the piping alone.
    NewPiping,
}

impl TestKind {
    /// The tests of a visit, in order.
    pub const VISIT: [Self; 8] = [
        Self::LeakCheck,
        Self::FlowPressure,
        Self::FullLoad,
        Self::LoadUpDown,
        Self::LockUp,
        Self::Creep,
        Self::Vent,
        Self::FirstStage,
    ];

    /// All tests.
    pub const ALL: [Self; 9] = [
        Self::LeakCheck,
        Self::FlowPressure,
        Self::FullLoad,
        Self::LoadUpDown,
        Self::LockUp,
        Self::Creep,
        Self::Vent,
        Self::FirstStage,
        Self::NewPiping,
    ];

    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::LeakCheck => "leak check",
            Self::FlowPressure => "flow pressure",
            Self::FullLoad => "full load",
            Self::LoadUpDown => "load up and down",
            Self::LockUp => "lock-up",
            Self::Creep => "creep",
            Self::Vent => "vent",
            Self::FirstStage => "first stage",
            Self::NewPiping => "new piping",
        }
    }

    /// Whether the container has to be open for it.
    pub fn needs_gas(self) -> bool {
        !matches!(self, Self::LeakCheck | Self::NewPiping)
    }

    /// What is done, in a sentence or two.
    pub fn how(self) -> &'static str {
        match self {
            Self::LeakCheck => {
                "Shut the container, bleed the low side to 9 in w.c. so that every seat is open, hold 3 minutes, correct for temperature"
            }
            Self::FlowPressure => "Light about half of the connected input and read the outlet",
            Self::FullLoad => "Light everything and read how far the outlet falls",
            Self::LoadUpDown => {
                "Come back to half load from full load: the difference is what friction holds"
            }
            Self::LockUp => "Everything off, container open: read when it has come to rest",
            Self::Creep => "Watch five more minutes: any steady climb is a leaking seat",
            Self::Vent => "Leak fluid at the vents, at rest and with gas flowing",
            Self::FirstStage => "Read the first-stage tap at rest and under load",
            Self::NewPiping => {
                "Regulator and appliances off, air at 10 psi in the piping, 15 minutes, no drop"
            }
        }
    }
}
