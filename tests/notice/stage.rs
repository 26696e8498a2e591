//! A stage and its relief by their laws worked out a second time on round numbers (derived: geometry, the gas law, springs,
//! the choked nozzle of any textbook): vent, hole, spring case, friction, damping, the plate on its stem.

use super::house::rig;
use std::f64::consts::PI;
use twostage::physics::GAS_CONSTANT;
use twostage::physics::flow::Upstream;
use twostage::rig::stage::{Around, StageFlows, hole_kg_per_s};
use twostage::rig::{Changeover, Kind, Relief, Stage, StageState, Vent};

fn near(got: f64, wanted: f64, within: f64, what: &str) {
    let off = (got - wanted).abs();
    assert!(
        off <= within * wanted.abs().max(1e-12),
        "{what}: {got}, {wanted}"
    );
}

fn second() -> Stage {
    rig("20 lb cylinder", &[Kind::Grill]).second
}

const AMBIENT_PA: f64 = 100_000.0;

/// Air and gas at 293 K all round, ten psi before the seat.
fn around() -> Around {
    Around {
        upstream: Upstream {
            pressure_pa: 170_000.0,
            temperature_k: 293.0,
            gas_constant: 188.5,
            z: 1.0,
            gamma: 1.13,
        },
        liquid_kg_per_m3: 500.0,
        gas_j_per_kg_k: 188.5,
        gas_k: 293.0,
        case_k: 293.0,
        ambient_pa: AMBIENT_PA,
        residue_factor: 1.0,
        ..Around::default()
    }
}

/// A stage whose chamber stands so far over the air outside, its spring case at the air's pressure and as warm as its walls.
fn state(stage: &Stage, rise_m: f64, over_pa: f64) -> StageState {
    let case_m3 = stage.case_volume_m3(rise_m);
    let case_mol = AMBIENT_PA * case_m3 / (GAS_CONSTANT * 293.0);
    StageState {
        rise_m,
        gas_kg: (AMBIENT_PA + over_pa) * stage.chamber_volume_m3(rise_m) / (188.5 * 293.0),
        case_mol,
        case_settled: case_mol / case_m3,
        ..StageState::default()
    }
}

fn flows(stage: &Stage, rise_m: f64, over_pa: f64, around: &Around) -> StageFlows {
    stage.evaluate(&state(stage, rise_m, over_pa), around)
}

/// A vent passes what its area and its flap's leave, less the head of water that it must bubble through: dp = a w/A² + b w²/A²,
/// solved here for w. Frozen water shuts its share of it, all of it 2 K under freezing, half at half of that.
#[test]
fn a_vent_opens_its_flap_and_bubbles_through_water() {
    let vent = Vent {
        area_m2: 2e-6,
        open: 1.0,
        flap_m2: 4e-6,
        flap_start_pa: 100.0,
        flap_span_pa: 200.0,
        water_seal_pa: 0.0,
        freezing_share: 0.8,
        ..second().vent
    };
    let by_hand = |dp: f64, area: f64| {
        let (a, b) = (vent.laminar / (area * area), vent.turbulent / (area * area));
        ((a * a + 4.0 * b * dp).sqrt() - a) / (2.0 * b)
    };
    for (dp, area) in [
        (50.0, 2e-6),
        (100.0, 2e-6),
        (200.0, 4e-6),
        (300.0, 6e-6),
        (900.0, 6e-6),
    ] {
        near(vent.flow_kg_per_s(dp), by_hand(dp, area), 1e-9, "out");
    }
    near(
        vent.flow_kg_per_s(-50.0),
        -by_hand(50.0, 2e-6),
        1e-9,
        "in, the flap shut",
    );
    let wet = Vent {
        water_seal_pa: 30.0,
        ..vent
    };
    near(
        wet.flow_kg_per_s(50.0),
        by_hand(20.0, 2e-6),
        1e-9,
        "through water",
    );
    assert_eq!(
        (wet.flow_kg_per_s(29.0), wet.flow_kg_per_s(-29.0)),
        (0.0, 0.0)
    );
    near(vent.at(272.15).open, 0.6, 1e-9, "half frozen");
    near(vent.at(270.0).open, 0.2, 1e-9, "frozen");
    assert_eq!(vent.at(274.0).open, 1.0);
    assert_eq!(Vent { open: 0.0, ..vent }.flow_kg_per_s(500.0), 0.0);
}

