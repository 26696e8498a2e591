//! A rig shown for a while sets the run aside whole and gives it back as it was left.

use std::time::{Duration, Instant};

use twostage::scenario::{Action, Scenario};
use twostage::sim::{Command, Session, Snapshot};

/// A session that has not answered by then hangs \[s\].
const PATIENCE_S: u64 = 120;

fn wait(session: &Session, what: &str, is_so: impl Fn(&Snapshot) -> bool) {
    let begun = Instant::now();
    while !is_so(&session.snapshot()) {
        assert!(begun.elapsed() < Duration::from_secs(PATIENCE_S), "{what}");
        std::thread::sleep(Duration::from_millis(5));
    }
}

fn titled(title: &str) -> Box<Scenario> {
    Box::new(Scenario {
        title: title.to_owned(),
        ..Scenario::opening()
    })
}

#[test]
fn a_run_comes_back_as_it_was_left() {
    let session = Session::start(*titled("Ours"), || {}).expect("it starts");
    session.send(Command::Pause);
    session.send(Command::Step(9.0));
    session.send(Command::Act(Action::Tap));
    session.send(Command::Rate(5.0));
    wait(&session, "tapped", |s| s.touched && s.rate == 5.0);
    let left = session.snapshot();
    session.send(Command::Lend(titled("Lesson")));
    session.send(Command::Rate(1.0));
    session.send(Command::Step(3.0));
    // A second guest takes the place of the first; the run goes on waiting.
    session.send(Command::Lend(titled("Debrief")));
    wait(&session, "lent", |s| s.scenario.title == "Debrief");
    let shown = session.snapshot();
    assert!(!shown.touched);
    let waiting = shown.aside.clone().expect("a run waits");
    assert_eq!(waiting.scenario.title, "Ours");
    assert_eq!(waiting.at_s, left.readings.time_s);
    assert!(waiting.touched);
    session.send(Command::GiveBack);
    wait(&session, "given back", |s| s.scenario.title == "Ours");
    let back = session.snapshot();
    assert!(back.aside.is_none() && back.touched && !back.playing);
    assert_eq!(back.rate, 5.0);
    assert_eq!(back.readings.time_s, left.readings.time_s);
    assert_eq!(back.readings.outlet_pa, left.readings.outlet_pa);
    assert_eq!(
        (back.marks.len(), back.acts.len()),
        (left.marks.len(), left.acts.len())
    );
    assert!(back.generation > shown.generation);
    // What loads for good ends what waits, and there is nothing to give back.
    session.send(Command::Lend(titled("Tour")));
    session.send(Command::Load(titled("Another")));
    session.send(Command::GiveBack);
    session.send(Command::Rate(2.0));
    wait(&session, "loaded", |s| s.rate == 2.0);
    let last = session.snapshot();
    assert_eq!(last.scenario.title, "Another");
    assert!(last.aside.is_none());
}
