//! A way through a visit, test by test: always the test that promises most a minute, or the fixed order. What is read
//! comes from the values of a whole visit. A test that the readings so far forbid is not made.

use super::evidence::Evidence;
use super::isolate::Groups;
use super::model::Model;
use super::next::{self, Offer};
use super::posterior::{Posterior, posterior};
use super::safety::{self, Danger};
use crate::visit::{ITEMS, Test, Values};

/// Which way.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// The test that is expected to tell most a minute; where none promises anything, the fixed order.
    Best,
    /// The fixed order.
    Fixed,
}

/// How far a walk has come.
#[derive(Debug)]
pub struct Reached<'a> {
    /// What was read so far.
    pub known: &'a Values,
    /// What it says.
    pub posterior: &'a Posterior,
    /// What is left to be done.
    pub left: &'a Offer,
    /// Minutes so far.
    pub minutes: f64,
}

/// The tests made on the way, and their minutes.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Walked {
    /// In their order.
    pub tests: Vec<Test>,
    /// Sum.
    pub minutes: f64,
    /// Whether there was enough before nothing was left to be done.
    pub enough: bool,
}

/// Goes on until `look` says it is enough, or nothing is left. `look` hears of every stand, the last one too, and gives
/// the groups among which the next test is to tell; none where it is enough.
pub fn walk(
    model: &Model,
    prior: &[f64],
    offer: &Offer,
    truth: &Values,
    way: Way,
    look: &mut dyn FnMut(&Reached<'_>) -> Option<Groups>,
) -> Walked {
    let mut known: Values = [None; ITEMS];
    let mut left = offer.clone();
    let mut danger = Danger::None;
    let mut out = Walked::default();
    loop {
        let evidence = Evidence::new(&known, &[None; ITEMS], model.tuning.floor);
        let p = posterior(model, &evidence, prior);
        left.retain(|t| danger.allows(t));
        let stand = Reached {
            known: &known,
            posterior: &p,
            left: &left,
            minutes: out.minutes,
        };
        let Some(groups) = look(&stand) else {
            out.enough = true;
            return out;
        };
        let best = match way {
            Way::Best => next::rank(model, &groups, &known, &evidence, &p, &left)
                .first()
                .map(|n| n.test),
            Way::Fixed => None,
        };
        let Some(test) = best.or_else(|| left.first()) else {
            return out;
        };
        out.minutes += left.minutes(test);
        out.tests.push(test);
        for &i in left.items(test) {
            known[i] = truth[i];
        }
        left.retain(|t| t != test);
        danger = danger.max(safety::demand(&known).0);
    }
}
