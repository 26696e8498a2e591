//! What stands in a readings file besides the items: what was told, and how some readings were taken. Reading, checking
//! and writing of it; what it does to the answer stands in `account` (what is told) and `brought` (how it was read).

use super::account::{Complaint, Smell, words};
use crate::form::TableReader;
use crate::rig::{Appliance, Rig};
use crate::units::{Dimension, System, inwc_to_pa, write_quantity};
use crate::visit::{ALL, Id};
use std::fmt::Write as _;

/// Its own table.
pub const TABLE: &str = "told";

/// How long everything may have burned at a long draw \[s\].
pub const DRAWN_S: [f64; 2] = [60.0, 7200.0];
/// How long everything may have been off at a climb's last reading \[s\].
pub const WATCHED_S: [f64; 2] = [120.0, 7200.0];

/// What stands beside the items.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Beside {
    /// What the customer complains of.
    pub complaint: Option<Complaint>,
    /// Where gas is smelled.
    pub smell: Option<Smell>,
    /// Where the leak check began \[Pa\].
    pub leak_start_pa: Option<f64>,
    /// How long everything had burned when the long draw was read \[s\].
    pub drawn_s: Option<f64>,
    /// How long everything had been off when a climb was read for the last time \[s\], where that was not as on the bench.
    pub watched_s: Option<f64>,
    /// Fuel in the container that serves and in the other one, as weighed \[kg\].
    pub contents_kg: [Option<f64>; 2],
    /// Pressures at an appliance.
    pub appliances: Vec<AtAppliance>,
    /// Air at the readings of a table, where it is not the visit's \[K\].
    pub air_k: Vec<(&'static str, f64)>,
}

const CONTENTS: [&str; 2] = ["contents", "second_contents"];

impl Beside {
    /// Whether nothing of it can count as a reading.
    pub fn is_empty(&self) -> bool {
        *self
            == Self {
                leak_start_pa: self.leak_start_pa,
                air_k: self.air_k.clone(),
                drawn_s: self.drawn_s,
                watched_s: self.watched_s,
                ..Self::default()
            }
    }

    /// What the file's own table tells.
    pub(in crate::diagnosis) fn read_told(&mut self, told: &TableReader<'_>) {
        let complaints = [&Complaint::ALL[..], &Complaint::SPOKEN].concat();
        self.complaint = told.choice("complaint", &complaints).optional();
        let smells = [&Smell::ALL[..], &Smell::SPOKEN].concat();
        self.smell = told.choice("smell", &smells).optional();
    }

    /// What stands in a table of items besides them.
    pub(in crate::diagnosis) fn read_table(&mut self, name: &'static str, table: &TableReader<'_>) {
        if name == table_of(Id::Fill) {
            for (kg, key) in self.contents_kg.iter_mut().zip(CONTENTS) {
                *kg = table
                    .quantity(key, Dimension::Mass)
                    .between(0.0..=2000.0)
                    .optional();
            }
        }
        if name == table_of(Id::LeakChange) {
            let start = table.quantity("began_at", Dimension::GaugePressure);
            let most_pa = inwc_to_pa(30.0);
            self.leak_start_pa = start.between(inwc_to_pa(1.0)..=most_pa).optional();
        }
        if name == table_of(Id::LongOutlet) {
            let drawn = table.quantity("lasted", Dimension::Time);
            self.drawn_s = drawn.between(DRAWN_S[0]..=DRAWN_S[1]).optional();
        }
        if name == table_of(Id::RestCreep) {
            let watched = table.quantity("watched", Dimension::Time);
            self.watched_s = watched.between(WATCHED_S[0]..=WATCHED_S[1]).optional();
        }
        for manifold in AT_APPLIANCE.into_iter().filter(|id| table_of(*id) == name) {
            let inlet = table.quantity("appliance", Dimension::GaugePressure);
            let (low, high) = manifold.item().bounds();
            let name = table.text("appliance_name").optional();
            match (inlet.between(low..=high).optional(), name) {
                (Some(inlet_pa), name) => self.appliances.push(AtAppliance {
                    manifold,
                    inlet_pa,
                    name,
                }),
                (None, Some(_)) if !table.has("appliance") => table.complain(
                    "appliance_name",
                    "`appliance_name` stands without `appliance`",
                    "appliance = \"10.2 inwc\" beside it, what was read there",
                ),
                _ => {}
            }
        }
        if name != table_of(Id::Air) && ALL.iter().any(|i| i.table == name && i.choices().is_none())
        {
            let (low, high) = Id::Air.item().bounds();
            let air = table
                .quantity("air", Dimension::Temperature)
                .between(low..=high);
            self.air_k.extend(air.optional().map(|k| (name, k)));
        }
    }

