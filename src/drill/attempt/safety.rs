//! Acts that could hurt somebody on a real rig, noticed as they are done, each with its reason.
//! The rules look at the act, at the rig before and after it, and at what the trainee has read.
//!
//! Common practice (no source) unless a limit names its own; local codes and the licensed
//! technician decide.

use super::act::{Act, Left};
use super::known::{Known, SEEK_S, leaves_blowing, lights};
use super::read::Read;
use super::rules::{SEEN_KG_PER_S, SMELT_KG_PER_S, is_more};
pub use super::rules::{Stop, Unsafe};
use crate::drill::making::file::Drill;
use crate::fault::{Fault, Remedy};
use crate::rig::{Phase, Readings};
use crate::scenario::{Action, WhichStage};
use crate::service::LIMITS;
use crate::sim::{AT_ONCE_S, ActiveFault, Simulation};
use crate::visit::{self, Deed, Test, Told, Tool};

/// The rig as it stood before an act.
#[derive(Debug, Clone)]
pub struct Before {
    flame: Option<usize>,
    supply_open: bool,
    under_pressure: bool,
    readings: Readings,
    open_unlit: bool,
    at_s: f64,
    /// Most gas that escapes while the rig is left as it stands, where the act asks for that \[kg/s\].
    later_kg_per_s: f64,
}

/// For so long a rig is left as it stands to see whether a leak that its owner reports shows \[s\], looked at so often \[s\] (own).
const LATER_S: (f64, f64) = (3600.0, 5.0);
/// Who uses a rig that was left shut opens it over so long, and has it under pressure a minute later \[s\] (own).
const OPENED_S: f64 = 5.0;
const STANDS_S: f64 = 60.0;
/// Gas that blew out of an open line has gone from the air after so long \[s\] (own).
const AIRS_S: f64 = 600.0;
/// Gas at a burner from which on it gathers \[kg/s\] (own: a pilot's flow is three times as much).
const GATHERS_KG_PER_S: f64 = 1e-6;

/// Gas that escapes beside what a burner lets out while it lights \[kg/s\].
fn escaping(r: &Readings) -> f64 {
    let unlit = r.appliances[..r.appliance_count].iter();
    let unlit = unlit.filter(|a| a.heat_w <= 0.0).map(|a| a.flow_kg_per_s);
    r.loss_kg_per_s - unlit.sum::<f64>()
}

/// Whether a screw brought an outlet over the limit \[Pa\]: it was turned inwards, it is over, and it rose. Down from above it
/// is put right; what rises while a screw is turned out rises by itself.
fn is_set_over(degrees: f64, from_pa: f64, to_pa: f64) -> bool {
    degrees > 0.0 && LIMITS.lock_up_caution.is_passed_by(to_pa) && to_pa > from_pa
}

/// Whether a screw that is off by so much is right \[Pa\].
fn is_near(off_pa: f64) -> bool {
    off_pa <= SET_RIGHT_PA
}

impl Before {
    /// When that was \[s\].
    pub(super) fn at_s(&self) -> f64 {
        self.at_s
    }

    /// Looks at the rig before an act of somebody who knows so much.
    pub fn look(sim: &Simulation, act: &Act, known: Known) -> Self {
        let asks = known.asks_of_later() && matches!(act, Act::Do(act) if lights(act));
        let readings = sim.readings();
        let modes = &sim.moment().modes;
        let appliances = modes.appliances.iter().take(sim.rig().appliances.len());
        Self {
            flame: appliances.clone().position(|m| m.lit || m.pilot_lit),
            supply_open: modes.supply_open(sim.time_s()),
            under_pressure: visit::under_pressure(sim),
            later_kg_per_s: if asks { later(sim) } else { 0.0 },
            open_unlit: open_unlit(&readings),
            at_s: sim.time_s(),
            readings,
        }
    }
}

/// Most gas that escapes while the rig is left as it stands \[kg/s\]. Where it cannot be run on, what escapes until then counts.
fn later(sim: &Simulation) -> f64 {
    let (mut left, mut most) = (sim.copy(), 0.0_f64);
    let until_s = sim.time_s() + LATER_S.0;
    let _ = left.advance(until_s, Some(LATER_S.1), &mut |r| {
        most = most.max(r.loss_kg_per_s);
    });
    most
}

