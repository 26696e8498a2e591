//! The command line: its words, its one voice for errors, its exit codes. One file a task.
//!
//! Exit codes: 0 done, 1 a run or the window failed, 2 a wrong file or option.

pub mod check;
pub mod class;
pub mod curve;
pub mod diagnose;
pub mod drill;
pub mod faults;
pub mod inject;
pub mod lesson;
pub mod library;
mod lines;
mod output;
pub mod run;
pub mod service;
pub mod window;

use crate::form::store::os_words;
use crate::units::plain_lines;
use clap::error::ContextKind;
use clap::{CommandFactory, Parser, Subcommand};
use std::io::{ErrorKind, Write as _};
use std::path::PathBuf;
use std::process::ExitCode;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Mutex, MutexGuard, PoisonError};

/// The two-stage LP-gas regulator, alive: learn it, break it, find the fault.
///
/// Without a task the window opens. A simulator is no permit and no instrument: on a real gas
/// system local codes and the licensed technician decide.
#[derive(Debug, Parser)]
#[command(version, args_conflicts_with_subcommands = true, max_term_width = 100)]
pub struct Args {
    /// What to do; without it the window opens
    #[command(subcommand)]
    pub task: Option<Task>,
    /// Scenario to open in the window
    pub file: Option<PathBuf>,
    #[command(flatten)]
    #[allow(missing_docs, reason = "clap would print it")]
    pub picture: window::Picture,
}

/// The tasks.
#[derive(Debug, Subcommand)]
pub enum Task {
    /// Run a scenario and sum it up
    Run(run::Args),
    /// Tell every mistake of scenario files
    Check(check::Args),
    /// Make a technician's visit: leak check, flow pressure, full load, lock-up, creep, vent
    Service(service::Args),
    /// Draw outlet against load, lock-up, relief capacity or endurance
    Curve(curve::Args),
    /// Map damping and hunting frequency over load and container pressure
    Stability(curve::StabilityArgs),
    /// List the faults, or tell about one
    Faults(faults::Args),
    /// From readings to causes and the best next test
    Diagnose(diagnose::Args),
    /// Make and measure the simulated visits that diagnosis rests on
    Library(library::Args),
    /// Fault drills: make, check, try, grade, report
    Drill(drill::Args),
    /// A class: one folder with its people, drills, attempts and reports
    Class(class::Args),
    /// Lessons: predict, observe, explain
    Lesson(lesson::Args),
}

/// Why a task ended badly: the message in the one voice, and the exit code.
#[derive(Debug)]
pub struct Failure {
    code: u8,
    text: String,
}

impl Failure {
    /// A wrong file or option.
    pub fn wrong(text: impl Into<String>) -> Self {
        Self {
            code: 2,
            text: text.into(),
        }
    }

    /// What is wrong, where, and what to do.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// A task that could not be carried out.
    pub fn failed(text: impl Into<String>) -> Self {
        Self {
            code: 1,
            text: text.into(),
        }
    }
}

/// The arguments, or the exit code where there is nothing more to do (help, a wrong option).
///
/// # Errors
/// The exit code, with all said already.
pub fn arguments() -> Result<Args, ExitCode> {
    Args::try_parse().map_err(|error| match error.kind() {
        clap::error::ErrorKind::DisplayHelp | clap::error::ErrorKind::DisplayVersion => {
            say(&error.to_string());
            finish(Ok(()))
        }
        _ => {
            complain(&option_mistake(&error));
            ExitCode::from(2)
        }
    })
}

/// Ends the program: complains where a task ended badly.
pub fn finish(result: Result<(), Failure>) -> ExitCode {
    let mut code = 0;
    if let Err(failure) = result {
        complain(&failure.text);
        code = failure.code;
    }
    if let Some(why) = lost().take()
        && why.kind() != ErrorKind::BrokenPipe
    {
        complain(&unwritten(&why));
        code = code.max(1);
    }
    ExitCode::from(code)
}

/// A mistake on the command line in the voice of all others.
fn option_mistake(error: &clap::Error) -> String {
    if let Some(mistake) = misspelt_task(error, std::env::args().nth(1).as_deref()) {
        return mistake;
    }
    let told = error.to_string();
    let what = told.split("\n\n").next().unwrap_or("error: a wrong option");
    let mut help = Vec::new();
    for kind in [
        ContextKind::SuggestedArg,
        ContextKind::SuggestedSubcommand,
        ContextKind::SuggestedValue,
    ] {
        match error.get(kind) {
            Some(clap::error::ContextValue::String(near)) => help.push(format!("`{near}`")),
            Some(clap::error::ContextValue::Strings(near)) => {
                help.extend(near.iter().map(|near| format!("`{near}`")));
            }
            _ => {}
        }
    }
    if let (true, Some(clap::error::ContextValue::String(option))) =
        (help.is_empty(), error.get(ContextKind::InvalidArg))
    {
        help.extend(nearest_option(option));
    }
    if help.is_empty() {
        help.push(format!("`{} --help`", task_of(std::env::args().skip(1))));
    }
    format!("{}\n  try: {}", what.trim_end(), help.join(" or "))
}

