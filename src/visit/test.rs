//! The tests of a visit: what is done in each, what it takes in minutes of work, the caution that belongs to it, the
//! items it gives.

use serde::{Deserialize, Serialize};

/// A test: what is done once and gives some items.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Test {
    /// Thermometer in the air.
    Air,
    /// Gauge on the container.
    Container,
    /// Container on the scales, or its level gauge.
    Fill,
    /// Low side held at 9 in w.c., container shut.
    LeakCheck,
    /// Outlet at about half of the connected load.
    FlowPressure,
    /// Outlet at all of it.
    FullLoad,
    /// Eyes and ears with everything lit.
    Look,
    /// Two gauges under load: regulator's inlet and manifold.
    Along,
    /// Full load for three more minutes.
    LongDraw,
    /// All of the load, and the service side of a twin set shut.
    Reserve,
    /// The same load come to from below and from above, and a tap on the body.
    LoadUpDown,
    /// The smallest burner only.
    Pilots,
    /// Outlet with everything off.
    LockUp,
    /// Five minutes more.
    Creep,
    /// A gauge on the first-stage tap, at rest and flowing.
    FirstStage,
    /// Leak fluid at the vents, at rest and flowing.
    Vent,
    /// Leak fluid at the joints.
    Joints,
    /// A burst of flow, then lock-up again.
    Flush,
    /// A warm wet cloth, then full load and lock-up again.
    Warm,
    /// The same lock-up 1000 ft higher.
    Climb,
    /// Air at 10 psi in the piping alone.
    NewPiping,
}

impl Test {
    /// All tests in the fixed order of a visit.
    pub const ALL: [Self; 21] = [
        Self::Air,
        Self::Container,
        Self::Fill,
        Self::LeakCheck,
        Self::FlowPressure,
        Self::FullLoad,
        Self::Look,
        Self::Along,
        Self::LongDraw,
        Self::Reserve,
        Self::LoadUpDown,
        Self::Pilots,
        Self::LockUp,
        Self::Creep,
        Self::FirstStage,
        Self::Vent,
        Self::Joints,
        Self::Flush,
        Self::Warm,
        Self::Climb,
        Self::NewPiping,
    ];

    /// The tests that every visit has, in order.
    pub const VISIT: [Self; 10] = [
        Self::Fill,
        Self::LeakCheck,
        Self::FlowPressure,
        Self::FullLoad,
        Self::Look,
        Self::LoadUpDown,
        Self::LockUp,
        Self::Creep,
        Self::Vent,
        Self::FirstStage,
    ];

    /// Name, minutes of work (invented, for comparison: an experienced hand with the gauges at hand), what is done.
    fn about(self) -> (&'static str, f64, &'static str) {
        match self {
            Self::Air => ("air temperature", 1.0, "Hang the thermometer in the shade"),
            Self::Container => (
                "container pressure",
                3.0,
                "Gauge on the container, everything off",
            ),
            Self::Fill => (
                "container fill",
                5.0,
                "Weigh a cylinder, or read the gauge of a tank",
            ),
            Self::LeakCheck => (
                "leak check",
                8.0,
                "Shut the container, bleed the low side to 9 in w.c. so that every seat is open, hold 3 minutes, correct for temperature",
            ),
            Self::FlowPressure => (
                "flow pressure",
                5.0,
                "Light about half of the connected input and read the outlet",
            ),
            Self::FullLoad => (
                "full load",
                3.0,
                "Light everything and read how far the outlet falls",
            ),
            Self::Look => (
                "look and listen",
                1.0,
                "Everything lit: flames, frost, vent, pigtail and valve by eye, the regulator by ear",
            ),
            Self::Along => (
                "inlet and manifold",
                5.0,
                "Gauges on the regulator's inlet and on the manifold, at half and full load",
            ),
            Self::LongDraw => (
                "long draw",
                4.0,
                "Three more minutes of full load, then a look at flames and frost",
            ),
            Self::Reserve => (
                "reserve side",
                3.0,
                "Everything lit, shut the service side of a twin set: the reserve has to take over",
            ),
            Self::LoadUpDown => (
                "load up and down",
                2.0,
                "Come back to half load from full load, then tap the body: the difference is what friction holds",
            ),
            Self::Pilots => ("smallest burner", 2.0, "Only the smallest burner lit"),
            Self::LockUp => (
                "lock-up",
                3.0,
                "Everything off, container open: read when it has come to rest",
            ),
            Self::Creep => (
                "creep",
                5.0,
                "Watch five more minutes: any steady climb is a leaking seat",
            ),
            Self::FirstStage => (
                "first stage",
                5.0,
                "Read the first-stage tap at rest and under load",
            ),
            Self::Vent => (
                "vent",
                2.0,
                "Leak fluid at the vents, at rest and with gas flowing",
            ),
            Self::Joints => (
                "joints",
                6.0,
                "Leak fluid at pigtail, joints and unlit burners, everything off",
            ),
            Self::Flush => (
                "flush",
                6.0,
                "A burst of flow through the test tap, then lock-up again",
            ),
            Self::Warm => (
                "warm cloth",
                7.0,
                "A warm wet cloth on the regulator at full load, then full load and lock-up again",
            ),
            Self::Climb => ("climb", 45.0, "Lock-up again 1000 ft higher up"),
            Self::NewPiping => (
                "new piping",
                35.0,
                "Regulator and appliances off, air at 10 psi in the piping, 15 minutes, no drop",
            ),
        }
    }

