//! A repair is proved by the same act before it and after it. What moves is the model's; that an inch and more on a column
//! that is read to a tenth is a difference anybody sees is common practice.

use crate::common::drill;
use std::sync::Arc;
use twostage::drill::attempt::way::offer_of;
use twostage::drill::making::file::Worked;
use twostage::drill::making::make::Shelf;
use twostage::drill::marking::grade::{Done, Why, grade};
use twostage::drill::marking::weigh::weigh;
use twostage::drill::reasoning::rod::Rod;
use twostage::drill::{Act, Attempt, Drill};
use twostage::fault::Fault;
use twostage::solver::Method;
use twostage::visit::{Bag, Id, Observation, Scale};

const REGULATOR: &[&str] = &[
    "off all",
    "shut",
    "bleed",
    "new regulator",
    "open",
    "test leak check",
    "open",
];
const CAUSES: [(&str, &[&str], &str); 4] = [
    ("second_vent_blocked", &["clear vents"], "clear"),
    ("second_seat_nick", REGULATOR, "replace"),
    ("lever_gummed", REGULATOR, "replace"),
    ("second_spring_weak", REGULATOR, "replace"),
];
const SEVERITIES: [f64; 3] = [0.6, 0.75, 0.9];
const ACTS: [&str; 4] = [
    "test full load",
    "test lock-up",
    "test load up and down",
    "test long draw",
];

/// A drill on a usual rig with everything at hand, with what it is weighed by.
fn with(fault: Fault, severity: f64, shelf: &mut Shelf) -> Arc<Drill> {
    let mut d = (*drill(0)).clone();
    d.faults.truncate(1);
    (d.faults[0].fault, d.faults[0].severity) = (fault, severity);
    (d.faults[0].at_s, d.faults[0].over_s) = (0.0, 0.0);
    (d.bag, d.gas_told, d.limit_s) = (Bag::full(), false, 4.0 * 3600.0);
    d.must_not.clear();
    let causes = shelf.causes(&d.scenario, &mut |_| true).expect("a library");
    let values = causes.truth(&d.causes()).unwrap_or_else(|e| panic!("{e}"));
    let right = vec![d.cause()];
    let rod = Rod::of(causes, &offer_of(&d), &right, &values);
    let worked = d.worked.take().expect("sealed");
    d.worked = Some(Worked {
        accepts: right,
        rod: Some(rod),
        ..worked
    });
    Arc::new(d)
}

/// Does these acts; what cannot be done (a valve that is open already) is left.
fn done(d: &Arc<Drill>, acts: &[&str]) -> Attempt {
    let (mut a, mut s) =
        Attempt::unlogged(d.clone(), "Ada", Method::Stiff).unwrap_or_else(|e| panic!("{e}"));
    for words in acts {
        let act = Act::parse(words, s.rig()).unwrap_or_else(|e| panic!("{words}: {e}"));
        let _ = a.act(&mut s, &act, &mut |_| true);
    }
    a
}

/// By how many uncertainties the pressure moved most that was read both before and after.
fn moved(before: &[Observation], after: &[Observation]) -> f64 {
    let pressure = |id: Id| matches!(id.item().kind, Scale::Low | Scale::Middle);
    let of = |o: &Observation| {
        let again = after.iter().find(|a| a.item == o.item)?;
        let least = o.item.item().uncertainty(o.value.max(again.value));
        pressure(o.item).then_some((o.value - again.value).abs() / least)
    };
    before.iter().filter_map(of).fold(0.0, f64::max)
}

#[test]
fn the_same_act_before_and_after_proves_a_repair() {
    let causes = CAUSES.map(|c| Fault::named(c.0).expect("in the catalogue"));
    let mut shelf = Shelf::of(causes.to_vec());
    let (mut proofs, mut wrong) = (0, Vec::new());
    for ((id, repair, action), fault) in CAUSES.iter().zip(causes) {
        for severity in SEVERITIES {
            let d = with(fault, severity, &mut shelf);
            for act in ACTS {
                let rest = if act == "test lock-up" {
                    "light half"
                } else {
                    "off all"
                };
                let answer = format!("answer {id} {action} shut off");
                let mut acts = vec![rest, act, "off all"];
                let before = acts.len();
                acts.extend(*repair);
                acts.extend([rest, act, "off all", answer.as_str()]);
                let a = done(&d, &acts);
                let e = a.entries();
                let read = |some: &[twostage::drill::attempt::log::Entry]| -> Vec<Observation> {
                    some.iter()
                        .flat_map(|e| e.observations().copied())
                        .collect()
                };
                let by = moved(&read(&e[..before]), &read(&e[before..]));
                let w = weigh(&d, e, None);
                let told = format!("{id} {severity} {act}: moved {by:.1}, {w:?}");
                assert!(w.repaired_s.is_some(), "{told}");
                // An inch on a column read to a tenth, or five times what a gauge is read to.
                if by >= 10.0 {
                    proofs += 1;
                    let g = grade(&d, e, a.answer());
                    let Why::Action { done, .. } = &g.action.why else {
                        panic!("{told}");
                    };
                    if !w.proved || *done != Some(Done::Proved) {
                        wrong.push(told);
                    }
                } else {
                    println!("does not show: {told}");
                }
            }
            // Nothing read after it proves nothing, and what was not done is not proved.
            let mut unproved = vec!["test full load", "off all"];
            unproved.extend(repair.iter().filter(|w| !w.starts_with("test")));
            assert!(
                !weigh(&d, done(&d, &unproved).entries(), None).proved,
                "{id}"
            );
            let twice = done(&d, &["test full load", "off all", "test full load"]);
            assert!(!weigh(&d, twice.entries(), None).proved, "{id}");
        }
    }
    println!("{proofs} acts that show it");
    assert!(proofs >= 12, "{proofs}");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// What was read after a repair is held against what this rig showed, so a reading that is wrong still proves none.
#[test]
fn a_number_that_is_as_wrong_as_before_proves_nothing() {
    let fault = Fault::named("second_vent_blocked").expect("in the catalogue");
    let mut shelf = Shelf::of(vec![fault]);
    let d = with(fault, 0.9, &mut shelf);
    let rod = d
        .worked
        .as_ref()
        .and_then(|w| w.rod.as_ref())
        .expect("a rod");
    let causes = rod.causes(&d.scenario, 1).expect("of this rig");
    let values = causes.truth(&d.causes()).unwrap_or_else(|e| panic!("{e}"));
    let healthy = causes.truth(&[]).unwrap_or_else(|e| panic!("{e}"));
    let of = (&vec![fault], 0.9);
    let unread = [None; twostage::visit::ITEMS];
    for before in [&values, &unread] {
        assert!(causes.mended(of, before, &healthy) > 1e3);
        assert!(causes.mended(of, before, &values) < 1e-3);
    }
    assert!((causes.mended(of, &values, &unread) - 1.0).abs() < 1e-12);
    // Another severity is another rig: what this one would still show is no proof at that.
    assert!(causes.mended((&vec![fault], 0.3), &values, &values) < 1e-3);
}
