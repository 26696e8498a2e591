//! Steady points against runs in time, curves against the statics of a diaphragm.

use super::*;
use crate::fault::Fault;
use crate::rig::{Rig, Site, presets};
use crate::sim::RigSystem;
use crate::solver::{Engine, Method, System, Tolerance};
use crate::units::{W_PER_BTU_PER_H, inwc_to_pa, pa_to_inwc, psi_to_pa};

fn rig() -> Rig {
    Rig::standard(
        vec![presets::container("30 lb cylinder").expect("a preset")],
        vec![],
    )
}

fn site() -> Site {
    Site::calm(290.0, 0.0)
}

fn go_on(_: f64) -> bool {
    true
}

/// The steady point is where a run in time ends.
#[test]
fn a_steady_point_is_where_a_run_comes_to_rest() {
    for (psi, kbtu) in [(30.0, 40.0), (100.0, 5.0), (100.0, 100.0), (180.0, 60.0)] {
        let mut stand = Stand::new(&rig(), &site(), psi_to_pa(psi));
        for stage in [&mut stand.rig.first, &mut stand.rig.second] {
            stage.friction_n = 0.0;
        }
        let area = stand.orifice_m2(kbtu * 1e3 * W_PER_BTU_PER_H);
        let point = stand.settle(area, Friction::None).expect("steady");
        let system = RigSystem::new(&stand.rig, &stand.modes);
        let mut y = vec![0.0; system.dim()];
        point.state.write_to(&stand.rig, &mut y);
        // Pushed off its point, it comes back; body and case temperatures barely move in 2 s.
        y[6] -= 2e-4;
        let mut engine = Engine::new(Method::Stiff, Tolerance::default());
        engine
            .advance(&system, 0.0, 2.0, &mut y, &[], &mut |_, _| {})
            .expect("runs");
        let end = crate::rig::RigState::read_from(&stand.rig, &y);
        let off_m = (end.second.rise_m - point.state.second.rise_m).abs();
        assert!(off_m < 2e-6, "{psi} psi, {kbtu} kBtu/h: {off_m:e} m off");
    }
}

#[test]
fn curves_fall_with_load_and_stand_apart_by_friction() {
    let curves = flow_curves(
        &rig(),
        &site(),
        &usual_container_pa(),
        40_000.0,
        60,
        &mut go_on,
    )
    .expect("curves");
    assert_eq!(curves.lines.len(), 5);
    for (pa, points) in &curves.lines {
        assert_eq!(points.len(), 60);
        // Friction of F on area A gives 2 F/A between rising and falling (derived), with the
        // seat's jet area a little less; the first stage's friction adds a little through the jet.
        let stage = rig().second;
        let expected = 2.0 * stage.friction_n / stage.area_m2;
        for p in &points[5..] {
            let band = p.falling_pa - p.rising_pa;
            assert!(
                (0.5..2.5).contains(&(band / expected)),
                "{pa}: {band} Pa, friction gives {expected}"
            );
        }
        assert!(points[0].rising_pa > points[59].rising_pa);
    }
    assert!(curves.csv(crate::units::System::Us).lines().count() == 301);
    assert!(curves.svg(crate::units::System::Us).ends_with("</svg>\n"));
}

#[test]
fn curves_can_be_stopped() {
    let mut calls = 0;
    let mut stop = |_: f64| {
        calls += 1;
        calls < 3
    };
    let curves = flow_curves(
        &rig(),
        &site(),
        &usual_container_pa(),
        40_000.0,
        5,
        &mut stop,
    );
    assert_eq!(curves.expect("two curves").lines.len(), 2);
}

