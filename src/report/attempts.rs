//! What an instructor reads: attempts side by side as one self-contained page with pictures, and
//! as CSV. Opens offline, prints well, and holds nothing that runs. Gathering the logs is for the
//! command line.

use crate::class::name::Date;
use crate::drill::attempt::act::{Act, Finding};
use crate::drill::attempt::log::Contents;
use crate::drill::attempt::rig_of;
use crate::drill::marking::grade::{Grade, Hit, Why, grade, same};
use crate::drill::reasoning::causes::cause_words;
use crate::drill::{Drill, Left};
use crate::report::drills::{both_counts, done_and_said, total};
use crate::report::letters::quoted;
use crate::report::{marks, telling};
use crate::units::{csv_field, plain};
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// One act on the way.
#[derive(Debug, Clone, PartialEq)]
pub struct Done {
    /// Clock when it was done \[s\].
    pub at_s: f64,
    /// In the words of the log.
    pub words: String,
    /// As one tells it.
    pub told: String,
    /// Rules it broke.
    pub noticed: Vec<String>,
}

/// One attempt.
#[derive(Debug, Clone, PartialEq)]
pub struct Attempt {
    /// Who.
    pub who: String,
    /// When it was begun, where its log tells.
    pub begun: Option<Date>,
    /// Drill.
    pub drill: String,
    /// Level of the drill, if it was computed.
    pub level: Option<u8>,
    /// What it was.
    pub truth: String,
    /// What was said, if anything.
    pub said: Option<String>,
    /// Whether the cause counts as right.
    pub right: bool,
    /// Marks.
    pub grade: Grade,
    /// How it was left.
    pub left: Option<&'static str>,
    /// The acts; notes, reasons and judgements too: they carry marks.
    pub path: Vec<Done>,
}

impl Attempt {
    /// Marks a log against its drill.
    pub fn of(drill: &Drill, log: &Contents) -> Self {
        let rig = rig_of(drill).rig;
        let acts = log.entries.iter().map(|e| (e, Act::parse(&e.act, &rig)));
        let mut answer: Option<Finding> = None;
        let mut path = Vec::new();
        for (e, act) in acts {
            let told = act
                .as_ref()
                .map_or_else(|_| e.act.clone(), |a| telling::act(a, &rig));
            if let Ok(Act::Answer(a)) = act {
                answer = Some(a);
            }
            path.push(Done {
                at_s: e.end_s,
                words: e.act.clone(),
                told,
                noticed: e
                    .noticed
                    .iter()
                    .map(|n| super::drills::rule(n).to_owned())
                    .collect(),
            });
        }
        let grade = grade(drill, &log.entries, answer.as_ref());
        Self {
            who: log.header.who.clone(),
            begun: log.header.begun_s.map(|seconds| Date { seconds }),
            drill: drill.title.clone(),
            level: drill.worked.as_ref().map(|w| w.difficulty.level()),
            truth: cause_words(&drill.cause()),
            // The order in which two were named says nothing.
            said: answer.as_ref().map(|a| {
                let truth = drill.cause();
                let is_it = same(&truth, &drill.settled(&a.cause));
                cause_words(if is_it { &truth } else { &a.cause })
            }),
            right: grade.right,
            left: answer.as_ref().map(|a| match a.left {
                Left::InUse => "in use",
                Left::ShutOff => "shut off",
            }),
            grade,
            path,
        }
    }

    /// Its marks; none before an answer was given.
    pub fn marks(&self) -> Option<&Grade> {
        self.said.as_ref().map(|_| &self.grade)
    }

    /// Whether a part of what it was was named and not all of it.
    fn is_half(&self) -> bool {
        matches!(&self.grade.cause.why, Why::Cause { hit: Hit::Part, .. })
    }

    /// A number of its marks, nothing before an answer was given.
    fn number(&self, of: impl Fn(&Grade) -> f64) -> String {
        self.marks()
            .map_or_else(String::new, |g| format!("{:.0}", of(g)))
    }

    /// When it was begun, as people read it.
    pub fn date(&self) -> String {
        self.begun.map_or_else(String::new, Date::words)
    }

    fn minutes(&self) -> f64 {
        self.grade.took_s / 60.0
    }
}

/// A text within a page.
pub(super) fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in plain(text).chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            c => out.push(c),
        }
    }
    out
}

