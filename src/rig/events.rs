//! What changes modes: state events (watched by the solver), timed events (deadlines) and the
//! acts of people. Each is a pure step from modes to modes and a list of happenings.
//!
//! A watch is a function of state whose sign change, in one direction, means something happens.
//! Watches that cannot happen in the present modes read a constant 1.

use super::appliance::{Appliance, Ignition, flame};
use super::evaluate::{Flows, evaluate};
use super::modes::{ApplianceMode, Modes};
use super::readings::Phase;
use super::state::RigState;
use super::{ExcessFlow, Ramp, Rig};
use serde::Serialize;

/// How often a spark or a match is tried within a trial \[s\].
const TRY_EVERY_S: f64 = 0.5;
/// How long a person tries to light a burner by hand \[s\].
const HAND_TRIAL_S: f64 = 6.0;

/// One of the two seats.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Seat {
    /// Of the first stage.
    First,
    /// Of the second stage.
    Second,
}

/// Something that happened, for the record and the sentence in words.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Happening {
    /// An appliance's controls ask for gas.
    Calls(usize),
    /// Its thermostat is satisfied.
    Satisfied(usize),
    /// Its main burner lights.
    Lit(usize),
    /// Its pilot lights.
    PilotLit(usize),
    /// Its flame goes out.
    FlameLost(usize),
    /// What watches the flame has not seen it for too long: the gas is shut.
    FlameUnseen(usize),
    /// It tries again.
    TriesAgain(usize),
    /// It locks out and needs a person.
    LockedOut(usize),
    /// A person could not light it and shut it again.
    WouldNotLight(usize),
    /// Switched off.
    SwitchedOff(usize),
    /// Excess-flow valve of a container closes.
    ExcessFlowTrips(usize),
    /// ... and opens again.
    ExcessFlowResets(usize),
    /// The second-stage relief starts to discharge.
    ReliefOpens,
    /// ... and seats again.
    ReliefSeats,
    /// A burst of flow carries loose grit off a seat.
    GritCarriedOff(Seat),
    /// A warm wet cloth is taken off the regulator.
    ClothOff,
}

/// Opening of a service valve under which its excess-flow valve begins to feel even pressure.
const NEARLY_SHUT: f64 = 0.02;

/// Rise of the plate by which the watch of a relief is scaled \[m\].
const RELIEF_RISE_M: f64 = 1e-3;
/// A relief counts as seated again when the plate has sunk this share of that rise below where it opened:
/// at the threshold itself it would open and seat without end. Its area is continuous; this is only a word.
const RELIEF_SEATS_BELOW: f64 = 0.07;

/// Watches per appliance: flame lost, flame no longer seen or seen again, thermostat calls, thermostat satisfied.
const PER_APPLIANCE: usize = 4;
/// Watches per container: flow over the excess-flow valve's limit, flow under it again, pressures even enough for
/// it to open.
const PER_CONTAINER: usize = 3;

/// A poppet on its way to the seat turns back when the flow is this share under the limit.
const TURNS_BACK_BELOW: f64 = 0.02;

/// How many watches a rig has.
pub fn watch_count(rig: &Rig) -> usize {
    rig.appliances.len() * PER_APPLIANCE + rig.containers.len() * PER_CONTAINER + 4
}

/// How far from zero a watch may stand at both ends of a step and still go through zero and back inside it. Shares of a
/// limit ring; a heated mass turns only where its burner or its draw is switched, which ends a step, and else
/// changes its rate over minutes: a hundredth of a kelvin is a hundred times what it turns by in a step (own).
pub fn watch_reach(rig: &Rig, i: usize) -> f64 {
    let thermostat = i < rig.appliances.len() * PER_APPLIANCE && i % PER_APPLIANCE >= 2;
    if thermostat { 0.01 } else { 0.15 }
}

