//! Every threshold of the eye, both sides, on readings and rigs made for it.

use super::*;
use crate::fault::Fault;
use crate::rig::{Kind, Site, presets};
use crate::scenario::Scenario;
use crate::service::TOLERANCE;
use crate::solver::Method;
use crate::visit::prepare;
use std::sync::Arc;

const ALL: [Kind; 5] = [
    Kind::Furnace,
    Kind::WaterHeater,
    Kind::Cooktop,
    Kind::Refrigerator,
    Kind::OnDemandHeater,
];

fn rig() -> Rig {
    Rig::standard(
        vec![presets::container("30 lb cylinder").expect("a preset")],
        ALL.map(presets::appliance).to_vec(),
    )
}

/// Every burner of the rig at a share of its plate.
fn burning(plates: &[Appliance], shares: &[f64]) -> Readings {
    let mut r = Readings {
        appliance_count: shares.len(),
        ..Readings::default()
    };
    for (i, share) in shares.iter().enumerate() {
        r.appliances[i].phase = Phase::Burning;
        r.appliances[i].flame = Flame::Normal;
        r.appliances[i].heat_w = share * plates[i].input_w;
    }
    r
}

#[test]
fn one_that_stands_out_by_a_quarter_is_the_odd_one() {
    let plates = rig().appliances;
    let odd = |shares: &[f64]| Lighting::default().odd_one(&burning(&plates, shares), &plates);
    for (shares, word) in [
        ([1.0, 1.0, 1.0, 1.0, 1.0], 0),
        ([0.76, 1.0, 1.0, 1.0, 1.0], 0),
        ([1.0, 0.74, 1.0, 1.0, 1.0], 1),
        // The next to it has to stand with the rest.
        ([0.74, 0.84, 1.0, 1.0, 1.0], 0),
        ([0.74, 0.86, 1.0, 1.0, 1.0], 1),
        ([1.0, 1.0, 1.24, 1.0, 1.0], 0),
        ([1.0, 1.0, 1.0, 1.26, 1.0], 2),
        ([1.0, 1.0, 1.16, 1.0, 1.26], 0),
        ([1.0, 1.0, 1.14, 1.0, 1.26], 2),
        // All low together is not one that is small.
        ([0.5, 0.5, 0.5, 0.5, 0.5], 0),
        // Against its own plate's neighbours: shares, not heats.
        ([0.7, 0.7, 0.7, 0.7, 0.5], 1),
    ] {
        assert_eq!(odd(&shares), word, "{shares:?}");
    }
    // The number itself is not off by a quarter, nor next to the rest; by plates of one watt a share is a number.
    let mut even = plates.clone();
    even.iter_mut().for_each(|plate| plate.input_w = 1.0);
    for (shares, word) in [
        ([0.75, 1.0, 1.0, 1.0, 1.0], 0),
        ([0.74, 0.85, 1.0, 1.0, 1.0], 0),
        ([1.0, 1.0, 1.0, 1.0, 1.25], 0),
        ([1.0, 1.0, 1.0, 1.15, 1.26], 0),
    ] {
        let r = burning(&even, &shares);
        assert_eq!(Lighting::default().odd_one(&r, &even), word, "{shares:?}");
    }
    // Of two the plate says which is odd.
    assert_eq!(odd(&[0.5, 1.0]), 1);
    assert_eq!(odd(&[1.0, 1.3]), 2);
    assert_eq!(odd(&[0.7, 0.7]), 0);
    assert_eq!(odd(&[0.5, 1.0, 1.0]), 1);
}

/// A burner that its thermostat keeps off is as it should be; of two, one that is out is told by the other.
#[test]
fn what_is_satisfied_is_not_odd() {
    let plates = rig().appliances;
    for (phase, word) in [(Phase::Satisfied, 0), (Phase::Waiting, 4)] {
        let mut r = burning(&plates, &[1.0; 5]);
        let furnace = r.appliances.iter().zip(&plates);
        let i = furnace
            .take(5)
            .position(|(_, plate)| !matches!(plate.ignition, Ignition::Pilot { .. }));
        let i = i.expect("a spark");
        r.appliances[i].phase = phase;
        let mut lighting = Lighting::default();
        lighting.burned[i] = true;
        assert_eq!(lighting.odd_one(&r, &plates), word, "{phase:?}");
    }
}

