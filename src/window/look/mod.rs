//! How things look and read: colours and type, numbers as people read them, rules and plots, tabs and plates, the ring
//! that points at a spot. Knows no panel and nothing of a rig.

pub(super) mod areas;
pub(super) mod pieces;
pub(super) mod plots;
pub(super) mod rules;
pub mod show;
pub(super) mod spots;
pub mod theme;
pub(super) mod type_size;
pub(super) mod within;
