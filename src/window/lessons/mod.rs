//! Lessons in the window: predict, watch the rig with the cutaway open, hold the prediction against
//! what was measured. The lesson measures on a run of its own; the run on show is for the eye.

mod point;
mod show;
mod ui;

use std::path::{Path, PathBuf};
use std::sync::Arc;

use egui::Context;

use self::show::part_of;
pub use self::show::{Show, covered_ui};

use super::desk::Desk;
use crate::drill::lesson::{
    Answers, Lesson, Observed, Outcome, Prediction, Progress, SHIPPED, file_of, in_own_unit,
    unit_on_show, usual_file,
};
use crate::sim::{BranchName, Command, Snapshot};
use crate::units::{System, number_in, parse_number};
use crate::window::desk::work::Work;

/// How long a lesson's run is watched \[s\].
const WATCHED_S: f64 = 16.0;

/// Where a lesson is.
enum Stage {
    /// Predictions are asked for; the rig stands ready.
    Predicting,
    /// The rig runs.
    Running {
        work: Work<Observed>,
        observed: Option<Observed>,
        /// Generation of the session before the lesson's run was loaded.
        before: u64,
        /// Whether the person does not want to watch it to its end.
        hurried: bool,
    },
    /// The answers are told.
    Told {
        observed: Observed,
        outcomes: Vec<Outcome>,
        /// The question at whose moment time stands.
        at: usize,
        /// Whether the run with the twist is on show.
        twisted: bool,
        /// What is measured with it.
        tried: Tried,
    },
}

/// What is measured in the run with the twist, on a run of its own as all that a lesson tells.
#[derive(Default)]
enum Tried {
    /// It was not tried yet.
    #[default]
    Not,
    /// It is measured.
    Under(Work<Observed>),
    /// What was measured, or why nothing was.
    Measured(Result<Observed, String>),
}

impl Tried {
    /// Begins to measure, once.
    fn begin(&mut self, lesson: &Lesson, ctx: &Context) {
        if !matches!(self, Self::Not) {
            return;
        }
        let Some(twisted) = lesson.twisted() else {
            return;
        };
        let wake = ctx.clone();
        let work = Work::begin(
            move || wake.request_repaint(),
            move |heard| twisted.observe(heard),
        );
        *self = work.map_or_else(|why| Self::Measured(Err(why)), Self::Under);
    }

    /// Takes what was measured.
    fn follow(&mut self) {
        if let Self::Under(work) = self
            && let Some(found) = work.take()
        {
            *self = Self::Measured(found);
        }
    }
}

/// A lesson that is open.
struct Open {
    lesson: Arc<Lesson>,
    /// Predictions by choice.
    chosen: Vec<Option<usize>>,
    /// Predictions as typed.
    typed: Vec<String>,
    /// Units the numbers are typed in.
    system: System,
    stage: Stage,
}

impl Open {
    /// What was predicted, once there is something for every question.
    fn predictions(&self) -> Option<Vec<Prediction>> {
        let one = |(i, q): (usize, &crate::drill::lesson::Question)| match &q.answers {
            Answers::Choices(_) => self.chosen[i].map(Prediction::Choice),
            Answers::Number { unit, .. } => parse_number(&self.typed[i])
                .map(|n| Prediction::Number(in_own_unit(n, unit, self.system))),
        };
        self.lesson.questions.iter().enumerate().map(one).collect()
    }

    /// Takes over the units on show; what was typed in the others is put into these.
    fn units_on_show(&mut self, system: System) {
        if system == self.system {
            return;
        }
        for (typed, q) in self.typed.iter_mut().zip(&self.lesson.questions) {
            if let (Answers::Number { unit, .. }, Some(number)) = (&q.answers, parse_number(typed))
            {
                let si = unit_on_show(unit, self.system).to_si(number);
                *typed = number_in(si, unit_on_show(unit, system));
            }
        }
        self.system = system;
    }

