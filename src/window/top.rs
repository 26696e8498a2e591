//! The head of the window: what runs, files, units, appearance, text size, help.

use egui::{Label, RichText, Ui};

use super::app::{App, Desk};
use super::files::Way;
use super::show::Units;
use super::theme::{plain, strong};

/// Smallest and largest text size, as zoom of the whole window.
const ZOOM: [f32; 2] = [0.7, 2.0];

/// Draws the head; changes only how things are shown. While a drill runs the head names it, and
/// files rest.
pub fn show(
    ui: &mut Ui,
    desk: &Desk<'_>,
    look: &mut super::app::Look,
    files: &mut super::files::Files,
    drill: Option<(&str, String)>,
) {
    let t = desk.theme;
    let covered = drill.is_some();
    let scenario = &desk.snap.scenario;
    let (name, about) = drill.map_or_else(
        || (scenario.title.as_str(), scenario.summary.clone()),
        |(name, about)| (name, about),
    );
    ui.horizontal_centered(|ui| {
        ui.spacing_mut().item_spacing.x = 6.0;
        ui.add(Label::new(RichText::new(name).font(strong(17.0)).color(t.ink)).extend());
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            let help = ui
                .button("?")
                .on_hover_text("Keys and how to read the picture (F1)");
            help.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, true, "Help"));
            if help.clicked() {
                look.help = !look.help;
            }
            ui.menu_button("View", |ui| view_menu(ui, t.dark, look));
            ui.add_space(4.0);
            for (name, units) in [("SI", Units::Si), ("US", Units::Us)] {
                if ui
                    .selectable_label(look.units == units, name)
                    .on_hover_text("Units (key U)")
                    .clicked()
                {
                    look.units = units;
                }
            }
            ui.add_space(4.0);
            for (words, key, way) in [
                ("Save…", "Ctrl S", Way::Save),
                ("Open…", "Ctrl O", Way::Open),
            ] {
                let button = ui.add_enabled(!covered, egui::Button::new(words));
                if button.on_hover_text(key).clicked() {
                    files.ask(way);
                }
            }
            ui.with_layout(egui::Layout::left_to_right(egui::Align::Center), |ui| {
                ui.add(
                    Label::new(RichText::new(&about).font(plain(12.5)).color(t.soft)).truncate(),
                )
                .on_hover_text(&about);
            });
        });
    });
}

/// Appearance, text size, motion.
fn view_menu(ui: &mut Ui, dark: bool, look: &mut super::app::Look) {
    for (name, theme, on) in [
        ("Light", egui::Theme::Light, !dark),
        ("Dark", egui::Theme::Dark, dark),
    ] {
        if ui
            .selectable_label(on, name)
            .on_hover_text("Key D")
            .clicked()
        {
            ui.ctx().set_theme(theme);
        }
    }
    ui.separator();
    let zoom = ui.ctx().zoom_factor();
    for (name, factor) in [("Larger text", 1.1), ("Smaller text", 1.0 / 1.1)] {
        if ui.button(name).clicked() {
            ui.ctx()
                .set_zoom_factor((zoom * factor).clamp(ZOOM[0], ZOOM[1]));
        }
    }
    ui.separator();
    ui.checkbox(&mut look.still, "Hold dashes and flames still");
}

impl App {
    /// Switches between the appearances.
    pub(super) fn other_appearance(ctx: &egui::Context, dark: bool) {
        ctx.set_theme(if dark {
            egui::Theme::Light
        } else {
            egui::Theme::Dark
        });
    }
}
