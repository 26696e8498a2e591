//! The steps of a path to the cause: what is done once, with which tools, for which items, in how
//! many minutes. A path is a list of these; the trainee's own acts are finer (see `act`).

use super::item::Id;
use super::tool::{Bag, Tool};
use serde::{Deserialize, Serialize};

/// One step.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Check {
    /// Eyes with everything lit.
    Look,
    /// Ears, with everything lit and at rest.
    Listen,
    /// Manometer at half load.
    HalfLoad,
    /// Manometer at full load.
    FullLoad,
    /// Manometer at the manifold under load.
    Manifold,
    /// Half load from above.
    UpDown,
    /// A tap at half load.
    Tap,
    /// Everything off for a minute.
    LockUp,
    /// Five minutes more.
    Creep,
    /// Gauge on container and inlet, at rest and at full load.
    Supply,
    /// Gauge on the first-stage tap, at rest and under load.
    FirstStage,
    /// The same after minutes of rest.
    FirstCreep,
    /// Leak fluid at the vents.
    Vent,
    /// Leak fluid at the joints.
    Joints,
    /// Container shut, low side at 9 in w.c.
    LeakCheck,
    /// Container on the scales.
    Weigh,
    /// A burst of flow, then lock-up.
    Flush,
    /// A warm wet cloth at full load.
    Warm,
    /// Air at 10 psi in the piping alone.
    Piping,
}

impl Check {
    /// All steps in the fixed order of a visit.
    pub const ALL: [Self; 19] = [
        Self::LeakCheck,
        Self::HalfLoad,
        Self::FullLoad,
        Self::Look,
        Self::Listen,
        Self::Manifold,
        Self::UpDown,
        Self::Tap,
        Self::LockUp,
        Self::Creep,
        Self::Vent,
        Self::FirstStage,
        Self::FirstCreep,
        Self::Supply,
        Self::Joints,
        Self::Weigh,
        Self::Flush,
        Self::Warm,
        Self::Piping,
    ];

    /// What anyone does first: look, listen, flow pressure, lock-up.
    pub const OBVIOUS: [Self; 4] = [Self::Look, Self::Listen, Self::HalfLoad, Self::LockUp];

    fn about(self) -> (&'static str, &'static [Tool], f64, &'static [Id]) {
        use Id::{
            Band, Burners, Climb, Flames, FlushRest, FrostBody, FrostContainer, Fuel,
            FullContainer, FullFirst, FullFirstVent, FullInlet, FullManifold, FullOutlet,
            FullSecondVent, FullSound, HalfFirst, HalfManifold, HalfOutlet, LeakChange,
            LongRestFirst, LongRestOutlet, LowSide, OddOne, Peak, Pigtail, PipingDrop,
            RestContainer, RestFirst, RestFirstVent, RestInlet, RestManifold, RestOutlet,
            RestSecondVent, RestSound, Settle, TapShift, VentLooks, WarmFull,
        };
        match self {
            Self::Look => (
                "look with everything lit",
                &[Tool::Eyes],
                1.0,
                &[Flames, OddOne, FrostBody, FrostContainer, VentLooks],
            ),
            Self::Listen => (
                "listen, lit and at rest",
                &[Tool::Ears],
                2.0,
                &[FullSound, RestSound],
            ),
            Self::HalfLoad => (
                "flow pressure at half load",
                &[Tool::Manometer],
                1.0,
                &[HalfOutlet],
            ),
            Self::FullLoad => (
                "flow pressure at full load",
                &[Tool::Manometer],
                1.0,
                &[FullOutlet],
            ),
            Self::Manifold => (
                "manometer at the manifold",
                &[Tool::Manometer],
                3.0,
                &[HalfManifold, FullManifold, RestManifold],
            ),
            Self::UpDown => ("half load from above", &[Tool::Manometer], 2.0, &[Band]),
            Self::Tap => (
                "a tap at half load",
                &[Tool::Manometer, Tool::Tap],
                0.5,
                &[TapShift],
            ),
            Self::LockUp => (
                "lock-up",
                &[Tool::Manometer],
                1.5,
                &[RestOutlet, Peak, Settle],
            ),
            Self::Creep => (
                "creep, five more minutes",
                &[Tool::Manometer],
                5.0,
                &[Climb, LongRestOutlet],
            ),
            Self::Supply => (
                "gauge on container and inlet",
                &[Tool::ContainerGauge],
                3.0,
                &[RestContainer, RestInlet, FullContainer, FullInlet],
            ),
            Self::FirstStage => (
                "gauge on the first-stage tap",
                &[Tool::InterstageGauge],
                3.0,
                &[RestFirst, HalfFirst, FullFirst],
            ),
            Self::FirstCreep => (
                "first stage after minutes of rest",
                &[Tool::InterstageGauge],
                5.0,
                &[LongRestFirst],
            ),
            Self::Vent => (
                "leak fluid at the vents",
                &[Tool::LeakFluid],
                1.0,
                &[RestFirstVent, FullFirstVent, RestSecondVent, FullSecondVent],
            ),
            Self::Joints => (
                "leak fluid at hose, joints and burners",
                &[Tool::LeakFluid],
                4.0,
                &[Pigtail, LowSide, Burners],
            ),
            Self::LeakCheck => (
                "leak check",
                &[Tool::Manometer, Tool::Valve],
                5.0,
                &[LeakChange],
            ),
            Self::Weigh => ("weigh the container", &[Tool::Scales], 0.0, &[Fuel]),
            Self::Flush => (
                "flush, then lock-up",
                &[Tool::Flush, Tool::Manometer],
                1.5,
                &[FlushRest],
            ),
            Self::Warm => (
                "warm cloth at full load",
                &[Tool::WarmCloth, Tool::Manometer],
                1.0,
                &[WarmFull],
            ),
            Self::Piping => (
                "air test of the piping",
                &[Tool::AirPump],
                15.0,
                &[PipingDrop],
            ),
        }
    }

    /// In words.
    pub fn words(self) -> &'static str {
        self.about().0
    }

    /// Tools it needs.
    pub fn tools(self) -> &'static [Tool] {
        self.about().1
    }

    /// Items it gives.
    pub fn items(self) -> &'static [Id] {
        self.about().3
    }

    /// The step that gives an item, if one does.
    pub fn of(id: Id) -> Option<Self> {
        Self::ALL.into_iter().find(|c| c.items().contains(&id))
    }

    /// Minutes it takes with this bag: hand work and the time it runs.
    pub fn minutes(self, bag: &Bag) -> f64 {
        let (_, tools, running, _) = self.about();
        running + tools.iter().map(|t| bag.minutes(*t)).sum::<f64>()
    }

    /// Whether the bag holds what it needs.
    pub fn is_offered(self, bag: &Bag) -> bool {
        self.tools().iter().all(|t| bag.has(*t))
    }

    /// Every step the bag allows, in the fixed order.
    pub fn offered(bag: &Bag) -> Vec<Self> {
        Self::ALL
            .into_iter()
            .filter(|c| c.is_offered(bag))
            .collect()
    }
}
