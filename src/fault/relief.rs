//! Faults of the relief valve in the second diaphragm.

use super::scale::figures;
use super::{Entry, Family, Onset, Remedy};
use crate::units::inwc_to_pa;

/// Fall of the start-to-discharge pressure at full severity \[in w.c.\].
const START_FALL_INWC: f64 = 16.0;

/// The family.
pub(super) static FAULTS: [Entry; 3] = [
    Entry {
        id: "relief_weeping",
        name: "Relief weeping",
        words: "Dirt on the relief's seat lets a little gas to the vent all the time.",
        family: Family::Relief,
        meaning: |s| format!("{} mm² always open", figures(0.5 * s)),
        apply: |rig, s| {
            if let Some(relief) = &mut rig.second.relief {
                relief.weep_m2 += 0.5e-6 * s;
            }
        },
        onset: Onset::Wear,
        remedies: &[Remedy::Replace],
        look_alikes: &["diaphragm_pinhole", "diaphragm_torn", "relief_set_low"],
        told_apart: "Bubbles at the vent at 8 to 11 in w.c., hardly changing with load",
        caution: "Gas at the vent: shut the container; never cap the vent to stop it",
        ..Entry::BLANK
    },
    Entry {
        id: "relief_stuck_shut",
        name: "Relief stuck",
        words: "The relief's seat is glued to its nozzle: it starts late, or not at all.",
        family: Family::Relief,
        meaning: |s| {
            if s >= 1.0 {
                "does not open".to_owned()
            } else {
                format!("starts at {} times its setting", figures(1.0 + 9.0 * s))
            }
        },
        apply: |rig, s| {
            if let Some(relief) = &mut rig.second.relief {
                relief.start_pa *= 1.0 + 9.0 * s;
                relief.free &= s < 1.0;
            }
        },
        onset: Onset::Wear,
        remedies: &[Remedy::Replace],
        look_alikes: &["vent_screen_painted"],
        told_apart: "Bench only: nothing shows until a seat leaks, and then the outlet has no plateau",
        caution: "Never test a relief by over-pressing a vehicle's piping",
        ..Entry::BLANK
    },
    Entry {
        id: "relief_set_low",
        name: "Relief starts early",
        words: "The relief's spring is tired: it opens at lock-up and vents a little at each burner-off.",
        family: Family::Relief,
        meaning: |s| format!("starts {} in w.c. early", figures(START_FALL_INWC * s)),
        apply: |rig, s| {
            if let Some(relief) = &mut rig.second.relief {
                relief.start_pa = (relief.start_pa - inwc_to_pa(START_FALL_INWC * s)).max(100.0);
            }
        },
        onset: Onset::Wear,
        remedies: &[Remedy::Replace],
        look_alikes: &["relief_weeping", "diaphragm_pinhole", "diaphragm_torn"],
        told_apart: "Bubbles at the vent at lock-up that stop when a burner is lit",
        caution: "Gas at the vent: shut the container; never cap the vent to stop it",
        ..Entry::BLANK
    },
];
