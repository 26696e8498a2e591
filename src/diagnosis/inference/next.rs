//! The best next test: how much it is expected to tell per minute of work, among the tests that
//! are safe in the state the readings show.
//!
//! Expected information gain: draw outcomes of the test from the present mixture, and take the
//! mean fall of the entropy over groups of causes (bits). Everything comes from the library.

use super::conditional::Conditionals;
use super::evidence::Evidence;
use super::isolate::Groups;
use super::model::Model;
use super::outcomes::{Particle, draw, outcomes};
use super::posterior::Posterior;
use super::safety::{self, Danger, Offered};
use crate::diagnosis::library::parallel::in_parallel;
use crate::rig::Rig;
use crate::visit::{ALL, AT_HAND, Bag, Id, Test, Tool, Values};
use serde::Serialize;

/// Draws of the mixture that stand for it.
const PARTICLES: usize = 120;
/// A gain under this is nothing \[bits\].
const LEAST_BITS: f64 = 0.01;

/// A test that could be made next.
#[derive(Debug, Clone, Serialize)]
pub struct NextTest {
    /// Which.
    pub test: Test,
    /// In words.
    pub words: &'static str,
    /// Expected information \[bits\].
    pub bits: f64,
    /// Minutes of work.
    pub minutes: f64,
    /// The two causes that it would move apart most, by name.
    pub parts: Option<[String; 2]>,
    /// The caution that belongs to it.
    pub caution: &'static str,
    /// When it may be made.
    pub offered: Offered,
    /// What it would give that has not been read \[places in `ALL`\].
    #[serde(skip)]
    pub gives: Vec<usize>,
    /// Whether some of what it gives was read already.
    pub begun: bool,
    /// What asks for it before anything that parts causes, where something does.
    pub sought: Option<Sought>,
}

/// What asks for a test, however little it parts the causes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Sought {
    /// Gas was smelled, and leak fluid has not been everywhere.
    Smell,
    /// What may be there would let gas out, and leak fluid has not been there.
    Escape,
    /// What comes before the regulator is too little, and where it is lost was not looked at.
    Supply,
    /// The outlet loses too much under load and locks up right, and what comes before the second stage was not read.
    Before,
    /// The container gives a good deal less than its fuel does in such air.
    Weak,
    /// The container stands over what its fuel gives: how full it is tells whether there is any room left in it.
    Room,
}

/// The caution of a test where it gives these: what is only looked at with everything shut wants none.
fn caution(test: Test, gives: &[usize]) -> &'static str {
    let is_shut = |i: &usize| safety::needs_no_gas(ALL[*i].id);
    if gives.iter().all(is_shut) {
        ""
    } else {
        test.caution()
    }
}

/// Puts tests in front that are asked for by what was told or read, as far as they are safe and give something new.
pub fn put_first(
    tests: &mut Vec<NextTest>,
    asked: &[(Test, Sought)],
    values: &Values,
    danger: Danger,
) {
    for &(test, why) in asked.iter().rev() {
        let left = |i: &usize| values[*i].is_none() && danger.allows_item(ALL[*i].id);
        let gives: Vec<usize> = test.items().filter(left).collect();
        let Some(offered) = danger.offers(test).filter(|_| !gives.is_empty()) else {
            continue;
        };
        let ranked = tests.iter().position(|t| t.test == test);
        let mut found = ranked.map_or_else(
            || NextTest {
                test,
                words: test.words(),
                bits: 0.0,
                minutes: test.minutes(),
                parts: None,
                caution: caution(test, &gives),
                offered,
                begun: test.items().any(|i| values[i].is_some()),
                gives,
                sought: None,
            },
            |at| tests.remove(at),
        );
        found.sought = Some(why);
        tests.insert(0, found);
    }
    tests.sort_by_key(|t| t.offered);
}

/// One test on offer.
#[derive(Debug, Clone, PartialEq)]
struct Offering {
    test: Test,
    gives: Vec<usize>,
    minutes: f64,
    offered: Offered,
}

/// What is on offer: tests in the fixed order, what each gives, its minutes, and when it may be made.
#[derive(Debug, Clone, PartialEq)]
pub struct Offer(Vec<Offering>);

impl Offer {
    /// Every test that is safe.
    pub fn safe(danger: Danger) -> Self {
        // Who stands before the rig knows how warm it is.
        let tests = Test::ALL
            .into_iter()
            .filter(|t| *t != Test::Air && danger.allows(*t));
        let safe = |test: Test| {
            let gives = test.items().filter(|i| danger.allows_item(ALL[*i].id));
            Some(Offering {
                test,
                offered: danger.offers(test)?,
                gives: gives.collect(),
                minutes: test.minutes(),
            })
        };
        Self(tests.filter_map(safe).collect())
    }

