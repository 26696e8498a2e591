//! The air outside: standard atmosphere, density, viscosity.

use super::{AIR_GAS_CONSTANT, GRAVITY_M_PER_S2, REFERENCE_TEMPERATURE_K, STANDARD_ATMOSPHERE_PA};

/// Fall of temperature with height in the troposphere, K/m (published: ISO 2533).
pub const LAPSE_RATE_K_PER_M: f64 = 0.0065;

/// Elevation range of the formula, m.
const ELEVATION_M: (f64, f64) = (-5_000.0, 11_000.0);

/// Pressure of the standard atmosphere at an elevation, Pa (published: ISO 2533).
///
/// p = p0 (1 - L h/T0)^(g/(R L)); `elevation_m` is held to -5000 to 11 000 m.
pub fn atmosphere_pa(elevation_m: f64) -> f64 {
    let h = elevation_m.clamp(ELEVATION_M.0, ELEVATION_M.1);
    let exponent = GRAVITY_M_PER_S2 / (AIR_GAS_CONSTANT * LAPSE_RATE_K_PER_M);
    let cooler = (1.0 - LAPSE_RATE_K_PER_M * h / REFERENCE_TEMPERATURE_K).ln();
    STANDARD_ATMOSPHERE_PA * (exponent * cooler).exp()
}

/// Density of dry air, kg/m3: p/(R T).
pub fn density_kg_per_m3(pressure_pa: f64, t_k: f64) -> f64 {
    pressure_pa / (AIR_GAS_CONSTANT * t_k)
}

/// Viscosity of air, Pa s: within 0.2 % of the reference (published: `CoolProp`), 230 to 320 K.
pub fn viscosity_pa_s(t_k: f64) -> f64 {
    1.795_279_5e-5 * (t_k / REFERENCE_TEMPERATURE_K).powf(0.795_341)
}
