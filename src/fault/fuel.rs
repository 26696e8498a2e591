//! What comes with the gas: liquid, residue, water, butane, air.

use super::scale::{percent, rising, small_mass};
use super::{Entry, Family, Onset, Remedy};
use crate::physics::GAS_CONSTANT;
use crate::physics::fuel::{self, Species};
use crate::rig::{Container, ContainerState, Stage};
use crate::units::System;

/// Partial pressure of air at full severity \[Pa\]: one atmosphere in an unpurged container, pressed
/// into the fifth that an 80 % fill leaves.
const AIR_PA: f64 = 5.0 * 101_325.0;
/// Butane in the liquid at full severity, by moles.
const BUTANE: f64 = 0.9;
/// Water in the vapour at full severity, by mass: saturated over free water at 50 °F (derived, table in
/// `tests/reference/water_table.py`). A colder container gives less: 370 ppm at 20 °F, 140 at −10 °F.
const WATER_SHARE: f64 = 800e-6;
/// Residue in the regulator at full severity \[kg\].
const RESIDUE_KG: f64 = 5e-3;

/// Share of the container's volume when filled by mistake: 88 % to nearly liquid-full.
fn overfill(severity: f64) -> f64 {
    0.88 + 0.11 * severity
}

/// The most that may be in it, with the liquid at 40 °F.
const LIMIT: f64 = 0.80;

/// Same composition, temperature and air at another fill.
fn refill(c: &Container, s: &mut ContainerState, fill: f64) {
    let flash = c.flash(s);
    let air_pa = flash.vapour_fractions[Species::Air.index()] * flash.pressure_pa;
    if flash.liquid_mol > 0.0 {
        s.moles = fuel::charge(
            c.volume_m3,
            fill,
            &flash.liquid_fractions,
            s.temperature_k,
            air_pa,
        );
    }
}

/// Changes the butane in the liquid by the difference of two severities; fill stays.
fn blend(c: &Container, s: &mut ContainerState, from: f64, to: f64) {
    let flash = c.flash(s);
    if flash.liquid_mol <= 0.0 {
        return;
    }
    let mut x = flash.liquid_fractions;
    let keep = (1.0 - BUTANE * to) / (1.0 - BUTANE * from);
    let before: f64 = x.iter().sum();
    for x in &mut x {
        *x *= keep;
    }
    let after: f64 = x.iter().sum();
    let butane = &mut x[Species::NButane.index()];
    *butane = (*butane + before - after).max(0.0);
    let air_pa = flash.vapour_fractions[Species::Air.index()] * flash.pressure_pa;
    s.moles = fuel::charge(c.volume_m3, flash.liquid_fill, &x, s.temperature_k, air_pa);
}

/// The widest channel that sludge leaves on the rim of a seat, first and second \[m²\] (own): with 1 mL/min
/// at the middling severity the slow rise of the trade, far slower than a nick.
const SLUDGE_M2: (f64, f64) = (0.2e-9, 0.9e-9);

/// Oil and sludge on a seat: it sticks, seals at a higher force, and nowhere quite.
fn oil_film(stage: &mut Stage, sludge_m2: f64, severity: f64) {
    stage.seal_force_n *= 1.0 + 3.0 * severity;
    stage.seal_leak_m2 *= 1.0 + 3.0 * severity;
    stage.seal_channel_m2 += sludge_m2 * rising(severity, 2.0);
    stage.static_ratio += 0.5 * severity;
}

