//! `drill new`, `drill check` and `drill reseal`.

use super::{bar, load, say, tell_builds};
use crate::cli::output::{Holds, Outputs, Replace};
use crate::cli::{Failure, complain};
use crate::diagnosis::files::account::Complaint;
use crate::drill::Drill;
use crate::drill::making::complaint::in_words;
use crate::drill::making::file::{Worked, scenario_beside};
use crate::drill::making::make::{Refused, Shelf, Tried, Wish, judge, make_heard};
use crate::drill::reasoning::assess::Unsolvable;
use crate::drill::reasoning::causes::cause_words;
use crate::drill::reasoning::difficulty::Assessment;
use crate::fault::Family;
use crate::form::store::os_words;
use crate::report::marks::alike_at_first;
use crate::report::percent::belief;
use crate::report::telling::{path_takes, short_and_hard, step, tells_its_fault};
use crate::units::nearest;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

/// Arguments of `drill new`.
#[derive(Debug, clap::Args)]
pub struct New {
    /// Drill file to write
    #[arg(short, long, value_name = "FILE")]
    out: PathBuf,
    #[command(flatten)]
    replace: Replace,
    /// Seal this drill, written by hand with its faults in the open
    #[arg(long, value_name = "FILE", conflicts_with_all = ["family", "level", "faults", "seed"])]
    from: Option<PathBuf>,
    /// Family of the fault: vent, seat, spring, diaphragm, lever, relief, fuel, supply, piping, appliance, mounting
    #[arg(long)]
    family: Option<String>,
    /// How hard, from 1 to 5
    #[arg(long, value_parser = clap::value_parser!(u8).range(1..=5))]
    level: Option<u8>,
    /// How many faults, 1 or 2
    #[arg(long, default_value_t = 1, value_parser = clap::value_parser!(u8).range(1..=2))]
    faults: u8,
    /// The same seed gives the same drill
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Ask before each test why that one
    #[arg(long)]
    ask_why: bool,
    /// Make it an exam: what the trainee judges is answered at the end
    #[arg(long)]
    exam: bool,
    /// Tell what is hidden
    #[arg(long)]
    tell: bool,
}

/// Arguments of `drill check`.
#[derive(Debug, clap::Args)]
pub struct Check {
    /// Drill files
    #[arg(required = true)]
    files: Vec<PathBuf>,
    /// Read the files only, without working out whether they can be solved
    #[arg(long)]
    quick: bool,
    /// Tell what is hidden
    #[arg(long)]
    tell: bool,
}

/// Arguments of `drill reseal`.
#[derive(Debug, clap::Args)]
pub struct Reseal {
    /// Sealed drill files, or folders of them
    #[arg(required = true)]
    files: Vec<PathBuf>,
    /// What their complaint is of, where that is not in them or another: "weak flames"; may stand several times
    #[arg(long, value_name = "COMPLAINT")]
    complains_of: Vec<String>,
}

/// Works out anew how hard sealed drills are and seals them again, each in its place: after the
/// model or the catalogue has changed.
pub(super) fn reseal(args: &Reseal) -> Result<(), Failure> {
    let complains_of = args.complains_of.iter().map(|c| complaint(c));
    let complains_of = complains_of.collect::<Result<Vec<_>, _>>()?;
    let mut wrong = Vec::new();
    let mut shelf = Shelf::full();
    for file in drill_files(&args.files)? {
        let name = file.display().to_string();
        if let Err(e) = reseal_one(&file, &name, &complains_of, &mut shelf) {
            wrong.push(e.text);
        }
    }
    if wrong.is_empty() {
        Ok(())
    } else {
        Err(Failure::wrong(wrong.join("\n\n")))
    }
}

/// A complaint by its words.
fn complaint(told: &str) -> Result<Complaint, Failure> {
    let known = Complaint::ALL.iter().find(|c| c.0 == told);
    known.map(|c| c.1).ok_or_else(|| {
        let short: String = told.chars().filter(|c| !c.is_control()).take(40).collect();
        let all = in_words(&Complaint::ALL.map(|c| c.1));
        Failure::wrong(format!(
            "error: --complains-of: there is no complaint `{short}`\n  try: one of {all}"
        ))
    })
}

