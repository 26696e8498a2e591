//! The long run of drills: `cargo bench --no-default-features --bench drills [-- SEEDS]`, some minutes.
//!
//! Hundreds of made drills are solved with what is at hand, difficulty rises with a fixed order's
//! minutes, every shipped drill comes out as its file says, and belief comes true as often as it
//! says. Stops at the first that does not.

#[path = "../tests/drills/solve.rs"]
mod solve;

use solve::{agrees, make_and_solve, tell};
use std::sync::Arc;
use twostage::diagnosis::random::Random;
use twostage::drill::Drill;
use twostage::drill::belief::{Belief, Reading, SURE, readings_of};
use twostage::drill::check::Check;
use twostage::drill::item::{Id, Kind, Values};
use twostage::drill::library::specimen;
use twostage::drill::make::{RIGS, Shelf};
use twostage::drill::probe::visit;
use twostage::drill::shipped::DRILLS;
use twostage::fault::Fault;
use twostage::scenario::{Action, Event, Scenario};

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
    belief_comes_true();
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
        agrees(name, &d, &mut shelf);
    }
}

/// Specimens a rig, and the seed of their draw, which is not that of the library.
const SPECIMENS: (u64, u64) = (8, 41);
/// Steps that are read of a visit.
const READ: [usize; 3] = [1, 3, 6];

/// Readings of rigs whose parts lie within tolerance, with noise, are held against the library of
/// the rig as it is drawn: of the beliefs over 80 % about as many come true as they say.
fn belief_comes_true() {
    let mut shelf = Shelf::full();
    let (mut stated, mut true_ones, mut count) = (0.0, 0.0, 0.0);
    for (name, text) in RIGS {
        let scenario = Scenario::parse(name, text).unwrap_or_else(|e| panic!("{e}"));
        let library = shelf
            .library(&scenario, &mut |_| true)
            .expect("a library")
            .clone();
        for n in 0..SPECIMENS.0 {
            let mut random = Random::new(SPECIMENS.1, n);
            let rig = specimen(&library.scenario, &mut random);
            for cause in 1..library.causes.len() {
                let severity = random.between(0.35, 0.88);
                let Some(values) = read(&rig, library.causes[cause][0], severity, &mut random)
                else {
                    continue;
                };
                for many in READ {
                    let checks: Vec<Check> = (0..many)
                        .map(|_| Check::ALL[random.below(Check::ALL.len())])
                        .collect();
                    let readings: Vec<Reading> = checks
                        .iter()
                        .enumerate()
                        .filter(|(i, c)| !checks[..*i].contains(c))
                        .flat_map(|(_, c)| readings_of(*c, &values))
                        .collect();
                    let belief = Belief::prior(&library).after(&library, &readings);
                    let (likeliest, p) = belief.ranked(&library)[0];
                    if p >= SURE {
                        stated += p;
                        true_ones += f64::from(u8::from(likeliest == cause));
                        count += 1.0;
                    }
                }
            }
        }
    }
    println!(
        "belief over 80 %: {count} cases, {:.1} % stated, {:.1} % true",
        100.0 * stated / count,
        100.0 * true_ones / count
    );
    assert!(true_ones > stated - 0.1 * count, "belief says too much");
}

/// What a person would read on this rig with a fault in it.
fn read(rig: &Scenario, fault: Fault, severity: f64, random: &mut Random) -> Option<Values> {
    let mut scenario = rig.clone();
    scenario.events = vec![Event {
        at_s: 0.0,
        action: Action::Inject {
            fault,
            severity,
            over_s: 0.0,
        },
    }];
    let mut values = visit(&Arc::new(scenario)).ok()?;
    for id in Id::all() {
        let v = &mut values[id.index()];
        if !matches!(id.item().kind, Kind::Words(_)) {
            *v += random.normal() * id.item().uncertainty(*v);
        }
    }
    Some(values)
}
