//! Each mechanism that damps a stage against its formula, in the stage or the rig as it runs.

use std::f64::consts::{PI, TAU};

use twostage::analysis::{Friction, Mechanism, Stand, hunting};
use twostage::physics::flow::Upstream;
use twostage::physics::{AIR_GAS_CONSTANT, GAS_CONSTANT};
use twostage::rig::stage::Around;
use twostage::rig::state::StageState;
use twostage::rig::{Kind, Rig, RigState, Site, Stage, evaluate, presets};
use twostage::sim::RigSystem;
use twostage::solver::{Engine, Method, System, Tolerance as Step};

use crate::common::{Check, Grade, Tolerance, assert_worst};
use crate::house::{BTU_PER_H_W, PSI_PA, kelvin, rig};

const AMBIENT_PA: f64 = 101_325.0;
const GAS: f64 = 188.555;

fn check<'a>(id: &'a str, what: &'a str, unit: &'a str, tolerance: Tolerance) -> Check<'a> {
    Check {
        id,
        what,
        source: "balance of forces on one diaphragm",
        grade: Grade::Derived,
        unit,
        tolerance,
        expected: 0.0,
        got: 0.0,
    }
}

/// A stage's surroundings at one temperature \[K\], all gas at ambient pressure.
fn still(t_k: f64) -> Around {
    Around {
        upstream: Upstream {
            pressure_pa: AMBIENT_PA,
            temperature_k: t_k,
            gas_constant: GAS,
            z: 1.0,
            gamma: 1.13,
        },
        gas_j_per_kg_k: GAS,
        gas_k: t_k,
        case_k: t_k,
        ambient_pa: AMBIENT_PA,
        residue_factor: 1.0,
        ..Around::default()
    }
}

/// A stage at ambient pressure on both sides, half-way up.
fn at_rest(stage: &Stage, t_k: f64) -> StageState {
    let rise_m = 0.5 * stage.touch_rise_m;
    let settled = AMBIENT_PA / (GAS_CONSTANT * t_k);
    StageState {
        rise_m,
        gas_kg: AMBIENT_PA * stage.chamber_volume_m3(rise_m) / (GAS * t_k),
        case_mol: settled * stage.case_volume_m3(rise_m),
        case_settled: settled,
        ..StageState::default()
    }
}

/// Exponent n of a sealed bonnet of 100 mL under a small swing: its part in step with the volume and the part a
/// quarter turn ahead.
fn swung(hz: f64) -> (f64, f64) {
    let mut stage = presets::second_stage();
    stage.vent.open = 0.0;
    stage.case_wall_m = 6.1e-3;
    let rest = at_rest(&stage, 293.15);
    stage.case_m3 = 100e-6 + stage.area_m2 * rest.rise_m;
    let mut s = at_rest(&stage, 293.15);
    let around = still(293.15);
    let (middle_m, swing_m, steps) = (s.rise_m, 1e-5, 400_u32);
    let step_s = 1.0 / (hz * f64::from(steps));
    let periods = (4.0 * hz).ceil().max(2.0) as u32;
    let (mut in_step, mut ahead) = (0.0, 0.0);
    for k in 0..periods * steps {
        let t = f64::from(k) * step_s;
        s.rise_m = middle_m + swing_m * (TAU * hz * t).sin();
        let f = stage.evaluate(&s, &around);
        if k >= (periods - 1) * steps {
            let share = 2.0 / f64::from(steps) * (f.case_pa / AMBIENT_PA - 1.0);
            in_step += share * (TAU * hz * t).sin();
            ahead += share * (TAU * hz * t).cos();
        }
        // Heun's step of the settling, the rise of the next moment in its second half.
        let mut next = s;
        next.case_settled += step_s * f.settling_rate;
        next.rise_m = middle_m + swing_m * (TAU * hz * (t + step_s)).sin();
        let then = stage.evaluate(&next, &around).settling_rate;
        s.case_settled += 0.5 * step_s * (f.settling_rate + then);
    }
    let squeeze = stage.area_m2 * swing_m / 100e-6;
    (in_step / squeeze, ahead / squeeze)
}

