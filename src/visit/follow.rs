//! Acts carried out, and what each gives: plain data.

use super::act::{Act, Which};
use super::bench::{Bench, VisitError};
use super::hands::perform;
use super::hindrance::Hindrance;
use super::procedures::run;
use super::report::TestResult;
use super::sight::{burners, half_load, vent_looks};
use super::told::Told;
use crate::fault::Fault;
use crate::physics::fuel::fill_when_cold;
use crate::rig::Phase;
use crate::scenario::Action;
use crate::service::{
    Bubbles, Device, Joint, LIMITS, Sound, TestPoint, bubbles_at, escapes_aloud, frost_seen, listen,
};
use serde::Serialize;

/// How long burners are watched after they were asked to light, and shut off \[s\].
const LIGHTING_S: f64 = 45.0;
const OFF_S: f64 = 2.0;
/// How long after a reset one looks again \[s\].
const RESET_S: f64 = 10.0;
/// A gauge that is watched is looked at so often \[s\], once it has had so long to rest \[s\].
const LOOKS_S: f64 = 0.05;
const RESTS_S: f64 = 600.0;
/// A fault that is put in has come on after this \[s\].
const COMES_ON_S: f64 = 2.0;

/// What an act gave.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Reply {
    /// A test, with its record and verdict.
    Test(Box<TestResult>),
    /// All else.
    #[serde(untagged)]
    Told(Told),
}

impl Reply {
    /// The caution that belongs to the act.
    pub fn caution(&self) -> &'static str {
        match self {
            Self::Test(result) => result.test.caution(),
            Self::Told(told) => told.caution(),
        }
    }

    /// What of it is told to one who must judge it.
    pub fn told(self) -> Told {
        match self {
            Self::Test(r) => Told::Test {
                test: r.test,
                figures: r.figures,
                unlit: r.unlit,
                still_moving: r.still_moving,
                spoiled: r.spoiled,
            },
            Self::Told(told) => told,
        }
    }
}

impl Act {
    /// Carries it out.
    ///
    /// # Errors
    /// [`VisitError`]: the state forbids it, the rig has no such part, or the run failed.
    pub fn follow(&self, b: &mut Bench<'_>) -> Result<Reply, VisitError> {
        Ok(Reply::Told(match *self {
            Self::Test(test) => return Ok(Reply::Test(Box::new(run(b, test)?))),
            Self::Do(deed) => {
                let done = perform(b, deed)?;
                Told::Deed(done.deed, done.effect)
            }
            Self::Light(which) => {
                b.switch(which, true);
                b.wait(LIGHTING_S, 1.0)?;
                Told::Burners(burners(b.sim))
            }
            Self::Off(which) => {
                b.switch(which, false);
                b.wait(OFF_S, 0.5)?;
                Told::Burners(burners(b.sim))
            }
            Self::Reset(appliance) => {
                b.sim.act(&Action::Reset { appliance });
                b.wait(RESET_S, 1.0)?;
                Told::Burners(burners(b.sim))
            }
            Self::Read {
                point,
                gauge,
                watched_s,
            } => b.gauge(point, gauge, watched_s)?,
            Self::Thermometer(place) => {
                let k = place.temperature_k(&b.sim.readings());
                Told::Warmth(place, b.kit.thermometer.at_rest(k))
            }
            Self::Fluid(joint) => Told::Fluid(joint, bubbles_at(joint, b.sim)),
            Self::Look => {
                let r = b.sim.readings();
                Told::Sight {
                    burners: burners(b.sim),
                    frost: frost_seen(&r),
                    vent: vent_looks(b.sim, &r),
                    indicator_red: b.sim.rig().changeover.map(|_| r.indicator_red),
                }
            }
            Self::Listen => Told::Heard(b.listens()?),
            Self::Wait(s) => {
                b.wait(s, 1.0_f64.max(s / 600.0))?;
                Told::Passed(b.elapsed_s())
            }
        }))
    }
}

