//! What burners take against their rating plates. On a rig nobody reads it off a gauge (it is clocked, or seen by the flame),
//! so it is no figure of a test: the bench knows it of its rig. One that takes too much is failed, one that is starved (by its
//! branch, its orifice, its valve) looked into.

use crate::physics::STANDARD_ATMOSPHERE_PA;
use crate::physics::air::atmosphere_pa;
use crate::rig::{Readings, Rig};
use crate::service::{LIMITS, over_plate};
use crate::visit::report::ThinAir;
use crate::visit::verdict::{Against, Judged, Verdict, span};

/// Up to here a burner runs as it was made (common practice, value from memory: 2000 ft) \[m\].
const RERATED_FROM_M: f64 = 609.6;

fn held(appliance: usize, over: f64) -> Judged {
    let least = &LIMITS.under_plate;
    let (limit, verdict) = if least.is_missed_by(over) {
        (*least, Verdict::Fail)
    } else {
        span(&LIMITS.over_plate, Some(&LIMITS.over_plate_caution), over)
    };
    Judged {
        against: Against::Plate(appliance),
        value: over,
        limit: Some(limit),
        verdict,
    }
}

/// The burners that stand off their plates, the worst first, held against what they may; where none does, the one that comes
/// nearest to it. None where nothing burns.
pub(super) fn judged(readings: &Readings, rig: &Rig) -> Vec<Judged> {
    let burners = readings.appliances.iter().zip(&rig.appliances).enumerate();
    let all = burners.filter_map(|(i, (a, made))| Some(held(i, over_plate(made, a, readings)?)));
    let mut all: Vec<Judged> = all.collect();
    all.sort_by(|a, b| {
        let off = |j: &Judged| j.value.abs();
        b.verdict.cmp(&a.verdict).then(off(b).total_cmp(&off(a)))
    });
    let stand_off = all.iter().take_while(|j| j.verdict > Verdict::Pass).count();
    all.truncate(stand_off.max(1));
    all
}

/// The air of a place where burners made for sea level run richer than they should; none lower down.
pub(super) fn thin_air(readings: &Readings, rig: &Rig) -> Option<ThinAir> {
    let (sea_pa, here_pa) = (STANDARD_ATMOSPHERE_PA, readings.ambient_pa);
    if here_pa > atmosphere_pa(RERATED_FROM_M) {
        return None;
    }
    let rated_pa = rig.appliances.first()?.rated_pa;
    Some(ThinAir {
        less_fuel: 1.0 - ((here_pa + rated_pa) / (sea_pa + rated_pa)).sqrt(),
        less_air: 1.0 - here_pa / sea_pa,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rig::presets::RATED_AT_K;
    use crate::rig::{Kind, Site, presets};
    use crate::scenario::Scenario;
    use crate::service::TOLERANCE;
    use crate::sim::Simulation;
    use crate::solver::Method;
    use crate::visit::{Bench, Progress, Test, TestResult, Verdict, prepare, run};
    use std::sync::Arc;

    /// Full load of a furnace, a water heater with its pilot and a cooktop, in this air, the furnace's branch of this bore.
    fn full_load((air_k, elevation_m): (f64, f64), bore_m: Option<f64>) -> TestResult {
        let kinds = [Kind::Furnace, Kind::WaterHeater, Kind::Cooktop];
        let one = presets::container("30 lb cylinder").expect("a preset");
        let mut rig = Rig::standard(vec![one], kinds.map(presets::appliance).to_vec());
        if let Some(bore_m) = bore_m {
            (
                rig.appliances[0].branch.bore_m,
                rig.appliances[0].branch.length_m,
            ) = (bore_m, 18.3);
        }
        let site = Site::calm(air_k, elevation_m);
        let base = Scenario::at_rest("bench", rig, site, 0.6, air_k);
        let prepared = Arc::new(prepare(&base, &[]));
        let mut sim = Simulation::start(prepared, Method::Stiff, TOLERANCE).expect("starts");
        let mut go_on = |_: &Progress| true;
        run(&mut Bench::new(&mut sim, &mut go_on), Test::FullLoad).expect("made")
    }

    /// At 9000 ft, 72.4 kPa of the standard atmosphere (ISO 2533): 29 % less air, and the root of that in fuel; nothing is said
    /// under 2000 ft.
    #[test]
    fn thin_air_is_told_where_burners_are_set_for_it() {
        let told = |elevation_m: f64| full_load((289.0, elevation_m), None).thin_air;
        let high = told(2743.2).expect("thin");
        assert!((high.less_air - 0.286).abs() < 0.003, "{high:?}");
        assert!((high.less_fuel - 0.15).abs() < 0.01, "{high:?}");
        assert_eq!(told(500.0), None);
        assert!(told(700.0).is_some());
    }

    /// Two that are overfired are both told, the worse first.
    #[test]
    fn every_burner_over_its_plate_is_told() {
        let kinds = [Kind::Furnace, Kind::WaterHeater, Kind::Cooktop];
        let one = presets::container("30 lb cylinder").expect("a preset");
        let mut rig = Rig::standard(vec![one], kinds.map(presets::appliance).to_vec());
        let mut sound = Readings {
            appliance_count: 3,
            ambient_pa: STANDARD_ATMOSPHERE_PA,
            air_k: RATED_AT_K,
            ..Readings::default()
        };
        for (i, over) in [1.3, 1.0, 1.5].into_iter().enumerate() {
            let a = &mut rig.appliances[i];
            let now = &mut sound.appliances[i];
            (now.valve_open, now.inlet_pa) = (1.0, a.rated_pa);
            now.heat_w = over * a.input_w;
        }
        let told: Vec<_> = judged(&sound, &rig).iter().map(|j| j.against).collect();
        assert_eq!(told, [Against::Plate(2), Against::Plate(0)]);
    }

    fn plate(result: &TestResult) -> (usize, f64, Verdict) {
        let of = |j: &Judged| match j.against {
            Against::Plate(i) => Some((i, j.value, j.verdict)),
            _ => None,
        };
        result.judged.iter().find_map(of).expect("burners burn")
    }

    /// An orifice passes by the root of its pressure (textbook), so within the band of 10.5 to 11.5 in w.c. a burner made for 11
    /// is within 3 % of its plate: neither its pilot nor cold or thin air makes a healthy one stand out.
    #[test]
    fn a_burner_that_follows_its_pressure_is_right() {
        for place in [(289.0, 0.0), (255.0, 0.0), (308.0, 0.0), (289.0, 2500.0)] {
            let (_, over, verdict) = plate(&full_load(place, None));
            assert_eq!(verdict, Verdict::Pass, "{place:?}: {over}");
            assert!(over.abs() < 0.05, "{place:?}: {over}");
        }
    }

    /// Sixty feet of 6 mm before a furnace: the outlet is right, and the furnace is named as starved.
    #[test]
    fn a_starved_branch_is_seen_by_its_burner() {
        let result = full_load((289.0, 0.0), Some(6e-3));
        let (which, over, verdict) = plate(&result);
        assert_eq!((which, verdict), (0, Verdict::Caution));
        assert!((-0.3..-0.1).contains(&over), "{over}");
    }
}
