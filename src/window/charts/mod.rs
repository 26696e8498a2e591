//! The strip of charts: outlet pressure with its acceptance band, then first stage, spring case
//! and seat lift, one unit a chart, all on one time axis with one cursor.
//!
//! Reads the records and draws; a drag on the ruler or a click on a chart asks for that moment, and the whole picture
//! follows. Pan by dragging or with the arrow keys, zoom by scrolling, follow again by a double click.

mod frame;
mod ghosts;
mod paint;
mod told;
mod values;

use egui::{Align2, Painter, Rect, Role, Sense, Stroke, Ui, WidgetInfo, pos2, vec2};

pub use self::frame::Asked;
use self::frame::{BUCKET_POINTS, Chart, Frame, GUTTER, Quantity, SPANS_S, Trace};
use self::ghosts::{Ghost, ghosts};
use self::paint::{
    draw_band, draw_limit, draw_marks, draw_now, draw_time_grid, draw_trace, draw_value_grid,
    head_text, limit_words, line_color, mark_lane, ruler_ui, tick_decimals,
};
pub use self::told::{Told, has_a_chart};
use self::values::{
    bucket_at, fitting_span_s, folded, history_words, quantity_of, settled_range, shown, words_of,
};
use super::desk::twin_differs;
use crate::sim::{Bucket, Channel, Records, Snapshot};
use crate::units::PA_PER_INWC;
use crate::window::look::rules::ring;
use crate::window::look::show::{Units, clock};
use crate::window::look::spots::{self, Spot};
use crate::window::look::theme::{Theme, plain, strong};
use crate::window::look::within::within;
use crate::window::told::part::Part;

/// Least height of a chart with its head, so that two numbers stand apart on its scale \[points\].
const LEAST_CHART: f32 = 50.0;
/// So much of the view at most is given to what a branch beside the run came to later.
const AHEAD: f64 = 0.6;
/// Shortest view of two branches \[s\].
const LEAST_BESIDE_S: f64 = 20.0;
/// Height of the time ruler \[points\].
const RULER: f32 = 24.0;
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
    kept: Option<Part>,
    /// Whether the scales close in on what swings, without band and limit.
    pub close: bool,
    /// The charts that are wanted, where not as many as fit.
    pub chosen: Option<&'static [usize]>,
    /// A prediction beside what was measured.
    pub told: Option<Told>,
}

/// The outlet's chart alone, and with that of the first stage.
pub const OUTLET: &[usize] = &[0];
/// See [`OUTLET`].
pub const OUTLET_AND_FIRST: &[usize] = &[0, 1];

/// The chart that gives way to the history of a part in hand.
const OF_PART: usize = 2;

