//! The fields of the form: a text, a quantity, a choice, a switch. What a field means, what holds where it is empty and
//! which bounds it has come from the reader's own list of keys.

use std::sync::OnceLock;

use egui::text::{CCursor, CCursorRange};
use egui::{ComboBox, Grid, RichText, Role, TextEdit, Ui, WidgetInfo};

use super::sheet::Sheet;
use crate::report::letters;
use crate::scenario::{Key, Written, keys};
use crate::units::{Dimension, MINUS, parse, write_quantity};
use crate::window::look::show::Units;
use crate::window::look::theme::{NOTE, Theme, plain};

/// What every part of the form needs.
pub struct Pen<'a> {
    /// The sheet.
    pub sheet: &'a mut Sheet,
    /// Units on show: of a bare number.
    pub units: Units,
    /// Colours.
    pub theme: &'a Theme,
}

/// Units of a bare number: US and SI.
pub type Unit = [&'static str; 2];
/// Temperatures.
pub const DEGREES: Unit = ["degF", "degC"];
/// Shares.
pub const PERCENT: Unit = ["%", "%"];
/// Heights.
pub const HEIGHT: Unit = ["ft", "m"];
/// Lengths of pipe.
pub const LONG: Unit = ["ft", "m"];
/// Bores and measures.
pub const SHORT: Unit = ["in", "mm"];
/// Ratings.
pub const HEAT: Unit = ["Btu/h", "kW"];
/// Sunshine.
pub const SUN: Unit = ["Btu/h-ft2", "W/m2"];
/// Times.
pub const MINUTES: Unit = ["min", "min"];

/// The key that a place of the sheet is, in the reference.
fn key(at: &str) -> Option<&'static Key> {
    static KEYS: OnceLock<Vec<Key>> = OnceLock::new();
    let all = KEYS.get_or_init(keys);
    let parts: Vec<&str> = at.split('.').collect();
    let (name, tables) = parts.split_last()?;
    let is_number = |part: &&str| part.parse::<usize>().is_ok();
    let is_list = tables.last().is_some_and(is_number);
    let path: Vec<&str> = tables.iter().copied().filter(|p| !is_number(p)).collect();
    let table = match path.join(".").as_str() {
        "" => "top of the file".to_owned(),
        "container.supply" => "[supply]".to_owned(),
        "regulator.first" | "regulator.second" => {
            "[regulator.first], [regulator.second]".to_owned()
        }
        path if is_list => format!("[[{path}]]"),
        path => format!("[{path}]"),
    };
    all.iter().find(|k| k.table == table && k.name == *name)
}

/// What a key means and between which bounds, for whoever points at its field.
fn meaning(at: &str) -> String {
    let Some(key) = key(at) else {
        return String::new();
    };
    let mut words = letters::capital(&letters::bare(&key.words));
    if !key.bounds.is_empty() {
        words.push_str(". ");
        words.push_str(&letters::capital(&key.bounds));
    }
    words
}

/// What holds where a field is empty.
fn usual(at: &str) -> String {
    key(at).map_or_else(String::new, |key| match key.usual.as_str() {
        "-" => String::new(),
        usual => usual.replace(['`', '"'], ""),
    })
}

/// What a file would say, in the units on show; what is no quantity as it stands.
fn in_system(text: &str, units: Units) -> String {
    let kinds = [
        Dimension::Length,
        Dimension::Temperature,
        Dimension::Power,
        Dimension::HeatFlux,
    ];
    let value = kinds
        .into_iter()
        .find_map(|kind| parse(text, kind).ok().map(|value| (value, kind)));
    match value {
        Some((value, kind)) => shown(&write_quantity(value, kind, units.system())),
        None => text.to_owned(),
    }
}

/// A bare number with the unit that stood there, or the usual one.
fn completed(text: &str, stood: &str, unit: &str) -> String {
    let bare = text.trim();
    let is_number =
        |c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | '/' | '-' | MINUS | '+' | ' ');
    if unit.is_empty()
        || !bare.chars().all(is_number)
        || !bare.contains(|c: char| c.is_ascii_digit())
    {
        return bare.to_owned();
    }
    let stood = stood.trim_start_matches(is_number).trim();
    let unit = if stood.is_empty() { unit } else { stood };
    format!("{bare} {unit}")
}