fn open_unlit(r: &Readings) -> bool {
    r.appliances[..r.appliance_count]
        .iter()
        .any(|a| a.phase == Phase::OpenUnlit && is_more(a.flow_kg_per_s, GATHERS_KG_PER_S))
}

/// Whether an act takes gas from a burner that does not burn.
fn shuts(act: &Act) -> bool {
    use visit::Act::{Do, Off};
    matches!(
        act,
        Act::Do(Off(_) | Do(Deed::ShutValve { .. } | Deed::ShutFast { .. }))
    )
}

/// Whether the hand that did the act is what put a flame out or let gas to a burner: not a fault that showed meanwhile.
fn is_by_hand(act: &Act) -> bool {
    matches!(act, Act::Do(visit::Act::Do(_)))
}

/// Rules for an act; `before` is the rig ahead of it, `sim` after it, `read` what the readings so far come to. What was told
/// of gas at a burner is remembered.
pub fn notice(
    (act, told): (&Act, &Told),
    before: &Before,
    sim: &Simulation,
    known: &mut Known,
    (drill, read): (&Drill, &Read),
) -> Vec<Unsafe> {
    let mut out = Vec::new();
    let after = sim.readings();
    match act {
        Act::Do(visit::Act::Do(deed)) => match deed {
            Deed::OpenValve { slowly: false, .. } => out.push(Unsafe::OpenedFast),
            Deed::Flush => flush(before, &mut out),
            Deed::TurnScrew { stage, degrees } => {
                screw((*stage, *degrees), (before, &after), *known, &mut out);
                let told = &mut known.turned_told[*stage as usize];
                if !*told && read.load_is_right(*stage) && is_off_its_setting(sim, *stage) {
                    *told = true;
                    out.push(Unsafe::TurnedSound(*stage));
                }
            }
            Deed::SwapHose | Deed::SwapRegulator => {
                parts(before, &mut out);
                if before.supply_open {
                    known.blew_s = Some(sim.time_s());
                }
            }
            _ => {}
        },
        Act::Do(act) if lights(act) && !told.left_unlit() => {
            // A look at the vents looks at rest first, and lights only where it showed none.
            let looks_again = matches!(act, visit::Act::Test(Test::Vent));
            let knows = if looks_again {
                known.at_rest_again()
            } else {
                *known
            };
            light((before, &after), knows, &mut out);
            out.extend(read.broken_by(act).filter(|_| before.supply_open));
        }
        Act::Answer(answer) if answer.left == Left::InUse => {
            // What was read as a stop says more than that a test failed.
            out.extend(read.broken_by_leaving());
            leave(sim, &after, *known, (drill, read), &mut out);
        }
        _ => {}
    }
    // What lights beside it is told as that; and gas that is heard, as that and not as the report of it.
    if out.is_empty() {
        out.extend(left_blowing(act, before, (sim, &after), known));
    }
    if !out.contains(&Unsafe::LeftBlowing) {
        out.extend(waited(act, before, sim, known));
    }
    known.part_told |= out.contains(&Unsafe::NewPartUntested);
    known.unsought_told |= out.iter().any(Unsafe::is_unsought);
    known.escaped_told |= out.iter().any(|u| u.is_unsought() && u.is_grave());
    let left = before.open_unlit && !shuts(act) && matches!(act, Act::Do(_));
    let made = !before.open_unlit && open_unlit(&after) && is_by_hand(act);
    if (left || made) && !known.unlit_told {
        out.push(Unsafe::GasAtUnlitBurner);
        known.unlit_told = true;
    }
    known.unlit_told &= open_unlit(&after);
    if let Some(tool) = act.tool()
        && let Some(f) = drill.must_not.iter().find(|f| f.tool == tool)
    {
        out.push(Unsafe::Forbidden(f.because.clone()));
    }
    out
}

/// Whether gas that was known to blow out was left to, told once until the container is shut.
fn left_blowing(
    act: &Act,
    before: &Before,
    (sim, after): (&Simulation, &Readings),
    known: &mut Known,
) -> Option<Unsafe> {
    let (Act::Do(act), Some(since_s)) = (act, known.blows_s) else {
        return None;
    };
    let lost = before.readings.loss_kg_per_s.max(after.loss_kg_per_s);
    let blows = before.supply_open && is_more(lost, SMELT_KG_PER_S);
    let leaves = blows && !known.blows_told && leaves_blowing(act, since_s, sim.time_s());
    known.blows_told |= leaves;
    leaves.then_some(Unsafe::LeftBlowing)
}

