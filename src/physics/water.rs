//! Water that comes with the fuel: how much its vapour can hold, and where what is too much turns solid.
//!
//! Free water stays in the container; what leaves with the vapour is at most what is in equilibrium with it there. Not here:
//! water on a diaphragm or in a vent (the stage's), the humidity of the air.

use super::WATER_FREEZING_K;
use super::contact::smooth_clamp;

/// Molar mass of water, kg/mol (published).
const MOLAR_MASS_KG_PER_MOL: f64 = 0.018_015_3;

/// Saturation pressure of water, over ice below 0 C and over liquid above, Pa.
///
/// Magnus formula with the constants of the World Meteorological Organization's guide (published): within 0.5 % from -50 to
/// 60 C. Continuous at 0 C, where the slope has its kink.
pub fn saturation_pa(t_k: f64) -> f64 {
    let celsius = t_k - WATER_FREEZING_K;
    let (a, b) = if celsius < 0.0 {
        (22.46, 272.62)
    } else {
        (17.62, 243.12)
    };
    611.2 * (a * celsius / (b + celsius)).exp()
}

/// Water that a vapour can hold over ice or free water at `t_k`, by mass: `M_w`/M `p_w`(T)/p.
///
/// `pressure_pa` p absolute, `molar_mass_kg_per_mol` M of the vapour. The gas counts as ideal (derived; the reference
/// equations of state agree within 4 %). At most pure steam.
pub fn held_by_mass(t_k: f64, pressure_pa: f64, molar_mass_kg_per_mol: f64) -> f64 {
    let water_pa = saturation_pa(t_k);
    MOLAR_MASS_KG_PER_MOL / molar_mass_kg_per_mol * water_pa / pressure_pa.max(water_pa)
}

/// Water that leaves with the vapour where `offered` would, and at most `held` can; both by mass.
///
/// The corner is rounded over a tenth of `held`.
pub fn carried_by_mass(offered: f64, held: f64) -> f64 {
    // Held from below at nothing: an exact 0 stays so.
    let rounding = 0.05 * held;
    if offered <= held - rounding {
        return offered;
    }
    smooth_clamp(offered, -held, held, rounding)
}

/// Temperature of propane hydrate, water and gas in equilibrium at one pressure, K ...
const HYDRATE_K: f64 = 273.32;
/// ... that pressure (10 psig), Pa ...
const HYDRATE_PA: f64 = 170_273.0;
/// ... its rise with the logarithm of pressure, K ...
const HYDRATE_RISE_K: f64 = 4.38;
/// ... and where liquid propane ends it: no hydrate above, K.
const HYDRATE_HIGHEST_K: f64 = 278.55;
/// Rounding of both ends, K.
const SOLID_ROUNDING_K: f64 = 0.2;

/// Temperature under which water with propane at `pressure_pa` is solid, K: ice below 0 C, and above it hydrate up to
/// 273.32 K + 4.38 K ln(p/170.3 kPa), never above 5.4 C.
///
/// A straight line through a cubic-plus-association equation of state with a hydrate model (published model, worked out
/// elsewhere): within 0.2 K from 10 to 60 psig. The literature has 0 C at some 1.7 bar and 5.5 to 5.7 C at 5.6 bar
/// (memory). Mixtures with isobutane form it a little warmer.
pub fn solid_below_k(pressure_pa: f64) -> f64 {
    let over = (pressure_pa.max(1.0) / HYDRATE_PA).ln();
    smooth_clamp(
        HYDRATE_K + HYDRATE_RISE_K * over,
        WATER_FREEZING_K,
        HYDRATE_HIGHEST_K,
        SOLID_ROUNDING_K,
    )
}
