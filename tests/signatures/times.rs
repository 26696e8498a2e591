//! Faults that show in time, in weather, or on a special rig: each a small story of its own.

use super::do_all;
use super::rig::{go_on, scenario, start, visit};
use twostage::fault::{Fault, Idle};
use twostage::rig::{Flame, Phase, Readings};
use twostage::scenario::{Action, Scenario, SiteValue};
use twostage::sim::Simulation;
use twostage::units::{W_PER_BTU_PER_H, pa_to_inwc, pa_to_psi};
use twostage::visit::{Bench, Deed, Effect, Measure, Test, perform, run};

/// Faults told here and not in the table.
pub const OWN: [&str; 10] = [
    "first_vent_blocked",
    "mounted_in_sun",
    "vent_turned_up",
    "water_in_fuel",
    "butane_rich",
    "container_cold",
    "container_low",
    "thermocouple_dead",
    "igniter_dead",
    "flame_sensor_dead",
];

fn wait(sim: &mut Simulation, duration_s: f64) -> Readings {
    let until = sim.time_s() + duration_s;
    sim.advance(until, None, &mut |_| {}).expect("runs");
    sim.readings()
}

fn switch(sim: &mut Simulation, on: bool) {
    for appliance in 0..sim.rig().appliances.len() {
        sim.act(&Action::Switch { appliance, on });
    }
}

fn light_all(sim: &mut Simulation) -> Readings {
    switch(sim, true);
    wait(sim, 40.0)
}

fn outlet(r: &Readings) -> f64 {
    pa_to_inwc(r.outlet_pa)
}

/// Trade: "overshoots for seconds to minutes, normal when steady". Physics: with everything off
/// nothing carries the overshoot away; with a pilot's draw it is gone within minutes.
#[test]
fn an_overshoot_stays_without_a_draw_and_goes_with_one() {
    let lock_up = |with_pilot: bool| {
        let mut sim = start(&scenario(70.0, 1), &[("second_vent_blocked", 0.6)]);
        light_all(&mut sim);
        for appliance in [0, 2, 3] {
            sim.act(&Action::Switch {
                appliance,
                on: false,
            });
        }
        if with_pilot {
            // The water heater's main burner off, its pilot on.
            sim.act(&Action::Draw {
                appliance: 1,
                power_w: -1e5,
                over_s: 0.0,
            });
        } else {
            sim.act(&Action::Switch {
                appliance: 1,
                on: false,
            });
        }
        outlet(&wait(&mut sim, 240.0))
    };
    let (left, drained) = (lock_up(false), lock_up(true));
    assert!(
        left > drained + 0.5,
        "{left:.2} without, {drained:.2} with a draw"
    );
    let healthy = visit(70.0, None).lock_up;
    assert!(
        (drained - healthy).abs() < 0.6,
        "{drained:.2} against {healthy:.2}"
    );
}

/// Trade: an iced vent only in the cold, and warmth heals it.
#[test]
fn an_iced_vent_heals_with_warmth() {
    let peak = |air_f: f64| visit(air_f, Some(("second_vent_iced", 0.7))).peak;
    let (warm, cold) = (peak(70.0), peak(20.0));
    assert!(cold > warm + 0.5, "{warm:.2} warm, {cold:.2} in frost");
    let mut sim = start(&scenario(20.0, 1), &[("second_vent_iced", 0.7)]);
    assert!(wait(&mut sim, 1.0).second.vent_open < 0.02);
    sim.act(&Action::Warm { to_k: 313.0 });
    assert!(wait(&mut sim, 1.0).second.vent_open < 0.1, "not at once");
    assert_eq!(wait(&mut sim, 40.0).second.vent_open, 1.0);
}

/// Trade: the interstage drifts with sun and height. Derived: warming trapped air by dT raises the
/// pressure it pushes with by p dT/T, 1 Pa for 1 Pa on the outlet while gas is drawn.
#[test]
fn a_sealed_first_vent_overshoots_and_follows_the_weather() {
    let first = |severity: f64| {
        let mut sim = start(&scenario(70.0, 1), &[("first_vent_blocked", severity)]);
        light_all(&mut sim);
        let before = pa_to_psi(sim.readings().first.chamber_pa);
        sim.act(&Action::Site {
            value: SiteValue::Sun,
            to: 1000.0,
            over_s: 0.0,
        });
        let after = pa_to_psi(wait(&mut sim, 900.0).first.chamber_pa);
        after - before
    };
    let (open, sealed) = (first(0.0), first(1.0));
    // 19 K of sun after 900 s of a 240-s case: 101 kPa * 19/294 = 0.95 psi, less what the
    // diaphragm's own travel relieves.
    assert!(open.abs() < 0.15, "{open:.2}");
    assert!((0.4..1.2).contains(&sealed), "{sealed:.2}");
}