/// A hole into next to nothing chokes: Cd A p √(γ/(R T)) (2/(γ+1))^((γ+1)/(2(γ-1))) (published: any textbook), less a
/// thousandth for what sticks to its rim.
#[test]
fn a_hole_chokes() {
    let up = around().upstream;
    let g: f64 = up.gamma;
    let choked =
        (2.0 / (g + 1.0)).powf((g + 1.0) / (2.0 * (g - 1.0))) * (g / (188.5 * 293.0)).sqrt();
    for area in [1e-7, 1e-5] {
        let wanted = 0.7 * area * 170_000.0 * choked;
        near(
            hole_kg_per_s(area, 0.7, &up, 1000.0),
            wanted,
            0.03,
            "choked",
        );
    }
}

/// The spring case holds its air in what rise and water leave it, by the gas law; pressed to a tenth more than its walls have
/// taken in it is warmer by 0.4 of that (γ = 1.4: published).
#[test]
fn a_spring_case_holds_its_air() {
    let stage = Stage {
        case_m3: 1e-3,
        area_m2: 0.01,
        water_m: 0.005,
        case_wall_m: 0.01,
        ..second()
    };
    near(
        stage.case_volume_m3(0.002),
        1e-3 - 5e-5 - 2e-5,
        1e-12,
        "volume",
    );
    near(stage.case_volume_m3(1.0), 5e-5, 1e-12, "never nothing");
    let mut s = state(&stage, 0.002, 0.0);
    near(stage.case_pa(&s, 293.0), AMBIENT_PA, 1e-9, "settled");
    near(
        stage.case_pa(&s, 586.0),
        2.0 * AMBIENT_PA,
        1e-9,
        "twice as warm",
    );
    s.case_mol *= 1.1;
    near(
        stage.case_pa(&s, 293.0),
        AMBIENT_PA * 1.1 * 1.04,
        1e-9,
        "pressed together",
    );
    near(
        flows(&stage, 0.002, 0.0, &around()).settling_rate,
        0.0,
        1e-9,
        "at rest",
    );
    let f = stage.evaluate(&s, &around());
    assert!(f.settling_rate > 0.0);
    near(
        f.settling_rate,
        0.1 * s.case_settled / twostage::physics::damping::gas_relaxation_s(0.01),
        1e-6,
        "it settles",
    );
    let at_once = Stage {
        case_wall_m: 0.0,
        ..stage
    };
    near(
        at_once.case_pa(&s, 293.0),
        AMBIENT_PA * 1.1,
        1e-9,
        "at once",
    );
}

/// A bent bristle pushes back by its stiffness, stiffer as residue and ice make the guide hold harder: ice adds its bond for
/// the water that stands there, all of it 2 K under freezing.
#[test]
fn a_guide_sticks_by_what_is_on_it() {
    let stage = Stage {
        friction_n: 2.0,
        bristle_n_per_m: 1e5,
        water_m: 0.004,
        ice_bond_n_per_m: 500.0,
        ..second()
    };
    let bent = |around: &Around| {
        let mut s = state(&stage, 0.001, 2700.0);
        s.bristle_m = 5e-6;
        // Creep lets go by a ten thousandth here.
        stage.evaluate(&s, around).forces.friction_n
    };
    let (warm, frozen) = (
        around(),
        Around {
            case_k: 270.0,
            ..around()
        },
    );
    near(bent(&warm), -0.5, 1e-2, "clean");
    near(
        bent(&Around {
            residue_factor: 3.0,
            ..warm
        }),
        -1.5,
        1e-2,
        "gummed",
    );
    near(bent(&frozen), -0.5 * 2.0, 1e-2, "iced: 2 N of bond on 2 N");
    near(
        bent(&Around {
            residue_factor: 3.0,
            ..frozen
        }),
        -0.5 * 4.0,
        1e-2,
        "both",
    );
}

