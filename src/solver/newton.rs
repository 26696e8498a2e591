//! The equation of a stiff step, y = base + psi + c f(t, y) with y = base + d, by Newton's iterations with a matrix
//! that is kept as long as it serves. Not here: what psi and c are (`multistep`, `one_step`).

use super::lu::Factors;
use super::run::Run;

/// Share of the tolerance to which the iterations are carried. The usual fifth is enough for a step, but friction
/// keeps what is left when a diaphragm comes to rest: an offset in pressure for as long as it stays, which a
/// thermostat adds up.
const SHARE: f64 = 0.006;
/// Most iterations.
const MOST: i32 = 10;
/// An iteration that gains less than this is none.
const SLOWEST: f64 = 0.9;
/// Where more than this may be left after an iteration, as a share of its step, a second one must tell: a matrix of a passage that
/// has shut since takes every residual for a stiff one and finds next to no step, whatever the states do.
const UNSURE: f64 = 0.5;
/// What is left after an iteration counts for the next step to this power, so that it is looked at anew after a few steps: at
/// 0.8 a twentieth fewer evaluations, and a night that is 0.03 in w.c. off at an instant instead of 0.004.
const DOUBT: f64 = 0.6;
/// More iterations than this are dearer than a new matrix.
const DEAR: i32 = 6;

/// Newton's matrix and what is known of how well it serves. Outlives steps, events and advances.
#[derive(Debug, Clone)]
pub(super) struct Newton {
    /// The states that do not act slowly: only these are coupled. And the others.
    quick: Vec<usize>,
    slow: Vec<usize>,
    /// Jacobian of the rates, column after column, one for each of them.
    jacobian: Vec<f64>,
    /// What is not zero of its rows of the slow states: that state, the column's, the slope.
    onto_slow: Vec<(usize, usize, f64)>,
    /// Whether there is one that still serves.
    known: bool,
    /// What is not zero of its rows of the quick states, and all of the diagonal: the place in the matrix, the slope.
    among_quick: Vec<(usize, f64)>,
    /// 1 - c J of the quick states, and for each column the rows where there is something, as bits.
    matrix: Vec<f64>,
    places: Vec<u64>,
    factors: Factors,
    /// The c the factors were made for, s; not a number where there are none.
    c: f64,
    /// What is left after an iteration, as a share of its step: as last measured, and less sure with each step
    /// that was done in one.
    left: f64,
    relative: f64,
    absolute: Vec<f64>,
    /// One over the tolerance of each state.
    weight: Vec<f64>,
    y: Vec<f64>,
    change: Vec<f64>,
    start: Vec<f64>,
    secant: Secant,
}

/// What an iteration that was followed by another has shown of the matrix (Broyden's update of rank one, published: Kelley
/// 2003, "Solving Nonlinear Equations with Newton's Method", ch. 4): where the residual along `step` fell (as the
/// matrix tells residuals) by something else, a change that lies along it misses by as much again. Outlives the matrix
/// it was learned from, since it is a passage or a friction that has another slope now.
///
/// Mass stays right to rounding: a sum of states that no rate changes falls by the whole of each step, whatever the matrix, so
/// there is none of it in `missed`.
#[derive(Debug, Clone)]
struct Secant {
    known: bool,
    /// The last iteration's change, and what the matrix alone had made of its residual.
    step: Vec<f64>,
    plain: Vec<f64>,
    /// `step` by the squares of the weights; one over its product with what fell; and `step` less what fell.
    along: Vec<f64>,
    per_fallen: f64,
    missed: Vec<f64>,
}

/// A secant is no use where the residual fell by less than this of what it was to fall by, or by more than this over it.
const FELL: std::ops::RangeInclusive<f64> = 0.1..=10.0;

impl Secant {
    fn new(n: usize) -> Self {
        let room = vec![0.0; n];
        Self {
            known: false,
            step: room.clone(),
            plain: room.clone(),
            along: room.clone(),
            per_fallen: 0.0,
            missed: room,
        }
    }

