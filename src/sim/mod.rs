//! A scenario in motion: [`Simulation`] advances it; nothing here knows a screen.

mod simulation;
mod system;

pub use simulation::{ActiveFault, Mark, Moment, SimError, Simulation};
pub use system::RigSystem;
