//! Makes the qualification table, docs/validation.md, and its picture from the rows that the outside
//! checks leave behind (tests/common/mod.rs). docs/validation.sh calls it:
//!
//!     qualification ROWS FAMILIES MASTER NOT_VALIDATED TABLE PICTURE
//!
//! What a family of checks is for stands in FAMILIES; results to compare with in MASTER, which is
//! made where it is missing. Not here: any check.

use serde::Deserialize;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::path::Path;

type Failure = Box<dyn std::error::Error>;

/// What a row may be leaned on for, least first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "snake_case")]
enum Use {
    Teaching,
    Diagnosis,
    Engineering,
}

impl Use {
    fn words(self) -> &'static str {
        match self {
            Self::Teaching => "teaching",
            Self::Diagnosis => "hint for diagnosis",
            Self::Engineering => "engineering",
        }
    }

    /// The most that a source of this grade can carry.
    fn of_grade(grade: &str) -> Result<Self, Failure> {
        match grade {
            "published" | "code" | "derived" => Ok(Self::Engineering),
            "practice" => Ok(Self::Diagnosis),
            // What was fitted agrees by what it was set to.
            "memory" | "fitted" => Ok(Self::Teaching),
            other => Err(format!("no grade is called `{other}`").into()),
        }
    }
}

/// A family of checks: all whose names begin so, but for those of a longer beginning.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Family {
    begins: String,
    title: String,
    objective: String,
    conditions: String,
    supports: Use,
}

#[derive(Debug, Deserialize)]
struct Families {
    family: Vec<Family>,
}

/// One check.
struct Row {
    id: String,
    what: String,
    grade: String,
    source: String,
    unit: String,
    tolerance: String,
    allowed: f64,
    expected: String,
    got: String,
    made_by: String,
}

impl Row {
    fn read(line: &str) -> Result<Self, Failure> {
        let mut cells = line.split('\t').map(str::to_owned);
        let mut next = || {
            cells
                .next()
                .ok_or_else(|| format!("a row is cut off: {line}"))
        };
        Ok(Self {
            id: next()?,
            what: next()?,
            grade: next()?,
            source: next()?,
            unit: next()?,
            tolerance: next()?,
            allowed: next()?.parse()?,
            expected: next()?,
            got: next()?,
            made_by: next()?,
        })
    }

    /// How much of what is allowed is used up, -1 to 1; of a limit, how far it is reached, 0 to 1.
    fn used(&self) -> Result<f64, Failure> {
        self.used_by(&self.got)
    }

    /// The same for another result of this check.
    fn used_by(&self, got: &str) -> Result<f64, Failure> {
        let (expected, got): (f64, f64) = (self.expected.parse()?, got.parse()?);
        Ok(match self.tolerance.as_str() {
            "at most" => got / expected,
            "at least" => expected / got,
            _ => (got - expected) / self.allowed,
        })
    }

    fn verdict(&self) -> Result<String, Failure> {
        let used = self.used()?.abs();
        // Far under a limit there is only the noise of rounding, which differs between machines.
        Ok(if used < 0.1 {
            "holds easily".to_owned()
        } else {
            format!("holds, {:.0} % used", 100.0 * used)
        })
    }

    fn obtained(&self) -> Result<&str, Failure> {
        let far_under = self.tolerance == "at most" && self.used()? < 0.1;
        Ok(if far_under {
            "under a tenth of it"
        } else {
            &self.got
        })
    }
}

/// Results to compare with: by name, and the day they were made.
struct Master {
    made: String,
    got: BTreeMap<String, String>,
}

fn master(path: &Path, rows: &[Row]) -> Result<Master, Failure> {
    if !path.exists() {
        let day = std::env::var("QUALIFICATION_DAY")
            .map_err(|_| "a new master needs its day in QUALIFICATION_DAY")?;
        let mut text = format!("{day}\n");
        for r in rows {
            writeln!(text, "{}\t{}", r.id, r.got)?;
        }
        std::fs::write(path, text)?;
    }
    let text = std::fs::read_to_string(path)?;
    let mut lines = text.lines();
    let made = lines.next().unwrap_or_default().to_owned();
    let got = lines
        .filter_map(|l| l.split_once('\t'))
        .map(|(id, got)| (id.to_owned(), got.to_owned()))
        .collect();
    Ok(Master { made, got })
}

