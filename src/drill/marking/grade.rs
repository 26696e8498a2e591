//! An attempt held against its drill: points for cause, action, economy and safety, each with its reason.

use crate::drill::attempt::act::{Finding, Left};
use crate::drill::attempt::log::Entry;
use crate::drill::attempt::safety::Unsafe;
use crate::drill::attempt::telling;
use crate::drill::making::file::Drill;
use crate::drill::reasoning::assess::common_remedies;
use crate::drill::reasoning::causes::{Cause, cause_words};
use serde::Serialize;

/// Points for one thing, with the reason.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Points {
    /// Points given.
    pub given: f64,
    /// Points there are.
    pub of: f64,
    /// Why.
    pub why: String,
}

/// The marks of an attempt.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Grade {
    /// Was the cause named?
    pub cause: Points,
    /// Was the right thing done about it?
    pub action: Points,
    /// Was it found in good time?
    pub economy: Points,
    /// Was everybody safe?
    pub safety: Points,
    /// Clock at the answer, or at the last act \[s\].
    pub took_s: f64,
    /// Minutes of the best path, if it was computed \[s\].
    pub best_s: Option<f64>,
    /// Everything unsafe, in order.
    pub noticed: Vec<Unsafe>,
}

impl Grade {
    /// All points, of a hundred.
    pub fn total(&self) -> f64 {
        self.cause.given + self.action.given + self.economy.given + self.safety.given
    }
}

/// Points there are for cause, action, economy, safety.
const OF: [f64; 4] = [40.0, 20.0, 20.0, 20.0];
/// Up to this many times the best path's minutes there are full points for economy (single acts
/// take longer than whole steps) ...
const GOOD_TIME: f64 = 2.0;
/// ... and from this many none.
const LONG_TIME: f64 = 8.0;
/// Points for the right family.
const FAMILY: f64 = 15.0;
/// Points an unsafe act costs.
const UNSAFE: f64 = 10.0;

fn points(given: f64, of: f64, why: impl Into<String>) -> Points {
    Points {
        given,
        of,
        why: why.into(),
    }
}

/// Whether two causes are the same faults, in whatever order.
pub fn same(a: &Cause, b: &Cause) -> bool {
    a.len() == b.len() && a.iter().all(|f| b.contains(f))
}

/// Marks an attempt. Without an answer there is nothing for cause and action.
pub fn grade(drill: &Drill, entries: &[Entry], answer: Option<&Finding>) -> Grade {
    let noticed: Vec<Unsafe> = entries.iter().flat_map(|e| e.noticed.clone()).collect();
    let took_s = entries.last().map_or(0.0, |e| e.end_s);
    let best_s = drill
        .worked
        .as_ref()
        .map(|w| 60.0 * w.difficulty.minutes + drill.onset_s());
    let cause = cause(drill, answer);
    let found = cause.given > 0.0;
    Grade {
        action: action(drill, answer),
        economy: economy(found, took_s, best_s, drill.limit_s),
        safety: safety(&noticed, answer),
        cause,
        took_s,
        best_s,
        noticed,
    }
}

fn cause(drill: &Drill, answer: Option<&Finding>) -> Points {
    let Some(answer) = answer else {
        return points(0.0, OF[0], "No answer was given");
    };
    let (truth, said) = (drill.cause(), &drill.settled(&answer.cause));
    if same(&truth, said) {
        return points(OF[0], OF[0], format!("{}: right", cause_words(said)));
    }
    let alike = drill
        .worked
        .as_ref()
        .is_some_and(|w| w.accepts.iter().any(|c| same(c, said)));
    if alike {
        let why = format!(
            "{}: it is {}, and nothing at hand tells them apart",
            cause_words(said),
            cause_words(&truth)
        );
        return points(OF[0], OF[0], why);
    }
    let hit = truth.iter().filter(|f| said.contains(f)).count();
    if hit > 0 {
        let why = format!(
            "{}: part of it; it is {}",
            cause_words(said),
            cause_words(&truth)
        );
        let share = hit as f64 / truth.len().max(said.len()) as f64;
        return points((OF[0] * share).round(), OF[0], why);
    }
    let near = truth
        .iter()
        .any(|t| said.iter().any(|s| s.entry().family == t.entry().family));
    let why = format!("{}: it is {}", cause_words(said), cause_words(&truth));
    points(
        if near { FAMILY } else { 0.0 },
        OF[0],
        if near {
            format!("{why}; the right family")
        } else {
            why
        },
    )
}

fn action(drill: &Drill, answer: Option<&Finding>) -> Points {
    let Some(answer) = answer else {
        return points(0.0, OF[1], "No answer was given");
    };
    let mut right: Vec<_> = drill
        .cause()
        .iter()
        .flat_map(|f| f.entry().puts_right())
        .collect();
    if let Some(w) = &drill.worked {
        right.extend(common_remedies(&w.accepts));
    }
    let name = answer.action.id();
    if right.contains(&answer.action) {
        return points(OF[1], OF[1], format!("`{name}` puts it right"));
    }
    let mut names: Vec<&str> = Vec::new();
    for remedy in right {
        let id = remedy.id();
        if !names.contains(&id) {
            names.push(id);
        }
    }
    points(
        0.0,
        OF[1],
        format!(
            "`{name}` does not put it right; {} would",
            names.join(" or ")
        ),
    )
}

fn economy(found: bool, took_s: f64, best_s: Option<f64>, limit_s: f64) -> Points {
    let minutes = took_s / 60.0;
    if !found {
        return points(
            0.0,
            OF[2],
            format!("{minutes:.0} min, and the cause was not found"),
        );
    }
    let Some(best_s) = best_s else {
        let share = (2.0 * (1.0 - took_s / limit_s)).clamp(0.0, 1.0);
        return points((OF[2] * share).round(), OF[2], format!("{minutes:.0} min"));
    };
    let times = took_s / best_s.max(60.0);
    let share = ((LONG_TIME - times) / (LONG_TIME - GOOD_TIME)).clamp(0.0, 1.0);
    let why = format!(
        "{}; the best path takes {}",
        telling::minutes(minutes),
        telling::minutes(best_s / 60.0)
    );
    points((OF[2] * share).round(), OF[2], why)
}

fn safety(noticed: &[Unsafe], answer: Option<&Finding>) -> Points {
    if noticed.is_empty() {
        let why = match answer.map(|a| a.left) {
            Some(Left::ShutOff) => "Nothing unsafe was done, and it was left shut off",
            Some(Left::InUse) => "Nothing unsafe was done, and it was left in order",
            None => "Nothing unsafe was done",
        };
        return points(OF[3], OF[3], why);
    }
    let rules: Vec<&str> = noticed
        .iter()
        .map(crate::drill::attempt::safety::Unsafe::rule)
        .collect();
    let given = (OF[3] - UNSAFE * noticed.len() as f64).max(0.0);
    points(given, OF[3], rules.join(", "))
}
