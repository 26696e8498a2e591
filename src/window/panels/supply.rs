//! The supply panel: each container with its level, frost and service valve.

use egui::{
    Align2, Painter, Rect, Role, Sense, Shape, Stroke, StrokeKind, Ui, WidgetInfo, pos2, vec2,
};

use crate::physics::heat::{Shape as Shape3, frost_depth_k};
use crate::report::percent::percent;
use crate::report::visit::indicator;
use crate::rig::readings::ContainerReadings;
use crate::scenario::Action;
use crate::service::{LIMITS, ValveAdvice, is_too_full};
use crate::sim::Command;
use crate::window::desk::Desk;
use crate::window::look::theme::{CORNER, plain, strong, title};
use crate::window::told::part::Part;

/// Time an unhurried hand takes to open a service valve \[s\].
const SLOW_S: f64 = 8.0;
/// Time a careless hand takes \[s\].
const FAST_S: f64 = 0.3;
/// Height of the drawing \[points\].
const HEIGHT: f32 = 128.0;

/// Draws the panel.
pub fn show(ui: &mut Ui, desk: &mut Desk<'_>, kept: &mut Option<Part>) {
    ui.label(title("Supply", 14.0));
    let count = desk.snap.readings.container_count.clamp(1, 2);
    for i in 0..count {
        let now = desk.snap.readings.containers[i];
        ui.push_id(i, |ui| container_ui(ui, desk, i, count, &now, kept));
    }
    if count == 2 {
        knob_ui(ui, desk);
    }
}

fn container_ui(
    ui: &mut Ui,
    desk: &mut Desk<'_>,
    i: usize,
    count: usize,
    now: &ContainerReadings,
    kept: &mut Option<Part>,
) {
    let height = if count == 2 { HEIGHT * 0.72 } else { HEIGHT };
    let (rect, response) =
        ui.allocate_exact_size(vec2(ui.available_width(), height), Sense::hover());
    let u = desk.units;
    let name = if count > 1 {
        format!("Container {}", i + 1)
    } else {
        "Container".to_owned()
    };
    let told = format!(
        "{name}: {}, liquid {}, {} full, valve {}",
        u.high(now.pressure_pa),
        u.temperature(now.temperature_k),
        percent(now.fill),
        valve_words(now)
    );
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &told));
    let painter = ui.painter_at(rect.expand(4.0));
    let lying = is_lying(desk, i);
    let shell = if lying {
        let size = vec2(height * 0.60, height * 0.34);
        Rect::from_min_size(rect.min + vec2(4.0, height * 0.42), size)
    } else {
        Rect::from_min_size(
            rect.min + vec2(6.0, 22.0),
            vec2(height * 0.50, height - 30.0),
        )
    };
    draw_container(&painter, shell, desk, i, now);
    if desk.snap.readings.service_side == i {
        let neck = Rect::from_min_max(
            pos2(shell.center().x - 14.0, shell.top() - 20.0),
            pos2(shell.center().x + 22.0, shell.top()),
        );
        for (part, place) in [(Part::Container, shell), (Part::Valve, neck)] {
            part_ui(ui, desk, part, place, kept);
        }
    }
    let x = shell.right() + 24.0;
    let t = desk.theme;
    let mut y = rect.top() + if count == 2 { 4.0 } else { 14.0 };
    let mut line = |text: String, font: egui::FontId, color: egui::Color32| {
        let r = painter.text(pos2(x, y), Align2::LEFT_TOP, text, font, color);
        y = r.bottom() + 4.0;
    };
    if count == 2 {
        let side = if desk.snap.readings.service_side == i {
            "in service"
        } else {
            "in reserve"
        };
        line(
            format!("{} {side}", if i == 0 { "Left" } else { "Right" }),
            plain(11.5),
            t.soft,
        );
    }
    line(u.high(now.pressure_pa).to_string(), strong(17.0), t.ink);
    let has_liquid = now.fill > 0.0;
    let of = if has_liquid { "liquid" } else { "inside" };
    line(
        format!("{} {of}", u.temperature(now.temperature_k)),
        plain(12.5),
        t.soft,
    );
    let over = is_too_full(now.fill, now.temperature_k);
    let fill = if has_liquid {
        let full = if over { ", too full" } else { " full" };
        format!("{}{full}", percent(now.fill))
    } else {
        "no liquid".to_owned()
    };
    let ink = if over { t.danger } else { t.soft };
    if count == 2 {
        line(format!("{fill}, {}", u.mass(now.fuel_kg)), plain(12.5), ink);
    } else {
        line(fill, plain(12.5), ink);
        line(
            format!("{} of fuel", u.mass(now.fuel_kg)),
            plain(12.5),
            t.soft,
        );
    }
    valve_ui(ui, desk, i, now);
}

