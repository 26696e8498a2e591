//! Acts that could hurt somebody on a real rig, noticed as they are done, each with its reason.
//! The rules look at the act, at the rig before and after it, and at what the trainee has read.
//!
//! Common practice (no source) unless a limit names its own; local codes and the licensed
//! technician decide.

use super::act::{Act, Left};
use crate::drill::making::file::Drill;
use crate::fault::{Fault, Remedy};
use crate::rig::{Phase, Readings};
use crate::scenario::WhichStage;
use crate::service::{Joint, LIMITS, Shown, TestPoint};
use crate::sim::Simulation;
use crate::visit::{self, Deed, Id, Measure, Observation, Scale, Test, Told, Tool, newest};
use serde::{Deserialize, Serialize};

/// Something unsafe that was done.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Unsafe {
    /// A container valve opened fast.
    OpenedFast,
    /// A burst of flow while this appliance burned.
    FlushedBesideFlame(usize),
    /// A screw turned before its pressure was read.
    ScrewWithoutGauge,
    /// A screw that brought the outlet over the limit, to \[Pa\].
    SetOverTheLimit(f64),
    /// A part taken off with the container open, or with gas in the line.
    OpenedUnderPressure,
    /// A part taken off while this appliance burned.
    OpenedBesideFlame(usize),
    /// Lit where gas had gathered.
    LitWhereGasHadGathered,
    /// Lit while gas that had been found escaped.
    LitWhileGasEscaped,
    /// Lit before a leak that was reported was looked for, and gas did escape.
    LitBesideToldGas,
    /// Lit before a leak that was reported was looked for; none escaped just then.
    LitUnsought,
    /// Lit, or left in use, with a new part that was not looked at for leaks.
    NewPartUntested,
    /// Gas flows at a burner that does not burn, and was left to.
    GasAtUnlitBurner,
    /// Left in use while gas escapes.
    LeftLeaking,
    /// Left in use with the outlet over the limit, at \[Pa\].
    LeftOverTheLimit(f64),
    /// Left in use with what is wrong.
    LeftWithTheFault,
    /// What the drill forbids, and why.
    Forbidden(String),
}

impl Unsafe {
    /// Whether it fails an attempt, whatever else was done: what can burn or kill somebody at once.
    pub fn is_grave(&self) -> bool {
        matches!(
            self,
            Self::FlushedBesideFlame(_)
                | Self::OpenedUnderPressure
                | Self::OpenedBesideFlame(_)
                | Self::LitWhereGasHadGathered
                | Self::LitWhileGasEscaped
                | Self::LitBesideToldGas
                | Self::LeftLeaking
        )
    }
}

/// The rig as it stood before an act.
#[derive(Debug, Clone)]
pub struct Before {
    flame: Option<usize>,
    supply_open: bool,
    under_pressure: bool,
    readings: Readings,
    open_unlit: bool,
}

/// Gas escaping that is smelt or heard at once \[kg/s\] (practice: over 0.05 g/s the nose tells) ...
const SMELT_KG_PER_S: f64 = 5e-5;
/// ... and what leak fluid shows where it was put on and bubbled.
const SEEN_KG_PER_S: f64 = 1e-7;
/// Gas at a burner from which on it gathers \[kg/s\] (own: a pilot's flow is three times as much).
const GATHERS_KG_PER_S: f64 = 1e-6;

/// Gas that escapes beside what a burner lets out while it lights \[kg/s\].
fn escaping(r: &Readings) -> f64 {
    let unlit = r.appliances[..r.appliance_count].iter();
    let unlit = unlit.filter(|a| a.heat_w <= 0.0).map(|a| a.flow_kg_per_s);
    r.loss_kg_per_s - unlit.sum::<f64>()
}

/// Whether a flow is more than what nobody is held to; that flow itself is not, as with every limit.
fn is_more(kg_per_s: f64, than: f64) -> bool {
    kg_per_s > than
}

/// Whether an outlet was brought over the limit \[Pa\]: it is over, and it rose. Down from above it is put right.
fn is_set_over(from_pa: f64, to_pa: f64) -> bool {
    LIMITS.lock_up_caution.is_passed_by(to_pa) && to_pa > from_pa
}

/// Whether a screw that is off by so much is right \[Pa\].
fn is_near(off_pa: f64) -> bool {
    off_pa <= SET_RIGHT_PA
}

