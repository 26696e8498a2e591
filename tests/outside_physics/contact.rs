//! Contact and friction against exact results of simple machines, integrated here by Runge-Kutta.

use super::common::{Check, Grade, Tolerance, assert_worst};
use twostage::physics::contact::{
    Bristle, bristle_rate, contact_force_n, friction_force_n, seal_leak_area,
};

/// One step of the classical Runge-Kutta method.
fn step<const N: usize>(y: [f64; N], h: f64, f: impl Fn(&[f64; N]) -> [f64; N]) -> [f64; N] {
    let add = |a: &[f64; N], b: &[f64; N], s: f64| std::array::from_fn(|i| a[i] + s * b[i]);
    let k1 = f(&y);
    let k2 = f(&add(&y, &k1, 0.5 * h));
    let k3 = f(&add(&y, &k2, 0.5 * h));
    let k4 = f(&add(&y, &k3, h));
    std::array::from_fn(|i| y[i] + h / 6.0 * (k1[i] + 2.0 * k2[i] + 2.0 * k3[i] + k4[i]))
}

/// Speed out over speed in of a mass that bounces off the contact.
fn restitution(damping_times_speed: f64, stiffness: f64, mass_kg: f64) -> f64 {
    let speed_in = 0.7;
    let damping = damping_times_speed / speed_in;
    let force = |y: &[f64; 2]| contact_force_n(y[0], y[1], stiffness, damping);
    let mut y = [0.0, speed_in];
    let h = 1e-5 * (mass_kg / stiffness).sqrt().min(1.0);
    let mut last = y;
    for _ in 0..4_000_000 {
        last = y;
        y = step(y, h, |y| [y[1], -force(y) / mass_kg]);
        if y[0] <= 0.0 {
            break;
        }
    }
    assert!(y[0] <= 0.0, "it never came back");
    // Speed where the depth crosses zero, on a straight line.
    let share = last[0] / (last[0] - y[0]);
    -(last[1] + share * (y[1] - last[1])) / speed_in
}

#[test]
fn hunt_crossley_restitution() {
    // Derived: exact, for any stiffness and mass.
    for (product, expected) in [(0.1, 0.937_476), (0.3, 0.832_870), (1.0, 0.593_624)] {
        for (stiffness, mass) in [(400.0, 0.06), (3e5, 0.03)] {
            let id = format!("contact.restitution_{product}_mass_{mass}");
            Check {
                id: &id,
                what: "Hunt-Crossley restitution at a v",
                source: "energy integral of the contact law",
                grade: Grade::Derived,
                unit: "1",
                tolerance: Tolerance::Absolute(2e-5),
                expected,
                got: restitution(product, stiffness, mass),
            }
            .assert();
        }
    }
}

#[test]
fn contact_never_pulls_and_starts_at_zero() {
    assert_eq!(contact_force_n(0.0, 1.0, 1e5, 10.0), 0.0);
    assert_eq!(contact_force_n(-1e-6, -1.0, 1e5, 10.0), 0.0);
    assert_eq!(contact_force_n(1e-5, -5.0, 1e5, 10.0), 0.0);
    assert!(contact_force_n(1e-5, 0.0, 1e5, 10.0) > 0.0);
}

/// Peaks of a mass on a spring with bristle friction, let go at `start_m`.
fn peaks(law: &Bristle, start_m: f64, stiffness: f64, mass_kg: f64, seconds: f64) -> Vec<f64> {
    let h = 2e-6;
    let mut y = [start_m, 0.0, 0.0];
    let mut found = vec![start_m];
    for _ in 0..(seconds / h) as usize {
        let next = step(y, h, |y| {
            let rate = bristle_rate(law, y[2], y[1]);
            let friction = friction_force_n(law, y[2], rate);
            [y[1], (-stiffness * y[0] - friction) / mass_kg, rate]
        });
        if y[1] > 0.0 && next[1] <= 0.0 {
            found.push(next[0]);
        }
        y = next;
    }
    found
}

