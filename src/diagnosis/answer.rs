//! The answer: causes with their probabilities, what each foretells beside what was read, what to
//! do, and what to measure next. Plain data, serialised as it stands (`twostage diagnose --json`).

use super::advice::{self, Advice};
use super::files::cause::{cause_id, cause_name};
use super::files::prior::{self, Origin};
use super::files::readings::{Readings, Yellow};
use super::foretold::{self, Foretelling, foretell, predictions};
use super::inference::alike;
use super::inference::conditional::Conditionals;
use super::inference::evidence::Evidence;
use super::inference::hangs;
use super::inference::isolate::Groups;
use super::inference::model::{HIDES, Model};
use super::inference::next::{self, NextTest, Offer};
use super::inference::posterior::Posterior;
use super::inference::safety::{self, Danger, NoGas};
use super::inference::tuning::KNOWN_ROUNDS;
use super::lock_up;
pub use super::parts::{Alone, Pair, Prediction};
use super::remarks;
use super::starved::Starved;
use super::weighed::{Weighed, tells_nothing};
use crate::fault::Fault;
use crate::rig::Rig;
use crate::service::LIMITS;
use crate::units::System;
use crate::visit::item::BUBBLES;
use crate::visit::{self, ALL, ITEMS, Id, Judged, NUMBERS, Scale, Test, Values, Verdict};
use serde::Serialize;

/// Version of the shape of [`Answer`].
pub const VERSION: u32 = 3;
/// Causes are listed down to this probability, but no more than so many.
const LEAST: f64 = 0.01;
const MOST: usize = 12;
/// Groups are listed until they hold this much of the belief, however many they are.
const LISTED: f64 = 0.95;

/// One cause.
#[derive(Debug, Clone, Serialize)]
pub struct Cause {
    /// The faults: none for a healthy rig, two for a pair.
    pub faults: Vec<Fault>,
    /// Name in files, `healthy` for none.
    pub id: String,
    /// Name for people.
    pub name: String,
    /// Probability.
    pub probability: f64,
    /// Prior probability.
    pub prior: f64,
    /// Where the prior comes from.
    pub prior_grade: Origin,
    /// Severity, 0 to 1: mean and deviation.
    pub severity: Option<[f64; 2]>,
    /// What that severity means, in SI.
    pub meaning: String,
    /// Every item as this cause foretells it.
    pub readings: Vec<Prediction>,
    /// What to do.
    pub action: Advice,
    /// The test that tells it from its look-alikes.
    pub told_apart: &'static str,
    /// The caution that belongs to it.
    pub caution: &'static str,
}

/// What an eye, ear or nose noted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Look {
    /// Index in [`ALL`].
    #[serde(skip)]
    pub item: usize,
    /// Table of the readings file.
    pub table: &'static str,
    /// Key in it.
    pub key: &'static str,
    /// Index of the word.
    pub seen: usize,
}

impl Look {
    fn of(item: usize, seen: usize) -> Self {
        Self {
            item,
            table: ALL[item].table,
            key: ALL[item].key,
            seen,
        }
    }

    fn at(item: usize, evidence: &Evidence) -> Option<Self> {
        let &(item, seen) = evidence.words.iter().find(|w| w.0 == item)?;
        Some(Self::of(item, seen))
    }

    /// Every word that was noted.
    fn all(values: &Values) -> impl Iterator<Item = Self> {
        let words = (NUMBERS..ITEMS).filter_map(|i| Some((i, values[i]?)));
        words.map(|(item, word)| Self::of(item, word as usize))
    }
}

/// Causes that no test can tell apart, with the probability of all of them.
#[derive(Debug, Clone, Serialize)]
pub struct Group {
    /// Names of the causes in files.
    pub causes: Vec<String>,
    /// Name for people.
    pub name: String,
    /// Probability.
    pub probability: f64,
    /// Whether they are one group on this rig only: at the severities that the readings leave, no test made or
    /// on offer would tell them apart, though at others one does.
    pub here: bool,
}

