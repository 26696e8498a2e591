//! A rig that was drawn from for hours in the cold before the visit: the start that a closer look gives it against the draw
//! itself, run in the model; and what the built-in library answers to visits that begin where such a draw ends.

use super::made::fault;
use crate::diagnosis::answer::Answer;
use crate::diagnosis::files::readings::Readings;
use crate::diagnosis::library::random::Random;
use crate::diagnosis::library::sample::{Met, ordered_visit};
use crate::diagnosis::library::standard::standard_rig;
use crate::diagnosis::library::unknowns::{Drawn, UNKNOWNS, Unknowns, World};
use crate::diagnosis::measure::cases::read;
use crate::diagnosis::store::{Prepared, built_in};
use crate::fault::Fault;
use crate::physics::air::atmosphere_pa;
use crate::physics::fuel::{Species, saturation_temperature_k};
use crate::rig::Ramp;
use crate::scenario::{Action, Scenario};
use crate::service::TOLERANCE;
use crate::sim::Simulation;
use crate::solver::Method;
use crate::visit::{ALL, Id, LeakCheck, NUMBERS, Values, quickened, visit_to};
use std::sync::atomic::AtomicBool;
use std::sync::{Arc, LazyLock};

static PREPARED: LazyLock<Prepared> = LazyLock::new(|| {
    let library = built_in(&standard_rig()).expect("the built-in library belongs to this model");
    Prepared::from_library(library).expect("a likelihood")
});

/// The standard rig in air of so many degrees Fahrenheit.
fn rig_in(air_f: f64, fill: f64) -> Scenario {
    let mut rig = quickened(&standard_rig());
    let air_k = (air_f + 459.67) / 1.8;
    rig.site.air_k = Ramp::fixed(air_k);
    for charge in &mut rig.charges {
        (charge.temperature_k, charge.fill) = (air_k, fill);
    }
    rig
}

/// The rig after some of its appliances have burned for hours.
fn after_hours(rig: &Scenario, faults: &[(Fault, f64)], lit: usize, hours: f64) -> Simulation {
    let faulty = Arc::new(rig.with_faults(faults.iter().copied()));
    let mut sim = Simulation::start(faulty, Method::Stiff, TOLERANCE).expect("starts");
    for (on, until_s) in [(true, 3600.0 * hours), (false, 3600.0 * hours + 30.0)] {
        (0..lit).for_each(|appliance| sim.act(&Action::Switch { appliance, on }));
        sim.advance(until_s, None, &mut |_| {}).expect("runs");
    }
    sim
}

fn colder_k(sim: &Simulation) -> f64 {
    sim.readings().air_k - sim.moment().state.containers[0].temperature_k
}

#[test]
fn a_draw_and_how_much_colder_it_leaves_a_container_go_over_into_each_other() {
    assert!(!Drawn::NOT.is_any() && Drawn::NOT.surprise() == 0.0);
    for air_k in [245.0, 260.0, 275.0, 310.0] {
        let mut before_k = 0.0;
        for z in [0.1, 0.5, 1.0, 2.0, 3.0] {
            let colder_k = Drawn(z).colder_k(air_k);
            assert!(
                colder_k > before_k && air_k - colder_k > 229.9,
                "{air_k}: {colder_k}"
            );
            let back = Drawn::of_colder(colder_k, air_k).0;
            // Where hardly any pressure is left the last of it is held short of none.
            assert!((back - z).abs() < 1e-9 || colder_k > 0.98 * (air_k - 230.0));
            before_k = colder_k;
        }
    }
}

