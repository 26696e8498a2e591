//! Verdicts of the trade's tests, worked out a second time from their own figures by the numbers of the trade, over rigs
//! that pass, are in doubt and fail; and how long each test takes.

use crate::house::{INWC_PA, PSI_PA, rig};
use std::sync::Arc;
use twostage::fault::Fault;
use twostage::rig::{Kind, Site};
use twostage::scenario::Scenario;
use twostage::service::{Bench, TestKind, TestResult, Verdict, prepare, run_all};
use twostage::sim::Simulation;
use twostage::solver::Method;

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
    let mut heard = |_: &_| true;
    run_all(&mut Bench::new(&mut sim, &mut heard))
        .expect("it runs")
        .tests
}

/// A figure in inches, or psi where it is of the high side.
fn figure(t: &TestResult, name: &str, unit_pa: f64) -> f64 {
    t.figure(name)
        .unwrap_or_else(|| panic!("{:?} has no {name}", t.test))
        / unit_pa
}

/// What the trade says to a test's figures; `None` where the words add what figures do not hold.
fn by_the_trade(t: &TestResult) -> Verdict {
    let inches = |name: &str| figure(t, name, INWC_PA);
    let psi = |name: &str| figure(t, name, PSI_PA);
    let bubbles = |name: &str| t.figure(name).expect("a vent");
    let all_lit = !t.words.contains("would not burn");
    let of = |pass: bool, caution: bool| match (pass, caution) {
        (true, _) => Verdict::Pass,
        (_, true) => Verdict::Caution,
        _ => Verdict::Fail,
    };
    match t.test {
        TestKind::LeakCheck => of(
            inches("change").abs() <= 0.1 && (8.5..=9.5).contains(&inches("start")),
            false,
        ),
        TestKind::FlowPressure => of((10.5..=11.5).contains(&inches("outlet")) && all_lit, false),
        TestKind::FullLoad => of(
            inches("fall") <= 0.5 && all_lit,
            inches("fall") <= 1.0 && all_lit,
        ),
        TestKind::LoadUpDown => of(inches("band").abs() <= 0.3, true),
        TestKind::LockUp => of(inches("lock-up") <= 13.2, inches("lock-up") <= 14.0),
        TestKind::Creep => of(inches("climb") <= 0.15, false),
        TestKind::Vent => {
            let vents = [
                "first at rest",
                "first flowing",
                "second at rest",
                "second flowing",
            ];
            of(vents.iter().all(|v| bubbles(v) == 0.0), false)
        }
        TestKind::FirstStage => {
            let stands = |name: &str| (2.0..=13.0).contains(&psi(name));
            of(stands("at rest") && stands("flowing"), false)
        }
        TestKind::NewPiping => panic!("no test of a visit"),
    }
}

#[test]
fn each_verdict_follows_from_its_figures() {
    let rigs: [&[(&str, f64)]; 11] = [
        &[],
        &[("second_screw_high", 0.10)],
        &[("second_screw_high", 0.22)],
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
            let words = format!("{faults:?}: {:?}: {} {:?}", t.test, t.words, t.figures);
            assert_eq!(t.verdict, by_the_trade(&t), "{words}");
            if t.test == TestKind::Vent {
                let wet = t.figures.iter().filter(|f| f.value > 0.0).count();
                seen.push((t.test, if wet == 0 || wet == 4 { 0 } else { 1 }, t.verdict));
            }
            seen.push((t.test, 9, t.verdict));
        }
    }
    // Both ways of each test were seen, or there was nothing to hold.
    for test in TestKind::VISIT {
        assert!(
            seen.contains(&(test, 9, Verdict::Pass)),
            "{test:?} never passed"
        );
        let other = [Verdict::Caution, Verdict::Fail].map(|v| seen.contains(&(test, 9, v)));
        assert!(other.contains(&true), "{test:?} never failed");
    }
    assert!(
        seen.contains(&(TestKind::LockUp, 9, Verdict::Caution))
            && seen.contains(&(TestKind::LockUp, 9, Verdict::Fail))
    );
    assert!(
        seen.contains(&(TestKind::Vent, 1, Verdict::Fail)),
        "one vent wet, another dry"
    );
}

/// How long a test's record runs \[s\].
fn took(tests: &[TestResult], test: TestKind) -> f64 {
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
    for (test, low_s, high_s) in [
        (TestKind::LockUp, 89.0, 92.0),
        (TestKind::Creep, 294.0, 302.0),
    ] {
        let s = took(&tests, test);
        assert!((low_s..high_s).contains(&s), "{test:?}: {s} s");
    }
    let leak = tests
        .iter()
        .find(|t| t.test == TestKind::LeakCheck)
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
    assert!(
        leak.steps.iter().any(|s| s == "held 3 minutes"),
        "{:?}",
        leak.steps
    );
    // A slow climb is waited for, but not longer than five minutes.
    let creeping = visit(&[("second_seat_nick", 0.25), ("second_vent_blocked", 0.6)]);
    assert!(took(&creeping, TestKind::LockUp) <= 332.0);
}
