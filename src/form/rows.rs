//! A table of recorded pressures, as a recorder or a spreadsheet writes it, a log or a result, given where a TOML file is
//! wanted. It is told as that, not line by line as bad TOML.

use std::fs::File;
use std::io::Read as _;
use std::path::Path;

use super::file::without_mark;
use super::mistake::Mistake;

/// Lines that are looked at, and bytes that hold them.
const LOOKED_AT: usize = 20;
const HEAD_BYTES: u64 = 16 * 1024;
/// What stands between the columns.
const BETWEEN: [char; 3] = [';', '\t', ','];

/// Whether a text is rows of columns: the same sign in every one of its first lines, and nowhere `name = value` or a
/// table's name.
pub(super) fn is_table(text: &str) -> bool {
    let lines = without_mark(text).lines().map(str::trim);
    let lines: Vec<&str> = lines
        .filter(|l| !l.is_empty() && !l.starts_with('#'))
        .take(LOOKED_AT)
        .collect();
    let is_toml = |line: &&str| line.contains('=') || line.starts_with('[');
    lines.len() > 1
        && !lines.iter().any(is_toml)
        && BETWEEN.iter().any(|c| lines.iter().all(|l| l.contains(*c)))
}

/// What a text is that is no TOML and known by its beginning: a log of an attempt, a result of the program, a table.
pub(super) fn instead(text: &str) -> Option<Mistake> {
    let bare = without_mark(text).trim_start();
    let (message, help) = if bare.starts_with("{\"entry\":") {
        (
            "this is the log of an attempt; what is read here is TOML",
            "`twostage drill grade DRILL LOG`, which reads it",
        )
    } else if bare.starts_with('{') {
        (
            "this is JSON; what is read here is TOML",
            "the file that was written by hand, and no result",
        )
    } else if is_table(text) {
        (
            "this is a table of columns; what is read here is TOML",
            "a readings file for `twostage diagnose`: out of a recording one value for each test, as in [lock_up] and \
             below it after_minute = \"11.9 inwc\" (docs/diagnosis.md)",
        )
    } else {
        return None;
    };
    Some(Mistake {
        place: None,
        message: message.to_owned(),
        help: help.to_owned(),
    })
}

/// The same of a file too long to be read whole.
pub(super) fn begins_as(path: &Path) -> Option<Mistake> {
    let mut head = Vec::new();
    let read = File::open(path).and_then(|f| f.take(HEAD_BYTES).read_to_end(&mut head));
    read.ok()?;
    // The last line may be cut off, also within a character.
    let text = String::from_utf8_lossy(&head);
    instead(text.rsplit_once('\n').map_or(&*text, |(whole, _)| whole))
}

#[cfg(test)]
mod tests {
    use super::{instead, is_table};

    #[test]
    fn rows_of_columns_are_told_from_toml() {
        assert!(is_table("time_s,outlet_inwc\n0.0,11.4\n1.0,11.5\n"));
        assert!(is_table(
            "\u{FEFF}Zeit;Druck [mbar];Flasche\r\n2026-11-01T00:00:00;27,50\r\n"
        ));
        assert!(is_table("t\tp\n0\t11\n"));
        for toml in [
            "title = \"a, b\"\nnote = \"c, d\"\n",
            "[run]\nduration, or so\n",
            "outlet\n11\n",
            "one, line\n",
            "a = [\n1,\n2,\n]\n",
        ] {
            assert!(!is_table(toml), "{toml}");
        }
    }

    #[test]
    fn a_log_and_a_result_are_told_as_what_they_are() {
        let told = |text: &str| instead(text).map(|m| m.message);
        let log = "{\"entry\":{\"log\":\"twostage attempt\",\"version\":2},\"sum\":\"0\"}\n";
        for text in [log.to_owned(), format!("{log}{log}")] {
            assert!(told(&text).is_some_and(|m| m.contains("the log of an attempt")));
        }
        assert!(
            told("{\"format\":\"twostage run\",\n\"a\":1}\n").is_some_and(|m| m.contains("JSON"))
        );
        assert_eq!(told("title = \"a\"\n"), None);
    }
}
