//! Present: the cutaway, the outlet's chart or both and nothing else, in type that reads from the back of a room; and a
//! run of prepared moments with captions, recorded from what was done by hand. Not here: the file (`scenario::talk`).

use egui::{Align, Layout, RichText, Role, Ui, WidgetInfo, vec2};

use super::desk::Desk;
use crate::scenario::{Event, Talk, TalkStop, TalkView};
use crate::sim::{Command, Snapshot, Taped};
use crate::window::look::show::clock;
use crate::window::look::theme::{BODY, GAUGE, Theme, main_button, plain, strong};
use crate::window::time::jumps;
use crate::window::time::time_bar::play_command;

/// Height that everything is laid out for \[points\]: the less, the larger the type on the screen. Of it the sentence over the
/// picture is 4 %, the usual type 3 %.
const LAID_OUT_FOR: f32 = 420.0;
/// Width that it has at least \[points\]: a screen that is no wider than high has smaller type, and nothing cut.
const LEAST_WIDE: f32 = 740.0;
/// Size of the sentence over the picture \[points\].
pub(super) const ROOM_LEAD: f32 = 17.0;
/// Largest enlargement.
const LARGEST: f32 = 6.0;
/// A stretch between two stops takes no longer than this to watch \[s\].
const WATCHED_S: f64 = 8.0;
/// What is done at the instant of a moment comes so much after it \[s\].
const AFTER_S: f64 = 0.02;
/// The word that a moment was kept stays so long \[s\].
const WORD_S: f64 = 5.0;
/// Close enough to a stop \[s\].
const AT_S: f64 = 1e-6;

/// What is kept of it.
#[derive(Default)]
pub struct Present {
    /// Text size before, while it is on.
    before: Option<f32>,
    pub(super) view: TalkView,
    title: String,
    stops: Vec<TalkStop>,
    /// How many acts were done when each was kept: what is done at the same instant afterwards comes after it.
    done: Vec<usize>,
    /// What was done by hand until the last of them, as it was when that was kept: whoever has gone back since sees less of it.
    acts: Vec<(f64, Taped)>,
    /// The stop that is shown or gone to, and whether time runs towards it.
    at: Option<(usize, bool)>,
    /// Whether the list of moments is open.
    pub list: bool,
    path: String,
    said: Option<String>,
    /// The view that was last on show, and the one to come back to from outside.
    shown: Option<TalkView>,
    inside: TalkView,
    /// The moment kept last, and until when the bar says so, on the clock of the window \[s\].
    kept: Option<(f64, Option<f64>)>,
}

/// So many times the usual size in a window of a size \[points at no enlargement\].
fn enlargement(size: egui::Vec2) -> f32 {
    let fits = (size.y / LAID_OUT_FOR).min(size.x / LEAST_WIDE);
    fits.clamp(1.0, LARGEST)
}

impl Present {
    /// Whether it is on.
    pub fn is_on(&self) -> bool {
        self.before.is_some()
    }

    /// The size that other windows have: what is enlarged for a room is this window alone.
    pub(super) fn usual_size(&self, ctx: &egui::Context) -> f32 {
        self.before.unwrap_or_else(|| ctx.zoom_factor())
    }

    /// Turns it on or off.
    pub fn toggle(&mut self, ctx: &egui::Context) {
        self.shown = None;
        match self.before.take() {
            Some(size) => ctx.set_zoom_factor(size),
            None => self.before = Some(ctx.zoom_factor()),
        }
        let full = egui::ViewportCommand::Fullscreen(self.is_on());
        ctx.send_viewport_cmd(full);
    }

    /// Type as large as the screen allows.
    pub(super) fn enlarge(&self, ctx: &egui::Context) {
        let Some(before) = self.before else { return };
        let size = ctx.content_rect().size() * ctx.zoom_factor();
        let wanted = enlargement(size).max(before);
        if (wanted / ctx.zoom_factor() - 1.0).abs() > 0.02 {
            ctx.set_zoom_factor(wanted);
        }
    }

    /// Keeps the moment that is looked at, with these words for a caption.
    pub fn keep(&mut self, snap: &Snapshot, caption: String, is_outside: bool) {
        let at_s = snap.readings.time_s;
        if let Some(i) = self
            .stops
            .iter()
            .position(|s| (s.at_s - at_s).abs() <= AT_S)
        {
            self.forget(i);
        }
        let place = self.stops.partition_point(|s| s.at_s < at_s);
        let stop = TalkStop {
            at_s,
            caption,
            view: match (is_outside, self.view) {
                (true, view @ (TalkView::Outlet | TalkView::OutletAndFirst)) if self.is_on() => {
                    view
                }
                (true, _) => TalkView::Outside,
                (false, TalkView::Outside) => TalkView::default(),
                (false, view) => view,
            },
        };
        if place == self.stops.len() {
            self.acts.clone_from(&snap.acts);
        }
        self.stops.insert(place, stop);
        self.done.insert(place, snap.acts.len());
        self.said = Some(format!("Kept {}", clock(at_s, 1)));
        self.kept = Some((at_s, None));
    }

