//! Tests of the integrators. Models carry their own solutions (`models`); every method runs over
//! every model (`accuracy`). Grades beside numbers: derived (worked out from the equations),
//! published (literature), practice (measured here, bounds kept loose).

#![allow(clippy::unwrap_used)]

mod accuracy;
mod cost;
mod events;
mod invariants;
mod ladder;
mod models;
mod modes;
mod pinned;
