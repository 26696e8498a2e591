//! The lesson file, read with every mistake and its place.

use super::channel::{CHANNELS, Channel, PLACES, Place};
use super::expression::Expression;
use super::quantity::{unit_named, unknown};
use super::{Answers, Lesson, Measure, Question, Take, Twist, View};
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
/// Most places of a value that is told.
const MOST_PLACES: i64 = 4;

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
        let twist = root.table("twist").optional();
        let twist = twist.and_then(|t| twist_of(&t, &scenario, &measures));
        let views = [("inside", View::Inside), ("outside", View::Outside)];
        let view = root.choice("view", &views).or(View::Inside);
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
            view,
            twist,
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

/// A unit by its symbol, of whatever it is one.
fn any_unit(symbol: &str) -> Option<&'static Unit> {
    Dimension::ALL
        .into_iter()
        .find_map(|dimension| unit_named(dimension, symbol))
}

fn measure(t: &TableReader<'_>, duration_s: f64) -> Option<Measure> {
    let channels: Vec<(&str, Channel)> = CHANNELS.iter().map(|c| (c.name, *c)).collect();
    let name = t.text("name").not_empty().at_most_chars(40).required();
    let of = t.choice("of", &channels).required();
    let time = |key: &str| t.quantity(key, Dimension::Time).between(0.0..=duration_s);
    let (from_s, to_s) = match t.one_of(&["at", "from"]) {
        Some("at") => {
            let at = time("at").required_or(0.0);
            (at, at)
        }
        Some(_) => (
            time("from").required_or(0.0),
            time("to").required_or(duration_s),
        ),
        None => (0.0, duration_s),
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
    let unit = match of {
        Some(of) => unit_of(t, of.dimension),
        // Of what nobody knows: it is no mistake of the unit.
        None => any_unit(&t.text("unit").optional().unwrap_or_default()),
    };
    let places = t.integer("places").between(0..=MOST_PLACES).optional();
    // What is asked about a measure goes by its name, also while it is wrong itself.
    let of = of.or_else(|| CHANNELS.first().copied())?;
    Some(Measure {
        name: name?,
        of,
        from_s,
        to_s,
        take,
        unit: unit.unwrap_or_else(|| of.dimension.si_unit()),
        places: places.and_then(|p| usize::try_from(p).ok()),
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
                let all: Vec<&str> = measures.iter().map(|m| m.name.as_str()).collect();
                let help = match all[..] {
                    [] => "a [[measure]] of that name".to_owned(),
                    _ => all.join(", "),
                };
                t.complain(key, format!("nothing measured is called `{n}`"), help);
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
    let (key, part) = key_of(t, &answers, measures);
    Some(Question {
        ask: ask?,
        answers,
        explain: explain?,
        key,
        part,
    })
}

/// The measure by which a question is answered, and the part that is pointed at: as the file says, else the last that is
/// measured of those that the answer is reckoned from, and the part that has it.
fn key_of(t: &TableReader<'_>, answers: &Answers, measures: &[Measure]) -> (usize, Place) {
    let named: Vec<(&str, usize)> = measures
        .iter()
        .enumerate()
        .map(|(i, m)| (m.name.as_str(), i))
        .collect();
    let names = answers.names();
    let mut last: Option<usize> = None;
    for (name, i) in &named {
        let is_asked = names.iter().any(|n| n == name);
        if is_asked && last.is_none_or(|l| measures[*i].to_s > measures[l].to_s) {
            last = Some(*i);
        }
    }
    let key = t.choice("key", &named).or(last.unwrap_or(0));
    let own = measures.get(key).map_or(Place::Outlet, |m| m.of.place);
    (key, t.choice("part", &PLACES).or(own))
}

/// What to try afterwards: what happens is checked as the events of the scenario are.
fn twist_of(t: &TableReader<'_>, scenario: &Scenario, measures: &[Measure]) -> Option<Twist> {
    let say = words(t, "say", 300, &[]);
    let watch = words(t, "watch", 600, &[]);
    let holds = expression(t, "holds", measures);
    let event = t.table("event").required()?;
    Some(Twist {
        say: say?,
        watch: watch?,
        event: scenario.event_from_table(&event)?,
        holds: holds?,
    })
}