/// Code (UL 144-2021 6.9, type II): with the seat gone the outlet stays at or under 2 psig.
#[test]
fn the_relief_holds_two_psig_with_the_seat_gone() {
    let pressures = [25.0, 100.0, 150.0, 250.0].map(psi_to_pa);
    let relief = relief_capacity(&rig(), &site(), &pressures).expect("steady");
    assert!(relief.holds, "{relief:?}");
    // ... and it works at all: the outlet stands over the start of discharge.
    assert!(
        relief.points.iter().all(|p| pa_to_inwc(p.outlet_pa) > 18.7),
        "{relief:?}"
    );
    // A blocked vent takes the relief away.
    let mut blocked = rig();
    blocked.second.vent.open = 0.02;
    let relief = relief_capacity(&blocked, &site(), &pressures).expect("steady");
    assert!(!relief.holds);
}

/// Practice: lock-up stays under 13.2 in w.c. over the seasons.
#[test]
fn lock_up_hardly_moves_with_the_container() {
    let pressures: Vec<f64> = (1..=10).map(|k| psi_to_pa(20.0 * f64::from(k))).collect();
    let curve = lock_up_curve(&rig(), &site(), &pressures).expect("steady");
    for [_, first, outlet] in &curve.points {
        assert!((11.0..13.2).contains(&pa_to_inwc(*outlet)), "{curve:?}");
        assert!(*first < psi_to_pa(13.0), "{curve:?}");
    }
}

/// Colder and emptier gives out sooner.
#[test]
fn a_container_lasts_less_the_colder_and_emptier_it_is() {
    let container = presets::container("30 lb cylinder").expect("a preset");
    let air = [255.0, 266.0, 278.0];
    let fills = [0.1, 0.3, 0.8];
    let draw_w = 60e3 * W_PER_BTU_PER_H;
    let e = endurance(&container, &rig().fuel, draw_w, &air, &fills).expect("runs");
    let held = |t: usize, f: usize| e.points[3 * t + f].held_s.unwrap_or(f64::MAX);
    for i in 0..3 {
        assert!(held(0, i) < held(1, i) && held(1, i) <= held(2, i), "{e:?}");
        assert!(held(i, 0) < held(i, 1) && held(i, 1) < held(i, 2), "{e:?}");
    }
}

#[test]
fn the_healthy_rig_is_damped_everywhere() {
    let loads: Vec<f64> = (1..=12)
        .map(|k| 10e3 * f64::from(k) * W_PER_BTU_PER_H)
        .collect();
    let map =
        stability_map(&rig(), &site(), &usual_container_pa(), &loads, &mut go_on).expect("steady");
    assert_eq!(map.points.len(), 60);
    for p in &map.points {
        assert!(!p.hunts(), "{p:?}");
    }
    // Each point names what carries it, and a much loaded one at high pressure its first stage's breathing hole.
    assert_eq!(map.without.len(), map.points.len());
    for k in 0..map.points.len() {
        let carrier = map.carrier(k).expect("a mechanism");
        assert_ne!(carrier, Mechanism::Viscous, "the preset has none");
        let p = &map.points[k];
        if p.container_pa > psi_to_pa(90.0) && p.load_w > 20e3 * W_PER_BTU_PER_H {
            assert_eq!(carrier, Mechanism::FirstBreather, "{p:?}");
        }
    }
    assert!(
        map.svg(crate::units::System::Us)
            .contains(Mechanism::FirstBreather.label())
    );
}

