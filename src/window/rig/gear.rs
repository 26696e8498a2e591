//! Regulator, pipe and place in the form: where the regulator sits and which way its vent points, the main line in
//! sections, the branches.

use egui::{Grid, Ui};

use super::fields::{DEGREES, HEIGHT, LONG, NUMBER, PERCENT, Pen, SHORT, SUN, away};
use crate::fault::Fault;
use crate::rig::{Kind, MAX_SECTIONS, Material, Mounting, presets};
use crate::scenario::{Draft, Written};
use crate::window::look::show::Units;
use crate::window::look::theme::title;

/// The fault that a vent pointing up is.
const TURNED_UP: &str = "vent_turned_up";
/// As bad as it is put in by the form: some rain has run in.
const TURNED_UP_SHARE: &str = "30 %";

/// Skies as files call them.
const SKIES: [(&str, &str); 5] = [
    ("calm", "calm"),
    ("wet", "wet"),
    ("windy", "windy"),
    ("wet and windy", "wet and windy"),
    ("frosty", "frosty"),
];

/// Draws regulator and pipe.
pub fn show(ui: &mut Ui, pen: &mut Pen<'_>) {
    ui.label(title("Regulator", 14.0));
    Pen::grid(ui, "regulator", |ui| {
        ui.label("Mounted");
        ui.horizontal_wrapped(|ui| {
            let all = Mounting::ALL.map(|(word, _)| (word, word));
            pen.row(ui, "regulator.mounted", &all, Mounting::Open.word());
        });
        ui.end_row();
        ui.label("Vent points");
        ui.horizontal_wrapped(|ui| vent_ui(ui, pen));
        ui.end_row();
    });
    if let Some(at) = turned_up(&pen.sheet.draft) {
        let severity = pen
            .sheet
            .draft
            .get(&format!("{at}.severity"))
            .unwrap_or_default();
        let share =
            crate::units::parse(&severity, crate::units::Dimension::Fraction).unwrap_or(0.0);
        let meant = Fault::named(TURNED_UP).map(|f| (f.entry().meaning)(share, pen.units.system()));
        let caution = "Rain runs into a vent that points up. It points down, within 45 degrees, and stays clear";
        pen.note(ui, &format!("{}. {caution}", meant.unwrap_or_default()));
    }
    pen.wrong(ui, "regulator");
    ui.add_space(8.0);
    line_ui(ui, pen);
    ui.add_space(8.0);
    branches_ui(ui, pen);
}

/// Where the sheet says that the vent points up: an event from the start.
pub fn turned_up(draft: &Draft) -> Option<String> {
    (0..draft.count("event"))
        .map(|i| format!("event.{i}"))
        .find(|at| draft.get(&format!("{at}.inject")).as_deref() == Some(TURNED_UP))
}

fn vent_ui(ui: &mut Ui, pen: &mut Pen<'_>) {
    let up = turned_up(&pen.sheet.draft);
    if ui.selectable_label(up.is_none(), "down").clicked()
        && let Some(at) = &up
    {
        let number = at.rsplit('.').next().and_then(|n| n.parse().ok());
        pen.sheet
            .change("", |d| d.remove("event", number.unwrap_or(usize::MAX)));
    }
    if ui.selectable_label(up.is_some(), "up").clicked() && up.is_none() {
        pen.sheet.change("", |d| {
            d.add(
                "event",
                &[
                    ("at", "0 s"),
                    ("inject", TURNED_UP),
                    ("severity", TURNED_UP_SHARE),
                ],
            );
        });
    }
    if let Some(at) = up {
        ui.label("rain in it");
        pen.quantity(
            ui,
            "Rain in the spring case",
            &format!("{at}.severity"),
            PERCENT,
            72.0,
        );
        pen.wrong(ui, &at);
    }
}

fn line_ui(ui: &mut Ui, pen: &mut Pen<'_>) {
    ui.label(title("Main line, from the regulator on", 14.0));
    let count = pen.sheet.draft.count("piping.section");
    if count == 0 {
        ui.horizontal(|ui| {
            ui.label("One pipe, bore");
            pen.quantity(ui, "Bore of the main line", "piping.bore", SHORT, 76.0);
            ui.label("length");
            pen.quantity(ui, "Length of the main line", "piping.length", LONG, 72.0);
        });
    }
    Grid::new("sections")
        .num_columns(5)
        .spacing([8.0, 5.0])
        .show(ui, |ui| {
            let mut gone = None;
            for i in 0..count {
                let at = |key: &str| format!("piping.section.{i}.{key}");
                let n = i + 1;
                ui.label(format!("{n}"));
                let materials = Material::ALL.map(|(word, _)| (word, word));
                if let Some(word) = pen.choice(
                    ui,
                    &format!("Section {n}, material"),
                    &at("material"),
                    &materials,
                    92.0,
                ) {
                    take_material(pen, i, &word);
                }
                let word = pen.sheet.draft.get(&at("material")).unwrap_or_default();
                let material = Material::ALL.iter().find(|(name, _)| *name == word);
                let sizes: Vec<(&str, &str)> = material
                    .map(|(_, m)| m.sizes().iter().map(|(size, _)| (*size, *size)).collect())
                    .unwrap_or_default();
                if let Some(size) =
                    pen.choice(ui, &format!("Section {n}, size"), &at("size"), &sizes, 76.0)
                {
                    pen.sheet.write(&at("size"), &size);
                }
                pen.quantity(
                    ui,
                    &format!("Section {n}, length"),
                    &at("length"),
                    LONG,
                    76.0,
                );
                if away(ui, &format!("Take section {n} out")) {
                    gone = Some(i);
                }
                ui.end_row();
            }
            if let Some(i) = gone {
                pen.sheet.change("", |d| d.remove("piping.section", i));
            }
        });
    if count < MAX_SECTIONS && ui.button("Add a section").clicked() {
        add_section(pen, count);
    }
    pen.wrong(ui, "piping");
}

