//! Made-up trainees at every shipped drill and many made ones, and the order of their marks:
//! `cargo bench --no-default-features --bench trainees [-- MADE]`, some minutes for 200 made drills.
//!
//! Told is who has how many marks, in how many drills they stand in the order that they should, and that no guess at
//! once has over 30 of 100. It stops where that is in fewer than 95 of 100 drills.

#[path = "../tests/drills/trainees.rs"]
mod trainees;

use std::sync::Arc;
use trainees::{Trainee, in_order, marks_of, tell};
use twostage::drill::Drill;
use twostage::drill::making::file::Worked;
use twostage::drill::making::make::{MakeError, Shelf, Wish, judge, make};
use twostage::drill::making::shipped::DRILLS;

/// Made drills without a number.
const MADE: u64 = 200;
/// Share of the drills in which the order must be right, percent.
const ORDER: usize = 95;
/// Most marks of a guess.
const GUESS: f64 = 30.0;

#[derive(Default)]
struct Tally {
    drills: usize,
    ordered: usize,
    pairs: [usize; 6],
    sums: [f64; 6],
    guess: f64,
    failed_right: usize,
}

fn main() {
    let made = std::env::args()
        .find_map(|a| a.parse::<u64>().ok())
        .unwrap_or(MADE);
    let telling = std::env::args().any(|a| a == "tell");
    let mut shelf = Shelf::full();
    let mut tally = Tally::default();
    let only_made = std::env::args().any(|a| a == "made");
    for (name, text) in DRILLS.iter().filter(|_| !only_made) {
        let drill = Drill::read(name, text, None).unwrap_or_else(|e| panic!("{e}"));
        let drill = with_rod(drill, &mut shelf);
        one(name, drill, &mut shelf, &mut tally, telling);
    }
    report(&tally, "shipped");
    for seed in 0..made {
        let wish = Wish {
            family: None,
            level: None,
            faults: 1,
            seed,
        };
        match make(&wish, &mut shelf, &mut |_| true) {
            Ok((drill, _)) => one(
                &format!("seed {seed}"),
                drill,
                &mut shelf,
                &mut tally,
                telling,
            ),
            Err(MakeError::NoneFits { .. }) => {}
            Err(e) => panic!("seed {seed}: {e}"),
        }
    }
    report(&tally, "all");
    assert!(tally.guess <= GUESS, "a guess has {}", tally.guess);
    assert!(
        tally.ordered * 100 >= tally.drills * ORDER,
        "in order in {} of {}",
        tally.ordered,
        tally.drills
    );
}

/// A shipped drill of an earlier seal is weighed by what would be sealed today.
fn with_rod(mut drill: Drill, shelf: &mut Shelf) -> Drill {
    let sealed = drill.worked.as_ref().is_some_and(|w| w.rod.is_some());
    if !sealed && let Ok(found) = judge(&drill, shelf, &mut |_| true) {
        drill.worked = Some(Worked::from(&found));
    }
    drill
}

fn one(name: &str, drill: Drill, shelf: &mut Shelf, tally: &mut Tally, telling: bool) {
    let causes = shelf
        .causes(&drill.scenario, &mut |_| true)
        .expect("a library")
        .clone();
    let drill = Arc::new(drill);
    let seed = tally.drills as u64;
    let grades = Trainee::ALL.map(|who| marks_of(who, &drill, &causes, seed));
    let marks: [f64; 6] = std::array::from_fn(|i| grades[i].total());
    tally.drills += 1;
    let ordered = in_order(&marks);
    tally.ordered += usize::from(ordered);
    for i in 0..4 {
        tally.pairs[i] += usize::from(marks[i] > marks[i + 1]);
    }
    tally.pairs[4] += usize::from(marks[3] > marks[5]);
    let lucky = marks_of(Trainee::Lucky, &drill, &causes, seed).total();
    tally.guess = tally.guess.max(lucky);
    for (sum, m) in tally.sums.iter_mut().zip(marks) {
        *sum += m;
    }
    if !ordered {
        println!("{name}: {marks:.0?}");
        if telling {
            for (who, g) in Trainee::ALL.iter().zip(&grades) {
                println!("    {who:?} {}", tell(g));
            }
        }
    }
    tally.failed_right += usize::from(grades[0].failed.is_some());
}

fn report(t: &Tally, which: &str) {
    let n = t.drills.max(1) as f64;
    println!("{which}: {} drills", t.drills);
    for (who, sum) in Trainee::ALL.iter().zip(t.sums) {
        println!("  {who:?}: {:.1} of 100 on average", sum / n);
    }
    println!(
        "  expert over careful {}, careful over checklist {}, checklist over random {}, random over guesser {}, over reckless {}",
        t.pairs[0], t.pairs[1], t.pairs[2], t.pairs[3], t.pairs[4]
    );
    println!(
        "  in order in {} ({:.1} %), most for a guess that is right {:.0}, experts failed {}",
        t.ordered,
        100.0 * t.ordered as f64 / n,
        t.guess,
        t.failed_right
    );
}
