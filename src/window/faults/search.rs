//! Which faults answer to what somebody asks for. Not here: the list they stand in (`faults`).

use crate::fault::{Entry, Family, Fault};
use crate::rig::Rig;

/// Whether a fault answers a search: each of its words stands somewhere on the fault's page.
pub fn matches(entry: &Entry, wanted: &str) -> bool {
    let page = [
        entry.name,
        entry.words,
        entry.id,
        entry.family.words(),
        entry.told_apart,
        entry.caution,
        entry.page().advice,
    ]
    .join(" ")
    .to_lowercase();
    wanted.split_whitespace().all(|word| page.contains(word))
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
}
