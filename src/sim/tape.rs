//! What a run notes of the hands on it, act by act, so that another run can be made to go through the same.

use super::simulation::Simulation;
use crate::scenario::Action;

/// Something done to the rig, as a copy of the run has noted it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Taped {
    /// An act.
    Act(Action),
    /// A new regulator was fitted.
    NewRegulator,
    /// Full containers were put on.
    NewContainers,
    /// The nuts of the hoses were loosened, or made tight again: free area of each \[m²\].
    HoseNuts(f64),
}

impl Taped {
    /// Does it again on another run.
    pub fn do_on(&self, sim: &mut Simulation) {
        match self {
            Self::Act(action) => sim.act(action),
            Self::NewRegulator => sim.fit_new_regulator(),
            Self::NewContainers => sim.fit_new_containers(),
            Self::HoseNuts(area_m2) => sim.loosen_hoses(*area_m2),
        }
    }
}
