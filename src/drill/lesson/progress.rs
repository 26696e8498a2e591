//! Which lessons a person has done, kept in a file of theirs, and which come back. A lesson with a wrong prediction the
//! last time comes back once three others were gone through (own: not at once, while the answer is still in the ear). The file is written whole beside the
//! old one, which it then replaces, so that a crash leaves one or the other.

use crate::form::store::{os_words, user_data, write_file};
use crate::form::{Form, FormError, Mistakes, fnv1a};
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

/// How a lesson went.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Record {
    /// How often it was gone through.
    pub times: u32,
    /// Right answers of the best time.
    pub best: u32,
    /// Questions then.
    pub of: u32,
    /// Right answers of the last time.
    pub last: u32,
    /// How many lessons the person had gone through by then.
    pub at: u32,
}

/// Progress through the lessons.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Progress {
    /// By short name of the lesson.
    pub lessons: BTreeMap<String, Record>,
}

/// Progress that cannot be kept.
#[derive(Debug, thiserror::Error)]
pub enum ProgressError {
    /// The file cannot be read or is none.
    #[error(transparent)]
    File(#[from] FormError),
    /// It cannot be written.
    #[error(
        "error: progress cannot be kept in `{path}`: {}\n  try: --progress with a file of yours",
        os_words(.why)
    )]
    Write {
        /// The file.
        path: String,
        /// What the system says.
        why: std::io::Error,
    },
}

impl From<Mistakes> for ProgressError {
    fn from(mistakes: Mistakes) -> Self {
        Self::File(mistakes.into())
    }
}

/// Where progress is kept when nothing else is said: the folder for a user's data. `None` where
/// the system names none.
pub fn usual_file() -> Option<PathBuf> {
    Some(user_data()?.join("lessons.toml"))
}

/// Where a person's progress is kept: beside the file of those who give no name, which is `nobodys`. Names that differ
/// in a sign or in capitals only have files of their own, whatever the disk makes of these.
pub fn file_of(nobodys: &Path, who: &str) -> PathBuf {
    let who = who.trim();
    if who.is_empty() {
        return nobodys.to_owned();
    }
    let short = who.chars().take(40);
    let clean: String = short
        .map(|c| if c.is_alphanumeric() { c } else { '_' })
        .collect();
    let name = format!(
        "{}-{:016x}.toml",
        clean.to_lowercase(),
        fnv1a(who.as_bytes())
    );
    nobodys.with_extension("").join(name)
}

/// A lesson that was missed comes back after so many others.
const COMES_BACK: u32 = 3;

impl Progress {
    /// Reads progress; none where there is no file yet.
    ///
    /// # Errors
    /// [`ProgressError`].
    pub fn load(path: &Path) -> Result<Self, ProgressError> {
        // Where it could never be kept, that is told before a lesson and not after it.
        let is_none = fs::metadata(path).is_err_and(|e| e.kind() == ErrorKind::NotFound);
        if is_none {
            return Ok(Self::default());
        }
        let form = Form::load(path)?;
        let root = form.root();
        let mut out = Self::default();
        for id in root.names() {
            let Some(t) = root.table(id).required() else {
                continue;
            };
            let number = |key: &str| t.integer(key).between(0..=1_000_000).required_or(0) as u32;
            let best = number("best");
            let or =
                |key: &str, or: u32| t.integer(key).between(0..=1_000_000).or(i64::from(or)) as u32;
            let record = Record {
                times: number("times"),
                best,
                of: number("of"),
                // Files of earlier programs tell the best time only.
                last: or("last", best),
                at: or("at", 0),
            };
            out.lessons.insert(id.to_owned(), record);
        }
        Ok(form.finish(out)?)
    }

    /// How often any lesson was gone through.
    pub fn gone_through(&self) -> u32 {
        let times = self.lessons.values().map(|r| r.times);
        times.fold(0, u32::saturating_add)
    }

    /// Whether a lesson was missed the last time, and enough others came since.
    pub fn comes_back(&self, id: &str) -> bool {
        let since = |r: &Record| self.gone_through().saturating_sub(r.at);
        let due = |r: &&Record| r.last < r.of && since(r) >= COMES_BACK;
        self.lessons.get(id).as_ref().is_some_and(due)
    }

    /// Of these lessons in their order the one to go through next: what comes back, the longest ago first, then what was
    /// not done yet, then what was missed at all.
    pub fn next<'a>(&self, ids: &(impl Iterator<Item = &'a str> + Clone)) -> Option<&'a str> {
        let at = |id: &&str| self.lessons.get(*id).map_or(0, |r| r.at);
        let back = ids.clone().filter(|id| self.comes_back(id)).min_by_key(at);
        let new = || ids.clone().find(|id| !self.lessons.contains_key(*id));
        let missed = |id: &&str| self.lessons.get(*id).is_some_and(|r| r.last < r.of);
        let rest = || ids.clone().filter(missed).min_by_key(at);
        back.or_else(new).or_else(rest)
    }

    /// Notes how a lesson went.
    pub fn note(&mut self, id: &str, right: u32, of: u32) {
        let now = self.gone_through().saturating_add(1);
        let r = self.lessons.entry(id.to_owned()).or_default();
        r.times = r.times.saturating_add(1);
        (r.last, r.at) = (right, now);
        if r.of != of || right > r.best {
            (r.best, r.of) = (right, of);
        }
    }

    /// Writes progress.
    ///
    /// # Errors
    /// [`ProgressError::Write`].
    pub fn save(&self, path: &Path) -> Result<(), ProgressError> {
        let mut text = String::from("# Lessons done, kept by twostage.\n");
        for (id, r) in &self.lessons {
            let key = toml::Value::String(id.clone());
            let _ = write!(
                text,
                "\n[{key}]\ntimes = {}\nbest = {}\nof = {}\nlast = {}\nat = {}\n",
                r.times, r.best, r.of, r.last, r.at
            );
        }
        let failed = |why| ProgressError::Write {
            path: path.display().to_string(),
            why,
        };
        if let Some(folder) = path.parent() {
            fs::create_dir_all(folder).map_err(failed)?;
        }
        write_file(path, text.as_bytes()).map_err(failed)
    }
}
