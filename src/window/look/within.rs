//! A value held between two bounds, whatever these are. Bounds that a layout or a record works out may stand the wrong way
//! round (a pane of a few points, a run of no length), and `clamp` panics there; this does not.

/// `value`, at most `high`, at least `low`; where `low` is over `high`, it is `low`.
pub fn within<T: PartialOrd>(value: T, low: T, high: T) -> T {
    let capped = if value > high { high } else { value };
    if capped < low { low } else { capped }
}

#[cfg(test)]
mod tests {
    use super::within;
    use std::path::{Path, PathBuf};

    #[test]
    fn bounds_the_wrong_way_round_give_the_lower_one() {
        assert_eq!(within(5, 1, 9), 5);
        assert_eq!(within(0, 1, 9), 1);
        assert_eq!(within(12, 1, 9), 9);
        assert_eq!(within(5, 9, 1), 9);
        assert_eq!(within(2.0, 3.0, f32::NAN), 3.0);
        assert!(within(f64::NAN, 0.0, 1.0).is_nan());
    }

    fn sources(room: &Path, out: &mut Vec<PathBuf>) {
        for entry in std::fs::read_dir(room).expect("a room of the house") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                sources(&path, out);
            } else if path.extension().is_some_and(|e| e == "rs") {
                out.push(path);
            }
        }
    }

    /// What stands between the brackets of a call, cut at its commas.
    fn arguments(after: &str) -> Vec<String> {
        let (mut depth, mut out) = (0, vec![String::new()]);
        for c in after.chars() {
            match c {
                ')' | ']' if depth == 0 => break,
                '(' | '[' => depth += 1,
                ')' | ']' => depth -= 1,
                ',' if depth == 0 => {
                    out.push(String::new());
                    continue;
                }
                _ => {}
            }
            if let Some(last) = out.last_mut() {
                last.push(c);
            }
        }
        out.retain(|a| !a.trim().is_empty());
        out
    }

    /// A number, or a name in capitals with its place in a pair: known before the program runs.
    fn stands_fixed(bound: &str) -> bool {
        let bound = bound.trim().trim_start_matches('-');
        let bound = bound.rsplit("::").next().unwrap_or(bound);
        if bound.parse::<f64>().is_ok() {
            return true;
        }
        !bound.is_empty()
            && bound
                .chars()
                .all(|c| c.is_ascii_uppercase() || c.is_ascii_digit() || "_.[]".contains(c))
    }

    /// `clamp` is for bounds that cannot be the wrong way round; all others go through [`within`].
    #[test]
    fn no_bound_that_is_worked_out_can_panic() {
        let mut files = Vec::new();
        let room = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/window");
        sources(&room, &mut files);
        // A call begins with a point: the calls are found, and not these words.
        let call = format!(".{}(", "clamp");
        let mut seen = 0;
        for file in files {
            let text = std::fs::read_to_string(&file).expect("a source");
            for (at, _) in text.match_indices(&call) {
                let bounds = arguments(&text[at + call.len()..]);
                seen += 1;
                assert!(
                    bounds.len() == 2 && bounds.iter().all(|b| stands_fixed(b)),
                    "{}: bounds {bounds:?} are worked out; use `within`",
                    file.display()
                );
            }
        }
        assert!(seen > 40, "the calls are found: {seen}");
    }
}
