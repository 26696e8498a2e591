//! Pictures of curves and maps as SVG, small and without a library: axes with round numbers,
//! lines told apart by shade, dash and a word at their end.

use crate::units::fixed;
use std::fmt::Write as _;

/// Size of a picture \[px\].
const WIDE: f64 = 640.0;
const TALL: f64 = 400.0;
/// Room for the axes \[px\]: left, right, top, bottom.
const ROOM: [f64; 4] = [64.0, 84.0, 36.0, 48.0];
/// Inks of the lines: one blue from dark to light, readable in print.
const INKS: [&str; 6] = [
    "#12304a", "#1f5f8b", "#2f86b0", "#5aa5b4", "#8a7a3c", "#b5562c",
];

/// One line of a chart.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// Word at its end; empty for none.
    pub word: String,
    /// Points.
    pub points: Vec<(f64, f64)>,
    /// Dashed, in the ink of the line before.
    pub dashed: bool,
}

impl Line {
    /// A solid line with a word.
    pub fn solid(word: String, points: impl Iterator<Item = (f64, f64)>) -> Self {
        Self {
            word,
            points: points.collect(),
            dashed: false,
        }
    }

    /// A dashed line in the ink of the one before.
    pub fn dashed(points: impl Iterator<Item = (f64, f64)>) -> Self {
        Self {
            word: String::new(),
            points: points.collect(),
            dashed: true,
        }
    }
}

/// A chart of lines.
#[derive(Debug, Clone, PartialEq)]
pub struct Chart {
    /// Title.
    pub title: String,
    /// Words of the axes.
    pub axes: [String; 2],
    /// Lines.
    pub lines: Vec<Line>,
}

/// Where the axes run.
struct Frame {
    x: (f64, f64),
    y: (f64, f64),
}

impl Frame {
    fn px(&self, x: f64) -> f64 {
        ROOM[0] + (x - self.x.0) / (self.x.1 - self.x.0) * (WIDE - ROOM[0] - ROOM[1])
    }

    fn py(&self, y: f64) -> f64 {
        TALL - ROOM[3] - (y - self.y.0) / (self.y.1 - self.y.0) * (TALL - ROOM[2] - ROOM[3])
    }
}