/// A rig that hunts does so in time at the frequency of its eigenvalue, within 2 %.
#[test]
fn the_frequency_of_hunting_agrees_with_a_run_in_time() {
    // A heavy second stage whose breathing hole holds the air half as well as it should.
    let mut humming = Mechanism::DiaphragmRubber.removed_from(&rig());
    humming.second.vent.laminar *= 0.48;
    humming.second.mass_kg = 0.06;
    humming.second.bore_m *= 2.0;
    humming.piping.manifold_m3 = 0.5e-3;
    for stage in [&mut humming.first, &mut humming.second] {
        stage.friction_n = 0.0;
    }
    let mut found = None;
    for kbtu in [2.0, 5.0, 10.0, 20.0, 40.0, 80.0] {
        let mut stand = Stand::new(&humming, &site(), psi_to_pa(100.0));
        let area = stand.orifice_m2(kbtu * 1e3 * W_PER_BTU_PER_H);
        let p = hunting(&mut stand, area).expect("steady");
        if p.hunts() && found.is_none() {
            found = Some((stand, area, p));
        }
    }
    let (mut stand, area, p) =
        found.expect("an undamped rig with a large bore and little pipe hunts");
    let point = stand.settle(area, Friction::None).expect("steady");
    let system = RigSystem::new(&stand.rig, &stand.modes);
    let mut y = vec![0.0; system.dim()];
    point.state.write_to(&stand.rig, &mut y);
    // A push so small that the swing stays linear while it is counted.
    y[7] += 1e-6;
    let finely = Tolerance {
        relative: 1e-9,
        absolute: 1e-13,
    };
    let mut engine = Engine::new(Method::Explicit, finely);
    let period = 1.0 / p.frequency_hz;
    let samples: Vec<f64> = (1..1200).map(|k| f64::from(k) * period / 100.0).collect();
    let (mut crossings, mut last) = (Vec::new(), None::<(f64, f64)>);
    let mut most = [0.0_f64; 12];
    let middle = point.state.second.rise_m;
    engine
        .advance(
            &system,
            0.0,
            12.0 * period,
            &mut y,
            &samples,
            &mut |t, y| {
                let now = y[6] - middle;
                let cycle = ((t / period) as usize).min(11);
                most[cycle] = most[cycle].max(now);
                if let Some((before_s, before)) = last
                    && before < 0.0
                    && now >= 0.0
                {
                    crossings.push(before_s + (t - before_s) * before / (before - now));
                }
                last = Some((t, now));
            },
        )
        .expect("runs");
    let n = crossings.len();
    assert!(n > 9, "{n} crossings");
    let measured_hz = 6.0 / (crossings[9] - crossings[3]);
    assert!(
        (measured_hz / p.frequency_hz - 1.0).abs() < 0.02,
        "{measured_hz} Hz in time, {} Hz by eigenvalue",
        p.frequency_hz
    );
    let growth_per_s = (most[10] / most[4]).ln() / (6.0 * period);
    assert!(
        (growth_per_s / p.growth_per_s - 1.0).abs() < 0.05,
        "{growth_per_s} 1/s in time, {} by eigenvalue",
        p.growth_per_s
    );
}

/// Lock-up of the first stage against the container: the jet on the seat pushes it open, so each
/// pascal of container pressure is worth `(A_s/L)/(A + A_s/L)` at the outlet (derived, balance of forces).
#[test]
fn lock_up_of_the_first_stage_rises_with_the_container_as_the_jet_does() {
    let pressures: Vec<f64> = (2..=10).map(|k| psi_to_pa(20.0 * f64::from(k))).collect();
    let curve = lock_up_curve(&rig(), &site(), &pressures).expect("steady");
    let stage = rig().first;
    let seat = std::f64::consts::FRAC_PI_4 * stage.bore_m * stage.bore_m / stage.lever_ratio;
    let expected = seat / (stage.area_m2 + seat);
    let (first, last) = (curve.points[0], curve.points[curve.points.len() - 1]);
    let slope = (last[1] - first[1]) / (last[0] - first[0]);
    assert!(
        (slope / expected - 1.0).abs() < 0.1,
        "{slope:.5} by the curve, {expected:.5} by the jet"
    );
}