/// A number with the digits that one reads of it: what is stored keeps all of them. A share is read to three, a
/// temperature to a tenth, the rest to four.
fn short(text: &str) -> String {
    if let Some(rest) = text.strip_prefix(['-', MINUS]) {
        return format!("{MINUS}{}", short(rest));
    }
    let is_degrees = text.contains("deg");
    let most_digits: u8 = if text.contains('%') { 3 } else { 4 };
    let end = text
        .find(|c: char| !c.is_ascii_digit() && c != '.')
        .unwrap_or(text.len());
    let (number, rest) = text.split_at(end);
    let digits = number.trim_start_matches(['0', '.']);
    let count = digits
        .chars()
        .filter(char::is_ascii_digit)
        .fold(0, |n, _| n + 1);
    let (true, Ok(value)) = (number.contains('.'), number.parse::<f64>()) else {
        return text.to_owned();
    };
    let after = number.split_once('.').map_or(0, |(_, d)| d.len());
    if value == 0.0 || (count <= usize::from(most_digits) && !(is_degrees && after > 1)) {
        return text.to_owned();
    }
    let before = value.log10().floor() as i32 + 1;
    let most = if is_degrees { 1 } else { 12 };
    let decimals = (i32::from(most_digits) - before).max(0).min(most) as usize;
    let rounded = format!("{value:.decimals$}");
    let rounded = if rounded.contains('.') {
        rounded.trim_end_matches('0').trim_end_matches('.')
    } else {
        &rounded
    };
    format!("{rounded}{rest}")
}

/// Units as a file writes them, and as a screen shows them.
const SCREEN: [(&str, &str); 6] = [
    ("Btu/h-ft2", "Btu/h ft²"),
    ("W/m2", "W/m²"),
    ("degF", "°F"),
    ("degC", "°C"),
    ("inwc", "in w.c."),
    ("ft3", "ft³"),
];

/// A quantity of a file as it is shown: few digits, and the unit's own sign.
fn shown(text: &str) -> String {
    let with = |text: String, (file, screen): &(&str, &str)| text.replace(file, screen);
    SCREEN.iter().fold(short(text), with)
}

/// What was typed as a file writes it.
fn written(text: &str) -> String {
    let with = |text: String, (file, screen): &(&str, &str)| text.replace(screen, file);
    let text = text.replace(MINUS, "-");
    SCREEN.iter().fold(text, with)
}

/// How wide a field is for numbers with their unit.
pub const NUMBER: f32 = 92.0;

