//! The keys of every part of a rig but the appliances: stages, body, supply, piping, containers,
//! site. Bounds are those of physical sense and of what the model can follow.

use super::slot::{Measure, Slot, bore, flag, slot};
use crate::physics::flow;
use crate::physics::heat::Shape;
use crate::rig::{Body, Changeover, Charge, Container, Piping, Ramp, Relief, Site, Stage, Supply};
use crate::units::Dimension as D;
use std::f64::consts::PI;

const fn quantity(dimension: D) -> Measure {
    Measure::Quantity(dimension)
}

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
        "damping",
        quantity(D::Damping),
        0.0,
        1e5,
        damping_n_s_per_m,
        "viscous damping"
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
        "held_lift",
        quantity(D::Travel),
        0.0,
        5e-3,
        held_lift_m,
        "lift that dirt leaves whatever the diaphragm does"
    ),
    Slot {
        key: "loose_at",
        measure: quantity(D::MassFlow),
        low: 0.0,
        high: 1.0,
        words: "flow through the seat that carries the dirt off; 0 where nothing is loose",
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
        "start",
        quantity(D::PressureDifference),
        100.0,
        1e6,
        start_pa,
        "pressure across the diaphragm at which it starts to discharge"
    ),
    slot!(
        "span",
        quantity(D::PressureDifference),
        10.0,
        1e6,
        span_pa,
        "further pressure to open it fully"
    ),
    bore!("bore", 0.0, 50e-3, area_m2, "bore when fully open"),
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

/// Keys of `[regulator.body]`.
pub(super) static BODY: &[Slot<Body>] = &[
    slot!(
        "heat",
        quantity(D::HeatCapacity),
        10.0,
        1e5,
        heat_j_per_k,
        "heat capacity of the body"
    ),
    slot!(
        "loss",
        quantity(D::Conductance),
        0.0,
        100.0,
        loss_w_per_k,
        "heat exchanged with the air"
    ),
    slot!(
        "chill_share",
        quantity(D::Fraction),
        0.0,
        1.0,
        chill_share,
        "share of the throttling cold that the gas draws from the body"
    ),
    slot!(
        "case_time",
        quantity(D::Time),
        1.0,
        1e5,
        case_tau_s,
        "time constant of the spring case's temperature"
    ),
    slot!(
        "sun_rise",
        Measure::Only("K m2/W"),
        0.0,
        0.2,
        sun_k_m2_per_w,
        "rise of the spring case in the sun"
    ),
    slot!(
        "pool",
        quantity(D::Conductance),
        0.0,
        1e3,
        pool_w_per_k,
        "heat from the body to liquid standing in it"
    ),
    slot!(
        "pool_wet",
        quantity(D::Mass),
        1e-5,
        1.0,
        pool_wet_kg,
        "liquid that wets the whole body"
    ),
    slot!(
        "pool_overflow",
        quantity(D::Mass),
        1e-4,
        1.0,
        pool_overflow_kg,
        "liquid that begins to overflow into the second stage"
    ),
    slot!(
        "residue",
        quantity(D::Mass),
        1e-6,
        1.0,
        residue_ref_kg,
        "oily residue that doubles the friction"
    ),
    slot!(
        "nozzle_flow",
        quantity(D::MassFlow),
        1e-7,
        1e-2,
        nozzle_ref_kg_per_s,
        "flow at which half of the throttling cold reaches the nozzle"
    ),
    slot!(
        "freeze",
        Measure::Only("1/kg/K"),
        0.0,
        1e8,
        freeze_per_kg_k,
        "growth of ice with water and cold"
    ),
    slot!(
        "melt",
        Measure::Only("1/s/K"),
        0.0,
        10.0,
        melt_per_s_k,
        "melting of ice with warmth"
    ),
];

