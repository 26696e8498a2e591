//! A finished attempt held against the drill: what its readings say act by act ([`course`]), what it weighs ([`weigh`]),
//! marks ([`grade`], of the cause [`near`]), how the reasoning went ([`debrief`]), and what the gauges stood at ([`trace`]).

pub mod course;
pub mod debrief;
pub mod grade;
pub(crate) mod job;
pub mod near;
pub mod trace;
pub mod weigh;
