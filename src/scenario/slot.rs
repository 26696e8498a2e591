//! One number of a part as a key of the file: what it measures, its bounds, where it lives.
//!
//! A list of slots is all that reading, writing and the reference of keys need to know of a
//! part. Which parts there are is not known here.

use crate::form::TableReader;
use crate::physics::flow::circle_area_m2;
use crate::units::{Dimension, System, write_quantity};

/// What a slot measures and so how it is written.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Measure {
    /// A quantity in one of the units of its dimension.
    Quantity(Dimension),
    /// A bare number: a ratio, a coefficient.
    Number,
    /// A number in the one unit named, for what no trade has units.
    Only(&'static str),
    /// True or false.
    Flag,
}

/// A quantity of a dimension.
pub(super) const fn quantity(dimension: Dimension) -> Measure {
    Measure::Quantity(dimension)
}

/// One key of a part `T`, in SI inside.
pub(super) struct Slot<T> {
    pub key: &'static str,
    pub measure: Measure,
    pub low: f64,
    pub high: f64,
    pub words: &'static str,
    pub get: fn(&T) -> f64,
    pub set: fn(&mut T, f64),
}

/// A slot for a field that holds the number itself.
macro_rules! slot {
    ($key:literal, $measure:expr, $low:expr, $high:expr, $($field:ident).+, $words:literal) => {
        $crate::scenario::slot::Slot {
            key: $key,
            measure: $measure,
            low: $low,
            high: $high,
            words: $words,
            get: |part| part.$($field).+,
            set: |part, value| part.$($field).+ = value,
        }
    };
}

/// A slot for an area that people give as the bore of a round hole.
macro_rules! bore {
    ($key:literal, $low:expr, $high:expr, $($field:ident).+, $words:literal) => {
        $crate::scenario::slot::Slot {
            key: $key,
            measure: $crate::scenario::slot::Measure::Quantity($crate::units::Dimension::Length),
            low: $low,
            high: $high,
            words: $words,
            get: |part| $crate::scenario::slot::bore_m(part.$($field).+),
            set: |part, value| {
                part.$($field).+ = $crate::physics::flow::circle_area_m2(value);
            },
        }
    };
}

/// A slot for a true or false.
macro_rules! flag {
    ($key:literal, $($field:ident).+, $words:literal) => {
        $crate::scenario::slot::Slot {
            key: $key,
            measure: $crate::scenario::slot::Measure::Flag,
            low: 0.0,
            high: 1.0,
            words: $words,
            get: |part| f64::from(u8::from(part.$($field).+)),
            set: |part, value| part.$($field).+ = value != 0.0,
        }
    };
}

pub(super) use {bore, flag, slot};

/// Bore of a round hole of this area \[m\].
pub(super) fn bore_m(area_m2: f64) -> f64 {
    (area_m2 / circle_area_m2(1.0)).sqrt()
}

impl<T> Slot<T> {
    /// What the table says of it.
    pub fn find(&self, table: &TableReader<'_>) -> Option<f64> {
        let bounds = self.low..=self.high;
        match self.measure {
            Measure::Quantity(dimension) => table
                .quantity(self.key, dimension)
                .between(bounds)
                .optional(),
            Measure::Number => table.number(self.key).between(bounds).optional(),
            Measure::Flag => table
                .boolean(self.key)
                .optional()
                .map(|is_true| f64::from(u8::from(is_true))),
            Measure::Only(unit) => {
                // A bound as it is told is that bound.
                let told = |value: f64, bound: f64| short(value) == short(bound);
                let within = |value: f64| {
                    bounds.contains(&value) || told(value, self.low) || told(value, self.high)
                };
                let right = || format!("\"{} {unit}\"", short(0.5 * (self.low + self.high)));
                table
                    .text(self.key)
                    .check(|text| match number_before(text, unit) {
                        None => Err((
                            format!("`{}`: `{text}` is no number with its unit", self.key),
                            right(),
                        )),
                        Some(value) if !within(value) => Err((
                            format!("`{}` is {text}", self.key),
                            format!("from {} to {} {unit}", short(self.low), short(self.high)),
                        )),
                        Some(_) => Ok(()),
                    })
                    .optional()
                    .and_then(|text| number_before(&text, unit))
                    .map(|value| value.clamp(self.low, self.high))
            }
        }
    }

    /// Takes over what the table says of it, if anything.
    pub fn read(&self, table: &TableReader<'_>, part: &mut T) {
        if let Some(value) = self.find(table) {
            (self.set)(part, value);
        }
    }

    /// The value as it stands in a file.
    pub fn written(&self, value: f64, system: System) -> String {
        match self.measure {
            Measure::Quantity(Dimension::Fraction) => format!("\"{}\"", write_fraction(value)),
            Measure::Quantity(dimension) => {
                format!("\"{}\"", write_quantity(value, dimension, system))
            }
            Measure::Number => format!("{value:?}"),
            Measure::Only(unit) => format!("\"{value:?} {unit}\""),
            Measure::Flag => (value != 0.0).to_string(),
        }
    }

    /// The line of a file, where the part differs from the usual one.
    pub fn line(&self, part: &T, usual: &T, system: System) -> Option<String> {
        let value = (self.get)(part);
        (value != (self.get)(usual))
            .then(|| format!("{} = {}", self.key, self.written(value, system)))
    }
}

/// Takes over what the table says of a part.
pub(super) fn read_all<T>(slots: &[Slot<T>], table: &TableReader<'_>, part: &mut T) {
    for slot in slots {
        slot.read(table, part);
    }
}

/// The lines of a file for what differs from the usual part.
pub(super) fn lines<T>(slots: &[Slot<T>], part: &T, usual: &T, system: System) -> Vec<String> {
    slots
        .iter()
        .filter_map(|slot| slot.line(part, usual, system))
        .collect()
}

/// A share for a file: in percent as people read it, unless that would round.
pub(super) fn write_fraction(value: f64) -> String {
    write_quantity(value, Dimension::Fraction, System::Us)
}

/// The number before a unit that must stand there, blanks aside.
fn number_before(text: &str, unit: &str) -> Option<f64> {
    let bare = |text: &str| text.split_whitespace().collect::<String>();
    let (text, unit) = (bare(text), bare(unit));
    let number: f64 = text.strip_suffix(&unit)?.parse().ok()?;
    number.is_finite().then_some(number)
}

/// A number with at most four figures.
pub(super) fn short(value: f64) -> String {
    let rounded: f64 = format!("{value:.4e}").parse().unwrap_or(value);
    if rounded != 0.0 && !(1e-3..1e6).contains(&rounded.abs()) {
        format!("{rounded:e}")
    } else {
        format!("{rounded}")
    }
}
