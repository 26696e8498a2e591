//! The list of drills and attempts in the middle, and the brief of the chosen drill at the right.
//! It shows what a trainee may know beforehand and nothing else.

use egui::{Align, Grid, Layout, RichText, ScrollArea, TextEdit, Ui};

use super::finish::{primary, said_ui};
use super::shelf::Listed;
use super::{DrillsPage, Part, words};
use crate::drill::attempt::folder::Found;
use crate::report::letters::capital;
use crate::report::telling::{ASKS_WHY, INTERMITTENT, appliances, judging};
use crate::window::desk::Desk;
use crate::window::desk::browse::{NONE_HERE, Sought};
use crate::window::faults::caution;
use crate::window::look::theme::{Theme, plain, quiet, small, strong, title};

/// From this width on the list has all its columns \[points\].
const ROOMY: f32 = 620.0;

impl DrillsPage {
    /// The parts of the page.
    pub(super) fn parts_ui(&mut self, ui: &mut Ui) {
        // A trainee of a class sees what is theirs, and the way out is on that page.
        let is_theirs = self.part == Part::Class && self.class.is_a_trainees();
        ui.horizontal_wrapped(|ui| {
            for (part, words) in [
                (Part::Try, "Try a drill"),
                (Part::Build, "Build a drill"),
                (Part::Reports, "Read attempts"),
                (Part::Class, "A class"),
            ] {
                if is_theirs && part != Part::Class {
                    continue;
                }
                let text = RichText::new(words).font(if self.part == part {
                    strong(14.0)
                } else {
                    plain(14.0)
                });
                if ui.selectable_label(self.part == part, text).clicked() {
                    if self.part != part {
                        // What the instructor read is closed with the page: the next one here may be a trainee.
                        self.reports.forget();
                    }
                    self.part = part;
                }
            }
        });
        ui.separator();
    }

    /// The list.
    pub(super) fn list_ui(&mut self, ui: &mut Ui, desk: &mut Desk<'_>) {
        let t = desk.theme.clone();
        let ctx = ui.ctx().clone();
        self.shelf.want(self.folder.as_deref(), &ctx);
        ScrollArea::vertical()
            .id_salt("drills")
            .auto_shrink(false)
            .show(ui, |ui| {
                if !self.shelf.is_read() {
                    ui.label(RichText::new("Reading the drills").color(t.soft));
                    return;
                }
                let going = self.attempts_ui(ui);
                self.drills_ui(ui, &t);
                self.open_ui(ui, &t);
                if let Some(found) = going {
                    self.go_on(&found, desk, &ctx);
                }
            });
    }

    /// Attempts to go on with or to go through again; those that were ended fold away.
    fn attempts_ui(&self, ui: &mut Ui) -> Option<Found> {
        let mut going = None;
        let open = &self.shelf.open;
        // An answer is read by whose it is: those of the name that is written at the right.
        let ended: Vec<&Found> = self
            .shelf
            .ended
            .iter()
            .filter(|f| self.is_mine(f))
            .collect();
        if open.is_empty() && ended.is_empty() {
            return None;
        }
        ui.spacing_mut().item_spacing.y = 4.0;
        if !open.is_empty() {
            ui.label(title("Not ended yet", 14.0));
        }
        for found in open {
            if attempt_ui(ui, "Go on", found) {
                going = Some(found.clone());
            }
        }
        let count = ended.len();
        if count > 0 {
            let head = RichText::new(format!("Ended attempts of {} ({count})", self.who.trim()))
                .font(strong(13.0));
            egui::CollapsingHeader::new(head)
                .id_salt("ended")
                .show(ui, |ui| {
                    for found in ended {
                        if attempt_ui(ui, "Go through it", found) {
                            going = Some(found.clone());
                        }
                    }
                });
        }
        ui.add_space(6.0);
        ui.spacing_mut().item_spacing.y = 6.0;
        going
    }

    /// Whether an attempt is of the name that is written at the right.
    fn is_mine(&self, found: &Found) -> bool {
        let who = self.who.trim();
        !who.is_empty() && found.contents.header.who == who
    }

    fn drills_ui(&mut self, ui: &mut Ui, t: &Theme) {
        ui.label(title("Drills, from easy to hard", 14.0));
        let roomy = ui.available_width() > ROOMY;
        ui.spacing_mut().interact_size.y = 22.0;
        Grid::new("drills")
            .num_columns(if roomy { 4 } else { 3 })
            .spacing([16.0, 2.0])
            .min_row_height(22.0)
            .show(ui, |ui| {
                let heads: &[&str] = if roomy {
                    &["", "", "how hard", "what the owner says"]
                } else {
                    &["", "", "how hard"]
                };
                for head in heads {
                    ui.label(small(t, *head));
                }
                ui.end_row();
                for (i, listed) in self.shelf.drills.iter().enumerate() {
                    if row_ui(ui, t, listed, self.chosen == i, roomy) {
                        self.chosen = i;
                        (self.said, self.not_started) = (None, None);
                    }
                    ui.end_row();
                }
            });
    }

