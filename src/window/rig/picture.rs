//! The rig as the sheet has it, drawn as it would be laid out on a bench: containers, regulator with its vent, main line in
//! sections as wide as they are, appliances on their branches. A drawing of what is written; nothing moves.

use egui::{
    Align2, Painter, Pos2, Rect, Role, Sense, Shape, Stroke, StrokeKind, Ui, WidgetInfo, pos2, vec2,
};

use crate::physics::heat;
use crate::report::percent::percent;
use crate::rig::{Mounting, Section};
use crate::scenario::{Action, Scenario};
use crate::service::is_too_full;
use crate::window::look::show::Units;
use crate::window::look::theme::{NOTE, Theme, plain, strong};

/// Size of words that have little room \[points\].
const SMALLEST: f32 = 9.5;
/// Height that a row of words needs at least, and has at most \[points\].
const ROW: (f32, f32) = (17.0, 26.0);
/// Points of drawing for a metre of bore.
const PER_BORE: f32 = 560.0;

/// What is drawn with.
struct Brush<'a> {
    painter: Painter,
    t: &'a Theme,
    units: Units,
}

impl Brush<'_> {
    fn words(&self, at: Pos2, align: Align2, words: &str, room: f32) -> Rect {
        self.letters(at, align, words, NOTE, self.t.ink, room)
    }

    /// Words in a room: smaller where they do not fit, then in two lines; only what is too long for both ends in dots.
    fn letters(
        &self,
        at: Pos2,
        align: Align2,
        words: &str,
        size: f32,
        ink: egui::Color32,
        room: f32,
    ) -> Rect {
        let line = |size: f32| {
            self.painter
                .layout_no_wrap(words.to_owned(), plain(size), ink)
        };
        let whole = [size, size - 1.0, SMALLEST].map(line);
        let whole = whole.into_iter().find(|galley| galley.size().x <= room);
        let galley = whole.unwrap_or_else(|| {
            let font = plain(SMALLEST);
            let mut job =
                egui::text::LayoutJob::simple(words.to_owned(), font, ink, room.max(24.0));
            job.wrap.max_rows = 2;
            self.painter.layout_job(job)
        });
        let rect = align.anchor_size(at, galley.size());
        self.painter.galley(rect.min, galley, ink);
        rect
    }

    fn pipe(&self, from: Pos2, to: Pos2, wide: f32, ink: egui::Color32) {
        self.painter
            .line_segment([from, to], Stroke::new(wide + 2.0, self.t.ink));
        self.painter
            .line_segment([from, to], Stroke::new(wide, ink));
    }
}

/// The rig in a few words, for a screen reader and a test.
pub fn told(s: &Scenario, units: Units) -> String {
    let containers = s.rig.containers.len();
    let set = match (containers, lies(s, 0)) {
        (1, true) => "a frame tank".to_owned(),
        (1, false) => "one cylinder".to_owned(),
        _ => "two containers with a changeover".to_owned(),
    };
    let vent = if vent_up(s) { "up" } else { "down" };
    let line = match s.sections.len() {
        0 => "one pipe".to_owned(),
        1 => "one section".to_owned(),
        n => format!("{n} sections"),
    };
    let count = s.rig.appliances.len();
    let plates_w: f64 = s.rig.appliances.iter().map(|a| a.input_w).sum();
    let appliances = match count {
        0 => "no appliance".to_owned(),
        1 => format!("one appliance, {}", units.heat(plates_w)),
        n => format!("{n} appliances, {} together", units.heat(plates_w)),
    };
    let mounted = s.rig.body.mounted.word();
    format!("{set}; regulator {mounted}, vent {vent}; main line of {line}; {appliances}")
}

fn lies(s: &Scenario, i: usize) -> bool {
    let shape = s.rig.containers.get(i).map(|c| c.shape);
    matches!(shape, Some(heat::Shape::Horizontal { .. }))
}

/// Whether the vent points up from the start.
fn vent_up(s: &Scenario) -> bool {
    let is_up = |action: &Action| matches!(action, Action::Inject { fault, .. } if fault.id() == "vent_turned_up");
    s.events.iter().any(|e| e.at_s == 0.0 && is_up(&e.action))
}

/// Draws it.
pub fn show(ui: &mut Ui, t: &Theme, s: &Scenario, units: Units, height: f32) {
    let (rect, response) =
        ui.allocate_exact_size(vec2(ui.available_width(), height), Sense::hover());
    let words = format!("Picture of the rig: {}", told(s, units));
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &words));
    let b = Brush {
        painter: ui.painter_at(rect),
        t,
        units,
    };
    let left = rect.left() + 6.0;
    let supply = Rect::from_min_size(pos2(left, rect.top()), vec2(0.34 * rect.width(), 128.0));
    // Names and ratings at the right come before the way from the supply.
    let middle = (0.50 * rect.width())
        .min(rect.width() - LETTERS)
        .max(supply.width() + 34.0);
    let body = Rect::from_center_size(
        pos2(rect.left() + middle, rect.top() + 62.0),
        vec2(54.0, 44.0),
    );
    supply_ui(&b, s, supply, body);
    regulator_ui(&b, s, body, rect.right());
    let room = Rect::from_min_max(pos2(rect.left(), body.bottom()), rect.max);
    line_ui(&b, s, body, room);
}

