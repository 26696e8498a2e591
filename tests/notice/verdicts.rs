//! Verdicts of the trade's tests, worked out a second time from their own figures by the numbers of the trade, over rigs
//! that pass, are in doubt and fail; and how long each test takes.

use super::house::{INWC_PA, PSI_PA, rig};
use std::sync::Arc;
use twostage::fault::Fault;
use twostage::rig::{Kind, Site};
use twostage::scenario::Scenario;
use twostage::sim::Simulation;
use twostage::solver::Method;
use twostage::visit::{
    Against, Bench, Id, Measure, Seats, Step, Test, TestResult, Verdict, prepare, run_through,
};

/// A whole visit to the rig with faults in it.
fn visit(faults: &[(&str, f64)]) -> Vec<TestResult> {
    let rig = rig(
        "30 lb cylinder",
        &[
            Kind::Furnace,
            Kind::WaterHeater,
            Kind::Cooktop,
            Kind::OnDemandHeater,
        ],
    );
    let base = Scenario::at_rest("a visit", rig, Site::calm(294.0, 0.0), 0.6, 294.0);
    let faults: Vec<_> = faults
        .iter()
        .map(|(id, s)| (Fault::named(id).expect("in the catalogue"), *s))
        .collect();
    let prepared = Arc::new(prepare(&base, &faults));
    let mut sim = Simulation::start(prepared, Method::Stiff, twostage::service::TOLERANCE)
        .expect("it starts");
    // What comes with a fault has come.
    sim.advance(10.0, None, &mut |_| {}).expect("ten seconds");
    let mut heard = |_: &_| true;
    run_through(&mut Bench::new(&mut sim, &mut heard))
        .expect("it runs")
        .tests
}

/// What the trade says to one figure of a test.
fn by_the_trade(test: Test, measure: Measure, value: f64) -> Verdict {
    // A difference of two readings in tenths is one, but for what its sum is kept in.
    let kept = |v: f64| (1e6 * v).round() / 1e6;
    let (inches, psi) = (kept(value / INWC_PA), kept(value / PSI_PA));
    let of = |pass: bool, caution: bool| match (pass, caution) {
        (true, _) => Verdict::Pass,
        (_, true) => Verdict::Caution,
        _ => Verdict::Fail,
    };
    match measure {
        Measure::Read(Id::HalfOutlet) | Measure::FromBelow => {
            of((10.5..=11.5).contains(&inches), false)
        }
        Measure::Read(Id::FullOutlet | Id::AboveOutlet | Id::AboveTapped) => {
            of((9.5..=14.0).contains(&inches), false)
        }
        Measure::Fall | Measure::PipeDrop => of(inches <= 0.5, inches <= 1.0),
        Measure::Band => of(inches.abs() <= 0.3, true),
        Measure::Rise => of((0.0..=1.5).contains(&inches), true),
        Measure::LockUp | Measure::Read(Id::RestMinute | Id::RestCreep) => {
            // At rest the outlet stands over any flow pressure, so under 10.5 it is too low at a flow too.
            let enough = inches >= 10.5;
            let allowed = inches <= 14.0;
            of(enough && inches <= 13.2, enough && allowed)
        }
        Measure::Climb => of(inches <= 0.15, false),
        Measure::Read(Id::LeakChange) => of(inches.abs() <= 0.1, false),
        Measure::Start if test == Test::LeakCheck => of((8.5..=9.5).contains(&inches), false),
        Measure::FirstAtRest
        | Measure::FirstFlowing
        | Measure::Read(Id::FirstFull | Id::FirstRest | Id::FirstCreep) => {
            of((2.0..=13.0).contains(&psi), false)
        }
        Measure::Read(
            Id::FirstVentRest
            | Id::FirstVentFlowing
            | Id::SecondVentRest
            | Id::SecondVentFlowing
            | Id::Flames
            | Id::VentLooks,
        ) => of(value == 0.0, false),
        // A hiss or a roar fails, a hum is looked into.
        Measure::Read(Id::SoundRest | Id::SoundFlowing) => of(value == 0.0, value == 3.0),
        Measure::Read(Id::Fill) => of((0.05..=0.8).contains(&value), value <= 0.86),
        Measure::Read(Id::OddOne | Id::Hose | Id::Valve | Id::Lighting) => of(value == 0.0, true),
        _ => Verdict::Pass,
    }
}

