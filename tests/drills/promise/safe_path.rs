//! What the program asks for is safe by its own rules: the tests of its path, made one after the other by whoever does nothing
//! beside them; a flame that a test let die; gas that blows out, which ends it.

use crate::common::{go, shipped};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use twostage::drill::attempt::path::path_of;
use twostage::drill::attempt::safety::Unsafe;
use twostage::drill::attempt::way::{May, offer_of};
use twostage::drill::making::file::Worked;
use twostage::drill::making::make::Shelf;
use twostage::drill::making::shipped::DRILLS;
use twostage::drill::marking::course::Course;
use twostage::drill::marking::grade::grade;
use twostage::drill::marking::weigh::{rod_of, weigh};
use twostage::drill::reasoning::assess::causes_for;
use twostage::drill::reasoning::difficulty::Difficulty;
use twostage::drill::reasoning::rod::Rod;
use twostage::drill::{Act, Attempt, Drill};
use twostage::fault::Fault;
use twostage::report::marks::{best_next, why};
use twostage::rig::Phase;
use twostage::sim::Simulation;
use twostage::solver::Method;
use twostage::visit::{Burner, Looks, Test};

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

fn noticed(a: &Attempt) -> Vec<Unsafe> {
    a.entries().iter().flat_map(|e| e.noticed.clone()).collect()
}

/// A drill's own path by its tests alone, nothing shut and nothing lit by hand between them, and the right answer at its end.
fn is_safe(n: usize) {
    let (name, text) = shipped(n);
    let d = Arc::new(Drill::read(name, text, None).unwrap_or_else(|e| panic!("{e}")));
    let rod = rod_of(&d).unwrap_or_else(|| panic!("{name}: no rod"));
    let values = rod
        .truth(&d.causes())
        .unwrap_or_else(|e| panic!("{name}: {e}"));
    let causes = causes_for(&rod, &offer_of(&d), &d.cause(), &values);
    let accepts = &d.worked.as_ref().expect("sealed").accepts;
    let right: Vec<usize> = accepts.iter().filter_map(|c| causes.find(c)).collect();
    let path = path_of(&d, &causes, &right, &mut |_| {}).unwrap_or_else(|e| panic!("{name}: {e}"));
    let (mut a, mut s) = begun(&d);
    s.advance(d.onset_s(), None, &mut |_| {})
        .unwrap_or_else(|e| panic!("{name}: {e}"));
    for (test, _) in &path.steps {
        let act = Act::parse(&format!("test {}", test.words()), s.rig()).expect("a test");
        let made = a.act(&mut s, &act, &mut |_| true).is_ok();
        if !made {
            // What burns stands in its way.
            go(&mut a, &mut s, "off all");
            go(&mut a, &mut s, &format!("test {}", test.words()));
        }
    }
    let cause: Vec<String> = d.cause().iter().map(ToString::to_string).collect();
    go(
        &mut a,
        &mut s,
        &format!("answer {} replace shut off", cause.join("+")),
    );
    assert_eq!(noticed(&a), [], "{name}: {:?}", path.steps);
    let g = grade(&d, a.entries(), a.answer());
    assert!(
        g.failed.is_none() && g.safety.given >= g.safety.of,
        "{name}"
    );
}

/// Every third of the shipped ones here; the path of all of them is gone by `benches/trainees.rs`.
const EVERY: usize = 3;

#[test]
fn whoever_goes_the_programs_own_path_does_nothing_unsafe() {
    let next = AtomicUsize::new(0);
    std::thread::scope(|scope| {
        for _ in 0..std::thread::available_parallelism().map_or(2, usize::from) {
            scope.spawn(|| {
                loop {
                    let n = next.fetch_add(EVERY, Ordering::Relaxed);
                    if n >= DRILLS.len() {
                        break;
                    }
                    is_safe(n);
                }
            });
        }
    });
}

