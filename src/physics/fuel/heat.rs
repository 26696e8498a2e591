//! The heat of a content of two phases: what it takes to warm it, and what leaves with what is drawn off.
//!
//! Inner energy of moles n in the volume V at T, with the liquids' enthalpies h along saturation, latent heats L and the
//! moles n^v that are vapour (all of a species together stand in n):
//!
//! ```text
//! U = sum(n_i h_i(T)) + sum(n_i^v L_i(T)) - p V
//! C = dU/dT at constant V, n:  sum(n_i h_i') + sum(n_i^v L_i') + sum(L_i dn_i^v/dT) - V dp/dT
//! Lambda = dU/dV + p at constant T, n:  sum(L_i dn_i^v/dV) - V dp/dV
//! (C + steel) T' = Q - Lambda (w_v/rho_v + w_l/rho_l)
//! ```
//!
//! The last line is the energy balance U' = Q - sum(w h) of an open container, and nothing is left out of it: to draw a
//! volume of either phase is to let the rest expand by that much, since liquid and vapour of the same composition
//! added with their own volume change no intensive quantity. For one species Lambda = `h_fg`/`v_fg` (Clapeyron): a kg of vapour
//! takes `h_fg`/(1 - `rho_v`/`rho_l`), and liquid drawn takes the heat of the vapour that boils into its place. The third part of C is what
//! boils or condenses as the container warms or cools: nearly half of C at a tenth full.
//!
//! Derived; liquids mix without heat, the vapour by the same virial coefficients as their pressures (L then is
//! L + R T² beta' (p - ps)); liquid incompressible. Pure propane is within 1.2 % of the reference
//! equation of state, 10 to 80 % full, -20 to 100 F; strong mixtures within 3 %.

use super::flash::{Balance, Content, VAPOUR_FLOOR};
use super::species::{CONDENSABLE, Species, ideal_gas_cp_j_per_mol_k};
use crate::physics::GAS_CONSTANT;
use crate::physics::contact::smoothstep;

/// The two phases' part of the heat fades to that of the gas alone while the liquid's share of the moles falls from
/// here to 0 (own): drying out would be a jump of both.
const DRYING_SHARE: f64 = 0.01;

/// Heat of a content.
pub(super) struct Heat {
    /// C, J/K.
    pub capacity_j_per_k: f64,
    /// Lambda, J/m3.
    pub expansion_pa: f64,
}

/// How a solution moves with something: rates of the vapour's share and of the pressure, and what else of s and of
/// each K moves by itself.
struct Moved {
    share: f64,
    condensable_pa: f64,
    vapour_mol_per_pa: f64,
    /// Relative, 1 per unit of it.
    push: [f64; CONDENSABLE],
}

impl Heat {
    /// Of liquid under vapour.
    pub fn of_two_phases(content: &Content, at: &Balance) -> Self {
        let warmed = content.warmed(at);
        let (boiled_j, rise_pa) = content.boiled(at, &warmed);
        let mut capacity = boiled_j - content.volume_m3 * rise_pa;
        for i in 0..CONDENSABLE {
            let (species, n) = (&content.species[i], content.moles[i]);
            let vapour_mol = n * at.share * at.push_pa[i] * at.inverse[i];
            capacity += n * species.liquid_heat + vapour_mol * species.latent.1;
        }
        capacity += content.air_mol * ideal_gas_cp_j_per_mol_k(Species::Air, content.t_k);

        // A larger container, nothing else: the space grows as its volume does.
        let space = VAPOUR_FLOOR + at.space_slope * (1.0 - VAPOUR_FLOOR);
        let (share, condensable_pa) = at.step(-space, 0.0);
        let widened = Moved {
            share,
            condensable_pa,
            vapour_mol_per_pa: 0.0,
            push: [0.0; CONDENSABLE],
        };
        let (boiled_j, rise_pa) = content.boiled(at, &widened);
        let expansion_pa = boiled_j - content.volume_m3 * rise_pa;

        let gas_pa = at.condensable_pa + content.air_mol / at.vapour_mol_per_pa;
        let liquid = (1.0 - at.share) * content.reference_pa * at.sum / content.total_mol;
        let wet = smoothstep(liquid, 0.0, DRYING_SHARE);
        Self {
            capacity_j_per_k: wet * capacity + (1.0 - wet) * Self::dry_capacity_j_per_k(content),
            expansion_pa: wet * expansion_pa + (1.0 - wet) * gas_pa,
        }
    }

