//! The tests as procedures: each acts on the rig, waits, and notes what instruments, eyes and ears tell. Here: the
//! order of a visit, what its tests leave for each other, and what they have in common. The tests themselves stand
//! beside, by subject; what a reading is held against stands in `verdict`.
//!
//! The library of diagnosis is made by these same procedures (`whole`), so that what a bench reads and what a cause is
//! taken to show are found in one way.

pub(super) mod deeds;
pub(super) mod flow;
mod handed;
pub(super) mod leak;
pub(super) mod look;
mod order;
mod plate;
pub(super) mod rest;
#[cfg(test)]
mod tests;

use super::bench::{Bench, Highest, VisitError};
use super::figure::{Figure, Measure};
use super::hands::under_pressure;
use super::hindrance::{Hindrance, NothingLit};
use super::item::Id;
use super::report::{Seats, TestResult, ThinAir};
use super::sight::half_load;
use super::test::Test;
use super::verdict::{self, Judged};
use crate::rig::Readings;
use crate::service::{Bubbles, Joint, bubbles_at};
pub use order::{run_all, run_of, run_through};

/// Times of the tests \[s\].
pub(crate) mod time {
    pub const LEAK_HOLD: f64 = 180.0;
    pub const SETTLE: f64 = 20.0;
    pub const LOCK_UP_FIRST: f64 = 60.0;
    pub const LOCK_UP_MORE: f64 = 30.0;
    pub const LOCK_UP_MOST: f64 = 300.0;
    pub const CREEP: f64 = 300.0;
    pub const NEW_PIPING: f64 = 900.0;
    pub const COUPLING: f64 = 60.0;
    pub const LONG_DRAW: f64 = 180.0;
    /// Between two looks at a vent that breathes, and how often one looks again.
    pub const BREATH: f64 = 5.0;
    pub const BREATHS: usize = 24;
}

/// A bubble grows within \[s\].
const BUBBLE_S: f64 = 1.0;
/// What moves less than this from look to look no longer makes a vent breathe: outlet, first stage \[Pa\] (own: under a tenth of
/// a division of either gauge).
const BREATHES_PA: (f64, f64) = (2.5, 250.0);

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
    /// Whether everything had been off for minutes by then, and not for one.
    pub after_minutes: bool,
    /// Whether nothing burned that was asked to: with gas flowing nothing can be looked at.
    pub nothing_burns: bool,
}

