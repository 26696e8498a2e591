//! The two balances of a container's content, and where both are met.
//!
//! Each species pushes by its share x in the liquid, under a vapour that holds it back:
//!
//! ```text
//! p_i = x_i K_i,  K_i = ps_i exp(beta_i (p - ps_i)),  beta_i = v_i (-B)/(R T)
//! ```
//!
//! an ideal liquid, and Lewis and Randall's rule for the vapour (published). beta is the virial coefficient as felt in a
//! mixture; the four numbers v are fitted to ten mixtures of the reference's own mixture model (published), bubble
//! and dew pressure within 0.6 % from -20 to 120 F. A pure fuel has p = ps whatever they are.
//!
//! Two unknowns, the vapour's share nu and the pressure p of all that condenses. With any pressure `p_r`,
//!
//! ```text
//! D_i = (1 - nu) p_r + nu K_i
//! liquid:             L = (1 - nu) p_r sum(n_i/D_i)        x_i = (n_i/D_i) / sum(n_j/D_j)
//! vapour per pascal:  s = V_v/(Z R T) = nu sum(n_i/D_i)    y_i = x_i K_i / p
//! pressure:           sum(x_i K_i) = p
//! volumes:            s Z R T + sum(L x_i v_i) = V
//! ```
//!
//! the first lines satisfy every component balance exactly for any nu; what is left is the gap of the pressure and the
//! volume balance, rising in nu and nearly straight, so a safeguarded Newton needs few steps.
//!
//! Not here: what a container holds then (`flash`), what heat it takes (`heat`).

use super::species::{
    CONDENSABLE, Condensed, SPECIES, Species, condensed, ideal_gas_cp_j_per_mol_k,
};
use super::vapour::{
    compressibility_of, compressibility_of_density, departure_m3_per_mol, virial_per_pa,
};
use crate::physics::contact::{positive_part, positive_part_slope};
use crate::physics::{GAS_CONSTANT, WATER_FREEZING_K};

/// Vapour space left in a liquid-full container, share of its volume; also the rounding of that floor.
pub(super) const VAPOUR_FLOOR: f64 = 0.002;

/// Most Newton steps; a few are usual, the rest is for the bisections of an overfilled container.
const MAX_NEWTON: usize = 80;

/// Most steps for a pressure alone.
const MAX_PRESSURE: usize = 30;

/// A content at one temperature.
pub(super) struct Content {
    pub moles: [f64; CONDENSABLE],
    pub species: [Condensed; CONDENSABLE],
    /// beta, 1/Pa.
    pub hold_per_pa: [f64; CONDENSABLE],
    pub total_mol: f64,
    pub air_mol: f64,
    /// Mean saturation pressure `p_r`, Pa.
    pub reference_pa: f64,
    pub t_k: f64,
    /// R T, J/mol.
    pub rt: f64,
    /// -B/(R T), 1/Pa, and its slope in temperature.
    pub virial_per_pa: (f64, f64),
    /// B - T dB/dT, m3/mol, and its slope in temperature.
    pub departure: (f64, f64),
    pub volume_m3: f64,
}

/// One evaluation of the two balances.
#[derive(Debug, Clone, Copy)]
pub(super) struct Balance {
    /// The vapour's share nu it was made at.
    pub share: f64,
    /// The pressure p of all that condenses it was made at, Pa.
    pub condensable_pa: f64,
    /// K, Pa.
    pub push_pa: [f64; CONDENSABLE],
    /// 1/D, 1/Pa.
    pub inverse: [f64; CONDENSABLE],
    /// `sum(n_i/D_i)`, mol/Pa.
    pub sum: f64,
    /// s, mol/Pa, and its slopes in nu and p.
    pub vapour_mol_per_pa: f64,
    pub vapour_slopes: [f64; 2],
    pub liquid_volume_m3: f64,
    pub z: f64,
    /// Slope of Z in the reduced virial term q, and of q in s.
    pub z_slope: f64,
    pub virial_slope: f64,
    /// Share of the free volume in what the liquid gives way.
    pub space_slope: f64,
    /// s Z R T - `V_v`, m3: zero at the solution; its slopes in nu and p.
    pub residual_m3: f64,
    residual_slopes: [f64; 2],
    /// `sum(x_i K_i)` - p, Pa: zero at the solution; its slopes in nu and p.
    pub gap_pa: f64,
    gap_slopes: [f64; 2],
}

impl Balance {
    /// Steps of nu and p that undo a residual of the volumes and a gap of the pressure, to first order.
    pub fn step(&self, residual_m3: f64, gap_pa: f64) -> (f64, f64) {
        let ([rn, rp], [gn, gp]) = (self.residual_slopes, self.gap_slopes);
        let scale = 1.0 / (rn * gp - rp * gn);
        (
            (rp * gap_pa - gp * residual_m3) * scale,
            (gn * residual_m3 - rn * gap_pa) * scale,
        )
    }

