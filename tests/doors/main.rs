//! Every door of the program, command by command: what it writes to, what it may not replace, what it will not wait
//! on. A command that is not in [`COMMANDS`] fails the first test, so that a new one cannot forget its doors.
//!
//! What needs a full disk, a pipe or an endless file is tried where the system has one (`/dev/full`, `mkfifo`).

#![cfg(target_os = "linux")]

use clap::CommandFactory as _;
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::time::{Duration, Instant};

/// One command: its words, a call that says something on standard output, the call's inputs, and its options for
/// files. `IN` stands for a scenario, `READ` for readings, `DRILL`, `LOG`, `LOGS` for a drill, an attempt and
/// a folder of attempts, `CLASS` for the folder of a class.
struct Walk {
    words: &'static str,
    call: &'static [&'static str],
    /// Arguments of the call that name a file which is read.
    inputs: &'static [&'static str],
    /// Options that write a file, and what an old result of that kind begins with.
    outputs: &'static [(&'static str, &'static str)],
    /// Whether it reads lines from standard input.
    lines: bool,
}

const TABLE: &str = "time_s,outlet\n1,2\n";

const COMMANDS: &[Walk] = &[
    Walk {
        words: "run",
        call: &["run", "IN"],
        inputs: &["IN"],
        outputs: &[("--csv", TABLE), ("--json", "{\"version\":1}\n")],
        lines: false,
    },
    Walk {
        words: "check",
        call: &["check", "IN"],
        inputs: &["IN"],
        outputs: &[],
        lines: false,
    },
    Walk {
        words: "service",
        call: &["service", "IN", "--test", "flow-pressure"],
        inputs: &["IN"],
        outputs: &[("--json", "{\"version\":1}\n")],
        lines: false,
    },
    Walk {
        words: "curve",
        call: &["curve", "IN", "--points", "2"],
        inputs: &["IN"],
        outputs: &[("--csv", TABLE), ("--svg", "<svg></svg>\n")],
        lines: false,
    },
    Walk {
        words: "stability",
        call: &["stability", "IN", "--points", "2"],
        inputs: &["IN"],
        outputs: &[("--csv", TABLE), ("--svg", "<svg></svg>\n")],
        lines: false,
    },
    Walk {
        words: "faults",
        call: &["faults"],
        inputs: &[],
        // `--paper` names a folder, and makes all of it.
        outputs: &[],
        lines: false,
    },
    Walk {
        words: "diagnose",
        call: &["diagnose", "--priors"],
        inputs: &[],
        outputs: &[],
        lines: false,
    },
    Walk {
        // Minutes of work, and a file that only `library make` itself reads again.
        words: "library make",
        call: &[],
        inputs: &[],
        outputs: &[],
        lines: false,
    },
    Walk {
        words: "library evaluate",
        call: &["library", "evaluate", "1"],
        inputs: &[],
        outputs: &[],
        lines: false,
    },
    Walk {
        words: "library isolability",
        call: &[],
        inputs: &[],
        outputs: &[],
        lines: false,
    },
    Walk {
        words: "drill new",
        call: &["drill", "new", "--from", "DRILL", "--out", "-"],
        inputs: &["DRILL"],
        outputs: &[],
        lines: false,
    },
    Walk {
        words: "drill check",
        call: &["drill", "check", "--quick", "DRILL"],
        inputs: &["DRILL"],
        outputs: &[],
        lines: false,
    },
    Walk {
        words: "drill reseal",
        call: &[],
        inputs: &[],
        outputs: &[],
        lines: false,
    },
    Walk {
        words: "drill try",
        call: &["drill", "try", "DRILL", "--who", "Ada", "--log", "NEW"],
        inputs: &["DRILL"],
        outputs: &[],
        lines: true,
    },
    Walk {
        words: "drill expert",
        call: &[],
        inputs: &[],
        outputs: &[],
        lines: false,
    },
    Walk {
        words: "drill grade",
        call: &["drill", "grade", "DRILL", "LOG", "--marks"],
        inputs: &["DRILL", "LOG"],
        outputs: &[],
        lines: false,
    },
    Walk {
        words: "drill list",
        call: &["drill", "list"],
        inputs: &[],
        outputs: &[],
        lines: false,
    },
    Walk {
        words: "drill report",
        call: &["drill", "report", "LOGS"],
        inputs: &[],
        outputs: &[("--html", "<!doctype html>\n"), ("--csv", TABLE)],
        lines: false,
    },
    Walk {
        // A folder of its own, refused where there is something already: see `tests/class/`.
        words: "class new",
        call: &[],
        inputs: &[],
        outputs: &[],
        lines: false,
    },
    Walk {
        words: "class add",
        call: &["class", "add", "FRESH", "--trainee", "Bo"],
        inputs: &[],
        outputs: &[],
        lines: false,
    },
    Walk {
        words: "class list",
        call: &["class", "list", "CLASS"],
        inputs: &[],
        outputs: &[],
        lines: false,
    },
    Walk {
        words: "class release",
        call: &["class", "release", "CLASS"],
        inputs: &[],
        outputs: &[],
        lines: false,
    },
    Walk {
        words: "class try",
        call: &[
            "class",
            "try",
            "CLASS",
            "--who",
            "1",
            "--drill",
            "since_the_rain",
        ],
        inputs: &[],
        outputs: &[],
        lines: true,
    },
    Walk {
        words: "class next",
        call: &["class", "next", "CLASS", "--who", "1"],
        inputs: &[],
        outputs: &[],
        lines: false,
    },
    Walk {
        // It writes a folder full, all together: see `tests/class/`.
        words: "class report",
        call: &["class", "report", "CLASS", "--force"],
        inputs: &[],
        outputs: &[],
        lines: false,
    },
    Walk {
        words: "class mine",
        call: &["class", "mine", "CLASS", "--who", "Ada"],
        inputs: &[],
        outputs: &[],
        lines: false,
    },
    Walk {
        words: "lesson list",
        call: &["lesson", "list", "--progress", "PROGRESS"],
        inputs: &[],
        outputs: &[],
        lines: false,
    },
    Walk {
        words: "lesson run",
        call: &["lesson", "run", "droop", "--progress", "PROGRESS"],
        inputs: &[],
        outputs: &[],
        lines: true,
    },
];

