//! Faults of seats and nozzles.

use super::caution::{AT_THE_VENT, PAST_THE_FIRST};
use super::scale::{force, hole_at_psig, missing, rising, speck};
use super::{Entry, Family, Onset, Remedy};
use crate::rig::{Seat, Stage, presets};
use crate::units::System;

/// The worst grain under the second seat \[m\].
const SECOND_GRAIN_M: f64 = 150e-6;
/// ... and under the first, where the pressure is ten times higher \[m\].
const FIRST_GRAIN_M: f64 = 100e-6;

/// A grain that holds a seat open and goes with a burst of flow.
///
/// Rubber closes round a grain of size g but for a gap about g² in area (our own law); as a lift
/// all round the nozzle that is g²/(pi d), a fraction of a micron, which is why grit creeps and
/// does not gush. The worse it is bedded in, the stronger the burst it takes: 0.7 to 1.2 g/s, above
/// any burner load of a vehicle (our own law).
fn grain(stage: &mut Stage, largest_m: f64, severity: f64) {
    if severity > 0.0 {
        let size_m = largest_m * severity;
        stage.held_lift_m += size_m * size_m / (std::f64::consts::PI * stage.bore_m);
        stage.loose_at_kg_per_s = Some(0.7e-3 + 0.5e-3 * severity);
    }
}

/// Size of the grain that holds a seat open \[m\], by the same law.
pub fn grain_m(stage: &Stage) -> Option<f64> {
    stage
        .loose_at_kg_per_s
        .map(|_| (stage.held_lift_m * std::f64::consts::PI * stage.bore_m).sqrt())
}

/// The widest channel that a cut or a worn ring leaves: some 100 mL/min at 10 psig. How much nicked seats
/// leak was found nowhere; 1 to 100 mL/min is an estimate (own), where a good valve seat of this size passes
/// at most 0.15 mL/min (class VI of FCI 70-2, published).
const CHANNEL_M2: f64 = 9e-9;
/// Pressure before the seats at which their leaks are told \[psig\].
const BEFORE_PSIG: (f64, f64) = (100.0, 10.0);

/// A cut across the rubber: a channel deeper than the rubber fills, so that no usual force closes it.
fn channel_m2(severity: f64) -> f64 {
    CHANNEL_M2 * rising(severity, 2.0)
}

fn nick(stage: &mut Stage, severity: f64) {
    stage.seal_channel_m2 += channel_m2(severity);
}

/// Discharge coefficient of a channel in a seat.
const CHANNEL: f64 = 0.8;

/// Share of the area left at touch that rubber hardened to its worst does not fill however hard it is pressed (own).
const SCRATCHES: f64 = 0.005;

/// ... and in the first seat, where the container's pressure has cut it.
const FIRST_SCRATCHES: f64 = 0.02;

/// What hardened rubber wants beyond a sound seat's force to follow the lip \[N\] (own): at its worst a lock-up of about 15 in w.c.
fn hardened_n(severity: f64) -> f64 {
    6.0 * severity + 10.0 * severity * severity
}

/// ... of the first stage: about 22 psig within a minute at its worst, 27 psi more in the next five.
fn first_hardened_n(severity: f64) -> f64 {
    100.0 * severity + 150.0 * severity * severity
}

fn harden(stage: &mut Stage, wanted_n: f64, scratches: f64, severity: f64) {
    stage.seal_force_n += wanted_n;
    stage.seat_n_per_m *= 1.0 + severity;
    stage.seal_channel_m2 += scratches * severity * stage.seal_leak_m2;
}

fn channel_words(severity: f64, before_psig: f64, units: System) -> String {
    format!(
        "a channel of {}",
        hole_at_psig(channel_m2(severity), CHANNEL, before_psig, units)
    )
}

