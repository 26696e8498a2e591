//! The record of a run in words: what the rig did by itself, and what a hand did to it.

use crate::rig::{Appliance, Happening, Ignition, Rig, Seat};
use crate::scenario::SiteValue;
use crate::sim::{Mark, Noted};

/// Something on the record, with the names of a rig's appliances.
pub fn mark(mark: &Mark, rig: &Rig) -> String {
    match mark.what {
        Noted::Happened(h) => happening(h, rig),
        Noted::Valve { container, opened } => {
            let what = if opened { "opened" } else { "shut" };
            match rig.containers.len() {
                0 | 1 => format!("container valve {what}"),
                _ => format!("container valve {} {what}", container + 1),
            }
        }
        Noted::Elsewhere(value) => {
            let what = match value {
                SiteValue::Elevation => "the place is another, higher or lower,",
                SiteValue::Air | SiteValue::Sun | SiteValue::Wall => "the air is warmer or colder",
            };
            format!("{what} at once, as no weather makes it: gas in line and cases jumps with it")
        }
        Noted::Screw { stage, turns } => {
            let way = if turns < 0.0 { "out" } else { "in" };
            format!(
                "{}-stage screw turned {way}, {:.2} turn",
                stage.word(),
                turns.abs()
            )
        }
        Noted::Pressed(stage) => format!("a finger on the {} diaphragm", stage.word()),
        Noted::Thumb { stage, on } => {
            let what = if on { "on" } else { "off" };
            format!("thumb {what} the {} vent", stage.word())
        }
        Noted::Tapped => "tapped the regulator".to_owned(),
        Noted::ClothOn => "a warm wet cloth laid on".to_owned(),
        Noted::NewRegulator => "regulator replaced".to_owned(),
        Noted::NewContainers => "full containers put on".to_owned(),
        Noted::FaultIn(fault) => fault.name_on(rig),
        Noted::FaultOut(fault) => format!("fault cleared: {}", fault.name_on(rig)),
    }
}

/// The excess-flow valve of the only container, or of which.
fn excess_flow(container: usize, rig: &Rig) -> &'static str {
    match (rig.containers.len(), container) {
        (0 | 1, _) => "excess-flow valve",
        (_, 0) => "excess-flow valve of the left container",
        _ => "excess-flow valve of the right container",
    }
}

/// What the rig did by itself.
fn happening(what: Happening, rig: &Rig) -> String {
    let name = |i: usize| {
        rig.appliances
            .get(i)
            .map_or("appliance", |a| a.name.as_str())
    };
    match what {
        Happening::Calls(i) => format!(
            "{} {}",
            name(i),
            rig.appliances.get(i).map_or("calls for heat", calls)
        ),
        Happening::Satisfied(i) => format!("{} satisfied", name(i)),
        Happening::Lit(i) => format!("{} lit", name(i)),
        Happening::PilotLit(i) => format!("{} pilot lit", name(i)),
        Happening::FlameLost(i) => format!("{} flame lost", name(i)),
        Happening::FlameUnseen(i) => format!("{} flame no longer sensed, gas shut", name(i)),
        Happening::TriesAgain(i) => format!("{} tries again", name(i)),
        Happening::LockedOut(i) => format!("{} locked out", name(i)),
        Happening::WouldNotLight(i) => format!("{} would not light", name(i)),
        Happening::SwitchedOff(i) => format!("{} off", name(i)),
        Happening::ExcessFlowTrips(c) => format!("{} closed", excess_flow(c, rig)),
        Happening::ExcessFlowResets(c) => format!("{} open again", excess_flow(c, rig)),
        Happening::ReliefOpens => "relief opens".to_owned(),
        Happening::ReliefSeats => "relief seats".to_owned(),
        Happening::ClothOff => "cloth taken off".to_owned(),
        Happening::GritCarriedOff(Seat::First) => "grit carried off the first seat".to_owned(),
        Happening::GritCarriedOff(Seat::Second) => "grit carried off the second seat".to_owned(),
    }
}

/// What begins a burner: a thermostat calls for what its appliance makes, a hand turns the knob of one without.
fn calls(a: &Appliance) -> &'static str {
    match (&a.thermal, a.ignition) {
        (Some(load), _) if load.efficiency < 0.0 => "calls for cooling",
        (None, Ignition::Hand { .. }) => "turned on",
        _ => "calls for heat",
    }
}