    /// The residual of the volumes once the pressure has settled, to first order, m3.
    fn settled_residual_m3(&self) -> f64 {
        self.residual_m3 - self.residual_slopes[1] * self.gap_pa / self.gap_slopes[1]
    }

    /// Change of the pressure that settles it after a step of nu, Pa.
    fn settling_pa(&self, step: f64) -> f64 {
        -(self.gap_pa + self.gap_slopes[0] * step) / self.gap_slopes[1]
    }
}

impl Content {
    pub(super) fn new(moles: &[f64; SPECIES], t_k: f64, volume_m3: f64) -> Self {
        let species = condensed(t_k);
        let virial_per_pa = virial_per_pa(t_k);
        let mut n = [0.0; CONDENSABLE];
        let mut hold_per_pa = [0.0; CONDENSABLE];
        let mut total_mol = 0.0;
        let mut weighted = 0.0;
        for i in 0..CONDENSABLE {
            n[i] = moles[i].max(0.0);
            hold_per_pa[i] = species[i].virial * virial_per_pa.0;
            total_mol += n[i];
            weighted += n[i] * species[i].saturation_pa;
        }
        Self {
            moles: n,
            species,
            hold_per_pa,
            total_mol,
            air_mol: moles[Species::Air.index()].max(0.0),
            reference_pa: if total_mol > 0.0 {
                weighted / total_mol
            } else {
                species[0].saturation_pa
            },
            t_k,
            rt: GAS_CONSTANT * t_k,
            virial_per_pa,
            departure: departure_m3_per_mol(t_k),
            volume_m3,
        }
    }

    /// K of each species at a pressure of all that condenses, Pa; of one that is not there any will do.
    pub(super) fn pushes_pa(&self, condensable_pa: f64) -> [f64; CONDENSABLE] {
        std::array::from_fn(|i| {
            let saturation_pa = self.species[i].saturation_pa;
            if self.moles[i] == 0.0 {
                return saturation_pa;
            }
            saturation_pa * (self.hold_per_pa[i] * (condensable_pa - saturation_pa)).exp()
        })
    }

    /// Both balances at vapour share `nu` and pressure `p`, where the species push with `k`, with exact slopes.
    fn balance(&self, nu: f64, p: f64, k: [f64; CONDENSABLE]) -> Balance {
        let p_r = self.reference_pa;
        let wet = 1.0 - nu;
        // Sums of n/D, n v/D, n K/D, and their slopes in nu, d(1/D) = (p_r - K)/D^2, and in p, dK = beta K.
        let [mut a, mut b, mut c] = [0.0; 3];
        let [mut an, mut bn, mut cn] = [0.0; 3];
        let [mut ap, mut bp, mut cp] = [0.0; 3];
        let mut inverse = [0.0; CONDENSABLE];
        for i in 0..CONDENSABLE {
            let v = self.species[i].molar_volume.0;
            let dk = self.hold_per_pa[i] * k[i];
            inverse[i] = 1.0 / (wet * p_r + nu * k[i]);
            let share = self.moles[i] * inverse[i];
            let by_nu = share * inverse[i] * (p_r - k[i]);
            let by_p = -share * inverse[i] * nu * dk;
            a += share;
            b += share * v;
            c += share * k[i];
            an += by_nu;
            bn += by_nu * v;
            cn += by_nu * k[i];
            ap += by_p;
            bp += by_p * v;
            cp += by_p * k[i] + share * dk;
        }
        let mean_pa = c / a;
        let s = nu * a;
        let (sn, sp) = (a + nu * an, nu * ap);
        let (q, [qs, qp]) = self.virial_term(p, s);
        let (z, dz) = compressibility_of(q);
        let liquid_volume_m3 = wet * p_r * b;
        let floor = VAPOUR_FLOOR * self.volume_m3;
        let free = self.volume_m3 - liquid_volume_m3 - floor;
        let space = floor + positive_part(free, floor);
        let space_slope = positive_part_slope(free, floor);
        let rises = |by_s: f64, by_q: f64, liquid_m3: f64| {
            (by_s * (z + s * dz * qs) + s * dz * by_q) * self.rt + space_slope * liquid_m3
        };
        Balance {
            share: nu,
            condensable_pa: p,
            push_pa: k,
            inverse,
            sum: a,
            vapour_mol_per_pa: s,
            vapour_slopes: [sn, sp],
            liquid_volume_m3,
            z,
            z_slope: dz,
            virial_slope: qs,
            space_slope,
            residual_m3: s * z * self.rt - space,
            residual_slopes: [
                rises(sn, 0.0, p_r * (wet * bn - b)),
                rises(sp, qp, p_r * wet * bp),
            ],
            gap_pa: mean_pa - p,
            gap_slopes: [(cn - mean_pa * an) / a, (cp - mean_pa * ap) / a - 1.0],
        }
    }

