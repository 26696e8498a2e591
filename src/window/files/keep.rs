//! Asks before what runs gives way to another rig, where hands have been on it: what was done by hand is in no file yet.

use egui::{RichText, Ui, vec2};

use crate::scenario::Scenario;
use crate::sim::Snapshot;
use crate::window::look::show::clock;
use crate::window::look::theme::{LEAD, Theme, main_button, plain, title};

/// A scenario that waits for an answer.
#[derive(Default)]
pub struct Keep {
    waiting: Option<Box<Scenario>>,
}

/// What was answered.
pub enum Kept {
    /// Nothing yet, or to keep what runs.
    Nothing,
    /// What runs is to be saved first.
    Save,
    /// It may go.
    Start(Box<Scenario>),
}

impl Keep {
    /// Asks before this scenario starts.
    pub fn ask(&mut self, scenario: Box<Scenario>) {
        self.waiting = Some(scenario);
    }

    /// Takes the question back, if there is one: what runs stays.
    pub fn drop_it(&mut self) -> bool {
        self.waiting.take().is_some()
    }

    /// Draws the question while there is one.
    pub fn show(&mut self, ui: &Ui, snap: &Snapshot) -> Kept {
        let Some(waiting) = &self.waiting else {
            return Kept::Nothing;
        };
        let (t, mut open) = (Theme::of(ui), true);
        let (mut start, mut save, mut stay) = (false, false, false);
        let name = format!("Start “{}”?", waiting.title);
        egui::Window::new(title(name, LEAD))
            .id(egui::Id::unique("keep what runs"))
            .open(&mut open)
            .collapsible(false)
            .resizable(false)
            .anchor(egui::Align2::CENTER_TOP, vec2(0.0, 90.0))
            .show(ui.ctx(), |ui| {
                ui.set_max_width(460.0);
                ui.label(in_words(snap));
                ui.add_space(6.0);
                ui.horizontal(|ui| {
                    start = ui.add(main_button(&t, "Start it")).clicked();
                    save = ui.button("Save what runs first…").clicked();
                    stay = ui.button("Keep what runs").clicked();
                });
                let hint = "What runs is saved as it stands; then ask for the new rig again";
                ui.label(RichText::new(hint).font(plain(12.0)).color(t.soft));
            });
        if start && let Some(scenario) = self.waiting.take() {
            return Kept::Start(scenario);
        }
        if stay || save || !open {
            self.waiting = None;
        }
        if save { Kept::Save } else { Kept::Nothing }
    }
}

/// What would be lost.
fn in_words(snap: &Snapshot) -> String {
    let faults = match snap.faults.len() {
        0 => "what you have done to it".to_owned(),
        1 => "the fault in it and what you have done to it".to_owned(),
        n => format!("the {n} faults in it and what you have done to it"),
    };
    let (name, at) = (&snap.scenario.title, clock(snap.readings.time_s, 0));
    let ends = format!("“{name}” is at {at}. It ends, with {faults}, and that is in no file.");
    let Some(aside) = &snap.aside else {
        return ends;
    };
    let (waits, at) = (&aside.scenario.title, clock(aside.at_s, 0));
    let waits = format!("“{waits}”, which waits at {at}, ends too.");
    if snap.touched {
        format!("{ends} {waits}")
    } else {
        format!("“{name}” ends. {waits}")
    }
}
