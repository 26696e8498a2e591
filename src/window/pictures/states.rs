//! The states that pictures are made of: short runs of rigs with something to see.

use std::fmt::Write as _;
use std::sync::Arc;

use crate::rig::Rig;
use crate::scenario::Scenario;
use crate::service::Joint;
use crate::sim::{Simulation, usual_tolerance};
use crate::solver::Method;

/// One state.
pub struct State {
    /// Its name.
    pub name: &'static str,
    /// Air \[°F\].
    air_f: f64,
    /// Containers.
    supply: Supply,
    /// What happens at 8 s.
    events: &'static [&'static str],
    /// When it is looked at \[s\].
    at_s: f64,
    /// Leak fluid on every joint.
    pub fluid: bool,
}

#[derive(Clone, Copy, PartialEq)]
enum Supply {
    One,
    Twin,
    Tank,
}

const fn state(name: &'static str, events: &'static [&'static str]) -> State {
    State {
        name,
        air_f: 60.0,
        supply: Supply::One,
        events,
        at_s: 30.0,
        fluid: false,
    }
}

const fn cold(name: &'static str, events: &'static [&'static str]) -> State {
    State {
        air_f: 10.0,
        ..state(name, events)
    }
}

const fn wetted(name: &'static str, events: &'static [&'static str]) -> State {
    State {
        fluid: true,
        ..state(name, events)
    }
}

/// All of them, in the order of the sheets.
pub const ALL: [State; 24] = [
    state("everything burns", &[]),
    State {
        at_s: 3.0,
        ..state("lighting", &[])
    },
    State {
        supply: Supply::Twin,
        ..state("two cylinders", &[])
    },
    State {
        supply: Supply::Tank,
        ..state("a frame tank", &[])
    },
    state("container shut", &["close_valve = 1"]),
    state(
        "soft flames",
        &["inject = \"second_spring_weak\"\nseverity = 0.9"],
    ),
    state(
        "loud flames",
        &["inject = \"second_screw_high\"\nseverity = 0.8"],
    ),
    state(
        "lifting flames",
        &["inject = \"second_seat_disc_lost\"\nseverity = 0.5"],
    ),
    state(
        "a yellow flame",
        &["inject = \"spud_oversize\"\nseverity = 0.8"],
    ),
    state(
        "a small flame",
        &["inject = \"spud_clogged\"\nseverity = 0.6"],
    ),
    state(
        "mud on the vent",
        &["inject = \"second_vent_blocked\"\nseverity = 0.3"],
    ),
    cold(
        "ice on the vent",
        &["inject = \"second_vent_iced\"\nseverity = 0.6"],
    ),
    state(
        "paint on the vent",
        &["inject = \"vent_screen_painted\"\nseverity = 0.6"],
    ),
    state(
        "vent turned up",
        &["inject = \"vent_turned_up\"\nseverity = 0.6"],
    ),
    wetted(
        "torn diaphragm",
        &["inject = \"diaphragm_torn\"\nseverity = 0.7"],
    ),
    wetted(
        "leaking joints",
        &[
            "inject = \"pigtail_leak\"\nseverity = 0.4",
            "inject = \"low_side_leak\"\nseverity = 0.4",
        ],
    ),
    cold(
        "cold container",
        &["inject = \"container_cold\"\nseverity = 0.6"],
    ),
    state(
        "kinked pigtail",
        &["inject = \"hose_kinked\"\nseverity = 0.5"],
    ),
    state(
        "liquid comes along",
        &["inject = \"liquid_carry_over\"\nseverity = 0.6"],
    ),
    state(
        "crushed line",
        &["inject = \"line_crushed\"\nseverity = 0.6"],
    ),
    state(
        "sagging line",
        &["inject = \"low_point_liquid\"\nseverity = 0.6"],
    ),
    state(
        "thin line",
        &["inject = \"line_too_small\"\nseverity = 0.7"],
    ),
    state(
        "sun and dirt",
        &[
            "sun = \"900 W/m2\"",
            "inject = \"mounted_in_sun\"\nseverity = 0.7",
        ],
    ),
    state(
        "a thumb on the vent",
        &[
            "thumb_on = \"second\"",
            "press = \"first\"\nforce = \"5 N\"",
        ],
    ),
];

/// The text of a rig with everything on.
fn rig_text(air_f: f64, supply: Supply, run_s: f64) -> String {
    let mut text =
        format!("title = \"P\"\n[site]\nair = \"{air_f} degF\"\nelevation = \"1200 ft\"\n");
    let containers: &[&str] = match supply {
        Supply::One => &["30 lb cylinder"],
        Supply::Twin => &["30 lb cylinder", "20 lb cylinder"],
        Supply::Tank => &["horizontal tank"],
    };
    for kind in containers {
        let _ = writeln!(text, "[[container]]\nkind = \"{kind}\"\nfill = \"60 %\"");
    }
    for kind in ["furnace", "water heater", "refrigerator", "cooktop"] {
        let _ = writeln!(text, "[[appliance]]\nkind = \"{kind}\"");
        if kind == "furnace" {
            let _ = writeln!(
                text,
                "purge = \"2 s\"\n[appliance.thermostat]\nset = \"90 degF\"\nstart = \"60 degF\""
            );
        }
    }
    let _ = writeln!(text, "[run]\nduration = \"{run_s} s\"\nsample = \"1 s\"");
    text
}

fn event(text: &mut String, at_s: f64, act: &str) {
    let _ = writeln!(text, "[[event]]\nat = \"{at_s} s\"\n{act}");
}

fn switch(text: &mut String, at_s: f64, on: bool) {
    let act = if on { "turn_on" } else { "turn_off" };
    for name in ["furnace", "water heater", "refrigerator", "cooktop"] {
        event(text, at_s, &format!("{act} = \"{name}\""));
    }
}

fn start(text: &str) -> Simulation {
    let scenario = Scenario::parse("pictures.toml", text).unwrap_or_else(|e| panic!("{e}\n{text}"));
    let tolerance = usual_tolerance(Method::Stiff);
    Simulation::start(Arc::new(scenario), Method::Stiff, tolerance).expect("comes to rest")
}

/// Every state, run to its moment.
pub fn all() -> Vec<(&'static State, Simulation)> {
    let run = |state: &'static State| {
        let mut text = rig_text(state.air_f, state.supply, 60.0);
        switch(&mut text, 1.0, true);
        for act in state.events {
            event(&mut text, 8.0, act);
        }
        let mut sim = start(&text);
        sim.advance(state.at_s, None, &mut |_| {}).expect("runs");
        (state, sim)
    };
    ALL.iter().map(run).collect()
}

/// What a fault needs to tell anything: the company of another, cold, a second container that has to come in.
fn circumstances(id: &str) -> (f64, Supply, Option<&'static str>) {
    match id {
        "relief_stuck_shut" => (60.0, Supply::One, Some("second_seat_disc_lost")),
        // What it passes is more than this rig takes.
        "excess_flow_tripped" => (60.0, Supply::One, Some("overloaded")),
        "changeover_stuck" | "changeover_early" => (60.0, Supply::Twin, None),
        "water_in_fuel" | "second_vent_iced" => (20.0, Supply::One, None),
        _ => (60.0, Supply::One, None),
    }
}

/// A rig with a fault, or with its circumstances alone, at moments of a visit: soon after it came, under load, locked up.
pub fn visit(id: &str, severity: f64) -> Vec<Simulation> {
    let (air_f, supply, company) = circumstances(id);
    let mut text = rig_text(air_f, supply, 600.0);
    if let Some(other) = company {
        event(
            &mut text,
            0.0,
            &format!("inject = \"{other}\"\nseverity = 0.5"),
        );
    }
    if severity > 0.0 {
        event(
            &mut text,
            0.0,
            &format!("inject = \"{id}\"\nseverity = {severity}"),
        );
    }
    switch(&mut text, 4.0, true);
    if supply == Supply::Twin {
        event(&mut text, 30.0, "close_valve = 1");
    }
    switch(&mut text, 70.0, false);
    let mut sim = start(&text);
    [3.0, 8.0, 25.0, 68.0, 72.0, 100.0]
        .into_iter()
        .map(|at_s| {
            sim.advance(at_s, None, &mut |_| {}).expect("runs");
            sim.copy()
        })
        .collect()
}

/// Every joint of a rig.
pub fn joints(rig: &Rig) -> Vec<Joint> {
    let own = [
        Joint::FirstVent,
        Joint::SecondVent,
        Joint::Pigtail,
        Joint::LowSide,
    ];
    let burners = (0..rig.appliances.len()).map(Joint::Burner);
    own.into_iter().chain(burners).collect()
}
