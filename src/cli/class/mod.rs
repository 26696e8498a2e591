//! `twostage class ...`: one folder for a class: its people, its drills, their attempts, reports.

mod report;
mod set_up;
mod take_part;

use super::{Failure, complain};
use crate::class::standing::Drills;
use crate::class::{ClassFolder, Trainee, Try};
use clap::Subcommand;
use std::path::{Path, PathBuf};

/// Arguments.
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(subcommand)]
    task: Task,
}

/// What can be done with a class.
#[derive(Debug, Subcommand)]
enum Task {
    /// Make the folder of a class, with its people and drills
    New(set_up::New),
    /// Put people or drills into a class
    Add(set_up::Add),
    /// Tell who is in a class and what was tried so far
    List(set_up::List),
    /// Let trainees read ended attempts with their marks
    ///
    /// No word is asked for: the word of a class guards the instructor's page of the window only. Whoever has the folder can
    /// release and report on the command line.
    Release(set_up::Release),
    /// Try a drill of a class, line by line
    Try(take_part::TryOne),
    /// Tell which drill somebody should try next, and which lesson
    Next(report::Next),
    /// Write the reports: page, sheets, gradebook, acts, statements
    Report(report::Report),
    /// Tell one's own attempts; those released with their marks
    Mine(take_part::Mine),
}

/// Carries out a task.
///
/// # Errors
/// In the one voice.
pub fn class(args: &Args) -> Result<(), Failure> {
    match &args.task {
        Task::New(args) => set_up::new(args),
        Task::Add(args) => set_up::add(args),
        Task::List(args) => set_up::list(args),
        Task::Release(args) => set_up::release(args),
        Task::Try(args) => take_part::try_one(args),
        Task::Next(args) => report::next(args),
        Task::Report(args) => report::report(args),
        Task::Mine(args) => take_part::mine(args),
    }
}

/// The folder of a class.
#[derive(Debug, clap::Args)]
struct Place {
    /// Folder of the class
    folder: PathBuf,
}

/// Opens a class.
fn open(folder: &Path) -> Result<ClassFolder, Failure> {
    ClassFolder::open(folder).map_err(wrong)
}

#[allow(clippy::needless_pass_by_value, reason = "stands in `map_err`")]
fn wrong(e: impl std::fmt::Display) -> Failure {
    Failure::wrong(e.to_string())
}

/// Somebody of the class.
fn find(class: &ClassFolder, who: &str) -> Result<Trainee, Failure> {
    class.list.find(who).cloned().map_err(wrong)
}

/// How far an attempt is, in a few words.
fn stands(t: &Try) -> &'static str {
    match (t.answer.is_some(), t.released) {
        (false, _) if t.lost_end => "cut off",
        (false, _) => "under way",
        (true, false) => "ended",
        (true, true) => "released",
    }
}

/// An attempt in the words of a list: the drill, and which time it was tried.
fn drill_words(t: &Try) -> String {
    let title = &t.found.drill.title;
    if t.is_retry() {
        format!("{title} (retry {})", t.ordinal - 1)
    } else {
        title.clone()
    }
}

/// Tells which drills of a class were worked out by another build.
fn tell_builds(drills: &Drills) {
    crate::cli::drill::tell_builds(drills.iter().map(|(_, d)| (d.title.as_str(), &**d)));
}

fn tell_left_out(left_out: &[String]) {
    for l in left_out {
        complain(&format!("note: left out: {l}"));
    }
}

/// That dates run against the order of beginning.
const CLOCK: &str = "note: the clock of some computer was wrong; attempts stand in the order in which they were begun, \
                     whatever their dates";
