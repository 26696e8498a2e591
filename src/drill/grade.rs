//! An attempt held against its drill: points for cause, action, economy and safety, each with its
//! reason, and the debrief, which sets the trainee's suspicion beside the belief computed from the
//! same readings after every act.

use super::act::{Act, Answer, Left};
use super::assess::{cause_words, common_remedies, library_for, truth};
use super::attempt::rig_of;
use super::belief::{Belief, Reading, next_step, not_told_apart, readings_of};
use super::check::Check;
use super::file::{Drill, Worked};
use super::item::Id;
use super::library::{Cause, Library};
use super::log::Entry;
use super::safety::Unsafe;
use crate::rig::Rig;
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
pub fn grade(drill: &Drill, entries: &[Entry], answer: Option<&Answer>) -> Grade {
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

fn cause(drill: &Drill, answer: Option<&Answer>) -> Points {
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

fn action(drill: &Drill, answer: Option<&Answer>) -> Points {
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
        super::telling::minutes(minutes),
        super::telling::minutes(best_s / 60.0)
    );
    points((OF[2] * share).round(), OF[2], why)
}

fn safety(noticed: &[Unsafe], answer: Option<&Answer>) -> Points {
    if noticed.is_empty() {
        let why = match answer.map(|a| a.left) {
            Some(Left::ShutOff) => "Nothing unsafe was done, and it was left shut off",
            Some(Left::InUse) => "Nothing unsafe was done, and it was left in order",
            None => "Nothing unsafe was done",
        };
        return points(OF[3], OF[3], why);
    }
    let rules: Vec<&str> = noticed.iter().map(|n| n.rule.as_str()).collect();
    let given = (OF[3] - UNSAFE * noticed.len() as f64).max(0.0);
    points(given, OF[3], rules.join(", "))
}

/// One act in the debrief.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// The act as noted.
    pub entry: Entry,
    /// What the trainee suspected then.
    pub suspicion: Option<(Cause, f64)>,
    /// What the readings so far say: the likeliest causes with their belief.
    pub belief: Vec<(Cause, f64)>,
    /// The likeliest cause and what is not yet told apart from it, with their belief.
    pub alike: Vec<(Cause, f64)>,
    /// How many causes are open: two to the entropy.
    pub open: f64,
    /// Belief in the true cause and what cannot be told from it.
    pub truth: f64,
    /// Bits the act gave; under 0 where it misled.
    pub bits: f64,
    /// The step that would have been best now, in words.
    pub best_next: Option<Check>,
}

/// Another cause that still looked alike after the obvious steps, or does by the catalogue.
#[derive(Debug, Clone, PartialEq)]
pub struct LookAlike {
    /// The cause.
    pub cause: Cause,
    /// Its belief then.
    pub belief: f64,
    /// The step that tells it apart best, if one does.
    pub check: Option<Check>,
    /// The item of it, in words.
    pub item: &'static str,
    /// What that shows here.
    pub here: String,
    /// What it would have shown, from mild to bad.
    pub there: Vec<String>,
}

/// All that can be learnt from an attempt.
#[derive(Debug, Clone, PartialEq)]
pub struct Debrief {
    /// The marks.
    pub grade: Grade,
    /// The true cause.
    pub cause: Cause,
    /// Causes that count as right.
    pub accepts: Vec<Cause>,
    /// Every act.
    pub steps: Vec<Step>,
    /// The shortest path, as seen afterwards, with the belief in the true cause after each step.
    pub best: Vec<(Check, f64)>,
    /// What looked alike.
    pub look_alikes: Vec<LookAlike>,
}

/// How many causes a debrief ranks.
const RANKED: usize = 4;

/// Replays an attempt's readings against the library of its rig.
///
/// # Errors
/// What stopped the run of the true rig, in words.
pub fn debrief(
    drill: &Drill,
    library: &Library,
    entries: &[Entry],
    answer: Option<&Answer>,
) -> Result<Debrief, String> {
    let values = truth(library, &drill.causes()).map_err(|e| e.to_string())?;
    let cause = drill.cause();
    let library = library_for(library, &drill.bag, &cause, &values);
    let accepts = drill
        .worked
        .as_ref()
        .map_or_else(|| vec![cause.clone()], |w: &Worked| w.accepts.clone());
    let right: Vec<usize> = accepts.iter().filter_map(|c| library.find(c)).collect();
    let rig = rig_of(drill).rig;
    let steps = steps(drill, &library, entries, &right, &rig);
    let best = super::belief::shortest_path(&library, &drill.bag, &values, &right).steps;
    Ok(Debrief {
        grade: grade(drill, entries, answer),
        look_alikes: look_alikes(drill, &library, &values, &right),
        cause,
        accepts,
        steps,
        best,
    })
}

