//! The split of a container's content into liquid and vapour in a fixed volume.
//!
//! Assumptions: ideal mixing of the vapour with the Z of propane, air only in the vapour, liquid volumes
//! additive. Not here: the two balances and how they are solved (`balance`), what heat it takes (`heat`), temperature of
//! the wall, flow.

use super::balance::{Balance, Content, VAPOUR_FLOOR};
use super::heat::Heat;
use super::species::{CONDENSABLE, Condensed, SPECIES, Species};
use crate::physics::contact::positive_part;

/// Bulk modulus of saturated liquid at no temperature at all, Pa, and how it goes to nothing at the critical one: fitted to
/// the reference equation of state of propane (published), see [`liquid_bulk_modulus_pa`].
const BULK_MODULUS_PA: f64 = 2.4e9;
const BULK_EXPONENT: f64 = 1.66;
/// How much stiffer it gets by its own pressure (Murnaghan's law, published; fitted to propane at 100 F and 375 psig).
const STIFFENS: i32 = 12;
/// Least distance from the critical point, as a share of its temperature: at 71 C for propane, where the fit of its density is held too.
const LEAST_BELOW_CRITICAL: f64 = 0.07;

/// First share from which the content may be dry.
const NEARLY_DRY: f64 = 0.2;

/// What is in a container at one temperature.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Flash {
    /// Absolute pressure, Pa.
    pub pressure_pa: f64,
    /// Moles of liquid.
    pub liquid_mol: f64,
    /// Mole fractions in the liquid (of the first drop, if there is none).
    pub liquid_fractions: [f64; SPECIES],
    /// Mole fractions in the vapour; pure propane if the container holds nothing at all.
    pub vapour_fractions: [f64; SPECIES],
    /// Mass of liquid, kg.
    pub liquid_mass_kg: f64,
    /// Volume the liquid would take unsqueezed, m3.
    pub liquid_volume_m3: f64,
    /// Liquid volume over container volume; above 1 the liquid is squeezed.
    pub liquid_fill: f64,
    /// Mean molar mass of the vapour, kg/mol.
    pub vapour_molar_mass: f64,
    /// Compressibility factor of the vapour.
    pub z: f64,
    /// Heat capacity at constant volume and content, with what boils or condenses as it warms or cools, J/K.
    pub heat_capacity_j_per_k: f64,
    /// Heat that each kg drawn as vapour takes from what stays (air included in the kg), J/kg.
    pub vapour_draw_j_per_kg: f64,
    /// Heat that each kg drawn as liquid takes from what stays, by what boils into its place, J/kg.
    pub liquid_draw_j_per_kg: f64,
    /// What the liquid adds once it fills the container and is squeezed, Pa.
    pub squeeze_pa: f64,
    /// Enthalpy of the vapour, liquids at 0 C counted as 0, J/kg.
    pub vapour_j_per_kg: f64,
    /// ... of the liquid, J/kg.
    pub liquid_j_per_kg: f64,
}

impl Flash {
    /// Inner energy of a content of `all_kg` in `volume_m3`, liquids at 0 C counted as 0, J. The work done on a squeezed
    /// liquid is left out, as it is where the container warms and cools.
    pub fn inner_energy_j(&self, all_kg: f64, volume_m3: f64) -> f64 {
        let unsqueezed_pa = self.pressure_pa - self.squeeze_pa;
        self.liquid_mass_kg * self.liquid_j_per_kg
            + (all_kg - self.liquid_mass_kg) * self.vapour_j_per_kg
            - unsqueezed_pa * volume_m3
    }

    /// Density of the liquid, kg/m3; of cold propane where there is none.
    pub fn liquid_density_kg_per_m3(&self) -> f64 {
        if self.liquid_volume_m3 > 0.0 {
            self.liquid_mass_kg / self.liquid_volume_m3
        } else {
            500.0
        }
    }
}

