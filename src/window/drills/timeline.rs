//! The acts of an attempt, one beneath the other: clock, what was done, what it showed, what was
//! unsafe about it.

use egui::{Frame, Margin, RichText, Ui};

use super::words;
use crate::drill::act::Act;
use crate::drill::log::Entry;
use crate::rig::Rig;
use crate::window::show::Units;
use crate::window::theme::{Theme, plain, strong};

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
    /// What was told, a sentence each.
    pub told: Vec<String>,
    /// Cautions that belong to the act.
    pub cautions: Vec<String>,
    /// What was unsafe: rule and reason.
    pub noticed: Vec<(String, String)>,
    /// Whether it was a look at the rig of which nothing could be held against what causes show.
    pub uncounted: bool,
    /// Whether it is a note or the answer and not a look at the rig.
    pub is_thought: bool,
}

impl Line {
    /// The line of an act of a log.
    pub fn of(entry: &Entry, rig: &Rig) -> Self {
        let act = Act::parse(&entry.act, rig);
        let (cautions, told) = entry
            .told
            .iter()
            .cloned()
            .partition(|l: &String| l.starts_with(CAUTION));
        Self {
            n: entry.n,
            end_s: entry.end_s,
            took_s: entry.end_s - entry.at_s,
            words: act
                .as_ref()
                .map_or_else(|_| entry.act.clone(), |a| words::act(a, rig)),
            told: gathered(told, rig),
            cautions: cautions
                .iter()
                .map(|c| c.trim_start_matches(CAUTION).to_owned())
                .collect(),
            noticed: entry
                .noticed
                .iter()
                .map(|u| (u.rule.clone(), u.why.clone()))
                .collect(),
            uncounted: entry.readings.is_empty()
                && matches!(
                    act,
                    Ok(Act::Look | Act::Listen | Act::Read(_) | Act::Fluid(_) | Act::Test(_))
                ),
            is_thought: matches!(act, Ok(Act::Note(..) | Act::Answer(_))),
        }
    }

    /// What was told, in one line.
    pub fn shown(&self, units: Units) -> String {
        let told: Vec<String> = self.told.iter().map(|l| words::told(l, units)).collect();
        told.join("   ")
    }
}

/// Appliances that look the same are told together.
fn gathered(told: Vec<String>, rig: &Rig) -> Vec<String> {
    let look = |line: &String| -> Option<(String, String)> {
        let (name, looks) = line.split_once(": ")?;
        let known = rig.appliances.iter().any(|a| a.name == name);
        known.then(|| (name.to_owned(), looks.to_owned()))
    };
    let mut groups: Vec<(Vec<String>, String)> = Vec::new();
    let mut rest = Vec::new();
    for line in told {
        match look(&line) {
            None => rest.push(line),
            Some((name, looks)) => match groups.iter_mut().find(|g| g.1 == looks) {
                Some(group) => group.0.push(name),
                None => groups.push((vec![name], looks)),
            },
        }
    }
    let together = |(names, looks): (Vec<String>, String)| {
        if names.len() > 1 && names.len() == rig.appliances.len() {
            format!("all burners: {looks}")
        } else {
            format!("{}: {looks}", names.join(", "))
        }
    };
    groups.into_iter().map(together).chain(rest).collect()
}

/// How a caution begins among what was told.
const CAUTION: &str = "Caution: ";

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
        .corner_radius(crate::window::theme::CORNER)
        .inner_margin(Margin::symmetric(10, 6))
        .show(ui, |ui| {
            ui.set_width(ui.available_width());
            ui.spacing_mut().item_spacing.y = 2.0;
            ui.spacing_mut().interact_size.y = 17.0;
            head_ui(ui, t, line);
            if !line.told.is_empty() {
                told_ui(ui, units, line);
            }
            for caution in &line.cautions {
                ui.label(RichText::new(caution).font(plain(11.5)).color(t.soft));
            }
            for (rule, why) in &line.noticed {
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
        for told in &line.told {
            let short = told.chars().count() < SHORT;
            let label =
                egui::Label::new(RichText::new(words::told(told, units)).font(strong(13.0)));
            // A short sentence is kept together; a long one may break.
            ui.add(if short { label.extend() } else { label.wrap() });
        }
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::Scenario;

    #[test]
    fn burners_that_look_alike_are_told_together() {
        let rig = Scenario::opening().rig;
        let names: Vec<&str> = rig.appliances.iter().map(|a| a.name.as_str()).collect();
        let line = |i: usize, looks: &str| format!("{}: {looks}", names[i]);
        let all: Vec<String> = (0..names.len()).map(|i| line(i, "off")).collect();
        assert_eq!(gathered(all, &rig), ["all burners: off"]);
        let some = vec![
            line(0, "off"),
            line(1, "normal flame"),
            line(2, "off"),
            "second-stage vent: clear".to_owned(),
        ];
        let told = gathered(some, &rig);
        assert_eq!(told[0], format!("{}, {}: off", names[0], names[2]));
        assert_eq!(told[2], "second-stage vent: clear");
    }
}
