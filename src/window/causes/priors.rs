//! How common each cause is before anything is read: the table of priors, to be seen and changed.
//! What was changed goes with the readings, into their file too; the answer is asked for again.

use egui::{DragValue, Grid, RichText, ScrollArea, Ui};

use super::CausesPage;
use crate::diagnosis::files::prior::{Line, Origin, weight};
use crate::fault::{Family, Fault};
use crate::report::letters::capital;
use crate::window::desk::Desk;
use crate::window::look::theme::{plain, quiet, strong, title};

/// Largest weight that can be set: a thousand times a rare fault's.
const LARGEST: f64 = 1000.0;

/// Under this width names and grades wrap \[points\].
const WIDE: f32 = 700.0;

/// A label that wraps in a grid's column of this width, level with its row.
pub(super) fn wrapped(ui: &mut Ui, width: f32, text: RichText) -> egui::Response {
    let galley = egui::WidgetText::from(text.clone()).into_galley(
        ui,
        Some(egui::TextWrapMode::Wrap),
        width,
        egui::FontSelection::Default,
    );
    let size = egui::vec2(width, galley.size().y);
    let left = egui::Layout::top_down(egui::Align::LEFT);
    ui.allocate_ui_with_layout(size, left, |ui| {
        ui.set_width(width);
        ui.add(egui::Label::new(text).wrap())
    })
    .inner
}

/// A cause by the name people use.
fn name_of(cause: Option<Fault>) -> String {
    cause.map_or_else(|| "No fault".to_owned(), |f| capital(&f.name()))
}

/// Whether a line differs from the table that ships.
fn changed(line: &Line) -> bool {
    line.grade == Origin::Given
}

impl CausesPage {
    /// Which of its two sheets the page shows.
    pub(super) fn switch_ui(&mut self, ui: &mut Ui, desk: &Desk<'_>) {
        let count = self.priors.changed().len();
        let table = match count {
            0 => "How common each cause is".to_owned(),
            n => format!("How common each cause is ({n} changed)"),
        };
        ui.horizontal_wrapped(|ui| {
            for (priors, words) in [(false, "Answer"), (true, table.as_str())] {
                if ui
                    .selectable_label(self.priors_open == priors, words)
                    .clicked()
                {
                    self.priors_open = priors;
                }
            }
            let first = self.likeliest().map(|c| {
                let share = crate::report::percent::belief(c.probability);
                format!("now first: {}, {share}", c.name)
            });
            if let Some(words) = first.filter(|_| self.priors_open) {
                let text = RichText::new(words)
                    .font(strong(12.5))
                    .color(desk.theme.ink);
                ui.label(text);
            }
        });
    }

    /// The table of priors.
    pub(super) fn priors_ui(&mut self, ui: &mut Ui, desk: &Desk<'_>) {
        let t = desk.theme;
        ui.label(
            RichText::new(
                "What you would bet before reading anything: a weight of 4 is met four times as often as a weight of 1. \
                 No statistics of the trade are behind it; change what your own years say otherwise. Drag a number, or \
                 click it and type.",
            )
            .font(plain(12.0))
            .color(t.soft),
        );
        let mut again = false;
        ui.horizontal_wrapped(|ui| {
            let any = !self.priors.changed().is_empty();
            if ui
                .add_enabled(any, egui::Button::new("Reset all"))
                .clicked()
            {
                self.priors = super::Priors::default();
                again = true;
            }
            let words = match self.priors.changed().len() {
                0 => "nothing changed; all as shipped".to_owned(),
                n => format!("{n} changed; saved with the readings file"),
            };
            ui.label(RichText::new(words).font(plain(12.0)).color(t.soft));
        });
        ui.add_space(2.0);
        ScrollArea::vertical()
            .id_salt("priors")
            .auto_shrink(false)
            .show(ui, |ui| again |= self.priors_table_ui(ui, desk));
        // Only an answer that stands is asked for again; one on its way is asked for when done.
        self.again |= again && self.asked.is_some();
        if self.again && !self.busy() {
            self.again = false;
            self.ask(desk, ui.ctx());
        }
    }

    fn priors_table_ui(&mut self, ui: &mut Ui, desk: &Desk<'_>) -> bool {
        let t = desk.theme;
        let lines = self.priors.lines().to_vec();
        let mut again = false;
        let widths = if ui.available_width() < WIDE {
            [166.0, 96.0]
        } else {
            [290.0, 230.0]
        };
        Grid::new("priors")
            .num_columns(5)
            .spacing([8.0, 3.0])
            .show(ui, |ui| {
                for head in ["Cause", "Weight", "Share", "Where it comes from", ""] {
                    ui.label(RichText::new(head).font(plain(11.5)).color(t.soft));
                }
                ui.end_row();
                again |= self.line_ui(ui, desk, &lines[0], widths);
                for family in Family::ALL {
                    let own = |l: &&Line| l.cause.is_some_and(|f| f.entry().family == family);
                    ui.label(title(capital(family.words()), 12.5));
                    ui.end_row();
                    for line in lines.iter().filter(own) {
                        again |= self.line_ui(ui, desk, line, widths);
                    }
                }
            });
        ui.label(
            RichText::new("Besides these, 1 % is kept for a cause that is not in the list (invented). Causes that the rig cannot have drop out, and the rest share.")
                .font(plain(11.5))
                .color(t.soft),
        );
        again
    }

    /// One cause; whether its weight is settled anew.
    fn line_ui(&mut self, ui: &mut Ui, desk: &Desk<'_>, line: &Line, widths: [f32; 2]) -> bool {
        let t = desk.theme;
        let name = name_of(line.cause);
        let on = changed(line);
        let (font, ink) = if on {
            (strong(12.5), t.accent)
        } else {
            (plain(12.5), t.ink)
        };
        let label = wrapped(ui, widths[0], RichText::new(&name).font(font).color(ink));
        let mut value = line.weight;
        let drag = DragValue::new(&mut value)
            .range(0.0..=LARGEST)
            .max_decimals(2)
            .speed(0.05);
        let drag = ui.add(drag).labelled_by(label.id);
        let mut again = drag.drag_stopped() || drag.lost_focus();
        if drag.changed() {
            self.priors.set(line.cause, value);
        }
        let share = 100.0 * self.priors.share(line.cause);
        ui.label(RichText::new(format!("{share:.1} %")).font(plain(12.5)));
        let (was, grade) = weight(line.cause, &[]);
        let from = if on {
            format!("changed, was {was} ({})", grade.words())
        } else {
            grade.words().to_owned()
        };
        let ink = if on { t.accent } else { t.soft };
        wrapped(
            ui,
            widths[1],
            RichText::new(from).font(plain(12.0)).color(ink),
        );
        if on {
            let reset = ui.add(quiet("Reset"));
            reset.widget_info(|| {
                egui::WidgetInfo::labeled(egui::Role::Button, true, format!("Reset {name}"))
            });
            if reset.clicked() {
                self.priors.reset(line.cause);
                again = true;
            }
        }
        ui.end_row();
        // A click into the field and out of it changes nothing.
        again
            && self
                .asked
                .as_ref()
                .is_some_and(|r| r.priors != self.priors.changed())
    }
}
