//! Drills in words for people: the clock, how hard, and what was told in the units on show. Acts are
//! told by `drill::telling`.

use crate::drill::assess::Difficulty;
use crate::drill::check::Check;
pub use crate::drill::telling::{act, minutes, percent, says};
use crate::drill::tool::Tool;
use crate::service::TestKind;
use crate::units::{Dimension, parse};
use crate::window::show::Units;

/// A clock of minutes and seconds.
pub fn clock(time_s: f64) -> String {
    let s = time_s.max(0.0).round() as u64;
    format!("{}:{:02}", s / 60, s % 60)
}

/// A level in a word.
pub fn level(level: u8) -> &'static str {
    match level {
        0 | 1 => "very easy",
        2 => "easy",
        3 => "middling",
        4 => "hard",
        _ => "very hard",
    }
}

/// How hard, in a line.
pub fn difficulty(d: &Difficulty) -> String {
    format!(
        "Level {}, {}: the best path takes {}; {:.1} bits to find out",
        d.level(),
        level(d.level()),
        minutes(d.minutes),
        d.bits
    )
}

/// Minutes a test takes with its hand work, about: as it runs on the shipped rigs with nothing wrong.
/// A seat that creeps takes longer to come to rest.
pub fn test_minutes(kind: TestKind, hand: f64) -> f64 {
    let running = match kind {
        TestKind::FlowPressure | TestKind::FullLoad => 0.8,
        TestKind::LoadUpDown | TestKind::Vent | TestKind::FirstStage => 1.7,
        TestKind::LockUp => 1.5,
        TestKind::LeakCheck => 4.0,
        TestKind::Creep => 5.0,
        TestKind::NewPiping => 15.0,
    };
    running + hand
}

/// A tool's name with a capital.
pub fn tool(tool: Tool) -> String {
    crate::window::burners::capital(tool.words())
}

/// A step of a path with its minutes.
pub fn step(check: Check, bag: &crate::drill::tool::Bag) -> String {
    format!(
        "{}, {}",
        crate::window::burners::capital(check.words()),
        minutes(check.minutes(bag))
    )
}

/// A line of the log in the units on show. Logs are told in US units; a number before one of their
/// units is turned into SI where SI is asked for, everything else stays.
pub fn told(line: &str, units: Units) -> String {
    if units == Units::Us {
        return line.to_owned();
    }
    let mut out = String::with_capacity(line.len());
    let mut rest = line;
    while let Some((from, to, shown)) = next_quantity(rest) {
        out.push_str(&rest[..from]);
        out.push_str(&shown);
        rest = &rest[to..];
    }
    out + rest
}

/// The next quantity of a line: where it begins and ends, and how it reads in SI.
fn next_quantity(line: &str) -> Option<(usize, usize, String)> {
    let marks = [
        ("in w.c.", "inwc", Dimension::GaugePressure),
        ("psi", "psi", Dimension::GaugePressure),
        ("lb", "lb", Dimension::Mass),
    ];
    let (at, (words, symbol, dimension)) = marks
        .iter()
        .filter_map(|m| line.find(&format!(" {}", m.0)).map(|at| (at, *m)))
        .min_by_key(|m| m.0)?;
    let number = line[..at]
        .rsplit(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '-' | '+')))
        .next()
        .unwrap_or("");
    let from = at - number.len();
    let to = at + 1 + words.len();
    let si = parse(
        &format!("{} {symbol}", number.trim_start_matches('+')),
        dimension,
    );
    let shown = match (si, dimension) {
        (Ok(pa), Dimension::GaugePressure) if words == "psi" => Units::Si.high(pa).to_string(),
        (Ok(pa), Dimension::GaugePressure) => Units::Si.low(pa).to_string(),
        (Ok(kg), _) => Units::Si.mass(kg).to_string(),
        // No number stands before it: the words stay.
        (Err(_), _) => return Some((from, to, line[from..to].to_owned())),
    };
    let plus = if number.starts_with('+') { "+" } else { "" };
    Some((from, to, format!("{plus}{shown}")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_clock_has_minutes_and_seconds() {
        assert_eq!(clock(777.4), "12:57");
    }

    /// 1 in w.c. is 249.089 Pa and 1 psi 6894.757 Pa (published).
    #[test]
    fn what_was_told_reads_in_si_too() {
        assert_eq!(
            told("outlet: 11.2 in w.c.", Units::Us),
            "outlet: 11.2 in w.c."
        );
        assert_eq!(told("outlet: 11.2 in w.c.", Units::Si), "outlet: 2.79 kPa");
        assert_eq!(
            told("from +1.0 in w.c. to 10.0 psi", Units::Si),
            "from +0.25 kPa to 68.9 kPa"
        );
        assert_eq!(told("over psi all", Units::Si), "over psi all");
    }
}
