//! The changeover of two containers, cut open before the first stage: a plug that lets the service side to the first seat
//! and the other to the reserve seat, the window of the indicator, and the way of the reserve under the body into the
//! passage. What each does is the rig's own; sizes are of our making.

use egui::{Align2, Color32, Painter, Pos2, Rect, Shape, Stroke, StrokeKind, pos2, vec2};

use super::crossing::{BLOCK, CROWN, Lie, ROOM, WAY};
use super::draw::{self, Path};
use super::flow::{Phases, Stream};
use super::geometry::PIPE;
use super::places::Places;
use super::scene::Scene;
use super::{ports, stage};
use crate::rig::presets;
use crate::rig::readings::Readings;
use crate::window::look::theme::{NOTE, Theme, plain, strong};

/// Half of the reserve's pipe \[mm\].
const LINE: f32 = 2.0;
/// Half of the reserve seat's bore, of its disc, and how far that opens \[mm\].
const BORE: f32 = 1.1;
const DISC: f32 = 3.0;
const LIFT: f32 = 3.2;
/// Radius of the knob \[mm\].
const KNOB: f32 = 4.0;

/// What it does now.
#[derive(Clone, Copy)]
pub struct Now {
    /// The container in service, 0 left and 1 right.
    side: usize,
    /// Gauge pressure at the end of each pigtail \[Pa\].
    pigtail_pa: [f64; 2],
    /// Before a bend in it: what the container gives \[Pa\].
    given_pa: [f64; 2],
    /// How sharply each is bent.
    kinks: [f64; 2],
    /// Gas from each \[kg/s\].
    flow_kg_per_s: [f64; 2],
    /// Gauge pressure in the passage \[Pa\].
    passage_pa: f64,
    /// How far the reserve seat is open, 0 to 1.
    open: f32,
    /// How much red the indicator shows.
    red: f32,
    /// How far dashes of the reserve have moved \[mm\].
    reserve_mm: f64,
    /// ... and those of the service side.
    service_mm: f64,
}

impl Now {
    /// Of a rig that has one.
    pub fn of(scene: &Scene<'_>, phases: &Phases) -> Option<Self> {
        let change = scene.rig.changeover?;
        let n = scene.now;
        // Against the seat of a sound one: where it sticks it is seen to open less.
        let whole = presets::changeover().reserve_m2;
        let area = change.area_m2(n.first.chamber_pa) / whole;
        let open = if area.is_finite() { area as f32 } else { 0.0 };
        let [left, right] = &n.containers;
        Some(Self {
            side: n.service_side.min(1),
            pigtail_pa: [left.pigtail_pa, right.pigtail_pa],
            given_pa: [ports::given_pa(left), ports::given_pa(right)],
            kinks: [scene.kinks[0], scene.kinks[1]],
            flow_kg_per_s: [left.flow_kg_per_s, right.flow_kg_per_s],
            passage_pa: n.first.chamber_pa,
            open: open.clamp(0.0, 1.0),
            red: (n.indicator_red as f32).clamp(0.0, 1.0),
            reserve_mm: phases.reserve_mm,
            service_mm: phases.first_mm,
        })
    }

    fn reserve(&self) -> usize {
        1 - self.side
    }
}

/// A straight run of pipe as points, thick and filled.
fn run(painter: &Painter, points: &[Pos2], scale: f32, gas: Color32, t: &Theme) {
    let wall = Stroke::new(2.0 * (LINE + 1.2) * scale + 2.2, t.ink);
    let body = Stroke::new(2.0 * (LINE + 1.2) * scale, t.body);
    let edge = Stroke::new(2.0 * LINE * scale + 2.2, t.ink);
    let bore = Stroke::new(2.0 * LINE * scale, gas);
    for stroke in [wall, body, edge, bore] {
        painter.add(Shape::line(points.to_vec(), stroke));
    }
}

