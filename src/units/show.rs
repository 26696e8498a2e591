//! Writing a quantity: for a screen, with the digits the trade reads; for a file, exactly enough.

use super::constants::{KG_PER_LB, M_PER_FT, M_PER_IN, M3_PER_GAL, PA_PER_PSI};
use super::dimension::{Dimension, System};
use super::parse::parse;
use super::table::{self as t, Unit};

/// Relative error allowed between a value and what is read back from its file text.
const ROUND_TRIP: f64 = 1e-13;

/// The unit a value of this size is best read in.
pub fn display_unit(value_si: f64, dimension: Dimension, system: System) -> &'static Unit {
    let size = value_si.abs();
    match system {
        System::Us => us_unit(size, dimension),
        System::Si => si_unit(size, dimension),
    }
}

fn us_unit(size: f64, dimension: Dimension) -> &'static Unit {
    use Dimension as D;
    // Over 2 psi no water manometer is used.
    let is_low = size < 2.0 * PA_PER_PSI;
    match dimension {
        D::GaugePressure | D::PressureDifference if is_low => &t::INWC,
        D::GaugePressure => &t::PSIG,
        D::PressureDifference => &t::PSI,
        D::AbsolutePressure => &t::PSIA,
        D::PressureRate => &t::INWC_PER_MIN,
        D::Temperature => &t::DEG_F,
        D::TemperatureDifference => &t::DELTA_F,
        D::Length if size > 0.0 && size < 0.01 * M_PER_IN => &t::MIL,
        D::Length if size < 3.0 * M_PER_FT => &t::INCH,
        D::Length | D::Elevation => &t::FOOT,
        D::Travel => &t::MILLIMETRE,
        D::Area if size < t::FT2.si => &t::IN2,
        D::Area => &t::FT2,
        D::Volume if size < 0.25 * M3_PER_GAL => &t::IN3,
        D::Volume => &t::GALLON,
        D::Mass if size > 0.0 && size < KG_PER_LB => &t::OUNCE,
        D::Mass => &t::POUND,
        D::MassFlow => &t::LB_PER_H,
        D::VolumeFlow => &t::FT3_PER_H,
        D::Power => &t::BTU_PER_H,
        D::Energy => &t::BTU,
        D::SpecificEnergy => &t::BTU_PER_LB,
        D::HeatFlux => &t::BTU_PER_H_FT2,
        D::HeatCapacity => &t::BTU_PER_F,
        D::HeatTransfer => &t::BTU_PER_H_FT2_F,
        D::Conductance => &t::BTU_PER_H_F,
        D::Speed if size < t::FT_PER_S.si => &t::FT_PER_MIN,
        D::Speed => &t::MPH,
        D::Force => &t::POUND_FORCE,
        D::Stiffness => &t::LBF_PER_IN,
        D::Damping => &t::LBF_S_PER_IN,
        D::Density => &t::LB_PER_FT3,
        D::Time | D::Frequency | D::Angle | D::Fraction => si_unit(size, dimension),
    }
}

fn si_unit(size: f64, dimension: Dimension) -> &'static Unit {
    use Dimension as D;
    match dimension {
        D::PressureDifference if size < 100.0 => &t::PA,
        D::GaugePressure | D::PressureDifference | D::AbsolutePressure => &t::KPA,
        D::PressureRate => &t::PA_PER_MIN,
        D::Temperature => &t::DEG_C,
        D::TemperatureDifference => &t::KELVIN,
        D::Length if size > 0.0 && size < 0.1e-3 => &t::MICROMETRE,
        D::Length if size < 1.0 => &t::MILLIMETRE,
        D::Length | D::Elevation => &t::METRE,
        D::Travel => &t::MILLIMETRE,
        D::Area if size < 1e-2 => &t::MM2,
        D::Area => &t::M2,
        D::Volume if size < 1e-3 => &t::MILLILITRE,
        D::Volume => &t::LITRE,
        D::Mass if size > 0.0 && size < 1.0 => &t::GRAM,
        D::Mass => &t::KILOGRAM,
        D::MassFlow => &t::KG_PER_H,
        D::VolumeFlow => &t::L_PER_MIN,
        D::Power if size < 1e3 => &t::WATT,
        D::Power => &t::KILOWATT,
        D::Energy if size < 1e6 => &t::KILOJOULE,
        D::Energy => &t::MEGAJOULE,
        D::SpecificEnergy => &t::KJ_PER_KG,
        D::HeatFlux => &t::W_PER_M2,
        D::HeatCapacity => &t::KJ_PER_K,
        D::HeatTransfer => &t::W_PER_M2_K,
        D::Conductance => &t::W_PER_K,
        D::Time if size > 0.0 && size < 1e-3 => &t::MICROSECOND,
        D::Time if size > 0.0 && size < 1.0 => &t::MILLISECOND,
        D::Time if size < 120.0 => &t::SECOND,
        D::Time if size < 7200.0 => &t::MINUTE,
        D::Time => &t::HOUR,
        D::Frequency => &t::HERTZ,
        D::Speed => &t::M_PER_S,
        D::Angle => &t::DEGREE,
        D::Fraction => &t::PERCENT,
        D::Force => &t::NEWTON,
        D::Stiffness => &t::N_PER_M,
        D::Damping => &t::N_S_PER_M,
        D::Density => &t::KG_PER_M3,
    }
}

