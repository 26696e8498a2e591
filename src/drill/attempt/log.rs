//! The log of an attempt: one JSON line an act, on the disk before the act is told as done.
//!
//! A line is `{"entry":{...},"sum":"..."}` and a line end; the sum is the 64-bit FNV-1a hash of the
//! entry as written. The first line holds the header. The file only grows. A last line that lacks its line end
//! counts where its sum is right; what a cut left of any other is no entry, is told, and is kept in a file
//! beside the log when the attempt goes on.

use super::safety::Unsafe;
use crate::form::fnv1a;
use crate::form::store::{os_words, sync_folder_of, write_file};
use crate::form::{FormError, read_bytes};
use crate::visit::{Observation, Told};
use serde::{Deserialize, Serialize, de::DeserializeOwned};
use std::fs::{File, OpenOptions};
use std::io::{Read, Seek as _, SeekFrom, Write as _};
use std::path::{Path, PathBuf};

/// Version of the log.
pub const VERSION: u32 = 2;
/// First word of a log.
const NAME: &str = "twostage attempt";
/// Longest log, bytes, and most acts of one: a week of one every two minutes.
const MOST_BYTES: u64 = 20_000_000;
const MOST_ACTS: usize = 5000;

/// What an attempt is of.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Header {
    /// Always "twostage attempt".
    pub log: String,
    /// Version of the log.
    pub version: u32,
    /// Sum of the drill file.
    pub drill: String,
    /// Title of the drill.
    pub title: String,
    /// Who works on it.
    pub who: String,
    /// When it was begun, seconds since 1970 by that computer's clock; none in the logs of an earlier program.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub begun_s: Option<u64>,
    /// Name of the file in which it was begun: a copy under another name keeps it. None in the logs of an earlier program.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub file: Option<String>,
}

impl Header {
    /// The header of a new attempt.
    pub fn new(sum: u64, title: &str, who: &str) -> Self {
        Self {
            log: NAME.to_owned(),
            version: VERSION,
            drill: format!("{sum:016x}"),
            title: title.to_owned(),
            who: who.to_owned(),
            begun_s: None,
            file: None,
        }
    }
}

impl Header {
    /// What of it nobody can have written.
    fn odd(&self) -> Option<&'static str> {
        let is_long = self.who.chars().count() > NAME_CHARS;
        if is_long || self.who.chars().any(char::is_control) {
            return Some("no attempt can have this log: `who` is no name");
        }
        if self.begun_s.is_some_and(|s| s > LATEST_BEGUN_S) {
            return Some("no attempt can have this log: `begun_s` is after the year 2200");
        }
        None
    }
}

/// One act, as it was done.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Entry {
    /// Number, from 1.
    pub n: usize,
    /// Clock when it began \[s\].
    pub at_s: f64,
    /// Clock when it was done \[s\].
    pub end_s: f64,
    /// The act in its words.
    pub act: String,
    /// What was told, in SI.
    pub told: Told,
    /// What counts as evidence of the rig as it was met.
    pub found: Vec<Observation>,
    /// What was found after something was changed that may have been what is wrong.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub after: Vec<Observation>,
    /// What was unsafe about it.
    #[serde(rename = "unsafe")]
    pub noticed: Vec<Unsafe>,
}

/// Latest time an act can end \[s\]: over a week, longer than any drill.
const LATEST_S: f64 = 1e6;
/// Acts are logged to the millisecond or better; what begins this little before the last one ended began with it \[s\].
pub(super) const TOUCHES_S: f64 = 1e-3;
/// Longest name of a person, characters: as whoever begins an attempt is asked for it.
const NAME_CHARS: usize = 60;
/// A log begun later than this was begun by no clock that counts: the year 2200 \[s since 1970\].
const LATEST_BEGUN_S: u64 = 7_258_118_400;

impl Entry {
    /// Everything that was found.
    pub fn observations(&self) -> impl Iterator<Item = &Observation> {
        self.found.iter().chain(&self.after)
    }

    /// Whether it can have followed what ended at `before_s`, with readings that can be read.
    fn is_possible(&self, before_s: f64) -> bool {
        let runs_on = self.at_s >= before_s - TOUCHES_S && self.end_s >= self.at_s;
        runs_on && self.end_s < LATEST_S && self.observations().all(Observation::is_sound)
    }
}

/// A log that cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum LogError {
    /// The file cannot be read or written.
    #[error("error: the attempt `{path}`: {}\n  try: {help}", os_words(.why))]
    Io {
        /// The file.
        path: String,
        /// What the system says.
        why: std::io::Error,
        /// What to do.
        help: &'static str,
    },
    /// It cannot be read as a file.
    #[error(transparent)]
    File(#[from] FormError),
    /// Not a log, or a damaged one.
    #[error("error: {what}\n  {path}:{line}\n  try: {help}")]
    Bad {
        /// What is wrong.
        what: String,
        /// The file.
        path: String,
        /// Line, from 1.
        line: usize,
        /// What to do.
        help: &'static str,
    },
}

