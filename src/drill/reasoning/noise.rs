//! Whether a drill is found by who reads its rig right but with instruments and eyes that err: a drill that is found with
//! exact readings only is one of luck.

use super::assess::causes_for;
use super::causes::{Belief, Cause, Causes, SURE};
use crate::diagnosis::inference::walk::Way;
use crate::diagnosis::library::random::Random;
use crate::diagnosis::measure::cases;
use crate::drill::Drill;
use crate::drill::attempt::way::{offer_of, stops_at};
use std::cell::RefCell;

/// Of `walks` walks by the best next test, each with errors of its own on every reading, those whose walker names a cause that
/// counts as right: the one they become sure of by two tests in a row, not knowing what is right, or the likeliest when nothing is
/// left to be done, if what is right holds enough.
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
        let named = RefCell::new(Vec::new());
        let is_sure = |belief: &Belief| {
            let mut named = named.borrow_mut();
            named.push(belief.ranked()[0]);
            stops_at(&named).is_some()
        };
        let gone = causes.walk(&offer, &read, Way::Best, &is_sure);
        stops_at(&named.borrow()).map_or_else(
            || gone.end().in_any(&right) >= SURE,
            |cause| right.contains(&cause),
        )
    };
    Ok((0..walks).filter(finds).count() as u64)
}