/// Physics: a pinprick vent cannot follow, but sun warms the case over minutes and that it does
/// follow; what is left by day is the lag. Sealed it would be 13 in w.c. for 20 K.
#[test]
fn a_dark_sealed_case_follows_the_sun() {
    let rise = |severity: f64| {
        let mut sim = start(&scenario(70.0, 1), &[("mounted_in_sun", severity)]);
        sim.act(&Action::Switch {
            appliance: 2,
            on: true,
        });
        let before = outlet(&wait(&mut sim, 60.0));
        sim.act(&Action::Site {
            value: SiteValue::Sun,
            to: 1000.0,
            over_s: 0.0,
        });
        let mut most: f64 = 0.0;
        let until = sim.time_s() + 600.0;
        sim.advance(until, Some(5.0), &mut |r| {
            most = most.max(outlet(r) - before);
        })
        .expect("runs");
        most
    };
    let (healthy, bad) = (rise(0.0), rise(1.0));
    assert!(healthy < 0.1, "{healthy:.2}");
    assert!(bad > 0.3, "{bad:.2}");
}

/// Trade: as sealed, and with cold and spray. Derived: water of depth d weighs rho g d on the
/// diaphragm: 7.5 mm is 0.30 in w.c. at every load; frozen it also holds the plate fast.
#[test]
fn rain_above_the_diaphragm_adds_its_weight_and_freezes() {
    let (healthy, wet) = (
        visit(70.0, None),
        visit(70.0, Some(("vent_turned_up", 0.5))),
    );
    for (is, was) in [(wet.half, healthy.half), (wet.lock_up, healthy.lock_up)] {
        assert!((is - was - 0.30).abs() < 0.15, "{was:.2} to {is:.2}");
    }
    assert!(wet.band.abs() < 0.15);
    let frozen = visit(20.0, Some(("vent_turned_up", 0.5)));
    let cold = visit(20.0, None);
    assert!(
        frozen.peak > cold.peak + 0.5 || frozen.band.abs() > 0.4,
        "{frozen:?}"
    );
}

/// Trade: falls in steps under flow in the cold, and a warm cloth heals it.
#[test]
fn wet_fuel_freezes_under_flow_and_thaws_with_a_cloth() {
    let mut sim = start(&scenario(34.0, 1), &[("water_in_fuel", 0.7)]);
    light_all(&mut sim);
    let before = sim.readings();
    let mut least = f64::MAX;
    let until = sim.time_s() + 1800.0;
    sim.advance(until, Some(10.0), &mut |r| least = least.min(outlet(r)))
        .expect("runs");
    let iced = sim.readings();
    assert!(iced.first.ice > 0.3, "ice {:.2}", iced.first.ice);
    assert!(
        least < outlet(&before) - 1.0,
        "{:.2} to {least:.2}",
        outlet(&before)
    );
    let mut listener = go_on;
    perform(&mut Bench::new(&mut sim, &mut listener), Deed::WarmCloth).expect("warmed");
    assert!(sim.readings().first.ice < 0.5 * iced.first.ice);
    // Dry fuel in the same cold shows nothing.
    let mut dry = start(&scenario(34.0, 1), &[]);
    light_all(&mut dry);
    assert_eq!(wait(&mut dry, 1800.0).first.ice, 0.0);
}

/// Draw of the container stories \[s\].
const DRAW_S: f64 = 3600.0;

/// Container pressure \[psi\] before, after full load for `draw_s`, and after an hour's rest.
fn draw(base: &Scenario, fault: &[(&str, f64)], draw_s: f64) -> [f64; 3] {
    let mut sim = start(base, fault);
    let psi = |r: &Readings| pa_to_psi(r.containers[0].pressure_pa);
    let before = psi(&wait(&mut sim, 1.0));
    light_all(&mut sim);
    let after = psi(&wait(&mut sim, draw_s));
    switch(&mut sim, false);
    let rested = psi(&wait(&mut sim, DRAW_S));
    [before, after, rested]
}

