//! Whether an owner's words report gas that escapes. It is read once, where a complaint comes in: from there on it is
//! [`super::file::Drill::gas_told`], which a drill file may set itself where its words are beside this list.
//!
//! A smell, a hiss, a leak or bubbles that are told are gas until somebody has looked (common practice: no switch, no flame,
//! everyone out).

/// How words begin that tell of it.
const TOLD: [&str; 10] = [
    "smell", "smelt", "whiff", "odor", "odour", "stink", "hiss", "leak", "bubbl", "sniff",
];
/// What a sentence says of it that denies it, right before: "no smell", "without a smell", "does not smell".
const DENIED: [&str; 6] = ["no", "not", "never", "without", "nothing", "neither"];
/// So many words before it may deny it.
const NEAR: usize = 2;
/// What else may leak or smell, and is no gas.
const OTHER: [&str; 6] = ["water", "roof", "paint", "diesel", "food", "coffee"];

/// Whether these words report gas that escapes.
pub fn tells_of_gas(words: &str) -> bool {
    let clean = words.to_lowercase();
    clean.split(['.', ',', ';', ':', '!', '?']).any(tells)
}

fn tells(part: &str) -> bool {
    let words: Vec<&str> = part
        .split(|c: char| !c.is_alphanumeric())
        .filter(|w| !w.is_empty())
        .collect();
    let is_in = |list: &[&str], w: &str| list.contains(&w);
    let before = |at: usize| &words[at.saturating_sub(NEAR)..at];
    words.iter().enumerate().any(|(at, word)| {
        TOLD.iter().any(|t| word.starts_with(t))
            && !before(at).iter().any(|w| is_in(&DENIED, w))
            && (words.contains(&"gas") || !words.iter().any(|w| is_in(&OTHER, w)))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drill::Drill;
    use crate::drill::making::shipped::DRILLS;

    #[test]
    fn a_smell_a_hiss_or_bubbles_are_gas_and_what_is_denied_is_none() {
        for told in [
            "All of it burns weak, and there is a whiff of gas near the sink.",
            "In the morning there is a faint smell under the sink.",
            "It smells at the bottle!",
            "My neighbour put soap on it and says it bubbles.",
            "There is a leak somewhere",
            "It HISSES when I shut it",
            "There is no water, but a smell of gas",
            "Smell of gas by the water heater",
        ] {
            assert!(tells_of_gas(told), "{told}");
        }
        for quiet in [
            "",
            "The gas man said it was fine.",
            "Everything burns low and soft. There is no smell.",
            "It does not smell, it does not hiss.",
            "The flames roar, all of them.",
            "The roof leaks above the stove, and one burner is weak.",
        ] {
            assert!(!tells_of_gas(quiet), "{quiet}");
        }
    }

    /// Of the shipped drills those whose owner speaks of a smell or of bubbles, and no other.
    #[test]
    fn of_the_shipped_drills_those_that_say_so() {
        let tell = |(name, text): &(&'static str, &str)| {
            let drill = Drill::read(name, text, None).unwrap_or_else(|e| panic!("{e}"));
            drill.gas_told.then_some(*name)
        };
        let mut told: Vec<&str> = DRILLS.iter().filter_map(tell).collect();
        told.sort_unstable();
        assert_eq!(
            told,
            [
                "a_faint_smell_in_the_morning",
                "a_smell_and_one_burner_weak",
                "a_smell_at_the_tongue",
                "bubbles_for_no_reason"
            ]
        );
    }
}
