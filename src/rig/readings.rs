//! What can be read off a rig at one instant: every named pressure, flow, force and temperature.
//!
//! Plain values in SI, gauge pressures against the ambient of the site. Made by
//! [`crate::rig::evaluate()`]; nothing here computes.

use serde::{Deserialize, Serialize};

/// Most appliances one rig can have.
pub const MAX_APPLIANCES: usize = 12;
/// Most containers one rig can have.
pub const MAX_CONTAINERS: usize = 2;

/// Forces on one diaphragm \[N\]; positive pushes towards closed (up), negative towards open.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
pub struct DiaphragmForces {
    /// Gas under the diaphragm less air above it, times the effective area.
    pub gas_n: f64,
    /// Adjusting spring, preload and rate (always towards open).
    pub spring_n: f64,
    /// Upstream gas on the seat, through the lever.
    pub jet_n: f64,
    /// Nozzle pushing back on the squeezed seat, through the lever.
    pub seat_n: f64,
    /// Guide and lever friction.
    pub friction_n: f64,
    /// Viscous damping of the moving parts.
    pub damping_n: f64,
    /// The mechanical stops.
    pub stop_n: f64,
    /// Water standing on the diaphragm.
    pub water_n: f64,
    /// A finger that presses it down (towards open) or lifts it.
    pub hand_n: f64,
}

impl DiaphragmForces {
    /// Sum of all forces \[N\].
    pub fn sum_n(&self) -> f64 {
        self.gas_n
            + self.spring_n
            + self.jet_n
            + self.seat_n
            + self.friction_n
            + self.damping_n
            + self.stop_n
            + self.water_n
            + self.hand_n
    }
}

/// Readings of one regulator stage.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
pub struct StageReadings {
    /// Gauge pressure at the stage's inlet, upstream of its seat \[Pa\].
    pub inlet_pa: f64,
    /// Gauge pressure in the chamber, which is the stage's outlet \[Pa\].
    pub chamber_pa: f64,
    /// Gauge pressure of the air in the spring case \[Pa\].
    pub case_pa: f64,
    /// Diaphragm rise from the full-open stop \[m\].
    pub rise_m: f64,
    /// Diaphragm rise at which the seat just touches \[m\].
    pub touch_rise_m: f64,
    /// Diaphragm speed, positive closing \[m/s\].
    pub speed_m_per_s: f64,
    /// Seat lift off the nozzle \[m\]; 0 when closed.
    pub lift_m: f64,
    /// How deep the nozzle is pressed into the seat \[m\].
    pub squeeze_m: f64,
    /// Flow through the seat \[kg/s\].
    pub flow_kg_per_s: f64,
    /// Share of liquid by mass in that flow.
    pub liquid_share: f64,
    /// Forces on the diaphragm.
    pub forces: DiaphragmForces,
    /// Flow out of the vent, air or gas, positive outwards \[m³/s at ambient\].
    pub vent_m3_per_s: f64,
    /// Gas through the relief into the spring case \[kg/s\]; 0 where the stage has none.
    pub relief_kg_per_s: f64,
    /// Gas through a tear of the diaphragm into the spring case \[kg/s\].
    pub tear_kg_per_s: f64,
    /// Share of the vent area still open, 0 to 1.
    pub vent_open: f64,
    /// Share of the orifice area covered by ice, 0 to 1.
    pub ice: f64,
    /// Share of the vent that a thumb shuts, 0 to 1.
    pub thumb: f64,
}

/// Readings of one container and its pigtail.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
pub struct ContainerReadings {
    /// Gauge pressure in the vapour space \[Pa\].
    pub pressure_pa: f64,
    /// Liquid temperature \[K\].
    pub temperature_k: f64,
    /// Share of the volume filled with liquid.
    pub fill: f64,
    /// Mass of fuel, liquid and vapour \[kg\].
    pub fuel_kg: f64,
    /// Vapour and liquid drawn \[kg/s\].
    pub flow_kg_per_s: f64,
    /// Gauge pressure at the regulator's end of the pigtail \[Pa\].
    pub pigtail_pa: f64,
    /// Service valve opening, 0 to 1.
    pub valve_open: f64,
    /// Whether the excess-flow valve has closed.
    pub excess_flow_tripped: bool,
    /// Gas that its pigtail loses to the open air \[kg/s\].
    pub leak_kg_per_s: f64,
    /// Gas that its own relief lets out \[kg/s\].
    pub relief_kg_per_s: f64,
    /// Heat taken in through the wall \[W\].
    pub heat_w: f64,
    /// Mole fractions in the liquid: propane, ethane, n-butane, isobutane, air.
    pub liquid_fractions: [f64; 5],
}

