//! The answer: causes with their probabilities, for the chosen one what it foretells beside what
//! was read and which reading speaks for or against it, what to do, and the best next test.

use egui::{Rect, RichText, Role, ScrollArea, Sense, Ui, WidgetInfo, pos2, vec2};

use super::priors::wrapped;
use super::typed::shown;
use super::{CausesPage, Wanted, Which, ink_of};
use crate::diagnosis::answer::{Answer, Cause};
use crate::diagnosis::inference::safety::Danger;
use crate::report::causes::{self as told, Speaks};
use crate::report::letters::capital;
use crate::report::percent::belief;
use crate::report::visit::band;
use crate::visit::ALL;
use crate::window::desk::Desk;
use crate::window::faults::caution;
use crate::window::look::theme::{Theme, plain, strong, title};

/// From this width on list and chosen cause stand side by side \[points\].
const TWO_COLUMNS: f32 = 700.0;

/// Tests listed at most.
const NEXT: usize = 3;

impl CausesPage {
    /// The sheet in the middle.
    pub fn sheet_ui(&mut self, ui: &mut Ui, desk: &mut Desk<'_>) -> Wanted {
        self.switch_ui(ui, desk);
        if self.priors_open {
            self.priors_ui(ui, desk);
            return Wanted::Nothing;
        }
        let Some(answer) = self.state.answer.take() else {
            self.empty_ui(ui, desk);
            return Wanted::Nothing;
        };
        let mut wanted = Wanted::Nothing;
        ScrollArea::vertical()
            .id_salt("answer")
            .auto_shrink(false)
            .show(ui, |ui| wanted = self.answer_ui(ui, desk, &answer));
        self.state.answer = Some(answer);
        wanted
    }

    fn empty_ui(&self, ui: &mut Ui, desk: &Desk<'_>) {
        ui.label(title("Causes", 15.0));
        let words = if self.busy() {
            "At work"
        } else {
            "Fill in what was read, then Find causes. Every cause is weighed by how well simulated visits to \
             a rig with that fault agree with your readings."
        };
        ui.label(RichText::new(words).color(desk.theme.soft));
        if self.busy() {
            return;
        }
        let begin = "Three readings are enough to begin with: outlet at half load, outlet at full load, lock-up after a minute. The answer then \
             says which test would tell most next.";
        let of = match self.rig {
            Which::Standard => {
                "Asked of the standard rig: one cylinder, an integral two-stage regulator, five appliances. It answers at once. For \
                 another vehicle build or open its rig and choose “rig on show”."
            }
            Which::OnShow => {
                "Asked of the rig on show: visits to it are simulated first. A first answer comes within seconds, and it grows for some minutes."
            }
            Which::OfFile => {
                "Asked of the rig that came with the readings: visits to it are simulated first. A first answer comes within seconds, and it \
                 grows for some minutes."
            }
        };
        for words in [begin, of] {
            ui.add_space(4.0);
            ui.label(RichText::new(words).color(desk.theme.soft));
        }
    }