/// The attempts as CSV, a row each.
pub fn csv(attempts: &[Attempt]) -> String {
    let mut out = String::from(
        "who,begun,drill,level,cause,said,right,left,minutes,best_minutes,cause_points,evidence_points,action_points,economy_points,safety_points,total,failed,unsafe_done,unsafe_said,unsafe,path\n",
    );
    for a in attempts {
        let rules: Vec<&str> = a.grade.noticed.iter().map(super::drills::rule).collect();
        let path: Vec<&str> = a.path.iter().map(|p| p.words.as_str()).collect();
        let best = a
            .grade
            .best_s
            .map_or_else(String::new, |s| format!("{:.1}", s / 60.0));
        let _ = writeln!(
            out,
            "{},{},{},{},{},{},{},{},{:.1},{best},{},{},{},{},{},{},{},{},{},{},{}",
            csv_field(&a.who),
            a.begun.map_or_else(String::new, Date::rfc3339),
            csv_field(&a.drill),
            a.level.map_or_else(String::new, |l| l.to_string()),
            csv_field(&a.truth),
            csv_field(a.said.as_deref().unwrap_or("")),
            u8::from(a.right),
            csv_field(a.left.unwrap_or("")),
            a.minutes(),
            a.number(|g| g.cause.given),
            a.number(|g| g.evidence.given),
            a.number(|g| g.action.given),
            a.number(|g| g.economy.given),
            a.number(|g| g.safety.given),
            a.number(Grade::total),
            u8::from(a.grade.failed.is_some()),
            a.grade.unsafe_acts,
            a.grade.unsafe_said,
            csv_field(&rules.join("; ")),
            csv_field(&path.join(" > "))
        );
    }
    out
}

/// Letters of the pictures: attributes, since not every printer of pages puts a page's style on what is within them.
const LETTERS: &str = "font-family=\"system-ui, sans-serif\" font-size=\"12\"";

/// What every page of reports begins with, and what its style does: by these it is known again.
pub const PAGE: [&str; 2] = [
    "<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"><title>",
    "\n:root { color-scheme: light; }\nbody { font: 15px/1.45 system-ui, sans-serif; color: #1d2733;",
];

/// The head of a page; its title is written safely already.
pub(super) fn opening(title: &str) -> String {
    let start = PAGE[0];
    format!("{start}{title}</title><style>{STYLE}</style></head><body>\n<h1>{title}</h1>\n")
}

