//! Likelihood: how probable a set of readings is under each cause, from the library.
//!
//! Every sample of the library is a kernel. On the scaled axes of [`super::reading`] it stands at
//! `m_i = y_i - (1 - a) J z_i` with covariance
//! `C_i = h² J J' + R + F + g (d d' of its two neighbours in severity)`, a² + h² = 1: the known
//! linear effect J of the unknowns z is kept as a direction of the kernel instead of as scatter
//! of the samples (J by regression over the healthy samples), R is the instruments' noise at the
//! values read, F a floor for what the cheap runs leave out, and the last term bridges the gap to
//! the neighbouring severities. The tails are Student's, not normal, because a real rig is never
//! quite the model. Words have error rates. Items that were not measured are left out, which for
//! a kernel of this kind is exact.

use super::library::{HEALTHY_SHARE, Library, Sample};
use super::reading::{ALL, BUBBLES, ITEMS, Kind, NUMBERS, Values};
use super::unknowns::UNKNOWNS;
use crate::fault::Fault;
use crate::units::{PA_PER_INWC, PA_PER_PSI};
use nalgebra::{DMatrix, DVector};

/// Tunables, found on validation cases of another seed than the figures of the documentation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tuning {
    /// h: share of the unknowns' spread that is the kernel's own.
    pub own: f64,
    /// g: weight of the gaps to the neighbours.
    pub gap: f64,
    /// Degrees of freedom of the tails.
    pub tails: f64,
    /// Floor in units of an instrument's uncertainty.
    pub floor: f64,
}

impl Default for Tuning {
    fn default() -> Self {
        Self {
            own: 0.9,
            gap: 0.3,
            tails: 12.0,
            floor: 0.3,
        }
    }
}

/// A fault that shows in less than this share of its severities hides.
pub const HIDES: f64 = 0.1;
/// Chance that leak fluid is read as it answers (practice); else a little more or less.
pub const BUBBLES_RIGHT: f64 = 0.97;
/// Chance that another word is right (practice): whether a burner lights is hard to mistake.
pub const WORD_RIGHT: f64 = 0.99;

/// Chance of seeing word `seen` where `truly` is right.
pub fn word_chance(kind: Kind, seen: usize, truly: usize) -> f64 {
    let Kind::Words(words) = kind else { return 1.0 };
    if words == BUBBLES {
        // Bubbles are mistaken for a little more or less, hardly ever for much.
        let wrong = 1.0 - BUBBLES_RIGHT;
        let likeness = |k: usize| match k.abs_diff(truly) {
            1 => 1.0,
            _ => 0.1,
        };
        let others: f64 = (0..words.len()).filter(|&k| k != truly).map(likeness).sum();
        return if seen == truly {
            BUBBLES_RIGHT
        } else {
            wrong * likeness(seen) / others
        };
    }
    if seen == truly {
        WORD_RIGHT
    } else {
        (1.0 - WORD_RIGHT) / (words.len() as f64 - 1.0)
    }
}

/// One sample as a kernel.
#[derive(Debug, Clone)]
pub struct Kernel {
    /// Index of its cause.
    pub cause: usize,
    /// Index of its sample in the library.
    pub sample: usize,
    /// Its severity.
    pub severity: f64,
    /// Centre on the scaled axes.
    pub centre: [f64; NUMBERS],
    /// Gaps to the neighbours.
    pub gaps: [[f64; NUMBERS]; 2],
    /// Words predicted.
    pub words: [u8; ITEMS - NUMBERS],
}

/// The likelihood made from a library.
#[derive(Debug, Clone)]
pub struct Model {
    /// Causes; the first is healthy.
    pub causes: Vec<Option<Fault>>,
    /// Kernels, cause by cause.
    pub kernels: Vec<Kernel>,
    /// How many kernels each cause has.
    pub counts: Vec<usize>,
    /// Share of each cause's samples that show anything.
    pub shown: Vec<f64>,
    /// J J' on the scaled axes.
    pub unknowns: DMatrix<f64>,
    healthy: Regression,
    healthy_words: Vec<[u8; ITEMS - NUMBERS]>,
    /// Tunables.
    pub tuning: Tuning,
}

/// Uncertainty of an item at its usual value, on the scaled axis.
pub(super) fn usual_uncertainty(i: usize) -> f64 {
    match ALL[i].kind {
        Kind::Low => 0.1 * PA_PER_INWC,
        Kind::Change => 0.07 * PA_PER_INWC,
        Kind::Middle => 0.15 * PA_PER_PSI,
        Kind::High => 2.0 * PA_PER_PSI,
        Kind::Air => 1.0,
        Kind::Fill => 0.04,
        Kind::Words(_) => 0.0,
    }
}

fn scaled(values: &Values) -> [f64; NUMBERS] {
    std::array::from_fn(|i| ALL[i].scaled(values[i].unwrap_or(0.0)))
}

