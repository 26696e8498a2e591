//! The hidden part of a drill file: the faults, and what was computed when the drill was sealed. Not
//! here: how it is coded (`seal`), the open part (`file`).

use super::complaint::in_words;
use super::seal::{MOST_SIGNS, bytes_of, signs_of};
use crate::diagnosis::files::account::Complaint;
use crate::drill::reasoning::causes::Cause;
use crate::drill::reasoning::difficulty::{Assessment, Difficulty, worked_by};
use crate::drill::reasoning::rod::{self, Rod};
use crate::fault::Fault;
use crate::form::{Form, FormError, TableReader};
use crate::units::Dimension;
use crate::visit::Test;
use std::fmt::Write as _;

/// Severities that a drill can have.
pub(crate) const SEVERITIES: (f64, f64) = (0.05, 0.95);

/// Longest drill \[s\].
pub(super) const LONGEST_S: f64 = 8.0 * 3600.0;

/// A fault that the trainee does not see.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hidden {
    /// Which.
    pub fault: Fault,
    /// How bad, 0 to 1.
    pub severity: f64,
    /// When it begins \[s\].
    pub at_s: f64,
    /// How long it takes to come on \[s\].
    pub over_s: f64,
}

/// What was computed when the drill was sealed.
#[derive(Debug, Clone, PartialEq)]
pub struct Worked {
    /// Causes that count as right; the true one first.
    pub accepts: Vec<Cause>,
    /// The best path.
    pub path: Vec<Test>,
    /// How hard it is.
    pub difficulty: Difficulty,
    /// What attempts are weighed by; none in a drill of an earlier program, until it is sealed anew.
    pub rod: Option<Rod>,
    /// By what it was computed, see [`worked_by`]; none in a drill of an earlier program.
    pub by: Option<u64>,
}

impl Worked {
    /// Whether this program would compute it the same way.
    pub fn is_of_now(&self) -> bool {
        self.by == Some(worked_by())
    }
}

impl From<&Assessment> for Worked {
    fn from(a: &Assessment) -> Self {
        Self {
            accepts: a.accepts.clone(),
            path: a.path.steps.iter().map(|s| s.0).collect(),
            difficulty: a.difficulty,
            rod: Some(a.rod.clone()),
            by: Some(worked_by()),
        }
    }
}

pub(super) fn hidden_toml(faults: &[Hidden], worked: Option<&Worked>) -> String {
    let mut out = faults_toml(faults);
    if let Some(w) = worked {
        let quoted = |ids: Vec<String>| format!("{ids:?}");
        let _ = writeln!(
            out,
            "[worked]\nbits = {}\nlook_alikes = {}\neffort = {}\nminutes = {}\npath = {}\n",
            w.difficulty.bits,
            w.difficulty.look_alikes,
            w.difficulty.effort_min,
            w.difficulty.minutes,
            quoted(w.path.iter().map(|t| t.words().to_owned()).collect())
        );
        if let Some(by) = w.by {
            let _ = writeln!(out, "by = \"{}\"\n", by_signs(by));
        }
        for c in &w.accepts {
            let ids = quoted(c.iter().map(ToString::to_string).collect());
            let _ = writeln!(out, "[[accept]]\ncause = {ids}\n");
        }
        if let Some(rod) = &w.rod {
            let ids = quoted(rod.faults.iter().map(ToString::to_string).collect());
            let signs = signs_of(&rod.visits);
            let _ = writeln!(out, "[rod]\nfaults = {ids}\nvisits = \"{signs}\"\n");
        }
    }
    out
}

pub(super) fn faults_toml(faults: &[Hidden]) -> String {
    let mut out = String::new();
    for h in faults {
        let _ = writeln!(
            out,
            "[[fault]]\nname = \"{}\"\nseverity = {}\nat = \"{} s\"\nover = \"{} s\"\n",
            h.fault, h.severity, h.at_s, h.over_s
        );
    }
    out
}

/// What the owner complains of, as the first line of a text.
pub(super) fn complains_toml(of: &[Complaint]) -> String {
    match of {
        [] => String::new(),
        of => format!("complains_of = [{}]\n\n", in_words(of)),
    }
}

/// What the owner complains of, by the words of diagnosis.
pub(super) fn complains_of(root: &TableReader<'_>) -> Vec<Complaint> {
    let mut out = Vec::new();
    for told in root.texts("complains_of").or(Vec::new()) {
        let known = Complaint::ALL.iter().find(|(words, _)| *words == told);
        match known {
            Some((_, complaint)) if out.contains(complaint) => {}
            Some((_, complaint)) => out.push(*complaint),
            None => {
                let short: String = told.chars().take(40).collect();
                let all = Complaint::ALL.map(|c| c.1);
                root.complain(
                    "complains_of",
                    format!("there is no complaint `{short}`"),
                    format!("of {}", in_words(&all)),
                );
            }
        }
    }
    out
}

/// When the last of some faults is fully there \[s\].
pub(super) fn onset_s(faults: &[Hidden]) -> f64 {
    faults.iter().map(|h| h.at_s + h.over_s).fold(0.0, f64::max)
}

/// A drill's faults at most.
const MOST_FAULTS: usize = 2;

