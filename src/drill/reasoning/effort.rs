//! What rigs like that of a drill ask of who reads them rightly, with instruments and eyes that err: minutes of work, each
//! counted by what is still missing of being sure; how much is open at first; what is not told apart at the end. It is the
//! mean of visits to the drill's own severity and those around it, each with errors of its own on every reading. So it moves
//! with the severity as a whole neighbourhood does, and not by leaps where one belief passes a mark. Not here: the path that a
//! drill promises, which is gone once, on its own rig (`attempt::way`).

use super::causes::{Belief, Causes, Gone, SURE, obvious};
use crate::diagnosis::inference::next::Offer;
use crate::diagnosis::inference::walk::Way;
use crate::diagnosis::library::random::Random;
use crate::diagnosis::measure::cases;
use crate::drill::making::hidden::SEVERITIES;
use crate::fault::Fault;
use crate::visit::{ITEMS, Values};

/// The mean of some visits.
#[derive(Debug, Clone, PartialEq)]
pub struct Effort {
    /// What is believed when everything was done.
    pub end: Belief,
    /// The same of the drill's own severity alone.
    pub own_end: Belief,
    /// Minutes until as sure as everything at hand makes one.
    pub minutes: f64,
    /// What is found out: entropy before anything is read, less what stays open \[bit\].
    pub bits: f64,
    /// Entropy left after the obvious steps \[bit\].
    pub open_bits: f64,
}

/// Severities around that of a drill which tell how hard it is: nobody sets or sees one to a tenth (own).
const AROUND: [f64; 5] = [-0.1, -0.05, 0.0, 0.05, 0.1];
/// What severities lie between: those that a drill may have. At a full one a vent is sealed and a passage shut, which is
/// another rig than any drill's.
const WITHIN: (f64, f64) = SEVERITIES;
/// Visits to each of them.
const VISITS: u64 = 2;
/// Stream of their errors. A severity has its own, the same whichever drill it lies around.
const STREAM: u64 = 0x6566_666F_7274;

/// Both ways through one visit.
struct Visit {
    read: Values,
    best: Gone,
    fixed: Gone,
    /// Whether the fixed order made every test.
    is_all: bool,
}

impl Visit {
    fn to(causes: &Causes, offer: &Offer, truth: &Values, cause: usize, errors: u64) -> Self {
        let read = cases::read(truth, 1.0, &mut Random::new(STREAM, errors));
        let fixed = causes.walk(offer, &read, Way::Fixed, &|_| false);
        // Once all was read its order is the same, and the other may end when it is as sure; where something forbade a test,
        // another order may go further.
        let is_all = fixed.tests().len() == offer.tests().count();
        let enough = SURE * fixed.end().0[cause];
        let is_enough = |b: &Belief| is_all && b.0[cause] >= enough;
        let best = causes.walk(offer, &read, Way::Best, &is_enough);
        Self {
            read,
            best,
            fixed,
            is_all,
        }
    }

    /// What is believed at the end of the way that goes further.
    fn end(&self, cause: usize) -> &Belief {
        let (best, fixed) = (self.best.end(), self.fixed.end());
        if self.is_all || fixed.0[cause] >= best.0[cause] {
            fixed
        } else {
            best
        }
    }

    /// Minutes until as sure as all makes one: by the best next test, and by the fixed order as far as that has not led.
    fn minutes(&self, cause: usize) -> f64 {
        let enough = SURE * self.end(cause).0[cause];
        let (minutes, missing) = until(&self.best, cause, enough);
        minutes + missing * until(&self.fixed, cause, enough).0
    }
}

/// The visits to one severity.
struct Stop {
    visits: Vec<Visit>,
    /// Belief in the true cause at their end, on average. It is what this severity counts by: where nobody believes in the
    /// cause, nobody works at such a drill.
    held: f64,
    is_own: bool,
}

/// Works it out for a rig with these faults; none where it runs at no severity around them.
pub fn effort(
    causes: &Causes,
    offer: &Offer,
    faults: &[(Fault, f64)],
    cause: usize,
) -> Option<Effort> {
    let stop = |off: f64| {
        let moved = |s: f64| (s + off).clamp(WITHIN.0, WITHIN.1);
        let around: Vec<_> = faults.iter().map(|(f, s)| (*f, moved(*s))).collect();
        let truth = causes.truth(&around).ok()?;
        let place = (1000.0 * around[0].1).round() as u64;
        let visit = |n| Visit::to(causes, offer, &truth, cause, place * VISITS + n);
        let visits: Vec<Visit> = (0..VISITS).map(visit).collect();
        let sum: f64 = visits.iter().map(|v| v.end(cause).0[cause]).sum();
        Some(Stop {
            held: (sum / VISITS as f64).max(f64::MIN_POSITIVE),
            visits,
            is_own: off == 0.0,
        })
    };
    let stops: Vec<Stop> = AROUND.into_iter().filter_map(stop).collect();
    let own = mean_end(stops.iter().filter(|s| s.is_own), cause)?;
    let sum: f64 = stops.iter().map(|s| s.held * s.visits.len() as f64).sum();
    let mean = |of: &dyn Fn(&Visit) -> f64| {
        let each = stops
            .iter()
            .flat_map(|s| s.visits.iter().map(move |v| (v, s.held)));
        each.map(|(v, held)| held * of(v)).sum::<f64>() / sum
    };
    Some(Effort {
        minutes: mean(&|v| v.minutes(cause)),
        bits: causes.belief(&[None; ITEMS]).bits() - mean(&|v| v.end(cause).bits()),
        open_bits: mean(&|v| causes.belief(&obvious(offer, &v.read)).bits()),
        end: mean_end(stops.iter(), cause)?,
        own_end: own,
    })
}

/// Mean belief at the end, each severity by what is then believed of the cause.
fn mean_end<'a>(stops: impl Iterator<Item = &'a Stop>, cause: usize) -> Option<Belief> {
    let (mut sum, mut mean) = (0.0, Vec::new());
    for stop in stops {
        for v in &stop.visits {
            let end = &v.end(cause).0;
            mean.resize(end.len(), 0.0);
            sum += stop.held;
            for (m, p) in mean.iter_mut().zip(end) {
                *m += stop.held * p;
            }
        }
    }
    mean.iter_mut().for_each(|m| *m /= sum);
    (sum > 0.0).then_some(Belief(mean))
}

/// Minutes of a way, each test's by the share of `enough` belief that was missing before it; and what is missing at its end.
fn until(gone: &Gone, cause: usize, enough: f64) -> (f64, f64) {
    let (mut minutes, mut missing) = (0.0, 1.0);
    for (took, belief) in gone.stands() {
        minutes += missing * took;
        missing = (1.0 - belief.0[cause] / enough.max(f64::MIN_POSITIVE)).max(0.0);
    }
    (minutes, missing)
}
