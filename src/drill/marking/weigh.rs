//! What an attempt is worth beyond its answer: how sure its readings make of the true cause, whether what the trainee
//! suspected followed from them, and whether a repair was made, tested and left safe. From the log and the drill's own
//! measuring rod alone, so the same attempt always weighs the same.

use super::course::{Course, change};
use super::job::{Jobs, strike_one_part};
use crate::drill::attempt::act::{Act, Finding, Left};
use crate::drill::attempt::judging::{Judging, judgeable, judgings};
use crate::drill::attempt::known::Known;
use crate::drill::attempt::log::Entry;
use crate::drill::attempt::read::reads_right;
use crate::drill::attempt::rig_of;
use crate::drill::attempt::safety::Unsafe;
use crate::drill::making::file::Drill;
use crate::drill::reasoning::assess::common_remedies;
use crate::drill::reasoning::causes::{Belief, Cause, Causes, SURE, not_told_apart};
use crate::fault::{Fault, Remedy};
use crate::visit::{self, Cure, Deed, ITEMS, Observation, Tool, cure};
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
        let (right, near) = (count(&|s| s >= 1.0), count(&|s| s > 0.0 && s < 1.0));
        // One word for everything is one step off nearly everywhere: of several it counts no more often than what is right.
        let counts = if made.len() > 1 {
            near.min(right)
        } else {
            near
        };
        let steps = made.iter().map(Judging::share).filter(|s| *s < 1.0);
        let most = steps.fold(0.0, f64::max);
        let points = right as f64 + most * counts as f64;
        Self {
            tests,
            right,
            near,
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

/// What bears an answer out.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Support {
    /// What was read of the cause.
    #[default]
    Cause,
    /// What was read of its part of the rig and of the job, which other faults share.
    Part,
    /// Gas blew out, and the container was shut: more could not be asked for.
    Stopped,
}

/// What readings are worth that tell the part and the job and not which of its faults (own: as what they leave open, where one job puts
/// both right).
const OF_PART: f64 = 0.75;
/// From so sure on a suspicion counts whole (own).
const FIRMLY: f64 = 0.5;

/// A suspicion follows from readings that raise its odds so much over what they were before anything was read (own); one that they merely do
/// not speak against is a guess.
const FOLLOWS: f64 = 1.5;

/// How far a belief has come from what was held before anything was read to [`SURE`], or to half of what was missing.
fn come_from(none: f64, held: f64) -> f64 {
    let bar = SURE.max(none + 0.5 * (1.0 - none));
    ((held - none) / (bar - none).max(f64::MIN_POSITIVE)).clamp(0.0, 1.0)
}

/// What an attempt weighs.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Weighed {
    /// How sure the readings made of what is right, 0 nothing read to 1 as sure as the best path makes: what was shown once stays
    /// shown, whatever a later test that was made rightly may say.
    pub support: f64,
    /// What bears it out where it is not the cause by itself.
    pub by: Support,
    /// How sure the readings made that what was answered to be done puts right what is wrong, whichever cause it is, 0 to 1.
    pub job: f64,
    /// How much of the belief in the likeliest right cause the readings leave to the one that was answered, 0 to 1; none where
    /// they tell it from that, or where it is none that the drill weighs by.
    pub open: f64,
    /// How far a suspicion was noted that the readings by then did not speak against, 0 to 1: by how sure it was said.
    pub suspected: f64,
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
    /// A part that was replaced though nothing that is wrong, or that cannot be told from it, goes with it.
    pub needless: Option<Deed>,
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
        needless: acts.iter().find_map(|a| needless(drill, &a.0)),
        ..Weighed::default()
    };
    out.judged = Tally::of(&judgings(entries, &rig), judgeable(entries));
    let worked = drill.worked.as_ref();
    if let Some((causes, worked)) = rod_of(drill).as_ref().zip(worked) {
        let rod = Held::of(drill, causes, &worked.accepts, answer);
        let end = by_rod(&mut out, &acts, repaired, &rod);
        if stopped(drill, &acts, answer) {
            rod.stopped(&end, &mut out);
        }
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

/// The causes that an attempt at a drill is weighed by; none where it was sealed without a rod.
pub fn rod_of(drill: &Drill) -> Option<Causes> {
    let rod = drill.worked.as_ref()?.rod.as_ref()?;
    rod.causes(&drill.scenario, drill.cause().len())
}

/// Whether gas was known to blow out and the container was shut for it, with nothing tested beside it that wants gas.
fn stopped(drill: &Drill, acts: &[(Act, &Entry)], answer: Option<&Finding>) -> bool {
    let mut known = Known::of(drill);
    let (mut blew, mut shut) = (false, answer.is_some_and(|a| a.left == Left::ShutOff));
    for (act, entry) in acts {
        let read: Vec<_> = entry.observations().copied().collect();
        known.learn(act, &entry.told, (&read, entry.end_s));
        blew |= known.blows_out();
        shut |= blew && !known.must_shut();
        if entry.noticed.contains(&Unsafe::LeftBlowing) {
            return false;
        }
    }
    blew && shut
}

/// The causes of a rod that an answer is held against.
struct Held<'a> {
    causes: &'a Causes,
    truth: (Cause, f64),
    /// What counts as right.
    right: Vec<usize>,
    /// What strikes its part of the rig and is put right by the same, the right ones among them.
    part: Vec<usize>,
    /// What the answer's actions put right where they are done, where they put right what is wrong, and do so there for what is named.
    job: Vec<usize>,
}

