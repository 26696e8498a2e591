//! What can go wrong with a run, said so that the rig can be mended.

use crate::solver::SolveError;

/// A run that failed.
#[derive(Debug, Clone, thiserror::Error)]
pub enum SimError {
    /// The engines gave up.
    #[error("{0}")]
    Solve(#[from] SolveError),
    /// The rig takes more work than a simulated second may.
    #[error(
        "the rig is too stiff to be run: its rates are wanted far more than {each_s} times a second by {time_s:.3} s, where the \
         {state} changes fastest; look at {look_at}"
    )]
    TooStiff {
        /// Times that its rates may be worked out for a simulated second.
        each_s: f64,
        /// When \[s\].
        time_s: f64,
        /// Which state changes fastest.
        state: String,
        /// Keys of the scenario that decide it.
        look_at: String,
    },
    /// The rig swings or jerks on before the start, where nothing is done to it.
    #[error(
        "the rig does not come to rest before the start: {before_s:.3} s before, {why}; look at {look_at}"
    )]
    NoRest {
        /// How long before the start \[s\].
        before_s: f64,
        /// What stood in the way.
        why: String,
        /// Keys of the scenario that decide it.
        look_at: String,
    },
    /// Events chase each other without time passing.
    #[error(
        "{count} events at {time_s:.6} s without time passing; raise a thermostat's band or a valve's time"
    )]
    Chatter {
        /// How many.
        count: usize,
        /// When \[s\].
        time_s: f64,
    },
}
