//! What a trainee knows from what was done and read so far, as far as safety asks: which pressures were read, whether gas
//! was found, whether a leak that the owner reports was looked for. Not here: what follows from it for an act (`safety`).

use super::act::Act;
use super::rules::{SEEN_KG_PER_S, SMELT_KG_PER_S, Unsafe, is_more};
use crate::drill::making::file::Drill;
use crate::service::{Joint, Shown, TestPoint};
use crate::visit::{self, Deed, Effect, Id, Measure, Observation, Scale, Test, Told};

/// What leak fluid is put on to look for a leak by hand.
const BY_HAND: [Joint; 2] = [Joint::Pigtail, Joint::LowSide];

/// The readings of bubbles at a vent.
const AT_VENTS: [Id; 4] = [
    Id::FirstVentRest,
    Id::FirstVentFlowing,
    Id::SecondVentRest,
    Id::SecondVentFlowing,
];

/// Where gas blows out it may be looked for so long before the container is shut \[s\] (own: some looks with leak fluid).
pub(super) const SEEK_S: f64 = 300.0;

/// What the trainee knows from what was done and read so far.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Known {
    /// Whether the outlet was read since burners, valves or screws were last touched.
    pub(super) outlet_read: bool,
    /// The same of the first stage.
    pub(super) first_read: bool,
    /// Whether escaping gas was seen or heard elsewhere than at a vent, and not put right.
    seen: bool,
    /// Whether that was at its place, by leak fluid or by ear: after these readings forbid a flame however little it is. What a
    /// leak check loses may be little enough that they do not.
    place_seen: bool,
    /// Whether bubbles stood at the vents as they were looked at last, of each of [`AT_VENTS`]: a vent that is looked at again tells
    /// whether it was gas.
    vents: [bool; AT_VENTS.len()],
    /// Whether the screw of a stage that read right was turned away from its setting: it is one deed.
    pub(super) turned_told: [bool; 2],
    /// Whether waiting beside gas that is reported was told to them already.
    pub(super) waited_told: bool,
    /// Whether a new part was put in and not looked at for leaks since.
    pub(super) new_part: bool,
    /// Whether that was told to them already: one part is one deed, however often gas is used through it.
    pub(super) part_told: bool,
    /// Whether a new regulator was put in.
    pub(super) new_regulator: bool,
    /// Whether gas at a burner without a flame was told to them already.
    pub(super) unlit_told: bool,
    /// Whether gas was heard or seen to blow out, and nothing was put right since ...
    blows: bool,
    /// ... from when on it was known with the container open \[s\] ...
    pub(super) blows_s: Option<f64>,
    /// ... and whether it was told to them already that it was left to.
    pub(super) blows_told: bool,
    /// Whether a container was shut last and not opened.
    shut: bool,
    /// When a line was closed again that had stood open with the container open \[s\].
    pub(super) blew_s: Option<f64>,
    /// Whether the owner reports escaping gas.
    gas_told: bool,
    /// Whether it was looked for since: by the test of the joints, by a leak check that could begin, or by leak fluid on hose and
    /// low side.
    sought: bool,
    /// What leak fluid was put on by hand of those two.
    wetted: [bool; 2],
    /// Whether leak fluid was put on anything by hand.
    looked_at_some: bool,
    /// Whether lighting before that was told to them already ...
    pub(super) unsought_told: bool,
    /// ... where gas did escape: it is one deed, however often it is done.
    pub(super) escaped_told: bool,
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
        let by_flame = (self.knows_of_gas() || self.is_unsought()) && test_lights(test);
        by_flame || (self.blows && !wants_no_gas(test))
    }

    /// Whether gas blows out by what was told: the container is shut, and nothing is tested that wants gas.
    pub fn blows_out(self) -> bool {
        self.blows
    }

    /// Whether it does and a hand has yet to shut the container.
    pub fn must_shut(self) -> bool {
        self.blows && !self.shut
    }

    /// Whether escaping gas was told and not put right: a leak check that fails by its limit tells it, whether or not the
    /// error of its column allows for none.
    pub fn knows_of_gas(self) -> bool {
        self.seen || self.bubbles_at_a_vent()
    }

    /// Whether a vent bubbled as it was looked at last.
    pub(super) fn bubbles_at_a_vent(self) -> bool {
        self.vents.contains(&true)
    }

    /// The same once the vents were looked at again at rest and showed none there.
    pub(super) fn at_rest_again(mut self) -> Self {
        for (bubbles, id) in self.vents.iter_mut().zip(AT_VENTS) {
            *bubbles &= !matches!(id, Id::FirstVentRest | Id::SecondVentRest);
        }
        self
    }

    /// Whether the container was shut last, so that what wants gas has to wait.
    pub fn is_shut(self) -> bool {
        self.shut
    }

    /// What an act and what it told add to it.
    /// `read` is what of it counts: something does where the rig stood still as it was told, and a vent may breathe a bubble of air while
    /// its diaphragm moves; `now_s` is when that was.
    pub fn learn(&mut self, act: &Act, told: &Told, (read, now_s): (&[Observation], f64)) {
        let Act::Do(act) = act else { return };
        let stood = !read.is_empty();
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
        // Of two containers one is shut, and the other gives gas.
        self.shut &= !matches!(told, Told::Deed(_, Effect::Shut { open: Some(_), .. }));
        self.seek(act, told);
        let escapes = told.gas_escapes(stood);
        let of_vents = self.look_at_vents(told, read);
        self.seen |= escapes && !of_vents;
        if told.blows_out() {
            self.blows = true;
            self.blows_s = self.blows_s.or(Some(now_s));
        }
        self.place_seen |=
            escapes && !of_vents && !matches!(act, visit::Act::Test(Test::LeakCheck));
    }

    /// What an act read of bubbles at the vents, where it told of no other gas: whether all that it told is in that.
    fn look_at_vents(&mut self, told: &Told, read: &[Observation]) -> bool {
        let figures = match told {
            Told::Test { figures, .. } => &figures[..],
            _ => &[],
        };
        let told_of = figures.iter().filter_map(|f| match f.measure {
            Measure::Read(id) => Some((id, f.value)),
            _ => None,
        });
        let all = told_of.chain(read.iter().map(|o| (o.item, o.value)));
        let mut is_all = true;
        for (id, value) in all {
            match AT_VENTS.iter().position(|v| *v == id) {
                Some(at) => self.vents[at] = value >= 1.0,
                None => is_all &= !id.tells_gas(value),
            }
        }
        let by_hand = matches!(told, Told::Fluid(Joint::FirstVent | Joint::SecondVent, _));
        let is_read = by_hand && !read.is_empty();
        is_all && (is_read || matches!(told, Told::Test { .. }) && self.bubbles_at_a_vent())
    }

    /// Whether an act looks for a leak.
    fn seek(&mut self, act: &visit::Act, told: &Told) {
        if let visit::Act::Fluid(joint) = act {
            for (wet, at) in self.wetted.iter_mut().zip(BY_HAND) {
                *wet |= *joint == at;
            }
            self.looked_at_some = true;
        }
        let begun = matches!(told, Told::Test { spoiled: false, .. });
        self.sought |= match act {
            visit::Act::Test(Test::Joints) => true,
            visit::Act::Test(Test::LeakCheck) => begun,
            _ => self.wetted == [true; BY_HAND.len()],
        };
    }

    /// Whether lighting something asks whether gas escapes from the rig as it stands, now or later: a leak was reported, and
    /// it was not looked for or was found. A relief that weeps now and then is a leak in between too.
    pub(super) fn asks_of_later(self) -> bool {
        self.gas_told && (!self.sought || self.at_its_place())
    }

    /// What lighting breaks where gas escapes now, or escapes now or later \[kg/s\].
    pub(super) fn breaks(self, now: f64, ever: f64) -> Option<Unsafe> {
        let found = if self.gas_told && self.at_its_place() {
            ever
        } else {
            now
        };
        if is_more(found, self.forbids_from()) {
            return Some(Unsafe::LitWhileGasEscaped);
        }
        if self.bubbles_at_a_vent() {
            return Some(Unsafe::LitOverBubbles);
        }
        // The owner's word is knowledge: where gas does escape, whoever did not look is no better off than who found it.
        let escaped = is_more(ever, SEEN_KG_PER_S);
        if !self.is_unsought() || self.escaped_told || (self.unsought_told && !escaped) {
            return None;
        }
        Some(match (self.looked_at_some, escaped) {
            (true, escaped) => Unsafe::LitHalfSought {
                escaped,
                left_out: self.left_out(),
            },
            (false, true) => Unsafe::LitBesideToldGas,
            (false, false) => Unsafe::LitUnsought,
        })
    }

    /// What was not looked at by hand of what has to be.
    fn left_out(self) -> Vec<Joint> {
        let both = self.wetted.into_iter().zip(BY_HAND);
        both.filter(|(wet, _)| !wet).map(|(_, at)| at).collect()
    }

    /// Whether gas was seen or heard where it comes out.
    fn at_its_place(self) -> bool {
        self.place_seen || self.bubbles_at_a_vent()
    }

    /// From what loss on nothing is lit any more \[kg/s\].
    fn forbids_from(self) -> f64 {
        match (self.at_its_place(), self.knows_of_gas()) {
            (true, _) => SEEN_KG_PER_S,
            (_, true) => SMELT_KG_PER_S,
            _ => f64::INFINITY,
        }
    }

    fn unread(&mut self) {
        (self.outlet_read, self.first_read) = (false, false);
    }

    /// What may have put an escape of gas right.
    fn is_mended(&mut self) {
        (self.seen, self.place_seen) = (false, false);
        self.vents = [false; AT_VENTS.len()];
        (self.blows, self.blows_s, self.blows_told) = (false, None, false);
    }

    pub(super) fn done(&mut self, deed: Deed) {
        match deed {
            Deed::Weigh { .. } | Deed::Tap => return,
            Deed::ShutValve { .. } | Deed::ShutFast { .. } => {
                (self.shut, self.blows_s, self.blows_told) = (true, None, false);
            }
            Deed::OpenValve { .. } => self.shut = false,
            Deed::ClearVents => self.is_mended(),
            Deed::SwapHose | Deed::SwapRegulator => {
                self.is_mended();
                self.new_part = true;
                self.part_told = false;
                self.new_regulator |= deed == Deed::SwapRegulator;
            }
            _ => {}
        }
        self.unread();
    }
}

