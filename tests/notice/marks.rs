//! Marks of an attempt, number by number.

use twostage::drill::attempt::log::Entry;
use twostage::drill::attempt::safety::{Stop, Unsafe};
use twostage::drill::marking::grade::{Borne, Done, Grade, Why, marks};
use twostage::drill::marking::weigh::{Support, Tally, Weighed};
use twostage::drill::reasoning::difficulty::Difficulty;
use twostage::drill::{Drill, Finding, Left};
use twostage::fault::{Fault, Remedy};
use twostage::visit::Told;

const TEXT: &str = include_str!("../doors/drill.toml");

pub fn fault(id: &str) -> Fault {
    Fault::named(id).expect("in the catalogue")
}

/// The small drill, its screw turned in, as if its best path took ten minutes and grit could not be told from it.
pub fn drill(is_worked: bool, faults: &[&str]) -> Drill {
    let mut text = TEXT.to_owned();
    for id in faults {
        for part in ["\n[[fault]]\nname = \"", id, "\"\nseverity = 0.5\n"] {
            text += part;
        }
    }
    let mut drill = Drill::read("small.toml", &text, None).unwrap_or_else(|e| panic!("{e}"));
    if is_worked {
        drill.worked = Some(twostage::drill::making::file::Worked {
            accepts: vec![drill.cause(), vec![fault("second_seat_grit")]],
            path: Vec::new(),
            difficulty: Difficulty {
                from_min: 0.0,
                bits: 3.0,
                look_alikes: 2.0,
                effort_min: 10.0,
                minutes: 10.0,
                steps: 4,
            },
            rod: None,
            by: None,
        });
    }
    drill
}

/// Readings that make sure, and a suspicion that followed from them; nothing at hand puts it right.
pub const SURE: Weighed = Weighed {
    judged: Tally {
        tests: 0,
        right: 0,
        near: 0,
        wrong: 0,
        share: 0.0,
    },
    support: 1.0,
    by: Support::Cause,
    job: 0.0,
    open: 0.0,
    suspected: 1.0,
    can_repair: false,
    repaired_s: None,
    did: None,
    proved: false,
    needless: None,
    has_rod: true,
};
pub const NOTHING: Weighed = Weighed {
    support: 0.0,
    suspected: 0.0,
    ..SURE
};

/// Marks of an attempt that took so long, did so much unsafe, weighed so much, and gave an answer.
pub fn weighed(
    drill: &Drill,
    minutes: f64,
    noticed: &[Unsafe],
    said: Option<(&[&str], Remedy)>,
    weight: Weighed,
) -> Grade {
    let end_s = 60.0 * minutes;
    let entry = |n: usize, noticed: &[Unsafe]| Entry {
        n,
        at_s: 0.0,
        end_s,
        act: "look".to_owned(),
        told: Told::Nothing,
        found: vec![],
        after: vec![],
        noticed: noticed.to_vec(),
    };
    // Each by an act of its own.
    let mut entries: Vec<Entry> = noticed
        .chunks(1)
        .zip(1..)
        .map(|(u, n)| entry(n, u))
        .collect();
    if entries.is_empty() {
        entries.push(entry(1, &[]));
    }
    let answer = said.map(|(cause, action)| Finding {
        cause: cause.iter().map(|id| fault(id)).collect(),
        actions: vec![action],
        left: Left::ShutOff,
    });
    marks(drill, &entries, answer.as_ref(), &weight)
}

pub fn marked(drill: &Drill, minutes: f64, said: Option<(&[&str], Remedy)>) -> Grade {
    weighed(drill, minutes, &[], said, SURE)
}

fn given(g: &Grade) -> [f64; 5] {
    g.parts().map(|p| p.1.given)
}

pub const RIGHT: (&[&str], Remedy) = (&["second_screw_high"], Remedy::Adjust);

#[test]
fn a_perfect_attempt_has_a_hundred_marks() {
    let d = drill(true, &[]);
    let g = marked(&d, 10.0, Some(RIGHT));
    assert_eq!(given(&g), [30.0, 20.0, 20.0, 10.0, 20.0]);
    assert_eq!(g.parts().map(|p| p.1.of), [30.0, 20.0, 20.0, 10.0, 20.0]);
    assert_eq!((g.total(), g.took_s, g.best_s), (100.0, 600.0, Some(600.0)));
    assert!(g.right && g.failed.is_none());
    let none = marked(&d, 10.0, None);
    assert_eq!(given(&none), [0.0, 20.0, 0.0, 0.0, 20.0]);
}

