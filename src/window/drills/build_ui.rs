//! The form of a drill being built, and its preview: what the trainee will read, how hard it is,
//! and why it cannot be solved where that is so.

use egui::{ComboBox, DragValue, PopupCloseBehavior, ProgressBar, RichText, Role, ScrollArea};
use egui::{Slider, TextEdit, Ui, WidgetInfo, vec2};
use std::path::PathBuf;

use super::build::{Build, MOST_FAULTS, Planned, advice};
use super::finish::primary;
use super::finish::said_ui;
use super::libraries::Libraries;
use super::list::{at_hand_ui, complaint_ui, marks_ui};
use super::{DrillsPage, Part, words};
use crate::diagnosis::files::account::{Complaint, words as words_in};
use crate::drill::attempt::rig_of;
use crate::drill::making::file::Drill;
use crate::drill::reasoning::causes::cause_words;
use crate::drill::reasoning::difficulty::Assessment;
use crate::fault::Family;
use crate::report::letters::capital;
use crate::report::telling::{WORKING_OUT, appliances, short_and_hard, tells_its_fault};
use crate::sim::Command;
use crate::units::System;
use crate::visit::Tool;
use crate::window::desk::Desk;
use crate::window::desk::browse::{NONE_HERE, Sought};
use crate::window::look::pieces::radio;
use crate::window::look::theme::{Theme, plain, quiet, small, strong, title};
use crate::window::platform::is_there;

/// From this width on the form has two columns \[points\].
const TWO_COLUMNS: f32 = 560.0;

impl Build {
    /// The form.
    pub fn form_ui(&mut self, ui: &mut Ui, desk: &Desk<'_>, libraries: &Libraries) {
        let t = desk.theme;
        let ctx = ui.ctx().clone();
        self.on_screen = true;
        ScrollArea::vertical()
            .id_salt("build")
            .auto_shrink(false)
            .show(ui, |ui| {
                if self.wish_ui(ui, t) {
                    self.make(&ctx, libraries);
                }
                if let Some(path) = self.reopen_ui(ui, t) {
                    self.reopen(&path, &ctx, libraries);
                }
                ui.separator();
                if ui.available_width() < TWO_COLUMNS {
                    self.story_ui(ui, desk);
                    self.faults_ui(ui, t, desk.units.system());
                    self.tools_ui(ui, t);
                    self.must_not_ui(ui, t);
                    self.marks_ui(ui, t);
                    return;
                }
                let left = egui::Layout::top_down(egui::Align::LEFT);
                ui.spacing_mut().item_spacing.x = 22.0;
                ui.columns(2, |columns| {
                    columns[0].with_layout(left, |ui| {
                        ui.spacing_mut().item_spacing.x = 8.0;
                        self.story_ui(ui, desk);
                        self.faults_ui(ui, t, desk.units.system());
                    });
                    columns[1].with_layout(left, |ui| {
                        ui.spacing_mut().item_spacing.x = 8.0;
                        self.tools_ui(ui, t);
                        self.must_not_ui(ui, t);
                        self.marks_ui(ui, t);
                    });
                });
            });
    }

    fn story_ui(&mut self, ui: &mut Ui, desk: &Desk<'_>) {
        let label = ui.label(title("Title", 13.0));
        ui.add(TextEdit::singleline(&mut self.title).desired_width(f32::INFINITY))
            .labelled_by(label.id);
        let label = ui.label(title("What the owner says", 13.0));
        let complaint = TextEdit::multiline(&mut self.complaint)
            .hint_text("in the owner's words, without the cause")
            .desired_rows(3)
            .desired_width(f32::INFINITY);
        ui.add(complaint).labelled_by(label.id);
        ui.label(
            "Do these words report escaping gas (a smell, a hiss or a roar, a leak, bubbles)?",
        )
        .on_hover_text("Then nothing is lit before leak fluid or a leak check has looked for it");
        ui.horizontal(|ui| {
            for (reports, words) in [(true, "They do"), (false, "They do not")] {
                let words = RichText::new(words).font(plain(12.5));
                radio(ui, desk.theme, &mut self.gas_told, Some(reports), words);
            }
        });
        self.complains_ui(ui);
        ui.horizontal_wrapped(|ui| {
            ui.label(title("Rig", 13.0));
            let names: Vec<String> = self.rigs.iter().map(|r| r.0.clone()).collect();
            let now = names.get(self.rig).map_or("none", String::as_str);
            let combo = ComboBox::from_id_salt("rig of the drill")
                .selected_text(now)
                .show_ui(ui, |ui| {
                    for (i, name) in names.iter().enumerate() {
                        ui.selectable_value(&mut self.rig, i, name);
                    }
                });
            let told = format!("Rig: {now}");
            combo
                .response
                .widget_info(|| WidgetInfo::labeled(Role::ComboBox, true, &told));
            let take = ui.button("Take the rig on show");
            if take
                .on_hover_text("The scenario that runs now, healthy, becomes the drill's rig")
                .clicked()
            {
                self.take_rig(&desk.snap.scenario);
            }
        });
        if let Some((_, scenario)) = self.rigs.get(self.rig) {
            if !scenario.summary.is_empty() {
                ui.label(small(desk.theme, desk.units.prose(&scenario.summary)));
            }
            ui.label(small(desk.theme, appliances(&scenario.rig)));
        }
        ui.horizontal(|ui| {
            let label = ui.label("Ends after");
            let limit = DragValue::new(&mut self.limit_min)
                .range(5.0..=480.0)
                .speed(1.0)
                .suffix(" min");
            ui.add(limit).labelled_by(label.id);
        });
    }

