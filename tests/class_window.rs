//! A class as people use it in the window: a name is picked, an attempt is made under cover, and nothing of its answer is
//! shown before the instructor releases it; the next person sees nothing of the last one's. Drives the real panels without
//! a display, with a second computer (the command line) at work in the same folder.

mod panels;

use std::path::{Path, PathBuf};
use std::time::Duration;

use egui::accesskit::Role;
use egui::vec2;
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};
use twostage::class::folder::NewDrill;
use twostage::class::{ClassFolder, ClassList};
use twostage::drill::{Act, Attempt};
use twostage::fault::Fault;
use twostage::scenario::{Action, Scenario};
use twostage::sim::Command;
use twostage::window::{App, Page};

const DRILL: &str = "since_the_rain";

/// A folder of this test alone, gone with it.
struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("twostage-{name}-{}", std::process::id()));
        let _ = std::fs::remove_dir_all(&path);
        let mut list = ClassList::new("Friday");
        for name in ["Ada", "Bo"] {
            list.add(name).expect("a name");
        }
        list.choose_word("kettle");
        let drill = NewDrill::fetch(DRILL).expect("a shipped drill");
        ClassFolder::make(&path, list, &[drill]).expect("room");
        Self(path)
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

struct Window {
    harness: Harness<'static, Option<App>>,
}

impl Window {
    fn open(place: &Path) -> Self {
        let what = format!("class {}", place.display());
        let own = place.join("own attempts");
        let harness = panels::harness(vec2(1400.0, 1600.0), move |ctx| {
            let mut app = App::new(ctx, Scenario::opening()).expect("the built-in scenario starts");
            app.drills.keep_in(&own);
            app.look.page = Page::Drills;
            app.begin(&what, ctx);
            app
        });
        let mut w = Self { harness };
        w.steps(3);
        w
    }

    fn steps(&mut self, n: usize) {
        self.harness.run_steps(n);
    }

    fn click(&mut self, label: &str) {
        self.harness.get_by_label(label).click();
        self.steps(2);
    }

    fn texts(&self) -> Vec<String> {
        let all = self.harness.root().children_recursive();
        let told = all.flat_map(|n| {
            let node = n.accesskit_node();
            [node.label(), node.value(), node.description()]
        });
        told.flatten().collect()
    }

    fn shows(&self, text: &str) -> bool {
        self.texts().iter().any(|t| t.contains(text))
    }

    fn wait(&mut self, what: &str, done: impl FnMut(&mut App) -> bool) {
        panels::wait(&mut self.harness, what, done);
    }

    fn wait_to_show(&mut self, text: &str) {
        let begun = std::time::Instant::now();
        while !self.shows(text) {
            assert!(
                begun.elapsed() < panels::PATIENCE,
                "waited in vain for `{text}`: {:?}",
                self.texts()
            );
            std::thread::sleep(Duration::from_millis(50));
            self.steps(1);
        }
    }
}

/// A second computer: acts of somebody in the folder, through the library.
fn elsewhere(place: &Path, who: &str, acts: &[String]) {
    let mut class = ClassFolder::open(place).expect("a class");
    let person = class.list.find(who).expect("on the list").clone();
    let begun = class.begin(&person, DRILL).expect("begun");
    let drill = class.drill(DRILL).expect("a drill");
    let (mut attempt, mut sim) = Attempt::open(drill, &person.id, &begun.log).expect("opened");
    for act in acts {
        let act = Act::parse(act, sim.rig()).unwrap_or_else(|e| panic!("{act}: {e}"));
        attempt
            .act(&mut sim, &act, &mut |_| true)
            .unwrap_or_else(|e| panic!("{e}"));
    }
}