/// What moves is damped by its own and by its rubber's loss at the frequency of the stage on all its springs: eta k/omega, gas
/// in the chamber and the spring case among them (derived).
#[test]
fn a_stage_is_damped_by_its_rubber() {
    let stage = Stage {
        damping_n_s_per_m: 0.3,
        rubber_loss: 0.12,
        rubber_factor: 1.0,
        rubber_n_per_m: 400.0,
        spring_n_per_m: 1000.0,
        mass_kg: 0.05,
        ..second()
    };
    let of = |stage: &Stage| {
        let mut s = state(stage, 0.001, 2700.0);
        s.speed_m_per_s = 0.01;
        stage
            .evaluate(
                &s,
                &Around {
                    gas_k: 293.15,
                    ..around()
                },
            )
            .forces
            .damping_n
    };
    near(
        of(&Stage {
            rubber_loss: 0.0,
            ..stage
        }),
        -0.003,
        1e-9,
        "its own",
    );
    let chamber_pa = (AMBIENT_PA + 2700.0) * 293.15 / 293.0;
    let gas = chamber_pa / stage.chamber_volume_m3(0.001)
        + 1.4 * AMBIENT_PA / stage.case_volume_m3(0.001);
    let omega = ((1000.0 + 400.0 + stage.area_m2.powi(2) * gas) / 0.05).sqrt();
    near(
        of(&stage),
        -0.01 * (0.3 + 0.12 * 400.0 / omega),
        1e-3,
        "with its rubber's",
    );
}

/// The plate stands on its stem until it presses the seat by more than the relief's spring: linked it opens at F0/(K/L²) past
/// touch, the jet helping by its force over L; with the lever off, at F0/K past the collar.
#[test]
fn a_plate_parts_from_its_stem() {
    let relief = Relief {
        preload_n: 8.0,
        spring_n_per_m: 2000.0,
        bore_m: 4e-3,
        weep_m2: 1e-8,
        free: true,
    };
    let stage = Stage {
        relief: Some(relief),
        linked: true,
        lever_ratio: 4.0,
        seat_n_per_m: 64_000.0,
        stop_n_per_m: 1e5,
        ..second()
    };
    let touch = stage.touch_rise_m;
    let held = around();
    for over_pa in [0.0, 2000.0] {
        let f = flows(&stage, touch + 1e-3, over_pa, &held);
        let jet_n = (170_000.0 - AMBIENT_PA - over_pa) * 0.25 * PI * stage.bore_m.powi(2) / 4.0;
        let opens_m = (8.0 - jet_n) / 4000.0;
        near(f.relief_past_m, 1e-3 - opens_m, 1e-6, "past, linked");
    }
    let off = Stage {
        linked: false,
        ..stage
    };
    let collar_m = 0.5e-3 * 4.0;
    let f = flows(&off, touch + collar_m + 2e-4, 0.0, &held);
    near(f.relief_past_m, 2e-4 - 8e-5, 1e-6, "past, the lever off");
    // Far past its start the gap is K/(K + k_r) of the rise: 4000 of 6000; the stem follows with the rest.
    let p = relief.parting(5e-3, 0.0, 4000.0);
    near(p.past_m, 3e-3, 1e-9, "past");
    near(p.gap_m, (3e-3 - 45e-6) * 4000.0 / 6000.0, 1e-9, "gap");
    near(p.follows, 1.0 / 3.0, 1e-9, "follows");
    let shut = relief.parting(1.9e-3, 0.0, 4000.0);
    assert_eq!((shut.gap_m, shut.follows), (0.0, 1.0));
    near(shut.past_m, -1e-4, 1e-9, "not yet");
    // A jet of 10 N drags the stem down by the 2 N over its spring, 1 mm, wherever the plate stands.
    let dragged = relief.parting(-1.0, 10.0, 4000.0);
    near(dragged.gap_m, 1e-3, 1e-3, "dragged");
    let stuck = Relief {
        free: false,
        ..relief
    }
    .parting(9e-3, 0.0, 4000.0);
    assert_eq!((stuck.gap_m, stuck.follows), (0.0, 1.0));
    // The curtain round a hole of 4 mm: its rim times a small gap, and the hole itself in series with a wide one.
    near(relief.area_m2(0.0), 1e-8, 1e-12, "weeps");
    near(
        relief.area_m2(1e-5),
        1e-8 + PI * 4e-3 * 1e-5,
        0.02,
        "curtain",
    );
    assert!(relief.area_m2(1.0) < 1e-8 + 0.25 * PI * 1.6e-5 * 1.001);
    assert!(relief.area_m2(1.0) > 0.9 * 0.25 * PI * 1.6e-5);
}

