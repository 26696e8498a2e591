//! The window in front of a room: what is on show, moments kept by hand and gone through again from a file; and the
//! keyboard's ring, which Space presses and Esc takes away.

mod panels;

use egui::{Key, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};
use twostage::rig::Phase;
use twostage::scenario::{Scenario, Talk};
use twostage::sim::Command;
use twostage::window::App;

struct Room {
    harness: Harness<'static, Option<App>>,
}

impl Room {
    fn open() -> Self {
        let harness = panels::harness(vec2(1280.0, 720.0), |ctx| {
            let mut quiet = Scenario::opening();
            quiet.events.clear();
            App::new(ctx, quiet).expect("the opening scenario starts")
        });
        Self { harness }
    }

    fn app(&mut self) -> &mut App {
        panels::app(&mut self.harness)
    }

    fn press(&mut self, key: Key) {
        self.harness.key_press(key);
        self.harness.run_steps(3);
    }

    fn until(&mut self, what: &str, done: impl FnMut(&mut App) -> bool) {
        panels::wait(&mut self.harness, what, done);
    }

    fn shows(&self, words: &str) -> bool {
        self.harness
            .query_all_by_label_contains(words)
            .next()
            .is_some()
    }

    fn click(&mut self, label: &str) {
        self.harness.get_by_label(label).click();
        self.harness.run_steps(3);
    }

    /// The run stands at this time.
    fn run_to(&mut self, time_s: f64) {
        self.app().send(Command::Pause);
        let now_s = self.app().snapshot().readings.time_s;
        self.app().send(Command::Step(time_s - now_s));
        self.until("time has passed", |a| {
            (a.snapshot().readings.time_s - time_s).abs() < 1e-9
        });
        self.harness.run_steps(2);
    }
}

#[test]
fn moments_kept_by_hand_are_gone_through_again_from_a_file() {
    let mut w = Room::open();
    w.press(Key::Space);
    w.until("time holds", |a| !a.snapshot().playing);
    // Whatever the machine's haste has let pass by now.
    let first_s = w.app().snapshot().readings.time_s.ceil() + 2.0;
    let second_s = first_s + 4.0;
    w.run_to(first_s);
    w.press(Key::K);
    assert!(w.shows("Prepared moments"));
    w.press(Key::Escape);
    assert!(!w.shows("Prepared moments"), "Esc closes the list");
    w.press(Key::Num4);
    w.run_to(second_s);
    w.press(Key::K);
    let folder = std::env::temp_dir().join(format!("twostage-talk-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a place for the talk");
    // Its ending may be left out.
    let path = folder.join("talk.toml");
    let field = w.harness.get_by_label("File of the talk");
    field.focus();
    w.harness.run_steps(2);
    w.harness
        .get_by_label("File of the talk")
        .type_text(&path.with_extension("").display().to_string());
    w.harness.run_steps(3);
    w.click("Save the talk");
    let talk = Talk::load(&path).unwrap_or_else(|e| panic!("{e}"));
    assert_eq!(talk.stops.len(), 2);
    assert_eq!(
        talk.scenario.events.len(),
        1,
        "the burner that was lit by hand"
    );
    assert!(
        talk.stops.iter().all(|s| !s.caption.is_empty()),
        "what the headline said"
    );

    // In front of a room, from the start.
    w.click("Open a talk");
    w.until("the talk's rig is there", |a| a.snapshot().generation == 1);
    w.press(Key::Escape);
    w.press(Key::Escape);
    w.press(Key::F11);
    assert!(w.shows("Next moment") && !w.shows("Put a fault in"));
    for (i, at_s) in [first_s, second_s].into_iter().enumerate() {
        w.press(Key::PageDown);
        w.until("the moment has come", |a| {
            let snap = a.snapshot();
            !snap.playing && (snap.readings.time_s - at_s).abs() < 1e-6
        });
        w.harness.run_steps(3);
        assert!(w.shows(&format!("{} of 2", i + 1)));
        let lit = w.app().snapshot().readings.appliances[3].phase != Phase::Off;
        assert_eq!(lit, i == 1, "what was done is done again");
    }
    w.press(Key::PageUp);
    w.until("the moment before is back", |a| {
        (a.snapshot().readings.time_s - first_s).abs() < 1e-6
    });
    w.press(Key::F11);
    assert!(w.shows("Put a fault in"));
    std::fs::remove_dir_all(&folder).expect("removed");
}

#[test]
fn space_presses_what_has_the_ring_and_pauses_without_one() {
    let mut w = Room::open();
    w.harness.get_by_label_contains("front burner, ").focus();
    w.harness.run_steps(2);
    w.press(Key::Space);
    w.until("the burner is on", |a| {
        a.snapshot().readings.appliances[3].phase != Phase::Off
    });
    assert!(w.app().snapshot().playing, "time runs on");
    w.press(Key::Escape);
    let row = w.harness.get_by_label_contains("front burner, ");
    assert!(
        !row.accesskit_node().is_focused(),
        "Esc takes the ring away"
    );
    w.press(Key::Space);
    w.until("time holds", |a| !a.snapshot().playing);
}

/// V and the switch in the corner turn the picture in front of a room too, and a moment that is kept there lays no box over it.
#[test]
fn in_front_of_a_room_the_picture_turns_and_no_box_covers_it() {
    let mut w = Room::open();
    w.press(Key::F11);
    let is_outside = |w: &Room| w.shows("The rig from outside");
    let is_inside = |w: &Room| w.shows("Cutaway of the regulator");
    assert!(is_inside(&w) && !is_outside(&w));
    w.press(Key::V);
    w.harness.run_steps(120);
    assert!(is_outside(&w) && !is_inside(&w));
    w.click("Inside");
    w.harness.run_steps(120);
    assert!(is_inside(&w) && !is_outside(&w));
    w.press(Key::K);
    assert!(!w.shows("Prepared moments") && w.shows("Kept 0:0"));
    w.click("Moments");
    assert!(w.shows("Prepared moments"));
}