#[test]
fn from_a_name_to_a_released_attempt() {
    let folder = Folder::new("class-window");
    let place = folder.0.clone();
    let drill = ClassFolder::open(&place)
        .expect("a class")
        .drill(DRILL)
        .expect("a drill");
    let truth = drill.cause()[0].entry();
    let action = truth.puts_right().next().expect("an action").id();
    let mut w = Window::open(&place);
    assert!(
        w.shows("Who are you?") && !w.shows("Read attempts"),
        "the other parts rest"
    );

    // Ada works at this window, and leaves.
    w.click("1  Ada");
    assert!(w.shows("None yet") && w.shows("Ada, number 1"));
    w.click("Start it");
    w.wait("the rig is set up", |a| {
        a.drills.working().is_some_and(|d| !d.at_work())
    });
    assert!(w.shows("A drill, tried by Ada") || w.shows(&drill.title));
    w.click("Outside: Look 1 min, 1 min");
    w.wait("the look is done", |a| {
        a.drills
            .working()
            .is_some_and(|d| d.view.entries.len() == 1 && !d.at_work())
    });
    w.click("Leave for now");
    assert!(
        w.shows("Ada: left for now") && w.shows("Who are you?"),
        "the next one says a name"
    );

    // She goes on at another computer and answers.
    let answer = format!("answer {} {action} shut off", truth.id);
    elsewhere(&place, "Ada", &["listen".to_owned(), answer]);
    w.click("1  Ada");
    w.wait_to_show("ended, not released yet");
    assert!(
        !w.shows(truth.name) && !w.shows("Go through it"),
        "nothing of the answer yet"
    );
    assert!(w.shows("Try again: a retry"));
    w.click("I am done: the next one, please");

    // Bo sees nothing of it.
    w.click("2  Bo");
    assert!(w.shows("None yet") && !w.shows("not released yet"));
    w.click("I am done: the next one, please");

    // The instructor follows, and releases.
    w.click("Instructor's page");
    assert!(w.shows("not the word"), "without the word it stays shut");
    w.harness
        .get_by_role_and_label(Role::PasswordInput, "The instructor's word")
        .focus();
    w.steps(1);
    w.harness
        .get_by_role_and_label(Role::PasswordInput, "The instructor's word")
        .type_text("kettle");
    w.steps(1);
    w.click("Instructor's page");
    assert!(w.shows("1 attempt, 0 under way"));
    elsewhere(&place, "Bo", &["look".to_owned()]);
    w.wait_to_show("2 attempts, 1 under way");
    elsewhere(&place, "Bo", &["listen".to_owned()]);
    w.wait_to_show("Listen");
    // Bo is at work on the same drill: it takes a tick first, one by one too.
    w.click("Release: Ada, Since the rain");
    w.steps(1);
    assert!(w.shows("Not released, for its answer could be heard"));
    w.click("Release although somebody is at work on it");
    w.steps(1);
    w.click("Release all that ended (1)");
    w.wait_to_show("1 attempt released");
    assert!(!w.shows("Not released"));
    w.click("Write the reports");
    let begun = std::time::Instant::now();
    while !place.join("reports").join("class.html").exists() {
        assert!(begun.elapsed() < panels::PATIENCE, "no reports are written");
        std::thread::sleep(Duration::from_millis(50));
        w.steps(1);
    }
    w.click("Leave the instructor's page");

    // Ada reads it now.
    w.click("1  Ada");
    w.wait_to_show("Go through it: Since the rain");
    w.click("Go through it: Since the rain");
    w.wait("the marks are told", |a| a.drills.marks().is_some());
    assert!(w.shows(truth.name));
}

#[test]
fn a_stick_that_was_pulled_is_told_and_comes_back() {
    let folder = Folder::new("class-pulled");
    let place = folder.0.clone();
    let away = place.with_extension("away");
    let mut w = Window::open(&place);
    w.click("2  Bo");
    std::fs::rename(&place, &away).expect("there");
    w.click("Start it");
    assert!(w.shows("error:") && w.shows("try:"), "it is told");
    std::fs::rename(&away, &place).expect("away");
    w.click("Start it");
    w.wait("the rig is set up", |a| {
        a.drills.working().is_some_and(|d| !d.at_work())
    });
}

