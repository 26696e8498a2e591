//! What is on show gives way to another rig, goes into a file, or waits while one is built. Not here: the panels.

use egui::Ui;

use crate::drill::lesson::View;
use crate::scenario::Scenario;
use crate::service::{Device, Fitted, Kit, TestPoint};
use crate::sim::{Command, Snapshot};
use crate::window::app::App;
use crate::window::desk::{Desk, Page};
use crate::window::files::Way;
use crate::window::lessons::Show;
use crate::window::rig::Wish as Asks;

impl App {
    /// Does what an open lesson wants shown beside its column.
    pub(super) fn follow_lesson(&mut self, snap: &Snapshot) {
        for show in self.lessons.take_show() {
            match show {
                Show::View(view) => {
                    let was = self.outside.is_outside();
                    self.looked_from.get_or_insert(was);
                    let is_outside = view == View::Outside;
                    self.outside.stand(f32::from(u8::from(!is_outside)));
                    if is_outside {
                        self.hang_a_manometer();
                    }
                }
                Show::Part(part) => self.cutaway.kept = Some(part),
                Show::NoPart => self.cutaway.kept = None,
                Show::AsBefore => {
                    if let Some(was) = self.looked_from.take() {
                        self.outside.stand(f32::from(u8::from(!was)));
                    }
                }
            }
        }
        self.charts.told = self.lessons.told(snap, self.look.units);
        if self.lessons.covers(snap) && !self.drills.covered() {
            self.look.page = Page::Lessons;
        }
    }

    /// Sees to a manometer at the outlet; an instrument that hangs elsewhere gives way where no more have room.
    fn hang_a_manometer(&self) {
        let rack = self.bench.rack();
        let hangs = rack
            .seen()
            .fitted
            .iter()
            .any(|f| f.point == TestPoint::Outlet && matches!(f.device, Device::Manometer(_)));
        let device = Device::Manometer(Kit::default().manometer);
        if !hangs && !rack.fit(TestPoint::Outlet, device) {
            let point = TestPoint::Outlet;
            rack.replace(0, Fitted { point, device });
        }
    }

    /// Opens a file, or says what is wrong with it.
    pub fn open(&mut self, path: &std::path::Path) {
        match Scenario::load(path) {
            Ok(scenario) => {
                self.files.set_path(path);
                self.take_up(Box::new(scenario));
            }
            Err(mistakes) => self.files.say(
                format!("{} cannot be run as it is", path.display()),
                mistakes.to_string(),
                true,
            ),
        }
    }

    /// Takes a scenario: the form takes it if it is open, else it runs once nothing is lost by that.
    pub(super) fn take_up(&mut self, scenario: Box<Scenario>) {
        if self.look.building {
            self.rig.take(&scenario, self.look.units);
        } else {
            self.start(scenario);
        }
    }

    /// Runs a scenario in the place of what runs; asks first where hands have been on that.
    fn start(&mut self, scenario: Box<Scenario>) {
        let snap = self.session.snapshot();
        if snap.touched || snap.aside.as_ref().is_some_and(|aside| aside.touched) {
            self.keep.ask(scenario);
        } else {
            self.run(scenario);
        }
    }

    pub(super) fn run(&mut self, scenario: Box<Scenario>) {
        let command = Command::Load(scenario);
        let generation = self.session.snapshot().generation;
        self.held.takes_up(&command, generation);
        self.session.send(command);
        if self.look.building {
            self.look.building = false;
            self.session.send(Command::Rate(1.0));
            self.session.send(Command::Play);
        }
    }

    /// Shows the form or leaves it; time holds while it is open.
    pub(super) fn build(&mut self, on: bool) {
        if on == self.look.building {
            return;
        }
        self.look.building = on;
        if on {
            self.rig.ran = self.session.snapshot().playing;
            self.session.send(Command::Pause);
        } else if self.rig.ran {
            self.session.send(Command::Play);
        }
    }

    pub(super) fn save(&mut self, path: &std::path::Path) {
        let system = self.look.units.system();
        let text = if !self.look.building {
            self.session.snapshot().as_it_stands().to_toml(system)
        } else if let Some(scenario) = self.rig.scenario() {
            scenario.to_toml(system)
        } else {
            let headline = "The form cannot be saved as it is";
            self.files.say(headline, self.rig.wrong(), true);
            return;
        };
        match crate::form::store::write_file(path, text.as_bytes()) {
            Ok(()) => {
                self.files.set_path(path);
                self.files
                    .say(format!("Saved {}", path.display()), "", false);
            }
            Err(error) => self.files.say(
                format!(
                    "{} could not be written: {error}. Choose another place",
                    path.display()
                ),
                "",
                true,
            ),
        }
    }

    /// Draws the form and does what it asks for.
    pub(super) fn form_ui(&mut self, ui: &mut Ui, desk: &Desk<'_>) {
        match self.rig.show(ui, desk.snap, desk.units, desk.theme) {
            None => {}
            Some(Asks::Leave) => self.look.building = false,
            Some(Asks::Open) => self.files.ask(Way::Open),
            Some(Asks::Save) => self.files.ask(Way::Save),
            Some(Asks::Begin) => self.files.set_path(std::path::Path::new("")),
            Some(Asks::Start(scenario)) => self.start(scenario),
        }
    }
}
