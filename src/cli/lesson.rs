//! `twostage lesson ...`: predict, observe, explain.

use super::output::apart_from_standard;
use super::{Failure, complain, lines, say, system_of};
use crate::drill::lesson::{
    Answers, Lesson, Observed, Prediction, Progress, Question, SHIPPED, file_of, in_own_unit,
    number_in, shown, unit_on_show, usual_file,
};
use crate::units::{System, nearest, parse_number};
use clap::Subcommand;
use std::fmt::Write as _;
use std::io::{BufRead, IsTerminal as _, stdin};
use std::path::{Path, PathBuf};

/// Arguments.
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(subcommand)]
    task: Task,
}

/// What can be done with lessons.
#[derive(Debug, Subcommand)]
enum Task {
    /// List the lessons and which are done
    List {
        #[command(flatten)]
        kept: Kept,
    },
    /// Go through a lesson
    Run {
        /// Name of a lesson, or a lesson file
        lesson: String,
        #[command(flatten)]
        kept: Kept,
        /// Show and ask in SI units
        #[arg(long)]
        si: bool,
    },
}

/// Where progress is kept.
#[derive(Debug, clap::Args)]
struct Kept {
    /// Whose progress it is, by name
    #[arg(long, value_name = "NAME")]
    who: Option<String>,
    /// Where progress is kept
    #[arg(long, value_name = "FILE", conflicts_with = "who")]
    progress: Option<PathBuf>,
}

/// Carries out a task.
///
/// # Errors
/// In the one voice.
pub fn lesson(args: &Args) -> Result<(), Failure> {
    match &args.task {
        Task::List { kept: from } => list(&kept(from)?.1),
        Task::Run { lesson, kept, si } => run(lesson, kept, system_of(*si)),
    }
}

fn kept(from: &Kept) -> Result<(Option<PathBuf>, Progress), Failure> {
    let own = |nobodys: PathBuf| match &from.who {
        Some(who) => file_of(&nobodys, who),
        None => nobodys,
    };
    let file = from.progress.clone().or_else(|| usual_file().map(own));
    let progress = match &file {
        Some(path) => Progress::load(path).map_err(|e| Failure::wrong(e.to_string()))?,
        None => Progress::default(),
    };
    Ok((file, progress))
}

fn list(progress: &Progress) -> Result<(), Failure> {
    let lessons = Lesson::shipped().map_err(|e| Failure::failed(e.to_string()))?;
    let mut out = String::new();
    for l in &lessons {
        let done = progress
            .lessons
            .get(&l.id)
            .map_or_else(String::new, |r| format!("  done, {} of {}", r.best, r.of));
        let back = if progress.comes_back(&l.id) {
            ", comes back"
        } else {
            ""
        };
        let _ = writeln!(out, "  {:<20}{:<34}{done}{back}", l.id, l.title);
    }
    let next = progress.next(&lessons.iter().map(|l| l.id.as_str()));
    let next = next.unwrap_or("NAME");
    say(&(out + &format!("`twostage lesson run {next}` goes through one.\n")));
    Ok(())
}

fn find(name: &str) -> Result<Lesson, Failure> {
    let told = |e: crate::drill::lesson::LessonError| Failure::wrong(e.to_string());
    if let Some((id, text)) = SHIPPED.iter().find(|(id, _)| *id == name) {
        return Lesson::read(id, id, text).map_err(told);
    }
    let is_path = Path::new(name).extension().is_some() || name.contains(['/', '\\']);
    if is_path {
        return Lesson::load(Path::new(name)).map_err(told);
    }
    let help = nearest(name, SHIPPED.iter().map(|s| s.0)).map_or_else(
        || "`twostage lesson list` for all".to_owned(),
        |n| format!("`{n}`"),
    );
    let short: String = name.chars().filter(|c| !c.is_control()).take(40).collect();
    Err(Failure::wrong(format!(
        "error: there is no lesson `{short}`\n  try: {help}"
    )))
}

