//! The bench: a simulation under a technician's hands, with a kit of instruments, a record, and a
//! listener that hears the progress and may stop it.

use super::act::ActError;
use super::figure::{Step, TracePoint};
use super::hindrance::Hindrance;
use super::item::{Id, Observation};
use super::sight::Lighting;
use super::test::Test;
use super::verdict::{Judged, MOMENT_S};
use crate::fault::{Fault, UnknownFault};
use crate::rig::{MAX_APPLIANCES, Phase, Readings};
use crate::scenario::{Action, Event, Growth, Run, Scenario};
use crate::service::{Kit, LIMITS, PointError};
use crate::sim::{SimError, Simulation};

/// How far a visit has come.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Progress {
    /// The test that runs.
    pub test: Test,
    /// Simulated time since the visit began \[s\].
    pub elapsed_s: f64,
    /// Share of the visit that is done, 0 to 1 (by simulated time, roughly).
    pub share: f64,
}

/// Why a test gave no result.
#[derive(Debug, Clone, thiserror::Error)]
pub enum VisitError {
    /// The state of the rig forbids the test.
    #[error("{test} must wait: {why}")]
    Forbidden {
        /// The test, in words.
        test: &'static str,
        /// Why, and what to do first.
        why: Hindrance,
    },
    /// A gauge passed what forbids to go on, in the middle of a test.
    #[error("stopped: {0}")]
    Halted(Hindrance),
    /// The listener stopped it.
    #[error("the test was stopped")]
    Cancelled,
    /// The run failed.
    #[error("{0}")]
    Sim(#[from] SimError),
    /// A point the rig lacks.
    #[error("{0}")]
    Point(#[from] PointError),
    /// Words that are no act.
    #[error("{0}")]
    Words(#[from] ActError),
    /// A name that is no fault's.
    #[error("{0}")]
    Fault(#[from] UnknownFault),
}

/// How long a hand takes to shut a container valve, without haste \[s\].
pub(super) const VALVE_S: f64 = 2.0;
/// First stretch between two looks at the listener \[s of simulated time\]; after one that took the
/// engine few steps the next is longer, for every stretch is a new start.
const STRETCH_S: f64 = 30.0;
/// So much longer.
const LONGER: f64 = 4.0;
/// So many steps are few: a millisecond or so.
const FEW_STEPS: u64 = 150;

/// Since when nothing was touched.
#[derive(Debug, Clone, Copy)]
pub(super) struct Still {
    /// Since then \[s\].
    pub since_s: f64,
    /// Whether what burned was shut off then.
    pub from_load: bool,
}

/// The highest outlet that was seen, and what was on then.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Highest {
    /// Gauge \[Pa\].
    pub pa: f64,
    /// When \[s\].
    pub at_s: f64,
    /// Appliances that were on.
    pub on: [bool; MAX_APPLIANCES],
}

impl Highest {
    fn look(&mut self, r: &Readings) {
        if r.outlet_pa > self.pa {
            *self = Self {
                pa: r.outlet_pa,
                at_s: r.time_s,
                on: r.appliances.map(|a| a.phase != Phase::Off),
            };
        }
    }
}

/// A simulation on the bench.
pub struct Bench<'a> {
    /// The rig under test.
    pub sim: &'a mut Simulation,
    /// Instruments.
    pub kit: Kit,
    listener: Option<&'a mut dyn FnMut(&Progress) -> bool>,
    began_s: f64,
    expected_s: f64,
    pub(super) test: Test,
    pub(super) trace: Vec<TracePoint>,
    pub(super) steps: Vec<Step>,
    /// What the test now going on has found out.
    pub(super) found: Vec<Observation>,
    /// How burners were seen to light.
    pub(super) lighting: Lighting,
    /// Whether what must not be done is refused with the reason; where not, it is done, and the rig answers.
    pub refuses: bool,
    /// Whether a look that can do without a flame may light one to look again with gas flowing.
    pub lights: bool,
    /// Whether a technician is at work on a rig, and not one of the visits and acts that diagnosis and drills learned from: a test
    /// stops where a gauge passes what forbids to go on, a vent is looked at until it has come to rest, gas is heard at joints too.
    pub on_site: bool,
    /// Whether a test goes on there, whose gauges are watched: hands that do something else are not stopped.
    pub(super) watches: bool,
    /// Appliances that this visit has found to take far more than their plates.
    pub(super) kept_off: Vec<usize>,
    /// Whether the one that is kept off burned so large that an eye sees it beside the others.
    pub(super) one_is_large: bool,
    /// What was judged of the test now going on besides its readings.
    pub(super) beside: Vec<Judged>,
    /// Since when burners and containers stand as they do \[s\], and whether burners were shut off then.
    pub(super) still: Still,
    /// The highest outlet of the test now going on.
    pub(super) highest: Highest,
    /// Whether only the figures count: nothing is recorded, and a rig that hunts is watched for less long.
    pub(super) figures_only: bool,
}

impl<'a> Bench<'a> {
    /// Puts a simulation on the bench; nobody listens.
    pub fn on(sim: &'a mut Simulation) -> Self {
        Self::heard(sim, None)
    }

    /// Puts a simulation on the bench. `listener` hears how far it is and returns whether to go on.
    pub fn new(sim: &'a mut Simulation, listener: &'a mut dyn FnMut(&Progress) -> bool) -> Self {
        Self::heard(sim, Some(listener))
    }

    fn heard(
        sim: &'a mut Simulation,
        listener: Option<&'a mut dyn FnMut(&Progress) -> bool>,
    ) -> Self {
        let still = Still {
            since_s: sim.time_s(),
            from_load: false,
        };
        Self {
            began_s: sim.time_s(),
            sim,
            kit: Kit::default(),
            listener,
            expected_s: 900.0,
            test: Test::LeakCheck,
            trace: Vec::new(),
            steps: Vec::new(),
            found: Vec::new(),
            lighting: Lighting::default(),
            refuses: true,
            lights: true,
            on_site: false,
            watches: false,
            kept_off: Vec::new(),
            one_is_large: false,
            beside: Vec::new(),
            still,
            highest: Highest::default(),
            figures_only: false,
        }
    }

    /// A bench for figures only, read by instruments without errors.
    pub(super) fn exact(sim: &'a mut Simulation) -> Self {
        Self {
            kit: Kit::exact(),
            figures_only: true,
            ..Self::on(sim)
        }
    }

    /// Notes what was found out now, as the item's own instrument shows it.
    pub(super) fn note(&mut self, item: Id, value: f64) {
        self.found.push(Observation {
            item,
            value: item.item().shown(value),
            uncertainty: None,
            over: false,
            at_s: self.sim.time_s(),
        });
    }

    /// Simulated time since the rig came to the bench \[s\].
    pub fn elapsed_s(&self) -> f64 {
        self.sim.time_s() - self.began_s
    }

    /// One act, noted.
    pub(super) fn act(&mut self, action: &Action, step: Step) {
        self.steps.push(step);
        self.sim.act(action);
    }

    /// Lets time pass, noting the outlet every `sample_s`.
    ///
    /// # Errors
    /// [`VisitError`] if the run fails or the listener stops it.
    pub fn wait(&mut self, duration_s: f64, sample_s: f64) -> Result<Readings, VisitError> {
        if self.figures_only {
            return self.pass(duration_s);
        }
        self.watch(duration_s, sample_s)
    }

    /// Lets time pass with a look every `sample_s`, whether anything is recorded or not.
    pub(super) fn watch(&mut self, duration_s: f64, sample_s: f64) -> Result<Readings, VisitError> {
        let end_s = self.sim.time_s() + duration_s;
        let mut stretch_s = STRETCH_S;
        while self.sim.time_s() < end_s {
            let until = (self.sim.time_s() + stretch_s).min(end_s);
            let steps = self.sim.work().steps;
            let from = self
                .watches
                .then(|| (self.sim.moment().clone(), self.trace.len(), self.seen()));
            self.record(until, sample_s)?;
            if let Some((moment, kept, seen)) = from
                && let Some((at_s, why)) = self.passes(kept)
            {
                self.sim.go_back_to(&moment);
                self.trace.truncate(kept);
                (self.lighting, self.highest) = seen;
                self.record(at_s, sample_s)?;
                return Err(VisitError::Halted(why));
            }
            if self.sim.work().steps - steps < FEW_STEPS {
                stretch_s *= LONGER;
            } else {
                stretch_s = STRETCH_S;
            }
            self.tell()?;
        }
        Ok(self.sim.readings())
    }

    fn seen(&self) -> (Lighting, Highest) {
        (self.lighting, self.highest)
    }

    /// Runs the rig on to a time, and notes what is seen of it on the way.
    fn record(&mut self, until_s: f64, sample_s: f64) -> Result<(), VisitError> {
        let (trace, lighting, highest) = (&mut self.trace, &mut self.lighting, &mut self.highest);
        let healthy = self.sim.scenario().rig.appliances.clone();
        self.sim.advance(until_s, Some(sample_s), &mut |r| {
            lighting.look(r, &healthy);
            highest.look(r);
            trace.push(TracePoint {
                time_s: r.time_s,
                outlet_pa: r.outlet_pa,
                first_stage_pa: r.first.chamber_pa,
                inlet_pa: r.containers[r.service_side].pigtail_pa,
            });
        })?;
        Ok(())
    }

    /// When a gauge that is on passed what forbids to go on, since the record was so long: the outlet far over for more than a
    /// moment, a first stage over 25 psig.
    fn passes(&self, kept: usize) -> Option<(f64, Hindrance)> {
        let l = &LIMITS;
        let mut since_s = None;
        for p in &self.trace[kept.saturating_sub(BEFORE)..] {
            since_s = l
                .far_over
                .is_passed_by(p.outlet_pa)
                .then(|| since_s.unwrap_or(p.time_s));
            if since_s.is_some_and(|from_s| p.time_s - from_s >= MOMENT_S) {
                return Some((p.time_s, Hindrance::FarOver));
            }
            if self.test.reads_first() && l.first_danger.is_passed_by(p.first_stage_pa) {
                return Some((p.time_s, Hindrance::FirstOver));
            }
        }
        None
    }

    /// Lets time pass without a record. A rig that hunts costs steps without end and is watched for less long: what it
    /// does after seconds it does after minutes.
    fn pass(&mut self, duration_s: f64) -> Result<Readings, VisitError> {
        let (start_s, steps) = (self.sim.time_s(), self.sim.work().steps);
        for share_s in [duration_s.min(2.0), duration_s.min(20.0), duration_s] {
            if start_s + share_s > self.sim.time_s() {
                self.sim.advance(start_s + share_s, None, &mut |_| {})?;
            }
            if self.sim.work().steps - steps > MOST_STEPS {
                break;
            }
        }
        self.tell()?;
        Ok(self.sim.readings())
    }

    fn tell(&mut self) -> Result<(), VisitError> {
        let progress = Progress {
            test: self.test,
            elapsed_s: self.elapsed_s(),
            share: (self.elapsed_s() / self.expected_s).min(1.0),
        };
        if self.listener.as_mut().is_none_or(|hears| hears(&progress)) {
            Ok(())
        } else {
            Err(VisitError::Cancelled)
        }
    }

    /// Opens a container valve as one should: cracked until the hose has filled, then fully.
    pub(super) fn open_slowly(&mut self, container: usize) -> Result<(), VisitError> {
        self.still = Still {
            since_s: self.sim.time_s(),
            from_load: false,
        };
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
    /// has given up.
    pub(super) fn light_exactly(&mut self, wanted: &[usize]) -> Result<(), VisitError> {
        let mut lights = false;
        let burned = self.anything_lit().is_some();
        for appliance in 0..self.sim.rig().appliances.len() {
            let on = wanted.contains(&appliance);
            if self.sim.moment().modes.appliances[appliance].on != on {
                lights |= on;
                let step = if on {
                    Step::Lit(appliance)
                } else {
                    Step::ShutOff(appliance)
                };
                self.act(&Action::Switch { appliance, on }, step);
                self.still = Still {
                    since_s: self.sim.time_s(),
                    from_load: burned && wanted.is_empty(),
                };
            }
        }
        let waiting = |p: Phase| matches!(p, Phase::Purge | Phase::Trial | Phase::Waiting);
        for stretch in 0..LIGHTING_STRETCHES {
            let modes = &self.sim.moment().modes.appliances;
            if !wanted.iter().any(|&i| waiting(modes[i].phase)) && (stretch > 0 || !lights) {
                break;
            }
            self.watch(LIGHTING_S, LIGHTING_LOOK_S)?;
        }
        Ok(())
    }

    /// Shuts what stands open without a flame: what a test lit it leaves burning or shut.
    pub fn shut_unlit(&mut self) {
        for appliance in 0..self.sim.rig().appliances.len() {
            let of = &self.sim.moment().modes.appliances[appliance];
            if of.on && of.phase == Phase::OpenUnlit {
                let off = Action::Switch {
                    appliance,
                    on: false,
                };
                self.act(&off, Step::ShutOff(appliance));
            }
        }
    }

    /// Those of `wanted` that do not burn.
    ///
    /// # Errors
    /// A thermostat that is satisfied keeps one off: that is no fault of it, and the load that the test is made with is not there.
    pub(super) fn unlit(&self, wanted: &[usize]) -> Result<Vec<usize>, VisitError> {
        let modes = &self.sim.moment().modes.appliances;
        let satisfied = |i: &&usize| modes[**i].phase == Phase::Satisfied;
        let name = |i: &usize| self.sim.rig().appliances[*i].name.clone();
        let off: Vec<String> = wanted.iter().filter(satisfied).map(name).collect();
        if !off.is_empty() {
            return Err(self.forbidden(Hindrance::Satisfied(off)));
        }
        let unlit = wanted.iter().copied();
        Ok(unlit.filter(|&i| !modes[i].lit).collect())
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

/// So many points of the record before a stretch are looked at with it: a gauge may have passed its limit there.
const BEFORE: usize = 3;
/// Opening of a container valve that is just cracked.
const CRACK: f64 = 0.015;
/// Burners are watched while they light: so often, so long, how closely \[s\].
const LIGHTING_STRETCHES: usize = 10;
const LIGHTING_S: f64 = 6.0;
const LIGHTING_LOOK_S: f64 = 0.5;
/// More steps than this in a wait are hunting; a step is a few hundredths of a period.
const MOST_STEPS: u64 = 700;

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
