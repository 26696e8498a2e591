//! An attempt held against its drill: points for cause, evidence, action, economy and safety, each with its reason, by
//! the drill's own weights. A right answer is worth what the readings bear out; a grave act fails the attempt whatever else.

use super::weigh::{Weighed, weigh};
use crate::drill::attempt::act::{Finding, Left};
use crate::drill::attempt::log::Entry;
use crate::drill::attempt::safety::Unsafe;
use crate::drill::attempt::telling;
use crate::drill::making::file::Drill;
use crate::drill::making::weights::Weights;
use crate::drill::reasoning::assess::common_remedies;
use crate::drill::reasoning::causes::{Cause, cause_words};
use crate::fault::Remedy;
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
    /// Was the cause named, and did the readings bear it out?
    pub cause: Points,
    /// Was enough found out, and was it seen what it says?
    pub evidence: Points,
    /// Was the right thing named, and done and proved where it could be?
    pub action: Points,
    /// Was it found in good time?
    pub economy: Points,
    /// Was everybody safe?
    pub safety: Points,
    /// The grave act that fails the attempt, if there was one.
    pub failed: Option<Unsafe>,
    /// Whether the cause named counts as right, whatever bears it out.
    pub right: bool,
    /// Clock at the answer, or at the last act \[s\].
    pub took_s: f64,
    /// Minutes of the best path, if it was computed \[s\].
    pub best_s: Option<f64>,
    /// Everything unsafe, in order.
    pub noticed: Vec<Unsafe>,
}

impl Grade {
    /// All points, of a hundred; none where the attempt failed.
    pub fn total(&self) -> f64 {
        if self.failed.is_some() {
            return 0.0;
        }
        self.parts().iter().map(|p| p.1.given).sum()
    }

    /// The parts with their names.
    pub fn parts(&self) -> [(&'static str, &Points); 5] {
        [
            ("cause", &self.cause),
            ("evidence", &self.evidence),
            ("action", &self.action),
            ("economy", &self.economy),
            ("safety", &self.safety),
        ]
    }
}

/// What a right answer is worth that no reading bears out (own: a guess is one of ten).
const GUESS: f64 = 0.1;
/// Share of the points for evidence that readings give; the rest is for a suspicion that followed from them.
const READ: f64 = 0.75;
/// Share of the points for the action that are for naming it, where what is at hand could do it.
const NAMED: f64 = 0.6;
/// Up to this many times the best path's minutes there are full points for economy ...
const GOOD_TIME: f64 = 1.0;
/// ... and from this many none.
const LONG_TIME: f64 = 8.0;
/// Share for the right family, or for a part of the right cause by its share.
const FAMILY: f64 = 0.375;
/// Share of the points for safety that an unsafe act costs.
const UNSAFE: f64 = 0.5;

fn points(given: f64, of: f64, why: impl Into<String>) -> Points {
    Points {
        given: (10.0 * given).round() / 10.0,
        of,
        why: why.into(),
    }
}

/// Whether two causes are the same faults, in whatever order.
pub fn same(a: &Cause, b: &Cause) -> bool {
    a.len() == b.len() && a.iter().all(|f| b.contains(f))
}

/// Marks an attempt.
pub fn grade(drill: &Drill, entries: &[Entry], answer: Option<&Finding>) -> Grade {
    marks(drill, entries, answer, &weigh(drill, entries))
}

/// Marks an attempt of this weight. Without an answer there is nothing for cause and action.
pub fn marks(
    drill: &Drill,
    entries: &[Entry],
    answer: Option<&Finding>,
    weighed: &Weighed,
) -> Grade {
    let noticed: Vec<Unsafe> = entries.iter().flat_map(|e| e.noticed.clone()).collect();
    let took_s = entries.last().map_or(0.0, |e| e.end_s);
    let best_s = drill
        .worked
        .as_ref()
        .map(|w| 60.0 * w.difficulty.minutes + drill.onset_s());
    let of = &drill.weights;
    let hit = hit(drill, answer);
    let cause = cause(of.cause, &hit, weighed);
    // What a repair takes, and its proof, costs nothing.
    let worked_s = weighed.repaired_s.unwrap_or(took_s).min(took_s);
    let found = if of.cause > 0.0 {
        cause.given / of.cause
    } else {
        hit.share
    };
    Grade {
        evidence: evidence(of.evidence, answer.is_some(), weighed),
        action: action(drill, answer, weighed),
        economy: economy(of.economy, found, worked_s, best_s, drill.limit_s),
        safety: safety(of, &noticed, answer),
        failed: noticed.iter().find(|u| u.is_grave()).cloned(),
        right: hit.share >= 1.0,
        cause,
        took_s,
        best_s,
        noticed,
    }
}

/// How far an answer names the cause, and why.
struct Hit {
    share: f64,
    why: String,
}

fn hit(drill: &Drill, answer: Option<&Finding>) -> Hit {
    let Some(answer) = answer else {
        let why = "No answer was given".to_owned();
        return Hit { share: 0.0, why };
    };
    let (truth, said) = (drill.cause(), &drill.settled(&answer.cause));
    let (said_words, true_words) = (cause_words(said), cause_words(&truth));
    if same(&truth, said) {
        let why = format!("{said_words}: right");
        return Hit { share: 1.0, why };
    }
    let worked = drill.worked.as_ref();
    if worked.is_some_and(|w| w.accepts.iter().any(|c| same(c, said))) {
        let why = format!("{said_words}: it is {true_words}, and nothing at hand tells them apart");
        return Hit { share: 1.0, why };
    }
    let hit = truth.iter().filter(|f| said.contains(f)).count();
    if hit > 0 {
        let share = hit as f64 / truth.len().max(said.len()) as f64;
        let why = format!("{said_words}: part of it; it is {true_words}");
        return Hit { share, why };
    }
    let near = truth
        .iter()
        .any(|t| said.iter().any(|s| s.entry().family == t.entry().family));
    let why = format!("{said_words}: it is {true_words}");
    if near {
        let why = format!("{why}; the right family");
        return Hit { share: FAMILY, why };
    }
    Hit { share: 0.0, why }
}

/// What of the points an answer gets that the readings bear out this far.
fn borne(support: f64) -> f64 {
    GUESS + (1.0 - GUESS) * support
}

/// How far the readings bear an answer out, in words.
fn borne_words(weighed: &Weighed) -> &'static str {
    match weighed.support {
        _ if !weighed.has_rod => {
            "the drill was sealed without what evidence is weighed by: seal it anew"
        }
        s if s >= 1.0 => "the readings bear it out",
        s if s >= 0.5 => "the readings point to it and leave others open",
        s if s > 0.05 => "the readings leave much else open",
        _ => "a guess: no reading bears it out",
    }
}

