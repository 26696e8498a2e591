//! The multistep method of the stiff engine: backward differences of order 1 to 5 with Klopfenstein's modification, on
//! a grid of equal steps that is changed when it pays (Shampine and Reichelt 1997, "The MATLAB ODE Suite", SIAM
//! J. Sci. Comput. 18(1), published). Not here: Newton's iterations (`newton`), what an accepted step sets off (`run`).
//!
//! With the differences `D_j` of the last k + 1 points:
//!
//! ```text
//! c_j(s)  = s (s + 1) ... (s + j - 1) / j!        gamma_j = 1 + 1/2 + ... + 1/j
//! past:   P(t + s h) = sum c_j(s) D_j
//! step:   y(t + h) = P(t + h) + d                 (1 - kappa_k) gamma_k d + sum gamma_j D_j = h f(t + h, P + d)
//! ```
//!
//! **An event that changes no rate costs nothing.** The past outlives the advance: where it ends at an event or on
//! time, the grid is laid so that its newest point is there, and its length stays. What a caller says may have
//! changed is compared: a jump of the rates is added to the past as a straight line, so that states that act slowly
//! go on as if nothing had been. Where the first step afterwards then fails, the past is given up, and the method begins
//! at first order.

use super::newton::Newton;
use super::run::{Halt, Run, Turn};
use super::stiff::{Guard, first_step, smallest_step_s};

/// Highest order.
const MOST_ORDER: usize = 5;
/// Klopfenstein's parameters by order (Shampine and Reichelt 1997, table 1): longer steps at equal error up to
/// order 4.
const KAPPA: [f64; MOST_ORDER + 1] = [0.0, -0.1850, -1.0 / 9.0, -0.0823, -0.0415, 0.0];
/// gamma by order.
const GAMMA: [f64; MOST_ORDER + 1] = [0.0, 1.0, 1.5, 11.0 / 6.0, 25.0 / 12.0, 137.0 / 60.0];
/// Aim of a new step, as a share of the step whose error is just allowed. Less than the usual 0.9: what is left
/// when a diaphragm comes to rest, and so a thermostat's turn, then errs a tenth as much over a night for a fifth more
/// work, and few steps are refused (practice: 5 ms instead of 57 in twelve hours, measured against a run at 0.003 of the
/// tolerance).
const SAFETY: f64 = 0.3;
/// A higher order is taken where its step is longer by so much: it damps a ringing less, or not at all.
const RAISE: f64 = 1.5;
/// Least and greatest change of the step at once.
const LEAST: f64 = 0.2;
/// See [`LEAST`].
const GREATEST: f64 = 10.0;
/// A step is kept unless it may grow by this.
const WORTH: f64 = 1.2;
/// Change of the step where Newton's iterations do not converge.
const NOT_CONVERGED: f64 = 0.3;
/// Error tests failed in a row after which the past says nothing of what comes, and after which the method gives up.
const PAST_FAILS: u32 = 3;
/// See [`PAST_FAILS`].
const ALL_FAIL: u32 = 60;
/// A jump of the rates of so many tolerances in a step is no small one.
const GREAT_JUMP: f64 = 1e3;

/// Share of d that is the error of a step, by order.
fn error_share(order: usize) -> f64 {
    KAPPA[order] * GAMMA[order] + 1.0 / (order as f64 + 1.0)
}

/// `c_j(s)` for j = 0 to `order`.
fn shares(s: f64, order: usize) -> [f64; MOST_ORDER + 1] {
    let mut out = [0.0; MOST_ORDER + 1];
    out[0] = 1.0;
    for j in 1..=order {
        out[j] = out[j - 1] * (s + j as f64 - 1.0) / j as f64;
    }
    out
}

/// The root of degree 2 to 6 of an error: most of them cost less than a power.
fn root(error: f64, degree: usize) -> f64 {
    match degree {
        2 => error.sqrt(),
        3 => error.cbrt(),
        4 => error.sqrt().sqrt(),
        6 => error.sqrt().cbrt(),
        other => error.powf(1.0 / other as f64),
    }
}

