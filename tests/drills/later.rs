//! Faults that come later: the path and its minutes start when the fault is there, and the trainee is told that the
//! complaint comes and goes.

use crate::common::{Folder, drill, go, twostage};
use std::sync::Arc;
use twostage::drill::attempt::safety::Unsafe;
use twostage::drill::making::file::Worked;
use twostage::drill::making::make::{Shelf, judge};
use twostage::drill::making::shipped::DRILLS;
use twostage::drill::marking::grade::grade;
use twostage::drill::reasoning::assess::Unsolvable;
use twostage::drill::{Attempt, Drill};
use twostage::solver::Method;

/// A drill whose fault comes at 20 min over 5 min.
fn late(limit_min: f64) -> Drill {
    let mut d = (*drill(1)).clone();
    d.faults[0].at_s = 20.0 * 60.0;
    d.faults[0].over_s = 5.0 * 60.0;
    d.limit_s = 60.0 * limit_min;
    d.worked = None;
    d
}

#[test]
fn the_path_starts_when_the_fault_is_there() {
    let fault = drill(1).faults[0].fault;
    let mut shelf = Shelf::of(vec![fault]);
    let mut at_once = late(90.0);
    (at_once.faults[0].at_s, at_once.faults[0].over_s) = (0.0, 0.0);
    let judged = |d: &Drill, shelf: &mut Shelf| judge(d, shelf, &mut |_| true);
    let early = judged(&at_once, &mut shelf).unwrap_or_else(|e| panic!("{e}"));
    let found = judged(&late(90.0), &mut shelf).unwrap_or_else(|e| panic!("{e}"));
    assert_eq!(found.path.steps, early.path.steps);
    assert_eq!(early.difficulty.from_min, 0.0);
    assert_eq!(found.difficulty.from_min, 25.0);
    let all = found.difficulty.all_minutes();
    assert!(
        (all - 25.0 - early.difficulty.minutes).abs() < 1e-9,
        "{all}"
    );
    assert!(found.difficulty.level() >= early.difficulty.level());
    // What is sealed is what is read back, and what the grade goes by.
    let text = late(90.0).to_sealed(&Worked::from(&found));
    let again = Drill::read("again", &text, None).unwrap_or_else(|e| panic!("{e}"));
    let worked = again.worked.as_ref().expect("sealed");
    assert_eq!(worked.difficulty.from_min, 25.0);
    let best_s = grade(&again, &[], None).best_s.expect("sealed");
    assert!((best_s - 60.0 * all).abs() < 1e-6);
    // A drill that ends before the cause can be found is none, and says why.
    let why = judged(&late(25.5), &mut shelf).expect_err("it ends too early");
    assert!(matches!(why.why, Unsolvable::Late { .. }), "{why}");
    assert!(why.to_string().contains("25 min"), "{why}");
    assert!(again.is_intermittent() && !drill(1).is_intermittent());
}

#[test]
fn the_trainee_is_told_that_it_comes_and_goes() {
    let folder = Folder::new("later");
    for (name, d, told) in [
        ("late", late(90.0), true),
        ("at_once", (*drill(1)).clone(), false),
    ] {
        let file = folder.file(&format!("{name}.toml"), &d.to_open());
        let log = folder
            .path(&format!("{name}.attempt"))
            .display()
            .to_string();
        let out = twostage(&["drill", "try", &file, "--who", "Ada", "--log", &log], "");
        let out = String::from_utf8_lossy(&out.stdout).into_owned();
        assert_eq!(out.contains("intermittent"), told, "{out}");
    }
}

/// Whoever leaves a rig in use before what is wrong has shown leaves it with what is wrong, as soon as the first line.
#[test]
fn left_in_use_before_it_shows_is_left_with_the_fault() {
    for (name, text) in DRILLS {
        let drill = Drill::read(name, text, None).unwrap_or_else(|e| panic!("{e}"));
        let drill = Arc::new(drill);
        for first in [None, Some("listen"), Some("wait 1 min")] {
            let (mut a, mut sim) = Attempt::unlogged(drill.clone(), "Ada", Method::Stiff)
                .unwrap_or_else(|e| panic!("{e}"));
            for act in first
                .into_iter()
                .chain(["answer spud_clogged replace in use"])
            {
                go(&mut a, &mut sim, act);
            }
            let noticed = &a.entries().last().expect("an answer").noticed;
            assert!(
                noticed.contains(&Unsafe::LeftWithTheFault),
                "{name} after {first:?}: {noticed:?}"
            );
        }
    }
}