/// A part of the supply that answers as those of the cutaway do.
fn part_ui(ui: &Ui, desk: &Desk<'_>, part: Part, place: Rect, kept: &mut Option<Part>) {
    let (t, n) = (desk.theme, &desk.snap.readings);
    let id = ui.scope_id().with(("part", part));
    let response = ui.interact(place, id, Sense::click());
    let on = *kept == Some(part);
    let words = part.words(&desk.snap.rig, n, desk.units, desk.affairs.effects_only);
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, on, &words));
    if response.clicked() {
        *kept = if on { None } else { Some(part) };
    }
    if on || response.hovered() || response.has_focus() {
        let stroke = Stroke::new(2.0, t.accent);
        ui.painter()
            .rect_stroke(place.expand(2.0), CORNER, stroke, StrokeKind::Outside);
    }
    response.on_hover_text(words);
}

fn valve_words(now: &ContainerReadings) -> &'static str {
    if now.excess_flow_tripped {
        "open, excess-flow valve tripped"
    } else if now.valve_open <= 0.0 {
        "shut"
    } else if now.valve_open < 0.999 {
        "turning"
    } else {
        "open"
    }
}

/// What is said beside a container's valve: never to open it while anything orders it shut.
fn valve_told(advice: ValveAdvice) -> &'static str {
    match advice {
        ValveAdvice::TrippedAndDanger => {
            "Excess-flow valve has tripped: shut the valve, leave it shut, and find out why"
        }
        ValveAdvice::Tripped => {
            "Excess-flow valve has tripped: shut the valve and find out why so much gas ran; only then open it again, slowly"
        }
        ValveAdvice::Shut => "Shut the valve, leave it shut, and find out why",
        ValveAdvice::StayShut => "Leave it shut until what is wrong has been put right",
        ValveAdvice::OpenSlowly => {
            "If it was shut for a reason, that is put right first. Open slowly; then prove every flame safety"
        }
    }
}

fn valve_ui(ui: &mut Ui, desk: &mut Desk<'_>, i: usize, now: &ContainerReadings) {
    let t = desk.theme.clone();
    // What was opened before the gas is there lets it out unburned.
    let fed = desk
        .snap
        .readings
        .containers
        .iter()
        .any(|c| c.valve_open > 0.0);
    let taps = desk.snap.readings.appliances.iter();
    let open_tap = taps
        .zip(&desk.snap.rig.appliances)
        .find(|(a, _)| !fed && a.valve_open > 0.0)
        .map(|(_, plate)| plate.name.clone());
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 5.0;
        let mut turn = |open: f64, over_s: f64| {
            desk.send.push(Command::Act(Action::Valve {
                container: i,
                open,
                over_s,
            }));
        };
        if now.valve_open > 0.0 {
            if ui.button("Shut valve").clicked() {
                turn(0.0, 1.0);
            }
        } else if let Some(name) = &open_tap {
            let why = format!("The {name} is open: shut every burner and pilot off first, or gas comes out unburned");
            for words in ["Open slowly", "Open fast"] {
                ui.add_enabled(false, egui::Button::new(words))
                    .on_disabled_hover_text(&why);
            }
        } else {
            if ui
                .button("Open slowly")
                .on_hover_text(format!("Over {SLOW_S:.0} seconds: the low side fills gently, and the excess-flow valve stays open"))
                .clicked()
            {
                turn(1.0, SLOW_S);
            }
            if ui
                .button("Open fast")
                .on_hover_text(
                    "What one should not do: may trip the excess-flow valve and overshoot",
                )
                .clicked()
            {
                turn(1.0, FAST_S);
            }
        }
    });
    let advice = desk.affairs.valve_advice(now);
    let too_full = is_too_full(now.fill, now.temperature_k);
    let told = advice
        .map(valve_told)
        .or_else(|| too_full.then_some("Never above 80 % full: liquid would reach the regulator"));
    let Some(words) = told else {
        return;
    };
    let color = match advice {
        Some(ValveAdvice::OpenSlowly) => t.caution,
        _ => t.danger,
    };
    ui.label(egui::RichText::new(words).font(plain(11.5)).color(color));
}

