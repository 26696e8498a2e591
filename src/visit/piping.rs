//! The test of new piping: air at 10 psi in the piping alone, regulator and appliances taken off.
//!
//! A rig of its own, one state: the air in the piping. Isothermal at the air's temperature of the
//! moment, so weather shows in the gauge as it does in the field.

use super::bench::VisitError;
use crate::physics::AIR_GAS_CONSTANT;
use crate::physics::flow::{self, Upstream};
use crate::rig::{Rig, Site};
use crate::sim::SimError;
use crate::solver::{Engine, System};

/// Air in closed piping with a leak.
struct Closed<'a> {
    rig: &'a Rig,
    site: &'a Site,
}

impl Closed<'_> {
    fn pressure_pa(&self, t_s: f64, air_kg: f64) -> f64 {
        air_kg * AIR_GAS_CONSTANT * self.site.air_k.at(t_s) / self.rig.piping.manifold_m3
    }
}

impl System for Closed<'_> {
    fn dim(&self) -> usize {
        1
    }

    fn derivatives(&self, t: f64, y: &[f64], dy: &mut [f64]) {
        let up = Upstream {
            pressure_pa: self.pressure_pa(t, y[0]),
            temperature_k: self.site.air_k.at(t),
            gas_constant: AIR_GAS_CONSTANT,
            z: 1.0,
            gamma: 1.4,
        };
        let leak = self.rig.piping.leak_m2;
        // Laminar near zero difference, as the seats are.
        dy[0] = -flow::nozzle_kg_per_s(leak, 0.7, &up, self.site.ambient_pa(t), 7e-4 * leak.sqrt());
    }

    fn scales(&self) -> &[f64] {
        &[1e-3]
    }

    fn state_name(&self, _: usize) -> String {
        "air in the piping".to_owned()
    }
}

/// Gauge pressure \[Pa\] at each of the sorted times \[s\] after charging to `start_pa` at `t0_s`.
pub(super) fn record(
    rig: &Rig,
    site: &Site,
    t0_s: f64,
    start_pa: f64,
    times_s: &[f64],
) -> Result<Vec<(f64, f64)>, VisitError> {
    let system = Closed { rig, site };
    let absolute = start_pa + site.ambient_pa(t0_s);
    let mut y = [absolute * rig.piping.manifold_m3 / (AIR_GAS_CONSTANT * site.air_k.at(t0_s))];
    let mut out = vec![(t0_s, start_pa)];
    let mut engine = Engine::default();
    let mut from = t0_s;
    for &at in times_s {
        engine
            .advance(&system, from, at, &mut y, &[], &mut |_, _| {})
            .map_err(SimError::from)?;
        out.push((at, system.pressure_pa(at, y[0]) - site.ambient_pa(at)));
        from = at;
    }
    Ok(out)
}
