//! An appliance's burner in its window: flames large enough to judge. Shape tells as much as colour: a soft flame is broad
//! and leans, a sharp one is narrow, one that lifts stands off its ports, yellow has a ragged tip.

use std::sync::Arc;

use egui::{Color32, Galley, Mesh, Painter, Pos2, Rect, Shape, Stroke, pos2, vec2};

use super::metal::{self, shade};
use crate::rig::{Flame, Kind};
use crate::visit::{ApplianceSeen, FlameOut};
use crate::window::cutaway::draw::{mix, scatter};
use crate::window::look::theme::{NOTE, Theme, plain};

/// Ports of a burner, their spread as a share of the window, and a flame's height as a share of it.
struct Head {
    ports: usize,
    spread: f32,
    high: f32,
}

fn head(kind: Kind) -> Head {
    let (ports, spread, high) = match kind {
        Kind::Furnace => (3, 0.62, 0.56),
        Kind::WaterHeater => (5, 0.66, 0.44),
        Kind::Refrigerator => (1, 0.0, 0.40),
        Kind::Cooktop => (7, 0.66, 0.30),
        Kind::Oven => (6, 0.74, 0.34),
        Kind::OnDemandHeater => (8, 0.76, 0.38),
        Kind::Grill => (6, 0.74, 0.36),
    };
    Head {
        ports,
        spread,
        high,
    }
}

/// Sizes of a name that has little room, and less \[points\].
const SMALL: f32 = 10.5;
const SMALLEST: f32 = 9.0;
/// A knob beside a name takes so much \[points\].
const BESIDE_KNOB: f32 = 19.0;
/// A name may stand so far over its window's edge \[points\].
const OVERHANG: f32 = 4.0;

/// Draws an appliance in its window, its name below in so much room with its pipe.
pub fn draw(
    painter: &Painter,
    (window, under): (Rect, f32),
    kind: Kind,
    name: &str,
    seen: &ApplianceSeen,
    clock_s: f64,
    t: &Theme,
) {
    let fire = Rect::from_min_max(window.min, pos2(window.right(), window.bottom() - under));
    painter.rect(
        fire,
        3.0,
        t.recess,
        Stroke::new(1.6, t.ink),
        egui::StrokeKind::Middle,
    );
    let rim = Stroke::new(2.2, shade(t.cast, 0.1));
    painter.rect_stroke(fire.expand(1.8), 4.0, rim, egui::StrokeKind::Middle);
    let inside = painter.with_clip_rect(fire.shrink(1.0).intersect(painter.clip_rect()));
    let night = Theme::dark();
    let foot = fire.bottom() - 0.13 * fire.height();
    let ports = ports(kind, fire, foot);
    if let Some(flame) = &seen.flame {
        let heat = flame.size.clamp(0.1, 2.2) as f32;
        let warm = mix(
            night.flame,
            night.flame_tip,
            0.25 + 0.75 * flame.yellow as f32,
        );
        let at = pos2(fire.center().x, foot - 0.2 * fire.height());
        let size = vec2(0.58, 0.56) * fire.size() * (0.5 + 0.4 * heat);
        metal::glow(&inside, at, size, warm.gamma_multiply(0.34));
        let mut order: Vec<usize> = (0..ports.len()).collect();
        // The outer ones stand before the middle ones.
        order.sort_by_key(|k| ports.len() - (2 * k).abs_diff(ports.len() - 1));
        for k in order {
            cone(
                &inside,
                ports[k],
                k as u32,
                fire,
                head(kind).high,
                flame,
                clock_s,
                &night,
            );
        }
    }
    grate(&inside, kind, fire, foot, &ports, t);
    if let Some(lit) = seen.pilot {
        pilot(
            &inside,
            pos2(fire.left() + 0.10 * fire.width(), foot),
            fire,
            lit,
            clock_s,
            &night,
            t,
        );
    }
    if seen.sparks {
        spark(
            &inside,
            pos2(fire.right() - 0.12 * fire.width(), foot),
            fire,
            clock_s,
            &night,
        );
    }
    if seen.purges {
        fan(
            &inside,
            pos2(
                fire.right() - 0.2 * fire.width(),
                fire.top() + 0.24 * fire.height(),
            ),
            0.15 * fire.height(),
            clock_s,
            &night,
        );
    }
    let narrow = is_narrow(window);
    let (knob_at, name_x) = if narrow {
        (fire.left_bottom() + vec2(8.0, -1.0), window.left())
    } else {
        (
            pos2(window.left() + 9.0, window.bottom() - 7.5),
            window.left() + BESIDE_KNOB,
        )
    };
    knob(painter, knob_at, seen, t);
    if seen.locked_out {
        lamp(
            painter,
            pos2(fire.right() - 9.0, fire.top() + 9.0),
            clock_s,
            t,
        );
    }
    let room = window.right() + OVERHANG - name_x;
    let galley = in_one_line(painter, name, window, t.ink)
        .unwrap_or_else(|| in_two_lines(painter, name, room, t.ink));
    // Under a narrow window a long name hangs over on both sides.
    let over = (galley.size().x - room).clamp(0.0, OVERHANG);
    let at = pos2(name_x - over, window.bottom() - 7.0 - 0.5 * galley.size().y);
    painter.galley(at, galley, t.ink);
}

