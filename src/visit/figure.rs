//! Figures of a test, read or worked out, its steps and its record: plain data.

use super::item::{Id, Observation};
use super::test::Test;
use serde::{Deserialize, Serialize};

/// What a figure is: read, or worked out of what was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Measure {
    /// An item as it was read.
    Read(Id),
    /// Heat input of what was let through \[W\].
    Load,
    /// Fall from half to full load \[Pa\].
    Fall,
    /// From the outlet to the manifold at full load \[Pa\].
    PipeDrop,
    /// Outlet at half load come to from below \[Pa\].
    FromBelow,
    /// Half load from above less from below \[Pa\].
    Band,
    /// Outlet at rest, when it has come to rest \[Pa\].
    LockUp,
    /// Rise from half load to lock-up \[Pa\].
    Rise,
    /// Highest outlet of the test \[Pa\].
    Peak,
    /// Highest first-stage pressure of the test \[Pa\].
    FirstPeak,
    /// Pressure at the start of the test \[Pa\].
    Start,
    /// ... and at its end.
    End,
    /// What a loss counts from, where it is more than the start: gas that was lost before the watch began \[Pa\].
    From,
    /// Climb of the outlet at rest: from a minute after everything was off, or from the start of a test by itself \[Pa\].
    Climb,
    /// ... of the first stage.
    FirstClimb,
    /// First stage at rest \[Pa\].
    FirstAtRest,
    /// ... and with gas flowing.
    FirstFlowing,
    /// Regulator's inlet at rest \[Pa\].
    InletAtRest,
    /// ... and with gas flowing.
    InletFlowing,
    /// Fall of the inlet from rest \[Pa\].
    InletFall,
    /// By how much the air warmed \[K\].
    Warmed,
    /// What that takes off the change of trapped gas \[Pa\].
    Correction,
}

impl Measure {
    /// Whether it is a difference of low pressures.
    pub fn is_change(self) -> bool {
        matches!(
            self,
            Self::Fall | Self::PipeDrop | Self::Band | Self::Rise | Self::Climb | Self::Correction
        )
    }
}

/// A step of a test.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Step {
    /// An appliance lit.
    Lit(usize),
    /// An appliance shut off.
    ShutOff(usize),
    /// A container valve shut.
    ValveShut(usize),
    /// A container valve opened slowly.
    ValveOpened(usize),
    /// Low side bled to \[Pa\].
    BledTo(f64),
    /// Held for \[s\].
    Held(f64),
    /// Leak fluid put on both vents.
    FluidAtVents,
    /// The body tapped.
    Tapped,
    /// A burst of flow.
    Flushed,
    /// A warm wet cloth.
    Warmed,
    /// Driven uphill by \[m\].
    Climbed(f64),
    /// Regulator and appliances taken off, air in the piping.
    AirInPiping {
        /// At \[Pa\].
        pressure_pa: f64,
        /// For \[s\].
        held_s: f64,
    },
}

/// One figure that was read or worked out.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Figure {
    /// What.
    pub measure: Measure,
    /// Value in SI as read on the instrument, or the place of a word.
    pub value: f64,
}

impl Figure {
    /// Whether a reading can be one of its item's.
    pub fn is_sound(&self) -> bool {
        match self.measure {
            Measure::Read(item) => Observation {
                item,
                value: self.value,
                uncertainty: None,
                at_s: 0.0,
                over: false,
            }
            .is_sound(),
            _ => self.value.is_finite(),
        }
    }

    /// Whether a person would write it down: what is `still_moving` has no time at which it stood.
    pub fn is_shown(&self, still_moving: bool) -> bool {
        !(still_moving && self.measure == Measure::Read(Id::RestSettles))
    }
}

/// One point of the record of a test.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct TracePoint {
    /// Simulated time \[s\].
    pub time_s: f64,
    /// Outlet \[Pa\].
    pub outlet_pa: f64,
    /// First stage \[Pa\].
    pub first_stage_pa: f64,
    /// Regulator inlet \[Pa\].
    pub inlet_pa: f64,
}

/// What kept a look that is made at rest and with gas flowing from lighting anything.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LeftUnlit {
    /// Gas at a vent.
    Gas,
    /// A reading that forbids a flame, of this test or of one before.
    Reading,
}

/// Whether a test that looks at rest and with gas flowing lit nothing: what was read ends before it. The one rule of what is
/// told, of safety and of habits.
pub fn left_unlit(test: Test, figures: &[Figure]) -> Option<LeftUnlit> {
    if !matches!(test, Test::Vent | Test::FirstStage) {
        return None;
    }
    let of = |f: &Figure| match f.measure {
        Measure::Read(id) if id.item().test == test => Some((id.wants_a_flame(), f.value)),
        _ => None,
    };
    let (flowing, rest): (Vec<_>, Vec<_>) = figures.iter().filter_map(of).partition(|f| f.0);
    let gas = rest.iter().any(|f| f.1 > 0.0);
    let why = if test == Test::Vent && gas {
        LeftUnlit::Gas
    } else {
        LeftUnlit::Reading
    };
    (!rest.is_empty() && flowing.is_empty()).then_some(why)
}
