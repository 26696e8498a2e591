//! The window as people use it: keys, labels, wrong files, odd sizes. Drives the real panels on a
//! real session, without a display; where the session's thread must answer, the test waits for it.

use std::time::{Duration, Instant};

use egui::accesskit::Role;
use egui::{Key, Modifiers, Vec2, vec2};
use egui_kittest::kittest::{NodeT, Queryable};
use egui_kittest::{Harness, Node};
use twostage::rig::{Appliance, Charge, Kind, Phase, Rig, Site, presets};
use twostage::scenario::{Run, Scenario};
use twostage::window::App;

/// Longest wait for the session's thread.
const PATIENCE: Duration = Duration::from_secs(20);
fn scenario() -> Scenario {
    let kinds = [Kind::Furnace, Kind::WaterHeater, Kind::Cooktop];
    let appliances: Vec<Appliance> = kinds.iter().map(|k| presets::appliance(*k)).collect();
    let container = presets::container("30 lb cylinder").expect("a preset");
    Scenario {
        title: "Test meadow".to_owned(),
        summary: "A rig for tests".to_owned(),
        rig: Rig::standard(vec![container], appliances),
        site: Site::calm(280.0, 300.0),
        charges: vec![Charge {
            fill: 0.6,
            temperature_k: 280.0,
            air_pa: 0.0,
        }],
        valves_open: vec![true],
        service_side: 0,
        on_at_start: vec![false, false, false],
        events: Vec::new(),
        run: Run {
            duration_s: 600.0,
            sample_s: 1.0,
            settle_s: 20.0,
        },
    }
}

/// The window in a harness.
struct Window {
    harness: Harness<'static, Option<App>>,
}

impl Window {
    fn open(size: Vec2) -> Self {
        let mut fresh = true;
        let harness = Harness::builder()
            .with_size(size)
            .with_theme(egui::Theme::Light)
            .with_step_dt(1.0 / 60.0)
            .build_ui_state(
                move |ui: &mut egui::Ui, state: &mut Option<App>| {
                    if std::mem::take(&mut fresh) {
                        let app = App::new(ui.ctx(), scenario());
                        *state = Some(app.expect("the test scenario starts"));
                        // Fonts set now are there from the next frame on.
                        ui.ctx().request_repaint();
                        return;
                    }
                    if let Some(app) = state {
                        app.ui_all(ui);
                    }
                },
                None,
            );
        let mut window = Self { harness };
        window.steps(3);
        window
    }

    fn steps(&mut self, n: usize) {
        self.harness.run_steps(n);
    }

    fn app(&mut self) -> &mut App {
        self.harness.state_mut().as_mut().expect("the app is up")
    }

    fn press(&mut self, key: Key) {
        self.harness.key_press(key);
        self.steps(2);
    }

    fn wait(&mut self, what: &str, mut done: impl FnMut(&mut App) -> bool) {
        let begun = Instant::now();
        while !done(self.app()) {
            assert!(begun.elapsed() < PATIENCE, "waited in vain until {what}");
            std::thread::sleep(Duration::from_millis(5));
            self.steps(1);
        }
        self.steps(2);
    }

    fn pause(&mut self) {
        if self.app().snapshot().playing {
            self.press(Key::Space);
            self.wait("time holds", |a| !a.snapshot().playing);
        }
    }
}

fn comfortable() -> Window {
    Window::open(vec2(1400.0, 900.0))
}

#[test]
fn key_1_lights_and_shuts_the_first_burner() {
    let mut w = comfortable();
    assert_eq!(w.app().snapshot().readings.appliances[0].phase, Phase::Off);
    w.press(Key::Num1);
    w.wait("the furnace is on", |a| {
        a.snapshot().readings.appliances[0].phase != Phase::Off
    });
    w.press(Key::Num1);
    w.wait("the furnace is off", |a| {
        a.snapshot().readings.appliances[0].phase == Phase::Off
    });
}

#[test]
fn space_pauses_and_plays() {
    let mut w = comfortable();
    w.pause();
    w.press(Key::Space);
    w.wait("time runs", |a| a.snapshot().playing);
}

#[test]
fn a_space_typed_into_a_field_stays_there() {
    let mut w = comfortable();
    let field = w.harness.get_by_role(Role::TextInput);
    field.focus();
    w.steps(2);
    w.harness
        .get_by_role(Role::TextInput)
        .type_text("vent seal");
    w.press(Key::Space);
    w.press(Key::Num1);
    assert!(w.app().snapshot().playing);
    assert_eq!(w.app().snapshot().readings.appliances[0].phase, Phase::Off);
}

#[test]
fn brackets_change_the_pace() {
    let mut w = comfortable();
    w.press(Key::CloseBracket);
    w.wait("time runs faster", |a| a.snapshot().rate > 1.5);
    for _ in 0..4 {
        w.press(Key::OpenBracket);
    }
    w.wait("time runs slower", |a| a.snapshot().rate < 0.15);
}

#[test]
fn a_step_moves_a_little_and_backspace_goes_back() {
    let mut w = comfortable();
    w.wait("some time has passed", |a| {
        a.snapshot().readings.time_s > 0.3
    });
    w.pause();
    let before = w.app().snapshot().readings.time_s;
    w.press(Key::Period);
    w.wait("a step is done", |a| a.snapshot().readings.time_s > before);
    assert!(w.app().snapshot().readings.time_s - before < 0.05);
    w.press(Key::Backspace);
    w.wait("it is earlier", |a| a.snapshot().readings.time_s < before);
}

