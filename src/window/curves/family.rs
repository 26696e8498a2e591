//! The lines of a plot of curves: told apart by marks and dashes as well as inks, with a key that reads every one of them
//! where the pointer is.

use egui::{
    Align2, Color32, Painter, Pos2, Rect, Role, Sense, Shape, Stroke, StrokeKind, Ui, WidgetInfo,
    pos2, vec2,
};

use crate::units::W_PER_BTU_PER_H;
use crate::window::look::plots::{KEY, Sheet, plate, value_at};
use crate::window::look::show::grouped;
use crate::window::look::theme::{Theme, plain, strong};

/// Greatest load drawn \[W\]: 150,000 Btu/h, what an integral two-stage regulator may be rated for.
pub const MOST_W: f64 = 150_000.0 * W_PER_BTU_PER_H;
/// Loads of the stability map.
pub const LOADS: usize = 10;

/// Marks of the lines, in order.
const MARKS: [Mark; 5] = [
    Mark::Circle,
    Mark::Square,
    Mark::Up,
    Mark::Diamond,
    Mark::Down,
];
/// A mark stands after every such share of a line's width, those of the lines beside each other: points stand close where a
/// line bends.
const APART: f64 = 0.17;
/// Height of a row of the key, room for a line's sign, and width of a column of values \[points\].
const ROW: f32 = 16.0;
const SIGN: f32 = 24.0;
const COLUMN: f32 = 54.0;
/// The widest value across that its head has room for.
const WIDEST: f64 = 888.8;
/// Places that are looked at between two points of a line for a free corner.
const ALONG: usize = 24;
/// Radius of a mark \[points\].
const RADIUS: f32 = 4.5;

/// The shape of a mark.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Mark {
    Circle,
    Square,
    Up,
    Diamond,
    Down,
}

/// How a line of a plot is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Look {
    /// With marks: the so-many-eth of a family.
    Marked(usize),
    /// Plain.
    Plain,
    /// Thin.
    Thin,
    /// A limit: dashed, and not read.
    Limit,
}

/// One line of a plot, in the units of its axes.
pub struct Member {
    /// What it is of.
    pub name: String,
    /// Its ink.
    pub ink: Color32,
    /// How it is drawn.
    pub look: Look,
    /// Its points, or those of each of its branches; all but the first are dashed.
    pub branches: Vec<Vec<[f64; 2]>>,
}

impl Member {
    /// A limit at `y`.
    pub fn limit(name: String, x: [f64; 2], y: f64, t: &Theme) -> Self {
        Self {
            name,
            ink: t.danger,
            look: Look::Limit,
            branches: vec![x.map(|x| [x, y]).to_vec()],
        }
    }

    fn width(&self) -> f32 {
        match self.look {
            Look::Marked(_) => 1.6,
            Look::Plain => 2.0,
            Look::Thin | Look::Limit => 1.2,
        }
    }

    /// Whether it is one of a family, which may lie on one another.
    fn is_one_of_many(&self) -> bool {
        matches!(self.look, Look::Marked(_))
    }

    /// Draws it; faint while another is looked at, and so much wider while it is.
    fn draw(&self, sheet: &Sheet<'_>, faint: bool, wider: f32, t: &Theme) {
        let ink = if faint { t.edge } else { self.ink };
        for (i, points) in self.branches.iter().enumerate() {
            let width = if i == 0 { self.width() } else { 1.0 } + wider;
            let dashed = i > 0 || self.look == Look::Limit;
            sheet.line(points, Stroke::new(width, ink), dashed);
        }
        if faint {
            return;
        }
        if let (Look::Marked(k), Some(points)) = (self.look, self.branches.first()) {
            let mut last = None;
            for at in marked(k, points).into_iter().map(|p| sheet.at(p)) {
                // Where a line has broken off its points lie on a heap.
                if last.is_none_or(|last: Pos2| last.distance(at) > 2.0 * RADIUS) {
                    draw_mark(sheet.painter(), at, mark(k), self.ink, t);
                    last = Some(at);
                }
            }
        }
    }

