//! What boils is paid for: the rig's heat against enthalpies of the reference equation of state.
//!
//! All on pure propane from a container at 60 °F in air of 60 °F, so that the container gives and takes
//! next to nothing through its wall and what is measured is the regulator's.

use twostage::physics::fuel::{Species, saturation_temperature_k};
use twostage::rig::{Readings, Rig, RigState, Wet};

use crate::common::{Check, Grade, Tolerance, assert_worst};
use crate::house::{House, PSI_PA, kelvin, loaded_rig};

/// Enthalpies of the reference equation of state \[J/kg\] (published, carried by `CoolProp` 8.0.0): from liquid
/// saturated at 60 °F to vapour saturated at 10 psig and at one atmosphere.
const TO_10_PSIG: f64 = 300_956.0;
const TO_ONE_ATM: f64 = 286_085.0;
/// Its boiling points there \[K\].
const AT_10_PSIG_K: f64 = 243.518;
const AT_ONE_ATM_K: f64 = 231.036;
/// Gauge pressure of saturated propane at 60 °F \[psi\].
const PSIG_AT_60_F: f64 = 93.02;

const REFERENCE: &str = "reference equation of state, CoolProp 8.0.0";

/// A rig on pure propane whose container gives liquid with its vapour.
fn house(liquid_share: f64) -> House {
    let mut rig = loaded_rig("30 lb cylinder");
    rig.fuel.fractions = [1.0, 0.0, 0.0, 0.0, 0.0];
    rig.containers[0].liquid_share = liquid_share;
    House::start(rig, PSIG_AT_60_F, kelvin(60.0))
}

fn check<'a>(id: &'a str, what: &'a str, unit: &'a str, tolerance: Tolerance) -> Check<'a> {
    Check {
        id,
        what,
        source: REFERENCE,
        grade: Grade::Published,
        unit,
        tolerance,
        expected: 0.0,
        got: 0.0,
    }
}

/// The law alone: liquid that meets a pressure lower than its own boils by its own heat.
#[test]
fn liquid_flashes_by_its_own_heat() {
    let body = Rig::standard(vec![], vec![]).body;
    let pressure_pa = 101_325.0 + 10.0 * PSI_PA;
    let cold = RigState {
        body_k: saturation_temperature_k(Species::Propane, pressure_pa),
        ..RigState::default()
    };
    let points = [(20.0, 0.13268), (60.0, 0.26952), (100.0, 0.41730)].map(|(f, expected)| {
        let mut wet = Wet::default();
        wet.in_the_first(&body, &cold, 1e-3, kelvin(f), pressure_pa);
        (format!("{f} F"), expected, wet.first_kg_per_s / 1e-3)
    });
    let what = "share that flashes at once from saturated liquid to 10 psig";
    let row = check("energy.flash_share", what, "1", Tolerance::Relative(0.06));
    assert_worst(&row, points);
}

/// Dry: the container pays, by the enthalpy of its vapour.
#[test]
fn vapour_carries_off_its_enthalpy_and_the_books_close() {
    let mut house = house(0.0);
    let full_kg = house.read().containers[0].fuel_kg;
    house.switch(0..2, true).wait(1800.0);
    let r = house.read();
    let gone_kg = full_kg - r.containers[0].fuel_kg;
    // From the reference: 391.46 kJ/kg at 60 F and 367.43 at 20 F over liquid at 0 C.
    let mean_k = 0.5 * (kelvin(60.0) + r.containers[0].temperature_k);
    let expected = 391_457.0 - (kelvin(60.0) - mean_k) * (391_457.0 - 367_430.0) / 22.222;
    Check {
        expected: 1e-3 * expected,
        got: 1e-3 * r.carried_off_j / gone_kg,
        ..check(
            "energy.vapour_carries",
            "heat carried off by each kg drawn at half load for half an hour, over liquid at 0 C",
            "kJ/kg",
            Tolerance::Relative(0.02),
        )
    }
    .assert();
    books("energy.books_dry", "half an hour at half load, dry", &r);
}

