//! Files a task leaves: looked at before the work, written whole at its end, all together or none.
//!
//! Each text goes to a file of another name beside the wanted one; when all are there they take their
//! names. A run that fails or is broken off leaves nothing half written, and an old file stays as it was.
//! Nothing replaces what the task reads, nor another of its own files, nor a file that is no result
//! of this kind; a result of this kind only where `--force` says so.

use super::{Failure, say_or_fail};
use crate::form::store::{os_words, part_of, sync_folder_of, write_part};
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

/// What a file holds, as far as its beginning tells.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Holds {
    Table,
    Json,
    Picture,
    Page,
    Paper,
    Drill,
    Library,
    Statements,
}

/// Endings that promise a kind of file.
const ENDINGS: [&str; 15] = [
    "png", "jpg", "jpeg", "gif", "webp", "bmp", "pdf", "svg", "csv", "tsv", "xlsx", "json", "html",
    "htm", "md",
];

/// Bytes that tell what a file holds.
const HEAD: u64 = 4096;

impl Holds {
    fn words(self) -> &'static str {
        match self {
            Self::Table => "table",
            Self::Json => "JSON result",
            Self::Picture => "picture",
            Self::Page => "page",
            Self::Paper => "paper",
            Self::Drill => "sealed drill",
            Self::Library => "library",
            Self::Statements => "list of statements",
        }
    }

    /// Endings of names of such a file.
    fn endings(self) -> &'static [&'static str] {
        match self {
            Self::Table => &["csv"],
            Self::Json | Self::Statements => &["json"],
            Self::Picture => &["svg"],
            Self::Page => &["html", "htm"],
            Self::Paper => &["md"],
            Self::Drill => &["toml"],
            Self::Library => &["lib"],
        }
    }

    /// What is wrong with a name that ends as a file of another kind does; whoever opens it by its name would find it broken.
    fn misnamed(self, path: &Path) -> Option<(String, String)> {
        let ending = path.extension()?.to_str()?.to_lowercase();
        let (own, first) = (self.endings(), self.endings().first()?);
        if own.contains(&ending.as_str()) || !ENDINGS.contains(&ending.as_str()) {
            return None;
        }
        let why = format!(
            "a {} goes into it, and `.{ending}` says otherwise",
            self.words()
        );
        Some((why, format!("a name that ends in .{first}")))
    }

    /// Whether a file that begins so may be a result of this kind.
    fn fits(self, head: &[u8]) -> bool {
        let text = String::from_utf8_lossy(head);
        let text = text.trim_start();
        let first = text.lines().next().unwrap_or_default();
        match self {
            Self::Table => first.contains(',') && !first.contains(['{', '<', '=', '[']),
            Self::Json => text.starts_with('{') && !text.starts_with("{\"entry\":"),
            Self::Picture => text.starts_with("<svg"),
            Self::Page => text.to_lowercase().starts_with("<!doctype html"),
            Self::Paper => text.starts_with("# "),
            Self::Drill => text.lines().any(|l| l.starts_with("sealed = ")),
            Self::Library => head.starts_with(b"2stgdx"),
            Self::Statements => {
                text.starts_with('[') && (text.contains("\"actor\"") || text.trim_end() == "[]")
            }
        }
    }
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
pub(super) struct Outputs<'a> {
    inputs: Vec<&'a Path>,
    replace: Replace,
    to: Vec<(To, &'static str)>,
}

impl<'a> Outputs<'a> {
    /// None yet, of a task that reads `inputs`.
    pub fn new(inputs: impl IntoIterator<Item = &'a Path>, replace: Replace) -> Self {
        Self {
            inputs: inputs.into_iter().collect(),
            replace,
            to: Vec::new(),
        }
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
        let refuse = |why: &str, help: &str| {
            Failure::wrong(format!(
                "error: {option}: cannot write `{}`: {why}\n  try: {help}",
                path.display()
            ))
        };
        if path.file_name().is_none() {
            return Err(refuse("it names no file", "a file name"));
        }
        if let Some((why, help)) = kind.misnamed(path) {
            return Err(refuse(&why, &help));
        }
        if let Some(input) = self.inputs.iter().find(|input| same_file(input, path)) {
            return Err(Failure::wrong(format!(
                "error: {option} would replace `{}`, which is read\n  try: another name",
                input.display()
            )));
        }
        let Ok(about) = fs::metadata(path) else {
            let help = "a folder that is there and yours to write in";
            probe(path).map_err(|e| refuse(&os_words(&e), help))?;
            return Ok(To::File(path.to_owned()));
        };
        if about.is_dir() {
            return Err(refuse("it is a folder", "a file name within it"));
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

/// Whether two names are one file: by whatever link, and where only the case of letters parts them, for some
/// file systems do not tell them apart.
fn same_file(a: &Path, b: &Path) -> bool {
    #[cfg(unix)]
    if let (Ok(a), Ok(b)) = (fs::metadata(a), fs::metadata(b)) {
        use std::os::unix::fs::MetadataExt as _;
        if (a.dev(), a.ino()) == (b.dev(), b.ino()) {
            return true;
        }
    }
    let lower = |path: &Path| full(path).to_string_lossy().to_lowercase();
    lower(a) == lower(b)
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

    /// A picture of lines in a file that calls itself one of dots opens nowhere; a name that promises nothing is anybody's.
    #[test]
    fn a_name_that_promises_another_kind_is_refused() {
        let wrong = |kind: Holds, name: &str| kind.misnamed(Path::new(name)).is_some();
        for (kind, right, others) in [
            (Holds::Picture, "x.svg", ["x.png", "x.PDF", "x.csv"]),
            (Holds::Table, "x.csv", ["x.json", "x.xlsx", "x.svg"]),
            (Holds::Json, "x.json", ["x.csv", "x.html", "x.png"]),
            (Holds::Page, "x.htm", ["x.pdf", "x.md", "x.svg"]),
        ] {
            for name in [right, "x", "x.txt", "x.out", ".svg", "a.png/x"] {
                assert!(!wrong(kind, name), "{kind:?} {name}");
            }
            for name in others {
                assert!(wrong(kind, name), "{kind:?} {name}");
            }
        }
    }
}
