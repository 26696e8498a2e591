//! A run as JSON: the summary in SI, the events in words, the table of readings by column.
//!
//! The shape carries [`FORMAT`] and [`VERSION`]; a change that could break a reader raises the
//! version. Names of summary fields end in their SI unit; columns are those of the CSV.

use super::summary::Summary;
use super::table::Table;
use crate::rig::Readings;
use crate::rig::Rig;
use crate::scenario::Scenario;
use crate::sim::{Mark, Noted};
use crate::solver::Work;
use serde::Serialize;

/// Name of the shape.
pub const FORMAT: &str = "twostage run";
/// Version of the shape.
pub const VERSION: u32 = 1;

/// The table of readings, column by column.
#[derive(Debug, Default)]
pub struct Columns {
    values: Vec<Vec<f64>>,
}

impl Columns {
    /// Adds a row.
    pub fn add(&mut self, table: &Table, r: &Readings) {
        self.values.resize_with(table.columns.len(), Vec::new);
        for (values, column) in self.values.iter_mut().zip(&table.columns) {
            values.push(column.value(r));
        }
    }
}

/// Something on the record, told and typed.
#[derive(Serialize)]
struct Event {
    time_s: f64,
    text: String,
    what: Noted,
}

impl Event {
    fn of(mark: &Mark, rig: &Rig) -> Self {
        Self {
            time_s: mark.time_s,
            text: super::record::mark(mark, rig),
            what: mark.what,
        }
    }
}

/// Everything of the JSON, in its order.
#[derive(Serialize)]
struct Document<'a> {
    format: &'static str,
    version: u32,
    program: &'static str,
    title: &'a str,
    solver: &'a str,
    summary: &'a Summary,
    work: &'a Work,
    events: Vec<Event>,
    readings: serde_json::Map<String, serde_json::Value>,
}

/// The text of the JSON.
///
/// # Errors
/// None that can happen with finite numbers; handed on all the same.
pub fn write(
    scenario: &Scenario,
    solver: &str,
    summary: &Summary,
    work: &Work,
    events: &[Mark],
    table: &Table,
    columns: Columns,
) -> Result<String, serde_json::Error> {
    let readings = table
        .columns
        .iter()
        .zip(columns.values)
        .map(|(column, values)| (column.name.clone(), values.into()))
        .collect();
    let document = Document {
        format: FORMAT,
        version: VERSION,
        program: concat!("twostage ", env!("CARGO_PKG_VERSION")),
        title: &scenario.title,
        solver,
        summary,
        work,
        events: events.iter().map(|m| Event::of(m, &scenario.rig)).collect(),
        readings,
    };
    serde_json::to_string(&document).map(|text| text + "\n")
}
