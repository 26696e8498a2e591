//! What happens when a method cannot go on: the next rung, or an error that says when and what.

use super::models::{Model, oscillator};
use crate::solver::{Engine, Method, SolveError, Stop, Tolerance};

const METHODS: [Method; 3] = [Method::Auto, Method::Explicit, Method::Stiff];

fn run(engine: &mut Engine, model: &Model, end: f64) -> (Result<Stop, SolveError>, Vec<f64>) {
    let mut y = model.start.clone();
    let stop = engine.advance(model, 0.0, end, &mut y, &[], &mut |_, _| {});
    (stop, y)
}

/// A body pushed by 30 sin 20 t N/kg against dry friction of 15 N/kg that is a bare sign function:
/// it slides, stops dead and starts again. No Newton iteration can solve the stop.
fn dry_friction() -> Model {
    Model::new(
        "slider",
        &[0.0, 0.0],
        &[1e-3, 0.1],
        Box::new(|t, y, dy| {
            let push = 30.0 * (20.0 * t).sin();
            dy[0] = y[1];
            dy[1] = push - 15.0 * y[1].signum();
        }),
    )
}

#[test]
fn a_system_without_a_solution_ends_with_an_error_that_says_when() {
    for method in METHODS {
        let mut engine = Engine::new(method, Tolerance::default());
        let (stop, y) = run(&mut engine, &dry_friction(), 1.0);
        let Err(SolveError::Stuck {
            time_s,
            state,
            reason,
        }) = stop
        else {
            panic!("{method:?} {stop:?}");
        };
        assert!((0.0..1.0).contains(&time_s), "{time_s}");
        assert_eq!(state, "slider state 1");
        assert!(!reason.is_empty());
        assert!(y.iter().all(|y| y.is_finite()));
        // Practice: bounds the wait, a few hundred thousand steps at most.
        assert!(engine.work().steps < 500_000, "{:?}", engine.work());
    }
}

/// The same with a steep but smooth friction law, tanh(v / 1e-6 m/s).
#[test]
fn steep_friction_needs_no_ladder() {
    let model = Model::new(
        "slider",
        &[0.0, 0.0],
        &[1e-3, 0.1],
        Box::new(|t, y, dy| {
            dy[0] = y[1];
            dy[1] = 30.0 * (20.0 * t).sin() - 15.0 * (y[1] / 1e-6).tanh();
        }),
    );
    let mut ends = Vec::new();
    for method in [Method::Stiff, Method::Explicit] {
        let mut engine = Engine::new(method, Tolerance::default());
        let (stop, y) = run(&mut engine, &model, 1.0);
        assert_eq!(stop, Ok(Stop::Reached));
        assert_eq!(engine.work().fallbacks, 0);
        ends.push(y);
    }
    // Both engines agree (practice: each stick and slip adds a few tolerances).
    assert!((ends[0][0] - ends[1][0]).abs() < 1e-6, "{ends:?}");
    assert!((ends[0][1] - ends[1][1]).abs() < 1e-5, "{ends:?}");
}

/// y1' = -y1 beside a clock y0' = 1, with rates only where the clock is right to 1e-12 s while
/// t < `until`: no finite difference can be taken there, so no stiff method can start.
fn no_jacobian(until: f64) -> Model {
    Model::new(
        "clocked",
        &[0.0, 1.0],
        &[1.0, 1.0],
        Box::new(move |t, y, dy| {
            let allowed = t >= until || (y[0] - t).abs() < 1e-12;
            dy[0] = 1.0;
            dy[1] = if allowed { -y[1] } else { f64::NAN };
        }),
    )
}

#[test]
fn explicit_ticks_carry_a_run_over_a_spot_where_the_stiff_methods_fail() {
    for (until, fallbacks) in [(0.005, 3..=3), (0.2, 10..=80)] {
        let model = no_jacobian(until);
        let mut engine = Engine::new(Method::Stiff, Tolerance::default());
        let mut y = model.start.clone();
        let samples = [0.001, 0.02, 0.4];
        let mut seen = Vec::new();
        let stop = engine.advance(&model, 0.0, 1.0, &mut y, &samples, &mut |t, y| {
            seen.push((t, y[1]));
        });
        assert_eq!(stop, Ok(Stop::Reached));
        assert!(
            fallbacks.contains(&engine.work().fallbacks),
            "{:?}",
            engine.work()
        );
        assert!(engine.work().explicit_steps > 0);
        assert_eq!(seen.len(), 3);
        for (t, value) in seen.into_iter().chain([(1.0, y[1])]) {
            assert!((value - (-t).exp()).abs() < 2e-5, "{t}: {value}");
        }
    }
}

#[test]
fn a_rate_that_is_not_a_number_names_state_and_time() {
    // Falls at 1 per s from 1 and has no rate below zero: it must end at 1 s.
    let model = Model::new(
        "well",
        &[5.0, 1.0],
        &[1.0, 1.0],
        Box::new(|_, y, dy| {
            dy[0] = -y[0];
            dy[1] = if y[1] >= 0.0 { -1.0 } else { f64::NAN };
        }),
    );
    for method in METHODS {
        let mut engine = Engine::new(method, Tolerance::default());
        let (stop, y) = run(&mut engine, &model, 3.0);
        let Err(SolveError::NonFinite { time_s, state, .. }) = &stop else {
            panic!("{method:?} {stop:?}");
        };
        assert_eq!(state, "well state 1");
        assert!((time_s - 1.0).abs() < 1e-3, "{method:?} {time_s}");
        assert!(y.iter().all(|y| y.is_finite()) && y[1] >= 0.0, "{y:?}");
        let text = stop.unwrap_err().to_string();
        assert!(text.contains("well state 1") && text.contains("simulated time"));
    }
}

