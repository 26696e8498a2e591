//! Made-up trainees at every shipped drill and many made ones, and the order of their marks:
//! `cargo bench --no-default-features --bench trainees [-- sample N | made FROM N | shipped FROM N]`.
//!
//! All 222 drills take hours: every shipped one has a rig, and so a library, of its own. `sample N` takes N of them, evenly
//! from first to last; which they are does not depend on anything that is seen. `made FROM N` takes the N made ones from seed
//! FROM on, `shipped FROM N` so many of the shipped ones: parts of a long run, or drills that no mark was ever tuned on.
//! `tell` tells of each that is out of order.
//!
//! Told is who has how many marks, in how many drills they stand in the order that they should, and that no guess at
//! once has over 30 of 100; and for the best path of each drill what it promised against what going it shows. It stops where that is in fewer than 95 of 100 drills.

#[path = "../tests/drills/trainees.rs"]
mod trainees;

use std::sync::Arc;
use trainees::{Trainee, attempt_of, go_the_path, in_order, marks_of, tell};
use twostage::drill::Drill;
use twostage::drill::attempt::safety::Unsafe;
use twostage::drill::making::file::Worked;
use twostage::drill::making::make::{MakeError, Shelf, Wish, judge, make};
use twostage::drill::making::shipped::DRILLS;
use twostage::drill::marking::grade::{Done, Grade, Why};
use twostage::drill::reasoning::causes::SURE;
use twostage::drill::reasoning::difficulty::Assessment;

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
    mended: usize,
    worse: usize,
    unfailed: usize,
    failed_right: usize,
    kept: usize,
    near: usize,
    in_time: usize,
}

fn main() {
    let args: Vec<String> = std::env::args().collect();
    let telling = args.iter().any(|a| a == "tell");
    let after = |word: &str| -> Vec<usize> {
        let at = args.iter().position(|a| a == word);
        let from = at.map_or(args.len(), |at| at + 1);
        let numbers = args[from..].iter().map_while(|a| a.parse().ok());
        numbers.collect()
    };
    let all = DRILLS.len() + MADE as usize;
    let sample = |n: usize| -> Vec<usize> { (0..n).map(|k| k * all / n).collect() };
    let places: Vec<usize> = match (
        &after("sample")[..],
        &after("made")[..],
        &after("shipped")[..],
    ) {
        ([n, ..], _, _) => sample((*n).clamp(1, all)),
        (_, [from, n, ..], _) => (*from..from + n).map(|seed| DRILLS.len() + seed).collect(),
        (_, _, [from, n, ..]) => (*from..(from + n).min(DRILLS.len())).collect(),
        _ => sample(all),
    };
    let mut shelf = Shelf::full();
    let mut tally = Tally::default();
    let mut shipped_told = false;
    for place in places {
        if place < DRILLS.len() {
            let (name, text) = DRILLS[place];
            let drill = Drill::read(name, text, None).unwrap_or_else(|e| panic!("{e}"));
            match judge(&drill, &mut shelf, &mut |_| true) {
                Ok(found) => one(name, (drill, found), &mut shelf, &mut tally, telling),
                Err(e) => println!("{name}: left out, it cannot be solved any more: {e}"),
            }
            continue;
        }
        if !shipped_told {
            report(&tally, "shipped");
            shipped_told = true;
        }
        let seed = (place - DRILLS.len()) as u64;
        let wish = Wish {
            family: None,
            level: None,
            faults: 1,
            seed,
        };
        match make(&wish, &mut shelf, &mut |_| true) {
            Ok(made) => one(
                &format!("seed {seed}"),
                made,
                &mut shelf,
                &mut tally,
                telling,
            ),
            Err(MakeError::NoneFits { .. }) => println!("seed {seed}: none was made"),
            Err(e) => panic!("seed {seed}: {e}"),
        }
    }
    report(&tally, "all");
    assert!(tally.worse == 0 && tally.unfailed == 0);
    assert!(tally.guess <= GUESS, "a guess has {}", tally.guess);
    assert!(
        tally.ordered * 100 >= tally.drills * ORDER,
        "in order in {} of {}",
        tally.ordered,
        tally.drills
    );
}

fn one(
    name: &str,
    (mut drill, found): (Drill, Assessment),
    shelf: &mut Shelf,
    tally: &mut Tally,
    telling: bool,
) {
    // A shipped drill of an earlier seal is weighed by what would be sealed today.
    drill.worked = Some(Worked::from(&found));
    let causes = shelf
        .causes(&drill.scenario, &mut |_| true)
        .expect("a library")
        .clone();
    let drill = Arc::new(drill);
    let seed = tally.drills as u64;
    let grades = Trainee::ALL.map(|who| marks_of(who, &drill, &causes, seed));
    let marks: [f64; 6] = std::array::from_fn(|i| grades[i].total());
    let gone = go_the_path(&drill, &causes, &found);
    println!(
        "{name}: {marks:.0?}; path {:.0} % promised, {:.0} % shown; {:.1} min promised, {:.1} taken",
        100.0 * gone.promised,
        100.0 * gone.shown,
        gone.promised_min,
        gone.took_min
    );
    tally.kept += usize::from(gone.shown >= SURE);
    tally.near += usize::from((gone.shown - gone.promised).abs() <= 0.05);
    let off = (gone.took_min / gone.promised_min.max(0.1) - 1.0).abs();
    tally.in_time += usize::from(off <= 0.2);
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
        println!("    out of order");
        if telling {
            for (who, g) in Trainee::ALL.iter().zip(&grades) {
                println!("    {who:?} {}", tell(g));
                let attempt = attempt_of(*who, &drill, &causes, seed);
                let acts: Vec<&str> = attempt.entries().iter().map(|e| e.act.as_str()).collect();
                println!("      {}", acts.join("; "));
            }
        }
    }
    let unmended = marks_of(Trainee::Unmended, &drill, &causes, seed).total();
    if let Why::Action {
        done: Some(Done::Proved),
        ..
    } = grades[0].action.why
    {
        tally.mended += 1;
        tally.worse += usize::from(marks[0] < unmended);
    }
    let grave = |g: &Grade| g.noticed.iter().any(Unsafe::is_grave);
    tally.unfailed += grades
        .iter()
        .filter(|g| grave(g) && g.total() > 0.0)
        .count();
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
    println!(
        "  proven repairs {}, under the same attempt without one {}; grave acts that did not fail an attempt {}",
        t.mended, t.worse, t.unfailed
    );
    println!(
        "  best paths: as sure as asked in {}, within five of the percent promised in {}, minutes within a fifth in {}",
        t.kept, t.near, t.in_time
    );
}