fn knob_ui(ui: &mut Ui, desk: &mut Desk<'_>) {
    ui.horizontal(|ui| {
        ui.label("Changeover");
        for (side, name) in [(0, "left"), (1, "right")] {
            let on = desk.snap.readings.service_side == side;
            if ui.selectable_label(on, name).clicked() && !on {
                desk.send.push(Command::Act(Action::Knob { side }));
            }
        }
    });
    indicator_ui(ui, desk);
}

/// The changeover's indicator, and what it tells.
fn indicator_ui(ui: &mut Ui, desk: &Desk<'_>) {
    let (t, red) = (desk.theme, desk.snap.readings.indicator_red as f32);
    let color = indicator(desk.snap.readings.indicator_red);
    let words = match red {
        r if r <= 0.0 => "the service side has pressure",
        r if r < 1.0 => "the service side is giving out",
        _ => "the service side gives too little",
    };
    ui.horizontal(|ui| {
        let (rect, response) = ui.allocate_exact_size(vec2(30.0, 12.0), Sense::hover());
        let told = format!("Indicator {color}: {words}");
        response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &told));
        let painter = ui.painter();
        painter.rect_filled(rect, 2.0, t.good);
        let width = rect.width() * red;
        let shown = Rect::from_min_size(rect.min, vec2(width, rect.height()));
        painter.rect_filled(shown, 2.0, t.danger);
        painter.rect_stroke(rect, 2.0, Stroke::new(1.0, t.ink), StrokeKind::Inside);
        let text = egui::RichText::new(told).font(plain(11.5));
        let ink = if red > 0.0 { t.caution } else { t.soft };
        ui.add(egui::Label::new(text.color(ink)).wrap());
    });
}

/// Whether a container is a tank that lies.
fn is_lying(desk: &Desk<'_>, i: usize) -> bool {
    let shape = desk.snap.rig.containers.get(i).map(|c| c.shape);
    matches!(shape, Some(Shape3::Horizontal { .. }))
}

/// Foot ring of a cylinder, legs of a tank.
fn draw_foot(painter: &Painter, shell: Rect, lying: bool, desk: &Desk<'_>) {
    let t = desk.theme;
    let feet: &[f32] = if lying { &[0.24, 0.76] } else { &[0.5] };
    let width = shell.width() * if lying { 0.12 } else { 0.66 };
    for share in feet {
        let x = shell.left() + shell.width() * share;
        let foot = Rect::from_min_size(
            pos2(x - 0.5 * width, shell.bottom() - 5.0),
            vec2(width, 9.0),
        );
        painter.rect(
            foot,
            1.0,
            t.body,
            Stroke::new(1.2, t.ink),
            StrokeKind::Middle,
        );
    }
}