/// The answer.
#[derive(Debug, Clone, Serialize)]
pub struct Answer {
    /// Version of this shape.
    pub version: u32,
    /// Title of the readings.
    pub title: String,
    /// Causes, likeliest first.
    pub causes: Vec<Cause>,
    /// Groups, likeliest first.
    pub groups: Vec<Group>,
    /// Pairs of faults, looked at where no single cause explains the readings.
    pub pairs: Vec<Pair>,
    /// Probability that none of these explains the readings.
    pub none_of_these: f64,
    /// Whether too few visits stand behind it for more than a first look: nothing is called unexplained then.
    pub is_first_look: bool,
    /// Distance of the nearest kernel per number, in squared deviations: about 1 for a good fit.
    pub misfit: f64,
    /// What the nearest single cause leaves over when it is looked at closer, in squared deviations a reading: about 1
    /// for a true cause. None where the first pass left nothing open.
    pub left_over: Option<f64>,
    /// Looks that the likeliest causes hang on: without any one of them others would be the likeliest.
    pub hangs_on: Vec<Look>,
    /// The one number without which nothing wrong, or one fault fewer, would be the likeliest.
    pub rests_on: Option<Alone>,
    /// Looks that show a cause by themselves, whatever else is there.
    pub seen: Vec<Look>,
    /// Tests worth making next, best first.
    pub next_tests: Vec<NextTest>,
    /// Why there was no gas to read anything with, where there was none.
    pub no_gas: Option<NoGas>,
    /// What the regulator had before it, where that was too little for it.
    pub starved: Option<Starved>,
    /// Words that no visit of the library shows, so that they weigh nothing.
    pub unknown: Vec<Look>,
    /// Whether the leak check lost a little, within its limit.
    pub loses_little: bool,
    /// Where the leak check began, where that was far from what it should be \[Pa\].
    pub began_off_pa: Option<f64>,
    /// Whether flames are yellow, and at what pressure.
    pub yellow: Option<Yellow>,
    /// Whether the leak check gained more than its limit.
    pub gains: bool,
    /// Whether the first stage stands at rest over what it may reach there, and not over it while gas flows.
    pub first_climbs: bool,
    /// Readings that contradict each other, though no law forbids them.
    pub odd: Vec<remarks::Odd>,
    /// How the readings stand to the bench's limits, where flow pressure and lock-up are among them.
    pub verdict: Option<Verdict>,
    /// What single readings say together.
    pub facts: remarks::Facts,
    /// The appliance that a pressure was taken to be read at, where none was named: the largest.
    pub taken_at: Option<String>,
    /// The one appliance whose inlet was taken for the manifold's, where the line to it drops more than its limit.
    pub drop_to: Option<String>,
    /// What is lost on the branch of one appliance, beside the manifold's own reading.
    pub branch: Option<remarks::Branch>,
    /// Numbers that fail the bench's limits, what is dangerous first, and then what was seen or heard that fails by itself; with the
    /// tests that fail by them.
    pub fails: Vec<(Test, Judged)>,
    /// Those that are allowed and have to be watched.
    pub watched: Vec<(Test, Judged)>,
    /// How much may still be done.
    pub danger: Danger,
    /// Why; empty where nothing is dangerous.
    pub refer: Vec<safety::Reason>,
    /// Faults that hide: no test in the set shows them.
    pub hidden: Vec<String>,
    /// Visits of the library the answer rests on.
    pub samples: usize,
    /// Samples of each fault in it.
    pub rounds: usize,
}

impl Cause {
    /// What its severity means to a person who reads these units.
    pub fn worth(&self, units: System) -> String {
        let severity = self.severity.filter(|_| self.faults.len() == 1);
        severity.map_or_else(
            || self.meaning.clone(),
            |[mean, _]| (self.faults[0].entry().meaning)(mean, units),
        )
    }
}

impl Answer {
    /// Marks what was not read as it stands in the answer.
    pub(super) fn beside(mut self, typed: &Readings, rig: &Rig) -> Self {
        for reading in self.causes.iter_mut().flat_map(|c| &mut c.readings) {
            reading.is_brought = reading.measured != typed.values[reading.item];
            reading.is_over = typed.over[reading.item];
        }
        let unnamed = typed.beside.appliances.iter().find(|a| a.name.is_none());
        self.taken_at = unnamed.and_then(|a| Some(a.at(rig)?.name.clone()));
        self.drop_to = remarks::drop_to(typed, rig, &self.fails);
        self.branch = remarks::Branch::of(typed, rig);
        if let Some(branch) = &self.branch {
            self.verdict = self.verdict.map(|v| v.max(branch.verdict()));
            for c in self
                .causes
                .iter_mut()
                .filter(|c| c.action == Advice::Nothing)
            {
                c.action = Advice::LookInto;
            }
        }
        self
    }

    /// Whether none of the causes explains the readings.
    pub fn is_unnamed(&self) -> bool {
        self.none_of_these > UNNAMED
    }

    /// Groups worth a word that are one on this rig only.
    pub fn alike_here(&self) -> impl Iterator<Item = &Group> {
        self.groups
            .iter()
            .filter(|g| g.here && g.probability >= 0.05)
    }
}

