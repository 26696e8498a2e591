//! The keys of the two stages: diaphragm, spring, seat, vent, relief. Bounds are those of physical
//! sense and of what the model can follow.

use super::slot::{Measure, Slot, bore, flag, quantity, slot};
use crate::physics::flow;
use crate::rig::{Relief, Stage};
use crate::units::Dimension as D;
use std::f64::consts::PI;

/// Keys of `[regulator.first]` and `[regulator.second]`.
pub(super) static STAGE: &[Slot<Stage>] = &[
    bore!(
        "diaphragm",
        10e-3,
        0.4,
        area_m2,
        "effective diameter of the diaphragm"
    ),
    slot!("mass", quantity(D::Mass), 1e-3, 2.0, mass_kg, "moving mass"),
    slot!(
        "preload",
        quantity(D::Force),
        0.0,
        5000.0,
        preload_n,
        "spring force at the open stop: the adjusting screw"
    ),
    slot!(
        "spring",
        quantity(D::Stiffness),
        10.0,
        1e6,
        spring_n_per_m,
        "rate of the adjusting spring"
    ),
    slot!(
        "screw_pitch",
        quantity(D::Length),
        1e-4,
        5e-3,
        screw_pitch_m,
        "travel of the adjusting screw in a turn"
    ),
    slot!(
        "rubber",
        quantity(D::Stiffness),
        0.0,
        1e6,
        rubber_n_per_m,
        "rate of the diaphragm's rubber at 68 degF"
    ),
    slot!(
        "rubber_ease",
        quantity(D::Travel),
        0.0,
        20e-3,
        rubber_ease_m,
        "rise at which the rubber pulls neither way"
    ),
    slot!(
        "rubber_factor",
        Measure::Number,
        0.1,
        100.0,
        rubber_factor,
        "hardening of the rubber by age, 1 when new"
    ),
    slot!(
        "rubber_loss",
        Measure::Number,
        0.0,
        1.0,
        rubber_loss,
        "loss factor of the rubber at 68 degF"
    ),
    slot!(
        "damping",
        quantity(D::Damping),
        0.0,
        1e5,
        damping_n_s_per_m,
        "viscous damping beyond what rubber, air and gas do"
    ),
    slot!(
        "friction",
        quantity(D::Force),
        0.0,
        200.0,
        friction_n,
        "friction of guide and lever"
    ),
    slot!(
        "static_ratio",
        Measure::Number,
        1.0,
        5.0,
        static_ratio,
        "break-away over sliding friction"
    ),
    slot!(
        "bristle",
        quantity(D::Stiffness),
        100.0,
        1e6,
        bristle_n_per_m,
        "stiffness of the friction before it slides"
    ),
    slot!(
        "bristle_damping",
        quantity(D::Damping),
        0.0,
        1e4,
        bristle_damping_n_s_per_m,
        "damping of the friction before it slides"
    ),
    slot!(
        "lever_ratio",
        Measure::Number,
        0.5,
        20.0,
        lever_ratio,
        "diaphragm travel for one of seat travel"
    ),
    flag!("linked", linked, "whether the lever holds the seat"),
    slot!(
        "bore",
        quantity(D::Length),
        1e-4,
        20e-3,
        bore_m,
        "bore of the nozzle under the seat"
    ),
    slot!(
        "discharge",
        Measure::Number,
        0.1,
        1.0,
        discharge,
        "discharge coefficient of the nozzle"
    ),
    slot!(
        "touch_rise",
        quantity(D::Travel),
        1e-5,
        20e-3,
        touch_rise_m,
        "diaphragm rise from the open stop at which the seat touches"
    ),
    slot!(
        "seat",
        quantity(D::Stiffness),
        1e3,
        1e8,
        seat_n_per_m,
        "stiffness of the seat rubber"
    ),
    slot!(
        "seat_damping",
        Measure::Only("s/m"),
        0.0,
        100.0,
        seat_damping_s_per_m,
        "damping of the seat on its stiffness"
    ),
    slot!(
        "seal_leak",
        quantity(D::Area),
        0.0,
        1e-5,
        seal_leak_m2,
        "leak area of the seat where it just touches"
    ),
    slot!(
        "seal_force",
        quantity(D::Force),
        1e-3,
        1e3,
        seal_force_n,
        "seat force that seals it"
    ),
    slot!(
        "seal_channel",
        quantity(D::Area),
        0.0,
        1e-5,
        seal_channel_m2,
        "leak area that no force closes: a cut across the rubber"
    ),
    slot!(
        "held_lift",
        quantity(D::Travel),
        0.0,
        5e-3,
        held_lift_m,
        "lift that dirt or a broken disc leaves whatever the diaphragm does"
    ),
    Slot {
        key: "loose_at",
        measure: quantity(D::MassFlow),
        low: 0.0,
        high: 1.0,
        words: "flow through the seat that carries off what holds it open, and `held_lift` with it; 0 where nothing is loose",
        get: |stage| stage.loose_at_kg_per_s.unwrap_or(0.0),
        set: |stage, value| stage.loose_at_kg_per_s = (value > 0.0).then_some(value),
    },
    slot!(
        "chamber",
        quantity(D::Volume),
        1e-6,
        0.05,
        chamber_m3,
        "gas volume under the diaphragm"
    ),
    slot!(
        "case",
        quantity(D::Volume),
        1e-6,
        0.05,
        case_m3,
        "air volume of the spring case"
    ),
    slot!(
        "case_wall",
        quantity(D::Travel),
        0.0,
        0.1,
        case_wall_m,
        "air volume of the spring case over the area of its walls; 0 if its air is always as warm as they"
    ),
    slot!(
        "tear",
        quantity(D::Area),
        0.0,
        1e-4,
        tear_m2,
        "tear or pinhole in the diaphragm"
    ),
    slot!(
        "water",
        quantity(D::Length),
        0.0,
        0.05,
        water_m,
        "depth of water standing on the diaphragm"
    ),
    slot!(
        "ice_bond",
        quantity(D::Stiffness),
        0.0,
        1e6,
        ice_bond_n_per_m,
        "friction that this water adds when frozen, per depth"
    ),
    slot!(
        "stop",
        quantity(D::Stiffness),
        1e3,
        1e8,
        stop_n_per_m,
        "stiffness of the mechanical stops"
    ),
];

