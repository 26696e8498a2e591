//! What is judged is what was done and what was read: a verb without its part is no job, a failed test forbids use, a sound stage is
//! left alone, a reported leak is not waited beside. Each both ways.

use crate::common::{go, shipped};
use std::sync::Arc;
use twostage::drill::attempt::NotDone;
use twostage::drill::attempt::safety::Unsafe;
use twostage::drill::making::shipped::DRILLS;
use twostage::drill::marking::grade::{Grade, grade};
use twostage::drill::marking::weigh::weigh;
use twostage::drill::{Act, Attempt, Drill};
use twostage::scenario::WhichStage;
use twostage::sim::Simulation;
use twostage::solver::Method;
use twostage::visit::{Effect, Test, Told};

fn named(name: &str) -> Arc<Drill> {
    let of = DRILLS.iter().position(|d| d.0 == name);
    let (name, text) = shipped(of.expect("a shipped drill"));
    Arc::new(Drill::read(name, text, None).unwrap_or_else(|e| panic!("{e}")))
}

fn open(text: &str) -> Arc<Drill> {
    Arc::new(Drill::read("own.toml", text, None).unwrap_or_else(|e| panic!("{e}")))
}

fn begun(d: &Arc<Drill>) -> (Attempt, Simulation) {
    Attempt::unlogged(d.clone(), "Ada", Method::Stiff).unwrap_or_else(|e| panic!("{e}"))
}

fn done(d: &Arc<Drill>, acts: &[&str]) -> Attempt {
    let (mut a, mut s) = begun(d);
    for words in acts {
        go(&mut a, &mut s, words);
    }
    a
}

fn marked(d: &Arc<Drill>, acts: &[&str]) -> (Vec<Unsafe>, Grade) {
    let a = done(d, acts);
    let noticed = a.entries().iter().flat_map(|e| e.noticed.clone());
    (noticed.collect(), grade(d, a.entries(), a.answer()))
}

/// The line is crushed; the regulator is sound.
fn crushed() -> Arc<Drill> {
    open(
        "format = 1\ntitle = \"Back\"\ncomplaint = \"Weak at the back.\"\ngas_told = false\n[[fault]]\n\
        name = \"line_crushed\"\nseverity = 0.8\n[scenario]\ntitle = \"A rig\"\n[[scenario.container]]\n\
        kind = \"30 lb cylinder\"\n[[scenario.appliance]]\nkind = \"furnace\"\n[[scenario.appliance]]\n\
        kind = \"cooktop\"\n[scenario.run]\nduration = \"1 h\"\n",
    )
}

#[test]
fn a_repair_at_another_part_is_no_job() {
    let d = named("a_faint_smell_in_the_morning");
    let own = d.cause()[0];
    let read = ["test joints"];
    let action = |cause: &str, job: &str| {
        let answer = format!("answer {cause} {job} shut off");
        marked(&d, &[&read[..], &[&answer]].concat()).1
    };
    let job = own.entry().puts_right().next().expect("a job").id();
    let right = action(own.id(), job);
    for wrong in [
        "container_cold",
        "second_seat_nick",
        "pigtail_leak",
        "low_side_leak",
    ] {
        if wrong != own.id() {
            let g = action(wrong, job);
            assert!(
                g.action.given < right.action.given,
                "{wrong}: {:?}",
                g.action
            );
            assert!(g.total() < right.total(), "{wrong}");
        }
    }
    assert_eq!(action("container_cold", job).action.given, 0.0);
}

#[test]
fn a_failed_test_forbids_use_of_what_still_has_its_fault() {
    let d = named("high_at_rest_weak_at_the_back");
    let answer = "answer line_crushed repair in use";
    let (noticed, failed) = marked(&d, &["test full load", "judge pass", answer]);
    let grave = Unsafe::LeftAgainstTest(Test::FullLoad);
    assert!(noticed.contains(&grave) && !noticed.contains(&Unsafe::LeftWithTheFault));
    assert_eq!(failed.total(), 0.0);
    // Who read nothing of it did not know; it costs, and fails nobody.
    let (noticed, unread) = marked(&d, &["test container pressure", answer]);
    assert!(noticed.contains(&Unsafe::LeftWithTheFault), "{noticed:?}");
    assert!(unread.failed.is_none(), "{noticed:?}");
    let shut = "answer line_crushed repair shut off";
    assert_eq!(marked(&d, &["test full load", "judge fail", shut]).0, []);
}

#[test]
fn a_sound_stage_is_not_turned() {
    let d = crushed();
    let of = |acts: &[&str]| {
        let (noticed, _) = marked(&d, &[&["test full load"][..], acts].concat());
        let turned = Unsafe::TurnedSound(WhichStage::Second);
        noticed.into_iter().filter(|u| *u == turned).count()
    };
    assert_eq!(of(&["screw second +360"]), 1);
    // It is one deed, however far.
    assert_eq!(
        of(&["screw second +360", "read outlet", "screw second +90"]),
        1
    );
    // What stays at its setting was not turned off it.
    assert_eq!(of(&["screw second +20"]), 0);
}

