//! A sealed second spring case keeps its air: the whole rig in motion against the gas law.
//!
//! Derived: what the trapped air gains, the outlet gains, pascal for pascal, as long as the
//! diaphragm does not move. With the seats shut it hardly does; under a load the seat must open
//! further for the higher flow and the travel takes a part back.

use twostage::physics::air::atmosphere_pa;
use twostage::rig::Kind;
use twostage::scenario::SiteValue;

use crate::common::{Check, Grade, Tolerance};
use crate::house::{House, INWC_PA, kelvin, loaded_rig, rig};

fn check<'a>(id: &'a str, what: &'a str, source: &'a str, within: Tolerance) -> Check<'a> {
    Check {
        id,
        what,
        source,
        grade: Grade::Derived,
        unit: "in w.c.",
        tolerance: within,
        expected: 0.0,
        got: 0.0,
    }
}

/// A rig locked up, its second vent then sealed.
fn sealed_at_rest() -> House {
    let mut house = House::start(loaded_rig("30 lb cylinder"), 93.0, kelvin(61.0));
    house.switch(0..2, true).wait(30.0).all_off().wait(600.0);
    house.inject("second_vent_blocked", 1.0).wait(10.0);
    house
}

#[test]
fn the_sun_winds_up_the_trapped_air() {
    let mut house = sealed_at_rest();
    let before = house.read();
    house.site(SiteValue::Sun, 500.0, 60.0).wait(3600.0);
    let after = house.read();
    let trapped = before.ambient_pa + before.second.case_pa;
    let expected = trapped * (after.case_k - before.case_k) / before.case_k;
    Check {
        expected: expected / INWC_PA,
        got: (after.outlet_pa - before.outlet_pa) / INWC_PA,
        ..check(
            "sealed.sun",
            "rise of the outlet at lock-up, spring case sealed and 10 K warmer",
            "gas law: p_b dT/T",
            Tolerance::Relative(0.01),
        )
    }
    .assert();
}

#[test]
fn the_road_up_leaves_the_valley_in_the_spring_case() {
    let climb_m = 3000.0 * 0.3048;
    let mut house = sealed_at_rest();
    let before = house.outlet();
    house
        .site(SiteValue::Elevation, climb_m, 1800.0)
        .wait(2400.0);
    Check {
        expected: (atmosphere_pa(0.0) - atmosphere_pa(climb_m)) / INWC_PA,
        got: house.outlet() - before,
        ..check(
            "sealed.climb_at_rest",
            "rise of the outlet at lock-up, spring case sealed, 3000 ft up",
            "fall of the standard atmosphere, ISO 2533",
            Tolerance::Relative(0.01),
        )
    }
    .assert();

    // A small flame on, so that gas passes all the way: 1000 ft.
    let climb_m = 1000.0 * 0.3048;
    let mut kettle = rig("30 lb cylinder", &[Kind::Cooktop]);
    kettle.appliances[0].set_rating(600.0 * crate::house::BTU_PER_H_W, 11.0 * INWC_PA);
    let mut house = House::start(kettle, 93.0, kelvin(61.0));
    house.switch([0], true).wait(600.0);
    house.inject("second_vent_blocked", 1.0).wait(60.0);
    let before = house.outlet();
    house
        .site(SiteValue::Elevation, climb_m, 1800.0)
        .wait(2400.0);
    Check {
        expected: (atmosphere_pa(0.0) - atmosphere_pa(climb_m)) / INWC_PA,
        got: house.outlet() - before,
        ..check(
            "sealed.climb_with_a_pilot",
            "rise of the outlet with a pilot on, spring case sealed, 1000 ft up",
            "fall of the standard atmosphere, ISO 2533",
            Tolerance::Relative(0.06),
        )
    }
    .assert();
}

#[test]
fn an_open_vent_forgets_sun_and_height() {
    let mut house = House::start(loaded_rig("30 lb cylinder"), 93.0, kelvin(61.0));
    house.switch(0..1, true).wait(30.0);
    let before = house.outlet();
    house.site(SiteValue::Sun, 500.0, 60.0);
    house.site(SiteValue::Elevation, 914.4, 1800.0).wait(3600.0);
    Check {
        expected: before,
        got: house.outlet(),
        ..check(
            "sealed.open_vent",
            "outlet under load with a free vent, 10 K of sun and 3000 ft up",
            "a free vent holds the spring case at ambient",
            Tolerance::Absolute(0.15),
        )
    }
    .assert();
}
