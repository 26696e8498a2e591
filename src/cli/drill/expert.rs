//! `drill expert`: the program's own way through a drill, gone on its rig, with a reason for each test. The reasons fade
//! from drill to drill of a family: whoever has ended one of it is asked for the last of them, then for more.
//!
//! Worked examples whose steps are left to the learner one by one, the last first, teach better than whole ones or none
//! (Renkl and Atkinson 2003, memory).

use super::{bar, clock, load};
use crate::class::ClassFolder;
use crate::class::folder::LIST;
use crate::cli::{Failure, complain, say_in};
use crate::drill::Drill;
use crate::drill::attempt::folder::{Found, gather};
use crate::drill::attempt::path::path_of;
use crate::drill::attempt::rig_of;
use crate::drill::attempt::way::{Reason, Step, offer_of};
use crate::drill::reasoning::assess::causes_for;
use crate::drill::reasoning::causes::{Cause, Causes, cause_words, not_told_apart};
use crate::fault::Remedy;
use crate::report::marks::over;
use crate::report::percent::belief;
use crate::report::telling::count;
use crate::report::visit;
use crate::rig::Rig;
use crate::units::System;
use crate::visit::Test;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

/// Arguments.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Drill file, or the short name of one that comes with the program
    drill: PathBuf,
    /// For whom, in a class by number or name: reasons fade with the drills of the family that this person has ended
    #[arg(long, requires = "attempts")]
    who: Option<String>,
    /// Folder with that person's attempts, or the folder of a class
    #[arg(long, value_name = "FOLDER", requires = "who")]
    attempts: Option<PathBuf>,
    /// Show SI units
    #[arg(long)]
    si: bool,
}

/// With so many drills of a family ended no reason is told any more.
const FADED: usize = 4;
/// Most causes told by name.
const MOST_NAMED: usize = 4;

/// Goes through a drill as an expert would, and tells why.
pub(super) fn run(args: &Args) -> Result<(), Failure> {
    let drill = load(&args.drill)?;
    let seen = match args.who.as_ref().zip(args.attempts.as_ref()) {
        Some((who, folder)) => ended_by(who, folder, &drill)?,
        None => 0,
    };
    let failed = |why: String| {
        Failure::failed(format!(
            "error: no way through it: {why}\n  try: another drill"
        ))
    };
    let mut listener = bar("working out what every cause would show");
    let causes =
        Causes::of(&drill.scenario, None, &mut listener).map_err(|e| failed(e.to_string()))?;
    let system = super::super::system_of(args.si);
    say_in(
        &through(&drill, &causes, seen, system).map_err(failed)?,
        system,
    );
    Ok(())
}

/// How many drills of a family of this one somebody has ended, by a class or by a folder of attempts.
fn ended_by(who: &str, folder: &Path, drill: &Drill) -> Result<usize, Failure> {
    let wrong = |e: String| Failure::wrong(e);
    if folder.join(LIST).exists() {
        let class = ClassFolder::open(folder).map_err(|e| wrong(e.to_string()))?;
        let person = class.list.find(who).map_err(|e| wrong(e.to_string()))?;
        let tries = class.tries(Some(&person.id));
        let tries = tries.map_err(|e| wrong(e.to_string()))?.all;
        let ended = tries.iter().filter(|t| t.answer.is_some());
        return Ok(ended.filter(|t| is_of_family(&t.found, drill)).count());
    }
    let all = gather(folder, None).map_err(|e| wrong(e.to_string()))?;
    for left_out in &all.left_out {
        complain(&format!("note: left out: {left_out}"));
    }
    let name = who.trim();
    let theirs = |f: &&Found| f.contents.header.who == name;
    if !all.found.iter().any(|f| theirs(&f)) {
        return Err(wrong(format!(
            "error: no attempt in `{}` is by `{name}`\n  try: the name it was tried under, or the folder of the class for somebody on its list",
            folder.display()
        )));
    }
    let ended = all
        .found
        .iter()
        .filter(theirs)
        .filter(|f| f.answer().is_some());
    Ok(ended.filter(|f| is_of_family(f, drill)).count())
}

/// Whether an attempt was at a drill of a family of this one.
fn is_of_family(found: &Found, drill: &Drill) -> bool {
    let (own, other) = (drill.cause(), found.drill.cause());
    let mut pairs = own.iter().flat_map(|a| other.iter().map(move |b| (a, b)));
    pairs.any(|(a, b)| a.entry().family == b.entry().family)
}