/// A folder with one of each file.
struct Place(PathBuf);

impl Drop for Place {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

const SCENARIO: &str = include_str!("small.toml");

impl Place {
    fn new(name: &str) -> Self {
        let folder =
            std::env::temp_dir().join(format!("twostage-doors-{}-{name}", std::process::id()));
        let _ = fs::remove_dir_all(&folder);
        fs::create_dir_all(folder.join("logs")).expect("a folder for scratch files");
        let place = Self(folder);
        fs::write(place.path("IN"), SCENARIO).expect("room");
        fs::write(place.path("DRILL"), DRILL).expect("room");
        let tried = place.run(
            &["drill", "try", "DRILL", "--who", "Ada", "--log", "LOG"],
            b"look\nwait 1 min\n",
        );
        assert!(tried.status.success(), "{}", told(&tried));
        fs::copy(place.path("LOG"), place.0.join("logs/one.attempt")).expect("room");
        let made = place.run(
            &[
                "class",
                "new",
                "CLASS",
                "--name",
                "Friday",
                "--trainee",
                "Ada",
                "--drill",
                "since_the_rain",
            ],
            b"",
        );
        assert!(made.status.success(), "{}", told(&made));
        place
    }

    fn path(&self, name: &str) -> String {
        let file = match name {
            "IN" => "in.toml",
            "DRILL" => "drill.toml",
            "LOG" => "tried.attempt",
            "LOGS" => "logs",
            "CLASS" => "class",
            "FRESH" => "fresh",
            "NEW" => "new.attempt",
            "PROGRESS" => "progress.toml",
            other => return other.to_owned(),
        };
        self.0.join(file).display().to_string()
    }

    fn command(&self, call: &[&str]) -> Command {
        if call.contains(&"FRESH") {
            // A class that nothing was put into yet: twice is refused.
            let fresh = self.path("FRESH");
            let _ = fs::remove_dir_all(&fresh);
            self.run(&["class", "new", &fresh, "--name", "Friday"], b"");
        }
        let mut command = Command::new(env!("CARGO_BIN_EXE_twostage"));
        command
            .args(call.iter().map(|a| self.path(a)))
            .current_dir(&self.0)
            .env("XDG_CACHE_HOME", self.0.join("cache"))
            .env("XDG_DATA_HOME", self.0.join("data"))
            .env_remove("DISPLAY")
            .env_remove("WAYLAND_DISPLAY");
        command
    }