#[test]
fn a_sound_part_that_is_replaced_costs() {
    let d = crushed();
    let answer = "answer line_crushed repair shut off";
    let read = ["test full load", "test along the line"];
    let read: Vec<&str> = read
        .into_iter()
        .filter(|w| Act::parse(w, begun(&d).1.rig()).is_ok())
        .collect();
    let of = |deeds: &[&str]| {
        let a = done(&d, &[&read[..], deeds, &[answer]].concat());
        weigh(&d, a.entries(), a.answer()).needless
    };
    assert!(of(&["shut", "off all", "bleed", "new regulator"]).is_some());
    assert_eq!(of(&[]), None);
}

#[test]
fn a_reported_leak_is_not_waited_beside() {
    let d = named("a_faint_smell_in_the_morning");
    let of = |acts: &[&str]| marked(&d, acts).0;
    assert_eq!(of(&["wait 5 min"]), [Unsafe::WaitedUnsought]);
    assert_eq!(
        of(&["wait 4 min", "wait 1 min", "wait 10 min"]),
        [Unsafe::WaitedUnsought]
    );
    assert_eq!(of(&["shut", "wait 30 min"]), []);
    assert_eq!(of(&["wait 4 min"]), []);
    assert_eq!(of(&["test joints", "wait 10 min"]), []);
    // Whoever shut it first is not sent to open it before leak fluid was tried.
    let (mut a, mut s) = begun(&d);
    go(&mut a, &mut s, "shut");
    let joints = Act::parse("test joints", s.rig()).expect("an act");
    let refused = a
        .act(&mut s, &joints, &mut |_| true)
        .expect_err("it is shut");
    assert!(
        refused.to_string().contains("leak fluid on by hand first"),
        "{refused}"
    );
    go(&mut a, &mut s, "fluid low side");
}

#[test]
fn a_suspicion_follows_from_what_was_read_or_it_is_a_guess() {
    let d = named("a_faint_smell_in_the_morning");
    let own = d.cause()[0].id().to_owned();
    let note = format!("note {own} 80 %");
    let answer = format!("answer {own} repair shut off");
    let of = |acts: &[&str]| weigh(&d, done(&d, acts).entries(), None).suspected;
    assert_eq!(
        of(&["test joints", &note, &answer]),
        1.0,
        "at once after what told it"
    );
    assert_eq!(of(&["test joints", &note, "wait 1 min"]), 1.0);
    assert_eq!(
        of(&[&note, "test joints", &answer]),
        0.0,
        "nothing was read"
    );
    assert_eq!(
        of(&["listen", &note, "test joints", &answer]),
        0.0,
        "quiet tells nothing of it"
    );
    assert_eq!(
        of(&["test joints", "test joints", &note, &answer]),
        0.0,
        "late, and with nothing to follow"
    );
}

#[test]
fn on_two_bottles_a_shut_valve_says_what_is_open() {
    let d = open(
        "format = 1\ntitle = \"Twins\"\ncomplaint = \"Weak.\"\ngas_told = false\n[[fault]]\nname = \"changeover_stuck\"\n\
        severity = 0.9\n[scenario]\ntitle = \"Two bottles\"\n[[scenario.container]]\nkind = \"30 lb cylinder\"\n\
        [[scenario.container]]\nkind = \"30 lb cylinder\"\n[[scenario.appliance]]\nkind = \"cooktop\"\n\
        [scenario.run]\nduration = \"1 h\"\n",
    );
    let (mut a, mut s) = begun(&d);
    let shut = |a: &mut Attempt, s: &mut Simulation, words: &str| {
        go(a, s, words);
        match a.entries().last().map(|e| e.told.clone()) {
            Some(Told::Deed(_, effect)) => effect,
            other => panic!("{other:?}"),
        }
    };
    let one = shut(&mut a, &mut s, "shut 1");
    assert_eq!(
        one,
        Effect::Shut {
            container: 0,
            open: Some(1)
        }
    );
    let bleed = Act::parse("bleed", s.rig()).expect("an act");
    let refused = a
        .act(&mut s, &bleed, &mut |_| true)
        .expect_err("one is open");
    assert!(
        refused
            .to_string()
            .contains("the right container's valve is open"),
        "{refused}"
    );
    let both = shut(&mut a, &mut s, "shut 2");
    assert_eq!(
        both,
        Effect::Shut {
            container: 1,
            open: None
        }
    );
    go(&mut a, &mut s, "bleed");
}

#[test]
fn a_part_that_takes_longer_than_is_left_is_not_begun() {
    let d = crushed();
    let new = |minutes: &str| {
        let (mut a, mut s) = begun(&d);
        for words in [minutes, "shut", "off all", "bleed"] {
            go(&mut a, &mut s, words);
        }
        let act = Act::parse("new regulator", s.rig()).expect("an act");
        a.act(&mut s, &act, &mut |_| true).map(|_| ())
    };
    assert!(new("wait 1 min").is_ok());
    match new("wait 55 min") {
        Err(NotDone::Refused(why)) => {
            assert!(why.to_string().contains("nothing after it"), "{why}");
        }
        other => panic!("{other:?}"),
    }
    let told = Act::parse("answer healthy none in use", begun(&d).1.rig()).expect_err("no cause");
    assert!(told.message.contains("every drill has a fault"), "{told}");
}
