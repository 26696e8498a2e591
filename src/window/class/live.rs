//! Live: a second window for the instructor, on the screen that the class does not see. There faults are put in, grown and
//! cleared, time is frozen and taken back, a question is asked; the first window shows the same rig and says no word of
//! it, open or covered.
//!
//! The first window is given a snapshot that knows nothing of faults ([`unseen`]), and pages that would tell are away
//! meanwhile. So nothing that is drawn there can tell what it does not know. What the rig then does by itself, flames,
//! gauges and the open cutaway show.

use std::sync::Arc;

use egui::{
    CentralPanel, Context, Event, Frame, MouseWheelUnit, Pos2, RawInput, Rect, RichText,
    ScrollArea, TextEdit, Ui, Vec2, ViewportBuilder, ViewportId, pos2, vec2,
};

use crate::report::percent::percent;
use crate::service::Affairs;
use crate::sim::{ActiveFault, Command, Noted, Snapshot};
use crate::window::desk::{Desk, Page};
use crate::window::faults::{FaultsPage, on_its_way};
use crate::window::look::show::clock;
use crate::window::look::theme::{Theme, main_button, plain, small, title};
use crate::window::outside::{Hand, OutsideView, Scene};
use crate::window::time::jumps::before_fault;

/// Longest question, characters.
const QUESTION_CHARS: usize = 300;

/// The second window's size at first, and the free edge of the screen beside it \[points\].
const SIZE: Vec2 = vec2(420.0, 760.0);
const EDGE: f32 = 24.0;

/// What the instructor's window keeps.
pub struct Live {
    /// Whether it is open.
    pub on: bool,
    /// Whether the rig is covered in the first window.
    pub covered: bool,
    /// Whether the second window is left out: a test reads what the first one says.
    pub out_of_sight: bool,
    faults: FaultsPage,
    typed: String,
    asked: Option<String>,
    /// Where the second window was opened.
    place: Option<Pos2>,
    /// Whether the first window was outside before it was covered.
    looked_from: Option<bool>,
}

impl Default for Live {
    /// Covered at first: who opens the rig to the class does it knowingly, before anything is put in.
    fn default() -> Self {
        Self {
            on: false,
            covered: true,
            out_of_sight: false,
            faults: FaultsPage::default(),
            typed: String::new(),
            asked: None,
            place: None,
            looked_from: None,
        }
    }
}

/// Where the second window opens beside the first: at its right where the screen has room there, else at the screen's right
/// edge and a little lower, so that the pages of the first stay within reach. A first window whose place is not within this
/// screen leaves it to the system.
fn beside(first: Rect, screen: Vec2) -> Option<Pos2> {
    let is_here = Rect::from_min_size(Pos2::ZERO, screen).contains(first.left_top());
    let left = first.right().min(screen.x - SIZE.x - EDGE).max(0.0);
    let top = (first.top() + 2.0 * EDGE).min(screen.y - SIZE.y).max(0.0);
    is_here.then(|| pos2(left, top))
}

/// The second window's own size. The toolkit has one for all windows, which a presentation makes large for the room, and
/// tells where the pointer is in the points of that.
struct OwnSize;

impl OwnSize {
    /// Points of the second window to one of the first.
    fn key() -> egui::Id {
        egui::Id::unique("points of the instructor's window")
    }

    /// Sets this size until [`Self::end`], which is given what comes back.
    fn begin(ctx: &Context, size: f32) -> f32 {
        let first = ctx.zoom_factor();
        if ctx.embed_viewports() {
            return first;
        }
        ctx.add_plugin(Self);
        ctx.data_mut(|d| d.insert_temp(Self::key(), first / size));
        ctx.options_mut(|o| o.zoom_factor = size);
        first
    }

    fn end(ctx: &Context, first: f32) {
        if !ctx.embed_viewports() {
            ctx.options_mut(|o| o.zoom_factor = first);
        }
    }
}

