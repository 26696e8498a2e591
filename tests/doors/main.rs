//! Every door of the program, command by command: what it writes to, what it may not replace, what it will not wait
//! on. A command that is not in [`COMMANDS`] fails the first test, so that a new one cannot forget its doors.
//!
//! What needs a full disk, a pipe or an endless file is tried where the system has one (`/dev/full`, `mkfifo`).

#![cfg(target_os = "linux")]

mod replace;
mod walks;

use clap::CommandFactory as _;
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::time::{Duration, Instant};
use walks::COMMANDS;

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
        fs::create_dir(place.path("DRILLS")).expect("a folder");
        fs::copy(place.path("DRILL"), place.0.join("drills/own.toml")).expect("room");
        fs::write(place.path("SEALED"), SEALED).expect("room");
        fs::write(place.path("NAMES"), "# Friday\nBo\n\nCy\n").expect("room");
        let read = "[lock_up]\nafter_minute = \"11.9 inwc\"\n";
        fs::write(place.path("READ"), read).expect("room");
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
            "READ" => "read.toml",
            "SEALED" => "sealed.toml",
            "DRILLS" => "drills",
            "NAMES" => "names.txt",
            "MADE" => "made",
            other => return other.to_owned(),
        };
        self.0.join(file).display().to_string()
    }

    fn command(&self, call: &[&str]) -> Command {
        self.command_by(Command::new(env!("CARGO_BIN_EXE_twostage")), call)
    }

    fn command_by(&self, mut command: Command, call: &[&str]) -> Command {
        if call.contains(&"FRESH") {
            // A class that nothing was put into yet: twice is refused.
            let fresh = self.path("FRESH");
            let _ = fs::remove_dir_all(&fresh);
            self.run(&["class", "new", &fresh, "--name", "Friday"], b"");
        }
        let _ = fs::remove_dir_all(self.path("MADE"));
        command
            .args(call.iter().map(|a| self.path(a)))
            .current_dir(&self.0)
            .env("XDG_CACHE_HOME", self.0.join("cache"))
            .env("XDG_DATA_HOME", self.0.join("data"))
            .env_remove("DISPLAY")
            .env_remove("WAYLAND_DISPLAY");
        command
    }

    /// Runs without a standard output.
    fn shut_out(&self, call: &[&str], input: &[u8]) -> Output {
        let mut shell = Command::new("sh");
        shell.args([
            "-c",
            "exec \"$0\" \"$@\" >&-",
            env!("CARGO_BIN_EXE_twostage"),
        ]);
        fs::write(self.0.join("input"), input).expect("room");
        let mut command = self.command_by(shell, call);
        command
            .stdin(fs::File::open(self.0.join("input")).expect("written"))
            .stdout(Stdio::null())
            .stderr(Stdio::piped());
        finished(command)
    }

    /// Runs with standard output led into a file, which is made anew.
    fn led_into(&self, file: &str, call: &[&str], input: &[u8]) -> Output {
        fs::write(self.0.join("input"), input).expect("room");
        let mut command = self.command(call);
        command
            .stdin(fs::File::open(self.0.join("input")).expect("written"))
            .stdout(fs::File::create(self.0.join(file)).expect("room"))
            .stderr(Stdio::piped());
        finished(command)
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
    let child = command.spawn().expect("the binary runs");
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
    let output = child.wait_with_output().expect("it ends");
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

/// One that comes with the program.
const SEALED: &str = include_str!("../../scenarios/drills/since_the_rain.toml");

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
    let walked = COMMANDS.iter().map(|w| w.words.to_owned());
    // The window is no command, and has a door all the same.
    let walked: BTreeSet<String> = walked.filter(|w| !w.is_empty()).collect();
    assert_eq!(all, walked, "a command without its doors");
}

