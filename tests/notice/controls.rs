//! Times of controls and limits of flames, run through the controls themselves without any gas: a container that is shut,
//! an igniter that is dead, a clock that goes from one deadline to the next.

use super::books::standing;
use super::house::{BTU_PER_H_W, INWC_PA, rig};
use twostage::rig::events::{self, Happening};
use twostage::rig::{Appliance, Flame, Ignition, Kind, Modes, Phase, Rig, RigState, presets};

/// A rig at rest with one appliance, its container open or shut, and a clock.
struct Bench {
    rig: Rig,
    modes: Modes,
    state: RigState,
    t_s: f64,
}

impl Bench {
    fn new(kind: Kind, change: impl FnOnce(&mut Appliance)) -> Self {
        let mut rig = rig("20 lb cylinder", &[kind]);
        change(&mut rig.appliances[0]);
        let (modes, mut state) = standing(&rig);
        // What is heated is cold: the thermostat calls. What is cooled is warm.
        if let Some(load) = rig.appliances[0].thermal {
            state.thermal_k[0] = load.set_k - load.efficiency.signum() * 5.0 * load.band_k;
        }
        Self {
            rig,
            modes,
            state,
            t_s: 100.0,
        }
    }

    /// No gas comes: nothing can be lit.
    fn dead(kind: Kind) -> Self {
        Self::new(kind, |a| a.igniter_works = false)
    }

    fn on(mut self) -> Self {
        events::switch(&self.rig, &mut self.modes, &self.state, self.t_s, 0, true);
        self
    }

    fn phase(&self) -> Phase {
        self.modes.appliances[0].phase
    }

    /// Goes on until something is told, or the phase changes, and says after how long.
    fn next(&mut self) -> (f64, Phase, Vec<Happening>) {
        let (from_s, before) = (self.t_s, self.phase());
        for _ in 0..1000 {
            let Some(at_s) = self.modes.next_deadline_s(&self.rig, self.t_s) else {
                break;
            };
            self.t_s = at_s;
            let told = events::due(&self.rig, &mut self.modes, &self.state, at_s);
            if !told.is_empty() || self.phase() != before {
                return (at_s - from_s, self.phase(), told);
            }
        }
        (f64::INFINITY, self.phase(), Vec::new())
    }

    /// A state event by its place among the watches.
    fn fire(&mut self, index: usize) -> Vec<Happening> {
        events::fire(&self.rig, &mut self.modes, self.t_s, index)
    }
}

#[track_caller]
fn took(step: &(f64, Phase, Vec<Happening>), seconds: f64, phase: Phase, told: &[Happening]) {
    assert!(
        (step.0 - seconds).abs() < 1e-9,
        "{step:?}: not after {seconds} s"
    );
    assert_eq!(
        (step.1, step.2.as_slice()),
        (phase, told),
        "after {} s",
        step.0
    );
}

/// Purge, trial, pause and tries of each kind that sparks.
#[test]
fn a_spark_that_lights_nothing_locks_out_after_its_tries() {
    for (kind, purge_s) in [
        (Kind::Furnace, 15.0),
        (Kind::Refrigerator, 1.0),
        (Kind::OnDemandHeater, 1.0),
    ] {
        let mut b = Bench::dead(kind).on();
        assert_eq!(b.phase(), Phase::Purge, "{kind:?}");
        took(&b.next(), purge_s, Phase::Trial, &[]);
        for _ in 0..2 {
            took(&b.next(), 7.0, Phase::Waiting, &[Happening::TriesAgain(0)]);
            took(&b.next(), 20.0, Phase::Trial, &[]);
        }
        took(&b.next(), 7.0, Phase::LockedOut, &[Happening::LockedOut(0)]);
        assert_eq!(b.next().0, f64::INFINITY, "it stays so");
        // A person resets it: all its tries are there again.
        events::reset(&b.rig, &mut b.modes, &b.state, b.t_s, 0);
        assert_eq!((b.phase(), b.modes.appliances[0].tries), (Phase::Purge, 0));
    }
}

