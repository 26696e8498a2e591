//! What a test or a deed has given: progress while it runs, then verdict, figures, the limit with
//! the grade of its source, the steps and the record.

use egui::{Color32, ProgressBar, RichText, Ui};

use super::record;
use super::table;
use super::{BenchPage, Shown, Stand};
use crate::report::letters::{capital, lower};
use crate::report::visit as words;
use crate::service::{Device, Fitted, Fittings, Kit, TestPoint};
use crate::sim::Command;
use crate::visit::{Conclusion, Hindrance, NotMade, Outbound, TestResult, TracePoint, Verdict};
use crate::window::desk::Desk;
use crate::window::faults::caution;
use crate::window::look::show::clock;
use crate::window::look::theme::{Theme, plain, strong, title};

/// Ink of a verdict; its word always stands with it.
pub fn verdict_color(verdict: Verdict, t: &Theme) -> Color32 {
    match verdict {
        Verdict::Pass => t.good,
        Verdict::Caution => t.caution,
        Verdict::Fail => t.danger,
    }
}

/// Why nothing is offered to be opened after a finding.
const STAYS_SHUT: &str = "What was found here leaves the container shut until somebody has put it right: opening it is not offered";

impl BenchPage {
    /// Draws what lies at the right of the table.
    pub fn outcome_ui(&mut self, ui: &mut Ui, desk: &mut Desk<'_>) {
        ui.spacing_mut().item_spacing.y = 4.0;
        if self.running_ui(ui, desk) {
            return;
        }
        let (remedy, withheld) = self.remedy();
        let mut begins = false;
        match &mut self.shown {
            Shown::Nothing => nothing_ui(ui, desk),
            Shown::NotDone { why, .. } => {
                ui.label(title("Not done", 14.0));
                // What a press puts right is no alarm.
                if remedy.is_some() {
                    ui.label(desk.units.prose(&capital(why)));
                } else {
                    caution(ui, desk, &capital(why));
                }
                if let Some((remedy, asked)) = remedy {
                    begins = remedy.button(ui, desk, name_of(asked));
                }
                if withheld {
                    note(ui, desk, STAYS_SHUT);
                }
            }
            Shown::Deed(outcome) => {
                let told = words::deed(outcome, desk.units.system());
                ui.label(title(capital(&told), 14.0));
                if !outcome.caution.is_empty() {
                    caution(ui, desk, outcome.caution);
                }
                note(ui, desk, "Whether it helped, a test must show");
            }
            Shown::Tests {
                results,
                chosen,
                visit,
                not_made,
            } => {
                if let Some(conclusion) = visit {
                    visit_ui(ui, desk, results, chosen, **conclusion);
                    for words in missed(not_made) {
                        caution(ui, desk, &words);
                    }
                    if let Some((remedy, asked)) = remedy {
                        begins = remedy.button(ui, desk, name_of(asked));
                    }
                    if withheld {
                        note(ui, desk, STAYS_SHUT);
                    }
                    ui.separator();
                }
                if let Some(result) = results.get(*chosen) {
                    test_ui(ui, desk, result);
                    for words in beyond(result, &self.rack.seen(), desk) {
                        caution(ui, desk, &words);
                    }
                }
            }
        }
        if let Some((remedy, asked)) = remedy.filter(|_| begins) {
            remedy.begin(&mut self.acts, desk);
            self.acts.end_with(asked);
        }
    }

