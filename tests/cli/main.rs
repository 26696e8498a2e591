//! The real binary: what it says to bad input, its exit codes, the files it leaves.

mod curves;
mod service;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// A folder of this test's own, removed at the end.
struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("twostage-cli-{}-{name}", std::process::id()));
        let _ = fs::remove_dir_all(&path);
        fs::create_dir_all(&path).expect("a folder for scratch files");
        Self(path)
    }

    fn file(&self, name: &str, text: &str) -> String {
        let path = self.0.join(name);
        fs::write(&path, text).expect("room for a scratch file");
        path.display().to_string()
    }

    fn path(&self, name: &str) -> String {
        self.0.join(name).display().to_string()
    }

    /// Names in the folder, hidden ones too.
    fn names(&self) -> Vec<String> {
        let mut names: Vec<String> = fs::read_dir(&self.0)
            .expect("the folder")
            .map(|entry| {
                entry
                    .expect("an entry")
                    .file_name()
                    .to_string_lossy()
                    .into_owned()
            })
            .collect();
        names.sort();
        names
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

fn twostage(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_twostage"))
        .args(args)
        .env_remove("DISPLAY")
        .env_remove("WAYLAND_DISPLAY")
        .output()
        .expect("the binary runs")
}

/// What is told; an error within an error is one too many.
fn told(output: &Output) -> String {
    let text = String::from_utf8(output.stderr.clone()).expect("UTF-8");
    let twice = text.lines().find(|l| l.matches("error: ").count() > 1);
    assert_eq!(twice, None, "{text}");
    text
}

fn said(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).expect("UTF-8")
}

/// Runs, and expects the exit code and these words on standard error, nothing on standard output.
fn refused(args: &[&str], code: i32, words: &[&str]) {
    let output = twostage(args);
    let text = told(&output);
    assert_eq!(output.status.code(), Some(code), "{args:?}: {text}");
    assert!(text.starts_with("error: "), "{text}");
    for word in words {
        assert!(text.contains(word), "{word}\nis not in\n{text}");
    }
    assert_eq!(said(&output), "", "{args:?}");
}

const SMALL: &str = r#"title = "Small"
summary = "One burner."

[[container]]
kind = "20 lb cylinder"

[[appliance]]
kind = "cooktop"

[[event]]
at = "2 s"
turn_on = "cooktop"

[run]
duration = "20 s"
sample = "1 s"
settle = "5 s"
"#;

/// The small file with one line put in after another.
fn with(after: &str, line: &str) -> String {
    assert!(SMALL.contains(after));
    SMALL.replace(after, &format!("{after}\n{line}"))
}

