//! What a screen is shown of a session: one moment of the run, and what waits beside it. Plain values, no thread.

use super::branch::{BranchName, KeptBranch};
use super::script::ScriptState;
use crate::rig::{Readings, Rig};
use crate::scenario::Scenario;
use crate::sim::active::ActiveFault;
use crate::sim::mark::Mark;
use crate::sim::moment::Moment;
use crate::sim::stands::as_it_stands;
use crate::sim::tape::Taped;
use std::sync::Arc;

/// A run that was set aside for another one.
#[derive(Debug, Clone)]
pub struct Waiting {
    /// Its scenario.
    pub scenario: Arc<Scenario>,
    /// Where it stands \[s\].
    pub at_s: f64,
    /// Whether a hand has been on it.
    pub touched: bool,
}

/// All a screen needs, at one moment.
#[derive(Debug, Clone)]
pub struct Snapshot {
    /// Readings of the rig.
    pub readings: Readings,
    /// Readings of the healthy twin under the same inputs.
    pub twin: Readings,
    /// The rig with its faults: dimensions, names, ratings.
    pub rig: Arc<Rig>,
    /// The scenario as loaded.
    pub scenario: Arc<Scenario>,
    /// Every value of the moment.
    pub moment: Moment,
    /// Whether a hand has been on the rig since it was loaded.
    pub touched: bool,
    /// Faults in the rig.
    pub faults: Vec<ActiveFault>,
    /// Whether time runs.
    pub playing: bool,
    /// Pace asked for.
    pub rate: f64,
    /// Pace reached.
    pub rate_reached: f64,
    /// What has happened on the whole run, also after the moment that is looked at.
    pub marks: Arc<Vec<Mark>>,
    /// What was done to the rig, with the times \[s\].
    pub acts: Arc<Vec<(f64, Taped)>>,
    /// How far the run has come \[s\]: later than the readings while the past is looked at.
    pub front_s: f64,
    /// The branch the run is.
    pub branch: BranchName,
    /// The branches kept beside it.
    pub kept: Arc<Vec<KeptBranch>>,
    /// Why time stands still, if the model could not go on.
    pub trouble: Option<String>,
    /// Grows by one with each scenario loaded.
    pub generation: u64,
    /// The script the run goes through.
    pub script: Option<ScriptState>,
    /// Number of the last errand whose script the run has gone through to its end.
    pub script_done: u64,
    /// The run that was set aside for the one on show, if one was.
    pub aside: Option<Waiting>,
}

impl Snapshot {
    /// Whether a moment is looked at that the run has left behind.
    pub fn looks_back(&self) -> bool {
        self.readings.time_s < self.front_s
    }

    /// What has happened up to the moment that is looked at.
    pub fn marks_so_far(&self) -> &[Mark] {
        let n = self
            .marks
            .partition_point(|m| m.time_s <= self.readings.time_s);
        &self.marks[..n]
    }

    /// A scenario that begins as the run stands now.
    pub fn as_it_stands(&self) -> Scenario {
        as_it_stands(&self.scenario, &self.moment)
    }
}
