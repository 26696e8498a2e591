//! Ready-made parts: regulator, containers, supply, piping and appliances with plausible
//! dimensions of their own. None is a model of any real product.
//!
//! Sizes and ratings follow common practice; the regulator's inside was tuned so that the
//! healthy rig meets the trade's limits over the whole range (docs/physics.md tells how).

use super::appliance::{Appliance, Ignition, Kind, Surroundings, ThermalLoad};
use super::container::Container;
use super::piping::{Pipe, Piping};
use super::relief::Relief;
use super::stage::{Stage, Vent};
use super::supply::{Changeover, Supply};
use super::{Body, Fuel};
use crate::physics::flow::{self, circle_area_m2 as circle};
use crate::physics::fuel::Vapour;
use crate::physics::heat::Shape;
use crate::physics::{REFERENCE_TEMPERATURE_K, STANDARD_ATMOSPHERE_PA, air};
use crate::units::{KG_PER_LB, M_PER_IN, W_PER_BTU_PER_H, inwc_to_pa, psi_to_pa};

/// Laminar and turbulent coefficients of a hole of given bore and length in air at 15 °C.
fn hole(bore_m: f64, length_m: f64) -> (f64, f64) {
    let air_k = REFERENCE_TEMPERATURE_K;
    flow::hole_coefficients(
        bore_m,
        length_m,
        0.8,
        air::density_kg_per_m3(STANDARD_ATMOSPHERE_PA, air_k),
        air::viscosity_pa_s(air_k),
    )
}

/// Breathing hole of the first stage's small bonnet \[m\]. It damps this stage: 1.5 mm lets the air through so easily that the
/// stage hums at every load, 0.5 mm holds it so well that the air is only a spring (own; a hole of this size is practice).
const FIRST_BREATHER_M: f64 = 0.8e-3;

/// The first stage of the standard integral two-stage regulator, set for 10 psig.
pub fn first_stage() -> Stage {
    let area_m2 = circle(44e-3);
    let (laminar, turbulent) = hole(FIRST_BREATHER_M, 5e-3);
    Stage {
        area_m2,
        mass_kg: 0.02,
        preload_n: 83.0,
        spring_n_per_m: 17_000.0,
        screw_pitch_m: 1.0e-3,
        rubber_n_per_m: 3_000.0,
        rubber_ease_m: 0.9e-3,
        rubber_factor: 1.0,
        rubber_loss: 0.12,
        damping_n_s_per_m: 0.0,
        friction_n: 0.2,
        static_ratio: 1.0,
        bristle_n_per_m: 10_000.0,
        bristle_damping_n_s_per_m: 20.0,
        lever_ratio: 2.0,
        linked: true,
        bore_m: 2.0e-3,
        discharge: 0.8,
        touch_rise_m: 1.2e-3,
        seat_n_per_m: 3e5,
        seat_damping_s_per_m: 8.0,
        seal_leak_m2: 0.02e-6,
        seal_force_n: 1.5,
        seal_channel_m2: 0.0,
        held_lift_m: 0.0,
        loose_at_kg_per_s: None,
        chamber_m3: 60e-6,
        case_m3: 8e-6,
        case_wall_m: 2e-3,
        vent: Vent {
            area_m2: circle(FIRST_BREATHER_M),
            open: 1.0,
            laminar,
            turbulent,
            flap_m2: 0.0,
            flap_start_pa: 500.0,
            flap_span_pa: 500.0,
            water_seal_pa: 0.0,
            freezing_share: 0.0,
        },
        // Between the stages of one body there is none: what the first seat leaks stands before the
        // second, made for container pressure, and the second's relief guards the outlet (practice).
        relief: None,
        tear_m2: 0.0,
        water_m: 0.0,
        ice_bond_n_per_m: 0.0,
        stop_n_per_m: 1e6,
    }
}

/// Breathing hole of the second stage's bonnet, beside its flap \[m\] (own).
const SECOND_BREATHER_M: f64 = 2.5e-3;

/// The second stage of the standard regulator, set for 11 in w.c. at half load.
pub fn second_stage() -> Stage {
    let area_m2 = circle(85e-3);
    let (laminar, turbulent) = hole(SECOND_BREATHER_M, 5e-3);
    Stage {
        area_m2,
        mass_kg: 0.04,
        preload_n: 10.55,
        spring_n_per_m: 1_300.0,
        screw_pitch_m: 1.25e-3,
        rubber_n_per_m: 300.0,
        rubber_ease_m: 2.9e-3,
        rubber_factor: 1.0,
        rubber_loss: 0.12,
        damping_n_s_per_m: 0.0,
        friction_n: 0.02,
        static_ratio: 1.0,
        bristle_n_per_m: 1_000.0,
        bristle_damping_n_s_per_m: 8.0,
        lever_ratio: 4.0,
        linked: true,
        bore_m: 3.2e-3,
        discharge: 0.8,
        touch_rise_m: 4.0e-3,
        seat_n_per_m: 1e5,
        seat_damping_s_per_m: 8.0,
        seal_leak_m2: 0.02e-6,
        seal_force_n: 2.0,
        seal_channel_m2: 0.0,
        held_lift_m: 0.0,
        loose_at_kg_per_s: None,
        chamber_m3: 120e-6,
        case_m3: 120e-6,
        case_wall_m: 7e-3,
        vent: Vent {
            area_m2: circle(SECOND_BREATHER_M),
            open: 1.0,
            laminar,
            turbulent,
            flap_m2: circle(8e-3),
            flap_start_pa: 250.0,
            flap_span_pa: 500.0,
            water_seal_pa: 0.0,
            freezing_share: 0.0,
        },
        relief: Some(Relief {
            preload_n: 9.2,
            spring_n_per_m: 1_800.0,
            bore_m: 9e-3,
            weep_m2: 0.0,
            free: true,
        }),
        tear_m2: 0.0,
        water_m: 0.0,
        ice_bond_n_per_m: 0.0,
        stop_n_per_m: 1e5,
    }
}

