//! What the readings so far come to, as far as safety asks: whether they forbid a flame, by the one rule of diagnosis, and
//! whether the screw that was turned last reads right since. Gas that was found is not here: whether it escapes still is for
//! the rig to say (`known`).

use super::act::Act;
use super::known::lights;
use super::log::Entry;
use super::rules::{Stop, Unsafe};
use crate::diagnosis::inference::safety::{self, Danger, Reason};
use crate::rig::Rig;
use crate::scenario::WhichStage;
use crate::service::{Device, LIMITS, Shown, TestPoint};
use crate::visit::{
    self, Deed, Effect, ITEMS, Id, Measure, Observation, Scale, Test, Told, Values, Verdict, newest,
};

/// What was read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Read {
    /// Whether what was read since the rig was last changed forbids a flame.
    forbids: bool,
    /// What of it is a stop.
    stop: Option<Stop>,
    /// Whether a flame that it forbids was told of: what is lit against one reading is one deed ...
    told: bool,
    /// ... and the same of a stop, which may be read after that.
    stop_told: bool,
    /// Whether the screw turned last reads right since.
    pub(super) screw_is_right: bool,
    /// A test whose newest result since the rig was last changed is a fail.
    pub(super) failed: Option<Test>,
    /// Whether what was read last under load of each stage, the first and the second, is as it should be.
    loads_right: [bool; 2],
}

impl Read {
    /// Of the acts so far.
    pub fn of(entries: &[Entry], rig: &Rig) -> Self {
        let mut stands = Stands::default();
        let mut out = Self {
            forbids: false,
            stop: None,
            told: false,
            stop_told: false,
            screw_is_right: false,
            failed: None,
            loads_right: [false; 2],
        };
        let mut turned = None;
        let mut verdicts: Vec<(Test, Verdict)> = Vec::new();
        for (at, entry) in entries.iter().enumerate() {
            if let Ok(Act::Do(act)) = Act::parse(&entry.act, rig) {
                // What may have put it right gives leave to see whether it did.
                if changes(&act) {
                    stands = Stands::default();
                    (out.told, out.stop_told) = (false, false);
                    verdicts.clear();
                }
                if let (visit::Act::Test(test), Some(verdict)) = (&act, entry.told.verdict()) {
                    verdicts.retain(|v| v.0 != *test);
                    verdicts.push((*test, verdict));
                }
                if let visit::Act::Do(Deed::TurnScrew { stage, .. }) = act {
                    turned = Some((at, stage));
                }
                stands.take(&act, entry);
            }
            for u in &entry.noticed {
                out.told |= u.is_lit_against_reading();
                out.stop_told |= matches!(u, Unsafe::LitOverStop(_));
            }
        }
        let since = |at: usize| entries[at..].iter().flat_map(|e| e.after.clone());
        out.screw_is_right =
            turned.is_some_and(|(at, stage)| reads_right(stage, &since(at).collect::<Vec<_>>()));
        (out.forbids, out.stop) = stands.demand();
        let failed = verdicts.iter().find(|v| v.1 == Verdict::Fail);
        out.failed = failed.map(|v| v.0);
        out.loads_right = [WhichStage::First, WhichStage::Second].map(|s| stands.load_is_right(s));
        out
    }

    /// Whether what was read forbids a flame: nothing is lit any more, not to look again with gas flowing either.
    pub fn forbids_a_flame(&self) -> bool {
        self.forbids
    }

    /// Whether what was read last of a stage under load is as it should be: who turns its screw then sets what is set.
    pub(super) fn load_is_right(&self, stage: WhichStage) -> bool {
        self.loads_right[stage as usize]
    }

    /// What leaving the rig in use breaks then.
    pub fn broken_by_leaving(&self) -> Option<Unsafe> {
        let known = || self.forbids.then_some(Unsafe::LeftAgainstReading);
        self.stop.map(Unsafe::LeftOverStop).or_else(known)
    }

