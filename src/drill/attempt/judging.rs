//! What a trainee makes of a test. A test in a drill tells numbers and words and no verdict: whether it passes is the
//! trainee's to say, once a test, by the act `judge`. What is right follows from what was told alone, held against the
//! limits of the trade, so nobody is held to what they could not read. It is never written into a log: it is worked out
//! where it is told, in training at once, in an exam at the end.

use super::act::Act;
use super::log::Entry;
use super::rules::Unsafe;
use crate::diagnosis::inference::safety::{self, Danger};
use crate::rig::Rig;
use crate::visit::{ALL as ITEMS_OF, Figure, ITEMS, Judged, Measure, Test, Told, Verdict};
use serde::Serialize;

/// A judgement held against what the test told.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Judging {
    /// Number of the act that judged.
    pub n: usize,
    /// The test that was judged.
    pub test: Test,
    /// What was said.
    pub said: Verdict,
    /// What follows from what was told.
    pub is: Verdict,
    /// The first of the readings that decided it, where it is no pass.
    pub by: Option<Judged>,
    /// Whether what was called a pass forbids a flame or more: it is unsafe to say so.
    pub endangers: bool,
}

/// What a judgement is worth that is one step off (own): a pass for what is to be watched, or the like.
const NEAR: f64 = 0.5;

impl Judging {
    /// What is unsafe about it, where something is.
    pub fn unsafe_said(&self) -> Option<Unsafe> {
        self.endangers.then_some(Unsafe::CalledSafe(self.test))
    }

    /// Share of the points, 0 to 1.
    pub fn share(&self) -> f64 {
        match (self.said as i8 - self.is as i8).abs() {
            0 => 1.0,
            1 => NEAR,
            _ => 0.0,
        }
    }
}

fn judges(entry: &Entry, rig: &Rig) -> Option<Verdict> {
    match Act::parse(&entry.act, rig) {
        Ok(Act::Judge(verdict)) => Some(verdict),
        _ => None,
    }
}

/// The newest test, if it can be judged and was not yet.
///
/// # Errors
/// Why there is nothing to be judged.
pub fn waiting<'a>(entries: &'a [Entry], rig: &Rig) -> Result<&'a Entry, &'static str> {
    let is_test = |e: &Entry| matches!(e.told, Told::Test { .. });
    let Some(at) = entries.iter().rposition(is_test) else {
        return Err("no test was made yet that could be judged");
    };
    if entries[at + 1..].iter().any(|e| judges(e, rig).is_some()) {
        return Err("this test was judged already; a test is judged once");
    }
    if entries[at].told.verdict().is_none() {
        return Err("nothing of this test has a limit to be judged by");
    }
    Ok(&entries[at])
}

/// Whether something of a test has a limit that it can be judged by.
pub fn has_limit(test: Test) -> bool {
    let of = ITEMS_OF.iter().filter(|item| item.test == test);
    let read = of.map(|item| Figure {
        measure: Measure::Read(item.id),
        value: 0.0,
    });
    // What is worked out of two readings has one of its own.
    let between = (test == Test::Along).then_some(Figure {
        measure: Measure::PipeDrop,
        value: 0.0,
    });
    let told = Told::Test {
        test,
        figures: read.chain(between).collect(),
        unlit: Vec::new(),
        still_moving: false,
        spoiled: false,
    };
    told.verdict().is_some()
}

/// How many tests could be judged.
pub fn judgeable(entries: &[Entry]) -> usize {
    let can = |e: &&Entry| e.told.verdict().is_some();
    entries.iter().filter(can).count()
}

/// Whether what a test read forbids a flame or more, by the one rule of diagnosis.
fn forbids(told: &Told) -> bool {
    let Told::Test { figures, .. } = told else {
        return false;
    };
    let mut read = [None; ITEMS];
    for f in figures {
        if let Measure::Read(id) = f.measure {
            read[id.index()] = Some(f.value);
        }
    }
    safety::demand(&read).0 > Danger::None
}

/// Every judgement, held against what its test told.
pub fn judgings(entries: &[Entry], rig: &Rig) -> Vec<Judging> {
    let of = |(at, entry): (usize, &Entry)| {
        let said = judges(entry, rig)?;
        let of = waiting(&entries[..at], rig).ok()?;
        let Told::Test { test, .. } = of.told else {
            return None;
        };
        let is = of.told.verdict()?;
        let held = of.told.held();
        let decides = |h: &&Judged| h.verdict == is && is > Verdict::Pass;
        Some(Judging {
            n: entry.n,
            test,
            said,
            is,
            by: held.iter().find(decides).copied(),
            endangers: said == Verdict::Pass && is == Verdict::Fail && forbids(&of.told),
        })
    };
    entries.iter().enumerate().filter_map(of).collect()
}
