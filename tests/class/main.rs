//! A class from outside, by the real binary: nothing that was acknowledged is lost, nothing is mixed up, and what is
//! reported is what was done.

mod advice;
mod common;
mod folder;
mod instructor;
mod practice;
mod report;
mod statements;