impl Bench<'_> {
    /// Switches appliances; half of the load means no others.
    fn switch(&mut self, which: Which, on: bool) {
        let half = half_load(self.sim.rig());
        for appliance in 0..self.sim.rig().appliances.len() {
            let on = match which {
                Which::One(i) if i == appliance => on,
                Which::One(_) => continue,
                Which::All => on,
                Which::Half => on == half.contains(&appliance),
            };
            if self.sim.moment().modes.appliances[appliance].on != on {
                self.sim.act(&Action::Switch { appliance, on });
            }
        }
    }

    /// What a gauge shows that was put on with care, and between what it moves while it is watched.
    fn gauge(
        &mut self,
        point: TestPoint,
        gauge: Option<Device>,
        watched_s: f64,
    ) -> Result<Told, VisitError> {
        point.check(self.sim.rig())?;
        let now_pa = point.pressure_pa(&self.sim.readings());
        let mut device = gauge.unwrap_or_else(|| Device::for_pressure(now_pa, &self.kit));
        device.step(RESTS_S, now_pa);
        let mut between = [device.stands_pa(); 2];
        if watched_s > 0.0 {
            let mut time_s = self.sim.time_s();
            let until_s = time_s + watched_s;
            self.sim.advance(until_s, Some(LOOKS_S), &mut |r| {
                device.step(r.time_s - time_s, point.pressure_pa(r));
                time_s = r.time_s;
                between[0] = between[0].min(device.stands_pa());
                between[1] = between[1].max(device.stands_pa());
            })?;
        }
        Ok(Told::Gauge {
            point,
            gauge: device.name(),
            low: device.is_low(),
            shown: device.shown(),
            between: (watched_s > 0.0).then_some(between),
        })
    }
}

impl Bench<'_> {
    /// Carries out an act by its words: `light furnace`, `read outlet`, `test lock-up` ([`super::GRAMMAR`]).
    ///
    /// # Errors
    /// [`VisitError`]: no such act, or it cannot be done now.
    pub fn follow(&mut self, words: &str) -> Result<Reply, VisitError> {
        let act = Act::parse_one(words, self.sim.rig())?;
        act.follow(self)
    }

    /// What is heard: of the regulator, and on site of hoses and joints where they are louder.
    ///
    /// # Errors
    /// [`VisitError`]: the run failed.
    pub fn listens(&mut self) -> Result<Sound, VisitError> {
        let sound = listen(self.sim)?;
        let aloud = escapes_aloud(self.sim).filter(|_| self.on_site && sound != Sound::Roar);
        Ok(aloud.map_or(sound, Sound::Escapes))
    }

    /// What about the rig as it stands forbids a flame: gas that leak fluid would show, an outlet over 14 in w.c. at rest, a first stage
    /// over 25 psig, a container that is too full. A simulator lights all the same.
    pub fn forbids_a_flame(&self) -> Option<Hindrance> {
        let (r, l) = (self.sim.readings(), &LIMITS);
        let burners = (0..r.appliance_count).filter(|&i| r.appliances[i].phase == Phase::Off);
        let joints = [Joint::Pigtail, Joint::LowSide].into_iter();
        let mut joints = joints.chain(burners.map(Joint::Burner));
        let escapes = joints.any(|joint| bubbles_at(joint, self.sim) > Bubbles::None);
        let blows = Sound::of_vents(&r) != Sound::Quiet;
        let mut filled = r.containers[..r.container_count].iter();
        let full = filled.any(|c| {
            l.fill_caution
                .is_passed_by(fill_when_cold(c.fill, c.temperature_k))
        });
        if escapes || blows {
            Some(Hindrance::GasEscapes)
        } else if l.first_danger.is_passed_by(r.first.chamber_pa) {
            Some(Hindrance::FirstOver)
        } else if l.far_over.is_passed_by(r.outlet_pa) {
            Some(Hindrance::FarOver)
        } else if l.lock_up_caution.is_passed_by(r.outlet_pa) {
            Some(Hindrance::OverAtRest)
        } else {
            full.then_some(Hindrance::Overfilled)
        }
    }

    /// Puts a fault in by its name, to a severity from 0 to 1, and gives it a moment to come on.
    ///
    /// # Errors
    /// [`VisitError`]: no such fault, or the run failed.
    pub fn put_in(&mut self, fault: &str, severity: f64) -> Result<(), VisitError> {
        let action = Action::Inject {
            fault: Fault::find(fault)?,
            severity,
            over_s: 0.0,
        };
        self.sim.act(&action);
        self.wait(COMES_ON_S, 1.0)?;
        Ok(())
    }
}
