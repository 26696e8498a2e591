//! `drill try`: an attempt line by line, at a terminal or from a script.
//!
//! Every act is on the disk before it is told as done; told acts start with their number in
//! brackets.

use super::{clock, load, say};
use crate::cli::output::apart_from_standard;
use crate::cli::{Failure, complain, lines, say_in};
use crate::drill::attempt::Refusal;
use crate::drill::attempt::act::{grammar_at, tests_at};
use crate::drill::attempt::judging::{has_limit, judgings};
use crate::drill::attempt::log::Entry;
use crate::drill::{Act, Attempt, Drill, NotDone};
use crate::fault::Remedy;
use crate::fault::{Family, Fault};
use crate::report::telling;
use crate::report::{
    drills::{When, judged, unsafe_words},
    visit,
};
use crate::sim::Simulation;
use crate::units::System;
use crate::visit::Test;
use std::fmt::Write as _;
use std::io::{IsTerminal as _, stdin};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Arguments.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Drill file, or the short name of one that comes with the program
    file: PathBuf,
    /// Your name, as the report shows it
    #[arg(long)]
    who: String,
    /// Log of the attempt; one that is there is gone on with [default: DRILL.WHO.attempt]
    #[arg(long, value_name = "FILE")]
    log: Option<PathBuf>,
    /// Show SI units
    #[arg(long)]
    si: bool,
}

/// Longest name of a person.
const NAME_CHARS: usize = 60;
/// Longest line taken in.
const LINE_CHARS: usize = 1000;

/// Runs an attempt.
pub(super) fn run(args: &Args) -> Result<(), Failure> {
    let who = args.who.trim();
    if who.is_empty() || who.chars().count() > NAME_CHARS || who.chars().any(char::is_control) {
        return Err(Failure::wrong(format!(
            "error: --who is no name\n  try: 1 to {NAME_CHARS} letters"
        )));
    }
    let drill = Arc::new(load(&args.file)?);
    let log = args
        .log
        .clone()
        .unwrap_or_else(|| usual_log(&args.file, who));
    let ending = Ending {
        said: "The answer is noted. `twostage drill grade` goes through the attempt.\n",
        is_held_back: false,
        kept: None,
    };
    work(&drill, who, &log, args.si, &ending)
}

/// What follows the answer.
pub(in crate::cli) struct Ending {
    /// What is said then.
    pub said: &'static str,
    /// Whether what came of the answer is told later: then nothing unsafe about how the rig was left is told with it, since
    /// that tells whether the fault is still in it.
    pub is_held_back: bool,
    /// Where the log is kept, where that is no matter of who tries.
    pub kept: Option<&'static str>,
}

/// An attempt line by line, begun or gone on with.
pub(in crate::cli) fn work(
    drill: &Arc<Drill>,
    who: &str,
    log: &Path,
    si: bool,
    ending: &Ending,
) -> Result<(), Failure> {
    apart_from_standard("--log", log)?;
    let (mut attempt, mut sim) =
        Attempt::open(drill.clone(), who, log).map_err(|e| Failure::wrong(e.to_string()))?;
    if let Some(left_out) = &attempt.left_out {
        complain(&format!(
            "note: {left_out}; it is kept as `{}`",
            log.with_extension("cut").display()
        ));
    }
    let kept = ending.kept.map_or_else(
        || format!("The log is `{}`", log.display()),
        ToOwned::to_owned,
    );
    say(&opening(drill, &attempt, &sim, &kept));
    let terminal = stdin().is_terminal();
    let mut input = stdin().lock();
    let mut wrong = false;
    while attempt.answer().is_none() {
        if terminal {
            say("> ");
        }
        let Some(line) = lines::next(&mut input)? else {
            break;
        };
        let line: String = line.trim().chars().take(LINE_CHARS).collect();
        match line.as_str() {
            "" => {}
            line if line.starts_with('#') => {}
            "quit" | "exit" => break,
            "help" => say(&help(drill)),
            "faults" => say(&causes()),
            "outside" => say(&outside(&attempt, &sim)),
            line => {
                wrong |= !one(
                    &mut attempt,
                    &mut sim,
                    line,
                    super::super::system_of(si),
                    ending,
                )?;
            }
        }
    }
    say(&closing(&attempt, &sim, terminal, ending.said));
    // A script is told by the exit code that some of its lines were not understood.
    if wrong && !terminal {
        return Err(Failure::failed(
            "error: some acts were not done\n  try: the messages above",
        ));
    }
    Ok(())
}