/// Belief in none of the causes from which on none of them stands first.
pub(super) const UNNAMED: f64 = 0.5;

/// Whether a look is one for gas: what that showed is gas until leak fluid shows none, and is never set aside.
fn tells_gas(item: usize) -> bool {
    matches!(ALL[item].kind, Scale::Words(words) if words == BUBBLES)
        || matches!(ALL[item].id, Id::SoundFlowing | Id::SoundRest)
}

/// Answers from a model.
pub fn answer(
    model: &Model,
    groups: &Groups,
    readings: &Readings,
    weighed: &Weighed,
    rounds: usize,
) -> Answer {
    let Weighed {
        evidence, weights, ..
    } = weighed;
    let p = &weighed.posterior.with_unlisted(model);
    let is_first_look = rounds < KNOWN_ROUNDS;
    let mut order: Vec<usize> = (0..model.causes.len()).collect();
    order.sort_by(|&a, &b| p.causes[b].total_cmp(&p.causes[a]));
    let listed: Vec<usize> = order
        .iter()
        .copied()
        .take(MOST)
        .enumerate()
        .filter(|&(k, c)| k < 3 || p.causes[c] >= LEAST)
        .map(|(_, c)| c)
        .collect();
    let conditionals = Conditionals::new(model, evidence);
    let mut foretold: Vec<Foretelling> = listed
        .iter()
        .map(|&c| foretell(model, p, &conditionals, c))
        .collect();
    // Where each cause listed lets gas out and nobody has looked.
    let escapes: Vec<Vec<usize>> = foretold
        .iter()
        .map(|f| foretold::gas_unseen(model, f, &readings.values))
        .collect();
    let is_likely = |(c, _): &(&usize, &Vec<usize>)| p.causes[**c] >= remarks::LIKELY_ENOUGH;
    let of_likely = listed.iter().zip(&escapes).filter(is_likely);
    let may_escape: Vec<usize> = of_likely.flat_map(|(_, places)| places.clone()).collect();
    let (mut danger, mut refer) = safety::of_readings(readings);
    let mut stop = |reason: safety::Reason| {
        danger = danger.max(Danger::NoFlame);
        refer.push(reason);
    };
    let of_causes = listed.iter().zip(&foretold);
    let of_causes = of_causes.map(|(&c, f)| {
        let off = move |id: Id| f.off(readings, id.index());
        (p.causes[c], off)
    });
    if let Some(id) = lock_up::unexplained(&readings.at_least(), of_causes, &weighed.pairs, p.none)
    {
        stop(safety::Reason::Unexplained(id));
    }
    if let Some(reason) = remarks::gas_expected(model, p, &readings.values) {
        stop(reason);
    }
    let judged = readings.at_least();
    let verdict = visit::of_readings(&judged);
    let come_out = |verdict| visit::that_come_out(verdict, &judged);
    let (mut fails, watched) = (come_out(Verdict::Fail), come_out(Verdict::Caution));
    fails.extend(visit::looks_that_fail(&judged));
    let worst = [&fails, &watched].into_iter().flatten();
    let known = advice::Known {
        danger,
        holds: verdict == Some(Verdict::Pass),
        worst: worst.map(|w| w.1.verdict).max().unwrap_or(Verdict::Pass),
        is_proved: remarks::is_proved(&readings.values) && may_escape.is_empty(),
    };
    let items = alike::on_offer(&readings.values, danger);
    let joined = alike::joined(model, groups, p, &items);
    let mut next_tests = next::rank(
        model,
        &joined,
        &readings.values,
        evidence,
        p,
        &Offer::safe(danger),
    );
    let starved = Starved::of(&readings.values);
    // Under a stop for what was found that comes first.
    let is_found = refer.iter().any(|why| !why.is_only_expected());
    let sought = if is_found { &[][..] } else { &may_escape[..] };
    let asked = remarks::asked_for(readings, starved.as_ref(), sought);
    next::put_first(&mut next_tests, &asked, &readings.values, danger);
    // Causes of one group say the same: what they are held against is the likeliest outside it.
    let outside = |c: &&usize| joined.of[**c] != joined.of[order[0]] && weights[**c] > 0.0;
    let rival = order.iter().find(outside).filter(|c| !listed.contains(c));
    let heard: Vec<usize> = listed.iter().chain(rival).copied().collect();
    foretold.extend(rival.map(|&c| foretell(model, p, &conditionals, c)));
    let total: f64 = weights.iter().sum();
    let causes = listed
        .iter()
        .enumerate()
        .map(|(k, &c)| {
            let fault = model.causes[c];
            let (_, grade) = prior::weight(fault, &readings.priors);
            let severity = fault.map(|_| severity(model, p, c, is_first_look));
            let predictions = predictions(model, readings, evidence, &foretold, k, &|j| {
                joined.of[heard[j]] != joined.of[c]
            });
            let unexplained = predictions.iter().any(Prediction::is_unexplained);
            let likely = p.causes[c] > advice::LIKELY || (k == 0 && known.holds && !is_first_look);
            let action = advice::action(fault, known, likely, unexplained, !escapes[k].is_empty());
            Cause {
                faults: fault.into_iter().collect(),
                id: cause_id(fault),
                name: cause_name(fault),
                probability: p.causes[c],
                prior: weights[c] / total,
                prior_grade: grade,
                severity,
                meaning: fault
                    .zip(severity)
                    .map(|(f, s)| (f.entry().meaning)(s[0], System::Si))
                    .unwrap_or_default(),
                readings: predictions,
                action,
                told_apart: fault.map_or("", |f| f.entry().told_apart),
                caution: advice::caution(fault, danger),
            }
        })
        .collect();
    let probability = alike::of_groups(&joined, p);
    let mut group_list: Vec<Group> = joined
        .members
        .iter()
        .zip(&joined.names)
        .zip(probability)
        .map(|((members, name), probability)| Group {
            causes: members.iter().map(|&c| cause_id(model.causes[c])).collect(),
            name: name.clone(),
            probability,
            here: members.len() > groups.members[groups.of[members[0]]].len(),
        })
        .collect();
    group_list.sort_by(|a, b| b.probability.total_cmp(&a.probability));
    let mut held = 0.0;
    let mut rank = 0;
    group_list.retain(|g| {
        let keep = rank < MOST || held < LISTED;
        (held, rank) = (held + g.probability, rank + 1);
        keep
    });
    Answer {
        version: VERSION,
        title: readings.title.clone(),
        causes,
        groups: group_list,
        pairs: weighed.pairs.clone(),
        none_of_these: p.none,
        is_first_look,
        misfit: p.nearest,
        left_over: None,
        hangs_on: hangs::on_looks(model, evidence, &joined, p)
            .into_iter()
            .filter(|item| p.none < UNNAMED && !tells_gas(*item))
            .filter_map(|item| Look::at(item, evidence))
            .collect(),
        rests_on: hangs::on_number(model, weighed, groups, readings).filter(|_| !is_first_look),
        seen: remarks::plain_to_see(&readings.values)
            .filter_map(|item| Look::at(item, evidence))
            .collect(),
        next_tests,
        no_gas: safety::no_gas(&readings.values),
        starved,
        unknown: Look::all(&readings.values)
            .filter(|look| tells_nothing(model, look.item, look.seen))
            .collect(),
        loses_little: remarks::loses_little(&readings.values),
        began_off_pa: remarks::began_off(readings),
        yellow: readings.yellow,
        gains: readings.values[Id::LeakChange.index()]
            .is_some_and(|pa| LIMITS.leak.is_passed_by(pa)),
        first_climbs: remarks::first_climbs(&readings.values),
        odd: remarks::Odd::all_in(&readings.values),
        verdict,
        facts: remarks::Facts::of(&readings.values),
        taken_at: None,
        drop_to: None,
        branch: None,
        fails,
        watched,
        danger,
        refer,
        hidden: (0..model.causes.len())
            .filter(|&c| model.shown[c] < HIDES)
            .map(|c| cause_id(model.causes[c]))
            .collect(),
        samples: model.kernels.len(),
        rounds,
    }
}

/// Mean and deviation of a cause's severity. From a first look no finer than the few visits that it was run at lie apart.
fn severity(model: &Model, p: &Posterior, cause: usize, is_first_look: bool) -> [f64; 2] {
    let of: Vec<(f64, f64)> = model
        .kernels
        .iter()
        .zip(&p.kernels)
        .filter(|(k, _)| k.cause == cause)
        .map(|(k, w)| (*w, k.severity))
        .collect();
    let sum: f64 = of.iter().map(|o| o.0).sum::<f64>().max(1e-300);
    let mean = of.iter().map(|(w, s)| w * s).sum::<f64>() / sum;
    let square = of.iter().map(|(w, s)| w * (s - mean).powi(2)).sum::<f64>() / sum;
    let apart = if is_first_look {
        1.0 / (model.counts[cause] + 1) as f64
    } else {
        0.0
    };
    [mean, square.sqrt().hypot(apart)]
}
