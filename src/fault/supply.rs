//! Faults of container, valve, hose and changeover, and of the way into the first stage.

use super::caution::SMELL;
use super::scale::{area, colder, decades, percent, psi, rising, sharp_hole_at_psig, travel};
use super::{Entry, Family, Onset, Remedy};
use crate::physics::{GAS_CONSTANT, STANDARD_ATMOSPHERE_PA};
use crate::rig::Seat;
use crate::units::psi_to_pa;

// At severity 0.5 each of the next five carries some 80,000 Btu/h at 60 °F, where the passage chokes: a usual set of
// appliances sags visibly with everything on (own). At 1 a pilot or little more is left.

/// Free area of a valve hardly open under that of an open one.
const VALVE_DECADES: f64 = 4.0;
/// Bore of a swollen hose under that of a sound one.
const BORE_DECADES: f64 = 1.25;
/// Loss coefficient of the worst kink over that of a straight pigtail.
const KINK_DECADES: f64 = 6.8;
/// Passage of a clogged inlet under that of a clean one.
const CLOG_DECADES: f64 = 1.8;
/// Flow at which a worn excess-flow valve shuts under that of a sound one ...
const TRIP_DECADES: f64 = 1.1;
/// ... and what its bleed lets through: 1.6 ft³/h of air at the worst (connectors leak 1.5 to 10, memory).
const BLEED_DECADES: f64 = 0.8;

/// How much higher the worst reserve seat is set \[psi\]: as much over the first stage as it should be under it.
const EARLY_PSI: f64 = 6.0;

/// A leaking connection at container pressure \[m²\].
fn pigtail_leak_m2(severity: f64) -> f64 {
    0.3e-6 * rising(severity, 4.5)
}

