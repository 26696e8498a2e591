//! The service bench: instruments fitted at test points, leak fluid, what is seen and heard, the
//! trade's tests as guided procedures, and what hands do. Tests and deeds are errands of the
//! session: worked out on a copy of the run, then gone through by the run while the person watches.

mod deeds;
pub(in crate::window) mod digital;
pub(in crate::window) mod instruments;
mod record;
mod remedy;
mod table;
mod tests;

use std::sync::Arc;

use remedy::{Acts, Remedy};

pub(in crate::window) use table::device_name;

use super::desk::Desk;
use crate::diagnosis::files::readings::Readings;
use crate::scenario::{Action, WhichStage};
use crate::service::{Joint, Place, Rack, Sound, rack};
use crate::sim::{Command, Snapshot, Witness};
use crate::visit::{
    Conclusion, Deed, DeedDone, Follows, Job, JobState, NotMade, Outbound, Test, TestResult,
    Verdict, VisitError, send,
};

/// How long a test is watched \[s\].
const TEST_WATCHED_S: f64 = 9.0;
/// How long a deed is watched \[s\].
const DEED_WATCHED_S: f64 = 2.5;

/// What the page keeps between frames.
pub struct BenchPage {
    rack: Rack,
    sent: u64,
    running: Option<Running>,
    shown: Shown,
    verdicts: Vec<(Test, Verdict)>,
    /// What the ear last heard, and when: a sound stands for its instant.
    heard: Option<(f64, Sound)>,
    /// Instruments that were drawn last.
    shown_gauges: usize,
    at_once: bool,
    /// Whether the column shows what hands do instead of the tests.
    hands: bool,
    /// Whether the tests beyond the usual visit are listed.
    more: bool,
    stage: WhichStage,
    degrees: f64,
    generation: u64,
    /// What the tests have read on the rig as it is now.
    noted: Readings,
    /// Whether a hand has changed the rig since: the next test begins a new list.
    changed: bool,
    /// Whether what was found is to leave the container shut, and nobody has put it right yet.
    stays_shut: bool,
    /// Whether the readings are to go to the causes.
    wants_causes: bool,
    /// What is done before what could not be done, and that itself.
    acts: Acts,
}

/// A job on its way.
struct Running {
    job: Job,
    /// Whether the run has been seen to go through it.
    begun: bool,
}

/// What lies on the table.
#[derive(Default)]
enum Shown {
    /// Nothing yet.
    #[default]
    Nothing,
    /// Tests, the one chosen in front.
    Tests {
        results: Vec<TestResult>,
        chosen: usize,
        /// What a whole visit comes to.
        visit: Option<Box<Conclusion>>,
        /// Tests of the visit that could not be made.
        not_made: Vec<NotMade>,
    },
    /// What came of a deed.
    Deed(DeedDone),
    /// Why something was not done, and what takes that away before it is done after all.
    NotDone {
        why: String,
        remedy: Option<(Remedy, Outbound)>,
    },
}

impl Shown {
    /// What takes away that something was not done, and what is then done.
    fn remedy(&self) -> Option<(Remedy, Outbound)> {
        match self {
            Self::NotDone { remedy, .. } => *remedy,
            Self::Tests { not_made, .. } => {
                let remedy = not_made.iter().find_map(|one| Remedy::of(&one.why));
                remedy.map(|remedy| (remedy, Outbound::Visit))
            }
            Self::Nothing | Self::Deed(_) => None,
        }
    }
}

/// How far the running job is.
enum Stand {
    /// Nothing runs.
    Idle,
    /// It is being worked out.
    Working(f64),
    /// The run goes through it.
    Watched { share: f64, left_s: f64 },
}

impl Default for BenchPage {
    fn default() -> Self {
        Self {
            rack: rack(),
            sent: 0,
            running: None,
            shown: Shown::default(),
            verdicts: Vec::new(),
            heard: None,
            shown_gauges: usize::MAX,
            at_once: false,
            hands: false,
            more: false,
            stage: WhichStage::Second,
            degrees: 30.0,
            generation: 0,
            noted: Readings::default(),
            changed: false,
            stays_shut: false,
            wants_causes: false,
            acts: Acts::default(),
        }
    }
}

impl BenchPage {
    /// The instruments that are fitted, and the leak fluid.
    pub(in crate::window) fn rack(&self) -> &Rack {
        &self.rack
    }

