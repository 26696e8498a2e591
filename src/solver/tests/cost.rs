//! Work done on a system of the size and stiffness of a rig.

use super::models::Chain;
use crate::solver::{Engine, Method, Stop, Tolerance};

/// Not a check: prints cost figures. Run with `--ignored --nocapture`.
#[test]
#[ignore = "prints times, checks nothing"]
fn print_costs() {
    use std::time::Instant;
    // 12 h night with 1000 events.
    let mut reference = Vec::new();
    for tolerance in [1e-9, 1e-4, 1e-5, 1e-6, 1e-7] {
        let tolerance = Tolerance {
            relative: tolerance,
            absolute: tolerance * 1e-2,
        };
        let mut engine = Engine::new(Method::Stiff, tolerance);
        let mut y = Chain::start();
        let began = Instant::now();
        let mut t = 0.0;
        let mut worst = 0.0_f64;
        for i in 0..1000 {
            let chain = Chain::new(f64::from(i % 2));
            engine.restart();
            assert_eq!(
                engine.advance(&chain, t, t + 43.2, &mut y, &[], &mut |_, _| {}),
                Ok(Stop::Reached)
            );
            t += 43.2;
            if tolerance.relative < 1e-8 {
                reference.push(y.clone());
            }
            for j in 0..25 {
                worst = worst.max(
                    (y[j] - reference[i as usize][j]).abs()
                        / (reference[i as usize][j].abs()
                            + 1e-2 * crate::solver::System::scales(&chain)[j]),
                );
            }
        }
        println!(
            "night {:?}: {:?} {:?} worst {worst:.2e}",
            tolerance.relative,
            began.elapsed(),
            engine.work()
        );
    }
    for (from, span) in [
        (0.0, 0.016),
        (0.0, 0.1),
        (5.0, 0.016),
        (5.0, 0.1),
        (5.0, 1.0),
        (100.0, 1.0),
        (100.0, 10.0),
    ] {
        for method in [Method::Stiff, Method::Explicit] {
            if method == Method::Explicit && span > 0.1 {
                continue;
            }
            let mut engine = Engine::new(method, Tolerance::default());
            let mut y = Chain::start();
            let chain = Chain::new(1.0);
            engine
                .advance(&chain, -1.0, from, &mut y, &[], &mut |_, _| {})
                .unwrap();
            let chain = Chain::new(0.5);
            engine.restart();
            let before = *engine.work();
            let began = Instant::now();
            for i in 0..100 {
                let t = |i: i32| from + f64::from(i) * span;
                engine
                    .advance(&chain, t(i), t(i + 1), &mut y, &[], &mut |_, _| {})
                    .unwrap();
            }
            println!(
                "100 advances from {from} of {span} s {method:?}: {:?} each, {} steps, {} calls",
                began.elapsed() / 100,
                engine.work().steps - before.steps,
                engine.work().derivative_calls - before.derivative_calls
            );
        }
    }
    let chain = Chain::new(1.0);
    let mut dy = vec![0.0; 25];
    let y = Chain::start();
    let began = Instant::now();
    for _ in 0..100_000 {
        crate::solver::System::derivatives(&chain, 0.0, std::hint::black_box(&y), &mut dy);
    }
    println!("one call {:?}", began.elapsed() / 100_000);
}
