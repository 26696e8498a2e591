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
//! added with their own volume change no intensive quantity. What counts is the room that is left behind, so Lambda is
//! taken for a volume of the vapour's space: of liquid that is squeezed against the walls none. For one species
//! Lambda = `h_fg`/`v_fg` (Clapeyron): a kg of vapour takes `h_fg`/(1 - `rho_v`/`rho_l`), and liquid drawn takes the heat of the
//! vapour that boils into its place. The third part of C is what boils or condenses as the container warms or cools:
//! nearly half of C at a tenth full.
//!
//! Under another pressure than its own a species boils with L + (B - T B')(p - ps), the enthalpy of its vapour between
//! the two, with B the virial coefficient as in its pressure; so does vapour that has no liquid left. Every part is a
//! derivative of the same U (the test below takes them numerically), so the books of heat close.
//!
//! Derived; liquids mix without heat and are incompressible: the work of squeezing one against full walls stands in the
//! pressure alone, and a brimming container warms as if its liquid could expand. Pure propane is within 1.2 % of the reference
//! equation of state, 10 to 80 % full, -20 to 100 F; strong mixtures within 3 %.

use super::balance::{Balance, Content};
use super::species::{CONDENSABLE, Species, ideal_gas_cp_j_per_mol_k};
use crate::physics::GAS_CONSTANT;
use crate::physics::contact::smoothstep;

/// The two phases' part of the heat fades to that of the gas alone while the liquid's share of the moles falls from
/// here to 0 (own): drying out would be a jump of both. The last thousandth so boils unpaid, which is all that is missing in
/// the books of heat.
const DRYING_SHARE: f64 = 0.002;

/// Heat of a content.
pub(super) struct Heat {
    /// C, J/K.
    pub capacity_j_per_k: f64,
    /// Lambda for a volume of the vapour's space, J/m3.
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
            let vapour_mol = content.moles[i] * at.share * at.push_pa[i] * at.inverse[i];
            capacity += content.moles[i] * content.species[i].liquid_heat
                + vapour_mol * content.latent_rise(i, at.condensable_pa);
        }
        capacity += content.air_mol * ideal_gas_cp_j_per_mol_k(Species::Air, content.t_k);

        // More room, nothing else.
        let (share, condensable_pa) = at.step(-1.0, 0.0);
        let widened = Moved {
            share,
            condensable_pa,
            vapour_mol_per_pa: 0.0,
            push: [0.0; CONDENSABLE],
        };
        let (boiled_j, rise_pa) = content.boiled(at, &widened);
        let two = Self {
            capacity_j_per_k: capacity,
            expansion_pa: boiled_j - content.volume_m3 * rise_pa,
        };
        let liquid = (1.0 - at.share) * content.reference_pa * at.sum / content.total_mol;
        if liquid >= DRYING_SHARE {
            return two;
        }
        let (one, wet) = (
            Self::of_vapour(content),
            smoothstep(liquid, 0.0, DRYING_SHARE),
        );
        let blend = |dry: f64, both: f64| dry + wet * (both - dry);
        Self {
            capacity_j_per_k: blend(one.capacity_j_per_k, two.capacity_j_per_k),
            expansion_pa: blend(one.expansion_pa, two.expansion_pa),
        }
    }

    /// Of vapour alone.
    pub fn of_vapour(content: &Content) -> Self {
        let (volume_m3, t_k) = (content.volume_m3, content.t_k);
        let all_mol = content.total_mol + content.air_mol;
        let air = content.air_mol * ideal_gas_cp_j_per_mol_k(Species::Air, t_k);
        if all_mol <= 0.0 {
            return Self {
                capacity_j_per_k: 0.0,
                expansion_pa: 0.0,
            };
        }
        let ((z, by_d), d) = content.dry_compressibility(all_mol);
        let (beta, beta_rise) = content.virial_per_pa;
        let per_k = all_mol * GAS_CONSTANT / volume_m3;
        // dp/dT, and -V dp/dV; what condenses has its share of both.
        let rise_pa = per_k * (z + by_d * d * (1.0 + t_k * beta_rise / beta));
        let widened_pa = per_k * t_k * (z + by_d * d);
        let share = content.total_mol / all_mol;
        let condensable_pa = share * per_k * t_k * z;
        let mut capacity = air - volume_m3 * rise_pa;
        let mut departure_m3 = 0.0;
        for i in 0..CONDENSABLE {
            let (species, n) = (&content.species[i], content.moles[i]);
            departure_m3 += n * species.virial * content.departure.0;
            capacity += n * (species.liquid_heat + content.latent_rise(i, condensable_pa));
        }
        Self {
            capacity_j_per_k: capacity + departure_m3 * share * rise_pa,
            expansion_pa: widened_pa * (1.0 - departure_m3 * share / volume_m3),
        }
    }
}

