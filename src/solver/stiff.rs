//! The stiff engine: BDF, ESDIRK34 or TR-BDF2 of `diffsol` with our own LU (`lu`) and
//! finite-difference Jacobians.
//! Not here: the choice of method, what an accepted step sets off.
//!
//! Events are looked for with our own watches on `diffsol`'s interpolant, not with its root
//! facility: that one knows no direction and loses a second root in the same step.
//!
//! Traps of `diffsol` 0.18 that are avoided here: its cap on Newton failures counts over the life
//! of a solver, not per step, so it is lifted and the smallest step ends a hopeless case; a step
//! cut to end at the stop time overwrites the step size, so the size before the cut is remembered;
//! interpolation a rounding error past the step is an error, so times are clamped.

use diffsol::{
    NalgebraContext, NalgebraMat, NalgebraVec, OdeBuilder, OdeEquationsImplicit, OdeSolverMethod,
    OdeSolverState, OdeSolverStopReason, Vector,
};

use super::lu::SparseLu;
use super::run::{Halt, Run, Turn};

type Matrix = NalgebraMat<f64>;
type Column = NalgebraVec<f64>;

/// The methods of this engine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Rung {
    /// Backward differences of order 1 to 5: cheapest over a long span, but starts at order 1.
    Bdf,
    /// ESDIRK 3(4): one-step, third order; keeps its order when a short advance begins.
    Esdirk34,
    /// TR-BDF2: one-step, second order; the most forgiving at corners.
    TrBdf2,
}

impl Rung {
    fn name(self) -> &'static str {
        match self {
            Self::TrBdf2 => "TR-BDF2",
            Self::Bdf => "BDF",
            Self::Esdirk34 => "ESDIRK34",
        }
    }
}

/// Smallest step, as a share of the span: below the rounding of the local time.
const SMALLEST_STEP_SHARE: f64 = 1e-14;
/// Error-test failures in one step before the method gives up.
const ERROR_TEST_LIMIT: usize = 60;
/// So many accepted steps of less than so many seconds each are no progress.
const CRAWL_STEPS: u64 = 2000;
/// See [`CRAWL_STEPS`]: far below the fastest time constant of any rig, 1e-5 s.
const CRAWL_STEP_S: f64 = 1e-10;
/// BDF of high order does not damp a ringing that is nearly undamped, and then follows it for ever
/// at the level of the tolerance: after so many steps of less than so many seconds a one-step
/// method, which damps it, takes over.
const RINGING_STEPS: u64 = 3000;
/// See [`RINGING_STEPS`].
const RINGING_STEP_S: f64 = 1e-3;
/// Share of the tolerance to which Newton's iterations are carried. The usual fifth is enough for a step, but friction
/// keeps what is left when a diaphragm comes to rest: an offset in pressure for as long as it stays, which a
/// thermostat adds up.
const NEWTON_SHARE: f64 = 0.006;
/// Share of the rough time scale of the start that the very first step takes.
const FIRST_STEP_SHARE: f64 = 1e-3;

