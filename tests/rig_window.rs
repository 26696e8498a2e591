//! A rig built in the form of the window: two as in practice, set up by hand with every deed counted; mistakes told
//! beside their field; undo; saved, opened again, started. Drives the real panels without a display.

mod panels;

use std::path::PathBuf;

use egui::accesskit::Role;
use egui::{Event, Key, Modifiers, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT, Queryable};
use twostage::fault::Fault;
use twostage::rig::{Appliance, Ignition, Kind, Material, Mounting, Phase};
use twostage::scenario::{Action, Scenario};
use twostage::sim::Command;
use twostage::units::{W_PER_BTU_PER_H, inwc_to_pa};
use twostage::window::App;

/// The keystroke-level model (Card, Moran and Newell 1980, published): a key of an average typist who is none, pointing, a
/// press of the button, the hand between mouse and keys, and making up one's mind \[s\].
const KEY_S: f64 = 0.28;
const POINT_S: f64 = 1.1;
const PRESS_S: f64 = 0.2;
const HOME_S: f64 = 0.4;
const MIND_S: f64 = 1.35;
/// What a rig may take to be set up \[s\].
const THREE_MINUTES_S: f64 = 180.0;

/// A person at the form, every deed counted.
struct Hands {
    w: Harness<'static, Option<App>>,
    clicks: usize,
    keys: usize,
    fields: usize,
}

impl Hands {
    fn open(width: f32, height: f32) -> Self {
        let w = panels::harness(vec2(width, height), |ctx| {
            App::new(ctx, Scenario::opening()).expect("the opening scenario starts")
        });
        let (clicks, keys, fields) = (0, 0, 0);
        let mut hands = Self {
            w,
            clicks,
            keys,
            fields,
        };
        // A small window keeps it under "Rig".
        if hands.w.query_by_label("Build…").is_none() {
            hands
                .w
                .get_by_role_and_label(Role::Button, "Rig")
                .click_accesskit();
            hands.w.run_steps(3);
            hands.clicks += 1;
        }
        hands.click("Build…");
        hands
    }

    fn took_under_three_minutes(&self, what: &str) {
        let (clicks, keys, took_s) = (self.clicks, self.keys, self.seconds());
        println!("{what}: {clicks} clicks, {keys} keys, {took_s:.0} s");
        assert!(took_s < THREE_MINUTES_S, "{clicks} clicks, {keys} keys");
    }

    fn app(&mut self) -> &mut App {
        panels::app(&mut self.w)
    }

    fn click(&mut self, label: &str) {
        self.w.get_by_label(label).click();
        self.w.run_steps(3);
        self.clicks += 1;
    }

    fn click_containing(&mut self, label: &str) {
        self.w.get_by_label_contains(label).click();
        self.w.run_steps(3);
        self.clicks += 1;
    }

    fn tab(&mut self, label: &str) {
        self.w.get_by_role_and_label(Role::Tab, label).click();
        self.w.run_steps(3);
        self.clicks += 1;
    }

    /// Clicks a field, which chooses what stands there, and types.
    fn fill(&mut self, field: &str, text: &str) {
        self.w.get_by_role_and_label(Role::TextInput, field).click();
        self.w.run_steps(3);
        self.w.event(Event::Text(text.to_owned()));
        self.w.run_steps(2);
        self.clicks += 1;
        self.fields += 1;
        self.keys += text.chars().count();
    }

    /// Opens a list and picks from it.
    fn pick(&mut self, list: &str, entry: &str) {
        self.w.get_by_label_contains(list).click();
        self.w.run_steps(3);
        let found = self.w.query_all_by_label(entry).collect::<Vec<_>>();
        // The list that opened lies on top, and is told last.
        found
            .last()
            .unwrap_or_else(|| panic!("no {entry} in {list}"))
            .click();
        self.w.run_steps(3);
        self.clicks += 2;
    }

    fn told(&self, words: &str) -> bool {
        self.w.query_all_by_label_contains(words).next().is_some()
    }

    /// Time by the keystroke-level model: each field is decided on and reached for, each other click decided on.
    fn seconds(&self) -> f64 {
        self.clicks as f64 * (MIND_S + POINT_S + PRESS_S)
            + self.keys as f64 * KEY_S
            + self.fields as f64 * 2.0 * HOME_S
    }

    fn start(&mut self) -> Scenario {
        let before = self.app().snapshot().generation;
        self.click("Start this rig");
        panels::wait(&mut self.w, "the rig runs", move |a| {
            a.snapshot().generation > before
        });
        Scenario::clone(&self.app().snapshot().scenario)
    }
}