    /// What the owner's words are a complaint of, so that sealing can hold the rig to it.
    fn complains_ui(&mut self, ui: &mut Ui) {
        let said: Vec<&str> = self
            .complains_of
            .iter()
            .map(|c| words_in(&Complaint::ALL, c))
            .collect();
        let now = if said.is_empty() {
            "not held to any".to_owned()
        } else {
            said.join(", ")
        };
        ui.horizontal_wrapped(|ui| {
            let label = ui.label("The rig must show");
            let combo = ComboBox::from_id_salt("what it is a complaint of")
                .width((ui.available_width() - 10.0).clamp(120.0, 300.0))
                .truncate()
                .close_behavior(PopupCloseBehavior::CloseOnClickOutside)
                .selected_text(&now)
                .show_ui(ui, |ui| {
                    for (words, complaint) in Complaint::ALL {
                        let mut on = self.complains_of.contains(&complaint);
                        if ui.checkbox(&mut on, words).changed() {
                            self.complains_of.retain(|c| *c != complaint);
                            self.complains_of.extend(on.then_some(complaint));
                        }
                    }
                });
            let told = format!("The rig must show: {now}");
            combo
                .response
                .on_hover_text(
                    "What the owner's words are a complaint of. A drill whose rig shows no sign of it is not sealed",
                )
                .labelled_by(label.id)
                .widget_info(|| WidgetInfo::labeled(Role::ComboBox, true, &told));
        });
    }

    fn take_rig(&mut self, scenario: &crate::scenario::Scenario) {
        let mut scenario = scenario.clone();
        scenario.events.clear();
        let known = self.rigs.iter().position(|r| r.1 == scenario);
        self.rig = known.unwrap_or_else(|| {
            self.rigs.push((scenario.title.clone(), scenario));
            self.rigs.len() - 1
        });
    }

    fn faults_ui(&mut self, ui: &mut Ui, t: &Theme, units: System) {
        ui.add_space(6.0);
        let mut removed = None;
        let many = self.faults.len() > 1;
        let rig = self.rigs.get(self.rig);
        let containers = rig.map_or(1, |(_, scenario)| scenario.rig.containers.len());
        for (i, planned) in self.faults.iter_mut().enumerate() {
            let name = if many {
                format!("Hidden fault {}", i + 1)
            } else {
                "Hidden fault".to_owned()
            };
            ui.horizontal(|ui| {
                ui.label(title(&name, 13.0));
                if many && ui.add(quiet("Leave it out")).clicked() {
                    removed = Some(i);
                }
            });
            planned.which.fit(containers);
            planned_ui(ui, t, units, planned, i);
        }
        if let Some(i) = removed {
            self.faults.remove(i);
        }
        if self.faults.len() < MOST_FAULTS && ui.add(quiet("A second fault")).clicked() {
            self.faults.push(Planned::default());
        }
    }