/// Integrates from the last accepted state of `run` to the end of its span, remembering the step
/// size in `step_hint`.
pub(super) fn advance(
    run: &mut Run<'_>,
    rung: Rung,
    step_hint: &mut Option<f64>,
    step_limit: u64,
) -> Result<Turn, Halt> {
    let rest = run.span_s - run.tau;
    let first_step = match *step_hint {
        Some(step) => step.min(rest),
        None => first_step(run)?.min(rest),
    };
    let n = run.z.len();
    let start = run.z.clone();
    let absolute: Vec<f64> = (0..n)
        .map(|i| run.rates.scaled_tolerance(i, run.tolerance.absolute))
        .collect();
    let rates = run.rates;
    let mut problem = OdeBuilder::<Matrix>::new()
        .t0(run.tau)
        .h0(first_step)
        .rtol(run.tolerance.relative)
        .atol(absolute)
        .rhs_implicit(
            |z: &[f64], _p: &[f64], t: f64, rate: &mut [f64]| rates.call(t, z, rate),
            |z: &[f64], _p: &[f64], t: f64, v: &[f64], out: &mut [f64]| {
                rates.jacobian_times(t, z, v, out);
            },
        )
        .init(
            |_p: &[f64], _t: f64, z: &mut [f64]| z.copy_from_slice(&start),
            n,
        )
        .build()
        .map_err(|e| gave_up(rung, &e))?;
    problem.ode_options.max_nonlinear_solver_failures = usize::MAX;
    problem.ode_options.max_error_test_failures = ERROR_TEST_LIMIT;
    problem.ode_options.nonlinear_solver_tolerance = NEWTON_SHARE;
    problem.ode_options.min_timestep = SMALLEST_STEP_SHARE * run.span_s;
    match rung {
        Rung::TrBdf2 => {
            let state = OdeSolverState::new_without_initialise(&problem);
            let solver = state.and_then(|s| problem.tr_bdf2_solver::<SparseLu>(s));
            let solver = solver.map_err(|e| gave_up(rung, &e))?;
            drive(run, solver, rung, first_step, step_hint, step_limit)
        }
        Rung::Bdf => {
            let state = OdeSolverState::new_without_initialise(&problem);
            let solver = state.and_then(|s| problem.bdf_solver::<SparseLu>(s));
            let solver = solver.map_err(|e| gave_up(rung, &e))?;
            drive(run, solver, rung, first_step, step_hint, step_limit)
        }
        Rung::Esdirk34 => {
            let state = OdeSolverState::new_without_initialise(&problem);
            let solver = state.and_then(|s| problem.esdirk34_solver::<SparseLu>(s));
            let solver = solver.map_err(|e| gave_up(rung, &e))?;
            drive(run, solver, rung, first_step, step_hint, step_limit)
        }
    }
}

fn gave_up(rung: Rung, error: &diffsol::error::DiffsolError) -> Halt {
    Halt::GaveUp(format!("{}: {error}", rung.name()))
}

/// A first step: a small share of the time in which a state would change by itself or its scale,
/// shortened where the rates themselves change quickly (after Solving Ordinary
/// Differential Equations I, section II.4; published).
fn first_step(run: &Run<'_>) -> Result<f64, Halt> {
    let n = run.z.len();
    let weight: Vec<f64> = (0..n)
        .map(|i| {
            run.tolerance.relative * run.z[i].abs()
                + run.rates.scaled_tolerance(i, run.tolerance.absolute)
        })
        .collect();
    let norm = |v: &[f64]| {
        let sum: f64 = v.iter().zip(&weight).map(|(v, w)| (v / w).powi(2)).sum();
        (sum / n as f64).sqrt()
    };
    let rate = run.rates_here()?;
    let (size, speed) = (norm(&run.z), norm(&rate));
    let rough = if size < 1e-5 || speed < 1e-5 {
        1e-6
    } else {
        FIRST_STEP_SHARE * size / speed
    }
    .min(run.span_s);
    let ahead: Vec<f64> = run
        .z
        .iter()
        .zip(&rate)
        .map(|(z, r)| z + rough * r)
        .collect();
    let mut change = vec![0.0; n];
    run.rates.call(run.tau + rough, &ahead, &mut change);
    for (change, rate) in change.iter_mut().zip(&rate) {
        *change = (*change - rate) / rough;
    }
    let fastest = speed.max(norm(&change));
    let refined = if fastest > 1e-15 {
        (0.01 / fastest).cbrt()
    } else {
        (1e-3 * rough).max(1e-6)
    };
    Ok(refined.min(100.0 * rough))
}

