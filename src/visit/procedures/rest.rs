//! Tests with nothing burning: lock-up, creep, leak fluid at the joints; and what is looked at both at rest and
//! flowing: the vents, the first stage.

use super::handed::AT_ONCE_S;
use super::{Extra, Memory, Seen, time};
use crate::service::{Bubbles, Joint, LIMITS, Limit, bubbles_at, propane_gives_at_most_pa};
use crate::units::inwc_to_pa;
use crate::visit::bench::{Bench, VisitError};
use crate::visit::figure::{Measure, Step, TracePoint};
use crate::visit::hindrance::NothingLit;
use crate::visit::item::Id;
use crate::visit::sight::vent_looks;
use crate::visit::verdict::{Against, Judged, Verdict, against_weather};

/// Lock-up is looked at closely for so long \[s\], and then each second to a minute.
const FINE_S: f64 = 3.0;
/// A lock-up that moves less than this in half a minute has come to rest \[in w.c.\].
const REST_INWC: f64 = 0.03;
/// A lock-up stands from when it stays this near to where it ends \[in w.c.\].
const STANDS_INWC: f64 = 0.2;

/// When a record last was more than `band_pa` off its end \[s after its start\].
fn settled_after_s(trace: &[TracePoint], from_s: f64, band_pa: f64) -> f64 {
    let end_pa = trace.last().map_or(0.0, |p| p.outlet_pa);
    trace
        .iter()
        .rev()
        .find(|p| (p.outlet_pa - end_pa).abs() > band_pa)
        .map_or(0.0, |p| p.time_s - from_s)
}

fn highest(trace: &[TracePoint], of: impl Fn(&TracePoint) -> f64) -> f64 {
    trace.iter().map(of).fold(0.0, f64::max)
}