/// The family.
pub(super) static FAULTS: [Entry; 10] = [
    Entry {
        id: "container_cold",
        name: "Container cold and frosted",
        words: "Frost, snow or a cover keeps warmth from the container: it boils itself cold while gas is drawn.",
        family: Family::Supply,
        meaning: |s, units| {
            format!(
                "{} colder, taking in {} % of the usual heat",
                colder(30.0 * s, units),
                percent(1.0 - 0.9 * s)
            )
        },
        strikes: Some(|c, s| c.wall_w_per_m2_k *= 1.0 - 0.9 * s),
        fills: Some(|_, state, from, to| state.temperature_k -= 30.0 * (to - from)),
        onset: Onset::Weather,
        remedies: &[Remedy::Wait, Remedy::Refill],
        look_alikes: &["container_low", "butane_rich", "water_in_fuel"],
        told_apart: "Container pressure falls over minutes of draw and recovers at rest; frost line on the wall",
        caution: "Never heat a container with a flame or a heater: less load, a larger or fuller container",
        ..Entry::BLANK
    },
    Entry {
        id: "container_low",
        name: "Container nearly empty",
        words: "Little liquid is left, so little wall is wetted and the rest cools quickly under load.",
        family: Family::Supply,
        meaning: |s, _| {
            format!(
                "{} % left of the fuel that comes out by itself",
                percent(decades(s, 2.4))
            )
        },
        fills: Some(|c, state, from, to| {
            // What stays in a container that has given all it can is vapour at the air's pressure.
            let all: f64 = state.moles.iter().sum();
            let stays = STANDARD_ATMOSPHERE_PA * c.volume_m3 / (GAS_CONSTANT * state.temperature_k);
            let left = decades(to, 2.4) / decades(from, 2.4);
            if all > stays {
                let kept = (stays + (all - stays) * left) / all;
                state.moles.iter_mut().for_each(|n| *n *= kept);
            }
        }),
        onset: Onset::Gradual,
        remedies: &[Remedy::Refill],
        look_alikes: &[
            "container_cold",
            "butane_rich",
            "excess_flow_tripped",
            "changeover_stuck",
        ],
        told_apart: "Weigh a cylinder against its tare, read a tank's gauge: hardly any fuel is left",
        caution: "After an outage relight and prove every safety",
        ..Entry::BLANK
    },
    Entry {
        id: "service_valve_part_open",
        name: "Service valve hardly open",
        words: "The container's valve was opened only a crack, or its stem is broken.",
        family: Family::Supply,
        meaning: |s, units| format!("{} open", area(28.3e-6 * decades(s, VALVE_DECADES), units)),
        strikes: Some(|c, s| c.supply.valve_m2 *= decades(s, VALVE_DECADES)),
        onset: Onset::Sudden,
        remedies: &[Remedy::Repair],
        look_alikes: &[
            "excess_flow_tripped",
            "hose_bored_down",
            "hose_kinked",
            "changeover_early",
        ],
        told_apart: "Inlet falls under load and comes back at rest; open the valve fully",
        caution: "Open a container valve slowly and fully",
        ..Entry::BLANK
    },
    Entry {
        id: "excess_flow_tripped",
        name: "Excess-flow valve trips early",
        words: "A worn or dirty excess-flow valve shuts at a load it should pass, and then lets only a trickle through.",
        family: Family::Supply,
        meaning: |s, _| {
            format!(
                "trips at {} % of its rating, bleeds {} %",
                percent(decades(s, TRIP_DECADES)),
                percent(decades(s, BLEED_DECADES))
            )
        },
        strikes: Some(|c, s| {
            c.supply.excess_trip_kg_per_s *= decades(s, TRIP_DECADES);
            // Flow carries it along by its square: a spring that gives way so early also lifts it so late.
            c.supply.excess_reset_pa *= decades(s, 2.0 * TRIP_DECADES);
            c.supply.excess_bleed_m2 *= decades(s, BLEED_DECADES);
        }),
        onset: Onset::Wear,
        remedies: &[Remedy::Wait, Remedy::Replace],
        look_alikes: &[
            "service_valve_part_open",
            "second_spring_broken",
            "container_low",
        ],
        told_apart: "Starves at a sudden load, normal lock-up in time; shut, wait, open slowly: it comes back",
        caution: "An excess-flow valve that trips may have done its work: look for a broken line before opening again",
        ..Entry::BLANK
    },
    Entry {
        id: "hose_bored_down",
        name: "Pigtail hose swollen shut",
        words: "The hose's lining has swollen or come loose and leaves a narrow bore.",
        family: Family::Supply,
        meaning: |s, units| {
            format!(
                "{} bore left",
                travel(4e-3 * decades(s, BORE_DECADES), units)
            )
        },
        strikes: Some(|c, s| c.supply.pigtail_bore_m *= decades(s, BORE_DECADES)),
        onset: Onset::Wear,
        remedies: &[Remedy::Replace],
        look_alikes: &[
            "hose_kinked",
            "service_valve_part_open",
            "first_stage_clogged",
            "water_in_fuel",
            "changeover_early",
        ],
        told_apart: "Inlet of the regulator falls under load while the container is full; a new hose mends it",
        caution: "Leak-test every new connection with leak fluid, never with a flame",
        ..Entry::BLANK
    },
    Entry {
        id: "hose_kinked",
        name: "Pigtail hose kinked",
        words: "The hose is bent sharply or caught in the cover.",
        family: Family::Supply,
        meaning: |s, units| {
            // A gap of area A in a bore B loses (B/(0.7 A))² velocity heads beyond those of the ends.
            let loss = (1.5 / decades(s, KINK_DECADES) - 1.5).max(1.0);
            format!("as a gap of {}", area(12.6e-6 / (0.7 * loss.sqrt()), units))
        },
        strikes: Some(|c, s| c.supply.pigtail_minor_loss /= decades(s, KINK_DECADES)),
        onset: Onset::Sudden,
        remedies: &[Remedy::Replace],
        look_alikes: &[
            "hose_bored_down",
            "service_valve_part_open",
            "changeover_early",
        ],
        told_apart: "As a swollen hose, and the bend is to be seen: it is replaced, not straightened",
        caution: "A hose that was kinked is replaced",
        ..Entry::BLANK
    },
    Entry {
        id: "pigtail_leak",
        name: "Leak between container and regulator",
        words: "A connection or the hose leaks at container pressure: much gas through a small hole. A leak check shows it too, for under the set pressure every seat is open.",
        family: Family::Supply,
        meaning: |s, units| sharp_hole_at_psig(pigtail_leak_m2(s), 100.0, units),
        strikes: Some(|c, s| c.supply.pigtail_leak_m2 += pigtail_leak_m2(s)),
        onset: Onset::Wear,
        remedies: &[Remedy::Repair, Remedy::Replace],
        look_alikes: &["first_diaphragm_torn"],
        told_apart: "Leak check fails while vents and low-side joints are dry; leak fluid at the connections, and with the container valve shut the inlet gauge falls",
        caution: SMELL,
        ..Entry::BLANK
    },
    Entry {
        id: "first_stage_clogged",
        name: "First-stage inlet clogged",
        worn_by: Seat::First,
        words: "Scale and hose crumbs fill the inlet filter or the first orifice.",
        family: Family::Supply,
        meaning: |s, _| {
            format!(
                "{} % of the orifice passes",
                percent(decades(s, CLOG_DECADES))
            )
        },
        apply: |rig, s| rig.first.discharge *= decades(s, CLOG_DECADES),
        onset: Onset::Gradual,
        remedies: &[Remedy::Replace],
        look_alikes: &[
            "first_screw_low",
            "first_spring_weak",
            "first_spring_broken",
            "hose_bored_down",
            "water_in_fuel",
        ],
        told_apart: "Inlet gauge stands at container pressure while the first-stage pressure falls with load",
        caution: "Dirt in the first stage came from somewhere: replace the hose with the regulator",
        ..Entry::BLANK
    },
    Entry {
        id: "changeover_stuck",
        name: "Changeover does not come in",
        words: "The reserve side's seat sticks: one cylinder never empties, and the gas gives out with the reserve full.",
        family: Family::Supply,
        meaning: |s, _| format!("{} % of the reserve seat opens", percent(decades(s, 2.5))),
        apply: |rig, s| {
            if let Some(c) = &mut rig.changeover {
                c.reserve_m2 *= decades(s, 2.5);
            }
        },
        onset: Onset::Wear,
        remedies: &[Remedy::Replace],
        look_alikes: &["container_low"],
        told_apart: "The reserve is full by weight or gauge and the indicator is red; turn the knob to it and all is well",
        caution: "A regulator with a failed part is replaced",
        ..Entry::BLANK
    },
    Entry {
        id: "changeover_early",
        name: "Changeover comes in too early",
        words: "The reserve side's seat is set too high, so the reserve feeds beside a service side that has plenty, or in its place: it empties with it or first.",
        family: Family::Supply,
        meaning: |s, units| format!("reserve set {} higher", psi(EARLY_PSI * s, units)),
        apply: |rig, s| {
            if let Some(c) = &mut rig.changeover {
                c.reserve_set_pa += psi_to_pa(EARLY_PSI * s);
            }
        },
        onset: Onset::Wear,
        remedies: &[Remedy::Replace],
        look_alikes: &["hose_kinked", "hose_bored_down", "service_valve_part_open"],
        told_apart: "The reserve empties though the indicator stays green; with a starved service side it turns red under load and green at rest",
        caution: "A regulator with a failed part is replaced, its springs are not the user's to set",
        ..Entry::BLANK
    },
];
