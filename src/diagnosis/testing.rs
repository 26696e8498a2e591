//! The tests of a visit: what each takes in minutes of work, its caution, the items it gives.

use super::reading::{ALL, ITEMS};
use serde::Serialize;

/// A test of the visit: what is done once and gives some items.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Test {
    /// Thermometer in the air.
    Air,
    /// Gauge on the container.
    Container,
    /// Container on the scales, or its level gauge.
    Fill,
    /// Eyes and ears with everything lit.
    Look,
    /// About half of the load.
    HalfLoad,
    /// All of the load.
    FullLoad,
    /// Two gauges at full load: regulator's inlet and manifold.
    Along,
    /// Full load for three more minutes.
    LongDraw,
    /// Half load come to from above, and a tap on the body.
    UpDown,
    /// The smallest burner only.
    Pilots,
    /// Everything off.
    LockUp,
    /// Five minutes more.
    Creep,
    /// A gauge on the first-stage tap, at rest and flowing.
    FirstStage,
    /// Leak fluid at the vents.
    Vent,
    /// Leak fluid at the joints.
    Joints,
    /// Container shut, low side at 9 in w.c., three minutes.
    LeakCheck,
    /// A burst of flow, then lock-up again.
    Flush,
    /// A warm wet cloth, then full load and lock-up again.
    Warm,
    /// The same lock-up 1000 ft higher.
    Climb,
    /// All of the load, and the service side of a twin set shut.
    Reserve,
}

impl Test {
    /// All tests in the fixed order of a visit.
    pub const ALL: [Self; 20] = [
        Self::Air,
        Self::Container,
        Self::Fill,
        Self::LeakCheck,
        Self::HalfLoad,
        Self::FullLoad,
        Self::Look,
        Self::Along,
        Self::LongDraw,
        Self::Reserve,
        Self::UpDown,
        Self::Pilots,
        Self::LockUp,
        Self::Creep,
        Self::FirstStage,
        Self::Vent,
        Self::Joints,
        Self::Flush,
        Self::Warm,
        Self::Climb,
    ];

    /// Minutes of work (invented, for comparison: an experienced hand with the gauges at hand).
    pub fn minutes(self) -> f64 {
        match self {
            Self::Air | Self::Look => 1.0,
            Self::UpDown | Self::Pilots | Self::Vent => 2.0,
            Self::Container | Self::LockUp | Self::FullLoad | Self::Reserve => 3.0,
            Self::LongDraw => 4.0,
            Self::Fill | Self::HalfLoad | Self::Creep | Self::FirstStage | Self::Along => 5.0,
            Self::Joints | Self::Flush => 6.0,
            Self::Warm => 7.0,
            Self::LeakCheck => 8.0,
            Self::Climb => 45.0,
        }
    }

    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Air => "air temperature",
            Self::Container => "container pressure",
            Self::Fill => "weigh the container",
            Self::Look => "look and listen with everything lit, along the hose, at vent and valve",
            Self::HalfLoad => "flow pressure at half load",
            Self::FullLoad => "flow pressure at full load",
            Self::Along => "inlet and manifold gauges at full load",
            Self::LongDraw => "three more minutes of full load",
            Self::UpDown => "half load from above, then a tap on the body",
            Self::Pilots => "smallest burner only",
            Self::LockUp => "lock-up",
            Self::Creep => "creep, five more minutes",
            Self::FirstStage => "gauge on the first-stage tap",
            Self::Vent => "leak fluid at the vents",
            Self::Joints => "leak fluid at the joints",
            Self::LeakCheck => "leak check",
            Self::Flush => "flush, then lock-up again",
            Self::Warm => "warm wet cloth, then full load and lock-up again",
            Self::Climb => "lock-up again after a climb of 1000 ft",
            Self::Reserve => "shut the service side of a twin set with everything lit",
        }
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
            Self::HalfLoad | Self::FullLoad | Self::LongDraw | Self::Pilots | Self::UpDown => {
                "No smell of gas before lighting; a few tries, then air and stop"
            }
            Self::Fill => "Never above 80 % of the volume",
            Self::Climb => "Appliances off on the road",
            _ => "",
        }
    }

    /// The items it gives.
    pub fn items(self) -> impl Iterator<Item = usize> {
        (0..ITEMS).filter(move |&i| ALL[i].test == self)
    }
}
