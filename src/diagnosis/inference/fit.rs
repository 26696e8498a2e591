//! What the samples of one cause teach: how each reading goes with severity (straight between
//! knots), the linear effect of the unknowns on it (itself changing with severity), and what is
//! left over.
//!
//! Ridge least squares on the scaled axes: `y = f(s) + J(s) z + q (z_air² - 1) + r`, J straight between places too.
//! The prior means of J and q are the healthy rig's, and what the unknowns do at one place they mostly do at the next, so
//! that a cause with few samples borrows from the healthy rig and one with many speaks for itself.

use crate::diagnosis::library::unknowns::{AIR, UNKNOWNS, Unknowns};
use crate::visit::{ALL, NUMBERS, Values};
use nalgebra::DMatrix;

/// Knots of f at most.
const KNOTS: usize = 9;
/// Places in severity at which the effect of the unknowns is learned: what they do to a bad case says little of a mild one.
const PLACES: usize = 5;
/// A residual over this many robust deviations counts as this many.
const CLIP: f64 = 5.0;

/// Half the width of severity over which a slope is taken.
const SIDE: f64 = 0.02;

/// Numbers on their scaled axes.
pub type Row = [f64; NUMBERS];

/// One sample as a fit sees it.
#[derive(Debug, Clone, Copy)]
pub struct Point {
    /// Severity.
    pub severity: f64,
    /// Unknowns.
    pub unknowns: Unknowns,
    /// Numbers, scaled.
    pub numbers: Row,
}

/// Numbers of a set of values on their scaled axes.
pub fn scaled(values: &Values) -> Row {
    std::array::from_fn(|i| ALL[i].scaled(values[i].unwrap_or(0.0)))
}

/// Uncertainty of an item at its usual value, on the scaled axis.
pub fn usual_uncertainty(i: usize) -> f64 {
    ALL[i].usual_uncertainty()
}

/// The square of the air temperature's draw, less its mean.
fn square(unknowns: &Unknowns) -> f64 {
    unknowns.0[AIR].powi(2) - 1.0
}

/// Sum of the rows' products with themselves.
pub(in crate::diagnosis) fn squares(rows: impl Iterator<Item = Row>) -> DMatrix<f64> {
    let columns: Vec<f64> = rows.flatten().collect();
    let rows = DMatrix::from_vec(NUMBERS, columns.len() / NUMBERS, columns);
    &rows * rows.transpose()
}

/// How much a cause borrows from the healthy rig.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Borrowed {
    /// Weight of the priors of J0 and J1, in samples.
    pub ridge: (f64, f64),
    /// Samples that a knot of f needs.
    pub knot_samples: usize,
}

impl Default for Borrowed {
    fn default() -> Self {
        Self {
            ridge: (3.0, 6.0),
            knot_samples: 4,
        }
    }
}

/// The fit of a cause.
#[derive(Debug, Clone)]
pub struct Fit {
    knots: Vec<f64>,
    levels: Vec<Row>,
    /// J at places evenly apart in severity, straight between them; of a healthy rig one.
    jacobians: Vec<DMatrix<f64>>,
    /// Bend with the air temperature: what its square, less one, adds.
    bend: Row,
    /// What it says of each sample, in their order.
    pub seen: Vec<Seen>,
}

/// What a fit says of a sample.
#[derive(Debug, Clone, Copy)]
pub struct Seen {
    /// What the unknowns do to it, straight.
    effect: Row,
    /// What is left over.
    pub left_over: Row,
}

impl Fit {
    /// Fits samples; `healthy` is the effect of the unknowns on a healthy rig, once it is known, with the weight that
    /// it has in samples and those that a knot needs.
    pub fn new(points: &[Point], healthy: Option<(&Fit, Borrowed)>) -> Self {
        let with_severity = healthy.is_some();
        let borrowed = healthy.map_or(Borrowed::default(), |h| h.1);
        let healthy = healthy.map(|h| h.0);
        let count = if with_severity {
            (points.len() / borrowed.knot_samples).clamp(1, KNOTS)
        } else {
            1
        };
        let low = points.iter().map(|p| p.severity).fold(1.0, f64::min);
        let knots: Vec<f64> = (0..count)
            .map(|k| low + (1.0 - low) * k as f64 / (count - 1).max(1) as f64)
            .collect();
        let zero = || DMatrix::zeros(NUMBERS, UNKNOWNS);
        let places = if with_severity { PLACES } else { 1 };
        let usual = healthy.map_or_else(zero, |h| h.jacobians[0].clone());
        let mut fit = Self {
            levels: vec![[0.0; NUMBERS]; count],
            knots,
            jacobians: vec![usual; places],
            bend: healthy.map_or([0.0; NUMBERS], |h| h.bend),
            seen: Vec::new(),
        };
        if !points.is_empty() {
            fit.solve(points, borrowed.ridge);
        }
        let seen = |p: &Point| {
            let effect = fit.effect(p.severity, &p.unknowns);
            let level = fit.level(p.severity);
            let square = square(&p.unknowns);
            let left = |i: usize| p.numbers[i] - (level[i] + effect[i] + fit.bend[i] * square);
            Seen {
                effect,
                left_over: std::array::from_fn(left),
            }
        };
        fit.seen = points.iter().map(seen).collect();
        fit
    }

