//! The right-hand side: every pressure, flow, force and heat of a rig at one instant, and from
//! them the rates of change and the readings. One evaluation serves both.
//!
//! Assumptions: ideal gas in the chambers and the line (Z within 2 % of 1 at 10 psig), real gas
//! (Z) upstream of the first seat; gas that comes into the line has the composition of the vapour
//! over the liquid at that moment and mixes at once with all that stands there (for its density;
//! ratio of heats and heating value are those of the incoming gas); the manifold stands at air
//! temperature.

use super::appliance::Surroundings;
use super::modes::Modes;
use super::readings::{
    ApplianceReadings, ContainerReadings, MAX_APPLIANCES, MAX_CONTAINERS, Phase, Readings,
};
use super::stage::{Around, Stage, StageFlows};
use super::state::RigState;
use super::{Appliance, Kind, Rig};
use crate::physics::flow::{self, Upstream};
use crate::physics::fuel::{self, Flash, SPECIES, Species, Vapour};
use crate::physics::{GAS_CONSTANT, WATER_FREEZING_K, contact, heat};

/// Share of the friction left while the body is being tapped.
const SHAKEN: f64 = 0.02;
/// Discharge coefficient of valves, leaks and holes.
const HOLE: f64 = 0.7;
/// Gas that stands in any line, at the least \[kg\]: a bound for trial states.
const LEAST_LINE_KG: f64 = 1e-6;
/// Dynamic viscosity of propane vapour near room temperature \[Pa s\] (memory: 8.0e-6).
pub const FUEL_VISCOSITY: f64 = 8.0e-6;

/// One container with its valve and pigtail at one instant.
#[derive(Debug, Clone, Copy, Default)]
pub struct ContainerFlows {
    /// Two-phase split.
    pub flash: Flash,
    /// Absolute pressure at the regulator's end of the pigtail \[Pa\].
    pub pigtail_pa: f64,
    /// Gas temperature in the pigtail \[K\].
    pub pigtail_k: f64,
    /// Compressibility factor there.
    pub pigtail_z: f64,
    /// Vapour through the service valve \[kg/s\].
    pub vapour_kg_per_s: f64,
    /// Liquid drawn straight to the first seat \[kg/s\].
    pub liquid_kg_per_s: f64,
    /// Share of liquid by mass offered at the valve.
    pub liquid_share: f64,
    /// Vapour from the pigtail into the regulator \[kg/s\].
    pub feed_kg_per_s: f64,
    /// Pigtail leak \[kg/s\].
    pub leak_kg_per_s: f64,
    /// Container relief \[kg/s\].
    pub relief_kg_per_s: f64,
    /// Heat into liquid and steel \[W\].
    pub heat_w: f64,
    /// Valve opening.
    pub valve_open: f64,
}

/// One appliance at one instant.
#[derive(Debug, Clone, Copy, Default)]
pub struct ApplianceFlows {
    /// Gauge pressure at its inlet tap \[Pa\].
    pub inlet_pa: f64,
    /// Main gas \[kg/s\].
    pub main_kg_per_s: f64,
    /// Pilot gas \[kg/s\].
    pub pilot_kg_per_s: f64,
    /// Flame ratio, see [`Appliance::flame_ratio`].
    pub ratio: f64,
    /// Heat released \[W\].
    pub heat_w: f64,
    /// Gas that leaves unburned \[kg/s\].
    pub unburned_kg_per_s: f64,
}

/// Everything one evaluation yields.
#[derive(Debug, Clone, Copy)]
pub struct Flows {
    /// Time \[s\].
    pub t_s: f64,
    /// Ambient absolute pressure \[Pa\].
    pub ambient_pa: f64,
    /// Air temperature \[K\].
    pub air_k: f64,
    /// Gas in the line.
    pub gas: Vapour,
    /// Containers.
    pub containers: [ContainerFlows; MAX_CONTAINERS],
    /// First stage and what surrounds it.
    pub first: StageFlows,
    /// Surroundings of the first stage.
    pub around_first: Around,
    /// Second stage.
    pub second: StageFlows,
    /// Surroundings of the second stage.
    pub around_second: Around,
    /// Vapour fed by the reserve side \[kg/s\].
    pub reserve_kg_per_s: f64,
    /// Absolute manifold pressure \[Pa\].
    pub manifold_pa: f64,
    /// Main line \[kg/s\].
    pub main_kg_per_s: f64,
    /// Manifold leak \[kg/s\].
    pub leak_kg_per_s: f64,
    /// Liquid boiling in the first-stage body \[kg/s\].
    pub boil_kg_per_s: f64,
    /// Appliances.
    pub appliances: [ApplianceFlows; MAX_APPLIANCES],
    /// Temperature of the first nozzle \[K\].
    pub nozzle_k: f64,
    /// Heat taken from the body by expanding gas \[W\].
    pub chill_w: f64,
}

