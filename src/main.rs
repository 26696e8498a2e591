//! The thin binary: what each task of the command line is.

use std::process::ExitCode;
use twostage::cli::{self, Task};

fn main() -> ExitCode {
    let args = match cli::arguments() {
        Ok(args) => args,
        Err(code) => return code,
    };
    cli::finish(match &args.task {
        None => cli::window::open_window(args.file, args.picture),
        Some(Task::Run(args)) => cli::run::run(args),
        Some(Task::Check(args)) => cli::check::check(args),
        Some(Task::Service(args)) => cli::service::service(args),
        Some(Task::Curve(args)) => cli::curve::curve(args),
        Some(Task::Stability(args)) => cli::curve::stability(args),
        Some(Task::Faults(args)) => cli::faults::faults(args),
        Some(Task::Diagnose(args)) => cli::diagnose::diagnose(args),
        Some(Task::Library(args)) => cli::library::library(args),
        Some(Task::Drill(args)) => cli::drill::drill(args),
        Some(Task::Class(args)) => cli::class::class(args),
        Some(Task::Lesson(args)) => cli::lesson::lesson(args),
    })
}
