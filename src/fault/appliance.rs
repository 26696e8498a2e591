//! Faults of one appliance, and of too many.
//!
//! A fault of one appliance sits in the one that is named with it, else in the first of the list that has the part.

use super::caution::SMELL;
use super::scale::{decades, figures, percent, rising, valve_at_11_inwc};
use super::{AtBurner, Entry, Family, Onset, Remedy};
use crate::rig::{Appliance, Ignition};

/// What a gas valve lets by when shut \[m²\].
fn valve_leak_m2(severity: f64) -> f64 {
    0.6e-6 * rising(severity, 4.0)
}

fn any(_: &Appliance) -> bool {
    true
}

fn has_spark(a: &Appliance) -> bool {
    matches!(a.ignition, Ignition::Spark { .. })
}

fn has_pilot(a: &Appliance) -> bool {
    matches!(a.ignition, Ignition::Pilot { .. })
}

fn works_until(severity: f64, part: &str) -> String {
    if severity > 0.0 {
        format!("{part} dead")
    } else {
        format!("{part} works")
    }
}

/// The family.
pub(super) static FAULTS: [Entry; 8] = [
    Entry {
        id: "spud_clogged",
        name: "One burner's orifice clogged",
        words: "A spider's web or rust narrows the orifice of one burner.",
        family: Family::Appliance,
        meaning: |s, _| format!("{} % of the orifice left", percent(1.0 - 0.95 * s)),
        at_burner: Some(AtBurner {
            has: any,
            apply: |a, s| {
                a.spud_m2 *= 1.0 - 0.95 * s;
            },
        }),
        onset: Onset::Gradual,
        remedies: &[Remedy::Clear, Remedy::Replace],
        look_alikes: &["gas_valve_sticks", "air_in_container", "spud_oversize"],
        told_apart: "One appliance only, and the pressure at its inlet is right",
        caution: "An orifice is replaced or cleaned with air, never drilled or picked with wire",
        ..Entry::BLANK
    },
    Entry {
        id: "spud_oversize",
        name: "One burner's orifice too large",
        words: "An orifice was drilled out or is the one for another fuel: too much gas, yellow or roaring flame, soot.",
        family: Family::Appliance,
        meaning: |s, _| format!("{} % of the right area", percent(1.0 + 1.5 * s)),
        at_burner: Some(AtBurner {
            has: any,
            apply: |a, s| {
                a.spud_m2 *= 1.0 + 1.5 * s;
                a.valve_m2 *= 1.0 + 1.5 * s;
            },
        }),
        onset: Onset::Sudden,
        remedies: &[Remedy::Replace],
        look_alikes: &["overloaded", "spud_clogged"],
        told_apart: "One appliance only takes more than its plate says; read the size stamped on the orifice",
        caution: "An overfired burner makes carbon monoxide: keep it off until it is put right",
        ..Entry::BLANK
    },
    Entry {
        id: "gas_valve_leaks",
        name: "One gas valve leaks when shut",
        words: "The main valve of one appliance does not close tight: gas runs to an unlit burner.",
        family: Family::Appliance,
        meaning: |s, units| {
            format!(
                "through the shut valve {}",
                valve_at_11_inwc(valve_leak_m2(s), units)
            )
        },
        at_burner: Some(AtBurner {
            has: any,
            apply: |a, s| {
                a.valve_leak_m2 += valve_leak_m2(s);
            },
        }),
        onset: Onset::Wear,
        remedies: &[Remedy::Replace],
        look_alikes: &["low_side_leak"],
        told_apart: "Leak check fails, joints dry; it holds with that appliance's hand valve shut",
        caution: SMELL,
        ..Entry::BLANK
    },
    Entry {
        id: "gas_valve_sticks",
        name: "One gas valve opens slowly and not fully",
        words: "A sticky or weak valve of one appliance opens late and part of the way.",
        family: Family::Appliance,
        meaning: |s, _| {
            format!(
                "opens {} % in {} s",
                percent(1.0 - 0.97 * s),
                figures(0.2 + 4.0 * s)
            )
        },
        at_burner: Some(AtBurner {
            has: any,
            apply: |a, s| {
                a.valve_s += 4.0 * s;
                a.valve_m2 *= decades(s, 2.5);
            },
        }),
        onset: Onset::Wear,
        remedies: &[Remedy::Replace],
        look_alikes: &["spud_clogged"],
        told_apart: "One appliance lights late and burns small, with the right pressure at its inlet",
        caution: "Delayed ignition blows flames out of a burner: keep it off until it is put right",
        ..Entry::BLANK
    },
    Entry {
        id: "thermocouple_dead",
        name: "Thermocouple dead",
        words: "The thermocouple no longer holds the pilot valve: the pilot goes out when the knob is let go.",
        family: Family::Appliance,
        whole: true,
        meaning: |s, _| works_until(s, "thermocouple"),
        at_burner: Some(AtBurner {
            has: has_pilot,
            apply: |a, s| {
                if s > 0.0 {
                    a.flame_sensor_works = false;
                }
            },
        }),
        onset: Onset::Wear,
        remedies: &[Remedy::Replace],
        look_alikes: &["flame_sensor_dead", "igniter_dead"],
        told_apart: "Only the pilot appliance; pressure is right at its inlet",
        caution: "Never hold or wedge a safety valve open",
        ..Entry::BLANK
    },
    Entry {
        id: "igniter_dead",
        name: "Igniter dead",
        words: "No spark: the valve opens, nothing lights, and the controls lock out.",
        family: Family::Appliance,
        whole: true,
        meaning: |s, _| works_until(s, "igniter"),
        at_burner: Some(AtBurner {
            has: has_spark,
            apply: |a, s| {
                if s > 0.0 {
                    a.igniter_works = false;
                }
            },
        }),
        onset: Onset::Wear,
        remedies: &[Remedy::Replace],
        look_alikes: &["flame_sensor_dead", "thermocouple_dead", "air_in_container"],
        told_apart: "No spark to be seen or heard in the trial, pressure right",
        caution: "Each trial lets gas out unburned: a few tries, then air it and stop",
        ..Entry::BLANK
    },
    Entry {
        id: "flame_sensor_dead",
        name: "Flame sensor dirty",
        words: "A burner lights and goes out after some seconds, for the controls do not see its flame.",
        family: Family::Appliance,
        whole: true,
        meaning: |s, _| works_until(s, "flame sensor"),
        at_burner: Some(AtBurner {
            has: has_spark,
            apply: |a, s| {
                if s > 0.0 {
                    a.flame_sensor_works = false;
                }
            },
        }),
        onset: Onset::Wear,
        remedies: &[Remedy::Clear, Remedy::Replace],
        look_alikes: &["igniter_dead", "thermocouple_dead"],
        told_apart: "It lights, burns some seconds, shuts, three times over; pressure right",
        caution: "Never bridge a flame sensor",
        ..Entry::BLANK
    },
    Entry {
        id: "overloaded",
        name: "More appliances than the regulator feeds",
        words: "Every appliance has been changed for a larger one, its plate with it: together they ask for more than the regulator was chosen for.",
        family: Family::Appliance,
        meaning: |s, _| {
            format!(
                "every plate {} % of what the regulator was chosen for",
                percent(1.0 + 3.0 * s)
            )
        },
        apply: |rig, s| {
            let more = 1.0 + 3.0 * s;
            for a in &mut rig.appliances {
                a.input_w *= more;
                a.spud_m2 *= more;
                a.valve_m2 *= more;
            }
        },
        onset: Onset::Sudden,
        remedies: &[Remedy::Replace],
        look_alikes: &["line_crushed", "line_too_small", "spud_oversize"],
        told_apart: "Add load in steps: right with little lit, then the outlet sinks with each burner more, to the same at the same load every time",
        caution: "Add the plates up before adding an appliance",
        ..Entry::BLANK
    },
];
