//! What hands can do about a fault: what puts it right, and what only tells.

use serde::Serialize;

/// What can make a fault go away.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Remedy {
    /// A burst of flow carries it off: it tells grit from a nick, and what it was on is replaced all the same.
    Flush,
    /// Warming (warm wet cloth only): heals while it is warm.
    Warm,
    /// Clearing a vent, a burner orifice or a low point.
    Clear,
    /// Setting the screw, by a qualified person with a gauge.
    Adjust,
    /// Replacing it whole: the regulator, the hose, the part of an appliance.
    Replace,
    /// Purging, refilling, bleeding down by a qualified person.
    Refill,
    /// Letting it come back by itself.
    Wait,
    /// Repairing a line, a joint or a valve.
    Repair,
    /// A tap on the body: it tells something.
    Tap,
}

impl Remedy {
    /// Those that an answer can name: a tap is none, it mends nothing.
    pub const ANSWERS: [Self; 8] = [
        Self::Flush,
        Self::Warm,
        Self::Clear,
        Self::Adjust,
        Self::Replace,
        Self::Refill,
        Self::Wait,
        Self::Repair,
    ];

    /// Whether it puts the fault right; else it only tells, or helps for a while.
    pub fn puts_right(self) -> bool {
        !matches!(self, Self::Flush | Self::Warm | Self::Tap)
    }

    /// Name in answers and files.
    pub fn id(self) -> &'static str {
        match self {
            Self::Flush => "flush",
            Self::Warm => "warm",
            Self::Clear => "clear",
            Self::Adjust => "adjust",
            Self::Replace => "replace",
            Self::Refill => "refill",
            Self::Wait => "wait",
            Self::Repair => "repair",
            Self::Tap => "tap",
        }
    }

    /// What is done, as a sentence names it.
    pub fn doing(self) -> &'static str {
        match self {
            Self::Flush => "a burst of flow",
            Self::Warm => "a warm wet cloth",
            Self::Clear => "clearing the vent, the orifice or the line",
            Self::Adjust => "setting the screw",
            Self::Replace => "a new part",
            Self::Refill => "purging, bleeding down or refilling",
            Self::Wait => "waiting and opening slowly",
            Self::Repair => "repairing the line, the joint or the valve",
            Self::Tap => "a tap",
        }
    }

    /// As an order.
    pub fn order(self) -> &'static str {
        match self {
            Self::Flush => "flush it with a burst of flow",
            Self::Warm => "warm it with a warm wet cloth",
            Self::Clear => "clear the vent, the orifice or the line",
            Self::Adjust => "set the screw with a gauge on the tap",
            Self::Replace => "replace it whole: regulator, hose, or the appliance's part",
            Self::Refill => "purge, bleed down or refill the container",
            Self::Wait => "wait, then open slowly",
            Self::Repair => "repair the line, the joint or the valve",
            Self::Tap => "tap it",
        }
    }
}
