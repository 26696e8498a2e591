//! Reading a written quantity: a number, then a unit of the wanted dimension.
//!
//! Numbers may carry thousands commas (`30,000`) and be trade fractions (`3/8`, `1 1/2`).
//! Spaces, dots, dashes and brackets inside a unit do not count, nor does letter case except for
//! a leading m or M, which is a thousandth or a million.

use super::dimension::Dimension;
use super::error::UnitError;
use super::nearest::nearest;
use super::table::Unit;
use super::text::plain;

/// Longest piece of foreign text quoted in an error.
const QUOTED_CHARS: usize = 40;

/// The SI value of a written quantity.
///
/// # Errors
/// [`UnitError`] says what is wrong and what would be right: no number, no unit, an unknown unit,
/// a unit of another dimension, a number that is not finite, a value under absolute zero.
pub fn parse(text: &str, wanted: Dimension) -> Result<f64, UnitError> {
    parse_with_unit(text, wanted).map(|(value_si, _)| value_si)
}

/// A number alone, as a person types it or as a screen shows it: thousands parted or not, either minus, a trade fraction.
/// Nothing where anything else stands beside it.
pub fn parse_number(text: &str) -> Option<f64> {
    let (number, rest) = split_number(text.trim());
    if number.is_empty() || !rest.is_empty() {
        return None;
    }
    // The dimension is only for words of a refusal, which are not wanted.
    read_number(number, Dimension::Fraction).ok()
}

/// As [`parse`], with the unit it is written in, so that an answer can speak in the same unit.
///
/// # Errors
/// As [`parse`].
pub fn parse_with_unit(text: &str, wanted: Dimension) -> Result<(f64, &'static Unit), UnitError> {
    let text = text.trim();
    if text.is_empty() {
        return Err(UnitError::Empty { wanted });
    }
    let (number_text, unit_text) = split_number(text);
    if number_text.is_empty() {
        let number = roughly(text).map(quoted);
        let text = quoted(text);
        return Err(match number {
            Some(number) => UnitError::Roughly { text, number },
            None if starts_non_finite(&text) => UnitError::NotFinite { text, wanted },
            None => UnitError::NoNumber { text, wanted },
        });
    }
    if let Some(middle) = middle(number_text, unit_text, wanted) {
        let (text, middle) = (quoted(text), quoted(&middle));
        return Err(UnitError::Range { text, middle });
    }
    let number = read_number(number_text, wanted)?;
    // Nothing is nothing in any unit that begins there.
    if number == 0.0
        && unit_text.is_empty()
        && let Some(unit) = wanted.units().iter().find(|u| u.zero_si == 0.0)
        && wanted.units().iter().all(|u| u.zero_si == 0.0)
    {
        return Ok((0.0, unit));
    }
    let unit = find_unit(unit_text, number_text, wanted)?;
    let value_si = unit.to_si(number);
    if !value_si.is_finite() {
        return Err(UnitError::NotFinite {
            text: quoted(text),
            wanted,
        });
    }
    // A written 0 of the lowest scale may land a rounding error under the floor.
    match wanted.natural_floor_si() {
        Some(floor) if value_si < floor - 1e-9 => Err(UnitError::UnderFloor {
            text: quoted(text),
            wanted,
        }),
        Some(floor) => Ok((value_si.max(floor), unit)),
        None => Ok((value_si, unit)),
    }
}

/// What follows a sign or word for "about", where a number does.
fn roughly(text: &str) -> Option<&str> {
    let signs = ["~", "≈", "about ", "approx. ", "approx ", "ca. ", "ca "];
    let after = signs.iter().find_map(|sign| {
        let (head, tail) = text.split_at_checked(sign.len())?;
        head.eq_ignore_ascii_case(sign).then_some(tail.trim_start())
    })?;
    (!split_number(after).0.is_empty()).then_some(after)
}

