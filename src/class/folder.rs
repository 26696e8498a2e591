//! A class's folder: making one, opening it, beginning attempts and going on with them, releasing what was ended.
//!
//! A stick may be pulled at any time, and another may come to its place. So nothing is ever made anew where the class was:
//! a part of the folder that is not there is an error, and before an attempt is begun the list is read again and must be
//! of the same class. Not here: what attempts hold ([`super::tries`]).

use super::list::{ClassList, NotThere, Trainee};
use super::name::{AttemptName, Date, random_word};
use super::tries::{Tries, Try, cut_words, names_in, read_tries};
use crate::drill::attempt::folder::first_line;
use crate::drill::making::file::scenario_beside;
use crate::drill::making::shipped;
use crate::drill::{Drill, DrillError};
use crate::form::store::{os_words, write_file};
use crate::form::{FormError, Mistakes, read_bytes, read_file};
use std::collections::BTreeSet;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// The list's file.
pub const LIST: &str = "class.toml";
/// Longest class list, and longest log that is gone on with, bytes.
const MOST_BYTES: u64 = 1_000_000;
const MOST_LOG_BYTES: u64 = 20_000_000;
/// The parts of a class's folder.
const PARTS: [&str; 4] = ["drills", "attempts", "released", "reports"];

/// A class that cannot be worked with.
#[derive(Debug, thiserror::Error)]
pub enum ClassError {
    /// The list cannot be read or has mistakes.
    #[error(transparent)]
    List(#[from] FormError),
    /// A drill cannot be read.
    #[error(transparent)]
    Drill(#[from] DrillError),
    /// Somebody or something is not in the class.
    #[error(transparent)]
    NotThere(#[from] NotThere),
    /// A part of the folder is missing, or cannot be written.
    #[error("error: `{path}`: {}\n  try: {help}", os_words(.why))]
    Io {
        /// Where.
        path: String,
        /// What the system says.
        why: io::Error,
        /// What to do.
        help: &'static str,
    },
    /// Another class lies where this one was.
    #[error(
        "error: another class is at `{0}` now\n  try: the stick of this class, or opening the other one"
    )]
    Another(String),
}

impl From<Mistakes> for ClassError {
    fn from(mistakes: Mistakes) -> Self {
        Self::List(mistakes.into())
    }
}

/// What to do where a part of the folder is not there.
const PUT_BACK: &str = "the stick or the shared drive again: what was acknowledged is on it";

fn io_error(path: &Path, why: io::Error, help: &'static str) -> ClassError {
    ClassError::Io {
        path: path.display().to_string(),
        why,
        help,
    }
}

/// An open class.
#[derive(Debug, Clone)]
pub struct ClassFolder {
    place: PathBuf,
    /// Who is in it and which drills it has.
    pub list: ClassList,
}

/// A drill that is to be put into a class: its short name there, and its text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewDrill {
    /// By its title and not by its file's name, which its maker may know it by: a trainee sees it wherever an attempt lies.
    name: String,
    text: String,
}

/// The short name of a title: its letters and digits. What has none of them is a drill.
fn short_name(title: &str) -> String {
    let letters = |c: char| if c.is_alphanumeric() { c } else { ' ' };
    let lower: String = title.to_lowercase().chars().map(letters).collect();
    let mut out = String::new();
    for word in lower.split_whitespace() {
        if out.len() + word.len() + 1 > NAME_BYTES {
            break;
        }
        out.push_str(if out.is_empty() { "" } else { "_" });
        out.push_str(word);
    }
    if out.is_empty() {
        "drill".to_owned()
    } else {
        out
    }
}

/// Longest short name made of a title, bytes; a number may come behind it.
const NAME_BYTES: usize = 70;

/// A name that none of these is: the name itself, or one with a number.
fn free_name(name: String, taken: &BTreeSet<String>) -> String {
    let numbered = |n: usize| format!("{name}_{n}");
    let is_free = |name: &String| !taken.contains(&name.to_lowercase());
    if is_free(&name) {
        return name;
    }
    // Of so many names one is free.
    let mut numbers = (2..taken.len() + 3).map(numbered);
    numbers.find(is_free).unwrap_or(name)
}

