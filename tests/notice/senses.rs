//! Thresholds of sight and hearing, both sides of each.

use super::house::{House, kelvin, rig};
use twostage::drill::attempt::evidence::{Stand, stand};
use twostage::rig::{Flame, Kind, Phase, Readings};
use twostage::scenario::Action;
use twostage::service::{Sound, flame_seen, frost_seen};
use twostage::visit::{Bench, Id, Looks, Test, TestResult, burners, half_load, run};

#[test]
fn a_hiss_is_heard_from_a_tenth_of_a_gram_and_a_roar_from_a_gram() {
    // Propane vapour near ambient: 1.86 kg/m³.
    let at = |grams: f64, share: f64| {
        let mut r = Readings::default();
        r.first.vent_m3_per_s = share * grams * 1e-3 / 1.86;
        r.second.vent_m3_per_s = (1.0 - share) * grams * 1e-3 / 1.86;
        Sound::of_vents(&r)
    };
    for share in [0.0, 0.4, 1.0] {
        assert_eq!(at(0.0999, share), Sound::Quiet);
        assert_eq!(at(0.1001, share), Sound::Hiss);
        assert_eq!(at(0.999, share), Sound::Hiss);
        assert_eq!(at(1.001, share), Sound::Roar);
    }
    // The number itself is still the lesser of the two.
    assert_eq!((at(0.1, 1.0), at(1.0, 0.0)), (Sound::Quiet, Sound::Hiss));
    // Air drawn in at one vent takes nothing from what is heard at the other.
    assert_eq!(at(0.2, 2.0), Sound::Hiss);
    assert_eq!(at(-5.0, 0.5), Sound::Quiet);
}

#[test]
fn frost_is_seen_where_it_is() {
    let mut r = Readings {
        air_k: kelvin(50.0),
        container_count: 1,
        ..Readings::default()
    };
    let place = |r: &mut Readings, body_f: f64, wall_f: f64, fill: f64| {
        r.body_k = kelvin(body_f);
        r.containers[0].temperature_k = kelvin(wall_f);
        r.containers[0].fill = fill;
        let seen = frost_seen(r);
        (seen.body, seen.container)
    };
    assert_eq!(place(&mut r, 40.0, 40.0, 0.5), (false, false));
    assert_eq!(place(&mut r, 10.0, 40.0, 0.5), (true, false));
    assert_eq!(place(&mut r, 40.0, 10.0, 0.5), (false, true));
    assert_eq!(place(&mut r, 10.0, 10.0, 0.5), (true, true));
    assert_eq!(
        place(&mut r, 40.0, 10.0, 0.0),
        (false, false),
        "an empty container wets no wall"
    );
    assert!(!place(&mut r, 32.5, 40.0, 0.5).0 && !place(&mut r, 40.0, 32.5, 0.5).1);
}

fn lit(kinds: &[Kind], change: impl FnOnce(&mut twostage::rig::Rig)) -> House {
    let mut rig = rig("30 lb cylinder", kinds);
    for a in &mut rig.appliances {
        a.thermal = None;
    }
    change(&mut rig);
    let count = rig.appliances.len();
    let mut house = House::start(rig, 100.0, kelvin(60.0));
    house.switch(0..count, true).wait(60.0);
    house
}

fn look(house: &mut House) -> TestResult {
    run(&mut Bench::on(&mut house.sim), Test::Look).expect("a look")
}

/// A flame a quarter off its neighbours is seen, one a fifth off is not.
#[test]
fn one_flame_stands_out_by_a_quarter() {
    let normal = Looks::Flame(Flame::Normal);
    for (scale, odd, looks) in [
        (1.0, 0.0, normal),
        (0.77, 0.0, normal),
        (0.73, 1.0, Looks::Small),
        (1.23, 0.0, normal),
        (1.27, 2.0, Looks::Large),
    ] {
        let mut house = lit(&[Kind::Cooktop; 4], |rig| {
            // Spud and valve together pass so much of the rating.
            rig.appliances[1].spud_m2 *= scale;
            rig.appliances[1].valve_m2 *= scale;
        });
        let share = house.read().appliances[1].heat_w / house.read().appliances[0].heat_w;
        assert!((share - scale).abs() < 0.012, "{share} of its neighbours");
        assert_eq!(burners(&house.sim)[1].looks, looks, "{scale}");
        assert!(!flame_seen(&house.read(), 0).surging);
        // What the plate says stays: the scenario's rig is the one with the wrong spud too.
        let seen = look(&mut house);
        assert_eq!(seen.read(Id::OddOne), Some(odd), "{scale}");
        assert_eq!(seen.read(Id::Flames), Some(0.0));
    }
}