    /// Notes what a rig cannot have.
    pub(in crate::diagnosis) fn check(&self, root: &TableReader<'_>, rig: &Rig) {
        for at in self.appliances.iter().filter(|at| at.at(rig).is_none()) {
            let names: Vec<String> = rig
                .appliances
                .iter()
                .map(|a| format!("`{}`", a.name))
                .collect();
            if let Some(table) = root.table(table_of(at.manifold)).optional() {
                let message = format!(
                    "the rig has no appliance `{}`",
                    at.name.as_deref().unwrap_or("")
                );
                table.complain("appliance_name", message, names.join(", "));
            }
        }
    }

    /// What goes into a table besides its items.
    pub(in crate::diagnosis) fn write_table(&self, name: &str, system: System, out: &mut String) {
        let line = |key: &str, value: f64, dimension| {
            format!("{key} = {:?}\n", write_quantity(value, dimension, system))
        };
        if name == table_of(Id::Fill) {
            for (kg, key) in self.contents_kg.iter().zip(CONTENTS) {
                out.extend(kg.map(|kg| line(key, kg, Dimension::Mass)));
            }
        }
        if name == table_of(Id::LeakChange) {
            let start = self.leak_start_pa;
            out.extend(start.map(|pa| line("began_at", pa, Dimension::GaugePressure)));
        }
        if name == table_of(Id::LongOutlet) {
            out.extend(self.drawn_s.map(|s| line("lasted", s, Dimension::Time)));
        }
        if name == table_of(Id::RestCreep) {
            let watched = self.watched_s;
            out.extend(watched.map(|s| line("watched", s, Dimension::Time)));
        }
        for (_, k) in self.air_k.iter().filter(|(table, _)| *table == name) {
            *out += &line("air", *k, Dimension::Temperature);
        }
        for at in self
            .appliances
            .iter()
            .filter(|at| table_of(at.manifold) == name)
        {
            *out += &line("appliance", at.inlet_pa, Dimension::GaugePressure);
            if let Some(name) = &at.name {
                let _ = writeln!(
                    out,
                    "appliance_name = {}",
                    toml::Value::String(name.clone())
                );
            }
        }
    }

    /// Its own table.
    pub(in crate::diagnosis) fn told_toml(&self) -> String {
        let mut out = String::new();
        if let Some(complaint) = &self.complaint {
            let _ = writeln!(out, "complaint = {:?}", words(&Complaint::ALL, complaint));
        }
        if let Some(smell) = &self.smell {
            let _ = writeln!(out, "smell = {:?}", words(&Smell::ALL, smell));
        }
        if out.is_empty() {
            out
        } else {
            format!("\n[{TABLE}]\n{out}")
        }
    }
}

/// Pressure at an appliance's inlet, and what it stands for.
#[derive(Debug, Clone, PartialEq)]
pub struct AtAppliance {
    /// The item that it stands for.
    pub manifold: Id,
    /// What was read \[Pa\].
    pub inlet_pa: f64,
    /// Name of the appliance; the largest where none is given.
    pub name: Option<String>,
}

impl AtAppliance {
    /// The appliance, on a rig.
    pub fn at<'r>(&self, rig: &'r Rig) -> Option<&'r Appliance> {
        let all = rig.appliances.iter();
        match &self.name {
            Some(name) => all.clone().find(|a| a.name.eq_ignore_ascii_case(name)),
            None => all.max_by(|a, b| a.input_w.total_cmp(&b.input_w)),
        }
    }
}

/// Tables whose items a pressure at an appliance can stand for.
const AT_APPLIANCE: [Id; 2] = [Id::HalfManifold, Id::FullManifold];

/// The table of an item.
fn table_of(id: Id) -> &'static str {
    id.item().table
}