/// Shift against the master in parts of what is allowed; `None` where it is new.
fn shift(row: &Row, master: &Master) -> Result<Option<f64>, Failure> {
    let Some(then) = master.got.get(&row.id) else {
        return Ok(None);
    };
    let (now, then): (f64, f64) = (row.got.parse()?, then.parse()?);
    Ok(Some((now - then) / row.allowed))
}

/// A result has moved when it did so by more than this part of what is allowed.
const MOVED: f64 = 0.1;

fn moved(rows: &[Row], master: &Master) -> Result<String, Failure> {
    let mut text = String::new();
    let mut new = 0;
    for r in rows {
        match shift(r, master)? {
            None => new += 1,
            Some(by) if by.abs() > MOVED => writeln!(
                text,
                "* {}: {} then, {} now {}, {:+.0} % of what is allowed",
                r.id,
                master.got[&r.id],
                r.got,
                r.unit,
                100.0 * by
            )?,
            Some(_) => {}
        }
    }
    let here: BTreeSet<&str> = rows.iter().map(|r| r.id.as_str()).collect();
    for id in master.got.keys().filter(|id| !here.contains(id.as_str())) {
        writeln!(text, "* {id}: no longer compared")?;
    }
    if new > 0 {
        writeln!(text, "* {new} results are new since the master")?;
    }
    if text.is_empty() {
        text.push_str("Nothing by more than a tenth of what is allowed.\n");
    }
    Ok(text)
}

fn table(
    families: &[Family],
    rows: &[Row],
    master: &Master,
    open: &str,
) -> Result<String, Failure> {
    let mut text = format!(
        "{HEAD}\n{}\n\n## Moved since the master of {}\n\n{}\n\
         ![Each result against what is allowed, over the master's](pictures/qualification.svg)\n",
        open.trim_end(),
        master.made,
        moved(rows, master)?
    );
    for family in families {
        let mine: Vec<&Row> = rows
            .iter()
            .filter(|r| std::ptr::eq(family_of(families, &r.id).unwrap_or(family), family))
            .collect();
        if mine.is_empty() {
            return Err(format!("no check belongs to the family `{}`", family.begins).into());
        }
        write!(
            text,
            "\n## {}\n\nObjective: {}\n\nInitial conditions: {}\n\n\
             | check | what | expected | obtained | tolerance | unit | verdict | supports | grade | source | made by `cargo test --test` |\n\
             |---|---|---|---|---|---|---|---|---|---|---|\n",
            family.title, family.objective, family.conditions
        )?;
        for r in mine {
            let supports = family.supports.min(Use::of_grade(&r.grade)?);
            let cell = |text: &str| text.replace('|', "\\|");
            writeln!(
                text,
                "| {} | {} | {} | {} | {} | {} | {} | {} | {} | {} | `{}` |",
                r.id,
                cell(&r.what),
                r.expected,
                r.obtained()?,
                r.tolerance,
                cell(&r.unit),
                r.verdict()?,
                supports.words(),
                r.grade,
                cell(&r.source),
                r.made_by
            )?;
        }
    }
    text.push_str(TAIL);
    Ok(text)
}

fn family_of<'a>(families: &'a [Family], id: &str) -> Option<&'a Family> {
    families
        .iter()
        .filter(|f| id.starts_with(&f.begins))
        .max_by_key(|f| f.begins.len())
}

