//! The regulator as it hangs there: both castings with caps and screws, its vents and which way they look, frost, mud,
//! water, ice, paint, sun on it, and the cover over it.

use egui::{Painter, Pos2, Rect, Shape, Stroke, pos2, vec2};

use super::bubbles::plume;
use super::hand_on;
use super::lay::Lay;
use super::metal::{self, shade};
use crate::visit::{Bar, Outlook, VentSeen};
use crate::window::cutaway::draw::{mix, scatter};
use crate::window::cutaway::geometry::{FLANGE, Plan, View, WALL};
use crate::window::look::theme::Theme;

/// Draws both castings and what joins them.
pub fn draw(painter: &Painter, lay: &Lay, seen: &Outlook, clock_s: f64, t: &Theme) {
    neck(painter, lay, t);
    for i in 0..2 {
        body(painter, lay, i, seen, t);
        fittings(painter, lay, i, t);
        vent(painter, lay, i, &seen.vents[i], clock_s, t);
        if seen.cloth {
            hand_on::cloth(painter, &lay.plans[i], &lay.views[i], 0.94, t);
        }
    }
}

/// The neck between the stages, with the plug of the test tap.
fn neck(painter: &Painter, lay: &Lay, t: &Theme) {
    let (a, b) = (&lay.views[0], &lay.views[1]);
    let s = lay.scale();
    let left = a.xy(lay.plans[0].clamp, 0.0).x;
    let right = b.xy(-lay.plans[1].clamp, 0.0).x;
    let rect = Rect::from_x_y_ranges(left..=right, a.origin.y - 6.0 * s..=a.origin.y + 6.0 * s);
    metal::lying(painter, rect, t.cast, Stroke::new(1.2, t.ink));
    let plug = lay.between();
    let boss = Rect::from_center_size(plug - vec2(0.0, 7.5 * s), vec2(11.0, 5.0) * s);
    metal::standing(painter, boss, t.cast, Stroke::new(1.0, t.ink));
    let hex = Rect::from_center_size(plug - vec2(0.0, 12.0 * s), vec2(9.0, 5.0) * s);
    metal::hex_standing(painter, hex, t.brass, t);
}

/// One casting.
fn body(painter: &Painter, lay: &Lay, i: usize, seen: &Outlook, t: &Theme) {
    let (p, v) = (&lay.plans[i], &lay.views[i]);
    let shape = p.silhouette();
    let left: Vec<Pos2> = shape.iter().map(|(y, h)| v.xy(-h, *y)).collect();
    let right: Vec<Pos2> = shape.iter().map(|(y, h)| v.xy(*h, *y)).collect();
    let dark = if i == 1 { seen.dark as f32 } else { 0.0 };
    let dirt = mix(t.cast, mix(t.mud, t.rubber, 0.6), 0.85 * dark);
    let veil = mix(dirt, shade(t.frost, 0.75), 0.45 * seen.rime as f32);
    metal::round(painter, &left, &right, veil);
    let outline: Vec<Pos2> = left
        .iter()
        .copied()
        .chain(right.iter().rev().copied())
        .collect();
    let half = |y: f32| {
        let k = shape.partition_point(|(h, _)| *h < y).min(shape.len() - 1);
        shape[k].1
    };
    let inside = |q: Pos2| {
        let d = (q - v.origin) / v.scale;
        (p.floor - WALL + 0.8..p.top).contains(&-d.y) && d.x.abs() < half(-d.y) - 0.8
    };
    let bounds = Rect::from_points(&outline);
    metal::grain(painter, bounds, dirt, inside);
    if dark > 0.0 {
        splashes(painter, bounds, dark, t, inside);
    }
    painter.add(Shape::closed_line(outline, Stroke::new(1.4, t.ink)));
    ribs(painter, p, v, t);
    rim(painter, p, v, t);
    cap(painter, p, v, t);
    cast_arrow(painter, p, v, t);
    sunlit(painter, p, v, if i == 1 { seen.sun as f32 } else { 0.0 }, t);
    metal::rime(painter, bounds, seen.rime as f32, t, |q| {
        let d = (q - v.origin) / v.scale;
        // White from below, where gas is throttled; thick frost climbs to the cap.
        let reach = p.floor - WALL + (p.top - p.floor) * (0.25 + 0.75 * seen.rime as f32);
        inside(q) && -d.y < reach
    });
}

