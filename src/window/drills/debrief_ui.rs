//! The debrief on screen: marks and lessons in the column, the acts with their belief bars beneath
//! the open cutaway.

use egui::{Align, Layout, ProgressBar, Rect, RichText, ScrollArea, Sense, Ui, pos2, vec2};

use super::debrief::Debriefing;
use super::finish::primary;
use super::timeline::Line;
use super::{DrillsPage, Stage, words};
use crate::drill::marking::debrief::{LookAlike, Step};
use crate::drill::marking::grade::{Points, is_of, same};
use crate::drill::reasoning::causes::Cause;
use crate::drill::reasoning::causes::cause_words;
use crate::report::letters::{capital, quoted};
use crate::report::telling::{no_shorter, not_here};
use crate::report::{
    drills::{total, why_unsafe},
    marks,
};
use crate::window::desk::Desk;
use crate::window::look::theme::{Theme, plain, quiet, small, strong, title};

/// Width of the bars of a row with their number \[points\]: at most, at least, and the number's own.
const BARS: f32 = 214.0;
const LEAST_BARS: f32 = 120.0;
const PERCENT: f32 = 62.0;

impl DrillsPage {
    /// Marks, what it was, what looked alike, the shortest path.
    pub(super) fn debrief_column_ui(&mut self, ui: &mut Ui, desk: &mut Desk<'_>) {
        let t = desk.theme.clone();
        let Stage::Debrief(d) = &mut self.stage else {
            return;
        };
        let mut closed = false;
        ui.horizontal_wrapped(|ui| {
            if primary(ui, &t, true, "Back to the drills").clicked() {
                closed = true;
            }
            if ui
                .button("Watch it all")
                .on_hover_text("The rig with its true fault goes through every act in front of you")
                .clicked()
            {
                d.show(d.entries.len(), true, desk.snap.generation, desk.send);
            }
        });
        ui.add_space(4.0);
        ui.label(title(capital(&total(&d.grade)), 20.0));
        ui.label(small(&t, format!("{}: {}", d.who, d.drill.title)));
        if d.grade.failed.is_some() {
            let why = "A grave act fails an attempt, whatever else was done";
            ui.label(RichText::new(why).font(plain(12.0)).color(t.danger));
        }
        for (name, p) in d.grade.parts() {
            points_ui(ui, &t, &capital(name), p);
        }
        for n in &d.grade.noticed {
            ui.label(
                RichText::new(format!(
                    "▲ {}. {}",
                    capital(crate::report::drills::rule(n)),
                    why_unsafe(n, &d.drill.scenario.rig, desk.units.system())
                ))
                .font(plain(12.0))
                .color(t.danger),
            );
        }
        for line in not_here(&d.drill, true) {
            ui.label(small(&t, line));
        }
        truth_ui(ui, desk, d);
        if closed {
            self.close_debrief(desk);
        }
    }

    /// The acts, beneath the cutaway.
    pub fn table_ui(&mut self, ui: &mut Ui, desk: &mut Desk<'_>) {
        let t = desk.theme.clone();
        let libraries = self.libraries.clone();
        let Stage::Debrief(d) = &mut self.stage else {
            return;
        };
        table_head_ui(ui, desk, d);
        if let Some(share) = d.share() {
            ui.horizontal(|ui| {
                ui.label(small(&t, "Working out what every cause would have shown"));
                let room = (ui.available_width() - 60.0).max(40.0);
                let bar = ProgressBar::new(share as f32);
                ui.add(bar.desired_width(room).desired_height(8.0).fill(t.brass));
                if ui.add(quiet("Stop")).clicked() {
                    d.stop();
                }
            });
        } else if let Some(why) = d.trouble.clone() {
            ui.horizontal_wrapped(|ui| {
                ui.label(RichText::new(why).font(plain(12.0)).color(t.caution));
                let ctx = ui.ctx().clone();
                if ui.add(quiet("Work it out")).clicked() {
                    d.work_out(&libraries, &ctx);
                }
            });
        }
        if d.charts {
            if let Some(n) = super::debrief_charts::show(ui, desk, d) {
                d.show(n, false, desk.snap.generation, desk.send);
            }
            return;
        }
        let mut wanted = None;
        let marked = d.watched(desk.snap);
        let comes = marked != d.marked;
        d.marked = marked;
        ScrollArea::vertical()
            .id_salt("gone through")
            .auto_shrink(false)
            .show(ui, |ui| {
                ui.spacing_mut().item_spacing.y = 4.0;
                for (i, line) in d.lines.iter().enumerate() {
                    let steps = d.found.as_ref().map_or(&[][..], |f| &f.steps);
                    let before = i.checked_sub(1).and_then(|b| steps.get(b));
                    let step = steps.get(i).map(|s| (s, before));
                    let on = marked == Some(line.n);
                    let accepts = d.found.as_ref().map_or(&[][..], |f| &f.accepts);
                    if step_ui(ui, desk, line, step, accepts, (on, on && comes)) {
                        wanted = Some(line.n);
                    }
                }
            });
        if let Some(n) = wanted {
            d.show(n, false, desk.snap.generation, desk.send);
        }
    }
}

