//! The vapour as the regulator and the burners see it: one gas with a few constants.

use super::species::{SPECIES, Species, ideal_gas_cp_j_per_mol_k};
use crate::physics::contact::{positive_part, positive_part_slope};
use crate::physics::{GAS_CONSTANT, REFERENCE_TEMPERATURE_K};

/// Constants of a vapour of given composition.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Vapour {
    /// Mean molar mass, kg/mol.
    pub molar_mass_kg_per_mol: f64,
    /// Specific gas constant, J/(kg K).
    pub gas_constant_j_per_kg_k: f64,
    /// Ratio of ideal-gas heats at 15 C.
    pub gamma: f64,
    /// Gross heating value per kg of the mixture, J/kg.
    pub heating_value_j_per_kg: f64,
    /// Mole fraction of air.
    pub air_share: f64,
}

impl Vapour {
    /// From mole fractions in the order of [`Species`]; they need not sum to 1.
    ///
    /// All zero (or not finite) gives pure propane, so that an empty pipe still has a gas.
    pub fn from_fractions(fractions: &[f64; SPECIES]) -> Self {
        let mut sum = 0.0;
        let mut mass = 0.0;
        let mut heat = 0.0;
        let mut cp = 0.0;
        for species in Species::ALL {
            let share = fractions[species.index()].max(0.0);
            sum += share;
            mass += share * species.molar_mass_kg_per_mol();
            heat += share * species.heating_value_j_per_mol();
            cp += share * ideal_gas_cp_j_per_mol_k(species, REFERENCE_TEMPERATURE_K);
        }
        if !(sum > 0.0 && sum.is_finite()) {
            return Self::propane();
        }
        let molar_mass = mass / sum;
        let cp = cp / sum;
        Self {
            molar_mass_kg_per_mol: molar_mass,
            gas_constant_j_per_kg_k: GAS_CONSTANT / molar_mass,
            gamma: cp / (cp - GAS_CONSTANT),
            heating_value_j_per_kg: heat / mass,
            air_share: fractions[Species::Air.index()].max(0.0) / sum,
        }
    }

    /// This gas with a share by mass of another in it. Gas constant and heating value mix by mass exactly;
    /// so nearly do the ratio of heats (within 1e-4 for fuel gases) and the share of air.
    #[must_use]
    pub fn mixed(&self, other: &Self, mass_share: f64) -> Self {
        let of = |a: f64, b: f64| a + mass_share * (b - a);
        let r = of(self.gas_constant_j_per_kg_k, other.gas_constant_j_per_kg_k);
        Self {
            molar_mass_kg_per_mol: GAS_CONSTANT / r,
            gas_constant_j_per_kg_k: r,
            gamma: of(self.gamma, other.gamma),
            heating_value_j_per_kg: of(self.heating_value_j_per_kg, other.heating_value_j_per_kg),
            air_share: of(self.air_share, other.air_share),
        }
    }

    /// Pure propane.
    pub fn propane() -> Self {
        Self::from_fractions(&[1.0, 0.0, 0.0, 0.0, 0.0])
    }

    /// Density, kg/m3, at absolute pressure, temperature and compressibility `z`.
    pub fn density_kg_per_m3(&self, pressure_pa: f64, t_k: f64, z: f64) -> f64 {
        pressure_pa / (z * self.gas_constant_j_per_kg_k * t_k)
    }
}

/// Lowest compressibility factor the model gives: (1 + sqrt(1 - 4 `CAP`))/2.
pub const COMPRESSIBILITY_FLOOR: f64 = 0.641_421_356_237_309_5;

/// The reduced virial term -B p/(R T) is held at this value, below the fold at 1/4 ...
const CAP: f64 = 0.23;
/// ... and rounded over this half width: exact up to 0.22, which is saturation at 60 C.
const CAP_ROUNDING: f64 = 0.01;

/// -B of propane, m3/mol, as a polynomial in u = T0/T - 1.
const VIRIAL: [f64; 4] = [
    4.144_504_57e-4,
    9.763_633_08e-4,
    2.232_187_54e-4,
    7.860_365_38e-4,
];

