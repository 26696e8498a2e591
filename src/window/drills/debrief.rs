//! After the answer: the marks at once, the reasoning as soon as it is worked out, and any moment
//! of the attempt on the rig with its true fault, cutaway open.

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

use egui::Context;

use super::libraries::{Libraries, with_libraries};
use super::timeline::Line;
use crate::drill::attempt::log::Entry;
use crate::drill::attempt::rig_of;
use crate::drill::marking::debrief::{Debrief, debrief};
use crate::drill::marking::grade::{Grade, grade};
use crate::drill::marking::trace::{Trace, trace};
use crate::drill::{Attempt, Drill, Finding};
use crate::report::drills::When;
use crate::sim::{Command, Errand, Script, Snapshot};
use crate::window::desk::work::Work;

/// Number of the errands of this page. The bench counts its own from 1.
const ERRAND: u64 = 0;
/// How long the whole attempt is watched \[s\].
const WATCHED_S: f64 = 40.0;

/// How far a moment is.
#[derive(Debug, Clone, PartialEq)]
enum Going {
    /// The acts up to it are done again on a copy.
    Working(f64),
    /// Worked out; the run goes there, to this time \[s\].
    Found(f64),
    /// It cannot be shown, and why.
    Failed(String),
}

/// A moment that is shown.
struct Moment {
    /// Number of the act.
    n: usize,
    /// The run that was on show before: what that shows is another moment.
    before: u64,
    going: Arc<Mutex<Going>>,
    stop: Arc<AtomicBool>,
}

impl Drop for Moment {
    fn drop(&mut self) {
        self.stop.store(true, Ordering::Relaxed);
    }
}

/// An attempt that is gone through.
pub struct Debriefing {
    /// The drill.
    pub drill: Arc<Drill>,
    /// Who tried it.
    pub who: String,
    /// The acts.
    pub entries: Arc<Vec<Entry>>,
    /// The acts, ready to be drawn.
    pub lines: Vec<Line>,
    /// The answer.
    pub answer: Option<Finding>,
    /// The marks.
    pub grade: Grade,
    work: Option<Work<Debrief>>,
    /// What was begun while the attempt went on, and what the work waits for.
    pub(super) ahead: Option<Work<()>>,
    /// The reasoning, once it is worked out.
    pub found: Option<Debrief>,
    /// Why there is none.
    pub trouble: Option<String>,
    moment: Option<Moment>,
    tracing: Option<Work<Trace>>,
    /// What the gauges stood at, once it is worked out, or why that is not known.
    pub trace: Option<Result<Trace, String>>,
    /// Whether the charts are on show instead of the list of acts.
    pub charts: bool,
    /// The act that was marked last, to bring the next into view.
    pub(super) marked: Option<usize>,
}

impl Debriefing {
    /// Marks an attempt and begins to work out the reasoning.
    pub fn begin(
        drill: Arc<Drill>,
        who: &str,
        entries: Arc<Vec<Entry>>,
        answer: Option<Finding>,
        libraries: &Libraries,
        ctx: &Context,
    ) -> Self {
        let rig = rig_of(&drill).rig;
        let mut out = Self {
            grade: grade(&drill, &entries, answer.as_ref()),
            lines: Line::all(&entries, 0, &rig, (When::Ended, drill.onset_s())),
            drill,
            who: who.to_owned(),
            entries,
            answer,
            work: None,
            ahead: None,
            found: None,
            trouble: None,
            moment: None,
            tracing: None,
            trace: None,
            charts: false,
            marked: None,
        };
        out.work_out(libraries, ctx);
        out.begin_trace(ctx);
        out
    }

    /// Begins to work out what the gauges stood at.
    fn begin_trace(&mut self, ctx: &Context) {
        let (drill, entries, wake) = (self.drill.clone(), self.entries.clone(), ctx.clone());
        let work = move |heard: &mut dyn FnMut(f64) -> bool| trace(&drill, &entries, heard);
        match Work::begin(move || wake.request_repaint(), work) {
            Ok(work) => self.tracing = Some(work),
            Err(why) => self.trace = Some(Err(why)),
        }
    }

    /// Begins to work out the reasoning.
    pub fn work_out(&mut self, libraries: &Libraries, ctx: &Context) {
        self.trouble = None;
        let (drill, entries) = (self.drill.clone(), self.entries.clone());
        let (answer, libraries) = (self.answer.clone(), libraries.clone());
        let wake = ctx.clone();
        let work = Work::begin(
            move || wake.request_repaint(),
            move |heard| {
                with_libraries(&libraries, heard, |shelf, heard| {
                    let causes = shelf
                        .causes(&drill.scenario, heard)
                        .map_err(|e| e.to_string())?;
                    debrief(&drill, causes, &entries, answer.as_ref())
                })
            },
        );
        match work {
            Ok(work) => self.work = Some(work),
            Err(why) => self.trouble = Some(why),
        }
    }

    /// Stops working it out; the marks stay.
    pub fn stop(&mut self) {
        (self.work, self.ahead) = (None, None);
        self.trouble = Some("Stopped: the marks stand, the reasoning was not worked out".into());
    }