    fn answer_ui(&mut self, ui: &mut Ui, desk: &mut Desk<'_>, answer: &Answer) -> Wanted {
        let t = desk.theme.clone();
        if answer.danger != Danger::None || !answer.refer.is_empty() {
            danger_ui(ui, desk, answer);
        }
        if let Some(why) = answer.no_gas {
            caution(ui, desk, told::no_gas(why));
        }
        if let Some(words) = told::unnamed(answer) {
            caution(ui, desk, &words);
        }
        for told in told::seen(answer).into_iter().chain(told::nearest(answer)) {
            ui.label(RichText::new(told).font(strong(13.0)).color(t.ink));
        }
        for note in told::notes(answer, desk.units.system(), false) {
            ui.label(RichText::new(note).font(strong(13.0)).color(t.ink));
        }
        let mut wanted = Wanted::Nothing;
        self.chosen = self.chosen.min(answer.causes.len().saturating_sub(1));
        // What nothing explains has no culprit, and nothing is foretold or advised for one.
        let explained = !answer.is_unnamed();
        let chosen = |page: &Self| answer.causes.get(page.chosen).filter(|_| explained);
        if ui.available_width() < TWO_COLUMNS {
            self.list_ui(ui, desk, answer);
            // In short before the chosen cause, which is long.
            if let Some(words) = told::next_in_short(answer) {
                ui.label(RichText::new(words).font(strong(12.5)));
            }
            if let Some(cause) = chosen(self) {
                wanted = self.cause_ui(ui, desk, answer, cause);
            }
            next_ui(ui, desk, answer);
            return wanted;
        }
        let left = egui::Layout::top_down(egui::Align::LEFT);
        ui.spacing_mut().item_spacing.x = 22.0;
        ui.columns(2, |columns| {
            columns[0].with_layout(left, |ui| {
                ui.spacing_mut().item_spacing.x = 8.0;
                self.list_ui(ui, desk, answer);
                next_ui(ui, desk, answer);
            });
            if let Some(cause) = chosen(self) {
                columns[1].with_layout(left, |ui| {
                    ui.spacing_mut().item_spacing.x = 8.0;
                    wanted = self.cause_ui(ui, desk, answer, cause);
                });
            }
        });
        ui.label(
            RichText::new(format!(
                "{} A simulator is no instrument: local codes and the licensed technician decide.",
                told::rests_on(answer)
            ))
            .font(plain(11.5))
            .color(t.soft),
        );
        wanted
    }

    fn list_ui(&mut self, ui: &mut Ui, desk: &Desk<'_>, answer: &Answer) {
        let t = desk.theme;
        let explained = !answer.is_unnamed();
        let heading = if explained {
            "Likely causes"
        } else {
            "No cause fits"
        };
        ui.label(title(heading, 15.0));
        ui.spacing_mut().item_spacing.y = 4.0;
        let pairs = answer.pairs.iter().filter(|p| p.probability > 0.02).take(3);
        let pairs: Vec<_> = pairs.collect();
        let mut rows: Vec<(f64, String, Option<usize>)> = answer
            .causes
            .iter()
            .enumerate()
            .map(|(i, cause)| (cause.probability, cause.name.clone(), Some(i)))
            .chain(pairs.iter().map(|p| (p.probability, told::both(p), None)))
            .collect();
        rows.sort_by(|a, b| b.0.total_cmp(&a.0));
        for (probability, name, place) in rows {
            let on = explained && place == Some(self.chosen);
            if bar_ui(ui, t, &name, probability, on) {
                self.chosen = place.unwrap_or(self.chosen);
            }
        }
        let listed = answer.causes.iter().map(|c| c.probability).sum::<f64>()
            + pairs.iter().map(|p| p.probability).sum::<f64>();
        if let Some(others) = told::others(answer, listed) {
            bar_ui(ui, t, "others together", others, false);
        }
        bar_ui(ui, t, "none of these", answer.none_of_these, false);
        if let Some(words) = told::pair_first(answer) {
            ui.label(RichText::new(words).font(plain(12.0)).color(t.ink));
        }
        let alike: Vec<&str> = answer
            .groups
            .iter()
            .filter(|g| g.causes.len() > 1 && !g.here && g.probability > 0.05)
            .map(|g| g.name.as_str())
            .collect();
        let note = |ui: &mut Ui, text: String| {
            ui.label(RichText::new(text).font(plain(12.0)).color(t.soft));
        };
        if !alike.is_empty() {
            let names = alike.join("; ");
            note(
                ui,
                format!("No test of this visit tells these apart: {names}"),
            );
        }
        for g in answer.alike_here() {
            note(
                ui,
                format!(
                    "{}: {}",
                    belief(g.probability),
                    told::alike(g, answer.danger)
                ),
            );
        }
        if let Some(looks) = told::hangs_on(answer) {
            ui.label(RichText::new(looks).font(plain(13.0)).color(t.ink));
        }
    }

