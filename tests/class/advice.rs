//! What somebody is told to do next follows from what went wrong: a lesson for what failed, a drill that was not tried, and no
//! habit counted as kept that failed the attempt.

use super::common::{DRILLS, Folder, class, well};
use std::path::Path;
use twostage::class::ClassFolder;
use twostage::class::habits::{Habit, habits};
use twostage::class::standing::{Advice, LessonFor, Person, Reader, standing};
use twostage::drill::attempt::safety::{Stop, Unsafe};
use twostage::visit::Test;

fn first(place: &str) -> Person {
    let class = ClassFolder::open(Path::new(place)).expect("a class");
    let tries = class.tries(None).expect("readable");
    let (drills, _) = class.all_drills();
    standing(&class.list, &drills, &tries).people.remove(0)
}

fn go(place: &str, acts: &str) {
    let args = ["class", "try", place, "--who", "1", "--drill", DRILLS[0]];
    well(&args, acts);
}

#[test]
fn a_lesson_is_for_what_failed_before_all_else() {
    let folder = Folder::new("lesson-for");
    let place = class(&folder, 1);
    go(&place, "light all\nanswer line_crushed clear in use\n");
    let mut person = first(&place);
    let over = Unsafe::LitOverStop(Stop::LowSide(20_000.0));
    let told = |person: &Person| person.lesson(Reader::Instructor).expect("a lesson");
    person.marked[0].grade.failed = None;
    assert_eq!(told(&person).1, LessonFor::MixUp, "nothing failed it");
    person.marked[0].grade.failed = Some(over.clone());
    assert_eq!(told(&person), (Some("lock_up"), LessonFor::Unsafe(over)));
    // What no lesson shows is told all the same.
    person.marked[0].grade.failed = Some(Unsafe::LitWhileGasEscaped);
    assert_eq!(
        told(&person),
        (None, LessonFor::Unsafe(Unsafe::LitWhileGasEscaped))
    );
    assert!(
        person.lesson(Reader::Owner).is_none(),
        "nothing is released"
    );
}

/// Whatever lesson an unsafe act names comes with the program.
#[test]
fn the_lesson_of_a_rule_is_there() {
    let rules = [
        (Unsafe::OpenedFast, "open_slowly"),
        (Unsafe::ScrewWithoutGauge, "manometer"),
        (Unsafe::LeftAfterBurst, "grit"),
        (Unsafe::SetOverTheLimit(4e3), "lock_up"),
        (Unsafe::LeftOverTheLimit(4e3), "lock_up"),
        (Unsafe::LitAgainstReading, "lock_up"),
        (Unsafe::LeftAgainstReading, "lock_up"),
        (Unsafe::CalledSafe(Test::LockUp), "lock_up"),
        (Unsafe::LitOverStop(Stop::First(2e5)), "two_stages"),
        (Unsafe::LitOverStop(Stop::FirstPegged(1e5)), "two_stages"),
        (Unsafe::LeftOverStop(Stop::LowSide(2e4)), "lock_up"),
        (Unsafe::LeftOverStop(Stop::Overfilled(0.9)), "liquid"),
    ];
    let lessons = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios/lessons");
    for (rule, lesson) in rules {
        assert_eq!(rule.lesson(), Some(lesson), "{rule:?}");
        assert!(lessons.join(format!("{lesson}.toml")).exists(), "{lesson}");
    }
}

/// A class that has nobody or no drill says so, and what to do, wherever an instructor looks; nobody is told that all were tried.
#[test]
fn a_class_without_people_or_drills_says_so() {
    let folder = Folder::new("lacks");
    let place = folder.path("class").display().to_string();
    let told = well(&["class", "new", &place, "--name", "Friday"], "");
    assert!(
        told.contains("--trainee") && told.contains("--drill"),
        "{told}"
    );
    let told = well(&["class", "add", &place, "--trainee", "Ada"], "");
    assert!(
        !told.contains("--trainee") && told.contains("--drill"),
        "{told}"
    );
    assert!(well(&["class", "list", &place], "").contains("--drill"));
    let told = well(&["class", "next", &place, "--who", "1"], "");
    assert!(told.contains("no drill is in the class yet"), "{told}");
    assert!(!told.contains("all were tried"), "{told}");
    let told = well(&["class", "add", &place, "--drill", DRILLS[0]], "");
    assert!(!told.contains("yet"), "{told}");
}

