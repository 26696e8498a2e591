//! Drills and lessons as people use them in the window: from the list to the debrief, under a cover
//! that lets nothing through, with a log that survives. Drives the real panels without a display.

mod panels;

use std::path::PathBuf;

use egui::accesskit::Role;
use egui::{Key, Modifiers, Vec2, vec2};
use egui_kittest::kittest::{NodeT, Queryable};
use egui_kittest::{Harness, Node};
use twostage::drill::attempt::act::Act;
use twostage::drill::attempt::folder::{self, gather};
use twostage::drill::lesson::{Lesson, Progress};
use twostage::drill::making::shipped::DRILLS;
use twostage::drill::{Attempt, Drill};
use twostage::fault::Fault;
use twostage::scenario::Scenario;
use twostage::window::{App, Page};

/// Place of the drill these tests are about, on the list.
const SECOND: usize = 1;

fn drill() -> Drill {
    let (name, text) = DRILLS[SECOND];
    Drill::read(name, text, None).expect("a shipped drill")
}

/// A folder of this test alone, gone with it.
struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("twostage-{name}-{}", std::process::id()));
        std::fs::create_dir_all(&path).expect("a folder");
        Self(path)
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        // Left behind where a test has failed half-way; it is a temporary folder.
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

/// The window in a harness, with its drills and lessons in a folder of their own.
struct Window {
    harness: Harness<'static, Option<App>>,
}

impl Window {
    fn open(folder: &Folder) -> Self {
        // Tall enough that nothing has to be scrolled to before it is clicked.
        Self::of_size(folder, vec2(1400.0, 2400.0))
    }

    fn of_size(folder: &Folder, size: Vec2) -> Self {
        let place = folder.0.clone();
        let harness = panels::harness(size, move |ctx| {
            let mut app = App::new(ctx, Scenario::opening()).expect("the built-in scenario starts");
            app.drills.keep_in(&place);
            app.lessons.keep_in(&place.join("lessons.toml"));
            app
        });
        Self { harness }
    }

    fn steps(&mut self, n: usize) {
        self.harness.run_steps(n);
    }

    fn app(&mut self) -> &mut App {
        panels::app(&mut self.harness)
    }

    fn wait(&mut self, what: &str, done: impl FnMut(&mut App) -> bool) {
        panels::wait(&mut self.harness, what, done);
    }

    fn turn_to(&mut self, page: &str) {
        self.harness.get_by_role_and_label(Role::Tab, page).click();
        self.steps(3);
    }

    fn click(&mut self, label: &str) {
        self.harness.get_by_label(label).click();
        self.steps(2);
    }

    fn shows(&self, text: &str) -> bool {
        let found = self.harness.query_all_by_label_contains(text).next();
        found.is_some()
    }

    /// Chooses the drill and starts it under a name.
    fn start(&mut self, who: &str) {
        self.turn_to("Drills");
        self.wait("the drills are read", |a| {
            let snap = a.snapshot();
            !a.drills.busy(&snap)
        });
        // The list stands before the brief, which has the title of the chosen drill too.
        let title = drill().title;
        let row = self.harness.get_all_by_label(&title).next();
        row.expect("the drill is on the list").click();
        self.steps(2);
        let field = self
            .harness
            .get_by_role_and_label(Role::TextInput, "Your name");
        field.focus();
        self.steps(1);
        self.harness
            .get_by_role_and_label(Role::TextInput, "Your name")
            .type_text(who);
        self.steps(1);
        self.click("Start the drill");
        self.wait("the rig is set up", |a| {
            a.drills.working().is_some_and(|w| !w.at_work())
        });
    }

    /// Presses a button and waits until the act is done.
    fn act(&mut self, label: &str) {
        let acts = |a: &mut App| a.drills.working().map_or(0, |w| w.view.entries.len());
        let before = acts(self.app());
        self.click(label);
        self.wait(label, |a| acts(a) > before || a.drills.working().is_none());
    }

    /// Every text a screen reader would tell.
    fn texts(&self) -> Vec<String> {
        self.harness
            .root()
            .children_recursive()
            .flat_map(|n: Node<'_>| {
                let node = n.accesskit_node();
                [node.label(), node.value(), node.description()]
            })
            .flatten()
            .collect()
    }
}

/// Names of the drill's faults and all else that would give them away.
fn secrets() -> Vec<String> {
    let mut out = Vec::new();
    for fault in drill().cause() {
        let e = fault.entry();
        out.extend([e.name, e.id, e.words, e.told_apart].map(str::to_lowercase));
    }
    out
}