fn words(values: &Values) -> [u8; ITEMS - NUMBERS] {
    std::array::from_fn(|k| values[NUMBERS + k].unwrap_or(0.0) as u8)
}

/// What the healthy samples teach: readings without any surprise, the linear effect of the
/// unknowns on them, and what is left over.
#[derive(Debug, Clone)]
struct Regression {
    jacobian: DMatrix<f64>,
    centre: [f64; NUMBERS],
    variance: [f64; NUMBERS],
    largest: [f64; NUMBERS],
}

/// Least squares with a little ridge; outliers (a limiter that tripped) are left out in a second pass.
fn regress(samples: &[&Sample]) -> Regression {
    let ys: Vec<[f64; NUMBERS]> = samples.iter().map(|s| scaled(&s.values)).collect();
    let mut keep: Vec<[bool; NUMBERS]> = vec![[true; NUMBERS]; samples.len()];
    let mut jacobian = DMatrix::zeros(NUMBERS, UNKNOWNS);
    let mut centre = [0.0; NUMBERS];
    let (mut variance, mut largest) = ([0.0; NUMBERS], [0.0; NUMBERS]);
    for _pass in 0..3 {
        for i in 0..NUMBERS {
            let used: Vec<usize> = (0..samples.len()).filter(|&s| keep[s][i]).collect();
            let x = DMatrix::from_fn(used.len(), UNKNOWNS + 1, |r, c| {
                if c == UNKNOWNS {
                    1.0
                } else {
                    samples[used[r]].unknowns.0[c]
                }
            });
            let y = DVector::from_fn(used.len(), |r, _| ys[used[r]][i]);
            let mut normal = x.transpose() * &x;
            for c in 0..UNKNOWNS {
                normal[(c, c)] += 2.0;
            }
            let Some(fit) = normal.cholesky().map(|l| l.solve(&(x.transpose() * y))) else {
                continue;
            };
            for c in 0..UNKNOWNS {
                jacobian[(i, c)] = fit[c];
            }
            centre[i] = fit[UNKNOWNS];
            let residual = |s: usize| {
                let z = &samples[s].unknowns.0;
                ys[s][i] - centre[i] - (0..UNKNOWNS).map(|c| fit[c] * z[c]).sum::<f64>()
            };
            let mut sizes: Vec<f64> = (0..samples.len()).map(|s| residual(s).abs()).collect();
            sizes.sort_by(f64::total_cmp);
            let limit = (6.0 * sizes[sizes.len() / 2]).max(3.0 * usual_uncertainty(i));
            for (s, k) in keep.iter_mut().enumerate() {
                k[i] = residual(s).abs() <= limit;
            }
            let kept: Vec<f64> = sizes.into_iter().filter(|&r| r <= limit).collect();
            let free = (kept.len() as f64 - UNKNOWNS as f64 - 1.0).max(3.0);
            variance[i] = kept.iter().map(|r| r * r).sum::<f64>() / free;
            largest[i] = kept.last().copied().unwrap_or(0.0);
        }
    }
    Regression {
        jacobian,
        centre,
        variance,
        largest,
    }
}

impl Model {
    /// Makes the likelihood. `None` while the library has not one healthy sample.
    pub fn new(library: &Library, tuning: Tuning) -> Option<Self> {
        let causes = library.causes();
        let healthy: Vec<&Sample> = library
            .samples
            .iter()
            .filter(|s| s.fault.is_none())
            .collect();
        if healthy.len() < HEALTHY_SHARE {
            return None;
        }
        let regression = regress(&healthy);
        let mut model = Self {
            unknowns: &regression.jacobian * regression.jacobian.transpose(),
            healthy: regression,
            healthy_words: healthy.iter().map(|s| words(&s.values)).collect(),
            kernels: Vec::new(),
            counts: vec![0; causes.len()],
            shown: vec![1.0; causes.len()],
            causes,
            tuning,
        };
        for c in 0..model.causes.len() {
            let fault = model.causes[c];
            let mut of_cause: Vec<(usize, &Sample)> = library
                .samples
                .iter()
                .enumerate()
                .filter(|(_, s)| s.fault == fault && s.second.is_none())
                .collect();
            let all = of_cause.len();
            if fault.is_some() {
                of_cause.retain(|(_, s)| model.shows(s));
            }
            model.shown[c] = of_cause.len() as f64 / all.max(1) as f64;
            // What hardly ever shows is no cause: its few samples that seem to show are odd
            // healthy ones, and would call healthy rigs faulty.
            if model.shown[c] >= HIDES {
                model.add(c, &mut of_cause);
            }
        }
        Some(model)
    }