    /// Learns from the last iteration, after which the matrix makes `plain` of the residual.
    fn learn(&mut self, plain: &[f64], weight: &[f64]) {
        let before = self.step.iter().zip(&self.plain);
        let room = self.along.iter_mut().zip(&mut self.missed);
        for (((step, before), (along, missed)), (now, weight)) in
            before.zip(room).zip(plain.iter().zip(weight))
        {
            *along = step * (weight * weight);
            *missed = step - (before - now);
        }
        let whole = sum_of(&self.along, &self.step, |a, b| a * b);
        let fallen = whole - sum_of(&self.along, &self.missed, |a, b| a * b);
        self.known = FELL.contains(&(fallen / whole));
        self.per_fallen = 1.0 / fallen;
    }

    /// Corrects what the matrix makes of a residual, and keeps both.
    fn correct(&mut self, change: &mut [f64]) {
        self.plain.copy_from_slice(change);
        if self.known {
            let share = sum_of(&self.along, change, |a, b| a * b) * self.per_fallen;
            for (change, missed) in change.iter_mut().zip(&self.missed) {
                *change += share * missed;
            }
        }
        self.step.copy_from_slice(change);
    }
}

/// The sum of what a term makes of each pair; four sums beside each other, so that none waits for the other.
fn sum_of(a: &[f64], b: &[f64], term: impl Fn(f64, f64) -> f64) -> f64 {
    let mut sums = [0.0; 4];
    let ((a4, a1), (b4, b1)) = (a.as_chunks::<4>(), b.as_chunks::<4>());
    for (a, b) in a4.iter().zip(b4) {
        for k in 0..4 {
            sums[k] += term(a[k], b[k]);
        }
    }
    let rest: f64 = a1.iter().zip(b1).map(|(a, b)| term(*a, *b)).sum();
    (sums[0] + sums[1]) + (sums[2] + sums[3]) + rest
}

impl Newton {
    pub(super) fn new(n: usize) -> Self {
        Self {
            quick: Vec::new(),
            slow: Vec::new(),
            jacobian: Vec::new(),
            onto_slow: Vec::new(),
            known: false,
            among_quick: Vec::new(),
            matrix: Vec::new(),
            places: Vec::new(),
            factors: Factors::default(),
            c: f64::NAN,
            left: 1.0,
            relative: 0.0,
            absolute: vec![0.0; n],
            weight: vec![0.0; n],
            y: vec![0.0; n],
            change: vec![0.0; n],
            start: vec![0.0; n],
            secant: Secant::new(n),
        }
    }

    /// Takes over the tolerances of a run, and weighs by where it stands.
    pub(super) fn prepare(&mut self, run: &Run<'_>) {
        self.relative = run.tolerance.relative;
        for (i, absolute) in self.absolute.iter_mut().enumerate() {
            *absolute = run.rates.scaled_tolerance(i, run.tolerance.absolute);
        }
        if self.quick != run.rates.quick() {
            self.quick = run.rates.quick().to_vec();
            let (n, quick) = (self.y.len(), self.quick.len());
            self.slow = (0..n).filter(|i| !self.quick.contains(i)).collect();
            self.jacobian = vec![0.0; n * quick];
            self.matrix = vec![0.0; quick * quick];
            self.known = false;
        }
        self.weigh(&run.z);
    }

    /// Takes the tolerances of a step from the state `z` it starts at.
    pub(super) fn weigh(&mut self, z: &[f64]) {
        for ((weight, z), absolute) in self.weight.iter_mut().zip(z).zip(&self.absolute) {
            *weight = 1.0 / (self.relative * z.abs() + absolute);
        }
    }

    /// Mean size of `v` in units of the tolerance.
    pub(super) fn norm(&self, v: &[f64]) -> f64 {
        let square = |v: f64, w: f64| (v * w) * (v * w);
        (sum_of(v, &self.weight, square) / v.len() as f64).sqrt()
    }

    /// Finds `d`, from the guess in it, so that d = psi + c f(`tau`, `base` + d); `false` where the iterations
    /// do not converge with a new matrix either.
    pub(super) fn solve(
        &mut self,
        run: &mut Run<'_>,
        tau: f64,
        c: f64,
        base: &[f64],
        psi: &[f64],
        d: &mut [f64],
    ) -> bool {
        let old = self.known;
        if old {
            self.start.copy_from_slice(d);
            if self.try_matrix(run, tau, c, base, psi, d, true) {
                return true;
            }
            d.copy_from_slice(&self.start);
        }
        self.evaluate(run, tau, base, d);
        self.known && self.try_matrix(run, tau, c, base, psi, d, false)
    }

