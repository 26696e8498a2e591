//! How much work a simulated second may take, and what to look at where a rig takes more. A file may say rigs of which a
//! part answers a thousand times faster than any real one: a spring case of a thimble behind a hole as wide as a
//! hand, a seat that closes within a thousandth of its force. They are integrated rightly, step by tiny step;
//! without a bound five seconds of them take half a minute, and a night takes for ever.
//!
//! Work is counted in calls of the rates: a step takes three of them where all is smooth, and fifty where each step is tried
//! again and again. A rig that hunts at 80 Hz, the fastest of any fault, takes some 30,000 calls a second. A call is
//! some 2 µs of a core, all that goes with it counted in.

use crate::rig::Rig;
use crate::scenario::unusual;

/// Calls that a simulated second may take in the long run: some fifth of a second of a core.
pub(super) const EACH_S: f64 = 100_000.0;
/// Calls that can be saved up for a hard moment, and are there at the start.
const SAVED: f64 = 500_000.0;
/// Calls in which a rig must come to rest before the start: some seconds of a core, and enough for one that hunts at 80 Hz
/// through all of the usual minute. Others need some thousands.
const TO_REST: f64 = 2_500_000.0;

/// Calls in hand.
#[derive(Debug, Clone, Copy)]
pub(super) struct Effort {
    saved: f64,
    each_s: f64,
}

impl Default for Effort {
    fn default() -> Self {
        Self {
            saved: SAVED,
            each_s: EACH_S,
        }
    }
}

impl Effort {
    /// What there is for coming to rest before the start, however long that may last.
    pub(super) fn to_rest() -> Self {
        Self {
            saved: TO_REST,
            each_s: 0.0,
        }
    }

    /// Calls that may be made at once, and so many more for each second on the way.
    pub(super) fn allowed(self) -> (u64, f64) {
        (self.saved.max(1.0) as u64, self.each_s)
    }

    /// Takes note of what was spent over so many seconds.
    pub(super) fn spend(&mut self, seconds: f64, calls: u64) {
        let most = SAVED.max(self.saved);
        self.saved = (self.saved + self.each_s * seconds - calls as f64).min(most);
    }
}

/// The two keys of a scenario file whose values lie furthest from the standard rig's, in decades.
///
/// The state that changes fastest is the wrong place to look: whatever is too quick, a diaphragm or what rubs on it shakes
/// with it.
pub(super) fn look_at(rig: &Rig) -> String {
    let told: Vec<String> = unusual::keys(rig)
        .iter()
        .filter(|key| key.decades >= UNUSUAL)
        .take(2)
        .map(|key| {
            let (name, table) = (key.key, key.table);
            match key.ratio {
                Some(ratio) if ratio < 1e4 => {
                    format!("`{name}` of [{table}], {ratio:.0} times off what is usual")
                }
                Some(_) => format!("`{name}` of [{table}], over 10000 times off what is usual"),
                None => format!("`{name}` of [{table}], nothing where something is usual, or the other way round"),
            }
        })
        .collect();
    if told.is_empty() {
        "`damping` and `friction` of both stages, and the vents".to_owned()
    } else {
        told.join(", and ")
    }
}

/// A part three times off the standard one is worth a word \[decades\].
const UNUSUAL: f64 = 0.477;

#[cfg(test)]
mod tests {
    use super::*;

    /// What is far from usual is named, and the furthest off first, to whichever side it lies.
    #[test]
    fn the_part_that_is_far_from_usual_is_named() {
        let usual = crate::scenario::Scenario::opening().rig;
        let named = |change: &dyn Fn(&mut Rig)| {
            let mut rig = usual.clone();
            change(&mut rig);
            look_at(&rig)
        };
        for (change, key) in [
            (
                &|r: &mut Rig| r.second.case_m3 = 1e-6,
                "`case` of [regulator.second]",
            ),
            (
                &|r: &mut Rig| r.first.vent.area_m2 *= 1e3,
                "`bore` of [regulator.first.vent]",
            ),
            (
                &|r: &mut Rig| r.piping.main.bore_m *= 10.0,
                "`bore` of [piping]",
            ),
            (
                &|r: &mut Rig| r.second.mass_kg *= 50.0,
                "`mass` of [regulator.second]",
            ),
            (
                &|r: &mut Rig| r.second.seal_force_n *= 500.0,
                "`seal_force` of [regulator.second]",
            ),
            (
                &|r: &mut Rig| {
                    r.first.friction_n *= 1e-3;
                    r.second.mass_kg *= 5.0;
                },
                "`friction` of [regulator.first], 1000 times",
            ),
        ] as [(&dyn Fn(&mut Rig), &str); 6]
        {
            let told = named(change);
            assert!(told.starts_with(key), "{told}");
        }
        assert!(named(&|_| {}).starts_with("`damping`"));
    }

    #[test]
    fn calls_are_earned_by_the_second_and_saved_to_a_bound() {
        let mut effort = Effort::default();
        assert_eq!(effort.allowed(), (500_000, 100_000.0));
        effort.spend(1.0, 130_000);
        assert_eq!(effort.allowed().0, 470_000);
        effort.spend(3600.0, 80_000);
        assert_eq!(effort.allowed().0, 500_000);
        let mut effort = Effort::to_rest();
        effort.spend(60.0, 2_000_000);
        assert_eq!(effort.allowed(), (500_000, 0.0));
    }
}