impl Default for Charts {
    fn default() -> Self {
        Self {
            follow: true,
            span_s: None,
            end_s: 0.0,
            ranges: [None; 4],
            kept: None,
            close: false,
            chosen: None,
            told: None,
        }
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
            snap.front_s
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

    /// Lets the scales close in on what swings, or go back to the usual ones.
    pub fn close_in(&mut self, close: bool) {
        self.close = close;
        self.ranges = [None; 4];
    }

    /// The stretch of time in which a kept branch is in view from where it parted to where it came to, if there is one \[s\].
    pub fn beside_s(snap: &Snapshot) -> Option<f64> {
        let kept = snap.kept.last()?;
        let whole = 1.15 * (kept.until_s.max(snap.front_s) - kept.parted_s);
        let ahead = (kept.until_s - snap.front_s) / (AHEAD - 0.05);
        Some(whole.max(ahead).max(LEAST_BESIDE_S))
    }

    /// The time in view \[s\].
    pub fn window(&self, snap: &Snapshot) -> [f64; 2] {
        let span = self
            .span_s
            .unwrap_or_else(|| fitting_span_s(snap.rate, snap.front_s));
        if !self.follow {
            return [self.end_s - span, self.end_s];
        }
        // A young run grows from the left edge instead of hanging at the right one.
        let end = (snap.front_s + 0.04 * span).max(span);
        // What a branch beside it came to later is in view as well, as far as the present leaves room: what is compared may have
        // come to it at another time.
        let ahead_s = snap.kept.iter().filter(|k| k.parted_s > end - span);
        let ahead_s = ahead_s.map(|k| k.until_s).fold(snap.front_s, f64::max);
        let end = (ahead_s + 0.04 * span)
            .min(snap.front_s + AHEAD * span)
            .max(end);
        // A moment that is looked at stays in view.
        let end = if snap.readings.time_s < end - span {
            (snap.readings.time_s + 0.5 * span).max(span)
        } else {
            end
        };
        [end - span, end]
    }

    /// Draws the charts into all the room there is.
    pub fn show(
        &mut self,
        ui: &mut Ui,
        snap: &Snapshot,
        records: &Records,
        units: Units,
        kept: Option<Part>,
    ) -> Asked {
        if self.kept != kept {
            self.kept = kept;
            self.ranges[OF_PART] = None;
        }
        let theme = Theme::of(ui);
        let size = ui.available_size().max(vec2(1.0, 1.0));
        let (rect, response) = ui.allocate_exact_size(size, Sense::click_and_drag());
        let now = &snap.readings;
        let told = self.told.as_ref();
        let told = told.map_or_else(String::new, |told| format!(". {}", told.spoken(units)));
        response.widget_info(|| {
            WidgetInfo::labeled(
                Role::Image,
                true,
                format!(
                    "Charts over time. Outlet {}, first stage {}, second spring case {}, second seat lift {}{told}",
                    units.low(now.outlet_pa),
                    units.high(now.first.chamber_pa),
                    units.low(now.second.case_pa),
                    units.travel(now.second.lift_m)
                ),
            )
        });
        if rect.width() < 120.0 || rect.height() < 70.0 {
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
        self.draw_all(&painter, rect, ruler, &frame, records);
        // Its ring is drawn outside it: names of what happened stand just above.
        spots::mark(ui, Spot::Ruler, ruler.with_min_y(ruler.top() + 8.0));
        let bottom = if self.chosen.is_some_and(|c| c.len() == 1) {
            ruler.top()
        } else {
            rect.top() + 0.5 * (ruler.top() - mark_lane(rect.height()) - rect.top()) - 7.0
        };
        let outlet = Rect::from_min_max(rect.min, pos2(rect.right(), bottom));
        spots::mark(ui, Spot::OutletChart, outlet);
        let asked = ruler_ui(ui, ruler, &frame);
        match frame.cursor.filter(|_| response.clicked()) {
            Some(time_s) => Asked::GoTo(within(time_s, 0.0, snap.front_s)),
            None => asked,
        }
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
                    snap.front_s
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
        records: &Records,
    ) {
        let lane = mark_lane(rect.height());
        let room = ruler.top() - lane - rect.top() - 2.0;
        let head = 17.0;
        // The outlet has half of the height, head included.
        let on_show = self.on_show(0.5 * room);
        let others = on_show.len() as f32 - 1.0;
        let heights = if others > 0.0 {
            [0.5 * room - head, 0.5 * room / others - head]
        } else {
            [room - head; 2]
        };
        let mut y = rect.top();
        draw_time_grid(painter, rect.top() + head, ruler, frame);
        draw_now(painter, rect.top() + head, ruler, frame);
        let marks = Rect::from_min_max(pos2(frame.x[0], ruler.top() - lane), ruler.right_top());
        draw_marks(painter, rect.top() + head, marks, frame);
        for &i in on_show {
            let height = heights[usize::from(i > 0)].max(5.0);
            let plot = Rect::from_min_max(
                pos2(frame.x[0], y + head),
                pos2(frame.x[1], y + head + height - 4.0),
            );
            self.draw_chart(painter, i, plot, frame, records);
            y += head + height;
        }
    }

    /// The charts that can be read where those under the outlet have this height together; a part in hand keeps its own.
    fn on_show(&self, height: f32) -> &'static [usize] {
        if let Some(chosen) = self.chosen {
            return chosen;
        }
        match (height / LEAST_CHART) as usize {
            0 => &[0],
            1 if self.kept.is_none() => OUTLET_AND_FIRST,
            1 => &[0, OF_PART],
            2 => &[0, 1, OF_PART],
            _ => &[0, 1, OF_PART, 3],
        }
    }

    fn draw_chart(
        &mut self,
        painter: &Painter,
        i: usize,
        plot: Rect,
        frame: &Frame<'_>,
        records: &Records,
    ) {
        let own = self.own_trace(i);
        let chart = &self.chart(i);
        let traces = own.as_ref().map_or(chart.traces, std::slice::from_ref);
        let t = &frame.theme;
        let buckets = (plot.width().max(2.0) * 0.75) as usize;
        let series: Vec<(&Trace, Vec<Bucket>)> = traces
            .iter()
            .map(|trace| {
                let [t0, t1] = frame.time;
                let mut values = records.now.series(trace.channel, t0, t1, buckets);
                values.retain(|b| b.min.is_finite() && b.max.is_finite());
                let apart_s = BUCKET_POINTS * (t1 - t0) / f64::from(plot.width().max(1.0));
                (trace, folded(&values, apart_s))
            })
            .collect();
        let ghosts = traces.last().map_or_else(Vec::new, |main| {
            ghosts(records, main.channel, frame, plot.width())
        });
        let branches: Vec<&[Bucket]> = ghosts.iter().map(|g| &g.buckets[..]).collect();
        let range = settled_range(self.ranges[i], chart, &series, &branches, self.close);
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
        if i == 0 {
            draw_limit(&clip, plot, &y_of, frame);
        }
        for ghost in &ghosts {
            ghost.draw(&clip, frame, chart.quantity, &y_of);
        }
        for (trace, buckets) in &series {
            let color = if trace.faint {
                t.faint
            } else {
                line_color(t, chart.quantity)
            };
            let width = if trace.faint { 1.2 } else { 1.7 };
            draw_trace(&clip, frame, buckets, &y_of, Stroke::new(width, color));
            // Where the line stands now, or under the pointer: a ring, and no hair across the sheet.
            let at_s = frame.cursor.unwrap_or(frame.snap.readings.time_s);
            let under = bucket_at(buckets, at_s).or_else(|| {
                let last = buckets.last().copied();
                last.filter(|_| frame.cursor.is_none() && !frame.snap.looks_back())
            });
            if let Some(b) = under.filter(|_| (frame.time[0]..=frame.time[1]).contains(&at_s)) {
                let at = pos2(frame.x_of(at_s), y_of(0.5 * (b.min + b.max)));
                // Whole, at the edge of the plot too.
                let whole = plot.expand(5.0).intersect(painter.clip_rect());
                ring(&painter.with_clip_rect(whole), at, trace.faint, t);
            }
        }
        let told = self.told.as_ref();
        let here = |told: &&Told| traces.iter().any(|trace| trace.channel == told.channel);
        if let Some(told) = told.filter(here) {
            let whole = plot.expand(5.0).intersect(painter.clip_rect());
            told.draw(&painter.with_clip_rect(whole), plot, chart, frame, &y_of);
        }
        self.draw_head(painter, i, plot, frame, &series, &ghosts);
    }

    /// A chart as it stands: the one that gives way shows the part in hand.
    fn chart(&self, i: usize) -> Chart {
        let mut chart = CHARTS[i];
        if let Some(trace) = self.own_trace(i) {
            let (quantity, least) = quantity_of(trace.channel);
            chart = Chart {
                quantity,
                least,
                ..chart
            };
        }
        chart
    }

    /// The line of the part in hand, where this chart gives way to it.
    fn own_trace(&self, i: usize) -> Option<Trace> {
        let part = self.kept.filter(|_| i == OF_PART)?;
        Some(Trace {
            channel: part.history(),
            name: "",
            faint: false,
        })
    }

    /// Title at the left, value at the right: now, or under the cursor.
    fn draw_head(
        &self,
        painter: &Painter,
        i: usize,
        plot: Rect,
        frame: &Frame<'_>,
        series: &[(&Trace, Vec<Bucket>)],
        ghosts: &[Ghost],
    ) {
        let chart = &self.chart(i);
        let t = &frame.theme;
        let unit = shown(chart.quantity, frame.units, 0.0).1;
        let at = pos2(plot.left(), plot.top() - 16.0);
        let name = match self.kept.filter(|_| i == OF_PART) {
            Some(part) => format!("{}: {}", part.name(), history_words(part.history())),
            None => chart.title.to_owned(),
        };
        let title = painter.layout_no_wrap(name, strong(12.0), t.ink);
        let unit = painter.layout_no_wrap(unit.to_owned(), plain(12.0), t.soft);
        let unit_at = at + vec2(title.size().x + 6.0, 0.0);
        let ground = Rect::from_min_max(at, unit_at + unit.size());
        painter.rect_filled(ground.expand2(vec2(3.0, -1.0)), 0.0, t.card);
        painter.galley(at, title, t.ink);
        let after = unit_at.x + unit.size().x;
        painter.galley(unit_at, unit, t.soft);
        // A pointer that rests where nothing is drawn yet reads nothing.
        let cursor = frame.cursor.filter(|time| {
            let mut drawn = series.iter();
            drawn.any(|(_, buckets)| bucket_at(buckets, *time).is_some())
        });
        let mut x = plot.right();
        for (trace, buckets) in series.iter().rev() {
            if trace.channel == Channel::OutletTwin && !twin_differs(frame.snap) {
                continue;
            }
            let value = match cursor {
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
        let at_s = cursor.unwrap_or(frame.snap.readings.time_s);
        for ghost in ghosts {
            let Some(bucket) = ghost.at(at_s) else {
                continue;
            };
            let text = words_of(chart.quantity, frame.units, bucket);
            x = head_text(painter, pos2(x, at.y), text, plain(12.0), t.soft, t) - 4.0;
            let name = ghost.name.to_string();
            x = head_text(painter, pos2(x, at.y), name, strong(12.0), ghost.ink(t), t) - 10.0;
        }
        if i > 0 {
            return;
        }
        if let Some(time) = cursor {
            let text = format!(
                "at {}",
                clock(time, tick_decimals(frame.time[1] - frame.time[0]))
            );
            let at = pos2(x - 6.0, at.y);
            let told = painter.text(at, Align2::RIGHT_TOP, text, plain(12.0), t.accent);
            x = told.left() - 6.0;
        }
        // What the values have left is for the words of band and limits.
        let from = after + 16.0;
        limit_words(painter, pos2(from, at.y), x - 10.0 - from, frame);
    }
}
