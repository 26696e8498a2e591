//! The burner panel: one row an appliance, one key each, the flame as it looks and as it is said.

use egui::{
    Align2, Color32, Painter, Pos2, Rect, Role, Sense, Shape, Stroke, StrokeKind, Ui, WidgetInfo,
    pos2, vec2,
};

use crate::report::letters::capital;
use crate::rig::readings::{ApplianceReadings, Flame, Phase};
use crate::scenario::Action;
use crate::sim::Command;
use crate::window::desk::Desk;
use crate::window::look::spots::{self, Spot};
use crate::window::look::theme::{CORNER, Theme, plain, strong, title};

/// Height of a row \[points\].
const ROW: f32 = 38.0;

/// Draws the panel.
pub fn show(ui: &mut Ui, desk: &mut Desk<'_>, covered: bool) {
    let n = desk.snap.readings;
    ui.horizontal(|ui| {
        ui.label(title("Burners", 14.0));
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            let (flows, why) = flow_words(desk, ui.available_width());
            let text = egui::RichText::new(flows).font(plain(12.0));
            ui.label(text.color(desk.theme.soft)).on_hover_text(why);
        });
    });
    ui.spacing_mut().item_spacing.y = 4.0;
    for i in 0..n.appliance_count.min(desk.snap.rig.appliances.len()) {
        row_ui(ui, desk, i, covered);
    }
}

/// Heat of the flames (gas that flows unburned is none), and what the burners that are on are rated for where there is room; and what of it stands there.
fn flow_words(desk: &Desk<'_>, room: f32) -> (String, String) {
    let (n, u) = (&desk.snap.readings, desk.units);
    let burns_w: f64 = n.appliances[..n.appliance_count]
        .iter()
        .map(|a| a.heat_w)
        .sum();
    let rated = u.heat(n.demand_w);
    let (words, what) = if room > 190.0 {
        (
            format!("flames {}, rated {rated}", u.heat(burns_w).number()),
            "Heat of the flames now, and what the burners that are on are rated for at 11 in w.c."
                .to_owned(),
        )
    } else {
        let what = format!(
            "Heat of the flames now. The burners that are on are rated for {rated} together, at 11 in w.c."
        );
        (format!("flames {}", u.heat(burns_w)), what)
    };
    let why = "A burner takes more than its rating where its pressure is higher or its fuel richer, and less where it is starved";
    (words, u.prose(&format!("{what} {why}")).into_owned())
}

/// Toggles an appliance if there is one.
pub fn toggle(desk: &mut Desk<'_>, i: usize) {
    if i < desk.snap.readings.appliance_count {
        let on = desk.snap.readings.appliances[i].phase != Phase::Off;
        desk.send.push(Command::Act(Action::Switch {
            appliance: i,
            on: !on,
        }));
    }
}

fn row_ui(ui: &mut Ui, desk: &mut Desk<'_>, i: usize, covered: bool) {
    let now = desk.snap.readings.appliances[i];
    let appliance = &desk.snap.rig.appliances[i];
    let name = appliance.name.clone();
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), ROW), Sense::click());
    spots::mark(ui, Spot::Burner(i), rect);
    let on = now.phase != Phase::Off;
    let said = state_words(&now);
    response.widget_info(|| {
        WidgetInfo::selected(
            Role::Switch,
            true,
            on,
            format!("{name}, {}, {said}", desk.units.heat(appliance.input_w)),
        )
    });
    draw_row(ui, desk, i, rect, &response, &now);
    let needs_hand = now.phase == Phase::LockedOut;
    if response.clicked() {
        toggle(desk, i);
    }
    if needs_hand {
        let button = Rect::from_min_size(
            pos2(rect.right() - 56.0, rect.top() + 18.0),
            vec2(50.0, ROW - 21.0),
        );
        let reset = ui.scope(|ui| {
            // A button as high as its line of the row: the usual one hangs over the edge.
            ui.spacing_mut().button_padding.y = 0.0;
            ui.spacing_mut().interact_size.y = button.height();
            let words = egui::RichText::new("Reset").font(plain(11.5));
            let reset = egui::Button::new(words).wrap_mode(egui::TextWrapMode::Extend);
            ui.put(button, reset)
        });
        let why = "Find out why it locked out before you reset it";
        if reset.inner.on_hover_text(why).clicked() {
            desk.send.push(Command::Act(Action::Reset { appliance: i }));
        }
    }
    let key = if i < 9 {
        format!(" (key {})", i + 1)
    } else {
        String::new()
    };
    // A pressure is not seen from outside.
    let gets = if covered {
        String::new()
    } else {
        format!(", gets {}", desk.units.low(now.inlet_pa))
    };
    // A narrow row has no room for it.
    let warm = now.temperature_k.map_or_else(String::new, |k| {
        format!(", at {}", desk.units.temperature(k))
    });
    let does = if on { "Switch off" } else { "Switch on" };
    response.on_hover_text(format!("{does}{key}{gets}{warm}"));
}

