//! Every pressure, flow and force of a rig at one instant. One evaluation serves both the rates of
//! change ([`super::rates()`]) and the readings ([`super::gauges`]).
//!
//! Assumptions: ideal gas in the chambers and the line (Z within 2 % of 1 at 10 psig), real gas
//! (Z) upstream of the first seat; gas that comes into the line has the composition of the vapour
//! over the liquid at that moment and mixes at once with all that stands there (for its density;
//! ratio of heats and heating value are those of the incoming gas); the manifold stands at air
//! temperature.

use super::modes::Modes;
use super::readings::{MAX_APPLIANCES, MAX_CONTAINERS};
use super::stage::{Around, StageFlows};
use super::state::{ContainerState, RigState, StageState};
use super::supply;
use super::wet::{self, Wet};
use super::{Appliance, Body, Rig};
use crate::physics::contact::smoothstep;
use crate::physics::flow::{self, Upstream};
use crate::physics::fuel::{self, Flash, Vapour};
use crate::physics::passage::Gas;
use crate::physics::{heat, water};

/// Share of the friction left while the body is being tapped.
const SHAKEN: f64 = 0.02;
/// Discharge coefficient of valves, leaks and holes.
const HOLE: f64 = 0.7;
/// So far under the air's pressure all that flows back into a container is taken for air \[Pa\] (own).
const UNDER_AIR_PA: f64 = 500.0;
/// Wall that a leak of the low side goes through \[m\].
pub const WALL_M: f64 = 1e-3;

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

