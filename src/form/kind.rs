//! Files of another kind: one that somebody gave to the wrong command is told as that, in one sentence.

/// A kind of file: what it is called, what reads it, and keys at its top that no other kind has.
struct Kind {
    name: &'static str,
    read_by: &'static str,
    keys: &'static [&'static str],
}

const KINDS: [Kind; 6] = [
    Kind {
        name: "a scenario",
        read_by: "`twostage run` or `service`",
        keys: &["run", "appliance"],
    },
    Kind {
        name: "a readings file",
        read_by: "`twostage diagnose`",
        keys: &[
            "half_load",
            "full_load",
            "lock_up",
            "first_stage",
            "leak_check",
            "leak_fluid",
            "seen",
            "heard",
            "told",
        ],
    },
    Kind {
        name: "a drill",
        read_by: "`twostage drill try`",
        keys: &["complaint", "at_hand", "sealed"],
    },
    Kind {
        name: "a lesson",
        read_by: "`twostage lesson run`",
        keys: &["question", "measure"],
    },
    Kind {
        name: "a run of moments to present",
        read_by: "the window: drop the file on it, or K and *Open a talk*",
        keys: &["stop"],
    },
    Kind {
        name: "a class list",
        read_by: "`twostage class`",
        keys: &["trainee"],
    },
];

/// What a file is, and what reads it, where its keys are those of another kind than the reader's.
pub(super) fn other(keys: &[&str], known: &[String]) -> Option<(&'static str, &'static str)> {
    let marked = |kind: &&Kind| keys.iter().any(|key| kind.keys.contains(key));
    let mut of = KINDS.iter().filter(marked);
    let (kind, more) = (of.next()?, of.next());
    let is_own = kind.keys.iter().any(|key| known.iter().any(|k| k == key));
    (more.is_none() && !is_own).then_some((kind.name, kind.read_by))
}

#[cfg(test)]
mod tests {
    use super::other;

    /// Only keys of one kind, none of which the reader knows; a stray key of another kind is a mistake like any other.
    #[test]
    fn a_file_of_another_kind_is_told_by_its_keys() {
        let known = |keys: &[&str]| keys.iter().map(|k| (*k).to_owned()).collect::<Vec<_>>();
        let scenario = known(&["title", "run", "site", "container", "appliance"]);
        let of = |keys: &[&'static str]| other(keys, &scenario).map(|o| o.0);
        assert_eq!(of(&["title", "site", "half_load"]), Some("a readings file"));
        assert_eq!(of(&["title", "question", "scenario"]), Some("a lesson"));
        assert_eq!(of(&["run", "appliance", "colour"]), None);
        assert_eq!(of(&["run", "half_load"]), None);
        assert_eq!(of(&["title", "colour"]), None);
    }
}
