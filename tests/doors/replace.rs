//! What no output may replace: what is read, another output, what standard output is led into, and whatever the program did not
//! write itself.

use super::walks::{COMMANDS, Walk};
use super::{Place, told};
use std::fs;
use std::path::{Path, PathBuf};

/// What is in every file under a folder.
fn holds(folder: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    let mut all = Vec::new();
    for entry in fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            all.push((path.clone(), Vec::new()));
            if path.file_name().is_some_and(|n| n != "cache") {
                all.append(&mut holds(&path));
            }
        } else if path.is_file() && path.file_name().is_some_and(|n| n != "input") {
            all.push((path.clone(), fs::read(&path).expect("readable")));
        }
    }
    all.sort();
    all
}

/// Files of somebody's own that begin like what the program writes, in names that promise nothing.
const FOREIGN: [(&str, &str); 10] = [
    ("notes", "Dear Ada, bring the hose\nand the gauge, please\n"),
    ("numbers", "time_s,outlet\n1,2\n"),
    ("people", "who,begun\nAda,Monday\n"),
    ("data", "{\"version\":1,\"mine\":true}\n"),
    (
        "drawing",
        "<svg xmlns=\"http://www.w3.org/2000/svg\"></svg>\n",
    ),
    (
        "page",
        "<!doctype html>\n<html lang=\"en\"><head><title>Mine</title></head></html>\n",
    ),
    ("text", "# Faults\n\nOf my own.\n"),
    ("list", "[1, 2]\n"),
    ("photo", "\u{89}PNG\r\n\u{1a}\nnot really"),
    ("words", "sealed = \"for good\"\nformat = 1\n"),
];

/// Options of a call with an output at this name, with and without leave to replace.
fn calls<'a>(walk: &Walk, option: &'a str, name: &'a str) -> [Vec<&'a str>; 2] {
    let plain = walk.called_for(option, name);
    let forced = [plain.as_slice(), &["--force"]].concat();
    [plain, forced]
}

#[test]
fn no_output_replaces_what_is_read_or_a_file_of_another_kind() {
    let place = Place::new("replace");
    let link = place.0.join("link.toml");
    std::os::unix::fs::symlink(place.path("IN"), &link).expect("a link");
    let hard = place.0.join("hard.toml");
    fs::hard_link(place.path("IN"), &hard).expect("a hard link");
    let mut foreign: Vec<&str> = Vec::new();
    for (name, text) in FOREIGN {
        fs::write(place.0.join(name), text).expect("room");
        foreign.push(name);
    }
    for (name, from) in [
        ("list_of_a_class", "class/class.toml"),
        ("a_log", "tried.attempt"),
        ("a_rig", "in.toml"),
    ] {
        fs::copy(place.0.join(from), place.0.join(name)).expect("room");
        foreign.push(name);
    }
    fs::copy(place.path("SEALED"), place.0.join("a_drill")).expect("room");
    let before = holds(&place.0);
    for walk in COMMANDS {
        for option in walk.outputs {
            let mut bad: Vec<String> = [
                place.path("LOG"),
                place.path("LOGS"),
                place.path("DRILL"),
                "gone/out".to_owned(),
                "new/".to_owned(),
                "new/.".to_owned(),
            ]
            .to_vec();
            bad.extend(foreign.iter().map(|name| (*name).to_owned()));
            if *option != "--out" {
                bad.push("a_drill".to_owned());
            }
            for input in walk.inputs {
                let path = place.path(input);
                bad.push(format!(
                    "./{}",
                    &path[place.0.display().to_string().len() + 1..]
                ));
                bad.push(path);
            }
            if walk.inputs.contains(&"IN") {
                bad.extend(["link.toml", "hard.toml", "IN.TOML"].map(str::to_owned));
            }
            for name in &bad {
                let [_, forced] = calls(walk, option, name);
                let out = place.run(&forced, b"");
                assert_eq!(out.status.code(), Some(2), "{forced:?}: {}", told(&out));
                let (text, said) = (told(&out), if option.is_empty() { "OUT" } else { option });
                assert!(text.contains(said), "{forced:?}: {text}");
            }
        }
        for option in walk.kept {
            let own = if option.is_empty() {
                "a_drill"
            } else {
                "a_log"
            };
            for name in foreign
                .iter()
                .chain(&["a_drill"])
                .filter(|name| **name != own)
            {
                let call = walk.called_for(option, name);
                let out = place.run(&call, b"look\n");
                assert_eq!(out.status.code(), Some(2), "{call:?}: {}", told(&out));
            }
        }
        assert!(
            before == holds(&place.0),
            "{}: nothing has changed",
            walk.words
        );
    }
    let call = ["drill", "new", "--from", "DRILL", "--out", "IN", "--force"];
    let out = place.run(&call, b"");
    assert_eq!(out.status.code(), Some(2), "a drill over its rig");
}