impl egui::Plugin for OwnSize {
    fn debug_name(&self) -> &'static str {
        "own size of the instructor's window"
    }

    fn input_hook(&mut self, ctx: &Context, input: &mut RawInput) {
        if input.viewport_id != window() {
            return;
        }
        let times = ctx.data(|d| d.get_temp(Self::key())).unwrap_or(1.0);
        in_own_points(&mut input.events, times);
    }
}

fn in_own_points(events: &mut [Event], times: f32) {
    for event in events {
        match event {
            Event::PointerMoved(pos)
            | Event::PointerButton { pos, .. }
            | Event::Touch { pos, .. } => {
                *pos = (times * pos.to_vec2()).to_pos2();
            }
            Event::MouseWheel {
                unit: MouseWheelUnit::Point,
                delta,
                ..
            } => *delta *= times,
            _ => {}
        }
    }
}

fn window() -> ViewportId {
    ViewportId::from_hash_of("live")
}

/// The same rig without a word of its faults.
pub fn unseen(snap: &Snapshot) -> Snapshot {
    let is_told = |m: &crate::sim::Mark| !matches!(m.what, Noted::FaultIn(_) | Noted::FaultOut(_));
    Snapshot {
        twin: snap.readings,
        faults: Vec::new(),
        marks: Arc::new(snap.marks.iter().copied().filter(is_told).collect()),
        kept: Arc::default(),
        ..snap.clone()
    }
}

impl Live {
    /// What of a state of affairs the first window may say: what is read, seen and heard, and not what is wrong.
    pub fn told(&self, affairs: Affairs) -> Affairs {
        if self.on { affairs.effects() } else { affairs }
    }

    /// What the first window may know.
    pub fn shown(&self, snap: &Arc<Snapshot>) -> Arc<Snapshot> {
        if self.on {
            Arc::new(unseen(snap))
        } else {
            snap.clone()
        }
    }

    /// Whether a page is there in the first window.
    pub fn offers(&self, page: Page) -> bool {
        match page {
            Page::Bench => true,
            Page::Causes | Page::Curves | Page::Numbers => !self.is_covered(),
            Page::Faults | Page::Drills | Page::Lessons => !self.on,
        }
    }

    /// Whether the first window shows the outside only.
    pub fn is_covered(&self) -> bool {
        self.on && self.covered
    }

    /// Stands outside while the rig is covered, and where it stood before when the cover is off.
    pub fn takes_its_stand(&mut self, view: &mut OutsideView) {
        let covered = self.is_covered();
        if covered {
            self.looked_from.get_or_insert(view.is_outside());
            view.stand(0.0);
        } else if let Some(was_outside) = self.looked_from.take() {
            view.stand(f32::from(u8::from(!was_outside)));
        }
    }

    /// The covered rig: what eyes have of it, and what hands do there.
    pub fn covered_ui(
        ui: &mut Ui,
        view: &mut OutsideView,
        scene: &Scene<'_>,
        t: &Theme,
    ) -> Vec<Hand> {
        // What is to be seen is for the class to say; who listens is told it by the picture.
        let words = "The rig is covered: look, listen and measure";
        ui.label(RichText::new(words).font(plain(14.0)).color(t.ink));
        let room = ui.available_rect_before_wrap();
        view.picture(ui, room, scene, None, t)
    }

    /// Asks the class, or takes the question away.
    pub fn ask(&mut self, question: Option<&str>) {
        self.asked = question.map(|q| crate::units::plain_lines(q.trim()));
    }

    /// The question that stands before the class.
    pub fn question(&self) -> Option<&str> {
        self.asked.as_deref().filter(|_| self.on)
    }

    /// The question that was asked, in the first window.
    pub fn question_ui(&self, ui: &mut Ui, t: &Theme) {
        let Some(question) = self.question() else {
            return;
        };
        Frame::new()
            .fill(t.accent_wash)
            .corner_radius(crate::window::look::theme::CORNER)
            .inner_margin(egui::Margin::symmetric(12, 8))
            .show(ui, |ui| {
                ui.set_width(ui.available_width());
                ui.label(RichText::new(question).font(plain(17.0)).color(t.ink));
            });
    }

