//! A [`Scenario`] as the text of a file: what differs from the presets, nothing else.

use super::parts::{BODY, CHANGEOVER, CHARGE, CONTAINER, PIPING, SITE, SIZE, SUPPLY};
use super::read::{
    FUEL, NEW_RELIEF, OWN_SHAPES, SETTLE_S, SHARES, size_container, usual_charge, usual_container,
};
use super::slot::{self, lines, write_fraction};
use super::stage_parts::{RELIEF, STAGE, VENT};
use super::{Scenario, burner, happen};
use crate::physics::heat::Shape;
use crate::rig::{Charge, Container, Fuel, Rig, Site, Stage, presets};
use crate::units::{Dimension as D, System, write_quantity};
use std::fmt::Write as _;

/// A text as TOML has it, on one line.
pub(super) fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            '\r' => out.push_str("\\r"),
            '\t' => out.push_str("\\t"),
            c if c.is_control() => {
                let _ = write!(out, "\\u{:04X}", u32::from(c));
            }
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

/// A table with its lines; nothing where there are none.
fn section(out: &mut String, header: &str, lines: &[String]) {
    if !lines.is_empty() {
        let _ = writeln!(out, "\n{header}");
        for line in lines {
            let _ = writeln!(out, "{line}");
        }
    }
}

/// The whole file.
pub(super) fn scenario(s: &Scenario, system: System) -> String {
    let mut out = format!("title = {}\n", quoted(&s.title));
    if !s.summary.is_empty() {
        let _ = writeln!(out, "summary = {}", quoted(&s.summary));
    }
    let usual_site = Site::calm(f64::NAN, f64::NAN);
    section(
        &mut out,
        "[site]",
        &lines(SITE, &s.site, &usual_site, system),
    );
    // The first container's way is told for all; another tells what it has of its own.
    let line = s.rig.containers[0].supply;
    for (i, container) in s.rig.containers.iter().enumerate() {
        let air_k = s.site.air_k.at(0.0);
        let lines = container_lines(container, &s.charges[i], s.valves_open[i], air_k, system);
        section(&mut out, "[[container]]", &lines);
        let own = slot::lines(SUPPLY, &container.supply, &line, system);
        section(&mut out, "[container.supply]", &own);
    }
    let usual = Rig::standard(s.rig.containers.clone(), Vec::new());
    section(
        &mut out,
        "[fuel]",
        &fuel_lines(&s.rig.fuel, &usual.fuel, system),
    );
    let mut supply = lines(SUPPLY, &line, &presets::supply(), system);
    if s.service_side != 0 {
        supply.push(format!("service_side = {}", s.service_side + 1));
    }
    section(&mut out, "[supply]", &supply);
    if let (Some(change), Some(usual)) = (&s.rig.changeover, &usual.changeover) {
        let lines = lines(CHANGEOVER, change, usual, system);
        section(&mut out, "[supply.changeover]", &lines);
    }
    let mut regulator = vec!["preset = \"standard\"".to_owned()];
    let mounted = s.rig.body.mounted;
    if mounted != usual.body.mounted {
        regulator.push(format!("mounted = \"{}\"", mounted.word()));
    }
    section(&mut out, "[regulator]", &regulator);
    stage(&mut out, "first", &s.rig.first, &usual.first, system);
    stage(&mut out, "second", &s.rig.second, &usual.second, system);
    let body = lines(BODY, &s.rig.body, &mounted.body(), system);
    section(&mut out, "[regulator.body]", &body);
    // Sections are told only while the rig's line is theirs.
    let mut laid = usual.piping;
    laid.lay(&s.sections);
    let told = !s.sections.is_empty() && laid.main == s.rig.piping.main;
    let base = if told { laid } else { usual.piping };
    let piping = lines(PIPING, &s.rig.piping, &base, system);
    section(&mut out, "[piping]", &piping);
    for part in s.sections.iter().filter(|_| told) {
        section(
            &mut out,
            "[[piping.section]]",
            &super::sections::write(part, system),
        );
    }
    for (appliance, on) in s.rig.appliances.iter().zip(&s.on_at_start) {
        section(
            &mut out,
            "[[appliance]]",
            &burner::write(appliance, *on, system),
        );
    }
    for event in &s.events {
        section(&mut out, "[[event]]", &happen::write(event, &s.rig, system));
    }
    let time = |s: f64| write_quantity(s, D::Time, system);
    let mut run = vec![
        format!("duration = \"{}\"", time(s.run.duration_s)),
        format!("sample = \"{}\"", time(s.run.sample_s)),
    ];
    if s.run.settle_s != SETTLE_S {
        run.push(format!("settle = \"{}\"", time(s.run.settle_s)));
    }
    section(&mut out, "[run]", &run);
    out
}

