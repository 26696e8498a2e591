//! Appliances that drop out: each kind by its own law, with nothing changed but pressures, passages and times.

use crate::house::{BTU_PER_H_W, House, INWC_PA, kelvin, rig};
use crate::{AIR_F, CONTAINER_PSIG, within};
use twostage::rig::{Flame, Ignition, Kind, Phase, Rig};
use twostage::scenario::Action;

/// A house whose burners burn when asked.
fn house(kinds: &[Kind], change: impl FnOnce(&mut Rig)) -> House {
    let mut rig = rig("30 lb cylinder", kinds);
    for a in &mut rig.appliances {
        a.thermal = None;
    }
    change(&mut rig);
    House::start(rig, CONTAINER_PSIG, kelvin(AIR_F))
}

/// How often a mark with these words was made.
fn said(house: &House, words: &str) -> usize {
    let marks = house.sim.marks().iter();
    marks
        .filter(|m| twostage::report::record::mark(m, house.sim.rig()).contains(words))
        .count()
}

/// Pressure at an appliance's inlet \[in w.c.\].
fn inlet(house: &House, appliance: usize) -> f64 {
    house.read().appliances[appliance].inlet_pa / INWC_PA
}

fn phase(house: &House, appliance: usize) -> Phase {
    house.read().appliances[appliance].phase
}

/// A line that is too small for two: each appliance by itself burns, the furnace goes out when the other comes on, tries
/// again while it runs, and locks out.
#[test]
fn the_furnace_goes_out_when_the_water_heater_runs() {
    let narrow = |rig: &mut Rig| {
        rig.piping.main.bore_m *= 0.385;
        rig.appliances[1].set_rating(12_000.0 * BTU_PER_H_W, 11.0 * INWC_PA);
    };
    let mut house = house(&[Kind::Furnace, Kind::WaterHeater], narrow);
    house.switch([0], true).wait(120.0);
    assert_eq!(phase(&house, 0), Phase::Burning);
    within("furnace alone, inlet", inlet(&house, 0), 7.0, 8.5);
    house.switch([1], true).wait(10.0);
    assert_eq!(said(&house, "furnace flame no longer sensed"), 1);
    assert_eq!(phase(&house, 1), Phase::Burning);
    house.wait(300.0);
    assert_eq!(phase(&house, 0), Phase::LockedOut);
    assert_eq!(said(&house, "furnace locked out"), 1);
    // A technician who resets it with the other off finds nothing wrong.
    house.switch([1], false).wait(10.0);
    house.sim.act(&Action::Reset { appliance: 0 });
    house.wait(60.0);
    assert_eq!(phase(&house, 0), Phase::Burning);
}

/// The same by a first stage clogged: the second stage hides it until it can no longer.
#[test]
fn a_clogged_first_stage_drops_a_burner_only_with_a_second_load() {
    let narrow = |rig: &mut Rig| rig.first.discharge *= 0.05;
    let mut house = house(&[Kind::Furnace, Kind::OnDemandHeater], narrow);
    house.switch([0], true).wait(120.0);
    let alone = inlet(&house, 0);
    within("furnace alone, inlet", alone, 10.0, 11.5);
    house.switch([1], true).wait(300.0);
    assert!(said(&house, "no longer sensed") >= 1);
    let out = [0, 1].map(|i| phase(&house, i)).contains(&Phase::LockedOut);
    assert!(out, "one of the two has to give up");
}

/// A manifold that is starved and fed in turn by a crushed line; what stands in it feeds the burner for half a second.
fn dips(house: &mut House, count: usize, low_s: f64, high_s: f64) {
    for _ in 0..count {
        house.inject("line_crushed", 1.0).wait(low_s);
        house.clear("line_crushed").wait(high_s);
    }
}

#[test]
fn several_dips_within_the_sense_time_do_not_lock_out_and_one_longer_does() {
    let mut house = house(&[Kind::Furnace], |_| {});
    house.switch([0], true).wait(60.0);
    dips(&mut house, 8, 0.9, 1.0);
    assert_eq!(phase(&house, 0), Phase::Burning);
    assert_eq!(said(&house, "no longer sensed"), 0);
    dips(&mut house, 1, 3.0, 0.5);
    assert_eq!(said(&house, "no longer sensed"), 1);
    assert_eq!(phase(&house, 0), Phase::Waiting);
    house.wait(60.0);
    assert_eq!(
        phase(&house, 0),
        Phase::Burning,
        "it lights again by itself"
    );
}

#[test]
fn flames_lost_in_one_call_count_as_tries() {
    let mut house = house(&[Kind::Furnace], |_| {});
    house.switch([0], true).wait(60.0);
    for lost in 1..=3 {
        assert_eq!(phase(&house, 0), Phase::Burning, "before loss {lost}");
        dips(&mut house, 1, 3.0, 60.0);
    }
    assert_eq!(phase(&house, 0), Phase::LockedOut);
}

