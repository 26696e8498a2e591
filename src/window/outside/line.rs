//! What carries the gas from outside: pigtails, changeover, the line with its taps and branches.

use egui::{Painter, Pos2, Rect, Shape, Stroke, pos2, vec2};

use super::bottle::Bottle;
use super::lay::Lay;
use super::metal::{self, shade};
use crate::visit::{BottleSeen, ChangeoverSeen, LineSeen, Outlook};
use crate::window::cutaway::draw::{mix, smooth};
use crate::window::look::theme::Theme;

/// The pigtails, and the changeover where two of them meet.
pub fn supply(painter: &Painter, lay: &Lay, seen: &Outlook, t: &Theme) {
    for (i, (bottle, room)) in seen.bottles.iter().zip(&lay.bottles).enumerate() {
        pigtail(painter, &hose(lay, seen, i, bottle, *room), bottle, lay, t);
    }
    if let Some(c) = seen.changeover {
        changeover(painter, lay, &c, t);
    }
}

/// The way of a container's hose to the regulator, or to the changeover.
pub fn hose(lay: &Lay, seen: &Outlook, i: usize, bottle: &BottleSeen, room: Rect) -> Vec<Pos2> {
    let to = if seen.changeover.is_some() {
        port(lay, i)
    } else {
        lay.inlet()
    };
    way(Bottle::new(bottle, room).outlet(), to, bottle.kink as f32)
}

/// Middle of the changeover.
pub fn changeover_at(lay: &Lay) -> Pos2 {
    lay.inlet() - vec2(13.0 * lay.scale() + 4.0, 0.0)
}

fn port(lay: &Lay, i: usize) -> Pos2 {
    let c = changeover_at(lay);
    let s = lay.scale().max(0.8);
    c + vec2(-6.0 * s, if i == 0 { -13.0 * s } else { 13.0 * s })
}

/// Points of a pigtail; a bend in it grows sharp.
pub fn way(from: Pos2, to: Pos2, kink: f32) -> Vec<Pos2> {
    let span = to - from;
    let sag = 0.16 * span.x.abs() + 8.0;
    let mid = from + span * 0.5 + vec2(0.0, sag);
    if kink <= 0.0 {
        return smooth(&[
            from,
            from + vec2(0.20 * span.x, 0.10 * span.y + 3.0),
            mid,
            to - vec2(0.16 * span.x.abs(), -2.0),
            to,
        ]);
    }
    // Caught and folded in the middle: the fold hangs down, its legs closer together.
    let fold = mid + vec2(0.0, 6.0 + 18.0 * kink);
    let near = (1.0 - 0.85 * kink) * 0.18 * span.x.abs() + 2.0;
    let up = 10.0 + 10.0 * kink;
    let mut out = smooth(&[
        from,
        from + vec2(0.22 * span.x, 0.1 * span.y),
        fold + vec2(-near, -up),
        fold,
    ]);
    out.extend(smooth(&[
        fold,
        fold + vec2(near, -up),
        to - vec2(0.14 * span.x.abs(), -3.0),
        to,
    ]));
    out
}

fn pigtail(painter: &Painter, points: &[Pos2], b: &BottleSeen, lay: &Lay, t: &Theme) {
    let (kink, from, to) = (b.kink as f32, points[0], points[points.len() - 1]);
    let w = (4.4 * lay.scale()).clamp(4.0, 9.0);
    metal::hose(painter, points, w, t);
    if kink > 0.0 {
        // The fold itself: flat, white where the cover is strained.
        let fold = points
            .iter()
            .copied()
            .fold(points[0], |a, p| if p.y > a.y { p } else { a });
        let strained = Stroke::new(1.6, mix(t.rubber, t.card, 0.75));
        for k in [-1.0, 0.0, 1.0] {
            let x = fold.x + k * 2.6;
            painter.line_segment(
                [
                    pos2(x, fold.y - 0.55 * w),
                    pos2(x + k * 1.5, fold.y + 0.55 * w),
                ],
                strained,
            );
        }
    }
    for (end, other) in [(from, points[1]), (to, points[points.len() - 2])] {
        let lies = (end.x - other.x).abs() > (end.y - other.y).abs();
        let size = if lies {
            vec2(1.5 * w, 1.7 * w)
        } else {
            vec2(1.7 * w, 1.5 * w)
        };
        let rect = Rect::from_center_size(end, size);
        if lies {
            metal::hex_lying(painter, rect, t.brass, t);
        } else {
            metal::hex_standing(painter, rect, t.brass, t);
        }
    }
}

