//! The strip of charts: outlet pressure with its acceptance band, then first stage, spring case
//! and seat lift, one unit a chart, all on one time axis with one cursor.
//!
//! Reads the record and draws; a drag on the ruler asks for a rewind. Pan by dragging or with the
//! arrow keys, zoom by scrolling, follow again by a double click.

use egui::{
    Align2, Color32, Mesh, Painter, Pos2, Rect, Role, Sense, Shape, Stroke, Ui, WidgetInfo, pos2,
    vec2,
};

use super::app::twin_differs;
use super::show::{Units, clock};
use super::theme::{Theme, plain, strong};
use crate::sim::{Bucket, Channel, Mark, Record, Snapshot};
use crate::units::PA_PER_INWC;

/// Acceptance band of flow pressure \[Pa\] (practice: 11.0 ± 0.5 in w.c. at about half load).
const BAND_PA: [f64; 2] = [10.5 * PA_PER_INWC, 11.5 * PA_PER_INWC];
/// Never above this \[Pa\] (code: 14 in w.c. into a vehicle's piping).
const LIMIT_PA: f64 = 14.0 * PA_PER_INWC;
/// Room for the numbers at the left \[points\].
const GUTTER: f32 = 44.0;
/// Marks closer than this share one line \[points\].
const MARKS_APART: f32 = 3.0;
/// Height of the time ruler \[points\].
const RULER: f32 = 24.0;
/// Shortest and longest stretch of time in view \[s\].
const SPANS_S: [f64; 2] = [0.005, 7.0 * 86_400.0];
/// Shortest stretch for a run that has just begun \[s\].
const YOUNG_S: f64 = 20.0;
/// Seconds of viewing that fit in the charts when the stretch is chosen by itself.
const VIEWED_S: f64 = 40.0;

/// What a chart measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Quantity {
    /// Low pressure.
    Low,
    /// High pressure.
    High,
    /// Travel.
    Travel,
}

/// One line of a chart.
struct Trace {
    channel: Channel,
    name: &'static str,
    faint: bool,
}

/// One chart.
struct Chart {
    title: &'static str,
    quantity: Quantity,
    traces: &'static [Trace],
    /// Share of the height.
    weight: f32,
    /// Smallest stretch of values in view, SI.
    least: f64,
}

const CHARTS: [Chart; 4] = [
    Chart {
        title: "Outlet",
        quantity: Quantity::Low,
        traces: &[
            Trace {
                channel: Channel::OutletTwin,
                name: "healthy",
                faint: true,
            },
            Trace {
                channel: Channel::Outlet,
                name: "",
                faint: false,
            },
        ],
        weight: 2.6,
        least: 5.5 * PA_PER_INWC,
    },
    Chart {
        title: "First stage",
        quantity: Quantity::High,
        traces: &[Trace {
            channel: Channel::FirstStage,
            name: "",
            faint: false,
        }],
        weight: 1.0,
        least: 20e3,
    },
    Chart {
        title: "Spring case, second stage",
        quantity: Quantity::Low,
        traces: &[Trace {
            channel: Channel::SecondCase,
            name: "",
            faint: false,
        }],
        weight: 1.0,
        least: 2.0 * PA_PER_INWC,
    },
    Chart {
        title: "Seat lift",
        quantity: Quantity::Travel,
        traces: &[
            Trace {
                channel: Channel::FirstLift,
                name: "first",
                faint: true,
            },
            Trace {
                channel: Channel::SecondLift,
                name: "second",
                faint: false,
            },
        ],
        weight: 1.0,
        least: 0.2e-3,
    },
];

/// What the charts keep between frames.
#[derive(Debug, Clone)]
pub struct Charts {
    /// Whether the right edge follows the present.
    pub follow: bool,
    span_s: Option<f64>,
    end_s: f64,
    ranges: [Option<[f64; 2]>; 4],
}

impl Default for Charts {
    fn default() -> Self {
        Self {
            follow: true,
            span_s: None,
            end_s: 0.0,
            ranges: [None; 4],
        }
    }
}

