//! The books of heat: what containers, body and liquid hold, what comes in, what the vapour carries off.
//!
//! ```text
//! E  = sum_containers [m_l h_l + m_v h_v - p V + C_steel (T - T0)]
//!    + C_body (T_body - T0) + m_pool h_l(T_body) + m_low h_l(T_low)
//! E' = heat from the air (walls, body, line, cloth) - cold drawn by throttled gas - vapour's enthalpy
//! ```
//!
//! Enthalpies h count from liquid at T0 = 0 °C: vapour where it leaves its liquid has `h_fg` more.
//! Gas on its way is outside these books: what it holds is a thousandth of it, and it takes its warmth from
//! pigtail and line, that is from the air.

use super::evaluate::{ContainerFlows, Flows};
use super::modes::Modes;
use super::state::RigState;
use super::wet::{LOW_SIDE_K, liquid_j_per_kg, liquid_j_per_kg_k};
use super::{Body, Rig};
use crate::physics::WATER_FREEZING_K;
use crate::physics::fuel::mass_kg;

/// What is held at one instant.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Held {
    /// Fuel \[kg\].
    pub kg: f64,
    /// Heat in containers, body and liquid \[J\].
    pub j: f64,
}

/// In which a warm wet cloth warms body and spring case, like some 20 W/K on the body \[s\] (own).
pub(super) const CLOTH_TAU_S: f64 = 15.0;

/// Heat capacity of the body and of the liquid that stands in it \[J/K\].
pub fn body_j_per_k(body: &Body, s: &RigState) -> f64 {
    if s.pool_kg > 0.0 {
        body.heat_j_per_k + s.pool_kg * liquid_j_per_kg_k(s.body_k)
    } else {
        body.heat_j_per_k
    }
}

/// Heat from a warm cloth \[W\]: it warms and never cools, for nobody leaves a cold cloth on.
pub fn cloth_w(rig: &Rig, m: &Modes, s: &RigState) -> f64 {
    m.cloth.map_or(0.0, |cloth| {
        body_j_per_k(&rig.body, s) * (cloth.warm_k - s.body_k).max(0.0) / CLOTH_TAU_S
    })
}

/// Heat that containers, body and liquid take in \[W\], less the cold that throttled gas leaves there.
pub fn taken_in_w(rig: &Rig, m: &Modes, s: &RigState, f: &Flows) -> f64 {
    let containers = f.containers[..rig.containers.len()].iter();
    containers.map(|c| c.heat_w).sum::<f64>()
        + rig.body.loss_w_per_k * (f.air_k - s.body_k)
        + cloth_w(rig, m, s)
        + f.wet.line_w
        - f.chill_w
}

/// Enthalpy that vapour carries off \[W\].
pub fn carried_off_w(rig: &Rig, f: &Flows) -> f64 {
    let containers = f.containers[..rig.containers.len()].iter();
    let leaves = |(i, c): (usize, &ContainerFlows)| {
        let vapour_kg_per_s = c.vapour_kg_per_s + c.relief_kg_per_s + f.air_back_kg_per_s(i);
        vapour_kg_per_s * c.flash.vapour_j_per_kg
    };
    containers.enumerate().map(leaves).sum::<f64>() + f.wet.carried_w
}

/// Heat held in containers, body and liquid \[J\].
pub fn held_j(rig: &Rig, s: &RigState, f: &Flows) -> f64 {
    let mut sum = rig.body.heat_j_per_k * (s.body_k - WATER_FREEZING_K)
        + s.pool_kg.max(0.0) * liquid_j_per_kg(s.body_k)
        + s.low_pool_kg * liquid_j_per_kg(LOW_SIDE_K);
    for (i, c) in rig.containers.iter().enumerate() {
        let (st, flash) = (&s.containers[i], &f.containers[i].flash);
        let all_kg = mass_kg(&st.moles);
        sum += flash.inner_energy_j(all_kg, c.volume_m3)
            + c.steel_j_per_k * (st.temperature_k - WATER_FREEZING_K);
    }
    sum
}