/// Trade: container cold or low sags over minutes of draw and recovers at rest.
#[test]
fn a_cold_or_low_container_sags_with_draw_and_recovers() {
    let base = scenario(40.0, 1);
    // A low container was drawn for 9 min before; 11 now that its vapour's own heat counts, which is half of what it has.
    for (fault, draw_s) in [("container_cold", DRAW_S), ("container_low", 0.18 * DRAW_S)] {
        let [_, healthy, _] = draw(&base, &[], draw_s);
        let [before, after, rested] = draw(&base, &[(fault, 0.5)], draw_s);
        assert!(
            after < 0.6 * before,
            "{fault}: {before:.0} to {after:.0} psi"
        );
        assert!(
            after < healthy - 8.0,
            "{fault}: {after:.0}, healthy {healthy:.0} psi"
        );
        assert!(
            rested > after + 3.0,
            "{fault}: {after:.0}, rested {rested:.0} psi"
        );
    }
}

/// Trade: butane-rich fuel is normal when warm, sags cold, worse as it empties. Derived (ideal
/// solution): at 40 °F 45 % butane gives about 36 psig against 64 of propane.
#[test]
fn butane_gives_less_pressure_and_more_so_as_it_empties() {
    let pressure = |air_f: f64, fault: &[(&str, f64)]| {
        pa_to_psi(start(&scenario(air_f, 1), fault).readings().containers[0].pressure_pa)
    };
    let rich = pressure(40.0, &[("butane_rich", 0.5)]);
    assert!((rich - 37.0).abs() < 4.0, "{rich:.1} psig");
    let warm = visit(70.0, Some(("butane_rich", 0.5)));
    assert!((warm.half - visit(70.0, None).half).abs() < 0.15);
    let cold = pressure(0.0, &[("butane_rich", 0.9)]);
    assert!(cold < 6.0, "{cold:.1} psig");
    let mut sim = start(&scenario(40.0, 1), &[("butane_rich", 0.5)]);
    let share = |sim: &Simulation| sim.readings().containers[0].liquid_fractions[2];
    let before = share(&sim);
    light_all(&mut sim);
    wait(&mut sim, DRAW_S);
    assert!(
        share(&sim) > before + 0.01,
        "{before:.3} to {:.3}",
        share(&sim)
    );
}

/// A twin set whose service side is all but empty: the reserve feeds, unless it cannot.
#[test]
fn a_twin_set_changes_over_unless_the_reserve_is_empty_or_stuck() {
    let mut base = scenario(40.0, 2);
    base.charges[0].fill = 0.004;
    let flowing = |fault: &[(&str, f64)]| {
        let mut sim = start(&base, fault);
        light_all(&mut sim);
        let r = wait(&mut sim, 1200.0);
        (r.reserve_feeding, r.outlet_pa, r.containers[1].fill)
    };
    let (feeds, healthy_pa, _) = flowing(&[]);
    assert!(feeds && pa_to_inwc(healthy_pa) > 9.0);
    let (_, empty_pa, fill) = flowing(&[("container_low.right", 1.0)]);
    assert!(
        pa_to_inwc(empty_pa) < 5.0 && fill < 0.01,
        "{:.1}",
        pa_to_inwc(empty_pa)
    );
    let (_, stuck_pa, fill) = flowing(&[("changeover_stuck", 0.9)]);
    assert!(
        pa_to_inwc(stuck_pa) < 5.0 && fill > 0.5,
        "{:.1}",
        pa_to_inwc(stuck_pa)
    );
}

/// Trade: only that appliance, and the pressure at its inlet is right.
#[test]
fn dead_safeties_stop_one_appliance_at_a_right_pressure() {
    for (fault, appliance) in [
        ("igniter_dead", 0),
        ("flame_sensor_dead", 0),
        ("thermocouple_dead", 1),
    ] {
        let mut sim = start(&scenario(70.0, 1), &[(fault, 0.5)]);
        light_all(&mut sim);
        let r = wait(&mut sim, 120.0);
        for (i, a) in r.appliances[..r.appliance_count].iter().enumerate() {
            if i == appliance {
                assert_ne!(a.phase, Phase::Burning, "{fault}");
            } else {
                assert_eq!(
                    (a.phase, a.flame),
                    (Phase::Burning, Flame::Normal),
                    "{fault}"
                );
            }
        }
        let inlet = pa_to_inwc(r.appliances[appliance].inlet_pa);
        assert!((9.5..12.0).contains(&inlet), "{fault}: {inlet:.1}");
    }
}