fn splashes(painter: &Painter, bounds: Rect, dark: f32, t: &Theme, inside: impl Fn(Pos2) -> bool) {
    for n in 0..(14.0 + 60.0 * dark) as u32 {
        let at = bounds.min + vec2(scatter(n + 500), scatter(n + 900)) * bounds.size();
        if inside(at) {
            painter.circle_filled(
                at,
                0.8 + 2.6 * dark * scatter(n + 40),
                t.mud.gamma_multiply(0.75),
            );
        }
    }
}

/// Ribs cast on the lower half and around the tower's foot.
fn ribs(painter: &Painter, p: &Plan, v: &View, t: &Theme) {
    let wide = p.clamp + WALL;
    for k in -2..=2 {
        let x = wide * 0.36 * k as f32;
        let low = v.xy(x, p.floor - WALL + 1.6);
        let high = v.xy(x, p.rest - 3.4);
        painter.line_segment([low, high], Stroke::new(1.6, shade(t.cast, -0.24)));
        painter.line_segment(
            [low - vec2(1.3, 0.0), high - vec2(1.3, 0.0)],
            Stroke::new(0.9, shade(t.cast, 0.36)),
        );
    }
    for k in [-1.0, 1.0] {
        let foot = v.xy(k * (wide - 5.0), p.shoulder + 0.8);
        let head = v.xy(
            k * (p.tower + WALL),
            p.shoulder + 0.55 * (p.top - p.shoulder),
        );
        painter.line_segment([foot, head], Stroke::new(2.2, shade(t.cast, -0.20)));
        painter.line_segment(
            [foot - vec2(1.0, 1.4), head - vec2(1.0, 1.4)],
            Stroke::new(0.9, shade(t.cast, 0.34)),
        );
    }
}

/// The rim with the screws that clamp the diaphragm.
fn rim(painter: &Painter, p: &Plan, v: &View, t: &Theme) {
    let half = p.clamp + FLANGE;
    for y in [p.rest - 2.6, p.rest, p.rest + 2.6] {
        let ink = if y == p.rest {
            t.ink
        } else {
            shade(t.cast, -0.35)
        };
        painter.line_segment(
            [v.xy(-half, y), v.xy(half, y)],
            Stroke::new(if y == p.rest { 1.6 } else { 0.8 }, ink),
        );
    }
    let count = if half > 40.0 { 7 } else { 5 };
    for k in 0..count {
        let a = std::f32::consts::PI * (k as f32 + 0.5) / count as f32;
        metal::screw(
            painter,
            v.xy(-half * 0.96 * a.cos(), p.rest + 0.8),
            v.len(2.0).clamp(1.4, 5.0),
            t,
        );
    }
}

/// The cap over the adjusting screw.
fn cap(painter: &Painter, p: &Plan, v: &View, t: &Theme) {
    let half = p.tower + WALL + 1.2;
    let rect = v.rect(pos2(-half, p.top - 0.8), pos2(half, p.top + 6.2));
    let color = if t.dark {
        shade(t.rubber, 0.16)
    } else {
        shade(t.rubber, 0.06)
    };
    metal::standing(painter, rect, color, Stroke::new(1.2, t.ink));
    let n = (half / 1.6) as i32;
    for k in -n..=n {
        let x = v
            .xy(
                half * (std::f32::consts::FRAC_PI_2 * k as f32 / n as f32).sin(),
                0.0,
            )
            .x;
        painter.vline(
            x,
            rect.top() + 2.0..=rect.bottom() - 1.0,
            Stroke::new(0.8, shade(color, 0.22)),
        );
    }
    let slot = Rect::from_center_size(
        pos2(rect.center().x, rect.top() - 0.6 * v.scale),
        vec2(7.0, 1.6) * v.scale,
    );
    painter.rect(
        slot,
        1.0,
        color,
        Stroke::new(1.0, t.ink),
        egui::StrokeKind::Middle,
    );
}

