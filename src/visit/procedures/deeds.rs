//! Tests that do something to the regulator and look what it changes: a flush, a warm cloth, a climb. And what is read
//! by itself: the air, the container.

use super::{Extra, time};
use crate::physics::fuel::fill_when_cold;
use crate::rig::Phase;
use crate::scenario::{Action, SiteValue};
use crate::units::M_PER_FT;
use crate::visit::bench::{Bench, VisitError};
use crate::visit::deeds::Deed;
use crate::visit::figure::{Measure, Step};
use crate::visit::hands::perform;
use crate::visit::item::Id;
use crate::visit::sight::smallest;

/// The climb \[m\] and how long the road takes \[s\].
const CLIMB: (f64, f64) = (1000.0 * M_PER_FT, 600.0);

impl Bench<'_> {
    pub(in crate::visit) fn air(&mut self) -> Extra {
        let shown = self.kit.thermometer.at_rest(self.sim.readings().air_k);
        self.note(Id::Air, shown);
        self.note(Id::Elevation, self.sim.readings().elevation_m);
        Extra::default()
    }

    pub(in crate::visit) fn container(&mut self) -> Result<Extra, VisitError> {
        let modes = &self.sim.moment().modes.appliances;
        let burning = modes.iter().any(|m| m.phase == Phase::Burning);
        if burning {
            self.light_exactly(&[])?;
            self.wait(time::SETTLE, 1.0)?;
        }
        let r = self.sim.readings();
        let second = self.second_container();
        let read = [
            (Id::Container, Some(r.service_side)),
            (Id::SecondContainer, second),
        ];
        for (item, container) in read {
            let Some(container) = container else { continue };
            let pa = r.containers[container].pressure_pa;
            self.note_high(item, pa);
            let shown_pa = self.kit.high_side(pa);
            let weather = self.against_weather(Measure::Read(item), container, shown_pa);
            self.beside.extend(weather);
        }
        Ok(Extra::default())
    }

    pub(in crate::visit) fn fill(&mut self) -> Extra {
        let r = self.sim.readings();
        let weighed =
            |c: usize| fill_when_cold(r.containers[c].fill, r.containers[c].temperature_k);
        self.note(Id::Fill, weighed(r.service_side));
        if let Some(second) = self.second_container() {
            self.note(Id::SecondFill, weighed(second));
        }
        Extra::default()
    }

    /// The container that does not serve, on a rig of two.
    fn second_container(&self) -> Option<usize> {
        let serves = self.sim.readings().service_side;
        (0..self.sim.rig().containers.len()).find(|&c| c != serves)
    }

    pub(in crate::visit) fn flush(&mut self) -> Result<Extra, VisitError> {
        self.needs_supply()?;
        self.light_exactly(&[])?;
        self.flush_and_rest()?;
        Ok(Extra::default())
    }

    /// A burst of flow, then a minute of rest.
    pub(in crate::visit) fn flush_and_rest(&mut self) -> Result<(), VisitError> {
        self.steps.push(Step::Flushed);
        perform(self, Deed::Flush)?;
        let r = self.wait(time::LOCK_UP_FIRST, 1.0)?;
        self.note_low(Id::FlushOutlet, r.outlet_pa);
        self.note_high(Id::FlushFirst, r.first.chamber_pa);
        Ok(())
    }

    pub(in crate::visit) fn warm(&mut self) -> Result<Extra, VisitError> {
        self.needs_supply()?;
        let (_, unlit) = self.settle_with(&self.all())?;
        self.warm_and_rest()?;
        Ok(Extra::default().unlit(unlit))
    }

    /// A warm cloth while it flows, then a minute of rest.
    pub(in crate::visit) fn warm_and_rest(&mut self) -> Result<(), VisitError> {
        self.steps.push(Step::Warmed);
        perform(self, Deed::WarmCloth)?;
        let r = self.sim.readings();
        self.note_low(Id::WarmFull, r.outlet_pa);
        self.light_exactly(&[])?;
        let r = self.wait(time::LOCK_UP_FIRST, 1.0)?;
        self.note_low(Id::WarmRest, r.outlet_pa);
        Ok(())
    }

    pub(in crate::visit) fn climb(&mut self) -> Result<Extra, VisitError> {
        self.needs_supply()?;
        // The smallest burner lets out what the climb would trap in the low side.
        self.settle_with(&[smallest(self.sim.rig())])?;
        let site = self.sim.moment().modes.site;
        let to = site.elevation_m.at(self.sim.time_s()) + CLIMB.0;
        let (value, over_s) = (SiteValue::Elevation, CLIMB.1);
        self.act(&Action::Site { value, to, over_s }, Step::Climbed(CLIMB.0));
        self.wait(CLIMB.1 + 1.0, 10.0)?;
        self.light_exactly(&[])?;
        let r = self.wait(time::LOCK_UP_FIRST, 1.0)?;
        self.note_low(Id::ClimbRest, r.outlet_pa);
        Ok(Extra::of([(Measure::LockUp, self.read_outlet())]))
    }
}
