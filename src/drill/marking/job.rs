//! What puts a cause right, and whether two faults are of one part. A job is one that is done at a part: a hose that is
//! repaired leaves the line leaking.

use crate::drill::reasoning::causes::Cause;
use crate::fault::{Fault, Remedy};
use crate::rig::Rig;
use crate::visit::{Cure, Deed, cure};
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

/// Where on a rig a job of this name is done for a fault: a new regulator is one for all that is in it, and fuel is let out and filled
/// at the containers; else it is the part that the fault changes, or the fault itself where it changes none.
fn place(rig: &Rig, fault: Fault, job: Remedy) -> BTreeSet<String> {
    let one = |name: &str| BTreeSet::from([name.to_owned()]);
    match job {
        Remedy::Replace if cure(Deed::SwapRegulator, fault) == Cure::Yes => one("regulator"),
        Remedy::Refill => one("containers"),
        _ => match struck(rig, fault) {
            none if none.is_empty() => one(fault.id()),
            parts => parts,
        },
    }
}

/// Jobs for a named cause, each with where it is done.
pub(super) struct Jobs<'a> {
    rig: &'a Rig,
    done: Vec<(Remedy, BTreeSet<String>)>,
}

impl<'a> Jobs<'a> {
    /// What is done where by whoever does this for such a cause.
    pub(super) fn of(rig: &'a Rig, cause: &Cause, actions: &[Remedy]) -> Self {
        let each = |f: &Fault| {
            let f = *f;
            actions.iter().map(move |r| (*r, place(rig, f, *r)))
        };
        let done = cause.iter().flat_map(each).collect();
        Self { rig, done }
    }

    /// Whether that mends a cause: of every fault what puts it right is done at its own part.
    pub(super) fn mend(&self, cause: &Cause) -> bool {
        let mends = |(fault, right): &(Fault, Vec<Remedy>)| {
            let here = |(job, at): &(Remedy, BTreeSet<String>)| {
                right.contains(job) && !at.is_disjoint(&place(self.rig, *fault, *job))
            };
            self.done.iter().any(here)
        };
        !cause.is_empty() && right_actions(cause).iter().all(mends)
    }
}

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

    /// The verb alone is no job: it is done at a part, both ways round.
    #[test]
    fn a_job_mends_what_is_at_its_own_part_and_nothing_elsewhere() {
        use Remedy::{Clear, Repair, Replace};
        let rig = standard_rig().rig;
        let named = |id| vec![Fault::named(id).expect("in the catalogue")];
        let mends = |named_as, job, is| Jobs::of(&rig, &named(named_as), &[job]).mend(&named(is));
        for wrong in [
            "pigtail_leak",
            "gas_valve_leaks",
            "container_cold",
            "second_seat_nick",
        ] {
            assert!(!mends(wrong, Repair, "low_side_leak"), "{wrong}");
        }
        assert!(!mends("low_side_leak", Repair, "pigtail_leak"));
        assert!(!mends("hose_kinked", Replace, "second_seat_nick"));
        assert!(!mends("overloaded", Replace, "second_seat_nick"));
        assert!(!mends("second_vent_blocked", Clear, "spud_clogged"));
        // One regulator is one part, whichever of its faults.
        assert!(mends("first_seat_disc_lost", Replace, "first_seat_nick"));
        assert!(mends("second_seat_grit", Replace, "second_seat_nick"));
        assert!(mends("line_too_small", Repair, "line_crushed"));
        let same = |a: Fault, b: Fault, job| {
            let of = |named, is| Jobs::of(&rig, &vec![named], &[job]).mend(&vec![is]);
            (of(a, b), of(b, a))
        };
        for a in Fault::all() {
            for job in a.entry().puts_right() {
                assert_eq!(same(a, a, job), (true, true), "{a} {job:?}");
                for b in Fault::all().filter(|b| b.entry().puts_right().any(|r| r == job)) {
                    let (there, back) = same(a, b, job);
                    assert_eq!(there, back, "{a} {b} {job:?}");
                }
            }
        }
    }

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