/// Makes of the first `POINTS` differences of each state sums of them, a row of shares for each.
fn relay<const POINTS: usize>(past: &mut [Vec<f64>], rows: &[[f64; MOST_ORDER + 1]]) {
    for state in 0..past[0].len() {
        let old: [f64; POINTS] = std::array::from_fn(|i| past[i][state]);
        for (past, row) in past.iter_mut().zip(rows).take(POINTS) {
            past[state] = (0..POINTS).map(|i| row[i] * old[i]).sum();
        }
    }
}

/// The method with its past.
#[derive(Debug, Clone)]
pub(super) struct Multistep {
    /// Whether the past is true of the state in `y`.
    lives: bool,
    order: usize,
    step_s: f64,
    /// Steps on the present grid.
    equal: usize,
    /// Backward differences of the scaled state: of the order in use and two higher, for the choice of order.
    past: [Vec<f64>; MOST_ORDER + 3],
    /// Size of the last step's error.
    error: f64,
    newton: Newton,
    /// Unscaled state, scaled rates, and scales where the past ends.
    y: Vec<f64>,
    slope: Vec<f64>,
    scale: Vec<f64>,
    /// Whether the last advance was a single step, cut to end on time.
    was_tick: bool,
    d: Vec<f64>,
    psi: Vec<f64>,
    guess: Vec<f64>,
}

/// Why a step was not accepted.
enum Refused {
    /// Newton's iterations did not converge.
    NotConverged,
    /// The error, in units of the allowed one.
    Error(f64),
}

impl Multistep {
    pub(super) fn new(n: usize) -> Self {
        Self {
            lives: false,
            order: 1,
            step_s: 0.0,
            equal: 0,
            past: std::array::from_fn(|_| vec![0.0; n]),
            error: 0.0,
            newton: Newton::new(n),
            y: vec![0.0; n],
            slope: vec![0.0; n],
            scale: vec![0.0; n],
            was_tick: false,
            d: vec![0.0; n],
            psi: vec![0.0; n],
            guess: vec![0.0; n],
        }
    }

    /// Number of states it was made for.
    pub(super) fn dim(&self) -> usize {
        self.y.len()
    }

    /// Length of the steps in use, s.
    pub(super) fn step_s(&self) -> f64 {
        self.step_s
    }

    /// Integrates from the last accepted state of `run` to the end of its span; `changed` where rates may have.
    pub(super) fn advance(
        &mut self,
        run: &mut Run<'_>,
        changed: bool,
        step_limit: u64,
    ) -> Result<Turn, Halt> {
        self.newton.prepare(run);
        let mut doubtful = self.resume(run, changed)?;
        self.lives = false;
        let mut guard = Guard::new(run, "BDF", true);
        let (mut failed, mut tick) = (0, true);
        loop {
            let from = run.tau;
            let rest = run.span_s - from;
            if self.step_s < rest {
                self.choose();
            }
            let cut = self.step_s >= rest;
            let whole = cut.then(|| (self.past.clone(), self.step_s));
            if cut {
                self.resize(rest / self.step_s);
                self.step_s = rest;
            }
            let tau = if cut { run.span_s } else { from + self.step_s };
            if let Err(refused) = self.attempt(run, tau) {
                run.work.rejected_steps += 1;
                failed += 1;
                let factor = match refused {
                    Refused::NotConverged => NOT_CONVERGED,
                    Refused::Error(error) => {
                        let share = SAFETY / root(error, self.order + 1);
                        share.max(LEAST)
                    }
                };
                let small = factor * self.step_s < smallest_step_s(run);
                if small || failed >= ALL_FAIL {
                    return Err(Halt::GaveUp("BDF: step size too small".to_owned()));
                }
                if doubtful {
                    doubtful = false;
                    self.start(run)?;
                } else if failed == PAST_FAILS && self.order > 1 {
                    let most = factor * self.step_s;
                    self.start(run)?;
                    self.limit(most);
                } else {
                    self.resize(factor);
                }
                continue;
            }
            self.take();
            let event = self.hand_over(run, from, tau)?;
            if event.is_some() || cut {
                let keep = if tick && self.was_tick { None } else { whole };
                self.was_tick = tick && cut;
                self.leave(run, (from, tau), keep);
                return Ok(event.map_or(Turn::Done, Turn::Event));
            }
            (failed, tick, doubtful) = (0, false, false);
            self.newton.weigh(&run.z);
            guard.look(run, step_limit)?;
        }
    }

