//! Attempts: what was done is never lost, replays alike, and is marked fairly.

use crate::common::{Folder, drill, go, shipped, some_faults};
use std::fs;
use std::io::{BufRead, BufReader, Write};
use std::process::{Command, Stdio};
use std::sync::Arc;
use twostage::drill::attempt::log;
use twostage::drill::making::file::Worked;
use twostage::drill::making::make::{Shelf, judge};
use twostage::drill::making::seal::Stream;
use twostage::drill::marking::debrief::debrief;
use twostage::drill::marking::grade::grade;
use twostage::drill::reasoning::causes::SURE;
use twostage::drill::{Act, Attempt};
use twostage::solver::Method;
use twostage::units::pa_to_inwc;
use twostage::visit::{Bag, Tool};

const WORK: [&str; 7] = [
    "light all",
    "look",
    "read first stage",
    "off all",
    "wait 40 s",
    "read outlet",
    "fluid second vent",
];

#[test]
fn a_log_replays_to_the_same_readings_on_both_engines() {
    // Quick hands: the explicit engine pays for every second.
    let mut quick = (*drill(3)).clone();
    quick.bag = Bag::new(Tool::ALL.map(|t| (t, 0.02)));
    let d = Arc::new(quick);
    let folder = Folder::new("engines");
    let path = folder.path("a.attempt");
    let (mut attempt, mut sim) =
        Attempt::open(d.clone(), "Ada", &path).unwrap_or_else(|e| panic!("{e}"));
    for words in WORK {
        go(&mut attempt, &mut sim, words);
    }
    drop(attempt);
    let log = log::read(&path).expect("a log").expect("a header");
    let outlet = |method| {
        let (a, s) = Attempt::replay(d.clone(), &log, method).unwrap_or_else(|e| panic!("{e}"));
        assert_eq!(a.entries(), &log.entries[..]);
        let r = s.readings();
        [r.outlet_pa, r.manifold_pa, r.time_s]
    };
    let (stiff, explicit) = (outlet(Method::Stiff), outlet(Method::Explicit));
    for (a, b) in stiff.iter().zip(&explicit) {
        assert!(
            pa_to_inwc((a - b).abs()) <= 0.01,
            "{stiff:?} against {explicit:?}"
        );
    }
    let r = sim.readings();
    assert!(pa_to_inwc((r.outlet_pa - stiff[0]).abs()) <= 0.01);
}

#[test]
fn a_log_cut_at_any_byte_gives_every_complete_act() {
    let d = drill(1);
    let folder = Folder::new("cut");
    let path = folder.path("a.attempt");
    let (mut attempt, mut sim) =
        Attempt::open(d.clone(), "Åse \"x\"", &path).unwrap_or_else(|e| panic!("{e}"));
    for words in ["look", "read outlet", "note second_seat_grit 40 %"] {
        go(&mut attempt, &mut sim, words);
    }
    let entries = attempt.entries().to_vec();
    drop(attempt);
    let whole = fs::read(&path).expect("the log");
    let ends: Vec<usize> = (0..whole.len())
        .filter(|i| whole[*i] == b'\n')
        .map(|i| i + 1)
        .collect();
    for cut in 0..=whole.len() {
        let found =
            log::contents("cut", &whole[..cut]).unwrap_or_else(|e| panic!("cut at {cut}: {e}"));
        // A line that lacks only its end is complete.
        let complete = ends.iter().filter(|e| **e - 1 <= cut).count();
        match found {
            None => assert_eq!(complete, 0, "cut at {cut}"),
            Some(c) => {
                assert_eq!(c.entries, entries[..complete - 1], "cut at {cut}");
                assert_eq!(c.good_bytes as usize, ends[complete - 1].min(cut));
                assert_eq!(c.cut_bytes as usize, cut - c.good_bytes as usize);
            }
        }
    }
    // And going on from a cut in the middle of a line.
    fs::write(&path, &whole[..ends[2] + 7]).expect("room");
    let (mut attempt, mut sim) =
        Attempt::open(d, "Åse \"x\"", &path).unwrap_or_else(|e| panic!("{e}"));
    assert_eq!(attempt.entries(), &entries[..2]);
    go(&mut attempt, &mut sim, "tap");
    drop(attempt);
    let log = log::read(&path).expect("a log").expect("a header");
    assert_eq!(log.entries.len(), 3);
    assert_eq!(log.entries[2].act, "tap");
    // A byte changed in the middle is told, not passed over.
    let mut bad = fs::read(&path).expect("the log");
    bad[ends[0] + 20] ^= 1;
    assert!(log::contents("bad", &bad).is_err());
}

