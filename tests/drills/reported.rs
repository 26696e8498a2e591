//! A leak that the owner reports: whoever lights before looking for it is held to it, and is no better off than who looked.
//! That a smell is looked for before any flame is common practice (no source).

use super::common::{go, some_faults};
use std::sync::Arc;
use twostage::class::habits::habits;
use twostage::drill::attempt::safety::Unsafe;
use twostage::drill::attempt::way::{May, Reason, offer_of};
use twostage::drill::making::make::Shelf;
use twostage::drill::making::shipped::DRILLS;
use twostage::drill::marking::course::Course;
use twostage::drill::marking::grade::grade;
use twostage::drill::{Act, Attempt, Drill};
use twostage::report::drills::{When, unsafe_words};
use twostage::service::{Bubbles, Joint};
use twostage::solver::Method;
use twostage::units::System;
use twostage::visit::{Test, Told};

const SMELL: &str = "It is all weak, and there is a whiff of gas near the sink.";
const QUIET: &str = "It is all weak.";

/// A small rig with these faults and this complaint, which reports escaping gas or does not.
fn drill(complaint: &str, gas_told: bool, faults: &[&str]) -> Arc<Drill> {
    let faults: String = faults
        .iter()
        .map(|f| format!("[[fault]]\nname = \"{f}\"\nseverity = 0.6\n"))
        .collect::<Vec<_>>()
        .concat();
    let text = format!(
        "format = 1\ntitle = \"Small\"\ncomplaint = \"{complaint}\"\ngas_told = {gas_told}\n{faults}\n[scenario]\ntitle = \"A small rig\"\n\
         [[scenario.container]]\nkind = \"30 lb cylinder\"\n[[scenario.appliance]]\nkind = \"cooktop\"\n\
         [scenario.run]\nduration = \"1 h\"\n"
    );
    Arc::new(Drill::read("small.toml", &text, None).unwrap_or_else(|e| panic!("{e}")))
}

/// What was unsafe about some acts, and the marks.
fn noticed(drill: &Arc<Drill>, acts: &[&str]) -> (Vec<Unsafe>, f64) {
    let (mut a, mut s) =
        Attempt::unlogged(drill.clone(), "Ada", Method::Stiff).unwrap_or_else(|e| panic!("{e}"));
    for words in acts {
        go(&mut a, &mut s, words);
    }
    let all = a.entries().iter().flat_map(|e| e.noticed.clone()).collect();
    (all, grade(drill, a.entries(), a.answer()).total())
}

fn half_sought(escaped: bool, left_out: &[Joint]) -> Unsafe {
    Unsafe::LitHalfSought {
        escaped,
        left_out: left_out.to_vec(),
    }
}

const ANSWER: &str = "answer low_side_leak repair shut off";

#[test]
fn who_lights_before_looking_is_held_to_what_the_owner_said() {
    let told = drill(SMELL, true, &["low_side_leak"]);
    let (blind, blind_total) = noticed(&told, &["light half", "test joints", ANSWER]);
    assert_eq!(blind, [Unsafe::LitBesideToldGas]);
    assert!(blind[0].is_grave());
    let (looked, total) = noticed(&told, &["test joints", ANSWER]);
    assert_eq!(looked, []);
    assert!(total > blind_total, "{total} {blind_total}");
    // A test that lights is a flame as well, the look at the vents with gas flowing among them.
    for test in [
        "test flow pressure",
        "test vent",
        "test first stage",
        "test look and listen",
    ] {
        assert_eq!(
            noticed(&told, &[test]).0,
            [Unsafe::LitBesideToldGas],
            "{test}"
        );
    }
    // Found and lit stays what it was, and no blind one stands above it.
    let (found, found_total) = noticed(&told, &["test joints", "light half", ANSWER]);
    assert_eq!(found, [Unsafe::LitWhileGasEscaped]);
    assert!(blind_total <= found_total);
    // Leak fluid on hose and low side looks for it too; on the hose alone it does not, and what was left out is said.
    let by_hand = ["fluid pigtail", "fluid low side", "light half"];
    assert_eq!(noticed(&told, &by_hand).0, [Unsafe::LitWhileGasEscaped]);
    let half = noticed(&told, &["fluid pigtail", "light half"]).0;
    assert_eq!(half, [half_sought(true, &[Joint::LowSide])]);
    assert!(half[0].is_grave());
    // Left in use without a look: what leaks is left leaking, though nobody found it.
    let left = noticed(
        &told,
        &["read outlet", "answer low_side_leak repair in use"],
    )
    .0;
    assert!(left.contains(&Unsafe::LeftLeaking), "{left:?}");
}

