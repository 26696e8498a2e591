//! From an evaluation to what the gauges show, and what is held where.

use super::energy::{self, Held};
use super::evaluate::Flows;
use super::modes::Modes;
use super::readings::{ApplianceReadings, ContainerReadings, Phase, Readings};
use super::state::RigState;
use super::{Appliance, Rig};
use crate::physics::fuel;

/// Gas held anywhere in the rig \[kg\].
pub fn stored_kg(rig: &Rig, s: &RigState) -> f64 {
    let held: f64 = s.containers[..rig.containers.len()]
        .iter()
        .map(|c| fuel::mass_kg(&c.moles) + c.pigtail_kg)
        .sum();
    held + s.first.gas_kg + s.second.gas_kg + s.manifold_kg + s.pool_kg + s.low_pool_kg
}

/// Fuel and heat held.
pub fn held(rig: &Rig, s: &RigState, f: &Flows) -> Held {
    Held {
        kg: stored_kg(rig, s),
        j: energy::held_j(rig, s, f),
    }
}

/// Heat that must have passed before an error of its balance is a share of it \[J\].
const LEAST_HEAT_J: f64 = 1e4;

/// What the gauges show, from an evaluation. `initial` is what was held at the start.
pub fn readings(rig: &Rig, m: &Modes, s: &RigState, f: &Flows, initial: &Held) -> Readings {
    let mut out = Readings::default();
    read(&mut out, rig, m, s, f, initial);
    out
}

/// Makes of `out` what [`readings`] gives. One and the same rig each time: places it has no part for are left alone.
pub fn read(out: &mut Readings, rig: &Rig, m: &Modes, s: &RigState, f: &Flows, initial: &Held) {
    out.time_s = f.t_s;
    out.ambient_pa = f.ambient_pa;
    out.air_k = f.air_k;
    out.sun_w_per_m2 = m.site.sun_w_per_m2.at(f.t_s);
    out.elevation_m = f.elevation_m;
    out.container_count = rig.containers.len();
    out.service_side = m.service_side;
    out.reserve_feeding = f.reserve_kg_per_s + f.reserve_liquid_kg_per_s
        > 0.05 * f.second.seat_vapour_kg_per_s.max(1e-6);
    out.first = rig.first.readings(&s.first, &f.first, &f.around_first);
    out.second = rig.second.readings(&s.second, &f.second, &f.around_second);
    out.outlet_pa = f.second.chamber_pa - f.ambient_pa;
    out.manifold_pa = f.manifold_pa - f.ambient_pa;
    out.body_k = s.body_k;
    out.case_k = s.case_k;
    out.pool_kg = s.pool_kg;
    out.low_pool_kg = s.low_pool_kg;
    out.taken_in_j = s.taken_in_j;
    out.carried_off_j = s.carried_off_j;
    out.residue_kg = s.residue_kg;
    out.cloth = m.cloth.is_some_and(|c| f.t_s < c.end_s);
    out.appliance_count = rig.appliances.len();
    out.burner_flow_kg_per_s = f.burner_kg_per_s();
    out.burned_kg = s.burned_kg;
    out.lost_kg = s.lost_kg;
    out.loss_kg_per_s = f.loss_kg_per_s();
    out.line_leak_kg_per_s = f.leak_kg_per_s;
    out.stored_kg = stored_kg(rig, s);
    if let Some(changeover) = rig.changeover {
        let service = &f.containers[m.service_side.min(rig.containers.len() - 1)];
        out.indicator_red = changeover.red(service.pigtail_pa - f.ambient_pa);
    }
    out.flow_w = out.burner_flow_kg_per_s * f.gas.heating_value_j_per_kg;
    let gone = s.burned_kg + s.lost_kg;
    out.balance_error = (out.stored_kg + gone - initial.kg).abs() / gone.abs().max(1e-3);
    let kept_j = energy::held_j(rig, s, f) - initial.j;
    let passed_j = s
        .taken_in_j
        .abs()
        .max(s.carried_off_j.abs())
        .max(LEAST_HEAT_J);
    out.energy_error = (kept_j + s.carried_off_j - s.taken_in_j).abs() / passed_j;
    for i in 0..rig.containers.len() {
        let cf = &f.containers[i];
        out.containers[i] = ContainerReadings {
            pressure_pa: cf.flash.pressure_pa - f.ambient_pa,
            temperature_k: s.containers[i].temperature_k,
            fill: cf.flash.liquid_fill,
            fuel_kg: fuel::mass_kg(&s.containers[i].moles),
            flow_kg_per_s: cf.vapour_kg_per_s + cf.liquid_kg_per_s,
            pigtail_pa: cf.pigtail_pa - f.ambient_pa,
            valve_open: cf.valve_open,
            excess_flow_tripped: m.excess_flow[i].is_shut(),
            leak_kg_per_s: cf.leak_kg_per_s,
            relief_kg_per_s: cf.relief_kg_per_s,
            heat_w: cf.heat_w,
            liquid_fractions: cf.flash.liquid_fractions,
        };
    }
    out.demand_w = 0.0;
    for (i, a) in rig.appliances.iter().enumerate() {
        let (af, am) = (&f.appliances[i], &m.appliances[i]);
        let asked = am.on && matches!(am.phase, Phase::Trial | Phase::Burning);
        out.demand_w += if asked { a.input_w } else { 0.0 };
        out.appliances[i] = ApplianceReadings {
            inlet_pa: af.inlet_pa,
            flow_kg_per_s: af.main_kg_per_s + af.pilot_kg_per_s,
            heat_w: af.heat_w,
            valve_open: am.valve.at(f.t_s),
            flame: Appliance::flame_at(am.lit, af.ratio),
            // A matter of time: told by who has watched.
            surges: false,
            pilot_lit: am.pilot_lit,
            phase: am.phase,
            temperature_k: a.thermal.map(|_| s.thermal_k[i]),
        };
    }
}