    /// The running job, if one runs.
    fn running_ui(&mut self, ui: &mut Ui, desk: &mut Desk<'_>) -> bool {
        let stand = self.stand(desk.snap);
        let Some(running) = &self.running else {
            return false;
        };
        let t = desk.theme;
        let (name, how) = match running.job.what {
            Outbound::Test(kind) => (capital(kind.words()), kind.how()),
            Outbound::Visit => (
                "Whole visit".to_owned(),
                "Leak check, flow pressure, full load, load up and down, lock-up, creep, vent, first stage",
            ),
            Outbound::Deed(_) => ("Hands at work".to_owned(), ""),
            Outbound::Listen => ("Listening".to_owned(), ""),
        };
        ui.label(title(name, 14.0));
        note(ui, desk, how);
        let (share, words) = match stand {
            Stand::Idle => (0.0, String::new()),
            Stand::Working(share) => (share, "worked out on a copy".to_owned()),
            Stand::Watched { share, left_s } => (
                share,
                format!(
                    "{}{} to go",
                    if desk.snap.playing {
                        ""
                    } else {
                        "time holds, "
                    },
                    clock(left_s, 0)
                ),
            ),
        };
        ui.add(
            ProgressBar::new(share as f32)
                .fill(t.brass)
                .desired_height(8.0),
        );
        note(ui, desk, &words);
        ui.horizontal(|ui| {
            if matches!(stand, Stand::Watched { .. }) && ui.button("To its end").clicked() {
                desk.send.push(Command::Hurry);
            }
            if ui.button("Stop").clicked() {
                running.job.stop();
                desk.send.push(Command::DropScript);
            }
        });
        note(
            ui,
            desk,
            "The gauges and the picture show each step as it is made; any other hand on the rig ends the test. What the file has to come waits until it is through",
        );
        true
    }
}

fn note(ui: &mut Ui, desk: &Desk<'_>, text: &str) {
    if !text.is_empty() {
        let text = desk.units.prose(text);
        ui.label(RichText::new(text).font(plain(12.0)).color(desk.theme.soft));
    }
}

/// What was asked for, after "then".
fn name_of(what: Outbound) -> &'static str {
    match what {
        Outbound::Test(test) => test.words(),
        Outbound::Visit => "the whole visit",
        Outbound::Deed(_) => "go on",
        Outbound::Listen => "listen",
    }
}

fn nothing_ui(ui: &mut Ui, desk: &Desk<'_>) {
    ui.label(title("The bench", 14.0));
    note(
        ui,
        desk,
        "Choose where each gauge sits, put leak fluid on, and choose a test from the list. What it reads, \
         the limit and where the limit comes from appear here.",
    );
    note(
        ui,
        desk,
        "Where something stands in the way of a test (a shut valve, a lit burner, a satisfied thermostat), it is told with a button that takes it away first.",
    );
}

/// What was not made and why, tests with one reason in one sentence: it stands beside the verdict, which speaks of the rest.
fn missed(not_made: &[NotMade]) -> Vec<String> {
    let mut reasons: Vec<(&Hindrance, Vec<&str>)> = Vec::new();
    for one in not_made {
        match reasons.iter_mut().find(|(why, _)| **why == one.why) {
            Some((_, tests)) => tests.push(one.test.words()),
            None => reasons.push((&one.why, vec![one.test.words()])),
        }
    }
    let told = |(why, tests): (&Hindrance, Vec<&str>)| {
        capital(&format!(
            "not made: {}. {}",
            tests.join(", "),
            capital(&why.to_string())
        ))
    };
    reasons.into_iter().map(told).collect()
}

/// The verdict of a visit, and its tests to choose from.
fn visit_ui(
    ui: &mut Ui,
    desk: &Desk<'_>,
    results: &[TestResult],
    chosen: &mut usize,
    conclusion: Conclusion,
) {
    let t = desk.theme;
    let verdict = conclusion.verdict;
    ui.horizontal_wrapped(|ui| {
        ui.label(title("Whole visit", 14.0));
        ui.label(
            RichText::new(words::comes_to(&conclusion))
                .font(strong(14.0))
                .color(verdict_color(verdict, t)),
        );
    });
    for line in &words::conclusion(&conclusion, &desk.snap.rig) {
        if verdict == Verdict::Pass {
            note(ui, desk, line);
        } else {
            caution(ui, desk, line);
        }
    }
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = egui::vec2(4.0, 3.0);
        for (i, result) in results.iter().enumerate() {
            let text = RichText::new(format!(
                "{}: {}",
                result.test.words(),
                words::outcome(result)
            ))
            .font(plain(11.5))
            .color(verdict_color(result.verdict, t));
            if ui.selectable_label(*chosen == i, text).clicked() {
                *chosen = i;
            }
        }
    });
}