/// A right answer at once, with nothing read: a tenth of what it would be worth, and no more than 30 of 100 in all.
#[test]
fn a_guess_is_worth_a_tenth() {
    let d = drill(true, &[]);
    let g = weighed(&d, 0.05, &[], Some(RIGHT), NOTHING);
    assert_eq!(given(&g), [3.0, 0.0, 2.0, 1.0, 20.0]);
    assert!(g.total() <= 30.0);
    let half = Weighed {
        support: 0.5,
        ..SURE
    };
    let g = weighed(&d, 10.0, &[], Some(RIGHT), half);
    assert_eq!(
        g.cause.given, 16.5,
        "of 30, a tenth and half of nine tenths"
    );
    assert_eq!(g.evidence.given, 12.5, "half of 15, and 5 for a suspicion");
    let unnoted = Weighed {
        suspected: 0.0,
        ..SURE
    };
    assert_eq!(
        weighed(&d, 10.0, &[], Some(RIGHT), unnoted).evidence.given,
        15.0
    );
}

/// Who looks at nothing has half of safety at most: a guess at once that is right has 16 of 100.
#[test]
fn a_rig_that_nobody_looked_at_was_not_made_safe() {
    let d = drill(true, &[]);
    let answer = Finding {
        cause: vec![fault("second_screw_high")],
        actions: vec![Remedy::Adjust],
        left: Left::ShutOff,
    };
    let g = marks(&d, &[], Some(&answer), &NOTHING);
    assert_eq!(given(&g), [3.0, 0.0, 2.0, 1.0, 10.0]);
}

/// What was done and proved is what puts it right, whatever the catalogue would have done.
#[test]
fn a_proved_repair_is_never_told_not_to_put_it_right() {
    let d = drill(true, &[]);
    let proved = Weighed {
        can_repair: true,
        repaired_s: Some(600.0),
        did: Some(Remedy::Replace),
        proved: true,
        ..SURE
    };
    let g = weighed(&d, 10.0, &[], Some((RIGHT.0, Remedy::Replace)), proved);
    assert_eq!(g.action.given, 20.0);
    let told = twostage::report::marks::why(&g.action.why);
    assert!(!told.contains("does not"), "{told}");
}

/// Named, done, proved: each is worth more than what is before it, and what it takes costs no economy.
#[test]
fn a_proven_repair_is_never_under_the_same_attempt_without_it() {
    let d = drill(true, &[]);
    for support in [0.0, 0.3, 0.7, 1.0] {
        for right in [RIGHT, (RIGHT.0, Remedy::Clear)] {
            let named = Weighed {
                support,
                can_repair: true,
                ..SURE
            };
            let done = Weighed {
                repaired_s: Some(600.0),
                ..named
            };
            let proved = Weighed {
                proved: true,
                ..done
            };
            let total = |weight, minutes| weighed(&d, minutes, &[], Some(right), weight).total();
            assert!(total(done, 70.0) >= total(named, 10.0));
            assert!(total(proved, 70.0) > total(named, 10.0));
        }
    }
    let full = Weighed {
        can_repair: true,
        repaired_s: Some(600.0),
        proved: true,
        ..SURE
    };
    assert_eq!(weighed(&d, 70.0, &[], Some(RIGHT), full).total(), 100.0);
}

/// Full marks for economy up to the minutes of the best path, none from eight times on, nor past the drill's end.
#[test]
fn economy_falls_from_one_to_eight_times_the_best_path() {
    let of = |minutes: f64, limit_min: f64| {
        let mut d = drill(true, &[]);
        d.limit_s = 60.0 * limit_min;
        marked(&d, minutes, Some(RIGHT)).economy.given
    };
    let given = [10.0, 17.0, 45.0, 73.0, 80.0, 200.0].map(|m| of(m, 240.0));
    assert_eq!(given, [10.0, 9.0, 5.0, 1.0, 0.0, 0.0]);
    assert_eq!((of(45.0, 45.0), of(45.1, 45.0)), (5.0, 0.0));
    // Without a computed path: full marks up to half of the drill's hour, none at its end.
    let d = drill(false, &[]);
    for (minutes, marks) in [(30.0, 10.0), (45.0, 5.0), (60.0, 0.0)] {
        assert_eq!(
            marked(&d, minutes, Some(RIGHT)).economy.given,
            marks,
            "{minutes} min"
        );
    }
}

