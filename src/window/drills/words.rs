//! Drills in words for people: the clock, how hard. Acts are told by `report::telling`, what came of them by the
//! report room.

use crate::drill::reasoning::difficulty::Difficulty;
pub use crate::report::marks::{alike_at_first, best_next, gained, says};
pub use crate::report::percent::belief;
pub use crate::report::telling::{act, minutes, path_takes};
use crate::visit::{Test, Tool};

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

/// How hard, in a line; not how long the best path takes, which with what is at hand may name the test.
pub fn difficulty(d: &Difficulty) -> String {
    format!("Level {}, {}", d.level(), level(d.level()))
}

/// A tool's name with a capital.
pub fn tool(tool: Tool) -> String {
    crate::report::letters::capital(tool.words())
}

/// A test of a path with its minutes by the rig's clock.
pub fn step(test: Test, took_min: f64) -> String {
    format!(
        "{}, {}",
        crate::report::letters::capital(&crate::report::telling::step(test)),
        minutes(took_min)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_clock_has_minutes_and_seconds() {
        assert_eq!(clock(777.4), "12:57");
    }
}