/// Trade: tap it.
#[test]
fn a_tap_frees_a_gummed_lever() {
    let mut sim = start(&scenario(70.0, 1), &[("lever_gummed", 0.8)]);
    light_all(&mut sim);
    sim.act(&Action::Switch {
        appliance: 3,
        on: false,
    });
    let stuck = outlet(&wait(&mut sim, 30.0));
    let mut listener = go_on;
    perform(&mut Bench::new(&mut sim, &mut listener), Deed::Tap).expect("tapped");
    let freed = outlet(&sim.readings());
    assert!((stuck - freed).abs() > 0.3, "{stuck:.2} to {freed:.2}");
}

/// Trade: no plateau when the seat leaks, bench only.
#[test]
fn a_stuck_relief_shows_only_when_a_seat_leaks() {
    let grit = ("second_seat_grit", 1.0);
    let end = |faults: &[(&str, f64)]| {
        let mut sim = start(&scenario(70.0, 1), faults);
        outlet(&wait(&mut sim, 600.0))
    };
    let (free, stuck) = (end(&[grit]), end(&[grit, ("relief_stuck_shut", 1.0)]));
    assert!((18.7..33.0).contains(&free), "{free:.1}");
    assert!(stuck > 60.0, "{stuck:.1}");
}

/// Trade: shut, wait, open slowly.
#[test]
fn a_tripped_excess_flow_valve_comes_back_when_opened_slowly() {
    let mut sim = start(&scenario(70.0, 1), &[]);
    let mut listener = go_on;
    let mut bench = Bench::new(&mut sim, &mut listener);
    let container = 0;
    perform(&mut bench, Deed::ShutValve { container }).expect("shut");
    // Let the pigtail run empty, then open too fast.
    bench.sim.act(&Action::Bleed { area_m2: 5e-6 });
    bench.wait(60.0, 10.0).expect("bleeds");
    bench.sim.act(&Action::Bleed { area_m2: 0.0 });
    let fast = Deed::OpenValve {
        container,
        slowly: false,
    };
    let outcome = perform(&mut bench, fast).expect("opened");
    assert!(
        matches!(outcome.effect, Effect::Opened { tripped: true, .. }),
        "{outcome:?}"
    );
    perform(&mut bench, Deed::ShutValve { container }).expect("shut");
    bench.wait(60.0, 10.0).expect("waits");
    let slowly = Deed::OpenValve {
        container,
        slowly: true,
    };
    let outcome = perform(&mut bench, slowly).expect("opened");
    assert!(
        matches!(outcome.effect, Effect::Opened { tripped: false, .. }),
        "{outcome:?}"
    );
    let result = run(&mut bench, Test::FlowPressure).expect("runs");
    let load = result.figure(Measure::Load).expect("load") / W_PER_BTU_PER_H;
    assert!(load > 40_000.0, "{load:.0}");
}

/// Trade: a nick is "worse with inlet pressure": what slips past is choked and goes with the absolute pressure
/// before the seat, and what it fills climbs with its warmth (derived).
#[test]
fn a_nicked_first_seat_climbs_faster_the_more_the_container_presses() {
    let climb = |air_f: f64| {
        let mut sim = start(&scenario(air_f, 1), &[("first_seat_nick", 0.3)]);
        light_all(&mut sim);
        switch(&mut sim, false);
        let before = wait(&mut sim, 10.0);
        let after = wait(&mut sim, 20.0);
        let climb = pa_to_psi(after.first.chamber_pa - before.first.chamber_pa);
        let presses = after.first.inlet_pa + after.ambient_pa;
        (climb, presses * after.body_k)
    };
    let (cool, hot) = (climb(35.0), climb(105.0));
    let (faster, harder) = (hot.0 / cool.0, hot.1 / cool.1);
    assert!(
        harder > 2.0 && (faster / harder - 1.0).abs() < 0.2,
        "{faster:.2} times as fast, {harder:.2} times the pressure and warmth"
    );
}

