//! Verdicts in words: how a test came out, the limit that a reading was held against, what decided.

use super::figure::{figure, low, measure};
use super::letters::capital;
use crate::units::{System, decimals_of, fixed, pa_to_inwc};
use crate::visit::{Against, Figure, Judged, Test, TestResult, Verdict};

/// A verdict in a word.
pub fn verdict(v: Verdict) -> &'static str {
    match v {
        Verdict::Pass => "pass",
        Verdict::Caution => "caution",
        Verdict::Fail => "fail",
    }
}

/// The verdict of a test in a word or two: one that something spoiled says so.
pub fn outcome(result: &TestResult) -> &'static str {
    match (result.spoiled, result.verdict) {
        // What is too leaky to begin with is no spoiled test of leaks.
        (true, v) if v < Verdict::Fail => "spoiled",
        (_, v) => verdict(v),
    }
}

/// A limit in the units of the figure that is held against it: "10.5 to 11.5 in w.c.", "at most 13.2 in w.c.".
pub fn bounds(judged: &Judged, test: Test, system: System) -> String {
    let Some(limit) = judged.limit else {
        return String::new();
    };
    let text = |pa: f64| bound(judged, test, pa, system);
    if limit.low.is_finite() && limit.low != 0.0 {
        let (from, to) = (text(limit.low), text(limit.high));
        // One unit for both.
        match from.split_once(' ') {
            Some((number, unit)) if to.ends_with(unit) => format!("{number} to {to}"),
            _ => format!("{from} to {to}"),
        }
    } else {
        format!("at most {}", text(limit.high))
    }
}

/// One end of a limit, told as what is held against it.
fn bound(judged: &Judged, test: Test, pa: f64, system: System) -> String {
    let told = match judged.against {
        // A limit of a change keeps the decimals it was set with: 0.15 is not 0.2.
        Against::Figure(measure) if measure.is_change() => {
            let (value, usual, unit) = match system {
                System::Us => (pa_to_inwc(pa), 1, "in w.c."),
                System::Si => (1e-3 * pa, 2, "kPa"),
            };
            format!("{} {unit}", fixed(value, decimals_of(value, usual)))
        }
        Against::Figure(measure) => figure(test, &Figure { measure, value: pa }, system),
        Against::Plate => format!("{} %", fixed(100.0 * pa, decimals_of(100.0 * pa, 0))),
        _ => low(pa, system),
    };
    told.trim_start_matches('+').to_owned()
}

/// What decided a verdict that is no pass.
pub fn decided(judged: &Judged, test: Test, system: System) -> String {
    let (name, read) = match judged.against {
        Against::Unlit => return String::new(),
        Against::Moving => {
            return "Still moving after five minutes: the creep test tells".to_owned();
        }
        Against::Plate => {
            let follows = match judged.verdict {
                Verdict::Fail => "keep it off until its orifice and its pressure are put right",
                _ => "have its orifice and its pressure looked into",
            };
            return format!(
                "A burner takes {} % more than its rating plate says: {follows}",
                fixed(100.0 * judged.value, 1)
            );
        }
        Against::Record => ("The outlet in the record", low(judged.value, system)),
        Against::Figure(m) => {
            let shown = Figure {
                measure: m,
                value: judged.value,
            };
            (measure(m), figure(test, &shown, system))
        }
    };
    let mut out = capital(name);
    match judged.limit {
        Some(limit) => {
            let (word, end) = if limit.is_passed_by(judged.value) {
                ("over", limit.high)
            } else {
                ("under", limit.low)
            };
            let bound = bound(judged, test, end, system);
            // A reading that shows the limit's own figures is past it by less than they tell.
            let just = if read.trim_start_matches('+') == bound {
                "just "
            } else {
                ""
            };
            for part in [" ", &read, ", ", just, word, " ", &bound] {
                out += part;
            }
        }
        None => {
            out += ": ";
            out += &read;
        }
    }
    out
}