/// The arrow of the flow, cast into the lower half.
fn cast_arrow(painter: &Painter, p: &Plan, v: &View, t: &Theme) {
    let long = 0.30 * p.clamp;
    let y = 0.5 * (p.floor - WALL + p.rest - 3.0) - 0.6;
    for (by, ink) in [(0.0, shade(t.cast, 0.5)), (1.0, shade(t.cast, -0.45))] {
        let o = vec2(by, by);
        let at = |x: f32, dy: f32| v.xy(x, y + dy) + o;
        let stroke = Stroke::new(v.len(1.0).clamp(1.1, 2.4), ink);
        painter.line_segment([at(-long, 0.0), at(long, 0.0)], stroke);
        painter.line_segment([at(long - 3.4, 2.6), at(long, 0.0)], stroke);
        painter.line_segment([at(long - 3.4, -2.6), at(long, 0.0)], stroke);
    }
}

/// Sun on the spring case: a bright patch and its rays.
fn sunlit(painter: &Painter, p: &Plan, v: &View, sun: f32, t: &Theme) {
    if sun <= 0.0 {
        return;
    }
    let at = v.xy(-0.45 * p.tower, p.shoulder + 0.5 * (p.top - p.shoulder));
    metal::glow(
        painter,
        at,
        v.scale * vec2(p.tower, 0.7 * (p.top - p.shoulder)) * (0.6 + 0.6 * sun),
        t.flame_tip.gamma_multiply(0.25 + 0.45 * sun),
    );
    for k in 0..(3.0 + 5.0 * sun) as u32 {
        let from = v.xy(
            -p.tower - 20.0 - 3.0 * k as f32,
            p.top + 10.0 - 5.0 * k as f32,
        );
        let way = vec2(0.84, 0.54);
        painter.line_segment(
            [from, from + way * v.len(8.0 + 7.0 * sun)],
            Stroke::new(1.4, t.flame_tip),
        );
    }
}

/// Nuts where gas comes in and goes out.
fn fittings(painter: &Painter, lay: &Lay, i: usize, t: &Theme) {
    let (p, v) = (&lay.plans[i], &lay.views[i]);
    let wall = p.clamp + WALL;
    let nut = |x: f32, wide: f32, high: f32| {
        let rect = v.rect(pos2(x, -high), pos2(x + wide, high));
        metal::hex_lying(painter, rect, t.brass, t);
    };
    if i == 0 {
        nut(-wall - 4.0, 4.0, 6.6);
        nut(-wall - 8.5, 4.4, 5.0);
        nut(wall - 0.2, 3.4, 7.2);
    } else {
        nut(-wall - 3.2, 3.4, 7.2);
        nut(wall - 0.2, 4.2, 6.6);
        nut(wall + 4.2, 4.4, 5.2);
    }
}

/// A vent: its tube, screen, flap, and what bars, wets or leaves it.
fn vent(painter: &Painter, lay: &Lay, i: usize, seen: &VentSeen, clock_s: f64, t: &Theme) {
    let v = &lay.views[i];
    let [root, bend, mouth] = lay.vent_tube(i, seen.looks_up);
    let down = if seen.looks_up { -1.0 } else { 1.0 };
    let w = lay.vent_wide(i);
    metal::pipe(painter, &[root, bend, mouth], w, t.cast, t);
    let lip = Rect::from_center_size(mouth, vec2(w + v.len(2.4), v.len(3.0).max(3.0)));
    metal::standing(painter, lip, shade(t.cast, -0.06), Stroke::new(1.1, t.ink));
    let hole = pos2(mouth.x, mouth.y + down * 0.5 * lip.height());
    screen(painter, hole, w, t);
    if let Some(open) = seen.flap {
        flap(
            painter,
            pos2(root.x + 0.34 * (bend.x - root.x), root.y),
            w,
            open as f32,
            t,
        );
    }
    bar(painter, hole, w, down, seen, t);
    if seen.wet > 0.0 {
        wet(painter, hole, w, down, seen.wet as f32, clock_s, t);
    }
    hand_on::thumb(painter, hole, w, down, seen.thumb as f32, t);
    if seen.blows > 0.0 {
        plume(
            painter,
            hole,
            vec2(0.12, down),
            seen.blows as f32,
            clock_s,
            t,
        );
    }
}

