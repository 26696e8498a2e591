//! From an evaluation to the rates of change of the state: what every volume, body and heated mass
//! gains and loses. Nothing is measured here.

use super::appliance::Surroundings;
use super::energy::{self, CLOTH_TAU_S};
use super::evaluate::Flows;
use super::modes::Modes;
use super::stage::{Stage, StageFlows};
use super::state::RigState;
use super::{Kind, Rig, wet};
use crate::physics::GAS_CONSTANT;
use crate::physics::fuel::Species;

/// Gas that stands in any line, at the least \[kg\]: a bound for trial states.
const LEAST_LINE_KG: f64 = 1e-6;

fn stage_rates(
    stage: &Stage,
    s: &super::state::StageState,
    f: &StageFlows,
    molar: f64,
    gas_rate: f64,
) -> super::state::StageState {
    super::state::StageState {
        rise_m: s.speed_m_per_s,
        speed_m_per_s: f.forces.sum_n() / stage.mass_kg,
        bristle_m: f.bristle_rate,
        gas_kg: gas_rate,
        case_mol: Stage::case_rate_mol_per_s(f, molar),
        case_settled: f.settling_rate,
    }
}

/// Rates of change of the state, from an evaluation.
pub fn rates(rig: &Rig, m: &Modes, s: &RigState, f: &Flows) -> RigState {
    let mut d = RigState::default();
    rates_into(&mut d, rig, m, s, f);
    d
}

/// The same into `d`, which was these rates of this rig at another place, or nought.
pub fn rates_into(d: &mut RigState, rig: &Rig, m: &Modes, s: &RigState, f: &Flows) {
    let molar = GAS_CONSTANT / s.line_gas_j_per_kg_k;
    let (w1, w2) = (&f.first, &f.second);
    d.first = stage_rates(
        &rig.first,
        &s.first,
        w1,
        molar,
        w1.seat_vapour_kg_per_s + f.reserve_kg_per_s + f.wet.first_kg_per_s
            - w2.seat_vapour_kg_per_s
            - w1.tear_kg_per_s
            - w1.relief_kg_per_s,
    );
    d.second = stage_rates(
        &rig.second,
        &s.second,
        w2,
        molar,
        w2.seat_vapour_kg_per_s + f.wet.second_kg_per_s
            - f.main_kg_per_s
            - w2.tear_kg_per_s
            - w2.relief_kg_per_s,
    );
    let incoming = w1.seat_vapour_kg_per_s.max(0.0) + f.reserve_kg_per_s + f.wet.first_kg_per_s;
    let in_line = s.first.gas_kg + s.second.gas_kg + s.manifold_kg;
    d.line_gas_j_per_kg_k = incoming * (f.gas.gas_constant_j_per_kg_k - s.line_gas_j_per_kg_k)
        / in_line.max(LEAST_LINE_KG);
    d.manifold_kg = f.main_kg_per_s + f.wet.line_kg_per_s - f.burner_kg_per_s() - f.leak_kg_per_s;
    d.lost_kg = f.loss_kg_per_s();
    d.burned_kg = f.burner_kg_per_s()
        - f.appliances
            .iter()
            .map(|a| a.unburned_kg_per_s)
            .sum::<f64>();
    let liquid = w1.seat_liquid_kg_per_s + f.reserve_liquid_kg_per_s;
    d.pool_kg = liquid - f.wet.first_kg_per_s - w2.seat_liquid_kg_per_s;
    d.slug = wet::slug_rate(&rig.body, s.pool_kg, s.slug);
    d.low_pool_kg = w2.seat_liquid_kg_per_s - f.wet.second_kg_per_s - f.wet.line_kg_per_s;
    d.taken_in_j = energy::taken_in_w(rig, m, s, f);
    d.carried_off_j = energy::carried_off_w(rig, f);
    d.residue_kg = rig.fuel.residue_share * liquid.max(0.0);

    let body = &rig.body;
    let sun = m.site.sun_w_per_m2.at(f.t_s);
    let warmed_w = body.loss_w_per_k * (f.air_k - s.body_k) + energy::cloth_w(rig, m, s);
    d.body_k = (warmed_w - f.chill_w - f.wet.body_w) / energy::body_j_per_k(body, s);
    d.case_k = (f.air_k + body.sun_k_m2_per_w * sun - s.case_k) / body.case_tau_s;
    if let Some(cloth) = m.cloth {
        d.case_k += (cloth.warm_k - s.case_k).max(0.0) / CLOTH_TAU_S;
    }
    d.ice = 0.0;
    if rig.fuel.water_share > 0.0 || s.ice != 0.0 {
        d.ice = body.ice_per_s(
            s.ice,
            w1.seat_vapour_kg_per_s,
            f.water_share,
            (f.nozzle_k, f.around_first.upstream.pressure_pa),
            f.gas.molar_mass_kg_per_mol,
        );
    }

    for i in 0..rig.containers.len() {
        let (c, cf) = (&rig.containers[i], &f.containers[i]);
        let out = &mut d.containers[i];
        let vapour = cf.vapour_kg_per_s + cf.relief_kg_per_s;
        // What goes back into a container that stands under the air's pressure is air that was drawn in.
        let air = f.air_back_kg_per_s(i);
        *out = c.drawn(&cf.flash, vapour + air, cf.liquid_kg_per_s, cf.heat_w);
        out.moles[Species::Air.index()] += air / Species::Air.molar_mass_kg_per_mol();
        out.pigtail_kg = cf.vapour_kg_per_s - cf.feed_kg_per_s - cf.leak_kg_per_s;
    }
    let cabin = cabin_index(rig);
    for (i, a) in rig.appliances.iter().enumerate() {
        if let Some(load) = &a.thermal {
            let around = match (load.surroundings, cabin) {
                (Surroundings::Cabin, Some(c)) if c != i => s.thermal_k[c],
                _ => f.air_k,
            };
            d.thermal_k[i] = (load.loss_w_per_k * (around - s.thermal_k[i])
                + load.efficiency * f.appliances[i].heat_w
                - m.appliances[i].draw_w.at(f.t_s))
                / load.heat_j_per_k;
        }
    }
}

/// The appliance whose heated mass is the cabin.
pub fn cabin_index(rig: &Rig) -> Option<usize> {
    rig.appliances
        .iter()
        .position(|a| a.kind == Kind::Furnace && a.thermal.is_some())
}
