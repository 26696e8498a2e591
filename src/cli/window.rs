//! `twostage [FILE]`: the window.

use super::Failure;
use std::path::PathBuf;

/// Opens the window on a file, or on the scenario that is built in.
///
/// # Errors
/// That this build has no window, or that none can be opened.
pub fn open_window(file: Option<PathBuf>) -> Result<(), Failure> {
    let name = file
        .as_ref()
        .map_or_else(|| "FILE".to_owned(), |file| file.display().to_string());
    Err(Failure::wrong(format!(
        "error: this build has no window\n  try: `twostage run {name}`, or a build with the feature `window`"
    )))
}
