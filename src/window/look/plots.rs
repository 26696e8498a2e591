//! Plots of one quantity against another, with the same rules, rings and inks as the charts over time: `egui_plot` tells
//! where a value lies, what is drawn there is our own. What they show was worked out elsewhere.

use egui::{
    Align2, Color32, Painter, Pos2, Rect, Role, Sense, Shape, Stroke, Ui, WidgetInfo, pos2, vec2,
};
use egui_plot::{PlotBounds, PlotPoint, PlotTransform};

use crate::window::look::rules::{ring, rule_across, rule_up};
use crate::window::look::theme::{NOTE, Theme, plain, strong};

/// Room for the name over a plot, for the rule at its left and the one below with its name \[points\].
const HEAD: f32 = 18.0;
const GUTTER: f32 = 46.0;
const FOOT: f32 = 40.0;
/// A word on a row of the rule at the left needs more.
const NAMES: f32 = 64.0;
/// Length of a dash and of the gap after it \[points\].
const DASH: (f32, f32) = (5.0, 3.0);
/// A range of less than this share of its middle is opened so far, or a flat line would fill its sheet with noise.
const LEAST_SHARE: f64 = 1e-3;

/// Ink of pressure lines.
pub fn pressure_ink(t: &Theme) -> Color32 {
    t.gas(if t.dark { 400_000.0 } else { 600_000.0 })
}

/// The range of some values with a margin at both ends, as a share of it.
pub fn range(values: impl IntoIterator<Item = f64>, margin: f64) -> [f64; 2] {
    let (low, high) = values
        .into_iter()
        .filter(|v| v.is_finite())
        .fold((f64::MAX, f64::MIN), |(a, b), v| (a.min(v), b.max(v)));
    if low > high {
        return [0.0, 1.0];
    }
    let least = LEAST_SHARE * (0.5 * (low + high).abs()).max(1.0);
    let more = (margin * (high - low)).max(0.5 * least);
    [low - more, high + more]
}

/// What a plot is of.
pub struct Axes<'a> {
    /// Height of all of it \[points\].
    pub high: f32,
    /// From where to where, across and up.
    pub x: [f64; 2],
    /// ... and up.
    pub y: [f64; 2],
    /// Name of the axis across, with its unit.
    pub across: &'a str,
    /// Name of the axis up, and its unit.
    pub up: [&'a str; 2],
    /// Names of whole numbers of the axis up, where it has rows instead of a rule.
    pub rows: &'a [String],
}

/// A plot that is being drawn.
pub struct Sheet<'a> {
    /// All of its box.
    whole: Painter,
    /// Only its plot.
    inner: Painter,
    /// From values to places and back.
    way: PlotTransform,
    pointer: Option<Pos2>,
    theme: &'a Theme,
}