/// Does one line; whether it was done.
fn one(
    attempt: &mut Attempt,
    sim: &mut Simulation,
    line: &str,
    system: System,
    ending: &Ending,
) -> Result<bool, Failure> {
    let act = match Act::parse_at(line, sim.rig(), &attempt.drill().bag) {
        Ok(act) => act,
        Err(e) => {
            complain(&format!("error: {}\n  try: {}", e.message, e.help));
            return Ok(false);
        }
    };
    match attempt.act(sim, &act, &mut |_| true) {
        Ok(entry) => {
            let mut entry = entry.clone();
            if ending.is_held_back && matches!(act, Act::Answer(_)) {
                entry.noticed.clear();
            }
            let exam = attempt.drill().exam;
            let words = told(&entry, sim, system, exam) + &answered(attempt, entry.n, sim, system);
            say_in(&words, system);
            if attempt.time_is_up(sim) && attempt.answer().is_none() {
                say("    The time is up: only the answer is left\n");
            }
            if attempt.answer().is_some() && !ending.is_held_back {
                for line in telling::not_here(attempt.drill(), true) {
                    say(&format!("    {line}.\n"));
                }
            }
            Ok(true)
        }
        Err(NotDone::Log(e)) => Err(Failure::failed(e.to_string())),
        Err(e) => {
            complain(&format!("error: not done: {e}\n  try: {}", instead(&e)));
            Ok(false)
        }
    }
}

/// What to do where an act was not done.
fn instead(e: &NotDone) -> &'static str {
    match e {
        NotDone::Refused(Refusal::NotAtHand(_) | Refusal::NotHere) => {
            "`help`, which lists what can be done with what is at hand"
        }
        NotDone::Refused(Refusal::NoReason) => "`why ...` with the reason, then the test again",
        NotDone::Refused(Refusal::NoTest(_)) => "a test first, and then what you make of it",
        NotDone::Over(_) => "the answer, if it was not given",
        _ => "what stands in the way first; `help` lists what can be done",
    }
}

fn told(e: &Entry, sim: &Simulation, system: System, exam: bool) -> String {
    let rig = sim.rig();
    let mut out = format!("[{}] {} {}\n", e.n, clock(e.end_s), e.act);
    for line in visit::told(&e.told, rig, system) {
        let _ = writeln!(out, "    {line}");
    }
    if !e.told.caution().is_empty() {
        let _ = writeln!(out, "    Take care: {}", e.told.caution());
    }
    for u in &e.noticed {
        let (rule, why) = unsafe_words(u, rig, system, When::yet(exam));
        let _ = writeln!(out, "    UNSAFE, {rule}: {why}");
    }
    out
}

/// What is said to a judgement: in training how right it is, in an exam that it stands.
fn answered(attempt: &Attempt, n: usize, sim: &Simulation, system: System) -> String {
    let made = judgings(attempt.entries(), sim.rig());
    let Some(judging) = made.iter().find(|j| j.n == n) else {
        return String::new();
    };
    if attempt.drill().exam {
        return "    Noted; what it is worth is told at the end\n".to_owned();
    }
    let mut out = format!("    {}\n", judged(judging, system));
    // Said and not done, and told at once all the same: a pass is what the next one lights by.
    if let Some(u) = judging.unsafe_said() {
        let (rule, why) = unsafe_words(&u, sim.rig(), system, When::Training);
        let _ = writeln!(out, "    UNSAFE, {rule}: {why}");
    }
    out
}

fn usual_log(drill: &std::path::Path, who: &str) -> PathBuf {
    let stem = drill.file_stem().unwrap_or_default().to_string_lossy();
    PathBuf::from(crate::drill::attempt::folder::log_name(&stem, who))
}