/// What was asked of the charts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Asked {
    /// Nothing.
    Nothing,
    /// Go to this time \[s\].
    GoTo(f64),
}

/// Everything one frame of charts needs.
struct Frame<'a> {
    snap: &'a Snapshot,
    units: Units,
    theme: Theme,
    /// Time in view \[s\].
    time: [f64; 2],
    /// Left and right edge of the plots on the screen.
    x: [f32; 2],
    /// Time under the cursor \[s\].
    cursor: Option<f64>,
}

impl Frame<'_> {
    fn x_of(&self, t: f64) -> f32 {
        let u = (t - self.time[0]) / (self.time[1] - self.time[0]);
        self.x[0] + (self.x[1] - self.x[0]) * u as f32
    }

    fn t_of(&self, x: f32) -> f64 {
        let u = f64::from((x - self.x[0]) / (self.x[1] - self.x[0]).max(1.0));
        self.time[0] + (self.time[1] - self.time[0]) * u
    }
}

impl Charts {
    /// Follows the present again with a stretch of time that suits the pace.
    pub fn follow_live(&mut self) {
        self.follow = true;
        self.span_s = None;
    }

    /// Keeps a stretch of this length in view \[s\].
    pub fn fix_span(&mut self, span_s: f64) {
        self.span_s = Some(span_s.clamp(SPANS_S[0], SPANS_S[1]));
    }

    /// Zooms by a factor about the middle.
    pub fn zoom(&mut self, factor: f64, snap: &Snapshot) {
        let [t0, t1] = self.window(snap);
        let about = if self.follow {
            snap.readings.time_s
        } else {
            0.5 * (t0 + t1)
        };
        self.zoom_about(factor, about, snap);
    }

    /// Moves the view by a share of its width.
    pub fn pan(&mut self, share: f64, snap: &Snapshot) {
        let [t0, t1] = self.window(snap);
        self.end_s = t1 + share * (t1 - t0);
        self.span_s = Some(t1 - t0);
        self.follow = false;
    }

    fn zoom_about(&mut self, factor: f64, about_s: f64, snap: &Snapshot) {
        let [t0, t1] = self.window(snap);
        let span = ((t1 - t0) * factor).clamp(SPANS_S[0], SPANS_S[1]);
        let share = (t1 - about_s) / (t1 - t0);
        self.end_s = about_s + share * span;
        self.span_s = Some(span);
    }

    /// The time in view \[s\].
    fn window(&self, snap: &Snapshot) -> [f64; 2] {
        let span = self
            .span_s
            .unwrap_or_else(|| fitting_span_s(snap.rate, snap.readings.time_s));
        let end = if self.follow {
            snap.readings.time_s + 0.04 * span
        } else {
            self.end_s
        };
        // A young run grows from the left edge instead of hanging at the right one.
        let end = if self.follow { end.max(span) } else { end };
        [end - span, end]
    }

    /// Draws the charts into all the room there is.
    pub fn show(&mut self, ui: &mut Ui, snap: &Snapshot, record: &Record, units: Units) -> Asked {
        let theme = Theme::of(ui);
        let size = ui.available_size().max(vec2(1.0, 1.0));
        let (rect, response) = ui.allocate_exact_size(size, Sense::click_and_drag());
        let now = &snap.readings;
        response.widget_info(|| {
            WidgetInfo::labeled(
                Role::Image,
                true,
                format!(
                    "Charts over time. Outlet {}, first stage {}, second spring case {}, second seat lift {}",
                    units.low(now.outlet_pa),
                    units.high(now.first.chamber_pa),
                    units.low(now.second.case_pa),
                    units.travel(now.second.lift_m)
                ),
            )
        });
        if rect.width() < 120.0 || rect.height() < 90.0 {
            return Asked::Nothing;
        }
        let plot_x = [rect.left() + GUTTER, rect.right() - 2.0];
        self.handle(ui, &response, plot_x, snap);
        let ruler = Rect::from_min_max(
            pos2(plot_x[0], rect.bottom() - RULER),
            pos2(plot_x[1], rect.bottom()),
        );
        let cursor_x = response
            .hover_pos()
            .filter(|p| p.x > plot_x[0] && p.y < ruler.top())
            .map(|p| p.x);
        let mut frame = Frame {
            snap,
            units,
            theme,
            time: self.window(snap),
            x: plot_x,
            cursor: None,
        };
        frame.cursor = cursor_x.map(|x| frame.t_of(x));
        let painter = ui.painter_at(rect);
        self.draw_all(&painter, rect, ruler, &frame, record);
        ruler_ui(ui, ruler, &frame)
    }

