//! Instruments clipped to their taps, with the hose from one to the other, and leak fluid where it was put on.

use egui::{Align2, Painter, Pos2, Rect, Role, Sense, Shape, Stroke, Ui, WidgetInfo, pos2, vec2};

use super::Scene;
use super::bottle::Bottle;
use super::bubbles;
use super::lay::Lay;
use super::line::changeover_at;
use crate::rig::Rig;
use crate::service::{Device, Fitted, FluidAt, Joint, Shown, TestPoint};
use crate::units::{inwc_to_pa, psi_to_pa};
use crate::visit::Outlook;
use crate::window::bench::{digital, instruments};
use crate::window::cutaway::draw::smooth;
use crate::window::look::spots::{self, Spot};
use crate::window::look::theme::{NOTE, Theme, plain, strong};
use crate::window::look::within::within;

/// Widest and narrowest room of one instrument \[points\].
const WIDE: (f32, f32) = (150.0, 84.0);

/// Where the tap of a point is.
pub fn tap(lay: &Lay, seen: &Outlook, point: TestPoint) -> Pos2 {
    let bottle = |i: usize| {
        let both = seen.bottles.get(i).zip(lay.bottles.get(i));
        both.map(|(b, room)| Bottle::new(b, *room))
    };
    match point {
        TestPoint::Container(i) => bottle(i).map_or(lay.inlet(), |b| b.outlet()),
        TestPoint::Inlet(i) if seen.bottles.len() > 1 => {
            changeover_at(lay) + vec2(-12.0, if i == 0 { -22.0 } else { 22.0 })
        }
        TestPoint::Inlet(_) => lay.inlet(),
        TestPoint::FirstStage => lay.between() - vec2(0.0, 12.0 * lay.scale()),
        TestPoint::Outlet => lay.outlet() + vec2(0.0, 1.2 * lay.pipe()),
        TestPoint::Manifold => pos2(
            lay.header_x,
            lay.rows.first().copied().unwrap_or(lay.outlet().y),
        ),
        TestPoint::Appliance(i) => lay
            .burners
            .get(i)
            .map_or(lay.outlet(), |b| pos2(b.center().x, b.bottom() - 18.0)),
    }
}

/// Where leak fluid lies on a joint; the pigtail has two ends, one for each container.
pub fn joint(lay: &Lay, seen: &Outlook, joint: Joint) -> Vec<Pos2> {
    match joint {
        Joint::FirstVent => vec![lay.vent(0, seen.vents[0].looks_up)],
        Joint::SecondVent => vec![lay.vent(1, seen.vents[1].looks_up)],
        Joint::Pigtail => {
            let ends = seen.bottles.iter().zip(&lay.bottles);
            ends.map(|(b, room)| Bottle::new(b, *room).outlet())
                .collect()
        }
        Joint::LowSide => vec![pos2(lay.header_x, lay.outlet().y)],
        Joint::Burner(i) => vec![lay.port(i)],
    }
}

/// Leak fluid on its joints.
pub fn fluid(
    painter: &Painter,
    lay: &Lay,
    seen: &Outlook,
    put: &[FluidAt],
    clock_s: f64,
    t: &Theme,
) {
    let size = (5.0 * lay.scale()).clamp(6.0, 11.0);
    for f in put {
        for at in joint(lay, seen, f.joint) {
            bubbles::fluid(painter, at, size, f.bubbles, clock_s, t);
        }
    }
}

/// A point as one says it who stands before the rig: of two containers the left and the right one.
pub fn said(point: TestPoint, rig: &Rig) -> String {
    let (what, i) = match point {
        TestPoint::Container(i) => ("container", i),
        TestPoint::Inlet(i) => ("inlet", i),
        _ => return point.name(rig),
    };
    match (rig.containers.len(), i) {
        (..2, _) => what.to_owned(),
        (_, 0) => format!("left {what}"),
        _ => format!("right {what}"),
    }
}

