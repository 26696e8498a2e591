//! What a regulator can do, worked out rather than waited for: steady operating points, curves of
//! outlet against load, lock-up against container pressure, relief capacity, endurance of a
//! container, and stability. Each result is plain data that writes itself as CSV and as a picture, in either system of units.
//!
//! Not here: screens, and anything that needs a run in time but the endurance of a container.

mod curve;
mod endurance;
mod mechanism;
pub(crate) mod picture;
mod relief;
mod scale;
mod stability;
mod steady;
#[cfg(test)]
mod tests;

pub use curve::{CurvePoint, Curves, LockUpCurve, flow_curves, lock_up_curve, smooth_flow_curves};
pub use endurance::{Endurance, EndurancePoint, endurance};
pub use mechanism::Mechanism;
pub use picture::{Chart, Line};
pub use relief::{ReliefCapacity, ReliefPoint, relief_capacity};
pub use stability::{StabilityMap, StabilityPoint, hunting, stability_map};
pub use steady::{Friction, OperatingPoint, Stand, Unsteady};

use crate::units::psi_to_pa;

/// Container pressures \[Pa\] that curves are drawn at: winter to summer.
pub fn usual_container_pa() -> [f64; 5] {
    [25.0, 50.0, 100.0, 150.0, 200.0].map(psi_to_pa)
}
