//! Lines from standard input, one at a time and none without end.

use super::Failure;
use crate::form::store::os_words;
use std::io::{BufRead, Read as _};

/// Longest line that is taken in \[bytes\].
const MOST_BYTES: u64 = 64 * 1024;

/// The next line without its end; `None` where the input ends. What stands behind the last line end is a line too.
///
/// # Errors
/// A line longer than any answer, bytes that are no text, an input that cannot be read.
pub(super) fn next(input: &mut impl BufRead) -> Result<Option<String>, Failure> {
    let mut bytes = Vec::new();
    let wrong = |what: String, help: &str| {
        Failure::wrong(format!("error: standard input: {what}\n  try: {help}"))
    };
    input
        .by_ref()
        .take(MOST_BYTES + 1)
        .read_until(b'\n', &mut bytes)
        .map_err(|e| {
            wrong(
                format!("it cannot be read: {}", os_words(&e)),
                "UTF-8 text, line by line",
            )
        })?;
    if bytes.is_empty() {
        return Ok(None);
    }
    if bytes.len() as u64 > MOST_BYTES {
        return Err(wrong(
            format!("a line is longer than {MOST_BYTES} bytes"),
            "one act or answer a line",
        ));
    }
    match String::from_utf8(bytes) {
        Ok(line) => {
            // Piped from a file, its first line may have the mark of UTF-8 before it.
            let line = line.trim_start_matches('\u{FEFF}');
            Ok(Some(line.trim_end_matches(['\n', '\r']).to_owned()))
        }
        Err(_) => Err(wrong(
            "a line is not UTF-8 text".to_owned(),
            "UTF-8 text, line by line",
        )),
    }
}
