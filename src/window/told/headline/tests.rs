//! The headline's words held against what they tell of.

use super::*;
use crate::rig::Readings;
use crate::service::{
    Above, Escape, Gives, Held, LIMITS, Load, Scarce, SeatState, state_of_affairs,
};

/// No number is told over, or under, the same number: what has just passed a limit is told so, whatever the units.
#[test]
fn no_reading_is_told_past_the_figure_it_shows() {
    let rig = Rig::standard(vec![], vec![]);
    let over = |pa: f64, limit: &'static crate::service::Limit, first: bool| {
        if first {
            let chamber_pa = pa;
            let from = Some(Above::Container);
            Trouble::FirstOver {
                chamber_pa,
                limit,
                from,
            }
        } else {
            let outlet_pa = pa;
            let load = Load::Rest;
            Trouble::OutletOver {
                outlet_pa,
                limit,
                load,
            }
        }
    };
    for u in [Units::Us, Units::Si] {
        for (limit, first) in [
            (&LIMITS.flow, false),
            (&LIMITS.lock_up, false),
            (&LIMITS.lock_up_caution, false),
            (&LIMITS.first_rest, true),
            (&LIMITS.first_danger, true),
        ] {
            let figures = if first {
                u.high(limit.high)
            } else {
                u.low(limit.high)
            };
            let figures = figures.to_string();
            let told = |share: f64| trouble(&over(share * limit.high, limit, first), &rig, u);
            let (just, clear) = (told(1.0 + 1e-5), told(1.06));
            assert!(just.contains("just over"), "{just}");
            assert_eq!(just.matches(&figures).count(), 1, "{just}");
            assert!(
                clear.contains(&figures) && !clear.contains("just"),
                "{clear}"
            );
        }
        for least_pa in [LIMITS.flow.low, LIMITS.flow.low - LIMITS.fall_caution.high] {
            let low = |outlet_pa| {
                trouble(
                    &Trouble::OutletLow {
                        outlet_pa,
                        least_pa,
                        load: Load::UpToHalf,
                    },
                    &rig,
                    u,
                )
            };
            let figures = u.low(least_pa).to_string();
            let just = low(least_pa * (1.0 - 1e-5));
            assert!(just.contains("just under"), "{just}");
            assert_eq!(just.matches(&figures).count(), 1, "{just}");
            assert!(!low(0.9 * least_pa).contains("just"));
        }
    }
}

/// A second stage that passes what the burners take.
fn flowing() -> Readings {
    let mut r = Readings {
        burner_flow_kg_per_s: 1e-4,
        ..Readings::default()
    };
    r.second.flow_kg_per_s = 1e-4;
    r.second.lift_m = 2e-5;
    r.second.chamber_pa = 2800.0;
    r
}

/// Where air bears it is told, and as much of it.
#[test]
fn air_over_the_diaphragm_is_told_where_it_bears() {
    let rig = Rig::standard(vec![], vec![]);
    let mut r = flowing();
    let told = |r: &Readings| {
        headline(&state_of_affairs(&rig, r), &rig, Units::Us, 0.0, None).to_lowercase()
    };
    assert!(
        told(&r).contains("gas and spring balance, and"),
        "{}",
        told(&r)
    );
    // 500 Pa are 2.0 in w.c. (published: 249.089 Pa each).
    r.second.case_pa = 500.0;
    assert!(told(&r).contains("2.0 in w.c. of air over"), "{}", told(&r));
    r.second.case_pa = -500.0;
    assert!(told(&r).contains("−2.0 in w.c."), "{}", told(&r));
}

/// A finger is told with what it holds, whichever way it pushes; without one nothing is told of any.
#[test]
fn a_finger_is_told_with_what_it_holds() {
    let rig = Rig::standard(vec![], vec![]);
    let mut r = flowing();
    let told = |r: &Readings, u: Units| {
        headline(&state_of_affairs(&rig, r), &rig, u, 0.0, None).to_lowercase()
    };
    assert!(!told(&r, Units::Us).contains("finger"));
    // 4.45 N are 1.00 lbf (published).
    for (hand_n, holds) in [
        (-4.448, "gas balances spring and finger"),
        (4.448, "gas and finger balance the spring"),
    ] {
        r.second.forces.hand_n = hand_n;
        let words = told(&r, Units::Us);
        assert!(
            words.contains(holds) && words.contains("1.00 lbf"),
            "{words}"
        );
        assert!(told(&r, Units::Si).contains("4.45 n"));
    }
    r.second.forces.hand_n = 0.0;
    r.first.forces.hand_n = -4.448;
    let words = told(&r, Units::Us);
    assert!(words.contains("gas and spring balance"), "{words}");
    assert!(
        words.contains("presses down the first diaphragm"),
        "{words}"
    );
}