    /// Goes on from the past where it is true of the run's state, else begins anew. Whether it is in doubt.
    fn resume(&mut self, run: &mut Run<'_>, changed: bool) -> Result<bool, Halt> {
        let same = self.lives && self.y == run.y() && self.scale == run.rates.scale();
        if !same {
            self.start(run)?;
            return Ok(false);
        }
        if !changed {
            return Ok(false);
        }
        let mut jump = run.rates_here()?;
        for (jump, slope) in jump.iter_mut().zip(&self.slope) {
            *jump = (*jump - slope) * self.step_s;
        }
        let size = self.newton.norm(&jump);
        if size.is_nan() || size > GREAT_JUMP {
            self.start(run)?;
            return Ok(false);
        }
        for (first, jump) in self.past[1].iter_mut().zip(&jump) {
            *first += jump;
        }
        Ok(true)
    }

    /// Begins at first order.
    fn start(&mut self, run: &mut Run<'_>) -> Result<(), Halt> {
        run.work.restarts += 1;
        let slope = run.rates_here()?;
        self.step_s = first_step(run, &slope, &self.newton);
        self.order = 1;
        self.equal = 0;
        self.past[0].copy_from_slice(&run.z);
        for (first, slope) in self.past[1].iter_mut().zip(&slope) {
            *first = self.step_s * slope;
        }
        for higher in &mut self.past[2..] {
            higher.fill(0.0);
        }
        Ok(())
    }

    /// Shortens the step to `most` (s).
    fn limit(&mut self, most: f64) {
        if self.step_s > most {
            self.resize(most / self.step_s);
        }
    }

    /// Makes the steps of the grid longer by a factor.
    fn resize(&mut self, factor: f64) {
        self.lay_grid(0.0, factor);
        self.step_s *= factor;
    }

    /// Lays the grid anew on the same past: its newest point `shift` steps on, its steps longer by `factor`.
    fn lay_grid(&mut self, shift: f64, factor: f64) {
        let k = self.order;
        // Row j: the new point j as a sum of the old differences, then the new difference j.
        let mut rows = [[0.0; MOST_ORDER + 1]; MOST_ORDER + 1];
        for (j, row) in rows.iter_mut().enumerate().take(k + 1) {
            *row = shares(shift - j as f64 * factor, k);
        }
        for m in 1..=k {
            for j in (m..=k).rev() {
                let newer = rows[j - 1];
                for (sum, newer) in rows[j].iter_mut().zip(newer) {
                    *sum = newer - *sum;
                }
            }
        }
        let past = &mut self.past;
        match k {
            1 => relay::<2>(past, &rows),
            2 => relay::<3>(past, &rows),
            3 => relay::<4>(past, &rows),
            4 => relay::<5>(past, &rows),
            _ => relay::<6>(past, &rows),
        }
        for higher in &mut self.past[k + 1..] {
            higher.fill(0.0);
        }
        self.equal = 0;
    }

