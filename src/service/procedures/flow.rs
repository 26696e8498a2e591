//! Tests with gas flowing: flow pressure, full load, the same load from below and from above.

use super::{Memory, high, low, not_lit, time, verdict};
use crate::rig::Readings;
use crate::service::bench::{Bench, ServiceError};
use crate::service::limits::{self, LIMITS, Limit};
use crate::service::report::{Figure, Quantity, TestResult};
use crate::units::{inwc_to_pa, pa_to_inwc};

pub(super) fn flow_pressure(
    b: &mut Bench<'_>,
    memory: &mut Memory,
) -> Result<TestResult, ServiceError> {
    b.needs_supply()?;
    let (r, unlit) = b.settle_with(&b.half()?)?;
    let pa = b.read_outlet();
    memory.half_pa = Some(pa);
    let pass = LIMITS.flow.holds(pa) && unlit.is_empty();
    let side = match pa {
        p if p < LIMITS.flow.low => "low",
        p if p > LIMITS.flow.high => "high",
        _ => "right",
    };
    let words = format!(
        "{:.1} in w.c. at {:.0} Btu/h: {side}.{}",
        pa_to_inwc(pa),
        r.flow_w / crate::units::W_PER_BTU_PER_H,
        not_lit(&unlit)
    );
    let figures = vec![low("outlet", pa), load(&r)];
    Ok(b.result(verdict(pass, false), words, figures, vec![LIMITS.flow]))
}

fn load(r: &Readings) -> Figure {
    Figure {
        name: "load",
        value: r.flow_w,
        quantity: Quantity::Power,
    }
}

pub(super) fn full_load(
    b: &mut Bench<'_>,
    memory: &mut Memory,
) -> Result<TestResult, ServiceError> {
    b.needs_supply()?;
    let half_pa = if let Some(pa) = memory.half_pa {
        pa
    } else {
        b.settle_with(&b.half()?)?;
        b.read_outlet()
    };
    let (r, unlit) = b.settle_with(&b.all())?;
    memory.flowing = Some(b.see()?);
    let pa = b.read_outlet();
    let fall = half_pa - pa;
    let pass = LIMITS.fall.holds(fall) && unlit.is_empty();
    let caution = LIMITS.fall_caution.holds(fall) && unlit.is_empty();
    let inlet = b.kit.high_side(r.containers[r.service_side].pigtail_pa);
    let manifold = b.kit.low_side(r.manifold_pa);
    let words = format!(
        "{:.1} in w.c. at {:.0} Btu/h, {:.1} in w.c. under half load.{}",
        pa_to_inwc(pa),
        r.flow_w / crate::units::W_PER_BTU_PER_H,
        pa_to_inwc(fall),
        not_lit(&unlit)
    );
    let figures = vec![
        low("outlet", pa),
        low("fall", fall),
        low("manifold", manifold),
        high("first stage", b.kit.high_side(r.first.chamber_pa)),
        high("inlet", inlet),
        load(&r),
    ];
    let limits = vec![LIMITS.fall, LIMITS.fall_caution];
    Ok(b.result(verdict(pass, caution), words, figures, limits))
}

pub(super) fn load_up_down(
    b: &mut Bench<'_>,
    memory: &mut Memory,
) -> Result<TestResult, ServiceError> {
    b.needs_supply()?;
    let half = b.half()?;
    let up_pa = if let Some(pa) = memory.half_pa {
        pa
    } else {
        b.light_exactly(&[])?;
        b.wait(time::SETTLE, 1.0)?;
        b.settle_with(&half)?;
        let pa = b.read_outlet();
        b.settle_with(&b.all())?;
        pa
    };
    b.settle_with(&half)?;
    let down_pa = b.read_outlet();
    let band = down_pa - up_pa;
    let limit = Limit {
        what: "difference of the same load from above and from below",
        low: -inwc_to_pa(0.3),
        high: inwc_to_pa(0.3),
        grade: limits::Grade::Practice,
        source: "common practice: a clean regulator comes back to the same pressure",
    };
    let pass = limit.holds(band);
    let words = if pass {
        "The same load gives the same pressure both ways".to_owned()
    } else {
        format!(
            "{:.1} in w.c. apart: something holds the moving parts (lever, stiff rubber, vent)",
            pa_to_inwc(band.abs())
        )
    };
    let figures = vec![
        low("from below", up_pa),
        low("from above", down_pa),
        low("band", band),
    ];
    Ok(b.result(verdict(pass, true), words, figures, vec![limit]))
}