fn cause(of: f64, hit: &Hit, weighed: &Weighed) -> Points {
    if hit.share <= 0.0 {
        return points(0.0, of, hit.why.clone());
    }
    let why = format!("{}; {}", hit.why, borne_words(weighed));
    points(of * hit.share * borne(weighed.support), of, why)
}

fn evidence(of: f64, answered: bool, weighed: &Weighed) -> Points {
    let read = match weighed.support {
        s if s >= 1.0 => "What was read makes sure of the cause",
        s if s >= 0.5 => "What was read points to the cause",
        s if s > 0.05 => "What was read tells a little",
        _ => "Nothing was read that tells the cause",
    };
    let suspected = if weighed.suspected {
        "a suspicion was noted that followed from it"
    } else if answered {
        "no suspicion was noted on the way that followed from it"
    } else {
        "no suspicion followed from it so far"
    };
    let share = READ * weighed.support + (1.0 - READ) * f64::from(u8::from(weighed.suspected));
    points(of * share, of, format!("{read}; {suspected}"))
}

/// Actions that are right in this drill.
fn right_actions(drill: &Drill) -> Vec<Remedy> {
    let mut right: Vec<_> = drill
        .cause()
        .iter()
        .flat_map(|f| f.entry().puts_right())
        .collect();
    if let Some(w) = &drill.worked {
        right.extend(common_remedies(&w.accepts));
    }
    right
}

fn action(drill: &Drill, answer: Option<&Finding>, weighed: &Weighed) -> Points {
    let of = drill.weights.action;
    let Some(answer) = answer else {
        return points(0.0, of, "No answer was given");
    };
    let right = right_actions(drill);
    let proved = weighed.proved && weighed.repaired_s.is_some();
    let name = answer.action.id();
    let (mut share, mut why) = if right.contains(&answer.action) {
        let named = if weighed.can_repair { NAMED } else { 1.0 };
        let borne = if proved { 1.0 } else { borne(weighed.support) };
        (named * borne, format!("`{name}` puts it right"))
    } else {
        let mut names: Vec<&str> = Vec::new();
        for remedy in right {
            let id = remedy.id();
            if !names.contains(&id) {
                names.push(id);
            }
        }
        let would = names.join(" or ");
        (
            0.0,
            format!("`{name}` does not put it right; {would} would"),
        )
    };
    if weighed.can_repair {
        let done = match (weighed.repaired_s.is_some(), proved) {
            (true, true) => "it was done, and tests after it prove it",
            (true, false) => "it was done, and no test after it proves it",
            _ => "what is at hand could do it and prove it",
        };
        why = format!("{why}; {done}");
        if proved {
            share += 1.0 - NAMED;
        }
    }
    points(of * share, of, why)
}

fn economy(of: f64, found: f64, worked_s: f64, best_s: Option<f64>, limit_s: f64) -> Points {
    let minutes = worked_s / 60.0;
    if found <= 0.0 {
        let why = format!("{minutes:.0} min, and the cause was not found");
        return points(0.0, of, why);
    }
    let Some(best_s) = best_s else {
        let share = (2.0 * (1.0 - worked_s / limit_s)).clamp(0.0, 1.0);
        return points(of * found * share, of, format!("{minutes:.0} min"));
    };
    let times = worked_s / best_s.max(60.0);
    let share = ((LONG_TIME - times) / (LONG_TIME - GOOD_TIME)).clamp(0.0, 1.0);
    let why = format!(
        "{}; the best path takes {}",
        telling::minutes(minutes),
        telling::minutes(best_s / 60.0)
    );
    points(of * found * share, of, why)
}

fn safety(of: &Weights, noticed: &[Unsafe], answer: Option<&Finding>) -> Points {
    let of = of.safety;
    if noticed.is_empty() {
        let why = match answer.map(|a| a.left) {
            Some(Left::ShutOff) => "Nothing unsafe was done, and it was left shut off",
            Some(Left::InUse) => "Nothing unsafe was done, and it was left in order",
            None => "Nothing unsafe was done",
        };
        return points(of, of, why);
    }
    let rules: Vec<&str> = noticed.iter().map(Unsafe::rule).collect();
    let left = if noticed.iter().any(Unsafe::is_grave) {
        0.0
    } else {
        (1.0 - UNSAFE * noticed.len() as f64).max(0.0)
    };
    points(of * left, of, rules.join(", "))
}
