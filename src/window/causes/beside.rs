//! The part of the form for what stands besides the items: what was told, and how some readings were taken.

use egui::{ComboBox, RichText, Role, TextEdit, Ui, WidgetInfo};

use crate::diagnosis::files::account::{Complaint, Smell, words};
use crate::diagnosis::files::beside::{AtAppliance, Beside, DRAWN_S, WATCHED_S};
use crate::units::{Dimension, System, fixed, parse, parse_number, write_quantity};
use crate::visit::Id;
use crate::window::look::show::{Units, grouped};
use crate::window::look::theme::{Theme, plain, title};

/// What is typed and chosen there.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct BesideForm {
    complaint: Option<Complaint>,
    smell: Option<Smell>,
    /// Outlet where the leak check began.
    began: String,
    /// How long the long draw lasted, and how long a climb at rest was watched.
    times: [String; 2],
    /// Pressure at an appliance with half and with all of the load.
    appliance: [String; 2],
}

const HALF_AND_FULL: [Id; 2] = [Id::HalfManifold, Id::FullManifold];

impl BesideForm {
    /// What a readings file holds.
    pub(super) fn of(beside: &Beside, units: Units) -> Self {
        let typed = |pa: Option<f64>| pa.map_or_else(String::new, |pa| low(pa, units));
        Self {
            complaint: beside.complaint,
            smell: beside.smell,
            began: typed(beside.leak_start_pa),
            times: [beside.drawn_s, beside.watched_s]
                .map(|s| s.map_or_else(String::new, time_told)),
            appliance: HALF_AND_FULL.map(|id| {
                let at = beside.appliances.iter().find(|at| at.manifold == id);
                typed(at.map(|at| at.inlet_pa))
            }),
        }
    }

    /// What was typed; what the form has no field for stays as in the file. A field that is no pressure counts as
    /// left out: it is red.
    pub(super) fn read(&self, file: &Beside, units: Units) -> Beside {
        let mut out = Beside {
            complaint: self.complaint,
            smell: self.smell,
            leak_start_pa: pressure_pa(&self.began, units),
            drawn_s: time_s(&self.times[0], DRAWN_S),
            watched_s: time_s(&self.times[1], WATCHED_S),
            ..file.clone()
        };
        out.appliances.clear();
        for (manifold, typed) in HALF_AND_FULL.into_iter().zip(&self.appliance) {
            let was = file.appliances.iter().find(|at| at.manifold == manifold);
            out.appliances
                .extend(pressure_pa(typed, units).map(|inlet_pa| AtAppliance {
                    manifold,
                    inlet_pa,
                    name: was.and_then(|at| at.name.clone()),
                }));
        }
        out
    }

    /// Bare numbers keep their meaning when the units on show change.
    pub(super) fn take_units(&mut self, before: Units, units: Units) {
        for text in self.appliance.iter_mut().chain([&mut self.began]) {
            if parse_number(text).is_some()
                && let Some(pa) = pressure_pa(text, before)
            {
                *text = low(pa, units);
            }
        }
    }