impl NewDrill {
    /// Fetches a drill: a shipped one by its short name, or a sealed file.
    ///
    /// # Errors
    /// [`ClassError`].
    pub fn fetch(drill: &str) -> Result<Self, ClassError> {
        let refuse = |what: String, help: &str| NotThere {
            what,
            help: help.to_owned(),
        };
        let path = Path::new(drill);
        if let Some((id, text)) = shipped::named(drill) {
            let (name, text) = (id.to_owned(), text.to_owned());
            return Ok(Self { name, text });
        }
        if !path.exists() {
            let what = format!("there is no file or shipped drill `{}`", path.display());
            return Err(refuse(what, &shipped::near(drill)).into());
        }
        let loaded = Drill::load(path)?;
        let Some(worked) = &loaded.worked else {
            let what = format!(
                "the drill `{}` is not sealed: anyone could read its faults",
                path.display()
            );
            return Err(refuse(what, "`twostage drill new --from` it first").into());
        };
        let name = short_name(&loaded.title);
        // A rig that it only names comes along by writing the drill out whole.
        let text = match scenario_beside(path) {
            Some(_) => loaded.to_sealed(worked),
            None => read_file(path, MOST_BYTES)?,
        };
        Ok(Self { name, text })
    }

    /// Fetches all of these for a class that has some already.
    ///
    /// # Errors
    /// [`ClassError`]: one that cannot be had, or that would be there twice.
    pub fn fetch_all(list: &ClassList, drills: &[String]) -> Result<Vec<Self>, ClassError> {
        let mut taken: BTreeSet<String> = list.drills.iter().map(|d| d.to_lowercase()).collect();
        let mut out: Vec<Self> = Vec::new();
        for drill in drills {
            let mut one = Self::fetch(drill)?;
            let is_shipped = shipped::named(drill).is_some();
            if out.iter().any(|o| o.text == one.text)
                || (is_shipped && taken.contains(&one.name.to_lowercase()))
            {
                return Err(twice(&one.name));
            }
            one.name = free_name(one.name, &taken);
            taken.insert(one.name.to_lowercase());
            out.push(one);
        }
        Ok(out)
    }
}

/// That a drill would be in a class twice.
fn twice(name: &str) -> ClassError {
    ClassError::NotThere(NotThere {
        what: format!("a drill `{name}` is in the class"),
        help: "naming it once".to_owned(),
    })
}

/// Where an attempt is written and what it is.
#[derive(Debug, Clone)]
pub struct Begun {
    /// The file of this process.
    pub log: PathBuf,
    /// Its name.
    pub name: AttemptName,
    /// Acts that were done before.
    pub acts: usize,
    /// Which attempt of this person at this drill it is, from 1.
    pub ordinal: usize,
    /// Whether it was opened in another place before and has no act yet: it may be open there still.
    pub elsewhere: bool,
}

impl ClassFolder {
    /// Makes a class in a folder that is new or empty, with these drills: all of it, or nothing.
    ///
    /// # Errors
    /// [`ClassError`]; what was there is as it was, and what was made is gone.
    pub fn make(place: &Path, list: ClassList, drills: &[NewDrill]) -> Result<Self, ClassError> {
        let failed = |why| io_error(place, why, "a folder that is new or empty, in one of yours");
        let is_new = match fs::read_dir(place).map(|mut all| all.next().is_none()) {
            Ok(true) => false,
            Ok(false) => return Err(failed(io::Error::other("there is something in it already"))),
            Err(e) if e.kind() == io::ErrorKind::NotFound => {
                fs::create_dir(place).map_err(failed)?;
                true
            }
            Err(e) => return Err(failed(e)),
        };
        let mut class = Self {
            place: place.to_owned(),
            list,
        };
        let parts = || {
            PARTS
                .iter()
                .try_for_each(|part| fs::create_dir(place.join(part)))
        };
        let made = parts().map_err(failed).and_then(|()| class.take_in(drills));
        if let Err(why) = made {
            // A folder that was empty is empty again. What cannot be taken away is no worse than the error that is told.
            for part in PARTS {
                let _ = fs::remove_dir_all(place.join(part));
            }
            if is_new {
                let _ = fs::remove_dir(place);
            }
            return Err(why);
        }
        Ok(class)
    }

