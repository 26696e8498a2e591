//! `twostage`: the two-stage LP-gas regulator, alive.
//!
//! A lumped dynamic model of each stage (diaphragm, spring, lever, orifice, vent) integrated
//! over time. Rooms import downwards only: a room uses only the rooms declared before it here.

pub mod units;

pub mod form;

pub mod physics;

pub mod rig;

pub mod fault;

pub mod scenario;

pub mod solver;

pub mod sim;

pub mod service;

pub mod visit;

pub mod analysis;

pub mod diagnosis;

pub mod drill;

pub mod report;

#[cfg(feature = "window")]
pub mod window;

pub mod cli;
