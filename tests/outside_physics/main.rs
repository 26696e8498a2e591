//! Checks of the physics room against numbers from outside the project.
//!
//! Each stands beside its source and the source's grade. Properties that need no outside number are
//! in `properties`.

#[path = "../common/mod.rs"]
mod common;
mod contact;
mod container;
mod flow;
mod fluid;
mod passage;
mod properties;
mod slopes;
mod water;

/// Pascal in one psi (exact definition of the pound and inch).
const PSI_PA: f64 = 6_894.757_293;
/// Standard atmosphere, Pa.
const ATMOSPHERE_PA: f64 = 101_325.0;
/// Joule in one Btu (International Table).
const BTU_J: f64 = 1_055.055_852_62;
/// Metre in one inch.
const INCH_M: f64 = 0.025_4;

/// Kelvin of a Fahrenheit temperature.
fn kelvin(fahrenheit: f64) -> f64 {
    (fahrenheit - 32.0) / 1.8 + 273.15
}

/// Gauge psi of an absolute pressure, against the standard atmosphere.
fn psig(pa: f64) -> f64 {
    (pa - ATMOSPHERE_PA) / PSI_PA
}

#[test]
fn a_check_fails_outside_its_tolerance_and_for_nan() {
    use common::{Check, Grade, Tolerance};
    let check = |got: f64| Check {
        id: "self.tolerance",
        what: "the check itself",
        source: "arithmetic",
        grade: Grade::Derived,
        unit: "1",
        tolerance: Tolerance::Relative(0.01),
        expected: 2.0,
        got,
    };
    assert!(check(2.015).passes());
    assert!(!check(2.025).passes());
    assert!(!check(f64::NAN).passes());
}