    fn open_ui(&mut self, ui: &mut Ui, t: &Theme) {
        ui.spacing_mut().interact_size.y = 26.0;
        ui.add_space(8.0);
        let label = ui.label(title("A drill of your own", 13.0));
        ui.horizontal(|ui| {
            ui.add(
                TextEdit::singleline(&mut self.path)
                    .hint_text("a drill file, or drop one here")
                    .desired_width((ui.available_width() - 180.0).clamp(120.0, 460.0)),
            )
            .labelled_by(label.id);
            let ready = !self.path.trim().is_empty();
            let button = egui::Button::new("Open it");
            if ui.add_enabled(ready, button).clicked() {
                let path = self.path.trim().to_owned();
                self.open(std::path::Path::new(&path));
            }
            if let Some(path) = self.browse[0].ui(ui, Sought::Drill, "a drill of your own") {
                self.path = path.display().to_string();
                self.open(&path);
            }
        });
        if let Some(said) = &self.said {
            said_ui(ui, t, said);
        }
        self.folder_ui(ui, t);
    }

    /// Where attempts are kept, to read and to change.
    fn folder_ui(&mut self, ui: &mut Ui, t: &Theme) {
        if self.place.is_empty()
            && let Some(folder) = &self.folder
        {
            self.place = folder.display().to_string();
        }
        ui.add_space(4.0);
        let label = ui.label(title("Attempts are kept in", 13.0));
        let mut left = false;
        ui.horizontal(|ui| {
            let field = TextEdit::singleline(&mut self.place)
                .hint_text("a folder of yours")
                .desired_width((ui.available_width() - 180.0).clamp(120.0, 460.0));
            left = ui.add(field).labelled_by(label.id).lost_focus();
            let what = "the folder where attempts are kept";
            if let Some(folder) = self.browse[1].ui(ui, Sought::Folder, what) {
                self.keep_in(&folder);
            }
        });
        let place = self.place.trim().to_owned();
        if left && !place.is_empty() {
            self.keep_in(std::path::Path::new(&place));
        }
        if self.browse.iter().any(|b| b.has_none) {
            ui.label(small(t, NONE_HERE));
        }
        for why in &self.shelf.left_out {
            ui.label(small(
                t,
                format!("An attempt there that cannot be used: {why}"),
            ));
        }
    }

    /// The brief of the chosen drill.
    pub(super) fn brief_ui(&mut self, ui: &mut Ui, desk: &mut Desk<'_>) {
        let t = desk.theme.clone();
        let Some(listed) = self.shelf.drills.get(self.chosen).cloned() else {
            ui.label(RichText::new("Choose a drill").color(t.soft));
            return;
        };
        ui.label(title(&listed.drill.title, 15.0));
        complaint_ui(ui, &t, &listed.drill);
        if let Some(w) = &listed.drill.worked {
            ui.label(small(&t, words::difficulty(&w.difficulty)));
        }
        ui.add_space(4.0);
        let label = ui.label(title("Your name", 13.0));
        let field = ui
            .add(
                TextEdit::singleline(&mut self.who)
                    .hint_text("as the report shows it")
                    .desired_width(f32::INFINITY),
            )
            .labelled_by(label.id);
        let entered = field.lost_focus() && ui.input(|i| i.key_pressed(egui::Key::Enter));
        if std::mem::take(&mut self.wants_name) {
            field.request_focus();
        }
        if field.changed() {
            self.not_started = None;
        }
        let waits =
            self.shelf.open.iter().any(|f| {
                f.drill.sum == listed.drill.sum && f.contents.header.who == self.who.trim()
            });
        let done = self
            .shelf
            .ended
            .iter()
            .any(|f| f.drill.sum == listed.drill.sum && self.is_mine(f));
        let verb = match (waits, done) {
            (true, _) => "Go on with the drill",
            (false, true) => "Try it again: a retry",
            (false, false) => "Start the drill",
        };
        if primary(ui, &t, true, verb).clicked() || entered {
            let ctx = ui.ctx().clone();
            self.start(&listed, desk, &ctx);
        }
        if let Some(why) = &self.not_started {
            said_ui(ui, &t, why);
        }
        ui.label(small(
            &t,
            "The rig is covered then: you look from outside, with what is at hand. Every act is kept at once, so a \
             crash loses nothing",
        ));
        ui.add_space(6.0);
        brief(ui, desk, &listed);
    }
}