    /// Share worked out, 0 to 1, while it is worked out.
    pub fn share(&self) -> Option<f64> {
        let work = self.work.as_ref().map(Work::share)?;
        Some(self.ahead.as_ref().map_or(work, Work::share))
    }

    /// Takes what was worked out; call once a frame.
    pub fn follow(&mut self) {
        if self.ahead.as_ref().is_some_and(|a| a.take().is_some()) {
            self.ahead = None;
        }
        if let Some(outcome) = self.tracing.as_ref().and_then(Work::take) {
            (self.tracing, self.trace) = (None, Some(outcome));
        }
        if let Some(outcome) = self.work.as_ref().and_then(Work::take) {
            self.work = None;
            match outcome {
                Ok(found) => self.found = Some(found),
                Err(why) => self.trouble = Some(why),
            }
        }
    }

    /// Shows the moment after an act: the drill's rig with its true fault goes through the acts up
    /// to it. Watched, it takes its time; else it goes there at once. `before` is the run on show now.
    pub fn show(&mut self, n: usize, watched: bool, before: u64, send: &mut Vec<Command>) {
        let count = n.min(self.entries.len());
        let stop = Arc::new(AtomicBool::new(false));
        let going = Arc::new(Mutex::new(Going::Working(0.0)));
        let (drill, entries) = (self.drill.clone(), self.entries.clone());
        let (theirs, stopped) = (going.clone(), stop.clone());
        let watched_s = if watched { WATCHED_S } else { 0.0 };
        let errand = Errand::new(ERRAND, move |mut copy| {
            let say = |now: Going| *theirs.lock().unwrap_or_else(PoisonError::into_inner) = now;
            let mut heard = |share: f64| {
                say(Going::Working(share));
                !stopped.load(Ordering::Relaxed)
            };
            match Attempt::go_through(&drill, &entries[..count], &mut copy, &mut heard) {
                Ok(()) => {
                    say(Going::Found(copy.time_s()));
                    Some(Script {
                        acts: copy.tape().to_vec(),
                        until_s: copy.time_s(),
                        watched_s,
                    })
                }
                Err(e) => {
                    say(Going::Failed(e.to_string()));
                    None
                }
            }
        });
        send.push(Command::Lend(Box::new(rig_of(&self.drill))));
        send.push(Command::Pause);
        send.push(Command::Rate(1.0));
        send.push(Command::Errand(errand));
        self.moment = Some(Moment {
            n: count,
            before,
            going,
            stop,
        });
    }

    /// Number of the act whose moment is on show.
    pub fn shown(&self) -> Option<usize> {
        self.moment.as_ref().map(|m| m.n)
    }

    /// The act that the rig above stands in or after: while it is watched, the one that goes on.
    pub fn watched(&self, snap: &Snapshot) -> Option<usize> {
        let shown = self.shown()?;
        let goes_on = self.is_above(snap) && snap.script.is_some_and(|s| s.errand == ERRAND);
        if !goes_on {
            return Some(shown);
        }
        let now_s = snap.readings.time_s;
        let under_way = self.entries.iter().find(|e| e.end_s > now_s);
        Some(under_way.map_or(shown, |e| e.n.min(shown)))
    }

    fn going(&self) -> Option<Going> {
        let moment = self.moment.as_ref()?;
        let going = moment.going.lock().unwrap_or_else(PoisonError::into_inner);
        Some(going.clone())
    }

    /// What the rig above is, in a few words.
    pub fn above(&self, snap: &Snapshot) -> String {
        let Some(n) = self.shown() else {
            return String::new();
        };
        match self.going() {
            Some(Going::Failed(why)) => why,
            _ if self.on_its_way(snap) => match self.watched(snap) {
                Some(now) if now < n => {
                    format!("the rig goes to the moment after act {n}: act {now}")
                }
                _ => format!("the rig goes to the moment after act {n}"),
            },
            _ if !self.is_above(snap) => {
                "above: another rig. Show brings this drill's back".to_owned()
            }
            Some(Going::Found(at_s)) if (snap.readings.time_s - at_s).abs() > 1.0 => {
                format!("above: the rig with its true fault, gone on from act {n}")
            }
            _ => format!("above: the rig with its true fault, after act {n}"),
        }
    }

    /// Whether the rig on show is the drill's.
    pub fn is_above(&self, snap: &Snapshot) -> bool {
        snap.scenario.title == self.drill.scenario.title
    }

    /// Whether the run is on its way to the moment.
    fn on_its_way(&self, snap: &Snapshot) -> bool {
        match self.going() {
            Some(Going::Working(_)) => true,
            Some(Going::Found(_)) => snap.script.is_some_and(|s| s.errand == ERRAND),
            _ => false,
        }
    }

    /// Whether something is at work.
    pub fn busy(&self, snap: &Snapshot) -> bool {
        let before = self.moment.as_ref().map(|m| m.before);
        let arrives = match self.going() {
            // The snapshot may be older than the script, or of the run before.
            Some(Going::Found(until_s)) => {
                let old = before == Some(snap.generation) && snap.trouble.is_none();
                old || snap.readings.time_s + 1e-6 < until_s
            }
            _ => false,
        };
        self.work.is_some() || self.tracing.is_some() || arrives || self.on_its_way(snap)
    }
}
