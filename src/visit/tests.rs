//! Instruments, limits and procedures against numbers worked out elsewhere.

use super::*;
use crate::fault::Fault;
use crate::rig::{Kind, Rig, Site, presets};
use crate::scenario::Scenario;
use crate::sim::{Simulation, Witness};
use crate::solver::Method;
use crate::units::{inwc_to_pa, pa_to_inwc, pa_to_psi};
use std::sync::Arc;

fn scenario() -> Scenario {
    let kinds = [
        Kind::Furnace,
        Kind::WaterHeater,
        Kind::Cooktop,
        Kind::OnDemandHeater,
    ];
    let rig = Rig::standard(
        vec![presets::container("30 lb cylinder").expect("a preset")],
        kinds.map(presets::appliance).to_vec(),
    );
    Scenario::at_rest("bench", rig, Site::calm(294.0, 0.0), 0.6, 294.0)
}

fn start(extra: &[(&str, f64)]) -> Simulation {
    let extra: Vec<_> = extra
        .iter()
        .map(|(id, s)| (Fault::named(id).expect("in the catalogue"), *s))
        .collect();
    let prepared = prepare(&scenario(), &extra);
    Simulation::start(Arc::new(prepared), Method::Stiff, TOLERANCE).expect("starts")
}

fn go_on(_: &Progress) -> bool {
    true
}

#[test]
fn healthy_rig_passes_the_whole_visit() {
    let mut sim = start(&[]);
    let mut listener = go_on;
    let mut bench = Bench::new(&mut sim, &mut listener);
    let report = run_all(&mut bench).expect("runs");
    for t in &report.tests {
        println!("{} {} {}", t.test.words(), t.verdict.words(), t.words);
        for f in &t.figures {
            println!("    {} {}", f.name, f.text(crate::units::System::Us));
        }
    }
    assert_eq!(report.verdict, Verdict::Pass);
    assert_eq!(report.tests.len(), TestKind::VISIT.len());
    assert!(report.took_s > 600.0);
}

/// 0.80 in w.c. per °F at 9 in w.c., sea level, 60 °F: gas law (derived), as facts of the trade say.
#[test]
fn trapped_gas_gains_point_eight_inch_per_fahrenheit() {
    let per_k = trapped_gas_pa_per_k(inwc_to_pa(9.0), 101_325.0, 288.706);
    assert!((pa_to_inwc(per_k) / 1.8 - 0.80).abs() < 0.005);
}

/// The leak check of a tight rig in falling temperature passes only because it is corrected.
#[test]
fn leak_check_is_corrected_for_cooling() {
    let mut base = scenario();
    base.site.air_k = crate::rig::Ramp {
        from: 294.0,
        to: 290.0,
        start_s: 0.0,
        end_s: 600.0,
    };
    let mut sim =
        Simulation::start(Arc::new(prepare(&base, &[])), Method::Stiff, TOLERANCE).expect("starts");
    let mut listener = go_on;
    let mut bench = Bench::new(&mut sim, &mut listener);
    let result = run(&mut bench, TestKind::LeakCheck).expect("runs");
    let raw = result.figure("end").expect("end") - result.figure("start").expect("start");
    assert!(pa_to_inwc(raw) < -0.5, "{result:?}");
    let corrected = pa_to_inwc(result.figure("change").expect("change"));
    assert!(corrected.abs() < 0.15, "{corrected}");
}

#[test]
fn low_side_leak_fails_the_leak_check_with_dry_vents() {
    let mut sim = start(&[("low_side_leak", 0.5)]);
    let mut listener = go_on;
    let mut bench = Bench::new(&mut sim, &mut listener);
    let result = run(&mut bench, TestKind::LeakCheck).expect("runs");
    assert_eq!(result.verdict, Verdict::Fail);
    assert!(result.figure("change").expect("change") < -inwc_to_pa(1.0));
    assert_eq!(bubbles_at(Joint::SecondVent, bench.sim), Bubbles::None);
    assert!(bubbles_at(Joint::LowSide, bench.sim) > Bubbles::None);
}

