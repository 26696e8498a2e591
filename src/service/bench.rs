//! The bench: a simulation under a technician's hands, with a kit of instruments, a record, and a
//! listener that hears the progress and may stop it.

use super::instruments::Kit;
use super::kind::TestKind;
use super::points::PointError;
use super::report::TracePoint;
use crate::fault::Fault;
use crate::rig::{Phase, Readings};
use crate::scenario::{Action, Event, Growth, Run, Scenario};
use crate::sim::{SimError, Simulation};

/// How far a visit has come.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Progress {
    /// The test that runs.
    pub test: TestKind,
    /// Simulated time since the visit began \[s\].
    pub elapsed_s: f64,
    /// Share of the visit that is done, 0 to 1 (by simulated time, roughly).
    pub share: f64,
}

/// Why a test gave no result.
#[derive(Debug, Clone, thiserror::Error)]
pub enum ServiceError {
    /// The state of the rig forbids the test.
    #[error("{test} cannot be made now: {why}")]
    Forbidden {
        /// The test, in words.
        test: &'static str,
        /// Why, and what to do first.
        why: String,
    },
    /// The listener stopped it.
    #[error("the test was stopped")]
    Cancelled,
    /// The run failed.
    #[error("{0}")]
    Sim(#[from] SimError),
    /// A point the rig lacks.
    #[error("{0}")]
    Point(#[from] PointError),
}

/// First stretch between two looks at the listener \[s of simulated time\]; after one that took the
/// engine few steps the next is longer, for every stretch is a new start.
const STRETCH_S: f64 = 30.0;
/// So much longer.
const LONGER: f64 = 4.0;
/// So many steps are few: a millisecond or so.
const FEW_STEPS: u64 = 150;

/// A simulation on the bench.
pub struct Bench<'a> {
    /// The rig under test.
    pub sim: &'a mut Simulation,
    /// Instruments.
    pub kit: Kit,
    listener: &'a mut dyn FnMut(&Progress) -> bool,
    began_s: f64,
    expected_s: f64,
    pub(super) test: TestKind,
    pub(super) trace: Vec<TracePoint>,
    pub(super) steps: Vec<String>,
}

impl<'a> Bench<'a> {
    /// Puts a simulation on the bench. `listener` hears how far it is and returns whether to go on.
    pub fn new(sim: &'a mut Simulation, listener: &'a mut dyn FnMut(&Progress) -> bool) -> Self {
        Self {
            began_s: sim.time_s(),
            sim,
            kit: Kit::default(),
            listener,
            expected_s: 900.0,
            test: TestKind::LeakCheck,
            trace: Vec::new(),
            steps: Vec::new(),
        }
    }

    /// Simulated time since the rig came to the bench \[s\].
    pub fn elapsed_s(&self) -> f64 {
        self.sim.time_s() - self.began_s
    }

    /// One act, noted in words.
    pub(super) fn act(&mut self, action: &Action, words: impl Into<String>) {
        self.steps.push(words.into());
        self.sim.act(action);
    }

    /// Lets time pass, noting the outlet every `sample_s`.
    ///
    /// # Errors
    /// [`ServiceError`] if the run fails or the listener stops it.
    pub fn wait(&mut self, duration_s: f64, sample_s: f64) -> Result<Readings, ServiceError> {
        let end_s = self.sim.time_s() + duration_s;
        let mut stretch_s = STRETCH_S;
        while self.sim.time_s() < end_s {
            let until = (self.sim.time_s() + stretch_s).min(end_s);
            let steps = self.sim.work().steps;
            let trace = &mut self.trace;
            self.sim.advance(until, Some(sample_s), &mut |r| {
                trace.push(TracePoint {
                    time_s: r.time_s,
                    outlet_pa: r.outlet_pa,
                    first_stage_pa: r.first.chamber_pa,
                    inlet_pa: r.containers[r.service_side].pigtail_pa,
                });
            })?;
            if self.sim.work().steps - steps < FEW_STEPS {
                stretch_s *= LONGER;
            } else {
                stretch_s = STRETCH_S;
            }
            let progress = Progress {
                test: self.test,
                elapsed_s: self.elapsed_s(),
                share: (self.elapsed_s() / self.expected_s).min(1.0),
            };
            if !(self.listener)(&progress) {
                return Err(ServiceError::Cancelled);
            }
        }
        Ok(self.sim.readings())
    }

