//! The order of a visit, and what stops it. A visit on site keeps the trade's rules of safety within a test too: it comes with the
//! burners off, stops where a gauge passes what forbids to go on, keeps off what it has forbidden, and leaves the container shut
//! where a reading says so. What diagnosis and drills learned from is made to its end, whatever it reads (`whole`, [`run_of`]).

use super::handed::{PAST, fluid_item};
use super::{Extra, Memory, one, time};
use crate::rig::Rig;
use crate::service::{LIMITS, bubbles_at, escapes_aloud, forbids_flames};
use crate::units::PA_PER_INWC;
use crate::visit::bench::{Bench, VisitError};
use crate::visit::deeds::Deed;
use crate::visit::figure::Measure;
use crate::visit::hands::perform;
use crate::visit::hindrance::Hindrance;
use crate::visit::item::Id;
use crate::visit::report::{Follows, Left, NotMade, TestResult, VisitReport};
use crate::visit::sight::{LARGE, hose_looks, vent_looks};
use crate::visit::test::Test;
use crate::visit::verdict::{Against, Judged, Verdict};

/// A low side under this, and a first stage's inlet or chamber under this, have nothing in them that leak fluid could show \[Pa\] (own:
/// half of what a leak check begins at; 2 psi).
const NO_PRESSURE_PA: (f64, f64) = (4.5 * PA_PER_INWC, LIMITS.first.low);
/// How long a gauge is looked at on coming, with everything off \[s\].
const ARRIVE_S: f64 = 5.0;

