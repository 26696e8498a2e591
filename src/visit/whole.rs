//! A whole visit at once: every test on one rig, read by instruments without errors. Diagnosis and drills learn from
//! such visits what each cause shows; the tests are the bench's own procedures, in the order that costs least.
//!
//! Acts that change the rig (reserve, cloth, flush, climb) are made on it and then taken back, so that every item is of
//! the rig as it was met.

use super::bench::{Bench, VisitError, prepare};
use super::item::{ITEMS, Id, Values};
use super::procedures::Memory;
use super::sight::{half_load, newest};
use super::test::Test;
use crate::rig::Ignition;
use crate::scenario::Scenario;
use crate::service::TOLERANCE;
use crate::sim::{Moment, Simulation};
use crate::solver::Method;
use std::sync::Arc;

/// How long the rig is left alone at first \[s\].
const FIRST_S: f64 = 10.0;
/// Time that every spark control purges, waits between two trials, and that every gas valve takes, in these runs \[s\].
const QUICK: (f64, f64, f64) = (1.0, 3.0, 0.25);

/// A scenario made ready for [`visit`]: as [`prepare`] makes it, without thermostats (every burner burns when asked),
/// and with all controls of one pace, so that the burners of a rig light together and the run has few corners.
#[must_use]
pub fn quickened(scenario: &Scenario) -> Scenario {
    let mut out = prepare(scenario, &[]);
    for a in &mut out.rig.appliances {
        a.thermal = None;
        a.valve_s = QUICK.2;
        if let Ignition::Spark {
            purge_s, pause_s, ..
        } = &mut a.ignition
        {
            (*purge_s, *pause_s) = (QUICK.0, QUICK.1);
        }
    }
    out.run.settle_s = FIRST_S;
    out
}

/// When the leak check is made: a rig may look another way when its container has been shut and opened again with
/// the fault in it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LeakCheck {
    /// Before everything else, as the trade does.
    First,
    /// After everything else: the rig is met in use.
    Last,
}

/// Makes the whole visit to a prepared scenario (see [`quickened`]), its faults in it from the start, and gives the
/// true value of every item.
///
/// # Errors
/// [`VisitError`] if the run fails.
pub fn visit(scenario: &Arc<Scenario>, leak_check: LeakCheck) -> Result<Values, VisitError> {
    visit_for(scenario, leak_check, &|_| true)
}

/// The same, as far as some tests go: what is taken back anyhow is left out where nobody `wants` it, and so is what
/// comes after the last test that somebody does. Items of other tests may be none.
///
/// # Errors
/// As [`visit`].
pub fn visit_for(
    scenario: &Arc<Scenario>,
    leak_check: LeakCheck,
    wants: &dyn Fn(Test) -> bool,
) -> Result<Values, VisitError> {
    let mut sim = Simulation::start(scenario.clone(), Method::Stiff, TOLERANCE)?;
    visit_to(&mut sim, leak_check, wants)
}

/// Draws half of the load from a rig for a while before a visit, and shuts it off again: the first stage is as cold and as iced
/// then as the draw leaves it.
///
/// # Errors
/// As [`visit`].
pub fn draw_before(sim: &mut Simulation, lasts_s: f64) -> Result<(), VisitError> {
    let mut b = Bench::exact(sim);
    let half = half_load(b.sim.rig());
    b.light_exactly(&half)?;
    b.wait(lasts_s, lasts_s)?;
    b.light_exactly(&[])?;
    Ok(())
}

