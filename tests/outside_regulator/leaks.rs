//! Leaks and tears by their size: what the leak check loses, what leaves the vent, what a severity says it is.

use twostage::fault::Fault;
use twostage::physics::GAS_CONSTANT;
use twostage::scenario::Action;
use twostage::units::System;

use crate::common::{Check, Grade, Tolerance, assert_worst};
use crate::house::{BTU_PER_H_W, HALF, House, INWC_PA, REST, kelvin, rig};

const AIR_PA: f64 = 101_325.0;
const PROPANE: f64 = GAS_CONSTANT / 44.0956e-3;

/// Everything off, pure propane, 60 °F.
fn at_rest(change: impl FnOnce(&mut twostage::rig::Rig)) -> House {
    let mut rig = rig("30 lb cylinder", &[HALF, REST].concat());
    rig.fuel.fractions = [1.0, 0.0, 0.0, 0.0, 0.0];
    change(&mut rig);
    House::start(rig, 93.0, kelvin(60.0))
}

/// The leak check: container shut, bled to 9 in w.c., held three minutes. Gives outlet \[Pa\] and gas
/// lost \[kg\] before and after.
fn leak_check(house: &mut House) -> [(f64, f64); 2] {
    house.sim.act(&Action::Valve {
        container: 0,
        open: 0.0,
        over_s: 2.0,
    });
    house.wait(3.0);
    house.sim.act(&Action::Bleed { area_m2: 1.5e-6 });
    while house.outlet() > 9.0 {
        house.wait(0.2);
    }
    house.sim.act(&Action::Bleed { area_m2: 0.0 });
    // The burst has cooled nothing; the guides come to rest.
    let now = |house: &House| (house.read().outlet_pa, house.read().lost_kg);
    let before = now(house.wait(2.0));
    [before, now(house.wait(180.0))]
}

#[test]
fn the_leak_check_falls_by_what_is_lost() {
    let t_k = kelvin(60.0);
    // None so large that the diaphragm comes down on its stop (6.8 in w.c.) within the three minutes.
    let points = [1e-9, 2e-9, 4e-9].map(|area_m2| {
        let mut house = at_rest(|rig| rig.piping.leak_m2 = area_m2);
        let [before, after] = leak_check(&mut house);
        let rig = house.sim.rig();
        let second = &rig.second;
        // Under the set pressure both seats stand open: all volumes are one, up to the container valve, and the
        // second diaphragm floats on spring and rubber.
        let rubber = second.rubber_n_per_m * ((293.15 - t_k) / 55.0).exp();
        let floats = second.spring_n_per_m + rubber;
        let rise = (0.5 * (before.0 + after.0) * second.area_m2 - second.preload_n
            + rubber * second.rubber_ease_m)
            / floats;
        let volume = rig.piping.manifold_m3
            + rig.first.chamber_m3
            + rig.containers[0].supply.pigtail_volume_m3
            + second.chamber_m3
            + second.area_m2 * rise
            + (AIR_PA + before.0) * second.area_m2.powi(2) / floats;
        let lost = after.1 - before.1;
        let btu_per_h = lost / 180.0 * 50.33e6 / BTU_PER_H_W;
        (
            format!("{btu_per_h:.0} Btu/h"),
            lost * PROPANE * t_k / volume / INWC_PA,
            (before.0 - after.0) / INWC_PA,
        )
    });
    let check = Check {
        id: "leak.check",
        what: "fall in the leak check, three minutes from 9 in w.c.",
        source: "gas law: m R T/V, V with what the floating diaphragm gives, p A²/(k + k_r)",
        grade: Grade::Derived,
        unit: "in w.c.",
        tolerance: Tolerance::Relative(0.04),
        expected: 0.0,
        got: 0.0,
    };
    assert_worst(&check, points);
}

/// Btu/h in the words of a severity.
fn told(fault: &str, severity: f64) -> f64 {
    let words = (Fault::named(fault).expect("a fault").entry().meaning)(severity, System::Us);
    let before = words.split(" Btu/h").next().expect("words");
    let number = before.rsplit(' ').next().expect("a number");
    number
        .replace(',', "")
        .parse()
        .unwrap_or_else(|e| panic!("{words}: {e}"))
}

#[test]
fn a_leak_is_worth_what_its_words_say() {
    let faults = [
        "low_side_leak",
        "gas_valve_leaks",
        "diaphragm_pinhole",
        "diaphragm_torn",
        "relief_weeping",
        "first_diaphragm_torn",
        "pigtail_leak",
    ];
    let points = faults.map(|fault| {
        let severity = 0.4;
        let mut house = at_rest(|_| {});
        house.inject(fault, severity).wait(20.0);
        let before = house.read().lost_kg;
        let lost = house.wait(20.0).read().lost_kg - before;
        let got = lost / 20.0 * 50.33e6 / BTU_PER_H_W;
        (fault.to_owned(), told(fault, severity), got)
    });
    let check = Check {
        id: "leak.words",
        what: "gas lost at rest through a leak of severity 0.4",
        source: "the number in the fault's own words, at its nominal pressure",
        grade: Grade::Derived,
        unit: "Btu/h",
        tolerance: Tolerance::Relative(0.10),
        expected: 0.0,
        got: 0.0,
    };
    assert_worst(&check, points);
}

