//! How a class stands: every attempt with its marks, habits and mix-ups, everyone's skill, what each should try next. A
//! pure function of the files, worked out anew whenever it is asked for, so that nothing of it can be lost or disagree.

use super::habits::{Habit, Kept, habits};
use super::list::{ClassList, Trainee};
use super::next::{Choice, Past, next, next_in_order};
use super::rating::{Item, Outcome, Rated, difficulty, families, rate};
use super::tries::{Tries, Try};
use crate::drill::attempt::safety::Unsafe;
use crate::drill::marking::grade::{Grade, counts_as_right, grade, same};
use crate::drill::reasoning::causes::Cause;
use crate::drill::{Drill, Finding};
use crate::fault::{Family, Fault};
use std::collections::BTreeMap;
use std::sync::Arc;

/// What was taken for what. Causes that were named rightly are left out of both; the order of two says nothing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MixUp {
    /// What it was; nothing where something was seen that was not there.
    pub was: Cause,
    /// What it was taken for; nothing where it was not seen.
    pub taken_for: Cause,
}

/// One attempt, marked.
#[derive(Debug, Clone)]
pub struct Marked {
    /// The attempt.
    pub of: Try,
    /// Its marks so far.
    pub grade: Grade,
    /// Whether it was ended with the pass mark or more.
    pub success: bool,
    /// Habits kept.
    pub kept: Kept,
    /// What was taken for what, where it was.
    pub mix_up: Option<MixUp>,
}

impl Marked {
    /// Marks an attempt.
    pub fn of(t: &Try, pass: f64) -> Self {
        let (drill, entries) = (&t.found.drill, &t.found.contents.entries);
        let grade = grade(drill, entries, t.answer.as_ref());
        Self {
            success: t.answer.is_some() && grade.total() >= pass && !grade.called_safe(),
            kept: habits(drill, entries),
            mix_up: t.answer.as_ref().and_then(|a| mix_up(drill, a)),
            of: t.clone(),
            grade,
        }
    }

    /// Whether it was ended.
    pub fn is_ended(&self) -> bool {
        self.of.answer.is_some()
    }
}

/// What an answer took for what; none where it counts as right.
pub fn mix_up(drill: &Drill, answer: &Finding) -> Option<MixUp> {
    let (truth, said) = (drill.cause(), drill.settled(&answer.cause));
    if same(&truth, &said) || counts_as_right(drill, &said) {
        return None;
    }
    let less = |a: &Cause, b: &Cause| -> Cause {
        let mut out: Cause = a.iter().copied().filter(|f| !b.contains(f)).collect();
        out.sort_by_key(ToString::to_string);
        out
    };
    Some(MixUp {
        was: less(&truth, &said),
        taken_for: less(&said, &truth),
    })
}

/// What somebody should do next.
#[derive(Debug, Clone, PartialEq)]
pub enum Advice {
    /// Go on with the attempt at this drill.
    GoOn(String),
    /// Try this drill.
    Try(String, Choice),
    /// All were tried, and what was missed has not waited long enough.
    NothingLeft,
}

/// For whom something is told: who made an attempt learns nothing of what came of it before it is released.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reader {
    /// The instructor: all of it.
    Instructor,
    /// Whose it is.
    Owner,
}

/// One person of the class.
#[derive(Debug, Clone)]
pub struct Person {
    /// Who.
    pub trainee: Trainee,
    /// Attempts in the order of beginning.
    pub marked: Vec<Marked>,
    /// What to do next, by all results.
    advice: Advice,
    /// The same by those that were released: what is told to whose they are.
    told: Advice,
}

impl Person {
    /// Whether a drill is an exam that was ended and is not released: nobody tries that again meanwhile.
    pub fn waits_for_release(&self, drill: &str) -> bool {
        let is_of = |m: &&Marked| m.of.name.drill == drill && m.of.found.drill.exam;
        let mut of = self.marked.iter().filter(is_of).peekable();
        of.peek().is_some() && of.all(Marked::is_ended) && self.has_unreleased(drill)
    }

    fn has_unreleased(&self, drill: &str) -> bool {
        let mut of = self.marked.iter().filter(|m| m.of.name.drill == drill);
        of.any(|m| !m.of.released)
    }