/// The body of the standard regulator: die-cast, about half a kilogram.
pub fn body() -> Body {
    Body {
        mounted: super::Mounting::Open,
        heat_j_per_k: 320.0,
        loss_w_per_k: 1.4,
        chill_share: 0.4,
        case_tau_s: 240.0,
        sun_k_m2_per_w: 0.02,
        // Boiling propane gives some 4 kW/(m² K) at 20 kW/m² (Cooper 1984, memory) on 25 cm² of floor and wall.
        pool_w_per_k: 10.0,
        pool_wet_kg: 2e-3,
        pool_overflow_kg: 10e-3,
        residue_ref_kg: 1e-3,
        nozzle_ref_kg_per_s: 5e-5,
        // As long as the 2 mm bore is wide.
        ice_plug_kg: 5.8e-6,
        melt_per_s_k: 4e-3,
    }
}

/// Trade propane: 92.5 % propane, the rest other light hydrocarbons; dry.
pub fn fuel() -> Fuel {
    Fuel {
        fractions: [0.945, 0.03, 0.015, 0.01, 0.0],
        water_share: 0.0,
        residue_share: 50e-6,
    }
}

/// Names of the container presets.
pub const CONTAINERS: [&str; 5] = [
    "20 lb cylinder",
    "30 lb cylinder",
    "40 lb cylinder",
    "100 lb cylinder",
    "horizontal tank",
];

/// Where the relief of a container of this shape opens \[Pa gauge\]: a cylinder's, and that of a tank which is mounted on a
/// vehicle (memory: 375 psig by DOT, 312 by ASME and NFPA 58).
pub fn relief_start_pa(shape: &Shape) -> f64 {
    psi_to_pa(match shape {
        Shape::Upright { .. } => 375.0,
        Shape::Horizontal { .. } => 312.0,
    })
}

/// A container by its preset name.
pub fn container(name: &str) -> Option<Container> {
    let inch = M_PER_IN;
    // Water capacity in pounds to cubic metres.
    let water_lb = KG_PER_LB * 1e-3;
    // Diameter in inches, water capacity in lb, steel in kg (common practice). The shape has the
    // outer diameter and the height that gives the water capacity.
    let upright = |d: f64, water: f64| Shape::upright_of_volume(d * inch, water * water_lb);
    let (shape, steel_kg) = match name {
        "20 lb cylinder" => (upright(12.2, 47.6), 8.0),
        "30 lb cylinder" => (upright(12.2, 71.0), 11.0),
        "40 lb cylinder" => (upright(12.2, 95.0), 13.5),
        "100 lb cylinder" => (upright(15.0, 239.0), 31.0),
        "horizontal tank" => (
            Shape::Horizontal {
                diameter_m: 14.0 * inch,
                length_m: 46.0 * inch,
            },
            45.0,
        ),
        _ => return None,
    };
    Some(Container {
        shape,
        volume_m3: shape.volume_m3(),
        steel_j_per_k: steel_kg * 480.0,
        wall_w_per_m2_k: shape.surface_w_per_m2_k(),
        relief_start_pa: relief_start_pa(&shape),
        relief_m2: circle(6e-3),
        liquid_share: 0.0,
        supply: supply(),
    })
}

/// Service valve, excess-flow valve and pigtail of a vehicle.
pub fn supply() -> Supply {
    Supply {
        valve_m2: circle(6.0e-3),
        excess_trip_kg_per_s: 1.6e-3,
        // Some 10 ft³/h of air at 100 psig, as connectors do (memory).
        excess_bleed_m2: circle(0.285e-3),
        excess_reset_pa: psi_to_pa(3.0),
        pigtail_bore_m: 4e-3,
        pigtail_length_m: 0.5,
        pigtail_minor_loss: 1.5,
        pigtail_volume_m3: 50e-6,
        pigtail_leak_m2: 0.0,
    }
}

/// The changeover of a twin set: reserve comes in when the interstage falls under 7 psig.
pub fn changeover() -> Changeover {
    Changeover {
        reserve_set_pa: psi_to_pa(7.0),
        reserve_span_pa: psi_to_pa(3.0),
        reserve_m2: circle(2.0e-3),
        // Green while the first stage has more than it is set for, red before the service side's inlet has
        // sunk to what the reserve holds between the stages (own).
        green_pa: psi_to_pa(16.0),
        red_pa: psi_to_pa(8.0),
    }
}

