//! Lessons: predict, observe, explain. A lesson asks first, then runs its rig, measures, and holds
//! the prediction against what was measured: which answer is right is an expression over the
//! readings of this very run, never a sentence kept in the file.
//!
//! Texts have their quantities in braces, `{11 inwc}`; whoever shows one puts it through [`shown`].

mod channel;
mod expression;
mod held;
mod progress;
mod quantity;
mod read;

pub use channel::{CHANNELS, Channel, PLACES, Place};
pub use expression::{Expression, Names, Value};
pub use held::Held;
pub use progress::{Progress, ProgressError, Record, file_of, usual_file};
pub use quantity::{in_own_unit, number_in, screen, shown, unit_on_show};
pub use read::LessonError;

use crate::rig::Readings;
use crate::scenario::{Event, Scenario};
use crate::service;
use crate::sim::Simulation;
use crate::solver::Method;
use crate::units::Unit;
use quantity::{as_read, written};
use std::sync::Arc;

/// What of a stretch of time is taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Take {
    /// Greatest value.
    Highest,
    /// Least value.
    Lowest,
    /// Mean over the stretch.
    Mean,
}

/// Something measured during the run.
#[derive(Debug, Clone, PartialEq)]
pub struct Measure {
    /// Its name in expressions and texts.
    pub name: String,
    /// What is read.
    pub of: Channel,
    /// From when \[s\] ...
    pub from_s: f64,
    /// ... to when \[s\]; the same for a single reading.
    pub to_s: f64,
    /// What of the stretch is taken.
    pub take: Take,
    /// The unit it is told and reckoned in.
    pub unit: &'static Unit,
    /// How many places are told, where more are wanted than such a value usually bears.
    pub places: Option<usize>,
}

impl Measure {
    /// The value in words, with the quantity in braces.
    fn written(&self, value: f64) -> String {
        match self.places {
            Some(places) => format!("{{{value:.places$} {}}}", self.unit.symbol),
            None => written(value, self.unit),
        }
    }

    /// The value as it is told.
    fn as_read(&self, value: f64) -> f64 {
        match self.places {
            Some(places) => format!("{value:.places$}").parse().unwrap_or(value),
            None => as_read(value, self.unit),
        }
    }

    /// When it was read: "at 2 min", "highest from 0 s to 1 min".
    fn when(&self) -> String {
        let clock = |s: f64| {
            if s >= 2.0 * 3600.0 && s % 3600.0 == 0.0 {
                format!("{} h", s / 3600.0)
            } else if s >= 60.0 && s % 60.0 == 0.0 {
                format!("{} min", s / 60.0)
            } else {
                format!("{s} s")
            }
        };
        if self.from_s >= self.to_s {
            return format!("at {}", clock(self.to_s));
        }
        let take = match self.take {
            Take::Highest => "highest",
            Take::Lowest => "lowest",
            Take::Mean => "mean",
        };
        format!("{take} from {} to {}", clock(self.from_s), clock(self.to_s))
    }
}

/// How a question is answered.
#[derive(Debug, Clone, PartialEq)]
pub enum Answers {
    /// One of these; each holds when its expression does, and exactly one must.
    Choices(Vec<(String, Expression)>),
    /// A number.
    Number {
        /// What is right.
        right: Expression,
        /// How near is right.
        within: f64,
        /// Unit of both.
        unit: &'static Unit,
    },
}

/// A question.
#[derive(Debug, Clone, PartialEq)]
pub struct Question {
    /// What is asked before the run.
    pub ask: String,
    /// How it is answered.
    pub answers: Answers,
    /// The explanation afterwards; `{name}` stands for what was measured.
    pub explain: String,
    /// The measure by which it is answered, by its place: time stands at its moment afterwards.
    pub key: usize,
    /// The part that is pointed at then.
    pub part: Place,
}

/// From where the rig is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum View {
    /// Cut open.
    Inside,
    /// As a person kneels before it, with a manometer at the outlet.
    Outside,
}

/// Something else that happens in the same run, to be tried after the explanation.
#[derive(Debug, Clone, PartialEq)]
pub struct Twist {
    /// What to try.
    pub say: String,
    /// What to watch.
    pub watch: String,
    /// What happens, and when.
    pub event: Event,
    /// What then holds of the measures.
    pub holds: Expression,
}