    /// What to do next, as this reader may be told it.
    pub fn advice(&self, reader: Reader) -> &Advice {
        match reader {
            Reader::Instructor => &self.advice,
            Reader::Owner => &self.told,
        }
    }

    /// The attempts whose outcome may be told to this reader.
    fn told(&self, reader: Reader) -> impl DoubleEndedIterator<Item = &Marked> {
        let all = reader == Reader::Instructor;
        self.marked.iter().filter(move |m| all || m.of.released)
    }

    /// Whether something that was ended may not be told to this reader yet.
    pub fn is_held_back(&self, reader: Reader) -> bool {
        reader == Reader::Owner && self.marked.iter().any(|m| m.is_ended() && !m.of.released)
    }

    /// Average of the marks of first attempts that were ended.
    pub fn average(&self) -> Option<f64> {
        let first = self
            .marked
            .iter()
            .filter(|m| m.is_ended() && !m.of.is_retry());
        let marks: Vec<f64> = first.map(|m| m.grade.total()).collect();
        (!marks.is_empty()).then(|| marks.iter().sum::<f64>() / marks.len() as f64)
    }

    /// How often each habit was kept, of how many occasions.
    pub fn habits(&self, reader: Reader) -> [(usize, usize); Habit::ALL.len()] {
        let mut out = [(0, 0); Habit::ALL.len()];
        for m in self.told(reader) {
            for (o, kept) in out.iter_mut().zip(m.kept) {
                o.0 += usize::from(kept == Some(true));
                o.1 += usize::from(kept.is_some());
            }
        }
        out
    }

    /// The habit kept least, where one was missed.
    pub fn weakest_habit(&self, reader: Reader) -> Option<Habit> {
        let share = |(kept, of): (usize, usize)| kept as f64 / of as f64;
        let all = Habit::ALL.into_iter().zip(self.habits(reader));
        let missed = all.filter(|(_, (kept, of))| kept < of);
        missed
            .min_by(|a, b| share(a.1).total_cmp(&share(b.1)))
            .map(|(h, _)| h)
    }

    /// What somebody should go through next, and the short name of the shipped lesson for it, where one teaches it: the grave
    /// act that failed an attempt last, else what was mixed up last, else what was unsafe last, else the habit kept least.
    pub fn lesson(&self, reader: Reader) -> Option<(Option<&'static str>, LessonFor)> {
        let newest = || self.told(reader).rev();
        let of_unsafe = |u: &Unsafe| (u.lesson(), LessonFor::Unsafe(u.clone()));
        let failed = newest().find_map(|m| m.grade.failed.as_ref());
        let family = || {
            let mixed = newest().find_map(|m| m.mix_up.as_ref())?;
            let fault: &Fault = mixed.was.first().or(mixed.taken_for.first())?;
            Some(fault.entry().family)
        };
        let noticed = || newest().find_map(|m| m.grade.noticed.last());
        let habit = || self.weakest_habit(reader);
        failed
            .map(of_unsafe)
            .or_else(|| family().map(|f| (Some(lesson_of_family(f)), LessonFor::MixUp)))
            .or_else(|| noticed().map(of_unsafe))
            .or_else(|| habit().map(|h| (lesson_of_habit(h), LessonFor::Habit(h))))
    }
}

/// What a lesson is for.
#[derive(Debug, Clone, PartialEq)]
pub enum LessonFor {
    /// What was unsafe last; where it failed an attempt, that.
    Unsafe(Unsafe),
    /// What was taken for something else last.
    MixUp,
    /// The habit that was kept least.
    Habit(Habit),
}

/// The lesson on a family of faults.
fn lesson_of_family(family: Family) -> &'static str {
    match family {
        Family::Vent | Family::Mounting => "vent",
        Family::Seat => "grit",
        Family::Spring => "two_stages",
        Family::Diaphragm => "seat_and_diaphragm",
        Family::Lever => "lever",
        Family::Relief => "lock_up",
        Family::Fuel => "liquid",
        Family::Supply => "cold_container",
        Family::Piping => "droop",
        Family::Appliance => "manometer",
    }
}

