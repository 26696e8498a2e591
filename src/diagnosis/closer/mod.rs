//! The second pass: likely causes simulated anew, two of them at once among them.

pub(super) mod doubt;
pub(super) mod look;
pub(super) mod pairs;
