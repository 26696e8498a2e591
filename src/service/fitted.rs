//! Instruments that stay fitted to a living run: they see it at every tick, with their own bounce
//! and lag, and leak fluid stays where it was put. A screen reads the [`Rack`], a session's
//! [`Witness`] feeds it.

use super::instruments::{DialGauge, DigitalManometer, Kit, Manometer, Shown, Thermometer};
use super::places::Place;
use super::points::{PointError, TestPoint};
use super::senses::{Bubbles, Joint, bubbles_at};
use crate::sim::{Simulation, Witness};
use crate::units::{pa_to_inwc, pa_to_psi};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// Instruments fitted at once at most.
pub const MOST_FITTED: usize = 5;
/// Gauges to less than this are for the low side \[Pa\].
const LOW_PA: f64 = 9e3;
/// A jump back in time, or so much time at once \[s\], leaves an instrument at rest.
const AT_REST_S: f64 = 30.0;
/// ... and a thermometer as warm as its place.
const TEMPERED_S: f64 = 600.0;

/// An instrument that shows a pressure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Device {
    /// The water manometer.
    Manometer(Manometer),
    /// The digital manometer.
    Digital(DigitalManometer),
    /// A dial gauge.
    Dial(DialGauge),
}

impl Device {
    /// Those of a kit, manometers first, dials from fine to coarse.
    pub fn of_kit(kit: &Kit) -> Vec<Self> {
        [Self::Manometer(kit.manometer), Self::Digital(kit.digital)]
            .into_iter()
            .chain(kit.gauges.iter().copied().map(Self::Dial))
            .collect()
    }

    /// Its name: "manometer", "digital manometer", "dial 35 inwc", "dial 15 psi".
    pub fn name(&self) -> String {
        match self {
            Self::Manometer(_) => "manometer".to_owned(),
            Self::Digital(_) => "digital manometer".to_owned(),
            Self::Dial(g) if g.range_pa < LOW_PA => {
                format!("dial {:.0} inwc", pa_to_inwc(g.range_pa))
            }
            Self::Dial(g) => format!("dial {:.0} psi", pa_to_psi(g.range_pa)),
        }
    }

    /// The gauge of a kit by its name.
    ///
    /// # Errors
    /// [`PointError::NoGauge`] with the names there are.
    pub fn find(word: &str, kit: &Kit) -> Result<Self, PointError> {
        let wanted = word.trim().to_lowercase();
        let all = Self::of_kit(kit);
        all.iter()
            .find(|d| d.name() == wanted)
            .copied()
            .ok_or_else(|| PointError::NoGauge {
                word: word.trim().to_owned(),
                names: all.iter().map(Self::name).collect(),
            })
    }

    /// Water manometer or dial: the finest of a kit whose range holds a pressure \[Pa\]; the coarsest if none does.
    pub fn for_pressure(pressure_pa: f64, kit: &Kit) -> Self {
        let mut all = Self::of_kit(kit);
        all.retain(|d| !matches!(d, Self::Digital(_)));
        let fits = all.iter().find(|d| d.range_pa() >= pressure_pa);
        fits.or(all.last())
            .copied()
            .unwrap_or(Self::Manometer(kit.manometer))
    }

    /// Highest reading \[Pa\].
    pub fn range_pa(&self) -> f64 {
        match self {
            Self::Manometer(m) => m.range_pa,
            Self::Digital(d) => d.range_pa,
            Self::Dial(g) => g.range_pa,
        }
    }

    /// Whether it is one for the low side.
    pub fn is_low(&self) -> bool {
        self.range_pa() < LOW_PA
    }

    /// Smallest difference that is read \[Pa\].
    pub fn division_pa(&self) -> f64 {
        match self {
            Self::Manometer(m) => m.division_pa,
            Self::Digital(d) => d.resolution_pa,
            Self::Dial(g) => g.division_pa,
        }
    }

    /// What is read.
    pub fn shown(&self) -> Shown {
        match self {
            Self::Manometer(m) => m.shown(),
            Self::Digital(d) => d.shown(),
            Self::Dial(g) => g.shown(),
        }
    }

    /// Where water or pointer stands \[Pa\].
    pub fn stands_pa(&self) -> f64 {
        match self {
            Self::Manometer(m) => m.level_pa(),
            Self::Digital(d) => d.held_pa(),
            Self::Dial(g) => g.pointer_pa(),
        }
    }

    /// Lets `dt_s` pass with a pressure \[Pa\] on it.
    pub fn step(&mut self, dt_s: f64, pressure_pa: f64) {
        match self {
            Self::Manometer(m) => m.step(dt_s, pressure_pa),
            Self::Digital(d) => d.step(dt_s, pressure_pa),
            Self::Dial(g) => g.step(dt_s, pressure_pa),
        }
    }
}

