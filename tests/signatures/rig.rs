//! The rig of the visits, and a visit boiled down to its numbers.

use std::sync::Arc;
use twostage::fault::Fault;
use twostage::fault::trade::Figure;
use twostage::rig::{Kind, Rig, Site, presets};
use twostage::scenario::Scenario;
use twostage::service::TOLERANCE;
use twostage::sim::Simulation;
use twostage::solver::Method;
use twostage::units::{W_PER_BTU_PER_H, pa_to_inwc, pa_to_psi};
use twostage::visit::{
    Against, Bench, Id, Judged, Measure, Progress, Test, TestResult, Verdict, prepare, run_through,
};

/// Numbers of a visit: in w.c., psi, W, s.
#[derive(Debug, Clone, PartialEq)]
pub struct Signature {
    pub half: f64,
    pub full: f64,
    pub fall: f64,
    pub manifold: f64,
    pub band: f64,
    pub lock_up: f64,
    pub peak: f64,
    pub settled_s: f64,
    pub climb: f64,
    pub first_rest: f64,
    pub first_flow: f64,
    pub inlet_rest: f64,
    pub inlet_flow: f64,
    pub vents: [f64; 4],
    pub leak: f64,
    pub leak_fails: bool,
    pub load: f64,
    pub unlit: String,
    pub fill: f64,
}

impl Signature {
    /// The number of a figure: in w.c., psi, W, s, how gas bubbles, how many burners.
    pub fn of(&self, figure: Figure) -> f64 {
        match figure {
            Figure::HalfLoad => self.half,
            Figure::FullLoad => self.full,
            Figure::Fall => self.fall,
            Figure::Rise => self.lock_up - self.half,
            Figure::Manifold => self.manifold,
            Figure::Band => self.band,
            Figure::LockUp => self.lock_up,
            Figure::Peak => self.peak,
            Figure::Settling => self.settled_s,
            Figure::Climb => self.climb,
            Figure::FirstAtRest => self.first_rest,
            Figure::FirstFlowing => self.first_flow,
            Figure::InletAtRest => self.inlet_rest,
            Figure::InletFlowing => self.inlet_flow,
            Figure::Input => self.load / W_PER_BTU_PER_H,
            Figure::BurnersOut => {
                self.unlit.matches(',').count() as f64 + f64::from(u8::from(!self.unlit.is_empty()))
            }
            Figure::FirstVent => self.vents[0].max(self.vents[1]),
            Figure::SecondVent => self.vents[2].max(self.vents[3]),
            Figure::SecondVentFlowing => self.vents[3],
            Figure::LeakCheck => f64::from(u8::from(self.leak_fails)),
            Figure::Fill => self.fill,
        }
    }
}

pub fn kelvin(fahrenheit: f64) -> f64 {
    (fahrenheit + 459.67) / 1.8
}

/// A 30-lb cylinder (or two) at 60 %, four appliances of 89,000 Btu/h together.
pub fn scenario(air_f: f64, containers: usize) -> Scenario {
    let kinds = [
        Kind::Furnace,
        Kind::WaterHeater,
        Kind::Cooktop,
        Kind::OnDemandHeater,
    ];
    let cylinder = presets::container("30 lb cylinder").expect("a preset");
    let rig = Rig::standard(
        vec![cylinder; containers],
        kinds.map(presets::appliance).to_vec(),
    );
    let air_k = kelvin(air_f);
    Scenario::at_rest("visit", rig, Site::calm(air_k, 0.0), 0.6, air_k)
}

pub fn start(scenario: &Scenario, faults: &[(&str, f64)]) -> Simulation {
    begin(prepared(scenario, faults))
}

/// A twin set whose service side stands shut.
pub fn start_on_the_reserve(scenario: &Scenario, faults: &[(&str, f64)]) -> Simulation {
    let mut prepared = prepared(scenario, faults);
    prepared.valves_open[prepared.service_side] = false;
    begin(prepared)
}

