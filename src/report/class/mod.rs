//! A class in words: a page for the instructor ([`page`]), a sheet for each trainee ([`sheet`]), tables ([`tables`]) and
//! statements for a learning record store ([`statements`]).

pub mod page;
pub mod sheet;
pub mod statements;
pub mod tables;

use crate::class::ClassList;
use crate::class::habits::Habit;
use crate::class::name::AttemptName;
use crate::class::next::{Choice, Why};
use crate::class::standing::{Advice, Drills, LessonFor, Marked, MixUp, Person, Reader, Standing};
use crate::drill::reasoning::causes::cause_words;
use crate::report::attempts::{self, Attempt};
use crate::report::drills::rule;

/// What every report says of its scores.
pub const NO_PROOF: &str = "A score here is no proof of competence on a real rig. Drills teach how to look and when to stop; local codes and \
     the licensed technician decide.";

/// What a class lacks before anybody can work in it, to who can put it in.
pub fn lacks(list: &ClassList) -> Vec<&'static str> {
    let lacks = [
        (
            list.trainees.is_empty(),
            "Nobody is on the list yet. `twostage class add FOLDER --trainee NAME` puts people on it, and so does the instructor's page in the window",
        ),
        (
            list.drills.is_empty(),
            "No drill is in the class yet, so nobody can try one. `twostage class add FOLDER --drill NAME` puts drills in, and so does the instructor's page in the window",
        ),
    ];
    lacks
        .into_iter()
        .filter_map(|(is_so, words)| is_so.then_some(words))
        .collect()
}

/// A habit in words.
pub fn habit(habit: Habit) -> &'static str {
    match habit {
        Habit::LooksFirst => "looks before lighting",
        Habit::MeasuresFirst => "measures before judging",
        Habit::Isolates => "reads the pressure at two places",
        Habit::Proves => "proves the repair",
        Habit::LeavesSafe => "leaves it safe",
    }
}

/// A mix-up in words: what it was, what it was taken for.
pub fn mix_up(m: &MixUp) -> [String; 2] {
    let words = |cause: &[crate::fault::Fault], none: &str| {
        if cause.is_empty() {
            none.to_owned()
        } else {
            cause_words(&cause.to_vec())
        }
    };
    [
        words(&m.was, "nothing more"),
        words(&m.taken_for, "nothing"),
    ]
}

/// Title of a drill of the class by its short name.
pub fn title<'a>(drills: &'a Drills, name: &'a str) -> &'a str {
    drills
        .iter()
        .find(|(n, _)| n == name)
        .map_or(name, |(_, d)| d.title.as_str())
}

/// Why a drill was chosen, in words. What to do about a class that has none left is the instructor's.
fn why(choice: &Choice, reader: Reader) -> String {
    let chance = format!(
        "a chance of success of about {:.0} %",
        100.0 * choice.chance
    );
    match choice.why {
        Why::InOrder => format!("the next of the instructor's order; {chance}"),
        Why::Near if choice.is_far() && reader == Reader::Instructor => {
            format!("{chance}; none nearer to 70 % is left, so put some into the class")
        }
        Why::Near if choice.is_far() => format!("{chance}; none nearer to 70 % is left"),
        Why::Near => chance,
        // Not which family: that would tell what is wrong.
        Why::ComesBack(_) => format!("{chance}; something that was missed comes back"),
        Why::Again => format!("{chance}; all were tried, and this one was missed"),
    }
}

/// What somebody should do next, in words: the drill, and why. While marks are held back the owner is not told a
/// chance, which would tell them.
pub fn advice(drills: &Drills, person: &Person, reader: Reader) -> (String, String) {
    match person.advice(reader) {
        Advice::Try(
            name,
            Choice {
                why: Why::InOrder, ..
            },
        ) if person.is_held_back(reader) => (
            title(drills, name).to_owned(),
            "the next of the instructor's order".to_owned(),
        ),
        Advice::Try(name, _) if person.is_held_back(reader) => (
            title(drills, name).to_owned(),
            "chosen from what was released so far".to_owned(),
        ),
        Advice::GoOn(name) => (
            title(drills, name).to_owned(),
            "it was begun and not ended".to_owned(),
        ),
        Advice::Try(name, choice) => (title(drills, name).to_owned(), why(choice, reader)),
        Advice::NothingLeft if drills.is_empty() => {
            ("none".to_owned(), "no drill is in the class yet".to_owned())
        }
        Advice::NothingLeft => (
            "none".to_owned(),
            match reader {
                Reader::Instructor => "all were tried: put more into the class",
                Reader::Owner => "all were tried",
            }
            .to_owned(),
        ),
    }
}