#[test]
fn a_wrong_file_is_explained_with_its_line_and_exit_code_2() {
    let folder = Folder::new("wrong");
    let kind = "kind = \"20 lb cylinder\"";
    let cases: [(&str, String, &[&str]); 12] = [
        (
            "unknown-key.toml",
            with(kind, "fil = \"80 %\""),
            &[
                "unknown key `fil` in [[container]]",
                "unknown-key.toml:6:1",
                "   6 | fil = \"80 %\"",
                "     | ^^^",
                "try: `fill`",
            ],
        ),
        (
            "wrong-unit.toml",
            with(kind, "temperature = \"60 psi\""),
            &[
                "`temperature`: psi is a gauge pressure; a temperature is wanted",
                ":6:15",
                "try: \"28 degF\" or \"-2 degC\"",
            ],
        ),
        (
            "missing-unit.toml",
            with(kind, "temperature = 60"),
            &[
                "`temperature`: a bare number: a temperature needs a unit",
                ":6:15",
                "\"60 degF\"",
            ],
        ),
        (
            "negative-bore.toml",
            format!("{SMALL}[regulator.second]\nbore = \"-3.2 mm\"\n"),
            &["`bore` is -3.2 mm", ":19:8", "try: from 0.1 mm to 20 mm"],
        ),
        ("empty.toml", String::new(), &["the file says nothing"]),
        (
            "blank.toml",
            "# nothing yet\n\n".to_owned(),
            &["the file says nothing"],
        ),
        (
            "nan.toml",
            with(kind, "fill = nan\ntemperature = \"nan degF\""),
            &[
                "`fill`: ",
                ":6:8",
                "`temperature`: `nan degF` is no number to compute with",
                ":7:15",
            ],
        ),
        (
            "two-acts.toml",
            with(
                "turn_on = \"cooktop\"",
                "inject = \"second_vent_blocked\"\nseverity = 1",
            ),
            &[
                "`turn_on` and `inject` cannot stand together",
                "try: two tables, one for each",
            ],
        ),
        (
            "late.toml",
            SMALL.replace("at = \"2 s\"", "at = \"21 s\""),
            &[
                "the event comes after the end of the run at 20 s",
                ":11:6",
                "or a longer `duration`",
            ],
        ),
        (
            "no-such-appliance.toml",
            SMALL.replace("turn_on = \"cooktop\"", "turn_on = \"cook top\""),
            &["`turn_on` knows no `cook top`", "try: \"cooktop\""],
        ),
        (
            "too-full.toml",
            with(kind, "fill = \"120 %\""),
            &["`fill` is 120 %", "try: from 0 % to 99 %"],
        ),
        (
            "too-long.toml",
            SMALL
                .replace("sample = \"1 s\"", "sample = \"1 ms\"")
                .replace("\"20 s\"", "\"2 h\""),
            &["rows, more than 200000", "try: "],
        ),
    ];
    for (name, text, words) in &cases {
        let file = folder.file(name, text);
        for task in ["check", "run"] {
            refused(&[task, &file], 2, words);
        }
        // The window refuses it in the same words before it opens.
        if cfg!(feature = "window") {
            refused(&[&file], 2, words);
        }
    }
}

#[test]
fn every_mistake_is_told_at_once() {
    let folder = Folder::new("many");
    let text = with("kind = \"20 lb cylinder\"", "fill = 2\nvalve = \"ajar\"");
    let file = folder.file("many.toml", &text);
    let other = folder.file("right.toml", SMALL);
    let output = twostage(&["check", &file, &other]);
    assert_eq!(output.status.code(), Some(2));
    assert!(told(&output).contains("many.toml:6:8"));
    assert!(told(&output).contains("many.toml:7:9"));
    // The right one is said to be right all the same.
    assert!(
        said(&output).contains("right.toml: no mistakes: 20 s, 1 container, 1 appliance, 1 event")
    );
}

#[test]
fn what_is_no_file_of_ours_is_refused() {
    let folder = Folder::new("files");
    refused(
        &["run", &folder.path("gone.toml")],
        2,
        &["there is no file", "gone.toml", "try: "],
    );
    refused(&["check", &folder.path("")], 2, &["is a folder", "try: "]);
    let latin = folder.path("latin.toml");
    fs::write(&latin, b"title = \"28 \xb0F\"\n").expect("room");
    refused(&["check", &latin], 2, &["is not UTF-8 text: line 1"]);
    // 50 MB that lie nowhere on the disk.
    let huge = folder.path("huge.toml");
    let file = fs::File::create(&huge).expect("room");
    file.set_len(50_000_000).expect("a sparse file");
    refused(&["run", &huge], 2, &["is longer than 1000000 bytes"]);
}

/// A file without the right to read it. The superuser may read anything, so nothing is refused
/// there.
#[cfg(unix)]
#[test]
fn an_unreadable_file_is_refused() {
    use std::os::unix::fs::PermissionsExt;
    let folder = Folder::new("unreadable");
    let file = folder.file("locked.toml", SMALL);
    fs::set_permissions(&file, fs::Permissions::from_mode(0o000)).expect("one's own file");
    if fs::read(&file).is_err() {
        refused(&["run", &file], 2, &["cannot be read", "locked.toml"]);
    } else {
        // What cannot be read even by the superuser: a folder's memory is no text.
        refused(&["run", "/proc/self/mem"], 2, &["error: "]);
    }
}

