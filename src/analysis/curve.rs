//! Outlet against load at several container pressures, rising and falling; lock-up against
//! container pressure.

use super::picture::{Chart, Line};
use super::scale::{high, load, load_axis, low};
use super::steady::{Friction, OperatingPoint, Stand, Unsteady};
use crate::rig::{Rig, Site};
use crate::units::System;
use serde::Serialize;
use std::fmt::Write as _;

/// A load so small that the outlet stands at lock-up \[W\]: about 1 Btu/h.
const ALMOST_NOTHING_W: f64 = 0.3;

/// One point of a curve.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct CurvePoint {
    /// Load \[W\].
    pub load_w: f64,
    /// Outlet with the load rising \[Pa\].
    pub rising_pa: f64,
    /// Outlet with the load falling \[Pa\].
    pub falling_pa: f64,
    /// First stage with the load rising \[Pa\].
    pub first_stage_pa: f64,
}

/// The curves of one rig.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Curves {
    /// One line a container pressure: gauge pressure \[Pa\] and its points.
    pub lines: Vec<(f64, Vec<CurvePoint>)>,
}

/// Curves of outlet against load from almost nothing to `most_w` in `count` points, one at each
/// container gauge pressure \[Pa\]. `go_on` hears the share done and may stop, leaving what there is.
///
/// # Errors
/// [`Unsteady`] where a point could not be found.
pub fn flow_curves(
    rig: &Rig,
    site: &Site,
    container_pa: &[f64],
    most_w: f64,
    count: usize,
    go_on: &mut dyn FnMut(f64) -> bool,
) -> Result<Curves, Unsteady> {
    let mut lines = Vec::new();
    for (k, &pa) in container_pa.iter().enumerate() {
        if !go_on(k as f64 / container_pa.len() as f64) {
            break;
        }
        lines.push((pa, one_curve(rig, site, pa, &even_loads(most_w, count))?));
    }
    Ok(Curves { lines })
}

/// The same to be looked at: where a line of even loads bends, as where the seat comes free of its nozzle or a hose
/// starves it, loads stand closer, so that no corner is drawn that the rig has not.
///
/// # Errors
/// [`Unsteady`] where a point could not be found.
pub fn smooth_flow_curves(
    rig: &Rig,
    site: &Site,
    container_pa: &[f64],
    most_w: f64,
    count: usize,
    go_on: &mut dyn FnMut(f64) -> bool,
) -> Result<Curves, Unsteady> {
    let mut lines = Vec::new();
    let share = 1.0 / container_pa.len().max(1) as f64;
    for (k, &pa) in container_pa.iter().enumerate() {
        let mut loads = even_loads(most_w, count);
        let mut points = Vec::new();
        for round in 0..=ROUNDS {
            let done = (k as f64 + f64::from(round) / f64::from(ROUNDS + 1)) * share;
            if !go_on(done) {
                return Ok(Curves { lines });
            }
            points = one_curve(rig, site, pa, &loads)?;
            let between = between_bends(&loads, &points);
            if between.is_empty() {
                break;
            }
            if round < ROUNDS {
                loads.extend(between);
                loads.sort_by(f64::total_cmp);
            }
        }
        lines.push((pa, points));
    }
    Ok(Curves { lines })
}

/// How often loads are put in between: an interval is cut in up to 2 to this power.
const ROUNDS: u32 = 4;
/// Where a point lies off the straight line between its neighbours by no more than this, a picture shows no bend \[Pa\]:
/// a twentieth of an inch of water column.
const BEND_PA: f64 = 12.5;

/// Loads halfway into each interval beside a point where rising or falling line bends.
fn between_bends(loads: &[f64], points: &[CurvePoint]) -> Vec<f64> {
    let mut cut = vec![false; loads.len().saturating_sub(1)];
    for (k, w) in points.windows(3).enumerate() {
        let span = (loads[k + 2] - loads[k]).max(f64::MIN_POSITIVE);
        let share = (loads[k + 1] - loads[k]) / span;
        let off = |of: fn(&CurvePoint) -> f64| {
            let straight = of(&w[0]) + share * (of(&w[2]) - of(&w[0]));
            (of(&w[1]) - straight).abs()
        };
        if off(|p| p.rising_pa) > BEND_PA || off(|p| p.falling_pa) > BEND_PA {
            (cut[k], cut[k + 1]) = (true, true);
        }
    }
    let pairs = loads.windows(2).zip(cut).filter(|(_, cut)| *cut);
    pairs.map(|(w, _)| 0.5 * (w[0] + w[1])).collect()
}

fn even_loads(most_w: f64, count: usize) -> Vec<f64> {
    let share = |k: usize| k as f64 / (count.max(2) - 1) as f64;
    (0..count.max(2))
        .map(|k| (most_w * share(k)).max(ALMOST_NOTHING_W))
        .collect()
}

