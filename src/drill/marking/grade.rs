//! An attempt held against its drill: points for cause, evidence, action, economy and safety, each with its reason, by
//! the drill's own weights. A right answer is worth what the readings bear out; a grave act fails the attempt whatever else.

use super::job::left_by;
pub use super::near::{Hit, counts_as_right, same};
use super::near::{Near, borne, near};
use super::weigh::{Support, Tally, Weighed, weigh};
use crate::drill::attempt::act::{Finding, Left};
use crate::drill::attempt::judging::{Judging, judgings};
use crate::drill::attempt::log::Entry;
use crate::drill::attempt::safety::Unsafe;
use crate::drill::attempt::{has_looked, rig_of};
use crate::drill::making::file::Drill;
use crate::drill::making::weights::Weights;
use crate::drill::reasoning::causes::Cause;
use crate::fault::{Fault, Remedy};
use crate::visit::{Cure, Deed, cure};
use serde::Serialize;

/// Points for one thing, with the reason.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Points {
    /// Points given.
    pub given: f64,
    /// Points there are.
    pub of: f64,
    /// Why.
    pub why: Why,
}

/// Why points were given. The report room puts it into words.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Why {
    /// No answer was given.
    NoAnswer,
    /// For the cause.
    Cause {
        /// What was named.
        named: Cause,
        /// What it is.
        truth: Cause,
        /// How near that is.
        hit: Hit,
        /// How far the readings bear it out; none where nothing of it is right.
        borne: Option<Borne>,
    },
    /// For the evidence.
    Evidence {
        /// How far what was read tells the cause.
        borne: Borne,
        /// How far a suspicion was noted that followed from what was read by then, 0 to 1: by how sure it was said.
        suspected: f64,
        /// Whether an answer was given.
        answered: bool,
        /// Whether the answer is what was read.
        seen: bool,
        /// How the tests were judged that could be.
        judged: Tally,
        /// Whether they were too few to show it: then it counts for less.
        few: bool,
    },
    /// For the action.
    Action {
        /// What was named.
        named: Vec<Remedy>,
        /// What would put it right, where what was named puts nothing right.
        would: Vec<Remedy>,
        /// Of two causes the one that what was named leaves as it is, and what would put that right.
        leaves: Option<(Fault, Vec<Remedy>)>,
        /// What became of it, where what is at hand could do it.
        done: Option<Done>,
        /// What an answer calls the deed that put it right, where one did.
        did: Option<Remedy>,
        /// What of it counts: what was put right by what was named for it, 0 to 1.
        near: f64,
        /// How far what was read asks for this job whichever cause it is, 0 to 1, where more of it counts by that.
        job: f64,
        /// Whether the cause that it was named for is one that the readings leave open beside the true one.
        open: bool,
        /// Whether what was named may help for a while, and is no repair.
        helps: bool,
        /// Whether what was named takes it out too, by a new part that it does not need.
        too_much: bool,
        /// Whether the readings bear the cause out that it was named for, or it was proved: else it counts for less.
        whole: bool,
        /// A sound part that was replaced.
        needless: Option<Deed>,
    },
    /// For the time.
    Economy {
        /// Time to the answer \[s\].
        worked_s: f64,
        /// Time of the best path, where it is known \[s\].
        best_s: Option<f64>,
        /// So much of it is waiting until what is wrong is fully there \[s\].
        waits_s: f64,
        /// When the drill had ended, where the work went on beyond that: it is in no good time \[s\].
        ended_s: Option<f64>,
        /// Whether it is counted to a repair that came before the answer.
        to_repair: bool,
        /// Whether the cause was found.
        found: bool,
        /// Whether all of it was, and borne out: else time counts for less.
        whole: bool,
    },
    /// For safety: nothing unsafe was done.
    Safe(
        /// How the rig was left, where an answer says so.
        Option<Left>,
    ),
    /// For safety: nothing was looked at, so nothing is known.
    Unlooked,
    /// For safety: the rules that were broken, in order, each with the number of its act and its clock \[s\].
    Broke(Vec<(usize, f64, Unsafe)>),
}

/// How far readings bear something out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Borne {
    /// The drill holds nothing to weigh it by.
    Unweighed,
    /// Wholly.
    Sure,
    /// They tell its part of the rig and the job, and not which of its faults.
    Part,
    /// As far as could be asked for: gas blew out, and the container was shut.
    Stopped,
    /// They point to it.
    Points,
    /// A little.
    Little,
    /// Not at all.
    Not,
}

/// What became of a repair that what is at hand could do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Done {
    /// Done, and tests after it prove it.
    Proved,
    /// Done.
    Unproved,
    /// Not done.
    Not,
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
    /// What was made of the tests, in order.
    pub judgings: Vec<Judging>,
    /// Everything unsafe, in order.
    pub noticed: Vec<Unsafe>,
    /// How many acts broke a rule: one that broke two is one. What was done, not what was said.
    pub unsafe_acts: usize,
    /// How many tests whose readings forbid a flame were judged to be a pass: said, and not done.
    pub unsafe_said: usize,
}

