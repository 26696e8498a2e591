//! Drills and lessons: a hidden fault in a running rig, someone who looks for it from outside, and
//! what both can learn from it afterwards.
//!
//! * [`reasoning`] holds readings against what every cause would show on the same rig: whether a drill can be solved,
//!   how hard it is, the best path. Its library, likelihood and walk are those of diagnosis.
//! * [`making`] is about the file: rig, complaint, hidden faults, what is at hand ([`Drill`]).
//! * [`attempt`] is a person at work ([`Attempt`]): acts of a visit on a [`crate::sim::Simulation`], a log that nothing
//!   is lost from.
//! * [`marking`] holds a finished attempt against the drill.
//! * [`lesson`] predicts, observes, explains.
//!
//! Everything is plain data and knows no screens; values have their units where they are shown. Safety: a drill teaches
//! how to look and when to stop; only a qualified LP-gas technician opens, sets or replaces a regulator.

pub mod attempt;
pub mod lesson;
pub mod making;
pub mod marking;
pub mod reasoning;

pub use attempt::act::{Act, Finding, Left};
pub use attempt::{Attempt, AttemptError, NotDone, Outside};
pub use making::file::{Drill, DrillError};
