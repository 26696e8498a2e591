//! The rig: container, supply, two stages, piping, appliances and site, as plain parameters and
//! plain state, with pure functions between them.
//!
//! Knows nothing of solvers, files or the names of faults. Volumes store, restrictions carry,
//! and every flow is positive downstream.

pub mod appliance;
pub mod container;
pub mod energy;
pub mod evaluate;
pub mod events;
pub mod gauges;
pub mod modes;
pub mod piping;
pub mod presets;
pub mod ramp;
pub mod rates;
pub mod readings;
pub mod relief;
pub mod sections;
pub mod site;
pub mod stage;
pub mod state;
pub mod supply;
pub mod wet;

pub use appliance::{Appliance, Ignition, Kind, Surroundings, ThermalLoad};
pub use container::Container;
pub use energy::Held;
pub use evaluate::{Contents, Flows, evaluate};
pub use events::{Happening, Seat};
pub use gauges::{held, stored_kg};
pub use modes::{ApplianceMode, Cloth, Modes, Touch};
pub use piping::{Pipe, Piping};
pub use ramp::Ramp;
pub use rates::{rates, rates_into};
pub use readings::{
    ApplianceReadings, ContainerReadings, DiaphragmForces, Flame, MAX_APPLIANCES, MAX_CONTAINERS,
    Phase, Readings, StageReadings,
};
pub use relief::Relief;
pub use sections::{MAX_SECTIONS, Material, Mounting, SECTION_LOSS, Section};
pub use site::Site;
pub use stage::{Stage, Vent};
pub use state::{ContainerState, RigState, StageState};
pub use supply::{Changeover, ExcessFlow, Supply};
pub use wet::Wet;

use crate::physics::fuel::{self, SPECIES, Vapour};
use crate::physics::{GAS_CONSTANT, STANDARD_ATMOSPHERE_PA, contact, heat, water};
use serde::Serialize;

/// What the containers are charged with.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Fuel {
    /// Liquid mole fractions: propane, ethane, n-butane, isobutane, air.
    pub fractions: [f64; SPECIES],
    /// Water that the vapour carries where it can hold as much, by mass.
    pub water_share: f64,
    /// Oily residue in the liquid, by mass.
    pub residue_share: f64,
}

/// The regulator's body: heat, ice, liquid.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Body {
    /// Where it sits; what that does stands in the numbers below.
    pub mounted: Mounting,
    /// Heat capacity \[J/K\].
    pub heat_j_per_k: f64,
    /// Heat exchanged with the air \[W/K\].
    pub loss_w_per_k: f64,
    /// Share of the throttling cold that the gas draws from the body.
    pub chill_share: f64,
    /// Time constant of the spring case \[s\].
    pub case_tau_s: f64,
    /// Rise of the spring case per sunshine \[K m²/W\].
    pub sun_k_m2_per_w: f64,
    /// Heat from the wholly wetted first chamber to the liquid that boils on it \[W/K\]; the second's by its area.
    pub pool_w_per_k: f64,
    /// Liquid that wets a whole chamber \[kg\].
    pub pool_wet_kg: f64,
    /// Liquid that reaches the passage to the second stage and is drawn along as a slug \[kg\].
    pub pool_overflow_kg: f64,
    /// Residue that doubles the friction \[kg\].
    pub residue_ref_kg: f64,
    /// Flow at which half of the throttling cold reaches the nozzle \[kg/s\].
    pub nozzle_ref_kg_per_s: f64,
    /// Ice that leaves the first bore 37 % open \[kg\].
    pub ice_plug_kg: f64,
    /// Ice melt \[1/(s K)\].
    pub melt_per_s_k: f64,
}

/// A surface so much under the freezing point takes all that freezes out; less takes less \[K\] (own).
const FREEZING_SPAN_K: f64 = 1.0;

/// Air between which water in the fuel begins to settle at the first orifice is sought \[K\], in what steps, and how often one
/// is halved.
const ICES_BETWEEN_K: [f64; 2] = [233.15, 293.15];
const ICES_STEP_K: f64 = 2.0;
const ICES_HALVES: usize = 6;
/// Fill of the container there: its pressure hardly depends on it.
const ICES_FILL: f64 = 0.5;

