//! A drill that another build worked out is told as such to an instructor, and tried and marked all the same.

use crate::common::{Folder, twostage};
use twostage::drill::Drill;
use twostage::drill::making::seal;
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

/// The drills that come with the program were worked out by this build, all of them.
#[test]
fn the_drills_of_the_program_are_worked_out_by_this_build() {
    let is_old = |(name, text): &&(&str, &str)| {
        let drill = Drill::read(name, text, None).unwrap_or_else(|e| panic!("{e}"));
        !drill.worked.expect("sealed").is_of_now()
    };
    let old: Vec<&str> = DRILLS.iter().filter(is_old).map(|d| d.0).collect();
    assert!(
        old.is_empty(),
        "the library of the program or a law of its drills was made anew, and these were not sealed since: {old:?}\n  \
         try: `cargo run --release --no-default-features -- drill reseal scenarios/drills`"
    );
}

/// A sealed part that is none of this program's is told, and nothing of it passed over.
#[test]
fn what_cannot_be_read_of_what_was_worked_out_is_told() {
    let folder = Folder::new("unread");
    let (_, text) = named(NAME).expect("a shipped drill");
    let drill = Drill::read(NAME, text, None).unwrap_or_else(|e| panic!("{e}"));
    let mut worked = drill.worked.clone().expect("sealed");
    worked.by = Some(1);
    let sealed = drill.to_sealed(&worked);
    let hidden = unsealed(&sealed);
    for (was, is, told) in [
        ("0000000000000001", "the law of last week", "cannot be read"),
        ("0000000000000001", "+000000000000001", "cannot be read"),
        ("0000000000000001", "1", "cannot be read"),
        ("path = [\"", "path = [\"wishful look\", \"", "wishful look"),
    ] {
        assert!(hidden.contains(was), "{hidden}");
        let changed = resealed(&sealed, &hidden.replacen(was, is, 1));
        let file = folder.file("changed.toml", &changed);
        let out = twostage(&["drill", "check", "--quick", &file], "");
        let all = String::from_utf8_lossy(&out.stderr).into_owned();
        assert!(!out.status.success(), "{is}: {all}");
        assert!(
            all.contains(told) && all.contains("sealed anew"),
            "{is}: {all}"
        );
    }
}

/// The hidden text of a sealed drill.
fn unsealed(text: &str) -> String {
    let sealed = text.split("\"\"\"").nth(1).expect("a seal");
    seal::unseal(&seal::open_text(text), sealed).unwrap_or_else(|e| panic!("{e}"))
}

/// A sealed drill with another hidden text.
fn resealed(text: &str, hidden: &str) -> String {
    let sealed = text.split("\"\"\"").nth(1).expect("a seal");
    let anew = seal::seal(&seal::open_text(text), hidden);
    text.replacen(sealed, &format!("\n{anew}"), 1)
}
