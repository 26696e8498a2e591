//! One small door to the integrators: a system of ordinary differential equations goes in,
//! a state at a later time (or at the first event before it) comes out.
//!
//! Here: the [`System`] trait, the [`Engine`] with its fallback ladder, the location of state
//! events, counters of the work done, and the eigenvalues of a linearised system. The explicit
//! engine (`explicit`) is the only file of the project that names an integrator crate; the stiff one (`stiff`,
//! `multistep`, `one_step`, `newton`, `lu`) is our own. Not here: rigs, regulators, what an event means; a system is a
//! vector of numbers with scales and names.
//!
//! The order of one [`Engine::advance`], kept by both engines: check the input; report a watch
//! that had crossed together with the last event; then for each accepted step: look for a
//! crossing, hand out the samples up to it, show the step to the observer. When an advance fails,
//! `y` holds the last accepted state and the error carries its time.

mod engine;
mod error;
mod explicit;
mod hermite;
mod lu;
mod modes;
mod multistep;
mod newton;
mod one_step;
mod rates;
mod run;
mod stiff;
#[cfg(test)]
mod tests;
mod watch;

pub use engine::Engine;
pub use error::SolveError;
pub use modes::{jacobian, modes};

use serde::{Deserialize, Serialize};

/// A system of ordinary differential equations y' = f(t, y) with watched quantities.
///
/// All functions are pure: the same arguments give the same values, and discrete modes do not
/// change while an [`Engine::advance`] runs.
pub trait System {
    /// Number of states.
    fn dim(&self) -> usize;

    /// Rates of change `dy` (state unit per s) at time `t` (s) and state `y`.
    ///
    /// A trial state may lie a little outside the sensible range; a rate that is not finite there
    /// makes the engine try a smaller step.
    fn derivatives(&self, t: f64, y: &[f64], dy: &mut [f64]);

    /// Typical magnitude of each state (state unit), positive: the absolute tolerance of a state
    /// is `tolerance.absolute * scale`, and finite differences are taken relative to it.
    fn scales(&self) -> &[f64];

    /// Magnitudes that the absolute tolerance is taken of, where they differ from [`System::scales`]:
    /// a state that drives the others weakly may be followed more loosely than it is differenced.
    fn error_scales(&self) -> &[f64] {
        self.scales()
    }

    /// Value (state unit) that state `i` is counted from: the relative tolerance is a share of the distance from
    /// it. Zero, but for a state that moves little about a large value and sets something off there.
    fn origin(&self, _i: usize) -> f64 {
        0.0
    }

    /// Whether state `i` acts on the others so slowly that its column may be left out of the Newton
    /// matrix: the iteration converges to the same step, and a column costs one evaluation.
    fn acts_slowly(&self, _i: usize) -> bool {
        false
    }

    /// The states whose rates state `i` may act on, as bits (bit k: state k). Columns of the Newton matrix that
    /// share no row are found by one evaluation; a state left out that is acted on makes a wrong matrix and
    /// slow Newton iterations. All states unless the system knows better.
    fn acts_on(&self, _i: usize) -> u64 {
        u64::MAX
    }

    /// Number of watched quantities whose zero crossings are state events.
    fn watch_count(&self) -> usize {
        0
    }

    /// Values of the watched quantities at time `t` (s) and state `y`.
    fn watches(&self, _t: f64, _y: &[f64], _out: &mut [f64]) {}

    /// The same within a small share of what a step may err, where that is cheaper: enough to see that none is
    /// near zero.
    fn watches_nearly(&self, t: f64, y: &[f64], out: &mut [f64]) {
        self.watches(t, y, out);
    }

    /// Which crossing of watch `i` is an event.
    fn watch_direction(&self, _i: usize) -> Direction {
        Direction::Either
    }

    /// How far from zero watch `i` may stand at both ends of a step and still go through zero and
    /// back inside it. Infinite (always look) unless the system knows better.
    fn watch_reach(&self, _i: usize) -> f64 {
        f64::INFINITY
    }

    /// Name of state `i` in words of the trade, for messages.
    fn state_name(&self, i: usize) -> String;
}

/// Which way a watched quantity must cross zero to count as an event.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Direction {
    /// From below zero to zero or above.
    Rising,
    /// From above zero to zero or below.
    Falling,
    /// Both of them.
    Either,
}

/// Error allowed in one step, as `relative * |y| + absolute * scale` for each state.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Tolerance {
    /// Share of the present value of a state.
    pub relative: f64,
    /// Share of the typical magnitude of a state.
    pub absolute: f64,
}

impl Default for Tolerance {
    fn default() -> Self {
        Self {
            relative: 1e-6,
            absolute: 1e-8,
        }
    }
}

/// Which integrator an [`Engine`] uses.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub enum Method {
    /// Explicit for spans of a few milliseconds of simulated time, stiff for longer ones.
    #[default]
    Auto,
    /// Dormand-Prince 5(4) in short ticks: the independent check of the other.
    Explicit,
    /// Backward differences that live on from span to span; ESDIRK34, TR-BDF2 and short explicit ticks
    /// are the next rungs of the ladder.
    Stiff,
}

/// Counters of the work an [`Engine`] has done since it was made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Work {
    /// Calls of [`Engine::advance`] that integrated something.
    pub advances: u64,
    /// Accepted steps of all methods.
    pub steps: u64,
    /// Accepted steps of the explicit method among them.
    pub explicit_steps: u64,
    /// Steps tried and thrown away.
    pub rejected_steps: u64,
    /// Calls of [`System::derivatives`], those for Jacobians included.
    pub derivative_calls: u64,
    /// Jacobian matrices evaluated (each costs dim + 1 derivative calls at most).
    pub jacobians: u64,
    /// Newton matrices factorised.
    pub factorizations: u64,
    /// Times a method began anew, without a step size or a past to go on from.
    pub restarts: u64,
    /// Events reported.
    pub events: u64,
    /// Rungs of the ladder taken because the rung before gave up.
    pub fallbacks: u64,
}

/// Why an advance ended.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub enum Stop {
    /// The end time was reached.
    Reached,
    /// A watched quantity crossed zero; the state is the one just past the crossing.
    Event {
        /// Index of the watch.
        index: usize,
        /// Time of the crossing, s.
        time_s: f64,
        /// Whether the quantity went up.
        rising: bool,
    },
}

/// Sees the solution while it is made: at the times asked for, and at every accepted step.
pub trait Observer {
    /// The state `y` at a requested sample time `t` (s).
    fn sample(&mut self, t: f64, y: &[f64]);

    /// The state `y` at the end `t` (s) of an accepted step, or at the event that ended it.
    fn step(&mut self, _t: f64, _y: &[f64]) {}
}