impl Body {
    /// Temperature of the first nozzle's metal \[K\]: under the body's by what of the throttling cold reaches it, half of
    /// that at a flow of `nozzle_ref_kg_per_s`.
    pub fn nozzle_k(&self, body_k: f64, chill_k: f64, flow_kg_per_s: f64) -> f64 {
        let flowing = flow_kg_per_s / (flow_kg_per_s + self.nozzle_ref_kg_per_s);
        body_k - (1.0 - self.chill_share) * chill_k * flowing
    }

    /// Rate of change of the share of the first orifice that ice or hydrate covers \[1/s\].
    ///
    /// What the gas carries beyond what it can hold at the nozzle's metal settles there, if that is cold enough to be
    /// solid; drier gas carries ice off as vapour, and a nozzle over that temperature melts it:
    ///
    /// i' = w (y - ys) (1 - i)/m, or w (y - ys) i/m where y is under ys; less k (T - Ts) i above Ts.
    ///
    /// `flow_kg_per_s` w, `water` y by mass, `nozzle_k` T of the metal, `pressure_pa` p of the gas before the bore,
    /// `molar_mass` of the gas; ys and Ts at p as of [`water`]. All that is too much settles (own: the upper bound), m is a
    /// plug as long as the bore is wide (own).
    pub fn ice_per_s(
        &self,
        ice: f64,
        flow_kg_per_s: f64,
        water: f64,
        (nozzle_k, pressure_pa): (f64, f64),
        molar_mass: f64,
    ) -> f64 {
        let solid_k = water::solid_below_k(pressure_pa);
        let held = water::held_by_mass(nozzle_k, pressure_pa, molar_mass);
        let settling = flow_kg_per_s.max(0.0) * (water - held) / self.ice_plug_kg;
        let frozen = contact::smoothstep(solid_k - nozzle_k, 0.0, FREEZING_SPAN_K);
        let melting = self.melt_per_s_k * (nozzle_k - solid_k).max(0.0);
        settling.max(0.0) * frozen * (1.0 - ice) + (settling.min(0.0) - melting) * ice
    }
}

/// All parameters of a rig; constant while a step runs.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Rig {
    /// Charge.
    pub fuel: Fuel,
    /// One or two containers.
    pub containers: Vec<Container>,
    /// Changeover, where two containers feed one regulator.
    pub changeover: Option<Changeover>,
    /// First stage.
    pub first: Stage,
    /// Second stage.
    pub second: Stage,
    /// Regulator body.
    pub body: Body,
    /// Low side.
    pub piping: Piping,
    /// Appliances on their branches.
    pub appliances: Vec<Appliance>,
}

/// How a container is at the start.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Charge {
    /// Share of the volume filled with liquid.
    pub fill: f64,
    /// Temperature \[K\].
    pub temperature_k: f64,
    /// Partial pressure of air left in it \[Pa\].
    pub air_pa: f64,
}

impl Rig {
    /// The standard rig with the given containers and appliances.
    pub fn standard(containers: Vec<Container>, appliances: Vec<Appliance>) -> Self {
        let changeover = (containers.len() == 2).then(presets::changeover);
        Self {
            fuel: presets::fuel(),
            containers,
            changeover,
            first: presets::first_stage(),
            second: presets::second_stage(),
            body: presets::body(),
            piping: presets::piping(),
            appliances,
        }
    }

    /// The same rig with the container of a side in the first place: curves are drawn of one container.
    #[must_use]
    pub fn with_first(mut self, side: usize) -> Self {
        if side < self.containers.len() {
            self.containers.swap(0, side);
        }
        self
    }

    /// Air under which water in the fuel settles at the first orifice as ice or hydrate \[K\], `water_share` by mass in the
    /// container; none where it does in no air. In warmer air it never does: it is asked with every burner lit, body and nozzle as cold as that makes them at
    /// last, and the container still at the air's temperature, which has the most pressure to throttle.
    pub fn ices_under_k(&self, water_share: f64) -> Option<f64> {
        let [coldest_k, warmest_k] = ICES_BETWEEN_K;
        let mut high = warmest_k;
        // From the warm side: in deep cold the container has too little pressure to chill anything, and it ends again.
        while !self.ices_in(water_share, high - ICES_STEP_K) {
            high -= ICES_STEP_K;
            if high <= coldest_k {
                return None;
            }
        }
        let mut low = high - ICES_STEP_K;
        for _ in 0..ICES_HALVES {
            let middle = 0.5 * (low + high);
            if self.ices_in(water_share, middle) {
                low = middle;
            } else {
                high = middle;
            }
        }
        Some(high)
    }

