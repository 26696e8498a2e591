//! A drill that another build worked out is told as such to an instructor, and tried and marked all the same.

use crate::common::{Folder, twostage};
use twostage::drill::Drill;
use twostage::drill::making::shipped::{DRILLS, named};

const NAME: &str = "since_the_rain";
const TOLD: &str = "another build";

#[test]
fn what_another_build_worked_out_is_told_where_an_instructor_looks() {
    let folder = Folder::new("builds");
    let (_, text) = named(NAME).expect("a shipped drill");
    let drill = Drill::read(NAME, text, None).unwrap_or_else(|e| panic!("{e}"));
    let mut worked = drill.worked.clone().expect("sealed");
    for (by, told) in [
        (
            Some(twostage::drill::reasoning::difficulty::worked_by()),
            false,
        ),
        (Some(1), true),
        // Sealed before it was written down.
        (None, true),
    ] {
        worked.by = by;
        let file = folder.file("one.toml", &drill.to_sealed(&worked));
        let back = Drill::load(std::path::Path::new(&file)).unwrap_or_else(|e| panic!("{e}"));
        assert_eq!(back.worked.as_ref().map(|w| w.by), Some(by));
        let log = folder
            .path(&format!("{by:?}.attempt"))
            .display()
            .to_string();
        let class = folder.path(&format!("class {by:?}")).display().to_string();
        let runs = |args: &[&str], acts: &str, tells: bool| {
            let out = twostage(args, acts);
            let all = [out.stdout, out.stderr].concat();
            let all = String::from_utf8_lossy(&all).into_owned();
            assert!(out.status.success(), "{args:?}: {all}");
            assert_eq!(all.contains(TOLD), tells, "{args:?}: {all}");
            assert_eq!(all.contains("drill reseal"), tells, "{args:?}: {all}");
        };
        let acts = "look\nanswer second_vent_blocked clear shut off\n";
        runs(
            &["drill", "try", &file, "--who", "Ada", "--log", &log],
            acts,
            false,
        );
        runs(&["drill", "check", "--quick", &file], "", told);
        runs(&["drill", "grade", &file, &log, "--marks"], "", told);
        let attempts = folder.0.display().to_string();
        runs(&["drill", "report", &attempts], "", told);
        let new = ["class", "new", &class, "--name", "Friday", "--drill", &file];
        runs(&new, "", false);
        runs(&["class", "list", &class], "", told);
        std::fs::remove_file(&log).expect("it was there");
    }
}

/// The drills that come with the program were worked out by one build, all of them: a reseal that was cut off is none. That it is
/// this one `drill list` tells.
#[test]
fn the_drills_of_the_program_are_worked_out_together() {
    let mut by = Vec::new();
    for (name, text) in DRILLS {
        let drill = Drill::read(name, text, None).unwrap_or_else(|e| panic!("{e}"));
        by.push((name, drill.worked.expect("sealed").by));
    }
    assert!(by.iter().all(|b| b.1 == by[0].1), "{by:?}");
}
