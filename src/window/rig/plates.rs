//! Appliances in the form, as their rating plates have them; name and length of the scenario; faults that are in the
//! rig from the start, and what else is planned.

use egui::{Grid, RichText, Ui};

use super::fields::{HEAT, MINUTES, PERCENT, Pen, away};
use crate::fault::{Family, Fault};
use crate::report::letters::capital;
use crate::rig::{MAX_APPLIANCES, presets};
use crate::scenario::Written;
use crate::units::{Dimension, parse};
use crate::window::look::theme::{plain, quiet, title};

/// Ways of being lit as files call them, and as plates and manuals do.
const CONTROLS: [(&str, &str); 3] = [
    ("spark", "spark, flame sense"),
    ("pilot", "standing pilot"),
    ("hand", "by hand"),
];

/// Width of the columns of the plates without the name, and least and most width of that \[points\].
const REST: f32 = 500.0;
const NAME: [f32; 2] = [100.0, 170.0];

/// Draws the appliances.
pub fn show(ui: &mut Ui, pen: &mut Pen<'_>) {
    ui.label(title("Appliances, as their rating plates say", 14.0));
    // Over the plates, where none of them moves it away under the pointer.
    add_ui(ui, pen);
    let count = pen.sheet.draft.count("appliance");
    // A name has what the other columns leave.
    let name = (ui.available_width() - REST).clamp(NAME[0], NAME[1]);
    let mut gone = None;
    if count > 0 {
        Grid::new("plates")
            .num_columns(6)
            .spacing([6.0, 5.0])
            .show(ui, |ui| {
                for words in ["Kind", "Name", "Rating", "Control", "At the start", ""] {
                    pen.head(ui, words);
                }
                ui.end_row();
                for i in 0..count {
                    if plate_ui(ui, pen, i, name) {
                        gone = Some(i);
                    }
                    ui.end_row();
                }
            });
    }
    for i in 0..count {
        pen.wrong(ui, &format!("appliance.{i}"));
    }
    if let Some(i) = gone {
        pen.sheet.remove_appliance(i);
    }
}

/// The kinds that can be added.
fn add_ui(ui: &mut Ui, pen: &mut Pen<'_>) {
    let is_full = pen.sheet.draft.count("appliance") >= MAX_APPLIANCES;
    ui.horizontal_wrapped(|ui| {
        ui.label("Add");
        let system = pen.units.system();
        for (kind, _) in presets::APPLIANCES {
            let button = ui.add_enabled(!is_full, egui::Button::new(kind));
            let button = button
                .on_disabled_hover_text(format!("A rig has up to {MAX_APPLIANCES} appliances"));
            button.widget_info(|| {
                egui::WidgetInfo::labeled(egui::Role::Button, !is_full, format!("Add {kind}"))
            });
            if button.clicked() {
                pen.sheet.add_appliance(kind, system);
            }
        }
    });
    ui.add_space(4.0);
}

/// One plate; whether it is to go.
fn plate_ui(ui: &mut Ui, pen: &mut Pen<'_>, i: usize, name_wide: f32) -> bool {
    let at = |key: &str| format!("appliance.{i}.{key}");
    let n = i + 1;
    let kinds = presets::APPLIANCES.map(|(word, _)| (word, word));
    if let Some(kind) = pen.choice(
        ui,
        &format!("Appliance {n}, kind"),
        &at("kind"),
        &kinds,
        112.0,
    ) {
        let system = pen.units.system();
        pen.sheet.other_kind(i, &kind, system);
    }
    if let Some(name) = pen.letters(ui, &format!("Appliance {n}, name"), &at("name"), name_wide) {
        pen.sheet.rename(i, &name);
    }
    pen.quantity(
        ui,
        &format!("Appliance {n}, rating"),
        &at("rating"),
        HEAT,
        102.0,
    );
    control_ui(ui, pen, i);
    pen.switch(
        ui,
        &format!("Appliance {n}, in use at the start"),
        &at("on"),
        "in use",
    );
    away(ui, &format!("Take appliance {n} out"))
}

/// How it is lit; where the sheet says nothing it is as its kind, which the last right rig tells.
fn control_ui(ui: &mut Ui, pen: &mut Pen<'_>, i: usize) {
    let at = format!("appliance.{i}.ignition");
    let said = pen.sheet.draft.get(&at);
    let kind = pen
        .sheet
        .draft
        .get(&format!("appliance.{i}.kind"))
        .unwrap_or_default();
    let usual = usual_control(&kind);
    let now = said.as_deref().unwrap_or(usual).to_owned();
    let mut chosen = None;
    let shown = CONTROLS
        .iter()
        .find(|(file, _)| *file == now)
        .map_or(now.as_str(), |(_, s)| s);
    let combo = egui::ComboBox::from_id_salt(("rig", &at))
        .width(116.0)
        .selected_text(shown)
        .show_ui(ui, |ui| {
            for (file, words) in CONTROLS {
                if ui.selectable_label(file == now, words).clicked() {
                    chosen = Some(file);
                }
            }
        });
    let label = format!("Appliance {}, control: {shown}", i + 1);
    combo
        .response
        .widget_info(|| egui::WidgetInfo::labeled(egui::Role::ComboBox, true, &label));
    if let Some(file) = chosen.filter(|file| *file != now) {
        pen.sheet.write(&at, if file == usual { "" } else { file });
    }
}

