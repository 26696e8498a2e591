//! A scenario in motion: commands and faults, events, advance, record, in that order.
//!
//! [`Moment`] holds every value that changes, so a copy of it is a checkpoint from which the run
//! goes on exactly as before.

use super::effort::{EACH_S, Effort, look_at};
use super::error::SimError;
use super::flicker::Flicker;
use super::mark::{Mark, Noted};
use super::moment::{HandSettings, Moment, by_hand};
use super::strokes::Strokes;
use super::system::RigSystem;
use super::tape::Taped;
use super::watch::{Gauges, Samples, Watch, grid};
use crate::rig::gauges::readings;
use crate::rig::{
    Cloth, Happening, Held, Modes, Ramp, Readings, Rig, RigState, evaluate, events, held,
};
use crate::scenario::{Action, Comes, Scenario, SiteValue, WhichStage};
use crate::solver::{Engine, Method, SolveError, Stop, Tolerance, Work};
use std::sync::Arc;

/// Longest time that the explicit engine is given at once \[s\]: it takes thousands of steps a second, however quiet the
/// rig, and its cap counts from the start of each.
const EXPLICIT_SPAN_S: f64 = 60.0;

/// The tolerance a rig is run with: a share of each state's typical size
/// ([`crate::rig::RigState::error_scales`]) and next to nothing of its value.
///
/// The explicit engine works at the edge of its stability, where what it leaves behind is of the
/// order of the tolerance and friction remembers it; it gets a tenth.
pub const fn usual_tolerance(method: Method) -> Tolerance {
    let share = match method {
        Method::Explicit => 0.1,
        Method::Stiff | Method::Auto => 1.0,
    };
    Tolerance {
        relative: 1e-7 * share,
        absolute: 1e-5 * share,
    }
}

/// More events than this at one instant is chatter.
const CHATTER: usize = 200;
/// How long a tap on the body shakes friction loose \[s\].
const TAP_S: f64 = 0.3;
/// A finger or a thumb takes at least so long to come down or to let go \[s\] (own).
const HAND_S: f64 = 0.1;
/// How long a warm wet cloth stays on the regulator \[s\] (common practice: a minute).
const CLOTH_S: f64 = 60.0;

/// A running scenario.
pub struct Simulation {
    pub(super) scenario: Arc<Scenario>,
    pub(super) rig: Arc<Rig>,
    pub(super) engine: Engine,
    pub(super) now: Moment,
    marks: Vec<Mark>,
    pub(super) healthy: bool,
    tape: Option<Vec<(f64, Taped)>>,
    effort: Effort,
}

impl Simulation {
    /// Starts a scenario: charges the rig, lets it come to rest, sets the clock to zero.
    ///
    /// # Errors
    /// [`SimError`] if the rig cannot come to rest.
    pub fn start(
        scenario: Arc<Scenario>,
        method: Method,
        tolerance: Tolerance,
    ) -> Result<Self, SimError> {
        let s = &*scenario;
        let mut modes = Modes::shut(s.site);
        for (valve, open) in modes.valves.iter_mut().zip(&s.valves_open) {
            *valve = Ramp::fixed(if *open { 1.0 } else { 0.0 });
        }
        modes.service_side = s.service_side;
        let state = s.rig.at_rest(&modes, &s.charges);
        for (i, on) in s.on_at_start.iter().enumerate() {
            if *on {
                events::settle(&s.rig, &mut modes, &state, i);
            }
        }
        let mut sim = Self {
            rig: Arc::new(s.rig.clone()),
            engine: Engine::new(method, tolerance),
            now: Moment {
                t_s: -s.run.settle_s,
                state,
                modes,
                faults: Vec::new(),
                strokes: Strokes::default(),
                hand: HandSettings::default(),
                next_event: usize::MAX,
                later_s: 0.0,
                told: 0,
                flicker: Flicker::default(),
                initial: Held::default(),
                mark_count: 0,
                taped: 0,
            },
            marks: Vec::new(),
            healthy: false,
            tape: None,
            effort: Effort::to_rest(),
            scenario,
        };
        sim.refit();
        sim.advance(0.0, None, &mut |_| {})
            .map_err(|error| SimError::NoRest {
                why: no_rest(&error),
                before_s: -sim.now.t_s,
                look_at: look_at(&sim.rig),
            })?;
        sim.effort = Effort::default();
        sim.marks.clear();
        let now = &mut sim.now;
        now.next_event = 0;
        now.state.burned_kg = 0.0;
        now.state.lost_kg = 0.0;
        now.state.taken_in_j = 0.0;
        now.state.carried_off_j = 0.0;
        now.flicker = Flicker::default();
        let flows = evaluate(&sim.rig, &now.modes, 0.0, &now.state);
        now.initial = held(&sim.rig, &now.state, &flows);
        now.strokes = Strokes::from_here(&flows);
        sim.engine.restart();
        sim.carry_out_events();
        Ok(sim)
    }

