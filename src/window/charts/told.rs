//! A prediction in the chart of what was asked for, beside the value that was measured there. Not here: what is right.

use egui::{Painter, Pos2, Rect, Shape, Stroke, pos2, vec2};

use super::frame::{Chart, Frame};
use super::values::{quantity_of, shown};
use crate::sim::Channel;
use crate::window::look::rules::ring;
use crate::window::look::show::{Units, clock};
use crate::window::look::theme::{Theme, strong};
use crate::window::look::within::within;

/// Longest words of a prediction that stand in a chart, in characters.
const MOST_CHARS: usize = 44;
/// Height of a line of words \[points\].
const LINE: f32 = 15.0;

/// What was predicted of a channel at a moment, and what it was, SI.
#[derive(Debug, Clone, PartialEq)]
pub struct Told {
    /// What it is about.
    pub channel: Channel,
    /// When \[s\].
    pub at_s: f64,
    /// What was measured.
    pub measured: f64,
    /// The same in words.
    pub reads: String,
    /// The values for which the prediction is right.
    pub said: Vec<[f64; 2]>,
    /// The predicted value itself, where it was a number.
    pub number: Option<f64>,
    /// Whether that is the number that was said, and not reckoned from it.
    pub is_as_said: bool,
    /// The prediction as it was chosen; none of a number.
    pub words: Option<String>,
}

/// Whether there can be a chart of a channel.
pub fn has_a_chart(channel: Channel) -> bool {
    use Channel as C;
    !matches!(
        channel,
        C::Flow | C::Demand | C::Body | C::ContainerTemperature
    )
}

impl Told {
    /// Both for a screen reader.
    pub(super) fn spoken(&self, units: Units) -> String {
        let (quantity, _) = quantity_of(self.channel);
        let value = |si: f64| {
            let (number, unit) = shown(quantity, units, si);
            format!("{number} {unit}")
        };
        let said = match (self.number, self.words.as_deref()) {
            (Some(number), _) => value(number),
            (None, words) => words.unwrap_or_default().to_owned(),
        };
        let at = clock(self.at_s, 0);
        format!("At {at} measured {}, {} {said}", self.reads, self.verb())
    }

    /// Draws both where they belong.
    pub(super) fn draw(
        &self,
        painter: &Painter,
        plot: Rect,
        chart: &Chart,
        frame: &Frame<'_>,
        y_of: &impl Fn(f64) -> f32,
    ) {
        if !(frame.time[0]..=frame.time[1]).contains(&self.at_s) {
            return;
        }
        let t = &frame.theme;
        let x = within(frame.x_of(self.at_s), plot.left() + 4.0, plot.right() - 4.0);
        let y = y_of(self.measured);
        let mut at_y = None;
        for stretch in &self.said {
            let ends = stretch
                .map(|value| within(y_of(value.clamp(-1e12, 1e12)), plot.top(), plot.bottom()));
            bracket(painter, x, ends, self.number.is_some(), t);
            let middle = 0.5 * (ends[0] + ends[1]);
            let nearer = at_y.is_none_or(|old: f32| (middle - y).abs() < (old - y).abs());
            if nearer {
                at_y = Some(middle);
            }
        }
        ring(painter, pos2(x, y), false, t);
        let mut said = self.said_words(chart, frame);
        let number_y = self.number.map(y_of);
        if number_y.is_some_and(|y| !plot.y_range().contains(y)) {
            said += ", off this scale";
        }
        // Words that are wider than the chart would be cut: they stand whole beside it.
        let laid = painter.layout_no_wrap(said.clone(), strong(11.5), t.accent);
        if self.number.is_none() && laid.size().x + 12.0 > plot.width() {
            AS_SAID.clone_into(&mut said);
        }
        let words = [format!("measured {}", self.reads), said];
        let [low, high] = [plot.top() + 0.5 * LINE, plot.bottom() - 0.5 * LINE];
        let y = within(y, low, high);
        let mut said_y = within(at_y.unwrap_or(y), low, high);
        if (said_y - y).abs() < LINE {
            let below = said_y >= y && y + LINE <= high || y - LINE < low;
            said_y = if below { y + LINE } else { y - LINE };
        }
        write(painter, plot, pos2(x, y), &words[0], t, false);
        if at_y.is_some() {
            write(painter, plot, pos2(x, said_y), &words[1], t, true);
        }
    }

    /// How a number is told: what was said, or what comes of it.
    fn verb(&self) -> &'static str {
        match self.number {
            Some(_) if !self.is_as_said => "what you said makes",
            _ => "you said",
        }
    }

    fn said_words(&self, chart: &Chart, frame: &Frame<'_>) -> String {
        if let Some(number) = self.number {
            let (number, unit) = shown(chart.quantity, frame.units, number);
            return format!("{} {number} {unit}", self.verb());
        }
        let words = self.words.as_deref().unwrap_or_default();
        if words.is_empty() || words.chars().count() > MOST_CHARS {
            return AS_SAID.to_owned();
        }
        format!("you said: {words}")
    }
}

/// A prediction whose words have no room.
const AS_SAID: &str = "as you said";

/// The values for which a prediction is right, from one end to the other at its moment.
fn bracket(painter: &Painter, x: f32, ends: [f32; 2], is_number: bool, t: &Theme) {
    let [a, b] = ends;
    let line = Stroke::new(2.4, t.accent);
    painter.line_segment([pos2(x, a), pos2(x, b)], line);
    for y in [a, b] {
        painter.line_segment([pos2(x - 5.0, y), pos2(x + 5.0, y)], line);
    }
    if !is_number {
        return;
    }
    let middle = pos2(x, 0.5 * (a + b));
    let corner = |dx: f32, dy: f32| middle + vec2(dx, dy);
    let diamond = vec![
        corner(0.0, -5.0),
        corner(5.0, 0.0),
        corner(0.0, 5.0),
        corner(-5.0, 0.0),
    ];
    let rim = Stroke::new(1.2, t.card);
    painter.add(Shape::convex_polygon(diamond, t.accent, rim));
}

/// Words beside a point, on a ground of their own: after it where there is room, else before it.
fn write(painter: &Painter, plot: Rect, at: Pos2, words: &str, t: &Theme, is_said: bool) {
    let ink = if is_said { t.accent } else { t.ink };
    let galley = painter.layout_no_wrap(words.to_owned(), strong(11.5), ink);
    let wide = galley.size().x;
    let left = if at.x + 10.0 + wide <= plot.right() {
        at.x + 10.0
    } else {
        (at.x - 10.0 - wide).max(plot.left())
    };
    let corner = pos2(left, at.y - 0.5 * galley.size().y);
    let ground = Rect::from_min_size(corner, galley.size()).expand2(vec2(3.0, 0.0));
    painter.rect_filled(ground, 2.0, t.card);
    painter.galley(corner, galley, ink);
}
