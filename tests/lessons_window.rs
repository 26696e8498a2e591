//! Lessons as a person goes through them in the window: nothing to read before the prediction, then time at the moment that
//! was asked for with the part pointed at and the prediction beside what came, then something to try, and back.
//!
//! Not here: what is right (`drills/lessons.rs`).

mod panels;

use egui::accesskit::Role;
use egui::vec2;
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use twostage::drill::lesson::{Answers, Lesson, View, shown};
use twostage::scenario::Scenario;
use twostage::sim::Command;
use twostage::units::System;
use twostage::window::{App, Page};

struct Window {
    harness: Harness<'static, Option<App>>,
    folder: std::path::PathBuf,
}

impl Window {
    fn open(name: &str) -> Self {
        let id = std::process::id();
        let folder = std::env::temp_dir().join(format!("twostage-{name}-{id}"));
        let file = folder.join("lessons.toml");
        // Tall enough that nothing has to be scrolled to before it is clicked.
        let harness = panels::harness(vec2(1500.0, 2600.0), move |ctx| {
            let mut app = App::new(ctx, Scenario::opening()).expect("the built-in scenario starts");
            app.look.page = Page::Lessons;
            app.lessons.keep_in(&file);
            app
        });
        Self { harness, folder }
    }

    fn app(&mut self) -> &mut App {
        panels::app(&mut self.harness)
    }

    fn wait(&mut self, what: &str, done: impl FnMut(&mut App) -> bool) {
        panels::wait(&mut self.harness, what, done);
    }

    fn click(&mut self, label: &str) {
        self.harness.get_by_label(label).click();
        self.harness.run_steps(2);
    }

    fn texts(&self) -> Vec<String> {
        let nodes = self.harness.root().children_recursive();
        let told = nodes.flat_map(|n| {
            let node = n.accesskit_node();
            [node.label(), node.value()]
        });
        told.flatten().collect()
    }

    fn shows(&self, text: &str) -> bool {
        self.texts().iter().any(|t| t.contains(text))
    }

    /// Predicts: the first of each question's choices, and 3 where a number is asked for.
    fn predict(&mut self, l: &Lesson) {
        for q in &l.questions {
            let (role, label) = match &q.answers {
                Answers::Choices(choices) => (Role::RadioButton, &choices[0].0),
                Answers::Number { .. } => (Role::TextInput, &q.ask),
            };
            let label = shown(label, System::Us);
            let find = |w: &Self| {
                let node = w.harness.get_by_role_and_label(role, &label);
                if role == Role::RadioButton {
                    node.click();
                } else {
                    node.focus();
                }
            };
            find(self);
            self.harness.run_steps(2);
            if role == Role::TextInput {
                let node = self.harness.get_by_role_and_label(role, &label);
                node.type_text("3");
                self.harness.run_steps(2);
            }
        }
    }
}

impl Drop for Window {
    fn drop(&mut self) {
        // Left behind where a test has failed half-way; it is a temporary folder.
        let _ = std::fs::remove_dir_all(&self.folder);
    }
}