fn table_head_ui(ui: &mut Ui, desk: &Desk<'_>, d: &mut Debriefing) {
    let t = desk.theme;
    ui.spacing_mut().item_spacing.y = 4.0;
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().interact_size.y = 18.0;
        for (charts, name) in [(false, "Act by act"), (true, "Charts")] {
            if ui
                .selectable_label(d.charts == charts, title(name, 14.0))
                .clicked()
            {
                d.charts = charts;
            }
        }
        ui.label(small(t, d.above(desk.snap)));
    });
    if d.found.is_some() && !d.charts {
        ui.label(small(
            t,
            "Bars: belief in the true cause by the readings; beneath it what was suspected, hollow where it was \
             no part of it",
        ));
    }
}

fn points_ui(ui: &mut Ui, t: &Theme, name: &str, p: &Points) {
    ui.add_space(3.0);
    ui.horizontal(|ui| {
        ui.label(RichText::new(name).font(strong(13.0)));
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            ui.label(RichText::new(format!("{:.0} of {:.0}", p.given, p.of)).font(strong(13.0)));
        });
    });
    bar_ui(ui, t, (p.given / p.of.max(1.0)) as f32, true, 6.0);
    ui.label(small(t, quoted(&marks::why(&p.why))));
}

/// A bar; hollow where it stands for something that was not so.
fn bar_ui(ui: &mut Ui, t: &Theme, share: f32, full: bool, height: f32) {
    let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), height), Sense::hover());
    let painter = ui.painter_at(rect);
    painter.rect_filled(rect, 3.0, t.well);
    let long = rect.width() * share.clamp(0.0, 1.0);
    let bar = Rect::from_min_max(rect.min, pos2(rect.left() + long, rect.bottom()));
    if full {
        painter.rect_filled(bar, 3.0, t.accent);
    } else {
        let stroke = egui::Stroke::new(1.2, t.accent);
        painter.rect_stroke(bar, 3.0, stroke, egui::StrokeKind::Inside);
    }
}

/// What it was, and what it is told apart by.
fn truth_ui(ui: &mut Ui, desk: &Desk<'_>, d: &Debriefing) {
    let t = desk.theme;
    ui.add_space(8.0);
    ui.label(title("It was", 13.0));
    for fault in d.drill.cause() {
        let e = fault.entry();
        ui.label(RichText::new(fault.name()).font(strong(14.0)));
        ui.label(small(t, e.words));
        ui.label(RichText::new(format!("Told apart by: {}", e.told_apart)).font(plain(12.0)));
        ui.label(RichText::new(e.caution).font(plain(12.0)).color(t.caution));
    }
    let Some(found) = &d.found else {
        return;
    };
    if found.accepts.len() > 1 {
        let others: Vec<String> = found.accepts[1..].iter().map(cause_words).collect();
        ui.label(small(
            t,
            format!("Counts as right too, since the tests on the path do not rule it out and the same repair mends it: {}", others.join("; ")),
        ));
    }
    ui.add_space(8.0);
    ui.label(title("The shortest path", 13.0));
    let shown = if let Some(sooner) = found.sooner {
        ui.label(small(t, no_shorter(sooner)));
        0
    } else {
        found.best.len()
    };
    let steps = found.best.iter().zip(&found.best_took).take(shown);
    for (i, ((check, belief), took)) in steps.enumerate() {
        let step = words::step(*check, *took);
        ui.label(RichText::new(format!("{}. {step}", i + 1)).font(plain(12.5)));
        ui.label(small(t, format!("then {} sure", words::belief(*belief))));
    }
    if !found.look_alikes.is_empty() {
        ui.add_space(8.0);
        ui.label(title("What looked alike", 13.0));
        ui.label(small(
            t,
            "by the catalogue and the obvious steps (look, listen, flow pressure, lock-up), with what is believed of each after those",
        ));
    }
    for l in &found.look_alikes {
        look_alike_ui(ui, desk, l);
    }
}

fn look_alike_ui(ui: &mut Ui, desk: &Desk<'_>, l: &LookAlike) {
    ui.add_space(3.0);
    let name = capital(&cause_words(&l.cause));
    ui.label(RichText::new(format!("{name}, {}", words::belief(l.belief))).font(strong(12.5)));
    let words = marks::apart(l, desk.units.system());
    ui.label(small(desk.theme, words));
    if let Some((_, here)) = l.here {
        super::debrief_charts::beside_ui(ui, desk.theme, here, &l.there);
    }
}

