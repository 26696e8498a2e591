//! One whole visit to a rig, run straight through: the true value of every item a person could
//! find out there. The library of causes is made of such visits; so is the truth of a drill when
//! it is generated.
//!
//! Order: at rest, half load, full load (and a warm cloth there), half load from above and a tap,
//! rest, creep, flush, leak check. Each stretch lasts as long as the trade's test does.

use super::item::{Id, Values};
use super::sight::{half_load, look, sound_index};
use crate::rig::Readings;
use crate::scenario::{Action, Scenario};
use crate::service::{self, Joint, TestKind, bubbles_at, listen};
use crate::sim::Simulation;
use crate::solver::Method;
use std::sync::Arc;

/// Time from lighting to the reading \[s\]: two trials of a spark control and a while to settle.
const LIT_S: f64 = 45.0;
/// Time at rest after a flush \[s\].
const REST_S: f64 = 60.0;
/// Further time at rest for creep \[s\].
const CREEP_S: f64 = 300.0;
/// Temperature of the cloth \[K\] and how long it lies on \[s\].
const CLOTH: (f64, f64) = (313.15, 60.0);
/// Open test tap during a flush \[m²\] and how long \[s\].
const FLUSH: (f64, f64) = (60e-6, 4.0);
/// Open test tap of the leak check \[m²\], how long at most \[s\], the start \[Pa\], the hold \[s\].
const LEAK: (f64, f64, f64, f64) = (1.5e-6, 60.0, 2241.8, 180.0);

/// The rig of a visit: the healthy scenario as [`service::prepare`] makes it, without the faults
/// of its own events. Thermostats are taken off, so that every burner burns when asked.
#[must_use]
pub fn visited(scenario: &Scenario) -> Scenario {
    let mut out = service::prepare(scenario, &[]);
    out.events.clear();
    for a in &mut out.rig.appliances {
        a.thermal = None;
    }
    out.run.settle_s = 10.0;
    out
}

struct Visit {
    sim: Simulation,
    values: Values,
}

/// Why a visit gave nothing, in words.
pub type Trouble = String;

/// Makes the visit. `scenario` has its faults among its events.
///
/// # Errors
/// What stopped the run.
pub fn visit(scenario: &Arc<Scenario>) -> Result<Values, Trouble> {
    let told = |e: crate::sim::SimError| e.to_string();
    let sim =
        Simulation::start(scenario.clone(), Method::Stiff, service::TOLERANCE).map_err(told)?;
    let mut v = Visit {
        sim,
        values: [0.0; super::item::ITEMS],
    };
    v.wait(10.0)?;
    let r = v.sim.readings();
    v.set(Id::Fuel, r.containers[r.service_side].fuel_kg);
    v.flowing()?;
    v.at_rest()?;
    v.leak_check()?;
    Ok(v.values)
}

impl Visit {
    fn set(&mut self, id: Id, value: f64) {
        self.values[id.index()] = value;
    }

    fn wait(&mut self, duration_s: f64) -> Result<Readings, Trouble> {
        let until_s = self.sim.time_s() + duration_s;
        self.sim
            .advance(until_s, None, &mut |_| {})
            .map_err(|e| e.to_string())?;
        Ok(self.sim.readings())
    }

    fn light(&mut self, wanted: &[usize]) {
        for appliance in 0..self.sim.rig().appliances.len() {
            let on = wanted.contains(&appliance);
            if self.sim.moment().modes.appliances[appliance].on != on {
                self.sim.act(&Action::Switch { appliance, on });
            }
        }
    }

    fn all(&self) -> Vec<usize> {
        (0..self.sim.rig().appliances.len()).collect()
    }

    fn gauges(&mut self, ids: [Id; 5], r: &Readings) {
        let c = &r.containers[r.service_side];
        let values = [
            r.outlet_pa,
            r.manifold_pa,
            r.first.chamber_pa,
            c.pigtail_pa,
            c.pressure_pa,
        ];
        for (id, value) in ids.into_iter().zip(values) {
            self.set(id, value);
        }
    }

    fn bubbles(&mut self, id: Id, joint: Joint) {
        let seen = bubbles_at(joint, &self.sim) as u8;
        self.set(id, f64::from(seen));
    }

    fn hear(&mut self, id: Id) -> Result<(), Trouble> {
        let sound = listen(&mut self.sim).map_err(|e| e.to_string())?;
        self.set(id, sound_index(sound) as f64);
        Ok(())
    }

    fn flowing(&mut self) -> Result<(), Trouble> {
        let half = half_load(self.sim.rig());
        self.light(&half);
        let r = self.wait(LIT_S)?;
        let from_below_pa = r.outlet_pa;
        self.gauges(
            [
                Id::HalfOutlet,
                Id::HalfManifold,
                Id::HalfFirst,
                Id::HalfInlet,
                Id::HalfContainer,
            ],
            &r,
        );
        self.light(&self.all());
        let r = self.wait(LIT_S)?;
        self.gauges(
            [
                Id::FullOutlet,
                Id::FullManifold,
                Id::FullFirst,
                Id::FullInlet,
                Id::FullContainer,
            ],
            &r,
        );
        self.see();
        self.bubbles(Id::FullFirstVent, Joint::FirstVent);
        self.bubbles(Id::FullSecondVent, Joint::SecondVent);
        self.hear(Id::FullSound)?;
        let cold = self.sim.moment().clone();
        self.sim.act(&Action::Warm { to_k: CLOTH.0 });
        let r = self.wait(CLOTH.1)?;
        self.set(Id::WarmFull, r.outlet_pa);
        self.sim.go_back_to(&cold);
        self.light(&half);
        let r = self.wait(LIT_S)?;
        self.set(Id::Band, r.outlet_pa - from_below_pa);
        self.sim.act(&Action::Tap);
        let tapped = self.wait(2.0)?;
        self.set(Id::TapShift, tapped.outlet_pa - r.outlet_pa);
        Ok(())
    }

