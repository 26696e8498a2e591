//! The lesson file, read with every mistake and its place.

use super::channel::{CHANNELS, Channel};
use super::expression::Expression;
use super::quantity::{unit_named, unknown};
use super::{Answers, Lesson, Measure, Question, Take};
use crate::form::{Form, FormError, Mistakes, TableReader, fnv1a, read_file};
use crate::scenario::Scenario;
use crate::units::{Dimension, Unit, parse_with_unit};
use std::path::Path;

/// Version of the lesson file.
const FORMAT: i64 = 1;
/// Longest lesson file, bytes.
const MOST_BYTES: u64 = 1_000_000;
/// Measures and questions at most.
const MOST: usize = 30;

/// A lesson that cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum LessonError {
    /// The file cannot be read or has mistakes.
    #[error(transparent)]
    File(#[from] FormError),
    /// Written by a later program.
    #[error(
        "error: the lesson has format {found}; this program reads format {FORMAT}\n  {file}\n  try: a newer twostage"
    )]
    Newer {
        /// Format of the file.
        found: i64,
        /// Which file.
        file: String,
    },
}

impl From<Mistakes> for LessonError {
    fn from(mistakes: Mistakes) -> Self {
        Self::File(mistakes.into())
    }
}

impl Lesson {
    /// Reads a lesson file; its short name is that of the file.
    ///
    /// # Errors
    /// [`LessonError`] with what, where and what to do.
    pub fn load(path: &Path) -> Result<Self, LessonError> {
        let source = read_file(path, MOST_BYTES)?;
        let id = path.file_stem().unwrap_or_default().to_string_lossy();
        Self::read(&id, &path.display().to_string(), &source)
    }

    /// Reads the text of a lesson; `name` is what messages call it.
    ///
    /// # Errors
    /// [`LessonError`].
    pub fn read(id: &str, name: &str, source: &str) -> Result<Self, LessonError> {
        let form = Form::parse(name, source)?;
        let root = form.root();
        let format = root.integer("format").required_or(FORMAT);
        if format > FORMAT {
            return Err(LessonError::Newer {
                found: format,
                file: name.to_owned(),
            });
        }
        let scenario = match root.table("scenario").required() {
            Some(table) => Scenario::from_table(&table),
            None => Scenario::opening(),
        };
        let measures: Vec<Measure> = root
            .tables("measure")
            .count(1..=MOST)
            .required_or(Vec::new())
            .iter()
            .filter_map(|t| measure(t, scenario.run.duration_s))
            .collect();
        let questions = root
            .tables("question")
            .count(1..=MOST)
            .required_or(Vec::new())
            .iter()
            .filter_map(|t| question(t, &measures))
            .collect();
        let lesson = Self {
            id: id.to_owned(),
            title: root
                .text("title")
                .not_empty()
                .at_most_chars(100)
                .required_or(String::new()),
            about: words(&root, "about", 2000, &[]).unwrap_or_default(),
            scenario,
            measures,
            questions,
        };
        Ok(form.finish(lesson)?)
    }
}

fn unit_of(table: &TableReader<'_>, dimension: Dimension) -> Option<&'static Unit> {
    let symbol = table
        .text("unit")
        .not_empty()
        .at_most_chars(20)
        .required()?;
    match parse_with_unit(&format!("1 {symbol}"), dimension) {
        Ok((_, unit)) => Some(unit),
        Err(e) => {
            table.complain("unit", format!("`unit`: {}", e.message()), e.help());
            None
        }
    }
}

fn measure(t: &TableReader<'_>, duration_s: f64) -> Option<Measure> {
    let channels: Vec<(&str, Channel)> = CHANNELS.iter().map(|c| (c.name, *c)).collect();
    let name = t.text("name").not_empty().at_most_chars(40).required();
    let of = t.choice("of", &channels).required();
    let time = |key: &str| t.quantity(key, Dimension::Time).between(0.0..=duration_s);
    let (from_s, to_s) = match t.one_of(&["at", "from"])? {
        "at" => {
            let at = time("at").required()?;
            (at, at)
        }
        _ => (time("from").required()?, time("to").required()?),
    };
    if from_s > to_s {
        t.complain("to", "`to` is before `from`", "a later time");
    }
    let takes = [
        ("highest", Take::Highest),
        ("lowest", Take::Lowest),
        ("mean", Take::Mean),
    ];
    let take = t.choice("take", &takes).or(Take::Mean);
    let of = of?;
    let unit = unit_of(t, of.dimension)?;
    Some(Measure {
        name: name?,
        of,
        from_s,
        to_s,
        take,
        unit,
    })
}

fn expression(t: &TableReader<'_>, key: &str, measures: &[Measure]) -> Option<Expression> {
    let text = t.text(key).not_empty().required()?;
    match Expression::parse(&text) {
        Ok(e) => {
            let mut names = Vec::new();
            e.names(&mut names);
            let unknown = names
                .iter()
                .find(|n| !measures.iter().any(|m| m.name == **n));
            if let Some(n) = unknown {
                let help: Vec<&str> = measures.iter().map(|m| m.name.as_str()).collect();
                t.complain(
                    key,
                    format!("nothing measured is called `{n}`"),
                    help.join(", "),
                );
            }
            Some(e)
        }
        Err(why) => {
            t.complain(
                key,
                format!("`{key}`: {why}"),
                "names of measures, numbers, + - * / < > and or abs()",
            );
            None
        }
    }
}

/// A text whose braces hold quantities or, where it is told afterwards, names of measures.
fn words(t: &TableReader<'_>, key: &str, most: usize, measures: &[Measure]) -> Option<String> {
    let text = t.text(key).not_empty().at_most_chars(most).required()?;
    let names: Vec<&str> = measures.iter().map(|m| m.name.as_str()).collect();
    if let Some(inside) = unknown(&text, &names) {
        let short: String = inside.chars().take(40).collect();
        t.complain(
            key,
            format!("`{{{short}}}` is neither a quantity nor a name of what is measured"),
            "`{11 inwc}`, or a name of a measure in `explain`",
        );
    }
    Some(text)
}

fn question(t: &TableReader<'_>, measures: &[Measure]) -> Option<Question> {
    let ask = words(t, "ask", 600, &[]);
    let explain = words(t, "explain", 2000, measures);
    let answers = match t.one_of(&["choice", "answer"])? {
        "choice" => {
            let tables = t.tables("choice").count(2..=6).required()?;
            let mut choices: Vec<(String, Expression)> = tables
                .iter()
                .filter_map(|c| {
                    let say = words(c, "say", 200, &[]);
                    let when = expression(c, "when", measures);
                    Some((say?, when?))
                })
                .collect();
            // Whoever writes a question writes the right answer first: an order that has nothing to do with it, and is the
            // same each time, tells nothing.
            choices.sort_by_key(|(say, _)| fnv1a(say.as_bytes()));
            Answers::Choices(choices)
        }
        _ => {
            let right = expression(t, "answer", measures);
            let within = t.number("within").positive().required();
            // A height of water is read on a rule.
            let rule = unit_named(Dimension::Length, "in");
            let symbols: Vec<(&str, &'static Unit)> = measures
                .iter()
                .map(|m| m.unit)
                .chain(rule)
                .map(|unit| (unit.symbol, unit))
                .collect();
            let unit = t.choice("unit", &symbols).required();
            Answers::Number {
                right: right?,
                within: within?,
                unit: unit?,
            }
        }
    };
    Some(Question {
        ask: ask?,
        answers,
        explain: explain?,
    })
}
