//! Faults of the vents through which the spring cases breathe.

use super::scale::{height, percent, vent_meaning, vent_open};
use super::{Entry, Family, Onset, Remedy};
use crate::physics::air;
use crate::rig::Seat;
use crate::units::M_PER_FT;

/// Height the rig has climbed since its vent was sealed, at full severity \[m\].
const CLIMB_M: f64 = 2000.0 * M_PER_FT;

/// The family.
pub(super) static FAULTS: [Entry; 5] = [
    Entry {
        id: "second_vent_blocked",
        name: "Second-stage vent blocked",
        words: "Mud, insects or a wasp's nest keep the second spring case from breathing: the air in it is a spring that leaks away slowly, or not at all. Sealed, it remembers the load it was sealed at: under flow it locks up high later, at rest it sags under load. It takes little to breathe by, so that each third of the severity leaves a tenth of the hole: half shut shows next to nothing.",
        family: Family::Vent,
        meaning: |s, _| vent_meaning(s),
        apply: |rig, s| rig.second.vent.open *= vent_open(s),
        onset: Onset::Gradual,
        remedies: &[Remedy::Clear],
        look_alikes: &[
            "second_vent_iced",
            "vent_sealed_below",
            "vent_screen_painted",
            "rubber_stiff",
            "lever_gummed",
            "second_seat_grit",
            "mounted_in_sun",
        ],
        told_apart: "Watch how long the outlet takes to settle after a burner goes off; clear the vent and watch again: it heals at once",
        caution: "Never block or cap a vent: the regulator breathes and relieves through it",
        ..Entry::BLANK
    },
    Entry {
        id: "first_vent_blocked",
        name: "First-stage vent blocked",
        worn_by: Seat::First,
        words: "The first spring case cannot breathe, so the first-stage pressure drifts with sun and height.",
        family: Family::Vent,
        meaning: |s, _| vent_meaning(s),
        apply: |rig, s| rig.first.vent.open *= vent_open(s),
        onset: Onset::Gradual,
        remedies: &[Remedy::Clear],
        look_alikes: &["first_seat_grit", "first_screw_high", "first_guide_gummed"],
        told_apart: "First-stage pressure overshoots after a load step and drifts with sun and height; clear the vent and it heals",
        caution: "Never block or cap a vent",
        ..Entry::BLANK
    },
    Entry {
        id: "second_vent_iced",
        name: "Second-stage vent iced up",
        words: "Spray or slush has wet the vent and frozen there: ice closes it. Thawed, it breathes again, and looks clear.",
        family: Family::Vent,
        meaning: |s, _| {
            format!(
                "ice would close {} % of the vent",
                percent(1.0 - vent_open(s))
            )
        },
        apply: |rig, s| {
            let vent = &mut rig.second.vent;
            vent.freezing_share = 1.0 - (1.0 - vent.freezing_share) * vent_open(s);
        },
        onset: Onset::Weather,
        under_k: 273.15,
        remedies: &[Remedy::Warm, Remedy::Clear],
        look_alikes: &["second_vent_blocked", "vent_turned_up", "rubber_stiff"],
        told_apart: "Only in the cold; look, and lay a warm wet cloth on the vent: it heals at once",
        caution: "Thaw with a warm wet cloth only, never with a flame or boiling water",
        ..Entry::BLANK
    },
    Entry {
        id: "vent_sealed_below",
        name: "Second-stage vent sealed at a lower place",
        words: "The vent was taped or plugged down below; on the road up the trapped air keeps the pressure of the valley and pushes the outlet up with it.",
        family: Family::Vent,
        meaning: |s, units| format!("sealed {} lower down", height(s * CLIMB_M, units)),
        apply: |rig, s| {
            if s > 0.0 {
                rig.second.vent.open = 0.0;
            }
        },
        arrive: Some(|_, state, from, to| {
            // More air than the place would put in, by the ratio of the two atmospheres.
            let ratio = |s: f64| air::atmosphere_pa(0.0) / air::atmosphere_pa(s * CLIMB_M);
            state.second.case_mol *= ratio(to) / ratio(from);
        }),
        onset: Onset::Gradual,
        remedies: &[Remedy::Clear],
        look_alikes: &["second_vent_blocked", "second_screw_high"],
        told_apart: "Rests far over its flow pressure, high or low as that may be, with the seat tight and the first stage right, and the relief stays shut however high: open the vent and it is right at once",
        caution: "Never tape a vent shut; a sealed vent also disables the relief",
        ..Entry::BLANK
    },
    Entry {
        id: "vent_screen_painted",
        name: "Vent screen painted over",
        words: "Paint or undercoating closes most of the screen and glues the outflow flap: breathing is slow and the relief has no way out.",
        family: Family::Vent,
        meaning: |s, _| format!("{}, flap {} % stuck", vent_meaning(0.7 * s), percent(s)),
        apply: |rig, s| {
            rig.second.vent.open *= vent_open(0.7 * s);
            rig.second.vent.flap_m2 *= 1.0 - s;
        },
        onset: Onset::Sudden,
        remedies: &[Remedy::Replace],
        look_alikes: &["second_vent_blocked", "relief_stuck_shut"],
        told_apart: "Look at the screen; outlet overshoots for seconds after burners go off",
        caution: "Mask the regulator before painting; a painted one is replaced, not scraped",
        ..Entry::BLANK
    },
];