    /// The second window, everything in it of this size; `desk` knows all.
    pub fn window_ui(&mut self, ctx: &Context, desk: &mut Desk<'_>, size: f32) {
        if !self.on || self.out_of_sight {
            self.place = None;
            return;
        }
        if self.place.is_none() {
            self.place = ctx.input(|i| {
                let here = i.viewport();
                beside(here.outer_rect?, here.monitor_size?)
            });
        }
        let first = OwnSize::begin(ctx, size);
        let mut builder = ViewportBuilder::default()
            .with_title("twostage: instructor")
            .with_inner_size(SIZE);
        builder.position = self.place;
        let closed = ctx.show_viewport_immediate(window(), builder, |ui, _| {
            let paper = Frame::new().fill(desk.theme.card).inner_margin(12);
            CentralPanel::default().frame(paper).show(ui, |ui| {
                ScrollArea::vertical()
                    .auto_shrink(false)
                    .show(ui, |ui| self.controls_ui(ui, desk));
            });
            ui.ctx().input(|i| i.viewport().close_requested())
        });
        OwnSize::end(ctx, first);
        if closed {
            self.on = false;
        }
    }

    fn controls_ui(&mut self, ui: &mut Ui, desk: &mut Desk<'_>) {
        let t = desk.theme.clone();
        ui.label(title("For the instructor only", 15.0));
        ui.label(small(&t, "Put this window on the screen that the class does not see. The first one says no word of what is done here: its picture shows the rig, its words tell readings, flames and gas"));
        ui.add_space(6.0);
        Self::time_ui(ui, desk);
        Self::put_in_ui(ui, desk);
        ui.add_space(6.0);
        ui.checkbox(
            &mut self.covered,
            "Cover the rig: the outside and the bench are left",
        );
        if !self.covered {
            let words = "Uncovered, the class sees into the parts: a grain under a seat, ice or mud in a vent, a cut disc. The picture then gives the answer away";
            ui.label(RichText::new(words).font(plain(12.0)).color(t.caution));
        }
        ui.add_space(6.0);
        self.ask_ui(ui, &t);
        ui.add_space(8.0);
        ui.separator();
        self.faults.show(ui, desk, &mut None);
    }

    fn time_ui(ui: &mut Ui, desk: &mut Desk<'_>) {
        let now_s = desk.snap.readings.time_s;
        ui.horizontal_wrapped(|ui| {
            ui.label(RichText::new(clock(now_s, 0)).monospace());
            let (words, command) = if desk.snap.playing {
                ("Freeze", Command::Pause)
            } else {
                ("Run on", Command::Play)
            };
            if ui.button(words).clicked() {
                desk.send.push(command);
            }
        });
        // A row of their own: in one with the clock the last of them stood alone under it.
        ui.horizontal_wrapped(|ui| {
            let mut back = |ui: &mut Ui, words: &str, to_s: Option<f64>| {
                let button = ui.add_enabled(to_s.is_some(), egui::Button::new(words));
                if button.clicked()
                    && let Some(to_s) = to_s
                {
                    // What came after is kept as a branch.
                    desk.send.extend([
                        Command::Pause,
                        Command::LookAt(to_s),
                        Command::GoOnFromHere,
                    ]);
                }
            };
            back(ui, "Back 10 s", Some((now_s - 10.0).max(0.0)));
            back(ui, "Back 1 min", Some((now_s - 60.0).max(0.0)));
            back(ui, "Before the fault", before_fault(desk.snap));
        });
    }

