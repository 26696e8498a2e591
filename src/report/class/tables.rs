//! Tables of a class: one for a gradebook (identifier, name, item, score, comment), and one with every act that was done.

use super::{drill_words, outcome};
use crate::class::standing::{Drills, Marked, Person, Standing};
use crate::drill::attempt::judging::Judging;
use crate::report::drills::{rule, unsafe_counts};
use crate::report::telling::minutes;
use crate::units::csv_field;
use std::fmt::Write as _;

/// A row for each person and drill of the class, tried or not. The score is that of the first attempt; retries stand in
/// the comment, since they were made after the answer may have been read. What was not ended has no score.
pub fn gradebook(drills: &Drills, standing: &Standing) -> String {
    let mut out = String::from("identifier,name,item,score,comment\n");
    for person in &standing.people {
        for (short, drill) in drills {
            let tried = |m: &&Marked| m.of.name.drill == *short && !m.of.is_retry();
            let (score, told) = match person.marked.iter().find(tried) {
                Some(first) if first.is_ended() => (
                    format!("{:.0}", first.grade.total()),
                    comment(person, first),
                ),
                Some(first) => (String::new(), comment(person, first)),
                None => (String::new(), "not tried".to_owned()),
            };
            let _ = writeln!(
                out,
                "{},{},{},{score},{}",
                person.trainee.number,
                csv_field(&person.trainee.name),
                csv_field(&drill.title),
                csv_field(&told)
            );
        }
    }
    out
}

fn comment(person: &Person, first: &Marked) -> String {
    let mut parts = vec![
        outcome(first).to_owned(),
        minutes(first.grade.took_s / 60.0),
    ];
    parts.extend(first.grade.failed.as_ref().map(|u| rule(u).to_owned()));
    parts.extend(unsafe_counts(&first.grade));
    let again = person
        .marked
        .iter()
        .filter(|m| m.of.name.drill == first.of.name.drill && m.of.is_retry());
    let ended: Vec<f64> = again
        .clone()
        .filter(|m| m.is_ended())
        .map(|m| m.grade.total())
        .collect();
    let times = again.count();
    if times > 0 {
        let word = if times == 1 { "retry" } else { "retries" };
        let best = ended.iter().copied().reduce(f64::max);
        let best = best.map_or_else(|| "none ended".to_owned(), |b| format!("best {b:.0}"));
        parts.push(format!("{times} {word}, {best}"));
    }
    if !first.of.branches.is_empty() {
        parts.push("worked on in two places at once".to_owned());
    }
    if first.of.damaged.is_some() {
        parts.push("damaged".to_owned());
    }
    parts.join("; ")
}

/// Every act of every attempt, those of second places too.
pub fn acts(standing: &Standing) -> String {
    let mut out = String::from(
        "identifier,drill,attempt,begun,place,n,clock_s,act,unsafe_done,unsafe_said\n",
    );
    for person in &standing.people {
        for m in &person.marked {
            for (place, entries) in m.of.places().enumerate() {
                for e in entries {
                    let done: Vec<&str> = e.noticed.iter().map(rule).collect();
                    // Judgements are those of the place that counts.
                    let mut judged = m.grade.judgings.iter().filter(|j| place == 0 && j.n == e.n);
                    let said = judged.find_map(Judging::unsafe_said);
                    let _ = writeln!(
                        out,
                        "{},{},{},{},{},{},{:.1},{},{},{}",
                        person.trainee.number,
                        csv_field(&drill_words(m)),
                        m.of.name.attempt,
                        m.of.name.date.rfc3339(),
                        place + 1,
                        e.n,
                        e.end_s,
                        csv_field(&e.act),
                        csv_field(&done.join("; ")),
                        csv_field(said.as_ref().map_or("", rule))
                    );
                }
            }
        }
    }
    out
}
