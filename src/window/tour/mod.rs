//! The tour: the first five minutes, in the window itself. It waits for each deed, says what is then to be seen, and
//! points at where to look. Not here: its steps (`steps`).

pub mod steps;

use egui::{Align, Button, Label, Layout, RichText, Ui, Vec2, vec2};

use self::steps::{BY_HAND, LIT, STEPS, Seen};
use super::desk::{Desk, Page};
use crate::scenario::Scenario;
use crate::service::Gravity;
use crate::sim::Command;
use crate::window::look::spots::{self, Side, Spot};
use crate::window::look::theme::{BODY, LEAD, NOTE, main_button, plain, strong};
use crate::window::time::cycle::Cycle;
use crate::window::told::headline;

/// Height of its strip: of a step, and of the offer \[points\].
const HEIGHTS: [f32; 2] = [96.0, 46.0];
/// Height of the window's head, over the strip \[points\].
pub const HEAD: f32 = 46.0;
/// What the tour is, in as many words as there is room for.
const OFFERED: [&str; 3] = [
    "A five-minute tour: it waits for you at each step and shows where to look. It starts a rig of its own",
    "A tour of five minutes, on a rig of its own: it waits at each step",
    "A tour of five minutes",
];

/// Size of each of the four places for its buttons, which never change \[points\].
const PLACE: Vec2 = vec2(118.0, 28.0);
/// The same in a slim window, where they stand in a row over the words, and how much higher its strip is \[points\].
const SLIM: f32 = 760.0;
const SLIM_PLACE: Vec2 = vec2(82.0, 24.0);
const SLIM_MORE: f32 = 16.0;
/// Gap between them \[points\].
const PLACE_GAP: f32 = 8.0;

/// The word of the way back stays so long \[s\].
const WORD_S: f64 = 12.0;
/// What was closed leaves its room for so long at most \[s\].
const ROOM_S: f64 = 8.0;
/// A moment so far from the first one was dragged to \[s\].
const DRAGGED_S: f64 = 0.3;

/// How far it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
enum Stage {
    /// Not on show.
    #[default]
    Closed,
    /// Offered: it replaces what runs.
    Offered,
    /// At a step, and whether that is done.
    At(usize, bool),
    /// Left at a step, with a word of the way back.
    Left(usize),
}

/// The tour.
#[derive(Debug, Clone, Default)]
pub struct Tour {
    stage: Stage,
    /// Whether a cycle has come to its last step, or was gone through.
    cycle: [bool; 2],
    /// The moment that was looked at first \[s\].
    looked_s: Option<f64>,
    /// The run that was on show when it began: what that shows is none of its deeds.
    before: Option<u64>,
    /// Whether the tour's fault was ever in: what later steps tell of it is so only then.
    fault_was_in: bool,
    /// Whether it is in, and not to its end.
    in_part: bool,
    /// The step at which it was left, and the run that it belongs to.
    left: Option<(usize, u64)>,
    /// The newest run it was followed in.
    generation: u64,
    /// So long the word of the way back stays, on the clock of the window \[s\].
    word_until_s: Option<f64>,
    /// Whether a step has just begun, which wants the desk clear.
    fresh: bool,
    /// Whether two branches are to be in view, as was last asked.
    beside: bool,
    /// Height of the room that its strip has taken, and the layout of the page in which it did.
    held: Option<(f32, (Page, Vec2))>,
    /// When that was last filled, on the clock of the window \[s\].
    filled_s: f64,
    /// The tab of a narrow window under which lies what it points at, where that is out of sight.
    under: Option<Side>,
    /// Whether somebody has said not to offer it again, or gone on it.
    pub known: bool,
}

/// The rig of the tour: that of the opening scenario with all that is lit for it but one burner, and nothing that happens
/// by itself. So the first step is a load step, and the surprise comes with the third.
fn scenario() -> Scenario {
    let mut scenario = Scenario::opening();
    scenario.events.clear();
    for (i, on) in scenario.on_at_start.iter_mut().enumerate() {
        *on = LIT.contains(&i) && i != BY_HAND;
    }
    scenario
}

/// The tab of a part of a narrow window that a step can point at.
pub fn tab_of(side: Side) -> &'static str {
    match side {
        Side::Middle => "Picture",
        Side::Charts => "Charts",
        Side::Supply => "Supply and burners",
        Side::Page => "Page",
    }
}

impl Tour {
    /// Offers it.
    pub fn offer(&mut self) {
        self.stage = Stage::Offered;
    }