    /// A new Jacobian.
    fn evaluate(&mut self, run: &Run<'_>, tau: f64, base: &[f64], d: &[f64]) {
        for ((y, base), d) in self.y.iter_mut().zip(base).zip(d) {
            *y = base + d;
        }
        run.rates.call(tau, &self.y, &mut self.change);
        let columns = &mut self.jacobian;
        self.known = run.rates.jacobian(tau, &self.y, &self.change, columns);
        self.sort_slopes();
        self.c = f64::NAN;
        self.left = 1.0;
    }

    /// Notes what of the Jacobian is not zero.
    fn sort_slopes(&mut self) {
        self.among_quick.clear();
        self.onto_slow.clear();
        self.places.clear();
        self.matrix.fill(0.0);
        let quick = self.quick.len();
        for (at, slopes) in self.jacobian.chunks_exact(self.y.len()).enumerate() {
            let mut rows = 0;
            for (row, i) in self
                .quick
                .iter()
                .enumerate()
                .filter(|(row, i)| *row == at || slopes[**i] != 0.0)
            {
                self.among_quick.push((at * quick + row, slopes[*i]));
                rows |= 1 << row;
            }
            self.places.push(rows);
            let onto = self.slow.iter().map(|i| (*i, self.quick[at], slopes[*i]));
            self.onto_slow
                .extend(onto.filter(|(_, _, slope)| *slope != 0.0));
        }
    }

    /// 1 - c J in factors.
    fn factor(&mut self, c: f64) {
        for (place, slope) in &self.among_quick {
            self.matrix[*place] = -c * slope;
        }
        for on_diagonal in self.matrix.iter_mut().step_by(self.quick.len() + 1) {
            *on_diagonal += 1.0;
        }
        self.factors.factor(&self.places, &self.matrix);
        self.c = c;
    }

    /// Overwrites `v` with (1 - c J)^-1 v: what a stiff system leaves of an error; `false` where there is none. What
    /// acts slowly follows from the rest.
    pub(super) fn damp(&mut self, v: &mut [f64]) -> bool {
        if !self.factors.solve(&self.quick, v) {
            return false;
        }
        for (slow, quick, slope) in &self.onto_slow {
            v[*slow] += self.c * slope * v[*quick];
        }
        true
    }

    #[allow(clippy::too_many_arguments)] // two callers; every one is a different thing
    fn try_matrix(
        &mut self,
        run: &mut Run<'_>,
        tau: f64,
        c: f64,
        base: &[f64],
        psi: &[f64],
        d: &mut [f64],
        old: bool,
    ) -> bool {
        if self.c != c {
            self.factor(c);
            run.work.factorizations += 1;
        }
        let mut before = f64::NAN;
        self.left = self.left.max(1e-12).powf(DOUBT);
        for turn in 1..=MOST {
            for ((y, base), d) in self.y.iter_mut().zip(base).zip(&*d) {
                *y = base + d;
            }
            run.rates.call(tau, &self.y, &mut self.change);
            for ((r, psi), d) in self.change.iter_mut().zip(psi).zip(&*d) {
                *r = c * *r + psi - d;
            }
            let mut change = std::mem::take(&mut self.change);
            let solved = self.damp(&mut change);
            self.change = change;
            if !solved {
                return false;
            }
            if turn > 1 {
                self.secant.learn(&self.change, &self.weight);
            }
            self.secant.correct(&mut self.change);
            let step = self.norm(&self.change);
            for (d, r) in d.iter_mut().zip(&self.change) {
                *d += r;
            }
            if turn > 1 {
                let rate = step / before;
                let hopeless = || rate.powi(MOST - turn) / (1.0 - rate) * step > SHARE;
                // With a matrix of this step; an old one may just see no step where there is one.
                let still = !old && step <= 1e-3 * SHARE;
                // Written so that a value that is not a number fails it.
                let gains = rate <= SLOWEST;
                let left = rate / (1.0 - rate).max(1.0 - SLOWEST);
                let promising = gains && (left * step <= SHARE || !hopeless());
                if !promising && !still {
                    return false;
                }
                self.left = left;
            }
            let sure = turn > 1 || !old || self.left <= UNSURE;
            if sure && self.left * step <= SHARE {
                self.known = turn <= DEAR;
                return true;
            }
            before = step;
        }
        false
    }
}
