//! Getting a file's text, or saying why not. What the text means is for the form.

use std::fs::File;
use std::io::{ErrorKind, Read};
use std::path::Path;

use super::mistake::Mistakes;
use crate::form::store::os_words;
use crate::units::{nearest, plain};

/// A file that could not be read, or was read and has mistakes.
#[derive(Debug, thiserror::Error)]
pub enum FormError {
    /// No file of that name.
    #[error("error: there is no file `{path}`\n  try: {help}")]
    Missing {
        /// The name asked for.
        path: String,
        /// What to do: the nearest name of its folder, where one is near.
        help: String,
    },
    /// A folder, a pipe or a device.
    #[error("error: `{path}` is {what}\n  try: the name of a text file")]
    NotAFile {
        /// The name asked for.
        path: String,
        /// What it is instead, with its article.
        what: &'static str,
    },
    /// The system refuses.
    #[error(
        "error: `{path}` cannot be read: {}\n  try: asking for the right to read it, or a copy",
        os_words(.reason)
    )]
    Unreadable {
        /// The name asked for.
        path: String,
        /// What the system says.
        reason: std::io::Error,
    },
    /// Longer than such a file may be; it was not read.
    #[error(
        "error: `{path}` is longer than {limit} bytes\n  try: a shorter file, or a look whether it is the right one"
    )]
    TooLong {
        /// The name asked for.
        path: String,
        /// The most that is read, bytes.
        limit: u64,
    },
    /// Not text in UTF-8.
    #[error(
        "error: `{path}` is not UTF-8 text: line {line} holds other bytes\n  try: saving it as UTF-8"
    )]
    NotUtf8 {
        /// The name asked for.
        path: String,
        /// The first line that is not, from 1.
        line: usize,
    },
    /// Read, and wrong in places.
    #[error(transparent)]
    Mistakes(#[from] Mistakes),
}

/// What some editors put before a text to say that it is UTF-8: no part of the text.
const MARK: char = '\u{FEFF}';

/// A text without the mark that some editors put before it.
pub(super) fn without_mark(text: &str) -> &str {
    text.strip_prefix(MARK).unwrap_or(text)
}

/// The text of a file of at most `limit` bytes, without a mark before it: every door that takes text has it from here.
///
/// # Errors
/// As [`read_bytes`], and where it is no text.
pub fn read_file(path: &Path, limit: u64) -> Result<String, FormError> {
    let text = String::from_utf8(read_bytes(path, limit)?);
    let text = text.map(|text| match text.strip_prefix(MARK) {
        Some(bare) => bare.to_owned(),
        None => text,
    });
    text.map_err(|error| {
        let good = &error.as_bytes()[..error.utf8_error().valid_up_to()];
        let line = 1 + String::from_utf8_lossy(good).matches('\n').count();
        let path = plain(&path.display().to_string());
        FormError::NotUtf8 { path, line }
    })
}

/// Names of a folder that are looked at for one that is near.
const MOST_NAMES: usize = 10_000;

/// The name that is nearest to one that is wanted. What both end with is no likeness: every file of a folder may end so.
fn like<'a>(wanted: &str, names: &'a [String]) -> Option<&'a String> {
    let bare = |name: &str| {
        let stem = name.rsplit_once('.').filter(|(stem, end)| {
            !stem.is_empty() && wanted.rsplit_once('.').is_some_and(|w| w.1 == *end)
        });
        stem.map_or(name, |(stem, _)| stem).to_owned()
    };
    let stems: Vec<String> = names.iter().map(|name| bare(name)).collect();
    let near = nearest(&bare(wanted), stems.iter().map(String::as_str))?;
    let at = stems.iter().position(|stem| stem == near)?;
    names.get(at)
}

/// What to do where a file is missing.
fn beside(path: &Path) -> String {
    let folder = match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    let names = std::fs::read_dir(folder).into_iter().flatten();
    let mut names: Vec<String> = names
        .take(MOST_NAMES)
        .filter_map(Result::ok)
        .map(|e| e.file_name().to_string_lossy().into_owned())
        .collect();
    // Whatever order the folder has them in.
    names.sort();
    let wanted = path.file_name().unwrap_or_default().to_string_lossy();
    match like(&wanted, &names) {
        Some(near) => format!("`{}`", plain(&folder.join(near).display().to_string())),
        None if folder.is_dir() => "the name as the folder lists it".to_owned(),
        None => format!(
            "another folder: there is none `{}`",
            plain(&folder.display().to_string())
        ),
    }
}

/// What a file of at most `limit` bytes holds.
///
/// # Errors
/// [`FormError`] names what stands in the way. A longer file is refused without reading it all;
/// a pipe or device is refused without waiting on it.
pub fn read_bytes(path: &Path, limit: u64) -> Result<Vec<u8>, FormError> {
    let name = plain(&path.display().to_string());
    let refuse = |reason: std::io::Error| match reason.kind() {
        ErrorKind::NotFound => FormError::Missing {
            path: name.clone(),
            help: beside(path),
        },
        _ => FormError::Unreadable {
            path: name.clone(),
            reason,
        },
    };
    let about = std::fs::metadata(path).map_err(refuse)?;
    if !about.is_file() {
        let what = if about.is_dir() {
            "a folder"
        } else {
            "a pipe or a device"
        };
        return Err(FormError::NotAFile { path: name, what });
    }
    if about.len() > limit {
        return Err(FormError::TooLong { path: name, limit });
    }
    let mut bytes = Vec::new();
    // The file may grow while it is read, and some report a length of 0.
    let file = File::open(path).map_err(refuse)?;
    file.take(limit.saturating_add(1))
        .read_to_end(&mut bytes)
        .map_err(refuse)?;
    if bytes.len() as u64 > limit {
        return Err(FormError::TooLong { path: name, limit });
    }
    Ok(bytes)
}

#[cfg(test)]
mod tests {
    use super::like;

    /// A file of another name that ends alike is none that was meant; a slip of a letter is.
    #[test]
    fn what_is_near_is_near_without_its_ending() {
        let names = ["fill.toml", "high_lock_up.toml", "notes.txt"].map(str::to_owned);
        let of = |wanted: &str| like(wanted, &names).map(String::as_str);
        assert_eq!(of("nofile.toml"), None);
        assert_eq!(of("fil.toml"), Some("fill.toml"));
        assert_eq!(of("high_lockup.toml"), Some("high_lock_up.toml"));
        assert_eq!(of("note.txt"), Some("notes.txt"));
    }
}
