//! What an attempt is worth beyond its answer: how sure its readings make of the true cause, whether what the trainee
//! suspected followed from them, and whether a repair was made, tested and left safe. From the log and the drill's own
//! measuring rod alone, so the same attempt always weighs the same.

use super::course::{Course, change};
use crate::drill::attempt::act::{Act, Finding};
use crate::drill::attempt::judging::{Judging, judgeable, judgings};
use crate::drill::attempt::log::Entry;
use crate::drill::attempt::read::reads_right;
use crate::drill::attempt::rig_of;
use crate::drill::making::file::Drill;
use crate::drill::reasoning::causes::{Belief, Cause, Causes, SURE, not_told_apart};
use crate::fault::{Fault, Remedy};
use crate::visit::{self, Cure, Deed, Tool, cure};
use serde::Serialize;

/// How much likelier than the old one the healed rig must be by what was read after a repair (own: as sure as 4 to 1).
const PROVES: f64 = 4.0;

/// How tests were judged.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
pub struct Tally {
    /// How many could be.
    pub tests: usize,
    /// How many were judged rightly ...
    pub right: usize,
    /// ... nearly, as a pass for what is to be watched ...
    pub near: usize,
    /// ... and wrongly.
    pub wrong: usize,
    /// The share of all that counts as judged rightly, 0 to 1.
    pub share: f64,
}

impl Tally {
    fn of(made: &[Judging], tests: usize) -> Self {
        let count = |is: &dyn Fn(f64) -> bool| made.iter().filter(|j| is(j.share())).count();
        let points: f64 = made.iter().map(Judging::share).sum();
        Self {
            tests,
            right: count(&|s| s >= 1.0),
            near: count(&|s| s > 0.0 && s < 1.0),
            wrong: count(&|s| s <= 0.0),
            share: if tests > 0 {
                points / tests as f64
            } else {
                0.0
            },
        }
    }

    /// How many were not judged.
    pub fn unjudged(&self) -> usize {
        self.tests
            .saturating_sub(self.right + self.near + self.wrong)
    }
}

/// What an attempt weighs.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Weighed {
    /// How sure the readings make of what is right, 0 nothing read to 1 as sure as the best path makes.
    pub support: f64,
    /// How much of the belief in the likeliest right cause the readings leave to the one that was answered, 0 to 1; none where
    /// they tell it from that, or where it is none that the drill weighs by.
    pub open: f64,
    /// Whether a suspicion was noted that the readings by then did not speak against.
    pub suspected: bool,
    /// How the tests were judged that could be.
    pub judged: Tally,
    /// Whether what is at hand can put it right at all.
    pub can_repair: bool,
    /// When the deed began that put it right, if one did \[s\].
    pub repaired_s: Option<f64>,
    /// What an answer calls that deed.
    pub did: Option<Remedy>,
    /// Whether tests after it tell that it is right.
    pub proved: bool,
    /// Whether the drill has a measuring rod.
    pub has_rod: bool,
}

/// Weighs an attempt with its answer, where there is one.
pub fn weigh(drill: &Drill, entries: &[Entry], answer: Option<&Finding>) -> Weighed {
    let rig = rig_of(drill).rig;
    let acts: Vec<(Act, &Entry)> = entries
        .iter()
        .filter_map(|e| Some((Act::parse(&e.act, &rig).ok()?, e)))
        .collect();
    let truth = drill.cause();
    let repaired = repaired(drill, &acts);
    let mut out = Weighed {
        can_repair: truth.iter().all(|f| can_repair(drill, *f)),
        repaired_s: repaired.map(|r| acts[r.at].1.at_s),
        did: repaired.and_then(|r| remedy_of(&acts[r.at].0)),
        ..Weighed::default()
    };
    out.judged = Tally::of(&judgings(entries, &rig), judgeable(entries));
    let worked = drill.worked.as_ref();
    let rod = worked.and_then(|w| w.rod.as_ref());
    let causes = rod.and_then(|r| r.causes(&drill.scenario, truth.len()));
    if let Some((causes, worked)) = causes.as_ref().zip(worked) {
        let severity = drill.faults.first().map_or(0.0, |h| h.severity);
        let of = ((&truth, severity), &worked.accepts[..]);
        let end = by_rod(&mut out, &acts, repaired, causes, of);
        let named = answer.map(|a| drill.settled(&a.cause));
        out.open = named.map_or(0.0, |n| left_open(causes, &end, &worked.accepts, &n));
    }
    if let Some(r) = repaired {
        out.proved |= set_right(&acts, r.at);
        // What may have helped did so where a test after it shows that.
        if !r.is_sure && !out.proved {
            (out.repaired_s, out.did) = (None, None);
        }
    }
    out
}