    /// What its key does: offers it, takes one to it where it is offered, leaves it, and comes back to the step at which it was
    /// left as long as its run is there.
    pub fn key(&mut self, desk: &mut Desk<'_>) {
        match self.stage {
            Stage::Offered => self.begin(desk),
            Stage::At(..) => self.leave(),
            Stage::Closed | Stage::Left(_) => match self.left.take() {
                Some((i, run)) if run == desk.snap.generation => self.go_to(i),
                _ => self.offer(),
            },
        }
    }

    /// Leaves it by a key, which might have meant something else: a word of the way back stays for a while.
    pub fn leave(&mut self) {
        let at = self.step();
        self.close();
        if let Some(i) = at {
            self.stage = Stage::Left(i);
            self.word_until_s = None;
        }
    }

    /// Closes it; whether it was open.
    pub fn close(&mut self) -> bool {
        self.known = true;
        if let Stage::At(i, _) = self.stage {
            self.left = Some((i, self.generation));
        }
        std::mem::take(&mut self.stage) != Stage::Closed
    }

    /// Whether its strip has something to say.
    pub fn is_open(&self) -> bool {
        self.stage != Stage::Closed
    }

    /// Whether a step is on show, counted from 0.
    pub fn step(&self) -> Option<usize> {
        match self.stage {
            Stage::At(i, _) => Some(i),
            _ => None,
        }
    }

    /// Whether what lies in hand is to be put away, as a step finds its things only so: a part in hand leaves the list of
    /// faults with its own, and a fault that is read hides the list. Asks once.
    pub fn wants_a_clear_desk(&mut self) -> bool {
        std::mem::take(&mut self.fresh)
    }

    /// Whether from now on two branches are to be in view together, or no longer. Asks once.
    pub fn wants_both_in_view(&mut self) -> Option<bool> {
        let wants = matches!(self.stage, Stage::At(i, true) if STEPS[i].beside);
        (std::mem::replace(&mut self.beside, wants) != wants).then_some(wants)
    }

    /// Height of the room of its strip, where there is one \[points\]. What was closed leaves its room until the page is laid
    /// out anew, by another page or another size of the window, or until a pointer moves elsewhere, or some seconds have gone by:
    /// nothing moves under one that is about to press.
    pub fn room(&mut self, layout: (Page, Vec2), ctx: &egui::Context) -> Option<f32> {
        let (pointer, now_s) = ctx.input(|i| (i.pointer.clone(), i.time));
        if self.is_open() {
            self.filled_s = now_s;
        }
        let has_passed = now_s > self.filled_s + ROOM_S;
        let of_now = self.held.filter(|(_, of)| *of == layout);
        let held = of_now.map(|(h, _)| h).filter(|high| {
            let strip = egui::Rangef::new(HEAD, HEAD + high);
            let is_in_it = pointer.hover_pos().is_none_or(|at| strip.contains(at.y));
            let rests = !has_passed && (is_in_it || !pointer.is_moving());
            self.is_open() || pointer.any_down() || rests
        });
        let room = match (self.height(layout.1.x), held) {
            (Some(wants), Some(held)) => Some(wants.max(held)),
            (wants, held) => wants.or(held),
        };
        self.held = room.map(|h| (h, layout));
        if self.held.is_some() && !self.is_open() {
            ctx.request_repaint_after(std::time::Duration::from_secs(1));
        }
        room
    }

    /// Height that its strip wants, where it is on show \[points\].
    fn height(&self, wide: f32) -> Option<f32> {
        // A narrow window breaks its words into more lines, until they have all its width under the buttons.
        let more = if wide < SLIM {
            SLIM_MORE
        } else {
            ((1100.0 - wide) * 0.12).clamp(0.0, 48.0)
        };
        match self.stage {
            Stage::Closed => None,
            Stage::Offered | Stage::Left(_) => Some(HEIGHTS[1]),
            Stage::At(..) => Some(HEIGHTS[0] + more),
        }
    }

