//! A value on its way out of a form: bounds first, then whether it must be there.

use std::ops::{Range, RangeInclusive};

use super::mistake::Notes;
use crate::units::{Unit, echoed};

/// The table that a key stands in, as mistakes tell it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Owner<'f> {
    /// Where mistakes are noted.
    pub(super) notes: &'f Notes,
    /// How it is named in a sentence.
    pub(super) spoken: &'f str,
    /// Where its header stands.
    pub(super) header: &'f Range<usize>,
}

/// What a key holds. Bounds note their mistakes; one of [`Field::required`], [`Field::optional`],
/// [`Field::or`] or [`Field::required_or`] ends it.
///
/// A value that broke a bound is gone like one that is missing; the mistake is in the form, so
/// [`finish`](super::Form::finish) lets nothing out.
#[derive(Debug)]
#[must_use = "a required field is only missed when `required` is asked"]
pub struct Field<'f, T> {
    table: Owner<'f>,
    key: String,
    /// A right way to write it.
    right: String,
    /// The place of what is written, if anything is.
    span: Option<Range<usize>>,
    value: Option<T>,
    /// The unit a quantity is written in.
    unit: Option<&'static Unit>,
}

impl<'f, T> Field<'f, T> {
    pub(super) fn new(
        table: Owner<'f>,
        key: &str,
        right: String,
        found: Option<(Range<usize>, Option<T>)>,
    ) -> Self {
        let (span, value) = found.map_or((None, None), |(span, value)| (Some(span), value));
        Self {
            table,
            key: key.to_owned(),
            right,
            span,
            value,
            unit: None,
        }
    }

    pub(super) fn in_unit(self, unit: &'static Unit) -> Self {
        Self {
            unit: Some(unit),
            ..self
        }
    }

    /// What to do where it is missing or wrong, where an example alone does not say what is asked.
    pub fn asks(mut self, help: &str) -> Self {
        help.clone_into(&mut self.right);
        self
    }

    /// The value, or nothing where nothing is written.
    pub fn optional(self) -> Option<T> {
        self.value
    }

    /// The value, or `fallback` where nothing is written. For true defaults.
    pub fn or(self, fallback: T) -> T {
        self.value.unwrap_or(fallback)
    }

    /// The value. That nothing is written is a mistake.
    pub fn required(self) -> Option<T> {
        if self.span.is_none() {
            let message = format!("{} has no `{}`", self.table.spoken, self.key);
            let header = self.table.header.clone();
            self.table.notes.note_lack(header, message, self.right);
        }
        self.value
    }

    /// As [`Field::required`], with something to go on with until
    /// [`finish`](super::Form::finish) refuses the form.
    pub fn required_or(self, stand_in: T) -> T {
        self.required().unwrap_or(stand_in)
    }

    /// A check of one's own: `Err` gives what is wrong and what to do (going on from "try:").
    pub fn check(mut self, look: impl FnOnce(&T) -> Result<(), (String, String)>) -> Self {
        if let Some(Err((message, help))) = self.value.as_ref().map(look) {
            self.refuse(message, help);
        }
        self
    }

    /// Something else made of the value; bounds of numbers no longer apply.
    pub fn map<U>(self, make: impl FnOnce(T) -> U) -> Field<'f, U> {
        Field {
            table: self.table,
            key: self.key,
            right: self.right,
            span: self.span,
            value: self.value.map(make),
            unit: self.unit,
        }
    }

    fn refuse(&mut self, message: String, help: String) {
        self.value = None;
        let span = self.span.clone().unwrap_or(0..0);
        self.table.notes.note(span, message, help);
    }
}

impl Field<'_, f64> {
    /// Over 0.
    pub fn positive(self) -> Self {
        self.bounded(|value| value > 0.0, |_| "over 0".to_owned())
    }

    /// 0 or over.
    pub fn not_negative(self) -> Self {
        self.bounded(|value| value >= 0.0, |_| "0 or over".to_owned())
    }

    /// Within these bounds, in SI. A bound as it is told, rounded in the writer's unit, is that bound.
    pub fn between(self, bounds: RangeInclusive<f64>) -> Self {
        let (low, high) = (*bounds.start(), *bounds.end());
        self.snapped(&[low, high]).bounded(
            move |value| bounds.contains(&value),
            move |unit| format!("from {} to {}", told(low, unit), told(high, unit)),
        )
    }

    /// This in SI, or over.
    pub fn at_least(self, low: f64) -> Self {
        self.snapped(&[low]).bounded(
            move |value| value >= low,
            move |unit| format!("{} or over", told(low, unit)),
        )
    }

    /// This in SI, or under.
    pub fn at_most(self, high: f64) -> Self {
        self.snapped(&[high]).bounded(
            move |value| value <= high,
            move |unit| format!("{} or under", told(high, unit)),
        )
    }

    /// A value that reads as one of these bounds is that bound.
    fn snapped(mut self, bounds: &[f64]) -> Self {
        if let Some(value) = self.value {
            self.value = Some(snapped(value, self.unit, bounds));
        }
        self
    }

    fn bounded(
        mut self,
        is_within: impl Fn(f64) -> bool,
        words: impl Fn(Option<&'static Unit>) -> String,
    ) -> Self {
        if let Some(value) = self.value
            && !is_within(value)
        {
            let message = format!("`{}` is {}", self.key, told(value, self.unit));
            let is_share = self.unit.is_some_and(|u| u.symbol.is_empty());
            let help = if is_share && value > 1.0 && is_within(0.01 * value) {
                format!("`{} = \"{value} %\"`, or {}", self.key, words(self.unit))
            } else {
                words(self.unit)
            };
            self.refuse(message, help);
        }
        self
    }
}

