//! A run that a person plays: with its healthy twin beside it, looked back into, branched, scripted, on a thread of its own.

mod branch;
mod live;
mod pair;
mod past;
mod script;
mod session;
mod snapshot;

pub use branch::{BranchName, KeptBranch, Records};
pub use live::Live;
pub use script::{Errand, NoWitness, Script, ScriptState, Witness};
pub use session::{Command, FASTEST, SLOWEST, Session};
pub use snapshot::{Snapshot, Waiting};
