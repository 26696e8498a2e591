//! The long run of drills: `cargo bench --no-default-features --bench drills [-- SEEDS]`, some minutes.
//!
//! Belief comes true as often as it says, hundreds of made drills are solved with what is at hand,
//! difficulty rises with a fixed order's minutes, and every shipped drill comes out as its file says. Stops at the first that does not.

#[path = "../tests/drills/severities.rs"]
mod severities;
#[path = "../tests/drills/solve.rs"]
mod solve;

use solve::{agrees, make_and_solve, tell};
use std::sync::Arc;
use twostage::diagnosis::inference::next::Offer;
use twostage::diagnosis::library::collection::draw_unknowns;
use twostage::diagnosis::library::random::Random;
use twostage::diagnosis::library::sample::sample_visit;
use twostage::diagnosis::library::unknowns::World;
use twostage::diagnosis::measure::cases;
use twostage::drill::attempt::way::{self, offer_of};
use twostage::drill::making::make::{RIGS, Shelf};
use twostage::drill::making::shipped::DRILLS;
use twostage::drill::marking::debrief::debrief;
use twostage::drill::reasoning::causes::{Causes, SURE, read_by};
use twostage::drill::{Attempt, Drill};
use twostage::fault::Fault;
use twostage::scenario::Scenario;
use twostage::solver::Method;
use twostage::visit::{Bag, Test, Values};

/// Seeds without a number.
const SEEDS: u64 = 300;

fn main() {
    let seeds = std::env::args()
        .find_map(|a| a.parse::<u64>().ok())
        .unwrap_or(SEEDS);
    let mut shelf = Shelf::full();
    if std::env::args().any(|a| a == "severities") {
        return severities_are_smooth(&mut shelf);
    }
    if std::env::args().any(|a| a == "debrief") {
        return a_long_attempt_is_gone_through(&mut shelf);
    }
    belief_comes_true(&mut shelf);
    made_drills_are_solved(&mut shelf, seeds);
    shipped_drills_are_solved();
    println!(
        "{} shipped drills come out as their files say",
        DRILLS.len()
    );
}

