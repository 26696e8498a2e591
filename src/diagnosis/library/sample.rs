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
    let mut scenario = base.clone();
    unknowns.apply(&mut scenario, world, random);
    // Met in use as often as shut first.
    let leak_check = if random.uniform() < 0.5 {
        LeakCheck::First
    } else {
        LeakCheck::Last
    };
    visit_with(&scenario, faults, leak_check, &|_| true)
}

/// The same on a rig whose geometry is known, the leak check where it is said, as far as some tests go ([`visit_for`]).
///
/// # Errors
/// As [`sample_visit`].
pub(in crate::diagnosis) fn ordered_visit(
    base: &Scenario,
    faults: &[(Fault, f64)],
    unknowns: &Unknowns,
    world: World,
    leak_check: LeakCheck,
    wants: &dyn Fn(Test) -> bool,
) -> Result<Values, VisitError> {
    let mut scenario = base.clone();
    let exact = World {
        geometry: 0.0,
        ..world
    };
    unknowns.apply(&mut scenario, exact, &mut Random::new(0, 0));
    visit_with(&scenario, faults, leak_check, wants)
}

fn visit_with(
    rig: &Scenario,
    faults: &[(Fault, f64)],
    leak_check: LeakCheck,
    wants: &dyn Fn(Test) -> bool,
) -> Result<Values, VisitError> {
    let faulty = rig.with_faults(faults.iter().copied());
    visit_for(&Arc::new(faulty), leak_check, wants)
}