/// Keys of `[supply]`, but for the service side.
pub(super) static SUPPLY: &[Slot<Supply>] = &[
    bore!(
        "valve_bore",
        0.5e-3,
        50e-3,
        valve_m2,
        "free bore of the open service valve"
    ),
    slot!(
        "excess_flow",
        quantity(D::MassFlow),
        1e-6,
        1.0,
        excess_trip_kg_per_s,
        "flow at which the excess-flow limiter closes"
    ),
    bore!(
        "excess_bleed",
        0.0,
        10e-3,
        excess_bleed_m2,
        "bore left open when it has closed"
    ),
    slot!(
        "excess_reset",
        quantity(D::PressureDifference),
        100.0,
        1e6,
        excess_reset_pa,
        "pressure difference under which it opens again"
    ),
    slot!(
        "pigtail_bore",
        quantity(D::Length),
        1e-4,
        50e-3,
        pigtail_bore_m,
        "bore of the pigtail hose"
    ),
    slot!(
        "pigtail_length",
        quantity(D::Length),
        0.01,
        50.0,
        pigtail_length_m,
        "length of the pigtail hose"
    ),
    slot!(
        "pigtail_loss",
        Measure::Number,
        0.0,
        1e5,
        pigtail_minor_loss,
        "loss coefficient of its ends, bends and kinks"
    ),
    slot!(
        "pigtail_volume",
        quantity(D::Volume),
        1e-6,
        0.1,
        pigtail_volume_m3,
        "gas volume between service valve and first seat"
    ),
    bore!(
        "pigtail_leak",
        0.0,
        10e-3,
        pigtail_leak_m2,
        "bore of a leak from the pigtail to the open air"
    ),
];

/// Keys of `[supply.changeover]`.
pub(super) static CHANGEOVER: &[Slot<Changeover>] = &[
    slot!(
        "set",
        quantity(D::GaugePressure),
        1e3,
        1e6,
        reserve_set_pa,
        "interstage pressure under which the reserve side begins to feed"
    ),
    slot!(
        "span",
        quantity(D::PressureDifference),
        1e2,
        1e6,
        reserve_span_pa,
        "further fall at which the reserve seat is fully open"
    ),
    bore!(
        "bore",
        0.1e-3,
        20e-3,
        reserve_m2,
        "bore of the reserve seat"
    ),
];

/// Keys of `[piping]`.
pub(super) static PIPING: &[Slot<Piping>] = &[
    slot!(
        "bore",
        quantity(D::Length),
        1e-3,
        0.2,
        main.bore_m,
        "bore of the main line"
    ),
    slot!(
        "length",
        quantity(D::Length),
        0.01,
        200.0,
        main.length_m,
        "length of the main line"
    ),
    slot!(
        "minor_loss",
        Measure::Number,
        0.0,
        1000.0,
        main.minor_loss,
        "loss coefficients of bends, tees and entry, summed"
    ),
    slot!(
        "volume",
        quantity(D::Volume),
        5e-5,
        1.0,
        manifold_m3,
        "gas volume of the whole low side"
    ),
    bore!(
        "leak",
        0.0,
        20e-3,
        leak_m2,
        "bore of a leak from the low side to the open air"
    ),
    slot!(
        "low_point",
        quantity(D::PressureDifference),
        0.0,
        2e3,
        low_point_pa,
        "head of liquid in a low point that gas must bubble through"
    ),
];

/// Mass of steel whose heat capacity a container has: 480 J/kg K (practice).
const STEEL_J_PER_KG_K: f64 = 480.0;
/// Steel of a container of one's own measures \[kg/m³ of water capacity\], as the common 30 lb
/// cylinder has (practice).
pub(super) const STEEL_KG_PER_M3: f64 = 340.0;

fn extent_m(container: &Container) -> f64 {
    match container.shape {
        Shape::Upright { height_m, .. } => height_m,
        Shape::Horizontal { length_m, .. } => length_m,
    }
}

fn diameter_m(container: &Container) -> f64 {
    match container.shape {
        Shape::Upright { diameter_m, .. } | Shape::Horizontal { diameter_m, .. } => diameter_m,
    }
}

/// Gives a container these inside measures \[m\]; its volume follows.
pub(super) fn set_size(container: &mut Container, diameter_m: f64, extent_m: f64) {
    container.shape = match container.shape {
        Shape::Upright { .. } => Shape::Upright {
            diameter_m,
            height_m: extent_m,
        },
        Shape::Horizontal { .. } => Shape::Horizontal {
            diameter_m,
            length_m: extent_m,
        },
    };
    container.volume_m3 = container.shape.volume_m3();
}

