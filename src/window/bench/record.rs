//! The record of a test drawn over its time. Not here: the procedures, nor their outcome in words.

use egui::{Stroke, Ui};

use crate::visit::{Test, TestResult, TracePoint};
use crate::window::desk::Desk;
use crate::window::look::plots::{Axes, Sheet, pressure_ink, range, value_at};
use crate::window::look::show::grouped;

/// Height of the record of a test \[points\].
const RECORD_HEIGHT: f32 = 116.0;

/// The record of a test: the outlet over time, or the first stage for its own test.
pub fn record_ui(ui: &mut Ui, desk: &Desk<'_>, result: &TestResult) {
    let Some(first) = result.trace.first() else {
        return;
    };
    let (begun_s, units, t) = (first.time_s, desk.units, desk.theme);
    let first_stage = result.test == Test::FirstStage;
    let shown = |p: &TracePoint| {
        if first_stage {
            units.high(p.first_stage_pa)
        } else if result.test == Test::NewPiping {
            units.high(p.outlet_pa)
        } else {
            units.low(p.outlet_pa)
        }
    };
    let like = shown(first);
    let points: Vec<[f64; 2]> = result
        .trace
        .iter()
        .map(|p| [p.time_s - begun_s, shown(p).value])
        .collect();
    let name = if first_stage { "First stage" } else { "Outlet" };
    let sheet = Sheet::begin(
        ui,
        &Axes {
            high: RECORD_HEIGHT,
            x: range(points.iter().map(|p| p[0]), 0.01),
            y: range(points.iter().map(|p| p[1]), 0.12),
            across: "s from its start",
            up: [name, like.unit],
            rows: &[],
        },
        t,
    );
    sheet.line(&points, Stroke::new(1.6, pressure_ink(t)), false);
    let read = sheet
        .pointed()
        .and_then(|x| Some((x, value_at(&points, x)?)));
    if let Some((x, y)) = read {
        sheet.ring([x, y], false);
        sheet.index(x);
        let value = grouped(y, like.decimals);
        sheet.reads(format!("at {} s", grouped(x, 1)), value);
    }
}
