//! All attempts of a class as they stand in its folder: the files of one attempt together, retries counted, what was worked
//! on in two places told. Not here: marks, skills, words.

use super::list::ClassList;
use super::name::AttemptName;
use crate::drill::attempt::folder::{ENDING, Found, answer_of, check_acts, file_name, first_line};
use crate::drill::attempt::log::{self, Contents, Entry, Header, LogError};
use crate::drill::{Drill, Finding};
use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Files of a class at most.
const MOST_FILES: usize = 100_000;

/// One attempt.
#[derive(Debug, Clone)]
pub struct Try {
    /// What the name of its file tells.
    pub name: AttemptName,
    /// The file that counts: the one that was ended, else the one with most acts.
    pub found: Found,
    /// Other files with acts of their own: it was worked on in two places at once.
    pub branches: Vec<Found>,
    /// Which attempt of this person at this drill it is, from 1; a later one is a retry.
    pub ordinal: usize,
    /// Whether the instructor has released it.
    pub released: bool,
    /// Whether it was ended and released once and its file ends before that now.
    pub lost_end: bool,
    /// The answer, if one was given.
    pub answer: Option<Finding>,
    /// What is wrong with one of its files, where something is: what stands before the damage counts.
    pub damaged: Option<String>,
}

impl Try {
    /// Whether the same person had tried the same drill before.
    pub fn is_retry(&self) -> bool {
        self.ordinal > 1
    }

    /// Name of the file that counts.
    pub fn file(&self) -> String {
        file_name(&self.found.path)
    }

    /// Whether somebody may be at work on it.
    pub fn is_open(&self) -> bool {
        self.answer.is_none() && !self.lost_end
    }

    /// Acts in all files, each once.
    pub fn acts(&self) -> usize {
        self.places().map(<[Entry]>::len).sum()
    }

    /// The acts by place: all of the file that counts, of others those after the place where they part from it.
    pub fn places(&self) -> impl Iterator<Item = &[Entry]> {
        let main = &self.found.contents.entries;
        let own = move |f: &'_ Found| {
            f.contents
                .entries
                .iter()
                .zip(main)
                .take_while(|(a, b)| a == b)
                .count()
        };
        let others = self
            .branches
            .iter()
            .map(move |f| &f.contents.entries[own(f)..]);
        std::iter::once(main.as_slice()).chain(others)
    }
}

/// The attempts of a class.
#[derive(Debug, Clone, Default)]
pub struct Tries {
    /// In the order in which they were begun.
    pub all: Vec<Try>,
    /// Files that could not be used, and why.
    pub left_out: Vec<String>,
    /// Whether some date speaks against the order of beginning: the clock of a computer is wrong.
    pub clock_is_wrong: bool,
}

impl Tries {
    /// Whether the same person has another attempt at the same drill open beside this one: at two computers at once.
    pub fn is_open_twice(&self, t: &Try) -> bool {
        let same = |o: &&Try| (&o.name.trainee, &o.name.drill) == (&t.name.trainee, &t.name.drill);
        t.is_open() && self.all.iter().filter(same).filter(|o| o.is_open()).count() > 1
    }
}

/// Names and places.
type Named = Vec<(AttemptName, PathBuf)>;

/// The attempts' files of a folder by their names, and those whose name tells nothing.
///
/// # Errors
/// What the system says.
pub fn names_in(attempts: &Path) -> io::Result<(Named, Vec<PathBuf>)> {
    let (mut out, mut strange) = (Vec::new(), Vec::new());
    for entry in fs::read_dir(attempts)? {
        let path = entry?.path();
        if path.extension().is_none_or(|e| e != ENDING) {
            continue;
        }
        match AttemptName::of(&path) {
            Some(name) => out.push((name, path)),
            None => strange.push(path),
        }
    }
    out.sort_by(|a, b| a.1.cmp(&b.1));
    strange.sort();
    Ok((out, strange))
}

