//! The adjusting spring under its screw, whole or broken.

use egui::{Painter, Stroke, StrokeKind, pos2, vec2};

use super::draw::{self, Coil};
use super::stage::Stage;

/// A spring that has just snapped stands by this share lower, and one that is all gone to pieces by so much more.
const LOWER: [f32; 2] = [0.14, 0.36];
/// How far the loose piece lies over to the side, as shares of the coil's radius, and how it leans.
const ASIDE: [f32; 2] = [0.16, 0.34];
const LEANS: [f32; 2] = [0.10, 0.16];

impl Stage<'_> {
    pub(super) fn draw_spring(&self, painter: &Painter) {
        let (p, v, t) = (&self.plan, &self.view, self.theme);
        // Screw plug with its slot.
        let plug = v.rect(
            pos2(-p.tower + 0.4, p.screw),
            pos2(p.tower - 0.4, p.screw + 4.2),
        );
        painter.rect(plug, 1.0, t.brass, self.ink(1.0), StrokeKind::Middle);
        let slot = v.rect(pos2(-2.4, p.screw + 2.8), pos2(2.4, p.screw + 4.2));
        painter.rect_filled(slot, 0.0, t.ink);
        let whole = Coil {
            radius: p.coil,
            low: self.plate_height() + 1.6,
            high: p.screw - 0.4,
            turns: 5,
            wire: v.len(1.0).clamp(1.6, 4.5),
            ..Coil::default()
        };
        let behind = draw::mix(t.spring, self.case_color(), 0.55);
        let broken = self.shape.spring_broken as f32;
        if broken <= 0.0 || broken.is_nan() {
            whole.draw(painter, v, t.spring, behind);
            return;
        }
        // In two pieces, the upper one loose on the lower: it no longer reaches the screw.
        let of = |[least, more]: [f32; 2]| least + more * broken;
        let long = (whole.high - whole.low) * (1.0 - of(LOWER));
        let break_at = whole.low + 0.45 * long;
        let (aside, leans) = (of(ASIDE) * p.coil, of(LEANS));
        let lower = Coil {
            high: break_at,
            turns: 2,
            ..whole
        };
        let upper = Coil {
            low: break_at + 0.8,
            high: whole.low + long,
            turns: 3,
            aside,
            leans,
            ..whole
        };
        lower.draw(painter, v, t.spring, behind);
        upper.draw(painter, v, t.spring, behind);
        // Bright ends where it has snapped.
        let ends = [
            v.xy(-p.coil, break_at),
            v.xy(aside + p.coil, break_at + 0.8 + leans * p.coil),
        ];
        for (end, side) in ends.into_iter().zip([-1.0, 1.0]) {
            for lean in [-0.7_f32, 0.7] {
                let tip = end + v.len(2.0) * vec2(side, lean);
                painter.line_segment([end, tip], Stroke::new(2.0, t.danger));
            }
        }
    }
}
