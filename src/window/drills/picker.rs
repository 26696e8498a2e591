//! Choosing causes from the catalogue: a search, names by family, what is chosen on top. It shows
//! every name alike and knows nothing of any drill.

use egui::{RichText, ScrollArea, TextEdit, Ui, vec2};

use crate::drill::reasoning::causes::Cause;
use crate::fault::{Family, Fault};
use crate::report::letters::capital;
use crate::window::faults::search::matches;
use crate::window::look::theme::{Theme, plain, quiet, strong};

/// Causes that can be named together.
const MOST: usize = 2;
/// Height of the list of names \[points\].
const LIST: f32 = 160.0;

/// A choice of causes.
#[derive(Debug, Clone, Default)]
pub struct Picker {
    search: String,
    chosen: Vec<Fault>,
    nothing: bool,
    open: bool,
    /// Whether the rig has two sides, so that a fault of the supply is named with its own.
    is_twin: bool,
    /// Height of the list of names \[points\]; the usual one where there is none.
    pub tall: Option<f32>,
}

impl Picker {
    /// What is chosen; none yet, or a list that is empty where nothing is wrong.
    pub fn cause(&self) -> Option<Cause> {
        (self.nothing || !self.chosen.is_empty()).then(|| self.chosen.clone())
    }

    /// Chooses this.
    pub fn set(&mut self, cause: &Cause) {
        self.chosen.clone_from(cause);
        self.nothing = cause.is_empty();
        self.open = false;
    }

    /// Names the causes as a rig of so many containers can have them.
    pub fn fit(&mut self, containers: usize) {
        self.is_twin = containers > 1;
        if !self.is_twin {
            self.chosen.iter_mut().for_each(|f| *f = f.anywhere());
        }
    }

    /// Draws it for one cause that there must be.
    pub fn one_ui(&mut self, ui: &mut Ui, t: &Theme, salt: &str) {
        self.nothing = false;
        self.ui_of(ui, t, salt, 1);
    }

    /// Draws it for one cause, two, or none at all; `salt` tells two of them apart.
    pub fn ui(&mut self, ui: &mut Ui, t: &Theme, salt: &str) {
        self.ui_of(ui, t, salt, MOST);
    }

    fn ui_of(&mut self, ui: &mut Ui, t: &Theme, salt: &str, most: usize) {
        let mut removed = None;
        for (i, fault) in self.chosen.iter().enumerate() {
            ui.horizontal(|ui| {
                let name = fault.name();
                let x = ui.add(quiet("×")).on_hover_text("Take it back");
                x.widget_info(|| {
                    egui::WidgetInfo::labeled(egui::Role::Button, true, format!("Take back {name}"))
                });
                if x.clicked() {
                    removed = Some(i);
                }
                ui.add(egui::Label::new(RichText::new(&name).font(strong(13.0))).wrap());
            });
        }
        if let Some(i) = removed {
            self.chosen.remove(i);
        }
        if self.nothing {
            ui.horizontal(|ui| {
                let x = ui.add(quiet("×"));
                x.widget_info(|| {
                    egui::WidgetInfo::labeled(egui::Role::Button, true, "Take back nothing wrong")
                });
                if x.clicked() {
                    self.nothing = false;
                }
                ui.label(RichText::new("Nothing is wrong").font(strong(13.0)));
            });
        }
        let full = self.nothing || self.chosen.len() >= most;
        if full {
            return;
        }
        if !self.chosen.is_empty() && !self.open {
            if ui.add(quiet("And a second one")).clicked() {
                self.open = true;
            }
            return;
        }
        self.list_ui(ui, t, salt, most > 1);
    }

    fn list_ui(&mut self, ui: &mut Ui, t: &Theme, salt: &str, none: bool) {
        let field = TextEdit::singleline(&mut self.search)
            .hint_text("search, e.g. vent, ice, lever")
            .desired_width(f32::INFINITY);
        let field = ui.add(field);
        field.widget_info(|| {
            egui::WidgetInfo::labeled(egui::Role::TextInput, true, "Search the causes")
        });
        let wanted = self.search.to_lowercase();
        let tall = self.tall.unwrap_or(LIST);
        egui::Frame::new()
            .stroke(egui::Stroke::new(1.0, t.edge))
            .corner_radius(crate::window::look::theme::CORNER)
            .inner_margin(4)
            .show(ui, |ui| {
                ScrollArea::vertical()
                    .id_salt(("causes", salt))
                    .max_height(tall)
                    .min_scrolled_height(tall)
                    .show(ui, |ui| self.names_ui(ui, t, &wanted, none));
            });
    }

    fn names_ui(&mut self, ui: &mut Ui, t: &Theme, wanted: &str, none: bool) {
        ui.set_width(ui.available_width());
        ui.spacing_mut().item_spacing.y = 1.0;
        ui.spacing_mut().button_padding = vec2(6.0, 2.0);
        ui.spacing_mut().interact_size.y = 20.0;
        let mut found = false;
        // A cause that is named so stands before those whose text only mentions it.
        for by_name in [true, false] {
            for family in Family::ALL {
                let of: Vec<Fault> = Fault::all_of(self.is_twin)
                    .filter(|f| f.entry().family == family && matches(f.entry(), wanted))
                    .filter(|f| f.name().to_lowercase().contains(wanted) == by_name)
                    .filter(|f| !self.chosen.contains(f))
                    .collect();
                if of.is_empty() {
                    continue;
                }
                found = true;
                let family = capital(family.words());
                ui.label(RichText::new(family).font(plain(11.5)).color(t.soft));
                for fault in of {
                    if name_ui(ui, &fault.name()) {
                        self.chosen.push(fault);
                        self.search.clear();
                        self.open = false;
                    }
                }
            }
        }
        if none && self.chosen.is_empty() && wanted.is_empty() && name_ui(ui, "Nothing is wrong") {
            self.nothing = true;
        }
        if !found {
            ui.label(
                RichText::new(
                    "No cause of that name. Try a part or a symptom: seat, spring, frost",
                )
                .color(t.soft),
            );
        }
    }
}

/// A name to click.
fn name_ui(ui: &mut Ui, name: &str) -> bool {
    let left = egui::Layout::top_down_justified(egui::Align::LEFT);
    let button = egui::Button::new(RichText::new(name).font(plain(12.5)))
        .frame_when_inactive(false)
        .wrap();
    ui.with_layout(left, |ui| ui.add(button)).inner.clicked()
}