/// Another section like the last, or the first one of half-inch copper.
fn add_section(pen: &mut Pen<'_>, count: usize) {
    let length = if pen.units == Units::Si {
        "2.5 m"
    } else {
        "8 ft"
    };
    let last = |key: &str| {
        let at = format!("piping.section.{}.{key}", count.checked_sub(1)?);
        pen.sheet.draft.get(&at)
    };
    let (material, size) = (last("material"), last("size"));
    let keys = [
        ("material", material.unwrap_or_else(|| "copper".to_owned())),
        ("size", size.unwrap_or_else(|| "1/2 in".to_owned())),
        ("length", length.to_owned()),
    ];
    pen.sheet.change("", |d| {
        for key in ["bore", "length", "minor_loss"] {
            d.clear(&format!("piping.{key}"));
        }
        d.add(
            "piping.section",
            &keys.each_ref().map(|(key, text)| (*key, text.as_str())),
        );
    });
}

/// Another material; a size it does not come in becomes the nearest to half an inch.
fn take_material(pen: &mut Pen<'_>, i: usize, word: &str) {
    let at = format!("piping.section.{i}.size");
    let size = pen.sheet.draft.get(&at).unwrap_or_default();
    let sizes = Material::ALL
        .iter()
        .find(|(name, _)| *name == word)
        .map(|(_, m)| m.sizes());
    let has = sizes.is_some_and(|sizes| sizes.iter().any(|(name, _)| *name == size));
    pen.sheet.change("", |d| {
        d.put(
            &format!("piping.section.{i}.material"),
            Written::Text(word.to_owned()),
        );
        if !has {
            d.put(&at, Written::Text("1/2 in".to_owned()));
        }
    });
}

fn branches_ui(ui: &mut Ui, pen: &mut Pen<'_>) {
    let count = pen.sheet.draft.count("appliance");
    if count == 0 {
        return;
    }
    ui.label(title("Branches to the appliances", 14.0));
    Grid::new("branches")
        .num_columns(3)
        .spacing([10.0, 5.0])
        .show(ui, |ui| {
            for i in 0..count {
                let at = |key: &str| format!("appliance.{i}.{key}");
                let name = pen.sheet.draft.get(&at("name")).unwrap_or_default();
                ui.label(crate::report::letters::capital(&name));
                ui.horizontal(|ui| {
                    pen.quantity(
                        ui,
                        &format!("Branch to {name}, length"),
                        &at("branch_length"),
                        LONG,
                        NUMBER,
                    );
                    ui.label("bore");
                    pen.quantity(
                        ui,
                        &format!("Branch to {name}, bore"),
                        &at("branch_bore"),
                        SHORT,
                        NUMBER,
                    );
                });
                ui.end_row();
            }
        });
    let usual = presets::appliance(Kind::Furnace).branch;
    let words = format!(
        "Empty is {} of 3/8 in tube, bore {}",
        pen.units.length(usual.length_m),
        pen.units.bore(usual.bore_m)
    );
    pen.note(ui, &words);
}

/// Draws the place.
pub fn site_ui(ui: &mut Ui, pen: &mut Pen<'_>) {
    ui.label(title("Place", 14.0));
    Pen::grid(ui, "place", |ui| {
        for (words, key, unit) in [
            ("Air", "air", DEGREES),
            ("Elevation", "elevation", HEIGHT),
            ("Sun on the regulator", "sun", SUN),
        ] {
            ui.label(words);
            pen.quantity(ui, words, &format!("site.{key}"), unit, 110.0);
            ui.end_row();
        }
        ui.label("Containers stand in");
        ui.horizontal_wrapped(|ui| sky_ui(ui, pen));
        ui.end_row();
    });
    pen.wrong(ui, "site");
}

/// The sky by name; a wall factor of its own stays until another is chosen.
fn sky_ui(ui: &mut Ui, pen: &mut Pen<'_>) {
    let wall = pen.sheet.draft.get("site.wall");
    let now = pen.sheet.draft.get("site.sky");
    for (sky, words) in SKIES {
        let on = wall.is_none() && now.as_deref().unwrap_or("calm") == sky;
        if ui.selectable_label(on, words).clicked() && !on {
            pen.sheet.change("", |d| {
                d.clear("site.wall");
                match sky {
                    "calm" => d.clear("site.sky"),
                    _ => d.put("site.sky", Written::Text(sky.to_owned())),
                }
            });
        }
    }
    if let Some(wall) = wall {
        pen.note(ui, &format!("heat through the wall times {wall}"));
    }
}
