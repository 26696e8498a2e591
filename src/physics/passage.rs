//! Compressible passages at container pressure: valve, bleed, kink, hose. One law for all of them, which
//! chokes, and two of them in series. Not here: the isentropic nozzle of a seat ([`super::flow`]).
//!
//! **The law.** With x = 1 - `p_down`/`p_up`, a passage lets through
//!
//! w² = 2 rho `p_up` S² (x - x²/(2 `x_c`)) up to x = `x_c`, and no more beyond it,
//!
//! S the effective area (area over the root of the loss coefficient), rho the density upstream. It is the
//! incompressible law for small x; the bracket is what the gas loses by expanding on its way. One number,
//! `x_c`, says how early a passage chokes. As a function of x the law is within 1.1 % of Fanno's, 0.6 % of the
//! isentropic nozzle's, 2 % of IEC 60534 and of Jobson's thin holes, each at its own `x_c`, which is twice the
//! square of its choked flow over that of S, so that the choked flow itself is exact.

use super::flow::{LAMINAR_END_DIAMETERS, circle_area_m2, restriction_kg_per_s};
use std::f64::consts::PI;

/// Ratio of heats of propane, at which the `x_c` of pipes were fitted.
const GAMMA: f64 = 1.13;

/// Velocity heads lost at both ends of a pipe that joins two vessels: entrance 0.5, exit 1.
pub const PIPE_ENDS: f64 = 1.5;

/// A passage as the law sees it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Passage {
    /// Square of the effective area S, m4.
    square_m4: f64,
    /// Drop over upstream pressure at which it chokes (of the law's parabola).
    choke: f64,
    /// Laminar part: dp = this times kinematic viscosity times mass flow, 1/m3.
    laminar_per_m3: f64,
}

impl Passage {
    /// A seat, needle or drilled hole of free area `area_m2`, discharge coefficient 0.7 at small differences.
    ///
    /// IEC 60534: Y = 1 - x/(3 `F_g` `x_T`), choked at x = `F_g` `x_T` with Y = 2/3, `F_g` = g/1.4 (published); `x_T` = 0.7 for
    /// a globe-like seat (memory: 0.65 to 0.75).
    pub fn valve(area_m2: f64, gamma: f64) -> Self {
        const X_T: f64 = 0.7;
        Self::hole(area_m2, 0.7, 8.0 / 9.0 * X_T * gamma / 1.4)
    }

    /// A thin sharp hole: discharge coefficient 0.61 at small differences, and the jet still swells below the
    /// critical ratio, to 0.86 of the nozzle's flow into a vacuum (Jobson 1955, memory).
    pub fn sharp_hole(area_m2: f64) -> Self {
        Self::hole(area_m2, 0.61, 0.8)
    }

    fn hole(area_m2: f64, discharge: f64, choke: f64) -> Self {
        let area_m2 = area_m2.max(0.0);
        let effective_m2 = discharge * area_m2;
        // Sampson's end effect (published): LAMINAR_END_DIAMETERS of Poiseuille pipe.
        let laminar = 8.0 * PI * LAMINAR_END_DIAMETERS * 2.0 / PI.sqrt();
        Self {
            square_m4: effective_m2 * effective_m2,
            choke,
            laminar_per_m3: laminar / (area_m2 * area_m2.sqrt()).max(f64::MIN_POSITIVE),
        }
    }

    /// A round pipe or hose: adiabatic flow with friction (Fanno, published) behind an entrance that loses half
    /// a velocity head.
    ///
    /// * `bore_m`, `length_m`; `friction` f (Darcy), constant; `ends` velocity heads lost at its ends,
    ///   [`PIPE_ENDS`].
    ///
    /// `x_c` = 1 - (0.5437 + 0.03367 K)/(1 + 0.2320 K + 0.005545 K²), K = f L/D: fitted to Fanno's choked flow within 0.8 % (0.4 % of
    /// the flow) for K from 0.01 to 2000 and g = 1.13; other g by the root of 1.13/g, within 0.5 % from 1.05 to 1.4.
    pub fn pipe(bore_m: f64, length_m: f64, friction: f64, ends: f64, gamma: f64) -> Self {
        let area_m2 = circle_area_m2(bore_m);
        let k = friction * length_m / bore_m;
        let square_m4 = area_m2 * area_m2;
        let left = (0.5437 + 0.033_67 * k) / (1.0 + k * (0.2320 + 0.005_545 * k));
        // The root of 1.13/g, to a part in a thousand.
        let root = (3.0 * GAMMA + gamma) / (GAMMA + 3.0 * gamma);
        Self {
            square_m4: square_m4 / (k + ends),
            choke: 1.0 - left * root,
            laminar_per_m3: 8.0 * PI * length_m / square_m4,
        }
    }

    /// The same passage with a sharp bend or gap in it that loses so many velocity heads of `area_m2`: it chokes
    /// as the passage does.
    #[must_use]
    pub fn with_loss(self, heads: f64, area_m2: f64) -> Self {
        let lost = heads.max(0.0) * self.square_m4 / (area_m2 * area_m2);
        Self {
            square_m4: self.square_m4 / (1.0 + lost),
            ..self
        }
    }