/// A vent that the instructor shuts is drawn, and no word tells it; without the instructor's window words do.
#[test]
fn a_shut_vent_is_shown_to_the_class_and_not_told() {
    let fault = Fault::named("second_vent_blocked").expect("in the catalogue");
    let harness = panels::harness(vec2(1400.0, 900.0), move |ctx| {
        let mut app = App::new(ctx, Scenario::opening()).expect("the built-in scenario starts");
        (app.live.on, app.live.out_of_sight) = (true, true);
        // Covered at first: the class sees into the parts only where the instructor opens them to it.
        assert!(std::mem::take(&mut app.live.covered));
        app.send(Command::Act(Action::Inject {
            fault,
            severity: 0.6,
            over_s: 0.0,
        }));
        app.send(Command::Play);
        app
    });
    let mut w = Window { harness };
    w.wait("the vent is nearly shut", |a| {
        a.snapshot().readings.second.vent_open < 0.5
    });
    w.steps(3);
    let tells = |w: &Window| w.shows("stage vent is open") || w.shows("stage vent is shut");
    assert!(!tells(&w), "{:?}", w.texts());
    assert!(w.shows("Cutaway of the regulator"), "the picture stays");
    panels::app(&mut w.harness).live.on = false;
    w.steps(3);
    assert!(tells(&w), "{:?}", w.texts());
}

#[test]
fn the_first_window_says_no_word_of_what_the_instructor_does() {
    let fault = Fault::named("second_seat_nick").expect("in the catalogue");
    let harness = panels::harness(vec2(1400.0, 900.0), move |ctx| {
        let mut app = App::new(ctx, Scenario::opening()).expect("the built-in scenario starts");
        (app.live.on, app.live.out_of_sight) = (true, true);
        // It is covered at first; whoever takes the cover off stands outside until they turn inside.
        app.live.covered = false;
        app.send(Command::Act(Action::Inject {
            fault,
            severity: 0.8,
            over_s: 0.0,
        }));
        app.send(Command::Play);
        app
    });
    let mut w = Window { harness };
    w.wait("the fault is in", |a| {
        !a.snapshot().faults.is_empty() && a.snapshot().readings.time_s > 3.0
    });
    let tells = |w: &Window| w.shows(&fault.name()) || w.shows(fault.entry().name);
    for covered in [false, true] {
        panels::app(&mut w.harness).live.covered = covered;
        for page in [Page::Faults, Page::Bench, Page::Curves, Page::Numbers] {
            panels::app(&mut w.harness).look.page = page;
            w.steps(3);
            assert!(!tells(&w), "{page:?} tells it: {:?}", w.texts());
            // Nor does a page of readings tell a condition: its rows of readings stand, the others are away.
            let has_row = |row: &str| w.texts().iter().any(|text| text == row);
            for row in [
                "Vent open",
                "Ice on the bore",
                "Through a tear",
                "Liquid in it",
                "Seat squeeze",
            ] {
                assert!(!has_row(row), "{page:?} tells {row}: {:?}", w.texts());
            }
            assert_eq!(has_row("Diaphragm rise"), page == Page::Numbers && !covered);
            assert_eq!(w.shows("The rig is covered"), covered);
            assert_eq!(
                w.shows("Cutaway of the regulator"),
                !covered && page != Page::Curves
            );
        }
        assert!(
            !w.shows("No fault is put in"),
            "nor is anything said that is not so"
        );
    }
    // In front of a room the cover stays on, and the question that is asked stands there.
    panels::app(&mut w.harness).live.covered = true;
    panels::app(&mut w.harness)
        .live
        .ask(Some("What do you look at first?"));
    w.harness.key_press(egui::Key::F11);
    w.steps(4);
    assert!(w.shows("Leave") && w.shows("What do you look at first?"));
    assert!(w.shows("The rig is covered") && !tells(&w));
    assert!(!w.shows("Cutaway of the regulator") && !w.shows("Outlet, "));
    w.harness.key_press(egui::Key::F11);
    w.steps(4);
    panels::app(&mut w.harness).live.ask(None);
    // The instructor's window knows it; closed, the first one knows it again.
    panels::app(&mut w.harness).live.out_of_sight = false;
    w.steps(4);
    assert!(w.shows("For the instructor only") && tells(&w));
    panels::app(&mut w.harness).live.on = false;
    panels::app(&mut w.harness).look.page = Page::Faults;
    w.steps(3);
    assert!(tells(&w) && !w.shows("The rig is covered"));
}