    fn outcomes(&self, observed: &Observed) -> Result<Vec<Outcome>, String> {
        let said = self.predictions().ok_or("a prediction is missing")?;
        said.into_iter()
            .enumerate()
            .map(|(i, said)| self.lesson.check(i, observed, said))
            .collect()
    }
}

/// What the page keeps between frames.
pub struct LessonsPage {
    lessons: Vec<Arc<Lesson>>,
    /// The file of those who give no name; beside it lie those of people.
    nobodys: Option<PathBuf>,
    /// The file that is kept now.
    file: Option<PathBuf>,
    /// Whose progress it is.
    who: String,
    /// Who sits at the window, as drills and class know it.
    sits_here: String,
    progress: Progress,
    read: bool,
    open: Option<Open>,
    path: String,
    said: Option<String>,
    /// What the window is to show.
    shows: Vec<Show>,
}

impl Default for LessonsPage {
    fn default() -> Self {
        Self {
            lessons: Vec::new(),
            nobodys: usual_file(),
            file: None,
            who: String::new(),
            sits_here: String::new(),
            progress: Progress::default(),
            read: false,
            open: None,
            path: String::new(),
            said: None,
            shows: Vec::new(),
        }
    }
}

impl LessonsPage {
    /// Keeps progress in this file.
    pub fn keep_in(&mut self, file: &Path) {
        self.nobodys = Some(file.to_owned());
        self.read = false;
    }

    /// Takes over the name that was picked from a class or given for a drill, and lets go of it with whoever leaves.
    pub fn is_whose(&mut self, name: &str) {
        if name == self.sits_here {
            return;
        }
        if self.who == self.sits_here {
            name.clone_into(&mut self.who);
            (self.read, self.said) = (false, None);
        }
        name.clone_into(&mut self.sits_here);
    }

    /// Progress as it is kept.
    pub fn progress(&self) -> &Progress {
        &self.progress
    }

    /// Whether a lesson's run is on its way.
    pub fn busy(&self) -> bool {
        self.open
            .as_ref()
            .is_some_and(|o| matches!(o.stage, Stage::Running { .. }))
    }

    /// Length of the run of the open lesson, which the charts should show whole \[s\].
    pub fn span_s(&self) -> Option<f64> {
        let open = self.open.as_ref()?;
        let runs = !matches!(open.stage, Stage::Predicting);
        runs.then_some(open.lesson.scenario.run.duration_s)
    }

    /// Reads lessons and progress when first looked at.
    fn want(&mut self) {
        if self.read {
            return;
        }
        self.read = true;
        if self.lessons.is_empty() {
            // A test reads them all; one that cannot be read is not offered.
            self.lessons = SHIPPED
                .iter()
                .filter_map(|(id, text)| Lesson::read(id, id, text).ok())
                .map(Arc::new)
                .collect();
        }
        self.file = self.nobodys.as_ref().map(|n| file_of(n, &self.who));
        self.progress = Progress::default();
        if let Some(file) = &self.file {
            match Progress::load(file) {
                Ok(progress) => self.progress = progress,
                Err(e) => {
                    // What is there and cannot be read is not written over.
                    self.file = None;
                    self.said = Some(format!("{e}\nProgress is not kept this time"));
                }
            }
        }
    }

    /// Opens a lesson: its rig stands ready, and its story waits for the predictions.
    fn choose(&mut self, lesson: &Arc<Lesson>, desk: &mut Desk<'_>) {
        desk.send.push(Command::Lend(Box::new(lesson.ready())));
        desk.send.push(Command::Pause);
        desk.send.push(Command::Rate(1.0));
        let count = lesson.questions.len();
        self.said = None;
        self.shows.extend([Show::NoPart, Show::View(lesson.view)]);
        self.open = Some(Open {
            lesson: lesson.clone(),
            chosen: vec![None; count],
            typed: vec![String::new(); count],
            system: desk.units.system(),
            stage: Stage::Predicting,
        });
    }

    /// Opens a lesson file.
    pub fn open_file(&mut self, path: &Path, desk: &mut Desk<'_>) {
        self.want();
        match Lesson::load(path) {
            Ok(lesson) => self.choose(&Arc::new(lesson), desk),
            Err(e) => self.said = Some(e.to_string()),
        }
    }

