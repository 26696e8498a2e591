//! Folders with logs of attempts: where they usually lie, what is in them, and which drill each log
//! belongs to. Not here: what a log holds (`log`), what is made of it (`grade`, the report room).

use super::act::{Act, Finding};
use super::log::{self, Contents};
use super::perform::least_s;
use super::person::rig_of;
use crate::drill::making::file::Drill;
use crate::drill::making::shipped;
use crate::form::store::os_words;
use std::collections::HashMap;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Ending of a log's name.
pub const ENDING: &str = "attempt";
/// Files of one folder at most.
const MOST_FILES: usize = 20_000;

/// Name of the log of a person's attempt at a drill, whose own short name is `drill`.
pub fn log_name(drill: &str, who: &str) -> String {
    let who: String = who
        .chars()
        .map(|c| if c.is_alphanumeric() { c } else { '_' })
        .collect();
    format!("{drill}.{who}.{ENDING}")
}

/// One attempt whose drill is known.
#[derive(Debug, Clone)]
pub struct Found {
    /// Its log.
    pub path: PathBuf,
    /// Its drill.
    pub drill: Arc<Drill>,
    /// What the log holds.
    pub contents: Contents,
}

impl Found {
    /// The answer, if one was given.
    pub fn answer(&self) -> Option<Finding> {
        answer_of(&self.drill, &self.contents)
    }
}

/// An act of a log that nobody can have done in its drill.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("act {n} {why}")]
pub struct Impossible {
    /// Its number.
    n: usize,
    why: String,
}

impl Impossible {
    /// Its line in the log, from 1: the first is the header.
    pub fn line(&self) -> usize {
        self.n + 1
    }
}

/// That every act of a log can be done on the rig of its drill, in the time it took, and was answered by that rig.
///
/// # Errors
/// Which cannot, and why.
pub fn check_acts(drill: &Drill, log: &Contents) -> Result<(), Impossible> {
    let rig = rig_of(drill).rig;
    log.entries.iter().try_for_each(|e| {
        let impossible = |why: String| Impossible { n: e.n, why };
        let act = Act::parse(&e.act, &rig)
            .map_err(|why| impossible(format!("cannot be done on this rig: {}", why.message)))?;
        let (took_s, least_s) = (e.end_s - e.at_s, least_s(&act, &drill.bag));
        if took_s < least_s - log::TOUCHES_S {
            let why = format!("took {took_s:.0} s, and takes {least_s:.0} s at the least");
            return Err(impossible(why));
        }
        if !e.told.is_of(&rig) {
            return Err(impossible("tells what this rig cannot show".to_owned()));
        }
        Ok(())
    })
}

/// The answer of a log, if one was given.
pub fn answer_of(drill: &Drill, log: &Contents) -> Option<Finding> {
    let rig = rig_of(drill).rig;
    log.entries
        .iter()
        .rev()
        .find_map(|e| match Act::parse(&e.act, &rig) {
            Ok(Act::Answer(answer)) => Some(answer),
            _ => None,
        })
}

/// What a folder holds.
#[derive(Debug, Clone, Default)]
pub struct Gathered {
    /// Attempts, by the names of their files.
    pub found: Vec<Found>,
    /// Logs that could not be used, with the reason.
    pub left_out: Vec<String>,
}

/// A folder that cannot be read.
#[derive(Debug, thiserror::Error)]
#[error(
    "error: the folder `{folder}` cannot be read: {}\n  try: a folder with logs of attempts",
    os_words(.why)
)]
pub struct FolderError {
    /// Which.
    pub folder: String,
    /// What the system says.
    pub why: io::Error,
}

fn files(folder: &Path, ending: &str) -> Result<Vec<PathBuf>, FolderError> {
    let refuse = |why: io::Error| FolderError {
        folder: folder.display().to_string(),
        why: match why.kind() {
            io::ErrorKind::NotFound => io::Error::other("there is no such folder"),
            io::ErrorKind::NotADirectory => io::Error::other("it is no folder"),
            _ => why,
        },
    };
    let mut out = Vec::new();
    for entry in fs::read_dir(folder).map_err(refuse)? {
        let path = entry.map_err(refuse)?.path();
        if path.extension().is_some_and(|e| e == ending) {
            out.push(path);
        }
    }
    out.sort();
    Ok(out)
}

/// Name of a file without its folder, as it is told.
pub fn file_name(path: &Path) -> String {
    let name = path.file_name().unwrap_or_default();
    name.to_string_lossy().into_owned()
}

/// The first line of an error, without its beginning.
pub fn first_line(told: &str) -> String {
    let first = told.lines().next().unwrap_or("");
    first.trim_start_matches("error: ").to_owned()
}