/// A narrow window keeps its knob on the rim, so that the name has room.
fn is_narrow(window: Rect) -> bool {
    window.width() < 92.0
}

/// Whether a name has no room under its window but in two lines.
pub fn takes_two_lines(painter: &Painter, name: &str, window: Rect) -> bool {
    in_one_line(painter, name, window, Color32::PLACEHOLDER).is_none()
}

/// A name in one line, smaller where it does not fit.
fn in_one_line(painter: &Painter, name: &str, window: Rect, ink: Color32) -> Option<Arc<Galley>> {
    let room = if is_narrow(window) {
        window.width() + 2.0 * OVERHANG
    } else {
        window.width() + OVERHANG - BESIDE_KNOB
    };
    [NOTE, SMALL, SMALLEST]
        .into_iter()
        .map(|size| painter.layout_no_wrap(name.to_owned(), plain(size), ink))
        .find(|galley| galley.size().x <= room)
}

/// A name in two lines; only what is too long for both ends in dots.
fn in_two_lines(painter: &Painter, name: &str, room: f32, ink: Color32) -> Arc<Galley> {
    let mut job = egui::text::LayoutJob::simple(name.to_owned(), plain(SMALL), ink, room.max(20.0));
    job.wrap.max_rows = 2;
    painter.layout_job(job)
}

fn ports(kind: Kind, fire: Rect, foot: f32) -> Vec<Pos2> {
    let h = head(kind);
    (0..h.ports)
        .map(|k| {
            let u = if h.ports > 1 {
                2.0 * k as f32 / (h.ports - 1) as f32 - 1.0
            } else {
                0.0
            };
            // A round head is seen from a little above.
            let dip = match kind {
                Kind::Cooktop | Kind::WaterHeater => -0.05 * fire.height() * (1.0 - u * u),
                _ => 0.0,
            };
            pos2(
                fire.center().x + 0.5 * h.spread * fire.width() * u,
                foot + dip,
            )
        })
        .collect()
}

/// The burner itself.
fn grate(painter: &Painter, kind: Kind, fire: Rect, foot: f32, ports: &[Pos2], t: &Theme) {
    let metal_ = shade(t.cast, -0.25);
    let edge = Stroke::new(1.0, t.ink);
    let wide = (head(kind).spread * fire.width() + 10.0).max(14.0);
    let bar = Rect::from_center_size(
        pos2(fire.center().x, foot + 0.05 * fire.height()),
        vec2(wide, 0.09 * fire.height()),
    );
    metal::lying(painter, bar, metal_, edge);
    for p in ports {
        let port = Rect::from_center_size(pos2(p.x, p.y + 1.0), vec2(5.0, 3.4));
        painter.rect(
            port,
            1.0,
            shade(t.brass, -0.1),
            Stroke::new(0.7, t.ink),
            egui::StrokeKind::Middle,
        );
    }
    let stem = Rect::from_center_size(
        pos2(fire.center().x, fire.bottom() - 0.02 * fire.height()),
        vec2(6.0, 0.10 * fire.height()),
    );
    painter.rect_filled(stem, 0.0, metal_);
}

