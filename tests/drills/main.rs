//! Drills and lessons from outside: what is made can be solved, what was done is never lost, what
//! is wrong is explained. What each cause shows is the model's own; the checks here are of the
//! drill room: rank correlation after Spearman (published), first-in-first-out replay, file cuts.

mod attempts;
mod builds;
mod common;
mod expert;
mod files;
mod judging;
mod just;
mod later;
mod lessons;
mod made;
mod minutes;
mod order;
mod promise;
mod proofs;
mod reasons;
mod reported;
mod severities;
mod solve;
mod trainees;
mod words;
