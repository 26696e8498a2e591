//! `drill grade`: the marks of an attempt, and the debrief.

use super::{bar, clock, load, load_log, say, tell_builds};
use crate::cli::{Failure, complain, say_in};
use crate::drill::attempt::folder::{answer_of, check_acts};
use crate::drill::attempt::log::Contents;
use crate::drill::attempt::rig_of;
use crate::drill::making::file::Drill;
use crate::drill::marking::debrief::{Debrief, debrief};
use crate::drill::marking::grade::{Grade, Points, grade};
use crate::drill::reasoning::causes::Causes;
use crate::drill::reasoning::causes::cause_words;
use crate::report::drills::{judged, total, why_unsafe};
use crate::report::marks::{apart, best_next, gained, says, why};
use crate::report::percent::belief;
use crate::report::telling::{no_shorter, not_here, step};
use crate::report::visit;
use crate::rig::Rig;
use crate::units::System;
use std::fmt::Write as _;
use std::path::PathBuf;

/// Arguments.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Drill file, or the short name of one that comes with the program
    drill: PathBuf,
    /// Log of the attempt
    log: PathBuf,
    /// The marks only, without going through the acts
    #[arg(long)]
    marks: bool,
    /// Go through it though no answer was given: it tells what it was
    #[arg(long)]
    unfinished: bool,
    /// Show SI units
    #[arg(long)]
    si: bool,
}

/// What follows the marks of an attempt that was not ended.
const UNFINISHED: &str = "`drill try` goes on with it. Once the answer is given it is gone through act by act; --unfinished does so now, and \
     tells what it was.\n";

/// Grades an attempt.
pub(super) fn run(args: &Args) -> Result<(), Failure> {
    let drill = load(&args.drill)?;
    let log = load_log(&args.log)?;
    belongs(&drill, &log, &args.log)?;
    tell_builds([(drill.title.as_str(), &drill)]);
    check_acts(&drill, &log).map_err(|why| {
        Failure::wrong(format!(
            "error: {why}\n  {}:{}\n  try: the log as `drill try` wrote it",
            args.log.display(),
            why.line()
        ))
    })?;
    if let Some(left_out) = log.left_out() {
        complain(&format!("note: {left_out}"));
    }
    let answer = answer_of(&drill, &log);
    let (rig, system) = (rig_of(&drill).rig, super::super::system_of(args.si));
    let marked = |g: &Grade| marks(&log, g, &rig, system);
    if args.marks || (answer.is_none() && !args.unfinished) {
        say(&marked(&grade(&drill, &log.entries, answer.as_ref())));
        if answer.is_none() && !args.marks {
            say(UNFINISHED);
        }
        return Ok(());
    }
    let mut listener =
        bar("working out what every cause would show (--marks tells the marks alone, at once)");
    let failed = |why: String| Failure::failed(format!("error: no debrief: {why}\n  try: --marks"));
    let causes =
        Causes::of(&drill.scenario, None, &mut listener).map_err(|e| failed(e.to_string()))?;
    let found = debrief(&drill, &causes, &log.entries, answer.as_ref()).map_err(failed)?;
    say_in(
        &(marked(&found.grade) + &told(&found, &drill, &rig, system)),
        system,
    );
    Ok(())
}

/// That a log is of this drill.
pub(super) fn belongs(
    drill: &Drill,
    log: &Contents,
    path: &std::path::Path,
) -> Result<(), Failure> {
    if log.header.drill == format!("{:016x}", drill.sum) {
        return Ok(());
    }
    Err(Failure::wrong(format!(
        "error: the log is of another drill, or the drill was changed: `{}`\n  {}\n  try: the drill it was begun with",
        log.header.title,
        path.display()
    )))
}

/// The marks of an attempt with the reason of each.
pub(in crate::cli) fn marks(log: &Contents, g: &Grade, rig: &Rig, system: System) -> String {
    let mut out = format!("{}: {}, {}\n\n", log.header.title, log.header.who, total(g));
    let mut line = |name: &str, p: &Points| {
        let _ = writeln!(
            out,
            "  {name:<9}{:>3.0} of {:<3.0} {}",
            p.given,
            p.of,
            why(&p.why)
        );
    };
    for (name, p) in g.parts() {
        line(name, p);
    }
    for j in &g.judgings {
        let (test, said) = (j.test.words(), visit::verdict(j.said));
        let is = judged(j, system);
        let _ = writeln!(out, "  judged: {test}: {said}. {is}");
    }
    for n in &g.noticed {
        let _ = writeln!(
            out,
            "  {}: {}: {}",
            match n {
                n if n.is_grave() => "GRAVE",
                n if n.is_said() => "unsafe, said",
                _ => "unsafe, done",
            },
            crate::report::drills::rule(n),
            why_unsafe(n, rig, system)
        );
    }
    out.push('\n');
    out
}

fn told(d: &Debrief, drill: &Drill, rig: &Rig, system: System) -> String {
    let mut out = format!("It was: {}\n", cause_words(&d.cause));
    for line in not_here(drill, true) {
        let _ = writeln!(out, "{line}");
    }
    if d.accepts.len() > 1 {
        let others: Vec<String> = d.accepts[1..].iter().map(cause_words).collect();
        let _ = writeln!(
            out,
            "Counts as right too, since the tests on the path do not rule it out and the same repair mends it: {}",
            others.join("; ")
        );
    }
    out.push_str("\nAct by act\n");
    for s in &d.steps {
        let _ = writeln!(
            out,
            "  [{}] {} {}",
            s.entry.n,
            clock(s.entry.end_s),
            s.entry.act
        );
        for line in visit::told(&s.entry.told, rig, system) {
            let _ = writeln!(out, "        {line}");
        }
        if let Some(gained) = gained(s) {
            let _ = writeln!(out, "      {gained}");
        }
        // What read nothing says nothing new.
        if s.entry.observations().next().is_some() {
            let _ = writeln!(out, "      the readings say: {}", says(s));
        }
        if let Some((cause, sure)) = &s.suspicion {
            let _ = writeln!(
                out,
                "      suspected: {} ({:.0} %)",
                cause_words(cause),
                100.0 * sure
            );
        }
        if let Some(next) = best_next(s) {
            let _ = writeln!(out, "      best next: {next}");
        }
    }
    out.push_str("\nThe shortest path\n");
    match d.sooner {
        Some(sooner) => {
            let _ = writeln!(out, "  {}", no_shorter(sooner));
        }
        None => {
            for (check, sure) in &d.best {
                let _ = writeln!(out, "  {} ({} sure)", step(*check), belief(*sure));
            }
        }
    }
    if !d.look_alikes.is_empty() {
        out.push_str("\nWhat looks alike, and what is believed of it after the obvious steps\n");
    }
    for l in &d.look_alikes {
        let (name, held) = (cause_words(&l.cause), belief(l.belief));
        let _ = writeln!(out, "  {name} ({held}): {}", apart(l, system));
    }
    out
}
