//! The pieces the window is put together from: tabs, cards of a height and the message of a model that
//! stopped. Not here: what lies on them.

use egui::{Frame, Margin, Rect, Response, RichText, Sense, Tooltip, Ui, UiBuilder, vec2};

use crate::window::look::areas;
use crate::window::look::theme::{self, CORNER, LEAD, Theme, plain, strong};

/// A word over what it tells of, where what it speaks about stands below.
pub fn hint_above(response: &Response, words: &str) {
    let mut tip = Tooltip::for_enabled(response);
    tip.popup = tip.popup.align(egui::RectAlign::TOP_START);
    tip.show(|ui| {
        ui.set_max_width(ui.spacing().tooltip_width);
        ui.label(words);
    });
}

/// A tab told by its plate and a brass line; as wide when it is chosen as when it is not.
pub fn tab(ui: &mut Ui, t: &Theme, on: bool, name: &str) -> egui::Response {
    let wide = ui
        .painter()
        .layout_no_wrap(name.to_owned(), strong(LEAD), t.ink);
    let size = vec2(
        wide.size().x + 2.0 * ui.spacing().button_padding.x,
        wide.size().y + 10.0,
    );
    let (rect, response) = ui.allocate_exact_size(size, Sense::click());
    response.widget_info(|| egui::WidgetInfo::selected(egui::Role::Tab, true, on, name));
    let painter = ui.painter();
    let ring = response.has_focus();
    if ring || response.hovered() {
        painter.rect(
            rect,
            CORNER,
            t.accent_wash,
            egui::Stroke::new(if ring { 2.0 } else { 1.0 }, t.accent),
            egui::StrokeKind::Inside,
        );
    }
    let (font, ink) = if on {
        (strong(LEAD), t.ink)
    } else {
        (plain(LEAD), t.soft)
    };
    painter.text(rect.center(), egui::Align2::CENTER_CENTER, name, font, ink);
    if on {
        let line = egui::Rect::from_x_y_ranges(
            rect.left() + 4.0..=rect.right() - 4.0,
            rect.bottom() - 3.0..=rect.bottom(),
        );
        painter.rect_filled(line, 0.0, t.accent);
    }
    response
}

/// What a place of a picture says, under the pointer and to who walks to it with Tab.
pub fn tell(ui: &Ui, response: Response, words: String) {
    if response.has_focus() && !response.hovered() {
        let ctx = ui.ctx().clone();
        Tooltip::always_open(ctx, response.layer_id, response.id, &response).show(|ui| {
            ui.label(words);
        });
    } else {
        response.on_hover_text(words);
    }
}

/// A choice among several: a hollow ring until it is the one.
pub fn radio<V: PartialEq>(ui: &mut Ui, t: &Theme, current: &mut V, value: V, text: RichText) {
    ui.scope(|ui| {
        ui.spacing_mut().icon_spacing = 8.0;
        let widgets = &mut ui.visuals_mut().widgets;
        for state in [
            &mut widgets.inactive,
            &mut widgets.hovered,
            &mut widgets.active,
        ] {
            state.bg_fill = t.card;
            state.bg_stroke = egui::Stroke::new(1.5, t.soft);
            state.fg_stroke.color = t.accent;
        }
        // The word keeps the ink of the text.
        ui.radio_value(current, value, text.color(t.ink));
    });
}

/// A plate with a height of its own and all the width there is. What lies on it may be too wide for it: that is cut off at
/// its edge and moves nothing beside it.
pub fn card_of_height(ui: &mut Ui, t: &Theme, height: f32, add: impl FnOnce(&mut Ui)) {
    let size = vec2(ui.available_width().max(1.0), height.max(1.0));
    let outer = Rect::from_min_size(ui.cursor().min, size);
    areas::mark(ui, outer);
    ui.painter().add(theme::plate(outer.shrink(0.5), t));
    let inner = outer - theme::PLATE_MARGIN;
    let inner = Rect::from_min_size(inner.min, inner.size().max(vec2(1.0, 1.0)));
    let mut child = ui.new_child(UiBuilder::new().max_rect(inner));
    child.shrink_clip_rect(outer);
    add(&mut child);
    ui.allocate_rect(outer, Sense::hover());
}

/// What the solver could not do, in words.
pub fn trouble_ui(ui: &mut Ui, t: &Theme, trouble: &str) {
    Frame::new()
        .fill(t.card)
        .stroke(egui::Stroke::new(1.5, t.danger))
        .corner_radius(crate::window::look::theme::CORNER)
        .inner_margin(Margin::symmetric(12, 8))
        .show(ui, |ui| {
            ui.set_width(ui.available_width());
            ui.label(RichText::new(trouble).color(t.danger));
        });
}

/// A button with a name of its own for who cannot see where it stands; whether it was pressed.
pub fn named(ui: &mut Ui, words: &str, name: &str) -> bool {
    let button = ui.add(theme::quiet(words));
    button.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, true, name));
    button.clicked()
}
