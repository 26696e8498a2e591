//! What eyes, ears and leak fluid tell: bubbles at a joint, the look of a flame, frost, a hum or a
//! roar. Thresholds are common practice (no source); each is stated where it is used.

use super::points::PointError;
use crate::physics::heat::frost_depth_k;
use crate::rig::{Flame, Readings, Rig, evaluate};
use crate::sim::{SimError, Simulation};
use crate::units::nearest;
use serde::{Deserialize, Serialize};

/// A place where leak fluid can be put.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Joint {
    /// The first-stage vent.
    FirstVent,
    /// The second-stage vent.
    SecondVent,
    /// The pigtail's connections.
    Pigtail,
    /// The joints of the low side.
    LowSide,
    /// The burner of an appliance that is off (a leaking gas valve).
    Burner(usize),
}

const JOINTS: [&str; 4] = ["first vent", "second vent", "pigtail", "low side"];

impl Joint {
    /// The joint of a name on a rig: "second vent", or an appliance for its burner.
    ///
    /// # Errors
    /// [`PointError`] with the nearest name.
    pub fn find(word: &str, rig: &Rig) -> Result<Self, PointError> {
        let wanted = word.trim().to_lowercase();
        let burner = |name: &str| {
            rig.appliances
                .iter()
                .position(|a| a.name.to_lowercase() == name)
        };
        if let Some(i) = burner(&wanted) {
            return Ok(Self::Burner(i));
        }
        match wanted.as_str() {
            "first vent" => Ok(Self::FirstVent),
            "second vent" => Ok(Self::SecondVent),
            "pigtail" | "hose" => Ok(Self::Pigtail),
            "low side" | "joints" => Ok(Self::LowSide),
            _ => Err(PointError::NoJoint {
                word: word.trim().to_owned(),
                near: nearest(word, JOINTS),
            }),
        }
    }

    /// Name on a rig.
    pub fn name(self, rig: &Rig) -> String {
        match self {
            Self::FirstVent => "first vent".to_owned(),
            Self::SecondVent => "second vent".to_owned(),
            Self::Pigtail => "pigtail".to_owned(),
            Self::LowSide => "low side".to_owned(),
            Self::Burner(i) => rig
                .appliances
                .get(i)
                .map_or_else(|| "appliance".to_owned(), |a| a.name.clone()),
        }
    }
}

/// How leak fluid answers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Bubbles {
    /// No bubble.
    None,
    /// A bubble grows now and then.
    Slow,
    /// A steady string of bubbles.
    Steady,
    /// Fluid blown away.
    BlownOff,
}

impl Bubbles {
    /// From a flow of gas \[m³/s\]: none under 0.01 mL/s (a bubble of 3 mm in 1.4 s is seen; slower
    /// is breathing), steady from 0.5 mL/s on, blown away from 50 mL/s on.
    pub fn of_flow(flow_m3_per_s: f64) -> Self {
        match 1e6 * flow_m3_per_s {
            q if q < 1e6 * LEAST_BUBBLE_M3_PER_S => Self::None,
            q if q < 0.5 => Self::Slow,
            q if q < 50.0 => Self::Steady,
            _ => Self::BlownOff,
        }
    }
}

/// The least flow that makes a bubble one sees \[m³/s\] (practice: 3 mm in 1.4 s; slower is breathing).
pub const LEAST_BUBBLE_M3_PER_S: f64 = 1e-8;
/// Density of propane vapour near ambient \[kg/m³\] (derived: 1 atm, 15 °C).
pub const VAPOUR_KG_PER_M3: f64 = 1.86;

/// Leak fluid at a joint of the rig as it stands.
pub fn bubbles_at(joint: Joint, sim: &Simulation) -> Bubbles {
    Bubbles::of_flow(flow_at(joint, sim))
}

/// Where gas is heard to come out, of pigtails, joints and burners that are off: the loudest. Its jet is heard from the same flow on as
/// one out of a vent. What [`listen`] tells is of the regulator alone, and is what diagnosis and drills learned from.
pub fn escapes_aloud(sim: &Simulation) -> Option<Joint> {
    let burners = (0..sim.rig().appliances.len()).map(Joint::Burner);
    let all = [Joint::Pigtail, Joint::LowSide].into_iter().chain(burners);
    let flows = all.map(|joint| (joint, flow_at(joint, sim)));
    let loudest = flows.max_by(|a, b| a.1.total_cmp(&b.1));
    loudest
        .filter(|(_, flow)| *flow > HEARD_M3_PER_S.0)
        .map(|(joint, _)| joint)
}