    /// Whether the picture is to be turned, being outside or not: the view that was chosen goes before it, and otherwise the
    /// view follows who has turned the picture.
    pub(super) fn turns(&mut self, is_outside: bool) -> bool {
        let chosen = self.shown != Some(self.view);
        let differs = is_outside != (self.view == TalkView::Outside);
        if differs && !chosen {
            self.view = if is_outside {
                self.inside = self.view;
                TalkView::Outside
            } else {
                self.inside
            };
        }
        self.shown = Some(self.view);
        differs && chosen
    }

    fn forget(&mut self, i: usize) {
        self.stops.remove(i);
        self.done.remove(i);
        self.at = None;
    }

    /// When an act is to be done in the talk: after a moment that was kept before it at the same instant.
    fn told_at(&self, place: usize, at_s: f64) -> f64 {
        let kept = self.stops.iter().zip(&self.done);
        let before =
            |(stop, done): (&TalkStop, &usize)| (stop.at_s - at_s).abs() <= AT_S && place >= *done;
        if kept.into_iter().any(before) {
            at_s + AFTER_S
        } else {
            at_s
        }
    }

    /// What was done by hand, for a talk that goes to the last moment: as it stands now, or, where time has been taken back to
    /// before that, as it stood when it was kept.
    fn acts_told<'a>(&'a self, now_s: f64, now: &'a [(f64, Taped)]) -> &'a [(f64, Taped)] {
        let is_before = |stop: &TalkStop| now_s < stop.at_s - AT_S;
        if self.stops.last().is_some_and(is_before) {
            &self.acts
        } else {
            now
        }
    }

    /// Goes to the next moment or the one before; whether there are any.
    pub fn go(&mut self, on: bool, desk: &mut Desk<'_>) -> bool {
        if self.stops.is_empty() {
            return false;
        }
        let now_s = desk.snap.readings.time_s;
        let next = match (self.at, on) {
            (Some((i, false)), true) => i + 1,
            (Some((i, true)), true) => i,
            (Some((i, _)), false) => i.saturating_sub(1),
            (None, true) => self.stops.partition_point(|s| s.at_s <= now_s + AT_S),
            (None, false) => self
                .stops
                .partition_point(|s| s.at_s < now_s - AT_S)
                .saturating_sub(1),
        };
        self.go_to(next.min(self.stops.len() - 1), desk);
        true
    }

    fn go_to(&mut self, i: usize, desk: &mut Desk<'_>) {
        // Which moment it is stands where it was told that one was kept.
        self.kept = None;
        let stop_s = self.stops[i].at_s;
        let ahead_s = stop_s - desk.snap.readings.time_s;
        if ahead_s > AT_S {
            desk.send
                .push(Command::Rate((ahead_s / WATCHED_S).max(1.0)));
            desk.send.push(Command::Play);
            self.at = Some((i, true));
        } else {
            jumps::look_at(desk, stop_s);
            self.arrive(i);
        }
    }

    fn arrive(&mut self, i: usize) {
        self.view = self.stops[i].view;
        self.at = Some((i, false));
    }

    /// Holds time where a moment has come.
    pub fn follow(&mut self, desk: &mut Desk<'_>) {
        let Some((i, true)) = self.at else { return };
        let Some(stop) = self.stops.get(i) else {
            self.at = None;
            return;
        };
        if desk.snap.readings.time_s >= stop.at_s - AT_S {
            // Time has run a little past it: nothing is lost by looking at the moment itself.
            jumps::look_at(desk, stop.at_s);
            desk.send.push(Command::Rate(1.0));
            self.arrive(i);
        }
    }

    /// The caption of the moment on show.
    pub fn caption(&self) -> Option<&str> {
        let (i, false) = self.at? else { return None };
        let caption = self.stops.get(i)?.caption.as_str();
        (!caption.is_empty()).then_some(caption)
    }

