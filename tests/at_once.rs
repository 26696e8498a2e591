//! A fault that comes at once leaves the rig where the same fault, grown over ten minutes, leaves it: what jumps at
//! the moment it comes may set nothing off for good.

#[path = "common/house.rs"]
mod house;

use house::{House, INWC_PA, PSI_PA, kelvin, loaded_rig};
use std::fmt::Write as _;
use twostage::fault::Fault;
use twostage::rig::{Readings, Rig};
use twostage::scenario::Action;
use twostage::sim::Simulation;

/// How long a fault takes to grow to the full \[s\].
const GROWN_S: f64 = 600.0;
/// How long the rig then has to come to rest \[s\].
const AFTER_S: f64 = 200.0;
/// Severities that are looked at.
const SEVERITIES: [f64; 5] = [0.15, 0.3, 0.5, 0.75, 1.0];
/// Within this a rig that goes on and off is looked at each second \[s\].
const BREATH_S: usize = 60;

/// What of a rig may not depend on how a fault came.
#[derive(Debug, Clone, PartialEq)]
struct State {
    tripped: Vec<bool>,
    on_reserve: bool,
    flames: Vec<bool>,
    relief: bool,
    outlet_inwc: f64,
    interstage_psi: f64,
    inlet_psi: f64,
}

impl State {
    fn of(sim: &Simulation) -> Self {
        let r: Readings = sim.readings();
        Self {
            tripped: r.containers.iter().map(|c| c.excess_flow_tripped).collect(),
            on_reserve: r.reserve_feeding,
            flames: (0..sim.rig().appliances.len())
                .map(|i| sim.moment().modes.appliances[i].lit)
                .collect(),
            relief: sim.moment().modes.relief_open,
            outlet_inwc: r.outlet_pa / INWC_PA,
            interstage_psi: r.first.chamber_pa / PSI_PA,
            inlet_psi: r.first.inlet_pa / PSI_PA,
        }
    }

    /// The state of a run when a tap on the body has shaken loose what friction holds: that is the last stroke's doing.
    fn shaken(sim: &Simulation) -> Self {
        let mut copy = sim.copy();
        copy.act(&Action::Tap);
        go_on(&mut copy, 3.0);
        Self::of(&copy)
    }

    /// What differs by more than is left of the path.
    fn unlike(&self, other: &Self) -> String {
        let mut out = String::new();
        if self.tripped != other.tripped {
            let _ = write!(out, " tripped {:?} / {:?};", self.tripped, other.tripped);
        }
        if self.on_reserve != other.on_reserve {
            let _ = write!(out, " reserve {} / {};", self.on_reserve, other.on_reserve);
        }
        if self.flames != other.flames {
            let _ = write!(out, " flames {:?} / {:?};", self.flames, other.flames);
        }
        if self.relief != other.relief {
            let _ = write!(out, " relief {} / {};", self.relief, other.relief);
        }
        for (what, a, b, within) in [
            ("outlet", self.outlet_inwc, other.outlet_inwc, 0.4),
            (
                "interstage",
                self.interstage_psi,
                other.interstage_psi,
                0.5 + 0.02 * other.interstage_psi,
            ),
            ("inlet", self.inlet_psi, other.inlet_psi, 3.0),
        ] {
            if (a - b).abs() > within {
                let _ = write!(out, " {what} {a:.2} / {b:.2};");
            }
        }
        out
    }
}

fn go_on(sim: &mut Simulation, seconds: f64) {
    let until = sim.time_s() + seconds;
    sim.advance(until, None, &mut |_| {})
        .unwrap_or_else(|e| panic!("{e}"));
}

fn put_in(sim: &mut Simulation, fault: Fault, severity: f64, over_s: f64) {
    sim.act(&Action::Inject {
        fault,
        severity,
        over_s,
    });
    go_on(sim, over_s + AFTER_S);
}

/// What a person does who finds the rig so: everything off, the container shut, a wait, opened slowly, all relit; where
/// nothing burned a burner is lit for a moment, for a line at rest keeps what is in it.
fn by_hand(sim: &Simulation, burners: usize) -> Simulation {
    let mut sim = sim.copy();
    let valve = |sim: &mut Simulation, open, over_s| {
        (0..sim.rig().containers.len()).for_each(|container| {
            sim.act(&Action::Valve {
                container,
                open,
                over_s,
            });
        });
    };
    let switch = |sim: &mut Simulation, count, on| {
        (0..count).for_each(|appliance| sim.act(&Action::Switch { appliance, on }));
    };
    let all = sim.rig().appliances.len();
    switch(&mut sim, all, false);
    valve(&mut sim, 0.0, 2.0);
    go_on(&mut sim, 10.0);
    valve(&mut sim, 1.0, 60.0);
    go_on(&mut sim, 120.0);
    switch(&mut sim, burners.max(1), true);
    go_on(&mut sim, 10.0);
    if burners == 0 {
        switch(&mut sim, 1, false);
    }
    go_on(&mut sim, AFTER_S);
    sim
}