/// Title of the lesson that somebody should go through, and why that one; where no lesson teaches it, what it is.
pub fn lesson(person: &Person, reader: Reader) -> Option<String> {
    let (id, why) = person.lesson(reader)?;
    let all = crate::drill::lesson::Lesson::shipped().ok()?;
    let title = all.into_iter().find(|l| Some(l.id.as_str()) == id);
    let title = title.map_or_else(
        || "none of them shows it, so talk it over".to_owned(),
        |l| l.title,
    );
    Some(match why {
        LessonFor::Unsafe(what) if what.is_grave() => {
            format!("{title} (what failed last: {})", rule(&what))
        }
        LessonFor::Unsafe(what) => format!("{title} (what was unsafe last: {})", rule(&what)),
        LessonFor::MixUp => format!("{title} (what was mixed up last)"),
        LessonFor::Habit(h) => format!(
            "{title} (the habit kept least: {}; {})",
            habit(h),
            teaches(h)
        ),
    })
}

/// What the lesson for a habit has to do with it.
fn teaches(habit: Habit) -> &'static str {
    match habit {
        Habit::LooksFirst => "eyes, ears and leak fluid come before a flame",
        Habit::MeasuresFirst => "it reads a gauge",
        Habit::Isolates => "it reads each stage by itself",
        Habit::Proves => "it is the reading that proves a repair",
        Habit::LeavesSafe => {
            "it reads what stands on the appliances once all is off, which says whether a rig may be left in use"
        }
    }
}

/// A drill's title, and which time it was tried.
pub fn drill_words(m: &Marked) -> String {
    let title = &m.of.found.drill.title;
    if m.of.is_retry() {
        format!("{title} (retry {})", m.of.ordinal - 1)
    } else {
        title.clone()
    }
}

/// How an attempt ended, in a word or two.
pub fn outcome(m: &Marked) -> &'static str {
    match (m.is_ended(), m.success) {
        (false, _) => "not ended",
        (true, true) => "passed",
        (true, false) if m.grade.failed.is_some() => "failed by an unsafe act",
        (true, false) => "not passed",
    }
}

/// All reports of a class: the name of each file and its text.
pub fn files(list: &ClassList, drills: &Drills, standing: &Standing) -> Vec<(String, String)> {
    let mut marked = Vec::new();
    for person in &standing.people {
        for m in &person.marked {
            let mut a = Attempt::of(&m.of.found.drill, &m.of.found.contents);
            a.begun = Some(m.of.name.date);
            a.who.clone_from(&person.trainee.name);
            marked.push(a);
        }
    }
    let mut out = vec![
        ("class.html".to_owned(), page::page(list, drills, standing)),
        (
            "attempts.html".to_owned(),
            attempts::html(&marked, &standing.left_out),
        ),
        (
            "gradebook.csv".to_owned(),
            tables::gradebook(drills, standing),
        ),
        ("acts.csv".to_owned(), tables::acts(standing)),
        (
            "statements.json".to_owned(),
            statements::statements(list, standing),
        ),
    ];
    for person in &standing.people {
        let name = format!("sheet_{:03}.html", person.trainee.number);
        out.push((name, sheet::sheet(list, drills, person)));
    }
    out
}

/// Of ended attempts those that may be released, and those at a drill that somebody is at work on: its answer could be heard.
pub fn free_and_held(
    people: &[Person],
    ended: &[AttemptName],
) -> (Vec<AttemptName>, Vec<AttemptName>) {
    let at_work = |n: &AttemptName| {
        let mut all = people.iter().flat_map(|p| &p.marked);
        all.any(|m| m.of.is_open() && m.of.name.drill == n.drill)
    };
    ended.iter().cloned().partition(|n| !at_work(n))
}

/// Titles of the drills of some attempts, each once.
pub fn titles_of(drills: &Drills, names: &[AttemptName]) -> String {
    let mut out: Vec<&str> = Vec::new();
    for name in names {
        let words = title(drills, &name.drill);
        if !out.contains(&words) {
            out.push(words);
        }
    }
    out.join(", ")
}

/// Who could hear the answer before giving one, if these were released: those at work on one of their drills, a retry of
/// one's own among them, and those who have not tried one yet.
pub fn still_open(people: &[Person], ended: &[AttemptName]) -> StillOpen {
    let of = |m: &&Marked| ended.iter().any(|n| n.drill == m.of.name.drill);
    let mut at_work: Vec<&str> = Vec::new();
    let mut untried: Vec<&str> = Vec::new();
    for person in people {
        let name = person.trainee.name.as_str();
        if person.marked.iter().filter(of).any(|m| m.of.is_open()) {
            at_work.push(name);
        }
        let has_tried = |n: &AttemptName| person.marked.iter().any(|m| m.of.name.drill == n.drill);
        if !ended.iter().all(has_tried) {
            untried.push(name);
        }
    }
    let line = |who: &[&str], words: &str| {
        (!who.is_empty()).then(|| format!("{words}: {}", who.join(", ")))
    };
    StillOpen {
        at_work: line(&at_work, "Still at work on one of these drills"),
        untried: line(&untried, "Have not tried all of these drills yet"),
    }
}

/// Who could be told the answer of what is released.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct StillOpen {
    /// Who is at work on it, where somebody is.
    pub at_work: Option<String>,
    /// Who has not tried it.
    pub untried: Option<String>,
}

impl StillOpen {
    /// All of it, a line each.
    pub fn lines(&self) -> Vec<&str> {
        let all = [&self.at_work, &self.untried];
        all.into_iter().flatten().map(String::as_str).collect()
    }
}