fn reseal_one(
    file: &Path,
    name: &str,
    complains_of: &[Complaint],
    shelf: &mut Shelf,
) -> Result<(), Failure> {
    let mut drill = load(file)?;
    if !complains_of.is_empty() {
        drill.complains_of = complains_of.to_vec();
    }
    let Some(was) = &drill.worked else {
        return Err(Failure::wrong(format!(
            "error: the drill was never sealed\n  {name}\n  try: `twostage drill new --from {name} -o handout.toml`"
        )));
    };
    // Sealing it again in its place is what was asked for.
    let mut outputs = Outputs::new(scenario_beside(file), Replace { force: true });
    let slot = outputs.add(file, "FILE", Holds::Drill)?;
    let mut listener = bar("working out what every cause would show");
    let found =
        judge(&drill, shelf, &mut listener).map_err(|e| Failure::wrong(unsolvable(name, &e)))?;
    let (was, is) = (was.difficulty, found.difficulty);
    let text = drill.to_sealed(&Worked::from(&found));
    outputs.write(&[(slot, text.as_bytes())])?;
    say(&format!(
        "{name}: level {} (was {}), score {:.1} (was {:.1})\n",
        is.level(),
        was.level(),
        is.score(),
        was.score()
    ));
    if let Some(why) = unheld(&drill, &found, true) {
        say(&format!("  {why}\n"));
    }
    Ok(())
}

/// The files themselves, and the TOML files of folders in the order of their names.
fn drill_files(named: &[PathBuf]) -> Result<Vec<PathBuf>, Failure> {
    let mut out = Vec::new();
    for path in named {
        if !path.is_dir() {
            out.push(path.clone());
            continue;
        }
        let unread = |e: std::io::Error| {
            Failure::wrong(format!(
                "error: the folder cannot be read: {}\n  {}\n  try: a folder of yours",
                os_words(&e),
                path.display()
            ))
        };
        let mut inside = Vec::new();
        for entry in std::fs::read_dir(path).map_err(unread)? {
            let file = entry.map_err(unread)?.path();
            if file.extension().is_some_and(|e| e == "toml") {
                inside.push(file);
            }
        }
        inside.sort();
        out.append(&mut inside);
    }
    Ok(out)
}

/// Makes a drill.
pub(super) fn new(args: &New) -> Result<(), Failure> {
    let reads = args.from.as_ref().map_or_else(Vec::new, |from| {
        [Some(from.clone()), scenario_beside(from)]
            .into_iter()
            .flatten()
            .collect()
    });
    let mut outputs = Outputs::new(reads, args.replace);
    let slot = outputs.add(&args.out, "--out", Holds::Drill)?;
    let mut shelf = Shelf::full();
    let mut listener = bar("working out what every cause would show");
    let (mut drill, found) = if let Some(from) = &args.from {
        let drill = load(from)?;
        // Judged as it will be read: a text rounds its numbers.
        let drill = Drill::read(&from.display().to_string(), &drill.to_open(), None)
            .map_err(|e| Failure::failed(e.to_string()))?;
        let found = judge(&drill, &mut shelf, &mut listener)
            .map_err(|e| Failure::wrong(unsolvable(&from.display().to_string(), &e)))?;
        (drill, found)
    } else {
        let wish = Wish {
            family: args.family.as_deref().map(family).transpose()?,
            level: args.level,
            faults: usize::from(args.faults),
            seed: args.seed,
        };
        let begun = Instant::now();
        make_heard(&wish, &mut shelf, &mut listener, &mut |tried| {
            complain(&candidate(tried));
            begun.elapsed() < LONGEST
        })
        .map_err(|e| {
            Failure::failed(format!(
                "error: no drill was made: {e}\n  try: that level, another seed or family"
            ))
        })?
    };
    drill.exam |= args.exam;
    drill.asks_why |= args.ask_why;
    let text = drill.to_sealed(&Worked::from(&found));
    outputs.write(&[(slot, text.as_bytes())])?;
    if !outputs.takes_standard() {
        let name = args.out.display().to_string();
        say(&told(&name, &drill, &found, args.tell));
    }
    Ok(())
}

/// So long it is drawn for a drill to order: the next one may come, and somebody waits.
const LONGEST: Duration = Duration::from_secs(600);

/// What became of one that was drawn and is not it.
fn candidate(tried: Tried) -> String {
    let is = tried.level.map_or_else(
        || "cannot be handed out".to_owned(),
        |l| format!("is of level {l}"),
    );
    format!("note: candidate {} of {} at most {is}", tried.n, tried.of)
}

