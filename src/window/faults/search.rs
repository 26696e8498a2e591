//! Which faults answer to what somebody asks for. Not here: the list they stand in (`faults`).

use crate::fault::{Entry, Family, Fault};
use crate::rig::Rig;

/// How near a hit is; the nearest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Hit {
    /// Each word asked for is a word of the name.
    Name,
    /// Each word asked for begins a word of the name.
    NameBegins,
    /// It strikes the appliance, or has the part, that is asked for.
    Strikes,
    /// The words stand in the sentence beside the name, or in its family.
    Sentence,
    /// They stand somewhere else on its page.
    Page,
}

impl Hit {
    /// What a person reads over the hits of this kind; names, whole or begun, are one.
    pub fn words(self) -> &'static str {
        match self {
            Self::Name | Self::NameBegins => "By name",
            Self::Strikes => "Can strike it",
            Self::Sentence => "By what it is",
            Self::Page => "Told on its page",
        }
    }
}

/// How near a fault is to what is asked for: as near as the farthest of the words. None where one of them stands
/// nowhere on its page.
pub fn hit(entry: &Entry, wanted: &str) -> Option<Hit> {
    let name = entry.name.to_lowercase();
    let sentence = format!("{} {}", entry.words, entry.family.words()).to_lowercase();
    let rest = [
        entry.name,
        entry.id,
        entry.told_apart,
        entry.caution,
        &entry.page().all_advice(),
    ];
    let rest = rest.join(" ").to_lowercase();
    let words_of_name = || name.split(|c: char| !c.is_alphanumeric());
    let near = |word: &str| {
        if words_of_name().any(|w| w == word) {
            Some(Hit::Name)
        } else if words_of_name().any(|w| w.starts_with(word)) {
            Some(Hit::NameBegins)
        } else if sentence.contains(word) {
            Some(Hit::Sentence)
        } else {
            rest.contains(word).then_some(Hit::Page)
        }
    };
    let mut farthest = Hit::Name;
    for word in wanted.split_whitespace() {
        farthest = farthest.max(near(word)?);
    }
    Some(farthest)
}

/// Whether a fault answers a search at all.
pub fn matches(entry: &Entry, wanted: &str) -> bool {
    hit(entry, wanted).is_some()
}

/// Parts of an appliance's electric side, as people ask for them.
const ELECTRIC: [&str; 13] = [
    "sail",
    "fan",
    "blower",
    "motor",
    "limit switch",
    "board",
    "fuse",
    "wire",
    "wiring",
    "battery",
    "volt",
    "relay",
    "breaker",
];

/// Whether something is asked for that no law of the model knows.
pub fn is_electric(wanted: &str) -> bool {
    ELECTRIC.iter().any(|part| wanted.contains(part))
}

/// Whether it strikes an appliance of the rig that is called so, or has such a part.
pub fn strikes_named(entry: &Entry, wanted: &str, rig: &Rig) -> bool {
    let named = |name: &str| wanted.len() > 2 && name.to_lowercase().contains(wanted);
    if entry.family != Family::Appliance || !rig.appliances.iter().any(|a| named(&a.name)) {
        return false;
    }
    // One of those that have the part is asked for; what strikes all of them strikes that one too.
    let Some(fault) = Fault::named(entry.id) else {
        return false;
    };
    let can = fault.burners(rig);
    can.is_empty() || can.iter().any(|i| named(&rig.appliances[*i].name))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fault_is_found_by_the_words_of_its_page() {
        let found = |wanted: &str| Fault::all().filter(|f| matches(f.entry(), wanted)).count();
        for wanted in [
            "flame",
            "pilot",
            "spring case",
            "wasp",
            "interstage",
            "thermocouple",
        ] {
            assert!(found(wanted) > 0, "{wanted}");
        }
        assert!(found("vent ice") < found("vent"), "every word counts");
        assert_eq!(found("carburettor"), 0);
        assert!(found("sail switch") == 0 && is_electric("sail switch"));
        assert!(!is_electric("vent") && !is_electric("carburettor"));
    }
    #[test]
    fn what_is_named_so_stands_before_what_only_mentions_it() {
        let near = |id: &str, wanted: &str| {
            let fault = Fault::named(id).expect("in the catalogue");
            hit(fault.entry(), wanted)
        };
        let name = Fault::named("hose_kinked").map(|f| f.entry().name.to_lowercase());
        let name = name.expect("in the catalogue");
        assert_eq!(near("hose_kinked", &name), Some(Hit::Name));
        assert_eq!(near("hose_kinked", &name[..3]), Some(Hit::NameBegins));
        assert_eq!(near("hose_kinked", "carburettor"), None);
        for wanted in ["vent", "spring", "seat", "hose"] {
            let mut hits: Vec<Hit> = Fault::all()
                .filter_map(|f| hit(f.entry(), wanted))
                .collect();
            hits.sort();
            assert_eq!(hits.first(), Some(&Hit::Name), "{wanted}");
            assert!(hits.last() > Some(&Hit::NameBegins), "{wanted}");
        }
    }
}
