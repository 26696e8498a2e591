//! How good the diagnosis is: cases drawn off the library's grid (fault, severity, site, parts,
//! noise of instruments), read, diagnosed, and counted; beside it the quick-split rules of the
//! trade, and the minutes of work to certainty.
//!
//! A fault counts as a case only where it shows: against a healthy twin with the same unknowns at
//! least one true value differs by over three uncertainties of its instrument, or a word differs.
//! What differs less nobody would call a technician for.

use super::answer::{fixed_minutes, priors};
use super::baseline;
use super::library::{LEAST_SEVERITY, draw_unknowns, sample_visit};
use super::evidence::Evidence;
use super::next;
use super::posterior::{Posterior, posterior};
use super::random::Random;
use super::reading::{ALL, ITEMS, Kind, NUMBERS, Test, Values};
use super::safety::Danger;
use super::store::Prepared;
use super::unknowns::{Unknowns, World};
use super::words;
use crate::fault::Fault;
use serde::Serialize;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Share of healthy cases.
const HEALTHY: f64 = 0.2;
/// Tries to draw a case that shows before the fault is given up.
const TRIES: usize = 12;
/// A diagnosis is certain from this probability of one group on.
pub const CERTAIN: f64 = 0.95;

/// One case.
#[derive(Debug, Clone, Copy)]
pub struct Case {
    /// The fault, none for healthy.
    pub fault: Option<Fault>,
    /// Its severity.
    pub severity: f64,
    /// Its unknowns.
    pub unknowns: Unknowns,
    /// What instruments without errors would read.
    pub truth: Values,
    /// What the instruments read.
    pub read: Values,
}

/// What was counted.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Figures {
    /// Faulty cases.
    pub faulty: usize,
    /// Healthy cases.
    pub healthy: usize,
    /// Share of faulty cases whose group came first.
    pub first: f64,
    /// Share of faulty cases whose group was among the first three.
    pub in_three: f64,
    /// The same, each fault counted for itself.
    pub first_ungrouped: f64,
    /// The same, each fault counted for itself.
    pub in_three_ungrouped: f64,
    /// Share of healthy cases called faulty.
    pub healthy_called_faulty: f64,
    /// Share of faulty cases called healthy.
    pub faulty_called_healthy: f64,
    /// Share of all cases called unexplained.
    pub unexplained: f64,
    /// Expected calibration error over ten bins of the first group's probability.
    pub calibration_error: f64,
    /// Share of faulty cases whose right group is the first of the quick-split rules.
    pub baseline_first: f64,
    /// ... among the first three of them.
    pub baseline_in_three: f64,
    /// Share of healthy cases the rules call faulty.
    pub baseline_healthy_called_faulty: f64,
    /// The mistakes made most often: true cause, first cause, how often.
    pub mistakes: Vec<(String, String, usize)>,
}

/// Minutes of work to certainty.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Work {
    /// Cases followed.
    pub cases: usize,
    /// Mean minutes of the whole fixed sequence.
    pub fixed_whole: f64,
    /// Mean minutes of the fixed sequence, stopped at certainty.
    pub fixed_stopped: f64,
    /// Mean minutes of the best next test, stopped at certainty or when nothing more would tell.
    pub best_next: f64,
    /// Share of cases that reached certainty in the fixed sequence.
    pub fixed_certain: f64,
    /// Share of cases that reached it by the best next test.
    pub best_certain: f64,
    /// Share of cases whose first group was right when the best next test stopped.
    pub best_right: f64,
}

/// Reads true values with the instruments' noise and the eyes' mistakes.
pub fn read(truth: &Values, noise: f64, random: &mut Random) -> Values {
    std::array::from_fn(|i| {
        let v = truth[i]?;
        if let Kind::Words(_) = ALL[i].kind {
            return Some(words::look(i, v as usize, noise, random) as f64);
        }
        Some(v + noise * ALL[i].uncertainty(v) * random.normal())
    })
}

/// Which true values differ from those of the healthy twin.
fn differs(values: &Values, twin: &Values) -> [bool; ITEMS] {
    std::array::from_fn(|i| match (values[i], twin[i]) {
        (Some(a), Some(b)) if i < NUMBERS => {
            let item = &ALL[i];
            (a - b).abs() > 3.0 * item.uncertainty(a).max(item.uncertainty(b))
        }
        (a, b) => a != b,
    })
}