fn btu(a: &Appliance) -> f64 {
    (a.input_w / W_PER_BTU_PER_H).round()
}

fn temporary(name: &str) -> PathBuf {
    std::env::temp_dir().join(format!("twostage-rig-{name}-{}.toml", std::process::id()))
}

/// A trailer: two 20 lb bottles on the tongue, regulator under a cover, three sections of pipe, five appliances.
#[test]
fn a_trailer_with_two_bottles_is_set_up_in_three_minutes() {
    let mut h = Hands::open(1280.0, 720.0);
    h.click("New rig");
    h.click("Two, with changeover");
    h.fill("Left, fill", "12");
    h.tab("Regulator and pipe");
    h.click("under a cover");
    for _ in 0..3 {
        h.click("Add a section");
    }
    h.pick("Section 1, material", "hose");
    h.pick("Section 1, size", "3/8 in");
    h.fill("Section 1, length", "2");
    h.pick("Section 2, material", "black iron");
    h.fill("Section 2, length", "14");
    h.fill("Section 3, length", "4");
    h.tab("Appliances");
    for kind in ["furnace", "water heater", "refrigerator", "cooktop", "oven"] {
        h.click(&format!("Add {kind}"));
    }
    h.fill("Appliance 4, rating", "9000");
    h.fill("Appliance 1, rating", "25000");
    h.click("Appliance 1, in use at the start");
    h.click("Appliance 2, in use at the start");
    h.click("Appliance 3, in use at the start");
    h.tab("Place and faults");
    h.fill("Air", "18");
    h.fill("Elevation", "2100");
    let s = h.start();
    h.took_under_three_minutes("trailer");
    assert_eq!(s.rig.containers.len(), 2);
    assert!((s.charges[0].fill - 0.12).abs() < 1e-9 && (s.charges[1].fill - 0.8).abs() < 1e-9);
    assert_eq!(s.rig.body.mounted, Mounting::Cover);
    let laid: Vec<(Material, &str)> = s
        .sections
        .iter()
        .map(|p| (p.material, p.size_word()))
        .collect();
    let wanted = [
        (Material::Hose, "3/8 in"),
        (Material::Iron, "1/2 in"),
        (Material::Copper, "1/2 in"),
    ];
    assert_eq!(laid, wanted);
    assert!((s.sections[1].length_m / 0.3048 - 14.0).abs() < 1e-6);
    let plates: Vec<f64> = s.rig.appliances.iter().map(btu).collect();
    assert_eq!(plates, [25_000.0, 10_000.0, 1_500.0, 9_000.0, 7_100.0]);
    assert_eq!(s.on_at_start, [true, true, true, false, false]);
    // It runs, and holds its pressure.
    panels::wait(&mut h.w, "time passes", |a| {
        a.snapshot().readings.time_s > 0.3
    });
    let outlet_pa = h.app().snapshot().readings.outlet_pa;
    assert!(
        (inwc_to_pa(9.5)..inwc_to_pa(14.0)).contains(&outlet_pa),
        "{outlet_pa}"
    );
}

/// A motorhome: a frame tank, the regulator in a compartment, two furnaces by their plates.
#[test]
fn a_motorhome_with_a_frame_tank_is_set_up_in_three_minutes() {
    let mut h = Hands::open(1024.0, 768.0);
    h.click("New rig");
    h.click("Frame tank");
    h.fill("Container, fill", "45 %");
    h.tab("Regulator and pipe");
    h.click("in a compartment");
    h.click("Add a section");
    h.click("Add a section");
    h.pick("Section 1, material", "black iron");
    h.pick("Section 1, size", "3/4 in");
    h.fill("Section 1, length", "3");
    h.fill("Section 2, length", "22 ft");
    h.tab("Appliances");
    for kind in [
        "furnace",
        "furnace",
        "on-demand heater",
        "refrigerator",
        "cooktop",
    ] {
        h.click(&format!("Add {kind}"));
    }
    h.fill("Appliance 1, name", "front furnace");
    h.fill("Appliance 1, rating", "25000");
    h.fill("Appliance 2, name", "rear furnace");
    h.fill("Appliance 2, rating", "20000");
    h.fill("Appliance 5, rating", "8000");
    h.pick("Appliance 4, control", "standing pilot");
    h.tab("Place and faults");
    h.fill("Air", "34");
    let s = h.start();
    h.took_under_three_minutes("motorhome");
    assert_eq!(s.rig.body.mounted, Mounting::Compartment);
    assert_eq!(s.rig.body.sun_k_m2_per_w, 0.0);
    assert!((s.rig.containers[0].volume_m3 - 0.116).abs() < 1e-3);
    let names: Vec<&str> = s.rig.appliances.iter().map(|a| a.name.as_str()).collect();
    assert_eq!(
        names,
        [
            "front furnace",
            "rear furnace",
            "on-demand heater",
            "refrigerator",
            "cooktop"
        ]
    );
    let plates: Vec<f64> = s.rig.appliances.iter().map(btu).collect();
    assert_eq!(plates, [25_000.0, 20_000.0, 42_000.0, 1_500.0, 8_000.0]);
    assert!(matches!(
        s.rig.appliances[3].ignition,
        Ignition::Pilot { .. }
    ));
}