fn family(name: &str) -> Result<Family, Failure> {
    let id = |f: Family| format!("{f:?}").to_lowercase();
    Family::ALL
        .into_iter()
        .find(|f| id(*f) == name.to_lowercase())
        .ok_or_else(|| {
            let names: Vec<String> = Family::ALL.map(id).to_vec();
            let help = nearest(name, names.iter().map(String::as_str))
                .map_or_else(|| names.join(", "), |n| format!("`{n}`"));
            let short: String = name.chars().filter(|c| !c.is_control()).take(40).collect();
            Failure::wrong(format!(
                "error: --family: there is no family `{short}`\n  try: {help}"
            ))
        })
}

fn unsolvable(file: &str, refused: &Refused) -> String {
    let percent = |s: f64| format!("{:.0} %", 100.0 * s);
    let help = match (refused.near, &refused.why) {
        (Some(near), _) => {
            let beyond = refused
                .beyond
                .map_or_else(String::new, |b| format!(" or {}", percent(b)));
            format!(
                "a severity of {}{beyond}, or more instruments at hand",
                percent(near)
            )
        }
        (None, Unsolvable::OneInvisible { hidden, .. }) => {
            format!("{hidden} worse, another fault in its place, or more instruments at hand")
        }
        (None, Unsolvable::OtherComplaint { fit, .. }) => {
            format!("a complaint that fits, and complains_of = [...] of {fit}")
        }
        (None, Unsolvable::Late { .. }) => "a later end, or a fault that comes sooner".to_owned(),
        (None, _) => "more instruments at hand, or another severity".to_owned(),
    };
    let what = match refused.why {
        Unsolvable::OtherComplaint { .. } => "the complaint is not of this rig",
        _ => "the drill has no solution",
    };
    format!("error: {what}: {refused}\n  {file}\n  try: {help}")
}

fn told(file: &str, drill: &Drill, found: &Assessment, tell: bool) -> String {
    let d = &found.difficulty;
    let mut out = format!(
        "{file}: level {}: {}, the best path takes {}\n",
        d.level(),
        alike_at_first(d.look_alikes),
        path_takes(d)
    );
    if let Some(why) = short_and_hard(d) {
        let _ = writeln!(out, "  {why}");
    }
    if let Some(why) = tells_its_fault(drill) {
        let _ = writeln!(out, "  Caution: {why}");
    }
    let _ = writeln!(out, "  {}", marked(drill));
    if let Some(why) = unheld(drill, found, tell) {
        let _ = writeln!(out, "  {why}");
    }
    if tell {
        let causes: Vec<String> = found.accepts.iter().map(cause_words).collect();
        let _ = writeln!(out, "  hidden: {}", causes.join("; as good: "));
        for (check, sure) in &found.path.steps {
            let _ = writeln!(out, "  {} ({} sure)", step(*check), belief(*sure));
        }
    }
    out
}

/// That a complaint is in words only, and what the rig shows, where that may be told.
fn unheld(drill: &Drill, found: &Assessment, tell: bool) -> Option<String> {
    // One made to order has its complaint from what its rig shows.
    if !drill.complains_of.is_empty() || drill.seed.is_some() {
        return None;
    }
    let shows = if tell {
        format!("which shows {}", in_words(&found.fit))
    } else {
        "and --tell says what that shows".to_owned()
    };
    Some(format!(
        "Note: the complaint is in words only and was not held against the rig, {shows}; say what it is of: `complains_of` in the \
         file, --complains-of of `drill reseal`"
    ))
}

/// What its marks are made of, and whether it is an exam.
fn marked(drill: &Drill) -> String {
    let kind = if drill.exam { "exam" } else { "training" };
    let why = if drill.asks_why {
        ", asks why before each test"
    } else {
        ""
    };
    format!("{kind}{why}; marks: {}", drill.weights.words())
}

/// Checks drills.
pub(super) fn check(args: &Check) -> Result<(), Failure> {
    let mut wrong = Vec::new();
    let mut shelf = Shelf::full();
    for file in &args.files {
        let drill = match load(file) {
            Ok(drill) => drill,
            Err(e) => {
                wrong.push(e.text);
                continue;
            }
        };
        let name = file.display().to_string();
        tell_builds([(name.as_str(), &drill)]);
        if args.quick {
            say(&format!(
                "{name}: no mistakes: {}\n  {}\n",
                drill.title,
                marked(&drill)
            ));
            continue;
        }
        match judge(
            &drill,
            &mut shelf,
            &mut bar("working out what every cause would show"),
        ) {
            Ok(found) => say(&told(&name, &drill, &found, args.tell)),
            Err(e) => wrong.push(unsolvable(&name, &e)),
        }
    }
    if wrong.is_empty() {
        Ok(())
    } else {
        Err(Failure::wrong(wrong.join("\n\n")))
    }
}