impl ContainerFlows {
    /// Its gas at the regulator's end of the pigtail.
    fn inlet(&self, gas: &Vapour) -> Upstream {
        Upstream {
            pressure_pa: self.pigtail_pa,
            temperature_k: self.pigtail_k,
            gas_constant: gas.gas_constant_j_per_kg_k,
            z: self.pigtail_z,
            gamma: gas.gamma,
        }
    }
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
#[derive(Debug, Clone, Copy, Default)]
pub struct Flows {
    /// Time \[s\].
    pub t_s: f64,
    /// Elevation \[m\].
    pub elevation_m: f64,
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
    /// ... and liquid that comes with it \[kg/s\].
    pub reserve_liquid_kg_per_s: f64,
    /// Absolute manifold pressure \[Pa\].
    pub manifold_pa: f64,
    /// Main line \[kg/s\].
    pub main_kg_per_s: f64,
    /// Manifold leak \[kg/s\].
    pub leak_kg_per_s: f64,
    /// Liquid past the first seat.
    pub wet: Wet,
    /// Appliances.
    pub appliances: [ApplianceFlows; MAX_APPLIANCES],
    /// Water in the vapour that comes to the first seat, by mass.
    pub water_share: f64,
    /// Temperature of the first nozzle \[K\].
    pub nozzle_k: f64,
    /// Heat taken from the body by expanding gas \[W\].
    pub chill_w: f64,
    met: Met,
}

/// What the parts met when they were evaluated last. A part that meets the same again is left as it is: where a column of a
/// Jacobian is looked for, most of them are.
#[derive(Debug, Clone, Copy, Default)]
struct Met {
    containers: [(ContainerState, Outside, u64); MAX_CONTAINERS],
    first: StageState,
    second: StageState,
    main: [f64; 4],
    low_side: (Outside, [f64; 2], Vapour),
}

/// Pressure of real gas of density `rho`, and its Z \[Pa, 1\].
pub(crate) fn real_pressure(rho: f64, gas: &Vapour, t_k: f64) -> (f64, f64) {
    let z = fuel::compressibility_at_density(rho / gas.molar_mass_kg_per_mol, t_k);
    (rho * gas.gas_constant_j_per_kg_k * t_k * z, z)
}

/// The place at one instant.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
struct Outside {
    t_s: f64,
    ambient_pa: f64,
    air_k: f64,
}

/// Container, excess-flow valve, service valve and pigtail.
#[allow(clippy::too_many_arguments)] // one caller; every one is a different thing
fn container_flows(
    flows: &mut ContainerFlows,
    rig: &Rig,
    m: &Modes,
    s: &RigState,
    i: usize,
    around: &Outside,
    flash: &Flash,
    gas: &Vapour,
) {
    let (c, st) = (&rig.containers[i], &s.containers[i]);
    let supply = &c.supply;
    let Outside {
        t_s,
        ambient_pa: ambient,
        air_k,
    } = *around;
    // Vapour warms half-way to the air in the pigtail.
    let pigtail_k = 0.5 * (st.temperature_k + air_k);
    let pigtail_density = st.pigtail_kg / supply.pigtail_volume_m3;
    let (pigtail_pa, pigtail_z) = real_pressure(pigtail_density, gas, pigtail_k);
    let density = flash.pressure_pa / (flash.z * gas.gas_constant_j_per_kg_k * st.temperature_k);

    let viscosity_pa_s = fuel::viscosity_pa_s(pigtail_k);
    let container_gas = Gas {
        pressure_pa: flash.pressure_pa,
        density_kg_per_m3: density,
        viscosity_pa_s,
    };
    let pigtail_gas = Gas {
        pressure_pa: pigtail_pa,
        density_kg_per_m3: pigtail_density,
        viscosity_pa_s,
    };
    let valve_open = m.valves[i].at(t_s);
    let vapour_kg_per_s = supply.flow_kg_per_s(
        valve_open,
        m.excess_flow[i],
        gas.gamma,
        &container_gas,
        &pigtail_gas,
    );
    let offered = if valve_open > 0.0 {
        c.carry_over(flash.liquid_fill)
    } else {
        0.0
    };

    let heat_w = c.heat_w(flash, m.site.wall_factor.at(t_s), air_k, st.temperature_k);

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
    *flows = ContainerFlows {
        flash: *flash,
        pigtail_pa,
        pigtail_k,
        pigtail_z,
        vapour_kg_per_s,
        liquid_kg_per_s: 0.0,
        liquid_share: offered,
        feed_kg_per_s: 0.0,
        leak_kg_per_s: supply.leak_kg_per_s(&pigtail_gas, ambient),
        relief_kg_per_s: relief,
        heat_w,
        valve_open,
    };
}

/// Branch, gas valve and spud of one appliance.
fn appliance_flows(
    a: &Appliance,
    m: &super::modes::ApplianceMode,
    t_s: f64,
    manifold_gauge: f64,
    (density, viscosity): (f64, f64),
    gas: &Vapour,
) -> ApplianceFlows {
    let open = m.valve.at(t_s);
    let valve = a.valve_m2 * open + a.valve_leak_m2;
    let series = flow::series_area_m2(valve, a.spud_m2);
    let pilot = if m.pilot_open { a.pilot_m2 } else { 0.0 };
    let outlet = series + pilot;
    if outlet <= 0.0 {
        return ApplianceFlows {
            inlet_pa: manifold_gauge,
            ratio: a.flame_ratio(manifold_gauge, gas.air_share),
            ..ApplianceFlows::default()
        };
    }
    let branch = a.branch.loss(density, viscosity);
    // What stands at the appliance's inlet goes through its valve and orifice to the open air, or air comes in through them.
    let through = 0.5 / (density * outlet * outlet);
    let total = branch.flow_kg_per_s(manifold_gauge, through);
    let inlet_pa = through * total * total.abs();
    let share = series / outlet;
    let (main, pilot) = (total * share, total * (1.0 - share));
    let lit_main = if m.lit { main } else { 0.0 };
    let lit_pilot = if m.pilot_lit { pilot } else { 0.0 };
    let burned = (lit_main + lit_pilot).max(0.0);
    ApplianceFlows {
        inlet_pa,
        main_kg_per_s: main,
        pilot_kg_per_s: pilot,
        ratio: a.flame_ratio(inlet_pa, gas.air_share),
        heat_w: burned * gas.heating_value_j_per_kg,
        unburned_kg_per_s: total - burned,
    }
}

/// What the containers hold at one instant: costly to find, and decided by nothing but their moles and
/// temperature, so it serves as long as these stay.
#[derive(Debug, Clone, Copy, Default)]
pub struct Contents {
    flashes: [Flash; MAX_CONTAINERS],
    gases: [Vapour; MAX_CONTAINERS],
    /// How often it was found.
    split: u64,
}

impl Contents {
    /// Becomes what is in the containers of a rig; one and the same rig each time.
    pub fn update(&mut self, rig: &Rig, s: &RigState) {
        let each = rig.containers.iter().zip(&s.containers);
        let held = self.flashes.iter_mut().zip(&mut self.gases);
        self.split += 1;
        for ((flash, gas), (container, state)) in held.zip(each) {
            *flash = container.flash(state);
            *gas = Vapour::from_fractions(&flash.vapour_fractions);
        }
    }
}

/// Cold that vapour throttled to a pressure draws from the body \[J/kg\].
fn cold_j_per_kg(body: &Body, inlet: &Upstream, chamber_pa: f64) -> f64 {
    let chill_k = heat::throttle_chill_k(inlet.pressure_pa, inlet.temperature_k, chamber_pa);
    body.chill_share * fuel::VAPOUR_CP_J_PER_KG_K * chill_k
}

/// Evaluates a rig at an instant.
pub fn evaluate(rig: &Rig, m: &Modes, t_s: f64, s: &RigState) -> Flows {
    let (mut contents, mut flows) = (Contents::default(), Flows::default());
    contents.update(rig, s);
    flows.update(rig, m, t_s, s, &contents);
    flows
}

impl Flows {
    /// Becomes what [`evaluate`] gives, for containers that hold what is known already. One and the same rig
    /// each time: places it has no part for are left alone.
    pub fn update(&mut self, rig: &Rig, m: &Modes, t_s: f64, s: &RigState, held: &Contents) {
        // The power in it costs as much as a stage, and a rig seldom climbs.
        let elevation_m = m.site.elevation_m.at(t_s);
        if elevation_m != self.elevation_m || self.ambient_pa == 0.0 {
            self.elevation_m = elevation_m;
            self.ambient_pa = m.site.ambient_pa(t_s);
        }
        let ambient_pa = self.ambient_pa;
        let air_k = m.site.air_k.at(t_s);
        let n = rig.containers.len();
        let Contents { flashes, gases, .. } = held;
        (self.t_s, self.air_k) = (t_s, air_k);
        // Upstream of a seat the gas is its container's; past it, what has come in so far.
        let side = m.service_side.min(n - 1);
        self.gas = gases[side];
        let r = s.line_gas_j_per_kg_k;
        let outside = Outside {
            t_s,
            ambient_pa,
            air_k,
        };
        let containers = &mut self.containers[..n];
        for (i, (flows, met)) in containers
            .iter_mut()
            .zip(&mut self.met.containers)
            .enumerate()
        {
            let meets = (s.containers[i], outside, held.split);
            if *met != meets {
                *met = meets;
                container_flows(flows, rig, m, s, i, &outside, &flashes[i], &gases[i]);
            }
            (flows.feed_kg_per_s, flows.liquid_kg_per_s) = (0.0, 0.0);
        }

        // First stage, fed by the service side.
        let feeding = &containers[side];
        let mut inlet = feeding.inlet(&gases[side]);
        if n > 1 {
            // Its back check holds what would flow back into a side that is empty or leaks.
            let chamber_pa = rig.first.chamber_pa(&s.first, r, s.body_k);
            inlet.pressure_pa = chamber_pa + supply::past_check_pa(inlet.pressure_pa - chamber_pa);
        }
        let shaken = if t_s < m.tap_end_s { SHAKEN } else { 1.0 };
        let residue_factor = shaken * (1.0 + s.residue_kg / rig.body.residue_ref_kg);
        let liquid_kg_per_m3 = feeding.flash.liquid_density_kg_per_m3();
        let around = Around {
            upstream: inlet,
            liquid_kg_per_m3,
            liquid_share: feeding.liquid_share,
            gas_j_per_kg_k: r,
            gas_k: s.body_k,
            case_k: s.case_k,
            ambient_pa,
            ice: s.ice.clamp(0.0, 1.0),
            residue_factor,
            press_n: m.touch[0].press_n.at(t_s),
            thumb: m.touch[0].thumb.at(t_s),
        };
        if around != self.around_first || s.first != self.met.first {
            self.met.first = s.first;
            self.around_first = around;
            self.first = rig.first.evaluate(&s.first, &around);
        }
        let first = &self.first;
        containers[side].feed_kg_per_s = first.seat_vapour_kg_per_s;
        containers[side].liquid_kg_per_s = first.seat_liquid_kg_per_s;

        // Reserve side of a changeover.
        (self.reserve_kg_per_s, self.reserve_liquid_kg_per_s) = (0.0, 0.0);
        let mut liquid_k = s.containers[side].temperature_k;
        let mut reserve_chill_w = 0.0;
        if let (Some(change), 2) = (rig.changeover, n) {
            let other = 1 - side;
            let c = &containers[other];
            let area = change.area_m2(first.chamber_pa - ambient_pa);
            let up = c.inlet(&gases[other]);
            // Behind a back check of its own.
            let dry = flow::nozzle_kg_per_s(area, HOLE, &up, first.chamber_pa, 7e-4 * area.sqrt());
            if dry > 0.0 {
                let liquid_kg_per_m3 = c.flash.liquid_density_kg_per_m3();
                let (vapour, liquid) = flow::wet_flow_kg_per_s(
                    dry,
                    c.liquid_share,
                    up.density_kg_per_m3(),
                    liquid_kg_per_m3,
                );
                (self.reserve_kg_per_s, self.reserve_liquid_kg_per_s) = (vapour, liquid);
                containers[other].feed_kg_per_s = vapour;
                containers[other].liquid_kg_per_s = liquid;
                let own = first.seat_vapour_kg_per_s.max(0.0);
                self.gas = gases[side].mixed(&gases[other], vapour / (own + vapour));
                let own_liquid = first.seat_liquid_kg_per_s.max(0.0);
                let other_k = s.containers[other].temperature_k;
                liquid_k +=
                    (other_k - liquid_k) * liquid / (own_liquid + liquid).max(f64::MIN_POSITIVE);
                reserve_chill_w = cold_j_per_kg(&rig.body, &up, first.chamber_pa) * vapour;
            }
        }

        // Liquid past the first seat.
        let liquid_kg_per_s = first.seat_liquid_kg_per_s + self.reserve_liquid_kg_per_s;
        let chamber_pa = first.chamber_pa;
        self.wet
            .in_the_first(&rig.body, s, liquid_kg_per_s, liquid_k, chamber_pa);

        // Second stage.
        let interstage = Upstream {
            pressure_pa: first.chamber_pa,
            temperature_k: s.body_k,
            gas_constant: r,
            z: 1.0,
            gamma: self.gas.gamma,
        };
        let around = Around {
            upstream: interstage,
            // The wide second chamber stands half in the cold body, half against the outer wall.
            gas_k: 0.5 * (s.body_k + air_k),
            liquid_share: wet::at_the_second_seat(s.slug),
            ice: 0.0,
            press_n: m.touch[1].press_n.at(t_s),
            thumb: m.touch[1].thumb.at(t_s),
            ..around
        };
        if around != self.around_second || s.second != self.met.second {
            self.met.second = s.second;
            self.around_second = around;
            self.second = rig.second.evaluate(&s.second, &around);
        }
        let second = &self.second;
        let (slug, outlet_pa) = (second.seat_liquid_kg_per_s, second.chamber_pa);
        self.wet.on_the_low_side(rig, s, slug, outlet_pa, air_k);

        // Low side.
        self.manifold_pa = s.manifold_kg * r * air_k / rig.piping.manifold_m3;
        let viscosity = fuel::viscosity_pa_s(air_k);
        let meets = [second.chamber_pa, self.manifold_pa, r, air_k];
        if meets != self.met.main {
            self.met.main = meets;
            let density = 0.5 * (second.chamber_pa + self.manifold_pa) / (r * air_k);
            let main = rig.piping.main.loss(density, viscosity);
            let dp = second.chamber_pa - self.manifold_pa;
            let head = rig.piping.low_point_pa;
            self.main_kg_per_s = main.flow_kg_per_s(dp - dp.clamp(-head, head), 0.0);
        }
        let meets = (outside, [self.manifold_pa, r], self.gas);
        if meets != self.met.low_side {
            self.met.low_side = meets;
            let manifold_gauge = self.manifold_pa - ambient_pa;
            let manifold_density = self.manifold_pa / (r * air_k);
            self.leak_kg_per_s = flow::orifice_kg_per_s(
                manifold_gauge,
                rig.piping.leak_m2,
                HOLE,
                manifold_density,
                viscosity,
                WALL_M,
            );
            for (i, ap) in rig.appliances.iter().enumerate() {
                self.appliances[i] = appliance_flows(
                    ap,
                    &m.appliances[i],
                    t_s,
                    manifold_gauge,
                    (manifold_density, viscosity),
                    &self.gas,
                );
            }
        }

        // Cold of throttling: a share of it is drawn from the body by the gas that passes.
        let chill_k =
            heat::throttle_chill_k(inlet.pressure_pa, inlet.temperature_k, first.chamber_pa);
        let through = first.seat_vapour_kg_per_s.max(0.0);
        self.chill_w =
            rig.body.chill_share * through * fuel::VAPOUR_CP_J_PER_KG_K * chill_k + reserve_chill_w;
        self.water_share = if rig.fuel.water_share > 0.0 {
            // Saturated where it left the liquid: free water beyond that stays in the container.
            let cold_k = s.containers[side].temperature_k;
            let over = &self.containers[side].flash;
            let held = water::held_by_mass(cold_k, over.pressure_pa, over.vapour_molar_mass);
            water::carried_by_mass(rig.fuel.water_share, held)
        } else {
            0.0
        };
        self.nozzle_k = rig.body.nozzle_k(s.body_k, chill_k, through);
    }

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

    /// Air that goes into a container \[kg/s\]: what flows back while that stands under the air's pressure, smoothly.
    pub fn air_back_kg_per_s(&self, container: usize) -> f64 {
        let c = &self.containers[container];
        let back = (-c.vapour_kg_per_s).max(0.0);
        back * smoothstep(self.ambient_pa - c.pigtail_pa, 0.0, UNDER_AIR_PA)
    }

    /// Gas to all burners \[kg/s\].
    pub fn burner_kg_per_s(&self) -> f64 {
        self.appliances
            .iter()
            .map(|a| a.main_kg_per_s + a.pilot_kg_per_s)
            .sum()
    }
}
