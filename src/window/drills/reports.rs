//! What came of many attempts: a folder of logs as a table here, and as a page and a table to keep.

use std::path::{Path, PathBuf};

use egui::{Align, Context, Grid, Layout, RichText, ScrollArea, TextEdit, Ui};

use super::finish::{primary, said_ui};
use crate::drill::attempt::folder::{self, Found};
use crate::form::store::{os_words, write_file};
use crate::report::attempts::{self, Attempt};
use crate::report::drills::{both_counts, done_and_said};
use crate::report::telling;
use crate::window::desk::Desk;
use crate::window::desk::browse::{Browse, NONE_HERE, Sought};
use crate::window::desk::work::Work;
use crate::window::look::theme::{Theme, plain, quiet, small, strong, title};
use crate::window::platform::full;

/// Attempts of a folder, and what was left out.
type Read = (Vec<Attempt>, Vec<Found>, Vec<String>);

/// The part of the page that reads attempts.
#[derive(Default)]
pub struct Reports {
    folder: String,
    reading: Option<Work<Read>>,
    read: Option<Read>,
    said: Option<String>,
    written: Vec<PathBuf>,
    browse: Browse,
}

/// Width of a number \[points\].
const NUMBER: f32 = 44.0;

impl Reports {
    /// Whether a folder is being read.
    pub fn busy(&self) -> bool {
        self.reading.is_some()
    }

    /// Closes what was read.
    pub fn forget(&mut self) {
        *self = Self::default();
    }

    /// Begins to read a folder.
    pub fn gather(&mut self, place: &Path, ctx: &Context) {
        self.folder = place.display().to_string();
        (self.said, self.read) = (None, None);
        self.written.clear();
        let (place, wake) = (place.to_owned(), ctx.clone());
        let work = Work::begin(
            move || wake.request_repaint(),
            move |_| {
                let gathered = folder::gather(&place, None).map_err(|e| e.to_string())?;
                let logs = gathered.found.iter();
                let marked = logs.map(|f| Attempt::of(&f.drill, &f.contents)).collect();
                Ok((marked, gathered.found, gathered.left_out))
            },
        );
        match work {
            Ok(work) => self.reading = Some(work),
            Err(why) => self.said = Some(why),
        }
    }

    /// Takes what was read.
    pub fn follow(&mut self) {
        if let Some(outcome) = self.reading.as_ref().and_then(Work::take) {
            self.reading = None;
            match outcome {
                Ok((found, _, left_out)) if found.is_empty() && left_out.is_empty() => {
                    self.said = Some("No attempt is in this folder. Logs end in .attempt".into());
                }
                Ok(read) => self.read = Some(read),
                Err(why) => self.said = Some(why),
            }
        }
    }

    fn write(&mut self) {
        let Some((found, _, left_out)) = &self.read else {
            return;
        };
        let folder = PathBuf::from(self.folder.trim());
        let files = [
            ("report.html", attempts::html(found, left_out)),
            ("report.csv", attempts::csv(found)),
        ];
        self.said = None;
        self.written.clear();
        for (name, text) in files {
            let path = folder.join(name);
            match write_file(&path, text.as_bytes()) {
                Ok(()) => self.written.push(path),
                Err(e) => {
                    self.said = Some(format!(
                        "{} could not be written: {}. Choose another folder",
                        path.display(),
                        os_words(&e)
                    ));
                }
            }
        }
    }

    /// The column: the folder and what to do with it.
    pub fn column_ui(&mut self, ui: &mut Ui, desk: &Desk<'_>) {
        let t = desk.theme;
        let label = ui.label(title("Folder with attempts", 13.0));
        ui.add(
            TextEdit::singleline(&mut self.folder)
                .hint_text("where the logs are, which end in .attempt")
                .desired_width(f32::INFINITY),
        )
        .labelled_by(label.id);
        let ready = !self.folder.trim().is_empty() && !self.busy();
        ui.horizontal_wrapped(|ui| {
            if primary(ui, t, ready, "Read it").clicked() {
                let place = PathBuf::from(self.folder.trim());
                self.gather(&place, ui.ctx());
            }
            if let Some(place) = self.browse.ui(ui, Sought::Folder, "a folder with attempts") {
                self.gather(&place, ui.ctx());
            }
        });
        if self.browse.has_none {
            ui.label(small(t, NONE_HERE));
        }
        ui.label(small(
            t,
            "Put the drills of your own into the same folder; the shipped ones are known. For the instructor: it tells \
             every cause and every answer, so no folder is filled in for whoever sits here next",
        ));
        if let Some(said) = &self.said {
            said_ui(ui, t, said);
        }
        if self.read.is_none() {
            return;
        }
        ui.add_space(8.0);
        if ui.button("Write page and table").clicked() {
            self.write();
        }
        ui.label(small(
            t,
            "report.html opens in any browser, offline, and prints; report.csv opens in a spreadsheet. Both go into \
             the folder and replace those of last time",
        ));
        for path in &self.written {
            let path = full(path);
            ui.label(
                RichText::new(format!("Written: {path}"))
                    .font(plain(12.0))
                    .color(t.good),
            );
            let copy = ui.add(quiet("Copy the path"));
            copy.widget_info(|| {
                egui::WidgetInfo::labeled(egui::Role::Button, true, format!("Copy {path}"))
            });
            if copy.clicked() {
                ui.ctx().copy_text(path);
            }
        }
    }

