//! The pipes between the stages, and where they enter and leave the bodies.

use egui::{Color32, Painter, Rect, Shape, Stroke, pos2};

use super::geometry::{PIPE, WALL};
use super::places::Places;
use super::scene::{Scene, stage_readings};
use super::{draw, stage};
use crate::rig::ContainerReadings;
use crate::window::look::theme::Theme;

/// Inlet, middle and outlet pipes.
pub fn draw_pipes(painter: &Painter, scene: &Scene<'_>, places: &Places, theme: &Theme) {
    let n = scene.now;
    let pressures = [n.first.inlet_pa, n.second.inlet_pa, n.outlet_pa];
    for (bore, pa) in places.pipes().into_iter().zip(pressures) {
        let scale = places.views[0].scale;
        let from = pos2(bore.left(), places.views[0].origin.y);
        stage::pipe(painter, theme, scale, from, bore.right(), theme.gas(pa));
        draw::stipple(painter, bore, scale, theme, pa, |_| true);
    }
    // Where two containers meet, each hose ends at the changeover.
    if scene.rig.changeover.is_none() {
        let given = theme.gas(given_pa(&n.containers[0]));
        let size = [1.7 * places.views[0].scale, scene.kinks[0] as f32];
        kink(painter, places.pipes()[0], size, given, theme);
    }
}

/// What stands in a hose before a bend in it \[Pa\].
pub(super) fn given_pa(c: &ContainerReadings) -> f64 {
    if c.valve_open > 0.0 {
        c.pressure_pa
    } else {
        c.pigtail_pa
    }
}

/// A hose bent so sharply that its walls come together; before the bend stands what the container gives.
pub(super) fn kink(
    painter: &Painter,
    bore: Rect,
    [wall, kink]: [f32; 2],
    before: Color32,
    theme: &Theme,
) {
    if kink <= 0.0 {
        return;
    }
    let x = bore.left() + 0.42 * bore.width();
    let half = 0.5 * bore.height();
    let wide = (2.2 * half).min(0.3 * bore.width());
    painter.rect_filled(bore.with_max_x(x), 0.0, before);
    let gap = half * (1.0 - 0.35 - 0.6 * kink);
    for side in [-1.0, 1.0] {
        let y = |of_axis: f32| bore.center().y + side * of_axis;
        let outer = half + wall;
        // What the bend takes away, then the bent wall.
        let notch = [
            pos2(x - wide, y(outer + 1.0)),
            pos2(x + wide, y(outer + 1.0)),
            pos2(x, y(gap + wall)),
        ];
        painter.add(Shape::convex_polygon(
            notch.to_vec(),
            theme.card,
            Stroke::NONE,
        ));
        let bent = [
            pos2(x - wide, y(half + 0.5 * wall)),
            pos2(x, y(gap + 0.5 * wall)),
            pos2(x + wide, y(half + 0.5 * wall)),
        ];
        draw::cased(painter, bent.to_vec(), wall, theme.body, theme.ink);
    }
}

/// Opens the bodies' walls where pipes enter and leave.
pub fn open_ports(painter: &Painter, scene: &Scene<'_>, places: &Places, theme: &Theme) {
    for i in 0..2 {
        let (p, v) = (&places.plans[i], &places.views[i]);
        let s = stage_readings(scene.now, i);
        for (x0, x1, pa) in [
            (p.clamp - 0.7, p.clamp + WALL + 0.8, s.chamber_pa),
            (-p.clamp - WALL - 0.8, -p.clamp - 0.2, s.inlet_pa),
        ] {
            painter.rect_filled(v.rect(pos2(x0, -PIPE), pos2(x1, PIPE)), 0.0, theme.gas(pa));
            for y in [-PIPE, PIPE] {
                painter.line_segment(
                    [v.xy(x0 + 0.7, y), v.xy(x1, y)],
                    Stroke::new(1.1, theme.ink),
                );
            }
        }
        // The inlet narrows to the bore at the wall.
        let x = -p.clamp - 0.2;
        for side in [-1.0, 1.0] {
            painter.line_segment(
                [v.xy(x, side * PIPE), v.xy(x, side * p.bore)],
                Stroke::new(1.1, theme.ink),
            );
        }
        painter.rect_filled(
            v.rect(pos2(x - 0.6, -p.bore), pos2(x + 0.8, p.bore)),
            0.0,
            theme.gas(s.inlet_pa),
        );
    }
}
