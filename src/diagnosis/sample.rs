//! One visit to a rig with faults in it, its unknowns drawn.

use super::random::Random;
use super::unknowns::{Unknowns, World};
use crate::fault::Fault;
use crate::scenario::Scenario;
use crate::visit::{LeakCheck, Test, Values, VisitError, visit_for};
use std::sync::Arc;

/// Makes one visit to the rig with faults in it.
///
/// # Errors
/// [`VisitError`] if the run fails.
pub fn sample_visit(
    base: &Scenario,
    faults: &[(Fault, f64)],
    unknowns: &Unknowns,
    world: World,
    random: &mut Random,
) -> Result<Values, VisitError> {
    sample_tests(base, faults, unknowns, world, random, &|_| true)
}

/// The same, as far as some tests go ([`visit_for`]).
///
/// # Errors
/// As [`sample_visit`].
pub fn sample_tests(
    base: &Scenario,
    faults: &[(Fault, f64)],
    unknowns: &Unknowns,
    world: World,
    random: &mut Random,
    wants: &dyn Fn(Test) -> bool,
) -> Result<Values, VisitError> {
    let mut scenario = base.clone();
    unknowns.apply(&mut scenario, world, random);
    // Met in use as often as shut first.
    let leak_check = if random.uniform() < 0.5 {
        LeakCheck::First
    } else {
        LeakCheck::Last
    };
    let faulty = scenario.with_faults(faults.iter().copied());
    visit_for(&Arc::new(faulty), leak_check, wants)
}
