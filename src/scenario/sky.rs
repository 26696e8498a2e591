//! Weathers by name, and counts as the form has them: what the reader of a file and the reader of its events share.

use crate::physics::heat::exposure_factor;

/// A weather by name, which tells the factor on the container's wall.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sky {
    wind_m_per_s: f64,
    wet: f64,
    frost: f64,
}

impl Sky {
    pub fn factor(self) -> f64 {
        exposure_factor(self.wind_m_per_s, self.wet, self.frost)
    }
}

const fn sky(wind_m_per_s: f64, wet: f64, frost: f64) -> Sky {
    Sky {
        wind_m_per_s,
        wet,
        frost,
    }
}

/// Skies by name.
pub(super) const SKIES: [(&str, Sky); 5] = [
    ("calm", sky(0.0, 0.0, 0.0)),
    ("wet", sky(0.0, 1.0, 0.0)),
    ("windy", sky(8.0, 0.0, 0.0)),
    ("wet and windy", sky(8.0, 1.0, 0.0)),
    ("frosty", sky(0.0, 0.0, 1.0)),
];

/// A small count as the form has whole numbers.
pub(super) fn count(n: usize) -> i64 {
    i64::try_from(n).unwrap_or(i64::MAX)
}
