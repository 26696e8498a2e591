//! From readings to causes.
pub mod library;
pub mod model;
pub mod posterior;
pub mod random;
pub mod reading;
pub mod unknowns;
pub mod visit;
