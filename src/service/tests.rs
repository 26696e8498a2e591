//! Instruments, limits and procedures against numbers worked out elsewhere.

use super::*;
use crate::fault::Fault;
use crate::rig::{Charge, Kind, Rig, Site, presets};
use crate::scenario::{Run, Scenario};
use crate::sim::Simulation;
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
    Scenario {
        title: "bench".to_owned(),
        summary: String::new(),
        site: Site::calm(294.0, 0.0),
        charges: vec![Charge {
            fill: 0.6,
            temperature_k: 294.0,
            air_pa: 0.0,
        }],
        valves_open: vec![true],
        service_side: 0,
        on_at_start: vec![false; rig.appliances.len()],
        rig,
        events: vec![],
        run: Run {
            duration_s: 60.0,
            sample_s: 1.0,
            settle_s: 30.0,
        },
    }
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
    let mut sim = start(&[("low_side_leak", 0.1)]);
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
        (vec![("low_side_leak", 0.1)], Verdict::Fail),
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
