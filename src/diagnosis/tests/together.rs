//! What an answer says side by side never contradicts: what is done, what is offered next, and what the readings say by themselves.
//! By typed values, over a visit to every fault of the built-in library.

use crate::diagnosis::advice::Advice;
use crate::diagnosis::answer::{Answer, Cause, Pair};
use crate::diagnosis::files::readings::Readings;
use crate::diagnosis::inference::next::Sought;
use crate::diagnosis::inference::safety::{Danger, Offered, Reason, of_readings};
use crate::diagnosis::library::standard::standard_rig;
use crate::diagnosis::lock_up;
use crate::diagnosis::remarks;
use crate::diagnosis::store::{Prepared, built_in};
use crate::fault::Fault;
use crate::service::{LIMITS, forbids_flames};
use crate::units::{inwc_to_pa, psi_to_pa};
use crate::visit::item::BUBBLES;
use crate::visit::{ALL, ITEMS, Id, Scale, Test, Values, Verdict};

fn prepared() -> Prepared {
    let library = built_in(&standard_rig()).expect("a library of this model");
    Prepared::from_library(library).expect("a likelihood")
}

fn read(of: &[(Id, f64)]) -> Readings {
    let mut readings = Readings::default();
    for (id, v) in of {
        readings.values[id.index()] = Some(*v);
    }
    readings
}

/// Whether a cause lets gas out by its own table, at a place where leak fluid has not been.
fn escapes(cause: &Cause) -> bool {
    let mut all = cause.readings.iter();
    all.any(|r| ALL[r.item].choices() == Some(BUBBLES) && r.measured.is_none() && r.expected >= 1.0)
}

/// Every pair of sayings that may not stand together.
fn agrees(answer: &Answer, values: &Values, of: &str) {
    let proved = [Id::HalfOutlet, Id::RestMinute, Id::LeakChange];
    let proved = proved.iter().all(|id| values[id.index()].is_some());
    let holds = answer.verdict == Some(Verdict::Pass) && answer.danger == Danger::None;
    let likely = answer.causes.iter().filter(|c| c.probability >= 0.05);
    let gas_may_be_out = likely.clone().any(escapes);
    for cause in &answer.causes {
        let said = (of, &*cause.id, cause.action);
        match cause.action {
            Advice::Nothing => assert!(
                holds && proved && !gas_may_be_out && cause.faults.is_empty(),
                "{said:?}"
            ),
            Advice::Prove => assert!(holds && !escapes(cause), "{said:?}"),
            Advice::Seek => assert!(holds && escapes(cause), "{said:?}"),
            Advice::Watch | Advice::LookInto => assert!(
                cause.faults.is_empty() && answer.danger == Danger::None,
                "{said:?}"
            ),
            Advice::LeaveShut => assert!(answer.danger != Danger::None, "{said:?}"),
            Advice::Mend => assert!(!cause.faults.is_empty() && !holds, "{said:?}"),
        }
    }
    // Leak fluid comes before anything that lights where what may be there lets gas out.
    let first = answer.next_tests.first();
    if gas_may_be_out && answer.danger == Danger::None {
        let fluid = |t: Test| matches!(t, Test::Vent | Test::Joints | Test::Fill);
        assert!(first.is_some_and(|t| fluid(t.test)), "{of}: {first:?}");
    }
    let offered = answer.next_tests.iter().flat_map(|t| &t.gives);
    for &item in offered.filter(|_| answer.danger != Danger::None) {
        let id = ALL[item].id;
        assert!(answer.danger.allows_item(id), "{of}: {id:?}");
    }
    // A lock-up that fails is explained by all but a quarter of what is believed, or nothing is lit.
    for id in lock_up::failing(values) {
        let leaves = answer.causes.iter().filter(|c| {
            let mut all = c.readings.iter();
            all.any(|r| r.item == id.index() && r.is_unexplained())
        });
        let left: f64 = leaves.map(|c| c.probability).sum();
        let left = left + answer.none_of_these;
        assert!(
            answer.danger >= Danger::NoFlame || left < 0.251,
            "{of}: {id:?} {left}"
        );
    }
    // What is said to let gas out is what is likeliest.
    for why in &answer.refer {
        if let Reason::Expected(_) = why {
            let lets = answer.causes.iter().filter(|c| escapes(c));
            let out: f64 = lets.map(|c| c.probability).sum();
            assert!(out > 0.3, "{of}: {out}");
        }
    }
}

