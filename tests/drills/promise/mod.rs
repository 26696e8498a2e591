//! What a path promises is what its debrief shows, of every shipped drill; and minutes promised are minutes taken. The
//! causes are those of each drill's own rod, which need no library: who stands beside the true one is then fewer, and the
//! same on both sides.

mod safe_path;

use crate::common::shipped;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use twostage::diagnosis::inference::safety::Danger;
use twostage::drill::attempt::path::{path_of, shortened};
use twostage::drill::attempt::way::{May, Ways, make, offer_of};
use twostage::drill::making::shipped::DRILLS;
use twostage::drill::marking::course::Course;
use twostage::drill::marking::debrief::debrief;
use twostage::drill::reasoning::assess::causes_for;
use twostage::drill::reasoning::causes::SURE;
use twostage::drill::{Act, Attempt, Drill};
use twostage::solver::Method;
use twostage::visit::Test;

/// A belief may differ by this much: what is not seen.
const NEAR: f64 = 0.005;

fn keeps_its_promise(n: usize) {
    let (name, text) = shipped(n);
    let d = Drill::read(name, text, None).unwrap_or_else(|e| panic!("{e}"));
    let worked = d.worked.clone().expect("sealed");
    let few = worked.rod.and_then(|r| r.causes(&d.scenario, 1));
    let few = few.unwrap_or_else(|| panic!("{name}: no rod: `twostage drill reseal`"));
    let values = few
        .truth(&d.causes())
        .unwrap_or_else(|e| panic!("{name}: {e}"));
    let causes = causes_for(&few, &offer_of(&d), &d.cause(), &values);
    let right: Vec<usize> = worked
        .accepts
        .iter()
        .filter_map(|c| causes.find(c))
        .collect();
    let path = path_of(&d, &causes, &right, &mut |_| {}).unwrap_or_else(|e| panic!("{name}: {e}"));
    // What is shortened is as sure as the way that is chosen test by test, and never longer.
    let way = Ways::better(&d, &causes, &right).unwrap_or_else(|e| panic!("{name}: {e}"));
    let short = shortened(&d, &causes, &right, (way.clone(), &values));
    let short = short
        .unwrap_or_else(|e| panic!("{name}: {e}"))
        .until_sure(&right);
    let way = way.until_sure(&right);
    assert!(
        short.minutes <= way.minutes && short.solved == way.solved,
        "{name}: {} min, {} by the way",
        short.minutes,
        way.minutes
    );
    let promised = path.steps.last().expect("a step").1;
    // The same tests by the acts of a trainee.
    let d = Arc::new(d);
    let (mut a, mut s) = Attempt::unlogged(d.clone(), "Ada", Method::Stiff)
        .unwrap_or_else(|e| panic!("{name}: {e}"));
    s.advance(d.onset_s(), None, &mut |_| {})
        .unwrap_or_else(|e| panic!("{name}: {e}"));
    let mut course = Course::new(&causes);
    for (test, _) in &path.steps {
        let may_light = May::after(&d, &course, a.entries(), s.rig()).lights();
        let done = a.entries().len();
        assert!(make(&mut a, &mut s, *test, may_light), "{name}: {test:?}");
        for e in &a.entries()[done..] {
            course.take(&Act::parse(&e.act, s.rig()).expect("an act"), e);
        }
    }
    // What the program does itself it may ask of others: nothing unsafe, and no flame before a reported leak was looked for.
    let unsafe_acts: Vec<_> = a.entries().iter().flat_map(|e| e.noticed.clone()).collect();
    assert_eq!(unsafe_acts, [], "{name}");
    let told = debrief(&d, &few, a.entries(), None).unwrap_or_else(|e| panic!("{name}: {e}"));
    // The shortest path keeps what the program asks of others, and is none where this attempt was as short.
    let lights = |t: Test| !Danger::NoFlame.allows(t) || matches!(t, Test::Vent | Test::FirstStage);
    let seeks = |t: Test| matches!(t, Test::Joints | Test::LeakCheck);
    let lit = told.best.iter().position(|s| lights(s.0));
    if let (true, Some(lit)) = (d.gas_told, lit) {
        assert!(
            told.best[..lit].iter().any(|s| seeks(s.0)),
            "{name}: {:?}",
            told.best
        );
    }
    if told.best.len() == path.steps.len() {
        assert!(told.sooner.is_some(), "{name}: {:?}", told.best);
    }
    let gone = told.steps.last().expect("a step").truth;
    let best = told.best.last().expect("a step").1;
    assert!(
        (gone - promised).abs() <= NEAR && best >= promised.min(SURE) - NEAR,
        "{name}: promised {promised}; gone, the debrief shows {gone}, and for the shortest path {best}"
    );
    let took = (s.time_s() - d.onset_s()) / 60.0;
    assert!(
        (took - path.minutes).abs() <= 0.2 * path.minutes,
        "{name}: {} min promised, {took} taken",
        path.minutes
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
