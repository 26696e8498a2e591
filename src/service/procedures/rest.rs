//! Tests with nothing burning: lock-up and creep.

use super::{Memory, high, low, seconds, time, verdict};
use crate::service::bench::{Bench, ServiceError};
use crate::service::limits::LIMITS;
use crate::service::report::{TestResult, TracePoint};
use crate::units::{inwc_to_pa, pa_to_inwc};

/// Lock-up is looked at closely for so long \[s\].
const FINE_S: f64 = 3.0;
/// A lock-up that moves less than this in half a minute has come to rest \[in w.c.\].
const REST_INWC: f64 = 0.03;

/// When a record last was more than `band_pa` off its end \[s after its start\].
fn settled_after_s(trace: &[TracePoint], from_s: f64, band_pa: f64) -> f64 {
    let end_pa = trace.last().map_or(0.0, |p| p.outlet_pa);
    trace
        .iter()
        .rev()
        .find(|p| (p.outlet_pa - end_pa).abs() > band_pa)
        .map_or(0.0, |p| p.time_s - from_s)
}

pub(super) fn lock_up(b: &mut Bench<'_>, memory: &mut Memory) -> Result<TestResult, ServiceError> {
    b.needs_supply()?;
    let alone = memory.half_pa.is_none();
    if let (true, Some(name)) = (alone, b.anything_lit()) {
        return Err(b.forbidden(format!(
            "{name} burns gas, and its draw hides a leaking seat; shut every appliance and pilot off first"
        )));
    }
    b.light_exactly(&[])?;
    let from_s = b.sim.time_s();
    b.wait(FINE_S, 0.1)?;
    b.wait(time::LOCK_UP_FIRST - FINE_S, 1.0)?;
    let mut before_pa = b.sim.readings().outlet_pa;
    let mut at_rest = false;
    while !at_rest && b.sim.time_s() - from_s < time::LOCK_UP_MOST {
        let now_pa = b.wait(time::LOCK_UP_MORE, 5.0)?.outlet_pa;
        at_rest = (now_pa - before_pa).abs() < inwc_to_pa(REST_INWC);
        before_pa = now_pa;
    }
    let pa = b.read_outlet();
    let peak_pa = b.trace.iter().map(|p| p.outlet_pa).fold(0.0, f64::max);
    let first_peak_pa = b.trace.iter().map(|p| p.first_stage_pa).fold(0.0, f64::max);
    let settle_s = settled_after_s(&b.trace, from_s, inwc_to_pa(0.2));
    let mut figures = vec![
        low("lock-up", pa),
        low("peak", b.kit.low_side(peak_pa)),
        high("first-stage peak", b.kit.high_side(first_peak_pa)),
        seconds("settled after", settle_s),
    ];
    if let Some(half_pa) = memory.half_pa {
        figures.push(low("rise", pa - half_pa));
    }
    memory.at_rest = Some(b.see()?);
    let words = format!(
        "{:.1} in w.c., {}",
        pa_to_inwc(pa),
        if at_rest {
            "at rest"
        } else {
            "still moving after five minutes"
        }
    );
    let limits = vec![LIMITS.lock_up, LIMITS.lock_up_caution, LIMITS.rise];
    let verdict = verdict(LIMITS.lock_up.holds(pa), LIMITS.lock_up_caution.holds(pa));
    Ok(b.result(verdict, words, figures, limits))
}

pub(super) fn creep(b: &mut Bench<'_>, memory: &mut Memory) -> Result<TestResult, ServiceError> {
    b.needs_supply()?;
    if let Some(name) = b.anything_lit() {
        return Err(b.forbidden(format!(
            "{name} burns gas; creep is watched with everything off, after lock-up"
        )));
    }
    let start_pa = b.sim.readings().outlet_pa;
    b.wait(time::CREEP, 5.0)?;
    let end_pa = b.sim.readings().outlet_pa;
    // Both are read at the same meniscus, so the division cancels in part.
    let climb = b.kit.low_side(end_pa) - b.kit.low_side(start_pa);
    let seen = b.see()?;
    let before = memory
        .at_rest
        .replace(seen)
        .map_or(seen.first_pa, |s| s.first_pa);
    let pass = LIMITS.creep.holds(climb);
    let words = if pass {
        "No steady climb: the seat is tight".to_owned()
    } else {
        format!(
            "Climbs {:.1} in w.c. in five minutes: a seat leaks",
            pa_to_inwc(climb)
        )
    };
    let figures = vec![
        low("start", b.kit.low_side(start_pa)),
        low("end", b.kit.low_side(end_pa)),
        low("climb", climb),
        high("first-stage climb", seen.first_pa - before),
    ];
    Ok(b.result(verdict(pass, false), words, figures, vec![LIMITS.creep]))
}
