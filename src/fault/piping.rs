//! Faults of the low-pressure piping.

use super::caution::SMELL;
use super::scale::{decades, depth, figures, joint_at_11_inwc, percent, rising};
use super::{Entry, Family, Onset, Remedy};

/// A leaking joint of the low side \[m²\].
fn leak_m2(severity: f64) -> f64 {
    1e-6 * rising(severity, 4.0)
}

/// Share of its bends and fittings in what a crushed line loses.
fn crushed(severity: f64) -> f64 {
    decades(severity, 3.5)
}

/// Loss coefficient of the bends and fittings of a usual line, as in the presets.
const USUAL_LOSS: f64 = 3.0;
/// The jet behind a sharp edge narrows to this share of the opening (memory: 0.6 to 0.65).
const JET: f64 = 0.62;

/// Share of the bore that a dent of the same loss leaves in a usual line: behind the opening its jet loses
/// (1/(JET share) - 1)² of the velocity head in the line (Borda-Carnot).
fn crushed_to(severity: f64) -> f64 {
    let loss = USUAL_LOSS * (1.0 / crushed(severity) - 1.0);
    (1.0 / (JET * (1.0 + loss.sqrt()))).min(1.0)
}

/// The family.
pub(super) static FAULTS: [Entry; 4] = [
    Entry {
        id: "line_crushed",
        name: "Main line crushed",
        words: "A jack or a stone has flattened the line under the floor.",
        family: Family::Piping,
        meaning: |s, _| {
            format!(
                "{} % of the line's bore left at the dent",
                percent(crushed_to(s))
            )
        },
        apply: |rig, s| rig.piping.main.minor_loss /= crushed(s),
        onset: Onset::Sudden,
        remedies: &[Remedy::Repair],
        look_alikes: &["line_too_small", "low_point_liquid", "overloaded"],
        told_apart: "Two gauges: right at the regulator's tap, low at the appliance, with load",
        caution: "Repaired piping is leak-tested before gas is used",
        ..Entry::BLANK
    },
    Entry {
        id: "line_too_small",
        name: "Main line too small",
        words: "Somebody extended the line with a smaller tube.",
        family: Family::Piping,
        meaning: |s, _| format!("bore {} % of what it should be", figures(100.0 - 60.0 * s)),
        apply: |rig, s| rig.piping.main.bore_m *= 1.0 - 0.6 * s,
        onset: Onset::Sudden,
        remedies: &[Remedy::Repair],
        look_alikes: &["line_crushed", "overloaded"],
        told_apart: "Two gauges: right at the regulator's tap, low at the appliance, with load; measure the tube",
        caution: "Piping is sized by table or calculation, by a qualified person",
        ..Entry::BLANK
    },
    Entry {
        id: "low_point_liquid",
        name: "Liquid in a low point of the line",
        words: "Oil or water stands in a sag of the line: gas has to bubble through it.",
        family: Family::Piping,
        meaning: |s, units| format!("{} of liquid", depth(0.15 * s, units)),
        apply: |rig, s| rig.piping.low_point_pa += 150e-3 * s * 1000.0 * 9.806_65,
        onset: Onset::Gradual,
        remedies: &[Remedy::Clear, Remedy::Repair],
        look_alikes: &["line_crushed"],
        told_apart: "The same fall at a small load as at a large one; flames dance",
        caution: "Draining a line is a qualified person's job, gas off and everything aired",
        ..Entry::BLANK
    },
    Entry {
        id: "low_side_leak",
        name: "Leak in the low-pressure line",
        words: "A flare nut or a valve stem leaks on the low side.",
        family: Family::Piping,
        meaning: |s, units| joint_at_11_inwc(leak_m2(s), units),
        apply: |rig, s| rig.piping.leak_m2 += leak_m2(s),
        onset: Onset::Wear,
        remedies: &[Remedy::Repair],
        look_alikes: &["gas_valve_leaks", "diaphragm_pinhole"],
        told_apart: "Leak check loses pressure while the vent is dry; bubbles at a joint",
        caution: SMELL,
        ..Entry::BLANK
    },
];
