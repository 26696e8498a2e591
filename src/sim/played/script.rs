//! Errands on a copy of the run, and the script they leave: acts at their times, which the run
//! itself then goes through in front of the person. And witnesses, which see the run at every tick.
//!
//! Rooms above put their work here (a service test, for one); this room knows none of them.

use crate::sim::simulation::Simulation;
use crate::sim::tape::Taped;
use std::fmt;
use std::sync::Arc;

/// Acts at their times.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Script {
    /// Time \[s\] and act, in order.
    pub acts: Vec<(f64, Taped)>,
    /// The script is through at this time \[s\].
    pub until_s: f64,
    /// How long it shall take to watch \[s of the person's time\]; 0 is as fast as can be.
    pub watched_s: f64,
}

/// How far the run is through a script.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ScriptState {
    /// Number of the errand.
    pub errand: u64,
    /// Where it began \[s\].
    pub from_s: f64,
    /// Where it ends \[s\].
    pub until_s: f64,
}

/// Work on a copy of the run; what it returns the run goes through.
type Work = dyn Fn(Simulation) -> Option<Script> + Send + Sync;

/// Work to be done on a copy of the run.
#[derive(Clone)]
pub struct Errand {
    /// Number, chosen by whoever sends it.
    pub number: u64,
    work: Arc<Work>,
}

impl Errand {
    /// An errand of a number.
    pub fn new(
        number: u64,
        work: impl Fn(Simulation) -> Option<Script> + Send + Sync + 'static,
    ) -> Self {
        Self {
            number,
            work: Arc::new(work),
        }
    }

    /// Does the work.
    pub fn run(&self, copy: Simulation) -> Option<Script> {
        (self.work)(copy)
    }
}

impl fmt::Debug for Errand {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Errand({})", self.number)
    }
}

/// Sees the run after each tick of a session.
pub trait Witness: Send {
    /// The run as it stands, or as it stood at a moment that is looked back at.
    fn see(&mut self, sim: &Simulation, back: bool);

    /// Another run is on show from now on: what the last one did to instruments is not its doing.
    fn meet_another(&mut self) {}
}

/// Sees nothing.
pub struct NoWitness;

impl Witness for NoWitness {
    fn see(&mut self, _: &Simulation, _: bool) {}
}
