//! One person's attempt at a drill: the acts so far, the clock, the log, and what the trainee may
//! see. The rig itself is a [`Simulation`] that the caller keeps and drives; the window runs it
//! live between acts, the command line lets it rest. Everything seen from here is the outside.

use super::act::{Act, Finding};
use super::evidence::Hands;
use super::judging;
use super::known::Known;
use super::log::{Contents, Entry, Header, Log, LogError};
use super::perform::{Outcome, Refusal, Scene, perform};
use super::read::Read;
use super::safety::{Before, notice};
use crate::drill::making::file::Drill;
use crate::drill::reasoning::causes::Cause;
use crate::rig::{Readings, Rig};
use crate::scenario::{Action, Event, Scenario};
use crate::service::TOLERANCE;
use crate::sim::{SimError, Simulation};
use crate::solver::Method;
use crate::visit::{self, Burner, Deed, Outlook, Progress, burners, quickened};
use std::path::Path;
use std::sync::Arc;
use std::time::{SystemTime, UNIX_EPOCH};

/// An attempt that cannot begin or go on.
#[derive(Debug, thiserror::Error)]
pub enum AttemptError {
    /// The log.
    #[error(transparent)]
    Log(#[from] LogError),
    /// The rig does not run.
    #[error(
        "error: the rig of this drill does not run: {0}\n  try: another drill, and tell whoever made this one"
    )]
    Rig(String),
    /// The log belongs to another drill.
    #[error(
        "error: the log is of another drill, or the drill was changed: `{title}`\n  {path}\n  try: the drill it was begun with, or another name for the log"
    )]
    OtherDrill {
        /// Title of the drill of the log.
        title: String,
        /// The log.
        path: String,
    },
    /// The log belongs to another person.
    #[error("error: the attempt was begun by `{who}`\n  {path}\n  try: another name for the log")]
    OtherPerson {
        /// Who.
        who: String,
        /// The log.
        path: String,
    },
    /// An act of the log cannot be done again.
    #[error(
        "error: act {n} of the log, `{act}`, cannot be done again: {why}\n  try: the attempt again from its start, under another name"
    )]
    Replay {
        /// Which act.
        n: usize,
        /// Its words.
        act: String,
        /// Why.
        why: String,
    },
    /// The listener stopped it.
    #[error("stopped while the acts so far were done again; the log holds them all")]
    Stopped,
}

impl From<SimError> for AttemptError {
    fn from(e: SimError) -> Self {
        Self::Rig(e.to_string())
    }
}