/// Whether the container stood open through minutes of waiting where a leak is reported and nobody has looked, told once. Who shuts it
/// may wait.
fn waited(act: &Act, before: &Before, sim: &Simulation, known: &mut Known) -> Option<Unsafe> {
    let waits = matches!(act, Act::Do(visit::Act::Wait(_))) && before.supply_open;
    let broken = waits && known.is_unsought() && !known.waited_told && sim.time_s() >= SEEK_S;
    known.waited_told |= broken;
    broken.then_some(Unsafe::WaitedUnsought)
}

/// Whether a stage without a fault of its setting stands off it, by its screw.
fn is_off_its_setting(sim: &Simulation, stage: WhichStage) -> bool {
    let (is, made) = match stage {
        WhichStage::First => (&sim.rig().first, &sim.scenario().rig.first),
        WhichStage::Second => (&sim.rig().second, &sim.scenario().rig.second),
    };
    let off_pa = (is.preload_n - made.preload_n).abs() / made.area_m2;
    let near_pa = match stage {
        WhichStage::First => FIRST_RIGHT_PA,
        WhichStage::Second => SET_RIGHT_PA,
    };
    let set = |f: &ActiveFault| f.fault.entry().remedies.contains(&Remedy::Adjust);
    !sim.moment().faults.iter().any(set) && off_pa > near_pa
}

fn flush(before: &Before, out: &mut Vec<Unsafe>) {
    out.extend(before.flame.map(Unsafe::FlushedBesideFlame));
}

fn screw(
    (stage, degrees): (WhichStage, f64),
    (before, after): (&Before, &Readings),
    known: Known,
    out: &mut Vec<Unsafe>,
) {
    let read = match stage {
        WhichStage::First => known.first_read,
        WhichStage::Second => known.outlet_read,
    };
    if !read {
        out.push(Unsafe::ScrewWithoutGauge);
    }
    if is_set_over(degrees, before.readings.outlet_pa, after.outlet_pa) {
        out.push(Unsafe::SetOverTheLimit(after.outlet_pa));
    }
}

fn parts(before: &Before, out: &mut Vec<Unsafe>) {
    if before.under_pressure {
        out.push(Unsafe::OpenedUnderPressure);
    }
    out.extend(before.flame.map(Unsafe::OpenedBesideFlame));
}

fn light((before, after): (&Before, &Readings), known: Known, out: &mut Vec<Unsafe>) {
    let blew = known.blew_s.is_some_and(|at_s| before.at_s - at_s < AIRS_S);
    if before.open_unlit || blew {
        out.push(Unsafe::LitWhereGasHadGathered);
    } else if before.supply_open {
        let now = before.readings.loss_kg_per_s;
        // Before it or beside it: what comes within the first second, or with gas flowing, is lit beside all the same.
        let ever = now.max(escaping(after)).max(before.later_kg_per_s);
        out.extend(known.breaks(now, ever));
    }
    if known.new_part && !known.part_told {
        out.push(Unsafe::NewPartUntested);
    }
}

/// Leaving a rig in use.
fn leave(
    sim: &Simulation,
    after: &Readings,
    known: Known,
    (drill, read): (&Drill, &Read),
    out: &mut Vec<Unsafe>,
) {
    // Whoever is told that it may be used opens it.
    let comes_yet = drill.faults.iter().any(|h| h.at_s > sim.time_s());
    if comes_yet || !is_set_right(sim, read.screw_is_right) {
        let failed = read.failed.map(Unsafe::LeftAgainstTest);
        out.push(failed.unwrap_or(Unsafe::LeftWithTheFault));
    } else if is_carried_off(sim, drill) && !known.new_regulator {
        out.push(Unsafe::LeftAfterBurst);
    }
    let used = as_used(sim, after);
    let from = if known.knows_of_gas() || known.is_unsought() {
        SEEN_KG_PER_S
    } else {
        SMELT_KG_PER_S
    };
    if is_more(used.loss_kg_per_s, from) {
        out.push(Unsafe::LeftLeaking);
    }
    // Who has no gauge for it cannot know.
    if LIMITS.lock_up_caution.is_passed_by(used.outlet_pa) && drill.bag.has(Tool::Manometer) {
        out.push(Unsafe::LeftOverTheLimit(used.outlet_pa));
    }
    if known.new_part && !known.part_told {
        out.push(Unsafe::NewPartUntested);
    }
}