/// The regulator as seen at one moment.
#[derive(Debug, Clone, Copy)]
pub(super) struct Seen {
    pub outlet_pa: f64,
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
    let result = one(bench, test, &mut Memory::default())?;
    if result.halted.is_some() {
        order::shut_down(bench)?;
    }
    Ok(result)
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

fn one(b: &mut Bench<'_>, test: Test, memory: &mut Memory) -> Result<TestResult, VisitError> {
    b.test = test;
    b.trace.clear();
    b.steps.clear();
    b.found.clear();
    b.beside.clear();
    b.highest = Highest::default();
    b.watches = b.on_site;
    let outcome = made(b, test, memory);
    b.watches = false;
    let (extra, halted) = match outcome {
        Ok(extra) => (extra, None),
        Err(VisitError::Halted(why)) => (b.read_as_it_halted(&why), Some(why)),
        Err(error) => return Err(error),
    };
    Ok(told_of(b, test, extra, halted))
}

/// The result of a test of what was found and what it gave besides.
fn told_of(b: &mut Bench<'_>, test: Test, extra: Extra, halted: Option<Hindrance>) -> TestResult {
    let found = std::mem::take(&mut b.found);
    let trace = std::mem::take(&mut b.trace);
    let read = found.iter().map(|o| Figure {
        measure: Measure::Read(o.item),
        value: o.value,
    });
    let figures: Vec<Figure> = read.chain(extra.figures.iter().copied()).collect();
    let mut judged = verdict::judge(
        test,
        &figures,
        &extra.unlit,
        extra.idle,
        extra.still_moving,
        &trace,
    );
    judged.extend_from_slice(&extra.plate);
    judged.append(&mut b.beside);
    let spoiled = extra.spoiled || extra.idle;
    let observations = match (b.on_site, extra.says_nothing || extra.idle) {
        (true, _) => b.hands_over(found, &judged, &extra, halted.is_some()),
        (false, true) => Vec::new(),
        (false, false) => found,
    };
    TestResult {
        test,
        verdict: verdict::of(&judged),
        observations,
        unlit: extra.unlit,
        thin_air: extra.thin_air,
        still_moving: extra.still_moving,
        spoiled,
        halted,
        left_off: b.kept_off.clone(),
        seats: Seats::Untold,
        figures,
        judged,
        steps: std::mem::take(&mut b.steps),
        trace,
    }
}

fn made(b: &mut Bench<'_>, test: Test, memory: &mut Memory) -> Result<Extra, VisitError> {
    match test {
        Test::Air => Ok(b.air()),
        Test::Container => b.container(),
        Test::Fill => Ok(b.fill()),
        Test::LeakCheck => b.leak_check(),
        Test::FlowPressure => b.flow_pressure(memory),
        Test::FullLoad => b.full_load(memory),
        Test::Look if b.on_site && !b.lights => Ok(b.look_unlit()),
        Test::Look => b.look_and_listen(),
        Test::Along => b.along(memory),
        Test::LongDraw => b.long_draw(),
        Test::Reserve => b.reserve(),
        Test::LoadUpDown => b.load_up_down(memory),
        Test::Pilots => b.pilots(),
        Test::LockUp => b.lock_up(memory),
        Test::Creep => b.creep(memory),
        Test::FirstStage => b.first_stage(memory),
        Test::Vent => b.vent(memory),
        Test::Joints => b.joints(),
        Test::Flush => b.flush(),
        Test::Warm => b.warm(),
        Test::Climb => b.climb(),
        Test::NewPiping => b.new_piping(),
    }
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
    /// twice: what is there for a moment only is breath. So is what comes while the diaphragm still moves: on site one looks
    /// again until the gauges stand.
    fn see(&mut self) -> Result<Seen, VisitError> {
        let mut seen = self.see_now()?;
        let bubbles = |seen: &Seen| seen.vents.iter().any(|b| *b != Bubbles::None);
        for _ in 0..time::BREATHS {
            if !self.on_site || !bubbles(&seen) {
                break;
            }
            let before = self.sim.readings();
            let now = self.wait(time::BREATH, 1.0)?;
            let outlet_pa = (now.outlet_pa - before.outlet_pa).abs();
            let first_pa = (now.first.chamber_pa - before.first.chamber_pa).abs();
            if outlet_pa < BREATHES_PA.0 && first_pa < BREATHES_PA.1 {
                break;
            }
            seen = self.see_now()?;
        }
        Ok(seen)
    }

    fn see_now(&mut self) -> Result<Seen, VisitError> {
        let vents = |b: &Self| [Joint::FirstVent, Joint::SecondVent].map(|j| bubbles_at(j, b.sim));
        let before = vents(self);
        let r = self.wait(BUBBLE_S, BUBBLE_S)?;
        let after = vents(self);
        Ok(Seen {
            outlet_pa: self.kit.low_side(r.outlet_pa),
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

    fn needs_supply(&self) -> Result<(), VisitError> {
        if self.supply_open() {
            Ok(())
        } else {
            Err(self.forbidden(Hindrance::SupplyShut))
        }
    }

    /// Of a shut rig that holds gas joints are looked at by hand first: whoever smells gas and shuts it is not sent to open it.
    fn joints_need_supply(&self) -> Result<(), VisitError> {
        if !self.supply_open() && under_pressure(self.sim) {
            return Err(self.forbidden(Hindrance::ShutBeforeJoints));
        }
        self.needs_supply()
    }

    fn needs_nothing_lit(&self, because: NothingLit) -> Result<(), VisitError> {
        match self.anything_lit() {
            Some(name) => Err(self.forbidden(Hindrance::Burns { name, because })),
            None => Ok(()),
        }
    }

    /// The appliances whose inputs add up nearest to half of all.
    fn half(&self) -> Result<Vec<usize>, VisitError> {
        let mut half = half_load(self.sim.rig());
        if half.is_empty() {
            return Err(self.forbidden(Hindrance::NoAppliance));
        }
        half.retain(|i| !self.kept_off.contains(i));
        if half.is_empty() {
            half = self.all();
        }
        if half.is_empty() {
            return Err(self.forbidden(Hindrance::AllKeptOff));
        }
        Ok(half)
    }

    /// Lights exactly these, waits until the pressure stands, and looks whether the load is there.
    /// Returns the readings and those that would not burn.
    fn settle_with(&mut self, wanted: &[usize]) -> Result<(Readings, Vec<usize>), VisitError> {
        self.light_exactly(wanted)?;
        self.unlit(wanted)?;
        let r = self.wait(time::SETTLE, 1.0)?;
        // One that was lit and has dropped out since does not burn either.
        Ok((r, self.unlit(wanted)?))
    }

    /// All that may be lit: what a test has found to take far more than its plate is kept off.
    fn all(&self) -> Vec<usize> {
        let all = 0..self.sim.rig().appliances.len();
        all.filter(|i| !self.kept_off.contains(i)).collect()
    }
}
