//! What is done to a text: the changes that a mail program, a slip of the hand and an ill will make. A number decides
//! all of it, so that what was found can be found again.

use std::ops::Range;
use twostage::diagnosis::library::random::split_mix;

/// `SplitMix64` (public domain algorithm; published): a stream of numbers from a seed.
pub struct Dice(pub u64);

impl Dice {
    fn next(&mut self) -> u64 {
        split_mix(&mut self.0)
    }

    /// A whole number under `n`; 0 where there is none.
    pub fn below(&mut self, n: usize) -> usize {
        (self.next() % n.max(1) as u64) as usize
    }

    fn of<'a, T: ?Sized>(&mut self, all: &[&'a T]) -> Option<&'a T> {
        all.get(self.below(all.len())).copied()
    }
}

/// Numbers at and past every edge.
const NUMBERS: [&str; 30] = [
    "0",
    "-0",
    "1",
    "-1",
    "0.5",
    "2",
    "1e-9",
    "1e-300",
    "5e-324",
    "1e9",
    "1e30",
    "1e308",
    "-1e308",
    "1e309",
    "nan",
    "inf",
    "-inf",
    "1/0",
    "1/3",
    "1 1/2",
    "1,000",
    "1,00",
    "0x10",
    "007",
    "9223372036854775807",
    "-9223372036854775808",
    "18446744073709551616",
    "0.1e",
    ".",
    "−3",
];

/// What else a text may be made to hold.
const PIECES: [&str; 40] = [
    "inwc",
    "psig",
    "degF",
    "degC",
    "%",
    "mm",
    "in",
    "ft3/h",
    "kBtu/h",
    "min",
    "h",
    "kPa",
    "g/s",
    "\"",
    "'",
    "\"\"\"",
    "[",
    "[[",
    "]",
    "]]",
    "{",
    "}",
    "=",
    ",",
    ".",
    "#",
    "\\",
    "\\u0000",
    "\r",
    "\n",
    "\t",
    "\u{0}",
    "\u{1b}[2J",
    "\u{202e}",
    "\u{feff}",
    "é",
    "🔥",
    " and ",
    " over ",
    "@",
];

/// A text after some changes, with pieces of another and of the words that its kind is made of.
pub fn mutated(dice: &mut Dice, text: &str, other: &str, words: &[&str]) -> String {
    let mut out = text.to_owned();
    for _ in 0..=dice.below(4) {
        change(dice, &mut out, other, words);
    }
    out
}

fn change(dice: &mut Dice, text: &mut String, other: &str, words: &[&str]) {
    match dice.below(13) {
        0 => replace(text, piece(dice, text), ""),
        1 => {
            let at = place(dice, text);
            text.insert_str(at, dice.of(&PIECES).unwrap_or_default());
        }
        2 => {
            let at = place(dice, text);
            text.insert_str(at, dice.of(words).unwrap_or_default());
        }
        3 | 4 => swap_token(
            dice,
            text,
            |c| c.is_ascii_digit() || ".-+e".contains(c),
            &NUMBERS,
        ),
        5 | 6 => swap_token(dice, text, |c| c.is_alphanumeric() || c == '_', words),
        7 => {
            let here = line(dice, text);
            replace(text, here, "");
        }
        8 => {
            let again = text[line(dice, text)].to_owned();
            let at = line(dice, text).start;
            text.insert_str(at, &again);
        }
        9 => {
            let from = other[line(dice, other)].to_owned();
            let at = line(dice, text).start;
            text.insert_str(at, &from);
        }
        10 => {
            let (cut, from) = (line(dice, text).start, line(dice, other).start);
            text.truncate(cut);
            text.push_str(&other[from..]);
        }
        11 => text.truncate(place(dice, text)),
        _ => {
            // Much of the same: deep, long, many.
            let many = text[piece(dice, text)].repeat(1 + dice.below(400));
            let at = place(dice, text);
            text.insert_str(at, &many);
        }
    }
    let mut longest = 60_000.min(text.len());
    while !text.is_char_boundary(longest) {
        longest -= 1;
    }
    text.truncate(longest);
}

fn replace(text: &mut String, at: Range<usize>, with: &str) {
    text.replace_range(at, with);
}

/// A place between two characters.
fn place(dice: &mut Dice, text: &str) -> usize {
    let at = dice.below(text.len() + 1);
    (0..=at)
        .rev()
        .find(|i| text.is_char_boundary(*i))
        .unwrap_or(0)
}

/// A short piece.
fn piece(dice: &mut Dice, text: &str) -> Range<usize> {
    let start = place(dice, text);
    let length = 1 + dice.below(20);
    let end = text[start..]
        .char_indices()
        .nth(length)
        .map_or(text.len(), |(i, _)| start + i);
    start..end
}

/// A line with its end.
fn line(dice: &mut Dice, text: &str) -> Range<usize> {
    let at = place(dice, text);
    let start = text[..at].rfind('\n').map_or(0, |i| i + 1);
    let end = text[at..].find('\n').map_or(text.len(), |i| at + i + 1);
    start..end
}

/// Puts another of its kind in the place of a token.
fn swap_token(dice: &mut Dice, text: &mut String, is_part: impl Fn(char) -> bool, with: &[&str]) {
    let at = place(dice, text);
    let Some(start) = text[at..].find(&is_part).map(|i| at + i) else {
        return;
    };
    let end = text[start..]
        .find(|c| !is_part(c))
        .map_or(text.len(), |i| start + i);
    replace(text, start..end, dice.of(with).unwrap_or_default());
}

/// The words that texts are made of, each once.
pub fn words(texts: &[String]) -> Vec<&str> {
    let mut all: Vec<&str> = texts
        .iter()
        .flat_map(|t| t.split(|c: char| !(c.is_alphanumeric() || c == '_')))
        .filter(|w| !w.is_empty() && w.len() < 40)
        .collect();
    all.sort_unstable();
    all.dedup();
    all
}