fn test_ui(ui: &mut Ui, desk: &Desk<'_>, result: &TestResult) {
    let t = desk.theme;
    ui.horizontal_wrapped(|ui| {
        ui.label(title(capital(result.test.words()), 14.0));
        ui.label(
            RichText::new(words::outcome(result))
                .font(strong(14.0))
                .color(verdict_color(result.verdict, t)),
        );
    });
    let system = desk.units.system();
    ui.label(words::test(result, &desk.snap.rig, system));
    egui::Grid::new("figures")
        .min_row_height(16.0)
        .num_columns(2)
        .spacing([14.0, 1.0])
        .show(ui, |ui| {
            ui.spacing_mut().interact_size.y = 16.0;
            for figure in result.shown() {
                let (name, figure) = words::named(figure);
                let name = RichText::new(capital(name)).font(plain(12.0));
                ui.label(name.color(t.soft));
                let value = words::figure(result.test, &figure, system);
                ui.label(RichText::new(value).font(strong(12.5)));
                ui.end_row();
            }
        });
    let mut told: Vec<&str> = Vec::new();
    for judged in &result.judged {
        let Some(limit) = judged.limit.filter(|l| !told.contains(&l.source)) else {
            continue;
        };
        told.push(limit.source);
        ui.label(
            RichText::new(format!(
                "Limit: {}, {}; {}",
                limit.what,
                words::bounds(judged, result.test, system),
                words::source(&limit)
            ))
            .font(plain(12.0))
            .color(t.soft),
        );
    }
    record::record_ui(ui, desk, result);
    if !result.steps.is_empty() {
        let steps = result.steps.iter();
        let steps: Vec<String> = steps
            .map(|s| words::step(*s, &desk.snap.rig, system))
            .collect();
        note(ui, desk, &format!("Done: {}", steps.join("; ")));
    }
}

/// Instruments on the rack that had more on them in a test than they show: its figures were read on others.
fn beyond(result: &TestResult, fittings: &Fittings, desk: &Desk<'_>) -> Vec<String> {
    let most = |of: fn(&TracePoint) -> f64| result.trace.iter().map(of).reduce(f64::max);
    let high_pa = |point| match point {
        TestPoint::FirstStage => most(|p| p.first_stage_pa),
        TestPoint::Outlet => most(|p| p.outlet_pa),
        _ => None,
    };
    let told = |f: &Fitted| {
        let harm = match f.device {
            Device::Manometer(_) => "its water is blown out",
            Device::Digital(_) => "it takes no harm",
            Device::Dial(_) => "it may be spoiled",
        };
        let larger = high_pa(f.point).and_then(|pa| {
            let kit = Device::of_kit(&Kit::default()).into_iter();
            kit.filter(|d| matches!(d, Device::Dial(_)))
                .find(|d| d.range_pa() >= pa)
        });
        let on = larger.map_or_else(
            || "a larger one".to_owned(),
            |d| format!("the {}", lower(&table::device_name(&d, desk.units))),
        );
        format!(
            "{} at the {}: more than it shows was on it in this test. The figures were read on {on}; {harm}",
            table::device_name(&f.device, desk.units),
            f.point.name(&desk.snap.rig)
        )
    };
    fittings.too_small(high_pa).map(told).collect()
}

#[cfg(test)]
mod told {
    use super::*;
    use crate::visit::Test;

    /// A visit whose flow tests were left out for one satisfied thermostat told so five times, under all its figures.
    #[test]
    fn tests_left_out_for_one_reason_are_told_once() {
        let one = |test, why| NotMade { test, why };
        let satisfied = || Hindrance::Satisfied(vec!["furnace".to_owned()]);
        let told = missed(&[
            one(Test::FlowPressure, satisfied()),
            one(Test::LeakCheck, Hindrance::SupplyShut),
            one(Test::FullLoad, satisfied()),
        ]);
        assert_eq!(told.len(), 2);
        assert!(
            told[0].starts_with("Not made: flow pressure, full load. "),
            "{}",
            told[0]
        );
        assert!(told[0].contains("furnace"), "{}", told[0]);
        assert!(told[1].starts_with("Not made: leak check. "), "{}", told[1]);
        assert!(missed(&[]).is_empty());
    }
}