#[test]
fn a_small_tear_passes_what_a_hole_passes() {
    let points = [1e-8, 1e-7, 1e-6].map(|area_m2| {
        let house = at_rest(|rig| rig.second.tear_m2 = area_m2);
        let read = house.read();
        let across = read.second.chamber_pa - read.second.case_pa;
        let density = (AIR_PA + read.second.chamber_pa) / (PROPANE * kelvin(60.0));
        (
            format!("{:.2} mm²", 1e6 * area_m2),
            1e6 * 0.7 * area_m2 * (2.0 * density * across).sqrt(),
            1e6 * read.second.tear_kg_per_s,
        )
    });
    let check = Check {
        id: "tear.second.flow",
        what: "gas through a tear of the second diaphragm at lock-up",
        source: "orifice: 0.7 A √(2 ρ Δp)",
        grade: Grade::Derived,
        unit: "mg/s",
        tolerance: Tolerance::Relative(0.12),
        expected: 0.0,
        got: 0.0,
    };
    assert_worst(&check, points);
    let house = at_rest(|rig| rig.first.tear_m2 = 1e-7);
    let read = house.read();
    let before = (AIR_PA + read.first.chamber_pa) / (AIR_PA + 10.0 * 6_894.757);
    Check {
        id: "tear.first.flow",
        what: "gas through a tear of 0.1 mm² of the first diaphragm at rest",
        source: "nozzle flux of 469 kg/(m² s) at 10 psig and 60 °F (CoolProp), coefficient 0.7",
        grade: Grade::Published,
        unit: "mg/s",
        tolerance: Tolerance::Relative(0.08),
        expected: 1e6 * 0.7 * 1e-7 * 469.0 * before,
        got: 1e6 * read.first.tear_kg_per_s,
    }
    .assert();
}

/// Outlet \[in w.c.\] at half load and at rest, and gas out of the second vent at rest \[L/s\].
fn torn(fault: &str, severity: f64) -> [f64; 3] {
    let mut house = at_rest(|_| {});
    house.switch(0..2, true).wait(20.0);
    house.inject(fault, severity).wait(20.0);
    let half = house.outlet();
    let rest = house.all_off().wait(30.0).read();
    let vent = rest.second.vent_m3_per_s + rest.first.vent_m3_per_s;
    [half, rest.outlet_pa / INWC_PA, 1e3 * vent]
}

#[test]
fn a_tear_goes_from_nearly_normal_to_will_not_hold() {
    let healthy = torn("diaphragm_torn", 0.0);
    let [half, rest, vent] = torn("diaphragm_torn", 0.2);
    Check {
        id: "tear.second.small",
        what: "half load with a pinprick of a tear (severity 0.2) less healthy",
        source: "practice: a pinhole leaves flow and lock-up nearly normal",
        grade: Grade::Practice,
        unit: "in w.c.",
        tolerance: Tolerance::Absolute(0.1),
        expected: 0.0,
        got: half - healthy[0],
    }
    .assert();
    assert!(
        (rest - healthy[1]).abs() < 0.6 && vent > 1e-5,
        "{rest:.2}, {vent:.1e}"
    );
    let [half, _, _] = torn("diaphragm_torn", 1.0);
    Check {
        id: "tear.second.rip",
        what: "half load with the diaphragm ripped (severity 1)",
        source: "practice: far too low, under what a spark-lit appliance takes (5 in w.c.)",
        grade: Grade::Practice,
        unit: "in w.c.",
        tolerance: Tolerance::AtMost,
        expected: 5.0,
        got: half,
    }
    .assert();
    // Between the two the outlet runs high, and then gas roars out of the vent.
    let [half, _, _] = torn("diaphragm_torn", 0.6);
    assert!(half > healthy[0] + 0.25, "{half:.2}");
    let [half, _, vent] = torn("diaphragm_torn", 0.7);
    assert!(half > 9.0 && vent > 0.3, "{half:.2}, {vent:.2} L/s");
    // The first stage: gas at its vent long before the outlet tells.
    let [half, _, vent] = torn("first_diaphragm_torn", 0.5);
    assert!(
        (half - healthy[0]).abs() < 0.1 && vent > 0.03,
        "{half:.2}, {vent:.2} L/s"
    );
}