fn opening(drill: &Drill, attempt: &Attempt, sim: &Simulation, kept: &str) -> String {
    let mut out = format!("{}\n\n{}\n\n", drill.title, drill.complaint);
    if drill.is_intermittent() {
        let _ = writeln!(out, "{}\n", telling::INTERMITTENT);
    }
    let tools: Vec<String> = drill
        .bag
        .all()
        .iter()
        // What must not be done stands in a line of its own.
        .filter(|(t, _)| drill.must_not.iter().all(|f| f.tool != *t))
        .map(|(t, m)| format!("{} ({m} min)", t.words()))
        .collect();
    let _ = writeln!(out, "{}", telling::appliances(&drill.scenario.rig));
    let _ = writeln!(out, "{}", telling::STANDS);
    let _ = writeln!(out, "At hand: {}.", tools.join(", "));
    for line in telling::not_here(drill, false) {
        let _ = writeln!(out, "{line}.");
    }
    let _ = writeln!(out, "{}", telling::judging(drill.exam));
    let tests = tests_at(&drill.bag, &drill.scenario.rig).into_iter();
    let unjudged: Vec<&str> = tests.filter(|t| !has_limit(*t)).map(Test::words).collect();
    if !unjudged.is_empty() {
        let _ = writeln!(
            out,
            "No limit is known to judge these by: {}.",
            unjudged.join(", ")
        );
    }
    if drill.asks_why {
        let _ = writeln!(out, "{}", telling::ASKS_WHY);
    }
    let _ = writeln!(out, "The drill ends at {}. {kept}.", clock(drill.limit_s));
    let _ = writeln!(
        out,
        "`help` tells what can be done. Gas can hurt: on a real rig local codes and the licensed technician decide."
    );
    if !attempt.entries().is_empty() {
        let n = attempt.entries().len();
        let _ = writeln!(out, "Going on after act {n}, at {}.", clock(sim.time_s()));
    }
    out.push('\n');
    out
}

fn outside(attempt: &Attempt, sim: &Simulation) -> String {
    let seen = attempt.outside(sim);
    let mut out = format!("clock {}\n", clock(seen.clock_s));
    for b in &seen.burners {
        let _ = writeln!(
            out,
            "  {}: {}",
            sim.rig().appliances[b.appliance].name,
            if b.on { "on" } else { "off" }
        );
    }
    for (i, open) in seen.valves.iter().enumerate() {
        let _ = writeln!(
            out,
            "  container valve {}: {}",
            i + 1,
            if *open > 0.0 { "open" } else { "shut" }
        );
    }
    out
}

fn help(drill: &Drill) -> String {
    let mut out = String::new();
    for w in grammar_at(&drill.bag) {
        let _ = writeln!(out, "  {:<36}{}", w.words, w.what);
    }
    let _ = writeln!(out, "  {:<36}the names of all causes", "faults");
    let _ = writeln!(out, "  {:<36}clock, burners, valves", "outside");
    let _ = writeln!(out, "  {:<36}leave it for now; the log keeps it", "quit");
    out.push_str("Actions of an answer:\n");
    for remedy in Remedy::ANSWERS {
        let _ = writeln!(out, "  {:<36}{}", remedy.id(), remedy.order());
    }
    let _ = writeln!(out, "{}", telling::appliances(&drill.scenario.rig));
    out
}

fn causes() -> String {
    let mut out = String::new();
    for family in Family::ALL {
        let _ = writeln!(out, "{}", family.words());
        for e in Fault::all()
            .map(Fault::entry)
            .filter(|e| e.family == family)
        {
            let _ = writeln!(out, "  {:<26}{}", e.id, e.name);
        }
    }
    out
}

fn closing(attempt: &Attempt, sim: &Simulation, terminal: bool, ended: &str) -> String {
    if attempt.answer().is_some() {
        return ended.to_owned();
    }
    let lead = if terminal { "\n" } else { "" };
    format!(
        "{lead}Left at {}; the same command goes on from here.\n",
        clock(sim.time_s())
    )
}