    /// Linear effect of a sample's unknowns on the scaled axes.
    fn effect(&self, sample: &Sample) -> [f64; NUMBERS] {
        std::array::from_fn(|i| {
            (0..UNKNOWNS)
                .map(|c| self.healthy.jacobian[(i, c)] * sample.unknowns.0[c])
                .sum()
        })
    }

    /// Whether a sample differs from a healthy rig under the same unknowns by more than three
    /// uncertainties in any number and more than any healthy sample does, or in a word that
    /// healthy rigs hardly ever show: what does not is no complaint yet.
    pub fn shows(&self, sample: &Sample) -> bool {
        let (y, effect) = (scaled(&sample.values), self.effect(sample));
        let number = (0..NUMBERS).any(|i| {
            let expected = self.healthy.centre[i] + effect[i];
            let one = usual_uncertainty(i) * ALL[i].slope(ALL[i].unscaled(expected));
            // The inlet at full load falls by itself where the limiter trips as the burners light.
            let fickle = ALL[i].table == "full_load" && ALL[i].key == "inlet";
            !fickle && (y[i] - expected).abs() > (3.0 * one).max(1.2 * self.healthy.largest[i])
        });
        let seen = words(&sample.values);
        let rare = 0.04 * self.healthy_words.len() as f64;
        number
            || (0..seen.len()).any(|k| {
                let same = self.healthy_words.iter().filter(|w| w[k] == seen[k]);
                (same.count() as f64) < rare
            })
    }

    /// A kernel of its own from values under known unknowns, for causes outside the library.
    pub(super) fn kernel_of(&self, sample: &Sample) -> Kernel {
        let (y, e) = (scaled(&sample.values), self.effect(sample));
        let away = 1.0 - (1.0 - self.tuning.own.powi(2)).sqrt();
        Kernel {
            cause: 0,
            sample: 0,
            severity: sample.severity,
            centre: std::array::from_fn(|i| y[i] - away * e[i]),
            gaps: [[0.0; NUMBERS]; 2],
            words: words(&sample.values),
        }
    }

    /// Two kernels laid over each other: what both change adds up on the scaled axes, and a word
    /// that either changes is changed. A first guess at a pair of faults, for choosing which pairs
    /// to simulate.
    pub(super) fn superposed(&self, a: &Kernel, b: &Kernel) -> Kernel {
        let usual = |k: usize| {
            let mut votes = [0; 8];
            for w in &self.healthy_words {
                votes[usize::from(w[k]).min(7)] += 1;
            }
            (0..8).max_by_key(|&w| votes[w]).unwrap_or(0) as u8
        };
        Kernel {
            centre: std::array::from_fn(|i| a.centre[i] + b.centre[i] - self.healthy.centre[i]),
            words: std::array::from_fn(|k| {
                if b.words[k] == usual(k) {
                    a.words[k]
                } else {
                    b.words[k]
                }
            }),
            gaps: [a.gaps[0], b.gaps[0]],
            ..a.clone()
        }
    }

    fn add(&mut self, cause: usize, samples: &mut [(usize, &Sample)]) {
        samples.sort_by(|a, b| a.1.severity.total_cmp(&b.1.severity));
        let away = 1.0 - (1.0 - self.tuning.own.powi(2)).sqrt();
        let free: Vec<[f64; NUMBERS]> = samples
            .iter()
            .map(|(_, s)| {
                let (y, e) = (scaled(&s.values), self.effect(s));
                std::array::from_fn(|i| y[i] - e[i])
            })
            .collect();
        let n = samples.len();
        for (k, (index, s)) in samples.iter().enumerate() {
            let effect = self.effect(s);
            let neighbour =
                |j: usize| -> [f64; NUMBERS] { std::array::from_fn(|i| free[j][i] - free[k][i]) };
            let gaps = if self.causes[cause].is_none() || n < 2 {
                [[0.0; NUMBERS]; 2]
            } else {
                [
                    neighbour(k.checked_sub(1).unwrap_or(1)),
                    neighbour(if k + 1 < n { k + 1 } else { n - 2 }),
                ]
            };
            self.kernels.push(Kernel {
                cause,
                sample: *index,
                severity: s.severity,
                centre: std::array::from_fn(|i| free[k][i] + (1.0 - away) * effect[i]),
                gaps,
                words: words(&s.values),
            });
        }
        self.counts[cause] = n;
    }
}

/// Readings taken, ready for the likelihood.
#[derive(Debug, Clone)]
pub struct Evidence {
    /// Which numbers were measured, and their scaled values and variances.
    pub numbers: Vec<(usize, f64, f64)>,
    /// Which words were noted.
    pub words: Vec<(usize, usize)>,
}