#[test]
fn killed_a_hundred_times_it_loses_nothing_acknowledged() {
    let folder = Folder::new("kill");
    let drill = folder.file("d.toml", shipped(1).1);
    let log = folder.path("a.attempt");
    let mut random = Stream(2026);
    let (mut acknowledged, mut kills) = (0, 0);
    for round in 0..100 {
        if round % 10 == 0 {
            // A fresh attempt now and then, so that going on stays quick.
            let _ = fs::remove_file(&log);
            acknowledged = 0;
        }
        let mut child = Command::new(env!("CARGO_BIN_EXE_twostage"))
            .args(["drill", "try", &drill, "--who", "Ada", "--log"])
            .arg(&log)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("the binary runs");
        let mut input = child.stdin.take().expect("its input");
        let acts = "note second_seat_grit 10 %\nnote second_seat_nick 20 %\n".repeat(200);
        let writer = std::thread::spawn(move || {
            // It is killed while this goes on.
            let _ = input.write_all(acts.as_bytes());
        });
        let mut out = BufReader::new(child.stdout.take().expect("its output"));
        // Some acts are told, then it is killed within the next few.
        let until = random.below(12);
        let pause = std::time::Duration::from_micros(random.below(3000) as u64);
        let mut line = String::new();
        let mut told = 0;
        while told < until && out.read_line(&mut line).is_ok_and(|n| n > 0) {
            told += usize::from(line.starts_with('['));
            acknowledged = number(&line).unwrap_or(acknowledged);
            line.clear();
        }
        std::thread::sleep(pause);
        kills += usize::from(child.kill().is_ok());
        child.wait().expect("its end");
        // What it had told before it was killed counts too.
        while out.read_line(&mut line).is_ok_and(|n| n > 0) {
            if line.ends_with('\n') {
                acknowledged = number(&line).unwrap_or(acknowledged);
            }
            line.clear();
        }
        writer.join().expect("the writer");
        let kept = match log::read(&log) {
            Ok(Some(c)) => c.entries.len(),
            _ => 0,
        };
        assert!(
            kept >= acknowledged,
            "round {round}: {acknowledged} told, {kept} kept"
        );
    }
    assert_eq!(kills, 100);
}

/// The number of a told act, `[12] ...`.
fn number(line: &str) -> Option<usize> {
    line.strip_prefix('[')?.split_once(']')?.0.parse().ok()
}

#[test]
fn marks_follow_the_answer_and_the_care() {
    // Sealed anew by a few faults, so that evidence can be weighed whatever the shipped seal holds.
    let mut d = (*drill(1)).clone();
    let mut shelf = Shelf::of(some_faults()[1..6].to_vec());
    let found = judge(&d, &mut shelf, &mut |_| true).unwrap_or_else(|e| panic!("{e}"));
    d.worked = Some(Worked::from(&found));
    let d = Arc::new(d);
    let id = d.cause()[0].id();
    let run = |acts: &[&str]| {
        let (mut a, mut s) =
            Attempt::unlogged(d.clone(), "Ada", Method::Stiff).unwrap_or_else(|e| panic!("{e}"));
        for words in acts {
            go(&mut a, &mut s, words);
        }
        grade(&d, a.entries(), a.answer())
    };
    let right = run(&[
        "wait 60 s",
        "test lock-up",
        "test creep",
        &format!("answer {id} replace shut off"),
    ]);
    assert!(right.right && right.failed.is_none());
    assert_eq!(right.safety.given, 20.0);
    // The same answer with nothing read is a guess.
    let guess = run(&[&format!("answer {id} replace shut off")]);
    assert!(guess.right && guess.cause.given <= 0.1 * guess.cause.of + 1e-9);
    assert!(guess.total() <= 30.0, "{}", guess.total());
    // Left in use with the seat leaking, lit with a fast hand on the valve.
    let rash = run(&["shut", "open fast", &format!("answer {id} replace in use")]);
    assert_eq!(rash.safety.given, 0.0, "{:?}", rash.noticed);
    let rules: Vec<&str> = rash
        .noticed
        .iter()
        .map(twostage::report::drills::rule)
        .collect();
    assert!(
        rules.contains(&"opened fast") && rules.contains(&"left in use with the fault in it"),
        "{rules:?}"
    );
    let wrong = run(&["answer container_low refill shut off"]);
    assert_eq!(
        (wrong.cause.given, wrong.action.given, wrong.economy.given),
        (0.0, 0.0, 0.0)
    );
    assert!(right.total() > guess.total() && guess.total() > rash.total());
}