    /// C of gas alone, J/K: at constant volume, as ideal gas.
    pub fn dry_capacity_j_per_k(content: &Content) -> f64 {
        let cv = |species| ideal_gas_cp_j_per_mol_k(species, content.t_k) - GAS_CONSTANT;
        let air = content.air_mol * cv(Species::Air);
        let fuel = content.moles.iter().zip(Species::ALL);
        fuel.fold(air, |sum, (n, species)| sum + n * cv(species))
    }
}

impl Content {
    /// How the solution moves with temperature, per K.
    fn warmed(&self, at: &Balance) -> Moved {
        let (nu, wet, p_r) = (at.share, 1.0 - at.share, self.reference_pa);
        let (beta, beta_rise) = self.virial_per_pa;
        // As in the balance: sums of n/D, n v/D, n K/D, moved by K and v at constant nu and p.
        let [mut a, mut b, mut c] = [0.0; 3];
        let mut push = [0.0; CONDENSABLE];
        for (i, push) in push.iter_mut().enumerate() {
            let species = &self.species[i];
            let (hold, k) = (self.hold_per_pa[i], at.push_pa[i]);
            let over_pa = at.condensable_pa - species.saturation_pa;
            *push = species.saturation_rise_per_k * (1.0 - hold * species.saturation_pa)
                + hold * beta_rise / beta * over_pa;
            let share = self.moles[i] * at.inverse[i];
            let moved = -share * at.inverse[i] * nu * k * *push;
            a += moved;
            b += moved * species.molar_volume.0 + share * species.molar_volume.1;
            c += (moved + share * *push) * k;
        }
        let gap_pa = (c - (at.gap_pa + at.condensable_pa) * a) / at.sum;
        let s = at.vapour_mol_per_pa;
        let reduced = self.virial_term(at.condensable_pa, s).0 * beta_rise / beta;
        let by_s = nu * a;
        let z = at.z_slope * (reduced + at.virial_slope * by_s);
        let residual_m3 = (by_s * at.z + s * z) * self.rt
            + s * at.z * GAS_CONSTANT
            + at.space_slope * wet * p_r * b;
        let (share, condensable_pa) = at.step(residual_m3, gap_pa);
        Moved {
            share,
            condensable_pa,
            vapour_mol_per_pa: by_s,
            push,
        }
    }

    /// Heat of what boils, sum(L dn^v), and the rise of the pressure as a solution moves.
    fn boiled(&self, at: &Balance, moved: &Moved) -> (f64, f64) {
        let (nu, wet) = (at.share, 1.0 - at.share);
        let (beta, beta_rise) = self.virial_per_pa;
        let mut heat_j = 0.0;
        for i in 0..CONDENSABLE {
            let species = &self.species[i];
            // Boiled under another pressure than its own: R T2 d(ln K)/dT.
            let over_pa = at.condensable_pa - species.saturation_pa;
            let latent = species.latent.0
                + self.rt * self.t_k * self.hold_per_pa[i] * beta_rise / beta * over_pa;
            // n^v = n t/(1 + t) with t = nu K/((1 - nu) p_r), so dn^v = n^v n^l/n dt/t.
            let vapour_mol = self.moles[i] * nu * at.push_pa[i] * at.inverse[i];
            let liquid_share = wet * self.reference_pa * at.inverse[i];
            let push = moved.push[i] + self.hold_per_pa[i] * moved.condensable_pa;
            heat_j += latent * vapour_mol * liquid_share * (moved.share / (nu * wet) + push);
        }
        let s = at.vapour_mol_per_pa;
        let s_moved = moved.vapour_mol_per_pa
            + at.vapour_slopes[0] * moved.share
            + at.vapour_slopes[1] * moved.condensable_pa;
        let air_pa = self.air_mol / (s * s) * s_moved;
        (heat_j, moved.condensable_pa - air_pa)
    }
}