    fn sign(&self, painter: &Painter, at: Pos2, t: &Theme) {
        if let Look::Marked(k) = self.look {
            draw_mark(painter, at, mark(k), self.ink, t);
            return;
        }
        let ends = [at - vec2(9.0, 0.0), at + vec2(9.0, 0.0)];
        let stroke = Stroke::new(self.width(), self.ink);
        if self.look == Look::Limit {
            painter.extend(Shape::dashed_line(&ends, stroke, 5.0, 3.0));
        } else {
            painter.line_segment(ends, stroke);
        }
    }

    /// How many values it has in the key.
    fn columns(&self) -> usize {
        match self.look {
            Look::Limit => 0,
            Look::Marked(_) | Look::Plain | Look::Thin => self.branches.len(),
        }
    }

    /// What its branches read at `x`; a limit says it in its name.
    fn values(&self, x: f64) -> Vec<Option<f64>> {
        if self.look == Look::Limit {
            return Vec::new();
        }
        let branches = self.branches.iter();
        branches.map(|points| value_at(points, x)).collect()
    }
}

/// The mark of a line.
fn mark(k: usize) -> Mark {
    MARKS[k % MARKS.len()]
}

/// The points of a line that carry its mark.
fn marked(k: usize, points: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let (Some(first), Some(last)) = (points.first(), points.last()) else {
        return Vec::new();
    };
    let apart = APART * (last[0] - first[0]);
    let from = first[0] + apart * (0.2 * (k % MARKS.len()) as f64 + 0.2);
    let mut next = from;
    let mut out = Vec::new();
    for p in points {
        if p[0] >= next {
            out.push(*p);
            next = p[0].max(next) + apart;
        }
    }
    out
}

/// Which line of a family is looked at.
#[derive(Debug, Clone, Copy, Default)]
pub struct Looked {
    /// The one that a click has kept.
    pub kept: Option<usize>,
}

/// How a plot is read: heads of its branches, and the unit of the axis across.
pub struct Read<'a> {
    /// Names of the branches.
    pub heads: &'a [&'a str],
    /// Unit of the axis across.
    pub unit: &'a str,
}

/// Draws the lines, and where they are read: under the pointer, else at the present point. The key with all values stands
/// in the corner where the fewest lines run. A row of it that is pointed at or has the focus has its line stand out of the
/// others, and a click keeps it so.
pub fn draw(
    ui: &Ui,
    sheet: &Sheet<'_>,
    members: &[Member],
    looked: &mut Looked,
    now: [f64; 2],
    read: &Read<'_>,
    t: &Theme,
) {
    let key = Key::of(sheet, members, read, t);
    let pointed = sheet
        .pointed()
        .filter(|_| !ui.rect_contains_pointer(key.rect));
    let x = pointed.unwrap_or(now[0]);
    let lit = key.answers(ui, sheet, members, x, looked);
    // What is looked at lies on top.
    for (k, member) in members.iter().enumerate() {
        if lit != Some(k) {
            member.draw(sheet, lit.is_some() && member.is_one_of_many(), 0.0, t);
        }
    }
    if let Some(member) = lit.and_then(|k| members.get(k)) {
        member.draw(sheet, false, 1.2, t);
    }
    sheet.now(now);
    if pointed.is_some() {
        sheet.index(x);
        let read = |k: usize| lit.is_none_or(|lit| lit == k);
        for member in members.iter().enumerate().filter(|(k, _)| read(*k)) {
            for (i, y) in member.1.values(x).into_iter().enumerate() {
                if let Some(y) = y {
                    sheet.ring([x, y], i > 0);
                }
            }
        }
    }
    key.draw(sheet, members, (x, pointed.is_some()), lit, read, t);
}