    fn handle(&mut self, ui: &Ui, response: &egui::Response, x: [f32; 2], snap: &Snapshot) {
        let [t0, t1] = self.window(snap);
        let per_point = (t1 - t0) / f64::from(x[1] - x[0]);
        if response.double_clicked() {
            self.follow_live();
        } else if response.dragged() && response.drag_delta().x != 0.0 {
            self.span_s = Some(t1 - t0);
            self.end_s = t1 - f64::from(response.drag_delta().x) * per_point;
            self.follow = false;
        }
        if let Some(at) = response.hover_pos() {
            let (scroll, pinch) = ui.input(|i| (i.smooth_scroll_delta(), i.zoom_delta()));
            let factor = f64::from((-scroll.y * 0.0035).exp() / pinch);
            if (factor - 1.0).abs() > 1e-6 {
                let about = if self.follow {
                    snap.readings.time_s
                } else {
                    t0 + f64::from(at.x - x[0]) * per_point
                };
                self.zoom_about(factor, about, snap);
            }
        }
    }

    fn draw_all(
        &mut self,
        painter: &Painter,
        rect: Rect,
        ruler: Rect,
        frame: &Frame<'_>,
        record: &Record,
    ) {
        let total: f32 = CHARTS.iter().map(|c| c.weight).sum();
        let room = ruler.top() - rect.top() - 2.0;
        let head = 17.0;
        let free = (room - head * CHARTS.len() as f32).max(20.0);
        let mut y = rect.top();
        draw_time_grid(painter, rect.top() + head, ruler, frame);
        draw_now(painter, rect.top() + head, ruler, frame);
        if let Some(t) = frame.cursor {
            let x = frame.x_of(t);
            painter.vline(
                x,
                rect.top() + head..=ruler.top(),
                Stroke::new(1.0, frame.theme.accent),
            );
        }
        for (i, chart) in CHARTS.iter().enumerate() {
            let height = free * chart.weight / total;
            let plot = Rect::from_min_max(
                pos2(frame.x[0], y + head),
                pos2(frame.x[1], y + head + height - 4.0),
            );
            let taken = self.draw_chart(painter, i, plot, frame, record);
            if i == 0 {
                draw_marks(painter, plot, ruler.top(), taken, frame);
            }
            y += head + height;
        }
    }

    fn draw_chart(
        &mut self,
        painter: &Painter,
        i: usize,
        plot: Rect,
        frame: &Frame<'_>,
        record: &Record,
    ) -> Rect {
        let chart = &CHARTS[i];
        let t = &frame.theme;
        let buckets = (plot.width().max(2.0) * 0.75) as usize;
        let series: Vec<(&Trace, Vec<Bucket>)> = chart
            .traces
            .iter()
            .map(|trace| {
                let [t0, t1] = frame.time;
                let mut values = record.series(trace.channel, t0, t1, buckets);
                values.retain(|b| b.min.is_finite() && b.max.is_finite());
                (trace, values)
            })
            .collect();
        let range = settled_range(self.ranges[i], chart, &series);
        self.ranges[i] = Some(range);
        let y_of = |v: f64| {
            let u = ((v - range[0]) / (range[1] - range[0])) as f32;
            plot.bottom() - plot.height() * u
        };
        let clip = painter.with_clip_rect(plot.expand(1.0).intersect(painter.clip_rect()));
        if i == 0 {
            draw_band(&clip, plot, &y_of, frame);
        }
        draw_value_grid(painter, plot, chart.quantity, range, frame);
        let taken = if i == 0 {
            draw_limit(&clip, plot, &y_of, frame)
        } else {
            Rect::NOTHING
        };
        for (trace, buckets) in &series {
            let color = if trace.faint {
                t.faint
            } else {
                line_color(t, chart.quantity)
            };
            let width = if trace.faint { 1.2 } else { 1.7 };
            draw_trace(&clip, frame, buckets, &y_of, Stroke::new(width, color));
        }
        self.draw_head(painter, i, plot, frame, &series);
        taken
    }