impl Question {
    /// How near a number has to be, with the quantity in braces; nothing where words are chosen, or where a difference
    /// is not told in the unit of the value, as of a temperature.
    pub fn near_enough(&self) -> Option<String> {
        match &self.answers {
            Answers::Number { within, unit, .. } if unit.to_si(0.0) == 0.0 => {
                Some(written(*within, unit))
            }
            _ => None,
        }
    }

    /// A prediction in words, with a quantity in braces.
    pub fn said(&self, prediction: Prediction) -> String {
        match (&self.answers, prediction) {
            (Answers::Choices(choices), Prediction::Choice(i)) => {
                choices.get(i).map_or_else(String::new, |c| c.0.clone())
            }
            (Answers::Number { unit, .. }, Prediction::Number(n)) => written(n, unit),
            _ => String::new(),
        }
    }

    /// What came of a prediction, in a line: what was right, or what was said and what it was; of a number how near is
    /// near enough.
    pub fn told(&self, said: &str, outcome: &Outcome) -> String {
        let near = self
            .near_enough()
            .map_or_else(String::new, |w| format!(" (right within {w})"));
        match (outcome.right, &self.answers) {
            (true, Answers::Choices(_)) => format!("Right: {}", outcome.answer),
            (true, Answers::Number { .. }) => {
                format!("Right: you said {said}; it was {}{near}", outcome.answer)
            }
            (false, _) => format!("You said: {said}; it was: {}{near}", outcome.answer),
        }
    }
}

/// A lesson.
#[derive(Debug, Clone, PartialEq)]
pub struct Lesson {
    /// Short name, for progress and the command line.
    pub id: String,
    /// Title.
    pub title: String,
    /// What it is about, before the questions.
    pub about: String,
    /// The rig and what happens.
    pub scenario: Scenario,
    /// What is measured.
    pub measures: Vec<Measure>,
    /// The questions, in order.
    pub questions: Vec<Question>,
    /// From where it is looked at.
    pub view: View,
    /// What to try afterwards.
    pub twist: Option<Twist>,
}

/// What a trainee predicts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Prediction {
    /// A choice, by its place.
    Choice(usize),
    /// A number in the question's unit.
    Number(f64),
}

/// What was measured in a run: a number a measure, in its unit and as it is told. So which answer is right follows from what
/// a person can read.
#[derive(Debug, Clone, PartialEq)]
pub struct Observed {
    /// By name.
    pub names: Names,
    /// Line by line, with quantities in braces.
    pub lines: Vec<String>,
    /// When each was read, or reached its highest or lowest, in the order of the measures \[s\].
    pub at_s: Vec<f64>,
}

/// What comes of a prediction.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// Whether it was right.
    pub right: bool,
    /// What is right, in words, with quantities in braces.
    pub answer: String,
    /// The explanation with the numbers of this run.
    pub explain: String,
}

macro_rules! shipped {
    ($($id:literal),* $(,)?) => {
        /// Lessons that come with the program: short name and text.
        pub const SHIPPED: &[(&str, &str)] =
            &[$(($id, include_str!(concat!("../../../scenarios/lessons/", $id, ".toml")))),*];
    };
}

shipped! {
    "manometer",
    "seat_and_diaphragm",
    "lever",
    "two_stages",
    "droop",
    "lock_up",
    "vent",
    "sun_on_the_case",
    "cold_container",
    "liquid",
    "open_slowly",
    "grit",
}

impl Lesson {
    /// The lessons that come with the program.
    ///
    /// # Errors
    /// [`LessonError`]; a test reads them all, so never.
    pub fn shipped() -> Result<Vec<Self>, LessonError> {
        SHIPPED
            .iter()
            .map(|(id, text)| Self::read(id, id, text))
            .collect()
    }