    /// Writes the talk: the scenario, what was done by hand, the moments.
    fn save(&mut self, snap: &Snapshot) {
        let mut left_out = false;
        let acts: Vec<Event> = self
            .acts_told(snap.readings.time_s, &snap.acts)
            .iter()
            .enumerate()
            .filter_map(|(place, (at_s, taped))| match taped {
                Taped::Act(action) => Some(Event {
                    at_s: self.told_at(place, *at_s),
                    action: *action,
                }),
                Taped::NewRegulator | Taped::NewContainers => {
                    left_out = true;
                    None
                }
                // Seconds within a part taken off, which is told above.
                Taped::HoseNuts(_) | Taped::PutOff(_) => None,
            })
            .collect();
        let title = if self.title.is_empty() {
            &snap.scenario.title
        } else {
            &self.title
        };
        let talk = Talk::of(title, &snap.scenario, acts, self.stops.clone());
        // A talk is opened by its ending.
        let mut path = std::path::PathBuf::from(self.path.trim());
        if path.extension().is_none() {
            path.set_extension("toml");
            self.path = path.display().to_string();
        }
        self.said = Some(
            match crate::form::store::write_file(&path, talk.to_toml().as_bytes()) {
                Ok(()) if left_out => format!(
                    "Saved {}. A new regulator or new containers cannot be kept in a talk: they are left out",
                    path.display()
                ),
                Ok(()) => format!("Saved {}", path.display()),
                Err(error) => format!(
                    "{} could not be written: {error}. Choose another place",
                    path.display()
                ),
            },
        );
    }

    /// Reads a talk and puts its rig on show, held at its start.
    pub fn open(&mut self, path: &std::path::Path, desk: &mut Desk<'_>) {
        match Talk::load(path) {
            Ok(talk) => {
                self.path = path.display().to_string();
                self.title = talk.title;
                self.done = vec![0; talk.stops.len()];
                self.stops = talk.stops;
                self.acts.clear();
                self.at = None;
                self.said = Some("Press F11, then Page down from moment to moment".to_owned());
                desk.send.push(Command::Lend(Box::new(talk.scenario)));
                desk.send.push(Command::Pause);
            }
            Err(error) => self.said = Some(error.to_string()),
        }
    }

    /// The list of moments, to word, arrange and keep.
    pub fn list_ui(&mut self, ctx: &egui::Context, desk: &mut Desk<'_>, is_outside: bool) {
        if !self.list {
            return;
        }
        let mut open = true;
        egui::Window::new(crate::window::look::theme::title("Prepared moments", 15.0))
            .id(egui::Id::unique("prepared moments"))
            .open(&mut open)
            .collapsible(false)
            .default_width(520.0)
            .show(ctx, |ui| self.moments_ui(ui, desk, is_outside));
        self.list &= open;
    }

    fn moments_ui(&mut self, ui: &mut Ui, desk: &mut Desk<'_>, is_outside: bool) {
        let t = desk.theme;
        let why = "What you do by hand is recorded anyway. K keeps the moment that is on show; the talk goes through all that was done and stops at each";
        ui.label(RichText::new(why).font(plain(12.0)).color(t.soft));
        let label = ui.label(RichText::new("Title").font(plain(12.0)).color(t.soft));
        let hint = desk.snap.scenario.title.clone();
        ui.add(
            egui::TextEdit::singleline(&mut self.title)
                .hint_text(hint)
                .desired_width(400.0),
        )
        .labelled_by(label.id);
        let (mut gone, mut shown) = (None, None);
        egui::ScrollArea::vertical()
            .max_height(260.0)
            .show(ui, |ui| {
                for (i, stop) in self.stops.iter_mut().enumerate() {
                    ui.horizontal(|ui| {
                        let at = ui
                            .button(clock(stop.at_s, 1))
                            .on_hover_text("Show this moment");
                        shown = shown.or(at.clicked().then_some(i));
                        let caption =
                            egui::TextEdit::singleline(&mut stop.caption).hint_text("caption");
                        ui.add(caption.desired_width(250.0)).widget_info(|| {
                            egui::WidgetInfo::labeled(egui::Role::TextInput, true, "Caption")
                        });
                        egui::ComboBox::from_id_salt(("view of a stop", i))
                            .selected_text(stop.view.words())
                            .show_ui(ui, |ui| {
                                for (words, view) in TalkView::ALL {
                                    ui.selectable_value(&mut stop.view, view, words);
                                }
                            });
                        gone = gone.or(ui.button("Remove").clicked().then_some(i));
                    });
                }
            });
        if let Some(i) = gone {
            self.forget(i);
        }
        if let Some(i) = shown {
            self.go_to(i, desk);
        }
        ui.horizontal(|ui| {
            if ui.button("Keep this moment").on_hover_text("K").clicked() {
                self.keep(desk.snap, String::new(), is_outside);
            }
        });
        ui.separator();
        let label = ui.label(
            RichText::new("File of the talk")
                .font(plain(12.0))
                .color(t.soft),
        );
        ui.add(
            egui::TextEdit::singleline(&mut self.path)
                .hint_text("path, e.g. talk.toml")
                .desired_width(400.0),
        )
        .labelled_by(label.id);
        ui.horizontal(|ui| {
            let named = !self.path.trim().is_empty();
            let save = ui.add_enabled(
                named && !self.stops.is_empty(),
                egui::Button::new("Save the talk"),
            );
            if save.clicked() {
                self.save(desk.snap);
            }
            if ui
                .add_enabled(named, egui::Button::new("Open a talk"))
                .clicked()
            {
                let path = std::path::PathBuf::from(self.path.trim());
                self.open(&path, desk);
            }
        });
        if let Some(said) = &self.said {
            ui.label(RichText::new(said).font(plain(12.0)).color(t.ink));
        }
    }

