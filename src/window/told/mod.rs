//! What is told of the rig in words: its state of affairs, and its parts by name. Not here: where the words stand.

pub(super) mod headline;
pub(super) mod part;
pub(super) mod seats;
mod trouble;