/// Over a visit to every fault, whole, and as a hurried hand reads it.
#[test]
fn nothing_that_is_said_contradicts() {
    let prepared = prepared();
    let hurried = [
        Id::Air,
        Id::Container,
        Id::HalfOutlet,
        Id::FullOutlet,
        Id::RestMinute,
        Id::FullInlet,
    ];
    for &fault in &prepared.model.causes {
        let all = prepared.library.samples.iter();
        let mut of: Vec<_> = all.filter(|s| s.fault == fault).collect();
        of.sort_by(|a, b| a.severity.total_cmp(&b.severity));
        // One in the middle of its severities.
        let Some(sample) = of.get(of.len() / 2) else {
            continue;
        };
        let whole = sample.values();
        let name = fault.map_or("healthy", Fault::id);
        let few: Values =
            std::array::from_fn(|i| whole[i].filter(|_| hurried.iter().any(|id| id.index() == i)));
        for (values, how) in [(whole, "whole"), (few, "few")] {
            let readings = Readings {
                values,
                ..Readings::default()
            };
            let answer = prepared.answer(&readings);
            agrees(&answer, &values, &format!("{name}, {how}"));
        }
    }
}

/// A low side up to 14.0 in w.c. forbids nothing by itself, and from there on every flame: the number of the bench (code: UL 144, 24 CFR
/// 3280.704), at rest and in every other state; and so does a gauge on a pin that stands there.
#[test]
fn over_fourteen_nothing_is_lit() {
    for id in [Id::RestMinute, Id::RestCreep, Id::RestPeak, Id::HalfOutlet] {
        for (inwc, forbids) in [(13.9, false), (14.0, false), (14.01, true), (14.1, true)] {
            let pa = inwc_to_pa(inwc);
            let (danger, _) = of_readings(&read(&[(id, pa)]));
            assert_eq!(
                (danger == Danger::NoFlame, forbids_flames(pa)),
                (forbids, forbids)
            );
            assert_eq!(forbids, LIMITS.lock_up_caution.is_passed_by(pa));
        }
        let mut over = read(&[(id, inwc_to_pa(14.0))]);
        over.over[id.index()] = true;
        assert_eq!(
            of_readings(&over),
            (Danger::NoFlame, vec![Reason::Over(id)])
        );
        let mut far = read(&[(id, LIMITS.far_over.high)]);
        far.over[id.index()] = true;
        assert_eq!(
            of_readings(&far),
            (Danger::ShutOff, vec![Reason::FarOver(id)])
        );
    }
}

/// A lock-up fails over 13.2 in w.c. and where it climbs by over 0.15 in five minutes (practice), and is explained where more than half of the
/// belief reads so.
#[test]
fn a_lock_up_that_fails_has_to_be_explained() {
    let failing = |minute: f64, later: f64| {
        let of = [(Id::RestMinute, minute), (Id::RestCreep, later)];
        let readings = read(&of.map(|(id, inwc)| (id, inwc_to_pa(inwc))));
        (lock_up::failing(&readings.values), readings.values)
    };
    assert_eq!(failing(12.0, 12.15).0, []);
    assert_eq!(failing(12.0, 12.2).0, [Id::RestCreep]);
    assert_eq!(failing(13.2, 13.2).0, []);
    assert_eq!(failing(13.3, 13.3).0, [Id::RestMinute, Id::RestCreep]);
    let (_, values) = failing(12.1, 14.0);
    let single = |belief: f64, off: f64| (belief, move |_: Id| off);
    let of = |all: Vec<(f64, f64)>, pairs: &[Pair], none: f64| {
        let all = all.into_iter().map(|(belief, off)| single(belief, off));
        lock_up::unexplained(&values, all, pairs, none)
    };
    let left = Some(Id::RestCreep);
    assert_eq!(of(vec![(0.24, 9.0), (0.76, 1.0)], &[], 0.0), None);
    assert_eq!(of(vec![(0.26, 9.0), (0.74, 1.0)], &[], 0.0), left);
    assert_eq!(of(vec![(0.14, 9.0), (0.74, 1.0)], &[], 0.12), left);
    let faults = ["container_low", "second_seat_nick"].map(|f| Fault::named(f).expect("a fault"));
    let pair = |later: f64| {
        let mut reads: Values = [None; ITEMS];
        reads[Id::RestCreep.index()] = Some(inwc_to_pa(later));
        Pair {
            probability: 0.6,
            reads: Some(reads),
            ..Pair::new(faults, [0.5; 2], None)
        }
    };
    assert_eq!(of(vec![(0.2, 9.0)], &[pair(13.9)], 0.0), None);
    assert_eq!(of(vec![(0.2, 9.0)], &[pair(12.1)], 0.0), left);
}

