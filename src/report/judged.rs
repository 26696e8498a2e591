//! Verdicts in words: how a test came out, the limit that a reading was held against, what decided.

use super::figure::{figure, high, low, named};
use super::letters::capital;
use crate::service::{Joint, Limit};
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
    if limit.high.is_infinite() {
        format!("at least {}", text(limit.low))
    } else if limit.low.is_finite() && limit.low != 0.0 {
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

/// The source of a limit with its grade.
pub fn source(limit: &Limit) -> String {
    format!("{} ({})", limit.source, limit.grade.words())
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
        Against::Plate(_) => format!("{} %", fixed(100.0 * pa, decimals_of(100.0 * pa, 0))),
        _ => low(pa, system),
    };
    told.trim_start_matches('+').to_owned()
}

/// A pressure that has not come to rest.
fn moving(judged: &Judged, system: System) -> String {
    match judged.limit {
        None => "Still moving after five minutes: the creep test tells".to_owned(),
        Some(limit) => format!(
            "Over {} and still climbing after five minutes: it does not lock up",
            low(limit.high, system)
        ),
    }
}

/// What a burner takes against its rating plate, the appliance by its name.
pub fn plate(judged: &Judged, name: &str) -> String {
    let share = |v: f64| format!("{} %", fixed(100.0 * v.abs(), 0));
    let (is_more, limit) = (judged.value > 0.0, judged.limit);
    let end = limit.map(|l| share(if is_more { l.high } else { l.low }));
    // A share that shows the limit's own figures is past it by less than they tell.
    let just = if end.as_deref() == Some(&share(judged.value)) {
        "just over "
    } else {
        ""
    };
    let (more, follows) = match (is_more, judged.verdict) {
        (true, Verdict::Fail) => (
            "more",
            "keep it off until its orifice and its pressure are put right",
        ),
        (true, _) => ("more", "have its orifice and its pressure looked into"),
        (false, Verdict::Fail) => (
            "less",
            "keep it off until its pressure, branch, valve and orifice are put right",
        ),
        (false, _) => (
            "less",
            "starved by its own branch, valve or orifice, or by the pressure before them: read its inlet at full load",
        ),
    };
    format!(
        "The {name} takes {just}{} {more} than its rating plate says: {follows}",
        share(judged.value)
    )
}

/// Gas that is heard to come out.
pub fn escapes(joint: Joint) -> &'static str {
    match joint {
        Joint::Pigtail => {
            "Gas is heard to hiss out of a pigtail or its connections: shut the container"
        }
        Joint::Burner(_) => "Gas is heard to hiss out of a burner that is off: shut the container",
        _ => "Gas is heard to hiss out of a joint of the low side: shut the container",
    }
}

/// Which end of a limit a reading has broken; of one that stands at the number itself the end that it stands nearer to. An end
/// that there is not is never told.
fn broken_end(limit: &Limit, value: f64) -> (&'static str, f64) {
    let is_over = if limit.is_missed_by(value) || limit.is_passed_by(value) {
        limit.is_passed_by(value)
    } else {
        value - limit.low > limit.high - value
    };
    if is_over {
        ("over", limit.high)
    } else {
        ("under", limit.low)
    }
}

/// What decided a verdict that is no pass.
pub fn decided(judged: &Judged, test: Test, system: System) -> String {
    let (name, read) = match judged.against {
        // Told by the sentence of its test.
        Against::Unlit | Against::Seats | Against::NothingBurned => return String::new(),
        Against::Moving => return moving(judged, system),
        Against::Plate(_) => return plate(judged, "burner"),
        Against::Escapes(joint) => return escapes(joint).to_owned(),
        Against::NoPressureHigh => {
            return format!(
                "Leak fluid shows nothing where there is no pressure, and a hose or the first stage holds {}: no container is open to it, or \
                 an excess-flow valve has shut (shut the container, wait, open it slowly, and look for what tripped it)",
                high(judged.value, system)
            );
        }
        Against::NoPressureLow => {
            return format!(
                "Leak fluid shows nothing where there is no pressure, and the low side holds {}: look again when it stands at its lock-up",
                low(judged.value, system)
            );
        }
        Against::Record => ("The outlet in the record", low(judged.value, system)),
        Against::Figure(m) => {
            let (name, shown) = named(&Figure {
                measure: m,
                value: judged.value,
            });
            (name, figure(test, &shown, system))
        }
    };
    let mut out = capital(name);
    match judged.limit {
        Some(limit) => {
            let (word, end) = broken_end(&limit, judged.value);
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
            if judged.is_of_weather() {
                out += match (limit.is_passed_by(judged.value), judged.verdict) {
                    (true, Verdict::Fail) => {
                        ", more than propane gives in this air even in the sun: air or another fuel is in it, shut it and weigh it"
                    }
                    (true, _) => {
                        ", more than propane gives in a container as warm as this one: air or another fuel is in it, or the gauge errs. Read \
                         another gauge, and have it weighed and purged"
                    }
                    (false, _) => {
                        ", far less than propane gives in this air: colder than the air, nearly empty, or another fuel"
                    }
                };
            }
        }
        None => {
            out += ": ";
            out += &read;
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::service::LIMITS;
    use crate::visit::{Id, Measure};

    /// A limit that has one end is never told by the other, whichever side of it a reading stands, the number itself included.
    #[test]
    fn an_end_that_there_is_not_is_never_told() {
        let l = &LIMITS;
        let read = |id| Against::Figure(Measure::Read(id));
        for (limit, against) in [
            (l.first_danger, Against::Figure(Measure::FirstPeak)),
            (l.far_over, Against::Figure(Measure::Peak)),
            (l.fall, Against::Figure(Measure::Fall)),
            (l.creep, Against::Figure(Measure::Climb)),
            (l.inlet_fall, Against::Figure(Measure::InletFall)),
            (l.first_weak, read(Id::FirstFull)),
            (l.inlet_least, read(Id::FullInlet)),
            (l.fill_least, read(Id::Fill)),
            (l.lock_up, read(Id::RestMinute)),
        ] {
            let ends = [limit.low, limit.high]
                .into_iter()
                .filter(|v| v.is_finite());
            for end in ends {
                for value in [end, end * 1.000_001, end * 0.999_999, end - 1.0, end + 1.0] {
                    let judged = Judged {
                        against,
                        value,
                        limit: Some(limit),
                        verdict: Verdict::Fail,
                    };
                    for system in [System::Us, System::Si] {
                        let told = decided(&judged, Test::FirstStage, system);
                        assert!(!told.contains("inf"), "{told}");
                    }
                }
            }
        }
    }
}
