//! The healthy preset over its whole range: every container, 20 to 220 psig, -40 to 130 °F.
//!
//! Practice: flow pressure at half load 11.0 ± 0.5 in w.c., at most 1.0 lower at full load, lock-up
//! 0.5 to 1.5 above flow pressure and steady to 0.02 in five minutes.

use twostage::rig::presets;

use crate::common::{Check, Grade, Tolerance, assert_worst};
use crate::house::{House, kelvin, loaded_rig};

const CONTAINER_PSIG: [f64; 5] = [20.0, 45.0, 93.0, 150.0, 220.0];
const AIR_F: [f64; 5] = [-40.0, 0.0, 35.0, 70.0, 130.0];
/// Time in which the body is back at air temperature after a load \[s\].
const BODY_S: f64 = 1800.0;

/// One visit, outlet in in w.c.
struct Visit {
    at: String,
    half: f64,
    full: f64,
    lock_up: f64,
    /// Highest less lowest over five minutes.
    creep: f64,
    /// Largest change between two looks under load, 1/100 s apart, at half and full load.
    restless: f64,
    balance: f64,
}

fn visit(container: &str, psig: f64, air_f: f64) -> Visit {
    let mut house = House::start(loaded_rig(container), psig, kelvin(air_f));
    let spread = |seen: &[f64]| {
        let (low, high) = seen
            .iter()
            .fold((f64::MAX, f64::MIN), |(l, h), &p| (l.min(p), h.max(p)));
        high - low
    };
    house.switch(0..2, true).wait(19.0);
    let restless_half = spread(&house.watch(0.5, 0.01));
    let half = house.outlet();
    house.switch(2..4, true).wait(19.0);
    let restless_full = spread(&house.watch(0.5, 0.01));
    let full = house.outlet();
    house.all_off().wait(BODY_S);
    let held = house.watch(300.0, 5.0);
    Visit {
        at: format!("{container}, {psig} psig, {air_f} F"),
        half,
        full,
        lock_up: house.outlet(),
        creep: spread(&held),
        restless: restless_half.max(restless_full),
        balance: house.read().balance_error,
    }
}

fn check<'a>(id: &'a str, what: &'a str, tolerance: Tolerance) -> Check<'a> {
    Check {
        id,
        what,
        source: "limits of the trade for a healthy regulator",
        grade: Grade::Practice,
        unit: "in w.c.",
        tolerance,
        expected: 0.0,
        got: 0.0,
    }
}

#[test]
fn the_trades_limits_hold_everywhere() {
    let mut visits = Vec::new();
    for container in presets::CONTAINERS {
        for psig in CONTAINER_PSIG {
            for air_f in AIR_F {
                visits.push(visit(container, psig, air_f));
            }
        }
    }
    let points = |expected: f64, value: fn(&Visit) -> f64| {
        visits
            .iter()
            .map(move |v| (v.at.clone(), expected, value(v)))
            .collect::<Vec<_>>()
    };
    let what = "flow pressure at half load (49,000 Btu/h)";
    let check_half = check("healthy.half_load", what, Tolerance::Absolute(0.5));
    assert_worst(&check_half, points(11.0, |v| v.half));
    let what = "half load less full load (102,000 Btu/h)";
    let check_full = check("healthy.full_load", what, Tolerance::AtMost);
    assert_worst(&check_full, points(1.0, |v| v.half - v.full));
    let what = "lock-up over flow pressure, 0.5 to 1.5";
    let check_lock_up = check("healthy.lock_up", what, Tolerance::Absolute(0.5));
    assert_worst(&check_lock_up, points(1.0, |v| v.lock_up - v.half));
    let what = "highest less lowest in five minutes of lock-up, body back at air temperature";
    let check_creep = check("healthy.creep", what, Tolerance::AtMost);
    assert_worst(&check_creep, points(0.02, |v| v.creep));
    let what = "highest less lowest in half a second under steady load";
    let check_restless = check("healthy.restless", what, Tolerance::AtMost);
    assert_worst(&check_restless, points(0.02, |v| v.restless));
    let balance = Check {
        source: "conservation of mass",
        grade: Grade::Derived,
        unit: "1",
        ..check(
            "healthy.mass_balance",
            "fuel burned, lost and stored against fuel at the start, as a share of that drawn",
            Tolerance::AtMost,
        )
    };
    assert_worst(&balance, points(1e-6, |v| v.balance));
}
