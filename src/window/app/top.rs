//! The head of the window: what runs, the pages, files, units, appearance, text size, help.

use egui::{Align, Label, Layout, Rect, RichText, Ui, UiBuilder, pos2};

use crate::sim::Waiting;
use crate::window::class::live::Live;
use crate::window::desk::keys::Wish;
use crate::window::desk::{Desk, Look, Page, Side};
use crate::window::files::{Files, Way};
use crate::window::look::pieces::tab;
use crate::window::look::show::{Units, clock};
use crate::window::look::spots::{self, Spot};
use crate::window::look::theme::{BODY, GAUGE, LEAD, NOTE, Theme, plain, strong};

/// Least room for the name of what runs beside the pages in a row \[points\].
const LEAST_NAME: f32 = 90.0;
/// A head narrower than this keeps files under one button \[points\].
const FEW_BUTTONS: f32 = 1100.0;

/// A window narrower than this has the way to a room's view in its menu alone \[points\].
const ROOM_BUTTON: f32 = 700.0;

/// Draws the head; changes only how things are shown. While a drill runs the head names it, and
/// files and the other pages rest.
pub fn show(
    ui: &mut Ui,
    desk: &Desk<'_>,
    look: &mut Look,
    files: &mut Files,
    drill: Option<(&str, String)>,
    live: &mut Live,
) {
    let t = desk.theme;
    let covered = drill.is_some();
    let scenario = &desk.snap.scenario;
    let (name, about) = drill.map_or_else(
        || {
            let summary = desk.units.prose(&scenario.summary);
            (scenario.title.as_str(), summary.into_owned())
        },
        |(name, about)| (name, about),
    );
    // The tools stand at the right, yet come last for the keyboard, as they are read: their width is that of the
    // last frame.
    let id = ui.scope_id().with("tools");
    let tools: f32 = ui.data(|d| d.get_temp(id)).unwrap_or(330.0);
    ui.horizontal_centered(|ui| {
        ui.spacing_mut().item_spacing.x = 6.0;
        let full = ui.max_rect();
        if !covered {
            let in_a_row = full.width() - tools - PAGES - 30.0 >= LEAST_NAME;
            pages_ui(ui, t, look, live, in_a_row);
        }
        // The way back to a run that waits stands behind the pages.
        if let Some(aside) = desk.snap.aside.as_ref().filter(|_| !covered)
            && back_ui(ui, aside)
        {
            look.wish = Some(Wish::WhatRan);
        }
        // What runs stands behind the pages, so that no name moves them.
        ui.scope(|ui| {
            let room = full.right() - tools - ui.cursor().left() - 12.0;
            ui.set_max_width(room.max(40.0));
            let gap = if covered { 0.0 } else { 8.0 };
            ui.add_space(gap);
            let font = fitting(ui, name, room - gap - 4.0);
            let text = RichText::new(name).font(font).color(t.ink);
            ui.add(Label::new(text).truncate()).on_hover_text(&about);
        });
        // Whole or not at all; what has no room is told where the pointer is on the name.
        let room = full.right() - tools - ui.cursor().left() - 16.0;
        let galley = ui
            .painter()
            .layout_no_wrap(about.clone(), plain(NOTE), t.soft);
        if galley.size().x <= room {
            ui.label(galley);
        }
        let left = (full.right() - tools).max(ui.cursor().left());
        let rect = Rect::from_min_max(pos2(left, full.top()), full.right_bottom());
        let builder = UiBuilder::new()
            .max_rect(rect)
            .layout(Layout::left_to_right(Align::Center));
        let used = ui.scope_builder(builder, |ui| {
            tools_ui(ui, t, look, files, covered, live);
            ui.min_rect().width()
        });
        ui.data_mut(|d| d.insert_temp(id, used.inner));
    });
}

/// The largest type in which a name is whole; a name that is too long for any has the smallest.
fn fitting(ui: &Ui, name: &str, room: f32) -> egui::FontId {
    let fits = |font: &egui::FontId| {
        let ink = egui::Color32::PLACEHOLDER;
        let laid = ui
            .painter()
            .layout_no_wrap(name.to_owned(), font.clone(), ink);
        laid.size().x <= room
    };
    let sizes = [GAUGE, LEAD, BODY].map(strong);
    sizes.into_iter().find(fits).unwrap_or_else(|| strong(BODY))
}

/// The button back to a run that was set aside for the one on show.
fn back_ui(ui: &mut Ui, aside: &Waiting) -> bool {
    let (name, at) = (&aside.scenario.title, clock(aside.at_s, 0));
    ui.button("Back to what ran")
        .on_hover_text(format!("“{name}” waits at {at}, as you left it"))
        .clicked()
}

/// Width that the row of pages takes \[points\].
const PAGES: f32 = 480.0;