#[test]
fn all_lessons_are_gone_through() {
    let mut w = Window::open("all-lessons");
    let lessons = Lesson::shipped().unwrap_or_else(|e| panic!("{e}"));
    let mut drawn = 0;
    for (i, l) in lessons.iter().enumerate() {
        w.click(&format!("{}. {}", i + 1, l.title));
        w.wait("the rig stands ready", |a| {
            a.snapshot().scenario.title == l.scenario.title
        });
        nothing_is_told(&mut w, l);
        w.predict(l);
        w.click("Run the rig");
        w.wait("it plays", |a| a.snapshot().playing);
        w.click("Tell me the answer now");
        w.wait("the answer is told", |a| !a.lessons.busy());
        let seen = l.observe(&mut |_| true);
        let seen = seen.unwrap_or_else(|e| panic!("{}: {e}", l.id));
        for (k, q) in l.questions.iter().enumerate() {
            let (m, at_s) = (&l.measures[q.key], seen.at_s[q.key]);
            if k > 0 {
                let button = w.texts().into_iter().find(|t| t.starts_with("Show 0:"));
                let button = button.or_else(|| {
                    let all = w.texts().into_iter();
                    all.into_iter().find(|t| t.starts_with("Show "))
                });
                w.click(&button.unwrap_or_else(|| panic!("{}: no button", l.id)));
            }
            w.wait("time stands at the moment", |a| {
                (a.snapshot().readings.time_s - at_s).abs() < 0.6
            });
            let snap = w.app().snapshot();
            assert!(!snap.playing && snap.trouble.is_none(), "{}", l.id);
            assert!(w.shows("This is the moment"), "{}, {k}", l.id);
            // What stands there is what was told.
            let reads = m.unit.from_si((m.of.read)(&snap.readings));
            let told = seen.names[&m.name];
            let near = 0.02 * told.abs() + 0.12;
            assert!(
                (reads - told).abs() < near,
                "{}, {k}: {reads}, told {told}",
                l.id
            );
            let charts = |t: &String| t.starts_with("Charts over") && t.contains(" measured ");
            drawn += usize::from(w.texts().iter().any(charts));
        }
        goes_there_and_back(&mut w, l);
        w.click("← All lessons");
        let there = l.scenario.title.clone();
        w.wait("the run before is back", |a| {
            a.snapshot().scenario.title != there
        });
        assert!(!w.app().outside.is_outside(), "{}: as before", l.id);
    }
    // All but one of a temperature and one of a force, which have no chart.
    let asked: usize = lessons.iter().map(|l| l.questions.len()).sum();
    assert_eq!(drawn, asked - 2, "predictions are drawn");
}

/// Before the prediction: the picture that the lesson wants, the rig shut, and covered where even that would tell.
fn nothing_is_told(w: &mut Window, l: &Lesson) {
    let snap = w.app().snapshot();
    assert!(snap.readings.outlet_pa.abs() < 40.0, "{}", l.id);
    let outside = l.view == View::Outside;
    assert_eq!(w.app().outside.is_outside(), outside, "{}", l.id);
    let covered = "Covered until you have predicted";
    assert_eq!(w.shows(covered), l.asks_for_what_stands(), "{}", l.id);
    if l.asks_for_what_stands() {
        let told = w.texts();
        let pressure = told.iter().find(|t| t.contains("psig at the"));
        assert_eq!(pressure, None, "{}", l.id);
        // And no other page tells it.
        w.harness
            .get_by_role_and_label(Role::Tab, "Numbers")
            .click();
        w.harness.run_steps(3);
        assert_eq!(w.app().look.page, Page::Lessons, "{}", l.id);
    }
    if outside {
        assert!(w.shows("manometer"), "{}", l.id);
    }
}

/// What there is to try parts from the run at its moment; the run as it was is kept, and the same button goes back to it.
fn goes_there_and_back(w: &mut Window, l: &Lesson) {
    w.click("Try it");
    w.wait("it plays", |a| {
        let snap = a.snapshot();
        snap.playing && snap.kept.len() == 1
    });
    // What was asked and told is of the other run.
    assert!(!w.shows("This is the moment"), "{}: stale", l.id);
    assert!(
        w.shows("The figures come when the run has ended"),
        "{}",
        l.id
    );
    if l.id == "lever" {
        w.app().send(Command::Rate(60.0));
        w.wait("it has ended", |a| {
            !a.snapshot().playing && !a.lessons.busy()
        });
        let seen = |l: &Lesson| l.observe(&mut |_| true).expect("it runs");
        let tried = l.twisted().expect("a twist");
        for line in l.beside(&seen(&tried), &seen(l)) {
            // After its first letter, which is a capital.
            let line: String = shown(&line, System::Us).chars().skip(1).collect();
            assert!(w.shows(&line), "{line}: {:?}", w.texts());
        }
    }
    w.click("Back to the run as it was");
    w.wait("it is as it was", |a| {
        let snap = a.snapshot();
        snap.branch == twostage::sim::BranchName::default() && !snap.playing
    });
    assert!(w.shows("This is the moment"), "{}", l.id);
}
