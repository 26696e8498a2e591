//! Files a task leaves: looked at before the work, written whole at its end, all together or none.
//!
//! Each text goes to a file of another name beside the wanted one; when all are there they take their
//! names. A run that fails or is broken off leaves nothing half written, and an old file stays as it was.
//! Nothing replaces what the task reads, nor another of its own files, nor what its standard output is led into, nor a file
//! that is no result of this kind; a result of this kind only where `--force` says so.

mod holds;
mod place;

use super::{Failure, say_or_fail};
use crate::form::store::{os_words, part_of, sync_folder_of, write_part};
use holds::HEAD;
pub(super) use holds::Holds;
#[cfg(feature = "window")]
pub(super) use holds::signed;
use place::{Known, is_standard, names_a_folder, same_file};
use std::fs::{self, File, OpenOptions};
use std::io::{Read as _, Write as _};
use std::path::{Path, PathBuf};

/// Whether results that are there already may be replaced.
#[derive(Debug, Clone, Copy, clap::Args)]
pub struct Replace {
    /// Replace a result of the same kind that is there already
    #[arg(long)]
    pub(super) force: bool,
}

/// What is written as JSON, with the name of its shape before it.
#[derive(serde::Serialize)]
struct Named<'a, T> {
    format: &'static str,
    #[serde(flatten)]
    what: &'a T,
}

/// JSON with the name of its shape at `format`.
///
/// # Errors
/// That it cannot be written so.
pub(super) fn json(format: &'static str, what: &impl serde::Serialize) -> Result<String, Failure> {
    serde_json::to_string_pretty(&Named { format, what })
        .map(|text| text + "\n")
        .map_err(|e| Failure::failed(format!("error: no JSON: {e}")))
}

/// Where a text goes.
#[derive(Debug, Clone, PartialEq, Eq)]
enum To {
    /// Standard output, `-`.
    Standard,
    /// A file, new or replaced.
    File(PathBuf),
    /// A pipe or device, written as it is.
    Device(PathBuf),
}

/// One of the files of a task.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Slot(usize);

/// All files that a task will leave.
#[derive(Debug)]
pub(super) struct Outputs {
    inputs: Vec<Known>,
    replace: Replace,
    to: Vec<(To, &'static str)>,
    /// Folders that were made for them, the outermost first: gone again where nothing comes into them.
    made: Vec<PathBuf>,
}

impl Drop for Outputs {
    fn drop(&mut self) {
        for folder in self.made.iter().rev() {
            // One with something in it stays.
            let _ = fs::remove_dir(folder);
        }
    }
}

impl Outputs {
    /// None yet, of a task that reads `inputs`.
    pub fn new<P: Into<PathBuf>>(inputs: impl IntoIterator<Item = P>, replace: Replace) -> Self {
        Self {
            inputs: inputs.into_iter().map(|p| Known::of(p.into())).collect(),
            replace,
            to: Vec::new(),
            made: Vec::new(),
        }
    }

    /// The same of a task that reads nothing.
    pub fn of_nothing(replace: Replace) -> Self {
        Self::new::<PathBuf>([], replace)
    }

    /// Makes the folder that they go into, where it is not there.
    ///
    /// # Errors
    /// Why it cannot be one, and what to do.
    pub fn make_folder(&mut self, folder: &Path, option: &str) -> Result<(), Failure> {
        let mut wanted: Vec<&Path> = folder
            .ancestors()
            .take_while(|at| !at.as_os_str().is_empty() && !at.is_dir())
            .collect();
        wanted.reverse();
        for at in wanted {
            fs::create_dir(at).map_err(|e| {
                let why = match fs::symlink_metadata(at) {
                    Ok(_) => "it is no folder".to_owned(),
                    Err(_) => os_words(&e),
                };
                refused(option, at, &why, "a folder of yours, new or there")
            })?;
            self.made.push(at.to_owned());
        }
        Ok(())
    }

    /// Makes sure that a text can go to `path`. `option` is what the command line calls it.
    ///
    /// # Errors
    /// Why not, and what to do.
    pub fn add(&mut self, path: &Path, option: &'static str, kind: Holds) -> Result<Slot, Failure> {
        let to = self.place(path, option, kind)?;
        if let Some((_, other)) = self.to.iter().find(|(t, _)| same_place(t, &to)) {
            return Err(Failure::wrong(format!(
                "error: {other} and {option} name the same place\n  try: two names"
            )));
        }
        self.to.push((to, option));
        Ok(Slot(self.to.len() - 1))
    }

    /// The same for a file that may be wanted.
    ///
    /// # Errors
    /// As [`Outputs::add`].
    pub fn add_if(
        &mut self,
        path: Option<&PathBuf>,
        option: &'static str,
        kind: Holds,
    ) -> Result<Option<Slot>, Failure> {
        path.map(|p| self.add(p, option, kind)).transpose()
    }

    /// Whether standard output belongs to one of them.
    pub fn takes_standard(&self) -> bool {
        self.to.iter().any(|(to, _)| *to == To::Standard)
    }

