//! The trainee's side: trying a drill of the class, seeing one's own attempts.

use super::report::all_of;
use super::{Place, drill_words, find, open, stands, tell_left_out, wrong};
use crate::class::standing::{Advice, Reader};
use crate::class::{ClassFolder, Trainee, Try};
use crate::cli::drill::grade::marks;
use crate::cli::drill::session;
use crate::cli::{Failure, say};
use crate::drill::attempt::rig_of;
use crate::drill::marking::grade::grade;
use crate::report::telling::count;
use std::fmt::Write as _;

/// Arguments of `class try`.
#[derive(Debug, clap::Args)]
pub(super) struct TryOne {
    #[command(flatten)]
    place: Place,
    /// Your number or name on the class list
    #[arg(long)]
    who: String,
    /// Number or title of the drill in the list of the class [default: the one that should come next]
    #[arg(long)]
    drill: Option<String>,
    /// Show SI units
    #[arg(long)]
    si: bool,
}

/// What is said when the answer was given.
const ENDED: &str =
    "The answer is noted. The attempt opens with its marks when the instructor releases it.\n";

/// Begins an attempt, or goes on with one.
pub(super) fn try_one(args: &TryOne) -> Result<(), Failure> {
    let mut class = open(&args.place.folder)?;
    let person = find(&class, &args.who)?;
    let name = match &args.drill {
        Some(words) => class.drill_called(words).map_err(wrong)?,
        None => next_of(&class, &person)?,
    };
    let drill = class.drill(&name).map_err(wrong)?;
    if drill.exam && waits_for_release(&class, &person, &name)? {
        return Err(Failure::wrong(
            "error: this exam was ended and is not released yet
  try: another drill, or this one again once the instructor has released it",
        ));
    }
    let begun = class.begin(&person, &name).map_err(wrong)?;
    let mut out = format!("{}, number {}\n", person.name, person.number);
    if begun.ordinal > 1 {
        let _ = writeln!(
            out,
            "You have tried this drill before: this is retry {} and is marked as one.",
            begun.ordinal - 1
        );
    }
    if begun.elsewhere {
        out.push_str("It was opened before and nothing was done in it: where it is open at another computer still, end it there.\n");
    }
    say(&(out + "\n"));
    let ending = session::Ending {
        said: ENDED,
        is_held_back: true,
        kept: Some("The log is kept in the class"),
    };
    session::work(&drill, &person.id, &begun.log, args.si, &ending)
}

/// Whether somebody's exam was ended and waits for its release.
fn waits_for_release(class: &ClassFolder, person: &Trainee, drill: &str) -> Result<bool, Failure> {
    let (_, standing) = all_of(class)?;
    let mut people = standing.people.iter();
    Ok(people.any(|p| p.trainee.id == person.id && p.waits_for_release(drill)))
}

/// The drill that should come next.
fn next_of(class: &ClassFolder, person: &Trainee) -> Result<String, Failure> {
    let (_, standing) = all_of(class)?;
    let advice = standing
        .people
        .into_iter()
        .find(|p| p.trainee.id == person.id)
        .map(|p| p.advice(Reader::Owner).clone());
    match advice {
        Some(Advice::GoOn(name) | Advice::Try(name, _)) => Ok(name),
        _ => Err(Failure::wrong(
            "error: no drill is left: all were tried\n  try: one of them again with --drill, or more of them in the class",
        )),
    }
}

/// Arguments of `class mine`.
#[derive(Debug, clap::Args)]
pub(super) struct Mine {
    #[command(flatten)]
    place: Place,
    /// Your number or name on the class list
    #[arg(long)]
    who: String,
    /// Show SI units
    #[arg(long)]
    si: bool,
}

/// Tells somebody's attempts.
pub(super) fn mine(args: &Mine) -> Result<(), Failure> {
    let class = open(&args.place.folder)?;
    let person = find(&class, &args.who)?;
    let tries = class.tries(Some(&person.id)).map_err(wrong)?;
    let mut out = format!(
        "{}, number {}: {}\n",
        person.name,
        person.number,
        count(tries.all.len(), "attempt")
    );
    for t in &tries.all {
        let damaged = if t.damaged.is_some() { ", damaged" } else { "" };
        let _ = writeln!(
            out,
            "  {}  {:<10}{}{damaged}",
            t.name.date.words(),
            stands(t),
            drill_words(t)
        );
        if t.released {
            out.push_str(&opened(t, &person, args.si));
        }
    }
    say(&out);
    tell_left_out(&tries.left_out);
    Ok(())
}

/// A released attempt: what it was, what was said, the marks with their reasons.
fn opened(t: &Try, person: &Trainee, si: bool) -> String {
    let drill = &t.found.drill;
    let words = |cause| crate::drill::reasoning::causes::cause_words(cause);
    let said = t.answer.as_ref().map(|a| words(&a.cause));
    let mut contents = t.found.contents.clone();
    contents.header.who.clone_from(&person.name);
    let g = grade(drill, &contents.entries, t.answer.as_ref());
    let system = super::super::system_of(si);
    let marks = marks(&contents, &g, &rig_of(drill).rig, system);
    let mut out = format!(
        "    It was: {}\n    You said: {}\n",
        words(&drill.cause()),
        said.as_deref().unwrap_or("no answer")
    );
    for line in marks.lines().filter(|l| !l.is_empty()) {
        let _ = writeln!(out, "    {line}");
    }
    out
}
