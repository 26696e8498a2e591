//! Single readings that an answer hangs on. Of looks: a word without which another group of causes would be the likeliest. An eye may be
//! mistaken once in a hundred looks, so what hangs on a single one is looked at again before anybody acts on it.
//!
//! Every kernel that is believed in is freed of what the word said of it; nothing is scored anew. Only words that a
//! healthy rig does not give can call a rig faulty, so only those are asked about.

use super::alike::HEALTHY;
use super::conditional::Conditionals;
use super::evidence::Evidence;
use super::isolate::Groups;
use super::model::Model;
use super::posterior::{Posterior, posterior};
use super::score::LEAST_CHANCE;
use crate::diagnosis::files::readings::Readings;
use crate::diagnosis::foretold::foretell;
use crate::diagnosis::parts::{Alone, UNEXPLAINED};
use crate::diagnosis::weighed::Weighed;
use crate::visit::{ALL, Id, NUMBERS, Verdict, that_come_out};

/// Items whose word alone makes the likeliest group the likeliest; none where that is "nothing wrong".
pub(in crate::diagnosis) fn on_looks(
    model: &Model,
    evidence: &Evidence,
    groups: &Groups,
    p: &Posterior,
) -> Vec<usize> {
    let first = likeliest(model, groups, &p.kernels);
    if first == groups.of[HEALTHY] {
        return Vec::new();
    }
    let usual = model.usual_words();
    let odd = evidence
        .words
        .iter()
        .filter(|(item, seen)| usize::from(usual[item - NUMBERS]) != *seen);
    let is_needed =
        |item, seen| likeliest(model, groups, &freed(model, &p.kernels, item, seen)) != first;
    odd.filter(|(item, seen)| is_needed(*item, *seen))
        .map(|(item, _)| *item)
        .collect()
}

/// Numbers that are asked about at most: those furthest off.
const ASKED: usize = 4;
/// Belief in pairs from which on a second fault is asked about (own).
const BY_PAIRS: f64 = 0.25;

/// The one number that alone carries the likeliest cause: one that nothing wrong leaves unexplained, and without which nothing wrong would
/// be the likeliest; or, where pairs are likely, a lock-up that fails by no other reading. A gauge is misread too.
pub(in crate::diagnosis) fn on_number(
    model: &Model,
    weighed: &Weighed,
    groups: &Groups,
    readings: &Readings,
) -> Option<Alone> {
    let values = &readings.values;
    let alone = |item: Id| {
        let value = values[item.index()]?;
        Some(Alone { item, value })
    };
    let p = &weighed.posterior;
    let of_pairs: f64 = weighed.pairs.iter().map(|pair| pair.probability).sum();
    if let ([id], true) = (&weighed.lock_up_fails[..], of_pairs > BY_PAIRS) {
        return alone(*id);
    }
    let is_healthy = |kernels: &[f64]| likeliest(model, groups, kernels) == groups.of[HEALTHY];
    if is_healthy(&p.kernels) {
        return None;
    }
    let conditionals = Conditionals::new(model, &weighed.evidence);
    let right = foretell(model, p, &conditionals, HEALTHY);
    let read = weighed.evidence.numbers.iter().map(|n| n.0);
    let mut off: Vec<(usize, f64)> = read.map(|i| (i, right.off(readings, i))).collect();
    off.retain(|(_, off)| *off > UNEXPLAINED);
    off.sort_by(|a, b| b.1.total_cmp(&a.1));
    off.truncate(ASKED);
    let carries = |item: usize| {
        let mut without = weighed.evidence.clone();
        without.numbers.retain(|n| n.0 != item);
        let mut rest = *values;
        rest[item] = None;
        // What fails besides is read no better for it.
        let is_alone = that_come_out(Verdict::Fail, &rest).is_empty();
        is_alone && is_healthy(&posterior(model, &without, &weighed.weights).kernels)
    };
    let mut carry = off.iter().filter(|(item, _)| carries(*item));
    let one = carry.next().filter(|_| carry.next().is_none())?;
    alone(ALL[one.0].id)
}

/// Weights of kernels without what a word said of them.
fn freed(model: &Model, weights: &[f64], item: usize, seen: usize) -> Vec<f64> {
    let said = |kernel| {
        let chance = model.word(kernel, item, seen).max(LEAST_CHANCE);
        chance.powf(model.tuning.words)
    };
    let each = model.kernels.iter().zip(weights);
    each.map(|(kernel, w)| if *w > 0.0 { w / said(kernel) } else { 0.0 })
        .collect()
}

/// The group that weighs most.
fn likeliest(model: &Model, groups: &Groups, weights: &[f64]) -> usize {
    let mut sums = vec![0.0; groups.members.len()];
    for (kernel, weight) in model.kernels.iter().zip(weights) {
        sums[groups.of[kernel.cause]] += weight;
    }
    (0..sums.len())
        .max_by(|&a, &b| sums[a].total_cmp(&sums[b]))
        .unwrap_or(HEALTHY)
}

#[cfg(test)]
mod tests {
    use super::{HEALTHY, freed, on_looks};
    use crate::diagnosis::inference::evidence::Evidence;
    use crate::diagnosis::inference::posterior::posterior;
    use crate::diagnosis::library::standard::standard_rig;
    use crate::diagnosis::library::words::said;
    use crate::diagnosis::store::{Prepared, built_in};
    use crate::visit::{ALL, ITEMS, Id, NUMBERS, Values};

    /// A healthy rig whose hose is seen kinked is called kinked, and that hangs on the look. What is left when the look is
    /// taken away is what was believed before it (derived: Bayes' rule, whose factors may come in any order).
    #[test]
    fn a_kink_beside_right_readings_hangs_on_the_look() {
        let library = built_in(&standard_rig()).expect("a library of this model");
        let p = Prepared::from_library(library).expect("a likelihood");
        let (model, groups) = (&p.model, &p.groups);
        let healthy = p.library.samples.iter().find(|s| s.fault.is_none());
        let mut values = healthy.expect("a healthy visit").values();
        for v in values[NUMBERS..].iter_mut().flatten() {
            *v = said(*v as usize) as f64;
        }
        let hose = ALL.iter().position(|i| i.id == Id::Hose).expect("an item");
        let prior = vec![1.0; model.causes.len()];
        let read = |values: &Values| {
            let evidence = Evidence::new(values, &[None; ITEMS], model.tuning.floor);
            let after = posterior(model, &evidence, &prior);
            (evidence, after)
        };
        values[hose] = None;
        let (_, before) = read(&values);
        values[hose] = Some(1.0);
        let (evidence, after) = read(&values);
        assert_eq!(on_looks(model, &evidence, groups, &after), vec![hose]);

        let back = freed(model, &after.kernels, hose, 1);
        let sum: f64 = back.iter().sum();
        let known = 1.0 - before.none;
        for (a, b) in back.iter().zip(&before.kernels) {
            assert!((a / sum - b / known).abs() < 1e-9, "{a} {b}");
        }
        values[hose] = Some(0.0);
        let (evidence, right) = read(&values);
        assert!(right.causes[HEALTHY] > right.causes[1]);
        assert!(on_looks(model, &evidence, groups, &right).is_empty());
    }
}
