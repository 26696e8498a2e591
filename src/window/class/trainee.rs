//! The trainee's side: the list of names, and one's own attempts and drills.

use egui::{Grid, RichText, ScrollArea, Ui};

use super::instructor::last_width;
use super::{ClassPage, Who, Wish};
use crate::class::standing::{Advice, Marked, Person, Reader};
use crate::report::class::{advice, drill_words, lacks, lesson, outcome};
use crate::report::telling::{count, minutes};
use crate::window::look::pieces::named;
use crate::window::look::theme::{Theme, main_button, plain, small, strong, title};

/// Width of a name on the list \[points\].
const NAME: f32 = 190.0;

impl ClassPage {
    /// The names to pick from.
    pub(super) fn names_ui(&mut self, ui: &mut Ui, t: &Theme) {
        let Some(read) = &self.read else { return };
        ui.label(title("Who are you?", 15.0));
        for told in lacks(&read.class.list) {
            ui.label(small(t, told));
        }
        ui.add_space(4.0);
        let mut picked = None;
        ScrollArea::vertical()
            .id_salt("names")
            .auto_shrink(false)
            .show(ui, |ui| {
                let columns = ((ui.available_width() / (NAME + 10.0)) as usize).max(1);
                Grid::new("names")
                    .num_columns(columns)
                    .spacing([10.0, 8.0])
                    .show(ui, |ui| {
                        for (i, person) in read.class.list.trainees.iter().enumerate() {
                            let words =
                                RichText::new(format!("{}  {}", person.number, person.name))
                                    .font(plain(13.5));
                            let button = egui::Button::new(words)
                                .wrap()
                                .min_size(egui::vec2(NAME, 30.0));
                            ui.scope(|ui| {
                                ui.set_max_width(NAME);
                                if ui.add(button).clicked() {
                                    picked = Some(person.id.clone());
                                }
                            });
                            if (i + 1) % columns == 0 {
                                ui.end_row();
                            }
                        }
                    });
            });
        if let Some(id) = picked {
            (self.who, self.told, self.said) = (Who::Trainee(id), None, None);
        }
    }

    /// Who sits here, at the right.
    pub(super) fn me_ui(&mut self, ui: &mut Ui, t: &Theme) {
        let Some(person) = self.person() else {
            self.who = Who::Nobody;
            return;
        };
        ui.label(title(
            format!("{}, number {}", person.trainee.name, person.trainee.number),
            14.0,
        ));
        ui.add_space(4.0);
        if let Some(lesson) = lesson(person, Reader::Owner) {
            ui.label(
                RichText::new(format!("A lesson that would help: {lesson}")).font(plain(12.5)),
            );
            ui.add_space(4.0);
        }
        ui.label(small(
            t,
            "Every act is kept at once, and you can go on at any computer of the class. An ended attempt opens with its \
             marks when the instructor releases it. A drill that you try again is marked as a retry",
        ));
        ui.add_space(10.0);
        if ui.button("I am done: the next one, please").clicked() {
            (self.who, self.told) = (Who::Nobody, None);
        }
    }

    /// What to try next, one's attempts, the drills.
    pub(super) fn mine_ui(&mut self, ui: &mut Ui, t: &Theme) -> Wish {
        let (Some(person), Some(read)) = (self.person(), &self.read) else {
            self.who = Who::Nobody;
            return Wish::Nothing;
        };
        let (mut drill, mut through) = (None, None);
        ScrollArea::vertical()
            .id_salt("mine")
            .auto_shrink(false)
            .show(ui, |ui| {
                let (next, why) = advice(&read.drills, person, Reader::Owner);
                ui.label(title("What next", 14.0));
                ui.horizontal_wrapped(|ui| {
                    if let Advice::GoOn(name) | Advice::Try(name, _) = person.advice(Reader::Owner)
                    {
                        let verb = if matches!(person.advice(Reader::Owner), Advice::GoOn(_)) {
                            "Go on with it"
                        } else {
                            "Start it"
                        };
                        if ui.add(main_button(t, verb)).clicked() {
                            drill = Some(name.clone());
                        }
                    }
                    ui.label(RichText::new(next).font(strong(13.0)));
                    ui.label(small(t, why));
                });
                ui.add_space(8.0);
                through = attempts_ui(ui, t, person);
                ui.add_space(8.0);
                if let Some(name) = drills_ui(ui, t, person, &read.drills) {
                    drill = Some(name);
                }
            });
        if let Some(i) = through
            && let Some(m) = person.marked.get(i)
        {
            return Wish::GoThrough(Box::new(m.of.found.clone()), person.trainee.name.clone());
        }
        let Some(name) = drill else {
            return Wish::Nothing;
        };
        match self.work(&name) {
            Ok(wish) => wish,
            Err(why) => {
                self.said = Some(why);
                Wish::Nothing
            }
        }
    }
}

