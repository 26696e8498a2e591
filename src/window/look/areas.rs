//! The areas of the window, in the order they are read, and the way of the keyboard from one to the next: head, tour, each plate, the
//! bar of time. Whoever lays one out marks it.

use egui::{Context, Id, Rect, Ui};

fn id() -> Id {
    Id::unique("areas of the frame")
}

/// Forgets the areas of the last frame.
pub fn begin(ctx: &Context) {
    ctx.data_mut(|d| d.get_temp_mut_or_default::<Vec<Rect>>(id()).clear());
}

/// Says where an area lies.
pub fn mark(ui: &Ui, rect: Rect) {
    ui.data_mut(|d| d.get_temp_mut_or_default::<Vec<Rect>>(id()).push(rect));
}

/// Sends the keyboard to the first thing of the next area that takes it, or of the one before; from nowhere to the first.
pub fn go(ctx: &Context, on: bool) {
    let areas: Vec<Rect> = ctx.data_mut(|d| d.get_temp_mut_or_default::<Vec<Rect>>(id()).clone());
    let focused = ctx.memory(egui::Memory::focused);
    let layer = egui::LayerId::background();
    // What takes the keyboard, in the order that Tab goes.
    let (takes, at) = ctx.viewport(|v| {
        let all = v.this_pass.widgets.get_layer(layer);
        let takes: Vec<(Id, Rect)> = all
            .filter(|w| w.enabled && w.sense.is_focusable())
            .map(|w| (w.id, w.interact_rect))
            .collect();
        let at = focused.and_then(|id| v.this_pass.widgets.get(id));
        (takes, at.map(|w| w.rect.center()))
    });
    let first_in = |area: &Rect| {
        let inside = takes
            .iter()
            .find(|(_, r)| r.is_positive() && area.contains(r.center()));
        inside.map(|(id, _)| *id)
    };
    let firsts: Vec<(usize, Id)> = areas
        .iter()
        .enumerate()
        .filter_map(|(k, area)| Some((k, first_in(area)?)))
        .collect();
    let here = at.and_then(|at| areas.iter().position(|area| area.contains(at)));
    let next = match (here, on) {
        (Some(here), true) => firsts.iter().find(|(k, _)| *k > here).or(firsts.first()),
        (Some(here), false) => firsts.iter().rfind(|(k, _)| *k < here).or(firsts.last()),
        (None, true) => firsts.first(),
        (None, false) => firsts.last(),
    };
    if let Some((_, id)) = next {
        ctx.memory_mut(|m| m.request_focus(*id));
    }
}