/// Two bottles on a changeover that never moves: with the side that serves shut all flames die, and gas comes back.
fn twins() -> Arc<Drill> {
    let text = "format = 1\ntitle = \"Twins\"\ncomplaint = \"Weak on the right bottle.\"\ngas_told = false\n\
        [[fault]]\nname = \"changeover_stuck\"\nseverity = 0.9\n[scenario]\ntitle = \"Two bottles\"\n\
        [[scenario.container]]\nkind = \"30 lb cylinder\"\n[[scenario.container]]\nkind = \"30 lb cylinder\"\n\
        [scenario.supply]\nservice_side = 1\n[[scenario.appliance]]\nkind = \"furnace\"\n[[scenario.appliance]]\nkind = \"water heater\"\n[[scenario.appliance]]\nkind = \"cooktop\"\n[[scenario.appliance]]\nkind = \"oven\"\n\
        [scenario.run]\nduration = \"1 h\"\n";
    Arc::new(Drill::read("twins.toml", text, None).unwrap_or_else(|e| panic!("{e}")))
}

#[test]
fn what_a_test_let_die_it_shuts() {
    let d = twins();
    let (mut a, mut s) = begun(&d);
    go(&mut a, &mut s, "test reserve side");
    let unlit = |b: &Burner| b.on && b.looks == Looks::Controls(Phase::OpenUnlit);
    let burners = a.outside(&s).burners;
    assert!(!burners.iter().any(unlit), "{burners:?}");
    for words in ["listen", "test full load", "test look and listen"] {
        go(&mut a, &mut s, words);
    }
    assert_eq!(noticed(&a), []);
    // By hand it is as before: who lets them die and lights on has gas gathered.
    let by_hand = [
        "light all",
        "shut 1",
        "wait 10 min",
        "open 1",
        "wait 10 s",
        "light all",
    ];
    let (mut a, mut s) = begun(&d);
    for words in by_hand {
        if let Ok(act) = Act::parse(words, s.rig()) {
            // An opening beside what stands open may be refused.
            let _ = a.act(&mut s, &act, &mut |_| true);
        }
    }
    assert!(!noticed(&a).is_empty(), "{:?}", a.entries().last());
}

fn roar() -> Arc<Drill> {
    let of = DRILLS.iter().position(|d| d.0 == "the_roar_by_the_wheel");
    let (name, text) = shipped(of.expect("a shipped drill"));
    Arc::new(Drill::read(name, text, None).unwrap_or_else(|e| panic!("{e}")))
}

const RIGHT: &str = "answer diaphragm_torn replace shut off";

/// Gas that is heard to blow out: the container is shut for it, and that is all that is asked for. Left to blow, or tested beside, it
/// costs half of safety, once until the container is shut.
#[test]
fn gas_that_blows_out_is_shut_off_and_not_tested_beside() {
    let d = roar();
    let of = |acts: &[&str]| {
        let a = done(&d, acts);
        (noticed(&a), grade(&d, a.entries(), a.answer()))
    };
    let (shut, best) = of(&["listen", "shut 1", RIGHT]);
    let (sought, found) = of(&["listen", "fluid second vent", RIGHT]);
    assert_eq!((&shut[..], &sought[..]), (&[][..], &[][..]));
    for g in [&best, &found] {
        assert_eq!(g.safety.given, 20.0);
        assert_eq!(g.cause.given, 30.0, "{:?}", g.cause.why);
        assert_eq!(g.action.given, 20.0, "{:?}", g.action.why);
    }
    let (left, waited) = of(&["listen", "wait 40 min", RIGHT]);
    let (beside, tested) = of(&["listen", "test lock-up", "test creep", RIGHT]);
    assert_eq!(
        (&left[..], &beside[..]),
        (&[Unsafe::LeftBlowing][..], &[Unsafe::LeftBlowing][..])
    );
    assert_eq!((waited.safety.given, tested.safety.given), (10.0, 10.0));
    assert!(best.total() > waited.total() && best.total() > tested.total());
    // Nobody is held to what they have not heard, but to what the owner reports; and shut it may stand as long as it likes.
    let unheard = of(&["wait 20 min", "listen", RIGHT]).0;
    assert_eq!(unheard, [Unsafe::WaitedUnsought]);
    assert_eq!(of(&["shut 1", "wait 20 min", RIGHT]).0, []);
    assert_eq!(of(&["listen", "shut 1", "wait 40 min", RIGHT]).0, []);
}

