//! The lessons on screen: the list with progress, the questions, and what came of the predictions.

use egui::{ProgressBar, RichText, TextEdit, Ui};

use super::show::part_of;
use super::{LessonsPage, Open, Stage, Tried};
use crate::drill::lesson::{
    Answers, Lesson, Observed, Outcome, Question, Twist, screen, shown, unit_on_show,
};
use crate::report::letters::capital;
use crate::units::{System, parse_number};
use crate::window::desk::Desk;
use crate::window::look::pieces::radio;
use crate::window::look::show::{THOU, clock};
use crate::window::look::theme::{Theme, plain, quiet, small, strong, title};
use std::sync::Arc;

/// Longest name of a person.
const NAME_CHARS: usize = 60;

impl LessonsPage {
    /// Draws the column.
    pub fn column_ui(&mut self, ui: &mut Ui, desk: &mut Desk<'_>) {
        self.want();
        if self.open.is_some() {
            self.lesson_ui(ui, desk);
        } else {
            self.list_ui(ui, desk);
        }
        if let Some(said) = &self.said {
            let text = RichText::new(said).font(plain(12.5));
            ui.label(text.color(desk.theme.danger));
        }
    }

    fn list_ui(&mut self, ui: &mut Ui, desk: &mut Desk<'_>) {
        let t = desk.theme.clone();
        ui.label(title("Lessons", 14.0));
        let done = |l: &Arc<Lesson>| self.progress.lessons.get(&l.id).copied();
        let count = self.lessons.iter().filter(|l| done(l).is_some()).count();
        ui.label(small(
            &t,
            format!(
                "{count} of {} done. Predict, watch the rig, compare",
                self.lessons.len()
            ),
        ));
        let label = ui.label(small(&t, "Whose progress"));
        let field = TextEdit::singleline(&mut self.who)
            .char_limit(NAME_CHARS)
            .hint_text("your name")
            .desired_width(f32::INFINITY);
        if ui.add(field).labelled_by(label.id).changed() {
            (self.read, self.said) = (false, None);
        }
        // A line either way: what stands below must not move while a name is typed.
        let kept = if self.who.trim().is_empty() {
            "Kept for all here who give no name"
        } else {
            "Kept under this name"
        };
        ui.label(small(&t, kept))
            .on_hover_text("Of one who gives a name it is kept apart; the others share what is kept on this computer");
        ui.add_space(2.0);
        let mut chosen = None;
        for (i, lesson) in self.lessons.iter().enumerate() {
            let record = done(lesson);
            let words = match record {
                Some(r) if self.progress.comes_back(&lesson.id) => {
                    format!("comes back: {} of {} right the last time", r.last, r.of)
                }
                Some(r) => format!("done, {} of {} right", r.best, r.of),
                None => match lesson.questions.len() {
                    1 => "1 question".to_owned(),
                    n => format!("{n} questions"),
                },
            };
            let name =
                RichText::new(format!("{}. {}", i + 1, lesson.title)).font(if record.is_some() {
                    plain(13.0)
                } else {
                    strong(13.0)
                });
            ui.spacing_mut().item_spacing.y = 1.0;
            let left = egui::Layout::top_down_justified(egui::Align::LEFT);
            let button = egui::Button::new(name).frame_when_inactive(false).wrap();
            if ui.with_layout(left, |ui| ui.add(button)).inner.clicked() {
                chosen = Some(lesson.clone());
            }
            ui.spacing_mut().interact_size.y = 16.0;
            ui.horizontal(|ui| {
                ui.add_space(10.0);
                let ink = match record {
                    Some(_) if self.progress.comes_back(&lesson.id) => t.caution,
                    Some(r) if r.best == r.of => t.good,
                    // Gone through, and not yet known.
                    Some(_) => t.caution,
                    None => t.soft,
                };
                ui.label(RichText::new(words).font(plain(11.5)).color(ink));
            });
            ui.add_space(3.0);
        }
        ui.spacing_mut().item_spacing.y = 6.0;
        ui.spacing_mut().interact_size.y = 26.0;
        if let Some(lesson) = chosen {
            self.choose(&lesson, desk);
        }
        ui.add_space(6.0);
        let label = ui.label(title("A lesson of your own", 13.0));
        ui.add(
            TextEdit::singleline(&mut self.path)
                .hint_text("path of a lesson file")
                .desired_width(f32::INFINITY),
        )
        .labelled_by(label.id);
        let ready = !self.path.trim().is_empty();
        if ui
            .add_enabled(ready, egui::Button::new("Open it"))
            .clicked()
        {
            let path = self.path.trim().to_owned();
            self.open_file(std::path::Path::new(&path), desk);
        }
    }

