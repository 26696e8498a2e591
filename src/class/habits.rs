//! Five habits of a good technician, read from the acts of an attempt: whether there was an occasion, and whether it was
//! done. Only acts count, never words. Which habits these are is common practice (no source); when an act counts for
//! one is our own choice and told beside it.

use crate::drill::Act;
use crate::drill::Drill;
use crate::drill::attempt::act::Left;
use crate::drill::attempt::known::test_lights;
use crate::drill::attempt::log::Entry;
use crate::drill::attempt::rig_of;
use crate::drill::attempt::safety::Unsafe;
use crate::rig::Rig;
use crate::service::TestPoint;
use crate::visit::{
    self, Deed, Effect, ITEMS, Id, Measure, Scale, Test, Told, Tool, Values, Verdict, that_come_out,
};
use std::collections::{BTreeMap, BTreeSet};

/// A habit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Habit {
    /// Eyes, ears or leak fluid before anything is lit; where the owner reports escaping gas, what safety asks for before that.
    /// An occasion where something was lit.
    LooksFirst,
    /// A reading of an instrument before a suspicion or an answer. An occasion where one was given.
    MeasuresFirst,
    /// The pressure at two places along the line or more before the answer: container or inlet, between the stages,
    /// outlet, appliance. An occasion where an answer was given.
    Isolates,
    /// A reading after the last repair and before the answer, and heeded: where it still fails a limit, the rig is not left in
    /// use. An occasion where something was repaired.
    Proves,
    /// Nothing unsafe about how the rig was left, of what was told at its end or before and not ended since. An occasion where
    /// an answer was given.
    LeavesSafe,
}

impl Habit {
    /// All of them, in order.
    pub const ALL: [Self; 5] = [
        Self::LooksFirst,
        Self::MeasuresFirst,
        Self::Isolates,
        Self::Proves,
        Self::LeavesSafe,
    ];
}

/// For each of [`Habit::ALL`] whether it was kept; none where there was no occasion.
pub type Kept = [Option<bool>; Habit::ALL.len()];

/// Reads the habits of an attempt.
pub fn habits(drill: &Drill, entries: &[Entry]) -> Kept {
    let rig = rig_of(drill).rig;
    let acts: Vec<(&Entry, Act)> = entries
        .iter()
        .filter_map(|e| Some((e, Act::parse(&e.act, &rig).ok()?)))
        .collect();
    let first = |is: &dyn Fn(&(&Entry, Act)) -> bool| acts.iter().position(is);
    let before = |a: Option<usize>, b: usize| a.is_some_and(|a| a < b);
    let judged = first(&|(_, a)| matches!(a, Act::Note(..) | Act::Answer(_)));
    let answered = first(&|(_, a)| matches!(a, Act::Answer(_)));
    let lit = first(&|(e, a)| lights(a, &e.told));
    let looked = first(&|(e, a)| looks(a, &e.told));
    let measured = first(&|(e, _)| measures(&e.told));
    let sought = !entries
        .iter()
        .flat_map(|e| &e.noticed)
        .any(Unsafe::is_unsought);
    let repaired = acts.iter().rposition(|(_, a)| repairs(a));
    let end = answered.unwrap_or(acts.len());
    let in_use =
        answered.is_some_and(|at| matches!(&acts[at].1, Act::Answer(a) if a.left == Left::InUse));
    let proved = |at: usize| {
        let after = &acts[at + 1..end.max(at + 1)];
        after.iter().any(|(e, _)| measures(&e.told)) && !(in_use && still_fails(after))
    };
    [
        lit.map(|lit| looked.is_some_and(|at| at <= lit) && sought),
        judged.map(|judged| before(measured, judged)),
        answered.map(|end| places(&acts[..end], &rig) > 1),
        repaired.map(proved),
        answered.map(|at| leaves_safe(&acts[..=at])),
    ]
}

/// Whether the last of some acts, an answer, leaves the rig safe. One deed is told once, so what was told before counts too where
/// it lasts: who leaves a rig in use that should not have been lit, with nothing done about that since, leaves it as it was.
fn leaves_safe(acts: &[(&Entry, Act)]) -> bool {
    let Some(((last, Act::Answer(answer)), before)) = acts.split_last() else {
        return true;
    };
    let ended = |from: usize, what: &Unsafe| before[from + 1..].iter().any(|(_, a)| ends(a, what));
    let mut told = before.iter().enumerate();
    let lasts = told.any(|(at, (e, _))| e.noticed.iter().any(|u| lasts(u) && !ended(at, u)));
    last.noticed.is_empty() && !(answer.left == Left::InUse && lasts)
}

