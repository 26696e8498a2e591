//! The form: what was read, each with its unit; a file of readings; and what the rig on show
//! would read, for practice.

use std::path::Path;

use egui::{ComboBox, ProgressBar, RichText, Role, TextEdit, Ui, WidgetInfo, vec2};

use super::beside::BesideForm;
use super::typed::{self, YELLOW, entry_of, is_bare, offered, short, unit_of};
use super::{CausesPage, Typed, Which, usual};
use crate::diagnosis::files::prior::Priors;
use crate::diagnosis::files::readings::{Readings, Yellow};
use crate::form::store::{os_words, write_file};
use crate::report::causes as told;
use crate::report::letters::{capital, quoted};
use crate::visit::{ALL, ITEMS, Id, Item, Scale};
use crate::window::desk::Desk;
use crate::window::look::show::Units;
use crate::window::look::theme::{plain, quiet, strong, title};

impl CausesPage {
    /// What was typed, checked; every mistake is noted beside its field.
    pub(super) fn readings(&mut self, units: Units) -> Typed {
        let mut out = self.check(units);
        let wrong: Vec<String> = (0..ITEMS)
            .filter(|i| !self.wrong[*i].is_empty())
            .map(|i| capital(ALL[i].words))
            .collect();
        if !wrong.is_empty() {
            return Err(format!(
                "Cannot be used as typed, see beside it: {}",
                wrong.join("; ")
            ));
        }
        if out.beside.is_empty() && out.values.iter().all(Option::is_none) {
            return Err("No readings yet. Type in at least one".to_owned());
        }
        out.priors = self.priors.changed();
        Ok(out)
    }

    /// Reads what was typed and notes what is wrong with each item.
    fn check(&mut self, units: Units) -> Readings {
        let mut out = Readings {
            title: self.from_file.title.clone(),
            rig: self.from_file.rig.clone(),
            beside: self.beside.read(&self.from_file.beside, units),
            ..Readings::default()
        };
        self.unmark();
        let mut slips = [None; ITEMS];
        for (i, text) in self.typed.iter().enumerate() {
            let text = text.trim();
            if text.is_empty() {
                continue;
            }
            match entry_of(i, text, units) {
                Ok(entry) => {
                    let is_yellow = ALL[i].id == Id::Flames && text == YELLOW;
                    if is_yellow {
                        out.yellow = Some(Yellow::AsLow);
                    }
                    out.values[i] = Some(entry.value);
                    out.over[i] = entry.is_over;
                    out.uncertainties[i] = self.from_file.uncertainties[i];
                    slips[i] = entry.slip;
                }
                Err(why) => self.wrong[i] = why,
            }
        }
        for (asked, slip) in self.asked_after.iter_mut().zip(slips) {
            let slip = slip.filter(|s| !s.is_borne_out(&out.values));
            *asked = slip.map_or_else(String::new, |s| told::slip(&s, units.system()));
        }
        // The file's own checks: bounds, and readings that contradict each other.
        let rig = out.rig.take();
        let text = out.to_toml(units.system());
        out.rig = rig;
        match Readings::parse("readings", &text) {
            // Which of its two meanings yellow has, the pressure beside it decides.
            Ok(read) => {
                let flames = Id::Flames.index();
                out.yellow = read.yellow;
                out.values[flames] = read.values[flames];
            }
            Err(mistakes) => {
                for m in mistakes.list {
                    let item = m.place.as_ref().and_then(|p| item_at(&text, p.line));
                    let words = in_words(&format!("{}; try {}", m.message, m.help));
                    // What a rig of the window has, the text here cannot say.
                    let other_rig = self.rig != Which::Standard;
                    let here =
                        |i: &usize| out.values[*i].is_some() && !(other_rig && is_of_second(*i));
                    if let Some(i) = item.filter(here) {
                        self.wrong[i] = capital(&words);
                    }
                }
            }
        }
        out
    }

