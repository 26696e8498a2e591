//! The five species: constants and one-variable fits in temperature.
//!
//! All fits are to the reference equations of state as carried by `CoolProp` 8.0.0 (published);
//! `tests/reference/propane_table.py` makes the tables the tests compare with. They are polynomials
//! in one dimensionless variable, so they cost little and stay smooth and finite for any
//! temperature from 150 to 420 K, also above a critical point, where the saturation curve is
//! only a measure of how hard a dissolved component pushes.

use crate::physics::contact::{positive_part_slope, smooth_clamp};
use crate::physics::{REFERENCE_TEMPERATURE_K, WATER_FREEZING_K};

/// Number of species; every array of moles or fractions has this length.
pub const SPECIES: usize = 5;

/// Number of species that condense; they come first.
pub(super) const CONDENSABLE: usize = 4;

/// A species, in the order of every array of moles or fractions.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Species {
    /// Propane (with propylene counted in: nearly the same volatility).
    Propane = 0,
    /// Ethane, the light end.
    Ethane = 1,
    /// Normal butane.
    NButane = 2,
    /// Isobutane.
    Isobutane = 3,
    /// Air and anything else that never condenses nor dissolves here.
    Air = 4,
}

/// Data of one species that condenses; fits in u = T0/T - 1 or x = T/T0 - 1, T0 = 288.15 K.
struct Fit {
    /// ln(p/Pa) = c0 + c1 u + c2 u^2 + c3 u^3.
    saturation: [f64; 4],
    /// Saturated liquid, mol/m3, polynomial in x.
    liquid_density: [f64; 5],
    /// Latent heat, J/mol, polynomial in x.
    latent: [f64; 5],
    /// Range in K outside which liquid density and latent heat are held.
    held: (f64, f64),
    /// Ideal-gas heat capacity, J/(mol K), polynomial in x.
    cp: [f64; 3],
    /// Saturated liquid, rise of enthalpy along saturation dh/dT, J/(mol K), polynomial in x.
    liquid_heat: [f64; 4],
    /// How hard the vapour holds back the others: its virial coefficient as felt in a mixture over propane's own.
    virial: f64,
}

/// Largest deviation from the reference over 180-350 K (ethane 170-290 K): saturation 0.09 %
/// propane, 0.19 % ethane, 0.05 % butanes; density 0.2 %; latent heat 0.4 %; cp 0.6 %; heat of the liquid 0.5 %
/// of propane and butanes from -45 to 53 C, 2.7 % of ethane. `virial` is fitted to ten mixtures, see [`super::flash`].
const FITS: [Fit; CONDENSABLE] = [
    Fit {
        saturation: [13.502_416_61, -7.875_360_231, -0.182_631_1, -1.174_454_053],
        liquid_density: [
            11_517.841,
            -9_410.422_03,
            -9_435.792_25,
            -27_018.641_7,
            -36_433.699_1,
        ],
        latent: [
            15_562.849_1,
            -19_752.817_1,
            -29_806.891_3,
            -75_848.312_9,
            -96_058.861_9,
        ],
        held: (180.0, 348.0),
        cp: [71.452_72, 54.205_28, 9.301_963],
        liquid_heat: [115.503_7, 119.503_2, 269.468_2, 377.181_1],
        virial: 1.25,
    },
    Fit {
        saturation: [
            15.033_601_61,
            -6.375_830_826,
            0.919_379_261_2,
            -1.336_053_084,
        ],
        liquid_density: [
            11_902.157,
            -30_853.890_5,
            -82_817.662_7,
            -184_813.291,
            -166_355.109,
        ],
        latent: [
            7_106.267_56,
            -44_512.360_1,
            -135_865.494,
            -291_119.322,
            -259_706.246,
        ],
        held: (170.0, 288.0),
        cp: [51.321_49, 33.060_36, 9.794_409],
        liquid_heat: [123.184_5, 392.206_1, 1_240.190_1, 1_502.743_8],
        virial: 0.685,
    },
    Fit {
        saturation: [
            12.078_771_43,
            -9.670_960_745,
            -1.088_307_926,
            -0.613_673_809_7,
        ],
        liquid_density: [
            10_052.686_7,
            -5_562.154_49,
            -2_600.468_49,
            -4_010.260_29,
            -3_304.712_23,
        ],
        latent: [
            21_587.339_4,
            -16_094.739_5,
            -13_000.456_7,
            -20_801.591_8,
            -10_670.164_5,
        ],
        held: (180.0, 360.0),
        cp: [96.056_76, 69.706_57, 13.829_07],
        liquid_heat: [138.878_2, 89.498_9, 106.213, 58.697_9],
        virial: 1.85,
    },
    Fit {
        saturation: [
            12.464_198_11,
            -9.071_134_266,
            -0.872_162_485,
            -0.828_325_340_3,
        ],
        liquid_density: [
            9_686.667_5,
            -5_965.362_59,
            -3_331.379_33,
            -5_899.088_89,
            -5_882.970_87,
        ],
        latent: [
            19_739.426_2,
            -17_187.347,
            -15_972.535_7,
            -26_584.731_9,
            -19_672.131_6,
        ],
        held: (180.0, 360.0),
        cp: [94.013_7, 75.984_75, 8.411_17],
        liquid_heat: [137.792_8, 102.010_7, 126.741_4, 148.761_9],
        virial: 1.22,
    },
];

