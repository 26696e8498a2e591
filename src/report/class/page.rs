//! The instructor's page of a class: by person, by habit, by mix-up, by family, and what each should do next.

use super::sheet::opening;
use super::{NO_PROOF, advice, habit, lesson, mix_up};
use crate::class::ClassList;
use crate::class::habits::Habit;
use crate::class::rating::families;
use crate::class::standing::{Drills, Person, Reader, Standing};
use crate::fault::Family;
use crate::report::attempts::escaped;
use crate::report::percent::number;
use crate::report::telling::count;
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// The page.
pub fn page(list: &ClassList, drills: &Drills, standing: &Standing) -> String {
    let mut out = opening(&list.title);
    let all = || standing.people.iter().flat_map(|p| &p.marked);
    let dates: Vec<String> = {
        let mut d: Vec<_> = all().map(|m| m.of.name.date).collect();
        d.sort();
        d.first()
            .into_iter()
            .chain(d.last())
            .map(|d| d.words())
            .collect()
    };
    let between = if dates.len() == 2 {
        format!(", begun from {} to {}", dates[0], dates[1])
    } else {
        String::new()
    };
    let _ = writeln!(
        out,
        "<p>{}, {}, {}{between}. Passed is {:.0} of 100 or more.</p>\n<p><strong>{NO_PROOF}</strong></p>",
        count(standing.people.len(), "trainee"),
        count(drills.len(), "drill"),
        count(all().count(), "attempt"),
        list.pass
    );
    if standing.clock_is_wrong {
        out.push_str("<p>The clock of some computer was wrong. Attempts stand in the order in which they were begun, whatever their dates.</p>\n");
    }
    people(&mut out, drills, standing);
    habits(&mut out, standing);
    mixed(&mut out, standing);
    skills(&mut out, standing);
    if !standing.left_out.is_empty() {
        out.push_str("<h2>Left out</h2>\n<ul>\n");
        for l in &standing.left_out {
            let _ = writeln!(out, "<li>{}</li>", escaped(l));
        }
        out.push_str("</ul>\n");
    }
    out.push_str("</body></html>\n");
    out
}

fn people(out: &mut String, drills: &Drills, standing: &Standing) {
    out.push_str("<h2>By person</h2>\n<p class=\"small\">The average is that of first attempts that were ended. Unsafe is told apart: done are deeds, as a flame against a reading; said are readings that forbid a flame and were judged to be a pass.</p>\n<div class=\"scroll\"><table>\n<tr><th class=\"n\">No.</th><th>Name</th><th class=\"n\">Ended</th><th class=\"n\">Passed first time</th><th class=\"n\">Average</th><th class=\"n\">Retries</th><th class=\"n\">Unsafe: done</th><th class=\"n\">said</th><th>Next drill</th><th>Lesson</th></tr>\n");
    for p in &standing.people {
        let sum = |f: &dyn Fn(&crate::class::standing::Marked) -> usize| {
            p.marked.iter().map(f).sum::<usize>()
        };
        let (drill, why) = advice(drills, p, Reader::Instructor);
        let _ = writeln!(
            out,
            "<tr><td class=\"n\">{}</td><td>{}{}</td><td class=\"n\">{}</td><td class=\"n\">{} of {}</td><td class=\"n\">{}</td><td class=\"n\">{}</td><td class=\"n\">{}</td><td class=\"n\">{}</td><td>{} <span class=\"small\">{}</span></td><td>{}</td></tr>",
            p.trainee.number,
            escaped(&p.trainee.name),
            damaged(p),
            sum(&|m| usize::from(m.is_ended())),
            sum(&|m| usize::from(m.success && !m.of.is_retry())),
            sum(&|m| usize::from(m.is_ended() && !m.of.is_retry())),
            p.average()
                .map_or_else(|| "-".to_owned(), |a| format!("{a:.0}")),
            sum(&|m| usize::from(m.of.is_retry())),
            sum(&|m| m.grade.unsafe_acts),
            sum(&|m| m.grade.unsafe_said),
            escaped(&drill),
            escaped(&why),
            escaped(&lesson(p, Reader::Instructor).unwrap_or_default())
        );
    }
    out.push_str("</table></div>\n");
}

/// That attempts of a person are damaged, beside the name.
fn damaged(p: &Person) -> String {
    match p.marked.iter().filter(|m| m.of.damaged.is_some()).count() {
        0 => String::new(),
        n => format!(
            " <span class=\"bad\">{} damaged</span>",
            count(n, "attempt")
        ),
    }
}

fn kept(pair: (usize, usize)) -> String {
    if pair.1 == 0 {
        "-".to_owned()
    } else {
        format!("{} of {}", pair.0, pair.1)
    }
}