impl<'a> Held<'a> {
    fn of(drill: &Drill, causes: &'a Causes, accepts: &[Cause], answer: Option<&Finding>) -> Self {
        let truth = drill.cause();
        let rig = &drill.scenario.rig;
        let severity = drill.faults.first().map_or(0.0, |h| h.severity);
        let right: Vec<usize> = accepts.iter().filter_map(|c| causes.find(c)).collect();
        let is_of_part = |c: &Cause| match (&truth[..], &c[..]) {
            (&[own], &[other]) => {
                let near =
                    own.entry().family == other.entry().family || strike_one_part(rig, own, other);
                near && !common_remedies(&[truth.clone(), c.clone()]).is_empty()
            }
            _ => false,
        };
        let all = || 0..causes.count();
        let part = all().filter(|c| right.contains(c) || is_of_part(&causes.cause(*c)));
        let jobs = answer.and_then(|a| {
            let by_named = Jobs::of(rig, &drill.settled(&a.cause), &a.actions);
            // The same whichever cause it was named for, so the right one has no less than another.
            let own = || Jobs::of(rig, &truth, &a.actions);
            by_named.mend(&truth).then(own)
        });
        let mends = |c: &Cause| jobs.as_ref().is_some_and(|j| j.mend(c));
        let job = all().filter(|c| mends(&causes.cause(*c)));
        Self {
            part: part.collect(),
            job: job.collect(),
            truth: (truth.clone(), severity),
            right,
            causes,
        }
    }

    /// Gas that blew out ended it: what was read by then is all that could be asked for.
    fn stopped(&self, end: &Belief, out: &mut Weighed) {
        let ranked = end.ranked();
        let open = not_told_apart(&ranked);
        let holds = |some: &[usize]| open.iter().any(|o| some.contains(&o.0));
        if holds(&self.right) && out.support < 1.0 {
            (out.support, out.by) = (1.0, Support::Stopped);
        }
        if !self.job.is_empty() && open.iter().all(|o| self.job.contains(&o.0)) {
            out.job = 1.0;
        }
    }
}

fn by_rod(
    out: &mut Weighed,
    acts: &[(Act, &Entry)],
    repaired: Option<Repair>,
    held: &Held<'_>,
) -> Belief {
    out.has_rod = true;
    let causes = held.causes;
    let mut course = Course::new(causes);
    let before = course.belief();
    let share = |b: &Belief, of: &[usize]| come_from(before.in_any(of), b.in_any(of));
    let (mut cures, mut part) = (0, 0.0_f64);
    let mut noted: Vec<(Cause, f64)> = Vec::new();
    // What was believed before the newest reading: what follows only since then was told by that.
    let mut earlier = before.clone();
    for (n, (act, entry)) in acts.iter().enumerate() {
        match act {
            Act::Note(cause, sure) => noted.push((cause.clone(), *sure)),
            // What was noted counts once something was done about it; of what was noted at once the surest.
            Act::Do(_) => {
                let now = course.belief();
                let follows = suspected(causes, (&before, &now), &noted);
                out.suspected = out.suspected.max(follows);
                noted.clear();
                if entry.observations().next().is_some() {
                    earlier = now;
                }
            }
            // At once after the test that told it there is nothing left to be done.
            Act::Answer(_) => {
                let follows = suspected(causes, (&before, &course.belief()), &noted);
                if suspected(causes, (&before, &earlier), &noted) <= 0.0 {
                    out.suspected = out.suspected.max(follows);
                }
                noted.clear();
            }
            _ => {}
        }
        course.take(act, entry);
        if repaired.is_some_and(|r| n <= r.at) {
            cures += usize::from(change(act).is_some());
        }
        if entry.observations().next().is_none() {
            continue;
        }
        // What a repair showed can only make surer.
        for belief in [causes.belief(course.met()), course.belief()] {
            out.support = out.support.max(share(&belief, &held.right));
            part = part.max(share(&belief, &held.part));
            if !held.job.is_empty() {
                out.job = out.job.max(share(&belief, &held.job));
            }
        }
    }
    let own = |b: &Belief| share(b, &held.right);
    out.support = out.support.max(at_best(causes, acts, &own));
    if OF_PART * part > out.support {
        (out.support, out.by) = (OF_PART * part, Support::Part);
    }
    let (met, all) = (causes.belief(course.met()), course.belief());
    if repaired.is_some() {
        let (truth, severity) = &held.truth;
        out.proved = course.healed((truth, *severity), cures) >= PROVES;
    }
    if share(&met, &held.right) > share(&all, &held.right) {
        met
    } else {
        all
    }
}