fn run(name: &str, from: &Kept, system: System) -> Result<(), Failure> {
    let lesson = find(name)?;
    if let Some(file) = &from.progress {
        apart_from_standard("--progress", file)?;
    }
    let (file, mut progress) = kept(from)?;
    say(&format!(
        "{}\n\n{}\n",
        lesson.title,
        shown(&lesson.about, system)
    ));
    let terminal = stdin().is_terminal();
    let mut input = stdin().lock();
    let mut said = Vec::new();
    for q in &lesson.questions {
        let Some(prediction) = ask(q, &mut input, terminal, system)? else {
            say("\nLeft before the end; nothing is noted.\n");
            return Ok(());
        };
        said.push(prediction);
    }
    let failed = |why: String| {
        Failure::failed(format!(
            "error: the lesson did not run: {why}\n  try: another lesson"
        ))
    };
    let observed = lesson.observe(&mut |_| true).map_err(failed)?;
    let right = tell(&lesson, &observed, &said, system).map_err(failed)?;
    progress.note(&lesson.id, right, said.len() as u32);
    if let Some(file) = file {
        progress
            .save(&file)
            .map_err(|e| Failure::failed(e.to_string()))?;
    }
    Ok(())
}

/// Asks until the answer is one; nothing where the input ends.
fn ask(
    q: &Question,
    input: &mut impl BufRead,
    terminal: bool,
    system: System,
) -> Result<Option<Prediction>, Failure> {
    let mut text = format!("\n{}\n", shown(&q.ask, system));
    let help = match &q.answers {
        Answers::Choices(choices) => {
            for (i, (words, _)) in choices.iter().enumerate() {
                let _ = writeln!(text, "  {}  {}", i + 1, shown(words, system));
            }
            format!("a number from 1 to {}", choices.len())
        }
        Answers::Number { unit, .. } => number_in(unit_on_show(unit, system)),
    };
    say(&text);
    loop {
        say(&format!("Your prediction, {help}: "));
        let Some(line) = lines::next(input)? else {
            return Ok(None);
        };
        if !terminal {
            say("\n");
        }
        let number = line.split_whitespace().next().and_then(parse_number);
        let prediction = match (&q.answers, number) {
            (Answers::Choices(c), Some(n))
                if n.fract() == 0.0 && n >= 1.0 && n <= c.len() as f64 =>
            {
                Some(Prediction::Choice(n as usize - 1))
            }
            (Answers::Number { unit, .. }, Some(n)) => {
                Some(Prediction::Number(in_own_unit(n, unit, system)))
            }
            _ => None,
        };
        match prediction {
            Some(p) => return Ok(Some(p)),
            None => complain(&format!("error: that is no answer here\n  try: {help}")),
        }
    }
}

/// Tells what came of the predictions; how many were right.
fn tell(
    lesson: &Lesson,
    observed: &Observed,
    said: &[Prediction],
    system: System,
) -> Result<u32, String> {
    let mut out = String::from("\nThe rig has run. Measured:\n");
    for line in &observed.lines {
        let _ = writeln!(out, "  {}", shown(line, system));
    }
    let mut right = 0;
    for (i, prediction) in said.iter().enumerate() {
        let o = lesson.check(i, observed, *prediction)?;
        right += u32::from(o.right);
        let q = &lesson.questions[i];
        let _ = writeln!(
            out,
            "\n{}\n{}\n{}",
            shown(&q.ask, system),
            shown(&q.told(&q.said(*prediction), &o), system),
            shown(&o.explain, system)
        );
    }
    let _ = writeln!(out, "\n{right} of {} right.", said.len());
    if let Some(twist) = &lesson.twist {
        let _ = writeln!(
            out,
            "\nTo try, by a button in the window: {}\nWatch: {}",
            shown(&twist.say, system),
            shown(&twist.watch, system)
        );
    }
    say(&out);
    Ok(right)
}