    /// Opens a class.
    ///
    /// # Errors
    /// [`ClassError`].
    pub fn open(place: &Path) -> Result<Self, ClassError> {
        let file = place.join(LIST);
        if !file.exists() {
            let why = if place.is_dir() {
                "there is no class in this folder"
            } else {
                "there is no such folder of a class"
            };
            return Err(io_error(
                place,
                io::Error::other(why),
                "`twostage class new`, or the folder that holds class.toml",
            ));
        }
        let list = ClassList::read(&file.display().to_string(), &read_file(&file, MOST_BYTES)?)?;
        Ok(Self {
            place: place.to_owned(),
            list,
        })
    }

    /// Where it lies.
    pub fn place(&self) -> &Path {
        &self.place
    }

    /// Where its attempts lie.
    pub fn attempts(&self) -> PathBuf {
        self.place.join("attempts")
    }

    /// Where its drills lie.
    pub fn drills(&self) -> PathBuf {
        self.place.join("drills")
    }

    /// Where its reports go.
    pub fn reports(&self) -> PathBuf {
        self.place.join("reports")
    }

    /// The folders with what a class is read from.
    pub fn folders_read(&self) -> [PathBuf; 4] {
        [
            self.place.clone(),
            self.drills(),
            self.attempts(),
            self.released(),
        ]
    }

    fn released(&self) -> PathBuf {
        self.place.join("released")
    }

    /// Writes the list, whole.
    ///
    /// # Errors
    /// [`ClassError::Io`].
    pub fn save(&self) -> Result<(), ClassError> {
        let file = self.place.join(LIST);
        write_file(&file, self.list.to_toml().as_bytes())
            .map_err(|why| io_error(&file, why, PUT_BACK))
    }

    /// That the same class still lies here; its list as it is now.
    ///
    /// # Errors
    /// [`ClassError`].
    pub fn look_again(&mut self) -> Result<(), ClassError> {
        let now = Self::open(&self.place)?;
        if now.list.id != self.list.id {
            return Err(ClassError::Another(self.place.display().to_string()));
        }
        self.list = now.list;
        Ok(())
    }

    /// Writes drills that were fetched into the class, at the end of its order, and the list.
    ///
    /// # Errors
    /// [`ClassError`]; the list is as it was.
    pub fn take_in(&mut self, drills: &[NewDrill]) -> Result<(), ClassError> {
        for name in &self.list.drills {
            // One that cannot be read any more is none of these.
            let there = read_file(&self.drills().join(format!("{name}.toml")), MOST_BYTES);
            if there.is_ok_and(|text| drills.iter().any(|d| d.text == text)) {
                return Err(twice(name));
            }
        }
        for drill in drills {
            let file = self.drills().join(format!("{}.toml", drill.name));
            write_file(&file, drill.text.as_bytes())
                .map_err(|why| io_error(&file, why, PUT_BACK))?;
            self.list.drills.push(drill.name.clone());
        }
        self.save()
    }

    /// One drill of the class.
    ///
    /// # Errors
    /// [`ClassError`]; a name that is not in the class is told with the one nearest to it.
    pub fn drill(&self, name: &str) -> Result<Arc<Drill>, ClassError> {
        if !self.list.drills.iter().any(|d| d == name) {
            let near = crate::units::nearest(name, self.list.drills.iter().map(String::as_str));
            let short: String = name.chars().take(60).collect();
            return Err(ClassError::NotThere(NotThere {
                what: format!("there is no drill `{short}` in this class"),
                help: near.map_or_else(|| "`twostage class list`".to_owned(), |n| format!("`{n}`")),
            }));
        }
        Ok(Arc::new(Drill::load(
            &self.drills().join(format!("{name}.toml")),
        )?))
    }

