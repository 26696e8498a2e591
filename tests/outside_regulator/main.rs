//! Checks of the regulator, the container and the burners as the rig has them against numbers from
//! outside the project, each beside its source and grade.
//!
//! Not here: laws of physics by themselves (`outside_physics`), symptoms of faults (`behaviours`).

#[path = "../common/mod.rs"]
mod common;
#[path = "../common/house.rs"]
mod house;

mod burners;
mod container;
mod creep;
mod damping;
mod dropping_out;
mod energy;
mod healthy;
mod hunting;
mod leaks;
mod r1;
mod relief;
mod sealed;
mod statics;
mod supply;
mod twin;
mod water;
