//! The measuring rod of a drill: the visits of its library that marks need, sealed with it, so that an attempt is
//! weighed at once, everywhere, and always alike. It holds the true faults, what counts as equally right, what looks
//! most like them on this rig, and the healthy rig; the likelihood is the house's own, on fewer causes.

use super::causes::{Cause, Causes, ROUNDS};
use crate::diagnosis::inference::next::Offer;
use crate::diagnosis::inference::tuning::Tuning;
use crate::diagnosis::library::bytes::{samples_from_bytes, samples_to_bytes};
use crate::diagnosis::library::collection::{Allowance, Library, Sample};
use crate::diagnosis::library::unknowns::World;
use crate::fault::Fault;
use crate::scenario::Scenario;
use crate::visit::{Values, quickened};
use std::sync::Arc;

/// Faults of a rod at most: what is true, what counts as right, and what looks most like it.
pub const MOST_FAULTS: usize = 10;
/// Of the healthy visits every so manyth is kept: they carry the effect of the specimen, which is smooth.
const HEALTHY_STEP: usize = 2;

/// What attempts at a drill are weighed by.
#[derive(Debug, Clone, PartialEq)]
pub struct Rod {
    /// The faults it knows.
    pub faults: Vec<Fault>,
    /// Their visits and those of the healthy rig, coded.
    pub visits: Vec<u8>,
}

impl Rod {
    /// The rod of a drill: `right` are the causes that count as right, `values` what its rig shows with its faults.
    pub fn of(causes: &Causes, offer: &Offer, right: &[Cause], values: &Values) -> Self {
        let mut faults: Vec<Fault> = Vec::new();
        let mut keep = |f: Fault| {
            if faults.len() < MOST_FAULTS && !faults.contains(&f) {
                faults.push(f);
            }
        };
        right.iter().flatten().for_each(|f| keep(*f));
        let ranked = likest(causes, offer, values);
        ranked.into_iter().for_each(&mut keep);
        let mut healthy = 0;
        let mut wanted = |s: &Sample| match s.fault {
            None => {
                healthy += 1;
                healthy % HEALTHY_STEP == 0
            }
            Some(f) => faults.contains(&f),
        };
        let samples = causes.library.samples.iter();
        let samples: Vec<Sample> = samples.filter(|s| wanted(s)).copied().collect();
        let visits = samples_to_bytes(&samples, &causes.library.base, &faults);
        Self { faults, visits }
    }

    /// The causes to weigh by on the rig of a drill, pairs among them where it has two faults; none where the rig
    /// is not the one it was made for.
    pub fn causes(&self, scenario: &Scenario, faults: usize) -> Option<Causes> {
        let base = quickened(scenario);
        let samples = samples_from_bytes(&self.visits, &base, &self.faults)?;
        let library = Library {
            allowance: Allowance {
                world: World::MET,
                severities: None,
                faults: Some(self.faults.clone()),
            },
            base,
            digest: 0,
            samples,
            rounds: ROUNDS,
            groups: Vec::new(),
        };
        let causes = Causes::new(Arc::new(library), Tuning::FEW)?;
        if faults < 2 {
            return Some(causes);
        }
        let of: Vec<usize> = (1..causes.count()).collect();
        Some(causes.with_pairs(&of))
    }
}

/// Faults by how much any one test, or all of them, would make one think of them; the likest first.
fn likest(causes: &Causes, offer: &Offer, values: &Values) -> Vec<Fault> {
    let mut most = vec![0.0_f64; causes.count()];
    let mut take = |known: &Values| {
        for (m, p) in most.iter_mut().zip(&causes.belief(known).0) {
            *m = m.max(*p);
        }
    };
    for test in offer.tests() {
        take(&super::causes::read_by(offer, [&test], values));
    }
    take(&super::causes::obvious(offer, values));
    let mut places: Vec<usize> = (1..causes.count())
        .filter(|c| causes.cause(*c).len() == 1)
        .collect();
    places.sort_by(|a, b| most[*b].total_cmp(&most[*a]));
    places.iter().map(|c| causes.cause(*c)[0]).collect()
}