#[test]
fn a_wrong_option_is_explained() {
    let folder = Folder::new("options");
    let file = folder.file("small.toml", SMALL);
    refused(&["run", &file, "--cvs", "x"], 2, &["--cvs", "try: `--csv`"]);
    refused(&["run"], 2, &["<FILE>", "try: "]);
    refused(
        &["run", &file, "--solver", "fast"],
        2,
        &["fast", "auto, explicit, stiff"],
    );
    refused(
        &["run", &file, "--until", "9"],
        2,
        &["--until: a bare number", "\"9 s\""],
    );
    refused(&["run", &file, "--until", "-1 s"], 2, &["--until is -1 s"]);
    refused(
        &["run", &file, "--until", "900 d"],
        2,
        &["--until is 900 d"],
    );
    refused(
        &["run", &file, "--inject", "second_vent_bloked=1"],
        2,
        &["there is no fault", "try: `second_vent_blocked`"],
    );
    refused(
        &["run", &file, "--inject", "second_vent_blocked"],
        2,
        &["has no severity"],
    );
    refused(
        &["run", &file, "--inject", "second_vent_blocked=2"],
        2,
        &["a severity of 2", "from 0 to 1"],
    );
    refused(
        &["run", &file, "--inject", "second_vent_blocked=1@40 s"],
        2,
        &["comes outside the run"],
    );
    refused(
        &["faults", "second_vent_bloked"],
        2,
        &["try: `second_vent_blocked`"],
    );
    // A part of a name, a stage too many, and a command that is none.
    refused(&["faults", "vnt"], 2, &["`second_vent_blocked` or "]);
    refused(
        &["faults", "second_diaphragm_torn"],
        2,
        &["try: `diaphragm_torn`"],
    );
    refused(
        &["diagnos", &file],
        2,
        &["there is no command `diagnos`", "try: `twostage diagnose`"],
    );
}

#[test]
fn a_place_that_cannot_be_written_is_told_before_the_run() {
    let folder = Folder::new("places");
    let file = folder.file("small.toml", SMALL);
    let before = folder.names();
    refused(
        &["run", &file, "--csv", &folder.path("")],
        2,
        &["--csv: cannot write", "it is a folder"],
    );
    refused(
        &["run", &file, "--json", &folder.path("gone/out.json")],
        2,
        &["--json: cannot write", "gone"],
    );
    refused(
        &["run", &file, "--csv", &file],
        2,
        &["would replace", "which is read"],
    );
    let same = folder.path("same");
    refused(
        &["run", &file, "--csv", &same, "--json", &same],
        2,
        &["name the same place"],
    );
    assert_eq!(folder.names(), before, "nothing is left behind");
    assert_eq!(fs::read_to_string(&file).expect("still there"), SMALL);
}

/// A device that is always full stands for a disk that fills up while the run goes on.
#[cfg(target_os = "linux")]
#[test]
fn a_run_that_cannot_be_kept_ends_with_exit_code_1() {
    let folder = Folder::new("full");
    let file = folder.file("small.toml", SMALL);
    refused(
        &["run", &file, "--json", "/dev/full"],
        1,
        &[
            "cannot write `/dev/full`",
            "try: another place with room for",
        ],
    );
    assert_eq!(folder.names(), ["small.toml"]);
}

