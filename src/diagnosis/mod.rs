//! From readings to causes: Bayesian inference over simulated visits.
//!
//! A [`library::Library`] holds what a visit to the rig reads under every fault of the catalogue,
//! with severity and all unknowns drawn anew each time; [`model::Model`] makes a likelihood of it;
//! [`answer::answer`] ranks the causes of a set of [`file::Readings`], shows what each foretells,
//! and which test to make next. Nothing here is a table of rules: change the physics and the
//! answers change with it. Knows no screen.

pub mod account;
pub mod alike;
pub mod answer;
pub mod baseline;
pub mod beside;
mod brought;
pub(crate) mod bytes;
pub mod cases;
pub mod cause;
mod checked;
mod closer;
mod conditional;
mod doubt;
pub mod evaluate;
pub mod evidence;
pub mod file;
pub mod fingerprint;
pub mod fit;
pub mod fragile;
pub mod isolate;
pub mod library;
pub mod model;
pub mod next;
mod noted;
mod outcomes;
mod pairs;
mod parallel;
pub mod posterior;
pub mod prior;
pub mod random;
pub mod safety;
pub mod sample;
pub mod score;
pub mod standard;
pub mod store;
#[cfg(test)]
mod tests;
pub mod tuning;
pub mod unknowns;
pub mod walk;
pub mod words;