    /// The short name of a drill of the class that is called by it, by its number in the list, or by its title.
    ///
    /// # Errors
    /// [`ClassError`], as of [`Self::drill`].
    pub fn drill_called(&self, words: &str) -> Result<String, ClassError> {
        let words = words.trim();
        if self.list.drills.iter().any(|d| d == words) {
            return Ok(words.to_owned());
        }
        let by_number = words.parse::<usize>().ok().and_then(|n| n.checked_sub(1));
        if let Some(name) = by_number.and_then(|n| self.list.drills.get(n)) {
            return Ok(name.clone());
        }
        let titled =
            |(_, drill): &(String, Arc<Drill>)| drill.title.to_lowercase() == words.to_lowercase();
        match self.all_drills().0.into_iter().find(titled) {
            Some((name, _)) => Ok(name),
            None => self.drill(words).map(|_| words.to_owned()),
        }
    }

    /// All drills of the class in its order; those that cannot be read are told.
    pub fn all_drills(&self) -> (Vec<(String, Arc<Drill>)>, Vec<String>) {
        let (mut out, mut left_out) = (Vec::new(), Vec::new());
        for name in &self.list.drills {
            match self.drill(name) {
                Ok(drill) => out.push((name.clone(), drill)),
                Err(e) => left_out.push(format!(
                    "the drill `{name}`: {}",
                    first_line(&e.to_string())
                )),
            }
        }
        (out, left_out)
    }

    /// Begins an attempt of a person at a drill, or goes on with the one of theirs that was not ended: what was acknowledged
    /// of it is copied into a file of this process. The file of another process is never written to.
    ///
    /// # Errors
    /// [`ClassError`].
    pub fn begin(&mut self, trainee: &Trainee, drill_name: &str) -> Result<Begun, ClassError> {
        self.look_again()?;
        let drill = self.drill(drill_name)?;
        let attempts = self.attempts();
        let failed = |why| io_error(&attempts, why, PUT_BACK);
        let names = names_in(&attempts).map_err(failed)?.0;
        let drills = [(drill_name.to_owned(), drill)].into();
        let theirs = read_tries(&attempts, &drills, &self.list, Some(&trainee.id))
            .map_err(failed)?
            .all;
        // What was released was ended, whatever became of its file since: its answer was told.
        let released = self.all_released()?;
        let open = theirs
            .iter()
            .filter(|t| t.answer.is_none() && !released.contains(&t.name.attempt))
            .max_by_key(|t| t.name.order);
        if let Some(open) = open {
            let name = AttemptName {
                process: random_word(),
                ..open.name.clone()
            };
            let log = attempts.join(name.file());
            copy_acknowledged(open, &log)?;
            return Ok(Begun {
                log,
                acts: open.found.contents.entries.len(),
                ordinal: open.ordinal,
                elsewhere: false,
                name,
            });
        }
        // One that was opened and has no act yet is the same attempt, opened in a second place.
        let mine = |n: &&AttemptName| n.trainee == trainee.id && n.drill == drill_name;
        let begun = |n: &AttemptName| theirs.iter().any(|t| t.name.attempt == n.attempt);
        let unused = names.iter().map(|(n, _)| n).filter(mine).rev();
        let unused = unused
            .into_iter()
            .find(|n| !begun(n) && !released.contains(&n.attempt));
        if let Some(open) = unused {
            let name = AttemptName {
                process: random_word(),
                date: Date::now(),
                ..open.clone()
            };
            return Ok(Begun {
                log: attempts.join(name.file()),
                acts: 0,
                ordinal: 1 + theirs.iter().map(|t| t.ordinal).max().unwrap_or(0),
                elsewhere: true,
                name,
            });
        }
        let name = AttemptName {
            trainee: trainee.id.clone(),
            drill: drill_name.to_owned(),
            order: 1 + names.iter().map(|(n, _)| n.order).max().unwrap_or(0),
            date: Date::now(),
            attempt: random_word(),
            process: random_word(),
        };
        Ok(Begun {
            log: attempts.join(name.file()),
            acts: 0,
            ordinal: 1 + theirs.iter().map(|t| t.ordinal).max().unwrap_or(0),
            elsewhere: false,
            name,
        })
    }