/// The steady relief capacity is where a run in time ends whose lever comes off with all burners off,
/// and both are under the 2 psig of the code (UL 144-2021 6.9, type II).
#[test]
fn relief_capacity_is_where_a_run_with_the_seat_gone_ends() {
    use crate::scenario::{Action, Run, Scenario};
    use crate::sim::{Simulation, usual_tolerance};
    // The excess-flow valve at the container would take the rush for a broken hose: here it does not.
    let mut unlimited = rig();
    unlimited.containers[0].supply.excess_trip_kg_per_s = 1.0;
    let scenario = Scenario {
        run: Run {
            duration_s: 60.0,
            sample_s: 1.0,
            settle_s: 10.0,
        },
        ..Scenario::at_rest("seat gone", unlimited, site(), 0.7, 290.0)
    };
    let tolerance = usual_tolerance(Method::Stiff);
    let mut sim = Simulation::start(std::sync::Arc::new(scenario), Method::Stiff, tolerance)
        .expect("comes to rest");
    sim.act(&Action::Inject {
        fault: crate::fault::Fault::named("lever_off").expect("in the catalogue"),
        severity: 1.0,
        over_s: 0.0,
    });
    sim.advance(10.0, None, &mut |_| {}).expect("runs");
    let r = sim.readings();
    let inlet_pa = r.containers[0].pressure_pa;
    let steady = relief_capacity(&rig(), &site(), &[inlet_pa]).expect("steady");
    let capacity_pa = steady.points[0].outlet_pa;
    assert!(
        (r.outlet_pa / capacity_pa - 1.0).abs() < 0.03,
        "{} in w.c. in time, {} steady",
        pa_to_inwc(r.outlet_pa),
        pa_to_inwc(capacity_pa)
    );
    assert!(r.outlet_pa < psi_to_pa(2.0) && steady.holds);
}

/// Endurance without any heat from outside: the fuel cools itself, and T falls as
/// T0 + (h/c) ln(1 - w c t/(m0 c + C)) (derived, heat balance with constant h and c of pure propane)
/// until its pressure is lost.
#[test]
fn endurance_without_heat_is_that_of_a_liquid_that_cools_itself() {
    use crate::physics::fuel::{self, Vapour, mass_kg};
    let mut container = presets::container("100 lb cylinder").expect("a preset");
    container.wall_w_per_m2_k = 0.0;
    let mut pure = rig().fuel;
    pure.fractions = [1.0, 0.0, 0.0, 0.0, 0.0];
    let (start_k, fill) = (280.0, 0.6);
    let draw_w = 80e3 * W_PER_BTU_PER_H;
    let e = endurance(&container, &pure, draw_w, &[start_k], &[fill]).expect("runs");
    let held_s = e.points[0].held_s.expect("the pressure is lost");

    let lost_k = fuel::saturation_temperature_k(
        fuel::Species::Propane,
        super::endurance::lost_pa() + 101_325.0,
    );
    let state = |k: f64| container.filled(fill, &pure.fractions, k, 0.0);
    let (first, middle) = (state(start_k), state(0.5 * (lost_k + start_k)));
    let flash = container.flash(&middle);
    let heat = flash.vapour_draw_j_per_kg;
    let per_kg = flash.heat_capacity_j_per_k / mass_kg(&middle.moles);
    let flow = draw_w / Vapour::from_fractions(&pure.fractions).heating_value_j_per_kg;
    let stored = mass_kg(&first.moles) * per_kg + container.steel_j_per_k;
    let left = ((lost_k - start_k) * per_kg / heat).exp();
    let expected_s = stored * (1.0 - left) / (flow * per_kg);
    assert!(
        (held_s / expected_s - 1.0).abs() < 0.04,
        "{held_s:.0} s by the run, {expected_s:.0} s by the heat balance"
    );
}

/// Whatever is wrong with a rig, its curve is drawn: seats that let gas through at rest, hoses that starve, residue
/// that creeps for hours.
#[test]
fn every_fault_has_its_curves() {
    let base = rig();
    let all = [25.0, 100.0, 200.0].map(psi_to_pa);
    let locks = [20.0, 60.0, 95.0, 143.0, 171.0, 240.0].map(psi_to_pa);
    let mut without = Vec::new();
    for fault in Fault::all_in(&base) {
        for severity in [0.3, 0.6, 1.0] {
            let mut rig = base.clone();
            fault.apply(&mut rig, severity);
            let flow = flow_curves(&rig, &site(), &all, 30_000.0, 8, &mut go_on);
            let locked = lock_up_curve(&rig, &site(), &locks);
            let failed = flow.err().or(locked.err());
            without.extend(failed.map(|e| (fault.entry().id, severity, e)));
        }
    }
    assert!(without.is_empty(), "{without:#?}");
}

