//! How hard a drill is, and all that is computed about one before it is sealed. Not here: the computing (`assess`).

use super::causes::{Cause, Path};
use super::rod::Rod;
use crate::diagnosis::files::account::Complaint;
use crate::diagnosis::inference::walk::Way;
use crate::diagnosis::store::model_sum;
use crate::form::fnv1a;

/// How hard a drill is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Difficulty {
    /// What has to be found out: entropy of the causes before anything is read, less what stays
    /// open when everything at hand has been done \[bit\].
    pub bits: f64,
    /// Causes still in play after the obvious steps: two to the entropy then left.
    pub look_alikes: f64,
    /// When the last of the faults is fully there, from the start \[min\]: what is read before tells of another rig.
    pub from_min: f64,
    /// Minutes that rigs like this one take who reads them with instruments and eyes that err, each by what is still
    /// missing of being sure.
    pub effort_min: f64,
    /// Minutes of the best path from then on.
    pub minutes: f64,
    /// Steps of the best path.
    pub steps: usize,
}

impl Difficulty {
    /// Minutes until the best path has come to the cause.
    pub fn all_minutes(&self) -> f64 {
        self.from_min + self.minutes
    }

    /// One number to order drills by: minutes until the fault is there, and what the work comes to.
    pub fn score(&self) -> f64 {
        self.from_min + score(self.effort_min, self.bits, self.look_alikes.max(1.0).log2())
    }

    /// From 1, easy, to 5: each asks for a quarter more than the one below.
    pub fn level(&self) -> u8 {
        let from = |level: i32| LEAST_SCORE * LEVEL_RATIO.powi(level);
        1 + (1..LEVELS).filter(|l| self.score() >= from(*l)).count() as u8
    }
}

/// What work comes to: its minutes, made longer by what there is to find out and by what still looks alike after the
/// obvious steps, `minutes + 3 (bits + log2(look-alikes))`; three minutes a bit is a choice of ours, near the weight that
/// goes best with the minutes of a fixed order.
pub(super) fn score(minutes: f64, bits: f64, open_bits: f64) -> f64 {
    minutes + 3.0 * (bits + open_bits)
}

/// Levels there are.
const LEVELS: i32 = 5;
/// What the easiest drill takes: one look of two to three minutes, and the 5.8 bits of some fifty causes (derived).
const LEAST_SCORE: f64 = 20.0;
/// How much more a level asks for than the one below: people tell efforts by their ratio, and a quarter more is one that
/// shows (own).
pub(super) const LEVEL_RATIO: f64 = 1.25;

/// One more where something else is worked out of a drill by the same model: the law of its levels, its path, its rod.
const LAW: u64 = 3;

/// Stands for what works drills out: the model of this program, and the laws here.
pub fn worked_by() -> u64 {
    fnv1a(format!("{:016x} {LAW}", model_sum()).as_bytes())
}

/// What was computed about a drill.
#[derive(Debug, Clone, PartialEq)]
pub struct Assessment {
    /// Causes that what is at hand cannot tell from the true one; the true one comes first. Naming
    /// any of them is right.
    pub accepts: Vec<Cause>,
    /// The complaints that its rig shows a sign of.
    pub fit: Vec<Complaint>,
    /// Which way comes to it: the best next test, unless only the fixed order does.
    pub way: Way,
    /// The path of that way.
    pub path: Path,
    /// The path of the fixed order of a visit.
    pub fixed: Path,
    /// How hard it is.
    pub difficulty: Difficulty,
    /// What attempts are weighed by.
    pub rod: Rod,
}
