//! The catalogue keeps its promises.

use super::{ALL, Fault, Remedy, Side};
use crate::rig::{Charge, Kind, Modes, Rig, Site, Stage, presets};
use crate::units::System;
use proptest::prelude::*;
use std::collections::HashSet;

/// A twin set with every kind of appliance, so that every fault finds its part.
fn rig() -> Rig {
    let containers = ["30 lb cylinder", "20 lb cylinder"];
    let kinds = [
        Kind::Furnace,
        Kind::WaterHeater,
        Kind::Refrigerator,
        Kind::Cooktop,
        Kind::Oven,
        Kind::OnDemandHeater,
    ];
    Rig::standard(
        containers
            .map(|n| presets::container(n).expect("a preset"))
            .to_vec(),
        kinds.map(presets::appliance).to_vec(),
    )
}

fn at_rest(rig: &Rig) -> crate::rig::RigState {
    let charge = Charge {
        fill: 0.6,
        temperature_k: 285.0,
        air_pa: 0.0,
    };
    rig.at_rest(&Modes::shut(Site::calm(285.0, 0.0)), &[charge, charge])
}

#[test]
fn there_are_enough_faults_each_with_all_its_words() {
    assert!(ALL.len() >= 40, "only {} faults", ALL.len());
    for e in ALL.iter() {
        let id_ok = e.id.chars().all(|c| c.is_ascii_lowercase() || c == '_');
        assert!(!e.id.is_empty() && id_ok, "name in files `{}`", e.id);
        for (what, text) in [
            ("name", e.name),
            ("words", e.words),
            ("told apart", e.told_apart),
            ("caution", e.caution),
        ] {
            assert!(!text.trim().is_empty(), "{}: {what} is empty", e.id);
        }
        assert!(!e.remedies.is_empty(), "{}: no remedy", e.id);
        assert!(
            e.puts_right().count() > 0,
            "{}: nothing puts it right",
            e.id
        );
        assert!(!e.page().advice.is_empty(), "{}: no advice", e.id);
        assert!(!e.look_alikes.is_empty(), "{}: no look-alike", e.id);
        assert_eq!(
            e.carried_off.is_some(),
            e.remedies.contains(&Remedy::Flush),
            "{}: a flush acts where it is a remedy",
            e.id
        );
        assert_ne!((e.meaning)(0.3, System::Us), "", "{}", e.id);
    }
}

#[test]
fn names_are_unique() {
    let ids: HashSet<_> = ALL.iter().map(|e| e.id).collect();
    let names: HashSet<_> = ALL.iter().map(|e| e.name).collect();
    assert_eq!((ids.len(), names.len()), (ALL.len(), ALL.len()));
}

#[test]
fn every_family_has_faults() {
    for family in super::Family::ALL {
        assert!(ALL.iter().any(|e| e.family == family), "{family:?}");
    }
}

#[test]
fn look_alikes_exist_and_are_mutual() {
    for e in ALL.iter() {
        for other in e.look_alikes {
            let fault = Fault::find(other).unwrap_or_else(|err| panic!("{}: {err}", e.id));
            assert_ne!(e.id, *other);
            assert!(
                fault.entry().look_alikes.contains(&e.id),
                "{} looks like {other}, but not the other way round",
                e.id
            );
        }
    }
}

#[test]
fn severity_zero_changes_nothing() {
    let healthy = rig();
    let rest = at_rest(&healthy);
    for fault in Fault::all_in(&healthy) {
        let mut rig = healthy.clone();
        fault.apply(&mut rig, 0.0);
        assert_eq!(rig, healthy, "{fault}");
        let mut state = rest;
        fault.arrive(&healthy, &mut state, 0.0, 0.0);
        assert_eq!(state, rest, "{fault}");
    }
}

