//! Which keys of a rig lie furthest from the standard rig's, in decades: where somebody looks first whose rig cannot be
//! followed. What is no ratio, a flag or a temperature, is no matter here.

use super::parts::{BODY, CHANGEOVER, PIPING, SUPPLY};
use super::slot::{Measure, Slot};
use super::stage_parts::{RELIEF, STAGE, VENT};
use crate::rig::{Rig, presets};
use crate::units::Dimension;
use std::collections::BTreeSet;

/// A key whose value is not the standard rig's.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unusual {
    /// Table of the file.
    pub table: &'static str,
    /// Key in it.
    pub key: &'static str,
    /// How many times it is greater or less than the usual value; none where one of the two is nothing.
    pub ratio: Option<f64>,
    /// The same in decades.
    pub decades: f64,
}

/// What is nothing where something is usual, or the other way round, counts as so far off \[decades\].
const FROM_NOTHING: f64 = 2.0;

fn compare<T>(
    out: &mut Vec<Unusual>,
    table: &'static str,
    slots: &'static [Slot<T>],
    now: &T,
    usual: &T,
) {
    for slot in slots {
        let is_ratio = !matches!(
            slot.measure,
            Measure::Flag | Measure::Quantity(Dimension::Temperature)
        );
        let (now, usual) = ((slot.get)(now).abs(), (slot.get)(usual).abs());
        if !is_ratio || now == usual || !now.is_finite() || !usual.is_finite() {
            continue;
        }
        let ratio = (now > 0.0 && usual > 0.0).then(|| (now / usual).max(usual / now));
        out.push(Unusual {
            table,
            key: slot.key,
            ratio,
            decades: ratio.map_or(FROM_NOTHING, f64::log10),
        });
    }
}

/// All of them, the furthest off first.
pub fn keys(rig: &Rig) -> Vec<Unusual> {
    let standard = Rig::standard(rig.containers.clone(), Vec::new());
    let mut out = Vec::new();
    let stages = [
        (
            [
                "regulator.first",
                "regulator.first.vent",
                "regulator.first.relief",
            ],
            (&rig.first, &standard.first),
        ),
        (
            [
                "regulator.second",
                "regulator.second.vent",
                "regulator.second.relief",
            ],
            (&rig.second, &standard.second),
        ),
    ];
    for ([own, vent, relief], (now, usual)) in stages {
        compare(&mut out, own, STAGE, now, usual);
        compare(&mut out, vent, VENT, now, usual);
        if let (Some(now), Some(usual)) = (&now.relief, &usual.relief) {
            compare(&mut out, relief, RELIEF, now, usual);
        }
    }
    let body = rig.body.mounted.body();
    compare(&mut out, "regulator.body", BODY, &rig.body, &body);
    compare(&mut out, "piping", PIPING, &rig.piping, &standard.piping);
    for container in &rig.containers {
        compare(
            &mut out,
            "supply",
            SUPPLY,
            &container.supply,
            &presets::supply(),
        );
    }
    if let (Some(now), Some(usual)) = (&rig.changeover, &standard.changeover) {
        compare(&mut out, "supply.changeover", CHANGEOVER, now, usual);
    }
    out.sort_by(|a, b| b.decades.total_cmp(&a.decades));
    // Two containers may have the same of one key.
    let mut told = BTreeSet::new();
    out.retain(|one| told.insert((one.table, one.key)));
    out
}
