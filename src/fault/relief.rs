//! Faults of the relief valve in the second diaphragm.

use super::caution::AT_THE_VENT;
use super::scale::{decades, figures, hole_at_11_inwc, percent, rising};
use super::{Entry, Family, Onset, Remedy};

/// What a relief that does not seat lets by \[m²\].
fn weep_m2(severity: f64) -> f64 {
    0.5e-6 * rising(severity, 3.5)
}

/// Force that a tired relief spring has left: at the middling severity what a healthy lock-up lays on it.
fn tired(severity: f64) -> f64 {
    decades(severity, 2.4)
}

/// How many times harder a glued relief holds.
fn glued(severity: f64) -> f64 {
    1.0 + 3.0 * severity
}

/// The family.
pub(super) static FAULTS: [Entry; 3] = [
    Entry {
        id: "relief_weeping",
        name: "Relief weeping",
        words: "Dirt on the relief's seat lets a little gas to the vent all the time.",
        family: Family::Relief,
        meaning: |s, units| format!("always open by {}", hole_at_11_inwc(weep_m2(s), units)),
        apply: |rig, s| {
            if let Some(relief) = &mut rig.second.relief {
                relief.weep_m2 += weep_m2(s);
            }
        },
        onset: Onset::Wear,
        remedies: &[Remedy::Replace],
        look_alikes: &["diaphragm_pinhole", "diaphragm_torn", "relief_set_low"],
        told_apart: "Bubbles at the vent at 8 to 11 in w.c., hardly changing with load",
        caution: AT_THE_VENT,
        ..Entry::BLANK
    },
    Entry {
        id: "relief_stuck_shut",
        name: "Relief stuck",
        words: "The relief's disc is glued to its seat: it starts late, or not at all.",
        family: Family::Relief,
        meaning: |s, _| {
            if s >= 1.0 {
                "does not open".to_owned()
            } else {
                format!("holds {} times as hard as its spring", figures(glued(s)))
            }
        },
        apply: |rig, s| {
            if let Some(relief) = &mut rig.second.relief {
                relief.preload_n *= glued(s);
                relief.free &= s < 1.0;
            }
        },
        onset: Onset::Wear,
        remedies: &[Remedy::Replace],
        look_alikes: &["vent_screen_painted"],
        told_apart: "In a workshop only: nothing shows until a seat leaks, and then the outlet has no plateau",
        caution: "Never test a relief by over-pressing a vehicle's piping",
        ..Entry::BLANK
    },
    Entry {
        id: "relief_set_low",
        name: "Relief starts early",
        words: "The relief's spring is tired: it opens at lock-up and vents a little at each burner-off.",
        family: Family::Relief,
        meaning: |s, _| format!("{} % of its spring's force left", percent(tired(s))),
        apply: |rig, s| {
            if let Some(relief) = &mut rig.second.relief {
                relief.preload_n *= tired(s);
            }
        },
        onset: Onset::Wear,
        remedies: &[Remedy::Replace],
        look_alikes: &["relief_weeping", "diaphragm_pinhole", "diaphragm_torn"],
        told_apart: "Bubbles at the vent at lock-up that stop when a burner is lit",
        caution: AT_THE_VENT,
        ..Entry::BLANK
    },
];
