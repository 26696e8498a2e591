//! The faults, one entry each.

use super::{Entry, Family, Onset, Remedy};

/// The whole catalogue.
pub static ALL: [Entry; 3] = [
    Entry {
        id: "second_vent_blocked",
        name: "Second-stage vent blocked",
        words: "Mud, insects, ice or paint keep the second spring case from breathing.",
        family: Family::Vent,
        meaning: vent_meaning,
        apply: |rig, s| rig.second.vent.open = vent_open(s),
        arrive: None,
        onset: Onset::Gradual,
        remedies: &[Remedy::Clear],
        look_alikes: &["rubber_stiff", "lever_gummed", "second_seat_grit"],
        told_apart: "Time a load step, clear the vent, time it again: it heals at once",
        caution: "Never block or cap a vent: the relief breathes through it",
    },
    Entry {
        id: "first_vent_blocked",
        name: "First-stage vent blocked",
        words: "The first spring case cannot breathe.",
        family: Family::Vent,
        meaning: vent_meaning,
        apply: |rig, s| rig.first.vent.open = vent_open(s),
        arrive: None,
        onset: Onset::Gradual,
        remedies: &[Remedy::Clear],
        look_alikes: &["first_seat_leak"],
        told_apart: "Interstage pressure drifts with sun and height; clear it and it heals",
        caution: "Never block or cap a vent",
    },
    Entry {
        id: "liquid_carry_over",
        name: "Liquid carry-over",
        words: "Liquid propane reaches the regulator: a container overfilled, tilted or on its side.",
        family: Family::Fuel,
        meaning: |s| format!("{:.0} % of the mass drawn is liquid", 100.0 * s),
        apply: |rig, s| {
            for c in &mut rig.containers {
                c.liquid_share = s;
            }
        },
        arrive: None,
        onset: Onset::Sudden,
        remedies: &[Remedy::Refill, Remedy::Replace],
        look_alikes: &["first_seat_leak"],
        told_apart: "Frost on the body, surging flames, weigh the container",
        caution: "Liquid burns skin and floods burners: shut the container; a regulator that saw liquid is replaced",
    },
];

/// Share of a vent still open at a severity: three decades on the way to shut, sealed at 1.
///
/// Flow through a vent works on its area, so equal steps of severity are equal ratios of area.
fn vent_open(severity: f64) -> f64 {
    if severity >= 1.0 {
        0.0
    } else {
        10_f64.powf(-3.0 * severity)
    }
}

fn vent_meaning(severity: f64) -> String {
    match vent_open(severity) {
        0.0 => "sealed".to_owned(),
        open => format!("{:.2} % of the vent still open", 100.0 * open),
    }
}
