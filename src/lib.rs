//! `twostage`: the two-stage LP-gas regulator, alive.
//!
//! A lumped dynamic model of each stage (diaphragm, spring, lever, orifice, vent) integrated over time, and what a
//! technician does with it: read, test, reason, teach. A whole day at the bench, from a rig to a cause:
//!
//! ```
//! use twostage::prelude::*;
//!
//! # fn main() -> Result<(), Box<dyn std::error::Error>> {
//! let rig = prepare(&standard_rig(), &[]);
//! let mut sim = Simulation::start(Arc::new(rig), Method::Stiff, TOLERANCE)?;
//! let mut bench = Bench::on(&mut sim);
//!
//! bench.follow("light furnace")?;
//! let outlet_pa = bench.sim.readings().outlet_pa;
//! assert!((10.5..11.8).contains(&pa_to_inwc(outlet_pa)));
//!
//! bench.follow("off all")?;
//! bench.put_in("second_seat_nick", 0.6)?;
//! let visit = run_all(&mut bench)?;
//! assert_eq!(visit.verdict, Verdict::Fail);
//!
//! let answer = diagnose(&Readings::of_visit(&visit))?;
//! assert!(answer.groups[0].causes.contains(&"second_seat_nick".to_owned()));
//! # Ok(())
//! # }
//! ```
//!
//! Numbers are SI with the unit in the name (`outlet_pa`), gauge pressures over the ambient; what a person reads is made
//! of them by [`units`] and [`report`]. More such programs stand under docs/examples/.
//!
//! Rooms import downwards only: a room uses only the rooms declared before it here. Safety: a simulator is no permit and
//! no instrument; local codes and the licensed technician decide.

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

pub mod class;

pub mod report;

#[cfg(feature = "window")]
pub mod window;

pub mod cli;

/// What most programs that use the crate begin with.
pub mod prelude {
    pub use crate::diagnosis::files::readings::Readings;
    pub use crate::diagnosis::library::standard::standard_rig;
    pub use crate::diagnosis::store::diagnose;
    pub use crate::fault::Fault;
    pub use crate::rig::{Kind, Rig, Site, presets};
    pub use crate::scenario::{Action, Scenario};
    pub use crate::service::{LIMITS, TOLERANCE};
    pub use crate::sim::Simulation;
    pub use crate::solver::Method;
    pub use crate::units::{inwc_to_pa, pa_to_inwc, pa_to_psi, psi_to_pa};
    pub use crate::visit::{Act, Bench, Id, Measure, Reply, Test, Verdict, prepare, run, run_all};
    pub use std::sync::Arc;
}