    /// What an act breaks that lights something with gas at hand. A test that can be made without a flame is.
    pub(super) fn broken_by(self, act: &visit::Act) -> Option<Unsafe> {
        let needs_a_flame = match act {
            visit::Act::Test(test) => !Danger::NoFlame.allows(*test),
            act => lights(act),
        };
        let over = self.stop.filter(|_| !self.stop_told);
        let broken = match over {
            Some(stop) => Some(Unsafe::LitOverStop(stop)),
            None => (self.forbids && !self.told).then_some(Unsafe::LitAgainstReading),
        };
        broken.filter(|_| needs_a_flame)
    }
}

/// What was read last of each thing since the rig was changed.
struct Stands {
    /// What counts as evidence, and what a test told.
    known: Values,
    /// What a gauge by itself showed last of the low side \[Pa\], in whatever state of the rig: known all the same.
    low_pa: Option<f64>,
    /// The same of the first stage.
    first_pa: Option<f64>,
    /// End of the gauge that stood on its pin at the first stage last \[Pa\].
    pegged_pa: Option<f64>,
    /// Share to which a container is filled that does not serve, by the scales.
    other_fill: Option<f64>,
}

impl Default for Stands {
    fn default() -> Self {
        Self {
            known: [None; ITEMS],
            low_pa: None,
            first_pa: None,
            pegged_pa: None,
            other_fill: None,
        }
    }
}

impl Stands {
    fn take(&mut self, act: &visit::Act, entry: &Entry) {
        for (at, value) in read_in(entry) {
            self.known[at] = Some(value);
            // A newer reading of the same place says what stands there now.
            match visit::ALL[at].kind {
                Scale::Low => self.low_pa = None,
                Scale::Middle => (self.first_pa, self.pegged_pa) = (None, None),
                _ => {}
            }
        }
        match (&entry.told, act) {
            (Told::Gauge { point, shown, .. }, visit::Act::Read { gauge, .. }) => {
                self.gauge(*point, *shown, gauge.as_ref());
            }
            (Told::Deed(_, Effect::Weighed { fuel_kg, limit_kg }), _) if *limit_kg > 0.0 => {
                self.other_fill = Some(LIMITS.fill.high * fuel_kg / limit_kg);
            }
            _ => {}
        }
    }

    /// Whether what was read last of a stage under load is as it should be.
    fn load_is_right(&self, stage: WhichStage) -> bool {
        let read = |id: Id| self.known[id.index()];
        match stage {
            WhichStage::Second => second_flows(read(Id::HalfOutlet), read(Id::FullOutlet)),
            WhichStage::First => read(Id::FirstHalf)
                .or(read(Id::FirstFull))
                .is_some_and(|pa| LIMITS.first.holds(pa)),
        }
    }

    fn gauge(&mut self, point: TestPoint, shown: Shown, gauge: Option<&Device>) {
        let end_pa = gauge.map(Device::range_pa);
        // On its pin it tells how much at least.
        let least_pa = shown.value().or(end_pa);
        match point {
            TestPoint::FirstStage => {
                let pegged = shown.value().is_none();
                // One that a first stage in order would peg as well says nothing.
                let tells = |pa: &f64| pegged && LIMITS.first.is_passed_by(*pa);
                (self.first_pa, self.pegged_pa) = (shown.value(), end_pa.filter(tells));
            }
            TestPoint::Outlet | TestPoint::Manifold | TestPoint::Appliance(_) => {
                self.low_pa = least_pa;
            }
            TestPoint::Container(_) | TestPoint::Inlet(_) => {}
        }
    }

    /// Whether it forbids a flame by a pressure or a fill, by the one rule of diagnosis, and what of it is a stop.
    fn demand(&self) -> (bool, Option<Stop>) {
        let mut by_hand: Values = [None; ITEMS];
        by_hand[Id::RestMinute.index()] = self.low_pa;
        by_hand[Id::FirstRest.index()] = self.first_pa;
        by_hand[Id::SecondFill.index()] = self.other_fill;
        let both = [self.known, by_hand];
        let why: Vec<(Reason, &Values)> = both
            .iter()
            .flat_map(|v| safety::demand(v).1.into_iter().map(move |why| (why, v)))
            .filter(|(why, _)| is_of_pressure(*why))
            .collect();
        let pegged = self.pegged_pa.map(Stop::FirstPegged);
        let stop = why.iter().find_map(|(why, v)| stop_of(*why, v)).or(pegged);
        (!why.is_empty() || stop.is_some(), stop)
    }
}