#[test]
fn a_hand_tries_for_six_seconds_and_a_pilot_for_thirty() {
    for kind in [Kind::Cooktop, Kind::Oven, Kind::Grill] {
        let mut b = Bench::dead(kind).on();
        assert_eq!(b.phase(), Phase::Trial);
        took(&b.next(), 6.0, Phase::Off, &[Happening::WouldNotLight(0)]);
        assert!(!b.modes.appliances[0].on);
    }
    let mut b = Bench::dead(Kind::WaterHeater).on();
    assert_eq!(
        (b.phase(), b.modes.appliances[0].deadline_s),
        (Phase::Trial, Some(102.0))
    );
    took(&b.next(), 30.0, Phase::Off, &[Happening::WouldNotLight(0)]);
}

/// Between tries there is half a second, and the first comes when the valve is open.
#[test]
fn sparks_come_every_half_second() {
    let mut b = Bench::dead(Kind::Furnace).on();
    let _ = b.next();
    let opened_s = b.t_s;
    let first_s = b.modes.appliances[0].deadline_s.expect("a try");
    assert!(
        (first_s - opened_s - 0.25 - 0.5).abs() < 1e-9,
        "the valve's quarter of a second and half a one"
    );
    b.t_s = first_s;
    assert!(events::due(&b.rig, &mut b.modes, &b.state, first_s).is_empty());
    let second_s = b.modes.appliances[0].deadline_s.expect("another");
    assert!((second_s - first_s - 0.5).abs() < 1e-9);
}

/// How long what watches a flame waits when it sees none: 0.8 s by flame sensing, 40 s and 30 s by thermocouples, never
/// where nothing watches.
#[test]
fn gas_is_shut_when_no_flame_has_been_seen_for_so_long() {
    for (kind, seconds) in [
        (Kind::Furnace, Some(0.8)),
        (Kind::Refrigerator, Some(0.8)),
        (Kind::OnDemandHeater, Some(0.8)),
        (Kind::WaterHeater, Some(40.0)),
        (Kind::Oven, Some(30.0)),
        (Kind::Cooktop, None),
        (Kind::Grill, None),
    ] {
        assert_eq!(
            presets::appliance(kind).ignition.sense_s(),
            seconds,
            "{kind:?}"
        );
        for lost in [true, false] {
            let mut b = Bench::new(kind, |_| {});
            events::settle(&b.rig, &mut b.modes, &b.state, 0);
            assert_eq!(b.phase(), Phase::Burning, "{kind:?}");
            if lost {
                assert_eq!(b.fire(0), [Happening::FlameLost(0)]);
                assert_eq!(b.phase(), Phase::OpenUnlit);
            } else {
                assert_eq!(b.fire(1), []);
            }
            let Some(seconds) = seconds else {
                assert_eq!(b.next().0, f64::INFINITY, "{kind:?}: gas stays open");
                continue;
            };
            let spark = matches!(b.rig.appliances[0].ignition, Ignition::Spark { .. });
            let (phase, end) = if spark {
                (Phase::Waiting, Happening::TriesAgain(0))
            } else {
                (Phase::LockedOut, Happening::LockedOut(0))
            };
            let told = if lost {
                vec![end]
            } else {
                vec![Happening::FlameUnseen(0), end]
            };
            took(&b.next(), seconds, phase, &told);
            let am = &b.modes.appliances[0];
            assert!(!am.lit && !am.pilot_lit && !am.pilot_open && am.valve.at(b.t_s + 1.0) == 0.0);
        }
    }
}

/// A flame seen again in time counts as never lost.
#[test]
fn a_flame_seen_again_in_time_stops_the_clock() {
    let mut b = Bench::new(Kind::Furnace, |_| {});
    events::settle(&b.rig, &mut b.modes, &b.state, 0);
    b.fire(1);
    assert_eq!(b.modes.appliances[0].unseen_until_s, Some(100.8));
    b.fire(1);
    assert_eq!(
        (b.modes.appliances[0].unseen_until_s, b.phase()),
        (None, Phase::Burning)
    );
}