#[test]
fn a_result_of_its_own_is_replaced_where_that_is_said() {
    let place = Place::new("own");
    for walk in COMMANDS {
        for option in walk.outputs {
            let result = place.0.join("result");
            let [plain, forced] = calls(walk, option, "result");
            if walk.long {
                let own: &[u8] = match walk.words {
                    "library make" => include_bytes!("../../src/diagnosis/standard.lib"),
                    "drill new" => super::SEALED.as_bytes(),
                    _ => continue,
                };
                fs::write(&result, own).expect("room");
            } else {
                let out = place.run(&plain, b"");
                assert_eq!(out.status.code(), Some(0), "{plain:?}: {}", told(&out));
            }
            let old = fs::read(&result).expect("written");
            let out = place.run(&plain, b"");
            assert_eq!(out.status.code(), Some(2), "{plain:?}: {}", told(&out));
            assert!(told(&out).contains("--force"), "{}", told(&out));
            assert!(fs::read(&result).expect("there") == old);
            if !walk.long {
                fs::write(&result, [old.as_slice(), b"\nolder"].concat()).expect("room");
                let out = place.run(&forced, b"");
                assert_eq!(out.status.code(), Some(0), "{forced:?}: {}", told(&out));
                assert!(fs::read(&result).expect("there") == old, "{forced:?}");
            }
            fs::remove_file(&result).expect("it was there");
        }
    }
}

#[test]
fn no_two_outputs_are_one_place() {
    let place = Place::new("two");
    let before = holds(&place.0);
    for walk in COMMANDS {
        // Standard output is led into the same file: nothing may replace it there, and nothing mixes with it.
        let lines: &[u8] = if walk.words.starts_with("drill try") {
            b"look\n"
        } else {
            b"1\n"
        };
        for option in walk
            .outputs
            .iter()
            .chain(walk.kept)
            .filter(|o| !o.is_empty() && **o != "--shot")
        {
            let call = walk.called_for(option, "both");
            let out = place.led_into("both", &call, lines);
            assert_eq!(out.status.code(), Some(2), "{call:?}: {}", told(&out));
            assert!(told(&out).contains("standard output"), "{}", told(&out));
            fs::remove_file(place.0.join("both")).expect("it was there");
        }
        if let [one, two] = walk.outputs {
            for (a, b) in [
                ("same", "same"),
                ("same", "SAME"),
                ("same", "./same"),
                ("-", "-"),
                ("-", "/dev/stdout"),
                ("/dev/fd/1", "-"),
            ] {
                let call = [walk.call, &[*one, a, *two, b]].concat();
                let out = place.run(&call, b"");
                assert_eq!(out.status.code(), Some(2), "{call:?}");
            }
            // The second cannot be written: the first does not appear either.
            for (second, code) in [("/dev/full", 1), ("second/", 2)] {
                let call = [walk.call, &[*one, "first", *two, second]].concat();
                let out = place.run(&call, b"");
                assert_eq!(out.status.code(), Some(code), "{call:?}: {}", told(&out));
            }
        }
        assert!(before == holds(&place.0), "{}: all or nothing", walk.words);
    }
}

/// Reports and pages go into folders: what is read is not written over by a link, and a folder that was made for nothing goes.
#[test]
fn a_folder_that_is_written_into_replaces_nothing_either() {
    let place = Place::new("folders");
    let out = place.0.join("out");
    fs::create_dir(&out).expect("a folder");
    for (name, of) in [
        ("gradebook.csv", "class/class.toml"),
        ("acts.csv", "class/drills/since_the_rain.toml"),
        ("class.html", "names.txt"),
    ] {
        let link = out.join(name);
        std::os::unix::fs::symlink(place.0.join(of), &link).expect("a link");
        let before = holds(&place.0);
        let call = ["class", "report", "CLASS", "--out", "out", "--force"];
        let output = place.run(&call, b"");
        assert_eq!(output.status.code(), Some(2), "{name}: {}", told(&output));
        assert!(before == holds(&place.0), "{name}");
        fs::remove_file(&link).expect("it was there");
    }
    let call = ["class", "report", "CLASS", "--out", "out"];
    assert_eq!(place.run(&call, b"").status.code(), Some(0));
    let again = place.run(&call, b"");
    assert_eq!(again.status.code(), Some(2), "{}", told(&again));
    let forced = [call.as_slice(), &["--force"]].concat();
    assert_eq!(place.run(&forced, b"").status.code(), Some(0));

    let into = |file: &str| {
        let call = [
            "drill", "report", "LOGS", "--drills", "DRILLS", "--csv", file, "--force",
        ];
        place.run(&call, b"").status.code()
    };
    assert_eq!(into("drills/own.toml"), Some(2), "a drill that is read");

    fs::write(out.join("faults.md"), "# My own faults\n").expect("room");
    let before = holds(&place.0);
    let fifo = place.0.join("fifo");
    let made = std::process::Command::new("mkfifo").arg(&fifo).status();
    assert!(made.expect("mkfifo runs").success());
    for folder in ["out", "fifo", "/dev/null", "in.toml"] {
        let output = place.run(&["faults", "--paper", folder, "--force"], b"");
        let text = told(&output);
        assert_eq!(output.status.code(), Some(2), "{folder}: {text}");
        assert!(
            text.contains("--paper") && text.contains("  try: "),
            "{text}"
        );
    }
    assert!(before == holds(&place.0), "no folder is left behind");
}