/// One line at `loads`, which rise \[W\].
fn one_curve(
    rig: &Rig,
    site: &Site,
    container_pa: f64,
    loads: &[f64],
) -> Result<Vec<CurvePoint>, Unsteady> {
    let mut stand = Stand::new(rig, site, container_pa).with_excess_flow(&rig.containers[0].supply);
    let areas: Vec<f64> = loads.iter().map(|w| stand.orifice_m2(*w)).collect();
    let mut rising: Vec<OperatingPoint> = Vec::new();
    for area in &areas {
        rising.push(stand.settle(*area, Friction::LoadRising)?);
    }
    let mut falling: Vec<OperatingPoint> = Vec::new();
    for area in areas.iter().rev() {
        falling.push(stand.settle(*area, Friction::LoadFalling)?);
    }
    falling.reverse();
    Ok(rising
        .iter()
        .zip(&falling)
        .map(|(up, down)| CurvePoint {
            load_w: up.load_w,
            rising_pa: up.readings.outlet_pa,
            falling_pa: down.readings.outlet_pa,
            first_stage_pa: up.readings.first.chamber_pa,
        })
        .collect())
}

impl Curves {
    /// As a table: container, load, outlet rising and falling, first stage.
    pub fn csv(&self, system: System) -> String {
        let (high, low, load) = (high(system), low(system), load(system));
        let mut out = format!(
            "container_{0},load_{1},outlet_rising_{2},outlet_falling_{2},first_stage_{0}\n",
            high.column, load.column, low.column
        );
        for (pa, points) in &self.lines {
            for p in points {
                let _ = writeln!(
                    out,
                    "{},{},{},{},{}",
                    high.cell(*pa, 1),
                    load.cell(p.load_w, 1),
                    low.cell(p.rising_pa, 4),
                    low.cell(p.falling_pa, 4),
                    high.cell(p.first_stage_pa, 4)
                );
            }
        }
        out
    }

    /// As a picture: solid rising, dashed falling.
    pub fn svg(&self, system: System) -> String {
        let (high, low, load) = (high(system), low(system), load_axis(system));
        let mut chart = Chart::new(
            "Outlet against load",
            &format!("load, {}", load.unit),
            &format!("outlet, {}", low.unit),
        );
        for (pa, points) in &self.lines {
            let at = |p: &CurvePoint, pa: f64| ((load.of)(p.load_w), (low.of)(pa));
            chart.lines.push(Line::solid(
                format!("{:.0} {}", (high.of)(*pa), high.unit),
                points.iter().map(|p| at(p, p.rising_pa)),
            ));
            chart
                .lines
                .push(Line::dashed(points.iter().map(|p| at(p, p.falling_pa))));
        }
        chart.svg()
    }
}

/// Lock-up against container pressure.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LockUpCurve {
    /// Container, first stage and outlet gauge pressure \[Pa\].
    pub points: Vec<[f64; 3]>,
}

/// Lock-up (the outlet at almost no load, come to by closing) at each container gauge pressure \[Pa\].
///
/// # Errors
/// [`Unsteady`] where a point could not be found.
pub fn lock_up_curve(
    rig: &Rig,
    site: &Site,
    container_pa: &[f64],
) -> Result<LockUpCurve, Unsteady> {
    let mut points = Vec::new();
    for &pa in container_pa {
        let mut stand = Stand::new(rig, site, pa);
        let orifice_m2 = stand.orifice_m2(ALMOST_NOTHING_W);
        let r = stand.settle(orifice_m2, Friction::LoadFalling)?.readings;
        points.push([pa, r.first.chamber_pa, r.outlet_pa]);
    }
    Ok(LockUpCurve { points })
}

impl LockUpCurve {
    /// As a table.
    pub fn csv(&self, system: System) -> String {
        let (high, low) = (high(system), low(system));
        let mut out = format!(
            "container_{0},first_stage_{0},lock_up_{1}\n",
            high.column, low.column
        );
        for [container, first, outlet] in &self.points {
            let _ = writeln!(
                out,
                "{},{},{}",
                high.cell(*container, 1),
                high.cell(*first, 3),
                low.cell(*outlet, 3)
            );
        }
        out
    }

    /// As a picture.
    pub fn svg(&self, system: System) -> String {
        let (high, low) = (high(system), low(system));
        let mut chart = Chart::new(
            "Lock-up",
            &format!("container, {}", high.unit),
            &format!("outlet, {}", low.unit),
        );
        chart.lines.push(Line::solid(
            String::new(),
            self.points
                .iter()
                .map(|[c, _, o]| ((high.of)(*c), (low.of)(*o))),
        ));
        chart.svg()
    }
}
