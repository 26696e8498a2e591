//! The thin binary: what each task of the command line is, and the window without one.

use std::path::PathBuf;
use std::process::ExitCode;
use twostage::cli::{self, Failure, Task};

fn main() -> ExitCode {
    let args = match cli::arguments() {
        Ok(args) => args,
        Err(code) => return code,
    };
    cli::finish(match &args.task {
        None => open_window(args.file),
        Some(Task::Run(args)) => cli::run::run(args),
        Some(Task::Check(args)) => cli::check::check(args),
        Some(Task::Faults(args)) => cli::faults::faults(args),
    })
}

/// Opens the window on a file, or on the scenario that is built in.
#[cfg(feature = "window")]
fn open_window(file: Option<PathBuf>) -> Result<(), Failure> {
    use twostage::scenario::Scenario;
    use twostage::units::System;
    use twostage::window::{Doors, Start, run};

    let scenario = match &file {
        None => Scenario::opening(),
        Some(file) => Scenario::load(file).map_err(|e| Failure::wrong(e.to_string()))?,
    };
    run(Start {
        scenario,
        doors: Doors {
            read: |path| Scenario::load(path).map_err(|e| e.to_string()),
            write: |scenario| scenario.to_toml(System::Us),
        },
        notice: None,
        shot: None,
    })
    .map_err(|e| Failure::failed(format!("error: {e}")))
}

/// This build has no window; says so.
#[cfg(not(feature = "window"))]
fn open_window(file: Option<PathBuf>) -> Result<(), Failure> {
    let name = file.map_or_else(|| "FILE".to_owned(), |file| file.display().to_string());
    Err(Failure::wrong(format!(
        "error: this build has no window\n  try: `twostage run {name}`, or a build with the feature `window`"
    )))
}
