//! What a run leaves behind: the table of readings, the summary a technician reads at a glance,
//! and both as JSON. Writing files and the terminal are for the command line.

pub mod attempts;
pub mod causes;
pub mod class;
mod closing;
pub mod drills;
mod faults;
mod figure;
pub mod idle;
pub mod json;
mod judged;
pub mod letters;
pub mod marks;
pub mod percent;
pub mod prose;
pub mod record;
pub mod summary;
pub mod table;
pub mod telling;
pub mod text;
mod unsteady;
pub mod visit;

pub use faults::{Pages, claim_lines, fault_pages};
pub use summary::{Summary, Watcher};
pub use table::Table;
pub use unsteady::unsteady;