#[test]
fn every_fault_changes_something() {
    let healthy = rig();
    let rest = at_rest(&healthy);
    for fault in Fault::all_in(&healthy) {
        let (mut rig, mut state) = (healthy.clone(), rest);
        fault.apply(&mut rig, 0.5);
        fault.arrive(&healthy, &mut state, 0.0, 0.5);
        assert!(rig != healthy || state != rest, "{fault}");
    }
}

/// What arrives can be taken back: the amount of gas returns to what it was (an overfill goes
/// back to the limit instead).
#[test]
fn arrivals_are_taken_back() {
    let healthy = rig();
    let rest = at_rest(&healthy);
    for fault in Fault::all_in(&healthy).filter(|f| f.id() != "container_overfilled") {
        let mut state = rest;
        fault.arrive(&healthy, &mut state, 0.0, 0.4);
        fault.arrive(&healthy, &mut state, 0.4, 0.8);
        fault.arrive(&healthy, &mut state, 0.8, 0.0);
        let (was, is) = (
            crate::rig::stored_kg(&healthy, &rest),
            crate::rig::stored_kg(&healthy, &state),
        );
        assert!((is / was - 1.0).abs() < 2e-3, "{fault}: {was} kg, {is} kg");
        let air = state.second.case_mol / rest.second.case_mol;
        assert!((air - 1.0).abs() < 1e-12, "{fault}");
    }
}

#[test]
fn unknown_names_offer_the_nearest() {
    let err = Fault::find("second_seat_gritt").expect_err("no such fault");
    assert_eq!(err.near().as_deref(), Some("second_seat_grit"));
    assert!(err.to_string().contains("did you mean"));
    assert_eq!(Fault::find("moon").expect_err("no such fault").near(), None);
}

#[test]
fn what_strikes_a_container_strikes_one_side() {
    let (healthy, rest) = (rig(), at_rest(&rig()));
    let sided: Vec<Fault> = Fault::all().filter(|f| f.strikes_a_side()).collect();
    assert!(sided.len() >= 11, "only {}", sided.len());
    for fault in sided {
        for side in Side::ALL {
            let (other, fault) = (1 - side.container(), fault.on(side));
            let (mut rig, mut state) = (healthy.clone(), rest);
            fault.apply(&mut rig, 0.7);
            fault.arrive(&healthy, &mut state, 0.0, 0.7);
            assert_eq!(rig.containers[other], healthy.containers[other], "{fault}");
            assert_eq!(state.containers[other], rest.containers[other], "{fault}");
            assert!(rig != healthy || state != rest, "{fault}");
            assert_eq!(Fault::find(&fault.to_string()), Ok(fault));
        }
        // Without a side it comes on the side on service.
        assert_eq!(fault.settled(&healthy, 1), fault.on(Side::Right));
        let mut single = healthy.clone();
        single.containers.truncate(1);
        assert_eq!(fault.on(Side::Left).settled(&single, 0), fault);
    }
    for wrong in ["second_seat_nick.left", "hose_kinked.top", "hose_kinked."] {
        assert!(Fault::find(wrong).is_err(), "{wrong}");
    }
}

