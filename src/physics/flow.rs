//! Flow laws: nozzle, hole, pipe, seat curtain, burner orifice, wet inlet.
//!
//! Sign rule: flow is positive from "up" to "down", i.e. with a positive pressure difference.
//! Nothing here is regularised by a relative band of pressure: near zero difference each law
//! has a laminar part, which is what gas does.

use std::f64::consts::PI;

/// Critical (choking) pressure ratio of an isentropic nozzle: (2/(g+1))^(g/(g-1)).
///
/// `gamma` g is the ratio of heats, > 1. Source: one-dimensional gas dynamics (published).
pub fn critical_ratio(gamma: f64) -> f64 {
    (gamma / (gamma - 1.0) * (2.0 / (gamma + 1.0)).ln()).exp()
}

/// Isentropic outflow function psi(r, g): w = Cd A `p_up` / sqrt(Z R T) psi.
///
/// psi^2 = 2g/(g-1) (r^(2/g) - r^((g+1)/g)) above the critical ratio, constant below it,
/// 0 at r >= 1. `ratio` r = `p_down`/`p_up`. Perfect gas but for Z in the density (published).
pub fn psi(ratio: f64, gamma: f64) -> f64 {
    psi_squared(ratio, gamma).sqrt()
}

/// psi squared, finite slope at r = 1: what [`nozzle_kg_per_s`] works with.
pub fn psi_squared(ratio: f64, gamma: f64) -> f64 {
    // The critical ratio bends down from e^-1/2 = 0.60653 at g = 1 to 0.52828 at 1.4: under this chord only can a
    // gas choke, so most calls need no power.
    if ratio < 0.6066 - 0.195 * (gamma.min(1.4) - 1.0) {
        let critical = critical_ratio(gamma);
        if ratio <= critical {
            return 0.5 * gamma * (gamma + 1.0) * critical * critical;
        }
    }
    if ratio >= 1.0 {
        return 0.0;
    }
    let k = (gamma - 1.0) / gamma;
    // r^((g-1)/g) - 1 without cancellation; r^(1/g) = r / r^((g-1)/g).
    let e = (k * ratio.ln()).exp_m1();
    let t = ratio / (1.0 + e);
    -2.0 / k * t * t * e
}

/// The gas at the upstream side of a nozzle.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Upstream {
    /// Absolute pressure, Pa.
    pub pressure_pa: f64,
    /// Temperature, K.
    pub temperature_k: f64,
    /// Specific gas constant, J/(kg K).
    pub gas_constant: f64,
    /// Compressibility factor Z.
    pub z: f64,
    /// Ratio of heats.
    pub gamma: f64,
}

impl Upstream {
    /// Density, kg/m3: p / (Z R T).
    pub fn density_kg_per_m3(&self) -> f64 {
        self.pressure_pa / (self.z * self.gas_constant * self.temperature_k)
    }
}

/// Mass flow of a nozzle, kg/s, isentropic and choking, either way.
///
/// With w0 = Cd A p / sqrt(Z R T) psi it is w = -alpha + sqrt(alpha^2 + w0^2).
/// * `area_m2` A, `discharge` Cd.
/// * `up`: the gas; `down_pa`: absolute back pressure, Pa. If `down_pa` is the higher one the
///   flow is negative and the same gas (T, R, Z, g) is taken at `down_pa`.
/// * `laminar_kg_per_s` alpha, >= 0: psi has infinite slope at r = 1; alpha makes the law
///   linear in the difference near zero. Far away it costs exactly alpha; alpha = 0 is the
///   plain isentropic law.
pub fn nozzle_kg_per_s(
    area_m2: f64,
    discharge: f64,
    up: &Upstream,
    down_pa: f64,
    laminar_kg_per_s: f64,
) -> f64 {
    if area_m2 <= 0.0 {
        return 0.0;
    }
    let (high_pa, low_pa, sign) = if up.pressure_pa >= down_pa {
        (up.pressure_pa, down_pa, 1.0)
    } else {
        (down_pa, up.pressure_pa, -1.0)
    };
    if high_pa <= 0.0 {
        return 0.0;
    }
    let zrt = up.z * up.gas_constant * up.temperature_k;
    let scale = discharge * area_m2 * high_pa;
    let square = scale * scale / zrt * psi_squared(low_pa.max(0.0) / high_pa, up.gamma);
    if square <= 0.0 {
        return 0.0;
    }
    // w0^2 / (alpha + sqrt(alpha^2 + w0^2)): the same number without cancellation.
    let alpha = laminar_kg_per_s.max(0.0);
    sign * square / (alpha + (alpha * alpha + square).sqrt())
}

/// Flow of a restriction with a w + b w|w| = dp, kg/s.
///
/// `dp_pa` in Pa (signed), `a` in Pa s/kg (laminar), `b` in Pa s2/kg2 (turbulent), both >= 0 and
/// not both 0. Closed form, rationalised so that it is exact and smooth through zero.
pub fn restriction_kg_per_s(dp_pa: f64, a: f64, b: f64) -> f64 {
    if dp_pa == 0.0 {
        return 0.0;
    }
    2.0 * dp_pa / (a + (a * a + 4.0 * b * dp_pa.abs()).sqrt())
}

