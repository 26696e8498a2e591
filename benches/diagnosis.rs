//! How soon a diagnosis answers: with its library at hand, with the built-in library still to be read, and on a
//! rig it has never seen. The peer in the same run is the reading of the library, which holds on any machine.
//!
//! Time on the clock, least of several, for that is what a person waits; the first answer on a new rig once.

use std::hint::black_box;
use std::path::Path;
use std::process::Command;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Instant;

use twostage::diagnosis::files::readings::Readings;
use twostage::diagnosis::library::collection::Library;
use twostage::diagnosis::library::standard::standard_rig;
use twostage::diagnosis::store::{Prepared, built_in, refine};
use twostage::scenario::Scenario;

/// A complaint with few readings, and a whole visit.
const FEW: &str = "[site]\nair = \"60 degF\"\n[half_load]\noutlet = \"11.1 inwc\"\n[lock_up]\nafter_minute = \"13.3 inwc\"\nafter_creep = \"13.4 inwc\"\n";
const MANY: &str = "[site]\nair = \"60 degF\"\n[container]\npressure = \"92 psi\"\nfill = \"60 %\"\n[half_load]\noutlet = \"11.1 inwc\"\n[full_load]\noutlet = \"10.7 inwc\"\n[lock_up]\nat_once = \"12.6 inwc\"\nafter_minute = \"13.3 inwc\"\nafter_creep = \"13.4 inwc\"\n[first_stage]\nat_rest = \"10.4 psi\"\nhalf_load = \"9.9 psi\"\n[seen]\nflames = \"normal\"\nlighting = \"prompt\"\n";
/// A screw too high, and bubbles at the pigtail besides.
const TWO: &str = "[site]\nair = \"60 degF\"\n[half_load]\noutlet = \"13.1 inwc\"\n[full_load]\noutlet = \"12.8 inwc\"\n[lock_up]\nafter_minute = \"13.9 inwc\"\n[leak_fluid]\npigtail = \"steady\"\n";
/// A rig of two cylinders.
const TWIN: &str = "[rig]\ntitle = \"two cylinders\"\n[[rig.container]]\nkind = \"20 lb cylinder\"\nfill = \"60 %\"\n[[rig.container]]\nkind = \"20 lb cylinder\"\nfill = \"60 %\"\n[[rig.appliance]]\nkind = \"furnace\"\n[[rig.appliance]]\nkind = \"refrigerator\"\n[rig.run]\nduration = \"30 min\"\nsample = \"1 s\"\n";
const TIMES: usize = 15;

fn least(times: usize, mut job: impl FnMut()) -> f64 {
    let once = |job: &mut dyn FnMut()| {
        let begun = Instant::now();
        job();
        begun.elapsed().as_secs_f64()
    };
    (0..times).map(|_| once(&mut job)).fold(f64::MAX, f64::min)
}

/// Peak memory of this process \[MB\], where the system tells it.
fn peak_mb() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|l| l.starts_with("VmHWM:"))?;
    let kb: f64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kb / 1024.0)
}

/// The program from its start to its end, with an empty cache and with its own: the visits that prove the
/// built-in library are made again only the first time.
fn whole_program() {
    let folder = std::env::temp_dir().join(format!("twostage-bench-{}", std::process::id()));
    let file = folder.join("few.toml");
    std::fs::create_dir_all(&folder).expect("a folder for the bench");
    std::fs::write(&file, FEW).expect("a file for the bench");
    let run = || {
        let done = Command::new(env!("CARGO_BIN_EXE_twostage"))
            .args(["diagnose", "--json"])
            .arg(&file)
            .env("XDG_CACHE_HOME", &folder)
            .output()
            .expect("the program starts");
        assert!(done.status.success(), "the program answers");
    };
    let first = least(1, run);
    let again = least(TIMES, run);
    println!(
        "whole program from the built-in library: {:.0} ms the first time, then {:.0} ms (target 50 ms); {:.1} to 1",
        1e3 * first,
        1e3 * again,
        first / again
    );
    // Left behind it would only be a small file in the system's folder for such.
    let _ = std::fs::remove_dir_all(&folder);
}