/// Gas that comes out there \[m³/s\].
fn flow_at(joint: Joint, sim: &Simulation) -> f64 {
    let (rig, now) = (sim.rig(), sim.moment());
    let flows = evaluate(rig, &now.modes, now.t_s, &now.state);
    let r = sim.readings();
    match joint {
        Joint::FirstVent => r.first.vent_m3_per_s,
        Joint::SecondVent => r.second.vent_m3_per_s,
        Joint::Pigtail => {
            flows
                .containers
                .iter()
                .map(|c| c.leak_kg_per_s)
                .sum::<f64>()
                / VAPOUR_KG_PER_M3
        }
        Joint::LowSide => flows.leak_kg_per_s / VAPOUR_KG_PER_M3,
        Joint::Burner(i) => {
            flows.appliances.get(i).map_or(0.0, |a| a.unburned_kg_per_s) / VAPOUR_KG_PER_M3
        }
    }
}

/// A flame as seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct FlameSeen {
    /// How it looks.
    pub flame: Flame,
    /// Whether it jumps and surges.
    pub surging: bool,
}

/// The flame of an appliance.
pub fn flame_seen(r: &Readings, appliance: usize) -> FlameSeen {
    let a = r.appliances.get(appliance);
    FlameSeen {
        flame: a.map_or(Flame::Out, |a| a.flame),
        surging: a.is_some_and(|a| a.surges),
    }
}

/// Frost as seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct FrostSeen {
    /// On the regulator's body.
    pub body: bool,
    /// On a container's wetted wall.
    pub container: bool,
}

/// Frost where [`frost_depth_k`] has it.
pub fn frost_seen(r: &Readings) -> FrostSeen {
    let frosts = |t_k: f64| frost_depth_k(t_k, r.air_k) > 0.0;
    FrostSeen {
        body: frosts(r.body_k),
        container: r.containers[..r.container_count]
            .iter()
            .any(|c| frosts(c.temperature_k) && c.fill > 0.0),
    }
}

/// What is heard at the regulator.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Sound {
    /// Nothing.
    Quiet,
    /// Gas hisses out of a vent.
    Hiss,
    /// Gas roars out of a vent.
    Roar,
    /// Gas hisses out of a hose, a joint or a burner.
    Escapes(Joint),
    /// The regulator hums \[Hz\].
    Hum {
        /// Its note.
        frequency_hz: f64,
    },
}

/// What leaves a vent is heard as a hiss, and as a roar, from these flows on \[m³/s\]: 0.1 and 1 g/s of propane
/// (practice).
const HEARD_M3_PER_S: (f64, f64) = (1e-4 / VAPOUR_KG_PER_M3, 1e-3 / VAPOUR_KG_PER_M3);

impl Sound {
    /// What the vents alone make: whatever comes out of their holes.
    pub fn of_vents(r: &Readings) -> Self {
        match r.first.vent_m3_per_s.max(0.0) + r.second.vent_m3_per_s.max(0.0) {
            q if q > HEARD_M3_PER_S.1 => Self::Roar,
            q if q > HEARD_M3_PER_S.0 => Self::Hiss,
            _ => Self::Quiet,
        }
    }
}

/// How long one listens \[s\], and how finely \[s\].
const LISTEN_S: (f64, f64) = (0.5, 0.5e-3);
/// Outlet swing that is heard as a hum \[Pa\].
const HUM_PA: f64 = 20.0;
/// ... where it goes through its middle so often while one listens: a slower one is seen on the gauge, not heard.
const HUM_CROSSINGS: usize = 6;

/// Listens for half a second: runs the simulation on and counts how the outlet swings.
///
/// # Errors
/// [`SimError`] if the run fails.
pub fn listen(sim: &mut Simulation) -> Result<Sound, SimError> {
    let mut outlet = Vec::with_capacity(1024);
    let until = sim.time_s() + LISTEN_S.0;
    sim.advance(until, Some(LISTEN_S.1), &mut |r| outlet.push(r.outlet_pa))?;
    Ok(heard(&outlet, Sound::of_vents(&sim.readings())))
}

