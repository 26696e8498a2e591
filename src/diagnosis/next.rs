//! The best next test: how much it is expected to tell per minute of work, among the tests that
//! are safe in the state the readings show.
//!
//! Expected information gain: draw outcomes of the test from the present mixture, and take the
//! mean fall of the entropy over groups of causes (bits). Everything comes from the library.

use super::conditional::{Conditionals, Foretold};
use super::evidence::{Evidence, cholesky, forward};
use super::isolate::Groups;
use super::model::Model;
use super::parallel::in_parallel;
use super::posterior::Posterior;
use super::random::Random;
use super::reading::{NUMBERS, Test, Values};
use super::safety::Danger;
use serde::Serialize;

/// Draws of the mixture that stand for it.
const PARTICLES: usize = 120;
/// A gain under this is nothing \[bits\].
const LEAST_BITS: f64 = 0.01;

/// A test that could be made next.
#[derive(Debug, Clone, Serialize)]
pub struct NextTest {
    /// Which.
    pub test: Test,
    /// In words.
    pub words: &'static str,
    /// Expected information \[bits\].
    pub bits: f64,
    /// Minutes of work.
    pub minutes: f64,
    /// Which causes it would separate.
    pub reason: String,
    /// The caution that belongs to it.
    pub caution: &'static str,
}

struct Particle {
    group: usize,
    numbers: [Foretold; NUMBERS],
    kernel: usize,
}

/// Entropy \[bits\] of weights that need not sum to 1.
pub fn entropy(weights: &[f64]) -> f64 {
    let sum: f64 = weights.iter().sum();
    if sum <= 0.0 {
        return 0.0;
    }
    weights
        .iter()
        .filter(|w| **w > 0.0)
        .map(|w| -(w / sum) * (w / sum).log2())
        .sum()
}

/// Ranks the tests that have not been made and are safe.
pub fn rank(
    model: &Model,
    groups: &Groups,
    values: &Values,
    evidence: &Evidence,
    posterior: &Posterior,
    danger: Danger,
) -> Vec<NextTest> {
    let conditionals = Conditionals::new(model, evidence);
    let particles = draw(model, groups, posterior, &conditionals);
    if particles.is_empty() {
        return Vec::new();
    }
    let tests: Vec<Test> = Test::ALL
        .into_iter()
        .filter(|t| danger.allows(*t))
        .collect();
    let mut out: Vec<NextTest> = in_parallel(tests.len(), |t| {
        let test = tests[t];
        let items: Vec<usize> = test.items().filter(|&i| values[i].is_none()).collect();
        if items.is_empty() {
            return None;
        }
        let (bits, pair) = gain(model, groups, &conditionals, &particles, &items);
        (bits >= LEAST_BITS).then(|| NextTest {
            test,
            words: test.words(),
            bits,
            minutes: test.minutes(),
            reason: reason(groups, pair),
            caution: test.caution(),
        })
    })
    .into_iter()
    .flatten()
    .collect();
    out.sort_by(|a, b| (b.bits / b.minutes).total_cmp(&(a.bits / a.minutes)));
    out
}

fn draw(
    model: &Model,
    groups: &Groups,
    posterior: &Posterior,
    conditionals: &Conditionals<'_>,
) -> Vec<Particle> {
    let total: f64 = posterior.kernels.iter().sum();
    if total <= 0.0 {
        return Vec::new();
    }
    // Systematic resampling: even steps through the cumulated weights.
    let mut out: Vec<Particle> = Vec::with_capacity(PARTICLES);
    let (mut sum, mut taken) = (0.0, 0);
    for (k, w) in posterior.kernels.iter().enumerate() {
        sum += w / total;
        while taken < PARTICLES && (taken as f64 + 0.5) / PARTICLES as f64 <= sum {
            taken += 1;
            out.push(Particle {
                group: groups.of[model.kernels[k].cause],
                numbers: conditionals.foretell(&model.kernels[k]),
                kernel: k,
            });
        }
    }
    out
}

