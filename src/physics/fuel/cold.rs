//! A fill that says how much there is, whatever its temperature.
//!
//! Liquid propane swells by a sixth from 40 to 130 F, so a level alone says little: what may be filled in is a weight, 42 % of
//! the water capacity, and that stands at 80 % of the volume when the liquid is at 40 F. Taken as pure propane: butane swells
//! by two thirds as much.

use super::species::{Species, liquid_molar_volume_m3_per_mol};

/// Temperature at which a fill is told as an amount, K (40 F; memory: that of fixed level gauges in NFPA 58).
pub const COLD_K: f64 = 277.594;

/// How much more room liquid takes at `t_k` than at [`COLD_K`].
fn swollen(t_k: f64) -> f64 {
    liquid_molar_volume_m3_per_mol(Species::Propane, t_k)
        / liquid_molar_volume_m3_per_mol(Species::Propane, COLD_K)
}

/// Share of the volume that a liquid at `t_k`, which fills `fill` of it, takes at [`COLD_K`].
pub fn fill_when_cold(fill: f64, t_k: f64) -> f64 {
    fill / swollen(t_k)
}

/// Share of the volume at `t_k` of what takes `cold_fill` at [`COLD_K`].
pub fn fill_from_cold(cold_fill: f64, t_k: f64) -> f64 {
    cold_fill * swollen(t_k)
}