    /// Two passages that choke alike, close behind each other, as one.
    #[must_use]
    pub fn with(self, other: Self) -> Self {
        let sum = self.square_m4 + other.square_m4;
        Self {
            square_m4: if sum > 0.0 {
                self.square_m4 * other.square_m4 / sum
            } else {
                0.0
            },
            choke: self.choke,
            laminar_per_m3: self.laminar_per_m3 + other.laminar_per_m3,
        }
    }

    /// Flow over the root of 2 rho `p_up` at a drop `x` (share of the upstream pressure), squared, m4.
    fn square_at(&self, x: f64) -> f64 {
        let x = x.min(self.choke);
        self.square_m4 * x * (1.0 - 0.5 * x / self.choke)
    }

    /// Mass flow to a back pressure, kg/s; if that is the higher one the flow is negative and the same gas is
    /// taken at that pressure.
    pub fn kg_per_s(&self, up: &Gas, down_pa: f64) -> f64 {
        let (high_pa, low_pa) = (up.pressure_pa.max(down_pa), up.pressure_pa.min(down_pa));
        if up.pressure_pa <= 0.0 || self.square_m4 <= 0.0 {
            return 0.0;
        }
        let high = Gas {
            pressure_pa: high_pa,
            density_kg_per_m3: up.density_kg_per_m3 * high_pa / up.pressure_pa,
            ..*up
        };
        let square = self.square_at(1.0 - low_pa.max(0.0) / high_pa);
        let flow = high.through(square, self.square_m4, self.laminar_per_m3);
        if up.pressure_pa >= down_pa {
            flow
        } else {
            -flow
        }
    }
}

/// The gas at one end of a passage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gas {
    /// Absolute pressure, Pa.
    pub pressure_pa: f64,
    /// Density, kg/m3, > 0.
    pub density_kg_per_m3: f64,
    /// Dynamic viscosity, Pa s.
    pub viscosity_pa_s: f64,
}

impl Gas {
    /// Flow of passages of this [`Passage::square_at`], with their laminar part.
    fn through(&self, square_at_m4: f64, square_m4: f64, laminar_per_m3: f64) -> f64 {
        let rho = self.density_kg_per_m3;
        // The difference that an incompressible gas would need.
        let driving_pa = self.pressure_pa * square_at_m4 / square_m4;
        restriction_kg_per_s(
            driving_pa,
            laminar_per_m3 * self.viscosity_pa_s / rho,
            0.5 / (rho * square_m4),
        )
    }
}

/// Mass flow through two passages with room between them, kg/s, either way; 0 where either is shut.
///
/// Each obeys the law at the pressure it meets, at the same total enthalpy. With y the drop over the first as
/// a share of `p_up`, d that over both, C the squares of S and z = (d - y)/(1 - y) the drop over the second as it
/// meets it,
///
/// C1 (y - y²/(2 x1)) = C2 (1 - y)² (z - z²/(2 x2)), the right side C2 (1 - y)² x2/2 where z is past x2:
///
/// a quadratic in y either way, unless the first chokes at y = x1 before both sides meet. Continuous with its
/// slope throughout; near zero the laminar part of both makes it linear.
pub fn series_kg_per_s(first: &Passage, second: &Passage, up: &Gas, down: &Gas) -> f64 {
    if up.pressure_pa >= down.pressure_pa {
        forward(first, second, up, down.pressure_pa)
    } else {
        -forward(second, first, down, up.pressure_pa)
    }
}

fn forward(first: &Passage, second: &Passage, up: &Gas, down_pa: f64) -> f64 {
    let (c1, c2) = (first.square_m4, second.square_m4);
    if c1 <= 0.0 || c2 <= 0.0 || up.pressure_pa <= 0.0 {
        return 0.0;
    }
    let d = 1.0 - down_pa.max(0.0) / up.pressure_pa;
    let y = first_drop(first, second, d);
    up.through(
        first.square_at(y),
        c1 * c2 / (c1 + c2),
        first.laminar_per_m3 + second.laminar_per_m3,
    )
}

/// Drop over the first of two passages, y of [`series_kg_per_s`], at a drop `d` over both.
fn first_drop(first: &Passage, second: &Passage, d: f64) -> f64 {
    let (c1, x1) = (first.square_m4, first.choke);
    let (c2, x2) = (second.square_m4, second.choke);
    // Whether the second would take more than the first passes when there is so much left.
    let takes_more = |y: f64| {
        let left = 1.0 - y;
        left * left * second.square_at((d - y) / left) >= first.square_at(y)
    };
    if d > x1 && takes_more(x1) {
        return x1;
    }
    let second_chokes_until = (d - x2) / (1.0 - x2);
    let head = 0.5 * c1 / x1;
    if second_chokes_until > 0.0 && !takes_more(second_chokes_until) {
        return root(head + 0.5 * c2 * x2, c1 + c2 * x2, 0.5 * c2 * x2);
    }
    root(
        head + c2 * (1.0 - 0.5 / x2),
        c1 + c2 * (1.0 + d - d / x2),
        c2 * d * (1.0 - 0.5 * d / x2),
    )
}

/// The root of a y² - b y + c = 0 at which the left side falls; there is one wherever it is asked for.
fn root(a: f64, b: f64, c: f64) -> f64 {
    let root = (b * b - 4.0 * a * c).max(0.0).sqrt();
    if b >= 0.0 {
        2.0 * c / (b + root)
    } else {
        (b - root) / (2.0 * a)
    }
}