/// Draws cases, in parallel; the same seed gives the same cases. Faults that never show are drawn
/// again as another.
pub fn cases(
    prepared: &Prepared,
    count: usize,
    seed: u64,
    world: World,
    progress: &(dyn Fn(usize) + Sync),
) -> Vec<Case> {
    let faults: Vec<Fault> = prepared
        .model
        .causes
        .iter()
        .zip(&prepared.model.counts)
        .filter(|(_, n)| **n > 0)
        .filter_map(|(c, _)| *c)
        .collect();
    let next = AtomicUsize::new(0);
    let out = Mutex::new(vec![None; count]);
    let work = || {
        loop {
            let i = next.fetch_add(1, Ordering::Relaxed);
            if i >= count {
                break;
            }
            let case = draw(prepared, &faults, seed, i as u64, world);
            if let Ok(mut all) = out.lock() {
                all[i] = case;
            }
            progress(i);
        }
    };
    let threads = std::thread::available_parallelism().map_or(2, usize::from);
    std::thread::scope(|scope| {
        for _ in 0..threads {
            scope.spawn(work);
        }
    });
    let all = out.into_inner().unwrap_or_default();
    all.into_iter().flatten().collect()
}

fn draw(
    prepared: &Prepared,
    faults: &[Fault],
    seed: u64,
    i: u64,
    world: World,
) -> Option<Case> {
    let base = &prepared.library.base;
    // A stream apart from the library's own.
    let mut random = Random::new(seed ^ 0x05ee_d0fc_a5e5, i);
    let healthy = random.uniform() < HEALTHY || faults.is_empty();
    for _ in 0..TRIES * TRIES {
        let fault = (!healthy).then(|| faults[random.below(faults.len())]);
        for _ in 0..TRIES {
            let severity = random.between(LEAST_SEVERITY, 1.0);
            let unknowns = draw_unknowns(fault, &mut random);
            let list: Vec<(Fault, f64)> = fault.map(|f| (f, severity)).into_iter().collect();
            // Both rigs of a case are off by the same hand.
            let (mut own, mut twins) = (random.clone(), random.clone());
            let Ok(truth) = sample_visit(base, &list, &unknowns, world, &mut own) else {
                random = own;
                continue;
            };
            let shows = fault.is_none()
                || sample_visit(base, &[], &unknowns, world, &mut twins).is_ok_and(|twin| {
                    let by_fault = differs(&truth, &twin);
                    let out = prepared.model.stands_out(&truth, &unknowns);
                    (0..ITEMS).any(|k| by_fault[k] && out[k])
                });
            random = own;
            if shows {
                return Some(Case {
                    fault,
                    severity: if fault.is_some() { severity } else { 0.0 },
                    unknowns,
                    truth,
                    read: read(&truth, world.noise, &mut random),
                });
            }
        }
    }
    None
}

/// Flat priors: what the cases are drawn from.
pub fn flat(prepared: &Prepared) -> Vec<f64> {
    let n = prepared
        .model
        .counts
        .iter()
        .skip(1)
        .filter(|n| **n > 0)
        .count() as f64;
    priors(&prepared.model, &[])
        .iter()
        .enumerate()
        .map(|(c, w)| match (c, *w > 0.0) {
            (0, _) => HEALTHY,
            (_, true) => (1.0 - HEALTHY) / n,
            _ => 0.0,
        })
        .collect()
}

fn order(weights: &[f64]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..weights.len()).collect();
    order.sort_by(|&a, &b| weights[b].total_cmp(&weights[a]));
    order
}

fn by_group(prepared: &Prepared, p: &Posterior) -> Vec<f64> {
    let mut out = vec![0.0; prepared.groups.members.len()];
    for (c, w) in p.causes.iter().enumerate() {
        out[prepared.groups.of[c]] += w;
    }
    out
}

fn share(count: usize, of: usize) -> f64 {
    count as f64 / of.max(1) as f64
}