/// Whether what was unsafe about an act stays so until something is done about it.
fn lasts(what: &Unsafe) -> bool {
    matches!(
        what,
        Unsafe::LitOverStop(_)
            | Unsafe::LitWhileGasEscaped
            | Unsafe::LitOverBubbles
            | Unsafe::LitBesideToldGas
            | Unsafe::LitHalfSought { escaped: true, .. }
            | Unsafe::NewPartUntested
            | Unsafe::GasAtUnlitBurner
    )
}

/// Whether an act may have ended that.
fn ends(act: &Act, what: &Unsafe) -> bool {
    let Act::Do(act) = act else { return false };
    match what {
        Unsafe::GasAtUnlitBurner => matches!(
            act,
            visit::Act::Off(_)
                | visit::Act::Light(_)
                | visit::Act::Reset(_)
                | visit::Act::Do(Deed::ShutValve { .. } | Deed::ShutFast { .. })
        ),
        Unsafe::NewPartUntested => matches!(
            act,
            visit::Act::Fluid(_) | visit::Act::Test(Test::LeakCheck | Test::Joints)
        ),
        _ => match act {
            visit::Act::Do(Deed::Tap) => false,
            visit::Act::Do(deed) => deed.changes_the_rig(),
            _ => false,
        },
    }
}

/// Whether what was read last in some acts fails a limit: the newest of every test, and of every reading.
fn still_fails(acts: &[(&Entry, Act)]) -> bool {
    let mut tests: BTreeMap<Test, Verdict> = BTreeMap::new();
    let mut read: Values = [None; ITEMS];
    for (e, _) in acts {
        if let (Told::Test { test, .. }, Some(verdict)) = (&e.told, e.told.verdict()) {
            tests.insert(*test, verdict);
        }
        for o in e.observations() {
            read[o.item.index()] = Some(o.value);
        }
    }
    tests.values().any(|v| *v == Verdict::Fail) || !that_come_out(Verdict::Fail, &read).is_empty()
}

/// Whether an act looks, listens or seeks leaks before it lights anything: the test of the vents puts leak fluid on them at rest
/// first, and who looks and listens looks. Any other test does where it lit nothing and told what was heard, seen or bubbled, as a
/// lock-up tells what is heard at rest; one that lights first does not.
fn looks(act: &Act, told: &Told) -> bool {
    let Act::Do(doing) = act else { return false };
    match doing {
        visit::Act::Look
        | visit::Act::Listen
        | visit::Act::Fluid(_)
        | visit::Act::Test(
            Test::LeakCheck | Test::Joints | Test::NewPiping | Test::Vent | Test::Look,
        ) => true,
        visit::Act::Test(_) => !lights(act, told) && tells_by_sense(told),
        _ => false,
    }
}

/// Whether a test told what eyes, ears or leak fluid had of the rig.
fn tells_by_sense(told: &Told) -> bool {
    let Told::Test { figures, .. } = told else {
        return false;
    };
    let of_sense = |id: Id| {
        let item = id.item();
        matches!(item.kind, Scale::Words(_))
            && matches!(item.tool, Tool::Eyes | Tool::Ears | Tool::LeakFluid)
    };
    figures
        .iter()
        .any(|f| matches!(f.measure, Measure::Read(id) if of_sense(id)))
}

/// Whether an act lit something, by the rule that safety goes by. A test of the vents that found gas at rest lit nothing.
fn lights(act: &Act, told: &Told) -> bool {
    let Act::Do(act) = act else { return false };
    match act {
        visit::Act::Light(_) | visit::Act::Reset(_) | visit::Act::Do(Deed::Light { .. }) => true,
        visit::Act::Test(test) => test_lights(*test) && !told.left_unlit(),
        _ => false,
    }
}

