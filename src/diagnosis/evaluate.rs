//! How good the diagnosis is: [`super::cases`] read, diagnosed, and counted; beside it the
//! quick-split rules of the trade, and the minutes of work to certainty. Faults too slight to show
//! are counted apart.

use super::alike;
use super::answer::{fixed_minutes, priors};
use super::baseline;
use super::cases::{Case, HEALTHY};
use super::evidence::Evidence;
use super::file::Readings;
use super::next::Offer;
use super::posterior::posterior;
use super::safety::Danger;
use super::store::Prepared;
use super::walk::{Stand, Way, walk};
use crate::visit::{ALL, ITEMS, Test, Values};
use serde::Serialize;
use std::sync::atomic::AtomicBool;

/// A diagnosis is certain from this probability of one group on.
pub const CERTAIN: f64 = 0.95;

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
    /// Share called unexplained of sets mixed of two cases with different faults, test by test: most
    /// of them contradict themselves.
    pub mixed_unexplained: f64,
    /// Faulty cases too slight to show, in none of the shares above.
    pub slight: usize,
    /// Share of them whose group came first.
    pub slight_first: f64,
    /// Share of them called healthy.
    pub slight_called_healthy: f64,
    /// Share of **all** faulty cases, the slight ones among them, whose group came first; a fault too slight for
    /// any test to tell from healthy is one group with healthy.
    pub all_first: f64,
    /// The same, among the first three.
    pub all_in_three: f64,
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
    /// Mean minutes of the best next test, stopped at certainty or when no safe test is left.
    pub best_next: f64,
    /// Share of cases that reached certainty in the fixed sequence.
    pub fixed_certain: f64,
    /// Share of cases that reached it by the best next test.
    pub best_certain: f64,
    /// Share of cases that reached it by the best next test with groups as the isolability has them, none joined
    /// at the severities that the readings leave.
    pub best_certain_apart: f64,
    /// Mean size of the first group where the best next test stopped at certainty: 1 is one cause.
    pub best_size: f64,
    /// Largest of them.
    pub best_largest: usize,
    /// Share of cases whose first group was right when the best next test stopped.
    pub best_right: f64,
    /// Share of cases that reached certainty whose first group was right.
    pub certain_right: f64,
    /// Share of cases where, all items read, pairs of faults were looked at besides.
    pub pairs_looked_at: f64,
    /// Share of cases, each with one fault or none, where a pair then came first.
    pub pairs_first: f64,
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
    let mut slight = (0, 0);
    let mut slight_together = (0, 0);
    let mut bins = [(0.0, 0.0); 10];
    let mut mistakes: Vec<(String, String, usize)> = Vec::new();
    for case in cases {
        let evidence = Evidence::new(&case.read, &[None; ITEMS], model.tuning.floor);
        let p = posterior(model, &evidence, &prior);
        let Some(truth) = model.causes.iter().position(|c| *c == case.fault) else {
            continue;
        };
        let group = prepared.groups.of[truth];
        let of_groups = alike::of_groups(&prepared.groups, &p);
        let ranked = order(&of_groups);
        let ranked_u = order(&p.causes);
        let top = of_groups[ranked[0]];
        let right = ranked[0] == group && p.none < top;
        if !case.shows {
            f.slight += 1;
            slight.0 += usize::from(right);
            let healthy = prepared.groups.of[0];
            slight.1 += usize::from(ranked[0] == healthy);
            let among = |ranked: &[usize]| ranked.iter().any(|g| *g == group || *g == healthy);
            slight_together.0 += usize::from(among(&ranked[..1]) && p.none < top);
            slight_together.1 += usize::from(among(&ranked[..3]));
            continue;
        }
        let bin = ((10.0 * top) as usize).min(9);
        bins[bin].0 += top;
        bins[bin].1 += one(ranked[0] == group);
        unexplained += usize::from(p.none >= top);
        let rules = baseline::rank(&case.read);
        let has = |list: &[&str]| {
            prepared.groups.members[group]
                .iter()
                .any(|&c| list.contains(&super::cause::cause_id(model.causes[c]).as_str()))
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
            let name = |c: usize| super::cause::cause_id(model.causes[c]);
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
    f.mixed_unexplained = mixed_unexplained(prepared, cases, &prior);
    f.slight_first = share(slight.0, f.slight);
    f.all_first = share(first + slight_together.0, f.faulty + f.slight);
    f.all_in_three = share(three + slight_together.1, f.faulty + f.slight);
    f.slight_called_healthy = share(slight.1, f.slight);
    let counted = f.faulty + f.healthy;
    f.unexplained = share(unexplained, counted);
    f.baseline_first = share(base_first, f.faulty);
    f.baseline_in_three = share(base_three, f.faulty);
    f.baseline_healthy_called_faulty = share(base_false, f.healthy);
    let off: f64 = bins.iter().map(|(p, right)| (p - right).abs()).sum();
    f.calibration_error = off / counted.max(1) as f64;
    f
}

/// Reads every second test off the next faulty case, and counts how often nothing explains it.
fn mixed_unexplained(prepared: &Prepared, cases: &[Case], prior: &[f64]) -> f64 {
    let faulty: Vec<&Case> = cases
        .iter()
        .filter(|c| c.shows && c.fault.is_some())
        .collect();
    let (mut none, mut of) = (0, 0);
    for pair in faulty.windows(2).filter(|w| w[0].fault != w[1].fault) {
        let mixed: Values = std::array::from_fn(|i| {
            let odd = Test::ALL.iter().position(|t| *t == ALL[i].test);
            pair[odd.unwrap_or(0) % 2].read[i]
        });
        let evidence = Evidence::new(&mixed, &[None; ITEMS], prepared.model.tuning.floor);
        let p = posterior(&prepared.model, &evidence, prior);
        of += 1;
        none += usize::from(p.none > 0.5);
    }
    share(none, of)
}

/// Follows the cases that show test by test: once by the best next test, once in the fixed order. The climb is
/// left out of both, and in both a test that is not safe after the readings so far is not made.
pub fn work(prepared: &Prepared, cases: &[Case], progress: &dyn Fn(usize)) -> Work {
    let cases: Vec<&Case> = cases.iter().filter(|c| c.shows).collect();
    let mut w = Work {
        cases: cases.len(),
        fixed_whole: fixed_minutes(),
        ..Work::default()
    };
    let n = cases.len().max(1) as f64;
    for (i, case) in cases.into_iter().enumerate() {
        let fixed = follow(prepared, case, Way::Fixed);
        let best = follow(prepared, case, Way::Best);
        w.fixed_stopped += fixed.minutes / n;
        w.best_next += best.minutes / n;
        w.fixed_certain += one(fixed.certain) / n;
        w.best_right += one(best.right) / n;
        if best.certain {
            w.best_certain += 1.0 / n;
            w.best_certain_apart += one(best.certain_apart) / n;
            w.certain_right += one(best.right);
            w.best_size += best.size as f64;
            w.best_largest = w.best_largest.max(best.size);
        }
        let (looked_at, first) = called_two(prepared, case);
        w.pairs_looked_at += one(looked_at) / n;
        w.pairs_first += one(first) / n;
        progress(i);
    }
    let certain = (w.best_certain * n).max(1.0);
    w.certain_right /= certain;
    w.best_size /= certain;
    w
}

/// Whether the second pass was made for a case with all its items read, and whether a pair came first.
fn called_two(prepared: &Prepared, case: &Case) -> (bool, bool) {
    let causes = prepared.model.causes.iter().copied();
    let readings = Readings {
        values: case.read,
        priors: causes.zip(flat(prepared)).collect(),
        ..Readings::default()
    };
    let answer = prepared.answer_with_pairs(&readings, &AtomicBool::new(false));
    let first = answer.pairs.first().map_or(0.0, |p| p.probability);
    let single = answer.groups.first().map_or(0.0, |g| g.probability);
    (
        !answer.pairs.is_empty(),
        first > single.max(answer.none_of_these),
    )
}

fn one(yes: bool) -> f64 {
    f64::from(u8::from(yes))
}

/// Where a case that was followed ended.
struct Followed {
    minutes: f64,
    certain: bool,
    /// Whether it was certain of a group of the isolability, none joined for this case.
    certain_apart: bool,
    /// Whether the first group is the right one.
    right: bool,
    /// Causes in the first group.
    size: usize,
}

fn follow(prepared: &Prepared, case: &Case, way: Way) -> Followed {
    let model = &prepared.model;
    let truth = model.causes.iter().position(|c| *c == case.fault);
    let mut offer = Offer::safe(Danger::None);
    offer.retain(|t| t != Test::Climb);
    let mut out = Followed {
        minutes: 0.0,
        certain: false,
        certain_apart: false,
        right: false,
        size: 0,
    };
    let mut look = |stand: &Stand<'_>| {
        let p = stand.posterior;
        let offered =
            |i: &usize| stand.known[*i].is_some() || stand.left.items(ALL[*i].test).contains(i);
        let items: Vec<usize> = (0..ITEMS).filter(offered).collect();
        let groups = alike::joined(model, &prepared.groups, p, &items);
        let of_groups = alike::of_groups(&groups, p);
        let top = order(&of_groups)[0];
        let apart = alike::of_groups(&prepared.groups, p);
        out = Followed {
            minutes: stand.minutes,
            certain: of_groups[top] >= CERTAIN,
            certain_apart: apart.iter().any(|g| *g >= CERTAIN),
            right: truth.is_some_and(|t| groups.of[t] == top),
            size: groups.members[top].len(),
        };
        (!out.certain).then_some(groups)
    };
    walk(model, &flat(prepared), &offer, &case.read, way, &mut look);
    out
}