/// A fault's page tells what else is in, and at a moment of the past what comes back as time runs on.
#[test]
fn a_faults_page_tells_what_else_is_in_and_what_comes_back() {
    let nick = Fault::named("second_seat_nick").expect("in the catalogue");
    let vent = Fault::named("second_vent_blocked").expect("in the catalogue");
    let put_in = |fault| {
        Command::Act(Action::Inject {
            fault,
            severity: 0.6,
            over_s: 0.0,
        })
    };
    let harness = panels::harness(vec2(1400.0, 900.0), move |ctx| {
        let mut app = App::new(ctx, Scenario::opening()).expect("the built-in scenario starts");
        app.look.page = Page::Faults;
        app.begin("fault second_seat_nick", ctx);
        app.send(Command::Play);
        app
    });
    let mut w = Window { harness };
    w.wait("time runs", |a| a.snapshot().readings.time_s > 2.0);
    for fault in [nick, vent] {
        w.steps(2);
        assert!(!w.shows("Also in:"), "{:?}", w.texts());
        panels::app(&mut w.harness).send(put_in(fault));
        w.wait("it is in", |a| {
            a.snapshot().faults.iter().any(|f| f.fault == fault)
        });
    }
    w.steps(2);
    assert!(w.shows("Also in:") && w.shows(&vent.name()));
    assert!(!w.shows("comes back"), "{:?}", w.texts());
    let app = panels::app(&mut w.harness);
    app.send(Command::Pause);
    app.send(Command::LookAt(1.0));
    w.wait("the past", |a| a.snapshot().looks_back());
    w.steps(2);
    assert!(w.shows("No fault is put in") && w.shows("comes back"));
    w.click("Run on without it");
    w.wait("another branch", |a| !a.snapshot().looks_back());
    w.steps(2);
    assert!(!w.shows("comes back"), "{:?}", w.texts());
    assert!(panels::app(&mut w.harness).snapshot().faults.is_empty());
}

/// A class that lacks people or drills says so to whoever looks for a name, and has the way to them open for the instructor.
#[test]
fn what_is_lacking_is_asked_for() {
    let place = std::env::temp_dir().join(format!("twostage-class-bare-{}", std::process::id()));
    let _ = std::fs::remove_dir_all(&place);
    let folder = Folder(place);
    ClassFolder::make(&folder.0, ClassList::new("Friday"), &[]).expect("room");
    let mut w = Window::open(&folder.0);
    assert!(w.shows("There is no name to pick yet") && w.shows("Nobody is on the list yet"));
    w.click("Instructor's page");
    assert!(w.shows("People, a name on each line"), "{:?}", w.texts());
}

#[test]
fn a_wrong_folder_or_word_is_no_dead_end() {
    let folder = Folder::new("class-wrong");
    let mut w = Window::open(&folder.0);
    w.click("Instructor's page");
    // The message stays until the word is typed again, however often the folder is looked at meanwhile.
    std::thread::sleep(std::time::Duration::from_millis(2300));
    w.steps(4);
    assert!(w.shows("not the word"));
    w.click("Close the class");
    let field = || "The folder of a class";
    assert!(w.shows(field()) && w.shows("Browse: the folder of a class"));
    let gone = folder.0.join("gone").display().to_string();
    panels::app(&mut w.harness)
        .drills
        .open_class(&folder.0.join("gone"));
    w.wait_to_show("try:");
    assert!(
        w.shows(field()) && w.shows("Open the class"),
        "{:?}",
        w.texts()
    );
    assert!(
        w.shows("Build a drill"),
        "the other parts are there, {gone}"
    );
    panels::app(&mut w.harness).drills.open_class(&folder.0);
    w.wait_to_show("Who are you?");
}
