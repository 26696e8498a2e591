//! Relief capacity: how high the outlet goes when the second seat is gone and nothing burns.
//!
//! The trade's requirement: at or under 2 psig (code: UL 144-2021 6.9, type II).

use super::picture::{Chart, Line};
use super::scale::{discharge, high};
use super::steady::{Friction, Stand, Unsteady};
use crate::rig::{Rig, Site};
use crate::units::{System, psi_to_pa};
use serde::Serialize;
use std::fmt::Write as _;

/// Outlet that must not be passed \[Pa\].
pub fn limit_pa() -> f64 {
    psi_to_pa(2.0)
}

/// One container pressure.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ReliefPoint {
    /// Container gauge pressure \[Pa\].
    pub container_pa: f64,
    /// Outlet with the seat gone \[Pa\].
    pub outlet_pa: f64,
    /// Spring-case pressure the vent leaves \[Pa\].
    pub case_pa: f64,
    /// Discharge \[kg/s\].
    pub flow_kg_per_s: f64,
}

/// The relief over the container pressures.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReliefCapacity {
    /// Points.
    pub points: Vec<ReliefPoint>,
    /// Whether all are at or under 2 psig.
    pub holds: bool,
}

/// Relief capacity at each container gauge pressure \[Pa\].
///
/// # Errors
/// [`Unsteady`] where a point could not be found.
pub fn relief_capacity(
    rig: &Rig,
    site: &Site,
    container_pa: &[f64],
) -> Result<ReliefCapacity, Unsteady> {
    let mut broken = rig.clone();
    broken.second.linked = false;
    let mut points = Vec::new();
    for &pa in container_pa {
        let r = Stand::new(&broken, site, pa)
            .settle(1e-9, Friction::None)?
            .readings;
        points.push(ReliefPoint {
            container_pa: pa,
            outlet_pa: r.outlet_pa,
            case_pa: r.second.case_pa,
            flow_kg_per_s: r.second.relief_kg_per_s,
        });
    }
    let holds = points.iter().all(|p| p.outlet_pa <= limit_pa());
    Ok(ReliefCapacity { points, holds })
}

impl ReliefCapacity {
    /// As a table.
    pub fn csv(&self, system: System) -> String {
        let (high, flow) = (high(system), discharge(system));
        let mut out = format!(
            "container_{0},outlet_{0},case_{0},discharge_{1}\n",
            high.column, flow.column
        );
        for p in &self.points {
            let _ = writeln!(
                out,
                "{},{},{},{}",
                high.cell(p.container_pa, 1),
                high.cell(p.outlet_pa, 4),
                high.cell(p.case_pa, 4),
                flow.cell(p.flow_kg_per_s, 3)
            );
        }
        out
    }

    /// As a picture, with the limit.
    pub fn svg(&self, system: System) -> String {
        let high = high(system);
        let mut chart = Chart::new(
            "Outlet with the second seat gone",
            &format!("container, {}", high.unit),
            &format!("outlet, {}", high.unit),
        );
        let ends = [self.points.first(), self.points.last()];
        chart.lines.push(Line::solid(
            "seat gone".to_owned(),
            self.points
                .iter()
                .map(|p| ((high.of)(p.container_pa), (high.of)(p.outlet_pa))),
        ));
        chart.lines.push(Line::dashed(
            ends.into_iter()
                .flatten()
                .map(|p| ((high.of)(p.container_pa), (high.of)(limit_pa()))),
        ));
        chart.svg()
    }
}
