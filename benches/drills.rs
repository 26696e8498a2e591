//! The long run of drills: `cargo bench --no-default-features --bench drills [-- SEEDS]`, some minutes.
//!
//! Hundreds of made drills are solved with what is at hand, difficulty rises with a fixed order's
//! minutes, and every shipped drill comes out as its file says. Stops at the first that does not.

#[path = "../tests/drills/solve.rs"]
mod solve;

use solve::{make_and_solve, tell};
use twostage::drill::Drill;
use twostage::drill::assess::assess;
use twostage::drill::make::Shelf;
use twostage::drill::shipped::DRILLS;

/// Seeds without a number.
const SEEDS: u64 = 300;

fn main() {
    let seeds = std::env::args()
        .find_map(|a| a.parse::<u64>().ok())
        .unwrap_or(SEEDS);
    shipped_drills_are_solved();
    println!(
        "{} shipped drills come out as their files say",
        DRILLS.len()
    );
    made_drills_are_solved(seeds);
}

/// Drills of all faults, a seed each.
fn made_drills_are_solved(seeds: u64) {
    let mut shelf = Shelf::full();
    let t = make_and_solve(&mut shelf, 0..seeds);
    let rho = tell(&t);
    let made = t.scores.len() as u64;
    assert!(made * 100 >= seeds * 96, "only {made} of {seeds}");
    assert!(
        rho >= 0.7,
        "difficulty does not rise with a fixed order's minutes: {rho:.2}"
    );
    assert!(t.noisy * 100 >= t.scores.len() * 95);
    let mut families = t.families;
    families.sort_unstable();
    families.dedup();
    println!(
        "{made} of {seeds} made and solved, {} with noise, rank correlation {rho:.2}, {} families",
        t.noisy,
        families.len()
    );
    assert!(families.len() >= 10, "{families:?}");
}

/// Each shipped drill, assessed again, comes out as its file says.
fn shipped_drills_are_solved() {
    let mut shelf = Shelf::full();
    for (name, text) in DRILLS {
        let d = Drill::read(name, text, None).unwrap_or_else(|e| panic!("{e}"));
        let library = shelf
            .library(&d.scenario, &mut |_| true)
            .expect("a library");
        let found = assess(library, &d.bag, &d.causes()).unwrap_or_else(|e| panic!("{name}: {e}"));
        let told = d.worked.expect("sealed");
        assert_eq!(told.accepts[0], found.accepts[0], "{name}");
        assert!(
            (told.difficulty.score() - found.difficulty.score()).abs() < 10.0,
            "{name}"
        );
    }
}