/// The insect screen in the mouth.
fn screen(painter: &Painter, hole: Pos2, w: f32, t: &Theme) {
    let half = vec2(0.5 * w - 0.5, (0.20 * w).max(1.6));
    painter.add(Shape::ellipse_filled(hole, half, t.recess));
    for k in -1..=1 {
        let x = hole.x + 0.28 * w * k as f32;
        painter.vline(
            x,
            hole.y - 0.8 * half.y..=hole.y + 0.8 * half.y,
            Stroke::new(0.8, t.steel),
        );
    }
    painter.add(Shape::ellipse_stroke(hole, half, Stroke::new(1.0, t.ink)));
}

fn flap(painter: &Painter, at: Pos2, w: f32, open: f32, t: &Theme) {
    let hinge = at - vec2(0.45 * w, 0.52 * w);
    let (sin, cos) = (1.1 * open).sin_cos();
    let end = hinge + vec2(cos, -sin) * 1.25 * w;
    painter.line_segment([hinge, end], Stroke::new(3.6, t.ink));
    painter.line_segment([hinge, end], Stroke::new(2.0, shade(t.rubber, 0.25)));
    painter.circle(hinge, 2.2, t.steel, Stroke::new(0.9, t.ink));
}

/// Mud, ice or paint: as much of the mouth as it bars, and it bulges out.
fn bar(painter: &Painter, hole: Pos2, w: f32, down: f32, seen: &VentSeen, t: &Theme) {
    let much = seen.barred.clamp(0.0, 1.0) as f32;
    if much <= 0.0 || seen.bar == Bar::Nothing {
        return;
    }
    let wide = (w + 3.0) * (0.25 + 0.75 * much);
    let left = hole.x - 0.5 * w - 1.5;
    match seen.bar {
        Bar::Paint => {
            // One skin over lip and screen, with runs.
            let skin = mix(t.enamel, t.caution, 0.35);
            let rect = Rect::from_min_size(
                pos2(left, hole.y - 5.0 - 5.0 * much),
                vec2(wide, 8.0 + 6.0 * much),
            );
            painter.rect(
                rect,
                2.0,
                skin,
                Stroke::new(1.0, t.ink),
                egui::StrokeKind::Middle,
            );
            for k in 0..3 {
                let x = left + wide * (0.2 + 0.3 * k as f32);
                let run = (3.0 + 8.0 * scatter(k)) * much;
                painter.line_segment(
                    [pos2(x, rect.bottom() - 1.0), pos2(x, rect.bottom() + run)],
                    Stroke::new(2.4, skin),
                );
                painter.circle_filled(pos2(x, rect.bottom() + run), 1.5, skin);
            }
        }
        Bar::Ice => {
            let ice = if t.dark {
                t.frost
            } else {
                shade(t.frost, 0.55)
            };
            for k in 0..4 {
                let x = left + wide * (0.12 + 0.25 * k as f32);
                let long = (4.0 + 9.0 * scatter(k + 5)) * (0.4 + 0.9 * much);
                let thick = 1.6 + 1.6 * much;
                painter.add(Shape::convex_polygon(
                    vec![
                        pos2(x - thick, hole.y - 2.0),
                        pos2(x + thick, hole.y - 2.0),
                        pos2(x, hole.y + long),
                    ],
                    ice,
                    Stroke::new(0.9, t.ink),
                ));
            }
            let plug = Rect::from_min_size(pos2(left, hole.y - 3.4), vec2(wide, 5.0));
            painter.rect(
                plug,
                2.0,
                ice,
                Stroke::new(1.0, t.ink),
                egui::StrokeKind::Middle,
            );
        }
        Bar::Mud | Bar::Nothing => {
            let bulge = (2.0 + 0.45 * w * much) * down;
            let mut lump = vec![pos2(left, hole.y - 3.0 * down)];
            for k in 0..=5 {
                let u = k as f32 / 5.0;
                let out = bulge
                    * (std::f32::consts::PI * (0.12 + 0.76 * u)).sin()
                    * (0.8 + 0.3 * scatter(k + 2));
                lump.push(pos2(left + wide * u, hole.y + out));
            }
            lump.push(pos2(left + wide, hole.y - 3.0 * down));
            painter.add(Shape::convex_polygon(lump, t.mud, Stroke::new(1.2, t.ink)));
            for k in 0..(3.0 + 7.0 * much) as u32 {
                let at = pos2(
                    left + wide * (0.1 + 0.8 * scatter(k)),
                    hole.y + bulge * 0.55 * scatter(k + 31),
                );
                painter.circle_filled(at, 1.0, shade(t.mud, if k % 2 == 0 { 0.3 } else { -0.35 }));
            }
        }
    }
}

