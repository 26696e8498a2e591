//! Level and solvability over the severities of a fault: they move smoothly, a level at most for each tenth, and where a
//! drill is refused it is told why. A sample of faults in `cargo test`, all of them in `benches/drills.rs`.

use std::fmt::Write as _;
use twostage::drill::Drill;
use twostage::drill::making::file::Hidden;
use twostage::drill::making::make::{RIGS, Refused, Shelf, judge};
use twostage::drill::making::shipped::DRILLS;
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
    let mut refusals: Vec<String> = Vec::new();
    for tenth in 1..=9 {
        d.faults[0].severity = f64::from(tenth) / 10.0;
        let judged: Result<_, Refused> = judge(&d, shelf, &mut |_| true);
        let level = match &judged {
            Ok(found) => Some(found.difficulty.level()),
            Err(refused) => {
                let told = refused.to_string();
                let names_it = told.contains(&format!("{} %", 10 * tenth));
                out.mute += usize::from(!names_it || refused.why.to_string().is_empty());
                None
            }
        };
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
        refusals.push(judged.err().map_or_else(String::new, |r| r.to_string()));
    }
    for pair in levels.windows(2) {
        if let [Some(a), Some(b)] = pair {
            out.steps += 1;
            out.jumps += usize::from(a.abs_diff(*b) > 1);
        }
    }
    let first = levels.iter().position(Option::is_some);
    let last = levels.iter().rposition(Option::is_some);
    if let (Some(first), Some(last)) = (first, last) {
        let between = levels.iter().zip(refusals).take(last).skip(first);
        out.why = between.filter(|b| b.0.is_none()).map(|b| b.1).collect();
        out.holes = out.why.len();
    } else {
        // Nowhere to be solved: why at the worst.
        out.why.extend(refusals.pop());
    }
    out
}

/// A sample: what blocks, what leaks, what is set, what wears.
#[test]
fn levels_move_smoothly_with_severity() {
    const SAMPLE: [&str; 1] = ["second_vent_blocked"];
    let faults = SAMPLE.map(|id| Fault::named(id).expect("in the catalogue"));
    let mut shelf = Shelf::of(faults.to_vec());
    for fault in faults {
        let over = over(fault, &mut shelf);
        println!("{fault}:{}", over.told);
        assert!(over.steps >= 3, "{fault}:{}", over.told);
        assert_eq!(
            (over.jumps, over.holes, over.mute),
            (0, 0, 0),
            "{fault}:{}",
            over.told
        );
    }
}
