//! Which lessons a person has done, kept in a file of theirs. The file is written whole beside the
//! old one, which it then replaces, so that a crash leaves one or the other.

use crate::form::store::{user_data, write_file};
use crate::form::{Form, FormError, Mistakes};
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs;
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
        "error: progress cannot be kept in `{path}`: {why}\n  try: --progress with a file of yours"
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

impl Progress {
    /// Reads progress; none where there is no file yet.
    ///
    /// # Errors
    /// [`ProgressError`].
    pub fn load(path: &Path) -> Result<Self, ProgressError> {
        if !path.exists() {
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
            let record = Record {
                times: number("times"),
                best: number("best"),
                of: number("of"),
            };
            out.lessons.insert(id.to_owned(), record);
        }
        Ok(form.finish(out)?)
    }

    /// Notes how a lesson went.
    pub fn note(&mut self, id: &str, right: u32, of: u32) {
        let r = self.lessons.entry(id.to_owned()).or_default();
        r.times = r.times.saturating_add(1);
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
                "\n[{key}]\ntimes = {}\nbest = {}\nof = {}\n",
                r.times, r.best, r.of
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