/// Hysteresis: at a pressure between losing and lighting a burning flame stays, and one that is lit anew is not proved.
#[test]
fn between_losing_and_lighting_a_burning_flame_stays_and_a_new_one_is_not_proved() {
    let mut house = house(&[Kind::Furnace], |_| {});
    house.switch([0], true).wait(60.0);
    let mut turns = 0.0;
    while inlet(&house, 0) > 6.5 {
        house.sim.act(&Action::TurnScrew {
            stage: twostage::scenario::WhichStage::Second,
            turns: -0.2,
        });
        turns += 0.2;
        house.wait(5.0);
        assert!(turns < 20.0, "the screw takes the pressure down");
    }
    house.wait(600.0);
    assert_eq!(phase(&house, 0), Phase::Burning);
    assert_eq!(house.read().appliances[0].flame, Flame::Low);
    house.sim.act(&Action::Reset { appliance: 0 });
    house.wait(300.0);
    assert_eq!(phase(&house, 0), Phase::LockedOut);
    assert!(house.sim.work().events < 200, "no chatter");
}

#[test]
fn a_pilot_outlives_a_dip_of_half_a_minute_and_not_one_of_a_minute() {
    let mut house = house(&[Kind::WaterHeater], |_| {});
    house.switch([0], true).wait(60.0);
    assert!(house.read().appliances[0].pilot_lit);
    // Above the flame's own limit, under what heats the thermocouple.
    let dip = |house: &mut House, seconds: f64| {
        house.inject("second_spring_broken", 0.48).wait(8.0);
        within("inlet", inlet(house, 0), 1.4, 1.95);
        house.wait(seconds).clear("second_spring_broken").wait(5.0);
    };
    dip(&mut house, 25.0);
    assert_eq!(phase(&house, 0), Phase::Burning);
    dip(&mut house, 60.0);
    assert_eq!(phase(&house, 0), Phase::LockedOut);
    assert!(!house.read().appliances[0].pilot_lit);
}

/// A burner lit by hand burns on at a pressure that has put a furnace out long ago, and nothing shuts its gas when it goes.
#[test]
fn a_cooktop_burns_on_at_two_inches_and_leaves_gas_open_when_it_goes() {
    let mut house = house(&[Kind::Cooktop], |_| {});
    house.switch([0], true).wait(30.0);
    house.inject("second_spring_broken", 0.46).wait(30.0);
    within("inlet", inlet(&house, 0), 1.4, 3.0);
    assert_eq!(house.read().appliances[0].flame, Flame::Low);
    house.inject("second_spring_broken", 0.95).wait(60.0);
    assert_eq!(phase(&house, 0), Phase::OpenUnlit);
}

/// A lever off its pin trips the excess-flow valve, and what its bleed lets by is much for one burner and little for four: the
/// page of the fault says how flames then look.
#[test]
fn behind_a_bleed_the_load_decides_how_flames_look() {
    let kinds = [
        Kind::Cooktop,
        Kind::Refrigerator,
        Kind::WaterHeater,
        Kind::Oven,
    ];
    for (lit, flame, from, to) in [
        (1, Flame::Lifting, 18.0, 30.0),
        (3, Flame::Normal, 9.5, 14.0),
        (4, Flame::Low, 3.0, 8.0),
    ] {
        let mut house = house(&kinds, |_| {});
        house.switch(0..lit, true).wait(60.0);
        house.inject("lever_off", 1.0).wait(30.0);
        assert!(house.read().containers[0].excess_flow_tripped, "{lit} lit");
        within("outlet", house.outlet(), from, to);
        assert_eq!(house.read().appliances[0].flame, flame, "{lit} lit");
    }
}

/// A sensor that fails while its burner burns shuts it, as one that has failed before.
#[test]
fn a_dirty_sensor_shuts_a_burning_furnace() {
    let mut house = house(&[Kind::Furnace], |_| {});
    house.switch([0], true).wait(60.0);
    house.inject("flame_sensor_dead", 1.0).wait(2.0);
    assert_eq!(phase(&house, 0), Phase::Waiting);
    house.wait(300.0);
    assert_eq!(phase(&house, 0), Phase::LockedOut);
}

/// The limits belong to the appliance: one that is content with less stays on.
#[test]
fn an_appliance_has_its_own_limits() {
    let mut house = house(&[Kind::Furnace, Kind::WaterHeater], |rig| {
        rig.piping.main.bore_m *= 0.51;
        rig.appliances[1].set_rating(42_000.0 * BTU_PER_H_W, 11.0 * INWC_PA);
        let furnace = &mut rig.appliances[0];
        (furnace.drop_out_pa, furnace.light_pa) = (2.0 * INWC_PA, 3.0 * INWC_PA);
        assert!(matches!(furnace.ignition, Ignition::Spark { .. }));
    });
    house.switch([0, 1], true).wait(300.0);
    assert_eq!(phase(&house, 0), Phase::Burning);
    assert_eq!(phase(&house, 1), Phase::Burning);
}