#[derive(Serialize)]
struct Line<T> {
    entry: T,
    sum: String,
}

fn write_line<T: Serialize>(entry: &T) -> Result<String, serde_json::Error> {
    let sum = format!("{:016x}", fnv1a(serde_json::to_string(entry)?.as_bytes()));
    Ok(serde_json::to_string(&Line { entry, sum })? + "\n")
}

/// The entry of a line, if the line is as it was written. The sum is taken of the entry's own
/// bytes: a number may be read back a last bit off, and would then be written otherwise.
fn read_line<T: DeserializeOwned>(line: &[u8]) -> Option<T> {
    let text = std::str::from_utf8(line).ok()?.trim_end();
    let inner = text.strip_prefix("{\"entry\":")?.strip_suffix("\"}")?;
    let (entry, sum) = inner.rsplit_once(",\"sum\":\"")?;
    (sum == format!("{:016x}", fnv1a(entry.as_bytes())))
        .then(|| serde_json::from_str(entry).ok())
        .flatten()
}

/// Whether a line is as it was written, whatever it holds.
fn is_whole(line: &[u8]) -> bool {
    read_line::<serde::de::IgnoredAny>(line).is_some()
}

/// What a log holds.
#[derive(Debug, Clone, PartialEq)]
pub struct Contents {
    /// The header.
    pub header: Header,
    /// Every complete entry.
    pub entries: Vec<Entry>,
    /// Bytes up to the end of the last complete line.
    pub good_bytes: u64,
    /// Whether the last of them lacks its line end.
    pub lacks_end: bool,
    /// Bytes behind them that are no complete line.
    pub cut_bytes: u64,
}

impl Contents {
    /// That something was left out at the end, where it was.
    pub fn left_out(&self) -> Option<String> {
        (self.cut_bytes > 0).then(|| {
            format!(
                "the last line is cut off and left out ({} bytes)",
                self.cut_bytes
            )
        })
    }
}

/// Reads what a log's bytes hold; `path` is what messages call it. `None` where not even the
/// header is complete.
///
/// # Errors
/// [`LogError::Bad`] for something that is no log, or one damaged elsewhere than at its end.
pub fn contents(path: &str, bytes: &[u8]) -> Result<Option<Contents>, LogError> {
    match sound_part(path, bytes)? {
        Some((_, Some(damage))) => Err(damage),
        found => Ok(found.map(|(contents, _)| contents)),
    }
}

/// The same, but a log that is damaged further on gives what stands before the damage, and the damage beside it.
///
/// # Errors
/// [`LogError::Bad`] for something that is no log.
pub fn sound_part(
    path: &str,
    bytes: &[u8],
) -> Result<Option<(Contents, Option<LogError>)>, LogError> {
    let bad = |what: String, line: usize, help| LogError::Bad {
        what,
        path: path.to_owned(),
        line,
        help,
    };
    let mut lines: Vec<&[u8]> = bytes.split_inclusive(|b| *b == b'\n').collect();
    let lacks_end = lines.last().is_some_and(|l| !l.ends_with(b"\n"));
    let cut = lacks_end && !lines.last().is_some_and(|l| is_whole(l));
    let cut_bytes = if cut {
        lines.pop().map_or(0, <[u8]>::len)
    } else {
        0
    };
    let Some(first) = lines.first() else {
        let start = br#"{"entry":{"log":"twostage attempt""#;
        return if start.starts_with(bytes) || bytes.starts_with(start) {
            Ok(None)
        } else {
            Err(bad(
                "this is no log of an attempt".to_owned(),
                1,
                "the file that `drill try` wrote",
            ))
        };
    };
    let header: Header = read_line(first)
        .filter(|h: &Header| h.log == NAME)
        .ok_or_else(|| {
            bad(
                "this is no log of an attempt".to_owned(),
                1,
                "the file that `drill try` wrote",
            )
        })?;
    if header.version != VERSION {
        let what = format!(
            "the log has version {}; this program reads version {VERSION}",
            header.version
        );
        let help = if header.version > VERSION {
            "a newer twostage"
        } else {
            "the attempt again from its start, under another name; logs this old keep what was told as sentences"
        };
        return Err(bad(what, 1, help));
    }
    if let Some(what) = header.odd() {
        return Err(bad(what.to_owned(), 1, "the log as `drill try` wrote it"));
    }
    let mut out = Contents {
        header,
        entries: Vec::new(),
        good_bytes: first.len() as u64,
        lacks_end: lacks_end && !cut,
        cut_bytes: cut_bytes as u64,
    };
    for (i, line) in lines.iter().enumerate().skip(1) {
        let before_s = out.entries.last().map_or(0.0, |e| e.end_s);
        match next_entry(line, i, before_s) {
            Ok(entry) => out.entries.push(entry),
            Err((what, help)) => {
                out.cut_bytes = bytes.len() as u64 - out.good_bytes;
                out.lacks_end = false;
                return Ok(Some((out, Some(bad(what, i + 1, help)))));
            }
        }
        out.good_bytes += line.len() as u64;
    }
    Ok(Some((out, None)))
}

