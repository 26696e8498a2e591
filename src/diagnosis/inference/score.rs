//! Scores: how probable the readings of a visit are under every kernel of the likelihood.

use super::evidence::{Evidence, cholesky, forward, upper_tail};
use super::model::{DOUBT, Kernel, Model};
use crate::diagnosis::library::words::{self, MOST_WORDS};
use crate::visit::NUMBERS;

/// No word is less likely than this: something is always mistaken.
pub(super) const LEAST_CHANCE: f64 = 1e-12;

/// A word that comes by less is a mistake for what was there.
const SHOWN: f64 = 0.3;

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

/// What make a rig is taken to be of.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Make {
    /// Any: what hangs on the make is open.
    Any,
    /// The one that was simulated.
    Simulated,
}

impl Score {
    /// One or the other, with even chances.
    fn or(self, other: Self) -> Self {
        let (more, less) = if self.log < other.log {
            (other, self)
        } else {
            (self, other)
        };
        Self {
            log: more.log + ((less.log - more.log).exp() / 2.0 + 0.5).ln(),
            ..more
        }
    }
}

impl Model {
    /// Covariance of the kernels of a stretch over the numbers measured.
    pub(in crate::diagnosis) fn covariance(&self, evidence: &Evidence, stretch: usize) -> Vec<f64> {
        self.covariance_on(evidence, stretch, Make::Any)
    }

    fn covariance_on(&self, evidence: &Evidence, stretch: usize, make: Make) -> Vec<f64> {
        let n = evidence.numbers.len();
        let own = &self.stretches[stretch];
        let mut c = vec![0.0; n * n];
        for (r, &(i, _, var)) in evidence.numbers.iter().enumerate() {
            for (s, &(j, _, _)) in evidence.numbers.iter().enumerate() {
                c[r * n + s] = match make {
                    Make::Any => own.spread[(i, j)],
                    Make::Simulated => own.spread[(i, j)] - own.of_any(i, j),
                };
            }
            c[r * n + r] += var;
        }
        c
    }

    /// Half the logarithm of the determinant of the healthy rig's covariance, of the make that was simulated.
    pub(in crate::diagnosis) fn log_det(&self, evidence: &Evidence) -> f64 {
        let n = evidence.numbers.len();
        let l = cholesky(&self.covariance_on(evidence, 0, Make::Simulated), n);
        (0..n).map(|i| l[i * n + i].ln()).sum()
    }

    /// Chance of seeing a word of an item under a kernel.
    pub(in crate::diagnosis) fn word(&self, kernel: &Kernel, item: usize, seen: usize) -> f64 {
        let k = item - NUMBERS;
        let own = words::chance(item, seen, usize::from(kernel.words[k]));
        let (blur, blurred) = self.blurred(kernel.stretch, item, seen, Make::Any);
        (1.0 - blur) * own + blur * blurred
    }

    /// Log-chances of every word that may be seen of an item under a kernel.
    pub(in crate::diagnosis) fn word_logs_of(
        &self,
        kernel: &Kernel,
        item: usize,
    ) -> [f64; MOST_WORDS] {
        std::array::from_fn(|seen| self.word(kernel, item, seen).max(LEAST_CHANCE).ln())
    }

    /// Share of a kernel's word that is not its sample's, and the chance of a word there: that of its stretch, and of what
    /// hangs on the make the healthy rig's.
    fn blurred(&self, stretch: usize, item: usize, seen: usize, make: Make) -> (f64, f64) {
        let own = &self.stretches[stretch];
        let (blur, of) = match make {
            Make::Any if own.doubtful[item] => (DOUBT, &self.stretches[0]),
            _ => (own.blur, own),
        };
        let shares = &of.shares[item - NUMBERS];
        let chance = (0..MOST_WORDS)
            .map(|w| shares[w] * words::chance(item, seen, w))
            .sum();
        (blur, chance)
    }

    /// Whether any visit shows a word, or too few visits stand behind the model to say so: a hum is in the list of sounds, and
    /// no cause makes one.
    pub(in crate::diagnosis) fn knows(&self, item: usize, seen: usize) -> bool {
        let Some(k) = item.checked_sub(NUMBERS) else {
            return true;
        };
        !self.tuning.may_be_none
            || self
                .kernels
                .iter()
                .any(|kernel| words::chance(item, seen, usize::from(kernel.words[k])) > SHOWN)
    }

