//! The second pass, made after the first answer where the readings are not plainly one cause's: how near the likeliest
//! causes come to the readings when they are simulated anew ([`super::closer`]), what that says for "none of these", and
//! whether two faults at once come nearer ([`super::pairs`]).
//!
//! What is left over of a true cause is spread as chi squared over the readings (published), whatever the rig. Of
//! something that is not in the catalogue it is c times as much, c anything from 1 to 100 and every factor as likely
//! (own).

use super::answer::{Pair, Weighed};
use super::closer::{Closest, Lens, NEAR, Stand};
use super::file::Readings;
use super::library::Library;
use super::model::Model;
use super::pairs;
use super::parallel::in_parallel;
use crate::fault::Fault;
use std::sync::atomic::AtomicBool;

/// A closer look is taken where the likeliest kernel leaves the numbers this far off (squared deviations a number; two of
/// three single faults stay under it), where "none of these" has as much as this, or for a word as rare as this.
const FROM_DISTANCE: f64 = 1.0;
const FROM_NONE: f64 = 0.05;
const FROM_WORD: f64 = 0.02;
/// Causes that are looked at: the likeliest, down to this probability; from so many stands each.
const CAUSES: usize = 3;
const LEAST: f64 = 0.02;
const STANDS: usize = 4;
/// How much more may be left over where nothing of the catalogue is there, and in how many steps that is counted.
const MOST_LEFT: f64 = 100.0;
const SHARES: usize = 24;
/// Chance that nothing of the catalogue is there, of rigs that are worth a closer look (own).
const NONE: f64 = 0.02;
/// What a single severity that is found by searching costs beside kernels, which stand for all of them \[nats\] (own).
const SEARCHED: f64 = 4.0;
/// What a second severity costs: the share of all severities that readings leave it (own).
const SECOND_SEVERITY: f64 = 0.1;