/// One flame: mantle, cone, tip.
#[allow(clippy::too_many_arguments)]
fn cone(
    painter: &Painter,
    port: Pos2,
    n: u32,
    fire: Rect,
    share: f32,
    f: &FlameOut,
    clock_s: f64,
    night: &Theme,
) {
    let clock = clock_s as f32;
    let (size, strength) = (
        f.size.clamp(0.05, 3.0) as f32,
        f.strength.clamp(0.0, 4.0) as f32,
    );
    let yellow = f.yellow.clamp(0.0, 1.0) as f32;
    let sharp = (strength - 1.0).clamp(0.0, 1.4);
    let soft = ((0.85 - strength) / 0.6).clamp(0.0, 1.0);
    let jump = if f.surges {
        1.0 + 0.42 * (clock * 7.3 + 0.4 * n as f32).sin()
    } else {
        1.0
    };
    let quick =
        1.0 + 0.035 * (clock * (11.0 + 16.0 * sharp) + 2.4 * n as f32).sin() * (1.0 + 2.0 * sharp);
    let tall = (share
        * fire.height()
        * size.powf(0.62)
        * (1.0 + 0.22 * yellow + 0.30 * sharp)
        * jump
        * quick)
        .max(4.0)
        .min(0.80 * fire.height());
    let wide = (0.15 * share * fire.height() + 2.0)
        * (1.0 + 0.75 * soft - 0.52 * sharp.min(1.0))
        * size.powf(0.22).min(1.5);
    let lean = soft * tall * 0.30 * (clock * 1.3 + 1.7 * n as f32).sin();
    // A hair off its ports where it is loud, clear of them where it lifts.
    let lifts = match f.flame {
        Flame::Lifting => 0.16 + 0.10 * (clock * 9.0 + n as f32).sin().abs(),
        _ => 0.03 * ((strength - 1.2) / 0.8).clamp(0.0, 1.0),
    };
    let foot = port - vec2(0.0, lifts * fire.height());
    let mantle = mix(night.flame, night.flame_tip, 0.80 * yellow);
    let tip = mix(mantle, night.flame_tip, yellow);
    leaf(
        painter,
        foot,
        wide,
        tall,
        lean,
        [mantle.gamma_multiply(0.62), tip.gamma_multiply(0.16)],
    );
    leaf(
        painter,
        foot,
        0.72 * wide,
        0.78 * tall,
        0.8 * lean,
        [mantle.gamma_multiply(0.80), tip.gamma_multiply(0.40)],
    );
    if yellow > 0.02 {
        // The tip is ragged and its soot glows.
        for k in 0..3 {
            let at = foot
                - vec2(
                    (k as f32 - 1.0) * 0.45 * wide - lean * 0.6,
                    (0.34 + 0.10 * scatter(n + k)) * tall,
                );
            let flutter = 1.0 + 0.25 * (clock * 3.1 + k as f32 * 2.0 + n as f32).sin();
            leaf(
                painter,
                at,
                0.42 * wide,
                (0.50 * yellow + 0.12) * tall * flutter,
                0.5 * lean,
                [
                    night.flame_tip.gamma_multiply(0.85 * yellow.sqrt()),
                    night.flame_tip.gamma_multiply(0.25 * yellow),
                ],
            );
        }
    }
    if sharp > 0.2 {
        // Loud: streaks of gas run up beside it.
        for k in [-1.0, 1.0] {
            let run = (clock * 5.0 + scatter(n) + 0.3 * k).fract();
            let at = foot + vec2(k * (1.1 * wide + 2.0), -tall * (0.15 + 0.7 * run));
            let stroke = Stroke::new(1.2, night.flame_core.gamma_multiply(0.7 * sharp.min(1.0)));
            painter.line_segment([at, at - vec2(0.0, 0.16 * tall)], stroke);
        }
    }
    // The inner cone stands sharp where air and pressure are right, and is gone in a yellow one.
    let inner = (0.46 - 0.16 * soft + 0.10 * sharp.min(1.0)) * tall * (1.0 - 0.65 * yellow);
    let clear = night
        .flame_core
        .gamma_multiply((0.95 - 0.55 * soft - 0.5 * yellow).max(0.12));
    leaf(
        painter,
        foot,
        0.42 * wide,
        inner,
        0.4 * lean,
        [clear, clear.gamma_multiply(0.8)],
    );
}

/// A leaf of flame from foot to tip.
fn leaf(painter: &Painter, foot: Pos2, half: f32, high: f32, lean: f32, colors: [Color32; 2]) {
    const STEPS: u32 = 12;
    let mut mesh = Mesh::default();
    for i in 0..=STEPS {
        let u = i as f32 / STEPS as f32;
        let w = half * (0.62 + 1.5 * u).min(1.0) * (1.0 - u.powf(1.7)).max(0.0).powf(0.75);
        let c = mix(colors[0], colors[1], u);
        let x = foot.x + lean * u * u;
        mesh.colored_vertex(pos2(x - w, foot.y - high * u), c);
        mesh.colored_vertex(pos2(x + w, foot.y - high * u), c);
        if i > 0 {
            let k = 2 * i;
            mesh.add_triangle(k - 2, k - 1, k);
            mesh.add_triangle(k - 1, k, k + 1);
        }
    }
    painter.add(Shape::mesh(mesh));
}

