//! What a burner takes against its rating plate. A plate is of the main burner, at sea level and 60 °F: what its pilot burns is
//! no part of it, and cold or thin air, which no orifice was drilled for, is taken out (derived: the mass through an orifice goes
//! as the root of the gas's density).

use crate::physics::STANDARD_ATMOSPHERE_PA;
use crate::physics::flow::series_area_m2;
use crate::rig::presets::RATED_AT_K;
use crate::rig::{Appliance, ApplianceReadings, Readings};

/// What the main burner takes over its plate, as a share; under nothing where it takes less, none where it does not burn.
pub fn over_plate(made: &Appliance, a: &ApplianceReadings, r: &Readings) -> Option<f64> {
    let burner_m2 = series_area_m2(made.valve_m2 * a.valve_open, made.spud_m2);
    let pilot_m2 = if a.pilot_lit { made.pilot_m2 } else { 0.0 };
    let burns = a.heat_w > 0.0 && burner_m2 > 0.0;
    let heat_w = burns.then(|| a.heat_w * burner_m2 / (burner_m2 + pilot_m2))?;
    let thinner = (STANDARD_ATMOSPHERE_PA + made.rated_pa) / (r.ambient_pa + a.inlet_pa);
    let warmer = r.air_k / RATED_AT_K;
    Some(heat_w / made.input_w * (thinner * warmer).sqrt() - 1.0)
}