    /// Says for a while which moment was kept: its list would lie over what the room looks at.
    fn kept_ui(&mut self, ui: &mut Ui, t: &Theme) -> bool {
        let Some((at_s, until)) = &mut self.kept else {
            return false;
        };
        let now_s = ui.input(|input| input.time);
        if now_s > *until.get_or_insert(now_s + WORD_S) {
            self.kept = None;
            return false;
        }
        let words = format!("Kept {}", clock(*at_s, 1));
        ui.label(RichText::new(words).font(plain(BODY)).color(t.ink));
        true
    }

    /// What can be done while it is on: one row.
    pub(super) fn bar_ui(&mut self, ui: &mut Ui, desk: &mut Desk<'_>) -> bool {
        let snap = desk.snap;
        let t = desk.theme;
        let mut leave = false;
        ui.horizontal_centered(|ui| {
            let play = if snap.playing { "Pause" } else { "Play" };
            if ui
                .add(main_button(t, play).min_size(vec2(64.0, 28.0)))
                .clicked()
            {
                desk.send.push(play_command(snap.playing));
            }
            ui.label(
                RichText::new(clock(snap.readings.time_s, 1))
                    .font(strong(GAUGE))
                    .color(t.ink),
            );
            if !self.stops.is_empty() {
                // In large type the row has room for a word each.
                let step = |ui: &mut Ui, word: &str, name: &str, key: &str| {
                    let button = ui.button(word);
                    button.widget_info(|| WidgetInfo::labeled(Role::Button, true, name));
                    button.on_hover_text(format!("{name} ({key})")).clicked()
                };
                if step(ui, "Before", "Moment before", "Page up") {
                    self.go(false, desk);
                }
                if step(ui, "Next", "Next moment", "Page down") {
                    self.go(true, desk);
                }
                if !self.kept_ui(ui, t) {
                    let place = self.at.map_or(0, |(i, _)| i + 1);
                    let words = format!("{place} of {}", self.stops.len());
                    ui.label(RichText::new(words).font(plain(BODY)).color(t.soft));
                }
            }
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                leave = ui.button("Leave").on_hover_text("F11 or Esc").clicked();
                if ui
                    .button("Moments")
                    .on_hover_text("Word and keep the moments")
                    .clicked()
                {
                    self.list = !self.list;
                }
                egui::ComboBox::from_id_salt("view of the room")
                    .selected_text(self.view.words())
                    .show_ui(ui, |ui| {
                        for (words, view) in TalkView::ALL {
                            ui.selectable_value(&mut self.view, view, words);
                        }
                    });
            });
        });
        leave
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What was done before the last moment is in the talk, also where it is saved while an earlier instant is looked at.
    #[test]
    fn a_talk_saved_from_before_its_last_moment_has_all_that_led_to_it() {
        let act = (3.0, Taped::NewRegulator);
        let mut present = Present {
            acts: vec![act],
            ..Present::default()
        };
        present.stops.push(TalkStop {
            at_s: 7.0,
            caption: String::new(),
            view: TalkView::default(),
        });
        let more = [act, (8.0, Taped::NewRegulator)];
        assert_eq!(present.acts_told(2.0, &[]), [act]);
        assert_eq!(present.acts_told(9.0, &more), more);
    }

    /// From the back of a room: the usual type is 3 % of the height of a screen, the sentence over the picture 4 %.
    #[test]
    fn type_is_large_enough_for_a_room() {
        for screen in [
            [1280.0, 720.0],
            [1366.0, 768.0],
            [1920.0, 1080.0],
            [3840.0, 2160.0],
        ] {
            let times = enlargement(egui::Vec2::from(screen));
            assert!(times * BODY >= 0.03 * screen[1], "{screen:?}: {times}");
            assert!(times * ROOM_LEAD >= 0.04 * screen[1], "{screen:?}: {times}");
        }
        // A squarer screen has no less width than the picture needs.
        let times = enlargement(egui::vec2(1024.0, 768.0));
        assert!(1024.0 / times >= LEAST_WIDE - 0.1);
        assert_eq!(enlargement(egui::vec2(640.0, 480.0)), 1.0);
    }
}