/// The pilot beside the burner, with the thermocouple in its flame.
fn pilot(
    painter: &Painter,
    at: Pos2,
    fire: Rect,
    lit: bool,
    clock_s: f64,
    night: &Theme,
    t: &Theme,
) {
    let tube = Rect::from_min_max(pos2(at.x - 2.0, at.y), pos2(at.x + 2.0, fire.bottom()));
    painter.rect_filled(tube, 0.0, shade(t.brass, -0.15));
    let couple = [
        pos2(at.x + 6.0, fire.bottom()),
        pos2(at.x + 5.0, at.y - 4.0),
    ];
    painter.line_segment(couple, Stroke::new(2.0, night.steel));
    if lit {
        let high = 0.13 * fire.height() * (1.0 + 0.06 * (clock_s as f32 * 8.0).sin());
        leaf(
            painter,
            at,
            3.4,
            high,
            3.0,
            [night.flame, night.flame.gamma_multiply(0.3)],
        );
        leaf(
            painter,
            at,
            1.6,
            0.5 * high,
            1.0,
            [night.flame_core, night.flame_core],
        );
    }
}

/// Sparks between two wires.
fn spark(painter: &Painter, at: Pos2, fire: Rect, clock_s: f64, night: &Theme) {
    let top = at - vec2(0.0, 0.16 * fire.height());
    painter.line_segment(
        [pos2(at.x, fire.bottom()), at],
        Stroke::new(2.0, night.steel),
    );
    painter.line_segment(
        [pos2(at.x + 7.0, fire.bottom()), top + vec2(7.0, 0.0)],
        Stroke::new(2.0, night.steel),
    );
    let n = (clock_s * 12.0) as u32;
    let mut points = vec![at];
    for k in 1..5 {
        let u = k as f32 / 5.0;
        let jag = vec2(4.0 * (scatter(n + k) - 0.5) * 2.0, 0.0);
        points.push(at + (top + vec2(7.0, 0.0) - at) * u + jag);
    }
    points.push(top + vec2(7.0, 0.0));
    painter.add(Shape::line(
        points.clone(),
        Stroke::new(3.4, night.flame.gamma_multiply(0.6)),
    ));
    painter.add(Shape::line(points, Stroke::new(1.3, Color32::WHITE)));
}

/// The fan that clears the chamber.
fn fan(painter: &Painter, at: Pos2, r: f32, clock_s: f64, night: &Theme) {
    painter.circle_stroke(at, r, Stroke::new(1.4, night.steel));
    for k in 0..4 {
        let a = clock_s as f32 * 5.0 + k as f32 * std::f32::consts::FRAC_PI_2;
        let d = vec2(a.cos(), a.sin()) * 0.85 * r;
        let blade = vec![at, at + d, at + d * 0.7 + d.rot90() * 0.45];
        painter.add(Shape::convex_polygon(blade, night.steel, Stroke::NONE));
    }
}

/// The knob: its mark points up when it is off, across when it is on.
fn knob(painter: &Painter, at: Pos2, seen: &ApplianceSeen, t: &Theme) {
    painter.circle(
        at,
        6.0,
        if seen.on { t.brass } else { t.well },
        Stroke::new(1.2, t.ink),
    );
    let d = if seen.on {
        vec2(5.0, 0.0)
    } else {
        vec2(0.0, -5.0)
    };
    painter.line_segment([at, at + d], Stroke::new(1.8, t.ink));
}

/// The lamp of a lock-out: it blinks, and has a cross in it.
fn lamp(painter: &Painter, at: Pos2, clock_s: f64, t: &Theme) {
    let night = Theme::dark();
    let on = (clock_s * 1.5).fract() < 0.6;
    painter.circle(
        at,
        6.5,
        if on { night.danger } else { t.recess },
        Stroke::new(1.4, night.danger),
    );
    let ink = if on { t.recess } else { night.danger };
    for d in [vec2(2.6, 2.6), vec2(2.6, -2.6)] {
        painter.line_segment([at - d, at + d], Stroke::new(1.6, ink));
    }
}