fn supply_ui(b: &Brush<'_>, s: &Scenario, room: Rect, body: Rect) {
    let count = s.rig.containers.len();
    let inlet = pos2(body.left(), body.center().y);
    for i in 0..count {
        let lying = lies(s, i);
        let size = match (lying, count) {
            (true, 1) => vec2(0.86 * room.width(), 48.0),
            (true, _) => vec2(0.42 * room.width(), 34.0),
            (false, _) => vec2((0.40 * room.width()).min(46.0), 74.0),
        };
        let x = room.left()
            + if count == 1 {
                4.0
            } else {
                i as f32 * 0.5 * room.width()
            };
        let shell = Rect::from_min_size(pos2(x, room.top() + 104.0 - size.y), size);
        let top = pos2(shell.center().x, shell.top() - 6.0);
        let lane = inlet.y - 40.0 + 6.0 * i as f32;
        let gas = b.t.gas(500_000.0);
        for pair in [
            [top, pos2(top.x, lane)],
            [pos2(top.x, lane), pos2(inlet.x - 10.0, lane)],
            [pos2(inlet.x - 10.0, lane), pos2(inlet.x - 10.0, inlet.y)],
        ] {
            b.pipe(pair[0], pair[1], 2.0, gas);
        }
        container_ui(b, s, i, shell, lying);
    }
    b.pipe(
        pos2(inlet.x - 11.0, inlet.y),
        inlet,
        3.0,
        b.t.gas(500_000.0),
    );
    if count == 2 {
        let at = pos2(inlet.x - 10.0, inlet.y);
        b.painter
            .circle(at, 7.0, b.t.brass, Stroke::new(1.2, b.t.ink));
        let tip = if s.service_side == 0 { -1.0 } else { 1.0 };
        b.painter
            .line_segment([at, at + vec2(5.0 * tip, -4.0)], Stroke::new(2.0, b.t.ink));
    }
}

fn container_ui(b: &Brush<'_>, s: &Scenario, i: usize, shell: Rect, lying: bool) {
    let (t, charge) = (b.t, &s.charges[i]);
    let round = if lying {
        0.45 * shell.height()
    } else {
        0.36 * shell.width()
    };
    b.painter.rect_filled(shell, round, t.gas(500_000.0));
    let level = shell.bottom() - shell.height() * charge.fill.clamp(0.0, 1.0) as f32;
    let liquid = Rect::from_min_max(pos2(shell.left(), level), shell.max);
    b.painter
        .with_clip_rect(liquid)
        .rect_filled(shell, round, t.liquid);
    b.painter
        .rect_stroke(shell, round, Stroke::new(1.4, t.ink), StrokeKind::Middle);
    let neck = Rect::from_center_size(pos2(shell.center().x, shell.top() - 5.0), vec2(9.0, 9.0));
    let open = s.valves_open[i];
    let metal = if open { t.brass } else { t.body };
    b.painter.rect(
        neck,
        1.0,
        metal,
        Stroke::new(1.0, t.ink),
        StrokeKind::Middle,
    );
    let over = is_too_full(charge.fill, charge.temperature_k);
    let ink = if over { t.danger } else { t.ink };
    let side = if s.rig.containers.len() == 1 {
        ""
    } else {
        ["left ", "right "][i]
    };
    let words = format!(
        "{side}{}{}",
        percent(charge.fill),
        if over { ", too full" } else { "" }
    );
    // Inside the picture, however long.
    let room = 92.0;
    let least = (b.painter.clip_rect().left() + 0.5 * room + 2.0).min(shell.right());
    let below = pos2(
        shell
            .center()
            .x
            .max(if over { least } else { shell.left() + 26.0 }),
        shell.bottom() + 3.0,
    );
    b.letters(below, Align2::CENTER_TOP, &words, NOTE, ink, room);
    if !open {
        let at = pos2(below.x, below.y + 13.0);
        b.letters(at, Align2::CENTER_TOP, "valve shut", NOTE, t.caution, 80.0);
    }
}

