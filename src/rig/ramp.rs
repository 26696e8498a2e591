//! A value that goes from one level to another in a straight line over a time: hand wheels,
//! gas valves, weather, roads.

use serde::Serialize;

/// A value that moves linearly from `from` at `start_s` to `to` at `end_s` and then stays.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Ramp {
    /// Value before and at the start.
    pub from: f64,
    /// Value at and after the end.
    pub to: f64,
    /// Start \[s\].
    pub start_s: f64,
    /// End \[s\], not before the start.
    pub end_s: f64,
}

impl Ramp {
    /// A value that does not move.
    pub const fn fixed(value: f64) -> Self {
        Self {
            from: value,
            to: value,
            start_s: 0.0,
            end_s: 0.0,
        }
    }

    /// Value at time `t_s` \[s\].
    pub fn at(&self, t_s: f64) -> f64 {
        if t_s >= self.end_s {
            self.to
        } else if t_s <= self.start_s {
            self.from
        } else {
            self.from + (self.to - self.from) * (t_s - self.start_s) / (self.end_s - self.start_s)
        }
    }

    /// The same quantity, sent from where it stands at `now_s` to `to` within `over_s`.
    #[must_use]
    pub fn sent_to(&self, to: f64, now_s: f64, over_s: f64) -> Self {
        Self {
            from: if over_s > 0.0 { self.at(now_s) } else { to },
            to,
            start_s: now_s,
            end_s: now_s + over_s.max(0.0),
        }
    }

    /// The next corner of the line strictly after `t_s`, where an integrator must stop \[s\].
    pub fn next_corner_s(&self, t_s: f64) -> Option<f64> {
        if self.from == self.to {
            return None;
        }
        [self.start_s, self.end_s].into_iter().find(|&c| c > t_s)
    }
}