/// Rounding of the ends of the held range, K.
const HELD_ROUNDING_K: f64 = 4.0;

/// Pressure given for the species that never condenses, Pa: far above any container.
const NEVER_CONDENSES_PA: f64 = 1e12;

/// Ideal-gas heat capacity of air, J/(mol K) (published).
const AIR_CP_J_PER_MOL_K: f64 = 29.1;

impl Species {
    /// All species in array order.
    pub const ALL: [Self; SPECIES] = [
        Self::Propane,
        Self::Ethane,
        Self::NButane,
        Self::Isobutane,
        Self::Air,
    ];

    /// Place in an array of moles or fractions.
    pub const fn index(self) -> usize {
        self as usize
    }

    /// Molar mass, kg/mol (published: reference equations of state; air ISO 2533).
    pub const fn molar_mass_kg_per_mol(self) -> f64 {
        match self {
            Self::Propane => 0.044_095_62,
            Self::Ethane => 0.030_069_04,
            Self::NButane | Self::Isobutane => 0.058_122_2,
            Self::Air => crate::physics::AIR_MOLAR_MASS_KG_PER_MOL,
        }
    }

    /// **Gross** heat of combustion at 25 C of the ideal gas, J/mol (published: ISO 6976).
    ///
    /// Trade ratings in Btu/h are gross. Propane comes to 50.33 MJ/kg: 100,000 Btu/h is 0.582 g/s,
    /// half a percent under the 0.585 g/s that trade tables use.
    pub const fn heating_value_j_per_mol(self) -> f64 {
        match self {
            Self::Propane => 2_219_170.0,
            Self::Ethane => 1_560_690.0,
            Self::NButane => 2_877_400.0,
            Self::Isobutane => 2_868_200.0,
            Self::Air => 0.0,
        }
    }

    /// Gross heat of combustion, J/kg.
    pub const fn heating_value_j_per_kg(self) -> f64 {
        self.heating_value_j_per_mol() / self.molar_mass_kg_per_mol()
    }

    /// Critical temperature, K, if it condenses (published: reference equations of state).
    pub const fn critical_k(self) -> Option<f64> {
        match self {
            Self::Propane => Some(369.89),
            Self::Ethane => Some(305.32),
            Self::NButane => Some(425.125),
            Self::Isobutane => Some(407.81),
            Self::Air => None,
        }
    }

    /// Its fits, if it condenses.
    fn fit(self) -> Option<&'static Fit> {
        FITS.get(self.index())
    }
}

/// A polynomial and its slope by Horner's rule, lowest order first.
fn polynomial_and_slope<const N: usize>(c: &[f64; N], x: f64) -> (f64, f64) {
    c.iter().rev().fold((0.0, 0.0), |(sum, slope), &k| {
        (sum * x + k, slope * x + sum)
    })
}

/// Polynomial by Horner's rule, lowest order first.
fn polynomial<const N: usize>(c: &[f64; N], x: f64) -> f64 {
    c.iter().rev().fold(0.0, |sum, &k| sum * x + k)
}

/// Saturation pressure, Pa absolute, at `t_k`.
///
/// Range 150 to 420 K; propane within 0.1 % of the reference from -45 to 60 C, ethane within 0.2 %
/// to 30 C, butanes within 0.05 % from -45 to 70 C. Above the critical point a smooth
/// extrapolation. Air: a pressure no container reaches.
pub fn saturation_pressure_pa(species: Species, t_k: f64) -> f64 {
    species.fit().map_or(NEVER_CONDENSES_PA, |fit| {
        polynomial(&fit.saturation, REFERENCE_TEMPERATURE_K / t_k - 1.0).exp()
    })
}

/// Saturation temperature, K, at absolute pressure `p_pa`: the inverse of the fit by Newton in 1/T.
///
/// The result is held to 120-450 K, also for a pressure of 0 or less (then 120 K). Air: 120 K.
pub fn saturation_temperature_k(species: Species, p_pa: f64) -> f64 {
    const COLDEST_K: f64 = 120.0;
    const HOTTEST_K: f64 = 450.0;
    let Some(fit) = species.fit() else {
        return COLDEST_K;
    };
    if p_pa <= 0.0 {
        return COLDEST_K;
    }
    let c = &fit.saturation;
    let (low, high) = (
        REFERENCE_TEMPERATURE_K / HOTTEST_K - 1.0,
        REFERENCE_TEMPERATURE_K / COLDEST_K - 1.0,
    );
    let target = p_pa.ln();
    let mut u = ((target - c[0]) / c[1]).clamp(low, high);
    for _ in 0..12 {
        let slope = c[1] + u * (2.0 * c[2] + u * 3.0 * c[3]);
        let next = (u - (polynomial(c, u) - target) / slope).clamp(low, high);
        let step = (next - u).abs();
        u = next;
        if step < 1e-15 {
            break;
        }
    }
    REFERENCE_TEMPERATURE_K / (1.0 + u)
}