/// The family.
pub(super) static FAULTS: [Entry; 9] = [
    Entry {
        id: "second_seat_grit",
        name: "Grit on the second-stage seat",
        words: "A grain of scale or sealant holds the second seat off its orifice, so gas creeps past when nothing burns.",
        family: Family::Seat,
        meaning: |s, units| format!("a grain of {}", speck(SECOND_GRAIN_M * s, units)),
        apply: |rig, s| grain(&mut rig.second, SECOND_GRAIN_M, s),
        carried_off: Some(Seat::Second),
        onset: Onset::Sudden,
        remedies: &[Remedy::Flush, Remedy::Replace],
        look_alikes: &[
            "second_seat_nick",
            "second_seat_disc_lost",
            "second_vent_blocked",
            "oily_residue",
        ],
        told_apart: "Creep test, flush with a burst of flow, creep test again for as long: grit may go, a nick stays; the minute after a flush alone seldom decides",
        caution: AT_THE_VENT,
        ..Entry::BLANK
    },
    Entry {
        id: "second_seat_nick",
        name: "Second-stage seat nicked or worn",
        words: "A cut across the second seat, or a worn ring in it, leaves a channel that no usual force closes: a little gas creeps past whenever nothing burns.",
        family: Family::Seat,
        meaning: |s, units| channel_words(s, BEFORE_PSIG.1, units),
        apply: |rig, s| nick(&mut rig.second, s),
        onset: Onset::Wear,
        remedies: &[Remedy::Replace],
        look_alikes: &[
            "second_seat_grit",
            "second_seat_set",
            "second_seat_hard",
            "oily_residue",
        ],
        told_apart: "Climbs at much the same rate each time, also after a flush, until the relief takes it; a set would stop within seconds",
        caution: "A regulator that fails lock-up is replaced",
        ..Entry::BLANK
    },
    Entry {
        id: "second_seat_set",
        name: "Second-stage seat taken a set",
        words: "Years of pressing have left a ring in the rubber and hardened it: it needs more force, but then it seals.",
        family: Family::Seat,
        meaning: |s, units| {
            format!(
                "ring {} deep, seals at {}",
                speck(60e-6 * s, units),
                force(1.0 + 7.0 * s, units)
            )
        },
        apply: |rig, s| {
            let stage = &mut rig.second;
            stage.touch_rise_m += 60e-6 * s * stage.lever_ratio;
            stage.seal_force_n += 7.0 * s;
            stage.seat_n_per_m *= 1.0 + s;
        },
        onset: Onset::Wear,
        remedies: &[Remedy::Replace],
        look_alikes: &["second_seat_nick", "second_seat_hard", "rubber_stiff"],
        told_apart: "Lock-up stands high within seconds and then stays: no creep",
        caution: "Do not bring lock-up down with the screw: flow pressure would go with it",
        ..Entry::BLANK
    },
    Entry {
        id: "second_seat_hard",
        name: "Second-stage seat hardened",
        words: "Age, heat and oil have made the second seat's rubber hard: it no longer follows the lip, needs more and more force, and the last of the gas creeps past for a long time.",
        family: Family::Seat,
        meaning: |s, units| {
            format!(
                "seals at {}, never quite",
                force(presets::second_stage().seal_force_n + hardened_n(s), units)
            )
        },
        apply: |rig, s| harden(&mut rig.second, hardened_n(s), SCRATCHES, s),
        onset: Onset::Wear,
        remedies: &[Remedy::Replace],
        look_alikes: &["second_seat_set", "second_seat_nick", "oily_residue"],
        told_apart: "High within a minute, then climbs more and more slowly; a set stands, a nick climbs on at one rate to the relief",
        caution: "A regulator that fails lock-up is replaced",
        ..Entry::BLANK
    },
    Entry {
        id: "second_seat_disc_lost",
        name: "Second-stage seat disc crumbling or lost",
        words: "The rubber disc has broken out of its holder: metal comes near the orifice and never shuts it.",
        family: Family::Seat,
        meaning: |s, units| format!("{} of the disc missing", missing(0.8e-3 * s, units)),
        apply: |rig, s| rig.second.held_lift_m += 0.8e-3 * s,
        onset: Onset::Wear,
        remedies: &[Remedy::Replace],
        look_alikes: &["lever_off", "second_seat_grit", "first_seat_disc_lost"],
        told_apart: "At rest the outlet runs to the relief at once and the vent roars",
        caution: AT_THE_VENT,
        ..Entry::BLANK
    },
    Entry {
        id: "first_seat_grit",
        name: "Grit on the first-stage seat",
        worn_by: Seat::First,
        words: "A grain from the hose or container keeps the first seat from closing: at rest the first-stage pressure climbs to the container's.",
        family: Family::Seat,
        meaning: |s, units| format!("a grain of {}", speck(FIRST_GRAIN_M * s, units)),
        apply: |rig, s| grain(&mut rig.first, FIRST_GRAIN_M, s),
        carried_off: Some(Seat::First),
        onset: Onset::Sudden,
        remedies: &[Remedy::Flush, Remedy::Replace],
        look_alikes: &[
            "first_seat_nick",
            "first_seat_disc_lost",
            "first_vent_blocked",
            "liquid_carry_over",
        ],
        told_apart: "First-stage pressure over 13 psig and climbing at rest; flush and look again",
        caution: PAST_THE_FIRST,
        ..Entry::BLANK
    },
    Entry {
        id: "first_seat_nick",
        name: "First-stage seat nicked or worn",
        worn_by: Seat::First,
        words: "The first seat is cut or worn: at rest the pressure between the stages climbs, minute by minute, towards the container's.",
        family: Family::Seat,
        meaning: |s, units| channel_words(s, BEFORE_PSIG.0, units),
        apply: |rig, s| nick(&mut rig.first, s),
        onset: Onset::Wear,
        remedies: &[Remedy::Replace],
        look_alikes: &[
            "first_seat_grit",
            "first_seat_hard",
            "first_screw_high",
            "oily_residue",
        ],
        told_apart: "First-stage pressure climbs at rest each time at much the same rate, faster the warmer the container, and a flush does not mend it",
        caution: "A regulator whose first stage does not lock up is replaced",
        ..Entry::BLANK
    },
    Entry {
        id: "first_seat_hard",
        name: "First-stage seat hardened",
        worn_by: Seat::First,
        words: "Age, heat and oil have made the first seat's rubber hard: right while gas flows, too high as soon as nothing burns, and the last of the gas creeps past for a long time.",
        family: Family::Seat,
        meaning: |s, units| {
            let force_n = presets::first_stage().seal_force_n + first_hardened_n(s);
            format!("seals at {}, never quite", force(force_n, units))
        },
        apply: |rig, s| harden(&mut rig.first, first_hardened_n(s), FIRST_SCRATCHES, s),
        onset: Onset::Wear,
        remedies: &[Remedy::Replace],
        look_alikes: &["first_seat_nick", "liquid_carry_over", "oily_residue"],
        told_apart: "First-stage pressure right under load and over 13 psig within a minute of rest, then climbs more and more slowly; a nick climbs on at one rate, and a wide one is far up within that minute too; liquid makes frost and a flush drives it out",
        caution: "A regulator whose first stage does not lock up is replaced",
        ..Entry::BLANK
    },
    Entry {
        id: "first_seat_disc_lost",
        name: "First-stage seat disc crumbling or lost",
        worn_by: Seat::First,
        words: "The first seat has broken up: container pressure stands on the second stage.",
        family: Family::Seat,
        meaning: |s, units| format!("{} of the disc missing", missing(0.3e-3 * s, units)),
        apply: |rig, s| rig.first.held_lift_m += 0.3e-3 * s,
        onset: Onset::Wear,
        remedies: &[Remedy::Replace],
        look_alikes: &[
            "first_seat_grit",
            "second_seat_disc_lost",
            "liquid_carry_over",
        ],
        told_apart: "First-stage pressure equals container pressure at once, at rest and under load",
        caution: PAST_THE_FIRST,
        ..Entry::BLANK
    },
];