/// An excess-flow valve that trips at half of the load breaks the rising curve off there, leaves its bleed to the
/// falling one, and has opened again near no load.
#[test]
fn a_curve_breaks_off_where_the_excess_flow_valve_trips() {
    let mut rig = rig();
    let container_pa = psi_to_pa(100.0);
    let mut stand = Stand::new(&rig, &site(), container_pa);
    let area = stand.orifice_m2(10_000.0);
    let point = stand.settle(area, Friction::None).expect("steady");
    let heating_j_per_kg = point.load_w / point.readings.containers[0].flow_kg_per_s;
    let trips_w = 15_000.0;
    rig.containers[0].supply.excess_trip_kg_per_s = trips_w / heating_j_per_kg;
    let curves =
        flow_curves(&rig, &site(), &[container_pa], 30_000.0, 31, &mut go_on).expect("curves");
    let points = &curves.lines[0].1;
    let before = points.iter().filter(|p| p.rising_pa > inwc_to_pa(10.0));
    let most_w = before.map(|p| p.load_w).fold(0.0, f64::max);
    assert!((0.9 * trips_w..trips_w).contains(&most_w), "{most_w}");
    let tripped = &points[25];
    assert!(tripped.rising_pa < inwc_to_pa(5.0), "{tripped:?}");
    // Steady behind the bleed: the falling curve is low where the rising one still was right.
    let middle = &points[8];
    assert!(middle.rising_pa > inwc_to_pa(10.0), "{middle:?}");
    assert!(middle.falling_pa < inwc_to_pa(10.0), "{middle:?}");
    assert!(points[0].falling_pa > inwc_to_pa(11.0), "{:?}", points[0]);
}

/// Where a line bends the points stand close: from one to the next it turns by no more than a picture hides, but for a
/// valve that trips, which is a break and no bend. Even loads turn by more than twice as much at the seat's knee.
#[test]
fn a_smooth_curve_has_no_corners() {
    let at = [psi_to_pa(100.0)];
    let corner = |curves: &Curves| {
        let points = &curves.lines[0].1;
        let off = |w: &[CurvePoint]| {
            let share = (w[1].load_w - w[0].load_w) / (w[2].load_w - w[0].load_w);
            let straight = w[0].rising_pa + share * (w[2].rising_pa - w[0].rising_pa);
            (w[1].rising_pa - straight).abs()
        };
        points.windows(3).map(off).fold(0.0, f64::max)
    };
    let even = flow_curves(&rig(), &site(), &at, 44_000.0, 60, &mut go_on).expect("steady");
    let smooth =
        smooth_flow_curves(&rig(), &site(), &at, 44_000.0, 60, &mut go_on).expect("steady");
    assert!(corner(&even) > 40.0, "{}", corner(&even));
    assert!(corner(&smooth) < 15.0, "{}", corner(&smooth));
    let points = &smooth.lines[0].1;
    assert!(points.windows(2).all(|w| w[0].load_w < w[1].load_w));
    assert!(points.len() < 200, "{}", points.len());
    // What even loads find stands on the smooth line too.
    let value = |load_w: f64| {
        let after = points
            .iter()
            .position(|p| p.load_w >= load_w)
            .unwrap_or(points.len() - 1)
            .max(1);
        let (a, b) = (&points[after - 1], &points[after]);
        a.rising_pa + (b.rising_pa - a.rising_pa) * (load_w - a.load_w) / (b.load_w - a.load_w)
    };
    for p in &even.lines[0].1 {
        assert!((value(p.load_w) - p.rising_pa).abs() < 2.0, "{p:?}");
    }
}