/// Draws the pipes, the block and the reserve seat; under the bodies, so before them.
pub fn draw(painter: &Painter, places: &Places, now: &Now, t: &Theme) {
    let lie = places.changeover();
    let scale = places.views[0].scale;
    for (i, stub) in lie.stubs.iter().enumerate() {
        let from = pos2(stub.left(), stub.center().y);
        let thin = scale * WAY / PIPE;
        let gas = t.gas(now.pigtail_pa[i]);
        stage::pipe(painter, t, thin, from, stub.right(), gas);
        draw::stipple(painter, *stub, scale, t, now.pigtail_pa[i], |_| true);
        let size = [1.7 * thin, now.kinks[i] as f32];
        ports::kink(painter, *stub, size, t.gas(now.given_pa[i]), t);
    }
    reserve(painter, places, &lie, now, t);
    block(painter, places, &lie, now, t);
    streams(painter, places, &lie, now, t);
}

/// Points of the way of a container through the block.
fn way(lie: &Lie, i: usize, side: usize) -> Vec<Pos2> {
    let from = pos2(lie.block.left(), lie.stubs[i].center().y);
    let to = lie.outs[usize::from(i != side)];
    let bend = 0.34 * lie.block.width();
    draw::smooth(&[from, from + vec2(bend, 0.0), to - vec2(bend, 0.0), to])
}

fn block(painter: &Painter, places: &Places, lie: &Lie, now: &Now, t: &Theme) {
    let v = &places.views[0];
    let scale = v.scale;
    painter.rect_filled(lie.block, 2.0, t.body);
    let corners = [
        lie.block.left_top(),
        lie.block.right_top(),
        lie.block.right_bottom(),
        lie.block.left_bottom(),
    ];
    let mm = corners.map(|c| pos2((c.x - v.origin.x) / scale, (v.origin.y - c.y) / scale));
    draw::hatch(painter, v, &mm, 2.1, Stroke::new(0.7, t.hatch));
    painter.rect_stroke(lie.block, 2.0, t.outline(), StrokeKind::Middle);
    // The reserve's way first: where they cross, that of the service side lies in front.
    for i in [now.reserve(), now.side] {
        let points = way(lie, i, now.side);
        let gas = t.gas(now.pigtail_pa[i]);
        draw::cased(painter, points, 2.0 * WAY * scale, gas, t.ink);
    }
    knob(painter, lie, now, scale, t);
    let window = Rect::from_center_size(
        pos2(lie.block.center().x, lie.block.top() + 0.5 * CROWN * scale),
        vec2(BLOCK - 3.0, CROWN - 3.6) * scale,
    );
    indicator(painter, window, now.red, t);
}

/// The knob between the ways; its pointer looks at the side in service.
fn knob(painter: &Painter, lie: &Lie, now: &Now, scale: f32, t: &Theme) {
    let middle = 0.5 * (lie.stubs[0].center().y + lie.stubs[1].center().y);
    let c = pos2(lie.block.center().x, middle);
    let r = KNOB * scale;
    painter.circle(c, r, t.rubber, Stroke::new(1.2, t.ink));
    painter.circle_stroke(c, 0.86 * r, Stroke::new(0.8, t.steel));
    let to = pos2(lie.block.left(), lie.stubs[now.side].center().y);
    let d = (to - c).normalized();
    let side = d.rot90();
    let head = vec![
        c + d * r,
        c + side * 0.34 * r,
        c - d * 0.6 * r,
        c - side * 0.34 * r,
    ];
    draw::patch(painter, head, t.brass, Stroke::new(0.9, t.ink));
}

/// The indicator's window: red is hatched, so that it is told without its colour.
fn indicator(painter: &Painter, window: Rect, red: f32, t: &Theme) {
    painter.rect_filled(window, 1.5, t.good);
    let part = window.with_max_x(window.left() + window.width() * red);
    painter.rect_filled(part, 1.5, t.danger);
    let mut x = part.left() + 2.0;
    while x < part.right() {
        let top = pos2((x + 3.0).min(part.right()), part.top());
        painter.line_segment([pos2(x, part.bottom()), top], Stroke::new(1.0, t.card));
        x += 4.0;
    }
    painter.rect_stroke(window, 1.5, Stroke::new(1.2, t.ink), StrokeKind::Outside);
}