/// A container cooled by a furnace that burned for two or three hours, and one that begins as cold as gives its pressure and is met
/// in use, read alike, item by item, within three of an instrument's uncertainties. It begins a kelvin or two colder than the draw
/// left it: hours carry off the ethane first, and what stays boils under less (derived: a mixture's lightest goes first).
#[test]
fn a_drawn_start_is_like_the_draw_itself() {
    for (air_f, fill, hours) in [(35.0, 0.5, 2.0), (20.0, 0.6, 3.0)] {
        let mut rig = rig_in(air_f, fill);
        let mut sim = after_hours(&rig, &[], 1, hours);
        let (left_k, air_k) = (colder_k(&sim), sim.readings().air_k);
        let left = sim.readings().containers[0].fill;
        rig.charges.iter_mut().for_each(|c| c.fill = left);
        let truth = visit_to(&mut sim, LeakCheck::First, &|_| true).expect("runs");
        let met = Met {
            leak_check: LeakCheck::First,
            in_use: false,
        };
        let still = Unknowns([0.0; UNKNOWNS]);
        let begun = |colder_k: f64| {
            let stands = (&still, Drawn::of_colder(colder_k, air_k));
            ordered_visit(&rig, &[], stands, World::MET, met, &|_| true).expect("runs")
        };
        let boils_k = |values: &Values| {
            let gauge_pa = values[Id::Container.index()].expect("read");
            saturation_temperature_k(Species::Propane, gauge_pa + atmosphere_pa(0.0))
        };
        let off_k = boils_k(&begun(left_k)) - boils_k(&truth);
        assert!((0.0..3.5).contains(&off_k), "{air_f}: {off_k}");
        let own = begun(left_k + off_k);
        for (item, (a, b)) in ALL.iter().zip(truth.into_iter().zip(own)) {
            let (Some(a), Some(b)) = (a, b) else { continue };
            let one = if item.id.index() < NUMBERS {
                item.uncertainty(a)
            } else {
                0.0
            };
            assert!(
                (a - b).abs() <= 3.0 * one,
                "{}: {a} after the draw, {b}",
                item.words
            );
        }
    }
}

/// A visit that begins where a draw has ended, read by instruments.
fn met_after(rig: &Scenario, faults: &[(Fault, f64)], lit: usize, hours: f64) -> (Values, Answer) {
    let mut sim = after_hours(rig, faults, lit, hours);
    let truth = visit_to(&mut sim, LeakCheck::First, &|_| true).expect("runs");
    let values = read(&truth, 1.0, &mut Random::new(4, 1));
    let readings = Readings {
        values,
        ..Readings::default()
    };
    let answer = PREPARED.answer_with_pairs(&readings, &AtomicBool::new(false));
    (values, answer)
}

fn place(answer: &Answer, id: &str) -> usize {
    let own = |c: &String| c == id;
    let at = answer.groups.iter().position(|g| g.causes.iter().any(own));
    at.unwrap_or(usize::MAX)
}

/// What is the container's, or nothing's.
const SUPPLY: [&str; 4] = ["healthy", "container_cold", "butane_rich", "container_low"];

#[test]
fn a_container_cooled_by_hours_of_draw_is_the_supplys_matter() {
    for (air_f, fill, lit, hours) in [(10.0, 0.45, 2, 4.0), (35.0, 0.6, 2, 6.0)] {
        let (values, answer) = met_after(&rig_in(air_f, fill), &[], lit, hours);
        let told: Vec<_> = answer
            .groups
            .iter()
            .map(|g| (&g.name, g.probability))
            .collect();
        assert!(answer.none_of_these < 0.5, "{air_f}: {told:?}");
        // At 35 °F water in the fuel stands before it, since an iced first seat reads much the same (not solved).
        let most = usize::from(air_f > 32.0);
        assert!(
            SUPPLY.iter().any(|id| place(&answer, id) <= most),
            "{air_f}: {told:?}"
        );
        let low =
            values[Id::FullOutlet.index()].is_some_and(|pa| pa < crate::service::LIMITS.flow.low);
        assert_eq!(answer.starved.is_some(), low, "{air_f}: {values:?}");
    }
}

#[test]
fn a_regulators_cause_is_found_beside_a_cold_container() {
    for (id, severity) in [
        ("second_vent_blocked", 0.7),
        ("second_seat_nick", 0.5),
        ("first_screw_low", 0.6),
    ] {
        let (_, answer) = met_after(&rig_in(20.0, 0.6), &[(fault(id), severity)], 1, 4.0);
        let told: Vec<_> = answer
            .groups
            .iter()
            .map(|g| (&g.name, g.probability))
            .collect();
        assert!(
            place(&answer, id) < 3 && answer.none_of_these < 0.5,
            "{id}: {told:?}"
        );
    }
}

#[test]
fn ice_that_was_there_before_the_visit_is_among_the_first_three() {
    for (air_f, hours) in [(25.0, 0.5), (38.0, 0.5)] {
        let wet = [(fault("water_in_fuel"), 0.8)];
        let rig = rig_in(air_f, 0.6);
        assert!(after_hours(&rig, &wet, 2, hours).moment().state.ice > 0.5);
        let (_, answer) = met_after(&rig, &wet, 2, hours);
        let told: Vec<_> = answer
            .groups
            .iter()
            .map(|g| (&g.name, g.probability))
            .collect();
        assert!(place(&answer, "water_in_fuel") < 3, "{air_f}: {told:?}");
    }
}