    fn tools_ui(&mut self, ui: &mut Ui, t: &Theme) {
        ui.label(title("At hand, and the minutes each costs", 13.0));
        ui.spacing_mut().item_spacing.y = 2.0;
        ui.spacing_mut().interact_size.y = 20.0;
        for (tool, on, m) in &mut self.tools {
            ui.horizontal(|ui| {
                let always = Tool::ALWAYS.contains(tool);
                let words = RichText::new(words::tool(*tool)).font(plain(12.5));
                ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                    let cost = DragValue::new(m)
                        .range(0.0..=240.0)
                        .speed(0.1)
                        .suffix(" min");
                    let cost = ui.add_enabled(*on || always, cost);
                    let name = format!("Minutes: {}", tool.words());
                    cost.widget_info(|| WidgetInfo::labeled(Role::SpinButton, true, &name));
                    ui.with_layout(egui::Layout::left_to_right(egui::Align::Center), |ui| {
                        if always {
                            let mut yes = true;
                            let fixed = egui::Checkbox::new(&mut yes, words);
                            ui.add_enabled(false, fixed);
                        } else {
                            ui.checkbox(on, words);
                        }
                    });
                });
            });
        }
        ui.label(small(t, "Eyes, ears, burners and valve are always there"));
        ui.spacing_mut().item_spacing.y = 6.0;
    }

    fn must_not_ui(&mut self, ui: &mut Ui, t: &Theme) {
        ui.add_space(6.0);
        ui.label(title("Must not be done", 13.0));
        let mut removed = None;
        for (i, (tool, why)) in self.must_not.iter_mut().enumerate() {
            ui.horizontal(|ui| {
                let now = words::tool(*tool);
                let combo = ComboBox::from_id_salt(("must not", i))
                    .width(150.0)
                    .selected_text(RichText::new(&now).font(plain(12.0)))
                    .show_ui(ui, |ui| {
                        for other in Tool::ALL {
                            ui.selectable_value(tool, other, words::tool(other));
                        }
                    });
                let told = format!("Must not be done: {now}");
                combo
                    .response
                    .widget_info(|| WidgetInfo::labeled(Role::ComboBox, true, &told));
                if ui.add(quiet("Leave it out")).clicked() {
                    removed = Some(i);
                }
            });
            let field = TextEdit::singleline(why)
                .hint_text("why, as the trainee reads it")
                .desired_width(f32::INFINITY);
            let name = format!("Why not: {}", tool.words());
            ui.add(field)
                .widget_info(|| WidgetInfo::labeled(Role::TextInput, true, &name));
        }
        if let Some(i) = removed {
            self.must_not.remove(i);
        }
        ui.horizontal_wrapped(|ui| {
            if ui.add(quiet("Forbid something")).clicked() {
                self.must_not.push((Tool::Screw, String::new()));
            }
            ui.label(small(t, "it counts as unsafe, with your reason"));
        });
    }

    /// What the marks are made of, and when judgements are answered.
    fn marks_ui(&mut self, ui: &mut Ui, t: &Theme) {
        ui.add_space(6.0);
        ui.label(title("Judgements and marks", 13.0));
        for (exam, words) in [
            (false, "Training: answered at once"),
            (true, "Exam: answered at the end"),
        ] {
            let text = RichText::new(words).font(plain(12.5));
            radio(ui, t, &mut self.exam, exam, text);
        }
        let words = RichText::new("Ask before each test why that one").font(plain(12.5));
        ui.checkbox(&mut self.asks_why, words);
        ui.horizontal_wrapped(|ui| {
            for (name, of) in self.weights.named_mut() {
                // A number stays beside its name.
                ui.horizontal(|ui| {
                    let label = ui.label(RichText::new(capital(name)).font(plain(12.5)));
                    let weight = DragValue::new(of)
                        .range(0.0..=100.0)
                        .speed(1.0)
                        .max_decimals(0);
                    ui.add(weight).labelled_by(label.id);
                });
            }
        });
        let sum = self.weights.sum();
        let words = if self.weights.is_whole() {
            "They sum to 100, as they must".to_owned()
        } else {
            format!("They must sum to 100, and sum to {sum:.0}")
        };
        ui.label(small(t, words));
    }

    /// A drill that is there already, to be changed; its file, once it is chosen.
    fn reopen_ui(&mut self, ui: &mut Ui, t: &Theme) -> Option<PathBuf> {
        let mut chosen = None;
        ui.horizontal_wrapped(|ui| {
            let label = ui.label(title("Or change one", 13.0));
            let field = TextEdit::singleline(&mut self.reopens)
                .hint_text("path of a drill file, sealed or not")
                .desired_width((ui.available_width() - 190.0).clamp(120.0, 380.0));
            ui.add(field).labelled_by(label.id);
            let path = self.reopens.trim();
            let ready = !path.is_empty() && !self.busy();
            if ui
                .add_enabled(ready, egui::Button::new("Open it"))
                .clicked()
            {
                chosen = Some(PathBuf::from(path));
            }
            if let Some(path) = self.browse[0].ui(ui, Sought::Drill, "a drill to change") {
                chosen = Some(path);
            }
        });
        ui.label(small(
            t,
            "All of it comes into the form, its hidden faults too: for whoever made it. Saved again, it is another drill; \
             attempts at the old one stay with the old file",
        ));
        if self.browse.iter().any(|b| b.has_none) {
            ui.label(small(t, NONE_HERE));
        }
        chosen
    }

    /// What is asked for, where a drill is made to order; whether it is to be made.
    fn wish_ui(&mut self, ui: &mut Ui, t: &Theme) -> bool {
        let family = self
            .wish
            .family
            .map_or("any family".to_owned(), |f| capital(f.words()));
        let level = self.wish.level.map_or("any level".to_owned(), |l| {
            format!("level {l}, {}", words::level(l))
        });
        let mut clicked = false;
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().combo_width = 60.0;
            ui.label(title("Ask for one", 13.0));
            let combo = ComboBox::from_id_salt("family wished")
                .selected_text(&family)
                .show_ui(ui, |ui| {
                    ui.selectable_value(&mut self.wish.family, None, "any family");
                    for f in Family::ALL {
                        ui.selectable_value(&mut self.wish.family, Some(f), capital(f.words()));
                    }
                });
            combo.response.widget_info(|| {
                WidgetInfo::labeled(Role::ComboBox, true, format!("Family: {family}"))
            });
            let combo = ComboBox::from_id_salt("level wished")
                .selected_text(&level)
                .show_ui(ui, |ui| {
                    ui.selectable_value(&mut self.wish.level, None, "any level");
                    for l in 1..=5 {
                        let words = format!("level {l}, {}", words::level(l));
                        ui.selectable_value(&mut self.wish.level, Some(l), words);
                    }
                });
            combo.response.widget_info(|| {
                WidgetInfo::labeled(Role::ComboBox, true, format!("How hard: {level}"))
            });
            for (n, words) in [(1, "one fault"), (2, "two faults")] {
                let text = RichText::new(words).font(plain(12.5));
                if ui.selectable_label(self.wish.faults == n, text).clicked() {
                    self.wish.faults = n;
                }
            }
            let seed = DragValue::new(&mut self.wish.seed).prefix("seed ");
            let seed = ui.add(seed.range(1..=999_999));
            seed.on_hover_text("The same seed gives the same drill")
                .widget_info(|| WidgetInfo::labeled(Role::SpinButton, true, "Seed"));
            clicked = ui
                .add_enabled(!self.busy(), egui::Button::new("Make it"))
                .clicked();
        });
        ui.label(small(
            t,
            "It fills in the form below; change what you like, or put down a drill of your own from the start",
        ));
        clicked
    }
}