/// Whether the first pass leaves so much open that a closer look is worth its time.
pub(super) fn wanted(model: &Model, weighed: &Weighed) -> bool {
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

/// Logarithm of how much likelier a distance is where nothing of the catalogue is there than under a true cause.
pub(super) fn log_doubt(distance: f64, readings: f64) -> f64 {
    let logs: Vec<f64> = (0..SHARES)
        .map(|k| {
            let c = MOST_LEFT.powf((k as f64 + 0.5) / SHARES as f64);
            0.5 * (distance * (1.0 - 1.0 / c) - readings * c.ln())
        })
        .collect();
    let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let sum: f64 = logs.iter().map(|l| (l - most).exp()).sum();
    most + (sum / SHARES as f64).ln()
}

/// A cause looked at: its place among the model's causes, how near it came.
struct Single {
    cause: usize,
    closest: Closest,
    /// What its nearest kernel leaves over, which holds where no search can be relied on.
    widely: f64,
}

impl Single {
    /// Of what it leaves over, what can be relied on.
    fn distance(&self) -> f64 {
        if self.closest.is_sure {
            self.closest.distance
        } else {
            self.closest.distance.min(self.widely)
        }
    }

    fn is_near(&self, count: f64) -> bool {
        self.closest.distance < NEAR * count
    }
}

/// What a second look adds to an answer.
pub(super) struct Again {
    /// Pairs of faults, likeliest first.
    pub(super) pairs: Vec<Pair>,
    /// What the nearest single cause leaves over, in squared deviations a reading.
    pub(super) left_over: f64,
}

/// Looks again, and moves the probabilities by what is seen.
pub(super) fn look_again(
    library: &Library,
    model: &Model,
    readings: &Readings,
    weighed: &mut Weighed,
    cancel: &AtomicBool,
) -> Option<Again> {
    let lens = Lens {
        library,
        model,
        evidence: &weighed.evidence,
        cancel,
    };
    let count = (weighed.evidence.numbers.len() + weighed.evidence.over.len()).max(1) as f64;
    let widely = nearest_kernels(&lens);
    let mut singles = singles(&lens, weighed, &widely);
    let reference = singles.first()?.distance();
    let mut pairs = Vec::new();
    if log_doubt(reference, count) > 0.0 {
        let candidates = pairs::find(library, model, readings, weighed, cancel);
        let looked = in_parallel(candidates.len(), |k| {
            let closest = lens.look(candidates[k].stands.iter().cloned())?;
            Some((candidates[k].faults, closest))
        });
        pairs.extend(looked.into_iter().flatten());
        pairs.sort_by(|a: &(_, Closest), b| a.1.distance.total_cmp(&b.1.distance));
        if let Some((_, pair)) = pairs.first() {
            let alone = alone(&lens, pair, &widely);
            singles.extend(alone);
        }
    }
    let least = singles.iter().map(Single::distance);
    let left_over = least.fold(f64::INFINITY, f64::min) / count;
    let pairs = weigh(model, weighed, &singles, &pairs, count);
    Some(Again { pairs, left_over })
}

/// What the nearest kernel of each cause leaves over.
fn nearest_kernels(lens: &Lens<'_>) -> Vec<f64> {
    let mut out = vec![f64::INFINITY; lens.model.causes.len()];
    let scores = lens.model.scores(lens.evidence);
    for (score, kernel) in scores.iter().zip(&lens.model.kernels) {
        let own = &mut out[kernel.cause];
        *own = own.min(score.distance);
    }
    out
}

/// The likeliest causes looked at, the likeliest of all first.
fn singles(lens: &Lens<'_>, weighed: &Weighed, widely: &[f64]) -> Vec<Single> {
    let p = &weighed.posterior;
    let mut order: Vec<usize> = (0..p.causes.len()).collect();
    order.sort_by(|&a, &b| p.causes[b].total_cmp(&p.causes[a]));
    order.truncate(CAUSES);
    let least = LEAST * (1.0 - p.none);
    let first = order.first().copied();
    order.retain(|&c| Some(c) == first || p.causes[c] >= least);
    let all = in_parallel(order.len(), |k| {
        let cause = order[k];
        let closest = lens.look(stands_of(lens, &p.kernels, cause).into_iter())?;
        Some(Single {
            cause,
            closest,
            widely: widely[cause],
        })
    });
    all.into_iter().flatten().collect()
}

/// Where the likeliest kernels of a cause stand.
fn stands_of(lens: &Lens<'_>, weights: &[f64], cause: usize) -> Vec<Stand> {
    let kernels = &lens.model.kernels;
    let mut of: Vec<usize> = (0..kernels.len())
        .filter(|&k| kernels[k].cause == cause)
        .collect();
    of.sort_by(|&a, &b| weights[b].total_cmp(&weights[a]));
    let stand = |k: usize| {
        let sample = &lens.library.samples[kernels[k].sample];
        Stand {
            faults: sample
                .fault
                .map(|f| (f, sample.severity))
                .into_iter()
                .collect(),
            unknowns: sample.unknowns,
            values: sample.values,
        }
    };
    of.into_iter().take(STANDS).map(stand).collect()
}

/// Each of a pair's faults alone, from where the pair stands: what one fault explains needs no second.
fn alone(lens: &Lens<'_>, pair: &Closest, widely: &[f64]) -> Vec<Single> {
    let faults = &pair.stand.faults;
    let seen = in_parallel(faults.len(), |k| {
        let stand = Stand {
            faults: vec![faults[k]],
            ..pair.stand.clone()
        };
        let of = |c: &Option<Fault>| *c == Some(faults[k].0);
        let cause = lens.model.causes.iter().position(of)?;
        let closest = lens.look(std::iter::once(stand))?;
        Some(Single {
            cause,
            closest,
            widely: widely[cause],
        })
    });
    seen.into_iter().flatten().collect()
}

/// Puts single causes, pairs and "none of these" together. All is counted against the cause that was likeliest before.
fn weigh(
    model: &Model,
    weighed: &mut Weighed,
    singles: &[Single],
    pairs: &[([Fault; 2], Closest)],
    count: f64,
) -> Vec<Pair> {
    let total: f64 = weighed.weights.iter().sum();
    let prior: Vec<f64> = weighed.weights.iter().map(|w| w / total).collect();
    let p = &mut weighed.posterior;
    let first = &singles[0];
    let (of_first, prior_of_first) = (p.causes[first.cause], prior[first.cause].max(1e-300));
    let temper = model.tuning.temper;
    // How likely something is that comes so near, against the likeliest cause.
    let against = |distance: f64, prior: f64| {
        let nearer = 0.5 * temper * (first.distance() - distance);
        (of_first * prior / prior_of_first).max(1e-300).ln() + nearer
    };
    let mut logs: Vec<f64> = p.causes.iter().map(|c| c.max(1e-300).ln()).collect();
    // While the likeliest is near, kernels know better how often each cause reads so.
    let is_off = first.distance() > NEAR * count;
    for one in singles[1..]
        .iter()
        .filter(|one| is_off && one.is_near(count))
    {
        let log = against(one.closest.distance, prior[one.cause]) - SEARCHED;
        logs[one.cause] = logs[one.cause].max(log);
    }
    let none = if model.tuning.may_be_none {
        let doubt = temper * log_doubt(first.distance(), count);
        let seen = (NONE * (1.0 - p.none)).max(1e-300).ln() + doubt;
        p.none.max(1e-300).ln().max(seen)
    } else {
        f64::NEG_INFINITY
    };
    let of_pairs: Vec<f64> = pairs
        .iter()
        .map(|(faults, closest)| {
            let both = pairs::prior_of(*faults, |f| {
                let c = model.causes.iter().position(|c| *c == Some(f));
                c.map_or(0.0, |c| prior[c])
            });
            against(closest.distance, both * SECOND_SEVERITY)
        })
        .collect();
    let all = logs.iter().chain(&of_pairs).copied();
    let most = all.fold(none, f64::max);
    let share = |log: f64| (log - most).exp();
    let all = logs.iter().chain(&of_pairs).map(|l| share(*l));
    let sum = all.sum::<f64>() + share(none);
    p.none = share(none) / sum;
    for (kernel, weight) in model.kernels.iter().zip(&mut p.kernels) {
        let was = p.causes[kernel.cause];
        *weight *= if was > 0.0 {
            share(logs[kernel.cause]) / sum / was
        } else {
            0.0
        };
    }
    for (cause, log) in p.causes.iter_mut().zip(&logs) {
        *cause = share(*log) / sum;
    }
    let pair = |((faults, closest), log): (&([Fault; 2], Closest), &f64)| Pair {
        faults: *faults,
        name: faults.map(Fault::name).join(" and "),
        probability: share(*log) / sum,
        severities: [0, 1].map(|k| closest.stand.faults.get(k).map_or(0.0, |f| f.1)),
        left_over: closest.distance / count,
    };
    let mut out: Vec<Pair> = pairs.iter().zip(&of_pairs).map(pair).collect();
    out.sort_by(|a, b| b.probability.total_cmp(&a.probability));
    out
}

#[cfg(test)]
mod tests {
    use super::log_doubt;

    #[test]
    fn what_instruments_leave_over_is_no_doubt_and_twice_as_much_is() {
        for count in [4.0, 30.0] {
            assert!(log_doubt(count, count) < 0.0);
            let logs: Vec<f64> = (1..200).map(|k| log_doubt(f64::from(k), count)).collect();
            assert!(logs.windows(2).all(|w| w[1] > w[0]), "more is more");
            assert!(log_doubt(1e6, count).is_finite());
        }
        assert!(log_doubt(70.0, 30.0) > 4.0 && log_doubt(44.0, 30.0) < 1.0);
    }
}
