//! Fault drills in the window: choose one, work on it under cover, go through it afterwards, build
//! one, read what came of many. The drill room does the work on threads of its own; these panels
//! send orders and show what comes back.

mod build;
#[cfg(test)]
mod build_tests;
mod build_ui;
mod debrief;
mod debrief_charts;
mod debrief_ui;
mod finish;
mod libraries;
mod list;
mod outside;
mod picker;
mod reports;
mod seen;
mod sheet;
mod shelf;
mod timeline;
mod tools;
mod words;
mod working;

use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};

use egui::{Context, Ui};

use self::build::Build;
use self::debrief::Debriefing;
use self::libraries::{Libraries, with_libraries};
use self::reports::Reports;
use self::shelf::{Listed, Shelf};
use self::working::{Column, Working};
use super::class::{ClassPage, Wish};
use super::desk::Desk;
use crate::drill::attempt::act::Act;
use crate::drill::attempt::folder::{self, Found};
use crate::drill::attempt::log;
use crate::drill::making::make;
use crate::drill::{Drill, Finding};
use crate::sim::{Command, Snapshot};
use crate::window::desk::browse::Browse;
use crate::window::desk::work::Work;
use crate::window::platform;

/// Longest name of a person.
const NAME_CHARS: usize = 60;

/// Part of the page that is open while no drill runs.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
enum Part {
    /// Drills to try, attempts to go on with.
    #[default]
    Try,
    /// Build a drill or ask for one.
    Build,
    /// Read what came of many attempts.
    Reports,
    /// One folder for many people and computers.
    Class,
}

/// Where the person is.
enum Stage {
    /// At the list, or with the instructor's things.
    Open,
    /// Under cover.
    Working(Box<Working>),
    /// Afterwards.
    Debrief(Box<Debriefing>),
}

/// What the page keeps between frames.
pub struct DrillsPage {
    folder: Option<PathBuf>,
    shelf: Shelf,
    stage: Stage,
    part: Part,
    chosen: usize,
    who: String,
    path: String,
    /// The system's dialogs for a drill and for the folder of attempts.
    browse: [Browse; 2],
    /// The folder as it is typed.
    place: String,
    said: Option<String>,
    /// Why the drill was not started.
    not_started: Option<String>,
    /// Whether the name is to be typed next.
    wants_name: bool,
    /// What every cause would show on the rig of the drill under way, worked out meanwhile.
    ahead: Option<Work<()>>,
    build: Build,
    reports: Reports,
    class: ClassPage,
    libraries: Libraries,
    /// Whether time ran before the cover came on.
    played: bool,
    /// Whether the cutaway is asked for.
    wants_cutaway: bool,
    /// Act whose moment is shown first in the debrief; the last one if none.
    shows_first: Option<usize>,
    /// Whether the debrief begins with the charts.
    shows_charts: bool,
    /// The run on show, as last seen.
    generation: u64,
}

impl Default for DrillsPage {
    fn default() -> Self {
        Self {
            folder: crate::form::store::user_data().map(|f| f.join("attempts")),
            shelf: Shelf::default(),
            stage: Stage::Open,
            part: Part::default(),
            chosen: 0,
            who: String::new(),
            path: String::new(),
            browse: Default::default(),
            place: String::new(),
            said: None,
            not_started: None,
            wants_name: false,
            ahead: None,
            build: Build::default(),
            reports: Reports::default(),
            class: ClassPage::default(),
            libraries: Arc::new(Mutex::new(make::Shelf::full())),
            played: false,
            wants_cutaway: false,
            shows_first: None,
            shows_charts: false,
            generation: 0,
        }
    }
}

impl DrillsPage {
    /// Keeps attempts in this folder.
    pub fn keep_in(&mut self, folder: &Path) {
        self.folder = Some(folder.to_owned());
        self.place = folder.display().to_string();
        self.shelf.look_again();
    }