    fn place(&self, path: &Path, option: &str, kind: Holds) -> Result<To, Failure> {
        if path.as_os_str() == "-" {
            return Ok(To::Standard);
        }
        let refuse = |why: &str, help: &str| refused(option, path, why, help);
        if path.is_dir() {
            return Err(refuse("it is a folder", "a file name within it"));
        }
        if path.file_name().is_none() || names_a_folder(path) {
            return Err(refuse(
                "it names a folder and no file",
                "the name of a file, without a `/` at its end",
            ));
        }
        let here = Known::of(path.to_owned());
        if let Some(input) = self.inputs.iter().find(|input| input.is(&here)) {
            return Err(Failure::wrong(format!(
                "error: {option} would replace `{}`, which is read\n  try: another name",
                input.path().display()
            )));
        }
        if let Some((why, help)) = kind.misnamed(path) {
            return Err(refuse(&why, &help));
        }
        let Ok(about) = fs::metadata(path) else {
            let help = "a folder that is there and yours to write in";
            probe(path).map_err(|e| refuse(&os_words(&e), help))?;
            return Ok(To::File(path.to_owned()));
        };
        if is_standard(&about) {
            // What standard output is led into cannot be replaced beside it; a pipe or a screen is the same place as `-`.
            return if about.is_file() {
                Err(goes_there_too(option, path))
            } else {
                Ok(To::Standard)
            };
        }
        if !about.is_file() {
            return Ok(To::Device(path.to_owned()));
        }
        OpenOptions::new()
            .append(true)
            .open(path)
            .map_err(|e| refuse(&os_words(&e), "another file"))?;
        let mut head = Vec::new();
        File::open(path)
            .and_then(|file| file.take(HEAD).read_to_end(&mut head))
            .map_err(|e| refuse(&os_words(&e), "another file"))?;
        // An empty file is nobody's.
        if !head.is_empty() && !kind.fits(&head) {
            let why = format!("what is there is no {} of this program", kind.words());
            return Err(refuse(&why, "another name"));
        }
        if !head.is_empty() && !self.replace.force {
            return Err(refuse(
                "it is there already",
                "another name, or --force to replace it",
            ));
        }
        // Through a link to the file itself, so that the link stays.
        let real = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
        probe(&real).map_err(|e| refuse(&os_words(&e), "another folder"))?;
        Ok(To::File(real))
    }

    /// Writes the texts: all of them, or none.
    ///
    /// # Errors
    /// The first that could not be written.
    pub fn write(&self, texts: &[(Slot, &[u8])]) -> Result<(), Failure> {
        let mut parts: Vec<(PathBuf, &Path)> = Vec::new();
        let written = self.write_parts(texts, &mut parts);
        let named = written.and_then(|()| {
            parts.iter().try_for_each(|(part, path)| {
                fs::rename(part, path).map_err(|e| failed(path, &e, 0))
            })
        });
        if named.is_err() {
            for (part, _) in &parts {
                // It may not be there; then there is nothing to take away.
                let _ = fs::remove_file(part);
            }
        }
        named?;
        for (_, path) in &parts {
            sync_folder_of(path);
        }
        Ok(())
    }

    fn write_parts<'p>(
        &'p self,
        texts: &[(Slot, &[u8])],
        parts: &mut Vec<(PathBuf, &'p Path)>,
    ) -> Result<(), Failure> {
        for (slot, text) in texts {
            let To::File(path) = &self.to[slot.0].0 else {
                continue;
            };
            let part = part_of(path);
            parts.push((part.clone(), path));
            write_part(&part, text).map_err(|e| failed(path, &e, text.len()))?;
        }
        for (slot, text) in texts {
            match &self.to[slot.0].0 {
                To::File(_) => {}
                To::Standard => say_or_fail(text)?,
                To::Device(path) => OpenOptions::new()
                    .append(true)
                    .open(path)
                    .and_then(|mut file| file.write_all(text))
                    .map_err(|e| failed(path, &e, text.len()))?,
            }
        }
        Ok(())
    }
}

fn failed(path: &Path, why: &std::io::Error, bytes: usize) -> Failure {
    Failure::failed(format!(
        "error: cannot write `{}`: {}\n  try: another place with room for {bytes} bytes",
        path.display(),
        os_words(why)
    ))
}

/// Makes the file beside and takes it away again.
fn probe(path: &Path) -> std::io::Result<()> {
    let beside = part_of(path);
    OpenOptions::new()
        .write(true)
        .create_new(true)
        .open(&beside)?;
    fs::remove_file(&beside)
}

fn same_place(a: &To, b: &To) -> bool {
    match (a, b) {
        (To::Standard, To::Standard) => true,
        (To::File(a) | To::Device(a), To::File(b) | To::Device(b)) => same_file(a, b),
        _ => false,
    }
}

fn refused(option: &str, path: &Path, why: &str, help: &str) -> Failure {
    Failure::wrong(format!(
        "error: {option}: cannot write `{}`: {why}\n  try: {help}",
        path.display()
    ))
}

fn goes_there_too(option: &str, path: &Path) -> Failure {
    let why = "standard output is led into it as well";
    refused(
        option,
        path,
        why,
        "two names, or `-` alone for standard output",
    )
}

/// Makes sure that a file which a task writes as it goes is not what its standard output is led into.
///
/// # Errors
/// That it is.
pub(super) fn apart_from_standard(option: &str, path: &Path) -> Result<(), Failure> {
    match fs::metadata(path) {
        Ok(about) if about.is_file() && is_standard(&about) => Err(goes_there_too(option, path)),
        _ => Ok(()),
    }
}

/// The files of a folder that end so, for a task that reads them. One that cannot be read has none; the task itself tells.
pub(super) fn files_of(folder: &Path, endings: &[&str]) -> Vec<PathBuf> {
    let entries = fs::read_dir(folder).into_iter().flatten();
    let paths = entries.filter_map(|e| Some(e.ok()?.path()));
    let ends_so = |p: &PathBuf| {
        p.extension()
            .is_some_and(|e| endings.iter().any(|own| e == *own))
    };
    paths.filter(ends_so).collect()
}
