//! The relief against what opens it: main spring, screw, relief spring; the standards' bands; its capacity.

use std::f64::consts::FRAC_PI_4;

use twostage::analysis::relief_capacity;
use twostage::rig::relief::Relief;
use twostage::rig::{Kind, Rig, Site, Stage};
use twostage::scenario::{Action, WhichStage};

use crate::common::{Check, Grade, Tolerance, assert_worst};
use crate::house::{House, INWC_PA, PSI_PA, kelvin, rig};

/// Pressure across the diaphragm at which the plate leaves its stem \[Pa\], from the stage's own forces: the stem
/// is held by a seat squeezed so far that it carries the relief spring, `F0 = (k_s s + F_jet)/L`, and the main
/// spring and the rubber press at that rise: `p A = F_main(x_c + L s) + F0`.
pub fn start_pa(stage: &Stage, t_k: f64, before_pa: f64) -> f64 {
    let relief = stage.relief.expect("a relief");
    let rubber = stage.rubber_n_per_m * ((293.15 - t_k) / 55.0).exp().clamp(0.7, 4.0);
    let bore = FRAC_PI_4 * stage.bore_m.powi(2);
    let mut pa = 0.0;
    for _ in 0..50 {
        let seat_n = stage.lever_ratio * relief.preload_n - (before_pa - pa) * bore;
        let rise = stage.touch_rise_m + stage.lever_ratio * seat_n / stage.seat_n_per_m;
        let main =
            stage.preload_n + stage.spring_n_per_m * rise + rubber * (rise - stage.rubber_ease_m);
        pa = (main + relief.preload_n) / stage.area_m2;
    }
    pa
}

/// A short low side, so that creep is quick, behind a second seat that lets some 35 mL/min by.
fn creeping() -> Rig {
    let mut rig = rig("30 lb cylinder", &[Kind::Cooktop]);
    rig.piping.manifold_m3 = 0.5e-3;
    rig.second.seal_channel_m2 = 3e-9;
    rig
}

/// Lets a rig creep until its relief opens: \[in w.c.\] by the formula, and seen.
fn opened(rig: Rig, psig: f64, air_k: f64, act: &dyn Fn(&mut House)) -> (f64, f64) {
    let mut house = House::start(rig, psig, air_k);
    act(&mut house);
    house.switch([0], true).wait(10.0);
    house.all_off().wait(1.0);
    for _ in 0..1200 {
        let read = house.wait(0.5).read();
        if read.second.relief_kg_per_s > 0.0 {
            let stage = house.sim.rig().second;
            let gas_k = 0.5 * (read.body_k + read.air_k);
            let expected = start_pa(&stage, gas_k, read.first.chamber_pa);
            let across = read.second.chamber_pa - read.second.case_pa;
            return (expected / INWC_PA, across / INWC_PA);
        }
    }
    panic!("the relief has not opened at {:.1} in w.c.", house.outlet());
}

fn start_check<'a>(id: &'a str, what: &'a str) -> Check<'a> {
    Check {
        id,
        what,
        source: "balance of forces on plate and stem: (F_main(x_c + L s) + F0)/A",
        grade: Grade::Derived,
        unit: "in w.c.",
        tolerance: Tolerance::Absolute(0.15),
        expected: 0.0,
        got: 0.0,
    }
}

#[test]
fn the_screw_takes_the_start_with_it() {
    let points = [-3.0, 0.0, 2.0, 4.8].map(|turns| {
        let turn = move |house: &mut House| {
            let stage = WhichStage::Second;
            house.sim.act(&Action::TurnScrew { stage, turns });
        };
        let (expected, got) = opened(creeping(), 93.0, kelvin(60.0), &turn);
        (format!("{turns} turns in"), expected, got)
    });
    let check = start_check(
        "relief.start.screw",
        "start of the relief against the screw",
    );
    assert!(
        points[3].2 - points[1].2 > 5.0,
        "4.8 turns: {:.1} to {:.1}",
        points[1].2,
        points[3].2
    );
    assert_worst(&check, points);
}

#[test]
fn a_weak_main_spring_opens_it_early() {
    let points = [0.2, 0.4].map(|lost| {
        let weak = move |house: &mut House| {
            house.inject("second_spring_weak", 2.0 * lost);
        };
        let (expected, got) = opened(creeping(), 93.0, kelvin(60.0), &weak);
        (
            format!("{:.0} % of its force lost", 100.0 * lost),
            expected,
            got,
        )
    });
    assert!(points[1].2 < 16.0, "{:.1}", points[1].2);
    let check = start_check(
        "relief.start.spring",
        "start of the relief, main spring weak",
    );
    assert_worst(&check, points);
}

