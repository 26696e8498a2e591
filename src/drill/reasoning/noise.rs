//! Whether a drill is found by who reads its rig right but with instruments and eyes that err: a drill that is found with
//! exact readings only is one of luck.

use super::assess::causes_for;
use super::causes::{Cause, Causes, SURE};
use crate::diagnosis::inference::walk::Way;
use crate::diagnosis::library::random::Random;
use crate::diagnosis::measure::cases;
use crate::drill::Drill;
use crate::drill::attempt::way::offer_of;

/// Of `walks` walks by the best next test, each with errors of its own on every reading, those that end sure of a cause
/// that counts as right.
///
/// # Errors
/// Why the rig does not run with the faults in it.
pub fn walks_that_find(
    causes: &Causes,
    drill: &Drill,
    accepts: &[Cause],
    seed: u64,
    walks: u64,
) -> Result<u64, String> {
    let offer = offer_of(drill);
    let truth = causes.truth(&drill.causes())?;
    let causes = causes_for(causes, &offer, &drill.cause(), &truth);
    let right: Vec<usize> = accepts.iter().filter_map(|c| causes.find(c)).collect();
    let finds = |walk: &u64| {
        let read = cases::read(&truth, 1.0, &mut Random::new(seed, *walk));
        causes
            .walk(&offer, &read, Way::Best, &|b| b.in_any(&right) >= SURE)
            .until_sure(&right)
            .solved
    };
    Ok((0..walks).filter(finds).count() as u64)
}
