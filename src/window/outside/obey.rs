//! Where what a hand is to do goes: to the run on show and the bench's instruments, by the acts that files know too.

use super::OutsideView;
use super::hands::Hand;
use crate::scenario::Action;
use crate::sim::Command;
use crate::visit::Deed;
use crate::window::bench::BenchPage;
use crate::window::desk::Desk;

/// How long a careful and a careless hand turn a valve \[s\].
const OPEN_S: (f64, f64) = (8.0, 0.3);

impl OutsideView {
    /// Does what a hand was asked to do to the run on show.
    pub fn obey(&mut self, hand: Hand, bench: &mut BenchPage, desk: &mut Desk<'_>) {
        match hand {
            Hand::Cover(shut) => self.cover_shut = shut,
            hand => carry_out(hand, bench, desk),
        }
    }
}

fn carry_out(hand: Hand, bench: &mut BenchPage, desk: &mut Desk<'_>) {
    let rack = bench.rack().clone();
    let act = match hand {
        Hand::Switch(appliance, on) => Action::Switch { appliance, on },
        Hand::Reset(appliance) => Action::Reset { appliance },
        Hand::Knob(side) => Action::Knob { side },
        Hand::Valve {
            container,
            open,
            slowly,
        } => Action::Valve {
            container,
            open: f64::from(u8::from(open)),
            over_s: match (open, slowly) {
                (true, true) => OPEN_S.0,
                (true, false) => OPEN_S.1,
                _ => 1.0,
            },
        },
        Hand::Screw(stage, degrees) => Action::TurnScrew {
            stage,
            turns: degrees / 360.0,
        },
        Hand::Tap => Action::Tap,
        Hand::Warm => return bench.deed(Deed::WarmCloth, desk),
        Hand::ClearVents => return bench.deed(Deed::ClearVents, desk),
        Hand::Listen => return bench.listen(desk),
        Hand::Fit(point, device) => {
            rack.fit(point, device);
            return;
        }
        Hand::TakeOff(i) => return rack.take_off(i),
        Hand::Refill(i) => return rack.refill(i),
        Hand::Fluid(joint, on) => return rack.put_fluid(joint, on),
        Hand::Thumb(stage, on) => Action::Thumb { stage, on },
        Hand::Look | Hand::Cover(_) => return,
    };
    desk.send.push(Command::Act(act));
}
