//! The program's path through a drill: the shortest selection of tests that makes sure of what is right, as one sees it once a way was
//! gone. It is gone on the rig itself as a way is, so its minutes and beliefs are those of whoever goes it. What is sealed, what a
//! debrief shows and calls best, and what an expert goes is this one.

use super::known::test_lights;
use super::way::{Route, Step, Ways, go, offer_of};
use crate::diagnosis::inference::next::Offer;
use crate::drill::making::file::Drill;
use crate::drill::reasoning::causes::{Causes, Gone, Path, SURE, read_by};
use crate::visit::{Test, Values};

/// So many selections are gone at most, the shortest first (own: what is read in another order may say less).
const MOST_GONE: usize = 5;
/// So many pairs of tests are tried with a third (own).
const EXTENDED: usize = 12;
/// A path shorter by so little is none \[min\].
const LITTLE_MIN: f64 = 0.05;

/// Whether a test looks before it lights anything: by eyes, ears, leak fluid or a column.
fn looks(test: Test) -> bool {
    matches!(
        test,
        Test::Look | Test::Vent | Test::Joints | Test::LeakCheck | Test::NewPiping
    )
}

/// Whether a test may light something: lock-up comes from half load.
fn may_light(test: Test) -> bool {
    test_lights(test) || test == Test::LockUp
}

/// What selections are made of.
struct Choice<'a> {
    causes: &'a Causes,
    right: &'a [usize],
    offer: &'a Offer,
    values: Values,
    took: &'a [(Test, f64)],
    gas_told: bool,
}

impl Choice<'_> {
    fn minutes(&self, tests: &[Test]) -> f64 {
        let of = |t: &Test| {
            let gone = self.took.iter().find(|g| g.0 == *t);
            gone.map_or_else(|| self.offer.minutes(*t), |g| g.1)
        };
        tests.iter().map(of).sum()
    }

    fn held(&self, tests: &[Test]) -> f64 {
        let known = read_by(self.offer, tests, &self.values);
        self.causes.belief(&known).in_any(self.right)
    }

    /// In the order in which they are made: a leak is looked for first where it is reported, and it is looked before anything is lit.
    /// None where the program would not ask that of others.
    fn ordered(&self, tests: &[Test]) -> Option<Vec<Test>> {
        let mut out = tests.to_vec();
        let seeks = |t: Test| matches!(t, Test::Joints | Test::LeakCheck);
        out.sort_by_key(|t| (!seeks(*t) || !self.gas_told, may_light(*t) && !looks(*t)));
        let first = *out.first()?;
        let can_seek = self.offer.tests().any(seeks);
        let sought = !self.gas_told || !can_seek || seeks(first);
        let looked = !out.iter().any(|t| may_light(*t)) || looks(first);
        (sought && looked).then_some(out)
    }

    /// Selections that would make sure by what was read in fewer minutes than these, the shortest first.
    fn all(&self, under_min: f64, way: &[Test]) -> Vec<Vec<Test>> {
        let tests: Vec<Test> = self.offer.tests().collect();
        let mut out: Vec<Vec<Test>> = tests.iter().map(|t| vec![*t]).collect();
        let mut pairs: Vec<(f64, Vec<Test>)> = Vec::new();
        for (n, a) in tests.iter().enumerate() {
            for b in &tests[n + 1..] {
                let both = vec![*a, *b];
                if self.minutes(&both) < under_min {
                    pairs.push((self.held(&both), both));
                }
            }
        }
        pairs.sort_by(|a, b| b.0.total_cmp(&a.0));
        let (sure, open): (Vec<_>, Vec<_>) = pairs.into_iter().partition(|p| p.0 >= SURE);
        for (_, two) in open.iter().take(EXTENDED) {
            let more = tests.iter().filter(|t| !two.contains(t));
            out.extend(more.map(|t| [&two[..], &[*t]].concat()));
        }
        out.extend(sure.into_iter().map(|p| p.1));
        out.push(self.needed(way));
        let mut out: Vec<(f64, Vec<Test>)> = out
            .into_iter()
            .filter_map(|tests| Some((self.minutes(&tests), self.ordered(&tests)?)))
            .filter(|(minutes, tests)| *minutes < under_min && self.held(tests) >= SURE)
            .collect();
        out.sort_by(|a, b| a.0.total_cmp(&b.0));
        out.into_iter().map(|o| o.1).collect()
    }

    /// A way without the tests that were not needed: each is left out in turn, the longest first, if what the rest read is as sure.
    fn needed(&self, way: &[Test]) -> Vec<Test> {
        let mut kept = way.to_vec();
        let mut costly = kept.clone();
        costly.sort_by(|a, b| self.minutes(&[*b]).total_cmp(&self.minutes(&[*a])));
        for test in costly {
            let without: Vec<Test> = kept.iter().copied().filter(|t| *t != test).collect();
            if self.held(&without) >= SURE && self.ordered(&without).is_some() {
                kept = without;
            }
        }
        kept
    }
}

