//! Text from strangers, made harmless before it is shown: in a terminal, in a page, in a table.

/// The text with every control character, and every mark that turns the direction of writing, made a blank: no name
/// may steer a terminal or make a line read otherwise than it is.
pub fn plain(text: &str) -> String {
    text.chars()
        .map(|c| if steers(c) { ' ' } else { c })
        .collect()
}

/// The same, line ends and tabs kept.
pub fn plain_lines(text: &str) -> String {
    text.chars()
        .map(|c| match c {
            '\n' | '\t' => c,
            c if steers(c) => ' ',
            c => c,
        })
        .collect()
}

fn steers(c: char) -> bool {
    c.is_control()
        || matches!(
            c,
            '\u{061C}' | '\u{200E}' | '\u{200F}' | '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}'
        )
}

/// A text as a field of a CSV table, in quotes. A spreadsheet must not take a name for a formula, wherever in front
/// of it blanks stand and whatever width the sign has.
pub fn csv_field(text: &str) -> String {
    let clean = plain(text);
    let starts = clean.trim_start().starts_with(|c| {
        matches!(
            c,
            '=' | '+' | '-' | '@' | '＝' | '＋' | '－' | '＠' | '−' | '|' | '%'
        )
    });
    let guard = if starts { "'" } else { "" };
    format!("\"{guard}{}\"", clean.replace('"', "\"\""))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_name_steers_a_terminal() {
        assert_eq!(plain("a\u{1b}[2Jb\nc"), "a [2Jb c");
        assert_eq!(plain_lines("a\nb\r\u{9b}c\t\u{202e}d"), "a\nb  c\t d");
        assert_eq!(plain("Zoë ½ °F 調"), "Zoë ½ °F 調");
    }

    #[test]
    fn no_name_is_a_formula() {
        for bad in [
            "=1+1",
            " =1",
            "\t@SUM(A1)",
            "\u{a0}+1",
            "＝1",
            "\u{3000}－2",
            "-cmd|x",
        ] {
            assert!(csv_field(bad).starts_with("\"'"), "{bad:?}");
        }
        assert_eq!(csv_field("Ada \"A\" L."), "\"Ada \"\"A\"\" L.\"");
    }
}
