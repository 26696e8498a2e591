//! What a fault can do on a rig, and how it may come on there. Faults that are put in and have nothing to act on: the rig lacks the part, or its air is too warm for them. Nothing is wrong
//! with putting one in; whoever does is told, or would take a healthy rig for a fault that does not show.

use super::{Family, Fault, Onset};
use crate::rig::Rig;

/// Why a fault does nothing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Idle {
    /// The rig lacks what it changes.
    NoPart,
    /// The air never gets so cold \[K\].
    TooWarm(f64),
    /// It never gets so cold that what there is of it freezes \[K\]; none where that freezes in no air.
    TooLittle(Option<f64>),
}

/// In which air a fault acts on a rig.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Acts {
    /// In none: the rig lacks what it changes.
    NoPart,
    /// Under this \[K\], which may be any.
    Under(f64),
    /// Where what there is of it freezes: under this \[K\]; none where in no air.
    FrozenUnder(Option<f64>),
}

impl Acts {
    /// Why it would do nothing in air that is no colder than this \[K\]; none where it acts.
    pub fn idle_in(self, coldest_k: f64) -> Option<Idle> {
        match self {
            Self::NoPart => Some(Idle::NoPart),
            Self::Under(k) => (coldest_k > k).then_some(Idle::TooWarm(k)),
            Self::FrozenUnder(k) => {
                let acts = k.is_some_and(|k| coldest_k <= k);
                (!acts).then_some(Idle::TooLittle(k))
            }
        }
    }
}

impl Fault {
    /// Whether it wears in as the seat of its stage opens and shuts: what is worn of the regulator's moving parts, and no mud in a
    /// vent nor a leak elsewhere.
    pub fn wears_by_strokes(self) -> bool {
        let e = self.entry();
        let moves = matches!(
            e.family,
            Family::Seat | Family::Diaphragm | Family::Spring | Family::Lever
        );
        moves && matches!(e.onset, Onset::Wear)
    }

    /// In which air it acts, so much of it, on a rig without it. Water is asked for by dozens of flashes.
    pub fn acts_where(self, rig: &Rig, severity: f64) -> Acts {
        if !self.acts_on(rig) {
            return Acts::NoPart;
        }
        match self.entry().freezes_under {
            Some(freezes_under) => Acts::FrozenUnder(freezes_under(rig, severity)),
            None => Acts::Under(self.entry().under_k),
        }
    }

    /// Why it would do nothing, so much of it, on a rig without it in air that is no colder than this \[K\]; none where it acts.
    pub fn idle_in(self, rig: &Rig, severity: f64, coldest_k: f64) -> Option<Idle> {
        self.acts_where(rig, severity).idle_in(coldest_k)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Seats, springs and levers wear as they move; mud, water, paint, a hose and an appliance do not (common practice).
    #[test]
    fn only_what_moves_wears_by_its_strokes() {
        let wears = |id| Fault::named(id).expect("a fault").wears_by_strokes();
        for id in [
            "second_seat_nick",
            "first_seat_hard",
            "second_spring_weak",
            "diaphragm_pinhole",
        ] {
            assert!(wears(id), "{id}");
        }
        for id in [
            "second_vent_blocked",
            "vent_screen_painted",
            "vent_turned_up",
            "second_screw_high",
            "second_seat_grit",
            "hose_kinked",
            "spud_clogged",
            "container_low",
        ] {
            assert!(!wears(id), "{id}");
        }
    }
}