/// Reads the attempts of a folder at these drills, of all people on the list or of one. An attempt without an act is
/// none: a drill that was opened and left was not tried.
///
/// # Errors
/// That the folder cannot be read. A file that cannot is told.
pub fn read_tries(
    attempts: &Path,
    drills: &BTreeMap<String, Arc<Drill>>,
    list: &ClassList,
    only: Option<&str>,
) -> io::Result<Tries> {
    let (names, strange) = names_in(attempts)?;
    let mut out = Tries::default();
    if only.is_none() {
        let renamed = |p: &PathBuf| {
            format!(
                "{}: the file was renamed, so it cannot be told whose it is",
                file_name(p)
            )
        };
        out.left_out.extend(strange.iter().map(renamed));
    }
    let mut found = Vec::new();
    for (name, path) in names.into_iter().take(MOST_FILES) {
        if only.is_some_and(|id| id != name.trainee) {
            continue;
        }
        match drills.get(&name.drill) {
            Some(drill) => match read_one(&name, path, drill) {
                Ok(Some(one)) => {
                    let told = |why: &String| damage_words(&name, &one, why, list);
                    out.left_out.extend(one.damaged.as_ref().map(told));
                    found.push((name, one));
                }
                Ok(None) => {}
                Err(why) => out
                    .left_out
                    .push(format!("{}: {why}", whose(list, &name.trainee))),
            },
            // Asked for one drill only, the others are no news.
            None if only.is_some() => {}
            None => out.left_out.push(format!(
                "{}: its drill is not in the class",
                file_name(&path)
            )),
        }
    }
    out.all = together(found);
    out.clock_is_wrong = clock_is_wrong(&out.all);
    Ok(out)
}

/// Whose an attempt is, as people are called.
fn whose(list: &ClassList, id: &str) -> String {
    list.of_id(id)
        .map_or_else(|| id.to_owned(), |t| t.name.clone())
}

/// That an attempt lost its end.
pub(super) fn cut_words(t: &Try, why: &str, list: &ClassList) -> String {
    let (who, title) = (whose(list, &t.name.trainee), &t.found.drill.title);
    format!("{who}: {title}: {why}; what stands before counts")
}

/// That a file is damaged: whose, at which drill, where, and how much of it counts.
fn damage_words(name: &AttemptName, one: &OneFile, why: &str, list: &ClassList) -> String {
    let kept = match one.found.contents.entries.len() {
        0 => "nothing of it can be read".to_owned(),
        1 => "the act before it counts".to_owned(),
        n => format!("the {n} acts before it count"),
    };
    format!(
        "{}: {}: {why}; {kept}",
        whose(list, &name.trainee),
        one.found.drill.title
    )
}

/// One file of an attempt, and what is wrong with it.
struct OneFile {
    found: Found,
    damaged: Option<String>,
}

/// What an attempt's file holds as far as it is sound; nothing where nothing was done.
fn read_one(
    name: &AttemptName,
    path: PathBuf,
    drill: &Arc<Drill>,
) -> Result<Option<OneFile>, String> {
    let told = |why: &str| format!("{}: {why}", file_name(&path));
    let damage = |e: &LogError| match e {
        LogError::Bad { line, .. } => format!("line {line}: {}", first_line(&e.to_string())),
        _ => first_line(&e.to_string()),
    };
    let (contents, damaged) = match log::read_sound_part(&path) {
        Ok(Some((contents, None))) if contents.entries.is_empty() => return Ok(None),
        Ok(Some((contents, e))) => (contents, e.as_ref().map(damage)),
        Ok(None) => return Ok(None),
        // Whose it is and of which drill, its name tells; so it was tried.
        Err(e @ LogError::Bad { .. }) => (nothing_of(name, drill), Some(damage(&e))),
        Err(e) => return Err(told(&first_line(&e.to_string()))),
    };
    if contents.header.who != name.trainee {
        return Err(told(
            "the file was renamed: it holds an attempt of somebody else",
        ));
    }
    let begun = contents.header.file.as_ref();
    let begun = begun.and_then(|file| AttemptName::of(Path::new(file)));
    if begun.is_some_and(|b| (b.order, &b.attempt) != (name.order, &name.attempt)) {
        return Err(told(
            "the file was copied or renamed: it holds another attempt, and counts under the name that was given to that",
        ));
    }
    if contents.header.drill != format!("{:016x}", drill.sum) {
        return Err(told("its drill was changed since"));
    }
    check_acts(drill, &contents).map_err(|why| told(&why.to_string()))?;
    let found = Found {
        path,
        drill: drill.clone(),
        contents,
    };
    Ok(Some(OneFile { found, damaged }))
}