#[test]
fn coulomb_damped_oscillation_loses_four_f_over_k_a_cycle() {
    // Derived: exact for Coulomb friction; the bristle is 2000 times stiffer than the spring.
    let law = Bristle {
        coulomb_n: 1.0,
        static_ratio: 1.0,
        stribeck_m_per_s: 0.0,
        stiffness_n_per_m: 2e5,
        damping_n_s_per_m: 0.0,
        creep_m_per_s: 0.0,
    };
    let stiffness = 100.0;
    let found = peaks(&law, 0.3, stiffness, 1.0, 2.0);
    assert!(found.len() >= 4, "{found:?}");
    let expected = 4.0 * law.coulomb_n / stiffness;
    let check = Check {
        id: "contact.coulomb_decay",
        what: "amplitude lost in a cycle of a mass on a spring with friction",
        source: "4 F/k, Coulomb friction",
        grade: Grade::Derived,
        unit: "m",
        tolerance: Tolerance::Relative(0.001),
        expected,
        got: 0.0,
    };
    let cycles = found.windows(2).take(3).enumerate();
    assert_worst(
        &check,
        cycles.map(|(i, pair)| (format!("cycle {}", i + 1), expected, pair[0] - pair[1])),
    );
}

#[test]
fn friction_sticks_under_a_steady_load() {
    // A mass pushed with 90 % of breakaway moves by the bend of the bristle and then stays for ever.
    let law = Bristle {
        coulomb_n: 0.02,
        static_ratio: 1.0,
        stribeck_m_per_s: 0.0,
        stiffness_n_per_m: 4e3,
        damping_n_s_per_m: 5.0,
        creep_m_per_s: 0.0,
    };
    let mass = 0.06;
    let push = 0.9 * law.coulomb_n;
    let run = |from: [f64; 3], seconds: f64| {
        let h = 1e-4;
        (0..(seconds / h) as usize).fold(from, |y, _| {
            step(y, h, |y| {
                let rate = bristle_rate(&law, y[2], y[1]);
                let friction = friction_force_n(&law, y[2], rate);
                [y[1], (push - friction) / mass, rate]
            })
        })
    };
    let early = run([0.0; 3], 2.0);
    let late = run(early, 60.0);
    assert!((late[0] - early[0]).abs() < 1e-12, "{early:?} {late:?}");
    assert!(late[0] < 1e-4);
    assert!((law.stiffness_n_per_m * late[2] - push).abs() < 1e-9);
}

#[test]
fn static_friction_is_higher_than_sliding() {
    let law = Bristle {
        coulomb_n: 2.0,
        static_ratio: 1.5,
        stribeck_m_per_s: 1e-3,
        stiffness_n_per_m: 1e5,
        damping_n_s_per_m: 0.0,
        creep_m_per_s: 0.0,
    };
    // Dragged slowly, the bristle holds 1.5 times as much as dragged fast (steady state: exact).
    for (speed, expected) in [(1e-6, 3.0), (0.1, 2.0)] {
        let h = 1e-3 * law.sliding_bend_m(speed) / speed;
        let bend = (0..40_000).fold([0.0], |z, _| {
            step(z, h, |z| [bristle_rate(&law, z[0], speed)])
        });
        let force = friction_force_n(&law, bend[0], bristle_rate(&law, bend[0], speed));
        assert!((force - expected).abs() < 1e-4, "{speed}: {force}");
    }
    // None at all without friction.
    let none = Bristle {
        coulomb_n: 0.0,
        ..law
    };
    assert_eq!(bristle_rate(&none, 1e-6, 1.0), 0.0);
    assert_eq!(friction_force_n(&none, 1e-6, 1.0), 0.0);
}

#[test]
fn a_pressed_seat_is_exactly_tight() {
    assert_eq!(seal_leak_area(1.0, 1.0, 2e-8), 0.0);
    assert_eq!(seal_leak_area(5.0, 1.0, 2e-8), 0.0);
    assert_eq!(seal_leak_area(0.0, 1.0, 2e-8), 2e-8);
    assert!((seal_leak_area(0.5, 1.0, 2e-8) - 0.5e-8).abs() < 1e-20);
}