#[test]
fn lock_up_with_a_burner_lit_is_explained() {
    let mut sim = start(&[]);
    let mut listener = go_on;
    let mut bench = Bench::new(&mut sim, &mut listener);
    run(&mut bench, TestKind::FlowPressure).expect("runs");
    let err = run(&mut bench, TestKind::LockUp).expect_err("a burner is lit");
    assert!(matches!(err, ServiceError::Forbidden { .. }));
    assert!(err.to_string().contains("burns gas"), "{err}");
}

/// A flow test needs its load: with a thermostat satisfied its burner stays off, and a pressure read
/// then would say nothing.
#[test]
fn a_flow_test_without_its_load_cannot_be_made() {
    let mut warm = prepare(&scenario(), &[]);
    for a in &mut warm.rig.appliances {
        if let Some(load) = &mut a.thermal {
            // Far on the satisfied side.
            load.set_k -= 120.0 * load.efficiency.signum();
        }
    }
    let start =
        || Simulation::start(Arc::new(warm.clone()), Method::Stiff, TOLERANCE).expect("starts");
    for test in [
        TestKind::FlowPressure,
        TestKind::FullLoad,
        TestKind::LoadUpDown,
    ] {
        let mut sim = start();
        let mut listener = go_on;
        let error = run(&mut Bench::new(&mut sim, &mut listener), test).expect_err("no load");
        let text = error.to_string();
        assert!(text.contains("cannot be made now"), "{text}");
        assert!(text.contains("thermostat"), "{text}");
    }
    // A visit makes what can be made and tells the rest; it does not pass.
    let mut sim = start();
    let mut listener = go_on;
    let report = run_all(&mut Bench::new(&mut sim, &mut listener)).expect("runs");
    let missed: Vec<TestKind> = report.not_made.iter().map(|n| n.test).collect();
    assert!(missed.contains(&TestKind::FullLoad), "{missed:?}");
    assert!(report.test(TestKind::LockUp).is_some());
    assert_eq!(report.tests.len() + missed.len(), TestKind::VISIT.len());
    assert_eq!(report.verdict, Verdict::Caution);
}

/// First-order lag (derived): after one time constant 63.2 % of the way is done.
#[test]
fn a_thermometer_lags_and_a_moved_one_keeps_its_warmth() {
    let mut t = Thermometer::default();
    assert_eq!(t.shown_k(), None);
    t.step(t.lag_s, 313.15, 293.15);
    let after = t.shown_k().expect("it was put somewhere");
    assert!((after - (293.15 + 20.0 * 0.632)).abs() < 0.06, "{after}");
    t.step(600.0, 313.15, 293.15);
    assert!((t.shown_k().expect("shows") - 313.15).abs() < 0.06);
    assert_eq!(
        temperature_text(293.15, crate::units::System::Us),
        "68.0 °F"
    );

    let mut rack = rack();
    rack.put_thermometer(Some(Place::Body));
    let mut sim = start(&[]);
    rack.see(&sim);
    let shown = |rack: &Rack| rack.seen().probe.and_then(|p| p.thermometer.shown_k());
    assert!((shown(&rack).expect("on the body") - sim.readings().body_k).abs() < 0.06);
    sim.act(&crate::scenario::Action::Warm { to_k: 313.15 });
    for _ in 0..40 {
        let until = sim.time_s() + 1.0;
        sim.advance(until, None, &mut |_| {}).expect("runs");
        rack.see(&sim);
    }
    assert!((shown(&rack).expect("still") - sim.readings().body_k).abs() < 1.5);
    assert!(sim.readings().body_k > 303.0);
    rack.put_thermometer(None);
    assert_eq!(rack.seen().probe, None);
}