fn planned_ui(ui: &mut Ui, t: &Theme, units: System, planned: &mut Planned, i: usize) {
    planned.which.one_ui(ui, t, &format!("hidden {i}"));
    let label = ui.label("Severity");
    ui.spacing_mut().slider_width = (ui.available_width() - 70.0).max(60.0);
    let slider = Slider::new(&mut planned.severity, 5.0..=95.0)
        .step_by(1.0)
        .fixed_decimals(0)
        .suffix(" %");
    ui.add(slider).labelled_by(label.id);
    if let Some([fault]) = planned.which.cause().as_deref() {
        let meaning = (fault.entry().meaning)(planned.severity / 100.0, units);
        ui.label(RichText::new(meaning).font(strong(12.5)));
    }
    ui.horizontal_wrapped(|ui| {
        let label = ui.label("Begins at");
        let at = DragValue::new(&mut planned.at_min)
            .range(0.0..=240.0)
            .speed(0.2)
            .suffix(" min");
        ui.add(at).labelled_by(label.id);
        let label = ui.label("comes on over");
        let over = DragValue::new(&mut planned.over_min)
            .range(0.0..=240.0)
            .speed(0.2)
            .suffix(" min");
        ui.add(over).labelled_by(label.id);
    });
}

impl DrillsPage {
    /// The preview of a drill being built, and what to do with it.
    pub(super) fn preview_ui(&mut self, ui: &mut Ui, desk: &mut Desk<'_>) {
        let t = desk.theme.clone();
        if self.build.busy() {
            ui.label(small(&t, "Working out what every cause would show"));
            let bar = ProgressBar::new(self.build.share() as f32);
            ui.add(bar.desired_height(8.0).fill(t.brass));
            if ui.add(quiet("Stop")).clicked() {
                self.build.stop();
            }
        }
        if let Some((said, wrong)) = &self.build.said {
            if *wrong {
                said_ui(ui, &t, said);
            } else {
                ui.label(RichText::new(said).font(plain(12.5)).color(t.good));
            }
        }
        match self.build.drill() {
            Err(missing) => {
                ui.label(title("Still needed", 13.0));
                for m in missing {
                    ui.label(m);
                }
            }
            Ok(drill) => self.judged_ui(ui, desk, &drill),
        }
    }

