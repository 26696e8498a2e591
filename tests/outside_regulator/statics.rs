//! Lock-up by the balance of forces, for both stages of the standard regulator as they are.

use twostage::physics::GAS_CONSTANT;
use twostage::physics::flow::Upstream;
use twostage::rig::stage::Around;
use twostage::rig::state::StageState;
use twostage::rig::{Stage, presets};

use crate::common::{Check, Grade, Tolerance, assert_worst};
use crate::house::{PSI_PA, kelvin};

const GAS: f64 = 188.555;
const AMBIENT_PA: f64 = 101_325.0;

/// Outlet pressure \[Pa gauge\] at which the forces on a stage sum to nothing with its seat just
/// touching, its spring case at ambient and its bristles bent by a share of the friction.
fn balance(stage: &Stage, upstream_pa: f64, t_k: f64, friction_share: f64) -> f64 {
    let around = Around {
        upstream: Upstream {
            pressure_pa: upstream_pa,
            temperature_k: t_k,
            gas_constant: GAS,
            z: 1.0,
            gamma: 1.13,
        },
        liquid_kg_per_m3: 500.0,
        liquid_share: 0.0,
        gas_j_per_kg_k: GAS,
        gas_k: t_k,
        case_k: t_k,
        ambient_pa: AMBIENT_PA,
        ice: 0.0,
        residue_factor: 1.0,
        press_n: 0.0,
        thumb: 0.0,
    };
    let rise_m = stage.touch_rise_m;
    let sum = |outlet_pa: f64| {
        let amount = (AMBIENT_PA + outlet_pa) * stage.chamber_volume_m3(rise_m);
        let state = StageState {
            rise_m,
            speed_m_per_s: 0.0,
            bristle_m: friction_share * stage.friction_n / stage.bristle_n_per_m,
            gas_kg: amount / (GAS * t_k),
            case_mol: AMBIENT_PA * stage.case_volume_m3(rise_m) / (GAS_CONSTANT * t_k),
            case_settled: AMBIENT_PA / (GAS_CONSTANT * t_k),
        };
        stage.evaluate(&state, &around).forces.sum_n()
    };
    let (mut low, mut high) = (0.0, 300e3);
    for _ in 0..100 {
        let middle = 0.5 * (low + high);
        if sum(middle) < 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

/// Rubber rate by the stated law, written out again: 55 K to a factor of e, from 20 °C, held to 0.7 to 4.
fn rubber_n_per_m(stage: &Stage, t_k: f64) -> f64 {
    stage.rubber_n_per_m * ((293.15 - t_k) / 55.0).exp().clamp(0.7, 4.0)
}

#[test]
fn lock_up_without_squeeze() {
    let mut points = Vec::new();
    for (name, stage, inlets) in [
        ("first", presets::first_stage(), [20.0, 93.0, 220.0]),
        ("second", presets::second_stage(), [5.0, 10.0, 30.0]),
    ] {
        for inlet_psig in inlets {
            for t_f in [-40.0, 60.0, 130.0] {
                let t_k = kelvin(t_f);
                let upstream = AMBIENT_PA + inlet_psig * PSI_PA;
                let seat = std::f64::consts::FRAC_PI_4 * stage.bore_m.powi(2) / stage.lever_ratio;
                let spring = stage.preload_n
                    + stage.spring_n_per_m * stage.touch_rise_m
                    + rubber_n_per_m(&stage, t_k) * (stage.touch_rise_m - stage.rubber_ease_m);
                let expected = (spring + (upstream - AMBIENT_PA) * seat) / (stage.area_m2 + seat);
                let got = balance(&stage, upstream, t_k, 0.0);
                points.push((
                    format!("{name} stage, {inlet_psig} psig, {t_f} F"),
                    expected,
                    got,
                ));
            }
        }
    }
    let check = Check {
        id: "statics.lock_up",
        what: "lock-up with no squeeze, both stages",
        source: "balance of forces: (F0 + k x_c + (p1 - pa) A_s/L) / (A + A_s/L)",
        grade: Grade::Derived,
        unit: "Pa",
        tolerance: Tolerance::Relative(1e-9),
        expected: 0.0,
        got: 0.0,
    };
    assert_worst(&check, points);
}

#[test]
fn hysteresis_band_of_the_standard_stages() {
    let points = [
        ("first", presets::first_stage(), 93.0),
        ("second", presets::second_stage(), 10.0),
    ]
    .map(|(name, stage, inlet_psig)| {
        let upstream = AMBIENT_PA + inlet_psig * PSI_PA;
        let seat = std::f64::consts::FRAC_PI_4 * stage.bore_m.powi(2) / stage.lever_ratio;
        let band = |share| balance(&stage, upstream, kelvin(60.0), share);
        // A bristle at rest lets go at 10 nm/s: what damps it takes that much off.
        let held_n = stage.friction_n - 1e-8 * stage.bristle_damping_n_s_per_m;
        let expected = 2.0 * held_n / (stage.area_m2 + seat);
        (format!("{name} stage"), expected, band(1.0) - band(-1.0))
    });
    let check = Check {
        id: "statics.hysteresis_standard",
        what: "outlet with friction full up less full down",
        source: "balance of forces: 2 F/(A + A_s/L)",
        grade: Grade::Derived,
        unit: "Pa",
        tolerance: Tolerance::Relative(1e-6),
        expected: 0.0,
        got: 0.0,
    };
    assert_worst(&check, points);
}