#[test]
fn every_order_is_read_and_followed() {
    let mut sim = start(&[]);
    let rig = sim.rig().clone();
    let mut listener = go_on;
    let mut bench = Bench::new(&mut sim, &mut listener);
    let orders = [
        "read outlet",
        "read outlet with manometer for 2 s",
        "read first stage with dial 15 psi",
        "read inlet with dial 300 psi",
        "read container 1",
        "read furnace",
        "thermometer air",
        "thermometer container",
        "fluid second vent",
        "fluid pigtail",
        "fluid cooktop",
        "look",
        "listen",
        "light cooktop",
        "off all",
        "test lock-up",
        "shut fast",
        "open",
        "shut 1",
        "open fast 1",
        "tap",
        "flush",
        "clear vents",
        "warm",
        "screw second -30",
        "weigh",
        "new hose",
        "new regulator",
        "new containers",
        "mend line",
        "mend appliances",
        "wait 10 s",
    ];
    for text in orders {
        for order in Order::parse(text, &rig).unwrap_or_else(|e| panic!("{text}: {e}")) {
            let answer = order.follow(&mut bench, crate::units::System::Us);
            let answer = answer.unwrap_or_else(|e| panic!("{text}: {e}"));
            assert!(!answer.words.is_empty(), "{text}");
        }
    }
    assert_eq!(Order::parse("visit", &rig).expect("a visit").len(), 8);
    let verbs = ORDERS.map(|(words, _)| words.split(' ').next().expect("a verb"));
    for verb in verbs {
        assert!(
            verb == "visit" || orders.iter().any(|o| o.split(' ').next() == Some(verb)),
            "{verb} was not tried"
        );
    }
    // A manometer cannot stand 10 psi; it says so.
    let order = &Order::parse("read first stage with manometer", &rig).expect("an order")[0];
    let answer = order
        .follow(&mut bench, crate::units::System::Us)
        .expect("read");
    assert!(answer.words.contains("blown out"), "{}", answer.words);
}

#[test]
fn orders_that_cannot_be_are_told_with_the_nearest() {
    let rig = scenario().rig;
    for (text, words) in [
        ("red outlet", "read POINT"),
        ("read manifolt", "did you mean `manifold`"),
        ("read container 2", "no container 2: it has 1"),
        ("read outlet with barometer", "dial 35 inwc"),
        ("fluid secnd vent", "did you mean `second vent`"),
        ("thermometer bodi", "did you mean `body`"),
        ("thermometer container 2", "no container 2"),
        ("test lockup", "did you mean `lock-up`"),
        ("weigh 0", "a number from 1 to 1"),
        ("light stove", "there are: furnace"),
        ("screw third 5", "needs a stage"),
        ("screw second 9999", "needs degrees"),
        ("wait 9 days", "at most"),
        ("read outlet for -3 s", "over 0"),
        ("", "is no order"),
    ] {
        let error = Order::parse(text, &rig).expect_err(text).to_string();
        assert!(error.contains(words), "{text}: {error}");
    }
}

#[test]
fn a_visit_can_be_stopped() {
    let mut sim = start(&[]);
    let mut calls = 0;
    let mut listener = |_: &Progress| {
        calls += 1;
        calls < 3
    };
    let mut bench = Bench::new(&mut sim, &mut listener);
    let err = run_all(&mut bench).expect_err("stopped");
    assert!(matches!(err, ServiceError::Cancelled));
}

#[test]
fn points_are_found_by_name_and_missing_ones_explained() {
    let rig = scenario().rig;
    assert_eq!(TestPoint::find("outlet", &rig), Ok(TestPoint::Outlet));
    assert_eq!(
        TestPoint::find("furnace", &rig),
        Ok(TestPoint::Appliance(0))
    );
    assert_eq!(TestPoint::find("Inlet 1", &rig), Ok(TestPoint::Inlet(0)));
    let lacks = TestPoint::find("container 2", &rig).expect_err("one container only");
    assert!(lacks.to_string().contains("no container 2"), "{lacks}");
    assert!(TestPoint::find("container 0", &rig).is_err());
    let unknown = TestPoint::find("manifolt", &rig).expect_err("no such point");
    assert!(
        unknown.to_string().contains("did you mean `manifold`"),
        "{unknown}"
    );
}