fn fault_of(table: &TableReader<'_>, key: &str, id: &str) -> Option<Fault> {
    let found = Fault::find(id);
    if let Err(e) = &found {
        let short: String = id.chars().take(40).collect();
        let help = e.near().map_or_else(
            || "`twostage faults` for all names".to_owned(),
            |n| format!("\"{n}\""),
        );
        table.complain(
            key,
            format!("there is no fault `{short}` in the catalogue"),
            help,
        );
    }
    found.ok()
}

pub(super) fn faults(root: &TableReader<'_>, must: bool) -> Vec<Hidden> {
    let tables = root.tables("fault").count(1..=MOST_FAULTS);
    let tables = if must {
        tables.required_or(Vec::new())
    } else {
        tables.or(Vec::new())
    };
    let mut out: Vec<Hidden> = Vec::new();
    for t in &tables {
        let severity = t
            .quantity("severity", Dimension::Fraction)
            .between(SEVERITIES.0..=SEVERITIES.1)
            .required_or(0.5);
        let at_s = t
            .quantity("at", Dimension::Time)
            .between(0.0..=LONGEST_S)
            .or(0.0);
        let over_s = t
            .quantity("over", Dimension::Time)
            .between(0.0..=LONGEST_S)
            .or(0.0);
        let Some(id) = t.text("name").required() else {
            continue;
        };
        let Some(fault) = fault_of(t, "name", &id) else {
            continue;
        };
        if out.iter().any(|h| h.fault == fault) {
            t.complain(
                "name",
                format!("`{id}` stands twice"),
                "two different faults",
            );
        }
        out.push(Hidden {
            fault,
            severity,
            at_s,
            over_s,
        });
    }
    out
}

fn rod(table: &TableReader<'_>) -> Option<Rod> {
    let ids = table
        .texts("faults")
        .count(1..=rod::MOST_FAULTS)
        .required()?;
    let faults: Option<Vec<Fault>> = ids.iter().map(|id| fault_of(table, "faults", id)).collect();
    let signs = table.long_text("visits", MOST_SIGNS).required()?;
    let visits = bytes_of(&signs);
    if visits.is_none() {
        let what = "what attempts are weighed by cannot be read";
        table.complain("visits", what, "the drill sealed anew");
    }
    Some(Rod {
        faults: faults?,
        visits: visits?,
    })
}

/// By what it was worked out; none where an earlier program did not write it down.
fn by(table: &TableReader<'_>) -> Option<u64> {
    let signs = table.text("by").optional()?;
    let by = u64::from_str_radix(&signs, 16).ok();
    let by = by.filter(|by| by_signs(*by) == signs);
    if by.is_none() {
        let what = "by what the drill was worked out cannot be read";
        table.complain("by", what, SEALED_ANEW);
    }
    by
}

/// Signs of [`Worked::by`].
fn by_signs(by: u64) -> String {
    format!("{by:016x}")
}

/// The best path; a test that this program has not is told.
fn path(table: &TableReader<'_>) -> Vec<Test> {
    let mut out = Vec::new();
    for name in table.texts("path").required_or(Vec::new()) {
        match Test::find(&name) {
            Some(test) => out.push(test),
            None => {
                let short: String = name.chars().take(40).collect();
                let what =
                    format!("the best path has a test `{short}`, which this program has not");
                table.complain("path", what, SEALED_ANEW);
            }
        }
    }
    out
}

/// What to do where a sealed part is none of this program's.
const SEALED_ANEW: &str = "a newer twostage, or the drill sealed anew by whoever made it";

/// What any figure of a drill's difficulty lies between.
const WORKED: std::ops::RangeInclusive<f64> = 0.0..=1e6;

/// What a sealed part holds: the faults, what was worked out, what the owner complains of.
type Opened = (Vec<Hidden>, Option<Worked>, Vec<Complaint>);

pub(super) fn hidden_part(name: &str, hidden: &str) -> Result<Opened, FormError> {
    let form = Form::parse(&format!("{name}, sealed part"), hidden)?;
    let root = form.root();
    let faults = faults(&root, true);
    let complains_of = complains_of(&root);
    let accepts: Vec<Cause> = root
        .tables("accept")
        .or(Vec::new())
        .iter()
        .map(|t| {
            let ids = t
                .texts("cause")
                .count(0..=MOST_FAULTS)
                .required_or(Vec::new());
            ids.iter()
                .filter_map(|id| fault_of(t, "cause", id))
                .collect()
        })
        .collect();
    let rod = root.table("rod").optional().and_then(|t| rod(&t));
    let worked = root.table("worked").optional();
    let worked = worked.as_ref().map(|t| {
        let minutes = t.number("minutes").between(WORKED).required_or(0.0);
        let path = path(t);
        let by = by(t);
        Worked {
            difficulty: Difficulty {
                from_min: onset_s(&faults) / 60.0,
                bits: t.number("bits").between(WORKED).required_or(0.0),
                look_alikes: t.number("look_alikes").between(WORKED).required_or(1.0),
                // An earlier program took the path's minutes for both.
                effort_min: t.number("effort").between(WORKED).or(minutes),
                minutes,
                steps: path.len(),
            },
            accepts,
            path,
            rod,
            by,
        }
    });
    Ok(form.finish((faults, worked, complains_of))?)
}