/// A quantity as it was read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Value in SI, the mean where it was read several times, the end of the range where it was over it.
    pub value: f64,
    /// The unit it is written in, where it was written once.
    pub unit: Option<&'static Unit>,
    /// How often it was read.
    pub times: usize,
    /// How far the least and the most of these lie apart.
    pub apart: f64,
    /// Whether the instrument's range was too small.
    pub is_over: bool,
}

impl Field<'_, Reading> {
    /// Within these bounds, in SI. A bound as it is told, rounded in the writer's unit, is that bound.
    pub fn between(mut self, bounds: RangeInclusive<f64>) -> Self {
        let (low, high) = (*bounds.start(), *bounds.end());
        let Some(reading) = &mut self.value else {
            return self;
        };
        reading.value = snapped(reading.value, reading.unit, &[low, high]);
        let (value, unit) = (reading.value, reading.unit);
        if !bounds.contains(&value) {
            let message = format!("`{}` is {}", self.key, told(value, unit));
            let help = format!("from {} to {}", told(low, unit), told(high, unit));
            self.refuse(message, help);
        }
        self
    }
}

impl Field<'_, i64> {
    /// Within these bounds.
    pub fn between(self, bounds: RangeInclusive<i64>) -> Self {
        let key = self.key.clone();
        self.check(|value| {
            let words = || format!("from {} to {}", bounds.start(), bounds.end());
            if bounds.contains(value) {
                Ok(())
            } else {
                Err((format!("`{key}` is {value}"), words()))
            }
        })
    }
}

impl Field<'_, String> {
    /// More than blanks.
    pub fn not_empty(self) -> Self {
        let key = self.key.clone();
        let help = self.right.clone();
        self.check(|text| {
            if text.trim().is_empty() {
                Err((format!("`{key}` is empty"), help))
            } else {
                Ok(())
            }
        })
    }

    /// No longer than this many characters.
    pub fn at_most_chars(self, most: usize) -> Self {
        let key = self.key.clone();
        self.check(|text| match text.chars().count() {
            count if count > most => Err((
                format!("`{key}` is {count} characters long"),
                format!("{most} characters or fewer"),
            )),
            _ => Ok(()),
        })
    }
}

impl<T> Field<'_, Vec<T>> {
    /// As many as these bounds allow. Where nothing is written there is nothing to count; ask
    /// [`Field::required`] for that.
    pub fn count(self, bounds: RangeInclusive<usize>) -> Self {
        let key = self.key.clone();
        self.check(|list| match list.len() {
            count if bounds.contains(&count) => Ok(()),
            count => Err((
                format!("there are {count} of `{key}`"),
                match (*bounds.start(), *bounds.end()) {
                    (low, high) if low == high => format!("{low}"),
                    (low, usize::MAX) => format!("{low} or more"),
                    (low, high) => format!("from {low} to {high}"),
                },
            )),
        })
    }
}

/// The bound that a value reads as, told in a unit; else the value.
pub fn snapped(value_si: f64, unit: Option<&'static Unit>, bounds: &[f64]) -> f64 {
    let reads = told(value_si, unit);
    let same = |bound: &&f64| told(**bound, unit) == reads;
    bounds.iter().find(same).copied().unwrap_or(value_si)
}

/// A number with at most five figures, in the unit the writer used.
fn told(value_si: f64, unit: Option<&'static Unit>) -> String {
    let value = unit.map_or(value_si, |unit| unit.from_si(value_si));
    let short: f64 = format!("{value:.4e}").parse().unwrap_or(value);
    format!("{} {}", echoed(short), unit.map_or("", |unit| unit.symbol))
        .trim_end()
        .to_owned()
}
