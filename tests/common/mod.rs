//! What every outside check shares: a number, where it comes from, and how near we must be.
//!
//! A check asserts, and leaves one row in the directory named by `TWOSTAGE_VALIDATION_DIR` (if set),
//! from which `docs/validation.sh` makes the qualification table, docs/validation.md. Not here: the checks themselves.

#![allow(dead_code)] // each test binary uses its part

use std::fs::OpenOptions;
use std::io::Write;
use std::path::Path;

/// How far a source can be trusted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Grade {
    /// A named publication or open data set.
    Published,
    /// The text of a code or standard was read.
    Code,
    /// Exact result or independent calculation.
    Derived,
    /// Common practice of the trade, no source.
    Practice,
    /// Recalled, not re-read.
    Memory,
    /// A constant of ours was set by this very source, or the number follows from how the part is made: agreement shows that it
    /// was set well, and supports nothing beyond.
    Fitted,
}

impl Grade {
    fn word(self) -> &'static str {
        match self {
            Self::Published => "published",
            Self::Code => "code",
            Self::Derived => "derived",
            Self::Practice => "practice",
            Self::Memory => "memory",
            Self::Fitted => "fitted",
        }
    }
}

/// How near `got` must be to `expected`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Tolerance {
    /// |got - expected| <= share * |expected|.
    Relative(f64),
    /// |got - expected| <= this, in the check's unit.
    Absolute(f64),
    /// got <= expected.
    AtMost,
    /// got >= expected.
    AtLeast,
}

/// One number of ours beside one from outside the project.
#[derive(Debug, Clone)]
pub struct Check<'a> {
    /// Short dotted name, unique: `fluid.propane.saturation`.
    pub id: &'a str,
    /// What is compared, in words, with its conditions.
    pub what: &'a str,
    /// Where the expected number comes from.
    pub source: &'a str,
    /// How far that can be trusted.
    pub grade: Grade,
    /// Unit of both numbers, "1" for a pure number.
    pub unit: &'a str,
    /// Allowed difference.
    pub tolerance: Tolerance,
    /// The number from outside.
    pub expected: f64,
    /// Ours.
    pub got: f64,
}

impl Check<'_> {
    /// Difference in the sense of the tolerance: share or absolute; past a limit, by how much.
    pub fn deviation(&self) -> f64 {
        match self.tolerance {
            Tolerance::Relative(_) => (self.got - self.expected) / self.expected,
            Tolerance::Absolute(_) | Tolerance::AtMost => self.got - self.expected,
            Tolerance::AtLeast => self.expected - self.got,
        }
    }

    /// How bad the difference is: the larger, the nearer to failing or the further past it.
    fn badness(&self) -> f64 {
        let deviation = match self.tolerance {
            Tolerance::Relative(_) | Tolerance::Absolute(_) => self.deviation().abs(),
            Tolerance::AtMost | Tolerance::AtLeast => self.deviation(),
        };
        if deviation.is_nan() {
            f64::INFINITY
        } else {
            deviation
        }
    }

    /// How much of what is allowed is used up: 1 at the limit.
    fn share_used(&self) -> f64 {
        let allowed = match self.tolerance {
            Tolerance::Relative(share) => share,
            Tolerance::Absolute(difference) => difference,
            Tolerance::AtMost | Tolerance::AtLeast => {
                return 1.0 + self.badness() / self.expected.abs();
            }
        };
        self.badness() / allowed
    }

    /// True when inside the tolerance (never for NaN).
    pub fn passes(&self) -> bool {
        let within = match self.tolerance {
            Tolerance::Relative(share) => share,
            Tolerance::Absolute(difference) => difference,
            Tolerance::AtMost | Tolerance::AtLeast => 0.0,
        };
        self.badness() <= within
    }

    /// Records the check and fails the test when outside the tolerance.
    #[track_caller]
    pub fn assert(&self) {
        if let Some(directory) = std::env::var_os("TWOSTAGE_VALIDATION_DIR") {
            self.record(Path::new(&directory));
        }
        assert!(
            self.passes(),
            "{}: {}: expected {} {}, got {} (off by {:.3e}, allowed {:?}); source: {} ({:?})",
            self.id,
            self.what,
            self.expected,
            self.unit,
            self.got,
            self.deviation(),
            self.tolerance,
            self.source,
            self.grade
        );
    }

    /// Appends one row; one write, so parallel tests do not mix their rows.
    fn record(&self, directory: &Path) {
        let row = self.row();
        std::fs::create_dir_all(directory).expect("the validation directory can be made");
        OpenOptions::new()
            .create(true)
            .append(true)
            .open(directory.join("rows.tsv"))
            .and_then(|mut file| file.write_all(row.as_bytes()))
            .expect("the validation directory can be written");
    }

    /// The check as one row, tabs between: id, what, grade, source, unit, kind of tolerance, allowed
    /// difference, expected, obtained, the test that makes it. docs/tools/qualification.rs reads them.
    fn row(&self) -> String {
        let cell = |text: &str| text.replace(['\t', '\n'], " ");
        let (kind, allowed) = match self.tolerance {
            Tolerance::Relative(share) => (format!("{} %", short(100.0 * share)), share),
            Tolerance::Absolute(difference) => (short(difference), difference),
            Tolerance::AtMost => ("at most".to_owned(), 1.0),
            Tolerance::AtLeast => ("at least".to_owned(), 1.0),
        };
        let allowed = match self.tolerance {
            Tolerance::Absolute(_) => allowed,
            _ => allowed * self.expected.abs(),
        };
        let got = shown(self.got, allowed);
        let expected = shown(self.expected, allowed);
        format!(
            "{}\t{}\t{}\t{}\t{}\t{kind}\t{allowed:e}\t{expected}\t{got}\t{}\n",
            cell(self.id),
            cell(self.what),
            self.grade.word(),
            cell(self.source),
            cell(self.unit),
            made_by(),
        )
    }
}

