//! The window's application: reads one snapshot a frame, lays out the panels, gathers what the
//! person asked for, and sends it to the session. It computes no physics.

use std::sync::Arc;

use egui::{CentralPanel, Frame, Margin, Panel, RichText, ScrollArea, Ui, vec2};

use super::bench::BenchPage;
use super::causes::{CausesPage, Wanted};
use super::charts::Charts;
use super::class::live::Live;
use super::curves::CurvesPage;
use super::cutaway::{CLOSE_MAGNIFIER, Cutaway};
use super::cycle::{self, Cycle};
use super::drills::DrillsPage;
use super::faults::FaultsPage;
use super::files::{Decision, Files, Way};
use super::keep::{Keep, Kept};
use super::keys::{self, Wish};
use super::lessons::LessonsPage;
use super::outside::OutsideView;
use super::pieces::{card_of_height, trouble_ui};
use super::present::Present;
use super::rig::RigForm;
use super::show::Units;
use super::theme::{self, Theme, plain};
use super::tour::Tour;
use super::type_size::TypeSize;
use super::{burners, help, numbers, site, spots, supply, time_bar, top};
use crate::scenario::Scenario;
use crate::service::{Affairs, state_of_affairs};
use crate::sim::{Command, Session, Snapshot};
use crate::window::within::within;

/// Charts lower than this with their plate are left out \[points\].
const LEAST_CHARTS: f32 = 98.0;
/// A window narrower than this has one side only \[points\].
const NARROW: f32 = 860.0;

/// How things are shown.
#[derive(Debug, Clone, Copy, Default)]
pub struct Look {
    /// Units on show.
    pub units: Units,
    /// Whether the help sheet is open.
    pub help: bool,
    /// Whether gas dashes and flames hold still.
    pub still: bool,
    /// Page at the right.
    pub page: Page,
    /// Whether the form to build a rig takes the window.
    pub building: bool,
    /// In a narrow window: whether supply and burners stand where the page is.
    pub supply: bool,
    /// How large everything is drawn.
    pub size: TypeSize,
    /// What a menu asked for, to be done with the next frame's keys.
    pub wish: Option<Wish>,
}

/// A page of the right-hand side.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Page {
    /// What can go wrong.
    #[default]
    Faults,
    /// Instruments, tests and hands.
    Bench,
    /// From readings to causes.
    Causes,
    /// What the regulator can do.
    Curves,
    /// Every reading.
    Numbers,
    /// Hidden faults to find.
    Drills,
    /// Predict, watch, compare.
    Lessons,
}

impl Page {
    /// All pages with their names, in order.
    pub const ALL: [(Self, &'static str); 7] = [
        (Self::Faults, "Faults"),
        (Self::Bench, "Bench"),
        (Self::Causes, "Causes"),
        (Self::Curves, "Curves"),
        (Self::Numbers, "Numbers"),
        (Self::Drills, "Drills"),
        (Self::Lessons, "Lessons"),
    ];

    /// Its name.
    pub fn name(self) -> &'static str {
        let own = Self::ALL.into_iter().find(|(page, _)| *page == self);
        own.map_or("", |(_, name)| name)
    }
}

/// What a panel reads and where it puts its wishes.
pub struct Desk<'a> {
    /// The rig as it stands.
    pub snap: &'a Snapshot,
    /// Commands for the session, in order.
    pub send: &'a mut Vec<Command>,
    /// Units on show.
    pub units: Units,
    /// Colours.
    pub theme: &'a Theme,
    /// What the rig is doing and what is not right.
    pub affairs: &'a Affairs,
}

impl Desk<'_> {
    /// Whether the healthy twin has anything to show that the rig does not.
    pub fn twin_differs(&self) -> bool {
        twin_differs(self.snap)
    }
}

/// Whether rig and healthy twin can be told apart.
pub fn twin_differs(snap: &Snapshot) -> bool {
    let apart_pa = |a: f64, b: f64, most: f64| (a - b).abs() > most;
    let (r, t) = (&snap.readings, &snap.twin);
    !snap.faults.is_empty()
        || apart_pa(r.outlet_pa, t.outlet_pa, 15.0)
        || apart_pa(r.first.chamber_pa, t.first.chamber_pa, 500.0)
}

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
    /// Stop of the magnifier that a cycle has changed.
    magnified: Option<usize>,
    faults: FaultsPage,
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
    generation: u64,
}

