//! Kept branches in the charts: each a thin line of its own dashes from where it parted, with its letter at its end.

use egui::{Color32, Painter, Pos2, Rect, Shape, Stroke, pos2, vec2};

use super::frame::{BUCKET_POINTS, Frame, Quantity};
use super::values::{bucket_at, folded, words_of};
use crate::sim::{BranchName, Bucket, Channel, Records};
use crate::window::look::theme::{Theme, strong};
use crate::window::look::within::within;

/// Dash and gap of the branches, told apart without colour \[points\].
const DASHES: [[f32; 2]; 3] = [[7.0, 3.0], [2.0, 3.0], [12.0, 3.0]];

/// One kept branch in one chart.
pub(super) struct Ghost {
    pub(super) name: BranchName,
    pub(super) buckets: Vec<Bucket>,
    place: usize,
}

/// The kept branches' values of a channel in view, after they parted.
pub(super) fn ghosts(
    records: &Records,
    channel: Channel,
    frame: &Frame<'_>,
    width: f32,
) -> Vec<Ghost> {
    let [t0, t1] = frame.time;
    let apart_s = BUCKET_POINTS * (t1 - t0) / f64::from(width.max(1.0));
    let kept = records.kept.iter().enumerate();
    kept.filter_map(|(place, (name, record))| {
        let state = frame.snap.kept.iter().find(|k| k.name == *name)?;
        let from_s = t0.max(state.parted_s);
        let mut values = record.series(channel, from_s, t1, (width * 0.5) as usize);
        values.retain(|b| b.to_s >= from_s && b.min.is_finite() && b.max.is_finite());
        Some(Ghost {
            name: *name,
            buckets: folded(&values, apart_s),
            place,
        })
    })
    .filter(|ghost| ghost.buckets.len() > 1)
    .collect()
}

/// Colour of a branch; dashes and letter tell it as well.
pub(super) fn ink(t: &Theme, place: usize) -> Color32 {
    [t.caution, t.good, t.closes][place % 3]
}

impl Ghost {
    pub(super) fn ink(&self, t: &Theme) -> Color32 {
        ink(t, self.place)
    }

    /// The values at a time.
    pub(super) fn at(&self, time_s: f64) -> Option<Bucket> {
        bucket_at(&self.buckets, time_s)
    }

    /// Draws the line, and where it ends in view the letter, with the value that no head tells.
    pub(super) fn draw(
        &self,
        painter: &Painter,
        frame: &Frame<'_>,
        quantity: Quantity,
        y_of: &impl Fn(f64) -> f32,
    ) {
        let t = &frame.theme;
        let line: Vec<Pos2> = self
            .buckets
            .iter()
            .map(|b| {
                pos2(
                    frame.x_of(0.5 * (b.from_s + b.to_s)),
                    y_of(0.5 * (b.min + b.max)),
                )
            })
            .collect();
        let ink = self.ink(t);
        for piece in dashes(&line, DASHES[self.place % DASHES.len()]) {
            painter.add(Shape::line(piece, Stroke::new(1.5, ink)));
        }
        let clip = painter.clip_rect();
        let Some(end) = line.iter().rev().find(|p| p.x < clip.right() - 12.0) else {
            return;
        };
        // What it came to after the moment on show no head tells.
        let last = self.buckets.last();
        let later = last.filter(|b| b.to_s > frame.snap.readings.time_s);
        let words = match later {
            Some(b) => format!("{} {}", self.name, words_of(quantity, frame.units, *b)),
            None => self.name.to_string(),
        };
        let words = painter.layout_no_wrap(words, strong(11.0), ink);
        let size = vec2((words.size().x + 6.0).max(14.0), 14.0);
        let middle = within(end.y - 10.0, clip.top() + 7.0, clip.bottom() - 7.0);
        let x = end.x.min(clip.right() - 0.5 * size.x - 1.0);
        let plate = Rect::from_center_size(pos2(x, middle), size);
        painter.rect(
            plate,
            2.0,
            t.card,
            Stroke::new(1.0, ink),
            egui::StrokeKind::Inside,
        );
        painter.galley(plate.center() - 0.5 * words.size(), words, ink);
    }
}

/// A line cut into dashes along the time axis, so that they stay even where points lie close.
fn dashes(line: &[Pos2], [dash, gap]: [f32; 2]) -> Vec<Vec<Pos2>> {
    let Some(first) = line.first() else {
        return Vec::new();
    };
    let mut out = Vec::new();
    let mut piece = vec![*first];
    // Where the present dash ends, or the present gap.
    let (mut edge, mut inked) = (first.x + dash, true);
    for pair in line.windows(2) {
        let (a, b) = (pair[0], pair[1]);
        while b.x > edge && b.x > a.x {
            let cut = a.lerp(b, ((edge - a.x) / (b.x - a.x)).clamp(0.0, 1.0));
            if inked {
                piece.push(cut);
                out.push(std::mem::take(&mut piece));
            } else {
                piece = vec![cut];
            }
            edge += if inked { gap } else { dash };
            inked = !inked;
        }
        if inked {
            piece.push(b);
        }
    }
    if piece.len() > 1 {
        out.push(piece);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dashes_are_even_however_dense_the_points() {
        for n in [2, 7, 500] {
            let line: Vec<Pos2> = (0..=n)
                .map(|i| pos2(100.0 * i as f32 / n as f32, 5.0))
                .collect();
            let pieces = dashes(&line, [7.0, 3.0]);
            assert_eq!(pieces.len(), 10, "{n}");
            for piece in &pieces {
                let long = piece[piece.len() - 1].x - piece[0].x;
                assert!((long - 7.0).abs() < 1e-3, "{n}: {long}");
            }
        }
        assert!(dashes(&[], [7.0, 3.0]).is_empty());
    }
}
