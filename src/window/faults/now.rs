//! What is so just now, over the catalogue: the part that is kept, what is not right, and whether faults that are in show yet.
//! Not here: the catalogue.

use egui::{Frame, Margin, RichText, Ui};

use crate::service::Gravity;
use crate::sim::{Command, Snapshot};
use crate::visit::Outlook;
use crate::window::cutaway::touch::on_it;
use crate::window::desk::Desk;
use crate::window::look::show::clock;
use crate::window::look::theme::{CORNER, Theme, plain, quiet, strong, title};
use crate::window::outside::words::sentence;
use crate::window::time::jumps;
use crate::window::told::headline;
use crate::window::told::part::Part;

/// Pressures that read the same on a gauge are no further apart: outlet and spring case, first stage \[Pa\].
const READS_ALIKE_PA: [f64; 2] = [12.0, 350.0];

/// Whether faults that are in show at all: in a pressure, in what is not right, or to the eye from outside or in the cutaway.
pub(super) fn shows_yet(desk: &Desk<'_>) -> bool {
    !desk.affairs.troubles.is_empty() || differs(desk.snap)
}

fn differs(snap: &Snapshot) -> bool {
    let (r, twin) = (&snap.readings, &snap.twin);
    let apart = |pa: f64, of_twin: f64, most: f64| (pa - of_twin).abs() > most;
    let [low, high] = READS_ALIKE_PA;
    let inside = |i: usize| {
        let (s, t) = ([&r.first, &r.second][i], [&twin.first, &twin.second][i]);
        apart(s.chamber_pa, t.chamber_pa, [high, low][i])
            || apart(s.case_pa, t.case_pa, low)
            || s.ice > 0.0
            || s.vent_open != t.vent_open
            || s.forces.water_n != t.forces.water_n
            // A seat is seen under its magnifier.
            || apart(s.lift_m, t.lift_m, 1e-6)
            || apart(s.squeeze_m, t.squeeze_m, 1e-6)
    };
    let rig = &snap.scenario.rig;
    let to_the_eye = || {
        let seen = sentence(&Outlook::of(&snap.rig, rig, r), &snap.rig);
        seen != sentence(&Outlook::of(rig, rig, twin), rig)
    };
    inside(0)
        || inside(1)
        || apart(r.manifold_pa, twin.manifold_pa, low)
        || (r.containers.iter().zip(&twin.containers))
            .any(|(c, t)| apart(c.pressure_pa, t.pressure_pa, high))
        || r.pool_kg > 0.0
        || r.residue_kg > twin.residue_kg
        || to_the_eye()
}

/// What stands out of a page, on a ground of its own.
fn framed(ui: &mut Ui, t: &Theme, show: impl FnOnce(&mut Ui)) {
    Frame::new()
        .fill(t.accent_wash)
        .corner_radius(CORNER)
        .inner_margin(Margin::symmetric(9, 6))
        .show(ui, |ui| {
            ui.set_width(ui.available_width());
            show(ui);
        });
    ui.add_space(4.0);
}

/// The part that is kept: the same words as its tag, and a way to let it go.
pub(super) fn part_ui(ui: &mut Ui, desk: &Desk<'_>, part: Part, kept: &mut Option<Part>) {
    let t = desk.theme;
    framed(ui, t, |ui| {
        ui.label(title(part.name(), 14.0));
        let n = &desk.snap.readings;
        let value = part.value(&desk.snap.rig, n, desk.units, desk.affairs.effects_only);
        ui.label(RichText::new(value).font(strong(13.0)).color(t.accent));
        let told = |text| RichText::new(desk.units.prose(text)).font(plain(12.0));
        ui.label(told(part.does()));
        ui.label(told(part.wrong()).color(t.soft));
        if ui
            .add(quiet("Let go of this part"))
            .on_hover_text("Esc")
            .clicked()
        {
            *kept = None;
        }
    });
}

/// Hands that are still on a part, and a way to let go: no fault, and they act as one.
pub(super) fn hands_ui(ui: &mut Ui, desk: &mut Desk<'_>) {
    let t = desk.theme;
    for hand in on_it(&desk.snap.readings) {
        framed(ui, t, |ui| {
            let words = crate::report::letters::capital(&hand.words(desk.units));
            ui.label(RichText::new(words).font(strong(12.5)).color(t.ink));
            let button = ui.add(quiet("Let go"));
            let told = hand.lets_go();
            button.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, true, told));
            if button.on_hover_text(told).clicked() {
                desk.send.push(Command::Act(hand.off()));
            }
        });
    }
}

/// Faults that the run has after a moment of the past: running on brings them back, which nobody expects who put in another.
pub(super) fn recorded_ui(ui: &mut Ui, desk: &mut Desk<'_>) {
    let ahead = jumps::faults_ahead(desk.snap);
    if ahead.is_empty() {
        return;
    }
    let t = desk.theme;
    framed(ui, t, |ui| {
        let told = |text: String| RichText::new(text).font(plain(12.0)).color(t.ink);
        ui.label(told(
            "This is a moment of the past. As time runs on, what was recorded comes back:"
                .to_owned(),
        ));
        for (time_s, fault) in ahead {
            let name = fault.name_on(&desk.snap.rig);
            ui.label(told(format!("{name}, at {}", clock(time_s, 0))));
        }
        let why = "Time runs on from here on a new branch; what was recorded is kept beside it";
        if ui.button("Run on without it").on_hover_text(why).clicked() {
            jumps::go_on_from_here(desk);
        }
    });
}

/// What is not as it should be just now, each in a line with its sign; or that no limit is broken.
pub(super) fn affairs_ui(ui: &mut Ui, desk: &Desk<'_>) {
    let t = desk.theme;
    let mut line = |gravity: Gravity, words: String| {
        ui.horizontal_top(|ui| {
            ui.spacing_mut().item_spacing.x = 6.0;
            headline::sign(ui, gravity, t);
            let text = RichText::new(words).color(headline::gravity_ink(gravity, t));
            ui.add(egui::Label::new(text).wrap());
        });
    };
    if desk.affairs.troubles.is_empty() {
        line(Gravity::Well, "All pressures hold their limits".to_owned());
    }
    for trouble in &desk.affairs.troubles {
        let words = headline::trouble(trouble, &desk.snap.rig, desk.units);
        line(trouble.gravity(), crate::report::letters::capital(&words));
    }
    ui.add_space(2.0);
}
