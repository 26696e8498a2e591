//! The name somebody probably meant. It compares words only and knows nothing of what they name.

/// Longest word compared; anything longer is no misspelling of a name used here.
const LONGEST_CHARS: usize = 64;

/// The candidate nearest to `word`, if it is near enough to be a slip of the pen.
///
/// Distance counts a letter dropped, added, changed, or two neighbours swapped (the restricted
/// Damerau-Levenshtein distance); letter case and the difference between space, `-` and `_` are
/// free. Near enough is one change in three letters, at least one. Of equals the first wins.
pub fn nearest<'a, I>(word: &str, candidates: I) -> Option<&'a str>
where
    I: IntoIterator<Item = &'a str>,
{
    let wanted = folded(word)?;
    let allowed = (wanted.len() / 3).max(1);
    let mut best: Option<(usize, &'a str)> = None;
    for candidate in candidates {
        let Some(other) = folded(candidate) else {
            continue;
        };
        let distance = edit_distance(&wanted, &other);
        // A word replaced letter by letter is another word, however short it is.
        let is_near = distance <= allowed && distance < wanted.len().max(other.len());
        if is_near && best.is_none_or(|(least, _)| distance < least) {
            best = Some((distance, candidate));
        }
    }
    best.map(|(_, candidate)| candidate)
}

/// The letters compared, or `None` when there are none or too many.
fn folded(word: &str) -> Option<Vec<char>> {
    let letters: Vec<char> = word
        .chars()
        .take(LONGEST_CHARS + 1)
        .flat_map(char::to_lowercase)
        .map(|c| if matches!(c, ' ' | '-') { '_' } else { c })
        .collect();
    (!letters.is_empty() && letters.len() <= LONGEST_CHARS).then_some(letters)
}

fn edit_distance(a: &[char], b: &[char]) -> usize {
    let mut before: Vec<usize> = Vec::new();
    let mut last: Vec<usize> = (0..=b.len()).collect();
    for (i, &from) in a.iter().enumerate() {
        let mut row = vec![i + 1];
        for (j, &to) in b.iter().enumerate() {
            let changed = last[j] + usize::from(from != to);
            let mut least = changed.min(last[j + 1] + 1).min(row[j] + 1);
            let is_swap = i > 0 && j > 0 && from == b[j - 1] && a[i - 1] == to;
            if is_swap {
                least = least.min(before[j - 1] + 1);
            }
            row.push(least);
        }
        before = std::mem::replace(&mut last, row);
    }
    last[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    const KEYS: [&str; 4] = ["outlet", "inlet", "vent_bore", "set"];

    #[test]
    fn a_slip_finds_its_name() {
        assert_eq!(nearest("outlett", KEYS), Some("outlet"));
        assert_eq!(nearest("otulet", KEYS), Some("outlet"));
        assert_eq!(nearest("Vent bore", KEYS), Some("vent_bore"));
        assert_eq!(nearest("sett", KEYS), Some("set"));
    }

    #[test]
    fn another_word_finds_none() {
        assert_eq!(nearest("furnace", KEYS), None);
        assert_eq!(nearest("", KEYS), None);
        assert_eq!(nearest("x", ["y"]), None);
        assert_eq!(nearest(&"o".repeat(100_000), KEYS), None);
    }

    /// The distance between words worked out by hand.
    #[test]
    fn distance_counts_changes() {
        let d = |a: &str, b: &str| {
            edit_distance(
                &a.chars().collect::<Vec<_>>(),
                &b.chars().collect::<Vec<_>>(),
            )
        };
        assert_eq!(d("", "abc"), 3);
        assert_eq!(d("abc", "abc"), 0);
        assert_eq!(d("abc", "acb"), 1);
        assert_eq!(d("kitten", "sitting"), 3);
    }
}