/// The words over the key: where all lines are read.
fn place_words(x: f64, pointed: bool, unit: &str) -> String {
    let what = if pointed { "at" } else { "now, at" };
    format!("{what} {} {unit}", grouped(x, 1))
}

/// The key: every line with its sign and what it reads.
struct Key {
    rect: Rect,
    /// Rows over those of the lines.
    above: usize,
    /// Where the columns of values begin.
    from: f32,
}

impl Key {
    fn of(sheet: &Sheet<'_>, members: &[Member], read: &Read<'_>, t: &Theme) -> Self {
        let painter = sheet.painter();
        let wide = |text: &str, bold: bool| {
            let font = if bold { strong(KEY) } else { plain(KEY) };
            let galley = painter.layout_no_wrap(text.to_owned(), font, t.ink);
            galley.size().x
        };
        // Every line's name as wide as when it stands out.
        let names = members.iter().map(|m| wide(&m.name, true));
        let columns = members.iter().map(Member::columns).max().unwrap_or(0);
        let from = SIGN + names.fold(0.0, f32::max);
        // As wide as its longest words: it does not jump as the pointer comes.
        let head = wide(&place_words(WIDEST, false, read.unit), true) + 8.0;
        let across = (from + COLUMN * columns as f32).max(head) + 8.0;
        let above = 1 + usize::from(!read.heads.is_empty());
        let size = vec2(across, ROW * (members.len() + above) as f32 + 8.0);
        Self {
            rect: corner(sheet, members, size),
            above,
            from,
        }
    }

    fn row(&self, n: usize) -> Rect {
        let top = self.rect.top() + 4.0 + ROW * n as f32;
        Rect::from_x_y_ranges(self.rect.x_range(), top..=top + ROW)
    }

    /// Has the rows of a family answer; the line that is looked at.
    fn answers(
        &self,
        ui: &Ui,
        sheet: &Sheet<'_>,
        members: &[Member],
        x: f64,
        looked: &mut Looked,
    ) -> Option<usize> {
        let mut lit = None;
        for (k, m) in members.iter().enumerate() {
            if !m.is_one_of_many() {
                continue;
            }
            let id = ui.scope_id().with(("line", k));
            let row = self.row(k + self.above).intersect(sheet.plot());
            let response = ui.interact(row, id, Sense::click());
            let kept = looked.kept == Some(k);
            response.widget_info(|| {
                let values = m.values(x).into_iter().map(told);
                let values: Vec<String> = values.collect();
                let told = format!("{}: {}", m.name, values.join(", "));
                WidgetInfo::selected(Role::Button, true, kept, told)
            });
            if response.has_focus() {
                let edge = Stroke::new(2.0, ui.visuals().selection.stroke.color);
                let kind = StrokeKind::Inside;
                sheet.painter().rect_stroke(row, 2.0, edge, kind);
            }
            if response.clicked() {
                looked.kept = (!kept).then_some(k);
            }
            if response.hovered() || response.has_focus() {
                lit = Some(k);
            }
        }
        lit.or(looked.kept)
    }

