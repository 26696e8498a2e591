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

/// What of a rig may not depend on how a fault came.
#[derive(Debug, Clone, PartialEq)]
struct State {
    tripped: bool,
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
            tripped: r.containers[0].excess_flow_tripped,
            flames: (0..sim.rig().appliances.len())
                .map(|i| sim.moment().modes.appliances[i].lit)
                .collect(),
            relief: sim.moment().modes.relief_open,
            outlet_inwc: r.outlet_pa / INWC_PA,
            interstage_psi: r.first.chamber_pa / PSI_PA,
            inlet_psi: r.first.inlet_pa / PSI_PA,
        }
    }

    /// What differs by more than is left of the path. A trip always counts; flames and pressures unless there is a
    /// reason why they may not agree.
    fn unlike(&self, other: &Self, in_turn: bool, otherwise: bool) -> String {
        let mut out = String::new();
        if self.tripped != other.tripped {
            let _ = write!(out, " tripped {} / {};", self.tripped, other.tripped);
        }
        if otherwise {
            return out;
        }
        if self.flames != other.flames && !in_turn {
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

fn put_in(sim: &mut Simulation, fault: Fault, severity: f64, over_s: f64) -> State {
    sim.act(&Action::Inject {
        fault,
        severity,
        over_s,
    });
    let until = sim.time_s() + over_s + AFTER_S;
    sim.advance(until, None, &mut |_| {})
        .unwrap_or_else(|e| panic!("{} {severity}: {e}", fault.id()));
    State::of(sim)
}

/// Where the way or the time decides, with the reason.
const OTHERWISE: [(&str, &str); 11] = [
    (
        "vent_sealed_below",
        "the air shut in is what the bonnet holds at that moment, and a sudden push blows flames off that a slow one leaves",
    ),
    (
        "water_in_fuel",
        "ice closes the throat over minutes: the longer there, the more",
    ),
    (
        "container_low",
        "what is left is burned in the minutes it has been there",
    ),
    (
        "air_in_container",
        "the air leaves with the gas that is drawn",
    ),
    ("lever_gummed", "friction keeps the last stroke"),
    ("first_guide_gummed", "friction keeps the last stroke"),
    ("first_seat_grit", "it creeps: the longer there, the higher"),
    ("first_seat_nick", "it creeps: the longer there, the higher"),
    (
        "second_seat_grit",
        "it creeps: the longer there, the higher",
    ),
    (
        "second_seat_nick",
        "it creeps: the longer there, the higher",
    ),
    ("oily_residue", "it creeps: the longer there, the higher"),
];
/// What starves: at once it puts all flames out together; as it grows the heaters go out first, and what they leave
/// keeps a cooktop's flame.
const IN_TURN: [&str; 5] = [
    "service_valve_part_open",
    "hose_bored_down",
    "hose_kinked",
    "first_stage_clogged",
    "line_crushed",
];
/// A disc that comes off under load, or a diaphragm that rips and lets the first seat wide open, lets a rush into the
/// first chamber which shuts the excess-flow valve: real gas, more than it passes, and it stays shut while more is drawn
/// or leaves by the vent than its bleed lets through.
const A_REAL_RUSH: [(&str, f64, usize); 2] = [
    ("first_seat_disc_lost", 0.0, 1),
    ("first_diaphragm_torn", 0.5, 0),
];

/// A store so large that it is neither emptied nor cooled by the draw of the minutes a fault has been there.
fn rig() -> Rig {
    let mut rig = loaded_rig("horizontal tank");
    rig.containers[0].steel_j_per_k = 1e9;
    rig
}

fn unlike_at(load: &str, burners: usize) {
    let mut found = Vec::new();
    let mut house = House::start(rig(), 93.0, kelvin(60.0));
    house.switch(0..burners, true).wait(60.0);
    for fault in Fault::all() {
        let in_turn = IN_TURN.contains(&fault.id());
        let rushes = |severity: f64| {
            A_REAL_RUSH
                .iter()
                .any(|&(id, from, least)| id == fault.id() && severity > from && burners >= least)
        };
        let otherwise = OTHERWISE.iter().any(|(id, _)| *id == fault.id());
        let (mut grown, mut last) = (house.sim.copy(), 0.0);
        for severity in [0.3, 0.6, 1.0] {
            if rushes(severity) {
                continue;
            }
            let at_once = put_in(&mut house.sim.copy(), fault, severity, 0.0);
            let mut reached = put_in(&mut grown, fault, severity, GROWN_S * (severity - last));
            last = severity;
            // A rig that goes on and off need not be in the same breath.
            for _ in 0..60 {
                if at_once.unlike(&reached, in_turn, otherwise).is_empty() {
                    break;
                }
                let until = grown.time_s() + 1.0;
                grown
                    .advance(until, None, &mut |_| {})
                    .unwrap_or_else(|e| panic!("{} {severity}: {e}", fault.id()));
                reached = State::of(&grown);
            }
            let unlike = at_once.unlike(&reached, in_turn, otherwise);
            if !unlike.is_empty() {
                found.push(format!("{} {severity} {load}:{unlike}", fault.id()));
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
