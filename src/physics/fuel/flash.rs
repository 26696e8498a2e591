//! The split of a container's content into liquid and vapour: Raoult's law in a fixed volume.
//!
//! One unknown, the vapour's share nu. With the mean saturation pressure `p_r`,
//!
//! ```text
//! D_i = (1 - nu) p_r + nu ps_i
//! liquid:             L = (1 - nu) p_r sum(n_i/D_i)        x_i = (n_i/D_i) / sum(n_j/D_j)
//! vapour per pascal:  s = V_v/(Z R T) = nu sum(n_i/D_i)    y_i = x_i ps_i / p
//! volumes:            s Z R T + sum(L x_i v_i) = V
//! ```
//!
//! the first lines satisfy every component balance exactly for any nu; what is left is the volume
//! balance, rising in nu and nearly straight, so a safeguarded Newton needs few steps.
//!
//! Assumptions: ideal solution, ideal mixing of the vapour with the Z of propane, air only in
//! the vapour, liquid volumes additive. Not here: heat, temperature of the wall, flow.

use super::species::{
    CONDENSABLE, SPECIES, Species, liquid_volume_and_latent_heat, saturation_pressure_pa,
};
use super::vapour::{compressibility_of, compressibility_of_density, second_virial_m3_per_mol};
use crate::physics::GAS_CONSTANT;
use crate::physics::contact::{positive_part, positive_part_slope, smoothstep};

/// Bulk modulus of the liquid once it fills the container, Pa.
///
/// Propane at 15 C: 1/(5.1e-9 1/Pa) (published: reference equation of state); 6e7 to 5e8 Pa over the range.
pub const LIQUID_BULK_MODULUS_PA: f64 = 2.0e8;

/// Vapour space left in a liquid-full container, share of its volume; also the rounding of that floor.
const VAPOUR_FLOOR: f64 = 0.002;

/// First share from which the content may be dry.
const NEARLY_DRY: f64 = 0.2;

/// Most Newton steps; a few are usual, the rest is for the bisections of an overfilled container.
const MAX_NEWTON: usize = 80;

/// The latent heat fades to nothing while the liquid's share of the moles falls from here to 0.
const DRYING_SHARE: f64 = 0.01;

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
    /// Heat to boil one kg of the vapour that leaves (air included in the kg), J/kg; fades to 0 over the last
    /// hundredth of the moles, where nothing is left to boil.
    pub latent_heat_j_per_kg: f64,
    /// Compressibility factor of the vapour.
    pub z: f64,
}

impl Flash {
    /// Density of the liquid, kg/m3; of cold propane where there is none.
    pub fn liquid_density_kg_per_m3(&self) -> f64 {
        if self.liquid_volume_m3 > 0.0 {
            self.liquid_mass_kg / self.liquid_volume_m3
        } else {
            500.0
        }
    }
}

/// The four condensable components at one temperature.
struct Liquids {
    moles: [f64; CONDENSABLE],
    saturation_pa: [f64; CONDENSABLE],
    molar_volume: [f64; CONDENSABLE],
    /// Latent heats, J/mol.
    latent: [f64; CONDENSABLE],
    total_mol: f64,
    air_mol: f64,
    /// Mean saturation pressure `p_r`, Pa.
    reference_pa: f64,
    /// R T, J/mol.
    rt: f64,
    /// -B/(R T), 1/Pa.
    virial_per_pa: f64,
    volume_m3: f64,
}

/// One evaluation of the volume balance.
#[derive(Debug, Clone, Copy)]
struct Balance {
    /// The vapour's share nu it was made at.
    share: f64,
    /// s Z R T - `V_v`, m3: zero at the solution.
    residual_m3: f64,
    /// Its slope in nu.
    slope_m3: f64,
    /// `sum(n_i/D_i)`, mol/Pa.
    sum: f64,
    /// Pressure of the condensable vapour, Pa.
    condensable_pa: f64,
    /// s, mol/Pa.
    vapour_mol_per_pa: f64,
    liquid_volume_m3: f64,
    z: f64,
    /// Slopes in nu of the five before.
    slopes: [f64; 5],
}

impl Balance {
    /// The same a tiny step of the share away.
    fn moved_by(self, step: f64) -> Self {
        let [sum, condensable, per_pa, liquid, z] = self.slopes;
        Self {
            share: self.share + step,
            residual_m3: self.residual_m3 + step * self.slope_m3,
            sum: self.sum + step * sum,
            condensable_pa: self.condensable_pa + step * condensable,
            vapour_mol_per_pa: self.vapour_mol_per_pa + step * per_pa,
            liquid_volume_m3: self.liquid_volume_m3 + step * liquid,
            z: self.z + step * z,
            ..self
        }
    }
}