/// What is typed wrongly is told in the reader's words beside the field, the picture keeps the last right rig, and
/// undo takes it back.
#[test]
fn a_mistake_is_told_as_a_file_s_would_be_and_undone() {
    let mut h = Hands::open(1400.0, 900.0);
    h.click("Rig on show");
    h.fill("Container, fill", "120");
    assert!(h.told("Fill is 120 %; try from 0 % to 99 %"));
    assert!(h.told("Supply (1 wrong)"));
    let button = h.w.get_by_label("Start this rig");
    assert!(button.accesskit_node().is_disabled());
    h.w.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    h.w.run_steps(3);
    assert!(!h.told("wrong"));
    h.w.key_press_modifiers(Modifiers::COMMAND, Key::Y);
    h.w.run_steps(3);
    assert!(h.told("Supply (1 wrong)"));
    h.click("Undo");
    h.tab("Appliances");
    let before = h.app().snapshot().scenario.rig.appliances.len();
    h.click("Take appliance 1 out");
    h.click("Undo");
    let s = h.start();
    assert_eq!(s.rig.appliances.len(), before);
    assert!(s.rig.appliances.iter().any(|a| a.kind == Kind::Furnace));
}

/// With the form open what runs holds still, and goes on when one comes back; the form keeps what is on it.
#[test]
fn what_runs_is_kept_while_the_form_is_open() {
    let mut h = Hands::open(1400.0, 900.0);
    panels::wait(&mut h.w, "time holds", |a| !a.snapshot().playing);
    let title = h.app().snapshot().scenario.title.clone();
    h.click("New rig");
    h.fill("Container, fill", "33");
    // Keys that touch the rig rest.
    h.tab("Appliances");
    h.w.key_press(Key::Num4);
    h.w.key_press(Key::Space);
    h.w.run_steps(2);
    assert!(!h.app().snapshot().playing);
    h.tab("Supply");
    h.w.key_press(Key::Escape);
    h.w.run_steps(2);
    panels::wait(&mut h.w, "time runs", |a| a.snapshot().playing);
    assert_eq!(h.app().snapshot().scenario.title, title);
    h.click("Build…");
    let now =
        h.w.get_by_role_and_label(Role::TextInput, "Container, fill")
            .value();
    assert_eq!(now.as_deref(), Some("33 %"));
}

/// Where hands have been on what runs, it is asked before another rig takes its place.
#[test]
fn nothing_done_by_hand_is_thrown_away_without_asking() {
    let mut h = Hands::open(1400.0, 900.0);
    let generation = h.app().snapshot().generation;
    h.app().send(Command::Act(Action::Switch {
        appliance: 0,
        on: false,
    }));
    panels::wait(&mut h.w, "it is done", |a| a.snapshot().touched);
    h.click("New rig");
    h.click("Start this rig");
    panels::wait(&mut h.w, "the rig is tried", |a| !a.busy());
    h.w.run_steps(3);
    assert!(h.told("that is in no file"));
    h.click("Keep what runs");
    assert_eq!(h.app().snapshot().generation, generation);
    h.click("Start this rig");
    panels::wait(&mut h.w, "the rig is tried", |a| !a.busy());
    h.w.run_steps(3);
    h.click("Start it");
    panels::wait(&mut h.w, "the new rig runs", move |a| {
        a.snapshot().generation > generation
    });
    assert_eq!(h.app().snapshot().scenario.title, "A new rig");
    // A file dropped or opened is asked about as well.
    let path = temporary("asked");
    std::fs::write(
        &path,
        Scenario::opening().to_toml(twostage::units::System::Us),
    )
    .expect("written");
    h.app().send(Command::Act(Action::Tap));
    panels::wait(&mut h.w, "tapped", |a| a.snapshot().touched);
    h.app().open(&path);
    h.w.run_steps(3);
    assert!(h.told("Start “Supper at Sorrel Flat”?"));
    h.w.key_press(Key::Escape);
    h.w.run_steps(3);
    assert!(!h.told("Start “Supper at Sorrel Flat”?"));
    std::fs::remove_file(&path).expect("it was there");
}