    fn ices_in(&self, water_share: f64, air_k: f64) -> bool {
        let (c, body) = (&self.containers[0], &self.body);
        let over = c.flash(&c.filled(ICES_FILL, &self.fuel.fractions, air_k, 0.0));
        let gas = Vapour::from_fractions(&over.vapour_fractions);
        let input_w: f64 = self.appliances.iter().map(|a| a.input_w).sum();
        // A rig that burns nothing has a test tap.
        let through = (input_w / gas.heating_value_j_per_kg).max(body.nozzle_ref_kg_per_s);
        // With the seat wide open: the least that is kept behind it, and so the most cold.
        let set_pa = self.first.spring_force_n(0.0, air_k) / self.first.area_m2;
        let chamber_pa = STANDARD_ATMOSPHERE_PA + set_pa;
        let chill_k = heat::throttle_chill_k(over.pressure_pa, air_k, chamber_pa);
        let chill_w = body.chill_share * through * fuel::VAPOUR_CP_J_PER_KG_K * chill_k;
        let nozzle_k = body.nozzle_k(air_k - chill_w / body.loss_w_per_k, chill_k, through);
        let held = water::held_by_mass(air_k, over.pressure_pa, over.vapour_molar_mass);
        let carried = water::carried_by_mass(water_share, held);
        let metal = (nozzle_k, over.pressure_pa);
        body.ice_per_s(0.0, through, carried, metal, over.vapour_molar_mass) > 0.0
    }

    /// A state near rest at a site: containers charged, both stages locked up near their set
    /// points, spring cases and body at air temperature and pressure; with every container shut, air alone, on the open stops.
    pub fn at_rest(&self, modes: &Modes, charges: &[Charge]) -> RigState {
        let mut s = RigState::default();
        let ambient = modes.site.ambient_pa(0.0);
        let air_k = modes.site.air_k.at(0.0);
        s.body_k = air_k;
        s.case_k = air_k;
        for (i, (c, charge)) in self.containers.iter().zip(charges).enumerate() {
            s.containers[i] = c.filled(
                charge.fill,
                &self.fuel.fractions,
                charge.temperature_k,
                charge.air_pa,
            );
        }
        let side = modes.service_side.min(self.containers.len() - 1);
        let flash = self.containers[side].flash(&s.containers[side]);
        let r = Vapour::from_fractions(&flash.vapour_fractions).gas_constant_j_per_kg_k;
        s.line_gas_j_per_kg_k = r;
        for (i, c) in self.containers.iter().enumerate() {
            let pressure = if modes.valves[i].at(0.0) > 0.0 {
                c.flash(&s.containers[i]).pressure_pa
            } else {
                ambient
            };
            let own = Vapour::from_fractions(&c.flash(&s.containers[i]).vapour_fractions);
            let r = own.gas_constant_j_per_kg_k;
            let pigtail_k = 0.5 * (s.containers[i].temperature_k + air_k);
            let z = crate::physics::fuel::compressibility(pressure, pigtail_k);
            s.containers[i].pigtail_kg =
                pressure * c.supply.pigtail_volume_m3 / (z * r * pigtail_k);
        }
        let lock_up =
            |stage: &Stage| stage.spring_force_n(stage.touch_rise_m, air_k) / stage.area_m2;
        let pressed = modes.valves[..self.containers.len()]
            .iter()
            .any(|v| v.at(0.0) > 0.0);
        for (stage, st) in [(&self.first, &mut s.first), (&self.second, &mut s.second)] {
            let gauge = if pressed { lock_up(stage) } else { 0.0 };
            // A rig put together in open air holds that air with the diaphragms where their springs leave them: a chamber
            // shut before they lie there would read what they squeeze.
            st.rise_m = if pressed {
                stage.touch_rise_m
            } else {
                stage.idle_rise_m(air_k)
            };
            st.gas_kg = (ambient + gauge) * stage.chamber_volume_m3(st.rise_m) / (r * air_k);
            st.case_settled = ambient / (GAS_CONSTANT * air_k);
            st.case_mol = st.case_settled * stage.case_volume_m3(st.rise_m);
        }
        let gauge = if pressed { lock_up(&self.second) } else { 0.0 };
        s.manifold_kg = (ambient + gauge) * self.piping.manifold_m3 / (r * air_k);
        for (i, a) in self.appliances.iter().enumerate() {
            s.thermal_k[i] = a.thermal.map_or(0.0, |l| l.start_k);
        }
        s
    }
}