/// Length that stands for the entrance of a laminar hole, in diameters: 24 pi / 128.
///
/// A thin hole in a wall takes dp = 3 mu Q / r^3 (Sampson 1891, published); as a length of
/// Poiseuille pipe that is 0.589 D.
pub const LAMINAR_END_DIAMETERS: f64 = 24.0 * PI / 128.0;

/// Coefficients (a A^2, b A^2) of a hole for [`restriction_kg_per_s`] that stay finite as its area A goes to zero:
/// a = 8 pi mu (l + 0.589 D)/(rho A^2), b = 1/(2 rho Cd^2 A^2).
///
/// * `bore_m` D, `length_m` l, `discharge` Cd > 0.
/// * `density_kg_per_m3` rho > 0 (of the gas that flows), `viscosity_pa_s` mu.
///
/// Incompressible: for dp under about a tenth of the absolute pressure (3 % there).
/// Half the difference is laminar at Re = 64 Cd^2 (l/D + 0.589): 24 for a thin hole at Cd 0.8,
/// where published orifice coefficients fall off.
pub fn hole_coefficients(
    bore_m: f64,
    length_m: f64,
    discharge: f64,
    density_kg_per_m3: f64,
    viscosity_pa_s: f64,
) -> (f64, f64) {
    let effective_m = length_m + LAMINAR_END_DIAMETERS * bore_m;
    (
        8.0 * PI * viscosity_pa_s * effective_m / density_kg_per_m3,
        0.5 / (density_kg_per_m3 * discharge * discharge),
    )
}

/// Flow of a round hole of any area down to zero, kg/s, for small pressure differences:
/// dp = a w + b w|w| with [`hole_coefficients`], written so that it is exactly 0 at A = 0, with no division by A.
///
/// `dp_pa` signed; `area_m2` A; the rest as there.
pub fn orifice_kg_per_s(
    dp_pa: f64,
    area_m2: f64,
    discharge: f64,
    density_kg_per_m3: f64,
    viscosity_pa_s: f64,
    length_m: f64,
) -> f64 {
    if area_m2 <= 0.0 || dp_pa == 0.0 || density_kg_per_m3 <= 0.0 || discharge <= 0.0 {
        return 0.0;
    }
    let bore_m = (4.0 * area_m2 / PI).sqrt();
    let (a, b) = hole_coefficients(
        bore_m,
        length_m,
        discharge,
        density_kg_per_m3,
        viscosity_pa_s,
    );
    let square = area_m2 * area_m2;
    2.0 * square * dp_pa / (a + (a * a + 4.0 * b * dp_pa.abs() * square).sqrt())
}

/// Turbulent friction factor (Darcy) of a pipe of this size well past the transition ...
pub const TURBULENT_FRICTION: f64 = 0.0301;
/// ... and the Reynolds number at which half of it has come.
const HALF_TURBULENT_REYNOLDS: f64 = 1940.0;
/// Share of it with which [`PipeLoss::flow_kg_per_s`] begins.
const FIRST_SHARE: f64 = 0.78;

/// Share of the turbulent friction that has come at a Reynolds number, by x = (Re/1940)^2: x/(1 + x).
fn turbulent_share(reynolds_over_half: f64) -> f64 {
    let x = reynolds_over_half * reynolds_over_half;
    x / (1.0 + x)
}

/// What a round pipe takes from a pressure, incompressible: dp = (f(Re) L/D + K) w|w|/(2 rho A^2) with the Darcy
/// friction factor f = 64/Re + 0.0301/(1 + (1940/Re)^2).
///
/// Laminar for small Re (Hagen and Poiseuille, exact), and one smooth step into the turbulence of commercial tube.
/// Two numbers fitted to the trade's capacities of 3/8 to 5/8 in OD copper and 1/2 in iron, 10 to 40 ft
/// (2018 IFGC 402.4(30), code): within 1.3 %, Re 2500 to 17 000. Past that f stays as in a rough pipe.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PipeLoss {
    /// a = 128 mu L/(pi rho D^4), Pa s/kg.
    laminar: f64,
    /// Turbulent friction fully come, 0.0301 L/(2 rho A^2 D), Pa s2/kg2.
    turbulent: f64,
    /// b = K/(2 rho A^2), Pa s2/kg2.
    minor: f64,
    /// Flow at which half of the turbulent friction has come, kg/s.
    half_kg_per_s: f64,
}

impl PipeLoss {
    /// Of a pipe and the gas in it.
    ///
    /// `bore_m` D > 0, `length_m` L, `minor_loss` K (velocity heads: entrance 0.5, exit 1, elbow 0.9),
    /// `density_kg_per_m3` rho, `viscosity_pa_s` mu.
    pub fn new(
        bore_m: f64,
        length_m: f64,
        minor_loss: f64,
        density_kg_per_m3: f64,
        viscosity_pa_s: f64,
    ) -> Self {
        let area_m2 = circle_area_m2(bore_m);
        let per_head = 0.5 / (density_kg_per_m3 * area_m2 * area_m2);
        Self {
            laminar: 16.0 * PI * viscosity_pa_s * length_m * per_head,
            turbulent: TURBULENT_FRICTION * length_m / bore_m * per_head,
            minor: minor_loss * per_head,
            half_kg_per_s: HALF_TURBULENT_REYNOLDS * 0.25 * PI * bore_m * viscosity_pa_s,
        }
    }