/// What a rig shows when it is used as it was left: with its containers opened, where they were shut, and what comes at once come.
/// Where it cannot be run on, what it shows now counts.
fn as_used(sim: &Simulation, now: &Readings) -> Readings {
    let mut used = sim.copy();
    let mut for_s = AT_ONCE_S;
    if !sim.moment().modes.supply_open(sim.time_s()) {
        // Whoever opens it has nothing lit.
        for appliance in 0..sim.rig().appliances.len() {
            used.act(&Action::Switch {
                appliance,
                on: false,
            });
        }
        for container in 0..sim.rig().containers.len() {
            used.act(&Action::Valve {
                container,
                open: 1.0,
                over_s: OPENED_S,
            });
        }
        for_s = STANDS_S;
    }
    match used.advance(sim.time_s() + for_s, None, &mut |_| {}) {
        Ok(()) => used.readings(),
        Err(_) => *now,
    }
}

/// Whether nothing is wrong any more: no fault is in, or only a screw that stands where it should again, or reads right. One that
/// is on its way does not show yet in the rig.
fn is_set_right(sim: &Simulation, screw_is_right: bool) -> bool {
    let t_s = sim.time_s();
    let comes = |f: &ActiveFault| (f.comes_to() - f.severity.at(t_s)).abs() > 1e-3;
    if sim.moment().faults.iter().any(comes) {
        return false;
    }
    let mut faults = sim.moment().faults.iter().map(|f| f.fault);
    let by_screw = |f: Fault| f.entry().remedies.contains(&Remedy::Adjust);
    let (is, made) = (&sim.rig().second, &sim.scenario().rig.second);
    let off_pa = (is.preload_n - made.preload_n).abs() / made.area_m2;
    sim.moment().faults.is_empty() || (faults.all(by_screw) && (is_near(off_pa) || screw_is_right))
}

/// Whether something that was on a seat is gone: a seat that let gas by is replaced, also when a burst of flow helped.
fn is_carried_off(sim: &Simulation, drill: &Drill) -> bool {
    let is_in = |f: Fault| sim.moment().faults.iter().any(|now| now.fault == f);
    let mut came = drill.faults.iter().filter(|h| h.at_s <= sim.time_s());
    came.any(|h| h.fault.entry().carried_off.is_some() && !is_in(h.fault))
}

/// A screw stands right this near to where it was made to \[Pa\] (practice: set to within half an inch).
const SET_RIGHT_PA: f64 = 0.5 * crate::units::PA_PER_INWC;
/// The same of a first stage's screw (own).
const FIRST_RIGHT_PA: f64 = crate::units::PA_PER_PSI;

#[cfg(test)]
mod tests {
    use super::super::read::reads_right;
    use super::*;
    use crate::units::PA_PER_INWC;
    use crate::visit::{Id, Observation};

    /// On which side of each of these numbers the number itself lies: nobody is held to it.
    #[test]
    fn a_number_itself_breaks_no_rule() {
        for least in [5e-5, 1.86e-8, 1e-6] {
            assert!(!is_more(least, least) && is_more(1.001 * least, least));
        }
        let inwc = |v: f64| v * PA_PER_INWC;
        let over = |from: f64, to: f64| is_set_over(5.0, inwc(from), inwc(to));
        assert!(!is_set_over(5.0, inwc(11.0), LIMITS.lock_up_caution.high));
        assert!(over(11.0, 14.01));
        // What was as far over before was not brought there, and what rises while a screw is turned out rises by itself.
        assert!(!over(15.0, 15.0) && !over(16.0, 15.0) && over(15.0, 15.01));
        assert!(
            !is_set_over(-5.0, inwc(18.5), inwc(19.6)) && !is_set_over(0.0, inwc(11.0), inwc(15.0))
        );
        assert!(is_near(0.5 * PA_PER_INWC) && !is_near(0.501 * PA_PER_INWC));
    }