    /// Runs with this on standard input, and must be done within a minute.
    fn run(&self, call: &[&str], input: &[u8]) -> Output {
        let file = self.0.join("input");
        fs::write(&file, input).expect("room");
        let input = fs::File::open(&file).expect("just written");
        let mut command = self.command(call);
        command
            .stdin(input)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped());
        finished(command)
    }
}

fn finished(mut command: Command) -> Output {
    let begun = Instant::now();
    let mut child = command.spawn().expect("the binary runs");
    let watched = child.id();
    let guard = std::thread::spawn(move || {
        while begun.elapsed() < Duration::from_secs(120) {
            std::thread::sleep(Duration::from_millis(50));
            if !Path::new(&format!("/proc/{watched}")).exists() {
                return;
            }
        }
        let _ = Command::new("kill").arg(watched.to_string()).status();
    });
    let output = if child.stdout.is_some() {
        child.wait_with_output().expect("it ends")
    } else {
        let status = child.wait().expect("it ends");
        Output {
            status,
            stdout: Vec::new(),
            stderr: Vec::new(),
        }
    };
    drop(guard);
    assert!(
        output.status.code().is_some(),
        "it hung and was ended: {command:?}"
    );
    output
}

/// What is told; an error within an error is one too many.
fn told(output: &Output) -> String {
    let text = String::from_utf8_lossy(&output.stderr).into_owned();
    let twice = text.lines().find(|l| l.matches("error: ").count() > 1);
    assert_eq!(twice, None, "{text}");
    assert!(
        !text.contains("os error"),
        "no numbers of the system: {text}"
    );
    text
}

/// A drill with its fault in the open, beside nothing.
const DRILL: &str = include_str!("drill.toml");

#[test]
fn every_command_is_walked() {
    fn leaves(command: &clap::Command, before: &str, out: &mut BTreeSet<String>) {
        for sub in command.get_subcommands().filter(|s| s.get_name() != "help") {
            let words = format!("{before}{}", sub.get_name());
            if sub.has_subcommands() {
                leaves(sub, &format!("{words} "), out);
            } else {
                out.insert(words);
            }
        }
    }
    let mut all = BTreeSet::new();
    leaves(&twostage::cli::Args::command(), "", &mut all);
    let walked: BTreeSet<String> = COMMANDS.iter().map(|w| w.words.to_owned()).collect();
    assert_eq!(all, walked, "a command without its doors");
}

#[test]
fn standard_output_that_is_full_fails_and_one_that_is_gone_does_not() {
    let place = Place::new("standard");
    // The small drill of these doors has no solution any more (a screw set high and a vent sealed lower down look alike on
    // two burners and call for different actions), so that `drill new` has nothing to write.
    let speaks = |w: &&Walk| !w.call.is_empty() && w.words != "drill new";
    for walk in COMMANDS.iter().filter(speaks) {
        let answers: &[u8] = if walk.lines {
            b"look\nwait 1 min\n"
        } else {
            b""
        };
        let usual = place.run(walk.call, answers);
        assert_eq!(
            usual.status.code(),
            Some(0),
            "{}: {}",
            walk.words,
            told(&usual)
        );
        assert!(!usual.stdout.is_empty(), "{} says something", walk.words);
        let _ = fs::remove_file(place.path("NEW"));

        let full = fs::OpenOptions::new()
            .write(true)
            .open("/dev/full")
            .expect("it is there");
        let mut command = place.command(walk.call);
        fs::write(place.0.join("input"), answers).expect("room");
        command
            .stdin(fs::File::open(place.0.join("input")).expect("written"))
            .stdout(full)
            .stderr(Stdio::null());
        let code = finished(command).status.code();
        assert_eq!(code, Some(1), "{} into a full disk", walk.words);
        if walk.words == "drill try" {
            let log = fs::read_to_string(place.path("NEW")).expect("a log");
            assert_eq!(
                log.lines().count(),
                3,
                "every act is in the log though nobody reads along"
            );
        }
        let _ = fs::remove_file(place.path("NEW"));

        let (reader, writer) = std::io::pipe().expect("a pipe");
        drop(reader);
        let mut command = place.command(walk.call);
        command
            .stdin(fs::File::open(place.0.join("input")).expect("written"))
            .stdout(writer)
            .stderr(Stdio::null());
        let code = finished(command).status.code();
        assert_eq!(code, Some(0), "{} whose reader has gone", walk.words);
        if walk.words == "drill try" {
            let log = fs::read_to_string(place.path("NEW")).expect("a log");
            assert_eq!(
                log.lines().count(),
                3,
                "every act is in the log though the reader has gone"
            );
        }
        let _ = fs::remove_file(place.path("NEW"));
    }
    // A verdict is not hidden by a reader that has gone, nor by a full disk.
    for to in ["/dev/full", "/dev/null"] {
        let mut command = place.command(&["check", "IN", "nofile.toml"]);
        let out = fs::OpenOptions::new()
            .write(true)
            .open(to)
            .expect("it is there");
        command.stdout(out).stderr(Stdio::null());
        assert_eq!(finished(command).status.code(), Some(2), "check into {to}");
    }
    let mut command = place.command(&["--help"]);
    let full = fs::OpenOptions::new()
        .write(true)
        .open("/dev/full")
        .expect("it is there");
    command.stdout(full).stderr(Stdio::null());
    assert_eq!(
        finished(command).status.code(),
        Some(1),
        "help into a full disk"
    );
}