/// An instrument at a test point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fitted {
    /// Where.
    pub point: TestPoint,
    /// What.
    pub device: Device,
}

/// Leak fluid on a joint and what it shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FluidAt {
    /// Where.
    pub joint: Joint,
    /// What is seen.
    pub bubbles: Bubbles,
}

/// A thermometer where it was put.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Probe {
    /// Where.
    pub place: Place,
    /// What.
    pub thermometer: Thermometer,
}

/// Leak fluid that was put on, in order.
pub type Fluid = Vec<FluidAt>;

/// What a person sees at the bench.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Fittings {
    /// Instruments.
    pub fitted: Vec<Fitted>,
    /// Leak fluid.
    pub fluid: Fluid,
    /// The thermometer, if it is in use.
    pub probe: Option<Probe>,
    time_s: f64,
    /// The last look was one back.
    back: bool,
    /// Something was fitted since the last look: a careful hand opens the cock slowly.
    fresh: bool,
}

/// A tap with more than this is live \[Pa\]: a tenth of an inch of water.
const LIVE_PA: f64 = 25.0;

impl Fittings {
    /// Manometers without their water on a tap under pressure: an open end of the line.
    pub fn open_tubes(&self) -> impl Iterator<Item = OpenTube> {
        self.fitted.iter().filter_map(|f| match &f.device {
            Device::Manometer(m) if m.shown() == Shown::OverRange && m.level_pa() > LIVE_PA => {
                Some(OpenTube {
                    point: f.point,
                    swung_over: m.swung_over(),
                })
            }
            _ => None,
        })
    }
}

impl Fittings {
    /// Dials with more on them than their scale has: the pointer stands on its pin, and its spring may keep that.
    pub fn pegged(&self) -> impl Iterator<Item = &Fitted> {
        self.fitted
            .iter()
            .filter(|f| matches!(f.device, Device::Dial(_)) && f.device.shown() == Shown::OverRange)
    }

    /// Those on which a pressure that came to `high_pa(point)` was more than they show: what was read there was read on another.
    pub fn too_small(
        &self,
        high_pa: impl Fn(TestPoint) -> Option<f64>,
    ) -> impl Iterator<Item = &Fitted> {
        self.fitted
            .iter()
            .filter(move |f| high_pa(f.point).is_some_and(|pa| pa > f.device.range_pa()))
    }
}

/// A manometer that has lost its water: gas comes out of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OpenTube {
    /// Where it hangs.
    pub point: TestPoint,
    /// Whether its water swung over, under a pressure that the tube holds.
    pub swung_over: bool,
}

/// The instruments that are fitted, shared between a screen and a session.
#[derive(Debug, Clone, Default)]
pub struct Rack(Arc<Mutex<Fittings>>);

impl Rack {
    fn lock(&self) -> MutexGuard<'_, Fittings> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// What is seen now.
    pub fn seen(&self) -> Fittings {
        self.lock().clone()
    }

    /// Fits an instrument. Returns whether there was room for it.
    pub fn fit(&self, point: TestPoint, device: Device) -> bool {
        let mut seen = self.lock();
        let room = seen.fitted.len() < MOST_FITTED;
        if room {
            seen.fitted.push(Fitted { point, device });
            seen.fresh = true;
        }
        room
    }

    /// Puts another instrument, or the same elsewhere, in the place of one.
    pub fn replace(&self, index: usize, fitted: Fitted) {
        let mut seen = self.lock();
        if let Some(f) = seen.fitted.get_mut(index) {
            *f = fitted;
            seen.fresh = true;
        }
    }

    /// Takes an instrument off.
    pub fn take_off(&self, index: usize) {
        let mut seen = self.lock();
        if index < seen.fitted.len() {
            seen.fitted.remove(index);
        }
    }

    /// Fills a manometer again whose water was blown out.
    pub fn refill(&self, index: usize) {
        if let Some(Fitted {
            device: Device::Manometer(m),
            ..
        }) = self.lock().fitted.get_mut(index)
        {
            m.refill();
        }
    }

    /// Puts the thermometer somewhere, or away. Moved, its tip keeps the warmth it has.
    pub fn put_thermometer(&self, place: Option<Place>) {
        let mut seen = self.lock();
        let thermometer = seen.probe.map(|p| p.thermometer).unwrap_or_default();
        seen.probe = place.map(|place| Probe { place, thermometer });
    }