impl Bench<'_> {
    pub(in crate::visit) fn lock_up(&mut self, memory: &mut Memory) -> Result<Extra, VisitError> {
        self.needs_supply()?;
        if memory.half_pa.is_none() && !memory.from_load {
            self.needs_nothing_lit(NothingLit::LockUp)?;
        }
        let from_load = self.anything_lit().is_some();
        self.trace.clear();
        self.light_exactly(&[])?;
        let from_s = self.sim.time_s();
        self.watch(FINE_S, 0.1)?;
        let r = self.watch(time::LOCK_UP_FIRST - FINE_S, 1.0)?;
        let minute_pa = self.note_low(Id::RestMinute, r.outlet_pa);
        memory.minute_pa = Some((minute_pa, self.kit.high_side(r.first.chamber_pa)));
        if from_load {
            let soon = self
                .trace
                .partition_point(|p| p.time_s <= from_s + AT_ONCE_S);
            let at_once_pa = highest(&self.trace[..soon], |p| p.outlet_pa);
            let settles_s = settled_after_s(&self.trace, from_s, inwc_to_pa(STANDS_INWC));
            self.note_low(Id::RestPeak, at_once_pa);
            self.note(Id::RestSettles, settles_s);
        }
        self.note_high(Id::FirstRest, r.first.chamber_pa);
        let mut before_pa = r.outlet_pa;
        let mut at_rest = false;
        while !at_rest && self.sim.time_s() - from_s < time::LOCK_UP_MOST {
            let now_pa = self.watch(time::LOCK_UP_MORE, 5.0)?.outlet_pa;
            at_rest = (now_pa - before_pa).abs() < inwc_to_pa(REST_INWC);
            before_pa = now_pa;
        }
        let pa = self.read_outlet();
        memory.rest_pa = Some(pa);
        memory.at_rest = Some(self.see()?);
        memory.after_minutes = true;
        self.hear(Id::SoundRest)?;
        let peak_pa = highest(&self.trace, |p| p.outlet_pa);
        let first_peak_pa = highest(&self.trace, |p| p.first_stage_pa);
        let mut figures = vec![
            (Measure::LockUp, pa),
            (Measure::Peak, self.kit.low_side(peak_pa)),
            (Measure::FirstPeak, self.kit.high_side(first_peak_pa)),
        ];
        if let Some(half_pa) = memory.half_pa.filter(|_| memory.half_flowed) {
            figures.push((Measure::Rise, pa - half_pa));
        }
        Ok(Extra {
            still_moving: !at_rest,
            ..Extra::of(figures)
        })
    }

    pub(in crate::visit) fn creep(&mut self, memory: &mut Memory) -> Result<Extra, VisitError> {
        self.needs_supply()?;
        self.needs_nothing_lit(NothingLit::Creep)?;
        let start = self.sim.readings();
        self.wait(time::CREEP, 5.0)?;
        let end = self.sim.readings();
        // A climb counts from the lock-up's minute on, as everywhere (`verdict::numbers`); by itself the test has its own start.
        let own = (
            self.kit.low_side(start.outlet_pa),
            self.kit.high_side(start.first.chamber_pa),
        );
        let (start_pa, first_pa) = memory.minute_pa.take().unwrap_or(own);
        let end_pa = self.note_low(Id::RestCreep, end.outlet_pa);
        self.note_high(Id::FirstCreep, end.first.chamber_pa);
        let first_climb_pa = self.kit.high_side(end.first.chamber_pa) - first_pa;
        memory.at_rest = Some(self.see()?);
        memory.after_minutes = true;
        Ok(Extra::of([
            (Measure::Start, start_pa),
            // Both are read at the same meniscus, so the division cancels in part.
            (Measure::Climb, end_pa - start_pa),
            (Measure::FirstClimb, first_climb_pa),
        ]))
    }

    /// What is seen at rest, from earlier in the visit or by going there now.
    fn at_rest(&mut self, memory: &mut Memory) -> Result<Seen, VisitError> {
        self.needs_supply()?;
        if let Some(seen) = memory.at_rest {
            return Ok(seen);
        }
        self.light_exactly(&[])?;
        self.wait(time::LOCK_UP_FIRST, 1.0)?;
        let seen = self.see()?;
        memory.at_rest = Some(seen);
        Ok(seen)
    }

    /// The same with gas flowing; on site none where nothing would burn.
    fn flowing_now(&mut self, memory: &mut Memory) -> Result<Option<Seen>, VisitError> {
        if memory.flowing.is_some() || (self.on_site && memory.nothing_burns) {
            return Ok(memory.flowing);
        }
        let half = self.half()?;
        let (_, unlit) = self.settle_with(&half)?;
        memory.nothing_burns = unlit.len() >= half.len();
        if !self.on_site || !memory.nothing_burns {
            memory.flowing = Some(self.see()?);
        }
        Ok(memory.flowing)
    }

    /// Whether nothing is lit to look again with gas flowing: nothing burned yet in this visit, and what was met at rest forbids
    /// it, or what was read before.
    fn is_left_unlit(&self, memory: &Memory, forbids: bool) -> bool {
        memory.flowing.is_none() && (forbids || !self.lights)
    }

    /// Leak fluid at both vents, at rest first: where gas comes there no burner is lit to look again with gas flowing.
    pub(in crate::visit) fn vent(&mut self, memory: &mut Memory) -> Result<Extra, VisitError> {
        let rest = self.at_rest(memory)?;
        self.steps.push(Step::FluidAtVents);
        self.note_vents(&rest, [Id::FirstVentRest, Id::SecondVentRest]);
        let bubbles = rest.vents.iter().any(|b| *b != Bubbles::None);
        if !bubbles {
            self.tells_nothing(rest.first_pa, Against::NoPressureHigh);
            self.tells_nothing(rest.outlet_pa, Against::NoPressureLow);
        }
        self.sees_vent();
        if self.is_left_unlit(memory, bubbles) {
            return Ok(Extra::default());
        }
        let Some(flowing) = self.flowing_now(memory)? else {
            self.cannot_look();
            return Ok(Extra::default());
        };
        self.note_vents(&flowing, [Id::FirstVentFlowing, Id::SecondVentFlowing]);
        Ok(Extra::default())
    }

    pub(in crate::visit) fn note_vents(&mut self, seen: &Seen, items: [Id; 2]) {
        for (item, bubbles) in items.into_iter().zip(seen.vents) {
            self.note_bubbles(item, bubbles);
        }
    }

    pub(in crate::visit) fn first_stage(
        &mut self,
        memory: &mut Memory,
    ) -> Result<Extra, VisitError> {
        let after_minutes = memory.after_minutes;
        let rest = self.at_rest(memory)?;
        // In a visit the gauge at rest was read after a minute already, and this is what creep has left.
        let at_rest = if after_minutes {
            Id::FirstCreep
        } else {
            Id::FirstRest
        };
        self.note(at_rest, rest.first_pa);
        let serves = self.sim.readings().service_side;
        let weather = self.against_weather(Measure::InletAtRest, serves, rest.inlet_pa);
        self.beside.extend(weather);
        // Container pressure behind a part made for 10 psi is stop and shut (common practice).
        if self.is_left_unlit(memory, LIMITS.first_danger.is_passed_by(rest.first_pa)) {
            return Ok(Extra::of([
                (Measure::FirstAtRest, rest.first_pa),
                (Measure::InletAtRest, rest.inlet_pa),
            ]));
        }
        let Some(flowing) = self.flowing_now(memory)? else {
            self.cannot_look();
            return Ok(Extra::of([
                (Measure::FirstAtRest, rest.first_pa),
                (Measure::InletAtRest, rest.inlet_pa),
            ]));
        };
        let under_load = if flowing.full {
            Id::FirstFull
        } else {
            Id::FirstHalf
        };
        self.note(under_load, flowing.first_pa);
        Ok(Extra::of([
            (Measure::FirstAtRest, rest.first_pa),
            (Measure::FirstFlowing, flowing.first_pa),
            (Measure::InletAtRest, rest.inlet_pa),
            (Measure::InletFlowing, flowing.inlet_pa),
            (Measure::InletFall, rest.inlet_pa - flowing.inlet_pa),
        ]))
    }

    pub(in crate::visit) fn joints(&mut self) -> Result<Extra, VisitError> {
        self.joints_need_supply()?;
        self.light_exactly(&[])?;
        self.wait(time::SETTLE, 1.0)?;
        self.fluid_at_joints();
        Ok(Extra::default())
    }

    pub(in crate::visit) fn fluid_at_joints(&mut self) {
        let r = self.sim.readings();
        let hoses = r.containers[..r.container_count].iter();
        let high_pa = hoses.map(|c| c.pigtail_pa).fold(f64::INFINITY, f64::min);
        let burners = (0..r.appliance_count).map(|i| bubbles_at(Joint::Burner(i), self.sim));
        let worst = burners.max();
        let pigtail = bubbles_at(Joint::Pigtail, self.sim);
        let low_side = bubbles_at(Joint::LowSide, self.sim);
        let noted = [
            (
                Id::FluidPigtail,
                Some(pigtail),
                high_pa,
                Against::NoPressureHigh,
            ),
            (
                Id::FluidLowSide,
                Some(low_side),
                r.outlet_pa,
                Against::NoPressureLow,
            ),
            (Id::FluidBurner, worst, r.outlet_pa, Against::NoPressureLow),
        ];
        for (item, bubbles, pa, line) in noted {
            let Some(bubbles) = bubbles else { continue };
            if bubbles > Bubbles::None || !self.tells_nothing(pa, line) {
                self.note_bubbles(item, bubbles);
            }
        }
        self.hear_joints();
    }

    /// Nothing would burn for a look with gas flowing: what was seen at rest decides nothing more.
    fn cannot_look(&mut self) {
        self.beside.push(Judged {
            against: Against::NothingBurned,
            value: 0.0,
            limit: None,
            verdict: Verdict::Caution,
        });
    }

    /// On site what bars the second vent is seen where leak fluid is put on it: a sealed vent makes no bubbles.
    fn sees_vent(&mut self) {
        if self.on_site {
            let looks = vent_looks(self.sim, &self.sim.readings());
            self.note(Id::VentLooks, looks as f64);
        }
    }

    /// What a container's own pressure, read at it or at the regulator's inlet at rest, is against what propane gives in this air, and
    /// at the container's own temperature.
    pub(in crate::visit) fn against_weather(
        &self,
        measure: Measure,
        container: usize,
        pa: f64,
    ) -> Option<Judged> {
        let r = self.sim.readings();
        let own_k = r.containers[container].temperature_k + Id::Air.item().uncertainty(r.air_k);
        let errs_pa = 2.0 * Id::Container.item().uncertainty(pa);
        let own = Limit {
            high: propane_gives_at_most_pa(own_k, r.ambient_pa) + errs_pa,
            ..LIMITS.own_warmth
        };
        let of_day = against_weather(measure, pa, r.air_k, r.ambient_pa);
        let judged = match of_day {
            Some(of_day) if of_day.verdict == Verdict::Fail => Some(of_day),
            _ if own.is_passed_by(pa) => Some(Judged {
                against: Against::Figure(measure),
                value: pa,
                limit: Some(own),
                verdict: Verdict::Caution,
            }),
            of_day => of_day,
        };
        judged.filter(|_| self.on_site)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn record(of: &[(f64, f64)]) -> Vec<TracePoint> {
        let point = |&(time_s, outlet_pa): &(f64, f64)| TracePoint {
            time_s,
            outlet_pa,
            first_stage_pa: 2.0 * outlet_pa,
            inlet_pa: 0.0,
        };
        of.iter().map(point).collect()
    }

    /// It stands from the last time that it was more than the band off its end, to either side; the band itself is near.
    #[test]
    fn a_lock_up_stands_from_its_last_swing() {
        let swing = record(&[
            (10.0, 3000.0),
            (11.0, 3300.0),
            (12.0, 2950.0),
            (13.0, 3150.0),
            (20.0, 3100.0),
        ]);
        let after = |band| settled_after_s(&swing, 10.0, band);
        assert_eq!(
            (
                after(60.0),
                after(120.0),
                after(150.0),
                after(199.0),
                after(400.0)
            ),
            (2.0, 2.0, 1.0, 1.0, 0.0)
        );
        assert_eq!(settled_after_s(&[], 0.0, 1.0), 0.0);
    }

    #[test]
    fn the_highest_is_of_what_is_asked() {
        let swing = record(&[(0.0, 5.0), (1.0, 9.0), (2.0, 7.0)]);
        assert_eq!(highest(&swing, |p| p.outlet_pa), 9.0);
        assert_eq!(highest(&swing, |p| p.first_stage_pa), 18.0);
        assert_eq!(highest(&[], |p| p.outlet_pa), 0.0);
    }
}