/// The act of line `i`, from 0, after what ended at `before_s`; or what is wrong with it and what to do.
fn next_entry(line: &[u8], i: usize, before_s: f64) -> Result<Entry, (String, &'static str)> {
    if i > MOST_ACTS {
        let what = format!("the log holds more than {MOST_ACTS} acts");
        return Err((what, "a look whether it is the right file"));
    }
    match read_line::<Entry>(line) {
        Some(entry) if entry.n == i && !entry.is_possible(before_s) => Err((
            "no attempt can have this act: its time or its readings are none".to_owned(),
            "the log as `drill try` wrote it",
        )),
        Some(entry) if entry.n == i => Ok(entry),
        _ => Err((
            "the log is damaged: this line is not as it was written".to_owned(),
            "a copy of the log, or the attempt again from its start",
        )),
    }
}

/// Reads a log.
///
/// # Errors
/// [`LogError`].
pub fn read(path: &Path) -> Result<Option<Contents>, LogError> {
    contents(&path.display().to_string(), &read_bytes(path, MOST_BYTES)?)
}

/// Reads a log as far as it is sound: what it holds, and the damage that ends it where there is any.
///
/// # Errors
/// [`LogError`].
pub fn read_sound_part(path: &Path) -> Result<Option<(Contents, Option<LogError>)>, LogError> {
    sound_part(&path.display().to_string(), &read_bytes(path, MOST_BYTES)?)
}

/// A log being written.
#[derive(Debug)]
pub struct Log {
    file: File,
    path: PathBuf,
}

impl Log {
    /// Opens a log to go on with it, or begins one. Nobody else can have it open meanwhile.
    ///
    /// # Errors
    /// [`LogError`].
    pub fn open(path: &Path) -> Result<(Self, Option<Contents>), LogError> {
        let name = path.display().to_string();
        let io = |why| LogError::Io {
            path: name.clone(),
            why,
            help: "another name, or a folder that is there and yours to write in",
        };
        let is_new = !path.exists();
        if !is_new {
            // A pipe or a device would be waited on without end.
            read_bytes(path, MOST_BYTES)?;
        }
        let mut file = OpenOptions::new()
            .read(true)
            .append(true)
            .create(true)
            .open(path)
            .map_err(io)?;
        if is_new {
            sync_folder_of(path);
        }
        if file.try_lock().is_err() {
            return Err(LogError::Io {
                path: name,
                why: std::io::Error::other("another program works on it"),
                help: "ending that one first",
            });
        }
        let found = read(path)?;
        let (good, cut) = found
            .as_ref()
            .map_or((0, 0), |c| (c.good_bytes, c.cut_bytes));
        let io = |why| LogError::Io {
            path: name.clone(),
            why,
            help: "a disk with room",
        };
        if cut > 0 {
            let mut bytes = Vec::new();
            file.seek(SeekFrom::Start(good)).map_err(io)?;
            Read::by_ref(&mut file)
                .take(cut)
                .read_to_end(&mut bytes)
                .map_err(io)?;
            write_file(&path.with_extension("cut"), &bytes).map_err(io)?;
        }
        if file.metadata().map_err(io)?.len() > good {
            file.set_len(good).map_err(io)?;
            file.sync_all().map_err(io)?;
        }
        if found.as_ref().is_some_and(|c| c.lacks_end) {
            file.write_all(b"\n").map_err(io)?;
            file.sync_all().map_err(io)?;
        }
        let mut log = Self {
            file,
            path: path.to_owned(),
        };
        log.file.seek(SeekFrom::End(0)).map_err(io)?;
        Ok((log, found))
    }

    /// Writes one line and waits until it is on the disk.
    ///
    /// # Errors
    /// [`LogError::Io`]; the line may then be there in part and counts as not written.
    pub fn add<T: Serialize>(&mut self, entry: &T) -> Result<(), LogError> {
        let io = |why| LogError::Io {
            path: self.path.display().to_string(),
            why,
            help: "a disk with room",
        };
        let line = write_line(entry).map_err(|e| io(e.into()))?;
        self.file.write_all(line.as_bytes()).map_err(io)?;
        self.file.sync_all().map_err(io)
    }
}