/// The family.
pub(super) static FAULTS: [Entry; 6] = [
    Entry {
        id: "liquid_carry_over",
        name: "Liquid carry-over",
        words: "Liquid propane reaches the regulator: a container tilted, lying on its side or shaken on a rough road.",
        family: Family::Fuel,
        meaning: |s, _| format!("{} % liquid by volume at the valve", percent(0.6 * s)),
        strikes: Some(|c, s| c.liquid_share = c.liquid_share.max(0.6 * s)),
        onset: Onset::Sudden,
        remedies: &[Remedy::Refill, Remedy::Replace],
        look_alikes: &[
            "container_overfilled",
            "first_seat_grit",
            "first_seat_hard",
            "first_seat_disc_lost",
        ],
        told_apart: "Frost on the body, flames that jump, and a container that lies, leans or was shaken with no more than 80 % in it",
        caution: "Liquid burns skin and floods burners: shut the container; a regulator that saw liquid is replaced",
        ..Entry::BLANK
    },
    Entry {
        id: "container_overfilled",
        name: "Container overfilled",
        words: "Filled past the 80 % limit: no room for vapor, so drops go with it, and a hot day can lift the container's relief.",
        family: Family::Fuel,
        meaning: |s, _| format!("filled to {:.0} %", 100.0 * overfill(s)),
        fills: Some(|c, state, from, to| {
            // The first arrival sets the fill; taking it back bleeds down to the limit.
            if to > 0.0 {
                refill(c, state, overfill(to));
            } else if from > 0.0 {
                refill(c, state, fuel::fill_from_cold(LIMIT, state.temperature_k));
            }
        }),
        onset: Onset::Sudden,
        remedies: &[Remedy::Refill, Remedy::Replace],
        look_alikes: &["liquid_carry_over"],
        told_apart: "A cylinder holds more than about 42 % of its water capacity (WC) in weight over its tare (TW), a tank's gauge stands over 80 % though its liquid is no warmer than 40 °F (82 at 60, 88 at 100); frost and flames that jump in the first minutes",
        caution: "Never above 80 % of the volume; only a qualified person bleeds it down, outside, far from any flame; a regulator that saw liquid is replaced",
        ..Entry::BLANK
    },
    Entry {
        id: "oily_residue",
        name: "Oily residue in the regulator",
        words: "Heavy oils and plasticiser from hoses have settled in the regulator: seats and guides stick and seal worse.",
        family: Family::Fuel,
        meaning: |s, units| format!("{} of oil inside", small_mass(RESIDUE_KG * s, units)),
        apply: |rig, s| {
            oil_film(&mut rig.first, SLUDGE_M2.0, s);
            oil_film(&mut rig.second, SLUDGE_M2.1, s);
        },
        arrive: Some(|_, state, from, to| {
            state.residue_kg = (state.residue_kg + RESIDUE_KG * (to - from)).max(0.0);
        }),
        onset: Onset::Gradual,
        remedies: &[Remedy::Replace],
        look_alikes: &[
            "lever_gummed",
            "first_guide_gummed",
            "second_seat_grit",
            "second_seat_nick",
            "second_seat_hard",
            "first_seat_nick",
            "first_seat_hard",
        ],
        told_apart: "Oil at the test tap or the low drip leg; both stages slow, and both climb a little at rest, far slower than with a nick",
        caution: "An oiled regulator is replaced, and mounted above the container valve so that oil runs back",
        ..Entry::BLANK
    },
    Entry {
        id: "water_in_fuel",
        name: "Water in the fuel",
        words: "Wet fuel freezes at the first orifice while gas flows and throttling chills it; at rest it thaws above some 40 °F. In deep cold the vapor holds little water.",
        family: Family::Fuel,
        meaning: |s, units| {
            let cold = match units {
                System::Us => ["32 °F", "−10 °F"],
                System::Si => ["0 °C", "−23 °C"],
            };
            format!(
                "{:.0} ppm of water by mass in the vapor, or what it can hold where it is colder: 530 at {}, 140 at {}",
                1e6 * WATER_SHARE * s,
                cold[0],
                cold[1]
            )
        },
        apply: |rig, s| rig.fuel.water_share += WATER_SHARE * s,
        freezes_under: Some(|rig, s| rig.ices_under_k(rig.fuel.water_share + WATER_SHARE * s)),
        onset: Onset::Weather,
        remedies: &[Remedy::Warm, Remedy::Refill],
        look_alikes: &["first_stage_clogged", "container_cold", "hose_bored_down"],
        told_apart: "Only under flow in the cold, and a warm wet cloth on the first stage heals it",
        caution: "Thaw with a warm wet cloth only; drying the container is a supplier's job",
        ..Entry::BLANK
    },
    Entry {
        id: "butane_rich",
        name: "Butane-rich fuel",
        words: "Much butane in the charge: fine when warm, hardly any pressure in the cold, and worse as the container empties.",
        family: Family::Fuel,
        meaning: |s, _| format!("{} % butane in the liquid", percent(BUTANE * s)),
        fills: Some(|c, state, from, to| {
            if to != from {
                blend(c, state, from, to);
            }
        }),
        onset: Onset::Weather,
        remedies: &[Remedy::Refill],
        look_alikes: &["container_cold", "container_low"],
        told_apart: "Container pressure far under that of propane at its temperature, though there is liquid in it",
        caution: "Only the fuel and the season's blend the appliance was made for",
        ..Entry::BLANK
    },
    Entry {
        id: "air_in_container",
        name: "Air left in a new container",
        words: "A new container was filled without purging: its air lies over the liquid and comes first.",
        family: Family::Fuel,
        meaning: |s, units| match units {
            System::Us => format!("{:.0} psi of air over the liquid", AIR_PA * s / 6894.757),
            System::Si => format!("{:.0} kPa of air over the liquid", 1e-3 * AIR_PA * s),
        },
        fills: Some(|c, state, from, to| {
            let space_m3 = c.volume_m3 - c.flash(state).liquid_volume_m3;
            let mol = AIR_PA * space_m3 / (GAS_CONSTANT * state.temperature_k);
            let air = &mut state.moles[Species::Air.index()];
            *air = (*air + mol * (to - from)).max(0.0);
        }),
        onset: Onset::Sudden,
        remedies: &[Remedy::Refill],
        look_alikes: &["igniter_dead", "spud_clogged"],
        told_apart: "Container pressure over that of propane at its temperature, lazy flames at a right pressure",
        caution: "Purging is a supplier's job: never vent a container near people or flames",
        ..Entry::BLANK
    },
];