#[test]
fn a_debrief_sees_the_readings_speak() {
    let d = drill(1);
    let id = d.cause()[0].id();
    let (mut a, mut s) =
        Attempt::unlogged(d.clone(), "Ada", Method::Stiff).unwrap_or_else(|e| panic!("{e}"));
    let answer = format!("answer {id} replace shut off");
    for words in [
        "note line_crushed 70 %",
        "light all",
        "test lock-up",
        "test creep",
        // Grit creeps as a nick does: only a flush parts them.
        "flush",
        "wait 60 s",
        "read outlet",
        &answer,
    ] {
        go(&mut a, &mut s, words);
    }
    let mut shelf = Shelf::of(some_faults()[1..9].to_vec());
    let causes = shelf.causes(&d.scenario, &mut |_| true).expect("a library");
    let found = debrief(&d, causes, a.entries(), a.answer()).unwrap_or_else(|e| panic!("{e}"));
    // Two of nine causes count as right: by weight that is a little over a fifth before anything was read.
    let (first, last) = (&found.steps[0], &found.steps[found.steps.len() - 1]);
    assert!(
        first.truth < 0.25 && last.truth > SURE,
        "{} then {}",
        first.truth,
        last.truth
    );
    assert_eq!(
        first.suspicion.as_ref().map(|x| x.0[0].id()),
        Some("line_crushed")
    );
    assert!(!found.best.is_empty());
}

/// At a terminal a cause is named as one likes, and a mistake says what is missing.
#[test]
fn an_answer_is_read_in_plain_words() {
    let d = drill(1);
    let rig = &d.scenario.rig;
    let read = |text: &str| Act::parse(text, rig).map(|a| a.words(rig));
    for (said, meant) in [
        (
            "answer second seat grit flush in use",
            "answer second_seat_grit flush in_use",
        ),
        (
            "answer Second-stage vent blocked clear shut",
            "answer second_vent_blocked clear shut off",
        ),
        (
            "answer second seat grit + line crushed replace shut off",
            "answer second_seat_grit+line_crushed replace shut off",
        ),
        (
            "note grit on the second-stage seat 60 %",
            "note second_seat_grit 60 %",
        ),
        ("note line crushed", "note line_crushed 50 %"),
    ] {
        let meant = meant.replace("in_use", "in use");
        assert_eq!(read(said), Ok(meant), "{said}");
    }
    for (said, told) in [
        ("answer", "an answer tells the cause"),
        ("answer grit", "`second_seat_grit`"),
        ("answer second_seat_grit", "does not say what to do"),
        ("answer second_seat_grit flush", "how it was left"),
        ("answer second_seat_grit mend in use", "`mend` is no action"),
        ("note", "the suspicion is missing"),
        ("note vent", "`second_vent_blocked`"),
        ("read", "`read` alone says too little"),
        ("light", "`light` alone says too little"),
        ("new tyre", "hose or regulator"),
        ("visit", "not something to do here"),
        ("jugde pass", "`judge VERDICT`"),
    ] {
        let error = read(said).expect_err(said).to_string();
        assert!(error.contains(told), "{said}: {error}");
    }
}
