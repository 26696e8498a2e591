//! Faults of lever and guides.

use super::caution::AT_THE_VENT;
use super::scale::{force, travel};
use super::{Entry, Family, Onset, Remedy};
use crate::rig::{Seat, Stage};

/// Adds friction. What sticks harder also gives as little before it slides, so the stiffness of
/// the bristles grows alike.
pub(super) fn stick(stage: &mut Stage, more_n: f64) {
    let ratio = 1.0 + more_n / stage.friction_n.max(LEAST_FRICTION_N);
    stage.friction_n += more_n;
    stage.bristle_n_per_m *= ratio;
}

/// Friction that a part without any is taken to have when it begins to stick \[N\].
const LEAST_FRICTION_N: f64 = 0.01;

/// The family.
pub(super) static FAULTS: [Entry; 4] = [
    Entry {
        id: "lever_gummed",
        name: "Second-stage lever sticking",
        words: "Oily gum holds the lever and its guide: it stays where it was and then lets go in a step.",
        family: Family::Lever,
        meaning: |s, units| {
            format!(
                "{} of friction at the diaphragm as the lever slides, up to {} before it lets go",
                force(0.02 + 1.5 * s, units),
                force((0.02 + 1.5 * s) * (1.0 + 0.5 * s), units)
            )
        },
        apply: |rig, s| {
            stick(&mut rig.second, 1.5 * s);
            rig.second.static_ratio += 0.5 * s;
        },
        onset: Onset::Wear,
        remedies: &[Remedy::Tap, Remedy::Replace],
        look_alikes: &[
            "second_vent_blocked",
            "rubber_stiff",
            "vent_turned_up",
            "oily_residue",
        ],
        told_apart: "Tap the body: the pressure jumps to where it should be; load up and down gives two lines",
        caution: "A tap proves it and mends nothing: replace the regulator",
        ..Entry::BLANK
    },
    Entry {
        id: "lever_off",
        name: "Second-stage lever off its pin",
        words: "The lever has come off: nothing holds the seat to its orifice and the whole first-stage pressure passes.",
        family: Family::Lever,
        whole: true,
        meaning: |s, _| {
            if s > 0.0 {
                "off its pin".to_owned()
            } else {
                "in place".to_owned()
            }
        },
        apply: |rig, s| {
            if s > 0.0 {
                rig.second.linked = false;
            }
        },
        onset: Onset::Sudden,
        remedies: &[Remedy::Replace],
        look_alikes: &["second_seat_disc_lost"],
        told_apart: "The vent roars at rest and under load alike and flames blow off, until an excess-flow valve trips: from then on, often within seconds, only its bleed comes. With little lit flames then still blow off, with more lit they may look steady, with much lit they go soft and lazy",
        caution: AT_THE_VENT,
        ..Entry::BLANK
    },
    Entry {
        id: "lever_bent",
        name: "Second-stage lever bent",
        words: "A bent lever brings the seat to its orifice too early: set point and greatest lift are both down.",
        family: Family::Lever,
        meaning: |s, units| {
            format!(
                "shuts {} of diaphragm travel early",
                travel(3e-3 * s, units)
            )
        },
        apply: |rig, s| {
            let stage = &mut rig.second;
            stage.touch_rise_m = (stage.touch_rise_m - 3.0e-3 * s).max(MIN_TRAVEL_M);
        },
        onset: Onset::Sudden,
        remedies: &[Remedy::Replace],
        look_alikes: &["second_spring_weak", "second_screw_low"],
        told_apart: "Low at rest and at every load like a low screw, which nobody has touched; whether lever or spring, only a workshop tells",
        caution: "A regulator with a bent part is replaced",
        ..Entry::BLANK
    },
    Entry {
        id: "first_guide_gummed",
        name: "First-stage stem sticking",
        worn_by: Seat::First,
        words: "Residue holds the first-stage stem: the first-stage pressure hunts about its setting in slow steps.",
        family: Family::Lever,
        meaning: |s, units| {
            format!(
                "{} of friction as the stem slides, up to {} before it lets go",
                force(0.2 + 40.0 * s, units),
                force((0.2 + 40.0 * s) * (1.0 + 0.3 * s), units)
            )
        },
        apply: |rig, s| {
            stick(&mut rig.first, 40.0 * s);
            rig.first.static_ratio += 0.3 * s;
        },
        onset: Onset::Wear,
        remedies: &[Remedy::Tap, Remedy::Replace],
        look_alikes: &["first_vent_blocked", "oily_residue"],
        told_apart: "First-stage pressure stands at one value rising and at another falling; a knock moves it",
        caution: "A tap proves it and mends nothing: replace the regulator",
        ..Entry::BLANK
    },
];

/// Travel left to the worst bent lever \[m\].
const MIN_TRAVEL_M: f64 = 0.4e-3;
