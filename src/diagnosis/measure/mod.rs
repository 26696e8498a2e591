//! How good the diagnosis is, counted on drawn cases.

pub mod baseline;
pub mod cases;
pub mod evaluate;