/// Splits `moles` (liquid **and** vapour, in the order of [`Species`]) at `t_k` in `volume_m3`.
///
/// Pressure, fractions and fill are continuous through dry-out (there is a kink: that is physics)
/// and smooth elsewhere, solved to about 1e-13, the same bits for the same input. Negative moles count as
/// 0. An overfilled container has a steep, finite pressure: bubble pressure plus bulk modulus times
/// overfill. `t_k` 150 to 420, `volume_m3` > 0.
pub fn flash(moles: &[f64; SPECIES], t_k: f64, volume_m3: f64) -> Flash {
    let liquids = Liquids::new(moles, t_k, volume_m3);
    if liquids.total_mol <= 0.0 {
        return liquids.vapour_only();
    }
    let guess = liquids.guess();
    // The balance rises with the share: whoever fits far below all vapour needs no look at that end.
    if guess > NEARLY_DRY && liquids.balance(1.0).residual_m3 <= 0.0 {
        return liquids.vapour_only();
    }
    let at = liquids.solve(guess);
    if at.share >= 1.0 {
        return liquids.vapour_only();
    }
    liquids.two_phase(&at)
}

impl Liquids {
    fn new(moles: &[f64; SPECIES], t_k: f64, volume_m3: f64) -> Self {
        let mut n = [0.0; CONDENSABLE];
        let mut saturation_pa = [0.0; CONDENSABLE];
        let mut molar_volume = [0.0; CONDENSABLE];
        let mut latent = [0.0; CONDENSABLE];
        let mut total_mol = 0.0;
        let mut weighted = 0.0;
        for (i, species) in Species::ALL.into_iter().take(CONDENSABLE).enumerate() {
            n[i] = moles[i].max(0.0);
            saturation_pa[i] = saturation_pressure_pa(species, t_k);
            (molar_volume[i], latent[i]) = liquid_volume_and_latent_heat(species, t_k);
            total_mol += n[i];
            weighted += n[i] * saturation_pa[i];
        }
        let rt = GAS_CONSTANT * t_k;
        Self {
            moles: n,
            saturation_pa,
            molar_volume,
            latent,
            total_mol,
            air_mol: moles[Species::Air.index()].max(0.0),
            reference_pa: if total_mol > 0.0 {
                weighted / total_mol
            } else {
                saturation_pa[0]
            },
            rt,
            virial_per_pa: -second_virial_m3_per_mol(t_k) / rt,
            volume_m3,
        }
    }

    /// Volume balance at vapour share `nu`, with its exact slope.
    fn balance(&self, nu: f64) -> Balance {
        let p_r = self.reference_pa;
        let wet = 1.0 - nu;
        // Sums of n/D, n v/D, n ps/D and their slopes in nu: d(1/D) = (p_r - ps)/D^2.
        let (mut a, mut b, mut c) = (0.0, 0.0, 0.0);
        let (mut da, mut db, mut dc) = (0.0, 0.0, 0.0);
        for i in 0..CONDENSABLE {
            let inverse = 1.0 / (wet * p_r + nu * self.saturation_pa[i]);
            let share = self.moles[i] * inverse;
            let change = share * inverse * (p_r - self.saturation_pa[i]);
            a += share;
            b += share * self.molar_volume[i];
            c += share * self.saturation_pa[i];
            da += change;
            db += change * self.molar_volume[i];
            dc += change * self.saturation_pa[i];
        }
        let s = nu * a;
        let ds = a + nu * da;
        let condensable_pa = c / a;
        let dp = (dc - condensable_pa * da) / a;
        let (q, dq) = self.virial_term(condensable_pa, dp, s, ds);
        let (z, dz) = compressibility_of(q);
        let liquid_volume_m3 = wet * p_r * b;
        let floor = VAPOUR_FLOOR * self.volume_m3;
        let free = self.volume_m3 - liquid_volume_m3 - floor;
        let space = floor + positive_part(free, floor);
        let dliquid = p_r * (wet * db - b);
        let dspace = -positive_part_slope(free, floor) * dliquid;
        Balance {
            share: nu,
            residual_m3: s * z * self.rt - space,
            slope_m3: (ds * z + s * dz * dq) * self.rt - dspace,
            sum: a,
            condensable_pa,
            vapour_mol_per_pa: s,
            liquid_volume_m3,
            z,
            slopes: [da, dp, ds, dliquid, dz * dq],
        }
    }

    /// Reduced virial term of the vapour and its slope: only the condensable share counts, air is ideal.
    fn virial_term(&self, p: f64, dp: f64, s: f64, ds: f64) -> (f64, f64) {
        if self.air_mol <= 0.0 {
            return (self.virial_per_pa * p, self.virial_per_pa * dp);
        }
        let vapour = p * s;
        let all = vapour + self.air_mol;
        let share = vapour / all;
        let dshare = (dp * s + p * ds) * self.air_mol / (all * all);
        (
            self.virial_per_pa * p * share,
            self.virial_per_pa * (dp * share + p * dshare),
        )
    }