    fn lesson_ui(&mut self, ui: &mut Ui, desk: &mut Desk<'_>) {
        let t = desk.theme.clone();
        let ctx = ui.ctx().clone();
        let next = self.next();
        let Some(open) = &mut self.open else {
            return;
        };
        let closed = ui.add(quiet("← All lessons")).clicked();
        ui.label(title(&open.lesson.title, 15.0));
        open.units_on_show(desk.units.system());
        let system = open.system;
        ui.label(RichText::new(shown(&open.lesson.about, system)).font(plain(12.5)));
        ui.add_space(4.0);
        let mut runs = false;
        let mut goes_on = false;
        let mut anew = false;
        let mut turns = false;
        let mut moment = None;
        match &mut open.stage {
            Stage::Predicting => runs = predicting_ui(ui, &t, open),
            Stage::Running {
                work,
                observed,
                hurried,
                ..
            } => {
                let share = desk.snap.readings.time_s / open.lesson.scenario.run.duration_s;
                ui.label("Watch the rig: it goes through the lesson at the left");
                let bar = ProgressBar::new(share.clamp(0.0, 1.0) as f32);
                ui.add(bar.desired_height(8.0).fill(t.brass));
                let words = if observed.is_some() {
                    "Measured: the answer comes when the run has ended".to_owned()
                } else {
                    format!("Measuring, {:.0} %", 100.0 * work.share())
                };
                ui.label(small(&t, words));
                if ui.button("Tell me the answer now").clicked() {
                    *hurried = true;
                }
            }
            Stage::Told {
                observed,
                twisted: true,
                tried,
                ..
            } => {
                // What was asked and told is of the run as it was, and stands there.
                if let Some(twist) = &open.lesson.twist {
                    turns = twist_ui(ui, &t, twist, true, system);
                }
                let through = desk.snap.front_s >= open.lesson.scenario.run.duration_s;
                tried_ui(ui, &t, &open.lesson, (tried, observed), through, system);
            }
            Stage::Told {
                outcomes,
                observed,
                at,
                ..
            } => {
                let right = outcomes.iter().filter(|o| o.right).count();
                ui.label(title(format!("{right} of {} right", outcomes.len()), 15.0));
                let questions = open.lesson.questions.iter().zip(outcomes.iter());
                for (i, (q, o)) in questions.enumerate() {
                    let said = said(q, open.chosen[i], &open.typed[i], system);
                    told_ui(ui, &t, q, &said, o, system);
                    if moment_ui(ui, &t, &open.lesson, observed, i, i == *at, system) {
                        moment = Some(i);
                    }
                }
                let words =
                    "Any other moment: click a chart, or drag along the ruler under the charts";
                ui.label(small(&t, words));
                if let Some(twist) = &open.lesson.twist {
                    turns = twist_ui(ui, &t, twist, false, system);
                }
                ui.add_space(4.0);
                ui.label(title("Measured in this run", 13.0));
                for line in &observed.lines {
                    ui.label(RichText::new(capital(&shown(line, system))).font(plain(12.0)));
                }
                ui.horizontal_wrapped(|ui| {
                    if next.is_some() && ui.button("Next lesson").clicked() {
                        goes_on = true;
                    }
                    anew = ui.button("Once more").clicked();
                });
            }
        }
        if system == System::Us && open.lesson.measures.iter().any(|m| m.unit.symbol == "mil") {
            ui.label(small(&t, THOU));
        }
        if runs {
            self.run(desk, &ctx);
        }
        if turns {
            self.turn_twist(desk.snap, desk.send, &ctx);
        }
        if let Some(i) = moment {
            self.show_moment(i, desk.send);
        }
        let again = self.open.as_ref().filter(|_| anew);
        if let Some(lesson) = again.map(|o| o.lesson.clone()) {
            self.choose(&lesson, desk);
        }
        if closed {
            self.close(desk);
        } else if let (true, Some(next)) = (goes_on, next) {
            self.choose(&next, desk);
        }
    }

    /// The lesson after the open one: what comes back, else the next of the shipped ones.
    fn next(&self) -> Option<Arc<Lesson>> {
        let open = &self.open.as_ref()?.lesson.id;
        let others = self.lessons.iter().filter(|l| l.id != *open);
        let back = others.filter(|l| self.progress.comes_back(&l.id));
        let at = |l: &&Arc<Lesson>| self.progress.lessons.get(&l.id).map_or(0, |r| r.at);
        if let Some(back) = back.min_by_key(at) {
            return Some(back.clone());
        }
        let place = self.lessons.iter().position(|l| l.id == *open)?;
        self.lessons.get(place + 1).cloned()
    }
}

