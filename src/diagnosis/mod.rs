//! From readings to causes: Bayesian inference over simulated visits.
//!
//! A [`library::collection::Library`] holds what a visit to the rig reads under every fault of the catalogue,
//! with severity and all unknowns drawn anew each time; [`inference::model::Model`] makes a likelihood of it;
//! [`answer::answer`] ranks the causes of a set of [`files::readings::Readings`], shows what each foretells,
//! and which test to make next. Nothing here is a table of rules: change the physics and the
//! answers change with it. Knows no screen.

pub mod advice;
pub mod answer;
mod closer;
pub mod files;
mod foretold;
pub mod inference;
pub mod library;
mod lock_up;
pub mod measure;
mod parts;
pub mod remarks;
pub mod starved;
pub mod store;
#[cfg(test)]
mod tests;
pub mod weighed;
