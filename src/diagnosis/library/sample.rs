//! One visit to a rig with faults in it, its unknowns drawn.

use super::random::Random;
use super::unknowns::{Drawn, UNKNOWNS, Unknowns, World};
use crate::fault::Fault;
use crate::scenario::Scenario;
use crate::service::TOLERANCE;
use crate::sim::Simulation;
use crate::solver::Method;
use crate::visit::{LeakCheck, Test, Values, VisitError, draw_before, visit_for, visit_to};
use std::sync::Arc;

/// Half of the load burns so long before a visit to a rig that is met in use \[s\]: a regulator is as cold then as hours leave it
/// (derived: its time constant is four minutes), and a wet fuel has iced its first orifice (in this model within three).
const IN_USE_S: f64 = 300.0;

/// How a visit meets a rig.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::diagnosis) struct Met {
    /// When the leak check is made.
    pub(in crate::diagnosis) leak_check: LeakCheck,
    /// Whether burners were on until just before.
    pub(in crate::diagnosis) in_use: bool,
}

impl Met {
    /// Every way, one as often as another (own).
    pub(in crate::diagnosis) const ALL: [Self; 4] = [
        Self::so(LeakCheck::First, false),
        Self::so(LeakCheck::First, true),
        Self::so(LeakCheck::Last, false),
        Self::so(LeakCheck::Last, true),
    ];

    const fn so(leak_check: LeakCheck, in_use: bool) -> Self {
        Self { leak_check, in_use }
    }

    /// One of them.
    fn draw(random: &mut Random) -> Self {
        Self::ALL[((4.0 * random.uniform()) as usize).min(3)]
    }
}

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
    visit_with(&scenario, faults, Met::draw(random), &|_| true)
}

/// What a visit reads on the rig itself, nothing of it unknown, met shut and with the leak check first.
///
/// # Errors
/// As [`sample_visit`].
pub fn true_visit(
    base: &Scenario,
    faults: &[(Fault, f64)],
    world: World,
) -> Result<Values, VisitError> {
    let mut scenario = base.clone();
    let nothing = Unknowns([0.0; UNKNOWNS]);
    nothing.apply(&mut scenario, world, &mut Random::new(0, 0));
    visit_with(&scenario, faults, Met::ALL[0], &|_| true)
}

/// The same on a rig whose geometry is known and that may have been drawn from for hours, met as it is said, as far as some
/// tests go ([`visit_for`]).
///
/// # Errors
/// As [`sample_visit`].
pub(in crate::diagnosis) fn ordered_visit(
    base: &Scenario,
    faults: &[(Fault, f64)],
    (unknowns, drawn): (&Unknowns, Drawn),
    world: World,
    met: Met,
    wants: &dyn Fn(Test) -> bool,
) -> Result<Values, VisitError> {
    let mut scenario = base.clone();
    let exact = World {
        geometry: 0.0,
        ..world
    };
    unknowns.apply(&mut scenario, exact, &mut Random::new(0, 0));
    drawn.apply(&mut scenario);
    visit_with(&scenario, faults, met, wants)
}

fn visit_with(
    rig: &Scenario,
    faults: &[(Fault, f64)],
    met: Met,
    wants: &dyn Fn(Test) -> bool,
) -> Result<Values, VisitError> {
    let faulty = Arc::new(rig.with_faults(faults.iter().copied()));
    if !met.in_use {
        return visit_for(&faulty, met.leak_check, wants);
    }
    let mut sim = Simulation::start(faulty, Method::Stiff, TOLERANCE)?;
    draw_before(&mut sim, IN_USE_S)?;
    visit_to(&mut sim, met.leak_check, wants)
}