/// The questions; whether the rig is to run.
fn predicting_ui(ui: &mut Ui, t: &Theme, open: &mut Open) -> bool {
    for (i, q) in open.lesson.questions.iter().enumerate() {
        ui.add_space(3.0);
        let label = ui.label(RichText::new(shown(&q.ask, open.system)).font(strong(13.0)));
        match &q.answers {
            Answers::Choices(choices) => {
                ui.spacing_mut().item_spacing.y = 3.0;
                ui.spacing_mut().interact_size.y = 20.0;
                for (k, (words, _)) in choices.iter().enumerate() {
                    let text = RichText::new(shown(words, open.system)).font(plain(12.5));
                    radio(ui, t, &mut open.chosen[i], Some(k), text);
                }
                ui.spacing_mut().item_spacing.y = 6.0;
            }
            Answers::Number { unit, .. } => {
                ui.horizontal(|ui| {
                    ui.add(TextEdit::singleline(&mut open.typed[i]).desired_width(80.0))
                        .labelled_by(label.id);
                    ui.label(screen(unit_on_show(unit, open.system)));
                });
                let typed = open.typed[i].trim();
                if !typed.is_empty() && parse_number(typed).is_none() {
                    ui.label(
                        RichText::new("A number alone, in the unit beside it")
                            .font(plain(12.0))
                            .color(t.danger),
                    );
                }
            }
        }
    }
    ui.add_space(4.0);
    let ready = open.predictions().is_some();
    let text = RichText::new("Run the rig").font(strong(13.0));
    let button = if ready {
        egui::Button::new(text.color(t.on_accent)).fill(t.brass)
    } else {
        egui::Button::new(text)
    };
    let runs = ui.add_enabled(ready, button).clicked();
    let words = if ready {
        "Its own rig plays at the left; what is right is measured on it"
    } else {
        "Predict first: a guess teaches more than none"
    };
    ui.label(small(t, words));
    runs
}

/// The moment at which a question is answered; whether it is to be shown.
fn moment_ui(
    ui: &mut Ui,
    t: &Theme,
    lesson: &Lesson,
    observed: &Observed,
    i: usize,
    shows: bool,
    system: System,
) -> bool {
    let key = lesson.questions[i].key;
    let (Some(line), Some(at_s)) = (observed.lines.get(key), observed.at_s.get(key)) else {
        return false;
    };
    let at = clock(*at_s, 0);
    if shows {
        let words = format!("This is the moment, {at}: {}", shown(line, system));
        ui.label(small(t, words));
        return false;
    }
    let words = format!("Show {at}: {}", part_of(lesson.questions[i].part).name());
    ui.add(egui::Button::new(RichText::new(words).font(plain(12.5))).wrap())
        .clicked()
}

/// What there is to try; whether it is to be done, or undone.
fn twist_ui(ui: &mut Ui, t: &Theme, twist: &Twist, twisted: bool, system: System) -> bool {
    ui.add_space(4.0);
    ui.label(title("Now try this", 13.0));
    ui.label(RichText::new(shown(&twist.say, system)).font(plain(12.5)));
    let words = format!("Watch: {}", shown(&twist.watch, system));
    ui.label(RichText::new(words).font(plain(12.5)));
    let turns = ui
        .button(if twisted {
            "Back to the run as it was"
        } else {
            "Try it"
        })
        .clicked();
    if twisted {
        let words = "The run as it was stays in the charts: dashes with the letter A";
        ui.label(small(t, words));
    }
    turns
}

/// What was measured with the twist, beside what it was without, once the run with it has gone through.
fn tried_ui(
    ui: &mut Ui,
    t: &Theme,
    lesson: &Lesson,
    (tried, before): (&Tried, &Observed),
    through: bool,
    system: System,
) {
    ui.add_space(4.0);
    ui.label(title("Measured in this run", 13.0));
    match tried {
        Tried::Measured(Err(why)) => {
            let words = format!("It was not measured: {why}");
            ui.label(RichText::new(words).font(plain(12.5)).color(t.danger));
        }
        Tried::Measured(Ok(tried)) if through => {
            for line in lesson.beside(tried, before) {
                ui.label(RichText::new(capital(&shown(&line, system))).font(plain(12.0)));
            }
        }
        _ => {
            ui.label(small(t, "The figures come when the run has ended"));
        }
    }
}

/// A prediction in words.
fn said(q: &Question, chosen: Option<usize>, typed: &str, system: System) -> String {
    match &q.answers {
        Answers::Choices(choices) => chosen
            .and_then(|k| choices.get(k))
            .map_or_else(String::new, |c| shown(&c.0, system)),
        Answers::Number { unit, .. } => {
            format!("{} {}", typed.trim(), screen(unit_on_show(unit, system)))
        }
    }
}

fn told_ui(ui: &mut Ui, t: &Theme, q: &Question, said: &str, o: &Outcome, system: System) {
    ui.add_space(4.0);
    ui.label(RichText::new(shown(&q.ask, system)).font(strong(13.0)));
    let ink = if o.right { t.good } else { t.danger };
    let told = shown(&q.told(said, o), system);
    ui.label(RichText::new(told).font(strong(13.0)).color(ink));
    ui.label(RichText::new(shown(&o.explain, system)).font(plain(12.5)));
}