/// What is heard of an outlet that was at these pressures \[Pa\] one after the other, while the vents make `blows`: a
/// roar drowns a hum, and a hum a hiss.
fn heard(outlet_pa: &[f64], blows: Sound) -> Sound {
    if blows == Sound::Roar {
        return blows;
    }
    let mean = outlet_pa.iter().sum::<f64>() / outlet_pa.len().max(1) as f64;
    let (low, high) = outlet_pa
        .iter()
        .fold((f64::MAX, f64::MIN), |(low, high), p| {
            (low.min(*p), high.max(*p))
        });
    let crossings = outlet_pa
        .windows(2)
        .filter(|w| (w[0] - mean) * (w[1] - mean) < 0.0)
        .count();
    if high - low > HUM_PA && crossings >= HUM_CROSSINGS {
        let frequency_hz = 0.5 * crossings as f64 / LISTEN_S.0;
        return Sound::Hum { frequency_hz };
    }
    blows
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Half a second of a swing of so many pascals to either side, at so many hertz.
    fn swing(half_pa: f64, frequency_hz: f64) -> Vec<f64> {
        let at = |k: i32| {
            let phase = std::f64::consts::TAU * frequency_hz * (f64::from(k) + 0.5) * LISTEN_S.1;
            2740.0 + half_pa * phase.sin()
        };
        (0..1000).map(at).collect()
    }

    #[test]
    fn a_swing_of_twenty_pascals_hums_and_a_smaller_one_does_not() {
        assert_eq!(heard(&swing(9.9, 40.0), Sound::Quiet), Sound::Quiet);
        let Sound::Hum { frequency_hz } = heard(&swing(10.1, 40.0), Sound::Quiet) else {
            panic!("no hum");
        };
        assert!((frequency_hz - 40.0).abs() <= 1.0, "{frequency_hz}");
    }

    /// A swing of 20 Pa itself is not heard, and what lies between its ends counts wherever it stands.
    #[test]
    fn the_number_itself_is_not_heard() {
        let square = |high_pa: f64| [2740.0, 2740.0 + high_pa].repeat(500);
        assert_eq!(heard(&square(20.0), Sound::Quiet), Sound::Quiet);
        assert!(matches!(
            heard(&square(20.5), Sound::Quiet),
            Sound::Hum { .. }
        ));
    }

    #[test]
    fn a_slow_swing_is_no_note() {
        // Three turns in half a second cross the middle five or six times, two turns three or four.
        assert!(matches!(
            heard(&swing(100.0, 7.0), Sound::Quiet),
            Sound::Hum { .. }
        ));
        assert_eq!(heard(&swing(100.0, 4.0), Sound::Quiet), Sound::Quiet);
        assert_eq!(heard(&[2740.0, 2640.0], Sound::Quiet), Sound::Quiet);
        assert_eq!(heard(&[], Sound::Quiet), Sound::Quiet);
    }

    #[test]
    fn a_roar_drowns_a_hum_and_a_hum_a_hiss() {
        let loud = swing(100.0, 40.0);
        assert_eq!(heard(&loud, Sound::Roar), Sound::Roar);
        assert!(matches!(heard(&loud, Sound::Hiss), Sound::Hum { .. }));
        assert_eq!(heard(&swing(1.0, 40.0), Sound::Hiss), Sound::Hiss);
    }

    #[test]
    fn bubbles_by_the_flow_that_makes_them() {
        for (ml_per_s, bubbles) in [
            (0.0, Bubbles::None),
            (0.009, Bubbles::None),
            // The least that makes a bubble makes one.
            (0.01, Bubbles::Slow),
            (0.011, Bubbles::Slow),
            (0.49, Bubbles::Slow),
            (0.5, Bubbles::Steady),
            (0.51, Bubbles::Steady),
            (49.0, Bubbles::Steady),
            (51.0, Bubbles::BlownOff),
        ] {
            assert_eq!(Bubbles::of_flow(1e-6 * ml_per_s), bubbles, "{ml_per_s}");
        }
    }
}