/// The text of a file as a table of a larger file.
pub(super) fn within(table: &str, text: &str) -> String {
    let inner: toml::Table = text.parse().unwrap_or_default();
    let mut outer = toml::Table::new();
    outer.insert(table.to_owned(), toml::Value::Table(inner));
    toml::to_string(&outer).unwrap_or_default()
}

fn container_lines(
    container: &Container,
    charge: &Charge,
    open: bool,
    air_k: f64,
    system: System,
) -> Vec<String> {
    let preset = presets::CONTAINERS
        .iter()
        .find(|kind| presets::container(kind).is_some_and(|c| c.shape == container.shape));
    let own = match container.shape {
        Shape::Upright { .. } => OWN_SHAPES[0],
        Shape::Horizontal { .. } => OWN_SHAPES[1],
    };
    let kind = preset.copied().unwrap_or(own);
    let mut out = vec![format!("kind = \"{kind}\"")];
    if let Some(mut usual) = usual_container(kind) {
        if preset.is_none() {
            for slot in SIZE {
                let value = slot.written((slot.get)(container), system);
                out.push(format!("{} = {value}", slot.key));
            }
            usual.shape = container.shape;
            size_container(&mut usual);
        }
        out.extend(lines(CONTAINER, container, &usual, system));
    }
    let fill = write_fraction(charge.fill);
    out.push(format!("fill = \"{fill}\""));
    let usual = Charge {
        fill: charge.fill,
        ..usual_charge(air_k)
    };
    out.extend(lines(CHARGE, charge, &usual, system));
    if !open {
        out.push("valve = \"shut\"".to_owned());
    }
    out
}

fn fuel_lines(fuel: &Fuel, usual: &Fuel, system: System) -> Vec<String> {
    let mut out = Vec::new();
    if fuel.fractions != usual.fractions {
        // Propane is the rest, unless rounding would be kept apart by that.
        for (key, index, _) in &SHARES[1..] {
            if fuel.fractions[*index] != 0.0 {
                out.push(format!(
                    "{key} = \"{}\"",
                    write_fraction(fuel.fractions[*index])
                ));
            }
        }
        if out.is_empty() {
            out.push("propane = \"100 %\"".to_owned());
        }
    }
    out.extend(lines(FUEL, fuel, usual, system));
    out
}

fn stage(out: &mut String, name: &str, now: &Stage, usual: &Stage, system: System) {
    let mut own = lines(STAGE, now, usual, system);
    if now.relief.is_none() && usual.relief.is_some() {
        own.push("has_relief = false".to_owned());
    }
    section(out, &format!("[regulator.{name}]"), &own);
    let vent = lines(VENT, now, usual, system);
    section(out, &format!("[regulator.{name}.vent]"), &vent);
    if let Some(relief) = &now.relief {
        let lines = match &usual.relief {
            Some(usual) => lines(RELIEF, relief, usual, system),
            None => RELIEF
                .iter()
                .filter(|slot| {
                    ["preload", "spring", "bore"].contains(&slot.key)
                        || (slot.get)(relief) != (slot.get)(&NEW_RELIEF)
                })
                .map(|slot| {
                    format!(
                        "{} = {}",
                        slot.key,
                        slot.written((slot.get)(relief), system)
                    )
                })
                .collect(),
        };
        section(out, &format!("[regulator.{name}.relief]"), &lines);
    }
}
