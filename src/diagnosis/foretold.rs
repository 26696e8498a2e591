//! What each cause foretells of every item beside what was read. Not here: what follows of it (`answer`).

use super::files::readings::Readings;
use super::inference::conditional::{Conditionals, Foretold, log_density, mixed};
use super::inference::evidence::Evidence;
use super::inference::fit::usual_uncertainty;
use super::inference::model::Model;
use super::inference::posterior::Posterior;
use super::parts::{EITHER, OF_PLACE, Prediction};
use crate::visit::item::BUBBLES;
use crate::visit::{ALL, ITEMS, Id, NUMBERS, Scale, Values};

/// Kernels by their weight, with what each foretells.
pub(super) struct Foretelling(Vec<(f64, usize, [Foretold; NUMBERS])>);

impl Foretelling {
    fn parts(&self, item: usize) -> Vec<(f64, Foretold)> {
        self.0.iter().map(|(w, _, all)| (*w, all[item])).collect()
    }

    fn word_probability(&self, model: &Model, item: usize, seen: usize) -> f64 {
        let sum: f64 = self.0.iter().map(|p| p.0).sum::<f64>().max(1e-300);
        let all = self.0.iter();
        all.map(|(w, k, _)| w / sum * model.word(&model.kernels[*k], item, seen))
            .sum()
    }

    /// How far a number is off it, in deviations of both; 0 where it was not read.
    pub(super) fn off(&self, readings: &Readings, item: usize) -> f64 {
        let (mean, sd) = mixed(&self.parts(item));
        let gap = readings.values[item].map_or(0.0, |v| ALL[item].scaled(v) - mean);
        if readings.over[item] && gap < 0.0 {
            // Over the range, as foretold.
            return 0.0;
        }
        gap.abs() / sd.max(usual_uncertainty(item))
    }
}

/// Where a cause lets gas out, likelier than not, and leak fluid has not been.
pub(super) fn gas_unseen(model: &Model, f: &Foretelling, values: &Values) -> Vec<usize> {
    let places = (NUMBERS..ITEMS).filter(|&i| ALL[i].choices() == Some(BUBBLES));
    let unseen = places.filter(|&i| values[i].is_none());
    unseen
        .filter(|&i| f.word_probability(model, i, 0) < 0.5)
        .collect()
}

/// The weightiest kernels of a cause with what they foretell.
pub(super) fn foretell(
    model: &Model,
    p: &Posterior,
    conditionals: &Conditionals<'_>,
    cause: usize,
) -> Foretelling {
    let mut kernels: Vec<usize> = (0..model.kernels.len())
        .filter(|&k| model.kernels[k].cause == cause)
        .collect();
    kernels.sort_by(|&a, &b| p.kernels[b].total_cmp(&p.kernels[a]));
    let most = kernels.first().map_or(0.0, |&k| p.kernels[k]);
    let all = kernels
        .into_iter()
        .take(12)
        .map(|k| {
            // Far causes have weights that round to nothing; their nearest kernels still speak.
            let w = if most > 0.0 { p.kernels[k] / most } else { 1.0 };
            (w, k, conditionals.foretell(&model.kernels[k]))
        })
        .filter(|(w, ..)| *w > 1e-3);
    Foretelling(all.collect())
}

/// What a cause, the `k`th of those heard, foretells of every item.
pub(super) fn predictions(
    model: &Model,
    readings: &Readings,
    evidence: &Evidence,
    foretold: &[Foretelling],
    k: usize,
    is_other: &dyn Fn(usize) -> bool,
) -> Vec<Prediction> {
    let log_of = |f: &Foretelling, item: usize| -> f64 {
        if let Some(&(_, y, _)) = evidence.numbers.iter().find(|n| n.0 == item) {
            return log_density(&f.parts(item), y, usual_uncertainty(item));
        }
        match evidence.words.iter().find(|w| w.0 == item) {
            Some(&(_, seen)) => f.word_probability(model, item, seen).max(1e-4).ln(),
            None => 0.0,
        }
    };
    (0..ITEMS)
        .map(|item| {
            let f = &foretold[k];
            let own = log_of(f, item);
            let best_other = foretold
                .iter()
                .enumerate()
                .filter(|(j, f)| is_other(*j) && !f.0.is_empty())
                .map(|(_, f)| log_of(f, item))
                .fold(f64::NEG_INFINITY, f64::max);
            let measured = readings.values[item];
            // Where the rig stands and in which air speaks for no cause and against none: no cause makes the weather.
            let place = measured.filter(|_| OF_PLACE.map(Id::index).contains(&item));
            let (expected, range, off) = if let Some(v) = place {
                (v, [v, v], 0.0)
            } else if item < NUMBERS {
                let (mean, sd) = mixed(&f.parts(item));
                // Nothing is foretold that cannot be: no time under nothing, no share over all.
                let (least, most) = ALL[item].bounds();
                let at = |v: f64| ALL[item].unscaled(v).clamp(least, most);
                let off = f.off(readings, item);
                (at(mean), [at(mean - sd), at(mean + sd)], off)
            } else {
                let n = match ALL[item].kind {
                    Scale::Words(w) => w.len(),
                    _ => 1,
                };
                let chances: Vec<f64> =
                    (0..n).map(|w| f.word_probability(model, item, w)).collect();
                let mut words: Vec<usize> = (0..n).collect();
                words.sort_by(|&a, &b| chances[b].total_cmp(&chances[a]));
                let likeliest = words[0] as f64;
                // Where either is called so, both are foretold.
                let second = words.get(1).filter(|w| chances[**w] > EITHER);
                let next = second.map_or(likeliest, |w| *w as f64);
                let off = measured.map_or(0.0, |v| {
                    let chance = f.word_probability(model, item, v as usize);
                    (-2.0 * chance.clamp(1e-9, 1.0).ln()).sqrt()
                });
                (likeliest, [likeliest, next], off)
            };
            Prediction {
                item,
                name: format!("{}.{}", ALL[item].table, ALL[item].key),
                words: ALL[item].words,
                measured,
                is_brought: false,
                is_over: false,
                expected,
                range,
                favour: if measured.is_some() && place.is_none() && best_other.is_finite() {
                    own - best_other
                } else {
                    0.0
                },
                off,
            }
        })
        .collect()
}