/// The middle of a range that is written `8-9 inwc`, `8 - 9 inwc` or `8 to 9 inwc`; the first number may have the unit too.
fn middle(low: &str, rest: &str, wanted: Dimension) -> Option<String> {
    let signs = ["-", "–", "—", "−", "..", "to "];
    let cut = |text: &str| {
        signs
            .iter()
            .find_map(|s| Some(text.strip_prefix(s)?.trim_start().to_owned()))
    };
    let high = cut(rest).or_else(|| {
        let (unit, after) = rest.split_once(' ')?;
        let is_unit = find_unit(unit, low, wanted).is_ok();
        cut(after.trim_start()).filter(|_| is_unit)
    })?;
    let (high, unit) = split_number(&high);
    let (low, high) = (
        read_number(low, wanted).ok()?,
        read_number(high, wanted).ok()?,
    );
    let middle = 0.5 * (low + high);
    // As many decimals as a gauge may have, and no tail of binary fractions.
    let middle = (middle * 1000.0).round() / 1000.0;
    Some(format!("{middle} {unit}").trim_end().to_owned())
}

/// The text of others, short enough to stand in a message.
fn quoted(text: &str) -> String {
    let mut short: String = text.chars().take(QUOTED_CHARS).collect();
    if short.len() < text.len() {
        short.push('…');
    }
    // A control character would spoil the line it is shown in.
    plain(&short)
}

fn starts_non_finite(text: &str) -> bool {
    let word = text.trim_start_matches(['+', '-', '−']);
    let word = word.split_whitespace().next().unwrap_or("");
    ["nan", "inf", "infinity"]
        .iter()
        .any(|name| word.eq_ignore_ascii_case(name))
}

/// Splits the leading number from what follows, both trimmed.
fn split_number(text: &str) -> (&str, &str) {
    let unsigned = text.strip_prefix(['+', '-', '−']).unwrap_or(text);
    let start = text.len() - unsigned.len();
    let plain = start + decimal_len(unsigned);
    if plain == start {
        return ("", text);
    }
    let end = plain + fraction_len(&text[plain..]);
    (&text[..end], text[end..].trim())
}

/// Bytes of digits, points, commas and an exponent at the front; 0 if there is no digit.
fn decimal_len(text: &str) -> usize {
    let bytes = text.as_bytes();
    let mut end = bytes
        .iter()
        .take_while(|b| b.is_ascii_digit() || matches!(b, b'.' | b','))
        .count();
    if !bytes[..end].iter().any(u8::is_ascii_digit) {
        return 0;
    }
    if matches!(bytes.get(end), Some(b'e' | b'E')) {
        let sign = usize::from(matches!(bytes.get(end + 1), Some(b'+' | b'-')));
        let digits = digits_len(&text[end + 1 + sign..]);
        if digits > 0 {
            end += 1 + sign + digits;
        }
    }
    end
}

/// Bytes of `/8`, or of ` 1/2`, that go on from a whole number; 0 if none do.
fn fraction_len(text: &str) -> usize {
    let slash = |from: usize| {
        let rest = &text[from..];
        let digits = rest.strip_prefix('/').map_or(0, digits_len);
        if digits > 0 { from + 1 + digits } else { 0 }
    };
    let blank = text.len() - text.trim_start_matches(' ').len();
    let numerator = digits_len(&text[blank..]);
    if numerator > 0 {
        slash(blank + numerator)
    } else {
        slash(0)
    }
}

fn digits_len(text: &str) -> usize {
    text.bytes().take_while(u8::is_ascii_digit).count()
}

/// The value of what [`split_number`] found.
fn read_number(text: &str, wanted: Dimension) -> Result<f64, UnitError> {
    let bad = |likely| UnitError::BadNumber {
        number: quoted(text),
        likely,
        wanted,
    };
    let (sign, unsigned) = match text.strip_prefix(['-', '−']) {
        Some(rest) => (-1.0, rest),
        None => (1.0, text.strip_prefix('+').unwrap_or(text)),
    };
    let (whole, fraction) = match unsigned.split_once('/') {
        None => (unsigned, None),
        Some((before, under)) => match before.rsplit_once(' ') {
            Some((whole, over)) => (whole.trim(), Some((over, under))),
            None => ("0", Some((before, under))),
        },
    };
    let mut value = if is_grouped(whole) {
        whole
            .replace(',', "")
            .parse::<f64>()
            .map_err(|_| bad(None))?
    } else {
        // One comma and no point is the decimal comma of half the world.
        let likely = (whole.matches(',').count() == 1 && !whole.contains('.'))
            .then(|| quoted(&text.replace(',', ".")));
        return Err(bad(likely));
    };
    if let Some((over, under)) = fraction {
        let over: f64 = over.parse().map_err(|_| bad(None))?;
        let under: f64 = under.parse().map_err(|_| bad(None))?;
        if under == 0.0 {
            return Err(bad(None));
        }
        value += over / under;
    }
    if value.is_finite() {
        Ok(sign * value)
    } else {
        Err(UnitError::NotFinite {
            text: quoted(text),
            wanted,
        })
    }
}