/// The boxes of so many instruments.
fn boxes(lay: &Lay, count: usize) -> Vec<Rect> {
    let room = lay.instruments;
    let wide = (room.width() / count.max(1) as f32).clamp(WIDE.1, WIDE.0);
    let fits = within((room.width() / wide).floor() as usize, 1, count.max(1));
    let from = room.center().x - 0.5 * wide * fits as f32;
    (0..fits)
        .map(|i| {
            Rect::from_min_size(
                pos2(from + wide * i as f32, room.top()),
                vec2(wide - 6.0, room.height()),
            )
        })
        .collect()
}

/// Each instrument's place and its box, from left to right as their taps stand, so that hoses do not cross.
pub fn places(lay: &Lay, seen: &Outlook, fitted: &[Fitted]) -> Vec<(usize, Rect)> {
    let mut order: Vec<usize> = (0..fitted.len()).collect();
    order.sort_by(|a, b| {
        let x = |i: usize| tap(lay, seen, fitted[i].point).x;
        x(*a).total_cmp(&x(*b))
    });
    // Where not all have room, those of the low side are shown; the others read at their taps.
    let boxes = boxes(lay, fitted.len());
    let left_out = order.len().saturating_sub(boxes.len());
    order.into_iter().skip(left_out).zip(boxes).collect()
}

/// Draws instruments and their hoses; tells those who cannot see.
pub fn instruments(ui: &Ui, painter: &Painter, lay: &Lay, scene: &Scene<'_>, t: &Theme) {
    let fitted = &scene.fittings.fitted;
    let places = places(lay, scene.seen, fitted);
    let mut tags: Vec<Rect> = Vec::new();
    for (i, f) in fitted.iter().enumerate() {
        if places.iter().any(|(shown, _)| *shown == i) {
            continue;
        }
        let at = tap(lay, scene.seen, f.point);
        let reads = instruments::reading(&f.device, scene.units);
        painter.circle(at, 4.2, t.brass, Stroke::new(1.2, t.ink));
        // On a tag of its own, since hoses and castings lie under it.
        let words = painter.layout_no_wrap(reads, strong(NOTE), t.ink);
        let mut tag = Align2::RIGHT_BOTTOM.anchor_size(at + vec2(2.0, -9.0), words.size());
        // One above the other where two taps lie close.
        while let Some(under) = tags
            .iter()
            .find(|r: &&Rect| r.intersects(tag.expand2(vec2(4.0, 1.0))))
        {
            tag = tag.translate(vec2(0.0, under.top() - 2.0 - tag.bottom()));
        }
        tags.push(tag.expand2(vec2(4.0, 1.0)));
        painter.rect(
            tag.expand2(vec2(4.0, 1.0)),
            2.0,
            t.card,
            Stroke::new(1.0, t.edge),
            egui::StrokeKind::Outside,
        );
        painter.galley(tag.min, words, t.ink);
    }
    // All hoses before any face, so that none runs over what is read.
    // Name and reading side by side where that has room at any reading, else one over the other: as a pointer moves,
    // no name comes or goes.
    let long = |text: String, bold: bool| {
        let font = if bold { strong(14.0) } else { plain(NOTE) };
        painter.layout_no_wrap(text, font, t.ink).size().x
    };
    let beside = places.iter().all(|(i, place)| {
        let f = &fitted[*i];
        let widest = if f.device.is_low() {
            scene.units.low(-inwc_to_pa(10.0))
        } else {
            scene.units.high(psi_to_pa(88.8))
        };
        long(said(f.point, scene.rig), false) + 6.0 + long(widest.to_string(), true)
            < place.width() + 6.0
    });
    let words = if beside { LINE } else { LINE + NAME };
    for (i, place) in &places {
        if lay.low {
            let edge = Stroke::new(1.0, t.edge);
            painter.rect(*place, 3.0, t.wall, edge, egui::StrokeKind::Inside);
        }
        hose(painter, lay, scene, &fitted[*i], *place, words, t);
    }
    for (i, place) in places {
        one(ui, painter, scene, i, place, words, t);
    }
}

/// Height of the reading under a face, and of a name over it \[points\].
const LINE: f32 = 17.0;
const NAME: f32 = 13.0;

/// Room of an instrument's face in its place: its words, so high, stand under it.
fn face_of(place: Rect, words: f32) -> Rect {
    Rect::from_min_max(place.min + vec2(0.0, 2.0), place.max - vec2(0.0, words))
}

