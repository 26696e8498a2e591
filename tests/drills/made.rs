//! Made drills and shipped ones: they can be solved, and their difficulty means something.

use crate::common::{drill, shipped, some_faults};
use crate::solve::{agrees, make_and_solve, tell};
use twostage::drill::making::file::Hidden;
use twostage::drill::making::make::{RIGS, Shelf, Wish, make};
use twostage::drill::making::shipped::DRILLS;
use twostage::drill::reasoning::assess::assess;
use twostage::fault::{Family, Fault};
use twostage::visit::Bag;

#[test]
fn made_drills_are_solved_with_what_is_at_hand() {
    // Without those that strike a side: on a twin set a shelf needs them placed, as the full one has them.
    let mut shelf = Shelf::of(some_faults()[..8].to_vec());
    let t = make_and_solve(&mut shelf, 0..8);
    tell(&t);
    assert!(
        t.scores.len() >= 7,
        "only {} of 8 seeds gave a drill",
        t.scores.len()
    );
    assert!(
        t.found * 10 >= t.walks * 9,
        "{} of {} with noise",
        t.found,
        t.walks
    );
}

#[test]
fn the_same_seed_gives_the_same_drill() {
    let wish = Wish {
        family: Some(Family::Seat),
        level: None,
        faults: 1,
        seed: 5,
    };
    let mut texts = Vec::new();
    for _ in 0..2 {
        let mut shelf = Shelf::of(some_faults()[..4].to_vec());
        let (d, _) = make(&wish, &mut shelf, &mut |_| true).unwrap_or_else(|e| panic!("{e}"));
        assert_eq!(d.cause()[0].entry().family, Family::Seat);
        texts.push(d.to_sealed(d.worked.as_ref().expect("sealed")));
    }
    assert_eq!(texts[0], texts[1]);
}

#[test]
fn shipped_drills_cover_the_trade_and_rise() {
    assert!(DRILLS.len() >= 15);
    let (mut families, mut double, mut levels) = (Vec::new(), 0, Vec::new());
    for n in 0..DRILLS.len() {
        let d = drill(n);
        let worked = d.worked.as_ref().expect("a shipped drill is sealed");
        levels.push(worked.difficulty.level());
        families.extend(d.cause().iter().map(|f| f.entry().family));
        double += usize::from(d.faults.len() == 2);
        let (_, text) = shipped(n);
        for f in Fault::all() {
            assert!(
                !text.contains(f.id()),
                "{} shows `{}`",
                shipped(n).0,
                f.id()
            );
        }
    }
    families.sort_unstable();
    families.dedup();
    assert_eq!(
        families,
        Family::ALL
            .iter()
            .copied()
            .collect::<std::collections::BTreeSet<_>>()
            .into_iter()
            .collect::<Vec<_>>()
    );
    assert!(double >= 2);
    levels.sort_unstable();
    levels.dedup();
    assert_eq!(levels, [1, 2, 3, 4, 5]);
}

/// Two drills of different rigs stand for all, which are worked out in `benches/drills.rs`.
#[test]
fn sealed_difficulty_is_what_is_computed() {
    let mut shelf = Shelf::full();
    for n in [0, 1] {
        agrees(shipped(n).0, &drill(n), &mut shelf);
    }
}

#[test]
fn without_a_solution_no_drill_is_handed_out() {
    let assessed = |name: &str| {
        let mut d = (*drill(0)).clone();
        let fault = Fault::named(name).expect("in the catalogue");
        d.faults = vec![Hidden {
            fault,
            severity: 0.5,
            at_s: 0.0,
            over_s: 0.0,
        }];
        d.bag = Bag::new([]);
        let mut shelf = Shelf::of(vec![fault]);
        let causes = shelf.causes(&d.scenario, &mut |_| true).expect("a library");
        assess(causes, &d)
    };
    // A relief valve that will not open shows nothing until it must; a burner that goes out is seen.
    let refused = assessed("relief_stuck_shut").expect_err("nothing shows it with bare hands");
    assert!(!refused.to_string().is_empty());
    let seen = assessed("thermocouple_dead").expect("eyes see that it goes out");
    assert_eq!(seen.path.steps.len(), 1, "{seen:?}");
}

#[test]
fn rigs_of_made_drills_are_scenarios() {
    for (name, text) in RIGS {
        twostage::scenario::Scenario::parse(name, text).unwrap_or_else(|e| panic!("{e}"));
    }
}
