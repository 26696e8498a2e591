//! The keys of every part of a rig but its stages and appliances: body, supply, piping, containers,
//! site. Bounds are those of physical sense and of what the model can follow.

use super::slot::{Measure, Slot, bore, quantity, slot};
use crate::physics::heat::Shape;
use crate::rig::{Body, Changeover, Charge, Container, Piping, Ramp, Site, Supply};
use crate::units::Dimension as D;

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
        "heat from the body to liquid that wets all of its first chamber"
    ),
    slot!(
        "pool_wet",
        quantity(D::Mass),
        1e-5,
        1.0,
        pool_wet_kg,
        "liquid that wets a whole chamber"
    ),
    slot!(
        "pool_overflow",
        quantity(D::Mass),
        1e-4,
        1.0,
        pool_overflow_kg,
        "liquid that goes on to the second stage as a slug"
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
        "ice_plug",
        quantity(D::Mass),
        1e-9,
        1e-2,
        ice_plug_kg,
        "ice that leaves the first orifice 37 % open"
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
        "flow at which the excess-flow valve closes"
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
        "first-stage pressure under which the reserve side begins to feed"
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
    slot!(
        "green_from",
        quantity(D::GaugePressure),
        60e3,
        2e6,
        green_pa,
        "pressure at the service side's inlet from which the indicator is all green"
    ),
    slot!(
        "red_to",
        quantity(D::GaugePressure),
        1e3,
        59e3,
        red_pa,
        "pressure there down to which it is not yet all red"
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
