//! What a technician's tests cost, each beside the others and beside a peer in the same run: the five
//! tests of a service sequence against the same five at a hundredth of the tolerance.
//!
//! Processor time of the thread where the system tells it (Linux), else wall time; best of several.

use std::sync::Arc;
use std::sync::LazyLock;
use std::time::Instant;

use twostage::rig::{Charge, Kind, Rig, Site, presets};
use twostage::scenario::{Run, Scenario};
use twostage::service::{Bench, Progress, TOLERANCE, TestKind, prepare, run_all, run_of};
use twostage::sim::Simulation;
use twostage::solver::{Method, Tolerance};

/// Leak check, half load, full load, lock-up, creep.
const SEQUENCE: [TestKind; 5] = [
    TestKind::LeakCheck,
    TestKind::FlowPressure,
    TestKind::FullLoad,
    TestKind::LockUp,
    TestKind::Creep,
];
/// Runs of which the best counts.
const TIMES: usize = 12;

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
    Scenario {
        title: "visit".to_owned(),
        summary: String::new(),
        site: Site::calm(warm_k, 0.0),
        charges: vec![Charge {
            fill: 0.6,
            temperature_k: warm_k,
            air_pa: 0.0,
        }],
        valves_open: vec![true],
        service_side: 0,
        on_at_start: vec![false; rig.appliances.len()],
        rig,
        events: vec![],
        run: Run {
            duration_s: 60.0,
            sample_s: 1.0,
            settle_s: 30.0,
        },
    }
}

fn start(scenario: &Arc<Scenario>, tolerance: Tolerance) -> Simulation {
    Simulation::start(scenario.clone(), Method::Stiff, tolerance).expect("comes to rest")
}

/// Least seconds of several runs of a job on a rig at rest, and the steps of one.
fn best(
    scenario: &Arc<Scenario>,
    tolerance: Tolerance,
    times: usize,
    mut job: impl FnMut(&mut Bench<'_>),
) -> (f64, u64) {
    let (mut least_s, mut steps) = (f64::MAX, 0);
    for _ in 0..times {
        let mut sim = start(scenario, tolerance);
        let before = sim.work().steps;
        let mut go_on = |_: &Progress| true;
        let begun_s = now_s();
        job(&mut Bench::new(&mut sim, &mut go_on));
        least_s = least_s.min(now_s() - begun_s);
        steps = sim.work().steps - before;
    }
    (least_s, steps)
}

fn main() {
    let scenario = Arc::new(prepare(&scenario(), &[]));
    let mut fresh_s = f64::MAX;
    for _ in 0..TIMES {
        let begun_s = now_s();
        start(&scenario, TOLERANCE);
        fresh_s = fresh_s.min(now_s() - begun_s);
    }
    println!("to rest: {:.2} ms", 1e3 * fresh_s);
    for k in 1..=SEQUENCE.len() {
        let (s, steps) = best(&scenario, TOLERANCE, TIMES, |b| {
            run_of(b, &SEQUENCE[..k]).expect("runs");
        });
        println!(
            "up to {}: {:.2} ms ({steps} steps)",
            SEQUENCE[k - 1].words(),
            1e3 * s
        );
    }
    let tight = Tolerance {
        relative: 0.01 * TOLERANCE.relative,
        absolute: 0.01 * TOLERANCE.absolute,
    };
    let (five_s, _) = best(&scenario, TOLERANCE, TIMES, |b| {
        run_of(b, &SEQUENCE).expect("runs");
    });
    let (peer_s, peer_steps) = best(&scenario, tight, 3, |b| {
        run_of(b, &SEQUENCE).expect("runs");
    });
    println!(
        "leak check, half load, full load, lock-up, creep: {:.1} ms (target 20 ms); at a hundredth of the tolerance {:.1} ms ({peer_steps} steps): {:.1} to 1",
        1e3 * five_s,
        1e3 * peer_s,
        peer_s / five_s
    );
    let (visit_s, steps) = best(&scenario, TOLERANCE, TIMES, |b| {
        run_all(b).expect("runs");
    });
    println!(
        "whole visit of eight tests: {:.1} ms ({steps} steps)",
        1e3 * visit_s
    );
}