/// The readings so far, the latest of each item.
fn latest(readings: &mut Vec<Reading>, new: &[Reading]) {
    for &(id, value) in new {
        readings.retain(|r| r.0 != id);
        readings.push((id, value));
    }
}

fn steps(
    drill: &Drill,
    library: &Library,
    entries: &[Entry],
    right: &[usize],
    rig: &Rig,
) -> Vec<Step> {
    let prior = Belief::prior(library);
    let mut readings: Vec<Reading> = Vec::new();
    let (mut before, mut suspicion) = (prior.clone(), None);
    let mut out = Vec::new();
    for entry in entries {
        if let Ok(Act::Note(cause, sure)) = Act::parse(&entry.act, rig) {
            suspicion = Some((cause, sure));
        }
        latest(&mut readings, &entry.readings);
        let belief = if entry.readings.is_empty() {
            before.clone()
        } else {
            prior.after(library, &readings)
        };
        let by_cause = belief.by_cause(library);
        let ranked = belief.ranked(library);
        let done: Vec<Check> = Check::ALL
            .into_iter()
            .filter(|c| c.items().iter().all(|i| readings.iter().any(|r| r.0 == *i)))
            .collect();
        let is_act = !matches!(
            Act::parse(&entry.act, rig),
            Ok(Act::Note(..) | Act::Answer(_))
        );
        let next = is_act
            .then(|| next_step(library, &belief, &drill.bag, &done))
            .flatten();
        out.push(Step {
            entry: entry.clone(),
            suspicion: suspicion.clone(),
            belief: ranked
                .iter()
                .take(RANKED)
                .map(|(c, p)| (library.causes[*c].clone(), *p))
                .collect(),
            alike: not_told_apart(&ranked)
                .iter()
                .map(|(c, p)| (library.causes[*c].clone(), *p))
                .collect(),
            open: belief.bits(library).exp2(),
            truth: right.iter().map(|c| by_cause[*c]).sum(),
            bits: before.bits(library) - belief.bits(library),
            best_next: next.map(|n| n.check),
        });
        before = belief;
    }
    out
}

fn look_alikes(
    drill: &Drill,
    library: &Library,
    values: &super::item::Values,
    right: &[usize],
) -> Vec<LookAlike> {
    let obvious: Vec<Reading> = Check::OBVIOUS
        .into_iter()
        .filter(|c| c.is_offered(&drill.bag))
        .flat_map(|c| readings_of(c, values))
        .collect();
    let belief = Belief::prior(library).after(library, &obvious);
    belief
        .ranked(library)
        .into_iter()
        .filter(|(c, p)| !right.contains(c) && (*p > 0.02 || listed(library, *c, right)))
        .take(RANKED)
        .map(|(cause, p)| {
            let apart = tells_apart(drill, library, values, &belief, cause, right);
            let item = apart.map_or("", |(_, id)| id.item().words);
            LookAlike {
                cause: library.causes[cause].clone(),
                belief: p,
                check: apart.map(|a| a.0),
                item,
                here: apart.map_or_else(String::new, |(_, id)| id.told(values[id.index()])),
                there: apart.map_or_else(Vec::new, |(_, id)| library.shows(cause, id)),
            }
        })
        .collect()
}

/// Whether the catalogue names a cause among those that look like a right one.
fn listed(library: &Library, cause: usize, right: &[usize]) -> bool {
    let [fault] = library.causes[cause].as_slice() else {
        return false;
    };
    let looks = |c: &usize| {
        library.causes[*c]
            .iter()
            .flat_map(|f| f.entry().look_alikes)
    };
    right.iter().any(|c| looks(c).any(|id| *id == fault.id()))
}

/// The item at hand whose reading here speaks most against a cause and for the true one.
fn tells_apart(
    drill: &Drill,
    library: &Library,
    values: &super::item::Values,
    belief: &Belief,
    cause: usize,
    right: &[usize],
) -> Option<(Check, Id)> {
    let odds = |reading: Reading| -> f64 {
        let p = belief.after(library, &[reading]).by_cause(library);
        let ours: f64 = right.iter().map(|c| p[*c]).sum();
        ours.max(1e-12).ln() - p[cause].max(1e-12).ln()
    };
    let now = belief.by_cause(library);
    let ours: f64 = right.iter().map(|c| now[*c]).sum();
    let start = ours.max(1e-12).ln() - now[cause].max(1e-12).ln();
    Check::offered(&drill.bag)
        .into_iter()
        .flat_map(|c| c.items().iter().map(move |id| (c, *id)))
        .map(|(c, id)| (c, id, odds((id, values[id.index()])) - start))
        .filter(|t| t.2 > 1.0)
        .max_by(|a, b| a.2.total_cmp(&b.2))
        .map(|(c, id, _)| (c, id))
}
