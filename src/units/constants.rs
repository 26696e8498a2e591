//! The exact definitions every unit is built from.
//!
//! Grade: published. Inch, pound and the standard gravity by the international agreement of 1959
//! and NIST SP 811 (2008) appendix B; the US gallon as 231 cubic inches; the Btu of the
//! International Table, 1055.055 852 62 J.

/// Metres in an inch (exact, 1959).
pub const M_PER_IN: f64 = 0.0254;
/// Metres in a foot (exact).
pub const M_PER_FT: f64 = 0.3048;
/// Kilograms in an avoirdupois pound (exact, 1959).
pub const KG_PER_LB: f64 = 0.453_592_37;
/// Standard gravity, m/s² (exact by convention).
pub const STANDARD_GRAVITY_M_PER_S2: f64 = 9.806_65;
/// Newtons in a pound-force (exact).
pub const N_PER_LBF: f64 = KG_PER_LB * STANDARD_GRAVITY_M_PER_S2;
/// Pascals in a pound-force per square inch.
pub const PA_PER_PSI: f64 = N_PER_LBF / (M_PER_IN * M_PER_IN);
/// Pascals in an inch of water column.
///
/// The conventional inch of water of NIST SP 811: water of 1000 kg/m³ (close to 4 °C) under
/// standard gravity. Gas instruments marked for water at 60 °F read 0.1 % apart (248.84 Pa),
/// which is a tenth of what a service gauge can show.
pub const PA_PER_INWC: f64 = 249.088_91;
/// Pascals in a conventional inch of mercury (NIST SP 811).
pub const PA_PER_INHG: f64 = 3386.389;
/// Pascals in a standard atmosphere (exact).
pub const PA_PER_ATM: f64 = 101_325.0;
/// Joules in a British thermal unit, International Table (exact).
pub const J_PER_BTU: f64 = 1_055.055_852_62;
/// Watts in a Btu per hour.
pub const W_PER_BTU_PER_H: f64 = J_PER_BTU / 3600.0;
/// Cubic metres in a US gallon, 231 cubic inches (exact).
pub const M3_PER_GAL: f64 = 231.0 * M_PER_IN * M_PER_IN * M_PER_IN;
/// Kelvins in one Fahrenheit degree of difference (exact).
pub const K_PER_FAHRENHEIT_DEGREE: f64 = 5.0 / 9.0;
/// 0 °C in K (exact).
pub const ZERO_CELSIUS_K: f64 = 273.15;
/// 0 °F in K.
pub const ZERO_FAHRENHEIT_K: f64 = 459.67 * K_PER_FAHRENHEIT_DEGREE;

/// Cubic metres in a cubic foot (exact).
pub const M3_PER_FT3: f64 = M_PER_FT * M_PER_FT * M_PER_FT;
/// Square metres in a square foot (exact).
pub const M2_PER_FT2: f64 = M_PER_FT * M_PER_FT;