#[test]
fn an_unsafe_act_costs_half_of_safety_and_a_grave_one_the_attempt() {
    let d = drill(true, &[]);
    for (count, marks) in [(0, 20.0), (1, 10.0), (2, 0.0), (3, 0.0)] {
        let noticed = vec![Unsafe::OpenedFast; count];
        let g = weighed(&d, 10.0, &noticed, Some(RIGHT), SURE);
        assert_eq!((g.safety.given, g.failed), (marks, None));
    }
    let grave = [
        Unsafe::FlushedBesideFlame(0),
        Unsafe::OpenedUnderPressure,
        Unsafe::OpenedBesideFlame(0),
        Unsafe::LitWhereGasHadGathered,
        Unsafe::LitWhileGasEscaped,
        Unsafe::LitOverBubbles,
        Unsafe::LeftAgainstTest(twostage::visit::Test::FullLoad),
        Unsafe::LeftLeaking,
        Unsafe::LitOverStop(Stop::First(6e5)),
        Unsafe::LeftOverStop(Stop::First(6e5)),
        Unsafe::LeftAgainstReading,
    ];
    for act in grave {
        let g = weighed(&d, 10.0, std::slice::from_ref(&act), Some(RIGHT), SURE);
        assert_eq!((g.total(), g.safety.given), (0.0, 0.0));
        assert_eq!(g.failed, Some(act));
    }
    let minor = [
        Unsafe::ScrewWithoutGauge,
        Unsafe::SetOverTheLimit(4e3),
        Unsafe::NewPartUntested,
        Unsafe::GasAtUnlitBurner,
        Unsafe::LeftBlowing,
        Unsafe::LeftOverTheLimit(4e3),
        Unsafe::LeftWithTheFault,
        Unsafe::WaitedUnsought,
        Unsafe::TurnedSound(twostage::scenario::WhichStage::Second),
        Unsafe::LeftAfterBurst,
        Unsafe::LitAgainstReading,
        Unsafe::Forbidden("no".to_owned()),
    ];
    assert!(minor.iter().all(|u| !u.is_grave()));
}

/// One act that breaks two rules is one deed, with two reasons.
#[test]
fn one_deed_is_charged_once() {
    let d = drill(true, &[]);
    let entry = Entry {
        n: 1,
        at_s: 0.0,
        end_s: 600.0,
        act: "look".to_owned(),
        told: Told::Nothing,
        found: vec![],
        after: vec![],
        noticed: vec![Unsafe::LeftWithTheFault, Unsafe::LeftOverTheLimit(4e3)],
    };
    let answer = Finding {
        cause: vec![fault("second_screw_high")],
        actions: vec![Remedy::Adjust],
        left: Left::InUse,
    };
    let g = marks(&d, &[entry], Some(&answer), &SURE);
    assert_eq!(
        (g.safety.given, g.unsafe_acts, g.noticed.len()),
        (10.0, 1, 2)
    );
    let told = twostage::report::marks::why(&g.safety.why);
    let both = "left in use with the fault in it and left over the limit (act 1,";
    assert!(told.contains(both), "{told}");
}

/// Under a wrong answer of the right family the readings bear out the family, and under a half the half.
#[test]
fn what_the_readings_bear_out_is_not_a_wrong_answer() {
    let d = drill(true, &[]);
    let told = |d: &Drill, named: &[&str], support: f64| {
        let weight = Weighed { support, ..SURE };
        let g = weighed(d, 10.0, &[], Some((named, Remedy::Adjust)), weight);
        twostage::report::marks::why(&g.cause.why)
    };
    for support in [0.2, 0.6, 1.0] {
        let family = told(&d, &["second_spring_weak"], support);
        assert!(
            !family.contains("bear it out") && !family.contains("point to it"),
            "{family}"
        );
        assert!(support < 0.5 || family.contains("the family"), "{family}");
    }
    let two = drill(true, &["spud_clogged"]);
    assert!(told(&two, &["spud_clogged"], 1.0).contains("bear out that part"));
    assert!(told(&d, RIGHT.0, 1.0).ends_with("the readings bear it out"));
}

