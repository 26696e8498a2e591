//! The engine: input checks, choice of method, and the ladder from one method to the next. Not
//! here: steps (`explicit`, `stiff`), crossings (`watch`).

use super::multistep::Multistep;
use super::one_step::{ESDIRK34, TR_BDF2};
use super::rates::Rates;
use super::run::{Event, Halt, Run, Turn};
use super::stiff::Rung;
use super::watch::still_crossed;
use super::{Method, Observer, SolveError, Stop, System, Tolerance, Work, explicit, lu, one_step};

/// Longest span (s of simulated time) that [`Method::Auto`] gives to the explicit method: one picture of a
/// window that plays at real time or slower, at fifty pictures a second and more.
const AUTO_EXPLICIT_SPAN_S: f64 = 0.02;
/// Most explicit steps in a tick that [`Method::Auto`] grants; a healthy rig takes 50 to 80.
const AUTO_TICK_STEPS: u32 = 120;
/// Simulated time (s) for which [`Method::Auto`] stays with the stiff methods where that was not enough.
const AUTO_STIFF_S: f64 = 1.0;
/// Simulated time (s) the explicit method carries a stiff run over a spot where the others fail.
const RESCUE_S: f64 = 0.01;
/// Times a ladder may be climbed in one advance.
const FALLBACK_LIMIT: u64 = 400;
/// Simulated time (s) after which a new failure is a new difficulty, not the last one again.
const FRESH_S: f64 = 0.01;
/// Share of the step in use, and its greatest value (s), that a lower rung starts with.
const SMALLER_START: f64 = 1e-4;
/// See [`SMALLER_START`].
const SMALLER_USUAL_S: f64 = 1e-2;
/// A span this short (s) is one rounding error of any rate of interest: one plain step.
const SHORTEST_SPAN_S: f64 = 1e-13;
/// Default cap on accepted steps in one advance.
const STEP_LIMIT: u64 = 4_000_000;

/// Integrates systems; remembers the step size and the last event from call to call.
#[derive(Debug, Clone)]
pub struct Engine {
    /// Which integrator to use.
    pub method: Method,
    /// Error allowed in a step.
    pub tolerance: Tolerance,
    /// Cap on accepted steps in one advance, after which it ends with an error.
    pub step_limit: u64,
    /// Cap on calls of the rates in one advance, and what is added to it for each second that has been integrated
    /// \[1/s\]: what the advance costs, where a step may take three calls or a hundred.
    pub call_limit: (u64, f64),
    work: Work,
    memory: Memory,
    /// The one stiff method to use, for tests of that method.
    #[cfg(test)]
    pub(super) only: Option<Rung>,
}

/// What one advance leaves for the next.
#[derive(Debug, Clone, Default)]
struct Memory {
    /// Time at which the last advance ended, s.
    end_s: Option<f64>,
    /// The multistep method with its past.
    multistep: Option<Box<Multistep>>,
    /// Whether the caller may have changed the rates since.
    changed: bool,
    stiff_step: Option<f64>,
    explicit_step: Option<f64>,
    /// Until then (s) [`Method::Auto`] leaves the explicit method alone.
    stiff_until_s: Option<f64>,
    /// Watches reported at `end_s`.
    fired: Vec<usize>,
    /// Watches that crossed at `end_s` and wait to be reported.
    waiting: Vec<(usize, bool)>,
}

impl Default for Engine {
    fn default() -> Self {
        Self::new(Method::Auto, Tolerance::default())
    }
}

impl Engine {
    /// An engine with nothing remembered.
    pub fn new(method: Method, tolerance: Tolerance) -> Self {
        Self {
            method,
            tolerance,
            step_limit: STEP_LIMIT,
            call_limit: (u64::MAX, 0.0),
            work: Work::default(),
            memory: Memory::default(),
            #[cfg(test)]
            only: None,
        }
    }

    /// Counters since the engine was made.
    pub fn work(&self) -> &Work {
        &self.work
    }

    /// To be called when the caller changed the state or a mode: the next advance compares the rates with those of
    /// before, and starts with a step that fits a discontinuity if they jump. Events already reported at
    /// this time stay reported.
    pub fn restart(&mut self) {
        self.memory.changed = true;
        self.memory.stiff_step = None;
        self.memory.explicit_step = None;
    }