#[test]
fn standard_output_that_is_full_fails_and_one_that_is_gone_does_not() {
    let place = Place::new("standard");
    for walk in COMMANDS.iter().filter(|w| !w.long) {
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

        // One that was shut before the start, as `>&-` does, loses as much as a full disk.
        if walk.words != "library evaluate" {
            let closed = place.shut_out(walk.call, answers);
            assert_eq!(closed.status.code(), Some(1), "{} into nothing", walk.words);
            assert!(told(&closed).contains("it is closed"), "{}", told(&closed));
            let _ = fs::remove_file(place.path("NEW"));
        }
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
        "IN", "READ", "DRILL", "DRILLS", "LOG", "LOGS", "CLASS", "FRESH", "NEW", "PROGRESS",
        "NAMES", "MADE",
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
        for option in walk.outputs.iter().chain(walk.kept) {
            calls.push(walk.called_for(option, &under));
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
        for folder in walk.folders {
            for odd in [fifo.as_str(), "/dev/null"] {
                let at = |a: &&'static str| if a == folder { odd } else { *a };
                let call: Vec<&str> = walk.call.iter().map(at).collect();
                let out = place.run(&call, b"");
                assert_eq!(out.status.code(), Some(2), "{call:?}: {}", told(&out));
                assert!(
                    told(&out).contains("no folder") || told(&out).contains("no such folder"),
                    "{}",
                    told(&out)
                );
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
    for walk in COMMANDS {
        for option in walk.kept {
            for odd in [fifo.as_str(), "/dev/zero"] {
                let call = walk.called_for(option, odd);
                let out = place.run(&call, b"look\n");
                assert_eq!(out.status.code(), Some(2), "{call:?}: {}", told(&out));
            }
        }
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
        // A minute that took no time, a year far off, a name and a word that nobody can have given.
        ("\"end_s\":60.0", "\"end_s\":0.0"),
        ("\"begun_s\":", "\"begun_s\":584554051223"),
        (
            "\"who\":\"Ada",
            "\"who\":\"Ada Ada Ada Ada Ada Ada Ada Ada Ada Ada Ada Ada Ada Ada Ada Ada Ada",
        ),
        ("\"vent\":0", "\"vent\":99"),
        ("\"appliance\":0", "\"appliance\":9"),
    ] {
        let text = changed(from, to);
        fs::write(place.path("LOG"), &text).expect("room");
        let out = place.run(&["drill", "grade", "DRILL", "LOG", "--marks"], b"");
        assert_eq!(out.status.code(), Some(2), "{to}: {}", told(&out));
        assert!(
            told(&out).contains("tried.attempt:"),
            "{to}: its line: {}",
            told(&out)
        );
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
    // What lay over its gauge each time lies over it; within it once and over it once is two states.
    for (list, code) in [("> 16 inwc", 0), ("11 inwc", 2)] {
        let readings = format!("[lock_up]\nafter_minute = [\"> 16 inwc\", \"{list}\"]\n");
        fs::write(place.0.join("r.toml"), readings).expect("room");
        let out = place.run(&["diagnose", "--quick", "r.toml"], b"");
        assert_eq!(out.status.code(), Some(code), "{list}: {}", told(&out));
    }
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
    // What is repeated is repeated in a line that can be read.
    for call in [
        &["run", "IN", "--inject", "second_seat_grit=1e300"][..],
        &["diagnose", "r.toml"],
    ] {
        fs::write(place.0.join("r.toml"), "[prior]\nhealthy = 1e300\n").expect("room");
        let out = place.run(call, b"");
        assert_eq!(out.status.code(), Some(2), "{call:?}: {}", told(&out));
        assert!(told(&out).lines().all(|l| l.len() < 200), "{}", told(&out));
        assert!(told(&out).contains("1e300"), "{}", told(&out));
    }
}

/// A name that is wrong is told with where it stands, and nothing is made.
#[test]
fn a_wrong_name_is_told_with_its_line() {
    let place = Place::new("names");
    let twice = "Bo\n\nBo\n";
    let long = format!("Bo\n{}\n", "Cy ".repeat(30));
    for (names, line) in [(twice, "names.txt:3"), (long.as_str(), "names.txt:2")] {
        fs::write(place.path("NAMES"), names).expect("room");
        for call in [
            &[
                "class", "new", "MADE", "--name", "Friday", "--names", "NAMES",
            ][..],
            &["class", "add", "FRESH", "--names", "NAMES"],
        ] {
            let out = place.run(call, b"");
            assert_eq!(out.status.code(), Some(2), "{call:?}: {}", told(&out));
            assert!(told(&out).contains(line), "{line}: {}", told(&out));
            assert!(!Path::new(&place.path("MADE")).exists());
        }
    }
}

#[test]
fn the_priors_are_there_as_json() {
    let place = Place::new("priors");
    let out = place.run(&["diagnose", "--priors", "--json"], b"");
    let json: serde_json::Value = serde_json::from_slice(&out.stdout).expect("JSON");
    assert_eq!(json["format"], "twostage priors");
    let causes = json["causes"].as_array().expect("a list");
    let sum: f64 = causes.iter().filter_map(|c| c["share"].as_f64()).sum();
    assert!(
        (sum - 1.0).abs() < 1e-9 && causes[0]["cause"] == "healthy",
        "{sum}"
    );
}

/// A rig that cannot be followed ends soon, before the start as well, and the key that lies furthest from usual is named.
#[test]
fn a_rig_that_cannot_be_followed_ends_with_its_key() {
    let place = Place::new("stiff");
    let rig =
        |own: &str| format!("{SCENARIO}\n[[appliance]]\nkind = \"furnace\"\non = true\n\n{own}");
    for (own, key) in [
        (
            "[regulator.second]\ncase_wall = \"0.000316228 mm\"\n",
            "`case_wall` of [regulator.second]",
        ),
        (
            "[regulator.first]\ndiaphragm = \"15.748 in\"\n",
            "`diaphragm` of [regulator.first]",
        ),
        (
            "[regulator.first]\nseal_force = \"2.2481e-4 lbf\"\nfriction = \"0.000212042 lbf\"\n\
             [regulator.second]\nheld_lift = \"0 mm\"\nseal_force = \"224.81 lbf\"\n[piping]\nlow_point = \"8.0293 inwc\"\n",
            "`seal_force` of [regulator.first]",
        ),
    ] {
        fs::write(place.0.join("stiff.toml"), rig(own)).expect("room");
        let out = place.run(&["run", "stiff.toml"], b"");
        assert_eq!(out.status.code(), Some(1), "{own}: {}", told(&out));
        let text = told(&out);
        assert!(text.contains(key), "{own}: {text}");
        let before = text.contains("does not come to rest before the start");
        assert!(before && !text.contains("--until"), "{own}: {text}");
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
