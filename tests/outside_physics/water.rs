//! Water in the fuel by itself: what vapour holds, its frost point, hydrate.

use super::common::{Check, Grade, Tolerance, assert_worst, table};
use super::kelvin;
use twostage::physics::fuel::Species;
use twostage::physics::water::{carried_by_mass, held_by_mass, saturation_pa, solid_below_k};

/// Made by `tests/reference/water_table.py`.
const WATER: &str = include_str!("../reference/water.csv");

#[test]
fn vapour_holds_what_the_tables_say() {
    let molar_mass = Species::Propane.molar_mass_kg_per_mol();
    let rows: Vec<_> = table(WATER).into_iter().map(|(_, row)| row).collect();
    let check = |id, what, unit, within| Check {
        id,
        what,
        source: "IAPWS over ice, reference equations of state, CoolProp 8.0.0",
        grade: Grade::Published,
        unit,
        tolerance: Tolerance::Relative(within),
        expected: 0.0,
        got: 0.0,
    };
    let points = rows.iter().map(|r| {
        let got = saturation_pa(r[0]);
        (format!("{:.1} K", r[0]), r[2], got)
    });
    let saturation = check(
        "water.saturation",
        "vapour pressure of ice and water, -20 to 100 F",
        "Pa",
        0.006,
    );
    assert_worst(&saturation, points);
    let points = rows.iter().map(|r| {
        let got = held_by_mass(r[0], r[1], molar_mass);
        (format!("{:.1} K", r[0]), 1e6 * r[3], 1e6 * got)
    });
    let held = check(
        "water.held",
        "water in saturated propane vapour, -20 to 100 F",
        "ppm by mass",
        0.008,
    );
    assert_worst(&held, points);
    // At the frost point of the gas throttled to 10 psig it holds just what it brought along; the gas itself
    // comes out warmer than that, so only colder metal takes it.
    let points = rows.iter().filter(|r| r[1] > 170_273.0).map(|r| {
        let got = held_by_mass(r[5], 170_273.0, molar_mass);
        assert!(r[4] > r[5]);
        (format!("from {:.1} K", r[0]), 1e6 * r[3], 1e6 * got)
    });
    let frost = check(
        "water.frost_point",
        "water held at the frost point once throttled to 10 psig",
        "ppm by mass",
        0.01,
    );
    assert_worst(&frost, points);
}

#[test]
fn hydrate_stands_where_the_literature_has_it() {
    let points = [
        (10.0, 32.3),
        (20.0, 35.1),
        (30.0, 37.1),
        (40.0, 38.7),
        (50.0, 40.0),
        (60.0, 41.0),
        (100.0, 41.7),
        (200.0, 41.7),
    ]
    .map(|(gauge, fahrenheit)| {
        let got = solid_below_k(101_325.0 + gauge * 6_894.757);
        (format!("{gauge} psig"), kelvin(fahrenheit), got)
    });
    let check = Check {
        id: "water.hydrate",
        what: "temperature under which propane hydrate stands, 10 to 200 psig",
        source: "cubic-plus-association equation of state with a hydrate model, package neqsim 3.26.0",
        grade: Grade::Published,
        unit: "K",
        tolerance: Tolerance::Absolute(0.2),
        expected: 0.0,
        got: 0.0,
    };
    assert_worst(&check, points);
    // Quadruple points of propane hydrate: ice, water, gas; and water, gas, liquid propane.
    let points = [(172e3, 273.1), (556e3, 278.8)];
    let points = points.map(|(pa, k)| (format!("{pa} Pa"), k, solid_below_k(pa)));
    let check = Check {
        id: "water.hydrate.quadruple",
        what: "quadruple points of propane hydrate",
        source: "data books on hydrates, recalled",
        grade: Grade::Memory,
        tolerance: Tolerance::Absolute(0.4),
        ..check
    };
    assert_worst(&check, points);
    // Ice is ice, at whatever little pressure.
    assert_eq!(solid_below_k(0.0), 273.15);
}

#[test]
fn no_more_is_carried_than_held_and_nothing_stays_nothing() {
    assert_eq!(carried_by_mass(0.0, 5e-4), 0.0);
    assert_eq!(carried_by_mass(3e-4, 5e-4), 3e-4);
    assert_eq!(carried_by_mass(9e-4, 5e-4), 5e-4);
    for i in 0..100 {
        let (low, high) = (f64::from(i) * 1e-5, f64::from(i + 1) * 1e-5);
        let rise = carried_by_mass(high, 5e-4) - carried_by_mass(low, 5e-4);
        assert!((0.0..=1.0001e-5).contains(&rise), "{low}: {rise}");
    }
}
