//! Physics: pure functions of numbers in SI, absolute pressures in Pa, temperatures in K.
//!
//! Here: the fuel as a fluid, laws of flow, contact and friction, heat and the air outside.
//! Not here: states, parameters of any regulator, files, time. Every law names its symbols,
//! its source, its assumptions and its range; every function gives a finite number for every
//! finite argument in the stated range and is at least continuous, mostly C1, because an
//! implicit solver differences it.

pub mod air;
pub mod contact;
pub mod damping;
pub mod flow;
pub mod fuel;
pub mod heat;
pub mod passage;
pub mod water;

/// Molar gas constant, J/(mol K). Exact since the 2019 SI (published).
pub const GAS_CONSTANT: f64 = 8.314_462_618;

/// Standard atmosphere, Pa (published: ISO 2533).
pub const STANDARD_ATMOSPHERE_PA: f64 = 101_325.0;

/// Molar mass of dry air, kg/mol (published: ISO 2533, US Standard Atmosphere 1976).
pub const AIR_MOLAR_MASS_KG_PER_MOL: f64 = 0.028_964_4;

/// Specific gas constant of dry air, J/(kg K) (published: ISO 2533, 287.053).
pub const AIR_GAS_CONSTANT: f64 = 287.053;

/// Standard gravity, m/s2. Exact (published).
pub const GRAVITY_M_PER_S2: f64 = 9.806_65;

/// Reference temperature of the fits and of trade gas volumes' metric kin: 15 C, K.
pub const REFERENCE_TEMPERATURE_K: f64 = 288.15;

/// Freezing point of water at one atmosphere, K (published).
pub const WATER_FREEZING_K: f64 = 273.15;