/// Whatever is so, what the sentence says of flow and seats is never against the trouble before it.
#[test]
fn no_headline_says_two_things_at_once() {
    let rig = Rig::standard(vec![], vec![]);
    let seats = [
        SeatState::Open { lift_m: 80e-6 },
        SeatState::Slips {
            kg_per_s: 1e-6,
            squeeze_m: 40e-6,
        },
        SeatState::Pressed { squeeze_m: 393e-6 },
        SeatState::Touching,
    ];
    let escapes = Trouble::Escapes {
        by: Escape::Relief,
        kg_per_s: 1e-4,
    };
    for comes_in in [Compared::Even, Compared::More, Compared::Less] {
        for first in seats {
            for second in seats {
                for troubles in [vec![], vec![escapes]] {
                    let a = Affairs {
                        doing: Doing::Holding {
                            comes_in,
                            air_pa: None,
                        },
                        seats: [first, second],
                        cases: [Filling::Air; 2],
                        fingers: [None; 2],
                        troubles,
                        effects_only: false,
                    };
                    let words = headline(&a, &rig, Units::Us, 0.0, None);
                    let takes = words.contains("what comes in is what the burners take");
                    assert_eq!(takes, comes_in == Compared::Even && !a.escapes(), "{words}");
                    assert_eq!(words.contains("escapes"), a.escapes(), "{words}");
                }
            }
        }
    }
}

/// Behind a shut seat no container pressure comes in, and a first stage whose outlet still holds gives not "too little".
#[test]
fn a_first_stage_is_told_as_it_is() {
    let rig = Rig::standard(vec![], vec![]);
    let over = |from| {
        let limit = &LIMITS.first_danger;
        let chamber_pa = 3e5;
        let t = Trouble::FirstOver {
            chamber_pa,
            limit,
            from,
        };
        trouble(&t, &rig, Units::Us)
    };
    assert!(over(Some(Above::Container)).contains("container pressure reaches"));
    for (from, words) in [(Above::Boiling, "liquid boils"), (Above::ShutIn, "shut in")] {
        let told = over(Some(from));
        assert!(
            told.contains(words) && !told.contains("container pressure"),
            "{told}"
        );
    }
    assert!(!over(None).contains("container pressure") && !over(None).contains("boils"));
    let low = |gives, why| {
        let t = Trouble::FirstLow {
            chamber_pa: 5e3,
            gives,
            why,
        };
        trouble(&t, &rig, Units::Us)
    };
    let through = low(Gives::TooLittle, Scarce::ThroughIt);
    assert!(through.contains("too little comes through it"), "{through}");
    let to = low(Gives::TooLittle, Scarce::ToIt);
    assert!(to.contains("too little comes to it"), "{to}");
    let spent = low(Gives::NothingAsked, Scarce::Spent);
    assert!(spent.contains("the container has no more"), "{spent}");
    let enough = low(Gives::JustEnough, Scarce::ThroughIt);
    assert!(
        enough.contains("just enough") && !enough.contains("too little"),
        "{enough}"
    );
}

/// A line that loses too much is told with both pressures; gas in the spring case is no air, and a seat that hangs loose
/// holds no balance.
#[test]
fn what_holds_is_told_with_what_is_there() {
    let rig = Rig::standard(vec![], vec![]);
    let drop = Trouble::PipeDrop {
        outlet_pa: 11.4 * 249.089,
        manifold_pa: 8.5 * 249.089,
    };
    let told = trouble(&drop, &rig, Units::Us);
    for words in ["11.4 in w.c.", "8.5 in w.c.", "2.9 in w.c.", "0.5 in w.c."] {
        assert!(told.contains(words), "{told}");
    }
    let over = |filled, troubles| Affairs {
        cases: [Filling::Air, filled],
        fingers: [None; 2],
        doing: Doing::Holding {
            comes_in: Compared::Even,
            air_pa: Some(470.0),
        },
        seats: [SeatState::Open { lift_m: 80e-6 }; 2],
        troubles,
        effects_only: false,
    };
    let with = |troubles| over(Filling::Air, troubles);
    let told = |a: &Affairs| headline(a, &rig, Units::Us, 0.0, None);
    let torn = Trouble::Escapes {
        by: Escape::Tear(Which::Second),
        kg_per_s: 1e-3,
    };
    assert!(told(&with(vec![])).contains("of air over"));
    let words = told(&over(Filling::Gas, vec![torn]));
    assert!(
        words.contains("of gas over") && !words.contains("air"),
        "{words}"
    );
    let loose = Trouble::NeverShuts {
        stage: Which::Second,
        why: Held::Loose,
    };
    let words = told(&with(vec![loose]));
    assert!(
        !words.contains("balance") && words.contains("off its pin"),
        "{words}"
    );
    // A class that is to find it hears nothing of it.
    let words = told(&with(vec![loose]).effects());
    assert!(!words.contains("pin"), "{words}");
}

