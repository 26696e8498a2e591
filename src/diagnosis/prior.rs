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
pub enum Grade {
    /// Common practice, no source.
    Practice,
    /// Invented.
    Invented,
    /// Given in the readings file.
    File,
}

impl Grade {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Practice => "common practice",
            Self::Invented => "invented",
            Self::File => "from the readings file",
        }
    }
}

/// Weight of a healthy rig against 1 for a rare fault (invented: somebody has called for a reason).
pub const HEALTHY: f64 = 15.0;

/// Weights that common practice suggests.
const COMMON: [(&str, f64); 14] = [
    ("container_low", 6.0),
    ("container_cold", 3.0),
    ("second_seat_grit", 4.0),
    ("second_seat_nick", 3.0),
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

/// Weight of a cause and where it comes from.
pub fn weight(cause: Option<Fault>, given: &[(Option<Fault>, f64)]) -> (f64, Grade) {
    if let Some((_, w)) = given.iter().find(|(f, _)| *f == cause) {
        return (*w, Grade::File);
    }
    let Some(fault) = cause else {
        return (HEALTHY, Grade::Invented);
    };
    match COMMON.iter().find(|(id, _)| *id == fault.id()) {
        Some((_, w)) => (*w, Grade::Practice),
        None => (1.0, Grade::Invented),
    }
}
