//! The tests as procedures: each acts on the rig, waits, and notes what instruments, eyes and ears tell. Here: the
//! order of a visit, what its tests leave for each other, and what they have in common. The tests themselves stand
//! beside, by subject; what a reading is held against stands in `verdict`.
//!
//! The library of diagnosis is made by these same procedures (`whole`), so that what a bench reads and what a cause is
//! taken to show are found in one way.

pub(super) mod deeds;
pub(super) mod flow;
pub(super) mod leak;
pub(super) mod look;
mod plate;
pub(super) mod rest;
#[cfg(test)]
mod tests;

use super::bench::{Bench, VisitError};
use super::deeds::Deed;
use super::figure::{Figure, Measure};
use super::hands::perform;
use super::hindrance::{Hindrance, NothingLit};
use super::item::Id;
use super::report::{Follows, Left, NotMade, Seats, TestResult, ThinAir, VisitReport};
use super::sight::half_load;
use super::test::Test;
use super::verdict::{self, Judged};
use crate::rig::{Phase, Readings};
use crate::service::{Bubbles, Joint, LIMITS, bubbles_at};

/// Times of the tests \[s\].
pub(super) mod time {
    pub const LEAK_HOLD: f64 = 180.0;
    pub const SETTLE: f64 = 20.0;
    pub const LOCK_UP_FIRST: f64 = 60.0;
    pub const LOCK_UP_MORE: f64 = 30.0;
    pub const LOCK_UP_MOST: f64 = 300.0;
    pub const CREEP: f64 = 300.0;
    pub const NEW_PIPING: f64 = 900.0;
    pub const COUPLING: f64 = 60.0;
    pub const LONG_DRAW: f64 = 180.0;
}

/// A bubble grows within \[s\].
const BUBBLE_S: f64 = 1.0;

/// What one test leaves for the later ones of the same visit.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Memory {
    /// Outlet at half load come to from below.
    pub half_pa: Option<f64>,
    /// Whether anything burned then: where nothing did it is no flow pressure, and nothing rises or falls from it.
    pub half_flowed: bool,
    /// Whether burners are shut off for lock-up.
    pub from_load: bool,
    /// Outlet and first stage a minute after everything was off: from there on a climb counts.
    pub minute_pa: Option<(f64, f64)>,
    /// Lock-up.
    pub rest_pa: Option<f64>,
    /// With gas flowing.
    pub flowing: Option<Seen>,
    /// With everything off.
    pub at_rest: Option<Seen>,
}

/// The regulator as seen at one moment.
#[derive(Debug, Clone, Copy)]
pub(super) struct Seen {
    pub first_pa: f64,
    pub inlet_pa: f64,
    pub vents: [Bubbles; 2],
    /// Whether all of the load was on, not half of it.
    pub full: bool,
}

/// Runs one test by itself.
///
/// # Errors
/// [`VisitError`]: the state forbids the test, the listener stopped it, or the run failed.
pub fn run(bench: &mut Bench<'_>, test: Test) -> Result<TestResult, VisitError> {
    one(bench, test, &mut Memory::default())
}

/// Runs one test by itself from whatever burns: lock-up shuts it off and watches the gauge from that moment on.
///
/// # Errors
/// As [`run`].
pub fn run_from_load(bench: &mut Bench<'_>, test: Test) -> Result<TestResult, VisitError> {
    let mut memory = Memory {
        from_load: true,
        ..Memory::default()
    };
    one(bench, test, &mut memory)
}

/// The tests of a visit in order; each starts from the state the one before has left. After a leak check that lost gas
/// nothing is lit and no line is left to stand under gas: what is looked at with leak fluid and a gauge at rest is, the joints
/// too, and the others are told as not made. Where the outlet stands far over 14 in w.c. before anything is lit nothing is lit
/// either: lock-up is read, vents and first stage are looked at, and the others are told as not made. At a container that is filled too
/// far, and a first stage over 25 psig, the visit ends. (A visit of a library is made to its end, whatever it reads: `whole`.) Where they end in "shut the container", it is left shut and the burners off.
///
/// # Errors
/// As [`run_of`].
pub fn run_all(bench: &mut Bench<'_>) -> Result<VisitReport, VisitError> {
    let lights = bench.lights;
    let report = in_order(bench, &Test::VISIT, true);
    bench.lights = lights;
    left_safe(bench, report?)
}

/// The same to the last test, beside a leak as well, as only a simulator may: it shows what the others would tell.
///
/// # Errors
/// As [`run_of`].
pub fn run_through(bench: &mut Bench<'_>) -> Result<VisitReport, VisitError> {
    let report = run_of(bench, &Test::VISIT)?;
    left_safe(bench, report)
}

fn left_safe(bench: &mut Bench<'_>, mut report: VisitReport) -> Result<VisitReport, VisitError> {
    if report.follows() == Follows::ShutOff {
        shut_down(bench)?;
        report.left = Left::ShutOff;
    }
    Ok(report)
}