/// Gas that comes into the line, from the vapour over the containers' liquid, weighted by fuel left.
fn line_gas(flashes: &[Flash]) -> Vapour {
    let mut mix = [0.0; SPECIES];
    let mut sum = 0.0;
    for f in flashes {
        let weight = f.liquid_mol + 1e-3;
        sum += weight;
        for (m, y) in mix.iter_mut().zip(&f.vapour_fractions) {
            *m += weight * y;
        }
    }
    mix.iter_mut().for_each(|m| *m /= sum);
    Vapour::from_fractions(&mix)
}

/// Pressure of real gas of density `rho` by a few fixed-point steps on Z \[Pa, 1\].
pub(crate) fn real_pressure(rho: f64, gas: &Vapour, t_k: f64) -> (f64, f64) {
    let ideal = rho * gas.gas_constant_j_per_kg_k * t_k;
    let mut z = 1.0;
    for _ in 0..4 {
        z = fuel::compressibility(ideal * z, t_k);
    }
    (ideal * z, z)
}

/// Container, service valve, limiter and pigtail.
fn container_flows(
    rig: &Rig,
    m: &Modes,
    s: &RigState,
    i: usize,
    t_s: f64,
    ambient: f64,
    flash: Flash,
    gas: &Vapour,
) -> ContainerFlows {
    let (c, st, supply) = (&rig.containers[i], &s.containers[i], &rig.supply);
    let air_k = m.site.air_k.at(t_s);
    // Vapour warms half-way to the air in the pigtail.
    let pigtail_k = 0.5 * (st.temperature_k + air_k);
    let (pigtail_pa, pigtail_z) =
        real_pressure(st.pigtail_kg / supply.pigtail_volume_m3, gas, pigtail_k);
    let density = flash.pressure_pa / (flash.z * gas.gas_constant_j_per_kg_k * st.temperature_k);

    let valve_open = m.valves[i].at(t_s);
    let free = supply.valve_m2 * valve_open;
    let free = if m.excess_tripped[i] {
        free.min(supply.excess_bleed_m2)
    } else {
        free
    };
    let vapour_kg_per_s = if free > 0.0 {
        let (a, b) = flow::pipe_coefficients(
            supply.pigtail_bore_m,
            supply.pigtail_length_m,
            supply.pigtail_minor_loss,
            density,
            FUEL_VISCOSITY,
        );
        let hole = HOLE * free;
        let w = flow::restriction_kg_per_s(
            flash.pressure_pa - pigtail_pa,
            a,
            b + 0.5 / (density * hole * hole),
        );
        // Where two containers share a regulator each inlet has a back check.
        if rig.containers.len() > 1 {
            w.max(0.0)
        } else {
            w
        }
    } else {
        0.0
    };
    let offered = if free > 0.0 {
        c.carry_over(flash.liquid_fill)
    } else {
        0.0
    };

    let wetted = c.shape.wetted_area_m2(flash.liquid_volume_m3);
    let heat_w =
        c.wall_w_per_m2_k * m.site.wall_factor.at(t_s) * wetted * (air_k - st.temperature_k);

    let leak = flow::nozzle_kg_per_s(
        supply.pigtail_leak_m2,
        HOLE,
        &Upstream {
            pressure_pa: pigtail_pa,
            temperature_k: pigtail_k,
            gas_constant: gas.gas_constant_j_per_kg_k,
            z: pigtail_z,
            gamma: gas.gamma,
        },
        ambient,
        // As in a seat: laminar near zero difference, or an emptied pigtail has no slope to rest on.
        7e-4 * supply.pigtail_leak_m2.sqrt(),
    );
    let over = (flash.pressure_pa - ambient) / c.relief_start_pa - 1.0;
    let relief = flow::nozzle_kg_per_s(
        c.relief_m2 * (over / 0.1).clamp(0.0, 1.0),
        HOLE,
        &Upstream {
            pressure_pa: flash.pressure_pa,
            temperature_k: st.temperature_k,
            gas_constant: gas.gas_constant_j_per_kg_k,
            z: flash.z,
            gamma: gas.gamma,
        },
        ambient,
        0.0,
    );
    ContainerFlows {
        flash,
        pigtail_pa,
        pigtail_k,
        pigtail_z,
        vapour_kg_per_s,
        liquid_kg_per_s: 0.0,
        liquid_share: offered,
        feed_kg_per_s: 0.0,
        leak_kg_per_s: leak,
        relief_kg_per_s: relief,
        heat_w,
        valve_open,
    }
}