    /// The attempts of all, or of one person by pseudonym.
    ///
    /// # Errors
    /// [`ClassError::Io`]; what cannot be read of the rest is told among what was left out.
    pub fn tries(&self, only: Option<&str>) -> Result<Tries, ClassError> {
        let (drills, told) = self.all_drills();
        let drills = drills.into_iter().collect();
        let attempts = self.attempts();
        let failed = |why| io_error(&attempts, why, PUT_BACK);
        let mut out = read_tries(&attempts, &drills, &self.list, only).map_err(failed)?;
        let released = self.all_released()?;
        for t in &mut out.all {
            let was_released = released.contains(&t.name.attempt);
            t.released = t.answer.is_some() && was_released;
            t.lost_end = t.answer.is_none() && was_released;
            if t.lost_end && t.damaged.is_none() {
                let why = "it was ended and released, and its end is gone";
                out.left_out.push(cut_words(t, why, &self.list));
                t.damaged = Some(why.to_owned());
            }
        }
        let (known, strange): (Vec<Try>, Vec<Try>) = out
            .all
            .into_iter()
            .partition(|t| self.list.of_id(&t.name.trainee).is_some());
        out.all = known;
        let nobody = |t: &Try| {
            format!(
                "{}: `{}` is nobody on the class list",
                t.file(),
                t.name.trainee
            )
        };
        out.left_out.extend(strange.iter().map(nobody));
        out.left_out.extend(told);
        Ok(out)
    }

    /// Lets whose it is read an attempt that was ended, with its marks.
    ///
    /// # Errors
    /// [`ClassError::Io`].
    pub fn release(&self, attempt: &AttemptName) -> Result<(), ClassError> {
        let file = self.released().join(format!("{}.open", attempt.attempt));
        let text = format!("{} {}\n", attempt.trainee, attempt.drill);
        write_file(&file, text.as_bytes()).map_err(|why| io_error(&file, why, PUT_BACK))
    }

    /// The attempts that are released.
    ///
    /// # Errors
    /// [`ClassError::Io`].
    pub fn all_released(&self) -> Result<BTreeSet<String>, ClassError> {
        let place = self.released();
        let failed = |why| io_error(&place, why, PUT_BACK);
        let mut out = BTreeSet::new();
        for entry in fs::read_dir(&place).map_err(failed)? {
            let path = entry.map_err(failed)?.path();
            if path.extension().is_some_and(|e| e == "open")
                && let Some(stem) = path.file_stem()
            {
                out.insert(stem.to_string_lossy().into_owned());
            }
        }
        Ok(out)
    }

    /// Changes when a file of the class does: names and lengths of all attempts, what is released, the list.
    pub fn state(&self) -> u64 {
        let mut all: Vec<(PathBuf, u64)> = [self.attempts(), self.released(), self.place.clone()]
            .iter()
            .filter_map(|folder| fs::read_dir(folder).ok())
            .flatten()
            .filter_map(Result::ok)
            .map(|e| (e.path(), e.metadata().map_or(0, |m| m.len())))
            .collect();
        all.sort();
        crate::form::fnv1a(format!("{all:?}").as_bytes())
    }
}

/// Copies what was acknowledged of an attempt into a new file, whole.
fn copy_acknowledged(open: &Try, log: &Path) -> Result<(), ClassError> {
    let mut bytes = read_bytes(&open.found.path, MOST_LOG_BYTES)?;
    bytes.truncate(open.found.contents.good_bytes as usize);
    if open.found.contents.lacks_end {
        bytes.push(b'\n');
    }
    write_file(log, &bytes).map_err(|why| io_error(log, why, PUT_BACK))
}