    fn judged_ui(&mut self, ui: &mut Ui, desk: &mut Desk<'_>, drill: &Drill) {
        let t = desk.theme.clone();
        if let Some(why) = tells_its_fault(drill) {
            ui.label(RichText::new(why).font(plain(12.5)).color(t.caution));
        }
        let found = self.build.found().map(|j| j.1.clone());
        let ctx = ui.ctx().clone();
        match &found {
            None if !self.build.busy() => {
                if primary(ui, &t, true, "Can it be solved?").clicked() {
                    self.build.judge(&ctx, &self.libraries);
                }
                ui.label(small(
                    &t,
                    format!("Runs a whole visit for every cause on this rig, which takes {WORKING_OUT}; from then on every change is judged by itself"),
                ));
            }
            None => {}
            Some(Ok(found)) => solvable_ui(ui, &t, found),
            Some(Err(why)) => {
                ui.label(
                    RichText::new("It cannot be solved")
                        .font(strong(14.0))
                        .color(t.danger),
                );
                ui.label(capital(&why.to_string()));
                ui.label(small(&t, advice(why)));
            }
        }
        ui.add_space(4.0);
        if ui
            .button("Watch the rig with it")
            .on_hover_text("Puts rig and faults on show, cutaway open")
            .clicked()
        {
            desk.send.push(Command::Lend(Box::new(rig_of(drill))));
            desk.send.push(Command::Play);
            self.wants_cutaway = true;
        }
        if matches!(found, Some(Ok(_))) {
            self.save_ui(ui, &t);
        }
        ui.add_space(6.0);
        ui.label(title("The trainee reads", 13.0));
        ui.label(RichText::new(&drill.title).font(strong(13.0)));
        complaint_ui(ui, &t, drill);
        at_hand_ui(ui, &t, drill);
        marks_ui(ui, &t, drill);
    }

    fn save_ui(&mut self, ui: &mut Ui, t: &Theme) {
        let label = ui.label(title("Hand it out", 13.0));
        ui.add(
            TextEdit::singleline(&mut self.build.path)
                .hint_text("path, e.g. my-drill.toml")
                .desired_width(f32::INFINITY),
        )
        .labelled_by(label.id);
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing = vec2(5.0, 4.0);
            let picked = self.build.browse[1].ui(ui, Sought::NewDrill, "where the drill goes");
            if let Some(path) = picked {
                // The dialog has asked already whether to replace what is there.
                self.build.replaces = is_there(&path).then(|| path.clone());
                self.build.path = path.display().to_string();
            }
            let ready = !self.build.path.trim().is_empty();
            let verb = if self.build.replaces.is_some() {
                "Replace it"
            } else {
                "Save it sealed"
            };
            if primary(ui, t, ready, verb).clicked() {
                self.build.save();
            }
            let saved = self.build.said.as_ref().is_some_and(|s| !s.1);
            if saved && ui.button("Try it").clicked() {
                let path = self.build.path.trim().to_owned();
                self.open(std::path::Path::new(&path));
                self.part = Part::Try;
            }
        });
        ui.label(small(
            t,
            "The faults are coded in the file so that they are not read by chance; it is no secrecy",
        ));
    }
}

fn solvable_ui(ui: &mut Ui, t: &Theme, found: &Assessment) {
    let d = &found.difficulty;
    ui.label(
        RichText::new(format!(
            "It can be solved. Level {}, {}",
            d.level(),
            words::level(d.level())
        ))
        .font(strong(14.0))
        .color(t.good),
    );
    ui.label(small(
        t,
        format!(
            "{}; the best path takes {}",
            capital(&words::alike_at_first(d.look_alikes)),
            words::path_takes(d)
        ),
    ));
    if let Some(why) = short_and_hard(d) {
        ui.label(small(t, why));
    }
    if found.accepts.len() > 1 {
        let others: Vec<String> = found.accepts[1..].iter().map(cause_words).collect();
        ui.label(small(
            t,
            format!(
                "Counts as right too, since the tests on the path do not rule it out and the same repair mends it: {}",
                others.join("; ")
            ),
        ));
    }
    ui.label(RichText::new("The best path").font(plain(12.0)));
    let steps = found.path.steps.iter().zip(&found.path.took);
    for (i, ((check, belief), took)) in steps.enumerate() {
        let step = words::step(*check, *took);
        ui.label(small(
            t,
            format!("{}. {step}, then {} sure", i + 1, words::belief(*belief)),
        ));
    }
}
