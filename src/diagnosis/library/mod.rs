//! What simulated visits to a rig read under every cause: drawing, making, keeping. Not here: what is made of it.

pub(crate) mod bytes;
pub(super) mod checked;
pub mod coded;
pub mod collection;
pub mod fingerprint;
pub mod fragile;
pub(in crate::diagnosis) mod makes;
pub(crate) mod parallel;
pub mod random;
pub mod sample;
pub mod standard;
pub mod unknowns;
pub mod words;