/// Water: it hangs in drops from a vent that looks down, and stands in one that looks up.
fn wet(painter: &Painter, hole: Pos2, w: f32, down: f32, much: f32, clock_s: f64, t: &Theme) {
    if down < 0.0 {
        let pool = Rect::from_center_size(
            hole + vec2(0.0, 1.0 + 0.5 * w * much),
            vec2(w - 1.0, w * (0.3 + much)),
        );
        painter.rect(
            pool,
            2.0,
            t.water.gamma_multiply(0.85),
            Stroke::new(1.0, t.ink),
            egui::StrokeKind::Middle,
        );
        let top = Rect::from_center_size(hole, vec2(w - 1.0, 3.0));
        painter.rect_filled(top, 1.5, shade(t.water, 0.45));
        return;
    }
    for k in 0..(1.0 + 2.4 * much) as u32 {
        let x = hole.x + w * (scatter(k + 3) - 0.5) * 0.8;
        let swing = (clock_s * 0.35 + f64::from(scatter(k + 9))).fract() as f32;
        metal::drop(
            painter,
            pos2(x, hole.y + 3.0 + 4.0 * much + 1.6 * swing),
            2.2 + 2.6 * much,
            t,
        );
    }
}

/// The cover: shut over the castings, or lifted on its hinge behind them.
pub fn cover(painter: &Painter, lay: &Lay, shut: bool, t: &Theme) -> Rect {
    let (a, b) = (&lay.views[0], &lay.views[1]);
    let s = lay.scale();
    let left = a.xy(-lay.plans[0].clamp - 12.0, 0.0).x;
    let right = b.xy(lay.plans[1].clamp + 19.0, 0.0).x;
    let top = b.xy(0.0, lay.plans[1].top + 11.0).y;
    let low = b.xy(0.0, lay.plans[1].floor - WALL - 3.0).y;
    let edge = Stroke::new(1.4, t.ink);
    if !shut {
        // Seen from below, tilted back against the wall.
        let rect = Rect::from_min_max(pos2(left, top - 1.0 * s), pos2(right, top + 5.5 * s));
        let at = vec![
            rect.left_bottom(),
            rect.left_top() + vec2(5.0 * s, 0.0),
            rect.right_top() - vec2(5.0 * s, 0.0),
            rect.right_bottom(),
        ];
        painter.add(Shape::convex_polygon(at, shade(t.enamel, -0.18), edge));
        let lip = [rect.left_bottom(), rect.right_bottom()];
        painter.line_segment(lip, Stroke::new(2.6, shade(t.enamel, 0.2)));
        return rect;
    }
    let rect = Rect::from_min_max(pos2(left, top), pos2(right, low));
    let round = 9.0 * s;
    painter.rect(
        rect,
        round,
        shade(t.enamel, -0.06),
        edge,
        egui::StrokeKind::Middle,
    );
    for k in 0..6 {
        let y = rect.top() + rect.height() * (0.30 + 0.09 * k as f32);
        let rib = [
            pos2(rect.left() + 2.0 * round, y),
            pos2(rect.right() - 2.0 * round, y),
        ];
        painter.line_segment(rib, Stroke::new(3.0, shade(t.enamel, -0.22)));
        painter.line_segment(
            rib.map(|q| q - vec2(0.0, 1.4)),
            Stroke::new(1.0, shade(t.enamel, 0.3)),
        );
    }
    for x in [rect.left() + round, rect.right() - round] {
        metal::screw(
            painter,
            pos2(x, rect.bottom() - 0.7 * round),
            2.6 * s.max(0.7),
            t,
        );
    }
    rect
}