/// Every parameter of a stage that has a sign has the right one.
fn stage_problem(s: &Stage) -> Option<&'static str> {
    let positive = [
        s.area_m2,
        s.mass_kg,
        s.bristle_n_per_m,
        s.lever_ratio,
        s.bore_m,
        s.discharge,
        s.touch_rise_m,
        s.seat_n_per_m,
        s.chamber_m3,
        s.case_m3,
        s.stop_n_per_m,
        s.rubber_rate_n_per_m(233.0),
        // Water may never fill the spring case.
        s.case_m3 - s.water_m * s.area_m2,
    ];
    let not_negative = [
        s.preload_n,
        s.spring_n_per_m,
        s.rubber_n_per_m,
        s.damping_n_s_per_m,
        s.friction_n,
        s.seal_leak_m2,
        s.seal_force_n,
        s.seal_channel_m2,
        s.held_lift_m,
        s.tear_m2,
        s.water_m,
        s.vent.area_m2,
        s.vent.flap_m2,
        s.vent.water_seal_pa,
        s.static_ratio - 1.0,
    ];
    let shares = [s.vent.open, s.vent.freezing_share];
    if !positive.iter().all(|v| v.is_finite() && *v > 0.0) {
        return Some("a size is not positive");
    }
    if !not_negative.iter().all(|v| v.is_finite() && *v >= 0.0) {
        return Some("a strength is negative");
    }
    if !shares.iter().all(|v| (0.0..=1.0).contains(v)) {
        return Some("a share is outside 0 to 1");
    }
    let relief_ok = s
        .relief
        .is_none_or(|r| r.preload_n >= 0.0 && r.spring_n_per_m > 0.0 && r.weep_m2 >= 0.0);
    (!relief_ok).then_some("the relief is not physical")
}

fn rig_problem(rig: &Rig) -> Option<&'static str> {
    let sizes = [rig.piping.main.bore_m, rig.piping.main.minor_loss];
    if !sizes.iter().all(|v| v.is_finite() && *v > 0.0) {
        return Some("a passage of the piping is not positive");
    }
    for c in &rig.containers {
        let sizes = [
            c.supply.valve_m2,
            c.supply.excess_trip_kg_per_s,
            c.supply.excess_bleed_m2,
            c.supply.pigtail_bore_m,
            c.supply.pigtail_minor_loss,
        ];
        if !sizes.iter().all(|v| v.is_finite() && *v > 0.0) {
            return Some("a passage of a supply is not positive");
        }
        if !(c.wall_w_per_m2_k > 0.0 && (0.0..1.0).contains(&c.liquid_share)) {
            return Some("a container is not physical");
        }
    }
    for a in &rig.appliances {
        if !(a.spud_m2 > 0.0 && a.valve_m2 > 0.0 && a.valve_leak_m2 >= 0.0 && a.valve_s > 0.0) {
            return Some("an appliance is not physical");
        }
    }
    stage_problem(&rig.first).or_else(|| stage_problem(&rig.second))
}

proptest! {
    #[test]
    fn any_pair_of_faults_leaves_a_physical_rig(
        i in any::<prop::sample::Index>(), j in any::<prop::sample::Index>(), a in 0.0..=1.0_f64, b in 0.0..=1.0_f64,
    ) {
        let (mut rig, healthy) = (rig(), rig());
        let all: Vec<Fault> = Fault::all_in(&healthy).collect();
        let (i, j) = (i.get(&all), j.get(&all));
        i.apply(&mut rig, a);
        j.apply(&mut rig, b);
        prop_assert_eq!(rig_problem(&rig), None, "{} and {}", i, j);
        let mut state = at_rest(&healthy);
        for (fault, s) in [(i, a), (j, b)] {
            fault.arrive(&healthy, &mut state, 0.0, s);
        }
        let finite = state.containers.iter().all(|c| {
            c.temperature_k > 150.0 && c.moles.iter().all(|n| n.is_finite() && *n >= 0.0)
        });
        prop_assert!(finite, "{} and {}", i, j);
    }
}

/// What hurts people when a page has it wrong.
#[test]
fn no_page_gives_dangerous_advice() {
    for e in ALL.iter() {
        let all = [e.words, e.told_apart, e.caution, &e.page().all_advice()].join(" ");
        for (wrong, right) in [
            (
                "80 % of its water capacity",
                "fill is by volume; by weight some 42 %",
            ),
            ("replace the part", "a regulator is replaced whole"),
            ("straighten it", "a kinked hose is replaced"),
        ] {
            assert!(!all.to_lowercase().contains(wrong), "{}: {right}", e.id);
        }
        // What is inside the regulator is never mended part by part.
        let inside = matches!(
            e.family,
            super::Family::Seat
                | super::Family::Diaphragm
                | super::Family::Lever
                | super::Family::Relief
        );
        if inside {
            let right: Vec<_> = e.puts_right().collect();
            assert_eq!(right, [Remedy::Replace], "{}", e.id);
        }
    }
}

