//! Where libraries come from: the one that is built in for the standard rig, the user's cache, or
//! growth here and now; and a diagnosis that runs on a thread of its own and gets better as its
//! library grows.

use super::answer::{Answer, answer};
use super::closer::doubt::{self, Again};
use super::files::readings::Readings;
use super::inference::brought::brought;
use super::inference::isolate::{self, Groups};
use super::inference::model::Model;
use super::inference::tuning::Tuning;
use super::library::bytes::Refused;
use super::library::collection::{FULL, Growth, Library};
use super::library::standard::standard_rig;
use super::weighed::Weighed;
use crate::form::read_bytes;
use crate::form::store::{user_cache, write_file};
use crate::scenario::Scenario;
use std::path::PathBuf;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

/// Time after which a first answer must stand \[s\].
const FIRST_S: f64 = 2.2;
/// Rounds after which what was learned is kept.
const KEPT_EVERY: usize = 4;
/// Samples a cause that groups are computed from.
const GROUP_SAMPLES: usize = 48;

/// A library with what is made from it.
#[derive(Debug, Clone)]
pub struct Prepared {
    /// The library.
    pub library: Library,
    /// The likelihood.
    pub model: Model,
    /// Groups of causes that cannot be told apart.
    pub groups: Groups,
}

impl Prepared {
    /// Makes likelihood and groups; groups that the library does not know yet are every cause for
    /// itself.
    pub fn from_library(library: Library) -> Option<Self> {
        let model = Model::new(&library, Tuning::of_rounds(library.rounds))?;
        let groups = Groups::from_ids(&model, &library.groups);
        Some(Self {
            library,
            model,
            groups,
        })
    }

    /// Computes the groups from the library (some seconds).
    pub fn find_groups(&mut self) {
        let m = isolate::matrix(&self.library, &self.model, GROUP_SAMPLES);
        self.groups = isolate::group(&self.model, &m);
        self.library.groups = self.groups.ids(&self.model);
    }

    /// Answers from what is there, single causes only.
    pub fn answer(&self, readings: &Readings) -> Answer {
        let brought = &self.brought(readings);
        let mut weighed = Weighed::of(&self.model, brought);
        weighed.share(&self.model);
        self.answer_weighed(brought, &weighed)
            .beside(readings, &self.library.base.rig)
    }

    /// Readings with everything brought to the items that the library has.
    fn brought(&self, readings: &Readings) -> Readings {
        brought(readings, &self.library.base, &self.model)
    }

    fn answer_weighed(&self, readings: &Readings, weighed: &Weighed) -> Answer {
        let rounds = self.library.rounds;
        answer(&self.model, &self.groups, readings, weighed, rounds)
    }

    /// Answers, and where the readings are not plainly one cause's looks closer: simulates the likeliest causes anew, and
    /// where none comes near, the likeliest pairs of faults as well (some seconds). A cancelled look keeps what it has seen.
    pub fn answer_with_pairs(&self, readings: &Readings, cancel: &AtomicBool) -> Answer {
        self.answer_closely(readings, cancel, &|_| {})
    }

    /// The same; `heard` is told after each visit how many have been made for it.
    pub fn answer_closely(
        &self,
        readings: &Readings,
        cancel: &AtomicBool,
        heard: &(dyn Fn(usize) + Sync),
    ) -> Answer {
        let brought = &self.brought(readings);
        let (weighed, again) = self.looked(brought, cancel, heard);
        let rig = &self.library.base.rig;
        let mut answer = self.answer_weighed(brought, &weighed).beside(readings, rig);
        if let Some(again) = again {
            answer.left_over = Some(again.left_over);
        }
        answer
    }

    /// Whether the readings would be looked at closer, which takes longer than the first answer.
    pub fn looks_closer(&self, readings: &Readings) -> bool {
        let brought = &self.brought(readings);
        doubt::wanted(&self.model, &Weighed::of(&self.model, brought))
    }