#[test]
fn the_bonnets_air_is_between_isothermal_and_adiabatic() {
    let source = "gas spring between isothermal walls, n = gamma/(1 + (gamma - 1) tanh z/z), z = sqrt(i omega L2/alpha)";
    let table = [
        (1.0, 1.28, 0.073),
        (10.0, 1.36, 0.027),
        (100.0, 1.39, 0.009),
    ];
    let seen = table.map(|(hz, n, loss)| {
        let (re, im) = swung(hz);
        (format!("{hz} Hz"), n, re, loss, im / re)
    });
    assert_worst(
        &Check {
            source,
            ..check(
                "damping.bonnet_air.exponent",
                "polytropic exponent of 100 mL of air in a bonnet, one relaxation for the whole law",
                "1",
                Tolerance::Relative(0.06),
            )
        },
        seen.clone().map(|(at, n, re, ..)| (at, n, re)),
    );
    assert_worst(
        &Check {
            source,
            ..check(
                "damping.bonnet_air.loss",
                "loss factor of 100 mL of air in a bonnet, one relaxation for the whole law",
                "1",
                Tolerance::Absolute(0.03),
            )
        },
        seen.clone().map(|(at, _, _, loss, got)| (at, loss, got)),
    );
    assert_worst(
        &Check {
            source,
            ..check(
                "damping.bonnet_air.loss_fast",
                "the same at 10 and 100 Hz: takes out no more than there is",
                "1",
                Tolerance::AtMost,
            )
        },
        seen[1..]
            .iter()
            .map(|(at, _, _, loss, got)| (at.clone(), *loss, *got)),
    );
    let slow_hz = 0.02;
    let (re, im) = swung(slow_hz);
    Check {
        source: "the same law where it is slow: loss = (gamma - 1)/gamma omega L2/(3 alpha)",
        expected: 0.4 / 1.4 * TAU * slow_hz * 6.1e-3 * 6.1e-3 / (3.0 * 2.1e-5),
        got: im / re,
        ..check(
            "damping.bonnet_air.slow",
            "loss factor of the same bonnet at 0.02 Hz",
            "1",
            Tolerance::Relative(0.02),
        )
    }
    .assert();
}

#[test]
fn a_sealed_bonnet_squeezed_at_once_is_an_adiabat() {
    let mut stage = presets::first_stage();
    stage.vent.open = 0.0;
    let mut s = at_rest(&stage, 293.15);
    s.rise_m += 0.01 * stage.case_volume_m3(s.rise_m) / stage.area_m2;
    let over = |s: &StageState| stage.evaluate(s, &still(293.15)).case_pa / AMBIENT_PA - 1.0;
    let at_once = over(&s);
    s.case_settled = s.case_mol / stage.case_volume_m3(s.rise_m);
    Check {
        source: "adiabat of air: gamma 1.4",
        expected: 1.4,
        got: at_once / over(&s),
        ..check(
            "damping.bonnet_air.at_once",
            "rise of pressure in a sealed first bonnet made 1 % smaller, at once over after minutes",
            "1",
            Tolerance::Relative(0.01),
        )
    }
    .assert();
}

/// Damping ratio and stiffness \[N/m\] of a stage on its spring and rubber alone: gas springs of a thousand cubic metres.
fn dry(stage: &Stage, t_k: f64) -> (f64, f64) {
    let stage = Stage {
        chamber_m3: 1e3,
        case_m3: 1e3,
        friction_n: 0.0,
        ..*stage
    };
    let s = at_rest(&stage, t_k);
    let force = |rise_m: f64, speed: f64| {
        let moved = StageState {
            rise_m: s.rise_m + rise_m,
            speed_m_per_s: speed,
            ..s
        };
        stage.evaluate(&moved, &still(t_k)).forces.sum_n()
    };
    let (dx, dv) = (1e-6, 1e-3);
    let stiffness = (force(-dx, 0.0) - force(dx, 0.0)) / (2.0 * dx);
    let damping = (force(0.0, -dv) - force(0.0, dv)) / (2.0 * dv);
    (
        damping / (2.0 * (stiffness * stage.mass_kg).sqrt()),
        stiffness,
    )
}

#[test]
fn rubber_damps_by_half_its_loss_factor_on_its_share() {
    let mut points = Vec::new();
    for (name, stage) in [
        ("first", presets::first_stage()),
        ("second", presets::second_stage()),
    ] {
        for air_f in [-40.0, 68.0, 130.0] {
            let t_k = kelvin(air_f);
            // The laws of cold written out again.
            let loss = 0.12 * ((293.15 - t_k) / 33.0).exp().clamp(0.4, 8.0);
            let rubber = stage.rubber_n_per_m * ((293.15 - t_k) / 55.0).exp().clamp(0.7, 4.0);
            let share = rubber / (rubber + stage.spring_n_per_m);
            let at = format!("{name} stage, {air_f} F");
            points.push((at, 0.5 * loss * share, dry(&stage, t_k).0));
        }
    }
    assert_worst(
        &Check {
            source: "viscous equivalent of hysteresis: damping ratio = loss factor/2 times the share of stiffness",
            ..check(
                "damping.rubber.ratio",
                "damping ratio of a stage on its spring and rubber alone",
                "1",
                Tolerance::Relative(0.01),
            )
        },
        points,
    );
    let loss = |t_k: f64| {
        let stage = presets::first_stage();
        let (ratio, stiffness) = dry(&stage, t_k);
        2.0 * ratio * stiffness / (stiffness - stage.spring_n_per_m)
    };
    Check {
        source: "nitrile, 0.08 to 0.2 at 20 C and 1 to 100 Hz",
        grade: Grade::Memory,
        expected: 0.14,
        got: loss(293.15),
        ..check(
            "damping.rubber.loss_warm",
            "loss factor of the diaphragm's rubber at 20 C",
            "1",
            Tolerance::Absolute(0.06),
        )
    }
    .assert();
    Check {
        source: "peak of about 1 some 10 to 20 K over the glass transition, here near -65 C",
        grade: Grade::Memory,
        expected: 1.0,
        got: loss(223.15),
        ..check(
            "damping.rubber.loss_cold",
            "loss factor of the diaphragm's rubber at -50 C",
            "1",
            Tolerance::Absolute(0.2),
        )
    }
    .assert();
}

