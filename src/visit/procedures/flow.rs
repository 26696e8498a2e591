//! Tests with gas flowing: flow pressure, full load, the gauges along the way, eyes and ears, a long draw, the reserve
//! side, the same load from below and from above, the smallest burner.

use super::plate;
use super::{Extra, Memory, time};
use crate::rig::Readings;
use crate::scenario::Action;
use crate::units::inwc_to_pa;
use crate::visit::bench::{Bench, VALVE_S, VisitError};
use crate::visit::figure::{Measure, Step};
use crate::visit::item::Id;
use crate::visit::sight::smallest;

/// An outlet under this at full load on the reserve is one that gives out \[in w.c.\].
const GIVES_OUT_INWC: f64 = 8.0;
/// How long flames are looked on at before they are judged \[s\].
const LOOK_ON_S: f64 = 45.0;
/// How long the reserve is given to take over \[s\].
const TAKE_OVER_S: f64 = 60.0;

/// Outlet and manifold, and how far the one stands over the other.
fn pipe_drop(b: &Bench<'_>, r: &Readings) -> (Measure, f64) {
    (
        Measure::PipeDrop,
        b.kit.low_side(r.outlet_pa) - b.kit.low_side(r.manifold_pa),
    )
}

impl Bench<'_> {
    /// Half of the load come to from below.
    fn at_half(&mut self, memory: &mut Memory) -> Result<(Readings, Vec<usize>), VisitError> {
        let half = self.half()?;
        let modes = &self.sim.moment().modes.appliances;
        if (0..self.all().len()).any(|i| modes[i].on && !half.contains(&i)) {
            self.light_exactly(&[])?;
            self.wait(time::SETTLE, 1.0)?;
        }
        let (r, unlit) = self.settle_with(&half)?;
        memory.half_pa = Some(self.kit.low_side(r.outlet_pa));
        memory.half_flowed = unlit.len() < half.len();
        memory.nothing_burns = !memory.half_flowed;
        Ok((r, unlit))
    }

    pub(in crate::visit) fn flow_pressure(
        &mut self,
        memory: &mut Memory,
    ) -> Result<Extra, VisitError> {
        self.needs_supply()?;
        let (r, unlit) = self.at_half(memory)?;
        self.note_low(Id::HalfOutlet, r.outlet_pa);
        let asked = self.half()?.len();
        Ok(Extra {
            plate: plate::judged(&r, self.sim.rig()),
            ..Extra::of([(Measure::Load, r.flow_w)])
                .unlit(unlit)
                .asked(asked)
        })
    }

    pub(in crate::visit) fn full_load(&mut self, memory: &mut Memory) -> Result<Extra, VisitError> {
        self.needs_supply()?;
        let half_pa = if let Some(pa) = memory.half_pa {
            pa
        } else {
            let (r, _) = self.at_half(memory)?;
            self.kit.low_side(r.outlet_pa)
        };
        let (_, unlit) = self.settle_with(&self.all())?;
        memory.nothing_burns = unlit.len() >= self.all().len();
        let mut seen = self.see()?;
        seen.full = true;
        // On site what is looked at with every flame out is not taken for a look with gas flowing.
        memory.flowing = (!self.on_site || !memory.nothing_burns).then_some(seen);
        let r = self.sim.readings();
        let full_pa = self.note_low(Id::FullOutlet, r.outlet_pa);
        self.note_low(Id::FullManifold, r.manifold_pa);
        self.note_high(Id::FullInlet, r.containers[r.service_side].pigtail_pa);
        self.note_high(Id::FirstFull, r.first.chamber_pa);
        let fall = memory
            .half_flowed
            .then_some((Measure::Fall, half_pa - full_pa));
        let others = [pipe_drop(self, &r), (Measure::Load, r.flow_w)];
        Ok(Extra {
            plate: plate::judged(&r, self.sim.rig()),
            thin_air: plate::thin_air(&r, self.sim.rig()),
            ..Extra::of(fall.into_iter().chain(others))
                .unlit(unlit)
                .asked(self.all().len())
        })
    }

    pub(in crate::visit) fn along(&mut self, memory: &mut Memory) -> Result<Extra, VisitError> {
        self.needs_supply()?;
        let (r, _) = self.at_half(memory)?;
        self.note_low(Id::HalfManifold, r.manifold_pa);
        self.note_high(Id::HalfInlet, r.containers[r.service_side].pigtail_pa);
        let (r, unlit) = self.settle_with(&self.all())?;
        self.note_low(Id::FullManifold, r.manifold_pa);
        self.note_high(Id::FullInlet, r.containers[r.service_side].pigtail_pa);
        Ok(Extra::of([pipe_drop(self, &r)])
            .unlit(unlit)
            .asked(self.all().len()))
    }

    /// Burners are lit from all off, unless everything burns and was seen to light.
    pub(in crate::visit) fn look_and_listen(&mut self) -> Result<Extra, VisitError> {
        self.needs_supply()?;
        self.settle_with(&self.all())?;
        // What jumped as the others were lit is steady by then, and what drops out has.
        self.wait(LOOK_ON_S, 1.0)?;
        let unlit = self.unlit(&self.all())?;
        self.look_about();
        self.hear(Id::SoundFlowing)?;
        Ok(Extra::default().unlit(unlit))
    }

    pub(in crate::visit) fn long_draw(&mut self) -> Result<Extra, VisitError> {
        self.needs_supply()?;
        self.settle_with(&self.all())?;
        self.draw_on()?;
        Ok(Extra::default().unlit(self.unlit(&self.all())?))
    }

    /// Three more minutes of what burns.
    pub(in crate::visit) fn draw_on(&mut self) -> Result<(), VisitError> {
        let r = self.wait(time::LONG_DRAW, 2.0)?;
        self.note_low(Id::LongOutlet, r.outlet_pa);
        self.note_high(Id::LongContainer, r.containers[r.service_side].pressure_pa);
        self.look_again();
        Ok(())
    }

    pub(in crate::visit) fn reserve(&mut self) -> Result<Extra, VisitError> {
        self.needs_supply()?;
        if self.sim.rig().changeover.is_none() {
            self.note(Id::Reserve, 0.0);
            return Ok(Extra::default());
        }
        self.settle_with(&self.all())?;
        self.try_reserve()?;
        // Gas comes back to burners that burn or are shut.
        self.shut_unlit();
        // As it was: the next test is of the service side again.
        let container = self.sim.moment().modes.service_side;
        self.steps.push(Step::ValveOpened(container));
        self.open_slowly(container)?;
        Ok(Extra::default())
    }

    /// The service side shut, and whether the other one takes over.
    pub(in crate::visit) fn try_reserve(&mut self) -> Result<(), VisitError> {
        let container = self.sim.moment().modes.service_side;
        let shut = Action::shut(container, VALVE_S);
        self.act(&shut, Step::ValveShut(container));
        let r = self.wait(TAKE_OVER_S, 1.0)?;
        let gives_out = r.outlet_pa < inwc_to_pa(GIVES_OUT_INWC);
        self.note(Id::Reserve, if gives_out { 2.0 } else { 1.0 });
        Ok(())
    }

    pub(in crate::visit) fn load_up_down(
        &mut self,
        memory: &mut Memory,
    ) -> Result<Extra, VisitError> {
        self.needs_supply()?;
        let below_pa = if let Some(pa) = memory.half_pa {
            pa
        } else {
            let (r, _) = self.at_half(memory)?;
            self.kit.low_side(r.outlet_pa)
        };
        let modes = &self.sim.moment().modes.appliances;
        if self.all().iter().any(|&i| !modes[i].on) {
            self.settle_with(&self.all())?;
        }
        let above_pa = self.half_from_above()?;
        let half = self.half()?;
        let unlit = self.unlit(&half)?;
        let figures = [
            (Measure::FromBelow, below_pa),
            (Measure::Band, above_pa - below_pa),
        ];
        Ok(Extra::of(figures).unlit(unlit).asked(half.len()))
    }

    /// Back at half load, then a tap.
    pub(in crate::visit) fn half_from_above(&mut self) -> Result<f64, VisitError> {
        let (r, _) = self.settle_with(&self.half()?)?;
        let above_pa = self.note_low(Id::AboveOutlet, r.outlet_pa);
        self.act(&Action::Tap, Step::Tapped);
        let r = self.wait(3.0, 0.5)?;
        self.note_low(Id::AboveTapped, r.outlet_pa);
        Ok(above_pa)
    }

    pub(in crate::visit) fn pilots(&mut self) -> Result<Extra, VisitError> {
        self.needs_supply()?;
        let least = smallest(self.sim.rig());
        let (r, unlit) = self.settle_with(&[least])?;
        self.note_low(Id::PilotsOutlet, r.outlet_pa);
        Ok(Extra::of([(Measure::Load, r.flow_w)]).unlit(unlit).asked(1))
    }
}
