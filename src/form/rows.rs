//! A table of recorded pressures, as a recorder or a spreadsheet writes it, given where a TOML file is wanted. It is told
//! as that, not line by line as bad TOML.

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

/// The same of a file too long to be read whole.
pub(super) fn begins_as_table(path: &Path) -> bool {
    let mut head = Vec::new();
    let read = File::open(path).and_then(|f| f.take(HEAD_BYTES).read_to_end(&mut head));
    // The last line may be cut off, also within a character.
    let text = String::from_utf8_lossy(&head);
    read.is_ok()
        && text
            .rsplit_once('\n')
            .is_some_and(|(whole, _)| is_table(whole))
}

/// What is said of it.
pub(super) fn mistake() -> Mistake {
    Mistake {
        place: None,
        message: "this is a table of columns; what is read here is TOML".to_owned(),
        help: "a readings file for `twostage diagnose`: out of a recording one value for each test, as in [lock_up] and \
               below it after_minute = \"11.9 inwc\" (docs/diagnosis.md)"
            .to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::is_table;

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
}