/// Size keys of `[[container]]`.
pub(super) static SIZE: &[Slot<Container>] = &[
    Slot {
        key: "diameter",
        measure: quantity(D::Length),
        low: 0.05,
        high: 3.0,
        words: "inside diameter",
        get: diameter_m,
        set: |container, value| set_size(container, value, extent_m(container)),
    },
    Slot {
        key: "extent",
        measure: quantity(D::Length),
        low: 0.05,
        high: 10.0,
        words: "inside height of an upright one or length of a lying one, with flat ends",
        get: extent_m,
        set: |container, value| set_size(container, diameter_m(container), value),
    },
];

/// Other keys of `[[container]]` that hold for the container itself.
pub(super) static CONTAINER: &[Slot<Container>] = &[
    Slot {
        key: "steel",
        measure: quantity(D::Mass),
        low: 0.01,
        high: 5000.0,
        words: "mass of its steel, 480 J/kg K",
        get: |container| container.steel_j_per_k / STEEL_J_PER_KG_K,
        set: |container, kg| container.steel_j_per_k = kg * STEEL_J_PER_KG_K,
    },
    slot!(
        "surface",
        quantity(D::HeatTransfer),
        0.0,
        500.0,
        wall_w_per_m2_k,
        "heat transfer through the dry wall in calm air, on the wetted area"
    ),
    slot!(
        "relief_start",
        quantity(D::GaugePressure),
        1e5,
        5e6,
        relief_start_pa,
        "pressure at which its own relief starts"
    ),
    bore!(
        "relief_bore",
        0.0,
        50e-3,
        relief_m2,
        "bore of its relief when 10 % over the start"
    ),
    slot!(
        "liquid_share",
        quantity(D::Fraction),
        0.0,
        1.0,
        liquid_share,
        "share of liquid by volume in what it gives, whatever the fill (tilt, slosh)"
    ),
];

/// Keys of `[[container]]` that hold for its charge.
pub(super) static CHARGE: &[Slot<Charge>] = &[
    slot!(
        "fill",
        quantity(D::Fraction),
        0.0,
        0.99,
        fill,
        "share of its volume filled with liquid; 80 % is the limit in use"
    ),
    slot!(
        "temperature",
        quantity(D::Temperature),
        223.15,
        343.15,
        temperature_k,
        "temperature of the liquid"
    ),
    slot!(
        "air",
        quantity(D::AbsolutePressure),
        0.0,
        5e5,
        air_pa,
        "partial pressure of air left in it"
    ),
];

/// Keys of `[site]`, but for the sky by name.
pub(super) static SITE: &[Slot<Site>] = &[
    Slot {
        key: "air",
        measure: quantity(D::Temperature),
        low: 223.15,
        high: 333.15,
        words: "air temperature",
        get: |site| site.air_k.at(0.0),
        set: |site, value| site.air_k = Ramp::fixed(value),
    },
    Slot {
        key: "sun",
        measure: quantity(D::HeatFlux),
        low: 0.0,
        high: 1400.0,
        words: "sunshine on the spring case",
        get: |site| site.sun_w_per_m2.at(0.0),
        set: |site, value| site.sun_w_per_m2 = Ramp::fixed(value),
    },
    Slot {
        key: "elevation",
        measure: quantity(D::Elevation),
        low: -450.0,
        high: 6000.0,
        words: "height above the sea",
        get: |site| site.elevation_m.at(0.0),
        set: |site, value| site.elevation_m = Ramp::fixed(value),
    },
    Slot {
        key: "wall",
        measure: Measure::Number,
        low: 0.05,
        high: 5.0,
        words: "factor on the heat through the container's wall: 1 calm and dry, 0.5 frosted, up to 2 wet and windy",
        get: |site| site.wall_factor.at(0.0),
        set: |site, value| site.wall_factor = Ramp::fixed(value),
    },
];