    fn draw(
        &self,
        sheet: &Sheet<'_>,
        members: &[Member],
        (x, pointed): (f64, bool),
        lit: Option<usize>,
        read: &Read<'_>,
        t: &Theme,
    ) {
        let painter = sheet.painter();
        let at = plate(painter, self.rect, t);
        let text = |x: f32, n: usize, align: Align2, words: &str, bold: bool, ink| {
            let font = if bold { strong(KEY) } else { plain(KEY) };
            let y = self.row(n).center().y;
            painter.text(pos2(at.x + x, y), align, words, font, ink);
        };
        let ink = if pointed { t.accent } else { t.soft };
        let words = place_words(x, pointed, read.unit);
        text(8.0, 0, Align2::LEFT_CENTER, &words, false, ink);
        let right = |i: usize| self.from + COLUMN * (i + 1) as f32;
        for (i, head) in read.heads.iter().enumerate() {
            text(right(i), 1, Align2::RIGHT_CENTER, head, false, t.soft);
        }
        for (k, m) in members.iter().enumerate() {
            let n = k + self.above;
            let stands_out = lit == Some(k);
            let row = self.row(n);
            if stands_out {
                let fill = t.accent_wash;
                painter.rect_filled(row.shrink2(vec2(2.0, 0.0)), 2.0, fill);
            }
            m.sign(painter, pos2(at.x + 0.5 * SIGN, row.center().y), t);
            text(SIGN, n, Align2::LEFT_CENTER, &m.name, stands_out, t.ink);
            for (i, value) in m.values(x).into_iter().enumerate() {
                let value = told(value);
                text(right(i), n, Align2::RIGHT_CENTER, &value, i == 0, t.ink);
            }
        }
    }
}

/// A value as the key tells it.
fn told(value: Option<f64>) -> String {
    value.map_or("–".to_owned(), |v| grouped(v, decimals(v)))
}

/// Decimals that leave some four digits.
fn decimals(value: f64) -> usize {
    match value.abs() {
        v if v < 5.0 => 3,
        v if v < 100.0 => 2,
        _ => 1,
    }
}

/// The corner of the plot in which the fewest points of lines lie: bottom before top, left before right.
fn corner(sheet: &Sheet<'_>, members: &[Member], size: egui::Vec2) -> Rect {
    let plot = sheet.plot().shrink(6.0);
    let lines = members.iter().flat_map(|m| &m.branches);
    // Along the lines too: a limit has no points but its ends.
    let between = |ends: &[[f64; 2]]| {
        let [a, b] = [ends[0], ends[1]].map(|p| sheet.at(p));
        (0..ALONG).map(move |k| a.lerp(b, k as f32 / ALONG as f32))
    };
    let points: Vec<Pos2> = lines.flat_map(|l| l.windows(2).flat_map(between)).collect();
    [
        plot.left_bottom() - vec2(0.0, size.y),
        plot.left_top(),
        plot.right_bottom() - size,
        plot.right_top() - vec2(size.x, 0.0),
    ]
    .map(|at| Rect::from_min_size(at, size))
    .into_iter()
    .min_by_key(|rect| points.iter().filter(|p| rect.contains(**p)).count())
    .unwrap_or(plot)
}

fn draw_mark(painter: &Painter, at: Pos2, shape: Mark, ink: Color32, t: &Theme) {
    let edge = Stroke::new(0.8, t.ink);
    let corners: &[[f32; 2]] = match shape {
        Mark::Square => &[[-0.8, -0.8], [0.8, -0.8], [0.8, 0.8], [-0.8, 0.8]],
        Mark::Up => &[[0.0, -1.0], [0.95, 0.75], [-0.95, 0.75]],
        Mark::Down => &[[0.0, 1.0], [0.95, -0.75], [-0.95, -0.75]],
        Mark::Diamond => &[[0.0, -1.1], [1.1, 0.0], [0.0, 1.1], [-1.1, 0.0]],
        Mark::Circle => {
            painter.circle(at, 0.9 * RADIUS, ink, edge);
            return;
        }
    };
    let points = corners.iter().map(|c| at + RADIUS * vec2(c[0], c[1]));
    painter.add(Shape::convex_polygon(points.collect(), ink, edge));
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Marks of neighbours do not lie on one another.
    #[test]
    fn every_line_has_a_mark_and_a_place_for_it_of_its_own() {
        let line: Vec<[f64; 2]> = (0..60).map(|i| [f64::from(i), 0.0]).collect();
        let mut seen = std::collections::HashSet::new();
        for k in 0..MARKS.len() {
            let marked = marked(k, &line);
            assert!(marked.len() >= 5);
            assert!(marked.iter().all(|p| seen.insert(p[0] as i64)));
        }
    }
}