/// The hose from a tap to an instrument.
fn hose(
    painter: &Painter,
    lay: &Lay,
    scene: &Scene<'_>,
    f: &Fitted,
    place: Rect,
    words: f32,
    t: &Theme,
) {
    let face = face_of(place, words);
    let to = match &f.device {
        Device::Manometer(_) => instruments::port(face),
        Device::Digital(_) => digital::port(face),
        Device::Dial(_) => {
            let radius = (0.5 * face.width().min(face.height()) - 7.0).min(66.0);
            pos2(place.center().x, face.top() + 2.0 * radius + 12.0)
        }
    };
    let from = tap(lay, scene.seen, f.point);
    // Down between the faces, then up into a dial from below or over into a glass.
    let side = if from.x < place.center().x {
        place.left() - 3.0
    } else {
        place.right() + 1.0
    };
    let points = match &f.device {
        Device::Manometer(_) | Device::Digital(_) if lay.low => {
            smooth(&[from, pos2(from.x + 4.0, 0.5 * (from.y + to.y)), to])
        }
        Device::Manometer(_) | Device::Digital(_) => {
            smooth(&[from, pos2(0.5 * (from.x + to.x), to.y - 10.0), to])
        }
        Device::Dial(_) => smooth(&[
            from,
            pos2(side, place.top() + 8.0),
            pos2(side, to.y - 4.0),
            to + vec2(0.0, 4.0),
        ]),
    };
    let tube = Stroke::new(4.2, t.ink);
    painter.add(Shape::line(points.clone(), tube));
    painter.add(Shape::line(points, Stroke::new(2.6, t.accent)));
    painter.circle(from, 4.2, t.brass, Stroke::new(1.2, t.ink));
}

/// A face with its words.
fn one(ui: &Ui, painter: &Painter, scene: &Scene<'_>, i: usize, place: Rect, high: f32, t: &Theme) {
    let (f, units, rig) = (&scene.fittings.fitted[i], scene.units, scene.rig);
    let face = face_of(place, high);
    instruments::face(painter, face, &f.device, units, t);
    let over = f.device.shown() == Shown::OverRange;
    let reads = instruments::reading(&f.device, units);
    let blown = over && matches!(f.device, Device::Manometer(_));
    let words = if blown { "blown out" } else { &reads };
    let name = said(f.point, rig);
    let ink = if over { t.danger } else { t.ink };
    let name_ = painter.layout_no_wrap(name.clone(), plain(NOTE), t.soft);
    let reads_ = painter.layout_no_wrap(words.to_owned(), strong(14.0), ink);
    let wide = name_.size().x + 6.0 + reads_.size().x;
    let beside = high <= LINE;
    // On a plate of their own: hoses and the floor's edge lie behind.
    let across = if beside {
        wide
    } else {
        name_.size().x.max(reads_.size().x)
    };
    let middle = pos2(place.center().x, place.bottom() - 0.5 * high);
    let plate = Rect::from_center_size(middle, vec2(across + 8.0, high));
    painter.rect_filled(plate, 2.0, t.wall);
    let y = place.bottom() - LINE;
    if beside {
        let x = place.center().x - 0.5 * wide;
        painter.galley(pos2(x, y + 2.0), name_.clone(), t.soft);
        painter.galley(pos2(x + name_.size().x + 6.0, y), reads_, ink);
    } else {
        let left = |galley: &egui::Galley| place.center().x - 0.5 * galley.size().x;
        painter.galley(pos2(left(&name_), y - NAME), name_.clone(), t.soft);
        painter.galley(pos2(left(&reads_), y), reads_, ink);
    }
    if f.point == TestPoint::Outlet {
        spots::mark(ui, Spot::OutletInstrument, place);
    }
    let id = ui.scope_id().with(("instrument", i));
    let fine = instruments::fineness(&f.device, units);
    let told = format!("{} at the {name}: {words}, {fine}", f.device.name());
    ui.interact(place, id, Sense::hover())
        .widget_info(|| WidgetInfo::labeled(Role::Image, true, &told));
}