    /// Runs the rig of the open lesson: on show, and on a thread of its own to measure.
    fn run(&mut self, desk: &mut Desk<'_>, ctx: &Context) {
        let Some(open) = &mut self.open else {
            return;
        };
        let (lesson, wake) = (open.lesson.clone(), ctx.clone());
        let work = Work::begin(
            move || wake.request_repaint(),
            move |heard| lesson.observe(heard),
        );
        match work {
            Ok(work) => {
                let scenario = open.lesson.scenario.clone();
                let rate = (scenario.run.duration_s / WATCHED_S).max(0.1);
                desk.send.push(Command::Lend(Box::new(scenario)));
                desk.send.push(Command::Rate(rate));
                desk.send.push(Command::Play);
                open.stage = Stage::Running {
                    work,
                    observed: None,
                    before: desk.snap.generation,
                    hurried: false,
                };
            }
            Err(why) => self.said = Some(why),
        }
    }

    /// Keeps the rig of a lesson as it stands until everything is predicted: what plays before tells the answer.
    pub fn hold(&mut self, snap: &Snapshot, send: &mut Vec<Command>) {
        if !self.open.as_ref().is_some_and(|o| o.waits(snap)) {
            return;
        }
        let plays = |c: &Command| matches!(c, Command::Play | Command::Step(_) | Command::Act(_));
        if send.iter().any(plays) {
            send.retain(|c| !plays(c));
            self.said = Some("Predict first: then “Run the rig” plays it".to_owned());
        }
    }

    /// Looks after the run of a lesson; call once a frame.
    pub fn follow(&mut self, snap: &Snapshot, send: &mut Vec<Command>) {
        let Some(open) = &mut self.open else {
            return;
        };
        let end_s = open.lesson.scenario.run.duration_s;
        let (work, observed, before, hurried) = match &mut open.stage {
            Stage::Predicting => return,
            // A twist plays to the end of the lesson's run.
            Stage::Told { twisted, tried, .. } => {
                tried.follow();
                let own = snap.scenario.title == open.lesson.scenario.title;
                if *twisted && own && snap.playing && snap.readings.time_s >= end_s {
                    send.extend([Command::Pause, Command::Rate(1.0)]);
                }
                return;
            }
            Stage::Running {
                work,
                observed,
                before,
                hurried,
            } => (work, observed, before, hurried),
        };
        match work.take() {
            Some(Ok(found)) => *observed = Some(found),
            Some(Err(why)) => {
                self.said = Some(format!("The lesson did not run: {why}"));
                open.stage = Stage::Predicting;
                return;
            }
            None => {}
        }
        let is_there = snap.generation > *before;
        let through = is_there && snap.readings.time_s >= end_s;
        if through && snap.playing {
            send.push(Command::Pause);
            send.push(Command::Rate(1.0));
        }
        // Trouble on show does not keep the answer back: it was measured on another run.
        let watched = through || (is_there && *hurried) || snap.trouble.is_some();
        if let (true, Some(found)) = (watched, observed.clone()) {
            send.extend([
                Command::Pause,
                Command::Rate(1.0),
                Command::LookAt(f64::INFINITY),
                Command::Step((end_s - snap.front_s).max(0.0)),
            ]);
            self.tell(found);
            self.show_moment(0, send);
        }
    }

    /// Puts time where a question is answered, and points at the part.
    fn show_moment(&mut self, question: usize, send: &mut Vec<Command>) {
        let Some(Open { lesson, stage, .. }) = &mut self.open else {
            return;
        };
        let Stage::Told { observed, at, .. } = stage else {
            return;
        };
        let Some(q) = lesson.questions.get(question) else {
            return;
        };
        *at = question;
        if let Some(at_s) = observed.at_s.get(q.key) {
            send.extend([Command::Pause, Command::LookAt(*at_s)]);
        }
        self.shows.push(Show::Part(part_of(q.part)));
    }