    fn solve(&mut self, points: &[Point], ridge: (f64, f64)) {
        let k = self.knots.len();
        let places = self.jacobians.len();
        let bend = k + UNKNOWNS * places;
        let width = bend + 1;
        let mut normal = DMatrix::zeros(width, width);
        let mut right = DMatrix::zeros(width, NUMBERS);
        // Samples between the same two places have no part in the columns of the others.
        for place in 0..places.max(2) - 1 {
            let between = |p: &&Point| self.place_before(p.severity) == place;
            let of: Vec<&Point> = points.iter().filter(between).collect();
            let (first, last) = (k + UNKNOWNS * place, k + UNKNOWNS * places.min(place + 2));
            let columns: Vec<usize> = (0..k).chain(first..last).chain([bend]).collect();
            let (x, y) = self.equations(&of, place, columns.len());
            let (squares, sides) = (&x * x.transpose(), &x * y.transpose());
            for (a, &c) in columns.iter().enumerate() {
                for (b, &r) in columns.iter().enumerate() {
                    normal[(r, c)] += squares[(b, a)];
                }
                for i in 0..NUMBERS {
                    right[(c, i)] += sides[(a, i)];
                }
            }
        }
        for c in 0..width {
            normal[(c, c)] += if c < k { 1e-6 } else { ridge.0 / places as f64 };
        }
        // What the unknowns do at one severity they mostly do at the next.
        for c in k + UNKNOWNS..bend {
            let before = c - UNKNOWNS;
            normal[(c, c)] += ridge.1;
            normal[(before, before)] += ridge.1;
            normal[(c, before)] -= ridge.1;
        }
        // Neighbouring knots hold each other where a stretch has no samples.
        for c in 1..k {
            normal[(c, c)] += 0.05;
            normal[(c - 1, c - 1)] += 0.05;
            normal[(c, c - 1)] -= 0.05;
        }
        let Some(solved) = normal.cholesky().map(|l| l.solve(&right)) else {
            return;
        };
        for i in 0..NUMBERS {
            for c in 0..k {
                self.levels[c][i] = solved[(c, i)];
            }
            for (place, jacobian) in self.jacobians.iter_mut().enumerate() {
                for c in 0..UNKNOWNS {
                    jacobian[(i, c)] += solved[(k + place * UNKNOWNS + c, i)];
                }
            }
            self.bend[i] += solved[(bend, i)];
        }
    }

    /// The equations of samples between a place and the next, a column each: its parts in the knots, in the effect of the
    /// unknowns at both places and in the bend; and its numbers, less what is known before.
    fn equations(&self, of: &[&Point], place: usize, rows: usize) -> (DMatrix<f64>, DMatrix<f64>) {
        let (mut x, mut y) = (Vec::new(), Vec::new());
        for p in of {
            x.extend((0..self.knots.len()).map(|c| self.hat(c, p.severity)));
            for at in place..self.jacobians.len().min(place + 2) {
                let share = self.share_of(at, p.severity);
                x.extend(p.unknowns.0.map(|z| share * z));
            }
            let square = square(&p.unknowns);
            x.push(square);
            // Before it is solved for, J is the same at all severities.
            let known = self.effect(0.0, &p.unknowns);
            y.extend((0..NUMBERS).map(|i| p.numbers[i] - known[i] - self.bend[i] * square));
        }
        let n = of.len();
        (
            DMatrix::from_vec(rows, n, x),
            DMatrix::from_vec(NUMBERS, n, y),
        )
    }

    fn hat(&self, knot: usize, severity: f64) -> f64 {
        let n = self.knots.len();
        if n == 1 {
            return 1.0;
        }
        let gap = (self.knots[n - 1] - self.knots[0]).max(1e-9) / (n - 1) as f64;
        let at = ((severity - self.knots[0]) / gap).clamp(0.0, (n - 1) as f64);
        (1.0 - (at - knot as f64).abs()).max(0.0)
    }

