//! Flow laws: nozzle, orifice, pipe, seat curtain, burner spud, wet inlet.
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

/// Flow of a hole of any area down to zero, kg/s, for small pressure differences.
///
/// dp = a w + b w|w| with b = 1/(2 rho Cd^2 A^2) and a = 8 pi mu (l + 0.589 D)/(rho A^2), written
/// as w = 2 A^2 dp / (a' + sqrt(a'^2 + 4 b' |dp| A^2)): exactly 0 at A = 0, no division by A.
/// * `dp_pa` signed; `area_m2` A of a round hole; `discharge` Cd.
/// * `density_kg_per_m3` rho (of the gas that flows), `viscosity_pa_s` mu, `length_m` l.
///
/// Incompressible: for dp under about a tenth of the absolute pressure (3 % there).
/// Half the difference is laminar at Re = 64 Cd^2 (l/D + 0.589): 24 for a thin hole at Cd 0.8,
/// where published orifice coefficients fall off.
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
    let diameter_m = (4.0 * area_m2 / PI).sqrt();
    let a = 8.0 * PI * viscosity_pa_s * (length_m + LAMINAR_END_DIAMETERS * diameter_m)
        / density_kg_per_m3;
    let b = 0.5 / (density_kg_per_m3 * discharge * discharge);
    let square = area_m2 * area_m2;
    2.0 * square * dp_pa / (a + (a * a + 4.0 * b * dp_pa.abs() * square).sqrt())
}

/// Turbulent part of the friction factor (Darcy) that [`pipe_coefficients`] adds to 64/Re.
///
/// Fitted to the copper tube table of the 2018 IFGC, 402.4(30) (code), 3/8 and 1/2 in OD, 10 to 40 ft:
/// capacity within -7 to +8 %, Re 2200 to 8500.
pub const TURBULENT_FRICTION_FACTOR: f64 = 0.024;

/// Coefficients (a, b) of a round pipe for [`restriction_kg_per_s`].
///
/// dp = 128 mu L/(pi rho D^4) w + (f L/D + K)/(2 rho A^2) w|w|: Poiseuille plus a constant
/// turbulent friction factor f = 0.024, together f(Re) = 64/Re + 0.024. Smooth tube, Re up to
/// about 3e4.
/// * `bore_m` D > 0, `length_m` L, `minor_loss` K (velocity heads: entrance 0.5, exit 1, elbow
///   0.9), `density_kg_per_m3` rho, `viscosity_pa_s` mu.
///
/// Returns a in Pa s/kg and b in Pa s2/kg2.
pub fn pipe_coefficients(
    bore_m: f64,
    length_m: f64,
    minor_loss: f64,
    density_kg_per_m3: f64,
    viscosity_pa_s: f64,
) -> (f64, f64) {
    let area_m2 = circle_area_m2(bore_m);
    let a = 8.0 * PI * viscosity_pa_s * length_m / (density_kg_per_m3 * area_m2 * area_m2);
    let loss = TURBULENT_FRICTION_FACTOR * length_m / bore_m + minor_loss;
    let b = loss / (2.0 * density_kg_per_m3 * area_m2 * area_m2);
    (a, b)
}

/// Area of a circle of this diameter, m2.
pub fn circle_area_m2(diameter_m: f64) -> f64 {
    PI / 4.0 * diameter_m * diameter_m
}

/// Open area of a flat seat over a bore, m2: curtain pi d h and bore pi d^2/4 in series.
///
/// A = `A_c` `A_o` / sqrt(`A_c`^2 + `A_o`^2); exactly 0 at `lift_m` <= 0 (our own blend: two
/// restrictions in series at equal coefficient).
pub fn curtain_bore_area(bore_m: f64, lift_m: f64) -> f64 {
    if lift_m <= 0.0 || bore_m <= 0.0 {
        return 0.0;
    }
    let curtain = PI * bore_m * lift_m;
    let bore = circle_area_m2(bore_m);
    curtain * bore / (curtain * curtain + bore * bore).sqrt()
}

/// Area of the burner spud that passes `input_w` at `rated_dp_pa`, m2, by [`orifice_kg_per_s`].
///
/// * `input_w` heat input, W; `rated_dp_pa` gauge pressure at the spud, Pa.
/// * `heating_value_j_per_kg`; `discharge` Cd (0.9 in trade tables); density, viscosity, length
///   as in [`orifice_kg_per_s`].
///
/// 0 for no input, or where no area can pass it.
pub fn spud_area_m2(
    input_w: f64,
    rated_dp_pa: f64,
    heating_value_j_per_kg: f64,
    discharge: f64,
    density_kg_per_m3: f64,
    viscosity_pa_s: f64,
    length_m: f64,
) -> f64 {
    let target = input_w / heating_value_j_per_kg;
    let flux = discharge * (2.0 * density_kg_per_m3 * rated_dp_pa).sqrt();
    if !(target > 0.0 && flux > 0.0 && target.is_finite()) {
        return 0.0;
    }
    // Start without the laminar part and scale: w is nearly proportional to A, so each pass
    // gains digits; 60 passes reach rounding even for a pilot's pinhole.
    let mut area = target / flux;
    for _ in 0..60 {
        let flow = orifice_kg_per_s(
            rated_dp_pa,
            area,
            discharge,
            density_kg_per_m3,
            viscosity_pa_s,
            length_m,
        );
        let ratio = target / flow;
        area *= ratio;
        if (ratio - 1.0).abs() < 1e-14 {
            break;
        }
    }
    area
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
