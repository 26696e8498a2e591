//! New parts in a running rig. What was wrong with the old ones the caller clears.

use super::mark::Noted;
use super::simulation::Simulation;
use super::tape::Taped;
use crate::physics::fuel::fill_from_cold;
use crate::rig::ExcessFlow;

/// Fill of a container that comes from the supplier: the limit in use.
const FULL: f64 = 0.8;

impl Simulation {
    /// Does again what another run has noted.
    pub fn do_again(&mut self, taped: &Taped) {
        match taped {
            Taped::Act(action) => self.act(action),
            Taped::NewRegulator => self.fit_new_regulator(),
            Taped::NewContainers => self.fit_new_containers(),
            Taped::HoseNuts(area_m2) => self.loosen_hoses(*area_m2),
            Taped::PutOff(by_s) => self.put_off(*by_s),
        }
    }

    /// Puts a new regulator in: screws as made, no residue, ice or liquid inside, the line blown out.
    pub fn fit_new_regulator(&mut self) {
        self.note_on_tape(Taped::NewRegulator);
        self.now.hand.first_turns = 0.0;
        self.now.hand.second_turns = 0.0;
        self.now.hand.new_regulator = true;
        let before = self.held();
        let s = &mut self.now.state;
        (s.residue_kg, s.ice) = (0.0, 0.0);
        (s.pool_kg, s.slug, s.low_pool_kg) = (0.0, 0.0, 0.0);
        self.rebook(before);
        self.mark(Noted::NewRegulator);
        self.refit();
        self.engine.restart();
    }

    /// Puts off what the file has still to come, by so long \[s\]: without end while somebody is at work on the rig, who has it to
    /// himself.
    pub fn put_off(&mut self, by_s: f64) {
        self.note_on_tape(Taped::PutOff(by_s));
        self.now.later_s = (self.now.later_s + by_s).max(0.0);
    }

    /// Loosens the nut of every hose by so much \[m²\], or makes it tight again: what the regulator does not let through, a
    /// changeover that sticks for one, comes out there.
    pub fn loosen_hoses(&mut self, area_m2: f64) {
        self.note_on_tape(Taped::HoseNuts(area_m2));
        self.now.hand.nuts_m2 = area_m2.max(0.0);
        self.refit();
        self.engine.restart();
    }

    /// Puts full containers on: the scenario's fuel to the limit, purged, as warm as the air; excess-flow valves
    /// open. The hoses keep their gas.
    pub fn fit_new_containers(&mut self) {
        self.note_on_tape(Taped::NewContainers);
        let before = self.held();
        let air_k = self.now.modes.site.air_k.at(self.now.t_s);
        let fractions = self.scenario.rig.fuel.fractions;
        for (i, c) in self.rig.containers.iter().enumerate() {
            let state = &mut self.now.state.containers[i];
            let pigtail_kg = state.pigtail_kg;
            *state = c.filled(fill_from_cold(FULL, air_k), &fractions, air_k, 0.0);
            state.pigtail_kg = pigtail_kg;
            self.now.modes.excess_flow[i] = ExcessFlow::Open;
        }
        self.rebook(before);
        self.mark(Noted::NewContainers);
        self.refit();
        self.engine.restart();
    }
}
