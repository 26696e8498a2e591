//! The right-hand side as the integrators see it: scaled states, time counted from the start of
//! the advance, calls counted, values that are not finite caught. Not here: stepping.
//!
//! States are counted from their origin and divided by the power of two next below their scale, so that scaling
//! never rounds and a sum of states (of origin zero) that the system keeps constant stays constant.

use std::cell::{Cell, RefCell};

use super::System;

/// Stands for a rate that is not finite: no step survives it, so a smaller one is tried.
const BEYOND_REASON: f64 = 1e60;

/// The scaled right-hand side of one system during one advance.
pub(super) struct Rates<'a> {
    pub(super) system: &'a dyn System,
    /// Time (s) of the system at local time zero.
    pub(super) start_s: f64,
    scale: Vec<f64>,
    /// One over each scale: exact, as they are powers of two.
    per_scale: Vec<f64>,
    origin: Vec<f64>,
    calls: Cell<u64>,
    jacobians: Cell<u64>,
    /// Latest rate that was not finite: local time and state.
    fault: Cell<Option<(f64, usize)>>,
    y: RefCell<Vec<f64>>,
    companies: Vec<Company>,
    /// The states that have a column in the Jacobian.
    quick: Vec<usize>,
}

/// States whose columns of the Jacobian are found by one evaluation (Curtis, Powell and Reid 1974, published), as
/// they act on none of the same rates.
#[derive(Debug, Clone)]
struct Company {
    /// Its states, and what each acts on, as bits.
    members: Vec<(usize, u64)>,
    /// What any of them acts on, as bits.
    rows: u64,
}

/// Puts every state into the first company it fits; those that act slowly are in none.
fn companies(system: &dyn System) -> Vec<Company> {
    let mut found: Vec<Company> = Vec::new();
    for i in (0..system.dim()).filter(|i| !system.acts_slowly(*i)) {
        let acts_on = system.acts_on(i);
        let fits = found.iter().position(|c| c.rows & acts_on == 0);
        let k = fits.unwrap_or_else(|| {
            found.push(Company {
                members: Vec::new(),
                rows: 0,
            });
            found.len() - 1
        });
        found[k].members.push((i, acts_on));
        found[k].rows |= acts_on;
    }
    found
}

/// Largest power of two not above `scale`.
fn power_of_two_below(scale: f64) -> f64 {
    let exponent = scale.log2().floor().clamp(-1000.0, 1000.0);
    exponent.exp2()
}

/// Share of a state or its scale, whichever is larger, by which it is moved to find a column. Less than the usual
/// root of the rounding unit: a flow that turns round and a guide that lets go bend within so little of a state that
/// a longer move finds the slope of another place, and Newton's iterations end nowhere.
const NUDGE: f64 = 1e-10;

/// A rate that grows so much faster (per s) with a state than any of a rig does (1e7 at most, over all faults) jumps:
/// the state was moved across the edge of a case. As an entry of the Newton matrix it would make the iteration stand
/// still and look converged.
const JUMP_PER_S: f64 = 1e9;

/// The move by which a state at `z` is differenced, as it comes out after rounding.
fn nudge(z: f64) -> f64 {
    (z + NUDGE * z.abs().max(1.0)) - z
}

/// Slopes of the rates at `rows` (bits) over a move; whether none of them is a jump.
fn slopes(rate: &[f64], ahead: &[f64], by: f64, rows: u64, column: &mut [f64]) -> bool {
    let mut steepest = 0.0_f64;
    for (k, out) in column.iter_mut().enumerate() {
        if rows >> k & 1 == 1 {
            *out = (ahead[k] - rate[k]) / by;
            steepest = steepest.max(out.abs());
        }
    }
    steepest <= JUMP_PER_S
}

impl<'a> Rates<'a> {
    pub(super) fn new(system: &'a dyn System, start_s: f64) -> Self {
        let n = system.dim();
        let scale: Vec<f64> = system
            .scales()
            .iter()
            .map(|s| power_of_two_below(*s))
            .collect();
        Self {
            system,
            start_s,
            per_scale: scale.iter().map(|s| 1.0 / s).collect(),
            scale,
            origin: (0..n).map(|i| system.origin(i)).collect(),
            calls: Cell::new(0),
            jacobians: Cell::new(0),
            fault: Cell::new(None),
            y: RefCell::new(vec![0.0; n]),
            companies: companies(system),
            quick: (0..n).filter(|i| !system.acts_slowly(*i)).collect(),
        }
    }

    pub(super) fn calls(&self) -> u64 {
        self.calls.get()
    }

    pub(super) fn jacobians(&self) -> u64 {
        self.jacobians.get()
    }

    /// Forgets, and gives, the latest rate that was not finite.
    pub(super) fn take_fault(&self) -> Option<(f64, usize)> {
        self.fault.take()
    }

    pub(super) fn scaled(&self, y: &[f64], z: &mut [f64]) {
        for (i, (z, y)) in z.iter_mut().zip(y).enumerate() {
            *z = (y - self.origin[i]) / self.scale[i];
        }
    }