#[test]
fn what_was_unsafe_and_lasts_is_not_left_safe() {
    let folder = Folder::new("left-safe");
    let place = class(&folder, 1);
    let answered = |acts: &str, left: &str| {
        go(
            &place,
            &format!("look\nlight all\n{acts}answer line_crushed clear {left}\n"),
        );
        let person = first(&place);
        let found = &person.marked.last().expect("tried").of.found;
        (found.drill.clone(), found.contents.entries.clone())
    };
    let at = Habit::ALL.iter().position(|h| *h == Habit::LeavesSafe);
    let at = at.expect("a habit");
    for (acts, left, safe) in [
        ("", "in use", false),
        ("", "shut off", true),
        ("clear vents\n", "in use", true),
    ] {
        let (drill, mut entries) = answered(acts, left);
        for e in &mut entries {
            e.noticed.clear();
        }
        assert_eq!(habits(&drill, &entries)[at], Some(true), "nothing unsafe");
        entries[1].noticed = vec![Unsafe::LitOverStop(Stop::LowSide(20_000.0))];
        let kept = habits(&drill, &entries)[at];
        assert_eq!(kept, Some(safe), "{acts} {left}");
        entries.last_mut().expect("an answer").noticed = vec![Unsafe::LeftWithTheFault];
        assert_eq!(habits(&drill, &entries)[at], Some(false), "{acts} {left}");
    }
}

#[test]
fn a_retry_that_was_begun_of_what_is_released_is_not_what_comes_next() {
    let folder = Folder::new("retry-next");
    let place = class(&folder, 1);
    let next = || first(&place).advice(Reader::Owner).clone();
    let goes_on = || next() == Advice::GoOn(DRILLS[0].to_owned());
    go(&place, "look\n");
    assert!(goes_on(), "a first attempt is gone on with: {:?}", next());
    go(&place, "answer line_crushed clear shut off\n");
    well(&["class", "release", &place, "--force"], "");
    go(&place, "look\n");
    assert_eq!(first(&place).marked.len(), 2);
    let is_other = |a: &Advice| matches!(a, Advice::Try(name, _) if name == DRILLS[1]);
    assert!(is_other(&next()), "{:?}", next());
}

/// Clearing the vents does not take out the water that this drill has: half load reads over 11.5 in w.c. as before.
#[test]
fn a_repair_is_proved_by_a_reading_that_was_heeded() {
    let folder = Folder::new("heeded");
    let place = class(&folder, 1);
    let at = Habit::ALL.iter().position(|h| *h == Habit::Proves);
    let at = at.expect("a habit");
    for (read, left, kept) in [
        ("test flow pressure", "in use", false),
        ("test flow pressure", "shut off", true),
        ("test vent", "in use", true),
        ("wait 1 min", "in use", false),
    ] {
        go(
            &place,
            &format!("look\nclear vents\n{read}\nanswer line_crushed clear {left}\n"),
        );
        let person = first(&place);
        let found = &person.marked.last().expect("tried").of.found;
        let told = habits(&found.drill, &found.contents.entries)[at];
        assert_eq!(told, Some(kept), "{read}, left {left}");
    }
}

/// Whoever tries a drill of the class needs no path of the machine.
#[test]
fn where_a_log_is_kept_is_told_without_a_path() {
    let folder = Folder::new("kept");
    let place = class(&folder, 1);
    let args = ["class", "try", &place, "--who", "1", "--drill", DRILLS[0]];
    let told = well(&args, "");
    assert!(told.contains("The log is kept in the class."), "{told}");
    assert!(!told.contains(&place), "{told}");
}
