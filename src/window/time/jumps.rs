//! Places in time to jump to: start and end of the run, what happened on it, just before a fault, the kept branches.
//! Not here: the bar they lie in, and the charts.

use egui::{RichText, Ui};

use crate::fault::Fault;
use crate::report::record;
use crate::sim::{Command, Mark, Noted, Snapshot};
use crate::window::desk::Desk;
use crate::window::look::show::clock;
use crate::window::look::theme::{plain, strong};

/// "Just before" is so long before \[s\].
const BEFORE_S: f64 = 1.0;
/// Marks closer than this are one place \[s\].
const SAME_S: f64 = 1e-3;
/// Most marks that the menu lists.
const LISTED: usize = 40;

/// Just before a mark, and after the one before it.
fn before(marks: &[Mark], i: usize) -> f64 {
    let at_s = marks[i].time_s;
    let earlier = marks[..i].iter().rev().map(|m| m.time_s);
    let floor = earlier.into_iter().find(|t| *t < at_s - SAME_S);
    let middle = 0.5 * (floor.unwrap_or(0.0) + at_s);
    (at_s - BEFORE_S).max(middle).max(0.0)
}

/// Just before the last fault that had come in by the moment that is looked at, else before the first of all.
pub fn before_fault(snap: &Snapshot) -> Option<f64> {
    let comes = |m: &Mark| matches!(m.what, Noted::FaultIn(_));
    let so_far = snap.marks_so_far();
    let i = so_far
        .iter()
        .rposition(comes)
        .or_else(|| snap.marks.iter().position(comes))?;
    Some(before(&snap.marks, i))
}

/// The faults that come in on the run after the moment of the past that is looked at, with their times; none at its end.
pub fn faults_ahead(snap: &Snapshot) -> Vec<(f64, Fault)> {
    if !snap.looks_back() {
        return Vec::new();
    }
    ahead(&snap.marks, snap.readings.time_s)
}

fn ahead(marks: &[Mark], now_s: f64) -> Vec<(f64, Fault)> {
    let later = marks.iter().filter(|m| m.time_s > now_s + SAME_S);
    later
        .filter_map(|m| match m.what {
            Noted::FaultIn(fault) => Some((m.time_s, fault)),
            _ => None,
        })
        .collect()
}

/// Just before a fault came in last.
pub fn before_this(snap: &Snapshot, fault: Fault) -> Option<f64> {
    let i = snap
        .marks
        .iter()
        .rposition(|m| m.what == Noted::FaultIn(fault))?;
    Some(before(&snap.marks, i))
}

/// The mark before the moment that is looked at. While time runs the one just passed does not hold it.
pub fn mark_before(snap: &Snapshot) -> f64 {
    let passed = if snap.playing { snap.rate } else { SAME_S };
    let limit = snap.readings.time_s - passed;
    let marks = snap.marks.iter().rev().map(|m| m.time_s);
    marks.into_iter().find(|t| *t < limit).unwrap_or(0.0)
}

/// The mark after it, or the end of the run.
pub fn mark_after(snap: &Snapshot) -> f64 {
    let limit = snap.readings.time_s + SAME_S;
    let marks = snap.marks.iter().map(|m| m.time_s);
    marks
        .into_iter()
        .find(|t| *t > limit)
        .unwrap_or(f64::INFINITY)
}

/// Holds time and looks at a moment.
pub fn look_at(desk: &mut Desk<'_>, time_s: f64) {
    if desk.snap.playing {
        desk.send.push(Command::Pause);
    }
    desk.send.push(Command::LookAt(time_s));
}

/// Lets the run go on from the moment that is looked at.
pub fn go_on_from_here(desk: &mut Desk<'_>) {
    if desk.snap.looks_back() {
        desk.send.push(Command::GoOnFromHere);
        desk.send.push(Command::Play);
    }
}

/// The menu of places.
pub fn menu_ui(ui: &mut Ui, desk: &mut Desk<'_>) {
    let snap = desk.snap;
    let t = desk.theme;
    ui.set_min_width(270.0);
    let mut go = |ui: &mut Ui, words: &str, to_s: f64| {
        if ui.button(words).clicked() {
            look_at(desk, to_s);
            ui.close();
        }
    };
    go(ui, "The start (Home)", 0.0);
    if let Some(at_s) = before_fault(snap) {
        go(ui, "Just before the fault (J)", at_s);
    }
    go(ui, "What happened before (Page up)", mark_before(snap));
    go(ui, "What happened next (Page down)", mark_after(snap));
    go(ui, "The end of the run (End)", f64::INFINITY);
    if !snap.kept.is_empty() {
        ui.separator();
        let words = format!("This is branch {}. Kept beside it", snap.branch);
        ui.label(RichText::new(words).font(strong(12.5)).color(t.ink));
        for kept in snap.kept.iter() {
            let words = format!(
                "Branch {}: left at {}, came to {}",
                kept.name,
                clock(kept.parted_s, 0),
                clock(kept.until_s, 0)
            );
            let go_on = ui.button(words);
            if go_on
                .on_hover_text("Go on with this one; the other is kept")
                .clicked()
            {
                desk.send.push(Command::SwitchTo(kept.name));
                ui.close();
            }
        }
    }
    if !snap.marks.is_empty() {
        ui.separator();
        marks_ui(ui, desk);
    }
}

/// What happened, the newest first.
fn marks_ui(ui: &mut Ui, desk: &mut Desk<'_>) {
    let snap = desk.snap;
    egui::ScrollArea::vertical()
        .max_height(260.0)
        .show(ui, |ui| {
            for mark in snap.marks.iter().rev().take(LISTED) {
                let words = format!(
                    "{}  {}",
                    clock(mark.time_s, 1),
                    record::mark(mark, &snap.rig)
                );
                let text = RichText::new(words).font(plain(12.5));
                if ui.add(egui::Button::new(text).frame(false)).clicked() {
                    look_at(desk, mark.time_s);
                    ui.close();
                }
            }
        });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_comes_back_is_what_came_in_later() {
        let vent = Fault::named("second_vent_blocked").expect("in the catalogue");
        let nick = Fault::named("second_seat_nick").expect("in the catalogue");
        let mark = |time_s, what| Mark { time_s, what };
        let marks = [
            mark(4.0, Noted::FaultIn(nick)),
            mark(6.0, Noted::FaultOut(nick)),
            mark(9.0, Noted::FaultIn(vent)),
        ];
        assert_eq!(ahead(&marks, 1.0), [(4.0, nick), (9.0, vent)]);
        assert_eq!(ahead(&marks, 4.0), [(9.0, vent)], "that one is in");
        assert_eq!(ahead(&marks, 9.0), []);
    }

    #[test]
    fn just_before_lies_after_what_was_before() {
        let mark = |time_s| Mark {
            time_s,
            what: Noted::Tapped,
        };
        let marks = [mark(4.0), mark(10.0), mark(10.4), mark(10.4)];
        assert_eq!(before(&marks, 0), 3.0);
        assert_eq!(before(&marks, 1), 9.0);
        assert!((before(&marks, 3) - 10.2).abs() < 1e-12);
        assert_eq!(before(&[mark(0.0)], 0), 0.0);
    }
}