    /// Looks whether the deed is done.
    pub fn follow(&mut self, desk: &Desk<'_>, cycle: Option<&Cycle>) {
        let Stage::At(i, done) = self.stage else {
            return;
        };
        if self.before == Some(desk.snap.generation) {
            return;
        }
        self.before = None;
        self.generation = desk.snap.generation;
        self.fault_was_in |= steps::fault_is_in(desk.snap);
        self.in_part = steps::fault_is_in_part(desk.snap);
        let [last, through] = &mut self.cycle;
        *last |= cycle.is_some_and(|c| c.on_word() == Some("Done"));
        *through |= *last && cycle.is_none();
        let now_s = desk.snap.readings.time_s;
        let looks = desk.snap.looks_back();
        if looks && self.looked_s.is_none() {
            self.looked_s = Some(now_s);
        }
        let seen = Seen {
            snap: desk.snap,
            cycle: *through,
            looked_on: looks && self.looked_s.is_some_and(|s| (now_s - s).abs() > DRAGGED_S),
        };
        if !done && (STEPS[i].done)(&seen) {
            self.stage = Stage::At(i, true);
        }
    }

    /// Begins it, with a rig of its own.
    pub fn begin(&mut self, desk: &mut Desk<'_>) {
        self.known = true;
        self.fault_was_in = false;
        self.go_to(0);
        self.before = Some(desk.snap.generation);
        desk.send.push(Command::Lend(Box::new(scenario())));
        desk.send.push(Command::Rate(1.0));
        desk.send.push(Command::Play);
    }

    fn go_to(&mut self, i: usize) {
        self.cycle = [false; 2];
        self.looked_s = None;
        self.fresh = true;
        self.stage = if i < STEPS.len() {
            Stage::At(i, false)
        } else {
            Stage::Closed
        };
    }

    /// Draws the strip.
    pub fn strip_ui(&mut self, ui: &mut Ui, desk: &mut Desk<'_>) {
        match self.stage {
            Stage::Closed => {
                let words = RichText::new("The tour: key T").font(plain(NOTE));
                ui.horizontal_centered(|ui| ui.label(words.color(desk.theme.soft)));
            }
            Stage::Offered => self.offer_ui(ui, desk),
            Stage::Left(i) => self.left_ui(ui, desk, i),
            Stage::At(i, done) => self.step_ui(ui, desk, i, done),
        }
    }