fn assert_covered(w: &mut Window, when: &str) {
    let texts = w.texts();
    assert!(
        texts.iter().any(|t| t.contains(&drill().complaint)),
        "{when}: the complaint is told"
    );
    for secret in secrets() {
        let told = texts.iter().find(|t| t.to_lowercase().contains(&secret));
        assert!(told.is_none(), "{when}: {told:?} gives it away");
    }
    for inside in [
        "Cutaway of the regulator",
        "Charts over time",
        "Forces on the",
    ] {
        assert!(
            !texts.iter().any(|t| t.contains(inside)),
            "{when}: {inside} is open"
        );
    }
    assert_eq!(w.app().look.page, Page::Drills, "{when}");
    assert!(w.app().snapshot().faults.is_empty(), "{when}");
}

#[test]
fn from_the_list_to_the_debrief() {
    let folder = Folder::new("whole-drill");
    let mut w = Window::open(&folder);
    w.start("Wren");
    // Nobody is told to do what would fail them: gas is looked for before anything is lit.
    let texts = w.texts();
    let at = |words: &str| {
        texts
            .iter()
            .position(|t| t.contains(words))
            .unwrap_or_else(|| panic!("{words}: {texts:?}"))
    };
    assert!(at("before anything is lit") < at("Then light burners at the left"));
    w.act("Outside: Look 1 min, 1 min");
    w.act("Light all");
    w.act("Manometer: Outlet, 1 min");
    w.act("Test: lock-up, about 3 min");
    assert!(
        w.shows("lock-up after a minute: "),
        "what the test showed stands there"
    );
    let truth = drill().cause()[0].entry().name;
    // A suspicion.
    w.click("Suspect");
    // Further down in the list than one sees: a screen reader's press.
    w.harness.get_by_label(truth).click_accesskit();
    w.steps(2);
    w.act("Note it");
    assert!(w.shows(&format!("Suspicion: {truth}, 50 % sure")));
    // The answer, from what was suspected.
    w.click("Answer");
    w.click(&format!("What I suspected: {truth}"));
    w.click("Replace it whole: regulator, hose, or the appliance's part");
    w.click("Shut off at the container, for a qualified technician");
    w.act("Give the answer");
    w.wait("the marks are told", |a| a.drills.marks().is_some());
    let marks = w.app().drills.marks().cloned().expect("marks");
    assert!(
        marks.right && marks.failed.is_none(),
        "{:?}",
        marks.cause.why
    );
    assert!(marks.action.given > 0.0, "{:?}", marks.action.why);
    assert_eq!(marks.safety.given, 20.0, "{:?}", marks.safety.why);
    let total = marks.total();
    assert!(w.shows(&format!("{total:.0} of 100")));
    assert!(!w.app().drills.covered());
    assert!(w.shows("Cutaway of the regulator"), "the cover is off");
    // The rig with its true fault goes to the last moment, then to an earlier one.
    w.wait("the reasoning is worked out", |a| {
        let snap = a.snapshot();
        !a.drills.busy(&snap)
    });
    let true_fault = drill().cause()[0];
    assert!(
        w.app()
            .snapshot()
            .faults
            .iter()
            .any(|f| f.fault == true_fault)
    );
    assert!((w.app().snapshot().readings.time_s - marks.took_s).abs() < 1.0);
    assert!(w.shows("True cause, by the readings"));
    assert!(w.shows("The shortest path"));
    w.click("Show the moment after act 3");
    w.wait("the moment is there", |a| {
        let snap = a.snapshot();
        !a.drills.busy(&snap)
    });
    let r = w.app().snapshot().readings;
    // Everything burns then; the outlet stands where the trainee read it, 11.2 in w.c.
    assert!(r.time_s > 170.0 && r.time_s < 180.0, "{} s", r.time_s);
    assert!(
        r.appliances[..r.appliance_count]
            .iter()
            .all(|a| a.heat_w > 0.0)
    );
    // Back to the drills: what ran before runs again.
    w.click("Back to the drills");
    w.wait("the former rig is back", |a| {
        a.snapshot().scenario.title == Scenario::opening().title
    });
}