/// Evaluates all watches; every one fires when it **falls** through zero.
pub fn watches(rig: &Rig, m: &Modes, s: &RigState, f: &Flows, out: &mut [f64]) {
    let mut k = 0;
    for (i, a) in rig.appliances.iter().enumerate() {
        let am = &m.appliances[i];
        out[k] = burns(a, am, f.appliances[i].ratio);
        out[k + 1] = seen(a, am, f.appliances[i].ratio);
        (out[k + 2], out[k + 3]) = (1.0, 1.0);
        if let (Some(load), true) = (&a.thermal, am.on) {
            let heating = load.efficiency.signum();
            let above = heating * (s.thermal_k[i] - load.set_k);
            if am.calling {
                out[k + 3] = 0.5 * load.band_k - above;
            } else {
                out[k + 2] = above + 0.5 * load.band_k;
            }
        }
        k += PER_APPLIANCE;
    }
    for (c, container) in rig.containers.iter().enumerate() {
        let (cf, supply) = (&f.containers[c], &container.supply);
        let flow = cf.vapour_kg_per_s / supply.excess_trip_kg_per_s;
        out[k..k + PER_CONTAINER].fill(1.0);
        match m.excess_flow[c] {
            ExcessFlow::Open => out[k] = 1.0 - flow,
            ExcessFlow::Closing { .. } => out[k + 1] = flow - (1.0 - TURNS_BACK_BELOW),
            ExcessFlow::Shut { rests_s } if f.t_s >= rests_s => {
                // It sits upstream of the hand wheel: with the valve shut its own bleed evens the pressure across it.
                let shut = (cf.valve_open / NEARLY_SHUT).min(1.0);
                let dp = (cf.flash.pressure_pa - cf.pigtail_pa) * shut;
                out[k + 2] = dp / supply.excess_reset_pa - 1.0;
            }
            ExcessFlow::Shut { .. } => {}
        }
        k += PER_CONTAINER;
    }
    (out[k], out[k + 1]) = (1.0, 1.0);
    if rig.second.relief.is_some() {
        let over = f.second.relief_past_m / RELIEF_RISE_M;
        if m.relief_open {
            out[k + 1] = over + RELIEF_SEATS_BELOW;
        } else {
            out[k] = -over;
        }
    }
    for (seat, stage, flows) in [(2, &rig.first, &f.first), (3, &rig.second, &f.second)] {
        out[k + seat] = stage
            .loose_at_kg_per_s
            .map_or(1.0, |limit| 1.0 - flows.seat_kg_per_s() / limit);
    }
}

/// Over 0 while a flame, if there is one, burns.
fn burns(a: &Appliance, am: &ApplianceMode, ratio: f64) -> f64 {
    let (low, high) = a.burns_at();
    if am.lit || am.pilot_lit {
        (ratio - low).min(high - ratio)
    } else {
        1.0
    }
}

/// Over 0 while a burning flame is seen by what watches it; while it is not, until it is seen again.
fn seen(a: &Appliance, am: &ApplianceMode, ratio: f64) -> f64 {
    let alight = am.pilot_lit || (am.lit && am.phase == Phase::Burning);
    if !alight || !a.flame_sensor_works || a.ignition.sense_s().is_none() {
        1.0
    } else if am.unseen_until_s.is_none() {
        a.seen_by(ratio)
    } else {
        -a.seen_by(ratio / flame::SEEN_AGAIN)
    }
}

/// What a jump of the rig (a fault put in at once, a part replaced) does to flames: watches tell only what changes while
/// time passes.
pub fn after_change(rig: &Rig, m: &mut Modes, s: &RigState, t_s: f64) -> Vec<Happening> {
    let f = evaluate(rig, m, t_s, s);
    let mut out = Vec::new();
    for (i, a) in rig.appliances.iter().enumerate() {
        let (am, ratio) = (&mut m.appliances[i], f.appliances[i].ratio);
        if burns(a, am, ratio) < 0.0 {
            out.extend(lose_flame(a, am, i, t_s));
            continue;
        }
        let alight = am.pilot_lit || (am.lit && am.phase == Phase::Burning);
        let blind = alight && !a.flame_sensor_works;
        if am.unseen_until_s.is_none() && (blind || seen(a, am, ratio) < 0.0) {
            am.unseen_until_s = a.ignition.sense_s().map(|d| t_s + d);
        }
    }
    out
}