    /// Whether the rig is covered: a drill runs, and nothing of the inside may be seen.
    pub fn covered(&self) -> bool {
        matches!(self.stage, Stage::Working(_))
    }

    /// Whether an attempt is gone through again.
    pub fn goes_through(&self) -> bool {
        matches!(self.stage, Stage::Debrief(_))
    }

    /// Whether the page lies in the middle, where cutaway and charts are otherwise.
    pub fn takes_the_middle(&self) -> bool {
        !matches!(self.stage, Stage::Debrief(_))
    }

    /// Whether the page needs the left-hand side too.
    pub fn takes_the_left(&self) -> bool {
        matches!(self.stage, Stage::Open)
    }

    /// Title and complaint of the drill that runs, for the head of the window.
    pub fn head(&self) -> Option<(&str, String)> {
        match &self.stage {
            Stage::Working(w) => {
                let what = if w.drill.exam { "An exam" } else { "A drill" };
                Some((&w.drill.title, format!("{what}, tried by {}", w.who)))
            }
            _ => None,
        }
    }

    /// Who sits at the window: picked from a class, or at work on a drill; empty where nobody said.
    pub fn sits_here(&self) -> &str {
        match &self.stage {
            Stage::Working(w) => &w.who,
            Stage::Debrief(d) => &d.who,
            Stage::Open => self.class.trainee().unwrap_or_default(),
        }
    }

    /// The attempt under way, if there is one.
    pub fn working(&self) -> Option<&Working> {
        match &self.stage {
            Stage::Working(w) => Some(w),
            _ => None,
        }
    }

    /// The marks of the attempt that is gone through, if there is one.
    pub fn marks(&self) -> Option<&crate::drill::marking::grade::Grade> {
        match &self.stage {
            Stage::Debrief(d) => Some(&d.grade),
            _ => None,
        }
    }

    /// Whether something is at work that a picture should wait for.
    pub fn busy(&self, snap: &Snapshot) -> bool {
        let here = match &self.stage {
            Stage::Open => false,
            Stage::Working(w) => w.at_work(),
            Stage::Debrief(d) => d.busy(snap),
        };
        here || self.shelf.busy() || self.build.busy() || self.reports.busy() || self.class.busy()
    }

    /// Looks after what is under way; call once a frame, whatever page is open.
    pub fn follow(&mut self, ctx: &Context, snap: &Snapshot, send: &mut Vec<Command>) {
        self.generation = snap.generation;
        self.shelf.follow();
        if self.ahead.as_ref().is_some_and(|a| a.take().is_some()) {
            self.ahead = None;
        }
        self.build.follow(ctx, &self.libraries);
        self.reports.follow();
        if self.part == Part::Class {
            self.class.follow(ctx);
        }
        match &mut self.stage {
            Stage::Open => {}
            Stage::Debrief(d) => d.follow(),
            Stage::Working(w) => {
                w.follow();
                // Time of the rig on show stands still under the cover.
                if snap.playing {
                    send.push(Command::Pause);
                }
                if w.view.outside.answered {
                    self.uncover(ctx, send);
                }
            }
        }
    }

    /// The answer was given: the cover comes off.
    fn uncover(&mut self, ctx: &Context, send: &mut Vec<Command>) {
        let Stage::Working(w) = std::mem::replace(&mut self.stage, Stage::Open) else {
            return;
        };
        if w.of_class {
            // The instructor releases it; until then nothing of the answer is shown.
            self.back_to_class(&w.who, true, send);
            return;
        }
        let answer = w.view.entries.last().and_then(|e| answer_in(&e.act, &w));
        let mut d = Debriefing::begin(
            w.drill.clone(),
            &w.who,
            w.view.entries.clone(),
            answer,
            &self.libraries,
            ctx,
        );
        d.ahead = self.ahead.take();
        self.debrief(d, send);
        self.shelf.look_again();
    }

