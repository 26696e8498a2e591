//! Which file a name is: by whatever link, and where only the case of letters parts two names, for some file systems do
//! not tell them apart.

use std::fs::{self, Metadata};
use std::path::{Path, PathBuf};

/// A file with all that it is known by.
#[derive(Debug, Clone)]
pub(super) struct Known {
    path: PathBuf,
    number: Option<(u64, u64)>,
    lower: String,
}

impl Known {
    pub(super) fn of(path: PathBuf) -> Self {
        let about = fs::metadata(&path);
        Self {
            number: about.ok().and_then(|about| number(&about)),
            lower: full(&path).to_string_lossy().to_lowercase(),
            path,
        }
    }

    pub(super) fn path(&self) -> &Path {
        &self.path
    }

    /// Whether two are one file.
    pub(super) fn is(&self, other: &Self) -> bool {
        (self.number.is_some() && self.number == other.number) || self.lower == other.lower
    }
}

/// Whether two names are one file.
pub(super) fn same_file(a: &Path, b: &Path) -> bool {
    Known::of(a.to_owned()).is(&Known::of(b.to_owned()))
}

/// Whether a name is written as that of a folder: `a/`, `a/.`.
pub(super) fn names_a_folder(path: &Path) -> bool {
    let text = path.to_string_lossy();
    let last = text.rsplit(std::path::is_separator).next();
    matches!(last, Some("" | "." | ".."))
}

/// Whether a file is what standard output is led into.
pub(super) fn is_standard(about: &Metadata) -> bool {
    let standard = standard();
    let standard = standard.as_ref().and_then(number);
    standard.is_some() && standard == number(about)
}

/// Device and number of a file, where the system has them.
#[allow(clippy::unnecessary_wraps, reason = "other systems have none")]
#[cfg(unix)]
fn number(about: &Metadata) -> Option<(u64, u64)> {
    use std::os::unix::fs::MetadataExt as _;
    Some((about.dev(), about.ino()))
}

#[cfg(not(unix))]
fn number(_about: &Metadata) -> Option<(u64, u64)> {
    None
}

/// What standard output is.
#[cfg(unix)]
fn standard() -> Option<Metadata> {
    use std::os::fd::AsFd as _;
    let copy = std::io::stdout().as_fd().try_clone_to_owned().ok()?;
    fs::File::from(copy).metadata().ok()
}

#[cfg(not(unix))]
fn standard() -> Option<Metadata> {
    None
}

/// The whole name, also of a file that is not there yet.
fn full(path: &Path) -> PathBuf {
    if let Ok(real) = fs::canonicalize(path) {
        return real;
    }
    let folder = match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    let folder = fs::canonicalize(folder).unwrap_or_else(|_| folder.to_owned());
    folder.join(path.file_name().unwrap_or_default())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_with_a_bar_behind_it_is_a_folder() {
        for folder in ["a/", "a/.", "a/..", "a//", "..", "."] {
            assert!(names_a_folder(Path::new(folder)), "{folder}");
        }
        for file in ["a", "./a", "a/b.csv", ".svg", "a/.b"] {
            assert!(!names_a_folder(Path::new(file)), "{file}");
        }
    }
}
