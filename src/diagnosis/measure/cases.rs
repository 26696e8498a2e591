//! Cases to try a diagnosis on, off the library's grid: fault, severity, site, parts, noise of the
//! instruments and mistakes of the eyes drawn anew from streams of their own.
//!
//! A fault shows where a true value stands out among healthy rigs (by over three deviations, theirs
//! at this air temperature and the instrument's together, or by a word that under one in 25 of them
//! gives) and differs there from the same rig without the fault. What does not is no complaint:
//! nobody calls a technician for it.

use crate::diagnosis::library::collection::{draw_unknowns, severity_at};
use crate::diagnosis::library::parallel::in_parallel;
use crate::diagnosis::library::random::Random;
use crate::diagnosis::library::sample::sample_visit;
use crate::diagnosis::library::unknowns::{Unknowns, World};
use crate::diagnosis::library::words;
use crate::diagnosis::store::Prepared;
use crate::fault::Fault;
use crate::visit::{ALL, ITEMS, NUMBERS, Scale, Values};
use std::ops::Range;

/// Share of healthy cases.
pub const HEALTHY: f64 = 0.2;
/// Tries to draw a case that shows before the fault is given up.
const TRIES: usize = 12;

/// One case.
#[derive(Debug, Clone, Copy)]
pub struct Case {
    /// The fault, none for healthy.
    pub fault: Option<Fault>,
    /// Its severity.
    pub severity: f64,
    /// Whether it shows; healthy cases count as such.
    pub shows: bool,
    /// Its unknowns.
    pub unknowns: Unknowns,
    /// What instruments without errors would read.
    pub truth: Values,
    /// What the instruments read.
    pub read: Values,
}

/// Reads true values with the instruments' noise and the eyes' mistakes.
pub fn read(truth: &Values, noise: f64, random: &mut Random) -> Values {
    std::array::from_fn(|i| {
        let v = truth[i]?;
        if let Scale::Words(_) = ALL[i].kind {
            return Some(words::look(i, words::truly(i, truth), noise, random) as f64);
        }
        Some(ALL[i].shown(v + noise * ALL[i].uncertainty(v) * random.normal()))
    })
}

/// Which true values differ from those of the healthy twin, by more than instruments err.
pub fn differs(values: &Values, twin: &Values) -> [bool; ITEMS] {
    std::array::from_fn(|i| match (values[i], twin[i]) {
        (Some(a), Some(b)) if i < NUMBERS => {
            let item = &ALL[i];
            (a - b).abs() > 3.0 * item.uncertainty(a).max(item.uncertainty(b))
        }
        (a, b) => a != b,
    })
}

/// The faults that cases are drawn of: those that the library has.
pub fn faults(prepared: &Prepared) -> Vec<Fault> {
    let model = &prepared.model;
    let causes = model.causes.iter().zip(&model.counts);
    causes
        .filter(|(_, n)| **n > 0)
        .filter_map(|(c, _)| *c)
        .collect()
}

/// Draws the cases of these numbers that show, in parallel, and the first try of each that does not; the same
/// seed gives the same cases. Faults that never show are drawn again as another; of no faults all rigs are healthy.
pub fn cases(
    prepared: &Prepared,
    faults: &[Fault],
    numbers: Range<usize>,
    seed: u64,
    world: World,
    progress: &(dyn Fn(usize) + Sync),
) -> Vec<Case> {
    let all = in_parallel(numbers.len(), |k| {
        let i = numbers.start + k;
        let drawn = draw(prepared, faults, seed, i as u64, world);
        progress(i);
        drawn
    });
    all.into_iter().flatten().collect()
}

/// One case that shows, and before it the first try where that does not show.
fn draw(prepared: &Prepared, faults: &[Fault], seed: u64, i: u64, world: World) -> Vec<Case> {
    let base = &prepared.library.base;
    let mut out = Vec::new();
    // A stream apart from the library's own.
    let mut random = Random::new(seed ^ 0x05ee_d0fc_a5e5, i);
    let healthy = random.uniform() < HEALTHY || faults.is_empty();
    for _ in 0..TRIES * TRIES {
        let fault = (!healthy).then(|| faults[random.below(faults.len())]);
        for _ in 0..TRIES {
            let severity = severity_at(random.uniform());
            let unknowns = draw_unknowns(fault, &mut random);
            let list: Vec<(Fault, f64)> = fault.map(|f| (f, severity)).into_iter().collect();
            // Both rigs of a case are off by the same hand.
            let (mut own, mut twins) = (random.clone(), random.clone());
            let Ok(truth) = sample_visit(base, &list, &unknowns, world, &mut own) else {
                random = own;
                continue;
            };
            let shows = fault.is_none()
                || sample_visit(base, &[], &unknowns, world, &mut twins).is_ok_and(|twin| {
                    let by_fault = differs(&truth, &twin);
                    let out = prepared.model.stands_out(&truth, &unknowns);
                    (0..ITEMS).any(|k| by_fault[k] && out[k])
                });
            random = own;
            let case = Case {
                fault,
                severity: if fault.is_some() { severity } else { 0.0 },
                shows,
                unknowns,
                truth,
                read: read(&truth, world.noise, &mut random),
            };
            if shows {
                out.push(case);
                return out;
            }
            if out.is_empty() {
                out.push(case);
            }
        }
    }
    out
}