/// A program that is killed while it learns a rig, and one that asks again: what was learned is there.
fn killed() {
    let folder = std::env::temp_dir().join(format!("twostage-killed-{}", std::process::id()));
    let file = folder.join("few.toml");
    std::fs::create_dir_all(&folder).expect("a folder for the bench");
    std::fs::write(&file, format!("{FEW}{TWIN}")).expect("a file for the bench");
    let ask = |more: &[&str]| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_twostage"));
        command.arg("diagnose").args(more).arg(&file);
        command.env("XDG_CACHE_HOME", &folder);
        command
    };
    let visits = |quick: &std::process::Output| {
        let text: serde_json::Value = serde_json::from_slice(&quick.stdout).expect("JSON");
        (
            text["samples"].as_u64(),
            text["none_of_these"].as_f64(),
            text["rounds"].as_u64(),
        )
    };
    let begun = Instant::now();
    let quick = ask(&["--quick", "--json"])
        .output()
        .expect("the program starts");
    let seconds = begun.elapsed().as_secs_f64();
    let (samples, none, _) = visits(&quick);
    println!(
        "two cylinders, never seen: --quick after {seconds:.2} s from {samples:?} visits, none {none:?} (target 3 s)"
    );
    let mut child = ask(&[])
        .stdout(std::process::Stdio::null())
        .spawn()
        .expect("starts");
    std::thread::sleep(std::time::Duration::from_secs(60));
    child.kill().expect("it still learns");
    child.wait().expect("killed");
    let (samples, _, rounds) = visits(&ask(&["--quick", "--json"]).output().expect("starts"));
    println!("killed after a minute: {samples:?} visits of {rounds:?} rounds were kept");
    // Left behind it would only be a small file in the system's folder for such.
    let _ = std::fs::remove_dir_all(&folder);
}

fn main() {
    if std::env::args().any(|a| a == "killed") {
        return killed();
    }
    let rig = standard_rig();
    let library = || built_in(&rig).expect("the built-in library is of this model");
    let read = least(TIMES, || {
        black_box(library());
    });
    let prepare = least(TIMES, || {
        black_box(Prepared::from_library(library()));
    });
    println!(
        "library read {:.0} ms; read and made ready {:.0} ms, {:.1} times as long",
        1e3 * read,
        1e3 * prepare,
        prepare / read
    );
    let prepared = Prepared::from_library(library()).expect("a library with visits");
    for (name, text) in [("few readings", FEW), ("many readings", MANY)] {
        let readings = Readings::parse(name, text).unwrap_or_else(|e| panic!("{e}"));
        let warm = least(TIMES, || {
            black_box(prepared.answer(&readings));
        });
        println!(
            "{name}: answer {:.0} ms with the library at hand (target 50 ms), {:.2} of making it ready",
            1e3 * warm,
            warm / prepare
        );
    }
    whole_program();
    let clear = Readings::parse("two faults", TWO).unwrap_or_else(|e| panic!("{e}"));
    let second = least(3, || {
        let answer = prepared.answer_with_pairs(&clear, &AtomicBool::new(false));
        assert!(!answer.pairs.is_empty(), "two faults are looked for");
        black_box(answer);
    });
    println!(
        "second pass, six pairs of faults simulated: {:.0} ms, {:.1} of making the library ready",
        1e3 * second,
        second / prepare
    );
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios/light_off.toml");
    let other = Scenario::load(&file).unwrap_or_else(|e| panic!("{e}"));
    let readings = Readings::parse("few", FEW).unwrap_or_else(|e| panic!("{e}"));
    let (cancel, begun) = (AtomicBool::new(false), Instant::now());
    let mut first = None;
    refine(Library::new(&other), &cancel, &|_| {}, &mut |p| {
        if first.is_none() {
            black_box(p.answer(&readings));
            first = Some((begun.elapsed().as_secs_f64(), p.library.samples.len()));
            cancel.store(true, Ordering::Relaxed);
        }
    });
    let (seconds, visits) = first.expect("an answer");
    println!(
        "a rig never seen: first answer after {seconds:.2} s from {visits} visits (target 3 s)"
    );
    if let Some(mb) = peak_mb() {
        println!("peak memory {mb:.0} MB (target 500 MB)");
    }
}
