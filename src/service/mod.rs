//! The service bench: instruments as they are in the hand, test points, the trade's tests as
//! procedures that really run the simulation, and the limits with the grade of their source.
//!
//! A [`Bench`] borrows a running simulation, so the same tests serve the command line (on a fresh
//! rig made by [`prepare`]) and the window (on the rig in front of the person). Everything that
//! comes back is plain data. Not here: screens, causes (that is `diagnosis`).
//!
//! Safety: only a qualified LP-gas technician opens, sets or replaces a regulator, and local codes
//! decide; this bench teaches and is no instrument.

use crate::sim::usual_tolerance;
use crate::solver::{Method, Tolerance};

/// Accuracy that a visit needs: readings hold to a hundredth of an in w.c., a tenth of what the
/// finest instrument shows (tested).
pub const TOLERANCE: Tolerance = usual_tolerance(Method::Stiff);

mod affairs;
mod bench;
mod deeds;
mod errand;
mod fitted;
mod instruments;
mod kind;
mod limits;
mod orders;
mod piping;
mod places;
mod points;
mod procedures;
mod report;
mod senses;
#[cfg(test)]
mod tests;

pub use affairs::{
    Affairs, Compared, Doing, Escape, Gravity, Missing, OPEN_FROM_M, SeatState, Trouble, Which,
    state_of_affairs,
};
pub use bench::{Bench, Progress, ServiceError, prepare};
pub use deeds::{Deed, Outcome, perform};
pub use errand::{Job, JobState, Outbound, send};
pub use fitted::{Device, Fitted, Fluid, FluidAt, MOST_FITTED, Probe, Rack, Seen, rack};
pub use instruments::{DialGauge, Kit, Manometer, Shown, Thermometer, temperature_text};
pub use kind::TestKind;
pub use limits::{Grade, LIMITS, Limit, rigid_share, trapped_gas_pa_per_k};
pub use orders::{Answer, ORDERS, Order, OrderError};
pub use places::Place;
pub use points::{PointError, TestPoint};
pub use procedures::{run, run_all, run_of};
pub use report::{Figure, NotMade, Quantity, ServiceReport, TestResult, TracePoint, Verdict};
pub use senses::{
    Bubbles, FlameSeen, FrostSeen, Joint, Sound, bubbles_at, flame_seen, frost_seen, listen,
};