/// A name under a file, as a slip of the hand makes it, stands for no file and no folder: refused with what to do.
#[test]
fn a_name_under_a_file_is_refused_in_words() {
    let place = Place::new("under");
    let under = format!("{}/under", place.path("IN"));
    let names = [
        "IN", "DRILL", "LOG", "LOGS", "CLASS", "FRESH", "NEW", "PROGRESS",
    ];
    for walk in COMMANDS {
        let mut calls: Vec<Vec<&str>> = Vec::new();
        for (i, word) in walk.call.iter().enumerate() {
            if names.contains(word) {
                let mut call = walk.call.to_vec();
                call[i] = &under;
                calls.push(call);
            }
        }
        for (option, _) in walk.outputs {
            calls.push([walk.call, &[*option, under.as_str()]].concat());
        }
        for call in calls {
            let output = place.run(&call, b"look\n");
            let text = told(&output);
            assert!(
                matches!(output.status.code(), Some(1 | 2)),
                "{call:?}: {:?} {text}",
                output.status
            );
            assert!(text.contains("  try: "), "{call:?}: {text}");
            let _ = fs::remove_file(place.path("NEW"));
        }
    }
}

/// What is in every file of a folder.
fn holds(folder: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    let mut all = Vec::new();
    for entry in fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.is_file() && path.file_name().is_some_and(|n| n != "input") {
            all.push((path.clone(), fs::read(&path).expect("readable")));
        }
    }
    all.sort();
    all
}

#[test]
fn no_output_replaces_what_is_read_or_another_output_or_a_file_of_another_kind() {
    let place = Place::new("replace");
    let link = place.0.join("link.toml");
    std::os::unix::fs::symlink(place.path("IN"), &link).expect("a link");
    let hard = place.0.join("hard.toml");
    fs::hard_link(place.path("IN"), &hard).expect("a hard link");
    fs::write(place.0.join("notes.txt"), "my own notes").expect("room");
    for walk in COMMANDS {
        for (option, old) in walk.outputs {
            let before = holds(&place.0);
            let mut bad = vec![
                place.path("LOG"),
                place.path("DRILL"),
                "notes.txt".to_owned(),
                place.0.join("logs").display().to_string(),
                "gone/out".to_owned(),
            ];
            for input in walk.inputs {
                bad.extend([
                    place.path(input),
                    format!(
                        "./{}",
                        &place.path(input)[place.0.display().to_string().len() + 1..]
                    ),
                ]);
            }
            if walk.inputs.contains(&"IN") {
                bad.extend(["link.toml", "hard.toml", "IN.TOML"].map(str::to_owned));
            }
            for name in &bad {
                for force in [&[][..], &["--force"]] {
                    let call = [walk.call, &[option, name.as_str()], force].concat();
                    let out = place.run(&call, b"");
                    assert_eq!(out.status.code(), Some(2), "{call:?}: {}", told(&out));
                }
            }
            assert!(
                before == holds(&place.0),
                "{} {option}: nothing has changed",
                walk.words
            );

            let result = place.0.join("result");
            fs::write(&result, old).expect("room");
            let plain = [walk.call, &[*option, "result"]].concat();
            let out = place.run(&plain, b"");
            assert_eq!(out.status.code(), Some(2), "{plain:?}: {}", told(&out));
            assert!(told(&out).contains("--force"), "{}", told(&out));
            assert_eq!(fs::read_to_string(&result).expect("there"), *old);
            let forced = [plain.as_slice(), &["--force"]].concat();
            let out = place.run(&forced, b"");
            assert_eq!(out.status.code(), Some(0), "{forced:?}: {}", told(&out));
            assert_ne!(fs::read_to_string(&result).expect("there"), *old);
            fs::remove_file(&result).expect("it was there");
        }
        if let [(one, _), (two, _)] = walk.outputs {
            let before = holds(&place.0);
            for (a, b) in [
                ("same", "same"),
                ("same", "SAME"),
                ("same", "./same"),
                ("-", "-"),
            ] {
                let call = [walk.call, &[*one, a, *two, b]].concat();
                let out = place.run(&call, b"");
                assert_eq!(out.status.code(), Some(2), "{call:?}");
            }
            // The second cannot be written: the first does not appear either.
            let call = [walk.call, &[*one, "first", *two, "/dev/full"]].concat();
            let out = place.run(&call, b"");
            assert_eq!(out.status.code(), Some(1), "{call:?}: {}", told(&out));
            assert!(before == holds(&place.0), "{}: all or nothing", walk.words);
        }
    }
    let call = ["drill", "new", "--from", "DRILL", "--out", "IN", "--force"];
    assert_eq!(
        place.run(&call, b"").status.code(),
        Some(2),
        "a drill over its rig"
    );
}

