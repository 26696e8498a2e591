//! No hunting anywhere in load x container pressure x temperature: by the modes of the rig without
//! its friction, and by a push in the time run with it.

use crate::common::{Check, Grade, Tolerance, assert_worst};
use crate::house::{House, kelvin, loaded_rig};

/// Slow modes (heat, fuel leaving, locked-up gas) count as no oscillation under this frequency \[Hz\].
const SLOW_HZ: f64 = 0.1;

/// Loads by which burners are on: none, 7, 11, 42, 49, 60, 84, 102 thousand Btu/h.
const LOADS: [&[usize]; 8] = [
    &[],
    &[1],
    &[3],
    &[0],
    &[0, 1],
    &[0, 1, 3],
    &[0, 2],
    &[0, 1, 2, 3],
];

fn check<'a>(id: &'a str, what: &'a str, unit: &'a str, tolerance: Tolerance) -> Check<'a> {
    Check {
        id,
        what,
        source: "a healthy regulator does not hunt",
        grade: Grade::Practice,
        unit,
        tolerance,
        expected: 0.0,
        got: 0.0,
    }
}

#[test]
fn no_mode_grows_and_a_push_dies_away() {
    let mut damping = Vec::new();
    let mut growth = Vec::new();
    let mut pushed = Vec::new();
    for psig in [20.0, 93.0, 220.0] {
        for air_f in [-40.0, 35.0, 130.0] {
            let mut house = House::start(loaded_rig("100 lb cylinder"), psig, kelvin(air_f));
            for load in LOADS {
                house
                    .all_off()
                    .switch(load.iter().copied(), true)
                    .wait(30.0);
                let at = format!("{psig} psig, {air_f} F, burners {load:?}");
                let modes = house.modes_without_friction();
                assert!(!modes.is_empty(), "{at}: no modes");
                let ratio = |&(re, hz): &(f64, f64)| -re / re.hypot(hz * std::f64::consts::TAU);
                let least = modes
                    .iter()
                    .filter(|(_, hz)| *hz > SLOW_HZ)
                    .map(ratio)
                    .fold(1.0, f64::min);
                damping.push((at.clone(), 0.05, least));
                let fastest = modes.iter().map(|m| m.0).fold(f64::MIN, f64::max);
                growth.push((at.clone(), 1e-4, fastest));
                // The time run: what a knock of the smallest burner leaves after two seconds.
                if load.len() > 1 {
                    house.switch([1], !load.contains(&1)).wait(2.0);
                    let seen = house.watch(0.3, 0.002);
                    let swing = seen.windows(2).map(|w| (w[1] - w[0]).abs());
                    pushed.push((at, 0.005, swing.fold(0.0, f64::max)));
                    house.switch([1], load.contains(&1));
                }
            }
        }
    }
    let what = "least damping ratio of any oscillating mode, friction taken off";
    assert_worst(
        &check("hunting.damping", what, "1", Tolerance::AtLeast),
        damping,
    );
    let what = "fastest growth of any mode, friction taken off (slow drifts of heat and fuel)";
    assert_worst(
        &check("hunting.growth", what, "1/s", Tolerance::AtMost),
        growth,
    );
    let what = "change of the outlet in 2 ms, 2 s after a burner is switched";
    assert_worst(
        &check("hunting.after_a_push", what, "in w.c.", Tolerance::AtMost),
        pushed,
    );
}
