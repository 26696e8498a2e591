//! Faults of adjusting springs and screws.

use super::scale::{figures, percent};
use super::{Entry, Family, Onset, Remedy};
use crate::rig::{Seat, Stage};

/// Turns of a wrongly set screw at full severity.
const TURNS: f64 = 8.0;
/// The same on the first stage, whose spring is twenty times as stiff.
const FIRST_TURNS: f64 = 4.0;

fn turn(stage: &mut Stage, turns: f64) {
    // A screw turned right out leaves the spring loose, never pulling.
    let force = turns * stage.screw_pitch_m * stage.spring_n_per_m;
    stage.preload_n = (stage.preload_n + force).max(0.0);
}

fn weaken(stage: &mut Stage, left: f64) {
    stage.preload_n *= left;
    stage.spring_n_per_m *= left;
}

/// Force that a broken spring still gives: most of it goes at the first broken coil.
fn broken(severity: f64) -> f64 {
    (1.0 - severity).powi(3)
}

/// The family.
pub(super) static FAULTS: [Entry; 8] = [
    Entry {
        id: "second_spring_weak",
        name: "Second-stage spring weak",
        words: "Rust or heat has taken force out of the second spring: everything is low by the same share.",
        family: Family::Spring,
        meaning: |s, _| format!("{} % of the spring's force lost", percent(0.5 * s)),
        apply: |rig, s| weaken(&mut rig.second, 1.0 - 0.5 * s),
        onset: Onset::Wear,
        remedies: &[Remedy::Replace],
        look_alikes: &["second_screw_low", "lever_bent", "second_spring_broken"],
        told_apart: "Low at rest and under load alike, steady, and the screw has not been touched",
        caution: "Do not make up for a tired spring with the screw: replace the regulator",
        ..Entry::BLANK
    },
    Entry {
        id: "second_spring_broken",
        snaps: true,
        name: "Second-stage spring broken",
        words: "The second spring has snapped: hardly anything pushes the seat open.",
        family: Family::Spring,
        meaning: |s, _| format!("{} % of the spring's force left", percent(broken(s))),
        apply: |rig, s| weaken(&mut rig.second, broken(s)),
        onset: Onset::Sudden,
        remedies: &[Remedy::Replace],
        look_alikes: &[
            "second_spring_weak",
            "first_spring_broken",
            "excess_flow_tripped",
        ],
        told_apart: "Outlet near zero at rest while the first-stage pressure stands at its setting",
        caution: "Pilots go out: shut every appliance before gas comes back, then relight and prove each",
        ..Entry::BLANK
    },
    Entry {
        id: "second_screw_high",
        name: "Second-stage screw set high",
        words: "Somebody has turned the screw in, perhaps to cure a weak flame.",
        family: Family::Spring,
        meaning: |s, _| format!("{} turns in", figures(TURNS * s)),
        apply: |rig, s| turn(&mut rig.second, TURNS * s),
        onset: Onset::Sudden,
        remedies: &[Remedy::Adjust],
        look_alikes: &["vent_sealed_below", "vent_turned_up", "rubber_stiff"],
        told_apart: "High at half load, at full load and at lock-up by the same amount, steady",
        caution: "Only a qualified technician with a gauge turns the screw; a weak flame has another cause",
        ..Entry::BLANK
    },
    Entry {
        id: "second_screw_low",
        name: "Second-stage screw set low",
        words: "The screw has been turned out, or has backed out by shaking.",
        family: Family::Spring,
        meaning: |s, _| format!("{} turns out", figures(TURNS * s)),
        apply: |rig, s| turn(&mut rig.second, -TURNS * s),
        onset: Onset::Sudden,
        remedies: &[Remedy::Adjust],
        look_alikes: &["second_spring_weak", "lever_bent"],
        told_apart: "Low at half load, at full load and at lock-up by the same amount; it comes back with the screw",
        caution: "Only a qualified technician with a gauge turns the screw",
        ..Entry::BLANK
    },
    Entry {
        id: "first_spring_weak",
        name: "First-stage spring weak",
        worn_by: Seat::First,
        words: "The first spring has lost force: the first-stage (interstage) pressure runs low and the second stage starves at full load.",
        family: Family::Spring,
        meaning: |s, _| format!("{} % of the spring's force lost", percent(0.85 * s)),
        apply: |rig, s| weaken(&mut rig.first, 1.0 - 0.85 * s),
        onset: Onset::Wear,
        remedies: &[Remedy::Replace],
        look_alikes: &[
            "first_screw_low",
            "first_spring_broken",
            "first_stage_clogged",
        ],
        told_apart: "First-stage pressure low at rest as well as under load, container full",
        caution: "A regulator with a failed part is replaced",
        ..Entry::BLANK
    },
    Entry {
        id: "first_spring_broken",
        snaps: true,
        name: "First-stage spring broken",
        worn_by: Seat::First,
        words: "The first spring has snapped: the first seat stays shut and only a little gas comes through.",
        family: Family::Spring,
        meaning: |s, _| format!("{} % of the spring's force left", percent(broken(s))),
        apply: |rig, s| weaken(&mut rig.first, broken(s)),
        onset: Onset::Sudden,
        remedies: &[Remedy::Replace],
        look_alikes: &[
            "first_spring_weak",
            "second_spring_broken",
            "first_stage_clogged",
        ],
        told_apart: "First-stage pressure near zero with a full container behind it",
        caution: "Pilots go out: shut every appliance before gas comes back",
        ..Entry::BLANK
    },
    Entry {
        id: "first_screw_high",
        name: "First stage set high",
        worn_by: Seat::First,
        words: "The first stage is set too high: the second stage works against more pressure than it was made for.",
        family: Family::Spring,
        meaning: |s, _| format!("{} turns in", figures(FIRST_TURNS * s)),
        apply: |rig, s| turn(&mut rig.first, FIRST_TURNS * s),
        onset: Onset::Sudden,
        remedies: &[Remedy::Replace],
        look_alikes: &["first_vent_blocked", "first_seat_nick"],
        told_apart: "First-stage pressure high at rest and under load alike, and steady",
        caution: "An integral first stage is not set in the field: replace it",
        ..Entry::BLANK
    },
    Entry {
        id: "first_screw_low",
        name: "First stage set low",
        worn_by: Seat::First,
        words: "The first stage is set too low to feed the second at full load.",
        family: Family::Spring,
        meaning: |s, _| format!("{} turns out", figures(1.6 * FIRST_TURNS * s)),
        apply: |rig, s| turn(&mut rig.first, -1.6 * FIRST_TURNS * s),
        onset: Onset::Sudden,
        remedies: &[Remedy::Replace],
        look_alikes: &["first_spring_weak", "first_stage_clogged"],
        told_apart: "First-stage pressure low at rest as well as under load",
        caution: "An integral first stage is not set in the field: replace it",
        ..Entry::BLANK
    },
];