#[test]
fn where_nothing_escapes_it_is_told_once_and_fails_nobody() {
    let told = drill(SMELL, true, &["second_screw_low"]);
    let (twice, _) = noticed(&told, &["light half", "light all"]);
    assert_eq!(twice, [Unsafe::LitUnsought]);
    assert!(!twice[0].is_grave());
    assert_eq!(noticed(&told, &["test joints", "light half"]).0, []);
    assert_eq!(noticed(&told, &["test lock-up", "read outlet"]).0, []);
}

/// Every order of some of these looks, none among them.
fn orders(of: &[&'static str]) -> Vec<Vec<&'static str>> {
    let mut out = vec![Vec::new()];
    for (i, first) in of.iter().enumerate() {
        let rest: Vec<&str> = [&of[..i], &of[i + 1..]].concat();
        for mut order in orders(&rest) {
            order.insert(0, *first);
            out.push(order);
        }
    }
    out
}

/// One order of looks: what was told and noticed, and the marks where a burner was lit after it and where none was.
struct Went {
    looks: Vec<&'static str>,
    found: bool,
    noticed: Vec<Unsafe>,
    lit: f64,
    unlit: f64,
}

fn went(drill: &Arc<Drill>, looks: &[&'static str]) -> Went {
    let go_through = |last: &[&str]| {
        let (mut a, mut s) = Attempt::unlogged(drill.clone(), "Ada", Method::Stiff)
            .unwrap_or_else(|e| panic!("{e}"));
        for words in looks.iter().chain(last) {
            go(&mut a, &mut s, words);
        }
        let total = grade(drill, a.entries(), a.answer()).total();
        (a.entries().to_vec(), total)
    };
    let (entries, lit) = go_through(&["light half", "off all", ANSWER]);
    let bubbles = |t: &Told| match t {
        Told::Fluid(_, bubbles) => *bubbles > Bubbles::None,
        Told::Test { .. } => t.gas_escapes(true),
        _ => false,
    };
    Went {
        looks: looks.to_vec(),
        found: entries.iter().any(|e| bubbles(&e.told)),
        noticed: entries.iter().flat_map(|e| e.noticed.clone()).collect(),
        lit,
        unlit: go_through(&[ANSWER]).1,
    }
}

/// Whatever is looked at in whatever order, wherever the gas comes out: blind stands no higher than found and lit, that no
/// higher than looked, found nothing and lit, and that no higher than not lit. A relief that weeps now and then, as the seat lets
/// up, is a leak whenever it is looked at.
#[test]
fn whoever_looks_stands_no_lower_wherever_gas_escapes() {
    let by_hand = ["fluid second vent", "fluid pigtail", "fluid low side"];
    for (fault, escapes) in [
        ("second_seat_nick", true),
        ("low_side_leak", true),
        ("pigtail_leak", true),
        ("second_screw_low", false),
    ] {
        let d = drill(SMELL, true, &[fault]);
        let mut all = orders(&by_hand);
        all.push(vec!["test joints"]);
        all.push(vec!["fluid second vent", "test joints"]);
        let all: Vec<Went> = all.iter().map(|looks| went(&d, looks)).collect();
        let blind = &all[0];
        assert!(blind.looks.is_empty());
        assert_eq!(blind.noticed[0].is_grave(), escapes, "{fault}");
        for w in &all {
            let at = format!(
                "{fault} {:?} {:?} {} {}",
                w.looks, w.noticed, w.lit, w.unlit
            );
            assert!(blind.lit <= w.lit && w.lit <= w.unlit, "{at}");
            assert!(!w.found || escapes, "{at}");
            let whole = ["fluid pigtail", "fluid low side"]
                .iter()
                .all(|l| w.looks.contains(l))
                || w.looks.contains(&"test joints");
            if w.found {
                assert_eq!(w.noticed, [Unsafe::LitWhileGasEscaped], "{at}");
            } else if whole {
                assert_eq!(w.noticed, [], "{at}");
            } else {
                assert_eq!(w.noticed[0].is_grave(), escapes, "{at}");
            }
            // Nobody who looked at something is told that nobody looked.
            let nobody = [Unsafe::LitBesideToldGas, Unsafe::LitUnsought];
            assert!(
                w.looks.is_empty() || w.noticed.iter().all(|u| !nobody.contains(u)),
                "{at}"
            );
        }
        let (found, none): (Vec<&Went>, Vec<&Went>) = all[1..].iter().partition(|w| w.found);
        println!("{fault}: found in {} of {}", found.len(), all.len());
        assert_eq!(!found.is_empty(), escapes, "{fault}");
        for (f, n) in found.iter().flat_map(|f| none.iter().map(move |n| (f, n))) {
            assert!(f.lit <= n.lit, "{fault}: {:?} over {:?}", f.looks, n.looks);
        }
    }
}

/// What a class reads of an attempt and what its debrief says are one.
#[test]
fn the_habits_of_a_class_agree_with_what_was_noticed() {
    let d = drill(SMELL, true, &["low_side_leak"]);
    for (acts, kept) in [
        (
            &["fluid second vent", "fluid pigtail", "light half"][..],
            false,
        ),
        (&["look", "listen", "light half"], false),
        (&["fluid low side", "fluid pigtail", "light half"], true),
        (&["test joints", "light half"], true),
    ] {
        let (mut a, mut s) =
            Attempt::unlogged(d.clone(), "Ada", Method::Stiff).unwrap_or_else(|e| panic!("{e}"));
        for words in acts {
            go(&mut a, &mut s, words);
        }
        assert_eq!(habits(&d, a.entries())[0], Some(kept), "{acts:?}");
    }
}

#[test]
fn without_a_report_nobody_is_held_to_it_and_the_file_says_so_not_the_words() {
    let quiet = drill(QUIET, false, &["low_side_leak"]);
    assert!(!quiet.gas_told);
    assert_eq!(noticed(&quiet, &["light half"]).0, []);
    let said = drill(QUIET, true, &["low_side_leak"]);
    assert_eq!(
        noticed(&said, &["light half"]).0,
        [Unsafe::LitBesideToldGas]
    );
    let denied = drill(SMELL, false, &["low_side_leak"]);
    assert_eq!(noticed(&denied, &["light half"]).0, []);
    let text = quiet.to_open().replace("gas_told = false\n", "");
    let unasked = Drill::read("unasked.toml", &text, None).expect_err("an author is asked");
    assert!(unasked.to_string().contains("`gas_told`"), "{unasked}");
    for d in [&quiet, &said, &denied] {
        let again = Drill::read("again.toml", &d.to_open(), None).unwrap_or_else(|e| panic!("{e}"));
        assert_eq!(again.gas_told, d.gas_told);
    }
}

/// Of the shipped drills those whose owner speaks of a smell, of bubbles, of a hiss or a roar say so, and no other.
#[test]
fn of_the_shipped_drills_those_that_report_gas_say_so() {
    let tell = |(name, text): &(&'static str, &str)| {
        let drill = Drill::read(name, text, None).unwrap_or_else(|e| panic!("{e}"));
        drill.gas_told.then_some(*name)
    };
    let mut told: Vec<&str> = DRILLS.iter().filter_map(tell).collect();
    told.sort_unstable();
    assert_eq!(
        told,
        [
            "a_faint_smell_in_the_morning",
            "a_hiss_at_night",
            "a_little_soap_tells",
            "a_smell_and_weak_flames",
            "a_smell_at_the_tongue",
            "bubbles_for_no_reason",
            "the_roar_by_the_wheel"
        ]
    );
}

/// What was read is read: leak fluid and other looks do not take it back, a burner does.
#[test]
fn a_reading_stands_through_a_look_at_the_joints() {
    let d = drill(QUIET, false, &["second_screw_low"]);
    let screw = "screw second +30";
    assert_eq!(noticed(&d, &["read outlet", "test joints", screw]).0, []);
    let lit = noticed(&d, &["read outlet", "light half", screw]).0;
    assert_eq!(lit, [Unsafe::ScrewWithoutGauge]);
}

/// A valve that is open is not opened: no time, no mark.
#[test]
fn an_open_valve_is_not_opened_again() {
    let d = drill(QUIET, false, &["second_screw_low"]);
    let (mut a, mut s) =
        Attempt::unlogged(d, "Ada", Method::Stiff).unwrap_or_else(|e| panic!("{e}"));
    for words in ["open", "open fast"] {
        let act = Act::parse(words, s.rig()).unwrap_or_else(|e| panic!("{e}"));
        let refused = a.act(&mut s, &act, &mut |_| true).expect_err(words);
        assert!(refused.to_string().contains("open already"), "{refused}");
    }
    assert!(a.entries().is_empty() && s.time_s() == 0.0);
    go(&mut a, &mut s, "shut");
    go(&mut a, &mut s, "open fast");
    assert_eq!(a.entries()[1].noticed, [Unsafe::OpenedFast]);
}

/// Of what was read of it so low that nothing would burn, the one thing is plain: it is too low.
#[test]
fn what_is_too_low_is_judged_a_fail_whatever_burns() {
    let d = drill(QUIET, false, &["second_screw_low"]);
    for test in ["test flow pressure", "test lock-up", "test leak check"] {
        let (mut a, mut s) =
            Attempt::unlogged(d.clone(), "Ada", Method::Stiff).unwrap_or_else(|e| panic!("{e}"));
        // What stands behind the seat from before is drawn off first.
        for words in ["light all", "off all", test] {
            go(&mut a, &mut s, words);
        }
        let told = &a.entries()[2].told;
        let verdict = told.verdict();
        assert_eq!(
            verdict,
            Some(twostage::visit::Verdict::Fail),
            "{test}: {told:?}"
        );
    }
}

/// What is said while an attempt goes on is what was done: whether gas escapes is for a look to find, and nobody who did not look
/// hears it. With the marks it is told.
#[test]
fn what_is_said_at_once_does_not_tell_whether_gas_escapes() {
    for acts in [
        &["light half"][..],
        &["fluid pigtail", "light half"],
        &["light half", "light all"],
    ] {
        let said = |fault: &str, when: When| -> Vec<(&str, String)> {
            let d = drill(SMELL, true, &[fault]);
            let rig = &d.scenario.rig;
            let all = noticed(&d, acts).0;
            all.iter()
                .map(|u| unsafe_words(u, rig, System::Us, when))
                .collect()
        };
        for when in [When::Training, When::Exam] {
            let (leaks, tight) = (said("low_side_leak", when), said("second_screw_low", when));
            assert_eq!(leaks, tight, "{acts:?}");
            assert_eq!(leaks.len(), 1, "{acts:?}");
        }
        let (leaks, tight) = (
            said("low_side_leak", When::Ended),
            said("second_screw_low", When::Ended),
        );
        assert_ne!(leaks, tight, "{acts:?}");
    }
}

/// What is held against somebody as a leak that they found is a reading too, whatever burned as they found it.
#[test]
fn bubbles_that_count_for_safety_count_as_a_reading() {
    for (fault, look) in [
        ("low_side_leak", "fluid low side"),
        ("pigtail_leak", "fluid pigtail"),
        ("diaphragm_pinhole", "fluid second vent"),
    ] {
        let d = drill(QUIET, false, &[fault]);
        for lit in ["light all", "off all"] {
            for waits in ["wait 5 s", "wait 1 min", "wait 20 min"] {
                let (mut a, mut s) = Attempt::unlogged(d.clone(), "Ada", Method::Stiff)
                    .unwrap_or_else(|e| panic!("{e}"));
                for words in [lit, waits, look] {
                    go(&mut a, &mut s, words);
                }
                let at = &a.entries()[2];
                let known = at.told.gas_escapes(at.observations().next().is_some());
                let read = at.found.iter().any(|o| o.value >= 1.0);
                assert_eq!(known, read, "{fault}: {lit}, {waits}: {:?}", at.told);
                assert!(
                    fault == "diaphragm_pinhole" || known,
                    "{fault}: {:?}",
                    at.told
                );
            }
        }
    }
}

/// Gas that blew out of an open line is in the air as that of a burner without a flame is.
#[test]
fn after_a_line_stood_open_under_gas_nothing_is_lit_at_once() {
    let d = drill(QUIET, false, &["second_screw_low"]);
    let lit = |acts: &[&str]| {
        noticed(&d, acts)
            .0
            .contains(&Unsafe::LitWhereGasHadGathered)
    };
    assert!(lit(&["new hose", "light half"]));
    assert!(lit(&["new hose", "fluid pigtail", "light half"]));
    assert!(!lit(&["new hose", "wait 15 min", "light half"]));
    assert!(!lit(&[
        "shut",
        "light half",
        "off all",
        "bleed",
        "new hose",
        "open",
        "light half"
    ]));
}

/// Beside a leak that was found no lock-up is asked for: the container is shut, and a leak check tells what the low side loses.
#[test]
fn after_bubbles_at_a_joint_a_leak_check_is_the_best_next() {
    let d = drill(SMELL, true, &["low_side_leak"]);
    let mut shelf = Shelf::of(some_faults());
    let causes = shelf.causes(&d.scenario, &mut |_| true).expect("a library");
    let (mut a, mut s) =
        Attempt::unlogged(d.clone(), "Ada", Method::Stiff).unwrap_or_else(|e| panic!("{e}"));
    go(&mut a, &mut s, "test joints");
    let mut course = Course::new(causes);
    for e in a.entries() {
        course.take(&Act::parse(&e.act, s.rig()).expect("an act"), e);
    }
    let may = May::after(&d, &course, a.entries(), s.rig());
    let next = may.next(causes, &course, &offer_of(&d));
    assert_eq!(next, Some((Test::LeakCheck, Some(Reason::Found))));
}