#[test]
fn nothing_of_the_inside_is_reachable_under_cover() {
    let folder = Folder::new("cover");
    let mut w = Window::open(&folder);
    w.start("Finch");
    assert_covered(&mut w, "at the start");
    for page in Page::ALL {
        let tab = w.harness.query_by_role_and_label(Role::Tab, page.1);
        assert!(tab.is_none(), "{} can be turned to", page.1);
    }
    let before = w.app().snapshot();
    for key in [
        Key::Space,
        Key::Period,
        Key::F,
        Key::Num1,
        Key::Home,
        Key::CloseBracket,
        Key::L,
    ] {
        w.harness.key_press(key);
        w.steps(2);
    }
    w.harness.key_press_modifiers(Modifiers::COMMAND, Key::O);
    w.steps(3);
    assert!(!w.shows("Open a scenario"), "no file is opened meanwhile");
    w.harness.key_press_modifiers(Modifiers::COMMAND, Key::S);
    w.steps(3);
    assert!(!w.shows("Save the scenario"));
    let after = w.app().snapshot();
    assert!(!after.playing, "time of the rig on show stands still");
    assert_eq!(after.rate, before.rate);
    w.act("Outside: Look 1 min, 1 min");
    w.act("Test: lock-up, about 3 min");
    w.act("Leak fluid: Second vent, 1 min");
    assert_covered(&mut w, "after three readings");
    // The help sheet and the units are free.
    w.harness.key_press(Key::F1);
    w.steps(2);
    assert_covered(&mut w, "with the help sheet open");
    w.harness.key_press(Key::U);
    w.steps(2);
    assert!(w.shows("kPa"), "what was read is told in SI too");
    // The list of causes names all of them alike, the true one like every other.
    w.harness.key_press(Key::Escape);
    w.steps(2);
    w.click("Suspect");
    let texts = w.texts();
    for fault in Fault::all() {
        let name = fault.entry().name;
        let count = texts.iter().filter(|t| t.as_str() == name).count();
        let other = texts
            .iter()
            .filter(|t| t.as_str() == Fault::all().next().expect("a fault").entry().name)
            .count();
        assert_eq!(count, other, "{name} stands out");
    }
}

#[test]
fn an_unsafe_act_is_told_with_its_reason() {
    let folder = Folder::new("unsafe");
    let mut w = Window::open(&folder);
    w.start("Rook");
    w.act("Shut Container");
    w.act("Open fast: Container");
    assert!(w.shows("Unsafe: opened fast"));
    let found = gather(&folder.0, None).expect("a folder");
    let log = &found.found[0].contents;
    assert_eq!(log.entries.last().expect("acts").noticed.len(), 1);
}

#[test]
fn an_attempt_goes_on_after_the_window_was_lost() {
    let folder = Folder::new("resume");
    let mut w = Window::open(&folder);
    w.start("Ibis");
    w.act("Outside: Look 1 min, 1 min");
    w.act("Manometer: Outlet, 1 min");
    let clock_s = w
        .app()
        .drills
        .working()
        .expect("under way")
        .view
        .outside
        .clock_s;
    // Nothing is told to the window: it is gone, as after a power cut. A cut may leave half a line.
    drop(w);
    let log = folder.0.join(folder::log_name(DRILLS[SECOND].0, "Ibis"));
    let mut text = std::fs::read_to_string(&log).expect("the log");
    text.push_str("{\"entry\":{\"n\":3,\"at");
    std::fs::write(&log, text).expect("half a line");
    let mut w = Window::open(&folder);
    w.turn_to("Drills");
    w.wait("the list is read", |a| {
        let snap = a.snapshot();
        !a.drills.busy(&snap)
    });
    w.click(&format!("Go on: Ibis, {}", drill().title));
    w.wait("the acts are done again", |a| {
        a.drills.working().is_some_and(|w| !w.at_work())
    });
    let working = w.app().drills.working().expect("under way");
    assert_eq!(working.view.entries.len(), 2);
    assert!((working.view.outside.clock_s - clock_s).abs() < 1e-6);
    w.act("Outside: Listen 30 s, 30 s");
    let found = gather(&folder.0, None).expect("a folder");
    assert_eq!(found.found[0].contents.entries.len(), 3);
    // Leaving keeps it too.
    w.click("Leave for now");
    assert!(!w.app().drills.covered());
    w.wait("the list is read again", |a| {
        let snap = a.snapshot();
        !a.drills.busy(&snap)
    });
    assert!(w.shows("3 acts"));
}

/// An attempt made without the window, ended by a wrong answer.
fn ended_attempt(folder: &Folder, who: &str) {
    let log = folder.0.join(folder::log_name(DRILLS[SECOND].0, who));
    let drill = std::sync::Arc::new(drill());
    let (mut attempt, mut sim) = Attempt::open(drill, who, &log).expect("it begins");
    for words in [
        "look",
        "shut",
        "open fast",
        "answer second_vent_blocked clear shut off",
    ] {
        let act = Act::parse(words, sim.rig()).expect("an act");
        attempt
            .act(&mut sim, &act, &mut |_| true)
            .expect("it is done");
    }
}