#[test]
fn a_drill_brings_its_own_weights() {
    let text = format!(
        "{TEXT}\n[marks]\ncause = 50\nevidence = 0\naction = 10\neconomy = 0\nsafety = 40\n"
    );
    let d = Drill::read("small.toml", &text, None).unwrap_or_else(|e| panic!("{e}"));
    let g = marked(&d, 10.0, Some(RIGHT));
    assert_eq!(given(&g), [50.0, 0.0, 10.0, 0.0, 40.0]);
    let wrong = text.replace("cause = 50", "cause = 60");
    let e = Drill::read("small.toml", &wrong, None).expect_err("110 in all");
    assert!(e.to_string().contains("sum to 110"), "{e}");
}

#[test]
fn a_cause_counts_whole_in_part_or_by_its_family() {
    let d = drill(true, &[]);
    let cause =
        |d: &Drill, said: &[&str]| marked(d, 10.0, Some((said, Remedy::Adjust))).cause.given;
    assert_eq!(
        cause(&d, &["second_seat_grit"]),
        30.0,
        "what cannot be told from it"
    );
    assert_eq!(
        cause(&d, &["second_spring_weak"]),
        11.3,
        "the family of springs: three eighths"
    );
    assert_eq!(cause(&d, &["spud_clogged"]), 0.0);
    assert_eq!(cause(&d, &[]), 0.0);
    assert_eq!(
        cause(&d, &["second_screw_high", "spud_clogged"]),
        15.0,
        "one of two named"
    );
    let two = drill(true, &["spud_clogged"]);
    assert_eq!(cause(&two, &["spud_clogged"]), 15.0, "one of two found");
    assert_eq!(
        cause(&two, &["spud_clogged", "second_screw_high"]),
        30.0,
        "in whatever order"
    );
    // The wrong cause has no time that was good, the wrong remedy no marks. A remedy that is right by luck has none either,
    // and of what was read half, for the answer is not what that says: 60 of 100 for a wrong cause were too many.
    let wrong = marked(&d, 10.0, Some((&["spud_clogged"], Remedy::Adjust)));
    assert_eq!(given(&wrong), [0.0, 12.5, 0.0, 0.0, 20.0]);
    let remedy = marked(&d, 10.0, Some((&["second_screw_high"], Remedy::Clear)));
    assert_eq!(remedy.action.given, 0.0);
}

/// The deed puts right what is wrong, for the cause that it is named for, or it does not: coming near counts nothing, and the
/// marks say so in the words of the paper. Of two causes each has its half.
#[test]
fn an_action_for_a_cause_that_is_near_counts_nothing() {
    let d = drill(true, &[]);
    let of = |d: &Drill, named: &[&str], actions: &[Remedy]| {
        let answer = Finding {
            cause: named.iter().map(|n| fault(n)).collect(),
            actions: actions.to_vec(),
            left: Left::ShutOff,
        };
        let g = marks(d, &[], Some(&answer), &SURE);
        (g.action.given, twostage::report::marks::why(&g.action.why))
    };
    let (near, told) = of(&d, &["second_spring_weak"], &[Remedy::Adjust]);
    assert_eq!(near, 0.0, "{told}");
    let rule = twostage::report::marks::NOT_NEAR;
    assert!(told.contains(rule), "{told}");
    let paper = concat!(env!("CARGO_MANIFEST_DIR"), "/docs/drills.md");
    let paper = std::fs::read_to_string(paper).expect("a paper");
    assert!(paper.contains(rule));
    let repair = fault("spud_clogged")
        .entry()
        .puts_right()
        .next()
        .expect("one");
    let two = drill(true, &["spud_clogged"]);
    let both = ["second_screw_high", "spud_clogged"];
    assert_eq!(of(&two, &both, &[Remedy::Adjust, repair]).0, 20.0);
    assert_eq!(of(&two, &both, &[Remedy::Adjust]).0, 10.0);
    assert_eq!(of(&two, &both[..1], &[Remedy::Adjust]).0, 10.0);
    let (one, told) = of(&two, &both[..1], &[Remedy::Adjust, repair]);
    assert!(one == 10.0 && told.contains("half of it"), "{one}: {told}");
    // The half that was put right is not the one that was named.
    let (crossed, told) = of(&two, &both[1..], &[Remedy::Adjust]);
    assert!(
        crossed == 0.0 && told.contains("another cause was named for it"),
        "{told}"
    );
}