    fn debrief(&mut self, mut d: Debriefing, send: &mut Vec<Command>) {
        let last = d.entries.len();
        let first = self.shows_first.take().unwrap_or(last);
        d.show(first, false, self.generation, send);
        d.charts = std::mem::take(&mut self.shows_charts);
        self.stage = Stage::Debrief(Box::new(d));
    }

    fn back_to_class(&mut self, name: &str, answered: bool, send: &mut Vec<Command>) {
        self.class.ended(name, answered);
        self.ahead = None;
        if self.played {
            send.push(Command::Play);
        }
    }

    /// Leaves the attempt for now; its log keeps it.
    fn leave(&mut self, send: &mut Vec<Command>) {
        let old = std::mem::replace(&mut self.stage, Stage::Open);
        if let Stage::Working(w) = old
            && w.of_class
        {
            self.back_to_class(&w.who, false, send);
            return;
        }
        // The next one at this window gives a name of their own.
        self.who.clear();
        self.ahead = None;
        self.shelf.look_again();
        if self.played {
            send.push(Command::Play);
        }
    }

    /// Closes the debrief and puts back what ran before, unless something else was opened since.
    fn close_debrief(&mut self, desk: &mut Desk<'_>) {
        let old = std::mem::replace(&mut self.stage, Stage::Open);
        self.who.clear();
        if let Stage::Debrief(d) = old
            && d.is_above(desk.snap)
        {
            desk.send.push(Command::GiveBack);
            if self.played {
                desk.send.push(Command::Play);
            }
        }
    }

    /// Starts a drill, or goes on with an attempt of the same person that was not ended.
    fn start(&mut self, listed: &Listed, desk: &mut Desk<'_>, ctx: &Context) {
        self.not_started = self.try_start(listed, desk, ctx).err();
    }

    fn try_start(
        &mut self,
        listed: &Listed,
        desk: &mut Desk<'_>,
        ctx: &Context,
    ) -> Result<(), String> {
        let who = self.who.trim().to_owned();
        if who.is_empty() || who.chars().count() > NAME_CHARS || who.chars().any(char::is_control) {
            self.wants_name = true;
            return Err(format!(
                "Your name is needed first, 1 to {NAME_CHARS} letters: the report shows it"
            ));
        }
        let folder = self.folder.clone().ok_or(
            "This system names no folder for your data: type one under \"Attempts are kept in\"",
        )?;
        platform::make_folder(&folder)?;
        listed.keep_beside(&folder);
        let log = next_log(&folder, listed, &who);
        let working = Working::start(listed.drill.clone(), &who, log, ctx)?;
        self.work_on(working, desk.snap, desk.send, ctx);
        Ok(())
    }

    /// Goes on with an attempt, or goes through one that was ended.
    fn go_on(&mut self, found: &Found, desk: &mut Desk<'_>, ctx: &Context) {
        let who = found.contents.header.who.clone();
        if self.go_through(found, &who, desk, ctx) {
            return;
        }
        match Working::start(found.drill.clone(), &who, found.path.clone(), ctx) {
            Ok(w) => self.work_on(w, desk.snap, desk.send, ctx),
            Err(why) => self.said = Some(why),
        }
    }

    /// Goes through an attempt that was ended; whether it was.
    fn go_through(&mut self, found: &Found, who: &str, desk: &mut Desk<'_>, ctx: &Context) -> bool {
        let Some(answer) = found.answer() else {
            return false;
        };
        let d = Debriefing::begin(
            found.drill.clone(),
            who,
            Arc::new(found.contents.entries.clone()),
            Some(answer),
            &self.libraries,
            ctx,
        );
        self.played = desk.snap.playing;
        self.debrief(d, desk.send);
        true
    }

    /// Opens the folder of a class.
    pub fn open_class(&mut self, folder: &Path) {
        self.part = Part::Class;
        self.class.open(folder);
    }