    /// Bare numbers keep their meaning when the units on show change.
    pub(super) fn take_units(&mut self, units: Units) {
        let before = std::mem::replace(&mut self.typed_in, units);
        if before == units {
            return;
        }
        self.beside.take_units(before, units);
        for (i, text) in self.typed.iter_mut().enumerate() {
            let entry = entry_of(i, text.trim(), before).ok();
            if let Some(entry) = entry.filter(|_| is_bare(text)) {
                *text = typed::told(ALL[i].kind, entry.value, entry.is_over, units);
            }
        }
    }

    /// Forgets what was said of single fields.
    pub(super) fn unmark(&mut self) {
        let said = self.wrong.iter_mut().chain(&mut self.asked_after);
        said.for_each(String::clear);
    }

    pub(super) fn fill_in(&mut self, readings: &Readings, units: Units) {
        for (i, value) in readings.values.iter().enumerate() {
            let told = |v| typed::told(ALL[i].kind, v, readings.over[i], units);
            self.typed[i] = value.map_or_else(String::new, told);
        }
        if readings.yellow.is_some() {
            YELLOW.clone_into(&mut self.typed[Id::Flames.index()]);
        }
        self.unmark();
        self.from_file = Readings::default();
        self.beside = BesideForm::default();
        if self.rig == Which::OfFile {
            self.rig = Which::Standard;
        }
    }

    /// Opens the readings file that was named.
    pub(super) fn open(&mut self, units: Units) {
        self.said.clear();
        match Readings::load_asking(Path::new(self.path.trim())) {
            Ok((readings, slips)) => {
                let asked = slips.iter().map(|s| told::slip(s, units.system()));
                self.said = asked.collect::<Vec<_>>().join("\n");
                self.set_aside();
                self.all_items |= (0..ITEMS).any(|i| readings.values[i].is_some() && !usual(i));
                self.fill_in(&readings, units);
                self.priors = Priors::with(&readings.priors);
                if readings.rig.is_some() {
                    self.rig = Which::OfFile;
                }
                self.beside = BesideForm::of(&readings.beside, units);
                self.from_file = readings;
            }
            Err(e) => self.said = without_source(&in_words(&e.to_string())),
        }
    }

    fn save(&mut self, desk: &Desk<'_>) {
        let (path, units) = (self.path.trim().to_owned(), desk.units);
        let chosen = self.readings(units).map(|readings| Readings {
            rig: self.chosen_rig(desk),
            ..readings
        });
        self.said = match chosen {
            Err(why) => why,
            Ok(readings) => match write_file(
                Path::new(&path),
                readings.to_toml(units.system()).as_bytes(),
            ) {
                Ok(()) => format!("Saved {path}"),
                Err(e) => format!(
                    "{path} could not be written: {}. Choose another place",
                    os_words(&e)
                ),
            },
        };
    }

    /// The column at the right.
    pub fn column_ui(&mut self, ui: &mut Ui, desk: &Desk<'_>) {
        let t = desk.theme;
        self.ask_ui(ui, desk);
        if !self.said.is_empty() {
            ui.label(RichText::new(&self.said).font(plain(12.0)).color(t.caution));
        }
        self.bring_back_ui(ui);
        ui.add_space(4.0);
        ui.label(title("What was read", 13.0));
        ui.label(
            RichText::new(
                "Leave out what was not measured. Any unit may be typed after the number.",
            )
            .font(plain(11.5))
            .color(t.soft),
        );
        ui.spacing_mut().item_spacing.y = 3.0;
        let mut last = "";
        for (i, item) in ALL.iter().enumerate() {
            let listed = self.all_items && (self.rig != Which::Standard || !is_of_second(i));
            if !(listed || usual(i) || !self.typed[i].is_empty()) {
                continue;
            }
            let test = item.test.words();
            if self.all_items && test != last {
                last = test;
                ui.add_space(3.0);
                ui.label(
                    RichText::new(capital(test))
                        .font(strong(11.5))
                        .color(t.soft),
                );
            }
            self.item_ui(ui, desk, i);
        }
        let words = if self.all_items {
            "Fewer readings"
        } else {
            "All readings"
        };
        if ui.add(quiet(words)).clicked() {
            self.all_items = !self.all_items;
        }
        self.beside.column_ui(ui, t, desk.units);
        ui.add_space(6.0);
        self.file_ui(ui, desk);
    }

