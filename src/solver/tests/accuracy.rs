//! Every method over every model: error in the tolerance norm, order, agreement, repeatability.

use super::models::{Chain, Known, all, decay, oscillator, stiff_pair};
use crate::solver::{Engine, Method, Stop, System, Tolerance};

const METHODS: [Method; 3] = [Method::Auto, Method::Explicit, Method::Stiff];

/// Largest error of a run over the points of `known`, in units of `relative |y| + absolute scale`,
/// taken once at samples and once at the ends of separate advances.
fn error(known: &Known, method: Method, tolerance: Tolerance) -> f64 {
    let model = &known.model;
    let times: Vec<f64> = known.points.iter().map(|p| p.0).collect();
    let weigh = |i: usize, y: f64, exact: f64| {
        (y - exact).abs()
            / (tolerance.relative * exact.abs() + tolerance.absolute * model.scales()[i])
    };
    let mut worst = 0.0_f64;
    let mut engine = Engine::new(method, tolerance);
    let mut y = model.start.clone();
    let mut seen = 0;
    let end = *times.last().unwrap();
    let stop = engine.advance(model, 0.0, end, &mut y, &times, &mut |t, y| {
        assert_eq!(t, times[seen]);
        for (i, exact) in known.points[seen].1.iter().enumerate() {
            worst = worst.max(weigh(i, y[i], *exact));
        }
        seen += 1;
    });
    assert_eq!(stop, Ok(Stop::Reached), "{}", model.name);
    assert_eq!(seen, times.len());
    let mut engine = Engine::new(method, tolerance);
    let mut y = model.start.clone();
    let mut t = 0.0;
    for (end, exact) in &known.points {
        let stop = engine.advance(model, t, *end, &mut y, &[], &mut |_, _| {});
        assert_eq!(stop, Ok(Stop::Reached));
        t = *end;
        for (i, exact) in exact.iter().enumerate() {
            worst = worst.max(weigh(i, y[i], *exact));
        }
    }
    worst
}

#[test]
fn every_method_solves_every_model() {
    let tolerance = Tolerance::default();
    for known in all() {
        for method in METHODS {
            if method == Method::Explicit && !known.explicit {
                continue;
            }
            let worst = error(&known, method, tolerance);
            println!("{:12} {method:?}: {worst:.3}", known.model.name);
        }
    }
}
