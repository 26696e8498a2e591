//! `twostage drill ...`: make fault drills, try them, grade what came of it.

mod expert;
pub(super) mod grade;
mod list;
mod make;
mod report;
pub(super) mod session;

use super::{Failure, complain, say};
use crate::drill::Drill;
use crate::drill::attempt::log::{self, Contents};
use crate::drill::making::shipped;
use crate::report::telling::of_another_build;
use crate::units::plain;
use clap::Subcommand;
use indicatif::{ProgressBar, ProgressStyle};
use std::io::{IsTerminal as _, stderr};
use std::path::Path;

/// Arguments.
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(subcommand)]
    task: Task,
}

/// What can be done with drills.
#[derive(Debug, Subcommand)]
enum Task {
    /// List the drills that come with the program, by their short names
    List,
    /// Make a drill to order, or seal one written by hand
    New(make::New),
    /// Tell every mistake of drill files, and whether they can be solved
    Check(make::Check),
    /// Work out anew how hard sealed drills are, after the model has changed
    Reseal(make::Reseal),
    /// Try a drill, line by line
    Try(session::Args),
    /// Grade an attempt and go through it
    Grade(grade::Args),
    /// Go through a drill as an expert would, with the reason of each test: it tells what is wrong
    Expert(expert::Args),
    /// Put a folder of attempts into one page
    Report(report::Args),
}

/// Carries out a task.
///
/// # Errors
/// In the one voice.
pub fn drill(args: &Args) -> Result<(), Failure> {
    match &args.task {
        Task::List => list::run(),
        Task::New(args) => make::new(args),
        Task::Check(args) => make::check(args),
        Task::Reseal(args) => make::reseal(args),
        Task::Try(args) => session::run(args),
        Task::Grade(args) => grade::run(args),
        Task::Expert(args) => expert::run(args),
        Task::Report(args) => report::run(args),
    }
}

/// Reads a drill file, or a shipped drill by its short name.
fn load(path: &Path) -> Result<Drill, Failure> {
    let name = path.to_string_lossy();
    let found = match shipped::named(&name) {
        _ if path.exists() => Drill::load(path),
        Some((id, text)) => Drill::read(id, text, None),
        None => {
            return Err(Failure::wrong(format!(
                "error: there is no file or shipped drill `{}`\n  try: {}",
                plain(&name),
                shipped::near(&name)
            )));
        }
    };
    found.map_err(|e| Failure::wrong(e.to_string()))
}

/// Tells which of these drills another build worked out, where one was.
pub(super) fn tell_builds<'a>(drills: impl IntoIterator<Item = (&'a str, &'a Drill)>) {
    if let Some(told) = of_another_build(drills) {
        complain(&format!("note: {told}"));
    }
}

/// Reads a log with at least a header.
fn load_log(path: &Path) -> Result<Contents, Failure> {
    match log::read(path) {
        Ok(Some(contents)) => Ok(contents),
        Ok(None) => Err(Failure::wrong(format!(
            "error: the attempt `{}` was cut off before anything was done\n  try: the attempt again",
            path.display()
        ))),
        Err(e) => Err(Failure::wrong(e.to_string())),
    }
}

/// How far a library's visits are, on standard error: a bar on a terminal, else a line at the beginning.
fn bar(words: &'static str) -> impl FnMut(f64) -> bool {
    let bar = ProgressBar::new(1000);
    let style = ProgressStyle::with_template("{wide_bar} {msg} {percent:>3} %  {eta} left");
    bar.set_style(style.unwrap_or_else(|_| ProgressStyle::default_bar()));
    bar.set_message(words);
    let mut begun = false;
    move |share| {
        if !begun {
            begun = true;
            if !stderr().is_terminal() {
                complain(&format!(
                    "{words}: this takes {}",
                    crate::report::telling::WORKING_OUT
                ));
            }
        }
        bar.set_position((1000.0 * share) as u64);
        if share >= 1.0 {
            bar.finish_and_clear();
        }
        true
    }
}

/// Minutes and seconds of a clock.
fn clock(time_s: f64) -> String {
    let s = time_s.max(0.0).round() as u64;
    format!("{}:{:02}", s / 60, s % 60)
}