    /// Title at the left, value at the right: now, or under the cursor.
    #[allow(clippy::unused_self)]
    fn draw_head(
        &self,
        painter: &Painter,
        i: usize,
        plot: Rect,
        frame: &Frame<'_>,
        series: &[(&Trace, Vec<Bucket>)],
    ) {
        let chart = &CHARTS[i];
        let t = &frame.theme;
        let unit = shown(chart.quantity, frame.units, 0.0).1;
        let at = pos2(plot.left(), plot.top() - 16.0);
        let title = painter.layout_no_wrap(chart.title.to_owned(), strong(12.0), t.ink);
        let unit = painter.layout_no_wrap(unit.to_owned(), plain(12.0), t.soft);
        let unit_at = at + vec2(title.size().x + 6.0, 0.0);
        let ground = Rect::from_min_max(at, unit_at + unit.size());
        painter.rect_filled(ground.expand2(vec2(3.0, -1.0)), 0.0, t.card);
        painter.galley(at, title, t.ink);
        painter.galley(unit_at, unit, t.soft);
        let mut x = plot.right();
        for (trace, buckets) in series.iter().rev() {
            if trace.channel == Channel::OutletTwin && !twin_differs(frame.snap) {
                continue;
            }
            let value = match frame.cursor {
                Some(time) => {
                    bucket_at(buckets, time).map(|b| words_of(chart.quantity, frame.units, b))
                }
                None => Some(
                    shown(
                        chart.quantity,
                        frame.units,
                        trace.channel.value(&frame.snap.readings, &frame.snap.twin),
                    )
                    .0,
                ),
            };
            let Some(text) = value else { continue };
            let font = if trace.faint {
                plain(12.0)
            } else {
                strong(12.5)
            };
            let color = if trace.faint { t.soft } else { t.ink };
            x = head_text(painter, pos2(x, at.y), text, font, color, t) - 5.0;
            if trace.name.is_empty() {
                x -= 8.0;
            } else {
                let name = trace.name.to_owned();
                x = head_text(painter, pos2(x, at.y), name, plain(12.0), t.soft, t) - 12.0;
            }
        }
        if let (0, Some(time)) = (i, frame.cursor) {
            let text = format!(
                "at {}",
                clock(time, tick_decimals(frame.time[1] - frame.time[0]))
            );
            painter.text(
                pos2(x - 6.0, at.y),
                Align2::RIGHT_TOP,
                text,
                plain(12.0),
                t.accent,
            );
        }
    }
}