    fn see(&mut self) {
        let sight = look(&self.sim);
        self.set(Id::Flames, sight.flames as f64);
        self.set(Id::OddOne, sight.odd_one as f64);
        self.set(Id::FrostBody, f64::from(u8::from(sight.frost_body)));
        self.set(
            Id::FrostContainer,
            f64::from(u8::from(sight.frost_container)),
        );
        self.set(Id::VentLooks, sight.vent as f64);
    }

    fn at_rest(&mut self) -> Result<(), Trouble> {
        self.light(&[]);
        // The trade's own test, so that what a trainee reads is held against the same: it waits
        // until the outlet has come to rest.
        let mut listener = |_: &service::Progress| true;
        let mut bench = service::Bench::new(&mut self.sim, &mut listener);
        let lock_up = service::run(&mut bench, TestKind::LockUp).map_err(|e| e.to_string())?;
        self.set(Id::Settle, lock_up.figure("settled after").unwrap_or(0.0));
        self.set(Id::Peak, lock_up.figure("peak").unwrap_or(0.0));
        let r = self.sim.readings();
        self.gauges(
            [
                Id::RestOutlet,
                Id::RestManifold,
                Id::RestFirst,
                Id::RestInlet,
                Id::RestContainer,
            ],
            &r,
        );
        for (id, joint) in [
            (Id::RestFirstVent, Joint::FirstVent),
            (Id::RestSecondVent, Joint::SecondVent),
            (Id::Pigtail, Joint::Pigtail),
            (Id::LowSide, Joint::LowSide),
        ] {
            self.bubbles(id, joint);
        }
        let worst = self
            .all()
            .into_iter()
            .map(|i| bubbles_at(Joint::Burner(i), &self.sim) as u8)
            .max();
        self.set(Id::Burners, f64::from(worst.unwrap_or(0)));
        self.hear(Id::RestSound)?;
        let later = self.wait(CREEP_S)?;
        self.set(Id::LongRestOutlet, later.outlet_pa);
        self.set(Id::LongRestFirst, later.first.chamber_pa);
        self.set(Id::Climb, later.outlet_pa - r.outlet_pa);
        let before = self.sim.moment().clone();
        self.sim.act(&Action::Bleed { area_m2: FLUSH.0 });
        self.wait(FLUSH.1)?;
        self.sim.act(&Action::Bleed { area_m2: 0.0 });
        let r = self.wait(REST_S)?;
        self.set(Id::FlushRest, r.outlet_pa);
        self.sim.go_back_to(&before);
        Ok(())
    }

    /// Container shut, low side bled to 9 in w.c., held three minutes; then the piping alone.
    fn leak_check(&mut self) -> Result<(), Trouble> {
        let mut listener = |_: &service::Progress| true;
        let mut bench = service::Bench::new(&mut self.sim, &mut listener);
        let piping = service::run(&mut bench, TestKind::NewPiping).map_err(|e| e.to_string())?;
        self.set(Id::PipingDrop, piping.figure("drop").unwrap_or(0.0));
        // A leak check with a reserve that can feed is none.
        for container in 0..self.sim.rig().containers.len() {
            self.sim.act(&Action::Valve {
                container,
                open: 0.0,
                over_s: 2.0,
            });
        }
        self.wait(3.0)?;
        let (area_m2, most_s, start_pa, hold_s) = LEAK;
        let end_s = self.sim.time_s() + most_s;
        while self.sim.readings().outlet_pa > start_pa && self.sim.time_s() < end_s {
            self.bleed(area_m2, start_pa)?;
        }
        let r = self.wait(5.0)?;
        let start_pa = r.outlet_pa;
        let r = self.wait(hold_s)?;
        self.set(Id::LeakChange, r.outlet_pa - start_pa);
        Ok(())
    }

    /// Bleeds for eight seconds or, going back once, to the moment the outlet is down.
    fn bleed(&mut self, area_m2: f64, stop_pa: f64) -> Result<(), Trouble> {
        let from = self.sim.moment().clone();
        let from_s = self.sim.time_s();
        let mut crossed_s = None;
        self.sim.act(&Action::Bleed { area_m2 });
        self.sim
            .advance(from_s + 8.0, Some(0.05), &mut |r| {
                if crossed_s.is_none() && r.outlet_pa <= stop_pa {
                    crossed_s = Some(r.time_s);
                }
            })
            .map_err(|e| e.to_string())?;
        if let Some(at_s) = crossed_s {
            self.sim.go_back_to(&from);
            self.sim.act(&Action::Bleed { area_m2 });
            self.wait(at_s - from_s)?;
        }
        self.sim.act(&Action::Bleed { area_m2: 0.0 });
        Ok(())
    }
}
