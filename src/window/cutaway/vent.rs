//! The vent of a stage: its tube and screen, what has settled in it, and the flap beside it. Not here: what comes out of it.

use egui::{Color32, Painter, Pos2, Shape, Stroke, pos2, vec2};

use super::draw;
use super::geometry::WALL;
use super::stage::Stage;
use crate::window::outside::hand_on;

impl Stage<'_> {
    /// The vent: out of the wide part of the case, then straight down.
    pub(super) fn draw_vent(&self, painter: &Painter) {
        let (p, v, t) = (&self.plan, &self.view, self.theme);
        let mouth = p.vent_mouth();
        let level = 0.5 * (p.rest + 3.2 + p.shoulder);
        let w = p.vent.max(1.1);
        let bend = pos2(mouth.x, level);
        let line = [pos2(p.clamp - 0.3, level), bend, mouth];
        let tube = |width: f32, color: Color32| {
            painter.add(Shape::line(v.all(&line), Stroke::new(v.len(width), color)));
            painter.circle_filled(v.at(bend), v.len(width) * 0.5, color);
        };
        tube(2.0 * w + 2.6 + 0.7, t.ink);
        tube(2.0 * w + 2.6, t.body);
        tube(2.0 * w + 0.6, t.ink);
        tube(2.0 * w, self.case_color());
        // The insect screen, and what sits in the passage and bulges out of it.
        let end = mouth.y;
        for i in -2..=2 {
            let x = mouth.x + w * i as f32 * 0.4;
            painter.line_segment([v.xy(x, end), v.xy(x, end + 0.9)], Stroke::new(0.8, t.ink));
        }
        let thumb = self.now.thumb.clamp(0.0, 1.0);
        // A thumb lies over what sits in the mouth.
        let bare = (1.0 - thumb).max(1e-3);
        let closed = (1.0 - self.now.vent_open / bare).clamp(0.0, 1.0) as f32;
        let closed = if thumb > 0.99 { 0.0 } else { closed };
        if closed > 0.005 {
            let wide = 2.0 * (w + 0.9) * closed.max(0.2);
            let left = mouth.x - w - 0.9;
            let color = if self.shape.vent_iced { t.frost } else { t.mud };
            let plug = vec![
                v.xy(left, end + 4.4),
                v.xy(left + wide, end + 4.0),
                v.xy(left + wide + 0.3, end - 0.4),
                v.xy(left + 0.55 * wide, end - 1.9),
                v.xy(left - 0.3, end - 0.8),
            ];
            draw::patch(painter, plug, color, self.ink(1.0));
        }
        let mouth = v.xy(mouth.x, end);
        hand_on::thumb(painter, mouth, v.len(2.0 * w + 2.6), 1.0, thumb as f32, t);
        self.draw_flap(painter);
    }

    /// The flap beside the vent: hinge and free end \[mm\].
    pub fn flap(&self) -> (Pos2, Pos2) {
        let p = &self.plan;
        let w = p.vent.max(1.1) + 1.3;
        let level = 0.5 * (p.rest + 3.2 + p.shoulder) + w;
        let flap = self.shape.flap.as_ref();
        let open = flap.and_then(|v| v.flap_open(self.now.case_pa, self.now.vent_open));
        let up = open.unwrap_or(0.0);
        let (sin, cos) = (up as f32 * 1.1).sin_cos();
        let hinge = pos2(p.clamp + WALL + 1.2, level + 0.3);
        (hinge, hinge + vec2(6.0 * cos, 6.0 * sin))
    }

    fn draw_flap(&self, painter: &Painter) {
        if self.shape.flap.is_none() {
            return;
        }
        let (v, t) = (&self.view, self.theme);
        let (hinge, end) = self.flap();
        draw::cased(
            painter,
            v.all(&[hinge, end]),
            v.len(0.9).clamp(1.6, 4.0),
            t.rubber,
            t.ink,
        );
        painter.circle(v.at(hinge), v.len(0.7).max(1.6), t.steel, self.ink(0.9));
    }
}
