//! The debrief: the trainee's suspicion beside the belief computed from the same readings after every act, the shortest
//! path as seen afterwards, and what looked alike.

use super::course::{Course, change};
use super::grade::{Grade, counts_as_right, grade};
use super::weigh::rod_of;
use crate::diagnosis::inference::next::Offer;
use crate::drill::attempt::act::{Act, Finding};
use crate::drill::attempt::log::Entry;
use crate::drill::attempt::path::path_of;
use crate::drill::attempt::rig_of;
use crate::drill::attempt::way::{ENOUGH, May, offer_of};
use crate::drill::making::file::{Drill, Worked};
use crate::drill::reasoning::assess::causes_for;
use crate::drill::reasoning::causes::obvious;
use crate::drill::reasoning::causes::{Belief, Cause, Causes, Path, SURE, not_told_apart};
use crate::fault::Idle;
use crate::rig::Rig;
use crate::visit::{self, ALL, ITEMS, Id, Test, Values};

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
    /// How many causes were open before the act, and are after it: two to the entropy, and no fewer than are not told apart.
    pub open_before: f64,
    /// The same after it.
    pub open: f64,
    /// Whether it was a look at the rig as it was met.
    pub is_look: bool,
    /// The test that promised most a minute before it, if any did, and how many causes it would have left open.
    pub could: Option<(Test, f64)>,
    /// Belief in the true cause and what cannot be told from it.
    pub truth: f64,
    /// Whether the container is to be shut now, before any test: gas is known to blow out.
    pub shuts: bool,
    /// The test that would have been best now, where something was read that is not sure yet.
    pub best_next: Option<Test>,
}

/// Another cause that still looked alike after the obvious steps, or does by the catalogue.
#[derive(Debug, Clone, PartialEq)]
pub struct LookAlike {
    /// The cause.
    pub cause: Cause,
    /// Its belief then.
    pub belief: f64,
    /// The test that tells it apart best, if one does.
    pub test: Option<Test>,
    /// Whether that is one of the obvious steps, so that it was told apart by then.
    pub already: bool,
    /// The item of it, and what that shows here, SI.
    pub here: Option<(Id, f64)>,
    /// Whether that was read in this attempt; else it is what a whole visit to this rig would have read.
    pub read: bool,
    /// What it would have shown, from mild to bad, SI.
    pub there: Vec<f64>,
    /// From which severity on that holds, where a milder one may show what this rig does.
    pub from: Option<f64>,
    /// Why it shows nothing on this rig, where it does not.
    pub idle: Option<Idle>,
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
    pub best: Vec<(Test, f64)>,
    /// Minutes of each of its steps.
    pub best_took: Vec<f64>,
    /// The act by which this attempt was as sure in no more minutes and with nothing unsafe, and how long it took: then there
    /// is no shorter path.
    pub sooner: Option<(usize, f64)>,
    /// What looked alike.
    pub look_alikes: Vec<LookAlike>,
}

/// A cause that the catalogue does not name as a look-alike is told as one where after the obvious steps as much is believed of it
/// (own: less is what any rare cause has).
const ALIKE: f64 = 0.1;
/// How many causes a debrief ranks.
const RANKED: usize = 4;

/// Replays an attempt's readings against what every cause would show on its rig.
///
/// # Errors
/// What stopped the run of the true rig, in words.
pub fn debrief(
    drill: &Drill,
    causes: &Causes,
    entries: &[Entry],
    answer: Option<&Finding>,
) -> Result<Debrief, String> {
    let rig = rig_of(drill).rig;
    let offer = offer_of(drill);
    let values = causes.truth(&drill.causes())?;
    let cause = drill.cause();
    let all = causes_for(causes, &offer, &cause, &values);
    // What attempts are weighed by is what is told of them: one number.
    let rod = rod_of(drill);
    let causes = rod.as_ref().unwrap_or(&all);
    let accepts = drill
        .worked
        .as_ref()
        .map_or_else(|| vec![cause.clone()], |w: &Worked| w.accepts.clone());
    let places =
        |causes: &Causes| -> Vec<usize> { accepts.iter().filter_map(|c| causes.find(c)).collect() };
    let right = places(causes);
    let best = path_of(drill, causes, &right, &mut |_| {})?;
    let path: Vec<Test> = best.steps.iter().map(|s| s.0).collect();
    let of = (drill, &rig, &path[..]);
    let steps = steps(causes, &offer, (entries, &values), &right, of);
    Ok(Debrief {
        grade: grade(drill, entries, answer),
        look_alikes: look_alikes(&all, (&offer, drill), (entries, &values), &places(&all)),
        sooner: sooner(&steps, &best, drill.onset_s()),
        best: best.steps,
        best_took: best.took,
        steps,
        accepts: accepts
            .into_iter()
            .filter(|c| *c == cause || counts_as_right(drill, c))
            .collect(),
        cause,
    })
}