    /// A second stage reads right by a load and rest, both and the newest of each; a first under load; the numbers are the
    /// trade's (10.5 to 11.5, at full load from 9.5 on, and up to 13.2 in w.c., 2 to 13 psig: common practice).
    #[test]
    fn a_screw_reads_right_by_what_was_read_after_it() {
        let read = |of: &[(Id, f64)]| -> Vec<Observation> {
            let one = |&(item, value): &(Id, f64)| Observation {
                over: false,
                item,
                value,
                uncertainty: None,
                at_s: 0.0,
            };
            of.iter().map(one).collect()
        };
        let inwc = |v: f64| v * PA_PER_INWC;
        let second = |of: &[(Id, f64)]| reads_right(WhichStage::Second, &read(of));
        let (half, rest) = ((Id::HalfOutlet, inwc(11.0)), (Id::RestMinute, inwc(12.0)));
        assert!(second(&[half, rest]) && second(&[rest, half]));
        assert!(second(&[half, (Id::RestCreep, inwc(13.0))]));
        let full = |v: f64| (Id::FullOutlet, inwc(v));
        assert!(second(&[full(11.3), rest]) && second(&[full(9.6), rest]));
        assert!(!second(&[full(9.4), rest]) && !second(&[full(11.6), rest]));
        // Neither load makes up for the other.
        assert!(second(&[half, full(10.8), rest]) && !second(&[half, full(9.0), rest]));
        assert!(!second(&[(Id::HalfOutlet, inwc(12.0)), full(11.0), rest]));
        assert!(!second(&[half]) && !second(&[rest]) && !second(&[]));
        assert!(!second(&[(Id::HalfOutlet, inwc(11.6)), rest]));
        assert!(!second(&[half, (Id::RestMinute, inwc(13.3))]));
        assert!(!second(&[half, rest, (Id::HalfOutlet, inwc(10.4))]));
        assert!(second(&[(Id::HalfOutlet, inwc(10.4)), rest, half]));
        let first = |id, psi: f64| {
            let pa = psi * crate::units::PA_PER_PSI;
            reads_right(WhichStage::First, &read(&[(id, pa)]))
        };
        assert!(first(Id::FirstHalf, 10.0) && first(Id::FirstFull, 12.9));
        assert!(!first(Id::FirstFull, 13.1) && !first(Id::FirstHalf, 1.9));
        assert!(
            !first(Id::FirstRest, 10.0),
            "at rest says nothing of its load"
        );
        assert!(!reads_right(WhichStage::First, &read(&[half, rest])));
    }

    /// A tight rig under pressure with nothing lit.
    fn tight() -> Before {
        Before {
            flame: None,
            supply_open: true,
            under_pressure: true,
            readings: Readings::default(),
            open_unlit: false,
            at_s: 0.0,
            later_kg_per_s: 0.0,
        }
    }

    /// What escapes with gas flowing only, as through a leak behind a seat that shuts, is lit beside all the same; what a burner
    /// lets out until it burns is no leak.
    #[test]
    fn gas_that_escapes_as_it_is_lit_counts_and_the_burner_does_not() {
        let (name, text) = crate::drill::making::shipped::DRILLS[0];
        let mut drill = Drill::read(name, text, None).unwrap_or_else(|e| panic!("{e}"));
        drill.gas_told = true;
        let lit = |loss_kg_per_s: f64, unlit_kg_per_s: f64, heat_w: f64| {
            let mut after = Readings {
                loss_kg_per_s,
                appliance_count: 1,
                ..Readings::default()
            };
            after.appliances[0].flow_kg_per_s = unlit_kg_per_s;
            after.appliances[0].heat_w = heat_w;
            let mut out = Vec::new();
            light((&tight(), &after), Known::of(&drill), &mut out);
            out
        };
        // A tenth of a gram a second: some 4,700 Btu/h of burner.
        assert_eq!(lit(1e-4, 0.0, 0.0), [Unsafe::LitBesideToldGas]);
        assert_eq!(lit(1e-4, 1e-4, 0.0), [Unsafe::LitUnsought]);
        assert_eq!(lit(2e-4, 1e-4, 0.0), [Unsafe::LitBesideToldGas]);
        assert_eq!(lit(1e-4, 1e-4, 1400.0), [Unsafe::LitBesideToldGas]);
    }

    /// One new part that nobody looked at is one deed, however often gas is used through it; the next part is another.
    #[test]
    fn a_new_part_is_noticed_once() {
        let before = tight();
        let mut known = Known::default();
        for part in 0..2 {
            known.done(Deed::SwapRegulator);
            for n in 0..3 {
                let mut out = Vec::new();
                light((&before, &Readings::default()), known, &mut out);
                known.part_told |= out.contains(&Unsafe::NewPartUntested);
                let told = out.iter().filter(|u| **u == Unsafe::NewPartUntested);
                assert_eq!(told.count(), usize::from(n == 0), "part {part}, use {n}");
            }
        }
    }
}
