//! Damping: hysteresis of rubber, and gas springs between isothermal and adiabatic.
//!
//! Not here: friction and contact ([`super::contact`]), holes ([`super::flow`]); what they do in a stage (the rig's).

/// Ratio of heats of dry air near room temperature (published).
pub const AIR_GAMMA: f64 = 1.4;
/// Temperature at which rubber is rated, K.
const RUBBER_RATED_K: f64 = 293.15;
/// Kelvin in which the stiffness of nitrile sheet grows e times in the cold (memory).
const STIFFENING_K: f64 = 55.0;
/// Kelvin in which its loss factor grows e times in the cold: from 0.12 at 20 °C to 1 at -50 °C (memory, see below).
const LOSS_K: f64 = 33.0;
/// What both go into: stiffness is the third power of exp((293 K - T)/165 K), the loss factor the fifth.
const COMMON_K: f64 = 11.0;
/// Thermal diffusivity of air, m²/s (published: 20 °C, 1 atm).
pub const AIR_DIFFUSIVITY_M2_PER_S: f64 = 2.1e-5;

/// What cold makes of rubber, over what it is at 20 °C.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cold {
    /// Stiffness.
    pub stiffening: f64,
    /// Loss factor.
    pub loss_growth: f64,
}

/// Nitrile rubber at a temperature T, K: stiffness exp((293 K - T)/55 K), about 3 at -40 °F, held between 0.7 and 4
/// (memory: diaphragm sheet); loss factor exp((293 K - T)/33 K), held between 0.4 and 8.
///
/// Memory: a loss factor of 0.08 to 0.2 at 20 °C and 1 to 100 Hz; about 1 some 10 to 20 K above the glass transition; stiffness
/// two to five times 25 K above it. It is three times at -40 °C, so this rubber's transition lies near -65 °C and the
/// peak near -50 °C: eight times 0.12.
pub fn rubber(temperature_k: f64) -> Cold {
    // 55 and 33 are 5 and 3 times 11: one power serves both.
    let root = ((RUBBER_RATED_K - temperature_k) / (STIFFENING_K * LOSS_K / COMMON_K)).exp();
    let third = root * root * root;
    Cold {
        stiffening: third.clamp(0.7, 4.0),
        loss_growth: (third * root * root).clamp(0.4, 8.0),
    }
}

/// Viscous damping, N s/m, that takes as much out of a swing as a loss factor does: c = eta k/omega.
///
/// * `loss` eta: share of the stiffness that lies a quarter turn ahead; `stiffness_n_per_m` k of the part that has it.
/// * `omega_per_s`: the swing's, 1/s. At another frequency the damping is right by its ratio to this one.
///
/// The damping ratio of a mode is then eta/2 times the part's share in its stiffness (published: any text on vibration).
/// Nothing at or below no frequency.
pub fn viscous_n_s_per_m(loss: f64, stiffness_n_per_m: f64, omega_per_s: f64) -> f64 {
    if omega_per_s > 0.0 {
        loss * stiffness_n_per_m / omega_per_s
    } else {
        0.0
    }
}

/// Time in which air trapped between walls takes their temperature, s: tau = L²/(3 gamma alpha).
///
/// * `wall_distance_m` L: volume over the area of all walls, m.
///
/// Heat conduction in a slab of half width L gives the air a polytropic exponent n = gamma/(1 + (gamma - 1) Psi),
/// Psi = tanh z/z, z = sqrt(i omega L²/alpha) (derived). One relaxation n = 1 + (gamma - 1) i omega tau/(1 + i omega tau)
/// has both its ends, and with this tau its slow end to the first order in omega: n is right to 6 %, the loss factor
/// up to a third too high about omega tau = 1 and too low at tens of hertz, where it takes out less than there is.
pub fn gas_relaxation_s(wall_distance_m: f64) -> f64 {
    wall_distance_m * wall_distance_m / (3.0 * AIR_GAMMA * AIR_DIFFUSIVITY_M2_PER_S)
}

/// Pressure of trapped air over that at its walls' temperature, 1: 1 + (gamma - 1)(r - 1) >= 2 - gamma.
///
/// * `compression` r: density over the one that its temperature has settled to, at least 0.
///
/// Slope of the adiabat r^(gamma - 1) at r = 1; a tenth of compression is 0.1 % off.
pub fn warmed_by(compression: f64) -> f64 {
    1.0 + (AIR_GAMMA - 1.0) * (compression.max(0.0) - 1.0)
}
