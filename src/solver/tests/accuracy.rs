//! Every method over every model: error in the tolerance norm, order, agreement, repeatability.

use super::models::{Chain, Known, Model, all, decay, oscillator};
use crate::solver::stiff::Rung;
use crate::solver::{Engine, Method, Stop, System, Tolerance, Work};

const METHODS: [Method; 3] = [Method::Auto, Method::Explicit, Method::Stiff];

/// Largest error of a run over the points of `known`, in units of `relative |y| + absolute scale`,
/// taken once at samples and once at the ends of separate advances.
fn error(known: &Known, method: Method, tolerance: Tolerance) -> f64 {
    let model = &known.model;
    let times: Vec<f64> = known.points.iter().map(|p| p.0).collect();
    let weigh = |y: &[f64], exact: &[f64]| {
        (0..exact.len())
            .map(|i| {
                (y[i] - exact[i]).abs()
                    / (tolerance.relative * exact[i].abs() + tolerance.absolute * model.scales[i])
            })
            .fold(0.0_f64, f64::max)
    };
    let mut worst = 0.0_f64;
    let mut engine = Engine::new(method, tolerance);
    let mut y = model.start.clone();
    let mut seen = 0;
    let end = *times.last().unwrap();
    let stop = engine.advance(model, 0.0, end, &mut y, &times, &mut |t, y| {
        assert_eq!(t, times[seen]);
        worst = worst.max(weigh(y, &known.points[seen].1));
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
        worst = worst.max(weigh(&y, exact));
    }
    worst
}

/// Error allowed after a whole run, in units of the error allowed in a step (practice: about twice
/// what was measured; what matters is that it is a small multiple of the tolerance, and that the
/// published figures are met to their digits).
fn allowed(name: &str) -> f64 {
    match name {
        // Two undamped periods, and relative to a cosine that passes near zero.
        "oscillator" => 150.0,
        // Published to 4-5 digits only.
        "Robertson" => 80.0,
        _ => 25.0,
    }
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
            assert!(worst < allowed(known.model.name), "{}", known.model.name);
        }
    }
}

#[test]
fn a_tighter_tolerance_gives_a_smaller_error() {
    // Over three decades of tolerance the error falls by at least two.
    for known in [decay(), oscillator()] {
        for method in [Method::Explicit, Method::Stiff] {
            let at = |relative: f64| {
                let tolerance = Tolerance {
                    relative,
                    absolute: relative * 1e-2,
                };
                relative * error(&known, method, tolerance)
            };
            let (coarse, fine) = (at(1e-5), at(1e-8));
            assert!(fine < 1e-2 * coarse || fine < 1e-11, "{}", known.model.name);
        }
    }
}

/// y0' = 1, y1' = 5 y0^4: an order-5 method integrates it exactly (derived).
#[test]
fn the_explicit_method_integrates_a_fifth_power_exactly() {
    let model = Model::new(
        "power",
        &[0.0, 0.0],
        &[1.0, 1.0],
        Box::new(|_, y, dy| {
            dy[0] = 1.0;
            dy[1] = 5.0 * y[0].powi(4);
        }),
    );
    let mut engine = Engine::new(Method::Explicit, Tolerance::default());
    let mut y = vec![0.0, 0.0];
    let stop = engine.advance(&model, 0.0, 1.5, &mut y, &[], &mut |_, _| {});
    assert_eq!(stop, Ok(Stop::Reached));
    assert!((y[1] - 1.5_f64.powi(5)).abs() < 1e-12, "{y:?}");
    assert!(engine.work().steps < 400, "{:?}", engine.work());
}

/// Samples between steps of the explicit method lie on a cubic, exact for y = t^3 (derived).
#[test]
fn samples_of_the_explicit_method_lie_on_the_cubic() {
    let model = Model::new(
        "cube",
        &[0.0],
        &[1.0],
        Box::new(|t, _, dy| dy[0] = 3.0 * t * t),
    );
    let samples: Vec<f64> = (1..500).map(|i| f64::from(i) * 0.001_37).collect();
    let mut engine = Engine::new(Method::Explicit, Tolerance::default());
    let mut y = vec![0.0];
    let mut seen = 0;
    engine
        .advance(&model, 0.0, 0.7, &mut y, &samples, &mut |t, y| {
            assert!((y[0] - t.powi(3)).abs() < 1e-13, "{t}: {}", y[0]);
            seen += 1;
        })
        .unwrap();
    assert_eq!(seen, samples.len());
}

/// Error of each stiff method at a coarse and a fine tolerance: a method of order p needs
/// 10^(1/(p+1)) times the steps for a tenth of the error in a step, so the growth of the count
/// tells the order (derived for a smooth problem; half an order allowed for start and growth).
#[test]
fn the_stiff_methods_have_their_order() {
    for (rung, order) in [(Rung::TrBdf2, 2.0), (Rung::Esdirk34, 3.0)] {
        let steps = |relative: f64| {
            let known = oscillator();
            let tolerance = Tolerance {
                relative,
                absolute: relative,
            };
            let mut engine = Engine::new(Method::Stiff, tolerance);
            engine.only = Some(rung);
            let mut y = known.model.start.clone();
            engine
                .advance(&known.model, 0.0, 2.0, &mut y, &[], &mut |_, _| {})
                .unwrap();
            engine.work().steps as f64
        };
        let growth = (steps(1e-8) / steps(1e-5)).log10() / 3.0;
        let found = 1.0 / growth - 1.0;
        assert!((found - order).abs() < 0.5, "{rung:?}: {found}");
    }
}

