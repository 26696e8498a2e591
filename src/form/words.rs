//! Words that people write where a name, a yes or a no is asked for, and names as they are offered to them.

/// Each name once: a word may stand for itself and be another's second name.
pub(super) fn once<'n>(names: &[&'n str]) -> Vec<&'n str> {
    let mut all: Vec<&str> = Vec::new();
    for &name in names {
        if !all.contains(&name) {
            all.push(name);
        }
    }
    all
}

/// Whether a word that people write for true or false means true; `None` of any other word.
pub(super) fn meant(text: &str) -> Option<bool> {
    const YES: [&str; 5] = ["true", "yes", "on", "y", "1"];
    const NO: [&str; 6] = ["false", "no", "off", "n", "0", "none"];
    let is = |words: &[&str]| words.iter().any(|w| w.eq_ignore_ascii_case(text.trim()));
    match (is(&YES), is(&NO)) {
        (true, _) => Some(true),
        (_, true) => Some(false),
        _ => None,
    }
}

/// What people write where nothing changed.
const NONE: [&str; 6] = ["none", "no", "nothing", "no change", "no drop", "no loss"];

pub(super) fn is_none(text: &str) -> bool {
    let text = text.trim();
    NONE.iter().any(|none| none.eq_ignore_ascii_case(text))
}

/// So many names are told whole, and no more of a longer list.
const MOST_NAMES: usize = 16;

/// A list of names: whole where it is short, else those that share a word with what was written, and the first ones.
pub(super) fn few(written: &str, all: &[&str]) -> String {
    if all.len() <= MOST_NAMES {
        return all.join(", ");
    }
    let lower = |s: &str| s.to_lowercase();
    let said: Vec<String> = lower(written)
        .split_whitespace()
        .map(str::to_owned)
        .collect();
    let shares = |name: &&str| {
        lower(name)
            .split_whitespace()
            .any(|w| said.iter().any(|s| s == w))
    };
    // What a list begins with are its own names; their second names come after.
    let (near, other): (Vec<&str>, Vec<&str>) = all.iter().copied().partition(shares);
    let near = near.into_iter().take(MOST_NAMES / 2);
    let told: Vec<&str> = near.chain(other).take(MOST_NAMES).collect();
    format!("{}, ... ({} in all)", told.join(", "), all.len())
}