    /// What readings are worth, looked at closer where they are not plainly one cause's.
    pub(super) fn looked(
        &self,
        readings: &Readings,
        cancel: &AtomicBool,
        heard: &(dyn Fn(usize) + Sync),
    ) -> (Weighed, Option<Again>) {
        let mut weighed = Weighed::of(&self.model, readings);
        let Self { library, model, .. } = self;
        let again = doubt::wanted(model, &weighed)
            .then(|| doubt::look_again(library, model, &mut weighed, cancel, heard))
            .flatten();
        if let Some(again) = &again {
            weighed.pairs.clone_from(&again.pairs);
        }
        weighed.share(model);
        (weighed, again)
    }
}

/// What readings say of the rig they bring, or of the standard one: the library of a rig that is not known yet is grown
/// first, which takes minutes, and kept in the user's cache.
///
/// # Errors
/// In words: that no visit to the rig can be simulated.
pub fn diagnose(readings: &Readings) -> Result<Answer, String> {
    let scenario = readings.rig.clone().unwrap_or_else(standard_rig);
    let cancel = AtomicBool::new(false);
    let library = stored(&scenario, &|_| {});
    let prepared = refine(library, &cancel, &|_| {}, &mut |_| {});
    let prepared = prepared.ok_or("no visit to this rig can be simulated")?;
    Ok(prepared.answer_with_pairs(readings, &cancel))
}

fn cache_file(digest: u64) -> Option<PathBuf> {
    Some(user_cache()?.join(format!("diagnosis-{digest:016x}.lib")))
}

/// The library that is built in, if it belongs to this rig and this program's model.
pub fn built_in(scenario: &Scenario) -> Option<Library> {
    let mut library = Library::new(scenario);
    library.take_bytes(BUILT_IN).ok().map(|()| library)
}

/// Longest library that is read \[bytes\].
const MOST_BYTES: u64 = 64_000_000;

/// A library for a rig as far as it is stored anywhere; else empty. A stored one that is damaged is set aside and
/// told to `heard`.
pub fn stored(scenario: &Scenario, heard: &dyn Fn(String)) -> Library {
    if let Some(library) = built_in(scenario) {
        return library;
    }
    let mut library = Library::new(scenario);
    let Some(path) = cache_file(library.digest).filter(|path| path.exists()) else {
        return library;
    };
    let taken = read_bytes(&path, MOST_BYTES)
        .map_err(|_| Refused::Damaged)
        .and_then(|bytes| library.take_bytes(&bytes));
    if taken == Err(Refused::Damaged) {
        let aside = path.with_extension("damaged");
        // What cannot be set aside is written over in the end.
        let _ = std::fs::rename(&path, &aside);
        heard(format!(
            "what was learned of this rig was damaged; it is set aside as `{}` and learned anew",
            aside.display()
        ));
    }
    library
}

/// Keeps a library in the user's cache; that it cannot be kept only costs time later.
pub fn keep(library: &Library) {
    let Some(path) = cache_file(library.digest) else {
        return;
    };
    let Some(folder) = path.parent() else { return };
    // Where it cannot be kept it is learned anew.
    let _ = std::fs::create_dir_all(folder).and_then(|()| write_file(&path, &library.to_bytes()));
}