#[test]
fn a_folder_of_attempts_becomes_a_page_and_a_table() {
    let folder = Folder::new("report");
    ended_attempt(&folder, "Swift");
    std::fs::write(folder.0.join("torn.attempt"), "no log").expect("written");
    let mut w = Window::open(&folder);
    w.turn_to("Drills");
    w.click("Read attempts");
    // Whoever sits here next reads no answer at a click: the folder is named by whoever knows it.
    w.click("Read it");
    w.steps(2);
    assert!(!w.shows("1 attempt, 0 with the right cause"));
    let place = folder.0.display().to_string();
    type_into(&mut w, Role::TextInput, "Folder with attempts", &place);
    w.click("Read it");
    w.wait("the folder is read", |a| {
        let snap = a.snapshot();
        !a.drills.busy(&snap)
    });
    assert!(w.shows("1 attempt, 0 with the right cause, 1 unsafe act"));
    assert!(w.shows("Left out: torn.attempt"));
    w.click("Write page and table");
    assert!(w.shows("Written: "));
    let page = std::fs::read_to_string(folder.0.join("report.html")).expect("a page");
    assert!(page.contains("Swift") && page.contains("Open the container fast"));
    // Self-contained: nothing is fetched, nothing runs.
    for outside in ["http", "src=", "href=", "<script", "@import", "url("] {
        assert!(!page.contains(outside), "{outside}");
    }
    let table = std::fs::read_to_string(folder.0.join("report.csv")).expect("a table");
    assert_eq!(table.lines().count(), 2, "{table}");
    // Another part and back: what was read is closed.
    w.click("Try a drill");
    w.click("Read attempts");
    assert!(!w.shows("1 attempt, 0 with the right cause"));
    type_into(&mut w, Role::TextInput, "Folder with attempts", &place);
    w.click("Read it");
    w.wait("the folder is read again", |a| {
        let snap = a.snapshot();
        !a.drills.busy(&snap)
    });
    w.click(&format!("Go through it: Swift, {}", drill().title));
    let marks = w.app().drills.marks().cloned().expect("marks");
    assert_eq!(marks.safety.given, 10.0, "{:?}", marks.safety.why);
    assert!(w.shows("Unsafe: opened fast"));
}

/// Writes a text into a field, in the place of what is there.
fn type_into(w: &mut Window, role: Role, field: &str, text: &str) {
    w.harness.get_by_role_and_label(role, field).focus();
    w.steps(1);
    w.harness.key_press_modifiers(Modifiers::COMMAND, Key::A);
    w.steps(1);
    w.harness.get_by_role_and_label(role, field).type_text(text);
    w.steps(2);
}

/// A nicked second seat shows at lock-up (common practice), so a drill with one can be solved with
/// a water gauge; that it can is worked out, not told.
#[test]
fn a_drill_is_put_down_judged_saved_and_tried() {
    let folder = Folder::new("build");
    let mut w = Window::open(&folder);
    w.turn_to("Drills");
    w.click("Build a drill");
    assert!(w.shows("Still needed"));
    type_into(&mut w, Role::TextInput, "Title", "A loud first flame");
    type_into(
        &mut w,
        Role::MultilineTextInput,
        "What the owner says",
        "It is big and loud in the morning.",
    );
    assert!(w.shows("Whether the owner reports escaping gas"));
    w.click("They do not");
    assert!(!w.shows("Whether the owner reports escaping gas"));
    w.harness
        .get_by_label("Second-stage seat nicked or worn")
        .click_accesskit();
    w.steps(3);
    w.click("Can it be solved?");
    w.wait("it is judged", |a| {
        let snap = a.snapshot();
        !a.drills.busy(&snap)
    });
    assert!(w.shows("It can be solved. Level "));
    assert!(w.shows("The best path"));
    let path = folder.0.join("loud.toml");
    let name = path.display().to_string();
    type_into(&mut w, Role::TextInput, "Hand it out", &name);
    w.click("Save it sealed");
    assert!(w.shows("Saved, sealed"));
    let drill = Drill::load(&path).expect("it can be read");
    assert_eq!(drill.title, "A loud first flame");
    assert!(drill.worked.is_some());
    w.click("Try it");
    w.wait("the drills are read", |a| {
        let snap = a.snapshot();
        !a.drills.busy(&snap)
    });
    assert!(w.shows("It is big and loud in the morning."));
    assert!(w.shows("Start the drill"));
}