    fn ask_ui(&mut self, ui: &mut Ui, desk: &Desk<'_>) {
        let t = desk.theme;
        if self.busy() {
            if let Some(visits) = self.state.looked {
                let words =
                    format!("Looking closer at the likeliest causes: {visits} visits simulated");
                ui.label(RichText::new(words).font(plain(11.5)).color(t.soft));
            } else if let Some(g) = self.state.growth {
                let share = g.done as f32 / g.of.max(1) as f32;
                ui.add(ProgressBar::new(share).fill(t.brass).desired_height(8.0));
                let words = format!(
                    "{} of {} visits to this rig simulated; the answer gets better with each",
                    g.done, g.of
                );
                ui.label(RichText::new(words).font(plain(11.5)).color(t.soft));
            } else {
                ui.label(RichText::new("At work").font(plain(11.5)).color(t.soft));
            }
            if ui.button("Stop").clicked() {
                self.reading_off = None;
                self.stop();
            }
            return;
        }
        ui.horizontal_wrapped(|ui| {
            let ask = egui::Button::new(
                RichText::new("Find causes")
                    .font(strong(13.0))
                    .color(t.on_accent),
            )
            .fill(t.brass);
            if ui.add(ask).clicked() {
                self.ask(desk, ui.ctx());
            }
            if ui.button("Clear").clicked() {
                self.set_aside();
                self.typed.iter_mut().for_each(String::clear);
                self.unmark();
                self.from_file = Readings::default();
                self.beside = BesideForm::default();
                self.said.clear();
                // The answer to what is gone would be read as one to what comes.
                self.stop();
                self.state = super::State::default();
                (self.asked, self.shown, self.chosen) = (None, None, 0);
            }
        });
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing.x = 4.0;
            let rigs = [
                (
                    Which::Standard,
                    "standard rig",
                    "A 30 lb cylinder, an integral two-stage regulator, five appliances: answers at once",
                ),
                (
                    Which::OnShow,
                    "rig on show",
                    "Visits to the rig of the window are simulated first; that takes about a minute, the answer grows meanwhile",
                ),
                (
                    Which::OfFile,
                    "rig of the readings",
                    "The rig that the readings came with, from their file or the bench; its visits are simulated first",
                ),
            ];
            for (rig, words, hint) in rigs {
                if rig == Which::OfFile && self.from_file.rig.is_none() {
                    continue;
                }
                let text = RichText::new(words).font(plain(11.5));
                let label = ui.selectable_label(self.rig == rig, text);
                if label.on_hover_text(desk.units.prose(hint)).clicked() {
                    self.rig = rig;
                }
            }
        });
    }

    /// One reading.
    fn item_ui(&mut self, ui: &mut Ui, desk: &Desk<'_>, i: usize) {
        let t = desk.theme;
        let item = &ALL[i];
        ui.horizontal(|ui| {
            ui.spacing_mut().interact_size.y = 20.0;
            let field = 92.0;
            let room = (ui.available_width() - field - 34.0).max(60.0);
            let name = RichText::new(capital(item.words)).font(plain(12.0));
            let label = ui
                .allocate_ui_with_layout(
                    vec2(room, 20.0),
                    egui::Layout::left_to_right(egui::Align::Center),
                    |ui| {
                        ui.set_width(room);
                        ui.add(egui::Label::new(name).wrap())
                    },
                )
                .inner;
            if let Scale::Words(words) = item.kind {
                self.word_ui(ui, i, words, field + 28.0);
                return;
            }
            let text = TextEdit::singleline(&mut self.typed[i]).desired_width(field - 26.0);
            let text = if self.wrong[i].is_empty() {
                text
            } else {
                text.text_color(t.danger)
            };
            let typed = ui.add(text).labelled_by(label.id);
            if typed.changed() {
                self.wrong[i].clear();
                self.asked_after[i].clear();
            }
            if typed.lost_focus() {
                self.check(desk.units);
            }
            ui.label(
                RichText::new(short(unit_of(item.kind, desk.units)))
                    .font(plain(11.5))
                    .color(t.soft),
            );
        });
        if !self.wrong[i].is_empty() {
            let why = RichText::new(&self.wrong[i]).font(plain(12.0));
            ui.label(why.color(t.danger));
        } else if !self.asked_after[i].is_empty() {
            let asked = RichText::new(&self.asked_after[i]).font(plain(12.0));
            ui.label(asked.color(t.caution));
        }
    }

    fn word_ui(&mut self, ui: &mut Ui, i: usize, words: &'static [&'static str], width: f32) {
        let now = if self.typed[i].is_empty() {
            "not looked"
        } else {
            self.typed[i].as_str()
        };
        let label = format!("{}: {now}", capital(ALL[i].words));
        let combo = ComboBox::from_id_salt(("word", i))
            .width(width - 10.0)
            .selected_text(RichText::new(now).font(plain(12.0)))
            .show_ui(ui, |ui| {
                ui.selectable_value(&mut self.typed[i], String::new(), "not looked");
                for word in offered(i, words) {
                    ui.selectable_value(&mut self.typed[i], word.to_owned(), word);
                }
            });
        combo
            .response
            .widget_info(|| WidgetInfo::labeled(Role::ComboBox, true, &label));
    }

    fn file_ui(&mut self, ui: &mut Ui, desk: &Desk<'_>) {
        let t = desk.theme;
        let label = ui.label(title("Readings file", 13.0));
        ui.add(
            TextEdit::singleline(&mut self.path)
                .hint_text("path, e.g. readings.toml")
                .desired_width(f32::INFINITY),
        )
        .labelled_by(label.id);
        ui.horizontal_wrapped(|ui| {
            if ui.button("Open it").clicked() {
                self.open(desk.units);
            }
            if ui.button("Save it").clicked() {
                self.save(desk);
            }
        });
        ui.add_space(6.0);
        ui.label(title("For practice", 13.0));
        let read = ui.add_enabled(!self.busy(), egui::Button::new("Read the rig on show"));
        if read
            .on_hover_text("Makes the whole visit on a copy of the rig, with its faults, and fills in what it reads")
            .clicked()
        {
            self.all_items = true;
            self.read_off(desk, ui.ctx());
        }
        ui.label(
            RichText::new("The rig itself is not touched")
                .font(plain(11.5))
                .color(t.soft),
        );
    }
}

/// Whether an item is of a second container.
fn is_of_second(item: usize) -> bool {
    matches!(ALL[item].id, Id::SecondContainer | Id::SecondFill)
}

/// The item whose line of a readings file this is, counted from 1.
fn item_at(text: &str, line: usize) -> Option<usize> {
    let above: Vec<&str> = text.lines().take(line).collect();
    let table = above
        .iter()
        .rev()
        .find_map(|l| l.strip_prefix('[')?.strip_suffix(']'))?;
    let (key, _) = above.last()?.split_once(" = ")?;
    Item::find(table, key)
}

/// A message about a readings file with its keys as they are called in the form.
fn in_words(message: &str) -> String {
    let mut out = message.to_owned();
    for item in &ALL {
        out = out.replace(&format!("`{}.{}`", item.table, item.key), item.words);
    }
    quoted(&out)
}

/// A message without the quoted line and its carets, which mean nothing in letters of unlike widths.
fn without_source(message: &str) -> String {
    let quoted = |line: &&str| {
        let digits = |c: char| c.is_ascii_digit() || c == ' ';
        line.trim_start_matches(digits).starts_with('|')
    };
    let kept: Vec<&str> = message.lines().filter(|l| !quoted(l)).collect();
    kept.join("\n")
}