/// As a bench reads an empty container beside a nicked seat: the seat is tried as a second fault, nothing is lit while the lock-up climbs, and
/// nobody is told to relight.
#[test]
fn a_seat_that_climbs_is_not_passed_over_beside_an_empty_container() {
    let prepared = prepared();
    let mut readings = read(&[
        (Id::Air, 288.7),
        (Id::Container, psi_to_pa(27.0)),
        (Id::Fill, 0.0),
        (Id::LeakChange, 0.0),
        (Id::HalfOutlet, inwc_to_pa(11.1)),
        (Id::FullOutlet, inwc_to_pa(10.8)),
        (Id::FullManifold, inwc_to_pa(10.4)),
        (Id::FullInlet, psi_to_pa(22.0)),
        (Id::FirstFull, psi_to_pa(9.4)),
        (Id::FirstRest, psi_to_pa(10.1)),
        (Id::FirstCreep, psi_to_pa(10.1)),
        (Id::RestPeak, inwc_to_pa(11.9)),
        (Id::RestMinute, inwc_to_pa(12.1)),
        (Id::RestCreep, inwc_to_pa(13.9)),
    ]);
    let vents = ALL.iter().filter(|i| i.test == Test::Vent);
    for item in vents.filter(|i| matches!(i.kind, Scale::Words(_))) {
        readings.values[item.id.index()] = Some(0.0);
    }
    let cancel = std::sync::atomic::AtomicBool::new(false);
    let answer = prepared.answer_with_pairs(&readings, &cancel);
    agrees(&answer, &readings.values, "empty and nicked");
    let seat = |p: &&Pair| {
        let raises = ["second_seat_nick", "second_seat_grit"];
        p.faults.iter().any(|f| raises.contains(&f.id()))
    };
    let seats: f64 = answer
        .pairs
        .iter()
        .filter(seat)
        .map(|p| p.probability)
        .sum();
    assert!(seats > 0.2, "{seats}: {:?}", answer.pairs.first());
    let lit = answer.next_tests.iter().flat_map(|t| &t.gives);
    let lit: Vec<&str> = lit.map(|&i| ALL[i].words).collect();
    let explained = answer.danger == Danger::None;
    assert!(
        explained || !lit.contains(&"outlet after a long draw"),
        "{lit:?}"
    );
    let rests = answer.rests_on.map(|alone| alone.item);
    assert_eq!(rests, Some(Id::RestCreep));
}

/// One reading that is odd among right ones carries what stands first, and that is said; two that bear each other out do not.
#[test]
fn one_odd_reading_is_read_again() {
    let prepared = prepared();
    let right = [
        (Id::HalfOutlet, inwc_to_pa(11.0)),
        (Id::FullOutlet, inwc_to_pa(10.7)),
        (Id::FullManifold, inwc_to_pa(10.3)),
        (Id::LeakChange, 0.0),
    ];
    let of = |minute: f64, later: f64| {
        let mut readings = read(&right);
        readings.values[Id::RestMinute.index()] = Some(inwc_to_pa(minute));
        readings.values[Id::RestCreep.index()] = Some(inwc_to_pa(later));
        let answer = prepared.answer(&readings);
        agrees(&answer, &readings.values, "odd");
        (answer.rests_on.map(|alone| alone.item), answer)
    };
    let (rests, answer) = of(11.9, 16.0);
    assert_eq!(
        (rests, answer.danger),
        (Some(Id::RestCreep), Danger::NoFlame)
    );
    assert_eq!(of(15.0, 16.0).0, None);
    assert_eq!(of(11.9, 11.9).0, None);
}

/// A cold container and one of butane read alike but for how bad each is: no more than three to one between them, both beside a
/// pressure that the bench watches. What parts them is asked for first.
#[test]
fn what_no_reading_parts_is_shared() {
    let prepared = prepared();
    for psi in [32.0, 50.0] {
        let readings = read(&[
            (Id::Air, 288.7),
            (Id::Container, psi_to_pa(psi)),
            (Id::Fill, 0.59),
            (Id::HalfOutlet, inwc_to_pa(11.1)),
            (Id::FullOutlet, inwc_to_pa(10.8)),
            (Id::RestMinute, inwc_to_pa(11.9)),
            (Id::LeakChange, 0.0),
        ]);
        let answer = prepared.answer(&readings);
        agrees(&answer, &readings.values, "cold");
        assert_eq!(answer.verdict, Some(Verdict::Caution));
        let of = |id: &str| {
            let found = answer.causes.iter().find(|c| c.id == id);
            found.map_or(0.0, |c| c.probability)
        };
        let (cold, butane) = (of("container_cold"), of("butane_rich"));
        assert!(
            cold.max(butane) < 0.9 && cold.min(butane) > 0.08,
            "{psi}: {cold} {butane}"
        );
        let first = answer.next_tests.first().map(|t| (t.sought, t.offered));
        assert_eq!(first, Some((Some(Sought::Weak), Offered::AsItStands)));
    }
    assert!(remarks::is_proved(
        &read(&[
            (Id::HalfOutlet, 1.0),
            (Id::RestMinute, 1.0),
            (Id::LeakChange, 0.0)
        ])
        .values
    ));
}