/// The pipe of the reserve under the body, its seat, and up into the passage.
fn reserve(painter: &Painter, places: &Places, lie: &Lie, now: &Now, t: &Theme) {
    let v = &places.views[0];
    let scale = v.scale;
    let gas = t.gas(now.pigtail_pa[now.reserve()]);
    let passage = t.gas(now.passage_pa);
    let y = lie.outs[1].y;
    let up = pos2(lie.riser.x, y);
    run(
        painter,
        &[pos2(lie.seat.right() - 1.0, y), up, lie.riser],
        scale,
        passage,
        t,
    );
    run(
        painter,
        &[lie.outs[1], pos2(lie.seat.left() + 1.0, y)],
        scale,
        gas,
        t,
    );
    let wall = lie.seat.expand(1.4 * scale);
    painter.rect(wall, 3.0, t.body, t.outline(), StrokeKind::Middle);
    painter.rect(
        lie.seat,
        1.0,
        passage,
        Stroke::new(1.1, t.ink),
        StrokeKind::Middle,
    );
    // The nozzle, brass, with container gas in its bore.
    let tip = lie.seat.left() + 5.0 * scale;
    let nozzle = Rect::from_min_max(
        pos2(lie.seat.left(), y - ROOM * scale),
        pos2(tip, y + ROOM * scale),
    );
    let (lip, bore) = (1.0 * scale, BORE * scale);
    for side in [-1.0, 1.0] {
        let corners = vec![
            pos2(nozzle.left(), y + side * ROOM * scale),
            pos2(nozzle.left() + 2.0 * scale, y + side * ROOM * scale),
            pos2(tip, y + side * (bore + lip)),
            pos2(tip, y + side * bore),
            pos2(nozzle.left(), y + side * bore),
        ];
        draw::patch(painter, corners, t.brass, Stroke::new(1.0, t.ink));
    }
    let inside = Rect::from_min_max(pos2(nozzle.left() - 1.0, y - bore), pos2(tip, y + bore));
    painter.rect_filled(inside, 0.0, gas);
    disc(painter, lie, now, tip, scale, t);
    // Where the riser enters, the passage's wall is open.
    let half = LINE * scale;
    let mouth = Rect::from_min_max(
        lie.riser - vec2(half, 0.4 * scale),
        lie.riser + vec2(half, 2.2 * scale),
    );
    painter.rect_filled(mouth, 0.0, passage);
}

/// The disc on its stem, and the spring that pushes it open.
fn disc(painter: &Painter, lie: &Lie, now: &Now, tip: f32, scale: f32, t: &Theme) {
    let y = lie.seat.center().y;
    let x = tip + LIFT * now.open * scale;
    let rubber = Rect::from_min_max(
        pos2(x, y - DISC * scale),
        pos2(x + 1.6 * scale, y + DISC * scale),
    );
    let plate = rubber.translate(vec2(1.6 * scale, 0.0));
    painter.rect(
        plate,
        0.5,
        t.steel,
        Stroke::new(0.9, t.ink),
        StrokeKind::Middle,
    );
    painter.rect(
        rubber,
        0.5,
        t.rubber,
        Stroke::new(0.9, t.ink),
        StrokeKind::Middle,
    );
    let (from, to) = (plate.right(), lie.seat.right() - 1.0);
    let coil: Vec<Pos2> = (0..=8)
        .map(|k| {
            let side = if k % 2 == 0 { -1.0 } else { 1.0 };
            let along = from + (to - from) * k as f32 / 8.0;
            pos2(along, y + side * 2.0 * scale)
        })
        .collect();
    let wire = Stroke::new((0.5 * scale).clamp(0.9, 2.0), t.spring);
    painter.add(Shape::line(coil, wire));
}

