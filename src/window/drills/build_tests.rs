//! Checks of the form a drill is built in.

use super::build::Build;
use crate::diagnosis::inference::walk::Way;
use crate::drill::Drill;
use crate::drill::making::shipped::DRILLS;
use crate::drill::reasoning::causes::Path as Steps;
use crate::drill::reasoning::difficulty::Assessment;
use crate::drill::reasoning::rod::Rod;

/// A form that holds a shipped drill, with what was worked out about it.
fn filled(name: &str) -> (Build, Drill) {
    let (id, text) = DRILLS
        .iter()
        .find(|d| d.0.starts_with(name))
        .expect("a shipped drill");
    let drill = Drill::read(id, text, None).expect("it can be read");
    let worked = drill.worked.clone().expect("it was worked out");
    let mut build = Build::default();
    build.take(&drill);
    let steps = Steps {
        steps: worked.path.iter().map(|c| (*c, 1.0)).collect(),
        took: vec![1.0; worked.path.len()],
        minutes: worked.difficulty.minutes,
        solved: true,
    };
    let found = Assessment {
        accepts: worked.accepts,
        fit: Vec::new(),
        way: Way::Best,
        path: steps.clone(),
        fixed: steps,
        difficulty: worked.difficulty,
        rod: worked.rod.unwrap_or(Rod {
            faults: Vec::new(),
            visits: Vec::new(),
        }),
    };
    build.judged = Some((build.drill().expect("a whole drill"), Ok(found)));
    (build, drill)
}

#[test]
fn a_drill_goes_through_the_form_unchanged() {
    for (name, _) in DRILLS {
        let (build, drill) = filled(name);
        let out = build.drill().expect("a whole drill");
        assert_eq!(out.title, drill.title);
        assert_eq!(out.complaint, drill.complaint);
        assert_eq!(out.gas_told, drill.gas_told, "{name}");
        assert_eq!(out.complains_of, drill.complains_of, "{name}");
        assert_eq!(out.scenario, drill.scenario, "{name}");
        assert_eq!(out.bag, drill.bag, "{name}");
        assert_eq!(out.must_not, drill.must_not, "{name}");
        assert_eq!(out.cause(), drill.cause(), "{name}");
        for (a, b) in out.faults.iter().zip(&drill.faults) {
            let apart = [
                a.severity - b.severity,
                a.at_s - b.at_s,
                a.over_s - b.over_s,
            ];
            assert!(apart.iter().all(|d| d.abs() < 1e-6), "{name}: {apart:?}");
        }
    }
}

#[test]
fn what_is_missing_is_told() {
    let build = Build::default();
    let missing = build.drill().expect_err("nothing was put down");
    assert_eq!(missing.len(), 4, "{missing:?}");
}

#[test]
fn a_saved_drill_is_sealed_and_no_file_is_lost_unasked() {
    let (mut build, drill) = filled("two_complaints");
    let path = std::env::temp_dir().join(format!("twostage-build-{}.toml", std::process::id()));
    std::fs::write(&path, "somebody's own").expect("a place for a file");
    build.path = path.display().to_string();
    build.save();
    let kept = std::fs::read_to_string(&path).expect("it is there");
    assert_eq!(kept, "somebody's own");
    assert!(build.said.as_ref().is_some_and(|s| s.1), "asks first");
    build.save();
    assert!(
        build.said.as_ref().is_some_and(|s| !s.1),
        "{:?}",
        build.said
    );
    let text = std::fs::read_to_string(&path).expect("it is there");
    for fault in drill.cause() {
        assert!(!text.contains(fault.id()), "{} is in the open", fault.id());
    }
    let read = Drill::load(&path).expect("it can be read back");
    assert_eq!(read.cause(), drill.cause());
    assert!(read.worked.is_some());
    // A change after it was judged is not saved as if it had been.
    build.title.push('!');
    assert!(build.found().is_none());
    // Nor is it said of the changed one that it was.
    let libraries = std::sync::Arc::new(std::sync::Mutex::new(
        crate::drill::making::make::Shelf::full(),
    ));
    build.judge_if_changed(&egui::Context::default(), &libraries);
    assert!(build.said.is_none(), "{:?}", build.said);
    std::fs::remove_file(&path).expect("it was there");
}

#[test]
fn who_made_a_drill_changes_it_and_seals_it_again() {
    let (id, text) = DRILLS[0];
    let path = std::env::temp_dir().join(format!("twostage-reopen-{}.toml", std::process::id()));
    std::fs::write(&path, text).expect("a place for a file");
    let libraries = std::sync::Arc::new(std::sync::Mutex::new(
        crate::drill::making::make::Shelf::full(),
    ));
    let ctx = egui::Context::default();
    let mut build = Build::default();
    build.reopen(&path.with_extension("not"), &ctx, &libraries);
    assert!(build.said.as_ref().is_some_and(|s| s.1), "no such file");
    build.reopen(&path, &ctx, &libraries);
    build.stop();
    assert_eq!(build.said, None);
    let was = Drill::read(id, text, None).expect("a shipped drill");
    let now = build.drill().expect("a whole drill");
    assert_eq!((&now.title, now.cause()), (&was.title, was.cause()));
    assert_eq!(
        build.path,
        path.display().to_string(),
        "it goes back where it was"
    );
    std::fs::remove_file(&path).expect("it was there");
}