/// Drills of all faults, a seed each.
fn made_drills_are_solved(shelf: &mut Shelf, seeds: u64) {
    let t = make_and_solve(shelf, 0..seeds);
    let rho = tell(&t);
    let made = t.scores.len() as u64;
    assert!(made * 100 >= seeds * 96, "only {made} of {seeds}");
    assert!(
        rho >= 0.7,
        "difficulty does not rise with a fixed order's minutes: {rho:.2}"
    );
    assert!(t.found * 100 >= t.walks * 95);
    let mut families = t.families;
    families.sort_unstable();
    families.dedup();
    println!(
        "{made} of {seeds} made and solved, {} of {} walks with noise found the cause, rank correlation {rho:.2}, {} families",
        t.found,
        t.walks,
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
const SPECIMENS: (u64, u64) = (2, 41);
/// Tests that are read of a visit.
const READ: [usize; 3] = [1, 3, 6];
/// Severities of made drills.
const SEVERITY: (f64, f64) = (0.35, 0.88);

/// Readings of rigs whose parts lie within tolerance, with noise, are held against the library of
/// the rig as it is drawn: of the beliefs over 80 % about as many come true as they say.
fn belief_comes_true(shelf: &mut Shelf) {
    let (mut stated, mut true_ones, mut count, mut all) = (0.0, 0.0, 0.0, 0.0);
    for (name, text) in RIGS {
        let scenario = Scenario::parse(name, text).unwrap_or_else(|e| panic!("{e}"));
        let causes = shelf
            .causes(&scenario, &mut |_| true)
            .expect("a library")
            .clone();
        let offer = Offer::with(&Bag::full(), &causes.library.base.rig);
        let tests: Vec<Test> = offer.tests().collect();
        for cause in 1..causes.count() {
            for n in 0..SPECIMENS.0 {
                let mut random = Random::new(SPECIMENS.1 ^ (cause as u64) << 8, n);
                let Some(values) = specimen(&causes, cause, &mut random) else {
                    continue;
                };
                for many in READ {
                    let some: Vec<Test> = (0..many)
                        .map(|_| tests[random.below(tests.len())])
                        .collect();
                    let belief = causes.belief(&read_by(&offer, &some, &values));
                    let (likeliest, p) = belief.ranked()[0];
                    all += 1.0;
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
        "belief over 80 %: {count} of {all} cases, {:.1} % stated, {:.1} % true",
        100.0 * stated / count,
        100.0 * true_ones / count
    );
    assert!(true_ones > stated - 0.1 * count, "belief says too much");
}

/// What a person would read on a specimen of the rig with a cause in it that shows.
fn specimen(causes: &Causes, cause: usize, random: &mut Random) -> Option<Values> {
    let faults = causes.cause(cause);
    causes.find(&faults)?;
    let severity = random.between(SEVERITY.0, SEVERITY.1);
    let unknowns = draw_unknowns(Some(faults[0]), random).within(World::MET);
    let list = [(faults[0], severity)];
    let truth = sample_visit(&causes.library.base, &list, &unknowns, World::MET, random).ok()?;
    Some(cases::read(&truth, 1.0, random))
}

/// How long the debrief of a long attempt takes, once the library is there: every test that is at hand, again and again.
fn a_long_attempt_is_gone_through(shelf: &mut Shelf) {
    const ACTS: [usize; 3] = [25, 50, 100];
    let (name, text) = DRILLS[0];
    let mut d = Drill::read(name, text, None).unwrap_or_else(|e| panic!("{e}"));
    d.limit_s = 1e5;
    let (mut a, mut s) = Attempt::unlogged(Arc::new(d.clone()), "Ada", Method::Stiff)
        .unwrap_or_else(|e| panic!("{e}"));
    let tests: Vec<Test> = offer_of(&d).tests().collect();
    let causes = shelf.causes(&d.scenario, &mut |_| true).expect("a library");
    for acts in ACTS {
        for test in tests.iter().cycle().take(4 * acts) {
            if a.entries().len() >= acts {
                break;
            }
            way::make(&mut a, &mut s, *test, true);
        }
        let begun = std::time::Instant::now();
        let found = debrief(&d, causes, a.entries(), None).unwrap_or_else(|e| panic!("{e}"));
        let took = begun.elapsed().as_secs_f64();
        println!("debrief of {} acts: {took:.2} s", found.steps.len());
    }
}

/// Level and solvability of faults over their severities, on one rig: of all, or of those that are named.
fn severities_are_smooth(shelf: &mut Shelf) {
    let rig = Scenario::parse("rig", RIGS[0].1).unwrap_or_else(|e| panic!("{e}"));
    let (mut steps, mut jumps, mut holes, mut mute) = (0, 0, 0, 0);
    // `severities 2 4`: the second of four parts, for who has little time at once.
    let numbers: Vec<usize> = std::env::args().filter_map(|a| a.parse().ok()).collect();
    let (part, of) = match numbers[..] {
        [part, of] => (part.max(1), of.max(1)),
        _ => (1, 1),
    };
    let named: Vec<Fault> = std::env::args().filter_map(|a| Fault::named(&a)).collect();
    let all = Fault::all_in(&rig.rig).filter(|f| named.is_empty() || named.contains(f));
    for fault in all.skip(part - 1).step_by(of) {
        let over = severities::over(fault, shelf);
        println!("{fault}:{}", over.told);
        over.why.iter().for_each(|why| println!("    {why}"));
        steps += over.steps;
        jumps += over.jumps;
        holes += over.holes;
        mute += over.mute;
    }
    println!(
        "{steps} steps of a tenth, {jumps} of more than a level; {holes} holes; {mute} refusals without a reason"
    );
    assert_eq!(mute, 0, "a refusal tells which and why");
}