    /// Puts an ear to the regulator.
    pub(in crate::window) fn listen(&mut self, desk: &mut Desk<'_>) {
        self.heard = None;
        self.send(Outbound::Listen, desk.send);
    }

    /// Who sees the run for this page.
    pub fn witness(&self) -> Box<dyn Witness> {
        Box::new(self.rack.clone())
    }

    /// Sends a job on its way.
    fn send(&mut self, what: Outbound, send_to: &mut Vec<Command>) {
        self.sent += 1;
        let watched_s = match what {
            _ if self.at_once => 0.0,
            Outbound::Deed(_) | Outbound::Listen => DEED_WATCHED_S,
            Outbound::Test(_) => TEST_WATCHED_S,
            Outbound::Visit => 4.0 * TEST_WATCHED_S,
        };
        let (errand, job) = send(self.sent, what, watched_s);
        send_to.push(Command::Errand(errand));
        self.running = Some(Running { job, begun: false });
    }

    /// Sends a deed on its way.
    pub(in crate::window) fn deed(&mut self, deed: Deed, desk: &mut Desk<'_>) {
        self.send(Outbound::Deed(deed), desk.send);
    }

    /// Begins a test by its name and lets the run go through it at once, or turns to `hands`; for
    /// pictures and tests.
    pub fn begin_at_once(&mut self, name: &str, send_to: &mut Vec<Command>) {
        self.hands = name == "hands";
        if self.hands {
            self.rack.put_fluid(Joint::SecondVent, true);
            self.rack.put_thermometer(Some(Place::Body));
            return;
        }
        self.at_once = true;
        let test = Test::ALL.into_iter().find(|t| t.words() == name);
        self.send(test.map_or(Outbound::Visit, Outbound::Test), send_to);
        self.at_once = false;
    }

    /// Whether a job is on its way.
    pub fn busy(&self) -> bool {
        self.running.is_some()
    }

    /// What the thermometer shows \[K\], where one is out.
    pub fn thermometer_k(&self) -> Option<f64> {
        self.rack.seen().probe?.thermometer.shown_k()
    }

    /// The verdict of a test made on this rig, if it was made.
    pub fn verdict(&self, test: Test) -> Option<Verdict> {
        self.verdicts
            .iter()
            .rev()
            .find(|(t, _)| *t == test)
            .map(|(_, v)| *v)
    }

    /// What takes away that something was not done, and what is then done; and whether it is withheld. What is to be left
    /// shut is not offered to be opened, whatever is asked for, until somebody has put it right.
    fn remedy(&self) -> (Option<(Remedy, Outbound)>, bool) {
        let offered = self.shown.remedy();
        let opens = offered.is_some_and(|(remedy, _)| remedy == Remedy::Open);
        let withheld = opens && self.stays_shut;
        (offered.filter(|_| !withheld), withheld)
    }

    /// Why the last job was not done.
    pub fn refusal(&self) -> Option<&str> {
        match &self.shown {
            Shown::NotDone { why, .. } => Some(why),
            _ => None,
        }
    }

    /// Looks after the running job; call once a frame, whatever page is open.
    pub fn follow(&mut self, snap: &Snapshot) {
        if snap.generation != self.generation {
            self.generation = snap.generation;
            self.verdicts.clear();
            self.running = None;
            if !self.acts.waits_for_a_run() {
                self.acts = Acts::default();
            }
            self.shown = Shown::Nothing;
            self.heard = None;
            self.noted = Readings::default();
            self.changed = false;
            self.stays_shut = false;
        }
        let Some(running) = &mut self.running else {
            return;
        };
        let number = running.job.number;
        let watched = snap.script.is_some_and(|s| s.errand == number);
        running.begun |= watched;
        match running.job.state() {
            JobState::Working(_) => {}
            JobState::NotDone(error) => {
                let why = match &error {
                    VisitError::Forbidden { why, .. } => Remedy::of(why),
                    _ => None,
                };
                let remedy = why.map(|r| (r, running.job.what));
                self.shown = Shown::NotDone {
                    why: error.to_string(),
                    remedy,
                };
                self.running = None;
                self.acts = Acts::default();
            }
            JobState::Heard(sound) => {
                self.heard = Some((snap.readings.time_s, sound));
                self.running = None;
            }
            _ if watched => {}
            state if snap.script_done >= number => {
                let changes = changes_the_rig(running.job.what);
                self.running = None;
                self.show_outcome(state, changes);
            }
            _ if running.begun => {
                self.running = None;
                self.acts = Acts::default();
                self.shown = Shown::NotDone {
                    why: "Stopped before its end: nothing was read. The rig stands as it was left"
                        .to_owned(),
                    remedy: None,
                };
            }
            _ => {}
        }
    }