fn prepared(scenario: &Scenario, faults: &[(&str, f64)]) -> Scenario {
    let faults: Vec<_> = faults
        .iter()
        .map(|(id, s)| (Fault::find(id).expect("in the catalogue"), *s))
        .collect();
    prepare(scenario, &faults)
}

fn begin(prepared: Scenario) -> Simulation {
    let mut sim = Simulation::start(Arc::new(prepared), Method::Stiff, TOLERANCE)
        .expect("the rig comes to rest");
    // What comes at once takes a moment to come.
    sim.advance(2.0, None, &mut |_| {}).expect("two seconds");
    sim
}

pub fn go_on(_: &Progress) -> bool {
    true
}

/// A whole visit.
pub fn visit(air_f: f64, fault: Option<(&str, f64)>) -> Signature {
    look(&mut start(&scenario(air_f, 1), fault.as_slice()))
}

/// A whole visit to a rig as it stands.
pub fn look(sim: &mut Simulation) -> Signature {
    let fill = sim.readings().containers[0].fill;
    let mut listener = go_on;
    let report = run_through(&mut Bench::new(sim, &mut listener)).expect("the visit runs");
    let raw = |kind, measure| {
        report
            .figure(kind, measure)
            .unwrap_or_else(|| panic!("{kind:?} has no {measure:?}"))
    };
    let low = |kind, measure| pa_to_inwc(raw(kind, measure));
    let high = |kind, measure| pa_to_psi(raw(kind, measure));
    let read = |kind, item| raw(kind, Measure::Read(item));
    let test = |kind| report.test(kind).expect("the visit has it");
    let unlit = &test(Test::FullLoad).unlit;
    let half = pa_to_inwc(read(Test::FlowPressure, Id::HalfOutlet));
    let full = pa_to_inwc(read(Test::FullLoad, Id::FullOutlet));
    Signature {
        half,
        full,
        // The rig's own, also where the bench tells none because nothing took gas at half load.
        fall: half - full,
        manifold: pa_to_inwc(read(Test::FullLoad, Id::FullManifold)),
        band: low(Test::LoadUpDown, Measure::Band),
        lock_up: low(Test::LockUp, Measure::LockUp),
        peak: low(Test::LockUp, Measure::Peak),
        // A rest that never comes has no time.
        settled_s: report
            .figure(Test::LockUp, Measure::Read(Id::RestSettles))
            .unwrap_or(f64::INFINITY),
        climb: low(Test::Creep, Measure::Climb),
        first_rest: high(Test::FirstStage, Measure::FirstAtRest),
        first_flow: high(Test::FirstStage, Measure::FirstFlowing),
        inlet_rest: high(Test::FirstStage, Measure::InletAtRest),
        inlet_flow: high(Test::FirstStage, Measure::InletFlowing),
        vents: [
            Id::FirstVentRest,
            Id::FirstVentFlowing,
            Id::SecondVentRest,
            Id::SecondVentFlowing,
        ]
        .map(|item| read(Test::Vent, item)),
        leak: pa_to_inwc(read(Test::LeakCheck, Id::LeakChange)),
        leak_fails: leak_fails(test(Test::LeakCheck)),
        load: raw(Test::FullLoad, Measure::Load),
        unlit: unlit
            .iter()
            .map(|i| sim.rig().appliances[*i].name.clone())
            .collect::<Vec<_>>()
            .join(", "),
        fill,
    }
}

/// Whether the leak check fails by what it is made for: pressure gained or lost, or none to begin with.
fn leak_fails(result: &TestResult) -> bool {
    let own = |j: &Judged| {
        matches!(
            j.against,
            Against::Figure(Measure::Read(Id::LeakChange) | Measure::Start)
        )
    };
    let failed = |j: &&Judged| own(j) && j.verdict == Verdict::Fail;
    result.judged.iter().any(|j| failed(&j))
}
