//! Where everything stands in the window: three columns, two or one by its width, and the window in front of a room. Not
//! here: what a panel shows.

use egui::{CentralPanel, Frame, Label, Margin, Panel, RichText, ScrollArea, Ui, UiBuilder, vec2};

use super::top;
use crate::scenario::TalkView;
use crate::window::app::App;
use crate::window::causes::Wanted;
use crate::window::charts::{OUTLET, OUTLET_AND_FIRST};
use crate::window::desk::{Desk, Page, Side};
use crate::window::lessons::covered_ui;
use crate::window::look::areas;
use crate::window::look::pieces::{card_of_height, trouble_ui};
use crate::window::look::spots::{self, Spot};
use crate::window::look::theme::{plain, strong};
use crate::window::look::within::within;
use crate::window::panels::{burners, numbers, site, supply};
use crate::window::present::ROOM_LEAD;
use crate::window::time::time_bar;
use crate::window::tour;

/// Charts lower than this with their plate are left out \[points\].
const LEAST_CHARTS: f32 = 98.0;
/// Least height of the sheet of a drill that is worked on \[points\].
const LEAST_SHEET: f32 = 430.0;
/// A middle lower than this has no picture over a list \[points\].
const LEAST_WITH_LIST: f32 = 360.0;
/// The button of a cycle rests so long after its last step: one click too many begins no other \[s\].
const CYCLE_RESTS_S: f64 = 1.5;
/// Height of the bar of time \[points\].
const BAR: f32 = 42.0;
/// A column lower than this has no room for charts under its picture \[points\].
const LEAST_WITH_CHARTS: f32 = 384.0;
/// A window narrower than this has one side only \[points\].
const NARROW: f32 = 860.0;
/// A window narrower than this has one column: large text on a small screen \[points\].
const SLIM: f32 = 760.0;
/// Nor has a low one that is no wider than this three columns: the picture between them would be a stamp \[points\].
const LOW: [f32; 2] = [1000.0, 530.0];

impl App {
    /// Whether the page lies in the middle, where cutaway and charts are otherwise.
    fn page_in_the_middle(&self) -> bool {
        match self.look.page {
            Page::Curves | Page::Causes => true,
            Page::Drills => self.drills.takes_the_middle(),
            _ => false,
        }
    }

