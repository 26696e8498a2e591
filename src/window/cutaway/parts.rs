//! The parts of the cutaway under pointer and keyboard: where each lies, how it lights up, its tag with name, value,
//! what it does and what goes wrong. Who a part is stands in [`crate::window::told::part`].

use egui::{
    Painter, Pos2, Rect, Response, Role, Sense, Shape, Stroke, Ui, Vec2, WidgetInfo, pos2, vec2,
};

use super::Cutaway;
use super::geometry::{DISC, FLANGE, WALL};
use super::places::Places;
use super::scene::Scene;
use super::stage::Stage;
use crate::report::letters::lower;
use crate::service::Which;
use crate::window::look::theme::{BODY, LEAD, NOTE, Theme, plain, strong};
use crate::window::look::within::within;
use crate::window::told::part::{Part, Piece};

/// Widest tag \[points\].
const TAG: f32 = 300.0;
/// So much as a stage counts a magnifier that a tag covers.
const LOUPE_WEIGHT: f32 = 0.4;
/// Smallest box that a pointer meets \[points\].
const LEAST: f32 = 8.0;

/// The outline of a part, and whether it closes.
pub struct Outline {
    points: Vec<Pos2>,
    closed: bool,
}

impl Outline {
    fn of(rect: Rect) -> Self {
        Self {
            points: vec![
                rect.left_top(),
                rect.right_top(),
                rect.right_bottom(),
                rect.left_bottom(),
            ],
            closed: true,
        }
    }

    fn circle(center: Pos2, radius: f32) -> Self {
        const CORNERS: u8 = 48;
        let at = |k: u8| {
            let turn = std::f32::consts::TAU * f32::from(k) / f32::from(CORNERS);
            center + radius * Vec2::angled(turn)
        };
        Self {
            points: (0..CORNERS).map(at).collect(),
            closed: true,
        }
    }

    fn line(points: Vec<Pos2>) -> Self {
        Self {
            points,
            closed: false,
        }
    }

    /// The box in which a pointer means it.
    fn hit(&self) -> Rect {
        let rect = Rect::from_points(&self.points);
        rect.expand2(vec2(
            (0.5 * (LEAST - rect.width())).max(1.0),
            (0.5 * (LEAST - rect.height())).max(1.0),
        ))
    }

    fn light(&self, painter: &Painter, stroke: Stroke) {
        painter.add(if self.closed {
            Shape::closed_line(self.points.clone(), stroke)
        } else {
            Shape::line(self.points.clone(), stroke)
        });
    }
}

/// The outline of a part of one stage.
fn piece_outline(s: &Stage<'_>, piece: Piece) -> Outline {
    let (p, v) = (&s.plan, &s.view);
    let plate = s.plate_height();
    let boxed = |x: [f32; 2], y: [f32; 2]| Outline::of(v.rect(pos2(x[0], y[0]), pos2(x[1], y[1])));
    match piece {
        Piece::Chamber => boxed([-p.clamp, p.clamp], [p.floor, p.rest.min(plate)]),
        Piece::Bonnet => {
            let c = p.cavity();
            let up = c.iter().filter(|(y, _)| *y >= p.rest);
            let mut points: Vec<Pos2> = vec![v.xy(-p.clamp, p.rest)];
            points.extend(up.clone().map(|(y, half)| v.xy(-half, *y)));
            points.extend(up.rev().map(|(y, half)| v.xy(*half, *y)));
            points.push(v.xy(p.clamp, p.rest));
            Outline {
                points,
                closed: true,
            }
        }
        Piece::Vent => {
            let mouth = p.vent_mouth();
            let w = p.vent.max(1.1) + 1.4;
            let level = 0.5 * (p.rest + 3.2 + p.shoulder);
            boxed([p.clamp + WALL, mouth.x + w], [mouth.y - 1.5, level + w])
        }
        Piece::Flap => {
            let (from, to) = s.flap();
            Outline::line(v.all(&[from, to]))
        }
        Piece::Screw => boxed([-p.tower, p.tower], [p.screw, p.screw + 4.2]),
        Piece::Spring => boxed([-p.coil - 1.0, p.coil + 1.0], [plate + 2.6, p.screw - 0.4]),
        Piece::Diaphragm => {
            let mut points = vec![pos2(-p.clamp - FLANGE + 0.6, p.rest)];
            points.extend(s.membrane());
            points.push(pos2(p.clamp + FLANGE - 0.6, p.rest));
            Outline::line(v.all(&points))
        }
        Piece::Plate => boxed([-p.plate, p.plate], [plate - 1.7, plate + 1.9]),
        Piece::Relief => boxed([-4.0, 4.0], [plate - 4.6, plate + 8.0]),
        Piece::Lever => {
            let turn = s.turn();
            let head = p.seat_face(turn) + vec2(DISC, 0.0);
            Outline::line(v.all(&[head, p.pin(), p.arm_end(turn), pos2(0.0, plate - 1.7)]))
        }
        Piece::Pivot => {
            let pin = p.pin();
            boxed([pin.x - 2.2, pin.x + 2.2], [pin.y - 2.2, pin.y + 2.2])
        }
        Piece::Nozzle => {
            let tip = p.nozzle_tip();
            let root = (-p.clamp - 0.2).min(tip - 6.0);
            boxed([root, tip], [-p.bore - 3.0, p.bore + 3.0])
        }
        Piece::Disc => {
            let face = p.seat_face(s.turn());
            let half = p.bore + 2.8;
            boxed(
                [face.x, face.x + DISC + 1.0],
                [face.y - half, face.y + half],
            )
        }
    }
}

