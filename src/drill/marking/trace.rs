//! What the gauges of a drill's rig stood at all through an attempt, for whoever goes through it afterwards. Every act is
//! done again on a fresh rig, and the hands' work on it once more with somebody looking.

use crate::drill::attempt::log::Entry;
use crate::drill::attempt::rig_of;
use crate::drill::{Attempt, Drill};
use crate::rig::Readings;
use crate::service::TOLERANCE;
use crate::sim::Simulation;
use crate::solver::Method;
use std::sync::Arc;

/// Pressures over the clock of an attempt.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Trace {
    /// Clock with the outlet \[s, Pa\].
    pub outlet: Vec<[f64; 2]>,
    /// Clock with the first stage \[s, Pa\].
    pub first: Vec<[f64; 2]>,
}

/// Most samples of an attempt, and how far apart they are at least \[s\].
const SAMPLES: f64 = 1500.0;
const APART_S: f64 = 0.5;

/// Works it out; `listener` hears the share and says whether to go on.
///
/// # Errors
/// What stopped the run of the rig, in words.
pub fn trace(
    drill: &Arc<Drill>,
    entries: &[Entry],
    listener: &mut dyn FnMut(f64) -> bool,
) -> Result<Trace, String> {
    let mut sim = Simulation::start(Arc::new(rig_of(drill)), Method::Stiff, TOLERANCE)
        .map_err(|e| e.to_string())?;
    let mut copy = sim.copy();
    Attempt::go_through(drill, entries, &mut copy, listener).map_err(|e| e.to_string())?;
    let end_s = copy.time_s();
    let apart_s = (end_s / SAMPLES).max(APART_S);
    let mut out = Trace::default();
    let mut look = |r: &Readings| {
        out.outlet.push([r.time_s, r.outlet_pa]);
        out.first.push([r.time_s, r.first.chamber_pa]);
    };
    look(&sim.readings());
    for (at_s, taped) in copy.tape() {
        sim.advance(*at_s, Some(apart_s), &mut look)
            .map_err(|e| e.to_string())?;
        sim.do_again(taped);
    }
    sim.advance(end_s, Some(apart_s), &mut look)
        .map_err(|e| e.to_string())?;
    Ok(out)
}
