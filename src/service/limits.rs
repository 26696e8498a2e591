//! Limits of pressures and how well each is founded.

use crate::units::PA_PER_INWC;
use serde::Serialize;

/// How well a limit is founded.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Grade {
    /// The text of a code or standard was read.
    Code(&'static str),
    /// Common practice, without one source.
    Practice,
}

impl Grade {
    /// In words, for a bracket.
    pub fn words(self) -> String {
        match self {
            Self::Code(text) => format!("code: {text}"),
            Self::Practice => "practice".to_owned(),
        }
    }
}

/// A pair of bounds \[Pa, gauge or a difference\].
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Limit {
    /// Least.
    pub low_pa: f64,
    /// Most.
    pub high_pa: f64,
    /// Source.
    pub grade: Grade,
}

/// What a reading says of a limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, PartialOrd, Ord)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// There was no such reading.
    NotSeen,
    /// Within.
    Kept,
    /// Within the outer bound only.
    Caution,
    /// Outside.
    Broken,
}

impl Verdict {
    /// In one word or two.
    pub fn words(self) -> &'static str {
        match self {
            Self::NotSeen => "not seen",
            Self::Kept => "kept",
            Self::Caution => "caution",
            Self::Broken => "NOT KEPT",
        }
    }
}

impl Limit {
    /// Whether readings from `low_pa` to `high_pa` keep it.
    pub fn judge(&self, low_pa: f64, high_pa: f64) -> Verdict {
        if low_pa >= self.low_pa && high_pa <= self.high_pa {
            Verdict::Kept
        } else {
            Verdict::Broken
        }
    }
}

const fn inwc(low: f64, high: f64, grade: Grade) -> Limit {
    Limit {
        low_pa: low * PA_PER_INWC,
        high_pa: high * PA_PER_INWC,
        grade,
    }
}

/// Flow pressure at about half load: 11.0 ± 0.5 in w.c.
pub const FLOW_PRESSURE: Limit = inwc(10.5, 11.5, Grade::Practice);
/// Fall from half to full load: at most 1.0 in w.c.
pub const FULL_LOAD_FALL: Limit = inwc(f64::NEG_INFINITY, 1.0, Grade::Practice);
/// Lock-up that passes: to 13.2 in w.c., 120 % of 11.
pub const LOCK_UP: Limit = inwc(0.0, 13.2, Grade::Practice);
/// Lock-up that passes with a caution: to 14 in w.c.
pub const LOCK_UP_CAUTION: Limit = inwc(0.0, 14.0, Grade::Practice);
/// Highest pressure into a vehicle's piping: 14 in w.c.
pub const HIGHEST_IN_PIPING: Limit = inwc(
    f64::NEG_INFINITY,
    14.0,
    Grade::Code("24 CFR 3280.704, UL 144-2002"),
);
