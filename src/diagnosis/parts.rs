//! What an answer is made of where what it is worked out by needs it too. Not here: the answer (`answer`).

use crate::fault::Fault;
use crate::visit::{ALL, Id, Values};
use serde::Serialize;

/// One item as a cause foretells it.
#[derive(Debug, Clone, Serialize)]
pub struct Prediction {
    /// Index in [`ALL`].
    #[serde(skip)]
    pub item: usize,
    /// Table and key of the readings file.
    pub name: String,
    /// In words.
    pub words: &'static str,
    /// What was read, SI, or the index of the word; none if not measured.
    pub measured: Option<f64>,
    /// Whether it was worked out from what was read elsewhere or under other conditions.
    pub is_brought: bool,
    /// Whether it was read as over this.
    pub is_over: bool,
    /// What the cause foretells from the other readings: the middle, SI; for words the likeliest, and in the range the second where
    /// that is as good as foretold too.
    pub expected: f64,
    /// Lower and upper bound, one deviation about it, SI.
    pub range: [f64; 2],
    /// How strongly the reading speaks for the cause against the best of those outside its group \[nats\];
    /// negative speaks against it; 0 where not measured.
    pub favour: f64,
    /// How far the reading is from what is foretold, in deviations of both; for a word as many as make it as rare.
    /// 0 where not measured.
    pub off: f64,
}

/// What is said of the place and not of the rig.
pub(super) const OF_PLACE: [Id; 2] = [Id::Air, Id::Elevation];

impl Prediction {
    /// Whether it is said of the place, which speaks for no cause and against none.
    pub fn is_of_place(&self) -> bool {
        OF_PLACE.contains(&ALL[self.item].id)
    }

    /// Whether it was measured and stands so far from what the cause foretells that the cause leaves it unexplained.
    pub fn is_unexplained(&self) -> bool {
        self.measured.is_some() && self.off > UNEXPLAINED
    }
}

/// A second word as likely as this is foretold beside the likeliest (own).
pub(super) const EITHER: f64 = 0.3;

/// A number so many deviations off what a cause foretells from all the others, or a word as rare, is left unexplained.
pub(super) const UNEXPLAINED: f64 = 3.0;

/// A number that alone carries an answer.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Alone {
    /// Which.
    pub item: Id,
    /// What was read, SI.
    pub value: f64,
}

/// Two faults at once.
#[derive(Debug, Clone, Serialize)]
pub struct Pair {
    /// Both.
    pub faults: [Fault; 2],
    /// Name for people.
    pub name: String,
    /// Probability.
    pub probability: f64,
    /// Severities of the best simulated visit, or of the kernels laid over each other.
    pub severities: [f64; 2],
    /// What it leaves over, in squared deviations a reading, where it was simulated.
    pub left_over: Option<f64>,
    /// What the best simulated visit reads.
    #[serde(skip)]
    pub(super) reads: Option<Values>,
}

impl Pair {
    /// Without its probability.
    pub(super) fn new(faults: [Fault; 2], severities: [f64; 2], left_over: Option<f64>) -> Self {
        Self {
            faults,
            name: faults.map(Fault::name).join(" and "),
            probability: 0.0,
            severities,
            left_over,
            reads: None,
        }
    }
}
