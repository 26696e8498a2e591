//! Makes drills, solves them again with what is at hand, and measures their difficulty. Shared by the
//! tests and by the long run in `benches/drills.rs`.

use twostage::diagnosis::inference::next::Offer;
use twostage::drill::Drill;
use twostage::drill::making::make::{MakeError, Shelf, Wish, make};
use twostage::drill::reasoning::assess::assess;
use twostage::drill::reasoning::causes::Causes;
use twostage::drill::reasoning::noise::walks_that_find;
use twostage::fault::Family;
use twostage::visit::{Bag, Test};

/// Spearman's rank correlation, ties sharing their mean rank.
pub fn rank_correlation(x: &[f64], y: &[f64]) -> f64 {
    let ranks = |v: &[f64]| -> Vec<f64> {
        let below = |a: f64| v.iter().filter(|b| **b < a).count() as f64;
        let same = |a: f64| v.iter().filter(|b| **b == a).count() as f64;
        v.iter()
            .map(|a| below(*a) + 0.5 * (same(*a) - 1.0))
            .collect()
    };
    let (x, y) = (ranks(x), ranks(y));
    let mean = |v: &[f64]| v.iter().sum::<f64>() / v.len() as f64;
    let (mx, my) = (mean(&x), mean(&y));
    let cov: f64 = x.iter().zip(&y).map(|(a, b)| (a - mx) * (b - my)).sum();
    let var = |v: &[f64], m: f64| v.iter().map(|a| (a - m).powi(2)).sum::<f64>();
    cov / (var(&x, mx) * var(&y, my)).sqrt()
}

/// What is on offer in a drill.
fn offer_of(causes: &Causes, bag: &Bag) -> Offer {
    Offer::with(bag, &causes.library.base.rig)
}

pub struct Tally {
    /// Bits, look-alikes and minutes of each drill.
    pub parts: Vec<[f64; 3]>,
    /// Difficulty of each drill.
    pub scores: Vec<f64>,
    /// Minutes a fixed order needs.
    pub fixed: Vec<f64>,
    /// Level of each drill.
    pub levels: Vec<u8>,
    /// Families of the causes.
    pub families: Vec<Family>,
    /// Walks with noise on every reading, and those of them that found the cause.
    pub walks: u64,
    /// ... found it.
    pub found: u64,
}

/// Walks of each drill: one alone says little of a share of nine in ten.
const WALKS: u64 = 8;

/// Makes a drill a seed and solves it again from its file.
pub fn make_and_solve(shelf: &mut Shelf, seeds: std::ops::Range<u64>) -> Tally {
    let mut tally = Tally {
        parts: Vec::new(),
        scores: Vec::new(),
        fixed: Vec::new(),
        levels: Vec::new(),
        families: Vec::new(),
        walks: 0,
        found: 0,
    };
    for seed in seeds {
        let wish = Wish {
            family: None,
            level: None,
            faults: 1,
            seed,
        };
        let (d, _) = match make(&wish, shelf, &mut |_| true) {
            Ok(made) => made,
            Err(MakeError::NoneFits { .. }) => continue,
            Err(e) => panic!("seed {seed}: {e}"),
        };
        // Once more through text: what was handed out, not what was in memory.
        let again = Drill::read(
            "again",
            &d.to_sealed(d.worked.as_ref().expect("sealed")),
            None,
        );
        let d = again.unwrap_or_else(|e| panic!("seed {seed}: {e}"));
        let causes = shelf.causes(&d.scenario, &mut |_| true).expect("a library");
        let found = assess(causes, &d).unwrap_or_else(|e| panic!("seed {seed}: {e}"));
        let offer = offer_of(causes, &d.bag);
        let on_offer = |t: &Test| offer.tests().any(|o| o == *t);
        for (test, _) in &found.path.steps {
            assert!(on_offer(test), "seed {seed}: {test:?} is not at hand");
        }
        // Errors of its own, not those it was made by.
        let accepts = &d.worked.as_ref().expect("sealed").accepts;
        let finds = walks_that_find(causes, &d, accepts, seed ^ 0xABCD, WALKS);
        let finds = finds.expect("the rig runs");
        println!("seed {seed}: {finds} of {WALKS} walks with noise find it");
        tally.found += finds;
        tally.walks += WALKS;
        let d5 = found.difficulty;
        tally
            .parts
            .push([d5.bits, d5.look_alikes.log2(), d5.minutes]);
        tally.scores.push(d5.score());
        tally.levels.push(d5.level());
        tally.fixed.push(found.fixed.minutes);
        tally.families.push(d.cause()[0].entry().family);
    }
    tally
}

pub fn tell(t: &Tally) -> f64 {
    let rho = rank_correlation(&t.scores, &t.fixed);
    for (i, part) in ["bits", "look-alikes", "minutes"].iter().enumerate() {
        let x: Vec<f64> = t.parts.iter().map(|p| p[i]).collect();
        println!("{part} alone: {:.2}", rank_correlation(&x, &t.fixed));
    }
    let mut sorted = t.scores.clone();
    sorted.sort_by(f64::total_cmp);
    let fifths: Vec<f64> = (1..5).map(|k| sorted[k * sorted.len() / 5]).collect();
    println!("fifths of the score: {fifths:.1?}");
    let mut levels = [0; 5];
    for level in &t.levels {
        levels[usize::from(*level) - 1] += 1;
    }
    println!(
        "{} drills, levels {levels:?}; rank correlation of difficulty with a fixed order's minutes {rho:.2}; {} of {} walks with noise on every reading found the cause",
        t.scores.len(),
        t.found,
        t.walks
    );
    rho
}

/// How far a sealed difficulty may lie from the computed one: score in minutes.
pub const TOLERANCE: f64 = 3.0;

/// Works a sealed drill out anew and holds it against what was sealed.
///
/// # Panics
/// Where they do not agree, with what to do.
pub fn agrees(name: &str, d: &Drill, shelf: &mut Shelf) {
    const HELP: &str = "run `twostage drill reseal scenarios/drills`";
    let causes = shelf.causes(&d.scenario, &mut |_| true).expect("a library");
    let found = assess(causes, d).unwrap_or_else(|e| panic!("{name}: {e}"));
    let told = d.worked.as_ref().expect("sealed");
    assert_eq!(
        told.accepts, found.accepts,
        "{name}: other causes count as right; {HELP}"
    );
    let (was, is) = (told.difficulty.score(), found.difficulty.score());
    assert!(
        (was - is).abs() <= TOLERANCE,
        "{name}: sealed with score {was:.1}, and it is {is:.1}; {HELP}"
    );
}