/// Whether a test lights something.
pub fn test_lights(test: Test) -> bool {
    lights(&visit::Act::Test(test))
}

/// Whether a test is made with the container shut from its start.
pub(super) fn wants_no_gas(test: Test) -> bool {
    matches!(test, Test::Air | Test::Fill | Test::NewPiping)
}

/// Whether a test looks where gas comes out.
pub(super) fn seeks_gas(test: Test) -> bool {
    matches!(test, Test::Joints | Test::Vent)
}

/// Whether gas that blows out is left to by an act that takes until `now_s`: by a test that wants gas and does not seek it at once, by
/// anything else once there was time to find where.
pub(super) fn leaves_blowing(act: &visit::Act, since_s: f64, now_s: f64) -> bool {
    match act {
        visit::Act::Test(test) if !wants_no_gas(*test) && !seeks_gas(*test) => true,
        visit::Act::Do(Deed::ShutValve { .. } | Deed::ShutFast { .. }) => false,
        _ => now_s - since_s > SEEK_S,
    }
}

/// Whether an act lights something. A look at the vents or the first stage does: half of its readings are with gas flowing.
pub(super) fn lights(act: &visit::Act) -> bool {
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

#[cfg(test)]
mod tests {
    use super::*;

    /// Gas that was seen at its place forbids from what fluid shows, a loss of the leak check from what is smelt.
    #[test]
    fn what_was_found_says_from_what_loss_on_nothing_is_lit() {
        let known = |seen: bool, place_seen: bool| Known {
            seen,
            place_seen,
            ..Known::default()
        };
        // 0.01 mL/s of propane vapour at 1.86 g/L: the slowest bubble that is seen.
        assert!((known(true, true).forbids_from() - 1.86e-8).abs() < 1e-12);
        assert_eq!(known(true, false).forbids_from(), 5e-5);
        assert_eq!(known(false, false).forbids_from(), f64::INFINITY);
    }

    /// What was read at a vent decides, whatever only the rig knows: bubbles forbid a flame whether or not gas escapes just then, until the
    /// vent is looked at again and shows none; bubbles at a joint are not taken back by another look.
    #[test]
    fn bubbles_at_a_vent_forbid_a_flame_until_it_is_looked_at_again() {
        let look = |joint: Joint| Act::Do(visit::Act::Fluid(joint));
        let read = |item: Id, value: f64| {
            let (uncertainty, at_s) = (None, 0.0);
            [Observation {
                item,
                value,
                uncertainty,
                at_s,
                over: false,
            }]
        };
        let mut known = Known::default();
        let fluid = |known: &mut Known, joint, id, bubbles| {
            let read = read(id, f64::from(bubbles as u8));
            known.learn(&look(joint), &Told::Fluid(joint, bubbles), (&read, 1.0));
        };
        let (none, slow) = (crate::service::Bubbles::None, crate::service::Bubbles::Slow);
        fluid(&mut known, Joint::SecondVent, Id::SecondVentRest, slow);
        assert!(known.knows_of_gas() && known.forbids(Test::FullLoad));
        for escapes in [0.0, 1e-9, 1e-3] {
            let broken = known.breaks(escapes, escapes).expect("it is broken");
            assert!(broken.is_grave(), "{escapes}: {broken:?}");
        }
        // Another vent, or the same with gas flowing, takes nothing back.
        fluid(&mut known, Joint::FirstVent, Id::FirstVentRest, none);
        fluid(&mut known, Joint::SecondVent, Id::SecondVentFlowing, none);
        assert!(known.breaks(0.0, 0.0).is_some());
        fluid(&mut known, Joint::SecondVent, Id::SecondVentRest, none);
        assert!(!known.knows_of_gas() && known.breaks(0.0, 0.0).is_none());
        fluid(&mut known, Joint::LowSide, Id::FluidLowSide, slow);
        fluid(&mut known, Joint::LowSide, Id::FluidLowSide, none);
        assert!(known.knows_of_gas());
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
