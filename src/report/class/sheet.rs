//! The sheet of one trainee, to be printed or read in a browser: attempts, habits, what was taken for what, what to do
//! next. Of an attempt that was not released it tells that it was ended and nothing of the answer.

use super::{NO_PROOF, advice, drill_words, habit, lesson, mix_up, outcome};
use crate::class::ClassList;
use crate::class::habits::Habit;
use crate::class::standing::{Drills, Marked, Person, Reader};
use crate::drill::reasoning::causes::cause_words;
use crate::report::attempts::{self, escaped};
use crate::report::drills::{done_and_said, rule, why_unsafe};
use crate::report::letters::quoted;
use crate::report::marks::why;
use crate::report::telling::{count, minutes};
use crate::units::System;
use std::fmt::Write as _;

/// The head of a page.
pub(super) fn opening(title: &str) -> String {
    attempts::opening(&escaped(title))
}

/// The sheet.
pub fn sheet(list: &ClassList, drills: &Drills, person: &Person) -> String {
    let t = &person.trainee;
    let mut out = opening(&format!("{}, number {}", t.name, t.number));
    let ended = person.marked.iter().filter(|m| m.is_ended()).count();
    let _ = writeln!(
        out,
        "<p>{}: {}, {ended} ended. Passed is {:.0} of 100 or more. Dates are those of the computer it was done at.</p>\n<p><strong>{NO_PROOF}</strong></p>",
        escaped(&list.title),
        count(person.marked.len(), "attempt"),
        list.pass
    );
    attempts(&mut out, person);
    for m in person.marked.iter().filter(|m| m.of.released) {
        marks(&mut out, m);
    }
    habits(&mut out, person);
    mixed(&mut out, person);
    let (drill, why) = advice(drills, person, Reader::Owner);
    let _ = writeln!(
        out,
        "<h2>What next</h2>\n<p>Drill: <strong>{}</strong> ({}).",
        escaped(&drill),
        escaped(&why)
    );
    if let Some(lesson) = lesson(person, Reader::Owner) {
        let _ = writeln!(out, "Lesson: <strong>{}</strong>.", escaped(&lesson));
    }
    out.push_str("</p>\n</body></html>\n");
    out
}

fn attempts(out: &mut String, person: &Person) {
    out.push_str("<h2>Attempts</h2>\n<div class=\"scroll\"><table>\n<tr><th>Begun</th><th>Drill</th><th>It was</th><th>Said</th><th class=\"n\">Time</th><th class=\"n\">Unsafe</th><th class=\"n\">Of 100</th><th></th></tr>\n");
    for m in &person.marked {
        let [was, said, marks, unsafe_acts, end] = told(m);
        let _ = writeln!(
            out,
            "<tr><td>{}</td><td>{}</td><td>{}</td><td>{}</td><td class=\"n\">{}</td><td class=\"n\">{unsafe_acts}</td><td class=\"n\">{marks}</td><td>{end}</td></tr>",
            m.of.name.date.words(),
            escaped(&drill_words(m)),
            escaped(&was),
            escaped(&said),
            minutes(m.grade.took_s / 60.0),
        );
    }
    out.push_str("</table></div>\n");
}

/// What may be told of an attempt: the cause, what was said, marks, unsafe acts, how it ended.
fn told(m: &Marked) -> [String; 5] {
    if !m.of.released {
        let end = if m.is_ended() {
            "ended, not released"
        } else {
            "not ended"
        };
        return ["", "", "", "", end].map(str::to_owned);
    }
    let said =
        m.of.answer
            .as_ref()
            .map_or_else(String::new, |a| cause_words(&a.cause));
    [
        cause_words(&m.of.found.drill.cause()),
        said,
        format!("{:.0}", m.grade.total()),
        done_and_said(&m.grade),
        outcome(m).to_owned(),
    ]
}

/// The marks of a released attempt with their reasons, and what was unsafe.
fn marks(out: &mut String, m: &Marked) {
    let _ = writeln!(
        out,
        "<h2>{}: the marks and why</h2>\n<table>",
        escaped(&drill_words(m))
    );
    for (name, p) in m.grade.parts() {
        let _ = writeln!(
            out,
            "<tr><td>{name}</td><td class=\"n\">{:.0} of {:.0}</td><td>{}</td></tr>",
            p.given,
            p.of,
            escaped(&quoted(&why(&p.why)))
        );
    }
    out.push_str("</table>\n");
    for n in &m.grade.noticed {
        let rig = &m.of.found.drill.scenario.rig;
        let _ = writeln!(
            out,
            "<p class=\"bad\">{}: {}</p>",
            escaped(rule(n)),
            escaped(&why_unsafe(n, rig, System::Us))
        );
    }
}

fn habits(out: &mut String, person: &Person) {
    out.push_str("<h2>Habits</h2>\n<p class=\"small\">Of released attempts.</p>\n<table>\n<tr><th>Habit</th><th>Kept</th></tr>\n");
    for (h, (kept, of)) in Habit::ALL.into_iter().zip(person.habits(Reader::Owner)) {
        let words = if of == 0 {
            "no occasion yet".to_owned()
        } else {
            format!("{kept} of {of} times")
        };
        let _ = writeln!(out, "<tr><td>{}</td><td>{words}</td></tr>", habit(h));
    }
    out.push_str("</table>\n");
}

fn mixed(out: &mut String, person: &Person) {
    let mixed: Vec<[String; 2]> = person
        .marked
        .iter()
        .filter(|m| m.of.released)
        .filter_map(|m| m.mix_up.as_ref().map(mix_up))
        .collect();
    if mixed.is_empty() {
        return;
    }
    out.push_str(
        "<h2>What was taken for what</h2>\n<table>\n<tr><th>It was</th><th>Taken for</th></tr>\n",
    );
    for [was, taken] in mixed {
        let _ = writeln!(
            out,
            "<tr><td>{}</td><td>{}</td></tr>",
            escaped(&was),
            escaped(&taken)
        );
    }
    out.push_str("</table>\n");
}
