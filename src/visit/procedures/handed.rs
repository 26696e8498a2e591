//! What a test made on site hands over to whoever asks for causes: what it observed, and whatever stopped it or was judged as
//! dangerous, as a reading of the item that it belongs to. Not here: how a reading comes about, nor what it means.
//!
//! What diagnosis and drills learned from is handed over as it was found (`super::told_of`).

use super::{Extra, time};
use crate::rig::MAX_APPLIANCES;
use crate::service::{Joint, LIMITS};
use crate::visit::bench::Bench;
use crate::visit::figure::Measure;
use crate::visit::item::{Id, Observation, Scale};
use crate::visit::sight::half_load;
use crate::visit::test::Test;
use crate::visit::verdict::{Against, Judged, Verdict};

/// What comes within so long after the burners went off is lock-up at once \[s\].
pub(super) const AT_ONCE_S: f64 = 5.0;

/// By what share a needle that has passed a mark is over it at least (own: what no gauge shows).
pub(super) const PAST: f64 = 1e-6;

/// The item that leak fluid at a joint is noted under; none at a vent, which has its own test.
pub(super) fn fluid_item(joint: Joint) -> Option<Id> {
    Some(match joint {
        Joint::Pigtail => Id::FluidPigtail,
        Joint::LowSide => Id::FluidLowSide,
        Joint::Burner(_) => Id::FluidBurner,
        Joint::FirstVent | Joint::SecondVent => return None,
    })
}

/// Whether a pressure is dangerous by itself, whatever burned when it was read.
fn is_danger(o: &Observation) -> bool {
    let limit = match o.item.item().kind {
        Scale::Low => &LIMITS.lock_up_caution,
        Scale::Middle => &LIMITS.first_danger,
        _ => return false,
    };
    limit.is_passed_by(o.value)
}

/// Whether a pressure under which nothing burned is too low: it stands there with nothing drawn, and would stand lower with gas drawn.
/// What is not says nothing of a flow.
fn is_too_low(o: &Observation) -> bool {
    let limit = match (o.item.item().kind, o.item) {
        (Scale::Low, Id::HalfOutlet) => &LIMITS.flow,
        (Scale::Low, Id::HalfManifold | Id::FullManifold) => &LIMITS.manifold,
        (Scale::Low, _) => &LIMITS.under_load,
        (Scale::Middle, _) => &LIMITS.first,
        (Scale::High, _) => &LIMITS.inlet_least,
        _ => return false,
    };
    limit.is_missed_by(o.value)
}