    fn cause_ui(
        &mut self,
        ui: &mut Ui,
        desk: &mut Desk<'_>,
        answer: &Answer,
        cause: &Cause,
    ) -> Wanted {
        let t = desk.theme.clone();
        let mut wanted = Wanted::Nothing;
        ui.label(title(capital(&cause.name), 15.0));
        if let Some([mean, spread]) = cause.severity {
            ui.label(
                RichText::new(format!(
                    "Severity {:.places$} ± {:.places$} %: {}",
                    100.0 * mean,
                    100.0 * spread,
                    cause.worth(desk.units.system()),
                    places = told::places(mean) - 2,
                ))
                .color(t.soft),
            );
        }
        ui.horizontal_wrapped(|ui| {
            let show = egui::Button::new(
                RichText::new("Show me")
                    .font(strong(13.0))
                    .color(t.on_accent),
            )
            .fill(t.brass);
            if ui
                .add(show)
                .on_hover_text(
                    "Puts it into the rig, beside the healthy twin, and opens the cutaway",
                )
                .clicked()
            {
                self.show_me(cause, desk);
                wanted = Wanted::Cutaway;
            }
            let prior = format!(
                "before any reading {} ({})",
                belief(cause.prior),
                cause.prior_grade.words()
            );
            ui.label(RichText::new(prior).font(plain(12.0)).color(t.soft));
        });
        readings_ui(ui, desk, cause);
        section(ui, &t, "What to do", &told::action(answer, cause));
        if let Some((heading, words)) = told::told_apart(answer, cause) {
            section(ui, &t, &capital(heading), &desk.units.prose(words));
        }
        let (heading, words) = told::caution(cause);
        caution(ui, desk, &format!("{}: {words}", capital(heading)));
        wanted
    }
}

fn danger_ui(ui: &mut Ui, desk: &Desk<'_>, answer: &Answer) {
    let t = desk.theme;
    egui::Frame::new()
        .stroke(egui::Stroke::new(1.5, t.danger))
        .corner_radius(crate::window::look::theme::CORNER)
        .inner_margin(egui::Margin::symmetric(12, 8))
        .show(ui, |ui| {
            ui.set_width(ui.available_width());
            for words in told::at_once(answer) {
                ui.label(RichText::new(words).font(strong(15.0)).color(t.danger));
            }
            ui.label(
                RichText::new(told::stop(answer))
                    .font(strong(13.5))
                    .color(t.danger),
            );
            for why in &answer.refer {
                ui.label(desk.units.prose(&capital(&told::refer(*why))));
            }
        });
}

/// A row with a bar for its probability; whether it was clicked.
fn bar_ui(ui: &mut Ui, t: &Theme, name: &str, probability: f64, on: bool) -> bool {
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), 26.0), Sense::click());
    response.widget_info(|| {
        WidgetInfo::selected(
            Role::Button,
            true,
            on,
            format!("{}, {}", capital(name), belief(probability)),
        )
    });
    let edge = if on || response.hovered() || response.has_focus() {
        egui::Stroke::new(1.3, t.accent)
    } else {
        egui::Stroke::new(1.0, t.edge)
    };
    let painter = ui.painter_at(rect.expand(1.0));
    painter.rect(rect, 6.0, t.card, edge, egui::StrokeKind::Inside);
    let long = (rect.width() - 4.0) * probability.clamp(0.0, 1.0) as f32;
    let bar = Rect::from_min_size(rect.min + vec2(2.0, 2.0), vec2(long, rect.height() - 4.0));
    painter.rect_filled(bar, 5.0, t.accent_wash);
    let middle = rect.center().y;
    let number = painter.text(
        pos2(rect.right() - 8.0, middle),
        egui::Align2::RIGHT_CENTER,
        belief(probability),
        strong(12.5),
        t.ink,
    );
    painter
        .with_clip_rect(Rect::from_min_max(
            rect.min,
            pos2(number.left() - 6.0, rect.bottom()),
        ))
        .text(
            pos2(rect.left() + 9.0, middle),
            egui::Align2::LEFT_CENTER,
            capital(name),
            if on { strong(12.5) } else { plain(12.5) },
            t.ink,
        );
    response.clicked()
}