/// A step of 1, 2 or 5 times a power of ten that cuts a range into about six.
fn round_step(range: f64) -> f64 {
    let raw = (range / 6.0).max(1e-12);
    let power = 10_f64.powf(raw.log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .find(|s| s * power >= raw)
        .unwrap_or(10.0);
    step * power
}

/// A range widened to round numbers.
fn round_range(values: impl Iterator<Item = f64>) -> (f64, f64) {
    let (mut low, mut high) = values
        .filter(|v| v.is_finite())
        .fold((f64::MAX, f64::MIN), |(l, h), v| (l.min(v), h.max(v)));
    if low > high {
        (low, high) = (0.0, 1.0);
    }
    if high - low < 1e-9 {
        (low, high) = (low - 0.5, high + 0.5);
    }
    let step = round_step(high - low);
    ((low / step).floor() * step, (high / step).ceil() * step)
}

fn number(value: f64, step: f64) -> String {
    let decimals = (-step.log10().floor()).clamp(0.0, 4.0) as usize;
    fixed(value, decimals)
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
}

/// What the first line of every picture begins and ends with: by these it is known again.
pub const HEAD: [&str; 2] = [
    "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 640 400\" width=\"640\" height=\"400\" role=\"img\" aria-label=\"",
    "\" font-family=\"sans-serif\" font-size=\"12\">",
];

fn open(title: &str) -> String {
    let (title, [start, end]) = (escaped(title), HEAD);
    format!(
        "{start}{title}{end}\n<title>{title}</title>\n\
         <rect width=\"{WIDE}\" height=\"{TALL}\" fill=\"#fbfaf6\"/>\n\
         <text x=\"{}\" y=\"22\" font-size=\"14\" fill=\"#1b2a33\">{title}</text>\n",
        ROOM[0]
    )
}

fn axes(out: &mut String, frame: &Frame, words: &[String; 2]) {
    let (left, right) = (ROOM[0], WIDE - ROOM[1]);
    let (top, bottom) = (ROOM[2], TALL - ROOM[3]);
    let step = round_step(frame.x.1 - frame.x.0);
    let ticks = |range: (f64, f64), step: f64| {
        let count = ((range.1 - range.0) / step).round() as i32;
        (0..=count).map(move |k| range.0 + f64::from(k) * step)
    };
    for x in ticks(frame.x, step) {
        let px = frame.px(x);
        let _ = writeln!(
            out,
            "<path d=\"M{px:.1} {top}V{bottom}\" stroke=\"#dcd9cf\"/><text x=\"{px:.1}\" y=\"{}\" text-anchor=\"middle\" fill=\"#44525a\">{}</text>",
            bottom + 16.0,
            number(x, step)
        );
    }
    let step = round_step(frame.y.1 - frame.y.0);
    for y in ticks(frame.y, step) {
        let py = frame.py(y);
        let _ = writeln!(
            out,
            "<path d=\"M{left} {py:.1}H{right}\" stroke=\"#dcd9cf\"/><text x=\"{}\" y=\"{:.1}\" text-anchor=\"end\" fill=\"#44525a\">{}</text>",
            left - 6.0,
            py + 4.0,
            number(y, step)
        );
    }
    let _ = writeln!(
        out,
        "<text x=\"{:.1}\" y=\"{}\" text-anchor=\"middle\" fill=\"#1b2a33\">{}</text>\n\
         <text transform=\"translate(16 {:.1}) rotate(-90)\" text-anchor=\"middle\" fill=\"#1b2a33\">{}</text>",
        0.5 * (left + right),
        TALL - 10.0,
        escaped(&words[0]),
        0.5 * (top + bottom),
        escaped(&words[1])
    );
}

impl Chart {
    /// An empty chart.
    pub fn new(title: &str, x: &str, y: &str) -> Self {
        Self {
            title: title.to_owned(),
            axes: [x.to_owned(), y.to_owned()],
            lines: Vec::new(),
        }
    }

    /// The picture.
    pub fn svg(&self) -> String {
        let points = || self.lines.iter().flat_map(|l| &l.points);
        let frame = Frame {
            x: round_range(points().map(|p| p.0)),
            y: round_range(points().map(|p| p.1)),
        };
        let mut out = open(&self.title);
        axes(&mut out, &frame, &self.axes);
        let mut ink = INKS.len() - 1;
        for line in &self.lines {
            if !line.dashed {
                ink = (ink + 1) % INKS.len();
            }
            let dash = if line.dashed {
                " stroke-dasharray=\"5 4\""
            } else {
                ""
            };
            let mut path = String::new();
            let finite = line
                .points
                .iter()
                .filter(|p| p.0.is_finite() && p.1.is_finite());
            for (k, (x, y)) in finite.enumerate() {
                let letter = if k == 0 { 'M' } else { 'L' };
                let _ = write!(path, "{letter}{:.1} {:.1}", frame.px(*x), frame.py(*y));
            }
            let _ = writeln!(
                out,
                "<path d=\"{path}\" fill=\"none\" stroke=\"{}\" stroke-width=\"1.8\"{dash}/>",
                INKS[ink]
            );
            if let (false, Some((x, y))) = (line.word.is_empty(), line.points.last()) {
                let _ = writeln!(
                    out,
                    "<text x=\"{:.1}\" y=\"{:.1}\" fill=\"{}\">{}</text>",
                    frame.px(*x) + 5.0,
                    frame.py(*y) + 4.0,
                    INKS[ink],
                    escaped(&line.word)
                );
            }
        }
        out + "</svg>\n"
    }
}

/// A map of (x, y, value, words): a cell each, dark where the value is small, hatched red below 0.
pub(super) fn map(title: &str, x: &str, y: &str, cells: &[(f64, f64, f64, String)]) -> String {
    let mut rows: Vec<f64> = cells.iter().map(|c| c.1).collect();
    rows.sort_by(f64::total_cmp);
    rows.dedup();
    let mut out = open(title);
    let wide = WIDE - ROOM[0] - ROOM[1];
    let tall = (TALL - ROOM[2] - ROOM[3]) / rows.len().max(1) as f64;
    for (r, row) in rows.iter().enumerate() {
        let in_row: Vec<_> = cells.iter().filter(|c| c.1 == *row).collect();
        let cell = wide / in_row.len().max(1) as f64;
        let top = TALL - ROOM[3] - (r + 1) as f64 * tall;
        let _ = writeln!(
            out,
            "<text x=\"{}\" y=\"{:.1}\" text-anchor=\"end\" fill=\"#44525a\">{row:.0}</text>",
            ROOM[0] - 6.0,
            top + 0.5 * tall + 4.0
        );
        for (k, (load, _, value, words)) in in_row.into_iter().enumerate() {
            let left = ROOM[0] + k as f64 * cell;
            let shade = value.clamp(0.0, 0.5) / 0.5;
            let fill = if *value < 0.0 {
                "#d98a6a".to_owned()
            } else {
                let tone = |dark: f64, light: f64| dark + (light - dark) * shade;
                format!(
                    "rgb({:.0},{:.0},{:.0})",
                    tone(120.0, 240.0),
                    tone(150.0, 244.0),
                    tone(170.0, 246.0)
                )
            };
            let _ = writeln!(
                out,
                "<rect x=\"{left:.1}\" y=\"{top:.1}\" width=\"{cell:.1}\" height=\"{tall:.1}\" fill=\"{fill}\" stroke=\"#fbfaf6\"/>"
            );
            let count = words.lines().count() as f64;
            for (n, line) in words.lines().enumerate() {
                let _ = writeln!(
                    out,
                    "<text x=\"{:.1}\" y=\"{:.1}\" font-size=\"10\" text-anchor=\"middle\" fill=\"#1b2a33\">{}</text>",
                    left + 0.5 * cell,
                    top + 0.5 * tall + 10.0 - 6.0 * count + 12.0 * n as f64,
                    escaped(line)
                );
            }
            if r == 0 {
                let _ = writeln!(
                    out,
                    "<text x=\"{:.1}\" y=\"{}\" text-anchor=\"middle\" fill=\"#44525a\">{load:.0}</text>",
                    left + 0.5 * cell,
                    TALL - ROOM[3] + 16.0
                );
            }
        }
    }
    let _ = writeln!(
        out,
        "<text x=\"{:.1}\" y=\"{}\" text-anchor=\"middle\" fill=\"#1b2a33\">{}</text>\n\
         <text transform=\"translate(16 {:.1}) rotate(-90)\" text-anchor=\"middle\" fill=\"#1b2a33\">{}</text>",
        0.5 * (ROOM[0] + WIDE - ROOM[1]),
        TALL - 10.0,
        escaped(x),
        0.5 * (ROOM[2] + TALL - ROOM[3]),
        escaped(y)
    );
    out + "</svg>\n"
}