    pub(super) fn panels(&mut self, ui: &mut Ui, desk: &mut Desk<'_>) {
        let t = desk.theme;
        if self.cutaway.wants_the_page() {
            self.look.side = Side::Page;
        }
        let (wide, high) = (ui.available_width(), ui.available_height());
        let paper = Frame::new().fill(t.paper);
        Panel::top("head")
            .exact_size(tour::HEAD)
            .show_separator_line(true)
            .frame(
                Frame::new()
                    .fill(t.card)
                    .inner_margin(Margin::symmetric(14, 6)),
            )
            .show(ui, |ui| {
                areas::mark(ui, ui.max_rect());
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
        let layout = (self.look.page, vec2(wide, high));
        // Under a cover the rig belongs to the drill, or to the class.
        let is_covered = self.drills.covered() || self.live.is_covered();
        let room = self.tour.room(layout, ui.ctx());
        if let Some(height) = room.filter(|_| !is_covered) {
            let is_open = self.tour.is_open();
            Panel::top("tour")
                .exact_size(height)
                .frame(
                    Frame::new()
                        .fill(if is_open { t.accent_wash } else { t.paper })
                        .inner_margin(Margin::symmetric(14, 6)),
                )
                .show(ui, |ui| {
                    areas::mark(ui, ui.max_rect());
                    self.tour.strip_ui(ui, desk);
                });
        }
        if wide < SLIM || (wide < LOW[0] && high < LOW[1]) {
            self.one_column(ui, desk);
            return;
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
        // Its place first, what lies in it last: Tab and a screen reader go from left to right.
        let right = Panel::right("pages")
            .exact_size(side(0.22, 248.0, 340.0))
            .resizable(false)
            .show_separator_line(false)
            .frame(paper.inner_margin(Margin {
                left: 0,
                right: 10,
                top: 10,
                bottom: 10,
            }))
            .show(ui, |ui| ui.max_rect());
        CentralPanel::default()
            .frame(paper.inner_margin(10))
            .show(ui, |ui| self.middle(ui, desk));
        let builder = UiBuilder::new().id_salt("page").max_rect(right.inner);
        let mut ui = ui.new_child(builder);
        ui.shrink_clip_rect(right.response.rect);
        if narrow && !left_is_taken {
            self.one_side(&mut ui, desk);
        } else {
            self.right_side(&mut ui, desk);
        }
    }

    /// The one side of a narrow window: supply and burners, or the page.
    fn one_side(&mut self, ui: &mut Ui, desk: &mut Desk<'_>) {
        self.sides_ui(ui, &[Side::Supply, Side::Page]);
        match self.look.side {
            Side::Supply => self.left_side(ui, desk),
            Side::Middle | Side::Charts | Side::Page => self.right_side(ui, desk),
        }
    }

    /// The one column of a slim window: each of its three columns in turn.
    fn one_column(&mut self, ui: &mut Ui, desk: &mut Desk<'_>) {
        let paper = Frame::new().fill(desk.theme.paper);
        CentralPanel::default()
            .frame(paper.inner_margin(10))
            .show(ui, |ui| {
                let left_is_taken = self.look.page == Page::Drills && self.drills.takes_the_left();
                let lists = matches!(self.look.page, Page::Bench | Page::Drills);
                let charts_fit = ui.available_height() >= LEAST_WITH_CHARTS;
                let mut sides = vec![Side::Middle];
                if !lists && !self.page_in_the_middle() && !charts_fit {
                    sides.push(Side::Charts);
                }
                if !left_is_taken {
                    sides.push(Side::Supply);
                }
                sides.push(Side::Page);
                if !sides.contains(&self.look.side) {
                    self.look.side = Side::Middle;
                }
                self.sides_ui(ui, &sides);
                match self.look.side {
                    // The rig of a drill is looked at closely, and what was done stands under it.
                    Side::Middle if self.drills.covered() => {
                        ScrollArea::vertical().show(ui, |ui| {
                            let high = ui.available_height().max(LEAST_SHEET);
                            let size = vec2(ui.available_width(), high);
                            ui.allocate_ui(size, |ui| self.middle(ui, desk));
                        });
                    }
                    Side::Middle => self.middle(ui, desk),
                    Side::Charts => {
                        self.time_bar_ui(ui, desk);
                        let height = ui.available_height();
                        card_of_height(ui, desk.theme, height, |ui| self.charts_ui(ui, desk));
                    }
                    Side::Supply => self.left_side(ui, desk),
                    Side::Page => self.right_side(ui, desk),
                }
            });
    }

    /// Which of the columns is on show.
    fn sides_ui(&mut self, ui: &mut Ui, sides: &[Side]) {
        ui.horizontal(|ui| {
            ui.spacing_mut().item_spacing.x = 4.0;
            for side in sides {
                let name = match side {
                    Side::Middle if self.page_in_the_middle() => "Sheet",
                    Side::Middle if self.look.page == Page::Bench => "Gauges",
                    Side::Page => self.look.page.name(),
                    side => tour::tab_of(*side),
                };
                // Where the middle has a place of its own the page stands beside it.
                let elsewhere = !sides.contains(&self.look.side) && *side == Side::Page;
                let on = self.look.side == *side || elsewhere;
                let tab = ui.selectable_label(on, name);
                spots::mark(ui, Spot::SideTab(*side), tab.rect);
                if tab.clicked() {
                    self.look.side = *side;
                }
            }
        });
    }

    fn left_side(&mut self, ui: &mut Ui, desk: &mut Desk<'_>) {
        let height = ui.available_height();
        let t = desk.theme;
        let drills =
            (self.look.page == Page::Drills && self.drills.covered()).then_some(&mut self.drills);
        let covered = self.lessons.covers(desk.snap);
        card_of_height(ui, t, height, |ui| {
            ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
                match drills {
                    Some(drills) => drills.left_ui(ui, desk),
                    None if covered => covered_ui(ui, t),
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
        let bar = BAR;
        let share = match self.look.page {
            // A low window leaves the charts the outlet alone.
            Page::Drills | Page::Bench if full.y < 480.0 => 0.55,
            // Where the width bounds the picture, height would stand empty under it.
            _ if full.y < 480.0 && full.x < 450.0 => 0.58,
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
        // And what is read and done on a page has all of a window that is too low for a picture beside it.
        let no_picture = lists && full.y < LEAST_WITH_LIST;
        if self.page_in_the_middle() {
            let height = ui.available_height();
            card_of_height(ui, t, height, |ui| self.sheet(ui, desk));
            return;
        }
        ui.spacing_mut().item_spacing.y = gap;
        if !no_picture {
            card_of_height(ui, t, cutaway_height, |ui| self.picture_ui(ui, desk));
        }
        self.time_bar_ui(ui, desk);
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

    /// The bar of time.
    fn time_bar_ui(&mut self, ui: &mut Ui, desk: &mut Desk<'_>) {
        ui.allocate_ui(vec2(ui.available_width(), BAR), |ui| {
            areas::mark(ui, ui.max_rect());
            let now_s = ui.input(|i| i.time);
            let rested = self.cycle_until_s.is_none_or(|s| now_s > s);
            if time_bar::show(ui, desk, &mut self.charts, self.cycle.as_ref(), rested) {
                self.go_through_cycle(desk);
                let ended = self.cycle.is_none();
                self.cycle_until_s = ended.then_some(now_s + CYCLE_RESTS_S);
            }
        });
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
                self.drills.column_head_ui(ui);
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

    /// The whole window while it is on.
    pub(super) fn present_ui(&mut self, ui: &mut Ui, desk: &mut Desk<'_>) {
        let t = desk.theme;
        self.present.enlarge(ui.ctx());
        // What is covered stays covered: no view inside, no chart, no caption that tells what is to be found.
        let is_covered = self.live.is_covered();
        if !is_covered && self.present.turns(self.outside.is_outside()) {
            self.outside.turn();
        }
        let paper = Frame::new().fill(t.paper);
        let bar = Panel::bottom("present bar")
            .exact_size(42.0)
            .frame(
                Frame::new()
                    .fill(t.card)
                    .inner_margin(Margin::symmetric(14, 4)),
            )
            .show(ui, |ui| self.present.bar_ui(ui, desk));
        if bar.inner {
            self.present.toggle(ui.ctx());
        }
        if self.live.question().is_some() {
            let frame = Frame::new().fill(t.card).inner_margin(8);
            Panel::top("question in present")
                .frame(frame)
                .show(ui, |ui| self.live.question_ui(ui, t));
        }
        if let Some(caption) = self.present.caption().filter(|_| !is_covered) {
            let text = RichText::new(caption).font(strong(ROOM_LEAD)).color(t.ink);
            Panel::top("caption")
                .frame(
                    Frame::new()
                        .fill(t.card)
                        .inner_margin(Margin::symmetric(18, 6)),
                )
                .show(ui, |ui| ui.add(Label::new(text).wrap()));
        }
        CentralPanel::default()
            .frame(paper.inner_margin(8))
            .show(ui, |ui| {
                let heading = egui::TextStyle::Heading;
                ui.style_mut().text_styles.insert(heading, plain(ROOM_LEAD));
                let full = ui.available_height();
                let (picture, charts) = match self.present.view {
                    _ if is_covered => (full, None),
                    TalkView::PictureAndOutlet => (0.64 * full, Some(OUTLET)),
                    TalkView::Picture | TalkView::Outside => (full, None),
                    TalkView::Outlet => (0.0, Some(OUTLET)),
                    TalkView::OutletAndFirst => (0.0, Some(OUTLET_AND_FIRST)),
                };
                ui.spacing_mut().item_spacing.y = 8.0;
                if picture > 0.0 {
                    card_of_height(ui, t, picture, |ui| self.picture_ui(ui, desk));
                }
                if let Some(charts) = charts {
                    let rest = ui.available_height().max(40.0);
                    self.charts.chosen = Some(charts);
                    card_of_height(ui, t, rest, |ui| self.charts_ui(ui, desk));
                    self.charts.chosen = None;
                }
            });
    }
}