/// Diagnoses every case from all its readings and counts.
pub fn figures(prepared: &Prepared, cases: &[Case]) -> Figures {
    let model = &prepared.model;
    let prior = flat(prepared);
    let mut f = Figures::default();
    let (mut first, mut three, mut first_u, mut three_u) = (0, 0, 0, 0);
    let (mut false_alarm, mut missed, mut unexplained) = (0, 0, 0);
    let (mut base_first, mut base_three, mut base_false) = (0, 0, 0);
    let mut bins = [(0.0, 0.0); 10];
    let mut mistakes: Vec<(String, String, usize)> = Vec::new();
    for case in cases {
        let evidence = Evidence::new(&case.read, &[None; ITEMS], model.tuning.floor);
        let p = posterior(model, &evidence, &prior);
        let Some(truth) = model.causes.iter().position(|c| *c == case.fault) else {
            continue;
        };
        let group = prepared.groups.of[truth];
        let of_groups = by_group(prepared, &p);
        let ranked = order(&of_groups);
        let ranked_u = order(&p.causes);
        let top = of_groups[ranked[0]];
        let right = ranked[0] == group && p.none < top;
        let bin = ((10.0 * top) as usize).min(9);
        bins[bin].0 += top;
        bins[bin].1 += f64::from(u8::from(ranked[0] == group));
        unexplained += usize::from(p.none >= top);
        let rules = baseline::rank(&case.read);
        let has = |list: &[&str]| {
            prepared.groups.members[group]
                .iter()
                .any(|&c| list.contains(&super::isolate::cause_id(model.causes[c])))
        };
        if case.fault.is_none() {
            f.healthy += 1;
            false_alarm += usize::from(!right);
            base_false += usize::from(!has(&rules[..rules.len().min(1)]));
        } else {
            f.faulty += 1;
            first += usize::from(right);
            three += usize::from(ranked[..3].contains(&group));
            first_u += usize::from(ranked_u[0] == truth);
            three_u += usize::from(ranked_u[..3].contains(&truth));
            missed += usize::from(ranked[0] == prepared.groups.of[0] && group != ranked[0]);
            base_first += usize::from(has(&rules[..rules.len().min(1)]));
            base_three += usize::from(has(&rules[..rules.len().min(3)]));
        }
        if !right {
            let name = |c: usize| super::isolate::cause_id(model.causes[c]).to_owned();
            let (a, b) = (name(truth), name(ranked_u[0]));
            match mistakes.iter_mut().find(|m| m.0 == a && m.1 == b) {
                Some(m) => m.2 += 1,
                None => mistakes.push((a, b, 1)),
            }
        }
    }
    mistakes.sort_by_key(|m| std::cmp::Reverse(m.2));
    mistakes.truncate(15);
    f.mistakes = mistakes;
    f.first = share(first, f.faulty);
    f.in_three = share(three, f.faulty);
    f.first_ungrouped = share(first_u, f.faulty);
    f.in_three_ungrouped = share(three_u, f.faulty);
    f.healthy_called_faulty = share(false_alarm, f.healthy);
    f.faulty_called_healthy = share(missed, f.faulty);
    f.unexplained = share(unexplained, cases.len());
    f.baseline_first = share(base_first, f.faulty);
    f.baseline_in_three = share(base_three, f.faulty);
    f.baseline_healthy_called_faulty = share(base_false, f.healthy);
    let off: f64 = bins.iter().map(|(p, right)| (p - right).abs()).sum();
    f.calibration_error = off / cases.len().max(1) as f64;
    f
}

/// Follows cases test by test: once by the best next test, once in the fixed order. The climb is
/// left out of both.
pub fn work(prepared: &Prepared, cases: &[Case], progress: &dyn Fn(usize)) -> Work {
    let mut w = Work {
        cases: cases.len(),
        fixed_whole: fixed_minutes(),
        ..Work::default()
    };
    let n = cases.len().max(1) as f64;
    for (i, case) in cases.iter().enumerate() {
        let fixed = follow(prepared, case, false);
        let best = follow(prepared, case, true);
        w.fixed_stopped += fixed.0 / n;
        w.best_next += best.0 / n;
        w.fixed_certain += f64::from(u8::from(fixed.1)) / n;
        w.best_certain += f64::from(u8::from(best.1)) / n;
        w.best_right += f64::from(u8::from(best.2)) / n;
        progress(i);
    }
    w
}

/// Minutes, whether certainty was reached, whether the first group is the right one.
fn follow(prepared: &Prepared, case: &Case, best: bool) -> (f64, bool, bool) {
    let model = &prepared.model;
    let prior = flat(prepared);
    let mut known: Values = [None; ITEMS];
    let mut minutes = 0.0;
    let mut left: Vec<Test> = Test::ALL
        .into_iter()
        .filter(|t| *t != Test::Climb)
        .collect();
    loop {
        let evidence = Evidence::new(&known, &[None; ITEMS], model.tuning.floor);
        let p = posterior(model, &evidence, &prior);
        let groups = by_group(prepared, &p);
        let top = order(&groups)[0];
        let truth = model.causes.iter().position(|c| *c == case.fault);
        let right = truth.is_some_and(|t| prepared.groups.of[t] == top);
        let certain = groups[top] >= CERTAIN;
        let test = if certain {
            None
        } else if best {
            // What is safe is the bench's affair; here both orders may make every test.
            let ranked = next::rank(model, &prepared.groups, &known, &evidence, &p, Danger::None);
            ranked
                .into_iter()
                .map(|n| n.test)
                .find(|t| left.contains(t))
        } else {
            left.first().copied()
        };
        let Some(test) = test else {
            return (minutes, certain, right);
        };
        minutes += test.minutes();
        left.retain(|t| *t != test);
        for i in test.items() {
            known[i] = case.read[i];
        }
    }
}
