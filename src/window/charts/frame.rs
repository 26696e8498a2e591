//! What the charts' files share: what a chart measures and draws, the time and the room in view, what may be asked.

use crate::sim::{Channel, Snapshot};
use crate::window::look::show::Units;
use crate::window::look::theme::Theme;

/// Room for the numbers at the left \[points\].
pub(super) const GUTTER: f32 = 44.0;
/// Shortest and longest stretch of time in view \[s\].
pub(super) const SPANS_S: [f64; 2] = [0.005, 7.0 * 86_400.0];
/// Width of one entry of a line \[points\].
pub(super) const BUCKET_POINTS: f64 = 1.4;

/// What a chart measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Quantity {
    /// Low pressure.
    Low,
    /// High pressure.
    High,
    /// Travel.
    Travel,
    /// Flow at a vent.
    Breath,
    /// Flow by mass.
    Mass,
}

/// One line of a chart.
#[derive(Clone, Copy)]
pub(super) struct Trace {
    pub(super) channel: Channel,
    pub(super) name: &'static str,
    pub(super) faint: bool,
}

/// One chart.
#[derive(Clone, Copy)]
pub(super) struct Chart {
    pub(super) title: &'static str,
    pub(super) quantity: Quantity,
    pub(super) traces: &'static [Trace],
    /// Smallest stretch of values in view, SI.
    pub(super) least: f64,
}

/// What was asked of the charts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Asked {
    /// Nothing.
    Nothing,
    /// Go to this time \[s\].
    GoTo(f64),
}

/// Everything one frame of charts needs.
pub(super) struct Frame<'a> {
    pub(super) snap: &'a Snapshot,
    pub(super) units: Units,
    pub(super) theme: Theme,
    /// Time in view \[s\].
    pub(super) time: [f64; 2],
    /// Left and right edge of the plots on the screen.
    pub(super) x: [f32; 2],
    /// Time under the cursor \[s\].
    pub(super) cursor: Option<f64>,
}

impl Frame<'_> {
    pub(super) fn x_of(&self, t: f64) -> f32 {
        let u = (t - self.time[0]) / (self.time[1] - self.time[0]);
        self.x[0] + (self.x[1] - self.x[0]) * u as f32
    }

    pub(super) fn t_of(&self, x: f32) -> f64 {
        let u = f64::from((x - self.x[0]) / (self.x[1] - self.x[0]).max(1.0));
        self.time[0] + (self.time[1] - self.time[0]) * u
    }
}
