//! A steady point that was not found, in words: where, why, and what to do.

use super::figure::high;
use crate::analysis::Unsteady;
use crate::units::{Dimension, System, format};

/// What a person can make of it.
pub fn unsteady(e: &Unsteady, system: System) -> String {
    format!(
        "at {} in the container and a load of about {} this rig comes to no steady pressure. It hunts, or loses gas \
         faster than the seats follow. Run it to see what it does there",
        high(e.container_pa, system),
        format(e.load_w, Dimension::Power, system)
    )
}
