//! Counts of the work done on a system of the size and stiffness of a rig: loose snapshots, so
//! that a change that makes a run several times as dear is noticed. All bounds are practice:
//! about one and a half times what was counted when they were written.

use super::models::{Chain, decay, van_der_pol};
use crate::solver::{Engine, Method, Stop, Tolerance, Work};

/// Asserts that `count` is at most `bound` and, so that the bound stays a snapshot, at least a
/// third of it.
fn near(what: &str, count: u64, bound: u64) {
    assert!(count <= bound, "{what}: {count}, snapshot bound {bound}");
    assert!(3 * count >= bound, "{what}: only {count}, tighten {bound}");
}

/// `events` restarts, `span` apart, with the demand switched at each.
fn switched(method: Method, events: u32, span: f64) -> Work {
    let mut engine = Engine::new(method, Tolerance::default());
    let mut y = Chain::start();
    for i in 0..events {
        let chain = Chain::new(f64::from(i % 2));
        let t = f64::from(i) * span;
        engine.restart();
        let stop = engine.advance(&chain, t, t + span, &mut y, &[], &mut |_, _| {});
        assert_eq!(stop, Ok(Stop::Reached));
    }
    *engine.work()
}

#[test]
fn a_night_with_many_events() {
    // A twentieth of 12 h with 1000 switchings: counted 338 steps and 465 calls each. Steps are short, as they aim at a
    // hundredth of what is allowed (a thermostat of a rig asks for it), and cheap: one matrix serves three switchings.
    let work = switched(Method::Stiff, 50, 43.2);
    assert_eq!((work.advances, work.restarts, work.fallbacks), (50, 50, 0));
    near("steps", work.steps, 50 * 500);
    near("calls", work.derivative_calls, 50 * 700);
    near("jacobians", work.jacobians, 26);
    near("factorizations", work.factorizations, 50 * 53);
}

/// Steps to `end` in so many equal advances, with [`Engine::restart`] between them and nothing changed.
fn announced(end: f64, pieces: u32) -> Work {
    let chain = Chain::new(1.0);
    let mut engine = Engine::new(Method::Stiff, Tolerance::default());
    let mut y = Chain::start();
    let at = |i: u32| end * f64::from(i) / f64::from(pieces);
    for i in 0..pieces {
        engine.restart();
        let stop = engine.advance(&chain, at(i), at(i + 1), &mut y, &[], &mut |_, _| {});
        assert_eq!(stop, Ok(Stop::Reached));
    }
    *engine.work()
}

#[test]
fn an_event_that_changes_no_rate_costs_a_few_steps_at_most() {
    let one = announced(4000.0, 1);
    let many = announced(4000.0, 41);
    assert_eq!((many.advances, many.restarts, many.fallbacks), (41, 1, 0));
    // Counted four: one to end on time, the others as the step waits there with growing. A start at first order takes
    // some 300.
    assert!(many.steps <= one.steps + 6 * 40, "{many:?}");
    // And two evaluations where rates are compared.
    assert!(
        many.derivative_calls <= one.derivative_calls + 10 * 40,
        "{many:?}"
    );
}

#[test]
fn a_live_tick_costs_a_step_and_no_matrix() {
    // Settled, then 100 ticks of a 60 Hz window: counted a step and two calls a tick, and no Jacobian.
    let chain = Chain::new(1.0);
    let mut engine = Engine::new(Method::Stiff, Tolerance::default());
    let mut y = Chain::start();
    let stop = engine.advance(&chain, 0.0, 16.0, &mut y, &[], &mut |_, _| {});
    assert_eq!(stop, Ok(Stop::Reached));
    let before = *engine.work();
    for i in 0..100 {
        let at = |i: i32| 16.0 + f64::from(i) / 64.0;
        let stop = engine.advance(&chain, at(i), at(i + 1), &mut y, &[], &mut |_, _| {});
        assert_eq!(stop, Ok(Stop::Reached));
    }
    let work = engine.work();
    assert_eq!(work.restarts, 1);
    near("steps", work.steps - before.steps, 150);
    near(
        "calls",
        work.derivative_calls - before.derivative_calls,
        300,
    );
    assert_eq!(work.jacobians, before.jacobians);
}

#[test]
fn slow_motion_takes_the_explicit_method_and_remembers_its_step() {
    // 100 frames of 0.25 ms.
    let chain = Chain::new(1.0);
    let mut engine = Engine::default();
    let mut y = Chain::start();
    for i in 0..100 {
        let at = |i: i32| f64::from(i) / 4096.0;
        let stop = engine.advance(&chain, at(i), at(i + 1), &mut y, &[], &mut |_, _| {});
        assert_eq!(stop, Ok(Stop::Reached));
    }
    let work = engine.work();
    assert_eq!(work.explicit_steps, work.steps);
    assert_eq!(work.restarts, 1);
    near("steps", work.steps, 350);
    near("calls", work.derivative_calls, 2900);
}

#[test]
fn single_models() {
    for (known, steps, calls) in [(decay(), 170, 200), (van_der_pol(), 2300, 4700)] {
        let model = known.model;
        let mut engine = Engine::new(Method::Stiff, Tolerance::default());
        let mut y = model.start.clone();
        let end = known.points.last().unwrap().0;
        let stop = engine.advance(&model, 0.0, end, &mut y, &[], &mut |_, _| {});
        assert_eq!(stop, Ok(Stop::Reached));
        near(model.name, engine.work().steps, steps);
        near(model.name, engine.work().derivative_calls, calls);
    }
}