    /// Puts leak fluid on a joint, or wipes it off.
    pub fn put_fluid(&self, joint: Joint, on: bool) {
        let mut seen = self.lock();
        seen.fluid.retain(|f| f.joint != joint);
        if on {
            seen.fluid.push(FluidAt {
                joint,
                bubbles: Bubbles::None,
            });
        }
    }
}

/// A rack with a manometer at the outlet and a dial gauge at the first stage.
pub fn rack() -> Rack {
    let kit = Kit::default();
    let out = Rack::default();
    out.fit(TestPoint::Outlet, Device::Manometer(kit.manometer));
    out.fit(TestPoint::FirstStage, Device::Dial(kit.gauges[2]));
    out.fit(TestPoint::Inlet(0), Device::Dial(kit.gauges[4]));
    out
}

impl Witness for Rack {
    fn meet_another(&mut self) {
        let mut seen = self.lock();
        seen.fresh = true;
        for f in &mut seen.fitted {
            if let Device::Manometer(m) = &mut f.device {
                m.refill();
            }
        }
    }

    fn see(&mut self, sim: &Simulation, back: bool) {
        let mut seen = self.lock();
        let r = sim.readings();
        let passed_s = r.time_s - seen.time_s;
        seen.time_s = r.time_s;
        let rig = sim.rig();
        seen.fitted.retain(|f| f.point.check(rig).is_ok());
        let fresh = std::mem::take(&mut seen.fresh);
        let dt_s = if (0.0..AT_REST_S).contains(&passed_s) && !fresh {
            passed_s
        } else {
            AT_REST_S
        };
        let was_back = std::mem::replace(&mut seen.back, back);
        let jumped = was_back || !(0.0..AT_REST_S).contains(&passed_s);
        for f in &mut seen.fitted {
            let pressure_pa = f.point.pressure_pa(&r);
            if let (Device::Manometer(m), true) = (&mut f.device, jumped) {
                m.stand_at(r.time_s);
            }
            f.device.step(dt_s, pressure_pa);
            let Device::Manometer(m) = &mut f.device else {
                continue;
            };
            // What is looked back at has been: only the end of the run does something to an instrument.
            if back {
                m.stand_at(r.time_s);
            } else {
                m.note(r.time_s);
            }
        }
        seen.probe = seen.probe.filter(|p| p.place.check(rig).is_ok());
        if let Some(p) = &mut seen.probe {
            let dt_s = if (0.0..AT_REST_S).contains(&passed_s) {
                passed_s
            } else {
                TEMPERED_S
            };
            p.thermometer.step(dt_s, p.place.temperature_k(&r), r.air_k);
        }
        for f in &mut seen.fluid {
            f.bubbles = bubbles_at(f.joint, sim);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The bounce of a column of length L is sqrt(2 g/L) (derived, published textbook result), and
    /// after many of them the reading is the pressure.
    #[test]
    fn a_fitted_manometer_bounces_and_comes_to_rest() {
        let mut device = Device::Manometer(Manometer::default());
        let pa = crate::units::inwc_to_pa(11.0);
        let mut highest = 0.0_f64;
        for _ in 0..2000 {
            device.step(0.01, pa);
            highest = highest.max(device.stands_pa());
        }
        assert!(highest > 1.3 * pa, "it bounces: {highest}");
        assert!((device.stands_pa() - pa).abs() < 1.0);
    }

    /// A tube of 16 in w.c. loses its water where the outlet jumps by so much that the water swings over, though no pressure over
    /// 11.4 was there (derived: an underdamped column overshoots by exp(-pi d / sqrt(1 - d^2)), here 0.68, of the jump).
    #[test]
    fn water_that_swings_over_is_told_from_too_much_pressure() {
        let after = |from: f64, to: f64| {
            let mut m = Manometer::default();
            for (inwc, seconds) in [(from, 60.0), (to, 10.0)] {
                for _ in 0..(seconds / 0.01) as usize {
                    m.step(0.01, crate::units::inwc_to_pa(inwc));
                }
            }
            m
        };
        let small = after(9.0, 11.4);
        assert!(small.shown() != Shown::OverRange && !small.swung_over());
        let swung = after(1.5, 11.4);
        assert!(swung.shown() == Shown::OverRange && swung.swung_over());
        let over = after(9.0, 17.0);
        assert!(over.shown() == Shown::OverRange && !over.swung_over());
    }

    /// What a drill's rig did to the gauges is not what stands at the next rig.
    #[test]
    fn another_run_finds_a_manometer_full() {
        let mut rack = rack();
        let blow = |rack: &Rack| {
            for f in &mut rack.lock().fitted {
                f.device.step(1.0, 1e5);
            }
        };
        blow(&rack);
        let is_blown = |rack: &Rack| {
            let fitted = rack.seen().fitted;
            let low = fitted
                .iter()
                .find(|f| matches!(f.device, Device::Manometer(_)));
            low.expect("a manometer").device.shown() == Shown::OverRange
        };
        assert!(is_blown(&rack));
        rack.meet_another();
        assert!(!is_blown(&rack));
    }

    /// The water that went at a moment is there before it, is gone after it, and stays in a branch that holds its limit.
    #[test]
    fn water_that_was_blown_out_is_there_again_before_that_moment() {
        let mut m = Manometer::default();
        let see = |m: &mut Manometer, time_s: f64, back: bool, inwc: f64| {
            let dt_s = if back { AT_REST_S } else { 0.1 };
            m.step(dt_s, crate::units::inwc_to_pa(inwc));
            if back {
                m.stand_at(time_s);
            } else {
                m.note(time_s);
            }
            m.shown() == Shown::OverRange
        };
        assert!(!see(&mut m, 1.0, true, 11.0));
        for k in 0..50 {
            see(&mut m, 10.0 + 0.1 * f64::from(k), false, 20.0);
        }
        assert!(see(&mut m, 20.0, false, 20.0));
        assert!(!see(&mut m, 5.0, true, 11.0), "before it");
        assert!(see(&mut m, 60.0, true, 11.0), "after it, in the same run");
        assert!(!see(&mut m, 5.0, true, 11.0));
        for k in 0..200 {
            see(&mut m, 5.0 + 0.1 * f64::from(k), false, 11.0);
        }
        assert!(!see(&mut m, 90.0, true, 11.0), "another branch");
    }

    /// Water that swung over has swung over, also where the pressure came to more than the tube holds later, and whatever moment
    /// is looked at in between, in steps of any size.
    #[test]
    fn why_the_water_went_stays_as_it_was_when_it_went() {
        let mut m = Manometer::default();
        // Shut burners: 1.5 to 12 at 10 s, which swings over; from 14 s on 17 in w.c. (derived, as above).
        let inwc = |t_s: f64| match t_s {
            t if t < 10.0 => 1.5,
            t if t < 14.0 => 12.0,
            _ => 17.0,
        };
        for k in 0..2000 {
            let t_s = 0.01 * f64::from(k);
            m.step(0.01, crate::units::inwc_to_pa(inwc(t_s)));
            m.note(t_s);
        }
        assert!(m.shown() == Shown::OverRange && m.swung_over());
        for step_s in [0.2, 1.5, 8.0] {
            let mut t_s = 9.0;
            while t_s < 20.0 {
                m.step(step_s, crate::units::inwc_to_pa(inwc(t_s)));
                m.stand_at(t_s);
                let is_gone = m.shown() == Shown::OverRange;
                assert_eq!(is_gone, m.swung_over(), "{t_s} in steps of {step_s}");
                assert!(is_gone || t_s < 12.0, "{t_s} in steps of {step_s}");
                t_s += step_s;
            }
            m.stand_at(20.0);
            assert!(m.swung_over(), "back at the end");
        }
    }

    /// Between two renewals its numbers stand; over its range it says so and takes no harm.
    #[test]
    fn a_digital_manometer_shows_hundredths_and_knows_its_range() {
        let inwc = crate::units::inwc_to_pa;
        let mut device = Device::find("digital manometer", &Kit::default()).expect("in the kit");
        device.step(1.0, inwc(11.237));
        let read = |d: &Device| d.shown().value().map(pa_to_inwc);
        assert!((read(&device).expect("in range") - 11.24).abs() < 1e-9);
        device.step(0.2, inwc(12.0));
        assert!((read(&device).expect("in range") - 11.24).abs() < 1e-9);
        device.step(1.0, inwc(40.0));
        assert_eq!(device.shown(), Shown::OverRange);
        device.step(2.0, inwc(11.0));
        assert!((read(&device).expect("unharmed") - 11.0).abs() < 0.011);
        let usual = Device::for_pressure(inwc(20.0), &Kit::default());
        assert_eq!(
            usual.name(),
            "dial 35 inwc",
            "what a visit takes is as before"
        );
    }

    #[test]
    fn no_more_instruments_than_hands() {
        let rack = rack();
        let dial = Device::Dial(Kit::default().gauges[0]);
        assert!(rack.fit(TestPoint::Outlet, dial));
        assert!(rack.fit(TestPoint::Outlet, dial));
        assert!(!rack.fit(TestPoint::Outlet, dial));
        rack.take_off(0);
        assert!(rack.fit(TestPoint::Manifold, dial));
    }
}