/// Branch, gas valve and spud of one appliance.
fn appliance_flows(
    a: &Appliance,
    m: &super::modes::ApplianceMode,
    t_s: f64,
    manifold_gauge: f64,
    density: f64,
    gas: &Vapour,
) -> ApplianceFlows {
    let open = m.valve.at(t_s);
    let valve = a.valve_m2 * open + a.valve_leak_m2;
    let series = if valve > 0.0 {
        valve * a.spud_m2 / valve.hypot(a.spud_m2)
    } else {
        0.0
    };
    let pilot = if m.pilot_open { a.pilot_m2 } else { 0.0 };
    let outlet = series + pilot;
    let (branch_a, branch_b) = flow::pipe_coefficients(
        a.branch.bore_m,
        a.branch.length_m,
        a.branch.minor_loss,
        density,
        FUEL_VISCOSITY,
    );
    let drive = manifold_gauge.max(0.0);
    let total = if outlet > 0.0 {
        flow::restriction_kg_per_s(
            drive,
            branch_a,
            branch_b + 0.5 / (density * outlet * outlet),
        )
    } else {
        0.0
    };
    let inlet_pa = manifold_gauge - (branch_a + branch_b * total) * total;
    let share = if outlet > 0.0 { series / outlet } else { 0.0 };
    let (main, pilot) = (total * share, total * (1.0 - share));
    let lit_main = if m.lit { main } else { 0.0 };
    let lit_pilot = if m.pilot_lit { pilot } else { 0.0 };
    let burned = lit_main + lit_pilot;
    ApplianceFlows {
        inlet_pa,
        main_kg_per_s: main,
        pilot_kg_per_s: pilot,
        ratio: a.flame_ratio(inlet_pa, gas.air_share),
        heat_w: burned * gas.heating_value_j_per_kg,
        unburned_kg_per_s: total - burned,
    }
}

