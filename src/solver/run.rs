//! The state of one advance, shared by the methods that may take turns in it: what an accepted
//! step sets off (events, samples, observer), and the error an ending turns into. Not here: how
//! steps are made (`explicit`, `stiff`), which method makes them (`engine`).

use super::rates::Rates;
use super::watch::{Crossing, Dense, Watcher, still_crossed};
use super::{Observer, SolveError, Tolerance, Work};

/// Why a method handed the advance back before its end.
#[derive(Debug, Clone)]
pub(super) enum Halt {
    /// The method cannot go on; another may.
    GaveUp(String),
    /// No method can go on.
    Error(SolveError),
}

impl From<SolveError> for Halt {
    fn from(error: SolveError) -> Self {
        Self::Error(error)
    }
}

/// What ended a method's turn without fault.
#[derive(Debug, Clone)]
pub(super) enum Turn {
    /// The local end time was reached.
    Done,
    /// A watch crossed.
    Event(Event),
}

/// A crossing to report, and those to report next at the same time.
#[derive(Debug, Clone)]
pub(super) struct Event {
    pub(super) index: usize,
    pub(super) rising: bool,
    pub(super) next: Vec<(usize, bool)>,
}

/// One advance in progress.
pub(super) struct Run<'a> {
    pub(super) rates: &'a Rates<'a>,
    pub(super) tolerance: Tolerance,
    /// Length of the advance, s.
    pub(super) span_s: f64,
    /// Local time of the last accepted state, s.
    pub(super) tau: f64,
    /// Last accepted scaled state.
    pub(super) z: Vec<f64>,
    pub(super) steps_left: u64,
    /// Steps that may be accepted at all.
    steps_allowed: u64,
    /// Calls of the rates that may be made, and so many more for each second behind.
    calls_allowed: (u64, f64),
    pub(super) work: Work,
    watcher: Watcher,
    samples: &'a [f64],
    observer: &'a mut dyn Observer,
    y: Vec<f64>,
    probe: Vec<f64>,
    /// Unscaled state at the end of the step being taken.
    end: Vec<f64>,
    /// Room for a scaled state inside it.
    inside: Vec<f64>,
}

impl<'a> Run<'a> {
    /// Starts at the unscaled state `y`; only `samples` after the start and up to the end count.
    #[allow(clippy::too_many_arguments)] // one caller; every one is a different thing
    pub(super) fn new(
        rates: &'a Rates<'a>,
        tolerance: Tolerance,
        end_s: f64,
        y: &[f64],
        fired: &[usize],
        samples: &'a [f64],
        observer: &'a mut dyn Observer,
        steps_allowed: u64,
        calls_allowed: (u64, f64),
    ) -> Result<Self, SolveError> {
        let start_s = rates.start_s;
        let after = samples.partition_point(|s| *s <= start_s);
        let until = samples.partition_point(|s| *s <= end_s);
        let mut z = vec![0.0; y.len()];
        rates.scaled(y, &mut z);
        Ok(Self {
            rates,
            tolerance,
            span_s: end_s - start_s,
            tau: 0.0,
            z,
            steps_left: steps_allowed,
            steps_allowed,
            calls_allowed,
            work: Work::default(),
            watcher: Watcher::new(rates.system, start_s, y, fired)?,
            samples: &samples[after..until.max(after)],
            observer,
            y: y.to_vec(),
            probe: vec![0.0; y.len()],
            end: vec![0.0; y.len()],
            inside: vec![0.0; y.len()],
        })
    }

    pub(super) fn time_s(&self, tau: f64) -> f64 {
        self.rates.start_s + tau
    }

    /// Unscaled last accepted state.
    pub(super) fn y(&self) -> &[f64] {
        &self.y
    }

