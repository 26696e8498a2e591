//! The rig: container, supply, two stages, piping, appliances and site, as plain parameters and
//! plain state, with pure functions between them.
//!
//! Knows nothing of solvers, files or the names of faults. Volumes store, restrictions carry,
//! and every flow is positive downstream.

pub mod ramp;
pub mod readings;

pub use ramp::Ramp;
pub use readings::{
    ApplianceReadings, ContainerReadings, DiaphragmForces, Flame, MAX_APPLIANCES, MAX_CONTAINERS,
    Phase, Readings, StageReadings,
};
