//! The part of the form for what stands besides the items: what was told, and how some readings were taken.

use egui::{ComboBox, RichText, Role, TextEdit, Ui, WidgetInfo};

use crate::diagnosis::files::account::{Complaint, Smell, words};
use crate::diagnosis::files::beside::{AtAppliance, Beside};
use crate::units::{Dimension, parse, parse_number};
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
        for (words, hint, text) in [
            (
                "Leak check began at",
                "Where it was not 9 in w.c.; from over 10.5 in w.c. the seats are shut, and no loss says nothing of what lies behind them",
                &mut self.began,
            ),
            (
                "Half load, at the largest appliance",
                "At its inlet, where there is no tap at the manifold",
                half,
            ),
            (
                "Full load, at the largest appliance",
                "At its inlet, where there is no tap at the manifold",
                full,
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
                let right = text.trim().is_empty() || pressure_pa(text, units).is_some();
                let mut field = TextEdit::singleline(text).desired_width(66.0);
                if !right {
                    field = field.text_color(t.danger);
                }
                ui.add(field).labelled_by(label.id);
                let unit = if units == Units::Us { "in w.c." } else { "kPa" };
                ui.label(RichText::new(unit).font(plain(11.5)).color(t.soft));
            });
        }
    }
}

fn low(pa: f64, units: Units) -> String {
    grouped(units.low(pa).value, if units == Units::Us { 1 } else { 2 })
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