/// What differs between a run and one whose fault has grown, at any moment of a minute (a rig that goes on and off need
/// not be in the same breath) and after any time that the grown one has had more of it.
fn unlike(at_once: &Simulation, grown: &Simulation, more_s: f64) -> String {
    let first = State::of(at_once).unlike(&State::of(grown));
    if first.is_empty() {
        return first;
    }
    let breath = |sim: &Simulation| {
        let mut sim = sim.copy();
        let each = (0..BREATH_S).map(|k| {
            if k > 0 {
                go_on(&mut sim, 1.0);
            }
            State::of(&sim)
        });
        each.collect::<Vec<_>>()
    };
    let mut reached = breath(grown);
    reached.push(State::shaken(grown));
    let is_there = |state: &State| reached.iter().any(|r| state.unlike(r).is_empty());
    let mut run = at_once.copy();
    let mut waited_s = 0.0;
    loop {
        if is_there(&State::of(&run)) || is_there(&State::shaken(&run)) {
            return String::new();
        }
        if waited_s >= more_s {
            return first;
        }
        go_on(&mut run, 10.0);
        waited_s += 10.0;
    }
}

/// What starves: at once it puts all flames out together; as it grows the heaters go out first, and what they leave keeps a
/// cooktop's flame until it is out of reach itself.
const IN_TURN: &str = "a flame that is out stays out";
/// A disc that breaks out under load, or a diaphragm that rips and lets the first seat wide open, sends a rush into the
/// first chamber that shuts the excess-flow valve: it goes by the flow, and what crumbles sends none. Shut it stays while
/// more is drawn than its bleed lets through.
const A_RUSH: &str = "a rush trips the excess-flow valve, a trickle does not";
/// Where what the way there has done stays until somebody undoes it, with the reason: these are alike after the same
/// hands ([`by_hand`]).
const STAYS: [(&str, &str); 8] = [
    ("first_seat_disc_lost", A_RUSH),
    ("first_diaphragm_torn", A_RUSH),
    (
        "vent_sealed_below",
        "a sudden push blows flames off that a slow one leaves, and at rest the line keeps what one stroke let in",
    ),
    ("service_valve_part_open", IN_TURN),
    ("hose_bored_down", IN_TURN),
    ("hose_kinked", IN_TURN),
    ("first_stage_clogged", IN_TURN),
    ("line_crushed", IN_TURN),
];

/// A store so large that the draw of the minutes a fault has been there neither empties nor cools it, nor takes along what
/// air is in it.
fn rig() -> Rig {
    let mut rig = loaded_rig("horizontal tank");
    rig.containers[0].volume_m3 *= 100.0;
    rig.containers[0].steel_j_per_k = 1e9;
    rig
}

/// The same on two such stores behind a changeover.
fn twin() -> Rig {
    let one = rig();
    Rig::standard(vec![one.containers[0]; 2], one.appliances)
}

fn unlike_at(load: &str, burners: usize) {
    unlike_on(rig(), load, burners, Fault::all());
}

/// What strikes a side, or the changeover, on a twin set.
fn unlike_on_a_twin_at(load: &str, burners: usize) {
    let (rig, alone) = (twin(), rig());
    let faults: Vec<_> = Fault::all_in(&rig)
        .filter(|fault| fault.strikes_a_side() || !fault.acts_on(&alone))
        .collect();
    unlike_on(rig, load, burners, faults);
}

fn unlike_on(rig: Rig, load: &str, burners: usize, faults: impl IntoIterator<Item = Fault>) {
    let mut found = Vec::new();
    let mut house = House::start(rig, 93.0, kelvin(60.0));
    house.switch(0..burners, true).wait(60.0);
    for fault in faults {
        let stays = STAYS.iter().any(|(id, _)| *id == fault.id());
        let (mut grown, mut last) = (house.sim.copy(), 0.0);
        for severity in SEVERITIES {
            let mut at_once = house.sim.copy();
            put_in(&mut at_once, fault, severity, 0.0);
            put_in(&mut grown, fault, severity, GROWN_S * (severity - last));
            last = severity;
            let more_s = grown.time_s() - at_once.time_s();
            let mut what = unlike(&at_once, &grown, more_s);
            if !what.is_empty() && stays {
                let hands = [&at_once, &grown].map(|sim| by_hand(sim, burners));
                what = unlike(&hands[0], &hands[1], more_s);
            }
            if !what.is_empty() {
                found.push(format!("{} {severity} {load}:{what}", fault.id()));
            }
        }
    }
    assert!(found.is_empty(), "at once / grown:\n{}", found.join("\n"));
}

#[test]
fn a_fault_put_in_at_once_leaves_what_it_leaves_when_it_grows_at_rest() {
    unlike_at("at rest", 0);
}

#[test]
fn a_fault_put_in_at_once_leaves_what_it_leaves_when_it_grows_at_half_load() {
    unlike_at("half load", 2);
}

#[test]
fn a_fault_put_in_at_once_leaves_what_it_leaves_when_it_grows_at_full_load() {
    unlike_at("full load", 4);
}

#[test]
fn a_fault_of_a_side_put_in_at_once_leaves_what_it_leaves_when_it_grows_on_a_twin_set_at_rest() {
    unlike_on_a_twin_at("twin at rest", 0);
}

#[test]
fn a_fault_of_a_side_put_in_at_once_leaves_what_it_leaves_when_it_grows_on_a_twin_set_at_half_load()
{
    unlike_on_a_twin_at("twin half load", 2);
}

#[test]
fn a_fault_of_a_side_put_in_at_once_leaves_what_it_leaves_when_it_grows_on_a_twin_set_at_full_load()
{
    unlike_on_a_twin_at("twin full load", 4);
}
