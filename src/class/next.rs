//! Which drill a person should try next: one near a wanted chance of success, of another family than the last ones; what
//! was missed comes back after a while.
//!
//! Mixing kinds of problems teaches telling them apart better than one kind after the other (Rohrer and Taylor 2007,
//! memory); what was missed is kept better when it comes back after a while than at once (Cepeda and others 2006,
//! memory). The numbers here are our own.

use super::rating::{Item, Skill};
use crate::fault::Family;

/// The chance of success that is aimed at.
pub const WANTED: f64 = 0.70;
/// What another drill of the family of the last one costs, and of the one before it, in chance.
const SAME_AGAIN: f64 = 0.12;
const SAME_BUT_ONE: f64 = 0.05;
/// What a family is worth that was missed and has waited.
const COMES_BACK: f64 = 0.10;
/// So many drills lie between a miss and its family's return ...
const AFTER: usize = 3;
/// ... and between a miss and the return of the very drill, where no other is left.
const SAME_DRILL_AFTER: usize = 6;
/// A chance this far from the wanted one is not near it.
const FAR: f64 = 0.20;

/// What became of a drill that was tried; in order.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Past {
    /// Its place among the items.
    pub item: usize,
    /// Whether it was a success.
    pub success: bool,
}

/// Why this one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Why {
    /// Its chance is near the wanted one.
    Near,
    /// A drill of its family was missed some time ago.
    ComesBack(Family),
    /// All were tried; this one was missed.
    Again,
    /// It is the next of the instructor's order.
    InOrder,
}

/// The choice.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Choice {
    /// Its place among the items.
    pub item: usize,
    /// The chance of success.
    pub chance: f64,
    /// Why this one.
    pub why: Why,
}

impl Choice {
    /// Whether no drill near the wanted chance is left: an easier or a harder one should be made.
    pub fn is_far(&self) -> bool {
        (self.chance - WANTED).abs() > FAR
    }
}

/// A family that was missed, was not met since, and has waited.
fn due(items: &[Item], past: &[Past], family: Family) -> bool {
    let last = past
        .iter()
        .rev()
        .position(|p| items[p.item].families.contains(&family));
    last.is_some_and(|ago| ago >= AFTER && !past[past.len() - 1 - ago].success)
}

/// What was tried of these drills.
fn met(items: &[Item], past: &[Past]) -> Vec<Past> {
    let known = past.iter().copied().filter(|p| p.item < items.len());
    known.collect()
}

/// A drill's family that is due, if one is.
fn back(items: &[Item], past: &[Past], item: usize) -> Option<Family> {
    let mut families = items[item].families.iter().copied();
    families.find(|f| due(items, past, *f))
}

/// The next drill of the instructor's order: the first that was not tried; before it one of a family that was missed and has
/// waited, as otherwise. None where all were tried and none is to come back.
pub fn next_in_order(skill: &Skill, items: &[Item], past: &[Past]) -> Option<Choice> {
    let past = met(items, past);
    let mut fresh = (0..items.len()).filter(|i| !past.iter().any(|p| p.item == *i));
    let of = |item: usize, why: Why| Choice {
        item,
        chance: skill.chance(&items[item].families, items[item].hard),
        why,
    };
    let due = fresh.clone().find_map(|i| {
        let family = back(items, &past, i)?;
        Some(of(i, Why::ComesBack(family)))
    });
    due.or_else(|| fresh.next().map(|i| of(i, Why::InOrder)))
        .or_else(|| again(skill, items, &past))
}

/// The next drill; none where all were tried and none is to come back.
pub fn next(skill: &Skill, items: &[Item], past: &[Past]) -> Option<Choice> {
    let past = met(items, past);
    let was = |back: usize, item: &Item| {
        let at = past.len().checked_sub(back).and_then(|i| past.get(i));
        at.is_some_and(|p| {
            items[p.item]
                .families
                .iter()
                .any(|f| item.families.contains(f))
        })
    };
    let fresh = (0..items.len()).filter(|i| !past.iter().any(|p| p.item == *i));
    let of = |i: usize| {
        let item = &items[i];
        let chance = skill.chance(&item.families, item.hard);
        let back = back(items, &past, i);
        let mut cost = (chance - WANTED).abs();
        cost += if was(1, item) { SAME_AGAIN } else { 0.0 };
        cost += if was(2, item) { SAME_BUT_ONE } else { 0.0 };
        cost -= if back.is_some() { COMES_BACK } else { 0.0 };
        let why = back.map_or(Why::Near, Why::ComesBack);
        (
            cost,
            Choice {
                item: i,
                chance,
                why,
            },
        )
    };
    let best = fresh.map(of).min_by(|a, b| a.0.total_cmp(&b.0));
    best.map(|(_, choice)| choice)
        .or_else(|| again(skill, items, &past))
}

/// The drill whose miss lies back the longest, if that is long enough.
fn again(skill: &Skill, items: &[Item], past: &[Past]) -> Option<Choice> {
    let last_of = |i: usize| past.iter().rposition(|p| p.item == i);
    let missed = (0..items.len())
        .filter_map(|i| last_of(i).filter(|at| !past[*at].success).map(|at| (at, i)));
    let (at, item) = missed.min()?;
    (past.len() - at > SAME_DRILL_AFTER).then(|| Choice {
        item,
        chance: skill.chance(&items[item].families, items[item].hard),
        why: Why::Again,
    })
}