/// An act that was not done.
#[derive(Debug, thiserror::Error)]
pub enum NotDone {
    /// It was refused; the rig stands as before.
    #[error("{0}")]
    Refused(#[from] Refusal),
    /// It could not be written down; it does not count, and the attempt must be opened again.
    #[error(transparent)]
    Log(#[from] LogError),
    /// The attempt is over.
    #[error("the drill is over: {0}")]
    Over(&'static str),
}

/// The rig of a drill: the healthy scenario as the visits of the library have it, with the hidden
/// faults coming on as the drill says.
pub fn rig_of(drill: &Drill) -> Scenario {
    let mut out = quickened(&drill.scenario);
    out.events = drill
        .faults
        .iter()
        .map(|h| Event {
            at_s: h.at_s,
            action: Action::Inject {
                fault: h.fault,
                severity: h.severity,
                over_s: h.over_s,
            },
        })
        .collect();
    out.events.sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
    out
}

/// What can be seen from outside without doing anything.
#[derive(Debug, Clone, PartialEq)]
pub struct Outside {
    /// Clock \[s\].
    pub clock_s: f64,
    /// When the drill ends \[s\].
    pub limit_s: f64,
    /// Appliances: on, and how each looks.
    pub burners: Vec<Burner>,
    /// Opening of each container valve, 0 to 1.
    pub valves: Vec<f64>,
    /// Whether the answer was given.
    pub answered: bool,
    /// The rig as it is seen; from afar until somebody has looked closely. Nothing before the rig is up.
    pub outlook: Option<Outlook>,
    /// Whether somebody has.
    pub looked: bool,
}

/// An attempt.
#[derive(Debug)]
pub struct Attempt {
    drill: Arc<Drill>,
    header: Header,
    entries: Vec<Entry>,
    hands: Hands,
    known: Known,
    answer: Option<Finding>,
    log: Option<Log>,
    /// What of the log was left out as it was opened, where anything was.
    pub left_out: Option<String>,
}

impl Attempt {
    /// Begins an attempt without a log, for trying a drill out and for tests.
    ///
    /// # Errors
    /// [`AttemptError::Rig`].
    pub fn unlogged(
        drill: Arc<Drill>,
        who: &str,
        method: Method,
    ) -> Result<(Self, Simulation), AttemptError> {
        let sim = start(&drill, method)?;
        let header = Header::new(drill.sum, &drill.title, who);
        Ok((Self::fresh(drill, header, None), sim))
    }

    /// Begins an attempt with a log at `path`, or goes on with the one that is there: every
    /// complete act is done again on a fresh rig.
    ///
    /// # Errors
    /// [`AttemptError`].
    pub fn open(
        drill: Arc<Drill>,
        who: &str,
        path: &Path,
    ) -> Result<(Self, Simulation), AttemptError> {
        Self::open_heard(drill, who, path, &mut |_| true)
    }

    /// The same, with a listener that hears the share of the acts done again, 0 to 1, and says
    /// whether to go on.
    ///
    /// # Errors
    /// [`AttemptError`].
    pub fn open_heard(
        drill: Arc<Drill>,
        who: &str,
        path: &Path,
        listener: &mut dyn FnMut(f64) -> bool,
    ) -> Result<(Self, Simulation), AttemptError> {
        let mut sim = start(&drill, Method::Stiff)?;
        let (mut log, found) = Log::open(path)?;
        let mut header = Header::new(drill.sum, &drill.title, who);
        let Some(found) = found else {
            let since = SystemTime::now().duration_since(UNIX_EPOCH);
            header.begun_s = since.ok().map(|d| d.as_secs());
            header.file = path.file_name().map(|f| f.to_string_lossy().into_owned());
            log.add(&header)?;
            return Ok((Self::fresh(drill, header, Some(log)), sim));
        };
        let name = || path.display().to_string();
        if found.header.drill != header.drill {
            return Err(AttemptError::OtherDrill {
                title: found.header.title,
                path: name(),
            });
        }
        if found.header.who != who {
            return Err(AttemptError::OtherPerson {
                who: found.header.who,
                path: name(),
            });
        }
        let mut attempt = Self::fresh(drill, found.header.clone(), None);
        attempt.left_out = found.left_out();
        attempt.redo(&mut sim, &found.entries, listener)?;
        attempt.log = Some(log);
        Ok((attempt, sim))
    }

    /// Does the acts of a log again on a fresh rig, with either engine.
    ///
    /// # Errors
    /// [`AttemptError`].
    pub fn replay(
        drill: Arc<Drill>,
        log: &Contents,
        method: Method,
    ) -> Result<(Self, Simulation), AttemptError> {
        let mut sim = start(&drill, method)?;
        let mut attempt = Self::fresh(drill, log.header.clone(), None);
        attempt.redo(&mut sim, &log.entries, &mut |_| true)?;
        Ok((attempt, sim))
    }

    /// Does acts of a log again on a run of [`rig_of`] the drill that stands at its start, for
    /// someone who wants to see inside afterwards. `listener` as in [`Attempt::open_heard`].
    ///
    /// # Errors
    /// [`AttemptError`].
    pub fn go_through(
        drill: &Arc<Drill>,
        entries: &[Entry],
        sim: &mut Simulation,
        listener: &mut dyn FnMut(f64) -> bool,
    ) -> Result<(), AttemptError> {
        let header = Header::new(drill.sum, &drill.title, "");
        Self::fresh(drill.clone(), header, None).redo(sim, entries, listener)
    }

    fn fresh(drill: Arc<Drill>, header: Header, log: Option<Log>) -> Self {
        Self {
            known: Known::of(&drill),
            drill,
            header,
            entries: Vec::new(),
            hands: Hands::default(),
            answer: None,
            log,
            left_out: None,
        }
    }

    /// The acts again; what was told then stays as it was told.
    fn redo(
        &mut self,
        sim: &mut Simulation,
        entries: &[Entry],
        listener: &mut dyn FnMut(f64) -> bool,
    ) -> Result<(), AttemptError> {
        for (done, e) in entries.iter().enumerate() {
            if !listener(done as f64 / entries.len() as f64) {
                return Err(AttemptError::Stopped);
            }
            let again = |why: String| AttemptError::Replay {
                n: e.n,
                act: e.act.clone(),
                why,
            };
            if e.at_s > sim.time_s() {
                sim.advance(e.at_s, None, &mut |_| {})?;
            }
            let act = Act::parse(&e.act, sim.rig()).map_err(|err| again(err.to_string()))?;
            self.step(sim, &act, &mut |_| true)
                .map_err(|err| again(err.to_string()))?;
            if let Some(last) = self.entries.last_mut() {
                *last = e.clone();
            }
        }
        Ok(())
    }

    /// Does an act on the rig, writes it down, and gives what was noted. The act is on the disk
    /// when this returns.
    ///
    /// `listener` hears how far a long act is; when it returns false the rig goes back to where it
    /// was and nothing is noted.
    ///
    /// # Errors
    /// [`NotDone`].
    pub fn act(
        &mut self,
        sim: &mut Simulation,
        act: &Act,
        listener: &mut dyn FnMut(&Progress) -> bool,
    ) -> Result<&Entry, NotDone> {
        if self.answer.is_some() {
            return Err(NotDone::Over("the answer was given"));
        }
        if self.time_is_up(sim) && !matches!(act, Act::Answer(_) | Act::Note(..) | Act::Judge(_)) {
            return Err(NotDone::Over("the time is up; only the answer is left"));
        }
        if opens_what_is_open(sim, act) {
            return Err(
                Refusal::Forbidden("the container valve is open already".to_owned()).into(),
            );
        }
        self.fits(sim, act)?;
        self.step(sim, act, listener)
    }

    /// That a part can be in before the drill ends: nothing after it could be tested, and nobody would know whether it helped.
    fn fits(&self, sim: &Simulation, act: &Act) -> Result<(), NotDone> {
        let part = matches!(
            act,
            Act::Do(visit::Act::Do(Deed::SwapHose | Deed::SwapRegulator))
        );
        let Some(tool) = act.tool().filter(|t| part && self.drill.bag.has(*t)) else {
            return Ok(());
        };
        let (takes_s, left_s) = (
            60.0 * self.drill.bag.minutes(tool),
            self.drill.limit_s - sim.time_s(),
        );
        if takes_s < left_s {
            return Ok(());
        }
        let why = format!(
            "the new part takes {:.0} min and {:.0} are left, so nothing after it could be tested; name it in the answer, and leave the rig shut off",
            takes_s / 60.0,
            (left_s / 60.0).floor()
        );
        Err(Refusal::Forbidden(why).into())
    }

    fn step(
        &mut self,
        sim: &mut Simulation,
        act: &Act,
        listener: &mut dyn FnMut(&Progress) -> bool,
    ) -> Result<&Entry, NotDone> {
        if matches!(act, Act::Judge(_)) {
            judging::waiting(&self.entries, sim.rig()).map_err(Refusal::NoTest)?;
        }
        if self.drill.asks_why && matches!(act, Act::Do(visit::Act::Test(_))) && !self.said_why(sim)
        {
            return Err(Refusal::NoReason.into());
        }
        let (moment, hands) = (sim.moment().clone(), self.hands);
        let before = Before::look(sim, act, self.known);
        let read = Read::of(&self.entries, sim.rig());
        let mut scene = Scene {
            sim,
            bag: &self.drill.bag,
            hands: &mut self.hands,
            lights: !read.forbids_a_flame(),
            listener,
        };
        let outcome = match perform(&mut scene, act) {
            Ok(outcome) => outcome,
            Err(refusal) => {
                sim.go_back_to(&moment);
                self.hands = hands;
                return Err(refusal.into());
            }
        };
        let entry = self.note(sim, act, (&before, &read), outcome);
        if let Some(log) = &mut self.log
            && let Err(e) = log.add(&entry)
        {
            // What is half written must not be written after.
            self.answer = None;
            self.log = None;
            return Err(e.into());
        }
        if let Act::Answer(answer) = act {
            self.answer = Some(answer.clone());
        }
        self.entries.push(entry);
        Ok(&self.entries[self.entries.len() - 1])
    }

    fn note(
        &mut self,
        sim: &Simulation,
        act: &Act,
        (before, read): (&Before, &Read),
        outcome: Outcome,
    ) -> Entry {
        let at_s = before.at_s();
        let told = (act, &outcome.told);
        let noticed = notice(told, before, sim, &mut self.known, (&*self.drill, read));
        let read = [&outcome.found[..], &outcome.after[..]].concat();
        self.known.learn(act, &outcome.told, (&read, sim.time_s()));
        // Before a fault has fully come on, readings speak of a rig that is not yet what it will be.
        let counts = at_s >= self.drill.onset_s();
        Entry {
            n: self.entries.len() + 1,
            at_s,
            end_s: sim.time_s(),
            act: act.words(sim.rig()),
            told: outcome.told,
            found: if counts { outcome.found } else { Vec::new() },
            after: if counts { outcome.after } else { Vec::new() },
            noticed,
        }
    }

    /// The drill.
    pub fn drill(&self) -> &Arc<Drill> {
        &self.drill
    }

    /// Who works on it.
    pub fn who(&self) -> &str {
        &self.header.who
    }

    /// Every act so far.
    pub fn entries(&self) -> &[Entry] {
        &self.entries
    }

    /// The answer, once it was given.
    pub fn answer(&self) -> Option<&Finding> {
        self.answer.as_ref()
    }

    /// The latest hypothesis that was noted, with how sure.
    pub fn suspicion(&self, sim: &Simulation) -> Option<(Cause, f64)> {
        self.entries
            .iter()
            .rev()
            .find_map(|e| match Act::parse(&e.act, sim.rig()) {
                Ok(Act::Note(cause, sure)) => Some((cause, sure)),
                _ => None,
            })
    }

    /// The burners as they look now.
    pub fn burners(&self, sim: &Simulation) -> Vec<Burner> {
        burners(sim)
    }

    /// Whether the last act told why the next one.
    fn said_why(&self, sim: &Simulation) -> bool {
        let last = self.entries.last();
        last.is_some_and(|e| matches!(Act::parse(&e.act, sim.rig()), Ok(Act::Why(_))))
    }

    /// Whether the clock has run out.
    pub fn time_is_up(&self, sim: &Simulation) -> bool {
        sim.time_s() >= self.drill.limit_s
    }

    /// What can be seen now without doing anything.
    pub fn outside(&self, sim: &Simulation) -> Outside {
        let r: Readings = sim.readings();
        let looks =
            |e: &Entry| matches!(Act::parse(&e.act, sim.rig()), Ok(Act::Do(visit::Act::Look)));
        let looked = self.entries.iter().any(looks);
        let outlook = Outlook::of(sim.rig(), &sim.scenario().rig, &r);
        Outside {
            outlook: Some(if looked { outlook } else { outlook.from_afar() }),
            looked,
            clock_s: sim.time_s(),
            limit_s: self.drill.limit_s,
            burners: burners(sim),
            valves: r.containers[..r.container_count]
                .iter()
                .map(|c| c.valve_open)
                .collect(),
            answered: self.answer.is_some(),
        }
    }
}

/// Whether an act opens a container valve that is open: nothing would move, and nothing is noted.
fn opens_what_is_open(sim: &Simulation, act: &Act) -> bool {
    let Act::Do(visit::Act::Do(Deed::OpenValve { container, .. })) = act else {
        return false;
    };
    let valve = sim.moment().modes.valves.get(*container);
    valve.is_some_and(|v| v.at(sim.time_s()) >= 1.0)
}

/// Whether any of some acts looked at the rig.
pub fn has_looked(entries: &[Entry], rig: &Rig) -> bool {
    let look = |e: &Entry| Act::parse(&e.act, rig).is_ok_and(|a| a.is_a_look());
    entries.iter().any(look)
}

fn start(drill: &Drill, method: Method) -> Result<Simulation, AttemptError> {
    Ok(Simulation::start(
        Arc::new(rig_of(drill)),
        method,
        TOLERANCE,
    )?)
}
