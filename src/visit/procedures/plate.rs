//! What burners take against their rating plates. On a rig nobody reads it off a gauge (it is clocked, or seen by the flame),
//! so it is no figure of a test: the bench knows it of its rig, and fails a burner that takes too much.

use crate::rig::{Readings, Rig};
use crate::service::LIMITS;
use crate::visit::verdict::{Against, Judged, Verdict};

/// The burner that takes most over its plate, held against what it may; none where nothing burns.
pub(super) fn judged(readings: &Readings, rig: &Rig) -> Option<Judged> {
    let burners = readings.appliances.iter().zip(&rig.appliances);
    let over = burners
        .filter(|(a, _)| a.heat_w > 0.0)
        .map(|(a, made)| a.heat_w / made.input_w - 1.0)
        .max_by(f64::total_cmp)?;
    let (usual, most) = (LIMITS.over_plate, LIMITS.over_plate_caution);
    let (limit, verdict) = if usual.holds(over) {
        (usual, Verdict::Pass)
    } else if most.holds(over) {
        (usual, Verdict::Caution)
    } else {
        (most, Verdict::Fail)
    };
    Some(Judged {
        against: Against::Plate,
        value: over,
        limit: Some(limit),
        verdict,
    })
}