/// Viscosity and density of air at 15 °C, for which the coefficients of a vent stand.
const AIR_PA_S: f64 = 1.8e-5;
const AIR_KG_PER_M3: f64 = 1.2;

/// Length of a vent's hole \[m\], from its laminar coefficient.
fn vent_length_m(stage: &Stage) -> f64 {
    let bore_m = super::slot::bore_m(stage.vent.area_m2);
    stage.vent.laminar * AIR_KG_PER_M3 / (8.0 * PI * AIR_PA_S)
        - flow::LAMINAR_END_DIAMETERS * bore_m
}

/// Gives a vent this bore and length \[m\].
fn set_vent(stage: &mut Stage, bore_m: f64, length_m: f64) {
    let effective_m = length_m + flow::LAMINAR_END_DIAMETERS * bore_m;
    stage.vent.area_m2 = flow::circle_area_m2(bore_m);
    stage.vent.laminar = 8.0 * PI * AIR_PA_S * effective_m / AIR_KG_PER_M3;
}

/// Keys of `[regulator.first.vent]` and `[regulator.second.vent]`.
pub(super) static VENT: &[Slot<Stage>] = &[
    Slot {
        key: "bore",
        measure: quantity(D::Length),
        low: 1e-5,
        high: 50e-3,
        words: "bore of the breather hole",
        get: |stage| super::slot::bore_m(stage.vent.area_m2),
        set: |stage, bore_m| {
            let length_m = vent_length_m(stage);
            set_vent(stage, bore_m, length_m);
        },
    },
    Slot {
        key: "length",
        measure: quantity(D::Length),
        low: 1e-4,
        high: 2.0,
        words: "length of the breather hole",
        get: vent_length_m,
        set: |stage, length_m| {
            let bore_m = super::slot::bore_m(stage.vent.area_m2);
            set_vent(stage, bore_m, length_m);
        },
    },
    Slot {
        key: "discharge",
        measure: Measure::Number,
        low: 0.1,
        high: 1.0,
        words: "discharge coefficient of the hole",
        get: |stage| (0.5 / (AIR_KG_PER_M3 * stage.vent.turbulent)).sqrt(),
        set: |stage, cd| stage.vent.turbulent = 0.5 / (AIR_KG_PER_M3 * cd * cd),
    },
    slot!(
        "open",
        quantity(D::Fraction),
        0.0,
        1.0,
        vent.open,
        "share of it that is open, 0 is sealed"
    ),
    bore!(
        "flap_bore",
        0.0,
        50e-3,
        vent.flap_m2,
        "bore of the flap that opens for large outflow"
    ),
    slot!(
        "flap_start",
        quantity(D::PressureDifference),
        1.0,
        1e5,
        vent.flap_start_pa,
        "pressure inside at which the flap lifts"
    ),
    slot!(
        "flap_span",
        quantity(D::PressureDifference),
        1.0,
        1e5,
        vent.flap_span_pa,
        "further pressure to open it fully"
    ),
    slot!(
        "water_seal",
        quantity(D::PressureDifference),
        0.0,
        1e4,
        vent.water_seal_pa,
        "head of water that air must bubble through"
    ),
    slot!(
        "freezing",
        quantity(D::Fraction),
        0.0,
        1.0,
        vent.freezing_share,
        "share of the opening that the water in it closes by freezing, 0 is dry"
    ),
];

/// Keys of `[regulator.first.relief]` and `[regulator.second.relief]`.
pub(super) static RELIEF: &[Slot<Relief>] = &[
    slot!(
        "preload",
        quantity(D::Force),
        0.0,
        5000.0,
        preload_n,
        "force with which its spring holds the plate on the stem; with the adjusting spring it sets the start"
    ),
    slot!(
        "spring",
        quantity(D::Stiffness),
        10.0,
        1e6,
        spring_n_per_m,
        "rate of that spring"
    ),
    slot!(
        "bore",
        quantity(D::Length),
        0.0,
        50e-3,
        bore_m,
        "bore of the hole in the plate"
    ),
    slot!(
        "weep",
        quantity(D::Area),
        0.0,
        1e-4,
        weep_m2,
        "area that never closes"
    ),
    flag!("free", free, "whether it can move at all"),
];
