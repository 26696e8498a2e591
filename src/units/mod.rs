//! Trade and SI units: reading them, writing them, and pressures that know their zero.
//!
//! Inside the program every number is SI. Here lives all that stands between that and a person:
//! the units a [`Dimension`] may be written in ([`parse`]), the text shown on a screen
//! ([`format()`]) and the text kept in a file ([`write_quantity`]). It knows nothing of regulators,
//! files or screens.
//!
//! A gauge pressure stays a gauge pressure here. Only [`Gauge::at`] and [`Absolute::over`] cross
//! between the two, and both ask for the ambient pressure.

mod constants;
mod dimension;
mod error;
mod nearest;
mod parse;
mod pressure;
mod show;
mod table;
#[cfg(test)]
mod tests;
mod text;

pub use constants::*;
pub use dimension::{Dimension, System};
pub use error::UnitError;
pub use nearest::nearest;
pub use parse::{parse, parse_number, parse_with_unit};
pub use pressure::{Absolute, Gauge, inwc_to_pa, pa_to_inwc, pa_to_psi, psi_to_pa};
pub use show::{
    MINUS, decimals_of, display_unit, echoed, fixed, format, format_in, grouped, number_in, signed,
    with_commas, write_in, write_quantity,
};
#[cfg(test)]
pub(crate) use table::units_of;
pub use table::*;
pub use text::{csv_field, plain, plain_lines};
