//! How long a container can feed a draw, against cold and fill.
//!
//! The container alone, with the rig's own law of heat, boiling and composition: the draw is held
//! until the vapour pressure is too low for the first stage to hold its outlet.

use super::picture::{Chart, Line};
use super::scale::{air, load, mass};
use crate::physics::fuel::{SPECIES, Vapour};
use crate::rig::{Container, ContainerState, Fuel};
use crate::sim::SimError;
use crate::solver::{Direction, Engine, Method, Stop, System as Solved, Tolerance};
use crate::units::{System, psi_to_pa};
use serde::Serialize;
use std::fmt::Write as _;

/// Container gauge pressure under which a first stage set for 10 psig loses its outlet \[Pa\]
/// (practice: 13 to 15 psig).
pub fn lost_pa() -> f64 {
    psi_to_pa(14.0)
}

/// Longest time looked at \[s\].
const LONGEST_S: f64 = 7.0 * 86_400.0;

/// One container with a draw.
struct Drawn<'a> {
    container: &'a Container,
    air_k: f64,
    wall_factor: f64,
    draw_w: f64,
    ambient_pa: f64,
    scales: [f64; SPECIES + 1],
}

impl Drawn<'_> {
    fn state(y: &[f64]) -> ContainerState {
        let mut moles = [0.0; SPECIES];
        moles.copy_from_slice(&y[..SPECIES]);
        ContainerState {
            moles,
            temperature_k: y[SPECIES],
            pigtail_kg: 0.0,
        }
    }
}

impl Solved for Drawn<'_> {
    fn dim(&self) -> usize {
        SPECIES + 1
    }

    fn derivatives(&self, _: f64, y: &[f64], dy: &mut [f64]) {
        let state = Self::state(y);
        let flash = self.container.flash(&state);
        let gas = Vapour::from_fractions(&flash.vapour_fractions);
        let flow = self.draw_w / gas.heating_value_j_per_kg;
        let air_k = self.air_k;
        let heat_w = self
            .container
            .heat_w(&flash, self.wall_factor, air_k, state.temperature_k);
        let rates = self.container.drawn(&flash, flow, 0.0, heat_w);
        dy[..SPECIES].copy_from_slice(&rates.moles);
        dy[SPECIES] = rates.temperature_k;
    }

    fn scales(&self) -> &[f64] {
        &self.scales
    }

    fn watch_count(&self) -> usize {
        1
    }

    fn watches(&self, _: f64, y: &[f64], out: &mut [f64]) {
        let flash = self.container.flash(&Self::state(y));
        out[0] = (flash.pressure_pa - self.ambient_pa) / lost_pa() - 1.0;
    }

    fn watch_direction(&self, _: usize) -> Direction {
        Direction::Falling
    }

    fn state_name(&self, _: usize) -> String {
        "container".to_owned()
    }
}

/// One cold and one fill.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct EndurancePoint {
    /// Air and container at the start \[K\].
    pub air_k: f64,
    /// Share of the volume filled.
    pub fill: f64,
    /// How long the draw is held \[s\]; `None` when it is still held after a week or empty first.
    pub held_s: Option<f64>,
    /// Fuel left when it was lost \[kg\].
    pub left_kg: f64,
}

/// Endurance over cold and fill.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Endurance {
    /// Draw \[W\].
    pub draw_w: f64,
    /// Points, fills within temperatures.
    pub points: Vec<EndurancePoint>,
}

/// How long a container feeds `draw_w` in air of each temperature \[K\] from each fill.
///
/// # Errors
/// [`SimError`] if a run fails.
pub fn endurance(
    container: &Container,
    fuel: &Fuel,
    draw_w: f64,
    air_k: &[f64],
    fills: &[f64],
) -> Result<Endurance, SimError> {
    let mut points = Vec::new();
    for &air_k in air_k {
        for &fill in fills {
            points.push(one(container, fuel, draw_w, air_k, fill)?);
        }
    }
    Ok(Endurance { draw_w, points })
}

fn one(
    container: &Container,
    fuel: &Fuel,
    draw_w: f64,
    air_k: f64,
    fill: f64,
) -> Result<EndurancePoint, SimError> {
    let start = container.filled(fill, &fuel.fractions, air_k, 0.0);
    let mut scales = [1.0; SPECIES + 1];
    scales[SPECIES] = 300.0;
    let system = Drawn {
        container,
        air_k,
        wall_factor: 1.0,
        draw_w,
        ambient_pa: 101_325.0,
        scales,
    };
    let mut y = [0.0; SPECIES + 1];
    y[..SPECIES].copy_from_slice(&start.moles);
    y[SPECIES] = air_k;
    let kg = crate::physics::fuel::mass_kg(&start.moles);
    // The fuel there is sets the longest time; the last per mille is not waited for.
    let gas = Vapour::from_fractions(&fuel.fractions);
    let empty_s = 0.999 * kg * gas.heating_value_j_per_kg / draw_w;
    let held = (container.flash(&start).pressure_pa - system.ambient_pa) > lost_pa();
    let held_s = if held {
        let mut engine = Engine::new(Method::Stiff, Tolerance::default());
        let until = empty_s.min(LONGEST_S);
        match engine.advance(&system, 0.0, until, &mut y, &[], &mut |_, _| {})? {
            Stop::Event { time_s, .. } => Some(time_s),
            Stop::Reached => None,
        }
    } else {
        Some(0.0)
    };
    let left_kg = crate::physics::fuel::mass_kg(&Drawn::state(&y).moles);
    Ok(EndurancePoint {
        air_k,
        fill,
        held_s,
        left_kg,
    })
}

impl Endurance {
    /// As a table.
    pub fn csv(&self, system: System) -> String {
        let (load, air, mass) = (load(system), air(system), mass(system));
        let mut out = format!(
            "draw_{},air_{},fill,held_h,left_{}\n",
            load.column, air.column, mass.column
        );
        for p in &self.points {
            let held = p
                .held_s
                .map_or_else(String::new, |s| format!("{:.3}", s / 3600.0));
            let _ = writeln!(
                out,
                "{},{},{:.3},{held},{}",
                load.cell(self.draw_w, 0),
                air.cell(p.air_k, 1),
                p.fill,
                mass.cell(p.left_kg, 3)
            );
        }
        out
    }

    /// As a picture, one line a temperature.
    pub fn svg(&self, system: System) -> String {
        let (load, warm) = (load(system), air(system));
        let title = format!("Hours at {} {}", load.cell(self.draw_w, 0), load.unit);
        let mut chart = Chart::new(&title, "fill, %", "hours");
        let mut air: Vec<f64> = self.points.iter().map(|p| p.air_k).collect();
        air.dedup();
        for t in air {
            let held = |p: &&EndurancePoint| p.air_k == t && p.held_s.is_some();
            chart.lines.push(Line::solid(
                format!("{:.0} {}", (warm.of)(t), warm.unit),
                self.points
                    .iter()
                    .filter(held)
                    .map(|p| (100.0 * p.fill, p.held_s.unwrap_or(0.0) / 3600.0)),
            ));
        }
        chart.svg()
    }
}