#[test]
fn a_breathing_hole_damps_by_poiseuille_and_sampson() {
    // Air of the density the hole's coefficients are made for, a speed so small that the flow is laminar.
    let t_k = 288.15;
    let density = AMBIENT_PA / (AIR_GAS_CONSTANT * t_k);
    let speed = 1e-6;
    let points = [
        ("first", presets::first_stage(), 0.8e-3),
        ("second", presets::second_stage(), 2.5e-3),
    ]
    .map(|(name, stage, bore_m)| {
        let wanted = density * stage.area_m2 * speed;
        let (mut low, mut high) = (0.0, 10.0);
        for _ in 0..100 {
            let over = 0.5 * (low + high);
            let mut s = at_rest(&stage, t_k);
            s.case_mol *= 1.0 + over / AMBIENT_PA;
            s.case_settled = s.case_mol / stage.case_volume_m3(s.rise_m);
            if stage.evaluate(&s, &still(t_k)).vent_kg_per_s < wanted {
                low = over;
            } else {
                high = over;
            }
        }
        let hole_m2 = 0.25 * PI * bore_m * bore_m;
        let resistance = 8.0 * PI * 1.79e-5 * (5e-3 + 0.589 * bore_m) / (hole_m2 * hole_m2);
        (
            format!("{name} stage"),
            stage.area_m2 * stage.area_m2 * resistance,
            0.5 * (low + high) * stage.area_m2 / speed,
        )
    });
    assert_worst(
        &Check {
            source: "Poiseuille with Sampson's ends: c = 8 pi mu (l + 0.589 D) A2/a2",
            grade: Grade::Published,
            ..check(
                "damping.breather",
                "force on a slowly moving diaphragm from the air in its breathing hole, over its speed",
                "N s/m",
                Tolerance::Relative(0.01),
            )
        },
        points,
    );
}

/// The standard rig without dry friction.
fn frictionless() -> Rig {
    let mut rig = rig("100 lb cylinder", &[Kind::OnDemandHeater]);
    rig.first.friction_n = 0.0;
    rig.second.friction_n = 0.0;
    rig
}

fn settled(rig: &Rig, psig: f64, air_f: f64, kbtu: f64) -> (Stand, f64) {
    let stand = Stand::new(rig, &Site::calm(kelvin(air_f), 0.0), psig * PSI_PA);
    let orifice_m2 = stand.orifice_m2(1e3 * kbtu * BTU_PER_H_W);
    (stand, orifice_m2)
}

/// The rig with the first stage damped by a viscous damper alone.
fn damped_by(n_s_per_m: f64) -> Rig {
    let rig = Mechanism::FirstBreather.removed_from(&frictionless());
    let mut rig = Mechanism::DiaphragmRubber.removed_from(&rig);
    rig.first.case_wall_m = 0.0;
    rig.first.damping_n_s_per_m = n_s_per_m;
    rig
}