/// An attempt with its button; whether it was pressed.
fn attempt_ui(ui: &mut Ui, verb: &str, found: &Found) -> bool {
    let c = &found.contents;
    let end_s = c.entries.last().map_or(0.0, |e| e.end_s);
    let words = format!(
        "{}: {}, {}, {}",
        c.header.who,
        c.header.title,
        crate::report::telling::count(c.entries.len(), "act"),
        words::minutes(end_s / 60.0)
    );
    ui.horizontal(|ui| {
        let button = ui.add(quiet(verb));
        button.widget_info(|| {
            egui::WidgetInfo::labeled(
                egui::Role::Button,
                true,
                format!("{verb}: {}, {}", c.header.who, c.header.title),
            )
        });
        ui.label(RichText::new(words).font(plain(12.5)));
        button.clicked()
    })
    .inner
}

/// A row of the list; whether it was chosen.
fn row_ui(ui: &mut Ui, t: &Theme, listed: &Listed, on: bool, roomy: bool) -> bool {
    let number = listed
        .number
        .map_or_else(|| "own".to_owned(), |n| n.to_string());
    ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
        ui.label(small(t, number));
    });
    let name = RichText::new(&listed.drill.title).font(if on { strong(13.0) } else { plain(13.0) });
    let name = ui.selectable_label(on, name);
    // The whole row is one thing to click.
    let across = egui::Rect::from_x_y_ranges(ui.max_rect().x_range(), name.rect.y_range());
    let row = ui
        .interact(across, name.id.with("row"), egui::Sense::click())
        .on_hover_cursor(egui::CursorIcon::PointingHand);
    let chosen = name.clicked() || row.clicked();
    let worked = listed.drill.worked.as_ref().map(|w| w.difficulty);
    match worked {
        Some(d) => {
            let level = d.level();
            ui.label(RichText::new(format!("{level}, {}", words::level(level))).font(plain(12.5)));
        }
        None => {
            ui.label(small(t, "not worked out"));
        }
    }
    if roomy {
        let words = small(t, &listed.drill.complaint);
        ui.add(egui::Label::new(words).wrap());
    }
    chosen
}

/// What a trainee may know of a drill.
fn brief(ui: &mut Ui, desk: &Desk<'_>, listed: &Listed) {
    let t = desk.theme;
    let drill = &listed.drill;
    ui.label(title("The rig", 13.0));
    ui.label(RichText::new(&drill.scenario.title).font(plain(12.5)));
    if !drill.scenario.summary.is_empty() {
        ui.label(small(t, desk.units.prose(&drill.scenario.summary)));
    }
    ui.label(small(t, appliances(&drill.scenario.rig)));
    ui.add_space(4.0);
    ui.label(title("At hand, and what it costs", 13.0));
    at_hand_ui(ui, t, drill);
    for line in crate::report::telling::not_here(drill, false) {
        caution(ui, desk, &line);
    }
    marks_ui(ui, t, drill);
    ui.label(small(
        t,
        format!(
            "It ends after {} on the clock",
            words::minutes(drill.limit_s / 60.0)
        ),
    ));
}

/// What the marks are made of, and when judgements are answered.
pub fn marks_ui(ui: &mut Ui, t: &Theme, drill: &crate::drill::Drill) {
    ui.add_space(4.0);
    ui.label(title("Marks", 13.0));
    let of = capital(&drill.weights.words());
    ui.label(RichText::new(of).font(plain(12.0)));
    ui.label(small(t, judging(drill.exam)));
    if drill.asks_why {
        ui.label(small(t, ASKS_WHY));
    }
}

/// The tools of a drill with their minutes.
pub fn at_hand_ui(ui: &mut Ui, t: &Theme, drill: &crate::drill::Drill) {
    ui.scope(|ui| {
        ui.spacing_mut().item_spacing.y = 1.0;
        ui.spacing_mut().interact_size.y = 16.0;
        for (tool, m) in drill.bag.all() {
            ui.horizontal(|ui| {
                ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                    ui.label(small(t, words::minutes(*m)));
                    ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                        let words = RichText::new(words::tool(*tool)).font(plain(12.0));
                        ui.add(egui::Label::new(words).wrap());
                    });
                });
            });
        }
    });
}

/// The owner's words.
pub fn complaint_ui(ui: &mut Ui, t: &Theme, drill: &crate::drill::Drill) {
    egui::Frame::new()
        .fill(t.well)
        .corner_radius(crate::window::look::theme::CORNER)
        .inner_margin(egui::Margin::symmetric(10, 7))
        .show(ui, |ui| {
            ui.set_width(ui.available_width());
            let complaint = format!("“{}”", drill.complaint);
            ui.label(RichText::new(complaint).font(plain(13.5)));
            if drill.is_intermittent() {
                ui.label(
                    RichText::new(INTERMITTENT)
                        .font(plain(12.0))
                        .color(t.caution),
                );
            }
        });
}
