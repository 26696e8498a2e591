//! How much work a simulated second may take, and what to look at where a rig takes more. A file may say rigs of which a
//! part answers a thousand times faster than any real one: a spring case of a thimble behind a hole as wide as a
//! hand, a seat that closes within a thousandth of its force. They are integrated rightly, step by tiny step;
//! without a bound five seconds of them take half a minute, and a night takes for ever.
//!
//! A rig that hunts at 80 Hz, the fastest of any fault, takes some 8,000 steps a second. A step is some 30 µs of a core.

use crate::rig::{Rig, Stage};

/// Steps that a simulated second may take in the long run: half a second of a core.
const EACH_S: f64 = 20_000.0;
/// The same while the rig comes to rest before its clock starts, where nothing happens.
const SETTLING_S: f64 = 500.0;
/// Steps that can be saved up for a hard moment, and are there at the start.
const SAVED: f64 = 60_000.0;

/// Steps in hand.
#[derive(Debug, Clone, Copy)]
pub(super) struct Effort {
    saved: f64,
}

impl Default for Effort {
    fn default() -> Self {
        Self { saved: SAVED }
    }
}

/// Steps earned between two times \[s\].
fn earned(from_s: f64, to_s: f64) -> f64 {
    let settling_s = (to_s.min(0.0) - from_s.min(0.0)).max(0.0);
    let running_s = (to_s.max(0.0) - from_s.max(0.0)).max(0.0);
    SETTLING_S * settling_s + EACH_S * running_s
}

impl Effort {
    /// Steps that may be taken on the way.
    pub(super) fn limit(self, from_s: f64, to_s: f64) -> u64 {
        (self.saved + earned(from_s, to_s)).max(1.0) as u64
    }

    /// Takes note of what was spent.
    pub(super) fn spend(&mut self, from_s: f64, to_s: f64, steps: u64) {
        self.saved = (self.saved + earned(from_s, to_s) - steps as f64).min(SAVED);
    }
}

/// What makes one stage quick, by its key, against the standard one: over 1 where it is quicker.
fn of_stage<'a>(name: &'a str, now: &Stage, usual: &Stage) -> [(&'a str, &'static str, f64); 7] {
    let area = |m2: f64| m2.max(1e-9);
    [
        (name, "mass", now.mass_kg / usual.mass_kg),
        (name, "case", usual.case_m3 / now.case_m3),
        (
            name,
            "vent.bore",
            area(now.vent.area_m2) / area(usual.vent.area_m2),
        ),
        (name, "chamber", usual.chamber_m3 / now.chamber_m3),
        (name, "bore", (now.bore_m / usual.bore_m).powi(2)),
        (name, "diaphragm", now.area_m2 / usual.area_m2),
        (name, "seal_force", usual.seal_force_n / now.seal_force_n),
    ]
}

/// The two keys of a scenario file that lie furthest from the standard rig's on the side that makes a rig quick.
///
/// The state that changes fastest is the wrong place to look: whatever is too quick, a diaphragm or what rubs on it shakes
/// with it.
pub(super) fn look_at(rig: &Rig) -> String {
    let usual = Rig::standard(rig.containers.clone(), Vec::new());
    let pipe = |rig: &Rig| rig.piping.main.bore_m;
    let mut all: Vec<(&str, &str, f64)> = of_stage("regulator.first", &rig.first, &usual.first)
        .into_iter()
        .chain(of_stage("regulator.second", &rig.second, &usual.second))
        .collect();
    all.push(("piping", "bore", (pipe(rig) / pipe(&usual)).powi(2)));
    all.push((
        "piping",
        "volume",
        usual.piping.manifold_m3 / rig.piping.manifold_m3,
    ));
    for container in &rig.containers {
        let (now, usual) = (&container.supply, crate::rig::presets::supply());
        all.push((
            "supply",
            "pigtail_volume",
            usual.pigtail_volume_m3 / now.pigtail_volume_m3,
        ));
        all.push((
            "supply",
            "pigtail_bore",
            (now.pigtail_bore_m / usual.pigtail_bore_m).powi(2),
        ));
        all.push(("supply", "valve_bore", now.valve_m2 / usual.valve_m2));
    }
    all.sort_by(|a, b| b.2.total_cmp(&a.2));
    let told: Vec<String> = all
        .iter()
        .take(2)
        .filter(|(_, _, ratio)| *ratio > UNUSUAL)
        .map(|(table, key, ratio)| {
            format!("`{key}` of [{table}], {ratio:.0} times off what is usual")
        })
        .collect();
    if told.is_empty() {
        "`damping` and `friction` of both stages, and the vents".to_owned()
    } else {
        told.join(", and ")
    }
}

/// A part so far off the standard one is worth a word.
const UNUSUAL: f64 = 3.0;

#[cfg(test)]
mod tests {
    use super::*;

    /// What was made quick is named, and the furthest off first.
    #[test]
    fn the_part_that_is_too_quick_is_named() {
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
                "`vent.bore` of [regulator.first]",
            ),
            (
                &|r: &mut Rig| r.piping.main.bore_m *= 10.0,
                "`bore` of [piping]",
            ),
            (
                &|r: &mut Rig| r.second.mass_kg *= 50.0,
                "`mass` of [regulator.second]",
            ),
        ] as [(&dyn Fn(&mut Rig), &str); 4]
        {
            let told = named(change);
            assert!(told.starts_with(key), "{told}");
        }
        assert!(named(&|_| {}).starts_with("`damping`"));
    }

    #[test]
    fn steps_are_earned_by_the_second_and_saved_to_a_bound() {
        let mut effort = Effort::default();
        assert_eq!(effort.limit(0.0, 1.0), 80_000);
        assert_eq!(effort.limit(-60.0, 0.0), 90_000);
        assert_eq!(effort.limit(-1.0, 1.0), 80_500);
        effort.spend(0.0, 1.0, 50_000);
        assert_eq!(effort.limit(1.0, 1.0), 30_000);
        effort.spend(1.0, 3600.0, 50_000);
        assert_eq!(effort.limit(3600.0, 3600.0), 60_000);
    }
}