impl Evidence {
    /// From values and, where given, uncertainties in SI.
    pub fn new(values: &Values, uncertainties: &Values, floor: f64) -> Self {
        let mut out = Self {
            numbers: Vec::new(),
            words: Vec::new(),
        };
        for (i, value) in values.iter().enumerate() {
            let Some(v) = *value else { continue };
            if i >= NUMBERS {
                out.words.push((i, v as usize));
                continue;
            }
            let item = &ALL[i];
            let one = uncertainties[i].unwrap_or_else(|| item.uncertainty(v));
            let scaled = one * item.slope(v);
            let least = floor * usual_uncertainty(i) * item.slope(v).max(0.3);
            out.numbers
                .push((i, item.scaled(v), scaled * scaled + least * least));
        }
        out
    }
}

/// Lower triangle of the Cholesky factor of a symmetric matrix, row by row.
pub(super) fn cholesky(matrix: &[f64], n: usize) -> Vec<f64> {
    let mut l = matrix.to_vec();
    for i in 0..n {
        for j in 0..=i {
            let mut sum = l[i * n + j];
            for k in 0..j {
                sum -= l[i * n + k] * l[j * n + k];
            }
            l[i * n + j] = if i == j {
                sum.max(1e-12).sqrt()
            } else {
                sum / l[j * n + j]
            };
        }
    }
    l
}

/// Solves L x = b in place.
pub(super) fn forward(l: &[f64], n: usize, b: &mut [f64]) {
    for i in 0..n {
        let mut sum = b[i];
        for k in 0..i {
            sum -= l[i * n + k] * b[k];
        }
        b[i] = sum / l[i * n + i];
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// What the likelihood says of one kernel.
#[derive(Debug, Clone, Copy)]
pub struct Score {
    /// Logarithm of its density, common constants left out.
    pub log: f64,
    /// Squared distance in standard deviations.
    pub distance: f64,
}

impl Model {
    /// Variance of a number that is the instrument's and the model's own, at its usual value.
    pub(super) fn own_variance(&self, i: usize) -> f64 {
        let one = usual_uncertainty(i);
        one * one * (1.0 + self.tuning.floor.powi(2)) + self.healthy.variance[i]
    }

    /// Covariance common to all kernels over the numbers measured.
    pub(super) fn common(&self, evidence: &Evidence) -> Vec<f64> {
        let n = evidence.numbers.len();
        let own = self.tuning.own.powi(2);
        let mut c = vec![0.0; n * n];
        for (r, &(i, _, var)) in evidence.numbers.iter().enumerate() {
            for (s, &(j, _, _)) in evidence.numbers.iter().enumerate() {
                c[r * n + s] = own * self.unknowns[(i, j)];
            }
            c[r * n + r] += var + self.healthy.variance[i];
        }
        c
    }

    /// Half the logarithm of the determinant of the common covariance.
    pub(super) fn log_det(&self, evidence: &Evidence) -> f64 {
        let n = evidence.numbers.len();
        let l = cholesky(&self.common(evidence), n);
        (0..n).map(|i| l[i * n + i].ln()).sum()
    }

    /// Scores every kernel of the model.
    pub fn scores(&self, evidence: &Evidence) -> Vec<Score> {
        self.scores_of(evidence, &self.kernels)
    }

    /// Scores kernels.
    pub(super) fn scores_of(&self, evidence: &Evidence, kernels: &[Kernel]) -> Vec<Score> {
        let n = evidence.numbers.len();
        let l = cholesky(&self.common(evidence), n);
        let log_det: f64 = (0..n).map(|i| l[i * n + i].ln()).sum();
        let (mut x, mut a, mut b) = (vec![0.0; n], vec![0.0; n], vec![0.0; n]);
        let (nu, g) = (self.tuning.tails, self.tuning.gap);
        kernels
            .iter()
            .map(|kernel| {
                for (r, &(i, y, _)) in evidence.numbers.iter().enumerate() {
                    x[r] = y - kernel.centre[i];
                    a[r] = kernel.gaps[0][i];
                    b[r] = kernel.gaps[1][i];
                }
                forward(&l, n, &mut x);
                forward(&l, n, &mut a);
                forward(&l, n, &mut b);
                // Two rank-one updates (Sherman-Morrison) in the whitened space.
                let aa = 1.0 + g * dot(&a, &a);
                let (xa, ba) = (dot(&x, &a), dot(&b, &a));
                let bb = 1.0 + g * (dot(&b, &b) - g * ba * ba / aa);
                let xb = dot(&x, &b) - g * xa * ba / aa;
                let distance = dot(&x, &x) - g * xa * xa / aa - g * xb * xb / bb;
                let half_log_det = log_det + 0.5 * (aa * bb).ln();
                let mut log =
                    -half_log_det - 0.5 * (nu + n as f64) * (distance.max(0.0) / nu).ln_1p();
                for &(i, seen) in &evidence.words {
                    let truly = usize::from(kernel.words[i - NUMBERS]);
                    log += word_chance(ALL[i].kind, seen, truly).ln();
                }
                Score { log, distance }
            })
            .collect()
    }
}
