//! Contact and friction: smooth one-sided parts, elastomer contact, bristle friction, seal leak.
//!
//! Every smoothing here reaches exactly zero (or exactly its asymptote) at a finite distance:
//! a "closed" seat that kept a millionth of its area would leak for ever.

/// Positive part max(0, x) with a C1 parabola over `-half_width < x < half_width`.
///
/// Exactly 0 at and below `-half_width`, exactly `x` at and above `half_width`,
/// (x + h)^2 / (4 h) between; at x = 0 it is h/4. A `half_width` of zero or less gives the
/// sharp max(0, x).
pub fn positive_part(x: f64, half_width: f64) -> f64 {
    if x <= -half_width {
        0.0
    } else if x >= half_width {
        x.max(0.0)
    } else {
        let s = x + half_width;
        s * s / (4.0 * half_width)
    }
}

/// Slope of [`positive_part`] with respect to `x`: 0 to 1.
pub fn positive_part_slope(x: f64, half_width: f64) -> f64 {
    if x <= -half_width {
        0.0
    } else if x >= half_width {
        1.0
    } else {
        (x + half_width) / (2.0 * half_width)
    }
}

/// `x` held between `low` and `high`, each corner rounded by a C1 parabola of `half_width`.
///
/// Needs `high - low >= 2 half_width` to reach both ends.
pub fn smooth_clamp(x: f64, low: f64, high: f64, half_width: f64) -> f64 {
    if x >= high + half_width {
        return high; // exactly: the difference below leaves rounding
    }
    low + positive_part(x - low, half_width) - positive_part(x - high, half_width)
}

/// Smooth step: 0 at and below `from`, 1 at and above `to`, 3 s^2 - 2 s^3 between (C1).
///
/// `from < to`; with `from >= to` it is the sharp step at `from`.
pub fn smoothstep(x: f64, from: f64, to: f64) -> f64 {
    if x <= from {
        0.0
    } else if x >= to {
        1.0
    } else {
        let s = (x - from) / (to - from);
        s * s * (3.0 - 2.0 * s)
    }
}

/// Hunt-Crossley contact force of a linear elastomer, N: F = k d (1 + a d').
///
/// * `depth_m` d: squeeze, m; no force at or below 0.
/// * `depth_rate_m_per_s` d': rate of squeeze, m/s, positive while going in.
/// * `stiffness_n_per_m` k, N/m; `damping_s_per_m` a, s/m.
///
/// The damping vanishes at touch, so there is no jump on impact; the force is never tensile.
/// Source: Hunt and Crossley 1975 (published), exponent 1.
pub fn contact_force_n(
    depth_m: f64,
    depth_rate_m_per_s: f64,
    stiffness_n_per_m: f64,
    damping_s_per_m: f64,
) -> f64 {
    if depth_m <= 0.0 {
        return 0.0;
    }
    stiffness_n_per_m * depth_m * (1.0 + damping_s_per_m * depth_rate_m_per_s).max(0.0)
}

/// Leak area of a seat pressed by `seat_force_n`, m2: `A max(0, 1 - F/F_seal)^2`.
///
/// * `seal_force_n` `F_seal`: force at which the seat is tight, N; from there on exactly zero.
/// * `leak_area_m2` A: area left at touch, m2.
///
/// Closing pressure of an elastomer seat as one number: our own law (no source), C1.
pub fn seal_leak_area(seat_force_n: f64, seal_force_n: f64, leak_area_m2: f64) -> f64 {
    if seal_force_n <= 0.0 {
        return if seat_force_n > 0.0 {
            0.0
        } else {
            leak_area_m2
        };
    }
    let open = (1.0 - seat_force_n.max(0.0) / seal_force_n).max(0.0);
    leak_area_m2 * open * open
}

/// Dry friction as an elastic bristle (Dahl / `LuGre`): it sticks, creeps nowhere at rest and slides at
/// its Coulomb force.
///
/// State z (m) is the bend of the bristle: z' = v - |v| z / `z_g(v)`, F = `sigma0` z + `sigma1` z'.
/// Sources: Dahl 1968; Canudas de Wit et al. 1995 (published).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bristle {
    /// Coulomb (sliding) friction, N. Zero switches friction off.
    pub coulomb_n: f64,
    /// Static over sliding friction, at least 1. Exactly 1 is the Dahl law: no stick-slip.
    pub static_ratio: f64,
    /// Speed over which static falls to sliding friction (Stribeck), m/s.
    pub stribeck_m_per_s: f64,
    /// Bristle stiffness sigma0, N/m.
    pub stiffness_n_per_m: f64,
    /// Bristle damping sigma1, N s/m.
    pub damping_n_s_per_m: f64,
    /// Speed at which a bristle at rest lets go, m/s: |v| in the law is sqrt(v^2 + creep^2). The
    /// bend then fades with the time constant `z_g`/creep, and the law is smooth where a slow
    /// drift changes its direction. Zero is the plain law, which no integrator likes there.
    pub creep_m_per_s: f64,
}

impl Bristle {
    /// Friction at a steady speed, N, at least the sliding friction.
    pub fn steady_friction_n(&self, speed_m_per_s: f64) -> f64 {
        if self.static_ratio <= 1.0 || self.stribeck_m_per_s <= 0.0 {
            return self.coulomb_n;
        }
        let s = speed_m_per_s / self.stribeck_m_per_s;
        self.coulomb_n * (1.0 + (self.static_ratio - 1.0) * (-s * s).exp())
    }

    /// Bend `z_g` at which the bristle slides at this speed, m.
    pub fn sliding_bend_m(&self, speed_m_per_s: f64) -> f64 {
        self.steady_friction_n(speed_m_per_s) / self.stiffness_n_per_m
    }
}

/// Rate of the bristle's bend, m/s: z' = v - |v| z / `z_g(v)`.
///
/// Without friction (`coulomb_n` 0) or stiffness the bend follows nothing: the rate is 0.
pub fn bristle_rate(law: &Bristle, bend_m: f64, speed_m_per_s: f64) -> f64 {
    if law.coulomb_n <= 0.0 || law.stiffness_n_per_m <= 0.0 {
        return 0.0;
    }
    let creep = law.creep_m_per_s;
    let felt_m_per_s = (speed_m_per_s * speed_m_per_s + creep * creep).sqrt();
    speed_m_per_s - felt_m_per_s * bend_m / law.sliding_bend_m(speed_m_per_s)
}

/// Friction force against the motion, N: F = `sigma0` z + `sigma1` z' (subtract it from the drive), from the bend z and
/// its rate z' ([`bristle_rate`]).
pub fn friction_force_n(law: &Bristle, bend_m: f64, rate_m_per_s: f64) -> f64 {
    if law.coulomb_n <= 0.0 {
        return 0.0;
    }
    law.stiffness_n_per_m * bend_m + law.damping_n_s_per_m * rate_m_per_s
}
