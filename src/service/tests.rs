//! Instruments, points and limits against numbers worked out elsewhere.

use super::*;
use crate::rig::{Kind, Rig, Site, presets};
use crate::scenario::Scenario;
use crate::sim::{Simulation, Witness};
use crate::units::{inwc_to_pa, pa_to_inwc};
use std::sync::Arc;

fn scenario() -> Scenario {
    let rig = Rig::standard(
        vec![presets::container("30 lb cylinder").expect("a preset")],
        [Kind::Furnace, Kind::Cooktop]
            .map(presets::appliance)
            .to_vec(),
    );
    Scenario::at_rest("bench", rig, Site::calm(294.0, 0.0), 0.6, 294.0)
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

/// 0.80 in w.c. per °F at 9 in w.c., sea level, 60 °F: gas law (derived), as facts of the trade say.
#[test]
fn trapped_gas_gains_point_eight_inch_per_fahrenheit() {
    let per_k = trapped_gas_pa_per_k(inwc_to_pa(9.0), 101_325.0, 288.706);
    assert!((pa_to_inwc(per_k) / 1.8 - 0.80).abs() < 0.005);
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
    let mut sim =
        Simulation::start(Arc::new(scenario()), Method::Stiff, TOLERANCE).expect("starts");
    rack.see(&sim, false);
    let shown = |rack: &Rack| rack.seen().probe.and_then(|p| p.thermometer.shown_k());
    assert!((shown(&rack).expect("on the body") - sim.readings().body_k).abs() < 0.06);
    sim.act(&crate::scenario::Action::Warm { to_k: 313.15 });
    for _ in 0..40 {
        let until = sim.time_s() + 1.0;
        sim.advance(until, None, &mut |_| {}).expect("runs");
        rack.see(&sim, false);
    }
    assert!((shown(&rack).expect("still") - sim.readings().body_k).abs() < 1.5);
    assert!(sim.readings().body_k > 303.0);
    rack.put_thermometer(None);
    assert_eq!(rack.seen().probe, None);
}

/// A burner at the pressure of a high outlet takes more as its root, and that is the outlet's: none of them is told as over-fired.
/// An orifice that is too large is told at any outlet.
#[test]
fn a_high_outlet_is_no_oversized_orifice() {
    let lit = |screw: f64, orifice: f64| {
        let mut scenario = scenario();
        let fault = crate::fault::Fault::named("second_screw_high").expect("in the catalogue");
        fault.apply(&mut scenario.rig, screw);
        let cooktop = &mut scenario.rig.appliances[1];
        cooktop.spud_m2 *= orifice;
        cooktop.valve_m2 *= orifice;
        let mut sim =
            Simulation::start(Arc::new(scenario), Method::Stiff, TOLERANCE).expect("starts");
        sim.act(&crate::scenario::Action::Switch {
            appliance: 1,
            on: true,
        });
        sim.advance(30.0, None, &mut |_| {}).expect("runs");
        let affairs = state_of_affairs(sim.rig(), &sim.readings());
        let is_over = |t: &Trouble| matches!(t, Trouble::OverPlate { .. });
        (sim.readings(), affairs.troubles.iter().any(is_over))
    };
    let (r, told) = lit(1.0, 1.0);
    assert!(LIMITS.under_load.is_passed_by(r.outlet_pa) && !told);
    assert!(r.appliances[1].heat_w > 0.0);
    assert!(lit(1.0, 2.0).1 && lit(0.0, 2.0).1 && !lit(0.0, 1.0).1);
}