/// How pages of reports look, on a screen and printed.
const STYLE: &str = "
:root { color-scheme: light; }
body { font: 15px/1.45 system-ui, sans-serif; color: #1d2733; background: #fff; max-width: 64rem; margin: 2rem auto; padding: 0 1rem; }
h1 { font-size: 1.5rem; } h2 { font-size: 1.15rem; margin-top: 2rem; } h3 { font-size: 1rem; margin: 0 0 .3rem; }
table { border-collapse: collapse; width: 100%; } th, td { text-align: left; padding: .3rem .5rem; border-bottom: 1px solid #c9d0d8; vertical-align: top; }
td.n, th.n { text-align: right; white-space: nowrap; font-variant-numeric: tabular-nums; }
.scroll { overflow-x: auto; } section.attempt { border-top: 1px solid #c9d0d8; padding: 1rem 0; break-inside: avoid; }
table.matrix { width: auto; } td.same { outline: 2px solid #1d2733; outline-offset: -2px; } td.half { outline: 2px dashed #55616e; outline-offset: -2px; }
.small { color: #55616e; font-size: .85em; } svg { display: block; max-width: 100%; height: auto; } svg text { fill: #1d2733; }
ol { margin: .4rem 0; padding-left: 1.6rem; columns: 2; } .bad { font-weight: 600; }
@page { margin: 14mm; }
@media print { * { print-color-adjust: exact; } .scroll { overflow: visible; } body { margin: 0; max-width: none; font-size: 11px; } h2 { break-after: avoid; } table { break-inside: auto; } tr { break-inside: avoid; } }
";

/// The attempts as one page.
pub fn html(attempts: &[Attempt], left_out: &[String]) -> String {
    let mut out = opening("Fault drills");
    let right = attempts.iter().filter(|a| a.right).count();
    let sum = |of: fn(&Grade) -> usize| attempts.iter().map(|a| of(&a.grade)).sum::<usize>();
    let both = both_counts(sum(|g| g.unsafe_acts), sum(|g| g.unsafe_said));
    let _ = writeln!(
        out,
        "<p>{}, {right} with the right cause, {}. A drill teaches how to look and when to stop; local codes and the licensed technician decide on a real rig.</p>",
        telling::count(attempts.len(), "attempt"),
        both.unwrap_or_else(|| "nothing unsafe".to_owned())
    );
    table(&mut out, attempts);
    matrix(&mut out, attempts);
    out.push_str("<h2>Attempt by attempt</h2>\n");
    for a in attempts {
        one(&mut out, a);
    }
    if !left_out.is_empty() {
        out.push_str("<h2>Left out</h2>\n<ul>\n");
        for l in left_out {
            let _ = writeln!(out, "<li>{}</li>", escaped(l));
        }
        out.push_str("</ul>\n");
    }
    out.push_str("</body></html>\n");
    out
}

fn table(out: &mut String, attempts: &[Attempt]) {
    out.push_str("<h2>Who found what</h2>\n<div class=\"scroll\"><table>\n<tr><th>Who</th><th>Begun</th><th>Drill</th><th>It was</th><th>Said</th><th>Left</th><th class=\"n\">Minutes</th><th class=\"n\">Best</th><th class=\"n\">Unsafe</th><th class=\"n\">Of 100</th></tr>\n");
    for a in attempts {
        let mark = match (&a.said, a.right) {
            (None, _) => "",
            (_, true) => "✓",
            (_, false) => "✗",
        };
        let said = a.said.as_deref().unwrap_or("no answer");
        let best = a
            .grade
            .best_s
            .map_or_else(|| "-".to_owned(), |s| format!("{:.1}", s / 60.0));
        let level = a.level.map_or_else(String::new, |l| {
            format!(" <span class=\"small\">level {l}</span>")
        });
        let _ = writeln!(
            out,
            "<tr><td>{}</td><td class=\"n\">{}</td><td>{}{level}</td><td>{}</td><td>{mark} {}</td><td>{}</td><td class=\"n\">{:.1}</td><td class=\"n\">{best}</td><td class=\"n\">{}</td><td class=\"n\">{}</td></tr>",
            escaped(&a.who),
            a.date(),
            escaped(&a.drill),
            escaped(&a.truth),
            escaped(said),
            a.left.unwrap_or("-"),
            a.minutes(),
            done_and_said(&a.grade),
            a.marks()
                .map_or_else(|| "-".to_owned(), |g| format!("{:.0}", g.total()))
        );
    }
    out.push_str("</table></div>\n");
}

/// What it was against what was said, with the count in every cell. Names stand whole: the columns have a letter each, and what
/// that is stands beneath.
fn matrix(out: &mut String, attempts: &[Attempt]) {
    let mut counts: BTreeMap<(&str, &str), usize> = BTreeMap::new();
    for a in attempts {
        *counts
            .entry((a.truth.as_str(), a.said.as_deref().unwrap_or(NO_ANSWER)))
            .or_default() += 1;
    }
    let mut rows: Vec<&str> = counts.keys().map(|k| k.0).collect();
    rows.dedup();
    let mut columns: Vec<&str> = counts.keys().map(|k| k.1).collect();
    columns.sort_unstable();
    columns.dedup();
    if rows.is_empty() {
        return;
    }
    // Half right is neither: of two faults one was named.
    let half = |row: &str, column: &str| {
        let mut all = attempts.iter();
        all.any(|a| a.truth == row && a.said.as_deref() == Some(column) && a.is_half())
    };
    out.push_str("<h2>What was taken for what</h2>\n<p class=\"small\">A row is what it was, a column what was said, a number how often. Framed: the same. Framed with dashes: one of the two.</p>\n<div class=\"scroll\"><table class=\"matrix\">\n<tr><th>It was</th>");
    for j in 0..columns.len() {
        let _ = write!(out, "<th class=\"n\">{}</th>", letter(j));
    }
    out.push_str("</tr>\n");
    for r in &rows {
        let _ = write!(out, "<tr><td>{}</td>", escaped(r));
        for c in &columns {
            let n = counts.get(&(*r, *c)).copied().unwrap_or(0);
            let number = if n > 0 { n.to_string() } else { String::new() };
            let class = match () {
                () if r == c => "n same",
                () if half(r, c) => "n half",
                () => "n",
            };
            let _ = write!(out, "<td class=\"{class}\">{number}</td>");
        }
        out.push_str("</tr>\n");
    }
    out.push_str("</table></div>\n<p class=\"small\">Said: ");
    let key: Vec<String> = columns
        .iter()
        .enumerate()
        .map(|(j, c)| format!("<strong>{}</strong> {}", letter(j), escaped(c)))
        .collect();
    let _ = writeln!(out, "{}</p>", key.join("; "));
}

/// What is said of an attempt without an answer.
const NO_ANSWER: &str = "no answer";

/// The letters of a column: A to Z, then AA and so on.
fn letter(place: usize) -> String {
    let one = |n: usize| char::from(b'A' + (n % 26) as u8);
    match place / 26 {
        0 => one(place).to_string(),
        more => format!("{}{}", one(more - 1), one(place)),
    }
}

fn one(out: &mut String, a: &Attempt) {
    let _ = writeln!(
        out,
        "<section class=\"attempt\"><h3>{}: {} ({})</h3>",
        escaped(&a.who),
        escaped(&a.drill),
        a.marks().map_or_else(|| "no answer".to_owned(), total)
    );
    timeline(out, a);
    out.push_str("<table>\n");
    for (name, p) in a.marks().map(Grade::parts).into_iter().flatten() {
        let _ = writeln!(
            out,
            "<tr><td>{name}</td><td class=\"n\">{:.0} of {:.0}</td><td>{}</td><td>{}</td></tr>",
            p.given,
            p.of,
            bar(p.given / p.of),
            escaped(&quoted(&marks::why(&p.why)))
        );
    }
    out.push_str("</table>\n<ol>\n");
    for p in &a.path {
        let bad = if p.noticed.is_empty() {
            String::new()
        } else {
            format!(
                " <span class=\"bad\">▲ {}</span>",
                escaped(&p.noticed.join(", "))
            )
        };
        let _ = writeln!(
            out,
            "<li>{} <span class=\"small\">{}</span>{bad}</li>",
            escaped(&p.told),
            telling::minutes(p.at_s / 60.0)
        );
    }
    out.push_str("</ol></section>\n");
}

fn bar(share: f64) -> String {
    let w = 100.0 * share.clamp(0.0, 1.0);
    format!(
        "<svg width=\"104\" height=\"14\" viewBox=\"0 0 104 14\" aria-hidden=\"true\"><rect x=\"1\" y=\"1\" width=\"102\" height=\"12\" fill=\"none\" stroke=\"#55616e\"/><rect x=\"2\" y=\"2\" width=\"{w:.0}\" height=\"10\" fill=\"#3b6ea5\"/></svg>"
    )
}

/// The acts on a line of time, with the best path's length beneath.
fn timeline(out: &mut String, a: &Attempt) {
    const W: f64 = 900.0;
    let best_s = a.grade.best_s.unwrap_or(0.0);
    let end_s = a.grade.took_s.max(best_s).max(60.0);
    let x = |t: f64| 20.0 + (W - 40.0) * t / end_s;
    let _ = writeln!(
        out,
        "<svg width=\"{W}\" height=\"64\" viewBox=\"0 0 {W} 64\" {LETTERS} role=\"img\" aria-label=\"Acts over {:.0} minutes\">",
        end_s / 60.0
    );
    let _ = writeln!(
        out,
        "<line x1=\"{}\" y1=\"24\" x2=\"{}\" y2=\"24\" stroke=\"#1d2733\"/>",
        x(0.0),
        x(a.grade.took_s)
    );
    for p in &a.path {
        let (x, words) = (x(p.at_s), escaped(&p.told));
        if p.noticed.is_empty() {
            let _ = writeln!(
                out,
                "<circle cx=\"{x:.1}\" cy=\"24\" r=\"4\" fill=\"#3b6ea5\"><title>{words}</title></circle>"
            );
        } else {
            let _ = writeln!(
                out,
                "<path d=\"M{:.1} 30 L{x:.1} 16 L{:.1} 30 Z\" fill=\"#b3261e\" stroke=\"#1d2733\"><title>{words}: {}</title></path>",
                x - 7.0,
                x + 7.0,
                escaped(&p.noticed.join(", "))
            );
        }
    }
    let _ = writeln!(
        out,
        "<text x=\"{:.1}\" y=\"12\" text-anchor=\"end\">{}</text>",
        x(a.grade.took_s),
        telling::minutes(a.grade.took_s / 60.0)
    );
    if best_s > 0.0 {
        let _ = writeln!(
            out,
            "<line x1=\"{}\" y1=\"46\" x2=\"{:.1}\" y2=\"46\" stroke=\"#1d2733\" stroke-width=\"3\" stroke-dasharray=\"6 3\"/><text x=\"{}\" y=\"61\">best path {}</text>",
            x(0.0),
            x(best_s),
            x(0.0),
            telling::minutes(best_s / 60.0)
        );
    }
    out.push_str("</svg>\n");
}