/// Burners off and every container shut.
fn shut_down(b: &mut Bench<'_>) -> Result<(), VisitError> {
    b.light_exactly(&[])?;
    for container in 0..b.sim.rig().containers.len() {
        if b.sim.moment().modes.valves[container].at(b.sim.time_s()) > 0.0 {
            perform(b, Deed::ShutValve { container })?;
        }
    }
    Ok(())
}

/// Some tests in order; each starts from the state the one before has left. One that the state
/// forbids after the first was made is told in [`VisitReport::not_made`], and the rig is as before it.
///
/// # Errors
/// [`VisitError`]: already the first cannot be made, or no gas is on for a test that needs it; the
/// listener stopped it; the run failed.
pub fn run_of(bench: &mut Bench<'_>, tests: &[Test]) -> Result<VisitReport, VisitError> {
    in_order(bench, tests, false)
}

fn in_order(bench: &mut Bench<'_>, tests: &[Test], stops: bool) -> Result<VisitReport, VisitError> {
    for &test in tests.iter().filter(|t| t.needs_gas()) {
        bench.test = test;
        bench.needs_supply()?;
    }
    let mut memory = Memory::default();
    let (mut made, mut not_made) = (Vec::new(), Vec::new());
    let mut stopped = None;
    // Where gas is lost the joints are looked at too.
    for &test in tests.iter().chain(&[Test::Joints]) {
        if stops && stopped.is_none() && test.lets_gas_stand() && bench.stands_far_over() {
            stopped = Some(Hindrance::FarOver);
            bench.lights = false;
        }
        let lost = stopped == Some(Hindrance::GasLost);
        if test == Test::Joints && !lost && !tests.contains(&test) {
            break;
        }
        if let Some(why) = stopped.clone().filter(|why| is_left_out(test, why)) {
            not_made.push(NotMade { test, why });
            continue;
        }
        let (before, kept) = (bench.sim.moment().clone(), memory);
        match one(bench, test, &mut memory) {
            Ok(result) => {
                if let Some(why) = result.stops().filter(|_| stops) {
                    stopped = Some(why);
                    bench.lights = false;
                }
                made.push(result);
            }
            Err(VisitError::Forbidden { why, .. }) if !made.is_empty() => {
                bench.sim.go_back_to(&before);
                memory = kept;
                not_made.push(NotMade { test, why });
            }
            Err(error) => return Err(error),
        }
    }
    let (title, took_s) = (bench.sim.scenario().title.clone(), bench.elapsed_s());
    Ok(VisitReport::of_tests(title, made, not_made, took_s))
}

/// Whether a test is left out of a visit that has been stopped. How far an outlet stands over is read at rest; where the container is
/// left shut nothing is made that opens it.
fn is_left_out(test: Test, why: &Hindrance) -> bool {
    match why {
        Hindrance::Overfilled | Hindrance::FirstOver => test.needs_gas() || test == Test::LeakCheck,
        Hindrance::FarOver if test == Test::LockUp => false,
        _ => test.lets_gas_stand(),
    }
}

fn one(b: &mut Bench<'_>, test: Test, memory: &mut Memory) -> Result<TestResult, VisitError> {
    b.test = test;
    b.trace.clear();
    b.steps.clear();
    b.found.clear();
    let extra = match test {
        Test::Air => b.air(),
        Test::Container => b.container()?,
        Test::Fill => b.fill(),
        Test::LeakCheck => b.leak_check()?,
        Test::FlowPressure => b.flow_pressure(memory)?,
        Test::FullLoad => b.full_load(memory)?,
        Test::Look => b.look_and_listen()?,
        Test::Along => b.along(memory)?,
        Test::LongDraw => b.long_draw()?,
        Test::Reserve => b.reserve()?,
        Test::LoadUpDown => b.load_up_down(memory)?,
        Test::Pilots => b.pilots()?,
        Test::LockUp => b.lock_up(memory)?,
        Test::Creep => b.creep(memory)?,
        Test::FirstStage => b.first_stage(memory)?,
        Test::Vent => b.vent(memory)?,
        Test::Joints => b.joints()?,
        Test::Flush => b.flush()?,
        Test::Warm => b.warm()?,
        Test::Climb => b.climb()?,
        Test::NewPiping => b.new_piping()?,
    };
    let found = std::mem::take(&mut b.found);
    let trace = std::mem::take(&mut b.trace);
    let read = found.iter().map(|o| Figure {
        measure: Measure::Read(o.item),
        value: o.value,
    });
    let figures: Vec<Figure> = read.chain(extra.figures).collect();
    let mut judged = verdict::judge(
        test,
        &figures,
        &extra.unlit,
        extra.idle,
        extra.still_moving,
        &trace,
    );
    judged.extend(extra.plate);
    let spoiled = extra.spoiled || extra.idle;
    Ok(TestResult {
        test,
        verdict: verdict::of(&judged),
        observations: if extra.says_nothing || extra.idle {
            Vec::new()
        } else {
            found
        },
        unlit: extra.unlit,
        thin_air: extra.thin_air,
        still_moving: extra.still_moving,
        spoiled,
        seats: Seats::Untold,
        figures,
        judged,
        steps: std::mem::take(&mut b.steps),
        trace,
    })
}