/// Text of a chart's head on a ground of its own, right-aligned; where it begins.
fn head_text(
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

fn line_color(theme: &Theme, quantity: Quantity) -> Color32 {
    match quantity {
        Quantity::Travel => theme.rubber,
        Quantity::Low | Quantity::High => {
            if theme.dark {
                theme.gas(400_000.0)
            } else {
                theme.gas(600_000.0)
            }
        }
    }
}

/// Number and unit of a value, SI.
fn shown(quantity: Quantity, units: Units, value: f64) -> (String, &'static str) {
    let s = match quantity {
        Quantity::Low => units.low(value),
        Quantity::High => units.high(value),
        Quantity::Travel => units.travel(value),
    };
    (s.number(), s.unit)
}

/// A bucket's value, or its two ends when they read differently.
fn words_of(quantity: Quantity, units: Units, bucket: Bucket) -> String {
    let low = shown(quantity, units, bucket.min).0;
    let high = shown(quantity, units, bucket.max).0;
    if low == high {
        low
    } else {
        format!("{low} to {high}")
    }
}

/// A stretch of time that suits the pace, and no longer than a young run can fill \[s\].
fn fitting_span_s(rate: f64, time_s: f64) -> f64 {
    let by_pace = (VIEWED_S * rate).clamp(SPANS_S[0], 86_400.0);
    by_pace.min((1.08 * time_s).max(YOUNG_S))
}

/// The values at a time; none before the first and after the last.
fn bucket_at(buckets: &[Bucket], time: f64) -> Option<Bucket> {
    let i = buckets.partition_point(|b| b.from_s <= time);
    let found = buckets.get(i.checked_sub(1)?).copied()?;
    let is_last = i == buckets.len();
    (!is_last || time <= found.to_s).then_some(found)
}

/// The values in view, held still while the data stay inside and not too small.
fn settled_range(
    old: Option<[f64; 2]>,
    chart: &Chart,
    series: &[(&Trace, Vec<Bucket>)],
) -> [f64; 2] {
    let mut low = f64::MAX;
    let mut high = f64::MIN;
    for b in series.iter().flat_map(|(_, s)| s) {
        low = low.min(b.min);
        high = high.max(b.max);
    }
    if chart.title == "Outlet" {
        low = low.min(9.0 * PA_PER_INWC);
        high = high.max(14.4 * PA_PER_INWC);
    }
    if chart.quantity == Quantity::Travel {
        low = low.min(0.0);
    }
    if low > high {
        return old.unwrap_or([0.0, chart.least]);
    }
    let middle = 0.5 * (low + high);
    let mut half = 0.5 * (high - low).max(chart.least);
    if chart.quantity == Quantity::Travel {
        half *= 1.08;
        return keep(old, [0.0 - 0.06 * half, 2.0 * half], low, high);
    }
    half *= 1.06;
    keep(old, [middle - half, middle + half], low, high)
}

/// Keeps the old range unless data leave it or fill less than a third of it.
fn keep(old: Option<[f64; 2]>, new: [f64; 2], low: f64, high: f64) -> [f64; 2] {
    match old {
        Some([a, b])
            if low >= a - 1e-12 && high <= b + 1e-12 && (new[1] - new[0]) > 0.55 * (b - a) =>
        {
            [a, b]
        }
        _ => new,
    }
}

fn draw_band(painter: &Painter, plot: Rect, y_of: &impl Fn(f64) -> f32, frame: &Frame<'_>) {
    let t = &frame.theme;
    let band = Rect::from_x_y_ranges(plot.x_range(), y_of(BAND_PA[1])..=y_of(BAND_PA[0]));
    painter.rect_filled(band, 0.0, t.band);
}

/// The words of the band and the pressure nothing in a vehicle may see; the room the words take.
fn draw_limit(
    painter: &Painter,
    plot: Rect,
    y_of: &impl Fn(f64) -> f32,
    frame: &Frame<'_>,
) -> Rect {
    let t = &frame.theme;
    let low = |pa: f64| frame.units.low(pa).number();
    let label = |words: String, y: f32, ink: Color32| {
        let galley = painter.layout_no_wrap(words, plain(11.0), ink);
        let rect = Rect::from_min_size(pos2(plot.left() + 6.0, y), galley.size());
        painter.rect_filled(rect, 0.0, t.card);
        painter.galley(rect.min, galley, ink);
        rect
    };
    let (band_y, limit_y) = (y_of(BAND_PA[0]), y_of(LIMIT_PA));
    let words = format!("flow {} to {}", low(BAND_PA[0]), low(BAND_PA[1]));
    let band = label(words, band_y + 1.0, t.good);
    painter.extend(Shape::dashed_line(
        &[pos2(plot.left(), limit_y), pos2(plot.right(), limit_y)],
        Stroke::new(1.2, t.danger),
        6.0,
        4.0,
    ));
    // Where the scale is tight the two labels stand on either side.
    let under = band_y - limit_y > 30.0;
    let limit_label_y = limit_y + if under { 2.0 } else { -15.0 };
    let words = format!("never above {}", low(LIMIT_PA));
    band.union(label(words, limit_label_y, t.danger))
}

/// Steps of 1, 2 or 5 that cut a range into about `wanted` parts.
fn nice_step(range: f64, wanted: f64) -> f64 {
    let raw = (range / wanted.max(1.0)).max(1e-12);
    let power = 10f64.powf(raw.log10().floor());
    let lead = raw / power;
    power
        * if lead <= 1.0 {
            1.0
        } else if lead <= 2.0 {
            2.0
        } else if lead <= 5.0 {
            5.0
        } else {
            10.0
        }
}

fn draw_value_grid(
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
    };
    let (a, b) = (convert(range[0]), convert(range[1]));
    let step = nice_step(b - a, (f64::from(plot.height()) / 28.0).max(2.0));
    let decimals = (-step.log10().floor()).max(0.0) as usize;
    let mut k = (a / step).ceil();
    while k * step <= b {
        let u = ((k * step - a) / (b - a)) as f32;
        let y = plot.bottom() - plot.height() * u;
        painter.hline(plot.x_range(), y, Stroke::new(1.0, t.grid));
        painter.text(
            pos2(plot.left() - 7.0, y),
            Align2::RIGHT_CENTER,
            super::show::grouped(k * step, decimals),
            plain(11.0),
            t.soft,
        );
        k += 1.0;
    }
}