/// Half-inch main line of a 24-foot vehicle.
pub fn piping() -> Piping {
    Piping {
        main: Pipe {
            bore_m: 10.2e-3,
            length_m: 2.4,
            minor_loss: 3.0,
        },
        manifold_m3: 2.0e-3,
        leak_m2: 0.0,
        low_point_pa: 0.0,
    }
}

/// Names of the appliance presets.
pub const APPLIANCES: [(&str, Kind); 7] = [
    ("furnace", Kind::Furnace),
    ("water heater", Kind::WaterHeater),
    ("refrigerator", Kind::Refrigerator),
    ("cooktop", Kind::Cooktop),
    ("oven", Kind::Oven),
    ("on-demand heater", Kind::OnDemandHeater),
    ("grill", Kind::Grill),
];

/// Temperature at which the trade rates a burner: 60 °F \[K\].
pub const RATED_AT_K: f64 = 288.71;

/// Effective (K A) area of a spud that passes `input_w` of pure propane at `rated_pa` gauge, at sea level.
pub fn spud_m2(input_w: f64, rated_pa: f64) -> f64 {
    let gas = Vapour::propane();
    let density = gas.density_kg_per_m3(STANDARD_ATMOSPHERE_PA + rated_pa, RATED_AT_K, 1.0);
    flow::orifice_area_m2(input_w / gas.heating_value_j_per_kg, rated_pa, density)
}

/// An appliance of a kind with the usual rating.
pub fn appliance(kind: Kind) -> Appliance {
    let celsius = |c: f64| c + 273.15;
    let spark = |purge_s| Ignition::Spark {
        purge_s,
        trial_s: 7.0,
        pause_s: 20.0,
        tries: 3,
        // Memory: controls of direct ignition react within 0.8 s.
        sense_s: 0.8,
    };
    let (name, btu_per_h, valve_s, ignition, thermal) = match kind {
        Kind::Furnace => (
            "furnace",
            30_000.0,
            0.25,
            spark(15.0),
            Some(ThermalLoad {
                heat_j_per_k: 4.0e5,
                loss_w_per_k: 120.0,
                surroundings: Surroundings::Outside,
                efficiency: 0.75,
                set_k: celsius(20.0),
                band_k: 1.1,
                start_k: celsius(19.8),
            }),
        ),
        Kind::WaterHeater => (
            "water heater",
            10_000.0,
            0.15,
            Ignition::Pilot {
                pilot_w: 600.0 * W_PER_BTU_PER_H,
                hold_s: 40.0,
            },
            Some(ThermalLoad {
                heat_j_per_k: 95e3,
                loss_w_per_k: 3.0,
                surroundings: Surroundings::Outside,
                efficiency: 0.70,
                set_k: celsius(58.0),
                band_k: 8.0,
                start_k: celsius(57.0),
            }),
        ),
        Kind::Refrigerator => (
            "refrigerator",
            1_500.0,
            0.10,
            spark(1.0),
            Some(ThermalLoad {
                heat_j_per_k: 60e3,
                loss_w_per_k: 2.2,
                surroundings: Surroundings::Cabin,
                efficiency: -0.25,
                set_k: celsius(3.0),
                band_k: 2.0,
                start_k: celsius(3.4),
            }),
        ),
        Kind::Cooktop => (
            "cooktop",
            7_000.0,
            0.3,
            Ignition::Hand {
                flame_failure: false,
            },
            None,
        ),
        Kind::Oven => (
            "oven",
            7_100.0,
            0.2,
            Ignition::Hand {
                flame_failure: true,
            },
            Some(ThermalLoad {
                heat_j_per_k: 15e3,
                loss_w_per_k: 6.0,
                surroundings: Surroundings::Cabin,
                efficiency: 0.6,
                set_k: celsius(180.0),
                band_k: 15.0,
                start_k: celsius(20.0),
            }),
        ),
        Kind::OnDemandHeater => ("on-demand heater", 42_000.0, 0.2, spark(1.0), None),
        Kind::Grill => (
            "grill",
            11_000.0,
            0.3,
            Ignition::Hand {
                flame_failure: false,
            },
            None,
        ),
    };
    let rated_pa = inwc_to_pa(11.0);
    let input_w = btu_per_h * W_PER_BTU_PER_H;
    let mut out = Appliance {
        name: name.to_owned(),
        kind,
        input_w,
        rated_pa,
        branch: Pipe {
            bore_m: 7.75e-3,
            length_m: 2.0,
            minor_loss: 3.0,
        },
        valve_s,
        ignition,
        thermal,
        spud_m2: 0.0,
        pilot_m2: 0.0,
        drop_out_pa: 0.0,
        light_pa: 0.0,
        valve_leak_m2: 0.0,
        igniter_works: true,
        flame_sensor_works: true,
        valve_m2: 0.0,
    };
    out.set_rating(input_w, rated_pa);
    out.set_ignition(ignition);
    out
}
