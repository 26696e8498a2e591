//! The explicit engine: Dormand-Prince 5(4) of `ode_solvers` in short ticks. Not here: the choice
//! of method, what an accepted step sets off.
//!
//! `ode_solvers` has one absolute tolerance for all states, so the scaled state is integrated. Its
//! `Dense` output returns a wrong last point, so `Sparse` is used (a test pins that). Its test for
//! stiffness looks at single steps and is switched off: the cap on steps answers for it.
//!
//! Inside a step the solution is the cubic through both ends and their slopes (Hermite); the state
//! at an event is integrated again from the start of the step.

use std::cell::RefCell;

use ode_solvers::dopri5::Dopri5;
use ode_solvers::{DVector, OutputType, System as OdeSystem};

use super::hermite::Hermite;
use super::rates::Rates;
use super::run::{Event, Halt, Run, Turn};

/// Longest single call of the integrator, s of simulated time.
const TICK_S: f64 = 0.01;
/// Step control of the method, its published defaults.
const SAFETY: f64 = 0.9;
const BETA: f64 = 0.04;
const FACTOR_MIN: f64 = 0.2;
const FACTOR_MAX: f64 = 10.0;
/// Most steps tried in one tick.
pub(super) const TICK_STEP_LIMIT: u32 = 200_000;

/// Integrates until local time `until`, remembering the step size in `step_hint`; gives up where a tick needs
/// more than `tick_steps` steps.
pub(super) fn advance(
    run: &mut Run<'_>,
    until: f64,
    step_hint: &mut Option<f64>,
    tick_steps: u32,
    step_limit: u64,
) -> Result<Turn, Halt> {
    let tick_s = TICK_S;
    while run.tau < until {
        let rest = until - run.tau;
        let end = if rest <= 1.5 * tick_s {
            until
        } else {
            run.tau + tick_s
        };
        if let Some(event) = tick(run, end, step_hint, tick_steps)? {
            return Ok(Turn::Event(event));
        }
        if run.steps_left == 0 && run.tau < until {
            return Err(run.too_many_steps(step_limit).into());
        }
    }
    Ok(Turn::Done)
}

/// One call of the integrator, to local time `end` or the first event.
fn tick(
    run: &mut Run<'_>,
    end: f64,
    step_hint: &mut Option<f64>,
    tick_steps: u32,
) -> Result<Option<Event>, Halt> {
    let slope = run.rates_here()?;
    let (start, rates) = (run.tau, run.rates);
    let (relative, absolute) = tolerances(run);
    let y0 = DVector::from_column_slice(&run.z);
    let span = end - start;
    let hint = step_hint.map_or(0.0, |h| h.min(span));
    let progress = RefCell::new(Progress {
        run,
        slope,
        last_step: hint,
        full_step: 0.0,
        ending: Ok(None),
    });
    let mut solver = Dopri5::from_param(
        Tick {
            rates,
            origin: start,
            end,
            span,
            progress: Some(&progress),
        },
        0.0,
        span,
        span,
        y0,
        relative,
        absolute,
        SAFETY,
        BETA,
        FACTOR_MIN,
        FACTOR_MAX,
        span,
        hint,
        tick_steps,
        u32::MAX,
        OutputType::Sparse,
    );
    let outcome = solver.integrate();
    drop(solver);
    let progress = progress.into_inner();
    let run = progress.run;
    if let Ok(stats) = &outcome {
        run.work.rejected_steps += u64::from(stats.rejected_steps);
    }
    // The last step is cut to fit the tick; the one before it is the size to go on with.
    if progress.full_step > 0.0 {
        *step_hint = Some(progress.full_step);
    } else if progress.last_step > 0.0 {
        *step_hint = Some(step_hint.unwrap_or(0.0).max(2.0 * progress.last_step));
    }
    let event = progress.ending?;
    if event.is_some() || run.steps_left == 0 {
        return Ok(event);
    }
    match outcome {
        Ok(_) => Ok(None),
        Err(error) => {
            *step_hint = None;
            Err(Halt::GaveUp(format!("explicit method: {error}")))
        }
    }
}