/// A path that is longer by so little is none that is longer \[min\].
const AS_LONG_MIN: f64 = 0.05;

/// The act by which some steps were as sure as a path, or as sure as it asks for, in no more minutes, with nothing unsafe until then.
fn sooner(steps: &[Step], path: &Path, onset_s: f64) -> Option<(usize, f64)> {
    let enough = path.steps.last()?.1.min(SURE);
    let at = steps.iter().position(|s| s.truth >= enough)?;
    let minutes = (steps[at].entry.end_s - onset_s) / 60.0;
    let is_safe = steps[..=at].iter().all(|s| s.entry.noticed.is_empty());
    (is_safe && minutes <= path.minutes + AS_LONG_MIN).then_some((steps[at].entry.n, minutes))
}

/// Whether the readings are sure: as sure of what is right as a path has to be, or so sure of anything that whoever does not know
/// what is right would stop.
fn is_sure(belief: &Belief, right: &[usize]) -> bool {
    belief.in_any(right) >= SURE || belief.ranked()[0].1 >= ENOUGH
}

fn steps(
    causes: &Causes,
    offer: &Offer,
    (entries, values): (&[Entry], &Values),
    right: &[usize],
    (drill, rig, path): (&Drill, &Rig, &[Test]),
) -> Vec<Step> {
    let mut course = Course::new(causes);
    let (mut belief, mut suspicion) = (course.belief(), None);
    let best = |course: &Course<'_>, done: usize| {
        let may = May::after(drill, course, &entries[..done], rig);
        // Once it is sure nothing more is asked for.
        if is_sure(&course.belief(), right) {
            return (None, may.shuts_first());
        }
        let mut left = not_made(offer, &entries[..done], rig);
        left.retain(|t| !may.refuses(t));
        let test = may.next_on(path, causes, course, &left);
        (test, may.shuts_first())
    };
    let (mut next, mut shuts) = best(&course, 0);
    let mut out = Vec::new();
    for (n, entry) in entries.iter().enumerate() {
        let open_before = still_open(&belief);
        let (mut could, mut is_look, mut turns) = (None, false, false);
        match Act::parse(&entry.act, rig) {
            Ok(Act::Note(cause, sure)) => suspicion = Some((cause, sure)),
            Ok(act @ Act::Do(_)) => {
                // What is at hand tells something else once the rig is another.
                is_look = act.is_a_look() && !course.is_changed();
                could = next
                    .filter(|_| is_look)
                    .map(|t| (t, left_open(causes, offer, course.met(), t, values)));
                course.take(&act, entry);
                turns = act.turns_a_container();
            }
            _ => {}
        }
        let is_told = entry.observations().next().is_some();
        if is_told {
            belief = course.belief();
        }
        // What wants gas waits for it, so the next is another once the container was shut.
        if is_told || turns {
            (next, shuts) = best(&course, n + 1);
        }
        let ranked = belief.ranked();
        let named = |some: &[(usize, f64)]| -> Vec<(Cause, f64)> {
            some.iter().map(|(c, p)| (causes.cause(*c), *p)).collect()
        };
        out.push(Step {
            entry: entry.clone(),
            suspicion: suspicion.clone(),
            belief: named(&ranked[..ranked.len().min(RANKED)]),
            alike: named(not_told_apart(&ranked)),
            open_before,
            open: still_open(&belief),
            is_look,
            could,
            truth: belief.in_any(right),
            shuts: shuts && is_told,
            best_next: next.filter(|_| is_told),
        });
    }
    out
}

/// What of an offer was not made since the rig was last changed: the same test again tells nothing new.
fn not_made(offer: &Offer, entries: &[Entry], rig: &Rig) -> Offer {
    let mut left = offer.clone();
    let acts = entries
        .iter()
        .rev()
        .filter_map(|e| Act::parse(&e.act, rig).ok());
    for act in acts.take_while(|a| change(a).is_none()) {
        if let Act::Do(visit::Act::Test(made)) = act {
            left.retain(|t| t != made);
        }
    }
    left
}

/// How many causes a test would have left open on this rig, after what is known.
fn left_open(causes: &Causes, offer: &Offer, known: &Values, test: Test, values: &Values) -> f64 {
    let mut more = *known;
    for &i in offer.items(test) {
        more[i] = more[i].or(values[i]);
    }
    still_open(&causes.belief(&more))
}

/// How many causes a belief leaves open: two to the entropy, and no fewer than are not told apart.
fn still_open(belief: &Belief) -> f64 {
    let ranked = belief.ranked();
    let alike = not_told_apart(&ranked).len() as f64;
    belief.bits().exp2().max(alike)
}