/// A fault that is there or is not does at a third what it does whole, and every other one does less.
#[test]
fn what_is_whole_has_nothing_between() {
    let rig = rig();
    for entry in ALL.iter() {
        let at = |severity: f64| {
            let mut rig = rig.clone();
            Fault::named(entry.id)
                .expect("in the catalogue")
                .apply(&mut rig, severity);
            rig
        };
        if entry.strikes.is_some() || at(1.0) == rig || entry.arrive.is_some() {
            // It strikes a side, or changes what is in the rig, by degrees.
            assert!(!entry.whole, "{}", entry.id);
            continue;
        }
        assert_eq!(entry.whole, at(0.3) == at(1.0), "{}", entry.id);
    }
}

/// A fault of one appliance strikes the one that is named, and only one that has the part.
#[test]
fn the_appliance_of_a_fault_can_be_named() {
    let rig = rig();
    let fault = |name: &str| Fault::find(name);
    let sensor = fault("flame_sensor_dead").expect("a fault");
    let can = sensor.burners(&rig);
    assert!(can.len() > 1, "furnace and refrigerator are lit by spark");
    assert_eq!(sensor.strikes_appliance(&rig), Some(can[0]));
    let named = fault(&format!("flame_sensor_dead.{}", can[1] + 1)).expect("right");
    assert_eq!(named, sensor.at_burner(can[1]));
    assert_eq!(Fault::named(&named.to_string()), Some(named));
    let mut struck = rig.clone();
    named.apply(&mut struck, 1.0);
    for (i, (was, is)) in rig.appliances.iter().zip(&struck.appliances).enumerate() {
        assert_eq!(was != is, i == can[1], "{}", was.name);
    }
    // The cooktop has none; the first is the one that is meant where none is named.
    let lacks = (0..rig.appliances.len())
        .find(|i| !can.contains(i))
        .expect("one without");
    assert!(!sensor.at_burner(lacks).acts_on(&rig));
    assert_eq!(sensor.at_burner(can[0]).settled(&rig, 0), sensor);
    assert_eq!(named.settled(&rig, 0), named);
    assert!(sensor.names(named) && !named.names(sensor));
    for wrong in [
        "flame_sensor_dead.0",
        "flame_sensor_dead.01",
        "flame_sensor_dead.left",
        "flame_sensor_dead.",
    ] {
        assert!(fault(wrong).is_err(), "{wrong}");
    }
    assert!(fault("second_vent_blocked.1").is_err());
}

/// One danger has one sentence: where a page says that gas comes out of a vent or that a leak check fails, the caution is
/// what is said of escaping gas everywhere.
#[test]
fn escaping_gas_has_one_caution() {
    use super::caution::{AT_THE_VENT, SMELL};
    use super::trade::{Figure, Way};
    let mut said = 0;
    for e in ALL.iter() {
        let tells = |figures: &[Figure]| {
            e.page()
                .claims
                .iter()
                .any(|c| c.versus.is_none() && c.way == Way::Higher && figures.contains(&c.figure))
        };
        if tells(&[
            Figure::FirstVent,
            Figure::SecondVent,
            Figure::SecondVentFlowing,
        ]) {
            assert_eq!(e.caution, AT_THE_VENT, "{}", e.id);
            said += 1;
        } else if tells(&[Figure::LeakCheck]) {
            assert_eq!(e.caution, SMELL, "{}", e.id);
            said += 1;
        }
    }
    assert!(said >= 10, "only {said}");
    for caution in [AT_THE_VENT, SMELL] {
        for word in ["no switch", "no flame", "shut the container"] {
            assert!(caution.contains(word), "{caution}");
        }
    }
}
