//! A finished attempt held against its drill: marks ([`grade`]), and how the reasoning went ([`debrief`]).

pub mod debrief;
pub mod grade;
