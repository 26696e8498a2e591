//! What was measured, on the scaled axes with its variance, and the small linear algebra that the
//! likelihood is made of.

use super::fit::usual_uncertainty;
use crate::diagnosis::files::account::Told;
use crate::diagnosis::files::readings::Readings;
use crate::diagnosis::library::unknowns::Unknowns;
use crate::visit::{ALL, NUMBERS, Values};

/// Readings taken, ready for the likelihood.
#[derive(Debug, Clone)]
pub struct Evidence {
    /// Which numbers were measured, and their scaled values and variances.
    pub numbers: Vec<(usize, f64, f64)>,
    /// Which words were noted.
    pub words: Vec<(usize, usize)>,
    /// Numbers that lie over the range of their instrument: its end, scaled, and the variance.
    pub over: Vec<(usize, f64, f64)>,
    /// What was told besides.
    pub(in crate::diagnosis) told: Vec<Told>,
}

impl Evidence {
    /// From values and, where given, uncertainties in SI.
    pub fn new(values: &Values, uncertainties: &Values, floor: f64) -> Self {
        let mut out = Self {
            numbers: Vec::new(),
            words: Vec::new(),
            over: Vec::new(),
            told: Vec::new(),
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

impl Evidence {
    /// From the readings of a file: what lies over a range says only that.
    pub fn of(readings: &Readings, floor: f64) -> Self {
        let mut out = Self::new(&readings.values, &readings.uncertainties, floor);
        // Where a rig stands speaks for no cause and against none: a place as few visits were made at counts as its edge.
        for (i, scaled, variance) in &mut out.numbers {
            let value = ALL[*i].unscaled(*scaled);
            let beyond = Unknowns::beyond(ALL[*i].id, value) * ALL[*i].slope(value);
            *variance += beyond * beyond;
        }
        let (over, inside) = out
            .numbers
            .into_iter()
            .partition(|&(i, ..)| readings.over[i]);
        (out.over, out.numbers) = (over, inside);
        let beside = &readings.beside;
        out.told.extend(beside.complaint.map(Told::from));
        out.told.extend(beside.smell.map(Told::from));
        out
    }
}

impl Evidence {
    /// Takes a number as known by so much less \[SI, one deviation\], where it was read.
    pub(in crate::diagnosis) fn widen(&mut self, item: usize, by: f64) {
        for (_, scaled, variance) in self.numbers.iter_mut().filter(|n| n.0 == item) {
            let by = by * ALL[item].slope(ALL[item].unscaled(*scaled));
            *variance += by * by;
        }
    }
}

/// Chance that a normal number lies over its mean by more than `z` deviations: the logistic curve that is nearest
/// (published: within 0.01 of the normal one).
pub(in crate::diagnosis) fn upper_tail(z: f64) -> f64 {
    1.0 / (1.0 + (1.702 * z).exp())
}

/// Lower triangle of the Cholesky factor of a symmetric matrix, row by row.
pub(in crate::diagnosis) fn cholesky(matrix: &[f64], n: usize) -> Vec<f64> {
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
pub(in crate::diagnosis) fn forward(l: &[f64], n: usize, b: &mut [f64]) {
    for i in 0..n {
        let mut sum = b[i];
        for k in 0..i {
            sum -= l[i * n + k] * b[k];
        }
        b[i] = sum / l[i * n + i];
    }
}
