//! A mistake of a file and how it is told: what, where, what to do.

use crate::units::plain;
use std::cell::RefCell;
use std::collections::HashSet;
use std::fmt::{Display, Formatter, Result};
use std::ops::Range;

/// Most mistakes told at once; the rest are counted.
const TOLD: usize = 40;
/// Most mistakes kept. Past them a file is no slip of the pen, and each place costs a look through
/// the text before it.
pub(super) const KEPT: usize = 500;
/// Longest piece of a line shown.
const EXCERPT_CHARS: usize = 100;

/// Where in the source a mistake stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// Bytes of the source.
    pub span: Range<usize>,
}

/// One mistake of a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mistake {
    /// Where it stands; `None` when it concerns the file as a whole.
    pub place: Option<Place>,
    /// What is wrong, without a full stop.
    pub message: String,
    /// What to do, as it goes on from "try:"; empty when there is nothing to say.
    pub help: String,
}

/// Mistakes as they are noted while a text is read.
#[derive(Debug)]
pub(super) struct Notes {
    /// The text.
    pub(super) source: String,
    list: RefCell<Vec<Mistake>>,
    /// Where something is lacking, once for each: what stands there is no less right for it.
    lacks: RefCell<Vec<(usize, usize)>>,
}

impl Notes {
    /// None yet.
    pub(super) fn new(source: &str) -> Self {
        Self {
            source: source.to_owned(),
            list: RefCell::default(),
            lacks: RefCell::default(),
        }
    }

    /// Notes that something is lacking in what stands at a place.
    pub(super) fn note_lack(&self, span: Range<usize>, message: String, help: String) {
        self.lacks.borrow_mut().push((span.start, span.end));
        self.note(span, message, help);
    }

    /// Bytes of the source at which more is wrong than that something is lacking.
    pub(super) fn refused(&self) -> HashSet<(usize, usize)> {
        let list = self.list.borrow();
        let mut places: Vec<(usize, usize)> = list
            .iter()
            .filter_map(|m| m.place.as_ref().map(|p| (p.span.start, p.span.end)))
            .collect();
        for lack in self.lacks.borrow().iter() {
            if let Some(at) = places.iter().position(|p| p == lack) {
                places.swap_remove(at);
            }
        }
        places.into_iter().collect()
    }

    /// Notes a mistake; an empty span is the file as a whole.
    pub(super) fn note(&self, span: Range<usize>, message: String, help: String) {
        if self.list.borrow().len() >= KEPT {
            return;
        }
        let place = (!span.is_empty()).then(|| Place::new(&self.source, span));
        self.list.borrow_mut().push(Mistake {
            place,
            message,
            help,
        });
    }

    /// Those so far.
    pub(super) fn noted(&self) -> Vec<Mistake> {
        self.list.borrow().clone()
    }
}

/// Every mistake found in one file, in the order of the file. Never empty where it is an error.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mistakes {
    /// The file's name as it is told.
    pub file_name: String,
    /// The file's text.
    pub source: String,
    /// The mistakes.
    pub list: Vec<Mistake>,
}

impl Place {
    /// The place of these bytes of the source. Bytes outside it are drawn in to its end.
    pub(super) fn new(source: &str, span: Range<usize>) -> Self {
        let start = floor_boundary(source, span.start);
        let end = floor_boundary(source, span.end).max(start);
        let before = &source[..start];
        let line_start = before.rfind('\n').map_or(0, |at| at + 1);
        Self {
            line: 1 + before.matches('\n').count(),
            column: 1 + before[line_start..].chars().count(),
            span: start..end,
        }
    }
}

fn floor_boundary(source: &str, at: usize) -> usize {
    let at = at.min(source.len());
    (0..=at)
        .rev()
        .find(|&i| source.is_char_boundary(i))
        .unwrap_or(0)
}

impl Mistakes {
    /// Puts the mistakes in the order of the file, those of the whole file last.
    pub(super) fn new(file_name: &str, source: &str, mut list: Vec<Mistake>) -> Self {
        list.sort_by_key(|mistake| {
            mistake
                .place
                .as_ref()
                .map_or(usize::MAX, |place| place.span.start)
        });
        Self {
            file_name: plain(file_name),
            source: source.to_owned(),
            list,
        }
    }
}

impl Display for Mistakes {
    fn fmt(&self, f: &mut Formatter<'_>) -> Result {
        for (index, mistake) in self.list.iter().take(TOLD).enumerate() {
            if index > 0 {
                writeln!(f, "\n")?;
            }
            write!(
                f,
                "error: {}\n  {}",
                plain(&mistake.message),
                self.file_name
            )?;
            if let Some(place) = &mistake.place {
                write!(f, ":{}:{}", place.line, place.column)?;
                excerpt(f, &self.source, place)?;
            }
            if !mistake.help.is_empty() {
                write!(f, "\n  try: {}", plain(&mistake.help))?;
            }
        }
        match self.list.len().saturating_sub(TOLD) {
            0 => Ok(()),
            _ if self.list.len() >= KEPT => write!(f, "\n\nand many more"),
            more => write!(f, "\n\nand {more} more"),
        }
    }
}

impl std::error::Error for Mistakes {}

/// The line with a caret under the place.
fn excerpt(f: &mut Formatter<'_>, source: &str, place: &Place) -> Result {
    let line = source.lines().nth(place.line - 1).unwrap_or("");
    // A very long line is shown from a little before the place.
    let skipped = if place.column > EXCERPT_CHARS {
        place.column - EXCERPT_CHARS / 2
    } else {
        0
    };
    let shown: String = line.chars().skip(skipped).take(EXCERPT_CHARS).collect();
    let before = place.column - 1 - skipped;
    let marked = source[place.span.clone()]
        .lines()
        .next()
        .unwrap_or("")
        .chars()
        .count();
    let marked = marked.clamp(1, EXCERPT_CHARS.saturating_sub(before).max(1));
    let number = place.line.to_string();
    let margin = " ".repeat(number.len());
    write!(f, "\n   {number} | {}", plain(&shown).trim_end())?;
    write!(
        f,
        "\n   {margin} | {}{}",
        " ".repeat(before),
        "^".repeat(marked)
    )
}