/// What is held plus what was carried off less what was taken in does not change.
fn books(id: &str, what: &str, r: &Readings) {
    Check {
        source: "conservation of energy: contents, steel and body held, wall heat in, enthalpy out",
        grade: Grade::Derived,
        expected: BOOKS,
        got: r.energy_error,
        ..check(id, what, "1", Tolerance::AtMost)
    }
    .assert();
}

/// Error of the books, of the heat that has passed.
const BOOKS: f64 = 0.001;

/// A small flame on nearly nothing but liquid: what flashes pays for itself, the body for the rest, and
/// stands as far under the air as that takes.
#[test]
fn the_body_pays_for_what_it_boils() {
    let mut house = house(0.5);
    house.switch([1, 3], true).wait(2400.0);
    let r = house.read();
    let (wet, flow) = (r.first.liquid_share, r.burner_flow_kg_per_s);
    // A little vapour comes along and draws two fifths of its Joule-Thomson chill of 12.8 K.
    let each = wet * TO_10_PSIG + (1.0 - wet) * 0.4 * 1630.0 * 12.8;
    Check {
        expected: flow * each / house.sim.rig().body.loss_w_per_k,
        got: r.air_k - r.body_k,
        ..check(
            "energy.body_pays",
            "body under the air after 40 min of liquid at 16 kBtu/h: enthalpy to boil over heat from the air",
            "K",
            Tolerance::Relative(0.04),
        )
    }
    .assert();
    assert!(r.low_pool_kg < 1e-6, "all of it boils in the first body");
    books("energy.books_liquid", "40 min of liquid at 16 kBtu/h", &r);
}

/// More liquid than the body can boil: second chamber and line pay.
#[test]
fn a_flooded_rig_takes_its_heat_from_the_air() {
    let mut house = house(0.5);
    house.switch(0..4, true).wait(900.0);
    let before = house.read();
    house.wait(600.0);
    let r = house.read();
    let taken_j = r.taken_in_j - before.taken_in_j;
    let burned_kg = r.burned_kg - before.burned_kg;
    Check {
        expected: 1e-3 * TO_ONE_ATM,
        got: 1e-3 * taken_j / burned_kg,
        ..check(
            "energy.flooded_rig",
            "heat taken from the air for each kg burned at 102 kBtu/h, 97 % liquid, min 15 to 25",
            "kJ/kg",
            Tolerance::Relative(0.06),
        )
    }
    .assert();
    let between = (AT_ONE_ATM_K, AT_10_PSIG_K);
    Check {
        expected: between.0 - 0.5,
        got: r.body_k,
        ..check(
            "energy.coldest_body",
            "body of a flooded rig, no colder than what boils on it at one atmosphere",
            "K",
            Tolerance::AtLeast,
        )
    }
    .assert();
    Check {
        expected: between.1 + 5.0,
        got: r.body_k,
        ..check(
            "energy.warmest_body",
            "body of a flooded rig, less than 5 K over the boiling point at 10 psig",
            "K",
            Tolerance::AtMost,
        )
    }
    .assert();
    books("energy.books_flooded", "25 min flooded at 102 kBtu/h", &r);
}

/// Shut off, what stands in the body boils as far as the body is warm.
#[test]
fn liquid_left_standing_presses_as_the_body_is_warm() {
    let mut house = house(0.5);
    house.switch(0..4, true).wait(600.0);
    house.all_off();
    // Gauge pressure of the reference at these temperatures.
    let points = [
        (265.0, 38.519),
        (270.0, 47.733),
        (275.0, 58.088),
        (280.0, 69.670),
    ];
    let points: Vec<_> = points
        .into_iter()
        .map(|(k, psig)| {
            while house.read().body_k < k {
                house.wait(1.0);
            }
            (format!("{k} K"), psig, house.interstage())
        })
        .collect();
    assert!(house.read().pool_kg > 1e-3);
    let what = "interstage over liquid standing in a body that warms";
    let row = check(
        "energy.standing_liquid",
        what,
        "psi",
        Tolerance::Absolute(2.5),
    );
    assert_worst(&row, points);
}
