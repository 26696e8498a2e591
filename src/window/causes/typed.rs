//! One field of the form: what may be typed in it, and how a value stands there.

use crate::diagnosis::files::slip::{self, Slip};
use crate::report::letters::quoted;
use crate::report::percent::percent;
use crate::units::{Dimension, parse_number, parse_with_unit};
use crate::visit::{ALL, Id, Scale};
use crate::window::look::show::{Units, grouped};

/// The word for flames that are low, or want air: which of both, the pressure beside it tells.
pub(super) const YELLOW: &str = "yellow";

/// What was typed in a field.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Entry {
    /// SI value, or the index of a word.
    pub value: f64,
    /// Whether it was over the range of the instrument, `> 16`.
    pub is_over: bool,
    /// Whether it would make more sense in another unit.
    pub slip: Option<Slip>,
}

/// Unit of a bare number.
pub(super) fn unit_of(kind: Scale, units: Units) -> &'static str {
    match (kind, units) {
        (Scale::Low | Scale::Change, Units::Us) => "inwc",
        (Scale::Middle | Scale::High, Units::Us) => "psig",
        (Scale::Drop, Units::Us) => "psi",
        (Scale::Air, Units::Us) => "degF",
        (Scale::Air, Units::Si) => "degC",
        (Scale::Height, Units::Us) => "ft",
        (Scale::Height, Units::Si) => "m",
        (Scale::Fill, _) => "%",
        (Scale::Time, _) => "s",
        (Scale::Words(_), _) => "",
        (_, Units::Si) => "kPa",
    }
}

/// A value as one would type it, without its unit.
pub(super) fn bare(kind: Scale, value: f64, units: Units) -> String {
    match kind {
        Scale::Low | Scale::Change => grouped(
            units.low(value).value,
            if units == Units::Us { 1 } else { 2 },
        ),
        Scale::Middle | Scale::High | Scale::Drop => grouped(units.high(value).value, 1),
        Scale::Air => grouped(units.temperature(value).value, 0),
        Scale::Height => grouped(units.elevation(value).value, 0),
        Scale::Fill => grouped(100.0 * value, usize::from(value < 0.0195)),
        Scale::Time => grouped(value, 0),
        Scale::Words(words) => words
            .get(value as usize)
            .map_or_else(String::new, |w| (*w).to_owned()),
    }
}

/// A value with its unit, for reading.
pub fn shown(item: usize, value: f64, units: Units) -> String {
    match ALL[item].kind {
        Scale::Low => units.pressure(value).to_string(),
        Scale::Change => units.low(value).to_string(),
        Scale::Middle | Scale::High | Scale::Drop => units.high(value).to_string(),
        Scale::Air => units.temperature(value).to_string(),
        Scale::Height => units.elevation(value).to_string(),
        Scale::Fill => percent(value),
        Scale::Time => format!("{} s", grouped(value, 0)),
        kind @ Scale::Words(_) => bare(kind, value, units),
    }
}

/// A unit as it stands beside a field.
pub(super) fn short(unit: &'static str) -> &'static str {
    match unit {
        "inwc" => "in w.c.",
        "degF" => "°F",
        "degC" => "°C",
        other => other,
    }
}

/// Words that a field of words offers.
pub(super) fn offered(item: usize, words: &'static [&'static str]) -> Vec<&'static str> {
    let yellow = (ALL[item].id == Id::Flames).then_some(YELLOW);
    words.iter().copied().chain(yellow).collect()
}

/// The number of a field without the mark of an instrument's range, and whether there is one.
fn without_mark(text: &str) -> (&str, bool) {
    let bare = text.trim().strip_prefix(['>', '≥']);
    (bare.unwrap_or(text).trim(), bare.is_some())
}

/// Whether a field holds a number without a unit.
pub(super) fn is_bare(text: &str) -> bool {
    parse_number(without_mark(text).0).is_some()
}

/// A value as it stands in a field.
pub(super) fn told(kind: Scale, value: f64, is_over: bool, units: Units) -> String {
    let over = if is_over { "> " } else { "" };
    format!("{over}{}", bare(kind, value, units))
}

/// What was typed for an item.
///
/// # Errors
/// What is wrong with it and what may be typed.
pub(super) fn entry_of(item: usize, text: &str, units: Units) -> Result<Entry, String> {
    let kind = ALL[item].kind;
    if let Scale::Words(words) = kind {
        let spoken = ALL[item].spoken();
        let found = spoken.iter().find(|(word, _)| *word == text);
        let (_, value) =
            found.ok_or_else(|| format!("“{text}” is none of {}", words.join(", ")))?;
        return Ok(Entry {
            value: *value,
            is_over: false,
            slip: None,
        });
    }
    let dimension = ALL[item].dimension().unwrap_or(Dimension::Fraction);
    let (number, is_over) = without_mark(text);
    let with_unit = if is_bare(number) {
        format!("{number} {}", unit_of(kind, units))
    } else {
        number.to_owned()
    };
    let (value, unit) = parse_with_unit(&with_unit, dimension)
        .map_err(|e| quoted(&format!("{}; try {}", e.message(), e.help())))?;
    Ok(Entry {
        value,
        is_over,
        slip: slip::of(&ALL[item], value, unit),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A unit beside a field is one that the field takes, and told as the gauges tell it: inches are those of water, a gauge
    /// pressure is psig and only a difference psi.
    #[test]
    fn a_unit_beside_a_field_is_the_one_of_the_gauges() {
        for units in [Units::Us, Units::Si] {
            for (item, what) in ALL.iter().enumerate() {
                if matches!(what.kind, Scale::Words(_)) {
                    continue;
                }
                let unit = short(unit_of(what.kind, units));
                assert_ne!(unit, "in", "{}", what.words);
                let drop = matches!(what.kind, Scale::Drop);
                assert!(unit != "psi" || drop, "{}: psi", what.words);
                let bare = entry_of(item, "5", units);
                let with_unit = entry_of(item, &format!("5 {unit}"), units);
                assert_eq!(bare, with_unit, "{}: {unit}", what.words);
            }
        }
    }
}