#[test]
fn nothing_waits_on_a_pipe_or_reads_without_end() {
    let place = Place::new("bounded");
    let fifo = place.0.join("fifo.attempt");
    let made = Command::new("mkfifo")
        .arg(&fifo)
        .status()
        .expect("mkfifo runs");
    assert!(made.success());
    let fifo = fifo.display().to_string();
    for walk in COMMANDS {
        for input in walk.inputs {
            for odd in [fifo.as_str(), "/dev/zero"] {
                let call: Vec<&str> = walk
                    .call
                    .iter()
                    .map(|a| if a == input { odd } else { a })
                    .collect();
                let out = place.run(&call, b"");
                assert_eq!(out.status.code(), Some(2), "{call:?}: {}", told(&out));
                assert!(told(&out).contains("a pipe or a device"), "{}", told(&out));
            }
        }
        if walk.lines {
            let zeros = fs::File::open("/dev/zero").expect("it is there");
            let mut command = place.command(walk.call);
            command
                .stdin(zeros)
                .stdout(Stdio::piped())
                .stderr(Stdio::piped());
            let out = finished(command);
            assert_eq!(out.status.code(), Some(2), "{}: {}", walk.words, told(&out));
            assert!(told(&out).contains("longer than"), "{}", told(&out));
            let _ = fs::remove_file(place.path("NEW"));
        }
    }
    for log in [fifo.as_str(), "/dev/zero"] {
        let call = ["drill", "try", "DRILL", "--who", "Ada", "--log", log];
        let out = place.run(&call, b"look\n");
        assert_eq!(
            out.status.code(),
            Some(2),
            "a log that is {log}: {}",
            told(&out)
        );
    }
    // In a folder of attempts it is told, and the rest is read.
    Command::new("mkfifo")
        .arg(place.0.join("logs/two.attempt"))
        .status()
        .expect("mkfifo runs");
    let out = place.run(&["drill", "report", "LOGS"], b"");
    assert_eq!(out.status.code(), Some(0), "{}", told(&out));
    assert!(told(&out).contains("two.attempt"), "{}", told(&out));
}

#[test]
fn the_last_line_of_a_log_counts_and_what_is_cut_is_kept() {
    let place = Place::new("last");
    let whole = fs::read(place.path("LOG")).expect("a log");
    let marks = |bytes: &[u8]| {
        fs::write(place.path("LOG"), bytes).expect("room");
        place.run(&["drill", "grade", "DRILL", "LOG", "--marks"], b"")
    };
    let usual = marks(&whole);
    let without_end = marks(&whole[..whole.len() - 1]);
    assert_eq!(
        usual.stdout, without_end.stdout,
        "a line that lacks only its end counts"
    );
    let cut = marks(&whole[..whole.len() - 9]);
    assert!(told(&cut).contains("cut off"), "{}", told(&cut));

    for (left, kept) in [(1, false), (9, true)] {
        fs::write(place.path("LOG"), &whole[..whole.len() - left]).expect("room");
        let call = ["drill", "try", "DRILL", "--who", "Ada", "--log", "LOG"];
        let out = place.run(&call, b"listen\n");
        assert_eq!(out.status.code(), Some(0), "{}", told(&out));
        let log = fs::read_to_string(place.path("LOG")).expect("a log");
        assert_eq!(log.lines().count(), if kept { 3 } else { 4 }, "{log}");
        let beside = place.0.join("tried.cut");
        assert_eq!(beside.exists(), kept);
        assert_eq!(told(&out).contains("cut off"), kept);
    }
}

