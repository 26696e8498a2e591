//! The ways in which a fault may be made to come on, and which of them fit it. Not here: the page that offers them.

use crate::fault::Fault;
use crate::scenario::{Comes, Growth};
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

/// How it comes, for a reader of these units.
pub(super) fn how(comes: Comes, units: Units) -> String {
    let words = match comes {
        Comes::Over(_) => "Its severity rises in a straight line",
        Comes::With(Growth::Cycles { .. }) => {
            "It wears in as the seat of its stage opens, and is all there after fifty openings"
        }
        Comes::With(Growth::Temperature { none_k, all_k }) if none_k > all_k => {
            "It follows the regulator's body: nothing at 50 °F, all of it at 14 °F, and back"
        }
        Comes::With(_) => {
            "It follows the regulator's body: nothing at 68 °F, all of it at 104 °F, and back"
        }
    };
    units.prose(words).into_owned()
}

/// Whether a way is on offer for a fault: only what moves wears by moving.
pub(super) fn fits(comes: Comes, fault: Fault) -> bool {
    let wears = matches!(comes, Comes::With(Growth::Cycles { .. }));
    comes.can_bring(fault) && (!wears || fault.wears_by_strokes())
}