    pub(super) fn column_ui(&mut self, ui: &mut Ui, t: &Theme, units: Units) {
        ui.add_space(6.0);
        ui.label(title("What was told, and how it was read", 13.0));
        choice_ui(
            ui,
            "Complaint",
            "not told",
            &Complaint::ALL,
            &mut self.complaint,
        );
        choice_ui(
            ui,
            "Gas is smelled",
            "not told",
            &Smell::ALL,
            &mut self.smell,
        );
        let [half, full] = &mut self.appliance;
        let [drawn, watched] = &mut self.times;
        let pressure = if units == Units::Us { "in w.c." } else { "kPa" };
        let is_pressure = |text: &str| pressure_pa(text, units).is_some();
        for (words, hint, text, unit, right) in [
            (
                "Leak check began at",
                "Where it was not 9 in w.c.; from over 10.5 in w.c. the seats are shut, and no loss says nothing of what lies behind them",
                &mut self.began,
                pressure,
                &is_pressure as &dyn Fn(&str) -> bool,
            ),
            (
                "Half load, at the largest appliance",
                "At its inlet, where there is no tap at the manifold",
                half,
                pressure,
                &is_pressure,
            ),
            (
                "Full load, at the largest appliance",
                "At its inlet, where there is no tap at the manifold",
                full,
                pressure,
                &is_pressure,
            ),
            (
                "The long draw lasted",
                "How long everything had burned when it was read, where that was not about three and a half minutes; from 1 minute to 2 hours",
                drawn,
                "min",
                &|text: &str| time_s(text, DRAWN_S).is_some(),
            ),
            (
                "A climb at rest was watched for",
                "How long everything had been off at the last reading, where that was not as on the bench; from 2 minutes to 2 hours",
                watched,
                "min",
                &|text: &str| time_s(text, WATCHED_S).is_some(),
            ),
        ] {
            ui.horizontal(|ui| {
                let room = (ui.available_width() - 126.0).max(60.0);
                let label = ui
                    .allocate_ui(egui::vec2(room, 20.0), |ui| {
                        ui.set_width(room);
                        ui.add(egui::Label::new(RichText::new(words).font(plain(12.0))).wrap())
                    })
                    .inner
                    .on_hover_text(units.prose(hint));
                let right = text.trim().is_empty() || right(text);
                let mut field = TextEdit::singleline(text).desired_width(66.0);
                if !right {
                    field = field.text_color(t.danger);
                }
                ui.add(field).labelled_by(label.id);
                ui.label(RichText::new(unit).font(plain(11.5)).color(t.soft));
            });
        }
    }
}

fn low(pa: f64, units: Units) -> String {
    grouped(units.low(pa).value, if units == Units::Us { 1 } else { 2 })
}

/// A time as it stands in its field: whole minutes bare, all else with its unit.
fn time_told(s: f64) -> String {
    let minutes = s / 60.0;
    if minutes == minutes.round() {
        fixed(minutes, 0)
    } else {
        write_quantity(s, Dimension::Time, System::Us)
    }
}

/// A time of a field \[s\]; a bare number is minutes.
fn time_s(text: &str, [least, most]: [f64; 2]) -> Option<f64> {
    let with_unit = match parse_number(text) {
        Some(_) => format!("{} min", text.trim()),
        None => text.to_owned(),
    };
    let s = parse(&with_unit, Dimension::Time).ok()?;
    (least..=most).contains(&s).then_some(s)
}

fn pressure_pa(text: &str, units: Units) -> Option<f64> {
    let text = text.trim();
    let unit = if units == Units::Us { "inwc" } else { "kPa" };
    let with_unit = if parse_number(text).is_some() {
        format!("{text} {unit}")
    } else {
        text.to_owned()
    };
    let pa = parse(&with_unit, Dimension::GaugePressure).ok()?;
    // As a readings file takes it.
    (249.0..=7500.0).contains(&pa).then_some(pa)
}

fn choice_ui<T: Copy + PartialEq>(
    ui: &mut Ui,
    name: &str,
    none: &str,
    list: &[(&'static str, T)],
    value: &mut Option<T>,
) {
    ui.horizontal(|ui| {
        ui.label(RichText::new(name).font(plain(12.0)));
        let now = value.as_ref().map_or(none, |v| words(list, v));
        let label = format!("{name}: {now}");
        let width = ui.available_width() - 10.0;
        let combo = ComboBox::from_id_salt(name)
            .width(width)
            .selected_text(RichText::new(now).font(plain(12.0)))
            .show_ui(ui, |ui| {
                ui.selectable_value(value, None, none);
                for (words, one) in list {
                    ui.selectable_value(value, Some(*one), *words);
                }
            });
        combo
            .response
            .widget_info(|| WidgetInfo::labeled(Role::ComboBox, true, &label));
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A file's long draw of ten minutes, and a climb watched for one and a half: shown, kept, and typed anew.
    #[test]
    fn times_are_kept_as_the_file_has_them() {
        let file = Beside {
            drawn_s: Some(600.0),
            watched_s: Some(150.0),
            ..Beside::default()
        };
        let mut form = BesideForm::of(&file, Units::Us);
        assert_eq!(form.times[0], "10");
        assert_eq!(form.read(&file, Units::Us), file);
        form.times = ["1/2".to_owned(), "12 min".to_owned()];
        let read = form.read(&file, Units::Us);
        assert_eq!((read.drawn_s, read.watched_s), (None, Some(720.0)));
        form.times[1].clear();
        assert_eq!(form.read(&file, Units::Us).watched_s, None);
    }
}