#[test]
fn a_trial_outside_the_domain_is_stepped_around() {
    // y' = -sqrt(y) from 1: (1 - t/2)^2, at rest from 2 s on; no rate below zero (derived).
    let model = Model::new(
        "draining",
        &[1.0],
        &[1.0],
        Box::new(|_, y, dy| dy[0] = -y[0].sqrt()),
    );
    for method in METHODS {
        let mut engine = Engine::new(method, Tolerance::default());
        let (stop, y) = run(&mut engine, &model, 1.9);
        assert_eq!(stop, Ok(Stop::Reached));
        assert!((y[0] - 0.0025).abs() < 2e-5, "{method:?} {y:?}");
    }
}

#[test]
fn infinite_starts_and_watches_are_refused() {
    for method in METHODS {
        let mut engine = Engine::new(method, Tolerance::default());
        let model = Model::new(
            "a",
            &[1.0, f64::NAN],
            &[1.0, 1.0],
            Box::new(|_, _, dy| dy.fill(0.0)),
        );
        let (stop, _) = run(&mut engine, &model, 1.0);
        assert!(matches!(&stop, Err(SolveError::NonFinite { state, .. }) if state == "a state 1"));
        let model = Model::new(
            "b",
            &[1.0],
            &[1.0],
            Box::new(|_, _, dy| dy[0] = f64::INFINITY),
        );
        let (stop, y) = run(&mut engine, &model, 1.0);
        assert!(matches!(&stop, Err(SolveError::NonFinite { time_s, .. }) if *time_s == 0.0));
        assert_eq!(y, [1.0]);
        let model = oscillator().model.watching(
            &[crate::solver::Direction::Either],
            Box::new(|t, _, out| out[0] = if t < 0.5 { 1.0 } else { f64::NAN }),
        );
        let (stop, _) = run(&mut engine, &model, 1.0);
        assert!(stop.unwrap_err().to_string().contains("watched quantity 0"));
    }
}

#[test]
fn calls_that_make_no_sense_are_refused_with_a_reason() {
    let model = oscillator().model;
    let mut engine = Engine::default();
    let mut go = |t0: f64, t1: f64, y: &mut [f64]| {
        engine
            .advance(&model, t0, t1, y, &[], &mut |_, _| {})
            .unwrap_err()
            .to_string()
    };
    assert!(go(0.0, 1.0, &mut [1.0]).contains("2 states, the state vector 1"));
    assert!(go(1.0, 0.0, &mut [1.0, 0.0]).contains("from 1 s to 0 s"));
    assert!(go(0.0, f64::NAN, &mut [1.0, 0.0]).contains("finite"));
    engine.tolerance.relative = 0.0;
    let error = engine.advance(&model, 0.0, 1.0, &mut [1.0, 0.0], &[], &mut |_, _| {});
    assert!(error.unwrap_err().to_string().contains("tolerances"));
    let mut model = oscillator().model;
    model.scales[1] = 0.0;
    let error = Engine::default().advance(&model, 0.0, 1.0, &mut [1.0, 0.0], &[], &mut |_, _| {});
    assert!(
        error
            .unwrap_err()
            .to_string()
            .contains("scale of oscillator state 1")
    );
}

#[test]
fn the_cap_on_steps_ends_a_run_that_is_too_long() {
    let model = oscillator().model;
    for method in METHODS {
        let mut engine = Engine::new(method, Tolerance::default());
        engine.step_limit = 300;
        let (stop, _) = run(&mut engine, &model, 1000.0);
        let Err(SolveError::TooManySteps { time_s, limit, .. }) = stop else {
            panic!("{method:?} {stop:?}");
        };
        assert_eq!(limit, 300);
        assert!(time_s > 0.0 && time_s < 10.0);
        assert_eq!(engine.work().steps, 300);
        // The engine is usable afterwards.
        let (stop, y) = run(&mut engine, &model, 0.1);
        assert_eq!(stop, Ok(Stop::Reached));
        assert!((y[0] - 5_f64.cos()).abs() < 1e-3);
    }
}

/// Short spans of a rate of 1e7 1/s, where the explicit method may take steps of 3e-7 s: `Auto` tries it once,
/// then leaves it alone for a second, then tries again.
#[test]
fn auto_leaves_the_explicit_method_alone_where_it_does_not_pay() {
    let model = Model::new(
        "fast",
        &[2.0],
        &[1.0],
        Box::new(|t, y, dy| dy[0] = 1e7 * (t.sin() - y[0])),
    );
    let mut engine = Engine::new(Method::Auto, Tolerance::default());
    let (mut y, span) = (model.start.clone(), 0.015);
    for i in 0..100 {
        let (from, to) = (f64::from(i) * span, f64::from(i + 1) * span);
        let stop = engine.advance(&model, from, to, &mut y, &[], &mut |_, _| {});
        assert_eq!(stop, Ok(Stop::Reached));
        // Derived: the state follows sin t to within a ten-millionth.
        assert!((y[0] - to.sin()).abs() < 1e-5, "{} at {to}", y[0]);
    }
    let work = engine.work();
    assert_eq!(work.fallbacks, 2, "{work:?}");
    assert!(work.explicit_steps > 0, "{work:?}");
}
