//! What one picture of the cutaway is drawn from. Draws nothing.

use super::geometry::StageShape;
use crate::rig::readings::{Readings, StageReadings};
use crate::rig::{MAX_CONTAINERS, Rig};
use crate::service::Affairs;
use crate::window::look::show::Units;

/// Everything one picture needs.
pub struct Scene<'a> {
    /// The rig.
    pub rig: &'a Rig,
    /// Its readings now.
    pub now: &'a Readings,
    /// The healthy twin, if one runs.
    pub twin: Option<&'a Readings>,
    /// Dimensions of first and second stage.
    pub shapes: [StageShape; 2],
    /// How sharply the hose of each container is bent, 0 (not) to 1.
    pub kinks: [f64; MAX_CONTAINERS],
    /// Units on show.
    pub units: Units,
    /// What is so, as a value.
    pub affairs: &'a Affairs,
    /// The same in a sentence.
    pub words: &'a str,
    /// Seconds on the viewer's clock since the last picture; 0 when nothing should move.
    pub dt_s: f64,
}

/// The readings of a stage, 0 or 1.
pub(super) fn stage_readings(readings: &Readings, i: usize) -> &StageReadings {
    if i == 0 {
        &readings.first
    } else {
        &readings.second
    }
}
