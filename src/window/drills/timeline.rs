//! The acts of an attempt, one beneath the other: clock, what was done, what it showed, what was
//! unsafe about it.

use egui::{Frame, Margin, RichText, Ui};

use super::words;
use crate::drill::attempt::act::Act;
use crate::drill::attempt::judging::{Judging, judgings};
use crate::drill::attempt::log::Entry;
use crate::report::{
    drills::{When, judged, unsafe_words},
    visit,
};
use crate::rig::Rig;
use crate::window::look::show::Units;
use crate::window::look::theme::{Theme, plain, strong};

/// Lines that were told, and what stands beside each step.
type Told = (Vec<String>, Vec<(String, String)>);

/// One act, ready to be drawn.
#[derive(Debug, Clone)]
pub struct Line {
    /// Number.
    pub n: usize,
    /// Clock when it was done \[s\].
    pub end_s: f64,
    /// Clock it took \[s\].
    pub took_s: f64,
    /// What was done.
    pub words: String,
    /// The caution that belongs to the act; empty where none does.
    pub caution: &'static str,
    /// What was told, a sentence each, and what was unsafe, rule and reason: in US units and in SI.
    words_of: [Told; 2],
    /// Whether it was a look at the rig of which nothing could be held against what causes show.
    pub uncounted: Option<&'static str>,
    /// Whether it is what eyes see, which the picture shows.
    pub is_sight: bool,
    /// Whether it is a note, a reason, a judgement or the answer and not a look at the rig.
    pub is_thought: bool,
    /// Whether it is a note.
    pub is_note: bool,
}

/// Why a look counts for nothing, where it does.
fn uncounted(entry: &Entry, act: Option<&Act>, onset_s: f64) -> Option<&'static str> {
    if entry.observations().next().is_some() || !act.is_some_and(Act::is_a_look) {
        return None;
    }
    Some(if entry.at_s < onset_s {
        "not counted: what is wrong was not fully there yet"
    } else {
        match &entry.told {
            crate::visit::Told::Test { spoiled: true, .. } => {
                "not counted: nothing burned that was asked to, so it is no flow pressure"
            }
            _ => "not counted: in this state of the rig there is nothing to compare it with",
        }
    })
}

impl Line {
    /// The lines of the acts of a log from one on, with what may be told of them then: what judgements are worth waits for the
    /// end of an exam.
    pub fn all(
        entries: &[Entry],
        from: usize,
        rig: &Rig,
        (when, onset_s): (When, f64),
    ) -> Vec<Self> {
        let made = if when == When::Exam {
            Vec::new()
        } else {
            judgings(entries, rig)
        };
        let of = |e: &Entry| Self::of(e, made.iter().find(|j| j.n == e.n), rig, (when, onset_s));
        entries.iter().skip(from).map(of).collect()
    }

    /// The line of an act.
    fn of(
        entry: &Entry,
        judging: Option<&Judging>,
        rig: &Rig,
        (when, onset_s): (When, f64),
    ) -> Self {
        let act = Act::parse(&entry.act, rig);
        let words_of = [Units::Us, Units::Si].map(|units| {
            let system = units.system();
            let said = judging.and_then(Judging::unsafe_said);
            let noticed = entry.noticed.iter().cloned().chain(said);
            let noticed = noticed.map(|u| {
                let (rule, why) = unsafe_words(&u, rig, system, when);
                (rule.to_owned(), why)
            });
            let mut told = visit::told(&entry.told, rig, system);
            told.extend(judging.map(|j| judged(j, system)));
            (told, noticed.collect())
        });
        Self {
            n: entry.n,
            end_s: entry.end_s,
            took_s: entry.end_s - entry.at_s,
            words: act
                .as_ref()
                .map_or_else(|_| entry.act.clone(), |a| words::act(a, rig)),
            caution: entry.told.caution(),
            words_of,
            uncounted: uncounted(entry, act.as_ref().ok(), onset_s),
            is_sight: matches!(
                entry.told,
                crate::visit::Told::Sight { .. } | crate::visit::Told::Burners(_)
            ),
            is_thought: matches!(
                act,
                Ok(Act::Note(..) | Act::Why(_) | Act::Judge(_) | Act::Answer(_))
            ),
            is_note: matches!(act, Ok(Act::Note(..))),
        }
    }

    /// What was told, a sentence each.
    pub fn told(&self, units: Units) -> &[String] {
        &self.words_in(units).0
    }

    /// What was unsafe: rule and reason.
    pub fn noticed(&self, units: Units) -> &[(String, String)] {
        &self.words_in(units).1
    }

    fn words_in(&self, units: Units) -> &(Vec<String>, Vec<(String, String)>) {
        match units {
            Units::Us => &self.words_of[0],
            Units::Si => &self.words_of[1],
        }
    }
}

/// Sentences shorter than this are not broken \[characters\].
const SHORT: usize = 48;

/// Draws the acts.
pub fn show(ui: &mut Ui, t: &Theme, units: Units, lines: &[Line]) {
    for line in lines {
        line_ui(ui, t, units, line);
    }
}

fn line_ui(ui: &mut Ui, t: &Theme, units: Units, line: &Line) {
    let fill = if line.is_thought { t.well } else { t.card };
    Frame::new()
        .fill(fill)
        .stroke(egui::Stroke::new(1.0, t.edge))
        .corner_radius(crate::window::look::theme::CORNER)
        .inner_margin(Margin::symmetric(10, 6))
        .show(ui, |ui| {
            ui.set_width(ui.available_width());
            ui.spacing_mut().item_spacing.y = 2.0;
            ui.spacing_mut().interact_size.y = 17.0;
            head_ui(ui, t, line);
            if line.is_sight {
                // The picture shows it, and the trainee judges it; the debrief has the words.
                let words = "Seen in the picture: judge it there";
                ui.label(RichText::new(words).font(plain(12.5)).color(t.soft));
            } else if !line.told(units).is_empty() {
                told_ui(ui, units, line);
            }
            if !line.caution.is_empty() {
                ui.label(RichText::new(line.caution).font(plain(11.5)).color(t.soft));
            }
            for (rule, why) in line.noticed(units) {
                ui.label(
                    RichText::new(format!("▲ Unsafe: {rule}. {why}"))
                        .font(strong(12.5))
                        .color(t.danger),
                );
            }
        });
}

fn head_ui(ui: &mut Ui, t: &Theme, line: &Line) {
    ui.horizontal(|ui| {
        ui.label(
            RichText::new(words::clock(line.end_s))
                .font(strong(12.0))
                .color(t.accent),
        );
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            if line.took_s >= 1.0 {
                ui.label(
                    RichText::new(words::minutes(line.took_s / 60.0))
                        .font(plain(11.5))
                        .color(t.soft),
                );
            }
            ui.with_layout(egui::Layout::left_to_right(egui::Align::Center), |ui| {
                let words = RichText::new(&line.words).font(plain(13.0));
                ui.add(egui::Label::new(words).wrap());
            });
        });
    });
}

/// What was told: a gap between sentences is wider than one between words.
fn told_ui(ui: &mut Ui, units: Units, line: &Line) {
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = egui::vec2(16.0, 2.0);
        for told in line.told(units) {
            let short = told.chars().count() < SHORT;
            let label = egui::Label::new(RichText::new(told).font(strong(13.0)));
            // A short sentence is kept together; a long one may break.
            ui.add(if short { label.extend() } else { label.wrap() });
        }
    });
}