/// Carries out the state event of watch `index`.
pub fn fire(rig: &Rig, m: &mut Modes, t_s: f64, index: usize) -> Vec<Happening> {
    let appliances = rig.appliances.len() * PER_APPLIANCE;
    let containers = appliances + rig.containers.len() * PER_CONTAINER;
    if index < appliances {
        let i = index / PER_APPLIANCE;
        match index % PER_APPLIANCE {
            0 => lose_flame(&rig.appliances[i], &mut m.appliances[i], i, t_s),
            1 => {
                let am = &mut m.appliances[i];
                am.unseen_until_s = match am.unseen_until_s {
                    None => rig.appliances[i].ignition.sense_s().map(|d| t_s + d),
                    Some(_) => None,
                };
                vec![]
            }
            2 => {
                let am = &mut m.appliances[i];
                am.calling = true;
                // What needs a person waits for one.
                match am.phase {
                    Phase::LockedOut | Phase::OpenUnlit => vec![],
                    _ => start(&rig.appliances[i], am, i, t_s),
                }
            }
            _ => {
                satisfy(&rig.appliances[i], &mut m.appliances[i], t_s);
                vec![Happening::Satisfied(i)]
            }
        }
    } else if index < containers {
        let c = (index - appliances) / PER_CONTAINER;
        let resets = m.excess_flow[c].is_shut();
        m.excess_flow[c] = match m.excess_flow[c] {
            ExcessFlow::Open => ExcessFlow::closing(t_s),
            ExcessFlow::Closing { .. } | ExcessFlow::Shut { .. } => ExcessFlow::Open,
        };
        if resets {
            vec![Happening::ExcessFlowResets(c)]
        } else {
            vec![]
        }
    } else if index >= containers + 2 {
        // What is loose is part of the rig, not of the modes: the caller takes it out.
        vec![Happening::GritCarriedOff(if index == containers + 2 {
            Seat::First
        } else {
            Seat::Second
        })]
    } else {
        m.relief_open = index == containers;
        vec![if m.relief_open {
            Happening::ReliefOpens
        } else {
            Happening::ReliefSeats
        }]
    }
}

/// Carries out every timed event that is due at `t_s`.
pub fn due(rig: &Rig, m: &mut Modes, s: &RigState, t_s: f64) -> Vec<Happening> {
    let mut out = Vec::new();
    if m.cloth.is_some_and(|c| c.end_s <= t_s) {
        m.cloth = None;
        out.push(Happening::ClothOff);
    }
    for c in 0..rig.containers.len() {
        let was = m.excess_flow[c];
        m.excess_flow[c] = was.by(t_s);
        if m.excess_flow[c] != was {
            out.push(Happening::ExcessFlowTrips(c));
        }
    }
    let waiting = |a: &ApplianceMode| a.deadline_s.is_some_and(|d| d <= t_s);
    let blind = |a: &ApplianceMode| a.unseen_until_s.is_some_and(|d| d <= t_s);
    let all = &m.appliances[..rig.appliances.len()];
    if !all.iter().any(|a| waiting(a) || blind(a)) {
        return out;
    }
    let f = evaluate(rig, m, t_s, s);
    for (i, a) in rig.appliances.iter().enumerate() {
        if blind(&m.appliances[i]) {
            out.extend(shut_unseen(a, &mut m.appliances[i], i, t_s));
        }
        if waiting(&m.appliances[i]) {
            let am = &mut m.appliances[i];
            am.deadline_s = None;
            out.extend(step(a, am, i, &f, t_s));
        }
    }
    out
}

/// One timed step of an appliance's controls.
fn step(a: &Appliance, am: &mut ApplianceMode, i: usize, f: &Flows, t_s: f64) -> Vec<Happening> {
    let ratio = f.appliances[i].ratio;
    match (am.phase, a.ignition) {
        (Phase::Purge | Phase::Waiting, _) => open_main(a, am, t_s),
        (Phase::Trial, Ignition::Spark { .. }) => {
            if a.lights_at(ratio) {
                am.lit = true;
                if a.proves_at(ratio) {
                    am.phase = Phase::Burning;
                    return vec![Happening::Lit(i)];
                }
            }
            if t_s < am.give_up_s {
                am.deadline_s = Some((t_s + TRY_EVERY_S).min(am.give_up_s));
                return vec![];
            }
            fail(a, am, i, t_s)
        }
        (Phase::Trial, Ignition::Hand { .. }) => {
            if a.lights_at(ratio) {
                am.lit = true;
                if a.proves_at(ratio) {
                    am.phase = Phase::Burning;
                    return vec![Happening::Lit(i)];
                }
            }
            retry_by_hand(a, am, i, t_s)
        }
        (Phase::Trial, Ignition::Pilot { .. }) => {
            am.pilot_lit |= a.lights_at(ratio);
            if am.pilot_lit && a.proves_at(ratio) {
                let mut out = vec![Happening::PilotLit(i)];
                out.extend(after_pilot(a, am, i, t_s));
                return out;
            }
            retry_by_hand(a, am, i, t_s)
        }
        _ => vec![],
    }
}

