//! How common each cause is before anything is read: a table to be seen and changed.
//!
//! No statistics of the trade are at hand. The weights follow what technicians say they meet
//! (common practice, no source) where one is given, and are 1 (invented) elsewhere; a readings
//! file replaces any of them under `[prior]`.

use crate::fault::Fault;
use serde::Serialize;

/// Where a weight comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Origin {
    /// Common practice, no source.
    Practice,
    /// Invented.
    Invented,
    /// Given with the readings: in their file or in the window.
    Given,
}

impl Origin {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Practice => "common practice",
            Self::Invented => "invented",
            Self::Given => "given with the readings",
        }
    }
}

/// Weight of a healthy rig against 1 for a rare fault (invented: a quarter of the rigs that are looked at have nothing wrong; what a customer
/// complains of is told apart from it, and weighs by itself).
pub const HEALTHY: f64 = 40.0;

/// Weights that common practice suggests.
const COMMON: [(&str, f64); 15] = [
    ("container_low", 6.0),
    ("container_cold", 3.0),
    ("second_seat_grit", 4.0),
    ("second_seat_nick", 3.0),
    ("second_seat_hard", 2.0),
    ("second_vent_blocked", 3.0),
    ("second_screw_high", 2.0),
    ("second_screw_low", 3.0),
    ("low_side_leak", 4.0),
    ("spud_clogged", 4.0),
    ("excess_flow_tripped", 3.0),
    ("oily_residue", 3.0),
    ("thermocouple_dead", 3.0),
    ("flame_sensor_dead", 3.0),
    ("rubber_stiff", 2.0),
];

/// Whether a line of a prior says something of a cause: without a side it speaks of both.
fn said(line: Option<Fault>, cause: Option<Fault>) -> bool {
    match (line, cause) {
        (Some(line), Some(cause)) => line.names(cause),
        (line, cause) => line == cause,
    }
}

/// Weight of a cause and where it comes from.
pub fn weight(cause: Option<Fault>, given: &[(Option<Fault>, f64)]) -> (f64, Origin) {
    if let Some((_, w)) = given.iter().find(|(f, _)| said(*f, cause)) {
        return (*w, Origin::Given);
    }
    let Some(fault) = cause else {
        return (HEALTHY, Origin::Invented);
    };
    match COMMON.iter().find(|(id, _)| *id == fault.id()) {
        Some((_, w)) => (*w, Origin::Practice),
        None => (1.0, Origin::Invented),
    }
}

/// One line of the table.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Line {
    /// The cause: none for a healthy rig.
    pub cause: Option<Fault>,
    /// Its weight against the others.
    pub weight: f64,
    /// Where the weight comes from.
    pub grade: Origin,
}

/// The table as somebody edits it: every cause with its weight, healthy first.
///
/// What was changed goes into [`super::readings::Readings::priors`] by [`Priors::changed`]; a readings
/// file keeps it under `[prior]`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Priors {
    lines: Vec<Line>,
}

impl Default for Priors {
    fn default() -> Self {
        Self::with(&[])
    }
}

impl Priors {
    /// The table with some weights replaced.
    pub fn with(given: &[(Option<Fault>, f64)]) -> Self {
        // What a file says of one side has a line of its own.
        let sided = given.iter().filter_map(|(f, _)| *f);
        let sided = sided.filter(|f| f.side().is_some());
        let causes = std::iter::once(None).chain(Fault::all().chain(sided).map(Some));
        let line = |cause| {
            let (weight, grade) = weight(cause, given);
            Line {
                cause,
                weight,
                grade,
            }
        };
        Self {
            lines: causes.map(line).collect(),
        }
    }

    /// All lines.
    pub fn lines(&self) -> &[Line] {
        &self.lines
    }

    /// Prior probability of a line, were all causes of the catalogue in the rig.
    pub fn share(&self, cause: Option<Fault>) -> f64 {
        let sum: f64 = self.lines.iter().map(|l| l.weight).sum();
        let own = self.lines.iter().find(|l| l.cause == cause);
        own.map_or(0.0, |l| l.weight / sum.max(f64::MIN_POSITIVE))
    }

    /// Changes a weight; `false` and nothing changed where it is negative or no number.
    pub fn set(&mut self, cause: Option<Fault>, weight: f64) -> bool {
        let Some(line) = self.lines.iter_mut().find(|l| l.cause == cause) else {
            return false;
        };
        if !(weight.is_finite() && weight >= 0.0) {
            return false;
        }
        (line.weight, line.grade) = (weight, Origin::Given);
        true
    }

    /// Puts a weight back to the table's.
    pub fn reset(&mut self, cause: Option<Fault>) {
        if let Some(line) = self.lines.iter_mut().find(|l| l.cause == cause) {
            (line.weight, line.grade) = weight(cause, &[]);
        }
    }

    /// What was changed, for [`super::readings::Readings::priors`].
    pub fn changed(&self) -> Vec<(Option<Fault>, f64)> {
        self.lines
            .iter()
            .filter(|l| l.grade == Origin::Given)
            .map(|l| (l.cause, l.weight))
            .collect()
    }
}
