//! How far a statement of the trade can be trusted.

use serde::Serialize;

/// Grade of a source.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Grade {
    /// The text of a code or standard was read.
    Code,
    /// Follows from physics.
    Derived,
    /// Common practice, no source.
    Practice,
    /// Recalled, not re-read.
    Memory,
}

impl Grade {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Code => "code",
            Self::Derived => "derived",
            Self::Practice => "common practice",
            Self::Memory => "from memory",
        }
    }
}