impl Pen<'_> {
    /// A field for a quantity; a bare number takes the unit that stood there.
    pub fn quantity(&mut self, ui: &mut Ui, name: &str, at: &str, unit: Unit, width: f32) {
        let unit = unit[usize::from(self.units == Units::Si)];
        if let Some(text) = self.field(ui, name, at, width, shown) {
            // A unit that the reader did not take is no unit that stood there: it would cling to whatever is typed next.
            let is_wrong = self.sheet.wrong.iter().any(|w| w.at == at);
            let stood = self.sheet.draft.get(at).filter(|_| !is_wrong);
            let stood = stood.unwrap_or_default();
            let text = completed(&written(&text), &stood, unit);
            self.sheet.write(at, &text);
        }
    }

    /// A field for a text.
    pub fn text(&mut self, ui: &mut Ui, name: &str, at: &str, width: f32) {
        if let Some(text) = self.letters(ui, name, at, width) {
            self.sheet
                .change(at, |d| d.put(at, Written::Text(text.clone())));
        }
    }

    /// A field of letters; what they are now, when they were changed.
    pub fn letters(&mut self, ui: &mut Ui, name: &str, at: &str, width: f32) -> Option<String> {
        self.field(ui, name, at, width, str::to_owned)
    }

    /// A field of letters that are shown as `rest` has them until somebody edits them.
    fn field(
        &mut self,
        ui: &mut Ui,
        name: &str,
        at: &str,
        width: f32,
        rest: fn(&str) -> String,
    ) -> Option<String> {
        let id = egui::Id::unique(("rig", at));
        let edited = ui.memory(|m| m.has_focus(id));
        if !edited {
            self.sheet.typed(at);
        }
        let stands = self.sheet.letters(at);
        // Letters that are being typed stay as they are; until then the field shows what it showed at rest.
        let mut text = if self.sheet.is_typed(at) {
            stands
        } else {
            rest(&stands)
        };
        let long = text.chars().count();
        let wrong = self.sheet.wrong.iter().any(|w| w.at == at);
        let ink = if wrong {
            self.theme.danger
        } else {
            self.theme.ink
        };
        let field = TextEdit::singleline(&mut text)
            .id(id)
            .desired_width(width)
            .text_color(ink)
            .hint_text(in_system(&usual(at), self.units));
        let response = ui.add_sized([width, ui.spacing().interact_size.y], field);
        response.widget_info(|| WidgetInfo::labeled(Role::TextInput, true, name));
        if response.gained_focus() {
            // What stands there is chosen, so that typing takes its place.
            if let Some(mut state) = egui::text_edit::TextEditState::load(ui.ctx(), id) {
                let all = CCursorRange::two(CCursor::new(0), CCursor::new(long));
                state.cursor.set_char_range(Some(all));
                state.store(ui.ctx(), id);
            }
        }
        let changed = response.changed();
        if changed {
            self.sheet.typing(at, &text);
        }
        if response.lost_focus() {
            self.sheet.typed(at);
        }
        let about = meaning(at);
        if !about.is_empty() {
            response.on_hover_text(about);
        }
        changed.then_some(text)
    }

    /// A choice from a list that opens: what a file says, and how it is shown.
    pub fn choice(
        &mut self,
        ui: &mut Ui,
        name: &str,
        at: &str,
        all: &[(&str, &str)],
        width: f32,
    ) -> Option<String> {
        let now = self.sheet.draft.get(at).unwrap_or_default();
        let shown = all.iter().find(|(file, _)| *file == now);
        let shown = shown.map_or(now.as_str(), |(_, shown)| shown);
        let mut chosen = None;
        let combo = ComboBox::from_id_salt(("rig", at))
            .width(width)
            .selected_text(shown)
            .show_ui(ui, |ui| {
                for (file, shown) in all {
                    if ui.selectable_label(*file == now, *shown).clicked() && *file != now {
                        chosen = Some((*file).to_owned());
                    }
                }
            });
        let label = format!("{name}: {shown}");
        combo
            .response
            .widget_info(|| WidgetInfo::labeled(Role::ComboBox, true, &label));
        let about = meaning(at);
        if !about.is_empty() {
            combo.response.on_hover_text(about);
        }
        chosen
    }

    /// A choice among a few that all stand there; `usual` is what holds where nothing is written, and is written as
    /// nothing.
    pub fn row(&mut self, ui: &mut Ui, at: &str, all: &[(&str, &str)], usual: &str) {
        let now = self.sheet.draft.get(at).unwrap_or_else(|| usual.to_owned());
        for (file, shown) in all {
            let label = ui.selectable_label(*file == now, *shown);
            if label.on_hover_text(meaning(at)).clicked() && *file != now {
                self.sheet.write(at, if *file == usual { "" } else { file });
            }
        }
    }

    /// A switch that is off where nothing is written.
    pub fn switch(&mut self, ui: &mut Ui, name: &str, at: &str, shown: &str) {
        let mut on = self.sheet.draft.get(at).as_deref() == Some("true");
        let response = ui.checkbox(&mut on, shown);
        response.widget_info(|| WidgetInfo::selected(Role::CheckBox, true, on, name));
        if response.changed() {
            self.sheet.change("", |d| {
                if on {
                    d.put(at, Written::Flag(true));
                } else {
                    d.clear(at);
                }
            });
        }
        response.on_hover_text(meaning(at));
    }

    /// What the reader says is wrong at a place, beside its field.
    pub fn wrong(&self, ui: &mut Ui, at: &str) {
        for wrong in self.sheet.wrong_under(at) {
            wrong_ui(ui, self.theme, wrong);
        }
    }

    /// A small word over or beside fields.
    pub fn note(&self, ui: &mut Ui, words: &str) -> egui::Response {
        let text = RichText::new(words)
            .font(plain(NOTE))
            .color(self.theme.soft);
        ui.add(egui::Label::new(text).wrap())
    }

    /// The word over a column or before a row of a grid.
    pub fn head(&self, ui: &mut Ui, words: &str) {
        let text = RichText::new(words)
            .font(plain(NOTE))
            .color(self.theme.soft);
        ui.add(egui::Label::new(text).extend());
    }

    /// A grid of named fields.
    pub fn grid(ui: &mut Ui, id: &str, add: impl FnOnce(&mut Ui)) {
        Grid::new(id)
            .num_columns(2)
            .spacing([12.0, 5.0])
            .show(ui, add);
    }
}

