//! What puts a cause right, and whether two faults are of one part: so far the same job.

use crate::drill::reasoning::causes::Cause;
use crate::fault::{Fault, Remedy};
use crate::rig::Rig;
use serde_json::Value;
use std::collections::BTreeSet;

/// Of each fault of a cause, the actions that put it right.
fn right_actions(cause: &Cause) -> Vec<(Fault, Vec<Remedy>)> {
    let of = |f: &Fault| (*f, f.entry().puts_right().collect());
    cause.iter().map(of).collect()
}

/// What of a cause some actions leave as it is.
pub(super) fn left_by(cause: &Cause, actions: &[Remedy]) -> Vec<(Fault, Vec<Remedy>)> {
    let mut out = right_actions(cause);
    out.retain(|(_, right)| !right.iter().any(|r| actions.contains(r)));
    out
}

/// Severity at which what a fault changes is looked at.
pub(super) const MIDDLING: f64 = 0.5;

/// Whether two faults change the same part of a rig: its vent, its seat, one line.
pub fn strike_one_part(rig: &Rig, one: Fault, other: Fault) -> bool {
    !struck(rig, one).is_disjoint(&struck(rig, other))
}

/// The parts of a rig that a fault changes, by their names in its parameters: `second vent`, `appliances 0 spud_m2`. What comes into
/// the rig and changes none of them, as water in the fuel, strikes no part.
fn struck(rig: &Rig, fault: Fault) -> BTreeSet<String> {
    let mut hurt = rig.clone();
    fault.apply(&mut hurt, MIDDLING);
    let mut out = BTreeSet::new();
    if let (Ok(well), Ok(hurt)) = (serde_json::to_value(rig), serde_json::to_value(&hurt)) {
        changed(&well, &hurt, ("", DEEP), &mut out);
    }
    out
}

/// How deep a part lies in a rig: a stage, a container or a line, and the part of it. The place in a list is no depth.
const DEEP: usize = 2;

fn changed(well: &Value, hurt: &Value, (place, deep): (&str, usize), out: &mut BTreeSet<String>) {
    match (well, hurt) {
        _ if well == hurt => {}
        (Value::Object(well), Value::Object(hurt)) if deep > 0 => {
            for (name, part) in well {
                let other = hurt.get(name).unwrap_or(&Value::Null);
                changed(part, other, (&format!("{place} {name}"), deep - 1), out);
            }
        }
        (Value::Array(well), Value::Array(hurt)) if deep > 0 => {
            for (n, (part, other)) in well.iter().zip(hurt).enumerate() {
                changed(part, other, (&format!("{place} {n}"), deep), out);
            }
        }
        _ => {
            out.insert(place.to_owned());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnosis::library::standard::standard_rig;

    #[test]
    fn what_strikes_the_same_part_is_of_one_and_what_merely_looks_alike_is_not() {
        let rig = standard_rig().rig;
        let named = |id| Fault::named(id).expect("in the catalogue");
        let one = |a, b| strike_one_part(&rig, named(a), named(b));
        // Across families: the vent's mouth, whatever closes it.
        assert!(one("vent_turned_up", "second_vent_iced"));
        assert!(one("mounted_in_sun", "second_vent_blocked"));
        assert!(!one("vent_turned_up", "second_screw_high"));
        assert!(!one("second_vent_blocked", "first_vent_blocked"));
        assert!(!one("second_seat_grit", "second_vent_blocked"));
        for a in Fault::all() {
            let own = struck(&rig, a);
            assert_eq!(strike_one_part(&rig, a, a), !own.is_empty(), "{a}");
        }
    }
}
