//! Time in the window: the bar that plays and holds it, places to jump to, one cycle gone through slowly.

pub(super) mod cycle;
pub(super) mod jumps;
pub(super) mod time_bar;
