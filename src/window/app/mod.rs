//! The window's application: reads one snapshot a frame, lays out the panels, gathers what the
//! person asked for, and sends it to the session. It computes no physics.

pub(super) mod camera;
mod held;
mod help;
mod layout;
mod middle;
mod obey;
mod on_show;
pub(super) mod settings;
mod top;

use std::sync::Arc;
use std::time::Duration;

use egui::Ui;

use crate::scenario::Scenario;
use crate::service::state_of_affairs;
use crate::sim::{Channel, Command, Session, Snapshot};
use crate::window::app::held::Held;
use crate::window::bench::BenchPage;
use crate::window::causes::CausesPage;
use crate::window::charts::Charts;
use crate::window::class::live::Live;
use crate::window::curves::CurvesPage;
use crate::window::cutaway::{CLOSE_MAGNIFIER, Cutaway};
use crate::window::desk::keys::{self, Wish};
use crate::window::desk::{Desk, Look, Page};
use crate::window::drills::DrillsPage;
use crate::window::faults::FaultsPage;
use crate::window::faults::typed::Typed;
use crate::window::files::keep::{Keep, Kept};
use crate::window::files::{Decision, Files, Way};
use crate::window::lessons::LessonsPage;
use crate::window::look::areas;
use crate::window::look::spots::{self, Spot};
use crate::window::look::theme::{self, Theme};
use crate::window::outside::OutsideView;
use crate::window::present::Present;
use crate::window::rig::RigForm;
use crate::window::time::cycle::Cycle;
use crate::window::tour::Tour;

/// Between two pictures while a rig runs: the session has a snapshot every 16 ms, and drawing each of them takes a computer
/// without a graphics processor more than all the rest. The fastest dashes move 110 mm a second and lie 8.5 mm apart: drawn
/// more seldom than every 38 ms they would seem to run backwards. What a hand does is drawn at once.
const BETWEEN_PICTURES: Duration = Duration::from_millis(33);

/// The application.
pub struct App {
    pub(super) session: Session,
    /// How things are shown.
    pub look: Look,
    pub(super) cutaway: Cutaway,
    /// The way between outside and cutaway.
    pub outside: OutsideView,
    pub(super) charts: Charts,
    pub(super) cycle: Option<Cycle>,
    /// So long its button rests after its last step, on the clock of the window \[s\].
    cycle_until_s: Option<f64>,
    /// Stop of the magnifier that a cycle has changed.
    magnified: Option<usize>,
    /// Where the viewer was before a lesson had him look from elsewhere.
    looked_from: Option<bool>,
    pub(super) faults: FaultsPage,
    typed: Typed,
    /// The service bench.
    pub bench: BenchPage,
    /// From readings to causes.
    pub causes: CausesPage,
    /// Curves and limits.
    pub curves: CurvesPage,
    /// Hidden faults to find.
    pub drills: DrillsPage,
    /// Predict, watch, compare.
    pub lessons: LessonsPage,
    /// The instructor's window.
    pub live: Live,
    pub(super) files: Files,
    /// The form to build a rig.
    pub(super) rig: RigForm,
    pub(super) keep: Keep,
    /// The first five minutes.
    pub tour: Tour,
    /// The window in front of a room.
    pub(super) present: Present,
    held: Held,
    generation: u64,
}

impl App {
    /// Starts a session on a scenario and dresses the context.
    ///
    /// # Errors
    /// What kept the scenario from starting.
    pub fn new(ctx: &egui::Context, scenario: Scenario) -> Result<Self, String> {
        theme::install(ctx);
        let bench = BenchPage::default();
        let wake = ctx.clone();
        let session = Session::start_before(scenario, bench.witness(), move || {
            wake.request_repaint_after(BETWEEN_PICTURES);
        })?;
        Ok(Self {
            session,
            look: Look::default(),
            cutaway: Cutaway::default(),
            outside: OutsideView::default(),
            charts: Charts::default(),
            cycle: None,
            cycle_until_s: None,
            magnified: None,
            looked_from: None,
            faults: FaultsPage::default(),
            typed: Typed::default(),
            bench,
            causes: CausesPage::default(),
            curves: CurvesPage::default(),
            drills: DrillsPage::default(),
            lessons: LessonsPage::default(),
            live: Live::default(),
            files: Files::default(),
            rig: RigForm::default(),
            keep: Keep::default(),
            tour: Tour::default(),
            present: Present::default(),
            held: Held::default(),
            generation: 0,
        })
    }