    /// Flow, kg/s, at a pressure difference (signed, Pa) over the pipe and whatever stands in line with it and
    /// takes `further` w|w| (Pa s2/kg2).
    ///
    /// The closed form at a usual share of the turbulent friction, then one step of Newton: within 1.1 % of the
    /// law at any Re, smooth and odd.
    pub fn flow_kg_per_s(&self, dp_pa: f64, further: f64) -> f64 {
        let dp = dp_pa.abs();
        let square = self.minor + further;
        let w = restriction_kg_per_s(dp, self.laminar, square + FIRST_SHARE * self.turbulent);
        let share = turbulent_share(w / self.half_kg_per_s);
        let off = (self.laminar + (square + share * self.turbulent) * w) * w - dp;
        let slope = self.laminar + 2.0 * (square + share * (2.0 - share) * self.turbulent) * w;
        if slope > 0.0 {
            (w - off / slope).copysign(dp_pa)
        } else {
            0.0
        }
    }
}

/// Area of a circle of this diameter, m2.
pub fn circle_area_m2(diameter_m: f64) -> f64 {
    PI / 4.0 * diameter_m * diameter_m
}

/// Area of two restrictions in series, m2: A = A1 A2/sqrt(A1^2 + A2^2), at equal coefficient, turbulent and
/// incompressible (their pressure losses add). 0 where either is shut.
pub fn series_area_m2(one_m2: f64, other_m2: f64) -> f64 {
    if one_m2 <= 0.0 || other_m2 <= 0.0 {
        return 0.0;
    }
    one_m2 * other_m2 / (one_m2 * one_m2 + other_m2 * other_m2).sqrt()
}

/// Open area of a flat seat over a bore, m2: curtain pi d h and bore pi d^2/4 in series (our own blend).
///
/// Exactly 0 at `lift_m` <= 0.
pub fn curtain_bore_area(bore_m: f64, lift_m: f64) -> f64 {
    series_area_m2(PI * bore_m * lift_m, circle_area_m2(bore_m))
}

/// Effective area (K A) of a burner orifice that passes `flow_kg_per_s` at `dp_pa` of gas of `density_kg_per_m3`, m2:
/// w/sqrt(2 rho dp), turbulent and incompressible (the trade's tables).
pub fn orifice_area_m2(flow_kg_per_s: f64, dp_pa: f64, density_kg_per_m3: f64) -> f64 {
    flow_kg_per_s / (2.0 * density_kg_per_m3 * dp_pa).sqrt()
}

/// How many times more mass a wet nozzle passes at the same difference: sqrt(`rho_mix`/`rho_v`).
///
/// `liquid_share` chi is the liquid's share of the **volume** at the inlet, 0 to 1;
/// `rho_mix` = (1 - chi) `rho_v` + chi `rho_l`. Homogeneous, no slip, no flashing in the throat
/// (published: homogeneous frozen model); 1 for dry vapour.
pub fn mixture_flow_factor(
    liquid_share: f64,
    vapour_density_kg_per_m3: f64,
    liquid_density_kg_per_m3: f64,
) -> f64 {
    let chi = liquid_share.clamp(0.0, 1.0);
    (1.0 - chi + chi * liquid_density_kg_per_m3 / vapour_density_kg_per_m3).sqrt()
}

/// Vapour and liquid, kg/s, that pass an opening which passes `dry_kg_per_s` of the vapour alone, with a share of liquid by
/// volume before it. Back flow is vapour, whatever stands upstream.
pub fn wet_flow_kg_per_s(
    dry_kg_per_s: f64,
    liquid_share: f64,
    vapour_density_kg_per_m3: f64,
    liquid_density_kg_per_m3: f64,
) -> (f64, f64) {
    if dry_kg_per_s <= 0.0 || liquid_share <= 0.0 {
        return (dry_kg_per_s, 0.0);
    }
    let (vapour, liquid) = (vapour_density_kg_per_m3, liquid_density_kg_per_m3);
    let total = dry_kg_per_s * mixture_flow_factor(liquid_share, vapour, liquid);
    let share = liquid_mass_share(liquid_share, vapour, liquid);
    (total * (1.0 - share), total * share)
}

/// Share of the mixture's mass that is liquid, from its share of the volume.
pub fn liquid_mass_share(
    liquid_share: f64,
    vapour_density_kg_per_m3: f64,
    liquid_density_kg_per_m3: f64,
) -> f64 {
    let chi = liquid_share.clamp(0.0, 1.0);
    let liquid = chi * liquid_density_kg_per_m3;
    liquid / (liquid + (1.0 - chi) * vapour_density_kg_per_m3)
}
