//! The first letter of a sentence, and its full stop.

/// First letter large.
pub fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().collect::<String>() + letters.as_str()
    })
}

/// A sentence as the rest of another: first letter small.
pub fn lower(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_lowercase().collect::<String>() + letters.as_str()
    })
}

/// A sentence with its full stop, and with one only where it ends with a unit's own ("in w.c.").
pub fn stopped(text: &str) -> String {
    let text = text.trim_end();
    let end = if text.ends_with(['.', '?', '!']) {
        ""
    } else {
        "."
    };
    format!("{text}{end}")
}

/// A message of a file's reader beside its own field: a key stands without marks there.
pub fn bare(text: &str) -> String {
    text.replace('`', "")
}

/// A message of a file's reader for a screen: what stands between backticks there stands between quotation marks here.
pub fn quoted(text: &str) -> String {
    let mut parts = text.split('`');
    let mut out = parts.next().unwrap_or_default().to_owned();
    for (i, part) in parts.enumerate() {
        out.push(if i % 2 == 0 { '“' } else { '”' });
        out.push_str(part);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::{quoted, stopped};

    #[test]
    fn a_screen_shows_no_backticks() {
        assert_eq!(
            quoted("`12,1` is no number; try `12.1`"),
            "“12,1” is no number; try “12.1”"
        );
        assert_eq!(quoted("nothing between"), "nothing between");
        assert_eq!(quoted(""), "");
    }

    #[test]
    fn a_unit_brings_its_own_full_stop() {
        assert_eq!(stopped("over 14.0 in w.c."), "over 14.0 in w.c.");
        assert_eq!(stopped("over the limit"), "over the limit.");
    }
}