/// One act with what the readings said then; whether its moment is asked for.
fn step_ui(
    ui: &mut Ui,
    desk: &Desk<'_>,
    line: &Line,
    step: Option<(&Step, Option<&Step>)>,
    accepts: &[Cause],
    (on, comes): (bool, bool),
) -> bool {
    let t = desk.theme;
    let edge = if on { t.accent } else { t.edge };
    let mut asked = false;
    let frame = egui::Frame::new()
        .fill(if on { t.accent_wash } else { t.card })
        .stroke(egui::Stroke::new(1.0, edge))
        .corner_radius(crate::window::look::theme::CORNER)
        .inner_margin(egui::Margin::symmetric(9, 4))
        .show(ui, |ui| {
            ui.set_width(ui.available_width());
            ui.spacing_mut().item_spacing.y = 1.0;
            ui.spacing_mut().interact_size.y = 18.0;
            asked = head_ui(ui, t, line, step.map(|s| s.0), accepts);
            words_ui(ui, desk, line);
            if let Some((step, before)) = step {
                said_ui(ui, t, step, before);
            }
        });
    if comes {
        frame.response.scroll_to_me(None);
    }
    asked
}

/// Clock, what was done, and at the right how far the readings had come by then.
fn head_ui(ui: &mut Ui, t: &Theme, line: &Line, step: Option<&Step>, accepts: &[Cause]) -> bool {
    let mut asked = false;
    let bars = (0.3 * ui.available_width()).clamp(LEAST_BARS, BARS);
    ui.horizontal(|ui| {
        let show = ui.add(egui::Button::new(RichText::new("Show").font(plain(11.5))).small());
        show.widget_info(|| {
            egui::WidgetInfo::labeled(
                egui::Role::Button,
                true,
                format!("Show the moment after act {}", line.n),
            )
        });
        asked = show
            .on_hover_text("The rig with its true fault at this moment, in the cutaway above")
            .clicked();
        ui.label(
            RichText::new(words::clock(line.end_s))
                .font(strong(12.0))
                .color(t.accent),
        );
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            if let Some(step) = step {
                ui.allocate_ui(vec2(bars, 18.0), |ui| beliefs_ui(ui, t, step, accepts));
            }
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                let words = RichText::new(&line.words).font(strong(12.5));
                ui.add(egui::Label::new(words).wrap());
            });
        });
    });
    asked
}

/// What it showed and what was unsafe about it.
fn words_ui(ui: &mut Ui, desk: &Desk<'_>, line: &Line) {
    let t = desk.theme;
    let told = line.told(desk.units);
    if !told.is_empty() {
        ui.label(RichText::new(told.join("   ")).font(plain(12.0)));
    }
    for (rule, why) in line.noticed(desk.units) {
        ui.label(
            RichText::new(format!("▲ Unsafe: {rule}. {why}"))
                .font(plain(12.0))
                .color(t.danger),
        );
    }
    if let Some(why) = line.uncounted {
        ui.label(small(t, why));
    }
}

/// What the readings said, where it is not what they said before.
fn said_ui(ui: &mut Ui, t: &Theme, step: &Step, before: Option<&Step>) {
    let mut parts: Vec<String> = words::gained(step).into_iter().collect();
    let says = words::says(step);
    if before.is_none_or(|b| words::says(b) != says) {
        parts.push(format!("Readings so far: {says}"));
    }
    if let Some(next) = words::best_next(step)
        && before.is_none_or(|b| words::best_next(b).as_ref() != Some(&next))
    {
        parts.push(format!("Best next: {next}"));
    }
    if !parts.is_empty() {
        ui.label(small(t, parts.join(". ")));
    }
}

/// Belief in the true cause from the readings so far, and beneath it the trainee's suspicion.
fn beliefs_ui(ui: &mut Ui, t: &Theme, step: &Step, accepts: &[Cause]) {
    let belief = words::belief(step.truth);
    let mut words = format!("True cause, by the readings: {belief}");
    let response = ui
        .horizontal(|ui| {
            let room = ui.available_width() - PERCENT;
            ui.vertical(|ui| {
                ui.set_width(room);
                ui.spacing_mut().item_spacing.y = 2.0;
                if step.suspicion.is_none() {
                    ui.add_space(5.0);
                }
                bar_ui(ui, t, step.truth as f32, true, 7.0);
                if let Some((cause, sure)) = &step.suspicion {
                    let (what, right) = suspected(cause, accepts);
                    bar_ui(ui, t, *sure as f32, right, 5.0);
                    words.push_str("\nSuspected: ");
                    words.push_str(&what);
                    words.push_str(", ");
                    words.push_str(&words::belief(*sure));
                }
            });
            ui.label(small(t, belief));
        })
        .response;
    response.widget_info(|| {
        egui::WidgetInfo::labeled(
            egui::Role::ProgressIndicator,
            true,
            words.replace('\n', "; "),
        )
    });
    response.on_hover_text(words);
}

/// What was suspected in words, and whether it was right, or a part of what is.
fn suspected(cause: &Cause, accepts: &[Cause]) -> (String, bool) {
    let right = accepts.iter().any(|a| is_of(a, cause));
    let part = right && !accepts.iter().any(|a| same(a, cause));
    let of = if part { " (part of it)" } else { "" };
    (cause_words(cause) + of, right)
}