    /// Does what waits for its turn; call once a frame, after [`Self::follow`].
    pub fn go_on(&mut self, snap: &Snapshot, send: &mut Vec<Command>) {
        if self.running.is_none()
            && let Some(what) = self.acts.next(snap.generation)
        {
            self.send(what, send);
        }
    }

    /// What the tests have read since the rig was last changed by hand.
    pub fn noted(&self) -> &Readings {
        &self.noted
    }

    /// Whether the readings were asked to go to the causes; asks once.
    pub(super) fn asks_for_causes(&mut self) -> bool {
        std::mem::take(&mut self.wants_causes)
    }

    /// Hears what is sent to the run: after a hand has changed the rig, what was read before and
    /// what is read from now on are not of one rig.
    pub(super) fn hears(&mut self, command: &Command) {
        // Another moment is another rig, and what is cleared or set anew is put right; a fault put in beside others is none.
        self.stays_shut &= !matches!(
            command,
            Command::LookAt(_)
                | Command::GoOnFromHere
                | Command::SwitchTo(_)
                | Command::Act(Action::Clear { .. } | Action::TurnScrew { .. })
        );
        self.changed |= match command {
            Command::LookAt(_) | Command::GoOnFromHere | Command::SwitchTo(_) => true,
            Command::Act(action) => matches!(
                action,
                Action::Inject { .. }
                    | Action::Clear { .. }
                    | Action::Grow { .. }
                    | Action::TurnScrew { .. }
                    | Action::Site { .. }
            ),
            _ => false,
        };
    }

    fn note(&mut self, results: &[TestResult]) {
        if std::mem::take(&mut self.changed) {
            self.noted = Readings::default();
        }
        for result in results {
            self.noted.note_test(result);
        }
    }

    fn show_outcome(&mut self, state: JobState, changes: bool) {
        match state {
            JobState::Test(result) => {
                self.verdicts.push((result.test, result.verdict));
                self.note(std::slice::from_ref(&*result));
                self.changed |= changes;
                self.stays_shut = (self.stays_shut && !changes) || result.leaves_shut();
                self.shown = Shown::Tests {
                    results: vec![Arc::unwrap_or_clone(result)],
                    chosen: 0,
                    visit: None,
                    not_made: Vec::new(),
                };
            }
            JobState::Visit(report) => {
                let report = Arc::unwrap_or_clone(report);
                let made = report.tests.iter().map(|t| (t.test, t.verdict));
                self.verdicts.extend(made);
                self.note(&report.tests);
                let worst = report
                    .tests
                    .iter()
                    .position(|t| t.verdict == report.verdict);
                self.stays_shut = report.follows() == Follows::ShutOff;
                self.shown = Shown::Tests {
                    chosen: worst.unwrap_or(0),
                    visit: Some(Box::new(report.conclusion())),
                    results: report.tests,
                    not_made: report.not_made,
                };
            }
            JobState::Done(outcome) => {
                self.changed |= changes;
                self.stays_shut &= !changes;
                self.shown = Shown::Deed(outcome);
            }
            JobState::Working(_) | JobState::Heard(_) | JobState::NotDone(_) => {}
        }
    }

    fn stand(&self, snap: &Snapshot) -> Stand {
        let Some(running) = &self.running else {
            return Stand::Idle;
        };
        if let Some(s) = snap.script.filter(|s| s.errand == running.job.number) {
            let long_s = (s.until_s - s.from_s).max(1e-9);
            return Stand::Watched {
                share: ((snap.readings.time_s - s.from_s) / long_s).clamp(0.0, 1.0),
                left_s: s.until_s - snap.readings.time_s,
            };
        }
        match running.job.state() {
            JobState::Working(Some(p)) => Stand::Working(p.share),
            _ => Stand::Working(0.0),
        }
    }
}

/// Whether what was done leaves another rig than it found.
fn changes_the_rig(what: Outbound) -> bool {
    match what {
        Outbound::Deed(deed) => deed.changes_the_rig(),
        Outbound::Test(test) => matches!(test, Test::Flush | Test::Warm | Test::Climb),
        Outbound::Visit | Outbound::Listen => false,
    }
}