/// Whether two logs are of one attempt: begun by the same person at the same drill and time, and what was done in one begins the other.
fn is_copy(one: &Contents, other: &Contents) -> bool {
    let (a, b) = (&one.entries, &other.entries);
    one.header.begun_s.is_some()
        && one.header == other.header
        && !a.is_empty()
        && !b.is_empty()
        && (a.starts_with(b) || b.starts_with(a))
}

/// Sets copies aside. The longest counts: a copy may have been taken before the end.
fn set_copies_aside(out: &mut Gathered) {
    let mut kept: Vec<Found> = Vec::new();
    let mut begun: HashMap<Option<u64>, Vec<usize>> = HashMap::new();
    for mut new in std::mem::take(&mut out.found) {
        let same = begun.entry(new.contents.header.begun_s).or_default();
        let copied = |i: &&usize| is_copy(&kept[**i].contents, &new.contents);
        let Some(&at) = same.iter().find(copied) else {
            same.push(kept.len());
            kept.push(new);
            continue;
        };
        if new.contents.entries.len() > kept[at].contents.entries.len() {
            std::mem::swap(&mut kept[at], &mut new);
        }
        let [left, counts] = [&new, &kept[at]].map(|f| file_name(&f.path));
        let told = format!("{left}: it is a copy of `{counts}`, which counts");
        out.left_out.push(told);
    }
    out.found = kept;
}

/// Reads the logs of a folder. Drills are the shipped ones, those in the folder itself, and those
/// of a second folder.
///
/// # Errors
/// [`FolderError`].
pub fn gather(folder: &Path, drills_in: Option<&Path>) -> Result<Gathered, FolderError> {
    let mut drills: HashMap<String, Arc<Drill>> = HashMap::new();
    let mut keep = |d: Drill| drills.insert(format!("{:016x}", d.sum), Arc::new(d));
    for (name, text) in shipped::DRILLS {
        if let Ok(d) = Drill::read(name, text, None) {
            keep(d);
        }
    }
    for folder in [Some(folder), drills_in].into_iter().flatten() {
        for path in files(folder, "toml")? {
            // A folder may hold other files; a log whose drill is missing is told below.
            if let Ok(d) = Drill::load(&path) {
                keep(d);
            }
        }
    }
    let mut out = Gathered::default();
    let logs = files(folder, ENDING)?;
    if logs.len() > MOST_FILES {
        let more = logs.len() - MOST_FILES;
        let told = format!("{more} logs: only the first {MOST_FILES} by name are read");
        out.left_out.push(told);
    }
    for path in logs.into_iter().take(MOST_FILES) {
        let name = file_name(&path);
        match log::read(&path) {
            Ok(Some(contents)) => match drills.get(&contents.header.drill) {
                Some(drill) => {
                    if let Err(why) = check_acts(drill, &contents) {
                        out.left_out.push(format!("{name}: {why}"));
                        continue;
                    }
                    out.left_out
                        .extend(contents.left_out().map(|l| format!("{name}: {l}")));
                    out.found.push(Found {
                        path,
                        drill: drill.clone(),
                        contents,
                    });
                }
                None => out.left_out.push(format!(
                    "{name}: its drill `{}` is not there, or was changed since",
                    contents.header.title
                )),
            },
            Ok(None) => out
                .left_out
                .push(format!("{name}: cut off before anything was done")),
            Err(e) => {
                let first = first_line(&e.to_string());
                out.left_out.push(format!("{name}: {first}"));
            }
        }
    }
    set_copies_aside(&mut out);
    Ok(out)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drill::attempt::log::{Header, Log};

    #[test]
    fn a_folder_tells_its_attempts_and_what_it_cannot_use() {
        let folder = std::env::temp_dir().join(format!("twostage-folder-{}", std::process::id()));
        fs::create_dir_all(&folder).expect("a folder");
        let (name, text) = shipped::DRILLS[0];
        let drill = Drill::read(name, text, None).expect("a shipped drill");
        let begin = |who: &str, sum: u64| {
            let (mut log, _) = Log::open(&folder.join(log_name(name, who))).expect("a log");
            log.add(&Header::new(sum, &drill.title, who))
                .expect("written");
        };
        begin("Ada L.", drill.sum);
        begin("Bo", drill.sum ^ 1);
        fs::write(folder.join("torn.attempt"), b"no log at all\n").expect("written");
        let out = gather(&folder, None).expect("a readable folder");
        assert_eq!(out.found.len(), 1);
        assert_eq!(out.found[0].contents.header.who, "Ada L.");
        assert!(out.found[0].answer().is_none());
        assert_eq!(out.left_out.len(), 2, "{:?}", out.left_out);
        fs::remove_dir_all(&folder).expect("it was there");
        assert!(gather(&folder, None).is_err(), "a folder that is not there");
    }
}
