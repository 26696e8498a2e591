//! What a visit read, as a library keeps it: a number in two bytes, in steps of a tenth of what an instrument shows on
//! the scaled axis of its item, a word in one. What was just made and what was stored are the same to the bit.
//!
//! Not here: the file around it (`bytes`).

use super::unknowns::Unknowns;
use super::words;
use crate::units::{PA_PER_INWC, PA_PER_PSI};
use crate::visit::{ALL, ITEMS, Id, NUMBERS, Scale, Values};
use std::array::from_fn;
use std::sync::LazyLock;

/// A number, or a word, that was not read.
const NO_NUMBER: i16 = i16::MIN;
const NO_WORD: u8 = u8::MAX;
/// Words that a visit has.
pub const WORDS: usize = ITEMS - NUMBERS;

/// What a visit read, but for what its unknowns say already: the elevation.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Coded {
    numbers: [i16; NUMBERS],
    words: [u8; WORDS],
}

/// Step in which a number is kept, on its scaled axis: a tenth of what an instrument shows.
fn step(kind: Scale) -> f64 {
    match kind {
        Scale::Low => 0.01 * PA_PER_INWC,
        Scale::Change => 0.002 * PA_PER_INWC,
        Scale::Middle => 0.01 * PA_PER_PSI,
        Scale::High => 0.1 * PA_PER_PSI,
        Scale::Air | Scale::Time => 0.02,
        Scale::Fill => 0.001,
        Scale::Height => 10.0,
        Scale::Drop => 0.005 * PA_PER_PSI,
        Scale::Words(_) => 1.0,
    }
}

/// Steps of all numbers, and where a number stands that was not read: one at nought.
static STEPS: LazyLock<[f64; NUMBERS]> = LazyLock::new(|| from_fn(|i| step(ALL[i].kind)));
static NOUGHT: LazyLock<[f64; NUMBERS]> = LazyLock::new(|| from_fn(|i| ALL[i].scaled(0.0)));

impl Coded {
    /// Of what a visit read.
    pub fn of(values: &Values) -> Self {
        let number = |i: usize| {
            let value = values[i].filter(|_| i != Id::Elevation.index());
            value.map_or(NO_NUMBER, |v| {
                let steps = ALL[i].scaled(v) / STEPS[i];
                steps.round().clamp(-32_767.0, 32_767.0) as i16
            })
        };
        let word = |k: usize| values[NUMBERS + k].map_or(NO_WORD, |v| v as u8);
        Self {
            numbers: from_fn(number),
            words: from_fn(word),
        }
    }

    /// The value of an item, SI, or the place of its word.
    pub fn value(&self, id: Id, unknowns: &Unknowns) -> Option<f64> {
        let i = id.index();
        if id == Id::Elevation {
            return Some(unknowns.elevation_m());
        }
        if i >= NUMBERS {
            let word = self.words[i - NUMBERS];
            return (word != NO_WORD).then(|| f64::from(word));
        }
        let steps = self.numbers[i];
        (steps != NO_NUMBER).then(|| ALL[i].unscaled(f64::from(steps) * STEPS[i]))
    }

    /// All values.
    pub fn values(&self, unknowns: &Unknowns) -> Values {
        from_fn(|i| self.value(ALL[i].id, unknowns))
    }

    /// All numbers on their scaled axes.
    pub fn scaled(&self, unknowns: &Unknowns) -> [f64; NUMBERS] {
        let mut out = from_fn(|i| match self.numbers[i] {
            NO_NUMBER => NOUGHT[i],
            steps => f64::from(steps) * STEPS[i],
        });
        let elevation = Id::Elevation.index();
        out[elevation] = ALL[elevation].scaled(unknowns.elevation_m());
        out
    }

    /// What is truly to be seen of every word's item.
    pub fn truths(&self, unknowns: &Unknowns) -> [u8; WORDS] {
        from_fn(|k| match self.words[k] {
            // Only what looks right may truly be something else.
            0 => words::truly_of(NUMBERS + k, &|id| self.value(id, unknowns)) as u8,
            NO_WORD => 0,
            word => word,
        })
    }

    /// An item as bytes.
    pub(super) fn write(&self, id: Id, out: &mut Vec<u8>) {
        match id.index().checked_sub(NUMBERS) {
            None => out.extend(self.numbers[id.index()].to_le_bytes()),
            Some(k) => out.push(self.words[k]),
        }
    }

    /// Takes an item from its bytes; `None` for a word that it has not.
    pub(super) fn take(&mut self, id: Id, bytes: &[u8]) -> Option<()> {
        match id.index().checked_sub(NUMBERS) {
            None => self.numbers[id.index()] = i16::from_le_bytes(bytes.try_into().ok()?),
            Some(k) => {
                let word = *bytes.first()?;
                let count = ALL[id.index()].choices().map_or(0, <[_]>::len);
                if word != NO_WORD && usize::from(word) >= count {
                    return None;
                }
                self.words[k] = word;
            }
        }
        Some(())
    }

    /// Nothing read.
    pub(super) const NOTHING: Self = Self {
        numbers: [NO_NUMBER; NUMBERS],
        words: [NO_WORD; WORDS],
    };
}
