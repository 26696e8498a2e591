//! Readings that come from elsewhere (the bench, a file, the rig on show) take the form's place;
//! what stood there is set aside and can be brought back, so that nothing typed is lost.

use egui::Ui;

use super::beside::BesideForm;
use super::{CausesPage, Which};
use crate::diagnosis::files::readings::Readings;
use crate::diagnosis::library::standard::rig_of;
use crate::rig::Phase;
use crate::scenario::Scenario;
use crate::service::Kit;
use crate::visit::Id;
use crate::window::desk::Desk;
use crate::window::look::show::Units;
use crate::window::look::theme::quiet;

/// What every visit begins with, as the instruments of the bench show it: the air, and the container while nothing burns.
fn with_air_and_container(noted: &Readings, desk: &Desk<'_>) -> Readings {
    let (mut out, n, kit) = (noted.clone(), &desk.snap.readings, Kit::default());
    let air = &mut out.values[Id::Air.index()];
    *air = air.or(Some(kit.thermometer.at_rest(n.air_k)));
    let rests = n.appliances.iter().all(|a| a.phase != Phase::Burning);
    let side = n.service_side.min(n.containers.len() - 1);
    let container = &mut out.values[Id::Container.index()];
    if rests && container.is_none() {
        *container = Some(kit.high_side(n.containers[side].pressure_pa));
    }
    out
}

/// Sets of readings that are kept at most.
const MOST: usize = 12;

/// A form as it was typed.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Aside {
    typed: Vec<String>,
    typed_in: Units,
    from_file: Readings,
    beside: BesideForm,
    rig: Which,
}

impl CausesPage {
    fn form(&self) -> Option<Aside> {
        let any = self.typed.iter().any(|t| !t.trim().is_empty());
        any.then(|| Aside {
            typed: self.typed.clone(),
            typed_in: self.typed_in,
            from_file: self.from_file.clone(),
            beside: self.beside.clone(),
            rig: self.rig,
        })
    }

    /// Sets aside what stands in the form.
    pub(super) fn set_aside(&mut self) {
        if let Some(form) = self.form().filter(|f| self.aside.last() != Some(f)) {
            self.aside.push(form);
            if self.aside.len() > MOST {
                self.aside.remove(0);
            }
        }
    }

    /// Brings back what was set aside last; what stands there now goes to the end of the line.
    fn bring_back(&mut self) {
        let Some(before) = self.aside.pop() else {
            return;
        };
        if let Some(form) = self.form() {
            self.aside.insert(0, form);
        }
        let units = self.typed_in;
        (self.typed, self.typed_in) = (before.typed, before.typed_in);
        (self.from_file, self.beside, self.rig) = (before.from_file, before.beside, before.rig);
        self.unmark();
        self.take_units(units);
        self.said.clear();
    }

    pub(super) fn bring_back_ui(&mut self, ui: &mut Ui) {
        if self.aside.is_empty() || self.busy() {
            return;
        }
        let hint = "Readings that made room for these; these are kept in turn";
        if ui
            .add(quiet("Bring back the readings before"))
            .on_hover_text(hint)
            .clicked()
        {
            self.bring_back();
        }
    }

    /// Reasons about this rig from now on, the standard one if none.
    pub(super) fn take_rig(&mut self, rig: Option<Scenario>) {
        self.rig = if rig.is_some() {
            Which::OfFile
        } else {
            Which::Standard
        };
        self.from_file.rig = rig;
    }

    /// Takes what was read on the bench, and the bench's rig.
    pub(in crate::window) fn take_noted(&mut self, noted: &Readings, desk: &Desk<'_>) {
        self.stop();
        self.set_aside();
        self.state = super::State::default();
        self.priors_open = false;
        let noted = with_air_and_container(noted, desk);
        self.fill_in(&noted, desk.units);
        self.typed_in = desk.units;
        self.from_file.uncertainties = noted.uncertainties;
        "Read on the bench".clone_into(&mut self.from_file.title);
        self.take_rig(rig_of(&desk.snap.scenario));
        self.all_items = false;
        "From the bench. Look them over, add what else was seen, then Find causes"
            .clone_into(&mut self.said);
    }
}
