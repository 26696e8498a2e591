//! The ways in which a fault may be made to come on, and which of them fit it. Not here: the page that offers them.

use crate::fault::Fault;
use crate::scenario::{Action, Growth};
use crate::window::look::show::Units;

/// Ways to come on that are on offer, with their words.
pub(super) const ONSETS: [(Comes, &str); 7] = [
    (Comes::Over(0.0), "at once"),
    (Comes::Over(10.0), "over 10 s"),
    (Comes::Over(120.0), "over 2 min"),
    (Comes::Over(1800.0), "over 30 min"),
    (
        Comes::With(Growth::Cycles { count: 50 }),
        "as its seat opens 50 times",
    ),
    (
        Comes::With(Growth::Temperature {
            none_k: 283.15,
            all_k: 263.15,
        }),
        "with cold",
    ),
    (
        Comes::With(Growth::Temperature {
            none_k: 293.15,
            all_k: 313.15,
        }),
        "with heat",
    ),
];

/// How a fault comes.
#[derive(Debug, Clone, Copy)]
pub(super) enum Comes {
    /// Within a time \[s\].
    Over(f64),
    /// With use or temperature.
    With(Growth),
}

impl Comes {
    pub(super) fn action(self, fault: Fault, severity: f64) -> Action {
        match self {
            Self::Over(over_s) => Action::Inject {
                fault,
                severity,
                over_s,
            },
            Self::With(by) => Action::Grow {
                fault,
                severity,
                by,
            },
        }
    }

    /// How it comes, for a reader of these units.
    pub(super) fn how(self, units: Units) -> String {
        let words = match self {
            Self::Over(_) => "Its severity rises in a straight line",
            Self::With(Growth::Cycles { .. }) => {
                "It wears in as the seat of its stage opens, and is all there after fifty openings"
            }
            Self::With(Growth::Temperature { none_k, all_k }) if none_k > all_k => {
                "It follows the regulator's body: nothing at 50 °F, all of it at 14 °F, and back"
            }
            Self::With(_) => {
                "It follows the regulator's body: nothing at 68 °F, all of it at 104 °F, and back"
            }
        };
        units.prose(words).into_owned()
    }

    /// Whether a fault can come so: what comes with the gas does not come with temperature, and only what moves wears by moving.
    pub(super) fn fits(self, fault: Fault) -> bool {
        match self {
            Self::Over(_) => true,
            Self::With(Growth::Cycles { .. }) => fault.wears_by_strokes(),
            Self::With(Growth::Temperature { .. }) => !fault.arrives(),
        }
    }
}
