//! Text that is not TOML, told in the words of the other mistakes.

use toml::de::Error;

use super::mistake::{KEPT, Mistake, Place};

/// The mistakes behind the parser's errors: the first of each line, as the rest follow from it.
pub(super) fn mistakes(source: &str, errors: &[Error]) -> Vec<Mistake> {
    // The parser gives no place to what is missing at the very end.
    let end = source.len();
    let mut spans: Vec<_> = errors
        .iter()
        .map(|error| (error.span().unwrap_or(end..end), error.message()))
        .collect();
    spans.sort_by_key(|(span, _)| span.start);
    let mut found = Vec::new();
    let mut line_end = None;
    for (span, error) in spans {
        if line_end.is_some_and(|line_end| span.start <= line_end) {
            continue;
        }
        if found.len() >= KEPT {
            break;
        }
        let place = Place::new(source, span);
        let start = place.span.start;
        let line_start = source[..start].rfind('\n').map_or(0, |at| at + 1);
        let stop = source[start..].find('\n').map_or(end, |at| start + at);
        let (message, help) = words(error, &source[line_start..stop]);
        found.push(Mistake {
            place: Some(place),
            message,
            help,
        });
        line_end = Some(stop);
    }
    found
}

/// Longest bare value told back in quotes, bytes.
const LONGEST_QUOTED: usize = 60;

/// A bare value in quotes; a word may stand where a number is meant, which the text alone does not tell.
fn quoted(key: &str, value: &str) -> String {
    let text = format!("`{key} = \"{value}\"`");
    if value.starts_with(|c: char| c.is_alphabetic()) {
        format!("{text}, or a number without quotes where one is meant")
    } else {
        text
    }
}

/// What is wrong and what to do.
fn words(error: &str, line: &str) -> (String, String) {
    let error = error.split(", expected").next().unwrap_or(error);
    let (key, value) = line
        .split_once('=')
        .map_or((line, ""), |(key, value)| (key, value));
    let value = value.split('#').next().unwrap_or("").trim();
    let key = key.trim();
    let is_open = !value.is_empty() && !value.starts_with(['"', '\'', '[', '{']);
    let is_bare = is_open && !value.contains(['=', '"', '\'']) && value.len() <= LONGEST_QUOTED;
    let is_two = is_open && value.contains('=');
    match error {
        "duplicate key" => (
            "the same name is given twice".to_owned(),
            "only one of the two".to_owned(),
        ),
        "key with no value" => (
            "a name without a value".to_owned(),
            "`name = \"value\"`, or `#` before a remark".to_owned(),
        ),
        "string values must be quoted" if value.is_empty() => (
            "nothing stands after `=`".to_owned(),
            format!("a value, or `#` before `{key}`"),
        ),
        "unclosed table" | "unclosed array table" => (
            "the bracket of this table is not closed".to_owned(),
            "`]` at its end".to_owned(),
        ),
        _ if is_two || (error == "unexpected key or value" && !is_bare) => (
            "something follows where the line should end".to_owned(),
            "one name and value a line".to_owned(),
        ),
        _ if is_bare => (
            format!("`{value}` must stand in quotes"),
            quoted(key, value),
        ),
        _ if value.starts_with('"')
            && !value.starts_with("\"\"\"")
            && value.matches('"').count() == 1 =>
        {
            (
                "the quotes are not closed".to_owned(),
                "`\"` at the end of the text, on the same line".to_owned(),
            )
        }
        _ => (
            format!("not TOML: {error}"),
            "`name = \"value\"` or `[table]`, or `#` before a remark".to_owned(),
        ),
    }
}
