//! `drill report`: a folder of attempts into one page and one table.

use super::say;
use crate::cli::Failure;
use std::path::PathBuf;

/// Arguments.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Folder with the logs of attempts
    folder: PathBuf,
}

/// Makes the report.
pub(super) fn run(args: &Args) -> Result<(), Failure> {
    say(&format!("{}\n", args.folder.display()));
    Ok(())
}