    fn offer_ui(&mut self, ui: &mut Ui, desk: &mut Desk<'_>) {
        let t = desk.theme;
        ui.horizontal_centered(|ui| {
            ui.label(RichText::new("New here?").font(strong(LEAD)).color(t.ink));
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                if ui.button("Not now").clicked() {
                    self.close();
                }
                if ui.add(main_button(t, "Take the tour")).clicked() {
                    self.begin(desk);
                }
                ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                    let room = ui.available_width();
                    let whole = OFFERED.into_iter().map(|words| {
                        let words = words.to_owned();
                        ui.painter().layout_no_wrap(words, plain(BODY), t.soft)
                    });
                    if let Some(galley) = whole.into_iter().find(|g| g.size().x <= room) {
                        ui.label(galley);
                    }
                });
            });
        });
    }

    /// A word of the way back, for a while.
    fn left_ui(&mut self, ui: &mut Ui, desk: &Desk<'_>, i: usize) {
        let now_s = ui.input(|input| input.time);
        let until_s = *self.word_until_s.get_or_insert(now_s + WORD_S);
        let words = format!(
            "You left the tour at step {} of {}: T comes back to it",
            i + 1,
            STEPS.len()
        );
        ui.horizontal_centered(|ui| {
            let text = RichText::new(words).font(plain(BODY)).color(desk.theme.ink);
            ui.label(text);
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                if ui.button("Close").clicked() || now_s > until_s {
                    self.stage = Stage::Closed;
                }
                if ui.button("Back to the tour").clicked() {
                    self.go_to(i);
                }
            });
        });
    }

    /// What a step says: its deed, what is then to be seen, or that both want the fault, which is not in, or not all of it.
    fn words(&self, i: usize, done: bool) -> &'static str {
        let step = &STEPS[i];
        match (step.without_fault, step.in_part) {
            (Some(instead), _) if !self.fault_was_in => instead,
            _ if done => step.seen,
            (_, Some(instead)) if self.in_part => instead,
            _ => step.deed,
        }
    }

    fn step_ui(&mut self, ui: &mut Ui, desk: &mut Desk<'_>, i: usize, done: bool) {
        if ui.max_rect().width() < SLIM {
            ui.spacing_mut().item_spacing.y = 4.0;
            ui.horizontal(|ui| {
                Self::title_ui(ui, desk, i, done);
                ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                    let wide = 4.0 * SLIM_PLACE.x + 3.0 * PLACE_GAP;
                    let size = vec2(wide, SLIM_PLACE.y);
                    ui.allocate_ui_with_layout(size, Layout::left_to_right(Align::Center), |ui| {
                        ui.spacing_mut().button_padding.x = 4.0;
                        self.buttons_ui(ui, desk, (i, done), SLIM_PLACE);
                    });
                });
            });
            self.words_ui(ui, desk, i, done);
            return;
        }
        let tools = 2.0 * PLACE.x + PLACE_GAP + 14.0;
        ui.horizontal_top(|ui| {
            let wide = (ui.available_width() - tools).max(100.0);
            ui.allocate_ui(vec2(wide, ui.available_height()), |ui| {
                ui.vertical(|ui| {
                    ui.set_width(wide);
                    ui.spacing_mut().item_spacing.y = 2.0;
                    ui.horizontal(|ui| Self::title_ui(ui, desk, i, done));
                    self.words_ui(ui, desk, i, done);
                });
            });
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                let size = vec2(2.0 * PLACE.x + PLACE_GAP, 2.0 * PLACE.y + PLACE_GAP);
                ui.allocate_ui_with_layout(size, Layout::top_down(Align::Min), |ui| {
                    self.buttons_ui(ui, desk, (i, done), PLACE);
                });
            });
        });
    }

    fn title_ui(ui: &mut Ui, desk: &Desk<'_>, i: usize, done: bool) {
        if done {
            headline::sign(ui, Gravity::Well, desk.theme);
        }
        let title = format!("{} of {}: {}", i + 1, STEPS.len(), STEPS[i].title);
        ui.label(
            RichText::new(title)
                .font(strong(LEAD))
                .color(desk.theme.ink),
        );
    }

    fn words_ui(&self, ui: &mut Ui, desk: &Desk<'_>, i: usize, done: bool) {
        let words = desk.units.prose(self.words(i, done));
        let text = RichText::new(words).font(plain(BODY)).color(desk.theme.ink);
        ui.add(Label::new(text).wrap());
        if let Some(side) = self.under {
            let tab = format!("It stands under “{}”", tab_of(side));
            let text = RichText::new(tab).font(strong(BODY)).color(desk.theme.ink);
            ui.add(Label::new(text).wrap());
        }
    }

    /// Its four places: a button that is not there leaves its place empty, so that no second click meets another one.
    fn buttons_ui(&mut self, ui: &mut Ui, desk: &Desk<'_>, (i, done): (usize, bool), size: Vec2) {
        let last = i + 1 == STEPS.len();
        let place = |ui: &mut Ui, there: bool, button: Button<'_>, why: &str| {
            if !there {
                ui.allocate_space(size);
                return false;
            }
            let button = ui.add(button.min_size(size));
            let button = if why.is_empty() {
                button
            } else {
                button.on_hover_text(why)
            };
            button.clicked()
        };
        ui.spacing_mut().item_spacing = vec2(PLACE_GAP, PLACE_GAP);
        let (mut to, mut leaves) = (None, false);
        ui.horizontal(|ui| {
            if place(ui, i > 0, Button::new("Step back"), "") {
                to = i.checked_sub(1);
            }
            let goes_on = done && !last;
            // Enter goes on, where the keyboard is nowhere else.
            let free = ui.memory(|m| m.focused().is_none());
            let enter = goes_on && free && ui.input(|i| i.key_pressed(egui::Key::Enter));
            if place(ui, goes_on, main_button(desk.theme, "Go on"), "Enter") || enter {
                to = Some(i + 1);
            }
        });
        ui.horizontal(|ui| {
            if place(ui, !done, Button::new("Skip this"), "") {
                to = Some(i + 1);
            }
            leaves = if last {
                place(ui, true, main_button(desk.theme, "End of the tour"), "")
            } else {
                let why = "Leave the tour; the rig goes on. T comes back to this step";
                place(ui, true, Button::new("Leave"), why)
            };
        });
        if leaves {
            self.close();
            if last {
                self.left = None;
            }
        } else if let Some(to) = to {
            self.go_to(to);
        }
    }

    /// Points at where the deed is done, or at what came of it.
    pub fn point(&mut self, ctx: &egui::Context, desk: &Desk<'_>) {
        self.under = None;
        let Stage::At(i, done) = self.stage else {
            return;
        };
        let step = &STEPS[i];
        let wanted = if done {
            step.look.to_vec()
        } else {
            (step.at)(desk.snap)
        };
        self.under = spots::lies_under(ctx, &wanted);
        match self.under {
            Some(side) => spots::point_at(ctx, &[Spot::SideTab(side)], desk.theme),
            None => spots::point_at(ctx, &wanted, desk.theme),
        }
    }
}
