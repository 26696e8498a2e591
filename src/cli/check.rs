//! `twostage check FILE...`: every mistake of every file, at once.

use super::{Failure, say};
use crate::report::text::duration;
use crate::scenario::Scenario;
use crate::units::System;
use std::path::PathBuf;

/// Arguments.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Scenario files
    #[arg(required = true)]
    files: Vec<PathBuf>,
}

/// Reads every file and tells what is wrong, and of what is right what was likely not meant.
///
/// # Errors
/// The mistakes of all files together.
pub fn check(args: &Args) -> Result<(), Failure> {
    let mut told = Vec::new();
    for file in &args.files {
        match Scenario::load(file) {
            Ok(scenario) => {
                say(&right(file, &scenario));
                for words in crate::report::idle::notes(&scenario, System::Us) {
                    super::complain(&format!("note: {}: {words}", file.display()));
                }
            }
            Err(error) => told.push(error.to_string()),
        }
    }
    if told.is_empty() {
        Ok(())
    } else {
        Err(Failure::wrong(told.join("\n\n")))
    }
}

/// One line on a file without mistakes.
fn right(file: &std::path::Path, s: &Scenario) -> String {
    let some = |n: usize, one: &str| match n {
        1 => format!("1 {one}"),
        n => format!("{n} {one}s"),
    };
    format!(
        "{}: no mistakes: {}, {}, {}, {}\n",
        file.display(),
        duration(s.run.duration_s),
        some(s.rig.containers.len(), "container"),
        some(s.rig.appliances.len(), "appliance"),
        some(s.events.len(), "event")
    )
}