    /// Does what the page of the class asks for.
    fn grant(&mut self, wish: Wish, desk: &mut Desk<'_>, ctx: &Context) {
        match wish {
            Wish::Nothing => {}
            Wish::GoThrough(found, name) => {
                self.go_through(&found, &name, desk, ctx);
            }
            Wish::Work { begun, name, drill } => {
                match Working::start(drill, &begun.name.trainee, begun.log.clone(), ctx) {
                    Ok(mut w) => {
                        (w.who, w.of_class) = (name, true);
                        self.work_on(w, desk.snap, desk.send, ctx);
                    }
                    Err(why) => self.class.say(why),
                }
            }
        }
    }

    fn work_on(
        &mut self,
        working: Working,
        snap: &Snapshot,
        send: &mut Vec<Command>,
        ctx: &Context,
    ) {
        // Nothing of a class's attempt is gone through at once.
        if !working.of_class {
            self.ahead = work_ahead(&working.drill, &self.libraries, ctx);
        }
        self.played = snap.playing;
        send.push(Command::Pause);
        self.stage = Stage::Working(Box::new(working));
    }

    /// Opens a drill file and puts it at the head of the list.
    pub fn open(&mut self, path: &Path) {
        match self.shelf.open(path) {
            Ok(place) => {
                (self.part, self.chosen, self.said) = (Part::Try, place, None);
            }
            Err(why) => self.said = Some(why),
        }
    }

    /// Files of the drills that were opened, in the order of the list.
    pub fn own_drills(&self) -> Vec<PathBuf> {
        self.shelf.opened_from()
    }

    /// The left-hand side while a drill runs.
    pub fn left_ui(&mut self, ui: &mut Ui, desk: &Desk<'_>) {
        if let Stage::Working(w) = &mut self.stage {
            outside::show(ui, desk, w);
        }
    }

    /// Whether the cutaway was asked for since last asked.
    pub fn asks_for_cutaway(&mut self) -> bool {
        std::mem::take(&mut self.wants_cutaway)
    }

    /// Atop the right-hand column, where nothing scrolls it away: what stands there is clicked without looking.
    pub fn column_head_ui(&mut self, ui: &mut Ui) {
        if let Stage::Working(w) = &mut self.stage {
            sheet::columns_ui(ui, w);
        }
    }

    /// The right-hand column.
    pub fn column_ui(&mut self, ui: &mut Ui, desk: &mut Desk<'_>) {
        match &mut self.stage {
            Stage::Working(w) => match w.column {
                Column::Do => tools::show(ui, desk, w),
                Column::Suspect => finish::suspect_ui(ui, desk, w),
                Column::Answer => finish::answer_ui(ui, desk, w),
            },
            Stage::Debrief(_) => self.debrief_column_ui(ui, desk),
            Stage::Open => match self.part {
                Part::Try => self.brief_ui(ui, desk),
                Part::Build => self.preview_ui(ui, desk),
                Part::Reports => self.reports.column_ui(ui, desk),
                Part::Class => self.class.column_ui(ui, desk),
            },
        }
    }

    /// The sheet in the middle.
    pub fn sheet_ui(&mut self, ui: &mut Ui, desk: &mut Desk<'_>) {
        if matches!(self.stage, Stage::Working(_)) {
            if self.working_sheet_ui(ui, desk) {
                self.leave(desk.send);
            }
            return;
        }
        self.parts_ui(ui);
        match self.part {
            Part::Try => self.list_ui(ui, desk),
            Part::Class => {
                let wish = self.class.sheet_ui(ui, desk);
                let ctx = ui.ctx().clone();
                self.grant(wish, desk, &ctx);
            }
            Part::Build => self.build.form_ui(ui, desk, &self.libraries),
            Part::Reports => {
                if let Some(found) = self.reports.sheet_ui(ui, desk) {
                    let ctx = ui.ctx().clone();
                    self.go_on(&found, desk, &ctx);
                }
            }
        }
    }