/// What the cause foretells, beside what was read; loudest first.
fn readings_ui(ui: &mut Ui, desk: &Desk<'_>, cause: &Cause) {
    let t = desk.theme;
    let u = desk.units;
    let mut read: Vec<_> = cause
        .readings
        .iter()
        .filter(|r| !r.is_of_place())
        .filter_map(|r| r.measured.map(|m| (r, m)))
        .collect();
    // What fits a little better or worse than elsewhere tells nothing; where nothing else was read, that is shown.
    if read.iter().any(|(r, _)| told::says_something(r)) {
        read.retain(|(r, _)| told::says_something(r));
    }
    read.sort_by(|a, b| b.0.favour.abs().total_cmp(&a.0.favour.abs()));
    let soft = |text: &str| RichText::new(text).font(plain(11.5)).color(t.soft);
    let even = !read.is_empty() && read.iter().all(|(r, _)| told::speaks(r) == Speaks::Neutral);
    // Room for the three columns of values; long names wrap.
    let name_width = (ui.available_width() - 300.0).clamp(80.0, 220.0);
    egui::Grid::new("expected")
        .min_row_height(16.0)
        .num_columns(4)
        .spacing([10.0, 1.0])
        .show(ui, |ui| {
            ui.spacing_mut().interact_size.y = 16.0;
            for head in ["", "read", "expected", "speaks"] {
                ui.label(soft(head));
            }
            ui.end_row();
            for (r, measured) in read {
                let speaks = told::speaks(r);
                let name = RichText::new(capital(r.words)).font(plain(12.0));
                wrapped(ui, name_width, name);
                let mark = if r.is_brought { "≈ " } else { "" };
                let value = format!("{mark}{}", shown(r.item, measured, u));
                let value = ui.label(RichText::new(value).font(strong(12.0)));
                if r.is_brought {
                    value.on_hover_text(
                        "Worked out from what was read elsewhere or under other conditions",
                    );
                }
                ui.label(
                    RichText::new(band(ALL[r.item].id, r.range, u.system())).font(plain(12.0)),
                );
                let word = RichText::new(speaks.word()).font(strong(12.0));
                ui.label(word.color(ink_of(speaks, t)));
                ui.end_row();
            }
        });
    if even {
        ui.label(soft(
            "No reading speaks for or against this cause by itself: the next test tells more.",
        ));
    }
}

fn section(ui: &mut Ui, t: &Theme, heading: &str, text: &str) {
    ui.label(RichText::new(heading).font(plain(11.5)).color(t.soft));
    ui.label(text);
}

/// The tests worth making next.
fn next_ui(ui: &mut Ui, desk: &Desk<'_>, answer: &Answer) {
    let t = desk.theme;
    ui.add_space(8.0);
    ui.label(title("Next test", 15.0));
    let offers = told::next(answer, NEXT);
    if offers.is_empty() {
        ui.label(RichText::new(told::no_test(answer)).color(t.soft));
    } else if !told::any_decides(&offers) {
        let words = "No test that is left parts these causes by itself: what was read decides as far as it does, and a part \
                     in the hand tells the rest";
        ui.label(RichText::new(words).font(plain(12.0)).color(t.soft));
    }
    for offer in &offers {
        if let Some(heading) = offer.heading {
            caution(ui, desk, heading);
        }
        for (i, test) in offer.tests.iter().enumerate() {
            let name = capital(&told::test_name(test));
            let font = if i == 0 { strong(13.0) } else { plain(13.0) };
            ui.label(RichText::new(name).font(font));
            let words = format!(
                "{:.0} min, {}. {}",
                test.minutes,
                told::worth(test),
                capital(&told::reason(test))
            );
            ui.label(RichText::new(words).font(plain(12.0)).color(t.soft));
            if let Some(words) = told::caution_at(&offers, test) {
                caution(ui, desk, words);
            }
        }
    }
}