    /// Does what the lesson has to try, or goes back to its run as it was.
    fn turn_twist(&mut self, snap: &Snapshot, send: &mut Vec<Command>, ctx: &Context) {
        let Some(Open { lesson, stage, .. }) = &mut self.open else {
            return;
        };
        let (
            Stage::Told {
                twisted, at, tried, ..
            },
            Some(twist),
        ) = (stage, &lesson.twist)
        else {
            return;
        };
        *twisted = !*twisted;
        if *twisted {
            tried.begin(lesson, ctx);
        }
        if !*twisted {
            let at = *at;
            send.extend([Command::Pause, Command::SwitchTo(BranchName::default())]);
            self.show_moment(at, send);
            return;
        }
        // A twist that was played already is there as it was.
        let own = |k: &&crate::sim::KeptBranch| k.name != BranchName::default();
        if let Some(kept) = snap.kept.iter().find(own) {
            send.extend([Command::Pause, Command::SwitchTo(kept.name)]);
            if kept.until_s < lesson.scenario.run.duration_s {
                send.push(Command::Play);
            }
            return;
        }
        let left_s = lesson.scenario.run.duration_s - twist.event.at_s;
        send.extend([
            Command::LookAt(twist.event.at_s),
            Command::Act(twist.event.action),
            Command::Rate((left_s / WATCHED_S).max(0.1)),
            Command::Play,
        ]);
    }

    fn tell(&mut self, observed: Observed) {
        let Some(open) = &mut self.open else {
            return;
        };
        match open.outcomes(&observed) {
            Ok(outcomes) => {
                let right = outcomes.iter().filter(|o| o.right).count() as u32;
                self.progress
                    .note(&open.lesson.id, right, outcomes.len() as u32);
                open.stage = Stage::Told {
                    observed,
                    outcomes,
                    at: 0,
                    twisted: false,
                    tried: Tried::Not,
                };
                if let Some(file) = &self.file
                    && let Err(e) = self.progress.save(file)
                {
                    self.said = Some(e.to_string());
                }
            }
            Err(why) => {
                self.said = Some(format!("The lesson gives no answer: {why}"));
                open.stage = Stage::Predicting;
            }
        }
    }

    /// Closes the lesson without a word to the run.
    pub fn forget(&mut self) {
        if self.open.take().is_some() {
            self.shows.extend([Show::NoPart, Show::AsBefore]);
        }
    }

    /// Closes the lesson; what ran before goes on as it was left.
    fn close(&mut self, desk: &mut Desk<'_>) {
        if let Some(open) = self.open.take()
            && desk.snap.scenario.title == open.lesson.scenario.title
        {
            desk.send.push(Command::GiveBack);
        }
        self.shows.extend([Show::NoPart, Show::AsBefore]);
    }

    /// Opens a lesson by its short name, for pictures; with `answered` after it, everything is
    /// predicted by the first choice and the rig has run.
    pub fn begin_named(&mut self, what: &str, desk: &mut Desk<'_>, ctx: &Context) {
        self.want();
        let (name, answered) = match what.split_once(' ') {
            Some((name, _)) => (name, true),
            None => (what, false),
        };
        let Some(lesson) = self.lessons.iter().find(|l| l.id == name).cloned() else {
            return;
        };
        self.choose(&lesson, desk);
        if let (true, Some(open)) = (answered, &mut self.open) {
            open.chosen.fill(Some(0));
            open.typed.fill("11".to_owned());
            self.run(desk, ctx);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::LessonsPage;

    /// A name that was picked or given elsewhere is taken over and let go of; one that was typed here is the typist's.
    #[test]
    fn progress_is_of_who_sits_here() {
        let mut page = LessonsPage::default();
        page.is_whose("Ada Reed");
        assert_eq!(page.who, "Ada Reed");
        page.is_whose("");
        assert_eq!(page.who, "");
        "Ben".clone_into(&mut page.who);
        page.is_whose("Ada Reed");
        page.is_whose("");
        assert_eq!(page.who, "Ben");
    }
}
