//! The page of hands: what a person can do at the regulator itself. Each act has its caution
//! beside it.

use egui::{RichText, Ui};

use super::app::Desk;
use super::faults::caution;
use super::theme::{plain, title};
use crate::scenario::{Action, WhichStage};
use crate::sim::Command;

/// Turns of the screw on offer.
const TURNS: [(f64, &str); 4] = [(-1.0, "−1"), (-0.25, "−¼"), (0.25, "+¼"), (1.0, "+1")];
/// A test tap held open a little \[m²\].
const BLEED_M2: f64 = 0.3e-6;
/// A cloth wrung out in warm water \[K\].
const CLOTH_K: f64 = 313.15;

/// Draws the page.
pub fn show(ui: &mut Ui, desk: &mut Desk<'_>) {
    screw_ui(ui, desk);
    ui.add_space(8.0);
    ui.label(title("At the body", 13.0));
    ui.horizontal_wrapped(|ui| {
        if ui
            .button("Tap it")
            .on_hover_text(
                "A light tap frees what only friction holds; it tells something and mends nothing",
            )
            .clicked()
        {
            desk.send.push(Command::Act(Action::Tap));
        }
        if ui
            .button("Warm wet cloth")
            .on_hover_text("Thaws ice in the orifice")
            .clicked()
        {
            desk.send.push(Command::Act(Action::Warm { to_k: CLOTH_K }));
        }
    });
    caution(
        ui,
        desk,
        "Thaw with a warm wet cloth only, never with a flame. What saw liquid, water or fire is replaced",
    );
    ui.add_space(8.0);
    ui.label(title("Test tap, low side", 13.0));
    ui.horizontal(|ui| {
        for (area_m2, name) in [(BLEED_M2, "Bleed a little"), (0.0, "Shut the tap")] {
            if ui.button(name).clicked() {
                desk.send.push(Command::Act(Action::Bleed { area_m2 }));
            }
        }
    });
    caution(
        ui,
        desk,
        "Bled gas is fuel: outdoors, nothing burning near, and never search a leak with a flame",
    );
}

fn screw_ui(ui: &mut Ui, desk: &mut Desk<'_>) {
    ui.label(title("Adjusting screws", 13.0));
    for (stage, name) in [
        (WhichStage::First, "First stage"),
        (WhichStage::Second, "Second stage"),
    ] {
        ui.label(RichText::new(name).font(plain(11.5)).color(desk.theme.soft));
        ui.horizontal(|ui| {
            ui.spacing_mut().item_spacing.x = 5.0;
            for (turns, words) in TURNS {
                let button = ui.button(words);
                button.widget_info(|| {
                    egui::WidgetInfo::labeled(
                        egui::Role::Button,
                        true,
                        format!("{name}, turn the screw {words}"),
                    )
                });
                if button.clicked() {
                    desk.send
                        .push(Command::Act(Action::TurnScrew { stage, turns }));
                }
            }
            ui.label(
                RichText::new("turn")
                    .font(plain(11.5))
                    .color(desk.theme.soft),
            );
        });
    }
    caution(
        ui,
        desk,
        "Only a qualified LP-gas technician sets a regulator, with a gauge at the tap and half the load lit. \
         Never cure a weak flame with the screw",
    );
}