/// The shortest path, where a way that was gone made sure; else that way. `values` is what a whole visit to the rig reads.
///
/// # Errors
/// What stopped the run of the rig.
pub fn shortened(
    drill: &Drill,
    causes: &Causes,
    right: &[usize],
    (gone, values): (Gone, &Values),
) -> Result<Gone, String> {
    let walked = gone.until_sure(right);
    if !walked.solved {
        return Ok(gone);
    }
    let offer = offer_of(drill);
    let mut read = *values;
    for (all, known) in read.iter_mut().zip(&gone.known) {
        *all = known.or(*all);
    }
    let choice = Choice {
        causes,
        right,
        offer: &offer,
        values: read,
        took: gone.tests(),
        gas_told: drill.gas_told,
    };
    let way: Vec<Test> = walked.steps.iter().map(|s| s.0).collect();
    let (mut minutes, mut best) = (walked.minutes, None);
    for tests in choice.all(minutes, &way).into_iter().take(MOST_GONE) {
        if choice.minutes(&tests) >= minutes - LITTLE_MIN {
            break;
        }
        let other = go(drill, causes, right, Route::Tests(&tests), &mut |_| {})?;
        let path = other.until_sure(right);
        if path.solved && path.minutes < minutes - LITTLE_MIN {
            (minutes, best) = (path.minutes, Some(other));
        }
    }
    Ok(best.unwrap_or(gone))
}

/// The path of a drill: the one that was sealed, where this program sealed it and going it makes sure by these causes, or the shortest
/// that is found. Every step is heard of.
///
/// # Errors
/// As [`shortened`].
pub fn path_of(
    drill: &Drill,
    causes: &Causes,
    right: &[usize],
    hear: &mut dyn FnMut(&Step<'_>),
) -> Result<Path, String> {
    let sealed = drill.worked.as_ref().filter(|w| w.is_of_now());
    if let Some(worked) = sealed.filter(|w| !w.path.is_empty()) {
        let quiet = go(
            drill,
            causes,
            right,
            Route::Tests(&worked.path),
            &mut |_| {},
        )?;
        if quiet.until_sure(right).solved {
            return heard(drill, causes, right, &quiet, hear);
        }
    }
    let values = causes.truth(&drill.causes())?;
    let gone = Ways::better(drill, causes, right)?;
    let best = shortened(drill, causes, right, (gone, &values))?;
    heard(drill, causes, right, &best, hear)
}

/// What was gone, gone once more with somebody who hears of it.
fn heard(
    drill: &Drill,
    causes: &Causes,
    right: &[usize],
    gone: &Gone,
    hear: &mut dyn FnMut(&Step<'_>),
) -> Result<Path, String> {
    let tests: Vec<Test> = gone.tests().iter().map(|t| t.0).collect();
    let again = go(drill, causes, right, Route::Tests(&tests), hear)?;
    Ok(again.until_sure(right))
}