/// The value for a screen, in the unit and digits the trade reads: `10.9 inwc`, `28 °F`.
///
/// A value that is not finite is named so, never dressed up as a reading.
pub fn format(value_si: f64, dimension: Dimension, system: System) -> String {
    format_in(value_si, display_unit(value_si, dimension, system))
}

/// The value for a screen in one named unit, as on a chart or a gauge that must not change units.
pub fn format_in(value_si: f64, unit: &Unit) -> String {
    let number = number_in(value_si, unit);
    match unit.screen {
        _ if !value_si.is_finite() => number,
        "" => number,
        "°" => format!("{number}°"),
        screen => format!("{number} {screen}"),
    }
}

/// The minus that people read. Files, acts and columns of numbers keep the hyphen; what is typed may have either.
pub const MINUS: char = '−';

/// A number to so many decimals for people: with the true minus, and never with the sign of a nought.
pub fn fixed(value: f64, decimals: usize) -> String {
    let (is_less, digits) = rounded(value, decimals);
    with_sign(is_less.then_some(MINUS), &digits)
}

/// A number as somebody gave it, for a message that repeats it: never in hundreds of digits.
pub fn echoed(value: f64) -> String {
    let size = value.abs();
    if size == 0.0 || (1e-6..1e15).contains(&size) || !value.is_finite() {
        value.to_string()
    } else {
        format!("{value:e}")
    }
}

/// A change to so many decimals for people: its sign always stands before it.
pub fn signed(value: f64, decimals: usize) -> String {
    let (is_less, digits) = rounded(value, decimals);
    with_sign(Some(if is_less { MINUS } else { '+' }), &digits)
}

/// As [`fixed`], thousands parted by the rule of all numbers ([`with_commas`]).
pub fn grouped(value: f64, decimals: usize) -> String {
    let (is_less, digits) = rounded(value, decimals);
    let (whole, tail) = digits.split_at(digits.find('.').unwrap_or(digits.len()));
    with_sign(is_less.then_some(MINUS), &(with_commas(whole) + tail))
}

/// Whether something less than nothing is left after rounding, and the digits.
fn rounded(value: f64, decimals: usize) -> (bool, String) {
    let digits = format!("{:.decimals$}", value.abs());
    let is_nought = digits.bytes().all(|b| matches!(b, b'0' | b'.'));
    (value < 0.0 && !is_nought, digits)
}

fn with_sign(sign: Option<char>, digits: &str) -> String {
    sign.into_iter().chain(digits.chars()).collect()
}

/// Decimals that a number set by somebody needs, at least `usual`, at most one more: a limit of 0.15 is not 0.2.
pub fn decimals_of(value: f64, usual: usize) -> usize {
    let scaled = value.abs() * 10f64.powi(i32::try_from(usual).unwrap_or(i32::MAX));
    usual + usize::from((scaled - scaled.round()).abs() > 0.02 && scaled < 10.0)
}

/// The number alone, for columns and axes that carry the unit in their heading.
pub fn number_in(value_si: f64, unit: &Unit) -> String {
    if value_si.is_nan() {
        return "not a number".to_owned();
    }
    if value_si.is_infinite() {
        return "infinite".to_owned();
    }
    let value = unit.from_si(value_si);
    let decimals = unit.decimals(value);
    grouped(value, decimals)
}

/// Parts thousands with commas from 10,000 up; a four-figure number reads well without.
///
/// `whole` is digits alone.
pub fn with_commas(whole: &str) -> String {
    if whole.len() < 5 {
        return whole.to_owned();
    }
    let mut parted = String::with_capacity(whole.len() + whole.len() / 3);
    for (index, digit) in whole.chars().enumerate() {
        if index > 0 && (whole.len() - index).is_multiple_of(3) {
            parted.push(',');
        }
        parted.push(digit);
    }
    parted
}

/// The value for a file: the fewest digits that [`parse`] reads back to the same value within a
/// part in 10¹³ (for a temperature, of the kelvins).
///
/// A value that is not finite is written in words that `parse` refuses.
pub fn write_quantity(value_si: f64, dimension: Dimension, system: System) -> String {
    write_in(
        value_si,
        dimension,
        display_unit(value_si, dimension, system),
    )
}

/// As [`write_quantity`], in a unit of the dimension.
pub fn write_in(value_si: f64, dimension: Dimension, unit: &Unit) -> String {
    if !value_si.is_finite() {
        return number_in(value_si, dimension.si_unit());
    }
    let is_kept = |text: &str| {
        parse(text, dimension)
            .is_ok_and(|back| (back - value_si).abs() <= ROUND_TRIP * value_si.abs())
    };
    let value = unit.from_si(value_si);
    (0..=16)
        .map(|digits| joined(&shortened(value, digits), unit))
        .find(|text| is_kept(text))
        // Too large or too small for the friendly unit: plain SI never rounds.
        .unwrap_or_else(|| joined(&plain(value_si), dimension.si_unit()))
}

fn joined(number: &str, unit: &Unit) -> String {
    format!("{number} {}", unit.symbol).trim_end().to_owned()
}

/// The value with this many digits after the first.
fn shortened(value: f64, digits: usize) -> String {
    let rounded = format!("{value:.digits$e}").parse().unwrap_or(value);
    plain(rounded)
}

/// Without an exponent where a person would write none.
fn plain(value: f64) -> String {
    let size = value.abs();
    if value == 0.0 {
        "0".to_owned()
    } else if (1e-6..1e15).contains(&size) {
        format!("{value}")
    } else {
        format!("{value:e}")
    }
}
