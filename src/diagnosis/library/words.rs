//! How often words are wrong: what eyes, ears and leak fluid make of the truth. The likelihood
//! and the drawn cases share this table.
//!
//! Rates are invented, by how much judgement the look takes: whether a burner lights, how a hose
//! runs and whether a valve opens are hardly ever mistaken; sounds, flames, frost and vents are
//! now and then; leak fluid that answers is often read a step too low or high, but bubbles where
//! there is no gas are rare.
//!
//! A rig has one pressure under which its flames are low; people begin to say so at some inches more. Between the two
//! stands a truth of its own, `LOWISH`, that one calls low and the next normal; `HARDISH` likewise above.

use super::random::Random;
use crate::units::inwc_to_pa;
use crate::visit::item::{BUBBLES, FLAMES, SOUND};
use crate::visit::{ALL, ITEMS, Id, NUMBERS, Scale, Values};
use std::sync::LazyLock;

/// Truths that an item has at most: the words of flames, [`LOWISH`] and [`HARDISH`].
pub(in crate::diagnosis) const MOST_WORDS: usize = 8;
/// Places in the list of what flames look like.
const NORMAL: usize = 0;
const LOW: usize = 1;
const HARD: usize = 2;
const LIFTING: usize = 3;
const OUT: usize = 4;
/// Place of quiet in the list of sounds; a roar stands two after it, a hiss between them.
const QUIET: usize = 0;
/// Flames that some call low and some normal: a truth, and no word.
const LOWISH: usize = 6;
/// Flames that some call hard and some normal.
const HARDISH: usize = 7;
/// Pressure at the appliances under which flames made for 11 in w.c. are called either \[in w.c.\] (practice: low begins at
/// about 8 to 9); where the rig's own are low, they are.
const LOWISH_INWC: f64 = 9.0;
/// Pressure over which they are called hard or normal, up to where the rig's own are hard \[in w.c.\] (own: 15 % over).
const HARDISH_INWC: f64 = 12.7;
/// Chance that something plain to see is mistaken.
pub const PLAIN_WRONG: f64 = 0.002;
/// Chance that something that takes judgement is mistaken.
pub const JUDGED_WRONG: f64 = 0.01;
/// Chance that leak fluid is read a step (or, a tenth of it, more) off where gas comes.
pub const BUBBLES_WRONG: f64 = 0.03;
/// Chance that bubbles are seen where there is no gas.
pub const BUBBLES_FALSE: f64 = 0.003;

/// Chance that a hard flame is called lifting or a lifting one hard (own): the one is more of the other.
const DEGREE_WRONG: f64 = 0.1;

/// Whether a flame burns at too much pressure or air, by its looks.
fn is_hard(words: &[&str], word: usize) -> bool {
    words == FLAMES && matches!(word, HARD | LIFTING)
}

/// Chance that an item is seen wrongly where `truly` is right, times what a world's noise is.
fn wrong(item: usize, truly: usize) -> f64 {
    let i = &ALL[item];
    match (i.kind, i.key) {
        (Scale::Words(words), _) if words == BUBBLES => match truly {
            0 => BUBBLES_FALSE,
            _ => BUBBLES_WRONG,
        },
        (Scale::Words(words), _) if is_hard(words, truly) => DEGREE_WRONG,
        (_, "odd_one" | "hose" | "valve") => PLAIN_WRONG,
        _ => JUDGED_WRONG,
    }
}

/// How readily `seen` is mistaken for `truly`, relative to the other words of the item. Each step of bubbles is ten times
/// as hard to overlook, whether anything burns is plainer to see than how, and gas that roars is not mistaken for quiet.
/// A hard flame is mistaken for a lifting one, and that for a hard one, far sooner than for any other.
fn likeness(words: &[&str], seen: usize, truly: usize) -> f64 {
    match seen.abs_diff(truly) {
        0 => 0.0,
        steps if words == BUBBLES => 0.1_f64.powf(steps as f64 - 1.0),
        _ if is_hard(words, truly) && is_hard(words, seen) => 1.0,
        _ if is_hard(words, truly) => 0.03,
        _ if words == FLAMES && (seen == OUT || truly == OUT) => 0.1,
        2 if words == SOUND && seen.min(truly) == QUIET => 0.1,
        _ => 1.0,
    }
}

/// What is truly to be seen of an item on a visit that reads these values.
pub(in crate::diagnosis) fn truly(item: usize, values: &Values) -> usize {
    truly_of(item, &|id| values[id.index()])
}

/// The same, asking for the values that it takes.
pub(in crate::diagnosis) fn truly_of(item: usize, value: &impl Fn(Id) -> Option<f64>) -> usize {
    let word = value(ALL[item].id).unwrap_or(0.0) as usize;
    if word != NORMAL {
        return word;
    }
    let pressure = match ALL[item].id {
        Id::Flames => value(Id::FullManifold),
        // The way from outlet to manifold takes what it takes at full load.
        Id::LongFlames => value(Id::LongOutlet)
            .zip(value(Id::FullManifold).zip(value(Id::FullOutlet)))
            .map(|(long, (manifold, outlet))| long + manifold - outlet),
        _ => None,
    };
    match pressure {
        Some(p) if p < inwc_to_pa(LOWISH_INWC) => LOWISH,
        Some(p) if p > inwc_to_pa(HARDISH_INWC) => HARDISH,
        _ => word,
    }
}

/// The word that this program's own eyes have for a truth.
pub fn said(truly: usize) -> usize {
    either(truly).map_or(truly, |[own, _]| own)
}

/// The two words between which a truth stands that is no word.
fn either(truly: usize) -> Option<[usize; 2]> {
    match truly {
        LOWISH => Some([NORMAL, LOW]),
        HARDISH => Some([NORMAL, HARD]),
        _ => None,
    }
}

/// Chance of a word on a visit that reads these values, that of its likeliest word, and how many words there are.
pub(in crate::diagnosis) fn chance_of(
    item: usize,
    seen: usize,
    values: &Values,
) -> (f64, f64, usize) {
    let Scale::Words(words) = ALL[item].kind else {
        return (1.0, 1.0, 1);
    };
    let truly = truly(item, values);
    let best = (0..words.len()).map(|word| chance(item, word, truly));
    let best = best.fold(LEAST_CHANCE, f64::max);
    (
        chance(item, seen, truly).max(LEAST_CHANCE),
        best,
        words.len(),
    )
}

/// No word is rarer than this in a visit that is looked at closely (own).
const LEAST_CHANCE: f64 = 1e-6;

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
    if let Some(of) = either(truly).filter(|_| words == FLAMES) {
        return of.iter().map(|&t| 0.5 * worked_out(item, seen, t)).sum();
    }
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
    let truly = match either(truly).filter(|_| words == FLAMES) {
        Some(of) => of[random.below(2)],
        None => truly,
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