/// Steps `solver` to the end of the span or the first event.
fn drive<'p, E, S>(
    run: &mut Run<'_>,
    mut solver: S,
    rung: Rung,
    first_step: f64,
    step_hint: &mut Option<f64>,
    step_limit: u64,
) -> Result<Turn, Halt>
where
    E: OdeEquationsImplicit<T = f64, V = Column> + 'p,
    S: OdeSolverMethod<'p, E>,
{
    let mut natural = step_hint.unwrap_or(first_step);
    let result = steps(run, &mut solver, rung, &mut natural, step_limit);
    add_statistics(run, solver.get_statistics());
    *step_hint = result.is_ok().then_some(natural);
    result
}

fn steps<'p, E, S>(
    run: &mut Run<'_>,
    solver: &mut S,
    rung: Rung,
    natural: &mut f64,
    step_limit: u64,
) -> Result<Turn, Halt>
where
    E: OdeEquationsImplicit<T = f64, V = Column> + 'p,
    S: OdeSolverMethod<'p, E>,
{
    let n = run.z.len();
    let end = run.span_s;
    solver.set_stop_time(end).map_err(|e| gave_up(rung, &e))?;
    let mut z = vec![0.0; n];
    let mut mark = (run.work.steps, run.tau);
    let mut ringing = mark;
    let mut column = Column::zeros(n, NalgebraContext::default());
    let mut column_again = column.clone();
    loop {
        let from = run.tau;
        let planned = solver.state().h;
        let reason = solver.step().map_err(|e| gave_up(rung, &e))?;
        let done = matches!(reason, OdeSolverStopReason::TstopReached);
        let reached = solver.state().t;
        let tau = if done { end } else { reached };
        z.copy_from_slice(solver.state().y.batch_as_slice(0));
        let other = &*solver;
        let mut inside = |t: f64, out: &mut [f64]| {
            let t = t.clamp(from.min(reached), reached);
            match other.interpolate_inplace(t, &mut column) {
                Ok(()) => out.copy_from_slice(column.batch_as_slice(0)),
                // Reported as a value that is not a number, never passed over.
                Err(_) => out.fill(f64::NAN),
            }
        };
        let mut exact = |t: f64, out: &mut [f64]| {
            let t = t.clamp(from.min(reached), reached);
            match other.interpolate_inplace(t, &mut column_again) {
                Ok(()) => out.copy_from_slice(column_again.batch_as_slice(0)),
                Err(_) => out.fill(f64::NAN),
            }
        };
        let event = run.accept(tau, &z, &mut inside, &mut exact)?;
        // A step that was cut to end on time says nothing against the size it was cut from.
        let next = solver.state().h;
        let was_cut = reached + planned >= end || done;
        *natural = if was_cut && next >= 0.9 * (reached - from) {
            natural.max(next)
        } else {
            next
        };
        if let Some(event) = event {
            return Ok(Turn::Event(event));
        }
        if done {
            return Ok(Turn::Done);
        }
        if rung == Rung::Bdf && run.work.steps >= ringing.0 + RINGING_STEPS {
            if run.tau - ringing.1 < RINGING_STEPS as f64 * RINGING_STEP_S {
                return Err(Halt::GaveUp(format!("{}: follows a ringing", rung.name())));
            }
            ringing = (run.work.steps, run.tau);
        }
        if run.work.steps >= mark.0 + CRAWL_STEPS {
            if run.tau - mark.1 < CRAWL_STEPS as f64 * CRAWL_STEP_S {
                return Err(Halt::GaveUp(format!("{}: steps too small", rung.name())));
            }
            mark = (run.work.steps, run.tau);
        }
        if run.steps_left == 0 {
            return Err(run.too_many_steps(step_limit).into());
        }
    }
}

fn add_statistics(run: &mut Run<'_>, statistics: &diffsol::ode_solver::OdeSolverStatistics) {
    let rejected =
        statistics.number_of_error_test_failures + statistics.number_of_nonlinear_solver_fails;
    run.work.rejected_steps += rejected as u64;
    run.work.factorizations += statistics.number_of_linear_solver_setups as u64;
}