/// Grows a library until it is full or stopped. `each` hears every answerable state on the way,
/// the first within `FIRST_S` seconds on two cores.
pub fn refine(
    mut library: Library,
    cancel: &AtomicBool,
    progress: &(dyn Fn(Growth) + Sync),
    each: &mut dyn FnMut(&Prepared),
) -> Option<Prepared> {
    if !library.groups.is_empty() {
        let full = Prepared::from_library(library)?;
        each(&full);
        return Some(full);
    }
    let mut last = Prepared::from_library(library.clone());
    if let Some(p) = &last {
        each(p);
    }
    let mut deadline = (last.is_none()).then(|| Instant::now() + Duration::from_secs_f64(FIRST_S));
    let mut grown = false;
    let mut answered = library.rounds;
    while library.rounds < FULL && !cancel.load(Ordering::Relaxed) {
        let before = library.rounds;
        let first = deadline.is_some();
        let to = if first {
            FULL
        } else {
            (before + KEPT_EVERY).min(FULL)
        };
        library.grow(to, deadline.take(), cancel, progress);
        if library.rounds == before && library.samples.is_empty() {
            break;
        }
        grown = true;
        // A program that is killed loses no more than the rounds since.
        keep(&library);
        let enough = library.rounds >= (2 * answered).clamp(KEPT_EVERY, FULL);
        if first || enough || cancel.load(Ordering::Relaxed) {
            answered = library.rounds;
            last = Prepared::from_library(library.clone());
            if let Some(p) = &last {
                each(p);
            }
        }
    }
    if let Some(p) = &mut last {
        if !cancel.load(Ordering::Relaxed) {
            p.find_groups();
            each(p);
            grown = true;
        }
        if grown {
            keep(&p.library);
        }
    }
    last
}

/// What a running diagnosis shows.
#[derive(Debug, Clone, Default)]
pub struct State {
    /// The best answer so far.
    pub answer: Option<Answer>,
    /// How far the growth of the library has come.
    pub growth: Option<Growth>,
    /// Visits made for a closer look at the likeliest causes, once there is one.
    pub looked: Option<usize>,
    /// Whether it has ended.
    pub done: bool,
    /// What went wrong with what was stored, where anything did.
    pub note: Option<String>,
}

/// A diagnosis on a thread of its own.
#[derive(Debug)]
pub struct Diagnosis {
    state: Arc<Mutex<State>>,
    cancel: Arc<AtomicBool>,
}

impl Diagnosis {
    /// Starts on readings; the rig is theirs, or the standard one. `changed` is called from the
    /// thread whenever there is something new to show.
    pub fn start(readings: Readings, changed: impl Fn() + Send + Sync + 'static) -> Self {
        let state = Arc::new(Mutex::new(State::default()));
        let cancel = Arc::new(AtomicBool::new(false));
        let (s, c) = (state.clone(), cancel.clone());
        std::thread::spawn(move || {
            let scenario = readings.rig.clone().unwrap_or_else(standard_rig);
            let set = |f: &dyn Fn(&mut State)| {
                if let Ok(mut state) = s.lock() {
                    f(&mut state);
                }
                changed();
            };
            let last = refine(
                stored(&scenario, &|note| set(&|s| s.note = Some(note.clone()))),
                &c,
                &|growth| set(&|s| s.growth = Some(growth)),
                &mut |prepared| {
                    let answer = prepared.answer(&readings);
                    set(&|s| s.answer = Some(answer.clone()));
                },
            );
            if let Some(prepared) = last {
                let heard = |visits| set(&|s| s.looked = Some(visits));
                let answer = prepared.answer_closely(&readings, &c, &heard);
                set(&|s| s.answer = Some(answer.clone()));
            }
            set(&|s| s.done = true);
        });
        Self { state, cancel }
    }

    /// What there is to show now.
    pub fn state(&self) -> State {
        self.state.lock().map(|s| s.clone()).unwrap_or_default()
    }

    /// Stops it after the visits that run now.
    pub fn cancel(&self) {
        self.cancel.store(true, Ordering::Relaxed);
    }
}

impl Drop for Diagnosis {
    fn drop(&mut self) {
        self.cancel();
    }
}

/// Stands for the model of this program: the sum at the end of the library that it was built with, which is made anew where
/// physics, faults, unknowns or items change.
pub fn model_sum() -> u64 {
    BUILT_IN
        .last_chunk()
        .map_or(0, |sum| u64::from_le_bytes(*sum))
}

/// The library that is built in; one that belongs to an older model is refused.
const BUILT_IN: &[u8] = include_bytes!("standard.lib");