fn by_rod(
    out: &mut Weighed,
    acts: &[(Act, &Entry)],
    repaired: Option<Repair>,
    causes: &Causes,
    (truth, accepts): ((&Cause, f64), &[Cause]),
) -> Belief {
    out.has_rod = true;
    let right: Vec<usize> = accepts.iter().filter_map(|c| causes.find(c)).collect();
    let mut course = Course::new(causes);
    let none = course.belief().in_any(&right);
    let share = |b: &Belief| ((b.in_any(&right) - none) / (SURE - none)).clamp(0.0, 1.0);
    let mut cures = 0;
    for (n, (act, entry)) in acts.iter().enumerate() {
        if let Act::Note(cause, _) = act
            && course.met().iter().any(Option::is_some)
        {
            out.suspected |= agrees(causes, &course.belief(), cause);
        }
        course.take(act, entry);
        if repaired.is_some_and(|r| n <= r.at) {
            cures += usize::from(change(act).is_some());
        }
    }
    // What a repair showed can only make surer.
    let (met, all) = (causes.belief(course.met()), course.belief());
    let end = if share(&met) > share(&all) { met } else { all };
    out.support = share(&end);
    if repaired.is_some() {
        out.proved = course.healed(truth, cures) >= PROVES;
    }
    end
}

/// How much of the belief in the likeliest right cause is left to another; none where the two are told apart.
fn left_open(causes: &Causes, belief: &Belief, accepts: &[Cause], named: &Cause) -> f64 {
    let ranked = belief.ranked();
    let open = not_told_apart(&ranked);
    let held = |cause: &Cause| {
        let place = causes.find(cause)?;
        open.iter().find(|o| o.0 == place).map(|o| o.1)
    };
    let right = accepts.iter().filter_map(held).fold(0.0, f64::max);
    match held(named) {
        Some(held) if right > 0.0 => (held / right).min(1.0),
        _ => 0.0,
    }
}

/// Whether a cause is among those that are not told apart from the likeliest.
fn agrees(causes: &Causes, belief: &Belief, cause: &Cause) -> bool {
    let ranked = belief.ranked();
    let place = causes.find(cause);
    let open = not_told_apart(&ranked);
    open.iter().any(|(c, _)| {
        let of_it = causes.cause(*c);
        Some(*c) == place || (!cause.is_empty() && cause.iter().all(|f| of_it.contains(f)))
    })
}

/// Whether something at hand puts a fault right.
fn can_repair(drill: &Drill, fault: Fault) -> bool {
    let deeds = [
        (Tool::ClearVents, Deed::ClearVents),
        (Tool::NewHose, Deed::SwapHose),
        (Tool::NewRegulator, Deed::SwapRegulator),
    ];
    let has = |t: &Tool| drill.bag.has(*t) && drill.must_not.iter().all(|f| f.tool != *t);
    let mut cures = deeds.iter().filter(|(tool, _)| has(tool));
    let by_screw = has(&Tool::Screw) && fault.entry().remedies.contains(&Remedy::Adjust);
    by_screw || cures.any(|(_, deed)| cure(*deed, fault) == Cure::Yes)
}

/// The act that put the last of the faults right.
#[derive(Debug, Clone, Copy)]
struct Repair {
    /// Its place.
    at: usize,
    /// Whether it does for sure; a screw may.
    is_sure: bool,
}

/// The deed of an act.
fn deed_of(act: &Act) -> Option<Deed> {
    match act {
        Act::Do(visit::Act::Do(deed)) => Some(*deed),
        _ => None,
    }
}

/// What an answer calls a deed that puts right.
fn remedy_of(act: &Act) -> Option<Remedy> {
    match deed_of(act)? {
        Deed::ClearVents => Some(Remedy::Clear),
        Deed::SwapHose | Deed::SwapRegulator => Some(Remedy::Replace),
        Deed::TurnScrew { .. } => Some(Remedy::Adjust),
        _ => None,
    }
}

/// What put all of the faults right, if anything did or may have. What only helps is no repair: a burst of flow, a cloth, a tap.
fn repaired(drill: &Drill, acts: &[(Act, &Entry)]) -> Option<Repair> {
    let by = |f: &Fault| {
        let hidden = drill.faults.iter().find(|h| h.fault == *f);
        let there_s = hidden.map_or(0.0, |h| h.at_s + h.over_s);
        let does = |wanted: Cure| {
            move |(act, entry): &(Act, &Entry)| {
                let lasts = |_: &Deed| remedy_of(act).is_some_and(Remedy::puts_right);
                let cures = deed_of(act).filter(lasts).map(|d| cure(d, *f));
                entry.at_s >= there_s && cures == Some(wanted)
            }
        };
        // A screw is set by turns; the last of them counts.
        let sure = acts.iter().position(does(Cure::Yes));
        let (at, is_sure) = match sure {
            Some(at) => (at, true),
            None => (acts.iter().rposition(does(Cure::Maybe))?, false),
        };
        Some(Repair { at, is_sure })
    };
    let all: Option<Vec<Repair>> = drill.cause().iter().map(by).collect();
    let all = all?;
    let is_sure = all.iter().all(|r| r.is_sure);
    let at = all.iter().map(|r| r.at).max()?;
    Some(Repair { at, is_sure })
}

/// Whether the act turned a screw, and that reads right since.
fn set_right(acts: &[(Act, &Entry)], turned: usize) -> bool {
    let (Act::Do(visit::Act::Do(Deed::TurnScrew { stage, .. })), _) = &acts[turned] else {
        return false;
    };
    let after = acts[turned..].iter().flat_map(|a| a.1.after.clone());
    reads_right(*stage, &after.collect::<Vec<_>>())
}