fn draw_row(
    ui: &Ui,
    desk: &Desk<'_>,
    i: usize,
    rect: Rect,
    response: &egui::Response,
    now: &ApplianceReadings,
) {
    let t = desk.theme;
    let on = now.phase != Phase::Off;
    let appliance = &desk.snap.rig.appliances[i];
    let painter = ui.painter_at(rect.expand(2.0));
    let edge = if response.has_focus() || response.hovered() {
        Stroke::new(1.4, t.accent)
    } else {
        Stroke::new(
            1.0,
            if on {
                t.accent.gamma_multiply(0.55)
            } else {
                t.faint
            },
        )
    };
    let fill = if on { t.accent_wash } else { t.card };
    painter.rect(rect, CORNER, fill, edge, StrokeKind::Inside);
    let key = Rect::from_min_size(rect.min + vec2(8.0, 9.0), vec2(20.0, 20.0));
    painter.rect(
        key,
        CORNER,
        if on { t.brass } else { t.well },
        Stroke::new(1.0, if on { t.accent } else { t.edge }),
        StrokeKind::Inside,
    );
    if i < 9 {
        painter.text(
            key.center(),
            Align2::CENTER_CENTER,
            (i + 1).to_string(),
            strong(12.0),
            if on { t.on_accent } else { t.soft },
        );
    }
    draw_flame(
        &painter,
        pos2(rect.left() + 44.0, rect.bottom() - 7.0),
        now,
        t,
        ui.input(|i| i.time),
    );
    let x = rect.left() + if rect.width() < 196.0 { 57.0 } else { 62.0 };
    let clipped = painter.with_clip_rect(Rect::from_min_max(
        rect.min,
        pos2(rect.right() - 8.0, rect.bottom()),
    ));
    let name_color = if on { t.ink } else { t.soft };
    let name = clipped.text(
        pos2(x, rect.top() + 4.0),
        Align2::LEFT_TOP,
        capital(&appliance.name),
        strong(12.5),
        name_color,
    );
    let (words, color) = (state_words(now), state_color(now, t));
    // The longest words in smaller type before a letter of them is cut.
    let wide = rect.right() - 8.0 - x;
    let sizes = [11.5, 10.5, 9.5].map(plain);
    let laid = sizes.map(|font| clipped.layout_no_wrap(words.to_owned(), font, color));
    let fits = laid.iter().find(|g| g.size().x <= wide);
    let galley = fits.unwrap_or(&laid[2]).clone();
    let at = pos2(x, rect.top() + 20.0);
    let state = Rect::from_min_size(at, galley.size());
    clipped.galley(at, galley, color);
    if now.phase == Phase::LockedOut {
        return;
    }
    let right = rect.right() - 9.0;
    let laid = |text: String, size: f32| clipped.layout_no_wrap(text, plain(size), t.soft);
    let rating = laid(desk.units.heat(appliance.input_w).number(), 12.0);
    // Beside a long name there is no room: the rating stands under it, in the temperature's place.
    let crowded = rect.width() < 196.0 || name.right() + 4.0 > right - rating.size().x;
    let y = rect.top() + if crowded { 20.0 } else { 4.0 };
    let warm = now.temperature_k.filter(|_| on && !crowded);
    let warm = warm.map(|kelvin| laid(desk.units.temperature(kelvin).to_string(), 11.5));
    for (galley, y) in [(Some(rating), y), (warm, rect.top() + 20.0)] {
        let Some(galley) = galley else { continue };
        let at = pos2(right - galley.size().x, y);
        // A note that would run into the state's words gives way.
        if y < state.top() || at.x > state.right() + 3.0 {
            clipped.galley(at, galley, t.soft);
        }
    }
}

/// What the appliance does, in a few words.
pub fn state_words(now: &ApplianceReadings) -> &'static str {
    match (now.phase, now.flame) {
        (Phase::Off, _) if now.pilot_lit => "off, pilot lit",
        (Phase::Off, _) => "off",
        (Phase::Satisfied, _) if now.pilot_lit => "satisfied, pilot lit",
        (Phase::Satisfied, _) => "thermostat satisfied",
        (Phase::Purge, _) => "fan purges first",
        (Phase::Trial, _) => "gas on, being lit",
        (Phase::Waiting, _) => "waits for another try",
        (Phase::OpenUnlit, _) => "gas open, no flame",
        (Phase::LockedOut, _) => "locked out",
        (Phase::Burning, Flame::Out) => "no flame",
        (Phase::Burning, _) if now.surges => "flame jumps up and down",
        (Phase::Burning, Flame::Low) => "flame soft and lazy",
        (Phase::Burning, Flame::Normal) => "flame steady",
        (Phase::Burning, Flame::Hard) => "flame loud and sharp",
        (Phase::Burning, Flame::Lifting) => "flame lifts off",
    }
}