/// Trade: with liquid the body frosts within minutes and then the flames jump, and both end when no more
/// liquid comes. The flames wait until the body is as cold as what boils in it: until then it boils all
/// (some 320 J/K over 45 K: 14 kJ, four to six minutes).
#[test]
fn liquid_makes_flames_jump_and_the_body_frost() {
    use twostage::service::{flame_seen, frost_seen};
    for fault in ["liquid_carry_over", "container_overfilled"] {
        let mut sim = start(&scenario(60.0, 1), &[(fault, 0.5)]);
        light_all(&mut sim);
        let r = wait(&mut sim, 240.0);
        assert!(frost_seen(&r).body, "{fault}: body at {:.1} K", r.body_k);
        let r = wait(&mut sim, 420.0);
        assert!(
            flame_seen(&r, 0).surging,
            "{fault}: {:?}",
            r.first.liquid_share
        );
        do_all(&mut sim, &[Deed::NewContainers]);
        light_all(&mut sim);
        let r = wait(&mut sim, 1800.0);
        assert!(!flame_seen(&r, 0).surging, "{fault} is over");
        assert!(!frost_seen(&r).body, "{fault} is over");
    }
}

/// Practice: at 20 F a wet regulator freezes within 20 to 40 min at half load; nothing is seen in the first five. A very
/// wet one was said to within some 10 min: but at 20 F the vapour is saturated at 370 ppm, and more water in the container
/// brings no more to the nozzle.
#[test]
fn wet_fuel_freezes_within_the_hour_at_half_load() {
    for (severity, from_min, to_min) in [(0.5, 10.0, 40.0), (1.0, 10.0, 40.0)] {
        let mut sim = start(&scenario(20.0, 1), &[("water_in_fuel", severity)]);
        // Furnace and water heater: 47 % of what is connected.
        for appliance in 0..2 {
            sim.act(&Action::Switch {
                appliance,
                on: true,
            });
        }
        let before = outlet(&wait(&mut sim, 60.0));
        let mut fell_min = None;
        let until = sim.time_s() + 3600.0;
        sim.advance(until, Some(10.0), &mut |r| {
            if fell_min.is_none() && outlet(r) < before - 1.0 && r.first.ice > 0.5 {
                fell_min = Some(r.time_s / 60.0);
            }
        })
        .expect("runs");
        let fell_min = fell_min.expect("it freezes");
        assert!(
            (from_min..to_min).contains(&fell_min),
            "severity {severity}: fell after {fell_min:.1} min"
        );
    }
}

/// The air that is told as the warmest in which so much water freezes is the model's own: two degrees over it nothing settles within
/// forty minutes of all burners, some degrees under it something does (derived: both are one law, run and asked).
#[test]
fn wet_fuel_does_nothing_in_air_warmer_than_is_told() {
    let fault = Fault::named("water_in_fuel").expect("in the catalogue");
    for severity in [0.1, 0.2, 0.3, 0.7] {
        let rig = scenario(34.0, 1).rig;
        let Some(Idle::TooLittle(under_k)) = fault.idle_in(&rig, severity, 320.0) else {
            panic!("it freezes in no air of 320 K");
        };
        let iced = |air_f: f64| {
            let mut sim = start(&scenario(air_f, 1), &[("water_in_fuel", severity)]);
            light_all(&mut sim);
            let mut most = 0.0_f64;
            let until = sim.time_s() + 2400.0;
            sim.advance(until, Some(10.0), &mut |r| most = most.max(r.first.ice))
                .expect("runs");
            most
        };
        let Some(under_k) = under_k else {
            for air_f in [-10.0, 0.0, 20.0] {
                assert!(iced(air_f) < 1e-6, "severity {severity} in {air_f} F");
            }
            continue;
        };
        let under_f = (under_k - 273.15) * 1.8 + 32.0;
        let (over, below) = (iced(under_f + 2.0), iced(under_f - 10.0));
        assert!(over < 1e-6, "severity {severity}, {under_f:.1} F: {over}");
        // So little water in gas so cold leaves a trace.
        let least = if severity < 0.2 { 1e-4 } else { 0.02 };
        assert!(
            below > least,
            "severity {severity}, {under_f:.1} F: {below}"
        );
    }
}
