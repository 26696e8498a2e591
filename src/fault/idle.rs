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

    /// Why it would do nothing, so much of it, on a rig without it in air that is no colder than this \[K\]; none where it acts.
    pub fn idle_in(self, rig: &Rig, severity: f64, coldest_k: f64) -> Option<Idle> {
        if !self.acts_on(rig) {
            return Some(Idle::NoPart);
        }
        if let Some(freezes_under) = self.entry().freezes_under {
            let under_k = freezes_under(rig, severity);
            let acts = under_k.is_some_and(|k| coldest_k <= k);
            return (!acts).then_some(Idle::TooLittle(under_k));
        }
        let under_k = self.entry().under_k;
        (coldest_k > under_k).then_some(Idle::TooWarm(under_k))
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