/// Every result between its limits, the master's behind it as a ring.
fn picture(rows: &[Row], master: &Master) -> Result<String, Failure> {
    const LEFT: f64 = 250.0;
    const WIDE: f64 = 420.0;
    const STEP: f64 = 12.0;
    let high = STEP * rows.len() as f64 + 50.0;
    let x = |share: f64| LEFT + WIDE * (0.5 + 0.5 * share.clamp(-1.1, 1.1));
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"720\" height=\"{high:.0}\" font-family=\"sans-serif\" font-size=\"9\">\n\
         <rect width=\"720\" height=\"{high:.0}\" fill=\"#ffffff\"/>\n\
         <text x=\"{:.0}\" y=\"14\" text-anchor=\"middle\" font-size=\"11\">share of what is allowed: dot now, ring the master</text>\n",
        LEFT + 0.5 * WIDE
    );
    for (share, words) in [(-1.0, "-1"), (0.0, "0"), (1.0, "1")] {
        writeln!(
            svg,
            "<line x1=\"{0:.1}\" x2=\"{0:.1}\" y1=\"32\" y2=\"{1:.0}\" stroke=\"#b0b8c0\"/>\
             <text x=\"{0:.1}\" y=\"28\" text-anchor=\"middle\">{words}</text>",
            x(share),
            high - 6.0
        )?;
    }
    for (k, r) in rows.iter().enumerate() {
        let y = 44.0 + STEP * k as f64;
        let now = r.used()?;
        writeln!(
            svg,
            "<text x=\"{:.0}\" y=\"{:.1}\" text-anchor=\"end\">{}</text>",
            LEFT - 8.0,
            y + 3.0,
            r.id
        )?;
        if let Some(then) = master.got.get(&r.id) {
            let then = r.used_by(then)?;
            writeln!(
                svg,
                "<circle cx=\"{:.1}\" cy=\"{y:.1}\" r=\"4.5\" fill=\"none\" stroke=\"#b5562c\"/>",
                x(then)
            )?;
        }
        writeln!(
            svg,
            "<circle cx=\"{:.1}\" cy=\"{y:.1}\" r=\"2.2\" fill=\"#12304a\"/>",
            x(now)
        )?;
    }
    svg.push_str("</svg>\n");
    Ok(svg)
}

const HEAD: &str = "# Validation

The qualification table: every number of ours that is compared with one from outside the project, what it
is for, and what it may be leaned on for. Made by `docs/validation.sh` from the tests themselves and compared
by the gate, so it cannot go stale. Where a check stands for many points all must pass, and the worst is shown.

Grades: **published** a named publication or open data set; **code** the text of a code or
standard was read; **derived** an exact result or independent calculation; **practice** common
practice of the trade, no source; **memory** recalled, not re-read; **fitted** a constant of ours was set by this very source, or
the number follows from how the part is made: it shows that it was set well, and supports nothing beyond.

Supports: **teaching**, that the picture is right; **hint for diagnosis**, that a difference of this size is worth
a thought; **engineering**, that the number stands within its tolerance. A row supports no more than the grade of its
source can carry: practice a hint, memory and fitted teaching. Nothing here supports a statement about a real installation.

Values are shown to a tenth of what the tolerance allows, or finer.
";

const TAIL: &str = "
## The long run

`cargo bench --no-default-features --bench soak -- 20000` draws cases from a seed: any container, one or
two, 5 to 100 % full, -40 to 130 °F, sea level to 3000 m, any appliances, up to two faults at any
severity coming at once or slowly, and hands that open, shut, light, bleed, tap, warm and turn as they
like for up to ten minutes. Each must end without a panic or an untold failure, every reading sampled
must be possible (no absolute pressure under zero, no number that is none), and the mass balance must
stand within 1e-6. The first 240 cases are part of `cargo test`. Copied here by hand after a run:

20000 cases from seed 0: 20000 kept every law, 0 ended with a told error, 0 gave a number that cannot
be; worst mass balance 2.8e-9; 299 s on two cores.
";

fn main() -> Result<(), Failure> {
    let paths: Vec<String> = std::env::args().skip(1).collect();
    let [rows, families, master_file, open, to, picture_to] = paths.as_slice() else {
        return Err("wanted: ROWS FAMILIES MASTER NOT_VALIDATED TABLE PICTURE".into());
    };
    let text = std::fs::read_to_string(rows)?;
    let lines: BTreeSet<&str> = text.lines().collect();
    let rows: Vec<Row> = lines.into_iter().map(Row::read).collect::<Result<_, _>>()?;
    for pair in rows.windows(2) {
        if pair[0].id == pair[1].id {
            return Err(format!("more than one check is called {}", pair[0].id).into());
        }
    }
    let families: Families = toml::from_str(&std::fs::read_to_string(families)?)?;
    for r in &rows {
        if family_of(&families.family, &r.id).is_none() {
            return Err(format!("{}: no family in docs/qualification/families.toml", r.id).into());
        }
    }
    let master = master(Path::new(master_file), &rows)?;
    let open = std::fs::read_to_string(open)?;
    std::fs::write(to, table(&families.family, &rows, &master, &open)?)?;
    std::fs::write(picture_to, picture(&rows, &master)?)?;
    println!("{} checks", rows.len());
    Ok(())
}