impl Before {
    /// Looks at the rig.
    pub fn look(sim: &Simulation) -> Self {
        let readings = sim.readings();
        let modes = &sim.moment().modes;
        let appliances = modes.appliances.iter().take(sim.rig().appliances.len());
        Self {
            flame: appliances.clone().position(|m| m.lit || m.pilot_lit),
            supply_open: modes.supply_open(sim.time_s()),
            under_pressure: visit::under_pressure(sim),
            open_unlit: open_unlit(&readings),
            readings,
        }
    }
}

fn open_unlit(r: &Readings) -> bool {
    r.appliances[..r.appliance_count]
        .iter()
        .any(|a| a.phase == Phase::OpenUnlit && is_more(a.flow_kg_per_s, GATHERS_KG_PER_S))
}

/// What the trainee knows from what was done and read so far.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Known {
    /// Whether the outlet was read since burners, valves or screws were last touched.
    outlet_read: bool,
    /// The same of the first stage.
    first_read: bool,
    /// Whether escaping gas was seen or heard and not put right.
    gas_seen: bool,
    /// Whether that was at its place, by leak fluid or by ear: after these readings forbid a flame however little it is. What a
    /// leak check loses may be little enough that they do not.
    place_seen: bool,
    /// Whether a new part was put in and not looked at for leaks since.
    new_part: bool,
    /// Whether that was told to them already: one part is one deed, however often gas is used through it.
    part_told: bool,
    /// Whether gas at a burner without a flame was told to them already.
    unlit_told: bool,
    /// Whether the owner reports escaping gas.
    gas_told: bool,
    /// Whether it was looked for since: by the test of the joints, by a leak check that could begin, or by leak fluid on hose and
    /// low side.
    sought: bool,
    /// What leak fluid was put on by hand of those two.
    wetted: [bool; 2],
    /// Whether lighting before that was told to them already.
    unsought_told: bool,
}

impl Known {
    /// What is known of a drill before anything is done: what its owner says.
    pub fn of(drill: &Drill) -> Self {
        Self {
            gas_told: drill.gas_told,
            ..Self::default()
        }
    }

    /// Whether a leak was reported and nobody has looked for it yet.
    pub fn is_unsought(self) -> bool {
        self.gas_told && !self.sought
    }

    /// Whether a test must not be made: it lights something, and gas is known to escape or was told to and not looked for.
    pub fn forbids(self, test: Test) -> bool {
        (self.knows_of_gas() || self.is_unsought()) && lights(&visit::Act::Test(test))
    }

    /// Whether escaping gas was told and not put right: a leak check that fails by its limit tells it, whether or not the
    /// error of its column allows for none.
    pub fn knows_of_gas(self) -> bool {
        self.gas_seen
    }

    /// What an act and what it told add to it.
    pub fn learn(&mut self, act: &Act, told: &Told) {
        let Act::Do(act) = act else { return };
        match act {
            visit::Act::Do(deed) => self.done(*deed),
            visit::Act::Light(_) | visit::Act::Off(_) | visit::Act::Reset(_) => self.unread(),
            visit::Act::Test(Test::LeakCheck | Test::Joints) | visit::Act::Fluid(_) => {
                self.new_part = false;
            }
            _ => {}
        }
        match told {
            Told::Gauge {
                point,
                shown: Shown::Value(_),
                ..
            } => {
                self.outlet_read |= *point == TestPoint::Outlet;
                self.first_read |= *point == TestPoint::FirstStage;
            }
            Told::Test { test, figures, .. } => {
                let of = |kind: Scale| {
                    figures
                        .iter()
                        .any(|f| matches!(f.measure, Measure::Read(id) if id.item().kind == kind))
                };
                // A test that moves burners or valves: what it read it read after that. One that merely looks takes nothing back.
                if !merely_looks(*test) {
                    self.unread();
                }
                self.outlet_read |= of(Scale::Low);
                self.first_read |= of(Scale::Middle);
            }
            _ => {}
        }
        self.seek(act, told);
        self.gas_seen |= told.gas_escapes();
        self.place_seen |= told.gas_escapes() && !matches!(act, visit::Act::Test(Test::LeakCheck));
    }

    /// Whether an act looks for a leak.
    fn seek(&mut self, act: &visit::Act, told: &Told) {
        if let visit::Act::Fluid(joint) = act {
            self.wetted[0] |= *joint == Joint::Pigtail;
            self.wetted[1] |= *joint == Joint::LowSide;
        }
        let begun = matches!(told, Told::Test { spoiled: false, .. });
        self.sought |= match act {
            visit::Act::Test(Test::Joints) => true,
            visit::Act::Test(Test::LeakCheck) => begun,
            _ => self.wetted == [true; 2],
        };
    }