    /// Scores every kernel of the model.
    pub fn scores(&self, evidence: &Evidence) -> Vec<Score> {
        self.scores_of(evidence, &self.kernels)
    }

    /// Scores kernels. Where something that was read hangs on the make, a rig is with even chances of the make that was
    /// simulated: one unknown of the rig, so that a cause with many such items loses no more to its look-alikes.
    pub(in crate::diagnosis) fn scores_of(
        &self,
        evidence: &Evidence,
        kernels: &[Kernel],
    ) -> Vec<Score> {
        let mut out = Vec::with_capacity(kernels.len());
        for run in kernels.chunk_by(|a, b| a.stretch == b.stretch) {
            let stretch = run[0].stretch;
            let from = out.len();
            self.score_run(evidence, run, Make::Any, &mut out);
            if self.hangs_on_make(evidence, stretch) {
                let mut simulated = Vec::with_capacity(run.len());
                self.score_run(evidence, run, Make::Simulated, &mut simulated);
                for (any, own) in out[from..].iter_mut().zip(simulated) {
                    *any = any.or(own);
                }
            }
        }
        out
    }

    /// Whether anything that was read is doubtful for a stretch.
    fn hangs_on_make(&self, evidence: &Evidence, stretch: usize) -> bool {
        let own = &self.stretches[stretch];
        let numbers = evidence.numbers.iter().map(|n| n.0);
        let over = evidence.over.iter().map(|n| n.0);
        let words = evidence.words.iter().map(|w| w.0);
        let is_of_make = |i: usize| i < NUMBERS && own.makes.iter().any(|way| way[i] != 0.0);
        let mut all = numbers.chain(over).chain(words);
        all.any(|i| own.doubtful[i] || is_of_make(i))
    }

    /// Scores kernels of one stretch.
    fn score_run(&self, evidence: &Evidence, run: &[Kernel], make: Make, out: &mut Vec<Score>) {
        let n = evidence.numbers.len();
        let nu = self.tuning.tails;
        let power = self.tuning.power(n);
        let stretch = run[0].stretch;
        let l = cholesky(&self.covariance_on(evidence, stretch, make), n);
        let log_det: f64 = (0..n).map(|i| l[i * n + i].ln()).sum();
        let logs = self.word_logs(evidence, stretch, make);
        let open = &self.stretches[stretch];
        let mut x = vec![0.0; n];
        for kernel in run {
            for (r, &(i, y, _)) in evidence.numbers.iter().enumerate() {
                x[r] = y - kernel.centre[i];
            }
            forward(&l, n, &mut x);
            let distance: f64 = x.iter().map(|v| v * v).sum();
            let mut log = -log_det - 0.5 * (nu + n as f64) * (distance / nu).ln_1p();
            for &(i, end, var) in &evidence.over {
                let own = match make {
                    Make::Any => open.spread[(i, i)],
                    Make::Simulated => open.spread[(i, i)] - open.of_any(i, i),
                };
                let chance = upper_tail((end - kernel.centre[i]) / (own + var).sqrt());
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
                log: power * log + self.tuning.words * words,
                distance,
                words,
            });
        }
    }

    /// For every word noted, its log-chance under each word that a kernel of a stretch may have.
    fn word_logs(&self, evidence: &Evidence, stretch: usize, make: Make) -> Vec<[f64; MOST_WORDS]> {
        let of = |&(i, seen): &(usize, usize)| {
            let (blur, blurred) = self.blurred(stretch, i, seen, make);
            std::array::from_fn(|w| {
                let chance = (1.0 - blur) * words::chance(i, seen, w) + blur * blurred;
                chance.max(LEAST_CHANCE).ln()
            })
        };
        evidence.words.iter().map(of).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::Score;

    #[test]
    fn a_make_of_its_own_costs_at_most_half() {
        let score = |log| Score {
            log,
            distance: -log,
            words: 0.0,
        };
        for (one, other) in [(-3.0, -3.0), (-3.0, -900.0), (-900.0, -3.0), (-3.0, -4.0)] {
            let both = score(one).or(score(other));
            let most = f64::max(one, other);
            assert!(both.log <= most && both.log >= most - std::f64::consts::LN_2);
            assert_eq!(
                both.distance, -most,
                "what is left over is that of the likelier"
            );
        }
    }
}
