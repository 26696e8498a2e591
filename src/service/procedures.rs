//! The trade's tests as procedures: each acts on the rig, waits, reads its instruments, and holds
//! the reading against a limit. Order of a visit: leak check, flow pressure, full load, load up and
//! down, lock-up, creep, vent, first stage.

use super::bench::{Bench, ServiceError};
use super::limits::{self, LIMITS, Limit, rigid_share, trapped_gas_pa_per_k};
use super::piping;
use super::report::{Figure, Quantity, ServiceReport, TestResult, TracePoint, Verdict};
use super::senses::{Bubbles, Joint, bubbles_at, frost_seen};
use crate::rig::Readings;
use crate::scenario::Action;
use crate::units::{inwc_to_pa, pa_to_inwc, pa_to_psi};
use serde::Serialize;

/// The tests.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum TestKind {
    /// Low side held at 9 in w.c., container shut.
    LeakCheck,
    /// Outlet at about half of the connected load.
    FlowPressure,
    /// Outlet at all of it.
    FullLoad,
    /// The same load come to from below and from above.
    LoadUpDown,
    /// Outlet with everything off.
    LockUp,
    /// Five minutes more.
    Creep,
    /// Leak fluid at the vents, at rest and flowing.
    Vent,
    /// A gauge on the first-stage tap.
    FirstStage,
    /// Air at 10 psi in the piping alone.
    NewPiping,
}

impl TestKind {
    /// The tests of a visit, in order.
    pub const VISIT: [Self; 8] = [
        Self::LeakCheck,
        Self::FlowPressure,
        Self::FullLoad,
        Self::LoadUpDown,
        Self::LockUp,
        Self::Creep,
        Self::Vent,
        Self::FirstStage,
    ];

    /// All tests.
    pub const ALL: [Self; 9] = [
        Self::LeakCheck,
        Self::FlowPressure,
        Self::FullLoad,
        Self::LoadUpDown,
        Self::LockUp,
        Self::Creep,
        Self::Vent,
        Self::FirstStage,
        Self::NewPiping,
    ];

    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::LeakCheck => "leak check",
            Self::FlowPressure => "flow pressure",
            Self::FullLoad => "full load",
            Self::LoadUpDown => "load up and down",
            Self::LockUp => "lock-up",
            Self::Creep => "creep",
            Self::Vent => "vent",
            Self::FirstStage => "first stage",
            Self::NewPiping => "new piping",
        }
    }

    /// What is done, in a sentence or two.
    pub fn how(self) -> &'static str {
        match self {
            Self::LeakCheck => {
                "Shut the container, bleed the low side to 9 in w.c. so that every seat is open, hold 3 minutes, correct for temperature"
            }
            Self::FlowPressure => "Light about half of the connected input and read the outlet",
            Self::FullLoad => "Light everything and read how far the outlet falls",
            Self::LoadUpDown => {
                "Come back to half load from full load: the difference is what friction holds"
            }
            Self::LockUp => "Everything off, container open: read when it has come to rest",
            Self::Creep => "Watch five more minutes: any steady climb is a leaking seat",
            Self::Vent => "Leak fluid at the vents, at rest and with gas flowing",
            Self::FirstStage => "Read the first-stage tap at rest and under load",
            Self::NewPiping => {
                "Regulator and appliances off, air at 10 psi in the piping, 15 minutes, no drop"
            }
        }
    }
}

/// Times of the tests \[s\].
mod time {
    pub const LEAK_HOLD: f64 = 180.0;
    pub const SETTLE: f64 = 20.0;
    pub const LOCK_UP_FIRST: f64 = 60.0;
    pub const LOCK_UP_MORE: f64 = 30.0;
    pub const LOCK_UP_MOST: f64 = 300.0;
    pub const CREEP: f64 = 300.0;
    pub const NEW_PIPING: f64 = 900.0;
}