fn regulator_ui(b: &Brush<'_>, s: &Scenario, body: Rect, right: f32) {
    let (t, p) = (b.t, &b.painter);
    let mounted = s.rig.body.mounted;
    let around = body.expand2(vec2(22.0, 26.0));
    match mounted {
        Mounting::Open => {}
        Mounting::Cover => {
            let roof = vec![
                around.left_top() + vec2(0.0, 14.0),
                around.left_top(),
                around.right_top(),
                around.right_top() + vec2(0.0, 14.0),
            ];
            p.add(Shape::line(roof, Stroke::new(2.0, t.soft)));
        }
        Mounting::Compartment => {
            p.rect_stroke(around, 2.0, Stroke::new(2.0, t.soft), StrokeKind::Middle);
        }
    }
    p.rect(
        body,
        3.0,
        t.body,
        Stroke::new(1.4, t.ink),
        StrokeKind::Middle,
    );
    for (x, half) in [(body.left() + 15.0, 8.0), (body.right() - 17.0, 13.0)] {
        p.circle(
            pos2(x, body.center().y),
            half,
            t.steel,
            Stroke::new(1.0, t.ink),
        );
    }
    let up = vent_up(s);
    let x = body.right() - 17.0;
    let (from, to) = if up {
        (body.top(), body.top() - 13.0)
    } else {
        (body.bottom(), body.bottom() + 13.0)
    };
    let ink = if up { t.danger } else { t.soft };
    p.arrow(pos2(x, from), vec2(0.0, to - from), Stroke::new(2.0, ink));
    let at = pos2(around.right() + 6.0, body.top() - 10.0);
    let room = right - at.x - 4.0;
    let name = b
        .painter
        .text(at, Align2::LEFT_TOP, "regulator", strong(NOTE), t.ink);
    let next = b.words(
        pos2(at.x, name.bottom() + 1.0),
        Align2::LEFT_TOP,
        mounted.word(),
        room,
    );
    let vent = if up {
        "vent up: rain runs in"
    } else {
        "vent down"
    };
    let ink = if up { t.danger } else { t.soft };
    b.letters(
        pos2(at.x, next.bottom() + 1.0),
        Align2::LEFT_TOP,
        vent,
        NOTE,
        ink,
        room,
    );
}

/// The main line down from the regulator, section by section, then the branches.
fn line_ui(b: &Brush<'_>, s: &Scenario, body: Rect, room: Rect) {
    let (t, x) = (b.t, body.left() + 15.0);
    let (sections, appliances) = (s.sections.len().max(1), &s.rig.appliances);
    let rows = sections + appliances.len();
    let top = body.bottom() + 4.0;
    let row = ((room.bottom() - top - 22.0) / rows.max(1) as f32).clamp(ROW.0, ROW.1);
    let gas = t.gas(2_740.0);
    let mut y = body.bottom();
    let first = y + 18.0;
    b.pipe(
        pos2(x, y),
        pos2(x, first),
        wide(s.rig.piping.main.bore_m),
        gas,
    );
    y = first;
    for i in 0..sections {
        let section = s.sections.get(i);
        let bore_m = section.map_or(s.rig.piping.main.bore_m, Section::bore_m);
        b.pipe(pos2(x, y), pos2(x, y + row), wide(bore_m), gas);
        let at = pos2(x + 14.0, y + 0.5 * row);
        let words = length_words(b.units, s, section);
        b.words(at, Align2::LEFT_CENTER, &words, room.right() - at.x - 2.0);
        y += row;
        if i + 1 < sections {
            b.painter
                .hline(x - 8.0..=x + 8.0, y, Stroke::new(2.0, t.ink));
        }
    }
    let widest = s.rig.piping.main.bore_m.max(9e-3);
    for (i, a) in appliances.iter().enumerate() {
        let middle = y + 0.5 * row;
        let end = if i + 1 == appliances.len() {
            middle
        } else {
            y + row
        };
        b.pipe(pos2(x, y), pos2(x, end), wide(widest), gas);
        let burner = pos2(x + 28.0, middle);
        b.pipe(pos2(x, middle), burner, wide(a.branch.bore_m), gas);
        flame(b, burner, s.on_at_start[i]);
        let at = burner + vec2(14.0, 0.0);
        let words = format!("{}  {}", a.name, b.units.heat(a.input_w));
        b.words(at, Align2::LEFT_CENTER, &words, room.right() - at.x - 2.0);
        y += row;
    }
    if appliances.is_empty() {
        let at = pos2(x + 14.0, y);
        b.letters(
            at,
            Align2::LEFT_CENTER,
            "no appliance yet",
            NOTE,
            t.soft,
            room.right() - at.x,
        );
    }
}

/// Room that the names and ratings of appliances want right of the regulator's middle \[points\].
const LETTERS: f32 = 190.0;

/// Width of a pipe in the drawing \[points\].
fn wide(bore_m: f64) -> f32 {
    (PER_BORE * bore_m as f32).clamp(2.0, 14.0)
}

fn length_words(units: Units, s: &Scenario, section: Option<&Section>) -> String {
    let long = |m: f64| units.length(m).to_string();
    match section {
        Some(part) => format!(
            "{} {}, {}",
            part.size_word(),
            part.material.word(),
            long(part.length_m)
        ),
        None => {
            let main = s.rig.piping.main;
            format!("{} bore, {}", units.bore(main.bore_m), long(main.length_m))
        }
    }
}

/// A burner: a flame where it is in use, an empty ring where not.
fn flame(b: &Brush<'_>, at: Pos2, on: bool) {
    let t = b.t;
    b.painter.circle(at, 6.0, t.card, Stroke::new(1.2, t.ink));
    if on {
        let drop = [
            vec2(0.0, -7.0),
            vec2(3.6, 1.0),
            vec2(0.0, 4.6),
            vec2(-3.6, 1.0),
        ];
        let points = drop.map(|v| at + v).to_vec();
        b.painter.add(Shape::convex_polygon(
            points,
            t.flame,
            Stroke::new(1.0, t.ink),
        ));
    }
}
