//! What the checks of drills share: scratch folders, the real binary, a drill at hand.

use std::fs;
use std::io::Write;
use std::path::PathBuf;
use std::process::{Command, Output, Stdio};
use std::sync::Arc;
use twostage::drill::making::shipped::DRILLS;
use twostage::drill::{Act, Attempt, Drill};
use twostage::fault::Fault;
use twostage::sim::Simulation;

/// A folder of this test's own, removed at the end.
pub struct Folder(pub PathBuf);

impl Folder {
    pub fn new(name: &str) -> Self {
        let path =
            std::env::temp_dir().join(format!("twostage-drill-{}-{name}", std::process::id()));
        let _ = fs::remove_dir_all(&path);
        fs::create_dir_all(&path).expect("a folder for scratch files");
        Self(path)
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.0.join(name)
    }

    pub fn file(&self, name: &str, text: &str) -> String {
        fs::write(self.path(name), text).expect("room for a scratch file");
        self.path(name).display().to_string()
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

pub fn twostage(args: &[&str], input: &str) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_twostage"))
        .args(args)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the binary runs");
    // It may end before it has read everything.
    let _ = child
        .stdin
        .take()
        .expect("its input")
        .write_all(input.as_bytes());
    child.wait_with_output().expect("its output")
}

pub fn refused(args: &[&str], code: i32, words: &[&str]) {
    let out = twostage(args, "");
    let told = String::from_utf8_lossy(&out.stderr);
    assert_eq!(out.status.code(), Some(code), "{args:?}: {told}");
    assert!(
        told.starts_with("error: ") && told.contains("try: "),
        "{args:?}: {told}"
    );
    for w in words {
        assert!(told.contains(w), "{args:?}: no `{w}` in: {told}");
    }
}

pub fn shipped(n: usize) -> (&'static str, &'static str) {
    DRILLS[n]
}

pub fn drill(n: usize) -> Arc<Drill> {
    let (name, text) = shipped(n);
    Arc::new(Drill::read(name, text, None).unwrap_or_else(|e| panic!("{e}")))
}

pub fn go(attempt: &mut Attempt, sim: &mut Simulation, words: &str) {
    let act = Act::parse(words, sim.rig()).unwrap_or_else(|e| panic!("{words}: {e}"));
    attempt
        .act(sim, &act, &mut |_| true)
        .unwrap_or_else(|e| panic!("{words}: {e}"));
}

/// Some faults of every family: what a quick library holds.
pub fn some_faults() -> Vec<Fault> {
    [
        "second_vent_blocked",
        "second_seat_grit",
        "second_seat_nick",
        "second_screw_high",
        "second_screw_low",
        "diaphragm_pinhole",
        "lever_gummed",
        "relief_weeping",
        "container_cold",
        "pigtail_leak",
        "line_crushed",
        "low_side_leak",
        "spud_clogged",
        "igniter_dead",
    ]
    .map(|id| Fault::named(id).expect("a fault of the catalogue"))
    .to_vec()
}