/// How a burner looks.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Flame {
    /// No flame.
    #[default]
    Out,
    /// Soft, lazy: under about half of the rated pressure.
    Low,
    /// As it should be.
    Normal,
    /// Loud and sharp: well over the rated pressure.
    Hard,
    /// Lifting off the ports, near going out.
    Lifting,
}

/// What an appliance's controls are doing.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Phase {
    /// Switched off.
    #[default]
    Off,
    /// Switched on, thermostat satisfied.
    Satisfied,
    /// Fan clears the chamber before gas is let in.
    Purge,
    /// Gas is on, spark is trying.
    Trial,
    /// Main burner alight.
    Burning,
    /// Waiting before another trial.
    Waiting,
    /// Gas open with no flame and no safety to stop it (a plain burner that was blown out).
    OpenUnlit,
    /// Locked out: needs a person.
    LockedOut,
}

/// Readings of one appliance.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
pub struct ApplianceReadings {
    /// Gauge pressure at the appliance's inlet tap \[Pa\].
    pub inlet_pa: f64,
    /// Gas flow \[kg/s\].
    pub flow_kg_per_s: f64,
    /// Heat released by the flames \[W\].
    pub heat_w: f64,
    /// Gas valve opening, 0 to 1.
    pub valve_open: f64,
    /// Main flame.
    pub flame: Flame,
    /// Whether that flame has jumped up and down of late.
    pub surges: bool,
    /// Pilot alight (appliances that have one).
    pub pilot_lit: bool,
    /// Controls.
    pub phase: Phase,
    /// Temperature of what it heats or cools \[K\], NaN-free: `None` when it has no thermostat.
    pub temperature_k: Option<f64>,
}

/// Everything that can be read at one instant.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
pub struct Readings {
    /// Simulated time \[s\].
    pub time_s: f64,
    /// Ambient absolute pressure \[Pa\].
    pub ambient_pa: f64,
    /// Air temperature \[K\].
    pub air_k: f64,
    /// Sun on the spring case \[W/m²\].
    pub sun_w_per_m2: f64,
    /// Elevation \[m\].
    pub elevation_m: f64,
    /// Containers; only the first `container_count` are in use.
    pub containers: [ContainerReadings; MAX_CONTAINERS],
    /// How many containers the rig has.
    pub container_count: usize,
    /// Container now on service duty (twin sets).
    pub service_side: usize,
    /// Whether the reserve side of a changeover is feeding.
    pub reserve_feeding: bool,
    /// How much red the changeover's indicator shows, 0 to 1; 0 where there is none.
    pub indicator_red: f64,
    /// First stage.
    pub first: StageReadings,
    /// Second stage.
    pub second: StageReadings,
    /// Gauge pressure at the regulator's outlet tap \[Pa\].
    pub outlet_pa: f64,
    /// Gauge pressure in the manifold \[Pa\].
    pub manifold_pa: f64,
    /// Regulator body temperature \[K\].
    pub body_k: f64,
    /// Spring-case temperature \[K\].
    pub case_k: f64,
    /// Liquid standing in the first-stage body \[kg\].
    pub pool_kg: f64,
    /// Liquid on the low side, in second chamber and line \[kg\].
    pub low_pool_kg: f64,
    /// Oily residue left in the regulator \[kg\].
    pub residue_kg: f64,
    /// Whether a warm wet cloth lies on the regulator.
    pub cloth: bool,
    /// Appliances; only the first `appliance_count` are in use.
    pub appliances: [ApplianceReadings; MAX_APPLIANCES],
    /// How many appliances the rig has.
    pub appliance_count: usize,
    /// Rated input of every burner and pilot that is asked for \[W\].
    pub demand_w: f64,
    /// Gas flow to all burners \[kg/s\].
    pub burner_flow_kg_per_s: f64,
    /// Heat value of that flow \[W\].
    pub flow_w: f64,
    /// Gas burned since the start \[kg\].
    pub burned_kg: f64,
    /// Gas lost unburned since the start (vent, tear, relief, leaks, unlit burners) \[kg\].
    pub lost_kg: f64,
    /// Gas lost now \[kg/s\].
    pub loss_kg_per_s: f64,
    /// Of that, what the joints of the low side lose \[kg/s\].
    pub line_leak_kg_per_s: f64,
    /// Gas in containers, pigtails, chambers, pool and manifold \[kg\].
    pub stored_kg: f64,
    /// Mass balance error since the start over the mass drawn \[1\].
    pub balance_error: f64,
    /// Heat that containers, regulator and liquid have taken in since the start \[J\].
    pub taken_in_j: f64,
    /// Enthalpy that vapour has carried off them since the start, liquid at 0 °C counted as 0 \[J\].
    pub carried_off_j: f64,
    /// Heat balance error since the start over the heat that has passed \[1\].
    pub energy_error: f64,
}