#[test]
fn one_that_is_out_is_told_by_how_it_is_lit_and_whether_it_burned() {
    let plates = rig().appliances;
    let pilot = |i: &usize| matches!(plates[*i].ignition, Ignition::Pilot { .. });
    let places = 0..plates.len();
    let with_pilot = places.clone().find(pilot);
    let without = places.clone().find(|i| !pilot(i)).expect("a spark");
    let out = |which: &[usize], burned: bool| {
        let mut r = burning(&plates, &[1.0; 5]);
        let mut lighting = Lighting::default();
        if burned {
            lighting.look(&r, &plates);
        }
        for &i in which {
            r.appliances[i].phase = Phase::LockedOut;
            r.appliances[i].flame = Flame::Out;
        }
        lighting.odd_one(&r, &plates)
    };
    assert_eq!(out(&[without], false), 3);
    assert_eq!(out(&[without], true), 4);
    if let Some(i) = with_pilot {
        assert_eq!(out(&[i], true), 5);
        assert_eq!(out(&[i], false), 5);
    }
    // Two of five are still the odd ones, three of five are the rule.
    let rest: Vec<usize> = places.filter(|&i| i != without).collect();
    assert_eq!(out(&[without, rest[3]], false), 3);
    assert_eq!(out(&[without, rest[2], rest[3]], false), 0);
}

#[test]
fn most_flames_speak_for_all_and_one_that_surges_over_them() {
    use Flame::{Hard, Lifting, Low, Normal, Out};
    let plates = rig().appliances;
    let of = |flames: [Flame; 5], on: usize| {
        let mut r = burning(&plates, &[1.0; 5]);
        for (i, flame) in flames.into_iter().enumerate() {
            r.appliances[i].flame = flame;
            if i >= on {
                r.appliances[i].phase = Phase::Off;
            }
        }
        r
    };
    for (seen, word) in [
        ([Normal; 5], 0),
        ([Low; 5], 1),
        ([Hard; 5], 2),
        ([Lifting; 5], 3),
        ([Out; 5], 4),
        ([Low, Low, Low, Normal, Normal], 1),
        ([Lifting, Normal, Normal, Lifting, Lifting], 3),
        // As many of one as of another: the one nearer to normal.
        ([Normal, Normal, Low, Low, Hard], 0),
    ] {
        assert_eq!(flames(&of(seen, 5)), word, "{seen:?}");
    }
    // One that is off has no voice.
    assert_eq!(flames(&of([Low, Low, Normal, Normal, Normal], 3)), 1);
    let mut r = of([Normal; 5], 5);
    r.appliances[3].surges = true;
    assert_eq!(flames(&r), 5);
}

#[test]
fn a_valve_that_opens_slowly_is_seen_to_be_late() {
    let plates = rig().appliances;
    let slow_s = plates[1].valve_s + LATE.1;
    let seen = |times: &[(f64, f64)]| {
        let mut lighting = Lighting::default();
        for &(time_s, open) in times {
            let mut r = burning(&plates, &[1.0; 2]);
            r.time_s = time_s;
            (r.appliances[0].valve_open, r.appliances[1].valve_open) = (0.0, open);
            lighting.look(&r, &plates);
        }
        (lighting.was_seen(), lighting.late)
    };
    assert_eq!(seen(&[(0.0, 0.0)]), (false, false));
    assert_eq!(seen(&[(5.0, 0.1), (5.5, 1.0)]), (true, false));
    let late = 5.0 + slow_s;
    assert_eq!(seen(&[(5.0, 0.1), (late + 0.01, 0.79)]), (true, true));
    assert_eq!(seen(&[(5.0, 0.1), (late - 0.01, 0.79)]), (true, false));
    assert_eq!(seen(&[(5.0, 0.1), (late + 0.01, 0.81)]), (true, false));
    // On its way down it is half open, too; and shut, it begins anew.
    assert_eq!(seen(&[(5.0, 1.0), (late + 9.0, 0.5)]), (true, false));
    let again = [(5.0, 1.0), (6.0, 0.0), (late + 9.0, 0.1), (late + 9.2, 0.5)];
    assert_eq!(seen(&again), (true, false));
}

fn scenario() -> Scenario {
    Scenario::at_rest("eyes", rig(), Site::calm(294.0, 0.0), 0.6, 294.0)
}

fn started(mut scenario: Scenario) -> Simulation {
    scenario.run.settle_s = 0.0;
    Simulation::start(Arc::new(scenario), Method::Stiff, TOLERANCE).expect("starts")
}

fn standing(change: impl FnOnce(&mut Scenario)) -> Simulation {
    let mut scenario = scenario();
    change(&mut scenario);
    started(scenario)
}

