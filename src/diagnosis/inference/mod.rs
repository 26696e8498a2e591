//! The mathematics from a library and readings to probabilities, and what they say of the next test.

pub mod alike;
pub(super) mod brought;
pub(super) mod conditional;
pub mod evidence;
pub mod fit;
pub(super) mod hangs;
pub mod isolate;
pub mod model;
pub mod next;
pub(super) mod outcomes;
pub mod posterior;
pub mod safety;
pub mod score;
pub mod tuning;
pub mod walk;