/// Drop-out and lighting of each kind at its plate's 11 in w.c.
#[test]
fn each_kind_drops_out_and_lights_where_the_table_says() {
    for (kind, drops, lights) in [
        (Kind::Furnace, 6.0, 7.0),
        (Kind::OnDemandHeater, 6.0, 7.0),
        (Kind::Refrigerator, 5.0, 6.0),
        (Kind::WaterHeater, 2.0, 3.0),
        (Kind::Oven, 2.0, 3.0),
        (Kind::Cooktop, 1.32, 2.42),
        (Kind::Grill, 1.32, 2.42),
    ] {
        let a = presets::appliance(kind);
        assert!((a.rated_pa / INWC_PA - 11.0).abs() < 1e-3);
        let ratio = |inwc: f64| inwc / 11.0;
        let watched = a.ignition.sense_s().is_some();
        assert!(
            a.seen_by(ratio(drops + 0.02)) > 0.0 && a.seen_by(ratio(drops - 0.02)) < 0.0,
            "{kind:?}"
        );
        if watched {
            assert!(
                a.proves_at(ratio(lights + 0.02)) && !a.proves_at(ratio(lights - 0.02)),
                "{kind:?}"
            );
            assert!(
                (a.burns_at().0 - 0.12).abs() < 1e-9,
                "a flame burns on, seen or not: {kind:?}"
            );
            // A burner takes the spark from 22 % of its rating on, or from where it is seen.
            let takes = 2.42_f64.min(lights);
            assert!(
                a.lights_at(ratio(takes + 0.02)) && !a.lights_at(ratio(takes - 0.02)),
                "{kind:?}"
            );
        } else {
            assert!(a.proves_at(0.0), "nothing watches");
            assert!((a.burns_at().0 - drops / 11.0).abs() < 1e-9, "{kind:?}");
            assert!(
                a.lights_at(ratio(lights + 0.02)) && !a.lights_at(ratio(lights - 0.02)),
                "{kind:?}"
            );
        }
        assert_eq!(a.burns_at().1, 3.2, "blows off");
        assert!(a.lights_at(2.39) && !a.lights_at(2.41), "{kind:?}");
        let mut dead = a.clone();
        (dead.igniter_works, dead.flame_sensor_works) = (false, false);
        assert!(!dead.lights_at(1.0) && dead.proves_at(1.0) != watched);
    }
}

#[test]
fn a_flame_looks_by_its_strength() {
    for (ratio, under, over) in [
        (0.60, Flame::Low, Flame::Normal),
        (1.35, Flame::Normal, Flame::Hard),
        (2.0, Flame::Hard, Flame::Lifting),
    ] {
        assert_eq!(Appliance::flame_at(true, ratio - 0.001), under);
        assert_eq!(Appliance::flame_at(true, ratio + 0.001), over);
        assert_eq!(Appliance::flame_at(false, ratio), Flame::Out);
    }
    // Air weakens it, and at 45 % of air no burner holds a flame.
    let a = presets::appliance(Kind::Grill);
    assert!((a.flame_ratio(a.rated_pa, 0.0) - 1.0).abs() < 1e-12);
    assert!((a.flame_ratio(a.rated_pa, 0.225) - 0.5).abs() < 1e-12);
    assert!(a.flame_ratio(a.rated_pa, 0.449) > 0.0);
    assert_eq!(a.flame_ratio(a.rated_pa, 0.451), 0.0);
}

/// A rating moves the limits of the flame with it, and a pilot's spud follows its input.
#[test]
fn a_new_rating_takes_its_limits_along() {
    let mut a = presets::appliance(Kind::Furnace);
    let (area_m2, valve_m2) = (a.spud_m2, a.valve_m2);
    a.set_rating(15_000.0 * BTU_PER_H_W, 11.0 * INWC_PA);
    assert!((a.spud_m2 / area_m2 - 0.5).abs() < 1e-6 && (a.valve_m2 / valve_m2 - 0.5).abs() < 1e-6);
    a.set_rating(15_000.0 * BTU_PER_H_W, 22.0 * INWC_PA);
    assert!(
        (a.drop_out_pa / INWC_PA - 12.0).abs() < 0.01 && (a.light_pa / INWC_PA - 14.0).abs() < 0.01
    );
    // Spud and valve in series pass what the rating says: 1/8 of the area in series takes 1/64 of the pressure.
    let total = presets::spud_m2(15_000.0 * BTU_PER_H_W, 22.0 * INWC_PA);
    let series = (a.spud_m2.powi(-2) + a.valve_m2.powi(-2)).powf(-0.5);
    assert!((series / total - 1.0).abs() < 1e-9 && (a.valve_m2 / total - 8.0).abs() < 1e-9);
    assert!(
        (presets::appliance(Kind::WaterHeater).pilot_m2
            / presets::spud_m2(600.0 * BTU_PER_H_W, 11.0 * INWC_PA)
            - 1.0)
            .abs()
            < 1e-3
    );
    a.set_ignition(Ignition::Hand {
        flame_failure: false,
    });
    assert_eq!(a.pilot_m2, 0.0);
    assert!((a.drop_out_pa / (22.0 * INWC_PA) - 0.12).abs() < 1e-3);
}