    /// A first vapour share in (0, 1).
    fn guess(&self) -> f64 {
        // Straight line between all liquid and all vapour: exact for one component.
        let liquid_m3: f64 = (0..CONDENSABLE)
            .map(|i| self.moles[i] * self.molar_volume[i])
            .sum();
        let z = compressibility_of(self.virial_per_pa * self.reference_pa).0;
        let vapour_m3 = self.total_mol * z * self.rt / self.reference_pa;
        let nu = (self.volume_m3 - liquid_m3) / (vapour_m3 - liquid_m3);
        if nu <= 0.0 {
            VAPOUR_FLOOR * self.volume_m3 / vapour_m3
        } else if nu < 1.0 {
            nu
        } else {
            0.5
        }
    }

    /// The balance where the volumes fit, by Newton between brackets from a first share; at a share of 1 if
    /// none below it does.
    fn solve(&self, first: f64) -> Balance {
        let (mut low, mut high) = (0.0_f64, 1.0_f64);
        let mut balance = self.balance(first);
        for _ in 0..MAX_NEWTON {
            let nu = balance.share;
            if balance.residual_m3 < 0.0 {
                low = nu;
            } else {
                high = nu;
            }
            let mut next = nu - balance.residual_m3 / balance.slope_m3;
            let newton = next > low && next < high;
            if !newton {
                next = 0.5 * (low + high);
            }
            let step = next - nu;
            // Newton squares the error: after a relative step of 1e-8 only rounding is left, in the slopes too.
            if step.abs() <= 1e-8 * next && newton {
                return balance.moved_by(step);
            }
            balance = self.balance(next);
            if step.abs() <= f64::EPSILON * next {
                break;
            }
        }
        balance
    }

    fn two_phase(&self, at: &Balance) -> Flash {
        let nu = at.share;
        let s = at.vapour_mol_per_pa;
        let gas_pa = at.condensable_pa + self.air_mol / s;
        let liquid_fill = at.liquid_volume_m3 / self.volume_m3;
        let squeeze_pa =
            LIQUID_BULK_MODULUS_PA * positive_part(liquid_fill - 1.0, 2.0 * VAPOUR_FLOOR);
        let mut x = [0.0; SPECIES];
        let mut y = [0.0; SPECIES];
        let mut liquid_molar_mass = 0.0;
        for i in 0..CONDENSABLE {
            let d = (1.0 - nu) * self.reference_pa + nu * self.saturation_pa[i];
            x[i] = self.moles[i] / (d * at.sum);
            y[i] = x[i] * self.saturation_pa[i] / gas_pa;
            liquid_molar_mass += x[i] * Species::ALL[i].molar_mass_kg_per_mol();
        }
        y[CONDENSABLE] = self.air_mol / s / gas_pa;
        let liquid_mol = (1.0 - nu) * self.reference_pa * at.sum;
        let (vapour_molar_mass, latent) = self.leaving(&y);
        Flash {
            pressure_pa: gas_pa + squeeze_pa,
            liquid_mol,
            liquid_fractions: x,
            vapour_fractions: y,
            liquid_mass_kg: liquid_mol * liquid_molar_mass,
            liquid_volume_m3: at.liquid_volume_m3,
            liquid_fill,
            vapour_molar_mass,
            latent_heat_j_per_kg: latent
                * smoothstep(liquid_mol / self.total_mol, 0.0, DRYING_SHARE),
            z: at.z,
        }
    }

    fn vapour_only(&self) -> Flash {
        let all_mol = self.total_mol + self.air_mol;
        let mut x = [0.0; SPECIES];
        let mut y = [0.0; SPECIES];
        if all_mol > 0.0 {
            for i in 0..CONDENSABLE {
                y[i] = self.moles[i] / all_mol;
                x[i] = self.moles[i] / self.saturation_pa[i];
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
        let z = self.dry_compressibility(all_mol);
        Flash {
            pressure_pa: all_mol * z * self.rt / self.volume_m3,
            liquid_mol: 0.0,
            liquid_fractions: x,
            vapour_fractions: y,
            liquid_mass_kg: 0.0,
            liquid_volume_m3: 0.0,
            liquid_fill: 0.0,
            vapour_molar_mass: self.leaving(&y).0,
            latent_heat_j_per_kg: 0.0,
            z,
        }
    }

    /// Z of the whole volume filled with vapour.
    fn dry_compressibility(&self, all_mol: f64) -> f64 {
        if all_mol <= 0.0 {
            return 1.0;
        }
        // Only the condensable part counts: d = -B rho x^2.
        let share = self.total_mol / all_mol;
        let d = self.virial_per_pa * self.rt * all_mol / self.volume_m3 * share * share;
        compressibility_of_density(d)
    }

    /// Molar mass (kg/mol) of a vapour and the heat to boil one kg of it (J/kg).
    fn leaving(&self, y: &[f64; SPECIES]) -> (f64, f64) {
        let mut mass = 0.0;
        let mut heat = 0.0;
        for species in Species::ALL {
            let i = species.index();
            mass += y[i] * species.molar_mass_kg_per_mol();
            // Air boils nowhere.
            heat += self.latent.get(i).map_or(0.0, |latent| y[i] * latent);
        }
        (mass, heat / mass)
    }
}
