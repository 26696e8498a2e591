//! A scenario: a rig, a place, how all stands at the start, and what happens when.
//!
//! The struct here is what the simulation takes; the text form is read and written by the files
//! beside it. Knows nothing of solvers.

pub mod action;

pub use action::{Action, SiteValue, WhichStage};

use crate::rig::{Charge, Rig, Site};

/// Something that happens at a set time.
#[derive(Debug, Clone, PartialEq)]
pub struct Event {
    /// When \[s\] after the start.
    pub at_s: f64,
    /// What.
    pub action: Action,
}

/// How long to run and how often to note the readings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Run {
    /// Length \[s\].
    pub duration_s: f64,
    /// Interval of the table of readings \[s\].
    pub sample_s: f64,
    /// Time before zero in which the rig comes to rest \[s\].
    pub settle_s: f64,
}

/// A whole scenario, checked.
#[derive(Debug, Clone, PartialEq)]
pub struct Scenario {
    /// Title.
    pub title: String,
    /// One or two sentences.
    pub summary: String,
    /// Parameters of the healthy rig.
    pub rig: Rig,
    /// Site at the start.
    pub site: Site,
    /// How each container is charged.
    pub charges: Vec<Charge>,
    /// Whether each service valve is open at the start.
    pub valves_open: Vec<bool>,
    /// Container the changeover knob points at.
    pub service_side: usize,
    /// Which appliances are in use at the start.
    pub on_at_start: Vec<bool>,
    /// What happens, in order of time.
    pub events: Vec<Event>,
    /// Length and sampling.
    pub run: Run,
}