    pub(super) fn unscaled(&self, z: &[f64], y: &mut [f64]) {
        let parts = self.scale.iter().zip(&self.origin);
        for ((y, z), (scale, origin)) in y.iter_mut().zip(z).zip(parts) {
            *y = z * scale + origin;
        }
    }

    /// The power of two each state is divided by.
    pub(super) fn scale(&self) -> &[f64] {
        &self.scale
    }

    /// The states that do not act slowly: those with a column in [`Rates::jacobian`].
    pub(super) fn quick(&self) -> &[usize] {
        &self.quick
    }

    /// Absolute tolerance of scaled state `i` for a share `absolute` of its scale.
    pub(super) fn scaled_tolerance(&self, i: usize, absolute: f64) -> f64 {
        absolute * self.system.error_scales()[i] / self.scale[i]
    }

    /// Scaled rates at local time `tau` (s) and scaled state `z`.
    pub(super) fn call(&self, tau: f64, z: &[f64], rate: &mut [f64]) {
        self.calls.set(self.calls.get() + 1);
        let mut y = self.y.borrow_mut();
        self.unscaled(z, &mut y);
        self.system.derivatives(self.start_s + tau, &y, rate);
        // Noughts, unless one of the rates is not finite; four of them, so that no sum waits for another.
        let mut noughts = [0.0; 4];
        let ((rates, rest), (pers, last)) =
            (rate.as_chunks_mut::<4>(), self.per_scale.as_chunks::<4>());
        for (rates, pers) in rates.iter_mut().zip(pers) {
            for k in 0..4 {
                rates[k] *= pers[k];
                noughts[k] += rates[k] * 0.0;
            }
        }
        for (rate, per) in rest.iter_mut().zip(last) {
            *rate *= per;
            noughts[0] += *rate * 0.0;
        }
        if noughts != [0.0; 4] {
            for (i, rate) in rate.iter_mut().enumerate() {
                if !rate.is_finite() {
                    self.fault.set(Some((tau, i)));
                    *rate = BEYOND_REASON;
                }
            }
        }
    }

    /// Jacobian of the scaled rates at (`tau`, `z`), where they are `rate`, into `columns`: one after the other for
    /// each of [`Rates::quick`]; `false` where there is none.
    ///
    /// A state is moved by [`NUDGE`] times the larger of its value and its scale, those of one company together; one that
    /// is nought and does not change is taken to act on nothing.
    /// Where the rates jump ([`JUMP_PER_S`]) or are not finite on one side, each is moved alone, to this side and the
    /// other.
    pub(super) fn jacobian(&self, tau: f64, z: &[f64], rate: &[f64], columns: &mut [f64]) -> bool {
        self.jacobians.set(self.jacobians.get() + 1);
        let before = self.fault.take();
        let n = z.len();
        let (mut moved, mut ahead) = (z.to_vec(), vec![0.0; n]);
        columns.fill(0.0);
        // What is nought and stays nought (no liquid past a seat, no ice) is idle: nothing to move, as long as it is.
        let idle = |j: usize| z[j] == 0.0 && rate[j] == 0.0;
        for company in &self.companies {
            let members = || company.members.iter().filter(|(j, _)| !idle(*j));
            if members().next().is_none() {
                continue;
            }
            for (j, _) in members() {
                moved[*j] += nudge(z[*j]);
            }
            self.call(tau, &moved, &mut ahead);
            let finite = self.fault.take().is_none();
            for (j, acts_on) in members() {
                moved[*j] = z[*j];
                let place = self.quick.partition_point(|q| q < j);
                let column = &mut columns[place * n..(place + 1) * n];
                let smooth = finite && slopes(rate, &ahead, nudge(z[*j]), *acts_on, column);
                if !smooth && !self.alone(tau, z, rate, (*j, *acts_on), column) {
                    return false;
                }
            }
        }
        self.fault.set(before);
        true
    }

    /// The column of state `j` moved alone, to one side or the other; `false` where the rates jump or are not
    /// finite on both.
    fn alone(
        &self,
        tau: f64,
        z: &[f64],
        rate: &[f64],
        (j, acts_on): (usize, u64),
        column: &mut [f64],
    ) -> bool {
        let (mut moved, mut ahead) = (z.to_vec(), vec![0.0; z.len()]);
        for side in [1.0, -1.0] {
            moved[j] = z[j] + side * nudge(z[j]);
            self.fault.set(None);
            self.call(tau, &moved, &mut ahead);
            if self.fault.get().is_none() && slopes(rate, &ahead, moved[j] - z[j], acts_on, column)
            {
                return true;
            }
        }
        false
    }

    /// Index of the state whose rate is largest against its scale, at scaled state `z`.
    pub(super) fn fastest(&self, tau: f64, z: &[f64]) -> usize {
        let mut rate = vec![0.0; z.len()];
        self.call(tau, z, &mut rate);
        let weight = |i: usize| rate[i].abs() / z[i].abs().max(1.0);
        (0..z.len())
            .max_by(|a, b| weight(*a).total_cmp(&weight(*b)))
            .unwrap_or(0)
    }
}
