//! A scenario in motion: [`Simulation`] advances it; [`Live`] plays it beside its healthy twin, looks back and
//! keeps branches; [`Session`] runs that on a thread; [`Record`] keeps what the gauges showed.
//! Nothing here knows a screen.

mod active;
mod effort;
mod error;
mod faults;
mod flicker;
mod mark;
mod moment;
mod parts;
mod played;
mod record;
mod rest;
mod simulation;
mod stands;
mod strokes;
mod system;
mod tape;
mod watch;

pub(crate) use active::AT_ONCE_S;
pub use active::{ActiveFault, Growing};
pub use error::SimError;
pub use mark::{Mark, Noted};
pub use moment::Moment;
pub use played::{
    BranchName, Command, Errand, FASTEST, KeptBranch, Live, NoWitness, Records, SLOWEST, Script,
    ScriptState, Session, Snapshot, Waiting, Witness,
};
pub use record::{Bucket, Channel, Record};
pub use rest::{Unrest, comes_to_rest};
pub use simulation::{Simulation, usual_tolerance};
pub use stands::as_it_stands;
pub use strokes::Strokes;
pub use system::RigSystem;
pub use tape::Taped;
pub use watch::Watch;