    /// The balances at a vapour share where the pressure has settled.
    pub(super) fn settled(&self, nu: f64) -> Balance {
        let mut at = self.balance(nu, self.reference_pa, self.pushes_pa(self.reference_pa));
        for _ in 0..MAX_PRESSURE {
            let step = at.settling_pa(0.0);
            let p = bounded(at.condensable_pa, step);
            at = self.balance(nu, p, self.pushes_pa(p));
            if step.abs() <= 1e-9 * p {
                break;
            }
        }
        at
    }

    /// Reduced virial term of the vapour and its slopes in s and p: only the condensable share counts, air is ideal.
    pub(super) fn virial_term(&self, p: f64, s: f64) -> (f64, [f64; 2]) {
        let beta = self.virial_per_pa.0;
        if self.air_mol <= 0.0 {
            return (beta * p, [0.0, beta]);
        }
        let vapour = p * s;
        let all = vapour + self.air_mol;
        let share = vapour / all;
        let diluted = beta * p * self.air_mol / (all * all);
        (beta * p * share, [diluted * p, beta * share + diluted * s])
    }

    /// A first vapour share in (0, 1).
    pub(super) fn guess(&self) -> f64 {
        // Straight line between all liquid and all vapour: exact for one component.
        let liquid_m3: f64 = (0..CONDENSABLE)
            .map(|i| self.moles[i] * self.species[i].molar_volume.0)
            .sum();
        let z = compressibility_of(self.virial_per_pa.0 * self.reference_pa).0;
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

    /// The balance where volumes and pressure fit, by Newton between brackets from a first share; at a share of 1
    /// if none below it does.
    pub(super) fn solve(&self, first: f64) -> Balance {
        let (mut low, mut high) = (0.0_f64, 1.0_f64);
        let p = self.reference_pa;
        let mut at = self.balance(first, p, self.pushes_pa(p));
        for _ in 0..MAX_NEWTON {
            let nu = at.share;
            // How far the root may lie on the other side while the pressure has not settled: second order in it.
            let unsettled = at.gap_pa / at.condensable_pa;
            let doubt = 4.0 * unsettled * unsettled;
            if at.settled_residual_m3() < 0.0 {
                low = low.max(nu - doubt);
            } else {
                high = high.min(nu + doubt);
            }
            let (mut step, mut by_pa) = at.step(at.residual_m3, at.gap_pa);
            let newton = nu + step > low && nu + step < high;
            if !newton {
                step = 0.5 * (low + high) - nu;
                by_pa = at.settling_pa(step);
            }
            let (next, p) = (nu + step, bounded(at.condensable_pa, by_pa));
            // Newton squares the error: after relative steps of 1e-8 only rounding is left, in the slopes too.
            if newton && step.abs() <= 1e-8 * next && by_pa.abs() <= 1e-8 * p {
                let k =
                    std::array::from_fn(|i| at.push_pa[i] * (1.0 + self.hold_per_pa[i] * by_pa));
                return self.balance(next, p, k);
            }
            at = self.balance(next, p, self.pushes_pa(p));
            if step.abs() <= f64::EPSILON * next && by_pa.abs() <= f64::EPSILON * p {
                break;
            }
        }
        at
    }

    /// Heat that boils a mole of a species under a pressure of all that condenses, other than its own, J/mol: L, and the
    /// vapour's enthalpy between the two pressures.
    pub(super) fn latent_j_per_mol(&self, i: usize, condensable_pa: f64) -> f64 {
        let species = &self.species[i];
        species.latent.0
            + species.virial * self.departure.0 * (condensable_pa - species.saturation_pa)
    }

    /// Enthalpy of a vapour of these mole fractions, liquids at 0 C counted as 0, J/mol.
    pub(super) fn vapour_j_per_mol(&self, y: &[f64; SPECIES], condensable_pa: f64) -> f64 {
        let air = ideal_gas_cp_j_per_mol_k(Species::Air, self.t_k) * (self.t_k - WATER_FREEZING_K);
        let each = (0..CONDENSABLE).map(|i| {
            y[i] * (self.species[i].liquid_j_per_mol + self.latent_j_per_mol(i, condensable_pa))
        });
        each.sum::<f64>() + y[CONDENSABLE] * air
    }

    /// Z and its slope dZ/dd of the whole volume filled with vapour, and d.
    pub(super) fn dry_compressibility(&self, all_mol: f64) -> ((f64, f64), f64) {
        if all_mol <= 0.0 {
            return ((1.0, -1.0), 0.0);
        }
        // Only the condensable part counts: d = -B rho x^2.
        let share = self.total_mol / all_mol;
        let d = self.virial_per_pa.0 * self.rt * all_mol / self.volume_m3 * share * share;
        (compressibility_of_density(d), d)
    }
}

/// A pressure moved by a step, never to less than half or more than twice of it, Pa.
fn bounded(pa: f64, step_pa: f64) -> f64 {
    (pa + step_pa).clamp(0.5 * pa, 2.0 * pa)
}