    /// Advances `y` from `t0` to `t1` (s) or to the first event before it, and gives the solution
    /// at those of the sorted `samples` (s) that lie after `t0` and not after the stop.
    ///
    /// # Errors
    /// [`SolveError`] as described there; `y` is then the last accepted state, and samples up to
    /// it have been given.
    pub fn advance(
        &mut self,
        system: &dyn System,
        t0: f64,
        t1: f64,
        y: &mut [f64],
        samples: &[f64],
        on_sample: &mut dyn FnMut(f64, &[f64]),
    ) -> Result<Stop, SolveError> {
        struct Samples<'f>(&'f mut dyn FnMut(f64, &[f64]));
        impl Observer for Samples<'_> {
            fn sample(&mut self, t: f64, y: &[f64]) {
                (self.0)(t, y);
            }
        }
        self.advance_observed(system, t0, t1, y, samples, &mut Samples(on_sample))
    }

    /// As [`Engine::advance`], with an observer that also sees every accepted step.
    ///
    /// # Errors
    /// As [`Engine::advance`].
    pub fn advance_observed(
        &mut self,
        system: &dyn System,
        t0: f64,
        t1: f64,
        y: &mut [f64],
        samples: &[f64],
        observer: &mut dyn Observer,
    ) -> Result<Stop, SolveError> {
        check(self.tolerance, system, t0, t1, y)?;
        if self.memory.end_s != Some(t0) {
            self.memory = Memory {
                end_s: Some(t0),
                ..Memory::default()
            };
        }
        if let Some(stop) = self.waiting_event(system, t0, y)? {
            return Ok(stop);
        }
        if t1 == t0 {
            return Ok(Stop::Reached);
        }
        let rates = Rates::new(system, t0);
        let mut run = Run::new(
            &rates,
            self.tolerance,
            t1,
            y,
            &self.memory.fired,
            samples,
            observer,
            self.step_limit,
            self.call_limit,
        )?;
        let result = self.climb(&mut run);
        y.copy_from_slice(run.y());
        self.count(&run, &rates);
        let stopped_s = if matches!(result, Ok(Turn::Done)) {
            t1
        } else {
            run.time_s(run.tau)
        };
        self.memory.end_s = Some(stopped_s);
        self.memory.fired.clear();
        match result? {
            Turn::Done => Ok(Stop::Reached),
            Turn::Event(event) => Ok(self.report(event, stopped_s)),
        }
    }

    fn report(&mut self, event: Event, time_s: f64) -> Stop {
        self.work.events += 1;
        self.memory.fired.push(event.index);
        self.memory.waiting = event.next;
        Stop::Event {
            index: event.index,
            time_s,
            rising: event.rising,
        }
    }

    /// A watch that crossed together with the one reported last, if it still stands so.
    fn waiting_event(
        &mut self,
        system: &dyn System,
        t0: f64,
        y: &[f64],
    ) -> Result<Option<Stop>, SolveError> {
        while !self.memory.waiting.is_empty() {
            let (index, rising) = self.memory.waiting.remove(0);
            if still_crossed(system, t0, y, (index, rising))? {
                self.work.events += 1;
                self.memory.fired.push(index);
                return Ok(Some(Stop::Event {
                    index,
                    time_s: t0,
                    rising,
                }));
            }
        }
        Ok(None)
    }

    fn count(&mut self, run: &Run<'_>, rates: &Rates<'_>) {
        self.work.advances += 1;
        self.work.steps += run.work.steps;
        self.work.explicit_steps += run.work.explicit_steps;
        self.work.rejected_steps += run.work.rejected_steps;
        self.work.factorizations += run.work.factorizations;
        self.work.fallbacks += run.work.fallbacks;
        self.work.restarts += run.work.restarts;
        self.work.derivative_calls += rates.calls();
        self.work.jacobians += rates.jacobians();
    }

    /// Lets the methods take turns until the advance is done.
    fn climb(&mut self, run: &mut Run<'_>) -> Result<Turn, SolveError> {
        if run.span_s <= SHORTEST_SPAN_S {
            let slope = run.rates_here()?;
            return plain_step(run, &slope);
        }
        let start_s = run.time_s(run.tau);
        let explicit_first = match self.method {
            Method::Explicit => true,
            Method::Stiff => false,
            Method::Auto => {
                let stiff_until_s = self.memory.stiff_until_s;
                run.span_s <= AUTO_EXPLICIT_SPAN_S && stiff_until_s.is_none_or(|s| start_s >= s)
            }
        };
        if explicit_first {
            let until = run.span_s;
            let tick_steps = match self.method {
                Method::Auto => AUTO_TICK_STEPS,
                Method::Explicit | Method::Stiff => explicit::TICK_STEP_LIMIT,
            };
            let hint = &mut self.memory.explicit_step;
            run.work.restarts += u64::from(hint.is_none());
            let turn = explicit::advance(run, until, hint, tick_steps, self.step_limit);
            match turn {
                Ok(turn) => return Ok(turn),
                Err(Halt::Error(error)) => return Err(error),
                Err(Halt::GaveUp(reason)) if self.method == Method::Explicit => {
                    return Err(run.stuck(reason));
                }
                Err(Halt::GaveUp(_)) => {
                    run.work.fallbacks += 1;
                    self.memory.stiff_until_s = Some(start_s + AUTO_STIFF_S);
                }
            }
        }
        self.climb_stiff(run)
    }

    /// The stiff ladder: each method in turn, a short explicit rescue at its end, and back up.
    fn climb_stiff(&mut self, run: &mut Run<'_>) -> Result<Turn, SolveError> {
        let ladder = self.ladder();
        let changed = std::mem::take(&mut self.memory.changed);
        let mut rung = 0;
        loop {
            let before = run.tau;
            let limit = self.step_limit;
            if rung > 0 && rung < ladder.len() {
                self.memory.stiff_step = Some(smaller_start(self.memory.stiff_step));
            }
            let hint = &mut self.memory.stiff_step;
            let turn = match ladder.get(rung) {
                Some(Rung::Bdf) => {
                    let n = run.z.len();
                    let fits = self.memory.multistep.take().filter(|m| m.dim() == n);
                    let mut method = fits.unwrap_or_else(|| Box::new(Multistep::new(n)));
                    let turn = method.advance(run, changed, limit);
                    *hint = Some(method.step_s());
                    self.memory.multistep = Some(method);
                    turn
                }
                Some(Rung::Esdirk34) => one_step::advance(run, &ESDIRK34, hint, limit),
                Some(Rung::TrBdf2) => one_step::advance(run, &TR_BDF2, hint, limit),
                None => {
                    *hint = None;
                    let until = (run.tau + RESCUE_S).min(run.span_s);
                    let hint = &mut self.memory.explicit_step;
                    explicit::advance(run, until, hint, explicit::TICK_STEP_LIMIT, limit)
                }
            };
            let reason = match turn {
                Ok(Turn::Done) if run.tau < run.span_s => {
                    // The rescue carried the run on.
                    rung = 1;
                    continue;
                }
                Ok(turn) => return Ok(turn),
                Err(Halt::Error(error)) => return Err(error),
                Err(Halt::GaveUp(reason)) => reason,
            };
            if rung == ladder.len() || run.work.fallbacks >= FALLBACK_LIMIT {
                return Err(run.stuck(reason));
            }
            run.work.fallbacks += 1;
            rung = if run.tau - before >= FRESH_S {
                1
            } else {
                rung + 1
            };
        }
    }

    /// The stiff methods in their order: the one with a past first, then those that damp.
    #[cfg_attr(not(test), allow(clippy::unused_self))] // a test may ask for one of them
    fn ladder(&self) -> [Rung; 3] {
        #[cfg(test)]
        if let Some(rung) = self.only {
            return [rung; 3];
        }
        [Rung::Bdf, Rung::Esdirk34, Rung::TrBdf2]
    }
}

