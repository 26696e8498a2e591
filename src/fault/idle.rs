//! Faults that are put in and have nothing to act on: the rig lacks the part, or its air is too warm for them. Nothing is wrong
//! with putting one in; whoever does is told, or would take a healthy rig for a fault that does not show.

use super::Fault;
use crate::rig::Rig;

/// Why a fault does nothing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Idle {
    /// The rig lacks what it changes.
    NoPart,
    /// The air never gets so cold \[K\].
    TooWarm(f64),
}

impl Fault {
    /// Why it would do nothing on a rig in air that is no colder than this \[K\]; none where it acts.
    pub fn idle_in(self, rig: &Rig, coldest_k: f64) -> Option<Idle> {
        if !self.acts_on(rig) {
            return Some(Idle::NoPart);
        }
        let under_k = self.entry().under_k;
        (coldest_k > under_k).then_some(Idle::TooWarm(under_k))
    }
}
