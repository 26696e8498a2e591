//! What is expected of one item when the others are known: the Gaussian part of a kernel,
//! conditioned.
//!
//! With r the residuals of the measured numbers and P the inverse of their covariance, the value
//! of number j as the others foretell it is `x_j - (P r)_j / P_jj` with variance `1 / P_jj`; a
//! number not measured is foretold by `C_jM P r`.

use super::evidence::Evidence;
use super::fit::usual_uncertainty;
use super::model::{Kernel, Model};
use crate::visit::NUMBERS;
use nalgebra::{DMatrix, DVector};
use std::sync::OnceLock;

/// What the evidence's pattern fixes once for all kernels of a stretch.
#[derive(Clone)]
pub struct Conditional {
    measured: Vec<(usize, f64)>,
    precision: DMatrix<f64>,
    /// Gain from measured residuals to all numbers.
    gain: DMatrix<f64>,
    /// Covariance of all numbers when the measured ones are known.
    rest: DMatrix<f64>,
}

/// A number foretold, on its scaled axis.
#[derive(Debug, Clone, Copy)]
pub struct Foretold {
    /// Mean.
    pub mean: f64,
    /// Variance.
    pub variance: f64,
}

impl Conditional {
    /// For a set of readings and a stretch of severity.
    pub fn new(model: &Model, evidence: &Evidence, stretch: usize) -> Self {
        let n = evidence.numbers.len();
        let common = DMatrix::from_vec(n, n, model.covariance(evidence, stretch));
        let precision = common
            .cholesky()
            .map_or_else(|| DMatrix::identity(n, n), |l| l.inverse());
        let spread = &model.stretches[stretch].spread;
        let floor = 1.0 + model.tuning.floor.powi(2);
        let all = |i: usize, j: usize| {
            let one = if i == j { usual_uncertainty(i) } else { 0.0 };
            spread[(i, j)] + one * one * floor
        };
        let cross = DMatrix::from_fn(NUMBERS, n, |i, c| spread[(i, evidence.numbers[c].0)]);
        let gain = &cross * &precision;
        let rest = DMatrix::from_fn(NUMBERS, NUMBERS, all) - &gain * cross.transpose();
        Self {
            measured: evidence.numbers.iter().map(|&(i, y, _)| (i, y)).collect(),
            precision,
            gain,
            rest,
        }
    }

    fn residuals(&self, kernel: &Kernel) -> DVector<f64> {
        DVector::from_iterator(
            self.measured.len(),
            self.measured.iter().map(|&(i, y)| y - kernel.centre[i]),
        )
    }

    /// Every number as a kernel foretells it from the other readings.
    pub fn foretell(&self, kernel: &Kernel) -> [Foretold; NUMBERS] {
        let r = self.residuals(kernel);
        let pr = &self.precision * &r;
        let moved = &self.gain * &r;
        let mut out: [Foretold; NUMBERS] = std::array::from_fn(|i| Foretold {
            mean: kernel.centre[i] + moved[i],
            variance: self.rest[(i, i)].max(1e-9),
        });
        for (c, &(i, y)) in self.measured.iter().enumerate() {
            let p = self.precision[(c, c)].max(1e-12);
            out[i] = Foretold {
                mean: y - pr[c] / p,
                variance: 1.0 / p,
            };
        }
        out
    }

    /// Covariance of some numbers that were not measured, the measured ones known.
    pub fn covariance(&self, items: &[usize]) -> Vec<f64> {
        let n = items.len();
        let mut c = vec![0.0; n * n];
        for (r, &i) in items.iter().enumerate() {
            for (s, &j) in items.iter().enumerate() {
                c[r * n + s] = self.rest[(i, j)];
            }
        }
        c
    }
}

/// Conditionals of the stretches that are asked for, each made once.
pub struct Conditionals<'a> {
    model: &'a Model,
    evidence: &'a Evidence,
    of: Vec<OnceLock<Conditional>>,
}

impl<'a> Conditionals<'a> {
    /// None made yet.
    pub fn new(model: &'a Model, evidence: &'a Evidence) -> Self {
        Self {
            model,
            evidence,
            of: vec![OnceLock::new(); model.stretches.len()],
        }
    }

    /// That of a stretch.
    pub fn of(&self, stretch: usize) -> &Conditional {
        self.of[stretch].get_or_init(|| Conditional::new(self.model, self.evidence, stretch))
    }

    /// Every number as a kernel foretells it from the other readings.
    pub fn foretell(&self, kernel: &Kernel) -> [Foretold; NUMBERS] {
        self.of(kernel.stretch).foretell(kernel)
    }
}

/// A mixture of foretold values: mean and deviation.
pub fn mixed(parts: &[(f64, Foretold)]) -> (f64, f64) {
    let sum: f64 = parts.iter().map(|p| p.0).sum::<f64>().max(1e-300);
    let mean = parts.iter().map(|(w, f)| w * f.mean).sum::<f64>() / sum;
    let square = parts
        .iter()
        .map(|(w, f)| w * (f.variance + (f.mean - mean).powi(2)))
        .sum::<f64>()
        / sum;
    (mean, square.sqrt())
}

/// Logarithm of a mixture's density at `y`, in units of `one` per uncertainty, and never under e⁻¹²
/// of it: no single reading decides beyond reason.
pub fn log_density(parts: &[(f64, Foretold)], y: f64, one: f64) -> f64 {
    let sum: f64 = parts.iter().map(|p| p.0).sum::<f64>().max(1e-300);
    let density: f64 = parts
        .iter()
        .map(|(w, f)| {
            let d = (y - f.mean).powi(2) / f.variance;
            w / sum * (-0.5 * d).exp() / (std::f64::consts::TAU * f.variance).sqrt()
        })
        .sum();
    (density * one + (-12.0_f64).exp()).ln()
}