/// Of two flames the plate says which is the odd one, while the other is about as it should be.
#[test]
fn of_two_flames_the_plate_says_which_is_odd() {
    let with = |times: [f64; 2]| {
        lit(&[Kind::Cooktop; 2], |rig| {
            for (a, times) in rig.appliances.iter_mut().zip(times) {
                a.spud_m2 *= times;
                a.valve_m2 *= times;
            }
        })
    };
    let mut house = with([0.7, 1.0]);
    let share = house.read().appliances[0].heat_w / house.read().appliances[1].heat_w;
    assert!(share < 0.73, "{share}");
    let looks =
        |house: &House| -> Vec<Looks> { burners(&house.sim).iter().map(|b| b.looks).collect() };
    let normal = Looks::Flame(Flame::Normal);
    assert_eq!(looks(&house), [Looks::Small, normal]);
    assert_eq!(look(&mut house).read(Id::OddOne), Some(1.0));
    // Both off alike is for the pressure to say.
    let mut house = with([0.7, 0.7]);
    assert_eq!(looks(&house), [normal; 2]);
    assert_eq!(look(&mut house).read(Id::OddOne), Some(0.0));
}

#[test]
fn what_is_out_is_counted() {
    let mut house = lit(&[Kind::Cooktop, Kind::Grill, Kind::Cooktop], |rig| {
        rig.appliances[0].igniter_works = false;
    });
    // A person who could not light it has shut it.
    assert_eq!(burners(&house.sim)[0].looks, Looks::Controls(Phase::Off));
    house.switch([0], true).wait(2.0);
    assert_eq!(burners(&house.sim)[0].looks, Looks::Controls(Phase::Trial));
    assert_eq!(look(&mut house).unlit, [0]);
    // Two of three out are no odd one.
    let mut house = lit(
        &[Kind::Furnace, Kind::OnDemandHeater, Kind::Cooktop],
        |rig| rig.appliances[0].igniter_works = false,
    );
    assert_eq!(look(&mut house).read(Id::OddOne), Some(3.0));
    let mut house = lit(
        &[Kind::Furnace, Kind::OnDemandHeater, Kind::Cooktop],
        |rig| {
            rig.appliances[0].igniter_works = false;
            rig.appliances[1].igniter_works = false;
        },
    );
    let seen = look(&mut house);
    assert_eq!((seen.read(Id::OddOne), seen.unlit), (Some(0.0), vec![0, 1]));
}

#[test]
fn half_a_load_is_the_set_nearest_to_half() {
    let of = |kinds: &[Kind]| half_load(&rig("30 lb cylinder", kinds));
    let one = |kind: Kind| rig("30 lb cylinder", &[kind]).appliances[0].input_w;
    for kinds in [
        &[
            Kind::Furnace,
            Kind::WaterHeater,
            Kind::Cooktop,
            Kind::OnDemandHeater,
        ][..],
        &[Kind::Furnace, Kind::Cooktop],
        &[Kind::Cooktop, Kind::Oven, Kind::Grill],
    ] {
        let all: Vec<f64> = kinds.iter().map(|k| one(*k)).collect();
        let half = 0.5 * all.iter().sum::<f64>();
        let off = |set: &[usize]| (set.iter().map(|i| all[*i]).sum::<f64>() - half).abs();
        let chosen = of(kinds);
        for set in 1..1_u32 << all.len() {
            let other: Vec<usize> = (0..all.len()).filter(|i| set >> i & 1 == 1).collect();
            assert!(
                off(&chosen) <= off(&other) + 1e-6,
                "{kinds:?}: {chosen:?}, {other:?} is nearer"
            );
        }
    }
    assert_eq!(of(&[Kind::Grill]), [0]);
}

/// A reading counts when burners and valves have been left alone for 20 s, at rest for 40, with a load for 15 min at most.
#[test]
fn a_state_stands_after_twenty_seconds() {
    let mut house = lit(&[Kind::Cooktop, Kind::Grill], |_| {});
    let at = |house: &House, still_s: f64| stand(&house.sim, still_s);
    assert_eq!(
        (at(&house, 19.9), at(&house, 20.1)),
        (None, Some(Stand::Full))
    );
    assert_eq!(
        (at(&house, 899.0), at(&house, 901.0)),
        (Some(Stand::Full), None)
    );
    house.switch([1], false).wait(1.0);
    let half = half_load(house.sim.rig());
    assert_eq!(at(&house, 30.0), (half == [0]).then_some(Stand::Half));
    house.switch([0], false).wait(1.0);
    house.switch([1], true).wait(8.0);
    assert_eq!(at(&house, 30.0), (half == [1]).then_some(Stand::Half));
    house.all_off().wait(1.0);
    assert_eq!(
        (at(&house, 39.9), at(&house, 40.1)),
        (None, Some(Stand::Rest))
    );
    assert_eq!(at(&house, 5000.0), Some(Stand::Rest));
    for (open, stands) in [(0.95, true), (0.85, false)] {
        house.sim.act(&Action::Valve {
            container: 0,
            open,
            over_s: 0.0,
        });
        house.wait(1.0);
        assert_eq!(at(&house, 100.0).is_some(), stands, "valve {open} open");
    }
}