    /// The same scenario from the same moment without any fault: the healthy twin. It goes by the stiff engine,
    /// the cheap one: it is a line to compare with.
    #[must_use]
    pub fn healthy_twin(&self) -> Self {
        let mut twin = Self {
            scenario: self.scenario.clone(),
            rig: self.rig.clone(),
            engine: Engine::new(Method::Stiff, self.engine.tolerance),
            now: self.now.clone(),
            marks: Vec::new(),
            healthy: true,
            tape: None,
            effort: Effort::default(),
        };
        twin.now.faults.clear();
        twin.refit();
        twin
    }

    /// A copy that goes its own way from here and notes every act on it.
    #[must_use]
    pub fn copy(&self) -> Self {
        let mut copy = Self {
            scenario: self.scenario.clone(),
            rig: self.rig.clone(),
            engine: Engine::new(self.engine.method, self.engine.tolerance),
            now: self.now.clone(),
            marks: self.marks.clone(),
            healthy: self.healthy,
            tape: Some(Vec::new()),
            effort: self.effort,
        };
        copy.now.taped = 0;
        copy
    }

    /// What has been done to this copy, with the times \[s\]; empty on a run that is no copy.
    pub fn tape(&self) -> &[(f64, Taped)] {
        self.tape.as_deref().unwrap_or_default()
    }

    pub(super) fn note_on_tape(&mut self, taped: Taped) {
        if let Some(tape) = &mut self.tape {
            tape.push((self.now.t_s, taped));
            self.now.taped = tape.len();
        }
    }

    /// The scenario.
    pub fn scenario(&self) -> &Arc<Scenario> {
        &self.scenario
    }

    /// The rig as it is now, faults and hand settings included.
    pub fn rig(&self) -> &Arc<Rig> {
        &self.rig
    }

    /// Simulated time \[s\].
    pub fn time_s(&self) -> f64 {
        self.now.t_s
    }

    /// All values of the moment.
    pub fn moment(&self) -> &Moment {
        &self.now
    }

    /// What has happened so far, in words.
    pub fn marks(&self) -> &[Mark] {
        &self.marks
    }

    /// Takes what is on the record of another run of the scenario for its own.
    pub(super) fn set_marks(&mut self, marks: Vec<Mark>) {
        self.marks = marks;
    }

    /// Work the engine has done.
    pub fn work(&self) -> &Work {
        self.engine.work()
    }

    /// Goes back to an earlier moment of this run.
    pub fn go_back_to(&mut self, moment: &Moment) {
        self.now = moment.clone();
        self.marks.truncate(moment.mark_count);
        if let Some(tape) = &mut self.tape {
            tape.truncate(moment.taped);
        }
        self.engine.restart();
        self.refit();
    }

    /// What can be read now.
    pub fn readings(&self) -> Readings {
        self.read(self.now.t_s, &self.now.state)
    }

    fn read(&self, t_s: f64, state: &RigState) -> Readings {
        let flows = evaluate(&self.rig, &self.now.modes, t_s, state);
        let mut out = readings(&self.rig, &self.now.modes, state, &flows, &self.now.initial);
        self.now.flicker.tell(&mut out);
        out
    }

