//! What decides about safety and what a person is told, held where it decides: times of controls, limits of flames,
//! verdicts, rules of drills, what is seen and heard, marks, priors. Each number stands here a second time on purpose, so that
//! none can move unseen. All of it is quick: these are the tests that `.ci/mutants` runs for every mutant.

mod books;
mod controls;
mod flows;
mod hands;
mod heard;
mod left;
mod marks;
mod open;
mod senses;
mod stage;
mod stops;
mod verdicts;
mod watches;

#[path = "../common/house.rs"]
mod house;