impl Bench<'_> {
    /// What a test hands over.
    pub(super) fn hands_over(
        &self,
        found: Vec<Observation>,
        judged: &[Judged],
        extra: &Extra,
        halted: bool,
    ) -> Vec<Observation> {
        let loses = |o: &Observation| o.item == Id::LeakChange && LIMITS.leak.is_missed_by(o.value);
        let counts = |o: &Observation| {
            if extra.says_nothing {
                loses(o)
            } else if extra.idle {
                is_too_low(o) || is_danger(o)
            } else {
                self.load_was_there(o.item) || is_danger(o)
            }
        };
        let mut out: Vec<Observation> = found.into_iter().filter(counts).collect();
        let climbs = halted || extra.still_moving;
        // What stopped it is the highest of its record.
        let counts =
            |j: &&Judged| j.verdict == Verdict::Fail && !(halted && j.against == Against::Record);
        for judged in judged.iter().filter(counts) {
            let Some(reading) = self.reading_of(judged, climbs) else {
                continue;
            };
            let kind = reading.item.item().kind;
            let is_told = |o: &Observation| o.item.item().kind == kind && o.value >= reading.value;
            if !out.iter().any(is_told) {
                out.push(reading);
            }
        }
        out
    }

    /// Whether an item is read with the load that it means, or with none: full load is not there while one is kept off.
    fn load_was_there(&self, item: Id) -> bool {
        let half = || half_load(self.sim.rig());
        match item {
            _ if self.kept_off.is_empty() => true,
            Id::FullOutlet
            | Id::FullManifold
            | Id::FullInlet
            | Id::FirstFull
            | Id::LongOutlet
            | Id::LongContainer
            | Id::WarmFull
            | Id::Reserve => false,
            Id::HalfOutlet
            | Id::HalfManifold
            | Id::HalfInlet
            | Id::FirstHalf
            | Id::AboveOutlet
            | Id::AboveTapped => !half().iter().any(|i| self.kept_off.contains(i)),
            _ => true,
        }
    }

    /// What was judged as over a limit and is no item by itself, as a reading of the item it belongs to: what stood on the gauge when
    /// a test was stopped, the highest of its record, where a lock-up had come to when it was no longer watched.
    fn reading_of(&self, judged: &Judged, climbs: bool) -> Option<Observation> {
        let limit = judged.limit?;
        let now_s = self.sim.time_s();
        let modes = &self.sim.moment().modes.appliances;
        let on: [bool; MAX_APPLIANCES] = std::array::from_fn(|i| modes[i].on);
        let (item, value, over) = match judged.against {
            Against::Figure(Measure::Peak) => (self.outlet_item(&on, now_s), judged.value, climbs),
            Against::Figure(Measure::FirstPeak) => {
                (self.first_item(&on, now_s), judged.value, climbs)
            }
            Against::Figure(Measure::LockUp) | Against::Moving => {
                (Id::RestCreep, judged.value, climbs)
            }
            Against::Figure(Measure::InletAtRest) => (Id::Container, judged.value, false),
            Against::Record => {
                let top = &self.highest;
                // A record tells more than a gauge's division: over it, be it by a hair.
                let shown = self.kit.low_side(top.pa).max(limit.high * (1.0 + PAST));
                (self.outlet_item(&top.on, top.at_s), shown, false)
            }
            _ => return None,
        };
        limit.is_passed_by(judged.value).then_some(Observation {
            item,
            value,
            uncertainty: None,
            over,
            at_s: now_s,
        })
    }

    /// Whether everything that there is was on, and whether anything was.
    fn load(&self, on: &[bool]) -> (bool, bool) {
        let count = self.sim.rig().appliances.len();
        let is_on = |i: usize| on.get(i).copied().unwrap_or_default();
        let all = (0..count).all(is_on);
        (all, (0..count).any(is_on))
    }

    /// The item of a gauge at the outlet, by what was on and for how long nothing was.
    fn outlet_item(&self, on: &[bool], at_s: f64) -> Id {
        let rests_s = at_s - self.still.since_s;
        match (self.load(on), self.test) {
            ((true, _), _) => Id::FullOutlet,
            ((_, true), Test::Pilots) => Id::PilotsOutlet,
            ((_, true), _) => Id::HalfOutlet,
            (_, Test::Flush) => Id::FlushOutlet,
            (_, Test::Warm) => Id::WarmRest,
            (_, Test::Climb) => Id::ClimbRest,
            (_, Test::Creep) => Id::RestCreep,
            _ if self.still.from_load && rests_s <= AT_ONCE_S => Id::RestPeak,
            _ if rests_s <= time::LOCK_UP_FIRST || self.test != Test::LockUp => Id::RestMinute,
            _ => Id::RestCreep,
        }
    }

    /// The item of a gauge at the first stage.
    fn first_item(&self, on: &[bool], at_s: f64) -> Id {
        let rests_s = at_s - self.still.since_s;
        match (self.load(on), self.test) {
            ((true, _), _) => Id::FirstFull,
            ((_, true), _) => Id::FirstHalf,
            (_, Test::Flush) => Id::FlushFirst,
            (_, Test::Creep) => Id::FirstCreep,
            _ if rests_s <= time::LOCK_UP_FIRST || self.test != Test::LockUp => Id::FirstRest,
            _ => Id::FirstCreep,
        }
    }
}