    /// Opens a container valve as one should: cracked until the hose has filled, then fully.
    pub(super) fn open_slowly(&mut self, container: usize) -> Result<(), ServiceError> {
        for (open, over_s, wait_s) in [(CRACK, 1.0, 6.0), (1.0, 4.0, 10.0)] {
            let action = Action::Valve {
                container,
                open,
                over_s,
            };
            self.sim.act(&action);
            self.wait(wait_s, 1.0)?;
        }
        Ok(())
    }

    /// Switches appliances so that exactly those of `wanted` are on, and waits until each burns or
    /// has given up. Returns the names of those that do not burn.
    pub(super) fn light_exactly(&mut self, wanted: &[usize]) -> Result<Vec<String>, ServiceError> {
        let rig = self.sim.rig().clone();
        for i in 0..rig.appliances.len() {
            let on = wanted.contains(&i);
            if self.sim.moment().modes.appliances[i].on != on {
                let verb = if on { "lit" } else { "shut off" };
                let words = format!("{verb} {}", rig.appliances[i].name);
                self.act(&Action::Switch { appliance: i, on }, words);
            }
        }
        let waiting = |p: Phase| matches!(p, Phase::Purge | Phase::Trial | Phase::Waiting);
        for _ in 0..LIGHTING_STRETCHES {
            let modes = &self.sim.moment().modes.appliances;
            if !wanted.iter().any(|&i| waiting(modes[i].phase)) {
                break;
            }
            self.wait(LIGHTING_S, LIGHTING_S)?;
        }
        Ok(self.unlit(wanted))
    }

    /// Names of those of `wanted` that do not burn.
    pub(super) fn unlit(&self, wanted: &[usize]) -> Vec<String> {
        let modes = &self.sim.moment().modes.appliances;
        let unlit = wanted.iter().filter(|&&i| !modes[i].lit);
        unlit
            .map(|&i| self.sim.rig().appliances[i].name.clone())
            .collect()
    }

    /// Whether any gas burns or is let to a burner.
    pub fn anything_lit(&self) -> Option<String> {
        let rig = self.sim.rig();
        let modes = &self.sim.moment().modes.appliances;
        rig.appliances
            .iter()
            .zip(modes)
            .find(|(_, m)| m.lit || m.pilot_lit || m.valve.to > 0.0)
            .map(|(a, _)| a.name.clone())
    }

    /// Whether a container valve is open: with a changeover either side feeds.
    pub fn supply_open(&self) -> bool {
        self.sim.moment().modes.supply_open(self.sim.time_s())
    }
}

/// Opening of a container valve that is just cracked.
const CRACK: f64 = 0.015;
/// Looks at the burners while they light: so often, so long \[s\].
const LIGHTING_STRETCHES: usize = 10;
const LIGHTING_S: f64 = 6.0;

/// Half width of a thermostat turned right up \[K\].
const TURNED_UP_K: f64 = 60.0;
/// So far at most \[K\], inside what a scenario file may say: a rig made ready, even twice, must
/// still read back from its file.
const DIAL_K: (f64, f64) = (225.0, 590.0);

/// A scenario made ready for a visit: the same rig, site and charge, all burners off, thermostats
/// turned up so that every burner lights when asked, the service valve open, and the faults of the
/// file with those of `extra` in the rig from the start.
#[must_use]
pub fn prepare(scenario: &Scenario, extra: &[(Fault, f64)]) -> Scenario {
    let mut out = scenario.clone();
    for a in &mut out.rig.appliances {
        if let Some(load) = &mut a.thermal {
            let turned_k = load.set_k + TURNED_UP_K * load.efficiency.signum();
            load.set_k = turned_k.clamp(DIAL_K.0, DIAL_K.1);
        }
    }
    out.on_at_start.iter_mut().for_each(|on| *on = false);
    for (i, open) in out.valves_open.iter_mut().enumerate() {
        *open |= i == scenario.service_side;
    }
    let at_once = |fault, severity| Action::Inject {
        fault,
        severity,
        over_s: 0.0,
    };
    let from_file = scenario.events.iter().filter_map(|e| match e.action {
        Action::Inject {
            fault, severity, ..
        }
        | Action::Grow {
            fault,
            severity,
            by: Growth::Cycles { .. },
        } => Some(at_once(fault, severity)),
        // What waits for the cold still does.
        Action::Grow { .. } => Some(e.action),
        _ => None,
    });
    let extra = extra
        .iter()
        .map(|&(fault, severity)| at_once(fault, severity));
    out.events = from_file
        .chain(extra)
        .map(|action| Event { at_s: 0.0, action })
        .collect();
    out.run = Run {
        duration_s: 1200.0,
        sample_s: 1.0,
        ..scenario.run
    };
    out
}