/// Expected fall of the entropy, and the two groups it moves apart most.
fn gain(
    model: &Model,
    groups: &Groups,
    conditionals: &Conditionals<'_>,
    particles: &[Particle],
    items: &[usize],
) -> (f64, Option<(usize, usize)>) {
    let numbers: Vec<usize> = items.iter().copied().filter(|&i| i < NUMBERS).collect();
    let n = numbers.len();
    // The factor of each stretch that a particle comes from, and half its log-determinant.
    let mut factors: Vec<Option<(Vec<f64>, f64)>> = vec![None; model.stretches.len()];
    for p in particles {
        let stretch = model.kernels[p.kernel].stretch;
        factors[stretch].get_or_insert_with(|| {
            let l = cholesky(&conditionals.of(stretch).covariance(&numbers), n);
            let half: f64 = (0..n).map(|i| l[i * n + i].ln()).sum();
            (l, half)
        });
    }
    let factor = |p: &Particle| factors[model.kernels[p.kernel].stretch].as_ref();
    let words: Vec<usize> = items.iter().copied().filter(|&i| i >= NUMBERS).collect();
    let count = groups.names.len();
    let mut prior = vec![0.0; count];
    particles.iter().for_each(|p| prior[p.group] += 1.0);
    let before = entropy(&prior);
    let mut random = Random::new(7, items.len() as u64);
    let mut after = 0.0;
    let mut apart = vec![0.0; count * count];
    let (mut y, mut x) = (vec![0.0; n], vec![0.0; n]);
    for p in particles {
        let Some((l, _)) = factor(p) else { continue };
        let noise: Vec<f64> = (0..n).map(|_| random.normal()).collect();
        for r in 0..n {
            let spread: f64 = (0..=r).map(|c| l[r * n + c] * noise[c]).sum();
            y[r] = p.numbers[numbers[r]].mean + spread;
        }
        let mut logs: Vec<f64> = particles
            .iter()
            .map(|q| {
                let Some((l, half)) = factor(q) else {
                    return f64::NEG_INFINITY;
                };
                for r in 0..n {
                    x[r] = y[r] - q.numbers[numbers[r]].mean;
                }
                forward(l, n, &mut x);
                let d: f64 = x.iter().map(|v| v * v).sum();
                let nu = model.tuning.tails;
                let mut log = -half - 0.5 * (nu + n as f64) * (d / nu).ln_1p();
                for &i in &words {
                    let seen = usize::from(model.kernels[p.kernel].words[i - NUMBERS]);
                    log += model
                        .word(&model.kernels[q.kernel], i, seen)
                        .max(1e-12)
                        .ln();
                }
                model.tuning.temper * log
            })
            .collect();
        let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        logs.iter_mut().for_each(|l| *l = (*l - most).exp());
        let mut weights = vec![0.0; count];
        for (q, w) in particles.iter().zip(&logs) {
            weights[q.group] += w;
        }
        after += entropy(&weights);
        let own = weights[p.group];
        for g in 0..count {
            if g != p.group && prior[g] > 0.0 {
                // How far the odds of the true group over this one have moved.
                let odds = own / (own + weights[g]) - prior[p.group] / (prior[p.group] + prior[g]);
                let key = p.group.min(g) * count + p.group.max(g);
                apart[key] += odds.max(0.0) * prior[g] / particles.len() as f64;
            }
        }
    }
    let best = (0..apart.len())
        .max_by(|&a, &b| apart[a].total_cmp(&apart[b]))
        .filter(|&k| apart[k] > 0.0)
        .map(|k| (k / count, k % count));
    ((before - after / particles.len() as f64).max(0.0), best)
}

fn reason(groups: &Groups, pair: Option<(usize, usize)>) -> String {
    match pair {
        Some((a, b)) => format!("would tell {} from {}", groups.names[a], groups.names[b]),
        None => "would narrow down the list".to_owned(),
    }
}