/// The test that runs now, as cargo is asked for it: `outside_physics flow::choked`.
fn made_by() -> String {
    let program = std::env::current_exe().unwrap_or_default();
    let stem = program
        .file_stem()
        .map_or_else(String::new, |s| s.to_string_lossy().into_owned());
    // cargo adds a dash and a digest.
    let binary = stem
        .rsplit_once('-')
        .map_or(stem.as_str(), |(name, _)| name);
    let thread = std::thread::current();
    let test = thread
        .name()
        .expect("a check runs on its test's own thread");
    format!("{binary} {test}")
}

/// A tolerance without the tail that binary fractions leave.
fn short(value: f64) -> String {
    let text = format!("{value:.6e}");
    let value: f64 = text.parse().expect("a number just written");
    if (1e-4..1e6).contains(&value) {
        format!("{value}")
    } else {
        format!("{value:e}")
    }
}

/// A value to a tenth of what is allowed, so that the table is the same on every machine.
fn shown(value: f64, allowed: f64) -> String {
    let fine = allowed.abs().max(1e-300).log10().floor() as i32 - 1;
    let size = value.abs().max(1e-300).log10().floor() as i32;
    let text = if (-9..=6).contains(&fine) && size < 7 {
        format!("{value:.*}", (-fine).max(0) as usize)
    } else {
        format!("{value:.*e}", (size - fine).clamp(0, 15) as usize)
    };
    // No minus sign before nothing.
    if text.parse() == Ok(0.0) {
        text.trim_start_matches('-').to_owned()
    } else {
        text
    }
}

/// Many points as one check: all must pass, and the worst is listed, or the first of those that are as bad to
/// a tenth of what is allowed (which of them is worst by a hair differs between machines).
///
/// `points` gives (conditions, expected, got). Panics on an empty list: nothing checked is no pass.
#[track_caller]
pub fn assert_worst(template: &Check<'_>, points: impl IntoIterator<Item = (String, f64, f64)>) {
    let points: Vec<_> = points.into_iter().collect();
    let point = |&(_, expected, got): &(String, f64, f64)| Check {
        expected,
        got,
        ..template.clone()
    };
    let tenths = |p: &(String, f64, f64)| (10.0 * point(p).share_used()).floor();
    let count = points.len();
    let failed = points.iter().find(|p| !point(p).passes());
    let worst = failed.or_else(|| {
        let most = points.iter().map(tenths).fold(f64::NEG_INFINITY, f64::max);
        points.iter().find(|p| tenths(p) >= most)
    });
    let worst = worst.expect("a list of points to check");
    let what = format!("{}: worst of {count} at {}", template.what, worst.0);
    Check {
        what: &what,
        ..point(worst)
    }
    .assert();
}

/// Rows of a committed reference table as numbers; the first column may be a word.
pub fn table(text: &str) -> Vec<(String, Vec<f64>)> {
    text.lines()
        .skip(1)
        .map(|line| {
            let word = line.split(',').next().expect("a first column").to_owned();
            let numbers = line
                .split(',')
                .filter_map(|cell| cell.parse().ok())
                .collect();
            (word, numbers)
        })
        .collect()
}
