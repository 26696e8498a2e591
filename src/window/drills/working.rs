//! An attempt under way: the runner, what was ordered, what is being written into the forms. The
//! panels around it read its view and put acts into it; nothing here computes.

use std::collections::VecDeque;
use std::path::PathBuf;
use std::sync::Arc;

use super::picker::Picker;
use super::timeline::Line;
use crate::drill::attempt::act::{Act, Left};
use crate::drill::attempt::judging;
use crate::drill::attempt::rig_of;
use crate::drill::attempt::runner::{News, Order, Runner, View};
use crate::drill::{Drill, Finding};
use crate::fault::Remedy;
use crate::report::drills::When;
use crate::rig::Rig;
use crate::scenario::WhichStage;
use crate::visit::{Test, Told};
use crate::window::outside::OutsideView;

/// What the right-hand column shows.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Column {
    /// Instruments and hands.
    #[default]
    Do,
    /// A suspicion to note.
    Suspect,
    /// The answer.
    Answer,
}

/// An attempt under way.
pub struct Working {
    /// The drill.
    pub drill: Arc<Drill>,
    /// Its rig, for names and numbers of things; healthy.
    pub rig: Rig,
    /// Who works on it.
    pub who: String,
    /// Whether it belongs to a class: its marks wait for the instructor.
    pub of_class: bool,
    /// The log.
    pub log: PathBuf,
    runner: Runner,
    asked: u64,
    /// The act that goes on, in words.
    now: Option<String>,
    /// Acts that wait for their turn.
    waiting: VecDeque<Act>,
    /// The newest view.
    pub view: Arc<View>,
    /// The rig as it is seen.
    pub picture: OutsideView,
    /// The acts so far, ready to be drawn.
    pub lines: Vec<Line>,
    /// The test that waits for the trainee's judgement, if one does.
    pub to_judge: Option<Test>,
    /// Why the last act was not done.
    pub refused: Option<String>,
    /// Why the attempt cannot go on.
    pub broken: Option<String>,
    /// What the column shows.
    pub column: Column,
    /// Why the next test, as it is being written.
    pub why: String,
    /// The suspicion being written.
    pub suspicion: Picker,
    /// How sure, percent.
    pub sure: f64,
    /// Cause of the answer being written.
    pub answer: Picker,
    /// Action of the answer.
    pub actions: Vec<Remedy>,
    /// How it will be left.
    pub left: Option<Left>,
    /// Screw to turn.
    pub stage: WhichStage,
    /// By how much \[degrees\].
    pub degrees: f64,
}

impl Working {
    /// Begins or goes on.
    ///
    /// # Errors
    /// What keeps it from beginning, in words.
    pub fn start(
        drill: Arc<Drill>,
        who: &str,
        log: PathBuf,
        ctx: &egui::Context,
    ) -> Result<Self, String> {
        let wake = ctx.clone();
        let runner = Runner::start(drill.clone(), who, &log, move || wake.request_repaint())?;
        Ok(Self {
            rig: rig_of(&drill).rig,
            drill,
            who: who.to_owned(),
            of_class: false,
            log,
            asked: 0,
            now: None,
            waiting: VecDeque::new(),
            view: runner.view(),
            runner,
            picture: OutsideView::outside(),
            lines: Vec::new(),
            to_judge: None,
            refused: None,
            broken: None,
            column: Column::default(),
            why: String::new(),
            suspicion: Picker::default(),
            sure: 50.0,
            answer: Picker::default(),
            actions: Vec::new(),
            left: None,
            stage: WhichStage::Second,
            degrees: 30.0,
        })
    }

    /// Takes the newest view; call once a frame.
    pub fn follow(&mut self) {
        self.view = self.runner.view();
        for news in self.runner.poll() {
            match news {
                News::Refused(why) => self.refused = Some(why),
                News::Broken(why) => self.broken = Some(why),
            }
        }
        if self.lines.len() < self.view.entries.len() {
            let (from, when) = (self.lines.len(), When::yet(self.drill.exam));
            let new = Line::all(&self.view.entries, from, &self.rig, (when, 0.0));
            self.lines.extend(new);
            let waits = judging::waiting(&self.view.entries, &self.rig).ok();
            self.to_judge = waits.and_then(|e| match e.told {
                Told::Test { test, .. } => Some(test),
                _ => None,
            });
        }
        if !self.busy()
            && self.broken.is_none()
            && let Some(act) = self.waiting.pop_front()
        {
            self.send(act);
        }
    }

    fn send(&mut self, act: Act) {
        self.refused = None;
        self.now = Some(crate::report::telling::act(&act, &self.rig));
        self.asked += 1;
        self.runner.order(Order::Act(act));
    }

    /// Orders an act; while another goes on nothing is ordered.
    pub fn order(&mut self, act: Act) {
        if !self.busy() {
            self.send(act);
        }
    }

    /// Orders a test, after the reason for it where the drill asks for one.
    pub fn order_test(&mut self, test: Test) {
        let test = Act::Do(crate::visit::Act::Test(test));
        if !self.drill.asks_why {
            self.order(test);
        } else if !self.busy() {
            let why = std::mem::take(&mut self.why);
            self.send(Act::Why(
                why.split_whitespace().collect::<Vec<_>>().join(" "),
            ));
            self.waiting.push_back(test);
        }
    }

    /// Orders acts one after the other, for pictures.
    pub fn line_up(&mut self, acts: impl IntoIterator<Item = Act>) {
        self.waiting.extend(acts);
    }

    /// Gives up the act that is going on.
    pub fn cancel(&self) {
        self.runner.cancel();
    }

    /// Whether an act is going on, or the attempt has not begun yet.
    pub fn busy(&self) -> bool {
        self.broken.is_none() && (!self.view.begun || self.view.dealt_with < self.asked)
    }

    /// Whether acts are still to come or going on.
    pub fn at_work(&self) -> bool {
        self.busy() || (self.broken.is_none() && !self.waiting.is_empty())
    }

    /// What is going on, in words.
    pub fn doing(&self) -> Option<&str> {
        self.now.as_deref()
    }

    /// Share of what is going on, 0 to 1.
    pub fn share(&self) -> f64 {
        self.view.busy.unwrap_or(0.0)
    }

    /// Whether the clock has run out.
    pub fn time_is_up(&self) -> bool {
        self.view.outside.clock_s >= self.view.outside.limit_s
    }

    /// The answer as far as it is written, once it is whole.
    pub fn written_answer(&self) -> Option<Finding> {
        let cause = self.answer.cause()?;
        let actions = self.actions.clone();
        let enough = !actions.is_empty() && actions.len() <= cause.len().max(1);
        enough.then_some(())?;
        Some(Finding {
            left: self.left?,
            cause,
            actions,
        })
    }
}
