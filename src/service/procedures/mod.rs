//! The trade's tests as procedures: each acts on the rig, waits, reads its instruments, and holds
//! the reading against a limit. Order of a visit: leak check, flow pressure, full load, load up and
//! down, lock-up, creep, vent, first stage. Here: the order of a visit, what its tests leave for
//! each other, and what they have in common. The tests themselves stand beside, by subject.

mod flow;
mod leak;
mod look;
mod rest;

use super::bench::{Bench, ServiceError};
use super::kind::TestKind;
use super::limits::Limit;
use super::report::{Figure, NotMade, Quantity, ServiceReport, TestResult, Verdict};
use super::senses::{Bubbles, Joint, bubbles_at, frost_seen};
use crate::rig::{Phase, Readings};

/// Times of the tests \[s\].
mod time {
    pub const LEAK_HOLD: f64 = 180.0;
    pub const SETTLE: f64 = 20.0;
    pub const LOCK_UP_FIRST: f64 = 60.0;
    pub const LOCK_UP_MORE: f64 = 30.0;
    pub const LOCK_UP_MOST: f64 = 300.0;
    pub const CREEP: f64 = 300.0;
    pub const NEW_PIPING: f64 = 900.0;
    pub const COUPLING: f64 = 60.0;
}

/// A bubble grows within \[s\].
const BUBBLE_S: f64 = 1.0;

/// What one test leaves for the later ones of the same visit.
#[derive(Debug, Clone, Copy, Default)]
struct Memory {
    half_pa: Option<f64>,
    flowing: Option<Seen>,
    at_rest: Option<Seen>,
}

/// The regulator as seen at one moment.
#[derive(Debug, Clone, Copy)]
struct Seen {
    first_pa: f64,
    inlet_pa: f64,
    vents: [Bubbles; 2],
    frost: bool,
}

/// Runs one test by itself.
///
/// # Errors
/// [`ServiceError`]: the state forbids the test, the listener stopped it, or the run failed.
pub fn run(bench: &mut Bench<'_>, test: TestKind) -> Result<TestResult, ServiceError> {
    one(bench, test, &mut Memory::default())
}

/// The tests of a visit in order; each starts from the state the one before has left.
///
/// # Errors
/// As [`run_of`].
pub fn run_all(bench: &mut Bench<'_>) -> Result<ServiceReport, ServiceError> {
    run_of(bench, &TestKind::VISIT)
}

/// Some tests in order; each starts from the state the one before has left. One that the state
/// forbids after the first was made is told in [`ServiceReport::not_made`], and the rig is as before it.
///
/// # Errors
/// [`ServiceError`]: already the first cannot be made, or no gas is on for a test that needs it; the
/// listener stopped it; the run failed.
pub fn run_of(bench: &mut Bench<'_>, tests: &[TestKind]) -> Result<ServiceReport, ServiceError> {
    for &test in tests.iter().filter(|t| t.needs_gas()) {
        bench.test = test;
        bench.needs_supply()?;
    }
    let mut memory = Memory::default();
    let (mut made, mut not_made) = (Vec::new(), Vec::new());
    for &test in tests {
        let (before, kept) = (bench.sim.moment().clone(), memory);
        match one(bench, test, &mut memory) {
            Ok(result) => made.push(result),
            Err(ServiceError::Forbidden { why, .. }) if !made.is_empty() => {
                bench.sim.go_back_to(&before);
                memory = kept;
                not_made.push(NotMade { test, why });
            }
            Err(error) => return Err(error),
        }
    }
    let (title, took_s) = (bench.sim.scenario().title.clone(), bench.elapsed_s());
    Ok(ServiceReport::of_tests(title, made, not_made, took_s))
}

fn one(
    bench: &mut Bench<'_>,
    test: TestKind,
    memory: &mut Memory,
) -> Result<TestResult, ServiceError> {
    bench.test = test;
    bench.trace.clear();
    bench.steps.clear();
    match test {
        TestKind::LeakCheck => leak::leak_check(bench),
        TestKind::FlowPressure => flow::flow_pressure(bench, memory),
        TestKind::FullLoad => flow::full_load(bench, memory),
        TestKind::LoadUpDown => flow::load_up_down(bench, memory),
        TestKind::LockUp => rest::lock_up(bench, memory),
        TestKind::Creep => rest::creep(bench, memory),
        TestKind::Vent => look::vent(bench, memory),
        TestKind::FirstStage => look::first_stage(bench, memory),
        TestKind::NewPiping => leak::new_piping(bench),
    }
}

fn low(name: &'static str, value: f64) -> Figure {
    Figure {
        name,
        value,
        quantity: Quantity::LowPressure,
    }
}

