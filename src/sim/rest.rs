//! Whether a rig comes to rest by itself: started without what is planned, and looked at for two seconds. Not here: what a
//! fault makes of it, which may well swing.

use super::effort::look_at;
use super::error::SimError;
use super::simulation::{Simulation, usual_tolerance};
use crate::scenario::Scenario;
use crate::solver::Method;
use crate::units::pa_to_inwc;
use std::sync::Arc;

/// How long it is looked at \[s\], and how often.
const LOOK_S: f64 = 2.0;
const EVERY_S: f64 = 2e-3;
/// An outlet that swings by less is at rest \[Pa\]: a tenth of an inch of water, what a dial moves by.
const STILL_PA: f64 = 25.0;
/// Turns of a swing in that time; a burner that lights turns the pressure a few times.
const TURNS: usize = 12;

/// Why a rig does not come to rest.
#[derive(Debug, Clone, thiserror::Error)]
pub enum Unrest {
    /// It cannot be started, which the error tells to the end.
    #[error("{0}")]
    Start(SimError),
    /// It stops on the way, which the error tells to the end.
    #[error("this rig does not come to rest: {0}")]
    Failed(SimError),
    /// The engines gave up; the state they name is mostly the wrong place to look.
    #[error(
        "this rig does not come to rest: something in it is too quick to be followed; look at {look_at}. In the engine's words: \
         {error}"
    )]
    TooQuick {
        /// What the engine says.
        error: SimError,
        /// Keys of the scenario that decide it.
        look_at: String,
    },
    /// Its outlet swings.
    #[error(
        "this rig does not come to rest: its outlet swings between {:.1} and {:.1} in w.c., {:.0} times a second, with nothing \
         done to it; look at {look_at}", pa_to_inwc(*low_pa), pa_to_inwc(*high_pa), each_s
    )]
    Swings {
        /// Lowest \[Pa\].
        low_pa: f64,
        /// Highest \[Pa\].
        high_pa: f64,
        /// Swings a second.
        each_s: f64,
        /// Keys of the scenario that decide it.
        look_at: String,
    },
}

/// Tries whether the rig of a scenario comes to rest.
///
/// # Errors
/// Why not, and which keys to look at.
pub fn comes_to_rest(scenario: &Scenario) -> Result<(), Unrest> {
    let mut quiet = scenario.clone();
    quiet.events.clear();
    let method = Method::Stiff;
    let failed = |error: SimError| match error {
        SimError::Solve(_) => Unrest::TooQuick {
            error,
            look_at: look_at(&scenario.rig),
        },
        error @ SimError::NoRest { .. } => Unrest::Start(error),
        error => Unrest::Failed(error),
    };
    let quiet = Arc::new(quiet);
    let mut sim = Simulation::start(quiet, method, usual_tolerance(method)).map_err(failed)?;
    let mut outlet_pa = Vec::new();
    let until_s = sim.time_s() + LOOK_S;
    sim.advance(until_s, Some(EVERY_S), &mut |r| outlet_pa.push(r.outlet_pa))
        .map_err(failed)?;
    let swing = swing_of(&outlet_pa);
    match swing {
        Some((low_pa, high_pa, turns)) => Err(Unrest::Swings {
            low_pa,
            high_pa,
            each_s: 0.5 * turns as f64 / LOOK_S,
            look_at: look_at(&scenario.rig),
        }),
        None => Ok(()),
    }
}

/// Lowest, highest and number of turns of what swings to the end; none where it is still.
fn swing_of(pa: &[f64]) -> Option<(f64, f64, usize)> {
    let (mut turns, mut corner, mut rising) = (0, *pa.first()?, true);
    for &now in pa {
        let gone = if rising { now - corner } else { corner - now };
        if gone > 0.0 {
            corner = now;
        } else if gone < -STILL_PA {
            (rising, corner) = (!rising, now);
            turns += 1;
        }
    }
    // What dies away was a start, no swing: the last quarter must still move.
    let last = &pa[3 * pa.len() / 4..];
    let (low, high) = last
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), p| {
            (l.min(*p), h.max(*p))
        });
    (turns >= TURNS && high - low > STILL_PA).then_some((low, high, turns))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shipped_rigs_come_to_rest() {
        for (name, text) in crate::scenario::SHIPPED {
            let scenario = Scenario::parse(name, text).expect("right");
            if let Err(why) = comes_to_rest(&scenario) {
                panic!("{name}: {why}");
            }
        }
    }

    #[test]
    fn a_swing_is_told_from_a_start() {
        let wave = |die: f64| -> Vec<f64> {
            (0..1000)
                .map(|i| 2700.0 + 200.0 * (0.3 * f64::from(i)).sin() * (-die * f64::from(i)).exp())
                .collect()
        };
        let (low, high, turns) = swing_of(&wave(0.0)).expect("swings");
        assert!(
            low < 2510.0 && high > 2890.0 && (90..=100).contains(&turns),
            "{low} {high} {turns}"
        );
        assert!(swing_of(&wave(0.01)).is_none(), "it dies away");
        assert!(swing_of(&[2700.0; 40]).is_none());
        assert!(swing_of(&[]).is_none());
    }

    /// A case of a thimble's size is told with the key that makes it so.
    #[test]
    fn a_rig_that_cannot_be_started_names_what_to_change() {
        let mut scenario = Scenario::opening();
        scenario.rig.second.vent.area_m2 *= 1e3;
        scenario.rig.second.case_m3 = 1e-6;
        let why = comes_to_rest(&scenario)
            .expect_err("far too quick")
            .to_string();
        assert!(
            why.contains("does not come to rest") && why.contains("[regulator.second]"),
            "{why}"
        );
    }
}
