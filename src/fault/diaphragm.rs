//! Faults of diaphragms.

use super::caution::AT_THE_VENT;
use super::lever::stick;
use super::scale::{figures, hole_at_11_inwc, hole_at_psig, rising};
use super::{Entry, Family, Onset, Remedy};
use crate::rig::Seat;
use crate::rig::stage::HOLE;

/// The largest pinhole \[m²\].
fn pinhole_m2(severity: f64) -> f64 {
    0.2e-6 * rising(severity, 3.0)
}

/// A tear of the second diaphragm \[m²\]: from a prick that hardly bubbles to a rip from rim to rim.
fn tear_m2(severity: f64) -> f64 {
    300e-6 * rising(severity, 4.2)
}

/// A tear of the first diaphragm, half as wide \[m²\].
fn first_tear_m2(severity: f64) -> f64 {
    60e-6 * rising(severity, 4.5)
}

/// The family.
pub(super) static FAULTS: [Entry; 4] = [
    Entry {
        id: "diaphragm_pinhole",
        name: "Pinhole in the second diaphragm",
        words: "A pinhole lets a little gas through to the spring case and out of the vent, always.",
        family: Family::Diaphragm,
        meaning: |s, units| hole_at_11_inwc(pinhole_m2(s), units),
        apply: |rig, s| rig.second.tear_m2 += pinhole_m2(s),
        onset: Onset::Wear,
        remedies: &[Remedy::Replace],
        look_alikes: &["relief_weeping", "relief_set_low", "low_side_leak"],
        told_apart: "Bubbles at the vent far under the relief's start, at every load",
        caution: AT_THE_VENT,
        ..Entry::BLANK
    },
    Entry {
        id: "diaphragm_torn",
        name: "Second diaphragm torn",
        words: "The second diaphragm has torn: gas passes to the spring case and out of the vent. A small tear changes little; a larger one lifts the pressure above the diaphragm too and opens the stage further; a rip leaves nothing to push the spring back.",
        family: Family::Diaphragm,
        meaning: |s, units| format!("a tear of {}", hole_at_11_inwc(tear_m2(s), units)),
        apply: |rig, s| rig.second.tear_m2 += tear_m2(s),
        onset: Onset::Sudden,
        remedies: &[Remedy::Replace],
        look_alikes: &["relief_weeping", "relief_set_low"],
        told_apart: "Gas from the vent at any load and at rest; by the size of the tear the outlet is as it was, a little off, or not held at all",
        caution: AT_THE_VENT,
        ..Entry::BLANK
    },
    Entry {
        id: "first_diaphragm_torn",
        name: "First diaphragm torn",
        worn_by: Seat::First,
        words: "Gas of 10 psig blows through the first diaphragm and out of the first vent.",
        family: Family::Diaphragm,
        meaning: |s, units| {
            format!(
                "a tear of {}",
                hole_at_psig(first_tear_m2(s), HOLE, 10.0, units)
            )
        },
        apply: |rig, s| rig.first.tear_m2 += first_tear_m2(s),
        onset: Onset::Sudden,
        remedies: &[Remedy::Replace],
        look_alikes: &["pigtail_leak"],
        told_apart: "Bubbles or a hiss at the first vent at any load; the first-stage pressure tells only of a large tear",
        caution: AT_THE_VENT,
        ..Entry::BLANK
    },
    Entry {
        id: "rubber_stiff",
        name: "Second diaphragm stiff",
        words: "Age, fuel oils and cold have hardened the diaphragm: it works like a second spring with friction in it.",
        family: Family::Diaphragm,
        meaning: |s, _| format!("{} times as stiff as new", figures(1.0 + 6.0 * s)),
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
