//! Scores: how probable the readings of a visit are under every kernel of the likelihood.

use super::evidence::{Evidence, cholesky, forward, upper_tail};
use super::model::{DOUBT, Kernel, Model};
use crate::diagnosis::library::words::{self, MOST_WORDS};
use crate::visit::NUMBERS;

/// No word is less likely than this: something is always mistaken.
const LEAST_CHANCE: f64 = 1e-12;

/// What the likelihood says of one kernel.
#[derive(Debug, Clone, Copy)]
pub struct Score {
    /// Logarithm of its density, common constants left out.
    pub log: f64,
    /// Squared distance in standard deviations.
    pub distance: f64,
    /// Of the logarithm, what words make.
    pub words: f64,
}

impl Model {
    /// Covariance of the kernels of a stretch over the numbers measured.
    pub(in crate::diagnosis) fn covariance(&self, evidence: &Evidence, stretch: usize) -> Vec<f64> {
        let n = evidence.numbers.len();
        let spread = &self.stretches[stretch].spread;
        let mut c = vec![0.0; n * n];
        for (r, &(i, _, var)) in evidence.numbers.iter().enumerate() {
            for (s, &(j, _, _)) in evidence.numbers.iter().enumerate() {
                c[r * n + s] = spread[(i, j)];
            }
            c[r * n + r] += var;
        }
        c
    }

    /// Half the logarithm of the determinant of the healthy rig's covariance.
    pub(in crate::diagnosis) fn log_det(&self, evidence: &Evidence) -> f64 {
        let n = evidence.numbers.len();
        let l = cholesky(&self.covariance(evidence, 0), n);
        (0..n).map(|i| l[i * n + i].ln()).sum()
    }

    /// Chance of seeing a word of an item under a kernel.
    pub(in crate::diagnosis) fn word(&self, kernel: &Kernel, item: usize, seen: usize) -> f64 {
        let k = item - NUMBERS;
        let own = words::chance(item, seen, usize::from(kernel.words[k]));
        let blur = self.blur(kernel.stretch, item);
        (1.0 - blur) * own + blur * self.blurred(kernel.stretch, item, seen)
    }

    /// Log-chances of every word that may be seen of an item under a kernel.
    pub(in crate::diagnosis) fn word_logs_of(
        &self,
        kernel: &Kernel,
        item: usize,
    ) -> [f64; MOST_WORDS] {
        std::array::from_fn(|seen| self.word(kernel, item, seen).max(LEAST_CHANCE).ln())
    }

    /// Share of a kernel's word that is its stretch's, and of what hangs on the make the healthy rig's.
    fn blur(&self, stretch: usize, item: usize) -> f64 {
        if self.stretches[stretch].doubtful[item] {
            DOUBT
        } else {
            self.stretches[stretch].blur
        }
    }

    fn blurred(&self, stretch: usize, item: usize, seen: usize) -> f64 {
        let of = if self.stretches[stretch].doubtful[item] {
            0
        } else {
            stretch
        };
        let shares = &self.stretches[of].shares[item - NUMBERS];
        (0..MOST_WORDS)
            .map(|w| shares[w] * words::chance(item, seen, w))
            .sum()
    }

    /// Scores every kernel of the model.
    pub fn scores(&self, evidence: &Evidence) -> Vec<Score> {
        self.scores_of(evidence, &self.kernels)
    }

    /// Scores kernels.
    pub(in crate::diagnosis) fn scores_of(
        &self,
        evidence: &Evidence,
        kernels: &[Kernel],
    ) -> Vec<Score> {
        let n = evidence.numbers.len();
        let nu = self.tuning.tails;
        let mut x = vec![0.0; n];
        let mut out = Vec::with_capacity(kernels.len());
        for run in kernels.chunk_by(|a, b| a.stretch == b.stretch) {
            let stretch = run[0].stretch;
            let l = cholesky(&self.covariance(evidence, stretch), n);
            let log_det: f64 = (0..n).map(|i| l[i * n + i].ln()).sum();
            let logs = self.word_logs(evidence, stretch);
            let spread = &self.stretches[stretch].spread;
            for kernel in run {
                for (r, &(i, y, _)) in evidence.numbers.iter().enumerate() {
                    x[r] = y - kernel.centre[i];
                }
                forward(&l, n, &mut x);
                let distance: f64 = x.iter().map(|v| v * v).sum();
                let mut log = -log_det - 0.5 * (nu + n as f64) * (distance / nu).ln_1p();
                for &(i, end, var) in &evidence.over {
                    let deviation = (spread[(i, i)] + var).sqrt();
                    let chance = upper_tail((end - kernel.centre[i]) / deviation);
                    log += chance.max(1e-6).ln();
                }
                for told in &evidence.told {
                    log += told.log(&kernel.words);
                }
                let seen = evidence.words.iter().zip(&logs);
                let words: f64 = seen
                    .map(|(&(i, _), logs)| logs[usize::from(kernel.words[i - NUMBERS])])
                    .sum();
                out.push(Score {
                    log: self.tuning.temper * log + self.tuning.words * words,
                    distance,
                    words,
                });
            }
        }
        out
    }

    /// For every word noted, its log-chance under each word that a kernel of a stretch may have.
    fn word_logs(&self, evidence: &Evidence, stretch: usize) -> Vec<[f64; MOST_WORDS]> {
        evidence
            .words
            .iter()
            .map(|&(i, seen)| {
                let blur = self.blur(stretch, i);
                let blurred = blur * self.blurred(stretch, i, seen);
                std::array::from_fn(|w| {
                    ((1.0 - blur) * words::chance(i, seen, w) + blurred)
                        .max(LEAST_CHANCE)
                        .ln()
                })
            })
            .collect()
    }
}
