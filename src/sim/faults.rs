//! Faults in a running rig: how they come (at once, over a time, with cycles, with temperature), what
//! arrives with them, and how they go. What a fault changes stands in the catalogue; what is kept of one, in `active`.

use super::active::{AT_ONCE_S, ActiveFault, Growing};
use super::mark::Noted;
use super::simulation::Simulation;
use crate::fault::Fault;
use crate::rig::{Happening, Ramp};
use crate::scenario::{Comes, Growth};

/// Severity ramps are followed in this many steps of constant severity.
const RAMP_STEPS: f64 = 60.0;
/// ... but in none shorter than this \[s\].
const RAMP_STEP_S: f64 = 0.05;
/// The body is looked at so often for what grows with its temperature \[s\]: it takes minutes to warm.
const LOOK_S: f64 = 5.0;
/// Severity that grows by less than this waits, for every change is a new rig.
const LEAST: f64 = 2e-3;

impl Simulation {
    pub(super) fn inject(&mut self, fault: Fault, severity: f64, comes: Comes) {
        if self.healthy {
            return;
        }
        let fault = fault.settled(&self.scenario.rig, self.now.modes.service_side);
        let (t, cycles) = (self.now.t_s, self.now.strokes.of(fault.entry().worn_by));
        let severity = severity.clamp(0.0, 1.0);
        let at = self.now.faults.iter().position(|f| f.fault == fault);
        let at = at.unwrap_or_else(|| {
            self.now.faults.push(ActiveFault {
                fault,
                severity: Ramp::fixed(0.0),
                growing: None,
                arrived: 0.0,
            });
            self.mark(Noted::FaultIn(fault));
            self.now.faults.len() - 1
        });
        let f = &mut self.now.faults[at];
        match comes {
            Comes::Over(over_s) => {
                f.growing = None;
                f.severity = f.severity.sent_to(severity, t, over_s.max(AT_ONCE_S));
            }
            Comes::With(by) => {
                let from = match by {
                    Growth::Cycles { .. } => f.severity.at(t),
                    // Nothing of it at one end, whatever was there before.
                    Growth::Temperature { .. } => 0.0,
                };
                f.growing = Some(Growing {
                    by,
                    from,
                    to: severity,
                    since: cycles,
                });
            }
        }
        self.bring_on();
    }

    pub(super) fn clear(&mut self, fault: Fault) {
        // Without a side it goes from both.
        let is_meant = |f: &ActiveFault| fault.names(f.fault) || f.fault.names(fault);
        while let Some(at) = self.now.faults.iter().position(is_meant) {
            self.arrive(at, 0.0);
            self.now.faults.remove(at);
        }
        if !self.healthy {
            self.mark(Noted::FaultOut(fault));
        }
    }

    /// Brings every severity, and what arrives with it, to where time, cycles and temperature have
    /// taken it. Returns whether the state has jumped.
    pub(super) fn bring_on(&mut self) -> bool {
        let (t, strokes, body_k) = (self.now.t_s, self.now.strokes, self.now.state.body_k);
        let mut moved = false;
        for f in &mut self.now.faults {
            let Some(growing) = f.growing else { continue };
            let cycles = strokes.of(f.fault.entry().worn_by);
            let (was, is) = (f.severity.to, growing.severity(cycles, body_k));
            let at_an_end = is == growing.to || is == growing.from;
            if is != was && ((is - was).abs() >= LEAST || at_an_end) {
                f.severity = Ramp::fixed(is);
                moved = true;
            }
        }
        let mut jumped = false;
        for at in 0..self.now.faults.len() {
            let f = &self.now.faults[at];
            moved |= f.severity.from != f.severity.to && t <= f.severity.end_s;
            jumped |= self.arrive(at, self.now.faults[at].severity.at(t));
        }
        if moved {
            self.refit();
        }
        jumped
    }

    /// Lets arrive, or takes back, what comes with a fault at a severity. Returns whether it moved.
    fn arrive(&mut self, at: usize, to: f64) -> bool {
        let f = &mut self.now.faults[at];
        let from = f.arrived;
        f.arrived = to;
        let fault = f.fault;
        if from == to || !fault.arrives() {
            return false;
        }
        let before = self.held();
        fault.arrive(&self.rig, &mut self.now.state, from, to);
        self.rebook(before);
        true
    }

    /// When the engine must stop for a fault that moves \[s\].
    pub(super) fn next_of_faults_s(&self) -> Option<f64> {
        let t = self.now.t_s;
        let next = |f: &ActiveFault| {
            if f.growing.is_some_and(|g| g.follows_temperature()) {
                return Some(t + LOOK_S);
            }
            let corner = f.severity.next_corner_s(t)?;
            let length = f.severity.end_s - f.severity.start_s;
            Some(corner.min(t + (length / RAMP_STEPS).max(RAMP_STEP_S)))
        };
        self.now.faults.iter().filter_map(next).reduce(f64::min)
    }

    /// Takes out what a burst of flow has carried off a seat, be it a fault or the scenario's own.
    pub(super) fn carry_off(&mut self, happened: &[Happening]) {
        for h in happened {
            if let Happening::GritCarriedOff(seat) = h {
                self.now
                    .faults
                    .retain(|f| f.fault.entry().carried_off != Some(*seat));
                self.now.hand.flushed[*seat as usize] = true;
                self.refit();
            }
        }
    }
}
