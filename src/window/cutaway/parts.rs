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
/// And what a hand at work is watched by: the forces, and the number of the outlet.
const WATCHED_WEIGHT: f32 = 6.0;
/// Places along the lower and the upper edge that a tag is tried at.
const ALONG: u8 = 9;
/// Smallest box that a pointer meets \[points\].
const LEAST: f32 = 8.0;
/// Half of what a line is thick to a pointer \[points\].
const THICK: f32 = 3.0;

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

    /// How far a point lies from it: nothing inside a closed one, or on a line as thick as it is drawn \[points\].
    fn away(&self, at: Pos2) -> f32 {
        let ends = self.points.iter().zip(self.points.iter().skip(1));
        let last = self.points.last().zip(self.points.first());
        let edges = ends.chain(last.filter(|_| self.closed));
        let mut inside = false;
        let mut nearest = f32::INFINITY;
        for (a, b) in edges {
            if (a.y > at.y) != (b.y > at.y) && at.x < a.x + (b.x - a.x) * (at.y - a.y) / (b.y - a.y)
            {
                inside = !inside;
            }
            let along = *b - *a;
            let share = (at - *a).dot(along) / along.length_sq().max(f32::EPSILON);
            nearest = nearest.min(at.distance(*a + share.clamp(0.0, 1.0) * along));
        }
        match self.closed {
            true if inside => 0.0,
            true => nearest,
            false => (nearest - THICK).max(0.0),
        }
    }

    fn light(&self, painter: &Painter, stroke: Stroke) {
        painter.add(if self.closed {
            Shape::closed_line(self.points.clone(), stroke)
        } else {
            Shape::line(self.points.clone(), stroke)
        });
    }
}

