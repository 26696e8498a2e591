//! What rigs like that of a drill ask of who reads them rightly, with instruments and eyes that err: minutes of work, each
//! counted by what is still missing of being sure; how much is open at first; what is not told apart at the end. It is worked
//! out from visits to the same severities whichever drill is asked for, each with errors of its own on every reading, a
//! neighbourhood at a time. What all of it comes to moves with the severity by less than a level for each tenth, whatever
//! the readings do: see `Steady` below. Not here: the path that a drill promises, which is gone once, on its own rig (`attempt::way`).

use super::causes::{Belief, Causes, Gone, SURE, obvious};
use super::difficulty::{LEVEL_RATIO, score};
use crate::diagnosis::inference::next::Offer;
use crate::diagnosis::inference::walk::Way;
use crate::diagnosis::library::parallel::in_parallel;
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

/// Steps of the severities that are visited, and how far around one those lie that tell how hard it is: nobody sets or sees
/// one to a tenth (own).
const STEP: f64 = 0.05;
const AROUND: f64 = 0.1;
/// What severities lie between: those that a drill may have. At a full one a vent is sealed and a passage shut, which is
/// another rig than any drill's.
const WITHIN: (f64, f64) = SEVERITIES;
/// Levels that a tenth of severity makes at most (own: one, less what rounding in a sealed file may make of it).
const STEEPEST: f64 = 0.95;
/// A severity counts where the true cause is believed in at least by this share of what it is where it shows best (own):
/// what nobody would find is no drill, and how long nobody finds it says nothing of those that are.
const COUNTS: f64 = 0.5;
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
    at: f64,
    visits: Vec<Visit>,
    /// Belief in the true cause at their end, on average. It is what this severity counts by: where nobody believes in the
    /// cause, nobody works at such a drill.
    held: f64,
}

impl Stop {
    /// Visits to where the first of the faults has this severity, and the others are as far off their own.
    fn to(
        causes: &Causes,
        offer: &Offer,
        faults: &[(Fault, f64)],
        cause: usize,
        at: f64,
    ) -> Option<Self> {
        let off = at - faults.first()?.1;
        let moved = |s: f64| (s + off).clamp(WITHIN.0, WITHIN.1);
        let there: Vec<_> = faults.iter().map(|(f, s)| (*f, moved(*s))).collect();
        let truth = causes.truth(&there).ok()?;
        let place = (1000.0 * at).round() as u64;
        let visit = |n| Visit::to(causes, offer, &truth, cause, place * VISITS + n);
        let visits: Vec<Visit> = (0..VISITS).map(visit).collect();
        let sum: f64 = visits.iter().map(|v| v.end(cause).0[cause]).sum();
        Some(Self {
            at,
            held: (sum / VISITS as f64).max(f64::MIN_POSITIVE),
            visits,
        })
    }
}

/// The severities that are visited.
fn places() -> impl Iterator<Item = f64> {
    let steps = ((WITHIN.1 - WITHIN.0) / STEP).round() as usize;
    (0..=steps).map(|n| WITHIN.0 + n as f64 * STEP)
}

/// What the severities about one ask for on average, each by what is believed of the true cause there.
#[derive(Debug, Clone, Copy)]
struct Around {
    minutes: f64,
    bits: f64,
    open_bits: f64,
}

impl Around {
    fn of(causes: &Causes, offer: &Offer, cause: usize, stops: &[Stop], at: f64) -> Self {
        let mean = |of: &dyn Fn(&Visit) -> f64| {
            let (mut sum, mut weight) = (0.0, 0.0);
            for stop in near(stops, at) {
                let visits = stop.visits.iter().map(of).sum::<f64>();
                sum += stop.held * visits / stop.visits.len() as f64;
                weight += stop.held;
            }
            sum / weight
        };
        Self {
            minutes: mean(&|v| v.minutes(cause)),
            bits: causes.belief(&[None; ITEMS]).bits() - mean(&|v| v.end(cause).bits()),
            open_bits: mean(&|v| causes.belief(&obvious(offer, &v.read)).bits()),
        }
    }

    fn score(&self) -> f64 {
        score(self.minutes, self.bits, self.open_bits)
    }
}