/// Largest difference between two states in units of their tolerance.
fn distance(system: &dyn System, tolerance: Tolerance, a: &[f64], b: &[f64]) -> f64 {
    (0..a.len())
        .map(|i| {
            let allowed = tolerance.relative * b[i].abs() + tolerance.absolute * system.scales()[i];
            (a[i] - b[i]).abs() / allowed
        })
        .fold(0.0_f64, f64::max)
}

/// Runs the chain to `end` in `pieces` equal advances.
fn chain_run(method: Method, tolerance: Tolerance, end: f64, pieces: u32) -> (Vec<f64>, Work) {
    let chain = Chain::new(1.0);
    let mut engine = Engine::new(method, tolerance);
    let mut y = Chain::start();
    let at = |i: u32| end * f64::from(i) / f64::from(pieces);
    for i in 0..pieces {
        let stop = engine.advance(&chain, at(i), at(i + 1), &mut y, &[], &mut |_, _| {});
        assert_eq!(stop, Ok(Stop::Reached));
    }
    (y, *engine.work())
}

/// States that hang on a small difference of large ones weigh the same tolerance more: a looser
/// absolute share keeps the comparison about the solution.
fn rig_tolerance(relative: f64) -> Tolerance {
    Tolerance {
        relative,
        absolute: relative * 1e-1,
    }
}

#[test]
fn explicit_and_stiff_agree_on_a_system_like_a_rig() {
    let tolerance = rig_tolerance(1e-6);
    for end in [0.01, 0.3, 2.0] {
        let (explicit, _) = chain_run(Method::Explicit, tolerance, end, 1);
        let (stiff, _) = chain_run(Method::Stiff, tolerance, end, 1);
        let apart = distance(&Chain::new(1.0), tolerance, &stiff, &explicit);
        assert!(apart < 50.0, "{end} s: {apart}");
    }
}

#[test]
fn many_short_advances_equal_a_long_one() {
    let tolerance = rig_tolerance(1e-6);
    let (exact, _) = chain_run(Method::Stiff, rig_tolerance(1e-9), 4.0, 1);
    for method in [Method::Auto, Method::Stiff] {
        for pieces in [1, 7, 250, 4000] {
            let (y, work) = chain_run(method, tolerance, 4.0, pieces);
            let apart = distance(&Chain::new(1.0), tolerance, &y, &exact);
            assert!(apart < 50.0, "{method:?} in {pieces}: {apart}");
            assert_eq!((work.restarts, work.fallbacks), (1, 0));
        }
    }
}

#[test]
fn the_same_run_gives_the_same_bytes() {
    for method in METHODS {
        let bits = |_| -> (Vec<u64>, Work) {
            let (y, work) = chain_run(method, Tolerance::default(), 0.2, 3);
            (y.iter().map(|y| y.to_bits()).collect(), work)
        };
        assert_eq!(bits(0), bits(1));
    }
}

#[test]
fn the_start_time_does_not_matter_to_a_system_without_a_clock() {
    let chain = Chain::new(1.0);
    let run = |start: f64| {
        let mut engine = Engine::default();
        let mut y = Chain::start();
        engine
            .advance(&chain, start, start + 4.0, &mut y, &[], &mut |_, _| {})
            .unwrap();
        y
    };
    // 65536 is a power of two: the span comes out the same to the last bit.
    assert_eq!(run(0.0), run(65_536.0));
}

#[test]
fn an_observer_sees_every_accepted_step() {
    struct Steps(Vec<f64>, usize);
    impl crate::solver::Observer for Steps {
        fn sample(&mut self, _t: f64, _y: &[f64]) {
            self.1 += 1;
        }
        fn step(&mut self, t: f64, y: &[f64]) {
            assert!(y.iter().all(|y| y.is_finite()));
            self.0.push(t);
        }
    }
    for method in METHODS {
        let model = oscillator().model;
        let mut engine = Engine::new(method, Tolerance::default());
        let mut y = model.start.clone();
        let mut steps = Steps(Vec::new(), 0);
        let samples = [-1.0, 0.0, 0.05, 0.1, 0.2];
        engine
            .advance_observed(&model, 0.0, 0.1, &mut y, &samples, &mut steps)
            .unwrap();
        assert_eq!(steps.0.len() as u64, engine.work().steps);
        assert!(steps.0.windows(2).all(|w| w[0] < w[1]));
        assert_eq!(steps.0.last(), Some(&0.1));
        assert_eq!(steps.1, 2, "samples after the start and up to the end");
    }
}

#[test]
fn spans_of_any_length_are_covered() {
    for method in METHODS {
        let model = decay().model;
        let mut engine = Engine::new(method, Tolerance::default());
        let (mut t, mut y) = (0.0, model.start.clone());
        for span in [
            0.0, 1e-300, 1e-16, 1e-12, 1e-9, 1e-6, 1e-3, 0.1, 1e-13, 1e-11, 0.4,
        ] {
            let stop = engine.advance(&model, t, t + span, &mut y, &[], &mut |_, _| {});
            assert_eq!(stop, Ok(Stop::Reached), "{method:?} {span}");
            t += span;
            assert!(
                (y[0] - (-2.0 * t).exp()).abs() < 1e-5,
                "{method:?} {span} {y:?}"
            );
        }
    }
}