    /// Takes the accepted step to the scaled state `z` at local time `tau`. `probe` and `exact`
    /// give the scaled state inside the step (see [`Watcher::look`]); samples come from `probe`.
    pub(super) fn accept(
        &mut self,
        tau: f64,
        z: &[f64],
        probe: Dense<'_>,
        exact: Dense<'_>,
    ) -> Result<Option<Event>, SolveError> {
        self.work.steps += 1;
        let (at_once, each_s) = self.calls_allowed;
        let calls = at_once.saturating_add((each_s * tau) as u64);
        self.steps_left = if self.rates.calls() > calls {
            0
        } else {
            self.steps_allowed.saturating_sub(self.work.steps)
        };
        let (from, rates) = (self.tau, self.rates);
        rates.unscaled(z, &mut self.end);
        if let Some(i) = self.end.iter().position(|y| !y.is_finite()) {
            return Err(self.not_finite(tau, i, "the value"));
        }
        let scaled = &mut self.inside;
        let found = self.watcher.look(
            rates.system,
            rates.start_s,
            (from, tau),
            &self.end,
            &mut |t, y| {
                probe(t, scaled);
                rates.unscaled(scaled, y);
            },
            &mut |t, y| {
                let mut scaled = vec![0.0; y.len()];
                exact(t, &mut scaled);
                rates.unscaled(&scaled, y);
            },
        )?;
        let stop = found.as_ref().map_or(tau, |f| f.tau);
        self.hand_out_samples(stop, tau, probe);
        if stop == tau {
            self.z.copy_from_slice(z);
        } else {
            exact(stop, &mut self.inside);
            if let Some(i) = self.inside.iter().position(|z| !z.is_finite()) {
                return Err(self.not_finite(stop, i, "the value"));
            }
            self.z.copy_from_slice(&self.inside);
        }
        self.tau = stop;
        rates.unscaled(&self.z, &mut self.y);
        self.observer.step(rates.start_s + stop, &self.y);
        found.map(|f| self.event(f)).transpose()
    }

    /// The samples up to `stop`, in a step that ends at local time `tau`.
    fn hand_out_samples(&mut self, stop: f64, tau: f64, probe: Dense<'_>) {
        while let Some((&sample_s, rest)) = self.samples.split_first() {
            let at = sample_s - self.rates.start_s;
            if at > stop {
                break;
            }
            if at == tau {
                self.observer.sample(sample_s, &self.end);
            } else {
                probe(at, &mut self.inside);
                self.rates.unscaled(&self.inside, &mut self.probe);
                self.observer.sample(sample_s, &self.probe);
            }
            self.samples = rest;
        }
    }

    fn event(&self, found: Crossing) -> Result<Event, SolveError> {
        let time_s = self.time_s(found.tau);
        let mut next = Vec::new();
        for rival in found.rivals {
            if still_crossed(self.rates.system, time_s, &self.y, rival)? {
                next.push(rival);
            }
        }
        Ok(Event {
            index: found.index,
            rising: found.rising,
            next,
        })
    }

    /// Rates at the last accepted state; an error if one of them is not finite there.
    pub(super) fn rates_here(&self) -> Result<Vec<f64>, SolveError> {
        self.rates.take_fault();
        let mut rate = vec![0.0; self.z.len()];
        self.rates.call(self.tau, &self.z, &mut rate);
        match self.rates.take_fault() {
            None => Ok(rate),
            Some((tau, i)) => Err(self.not_finite(tau, i, "the rate of change")),
        }
    }

    pub(super) fn not_finite(&self, tau: f64, state: usize, what: &'static str) -> SolveError {
        SolveError::NonFinite {
            time_s: self.time_s(tau),
            state: self.rates.system.state_name(state),
            what,
        }
    }

    fn fastest_state(&self) -> String {
        let i = self.rates.fastest(self.tau, &self.z);
        self.rates.system.state_name(i)
    }

    pub(super) fn too_many_steps(&self, limit: u64) -> SolveError {
        SolveError::TooManySteps {
            time_s: self.time_s(self.tau),
            state: self.fastest_state(),
            limit,
        }
    }

    /// The error for an advance no method can continue: a rate that was not finite if there was
    /// one, else the reason of the last method.
    pub(super) fn stuck(&self, reason: String) -> SolveError {
        match self.rates.take_fault() {
            Some((tau, i)) if tau >= self.tau => self.not_finite(tau, i, "the rate of change"),
            _ => SolveError::Stuck {
                time_s: self.time_s(self.tau),
                state: self.fastest_state(),
                reason,
            },
        }
    }
}
