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
    base: RefCell<Base>,
    company: Vec<Company>,
    /// The states that act slowly, as bits.
    slow: u64,
}

/// The other states whose columns are found together with a state's own (Curtis, Powell and Reid 1974,
/// published), as they act on none of the same rates.
#[derive(Debug, Clone, Copy, Default)]
struct Company {
    /// Its first state.
    first: usize,
    /// All its states, as bits.
    states: u64,
    /// What the state itself acts on, as bits.
    acts_on: u64,
}

/// Puts every state into the first company it fits.
fn companies(system: &dyn System) -> Vec<Company> {
    let mut found: Vec<(Company, u64)> = Vec::new();
    let mut place = Vec::with_capacity(system.dim());
    for i in 0..system.dim() {
        let acts_on = system.acts_on(i);
        let alone = system.acts_slowly(i);
        let fits = found
            .iter()
            .position(|(_, rows)| !alone && rows & acts_on == 0);
        let k = fits.unwrap_or_else(|| {
            let new = Company {
                first: i,
                ..Company::default()
            };
            found.push((new, if alone { u64::MAX } else { 0 }));
            found.len() - 1
        });
        found[k].0.states |= 1 << i;
        found[k].1 |= acts_on;
        place.push((k, acts_on));
    }
    let each = place.into_iter();
    each.map(|(k, acts_on)| Company {
        acts_on,
        ..found[k].0
    })
    .collect()
}

/// Right-hand side at the point where Jacobian columns are being taken.
struct Base {
    tau: f64,
    z: Vec<f64>,
    rate: Vec<f64>,
    moved: Vec<f64>,
    /// Rates with all of a company moved, by its first state; empty where they are not finite.
    together: Vec<Option<Vec<f64>>>,
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

/// Puts `z` moved along `side * v` into `moved` and gives the length of the move in units of `v`,
/// as it came out after rounding.
fn displace(z: &[f64], v: &[f64], side: f64, moved: &mut [f64]) -> f64 {
    moved.copy_from_slice(z);
    let mut parts = v.iter().enumerate().filter(|(_, v)| **v != 0.0);
    if let (Some((j, v)), None) = (parts.next(), parts.next()) {
        let move_by = side * v.signum() * nudge(z[j]);
        moved[j] += move_by;
        return (move_by / v).abs();
    }
    let reach = z.iter().fold(1.0_f64, |a, z| a.max(z.abs()));
    let length = v.iter().fold(0.0_f64, |a, v| a.max(v.abs()));
    let step = NUDGE * reach / length;
    for (moved, v) in moved.iter_mut().zip(v) {
        *moved += side * step * v;
    }
    step
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
            base: RefCell::new(Base {
                tau: f64::NAN,
                z: vec![0.0; n],
                rate: vec![0.0; n],
                moved: vec![0.0; n],
                together: vec![None; n],
            }),
            company: companies(system),
            slow: (0..n).fold(0, |bits, i| bits | u64::from(system.acts_slowly(i)) << i),
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
        // Nought, unless one of them is not finite.
        let mut nought = 0.0;
        for (rate, per) in rate.iter_mut().zip(&self.per_scale) {
            *rate *= per;
            nought += *rate * 0.0;
        }
        if nought != 0.0 {
            for (i, rate) in rate.iter_mut().enumerate() {
                if !rate.is_finite() {
                    self.fault.set(Some((tau, i)));
                    *rate = BEYOND_REASON;
                }
            }
        }
    }

    /// Jacobian of the scaled rates at (`tau`, `z`) times `v`, by a one-sided difference.
    ///
    /// A unit vector is moved by [`NUDGE`] times the larger of the state and its scale; the undisturbed rates are kept
    /// from column to column, and states of one company are moved together, so a full Jacobian takes dim + 1 calls at
    /// most. Where the rates jump ([`JUMP_PER_S`]) or are not finite on one side the other is tried; where they do on
    /// both, the product is not a number and the Newton iteration fails in the open.
    pub(super) fn jacobian_times(&self, tau: f64, z: &[f64], v: &[f64], out: &mut [f64]) {
        let mut base = self.base.borrow_mut();
        let Base {
            tau: base_tau,
            z: base_z,
            rate,
            moved,
            together,
        } = &mut *base;
        if *base_tau != tau || base_z.as_slice() != z {
            *base_tau = tau;
            base_z.copy_from_slice(z);
            self.call(tau, z, rate);
            together.fill(None);
        }
        let Some(j) = v.iter().position(|v| *v != 0.0) else {
            out.fill(0.0);
            return;
        };
        if j == 0 {
            self.jacobians.set(self.jacobians.get() + 1);
        }
        let before = self.fault.take();
        if v[j + 1..].iter().all(|v| *v == 0.0) {
            if self.slow >> j & 1 == 1 {
                out.fill(0.0);
                self.fault.set(before);
                return;
            }
            let company = self.company[j];
            if company.states.count_ones() > 1 {
                let ahead = together[company.first]
                    .get_or_insert_with(|| self.all_moved(tau, z, company, moved));
                if !ahead.is_empty() {
                    let per = v[j] / nudge(z[j]);
                    let mut jumps = false;
                    for (k, out) in out.iter_mut().enumerate() {
                        let acted_on = company.acts_on >> k & 1 == 1;
                        *out = if acted_on {
                            (ahead[k] - rate[k]) * per
                        } else {
                            0.0
                        };
                        jumps |= out.abs() > JUMP_PER_S;
                    }
                    if !jumps {
                        self.fault.set(before);
                        return;
                    }
                }
            }
        }
        for side in [1.0, -1.0] {
            let step = side * displace(z, v, side, moved);
            self.call(tau, moved, out);
            let mut failed = self.fault.get().is_some();
            for (out, rate) in out.iter_mut().zip(rate.iter()) {
                *out = (*out - rate) / step;
                failed |= out.abs() > JUMP_PER_S;
            }
            if !failed {
                break;
            }
            out.fill(f64::NAN);
            if side > 0.0 {
                self.fault.set(None);
            }
        }
        if self.fault.get().is_none() {
            self.fault.set(before);
        }
    }

    /// Rates with all states of a company moved; empty where they are not finite.
    fn all_moved(&self, tau: f64, z: &[f64], company: Company, moved: &mut [f64]) -> Vec<f64> {
        moved.copy_from_slice(z);
        for (k, moved) in moved.iter_mut().enumerate() {
            if company.states >> k & 1 == 1 {
                *moved += nudge(z[k]);
            }
        }
        let mut rate = vec![0.0; z.len()];
        self.call(tau, moved, &mut rate);
        if self.fault.take().is_some() {
            rate.clear();
        }
        rate
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