/// Dashes where gas goes: with the container that gives it.
fn streams(painter: &Painter, places: &Places, lie: &Lie, now: &Now, t: &Theme) {
    let scale = places.views[0].scale;
    for i in [now.side, now.reserve()] {
        let mut points = vec![pos2(lie.stubs[i].left(), lie.stubs[i].center().y)];
        points.extend(way(lie, i, now.side));
        let reserve = i != now.side;
        if reserve {
            points.extend([lie.seat.left_center(), lie.seat.right_center()]);
            points.extend([pos2(lie.riser.x, lie.seat.center().y), lie.riser]);
        }
        Stream {
            path: Path::new(points),
            phase_mm: if reserve {
                now.reserve_mm
            } else {
                now.service_mm
            },
            flow_kg_per_s: now.flow_kg_per_s[i],
            color: t.ink_on_gas(now.pigtail_pa[i]),
            liquid_share: 0.0,
        }
        .draw(painter, scale, t);
    }
}

/// Whose gas it is: "from left container", "right, in reserve".
pub fn source(n: &Readings, i: usize) -> String {
    let name = ["left", "right"][i.min(1)];
    if n.service_side == i {
        format!("from {name} container")
    } else if n.reserve_feeding {
        format!("{name} reserve feeds")
    } else {
        format!("{name}, in reserve")
    }
}

/// Where the words on the upper pipe begin.
pub fn top_of_words(painter: &Painter, places: &Places) -> f32 {
    let font = strong(number_size(places));
    let number = painter.layout_no_wrap("0".to_owned(), font, egui::Color32::BLACK);
    places.changeover().stubs[0].top() - wall(places) - 1.0 - number.size().y
}

/// How thick the wall of a pipe before the changeover is drawn.
fn wall(places: &Places) -> f32 {
    1.7 * places.views[0].scale * WAY / PIPE
}

/// How large the numbers on those pipes are.
fn number_size(places: &Places) -> f32 {
    if places.roomy { 15.0 } else { 13.0 }
}

/// The words at both pipes and at the reserve seat.
pub fn labels(painter: &Painter, scene: &Scene<'_>, places: &Places, now: &Now, t: &Theme) {
    let lie = places.changeover();
    let big = number_size(places);
    let room = lie.block.left() - places.left - 3.0;
    let wall = wall(places);
    let between = lie.stubs[1].top() - lie.stubs[0].bottom() - 2.0 * wall;
    for (i, stub) in lie.stubs.iter().enumerate() {
        let words = painter.layout(source(scene.now, i), plain(NOTE), t.soft, room.max(40.0));
        let number = scene.units.high(now.pigtail_pa[i]).to_string();
        let number = painter.layout_no_wrap(number, strong(big), t.ink);
        let mut at = pos2(places.left + 1.0, stub.top() - wall - 1.0);
        let both = words.size().y + number.size().y;
        // Where the pipes lie close there is room for the number alone; it stands on the pipe it is of.
        if both < between {
            at.y -= words.size().y;
            painter.galley(at, words, t.soft);
            at.y += 1.0;
        }
        at.y -= number.size().y;
        painter.galley(at, number, t.ink);
    }
    let words = if now.open > 0.0 {
        "reserve seat open"
    } else {
        "reserve seat shut"
    };
    // Under the number of the first stage, where that stands under its pipe.
    let pipe = places.pipes()[1];
    let under_number = if places.roomy || pipe.height() > big + 2.0 {
        f32::NEG_INFINITY
    } else {
        pipe.bottom() + 4.0 + 1.25 * big + 8.0
    };
    let at = pos2(
        lie.riser.x + 5.0 * places.views[0].scale,
        lie.seat.center().y.max(under_number),
    );
    painter.text(at, Align2::LEFT_CENTER, words, plain(NOTE), t.soft);
}
