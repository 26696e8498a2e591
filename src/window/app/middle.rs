//! The pieces of the middle that more than one layout shows: the picture with its sentence, and the charts.

use egui::Ui;

use crate::report::letters::stopped;
use crate::service::Fittings;
use crate::sim::{ActiveFault, Command};
use crate::visit::Outlook;
use crate::window::app::App;
use crate::window::charts::Asked;
use crate::window::class::live::Live;
use crate::window::cutaway::Scene;
use crate::window::cutaway::geometry::shapes_of;
use crate::window::desk::{Desk, Page};
use crate::window::lessons;
use crate::window::outside::{self, May};
use crate::window::time::jumps;
use crate::window::told::headline;

/// Longest picture-to-picture time that still moves the dashes \[s\].
const LONGEST_DT_S: f64 = 0.1;

impl App {
    /// The sentence over the picture.
    pub(super) fn headline(&self, desk: &Desk<'_>) -> String {
        if let Some(cycle) = &self.cycle {
            return cycle.words();
        }
        let snap = desk.snap;
        if let Some(words) = self.lessons.headline(snap) {
            return words.to_owned();
        }
        let last = snap.marks_so_far().last();
        let words = headline::headline(
            desk.affairs,
            &snap.rig,
            desk.units,
            snap.readings.time_s,
            last,
        );
        // What a hand has done while time stands begins when time runs.
        let just = last.is_some_and(|m| m.time_s >= snap.readings.time_s);
        if just && !snap.playing && !snap.looks_back() && snap.readings.time_s > 0.0 {
            return format!("{} Time stands: press Play", stopped(&words));
        }
        words
    }

    /// The sentence that stands over the picture, from where it is looked at; none over a covered rig, which is for the class to
    /// word.
    pub(super) fn sentence_on_show(&self, desk: &Desk<'_>) -> String {
        let snap = desk.snap;
        if self.live.is_covered() {
            return String::new();
        }
        if self.outside.is_outside() && self.lessons.headline(snap).is_none() {
            let seen = Outlook::of(&snap.rig, &snap.scenario.rig, &snap.readings);
            return outside::words::sentence(&seen, &snap.rig);
        }
        self.headline(desk)
    }

    /// The picture with its sentence, from outside or cut open, and what hands do there.
    pub(super) fn picture_ui(&mut self, ui: &mut Ui, desk: &mut Desk<'_>) {
        if self.lessons.covers(desk.snap) {
            lessons::covered_ui(ui, desk.theme);
            return;
        }
        ui.spacing_mut().item_spacing.y = 4.0;
        let dt = if desk.snap.playing && !self.look.still {
            // As it was, not as it would be at the screen's own rate: pictures come at a pace of their own.
            f64::from(ui.input(|i| i.unstable_dt)).min(LONGEST_DT_S)
        } else {
            0.0
        };
        let rig = &desk.snap.rig;
        // The caption of a talk says it already.
        let is_told = self.present.is_on() && self.present.caption().is_some();
        let words = if is_told {
            String::new()
        } else {
            self.headline(desk)
        };
        let seen = Outlook::of(rig, &desk.snap.scenario.rig, &desk.snap.readings);
        let scene = Scene {
            rig,
            now: &desk.snap.readings,
            twin: desk.twin_differs().then_some(&desk.snap.twin),
            shapes: {
                let so_much = |a: &ActiveFault| (a.fault, a.severity.at(desk.snap.readings.time_s));
                shapes_of(rig, desk.snap.faults.iter().map(so_much))
            },
            kinks: seen.kinks(),
            units: desk.units,
            affairs: desk.affairs,
            words: &words,
            dt_s: dt,
        };
        let fittings = self.fittings();
        let from_outside = outside::Scene {
            seen: &seen,
            rig,
            shapes: scene.shapes,
            fittings: &fittings,
            units: desk.units,
            dt_s: dt,
            cover: None,
            waits: self.lessons.headline(desk.snap),
            may: May::All,
        };
        self.live.takes_its_stand(&mut self.outside);
        let hands = if self.live.is_covered() {
            Live::covered_ui(ui, &mut self.outside, &from_outside, desk.theme)
        } else {
            self.outside
                .show(ui, &mut self.cutaway, &scene, &from_outside)
        };
        for act in self.cutaway.take_acts() {
            desk.send.push(Command::Act(act));
        }
        for hand in hands {
            self.outside.obey(hand, &mut self.bench, desk);
        }
    }

    /// The instruments that hang at the rig that is shown: at an attempt gone through again none of the bench's, which nobody
    /// had fitted there.
    pub(super) fn fittings(&self) -> Fittings {
        if self.look.page == Page::Drills && self.drills.goes_through() {
            Fittings::default()
        } else {
            self.bench.rack().seen()
        }
    }

    /// The charts.
    pub(super) fn charts_ui(&mut self, ui: &mut Ui, desk: &mut Desk<'_>) {
        if self.lessons.covers(desk.snap) {
            lessons::covered_ui(ui, desk.theme);
            return;
        }
        let records = self.session.records();
        let kept = self.cutaway.kept;
        let asked = self.charts.show(ui, desk.snap, &records, desk.units, kept);
        if let Asked::GoTo(time_s) = asked {
            jumps::look_at(desk, time_s);
        }
    }
}