    /// Chooses order and step by the errors of this order, the lower and the higher one.
    fn choose(&mut self) {
        let k = self.order;
        if self.equal <= k {
            return;
        }
        let factor = |order: usize, error: f64| (SAFETY / root(error, order + 1)).min(GREATEST);
        let of = |order: usize, difference: usize| {
            factor(
                order,
                error_share(order) * self.newton.norm(&self.past[difference]),
            )
        };
        let stay = factor(k, self.error);
        let mut best = (k, stay);
        if k > 1 {
            let lower = of(k - 1, k);
            if lower > best.1 {
                best = (k - 1, lower);
            }
        }
        if k < MOST_ORDER {
            let higher = of(k + 1, k + 2);
            if higher > RAISE * best.1 {
                best = (k + 1, higher);
            }
        }
        let (order, factor) = best;
        if factor >= WORTH {
            self.order = order;
            self.resize(factor);
        }
    }

    /// Tries a step to local time `tau`; leaves its change in `d`.
    fn attempt(&mut self, run: &mut Run<'_>, tau: f64) -> Result<(), Refused> {
        let k = self.order;
        let per = 1.0 / ((1.0 - KAPPA[k]) * GAMMA[k]);
        self.guess.copy_from_slice(&self.past[0]);
        self.psi.fill(0.0);
        for (gamma, past) in GAMMA.iter().zip(&self.past).take(k + 1).skip(1) {
            let share = -gamma * per;
            let sums = self.guess.iter_mut().zip(&mut self.psi);
            for ((guess, psi), past) in sums.zip(past) {
                *guess += past;
                *psi += share * past;
            }
        }
        self.d.fill(0.0);
        let c = self.step_s * per;
        let (guess, psi, d) = (&self.guess, &self.psi, &mut self.d);
        if !self.newton.solve(run, tau, c, guess, psi, d) {
            return Err(Refused::NotConverged);
        }
        self.error = error_share(k) * self.newton.norm(&self.d);
        if self.error <= 1.0 {
            Ok(())
        } else {
            Err(Refused::Error(self.error))
        }
    }

    /// Takes the step tried into the past.
    fn take(&mut self) {
        let k = self.order;
        for (i, d) in self.d.iter().enumerate() {
            self.past[k + 2][i] = d - self.past[k + 1][i];
            self.past[k + 1][i] = *d;
        }
        for j in (0..=k).rev() {
            let (newer, older) = self.past.split_at_mut(j + 1);
            for (a, b) in newer[j].iter_mut().zip(&older[0]) {
                *a += b;
            }
        }
        self.equal += 1;
    }

    /// Shows the step to the run.
    fn hand_over(
        &self,
        run: &mut Run<'_>,
        from: f64,
        tau: f64,
    ) -> Result<Option<super::run::Event>, Halt> {
        let inside = |t: f64, out: &mut [f64]| {
            let s = (t.clamp(from, tau) - tau) / self.step_s;
            let shares = shares(s, self.order);
            out.copy_from_slice(&self.past[0]);
            for (share, past) in shares.iter().zip(&self.past).take(self.order + 1).skip(1) {
                for (out, past) in out.iter_mut().zip(past) {
                    *out += share * past;
                }
            }
        };
        let (mut probe, mut exact) = (inside, inside);
        Ok(run.accept(tau, &self.past[0], &mut probe, &mut exact)?)
    }

    /// Lays the past so that it ends where the run stands, after a step from `from` to `tau`. Where that was cut from a
    /// `whole` step the grid of before is kept, and the newest point put on it.
    fn leave(
        &mut self,
        run: &Run<'_>,
        (from, tau): (f64, f64),
        whole: Option<([Vec<f64>; MOST_ORDER + 3], f64)>,
    ) {
        if let Some((past, step_s)) = whole {
            self.past = past;
            self.step_s = step_s;
            self.lay_grid((run.tau - from) / step_s, 1.0);
        } else if run.tau != tau {
            self.lay_grid((run.tau - tau) / self.step_s, 1.0);
        }
        for i in 0..run.z.len() {
            let aside = run.z[i] - self.past[0][i];
            for past in &mut self.past[..=self.order] {
                past[i] += aside;
            }
        }
        self.y.copy_from_slice(run.y());
        self.scale.copy_from_slice(run.rates.scale());
        run.rates.call(run.tau, &run.z, &mut self.slope);
        self.lives = true;
    }
}