/// The lesson that shows what a habit is good for; none shows a look.
fn lesson_of_habit(habit: Habit) -> Option<&'static str> {
    match habit {
        Habit::LooksFirst => None,
        Habit::MeasuresFirst => Some("manometer"),
        Habit::Isolates => Some("two_stages"),
        Habit::Proves | Habit::LeavesSafe => Some("lock_up"),
    }
}

/// A class as it stands.
#[derive(Debug, Clone)]
pub struct Standing {
    /// People by their numbers.
    pub people: Vec<Person>,
    /// Skills by their places, and the drills with what results have moved.
    pub rated: Rated,
    /// What was left out, and why.
    pub left_out: Vec<String>,
    /// Whether a clock was wrong.
    pub clock_is_wrong: bool,
}

/// Drills of a class with their short names.
pub type Drills = [(String, Arc<Drill>)];

/// How a class stands.
pub fn standing(list: &ClassList, drills: &Drills, tries: &Tries) -> Standing {
    let items: Vec<Item> = drills
        .iter()
        .map(|(_, d)| Item {
            families: families(d),
            hard: difficulty(d),
        })
        .collect();
    let who: BTreeMap<&str, usize> = list
        .trainees
        .iter()
        .enumerate()
        .map(|(i, t)| (t.id.as_str(), i))
        .collect();
    let place = |name: &str| drills.iter().position(|(n, _)| n == name);
    let mut marked: Vec<Vec<Marked>> = vec![Vec::new(); list.trainees.len()];
    let (mut outcomes, mut released) = (Vec::new(), Vec::new());
    for t in &tries.all {
        let Some(&person) = who.get(t.name.trainee.as_str()) else {
            continue;
        };
        let m = Marked::of(t, list.pass);
        // A retry tells of what was told, not of skill.
        if let (true, 1, Some(item)) = (m.is_ended(), t.ordinal, place(&t.name.drill)) {
            let outcome = Outcome {
                who: person,
                item,
                success: m.success,
            };
            outcomes.push(outcome);
            released.extend(t.released.then_some(outcome));
        }
        marked[person].push(m);
    }
    let rated = rate(list.trainees.len(), &items, &outcomes);
    let told = rate(list.trainees.len(), &items, &released);
    let person = |(i, marked): (usize, Vec<Marked>)| Person {
        trainee: list.trainees[i].clone(),
        advice: advice(
            &marked,
            drills,
            (&rated, list.in_order),
            i,
            Reader::Instructor,
        ),
        told: advice(&marked, drills, (&told, list.in_order), i, Reader::Owner),
        marked,
    };
    Standing {
        people: marked.into_iter().enumerate().map(person).collect(),
        rated,
        left_out: tries.left_out.clone(),
        clock_is_wrong: tries.clock_is_wrong,
    }
}

fn advice(
    marked: &[Marked],
    drills: &Drills,
    (rated, in_order): (&Rated, bool),
    who: usize,
    reader: Reader,
) -> Advice {
    // A retry that was begun of what is told already shows nothing new: it is there to be gone on with, and not what comes next.
    let is_told = |of: &Marked| {
        let same = |m: &&Marked| m.of.name.drill == of.of.name.drill;
        marked.iter().filter(same).any(|m| m.of.released)
    };
    let mut open = marked.iter().rev().filter(|m| m.of.is_open());
    if let Some(open) = open.find(|m| !is_told(m)) {
        return Advice::GoOn(open.of.name.drill.clone());
    }
    let past: Vec<Past> = marked
        .iter()
        .filter(|m| !m.of.is_open())
        .filter_map(|m| {
            let item = drills.iter().position(|(n, _)| *n == m.of.name.drill)?;
            Some(Past {
                item,
                // What is not released was tried, and no more than that is told.
                success: m.success || (reader == Reader::Owner && !m.of.released),
            })
        })
        .collect();
    let choose = if in_order { next_in_order } else { next };
    match choose(&rated.skills[who], &rated.items, &past) {
        Some(choice) => Advice::Try(drills[choice.item].0.clone(), choice),
        None => Advice::NothingLeft,
    }
}
