//! Sums of states that the system keeps constant stay constant, by every method.

use super::models::Model;
use crate::solver::{Engine, Method, Stop, Tolerance};

/// A store, four small volumes and a tally of what was burned, amounts in mol: 200 mol in the
/// store, millimoles in the volumes, time constants from 1e-5 s to hours, square-root flow laws, a
/// valve that closes at 5 s. The sum of all amounts is constant (derived: every flow leaves one
/// state and enters another).
fn closed_system() -> Model {
    let capacity = [40.0, 1e-3, 5e-4, 2e-3, 1e-2];
    let openings = [2e-3, 5.0, 0.3, 40.0];
    let start = [200.0, 4e-3, 1e-3, 3e-3, 1e-2, 0.0];
    Model::new(
        "closed",
        &start,
        &[100.0, 1e-3, 1e-3, 1e-3, 1e-2, 1.0],
        Box::new(move |t, y, dy| {
            dy.fill(0.0);
            for i in 0..4 {
                let drop = y[i] / capacity[i] - y[i + 1] / capacity[i + 1];
                let flow = openings[i] * drop / (1e-4 + drop.abs()).sqrt();
                dy[i] -= flow;
                dy[i + 1] += flow;
            }
            let valve = if t < 5.0 { 0.01 } else { 0.002 };
            let burned = valve * (y[4] / capacity[4]).max(0.0).sqrt();
            dy[4] -= burned;
            dy[5] += burned;
        }),
    )
}

fn drift(method: Method, tolerance: Tolerance, end: f64) -> (f64, f64, f64) {
    let model = closed_system();
    let total: f64 = model.start.iter().sum();
    let mut engine = Engine::new(method, tolerance);
    let mut y = model.start.clone();
    let mut worst = 0.0_f64;
    for i in 0..20 {
        let t = f64::from(i) / 20.0 * end;
        let stop = engine.advance(
            &model,
            t,
            f64::from(i + 1) / 20.0 * end,
            &mut y,
            &[],
            &mut |_, _| {},
        );
        assert_eq!(stop, Ok(Stop::Reached));
        worst = worst.max((y.iter().sum::<f64>() - total).abs());
    }
    let rounding = f64::EPSILON * total * 2.0 * (engine.work().steps as f64).sqrt();
    (worst, y[5], rounding)
}

#[test]
fn amounts_are_kept() {
    for (method, end) in [
        (Method::Explicit, 0.2),
        (Method::Stiff, 0.4),
        (Method::Stiff, 20.0),
        (Method::Stiff, 4000.0),
    ] {
        let (worst, drawn, rounding) = drift(method, Tolerance::default(), end);
        assert!(
            worst < 1e-9 * drawn + rounding,
            "{method:?} over {end} s: {worst} of {drawn} mol, rounding {rounding}"
        );
    }
}
