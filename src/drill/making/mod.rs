//! Drill files: what a drill is ([`mod@file`]), what of it is hidden and how ([`hidden`], [`seal`]), what its
//! owner complains of ([`complaint`]), what its
//! marks are made of ([`weights`]), those that come with the
//! program ([`shipped`]), and drills made to order ([`make`]).

pub mod complaint;
pub mod file;
pub mod hidden;
pub mod make;
pub mod seal;
pub mod shipped;
pub mod weights;
