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
    // For every particle and word, the log-chance of whatever may be seen.
    let chances: Vec<Vec<[f64; MOST_WORDS]>> = particles
        .iter()
        .map(|q| {
            let of = |&i: &usize| model.word_logs_of(&model.kernels[q.kernel], i);
            words.iter().map(of).collect()
        })
        .collect();
    let mut random = Random::new(7, items.len() as u64);
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
            .zip(&chances)
            .map(|(q, chances)| {
                let Some((l, half)) = factor(q) else {
                    return f64::NEG_INFINITY;
                };
                for r in 0..n {
                    x[r] = y[r] - q.numbers[numbers[r]].mean;
                }
                forward(l, n, &mut x);
                let d: f64 = x.iter().map(|v| v * v).sum();
                let nu = model.tuning.tails;
                let numbers = -half - 0.5 * (nu + n as f64) * (d / nu).ln_1p();
                let mut seen = 0.0;
                for (&i, logs) in words.iter().zip(chances) {
                    let truly = model.kernels[p.kernel].words[i - NUMBERS];
                    seen += logs[words::said(usize::from(truly))];
                }
                model.tuning.temper * numbers + model.tuning.words * seen
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
