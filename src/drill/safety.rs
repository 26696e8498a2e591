//! Acts that could hurt somebody on a real rig, noticed as they are done, each with its reason.
//! The rules look at the act, at the rig before and after it, and at what the trainee has read.
//!
//! Common practice (no source) unless a limit names its own; local codes and the licensed
//! technician decide.

use super::act::{Act, Left};
use super::file::Forbidden;
use crate::rig::{Phase, Readings};
use crate::service::LIMITS;
use crate::sim::Simulation;
use crate::units::pa_to_inwc;
use serde::{Deserialize, Serialize};

/// Something unsafe that was done.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Unsafe {
    /// Short name of the rule, stable.
    pub rule: String,
    /// What was done and why it is unsafe.
    pub why: String,
}

fn noticed(rule: &str, why: impl Into<String>) -> Unsafe {
    Unsafe {
        rule: rule.to_owned(),
        why: why.into(),
    }
}

/// The rig as it stood before an act.
#[derive(Debug, Clone)]
pub struct Before {
    flame: Option<String>,
    supply_open: bool,
    readings: Readings,
    open_unlit: bool,
}

/// Gas escaping that is smelt or heard at once \[kg/s\] (practice: over 0.05 g/s the nose tells).
const SMELT_KG_PER_S: f64 = 5e-5;

impl Before {
    /// Looks at the rig.
    pub fn look(sim: &Simulation) -> Self {
        let readings = sim.readings();
        let modes = &sim.moment().modes;
        let lit = |m: &&(usize, bool)| m.1;
        let flames: Vec<(usize, bool)> = modes
            .appliances
            .iter()
            .take(sim.rig().appliances.len())
            .enumerate()
            .map(|(i, m)| (i, m.lit || m.pilot_lit))
            .collect();
        Self {
            flame: flames
                .iter()
                .find(lit)
                .map(|(i, _)| sim.rig().appliances[*i].name.clone()),
            supply_open: modes.supply_open(sim.time_s()),
            open_unlit: open_unlit(&readings),
            readings,
        }
    }
}

fn open_unlit(r: &Readings) -> bool {
    r.appliances[..r.appliance_count]
        .iter()
        .any(|a| a.phase == Phase::OpenUnlit && a.flow_kg_per_s > 1e-6)
}

/// What the trainee knows from what was read so far.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Known {
    /// Whether the outlet was read since burners or screws were last touched.
    pub outlet_read: bool,
    /// Whether escaping gas was seen or heard and not put right.
    pub gas_seen: bool,
}

/// Rules for an act; `before` is the rig ahead of it, `sim` after it.
pub fn notice(
    act: &Act,
    before: &Before,
    sim: &Simulation,
    known: &Known,
    must_not: &[Forbidden],
) -> Vec<Unsafe> {
    let mut out = Vec::new();
    let after = sim.readings();
    match act {
        Act::Open { slowly: false, .. } => out.push(noticed(
            "opened fast",
            "A container valve is opened slowly: fast, the excess-flow valve trips and the regulator takes the blow",
        )),
        Act::Flush => flush(before, &mut out),
        Act::Screw(..) => screw(before, &after, *known, &mut out),
        Act::NewHose | Act::NewRegulator => parts(before, &mut out),
        Act::Light(_) | Act::Reset(_) => light(before, *known, &mut out),
        Act::Answer(answer) if answer.left == Left::InUse => leave(sim, &after, &mut out),
        _ => {}
    }
    if open_unlit(&after) && !before.open_unlit {
        out.push(noticed(
            "gas at an unlit burner",
            "Gas flows out of a burner that does not burn: it gathers until something lights it",
        ));
    }
    if let Some(tool) = act.tool()
        && let Some(f) = must_not.iter().find(|f| f.tool == tool)
    {
        out.push(noticed("forbidden in this drill", f.because.clone()));
    }
    out
}

fn flush(before: &Before, out: &mut Vec<Unsafe>) {
    if let Some(name) = &before.flame {
        out.push(noticed(
            "flushed beside a flame",
            format!("Gas was let out of the test tap while {name} burned"),
        ));
    }
}

fn screw(before: &Before, after: &Readings, known: Known, out: &mut Vec<Unsafe>) {
    if !known.outlet_read {
        out.push(noticed(
            "screw without a gauge",
            "The screw was turned without a reading of the outlet: it is set by a gauge, never by the flame",
        ));
    }
    let high = LIMITS.lock_up_caution.high;
    if after.outlet_pa > high && after.outlet_pa > before.readings.outlet_pa {
        out.push(noticed(
            "set over the limit",
            format!(
                "The screw brought the outlet to {:.1} in w.c.; never above 14 into a vehicle's piping",
                pa_to_inwc(after.outlet_pa)
            ),
        ));
    }
}

fn parts(before: &Before, out: &mut Vec<Unsafe>) {
    if before.supply_open {
        out.push(noticed(
            "opened under pressure",
            "A hose or a regulator was taken off with the container valve open",
        ));
    }
    if let Some(name) = &before.flame {
        out.push(noticed(
            "opened beside a flame",
            format!("The gas way was opened while {name} burned"),
        ));
    }
}

fn light(before: &Before, known: Known, out: &mut Vec<Unsafe>) {
    if before.open_unlit {
        out.push(noticed(
            "lit where gas had gathered",
            "A burner stood open without a flame, and something was lit: air first",
        ));
    } else if known.gas_seen && before.supply_open && before.readings.loss_kg_per_s > SMELT_KG_PER_S
    {
        out.push(noticed(
            "lit while gas escaped",
            "Escaping gas had been found and was still escaping when a burner was lit",
        ));
    }
}

/// Leaving a rig in use.
fn leave(sim: &Simulation, after: &Readings, out: &mut Vec<Unsafe>) {
    let modes = &sim.moment().modes;
    let open = modes.supply_open(sim.time_s());
    if !open {
        return;
    }
    if after.loss_kg_per_s > SMELT_KG_PER_S {
        out.push(noticed(
            "left leaking",
            "Gas escapes, and the rig was left in use",
        ));
    }
    if after.outlet_pa > LIMITS.lock_up_caution.high {
        out.push(noticed(
            "left over the limit",
            format!(
                "The outlet stands at {:.1} in w.c., and the rig was left in use; never above 14",
                pa_to_inwc(after.outlet_pa)
            ),
        ));
    }
    if !sim.moment().faults.is_empty() {
        out.push(noticed(
            "left in use with the fault in it",
            "What is wrong is still in the rig: shut the container and leave it to a qualified technician",
        ));
    }
}