    /// Offers this path when a file is opened or saved.
    pub(super) fn remember_file(&mut self, path: &std::path::Path) {
        self.files.set_path(path);
    }

    /// The rig as it stands.
    pub fn snapshot(&self) -> Arc<Snapshot> {
        self.session.snapshot()
    }

    /// Lowest and highest value of a channel that the charts have in view: of the run, then of each branch beside it.
    pub fn in_view(&self, channel: Channel) -> Vec<[f64; 2]> {
        let [from_s, to_s] = self.charts.window(&self.session.snapshot());
        let records = self.session.records();
        let all = std::iter::once(&records.now).chain(records.kept.iter().map(|kept| &kept.1));
        all.map(|record| {
            let values = record.series(channel, from_s, to_s, 400);
            values
                .iter()
                .fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], b| {
                    [low.min(b.min), high.max(b.max)]
                })
        })
        .collect()
    }

    /// Sends a command to the session.
    pub fn send(&self, command: Command) {
        self.session.send(command);
    }

    /// Draws the whole window.
    pub fn ui_all(&mut self, ui: &mut Ui) {
        let all = self.session.snapshot();
        // While the instructor's window is open this one knows nothing of faults.
        let snap = self.live.shown(&all);
        // What was panned and zoomed belongs to the run it was done in.
        if snap.generation != self.generation {
            self.generation = snap.generation;
            self.charts = Charts::default();
            self.cycle = None;
            self.usual_magnifier();
            if let Some(span_s) = self.lessons.span_s() {
                self.charts.fix_span(span_s);
            }
        }
        self.bench.follow(&snap);
        self.curves.follow();
        self.causes.follow(self.look.units);
        let theme = Theme::of(ui);
        let mut send = Vec::new();
        let ctx = ui.ctx().clone();
        if self.present.is_on() {
            self.look.size.rest();
        } else {
            self.look.size.follow(&ctx);
        }
        spots::begin(&ctx);
        areas::begin(&ctx);
        self.drills.follow(&ctx, &snap, &mut send);
        self.lessons.is_whose(self.drills.sits_here());
        self.lessons.follow(&snap, &mut send);
        self.follow_lesson(&snap);
        self.bench.go_on(&snap, &mut send);
        let page_was = self.look.page;
        if self.drills.covered() {
            self.look.page = Page::Drills;
            self.files.asking = None;
            self.build(false);
        }
        {
            let affairs = state_of_affairs(&snap.rig, &snap.readings);
            let affairs = self.live.told(affairs);
            let mut desk = Desk {
                snap: &snap,
                send: &mut send,
                units: self.look.units,
                theme: &theme,
                affairs: &affairs,
            };
            let wishes = if self.look.help {
                keys::wishes_under_a_sheet(&ctx)
            } else {
                keys::wishes(&ctx)
            };
            let wishes = self.without_words(&ctx, wishes);
            let due = self.held.due(&ctx, snap.generation);
            let tabbed = held::tabbed(&ctx);
            for wish in due.into_iter().chain(wishes).chain(self.look.wish.take()) {
                if self.held.holds(wish, desk.send, tabbed) {
                    ctx.request_repaint();
                    continue;
                }
                self.obey(wish, &ctx, &mut desk);
            }
            if !self.live.offers(self.look.page) {
                self.look.page = Page::Bench;
            }
            if let Some(cycle) = &mut self.cycle {
                cycle.follow(&mut desk);
                self.cutaway.kept = Some(cycle.part());
            }
            let was_building = self.look.building;
            self.tour.follow(&desk, self.cycle.as_ref());
            match self.tour.wants_both_in_view() {
                Some(true) => {
                    if let Some(span_s) = Charts::beside_s(&snap) {
                        self.charts.follow_live();
                        self.charts.fix_span(span_s);
                    }
                }
                // A cycle has a stretch of its own.
                Some(false) if self.cycle.is_none() => self.charts.follow_live(),
                _ => {}
            }
            self.present.follow(&mut desk);
            if self.present.is_on() && !self.drills.covered() && !was_building {
                self.present_ui(ui, &mut desk);
            } else {
                self.panels(ui, &mut desk);
                if self.tour.wants_a_clear_desk() {
                    self.cutaway.kept = None;
                    self.faults.show_all();
                }
                self.tour.point(&ctx, &desk);
                if self.look.page == Page::Lessons && self.lessons.points_at_the_instrument() {
                    spots::point_at(&ctx, &[Spot::OutletInstrument], &theme);
                }
            }
            let is_outside = self.outside.is_outside();
            self.present.list_ui(&ctx, &mut desk, is_outside);
            let asked = std::mem::replace(&mut self.look.building, was_building);
            self.build(asked);
            if self.bench.asks_for_causes() {
                self.causes.take_noted(self.bench.noted(), &desk);
                self.look.page = Page::Causes;
            }
        }
        if self.live.on {
            let mut desk = Desk {
                snap: &all,
                send: &mut send,
                units: self.look.units,
                theme: &theme,
                affairs: &state_of_affairs(&all.rig, &all.readings),
            };
            let size = self.present.usual_size(&ctx);
            self.live.window_ui(&ctx, &mut desk, size);
        }
        self.lessons.hold(&snap, &mut send);
        for command in send {
            self.bench.hears(&command);
            self.held.takes_up(&command, snap.generation);
            self.session.send(command);
        }
        if self.look.page != page_was {
            self.files.asking = None;
        }
        match self.files.show(ui) {
            Decision::Open(path) => self.open(&path),
            Decision::Save(path) => self.save(&path),
            Decision::Run(scenario) => self.take_up(scenario),
            Decision::Nothing => {}
        }
        if let Some(path) = Files::dropped(&ctx) {
            self.take_dropped(&path, &ctx);
        }
        match self.keep.show(ui, &snap) {
            Kept::Nothing => {}
            Kept::Save => {
                self.build(false);
                self.files.ask(Way::Save);
            }
            Kept::Start(scenario) => self.run(scenario),
        }
        if let Some(on) = self.look.to_area.take() {
            areas::go(&ctx, on);
        }
        help::show(ui, &mut self.look.help, self.look.units);
    }

    /// What keys ask for, less what was a word typed beside the search field, which goes there.
    fn without_words(&mut self, ctx: &egui::Context, wishes: Vec<Wish>) -> Vec<Wish> {
        let rests = self.look.help
            || self.look.building
            || self.present.is_on()
            || self.drills.covered()
            || ctx.egui_wants_keyboard_input();
        if !self.faults.was_listed() || rests {
            return self.typed.rest().into_iter().chain(wishes).collect();
        }
        let mut meant = self.typed.follow(ctx, wishes);
        if let Some(word) = meant.word {
            self.faults.search_for(&word);
        }
        // What a small deed did the same key takes back, or its fellow.
        let back: &[Wish] = match meant.take_back {
            None => &[],
            Some(Wish::MotionMore) => &[Wish::MotionLess],
            Some(Wish::MotionLess) => &[Wish::MotionMore],
            // First stage, second stage, none.
            Some(Wish::Forces) => &[Wish::Forces, Wish::Forces],
            Some(other) => &[other],
        };
        meant.wishes.extend_from_slice(back);
        meant.wishes
    }

    /// Begins the cycle, goes on with it, or ends it after its last step.
    pub(super) fn go_through_cycle(&mut self, desk: &mut Desk<'_>) {
        match &mut self.cycle {
            None => {
                self.cycle = Cycle::begin(desk);
                self.charts.follow_live();
                self.charts.close_in(true);
                self.magnified = Some(self.cutaway.set_magnifier(CLOSE_MAGNIFIER));
            }
            Some(cycle) => {
                if !cycle.next(desk) {
                    self.leave_cycle(desk);
                }
            }
        }
        if let Some(cycle) = &self.cycle {
            self.charts.fix_span(cycle.span_s());
        }
    }

    /// Draws motion as before a cycle.
    fn usual_magnifier(&mut self) {
        if let Some(stop) = self.magnified.take() {
            self.cutaway.set_magnifier(stop);
        }
    }

    /// Leaves the cycle, if one is shown.
    pub(super) fn leave_cycle(&mut self, desk: &mut Desk<'_>) -> bool {
        let Some(cycle) = self.cycle.take() else {
            return false;
        };
        cycle.end(desk);
        self.charts.follow_live();
        self.charts.close_in(false);
        self.usual_magnifier();
        self.cutaway.kept = None;
        true
    }
}

impl eframe::App for App {
    fn ui(&mut self, ui: &mut Ui, _frame: &mut eframe::Frame) {
        self.ui_all(ui);
    }
}