    /// From what loss on nothing is lit any more \[kg/s\].
    fn forbids_from(self) -> f64 {
        match (self.place_seen, self.gas_seen) {
            (true, _) => SEEN_KG_PER_S,
            (_, true) => SMELT_KG_PER_S,
            _ => f64::INFINITY,
        }
    }

    fn unread(&mut self) {
        (self.outlet_read, self.first_read) = (false, false);
    }

    fn done(&mut self, deed: Deed) {
        match deed {
            Deed::Weigh { .. } | Deed::Tap => return,
            Deed::ClearVents => (self.gas_seen, self.place_seen) = (false, false),
            Deed::SwapHose | Deed::SwapRegulator => {
                (self.gas_seen, self.place_seen, self.new_part) = (false, false, true);
                self.part_told = false;
            }
            _ => {}
        }
        self.unread();
    }
}

/// Whether an act lights something. A look at the vents or the first stage does: half of its readings are with gas flowing.
fn lights(act: &visit::Act) -> bool {
    matches!(
        act,
        visit::Act::Light(_)
            | visit::Act::Reset(_)
            | visit::Act::Test(
                Test::FlowPressure
                    | Test::FullLoad
                    | Test::Look
                    | Test::Along
                    | Test::LongDraw
                    | Test::Reserve
                    | Test::LoadUpDown
                    | Test::Pilots
                    | Test::Warm
                    | Test::Vent
                    | Test::FirstStage
            )
    )
}

