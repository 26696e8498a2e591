//! The stiff engine: its methods by name, its first step, and what ends a method's turn that leads nowhere. Not here:
//! the methods (`multistep`, `one_step`), the choice among them (`engine`).

use super::newton::Newton;
use super::run::{Halt, Run};

/// The methods of this engine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Rung {
    /// Backward differences of order 1 to 5 that live on from advance to advance.
    Bdf,
    /// ESDIRK 3(4): one-step, third order.
    Esdirk34,
    /// TR-BDF2: one-step, second order; the most forgiving at corners.
    TrBdf2,
}

/// Smallest step, as a share of the span: below the rounding of the local time.
const SMALLEST_STEP_SHARE: f64 = 1e-14;
/// So many accepted steps of less than so many seconds each are no progress.
const CRAWL_STEPS: u64 = 2000;
/// See [`CRAWL_STEPS`]: far below the fastest time constant of any rig, 1e-5 s.
const CRAWL_STEP_S: f64 = 1e-9;
/// BDF of high order does not damp a ringing that is nearly undamped, and then follows it for ever
/// at the level of the tolerance: after so many steps of less than so many seconds a one-step
/// method, which damps it, takes over.
const RINGING_STEPS: u64 = 10_000;
/// See [`RINGING_STEPS`].
const RINGING_STEP_S: f64 = 1e-3;
/// Share of the rough time scale of the start that the very first step takes.
const FIRST_STEP_SHARE: f64 = 1e-3;

/// The smallest step (s) of a run.
pub(super) fn smallest_step_s(run: &Run<'_>) -> f64 {
    SMALLEST_STEP_SHARE * run.span_s
}

/// A first step (s): a small share of the time in which a state would change by itself or its scale,
/// shortened where the rates (`slope` here) themselves change quickly (after Solving Ordinary
/// Differential Equations I, section II.4; published).
pub(super) fn first_step(run: &Run<'_>, slope: &[f64], newton: &Newton) -> f64 {
    let (size, speed) = (newton.norm(&run.z), newton.norm(slope));
    let rough = if size < 1e-5 || speed < 1e-5 {
        1e-6
    } else {
        FIRST_STEP_SHARE * size / speed
    }
    .min(run.span_s - run.tau);
    let parts = run.z.iter().zip(slope);
    let ahead: Vec<f64> = parts.map(|(z, r)| z + rough * r).collect();
    let mut change = vec![0.0; slope.len()];
    run.rates.call(run.tau + rough, &ahead, &mut change);
    for (change, rate) in change.iter_mut().zip(slope) {
        *change = (*change - rate) / rough;
    }
    let fastest = speed.max(newton.norm(&change));
    let refined = if fastest > 1e-15 {
        (0.01 / fastest).cbrt()
    } else {
        (1e-3 * rough).max(1e-6)
    };
    refined.min(100.0 * rough)
}

/// Watches a method's accepted steps and ends its turn where they lead nowhere.
pub(super) struct Guard {
    name: &'static str,
    /// Whether the method may follow a ringing for ever.
    rings: bool,
    crawl: (u64, f64),
    ringing: (u64, f64),
}

impl Guard {
    pub(super) fn new(run: &Run<'_>, name: &'static str, rings: bool) -> Self {
        let here = (run.work.steps, run.tau);
        Self {
            name,
            rings,
            crawl: here,
            ringing: here,
        }
    }

    /// Looks after an accepted step.
    pub(super) fn look(&mut self, run: &Run<'_>, step_limit: u64) -> Result<(), Halt> {
        let here = (run.work.steps, run.tau);
        let slow = |mark: &mut (u64, f64), steps: u64, step_s: f64| {
            let due = here.0 >= mark.0 + steps;
            let slow = due && here.1 - mark.1 < steps as f64 * step_s;
            if due {
                *mark = here;
            }
            slow
        };
        if self.rings && slow(&mut self.ringing, RINGING_STEPS, RINGING_STEP_S) {
            return Err(Halt::GaveUp(format!("{}: follows a ringing", self.name)));
        }
        if slow(&mut self.crawl, CRAWL_STEPS, CRAWL_STEP_S) {
            return Err(Halt::GaveUp(format!("{}: steps too small", self.name)));
        }
        if run.steps_left == 0 {
            return Err(run.too_many_steps(step_limit).into());
        }
        Ok(())
    }
}