    /// Fuel and heat held now.
    pub(super) fn held(&self) -> Held {
        let now = &self.now;
        let flows = evaluate(&self.rig, &now.modes, now.t_s, &now.state);
        held(&self.rig, &now.state, &flows)
    }

    /// Sets the books right after a hand has put something in or taken it out.
    pub(super) fn rebook(&mut self, before: Held) {
        let after = self.held();
        self.now.initial.kg += after.kg - before.kg;
        self.now.initial.j += after.j - before.j;
    }

    pub(super) fn mark(&mut self, what: Noted) {
        self.marks.push(Mark {
            time_s: self.now.t_s,
            what,
        });
        self.now.mark_count = self.marks.len();
    }

    /// Carries out one act now. One on a part that the rig lacks ([`Action::fits`]) does nothing.
    pub fn act(&mut self, action: &Action) {
        if !action.fits(&self.scenario.rig) {
            return;
        }
        self.note_on_tape(Taped::Act(*action));
        self.carry_out(action);
    }

    fn carry_out(&mut self, action: &Action) {
        // What a hand on the regulator makes the flames do is no surging of its own: what comes after is counted anew.
        if matches!(action, Action::Press { .. } | Action::Thumb { .. }) {
            self.now.flicker = Flicker::default();
        }
        let (t, state) = (self.now.t_s, self.now.state);
        let modes = &mut self.now.modes;
        let rig = self.rig.clone();
        let mut happened = Vec::new();
        match *action {
            Action::Switch { appliance, on } => {
                happened = events::switch(&rig, modes, &state, t, appliance, on);
            }
            Action::Reset { appliance } => {
                happened = events::reset(&rig, modes, &state, t, appliance);
            }
            Action::Draw {
                appliance,
                power_w,
                over_s,
            } => {
                let draw = &mut modes.appliances[appliance].draw_w;
                *draw = draw.sent_to(power_w, t, over_s);
            }
            Action::Valve {
                container,
                open,
                over_s,
            } => {
                events::turn_valve(modes, t, container, open, over_s);
                let opened = open > 0.0;
                self.mark(Noted::Valve { container, opened });
            }
            Action::Knob { side } => modes.service_side = side.min(rig.containers.len() - 1),
            Action::Site { value, to, over_s } => {
                let site = &mut modes.site;
                let ramp = match value {
                    SiteValue::Air => &mut site.air_k,
                    SiteValue::Sun => &mut site.sun_w_per_m2,
                    SiteValue::Elevation => &mut site.elevation_m,
                    SiteValue::Wall => &mut site.wall_factor,
                };
                let jumps = over_s <= 0.0 && (to - ramp.at(t)).abs() > jump(value);
                *ramp = ramp.sent_to(to, t, over_s);
                if jumps {
                    self.mark(Noted::Elsewhere(value));
                }
            }
            Action::Inject {
                fault,
                severity,
                over_s,
            } => self.inject(fault, severity, Comes::Over(over_s)),
            Action::Grow {
                fault,
                severity,
                by,
            } => self.inject(fault, severity, Comes::With(by)),
            Action::Clear { fault } => self.clear(fault),
            Action::TurnScrew { stage, turns } => {
                match stage {
                    WhichStage::First => self.now.hand.first_turns += turns,
                    WhichStage::Second => self.now.hand.second_turns += turns,
                }
                self.mark(Noted::Screw { stage, turns });
            }
            Action::Press {
                stage,
                force_n,
                over_s,
            } => {
                let press = &mut modes.touch[stage as usize].press_n;
                let begins = press.to == 0.0 && force_n != 0.0;
                *press = press.sent_to(force_n, t, over_s.max(HAND_S));
                if begins {
                    self.mark(Noted::Pressed(stage));
                }
            }
            Action::Thumb { stage, on } => {
                let thumb = &mut modes.touch[stage as usize].thumb;
                *thumb = thumb.sent_to(f64::from(u8::from(on)), t, HAND_S);
                self.mark(Noted::Thumb { stage, on });
            }
            Action::Tap => {
                modes.tap_end_s = t + TAP_S;
                self.now.state.first.bristle_m = 0.0;
                self.now.state.second.bristle_m = 0.0;
                self.mark(Noted::Tapped);
            }
            Action::Bleed { area_m2 } => self.now.hand.bleed_m2 = area_m2.max(0.0),
            Action::Warm { to_k } => {
                modes.cloth = Some(Cloth {
                    warm_k: to_k,
                    end_s: t + CLOTH_S,
                });
                self.mark(Noted::ClothOn);
            }
        }
        self.note(&happened);
        self.refit();
        self.engine.restart();
    }