    /// The sheet: the attempts; the one to go through, if that was asked.
    pub fn sheet_ui(&mut self, ui: &mut Ui, desk: &Desk<'_>) -> Option<Found> {
        let t = desk.theme;
        let Some((marked, logs, left_out)) = &self.read else {
            let words = if self.busy() {
                "Reading"
            } else {
                "Name at the right the folder with the logs of the attempts, then Read it. Who found what, how long it \
                 took and what was unsafe stands here then."
            };
            ui.label(RichText::new(words).color(t.soft));
            return None;
        };
        let mut wanted = None;
        ScrollArea::both()
            .id_salt("attempts read")
            .auto_shrink(false)
            .show(ui, |ui| {
                wanted = table_ui(ui, t, marked);
                for why in left_out {
                    ui.label(small(t, format!("Left out: {why}")));
                }
            });
        logs.get(wanted?).cloned()
    }
}

/// The attempts as a table; the one to go through, if that was asked.
fn table_ui(ui: &mut Ui, t: &Theme, found: &[Attempt]) -> Option<usize> {
    let mut wanted = None;
    let right = found.iter().filter(|a| a.right).count();
    let done: usize = found.iter().map(|a| a.grade.unsafe_acts).sum();
    let said: usize = found.iter().map(|a| a.grade.unsafe_said).sum();
    ui.label(title(
        format!(
            "{}, {right} with the right cause, {}",
            telling::count(found.len(), "attempt"),
            both_counts(done, said).unwrap_or_else(|| "nothing unsafe".to_owned())
        ),
        14.0,
    ));
    Grid::new("attempts")
        .num_columns(9)
        .spacing([18.0, 3.0])
        .striped(true)
        .show(ui, |ui| {
            ui.label(small(t, "who"));
            for head in ["of 100", "minutes", "unsafe"] {
                number_ui(ui, small(t, head));
            }
            for head in ["", "begun", "drill", "said", "it was"] {
                ui.label(small(t, head));
            }
            ui.end_row();
            for (i, a) in found.iter().enumerate() {
                if row_ui(ui, t, a) {
                    wanted = Some(i);
                }
                ui.end_row();
            }
        });
    wanted
}

/// An attempt; whether it is to be gone through.
fn row_ui(ui: &mut Ui, t: &Theme, a: &Attempt) -> bool {
    let cell = |ui: &mut Ui, text: RichText| {
        ui.add(egui::Label::new(text).extend());
    };
    let words = |text: &str| RichText::new(text).font(plain(12.5));
    cell(ui, RichText::new(&a.who).font(strong(12.5)));
    // What was not ended has no marks yet.
    let marks = a
        .marks()
        .map_or_else(|| "-".to_owned(), |g| format!("{:.0}", g.total()));
    let minutes = format!("{:.0}", a.grade.took_s / 60.0);
    for text in [marks, minutes, done_and_said(&a.grade)] {
        number_ui(ui, words(&text));
    }
    // Without an answer there is nothing yet to go through.
    let through = ui.add_enabled(a.said.is_some(), quiet("Go through it"));
    through.widget_info(|| {
        let name = format!("Go through it: {}, {}", a.who, a.drill);
        egui::WidgetInfo::labeled(egui::Role::Button, a.said.is_some(), name)
    });
    cell(ui, words(&a.date()));
    cell(ui, words(&a.drill));
    let said = match (&a.said, a.right) {
        (None, _) => words("no answer").color(t.soft),
        (Some(said), true) => words(&format!("right: {said}")).color(t.good),
        (Some(said), false) => words(&format!("not so: {said}")).color(t.danger),
    };
    cell(ui, said);
    cell(ui, words(&a.truth));
    through.clicked()
}

fn number_ui(ui: &mut Ui, text: RichText) {
    let layout = Layout::right_to_left(Align::Center);
    ui.allocate_ui_with_layout(egui::vec2(NUMBER, 18.0), layout, |ui| {
        ui.set_min_width(NUMBER);
        ui.label(text);
    });
}