/// First step of a rung below the first, from the step in use when the one above gave up.
fn smaller_start(usual: Option<f64>) -> f64 {
    SMALLER_START * usual.unwrap_or(SMALLER_USUAL_S).min(SMALLER_USUAL_S)
}

/// One explicit Euler step over a span too short for anything else.
fn plain_step(run: &mut Run<'_>, slope: &[f64]) -> Result<Turn, SolveError> {
    let (before, span) = (run.z.clone(), run.span_s);
    let line = |t: f64, out: &mut [f64]| {
        for ((out, z), slope) in out.iter_mut().zip(&before).zip(slope) {
            *out = z + t * slope;
        }
    };
    let mut end = vec![0.0; before.len()];
    line(span, &mut end);
    let event = run.accept(span, &end, &mut |t, out| line(t, out), &mut |t, out| {
        line(t, out);
    })?;
    Ok(event.map_or(Turn::Done, Turn::Event))
}

fn check(
    tolerance: Tolerance,
    system: &dyn System,
    t0: f64,
    t1: f64,
    y: &[f64],
) -> Result<(), SolveError> {
    let bad = |what: String| Err(SolveError::BadInput { what });
    let n = system.dim();
    if n == 0 || y.len() != n || system.scales().len() != n {
        return bad(format!(
            "the system has {n} states, the state vector {}, the scales {}; all three must agree \
             and not be zero",
            y.len(),
            system.scales().len()
        ));
    }
    if n > lu::MOST {
        return bad(format!(
            "the system has {n} states; the solver takes {} at most",
            lu::MOST
        ));
    }
    if !(t0.is_finite() && t1.is_finite() && t1 >= t0) {
        return bad(format!(
            "the time must run forward between finite limits, not from {t0} s to {t1} s"
        ));
    }
    let positive = |v: f64| v.is_finite() && v > 0.0;
    if !(positive(tolerance.relative) && positive(tolerance.absolute)) {
        return bad(format!(
            "the tolerances must be positive numbers, not {} and {}",
            tolerance.relative, tolerance.absolute
        ));
    }
    if let Some(i) = system.scales().iter().position(|s| !positive(*s)) {
        return bad(format!(
            "the scale of {} must be a positive number, not {}",
            system.state_name(i),
            system.scales()[i]
        ));
    }
    match y.iter().position(|v| !v.is_finite()) {
        None => Ok(()),
        Some(i) => Err(SolveError::NonFinite {
            time_s: t0,
            state: system.state_name(i),
            what: "the value",
        }),
    }
}
