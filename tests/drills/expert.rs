//! `drill expert`: the way that is told is the one that was sealed, and its reasons fade for who has ended a drill of the
//! family.

use crate::common::{Folder, twostage};
use twostage::drill::Drill;
use twostage::drill::making::shipped::named;

const NAME: &str = "after_the_painting";

#[test]
fn the_expert_goes_the_sealed_way_and_leaves_the_last_reasons() {
    let folder = Folder::new("expert");
    let (_, text) = named(NAME).expect("a shipped drill");
    let log = folder.path("one.attempt").display().to_string();
    let tried = twostage(
        &["drill", "try", NAME, "--who", "Ada", "--log", &log],
        "look\nanswer vent_screen_painted clear shut off\n",
    );
    assert!(tried.status.success(), "{tried:?}");
    let attempts = folder.0.display().to_string();
    let call = [
        "drill",
        "expert",
        NAME,
        "--who",
        "Ada",
        "--attempts",
        &attempts,
    ];
    let out = twostage(&call, "");
    let told = String::from_utf8_lossy(&out.stdout);
    assert!(out.status.success(), "{out:?}");
    let drill = Drill::read(NAME, text, None).unwrap_or_else(|e| panic!("{e}"));
    let sealed = drill.worked.expect("sealed").path;
    let tests: Vec<&str> = told
        .lines()
        .filter_map(|l| l.trim_start().split_once(" test "))
        .filter(|(clock, _)| clock.chars().all(|c| c.is_ascii_digit() || c == ':'))
        .map(|(_, test)| test)
        .collect();
    let path: Vec<&str> = sealed.iter().map(|t| t.words()).collect();
    assert_eq!(
        tests, path,
        "each test once, in the order that was sealed:\n{told}"
    );
    // One drill of the family ended: a quarter of the steps, the last, are left to the learner.
    let left = path.len().div_ceil(4);
    let why: Vec<bool> = told
        .lines()
        .filter_map(|l| l.trim_start().strip_prefix("why: "))
        .map(|why| why.starts_with("your turn"))
        .collect();
    let faded: Vec<bool> = (0..path.len()).map(|n| n + left >= path.len()).collect();
    assert_eq!(why, faded, "{told}");
    assert_eq!(
        told.matches("it says: ").count(),
        path.len() - left,
        "{told}"
    );
    assert!(told.contains("1 drill of this family ended"), "{told}");
    assert!(told.contains("It is: Vent screen painted over"), "{told}");
}

/// Reasons of one way are each its own: none is told twice, and who has one cause in mind is not told that none stands out.
#[test]
fn each_step_has_a_reason_of_its_own() {
    let out = twostage(&["drill", "expert", "weak_when_it_counts"], "");
    let told = String::from_utf8_lossy(&out.stdout);
    let why: Vec<&str> = told
        .lines()
        .filter_map(|l| l.trim_start().strip_prefix("why: "))
        .collect();
    assert!(why.len() > 2, "{told}");
    let mut once = why.clone();
    once.sort_unstable();
    once.dedup();
    assert_eq!(once.len(), why.len(), "{told}");
    let last = why.last().expect("some");
    assert!(
        last.contains(" would be ") && last.contains(" with "),
        "{told}"
    );
}

/// The program's own first step looks before it lights anything, or lights nothing, in every drill that comes with it; who lit
/// nothing had no occasion.
#[test]
fn the_expert_looks_before_lighting() {
    use std::sync::Arc;
    use twostage::class::habits::{Habit, habits};
    use twostage::drill::Attempt;
    use twostage::drill::attempt::way::make;
    use twostage::solver::Method;
    let looks = Habit::ALL.iter().position(|h| *h == Habit::LooksFirst);
    let looks = looks.expect("a habit");
    let mut wrong = Vec::new();
    for (name, text) in twostage::drill::making::shipped::DRILLS {
        let d = Arc::new(Drill::read(name, text, None).unwrap_or_else(|e| panic!("{e}")));
        let path = d.worked.as_ref().expect("sealed").path.clone();
        let (mut a, mut s) =
            Attempt::unlogged(d.clone(), "Ada", Method::Stiff).unwrap_or_else(|e| panic!("{e}"));
        for test in path.iter().take(2) {
            make(&mut a, &mut s, *test, true);
        }
        println!("{name}: {:?} {:?}", &path, habits(&d, a.entries())[looks]);
        if habits(&d, a.entries())[looks] == Some(false) {
            wrong.push(format!("{name}: {:?}", path.first()));
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

/// A copy of a log under another name is told and counts once; the longer one counts.
#[test]
fn a_renamed_copy_of_a_log_counts_once() {
    let folder = Folder::new("copies");
    let (one, copy) = (folder.path("one.attempt"), folder.path("copy.attempt"));
    let log = one.display().to_string();
    let go = |acts: &str| {
        let out = twostage(&["drill", "try", NAME, "--who", "Ada", "--log", &log], acts);
        assert!(out.status.success(), "{out:?}");
    };
    go("look\n");
    std::fs::copy(&one, &copy).expect("copied");
    go("answer vent_screen_painted clear shut off\n");
    std::fs::copy(&one, folder.path("third.attempt")).expect("copied");
    let out = twostage(&["drill", "report", &folder.0.display().to_string()], "");
    let table = String::from_utf8_lossy(&out.stdout);
    assert_eq!(table.lines().count(), 2, "one attempt: {table}");
    assert!(table.contains("shut off"), "the ended one: {table}");
    let told = String::from_utf8_lossy(&out.stderr);
    assert_eq!(
        told.matches("it is a copy of `one.attempt`").count(),
        2,
        "{told}"
    );
}