/// One mistake in the reader's own words.
pub fn wrong_ui(ui: &mut Ui, t: &Theme, wrong: &crate::scenario::Wrong) {
    let help = match wrong.help.as_str() {
        "" => String::new(),
        help => format!("; try {help}"),
    };
    let words = letters::capital(&letters::bare(&format!("{}{help}", wrong.message)));
    let text = RichText::new(words).font(plain(12.0)).color(t.danger);
    ui.add(egui::Label::new(text).wrap());
}

/// A small button that takes a row away.
pub fn away(ui: &mut Ui, name: &str) -> bool {
    let response = ui.small_button("×");
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, name));
    response.on_hover_text(name).clicked()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bare_number_takes_the_unit_that_stood_there() {
        assert_eq!(completed("25000", "30000 Btu/h", "kW"), "25000 Btu/h");
        assert_eq!(completed("25,000", "", "Btu/h"), "25,000 Btu/h");
        assert_eq!(completed("3/8", "", "in"), "3/8 in");
        assert_eq!(completed("7 kW", "30000 Btu/h", "Btu/h"), "7 kW");
        assert_eq!(completed("many", "", "Btu/h"), "many");
        assert_eq!(completed("", "30 %", "%"), "");
        assert_eq!(completed("-", "30 degF", "degF"), "-");
        assert_eq!(completed("−5", "30 degF", "degF"), "−5 degF");
    }

    /// A cold day kept all its digits on show, since the sign hid where its number ends; and a file has its own minus.
    #[test]
    fn a_number_less_than_nothing_is_shown_as_short_and_written_as_a_file_has_it() {
        assert_eq!(shown("-12.2222222 degC"), "−12.2 °C");
        assert_eq!(shown("12.2222222 degC"), "12.2 °C");
        assert_eq!(written("−12.2 °C"), "-12.2 degC");
    }

    #[test]
    fn a_field_at_rest_shows_four_digits() {
        assert_eq!(short("19.686 in"), "19.69 in");
        assert_eq!(short("0.15748 in"), "0.1575 in");
        assert_eq!(short("57.74 degF"), "57.7 degF");
        assert_eq!(short("7.7778 degC"), "7.8 degC");
        assert_eq!(short("59.97 %"), "60 %");
        assert_eq!(short("0.7533 %"), "0.753 %");
        assert_eq!(short("30000 Btu/h"), "30000 Btu/h");
        assert_eq!(short("3/8 in"), "3/8 in");
        assert_eq!(short("12345.6 ft"), "12346 ft");
        assert_eq!(short(""), "");
        assert_eq!(short("two"), "two");
    }

    /// The form can only show fields that the reader knows.
    #[test]
    fn every_field_is_a_key_of_the_reference() {
        for at in [
            "title",
            "site.air",
            "site.sun",
            "site.elevation",
            "site.sky",
            "container.0.fill",
            "container.1.kind",
            "container.0.temperature",
            "container.0.valve",
            "container.0.diameter",
            "container.0.supply.pigtail_length",
            "fuel.n_butane",
            "fuel.water",
            "supply.service_side",
            "supply.changeover.set",
            "regulator.mounted",
            "regulator.second.preload",
            "piping.bore",
            "piping.section.0.size",
            "appliance.3.rating",
            "appliance.3.thermostat.set",
            "event.0.severity",
            "run.duration",
        ] {
            assert!(key(at).is_some(), "{at}");
        }
    }
}
