//! From likelihoods to probabilities: Bayes' rule over causes, "none of these" among them.

use super::evidence::Evidence;
use super::model::Model;
use crate::diagnosis::files::account::Told;
use crate::fault::Family;
use crate::visit::{ALL, Scale};

/// Prior probability of "none of these" (invented).
pub const NONE_PRIOR: f64 = 0.01;
/// Share of its kernels that usually stand near a case.
const NEAR_SHARE: f64 = 0.05;

/// Probabilities after the readings.
#[derive(Debug, Clone)]
pub struct Posterior {
    /// Of each cause of the model.
    pub causes: Vec<f64>,
    /// Of none of these.
    pub none: f64,
    /// Of each kernel.
    pub kernels: Vec<f64>,
    /// Logarithm of the whole: all causes and none together.
    pub evidence: f64,
    /// Smallest squared distance of a kernel per number measured.
    pub nearest: f64,
}

/// Share of what goes wrong at an appliance that the catalogue has (own): it names a few parts, and as many others do the same.
const LISTED_AT_AN_APPLIANCE: f64 = 0.7;

impl Posterior {
    /// The same with what the catalogue leaves out beside what it has: where a cause of an appliance is likely, so is one that is in no
    /// list.
    #[must_use]
    pub fn with_unlisted(&self, model: &Model) -> Self {
        let mut out = self.clone();
        if !model.tuning.may_be_none {
            return out;
        }
        let of_appliance: Vec<bool> = model
            .causes
            .iter()
            .map(|c| c.is_some_and(|f| f.entry().family == Family::Appliance))
            .collect();
        for (cause, _) in of_appliance.iter().enumerate().filter(|(_, is)| **is) {
            out.none += (1.0 - LISTED_AT_AN_APPLIANCE) * out.causes[cause];
            out.causes[cause] *= LISTED_AT_AN_APPLIANCE;
        }
        for (kernel, weight) in model.kernels.iter().zip(&mut out.kernels) {
            if of_appliance[kernel.cause] {
                *weight *= LISTED_AT_AN_APPLIANCE;
            }
        }
        out
    }
}

/// Bayes' rule. `prior` holds a weight for each cause of the model.
pub fn posterior(model: &Model, evidence: &Evidence, prior: &[f64]) -> Posterior {
    let scores = model.scores(evidence);
    let total: f64 = prior
        .iter()
        .zip(&model.counts)
        .filter(|(_, n)| **n > 0)
        .map(|(p, _)| p)
        .sum();
    let mut logs: Vec<f64> = scores
        .iter()
        .zip(&model.kernels)
        .map(|(s, k)| {
            let share = prior[k.cause] / total * (1.0 - NONE_PRIOR) / model.counts[k.cause] as f64;
            s.log + share.max(1e-300).ln()
        })
        .collect();
    let n = evidence.numbers.len() as f64;
    let nu = model.tuning.tails;
    let words: f64 = evidence
        .words
        .iter()
        .map(|&(i, _)| match ALL[i].kind {
            Scale::Words(w) => -(w.len() as f64).ln(),
            _ => 0.0,
        })
        .sum();
    // A reading over a range is a coin to what is not known.
    let over = -(evidence.over.len() as f64) * std::f64::consts::LN_2;
    let told = evidence.told.iter().map(Told::log_of_unknown);
    let beside = over + told.sum::<f64>();
    let det = model.log_det(evidence);
    let far = -det - 0.5 * (nu + n) * (model.tuning.none_distance * n / nu).ln_1p() + beside;
    let none_log = if model.tuning.may_be_none {
        model.tuning.power(evidence.numbers.len()) * far
            + model.tuning.words * words
            + (NONE_PRIOR * NEAR_SHARE).ln()
    } else {
        f64::NEG_INFINITY
    };
    let most = logs.iter().copied().fold(none_log, f64::max);
    logs.iter_mut().for_each(|l| *l = (*l - most).exp());
    let none = (none_log - most).exp();
    let sum = none + logs.iter().sum::<f64>();
    logs.iter_mut().for_each(|l| *l /= sum);
    let mut causes = vec![0.0; model.causes.len()];
    for (k, w) in model.kernels.iter().zip(&logs) {
        causes[k.cause] += w;
    }
    Posterior {
        causes,
        none: none / sum,
        kernels: logs,
        evidence: most + sum.ln(),
        nearest: scores
            .iter()
            .map(|s| s.distance)
            .fold(f64::INFINITY, f64::min)
            / n.max(1.0),
    }
}