/// Relative tolerance and the strictest scaled absolute tolerance of all states.
fn tolerances(run: &Run<'_>) -> (f64, f64) {
    let absolute = (0..run.z.len())
        .map(|i| run.rates.scaled_tolerance(i, run.tolerance.absolute))
        .fold(f64::INFINITY, f64::min);
    (run.tolerance.relative, absolute)
}

/// What the accepted steps of a tick have done so far.
struct Progress<'r, 'a> {
    run: &'r mut Run<'a>,
    /// Scaled rates at the last accepted state.
    slope: Vec<f64>,
    last_step: f64,
    /// Latest step that was not cut to end the tick.
    full_step: f64,
    ending: Result<Option<Event>, Halt>,
}

/// The system handed to the integrator: rates, and a stop after each accepted step.
struct Tick<'t, 'r, 'a> {
    rates: &'t Rates<'t>,
    /// Local time at the integrator's time zero.
    origin: f64,
    end: f64,
    span: f64,
    progress: Option<&'t RefCell<Progress<'r, 'a>>>,
}

impl OdeSystem<f64, DVector<f64>> for Tick<'_, '_, '_> {
    fn system(&self, x: f64, y: &DVector<f64>, dy: &mut DVector<f64>) {
        self.rates
            .call(self.origin + x, y.as_slice(), dy.as_mut_slice());
    }

    fn solout(&mut self, x: f64, y: &DVector<f64>, dy: &DVector<f64>) -> bool {
        let Some(progress) = self.progress else {
            return false;
        };
        let mut progress = progress.borrow_mut();
        let tau = if x >= self.span {
            self.end
        } else {
            self.origin + x
        };
        progress.accept(self.rates, tau, y.as_slice(), dy.as_slice(), self.end)
    }
}

impl Progress<'_, '_> {
    /// Passes an accepted step on; whether the tick is to stop here.
    fn accept(&mut self, rates: &Rates<'_>, tau: f64, z: &[f64], slope: &[f64], end: f64) -> bool {
        let from = self.run.tau;
        let step = tau - from;
        let before = self.run.z.clone();
        let cubic = Hermite {
            from,
            step,
            before: &before,
            after: z,
            slope_before: &self.slope,
            slope_after: slope,
        };
        let (relative, absolute) = tolerances(self.run);
        let found = self
            .run
            .accept(tau, z, &mut |t, out| cubic.at(t, out), &mut |t, out| {
                again(rates, from, &before, t, (relative, absolute), out);
            });
        self.last_step = step;
        if tau < end {
            self.full_step = step;
        }
        self.run.work.explicit_steps += 1;
        self.slope.copy_from_slice(slope);
        let stop = !matches!(found, Ok(None)) || self.run.steps_left == 0;
        self.ending = found.map_err(Halt::from);
        stop
    }
}

/// Integrates from the scaled state `before` at `from` to `until`, in one step if it can.
fn again(
    rates: &Rates<'_>,
    from: f64,
    before: &[f64],
    until: f64,
    (relative, absolute): (f64, f64),
    out: &mut [f64],
) {
    let span = until - from;
    let system = Tick {
        rates,
        origin: from,
        end: until,
        span,
        progress: None,
    };
    let mut solver = Dopri5::from_param(
        system,
        0.0,
        span,
        span,
        DVector::from_column_slice(before),
        relative,
        absolute,
        SAFETY,
        BETA,
        FACTOR_MIN,
        FACTOR_MAX,
        span,
        span,
        TICK_STEP_LIMIT,
        u32::MAX,
        OutputType::Sparse,
    );
    // A shorter step from the same start than one that was accepted: on a failure the last point
    // reached is still the best there is, and the caller checks it like any other state.
    let _ = solver.integrate();
    if let Some(last) = solver.y_out().last() {
        out.copy_from_slice(last.as_slice());
    }
}