fn look_alikes(
    causes: &Causes,
    (offer, drill): (&Offer, &Drill),
    (entries, values): (&[Entry], &Values),
    right: &[usize],
) -> Vec<LookAlike> {
    let read = |id: Id| {
        let found = entries.iter().flat_map(|e| &e.found).rev();
        found.into_iter().find(|o| o.item == id).map(|o| o.value)
    };
    let known = obvious(offer, values);
    let ranked = causes.belief(&known).ranked();
    let coldest_k = drill.scenario.coldest_air_k();
    let idle = |c: usize| match causes.cause(c)[..] {
        [fault] if !causes.shows_at_all(c) => fault.idle_in(&drill.scenario.rig, 1.0, coldest_k),
        _ => None,
    };
    // What shows nothing on this rig looks like nothing; it is told where a reason is known.
    let worth = |(c, p): &(usize, f64)| {
        let may = *p > ALIKE || listed(causes, *c, right);
        may && !right.contains(c) && (causes.shows_at_all(*c) || idle(*c).is_some())
    };
    let some = ranked.into_iter().filter(worth).take(RANKED);
    some.map(|(cause, belief)| {
        let unread = [None; ITEMS];
        let told = |known: &Values, of: &Values| {
            let shows = causes.shows_at_all(cause);
            shows.then(|| tells_apart(causes, offer, (known, of), cause, right))?
        };
        // What the obvious steps read is theirs to tell; what they left open the rest may.
        let mut later = *values;
        for (later, first) in later.iter_mut().zip(&known) {
            *later = later.filter(|_| first.is_none());
        }
        let by_then = told(&unread, &known).filter(|_| belief < ALIKE);
        let apart = by_then.or_else(|| told(&known, &later));
        LookAlike {
            cause: causes.cause(cause),
            belief,
            already: by_then.is_some(),
            test: apart.as_ref().map(|a| a.test),
            here: apart
                .as_ref()
                .map(|a| (a.item, read(a.item).unwrap_or(a.here))),
            read: apart.as_ref().is_some_and(|a| read(a.item).is_some()),
            there: apart
                .as_ref()
                .map_or_else(Vec::new, |a| causes.shows(cause, a.item)),
            from: apart
                .filter(|a| !a.always)
                .and_then(|_| causes.mildest(cause)),
            idle: idle(cause),
        }
    })
    .collect()
}

/// Whether the catalogue names a cause among those that look like a right one.
fn listed(causes: &Causes, cause: usize, right: &[usize]) -> bool {
    let [fault] = causes.cause(cause)[..] else {
        return false;
    };
    let mut all = right.iter().flat_map(|c| causes.cause(*c));
    all.any(|f| f.entry().look_alikes.contains(&fault.id()))
}

/// What holds at every severity goes before what is stronger from this much on, as a logarithm: ten to one (own).
const FIRM: f64 = 2.3;

/// What tells a cause apart.
#[derive(Debug, Clone, Copy)]
struct Apart {
    test: Test,
    item: Id,
    /// What it shows here.
    here: f64,
    /// Whether no severity of the other would show that.
    always: bool,
}

/// The item of some readings here that speaks against a cause and for the true one beside what is known, with its test: of those that
/// do so firmly however mild the cause is the one that takes least to read; else the one that speaks most.
fn tells_apart(
    causes: &Causes,
    offer: &Offer,
    (known, values): (&Values, &Values),
    cause: usize,
    right: &[usize],
) -> Option<Apart> {
    let odds = |known: &Values| -> f64 {
        let belief = causes.belief(known);
        belief.in_any(right).max(1e-12).ln() - belief.0[cause].max(1e-12).ln()
    };
    let start = odds(known);
    let items = offer
        .tests()
        .flat_map(|t| offer.items(t).iter().map(move |i| (t, *i)));
    let told = items.filter_map(|(test, i)| {
        let here = values[i]?;
        let mut more = *known;
        more[i] = Some(here);
        let item = ALL[i].id;
        let always = !causes.may_show(cause, item, here);
        let apart = Apart {
            test,
            item,
            here,
            always,
        };
        Some((apart, odds(&more) - start))
    });
    let firm = |(apart, odds): &(Apart, f64)| apart.always && *odds > FIRM;
    // Of what is firm the test that takes least, and what says most in it; else what says most.
    let cheap = |(apart, _): &(Apart, f64)| -offer.minutes(apart.test);
    told.filter(|(_, odds)| *odds > 1.0)
        .max_by(|a, b| {
            let by_minutes = if firm(a) && firm(b) {
                cheap(a).total_cmp(&cheap(b))
            } else {
                firm(a).cmp(&firm(b))
            };
            by_minutes.then(a.1.total_cmp(&b.1))
        })
        .map(|(apart, _)| apart)
}
