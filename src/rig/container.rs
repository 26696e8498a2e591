//! A fuel container: shape, fuel, heat taken in through the wall.
//!
//! Holds parameters and the pure functions of one container; its changing values are in
//! [`super::state::ContainerState`].

use super::state::ContainerState;
use super::supply::Supply;
use crate::physics::contact;
use crate::physics::fuel::{self, Flash, SPECIES};
use crate::physics::heat::Shape;
use serde::Serialize;

/// Parameters of one container.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Container {
    /// Outer shape, for the wetted area.
    pub shape: Shape,
    /// Water capacity \[m³\].
    pub volume_m3: f64,
    /// Heat capacity of the steel \[J/K\].
    pub steel_j_per_k: f64,
    /// Heat transfer through the dry, calm wall on the wetted area \[W/m²K\].
    pub wall_w_per_m2_k: f64,
    /// Gauge pressure at which the container's own relief starts \[Pa\].
    pub relief_start_pa: f64,
    /// Relief area when 10 % over the start \[m²\].
    pub relief_m2: f64,
    /// Share of liquid by volume that leaves with the vapour whatever the fill (tilt, slosh, a
    /// cylinder lying on its side), 0 to 1.
    pub liquid_share: f64,
    /// Its way to the regulator.
    pub supply: Supply,
}

/// Fill above which liquid begins to reach the valve (vapour space too small to separate drops).
const CARRY_OVER_FROM: f64 = 0.90;
/// Fill at which the valve draws mostly liquid.
const CARRY_OVER_FULL: f64 = 0.99;
/// Fill under which a container gives less and less liquid whatever its place.
const THE_LAST: f64 = 0.01;
/// Largest share of liquid in what leaves an overfull container.
const CARRY_OVER_MOST: f64 = 0.9;

impl Container {
    /// State of the container filled to `fill` (share of volume) with liquid of the given mole
    /// fractions at `temperature_k`, plus `air_pa` of partial pressure of air; pigtail filled
    /// separately.
    pub fn filled(
        &self,
        fill: f64,
        fractions: &[f64; SPECIES],
        temperature_k: f64,
        air_pa: f64,
    ) -> ContainerState {
        ContainerState {
            moles: fuel::charge(self.volume_m3, fill, fractions, temperature_k, air_pa),
            temperature_k,
            pigtail_kg: 0.0,
        }
    }

    /// Split into liquid and vapour at the present state.
    pub fn flash(&self, state: &ContainerState) -> Flash {
        fuel::flash(&state.moles, state.temperature_k, self.volume_m3)
    }

    /// Heat taken in through the wall \[W\] from air at `air_k`, where the weather changes the wall by a factor: where liquid
    /// wets it, and what is left of it in one that is all but empty.
    pub fn heat_w(&self, flash: &Flash, wall_factor: f64, air_k: f64, temperature_k: f64) -> f64 {
        let liquid_m3 = flash.liquid_volume_m3;
        let wetted_w_per_k = self.wall_w_per_m2_k * self.shape.wetted_area_m2(liquid_m3);
        let all_w_per_k = wetted_w_per_k + self.shape.dry_w_per_k(liquid_m3);
        wall_factor * all_w_per_k * (air_k - temperature_k)
    }

    /// Rates of change of moles and temperature while vapour and liquid leave and heat comes in: the energy
    /// balance of an open container of two phases and its steel (`fuel::flash` tells it).
    pub fn drawn(&self, flash: &Flash, vapour: f64, liquid: f64, heat_w: f64) -> ContainerState {
        let liquid_molar_mass = if flash.liquid_mol > 0.0 {
            flash.liquid_mass_kg / flash.liquid_mol
        } else {
            flash.vapour_molar_mass
        };
        let taken_w = vapour * flash.vapour_draw_j_per_kg + liquid * flash.liquid_draw_j_per_kg;
        ContainerState {
            moles: std::array::from_fn(|k| {
                let drops = if flash.liquid_mol > 0.0 {
                    flash.liquid_fractions[k]
                } else {
                    flash.vapour_fractions[k]
                };
                -vapour * flash.vapour_fractions[k] / flash.vapour_molar_mass
                    - liquid * drops / liquid_molar_mass
            }),
            temperature_k: (heat_w - taken_w) / (flash.heat_capacity_j_per_k + self.steel_j_per_k),
            pigtail_kg: 0.0,
        }
    }

    /// Share of liquid by volume in what leaves through the valve.
    pub fn carry_over(&self, fill: f64) -> f64 {
        let over = contact::smoothstep(fill, CARRY_OVER_FROM, CARRY_OVER_FULL) * CARRY_OVER_MOST;
        // The last of the liquid lies below any tilt or slosh: an empty container gives none.
        let share = 1.0 - (1.0 - self.liquid_share) * (1.0 - over);
        share * contact::smoothstep(fill, 0.0, THE_LAST)
    }
}