/// U-tube of 0.8 m: f = sqrt(2 g/L)/2 pi = 0.788 Hz (derived); it overshoots by exp(-pi d/sqrt(1-d²)).
#[test]
fn manometer_bounces_as_a_water_column_does() {
    let mut m = Manometer::default();
    assert!((m.bounce_hz() - 0.788).abs() < 1e-3);
    let step = inwc_to_pa(9.0);
    let mut peak: f64 = 0.0;
    for _ in 0..400 {
        m.step(0.01, step);
        if let Some(shown) = m.shown().value() {
            peak = peak.max(shown);
        }
    }
    let expected = 1.0 + (-std::f64::consts::PI * 0.12 / (1.0_f64 - 0.0144).sqrt()).exp();
    assert!((peak / step - expected).abs() < 0.02, "{}", peak / step);
    m.step(60.0, step);
    assert_eq!(
        m.shown().value().map(|v| (v / inwc_to_pa(0.1)).round()),
        Some(90.0)
    );
    m.step(60.0, inwc_to_pa(30.0));
    assert_eq!(m.shown(), Shown::OverRange);
}

#[test]
fn a_dial_gauge_lags_and_pins() {
    let mut g = DialGauge::new(inwc_to_pa(35.0), inwc_to_pa(0.5));
    g.step(0.2, inwc_to_pa(20.0));
    let share = g.shown().value().expect("in range") / inwc_to_pa(20.0);
    assert!((share - (1.0 - (-1.0_f64).exp())).abs() < 0.02);
    g.step(10.0, inwc_to_pa(60.0));
    assert_eq!(g.shown(), Shown::OverRange);
}

#[test]
fn new_piping_holds_air_unless_it_leaks() {
    for (faults, verdict) in [
        (vec![], Verdict::Pass),
        (vec![("low_side_leak", 0.5)], Verdict::Fail),
    ] {
        let mut sim = start(&faults);
        let mut listener = go_on;
        let mut bench = Bench::new(&mut sim, &mut listener);
        let result = run(&mut bench, TestKind::NewPiping).expect("runs");
        assert_eq!(result.verdict, verdict, "{}", result.words);
    }
}

#[test]
fn grit_goes_with_a_flush_and_a_nick_stays() {
    for (fault, after) in [
        ("second_seat_grit", Verdict::Pass),
        ("second_seat_nick", Verdict::Fail),
    ] {
        let mut sim = start(&[(fault, 1.0)]);
        let mut listener = go_on;
        let mut bench = Bench::new(&mut sim, &mut listener);
        let before = run(&mut bench, TestKind::LockUp).expect("runs");
        assert_eq!(before.verdict, Verdict::Fail, "{fault}: {}", before.words);
        perform(&mut bench, Deed::Flush).expect("flushes");
        let again = run(&mut bench, TestKind::LockUp).expect("runs");
        assert_eq!(again.verdict, after, "{fault}: {}", again.words);
    }
}

#[test]
fn deeds_mend_what_they_should() {
    let cases = [
        ("second_vent_blocked", 1.0, Deed::ClearVents),
        ("hose_bored_down", 0.5, Deed::SwapHose),
        ("diaphragm_torn", 0.5, Deed::SwapRegulator),
        ("oily_residue", 0.5, Deed::SwapRegulator),
        ("butane_rich", 0.5, Deed::NewContainers),
        ("line_crushed", 0.5, Deed::MendLine),
        ("spud_clogged", 0.5, Deed::MendAppliances),
    ];
    for (fault, severity, deed) in cases {
        let mut sim = start(&[(fault, severity)]);
        let mut listener = go_on;
        let mut bench = Bench::new(&mut sim, &mut listener);
        assert_eq!(bench.sim.moment().faults.len(), 1);
        perform(&mut bench, deed).expect("done");
        assert!(
            bench.sim.moment().faults.is_empty(),
            "{fault} after {deed:?}"
        );
        assert_eq!(bench.sim.moment().state.residue_kg, 0.0);
    }
    let mut sim = start(&[]);
    let mut listener = go_on;
    let mut bench = Bench::new(&mut sim, &mut listener);
    let err = perform(&mut bench, Deed::Weigh { container: 5 }).expect_err("one container");
    assert!(err.to_string().contains("no container 6"), "{err}");
    assert!(pa_to_psi(1.0) > 0.0);
}
