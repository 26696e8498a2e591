//! How often words are wrong: what eyes, ears and leak fluid make of the truth. The likelihood
//! and the drawn cases share this table.
//!
//! Rates are invented, by how much judgement the look takes: whether a burner lights, how a hose
//! runs and whether a valve opens are hardly ever mistaken; sounds, flames, frost and vents are
//! now and then; leak fluid that answers is often read a step too low or high, but bubbles where
//! there is no gas are rare.

use super::random::Random;
use crate::visit::item::BUBBLES;
use crate::visit::{ALL, ITEMS, NUMBERS, Scale};
use std::sync::LazyLock;

/// Words that an item has at most.
pub(super) const MOST_WORDS: usize = 6;
/// Chance that something plain to see is mistaken.
pub const PLAIN_WRONG: f64 = 0.002;
/// Chance that something that takes judgement is mistaken.
pub const JUDGED_WRONG: f64 = 0.01;
/// Chance that leak fluid is read a step (or, a tenth of it, more) off where gas comes.
pub const BUBBLES_WRONG: f64 = 0.03;
/// Chance that bubbles are seen where there is no gas.
pub const BUBBLES_FALSE: f64 = 0.003;

/// Chance that an item is seen wrongly where `truly` is right, times what a world's noise is.
fn wrong(item: usize, truly: usize) -> f64 {
    let i = &ALL[item];
    match (i.kind, i.key) {
        (Scale::Words(words), _) if words == BUBBLES => match truly {
            0 => BUBBLES_FALSE,
            _ => BUBBLES_WRONG,
        },
        (_, "odd_one" | "hose" | "valve") => PLAIN_WRONG,
        _ => JUDGED_WRONG,
    }
}

/// How readily `seen` is mistaken for `truly`, relative to the other words of the item.
fn likeness(words: &[&str], seen: usize, truly: usize) -> f64 {
    match seen.abs_diff(truly) {
        0 => 0.0,
        1 => 1.0,
        _ if words == BUBBLES => 0.1,
        _ => 1.0,
    }
}

/// Chances of an item's words where each of them is right: `CHANCES[item - NUMBERS][truly][seen]`.
type Chances = [[[f64; MOST_WORDS]; MOST_WORDS]; ITEMS - NUMBERS];

/// Worked out once: the likelihood asks some hundred thousand times an answer.
static CHANCES: LazyLock<Chances> = LazyLock::new(|| {
    std::array::from_fn(|k| {
        std::array::from_fn(|truly| {
            std::array::from_fn(|seen| worked_out(NUMBERS + k, seen, truly))
        })
    })
});

/// Chance of seeing word `seen` of an item where `truly` is right.
pub fn chance(item: usize, seen: usize, truly: usize) -> f64 {
    item.checked_sub(NUMBERS)
        .map_or(1.0, |k| CHANCES[k][truly][seen])
}

/// [`chance`] from the table's rates; 0 for places that an item has no word for.
fn worked_out(item: usize, seen: usize, truly: usize) -> f64 {
    let Scale::Words(words) = ALL[item].kind else {
        return 1.0;
    };
    if seen.max(truly) >= words.len() {
        return 0.0;
    }
    if seen == truly {
        return 1.0 - wrong(item, truly);
    }
    let others: f64 = (0..words.len()).map(|k| likeness(words, k, truly)).sum();
    wrong(item, truly) * likeness(words, seen, truly) / others
}

/// A look at an item whose word is `truly`; `noise` multiplies the chance of a mistake.
pub fn look(item: usize, truly: usize, noise: f64, random: &mut Random) -> usize {
    let Scale::Words(words) = ALL[item].kind else {
        return truly;
    };
    if random.uniform() >= noise * wrong(item, truly) {
        return truly;
    }
    let others: f64 = (0..words.len()).map(|k| likeness(words, k, truly)).sum();
    let mut left = others * random.uniform();
    for k in 0..words.len() {
        left -= likeness(words, k, truly);
        if left < 0.0 {
            return k;
        }
    }
    truly
}