#[test]
fn what_the_first_stage_needs_is_what_routh_and_hurwitz_say() {
    let (psig, kbtu) = (100.0, 60.0);
    let least = |c: f64| {
        let (mut stand, orifice_m2) = settled(&damped_by(c), psig, 68.0, kbtu);
        hunting(&mut stand, orifice_m2).expect("steady").damping
    };
    let (mut hums, mut quiet) = (0.0, 200.0);
    for _ in 0..30 {
        let middle = 0.5 * (hums + quiet);
        if least(middle) < 0.0 {
            hums = middle;
        } else {
            quiet = middle;
        }
    }
    let (mut stand, orifice_m2) = settled(&damped_by(quiet), psig, 68.0, kbtu);
    let point = stand.settle(orifice_m2, Friction::None).expect("steady");
    let f = evaluate(&stand.rig, &stand.modes, 0.0, &point.state);
    let stage = &stand.rig.first;
    // Flow per rise as the stage has it, and the third-order loop of mass, springs and chamber.
    let bore_m2 = 0.25 * PI * stage.bore_m * stage.bore_m;
    let passed = |further_m: f64| {
        let mut moved = point.state.first;
        moved.rise_m += further_m;
        stage.evaluate(&moved, &f.around_first).seat_kg_per_s()
    };
    let gain = (passed(-1e-8) - passed(1e-8)) / 2e-8;
    let pushed_m2 = stage.area_m2 + bore_m2 / stage.lever_ratio;
    let volume_m3 = stage.chamber_volume_m3(point.state.first.rise_m);
    let gas_spring = stage.area_m2 * pushed_m2 * f.first.chamber_pa / volume_m3;
    let spring = stage.spring_n_per_m + stage.rubber_rate_n_per_m(f.around_first.gas_k);
    let per_kg = f.around_first.gas_j_per_kg_k * f.around_first.gas_k / volume_m3;
    Check {
        source: "Routh and Hurwitz: c (k + k_gas) = m A (dw/dx) R T/V",
        expected: stage.mass_kg * pushed_m2 * gain * per_kg / (spring + gas_spring),
        got: quiet,
        ..check(
            "damping.first_stage_needs",
            "damper at which the first stage begins to hum, nothing else damping it, 100 psig, 60,000 Btu/h",
            "N s/m",
            Tolerance::Relative(0.1),
        )
    }
    .assert();
}

#[test]
fn the_first_stage_is_carried_by_its_breathing_hole() {
    let without = Mechanism::FirstBreather.removed_from(&frictionless());
    let points = [45.0, 93.0, 150.0, 220.0].map(|psig| {
        let (mut stand, orifice_m2) = settled(&without, psig, 68.0, 60.0);
        let p = hunting(&mut stand, orifice_m2).expect("steady");
        (format!("{psig} psig"), 0.0, p.damping)
    });
    assert_worst(
        &Check {
            source: "Routh and Hurwitz: rubber alone gives less than the first stage needs",
            ..check(
                "damping.first_breather_carries",
                "damping ratio with the first stage's breathing hole wide open, 68 F, 60,000 Btu/h",
                "1",
                Tolerance::AtMost,
            )
        },
        points,
    );
}

#[test]
fn a_knock_rings_down_as_its_eigenvalue_says() {
    let (mut stand, orifice_m2) = settled(&frictionless(), 220.0, 130.0, 60.0);
    let p = hunting(&mut stand, orifice_m2).expect("steady");
    let point = stand.settle(orifice_m2, Friction::None).expect("steady");
    let system = RigSystem::new(&stand.rig, &stand.modes);
    let mut y = vec![0.0; system.dim()];
    point.state.write_to(&stand.rig, &mut y);
    let rest_m = RigState::read_from(&stand.rig, &y).first.rise_m;
    y[0] += 1e-8;
    let finely = Step {
        relative: 1e-10,
        absolute: 1e-14,
    };
    let period = 1.0 / p.frequency_hz;
    let samples: Vec<f64> = (1..1500).map(|k| f64::from(k) * period / 500.0).collect();
    let mut run = Vec::new();
    Engine::new(Method::Explicit, finely)
        .advance(&system, 0.0, 3.0 * period, &mut y, &samples, &mut |t, y| {
            run.push((t, y[0] - rest_m));
        })
        .expect("the run ends");
    // Turning points; the first follows the knock, which stirs every mode.
    let turns: Vec<(f64, f64)> = run
        .windows(3)
        .filter(|w| (w[1].1 - w[0].1) * (w[2].1 - w[1].1) < 0.0)
        .map(|w| w[1])
        .collect();
    assert!(turns.len() >= 5, "{turns:?}");
    let turns = &turns[1..];
    // Two half swings over the two before: an offset falls out.
    let fall = ((turns[1].1 - turns[0].1) / (turns[3].1 - turns[2].1)).ln();
    let got = fall / fall.hypot(TAU);
    Check {
        source: "logarithmic decrement",
        expected: p.damping,
        got,
        ..check(
            "damping.ring_down",
            "damping ratio of the first stage by its swing after a knock, 220 psig, 130 F, 60,000 Btu/h",
            "1",
            Tolerance::Relative(0.1),
        )
    }
    .assert();
    Check {
        source: "imaginary part of the eigenvalue",
        expected: p.frequency_hz,
        got: 1.0 / (turns[2].0 - turns[0].0),
        ..check(
            "damping.ring_down_frequency",
            "its frequency",
            "Hz",
            Tolerance::Relative(0.03),
        )
    }
    .assert();
}