/// Those about a severity; the nearest, where none is.
fn near(stops: &[Stop], at: f64) -> impl Iterator<Item = &Stop> {
    let off = move |s: &Stop| (s.at - at).abs();
    let nearest = stops.iter().map(off).fold(f64::INFINITY, f64::min);
    let within = AROUND.max(nearest) + 1e-9;
    stops.iter().filter(move |s| off(s) <= within)
}

/// Scores by severity, from which one is read that moves by less than a level for each tenth: the middle of the highest that
/// nowhere lies over them and the lowest that nowhere lies under them, of all that move no faster. Where they themselves move
/// no faster it is they.
struct Steady(Vec<(f64, f64)>);

impl Steady {
    fn at(&self, severity: f64) -> f64 {
        let steepest = STEEPEST * LEVEL_RATIO.ln() / 0.1;
        let (mut under, mut over) = (f64::INFINITY, f64::NEG_INFINITY);
        for (at, score) in &self.0 {
            let (log, may_move) = (score.ln(), steepest * (at - severity).abs());
            under = under.min(log + may_move);
            over = over.max(log - may_move);
        }
        (0.5 * (under + over)).exp()
    }
}

/// Works it out for a rig with these faults; none where it does not run.
pub fn effort(
    causes: &Causes,
    offer: &Offer,
    faults: &[(Fault, f64)],
    cause: usize,
) -> Option<Effort> {
    let severity = faults.first()?.1;
    let stop = |at: f64| Stop::to(causes, offer, faults, cause, at);
    let at: Vec<f64> = places().collect();
    let stops = in_parallel(at.len(), |n| stop(at[n]));
    let stops: Vec<Stop> = stops.into_iter().flatten().collect();
    let own = stop(severity)?;
    let around = |at: f64| Around::of(causes, offer, cause, &stops, at);
    let most = stops.iter().map(|s| s.held).fold(0.0, f64::max);
    let counting = stops.iter().filter(|s| s.held >= COUNTS * most);
    let steady = Steady(counting.map(|s| (s.at, around(s.at).score())).collect());
    let here = around(severity);
    // What it comes to is held, and its parts in the same share.
    let share = steady.at(severity) / here.score();
    Some(Effort {
        minutes: share * here.minutes,
        bits: share * here.bits,
        open_bits: share * here.open_bits,
        end: mean_end(near(&stops, severity), cause)?,
        own_end: mean_end([&own].into_iter(), cause)?,
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

#[cfg(test)]
mod tests {
    use super::{LEVEL_RATIO, Steady, WITHIN, places};
    use crate::diagnosis::library::random::Random;

    /// Whatever was worked out at whichever severities, between any two the score moves by less than a level for each tenth.
    #[test]
    fn a_score_moves_by_less_than_a_level_for_each_tenth() {
        let level = LEVEL_RATIO.ln();
        for n in 0..400 {
            let mut random = Random::new(7, n);
            // From one severity that counts to all of them, from smooth to leaping.
            let wild = random.uniform();
            let kept = random.uniform();
            let score = |r: &mut Random| (3.0 + wild * r.between(-2.0, 2.0)).exp();
            let all: Vec<f64> = places().collect();
            let some = all.iter().map(|at| (*at, score(&mut random)));
            let mut scores: Vec<(f64, f64)> = some.collect();
            scores.retain(|(at, _)| *at == all[0] || random.uniform() < kept);
            let steady = Steady(scores.clone());
            for _ in 0..100 {
                let [a, b] = [0, 1].map(|_| random.between(WITHIN.0, WITHIN.1));
                let moved = (steady.at(a) / steady.at(b)).ln().abs();
                assert!(
                    moved <= level * 10.0 * (a - b).abs() + 1e-9,
                    "{scores:?}: {a} {b}: {moved}"
                );
            }
            // It stays among what was worked out.
            let (least, most) = scores.iter().fold((f64::INFINITY, 0.0_f64), |(l, m), s| {
                (l.min(s.1), m.max(s.1))
            });
            for at in all {
                let held = steady.at(at);
                assert!(
                    held >= least - 1e-9 && held <= most + 1e-9,
                    "{scores:?}: {held}"
                );
            }
        }
    }

    #[test]
    fn scores_that_move_no_faster_are_told_as_they_are() {
        let smooth = Steady(vec![(0.1, 30.0), (0.2, 33.0), (0.3, 31.0)]);
        for (at, score) in smooth.0.clone() {
            assert!((smooth.at(at) - score).abs() < 1e-9);
        }
    }
}