/// The worst of them, of burners that would not burn, of one over its plate, and of an outlet that stood over 14 in w.c. for a second.
fn worst(t: &TestResult) -> Verdict {
    let figures = t.figures.iter();
    let of_figures = figures.map(|f| by_the_trade(t.test, f.measure, f.value));
    let plate = t
        .judged
        .iter()
        .find(|j| matches!(j.against, Against::Plate(_)));
    let of_plate = plate.map(|j| match j.value {
        over if (-0.1..=0.05).contains(&over) => Verdict::Pass,
        // A third too little burns back or goes out.
        over if over < -0.3 => Verdict::Fail,
        over if over <= 0.1 => Verdict::Caution,
        _ => Verdict::Fail,
    });
    // A pressure that stands may be over 13.2 and not over 14; one that has climbed past 13.2 and climbs on does not lock up.
    let of = |m: Measure| t.figure(m).map_or(0.0, |pa| pa / INWC_PA);
    let (minute, end) = (of(Measure::Read(Id::RestMinute)), of(Measure::LockUp));
    let of_moving = t.still_moving.then_some(if end > minute && end > 13.2 {
        Verdict::Fail
    } else {
        Verdict::Caution
    });
    // A check held over the lock-up has held the low side alone.
    let of_seats = match t.seats {
        Seats::Shut { lock_up_pa } => {
            assert!(lock_up_pa / INWC_PA < of(Measure::Start) + 0.5, "{t:?}");
            Some(Verdict::Caution)
        }
        _ => None,
    };
    let worst = of_figures
        .chain(of_plate)
        .chain(of_moving)
        .chain(of_seats)
        .fold(Verdict::Pass, Verdict::max);
    let mut since = None;
    let mut stood = false;
    for p in &t.trace {
        if p.outlet_pa > 14.0 * INWC_PA {
            stood |= p.time_s - *since.get_or_insert(p.time_s) >= 1.0;
        } else {
            since = None;
        }
    }
    if stood || !t.unlit.is_empty() {
        Verdict::Fail
    } else {
        worst
    }
}

#[test]
fn each_verdict_follows_from_its_figures() {
    let rigs: [&[(&str, f64)]; 13] = [
        &[],
        &[("container_overfilled", 0.3)],
        &[("spud_clogged", 0.5)],
        &[("second_screw_high", 0.10)],
        &[("second_screw_high", 0.21)],
        &[("second_screw_low", 0.4)],
        &[("second_seat_nick", 0.4)],
        &[("first_seat_nick", 0.9)],
        &[("diaphragm_pinhole", 0.5)],
        &[("first_diaphragm_torn", 0.1)],
        &[("low_side_leak", 0.3)],
        &[("line_crushed", 0.9), ("lever_gummed", 0.8)],
        &[("first_screw_high", 1.0)],
    ];
    let mut seen = Vec::new();
    for faults in rigs {
        for t in visit(faults) {
            assert_eq!(
                t.verdict,
                worst(&t),
                "{faults:?}: {:?}: {:?}",
                t.test,
                t.figures
            );
            if t.test == Test::Vent {
                let wet = t.figures.iter().filter(|f| f.value > 0.0).count();
                seen.push((t.test, i32::from((1..4).contains(&wet)), t.verdict));
            }
            seen.push((t.test, 9, t.verdict));
        }
    }
    // Both ways of each test were seen, or there was nothing to hold.
    for test in Test::VISIT {
        assert!(
            seen.contains(&(test, 9, Verdict::Pass)),
            "{test:?} never passed"
        );
        let other = [Verdict::Caution, Verdict::Fail].map(|v| seen.contains(&(test, 9, v)));
        assert!(other.contains(&true), "{test:?} never failed");
    }
    assert!(
        seen.contains(&(Test::LockUp, 9, Verdict::Caution))
            && seen.contains(&(Test::LockUp, 9, Verdict::Fail))
    );
    assert!(
        seen.contains(&(Test::Vent, 1, Verdict::Fail)),
        "one vent wet, another dry"
    );
}

/// How long a test's record runs \[s\].
fn took(tests: &[TestResult], test: Test) -> f64 {
    let t = tests
        .iter()
        .find(|t| t.test == test)
        .expect("part of a visit");
    let (first, last) = (
        t.trace.first().expect("a record"),
        t.trace.last().expect("a record"),
    );
    last.time_s - first.time_s
}

#[test]
fn each_test_takes_its_time() {
    let tests = visit(&[]);
    // A sample less than the whole, and the look at vents that takes a second.
    for (test, low_s, high_s) in [(Test::LockUp, 89.0, 92.0), (Test::Creep, 294.0, 302.0)] {
        let s = took(&tests, test);
        assert!((low_s..high_s).contains(&s), "{test:?}: {s} s");
    }
    let leak = tests
        .iter()
        .find(|t| t.test == Test::LeakCheck)
        .expect("part of a visit");
    // Held three minutes: the last that is seen before it is looked at again.
    let last = leak.trace.last().expect("a record").time_s;
    let held: Vec<_> = leak
        .trace
        .iter()
        .rev()
        .take_while(|p| last - p.time_s < 400.0)
        .collect();
    assert!(held.len() > 30, "{}", held.len());
    assert!(leak.steps.contains(&Step::Held(180.0)), "{:?}", leak.steps);
    // A slow climb is waited for, but not longer than five minutes.
    let creeping = visit(&[("second_seat_nick", 0.25), ("second_vent_blocked", 0.6)]);
    assert!(took(&creeping, Test::LockUp) <= 332.0);
}