/// The tests of a visit in order; each starts from the state the one before has left, the first with every burner shut off.
///
/// Nothing is lit after a leak check that lost gas, beside an outlet over 14 in w.c. at rest, or at a
/// container that is filled too far; what can be looked at without a flame is, and the others are told as not made. Where the outlet
/// stands far over, the first stage passes 25 psig, or gas is met at a joint that nobody looked for, the container is shut at that moment and nothing more is made. Where a visit
/// ends in "shut the container", it is left shut and the burners off.
///
/// # Errors
/// As [`run_of`].
pub fn run_all(bench: &mut Bench<'_>) -> Result<VisitReport, VisitError> {
    let (lights, on_site) = (bench.lights, bench.on_site);
    bench.on_site = true;
    let report = on_arrival(bench);
    bench.kept_off.clear();
    bench.one_is_large = false;
    (bench.lights, bench.on_site) = (lights, on_site);
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

/// Some tests in order; each starts from the state the one before has left. One that the state
/// forbids after the first was made is told in [`VisitReport::not_made`], and the rig is as before it.
///
/// # Errors
/// [`VisitError`]: already the first cannot be made, or no gas is on for a test that needs it; the
/// listener stopped it; the run failed.
pub fn run_of(bench: &mut Bench<'_>, tests: &[Test]) -> Result<VisitReport, VisitError> {
    in_order(bench, tests, None, false)
}

/// The tests of a visit on site. With two containers the check valve of the changeover hides from a gauge behind it what a hose
/// before it loses, and a reserve that does not serve is found when it is needed: leak fluid and the reserve side belong to it.
fn on_site(rig: &Rig) -> Vec<Test> {
    let mut tests = vec![Test::Container];
    for test in Test::VISIT {
        tests.push(test);
        if test == Test::LeakCheck && rig.changeover.is_some() {
            tests.push(Test::Joints);
        }
    }
    tests.extend(rig.changeover.map(|_| Test::Reserve));
    tests
}

/// Comes to the rig: burners off, and a look at the gauge.
fn on_arrival(b: &mut Bench<'_>) -> Result<VisitReport, VisitError> {
    if b.anything_lit().is_some() {
        b.light_exactly(&[])?;
        b.wait(time::SETTLE, 1.0)?;
    }
    let tests = on_site(b.sim.rig());
    (b.test, b.trace) = (Test::Container, Vec::new());
    b.watches = true;
    let seen = b.watch(ARRIVE_S, 0.5);
    b.watches = false;
    let met = match seen {
        Ok(_) => None,
        Err(VisitError::Halted(why)) => Some(why),
        Err(error) => return Err(error),
    };
    in_order(b, &tests, met, true)
}

fn left_safe(bench: &mut Bench<'_>, mut report: VisitReport) -> Result<VisitReport, VisitError> {
    if report.follows() == Follows::ShutOff {
        shut_down(bench)?;
        report.left = Left::ShutOff;
    }
    Ok(report)
}

/// Burners off and every container shut.
pub(super) fn shut_down(b: &mut Bench<'_>) -> Result<(), VisitError> {
    b.light_exactly(&[])?;
    for container in 0..b.sim.rig().containers.len() {
        if b.sim.moment().modes.valves[container].at(b.sim.time_s()) > 0.0 {
            perform(b, Deed::ShutValve { container })?;
        }
    }
    Ok(())
}

fn in_order(
    bench: &mut Bench<'_>,
    tests: &[Test],
    met: Option<Hindrance>,
    stops: bool,
) -> Result<VisitReport, VisitError> {
    for &test in tests.iter().filter(|t| t.needs_gas()) {
        bench.test = test;
        bench.needs_supply()?;
    }
    let mut memory = Memory::default();
    let (mut made, mut not_made) = (Vec::new(), Vec::new());
    let mut stopped = None;
    if let Some(why) = met {
        // The gauge that stopped it is told as the lock-up that it is.
        made.push(bench.halted_at_once(&why));
        bench.lights = false;
        shut_down(bench)?;
        stopped = Some(why);
    }
    // Where gas is lost the joints are looked at too.
    for &test in tests.iter().chain(&[Test::Joints]) {
        if stops && stopped.is_none() && lights(test) && bench.stands_over() {
            stopped = Some(Hindrance::OverAtRest);
            bench.lights = false;
        }
        let is_made = |made: &[TestResult]| made.iter().any(|t| t.test == test);
        let lost = stopped == Some(Hindrance::GasLost);
        if test == Test::Joints && (is_made(&made) || (!lost && !tests.contains(&test))) {
            continue;
        }
        if let Some(why) = stopped.clone().filter(|why| is_left_out(test, why)) {
            if !is_made(&made) {
                not_made.push(NotMade { test, why });
            }
            continue;
        }
        let (before, kept) = (bench.sim.moment().clone(), memory);
        match one(bench, test, &mut memory) {
            Ok(result) => {
                if stops {
                    bench.keeps_off(&result);
                    let all_off = bench.all().is_empty().then_some(Hindrance::AllKeptOff);
                    // After a leak check that lost gas it is looked for where it comes out, and found.
                    let sought = |why: &Hindrance| {
                        stopped == Some(Hindrance::GasLost) && *why == Hindrance::GasEscapes
                    };
                    if let Some(why) = result.stops().or(all_off).filter(|why| !sought(why)) {
                        bench.lights = false;
                        if shuts_at_once(&why) {
                            shut_down(bench)?;
                        }
                        stopped = Some(why);
                    }
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

/// Whether the container is shut for it at that moment, and nothing more is made that opens it.
fn shuts_at_once(why: &Hindrance) -> bool {
    matches!(
        why,
        Hindrance::Overfilled
            | Hindrance::FarOver
            | Hindrance::FirstOver
            | Hindrance::ContainerOver
            | Hindrance::GasEscapes
    )
}

/// Whether a flame is lit for it. A gauge at rest needs none.
fn lights(test: Test) -> bool {
    test.lets_gas_stand() && !matches!(test, Test::LockUp | Test::Creep)
}

/// Whether a test is left out of a visit that has been stopped. Eyes need neither gas nor flame.
fn is_left_out(test: Test, why: &Hindrance) -> bool {
    match why {
        _ if test == Test::Look => false,
        why if shuts_at_once(why) => test != Test::Fill,
        Hindrance::OverAtRest | Hindrance::AllKeptOff => lights(test),
        _ => test.lets_gas_stand(),
    }
}

impl Bench<'_> {
    /// Whether nothing burns and the outlet stands over what may go into a house or a vehicle.
    fn stands_over(&self) -> bool {
        let at_rest = self.supply_open() && self.anything_lit().is_none();
        at_rest && forbids_flames(self.read_outlet())
    }

    /// What a test has forbidden to burn is not lit again.
    fn keeps_off(&mut self, result: &TestResult) {
        let failed = result.judged.iter().filter(|j| j.verdict == Verdict::Fail);
        for j in failed {
            if let Against::Plate(i) = j.against
                && j.value > 0.0
                && !self.kept_off.contains(&i)
            {
                self.kept_off.push(i);
                self.one_is_large = self.kept_off.len() == 1 && j.value > LARGE - 1.0;
            }
        }
    }

    /// What stands on the gauge that stopped a test, and the verdict of it.
    pub(super) fn read_as_it_halted(&mut self, why: &Hindrance) -> Extra {
        let r = self.sim.readings();
        let first = *why == Hindrance::FirstOver;
        let (measure, value, limit) = if first {
            let pa = self.kit.high_side(r.first.chamber_pa);
            (Measure::FirstPeak, pa, LIMITS.first_danger)
        } else {
            (Measure::Peak, self.read_outlet(), LIMITS.far_over)
        };
        // The needle was seen to pass the mark, which a division of its dial may not tell.
        let value = value.max(limit.high * (1.0 + PAST));
        self.beside.push(Judged {
            against: Against::Figure(measure),
            value,
            limit: Some(limit),
            verdict: Verdict::Fail,
        });
        Extra::of([(measure, value)])
    }

    fn halted_at_once(&mut self, why: &Hindrance) -> TestResult {
        let (why, test) = (why.clone(), Test::LockUp);
        (self.test, self.beside) = (test, Vec::new());
        let extra = self.read_as_it_halted(&why);
        super::told_of(self, test, extra, Some(why))
    }

    /// What eyes tell with nothing lit: vent, hose, valve.
    pub(super) fn look_unlit(&mut self) -> Extra {
        self.note(
            Id::VentLooks,
            vent_looks(self.sim, &self.sim.readings()) as f64,
        );
        for (item, word) in hose_looks(self.sim) {
            self.note(item, word as f64);
        }
        self.hear_joints();
        Extra::default()
    }

    /// Gas that is heard to come out of a joint or a hose, wherever the visit stands.
    pub(super) fn hear_joints(&mut self) {
        if !self.on_site {
            return;
        }
        let heard = escapes_aloud(self.sim);
        // What is heard is found with leak fluid at once.
        if let Some((joint, item)) = heard.and_then(|joint| Some((joint, fluid_item(joint)?))) {
            self.note_bubbles(item, bubbles_at(joint, self.sim));
        }
        self.beside.extend(heard.map(|joint| Judged {
            against: Against::Escapes(joint),
            value: 1.0,
            limit: None,
            verdict: Verdict::Fail,
        }));
    }

    /// On site leak fluid on a line that holds nothing tells nothing: that is told instead.
    pub(super) fn tells_nothing(&mut self, high_pa: f64, against: Against) -> bool {
        let least_pa = match against {
            Against::NoPressureLow => NO_PRESSURE_PA.0,
            _ => NO_PRESSURE_PA.1,
        };
        let empty = self.on_site && high_pa < least_pa;
        if empty && !self.beside.iter().any(|j| j.against == against) {
            self.beside.push(Judged {
                against,
                value: high_pa,
                limit: None,
                verdict: Verdict::Caution,
            });
        }
        empty
    }
}