/// Whether a test leaves the rig as the last reading found it: it lights nothing and moves no valve. What burns is shut off for
/// the joints, and an outlet that was read before was read.
fn merely_looks(test: Test) -> bool {
    matches!(
        test,
        Test::Air | Test::Container | Test::Fill | Test::Joints | Test::Creep | Test::NewPiping
    )
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

/// Rules for an act; `before` is the rig ahead of it, `sim` after it, and whether the screw that was turned last reads
/// right since. What was told of gas at a burner is remembered.
pub fn notice(
    act: &Act,
    before: &Before,
    sim: &Simulation,
    known: &mut Known,
    (drill, screw_is_right): (&Drill, bool),
) -> Vec<Unsafe> {
    let mut out = Vec::new();
    let after = sim.readings();
    match act {
        Act::Do(visit::Act::Do(deed)) => match deed {
            Deed::OpenValve { slowly: false, .. } => out.push(Unsafe::OpenedFast),
            Deed::Flush => flush(before, &mut out),
            Deed::TurnScrew { stage, .. } => screw(*stage, before, &after, *known, &mut out),
            Deed::SwapHose | Deed::SwapRegulator => parts(before, &mut out),
            _ => {}
        },
        Act::Do(act) if lights(act) => light((before, &after), *known, &mut out),
        Act::Answer(answer) if answer.left == Left::InUse => {
            leave(sim, &after, *known, (drill, screw_is_right), &mut out);
        }
        _ => {}
    }
    known.part_told |= out.contains(&Unsafe::NewPartUntested);
    let unsought = [Unsafe::LitBesideToldGas, Unsafe::LitUnsought];
    known.unsought_told |= out.iter().any(|u| unsought.contains(u));
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

fn flush(before: &Before, out: &mut Vec<Unsafe>) {
    out.extend(before.flame.map(Unsafe::FlushedBesideFlame));
}

fn screw(
    stage: WhichStage,
    before: &Before,
    after: &Readings,
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
    if is_set_over(before.readings.outlet_pa, after.outlet_pa) {
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
    if before.open_unlit {
        out.push(Unsafe::LitWhereGasHadGathered);
    } else if before.supply_open && is_more(before.readings.loss_kg_per_s, known.forbids_from()) {
        out.push(Unsafe::LitWhileGasEscaped);
    } else if before.supply_open && known.is_unsought() {
        // The owner's word is knowledge: where gas does escape, whoever did not look is no better off than who found it.
        // Before it or beside it: what comes within the first second, or with gas flowing, is lit beside all the same.
        if is_more(
            escaping(&before.readings).max(escaping(after)),
            SEEN_KG_PER_S,
        ) {
            out.push(Unsafe::LitBesideToldGas);
        } else if !known.unsought_told {
            out.push(Unsafe::LitUnsought);
        }
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
    (drill, screw_is_right): (&Drill, bool),
    out: &mut Vec<Unsafe>,
) {
    // Whoever is told that it may be used opens it.
    if !is_set_right(sim, screw_is_right) {
        out.push(Unsafe::LeftWithTheFault);
    }
    if !sim.moment().modes.supply_open(sim.time_s()) {
        return;
    }
    let from = if known.gas_seen || known.is_unsought() {
        SEEN_KG_PER_S
    } else {
        SMELT_KG_PER_S
    };
    if is_more(after.loss_kg_per_s, from) {
        out.push(Unsafe::LeftLeaking);
    }
    // Who has no gauge for it cannot know.
    if LIMITS.lock_up_caution.is_passed_by(after.outlet_pa) && drill.bag.has(Tool::Manometer) {
        out.push(Unsafe::LeftOverTheLimit(after.outlet_pa));
    }
    if known.new_part && !known.part_told {
        out.push(Unsafe::NewPartUntested);
    }
}

/// Whether nothing is wrong any more: no fault is in, or only a screw that stands where it should again, or reads right.
fn is_set_right(sim: &Simulation, screw_is_right: bool) -> bool {
    let mut faults = sim.moment().faults.iter().map(|f| f.fault);
    let by_screw = |f: Fault| f.entry().remedies.contains(&Remedy::Adjust);
    let (is, made) = (&sim.rig().second, &sim.scenario().rig.second);
    let off_pa = (is.preload_n - made.preload_n).abs() / made.area_m2;
    sim.moment().faults.is_empty() || (faults.all(by_screw) && (is_near(off_pa) || screw_is_right))
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

/// A screw stands right this near to where it was made to \[Pa\] (practice: set to within half an inch).
const SET_RIGHT_PA: f64 = 0.5 * crate::units::PA_PER_INWC;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::PA_PER_INWC;

    /// On which side of each of these numbers the number itself lies: nobody is held to it.
    #[test]
    fn a_number_itself_breaks_no_rule() {
        for least in [5e-5, 1e-7, 1e-6] {
            assert!(!is_more(least, least) && is_more(1.001 * least, least));
        }
        let inwc = |v: f64| v * PA_PER_INWC;
        assert!(!is_set_over(inwc(11.0), LIMITS.lock_up_caution.high));
        assert!(is_set_over(inwc(11.0), inwc(14.01)));
        // What was as far over before was not brought there.
        assert!(!is_set_over(inwc(15.0), inwc(15.0)) && !is_set_over(inwc(16.0), inwc(15.0)));
        assert!(is_set_over(inwc(15.0), inwc(15.01)));
        assert!(is_near(0.5 * PA_PER_INWC) && !is_near(0.501 * PA_PER_INWC));
    }

    /// Gas that was seen at its place forbids from what fluid shows, a loss of the leak check from what is smelt.
    #[test]
    fn what_was_found_says_from_what_loss_on_nothing_is_lit() {
        let known = |gas_seen: bool, place_seen: bool| Known {
            gas_seen,
            place_seen,
            ..Known::default()
        };
        assert_eq!(known(true, true).forbids_from(), 1e-7);
        assert_eq!(known(true, false).forbids_from(), 5e-5);
        assert_eq!(known(false, false).forbids_from(), f64::INFINITY);
    }

    /// A second stage reads right by half load and rest, both and the newest of each; a first under load; the numbers are the
    /// trade's (10.5 to 11.5 and up to 13.2 in w.c., 2 to 13 psig: common practice).
    #[test]
    fn a_screw_reads_right_by_what_was_read_after_it() {
        let read = |of: &[(Id, f64)]| -> Vec<Observation> {
            let one = |&(item, value): &(Id, f64)| Observation {
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

    /// One new part that nobody looked at is one deed, however often gas is used through it; the next part is another.
    #[test]
    fn a_new_part_is_noticed_once() {
        let before = Before {
            flame: None,
            supply_open: true,
            under_pressure: true,
            readings: Readings::default(),
            open_unlit: false,
        };
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

    /// Words and instruments leave a reading what it was; what moves the rig wants a new one.
    #[test]
    fn a_reading_stands_until_the_rig_is_touched() {
        let read = Known {
            outlet_read: true,
            first_read: true,
            ..Known::default()
        };
        for (deed, stands) in [
            (Deed::Tap, true),
            (Deed::Flush, false),
            (Deed::ClearVents, false),
        ] {
            let mut known = read;
            known.done(deed);
            assert_eq!(known == read, stands, "{deed:?}");
        }
    }
}
