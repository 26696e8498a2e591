//! Reading the files people write: scenarios, readings, drills.
//!
//! A [`Form`] is a TOML file with every value's place kept. Typed getters on a [`TableReader`]
//! note every mistake of the file instead of stopping at the first, and [`Form::finish`] hands
//! out what was read only when there was none. What the keys mean is not known here; only
//! quantities and their units are.
//!
//! ```
//! use twostage::form::Form;
//! use twostage::units::Dimension;
//!
//! let form = Form::parse("quiet.toml", "[regulator]\nset = \"11 inwc\"\n")?;
//! let regulator = form.root().table("regulator").required();
//! let set_pa = regulator.and_then(|regulator| {
//!     regulator.quantity("set", Dimension::GaugePressure).positive().required()
//! });
//! let set_pa = form.finish(set_pa)?.expect("a form without mistakes has what was required");
//! assert!((set_pa - 2740.0).abs() < 1.0);
//! # Ok::<(), twostage::form::Mistakes>(())
//! ```
//!
//! Files come by mail, so nothing in one is trusted: its length, depth and number of values are
//! bounded ([`Limits`]), and no control character of it reaches a terminal.

mod field;
mod file;
mod kind;
mod mistake;
mod reader;
mod rows;
pub mod store;
mod strangers;
mod sum;
mod syntax;
#[cfg(test)]
mod tests;
mod tree;
mod words;

pub use crate::units::nearest;
pub use field::{Field, Reading, snapped};
pub use file::{FormError, read_bytes, read_file};
pub use mistake::{Mistake, Mistakes, Place};
pub use reader::{Form, TableReader};
pub use sum::fnv1a;
pub use tree::Limits;
