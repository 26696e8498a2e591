//! The supply in the form: one cylinder, two with a changeover, or a frame tank; what is in them and how full; the way
//! from each to the regulator.

use egui::Ui;

use super::fields::{DEGREES, HEIGHT, NUMBER, PERCENT, Pen, SHORT};
use crate::scenario::Written;
use crate::window::look::show::Units;
use crate::window::look::theme::title;

/// Kinds of container as files call them.
const KINDS: [&str; 7] = [
    "20 lb cylinder",
    "30 lb cylinder",
    "40 lb cylinder",
    "100 lb cylinder",
    TANK,
    "upright",
    "horizontal",
];

/// A kind of container as it is shown: a cylinder by the mass that it may hold, in the units on show.
fn kind_words(kind: &str, units: Units) -> String {
    match kind {
        TANK => format!(
            "frame tank, {}",
            ["30 gal", "114 L"][usize::from(units == Units::Si)]
        ),
        "upright" => "upright, own measures".to_owned(),
        "horizontal" => "frame tank, own measures".to_owned(),
        cylinder => units.prose(cylinder).into_owned(),
    }
}

/// A kind that stands for the frame tank.
const TANK: &str = "horizontal tank";
/// A kind that stands for a cylinder.
const CYLINDER: &str = "20 lb cylinder";

/// Draws it.
pub fn show(ui: &mut Ui, pen: &mut Pen<'_>) {
    ui.label(title("Containers", 14.0));
    set_ui(ui, pen);
    let count = pen.sheet.draft.count("container");
    for i in 0..count.min(2) {
        ui.add_space(2.0);
        container_ui(ui, pen, i, count);
    }
    pen.wrong(ui, "supply");
    ui.add_space(8.0);
    fuel_ui(ui, pen);
}

/// How many and of which sort.
fn set_ui(ui: &mut Ui, pen: &mut Pen<'_>) {
    let kind = |pen: &Pen<'_>, i: usize| pen.sheet.draft.get(&format!("container.{i}.kind"));
    let first = kind(pen, 0).unwrap_or_default();
    let count = pen.sheet.draft.count("container");
    let lies = first.starts_with("horizontal");
    let cylinder = if lies { CYLINDER } else { &first };
    ui.horizontal_wrapped(|ui| {
        let sets: [(&str, bool, Vec<&str>); 3] = [
            ("One cylinder", count == 1 && !lies, vec![cylinder]),
            ("Two, with changeover", count == 2, vec![cylinder, cylinder]),
            ("Frame tank", count == 1 && lies, vec![TANK]),
        ];
        for (words, on, kinds) in sets {
            if ui.selectable_label(on, words).clicked() && !on {
                pen.sheet.containers(&kinds);
            }
        }
    });
    if count == 2 {
        ui.horizontal(|ui| {
            ui.label("Knob points");
            let now = pen.sheet.draft.get("supply.service_side");
            for (side, words) in [("1", "left"), ("2", "right")] {
                let on = now.as_deref().unwrap_or("1") == side;
                if ui.selectable_label(on, words).clicked() && !on {
                    pen.sheet.change("", |d| match side {
                        "1" => d.clear("supply.service_side"),
                        _ => d.put("supply.service_side", Written::Number(side.to_owned())),
                    });
                }
            }
        });
    }
}

fn container_ui(ui: &mut Ui, pen: &mut Pen<'_>, i: usize, count: usize) {
    let name = match (count, i) {
        (1, _) => "Container",
        (_, 0) => "Left",
        _ => "Right",
    };
    let at = |key: &str| format!("container.{i}.{key}");
    let kind = pen.sheet.draft.get(&at("kind")).unwrap_or_default();
    Pen::grid(ui, name, |ui| {
        ui.label(name);
        ui.horizontal(|ui| {
            let words = KINDS.map(|kind| kind_words(kind, pen.units));
            let kinds = std::array::from_fn::<_, 7, _>(|k| (KINDS[k], words[k].as_str()));
            if let Some(kind) = pen.choice(ui, &format!("{name}, kind"), &at("kind"), &kinds, 178.0)
            {
                pen.sheet.container_kind(i, &kind);
            }
            let open = pen.sheet.draft.get(&at("valve")).as_deref() != Some("shut");
            let mut is_open = open;
            let valve = ui.checkbox(&mut is_open, "valve open");
            let words = format!("{name}, valve open");
            valve.widget_info(|| {
                egui::WidgetInfo::selected(egui::Role::CheckBox, true, is_open, &words)
            });
            if is_open != open {
                pen.sheet
                    .write(&at("valve"), if is_open { "" } else { "shut" });
            }
        });
        ui.end_row();
        if ["upright", "horizontal"].contains(&kind.as_str()) {
            pen.head(ui, "inside");
            ui.horizontal(|ui| {
                pen.quantity(
                    ui,
                    &format!("{name}, inside diameter"),
                    &at("diameter"),
                    SHORT,
                    76.0,
                );
                ui.label("wide,");
                pen.quantity(
                    ui,
                    &format!("{name}, inside height or length"),
                    &at("extent"),
                    SHORT,
                    76.0,
                );
                ui.label(if kind == "upright" { "high" } else { "long" });
            });
            ui.end_row();
        }
        pen.head(ui, "filled");
        ui.horizontal(|ui| {
            pen.quantity(ui, &format!("{name}, fill"), &at("fill"), PERCENT, 72.0);
            ui.label("liquid at");
            pen.quantity(
                ui,
                &format!("{name}, liquid temperature"),
                &at("temperature"),
                DEGREES,
                NUMBER,
            );
        });
        ui.end_row();
        pen.head(ui, "pigtail");
        ui.horizontal(|ui| {
            let own = if i == 0 {
                "supply".to_owned()
            } else {
                at("supply")
            };
            pen.quantity(
                ui,
                &format!("{name}, pigtail length"),
                &format!("{own}.pigtail_length"),
                HEIGHT,
                88.0,
            );
            ui.label("long, bore");
            pen.quantity(
                ui,
                &format!("{name}, pigtail bore"),
                &format!("{own}.pigtail_bore"),
                SHORT,
                88.0,
            );
        });
        ui.end_row();
    });
    pen.wrong(ui, &format!("container.{i}"));
}

fn fuel_ui(ui: &mut Ui, pen: &mut Pen<'_>) {
    ui.label(title("Fuel", 14.0));
    pen.note(ui, "Shares of the liquid by moles; propane is the rest");
    Pen::grid(ui, "fuel", |ui| {
        for pair in [
            [("n-butane", "n_butane"), ("isobutane", "isobutane")],
            [("ethane", "ethane"), ("water", "water")],
        ] {
            for (words, key) in pair {
                ui.label(words);
                pen.quantity(
                    ui,
                    &format!("Share of {words}"),
                    &format!("fuel.{key}"),
                    PERCENT,
                    76.0,
                );
            }
            ui.end_row();
        }
    });
    pen.wrong(ui, "fuel");
}