/// How an appliance of a kind is lit where nothing is said.
fn usual_control(kind: &str) -> &'static str {
    use crate::rig::Ignition;
    let found = presets::APPLIANCES.iter().find(|(name, _)| *name == kind);
    match found.map(|(_, kind)| presets::appliance(*kind).ignition) {
        Some(Ignition::Spark { .. }) => "spark",
        Some(Ignition::Pilot { .. }) => "pilot",
        _ => "hand",
    }
}

/// Draws name, length and faults.
pub fn story_ui(ui: &mut Ui, pen: &mut Pen<'_>) {
    ui.label(title("Scenario", 14.0));
    Pen::grid(ui, "story", |ui| {
        ui.label("Name");
        pen.text(ui, "Name of the scenario", "title", 300.0);
        ui.end_row();
        ui.label("What it tells");
        pen.text(ui, "What it tells", "summary", 300.0);
        ui.end_row();
        ui.label("Runs for");
        pen.quantity(ui, "Length of the run", "run.duration", MINUTES, 92.0);
        ui.end_row();
    });
    for at in ["title", "summary", "run"] {
        pen.wrong(ui, at);
    }
    ui.add_space(8.0);
    faults_ui(ui, pen);
}

/// Whether an event of the sheet is a fault that is there from the start and grows with nothing.
fn is_fault(pen: &Pen<'_>, i: usize) -> bool {
    let has = |key: &str| pen.sheet.draft.get(&format!("event.{i}.{key}"));
    let at_start = has("at").is_some_and(|at| parse(&at, Dimension::Time).is_ok_and(|s| s == 0.0));
    has("inject").is_some() && at_start && has("cycles").is_none() && has("none_at").is_none()
}

fn faults_ui(ui: &mut Ui, pen: &mut Pen<'_>) {
    ui.label(title("Faults in it from the start", 14.0));
    let count = pen.sheet.draft.count("event");
    let mut gone = None;
    let mut shown = 0;
    for i in (0..count).filter(|i| is_fault(pen, *i)).collect::<Vec<_>>() {
        shown += 1;
        let at = |key: &str| format!("event.{i}.{key}");
        let spelled = pen.sheet.draft.get(&at("inject")).unwrap_or_default();
        let fault = Fault::named(&spelled);
        let name = fault.map_or_else(|| spelled.clone(), |fault| fault_name(pen, fault));
        ui.horizontal_wrapped(|ui| {
            pen.quantity(
                ui,
                &format!("{name}, severity"),
                &at("severity"),
                PERCENT,
                72.0,
            );
            ui.label(RichText::new(&name).font(plain(12.5)));
            if away(ui, &format!("Take out {name}")) {
                gone = Some(i);
            }
        });
        let severity = pen.sheet.draft.get(&at("severity")).unwrap_or_default();
        if let (Some(fault), Ok(share)) = (fault, parse(&severity, Dimension::Fraction)) {
            pen.note(
                ui,
                &capital(&(fault.entry().meaning)(
                    share.clamp(0.0, 1.0),
                    pen.units.system(),
                )),
            );
        }
        pen.wrong(ui, &format!("event.{i}"));
    }
    if let Some(i) = gone {
        pen.sheet.change("", |d| d.remove("event", i));
    }
    add_fault_ui(ui, pen);
    others_ui(ui, pen, count - shown.min(count));
}

/// A fault's name with the side it strikes; one without a side in a file strikes the side on service.
fn fault_name(pen: &Pen<'_>, fault: Fault) -> String {
    let good = &pen.sheet.good;
    fault.settled(&good.rig, good.service_side).name()
}

fn add_fault_ui(ui: &mut Ui, pen: &mut Pen<'_>) {
    let twin = pen.sheet.draft.count("container") > 1;
    let mut chosen = None;
    ui.menu_button("Put a fault in", |ui| {
        for family in Family::ALL {
            let of_family: Vec<Fault> = Fault::all_of(twin)
                .filter(|f| f.entry().family == family)
                .collect();
            ui.menu_button(capital(family.words()), |ui| {
                for fault in of_family {
                    if ui.button(fault.name()).clicked() {
                        chosen = Some(fault.to_string());
                        ui.close();
                    }
                }
            });
        }
    });
    if let Some(fault) = chosen {
        pen.sheet.change("", |d| {
            let at = d.add("event", &[("at", "0 s"), ("inject", &fault)]);
            d.put(&format!("{at}.severity"), Written::Text("50 %".to_owned()));
        });
    }
}

/// What else is planned is kept and told; it is a file's to say.
fn others_ui(ui: &mut Ui, pen: &mut Pen<'_>, others: usize) {
    if others == 0 {
        return;
    }
    ui.add_space(4.0);
    let words = if others == 1 {
        "event is"
    } else {
        "events are"
    };
    ui.horizontal_wrapped(|ui| {
        pen.note(
            ui,
            &format!("{others} more {words} planned in this scenario and kept"),
        );
        if ui.add(quiet("Plan nothing")).clicked() {
            let kept: Vec<bool> = (0..pen.sheet.draft.count("event"))
                .map(|i| is_fault(pen, i))
                .collect();
            pen.sheet.change("", |d| {
                for i in (0..kept.len()).rev().filter(|i| !kept[*i]) {
                    d.remove("event", i);
                }
            });
        }
    });
    for i in 0..pen.sheet.draft.count("event") {
        if !is_fault(pen, i) {
            pen.wrong(ui, &format!("event.{i}"));
        }
    }
}
