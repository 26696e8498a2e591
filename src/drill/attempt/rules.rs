//! What can be unsafe about an act, and from which flows on gas counts. Not here: when an act is (`safety`).

use crate::scenario::WhichStage;
use crate::service::{Joint, LEAST_BUBBLE_M3_PER_S, VAPOUR_KG_PER_M3};
use crate::visit::Test;
use serde::{Deserialize, Serialize};

/// Something unsafe that was done.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Unsafe {
    /// A container valve opened fast.
    OpenedFast,
    /// A burst of flow while this appliance burned.
    FlushedBesideFlame(usize),
    /// A screw turned before its pressure was read.
    ScrewWithoutGauge,
    /// A screw that brought the outlet over the limit, to \[Pa\].
    SetOverTheLimit(f64),
    /// A part taken off with the container open, or with gas in the line.
    OpenedUnderPressure,
    /// A part taken off while this appliance burned.
    OpenedBesideFlame(usize),
    /// Lit where gas had gathered.
    LitWhereGasHadGathered,
    /// Lit while gas that had been found escaped, or, where the owner reports it, before it was put right.
    LitWhileGasEscaped,
    /// Lit before a leak that was reported was looked for, and gas did escape.
    LitBesideToldGas,
    /// Lit before a leak that was reported was looked for; none escaped just then.
    LitUnsought,
    /// Lit before a leak that was reported was looked for everywhere.
    LitHalfSought {
        /// Whether gas does escape.
        escaped: bool,
        /// What was not looked at.
        left_out: Vec<Joint>,
    },
    /// Lit, or left in use, with a new part that was not looked at for leaks.
    NewPartUntested,
    /// Gas flows at a burner that does not burn, and was left to.
    GasAtUnlitBurner,
    /// Gas was known to blow out, and the container was left open for more than to find where.
    LeftBlowing,
    /// Left in use while gas escapes.
    LeftLeaking,
    /// Left in use with the outlet over the limit, at \[Pa\].
    LeftOverTheLimit(f64),
    /// Left in use with what is wrong.
    LeftWithTheFault,
    /// The same, where this test had failed for it, with nothing put right since.
    LeftAgainstTest(Test),
    /// Lit after bubbles at a vent, which was not looked at again since: the reading decides, whatever it was that grew them.
    LitOverBubbles,
    /// A leak is reported, and the container stood open for minutes of waiting before it was looked for.
    WaitedUnsought,
    /// The screw of a stage that had been read right was turned away from its setting.
    TurnedSound(WhichStage),
    /// Left in use with a regulator whose seat let gas by until something was carried off it.
    LeftAfterBurst,
    /// Lit after a reading that forbids a flame, with nothing put right since.
    LitAgainstReading,
    /// Lit after a reading at which one stops and shuts, with nothing put right since.
    LitOverStop(Stop),
    /// Left in use after such a reading, with nothing put right since.
    LeftOverStop(Stop),
    /// Left in use after another reading that forbids a flame, with nothing put right since.
    LeftAgainstReading,
    /// What the drill forbids, and why.
    Forbidden(String),
    /// Readings that forbid a flame judged to be a pass: said, and not done. Told with the judgement, in an exam with the marks.
    CalledSafe(Test),
}

/// A reading at which one stops, shuts the container and refers it (common practice; the limits carry their grades).
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Stop {
    /// A first stage at \[Pa\], over its stop: container pressure behind parts made for 10 psi.
    First(f64),
    /// The first stage's gauge on its pin, its end at \[Pa\]; no larger one has told how much it is.
    FirstPegged(f64),
    /// A low side at \[Pa\], far over 14 in w.c.
    LowSide(f64),
    /// A container filled so far: liquid may come to the regulator.
    Overfilled(f64),
}

impl Stop {
    /// Short name of the lesson that shows what stands too high there.
    const fn lesson(self) -> &'static str {
        match self {
            Self::First(_) | Self::FirstPegged(_) => "two_stages",
            Self::LowSide(_) => "lock_up",
            Self::Overfilled(_) => "liquid",
        }
    }
}

impl Unsafe {
    /// What follows from each rule: whether it is grave, and the lesson. A new rule has its row here, or nothing compiles.
    const fn follows(&self) -> (bool, Option<&'static str>) {
        match self {
            Self::FlushedBesideFlame(_)
            | Self::OpenedUnderPressure
            | Self::OpenedBesideFlame(_)
            | Self::LitWhereGasHadGathered
            | Self::LitWhileGasEscaped
            | Self::LitOverBubbles
            | Self::LitBesideToldGas
            | Self::LeftAgainstTest(_)
            | Self::LeftLeaking => (true, None),
            Self::LitHalfSought { escaped, .. } => (*escaped, None),
            Self::LitOverStop(stop) | Self::LeftOverStop(stop) => (true, Some(stop.lesson())),
            Self::LeftAgainstReading => (true, Some("lock_up")),
            Self::LitUnsought
            | Self::NewPartUntested
            | Self::GasAtUnlitBurner
            | Self::LeftBlowing
            | Self::LeftWithTheFault
            | Self::WaitedUnsought
            | Self::Forbidden(_) => (false, None),
            Self::OpenedFast => (false, Some("open_slowly")),
            Self::ScrewWithoutGauge | Self::TurnedSound(_) => (false, Some("manometer")),
            Self::LeftAfterBurst => (false, Some("grit")),
            Self::SetOverTheLimit(_)
            | Self::LeftOverTheLimit(_)
            | Self::LitAgainstReading
            | Self::CalledSafe(_) => (false, Some("lock_up")),
        }
    }

    /// Whether it fails an attempt, whatever else was done: what can burn or kill somebody at once.
    pub const fn is_grave(&self) -> bool {
        self.follows().0
    }

    /// Short name of the lesson that shows why it is unsafe; none shows gas that escapes.
    pub const fn lesson(&self) -> Option<&'static str> {
        self.follows().1
    }

    /// Whether it is a flame that a reading forbids.
    pub fn is_lit_against_reading(&self) -> bool {
        matches!(self, Self::LitAgainstReading | Self::LitOverStop(_))
    }

    /// Whether it was said and not done: a judgement, which hurts nobody until somebody goes by it.
    pub fn is_said(&self) -> bool {
        matches!(self, Self::CalledSafe(_))
    }

    /// Whether it is lighting before a reported leak was looked for.
    pub fn is_unsought(&self) -> bool {
        matches!(
            self,
            Self::LitBesideToldGas | Self::LitUnsought | Self::LitHalfSought { .. }
        )
    }
}

/// Gas escaping that is smelt or heard at once \[kg/s\] (practice: over 0.05 g/s the nose tells) ...
pub(super) const SMELT_KG_PER_S: f64 = 5e-5;
/// ... and what leak fluid shows where it was put on and bubbled: the slowest bubble that is seen.
pub(super) const SEEN_KG_PER_S: f64 = LEAST_BUBBLE_M3_PER_S * VAPOUR_KG_PER_M3;

/// Whether a flow is more than what nobody is held to; that flow itself is not, as with every limit.
pub(super) fn is_more(kg_per_s: f64, than: f64) -> bool {
    kg_per_s > than
}
