//! What a library was made from: a digest of the rig, of what every fault does to it, of the
//! unknowns and of the list of items; and a few visits that are made again before a stored library
//! is trusted, because a digest does not see the physics.

use super::parallel::in_parallel;
use super::random::Random;
use super::sample::sample_visit;
use super::unknowns::{TABLE, UNKNOWNS, Unknowns, World};
use crate::fault::Fault;
use crate::form::fnv1a;
use crate::rig::Modes;
use crate::scenario::Scenario;
use crate::visit::{ALL, Id, Item, NUMBERS, Values};

/// Faults and severities of the visits that are made again, healthy first: seat and relief,
/// diaphragm, cold, supply. Each is made without any other surprise.
pub const PROBES: [(&str, f64); 5] = [
    ("", 0.0),
    ("second_seat_nick", 0.6),
    ("diaphragm_torn", 0.5),
    ("water_in_fuel", 0.6),
    ("hose_bored_down", 0.6),
];
/// Numbers of a faulty probe that may differ: a rig at the edge of something may fall either way
/// on another machine.
const MAY_DIFFER: usize = 3;

/// What a fault does to the rig of a scenario and to its state, in words for a digest.
pub fn effect(base: &Scenario, fault: Fault) -> String {
    let mut rig = base.rig.clone();
    fault.apply(&mut rig, 0.4);
    let mut state = base.rig.at_rest(&Modes::shut(base.site), &base.charges);
    fault.arrive(&base.rig, &mut state, 0.0, 0.4);
    format!("{fault} {rig:?} {state:?}")
}

/// Items that are stored: not what the unknowns say already, nor what the rig cannot have.
pub(in crate::diagnosis) fn stored(base: &Scenario) -> impl Iterator<Item = &'static Item> {
    let wanted = |i: &&Item| i.id != Id::Elevation && i.id.is_in(&base.rig);
    ALL.iter().filter(wanted)
}

/// Digest (FNV-1a, 64 bits) of all that goes into a visit but the physics. `effect` gives what a
/// fault does.
pub fn digest(base: &Scenario, effect: &(dyn Fn(&Scenario, Fault) -> String + Sync)) -> u64 {
    let mut all = String::new();
    let mut take = |text: &str| all.push_str(text);
    take(&format!("{:?} {:?}", base.rig, base.service_side));
    let faults: Vec<Fault> = Fault::all_in(&base.rig).collect();
    in_parallel(faults.len(), |k| effect(base, faults[k]))
        .iter()
        .for_each(|text| take(text));
    for u in &TABLE {
        take(&format!("{} {}", u.words, u.deviation));
    }
    let mut moved = base.clone();
    Unknowns([1.0; UNKNOWNS]).apply(&mut moved, World::NOMINAL, &mut Random::new(1, 1));
    take(&format!(
        "{:?} {:?} {:?}",
        moved.rig, moved.site, moved.charges
    ));
    for i in stored(base) {
        take(&format!("{} {} {:?}", i.table, i.key, i.kind));
    }
    fnv1a(all.as_bytes())
}

/// Makes the probes, in parallel; none where a visit fails.
pub fn probes(base: &Scenario) -> Vec<Option<Values>> {
    in_parallel(PROBES.len(), |i| {
        let (id, severity) = PROBES[i];
        let faults: Vec<(Fault, f64)> = Fault::named(id)
            .map(|f| (f, severity))
            .into_iter()
            .collect();
        let unknowns = Unknowns([0.0; UNKNOWNS]);
        let mut random = Random::new(1, 1);
        sample_visit(base, &faults, &unknowns, World::NOMINAL, &mut random).ok()
    })
}

/// Whether stored probes are what this program makes now.
pub fn agree(stored: &[Values], now: &[Option<Values>]) -> bool {
    stored.len() == now.len()
        && stored.iter().zip(now).enumerate().all(|(k, (a, b))| {
            let Some(b) = b else {
                // A visit that could not be made then cannot be made now.
                return a.iter().all(Option::is_none);
            };
            let allowed = if k == 0 { 0 } else { MAY_DIFFER };
            differing(a, b) <= allowed
        })
}

/// How many numbers of two visits differ by over half an uncertainty.
pub fn differing(a: &Values, b: &Values) -> usize {
    (0..NUMBERS)
        .filter(|&i| match (a[i], b[i]) {
            (Some(a), Some(b)) => (a - b).abs() > 0.5 * ALL[i].uncertainty(b),
            (a, b) => a != b,
        })
        .count()
}