/// What of a reason is a stop: the container is shut before anything else is done. Over 14 in w.c. by less is none: no flame
/// until it is put right, and the regulator is not trusted.
fn stop_of(why: Reason, values: &Values) -> Option<Stop> {
    let read = |id: Id| values[id.index()].unwrap_or_default();
    let highest = |kind: Scale| {
        let of = visit::ALL
            .iter()
            .zip(values)
            .filter(|(i, _)| i.kind == kind);
        of.filter_map(|(_, v)| *v).fold(0.0, f64::max)
    };
    match why {
        Reason::FirstOver => Some(Stop::First(highest(Scale::Middle))),
        Reason::OverRelief(id) | Reason::FarOver(id) => Some(Stop::LowSide(read(id))),
        Reason::Overfilled(id) => Some(Stop::Overfilled(read(id))),
        _ => None,
    }
}

/// Whether an act may put right what was read before it.
fn changes(act: &visit::Act) -> bool {
    match act {
        visit::Act::Do(Deed::Tap) => false,
        visit::Act::Do(deed) => deed.changes_the_rig(),
        visit::Act::Test(test) => matches!(test, visit::Test::Flush | visit::Test::Warm),
        _ => false,
    }
}

/// What an act read, by the place of the item: what counted, and what a test told.
fn read_in(entry: &Entry) -> impl Iterator<Item = (usize, f64)> {
    let figures = match &entry.told {
        Told::Test { figures, .. } => &figures[..],
        _ => &[],
    };
    let told = figures.iter().filter_map(|f| match f.measure {
        Measure::Read(id) => Some((id.index(), f.value)),
        _ => None,
    });
    let counted = entry.observations().map(|o| (o.item.index(), o.value));
    told.chain(counted)
}

/// Whether it is a pressure or a fill that forbids, not gas.
fn is_of_pressure(why: Reason) -> bool {
    matches!(
        why,
        Reason::OverRelief(_)
            | Reason::FarOver(_)
            | Reason::Over(_)
            | Reason::FirstOver
            | Reason::FirstPegged
            | Reason::Overfilled(_)
            | Reason::OverPropane(..)
    )
}

/// Whether a second stage reads right under load by what was read of half and of full load: one at least, and neither wrong.
fn second_flows(half: Option<f64>, full: Option<f64>) -> bool {
    // At full load it may have fallen by what is allowed from half load on.
    let least_pa = LIMITS.flow.low - LIMITS.fall_caution.high;
    let holds_full = |pa: f64| pa >= least_pa && !LIMITS.flow.is_passed_by(pa);
    let loads = [half.map(|pa| LIMITS.flow.holds(pa)), full.map(holds_full)];
    loads.contains(&Some(true)) && !loads.contains(&Some(false))
}

/// Whether what was read after a turn of a screw is right: the second stage under load, half or full, and at rest, the first
/// under load. The one rule of marks and of safety.
pub fn reads_right(stage: WhichStage, after: &[Observation]) -> bool {
    let read = |some: &[Id]| some.iter().find_map(|id| newest(after, *id));
    match stage {
        WhichStage::Second => {
            let flows = second_flows(read(&[Id::HalfOutlet]), read(&[Id::FullOutlet]));
            let rests = read(&[Id::RestMinute, Id::RestCreep]);
            flows && rests.is_some_and(|pa| LIMITS.lock_up.holds(pa))
        }
        WhichStage::First => {
            read(&[Id::FirstHalf, Id::FirstFull]).is_some_and(|pa| LIMITS.first.holds(pa))
        }
    }
}