/// Molar volume of the saturated liquid, m3/mol.
///
/// Within 0.2 % of the reference, 180 to 348 K (ethane 170 to 288 K); held constant outside, which for
/// ethane above its critical point is near the volume it takes up dissolved. Air: 0.
pub fn liquid_molar_volume_m3_per_mol(species: Species, t_k: f64) -> f64 {
    species.fit().map_or(0.0, |fit| {
        1.0 / polynomial(&fit.liquid_density, held_variable(fit, t_k).0)
    })
}

/// Latent heat, J/mol.
///
/// Within 0.4 % of the reference, 180 to 348 K (ethane 170 to 288 K); held constant outside. Air: 0.
pub fn latent_heat_j_per_mol(species: Species, t_k: f64) -> f64 {
    species.fit().map_or(0.0, |fit| {
        polynomial(&fit.latent, held_variable(fit, t_k).0)
    })
}

/// Enthalpy of the saturated liquid counted from 0 C, J/mol, and its rise with temperature, J/(mol K): the
/// integral of the fitted rise, in a straight line outside the range of the fits. 0 for air.
pub fn liquid_enthalpy_j_per_mol(species: Species, t_k: f64) -> (f64, f64) {
    species.fit().map_or((0.0, 0.0), |fit| {
        let x = held_variable(fit, t_k).0;
        (
            liquid_enthalpy(fit, x, t_k),
            polynomial(&fit.liquid_heat, x),
        )
    })
}

fn liquid_enthalpy(fit: &Fit, x: f64, t_k: f64) -> f64 {
    const FREEZING: f64 = WATER_FREEZING_K / REFERENCE_TEMPERATURE_K - 1.0;
    let [a, b, c, d] = fit.liquid_heat;
    let integral = |x: f64| x * (a + x * (b / 2.0 + x * (c / 3.0 + x * d / 4.0)));
    let within = REFERENCE_TEMPERATURE_K * (integral(x) - integral(FREEZING));
    within + polynomial(&fit.liquid_heat, x) * (t_k - REFERENCE_TEMPERATURE_K * (1.0 + x))
}

/// A species that condenses, at one temperature.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Condensed {
    /// Saturation pressure, Pa.
    pub saturation_pa: f64,
    /// Its relative rise with temperature, d(ln ps)/dT, 1/K.
    pub saturation_rise_per_k: f64,
    /// Molar volume of the liquid, m3/mol, and its rise with temperature.
    pub molar_volume: (f64, f64),
    /// Latent heat, J/mol, and its rise with temperature.
    pub latent: (f64, f64),
    /// Rise of the liquid's enthalpy along saturation, J/(mol K).
    pub liquid_heat: f64,
    /// That enthalpy, counted from 0 C, J/mol.
    pub liquid_j_per_mol: f64,
    /// Virial coefficient as felt in a mixture, over propane's own.
    pub virial: f64,
}

/// Everything of the four species that condense at one temperature, with slopes; ranges as of each law by itself.
pub(super) fn condensed(t_k: f64) -> [Condensed; CONDENSABLE] {
    let u = REFERENCE_TEMPERATURE_K / t_k - 1.0;
    FITS.each_ref().map(|fit| {
        let (ln_p, rise) = polynomial_and_slope(&fit.saturation, u);
        let (x, held) = held_variable(fit, t_k);
        let (density, denser) = polynomial_and_slope(&fit.liquid_density, x);
        let (latent, more) = polynomial_and_slope(&fit.latent, x);
        Condensed {
            saturation_pa: ln_p.exp(),
            saturation_rise_per_k: -rise * (1.0 + u) / t_k,
            molar_volume: (1.0 / density, -denser * held / (density * density)),
            latent: (latent, more * held),
            liquid_heat: polynomial(&fit.liquid_heat, x),
            liquid_j_per_mol: liquid_enthalpy(fit, x, t_k),
            virial: fit.virial,
        }
    })
}

/// Ideal-gas heat capacity at constant pressure, J/(mol K); within 0.6 %, 200 to 400 K.
pub fn ideal_gas_cp_j_per_mol_k(species: Species, t_k: f64) -> f64 {
    species.fit().map_or(AIR_CP_J_PER_MOL_K, |fit| {
        polynomial(&fit.cp, t_k / REFERENCE_TEMPERATURE_K - 1.0)
    })
}

/// x = T/T0 - 1 with T held to the range of the liquid fits, and its slope dx/dT.
fn held_variable(fit: &Fit, t_k: f64) -> (f64, f64) {
    let (low, high) = fit.held;
    let held_k = smooth_clamp(t_k, low, high, HELD_ROUNDING_K);
    let slope = positive_part_slope(t_k - low, HELD_ROUNDING_K)
        - positive_part_slope(t_k - high, HELD_ROUNDING_K);
    (
        held_k / REFERENCE_TEMPERATURE_K - 1.0,
        slope / REFERENCE_TEMPERATURE_K,
    )
}