/// One's attempts; the place of the one to go through.
fn attempts_ui(ui: &mut Ui, t: &Theme, person: &Person) -> Option<usize> {
    let mut through = None;
    ui.label(title("My attempts", 14.0));
    if person.marked.is_empty() {
        ui.label(small(t, "None yet"));
        return None;
    }
    Grid::new("my attempts")
        .num_columns(5)
        .spacing([16.0, 4.0])
        .striped(true)
        .show(ui, |ui| {
            for head in ["begun", "drill", "", "of 100", ""] {
                ui.label(small(t, head));
            }
            ui.end_row();
            for (i, m) in person.marked.iter().enumerate() {
                ui.label(small(t, m.of.name.date.words()));
                ui.label(RichText::new(drill_words(m)).font(plain(12.5)));
                ui.label(RichText::new(stands(m)).font(plain(12.5)));
                if m.of.released {
                    ui.label(RichText::new(format!("{:.0}", m.grade.total())).font(strong(12.5)));
                    let name = format!("Go through it: {}", drill_words(m));
                    if named(ui, "Go through it", &name) {
                        through = Some(i);
                    }
                } else {
                    ui.label("");
                    ui.label("");
                }
                ui.end_row();
            }
        });
    through
}

/// How one's own attempt stands.
fn stands(m: &Marked) -> String {
    let words = how(m);
    if m.of.damaged.is_some() {
        format!("{words}; a part is damaged")
    } else {
        words
    }
}

fn how(m: &Marked) -> String {
    match (m.is_ended(), m.of.released) {
        (false, _) => format!(
            "under way, {}",
            count(m.of.found.contents.entries.len(), "act")
        ),
        (true, false) => "ended, not released yet".to_owned(),
        (true, true) => format!("{}, {}", outcome(m), minutes(m.grade.took_s / 60.0)),
    }
}

/// The drills of the class in their order; the one to begin.
fn drills_ui(
    ui: &mut Ui,
    t: &Theme,
    person: &Person,
    drills: &[(String, std::sync::Arc<crate::drill::Drill>)],
) -> Option<String> {
    let mut wanted = None;
    ui.label(title("The drills of the class", 14.0));
    if drills.is_empty() {
        ui.label(small(t, "None yet: your instructor puts them in"));
    }
    let right = ui.max_rect().right();
    Grid::new("class drills")
        .num_columns(5)
        .spacing([16.0, 4.0])
        .show(ui, |ui| {
            for (i, (name, drill)) in drills.iter().enumerate() {
                let of: Vec<&Marked> = person
                    .marked
                    .iter()
                    .filter(|m| m.of.name.drill == *name)
                    .collect();
                let open = of.iter().any(|m| !m.is_ended());
                let verb = match (open, of.is_empty()) {
                    (true, _) => "Go on",
                    (false, true) => "Start",
                    (false, false) => "Try again: a retry",
                };
                ui.label(small(t, format!("{}", i + 1)));
                if person.waits_for_release(name) {
                    ui.label(small(t, "ended, not released yet"));
                } else if named(ui, verb, &format!("{verb}: {}", drill.title)) {
                    wanted = Some(name.clone());
                }
                ui.label(RichText::new(&drill.title).font(plain(12.5)));
                ui.label(small(t, if drill.exam { "exam" } else { "training" }));
                ui.scope(|ui| {
                    ui.set_width(last_width(right - ui.cursor().left()));
                    ui.add(egui::Label::new(small(t, &drill.complaint)).wrap());
                });
                ui.end_row();
            }
        });
    wanted
}