/// The whole way in words.
fn through(drill: &Drill, causes: &Causes, seen: usize, system: System) -> Result<String, String> {
    let values = causes.truth(&drill.causes())?;
    let causes = causes_for(causes, &offer_of(drill), &drill.cause(), &values);
    let accepts = drill.worked.as_ref().map(|w| w.accepts.clone());
    let accepts = accepts.unwrap_or_else(|| vec![drill.cause()]);
    let right: Vec<usize> = accepts.iter().filter_map(|c| causes.find(c)).collect();
    let rig = rig_of(drill).rig;
    // How many reasons are told is known when it was gone: so each step is worded both ways, without its reason and with it.
    let mut worded: Vec<[String; 2]> = Vec::new();
    path_of(drill, &causes, &right, &mut |s| {
        let n = 1 + worded.len();
        let both = [false, true].map(|is_told| one(s, &causes, n, is_told, (&rig, system)));
        worded.push(both);
    })?;
    // The last reasons go first.
    let told = worded.len() - (worded.len() * seen.min(FADED)).div_ceil(FADED);
    let mut out = format!("{}\n\n{}\n\n", drill.title, drill.complaint);
    if seen > 0 {
        let ended = count(seen, "drill");
        let _ = writeln!(
            out,
            "{ended} of this family ended: the last reasons are yours to give.\n"
        );
    }
    for (n, words) in worded.iter().enumerate() {
        out.push_str(&words[usize::from(n < told)]);
    }
    let cause = drill.cause();
    let _ = writeln!(out, "\nIt is: {}", cause_words(&cause));
    for fault in &cause {
        let orders = fault.entry().puts_right().map(Remedy::order);
        let orders = orders.collect::<Vec<_>>().join(", or ");
        let what = if cause.len() > 1 {
            format!("What puts right {}", fault.name())
        } else {
            "What puts it right".to_owned()
        };
        let _ = writeln!(out, "{what}: {orders}");
    }
    out.push_str("Left shut off, for a qualified LP-gas technician; local codes decide.\n");
    Ok(out)
}

/// Why a test comes next.
fn reason((n, test): (usize, Test), why: &Reason, causes: &Causes, system: System) -> String {
    match why {
        Reason::Parts([one, other], by) => {
            let shows = |cause: &Cause| {
                let all = causes.find(cause).map(|place| causes.shows(place, *by));
                format!(
                    "{} with {}",
                    over(*by, &all.unwrap_or_default(), system),
                    cause_words(cause)
                )
            };
            format!("{} would be {}, {}", by.item().words, shows(one), shows(other))
        }
        Reason::Promises => format!(
            "{}, and this tells most for its minutes: {}",
            if n == 1 {
                "nothing was read yet"
            } else {
                "no cause stands out yet"
            },
            test.how()
        ),
        Reason::Afterwards => format!(
            "as seen afterwards it belongs to the shortest way that was found: {}",
            test.how()
        ),
        Reason::Reported => {
            "the owner reports escaping gas: it is looked for before anything is lit".to_owned()
        }
        Reason::Found => {
            "gas was found: the container is shut, and a leak check tells whether the low side holds and how fast it loses"
                .to_owned()
        }
    }
}

/// One step: why, what was done, what it showed, what that says.
fn one(
    s: &Step<'_>,
    causes: &Causes,
    n: usize,
    is_told: bool,
    (rig, system): (&Rig, System),
) -> String {
    let mut out = format!("[{n}] {}\n", s.test.words());
    let why = match (&s.why, is_told) {
        (_, false) => "your turn: why this test, and what does it say?".to_owned(),
        (Some(why), true) => reason((n, s.test), why, causes, system),
        (None, true) => "nothing else at hand promised more: the fixed order of a visit".to_owned(),
    };
    let _ = writeln!(out, "    why: {why}");
    for e in s.entries {
        let _ = writeln!(out, "    {} {}", clock(e.end_s), e.act);
        for line in visit::told(&e.told, rig, system) {
            let _ = writeln!(out, "        {line}");
        }
        if !e.told.caution().is_empty() {
            let _ = writeln!(out, "        Take care: {}", e.told.caution());
        }
    }
    if is_told {
        let ranked = s.belief.ranked();
        let alike = not_told_apart(&ranked);
        let held: f64 = alike.iter().map(|a| a.1).sum();
        let names: Vec<String> = alike
            .iter()
            .map(|a| cause_words(&causes.cause(a.0)))
            .collect();
        let says = if names.len() <= MOST_NAMED && held >= 0.5 {
            format!("{}, {}", names.join(" or "), belief(held))
        } else {
            format!("about {:.0} causes still open", s.belief.bits().exp2())
        };
        let _ = writeln!(out, "    it says: {says}");
    }
    out
}
