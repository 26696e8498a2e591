//! What the model costs: one evaluation, both engines, a night, live play. Each figure stands beside
//! a peer measured in the same run, so that the ratio means something on any machine.
//!
//! Processor time of the thread where the system tells it (Linux), else wall time; best of several.
//! Not here: the window's frame (`window_frame`).

use std::hint::black_box;
use std::path::Path;
use std::sync::Arc;
use std::sync::LazyLock;
use std::time::Instant;

use twostage::rig::{Kind, Rig, RigState, Site, evaluate, presets, rates};
use twostage::scenario::{Action, Event, Run, Scenario};
use twostage::sim::{Live, Records, Simulation, usual_tolerance};
use twostage::solver::Method;

/// Seconds this thread has had of a processor, so that a busy machine does not spoil the figures; where the
/// system does not tell, seconds on the clock.
fn now_s() -> f64 {
    static START: LazyLock<Instant> = LazyLock::new(Instant::now);
    std::fs::read_to_string("/proc/thread-self/schedstat")
        .ok()
        .and_then(|text| text.split_whitespace().next()?.parse::<f64>().ok())
        .map_or_else(|| START.elapsed().as_secs_f64(), |ns| 1e-9 * ns)
}

/// Seconds a job takes.
fn timed(job: impl FnOnce()) -> f64 {
    let begun = now_s();
    job();
    now_s() - begun
}

/// Best time of several calls \[s\].
fn best(times: usize, mut job: impl FnMut()) -> f64 {
    (0..times).map(|_| timed(&mut job)).fold(f64::MAX, f64::min)
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
    let rig = Rig::standard(
        vec![container],
        vec![presets::appliance(Kind::OnDemandHeater)],
    );
    let site = Site::calm(warm_k, 0.0);
    Scenario {
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
        ..Scenario::at_rest("Load step", rig, site, 0.6, warm_k)
    }
}

/// Time to run a started scenario to its end by an engine \[s\], the mean of so many runs (the system counts in
/// ticks of some milliseconds), and steps taken.
fn run(scenario: &Arc<Scenario>, method: Method, times: usize) -> (f64, u64) {
    let mut steps = 0;
    let mut sum = 0.0;
    for _ in 0..times {
        // Settling is no part of the job.
        let mut sim = Simulation::start(
            scenario.clone(),
            Method::Stiff,
            usual_tolerance(Method::Stiff),
        )
        .expect("starts");
        if method != Method::Stiff {
            let moment = sim.moment().clone();
            sim = Simulation::start(scenario.clone(), method, usual_tolerance(method))
                .expect("starts");
            sim.go_back_to(&moment);
        }
        let before = sim.work().steps;
        sum += timed(|| {
            sim.advance(scenario.run.duration_s, None, &mut |_| {})
                .expect("runs");
        });
        steps = sim.work().steps - before;
    }
    (sum / times as f64, steps)
}

fn one_evaluation() {
    let scenario = Arc::new(shipped("frosty_night"));
    let sim =
        Simulation::start(scenario, Method::Stiff, usual_tolerance(Method::Stiff)).expect("starts");
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
    let (stiff, stiff_steps) = run(&step, Method::Stiff, 100);
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
        let mut records = Records::default();
        let mut live = Live::start(evening.clone(), &mut records).expect("starts");
        if broken {
            live.act(
                &Action::Inject {
                    fault: twostage::fault::Fault::named("second_vent_blocked").expect("a fault"),
                    severity: 0.7,
                    over_s: 0.0,
                },
                &mut records,
            )
            .expect("acts");
        }
        let share = timed(|| {
            let mut t = 0.0;
            while t < seconds {
                t += tick;
                live.advance(t, &mut records).expect("plays");
            }
        }) / seconds;
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