impl<'a> Sheet<'a> {
    /// Takes its room and draws its rules and names.
    pub fn begin(ui: &mut Ui, axes: &Axes<'_>, theme: &'a Theme) -> Self {
        let size = vec2(ui.available_width(), axes.high);
        let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
        let told = format!("{}, {}, over {}", axes.up[0], axes.up[1], axes.across);
        response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &told));
        let gutter = if axes.rows.is_empty() { GUTTER } else { NAMES };
        let plot = Rect::from_min_max(
            rect.min + vec2(gutter, HEAD),
            (rect.max - vec2(12.0, FOOT)).max(rect.min + vec2(gutter + 20.0, HEAD + 20.0)),
        );
        let whole = ui.painter_at(rect);
        let sheet = Self {
            inner: whole.with_clip_rect(plot.expand(1.0).intersect(rect)),
            way: PlotTransform::new(
                plot,
                PlotBounds::from_min_max([axes.x[0], axes.y[0]], [axes.x[1], axes.y[1]]),
                false,
            ),
            pointer: response.hover_pos().filter(|at| plot.contains(*at)),
            theme,
            whole,
        };
        sheet.edges(axes);
        sheet
    }

    fn edges(&self, axes: &Axes<'_>) {
        let (t, p, plot) = (self.theme, &self.whole, self.plot());
        let at = pos2(plot.left(), plot.top() - HEAD);
        let name = p.text(at, Align2::LEFT_TOP, axes.up[0], strong(12.0), t.ink);
        let unit = pos2(name.right() + 6.0, at.y);
        p.text(unit, Align2::LEFT_TOP, axes.up[1], plain(12.0), t.soft);
        rule_across(p, plot, axes.x, t);
        if axes.rows.is_empty() {
            rule_up(p, plot, axes.y, t);
        }
        for (k, row) in axes.rows.iter().enumerate() {
            let at = pos2(plot.left() - 8.0, self.at([axes.x[0], k as f64]).y);
            p.text(at, Align2::RIGHT_CENTER, row, plain(11.0), t.soft);
        }
        let below = pos2(plot.center().x, plot.bottom() + FOOT);
        let align = Align2::CENTER_BOTTOM;
        p.text(below, align, axes.across, plain(12.0), t.soft);
    }

    /// Where a point lies on the screen.
    pub fn at(&self, [x, y]: [f64; 2]) -> Pos2 {
        self.way.position_from_point(&PlotPoint::new(x, y))
    }

    /// The box of its plot.
    pub fn plot(&self) -> Rect {
        *self.way.frame()
    }

    /// What draws in all of its box.
    pub fn painter(&self) -> &Painter {
        &self.whole
    }

    /// The value across under the pointer.
    pub fn pointed(&self) -> Option<f64> {
        Some(self.way.value_from_position(self.pointer?).x)
    }

    /// A line through points; dashed, it stands back.
    pub fn line(&self, points: &[[f64; 2]], stroke: Stroke, dashed: bool) {
        let way: Vec<Pos2> = points.iter().map(|p| self.at(*p)).collect();
        if dashed {
            let dashes = Shape::dashed_line(&way, stroke, DASH.0, DASH.1);
            self.inner.extend(dashes);
        } else {
            self.inner.add(Shape::line(way, stroke));
        }
    }

    /// A box of values filled with a colour, with an edge or without.
    pub fn patch(&self, x: [f64; 2], y: [f64; 2], fill: Color32, edge: Stroke) -> Rect {
        let rect = Rect::from_two_pos(self.at([x[0], y[0]]), self.at([x[1], y[1]]));
        let rect = rect.intersect(self.plot());
        let kind = egui::StrokeKind::Middle;
        self.inner.rect(rect, 0.0, fill, edge, kind);
        rect
    }

    /// Where a line is read.
    pub fn ring(&self, at: [f64; 2], faint: bool) {
        ring(&self.whole, self.at(at), faint, self.theme);
    }

    /// The value across that is read, as an index on the rule.
    pub fn index(&self, x: f64) {
        let at = pos2(
            self.way.position_from_point_x(x),
            self.plot().bottom() + 3.0,
        );
        let corners = [vec2(0.0, -7.0), vec2(5.0, 1.0), vec2(-5.0, 1.0)];
        let points = corners.map(|c| at + c).to_vec();
        let edge = Stroke::new(1.2, self.theme.ink);
        let index = Shape::convex_polygon(points, self.theme.brass, edge);
        self.whole.add(index);
    }

    /// The present point of the rig among curves: a large ring with its word.
    pub fn now(&self, at: [f64; 2]) {
        let (t, at) = (self.theme, self.at(at));
        if !self.plot().expand(1.0).contains(at) {
            return;
        }
        let edge = Stroke::new(2.0, t.ink);
        self.whole.circle(at, 6.0, t.brass, edge);
        let words = self
            .whole
            .layout_no_wrap("now".to_owned(), strong(13.0), t.ink);
        let beside = |left: bool, below: bool| {
            let (x, aside) = if left {
                (egui::Align::Max, -7.0)
            } else {
                (egui::Align::Min, 7.0)
            };
            let (y, off) = if below {
                (egui::Align::Min, 5.0)
            } else {
                (egui::Align::Max, -5.0)
            };
            Align2([x, y]).anchor_size(at + vec2(aside, off), words.size())
        };
        // At the right edge the word stands on the other side, and under the head below.
        let usual = beside(false, false);
        let plot = self.plot();
        let place = beside(usual.right() > plot.right(), usual.top() < plot.top());
        self.whole
            .rect_filled(place.expand2(vec2(2.0, -1.0)), 2.0, t.card);
        self.whole.galley(place.min, words, t.ink);
    }

    /// What is read, at the right of the head: where, then the value.
    pub fn reads(&self, place: String, value: String) {
        let (t, p) = (self.theme, &self.whole);
        let at = pos2(self.plot().right(), self.plot().top() - HEAD);
        let r = p.text(at, Align2::RIGHT_TOP, value, strong(12.5), t.ink);
        let at = pos2(r.left() - 8.0, at.y);
        p.text(at, Align2::RIGHT_TOP, place, plain(12.0), t.accent);
    }
}

/// What a line reads at `x`; nothing beyond its ends.
pub fn value_at(points: &[[f64; 2]], x: f64) -> Option<f64> {
    let i = points.partition_point(|p| p[0] < x);
    let b = points.get(i)?;
    if b[0] == x {
        return Some(b[1]);
    }
    let a = points.get(i.checked_sub(1)?)?;
    Some(a[1] + (b[1] - a[1]) * (x - a[0]) / (b[0] - a[0]))
}

/// A plate for words on a plot; its words begin at the corner that is given back.
pub fn plate(painter: &Painter, rect: Rect, t: &Theme) -> Pos2 {
    let edge = Stroke::new(1.0, t.edge);
    let fill = t.card.gamma_multiply(0.92);
    let kind = egui::StrokeKind::Inside;
    painter.rect(rect, 2.0, fill, edge, kind);
    rect.min
}

/// Size of the words on it.
pub const KEY: f32 = NOTE;

#[cfg(test)]
mod tests {
    use super::{range, value_at};

    #[test]
    fn a_range_holds_its_values_and_is_never_empty() {
        let [a, b] = range([3.0, 5.0, f64::NAN], 0.1);
        assert!((a - 2.8).abs() < 1e-12 && (b - 5.2).abs() < 1e-12);
        for flat in [vec![], vec![0.0], vec![12.0, 12.0]] {
            let [a, b] = range(flat, 0.1);
            assert!(b > a, "{a} to {b}");
        }
    }

    #[test]
    fn a_line_is_read_between_its_points_and_nowhere_else() {
        let line = [[0.0, 12.0], [10.0, 11.0], [20.0, 9.0]];
        assert_eq!(value_at(&line, 0.0), Some(12.0));
        assert_eq!(value_at(&line, 5.0), Some(11.5));
        assert_eq!(value_at(&line, 15.0), Some(10.0));
        assert_eq!(value_at(&line, 20.0), Some(9.0));
        assert_eq!(value_at(&line, -1.0), None);
        assert_eq!(value_at(&line, 21.0), None);
    }
}