/// Evaluates a rig at an instant.
pub fn evaluate(rig: &Rig, m: &Modes, t_s: f64, s: &RigState) -> Flows {
    let ambient_pa = m.site.ambient_pa(t_s);
    let air_k = m.site.air_k.at(t_s);
    let n = rig.containers.len();
    let mut flashes = [Flash::default(); MAX_CONTAINERS];
    for i in 0..n {
        flashes[i] = rig.containers[i].flash(&s.containers[i]);
    }
    let gas = line_gas(&flashes[..n]);
    // Upstream of the first seat the gas is the containers'; past it, what has come in so far.
    let source_r = gas.gas_constant_j_per_kg_k;
    let r = s.line_gas_j_per_kg_k;
    let mut containers = [ContainerFlows::default(); MAX_CONTAINERS];
    for i in 0..n {
        containers[i] = container_flows(rig, m, s, i, t_s, ambient_pa, flashes[i], &gas);
    }

    // First stage, fed by the service side.
    let side = m.service_side.min(n - 1);
    let feeding = containers[side];
    let inlet = Upstream {
        pressure_pa: feeding.pigtail_pa,
        temperature_k: feeding.pigtail_k,
        gas_constant: source_r,
        z: feeding.pigtail_z,
        gamma: gas.gamma,
    };
    let shaken = if t_s < m.tap_end_s { SHAKEN } else { 1.0 };
    let residue_factor = shaken * (1.0 + s.residue_kg / rig.body.residue_ref_kg);
    let liquid_kg_per_m3 = feeding.flash.liquid_density_kg_per_m3();
    let around_first = Around {
        upstream: inlet,
        liquid_kg_per_m3,
        liquid_share: feeding.liquid_share,
        gas_j_per_kg_k: r,
        gas_k: s.body_k,
        case_k: s.case_k,
        ambient_pa,
        ice: s.ice.clamp(0.0, 1.0),
        residue_factor,
    };
    let first = rig.first.evaluate(&s.first, &around_first);
    containers[side].feed_kg_per_s = first.seat_vapour_kg_per_s;
    containers[side].liquid_kg_per_s = first.seat_liquid_kg_per_s;

    // Reserve side of a changeover.
    let mut reserve_kg_per_s = 0.0;
    if let (Some(change), 2) = (rig.supply.changeover, n) {
        let other = 1 - side;
        let c = &containers[other];
        let area = change.area_m2(first.chamber_pa - ambient_pa);
        let up = Upstream {
            pressure_pa: c.pigtail_pa,
            temperature_k: c.pigtail_k,
            gas_constant: source_r,
            z: c.pigtail_z,
            gamma: gas.gamma,
        };
        reserve_kg_per_s =
            flow::nozzle_kg_per_s(area, HOLE, &up, first.chamber_pa, 7e-4 * area.sqrt());
        containers[other].feed_kg_per_s = reserve_kg_per_s;
    }

    // Liquid standing in the first-stage body: boils with the heat the body can give.
    let pool_share = contact::smoothstep(s.pool_kg, 0.0, rig.body.pool_wet_kg);
    let boil_kg_per_s = if pool_share > 0.0 {
        let boiling_k = fuel::saturation_temperature_k(Species::Propane, first.chamber_pa);
        rig.body.pool_w_per_k * pool_share * (s.body_k - boiling_k).max(0.0)
            / feeding.flash.latent_heat_j_per_kg
    } else {
        0.0
    };
    let overflow = contact::smoothstep(
        s.pool_kg,
        rig.body.pool_overflow_kg,
        2.0 * rig.body.pool_overflow_kg,
    ) * 0.8;

    // Second stage.
    let interstage = Upstream {
        pressure_pa: first.chamber_pa,
        temperature_k: s.body_k,
        gas_constant: r,
        z: 1.0,
        gamma: gas.gamma,
    };
    let around_second = Around {
        upstream: interstage,
        // The wide second chamber stands half in the cold body, half against the outer wall.
        gas_k: 0.5 * (s.body_k + air_k),
        liquid_share: overflow,
        ice: 0.0,
        ..around_first
    };
    let second = rig.second.evaluate(&s.second, &around_second);

    // Low side.
    let manifold_pa = s.manifold_kg * r * air_k / rig.piping.manifold_m3;
    let density = 0.5 * (second.chamber_pa + manifold_pa) / (r * air_k);
    let main = &rig.piping.main;
    let (a, b) = flow::pipe_coefficients(
        main.bore_m,
        main.length_m,
        main.minor_loss,
        density,
        FUEL_VISCOSITY,
    );
    let dp = second.chamber_pa - manifold_pa;
    let head = rig.piping.low_point_pa;
    let main_kg_per_s = flow::restriction_kg_per_s(dp - dp.clamp(-head, head), a, b);
    let manifold_gauge = manifold_pa - ambient_pa;
    let manifold_density = manifold_pa / (r * air_k);
    let leak_kg_per_s = flow::orifice_kg_per_s(
        manifold_gauge,
        rig.piping.leak_m2,
        HOLE,
        manifold_density,
        FUEL_VISCOSITY,
        1e-3,
    );
    let mut appliances = [ApplianceFlows::default(); MAX_APPLIANCES];
    for (i, ap) in rig.appliances.iter().enumerate() {
        appliances[i] = appliance_flows(
            ap,
            &m.appliances[i],
            t_s,
            manifold_gauge,
            manifold_density,
            &gas,
        );
    }

    // Cold of throttling: a share of it is drawn from the body by the gas that passes.
    let chill_k = heat::throttle_chill_k(inlet.pressure_pa, inlet.temperature_k, first.chamber_pa);
    let through = first.seat_vapour_kg_per_s.max(0.0);
    let chill_w = rig.body.chill_share * through * fuel::VAPOUR_CP_J_PER_KG_K * chill_k;
    let flowing = through / (through + rig.body.nozzle_ref_kg_per_s);
    let nozzle_k = s.body_k - (1.0 - rig.body.chill_share) * chill_k * flowing;
    Flows {
        t_s,
        ambient_pa,
        air_k,
        gas,
        containers,
        first,
        around_first,
        second,
        around_second,
        reserve_kg_per_s,
        manifold_pa,
        main_kg_per_s,
        leak_kg_per_s,
        boil_kg_per_s,
        appliances,
        nozzle_k,
        chill_w,
    }
}

