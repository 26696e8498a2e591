//! The pipes between the stages, and where they enter and leave the bodies.

use egui::{Painter, Stroke, pos2};

use super::geometry::{PIPE, WALL};
use super::places::Places;
use super::scene::{Scene, stage_readings};
use super::{draw, stage};
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
