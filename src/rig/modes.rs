//! Discrete modes and hand wheels: everything that changes only at events.
//!
//! Kept apart from the continuous state. [`Modes`] holds what people and controls have set;
//! [`super::events`] moves it.

use super::readings::{MAX_APPLIANCES, MAX_CONTAINERS, Phase};
use super::{ExcessFlow, Ramp, Rig, Site};
use serde::Serialize;

/// Modes of one appliance.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ApplianceMode {
    /// Switched on by a person.
    pub on: bool,
    /// Whether its thermostat asks for heat (always, without a thermostat).
    pub calling: bool,
    /// Controls.
    pub phase: Phase,
    /// Main gas valve.
    pub valve: Ramp,
    /// Pilot valve held open.
    pub pilot_open: bool,
    /// Main flame present.
    pub lit: bool,
    /// Pilot flame present.
    pub pilot_lit: bool,
    /// Trials failed and flames lost since the controls asked for gas.
    pub tries: u8,
    /// When the current timed phase must be looked at again \[s\].
    pub deadline_s: Option<f64>,
    /// When the current trial ends \[s\].
    pub give_up_s: f64,
    /// When what watches the flame shuts the gas, while it sees none \[s\].
    pub unseen_until_s: Option<f64>,
    /// Heat drawn off the heated mass by use (a tap, a door) \[W\].
    pub draw_w: Ramp,
}

impl Default for ApplianceMode {
    fn default() -> Self {
        Self {
            on: false,
            calling: false,
            phase: Phase::Off,
            valve: Ramp::fixed(0.0),
            pilot_open: false,
            lit: false,
            pilot_lit: false,
            tries: 0,
            deadline_s: None,
            give_up_s: 0.0,
            unseen_until_s: None,
            draw_w: Ramp::fixed(0.0),
        }
    }
}

/// A warm wet cloth laid on the regulator.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Cloth {
    /// Its temperature \[K\], kept by dipping it again.
    pub warm_k: f64,
    /// When it is taken off \[s\].
    pub end_s: f64,
}

/// A finger on a diaphragm and a thumb on a vent.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Touch {
    /// Force that presses the diaphragm down, towards open \[N\]; under 0 it is lifted.
    pub press_n: Ramp,
    /// Share of the vent that a thumb shuts, 0 to 1.
    pub thumb: Ramp,
}

impl Touch {
    /// No hand on it.
    pub const NONE: Self = Self {
        press_n: Ramp::fixed(0.0),
        thumb: Ramp::fixed(0.0),
    };
}

/// All modes of a rig.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Modes {
    /// Weather and road.
    pub site: Site,
    /// Service valves.
    pub valves: [Ramp; MAX_CONTAINERS],
    /// Excess-flow valves.
    pub excess_flow: [ExcessFlow; MAX_CONTAINERS],
    /// Container the changeover knob points at.
    pub service_side: usize,
    /// Whether the relief is discharging.
    pub relief_open: bool,
    /// Until when a tap on the body shakes the friction loose \[s\].
    pub tap_end_s: f64,
    /// The cloth on the regulator.
    pub cloth: Option<Cloth>,
    /// Hands on first and second stage.
    pub touch: [Touch; 2],
    /// Appliances.
    pub appliances: [ApplianceMode; MAX_APPLIANCES],
}

impl Modes {
    /// Everything shut and off at a site.
    pub fn shut(site: Site) -> Self {
        Self {
            site,
            valves: [Ramp::fixed(0.0); MAX_CONTAINERS],
            excess_flow: [ExcessFlow::Open; MAX_CONTAINERS],
            service_side: 0,
            relief_open: false,
            tap_end_s: f64::NEG_INFINITY,
            cloth: None,
            touch: [Touch::NONE; 2],
            appliances: [ApplianceMode::default(); MAX_APPLIANCES],
        }
    }

    /// Whether any container's valve is open at a time \[s\]: with a changeover either side feeds.
    pub fn supply_open(&self, t_s: f64) -> bool {
        self.valves.iter().any(|valve| valve.at(t_s) > 0.0)
    }

    /// The next time strictly after `t_s` at which something timed happens: a ramp's corner, the
    /// end of a purge, trial or hold \[s\].
    pub fn next_deadline_s(&self, rig: &Rig, t_s: f64) -> Option<f64> {
        let valves = self.valves[..rig.containers.len()]
            .iter()
            .filter_map(|v| v.next_corner_s(t_s));
        let appliances = self.appliances[..rig.appliances.len()]
            .iter()
            .flat_map(|a| {
                [
                    a.deadline_s,
                    a.unseen_until_s,
                    a.valve.next_corner_s(t_s),
                    a.draw_w.next_corner_s(t_s),
                ]
            })
            .flatten();
        let excess_flow = self.excess_flow.iter().filter_map(|e| e.next_s());
        let touches = self.touch.iter().flat_map(|t| {
            [t.press_n.next_corner_s(t_s), t.thumb.next_corner_s(t_s)]
                .into_iter()
                .flatten()
        });
        valves
            .chain(touches)
            .chain(appliances)
            .chain(excess_flow)
            .chain(self.site.next_corner_s(t_s))
            .chain([self.tap_end_s])
            .chain(self.cloth.map(|c| c.end_s))
            .filter(|&d| d > t_s)
            .reduce(f64::min)
    }
}
