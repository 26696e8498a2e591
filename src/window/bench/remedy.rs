//! What stands in the way of a test, put right by the usual acts of a hand; what was asked for follows by itself. Not here:
//! what a test demands (`crate::visit`), nor how a hand does it.

use std::collections::VecDeque;

use egui::Ui;

use super::deeds::make_ready;
use crate::rig::Phase;
use crate::visit::{Deed, Hindrance, Outbound};
use crate::window::desk::Desk;
use crate::window::look::theme::main_button;

/// The usual acts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Remedy {
    /// Every burner is shut off, then the container in service is opened, slowly.
    Open,
    /// Every container is shut.
    Shut,
    /// Every burner and pilot is shut off.
    BurnersOff,
    /// The line is bled through the test tap.
    Bleed,
    /// The rig anew, its thermostats turned up.
    Ready,
}

impl Remedy {
    /// What takes a hindrance away; nothing where no hand can.
    pub(super) fn of(why: &Hindrance) -> Option<Self> {
        match why {
            Hindrance::SupplyShut => Some(Self::Open),
            Hindrance::SupplyOpen(_) | Hindrance::OpenBehind(..) => Some(Self::Shut),
            Hindrance::Burns { .. } | Hindrance::Lit(_) => Some(Self::BurnersOff),
            Hindrance::GasInLine => Some(Self::Bleed),
            Hindrance::Satisfied(_) => Some(Self::Ready),
            // Leak fluid comes first, which is an act and no button.
            Hindrance::ShutBeforeJoints
            | Hindrance::NoAppliance
            | Hindrance::GasLost
            | Hindrance::FarOver
            | Hindrance::OverAtRest
            | Hindrance::GasEscapes
            | Hindrance::ContainerOver
            | Hindrance::AllKeptOff
            | Hindrance::Overfilled
            | Hindrance::FirstOver => None,
        }
    }

    /// The word on its button.
    pub(super) fn words(self) -> &'static str {
        match self {
            Self::Open => "Open the container slowly",
            Self::Shut => "Shut the container",
            Self::BurnersOff => "Shut every burner off",
            Self::Bleed => "Bleed the line",
            Self::Ready => "Make ready",
        }
    }

    /// What it does and what one has to mind.
    pub(super) fn hint(self) -> &'static str {
        match self {
            Self::Open => {
                "As a hand does it: every burner and pilot is shut off first, then over eight seconds"
            }
            Self::Shut => "As a hand does it, without haste",
            Self::BurnersOff => "Pilots too",
            Self::Bleed => {
                "Through the test tap, the container shut; on a real rig outdoors, with nothing alight near"
            }
            Self::Ready => {
                "The same rig with its faults, from the start: burners off, thermostats turned up, container open"
            }
        }
    }

    /// Its button, before what was asked for; whether it was pressed.
    pub(super) fn button(self, ui: &mut Ui, desk: &Desk<'_>, then: &str) -> bool {
        let words = format!("{}, then {then}", self.words());
        let button = ui.add(main_button(desk.theme, &words));
        button.on_hover_text(self.hint()).clicked()
    }

    /// Sends it off; what a hand has to do waits in `acts`.
    pub(super) fn begin(self, acts: &mut Acts, desk: &mut Desk<'_>) {
        let n = &desk.snap.readings;
        match self {
            Self::Open => {
                // Gas must not come to an open tap without a flame.
                Self::BurnersOff.begin(acts, desk);
                acts.add(Deed::OpenValve {
                    container: desk.snap.readings.service_side,
                    slowly: true,
                });
            }
            Self::Shut => (0..n.container_count)
                .filter(|c| n.containers[*c].valve_open > 0.0)
                .for_each(|container| acts.add(Deed::ShutValve { container })),
            Self::BurnersOff => (0..n.appliance_count)
                .filter(|i| n.appliances[*i].phase != Phase::Off)
                .for_each(|appliance| acts.add(Deed::ShutOff { appliance })),
            Self::Bleed => acts.add(Deed::BleedDown),
            Self::Ready => {
                acts.after = Some(desk.snap.generation);
                make_ready(desk);
            }
        }
    }
}

/// What is still to be done, first things first.
#[derive(Debug, Default)]
pub(super) struct Acts {
    wait: VecDeque<Outbound>,
    /// The run that has to give way to another one first.
    after: Option<u64>,
}

impl Acts {
    fn add(&mut self, deed: Deed) {
        self.wait.push_back(Outbound::Deed(deed));
    }

    /// Does this once all else is done.
    pub(super) fn end_with(&mut self, what: Outbound) {
        self.wait.push_back(what);
    }

    /// What comes next on the run of this generation.
    pub(super) fn next(&mut self, generation: u64) -> Option<Outbound> {
        if self.after == Some(generation) {
            return None;
        }
        self.after = None;
        self.wait.pop_front()
    }

    /// Whether another run is waited for.
    pub(super) fn waits_for_a_run(&self) -> bool {
        self.after.is_some()
    }
}
