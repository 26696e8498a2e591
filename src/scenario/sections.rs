//! `[[piping.section]]`: the main line as it is laid, read and written.

use super::slot::{self, Measure, Slot, slot};
use crate::form::TableReader;
use crate::rig::{MAX_SECTIONS, Material, SECTION_LOSS, Section};
use crate::units::{Dimension as D, System};

/// Numbers of a section.
pub(super) static SECTION: &[Slot<Section>] = &[
    slot!(
        "length",
        Measure::Quantity(D::Length),
        0.05,
        25.0,
        length_m,
        "its length"
    ),
    slot!(
        "minor_loss",
        Measure::Number,
        0.0,
        100.0,
        minor_loss,
        "loss coefficients of its bends, tees and ends, summed"
    ),
];

/// The sections of `[piping]`, which cannot also say what follows from them.
pub(super) fn read(piping: &TableReader<'_>) -> Vec<Section> {
    let tables = piping
        .tables("section")
        .count(0..=MAX_SECTIONS)
        .or(Vec::new());
    for key in ["bore", "length", "minor_loss"] {
        if !tables.is_empty() && piping.has(key) {
            let message = format!("`{key}` of the main line follows from its sections");
            piping.complain(key, message, "leaving it out, or the sections");
        }
    }
    tables.iter().filter_map(read_one).collect()
}

fn read_one(table: &TableReader<'_>) -> Option<Section> {
    let material = table.choice("material", &Material::ALL).required();
    let sizes: Vec<(&str, usize)> = material
        .unwrap_or(Material::Copper)
        .sizes()
        .iter()
        .enumerate()
        .map(|(at, (name, _))| (*name, at))
        .collect();
    let size = match material {
        Some(_) => table.choice("size", &sizes).required(),
        // Which sizes there are hangs on the material.
        None => table.text("size").required().and(None),
    };
    let mut section = Section::new(material.unwrap_or(Material::Copper), size.unwrap_or(0), 1.0);
    let length = &SECTION[0];
    let said = table.quantity(length.key, D::Length);
    let length_m = said.between(length.low..=length.high).required();
    SECTION[1].read(table, &mut section);
    section.length_m = length_m?;
    (material.is_some() && size.is_some()).then_some(section)
}

/// The lines of one section.
pub(super) fn write(section: &Section, system: System) -> Vec<String> {
    let mut out = vec![
        format!("material = \"{}\"", section.material.word()),
        format!("size = \"{}\"", section.size_word()),
        format!("length = {}", SECTION[0].written(section.length_m, system)),
    ];
    let usual = Section {
        minor_loss: SECTION_LOSS,
        ..*section
    };
    out.extend(slot::lines(&SECTION[1..], section, &usual, system));
    out
}
