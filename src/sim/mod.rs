//! A scenario in motion: [`Simulation`] advances it; [`Live`] plays it beside its healthy twin, looks back and
//! keeps branches; [`Session`] runs that on a thread; [`Record`] keeps what the gauges showed.
//! Nothing here knows a screen.

mod active;
mod branch;
mod effort;
mod error;
mod faults;
mod flicker;
mod live;
mod mark;
mod moment;
mod pair;
mod parts;
mod past;
mod record;
mod rest;
mod script;
mod session;
mod simulation;
mod snapshot;
mod stands;
mod strokes;
mod system;
mod tape;
mod watch;

pub use active::{ActiveFault, Growing};
pub use branch::{BranchName, KeptBranch, Records};
pub use error::SimError;
pub use live::Live;
pub use mark::{Mark, Noted};
pub use moment::Moment;
pub use record::{Bucket, Channel, Record};
pub use rest::{Unrest, comes_to_rest};
pub use script::{Errand, NoWitness, Script, ScriptState, Witness};
pub use session::{Command, FASTEST, SLOWEST, Session};
pub use simulation::{Simulation, usual_tolerance};
pub use snapshot::{Snapshot, Waiting};
pub use stands::as_it_stands;
pub use strokes::Strokes;
pub use system::RigSystem;
pub use tape::Taped;
pub use watch::Watch;