impl Flows {
    /// Gas leaving the system unburned \[kg/s\].
    pub fn loss_kg_per_s(&self) -> f64 {
        let outside: f64 = self
            .containers
            .iter()
            .map(|c| c.leak_kg_per_s + c.relief_kg_per_s)
            .sum();
        let inside: f64 = self.appliances.iter().map(|a| a.unburned_kg_per_s).sum();
        outside
            + inside
            + self.leak_kg_per_s
            + [&self.first, &self.second]
                .iter()
                .map(|f| f.tear_kg_per_s + f.relief_kg_per_s)
                .sum::<f64>()
    }

    /// Gas to all burners \[kg/s\].
    pub fn burner_kg_per_s(&self) -> f64 {
        self.appliances
            .iter()
            .map(|a| a.main_kg_per_s + a.pilot_kg_per_s)
            .sum()
    }
}

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
    }
}

/// Rates of change of the state, from an evaluation.
pub fn rates(rig: &Rig, m: &Modes, s: &RigState, f: &Flows) -> RigState {
    let mut d = RigState::default();
    let molar = GAS_CONSTANT / s.line_gas_j_per_kg_k;
    let (w1, w2) = (&f.first, &f.second);
    d.first = stage_rates(
        &rig.first,
        &s.first,
        w1,
        molar,
        w1.seat_vapour_kg_per_s + f.reserve_kg_per_s + f.boil_kg_per_s
            - w2.seat_vapour_kg_per_s
            - w1.tear_kg_per_s,
    );
    // Liquid that overflows flashes in the second chamber.
    d.second = stage_rates(
        &rig.second,
        &s.second,
        w2,
        molar,
        w2.seat_vapour_kg_per_s + w2.seat_liquid_kg_per_s
            - f.main_kg_per_s
            - w2.tear_kg_per_s
            - w2.relief_kg_per_s,
    );
    let incoming = w1.seat_vapour_kg_per_s.max(0.0) + f.reserve_kg_per_s + f.boil_kg_per_s;
    let in_line = s.first.gas_kg + s.second.gas_kg + s.manifold_kg;
    d.line_gas_j_per_kg_k = incoming * (f.gas.gas_constant_j_per_kg_k - s.line_gas_j_per_kg_k)
        / in_line.max(LEAST_LINE_KG);
    d.manifold_kg = f.main_kg_per_s - f.burner_kg_per_s() - f.leak_kg_per_s;
    d.lost_kg = f.loss_kg_per_s();
    d.burned_kg = f.burner_kg_per_s()
        - f.appliances
            .iter()
            .map(|a| a.unburned_kg_per_s)
            .sum::<f64>();
    d.pool_kg = w1.seat_liquid_kg_per_s - f.boil_kg_per_s - w2.seat_liquid_kg_per_s;
    d.residue_kg = rig.fuel.residue_share * w1.seat_liquid_kg_per_s.max(0.0);

    let body = &rig.body;
    let sun = m.site.sun_w_per_m2.at(f.t_s);
    let boil_w = f.boil_kg_per_s
        * f.containers[m.service_side.min(rig.containers.len() - 1)]
            .flash
            .latent_heat_j_per_kg;
    d.body_k = (body.loss_w_per_k * (f.air_k - s.body_k) - f.chill_w - boil_w) / body.heat_j_per_k;
    d.case_k = (f.air_k + body.sun_k_m2_per_w * sun - s.case_k) / body.case_tau_s;
    let flow = w1.seat_vapour_kg_per_s.max(0.0);
    let cold = (WATER_FREEZING_K - f.nozzle_k).max(0.0);
    let warm = (f.nozzle_k - WATER_FREEZING_K).max(0.0);
    d.ice = body.freeze_per_kg_k * rig.fuel.water_share * flow * cold * (1.0 - s.ice)
        - body.melt_per_s_k * warm * s.ice;

    for i in 0..rig.containers.len() {
        let (c, cf) = (&rig.containers[i], &f.containers[i]);
        let out = &mut d.containers[i];
        let fl = &cf.flash;
        let vapour = cf.vapour_kg_per_s + cf.relief_kg_per_s;
        let liquid_molar = if fl.liquid_mol > 0.0 {
            fl.liquid_mass_kg / fl.liquid_mol
        } else {
            fl.vapour_molar_mass
        };
        for k in 0..SPECIES {
            let liquid = if fl.liquid_mol > 0.0 {
                fl.liquid_fractions[k]
            } else {
                fl.vapour_fractions[k]
            };
            out.moles[k] = -vapour * fl.vapour_fractions[k] / fl.vapour_molar_mass
                - cf.liquid_kg_per_s * liquid / liquid_molar;
        }
        let heat_capacity = fl.liquid_mass_kg * fuel::LIQUID_CP_J_PER_KG_K + c.steel_j_per_k;
        let evaporating = if fl.liquid_mol > 0.0 {
            vapour * fl.latent_heat_j_per_kg
        } else {
            0.0
        };
        out.temperature_k = (cf.heat_w - evaporating) / heat_capacity;
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
    d
}

/// The appliance whose heated mass is the cabin.
pub fn cabin_index(rig: &Rig) -> Option<usize> {
    rig.appliances
        .iter()
        .position(|a| a.kind == Kind::Furnace && a.thermal.is_some())
}

/// Gas held anywhere in the rig \[kg\].
pub fn stored_kg(rig: &Rig, s: &RigState) -> f64 {
    let held: f64 = s.containers[..rig.containers.len()]
        .iter()
        .map(|c| fuel::mass_kg(&c.moles) + c.pigtail_kg)
        .sum();
    held + s.first.gas_kg + s.second.gas_kg + s.manifold_kg + s.pool_kg
}

/// What the gauges show, from an evaluation. `initial_kg` is the gas held at the start.
pub fn readings(rig: &Rig, m: &Modes, s: &RigState, f: &Flows, initial_kg: f64) -> Readings {
    let mut out = Readings {
        time_s: f.t_s,
        ambient_pa: f.ambient_pa,
        air_k: f.air_k,
        sun_w_per_m2: m.site.sun_w_per_m2.at(f.t_s),
        elevation_m: m.site.elevation_m.at(f.t_s),
        container_count: rig.containers.len(),
        service_side: m.service_side,
        reserve_feeding: f.reserve_kg_per_s > 0.05 * f.second.seat_vapour_kg_per_s.max(1e-6),
        first: rig.first.readings(&s.first, &f.first, &f.around_first),
        second: rig.second.readings(&s.second, &f.second, &f.around_second),
        outlet_pa: f.second.chamber_pa - f.ambient_pa,
        manifold_pa: f.manifold_pa - f.ambient_pa,
        body_k: s.body_k,
        case_k: s.case_k,
        pool_kg: s.pool_kg,
        residue_kg: s.residue_kg,
        appliance_count: rig.appliances.len(),
        burner_flow_kg_per_s: f.burner_kg_per_s(),
        burned_kg: s.burned_kg,
        lost_kg: s.lost_kg,
        loss_kg_per_s: f.loss_kg_per_s(),
        stored_kg: stored_kg(rig, s),
        ..Readings::default()
    };
    out.flow_w = out.burner_flow_kg_per_s * f.gas.heating_value_j_per_kg;
    let gone = s.burned_kg + s.lost_kg;
    out.balance_error = (out.stored_kg + gone - initial_kg).abs() / gone.abs().max(1e-3);
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
            excess_flow_tripped: m.excess_tripped[i],
            heat_w: cf.heat_w,
            liquid_fractions: cf.flash.liquid_fractions,
        };
    }
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
            pilot_lit: am.pilot_lit,
            phase: am.phase,
            temperature_k: a.thermal.map(|_| s.thermal_k[i]),
        };
    }
    out
}