/// A task that is misspelt with something after it: without this the word would be the scenario for the window, and what
/// comes after it the mistake.
fn misspelt_task(error: &clap::Error, word: Option<&str>) -> Option<String> {
    use clap::error::ErrorKind::{ArgumentConflict, UnknownArgument};
    if !matches!(error.kind(), ArgumentConflict | UnknownArgument) {
        return None;
    }
    let word = word.filter(|word| !word.starts_with('-'))?;
    let command = Args::command();
    let tasks: Vec<&str> = command
        .get_subcommands()
        .map(clap::Command::get_name)
        .collect();
    if tasks.contains(&word) {
        return None;
    }
    let near = crate::units::nearest(word, tasks)?;
    let short: String = word.chars().filter(|c| !c.is_control()).take(40).collect();
    Some(format!(
        "error: there is no command `{short}`\n  try: `twostage {near}`"
    ))
}

/// The task that words on the command line name, as far as they do; the program where they name none.
fn task_of(words: impl Iterator<Item = String>) -> String {
    let (mut named, mut command) = (vec!["twostage".to_owned()], Args::command());
    for word in words {
        let Some(task) = command.find_subcommand(&word).cloned() else {
            break;
        };
        named.push(word);
        command = task;
    }
    named.join(" ")
}

/// The option of any task that is nearest to a mistyped one.
fn nearest_option(option: &str) -> Option<String> {
    let command = Args::command();
    let known: Vec<String> = command
        .get_subcommands()
        .flat_map(clap::Command::get_arguments)
        .filter_map(|argument| argument.get_long().map(|long| format!("--{long}")))
        .collect();
    if known.iter().any(|k| k == option) {
        return Some(tasks_with(&command, option));
    }
    let near = crate::units::nearest(option, known.iter().map(String::as_str))?;
    Some(format!("`{near}`"))
}

/// An option spelled right, at the wrong place: the tasks that know it.
fn tasks_with(command: &clap::Command, option: &str) -> String {
    let knows = |task: &&clap::Command| {
        let mut longs = task.get_arguments().filter_map(clap::Arg::get_long);
        longs.any(|long| option.strip_prefix("--") == Some(long))
    };
    let tasks: Vec<String> = command
        .get_subcommands()
        .filter(knows)
        .map(|task| format!("`twostage {}`", task.get_name()))
        .collect();
    format!("it with {}", tasks.join(", "))
}

/// What became of standard output: nothing more is written to it once a write has failed, and [`finish`]
/// tells of it. A reader that has gone away is no failure.
static LOST: Mutex<Option<std::io::Error>> = Mutex::new(None);

fn lost() -> MutexGuard<'static, Option<std::io::Error>> {
    LOST.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Text for standard output. That it could not be written is told at the end, by [`finish`]; meanwhile the task
/// goes on: an attempt must be on the disk whether or not anybody reads along.
fn say(text: &str) {
    let mut lost = lost();
    if lost.is_none()
        && let Err(why) = put(plain_lines(text).as_bytes())
    {
        *lost = Some(why);
    }
}

/// The units that `--si` asks for, or the usual ones.
fn system_of(si: bool) -> crate::units::System {
    use crate::units::System;
    if si { System::Si } else { System::Us }
}

/// The same in the units that were asked for: numbers come in them, and a unit that a written sentence has is turned.
fn say_in(text: &str, system: crate::units::System) {
    say(&crate::report::prose::prose(text, system));
}

/// Whether there was no standard output at all when the program was started.
static CLOSED: AtomicBool = AtomicBool::new(false);

/// That the program was started without a standard output: whoever writes to it then fails.
pub fn standard_output_is_closed() {
    CLOSED.store(true, Ordering::Relaxed);
}

fn put(bytes: &[u8]) -> std::io::Result<()> {
    if CLOSED.load(Ordering::Relaxed) {
        return Err(std::io::Error::other("it is closed"));
    }
    let mut out = std::io::stdout().lock();
    out.write_all(bytes).and_then(|()| out.flush())
}

/// A result for standard output. A reader that has gone away does not want it; any other failed write fails the task.
fn say_or_fail(bytes: &[u8]) -> Result<(), Failure> {
    match put(bytes) {
        Err(why) if why.kind() != ErrorKind::BrokenPipe => Err(Failure::failed(unwritten(&why))),
        _ => Ok(()),
    }
}

fn unwritten(why: &std::io::Error) -> String {
    format!(
        "error: standard output cannot be written: {}\n  try: a place with room, or the task's own option for a file",
        os_words(why)
    )
}

/// Says what of a scenario was likely not meant: faults that have nothing to act on, a stage set in the other unit.
fn tell_notes(scenario: &crate::scenario::Scenario, si: bool) {
    for words in crate::report::idle::notes(scenario, system_of(si)) {
        complain(&format!("note: {words}"));
    }
}

/// Text for standard error.
fn complain(text: &str) {
    // There is nowhere left to tell that this failed.
    let _ = writeln!(std::io::stderr().lock(), "{}", plain_lines(text.trim_end()));
}
