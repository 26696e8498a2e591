//! What is looked at both at rest and flowing: the vents, the first stage.

use super::{Memory, Seen, high, time, verdict};
use crate::service::bench::{Bench, ServiceError};
use crate::service::limits::LIMITS;
use crate::service::report::{Figure, Quantity, TestResult};
use crate::service::senses::Bubbles;
use crate::units::pa_to_psi;

/// What is seen at rest and flowing, from earlier in the visit or by going there now.
fn both(b: &mut Bench<'_>, memory: &mut Memory) -> Result<(Seen, Seen), ServiceError> {
    b.needs_supply()?;
    let at_rest = if let Some(seen) = memory.at_rest {
        seen
    } else {
        b.light_exactly(&[])?;
        b.wait(time::LOCK_UP_FIRST, 1.0)?;
        b.see()?
    };
    let flowing = if let Some(seen) = memory.flowing {
        seen
    } else {
        b.settle_with(&b.half()?)?;
        b.see()?
    };
    memory.at_rest = Some(at_rest);
    memory.flowing = Some(flowing);
    Ok((at_rest, flowing))
}

pub(super) fn vent(b: &mut Bench<'_>, memory: &mut Memory) -> Result<TestResult, ServiceError> {
    let (rest, flowing) = both(b, memory)?;
    let mut words = Vec::new();
    for (i, name) in ["first-stage vent", "second-stage vent"]
        .into_iter()
        .enumerate()
    {
        words.push(format!(
            "{name}: {} at rest, {} flowing",
            rest.vents[i].words(),
            flowing.vents[i].words()
        ));
    }
    let pass = rest
        .vents
        .iter()
        .chain(&flowing.vents)
        .all(|v| *v == Bubbles::None);
    b.steps.push("leak fluid at both vents".to_owned());
    let count = |v: Bubbles| f64::from(v as u8);
    let figure = |name, value| Figure {
        name,
        value: count(value),
        quantity: Quantity::Bubbles,
    };
    let figures = vec![
        figure("first at rest", rest.vents[0]),
        figure("first flowing", flowing.vents[0]),
        figure("second at rest", rest.vents[1]),
        figure("second flowing", flowing.vents[1]),
    ];
    Ok(b.result(verdict(pass, false), words.join("; "), figures, vec![]))
}

pub(super) fn first_stage(
    b: &mut Bench<'_>,
    memory: &mut Memory,
) -> Result<TestResult, ServiceError> {
    let (rest, flowing) = both(b, memory)?;
    let pass = LIMITS.first_rest.holds(rest.first_pa)
        && flowing.first_pa >= LIMITS.first.low
        && flowing.first_pa <= LIMITS.first_rest.high;
    let mut words = format!(
        "{:.1} psig at rest, {:.1} flowing, inlet {:.0} at rest and {:.0} flowing",
        pa_to_psi(rest.first_pa),
        pa_to_psi(flowing.first_pa),
        pa_to_psi(rest.inlet_pa),
        pa_to_psi(flowing.inlet_pa)
    );
    if rest.frost || flowing.frost {
        words.push_str("; frost on the body");
    }
    let figures = vec![
        high("at rest", rest.first_pa),
        high("flowing", flowing.first_pa),
        high("inlet at rest", rest.inlet_pa),
        high("inlet flowing", flowing.inlet_pa),
    ];
    let limits = vec![LIMITS.first, LIMITS.first_rest];
    Ok(b.result(verdict(pass, false), words, figures, limits))
}