fn draw_trace(
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

fn time_step_s(span_s: f64, width: f32) -> f64 {
    let wanted = span_s / f64::from((width / 92.0).max(1.0));
    TIME_STEPS_S
        .into_iter()
        .find(|s| *s >= wanted)
        .unwrap_or(86_400.0)
}

/// Decimals of a clock that tells such a stretch apart.
fn tick_decimals(span_s: f64) -> usize {
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

fn draw_time_grid(painter: &Painter, top: f32, ruler: Rect, frame: &Frame<'_>) {
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

/// Lines for what happened, with labels that make room for each other.
fn draw_marks(painter: &Painter, plot: Rect, bottom: f32, taken: Rect, frame: &Frame<'_>) {
    const ROWS: usize = 2;
    let t = &frame.theme;
    let mut rows_end = [f32::MIN; ROWS];
    let mut last_x = f32::MIN;
    let marks = &frame.snap.marks;
    let from = marks.partition_point(|m: &Mark| m.time_s < frame.time[0]);
    for mark in marks[from..]
        .iter()
        .take_while(|m| m.time_s <= frame.time[1])
    {
        let x = frame.x_of(mark.time_s);
        if x - last_x < MARKS_APART {
            continue;
        }
        last_x = x;
        painter.extend(Shape::dashed_line(
            &[pos2(x, plot.top()), pos2(x, bottom)],
            Stroke::new(1.0, t.faint),
            2.5,
            3.5,
        ));
        if rows_end.iter().all(|end| x + 3.0 <= *end) {
            continue;
        }
        let galley = painter.layout_no_wrap(mark.text.clone(), plain(11.0), t.soft);
        let place = |row: usize| {
            let y = plot.bottom() - galley.size().y - 2.0 - 14.0 * row as f32;
            Rect::from_min_size(pos2(x + 4.0, y), galley.size())
        };
        let free = (0..ROWS).find(|&row| {
            let rect = place(row);
            x + 3.0 > rows_end[row] && rect.right() <= plot.right() && !rect.intersects(taken)
        });
        let Some(row) = free else { continue };
        let rect = place(row);
        painter.rect_filled(
            rect.expand2(vec2(2.0, 0.0)),
            2.0,
            t.card.gamma_multiply(0.85),
        );
        rows_end[row] = rect.right() + 8.0;
        painter.galley(rect.min, galley, t.soft);
    }
}

/// The present as a line with a handle.
fn draw_now(painter: &Painter, top: f32, ruler: Rect, frame: &Frame<'_>) {
    let t = &frame.theme;
    let now = frame.snap.readings.time_s;
    if now < frame.time[0] || now > frame.time[1] {
        return;
    }
    let x = frame.x_of(now);
    painter.vline(x, top..=ruler.top(), Stroke::new(1.4, t.ink));
    painter.add(Shape::convex_polygon(
        vec![
            pos2(x - 5.5, ruler.top() - 4.0),
            pos2(x + 5.5, ruler.top() - 4.0),
            pos2(x, ruler.top() + 4.5),
        ],
        t.ink,
        Stroke::NONE,
    ));
}

/// The ruler below: click or drag to go to a moment.
fn ruler_ui(ui: &mut Ui, ruler: Rect, frame: &Frame<'_>) -> Asked {
    let id = ui.scope_id().with("time ruler");
    let response = ui.interact(ruler.expand2(vec2(0.0, 3.0)), id, Sense::click_and_drag());
    response.widget_info(|| {
        WidgetInfo::slider(
            true,
            frame.snap.readings.time_s,
            "Time ruler: drag to go to another moment",
        )
    });
    let response = response
        .on_hover_cursor(egui::CursorIcon::ResizeHorizontal)
        .on_hover_text("Drag to go back to another moment");
    let at = response.interact_pointer_pos().or(response.hover_pos());
    let Some(at) = at else { return Asked::Nothing };
    let t = frame.t_of(at.x).min(frame.snap.readings.time_s).max(0.0);
    if response.drag_stopped() || response.clicked() {
        return Asked::GoTo(t);
    }
    if response.dragged() {
        draw_ghost(ui, ruler, frame, t);
    }
    Asked::Nothing
}

/// Where a drag on the ruler would go back to.
fn draw_ghost(ui: &Ui, ruler: Rect, frame: &Frame<'_>, time_s: f64) {
    let t = &frame.theme;
    let x = frame.x_of(time_s);
    let words = format!(
        "go back to {}",
        clock(time_s, tick_decimals(frame.time[1] - frame.time[0]))
    );
    let painter = ui.painter();
    painter.vline(
        x,
        ruler.top() - 80.0..=ruler.top() + 4.0,
        Stroke::new(2.0, t.accent),
    );
    let galley = painter.layout_no_wrap(words, plain(12.0), t.accent);
    let at = pos2(
        (x - 0.5 * galley.size().x)
            .min(ruler.right() - galley.size().x)
            .max(ruler.left()),
        ruler.top() - 100.0,
    );
    painter.rect_filled(
        Rect::from_min_size(at, galley.size()).expand(4.0),
        4.0,
        t.card,
    );
    painter.galley(at, galley, t.accent);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_are_round() {
        assert!((nice_step(6.0, 4.0) - 2.0).abs() < 1e-12);
        assert!((nice_step(0.9, 3.0) - 0.5).abs() < 1e-12);
        assert_eq!(time_step_s(60.0, 920.0), 10.0);
    }

    #[test]
    fn a_range_holds_still_while_data_stay_inside() {
        let old = Some([0.0, 10.0]);
        assert_eq!(keep(old, [1.0, 9.0], 1.5, 8.5), [0.0, 10.0]);
        assert_eq!(keep(old, [1.0, 12.0], 1.5, 11.5), [1.0, 12.0]);
        assert_eq!(keep(old, [4.0, 6.0], 4.5, 5.5), [4.0, 6.0]);
    }

    #[test]
    fn the_bucket_under_the_cursor_is_the_one_before_it() {
        let b = |t| Bucket {
            from_s: t,
            to_s: t,
            min: t,
            max: t,
        };
        let s = [b(0.0), b(1.0), b(2.0)];
        assert_eq!(bucket_at(&s, 1.5).map(|x| x.from_s), Some(1.0));
        assert!(bucket_at(&s, -1.0).is_none());
        assert!(bucket_at(&s, 2.5).is_none());
    }
}