#[test]
fn logs_whose_numbers_no_attempt_can_have_are_refused() {
    let place = Place::new("values");
    let log = fs::read_to_string(place.path("LOG")).expect("a log");
    let changed = |from: &str, to: &str| {
        let lines: Vec<String> = log
            .lines()
            .map(|line| {
                let inner = line.strip_prefix("{\"entry\":").expect("a line of a log");
                let (entry, _) = inner.rsplit_once(",\"sum\":").expect("a line of a log");
                let entry = entry.replace(from, to);
                let sum = twostage::form::fnv1a(entry.as_bytes());
                format!("{{\"entry\":{entry},\"sum\":\"{sum:016x}\"}}\n")
            })
            .collect();
        assert_ne!(lines.concat(), log, "{from} is in the log");
        lines.concat()
    };
    for (from, to) in [
        ("\"act\":\"wait 60 s\"", "\"act\":\"wait 1e308 min\""),
        ("\"act\":\"look\"", "\"act\":\"fly\""),
        ("\"at_s\":0.0", "\"at_s\":-100.0"),
        ("\"n\":2,\"at_s\":", "\"n\":2,\"at_s\":9"),
    ] {
        let text = changed(from, to);
        fs::write(place.path("LOG"), &text).expect("room");
        let out = place.run(&["drill", "grade", "DRILL", "LOG", "--marks"], b"");
        assert_eq!(out.status.code(), Some(2), "{to}: {}", told(&out));
        fs::write(place.0.join("logs/one.attempt"), &text).expect("room");
        let out = place.run(&["drill", "report", "LOGS"], b"");
        assert!(told(&out).contains("one.attempt"), "{to}: {}", told(&out));
    }
}

#[test]
fn options_without_sense_are_refused_with_a_remedy() {
    let place = Place::new("sense");
    for (call, words) in [
        (&["run", "IN", "--until", "1e-12 s"][..], "from 1 ms"),
        (&["run", "IN", "--until", "-5 s"], "from 1 ms"),
        (
            &["run", "IN", "--inject", "second_seat_grit=0.5 over -5 min"],
            "from 0 s",
        ),
        (
            &["run", "IN", "--inject", "second_seat_grit=0.5 over 1e300 s"],
            "from 0 s",
        ),
        (
            &[
                "run",
                "IN",
                "--inject",
                "second_seat_grit=0.5 over 0 cycles",
            ],
            "cycles",
        ),
        // An option spelled right at the wrong place is not proposed again as it stands.
        (
            &["IN", "--inject", "second_seat_grit=0.5"],
            "`twostage run`",
        ),
    ] {
        let out = place.run(call, b"");
        assert_eq!(out.status.code(), Some(2), "{call:?}: {}", told(&out));
        assert!(told(&out).contains(words), "{call:?}: {}", told(&out));
    }
    // A bound as it is told is accepted.
    let bound = [
        "run",
        "IN",
        "--inject",
        "second_seat_grit=0.5 from 140 degF to -58 degF",
    ];
    let out = place.run(&bound, b"");
    assert_eq!(out.status.code(), Some(0), "{}", told(&out));
    for (readings, words) in [
        (
            "[prior]\nhealthy = 1e300\n[half_load]\noutlet = \"11 inwc\"\n",
            "from 0 to",
        ),
        (
            "[half_load]\noutlet = \"11 inwc\"\noutlet_uncertainty = \"1e12 inwc\"\n",
            "from",
        ),
    ] {
        fs::write(place.0.join("r.toml"), readings).expect("room");
        let out = place.run(&["diagnose", "r.toml"], b"");
        assert_eq!(out.status.code(), Some(2), "{readings}: {}", told(&out));
        assert!(told(&out).contains(words), "{}", told(&out));
    }
}

#[test]
fn a_window_that_cannot_open_says_so_in_a_sentence() {
    let place = Place::new("window");
    let out = place.run(&["IN"], b"");
    assert_ne!(out.status.code(), Some(0));
    let text = told(&out);
    assert!(text.contains("twostage run"), "{text}");
    assert!(
        !text.contains(".rs:"),
        "no path of the machine it was built on: {text}"
    );
}
