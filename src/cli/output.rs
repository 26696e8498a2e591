//! Files a task leaves: looked at before the work, written whole at its end.
//!
//! The text goes to a file of another name beside the wanted one, which then takes its name: a
//! run that fails or is broken off leaves nothing half written, and an old file stays as it was.

use super::{Failure, say};
use std::fs::{self, File, OpenOptions};
use std::io::Write as _;
use std::path::{Path, PathBuf};

/// Where a text goes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Output {
    /// Standard output, `-`.
    Standard,
    /// A file, new or replaced.
    File(PathBuf),
    /// A pipe or device, written as it is.
    Device(PathBuf),
}

impl Output {
    /// Makes sure that the text can go there. `option` is what the command line calls it.
    pub fn prepare(path: &Path, option: &str) -> Result<Self, Failure> {
        if path.as_os_str() == "-" {
            return Ok(Self::Standard);
        }
        let refuse = |why: &str, help: &str| {
            Failure::wrong(format!(
                "error: {option}: cannot write `{}`: {why}\n  try: {help}",
                path.display()
            ))
        };
        match fs::metadata(path) {
            Ok(about) if about.is_dir() => Err(refuse("it is a folder", "a file name within it")),
            Ok(about) => {
                OpenOptions::new()
                    .append(true)
                    .open(path)
                    .map_err(|e| refuse(&e.to_string(), "another file"))?;
                if !about.is_file() {
                    return Ok(Self::Device(path.to_owned()));
                }
                // Through a link to the file itself, so that the link stays.
                let real = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
                Self::probe(&real).map_err(|e| refuse(&e.to_string(), "another folder"))?;
                Ok(Self::File(real))
            }
            Err(_) => {
                if path.file_name().is_none() {
                    return Err(refuse("it names no file", "a file name"));
                }
                Self::probe(path).map_err(|e| {
                    refuse(
                        &e.to_string(),
                        "a folder that is there and yours to write in",
                    )
                })?;
                Ok(Self::File(path.to_owned()))
            }
        }
    }

    /// Makes the file beside and takes it away again.
    fn probe(path: &Path) -> std::io::Result<()> {
        let beside = beside(path);
        OpenOptions::new()
            .write(true)
            .create_new(true)
            .open(&beside)?;
        fs::remove_file(&beside)
    }

    /// Writes the text, whole or not at all.
    pub fn write(&self, text: &str) -> Result<(), Failure> {
        let failed = |path: &Path, e: std::io::Error| {
            Failure::failed(format!(
                "error: cannot write `{}`: {e}\n  try: another place with room for {} bytes",
                path.display(),
                text.len()
            ))
        };
        match self {
            Self::Standard => {
                say(text);
                Ok(())
            }
            Self::Device(path) => OpenOptions::new()
                .append(true)
                .open(path)
                .and_then(|mut file| file.write_all(text.as_bytes()))
                .map_err(|e| failed(path, e)),
            Self::File(path) => {
                let beside = beside(path);
                let written = File::create(&beside)
                    .and_then(|mut file| {
                        file.write_all(text.as_bytes())?;
                        file.sync_all()
                    })
                    .and_then(|()| fs::rename(&beside, path));
                written.map_err(|e| {
                    // It may not be there; then there is nothing to take away.
                    let _ = fs::remove_file(&beside);
                    failed(path, e)
                })
            }
        }
    }

    /// Whether this is the file `path` names.
    pub fn is_same_file(&self, path: &Path) -> bool {
        let Self::File(own) = self else {
            return false;
        };
        match (fs::canonicalize(own), fs::canonicalize(path)) {
            (Ok(own), Ok(other)) => own == other,
            _ => own == path,
        }
    }
}

/// The name beside a file under which it is written.
fn beside(path: &Path) -> PathBuf {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    path.with_file_name(format!(".{name}.{}.part", std::process::id()))
}