impl Content {
    /// Rise of what boils a mole of a species with temperature, at a constant pressure of all that condenses, J/(mol K).
    fn latent_rise(&self, i: usize, condensable_pa: f64) -> f64 {
        let species = &self.species[i];
        let over_pa = condensable_pa - species.saturation_pa;
        let own_rise_pa = species.saturation_pa * species.saturation_rise_per_k;
        species.latent.1
            + species.virial * (self.departure.1 * over_pa - self.departure.0 * own_rise_pa)
    }

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

    /// Heat of what boils and of what the vapour takes as its pressure rises, and the rise of the pressure as a
    /// solution moves.
    fn boiled(&self, at: &Balance, moved: &Moved) -> (f64, f64) {
        let (nu, wet) = (at.share, 1.0 - at.share);
        let mut heat_j = 0.0;
        for i in 0..CONDENSABLE {
            let latent = self.latent_j_per_mol(i, at.condensable_pa);
            // n^v = n t/(1 + t) with t = nu K/((1 - nu) p_r), so dn^v = n^v n^l/n dt/t.
            let vapour_mol = self.moles[i] * nu * at.push_pa[i] * at.inverse[i];
            let liquid_share = wet * self.reference_pa * at.inverse[i];
            let push = moved.push[i] + self.hold_per_pa[i] * moved.condensable_pa;
            heat_j += latent * vapour_mol * liquid_share * (moved.share / (nu * wet) + push)
                + vapour_mol * self.species[i].virial * self.departure.0 * moved.condensable_pa;
        }
        let s = at.vapour_mol_per_pa;
        let s_moved = moved.vapour_mol_per_pa
            + at.vapour_slopes[0] * moved.share
            + at.vapour_slopes[1] * moved.condensable_pa;
        let air_pa = self.air_mol / (s * s) * s_moved;
        (heat_j, moved.condensable_pa - air_pa)
    }
}

#[cfg(test)]
mod tests {
    use crate::physics::fuel::{SPECIES, flash, mass_kg};

    const VOLUME_M3: f64 = 0.05;

    fn energy_j(moles: &[f64; SPECIES], t_k: f64) -> f64 {
        flash(moles, t_k, VOLUME_M3).inner_energy_j(mass_kg(moles), VOLUME_M3)
    }

    /// What is drawn and what warms, against the same inner energy a little further on: dry, wet, squeezed, with air.
    #[test]
    fn every_heat_is_a_derivative_of_the_inner_energy() {
        let fuels: [[f64; SPECIES]; 4] = [
            [1.0, 0.0, 0.0, 0.0, 0.0],
            [0.945, 0.03, 0.015, 0.01, 0.0],
            [0.3, 0.0, 0.6, 0.1, 0.0],
            [0.9, 0.0, 0.1, 0.0, 0.01],
        ];
        for (fuel, total) in fuels
            .iter()
            .flat_map(|f| [4.0, 12.0, 30.0, 100.0, 400.0, 570.0, 590.0, 620.0].map(|n| (f, n)))
        {
            for t_k in [250.0, 285.0, 310.0] {
                let moles = fuel.map(|x| x * total);
                let here = flash(&moles, t_k, VOLUME_M3);
                let liquid = here.liquid_mol / total;
                if liquid > 0.0 && liquid < 0.01 {
                    continue; // dries out, where heat fades
                }
                let case = format!("{fuel:?} {total} mol {t_k} K, fill {:.4}", here.liquid_fill);
                let alike = |what: &str, got: f64, right: f64, size: f64| {
                    assert!(
                        (got - right).abs() <= 2e-4 * size,
                        "{case}: {what} {got} {right}"
                    );
                };
                let dt = 1e-3;
                let rise = (energy_j(&moles, t_k + dt) - energy_j(&moles, t_k - dt)) / (2.0 * dt);
                alike("C", here.heat_capacity_j_per_k, rise, rise.abs());
                let draw = |of: &[f64; SPECIES], j_per_kg: f64| {
                    let part = 1e-5 * total;
                    let moved = |sign: f64| {
                        let mut less = moles;
                        (0..SPECIES).for_each(|k| less[k] += sign * part * of[k]);
                        less
                    };
                    let kg = mass_kg(&of.map(|x| x * part));
                    let slope = (energy_j(&moved(1.0), t_k) - energy_j(&moved(-1.0), t_k)) / 2.0;
                    j_per_kg - slope / kg
                };
                let vapour = draw(&here.vapour_fractions, here.vapour_j_per_kg);
                alike(
                    "vapour",
                    here.vapour_draw_j_per_kg,
                    vapour,
                    vapour.abs().max(4e5),
                );
                if liquid > 0.0 {
                    let drops = draw(&here.liquid_fractions, here.liquid_j_per_kg);
                    alike(
                        "liquid",
                        here.liquid_draw_j_per_kg,
                        drops,
                        drops.abs().max(4e5),
                    );
                }
            }
        }
    }
}
