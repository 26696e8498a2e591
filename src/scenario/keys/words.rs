//! One key in words: how its value is written, its bounds, its usual value.

use crate::scenario::slot::{Measure, Slot, short};
use crate::units::{Dimension as D, System};

/// One key, in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Key {
    /// Where it stands: `[site]`, `[[event]]`, `top of the file`.
    pub table: &'static str,
    /// Its name.
    pub name: &'static str,
    /// What is written for it.
    pub value: String,
    /// What holds where it is left out; a dash where it must stand or nothing holds.
    pub usual: String,
    /// Least and most.
    pub bounds: String,
    /// What it means.
    pub words: String,
}

/// The usual value of a part's slot in words, and as a number where it has one.
pub(super) type Usual<'a, T> = &'a dyn Fn(&Slot<T>) -> (String, Option<f64>);

/// How the value of a measure is written.
pub(super) fn value(measure: Measure) -> String {
    match measure {
        Measure::Quantity(dimension) => {
            let [us, si] = dimension.examples();
            format!("`\"{us}\"`, `\"{si}\"`")
        }
        Measure::Number => "a number".to_owned(),
        Measure::Only(unit) => format!("`\"... {unit}\"`"),
        Measure::Flag => "`true`, `false`".to_owned(),
    }
}

/// A value as people read it: few digits, US units.
pub(in crate::scenario) fn told(measure: Measure, si: f64) -> String {
    match measure {
        Measure::Quantity(dimension) => {
            let unit = crate::units::display_unit(si, dimension, System::Us);
            format!("{} {}", short(unit.from_si(si)), unit.symbol)
                .trim_end()
                .to_owned()
        }
        Measure::Number => short(si),
        Measure::Only(unit) => format!("{} {unit}", short(si)),
        Measure::Flag => (si != 0.0).to_string(),
    }
}

/// Two right ways to write a slot's value: its usual size, or one between its bounds.
pub(super) fn example(measure: Measure, usual: Option<f64>, low: f64, high: f64) -> String {
    let size = usual.filter(|size| *size != 0.0).unwrap_or(if low > 0.0 {
        (low * high).sqrt()
    } else {
        0.1 * high
    });
    let dimension = match measure {
        Measure::Quantity(dimension) => dimension,
        Measure::Only(unit) => return format!("`\"{} {unit}\"`", short(size)),
        _ => return value(measure),
    };
    // The dimension's own examples suit wherever sizes do not differ a thousandfold.
    if matches!(
        dimension,
        D::Temperature
            | D::TemperatureDifference
            | D::Fraction
            | D::AbsolutePressure
            | D::Elevation
            | D::HeatFlux
            | D::HeatTransfer
    ) {
        return value(measure);
    }
    let [us, si] = [System::Us, System::Si].map(|system| {
        let unit = crate::units::display_unit(size, dimension, system);
        let number: f64 = format!("{:.1e}", unit.from_si(size))
            .parse()
            .unwrap_or(size);
        format!("`\"{} {}\"`", short(number), unit.symbol)
    });
    format!("{us}, {si}")
}

pub(super) fn bounds(measure: Measure, low: f64, high: f64) -> String {
    match measure {
        Measure::Flag => String::new(),
        _ => format!("{} to {}", told(measure, low), told(measure, high)),
    }
}

pub(super) fn slots<T>(
    out: &mut Vec<Key>,
    table: &'static str,
    slots: &[Slot<T>],
    usual: Usual<'_, T>,
) {
    out.extend(slots.iter().map(|slot| {
        let (usual, size) = usual(slot);
        Key {
            table,
            name: slot.key,
            value: example(slot.measure, size, slot.low, slot.high),
            usual,
            bounds: bounds(slot.measure, slot.low, slot.high),
            words: slot.words.to_owned(),
        }
    }));
}

/// The usual value in one part.
pub(super) fn of<T>(part: T) -> impl Fn(&Slot<T>) -> (String, Option<f64>) {
    move |slot| {
        let value = (slot.get)(&part);
        (told(slot.measure, value), Some(value))
    }
}

/// The usual values in two parts, first and second stage.
pub(super) fn of_both<T>(first: T, second: T) -> impl Fn(&Slot<T>) -> (String, Option<f64>) {
    move |slot| {
        let size = (slot.get)(&second);
        let [first, second] = [&first, &second].map(|part| told(slot.measure, (slot.get)(part)));
        let words = if first == second {
            first
        } else {
            format!("{first}; {second}")
        };
        (words, Some(size))
    }
}

pub(super) fn by_kind<T>(_: &Slot<T>) -> (String, Option<f64>) {
    ("as its kind".to_owned(), None)
}

pub(super) fn dash<T>(_: &Slot<T>) -> (String, Option<f64>) {
    ("-".to_owned(), None)
}

/// A key that is no slot.
pub(super) fn word(
    table: &'static str,
    name: &'static str,
    value: impl Into<String>,
    usual: &str,
    bounds: &str,
    words: &str,
) -> Key {
    Key {
        table,
        name,
        value: value.into(),
        usual: usual.to_owned(),
        bounds: bounds.to_owned(),
        words: words.to_owned(),
    }
}

pub(super) fn quantity(dimension: D) -> String {
    value(Measure::Quantity(dimension))
}

pub(super) fn names<'a>(names: impl Iterator<Item = &'a str>) -> String {
    names
        .map(|name| format!("`\"{name}\"`"))
        .collect::<Vec<_>>()
        .join(", ")
}