#[test]
fn after_gas_that_blows_out_the_next_is_the_container() {
    let d = roar();
    let rod = rod_of(&d).expect("sealed");
    let a = done(&d, &["listen"]);
    let told = twostage::drill::marking::debrief::debrief(&d, &rod, a.entries(), None);
    let told = told.unwrap_or_else(|e| panic!("{e}"));
    let next = best_next(&told.steps[0]).expect("something");
    assert!(next.starts_with("shut the container"), "{next}");
    let (_, s) = begun(&d);
    let mut course = Course::new(&rod);
    for e in a.entries() {
        course.take(&Act::parse(&e.act, s.rig()).expect("an act"), e);
    }
    let may = May::after(&d, &course, a.entries(), s.rig());
    assert!(may.shuts_first() && !may.allows(Test::LockUp) && !may.allows(Test::LeakCheck));
    let a = done(&d, &["listen", "shut 1"]);
    assert!(!May::after(&d, &course, a.entries(), s.rig()).shuts_first());
}

/// What was shown once stays shown: a test more takes nothing of the evidence, whatever it makes likelier.
#[test]
fn a_test_more_takes_nothing_of_the_evidence() {
    for (n, (name, _)) in DRILLS.iter().enumerate() {
        let d = Arc::new(Drill::read(name, shipped(n).1, None).unwrap_or_else(|e| panic!("{e}")));
        let (mut a, mut s) = begun(&d);
        let mut had = 0.0;
        for words in [
            "look",
            "listen",
            "test lock-up",
            "test flow pressure",
            "test joints",
        ] {
            let Ok(act) = Act::parse_at(words, s.rig(), &d.bag) else {
                continue;
            };
            if a.act(&mut s, &act, &mut |_| true).is_ok() {
                let support = weigh(&d, a.entries(), None).support;
                assert!(support >= had, "{name}, {words}: {support} of {had}");
                had = support;
            }
        }
    }
}

/// A suspicion counts by how sure it was said, where it was the surest of what was noted at once and something was done about it.
#[test]
fn a_suspicion_counts_by_how_sure_it_was_said() {
    let of = DRILLS.iter().position(|d| d.0 == "since_the_rain");
    let (name, text) = shipped(of.expect("a shipped drill"));
    let d = Arc::new(Drill::read(name, text, None).unwrap_or_else(|e| panic!("{e}")));
    let suspected = |acts: &[&str]| weigh(&d, done(&d, acts).entries(), None).suspected;
    let right = "note vent_turned_up 60 %";
    assert_eq!(suspected(&["look", right, "listen"]), 1.0);
    assert_eq!(
        suspected(&["look", right]),
        0.0,
        "nothing was done about it"
    );
    assert_eq!(
        suspected(&[right, "look", "listen"]),
        0.0,
        "nothing was read yet"
    );
    let little = suspected(&["look", "note vent_turned_up 1 %", "listen"]);
    assert!((little - 0.02).abs() < 1e-9, "{little}");
    let sprayed = [
        "look",
        "note vent_turned_up 1 %",
        "note first_seat_grit 90 %",
        "listen",
    ];
    assert_eq!(suspected(&sprayed), 0.0, "the surest of them was another");
}

