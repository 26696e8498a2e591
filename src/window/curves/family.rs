//! A family of curves that lie close together, told apart by marks as well as inks, with a key that reads every one of
//! them where the pointer is.

use egui::{Align2, Painter, Pos2, Rect, Shape, Stroke, pos2, vec2};
use egui_plot::MarkerShape;

use crate::window::show::grouped;
use crate::window::theme::{NOTE, Theme, plain, strong};

/// Marks of the lines, in order.
const MARKS: [MarkerShape; 5] = [
    MarkerShape::Circle,
    MarkerShape::Square,
    MarkerShape::Up,
    MarkerShape::Diamond,
    MarkerShape::Down,
];
/// A mark stands on every so many points of a line, those of the lines beside each other.
const APART: usize = 10;
/// Height of a row of the key, and its columns from the left \[points\].
const ROW: f32 = 16.0;
const COLUMNS: [f32; 4] = [20.0, 84.0, 136.0, 190.0];

/// One line: its name, ink, and points in the units of the axes with rising and with falling load.
pub struct Member {
    /// What it is of.
    pub name: String,
    /// Its ink.
    pub ink: egui::Color32,
    /// As the load rises.
    pub rising: Vec<[f64; 2]>,
    /// As it falls.
    pub falling: Vec<[f64; 2]>,
}

/// The mark of a line.
pub fn mark(k: usize) -> MarkerShape {
    MARKS[k % MARKS.len()]
}

/// The points of a line that carry its mark.
pub fn marked(k: usize, points: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let from = 2 * (k % MARKS.len()) + 2;
    points.iter().skip(from).step_by(APART).copied().collect()
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

/// Draws the key at the left bottom of a plot: every line with its mark and what it reads at `x`, which is told in
/// `words`.
pub fn key(painter: &Painter, plot: Rect, members: &[Member], x: f64, words: &str, t: &Theme) {
    let size = vec2(COLUMNS[3] + 8.0, ROW * (members.len() as f32 + 2.0) + 8.0);
    let at = pos2(plot.left() + 6.0, plot.bottom() - size.y - 6.0);
    let ground = Rect::from_min_size(at, size);
    painter.rect(
        ground,
        2.0,
        t.card.gamma_multiply(0.92),
        Stroke::new(1.0, t.edge),
        egui::StrokeKind::Inside,
    );
    let row = |n: usize| at.y + 4.0 + ROW * (n as f32 + 0.5);
    let text = |x: f32, n: usize, align: Align2, words: &str, bold: bool, ink| {
        let font = if bold { strong(NOTE) } else { plain(NOTE) };
        painter.text(pos2(at.x + x, row(n)), align, words, font, ink);
    };
    text(8.0, 0, Align2::LEFT_CENTER, words, false, t.ink);
    text(COLUMNS[2], 1, Align2::RIGHT_CENTER, "rising", false, t.soft);
    text(
        COLUMNS[3],
        1,
        Align2::RIGHT_CENTER,
        "falling",
        false,
        t.soft,
    );
    for (k, m) in members.iter().enumerate() {
        let n = k + 2;
        draw_mark(painter, pos2(at.x + 11.0, row(n)), mark(k), m.ink, t);
        text(COLUMNS[0], n, Align2::LEFT_CENTER, &m.name, false, t.ink);
        for (points, right, bold) in [
            (&m.rising, COLUMNS[2], true),
            (&m.falling, COLUMNS[3], false),
        ] {
            let value = value_at(points, x).map_or("–".to_owned(), |v| {
                grouped(v, if v.abs() < 5.0 { 3 } else { 2 })
            });
            text(right, n, Align2::RIGHT_CENTER, &value, bold, t.ink);
        }
    }
}

fn draw_mark(painter: &Painter, at: Pos2, shape: MarkerShape, ink: egui::Color32, t: &Theme) {
    let r = 4.5;
    let edge = Stroke::new(0.8, t.ink);
    let corners: &[[f32; 2]] = match shape {
        MarkerShape::Square => &[[-0.8, -0.8], [0.8, -0.8], [0.8, 0.8], [-0.8, 0.8]],
        MarkerShape::Up => &[[0.0, -1.0], [0.95, 0.75], [-0.95, 0.75]],
        MarkerShape::Down => &[[0.0, 1.0], [0.95, -0.75], [-0.95, -0.75]],
        MarkerShape::Diamond => &[[0.0, -1.1], [1.1, 0.0], [0.0, 1.1], [-1.1, 0.0]],
        _ => {
            painter.circle(at, 0.9 * r, ink, edge);
            return;
        }
    };
    let points = corners.iter().map(|c| at + r * vec2(c[0], c[1])).collect();
    painter.add(Shape::convex_polygon(points, ink, edge));
}

#[cfg(test)]
mod tests {
    use super::*;

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