    /// What can be done on a rig with the tools of a bag.
    pub fn with(bag: &Bag, rig: &Rig) -> Self {
        let can = |t: Test| match t {
            Test::NewPiping => bag.has(Tool::AirPump),
            Test::Reserve => rig.changeover.is_some(),
            // Who stands before the rig knows how warm it is.
            Test::Air => false,
            _ => AT_HAND.contains(&t) && bag.has(t.tool()),
        };
        let tests = Test::ALL.into_iter().filter(|t| can(*t));
        let one = |test: Test| Offering {
            test,
            gives: test.items_with(bag).into_iter().map(Id::index).collect(),
            minutes: test.minutes_with(bag),
            offered: Offered::AsItStands,
        };
        Self(tests.map(one).collect())
    }

    /// Keeps these.
    pub fn retain(&mut self, keep: impl Fn(Test) -> bool) {
        self.0.retain(|o| keep(o.test));
    }

    /// The tests, in the fixed order.
    pub fn tests(&self) -> impl Iterator<Item = Test> {
        self.0.iter().map(|o| o.test)
    }

    /// The first of them.
    pub fn first(&self) -> Option<Test> {
        self.tests().next()
    }

    /// What a test gives.
    pub fn items(&self, test: Test) -> &[usize] {
        let found = self.0.iter().find(|o| o.test == test);
        found.map_or(&[], |o| &o.gives)
    }

    /// Minutes that it takes.
    pub fn minutes(&self, test: Test) -> f64 {
        let found = self.0.iter().find(|o| o.test == test);
        found.map_or(0.0, |o| o.minutes)
    }
}

/// Entropy \[bits\] of weights that need not sum to 1.
pub fn entropy(weights: &[f64]) -> f64 {
    let sum: f64 = weights.iter().sum();
    if sum <= 0.0 {
        return 0.0;
    }
    weights
        .iter()
        .filter(|w| **w > 0.0)
        .map(|w| -(w / sum) * (w / sum).log2())
        .sum()
}

/// Ranks what is on offer and would give something that has not been read.
pub fn rank(
    model: &Model,
    groups: &Groups,
    values: &Values,
    evidence: &Evidence,
    posterior: &Posterior,
    offer: &Offer,
) -> Vec<NextTest> {
    let conditionals = Conditionals::new(model, evidence);
    let weights = posterior.kernels.iter().copied().enumerate();
    let particles = draw(model, groups, weights, &conditionals, PARTICLES);
    if particles.is_empty() {
        return Vec::new();
    }
    let mut out: Vec<NextTest> = in_parallel(offer.0.len(), |t| {
        let Offering {
            test,
            ref gives,
            minutes,
            offered,
        } = offer.0[t];
        let items: Vec<usize> = gives
            .iter()
            .copied()
            .filter(|&i| values[i].is_none())
            .collect();
        if items.is_empty() {
            return None;
        }
        let (bits, pair) = gain(model, groups, &conditionals, &particles, &items);
        (bits >= LEAST_BITS).then(|| NextTest {
            test,
            words: test.words(),
            bits,
            minutes,
            parts: pair.map(|(a, b)| [a, b].map(|g| groups.names[g].clone())),
            caution: caution(test, &items),
            offered,
            gives: items,
            begun: test.items().any(|i| values[i].is_some()),
            sought: None,
        })
    })
    .into_iter()
    .flatten()
    .collect();
    // What may be made as the rig stands comes before what has to wait.
    out.sort_by(|a, b| {
        let told_a_minute = |t: &NextTest| t.bits / t.minutes;
        a.offered
            .cmp(&b.offered)
            .then(told_a_minute(b).total_cmp(&told_a_minute(a)))
    });
    out
}

/// Expected fall of the entropy, and the two groups it moves apart most.
fn gain(
    model: &Model,
    groups: &Groups,
    conditionals: &Conditionals<'_>,
    particles: &[Particle],
    items: &[usize],
) -> (f64, Option<(usize, usize)>) {
    let count = groups.names.len();
    let mut prior = vec![0.0; count];
    particles.iter().for_each(|p| prior[p.group] += 1.0);
    let before = entropy(&prior);
    let mut after = 0.0;
    let mut apart = vec![0.0; count * count];
    let mut take = |p: &Particle, weights: &[f64]| {
        after += entropy(weights);
        let own = weights[p.group];
        for g in 0..count {
            if g != p.group && prior[g] > 0.0 {
                // How far the odds of the true group over this one have moved.
                let odds = own / (own + weights[g]) - prior[p.group] / (prior[p.group] + prior[g]);
                let key = p.group.min(g) * count + p.group.max(g);
                apart[key] += odds.max(0.0) * prior[g] / particles.len() as f64;
            }
        }
    };
    outcomes(model, groups, conditionals, particles, items, &mut take);
    let best = (0..apart.len())
        .max_by(|&a, &b| apart[a].total_cmp(&apart[b]))
        .filter(|&k| apart[k] > 0.0)
        .map(|k| (k / count, k % count));
    ((before - after / particles.len() as f64).max(0.0), best)
}