/// Second virial coefficient of propane over R T, negated: -B/(R T), 1/Pa, and its slope in temperature.
///
/// Fitted so that Z of **saturated** vapour is right to 0.2 % from 225 to 335 K; it is within 2 % of the true
/// virial coefficient as well. Range 150 to 420 K.
pub(super) fn virial_per_pa(t_k: f64) -> (f64, f64) {
    let u = REFERENCE_TEMPERATURE_K / t_k - 1.0;
    let [c0, c1, c2, c3] = VIRIAL;
    let b = c0 + u * (c1 + u * (c2 + u * c3));
    let rise = c1 + u * (2.0 * c2 + u * 3.0 * c3);
    let rt = GAS_CONSTANT * t_k;
    (b / rt, -(rise * (1.0 + u) + b) / (rt * t_k))
}

/// How much more enthalpy vapour has for each pascal, B - T dB/dT = R T² d(-B/(R T))/dT, m3/mol, and its slope in
/// temperature (derived from the virial coefficient).
pub(super) fn departure_m3_per_mol(t_k: f64) -> (f64, f64) {
    let u = REFERENCE_TEMPERATURE_K / t_k - 1.0;
    let [c0, c1, c2, c3] = VIRIAL;
    let b = c0 + u * (c1 + u * (c2 + u * c3));
    let rise = c1 + u * (2.0 * c2 + u * 3.0 * c3);
    let bend = 2.0 * c2 + u * 6.0 * c3;
    let ratio = 1.0 + u;
    (
        -(rise * ratio + b),
        (bend * ratio + 2.0 * rise) * ratio / t_k,
    )
}

/// Compressibility factor Z of propane-like vapour at absolute pressure `p_pa` and `t_k`.
///
/// Density virial of second order, Z = 1 + B rho with rho = p/(Z R T), solved for Z:
/// Z = (1 + sqrt(1 - 4 q))/2, q = -B p/(R T). 1 at p -> 0, never under 0.64, C1, falling with p.
/// Within 0.3 % of the reference for superheated vapour to 38 C, 1 % to 60 C.
pub fn compressibility(p_pa: f64, t_k: f64) -> f64 {
    compressibility_of(virial_per_pa(t_k).0 * p_pa.max(0.0)).0
}

/// Compressibility factor of propane-like vapour at a density \[mol/m3\] and `t_k`: [`compressibility`] at the
/// pressure that goes with it.
pub fn compressibility_at_density(mol_per_m3: f64, t_k: f64) -> f64 {
    compressibility_of_density(virial_per_pa(t_k).0 * GAS_CONSTANT * t_k * mol_per_m3).0
}

/// Z and dZ/dd at known density, d = -B rho: Z = f(q), q = d Z. Without the cap that is 1 - d; past it by Newton.
pub(super) fn compressibility_of_density(d: f64) -> (f64, f64) {
    let mut z = (1.0 - d).max(0.6);
    if d * z <= CAP - CAP_ROUNDING {
        return (z, -1.0);
    }
    let mut rise = 0.0;
    for _ in 0..30 {
        let (value, slope) = compressibility_of(d * z);
        let step = (z - value) / (1.0 - slope * d);
        z -= step;
        rise = slope * z / (1.0 - slope * d);
        if step.abs() < 1e-15 {
            break;
        }
    }
    (z, rise)
}

/// Z and dZ/dq of the reduced virial term q = -B p/(R T).
pub(super) fn compressibility_of(q: f64) -> (f64, f64) {
    let over = q - CAP;
    let capped = if over >= CAP_ROUNDING {
        CAP
    } else {
        q - positive_part(over, CAP_ROUNDING)
    };
    let root = (1.0 - 4.0 * capped).sqrt();
    let slope = (positive_part_slope(over, CAP_ROUNDING) - 1.0) / root;
    (0.5 * (1.0 + root), slope)
}

/// Viscosity of propane vapour, Pa s, near one atmosphere: in proportion to the temperature, within 0.4 % of the
/// reference, 230 to 345 K (published).
pub fn viscosity_pa_s(t_k: f64) -> f64 {
    7.869_694_6e-6 / REFERENCE_TEMPERATURE_K * t_k
}
