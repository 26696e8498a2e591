//! Stability: damping and frequency of the rig's modes over load and container pressure.
//!
//! The rig without its friction is linearised at its steady point and the eigenvalues are taken.
//! Dry friction only helps: it stops a small growing swing, so a negative damping here means that
//! the regulator hums or hunts once something has set it going. Each point is worked out once more without each
//! mechanism ([`Mechanism`]): the one without which least damping is left carries it.

use super::mechanism::Mechanism;
use super::scale::{high, load, load_axis, low};
use super::steady::{Friction, Stand, Unsteady};
use crate::rig::{Rig, RigState, Site};
use crate::sim::RigSystem;
use crate::solver::{System, jacobian, modes};
use crate::units;
use serde::Serialize;
use std::f64::consts::TAU;
use std::fmt::Write as _;

/// Slower swings than this are the container's and the thermostats', not the regulator's \[Hz\].
const SLOWEST_HZ: f64 = 0.5;
/// How many mechanisms there are.
const MECHANISMS: usize = Mechanism::ALL.len();

/// One load and one container pressure.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct StabilityPoint {
    /// Container gauge pressure \[Pa\].
    pub container_pa: f64,
    /// Load \[W\].
    pub load_w: f64,
    /// Outlet \[Pa\].
    pub outlet_pa: f64,
    /// Smallest damping ratio of all swings; negative grows. 1 where nothing swings.
    pub damping: f64,
    /// Frequency of that swing \[Hz\].
    pub frequency_hz: f64,
    /// Growth \[1/s\] of the fastest growing mode, swinging or not.
    pub growth_per_s: f64,
}

impl StabilityPoint {
    /// Whether it hunts or hums once set going.
    pub fn hunts(&self) -> bool {
        self.damping < 0.0
    }
}

/// The map.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StabilityMap {
    /// Points, loads within pressures.
    pub points: Vec<StabilityPoint>,
    /// At each point the smallest damping ratio without each mechanism, in the order of [`Mechanism::ALL`].
    pub without: Vec<[f64; MECHANISMS]>,
}

fn without_friction(rig: &Rig) -> Rig {
    let mut rig = rig.clone();
    for stage in [&mut rig.first, &mut rig.second] {
        stage.friction_n = 0.0;
        stage.ice_bond_n_per_m = 0.0;
    }
    rig
}

/// Damping and frequency of the worst swing on a stand loaded by an orifice \[m²\].
///
/// # Errors
/// [`Unsteady`] where there is no steady point.
pub fn hunting(stand: &mut Stand, orifice_m2: f64) -> Result<StabilityPoint, Unsteady> {
    let point = stand.settle(orifice_m2, Friction::None)?;
    let system = RigSystem::new(&stand.rig, &stand.modes);
    let mut y = vec![0.0; RigState::dim(&stand.rig)];
    point.state.write_to(&stand.rig, &mut y);
    debug_assert_eq!(system.dim(), y.len());
    let (mut damping, mut frequency_hz, mut growth_per_s) = (1.0, 0.0, f64::NEG_INFINITY);
    for mode in modes(&jacobian(&system, 0.0, &y)) {
        let hz = mode.im.abs() / TAU;
        growth_per_s = mode.re.max(growth_per_s);
        let ratio = -mode.re / mode.re.hypot(mode.im);
        if hz > SLOWEST_HZ && ratio < damping {
            (damping, frequency_hz) = (ratio, hz);
        }
    }
    Ok(StabilityPoint {
        container_pa: stand.container_pa(),
        load_w: point.load_w,
        outlet_pa: point.readings.outlet_pa,
        damping,
        frequency_hz,
        growth_per_s,
    })
}

/// The map over container gauge pressures \[Pa\] and loads \[W\]. `go_on` hears the share done and
/// may stop, leaving what there is.
///
/// # Errors
/// [`Unsteady`] where there is no steady point.
pub fn stability_map(
    rig: &Rig,
    site: &Site,
    container_pa: &[f64],
    loads_w: &[f64],
    go_on: &mut dyn FnMut(f64) -> bool,
) -> Result<StabilityMap, Unsteady> {
    let free = without_friction(rig);
    let (mut points, mut without) = (Vec::new(), Vec::new());
    for (k, &pa) in container_pa.iter().enumerate() {
        if !go_on(k as f64 / container_pa.len() as f64) {
            break;
        }
        let mut stand = Stand::new(&free, site, pa);
        for &load_w in loads_w {
            let orifice_m2 = stand.orifice_m2(load_w);
            points.push(hunting(&mut stand, orifice_m2)?);
            let mut damping = [1.0; MECHANISMS];
            for (out, mechanism) in damping.iter_mut().zip(Mechanism::ALL) {
                // What damps does nothing at rest: all but one of these stand settled where they are put.
                *out = hunting(&mut stand.without(mechanism), orifice_m2)?.damping;
            }
            without.push(damping);
        }
    }
    Ok(StabilityMap { points, without })
}

impl StabilityMap {
    /// What carries the worst swing of point `k`: without it less damping is left than without any other.
    pub fn carrier(&self, k: usize) -> Option<Mechanism> {
        let ratios = self.without.get(k)?;
        let each = Mechanism::ALL.into_iter().zip(ratios);
        each.min_by(|a, b| a.1.total_cmp(b.1)).map(|(m, _)| m)
    }

    /// As a table; last what carries the damping and what is left of it without each mechanism.
    pub fn csv(&self, system: units::System) -> String {
        let (high, low, load) = (high(system), low(system), load(system));
        let mut out = format!(
            "container_{},load_{},outlet_{},damping_ratio,frequency_hz,hunts,carried_by",
            high.column, load.column, low.column
        );
        for m in Mechanism::ALL {
            let _ = write!(out, ",without_{}", m.word());
        }
        out.push('\n');
        for (k, p) in self.points.iter().enumerate() {
            let _ = write!(
                out,
                "{},{},{},{:.4},{:.2},{},{}",
                high.cell(p.container_pa, 1),
                load.cell(p.load_w, 0),
                low.cell(p.outlet_pa, 3),
                p.damping,
                p.frequency_hz,
                p.hunts(),
                self.carrier(k).map_or("", Mechanism::word)
            );
            for ratio in self.without.get(k).into_iter().flatten() {
                let _ = write!(out, ",{ratio:.4}");
            }
            out.push('\n');
        }
        out
    }

    /// As a picture: loads across, container pressures up, darker the less it is damped.
    pub fn svg(&self, system: units::System) -> String {
        let (high, load) = (high(system), load_axis(system));
        super::picture::map(
            "Damping ratio of the worst swing",
            &format!("load, {}", load.unit),
            &format!("container, {}", high.unit),
            &self
                .points
                .iter()
                .enumerate()
                .map(|(k, p)| {
                    let by = self.carrier(k).map_or("", Mechanism::label);
                    (
                        (load.of)(p.load_w),
                        (high.of)(p.container_pa),
                        p.damping,
                        format!("{:.2}\n{:.0} Hz\n{by}", p.damping, p.frequency_hz),
                    )
                })
                .collect::<Vec<_>>(),
        )
    }
}