/// Whether an instrument or leak fluid was read.
fn measures(told: &Told) -> bool {
    match told {
        Told::Test { figures, .. } => !figures.is_empty(),
        Told::Gauge { .. } | Told::Warmth(..) | Told::Fluid(..) => true,
        Told::Deed(_, effect) => matches!(effect, Effect::Weighed { .. }),
        _ => false,
    }
}

/// Whether an act may put something right.
fn repairs(act: &Act) -> bool {
    matches!(
        act,
        Act::Do(visit::Act::Do(
            Deed::ClearVents
                | Deed::TurnScrew { .. }
                | Deed::SwapHose
                | Deed::SwapRegulator
                | Deed::NewContainers
                | Deed::MendLine
                | Deed::MendAppliances
        ))
    )
}

/// Supply, between the stages, outlet; an appliance has its number added to the last, the manifold the number after them.
const SUPPLY: usize = 0;
const BETWEEN: usize = 1;
const OUTLET: usize = 2;
const APPLIANCE: usize = 3;

/// Places along the line whose pressure was read, on a gauge or by a test that told it.
fn places(acts: &[(&Entry, Act)], rig: &Rig) -> usize {
    let manifold = APPLIANCE + rig.appliances.len();
    let mut seen: BTreeSet<usize> = BTreeSet::new();
    for (e, _) in acts {
        match &e.told {
            Told::Gauge { point, .. } => {
                seen.insert(match point {
                    TestPoint::Container(_) | TestPoint::Inlet(_) => SUPPLY,
                    TestPoint::FirstStage => BETWEEN,
                    TestPoint::Outlet => OUTLET,
                    // A second appliance is a second place.
                    TestPoint::Manifold => manifold,
                    TestPoint::Appliance(i) => APPLIANCE + i,
                });
            }
            // Air in piping that stands alone tells no pressure of the line.
            Told::Test { test, figures, .. } if *test != Test::NewPiping => {
                seen.extend(figures.iter().flat_map(|f| told_at(f.measure, manifold)));
            }
            _ => {}
        }
    }
    seen.len()
}

/// The places whose pressure a figure tells.
fn told_at(measure: Measure, manifold: usize) -> Vec<usize> {
    match measure {
        Measure::Read(Id::HalfManifold | Id::FullManifold) => vec![manifold],
        Measure::Read(id) => match id.item().kind {
            Scale::Low | Scale::Change => vec![OUTLET],
            Scale::Middle => vec![BETWEEN],
            Scale::High => vec![SUPPLY],
            _ => Vec::new(),
        },
        Measure::PipeDrop => vec![OUTLET, manifold],
        Measure::FirstPeak | Measure::FirstClimb | Measure::FirstAtRest | Measure::FirstFlowing => {
            vec![BETWEEN]
        }
        Measure::InletAtRest | Measure::InletFlowing | Measure::InletFall => vec![SUPPLY],
        Measure::Fall
        | Measure::FromBelow
        | Measure::Band
        | Measure::LockUp
        | Measure::Rise
        | Measure::Peak
        | Measure::Start
        | Measure::End
        | Measure::From
        | Measure::Climb => vec![OUTLET],
        Measure::Load | Measure::Warmed | Measure::Correction => Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::Scenario;
    use crate::visit::Figure;

    #[test]
    fn a_test_that_told_two_places_read_two_places() {
        let rig = Scenario::opening().rig;
        let told = |measures: &[Measure]| {
            let figure = |m: &Measure| Figure {
                measure: *m,
                value: 3000.0,
            };
            let entry = Entry {
                n: 1,
                at_s: 0.0,
                end_s: 60.0,
                act: "test lock-up".to_owned(),
                told: Told::Test {
                    test: Test::LockUp,
                    figures: measures.iter().map(figure).collect(),
                    unlit: Vec::new(),
                    still_moving: false,
                    spoiled: false,
                },
                found: Vec::new(),
                after: Vec::new(),
                noticed: Vec::new(),
            };
            places(&[(&entry, Act::Do(visit::Act::Test(Test::LockUp)))], &rig)
        };
        assert_eq!(told(&[Measure::LockUp, Measure::FirstAtRest]), 2);
        assert_eq!(told(&[Measure::LockUp, Measure::Rise]), 1);
        assert_eq!(told(&[Measure::Read(Id::SecondVentRest)]), 0);
    }
}