/// Bulk modulus of saturated liquid of these mole fractions, Pa: `K = K0 (1 - T/Tc)^1.66`, Tc the mean of the species'.
///
/// Propane within 3 % of the reference equation of state from 0 to 57 C (6 % at -40 C), butanes within 27 %, all too stiff.
pub fn liquid_bulk_modulus_pa(liquid: &[f64; SPECIES], t_k: f64) -> f64 {
    let condensed = liquid.iter().zip(Species::ALL);
    let (mol, sum) = condensed.fold((0.0, 0.0), |(mol, sum), (x, species)| {
        species
            .critical_k()
            .map_or((mol, sum), |critical_k| (mol + x, sum + x * critical_k))
    });
    let below = if sum > 0.0 {
        1.0 - t_k * mol / sum
    } else {
        0.0
    };
    BULK_MODULUS_PA * below.max(LEAST_BELOW_CRITICAL).powf(BULK_EXPONENT)
}

/// Pressure that liquid which fills its container adds, Pa: `K/n ((1 + over)^n - 1)`, n = 12.
fn squeeze_pa(liquid_fill: f64, liquid: &[f64; SPECIES], t_k: f64) -> f64 {
    let over = positive_part(liquid_fill - 1.0, 2.0 * VAPOUR_FLOOR);
    if over > 0.0 {
        let stiffens = f64::from(STIFFENS);
        liquid_bulk_modulus_pa(liquid, t_k) / stiffens * ((1.0 + over).powi(STIFFENS) - 1.0)
    } else {
        0.0
    }
}

/// Splits `moles` (liquid **and** vapour, in the order of [`Species`]) at `t_k` in `volume_m3`.
///
/// Pressure, fractions and fill are continuous through dry-out (there is a kink: that is physics)
/// and smooth elsewhere, solved to about 1e-13, the same bits for the same input. Negative moles count as
/// 0. An overfilled container has a steep, finite pressure: bubble pressure plus bulk modulus times
/// overfill. `t_k` 150 to 420, `volume_m3` > 0.
pub fn flash(moles: &[f64; SPECIES], t_k: f64, volume_m3: f64) -> Flash {
    let content = Content::new(moles, t_k, volume_m3);
    if content.total_mol <= 0.0 {
        return content.vapour_only();
    }
    let guess = content.guess();
    // The balance rises with the share: whoever fits far below all vapour needs no look at that end.
    if guess > NEARLY_DRY && content.settled(1.0).residual_m3 <= 0.0 {
        return content.vapour_only();
    }
    let at = content.solve(guess);
    if at.share >= 1.0 {
        return content.vapour_only();
    }
    content.two_phase(&at)
}

/// Pressure over a liquid of these mole fractions \[Pa\], and each species' part of it; air counts for nothing.
///
/// What the whole pressure is to what the law asks for is 1 - `beta_i` p, well over 0: Newton from the ideal solution.
pub fn bubble(liquid: &[f64; SPECIES], t_k: f64) -> (f64, [f64; SPECIES]) {
    let content = Content::new(liquid, t_k, 1.0);
    let mut parts = [0.0; SPECIES];
    if content.total_mol <= 0.0 {
        return (0.0, parts);
    }
    // All liquid: a vapour's share of 0.
    let at = content.settled(0.0);
    for (part, (n, push_pa)) in parts.iter_mut().zip(content.moles.iter().zip(at.push_pa)) {
        *part = n * push_pa / content.total_mol;
    }
    (parts.iter().sum(), parts)
}

