//! A whole rig for a test: container, regulator and a few burners, started and run by the hour.
//!
//! Here: how a scenario is put together in code and read in trade units. Not here: any check.

#![allow(dead_code)] // each test binary uses its part

use std::sync::Arc;

use twostage::fault::Fault;
use twostage::rig::{Container, Kind, Readings, Rig, RigState, Site, presets};
use twostage::scenario::{Action, Run, Scenario, SiteValue};
use twostage::sim::{RigSystem, Simulation, usual_tolerance};
use twostage::solver::{Method, System, jacobian, modes};

/// Pascal in an inch of water column (conventional, 4 °C).
pub const INWC_PA: f64 = 249.0889;
/// Pascal in one psi.
pub const PSI_PA: f64 = 6_894.757_293;
/// Watt in one Btu/h.
pub const BTU_PER_H_W: f64 = 0.293_071_07;

/// The burners of a test rig: half of the load, then the other half.
pub const HALF: [Kind; 2] = [Kind::OnDemandHeater, Kind::Cooktop];
/// See [`HALF`].
pub const REST: [Kind; 2] = [Kind::OnDemandHeater, Kind::Grill];

/// Kelvin of a Fahrenheit temperature.
pub fn kelvin(fahrenheit: f64) -> f64 {
    (fahrenheit - 32.0) / 1.8 + 273.15
}

/// The standard rig on one container, with these burners.
pub fn rig(container: &str, kinds: &[Kind]) -> Rig {
    let container = presets::container(container).expect("a preset");
    let burners = kinds.iter().map(|&kind| presets::appliance(kind)).collect();
    Rig::standard(vec![container], burners)
}

/// 102,000 Btu/h in four burners: 49,000 in the first two, 53,000 in the last two.
pub fn loaded_rig(container: &str) -> Rig {
    rig(container, &[HALF, REST].concat())
}

/// Liquid temperature at which a container stands at a gauge pressure at sea level \[K\].
pub fn liquid_k(container: &Container, fuel: &[f64; 5], fill: f64, gauge_pa: f64) -> f64 {
    let (mut low, mut high) = (200.0, 350.0);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        let state = container.filled(fill, fuel, middle, 0.0);
        if container.flash(&state).pressure_pa - 101_325.0 < gauge_pa {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

/// A rig in motion.
pub struct House {
    /// The run.
    pub sim: Simulation,
}

impl House {
    /// Starts a rig with everything off and the container open: 80 % full, at a gauge pressure
    /// \[psi\], in calm shade at an air temperature \[K\] at sea level.
    pub fn start(rig: Rig, container_psig: f64, air_k: f64) -> Self {
        Self::start_with(rig, container_psig, air_k, Method::Stiff)
    }

    /// As [`House::start`], with an engine of choice.
    pub fn start_with(rig: Rig, container_psig: f64, air_k: f64, method: Method) -> Self {
        let fill = 0.8;
        let fuel = rig.fuel.fractions;
        let cold_k = liquid_k(&rig.containers[0], &fuel, fill, container_psig * PSI_PA);
        let site = Site::calm(air_k, 0.0);
        let scenario = Scenario {
            run: Run {
                duration_s: 1e6,
                sample_s: 1.0,
                settle_s: 120.0,
            },
            ..Scenario::at_rest("A test", rig, site, fill, cold_k)
        };
        let sim = Simulation::start(Arc::new(scenario), method, usual_tolerance(method))
            .expect("a healthy rig comes to rest");
        Self { sim }
    }

    /// Lets time pass \[s\].
    pub fn wait(&mut self, seconds: f64) -> &mut Self {
        let until = self.sim.time_s() + seconds;
        self.sim
            .advance(until, None, &mut |_| {})
            .unwrap_or_else(|e| panic!("the run goes on: {e}"));
        self
    }

    /// Lets time pass \[s\] and gives the outlet \[in w.c.\] every `every_s`.
    pub fn watch(&mut self, seconds: f64, every_s: f64) -> Vec<f64> {
        let until = self.sim.time_s() + seconds;
        let mut seen = Vec::new();
        self.sim
            .advance(until, Some(every_s), &mut |r| {
                seen.push(r.outlet_pa / INWC_PA);
            })
            .unwrap_or_else(|e| panic!("the run goes on: {e}"));
        seen
    }

    /// Switches burners.
    pub fn switch(&mut self, burners: impl IntoIterator<Item = usize>, on: bool) -> &mut Self {
        for appliance in burners {
            self.sim.act(&Action::Switch { appliance, on });
        }
        self
    }

    /// All burners off.
    pub fn all_off(&mut self) -> &mut Self {
        let count = self.sim.rig().appliances.len();
        self.switch(0..count, false)
    }

    /// Puts a fault of the catalogue in, at once.
    pub fn inject(&mut self, fault: &str, severity: f64) -> &mut Self {
        let fault = Fault::named(fault).expect("a fault of the catalogue");
        self.sim.act(&Action::Inject {
            fault,
            severity,
            over_s: 0.0,
        });
        self
    }

    /// Takes a fault out.
    pub fn clear(&mut self, fault: &str) -> &mut Self {
        let fault = Fault::named(fault).expect("a fault of the catalogue");
        self.sim.act(&Action::Clear { fault });
        self
    }

    /// Sends a site value to another level within a time.
    pub fn site(&mut self, value: SiteValue, to: f64, over_s: f64) -> &mut Self {
        self.sim.act(&Action::Site { value, to, over_s });
        self
    }

    /// Gauges and the rest.
    pub fn read(&self) -> Readings {
        self.sim.readings()
    }

    /// Outlet, gauge \[in w.c.\].
    pub fn outlet(&self) -> f64 {
        self.read().outlet_pa / INWC_PA
    }

    /// Interstage, gauge \[psi\].
    pub fn interstage(&self) -> f64 {
        self.read().first.chamber_pa / PSI_PA
    }

    /// Container, gauge \[psi\].
    pub fn container(&self) -> f64 {
        self.read().containers[0].pressure_pa / PSI_PA
    }

    /// Heat of the gas flow \[Btu/h\].
    pub fn flow(&self) -> f64 {
        self.read().flow_w / BTU_PER_H_W
    }

    /// The state.
    pub fn state(&self) -> &RigState {
        &self.sim.moment().state
    }

    /// The oscillating or growing modes of the rig at this moment without its friction, which only
    /// ever takes energy out: (growth 1/s, frequency Hz).
    pub fn modes_without_friction(&self) -> Vec<(f64, f64)> {
        let mut rig = (**self.sim.rig()).clone();
        rig.first.friction_n = 0.0;
        rig.second.friction_n = 0.0;
        let moment = self.sim.moment();
        let system = RigSystem::new(&rig, &moment.modes);
        let mut y = vec![0.0; system.dim()];
        self.state().write_to(&rig, &mut y);
        modes(&jacobian(&system, self.sim.time_s(), &y))
            .iter()
            .map(|e| (e.re, e.im / std::f64::consts::TAU))
            .collect()
    }
}