/// A container is over its fill by what it weighs: a level under 80 % is told with what it is at 40 °F, and that is over 80 %.
#[test]
fn a_container_that_is_too_full_is_told_over_its_limit_in_any_air() {
    let rig = crate::scenario::Scenario::opening().rig;
    let mut under = 0;
    for fahrenheit in [-20.0, 0.0, 20.0, 40.0, 60.0, 80.0, 100.0] {
        let t_k = (fahrenheit + 459.67) / 1.8;
        for hundredths in 60..=100 {
            let fill = f64::from(hundredths) / 100.0;
            let mut r = Readings {
                container_count: 1,
                ..Readings::default()
            };
            (r.containers[0].fill, r.containers[0].temperature_k) = (fill, t_k);
            let affairs = state_of_affairs(&rig, &r);
            let full = affairs
                .troubles
                .iter()
                .find(|t| matches!(t, Trouble::TooFull { .. }));
            let Some(full) = full else { continue };
            let told = trouble(full, &rig, Units::Us);
            let percents: Vec<f64> = told
                .split(' ')
                .zip(told.split(' ').skip(1))
                .filter_map(|(n, unit)| n.parse().ok().filter(|_| unit == "%"))
                .collect();
            let [level, cold, limit] = percents[..] else {
                panic!("{told}");
            };
            assert!(
                cold > limit && (level - 100.0 * fill).abs() < 0.51,
                "{told}"
            );
            under += u32::from(level < limit);
        }
    }
    assert!(under > 0, "a level under the limit was too much in no air");
}

fn told_of(doing: Doing, troubles: Vec<Trouble>) -> String {
    let a = Affairs {
        doing,
        seats: [SeatState::Touching; 2],
        cases: [Filling::Air; 2],
        fingers: [None; 2],
        troubles,
        effects_only: false,
    };
    let rig = crate::scenario::Scenario::opening().rig;
    headline(&a, &rig, Units::Us, 0.0, None)
}

/// A seat that creeps is told once, and what holds one from shutting is air where air bears.
#[test]
fn a_rest_that_climbs_is_told_once_and_by_what_holds_it() {
    let creeps = Trouble::Creeps {
        stage: Which::Second,
        kg_per_s: 1e-6,
    };
    let words = told_of(Doing::Closing { air: None }, vec![creeps]);
    assert_eq!(
        words.to_lowercase().matches("no burner takes gas").count(),
        1,
        "{words}"
    );
    assert_eq!(words.matches("climbs").count(), 1, "{words}");
    // 500 Pa are 2.0 in w.c.
    let air = Some((Which::Second, 500.0));
    let words = told_of(Doing::Closing { air }, vec![]);
    assert!(
        words.contains("2.0 in w.c. of air shut in over the second diaphragm"),
        "{words}"
    );
}

/// What is so of several burners stands in one line with their names, and each way that gas gets out has its place.
#[test]
fn burners_are_joined_and_a_leak_has_its_side() {
    let mut two = crate::service::Several::one(0);
    two.add(1);
    let rest = Doing::AtRest;
    let rig = crate::scenario::Scenario::opening().rig;
    let names: Vec<&str> = rig.appliances[..2]
        .iter()
        .map(|a| a.name.as_str())
        .collect();
    let words = told_of(rest, vec![Trouble::LockedOut { appliances: two }]);
    let both = format!("he {} and the {} have locked out", names[0], names[1]);
    assert!(words.contains(&both), "{words}");
    for (by, place) in [
        (Escape::Pigtail(0), "before the regulator"),
        (Escape::LowSide, "behind the regulator"),
        (Escape::Container(0), "from the relief of the container"),
        (Escape::Unlit(two), "unburned from the"),
    ] {
        let kg_per_s = 1e-5;
        let words = told_of(rest, vec![Trouble::Escapes { by, kg_per_s }]);
        assert!(words.contains(place), "{words}");
    }
}

/// Over its limit at rest is over what lock-up may reach; with a burner lit it is over what it may not pass then.
#[test]
fn a_limit_of_lock_up_is_not_told_of_a_flow() {
    let rig = Rig::standard(vec![], vec![]);
    let over = |load| {
        let t = Trouble::OutletOver {
            outlet_pa: 13.9 * 249.089,
            limit: &LIMITS.lock_up,
            load,
        };
        trouble(&t, &rig, Units::Us)
    };
    assert!(over(Load::Rest).contains("lock-up"));
    assert!(!over(Load::UpToHalf).contains("lock-up"));
}
