//! What the model costs: one evaluation, both engines, a night, live play. Each figure stands beside
//! a peer measured in the same run, so that the ratio means something on any machine.
//!
//! Wall time, best of several. Not here: the window's frame (`window_frame`).

use std::hint::black_box;
use std::path::Path;
use std::sync::Arc;
use std::time::{Duration, Instant};

use twostage::rig::{Charge, Kind, Rig, RigState, Site, evaluate, presets, rates};
use twostage::scenario::{Action, Event, Run, Scenario};
use twostage::sim::{Live, Record, Simulation};
use twostage::solver::{Method, Tolerance};

/// Best wall time of `times` calls \[s\].
fn best(times: usize, mut job: impl FnMut()) -> f64 {
    (0..times)
        .map(|_| {
            let begun = Instant::now();
            job();
            begun.elapsed()
        })
        .min()
        .unwrap_or(Duration::ZERO)
        .as_secs_f64()
}

fn shipped(name: &str) -> Scenario {
    let file = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("scenarios")
        .join(format!("{name}.toml"));
    Scenario::load(&file).unwrap_or_else(|e| panic!("{e}"))
}

/// A burner of 42,000 Btu/h comes on after a second.
fn load_step() -> Scenario {
    let container = presets::container("30 lb cylinder").expect("a preset");
    let warm_k = 289.0;
    Scenario {
        title: "Load step".to_owned(),
        summary: String::new(),
        rig: Rig::standard(
            vec![container],
            vec![presets::appliance(Kind::OnDemandHeater)],
        ),
        site: Site::calm(warm_k, 0.0),
        charges: vec![Charge {
            fill: 0.6,
            temperature_k: warm_k,
            air_pa: 0.0,
        }],
        valves_open: vec![true],
        service_side: 0,
        on_at_start: vec![false],
        events: vec![Event {
            at_s: 1.0,
            action: Action::Switch {
                appliance: 0,
                on: true,
            },
        }],
        run: Run {
            duration_s: 6.0,
            sample_s: 0.1,
            settle_s: 30.0,
        },
    }
}

/// Time to run a started scenario to its end by an engine \[s\], and steps taken.
fn run(scenario: &Arc<Scenario>, method: Method, times: usize) -> (f64, u64) {
    let mut steps = 0;
    let mut least = f64::MAX;
    for _ in 0..times {
        // Settling is no part of the job.
        let mut sim = Simulation::start(scenario.clone(), Method::Stiff, Tolerance::default())
            .expect("starts");
        if method != Method::Stiff {
            let moment = sim.moment().clone();
            sim =
                Simulation::start(scenario.clone(), method, Tolerance::default()).expect("starts");
            sim.go_back_to(&moment);
        }
        let before = sim.work().steps;
        let begun = Instant::now();
        sim.advance(scenario.run.duration_s, None, &mut |_| {})
            .expect("runs");
        least = least.min(begun.elapsed().as_secs_f64());
        steps = sim.work().steps - before;
    }
    (least, steps)
}

fn one_evaluation() {
    let scenario = Arc::new(shipped("frosty_night"));
    let sim = Simulation::start(scenario, Method::Stiff, Tolerance::default()).expect("starts");
    let (rig, moment) = (sim.rig().clone(), sim.moment().clone());
    let (modes, state) = (moment.modes, moment.state);
    let count = 20_000;
    let whole = best(5, || {
        for _ in 0..count {
            let flows = evaluate(&rig, &modes, 0.0, black_box(&state));
            black_box(rates(&rig, &modes, &state, &flows));
        }
    }) / f64::from(count);
    let split = best(5, || {
        for _ in 0..count {
            black_box(rig.containers[0].flash(black_box(&state.containers[0])));
        }
    }) / f64::from(count);
    println!(
        "one evaluation of {} states: {:.2} us; of that one container's split {:.2} us ({:.0} %)",
        RigState::dim(&rig),
        1e6 * whole,
        1e6 * split,
        100.0 * split / whole
    );
}

fn both_engines() {
    let step = Arc::new(load_step());
    let (explicit, explicit_steps) = run(&step, Method::Explicit, 2);
    let (stiff, stiff_steps) = run(&step, Method::Stiff, 10);
    println!(
        "load step, 6 s: stiff {:.2} ms ({stiff_steps} steps), explicit {:.0} ms ({explicit_steps} steps): {:.0} to 1",
        1e3 * stiff,
        1e3 * explicit,
        explicit / stiff
    );
}

fn nights() {
    let night = Arc::new(shipped("frosty_night"));
    let (time, steps) = run(&night, Method::Stiff, 5);
    println!(
        "frosty_night, 12 h, {} states: {:.0} ms ({steps} steps): {:.0} times real time (target 250 ms)",
        RigState::dim(&night.rig),
        1e3 * time,
        night.run.duration_s / time
    );
}

fn live_play() {
    let evening = Arc::new(shipped("opening"));
    let (seconds, tick) = (120.0, 0.016);
    for (name, broken) in [("healthy", false), ("vent blocked, with its twin", true)] {
        let mut record = Record::default();
        let mut live = Live::start(evening.clone(), &mut record).expect("starts");
        if broken {
            live.act(&Action::Inject {
                fault: twostage::fault::Fault::named("second_vent_blocked").expect("a fault"),
                severity: 0.7,
                over_s: 0.0,
            });
        }
        let begun = Instant::now();
        let mut t = 0.0;
        while t < seconds {
            t += tick;
            live.advance(t, &mut record).expect("plays");
        }
        let share = begun.elapsed().as_secs_f64() / seconds;
        println!(
            "live play of opening, {name}: {:.1} % of one core at real time (target 5 %)",
            100.0 * share
        );
    }
}

fn main() {
    one_evaluation();
    both_engines();
    nights();
    live_play();
}