    /// What is put in, where it is always in sight: the page below is long.
    fn put_in_ui(ui: &mut Ui, desk: &Desk<'_>) {
        let (snap, now_s) = (desk.snap, desk.snap.readings.time_s);
        let told = |f: &ActiveFault| {
            let name = f.fault.name_on(&snap.rig);
            match on_its_way(f, now_s) {
                _ if f.fault.entry().whole => name,
                Some((now, to)) => format!("{name}, {} of {}", percent(now), percent(to)),
                None => format!("{name}, {}", percent(f.severity_soon(now_s))),
            }
        };
        let words = if snap.faults.is_empty() {
            "In the rig: no fault".to_owned()
        } else {
            let all: Vec<String> = snap.faults.iter().map(told).collect();
            format!("In the rig: {}", all.join("; "))
        };
        let text = RichText::new(words).font(plain(12.5)).color(desk.theme.ink);
        ui.add(egui::Label::new(text).wrap());
    }

    fn ask_ui(&mut self, ui: &mut Ui, t: &Theme) {
        let label = ui.label(title("A question to the class", 13.0));
        let field = TextEdit::multiline(&mut self.typed)
            .desired_rows(2)
            .char_limit(QUESTION_CHARS)
            .hint_text("What will the outlet do when the furnace goes off?")
            .desired_width(f32::INFINITY);
        ui.add(field).labelled_by(label.id);
        ui.horizontal(|ui| {
            let ready = !self.typed.trim().is_empty();
            if ui.add_enabled(ready, main_button(t, "Ask it")).clicked() {
                let typed = self.typed.clone();
                self.ask(Some(&typed));
            }
            if ui
                .add_enabled(self.asked.is_some(), egui::Button::new("Take it away"))
                .clicked()
            {
                self.ask(None);
            }
        });
        if let Some(asked) = &self.asked {
            let words = format!("On show to the class: {asked}");
            ui.add(egui::Label::new(small(t, words)).wrap());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::PointerButton;

    /// The cover sends the first window outside, and lets it go back to where it was.
    #[test]
    fn a_cover_that_is_taken_off_leaves_the_view_as_it_was() {
        for inside in [0.0, 1.0] {
            let (mut live, mut view) = (Live::default(), OutsideView::default());
            view.stand(inside);
            let was = view.is_outside();
            live.on = true;
            live.takes_its_stand(&mut view);
            assert!(view.is_outside());
            live.takes_its_stand(&mut view);
            live.covered = false;
            live.takes_its_stand(&mut view);
            assert_eq!(view.is_outside(), was);
        }
    }

    /// It covers nothing of the first where the screen has room, and never opens off the screen.
    #[test]
    fn the_second_window_opens_beside_the_first() {
        let screen = vec2(1920.0, 1080.0);
        let first = |x, y, w| Rect::from_min_size(pos2(x, y), vec2(w, 900.0));
        let beside = |first| beside(first, screen);
        assert_eq!(beside(first(0.0, 0.0, 1400.0)).map(|p| p.x), Some(1400.0));
        let full = beside(first(0.0, 0.0, 1920.0)).expect("on the screen");
        assert_eq!(full, pos2(1476.0, 48.0));
        let low = beside(first(300.0, 700.0, 1400.0)).expect("on the screen");
        assert!(low.y + SIZE.y <= screen.y && low.x + SIZE.x <= screen.x);
        assert_eq!(beside(first(2200.0, 0.0, 1400.0)), None, "another screen");
    }

    /// Where the pointer is in the second window is told in the first one's points: there it would miss every button.
    #[test]
    fn the_pointer_is_where_it_is_in_either_size() {
        let mut events = [
            Event::PointerMoved(pos2(10.0, 20.0)),
            Event::PointerButton {
                pos: pos2(4.0, 6.0),
                button: PointerButton::Primary,
                pressed: true,
                modifiers: egui::Modifiers::NONE,
            },
            Event::PointerGone,
        ];
        in_own_points(&mut events, 2.5);
        assert_eq!(events[0], Event::PointerMoved(pos2(25.0, 50.0)));
        assert!(matches!(events[1], Event::PointerButton { pos, .. } if pos == pos2(10.0, 15.0)));
        assert_eq!(events[2], Event::PointerGone);
    }
}
