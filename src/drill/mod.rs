//! Drills and lessons: a hidden fault in a running rig, someone who looks for it from outside, and
//! what both can learn from it afterwards.
//!
//! * [`Drill`] is the file: rig, complaint, hidden faults, what is at hand ([`mod@file`], [`seal`]).
//! * [`library`], [`belief`], [`assess`] hold readings against what every cause would show on the
//!   same rig: whether a drill can be solved, how hard it is, the best path.
//! * [`Attempt`] is a person at work: acts on a [`crate::sim::Simulation`], a log that nothing is
//!   lost from.
//! * [`grade`] holds a finished attempt against the drill.
//!
//! Everything is plain data and knows no screens. Safety: a drill teaches how to look and when to
//! stop; only a qualified LP-gas technician opens, sets or replaces a regulator.

pub mod act;
pub mod assess;
pub mod attempt;
pub mod belief;
pub mod check;
mod counted;
pub mod file;
pub mod folder;
pub mod grade;
mod hidden;
pub mod item;
pub mod lesson;
pub mod library;
pub mod log;
pub mod make;
mod names;
pub mod perform;
mod phrase;
pub mod probe;
pub mod runner;
pub mod safety;
pub mod seal;
pub mod shipped;
pub mod sight;
pub mod telling;
pub mod tool;

pub use act::{Act, Answer, Left};
pub use attempt::{Attempt, AttemptError, NotDone, Outside};
pub use file::{Drill, DrillError};