/// An attempt of which no line can be read.
fn nothing_of(name: &AttemptName, drill: &Drill) -> Contents {
    Contents {
        header: Header::new(drill.sum, &drill.title, &name.trainee),
        entries: Vec::new(),
        good_bytes: 0,
        lacks_end: false,
        cut_bytes: 0,
    }
}

/// The files of each attempt together, in the order of beginning.
fn together(found: Vec<(AttemptName, OneFile)>) -> Vec<Try> {
    let mut groups: BTreeMap<(u64, String, String), Vec<(AttemptName, OneFile)>> = BTreeMap::new();
    for (name, one) in found {
        let key = (name.order, name.attempt.clone(), name.trainee.clone());
        groups.entry(key).or_default().push((name, one));
    }
    let mut tried: BTreeMap<(String, String), usize> = BTreeMap::new();
    let mut out = Vec::new();
    for group in groups.into_values() {
        let Some(mut one) = one_try(group) else {
            continue;
        };
        let so_far = tried
            .entry((one.name.trainee.clone(), one.name.drill.clone()))
            .or_default();
        *so_far += 1;
        one.ordinal = *so_far;
        out.push(one);
    }
    out
}

/// One attempt of its files. What is only the beginning of another was gone on with there.
fn one_try(files: Vec<(AttemptName, OneFile)>) -> Option<Try> {
    // A damaged file may have been gone on with in another, which is sound.
    let damaged = files.iter().find_map(|(_, f)| f.damaged.clone());
    let mut group: Vec<(AttemptName, Found)> =
        files.into_iter().map(|(n, f)| (n, f.found)).collect();
    let acts = |f: &Found| f.contents.entries.len();
    let answer = |f: &Found| answer_of(&f.drill, &f.contents);
    group.sort_by(|a, b| {
        let ended = |f: &Found| answer(f).is_some();
        (ended(&b.1), acts(&b.1))
            .cmp(&(ended(&a.1), acts(&a.1)))
            .then_with(|| a.0.process.cmp(&b.0.process))
    });
    let mut kept: Vec<(AttemptName, Found)> = Vec::new();
    // The longest first, so that each is held against all that may go on with it.
    let mut by_length: Vec<usize> = (0..group.len()).collect();
    by_length.sort_by_key(|i| (std::cmp::Reverse(acts(&group[*i].1)), *i));
    let mut whole = vec![true; group.len()];
    for (n, i) in by_length.iter().enumerate() {
        let mine = &group[*i].1.contents.entries;
        let goes_on = |j: &usize| whole[*j] && group[*j].1.contents.entries.starts_with(mine);
        whole[*i] = !by_length[..n].iter().any(goes_on);
    }
    for (one, whole) in group.into_iter().zip(whole) {
        if whole {
            kept.push(one);
        }
    }
    let mut kept = kept.into_iter();
    let (name, found) = kept.next()?;
    Some(Try {
        answer: answer_of(&found.drill, &found.contents),
        branches: kept.map(|(_, f)| f).collect(),
        ordinal: 1,
        released: false,
        lost_end: false,
        damaged,
        name,
        found,
    })
}

/// Whether dates run against the order of beginning.
fn clock_is_wrong(all: &[Try]) -> bool {
    let mut latest = 0;
    all.iter().any(|t| {
        let back = t.name.date.seconds + TOLERATED_S < latest;
        latest = latest.max(t.name.date.seconds);
        back
    })
}

/// Clocks of a class may be this far apart without a word \[s\].
const TOLERATED_S: u64 = 600;
