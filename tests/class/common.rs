//! What the checks of a class share: a scratch folder with a class in it, the real binary.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use twostage::drill::attempt::log::{Log, read};

/// A folder of this test's own, removed at the end.
pub struct Folder(pub PathBuf);

impl Folder {
    pub fn new(name: &str) -> Self {
        let path =
            std::env::temp_dir().join(format!("twostage-class-{}-{name}", std::process::id()));
        let _ = fs::remove_dir_all(&path);
        fs::create_dir_all(&path).expect("a folder for scratch files");
        Self(path)
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.0.join(name)
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

/// The drills of the classes here: quick rigs.
pub const DRILLS: [&str; 2] = ["since_the_rain", "high_in_the_morning"];

pub fn command(args: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_twostage"));
    command
        .args(args)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped());
    command
}

/// Runs with this on standard input.
pub fn twostage(args: &[&str], input: &str) -> Output {
    use std::io::Write as _;
    let mut child = command(args).spawn().expect("the binary runs");
    // It may end before it has read everything.
    let _ = child
        .stdin
        .take()
        .expect("its input")
        .write_all(input.as_bytes());
    child.wait_with_output().expect("its output")
}

/// The same, and it must go well; what it said.
pub fn well(args: &[&str], input: &str) -> String {
    let out = twostage(args, input);
    let told = String::from_utf8_lossy(&out.stderr);
    assert!(out.status.success(), "{args:?}: {told}");
    String::from_utf8(out.stdout).expect("text")
}

/// A class of so many people, numbered from 1.
pub fn class(folder: &Folder, people: usize) -> String {
    let place = folder.path("class").display().to_string();
    let names: Vec<String> = (1..=people).map(|n| format!("Trainee {n}")).collect();
    fs::write(folder.path("names.txt"), names.join("\n")).expect("room");
    let file = folder.path("names.txt").display().to_string();
    let args = [
        "class", "new", &place, "--name", "Friday", "--names", &file, "--drill", DRILLS[0],
        "--drill", DRILLS[1],
    ];
    well(&args, "");
    place
}

/// Writes the acts of a log into another, as an attempt of its own that was begun there.
pub fn begun_elsewhere(log: &Path, to: &Path) {
    let was = read(log).expect("a log").expect("with a header");
    let (mut new, _) = Log::open(to).expect("room");
    let name = to.file_name().expect("a name").to_string_lossy();
    let mut header = was.header;
    header.file = Some(name.into_owned());
    new.add(&header).expect("written");
    was.entries
        .iter()
        .for_each(|e| new.add(e).expect("written"));
}