/// A container, cut open to its level.
fn draw_container(
    painter: &Painter,
    shell: Rect,
    desk: &Desk<'_>,
    i: usize,
    now: &ContainerReadings,
) {
    let t = desk.theme;
    let lying = is_lying(desk, i);
    draw_foot(painter, shell, lying, desk);
    // Elliptical ends: domes at top and bottom, or at the sides of a tank that lies.
    let half_width = 0.5 * shell.width();
    let (round_x, round_y) = if lying {
        (shell.height() * 0.26, shell.height() * 0.5)
    } else {
        (half_width, shell.width() * 0.30)
    };
    let inside = |y: f32| {
        let top = shell.top() + round_y;
        let bottom = shell.bottom() - round_y;
        let over = ((top - y).max(y - bottom).max(0.0) / round_y).min(1.0);
        half_width - round_x + round_x * (1.0 - over * over).sqrt()
    };
    let x = shell.center().x;
    let level = shell.bottom() - shell.height() * now.fill.clamp(0.0, 1.0) as f32;
    let fill = |from: f32, to: f32, color| {
        const STEPS: u32 = 40;
        let mut mesh = egui::Mesh::default();
        for k in 0..=STEPS {
            let y = from + (to - from) * k as f32 / STEPS as f32;
            let half = inside(y);
            mesh.colored_vertex(pos2(x - half, y), color);
            mesh.colored_vertex(pos2(x + half, y), color);
            if k > 0 {
                let v = 2 * k;
                mesh.add_triangle(v - 2, v - 1, v);
                mesh.add_triangle(v - 1, v, v + 1);
            }
        }
        painter.add(Shape::mesh(mesh));
    };
    fill(shell.top(), level, t.gas(now.pressure_pa));
    fill(level, shell.bottom(), t.liquid);
    let mut outline = Vec::new();
    for k in 0..=60 {
        let y = shell.top() + shell.height() * k as f32 / 60.0;
        outline.push(pos2(x - inside(y), y));
    }
    for k in (0..=60).rev() {
        let y = shell.top() + shell.height() * k as f32 / 60.0;
        outline.push(pos2(x + inside(y), y));
    }
    painter.add(Shape::closed_line(outline, Stroke::new(1.6, t.ink)));
    painter.hline(
        x - inside(level)..=x + inside(level),
        level,
        Stroke::new(1.2, t.ink),
    );
    // Mark of the highest fill.
    let limit = shell.bottom() - shell.height() * LIMITS.fill.high as f32;
    let edge = x + inside(limit);
    painter.hline(edge - 1.0..=edge + 6.0, limit, Stroke::new(1.2, t.caution));
    painter.text(
        pos2(edge + 7.0, limit),
        Align2::LEFT_CENTER,
        "80",
        plain(9.5),
        t.caution,
    );
    let air_k = desk.snap.readings.air_k;
    if now.fill > 0.0 && frost_depth_k(now.temperature_k, air_k) > 0.0 {
        draw_frost(painter, shell, level, &inside, x, desk);
    }
    draw_valve(painter, shell, desk, now);
}

/// Frost where cold liquid wets the wall.
fn draw_frost(
    painter: &Painter,
    shell: Rect,
    level: f32,
    inside: &impl Fn(f32) -> f32,
    x: f32,
    desk: &Desk<'_>,
) {
    let mut y = level + 2.0;
    let mut k = 0.0_f32;
    while y < shell.bottom() - 4.0 {
        let long = 2.0 + 2.0 * (k * 2.7).sin().abs();
        for side in [-1.0, 1.0] {
            let at = x + side * inside(y);
            for lean in [-1.6, 1.6] {
                painter.line_segment(
                    [pos2(at, y), pos2(at + side * long, y + lean)],
                    Stroke::new(1.0, desk.theme.frost),
                );
            }
        }
        y += 3.6;
        k += 1.0;
    }
}

/// Collar, service valve and its hand wheel.
fn draw_valve(painter: &Painter, shell: Rect, desk: &Desk<'_>, now: &ContainerReadings) {
    let t = desk.theme;
    let x = shell.center().x;
    let neck = Rect::from_center_size(pos2(x, shell.top() - 4.0), vec2(10.0, 12.0));
    painter.rect(
        neck,
        1.0,
        t.steel,
        Stroke::new(1.0, t.ink),
        StrokeKind::Middle,
    );
    let wheel = Rect::from_center_size(pos2(x, shell.top() - 15.0), vec2(24.0, 7.0));
    let open = now.valve_open > 0.0;
    painter.rect(
        wheel,
        3.0,
        if open { t.brass } else { t.body },
        Stroke::new(1.0, t.ink),
        StrokeKind::Middle,
    );
    // The wheel's ribs wander as it turns.
    let shift = (now.valve_open * 18.0) as f32;
    for k in 0..4 {
        let rx = wheel.left() + (k as f32 * 6.0 + shift).rem_euclid(wheel.width());
        painter.vline(rx, wheel.y_range(), Stroke::new(0.8, t.ink));
    }
    let stub = Rect::from_min_size(pos2(neck.right(), shell.top() - 7.0), vec2(9.0, 5.0));
    let gas = if open { t.gas(now.pigtail_pa) } else { t.body };
    painter.rect(stub, 0.0, gas, Stroke::new(1.0, t.ink), StrokeKind::Middle);
}
