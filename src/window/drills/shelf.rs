//! The drills one can try and the attempts one can go on with, read on a thread of their own.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use egui::Context;

use crate::drill::Drill;
use crate::drill::attempt::folder::{Found, Gathered, gather};
use crate::drill::making::shipped;
use crate::window::desk::work::Work;
use crate::window::platform;

/// A drill on the list.
#[derive(Debug, Clone)]
pub struct Listed {
    /// Short name, for logs.
    pub id: String,
    /// Number among the shipped ones.
    pub number: Option<usize>,
    /// The drill.
    pub drill: Arc<Drill>,
    /// File it came from, if it is not shipped.
    pub from: Option<PathBuf>,
}

impl Listed {
    /// Puts a copy of a drill that is not shipped beside its attempts, so that they can be gone on
    /// with and reported.
    pub fn keep_beside(&self, folder: &Path) {
        if let Some(from) = &self.from {
            let there = folder.join(format!("{}.toml", self.id));
            if !platform::is_there(&there) {
                // Without the copy the attempt runs all the same; going on then needs the file.
                let _ = platform::copy(from, &there);
            }
        }
    }
}

/// What the thread reads: the shipped drills where they are not known yet, attempts not ended,
/// attempts ended, and what was left out.
type Read = (Vec<Listed>, Vec<Found>, Vec<Found>, Vec<String>);

/// Drills and attempts.
#[derive(Default)]
pub struct Shelf {
    /// Drills: opened ones first, then the shipped ones in their order.
    pub drills: Vec<Listed>,
    /// Attempts that were not ended.
    pub open: Vec<Found>,
    /// Attempts that were.
    pub ended: Vec<Found>,
    /// Logs that cannot be used, and why.
    pub left_out: Vec<String>,
    opened: Vec<Listed>,
    shipped: Vec<Listed>,
    reading: Option<Work<Read>>,
    read: bool,
}

fn shipped_drills() -> Vec<Listed> {
    // A test reads them all; were one not to be read, none would be offered.
    shipped::easy_to_hard()
        .unwrap_or_default()
        .into_iter()
        .enumerate()
        .map(|(i, (id, drill))| Listed {
            id: id.to_owned(),
            number: Some(i + 1),
            drill: Arc::new(drill),
            from: None,
        })
        .collect()
}

impl Shelf {
    /// Whether it is being read.
    pub fn busy(&self) -> bool {
        self.reading.is_some()
    }

    /// Whether it was ever read.
    pub fn is_read(&self) -> bool {
        !self.drills.is_empty()
    }

    /// Files of the drills that were opened, in the order of the list.
    pub fn opened_from(&self) -> Vec<PathBuf> {
        self.opened.iter().filter_map(|l| l.from.clone()).collect()
    }

    /// Reads the folder again when next looked at.
    pub fn look_again(&mut self) {
        self.read = false;
    }

    /// Reads the drills here and now, for pictures.
    pub fn read_now(&mut self) {
        if self.shipped.is_empty() {
            self.shipped = shipped_drills();
        }
        self.arrange();
    }

    /// Asks for the shelf: starts reading where nothing was read yet.
    pub fn want(&mut self, folder: Option<&Path>, ctx: &Context) {
        if self.read || self.reading.is_some() {
            return;
        }
        self.read = true;
        let folder = folder.map(Path::to_owned);
        let known = !self.shipped.is_empty();
        let wake = ctx.clone();
        let work = Work::begin(
            move || wake.request_repaint(),
            move |_| {
                let drills = if known { Vec::new() } else { shipped_drills() };
                let gathered = match folder {
                    // No attempt was ever made: there is no folder yet.
                    Some(f) if platform::is_there(&f) => {
                        gather(&f, None).map_err(|e| e.to_string())?
                    }
                    _ => Gathered::default(),
                };
                let (ended, open) = gathered
                    .found
                    .into_iter()
                    .partition(|f: &Found| f.answer().is_some());
                Ok((drills, open, ended, gathered.left_out))
            },
        );
        match work {
            Ok(work) => self.reading = Some(work),
            Err(why) => self.left_out = vec![why],
        }
    }

    /// Takes what was read.
    pub fn follow(&mut self) {
        let Some(outcome) = self.reading.as_ref().and_then(Work::take) else {
            return;
        };
        self.reading = None;
        match outcome {
            Ok((drills, open, ended, left_out)) => {
                if !drills.is_empty() {
                    self.shipped = drills;
                }
                (self.open, self.ended, self.left_out) = (open, ended, left_out);
                self.arrange();
            }
            Err(why) => self.left_out = vec![why],
        }
    }

    fn arrange(&mut self) {
        self.drills = self.opened.iter().chain(&self.shipped).cloned().collect();
    }

    /// Opens a drill file; its place on the list.
    ///
    /// # Errors
    /// Every mistake of the file.
    pub fn open(&mut self, path: &Path) -> Result<usize, String> {
        let drill = Drill::load(path).map_err(|e| e.to_string())?;
        self.opened.retain(|l| l.drill.sum != drill.sum);
        let id = path
            .file_stem()
            .unwrap_or_default()
            .to_string_lossy()
            .into();
        self.opened.insert(
            0,
            Listed {
                id,
                number: None,
                drill: Arc::new(drill),
                from: Some(path.to_owned()),
            },
        );
        self.arrange();
        Ok(0)
    }
}