    /// Puts on the record what has happened.
    fn note(&mut self, happened: &[Happening]) {
        for h in happened {
            self.mark(Noted::Happened(*h));
        }
    }

    /// Rebuilds the rig from the healthy one, the hand settings and the faults of the moment, and lets flames take what
    /// that has changed at once.
    pub(super) fn refit(&mut self) {
        let mut rig = by_hand(&self.scenario, &self.now);
        rig.piping.leak_m2 += self.now.hand.bleed_m2;
        for c in &mut rig.containers {
            c.supply.pigtail_leak_m2 += self.now.hand.nuts_m2;
        }
        for f in &self.now.faults {
            f.fault.apply(&mut rig, f.severity.at(self.now.t_s));
        }
        self.rig = Arc::new(rig);
        let (modes, state) = (&mut self.now.modes, &self.now.state);
        let happened = events::after_change(&self.rig, modes, state, self.now.t_s);
        self.note(&happened);
    }

    /// Carries out the scenario's events that are due.
    fn carry_out_events(&mut self) {
        let scenario = self.scenario.clone();
        while let Some(e) = scenario.events.get(self.now.next_event) {
            if e.at_s + self.now.later_s > self.now.t_s {
                break;
            }
            self.now.next_event += 1;
            self.carry_out(&e.action);
        }
    }

    /// Where the engine must stop at the latest on the way to `until`.
    fn next_stop_s(&self, until_s: f64) -> f64 {
        let t = self.now.t_s;
        let mut stop = until_s;
        if let Some(e) = self.scenario.events.get(self.now.next_event) {
            stop = stop.min((e.at_s + self.now.later_s).max(t));
        }
        if let Some(d) = self.now.modes.next_deadline_s(&self.rig, t) {
            stop = stop.min(d);
        }
        if let Some(at_s) = self.next_of_faults_s() {
            stop = stop.min(at_s);
        }
        if self.engine.method == Method::Explicit {
            stop = stop.min(self.now.t_s + EXPLICIT_SPAN_S);
        }
        stop
    }

    /// Advances to `until_s`, showing the readings at every multiple of `sample_s` on the way.
    ///
    /// # Errors
    /// [`SimError`]; the simulation then stands at the last good moment.
    pub fn advance(
        &mut self,
        until_s: f64,
        sample_s: Option<f64>,
        sink: &mut dyn FnMut(&Readings),
    ) -> Result<(), SimError> {
        self.advance_watched(until_s, sample_s, &mut Samples(sink))
    }

    /// As [`Simulation::advance`], with a watcher that may also see every step of the engine.
    ///
    /// # Errors
    /// As [`Simulation::advance`].
    pub fn advance_watched(
        &mut self,
        until_s: f64,
        sample_s: Option<f64>,
        watch: &mut dyn Watch,
    ) -> Result<(), SimError> {
        let mut y = vec![0.0; RigState::dim(&self.rig)];
        let (mut count, mut last) = (0, f64::NEG_INFINITY);
        while self.now.t_s < until_s {
            if self.now.t_s > last {
                (count, last) = (0, self.now.t_s);
            }
            count += 1;
            if count > CHATTER {
                return Err(SimError::Chatter {
                    count,
                    time_s: self.now.t_s,
                });
            }
            let stop_s = self.next_stop_s(until_s);
            let fired = self.advance_once(stop_s, sample_s, &mut y, watch)?;
            self.after_stop(fired);
        }
        Ok(())
    }

