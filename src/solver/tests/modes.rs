//! Linearisation and eigenvalues against matrices with known ones.

use nalgebra::{DMatrix, dmatrix};

use super::models::{Model, oscillator, robertson};
use crate::solver::{Engine, Method, Stop, Tolerance, jacobian, modes};

#[test]
fn the_jacobian_of_a_linear_system_is_its_matrix() {
    let model = oscillator().model;
    let found = jacobian(&model, 0.0, &[0.3, -7.0]);
    let exact = dmatrix![0.0, 1.0; -2500.0, 0.0];
    assert!((found - exact).abs().max() < 1e-6 * 2500.0);
}

#[test]
fn the_jacobian_of_a_nonlinear_system_is_its_derivative() {
    // Robertson's rates, differentiated by hand (derived).
    let model = robertson().model;
    let y = [0.7, 1e-5, 0.3];
    let found = jacobian(&model, 0.0, &y);
    let (a, b, c) = (1e4 * y[2], 1e4 * y[1], 6e7 * y[1]);
    let exact = dmatrix![
        -0.04, a, b;
        0.04, -a - c, -b;
        0.0, c, 0.0
    ];
    for (found, exact) in found.iter().zip(exact.iter()) {
        assert!(
            (found - exact).abs() < 1e-6 * exact.abs().max(1e-2),
            "{found} {exact}"
        );
    }
}

#[test]
fn modes_of_a_damped_oscillator() {
    // Roots of s^2 + 2 z w s + w^2 with w = 2 pi 44 rad/s, z = 0.05 (derived).
    let w = 2.0 * std::f64::consts::PI * 44.0;
    let z = 0.05;
    let found = modes(&dmatrix![0.0, 1.0; -w * w, -2.0 * z * w]);
    assert_eq!(found.len(), 2);
    for (mode, side) in found.iter().zip([1.0, -1.0]) {
        assert!((mode.re + z * w).abs() < 1e-9 * w);
        assert!((mode.im - side * w * (1.0 - z * z).sqrt()).abs() < 1e-9 * w);
    }
}

#[test]
fn modes_are_sorted_and_bad_matrices_have_none() {
    let found = modes(&dmatrix![-5.0, 0.0, 0.0; 0.0, 2.0, 0.0; 0.0, 0.0, -1e5]);
    let real: Vec<f64> = found.iter().map(|m| m.re).collect();
    assert_eq!(real, [2.0, -5.0, -1e5]);
    assert!(modes(&dmatrix![f64::NAN]).is_empty());
    assert!(modes(&DMatrix::zeros(2, 3)).is_empty());
}

/// A body held by a spring and by friction that is viscous up to 1e-7 m/s and then saturates: at
/// rest the slope is that of the steep part, -F/(m v) = -1e7 per s (derived).
#[test]
fn the_jacobian_keeps_to_the_steep_part_of_a_friction_law() {
    let model = Model::new(
        "held",
        &[0.0, 0.0],
        &[1e-3, 0.1],
        Box::new(|_, y, dy| {
            dy[0] = y[1];
            dy[1] = -1e6 * y[0] - (y[1] / 1e-7).clamp(-1.0, 1.0);
        }),
    );
    let found = modes(&jacobian(&model, 0.0, &[0.0, 1e-8]));
    // Roots of s^2 + 1e7 s + 1e6 (derived): near -0.1 and -1e7.
    assert!((found[0].re + 0.1).abs() < 1e-6, "{found:?}");
    assert!((found[1].re + 1e7).abs() < 1.0, "{found:?}");
}

#[test]
fn modes_of_states_of_very_different_size() {
    // diag(-1e-4, -1e5, -3) in units in which the states differ by 1e12 (derived: a change of
    // units does not change eigenvalues), coupled one way.
    let found = modes(&dmatrix![-1e-4, 1e12, 1e6; 0.0, -1e5, 1e8; 0.0, 0.0, -3.0]);
    for (mode, exact) in found.iter().zip([-1e-4, -3.0, -1e5]) {
        assert!((mode.re - exact).abs() < 1e-9 * exact.abs(), "{found:?}");
    }
}

/// A slightly unstable oscillation at 44 Hz must grow as its eigenvalue says in both engines: the
/// damping of the stiff methods must not pass for the rig's.
#[test]
fn a_slow_growth_is_not_damped_away() {
    let w = 2.0 * std::f64::consts::PI * 44.0;
    let growth = 1e-3 * w;
    let model = Model::new(
        "hunting",
        &[1.0, 0.0],
        &[1.0, 300.0],
        Box::new(move |_, y, dy| {
            dy[0] = y[1];
            dy[1] = -w * w * y[0] + 2.0 * growth * y[1];
        }),
    );
    let mode = modes(&jacobian(&model, 0.0, &[0.0, 0.0]))[0];
    assert!((mode.re - growth).abs() < 1e-6 * w);
    for method in [Method::Explicit, Method::Stiff] {
        let mut engine = Engine::new(method, Tolerance::default());
        let mut y = model.start.clone();
        // Forty periods, to a moment at which the phase is that of the start (derived).
        let end = 40.0 * 2.0 * std::f64::consts::PI / mode.im;
        let stop = engine.advance(&model, 0.0, end, &mut y, &[], &mut |_, _| {});
        assert_eq!(stop, Ok(Stop::Reached));
        let found = y[0].ln() / end;
        // To a thousandth of the growth: a damping ratio of 1e-6.
        assert!(
            (found - growth).abs() < 1e-3 * growth,
            "{method:?}: {found} for {growth}"
        );
    }
}