#[test]
fn a_tired_relief_spring_opens_it_early() {
    let points = [0.2, 0.35].map(|severity| {
        let tired = move |house: &mut House| {
            house.inject("relief_set_low", severity);
        };
        let (expected, got) = opened(creeping(), 93.0, kelvin(60.0), &tired);
        (format!("severity {severity}"), expected, got)
    });
    let check = start_check(
        "relief.start.tired",
        "start of the relief, its own spring tired",
    );
    assert_worst(&check, points);
}

#[test]
fn a_healthy_start_stays_in_the_standards_band() {
    let seen = [(20.0, -40.0), (93.0, 60.0), (220.0, 130.0)].map(|(psig, air_f)| {
        let (_, got) = opened(creeping(), psig, kelvin(air_f), &|_| {});
        (format!("{psig} psig, {air_f} °F"), got)
    });
    let limit = |id, tolerance, inwc| Check {
        id,
        what: "start of the healthy relief over the seasons",
        source: "UL 144: 170 to 300 % of the setting",
        grade: Grade::Memory,
        unit: "in w.c.",
        tolerance,
        expected: inwc,
        got: 0.0,
    };
    let least = limit("relief.start.least", Tolerance::AtLeast, 18.7);
    assert_worst(&least, seen.clone().map(|(at, got)| (at, 18.7, got)));
    let most = limit("relief.start.most", Tolerance::AtMost, 33.0);
    assert_worst(&most, seen.map(|(at, got)| (at, 33.0, got)));
}

#[test]
fn with_the_lever_off_the_outlet_stays_under_two_psig() {
    let pressures = [25.0, 100.0, 150.0, 250.0];
    let whole = rig("30 lb cylinder", &[Kind::Cooktop]);
    let mut screwed = whole.clone();
    let stage = &mut screwed.second;
    stage.preload_n += 4.0 * stage.screw_pitch_m * stage.spring_n_per_m;
    let mut points = Vec::new();
    for (name, rig) in [("as set", whole), ("screw in by 4 turns", screwed)] {
        let site = Site::calm(kelvin(60.0), 0.0);
        let capacity = relief_capacity(&rig, &site, &pressures.map(|p| p * PSI_PA))
            .unwrap_or_else(|e| panic!("{name}: {e}"));
        for p in &capacity.points {
            let psig = p.container_pa / PSI_PA;
            points.push((format!("{psig:.0} psig, {name}"), 2.0, p.outlet_pa / PSI_PA));
        }
    }
    let check = Check {
        id: "relief.capacity",
        what: "outlet with the lever off and nothing burning",
        source: "UL 144-2021 6.9 (type II)",
        grade: Grade::Code,
        unit: "psig",
        tolerance: Tolerance::AtMost,
        expected: 2.0,
        got: 0.0,
    };
    assert_worst(&check, points);
}

/// The standard regulator has no relief between its stages; a first stage that has one, as those that stand
/// alone do, keeps its own band.
#[test]
fn a_relief_in_a_first_stage_keeps_the_band_of_first_stages() {
    let mut rig = rig("30 lb cylinder", &[Kind::Cooktop]);
    rig.first.seal_channel_m2 = 0.2e-9;
    rig.first.relief = Some(Relief {
        preload_n: 60.0,
        spring_n_per_m: 2e4,
        bore_m: 4e-3,
        weep_m2: 0.0,
        free: true,
    });
    let mut house = House::start(rig, 93.0, kelvin(60.0));
    house.switch([0], true).wait(10.0);
    house.all_off();
    let mut read = house.read();
    for _ in 0..1200 {
        read = house.wait(0.5).read();
        if read.first.relief_kg_per_s > 0.0 {
            break;
        }
    }
    let stage = house.sim.rig().first;
    let got = (read.first.chamber_pa - read.first.case_pa) / PSI_PA;
    let start = Check {
        id: "relief.first.start",
        what: "start of a relief of 60 N in the first stage, its seat leaking",
        source: "balance of forces on plate and stem: (F_main(x_c + L s) + F0)/A",
        grade: Grade::Derived,
        unit: "psi",
        tolerance: Tolerance::Absolute(0.2),
        expected: start_pa(&stage, read.body_k, read.first.inlet_pa) / PSI_PA,
        got,
    };
    start.assert();
    for (id, tolerance, expected) in [
        ("relief.first.least", Tolerance::AtLeast, 12.5),
        ("relief.first.most", Tolerance::AtMost, 25.0),
    ] {
        Check {
            id,
            source: "UL 144: 125 to 250 % of the setting",
            grade: Grade::Memory,
            tolerance,
            expected,
            ..start.clone()
        }
        .assert();
    }
    // What it lets out is gone from between the stages and is told as lost.
    let before = house.wait(60.0).read();
    let after = house.wait(60.0).read();
    let out = after.lost_kg - before.lost_kg;
    assert!(
        out > 60.0 * 0.5 * after.first.relief_kg_per_s,
        "{out:.2e} kg"
    );
    assert!((house.interstage() - got).abs() < 2.0);
}
