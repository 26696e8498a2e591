//! A finished attempt held against the drill: what its readings say act by act ([`course`]), what it weighs ([`weigh`]),
//! marks ([`grade`]), and how the reasoning went ([`debrief`]).

pub mod course;
pub mod debrief;
pub mod grade;
pub mod weigh;