/// A trial of the controls has failed, or a flame was lost: they try again, or lock out.
fn fail(a: &Appliance, am: &mut ApplianceMode, i: usize, t_s: f64) -> Vec<Happening> {
    close_main(a, am, t_s);
    am.pilot_open = false;
    am.pilot_lit = false;
    am.deadline_s = None;
    am.tries = am.tries.saturating_add(1);
    match a.ignition {
        Ignition::Spark { pause_s, tries, .. } if am.tries < tries => {
            am.phase = Phase::Waiting;
            am.deadline_s = Some(t_s + pause_s);
            vec![Happening::TriesAgain(i)]
        }
        _ => {
            am.phase = Phase::LockedOut;
            vec![Happening::LockedOut(i)]
        }
    }
}

/// What watches a flame has seen none for too long: it shuts the gas.
fn shut_unseen(a: &Appliance, am: &mut ApplianceMode, i: usize, t_s: f64) -> Vec<Happening> {
    let mut out = Vec::new();
    am.unseen_until_s = None;
    if am.lit || am.pilot_lit {
        out.push(Happening::FlameUnseen(i));
    }
    out.extend(fail(a, am, i, t_s));
    out
}

fn retry_by_hand(a: &Appliance, am: &mut ApplianceMode, i: usize, t_s: f64) -> Vec<Happening> {
    if t_s < am.give_up_s {
        am.deadline_s = Some((t_s + TRY_EVERY_S).min(am.give_up_s));
        return vec![];
    }
    close_main(a, am, t_s);
    am.pilot_open = false;
    am.pilot_lit = false;
    am.on = false;
    am.calling = false;
    am.phase = Phase::Off;
    vec![Happening::WouldNotLight(i)]
}

fn open_main(a: &Appliance, am: &mut ApplianceMode, t_s: f64) -> Vec<Happening> {
    am.valve = am.valve.sent_to(1.0, t_s, a.valve_s);
    am.phase = Phase::Trial;
    am.deadline_s = Some(t_s + a.valve_s + TRY_EVERY_S);
    am.give_up_s = t_s
        + match a.ignition {
            Ignition::Spark { trial_s, .. } => trial_s.max(a.valve_s + TRY_EVERY_S),
            _ => HAND_TRIAL_S,
        };
    vec![]
}

fn close_main(a: &Appliance, am: &mut ApplianceMode, t_s: f64) {
    // Gas valves shut by spring, faster than they open.
    am.valve = am.valve.sent_to(0.0, t_s, 0.3 * a.valve_s);
    am.lit = false;
}

/// The controls ask for gas.
fn start(a: &Appliance, am: &mut ApplianceMode, i: usize, t_s: f64) -> Vec<Happening> {
    am.tries = 0;
    match a.ignition {
        Ignition::Spark { purge_s, .. } => {
            am.phase = Phase::Purge;
            am.deadline_s = Some(t_s + purge_s.max(1e-3));
            vec![Happening::Calls(i)]
        }
        Ignition::Hand { .. } => {
            let mut out = vec![Happening::Calls(i)];
            out.extend(open_main(a, am, t_s));
            out
        }
        Ignition::Pilot { .. } if am.pilot_lit => after_pilot(a, am, i, t_s),
        Ignition::Pilot { .. } => {
            am.pilot_open = true;
            am.phase = Phase::Trial;
            am.deadline_s = Some(t_s + 2.0);
            am.give_up_s = t_s + 30.0;
            // Its pilot is lit whether its thermostat calls or not.
            if am.calling {
                vec![Happening::Calls(i)]
            } else {
                vec![]
            }
        }
    }
}

/// The pilot burns: the main burner follows the thermostat.
fn after_pilot(a: &Appliance, am: &mut ApplianceMode, i: usize, t_s: f64) -> Vec<Happening> {
    if am.calling {
        am.valve = am.valve.sent_to(1.0, t_s, a.valve_s);
        am.lit = true;
        am.phase = Phase::Burning;
        vec![Happening::Lit(i)]
    } else {
        am.phase = Phase::Satisfied;
        vec![]
    }
}

