//! What an attempt's marks are made of: the weights of a drill, visible in its file and changed there.

use crate::form::TableReader;
use std::fmt::Write as _;

/// Weights; they sum to a hundred.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weights {
    /// The cause, as far as the readings bear it out.
    pub cause: f64,
    /// What was read, and suspected by it.
    pub evidence: f64,
    /// What is to be done named, and where it could be done, done and proved.
    pub action: f64,
    /// Good time.
    pub economy: f64,
    /// Everybody safe.
    pub safety: f64,
}

impl Weights {
    /// Those of a drill that says nothing.
    pub const USUAL: Self = Self {
        cause: 30.0,
        evidence: 20.0,
        action: 20.0,
        economy: 10.0,
        safety: 20.0,
    };

    /// With their names in a drill file.
    pub fn named(&self) -> [(&'static str, f64); 5] {
        [
            ("cause", self.cause),
            ("evidence", self.evidence),
            ("action", self.action),
            ("economy", self.economy),
            ("safety", self.safety),
        ]
    }

    /// The same, to be changed.
    pub fn named_mut(&mut self) -> [(&'static str, &mut f64); 5] {
        [
            ("cause", &mut self.cause),
            ("evidence", &mut self.evidence),
            ("action", &mut self.action),
            ("economy", &mut self.economy),
            ("safety", &mut self.safety),
        ]
    }

    /// All of them together.
    pub fn sum(&self) -> f64 {
        self.named().iter().map(|n| n.1).sum()
    }

    /// Whether they sum to a hundred.
    pub fn is_whole(&self) -> bool {
        (self.sum() - 100.0).abs() <= 1e-6
    }

    /// In a line.
    pub fn words(&self) -> String {
        self.named()
            .map(|(name, of)| format!("{name} {of:.0}"))
            .join(", ")
    }

    pub(super) fn read(root: &TableReader<'_>) -> Self {
        let Some(table) = root.table("marks").optional() else {
            return Self::USUAL;
        };
        let of = |key| table.number(key).between(0.0..=100.0).required_or(0.0);
        let out = Self {
            cause: of("cause"),
            evidence: of("evidence"),
            action: of("action"),
            economy: of("economy"),
            safety: of("safety"),
        };
        if !out.is_whole() {
            root.complain(
                "marks",
                format!("the weights sum to {}", out.sum()),
                "weights that sum to 100",
            );
        }
        out
    }

    /// As a table, where they are not the usual ones.
    pub(super) fn to_toml(self) -> String {
        let mut out = String::new();
        if self != Self::USUAL {
            out.push_str("\n[marks]\n");
            for (name, of) in self.named() {
                let _ = writeln!(out, "{name} = {of}");
            }
        }
        out
    }
}
