//! The strokes of the charts: grids, band, lines, marks, the present and the ruler.

use egui::{
    Align2, Color32, Mesh, Painter, Pos2, Rect, Sense, Shape, Stroke, Ui, WidgetInfo, pos2, vec2,
};

use super::frame::{Asked, Frame, GUTTER, Quantity};
use crate::report::record;
use crate::service::{LIMITS, Limit};
use crate::sim::{Bucket, Mark};
use crate::window::look::rules::rule_up;
use crate::window::look::show::clock;
use crate::window::look::theme::{NOTE, Theme, plain, strong};
use crate::window::look::within::within;

/// Marks closer than this share one line \[points\].
const MARKS_APART: f32 = 3.0;
/// A pointer so near to a line means it \[points\], and so many are told at once.
const NEAR: f32 = 4.0;
const MOST_TOLD: usize = 3;
/// Height of a row of their words \[points\].
const MARK_ROW: f32 = 14.0;

/// Text of a chart's head on a ground of its own, right-aligned; where it begins.
pub(super) fn head_text(
    painter: &Painter,
    at: Pos2,
    text: String,
    font: egui::FontId,
    ink: Color32,
    t: &Theme,
) -> f32 {
    let galley = painter.layout_no_wrap(text, font, ink);
    let rect = Rect::from_min_size(at - vec2(galley.size().x, 0.0), galley.size());
    painter.rect_filled(rect.expand2(vec2(3.0, -1.0)), 0.0, t.card);
    painter.galley(rect.min, galley, ink);
    rect.left()
}

pub(super) fn line_color(theme: &Theme, quantity: Quantity) -> Color32 {
    match quantity {
        Quantity::Travel => theme.closes,
        Quantity::Mass => theme.danger,
        Quantity::Low | Quantity::High | Quantity::Breath => {
            if theme.dark {
                theme.gas(400_000.0)
            } else {
                theme.gas(600_000.0)
            }
        }
    }
}

pub(super) fn draw_band(
    painter: &Painter,
    plot: Rect,
    y_of: &impl Fn(f64) -> f32,
    frame: &Frame<'_>,
) {
    let t = &frame.theme;
    let flow = &LIMITS.flow;
    let band = Rect::from_x_y_ranges(plot.x_range(), y_of(flow.high)..=y_of(flow.low));
    painter.rect_filled(band, 0.0, t.band);
}