    /// Reading at a severity without any surprise.
    pub fn level(&self, severity: f64) -> Row {
        let mut out = [0.0; NUMBERS];
        for (k, level) in self.levels.iter().enumerate() {
            let hat = self.hat(k, severity);
            if hat == 0.0 {
                continue;
            }
            for i in 0..NUMBERS {
                out[i] += hat * level[i];
            }
        }
        out
    }

    /// How readings go with severity there, on the scaled axes.
    pub fn slope(&self, severity: f64) -> Row {
        let (low, high) = ((severity - SIDE).max(0.0), (severity + SIDE).min(1.0));
        let (from, to) = (self.level(low), self.level(high));
        std::array::from_fn(|i| (to[i] - from[i]) / (high - low))
    }

    /// Without what is left over of the samples, which only the making of kernels needs.
    #[must_use]
    pub(in crate::diagnosis) fn lightened(mut self) -> Self {
        self.seen = Vec::new();
        self
    }

    /// How much of J at a place counts at a severity.
    fn share_of(&self, place: usize, severity: f64) -> f64 {
        let last = self.jacobians.len() - 1;
        (1.0 - (severity * last as f64 - place as f64).abs()).max(0.0)
    }

    /// The place before a severity that another follows.
    fn place_before(&self, severity: f64) -> usize {
        let last = self.jacobians.len() - 1;
        ((severity * last as f64) as usize).min(last.saturating_sub(1))
    }

    /// Effect of the unknowns at a severity.
    pub fn jacobian(&self, severity: f64) -> DMatrix<f64> {
        let mut out = DMatrix::zeros(NUMBERS, UNKNOWNS);
        for (place, jacobian) in self.jacobians.iter().enumerate() {
            let share = self.share_of(place, severity);
            if share > 0.0 {
                out += jacobian * share;
            }
        }
        out
    }

    fn effect(&self, severity: f64, unknowns: &Unknowns) -> Row {
        let mut out = [0.0; NUMBERS];
        for (place, jacobian) in self.jacobians.iter().enumerate() {
            let share = self.share_of(place, severity);
            if share == 0.0 {
                continue;
            }
            // Column by column: that is how the matrices lie in memory.
            let columns = jacobian.as_slice().chunks_exact(NUMBERS);
            for (column, z) in columns.zip(unknowns.0) {
                let z = share * z;
                for (o, j) in out.iter_mut().zip(column) {
                    *o += j * z;
                }
            }
        }
        out
    }

    /// What is expected at a severity under some unknowns.
    pub fn mean(&self, severity: f64, unknowns: &Unknowns) -> Row {
        let (level, effect) = (self.level(severity), self.effect(severity, unknowns));
        let square = square(unknowns);
        std::array::from_fn(|i| level[i] + effect[i] + self.bend[i] * square)
    }

    /// What takes one of its samples the share `away` of the way back to no surprise at all; the square's
    /// mean stays what it is over the draws, so that it goes by 1 - (1 - away)².
    pub fn toward(&self, sample: usize, unknowns: &Unknowns, away: f64) -> Row {
        let effect = &self.seen[sample].effect;
        let square = (1.0 - (1.0 - away).powi(2)) * square(unknowns);
        std::array::from_fn(|i| away * effect[i] + self.bend[i] * square)
    }

    /// Ends of the stretches between knots.
    pub fn stretches(&self) -> Vec<(f64, f64)> {
        if self.knots.len() < 2 {
            return vec![(self.knots.first().copied().unwrap_or(0.0), 1.0)];
        }
        self.knots.windows(2).map(|w| (w[0], w[1])).collect()
    }

    /// Covariance of some of what is left over, single wild ones clipped.
    pub fn left_over(&self, of: &[usize]) -> DMatrix<f64> {
        let mut limits = [0.0; NUMBERS];
        for (i, limit) in limits.iter_mut().enumerate() {
            let mut sizes: Vec<f64> = of
                .iter()
                .map(|&s| self.seen[s].left_over[i].abs())
                .collect();
            let half = sizes.len() / 2;
            let middle = if sizes.is_empty() {
                0.0
            } else {
                *sizes.select_nth_unstable_by(half, f64::total_cmp).1
            };
            *limit = CLIP * 1.48 * middle.max(0.05 * usual_uncertainty(i));
        }
        let clipped = |s: &usize| {
            let left = &self.seen[*s].left_over;
            std::array::from_fn(|i| left[i].clamp(-limits[i], limits[i]))
        };
        squares(of.iter().map(clipped)) / of.len().max(1) as f64
    }
}