#[test]
fn no_size_of_window_breaks_the_pages() {
    let folder = Folder::new("sizes");
    ended_attempt(&folder, "Lark");
    for size in [[0.0, 0.0], [1.0, 1.0], [300.0, 200.0], [1000.0, 680.0]] {
        let mut w = Window::of_size(&folder, Vec2::from(size));
        for (page, begins) in [
            (Page::Lessons, "lock_up"),
            (Page::Drills, "build"),
            (Page::Drills, "2: look; suspect"),
            (Page::Drills, "2: look; finish"),
        ] {
            w.app().look.page = page;
            w.steps(2);
            let ctx = w.harness.ctx.clone();
            w.app().begin(begins, &ctx);
            w.steps(4);
        }
    }
}

#[test]
fn a_name_is_asked_for() {
    let folder = Folder::new("nameless");
    let mut w = Window::open(&folder);
    w.turn_to("Drills");
    w.wait("the drills are read", |a| {
        let snap = a.snapshot();
        !a.drills.busy(&snap)
    });
    w.click("Start the drill");
    assert!(w.shows("Your name is needed first"));
    assert!(!w.app().drills.covered());
}

/// Each shipped lesson has one right answer in its run; here the one of "Lock-up": a healthy
/// regulator rises a little when everything is shut off, and stays (common practice, published by
/// makers as lock-up over set pressure).
#[test]
fn a_lesson_is_predicted_watched_and_kept() {
    let folder = Folder::new("lesson");
    let mut w = Window::open(&folder);
    w.turn_to("Lessons");
    let lessons = Lesson::shipped().expect("shipped lessons");
    let place = lessons
        .iter()
        .position(|l| l.id == "lock_up")
        .expect("a lesson");
    w.click(&format!("{}. {}", place + 1, lessons[place].title));
    w.wait("its rig stands ready", |a| {
        a.snapshot().scenario.title == lessons[place].scenario.title
    });
    let run = w.harness.get_by_label("Run the rig");
    assert!(run.accesskit_node().is_disabled(), "predict first");
    // What plays before tells the answer.
    w.click("Play");
    w.wait("it says why not", |_| true);
    assert!(w.shows("Predict first: then “Run the rig” plays it"));
    assert!(!w.app().snapshot().playing);
    w.click("Up a little, and there it stays");
    w.click("It has climbed further");
    w.click("Run the rig");
    w.wait("it plays", |a| a.snapshot().playing);
    w.click("Tell me the answer now");
    w.wait("the answer is told", |a| !a.lessons.busy());
    assert!(w.shows("1 of 2 right"));
    assert!(w.shows("Right: Up a little, and there it stays"));
    assert!(w.shows("You said: It has climbed further; it was: The same"));
    let kept = Progress::load(&folder.0.join("lessons.toml")).expect("kept");
    let record = kept.lessons.get("lock_up").expect("noted");
    assert_eq!((record.times, record.best, record.of), (1, 1, 2));
    w.click("← All lessons");
    assert!(w.shows("done, 1 of 2 right"));
}

#[test]
fn every_widget_of_the_pages_has_a_name() {
    let folder = Folder::new("names");
    let mut w = Window::open(&folder);
    let nameless = |w: &Window| -> Vec<String> {
        w.harness
            .root()
            .children_recursive()
            .filter(|n: &Node<'_>| {
                matches!(
                    n.accesskit_node().role(),
                    Role::Button
                        | Role::CheckBox
                        | Role::Slider
                        | Role::SpinButton
                        | Role::Tab
                        | Role::TextInput
                        | Role::ComboBox
                        | Role::RadioButton
                )
            })
            .filter(|n| {
                let node = n.accesskit_node();
                node.label().is_none_or(|l| l.trim().is_empty())
            })
            .map(|n| format!("{:?} at {:?}", n.accesskit_node().role(), n.rect()))
            .collect()
    };
    w.turn_to("Lessons");
    assert_eq!(nameless(&w), Vec::<String>::new(), "lessons");
    w.turn_to("Drills");
    for part in ["Read attempts", "Build a drill"] {
        w.click(part);
        assert_eq!(nameless(&w), Vec::<String>::new(), "{part}");
    }
    w.click("A second fault");
    w.click("Forbid something");
    assert_eq!(nameless(&w), Vec::<String>::new(), "a drill being built");
    w.click("Try a drill");
    w.wait("the drills are read", |a| {
        let snap = a.snapshot();
        !a.drills.busy(&snap)
    });
    assert_eq!(nameless(&w), Vec::<String>::new(), "the list");
    w.start("Owl");
    for column in ["Suspect", "Answer", "Measure"] {
        w.click(column);
        assert_eq!(nameless(&w), Vec::<String>::new(), "{column}");
    }
}
