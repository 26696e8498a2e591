//! What is noted by eye and ear.

use crate::rig::Phase;
use crate::service::listen;
use crate::visit::bench::{Bench, VisitError};
use crate::visit::item::Id;
use crate::visit::sight::{glance, look_round, sound_index};

/// "One large", a place in [`crate::visit::item::ODD_ONE`].
const ONE_LARGE: usize = 2;

impl Bench<'_> {
    /// What eyes make of the rig with everything lit.
    pub(in crate::visit) fn look_about(&mut self) {
        let mut seen = look_round(self.sim, &self.lighting);
        let r = self.sim.readings();
        let all = &r.appliances[..r.appliance_count];
        if self.on_site && all.iter().all(|a| a.phase != Phase::Burning) {
            // With every flame out nothing was seen to light promptly or late.
            seen.retain(|(item, _)| *item != Id::Lighting);
        }
        if !self.kept_off.is_empty() {
            // Which one is out is known, and why: where it was seen to burn large, that is what sets it apart.
            seen.retain(|(item, _)| *item != Id::OddOne);
            seen.extend(self.one_is_large.then_some((Id::OddOne, ONE_LARGE)));
        }
        self.note_all(seen);
    }

    /// What eyes make of it after a long draw: flames and frost.
    pub(in crate::visit) fn look_again(&mut self) {
        self.note_all(glance(self.sim, true));
    }

    fn note_all(&mut self, seen: Vec<(Id, usize)>) {
        for (item, word) in seen {
            self.note(item, word as f64);
        }
    }

    /// What is heard of the regulator.
    pub(in crate::visit) fn hear(&mut self, item: Id) -> Result<(), VisitError> {
        let sound = listen(self.sim)?;
        self.note(item, sound_index(sound) as f64);
        self.hear_joints();
        Ok(())
    }
}
