//! What a set of items would show, drawn from kernels, and how the drawn outcome then weighs groups of causes. Not
//! here: what is made of it (`next`, `alike`).

use super::conditional::{Conditionals, Foretold};
use super::evidence::{cholesky, forward};
use super::isolate::Groups;
use super::model::Model;
use crate::diagnosis::library::random::Random;
use crate::diagnosis::library::words::{self, MOST_WORDS};
use crate::visit::NUMBERS;

/// A kernel that stands for its share of the mixture.
pub(in crate::diagnosis) struct Particle {
    /// Group of its cause.
    pub(in crate::diagnosis) group: usize,
    numbers: [Foretold; NUMBERS],
    kernel: usize,
}

/// So many particles of the kernels that `weights` give, by even steps through the weights summed up.
pub(in crate::diagnosis) fn draw(
    model: &Model,
    groups: &Groups,
    weights: impl Iterator<Item = (usize, f64)> + Clone,
    conditionals: &Conditionals<'_>,
    count: usize,
) -> Vec<Particle> {
    let total: f64 = weights.clone().map(|(_, w)| w).sum();
    if total <= 0.0 {
        return Vec::new();
    }
    let mut out: Vec<Particle> = Vec::with_capacity(count);
    let (mut sum, mut taken) = (0.0, 0);
    for (k, w) in weights {
        sum += w / total;
        while taken < count && (taken as f64 + 0.5) / count as f64 <= sum {
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

/// Scatter of what is foretold in a stretch.
struct Factor {
    /// Lower triangle of the Cholesky factor, row by row.
    lower: Vec<f64>,
    half_log_det: f64,
}

impl Factor {
    fn new(covariance: &[f64], n: usize) -> Self {
        let lower = cholesky(covariance, n);
        let half_log_det = (0..n).map(|i| lower[i * n + i].ln()).sum();
        Self {
            lower,
            half_log_det,
        }
    }
}

/// Draws one outcome of `items` from each particle and gives `take` the particle and the weights of all groups
/// after that outcome, every particle having weighed the same before.
pub(in crate::diagnosis) fn outcomes(
    model: &Model,
    groups: &Groups,
    conditionals: &Conditionals<'_>,
    particles: &[Particle],
    items: &[usize],
    take: &mut dyn FnMut(&Particle, &[f64]),
) {
    let numbers: Vec<usize> = items.iter().copied().filter(|&i| i < NUMBERS).collect();
    let n = numbers.len();
    // A factor for each stretch that a particle comes from, and every particle's means freed of its scatter.
    let mut places: Vec<Option<usize>> = vec![None; model.stretches.len()];
    let mut factors: Vec<Factor> = Vec::new();
    let of: Vec<usize> = particles
        .iter()
        .map(|p| {
            let stretch = model.kernels[p.kernel].stretch;
            *places[stretch].get_or_insert_with(|| {
                factors.push(Factor::new(
                    &conditionals.of(stretch).covariance(&numbers),
                    n,
                ));
                factors.len() - 1
            })
        })
        .collect();
    let mut means = vec![0.0; n * particles.len()];
    for (k, p) in particles.iter().enumerate() {
        let mean = &mut means[n * k..n * (k + 1)];
        for (m, &i) in mean.iter_mut().zip(&numbers) {
            *m = p.numbers[i].mean;
        }
        forward(&factors[of[k]].lower, n, mean);
    }
    let words: Vec<usize> = items.iter().copied().filter(|&i| i >= NUMBERS).collect();
    // For every particle and word, the log-chance of whatever may be seen.
    let chances: Vec<Vec<[f64; MOST_WORDS]>> = particles
        .iter()
        .map(|q| {
            let of = |&i: &usize| model.word_logs_of(&model.kernels[q.kernel], i);
            words.iter().map(of).collect()
        })
        .collect();
    let mut random = Random::new(7, items.len() as u64);
    let nu = model.tuning.tails;
    let mut drawn = vec![0.0; n];
    let mut freed = vec![0.0; n * factors.len()];
    for (k, p) in particles.iter().enumerate() {
        let noise: Vec<f64> = (0..n).map(|_| random.normal()).collect();
        let lower = &factors[of[k]].lower;
        for r in 0..n {
            let spread: f64 = (0..=r).map(|c| lower[r * n + c] * noise[c]).sum();
            drawn[r] = p.numbers[numbers[r]].mean + spread;
        }
        for (f, factor) in factors.iter().enumerate() {
            let out = &mut freed[n * f..n * (f + 1)];
            out.copy_from_slice(&drawn);
            forward(&factor.lower, n, out);
        }
        let seen: Vec<usize> = words
            .iter()
            .map(|&i| words::said(usize::from(model.kernels[p.kernel].words[i - NUMBERS])))
            .collect();
        let mut logs: Vec<f64> = chances
            .iter()
            .enumerate()
            .map(|(q, chances)| {
                let own = &freed[n * of[q]..n * (of[q] + 1)];
                let mean = &means[n * q..n * (q + 1)];
                let d: f64 = own.iter().zip(mean).map(|(y, m)| (y - m).powi(2)).sum();
                let half = factors[of[q]].half_log_det;
                let numbers = -half - 0.5 * (nu + n as f64) * (d / nu).ln_1p();
                let words: f64 = chances.iter().zip(&seen).map(|(logs, &w)| logs[w]).sum();
                model.tuning.power(n) * numbers + model.tuning.words * words
            })
            .collect();
        let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        logs.iter_mut().for_each(|l| *l = (*l - most).exp());
        let mut weights = vec![0.0; groups.names.len()];
        for (q, w) in particles.iter().zip(&logs) {
            weights[q.group] += w;
        }
        take(p, &weights);
    }
}