fn habits(out: &mut String, standing: &Standing) {
    out.push_str("<h2>By habit</h2>\n<p class=\"small\">How often it was kept, of the occasions there were.</p>\n<div class=\"scroll\"><table>\n<tr><th>Name</th>");
    for h in Habit::ALL {
        let _ = write!(out, "<th class=\"n\">{}</th>", habit(h));
    }
    out.push_str("</tr>\n");
    let mut total = [(0, 0); Habit::ALL.len()];
    let row = |out: &mut String, name: &str, all: [(usize, usize); Habit::ALL.len()]| {
        let _ = write!(out, "<tr><td>{}</td>", escaped(name));
        for pair in all {
            let _ = write!(out, "<td class=\"n\">{}</td>", kept(pair));
        }
        out.push_str("</tr>\n");
    };
    for p in &standing.people {
        let all = p.habits(Reader::Instructor);
        for (t, a) in total.iter_mut().zip(all) {
            *t = (t.0 + a.0, t.1 + a.1);
        }
        row(out, &p.trainee.name, all);
    }
    row(out, "All", total);
    out.push_str("</table></div>\n");
}

fn mixed(out: &mut String, standing: &Standing) {
    let mut counts: BTreeMap<[String; 2], Vec<&Person>> = BTreeMap::new();
    for p in &standing.people {
        for m in p.marked.iter().filter_map(|m| m.mix_up.as_ref()) {
            counts.entry(mix_up(m)).or_default().push(p);
        }
    }
    out.push_str("<h2>What was taken for what</h2>\n");
    if counts.is_empty() {
        out.push_str("<p>Nothing so far.</p>\n");
        return;
    }
    let mut rows: Vec<_> = counts.into_iter().collect();
    rows.sort_by_key(|r| std::cmp::Reverse(r.1.len()));
    out.push_str("<p class=\"small\">Of two causes only the one that was missed stands here; the order in which two were named says nothing.</p>\n<div class=\"scroll\"><table>\n<tr><th>It was</th><th>Taken for</th><th class=\"n\">Times</th><th>By</th></tr>\n");
    for ([was, taken], people) in rows {
        let mut names: Vec<&str> = people.iter().map(|p| p.trainee.name.as_str()).collect();
        names.dedup();
        let _ = writeln!(
            out,
            "<tr><td>{}</td><td>{}</td><td class=\"n\">{}</td><td>{}</td></tr>",
            escaped(&was),
            escaped(&taken),
            people.len(),
            escaped(&names.join(", "))
        );
    }
    out.push_str("</table></div>\n");
}

/// From so many drills on a chance says something of a person; before, it says what is supposed of anybody (own).
const TELLS: usize = 3;

/// A skill as the chance to pass a drill of middling difficulty, with the span of a standard deviation.
fn chance((mean, sd): (f64, f64)) -> [String; 3] {
    [mean, mean - sd, mean + sd].map(|at| number(1.0 / (1.0 + (-at).exp())))
}

/// Skills as rated, overall and by family.
fn skills(out: &mut String, standing: &Standing) {
    let _ = write!(
        out,
        "<h2>Skill as rated</h2>\n<p class=\"small\">The chance to pass a drill of middling difficulty at the first try, in percent, from first attempts that were ended; behind it between what it lies two times of three. It stands empty under {TELLS} drills, and for a family that was not tried.</p>\n<div class=\"scroll\"><table>\n<tr><th>Name</th><th class=\"n\">Overall</th>"
    );
    for f in Family::ALL {
        let _ = write!(out, "<th class=\"n\">{}</th>", f.words());
    }
    out.push_str("</tr>\n");
    let cell = |out: &mut String, skill: Option<(f64, f64)>| {
        let Some([middle, least, most]) = skill.map(chance) else {
            out.push_str("<td class=\"n\">-</td>");
            return;
        };
        let _ = write!(
            out,
            "<td class=\"n\">{middle} % <span class=\"small\">{least} to {most}</span></td>"
        );
    };
    for (p, skill) in standing.people.iter().zip(&standing.rated.skills) {
        let _ = write!(out, "<tr><td>{}</td>", escaped(&p.trainee.name));
        let counted = || p.marked.iter().filter(|m| m.is_ended() && !m.of.is_retry());
        let tells = counted().count() >= TELLS;
        let tried: Vec<Family> = counted()
            .flat_map(|m| families(&m.of.found.drill))
            .collect();
        cell(out, tells.then(|| skill.overall()));
        for f in Family::ALL {
            cell(
                out,
                (tells && tried.contains(&f)).then(|| skill.in_family(f)),
            );
        }
        out.push_str("</tr>\n");
    }
    out.push_str("</table></div>\n");
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Even odds are 50 %; one on the logistic scale is 73 %, and one less 27 % (the scale's own).
    #[test]
    fn a_skill_is_told_as_a_chance() {
        assert_eq!(chance((0.0, 1.0)), ["50", "27", "73"]);
        assert_eq!(chance((-0.7, 1.1)), ["33", "14", "60"]);
    }
}
