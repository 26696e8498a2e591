//! Faults of the way the regulator is mounted.

use super::scale::{depth, percent, vent_open};
use super::{Entry, Family, Onset, Remedy};

/// Depth of rain water on the diaphragm at full severity \[m\].
const WATER_M: f64 = 15e-3;
/// Friction of frozen water on plate and case \[N/m of depth\]: 3 N at 10 mm (our own law).
const ICE_BOND_N_PER_M: f64 = 300.0;

/// The family.
pub(super) static FAULTS: [Entry; 2] = [
    Entry {
        id: "vent_turned_up",
        name: "Vent turned up, rain water above the diaphragm",
        words: "Mounted with the vent looking up, the spring case has filled with rain: the water weighs on the diaphragm, and in frost all of it freezes fast and closes the vent.",
        family: Family::Mounting,
        meaning: |s, units| format!("{} of water on the diaphragm", depth(WATER_M * s, units)),
        apply: |rig, s| {
            let stage = &mut rig.second;
            stage.water_m += WATER_M * s;
            stage.vent.freezing_share = 1.0 - (1.0 - stage.vent.freezing_share) * vent_open(s);
            if s > 0.0 {
                stage.ice_bond_n_per_m = ICE_BOND_N_PER_M;
            }
        },
        arrive: Some(|rig, state, from, to| {
            // The water takes the place of air, which leaves by the vent or comes back by it.
            let stage = &rig.second;
            let air_m3 =
                |s: f64| stage.case_m3 - stage.area_m2 * (WATER_M * s + state.second.rise_m);
            let left = air_m3(to) / air_m3(from);
            if left > 0.0 {
                state.second.case_mol *= left;
            }
        }),
        onset: Onset::Weather,
        remedies: &[Remedy::Replace],
        look_alikes: &["second_vent_iced", "second_screw_high", "lever_gummed"],
        told_apart: "Look which way the vent points; high by the weight of the water when wet, stuck when frozen",
        caution: "The vent points down, within 45 degrees; a regulator that held water is replaced",
        ..Entry::BLANK
    },
    Entry {
        id: "mounted_in_sun",
        name: "Dark regulator in full sun, vent nearly shut",
        words: "Road dirt has left the vent a pinprick, and sun heats the dark spring case: the air in it pushes the outlet up by day.",
        family: Family::Mounting,
        meaning: |s, _| {
            format!(
                "case takes {:.1} times the sun, vent {} % open",
                1.0 + s,
                percent(vent_open(0.99 * s))
            )
        },
        apply: |rig, s| {
            rig.body.sun_k_m2_per_w *= 1.0 + s;
            rig.second.vent.open *= vent_open(0.99 * s);
        },
        onset: Onset::Weather,
        by_sun: Some(
            "No sun on the case now: nothing shows but a vent that is nearly shut. Set the sun of the site, and the pressure follows it",
        ),
        remedies: &[Remedy::Clear, Remedy::Replace],
        look_alikes: &["second_vent_blocked"],
        told_apart: "Pressure follows the sun; shade the regulator and clear the vent",
        caution: "Never block or cap a vent",
        ..Entry::BLANK
    },
];
