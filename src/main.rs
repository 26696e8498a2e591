//! The thin binary: what each task of the command line is.

use std::process::ExitCode;
use twostage::cli::{self, Task};

/// What the system opened for the program is looked at before the runtime is: of a closed standard output that makes one
/// onto nothing, and what is written to it is lost without a word.
#[cfg(target_os = "linux")]
mod before {
    use std::path::Path;
    use std::sync::atomic::{AtomicBool, Ordering};

    static CLOSED: AtomicBool = AtomicBool::new(false);

    extern "C" fn look() {
        let opened = Path::new("/proc/self/fd");
        let is_closed = opened.is_dir() && opened.join("1").symlink_metadata().is_err();
        CLOSED.store(is_closed, Ordering::Relaxed);
    }

    #[used]
    #[unsafe(link_section = ".init_array")]
    #[allow(
        unsafe_code,
        reason = "the one way to be asked before the runtime; it calls safe code alone, with no arguments"
    )]
    static LOOK: extern "C" fn() = look;

    pub fn is_standard_output_closed() -> bool {
        CLOSED.load(Ordering::Relaxed)
    }
}

fn main() -> ExitCode {
    #[cfg(target_os = "linux")]
    if before::is_standard_output_closed() {
        cli::standard_output_is_closed();
    }
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