/// True without commas, or with commas exactly where thousands are parted.
fn is_grouped(number: &str) -> bool {
    let whole = number.split(['.', 'e', 'E']).next().unwrap_or("");
    let tail = &number[whole.len()..];
    let mut groups = whole.split(',');
    let first = groups.next().unwrap_or("");
    let is_plain = !whole.contains(',');
    let is_parted = (1..=3).contains(&first.len()) && groups.all(|group| group.len() == 3);
    (is_plain || is_parted) && !tail.contains(',')
}

/// The unit meant, or why there is none.
fn find_unit(text: &str, number: &str, wanted: Dimension) -> Result<&'static Unit, UnitError> {
    let spelling = fold(text);
    if let Some(unit) = lookup(&spelling, wanted) {
        return Ok(unit);
    }
    if text.is_empty() {
        return Err(UnitError::Bare {
            number: quoted(number),
            wanted,
        });
    }
    let unit = quoted(text);
    let lower = spelling.to_ascii_lowercase();
    if wanted == Dimension::Power && ["mbtu/h", "mbtu/hr", "mbtuh"].contains(&lower.as_str()) {
        return Err(UnitError::TwoMeanings {
            unit,
            instead: "kBtu/h",
        });
    }
    let home = Dimension::ALL
        .into_iter()
        .find(|&other| lookup(&spelling, other).is_some());
    Err(match home {
        Some(found) if !spelling.is_empty() => UnitError::OtherDimension {
            unit,
            found,
            wanted,
        },
        _ => {
            let names = wanted.units().iter().flat_map(|unit| {
                std::iter::once(unit.symbol).chain(unit.spellings.iter().copied())
            });
            UnitError::UnknownUnit {
                nearest: nearest(&spelling, names),
                unit,
                wanted,
            }
        }
    })
}

/// The unit of this dimension spelt so: exactly, else without regard to letter case.
fn lookup(spelling: &str, wanted: Dimension) -> Option<&'static Unit> {
    let units = wanted.units();
    let find = |is_same: &dyn Fn(&str) -> bool| {
        units
            .iter()
            .find(|unit| is_same(&fold(unit.symbol)) || unit.spellings.iter().any(|s| is_same(s)))
            .copied()
    };
    find(&|name| name == spelling).or_else(|| {
        find(&|name| name.eq_ignore_ascii_case(spelling) && !is_other_prefix(name, spelling))
    })
}

/// `mPa` is a thousand million times less than `MPa`: such a pair is never taken for the same.
fn is_other_prefix(name: &str, spelling: &str) -> bool {
    const NO_PREFIX: [&str; 10] = [
        "m", "mm", "mi", "mil", "mils", "min", "mins", "mile", "miles", "mph",
    ];
    let is_prefixed = name.starts_with(['m', 'M']) && !NO_PREFIX.contains(&name) && name != "MBH";
    is_prefixed && name.as_bytes().first() != spelling.as_bytes().first()
}

/// The letters that count in a unit.
fn fold(text: &str) -> String {
    let mut folded = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '.' | '_' | '-' | '(' | ')' | '·' | '⋅' | '*' | '^' => {}
            c if c.is_whitespace() => {}
            '²' => folded.push('2'),
            '³' => folded.push('3'),
            'µ' | 'μ' => folded.push('u'),
            '°' => folded.push_str("deg"),
            '″' | '”' => folded.push('"'),
            '′' | '’' => folded.push('\''),
            c => folded.push(c),
        }
    }
    folded
}
