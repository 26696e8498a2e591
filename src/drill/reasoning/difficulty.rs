//! How hard a drill is, and all that is computed about one before it is sealed. Not here: the computing (`assess`).

use super::causes::{Cause, Path};
use super::rod::Rod;

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

    /// One number to order drills by: minutes until the best path is through, made longer by what there is to
    /// find out and by what still looks alike after the obvious steps.
    /// `score = minutes + 3 (bits + log2(look-alikes))`; three minutes a bit is a choice of ours,
    /// near the weight that goes best with the minutes of a fixed order.
    pub fn score(&self) -> f64 {
        self.all_minutes() + 3.0 * (self.bits + self.look_alikes.max(1.0).log2())
    }

    /// From 1, easy, to 5. The bounds are the fifths of the 22 shipped drills.
    pub fn level(&self) -> u8 {
        let bounds = LEVELS;
        1 + bounds.iter().filter(|b| self.score() >= **b).count() as u8
    }
}

/// Scores from which the next level starts.
const LEVELS: [f64; 4] = [23.5, 27.0, 38.0, 46.0];

/// What was computed about a drill.
#[derive(Debug, Clone, PartialEq)]
pub struct Assessment {
    /// Causes that what is at hand cannot tell from the true one; the true one comes first. Naming
    /// any of them is right.
    pub accepts: Vec<Cause>,
    /// The best path.
    pub path: Path,
    /// The path of the fixed order of a visit.
    pub fixed: Path,
    /// How hard it is.
    pub difficulty: Difficulty,
    /// What attempts are weighed by.
    pub rod: Rod,
}
