//! A prediction held against the run: which values of what was measured it would have been right for, so that it can be
//! drawn beside the value that came; what stands before the run; and the run with its twist. Draws nothing.

use super::channel::Channel;
use super::{Answers, Expression, Lesson, Measure, Observed, Prediction, Twist};
use crate::scenario::Scenario;

/// How finely the values are gone through, and how often an edge is halved.
const STEPS: usize = 4000;
const HALVES: usize = 40;
/// How far from what was measured a value is looked for: so many times itself and what was said.
const REACH: f64 = 4.0;

/// A prediction in the measure by which its question is answered, SI.
#[derive(Debug, Clone, PartialEq)]
pub struct Held {
    /// What was measured.
    pub of: Channel,
    /// When \[s\].
    pub at_s: f64,
    /// What it was.
    pub measured: f64,
    /// The same as it is told, with the quantity in braces.
    pub told: String,
    /// The values for which the prediction is right; an end that is not there is infinite.
    pub said: Vec<[f64; 2]>,
    /// The value itself that follows from what was predicted, of a number.
    pub number: Option<f64>,
    /// Whether that value is the number that was said, and not reckoned from it.
    pub is_as_said: bool,
}

impl Answers {
    /// Names of the measures that the answer is reckoned from.
    pub fn names(&self) -> Vec<String> {
        let mut out = Vec::new();
        match self {
            Self::Choices(choices) => choices.iter().for_each(|(_, when)| when.names(&mut out)),
            Self::Number { right, .. } => right.names(&mut out),
        }
        out
    }
}

impl Lesson {
    /// What its questions ask for.
    pub fn asked(&self) -> Vec<Channel> {
        let names: Vec<String> = self
            .questions
            .iter()
            .flat_map(|q| q.answers.names())
            .collect();
        let measures = self.measures.iter().filter(|m| names.contains(&m.name));
        measures.map(|m| m.of).collect()
    }

    /// The rig before the prediction: its own, with valves and taps shut and lines empty, so that nothing that the gas does
    /// can be read on it.
    pub fn ready(&self) -> Scenario {
        let mut ready = self.scenario.clone();
        ready.events.clear();
        ready.valves_open.fill(false);
        ready.on_at_start.fill(false);
        ready
    }

    /// Whether even that rig would show what is asked for, so that it has to be covered.
    pub fn asks_for_what_stands(&self) -> bool {
        self.asked().iter().any(Channel::stands_without_gas)
    }

    /// The run with its twist.
    pub fn twisted(&self) -> Option<Self> {
        let Twist { event, .. } = self.twist.as_ref()?;
        let mut out = self.clone();
        let events = &mut out.scenario.events;
        let place = events.partition_point(|e| e.at_s <= event.at_s);
        events.insert(place, event.clone());
        Some(out)
    }

    /// What was measured in the run with the twist beside what it was without, line by line, with quantities in braces.
    pub fn beside(&self, tried: &Observed, plain: &Observed) -> Vec<String> {
        let line = |m: &Measure| {
            let told = |of: &Observed| of.names.get(&m.name).map(|v| m.written(*v));
            let (tried, plain) = (told(tried)?, told(plain)?);
            let what = format!("{}, {}", m.of.words, m.when());
            Some(if tried == plain {
                format!("{what}: {tried}, as before")
            } else {
                format!("{what}: {tried} instead of {plain}")
            })
        };
        self.measures.iter().filter_map(line).collect()
    }

    /// A prediction in the measure by which its question is answered; nothing where it says nothing of that.
    pub fn held(&self, question: usize, observed: &Observed, said: Prediction) -> Option<Held> {
        let q = self.questions.get(question)?;
        let m = self.measures.get(q.key)?;
        let value = *observed.names.get(&m.name)?;
        let mut names = observed.names.clone();
        let mut holds = |x: f64| {
            names.insert(m.name.clone(), x);
            match (&q.answers, said) {
                (Answers::Choices(choices), Prediction::Choice(i)) => choices
                    .get(i)
                    .is_some_and(|c| c.1.truth(&names).unwrap_or(false)),
                (Answers::Number { right, within, .. }, Prediction::Number(n)) => right
                    .number(&names)
                    .is_ok_and(|right| (n - right).abs() <= *within),
                _ => false,
            }
        };
        let (number, fine) = match (&q.answers, said) {
            (Answers::Number { within, .. }, Prediction::Number(n)) => (Some(n), *within),
            _ => (None, 1.0),
        };
        let reach = REACH * (value.abs() + number.map_or(0.0, f64::abs)) + 20.0 * fine;
        let said = stretches(value - reach, value + reach, &mut holds);
        let far = |s: &[f64; 2]| (0.5 * (s[0] + s[1]) - value).abs();
        let nearest = said.iter().min_by(|a, b| far(a).total_cmp(&far(b)));
        let number = number.and(nearest).map(|s| 0.5 * (s[0] + s[1]));
        Some(Held {
            of: m.of,
            at_s: *observed.at_s.get(q.key)?,
            measured: m.unit.to_si(value),
            told: m.written(value),
            is_as_said: matches!(
                &q.answers,
                Answers::Number { right: Expression::Name(name), .. } if *name == m.name
            ),
            said: said.iter().map(|s| s.map(|x| m.unit.to_si(x))).collect(),
            number: number.map(|x| m.unit.to_si(x)),
        })
    }
}

/// The stretches of values in which something holds; one that reaches an end goes on for ever.
fn stretches(from: f64, to: f64, holds: &mut impl FnMut(f64) -> bool) -> Vec<[f64; 2]> {
    let step = (to - from) / STEPS as f64;
    let mut out = Vec::new();
    let mut before = holds(from);
    let mut begun = before.then_some(f64::NEG_INFINITY);
    for k in 1..=STEPS {
        let x = from + step * k as f64;
        let now = holds(x);
        if now != before {
            let (mut a, mut b) = (x - step, x);
            for _ in 0..HALVES {
                let middle = 0.5 * (a + b);
                if holds(middle) == before {
                    a = middle;
                } else {
                    b = middle;
                }
            }
            match begun.take() {
                Some(start) => out.push([start, a]),
                None => begun = Some(b),
            }
            before = now;
        }
    }
    out.extend(begun.map(|start| [start, f64::INFINITY]));
    out
}
