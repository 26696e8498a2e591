//! Every value of a run that changes, and what hands have set among them: a copy of a [`Moment`] is a checkpoint.

use super::active::ActiveFault;
use super::flicker::Flicker;
use super::strokes::Strokes;
use super::system::RigSystem;
use crate::rig::{Held, Modes, Rig, RigState};
use crate::scenario::Scenario;
use crate::solver::System;
use serde::Serialize;

/// What a technician has set by hand on the regulator and the low side.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
pub(super) struct HandSettings {
    pub(super) first_turns: f64,
    pub(super) second_turns: f64,
    pub(super) bleed_m2: f64,
    /// Free area at the nut of each hose \[m²\].
    pub(super) nuts_m2: f64,
    /// Seats, first and second, off which a burst of flow has carried what was loose from the start.
    pub(super) flushed: [bool; 2],
    /// Whether the regulator is no longer the scenario's own one.
    pub(super) new_regulator: bool,
}

/// Every value that changes while a scenario runs.
#[derive(Debug, Clone)]
pub struct Moment {
    /// Simulated time \[s\].
    pub t_s: f64,
    /// Continuous state.
    pub state: RigState,
    /// Modes.
    pub modes: Modes,
    /// Faults now in the rig.
    pub faults: Vec<ActiveFault>,
    /// Openings of the seats so far.
    pub strokes: Strokes,
    pub(super) hand: HandSettings,
    pub(super) next_event: usize,
    /// By how much the events of the file come later than it says \[s\].
    pub(super) later_s: f64,
    /// Watches (as bits) that stand past their threshold and have been told.
    pub(super) told: u128,
    pub(super) flicker: Flicker,
    pub(super) initial: Held,
    pub(super) mark_count: usize,
    pub(super) taped: usize,
}

impl Moment {
    /// Area of the test tap that stands open \[m²\].
    pub(super) fn bleed_m2(&self) -> f64 {
        self.hand.bleed_m2
    }

    /// A watch that an act, a fault or another event has carried past its threshold: that is a crossing as much as
    /// one on the way, and is told once.
    pub(super) fn newly_past(&mut self, system: &RigSystem<'_>, y: &[f64]) -> Option<usize> {
        let mut values = [1.0; u128::BITS as usize];
        let values = &mut values[..system.watch_count()];
        system.watches(self.t_s, y, values);
        let past = |(i, v): (usize, &f64)| u128::from(*v < 0.0) << i;
        let past = values.iter().enumerate().map(past).sum::<u128>();
        self.told &= past;
        let new = past & !self.told;
        (new != 0).then(|| {
            let index = new.trailing_zeros() as usize;
            self.told |= 1 << index;
            index
        })
    }
}

/// The rig of a scenario as hands have set it, without its faults and with every test tap shut.
pub(super) fn by_hand(scenario: &Scenario, now: &Moment) -> Rig {
    let mut rig = scenario.rig.clone();
    let hand = &now.hand;
    for (stage, turns, flushed) in [
        (&mut rig.first, hand.first_turns, hand.flushed[0]),
        (&mut rig.second, hand.second_turns, hand.flushed[1]),
    ] {
        if hand.new_regulator {
            stage.renew();
        } else if flushed {
            stage.flush();
        }
        // A screw turned right out leaves the spring loose, never pulling.
        let turned = turns * stage.screw_pitch_m * stage.spring_n_per_m;
        stage.preload_n = (stage.preload_n + turned).max(0.0);
    }
    rig
}
