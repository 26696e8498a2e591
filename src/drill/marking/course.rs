//! What the readings of an attempt say, act by act. What was read before anything was changed speaks of the rig as it
//! was met; what was read after a deed speaks of the rig as the deed left it: healed, where it takes the cause out, and
//! as it was, where it does not. So a cure that works is evidence, and one that does nothing is evidence too.
//!
//! `P(cause) ~ P(before | cause) * product of P(after | what the deeds leave of the cause)`, each by the house's one
//! likelihood (own). A deed that may cure (a flush, a cloth) counts half each way. What is read after a screw was turned
//! is a rig of nobody's library and says nothing here.

use crate::drill::attempt::act::Act;
use crate::drill::attempt::log::Entry;
use crate::drill::reasoning::causes::{Belief, Cause, Causes};
use crate::visit::{self, Cure, Deed, ITEMS, Test, Values, cure};

/// What was read between two changes.
#[derive(Debug, Clone)]
struct Stretch {
    /// How many of the deeds came before.
    deeds: usize,
    known: Values,
}

/// The readings so far.
#[derive(Debug, Clone)]
pub struct Course<'a> {
    causes: &'a Causes,
    met: Values,
    deeds: Vec<Deed>,
    after: Vec<Stretch>,
}

/// The deed of an act that leaves another rig, or may.
pub fn change(act: &Act) -> Option<Deed> {
    match act {
        Act::Do(visit::Act::Do(Deed::Tap)) => None,
        Act::Do(visit::Act::Do(deed)) if deed.changes_the_rig() => Some(*deed),
        Act::Do(visit::Act::Test(Test::Flush)) => Some(Deed::Flush),
        Act::Do(visit::Act::Test(Test::Warm)) => Some(Deed::WarmCloth),
        _ => None,
    }
}

impl<'a> Course<'a> {
    /// Nothing read yet.
    pub fn new(causes: &'a Causes) -> Self {
        Self {
            causes,
            met: [None; ITEMS],
            deeds: Vec::new(),
            after: Vec::new(),
        }
    }

    /// Takes in an act.
    pub fn take(&mut self, act: &Act, entry: &Entry) {
        for o in &entry.found {
            self.met[o.item.index()] = Some(o.value);
        }
        if !entry.after.is_empty() {
            let deeds = self.deeds.len();
            if self.after.last().is_none_or(|s| s.deeds != deeds) {
                let known = [None; ITEMS];
                self.after.push(Stretch { deeds, known });
            }
            if let Some(stretch) = self.after.last_mut() {
                for o in &entry.after {
                    stretch.known[o.item.index()] = Some(o.value);
                }
            }
        }
        self.deeds.extend(change(act));
    }

    /// Whether anything was done that may have changed what is wrong.
    pub fn is_changed(&self) -> bool {
        !self.deeds.is_empty()
    }

    /// What was read of the rig as it was met.
    pub fn met(&self) -> &Values {
        &self.met
    }

    /// What was read last of each thing, before or after anything was changed: what it forbids is forbidden.
    pub fn newest(&self) -> Values {
        let mut out = self.met;
        for (item, value) in self.after.iter().flat_map(|s| s.known.iter().enumerate()) {
            out[item] = value.or(out[item]);
        }
        out
    }

    /// What was read since the last deed that may have changed what is wrong.
    pub fn since(&self) -> Values {
        let last = self.after.last().filter(|s| s.deeds == self.deeds.len());
        last.map_or([None; ITEMS], |s| s.known)
    }

    /// What is believed by all of it.
    pub fn belief(&self) -> Belief {
        let mut weights = self.causes.belief(&self.met).0;
        for stretch in self.after.iter().filter(|s| self.is_of_a_library(s)) {
            let speaks = self.causes.speaks(&stretch.known);
            let deeds = &self.deeds[..stretch.deeds];
            for (c, w) in weights.iter_mut().enumerate().filter(|(_, w)| **w > 0.0) {
                *w *= left_says(self.causes, &speaks, &self.causes.cause(c), deeds);
            }
        }
        let sum: f64 = weights.iter().sum();
        if sum > 0.0 {
            weights.iter_mut().for_each(|w| *w /= sum);
            Belief(weights)
        } else {
            self.causes.belief(&self.met)
        }
    }

    fn is_of_a_library(&self, stretch: &Stretch) -> bool {
        let mut deeds = self.deeds[..stretch.deeds].iter();
        !deeds.any(|d| matches!(d, Deed::TurnScrew { .. }))
    }

    /// How much likelier what was read after `cures` deeds is of the healed rig than of one that still has the cause: by the
    /// words and numbers of the library, or by the numbers that this rig had before or has at this severity, whichever says
    /// more. The library knows a cause at any severity and on any make, and so holds a number for doubtful that on this rig
    /// is none.
    pub fn healed(&self, (cause, severity): (&Cause, f64), cures: usize) -> f64 {
        let mut after = [None; ITEMS];
        for stretch in self.after.iter().filter(|s| s.deeds >= cures) {
            for (newest, value) in after.iter_mut().zip(&stretch.known) {
                *newest = value.filter(|_| self.is_of_a_library(stretch)).or(*newest);
            }
        }
        let on_this = self.causes.mended((cause, severity), &self.met, &after);
        on_this.max(self.healed_anywhere(cause, cures))
    }

    fn healed_anywhere(&self, cause: &Cause, cures: usize) -> f64 {
        let stretches = self.after.iter().filter(|s| s.deeds >= cures);
        let mut odds = 1.0;
        for stretch in stretches.filter(|s| self.is_of_a_library(s)) {
            let speaks = self.causes.speaks(&stretch.known);
            let says = |of: &Cause| self.causes.find(of).map_or(0.0, |c| speaks[c]);
            let still = says(cause).max(1e-12);
            odds *= says(&Vec::new()) / still;
        }
        odds
    }
}

/// What readings say of what deeds have left of a cause.
fn left_says(causes: &Causes, speaks: &[f64], cause: &Cause, deeds: &[Deed]) -> f64 {
    let most = |f| {
        let cures = deeds.iter().map(|d| cure(*d, f));
        cures.fold(Cure::No, |a, b| match (a, b) {
            (Cure::Yes, _) | (_, Cure::Yes) => Cure::Yes,
            (Cure::Maybe, _) | (_, Cure::Maybe) => Cure::Maybe,
            _ => Cure::No,
        })
    };
    let says = |of: &Cause| causes.find(of).map_or(0.0, |c| speaks[c]);
    let not = |cure: &[Cure]| -> Cause {
        let left = cause.iter().copied();
        left.filter(|f| !cure.contains(&most(*f))).collect()
    };
    let (kept, fewer) = (not(&[Cure::Yes]), not(&[Cure::Yes, Cure::Maybe]));
    0.5 * (says(&kept) + says(&fewer))
}