/// How high lock-up may come, and the pressure nothing in a vehicle may see: each with its words, long and short, and its
/// dash and gap, so that no line is told by its colour alone \[points\].
fn limits(t: &Theme) -> [([&'static str; 2], &'static Limit, Color32, [f32; 2]); 2] {
    [
        (
            ["lock-up to", "lock-up"],
            &LIMITS.lock_up,
            t.caution,
            [6.0, 4.0],
        ),
        (
            ["never above", "never"],
            &LIMITS.lock_up_caution,
            t.danger,
            [13.0, 2.5],
        ),
    ]
}

/// Draws both.
pub(super) fn draw_limit(
    painter: &Painter,
    plot: Rect,
    y_of: &impl Fn(f64) -> f32,
    frame: &Frame<'_>,
) {
    for (_, limit, ink, dash) in limits(&frame.theme) {
        let y = y_of(limit.high);
        limit_stroke(painter, [plot.left(), plot.right()], y, ink, dash);
    }
}

fn limit_stroke(painter: &Painter, x: [f32; 2], y: f32, ink: Color32, [dash, gap]: [f32; 2]) {
    painter.extend(Shape::dashed_line(
        &[pos2(x[0], y), pos2(x[1], y)],
        Stroke::new(1.4, ink),
        dash,
        gap,
    ));
}

/// Which of band, lower and upper limit are told, and whether in their long words: the fullest first.
const KEYS: [([bool; 3], bool); 5] = [
    ([true; 3], true),
    ([true; 3], false),
    ([false, true, true], true),
    ([false, true, true], false),
    ([false, false, true], false),
];
/// Width of the piece of a line before its words with the gap behind it, and the gap before the next \[points\].
const PIECE: [f32; 2] = [21.0, 12.0];

/// What band and limits say, with a piece of each before its words: in the head, where no curve runs, as fully as the room before
/// the values at its end allows. None is cut, and none is left to its colour.
pub(super) fn limit_words(painter: &Painter, at: Pos2, room: f32, frame: &Frame<'_>) {
    let t = &frame.theme;
    let low = |pa: f64| frame.units.low(pa).number();
    let words = |long: bool| {
        let (from, to) = (low(LIMITS.flow.low), low(LIMITS.flow.high));
        let least = low(LIMITS.flow.low - LIMITS.fall_caution.high);
        let [lock_up, never] = limits(t)
            .map(|(names, limit, ..)| format!("{} {}", names[usize::from(!long)], low(limit.high)));
        let flow = if long {
            format!("at half load {from} to {to}, above it from {least}")
        } else {
            format!("{from} to {to}")
        };
        [flow, lock_up, never]
    };
    let laid = |text: String| painter.layout_no_wrap(text, plain(NOTE), t.soft);
    let keys = KEYS.into_iter().find_map(|(told, long)| {
        let all = words(long).map(laid);
        let chosen: Vec<_> = all
            .into_iter()
            .enumerate()
            .filter(|(i, _)| told[*i])
            .collect();
        let wide: f32 = chosen.iter().map(|(_, g)| PIECE[0] + g.size().x).sum();
        (wide + PIECE[1] * (chosen.len() - 1) as f32 <= room).then_some(chosen)
    });
    let middle = at.y + 8.0;
    let mut x = at.x;
    for (i, galley) in keys.into_iter().flatten() {
        if i == 0 {
            let piece = Rect::from_min_max(pos2(x, middle - 5.0), pos2(x + 16.0, middle + 5.0));
            let edge = Stroke::new(1.0, t.good);
            painter.rect(piece, 0.0, t.band, edge, egui::StrokeKind::Inside);
        } else {
            let (_, _, ink, dash) = limits(t)[i - 1];
            limit_stroke(painter, [x, x + 16.0], middle, ink, dash);
        }
        x += PIECE[0];
        let wide = galley.size().x;
        painter.galley(pos2(x, at.y), galley, t.soft);
        x += wide + PIECE[1];
    }
}

pub(super) fn draw_value_grid(
    painter: &Painter,
    plot: Rect,
    quantity: Quantity,
    range: [f64; 2],
    frame: &Frame<'_>,
) {
    let t = &frame.theme;
    // Ticks at round numbers of the unit on show.
    let convert = |v: f64| match quantity {
        Quantity::Low => frame.units.low(v).value,
        Quantity::High => frame.units.high(v).value,
        Quantity::Travel => frame.units.travel(v).value,
        Quantity::Breath => frame.units.breath(v).value,
        Quantity::Mass => frame.units.mass_flow(v).value,
    };
    rule_up(painter, plot, range.map(convert), t);
}

pub(super) fn draw_trace(
    painter: &Painter,
    frame: &Frame<'_>,
    buckets: &[Bucket],
    y_of: &impl Fn(f64) -> f32,
    stroke: Stroke,
) {
    // Where a bucket holds more than a line's width it is drawn as a band, so peaks survive.
    let mut band = Mesh::default();
    let mut line: Vec<Pos2> = Vec::with_capacity(buckets.len());
    let soft = stroke.color.gamma_multiply(0.45);
    for (i, b) in buckets.iter().enumerate() {
        let x = frame.x_of(0.5 * (b.from_s + b.to_s));
        let (top, bottom) = (y_of(b.max), y_of(b.min));
        band.colored_vertex(pos2(x, top), soft);
        band.colored_vertex(pos2(x, bottom), soft);
        if i > 0 {
            let k = 2 * i as u32;
            band.add_triangle(k - 2, k - 1, k);
            band.add_triangle(k - 1, k, k + 1);
        }
        line.push(pos2(x, 0.5 * (top + bottom)));
    }
    if line.len() > 1 {
        painter.add(Shape::mesh(band));
        painter.add(Shape::line(line, stroke));
    }
}

/// Steps of time that read well \[s\].
const TIME_STEPS_S: [f64; 28] = [
    1e-4, 2e-4, 5e-4, 1e-3, 2e-3, 5e-3, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 15.0,
    30.0, 60.0, 120.0, 300.0, 600.0, 1800.0, 3600.0, 7200.0, 14_400.0, 43_200.0, 86_400.0,
];

pub(super) fn time_step_s(span_s: f64, width: f32) -> f64 {
    let wanted = span_s / f64::from((width / 92.0).max(1.0));
    TIME_STEPS_S
        .into_iter()
        .find(|s| *s >= wanted)
        .unwrap_or(86_400.0)
}

/// Decimals of a clock that tells such a stretch apart.
pub(super) fn tick_decimals(span_s: f64) -> usize {
    if span_s > 30.0 {
        0
    } else if span_s > 3.0 {
        1
    } else if span_s > 0.3 {
        2
    } else {
        3
    }
}

pub(super) fn draw_time_grid(painter: &Painter, top: f32, ruler: Rect, frame: &Frame<'_>) {
    let t = &frame.theme;
    let span = frame.time[1] - frame.time[0];
    let step = time_step_s(span, ruler.width());
    let decimals = (-step.log10()).ceil().clamp(0.0, 4.0) as usize;
    let mut k = (frame.time[0] / step).ceil();
    while k * step <= frame.time[1] {
        let x = frame.x_of(k * step);
        if k * step >= -1e-9 {
            painter.vline(x, top..=ruler.top(), Stroke::new(1.0, t.grid));
            painter.vline(
                x,
                ruler.top()..=ruler.top() + 4.0,
                Stroke::new(1.0, t.faint),
            );
            let half = 26.0;
            if x - half > ruler.left() - GUTTER && x + half < ruler.right() + 2.0 {
                painter.text(
                    pos2(x, ruler.top() + 6.0),
                    Align2::CENTER_TOP,
                    clock(k * step, decimals),
                    plain(11.0),
                    t.soft,
                );
            }
        }
        k += 1.0;
    }
    painter.hline(ruler.x_range(), ruler.top(), Stroke::new(1.0, t.faint));
}

/// Height kept above the ruler for the words of what happened \[points\].
pub(super) fn mark_lane(height: f32) -> f32 {
    let rows = match height {
        high if high > 330.0 => 3.0,
        high if high > 230.0 => 2.0,
        high if high > 100.0 => 1.0,
        // The curve comes first; the pointer tells each line's words.
        _ => 0.0,
    };
    rows * MARK_ROW
}

/// Lines for what happened, from `top` down to a lane of their own, where their words make room for each other and
/// cover no curve.
pub(super) fn draw_marks(painter: &Painter, top: f32, lane: Rect, frame: &Frame<'_>) {
    let rows = (lane.height() / MARK_ROW).round() as usize;
    let t = &frame.theme;
    if rows == 0 {
        for mark in in_view(frame) {
            mark_line(painter, frame.x_of(mark.time_s), top, lane.top(), t);
        }
        return mark_under_pointer(painter, lane, frame);
    }
    let mut lanes = Lanes {
        ends: vec![f32::MIN; rows],
        room: [lane.left(), lane.right()],
        now: frame.x_of(frame.snap.readings.time_s),
        last: (f32::MIN, None),
    };
    let mut told: Vec<Told> = Vec::new();
    let laid = |words: String| painter.layout_no_wrap(words, plain(11.0), t.soft);
    // A count may still come to any of them.
    let count = laid(counted(9)).size().x;
    let marks: Vec<&Mark> = in_view(frame).collect();
    let mut rest = &marks[..];
    while let [mark, after @ ..] = rest {
        let x = frame.x_of(mark.time_s);
        // Those that stand too near for a line of their own are counted with it; the pointer tells them all.
        let near = after
            .iter()
            .take_while(|m| frame.x_of(m.time_s) - x < MARKS_APART)
            .count();
        rest = &after[near..];
        let words = record::mark(mark, &frame.snap.rig);
        let wide = laid(words.clone()).size().x + count;
        let Some((left, row)) = lanes.place(x, wide) else {
            mark_line(painter, x, top, lane.top(), t);
            // A line without room for its words is counted with the one before it.
            if let Some(before) = told.last_mut() {
                before.also += near + 1;
            }
            continue;
        };
        let y = lane.top() + MARK_ROW * row as f32;
        mark_line(painter, x, top, y + MARK_ROW - 2.0, t);
        told.push(Told {
            at: pos2(left, y),
            // Words before their line end at it.
            end: (left < x).then_some(left + wide),
            words,
            also: near,
        });
    }
    // Words over all lines, on a ground of their own.
    for one in told {
        let galley = laid(one.words + &counted(one.also));
        let left = one.end.map_or(one.at.x, |end| end - galley.size().x);
        let at = pos2(left, one.at.y);
        let ground = Rect::from_min_size(at, galley.size());
        painter.rect_filled(ground.expand2(vec2(2.0, 0.0)), 0.0, t.card);
        painter.galley(at, galley, t.soft);
    }
    mark_under_pointer(painter, lane, frame);
}

/// The words of a mark where they stand, and how many more they stand for.
struct Told {
    at: Pos2,
    end: Option<f32>,
    words: String,
    also: usize,
}

/// What is counted with words: " and 2 more".
fn counted(also: usize) -> String {
    match also {
        0 => String::new(),
        n => format!(" and {n} more"),
    }
}

/// The rows under the charts in which the words of marks stand.
struct Lanes {
    /// Where each row is free from.
    ends: Vec<f32>,
    /// Left and right end of all.
    room: [f32; 2],
    /// Where the moment on show is.
    now: f32,
    /// The line of the mark before, and the row of its words down to which it runs.
    last: (f32, Option<usize>),
}

impl Lanes {
    /// Where the words of a line at `x` begin, and in which row: behind their line; before it where that has no room, and not
    /// across the line before, whose words they would seem to be. The moment on show runs through none that can stand
    /// elsewhere.
    fn place(&mut self, x: f32, wide: f32) -> Option<(f32, usize)> {
        let [from, to] = self.room;
        let sides = [x + 4.0, x - 4.0 - wide];
        let all = || {
            sides
                .iter()
                .flat_map(|left| (0..self.ends.len()).map(|row| (*left, row)))
        };
        let free = |(left, row): &(f32, usize)| {
            let (line, above) = self.last;
            let own = *left > x || *left > line || above.is_none_or(|above| *row > above);
            own && *left > self.ends[*row].max(from - 1.0) && left + wide <= to
        };
        let clear = |(left, _): &(f32, usize)| {
            let crossed = (left - 7.0..=left + wide + 7.0).contains(&self.now);
            !crossed || (self.now - x).abs() < 8.0
        };
        let place = all().filter(free).find(clear).or_else(|| all().find(free));
        self.last = (x, place.map(|(_, row)| row));
        if let Some((left, row)) = place {
            self.ends[row] = left + wide + 8.0;
        }
        place
    }
}

/// What happened in the time in view.
fn in_view<'a>(frame: &'a Frame<'_>) -> impl Iterator<Item = &'a Mark> {
    let marks = &frame.snap.marks;
    let from = marks.partition_point(|m: &Mark| m.time_s < frame.time[0]);
    let until_s = frame.time[1];
    marks[from..]
        .iter()
        .take_while(move |m| m.time_s <= until_s)
}

/// The words of the lines at the pointer, also of those that had no room for them.
fn mark_under_pointer(painter: &Painter, lane: Rect, frame: &Frame<'_>) {
    let t = &frame.theme;
    let Some(x) = frame.cursor.map(|time_s| frame.x_of(time_s)) else {
        return;
    };
    let near = |m: &&Mark| (frame.x_of(m.time_s) - x).abs() < NEAR;
    let words: Vec<String> = in_view(frame)
        .filter(near)
        .take(MOST_TOLD)
        .map(|m| record::mark(m, &frame.snap.rig))
        .collect();
    if words.is_empty() {
        return;
    }
    let galley = painter.layout_no_wrap(words.join(", "), strong(11.0), t.ink);
    let most = lane.right() - galley.size().x;
    let at = pos2(
        within(x - 0.5 * galley.size().x, lane.left(), most),
        lane.top(),
    );
    let ground = Rect::from_min_size(at, galley.size()).expand2(vec2(4.0, 0.0));
    painter.rect_filled(ground, 2.0, t.accent_wash);
    painter.galley(at, galley, t.ink);
}

fn mark_line(painter: &Painter, x: f32, top: f32, bottom: f32, t: &Theme) {
    painter.extend(Shape::dashed_line(
        &[pos2(x, top), pos2(x, bottom)],
        Stroke::new(1.0, t.faint),
        2.0,
        4.0,
    ));
}

/// The moment that is looked at as a line with a handle, and the end of the run where it lies further on.
pub(super) fn draw_now(painter: &Painter, top: f32, ruler: Rect, frame: &Frame<'_>) {
    let t = &frame.theme;
    let in_view = |time_s: f64| (frame.time[0]..=frame.time[1]).contains(&time_s);
    if frame.snap.looks_back() {
        let edge = frame.x_of(frame.snap.front_s);
        let from = frame.x_of(frame.snap.readings.time_s);
        let [left, right] = frame.x;
        // What lies ahead of the moment stands on a wash.
        let ahead = Rect::from_x_y_ranges(
            from.max(left).min(right)..=edge.max(left).min(right),
            top..=ruler.top(),
        );
        painter.rect_filled(ahead, 0.0, t.accent_wash.gamma_multiply(0.5));
        if in_view(frame.snap.front_s) {
            painter.vline(edge, top..=ruler.top() + 6.0, Stroke::new(1.4, t.faint));
        }
    }
    let now = frame.snap.readings.time_s;
    if !in_view(now) {
        return;
    }
    let x = frame.x_of(now);
    painter.vline(x, top..=ruler.top(), Stroke::new(1.0, t.ink));
    // A brass handle to take hold of.
    let (top, low) = (ruler.top() - 5.0, ruler.top() + 6.0);
    painter.add(Shape::convex_polygon(
        vec![
            pos2(x - 6.0, top),
            pos2(x + 6.0, top),
            pos2(x + 6.0, low - 4.0),
            pos2(x, low),
            pos2(x - 6.0, low - 4.0),
        ],
        t.brass,
        Stroke::new(1.2, t.ink),
    ));
    if frame.snap.looks_back() {
        tag_now(painter, x, ruler, frame);
    }
}

/// The clock of the moment that is looked at, on the ruler.
fn tag_now(painter: &Painter, x: f32, ruler: Rect, frame: &Frame<'_>) {
    let t = &frame.theme;
    let decimals = tick_decimals(frame.time[1] - frame.time[0]).max(1);
    let words = clock(frame.snap.readings.time_s, decimals);
    let galley = painter.layout_no_wrap(words, strong(11.5), t.on_accent);
    let width = galley.size().x + 10.0;
    let left = within(x - 0.5 * width, ruler.left(), ruler.right() - width);
    let plate = Rect::from_min_size(pos2(left, ruler.top() + 5.0), vec2(width, 17.0));
    painter.rect_filled(plate, 2.0, t.brass);
    painter.galley(plate.min + vec2(5.0, 1.5), galley, t.on_accent);
}

/// Share of the time in view that an arrow key moves along the ruler.
const KEY_SHARE: f64 = 0.01;

/// The ruler below: click, drag, or use the arrow keys to look at a moment.
pub(super) fn ruler_ui(ui: &mut Ui, ruler: Rect, frame: &Frame<'_>) -> Asked {
    let id = ui.scope_id().with("time ruler");
    let response = ui.interact(ruler.expand2(vec2(0.0, 5.0)), id, Sense::click_and_drag());
    let now = frame.snap.readings.time_s;
    response.widget_info(|| {
        WidgetInfo::slider(true, now, "Time ruler: drag to look at another moment")
    });
    if response.has_focus() {
        let ring = Stroke::new(2.0, frame.theme.accent);
        ui.painter()
            .rect_stroke(ruler, 2.0, ring, egui::StrokeKind::Inside);
        ui.memory_mut(|m| {
            let filter = egui::EventFilter {
                horizontal_arrows: true,
                ..Default::default()
            };
            m.set_focus_lock_filter(id, filter);
        });
        let by = ui.input(|i| {
            let pressed = |key| i.num_presses(key) as f64;
            pressed(egui::Key::ArrowRight) - pressed(egui::Key::ArrowLeft)
        });
        if by != 0.0 {
            let step_s = KEY_SHARE * (frame.time[1] - frame.time[0]);
            return Asked::GoTo((now + by * step_s).max(0.0));
        }
    }
    let response = response.on_hover_cursor(egui::CursorIcon::ResizeHorizontal);
    let at = response.interact_pointer_pos();
    let Some(at) = at.filter(|_| response.dragged() || response.clicked()) else {
        return Asked::Nothing;
    };
    // The right edge of the run is easy to come back to.
    let t = frame.t_of(at.x).max(0.0);
    if at.x > frame.x_of(frame.snap.front_s) - 3.0 {
        Asked::GoTo(f64::INFINITY)
    } else {
        Asked::GoTo(t)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every line that has room for its words in some row has them, on the side where no other line claims them.
    #[test]
    fn a_mark_has_its_name_where_there_is_room_for_it() {
        let lanes = |rows: usize, now: f32| Lanes {
            ends: vec![f32::MIN; rows],
            room: [0.0, 300.0],
            now,
            last: (f32::MIN, None),
        };
        // The moment on show stands right behind the line, and nothing is free before it: named all the same.
        assert_eq!(lanes(2, 40.0).place(20.0, 90.0), Some((24.0, 0)));
        // Elsewhere if it can.
        assert_eq!(lanes(1, 160.0).place(140.0, 90.0), Some((46.0, 0)));
        // Before its line never over the line before.
        let mut two = lanes(2, 1e9);
        assert_eq!(two.place(230.0, 60.0), Some((234.0, 0)));
        assert_eq!(two.place(280.0, 60.0), Some((216.0, 1)));
        assert_eq!(two.place(290.0, 60.0), None);
        let mut three = lanes(3, 1e9);
        let rows: Vec<usize> = [20.0, 40.0, 60.0]
            .map(|x| three.place(x, 90.0).expect("room").1)
            .to_vec();
        assert_eq!(rows, [0, 1, 2]);
    }

    #[test]
    fn steps_of_time_are_round() {
        assert_eq!(time_step_s(60.0, 920.0), 10.0);
    }
}