#[test]
fn a_run_leaves_a_table_and_a_json_that_say_the_same() {
    let folder = Folder::new("run");
    let file = folder.file("small.toml", SMALL);
    let (csv, json) = (folder.path("out.csv"), folder.path("out.json"));
    // A table of the program is known by its own columns.
    let old = "time_s,container_psig,first_stage_psig,outlet_inwc,old\n";
    fs::write(&csv, old).expect("room");
    let output = twostage(&["run", &file, "--force", "--csv", &csv, "--json", &json]);
    assert!(output.status.success(), "{}", told(&output));
    assert_eq!(told(&output), "", "quiet in a pipe");
    for words in [
        "in w.c.",
        "psi",
        "Mass balance",
        "cooktop",
        "lit once",
        "0:02.0  cooktop turned on",
    ] {
        assert!(said(&output).contains(words), "{words}: {}", said(&output));
    }
    assert_eq!(folder.names(), ["out.csv", "out.json", "small.toml"]);

    let table = fs::read_to_string(&csv).expect("written");
    let mut lines = table.lines();
    let header: Vec<&str> = lines.next().expect("a header").split(',').collect();
    // The fixed columns of the design, in their order.
    assert_eq!(
        header[..10],
        [
            "time_s",
            "container_psig",
            "first_stage_psig",
            "outlet_inwc",
            "manifold_inwc",
            "second_bonnet_inwc",
            "first_lift_mm",
            "second_lift_mm",
            "demand_btuh",
            "flow_btuh"
        ]
    );
    let rows: Vec<Vec<f64>> = lines
        .map(|line| {
            line.split(',')
                .map(|cell| cell.parse().expect("a number"))
                .collect()
        })
        .collect();
    assert_eq!(rows.len(), 21, "0 s to 20 s, a row a second");
    assert!(rows.iter().all(|row| row.len() == header.len()));

    let text = fs::read_to_string(&json).expect("written");
    let document: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    assert_eq!(document["format"], "twostage run");
    assert_eq!(document["version"], 1);
    for (i, name) in header.iter().enumerate() {
        let column = document["readings"][*name].as_array().expect("a column");
        assert_eq!(column.len(), rows.len());
        for (value, row) in column.iter().zip(&rows) {
            assert_eq!(value.as_f64(), Some(row[i]), "{name}");
        }
    }
    assert_eq!(document["summary"]["burners"][0]["lit"], 1);
    assert_eq!(document["events"][0]["text"], "cooktop turned on");
}

#[test]
fn the_same_file_gives_the_same_bytes() {
    let folder = Folder::new("bytes");
    let file = folder.file("small.toml", SMALL);
    for solver in ["auto", "explicit", "stiff"] {
        let run = |name: &str| -> (Vec<u8>, Vec<u8>, Vec<u8>) {
            let (csv, json) = (
                folder.path(&format!("{name}.csv")),
                folder.path(&format!("{name}.json")),
            );
            let output = twostage(&[
                "run", &file, "--solver", solver, "--force", "--csv", &csv, "--json", &json,
            ]);
            assert!(output.status.success(), "{}", told(&output));
            (
                output.stdout,
                fs::read(csv).expect("there"),
                fs::read(json).expect("there"),
            )
        };
        assert!(run("a") == run("b"), "{solver}");
    }
}

#[test]
fn the_table_may_go_to_standard_output() {
    let folder = Folder::new("standard");
    let file = folder.file("small.toml", SMALL);
    let output = twostage(&["run", &file, "--csv", "-", "--until", "3 s"]);
    assert!(output.status.success());
    assert!(said(&output).starts_with("time_s,container_psig,"));
    assert_eq!(said(&output).lines().count(), 5);
}

#[test]
fn si_is_spoken_where_it_is_asked_for() {
    let folder = Folder::new("si");
    let file = folder.file("small.toml", SMALL);
    let output = said(&twostage(&["run", &file, "--si"]));
    assert!(
        output.contains("kPa") && output.contains("°C") && output.contains(" kg"),
        "{output}"
    );
    assert!(
        !output.contains("in w.c.") && !output.contains("psi") && !output.contains("°F"),
        "{output}"
    );
}

/// A cause's severity was told in SI between readings in US units.
#[test]
fn a_diagnosis_speaks_one_system_of_units() {
    let folder = Folder::new("one system");
    let readings = "[half_load]\noutlet = \"11.2 inwc\"\n[lock_up]\nafter_minute = \"12.2 inwc\"\nafter_creep = \"14.6 inwc\"\n";
    let file = folder.file("readings.toml", readings);
    let us = said(&twostage(&["diagnose", "--quick", &file]));
    assert!(us.contains("severity"), "{us}");
    for si in ["mm²", "µm", "mL/min", "kPa"] {
        assert!(!us.contains(si), "{si} is in\n{us}");
    }
    let si = said(&twostage(&["diagnose", "--quick", "--si", &file]));
    assert!(si.contains("kPa") && !si.contains("in w.c."), "{si}");
}

