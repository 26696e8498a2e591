//! What is kept of a fault in a running rig: its severity over time, and what it grows with.

use crate::fault::Fault;
use crate::rig::Ramp;
use crate::scenario::Growth;
use serde::Serialize;

/// What comes at once comes within this \[s\]. Nothing on a regulator changes in no time, and a jump would move more gas
/// in an instant than the part itself ever did: a rush that trips, blows out or locks up what it would not.
pub(crate) const AT_ONCE_S: f64 = 1.0;

/// A fault in the rig and how bad it is.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ActiveFault {
    /// Which fault.
    pub fault: Fault,
    /// Severity, 0 to 1, over time; of one that grows, what it has come to.
    pub severity: Ramp,
    /// What it grows with, where it is not time.
    pub growing: Option<Growing>,
    /// Severity of what has arrived in the rig with it (an overfill, air).
    pub(super) arrived: f64,
}

impl ActiveFault {
    /// Severity once what comes at once has come, also while the run stands still.
    pub fn severity_soon(&self, now_s: f64) -> f64 {
        self.severity.at(now_s + AT_ONCE_S)
    }

    /// Severity that it comes to, whatever it grows with.
    pub fn comes_to(&self) -> f64 {
        self.growing.map_or(self.severity.to, |g| g.to)
    }
}

/// A fault on its way from one severity to another.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Growing {
    /// What with.
    pub by: Growth,
    /// Severity it began from.
    pub from: f64,
    /// Severity it comes to.
    pub to: f64,
    /// Openings of the seat it wears with, when it began.
    pub since: u64,
}

impl Growing {
    pub(super) fn severity(&self, cycles: u64, body_k: f64) -> f64 {
        let share = self.by.share(cycles.saturating_sub(self.since), body_k);
        self.from + (self.to - self.from) * share
    }

    pub(super) fn follows_temperature(&self) -> bool {
        matches!(self.by, Growth::Temperature { .. })
    }
}