#[test]
fn a_level_starts_at_its_score() {
    let d = |minutes: f64| Difficulty {
        from_min: 0.0,
        bits: 0.0,
        look_alikes: 1.0,
        effort_min: minutes,
        minutes,
        steps: 1,
    };
    // 20 and a quarter more each time: the mark is just below each bound.
    for (score, level) in [(25.0, 2), (31.25, 3), (39.0625, 4), (48.828_125, 5)] {
        assert_eq!(
            (d(score - 0.01).level(), d(score + 0.01).level()),
            (level - 1, level)
        );
    }
    let hard = Difficulty {
        from_min: 0.0,
        bits: 2.0,
        look_alikes: 4.0,
        effort_min: 10.0,
        minutes: 10.0,
        steps: 3,
    };
    assert!((hard.score() - 22.0).abs() < 1e-12, "three minutes a bit");
}

/// What is said of the readings changes at a twentieth, at a half and where nothing is missing any more.
#[test]
fn how_far_an_answer_is_borne_out_is_said_by_its_support() {
    let d = drill(true, &[]);
    for (support, said) in [
        (0.0, Borne::Not),
        (0.05, Borne::Not),
        (0.06, Borne::Little),
        (0.49, Borne::Little),
        (0.5, Borne::Points),
        (0.99, Borne::Points),
        (1.0, Borne::Sure),
    ] {
        let weight = Weighed { support, ..SURE };
        let g = weighed(&d, 10.0, &[], Some(RIGHT), weight);
        let Why::Cause { borne, .. } = g.cause.why else {
            panic!("{:?}", g.cause.why);
        };
        let Why::Evidence { borne: found, .. } = g.evidence.why else {
            panic!("{:?}", g.evidence.why);
        };
        assert_eq!((borne, found), (Some(said), said), "{support}");
    }
    // Nothing is said of readings where nothing of the cause is right, or where nothing can weigh them.
    let wrong = marked(&d, 10.0, Some((&["spud_clogged"], Remedy::Adjust)));
    assert!(matches!(wrong.cause.why, Why::Cause { borne: None, .. }));
    let bare = Weighed {
        has_rod: false,
        ..SURE
    };
    let g = weighed(&d, 10.0, &[], Some(RIGHT), bare);
    let unweighed = Some(Borne::Unweighed);
    assert!(matches!(g.cause.why, Why::Cause { borne, .. } if borne == unweighed));
}

/// Of 20 points for evidence 12 are for what was read, 4 for the suspicion, 4 for judging the tests.
#[test]
fn tests_judged_rightly_are_a_fifth_of_the_evidence() {
    let d = drill(true, &[]);
    for (support, suspected, judged, points) in [
        (1.0, 1.0, 1.0, 20.0),
        (1.0, 1.0, 0.0, 16.0),
        (0.5, 1.0, 0.5, 12.0),
        (0.5, 0.0, 1.0, 10.0),
        (0.5, 0.5, 1.0, 12.0),
        (0.0, 1.0, 0.25, 5.0),
    ] {
        let weight = Weighed {
            support,
            suspected,
            judged: Tally {
                tests: 3,
                share: judged,
                ..SURE.judged
            },
            ..SURE
        };
        let g = weighed(&d, 10.0, &[], Some(RIGHT), weight);
        assert_eq!(g.evidence.given, points, "{support} {suspected} {judged}");
    }
}

/// One lucky word about one test shows nothing; whoever read what tells the cause needs no more tests. What was not judged was not
/// judged wrongly.
#[test]
fn one_test_judged_rightly_shows_little() {
    let d = drill(true, &[]);
    let given = |support, tests, right, wrong| {
        let weight = Weighed {
            support,
            suspected: 0.0,
            judged: Tally {
                tests,
                right,
                near: 0,
                wrong,
                share: right as f64 / tests as f64,
            },
            ..SURE
        };
        let e = weighed(&d, 10.0, &[], Some(RIGHT), weight).evidence;
        (e.given, twostage::report::marks::why(&e.why))
    };
    assert_eq!(given(0.0, 1, 1, 0).0, 1.3);
    assert_eq!(given(0.0, 3, 3, 0).0, 4.0);
    assert_eq!(given(0.0, 8, 8, 0).0, 4.0);
    assert_eq!(given(1.0, 1, 1, 0).0, 16.0);
    assert!(given(0.0, 1, 1, 0).1.contains("few tests"));
    let (_, half) = given(1.0, 2, 1, 0);
    assert!(
        half.contains("1 was judged rightly, 1 not at all") && !half.contains("wrongly"),
        "{half}"
    );
    let (_, wrong) = given(1.0, 5, 1, 3);
    assert!(
        wrong.contains("of 5 tests 1 was judged rightly, 3 wrongly, 1 not at all"),
        "{wrong}"
    );
}