/// A dial of psi errs by more than these two are apart, so that it may be so, and psi may be meant all the same.
#[test]
fn a_number_in_a_wrong_unit_is_asked_after() {
    let folder = Folder::new("another unit");
    let readings = "[half_load]\noutlet = \"11 inwc\"\n[first_stage]\nfull_load = \"9.6 inwc\"\n";
    let file = folder.file("readings.toml", readings);
    let told = said(&twostage(&["diagnose", "--quick", &file]));
    let asked =
        "Read in another unit? First stage at full load: 9.6 in w.c. is 0.3 psig; perhaps 9.6 psig";
    assert!(told.contains(asked), "{told}");
    // What the question stands over is not judged.
    assert!(!told.contains("By the bench's limits"), "{told}");
}

#[test]
fn an_injected_fault_acts() {
    let folder = Folder::new("inject");
    let file = folder.file("small.toml", SMALL);
    let highest = |args: &[&str]| -> f64 {
        let output = twostage(&[&["run", &file, "--json", "-"], args].concat());
        assert!(output.status.success(), "{}", told(&output));
        let document: serde_json::Value = serde_json::from_slice(&output.stdout).expect("JSON");
        document["summary"]["outlet_pa"]["high"]
            .as_f64()
            .expect("a number")
    };
    // A screw set high shifts lock-up and flow alike; more than 1 in w.c. (249 Pa) at its worst.
    let rise = highest(&["--inject", "second_screw_high=100 %"]) - highest(&[]);
    assert!(rise > 249.0, "{rise} Pa");
    let timed = twostage(&["run", &file, "--inject", "second_vent_blocked=1@5 s"]);
    assert!(
        said(&timed).contains("0:05.0  Second-stage vent blocked"),
        "{}",
        said(&timed)
    );
}

#[test]
fn the_catalogue_is_told() {
    let list = said(&twostage(&["faults"]));
    assert!(list.contains("second_vent_blocked"), "{list}");
    let about = said(&twostage(&["faults", "second_vent_blocked"]));
    for words in ["second_vent_blocked", "At 1.00:", "Told apart:", "Caution:"] {
        assert!(about.contains(words), "{words}: {about}");
    }
}

/// A wrong value sends to the help of the task that it was given to.
#[test]
fn a_wrong_value_names_its_own_help() {
    for (args, help) in [
        (
            &["service", "--test", "nonsense", "x.toml"][..],
            "`twostage service --help`",
        ),
        (
            &["curve", "x.toml", "--points", "many"],
            "`twostage curve --help`",
        ),
        (
            &["drill", "new", "--seed", "x"],
            "`twostage drill new --help`",
        ),
    ] {
        refused(args, 2, &[help]);
    }
}

#[test]
fn help_is_no_error() {
    for args in [&["--help"][..], &["run", "--help"], &["--version"]] {
        let output = twostage(args);
        assert_eq!(output.status.code(), Some(0));
        assert!(said(&output).contains("twostage"));
        assert_eq!(told(&output), "");
    }
}

/// Without a display there is an explanation and no panic.
#[cfg(feature = "window")]
#[test]
fn no_display_is_explained() {
    let output = twostage(&[]);
    assert_eq!(output.status.code(), Some(1), "{}", told(&output));
    assert!(
        told(&output).starts_with("error: the window cannot be opened"),
        "{}",
        told(&output)
    );
    assert!(told(&output).contains("twostage run"), "{}", told(&output));
}

#[cfg(not(feature = "window"))]
#[test]
fn a_build_without_a_window_says_so() {
    refused(
        &["quiet.toml"],
        2,
        &["this build has no window", "`twostage run quiet.toml`"],
    );
}

/// The shipped files have no mistakes.
#[test]
fn shipped_files_are_right() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios");
    let files: Vec<String> = fs::read_dir(folder)
        .expect("the folder")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|end| end == "toml"))
        .map(|path| path.display().to_string())
        .collect();
    assert!(files.len() >= 8);
    let args: Vec<&str> = std::iter::once("check")
        .chain(files.iter().map(String::as_str))
        .collect();
    let output = twostage(&args);
    assert!(output.status.success(), "{}", told(&output));
    assert_eq!(said(&output).lines().count(), files.len());
}
