//! Sentences of the catalogue, the lessons and the pages in the units on show: a number with a unit of the US trade is told
//! in SI where SI is on show, with as many figures as it had. Sentences are written once, in US units; numbers that are read
//! come from their own formatters and not through here.

use crate::units::{
    KG_PER_LB, M_PER_FT, MINUS, PA_PER_INWC, PA_PER_PSI, System, W_PER_BTU_PER_H, fixed,
    parse_number,
};
use std::borrow::Cow;

/// A unit as sentences have it, how it becomes one of SI, and that one's name.
struct Turn {
    us: &'static str,
    si: &'static str,
    of: fn(f64) -> f64,
    /// Whether it is a point on a scale, whose figures after the point say how fine it is.
    whole: bool,
}

const fn turn(us: &'static str, si: &'static str, of: fn(f64) -> f64, whole: bool) -> Turn {
    Turn { us, si, of, whole }
}

/// The longer names before those that they begin with.
const TURNS: [Turn; 7] = [
    turn("in w.c.", "kPa", |v| v * PA_PER_INWC / 1e3, false),
    turn("psig", "kPa", |v| v * PA_PER_PSI / 1e3, false),
    turn("psi", "kPa", |v| v * PA_PER_PSI / 1e3, false),
    turn("Btu/h", "kW", |v| v * W_PER_BTU_PER_H / 1e3, false),
    turn("°F", "°C", |v| (v - 32.0) / 1.8, true),
    turn("ft", "m", |v| v * M_PER_FT, false),
    turn("lb", "kg", |v| v * KG_PER_LB, false),
];

/// Words between two numbers of one unit: "8 to 11 in w.c.".
const BETWEEN: [&str; 5] = [" to ", " and ", " or ", "–", " ± "];
/// So many figures at least, or a limit would lose its meaning.
const FIGURES: i32 = 2;

/// A sentence in the units on show.
pub fn prose(text: &str, system: System) -> Cow<'_, str> {
    if system == System::Us || !TURNS.iter().any(|t| text.contains(t.us)) {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some((at, turn)) = next(rest) {
        let (before, after) = (&rest[..at], &rest[at + turn.us.len()..]);
        out.push_str(&told(before, turn));
        // The full stop of "in w.c." is a sentence's too where nothing or a new sentence follows.
        let ends = after.is_empty()
            || after
                .strip_prefix(' ')
                .and_then(|a| a.chars().next())
                .is_some_and(char::is_uppercase);
        if turn.us.ends_with('.') && ends && number_before(before).is_some() {
            out.push('.');
        }
        rest = after;
    }
    out.push_str(rest);
    Cow::Owned(out)
}

/// The next unit that stands as a word.
fn next(text: &str) -> Option<(usize, &'static Turn)> {
    let stands = |at: usize, turn: &Turn| {
        let letter = |c: char| c.is_alphanumeric() || c == '/';
        !text[..at].ends_with(letter) && !text[at + turn.us.len()..].starts_with(letter)
    };
    TURNS
        .iter()
        .filter_map(|t| {
            let mut places = text.match_indices(t.us);
            places.find(|(at, _)| stands(*at, t)).map(|(at, _)| (at, t))
        })
        .min_by_key(|(at, t)| (*at, usize::MAX - t.us.len()))
}

/// Where the number at the end of a text begins, a space after it left out.
fn number_before(text: &str) -> Option<(usize, &str)> {
    let trimmed = text.strip_suffix([' ', '\u{a0}']).unwrap_or(text);
    let part = |c: char| c.is_ascii_digit() || c == '.' || c == ',';
    let from = trimmed.trim_end_matches(part).len();
    let digits = &trimmed[from..];
    let begins = digits.starts_with(|c: char| c.is_ascii_digit());
    let signed = trimmed[..from].strip_suffix([MINUS, '-']);
    let from = match signed {
        // A sign, and no hyphen between two words.
        Some(head) if head.is_empty() || head.ends_with([' ', '(']) => head.len(),
        _ => from,
    };
    begins.then_some((from, &trimmed[from..]))
}

/// What stands before a unit, its numbers turned, with the new unit's name.
fn told(before: &str, turn: &Turn) -> String {
    let Some((from, number)) = number_before(before) else {
        return format!("{before}{}", turn.us);
    };
    let (head, last) = (&before[..from], in_si(number, turn));
    let joined = BETWEEN.iter().find_map(|word| {
        let rest = head.strip_suffix(word)?;
        let (at, first) = number_before(rest)?;
        Some(format!("{}{}{word}", &rest[..at], in_si(first, turn)))
    });
    let head = joined.unwrap_or_else(|| head.to_owned());
    format!("{head}{last} {}", turn.si)
}

/// A number of a sentence in SI, with as many figures as it has.
fn in_si(number: &str, turn: &Turn) -> String {
    let Some(value) = parse_number(number) else {
        return number.to_owned();
    };
    let plain = number.replace(',', "");
    let si = (turn.of)(value);
    if turn.whole {
        return fixed(si, 0);
    }
    let digits = plain.trim_start_matches(['-', MINUS, '0', '.']);
    let has = digits.chars().filter(char::is_ascii_digit).count();
    // Noughts at the end of a whole number only say how large it is.
    let ends = if plain.contains('.') {
        0
    } else {
        plain.len() - plain.trim_end_matches('0').len()
    };
    let given = i32::try_from(has.saturating_sub(ends)).unwrap_or(FIGURES);
    let figures = given.max(FIGURES);
    if si == 0.0 {
        return "0".to_owned();
    }
    let places = figures - 1 - si.abs().log10().floor() as i32;
    if places > 0 {
        return fixed(si, places as usize);
    }
    let step = 10f64.powi(-places);
    fixed((si / step).round() * step, 0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sentence_is_told_in_the_units_on_show() {
        let si = |text: &str| prose(text, System::Si).into_owned();
        assert_eq!(prose("at 11 in w.c.", System::Us), "at 11 in w.c.");
        assert_eq!(
            si("The low side, at 11 in w.c."),
            "The low side, at 2.7 kPa."
        );
        assert_eq!(
            si("Bubbles at 8 to 11 in w.c., hardly changing"),
            "Bubbles at 2.0 to 2.7 kPa, hardly changing"
        );
        assert_eq!(si("Over 13 psig at rest"), "Over 90 kPa at rest");
        assert_eq!(
            si("thaws above some 40 °F. In cold"),
            "thaws above some 4 °C. In cold"
        );
        assert_eq!(
            si("530 at 32 °F, 140 at −10 °F"),
            "530 at 0 °C, 140 at −23 °C"
        );
        assert_eq!(si("some 1,000 ft lower"), "some 300 m lower");
        assert_eq!(si("of 62,100 Btu/h at all"), "of 18.2 kW at all");
        assert_eq!(si("told per °F, and left"), "told per °F, and left");
        assert_eq!(
            si("a 30 lb cylinder, no number ft"),
            "a 14 kg cylinder, no number ft"
        );
        assert_eq!(
            si("stands at 11.3 in w.c. Then"),
            "stands at 2.81 kPa. Then"
        );
    }
}
