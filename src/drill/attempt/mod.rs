//! A person at work on a drill: acts ([`act`]), how they are carried out (`perform`), what of them counts (`evidence`),
//! what of it is known ([`known`]) and was read ([`read`]), what about them is unsafe ([`safety`]), what was made of a test ([`judging`]), the log that nothing is lost from ([`log`], [`folder`]), an attempt on a
//! thread of its own ([`runner`]), how long a test takes ([`takes`]), and the program's own way through a drill ([`way`], [`path`]).

pub mod act;
pub mod evidence;
pub mod folder;
pub mod judging;
pub mod known;
pub mod log;
pub mod path;
mod perform;
mod person;
pub mod read;
mod rules;
pub mod runner;
pub mod safety;
pub mod takes;
pub mod way;

pub use perform::Refusal;
pub use person::{Attempt, AttemptError, NotDone, Outside, has_looked, rig_of};