#[test]
fn every_panel_is_named_and_told() {
    let mut w = comfortable();
    w.pause();
    for label in [
        "Cutaway of the regulator",
        "Charts over time",
        "Container 1:",
        "furnace, 30,000 Btu/h, off",
        "Time ruler",
        "Pace of time",
    ] {
        assert!(
            w.harness
                .query_all_by_label_contains(label)
                .next()
                .is_some(),
            "nothing is named {label}"
        );
    }
}

/// Everything that can be pressed, dragged or typed into.
fn is_input(role: Role) -> bool {
    matches!(
        role,
        Role::Button
            | Role::CheckBox
            | Role::Switch
            | Role::Slider
            | Role::SpinButton
            | Role::Tab
            | Role::TextInput
            | Role::Link
            | Role::RadioButton
    )
}

#[test]
fn every_widget_has_a_name_on_every_page() {
    let mut w = comfortable();
    w.pause();
    for page in ["Bench", "Numbers", "Faults"] {
        w.harness.get_by_role_and_label(Role::Tab, page).click();
        w.steps(3);
        let nameless: Vec<String> = w
            .harness
            .root()
            .children_recursive()
            .filter(|n: &Node<'_>| is_input(n.accesskit_node().role()))
            .filter(|n| {
                let node = n.accesskit_node();
                node.label().is_none_or(|l| l.trim().is_empty())
            })
            .map(|n| format!("{:?} at {:?}", n.accesskit_node().role(), n.rect()))
            .collect();
        assert!(nameless.is_empty(), "{page}: {nameless:?}");
    }
}

#[test]
fn a_diaphragm_answers_a_press_from_the_keyboard_reader() {
    let mut w = comfortable();
    w.pause();
    let first = "Forces on the first-stage diaphragm";
    w.harness.get_by_label(first).click_accesskit();
    w.steps(3);
    let toggled = w.harness.get_by_label(first).accesskit_node().toggled();
    assert_eq!(toggled, Some(egui::accesskit::Toggled::True));
}

#[test]
fn units_change_everywhere_at_one_key() {
    let mut w = comfortable();
    w.pause();
    assert!(w.harness.query_by_label_contains("Outlet").is_some());
    w.press(Key::U);
    let charts = w.harness.get_by_label_contains("Charts over time");
    let told = charts.accesskit_node().label().unwrap_or_default();
    assert!(told.contains("kPa") && !told.contains("psig"), "{told}");
}

#[test]
fn a_wrong_file_is_explained_and_nothing_is_lost() {
    let mut w = comfortable();
    w.wait("some time has passed", |a| {
        a.snapshot().readings.time_s > 0.2
    });
    let before = w.app().snapshot().readings.time_s;
    let path = std::env::temp_dir().join(format!("twostage-wrong-{}.toml", std::process::id()));
    std::fs::write(&path, "title = \"Wrong\"\n[site]\nair = \"11 feet\"\n")
        .expect("a place for a file");
    w.app().open(&path);
    w.steps(3);
    let told = |w: &Window| {
        w.harness
            .query_all_by_label_contains("11 feet")
            .next()
            .is_some()
    };
    assert!(told(&w), "the mistake is shown with its line");
    assert!(w.app().snapshot().readings.time_s >= before);
    assert_eq!(w.app().snapshot().scenario.title, "Test meadow");
    w.press(Key::Escape);
    assert!(!told(&w), "Escape closes the notice");
    std::fs::remove_file(&path).expect("the file was there");
}

#[test]
fn the_file_panel_opens_by_key_and_takes_a_path() {
    let mut w = comfortable();
    w.pause();
    w.harness.key_press_modifiers(Modifiers::COMMAND, Key::O);
    w.steps(3);
    assert!(w.harness.query_by_label("Open a scenario").is_some());
    w.press(Key::Escape);
    w.press(Key::Escape);
    assert!(w.harness.query_by_label("Open a scenario").is_none());
}

#[test]
fn the_help_sheet_lists_the_keys() {
    let mut w = comfortable();
    w.pause();
    w.press(Key::F1);
    for words in [
        "play or pause",
        "one small step",
        "light or shut off a burner",
    ] {
        assert!(w.harness.query_by_label(words).is_some(), "{words}");
    }
}

#[test]
fn no_size_of_window_breaks_it() {
    for size in [
        [0.0, 0.0],
        [1.0, 1.0],
        [40.0, 900.0],
        [300.0, 200.0],
        [1000.0, 680.0],
        [3840.0, 2160.0],
    ] {
        let mut w = Window::open(Vec2::from(size));
        w.steps(4);
    }
}

#[test]
fn a_fault_is_put_in_and_cleared_by_hand() {
    let mut w = comfortable();
    w.pause();
    w.harness.get_by_label("Second-stage vent blocked").click();
    w.steps(3);
    w.harness.get_by_label("Put it in").click();
    w.steps(2);
    w.wait("the fault is in", |a| a.snapshot().faults.len() == 1);
    w.harness.get_by_label("Clear it").click();
    w.steps(2);
    w.wait("the fault is out", |a| a.snapshot().faults.is_empty());
}

#[test]
fn a_shipped_scenario_runs_at_a_click() {
    let mut w = comfortable();
    w.pause();
    w.harness.key_press_modifiers(Modifiers::COMMAND, Key::O);
    w.steps(4);
    w.harness
        .get_by_label("A quiet evening at Hob's Landing")
        .click();
    w.steps(2);
    w.wait("the other scenario runs", |a| {
        a.snapshot().scenario.title.starts_with("A quiet evening")
    });
}

#[test]
fn every_shipped_scenario_can_be_read() {
    for (name, text) in twostage::scenario::SHIPPED {
        if let Err(mistakes) = Scenario::parse(name, text) {
            panic!("{mistakes}");
        }
    }
}
