//! Faults of diaphragms.

use super::lever::stick;
use super::scale::figures;
use super::{Entry, Family, Onset, Remedy};
use crate::rig::Seat;

/// The family.
pub(super) static FAULTS: [Entry; 4] = [
    Entry {
        id: "diaphragm_pinhole",
        name: "Pinhole in the second diaphragm",
        words: "A pinhole lets a little gas through to the spring case and out of the vent, always.",
        family: Family::Diaphragm,
        meaning: |s| format!("{} mm²", figures(0.2 * s)),
        apply: |rig, s| rig.second.tear_m2 += 0.2e-6 * s,
        onset: Onset::Wear,
        remedies: &[Remedy::Replace],
        look_alikes: &["relief_weeping", "relief_set_low", "low_side_leak"],
        told_apart: "Bubbles at the vent far under the relief's start, at every load",
        caution: "Gas at the vent: shut the container, replace the regulator",
        ..Entry::BLANK
    },
    Entry {
        id: "diaphragm_torn",
        name: "Second diaphragm torn",
        words: "The second diaphragm has torn: gas pours into the spring case and lifts its pressure too, so the stage opens further.",
        family: Family::Diaphragm,
        meaning: |s| format!("tear of {} mm²", figures(6.0 * s)),
        apply: |rig, s| rig.second.tear_m2 += 6e-6 * s,
        onset: Onset::Sudden,
        remedies: &[Remedy::Replace],
        look_alikes: &["relief_weeping", "relief_set_low"],
        told_apart: "Steady gas from the vent at any load and at rest, and the outlet off its setting",
        caution: "Gas at the vent: no flame, no switch, shut the container",
        ..Entry::BLANK
    },
    Entry {
        id: "first_diaphragm_torn",
        name: "First diaphragm torn",
        worn_by: Seat::First,
        words: "Gas of 10 psig blows through the first diaphragm and out of the first vent.",
        family: Family::Diaphragm,
        meaning: |s| format!("tear of {} mm²", figures(1.5 * s)),
        apply: |rig, s| rig.first.tear_m2 += 1.5e-6 * s,
        onset: Onset::Sudden,
        remedies: &[Remedy::Replace],
        look_alikes: &["pigtail_leak"],
        told_apart: "Bubbles at the first vent; interstage off its setting",
        caution: "Gas at the vent: no flame, no switch, shut the container",
        ..Entry::BLANK
    },
    Entry {
        id: "rubber_stiff",
        name: "Second diaphragm stiff",
        words: "Age, fuel oils and cold have hardened the diaphragm: it works like a second spring with friction in it.",
        family: Family::Diaphragm,
        meaning: |s| format!("{} times as stiff as new", figures(1.0 + 6.0 * s)),
        apply: |rig, s| {
            rig.second.rubber_factor *= 1.0 + 6.0 * s;
            // Rubber that resists also loses work: part of its force comes back as friction.
            stick(&mut rig.second, 0.6 * s);
        },
        onset: Onset::Weather,
        remedies: &[Remedy::Warm, Remedy::Replace],
        look_alikes: &[
            "second_vent_blocked",
            "second_vent_iced",
            "second_seat_set",
            "second_screw_high",
            "lever_gummed",
        ],
        told_apart: "Lock-up high and full load low; load up and down gives two lines; better when warm",
        caution: "Warm with a wet cloth only; a stiff diaphragm is near tearing: replace the regulator",
        ..Entry::BLANK
    },
];