    /// Has the page do something by its name, for pictures and tests: the number of a drill, then
    /// after a colon acts with a semicolon between; or `build`, `make`, `reports`, `class`.
    pub fn begin_named(&mut self, what: &str, desk: &mut Desk<'_>, ctx: &Context) {
        let (first, acts) = what.split_once(':').unwrap_or((what, ""));
        match first.trim().split_once(' ').unwrap_or((first.trim(), "")) {
            ("reports", folder) => {
                self.part = Part::Reports;
                self.reports.gather(Path::new(folder), ctx);
            }
            ("class", what) => {
                self.part = Part::Class;
                self.class.begin_named(what);
            }
            ("build", _) => {
                self.part = Part::Build;
                self.build.begin_example(ctx, &self.libraries);
            }
            ("make", seed) => {
                self.part = Part::Build;
                self.build.begin_made(seed, ctx, &self.libraries);
            }
            (number, _) => self.begin_drill(number, acts, desk, ctx),
        }
    }

    fn begin_drill(&mut self, number: &str, acts: &str, desk: &mut Desk<'_>, ctx: &Context) {
        self.shelf.read_now();
        self.chosen = number.parse::<usize>().unwrap_or(1).saturating_sub(1);
        "Wren".clone_into(&mut self.who);
        let Some(listed) = self.shelf.drills.get(self.chosen).cloned() else {
            return;
        };
        if acts.is_empty() {
            return;
        }
        let log = platform::scratch("attempt");
        match Working::start(listed.drill.clone(), "Wren", log, ctx) {
            Err(why) => self.said = Some(why),
            Ok(mut w) => {
                for word in acts.split(';').map(str::trim) {
                    if let Some(n) = word.strip_prefix("show ") {
                        self.shows_first = n.parse().ok();
                        continue;
                    }
                    match word {
                        "charts" => self.shows_charts = true,
                        "suspect" => w.column = Column::Suspect,
                        "finish" => w.column = Column::Answer,
                        word => match Act::parse(word, &w.rig) {
                            Ok(act) => w.line_up([act]),
                            Err(e) => self.said = Some(e.to_string()),
                        },
                    }
                }
                self.work_on(w, desk.snap, desk.send, ctx);
            }
        }
    }
}

/// Works out what every cause would show while the trainee is at work, so that the debrief need not
/// wait for it. Where no thread is to be had, it waits.
fn work_ahead(drill: &Arc<Drill>, libraries: &Libraries, ctx: &Context) -> Option<Work<()>> {
    let (drill, libraries, wake) = (drill.clone(), libraries.clone(), ctx.clone());
    let work = Work::begin(
        move || wake.request_repaint(),
        move |heard| {
            with_libraries(&libraries, heard, |shelf, heard| {
                let causes = shelf.causes(&drill.scenario, heard);
                causes.map(|_| ()).map_err(|e| e.to_string())
            })
        },
    );
    work.ok()
}

/// The answer in the words of an act.
fn answer_in(act: &str, w: &Working) -> Option<Finding> {
    match Act::parse(act, &w.rig) {
        Ok(Act::Answer(answer)) => Some(answer),
        _ => None,
    }
}

/// The log of the next attempt of a person at a drill: one that was not ended, or a new name.
fn next_log(folder: &Path, listed: &Listed, who: &str) -> PathBuf {
    let sum = format!("{:016x}", listed.drill.sum);
    for n in 1.. {
        let name = if n == 1 {
            folder::log_name(&listed.id, who)
        } else {
            folder::log_name(&format!("{}.{n}", listed.id), who)
        };
        let path = folder.join(name);
        if !platform::is_there(&path) {
            return path;
        }
        let goes_on = match log::read(&path) {
            Ok(Some(c)) => {
                c.header.drill == sum
                    && c.header.who == who
                    && folder::answer_of(&listed.drill, &c).is_none()
            }
            Ok(None) => true,
            Err(_) => false,
        };
        if goes_on {
            return path;
        }
    }
    folder.join(folder::log_name(&listed.id, who))
}