/// How often the low side is bled again before the leak check, and the wait after each \[s\].
const BLEEDS: usize = 5;
const REST_S: f64 = 5.0;
/// Looks at a falling gauge, from far and from near: how long, how often \[s\].
const LOOKS: [(f64, f64); 2] = [(5.0, 0.5), (0.5, 0.02)];
/// Lock-up is looked at closely for so long \[s\].
const FINE_S: f64 = 3.0;
/// A lock-up that moves less than this in half a minute has come to rest \[in w.c.\].
const REST_INWC: f64 = 0.03;

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
/// [`ServiceError`] if the listener stopped it or the run failed.
pub fn run_all(bench: &mut Bench<'_>) -> Result<ServiceReport, ServiceError> {
    let mut memory = Memory::default();
    let mut tests = Vec::new();
    for test in TestKind::VISIT {
        tests.push(one(bench, test, &mut memory)?);
    }
    let (title, took_s) = (bench.sim.scenario().title.clone(), bench.elapsed_s());
    Ok(ServiceReport::of_tests(title, tests, took_s))
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
        TestKind::LeakCheck => leak_check(bench),
        TestKind::FlowPressure => flow_pressure(bench, memory),
        TestKind::FullLoad => full_load(bench, memory),
        TestKind::LoadUpDown => load_up_down(bench, memory),
        TestKind::LockUp => lock_up(bench, memory),
        TestKind::Creep => creep(bench, memory),
        TestKind::Vent => vent(bench, memory),
        TestKind::FirstStage => first_stage(bench, memory),
        TestKind::NewPiping => new_piping(bench),
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

    fn see(&self) -> Seen {
        let r = self.sim.readings();
        Seen {
            first_pa: self.kit.high_side(r.first.chamber_pa),
            inlet_pa: self.kit.high_side(r.containers[r.service_side].pigtail_pa),
            vents: [Joint::FirstVent, Joint::SecondVent].map(|j| bubbles_at(j, self.sim)),
            frost: frost_seen(&r).body,
        }
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

    fn all(&self) -> Vec<usize> {
        (0..self.sim.rig().appliances.len()).collect()
    }

    /// Shuts every container valve; returns which stood open.
    fn shut_supply(&mut self) -> Vec<usize> {
        let (now_s, modes) = (self.sim.time_s(), self.sim.moment().modes);
        let open: Vec<usize> = (0..self.sim.rig().containers.len())
            .filter(|&c| modes.valves[c].at(now_s) > 0.0)
            .collect();
        for &container in &open {
            let (open, over_s) = (0.0, 2.0);
            let action = Action::Valve {
                container,
                open,
                over_s,
            };
            self.act(&action, "container valve shut");
        }
        open
    }

    /// Bleeds the low side down to a pressure, as exactly as a hand does.
    fn bleed_to(&mut self, target_pa: f64) -> Result<(), ServiceError> {
        self.steps.push(format!(
            "bled the low side to {:.0} in w.c.",
            pa_to_inwc(target_pa)
        ));
        // Through a needle, for the pigtail has to be emptied too; again and again where a slow vent
        // lets the diaphragm push more gas out.
        for _ in 0..BLEEDS {
            self.bleed_until(0.4e-6, target_pa, 300.0)?;
            self.wait(REST_S, 1.0)?;
            if self.read_outlet() <= LIMITS.leak_start.high {
                break;
            }
        }
        Ok(())
    }

    /// Opens the tap until the outlet is down to `stop_pa` and nothing upstream holds it up.
    fn bleed_until(&mut self, area_m2: f64, stop_pa: f64, most_s: f64) -> Result<(), ServiceError> {
        let end_s = self.sim.time_s() + most_s;
        self.sim.act(&Action::Bleed { area_m2 });
        let mut look = 0;
        while self.sim.time_s() < end_s && self.sim.readings().outlet_pa > stop_pa {
            let (stretch_s, sample_s) = LOOKS[look];
            let from = self.sim.moment().clone();
            let kept = self.trace.len();
            self.wait(stretch_s, sample_s)?;
            let crossed = self.trace[kept..]
                .iter()
                .position(|p| p.outlet_pa <= stop_pa);
            if let Some(k) = crossed {
                // Too far: go back to just before and look closer, or shut the tap there.
                let at_s = self.trace[kept + k].time_s;
                self.sim.go_back_to(&from);
                self.trace.truncate(kept);
                look += 1;
                if look == LOOKS.len() {
                    self.wait(at_s - self.sim.time_s(), 1.0)?;
                    break;
                }
                self.wait((at_s - sample_s - self.sim.time_s()).max(0.0), 1.0)?;
            }
        }
        self.sim.act(&Action::Bleed { area_m2: 0.0 });
        Ok(())
    }
}

fn not_lit(unlit: &[String]) -> String {
    if unlit.is_empty() {
        String::new()
    } else {
        format!(" {} would not burn.", unlit.join(", "))
    }
}

fn leak_check(b: &mut Bench<'_>) -> Result<TestResult, ServiceError> {
    if let Some(name) = b.anything_lit() {
        return Err(b.forbidden(format!(
            "{name} burns gas; shut every appliance and pilot off first"
        )));
    }
    let were_open = b.shut_supply();
    b.wait(3.0, 1.0)?;
    b.bleed_to(limits::leak_check_pa())?;
    let start = b.sim.readings();
    let start_pa = b.read_outlet();
    let start_k = b.kit.thermometer.at_rest(start.air_k);
    b.steps.push("held 3 minutes".to_owned());
    let end = b.wait(time::LEAK_HOLD, 5.0)?;
    let end_pa = b.read_outlet();
    let warmed_k = b.kit.thermometer.at_rest(end.air_k) - start_k;
    let correction_pa = trapped_gas_pa_per_k(start_pa, start.ambient_pa, start_k)
        * rigid_share(&b.sim.scenario().rig, start_pa, start.ambient_pa, start_k)
        * warmed_k;
    let change_pa = end_pa - start_pa - correction_pa;
    for container in were_open {
        b.steps.push("container valve opened slowly".to_owned());
        b.open_slowly(container)?;
    }
    let started = LIMITS.leak_start.holds(start_pa);
    let pass = LIMITS.leak.holds(change_pa) && started;
    let words = if !started {
        format!(
            "The low side would not stay at 9 in w.c. to start with: it stood at {:.1}",
            pa_to_inwc(start_pa)
        )
    } else if pass {
        "No gain and no loss: tight up to the container valve".to_owned()
    } else if change_pa < 0.0 {
        "Pressure is lost: leak fluid at every joint and at the vent shows where".to_owned()
    } else {
        "Pressure is gained: the container valve does not shut, or the trapped gas has warmed"
            .to_owned()
    };
    let figures = vec![
        low("start", start_pa),
        low("end", end_pa),
        Figure {
            name: "warmed",
            value: warmed_k,
            quantity: Quantity::TemperatureChange,
        },
        low("correction", correction_pa),
        low("change", change_pa),
    ];
    let limits = vec![LIMITS.leak, LIMITS.leak_start];
    Ok(b.result(verdict(pass, false), words, figures, limits))
}

fn flow_pressure(b: &mut Bench<'_>, memory: &mut Memory) -> Result<TestResult, ServiceError> {
    b.needs_supply()?;
    let unlit = b.light_exactly(&b.half()?)?;
    let r = b.wait(time::SETTLE, 1.0)?;
    let pa = b.read_outlet();
    memory.half_pa = Some(pa);
    let pass = LIMITS.flow.holds(pa) && unlit.is_empty();
    let side = match pa {
        p if p < LIMITS.flow.low => "low",
        p if p > LIMITS.flow.high => "high",
        _ => "right",
    };
    let words = format!(
        "{:.1} in w.c. at {:.0} Btu/h: {side}.{}",
        pa_to_inwc(pa),
        r.flow_w / crate::units::W_PER_BTU_PER_H,
        not_lit(&unlit)
    );
    let figures = vec![low("outlet", pa), load(&r)];
    Ok(b.result(verdict(pass, false), words, figures, vec![LIMITS.flow]))
}

fn load(r: &Readings) -> Figure {
    Figure {
        name: "load",
        value: r.flow_w,
        quantity: Quantity::Power,
    }
}

fn full_load(b: &mut Bench<'_>, memory: &mut Memory) -> Result<TestResult, ServiceError> {
    b.needs_supply()?;
    let half_pa = if let Some(pa) = memory.half_pa {
        pa
    } else {
        b.light_exactly(&b.half()?)?;
        b.wait(time::SETTLE, 1.0)?;
        b.read_outlet()
    };
    let unlit = b.light_exactly(&b.all())?;
    let r = b.wait(time::SETTLE, 1.0)?;
    memory.flowing = Some(b.see());
    let pa = b.read_outlet();
    let fall = half_pa - pa;
    let pass = LIMITS.fall.holds(fall) && unlit.is_empty();
    let caution = LIMITS.fall_caution.holds(fall) && unlit.is_empty();
    let inlet = b.kit.high_side(r.containers[r.service_side].pigtail_pa);
    let manifold = b.kit.low_side(r.manifold_pa);
    let words = format!(
        "{:.1} in w.c. at {:.0} Btu/h, {:.1} in w.c. under half load.{}",
        pa_to_inwc(pa),
        r.flow_w / crate::units::W_PER_BTU_PER_H,
        pa_to_inwc(fall),
        not_lit(&unlit)
    );
    let figures = vec![
        low("outlet", pa),
        low("fall", fall),
        low("manifold", manifold),
        high("first stage", b.kit.high_side(r.first.chamber_pa)),
        high("inlet", inlet),
        load(&r),
    ];
    let limits = vec![LIMITS.fall, LIMITS.fall_caution];
    Ok(b.result(verdict(pass, caution), words, figures, limits))
}

fn load_up_down(b: &mut Bench<'_>, memory: &mut Memory) -> Result<TestResult, ServiceError> {
    b.needs_supply()?;
    let half = b.half()?;
    let up_pa = if let Some(pa) = memory.half_pa {
        pa
    } else {
        b.light_exactly(&[])?;
        b.wait(time::SETTLE, 1.0)?;
        b.light_exactly(&half)?;
        b.wait(time::SETTLE, 1.0)?;
        let pa = b.read_outlet();
        b.light_exactly(&b.all())?;
        b.wait(time::SETTLE, 1.0)?;
        pa
    };
    b.light_exactly(&half)?;
    b.wait(time::SETTLE, 1.0)?;
    let down_pa = b.read_outlet();
    let band = down_pa - up_pa;
    let limit = Limit {
        what: "difference of the same load from above and from below",
        low: -inwc_to_pa(0.3),
        high: inwc_to_pa(0.3),
        grade: limits::Grade::Practice,
        source: "common practice: a clean regulator comes back to the same pressure",
    };
    let pass = limit.holds(band);
    let words = if pass {
        "The same load gives the same pressure both ways".to_owned()
    } else {
        format!(
            "{:.1} in w.c. apart: something holds the moving parts (lever, stiff rubber, vent)",
            pa_to_inwc(band.abs())
        )
    };
    let figures = vec![
        low("from below", up_pa),
        low("from above", down_pa),
        low("band", band),
    ];
    Ok(b.result(verdict(pass, true), words, figures, vec![limit]))
}

/// When a record last was more than `band_pa` off its end \[s after its start\].
fn settled_after_s(trace: &[TracePoint], from_s: f64, band_pa: f64) -> f64 {
    let end_pa = trace.last().map_or(0.0, |p| p.outlet_pa);
    trace
        .iter()
        .rev()
        .find(|p| (p.outlet_pa - end_pa).abs() > band_pa)
        .map_or(0.0, |p| p.time_s - from_s)
}

fn lock_up(b: &mut Bench<'_>, memory: &mut Memory) -> Result<TestResult, ServiceError> {
    b.needs_supply()?;
    let alone = memory.half_pa.is_none();
    if let (true, Some(name)) = (alone, b.anything_lit()) {
        return Err(b.forbidden(format!(
            "{name} burns gas, and its draw hides a leaking seat; shut every appliance and pilot off first"
        )));
    }
    b.light_exactly(&[])?;
    let from_s = b.sim.time_s();
    b.wait(FINE_S, 0.1)?;
    b.wait(time::LOCK_UP_FIRST - FINE_S, 1.0)?;
    let mut before_pa = b.sim.readings().outlet_pa;
    let mut at_rest = false;
    while !at_rest && b.sim.time_s() - from_s < time::LOCK_UP_MOST {
        let now_pa = b.wait(time::LOCK_UP_MORE, 5.0)?.outlet_pa;
        at_rest = (now_pa - before_pa).abs() < inwc_to_pa(REST_INWC);
        before_pa = now_pa;
    }
    let pa = b.read_outlet();
    let peak_pa = b.trace.iter().map(|p| p.outlet_pa).fold(0.0, f64::max);
    let first_peak_pa = b.trace.iter().map(|p| p.first_stage_pa).fold(0.0, f64::max);
    let settle_s = settled_after_s(&b.trace, from_s, inwc_to_pa(0.2));
    let mut figures = vec![
        low("lock-up", pa),
        low("peak", b.kit.low_side(peak_pa)),
        high("first-stage peak", b.kit.high_side(first_peak_pa)),
        seconds("settled after", settle_s),
    ];
    if let Some(half_pa) = memory.half_pa {
        figures.push(low("rise", pa - half_pa));
    }
    memory.at_rest = Some(b.see());
    let words = format!(
        "{:.1} in w.c., {}",
        pa_to_inwc(pa),
        if at_rest {
            "at rest"
        } else {
            "still moving after five minutes"
        }
    );
    let limits = vec![LIMITS.lock_up, LIMITS.lock_up_caution, LIMITS.rise];
    let verdict = verdict(LIMITS.lock_up.holds(pa), LIMITS.lock_up_caution.holds(pa));
    Ok(b.result(verdict, words, figures, limits))
}

fn creep(b: &mut Bench<'_>, memory: &mut Memory) -> Result<TestResult, ServiceError> {
    b.needs_supply()?;
    if let Some(name) = b.anything_lit() {
        return Err(b.forbidden(format!(
            "{name} burns gas; creep is watched with everything off, after lock-up"
        )));
    }
    let start_pa = b.sim.readings().outlet_pa;
    b.wait(time::CREEP, 5.0)?;
    let end_pa = b.sim.readings().outlet_pa;
    // Both are read at the same meniscus, so the division cancels in part.
    let climb = b.kit.low_side(end_pa) - b.kit.low_side(start_pa);
    let seen = b.see();
    let before = memory
        .at_rest
        .replace(seen)
        .map_or(seen.first_pa, |s| s.first_pa);
    let pass = LIMITS.creep.holds(climb);
    let words = if pass {
        "No steady climb: the seat is tight".to_owned()
    } else {
        format!(
            "Climbs {:.1} in w.c. in five minutes: a seat leaks",
            pa_to_inwc(climb)
        )
    };
    let figures = vec![
        low("start", b.kit.low_side(start_pa)),
        low("end", b.kit.low_side(end_pa)),
        low("climb", climb),
        high("first-stage climb", seen.first_pa - before),
    ];
    Ok(b.result(verdict(pass, false), words, figures, vec![LIMITS.creep]))
}

/// What is seen at rest and flowing, from earlier in the visit or by going there now.
fn both(b: &mut Bench<'_>, memory: &mut Memory) -> Result<(Seen, Seen), ServiceError> {
    b.needs_supply()?;
    let at_rest = if let Some(seen) = memory.at_rest {
        seen
    } else {
        b.light_exactly(&[])?;
        b.wait(time::LOCK_UP_FIRST, 1.0)?;
        b.see()
    };
    let flowing = if let Some(seen) = memory.flowing {
        seen
    } else {
        b.light_exactly(&b.half()?)?;
        b.wait(time::SETTLE, 1.0)?;
        b.see()
    };
    memory.at_rest = Some(at_rest);
    memory.flowing = Some(flowing);
    Ok((at_rest, flowing))
}

fn vent(b: &mut Bench<'_>, memory: &mut Memory) -> Result<TestResult, ServiceError> {
    let (rest, flowing) = both(b, memory)?;
    let mut words = Vec::new();
    for (i, name) in ["first-stage vent", "second-stage vent"]
        .into_iter()
        .enumerate()
    {
        words.push(format!(
            "{name}: {} at rest, {} flowing",
            rest.vents[i].words(),
            flowing.vents[i].words()
        ));
    }
    let pass = rest
        .vents
        .iter()
        .chain(&flowing.vents)
        .all(|v| *v == Bubbles::None);
    b.steps.push("leak fluid at both vents".to_owned());
    let count = |v: Bubbles| f64::from(v as u8);
    let figure = |name, value| Figure {
        name,
        value: count(value),
        quantity: Quantity::Bubbles,
    };
    let figures = vec![
        figure("first at rest", rest.vents[0]),
        figure("first flowing", flowing.vents[0]),
        figure("second at rest", rest.vents[1]),
        figure("second flowing", flowing.vents[1]),
    ];
    Ok(b.result(verdict(pass, false), words.join("; "), figures, vec![]))
}

fn first_stage(b: &mut Bench<'_>, memory: &mut Memory) -> Result<TestResult, ServiceError> {
    let (rest, flowing) = both(b, memory)?;
    let pass = LIMITS.first_rest.holds(rest.first_pa)
        && flowing.first_pa >= LIMITS.first.low
        && flowing.first_pa <= LIMITS.first_rest.high;
    let mut words = format!(
        "{:.1} psig at rest, {:.1} flowing, inlet {:.0} at rest and {:.0} flowing",
        pa_to_psi(rest.first_pa),
        pa_to_psi(flowing.first_pa),
        pa_to_psi(rest.inlet_pa),
        pa_to_psi(flowing.inlet_pa)
    );
    if rest.frost || flowing.frost {
        words.push_str("; frost on the body");
    }
    let figures = vec![
        high("at rest", rest.first_pa),
        high("flowing", flowing.first_pa),
        high("inlet at rest", rest.inlet_pa),
        high("inlet flowing", flowing.inlet_pa),
    ];
    let limits = vec![LIMITS.first, LIMITS.first_rest];
    Ok(b.result(verdict(pass, false), words, figures, limits))
}

fn new_piping(b: &mut Bench<'_>) -> Result<TestResult, ServiceError> {
    if let Some(name) = b.anything_lit() {
        return Err(b.forbidden(format!(
            "{name} burns gas; the piping is tested empty of gas, cut off at both ends"
        )));
    }
    let (t, site, rig) = (
        b.sim.time_s(),
        b.sim.moment().modes.site,
        b.sim.rig().clone(),
    );
    let times: Vec<f64> = (1..=15)
        .map(|k| t + f64::from(k) * time::NEW_PIPING / 15.0)
        .collect();
    b.steps
        .push("regulator and appliances taken off, air at 10 psi, 15 minutes".to_owned());
    let record = piping::record(&rig, &site, t, limits::new_piping_pa(), &times)?;
    let (start, end) = (record[0].1, record[record.len() - 1].1);
    let gauge = |pa: f64| b.kit.high_side(pa);
    let drop = gauge(start) - gauge(end);
    let pass = LIMITS.new_piping.holds(drop);
    b.trace = record
        .iter()
        .map(|&(time_s, pa)| TracePoint {
            time_s,
            outlet_pa: pa,
            first_stage_pa: 0.0,
            inlet_pa: 0.0,
        })
        .collect();
    let words = if pass {
        "No drop: the piping is tight".to_owned()
    } else {
        format!(
            "{:.1} psi lost in 15 minutes: find the joint with leak fluid",
            pa_to_psi(drop)
        )
    };
    let figures = vec![
        high("start", gauge(start)),
        high("end", gauge(end)),
        high("drop", drop),
    ];
    Ok(b.result(
        verdict(pass, false),
        words,
        figures,
        vec![LIMITS.new_piping],
    ))
}