/// The pages in one row that no page moves, or in a list where a row has no room.
fn pages_ui(ui: &mut Ui, t: &Theme, look: &mut Look, live: &Live, in_a_row: bool) {
    ui.add_space(6.0);
    if !in_a_row {
        let chosen = RichText::new(look.page.name()).font(strong(BODY));
        let list = ui.menu_button(chosen, |ui| {
            for (page, name) in Page::ALL.into_iter().filter(|(page, _)| live.offers(*page)) {
                if ui.selectable_label(look.page == page, name).clicked() {
                    (look.page, look.building) = (page, false);
                    look.side = Side::Page;
                    ui.close();
                }
            }
        });
        spots::mark(ui, Spot::FaultsTab, list.response.rect);
        return;
    }
    ui.scope(|ui| {
        ui.spacing_mut().item_spacing.x = if ui.available_width() > 800.0 {
            6.0
        } else {
            0.0
        };
        ui.spacing_mut().button_padding.x = 6.0;
        for (page, name) in Page::ALL.into_iter().filter(|p| live.offers(p.0)) {
            // A page that is pressed leaves the form.
            let response = tab(ui, t, look.page == page && !look.building, name);
            match page {
                Page::Faults => spots::mark(ui, Spot::FaultsTab, response.rect),
                Page::Lessons => spots::mark(ui, Spot::LessonsTab, response.rect),
                _ => {}
            }
            if response.clicked() {
                (look.page, look.building) = (page, false);
                look.side = Side::Page;
            }
        }
    });
    ui.add_space(6.0);
}

/// Files, units, appearance, help.
fn tools_ui(
    ui: &mut Ui,
    t: &Theme,
    look: &mut Look,
    files: &mut Files,
    covered: bool,
    live: &mut Live,
) {
    if ui.ctx().content_rect().width() < FEW_BUTTONS {
        ui.add_enabled_ui(!covered, |ui| {
            ui.menu_button("Rig", |ui| files_ui(ui, look, files, covered));
        });
    } else {
        files_ui(ui, look, files, covered);
        ui.add_space(4.0);
    }
    for (name, units) in [("US", Units::Us), ("SI", Units::Si)] {
        if ui
            .selectable_label(look.units == units, name)
            .on_hover_text("Units (key U)")
            .clicked()
        {
            look.units = units;
        }
    }
    ui.add_space(4.0);
    ui.menu_button("View", |ui| {
        view_menu(ui, t.dark, look, covered);
        ui.separator();
        // An attempt has its own cover.
        ui.add_enabled_ui(!covered, |ui| {
            let ticked = ui.checkbox(&mut live.on, "Instructor's window");
            // No menu stays open before a class.
            if ticked.changed() {
                ui.close();
            }
            ticked
        })
        .inner
        .on_hover_text("A second window to put faults in unseen, freeze, go back and ask");
    });
    if !covered && ui.ctx().content_rect().width() >= ROOM_BUTTON {
        let present = ui.button("Present");
        let why = "For a room: picture or charts and nothing else, in large type (F11)";
        if present.on_hover_text(why).clicked() {
            look.wish = Some(Wish::Present);
        }
    }
    let help = ui
        .button("?")
        .on_hover_text("Keys and how to read the picture (F1)");
    help.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, true, "Help"));
    if help.clicked() {
        look.help = !look.help;
    }
}

/// What has to do with files: build, open, save.
fn files_ui(ui: &mut Ui, look: &mut Look, files: &mut Files, covered: bool) {
    let build = ui.add_enabled(!covered, egui::Button::selectable(look.building, "Build…"));
    if build
        .on_hover_text("A rig of your own, in a form")
        .clicked()
    {
        look.building = !look.building;
        ui.close();
    }
    for (words, key, way) in [
        ("Open…", "Ctrl O", Way::Open),
        ("Save…", "Ctrl S", Way::Save),
    ] {
        let button = ui.add_enabled(!covered, egui::Button::new(words));
        if button.on_hover_text(key).clicked() {
            files.ask(way);
            ui.close();
        }
    }
}

/// Appearance, text size, motion.
fn view_menu(ui: &mut Ui, dark: bool, look: &mut Look, covered: bool) {
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
    for (name, factor) in [("Larger text", 1.1), ("Smaller text", 1.0 / 1.1)] {
        if ui.button(name).clicked() {
            look.size.text *= factor;
        }
    }
    ui.separator();
    ui.checkbox(&mut look.still, "Hold dashes and flames still");
    if covered {
        return;
    }
    ui.separator();
    for (name, wish) in [
        ("Present (F11)", Wish::Present),
        ("Keep this moment for a talk (K)", Wish::KeepMoment),
        ("The tour (T)", Wish::Tour),
    ] {
        if ui.button(name).clicked() {
            look.wish = Some(wish);
            ui.close();
        }
    }
}