/// A thermostat calls and is satisfied half a band off its setting, on the right side for what heats and what cools.
#[test]
fn a_thermostat_turns_half_a_band_off_its_setting() {
    for (kind, band_k, heats) in [
        (Kind::Furnace, 1.1, 1.0),
        (Kind::WaterHeater, 8.0, 1.0),
        (Kind::Oven, 15.0, 1.0),
        (Kind::Refrigerator, 2.0, -1.0),
    ] {
        let mut b = Bench::new(kind, |_| {});
        let load = b.rig.appliances[0].thermal.expect("a thermostat");
        assert_eq!(load.band_k, band_k);
        b.modes.appliances[0].on = true;
        let watch = |b: &Bench, k: usize| {
            let f = twostage::rig::evaluate(&b.rig, &b.modes, b.t_s, &b.state);
            let mut out = vec![0.0; events::watch_count(&b.rig)];
            events::watches(&b.rig, &b.modes, &b.state, &f, &mut out);
            out[k]
        };
        for (calling, k, place) in [(false, 2, -0.5), (true, 3, 0.5)] {
            b.modes.appliances[0].calling = calling;
            b.state.thermal_k[0] = load.set_k + heats * (place * band_k - place.signum() * 0.01);
            assert!(watch(&b, k) > 0.0, "{kind:?}");
            assert_eq!(
                watch(&b, 5 - k),
                1.0,
                "{kind:?}: only one of the two is looked at"
            );
            b.state.thermal_k[0] = load.set_k + heats * (place * band_k + place.signum() * 0.01);
            assert!(watch(&b, k) < 0.0, "{kind:?}");
        }
        b.modes.appliances[0].on = false;
        assert_eq!(
            (watch(&b, 2), watch(&b, 3)),
            (1.0, 1.0),
            "switched off it watches nothing"
        );
    }
}

/// What calls starts its controls; what is satisfied shuts, and a lock-out stays one.
#[test]
fn calls_and_satisfactions_move_the_controls() {
    let mut b = Bench::dead(Kind::Furnace).on();
    b.modes.appliances[0].phase = Phase::Satisfied;
    assert_eq!(b.fire(2), [Happening::Calls(0)]);
    assert!(b.modes.appliances[0].calling && b.phase() == Phase::Purge);
    assert_eq!(b.fire(3), [Happening::Satisfied(0)]);
    assert!(!b.modes.appliances[0].calling && b.phase() == Phase::Satisfied);
    assert_eq!(b.modes.appliances[0].deadline_s, None);
    for waits in [Phase::LockedOut, Phase::OpenUnlit] {
        b.modes.appliances[0].phase = waits;
        assert_eq!(b.fire(2), [], "what needs a person waits for one");
        assert_eq!(b.phase(), waits);
    }
    b.modes.appliances[0].phase = Phase::LockedOut;
    b.fire(3);
    assert_eq!(b.phase(), Phase::LockedOut);
    // A thermostat that is satisfied keeps a burner that is switched on off; a pilot is lit all the same.
    for (kind, phase) in [
        (Kind::Furnace, Phase::Satisfied),
        (Kind::WaterHeater, Phase::Trial),
    ] {
        let mut b = Bench::dead(kind);
        b.state.thermal_k[0] = 400.0;
        let b = b.on();
        assert_eq!(
            (b.phase(), b.modes.appliances[0].calling),
            (phase, false),
            "{kind:?}"
        );
    }
    let mut b = Bench::dead(Kind::Furnace).on();
    assert_eq!(
        events::switch(&b.rig, &mut b.modes, &b.state, b.t_s, 0, true),
        [],
        "on already"
    );
    assert_eq!(
        events::switch(&b.rig, &mut b.modes, &b.state, b.t_s, 0, false),
        [Happening::SwitchedOff(0)]
    );
    assert_eq!(
        (b.phase(), b.modes.appliances[0].deadline_s),
        (Phase::Off, None)
    );
}