/// What became of a repair is told where what is at hand could do it or did it; without a deed nothing is proved.
#[test]
fn what_became_of_a_repair_is_told() {
    let d = drill(true, &[]);
    let done = |can_repair, repaired_s, proved| {
        let weight = Weighed {
            can_repair,
            repaired_s,
            proved,
            ..SURE
        };
        match weighed(&d, 10.0, &[], Some(RIGHT), weight).action.why {
            Why::Action { done, .. } => done,
            why => panic!("{why:?}"),
        }
    };
    let when = Some(300.0);
    assert_eq!(done(true, when, true), Some(Done::Proved));
    assert_eq!(done(false, when, true), Some(Done::Proved));
    assert_eq!(done(true, when, false), Some(Done::Unproved));
    assert_eq!(done(true, None, false), Some(Done::Not));
    assert_eq!(done(true, None, true), Some(Done::Not));
    assert_eq!(done(false, None, false), None);
    assert_eq!(done(false, when, false), None);
}

/// A new regulator takes a screw out with it, and is more than it needs; it takes no orifice out.
#[test]
fn a_new_part_is_too_much_only_where_it_takes_the_fault_with_it() {
    let too_much =
        |d: &Drill, cause: &[&str], action| match marked(d, 10.0, Some((cause, action))).action.why
        {
            Why::Action { too_much, .. } => too_much,
            why => panic!("{why:?}"),
        };
    let screw = drill(true, &[]);
    assert!(too_much(&screw, RIGHT.0, Remedy::Replace));
    assert!(!too_much(&screw, RIGHT.0, Remedy::Adjust));
    let both = drill(true, &["spud_clogged"]);
    let named = ["second_screw_high", "spud_clogged"];
    assert!(!too_much(&both, &named, Remedy::Replace));
}

/// Each of two faults asks for its own action: one of them mended is half, and what stays is named.
#[test]
fn of_two_faults_both_are_put_right() {
    let d = drill(true, &["spud_clogged"]);
    let named = ["second_screw_high", "spud_clogged"];
    let of = |actions: &[Remedy]| {
        let answer = Finding {
            cause: named.iter().map(|id| fault(id)).collect(),
            actions: actions.to_vec(),
            left: Left::ShutOff,
        };
        marks(&d, &[], Some(&answer), &SURE).action
    };
    let both = of(&[Remedy::Adjust, Remedy::Clear]);
    assert_eq!(both.given, 20.0);
    assert_eq!(of(&[Remedy::Clear, Remedy::Adjust]).given, 20.0);
    for (one, stays, by) in [
        (Remedy::Adjust, "spud_clogged", "a new part"),
        (Remedy::Clear, "second_screw_high", "setting the screw"),
    ] {
        let half = of(&[one]);
        assert_eq!(half.given, 10.0, "{one:?}");
        let told = twostage::report::marks::why(&half.why);
        let name = fault(stays).name();
        assert!(told.contains(&name) && told.contains(by), "{told}");
        assert!(told.contains("only one of the two"), "{told}");
    }
    assert_eq!(of(&[Remedy::Wait]).given, 0.0);
    let told = twostage::report::marks::why(&of(&[Remedy::Wait]).why);
    assert!(told.contains("does not put it right"), "{told}");
}

/// Whether the cause was found is told beside the time, and a drill that gives nothing for the cause counts what was found.
#[test]
fn time_counts_for_what_was_found() {
    let d = drill(true, &[]);
    let found = |said| match marked(&d, 10.0, said).economy.why {
        Why::Economy { found, .. } => found,
        why => panic!("{why:?}"),
    };
    assert!(found(Some(RIGHT)));
    assert!(!found(Some((&["spud_clogged"], Remedy::Adjust))));
    assert!(!found(None));
    let text = format!(
        "{TEXT}\n[marks]\ncause = 0\nevidence = 20\naction = 20\neconomy = 20\nsafety = 40\n"
    );
    let mut weightless = Drill::read("small.toml", &text, None).unwrap_or_else(|e| panic!("{e}"));
    weightless.worked.clone_from(&d.worked);
    assert_eq!(marked(&weightless, 10.0, Some(RIGHT)).economy.given, 20.0);
    let wrong = marked(&weightless, 10.0, Some((&["spud_clogged"], Remedy::Adjust)));
    assert_eq!(wrong.economy.given, 0.0);
}
