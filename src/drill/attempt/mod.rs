//! A person at work on a drill: acts ([`act`]), how they are carried out (`perform`), what of them counts (`evidence`),
//! what about them is unsafe ([`safety`]), what was made of a test ([`judging`]), the log that nothing is lost from ([`log`], [`folder`]), and an attempt on a
//! thread of its own ([`runner`]).

pub mod act;
pub mod evidence;
pub mod folder;
pub mod judging;
pub mod log;
mod perform;
mod person;
pub mod runner;
pub mod safety;

pub use perform::Refusal;
pub use person::{Attempt, AttemptError, NotDone, Outside, rig_of};
