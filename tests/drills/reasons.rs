//! "Why this test?": asked before each test where the drill says so, and seen again afterwards; and what each act gained,
//! told in plain words.

use crate::common::{drill, go, some_faults};
use std::sync::Arc;
use twostage::drill::attempt::Attempt;
use twostage::drill::making::make::Shelf;
use twostage::drill::marking::debrief::debrief;
use twostage::drill::{Act, Drill, NotDone};
use twostage::report::marks::gained;
use twostage::solver::Method;

#[test]
fn a_drill_asks_why_before_each_test_and_keeps_the_reason() {
    let open = Drill {
        asks_why: true,
        ..(*drill(1)).clone()
    };
    let d = Drill::read("why", &open.to_open(), None).unwrap_or_else(|e| panic!("{e}"));
    assert!(d.asks_why && !drill(1).asks_why);
    let (mut a, mut s) =
        Attempt::unlogged(Arc::new(d), "Ada", Method::Stiff).unwrap_or_else(|e| panic!("{e}"));
    let test = Act::parse("test lock-up", s.rig()).expect("a test");
    let refused = |a: &mut Attempt, s: &mut _| {
        matches!(a.act(s, &test, &mut |_| true), Err(NotDone::Refused(_)))
    };
    assert!(refused(&mut a, &mut s));
    go(&mut a, &mut s, "why  to see whether it creeps");
    assert_eq!(s.time_s(), 0.0, "a reason costs no time");
    go(&mut a, &mut s, "test lock-up");
    assert!(refused(&mut a, &mut s), "one reason is for one test");
    let acts: Vec<&str> = a.entries().iter().map(|e| e.act.as_str()).collect();
    assert_eq!(acts, ["why to see whether it creeps", "test lock-up"]);
    assert!(Act::parse("why ", s.rig()).is_err());
    // A look needs no reason.
    go(&mut a, &mut s, "look");
}

#[test]
fn each_look_tells_what_it_gained_against_what_it_could() {
    let d = drill(1);
    let (mut a, mut s) =
        Attempt::unlogged(d.clone(), "Ada", Method::Stiff).unwrap_or_else(|e| panic!("{e}"));
    for words in [
        "note second_seat_nick 40 %",
        "listen",
        "test lock-up",
        "test creep",
        "off all",
    ] {
        go(&mut a, &mut s, words);
    }
    let mut shelf = Shelf::of(some_faults()[..8].to_vec());
    let causes = shelf.causes(&d.scenario, &mut |_| true).expect("a library");
    let found = debrief(&d, causes, a.entries(), None).unwrap_or_else(|e| panic!("{e}"));
    let told: Vec<Option<String>> = found.steps.iter().map(gained).collect();
    assert!(
        told[0].is_none() && told[4].is_none(),
        "only a look gains: {told:?}"
    );
    for told in &told[1..4] {
        let told = told.as_ref().expect("a look");
        assert!(!told.contains("bit"), "{told}");
        assert!(told.contains("cause") && told.contains("; "), "{told}");
    }
    println!("{told:#?}");
    assert!(
        told[2].as_ref().expect("a look").contains("narrowed"),
        "{told:?}"
    );
    for step in &found.steps {
        assert!(step.open >= 1.0 - 1e-9 && step.open_before >= 1.0 - 1e-9);
        let could = step.could.map_or(1.0, |c| c.1);
        assert!(could.is_finite() && could >= 1.0 - 1e-9);
    }
}