/// The outline of a part, if this picture shows it.
fn outline(
    part: Part,
    places: &Places,
    stages: &[Stage<'_>; 2],
    scene: &Scene<'_>,
) -> Option<Outline> {
    let (twin, side) = (scene.rig.changeover.is_some(), scene.now.service_side);
    let [inlet, between, outlet] = places.pipes();
    let scale = places.views[0].scale;
    let pipe = |r: Rect| Outline::of(r.expand2(vec2(0.0, 1.7 * scale)));
    Some(match part {
        Part::Container | Part::Valve => return None,
        Part::Pigtail if twin => pipe(places.changeover().stubs[side.min(1)]),
        Part::Pigtail => pipe(inlet),
        Part::Changeover => Outline::of(places.changeover().block),
        Part::Reserve => Outline::of(places.changeover().seat.expand(1.4 * scale)),
        Part::Between => pipe(between),
        Part::Outlet => pipe(outlet),
        Part::Of(Which::First, piece) => piece_outline(&stages[0], piece),
        Part::Of(Which::Second, piece) => piece_outline(&stages[1], piece),
    })
}

impl Cutaway {
    /// Lets every part answer: to pointer, keyboard and reader. What lies on another comes after it. Of the picture `tags` is
    /// what a part's tag may cover.
    pub(super) fn parts_ui(
        &mut self,
        ui: &mut Ui,
        [full, tags]: [Rect; 2],
        scene: &Scene<'_>,
        places: &Places,
        stages: &[Stage<'_>; 2],
        theme: &Theme,
    ) {
        let mut lit: Option<(Part, Outline)> = None;
        for (k, part) in Part::all(scene.rig).into_iter().enumerate() {
            let Some(outline) = outline(part, places, stages, scene) else {
                continue;
            };
            let hit = outline.hit().intersect(full);
            if !hit.is_positive() {
                continue;
            }
            let id = ui.scope_id().with(("part", k));
            let response = ui.interact(hit, id, Sense::click_and_drag());
            self.touch(ui, &response, part);
            self.part_answers(&response, part, scene);
            if response.clicked() {
                self.kept = if self.kept == Some(part) {
                    None
                } else {
                    Some(part)
                };
            }
            let kept = self.kept == Some(part);
            if kept {
                outline.light(ui.painter(), Stroke::new(2.4, theme.accent));
            }
            if response.has_focus() || response.hovered() {
                lit = Some((part, outline));
            }
        }
        let loupe = self.loupes_ui(ui, scene, places);
        let lit = loupe.or(lit);
        self.lit = lit.as_ref().map(|(part, _)| *part);
        if let Some((part, outline)) = lit {
            outline.light(
                ui.painter(),
                Stroke::new(5.0, theme.brass.gamma_multiply(0.55)),
            );
            outline.light(ui.painter(), Stroke::new(2.0, theme.accent));
            // A kept part has told: its box would lie over what is now looked at.
            if self.kept != Some(part) {
                let stage = |i: usize| {
                    let (p, v) = (places.plans[i].extent(), &places.views[i]);
                    (v.rect(p.min, p.max), 1.0)
                };
                let loupe = |i: usize| {
                    let (center, radius, _) = places.loupe(i)?;
                    let size = Vec2::splat(2.0 * radius);
                    Some((Rect::from_center_size(center, size), LOUPE_WEIGHT))
                };
                let taken: Vec<_> = (0..2).map(stage).chain((0..2).filter_map(loupe)).collect();
                tag(ui, part, [outline.hit(), tags], &taken, scene, theme);
            }
        }
    }

    /// A loupe shows a seat disc, and answers as it does.
    fn loupes_ui(
        &mut self,
        ui: &Ui,
        scene: &Scene<'_>,
        places: &Places,
    ) -> Option<(Part, Outline)> {
        let mut lit = None;
        for (i, which) in Which::BOTH.into_iter().enumerate() {
            let (center, radius, _) = places.loupe(i)?;
            let outline = Outline::circle(center, radius);
            let part = Part::Of(which, Piece::Disc);
            let id = ui.scope_id().with(("loupe", i));
            let response = ui.interact(outline.hit(), id, Sense::click());
            let kept = self.kept == Some(part);
            let words = format!(
                "Magnifier on the {}: {}",
                ["first seat", "second seat"][i],
                part.value(
                    scene.rig,
                    scene.now,
                    scene.units,
                    scene.affairs.effects_only
                )
            );
            response.widget_info(|| WidgetInfo::selected(Role::Button, true, kept, &words));
            if response.clicked() {
                self.kept = (!kept).then_some(part);
            }
            if response.has_focus() || response.hovered() {
                lit = Some((part, outline));
            }
        }
        lit
    }

    fn part_answers(&self, response: &Response, part: Part, scene: &Scene<'_>) {
        let kept = self.kept == Some(part);
        response.widget_info(|| {
            let words = part.words(
                scene.rig,
                scene.now,
                scene.units,
                scene.affairs.effects_only,
            );
            WidgetInfo::selected(Role::Button, true, kept, words)
        });
    }
}

/// Where a tag of a size covers least of what is looked at, each with its weight: beside the part, over or under it, or in a corner;
/// over the part itself only where there is nothing else.
fn least_in_the_way(of: Rect, full: Rect, size: Vec2, taken: &[(Rect, f32)]) -> Rect {
    let half = 0.5 * size;
    let gap = 12.0;
    let (min, max) = (full.min, full.max - size);
    let wanted = [
        pos2(of.right() + gap, of.center().y - half.y),
        pos2(of.left() - gap - size.x, of.center().y - half.y),
        pos2(of.center().x - half.x, of.bottom() + gap),
        pos2(of.center().x - half.x, of.top() - gap - size.y),
        max,
        pos2(min.x, max.y),
        pos2(max.x, min.y),
        min,
    ];
    let room = Rect::from_min_max(min, max.max(min));
    let covers = |rect: &Rect| -> f32 {
        let area = |r: &Rect| {
            let both = rect.intersect(*r);
            both.width().max(0.0) * both.height().max(0.0)
        };
        let itself = 100.0 * area(&of.expand(2.0));
        taken
            .iter()
            .map(|(r, weight)| weight * area(r))
            .sum::<f32>()
            + itself
    };
    let rects = wanted.map(|at| {
        let at = pos2(
            within(at.x, room.left(), room.right()),
            within(at.y, room.top(), room.bottom()),
        );
        Rect::from_min_size(at, size)
    });
    // The first of those that cover the same.
    let mut best = rects[0];
    for rect in &rects[1..] {
        if covers(rect) < covers(&best) - 1.0 {
            best = *rect;
        }
    }
    best
}

/// The tag of a part: where it covers least, never under the pointer.
fn tag(
    ui: &Ui,
    part: Part,
    [of, full]: [Rect; 2],
    taken: &[(Rect, f32)],
    scene: &Scene<'_>,
    t: &Theme,
) {
    let painter = ui.painter();
    let width = TAG.min(full.width() - 24.0);
    let inner = width - 22.0;
    let wrap = |text: String, font, ink| painter.layout(text, font, ink, inner);
    let rows = [
        wrap(part.name(), strong(LEAD), t.ink),
        wrap(
            part.value(
                scene.rig,
                scene.now,
                scene.units,
                scene.affairs.effects_only,
            ),
            strong(BODY),
            t.accent,
        ),
        wrap(
            scene.units.prose(part.does()).into_owned(),
            plain(BODY - 0.5),
            t.ink,
        ),
        wrap(
            format!("Goes wrong: {}", lower(&scene.units.prose(part.wrong()))),
            plain(NOTE),
            t.soft,
        ),
        wrap(
            match super::touch::hint(part) {
                Some(hand) => format!("{hand}. Click keeps it, with its history and its faults"),
                None => "Click keeps it, with its history and its faults".to_owned(),
            },
            plain(NOTE),
            t.soft,
        ),
    ];
    let height = rows.iter().map(|g| g.size().y + 3.0).sum::<f32>() + 15.0;
    let size = vec2(width, height);
    let rect = least_in_the_way(of, full, size, taken);
    painter.add(crate::window::look::theme::plate(rect, t));
    painter.rect_filled(
        Rect::from_min_max(
            rect.left_top() + vec2(0.0, 10.0),
            pos2(rect.left() + 4.0, rect.bottom() - 10.0),
        ),
        0.0,
        t.brass,
    );
    let mut y = rect.top() + 8.0;
    for row in rows {
        let high = row.size().y;
        painter.galley(pos2(rect.left() + 13.0, y), row, t.ink);
        y += high + 3.0;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// In a small picture the tag of a part of the first stage lies under both, not over the second; and in no picture over the
    /// part itself while there is room.
    #[test]
    fn a_tag_covers_least() {
        let boxed = |x: f32, y: f32, w: f32, h: f32| Rect::from_min_size(pos2(x, y), vec2(w, h));
        let full = boxed(0.0, 0.0, 490.0, 260.0);
        let stages = [
            (boxed(90.0, 30.0, 100.0, 110.0), 1.0),
            (boxed(240.0, 10.0, 170.0, 130.0), 1.0),
        ];
        let size = vec2(300.0, 110.0);
        let part = boxed(120.0, 40.0, 30.0, 50.0);
        let at = least_in_the_way(part, full, size, &stages);
        assert!(full.contains_rect(at) && !at.intersects(part));
        assert!(stages.iter().all(|(s, _)| !at.intersects(*s)), "{at:?}");
        // With nothing to cover it stands beside the part.
        let at = least_in_the_way(part, boxed(0.0, 0.0, 1000.0, 400.0), size, &[]);
        assert_eq!(at.left(), part.right() + 12.0);
    }
}
