//! The second pass: two faults at once, where no single cause explains the readings.
//!
//! Candidates are chosen by laying kernels of the library over each other (the nearest single
//! kernels over all others); the likeliest pairs are then simulated at severities about those, and
//! weighed against the single causes and "none of these".

use super::answer::{Answer, Pair, Weighed};
use super::evidence::Evidence;
use super::file::Readings;
use super::library::{Sample, draw_unknowns};
use super::model::{Kernel, Model};
use super::parallel::in_parallel;
use super::random::Random;
use super::sample::sample_tests;
use super::unknowns::World;
use crate::fault::Fault;
use crate::scenario::Scenario;
use crate::visit::{ALL, ITEMS, Test};
use std::sync::atomic::{AtomicBool, Ordering};

/// Pairs are looked at from this probability of "none of these" on, or where the likeliest kernel
/// leaves the numbers this far off (squared deviations a number; 99 of 100 single faults stay
/// under it), or a word as rare as this.
const FROM_NONE: f64 = 0.2;
const FROM_DISTANCE: f64 = 2.5;
const FROM_WORD: f64 = 0.02;
/// Causes whose nearest kernels are laid over all others, and how many of each; pairs that are simulated, visits to each.
const CAUSES: usize = 24;
const NEAREST: usize = 2;
const PAIRS: usize = 6;
const VISITS: usize = 10;
/// Chance that a faulty rig has a second fault (invented).
const SECOND_FAULT: f64 = 0.05;
/// Most that a prior counts for here, so that what may be there besides is never nothing.
const MOST_PRIOR: f64 = 0.9;
/// How far the severities of a pair's visits stray from the candidate's.
const STRAY: f64 = 0.12;

/// Whether one fault leaves so much unexplained that two should be looked at.
pub fn wanted(model: &Model, weighed: &Weighed) -> bool {
    let Weighed {
        evidence,
        posterior: p,
        ..
    } = weighed;
    let likeliest = (0..p.kernels.len()).max_by(|&a, &b| p.kernels[a].total_cmp(&p.kernels[b]));
    let Some(kernel) = likeliest.map(|k| &model.kernels[k]) else {
        return false;
    };
    let numbers = evidence.numbers.len().max(1) as f64;
    let scores = model.scores_of(evidence, std::slice::from_ref(kernel));
    p.none > FROM_NONE
        || scores.iter().any(|s| s.distance > FROM_DISTANCE * numbers)
        || evidence
            .words
            .iter()
            .any(|&(i, seen)| model.word(kernel, i, seen) < FROM_WORD)
}

#[derive(Clone, Copy)]
struct Candidate {
    faults: [Fault; 2],
    severities: [f64; 2],
    log: f64,
}

/// Adds pairs to an answer, taking their share from the single causes and from none.
pub fn add(
    base: &Scenario,
    model: &Model,
    readings: &Readings,
    weighed: &Weighed,
    answer: &mut Answer,
    cancel: &AtomicBool,
) {
    let Weighed {
        evidence,
        weights,
        posterior: p,
    } = weighed;
    let candidates = candidates(model, evidence);
    if candidates.is_empty() {
        return;
    }
    // Only what was read is foretold: the other tests need not be made.
    let read: Vec<Test> = (0..ITEMS)
        .filter(|&i| readings.values[i].is_some())
        .map(|i| ALL[i].test)
        .collect();
    let wants = |test: Test| read.contains(&test);
    let visits = simulate(base, model, &candidates, &wants, cancel);
    let kernels: Vec<Kernel> = visits.iter().map(|v| v.1.clone()).collect();
    let scores = model.scores_of(evidence, &kernels);
    let total: f64 = weights.iter().sum();
    let prior_of = |f: Fault| {
        let c = model.causes.iter().position(|c| *c == Some(f));
        c.map_or(0.0, |c| (weights[c] / total).min(MOST_PRIOR))
    };
    let logs: Vec<f64> = visits
        .iter()
        .zip(&scores)
        .map(|((k, ..), s)| {
            let [a, b] = candidates[*k].faults.map(prior_of);
            // One of them is there, and of all that may be there besides it is the other.
            let both = a * b * ((1.0 - a).recip() + (1.0 - b).recip());
            let prior = both * SECOND_FAULT;
            // The visits were made where the readings are, not over all severities: each stands for
            // the share of severities that it strays over.
            let share = (2.0 * STRAY).powi(2) / VISITS as f64;
            s.log + (prior * share).max(1e-300).ln()
        })
        .collect();
    let most = logs.iter().copied().fold(p.evidence, f64::max);
    let single = (p.evidence - most).exp();
    let weight: Vec<f64> = logs.iter().map(|l| (l - most).exp()).collect();
    let sum = single + weight.iter().sum::<f64>();
    let keep = single / sum;
    answer.none_of_these *= keep;
    answer.causes.iter_mut().for_each(|c| c.probability *= keep);
    answer.groups.iter_mut().for_each(|g| g.probability *= keep);
    for (k, c) in candidates.iter().enumerate() {
        let of_pair = visits.iter().zip(&weight).filter(|((j, ..), _)| *j == k);
        let probability = of_pair.clone().map(|(_, w)| w / sum).sum();
        let best = of_pair.max_by(|a, b| a.1.total_cmp(b.1));
        answer.pairs.push(Pair {
            faults: c.faults,
            name: c.faults.map(Fault::name).join(" and "),
            probability,
            severities: best.map_or(c.severities, |((_, _, s), _)| *s),
        });
    }
    answer
        .pairs
        .sort_by(|a, b| b.probability.total_cmp(&a.probability));
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

/// A visit to a pair: its candidate, its kernel, its severities.
type Visit = (usize, Kernel, [f64; 2]);

fn simulate(
    base: &Scenario,
    model: &Model,
    candidates: &[Candidate],
    wants: &(dyn Fn(Test) -> bool + Sync),
    cancel: &AtomicBool,
) -> Vec<Visit> {
    let visits = in_parallel(candidates.len() * VISITS, |i| {
        if cancel.load(Ordering::Relaxed) {
            return None;
        }
        let k = i / VISITS;
        visit_pair(base, model, candidates[k], i, wants).map(|(kernel, s)| (k, kernel, s))
    });
    visits.into_iter().flatten().collect()
}

fn visit_pair(
    base: &Scenario,
    model: &Model,
    c: Candidate,
    index: usize,
    wants: &dyn Fn(Test) -> bool,
) -> Option<(Kernel, [f64; 2])> {
    let mut random = Random::new(0x9a15, index as u64);
    let stray = if index.is_multiple_of(VISITS) {
        0.0
    } else {
        STRAY
    };
    let severities = c
        .severities
        .map(|s| (s + stray * random.between(-1.0, 1.0)).clamp(0.03, 1.0));
    let unknowns = draw_unknowns(Some(c.faults[0]), &mut random);
    let list = [(c.faults[0], severities[0]), (c.faults[1], severities[1])];
    let values = sample_tests(base, &list, &unknowns, World::NOMINAL, &mut random, wants).ok()?;
    let sample = Sample {
        fault: Some(c.faults[0]),
        second: Some(c.faults[1]),
        severity: severities[0],
        unknowns,
        values,
    };
    Some((model.kernel_of(&sample), severities))
}