/// Which of the parts at a point a pointer means: the one it is on, of several the smallest, and else the nearest.
fn meant(outlines: &[(Part, Outline)], at: Pos2) -> Option<Part> {
    let at_hand = outlines.iter().filter(|(_, o)| o.hit().contains(at));
    let order = |o: &Outline| (o.away(at), o.hit().area());
    let nearest = at_hand.min_by(|(_, a), (_, b)| {
        let ((away, area), (away_b, area_b)) = (order(a), order(b));
        away.total_cmp(&away_b).then(area.total_cmp(&area_b))
    });
    nearest.map(|(part, _)| *part)
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
    /// Lets every part answer: to pointer, keyboard and reader. Of the picture `tags` is
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
        let all = Part::all(scene.rig).into_iter();
        let outlines: Vec<_> = all
            .filter_map(|part| Some((part, outline(part, places, stages, scene)?)))
            .collect();
        // What was pressed stays meant while it is pressed.
        let (at, pressed) = ui.input(|i| (i.pointer.hover_pos(), i.pointer.any_down()));
        if !pressed {
            self.meant = at.and_then(|at| meant(&outlines, at));
        }
        for (part, outline) in outlines {
            let hit = outline.hit().intersect(full);
            if !hit.is_positive() {
                continue;
            }
            let id = ui.scope_id().with(("part", part));
            // Another part under the pointer leaves it the place.
            let is_in_the_way = at.is_some_and(|at| hit.contains(at)) && self.meant != Some(part);
            let hit = if is_in_the_way {
                Rect::from_min_size(hit.min, Vec2::ZERO)
            } else {
                hit
            };
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
            // A dark and a light line side by side: one of them stands out from whatever lies under it.
            outline.light(ui.painter(), Stroke::new(6.0, theme.card));
            outline.light(ui.painter(), Stroke::new(3.0, theme.ink));
            outline.light(ui.painter(), Stroke::new(1.2, theme.brass));
            // A kept part has told: its box would lie over what is now looked at.
            if self.kept != Some(part) {
                let taken = looked_at(places);
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
                "Magnifier on the {}, its bar {} long: {}",
                ["first seat", "second seat"][i],
                super::inset::bar_words(scene.units),
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

/// What is looked at in the picture, each with its weight.
fn looked_at(places: &Places) -> Vec<(Rect, f32)> {
    let stage = |i: usize| {
        let (p, v) = (places.plans[i].extent(), &places.views[i]);
        (v.rect(p.min, p.max), 1.0)
    };
    let loupe = |i: usize| {
        let (center, radius, _) = places.loupe(i)?;
        let size = Vec2::splat(2.0 * radius);
        Some((Rect::from_center_size(center, size), LOUPE_WEIGHT))
    };
    let watched = [places.balance(), Some(places.outlet_number())];
    let watched = watched.into_iter().flatten();
    let watched = watched.map(|r| (r, WATCHED_WEIGHT));
    let drawn = (0..2).map(stage).chain((0..2).filter_map(loupe));
    drawn.chain(watched).collect()
}

/// Where a tag of a size covers least of what is looked at, each with its weight: beside the part, over or under it, or along an edge;
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
    ];
    // From the part's side on, so that of those that cover the same the nearest is taken.
    let edge = |y: f32| {
        let at = move |k: u8| {
            let share = f32::from(k) / f32::from(ALONG - 1);
            pos2(min.x + share * (max.x - min.x).max(0.0), y)
        };
        let mut all: Vec<Pos2> = (0..ALONG).map(at).collect();
        let away = |p: &Pos2| (p.x + half.x - of.center().x).abs();
        all.sort_by(|a, b| away(a).total_cmp(&away(b)));
        all
    };
    let wanted = wanted.into_iter().chain(edge(max.y)).chain(edge(min.y));
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
    let mut rects = wanted.map(|at| {
        let at = pos2(
            within(at.x, room.left(), room.right()),
            within(at.y, room.top(), room.bottom()),
        );
        Rect::from_min_size(at, size)
    });
    // The first of those that cover the same.
    let first = rects.next().unwrap_or(room);
    rects.fold(first, |best, rect| {
        if covers(&rect) < covers(&best) - 1.0 {
            rect
        } else {
            best
        }
    })
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
    let mut rows = vec![
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
    // While a hand works the picture is looked at: name and value are enough.
    if ui.input(|i| i.pointer.any_down()) {
        rows.truncate(2);
    }
    let widest = rows.iter().map(|g| g.size().x).fold(0.0, f32::max);
    let height = rows.iter().map(|g| g.size().y + 3.0).sum::<f32>() + 15.0;
    let size = vec2(width.min(widest + 22.0), height);
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

    /// Each part answers as itself where it is drawn, in pictures of any size: nozzle, pin and flap did not.
    #[test]
    fn each_part_answers_as_itself() {
        let rig = crate::scenario::Scenario::opening().rig;
        let sim = crate::sim::Simulation::start(
            std::sync::Arc::new(crate::scenario::Scenario::opening()),
            crate::solver::Method::Stiff,
            crate::sim::usual_tolerance(crate::solver::Method::Stiff),
        )
        .expect("it comes to rest");
        let now = sim.readings();
        let affairs = crate::service::state_of_affairs(&rig, &now);
        let scene = Scene {
            rig: &rig,
            now: &now,
            twin: None,
            shapes: crate::window::cutaway::geometry::shapes_of(&rig, []),
            kinks: [0.0; 2],
            units: crate::window::look::show::Units::Us,
            affairs: &affairs,
            words: "",
            dt_s: 0.0,
        };
        let theme = Theme::light();
        for size in [vec2(480.0, 260.0), vec2(860.0, 440.0), vec2(1500.0, 800.0)] {
            let places = Places::fit(
                Rect::from_min_size(Pos2::ZERO, size),
                &scene.shapes,
                20.0,
                false,
            );
            let stages = [0, 1].map(|i| Stage {
                plan: places.plans[i],
                view: places.views[i],
                now: crate::window::cutaway::scene::stage_readings(&now, i),
                twin: None,
                shape: scene.shapes[i],
                theme: &theme,
                quiet: false,
            });
            let outlines: Vec<_> = Part::all(&rig)
                .into_iter()
                .filter_map(|part| Some((part, outline(part, &places, &stages, &scene)?)))
                .collect();
            for (part, outline) in &outlines {
                let Part::Of(_, piece) = part else { continue };
                let middle = match piece {
                    Piece::Nozzle | Piece::Pivot | Piece::Disc | Piece::Screw => {
                        outline.hit().center()
                    }
                    Piece::Flap => {
                        outline.points[0] + 0.5 * (outline.points[1] - outline.points[0])
                    }
                    Piece::Lever => {
                        outline.points[1] + 0.5 * (outline.points[2] - outline.points[1])
                    }
                    _ => continue,
                };
                assert_eq!(meant(&outlines, middle), Some(*part), "{size:?}");
            }
        }
    }

    /// What a hand at work watches no tag covers: the forces, and the number of the outlet.
    #[test]
    fn no_tag_lies_on_what_is_watched() {
        let rig = crate::scenario::Scenario::opening().rig;
        let shapes = crate::window::cutaway::geometry::shapes_of(&rig, []);
        // The pictures of windows of 1400 by 900, 1280 by 800 and 1024 by 768, and tags as tall as they come there.
        for size in [vec2(806.0, 350.0), vec2(806.0, 420.0), vec2(690.0, 330.0)] {
            let full = Rect::from_min_size(Pos2::ZERO, size);
            let places = Places::fit(full, &shapes, 20.0, false);
            let balance = places.balance().expect("it has a place of its own");
            let taken = looked_at(&places);
            for (i, view) in places.views.iter().enumerate() {
                let p = places.plans[i].extent();
                let drawn = view.rect(p.min, p.max);
                for (x, y) in [(0.1, 0.1), (0.5, 0.3), (0.5, 0.7), (0.9, 0.9), (0.2, 0.8)] {
                    let at = drawn.min + vec2(x * drawn.width(), y * drawn.height());
                    let of = Rect::from_center_size(at, vec2(0.2 * drawn.width(), 10.0));
                    let tag = least_in_the_way(of, full, vec2(300.0, 140.0), &taken);
                    assert!(full.contains_rect(tag), "{size:?}: {tag:?}");
                    for watched in [balance, places.outlet_number()] {
                        assert!(
                            !tag.intersects(watched),
                            "{size:?} {of:?}: {tag:?} on {watched:?}"
                        );
                    }
                }
            }
        }
    }

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