/// What the readings of the rig as it was met show at their best: one that makes another likelier is left out as long as that helps, so
/// whoever made a test more, before or after, has shown no less.
fn at_best(causes: &Causes, acts: &[(Act, &Entry)], share: &dyn Fn(&Belief) -> f64) -> f64 {
    let all = acts.iter().map(|a| &a.1.found[..]);
    let mut kept: Vec<_> = all.filter(|found| !found.is_empty()).collect();
    let shows = |kept: &[&[Observation]]| {
        let mut known = [None; ITEMS];
        for o in kept.iter().copied().flatten() {
            known[o.item.index()] = Some(o.value);
        }
        share(&causes.belief(&known))
    };
    let mut best = shows(&kept);
    while kept.len() > 1 && best < 1.0 {
        let without = (0..kept.len()).map(|n| {
            let mut some = kept.clone();
            some.remove(n);
            (n, shows(&some))
        });
        let Some((n, more)) = without.max_by(|a, b| a.1.total_cmp(&b.1)) else {
            break;
        };
        if more <= best {
            break;
        }
        kept.remove(n);
        best = more;
    }
    best
}

/// How far some suspicions that were noted at once follow from what was read: by the surest of them, the last of two that are as sure.
fn suspected(causes: &Causes, (before, now): (&Belief, &Belief), noted: &[(Cause, f64)]) -> f64 {
    let surest = noted.iter().max_by(|a, b| a.1.total_cmp(&b.1));
    let speak = |cause: &Cause| {
        let of_it = holding(causes, cause);
        let odds = |belief: &Belief| {
            let held = belief.in_any(&of_it);
            held / (1.0 - held).max(f64::MIN_POSITIVE)
        };
        odds(now) > 0.0 && odds(now) >= FOLLOWS * odds(before)
    };
    match surest {
        Some((cause, sure)) if speak(cause) && agrees(causes, now, cause) => {
            (sure / FIRMLY).clamp(0.0, 1.0)
        }
        _ => 0.0,
    }
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

/// The causes that are this one, or hold all of it.
fn holding(causes: &Causes, cause: &Cause) -> Vec<usize> {
    let place = causes.find(cause);
    let holds = |c: &usize| {
        let of_it = causes.cause(*c);
        Some(*c) == place || (!cause.is_empty() && cause.iter().all(|f| of_it.contains(f)))
    };
    (0..causes.count()).filter(holds).collect()
}

/// Whether a cause is among those that are not told apart from the likeliest.
fn agrees(causes: &Causes, belief: &Belief, cause: &Cause) -> bool {
    let ranked = belief.ranked();
    let held_by = holding(causes, cause);
    not_told_apart(&ranked)
        .iter()
        .any(|(c, _)| held_by.contains(c))
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

/// A new part that nothing asks for that is wrong or counts as right.
fn needless(drill: &Drill, act: &Act) -> Option<Deed> {
    let part = deed_of(act).filter(|d| matches!(d, Deed::SwapHose | Deed::SwapRegulator))?;
    let accepts = drill.worked.iter().flat_map(|w| w.accepts.iter().flatten());
    let truth = drill.cause();
    let mut asks = accepts.chain(&truth).map(|f| cure(part, *f));
    (!asks.any(|c| c == Cure::Yes)).then_some(part)
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
                // A deed does it at the end of its work.
                entry.end_s >= there_s && cures == Some(wanted)
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
