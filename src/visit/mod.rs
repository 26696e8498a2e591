//! One technician: what is done on a visit and what is found out there.
//!
//! * [`Id`] and [`item`] list everything that can be found out; an [`Observation`] is one of them with its value.
//! * [`Test`] is what is done once and gives some of them; [`run`], [`run_all`] make tests on a [`Bench`], which borrows
//!   a running simulation; [`visit`] makes all of them at once, for those who learn from it.
//! * [`Verdict`] follows from all that was read and the limits of the trade ([`crate::service::LIMITS`]).
//! * [`Deed`] is what hands do besides; [`Act`] any of these in one grammar.
//!
//! Bench, command line, diagnosis and drills use this room, so that the same act is done and the same thing is seen
//! alike everywhere. Everything that comes back is plain data: words and units are made where it is shown.
//!
//! Safety: only a qualified LP-gas technician opens, sets or replaces a regulator, and local codes
//! decide; this bench teaches and is no instrument.

mod act;
mod bench;
mod deeds;
mod errand;
mod figure;
mod follow;
mod hands;
mod hindrance;
pub mod item;
mod outlook;
mod piping;
mod procedures;
mod report;
mod sight;
mod test;
#[cfg(test)]
mod tests;
mod told;
mod tool;
mod verdict;
mod whole;

pub use act::{Act, ActError, GRAMMAR, Which, WordFor, unknown as unknown_act};
pub use bench::{Bench, Progress, VisitError, prepare};
pub use deeds::{Deed, DeedDone, Effect};
pub use errand::{Job, JobState, Outbound, send};
pub use figure::{Figure, LeftUnlit, Measure, Step, TracePoint, left_unlit};
pub use follow::Reply;
pub use hands::{Cure, cure, make_safe, perform, under_pressure};
pub use hindrance::{Hindrance, NothingLit, Valve};
pub use item::{ALL, ITEMS, Id, Item, NUMBERS, Observation, Scale, Values};
pub use outlook::{
    ApplianceSeen, Bar, BottleSeen, ChangeoverSeen, FlameOut, LineSeen, Outlook, Rime, VentSeen,
};
pub(crate) use procedures::time;
pub use procedures::{run, run_all, run_from_load, run_of, run_through};
pub use report::{
    Conclusion, Follows, Left, NotMade, OffFor, Seats, StayOff, TestResult, ThinAir, VisitReport,
};
pub use sight::{
    Burner, Looks, burners, glance, half_load, newest, odd_flame, sound_index, vent_looks,
};
pub use test::Test;
pub use told::Told;
pub use tool::{Bag, Tool};
pub(crate) use verdict::span;
pub use verdict::{
    Against, Judged, Verdict, looks_that_fail, of_figure, of_readings, that_come_out,
};
pub use whole::{AT_HAND, LeakCheck, draw_before, quickened, visit, visit_for, visit_to};
