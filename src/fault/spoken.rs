//! A fault by the words that a person writes at a terminal: its name in files with blanks for the strokes between, or the
//! name that people read. Not here: the spelling of files (`placed`).

use super::Fault;
use crate::units::nearest;

/// Most that are offered where none has these words.
const OFFERED: usize = 4;

/// Words that people say and names may do without.
const ARTICLES: [&str; 3] = ["the", "a", "an"];

/// Small letters and figures without articles, one blank between words; the dot before a side stays.
fn folded(text: &str) -> String {
    let plain = |c: char| {
        if c.is_alphanumeric() || c == '.' {
            c
        } else {
            ' '
        }
    };
    let small = text.to_lowercase();
    let words: String = small.chars().map(plain).collect();
    let words = words.split_whitespace().filter(|w| !ARTICLES.contains(w));
    words.collect::<Vec<_>>().join(" ")
}

/// The fault that these words name.
///
/// # Errors
/// Those that they may mean, a few at most: with all of the words in a name, or spelled nearly so.
pub fn spoken(words: &str) -> Result<Fault, Vec<Fault>> {
    let said = folded(words);
    if let Ok(fault) = Fault::find(&said.replace(' ', "_")) {
        return Ok(fault);
    }
    let names = |f: Fault| [folded(f.id()), folded(f.entry().name)];
    if let Some(fault) = Fault::all().find(|f| names(*f).contains(&said)) {
        return Ok(fault);
    }
    let has_all = |f: &Fault| {
        let name = names(*f).join(" ");
        let has = |w: &str| name.split(' ').any(|n| n == w);
        !said.is_empty() && said.split(' ').all(has)
    };
    let near: Vec<Fault> = Fault::all().filter(has_all).take(OFFERED).collect();
    if !near.is_empty() {
        return Err(near);
    }
    let ids: Vec<&str> = Fault::all().map(Fault::id).collect();
    let one = nearest(&said.replace(' ', "_"), ids).and_then(Fault::named);
    Err(one.into_iter().collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fault_is_named_as_one_likes() {
        for f in Fault::all() {
            for words in [f.id().to_owned(), f.id().replace('_', " "), f.name()] {
                assert_eq!(spoken(&words), Ok(f), "{words}");
            }
        }
        assert_eq!(
            spoken("the second-stage vent blocked"),
            spoken("second_vent_blocked")
        );
        assert!(spoken("container_cold.right").is_ok_and(|f| f.side().is_some()));
    }

    #[test]
    fn what_is_no_name_is_told_what_it_may_mean() {
        let ids = |words| {
            spoken(words)
                .expect_err(words)
                .iter()
                .map(|f| f.id())
                .collect::<Vec<_>>()
        };
        assert!(ids("grit").contains(&"second_seat_grit"));
        assert!(ids("Vent blocked").contains(&"second_vent_blocked"));
        assert_eq!(ids("secnd vent blocked"), ["second_vent_blocked"]);
        assert!(ids("vent").len() <= OFFERED);
        for nothing in ["", " ", "+", "...", "zzz zzz"] {
            assert!(ids(nothing).is_empty(), "{nothing}");
        }
    }
}