impl Content {
    fn two_phase(&self, at: &Balance) -> Flash {
        let s = at.vapour_mol_per_pa;
        let gas_pa = at.condensable_pa + self.air_mol / s;
        let liquid_fill = at.liquid_volume_m3 / self.volume_m3;
        let mut x = [0.0; SPECIES];
        let mut y = [0.0; SPECIES];
        let mut liquid_molar_mass = 0.0;
        for i in 0..CONDENSABLE {
            x[i] = self.moles[i] * at.inverse[i] / at.sum;
            y[i] = x[i] * at.push_pa[i] / gas_pa;
            liquid_molar_mass += x[i] * Species::ALL[i].molar_mass_kg_per_mol();
        }
        y[CONDENSABLE] = self.air_mol / s / gas_pa;
        let liquid_mol = (1.0 - at.share) * self.reference_pa * at.sum;
        let liquid_mass_kg = liquid_mol * liquid_molar_mass;
        let vapour_molar_mass = molar_mass(&y);
        let heat = Heat::of_two_phases(self, at);
        let enthalpy = |species: &Condensed| species.liquid_j_per_mol;
        let in_liquid = x.iter().zip(&self.species).map(|(x, s)| x * enthalpy(s));
        let liquid_j_per_kg = in_liquid.sum::<f64>() / liquid_molar_mass;
        let squeeze_pa = squeeze_pa(liquid_fill, &x, self.t_k);
        Flash {
            pressure_pa: gas_pa + squeeze_pa,
            squeeze_pa,
            liquid_mol,
            liquid_fractions: x,
            vapour_fractions: y,
            liquid_mass_kg,
            liquid_volume_m3: at.liquid_volume_m3,
            liquid_fill,
            vapour_molar_mass,
            z: at.z,
            heat_capacity_j_per_k: heat.capacity_j_per_k,
            vapour_draw_j_per_kg: heat.expansion_pa / gas_pa * at.z * self.rt / vapour_molar_mass,
            // Liquid that is squeezed leaves no room behind.
            liquid_draw_j_per_kg: heat.expansion_pa * at.space_slope * at.liquid_volume_m3
                / liquid_mass_kg,
            vapour_j_per_kg: self.vapour_j_per_mol(&y, at.condensable_pa) / vapour_molar_mass,
            liquid_j_per_kg,
        }
    }

    fn vapour_only(&self) -> Flash {
        let all_mol = self.total_mol + self.air_mol;
        let z = self.dry_compressibility(all_mol).0.0;
        let per_mol_pa = z * self.rt / self.volume_m3;
        let condensable_pa = self.total_mol * per_mol_pa;
        let k = self.pushes_pa(condensable_pa);
        let mut x = [0.0; SPECIES];
        let mut y = [0.0; SPECIES];
        if all_mol > 0.0 {
            for i in 0..CONDENSABLE {
                y[i] = self.moles[i] / all_mol;
                x[i] = self.moles[i] / k[i];
            }
            y[CONDENSABLE] = self.air_mol / all_mol;
        } else {
            y[0] = 1.0;
        }
        let sum: f64 = x.iter().sum();
        if sum > 0.0 {
            for share in &mut x {
                *share /= sum;
            }
        } else {
            x[0] = 1.0;
        }
        let vapour_molar_mass = molar_mass(&y);
        let heat = Heat::of_vapour(self);
        let kg_per_m3 = all_mol * vapour_molar_mass / self.volume_m3;
        Flash {
            pressure_pa: all_mol * per_mol_pa,
            squeeze_pa: 0.0,
            liquid_mol: 0.0,
            liquid_fractions: x,
            vapour_fractions: y,
            liquid_mass_kg: 0.0,
            liquid_volume_m3: 0.0,
            liquid_fill: 0.0,
            vapour_molar_mass,
            z,
            heat_capacity_j_per_k: heat.capacity_j_per_k,
            vapour_draw_j_per_kg: if kg_per_m3 > 0.0 {
                heat.expansion_pa / kg_per_m3
            } else {
                self.rt / vapour_molar_mass
            },
            liquid_draw_j_per_kg: 0.0,
            vapour_j_per_kg: self.vapour_j_per_mol(&y, condensable_pa) / vapour_molar_mass,
            liquid_j_per_kg: 0.0,
        }
    }
}

/// Molar mass of a vapour, kg/mol.
fn molar_mass(y: &[f64; SPECIES]) -> f64 {
    let each = Species::ALL.iter();
    each.map(|s| y[s.index()] * s.molar_mass_kg_per_mol()).sum()
}