/// A lever holds the seat with a fraction of its squeeze; the seat's force comes back over it, and to the plate only while it
/// is squeezed. A jet is the bore's.
#[test]
fn a_seat_is_held_over_its_lever() {
    let stage = Stage {
        relief: None,
        linked: true,
        lever_ratio: 4.0,
        seat_n_per_m: 64_000.0,
        bore_m: 3e-3,
        ..second()
    };
    let at = |past_m: f64| flows(&stage, stage.touch_rise_m + past_m, 2700.0, &around());
    near(at(4e-4).squeeze_m, 1e-4, 1e-9, "squeeze");
    near(
        at(4e-4).forces.seat_n,
        -64_000.0 * 1e-4 / 4.0,
        1e-9,
        "over the lever",
    );
    assert_eq!((at(-4e-4).squeeze_m, at(-4e-4).forces.seat_n), (0.0, 0.0));
    near(at(-4e-4).lift_m, 1e-4, 1e-6, "lift");
    near(
        at(0.0).forces.jet_n,
        -(70_000.0 - 2700.0) * 0.25 * PI * 9e-6 / 4.0,
        1e-9,
        "jet",
    );
    near(at(0.0).forces.gas_n, 2700.0 * stage.area_m2, 1e-6, "gas");
    let wet = Stage {
        water_m: 0.01,
        ..stage
    };
    near(
        flows(&wet, 0.0, 0.0, &around()).forces.water_n,
        -0.01 * 1000.0 * 9.81 * stage.area_m2,
        1e-3,
        "water",
    );
    // What a gauge shows is against the air outside, what the vent passes is air at the spring case's warmth.
    let f = at(-4e-4);
    let r = stage.readings(&state(&stage, 0.0, 2700.0), &f, &around());
    near(r.inlet_pa, 70_000.0, 1e-9, "inlet");
    near(r.chamber_pa, 2700.0, 1e-6, "chamber");
    assert!(r.case_pa.abs() < 1e-6);
    near(
        r.vent_m3_per_s,
        f.vent_kg_per_s * 287.05 * 293.0 / AMBIENT_PA,
        1e-3,
        "vent",
    );
    assert_eq!(r.liquid_share, 0.0);
}

/// A reserve seat opens from its set pressure down over its span; the indicator goes from green to red as the service side's
/// inlet falls from one to the other (derived: straight lines).
#[test]
fn a_changeover_opens_and_reddens_straight() {
    let changeover = Changeover {
        reserve_set_pa: 48_000.0,
        reserve_span_pa: 20_000.0,
        reserve_m2: 1e-5,
        green_pa: 100_000.0,
        red_pa: 60_000.0,
    };
    for (pa, share) in [
        (60_000.0, 0.0),
        (48_000.0, 0.0),
        (43_000.0, 0.25),
        (28_000.0, 1.0),
        (0.0, 1.0),
    ] {
        assert!(
            (changeover.area_m2(pa) - share * 1e-5).abs() < 1e-15,
            "{pa}"
        );
    }
    for (pa, red) in [
        (120_000.0, 0.0),
        (100_000.0, 0.0),
        (90_000.0, 0.25),
        (60_000.0, 1.0),
        (0.0, 1.0),
    ] {
        assert!((changeover.red(pa) - red).abs() < 1e-12, "{pa}");
    }
}