fn satisfy(a: &Appliance, am: &mut ApplianceMode, t_s: f64) {
    am.calling = false;
    if am.phase == Phase::LockedOut {
        return;
    }
    close_main(a, am, t_s);
    // A thermocouple that cools does so with or without a call.
    if !matches!(a.ignition, Ignition::Pilot { .. }) {
        am.unseen_until_s = None;
    } else if am.phase == Phase::OpenUnlit {
        return;
    }
    am.deadline_s = None;
    am.phase = Phase::Satisfied;
}

fn lose_flame(a: &Appliance, am: &mut ApplianceMode, i: usize, t_s: f64) -> Vec<Happening> {
    am.lit = false;
    am.pilot_lit = false;
    // A trial goes on, and ends as trials do.
    if am.phase != Phase::Trial {
        am.phase = Phase::OpenUnlit;
        let shuts_s = a.ignition.sense_s().map(|d| t_s + d);
        am.unseen_until_s = am.unseen_until_s.or(shuts_s);
    }
    vec![Happening::FlameLost(i)]
}

/// A person switches an appliance on or off.
pub fn switch(
    rig: &Rig,
    m: &mut Modes,
    s: &RigState,
    t_s: f64,
    i: usize,
    on: bool,
) -> Vec<Happening> {
    let (a, am) = (&rig.appliances[i], &mut m.appliances[i]);
    if on == am.on {
        return vec![];
    }
    am.on = on;
    if on {
        am.calling = a
            .thermal
            .is_none_or(|l| l.efficiency.signum() * (s.thermal_k[i] - l.set_k) < 0.0);
        // A pilot is lit whether or not the thermostat asks.
        if am.calling || matches!(a.ignition, Ignition::Pilot { .. }) {
            start(a, am, i, t_s)
        } else {
            am.phase = Phase::Satisfied;
            vec![]
        }
    } else {
        close_main(a, am, t_s);
        am.calling = false;
        am.pilot_open = false;
        am.pilot_lit = false;
        am.deadline_s = None;
        am.unseen_until_s = None;
        am.phase = Phase::Off;
        vec![Happening::SwitchedOff(i)]
    }
}

/// A person resets a lock-out (relights a pilot, presses the button): off and on again.
pub fn reset(rig: &Rig, m: &mut Modes, s: &RigState, t_s: f64, i: usize) -> Vec<Happening> {
    let mut out = switch(rig, m, s, t_s, i, false);
    out.extend(switch(rig, m, s, t_s, i, true));
    out
}

/// A person turns a service valve to `open` (0 to 1) within `over_s`.
pub fn turn_valve(m: &mut Modes, t_s: f64, c: usize, open: f64, over_s: f64) {
    m.valves[c] = m.valves[c].sent_to(open.clamp(0.0, 1.0), t_s, over_s);
}

/// Puts an appliance into the middle of its normal duty, as found: pilot burning, thermostat
/// satisfied, or burner alight with its valve open. With every service valve shut nothing burns: a
/// plain burner's tap stands open, anything with a flame safety is locked out.
pub fn settle(rig: &Rig, m: &mut Modes, s: &RigState, i: usize) {
    let (a, am) = (&rig.appliances[i], &mut m.appliances[i]);
    am.on = true;
    am.calling = a
        .thermal
        .is_none_or(|l| l.efficiency.signum() * (s.thermal_k[i] - l.set_k) < 0.0);
    if matches!(a.ignition, Ignition::Pilot { .. }) {
        am.pilot_open = true;
        am.pilot_lit = true;
    }
    am.phase = if am.calling {
        Phase::Burning
    } else {
        Phase::Satisfied
    };
    am.lit = am.calling;
    am.valve = Ramp::fixed(if am.calling { 1.0 } else { 0.0 });
    if m.valves[..rig.containers.len()]
        .iter()
        .all(|v| v.at(0.0) <= 0.0)
    {
        (am.lit, am.pilot_lit, am.pilot_open) = (false, false, false);
        if let Ignition::Hand {
            flame_failure: false,
        } = a.ignition
        {
            am.phase = Phase::OpenUnlit;
        } else {
            am.phase = Phase::LockedOut;
            am.valve = Ramp::fixed(0.0);
        }
    }
}