/// The changeover: block, knob with its pointer, window of the indicator.
fn changeover(painter: &Painter, lay: &Lay, seen: &ChangeoverSeen, t: &Theme) {
    let c = changeover_at(lay);
    let s = lay.scale().max(0.8);
    let block = Rect::from_center_size(c, vec2(20.0, 34.0) * s);
    let joint = Rect::from_min_max(pos2(c.x, c.y - 3.0 * s), pos2(lay.inlet().x, c.y + 3.0 * s));
    metal::lying(painter, joint, t.brass, Stroke::new(1.0, t.ink));
    metal::standing(painter, block, t.cast, Stroke::new(1.3, t.ink));
    let knob = c + vec2(0.0, 7.0 * s);
    painter.circle(
        knob,
        7.0 * s,
        shade(t.rubber, if t.dark { 0.2 } else { 0.1 }),
        Stroke::new(1.1, t.ink),
    );
    // Its pointer looks at the hose of the side in service.
    let d = (port(lay, seen.points_at) - knob).normalized();
    let head = vec![
        knob + d * 7.0 * s,
        knob + d.rot90() * 2.2 * s,
        knob - d * 4.0 * s,
        knob - d.rot90() * 2.2 * s,
    ];
    painter.add(Shape::convex_polygon(
        head,
        t.brass,
        Stroke::new(0.9, t.ink),
    ));
    let window = Rect::from_center_size(c - vec2(0.0, 9.0 * s), vec2(15.0, 7.0) * s);
    painter.rect_filled(window, 1.5, t.good);
    let red = window.with_max_x(window.left() + window.width() * seen.red.clamp(0.0, 1.0) as f32);
    painter.rect_filled(red, 1.5, t.danger);
    // Red is hatched, so that it is told without its colour.
    let mut x = red.left() + 2.0;
    while x < red.right() {
        painter.line_segment(
            [
                pos2(x, red.bottom()),
                pos2((x + 3.0).min(red.right()), red.top()),
            ],
            Stroke::new(1.0, t.card),
        );
        x += 4.0;
    }
    painter.rect_stroke(
        window,
        1.5,
        Stroke::new(1.2, t.ink),
        egui::StrokeKind::Outside,
    );
}

/// The line from the outlet to the burners, its taps and branches.
pub fn low_side(painter: &Painter, lay: &Lay, seen: &LineSeen, t: &Theme) {
    let copper = mix(t.brass, t.caution, 0.30);
    let full = lay.pipe();
    let w = full * (0.28 + 0.72 * seen.width as f32);
    let start = lay.views[1].xy(lay.plans[1].clamp + 9.0, 0.0);
    let run = [pos2(start.x, start.y), pos2(lay.header_x, start.y)];
    main_run(painter, run, w, seen, copper, t);
    let (high, low) = lay
        .rows
        .iter()
        .fold((start.y, start.y), |(a, b), y| (a.min(*y), b.max(*y)));
    metal::pipe(
        painter,
        &[pos2(lay.header_x, high), pos2(lay.header_x, low)],
        w,
        copper,
        t,
    );
    let columns = lay
        .burners
        .iter()
        .filter(|b| (b.top() - lay.burners[0].top()).abs() < 1.0)
        .count()
        .max(1);
    for (k, y) in lay.rows.iter().enumerate() {
        let in_row: Vec<&Rect> = lay.burners.iter().skip(k * columns).take(columns).collect();
        let Some(end) = in_row.last() else { continue };
        let to = pos2(end.center().x, *y);
        metal::pipe(painter, &[pos2(lay.header_x, *y), to], 0.8 * w, copper, t);
        for b in in_row {
            let x = b.center().x;
            let up = [pos2(x, *y), pos2(x, b.bottom() - lay.under + 2.0)];
            metal::pipe(painter, &up, 0.6 * w, copper, t);
            tee(painter, pos2(x, *y), w, t);
        }
        tee(painter, pos2(lay.header_x, *y), 1.15 * w, t);
    }
    tee(painter, pos2(lay.header_x, start.y), 1.15 * w, t);
    let tap = lay.outlet();
    let boss = Rect::from_center_size(tap + vec2(0.0, 0.9 * full), vec2(1.1 * full, 0.9 * full));
    metal::hex_standing(painter, boss, t.brass, t);
}

/// The run under the floor: where it is crushed it is flat, where it sags it hangs.
fn main_run(
    painter: &Painter,
    [a, b]: [Pos2; 2],
    w: f32,
    seen: &LineSeen,
    copper: egui::Color32,
    t: &Theme,
) {
    let sag = seen.sags as f32;
    let points: Vec<Pos2> = (0..=20)
        .map(|i| {
            let u = i as f32 / 20.0;
            let hang = (std::f32::consts::PI * u).sin().powi(2)
                * (if sag > 0.0 { 5.0 + 22.0 * sag } else { 0.0 });
            a + (b - a) * u + vec2(0.0, hang)
        })
        .collect();
    if sag > 0.0 {
        metal::pipe(painter, &points, w, copper, t);
    } else {
        metal::pipe(painter, &[a, b], w, copper, t);
    }
    let crushed = seen.crushed as f32;
    if crushed > 0.0 {
        let c = points[10];
        let half = vec2(9.0 + 5.0 * crushed, 0.5 * w);
        // The dent bites in from below; the metal spreads beside it.
        let bite = w * (0.20 + 0.72 * crushed);
        let dent = vec![
            c + vec2(-half.x, half.y + 1.4),
            c + vec2(-0.35 * half.x, half.y + 1.0 - bite),
            c + vec2(0.35 * half.x, half.y + 1.0 - bite),
            c + vec2(half.x, half.y + 1.4),
        ];
        painter.add(Shape::convex_polygon(dent.clone(), t.wall, Stroke::NONE));
        painter.add(Shape::line(dent, Stroke::new(1.6, t.ink)));
        for k in [-1.0, 1.0] {
            let at = c + vec2(k * half.x * 0.8, -0.15 * w);
            painter.line_segment(
                [at - vec2(0.0, 0.3 * w), at + vec2(-k * 3.0, 0.5 * w)],
                Stroke::new(1.1, t.ink),
            );
        }
    }
}

fn tee(painter: &Painter, at: Pos2, w: f32, t: &Theme) {
    let rect = Rect::from_center_size(at, vec2(1.5 * w, 1.35 * w));
    metal::hex_standing(painter, rect, t.brass, t);
}