    /// One call of the engine: to `stop_s` or the first state event.
    fn advance_once(
        &mut self,
        stop_s: f64,
        sample_s: Option<f64>,
        y: &mut [f64],
        watch: &mut dyn Watch,
    ) -> Result<Option<usize>, SimError> {
        let from_s = self.now.t_s;
        let samples = sample_s.map_or_else(Vec::new, |dt| grid(from_s, stop_s, dt));
        self.now.state.write_to(&self.rig, y);
        let (rig, modes) = (self.rig.clone(), self.now.modes);
        let system = RigSystem::new(&rig, &modes);
        if let Some(index) = self.now.newly_past(&system, y) {
            return Ok(Some(index));
        }
        let mut observer = Gauges {
            system: &system,
            initial: self.now.initial,
            strokes: &mut self.now.strokes,
            flicker: &mut self.now.flicker,
            watch,
            shown: Readings::default(),
        };
        // The explicit engine takes thousands of steps a second of any rig, and has a bound of its own.
        let is_bounded = self.engine.method != Method::Explicit;
        if is_bounded {
            self.engine.call_limit = self.effort.allowed();
        }
        let before = *self.engine.work();
        let stop =
            self.engine
                .advance_observed(&system, from_s, stop_s, y, &samples, &mut observer);
        if stop.is_ok() {
            self.now.state = RigState::read_from(&rig, y);
        }
        let stop = stop.map_err(|error| match error {
            SolveError::TooManySteps { time_s, state, .. } if is_bounded => SimError::TooStiff {
                each_s: EACH_S,
                time_s,
                look_at: look_at(&rig),
                state,
            },
            other => other.into(),
        })?;
        let spent = self.engine.work().derivative_calls - before.derivative_calls;
        let reached_s = match stop {
            Stop::Reached => stop_s,
            Stop::Event { time_s, .. } => time_s,
        };
        self.effort.spend(reached_s - from_s, spent);
        match stop {
            Stop::Reached => {
                self.now.t_s = stop_s;
                Ok(None)
            }
            Stop::Event { index, time_s, .. } => {
                self.now.t_s = time_s;
                self.now.told |= 1 << index;
                Ok(Some(index))
            }
        }
    }

    /// What is due where the engine stopped: the state event, deadlines, the scenario's events.
    fn after_stop(&mut self, fired: Option<usize>) {
        let t = self.now.t_s;
        let rig = self.rig.clone();
        let mut happened = Vec::new();
        if let Some(index) = fired {
            happened.extend(events::fire(&rig, &mut self.now.modes, t, index));
            self.carry_off(&happened);
        }
        let before = self.now.modes;
        happened.extend(events::due(&rig, &mut self.now.modes, &self.now.state, t));
        if fired.is_some() || before != self.now.modes {
            self.engine.restart();
        }
        self.note(&happened);
        if self.bring_on() {
            self.engine.restart();
        }
        self.carry_out_events();
    }
}

/// What kept a rig from coming to rest, without the moment: that is counted to the start there.
fn no_rest(error: &SimError) -> String {
    match error {
        SimError::TooStiff { state, .. } => {
            format!("it still moves, the {state} fastest")
        }
        SimError::Solve(SolveError::Stuck { state, .. }) => {
            format!("the {state} jumps so that it cannot be followed")
        }
        other => other.to_string(),
    }
}

/// A change of the place by more than this at once is none that weather or a road makes: air \[K\], elevation \[m\] (own). Sun
/// comes out of a cloud at once.
fn jump(value: SiteValue) -> f64 {
    match value {
        SiteValue::Air => 1.0,
        SiteValue::Elevation => 30.0,
        SiteValue::Sun | SiteValue::Wall => f64::INFINITY,
    }
}
