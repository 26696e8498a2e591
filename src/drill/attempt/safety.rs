//! Acts that could hurt somebody on a real rig, noticed as they are done, each with its reason.
//! The rules look at the act, at the rig before and after it, and at what the trainee has read.
//!
//! Common practice (no source) unless a limit names its own; local codes and the licensed
//! technician decide.

use super::act::{Act, Left};
use crate::drill::making::file::Forbidden;
use crate::rig::{Phase, Readings};
use crate::service::LIMITS;
use crate::sim::Simulation;
use crate::visit::{self, Deed};
use serde::{Deserialize, Serialize};

/// Something unsafe that was done.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Unsafe {
    /// A container valve opened fast.
    OpenedFast,
    /// A burst of flow while this appliance burned.
    FlushedBesideFlame(usize),
    /// A screw turned before the outlet was read.
    ScrewWithoutGauge,
    /// A screw that brought the outlet over the limit, to \[Pa\].
    SetOverTheLimit(f64),
    /// A part taken off with the container open.
    OpenedUnderPressure,
    /// A part taken off while this appliance burned.
    OpenedBesideFlame(usize),
    /// Lit where gas had gathered.
    LitWhereGasHadGathered,
    /// Lit while gas that had been found escaped.
    LitWhileGasEscaped,
    /// Gas flows at a burner that does not burn.
    GasAtUnlitBurner,
    /// Left in use while gas escapes.
    LeftLeaking,
    /// Left in use with the outlet over the limit, at \[Pa\].
    LeftOverTheLimit(f64),
    /// Left in use with what is wrong.
    LeftWithTheFault,
    /// What the drill forbids, and why.
    Forbidden(String),
}

impl Unsafe {
    /// Short name of the rule, stable.
    pub fn rule(&self) -> &'static str {
        match self {
            Self::OpenedFast => "opened fast",
            Self::FlushedBesideFlame(_) => "flushed beside a flame",
            Self::ScrewWithoutGauge => "screw without a gauge",
            Self::SetOverTheLimit(_) => "set over the limit",
            Self::OpenedUnderPressure => "opened under pressure",
            Self::OpenedBesideFlame(_) => "opened beside a flame",
            Self::LitWhereGasHadGathered => "lit where gas had gathered",
            Self::LitWhileGasEscaped => "lit while gas escaped",
            Self::GasAtUnlitBurner => "gas at an unlit burner",
            Self::LeftLeaking => "left leaking",
            Self::LeftOverTheLimit(_) => "left over the limit",
            Self::LeftWithTheFault => "left in use with the fault in it",
            Self::Forbidden(_) => "forbidden in this drill",
        }
    }
}

/// The rig as it stood before an act.
#[derive(Debug, Clone)]
pub struct Before {
    flame: Option<usize>,
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
        let appliances = modes.appliances.iter().take(sim.rig().appliances.len());
        Self {
            flame: appliances.clone().position(|m| m.lit || m.pilot_lit),
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
        Act::Do(visit::Act::Do(deed)) => match deed {
            Deed::OpenValve { slowly: false, .. } => out.push(Unsafe::OpenedFast),
            Deed::Flush => flush(before, &mut out),
            Deed::TurnScrew { .. } => screw(before, &after, *known, &mut out),
            Deed::SwapHose | Deed::SwapRegulator => parts(before, &mut out),
            _ => {}
        },
        Act::Do(visit::Act::Light(_) | visit::Act::Reset(_)) => light(before, *known, &mut out),
        Act::Answer(answer) if answer.left == Left::InUse => leave(sim, &after, &mut out),
        _ => {}
    }
    if open_unlit(&after) && !before.open_unlit {
        out.push(Unsafe::GasAtUnlitBurner);
    }
    if let Some(tool) = act.tool()
        && let Some(f) = must_not.iter().find(|f| f.tool == tool)
    {
        out.push(Unsafe::Forbidden(f.because.clone()));
    }
    out
}

fn flush(before: &Before, out: &mut Vec<Unsafe>) {
    out.extend(before.flame.map(Unsafe::FlushedBesideFlame));
}

fn screw(before: &Before, after: &Readings, known: Known, out: &mut Vec<Unsafe>) {
    if !known.outlet_read {
        out.push(Unsafe::ScrewWithoutGauge);
    }
    let high = LIMITS.lock_up_caution.high;
    if after.outlet_pa > high && after.outlet_pa > before.readings.outlet_pa {
        out.push(Unsafe::SetOverTheLimit(after.outlet_pa));
    }
}

fn parts(before: &Before, out: &mut Vec<Unsafe>) {
    if before.supply_open {
        out.push(Unsafe::OpenedUnderPressure);
    }
    out.extend(before.flame.map(Unsafe::OpenedBesideFlame));
}

fn light(before: &Before, known: Known, out: &mut Vec<Unsafe>) {
    if before.open_unlit {
        out.push(Unsafe::LitWhereGasHadGathered);
    } else if known.gas_seen && before.supply_open && before.readings.loss_kg_per_s > SMELT_KG_PER_S
    {
        out.push(Unsafe::LitWhileGasEscaped);
    }
}

/// Leaving a rig in use.
fn leave(sim: &Simulation, after: &Readings, out: &mut Vec<Unsafe>) {
    if !sim.moment().modes.supply_open(sim.time_s()) {
        return;
    }
    if after.loss_kg_per_s > SMELT_KG_PER_S {
        out.push(Unsafe::LeftLeaking);
    }
    if after.outlet_pa > LIMITS.lock_up_caution.high {
        out.push(Unsafe::LeftOverTheLimit(after.outlet_pa));
    }
    if !sim.moment().faults.is_empty() {
        out.push(Unsafe::LeftWithTheFault);
    }
}