/// What is saved opens as it stood: a fault put in by hand, a screw, a burner; and the form's own rig the same.
#[test]
fn save_writes_the_rig_as_it_stands() {
    let mut h = Hands::open(1400.0, 900.0);
    h.click("Back to what runs");
    let fault = Fault::named("second_seat_nick").expect("in the catalogue");
    for action in [
        Action::Inject {
            fault,
            severity: 0.62,
            over_s: 0.0,
        },
        Action::Switch {
            appliance: 4,
            on: true,
        },
    ] {
        h.app().send(Command::Act(action));
    }
    panels::wait(&mut h.w, "both are done", |a| {
        let snap = a.snapshot();
        snap.faults
            .iter()
            .any(|f| f.severity_soon(snap.readings.time_s) > 0.6)
            && snap.readings.appliances[4].phase != Phase::Off
    });
    let path = temporary("stands");
    h.w.key_press_modifiers(Modifiers::COMMAND, Key::S);
    h.w.run_steps(6);
    h.w.get_by_role_and_label(Role::TextInput, "File").focus();
    h.w.run_steps(2);
    h.w.event(Event::Text(path.display().to_string()));
    h.w.run_steps(2);
    h.w.key_press(Key::Enter);
    h.w.run_steps(4);
    let opened = Scenario::load(&path).unwrap_or_else(|e| panic!("{e}"));
    assert!(opened.on_at_start[4]);
    let injected = opened.events.iter().find_map(|e| match e.action {
        Action::Inject {
            fault, severity, ..
        } => Some((fault, severity)),
        _ => None,
    });
    assert_eq!(injected, Some((fault, 0.62)));
    // The form reads the file, says the same, and writes it back to the same.
    h.click("Build…");
    h.app().open(&path);
    h.w.run_steps(3);
    let again = h.start_asked();
    assert_eq!(again, opened);
    std::fs::remove_file(&path).expect("it was there");
}

impl Hands {
    /// Starts where hands have been on what runs, and says yes.
    fn start_asked(&mut self) -> Scenario {
        let before = self.app().snapshot().generation;
        self.click("Start this rig");
        panels::wait(&mut self.w, "the rig is tried", |a| !a.busy());
        self.w.run_steps(3);
        self.click("Start it");
        panels::wait(&mut self.w, "the rig runs", move |a| {
            a.snapshot().generation > before
        });
        Scenario::clone(&self.app().snapshot().scenario)
    }
}

/// A supply fault says which side it strikes, in the form and on the page of faults.
#[test]
fn a_supply_fault_says_its_side() {
    let mut h = Hands::open(1400.0, 900.0);
    h.click("New rig");
    h.click("Two, with changeover");
    h.tab("Place and faults");
    h.click("Put a fault in");
    let family = Fault::named("hose_kinked")
        .expect("known")
        .entry()
        .family
        .words();
    h.click_containing(&family[1..]);
    let name = Fault::named("hose_kinked.right").expect("known").name();
    assert!(name.ends_with("right side"));
    h.click(&name);
    h.fill(&format!("{name}, severity"), "40");
    let s = h.start();
    assert!(s.events.iter().any(
        |e| matches!(e.action, Action::Inject { fault, severity, .. }
        if fault.name() == name && (severity - 0.4).abs() < 1e-9)
    ));
    panels::wait(&mut h.w, "it is in", |a| !a.snapshot().faults.is_empty());
    h.w.run_steps(3);
    assert!(h.told(&name));
}

/// Every field has a name for a screen reader, on every page of the form and at every size that the panels are made for.
#[test]
fn every_field_of_the_form_has_a_name() {
    for (width, height) in [(1000.0, 680.0), (1280.0, 720.0), (1600.0, 1000.0)] {
        let mut h = Hands::open(width, height);
        for page in [
            "Supply",
            "Regulator and pipe",
            "Appliances",
            "Place and faults",
        ] {
            h.tab(page);
            for node in h.w.root().children_recursive() {
                let role = node.accesskit_node().role();
                if matches!(
                    role,
                    Role::TextInput | Role::Button | Role::CheckBox | Role::ComboBox | Role::Tab
                ) {
                    let label = node.accesskit_node().label();
                    assert!(
                        label.is_some_and(|l| !l.trim().is_empty()),
                        "{page}: {role:?} at {:?}",
                        node.rect()
                    );
                    assert!(
                        node.rect().right() <= width + 1.0,
                        "{page} at {width}: {:?}",
                        node.rect()
                    );
                }
            }
        }
    }
}