fn high(name: &'static str, value: f64) -> Figure {
    Figure {
        name,
        value,
        quantity: Quantity::HighPressure,
    }
}

fn seconds(name: &'static str, value: f64) -> Figure {
    Figure {
        name,
        value,
        quantity: Quantity::Time,
    }
}

fn verdict(pass: bool, caution: bool) -> Verdict {
    match (pass, caution) {
        (true, _) => Verdict::Pass,
        (_, true) => Verdict::Caution,
        _ => Verdict::Fail,
    }
}

impl Bench<'_> {
    fn result(
        &mut self,
        verdict: Verdict,
        words: String,
        figures: Vec<Figure>,
        limits: Vec<Limit>,
    ) -> TestResult {
        TestResult {
            test: self.test,
            verdict,
            words,
            figures,
            limits,
            steps: std::mem::take(&mut self.steps),
            trace: std::mem::take(&mut self.trace),
        }
    }

    fn forbidden(&self, why: impl Into<String>) -> ServiceError {
        ServiceError::Forbidden {
            test: self.test.words(),
            why: why.into(),
        }
    }

    /// Looks at gauges, vents and body. A bubble takes a second to grow, so the vents are looked at
    /// twice: what is there for a moment only is breath.
    fn see(&mut self) -> Result<Seen, ServiceError> {
        let vents = |b: &Self| [Joint::FirstVent, Joint::SecondVent].map(|j| bubbles_at(j, b.sim));
        let before = vents(self);
        let r = self.wait(BUBBLE_S, BUBBLE_S)?;
        let after = vents(self);
        Ok(Seen {
            first_pa: self.kit.high_side(r.first.chamber_pa),
            inlet_pa: self.kit.high_side(r.containers[r.service_side].pigtail_pa),
            vents: [0, 1].map(|i| before[i].min(after[i])),
            frost: frost_seen(&r).body,
        })
    }

    fn read_outlet(&self) -> f64 {
        self.kit.low_side(self.sim.readings().outlet_pa)
    }

    fn needs_supply(&self) -> Result<(), ServiceError> {
        if self.supply_open() {
            Ok(())
        } else {
            Err(self.forbidden("the container valve is shut; open it slowly first"))
        }
    }

    /// The appliances whose inputs add up nearest to half of all.
    fn half(&self) -> Result<Vec<usize>, ServiceError> {
        let inputs: Vec<f64> = self
            .sim
            .rig()
            .appliances
            .iter()
            .map(|a| a.input_w)
            .collect();
        if inputs.is_empty() {
            return Err(self.forbidden("the rig has no appliance to light"));
        }
        let half = 0.5 * inputs.iter().sum::<f64>();
        let load = |set: u32| -> f64 {
            let members = (0..inputs.len()).filter(|i| set >> i & 1 == 1);
            members.map(|i| inputs[i]).sum()
        };
        let best = (1..1_u32 << inputs.len())
            .min_by(|a, b| (load(*a) - half).abs().total_cmp(&(load(*b) - half).abs()))
            .unwrap_or(1);
        Ok((0..inputs.len()).filter(|i| best >> i & 1 == 1).collect())
    }

    /// Lights exactly these, waits until the pressure stands, and looks whether the load is there.
    /// Returns the readings and the names of those that would not burn.
    fn settle_with(&mut self, wanted: &[usize]) -> Result<(Readings, Vec<String>), ServiceError> {
        self.light_exactly(wanted)?;
        self.load_is_there(wanted)?;
        let r = self.wait(time::SETTLE, 1.0)?;
        self.load_is_there(wanted)?;
        // One that was lit and has dropped out since does not burn either.
        Ok((r, self.unlit(wanted)))
    }

    /// A thermostat that is satisfied keeps its burner off, and the pressure says nothing then.
    fn load_is_there(&self, wanted: &[usize]) -> Result<(), ServiceError> {
        let modes = &self.sim.moment().modes.appliances;
        let off: Vec<&str> = wanted
            .iter()
            .filter(|&&i| modes[i].phase == Phase::Satisfied)
            .map(|&i| self.sim.rig().appliances[i].name.as_str())
            .collect();
        if off.is_empty() {
            return Ok(());
        }
        let stands = if off.len() == 1 {
            "its thermostat is satisfied and keeps it off"
        } else {
            "their thermostats are satisfied and keep them off"
        };
        Err(self.forbidden(format!(
            "the load is not there: {}: {stands}; turn the thermostats up first (`Make ready` on the bench does)",
            off.join(", ")
        )))
    }

    fn all(&self) -> Vec<usize> {
        (0..self.sim.rig().appliances.len()).collect()
    }
}

fn not_lit(unlit: &[String]) -> String {
    if unlit.is_empty() {
        String::new()
    } else {
        format!(" {} would not burn.", unlit.join(", "))
    }
}
