//! What can go wrong while integrating, said with the simulated time and the state's name.
//! Not here: the decision to try another method (`engine`).

use thiserror::Error;

/// An advance that could not be finished.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum SolveError {
    /// The call itself made no sense.
    #[error("cannot integrate: {what}")]
    BadInput {
        /// What is wrong with it and what would be right.
        what: String,
    },
    /// A state, rate or watch became infinite or not a number.
    #[error(
        "{what} of {state} is not a number at {time_s:.6} s of simulated time; check the parameters \
         and events that act on it just before"
    )]
    NonFinite {
        /// Simulated time, s.
        time_s: f64,
        /// Name of the state (or the watch).
        state: String,
        /// "the value" or "the rate of change".
        what: &'static str,
    },
    /// Every rung of the ladder gave up.
    #[error(
        "the solution cannot be continued past {time_s:.6} s of simulated time ({reason}); {state} \
         changes fastest there: look for a jump or an extreme parameter that acts on it, or \
         loosen the tolerance"
    )]
    Stuck {
        /// Simulated time, s.
        time_s: f64,
        /// Name of the state with the largest rate against its tolerance.
        state: String,
        /// What the last method said.
        reason: String,
    },
    /// The cap on steps in one advance was met.
    #[error(
        "{limit} steps were spent by {time_s:.6} s of simulated time and the end is not reached; \
         {state} changes fastest there: use the stiff method, loosen the tolerance, or advance a \
         shorter span"
    )]
    TooManySteps {
        /// Simulated time, s.
        time_s: f64,
        /// Name of the state with the largest rate against its tolerance.
        state: String,
        /// The cap.
        limit: u64,
    },
}

impl SolveError {
    /// Simulated time of the failure, s; none for a call that made no sense.
    pub fn time_s(&self) -> Option<f64> {
        match self {
            Self::BadInput { .. } => None,
            Self::NonFinite { time_s, .. }
            | Self::Stuck { time_s, .. }
            | Self::TooManySteps { time_s, .. } => Some(*time_s),
        }
    }
}