/// What a test gives besides what was observed.
#[derive(Debug, Default)]
pub(super) struct Extra {
    figures: Vec<Figure>,
    /// Appliances that would not burn.
    unlit: Vec<usize>,
    /// Whether the pressure had not come to rest.
    still_moving: bool,
    /// Whether the test could not begin as it must.
    spoiled: bool,
    /// Whether nothing follows from it then: a line that would not even hold the start of its check has lost what it had.
    says_nothing: bool,
    /// Whether nothing burned that was asked to: no gas flowed.
    idle: bool,
    /// What burned against its rating plate.
    plate: Vec<Judged>,
    /// The air that it burned in, where that is thin.
    thin_air: Option<ThinAir>,
}

impl Extra {
    pub fn of(figures: impl IntoIterator<Item = (Measure, f64)>) -> Self {
        let figures = figures.into_iter();
        Self {
            figures: figures
                .map(|(measure, value)| Figure { measure, value })
                .collect(),
            ..Self::default()
        }
    }

    pub fn unlit(self, unlit: Vec<usize>) -> Self {
        Self { unlit, ..self }
    }

    /// Pressures of so many appliances asked to burn: none of them did, and they are no flow pressures.
    pub fn asked(self, count: usize) -> Self {
        let idle = self.unlit.len() >= count;
        Self { idle, ..self }
    }
}

impl Bench<'_> {
    pub(super) fn forbidden(&self, why: Hindrance) -> VisitError {
        VisitError::Forbidden {
            test: self.test.words(),
            why,
        }
    }

    /// Looks at gauges and vents. A bubble takes a second to grow, so the vents are looked at
    /// twice: what is there for a moment only is breath.
    fn see(&mut self) -> Result<Seen, VisitError> {
        let vents = |b: &Self| [Joint::FirstVent, Joint::SecondVent].map(|j| bubbles_at(j, b.sim));
        let before = vents(self);
        let r = self.wait(BUBBLE_S, BUBBLE_S)?;
        let after = vents(self);
        Ok(Seen {
            first_pa: self.kit.high_side(r.first.chamber_pa),
            inlet_pa: self.kit.high_side(r.containers[r.service_side].pigtail_pa),
            vents: [0, 1].map(|i| before[i].min(after[i])),
            full: false,
        })
    }

    fn note_low(&mut self, item: Id, pressure_pa: f64) -> f64 {
        let shown = self.kit.low_side(pressure_pa);
        self.note(item, shown);
        shown
    }

    fn note_high(&mut self, item: Id, pressure_pa: f64) {
        let shown = self.kit.high_side(pressure_pa);
        self.note(item, shown);
    }

    fn note_bubbles(&mut self, item: Id, bubbles: Bubbles) {
        self.note(item, f64::from(bubbles as u8));
    }

    fn read_outlet(&self) -> f64 {
        self.kit.low_side(self.sim.readings().outlet_pa)
    }

    /// Whether nothing burns and the outlet stands far over what may go into a house or a vehicle.
    fn stands_far_over(&self) -> bool {
        let at_rest = self.supply_open() && self.anything_lit().is_none();
        at_rest && LIMITS.far_over.is_passed_by(self.read_outlet())
    }

    fn needs_supply(&self) -> Result<(), VisitError> {
        if self.supply_open() {
            Ok(())
        } else {
            Err(self.forbidden(Hindrance::SupplyShut))
        }
    }

    fn needs_nothing_lit(&self, because: NothingLit) -> Result<(), VisitError> {
        match self.anything_lit() {
            Some(name) => Err(self.forbidden(Hindrance::Burns { name, because })),
            None => Ok(()),
        }
    }

    /// The appliances whose inputs add up nearest to half of all.
    fn half(&self) -> Result<Vec<usize>, VisitError> {
        let half = half_load(self.sim.rig());
        if half.is_empty() {
            return Err(self.forbidden(Hindrance::NoAppliance));
        }
        Ok(half)
    }

    /// Lights exactly these, waits until the pressure stands, and looks whether the load is there.
    /// Returns the readings and those that would not burn.
    fn settle_with(&mut self, wanted: &[usize]) -> Result<(Readings, Vec<usize>), VisitError> {
        self.light_exactly(wanted)?;
        self.load_is_there(wanted)?;
        let r = self.wait(time::SETTLE, 1.0)?;
        self.load_is_there(wanted)?;
        // One that was lit and has dropped out since does not burn either.
        Ok((r, self.unlit(wanted)))
    }

    /// A thermostat that is satisfied keeps its burner off, and the pressure says nothing then.
    fn load_is_there(&self, wanted: &[usize]) -> Result<(), VisitError> {
        let modes = &self.sim.moment().modes.appliances;
        let off: Vec<String> = wanted
            .iter()
            .filter(|&&i| modes[i].phase == Phase::Satisfied)
            .map(|&i| self.sim.rig().appliances[i].name.clone())
            .collect();
        if off.is_empty() {
            return Ok(());
        }
        Err(self.forbidden(Hindrance::Satisfied(off)))
    }

    fn all(&self) -> Vec<usize> {
        (0..self.sim.rig().appliances.len()).collect()
    }
}