fn state_color(now: &ApplianceReadings, t: &Theme) -> Color32 {
    match (now.phase, now.flame) {
        (Phase::OpenUnlit | Phase::LockedOut, _)
        | (Phase::Burning, Flame::Lifting | Flame::Out) => t.danger,
        (Phase::Burning, _) if now.surges => t.caution,
        (Phase::Burning, Flame::Low | Flame::Hard) | (Phase::Waiting, _) => t.caution,
        _ => t.soft,
    }
}

/// The flame on its burner port, told by shape as well as colour.
fn draw_flame(painter: &Painter, foot: Pos2, now: &ApplianceReadings, t: &Theme, clock_s: f64) {
    painter.hline(
        foot.x - 6.0..=foot.x + 6.0,
        foot.y,
        Stroke::new(2.0, t.steel),
    );
    let lit = matches!(now.phase, Phase::Burning) && now.flame != Flame::Out;
    if !lit {
        match now.phase {
            Phase::Trial => spark(painter, foot, t),
            Phase::OpenUnlit | Phase::LockedOut => cross(painter, foot, t),
            _ if now.pilot_lit => cone(painter, foot + vec2(-4.0, 0.0), 2.0, 6.0, t.flame),
            _ => {}
        }
        return;
    }
    let flicker = (clock_s * 9.0).sin() as f32 * 0.6;
    match now.flame {
        Flame::Low => {
            cone(painter, foot, 4.5, 10.0 + flicker, t.flame);
            cone(
                painter,
                foot + vec2(0.0, -5.0),
                3.2,
                7.0 + flicker,
                t.flame_tip,
            );
        }
        Flame::Hard => {
            for dx in [-3.5, 0.0, 3.5] {
                cone(painter, foot + vec2(dx, 0.0), 1.7, 22.0 + flicker, t.flame);
            }
        }
        Flame::Lifting => {
            for dx in [-3.5, 3.5] {
                cone(
                    painter,
                    foot + vec2(dx, -7.0),
                    2.2,
                    15.0 + flicker * 2.0,
                    t.flame,
                );
            }
        }
        Flame::Normal | Flame::Out => {
            cone(painter, foot, 5.0, 18.0, t.flame);
            cone(painter, foot, 2.6, 9.0, t.flame_core);
        }
    }
}

/// A flame-shaped patch.
fn cone(painter: &Painter, foot: Pos2, half: f32, height: f32, color: Color32) {
    let points = [
        (0.0, -height),
        (0.55 * half, -0.62 * height),
        (half, -0.28 * height),
        (0.72 * half, 0.0),
        (-0.72 * half, 0.0),
        (-half, -0.28 * height),
        (-0.55 * half, -0.62 * height),
    ]
    .map(|(x, y)| foot + vec2(x, y));
    painter.add(Shape::convex_polygon(points.to_vec(), color, Stroke::NONE));
}

fn spark(painter: &Painter, foot: Pos2, t: &Theme) {
    let zig =
        [(-3.0, -15.0), (1.0, -9.0), (-2.0, -9.0), (2.0, -2.0)].map(|(x, y)| foot + vec2(x, y));
    painter.add(Shape::line(zig.to_vec(), Stroke::new(1.6, t.caution)));
}

fn cross(painter: &Painter, foot: Pos2, t: &Theme) {
    let c = foot + vec2(0.0, -10.0);
    for d in [vec2(4.0, 4.0), vec2(4.0, -4.0)] {
        painter.line_segment([c - d, c + d], Stroke::new(1.8, t.danger));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A flame that jumps is told so beside its burner as it is over the picture, and is no flame once it is out.
    #[test]
    fn a_flame_that_jumps_is_not_called_steady() {
        let mut now = ApplianceReadings {
            phase: Phase::Burning,
            flame: Flame::Normal,
            ..ApplianceReadings::default()
        };
        assert_eq!(state_words(&now), "flame steady");
        now.surges = true;
        assert_eq!(state_words(&now), "flame jumps up and down");
        now.flame = Flame::Out;
        assert_eq!(state_words(&now), "no flame");
        now.phase = Phase::Off;
        assert_eq!(state_words(&now), "off");
    }
}