impl Grade {
    /// All points, of a hundred; none where the attempt failed.
    pub fn total(&self) -> f64 {
        if self.failed.is_some() {
            return 0.0;
        }
        let all = self.sum();
        if self.is_capped() { CALLED_SAFE } else { all }
    }

    fn sum(&self) -> f64 {
        self.parts().iter().map(|p| p.1.given).sum()
    }

    /// Whether its points are more than who judged a danger to be a pass has.
    pub fn is_capped(&self) -> bool {
        self.called_safe() && self.sum() > CALLED_SAFE
    }

    /// Whether readings that forbid a flame were judged to be a pass: no such attempt is passed, whatever a class asks for.
    pub fn called_safe(&self) -> bool {
        self.unsafe_said > 0
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

/// Parts of the points for evidence: for what readings give, for a suspicion that followed from them, and for judging
/// the tests, where any was made that can be judged (own).
const READ: f64 = 12.0;
const SUSPECTED: f64 = 4.0;
const JUDGED: f64 = 4.0;
/// So many tests show how rightly somebody judges them, or readings that tell the cause: one of one may be luck (own).
const SHOW: f64 = 3.0;
/// Share of the points for the action that are for naming it, where what is at hand could do it.
const NAMED: f64 = 0.6;
/// Share of the points for the action that a sound part costs which was replaced (own).
const NEEDLESS: f64 = 0.25;
/// Up to this many times the best path's minutes there are full points for economy ...
const GOOD_TIME: f64 = 1.0;
/// ... and from this many none.
const LONG_TIME: f64 = 8.0;
/// Share of what readings give for evidence where the answer is not what they say.
const UNSEEN: f64 = 0.5;
/// Share of the points for safety of who looked at nothing: that gas escapes would not have been noticed (own).
const UNLOOKED: f64 = 0.5;
/// Most of all points for who judged a danger to be a pass (own): the next one lights by that word.
pub const CALLED_SAFE: f64 = 50.0;
/// Share of the points for safety that an unsafe act costs.
const UNSAFE: f64 = 0.5;

fn points(given: f64, of: f64, why: Why) -> Points {
    Points {
        given: (10.0 * given).round() / 10.0,
        of,
        why,
    }
}

/// Whether a cause is another one or a part of it: of a pair one that was suspected is no other cause.
pub fn is_of(whole: &Cause, part: &Cause) -> bool {
    same(whole, part) || (!part.is_empty() && part.iter().all(|f| whole.contains(f)))
}

/// Marks an attempt.
pub fn grade(drill: &Drill, entries: &[Entry], answer: Option<&Finding>) -> Grade {
    marks(drill, entries, answer, &weigh(drill, entries, answer))
}

/// Marks an attempt of this weight. Without an answer there is nothing for cause and action.
pub fn marks(
    drill: &Drill,
    entries: &[Entry],
    answer: Option<&Finding>,
    weighed: &Weighed,
) -> Grade {
    let took_s = entries.last().map_or(0.0, |e| e.end_s);
    let best_s = drill
        .worked
        .as_ref()
        .map(|w| 60.0 * w.difficulty.all_minutes());
    let rig = rig_of(drill).rig;
    let looked = has_looked(entries, &rig);
    let judgings = judgings(entries, &rig);
    let broken = broken(entries, &judgings);
    let of = &drill.weights;
    let near = answer.map_or(Near::NOWHERE, |a| near(drill, a, weighed));
    let share = near.share;
    let cause = cause(drill, answer, near, weighed);
    // What a repair takes, and its proof, costs nothing.
    let worked_s = weighed.repaired_s.unwrap_or(took_s).min(took_s);
    let found = if of.cause > 0.0 {
        cause.given / of.cause
    } else {
        share
    };
    Grade {
        evidence: evidence(of.evidence, answer.map(|_| share), weighed),
        action: action(drill, answer, near, weighed),
        economy: economy(drill, found, (worked_s, worked_s < took_s), best_s),
        failed: broken.iter().map(|b| &b.2).find(|u| u.is_grave()).cloned(),
        noticed: broken.iter().map(|b| b.2.clone()).collect(),
        unsafe_acts: acts_of(broken.iter().filter(|b| !b.2.is_said())),
        unsafe_said: acts_of(broken.iter().filter(|b| b.2.is_said())),
        safety: safety(of, broken, answer, looked),
        right: share >= 1.0,
        cause,
        took_s,
        best_s,
        judgings,
    }
}

/// The rules that were broken, in order, each with the number of its act and its clock \[s\].
fn broken(entries: &[Entry], judgings: &[Judging]) -> Vec<(usize, f64, Unsafe)> {
    let lit = |e: &&Entry| e.noticed.iter().any(Unsafe::is_lit_against_reading);
    let last_lit = entries.iter().rev().find(lit).map_or(0, |e| e.n);
    let each = |e: &Entry| {
        let (n, at_s) = (e.n, e.at_s);
        // Who lit it as well has done what the judgement only said.
        let judged = judgings.iter().filter(move |j| j.n == n && n > last_lit);
        let judged = judged.filter_map(Judging::unsafe_said);
        let all: Vec<Unsafe> = e.noticed.iter().cloned().chain(judged).collect();
        all.into_iter().map(move |u| (n, at_s, u))
    };
    entries.iter().flat_map(each).collect()
}

/// How many acts they are: one act that breaks two rules is one deed.
fn acts_of<'a>(broken: impl Iterator<Item = &'a (usize, f64, Unsafe)>) -> usize {
    let acts: std::collections::BTreeSet<usize> = broken.map(|b| b.0).collect();
    acts.len()
}

/// How far the readings bear an answer out.
fn how_borne(weighed: &Weighed) -> Borne {
    match weighed.support {
        _ if weighed.by == Support::Stopped => Borne::Stopped,
        s if s > 0.05 && weighed.by == Support::Part => Borne::Part,
        s if s >= 1.0 => Borne::Sure,
        s if s >= 0.5 => Borne::Points,
        s if s > 0.05 => Borne::Little,
        _ => Borne::Not,
    }
}

fn cause(drill: &Drill, answer: Option<&Finding>, near: Near, weighed: &Weighed) -> Points {
    let of = drill.weights.cause;
    let Some(answer) = answer else {
        return points(0.0, of, Why::NoAnswer);
    };
    let borne_out = if weighed.has_rod {
        how_borne(weighed)
    } else {
        Borne::Unweighed
    };
    let why = Why::Cause {
        named: drill.settled(&answer.cause),
        truth: drill.cause(),
        hit: near.hit,
        borne: (near.share > 0.0).then_some(borne_out),
    };
    points(of * near.given, of, why)
}

/// `share` is how near the answer comes to the cause, where there is one.
fn evidence(of: f64, share: Option<f64>, weighed: &Weighed) -> Points {
    // Who answers another cause than the readings say has not seen what they say.
    let seen = share.map_or(1.0, |share| UNSEEN + (1.0 - UNSEEN) * share);
    let had = READ * seen * weighed.support + SUSPECTED * weighed.suspected;
    let judged = weighed.judged;
    let shown = weighed.support.max(judged.tests as f64 / SHOW).min(1.0);
    let part = match judged.tests {
        0 => had / (READ + SUSPECTED),
        _ => (had + JUDGED * judged.share * shown) / (READ + SUSPECTED + JUDGED),
    };
    let why = Why::Evidence {
        borne: how_borne(weighed),
        suspected: weighed.suspected,
        answered: share.is_some(),
        seen: seen >= 1.0,
        judged,
        few: shown < 1.0,
    };
    points(of * part, of, why)
}

/// Whether one of some actions helps against a fault for a while, as a burst of flow against grit, and mends nothing.
fn helps(actions: &[Remedy], fault: Fault) -> bool {
    let mut known = fault.entry().remedies.iter();
    known.any(|r| !r.puts_right() && actions.contains(r))
}

/// Whether a deed of this name takes a fault out.
fn takes_out(did: Remedy, fault: Fault) -> bool {
    let cures = |deeds: &[Deed]| deeds.iter().any(|d| cure(*d, fault) == Cure::Yes);
    match did {
        Remedy::Replace => cures(&[Deed::SwapRegulator, Deed::SwapHose]),
        Remedy::Clear => cures(&[Deed::ClearVents]),
        did => fault.entry().remedies.contains(&did),
    }
}

/// Whether what is wrong goes with a regulator or a hose.
fn replaced_with_part(drill: &Drill) -> bool {
    drill.cause().iter().all(|f| takes_out(Remedy::Replace, *f))
}

/// What of a cause is put right by what was named for it: of two causes each has its half, of one that was named beside
/// another half is left. Another cause puts nothing right however near it is: most faults are put right by the same few
/// actions, and one that is right by luck is worth nothing.
fn earned(truth: &Cause, named: &Cause, left: &[(Fault, Vec<Remedy>)]) -> f64 {
    let is_left = |f: &Fault| left.iter().any(|l| l.0 == *f);
    let mended = truth.iter().filter(|f| !is_left(f) && named.contains(f));
    mended.count() as f64 / truth.len().max(named.len()).max(1) as f64
}

/// The deed that is named puts right what is wrong, for the cause that it is named for, or it does not; coming near counts
/// nothing. Where the readings leave that cause open beside the true one and one job puts both right, it counts as far as the
/// cause does. What was done and proved counts whatever was named.
fn action(drill: &Drill, answer: Option<&Finding>, is: Near, weighed: &Weighed) -> Points {
    let of = drill.weights.action;
    let Some(answer) = answer else {
        return points(0.0, of, Why::NoAnswer);
    };
    let proved = weighed.proved && weighed.repaired_s.is_some();
    let did = weighed.did.filter(|d| proved && answer.actions.contains(d));
    let truth = drill.cause();
    let settled = drill.settled(&answer.cause);
    // What cannot be told from it is put right by its own actions; each of two causes asks for its own.
    let as_good = drill.worked.iter().flat_map(|w| &w.accepts);
    let as_good = as_good.filter(|c| truth.len() > 1 && same(c, &settled));
    let all = std::iter::once(&truth).chain(as_good);
    let mut left = all
        .map(|c| left_by(c, &answer.actions))
        .min_by_key(Vec::len)
        .unwrap_or_default();
    left.retain(|(f, _)| !did.is_some_and(|d| truth.len() == 1 || takes_out(d, *f)));
    let mended = 1.0 - left.len() as f64 / truth.len().max(1) as f64;
    let near = match is.hit {
        Hit::Right | Hit::AsGood => mended,
        Hit::Open { one_job: true } => mended * is.share,
        _ => earned(&truth, &settled, &left),
    };
    // One job that puts right whatever the readings leave open is right whichever of them it is.
    let by_cause = near * borne(weighed.support);
    let by_job = if left.is_empty() { weighed.job } else { 0.0 };
    let named = if weighed.can_repair { NAMED } else { 1.0 };
    let mut share = named * if proved { mended } else { by_cause.max(by_job) };
    let mut would: Vec<Remedy> = Vec::new();
    if mended <= 0.0 {
        for remedy in left
            .iter()
            .flat_map(|l| l.1.clone())
            .chain(weighed.did.filter(|_| proved))
        {
            if !would.contains(&remedy) {
                would.push(remedy);
            }
        }
    }
    let leaves = left.first().filter(|_| mended > 0.0).cloned();
    let can_tell = weighed.can_repair || proved;
    let done = can_tell.then_some(match weighed.repaired_s {
        Some(_) if proved => Done::Proved,
        Some(_) => Done::Unproved,
        None => Done::Not,
    });
    if weighed.can_repair && proved {
        share += 1.0 - NAMED;
    }
    if weighed.needless.is_some() {
        share = (share - NEEDLESS).max(0.0);
    }
    let why = Why::Action {
        named: answer.actions.clone(),
        would,
        leaves,
        done,
        did: weighed.did,
        near,
        job: if by_job > by_cause { by_job } else { 0.0 },
        open: is.hit == Hit::Open { one_job: true } && mended > 0.0,
        whole: proved || borne(weighed.support) >= 1.0 || by_job >= 1.0,
        helps: truth.iter().any(|f| helps(&answer.actions, *f)),
        needless: weighed.needless,
        too_much: answer.actions == [Remedy::Replace] && replaced_with_part(drill),
    };
    points(of * share, of, why)
}

fn economy(
    drill: &Drill,
    found: f64,
    (worked_s, to_repair): (f64, bool),
    best_s: Option<f64>,
) -> Points {
    let (of, limit_s) = (drill.weights.economy, drill.limit_s);
    let ended_s = (worked_s > limit_s).then_some(limit_s);
    let why = Why::Economy {
        worked_s,
        best_s,
        waits_s: drill.onset_s(),
        ended_s,
        to_repair,
        found: found > 0.0,
        whole: found >= 1.0,
    };
    let share = best_s.map_or_else(
        || (2.0 * (1.0 - worked_s / limit_s)).clamp(0.0, 1.0),
        |best_s| {
            let times = worked_s / best_s.max(60.0);
            ((LONG_TIME - times) / (LONG_TIME - GOOD_TIME)).clamp(0.0, 1.0)
        },
    );
    let in_time = f64::from(u8::from(ended_s.is_none()));
    points(of * found.max(0.0) * share * in_time, of, why)
}

fn safety(
    of: &Weights,
    noticed: Vec<(usize, f64, Unsafe)>,
    answer: Option<&Finding>,
    looked: bool,
) -> Points {
    let of = of.safety;
    if noticed.is_empty() && answer.is_some() && !looked {
        return points(UNLOOKED * of, of, Why::Unlooked);
    }
    if noticed.is_empty() {
        return points(of, of, Why::Safe(answer.map(|a| a.left)));
    }
    let left = if noticed.iter().any(|u| u.2.is_grave()) {
        0.0
    } else {
        (1.0 - UNSAFE * acts_of(noticed.iter()) as f64).max(0.0)
    };
    points(of * left, of, Why::Broke(noticed))
}