impl App {
    /// Starts a session on a scenario and dresses the context.
    ///
    /// # Errors
    /// What kept the scenario from starting.
    pub fn new(ctx: &egui::Context, scenario: Scenario) -> Result<Self, String> {
        theme::install(ctx);
        let wake = ctx.clone();
        let bench = BenchPage::default();
        let session =
            Session::start_before(scenario, bench.witness(), move || wake.request_repaint())?;
        Ok(Self {
            session,
            look: Look::default(),
            cutaway: Cutaway::default(),
            outside: OutsideView::default(),
            charts: Charts::default(),
            cycle: None,
            magnified: None,
            faults: FaultsPage::default(),
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

    /// Sends a command to the session.
    pub fn send(&self, command: Command) {
        self.session.send(command);
    }

    /// Whether the page lies in the middle, where cutaway and charts are otherwise.
    fn page_in_the_middle(&self) -> bool {
        match self.look.page {
            Page::Curves | Page::Causes => true,
            Page::Drills => self.drills.takes_the_middle(),
            _ => false,
        }
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
        self.drills.follow(&ctx, &snap, &mut send);
        self.lessons.follow(&snap, &mut send);
        if self.drills.covered() {
            self.look.page = Page::Drills;
            self.files.asking = None;
            self.build(false);
        }
        {
            let affairs = state_of_affairs(&snap.rig, &snap.readings);
            let mut desk = Desk {
                snap: &snap,
                send: &mut send,
                units: self.look.units,
                theme: &theme,
                affairs: &affairs,
            };
            for wish in keys::wishes(&ctx).into_iter().chain(self.look.wish.take()) {
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
            self.present.follow(&mut desk);
            if self.present.is_on() && !self.drills.covered() && !was_building {
                self.present_ui(ui, &mut desk);
            } else {
                self.panels(ui, &mut desk);
                self.tour.point(&ctx, &desk);
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
            self.live.window_ui(&ctx, &mut desk);
        }
        self.lessons.hold(&snap, &mut send);
        for command in send {
            self.bench.hears(&command);
            self.session.send(command);
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
        help::show(ui, &mut self.look.help);
        if snap.playing && !self.look.still {
            ctx.request_repaint();
        }
    }

    fn panels(&mut self, ui: &mut Ui, desk: &mut Desk<'_>) {
        let t = desk.theme;
        let wide = ui.available_width();
        let paper = Frame::new().fill(t.paper);
        Panel::top("head")
            .exact_size(46.0)
            .show_separator_line(true)
            .frame(
                Frame::new()
                    .fill(t.card)
                    .inner_margin(Margin::symmetric(14, 6)),
            )
            .show(ui, |ui| {
                let head = self.drills.head();
                top::show(
                    ui,
                    desk,
                    &mut self.look,
                    &mut self.files,
                    head,
                    &mut self.live,
                );
            });
        if self.look.building {
            let ground = paper.inner_margin(10);
            CentralPanel::default()
                .frame(ground)
                .show(ui, |ui| self.form_ui(ui, desk));
            return;
        }
        if let Some(height) = self.tour.height(wide).filter(|_| !self.drills.covered()) {
            Panel::top("tour")
                .exact_size(height)
                .frame(
                    Frame::new()
                        .fill(t.accent_wash)
                        .inner_margin(Margin::symmetric(14, 6)),
                )
                .show(ui, |ui| self.tour.strip_ui(ui, desk));
        }
        let narrow = wide < NARROW;
        let side = |share: f32, least: f32, most: f32| within(wide * share, least, most);
        let left_is_taken = self.look.page == Page::Drills && self.drills.takes_the_left();
        if !left_is_taken && !narrow {
            Panel::left("supply side")
                .exact_size(side(0.17, 224.0, 280.0))
                .resizable(false)
                .show_separator_line(false)
                .frame(paper.inner_margin(Margin {
                    left: 10,
                    right: 0,
                    top: 10,
                    bottom: 10,
                }))
                .show(ui, |ui| self.left_side(ui, desk));
        }
        Panel::right("pages")
            .exact_size(side(0.22, 248.0, 340.0))
            .resizable(false)
            .show_separator_line(false)
            .frame(paper.inner_margin(Margin {
                left: 0,
                right: 10,
                top: 10,
                bottom: 10,
            }))
            .show(ui, |ui| {
                if narrow && !left_is_taken {
                    self.one_side(ui, desk);
                } else {
                    self.right_side(ui, desk);
                }
            });
        CentralPanel::default()
            .frame(paper.inner_margin(10))
            .show(ui, |ui| self.middle(ui, desk));
    }

    /// The one side of a narrow window: supply and burners, or the page.
    fn one_side(&mut self, ui: &mut Ui, desk: &mut Desk<'_>) {
        let page = self.look.page.name();
        ui.horizontal(|ui| {
            ui.spacing_mut().item_spacing.x = 4.0;
            for (supply, name) in [(true, "Supply and burners"), (false, page)] {
                if ui
                    .selectable_label(self.look.supply == supply, name)
                    .clicked()
                {
                    self.look.supply = supply;
                }
            }
        });
        if self.look.supply {
            self.left_side(ui, desk);
        } else {
            self.right_side(ui, desk);
        }
    }

    fn left_side(&mut self, ui: &mut Ui, desk: &mut Desk<'_>) {
        let height = ui.available_height();
        let t = desk.theme;
        let drills =
            (self.look.page == Page::Drills && self.drills.covered()).then_some(&mut self.drills);
        card_of_height(ui, t, height, |ui| {
            ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
                match drills {
                    Some(drills) => drills.left_ui(ui, desk),
                    None => {
                        supply::show(ui, desk, &mut self.cutaway.kept);
                        ui.add_space(8.0);
                        burners::show(ui, desk, self.live.is_covered());
                        ui.add_space(8.0);
                        site::show(ui, desk);
                    }
                }
                ui.add_space(8.0);
                ui.label(
                    RichText::new("A model for learning, no permit and no instrument. Local codes and a qualified technician decide")
                        .font(plain(11.0))
                        .color(t.soft),
                );
            });
        });
    }

    fn middle(&mut self, ui: &mut Ui, desk: &mut Desk<'_>) {
        let t = desk.theme;
        let full = ui.available_size();
        if let Some(trouble) = &desk.snap.trouble {
            trouble_ui(ui, t, trouble);
        }
        self.live.question_ui(ui, t);
        let gap = 10.0;
        let bar = 42.0;
        let share = match self.look.page {
            // A low window leaves the charts the outlet alone.
            Page::Drills | Page::Bench if full.y < 480.0 => 0.55,
            _ if full.y < 480.0 => 0.66,
            Page::Drills if full.y < 760.0 => 0.46,
            Page::Bench | Page::Drills => 0.50,
            _ if full.y > 760.0 => 0.565,
            _ => 0.58,
        };
        // Charts that could not be read leave their height to the picture.
        let both = full.y - bar - 2.0 * gap;
        let lists = matches!(self.look.page, Page::Bench | Page::Drills);
        let alone = !lists && both * (1.0 - share) < LEAST_CHARTS;
        let cutaway_height = (if alone { both + gap } else { both * share }).max(60.0);
        if self.page_in_the_middle() {
            let height = ui.available_height();
            card_of_height(ui, t, height, |ui| self.sheet(ui, desk));
            return;
        }
        ui.spacing_mut().item_spacing.y = gap;
        card_of_height(ui, t, cutaway_height, |ui| self.picture_ui(ui, desk));
        ui.allocate_ui(vec2(ui.available_width(), bar), |ui| {
            let asked = time_bar::show(ui, desk, &mut self.charts, self.cycle.as_ref());
            if asked {
                self.go_through_cycle(desk);
            }
        });
        if alone {
            return;
        }
        let rest = (ui.available_height()).max(40.0);
        card_of_height(ui, t, rest, |ui| {
            if self.look.page == Page::Bench {
                self.bench.table_ui(ui, desk);
                return;
            }
            if self.look.page == Page::Drills {
                self.drills.table_ui(ui, desk);
                return;
            }
            self.charts_ui(ui, desk);
        });
    }

    /// Begins the cycle, goes on with it, or ends it after its last step.
    pub(super) fn go_through_cycle(&mut self, desk: &mut Desk<'_>) {
        match &mut self.cycle {
            None => {
                self.cycle = Cycle::begin(desk);
                self.charts.follow_live();
                self.charts.fix_span(cycle::SPAN_S);
                self.charts.close_in(true);
                self.magnified = Some(self.cutaway.set_magnifier(CLOSE_MAGNIFIER));
            }
            Some(cycle) => {
                if !cycle.next(desk) {
                    self.leave_cycle(desk);
                }
            }
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

    /// The sheet of a page that takes the middle.
    fn sheet(&mut self, ui: &mut Ui, desk: &mut Desk<'_>) {
        match self.look.page {
            Page::Curves => self.curves.sheet_ui(ui, desk),
            Page::Causes => {
                if self.causes.sheet_ui(ui, desk) == Wanted::Cutaway {
                    self.look.page = Page::Faults;
                }
            }
            Page::Drills => {
                self.drills.sheet_ui(ui, desk);
                if self.drills.asks_for_cutaway() {
                    self.look.page = Page::Faults;
                }
            }
            Page::Faults | Page::Bench | Page::Numbers | Page::Lessons => {}
        }
    }

    fn right_side(&mut self, ui: &mut Ui, desk: &mut Desk<'_>) {
        let t = desk.theme;
        let height = ui.available_height();
        card_of_height(ui, t, height, |ui| {
            if self.drills.covered() {
                let why = "The other pages look inside the regulator: they are locked until you answer, or leave for now";
                ui.label(RichText::new(why).font(plain(11.5)).color(t.soft));
                ui.add_space(2.0);
            }
            let now = &desk.snap.readings;
            self.cutaway
                .balance_on_page(ui, &desk.snap.rig, now, desk.units);
            ScrollArea::vertical()
                .id_salt(("page", self.look.page as usize))
                .auto_shrink(false)
                .show(ui, |ui| match self.look.page {
                    Page::Faults => self.faults.show(ui, desk, &mut self.cutaway.kept),
                    Page::Bench => self.bench.column_ui(ui, desk),
                    Page::Causes => self.causes.column_ui(ui, desk),
                    Page::Curves => self.curves.column_ui(ui, desk),
                    Page::Numbers => numbers::show(ui, desk),
                    Page::Drills => self.drills.column_ui(ui, desk),
                    Page::Lessons => self.lessons.column_ui(ui, desk),
                });
        });
    }
}

impl eframe::App for App {
    fn ui(&mut self, ui: &mut Ui, _frame: &mut eframe::Frame) {
        self.ui_all(ui);
    }
}
