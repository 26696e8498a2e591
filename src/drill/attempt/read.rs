//! What the readings so far come to, as far as safety asks: whether they forbid a flame, by the one rule of diagnosis, and
//! whether the screw that was turned last reads right since. Gas that was found is not here: whether it escapes still is for
//! the rig to say (`known`).

use super::act::Act;
use super::known::lights;
use super::log::Entry;
use super::rules::Unsafe;
use crate::diagnosis::inference::safety::{self, Danger, Reason};
use crate::rig::Rig;
use crate::scenario::WhichStage;
use crate::service::LIMITS;
use crate::visit::{self, Deed, ITEMS, Id, Measure, Observation, Told, Values, newest};

/// What was read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Read {
    /// Whether what was read since the rig was last changed forbids a flame.
    forbids: bool,
    /// Whether a flame that it forbids was told of: what is lit against one reading is one deed.
    told: bool,
    /// Whether the screw turned last reads right since.
    pub(super) screw_is_right: bool,
}

impl Read {
    /// Of the acts so far.
    pub fn of(entries: &[Entry], rig: &Rig) -> Self {
        let mut known: Values = [None; ITEMS];
        let mut told = false;
        let mut turned = None;
        for (at, entry) in entries.iter().enumerate() {
            if let Ok(Act::Do(act)) = Act::parse(&entry.act, rig) {
                // What may have put it right gives leave to see whether it did.
                if changes(&act) {
                    (known, told) = ([None; ITEMS], false);
                }
                if let visit::Act::Do(Deed::TurnScrew { stage, .. }) = act {
                    turned = Some((at, stage));
                }
            }
            for (at, value) in read_in(entry) {
                known[at] = Some(value);
            }
            told |= entry.noticed.contains(&Unsafe::LitAgainstReading);
        }
        let since = |at: usize| entries[at..].iter().flat_map(|e| e.after.clone());
        Self {
            forbids: safety::demand(&known).1.into_iter().any(is_of_pressure),
            told,
            screw_is_right: turned
                .is_some_and(|(at, stage)| reads_right(stage, &since(at).collect::<Vec<_>>())),
        }
    }

    /// What an act breaks that lights something with gas at hand. A test that can be made without a flame is.
    pub(super) fn broken_by(self, act: &visit::Act) -> Option<Unsafe> {
        let needs_a_flame = match act {
            visit::Act::Test(test) => !Danger::NoFlame.allows(*test),
            act => lights(act),
        };
        (self.forbids && !self.told && needs_a_flame).then_some(Unsafe::LitAgainstReading)
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
    )
}

/// Whether what was read after a turn of a screw is right: the second stage at half load and at rest, the first under
/// load. The one rule of marks and of safety.
pub fn reads_right(stage: WhichStage, after: &[Observation]) -> bool {
    let read = |some: &[Id]| some.iter().find_map(|id| newest(after, *id));
    match stage {
        WhichStage::Second => {
            let flows = read(&[Id::HalfOutlet]).is_some_and(|pa| LIMITS.flow.holds(pa));
            let rests = read(&[Id::RestMinute, Id::RestCreep]);
            flows && rests.is_some_and(|pa| LIMITS.lock_up.holds(pa))
        }
        WhichStage::First => {
            read(&[Id::FirstHalf, Id::FirstFull]).is_some_and(|pa| LIMITS.first.holds(pa))
        }
    }
}