/// A first seat that does not shut, weighed by a rod that knows what else may hold it open.
fn first_seat() -> Arc<Drill> {
    let named = |id: &str| Fault::named(id).unwrap_or_else(|| panic!("no {id}"));
    let text = "format = 1\ntitle = \"Seat\"\ncomplaint = \"Something is not as it was.\"\ngas_told = false\n\
        [[fault]]\nname = \"first_seat_nick\"\nseverity = 0.8\n[scenario]\ntitle = \"A small rig\"\n\
        [[scenario.container]]\nkind = \"30 lb cylinder\"\n[[scenario.appliance]]\nkind = \"cooktop\"\n\
        [scenario.run]\nduration = \"1 h\"\n";
    let mut d = Drill::read("seat.toml", text, None).unwrap_or_else(|e| panic!("{e}"));
    let beside = [
        "first_seat_nick",
        "first_seat_disc_lost",
        "second_screw_low",
        "spud_clogged",
    ];
    let mut shelf = Shelf::of(beside.map(named).to_vec());
    let causes = shelf.causes(&d.scenario, &mut |_| true);
    let causes = causes.unwrap_or_else(|e| panic!("{e}"));
    let values = causes.truth(&d.causes()).unwrap_or_else(|e| panic!("{e}"));
    let accepts = vec![d.cause()];
    let rod = Rod::of(causes, &offer_of(&d), &accepts, &values);
    d.worked = Some(Worked {
        accepts,
        path: Vec::new(),
        difficulty: Difficulty {
            from_min: 0.0,
            bits: 3.0,
            look_alikes: 2.0,
            effort_min: 10.0,
            minutes: 10.0,
            steps: 1,
        },
        rod: Some(rod),
        by: None,
    });
    Arc::new(d)
}

/// Container pressure behind the first stage tells a first seat, whichever fault of it is likelier: it is no guess, and the one job that
/// puts right whatever is open is earned whole, whichever of them is named. Where nothing of it was read it is a guess.
#[test]
fn what_tells_the_part_and_the_job_is_no_guess() {
    let d = first_seat();
    let of = |acts: &[&str]| {
        let a = done(&d, acts);
        grade(&d, a.entries(), a.answer())
    };
    let (right, sister) = (
        "answer first_seat_nick replace shut off",
        "answer first_seat_disc_lost replace shut off",
    );
    let tests = ["test first stage", "test lock-up", "test creep"];
    for n in 1..=tests.len() {
        let own = of(&[&tests[..n], &[right]].concat());
        let other = of(&[&tests[..n], &[sister]].concat());
        assert!(own.cause.given >= 20.0, "{n}: {:?}", own.cause);
        assert!(
            !why(&own.cause.why).contains("guess"),
            "{}",
            why(&own.cause.why)
        );
        for g in [&own, &other] {
            // Of 20, for naming what could be done and was not.
            assert_eq!(g.action.given, 12.0, "{n}: {}", why(&g.action.why));
        }
        assert!(other.cause.given < own.cause.given, "{n}");
    }
    let guess = of(&["test air temperature", right]);
    assert!(
        why(&guess.cause.why).contains("guess"),
        "{}",
        why(&guess.cause.why)
    );
    assert!(guess.action.given <= 2.0, "{:?}", guess.action);
    // Another job than the one that is asked for is earned by nobody.
    let wrong = of(&["test first stage", "answer first_seat_nick clear shut off"]);
    assert_eq!(wrong.action.given, 0.0, "{:?}", wrong.action);
}

/// A deed takes as long as it takes, and the fault may come while the hands are at it: the same deeds have the same marks, whenever
/// they were begun.
#[test]
fn a_repair_counts_from_when_it_is_done() {
    let text = "format = 1\ntitle = \"Later\"\ncomplaint = \"After some time it burns high.\"\ngas_told = false\n\
        [[fault]]\nname = \"second_seat_grit\"\nseverity = 0.6\nat = \"10 min\"\nover = \"1 min\"\n\
        [scenario]\ntitle = \"A small rig\"\n[[scenario.container]]\nkind = \"30 lb cylinder\"\n\
        [[scenario.appliance]]\nkind = \"cooktop\"\n[scenario.run]\nduration = \"2 h\"\n";
    let d = Arc::new(Drill::read("later.toml", text, None).unwrap_or_else(|e| panic!("{e}")));
    let deeds = ["shut 1", "off all", "bleed", "new regulator", RIGHT];
    let at = |first: &[&str]| {
        let a = done(&d, &[first, &deeds[..]].concat());
        weigh(&d, a.entries(), a.answer())
    };
    assert!(at(&[]).repaired_s.is_some() && at(&["wait 12 min"]).repaired_s.is_some());
}
