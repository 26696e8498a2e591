//! What a run notes of the hands on it, act by act, so that another run can be made to go through the same.

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
    /// What the file has still to come was put off by so long \[s\].
    PutOff(f64),
}
