//! The middle of an attempt: the complaint, what happened so far, and what goes on now.

use egui::{ProgressBar, RichText, ScrollArea, Ui};

use super::finish::said_ui;
use super::finish::suspected;
use super::list::complaint_ui;
use super::working::{Column, Working};
use super::{DrillsPage, Stage, timeline};
use crate::drill::attempt::act::{Act, VERDICTS, verdict_word};
use crate::report::letters::capital;
use crate::window::desk::Desk;
use crate::window::look::theme::{Theme, plain, quiet, strong, title};

/// Height kept for what goes on now \[points\].
const FOOT: f32 = 34.0;
/// Height of the row in which a test is judged \[points\].
const JUDGE: f32 = 30.0;

impl DrillsPage {
    /// Draws it; whether the person leaves for now.
    pub(super) fn working_sheet_ui(&mut self, ui: &mut Ui, desk: &Desk<'_>) -> bool {
        let t = desk.theme;
        let Stage::Working(w) = &mut self.stage else {
            return false;
        };
        let mut leaves = false;
        ui.horizontal(|ui| {
            ui.label(title("What the owner says", 13.0));
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                leaves = ui
                    .add(quiet("Leave for now"))
                    .on_hover_text("The log keeps every act; go on whenever you like")
                    .clicked();
            });
        });
        complaint_ui(ui, t, &w.drill);
        if w.drill.exam {
            let words = crate::report::telling::judging(true);
            ui.label(RichText::new(words).font(plain(12.0)).color(t.soft));
        }
        if let Some(why) = &w.broken {
            said_ui(ui, t, why);
        }
        ui.add_space(2.0);
        super::seen::show(ui, desk, w);
        let suspected = suspected(w).unwrap_or("No suspicion noted yet");
        ui.label(RichText::new(suspected).font(plain(12.0)).color(t.soft));
        let foot = if w.to_judge.is_some() && !w.busy() {
            FOOT + JUDGE
        } else {
            FOOT
        };
        let room = (ui.available_height() - foot).max(40.0);
        ScrollArea::vertical()
            .id_salt("acts")
            .auto_shrink(false)
            .max_height(room)
            .stick_to_bottom(true)
            .show(ui, |ui| {
                ui.spacing_mut().item_spacing.y = 5.0;
                if w.lines.is_empty() {
                    begin_ui(ui, t, w.drill.exam);
                }
                timeline::show(ui, t, desk.units, &w.lines);
            });
        judge_ui(ui, t, w);
        foot_ui(ui, t, w);
        leaves
    }
}

/// How an attempt goes, for who has not done one yet.
fn begin_ui(ui: &mut Ui, t: &Theme, exam: bool) {
    let judged = if exam {
        "A test tells numbers, not whether they are in order: judge it beneath, by what the trade allows. This is an exam: how right that was is told at its end"
    } else {
        "A test tells numbers, not whether they are in order: judge it beneath, by what the trade allows"
    };
    ui.add_space(6.0);
    ui.label(title("Find out what is wrong with this rig", 14.0));
    for (n, words) in [
        "The container is open, all burners are off now. Measure at the right: eyes and ears first, with nothing lit. What it showed stands here",
        "Where the owner speaks of gas (a smell, a hiss or a roar, bubbles), look for it with leak fluid at the joints or a leak check before anything is lit",
        "Then light burners at the left, and read a gauge or make one of the tests. Tests that light burners themselves say so",
        judged,
        "Suspect something? Note it at the right; that costs no time",
        "Sure enough? Answer at the right: cause, action, and how you leave it. That ends the drill",
    ]
    .iter()
    .enumerate()
    {
        ui.horizontal_top(|ui| {
            ui.label(RichText::new(format!("{}", n + 1)).font(strong(13.0)).color(t.accent));
            ui.add(egui::Label::new(RichText::new(*words).font(plain(13.0))).wrap());
        });
    }
}

/// The test just made waits for a judgement: what it told stands above, what it comes to is the trainee's to say.
fn judge_ui(ui: &mut Ui, t: &Theme, w: &mut Working) {
    let Some(test) = w.to_judge.filter(|_| !w.busy()) else {
        return;
    };
    ui.horizontal(|ui| {
        ui.set_height(JUDGE);
        let asked = format!("Your judgement of {}", test.words());
        ui.label(RichText::new(asked).font(strong(12.5)));
        for verdict in VERDICTS {
            let words = capital(verdict_word(verdict));
            let button = ui.button(RichText::new(&words).font(plain(12.5)));
            let name = format!("Judge {}: {words}", test.words());
            button.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, true, &name));
            if button.clicked() {
                w.order(Act::Judge(verdict));
            }
        }
        let told = if w.drill.exam {
            "answered at the end"
        } else {
            "answered at once"
        };
        ui.label(RichText::new(told).font(plain(11.5)).color(t.soft));
    });
}

/// What goes on now, or why the last act was not done.
fn foot_ui(ui: &mut Ui, t: &Theme, w: &Working) {
    ui.horizontal(|ui| {
        if w.busy() {
            let share = w.share();
            let words = match w.doing() {
                _ if !w.view.begun => "Setting up the rig".to_owned(),
                Some(act) => format!("{act}, {:.0} %", 100.0 * share),
                None => "At it".to_owned(),
            };
            ui.label(RichText::new(words).font(plain(12.5)).color(t.soft));
            let bar = ProgressBar::new(share as f32)
                .desired_width((ui.available_width() - 110.0).max(60.0))
                .desired_height(8.0)
                .fill(t.brass);
            ui.add(bar);
            if w.view.begun
                && ui
                    .add(quiet("Give it up"))
                    .on_hover_text("The rig goes back to where it was; nothing is noted")
                    .clicked()
            {
                w.cancel();
            }
        } else if let Some(why) = &w.refused {
            let text = RichText::new(format!("Not done: {why}"))
                .font(strong(12.5))
                .color(t.caution);
            ui.add(egui::Label::new(text).wrap());
        }
    });
}

/// What the right-hand column shows, to choose.
pub fn columns_ui(ui: &mut Ui, w: &mut Working) {
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing.x = 3.0;
        ui.spacing_mut().button_padding.x = 8.0;
        for (column, words) in [
            (Column::Do, "Measure"),
            (Column::Suspect, "Suspect"),
            (Column::Answer, "Answer"),
        ] {
            let on = w.column == column;
            let text = RichText::new(words).font(if on { strong(13.0) } else { plain(13.0) });
            if ui.selectable_label(on, text).clicked() {
                w.column = column;
            }
        }
    });
}
