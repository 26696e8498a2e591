//! Level and solvability over the severities of a fault: they move smoothly, a level at most for each tenth, and where a
//! drill is refused it is told why. A sample of faults in `cargo test`, all of them in `benches/drills.rs`.

use std::fmt::Write as _;
use twostage::drill::Drill;
use twostage::drill::making::file::Hidden;
use twostage::drill::making::make::{RIGS, Shelf, judge};
use twostage::drill::making::shipped::DRILLS;
use twostage::drill::reasoning::assess::assess;
use twostage::fault::Fault;
use twostage::scenario::Scenario;
use twostage::visit::Bag;

/// A drill of this fault on the first of the made drills' rigs, with everything at hand.
pub fn drill(fault: Fault) -> Drill {
    let (name, text) = DRILLS[0];
    let mut drill = Drill::read(name, text, None).unwrap_or_else(|e| panic!("{e}"));
    drill.scenario = Scenario::parse("rig", RIGS[0].1).unwrap_or_else(|e| panic!("{e}"));
    drill.bag = Bag::full();
    drill.must_not.clear();
    drill.complains_of.clear();
    drill.faults = vec![Hidden {
        fault: fault.settled(&drill.scenario.rig, drill.scenario.service_side),
        severity: 0.5,
        at_s: 0.0,
        over_s: 0.0,
    }];
    drill
}

/// What a fault comes to over its severities.
#[derive(Debug, Default)]
pub struct Over {
    /// Steps between two neighbours that can both be solved, and those of more than a level.
    pub steps: usize,
    pub jumps: usize,
    /// Severities at which it cannot be solved though it can at a milder and at a worse one.
    pub holes: usize,
    /// Refusals without a reason or without the severity.
    pub mute: usize,
    /// The levels with their scores, and why each hole is one.
    pub told: String,
    pub why: Vec<String>,
}

/// Levels at 10, 20 and so on to 90 %.
pub fn over(fault: Fault, shelf: &mut Shelf) -> Over {
    let mut d = drill(fault);
    let mut out = Over::default();
    let mut levels: Vec<Option<u8>> = Vec::new();
    let mut refusals: Vec<Option<Drill>> = Vec::new();
    for tenth in 1..=9 {
        d.faults[0].severity = f64::from(tenth) / 10.0;
        // As `judge` does, without looking for the nearest that can be solved at each that cannot.
        let causes = shelf.causes(&d.scenario, &mut |_| true).expect("a library");
        let judged = assess(causes, &d);
        let level = judged.as_ref().ok().map(|found| found.difficulty.level());
        let _ = match &judged {
            Ok(found) => write!(
                out.told,
                " {}({:.0})",
                found.difficulty.level(),
                found.difficulty.score()
            ),
            Err(_) => write!(out.told, " -"),
        };
        levels.push(level);
        refusals.push(judged.err().map(|_| d.clone()));
    }
    for pair in levels.windows(2) {
        if let [Some(a), Some(b)] = pair {
            out.steps += 1;
            out.jumps += usize::from(a.abs_diff(*b) > 1);
        }
    }
    // Why each hole is one; where it can be solved nowhere, why not at the worst.
    let first = levels.iter().position(Option::is_some);
    let last = levels.iter().rposition(Option::is_some);
    let holes: Vec<&Drill> = match (first, last) {
        (Some(first), Some(last)) => refusals[first..last].iter().flatten().collect(),
        _ => Vec::new(),
    };
    out.holes = holes.len();
    let nowhere = refusals.last().filter(|_| first.is_none());
    for d in holes.into_iter().chain(nowhere.into_iter().flatten()) {
        let Err(refused) = judge(d, shelf, &mut |_| true) else {
            continue;
        };
        let told = refused.to_string();
        let names_it = told.contains(&format!("{:.0} %", 100.0 * d.faults[0].severity));
        out.mute += usize::from(!names_it || refused.why.to_string().is_empty());
        out.why.push(told);
    }
    out
}

/// Those that had holes: two that make one rig where no sun shines, and one that its own readings leave open beside a torn
/// diaphragm. A regulator in the sun at 80 % reads twelve uncertainties from every vent that was tried (its lock-ups leap
/// with the severity there), and is believed to be one: no test in the set parts the two, so both are right.
#[test]
fn levels_move_smoothly_with_severity() {
    const SAMPLE: [&str; 3] = [
        "second_vent_blocked",
        "mounted_in_sun",
        "second_seat_disc_lost",
    ];
    const LEFT: [usize; 3] = [0, 0, 0];
    const BESIDE: [&str; 1] = ["diaphragm_torn"];
    let named = |id: &&str| Fault::named(id).expect("in the catalogue");
    let mut shelf = Shelf::of(SAMPLE.iter().chain(&BESIDE).map(named).collect());
    for (fault, left) in SAMPLE.iter().map(named).zip(LEFT) {
        let over = over(fault, &mut shelf);
        println!("{fault}:{}", over.told);
        assert!(over.steps >= 3, "{fault}:{}", over.told);
        assert_eq!(
            (over.jumps, over.holes, over.mute),
            (0, left, 0),
            "{fault}:{} {:?}",
            over.told,
            over.why
        );
    }
}
