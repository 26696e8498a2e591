//! The service bench's hardware: instruments as they are in the hand, test points, what eyes, ears and leak fluid tell
//! at a place, and the limits of the trade with the grade of their source.
//!
//! Not here: tests, deeds and what a visit finds out (that is `visit`), screens.

use crate::sim::usual_tolerance;
use crate::solver::{Method, Tolerance};

/// Accuracy that a visit needs: readings hold to a hundredth of an in w.c., a tenth of what the
/// finest instrument shows (tested).
pub const TOLERANCE: Tolerance = usual_tolerance(Method::Stiff);

mod affairs;
mod fitted;
mod instruments;
mod limits;
mod places;
mod plate;
mod points;
mod senses;
mod several;
#[cfg(test)]
mod tests;
mod trouble;

pub use affairs::{escapes, is_too_full, pressed_tight, state_of_affairs};
pub use fitted::{
    Device, Fitted, Fittings, Fluid, FluidAt, MOST_FITTED, OpenTube, Probe, Rack, rack,
};
pub use instruments::{
    DialGauge, DigitalManometer, Kit, Manometer, Shown, Thermometer, temperature_text,
};
pub use limits::{
    FULL_SHARE, Grade, LIMITS, Limit, Limits, SUN_K, forbids_flames, propane_gives_at_most_pa,
    propane_gives_pa, rigid_share, trapped_gas_pa_per_k,
};
pub use places::Place;
pub use plate::over_plate;
pub use points::{PointError, TestPoint};
pub use senses::{
    Bubbles, FlameSeen, FrostSeen, Joint, LEAST_BUBBLE_M3_PER_S, Sound, VAPOUR_KG_PER_M3,
    bubbles_at, escapes_aloud, flame_seen, frost_seen, listen,
};
pub use several::Several;
pub use trouble::{
    Above, Affairs, Compared, Doing, ESCAPES_KG_PER_S, Escape, Filling, Finger, Gives, Gravity,
    Held, Load, Missing, OPEN_FROM_M, Scarce, SeatState, Trouble, ValveAdvice, Which, passes_gas,
};