/// The visit to a rig as it stands now, whatever was done with it before.
///
/// # Errors
/// As [`visit`].
pub fn visit_to(
    sim: &mut Simulation,
    leak_check: LeakCheck,
    wants: &dyn Fn(Test) -> bool,
) -> Result<Values, VisitError> {
    let mut b = Bench::exact(sim);
    let mut memory = Memory::default();
    b.wait(FIRST_S, FIRST_S)?;
    b.air();
    b.container()?;
    b.fill();
    let checks = wants(Test::LeakCheck);
    let rests = checks || RESTING.into_iter().any(wants);
    if checks && leak_check == LeakCheck::First {
        b.leak_check()?;
    }
    b.flowing(&mut memory, wants)?;
    if rests {
        b.resting(&mut memory, wants)?;
    }
    if checks && leak_check == LeakCheck::Last {
        b.leak_check()?;
    }
    if wants(Test::NewPiping) {
        b.new_piping()?;
    }
    let mut values = [None; ITEMS];
    for item in Id::all() {
        values[item.index()] = newest(&b.found, item).map(|v| item.item().shown(v));
    }
    Ok(values)
}

/// Tests with everything off.
const RESTING: [Test; 8] = [
    Test::LockUp,
    Test::Creep,
    Test::FirstStage,
    Test::Vent,
    Test::Joints,
    Test::Flush,
    Test::Climb,
    Test::Pilots,
];

impl Bench<'_> {
    /// Does something and takes it back.
    fn and_back(
        &mut self,
        what: impl FnOnce(&mut Self) -> Result<(), VisitError>,
    ) -> Result<(), VisitError> {
        let before: Moment = self.sim.moment().clone();
        what(self)?;
        self.sim.go_back_to(&before);
        Ok(())
    }

    fn flowing(
        &mut self,
        memory: &mut Memory,
        wants: &dyn Fn(Test) -> bool,
    ) -> Result<(), VisitError> {
        self.flow_pressure(memory)?;
        let r = self.sim.readings();
        self.note(Id::HalfManifold, r.manifold_pa);
        self.note(Id::HalfInlet, r.containers[r.service_side].pigtail_pa);
        self.note(Id::FirstHalf, r.first.chamber_pa);
        self.full_load(memory)?;
        if let Some(seen) = memory.flowing {
            self.note_vents(&seen, [Id::FirstVentFlowing, Id::SecondVentFlowing]);
        }
        self.look_and_listen()?;
        if self.sim.rig().changeover.is_none() {
            self.note(Id::Reserve, 0.0);
        } else if wants(Test::Reserve) {
            self.and_back(Self::try_reserve)?;
        }
        // Lock-up comes as a usual visit has it, without a long draw before.
        if wants(Test::LongDraw) {
            self.and_back(Self::draw_on)?;
        }
        if wants(Test::Warm) {
            self.and_back(Self::warm_and_rest)?;
        }
        self.half_from_above()?;
        Ok(())
    }

    fn resting(
        &mut self,
        memory: &mut Memory,
        wants: &dyn Fn(Test) -> bool,
    ) -> Result<(), VisitError> {
        self.lock_up(memory)?;
        self.creep(memory)?;
        if let Some(seen) = memory.at_rest {
            self.note_vents(&seen, [Id::FirstVentRest, Id::SecondVentRest]);
        }
        self.fluid_at_joints();
        if wants(Test::Flush) {
            self.and_back(Self::flush_and_rest)?;
        }
        if wants(Test::Climb) {
            self.and_back(|b| b.climb().map(|_| ()))?;
        }
        if wants(Test::Pilots) {
            self.and_back(|b| b.pilots().map(|_| ()))?;
        }
        Ok(())
    }
}

/// The tests of a whole visit that a person makes without driving up a road or taking the piping off.
pub const AT_HAND: [Test; 19] = [
    Test::Air,
    Test::Container,
    Test::Fill,
    Test::LeakCheck,
    Test::FlowPressure,
    Test::FullLoad,
    Test::Look,
    Test::Along,
    Test::LongDraw,
    Test::Reserve,
    Test::LoadUpDown,
    Test::Pilots,
    Test::LockUp,
    Test::Creep,
    Test::FirstStage,
    Test::Vent,
    Test::Joints,
    Test::Flush,
    Test::Warm,
];
