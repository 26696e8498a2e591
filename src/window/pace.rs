//! How often the window draws itself while a rig runs: the session has a new snapshot sixty times a second, and drawing each
//! of them takes a computer without a graphics processor more than all the rest. What a hand does is drawn at once.

use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Duration;

use crate::rig::Phase;
use crate::rig::readings::Readings;

/// Between two pictures while gas flows \[ms\]. The fastest dashes move 110 mm a second and lie 8.5 mm apart: drawn more
/// seldom than every 38 ms they would seem to run backwards.
const FLOWING_MS: u64 = 33;
/// The same while nothing moves but the clock, which shows tenths of a second \[ms\].
const RESTING_MS: u64 = 100;
/// Flow under which dashes creep by less than a millimetre a second, as behind a pilot: ten pictures show that as well as
/// thirty \[kg/s\].
const STILL_KG_PER_S: f64 = 9e-6;
/// What goes through a tear or a relief is drawn from so much on \[kg/s\].
const ESCAPES_KG_PER_S: f64 = 1e-9;
/// A diaphragm slower than this is not seen to move at the largest magnification \[m/s\].
const STILL_M_PER_S: f64 = 1e-6;

/// The time between two pictures, as window and session know it.
#[derive(Debug, Clone)]
pub struct Pace(Arc<AtomicU64>);

impl Default for Pace {
    fn default() -> Self {
        Self(Arc::new(AtomicU64::new(FLOWING_MS)))
    }
}

impl Pace {
    /// Sets it by what is to be seen.
    pub fn follow(&self, n: &Readings) {
        let ms = if is_moving(n) { FLOWING_MS } else { RESTING_MS };
        self.0.store(ms, Ordering::Relaxed);
    }

    /// After what time a new snapshot is drawn.
    pub fn next(&self) -> Duration {
        Duration::from_millis(self.0.load(Ordering::Relaxed))
    }
}

/// Whether anything is seen to move.
fn is_moving(n: &Readings) -> bool {
    let over = |kg_per_s: f64, least: f64| kg_per_s.is_nan() || kg_per_s.abs() > least;
    let flows = |kg_per_s: f64| over(kg_per_s, STILL_KG_PER_S);
    let lit = n.appliances[..n.appliance_count.min(n.appliances.len())]
        .iter()
        // A flame flickers, a spark and a fan are at work; a pilot stands still.
        .any(|a| !matches!(a.phase, Phase::Off | Phase::Satisfied));
    lit || flows(n.burner_flow_kg_per_s)
        || [&n.first, &n.second].into_iter().any(|s| {
            flows(s.flow_kg_per_s)
                || over(s.relief_kg_per_s, ESCAPES_KG_PER_S)
                || over(s.tear_kg_per_s, ESCAPES_KG_PER_S)
                || s.speed_m_per_s.is_nan()
                || s.speed_m_per_s.abs() > STILL_M_PER_S
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_rests_is_drawn_less_often_and_never_so_seldom_that_a_tenth_is_left_out() {
        let pace = Pace::default();
        let mut n = Readings::default();
        pace.follow(&n);
        assert_eq!(pace.next(), Duration::from_millis(RESTING_MS));
        n.second.flow_kg_per_s = 1e-4;
        pace.follow(&n);
        assert_eq!(pace.next(), Duration::from_millis(FLOWING_MS));
        n.second.flow_kg_per_s = f64::NAN;
        assert!(is_moving(&n));
    }
}
