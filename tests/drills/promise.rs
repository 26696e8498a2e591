//! What a path promises is what its debrief shows, of every shipped drill; and minutes promised are minutes taken. The
//! causes are those of each drill's own rod, which need no library: who stands beside the true one is then fewer, and the
//! same on both sides.

use crate::common::shipped;
use crate::trainees::go_the_path;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use twostage::drill::Drill;
use twostage::drill::making::file::Worked;
use twostage::drill::making::shipped::DRILLS;
use twostage::drill::marking::debrief::debrief;
use twostage::drill::reasoning::assess::assess;
use twostage::drill::reasoning::causes::SURE;

/// A belief may differ by this much: what is not seen.
const NEAR: f64 = 0.005;

fn keeps_its_promise(n: usize) {
    let (name, text) = shipped(n);
    let mut d = Drill::read(name, text, None).unwrap_or_else(|e| panic!("{e}"));
    let rod = d.worked.as_ref().and_then(|w| w.rod.clone());
    let causes = rod.and_then(|r| r.causes(&d.scenario, 1));
    let causes = causes.unwrap_or_else(|| panic!("{name}: no rod: `twostage drill reseal`"));
    let found = assess(&causes, &d).unwrap_or_else(|e| panic!("{name}: {e}"));
    d.worked = Some(Worked::from(&found));
    let d = Arc::new(d);
    let promised = found.path.steps.last().expect("a step").1;
    assert!(promised >= SURE, "{name}: {promised}");
    let told = debrief(&d, &causes, &[], None).unwrap_or_else(|e| panic!("{name}: {e}"));
    let shown = told.best.last().expect("a step").1;
    assert!(
        shown >= promised - NEAR,
        "{name}: promised {promised}, the debrief shows {shown}"
    );
    // And on the rig, by the acts of a trainee.
    let gone = go_the_path(&d, &causes, &found);
    assert!(
        (gone.shown - promised).abs() <= NEAR,
        "{name}: promised {promised}, gone {}",
        gone.shown
    );
    let from_min = d.onset_s() / 60.0;
    let took = gone.took_min - from_min;
    assert!(
        (took - found.path.minutes).abs() <= 0.2 * found.path.minutes,
        "{name}: {} min promised, {took} taken",
        found.path.minutes
    );
}

#[test]
fn what_a_path_promises_is_what_the_debrief_shows() {
    let next = AtomicUsize::new(0);
    std::thread::scope(|scope| {
        for _ in 0..std::thread::available_parallelism().map_or(2, usize::from) {
            scope.spawn(|| {
                loop {
                    let n = next.fetch_add(1, Ordering::Relaxed);
                    if n >= DRILLS.len() {
                        break;
                    }
                    keeps_its_promise(n);
                }
            });
        }
    });
}
