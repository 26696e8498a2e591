//! Two faults at once, where no single cause comes near the readings.
//!
//! Candidates are chosen by laying kernels of the library over each other (the nearest single
//! kernels over all others); the likeliest pairs are then simulated at severities about those. How near they come when
//! they are looked at closer, and what that is worth: `doubt`.

use super::answer::Weighed;
use super::closer::Stand;
use super::evidence::Evidence;
use super::file::Readings;
use super::library::{Library, Sample, draw_unknowns};
use super::model::{Kernel, Model};
use super::parallel::in_parallel;
use super::random::Random;
use super::sample::sample_tests;
use crate::fault::Fault;
use crate::visit::{ALL, ITEMS, Test};
use std::sync::atomic::{AtomicBool, Ordering};

/// Causes whose nearest kernels are laid over all others, and how many of each; pairs that are simulated, visits to each,
/// and of how many pairs how many visits are looked at closer.
const CAUSES: usize = 24;
const NEAREST: usize = 2;
const PAIRS: usize = 6;
const VISITS: usize = 10;
const STANDS: usize = 2;
const LOOKED_AT: usize = 4;
/// Chance that a faulty rig has a second fault (invented).
const SECOND_FAULT: f64 = 0.05;
/// Most that a prior counts for here, so that what may be there besides is never nothing.
const MOST_PRIOR: f64 = 0.9;
/// How far the severities of a pair's visits stray from the candidate's.
const STRAY: f64 = 0.12;

/// A pair that may be there, and where it stood nearest.
pub(super) struct Found {
    pub(super) faults: [Fault; 2],
    pub(super) stands: Vec<Stand>,
}

/// Prior of a pair from those of its faults: one of them is there, and of all that may be there besides it is the other.
pub(super) fn prior_of(faults: [Fault; 2], prior: impl Fn(Fault) -> f64) -> f64 {
    let [a, b] = faults.map(|f| prior(f).min(MOST_PRIOR));
    SECOND_FAULT * a * b * ((1.0 - a).recip() + (1.0 - b).recip())
}

#[derive(Clone, Copy)]
struct Candidate {
    faults: [Fault; 2],
    severities: [f64; 2],
    log: f64,
}

/// The likeliest pairs with their nearest visits.
pub(super) fn find(
    library: &Library,
    model: &Model,
    readings: &Readings,
    weighed: &Weighed,
    cancel: &AtomicBool,
) -> Vec<Found> {
    let evidence = &weighed.evidence;
    let candidates = candidates(model, evidence);
    // Only what was read is foretold: the other tests need not be made.
    let read: Vec<Test> = (0..ITEMS)
        .filter(|&i| readings.values[i].is_some())
        .map(|i| ALL[i].test)
        .collect();
    let wants = |test: Test| read.contains(&test);
    let visits = in_parallel(candidates.len() * VISITS, |i| {
        if cancel.load(Ordering::Relaxed) {
            return None;
        }
        let k = i / VISITS;
        visit_pair(library, model, candidates[k], i, &wants).map(|(kernel, s)| (k, kernel, s))
    });
    let visits: Vec<(usize, Kernel, Stand)> = visits.into_iter().flatten().collect();
    let kernels: Vec<Kernel> = visits.iter().map(|v| v.1.clone()).collect();
    let scores = model.scores_of(evidence, &kernels);
    let of = |k: usize| {
        let mut own: Vec<_> = visits
            .iter()
            .zip(&scores)
            .filter(|(v, _)| v.0 == k)
            .collect();
        own.sort_by(|a, b| b.1.log.total_cmp(&a.1.log));
        Found {
            faults: candidates[k].faults,
            stands: own.iter().take(STANDS).map(|(v, _)| v.2.clone()).collect(),
        }
    };
    let best = |k: &usize| {
        let own = visits.iter().zip(&scores).filter(|(v, _)| v.0 == *k);
        own.map(|(_, s)| s.log).fold(f64::NEG_INFINITY, f64::max)
    };
    let mut order: Vec<usize> = (0..candidates.len()).collect();
    order.sort_by(|a, b| best(b).total_cmp(&best(a)));
    order.truncate(LOOKED_AT);
    order.into_iter().map(of).collect()
}

/// The likeliest pairs by superposition.
fn candidates(model: &Model, evidence: &Evidence) -> Vec<Candidate> {
    let scores = model.scores(evidence);
    let faulty = |k: usize| model.causes[model.kernels[k].cause];
    let mut near: Vec<usize> = (0..scores.len()).filter(|&k| faulty(k).is_some()).collect();
    near.sort_by(|&a, &b| scores[b].log.total_cmp(&scores[a].log));
    // A few of each cause: where two faults are in the rig, the nearest of them all are mostly of one.
    let mut taken: Vec<(usize, usize)> = Vec::new();
    near.retain(|&k| {
        let cause = model.kernels[k].cause;
        if let Some(of) = taken.iter_mut().find(|t| t.0 == cause) {
            of.1 += 1;
            return of.1 <= NEAREST;
        }
        taken.push((cause, 1));
        taken.len() <= CAUSES
    });
    let mut best: Vec<Candidate> = Vec::new();
    let usual = model.usual_words();
    for a in near {
        let Some(first) = faulty(a) else { continue };
        let others: Vec<usize> = (0..model.kernels.len())
            .filter(|&b| faulty(b).is_some_and(|f| f != first))
            .collect();
        let laid: Vec<Kernel> = others
            .iter()
            .map(|&b| model.superposed(&model.kernels[a], &model.kernels[b], &usual))
            .collect();
        for (&b, score) in others.iter().zip(model.scores_of(evidence, &laid)) {
            let Some(second) = faulty(b) else { continue };
            let candidate = Candidate {
                faults: [first, second],
                severities: [model.kernels[a].severity, model.kernels[b].severity],
                log: score.log,
            };
            keep_best(&mut best, candidate);
        }
    }
    best.sort_by(|a, b| b.log.total_cmp(&a.log));
    best.truncate(PAIRS);
    best
}

fn keep_best(best: &mut Vec<Candidate>, c: Candidate) {
    let same = |o: &&mut Candidate| o.faults == c.faults || o.faults == [c.faults[1], c.faults[0]];
    match best.iter_mut().find(same) {
        Some(old) if old.log < c.log => *old = c,
        Some(_) => {}
        None => best.push(c),
    }
}

fn visit_pair(
    library: &Library,
    model: &Model,
    c: Candidate,
    index: usize,
    wants: &dyn Fn(Test) -> bool,
) -> Option<(Kernel, Stand)> {
    let mut random = Random::new(0x9a15, index as u64);
    let stray = if index.is_multiple_of(VISITS) {
        0.0
    } else {
        STRAY
    };
    let severities = c
        .severities
        .map(|s| (s + stray * random.between(-1.0, 1.0)).clamp(0.03, 1.0));
    let world = library.allowance.world;
    let unknowns = draw_unknowns(Some(c.faults[0]), &mut random).within(world);
    let list = [(c.faults[0], severities[0]), (c.faults[1], severities[1])];
    let base = &library.base;
    let values = sample_tests(base, &list, &unknowns, world, &mut random, wants).ok()?;
    let sample = Sample {
        fault: Some(c.faults[0]),
        second: Some(c.faults[1]),
        severity: severities[0],
        unknowns,
        values,
    };
    let stand = Stand {
        faults: list.to_vec(),
        unknowns,
        values,
    };
    Some((model.kernel_of(&sample), stand))
}
