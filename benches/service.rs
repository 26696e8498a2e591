//! What a technician's tests cost, beside two peers in the same run: one load step of 6 s, which holds on
//! any machine, and the same tests at a hundredth of the tolerance.
//!
//! With `-- faults` what the whole quickened visit costs, of which diagnosis learns, with each fault: the dearest first.
//!
//! Processor time of the thread where the system tells it (Linux), else wall time; best of several.

use std::sync::Arc;
use std::sync::LazyLock;
use std::time::Instant;

use twostage::diagnosis::library::collection::fits;
use twostage::diagnosis::library::standard::standard_rig;
use twostage::fault::Fault;
use twostage::rig::{Kind, Rig, Site, presets};
use twostage::scenario::{Action, Scenario};
use twostage::service::TOLERANCE;
use twostage::sim::Simulation;
use twostage::solver::{Method, Tolerance};
use twostage::visit::{
    Bench, LeakCheck, Progress, Test, prepare, quickened, run_all, run_of, visit,
};

/// Leak check, half load, full load, lock-up, creep.
const SEQUENCE: [Test; 5] = [
    Test::LeakCheck,
    Test::FlowPressure,
    Test::FullLoad,
    Test::LockUp,
    Test::Creep,
];
/// Runs whose mean is taken, and means of which the least counts.
const RUNS: usize = 20;
const BATCHES: usize = 3;

/// Seconds this thread has had of a processor; where the system does not tell, seconds on the clock.
fn now_s() -> f64 {
    static START: LazyLock<Instant> = LazyLock::new(Instant::now);
    std::fs::read_to_string("/proc/thread-self/schedstat")
        .ok()
        .and_then(|text| text.split_whitespace().next()?.parse::<f64>().ok())
        .map_or_else(|| START.elapsed().as_secs_f64(), |ns| 1e-9 * ns)
}

/// A 30-lb cylinder and four appliances.
fn scenario() -> Scenario {
    let kinds = [
        Kind::Furnace,
        Kind::WaterHeater,
        Kind::Cooktop,
        Kind::OnDemandHeater,
    ];
    let warm_k = 294.0;
    let rig = Rig::standard(
        presets::container("30 lb cylinder").into_iter().collect(),
        kinds.map(presets::appliance).to_vec(),
    );
    Scenario::at_rest("visit", rig, Site::calm(warm_k, 0.0), 0.6, warm_k)
}

fn start(scenario: &Arc<Scenario>, tolerance: Tolerance) -> Simulation {
    Simulation::start(scenario.clone(), Method::Stiff, tolerance).expect("comes to rest")
}

/// Seconds of a job on a rig at rest, and its steps: the best of some means, for the system counts in
/// ticks of some milliseconds.
fn cost(
    scenario: &Arc<Scenario>,
    tolerance: Tolerance,
    mut job: impl FnMut(&mut Bench<'_>),
) -> (f64, u64) {
    let (mut least_s, mut steps) = (f64::MAX, 0);
    for _ in 0..BATCHES {
        let mut rigs: Vec<Simulation> = (0..RUNS).map(|_| start(scenario, tolerance)).collect();
        let before = rigs[0].work().steps;
        let mut go_on = |_: &Progress| true;
        let begun_s = now_s();
        for sim in &mut rigs {
            job(&mut Bench::new(sim, &mut go_on));
        }
        least_s = least_s.min((now_s() - begun_s) / RUNS as f64);
        steps = rigs[0].work().steps - before;
    }
    (least_s, steps)
}

/// Milliseconds and severity of a whole visit to the standard rig with each fault, both leak checks.
fn by_fault() {
    let base = quickened(&standard_rig());
    let mut all: Vec<(f64, f64, &str)> = Vec::new();
    for fault in Fault::all_in(&base.rig).filter(|&f| fits(&base, f)) {
        for severity in [0.25, 0.5, 1.0] {
            let rig = Arc::new(base.with_faults([(fault, severity)]));
            let begun_s = now_s();
            for check in [LeakCheck::First, LeakCheck::Last] {
                visit(&rig, check).expect("runs");
            }
            all.push((500.0 * (now_s() - begun_s), severity, fault.entry().name));
        }
    }
    all.sort_by(|a, b| b.0.total_cmp(&a.0));
    for (ms, severity, name) in &all {
        println!("{ms:6.1} ms  {name} {severity}");
    }
    let mean = all.iter().map(|(ms, ..)| ms).sum::<f64>() / all.len() as f64;
    println!("{mean:6.1} ms  in the mean of {}", all.len());
}

fn main() {
    if std::env::args().any(|a| a == "faults") {
        return by_fault();
    }
    let scenario = Arc::new(prepare(&scenario(), &[]));
    let (step_s, steps) = cost(&scenario, TOLERANCE, |b| {
        b.sim.act(&Action::Switch {
            appliance: 2,
            on: true,
        });
        b.wait(6.0, 1.0).expect("runs");
    });
    println!("one load step, 6 s: {:.2} ms ({steps} steps)", 1e3 * step_s);
    for k in 1..=SEQUENCE.len() {
        let (s, steps) = cost(&scenario, TOLERANCE, |b| {
            run_of(b, &SEQUENCE[..k]).expect("runs");
        });
        println!(
            "up to {}: {:.1} ms ({steps} steps)",
            SEQUENCE[k - 1].words(),
            1e3 * s
        );
    }
    let tight = Tolerance {
        relative: 0.01 * TOLERANCE.relative,
        absolute: 0.01 * TOLERANCE.absolute,
    };
    let five = |tolerance| {
        cost(&scenario, tolerance, |b| {
            run_of(b, &SEQUENCE).expect("runs");
        })
    };
    let ((five_s, steps), (peer_s, peer_steps)) = (five(TOLERANCE), five(tight));
    println!(
        "leak check, half load, full load, lock-up, creep: {:.1} ms ({steps} steps; target 20 ms); \
         {:.1} load steps; at a hundredth of the tolerance {:.1} ms ({peer_steps} steps): {:.1} to 1",
        1e3 * five_s,
        five_s / step_s,
        1e3 * peer_s,
        peer_s / five_s
    );
    let (visit_s, steps) = cost(&scenario, TOLERANCE, |b| {
        run_all(b).expect("runs");
    });
    println!(
        "whole visit of {} tests: {:.1} ms ({steps} steps), {:.1} load steps",
        Test::VISIT.len(),
        1e3 * visit_s,
        visit_s / step_s
    );
}