#[test]
fn the_vent_looks_as_what_bars_it() {
    let healthy = standing(|_| {});
    let looks = |case_k: f64, vent_share: f64| {
        let mut r = healthy.readings();
        r.case_k = case_k;
        r.second.vent_open *= vent_share;
        vent_looks(&healthy, &r)
    };
    assert_eq!(looks(294.0, 1.0), 0);
    assert_eq!((looks(270.0, 0.51), looks(270.0, 0.5)), (0, 0));
    assert_eq!(looks(270.0, 0.49), 2);
    let with = |change: &dyn Fn(&mut Rig)| {
        let sim = standing(|s| change(&mut s.rig));
        let r = sim.readings();
        vent_looks(&sim, &r)
    };
    assert_eq!(with(&|r| r.second.vent.open = 0.51), 0);
    assert_eq!(with(&|r| r.second.vent.open = 0.49), 1);
    assert_eq!(with(&|r| r.second.water_m = 1e-3), 0);
    assert_eq!(with(&|r| r.second.water_m = 1.1e-3), 3);
    // Frozen it is ice, not water.
    let frozen = standing(|s| s.rig.second.water_m = 5e-3);
    let mut r = frozen.readings();
    r.case_k = WATER_FREEZING_K - 1.0;
    r.second.vent_open = 0.0;
    assert_eq!(vent_looks(&frozen, &r), 2);
}

/// Green while the service side feeds, red where the reserve does, and between the two a part of it.
#[test]
fn the_indicator_shows_green_red_or_some_of_both() {
    let of = |containers: usize, red: f64| {
        let sim = standing(|s| {
            let one = s.rig.containers[0];
            s.rig = Rig::standard(vec![one; containers], ALL.map(presets::appliance).to_vec());
        });
        let r = Readings {
            indicator_red: red,
            ..sim.readings()
        };
        crate::visit::item::INDICATOR[indicator(&sim, &r)]
    };
    assert_eq!(of(1, 1.0), "none there");
    for (red, word) in [
        (0.0, "green"),
        (0.01, "partly red"),
        (0.99, "partly red"),
        (1.0, "red"),
    ] {
        assert_eq!(of(2, red), word, "{red}");
    }
}

#[test]
fn half_of_the_load_and_the_smallest_burner_are_found() {
    let mut rig = rig();
    for (a, input_w) in rig.appliances.iter_mut().zip([3e3, 9e3, 2e3, 1e3, 5e3]) {
        a.input_w = input_w;
    }
    let half: f64 = half_load(&rig)
        .into_iter()
        .map(|i| rig.appliances[i].input_w)
        .sum();
    assert_eq!(half, 10e3);
    assert_eq!(smallest(&rig), 3);
    rig.appliances.truncate(1);
    assert_eq!((half_load(&rig), smallest(&rig)), (vec![0], 0));
}

#[test]
fn a_kink_and_a_valve_that_hardly_opens_are_seen() {
    // What is seen of a fault at each twentieth of its severity and where a kink just is none, and how far the rig's own number
    // is off.
    let seen = |fault: &str, id: Id, share: &dyn Fn(&Rig) -> f64| -> Vec<(usize, f64)> {
        let fault = Fault::named(fault).expect("in the catalogue");
        let healthy = share(&rig());
        let each = |severity: f64| {
            let faulty = prepare(&scenario(), &[(fault, severity)]);
            let mut sim = started(faulty);
            // A fault comes within a second.
            sim.advance(2.0, None, &mut |_| ()).expect("runs");
            let eyes = look_round(&sim, &Lighting::default());
            let word = eyes.iter().find(|(i, _)| *i == id).map(|(_, word)| *word);
            (word.expect("looked at"), share(sim.rig()) / healthy)
        };
        let twentieths = (1..=20).map(|n| 0.05 * f64::from(n));
        twentieths.chain([0.14]).map(each).collect()
    };
    let both = |all: &[(usize, f64)]| all.iter().any(|s| s.0 == 0) && all.iter().any(|s| s.0 == 1);
    let kinks = seen("hose_kinked", Id::Hose, &|r| {
        r.containers[0].supply.pigtail_minor_loss
    });
    assert!(both(&kinks), "{kinks:?}");
    for (word, times) in kinks {
        assert_eq!(word == 1, times > 10.0, "{times}");
    }
    let valves = seen("service_valve_part_open", Id::Valve, &|r| {
        r.containers[0].supply.valve_m2
    });
    assert!(both(&valves), "{valves:?}");
    for (word, times) in valves {
        assert_eq!(word == 1, times < 0.5, "{times}");
    }
}

#[test]
fn a_sound_has_its_place_in_the_list() {
    for (sound, word) in [
        (Sound::Quiet, "quiet"),
        (Sound::Hiss, "hiss"),
        (Sound::Roar, "roar"),
        (Sound::Hum { frequency_hz: 40.0 }, "hum"),
    ] {
        assert_eq!(crate::visit::item::SOUND[sound_index(sound)], word);
    }
}
