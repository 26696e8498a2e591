//! A readings file and what stands in it: readings, what was told, priors. Not here: what follows from it.

pub mod account;
pub mod beside;
pub mod cause;
pub(super) mod noted;
pub mod prior;
pub mod readings;
pub mod slip;