    /// Its name.
    pub fn words(self) -> &'static str {
        self.about().0
    }

    /// The test of a name.
    pub fn find(name: &str) -> Option<Self> {
        let plain = |s: &str| s.to_lowercase().replace(['-', '_'], " ");
        let wanted = plain(name);
        Self::ALL.into_iter().find(|t| plain(t.words()) == wanted)
    }

    /// Minutes of work.
    pub fn minutes(self) -> f64 {
        self.about().1
    }

    /// What is done, in a sentence.
    pub fn how(self) -> &'static str {
        self.about().2
    }

    /// Whether the container has to be open for it.
    pub fn needs_gas(self) -> bool {
        !matches!(
            self,
            Self::LeakCheck | Self::NewPiping | Self::Air | Self::Container | Self::Fill
        )
    }

    /// Whether gas flows to burners for it or stands in the low side while it is watched: what is not done beside a leak.
    /// Leak fluid and a gauge at rest find where it is, and what is made with the container shut needs none.
    pub(super) fn lets_gas_stand(self) -> bool {
        self.needs_gas() && !matches!(self, Self::Vent | Self::FirstStage | Self::Joints)
    }

    /// Whether it is made with all or half of what there is to burn.
    pub fn burns_all(self) -> bool {
        matches!(
            self,
            Self::FlowPressure
                | Self::FullLoad
                | Self::Look
                | Self::Along
                | Self::LongDraw
                | Self::Reserve
                | Self::LoadUpDown
                | Self::Warm
        )
    }

    /// Whether a gauge is on the first stage while it is made.
    pub(super) fn reads_first(self) -> bool {
        matches!(
            self,
            Self::LockUp | Self::Creep | Self::FirstStage | Self::Flush
        )
    }

    /// The caution that belongs to the act.
    pub fn caution(self) -> &'static str {
        match self {
            Self::Flush => {
                "Only outdoors, burners off, no flame or switch near by, by a qualified technician"
            }
            Self::Warm => "A warm wet cloth only: no flame, no boiling water, no heat gun",
            Self::Joints | Self::Vent => "Leak fluid only; never search a leak with a flame",
            Self::LeakCheck | Self::FirstStage | Self::Along => {
                "Gauges are fitted with the container shut, by a qualified technician"
            }
            Self::Reserve => "Relight and prove every flame that goes out",
            Self::FlowPressure
            | Self::FullLoad
            | Self::LongDraw
            | Self::Pilots
            | Self::LoadUpDown
            | Self::Look => "No smell of gas before lighting; a few tries, then air and stop",
            Self::Fill => "Never above 80 % of the volume",
            Self::Climb => "Appliances off on the road",
            Self::NewPiping => {
                "Air only, never oxygen; the piping is cut off from the gas at both ends"
            }
            Self::Air | Self::Container | Self::LockUp | Self::Creep => "",
        }
    }

    /// Minutes that pass while it runs, the hands' work left out.
    pub fn runs_minutes(self) -> f64 {
        match self {
            Self::Air | Self::Container | Self::Fill | Self::Vent => 0.0,
            Self::Look | Self::FullLoad | Self::FlowPressure | Self::Pilots | Self::Joints => 1.0,
            Self::LockUp | Self::Flush | Self::Reserve => 1.5,
            Self::Along | Self::FirstStage | Self::LoadUpDown | Self::Warm => 2.0,
            Self::LongDraw => 3.0,
            Self::LeakCheck | Self::Creep => 5.0,
            Self::NewPiping => 15.0,
            Self::Climb => 30.0,
        }
    }
}