    /// Runs the rig and measures. `listener` hears the share that is done and says whether to go
    /// on; call it from a thread of its own where a screen must not wait.
    ///
    /// # Errors
    /// What stopped the run, in words.
    pub fn observe(&self, listener: &mut dyn FnMut(f64) -> bool) -> Result<Observed, String> {
        let scenario = Arc::new(self.scenario.clone());
        let run = self.scenario.run;
        let mut sim = Simulation::start(scenario, Method::Auto, service::TOLERANCE)
            .map_err(|e| e.to_string())?;
        let mut gathered: Vec<Gathered> =
            self.measures.iter().map(|_| Gathered::default()).collect();
        let mut note = |r: &Readings| {
            for (m, g) in self.measures.iter().zip(&mut gathered) {
                g.note(r.time_s, (m.of.read)(r), m, run.sample_s);
            }
        };
        note(&sim.readings());
        let stretches = 50;
        for k in 1..=stretches {
            let share = f64::from(k) / f64::from(stretches);
            sim.advance(run.duration_s * share, Some(run.sample_s), &mut note)
                .map_err(|e| e.to_string())?;
            if !listener(share) {
                return Err("stopped".to_owned());
            }
        }
        let mut out = Observed {
            names: Names::new(),
            lines: Vec::new(),
            at_s: Vec::new(),
        };
        for (m, g) in self.measures.iter().zip(&gathered) {
            let si = g
                .taken(m.take)
                .ok_or_else(|| format!("nothing was read for `{}`", m.name))?;
            let value = m.unit.from_si(si);
            let line = format!("{}, {}: {}", m.of.words, m.when(), m.written(value));
            out.lines.push(line);
            out.names.insert(m.name.clone(), m.as_read(value));
            out.at_s.push(g.at_s(m));
        }
        Ok(out)
    }

    /// Holds a prediction against what was measured.
    ///
    /// # Errors
    /// That the lesson itself gives no answer, in words: none of its choices holds, or several.
    pub fn check(
        &self,
        question: usize,
        observed: &Observed,
        said: Prediction,
    ) -> Result<Outcome, String> {
        let q = self
            .questions
            .get(question)
            .ok_or("there is no such question")?;
        let (right, answer) = match (&q.answers, said) {
            (Answers::Choices(choices), Prediction::Choice(said)) => {
                let mut holds = Vec::new();
                for (i, (_, when)) in choices.iter().enumerate() {
                    if when.truth(&observed.names)? {
                        holds.push(i);
                    }
                }
                match holds[..] {
                    [one] => (one == said, choices[one].0.clone()),
                    _ => return Err(format!("{} answers hold in this run, not one", holds.len())),
                }
            }
            (
                Answers::Number {
                    right,
                    within,
                    unit,
                },
                Prediction::Number(said),
            ) => {
                let right = right.number(&observed.names)?;
                ((said - right).abs() <= *within, written(right, unit))
            }
            _ => return Err("the answer is of another kind than the question".to_owned()),
        };
        Ok(Outcome {
            right,
            answer,
            explain: self.filled(&q.explain, observed),
        })
    }

    /// A text with `{name}` replaced by what was measured.
    fn filled(&self, text: &str, observed: &Observed) -> String {
        let mut out = text.to_owned();
        for m in &self.measures {
            if let Some(v) = observed.names.get(&m.name) {
                out = out.replace(&format!("{{{}}}", m.name), &m.written(*v));
            }
        }
        out
    }
}

#[derive(Debug, Clone, Default)]
struct Gathered {
    count: usize,
    sum: f64,
    least: f64,
    most: f64,
    least_s: f64,
    most_s: f64,
}

impl Gathered {
    fn note(&mut self, t_s: f64, value: f64, m: &Measure, sample_s: f64) {
        let slack = 0.5 * sample_s + 1e-9;
        let single = m.from_s == m.to_s;
        let inside = if single {
            (t_s - m.from_s).abs() <= slack && self.count == 0
        } else {
            (m.from_s - 1e-9..=m.to_s + 1e-9).contains(&t_s)
        };
        if !inside {
            return;
        }
        if self.count == 0 || value < self.least {
            (self.least, self.least_s) = (value, t_s);
        }
        if self.count == 0 || value > self.most {
            (self.most, self.most_s) = (value, t_s);
        }
        self.count += 1;
        self.sum += value;
    }

    /// The moment that shows it.
    fn at_s(&self, m: &Measure) -> f64 {
        match m.take {
            Take::Highest => self.most_s,
            Take::Lowest => self.least_s,
            Take::Mean => m.to_s,
        }
    }

    fn taken(&self, take: Take) -> Option<f64> {
        (self.count > 0).then(|| match take {
            Take::Highest => self.most,
            Take::Lowest => self.least,
            Take::Mean => self.sum / self.count as f64,
        })
    }
}
