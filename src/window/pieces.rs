//! The pieces the window is put together from: tabs, cards of a height, the message of a model that
//! stopped, and what the cutaway needs of a stage. Not here: what lies on them.

use egui::{Frame, Margin, RichText, Ui, vec2};

use super::app::Page;
use super::cutaway::StageShape;
use super::theme::{self, Theme, plain, strong};
use crate::rig::Stage;

/// A tab told by weight and underline.
pub fn tab(ui: &mut Ui, t: &Theme, at: &mut Page, page: Page, name: &str) {
    let on = *at == page;
    let size = if ui.max_rect().width() < 230.0 {
        13.0
    } else {
        14.0
    };
    let text = RichText::new(name)
        .font(if on { strong(size) } else { plain(size) })
        .color(if on { t.ink } else { t.soft });
    let response = ui.add(egui::Button::new(text).frame(false));
    response.widget_info(|| egui::WidgetInfo::selected(egui::Role::Tab, true, on, name));
    if on {
        let r = response.rect;
        ui.painter().hline(
            r.x_range(),
            r.bottom() + 1.0,
            egui::Stroke::new(2.0, t.accent),
        );
    }
    if response.clicked() {
        *at = page;
    }
}

/// A card with a height of its own.
pub fn card_of_height(ui: &mut Ui, t: &Theme, height: f32, add: impl FnOnce(&mut Ui)) {
    let frame = theme::card(t);
    let inner = frame.inner_margin.sum() + vec2(2.0, 2.0);
    frame.show(ui, |ui| {
        let size = vec2((ui.available_width()).max(1.0), (height - inner.y).max(1.0));
        ui.set_min_size(size);
        ui.set_max_size(size);
        add(ui);
    });
}

/// What the solver could not do, in words.
pub fn trouble_ui(ui: &mut Ui, t: &Theme, trouble: &str) {
    Frame::new()
        .fill(t.card)
        .stroke(egui::Stroke::new(1.5, t.danger))
        .corner_radius(8)
        .inner_margin(Margin::symmetric(12, 8))
        .show(ui, |ui| {
            ui.set_width(ui.available_width());
            ui.label(RichText::new(trouble).color(t.danger));
        });
}

/// How far the screw presses the spring together at the open stop \[m\]; a tired spring does not
/// move the screw.
fn pressed_m(stage: &Stage) -> f64 {
    stage.preload_n / stage.spring_n_per_m.max(1.0)
}

/// What the drawing needs of a stage; the screw's place is told against `nominal`.
pub fn shape_of(stage: &Stage, nominal: &Stage) -> StageShape {
    StageShape {
        diaphragm_m: (4.0 * stage.area_m2 / std::f64::consts::PI).sqrt(),
        bore_m: stage.bore_m,
        lever_ratio: stage.lever_ratio,
        stroke_m: nominal.touch_rise_m,
        vent_m: (4.0 * nominal.vent.area_m2 / std::f64::consts::PI).sqrt(),
        relief: stage.relief.is_some(),
        linked: stage.linked,
        screw_in_m: pressed_m(stage) - pressed_m(nominal),
    }
}
