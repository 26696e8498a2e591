//! The instructor's side: making a class, seeing how far everyone is, releasing what was ended.

use super::report::all_of;
use super::{CLOCK, Place, drill_words, find, open, stands, tell_builds, tell_left_out, wrong};
use crate::class::folder::NewDrill;
use crate::class::name::AttemptName;
use crate::class::{ClassFolder, ClassList};
use crate::cli::{Failure, complain, say};
use crate::drill::making::shipped::easy_to_hard;
use crate::form::read_file;
use crate::report::class::{free_and_held, lacks, still_open, titles_of};
use crate::report::telling::count;
use std::fmt::Write as _;
use std::path::PathBuf;

/// What goes into a class.
#[derive(Debug, clap::Args)]
struct Into {
    /// Name of a trainee; again for more
    #[arg(long, value_name = "NAME")]
    trainee: Vec<String>,
    /// File with the names of trainees, one a line
    #[arg(long, value_name = "FILE")]
    names: Option<PathBuf>,
    /// Drill: a sealed file, or the short name of a shipped one; again for more, in the order in which they come next
    #[arg(long, value_name = "DRILL")]
    drill: Vec<String>,
    /// All shipped drills, from easy to hard
    #[arg(long)]
    shipped: bool,
}

/// As much of a name as a message repeats.
fn shortened(name: &str) -> String {
    let plain = crate::units::plain(name);
    plain.chars().take(40).collect()
}

/// Longest file of names, bytes.
const MOST_BYTES: u64 = 200_000;

impl Into {
    fn is_empty(&self) -> bool {
        self.trainee.is_empty() && self.names.is_none() && self.drill.is_empty() && !self.shipped
    }

    /// Puts the people on the list, and fetches the drills: nothing is written yet.
    fn gather(&self, list: &mut ClassList) -> Result<Vec<NewDrill>, Failure> {
        for name in &self.trainee {
            list.add(name)
                .map_err(|e| wrong(e.at(&format!("--trainee {}", shortened(name)))))?;
        }
        if let Some(file) = &self.names {
            let text = read_file(file, MOST_BYTES).map_err(wrong)?;
            for (i, line) in text.lines().map(str::trim).enumerate() {
                if line.is_empty() || line.starts_with('#') {
                    continue;
                }
                let place = format!("{}:{}", file.display(), i + 1);
                list.add(line).map_err(|e| wrong(e.at(&place)))?;
            }
        }
        let mut drills = self.drill.clone();
        if self.shipped {
            let all = easy_to_hard().map_err(wrong)?;
            drills.extend(all.into_iter().map(|(id, _)| id.to_owned()));
        }
        NewDrill::fetch_all(list, &drills).map_err(wrong)
    }
}

/// Arguments of `class new`.
#[derive(Debug, clap::Args)]
pub(super) struct New {
    #[command(flatten)]
    place: Place,
    /// Name of the class
    #[arg(long)]
    name: String,
    #[command(flatten)]
    with: Into,
    /// What somebody should try next follows the order of the drills, or what each can; the order, where --drill gives one
    #[arg(long, value_enum)]
    next: Option<NextBy>,
    /// Word that opens the instructor's page in the window; it keeps eyes from straying, no more
    #[arg(long)]
    word: Option<String>,
}

/// What the next drill follows from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum NextBy {
    /// The order of the drills.
    Order,
    /// What each can.
    Skill,
}

impl NextBy {
    /// Sets it: as it is asked for, else by the order where one of two drills or more was given. Shipped ones alone stand from
    /// easy to hard, which is nobody's order.
    fn set(asked: Option<Self>, into: &Into, list: &mut ClassList) {
        let given = into.drill.len() > 1;
        list.in_order = asked.map_or(given, |by| by == Self::Order);
    }
}

/// Makes a class.
pub(super) fn new(args: &New) -> Result<(), Failure> {
    if !crate::class::list::is_name(&args.name) {
        return Err(Failure::wrong(format!(
            "error: --name is no name\n  try: 1 to {} letters",
            crate::class::list::NAME_CHARS
        )));
    }
    let mut list = ClassList::new(&args.name);
    if let Some(word) = &args.word {
        list.choose_word(word);
    }
    let drills = args.with.gather(&mut list)?;
    NextBy::set(args.next, &args.with, &mut list);
    let class = ClassFolder::make(&args.place.folder, list, &drills).map_err(wrong)?;
    say(&head(&class));
    Ok(())
}

/// Arguments of `class add`.
#[derive(Debug, clap::Args)]
pub(super) struct Add {
    #[command(flatten)]
    place: Place,
    #[command(flatten)]
    with: Into,
    /// What somebody should try next follows the order of the drills, or what each can
    #[arg(long, value_enum)]
    next: Option<NextBy>,
}

/// Puts people or drills into a class.
pub(super) fn add(args: &Add) -> Result<(), Failure> {
    let mut class = open(&args.place.folder)?;
    if args.with.is_empty() && args.next.is_none() {
        return Err(Failure::wrong(
            "error: nothing is told that should be put in\n  try: --trainee, --names, --drill, --shipped or --next".to_owned(),
        ));
    }
    let drills = args.with.gather(&mut class.list)?;
    if let Some(by) = args.next {
        class.list.in_order = by == NextBy::Order;
    }
    class.take_in(&drills).map_err(wrong)?;
    say(&head(&class));
    Ok(())
}

fn head(class: &ClassFolder) -> String {
    let mut out = format!(
        "{}: {}, {}\n",
        class.list.title,
        count(class.list.trainees.len(), "trainee"),
        count(class.list.drills.len(), "drill")
    );
    for told in lacks(&class.list) {
        let _ = writeln!(out, "  {told}");
    }
    out
}

/// Arguments of `class list`.
#[derive(Debug, clap::Args)]
pub(super) struct List {
    #[command(flatten)]
    place: Place,
}

/// Tells who is in a class and what was tried.
pub(super) fn list(args: &List) -> Result<(), Failure> {
    let class = open(&args.place.folder)?;
    let tries = class.tries(None).map_err(wrong)?;
    let mut out = head(&class) + "\n";
    for person in &class.list.trainees {
        let _ = writeln!(out, "{:>3}  {}", person.number, person.name);
        for t in tries.all.iter().filter(|t| t.name.trainee == person.id) {
            let acts = count(t.acts(), "act");
            let places = if t.branches.is_empty() {
                ""
            } else {
                ", worked on in two places at once"
            };
            let places = if tries.is_open_twice(t) {
                ", beside another of this drill that is open too"
            } else {
                places
            };
            let damaged = if t.damaged.is_some() { ", damaged" } else { "" };
            let _ = writeln!(
                out,
                "     {}  {:<10}{}, {acts}{places}{damaged}",
                t.name.date.words(),
                stands(t),
                drill_words(t)
            );
        }
    }
    let (drills, _) = class.all_drills();
    out.push_str(if class.list.in_order {
        "\nDrills, in the order in which they come next; what was missed comes back, as `class next` tells:\n"
    } else {
        "\nDrills, as they are listed; `class next` tells which of them each should try next, by what each can:\n"
    });
    for (i, name) in class.list.drills.iter().enumerate() {
        let of = drills.iter().find(|(n, _)| n == name);
        let title = of.map_or(name.as_str(), |(_, d)| d.title.as_str());
        let _ = writeln!(out, "{:>3}  {title}", i + 1);
    }
    say(&out);
    if tries.clock_is_wrong {
        complain(CLOCK);
    }
    tell_builds(&drills);
    tell_left_out(&tries.left_out);
    Ok(())
}

/// Arguments of `class release`.
#[derive(Debug, clap::Args)]
pub(super) struct Release {
    #[command(flatten)]
    place: Place,
    /// Only those of this trainee, by number or name
    #[arg(long)]
    who: Option<String>,
    /// Only those at this drill, by its number or title in the list
    #[arg(long)]
    drill: Option<String>,
    /// Release although somebody is still at work on one of these drills
    #[arg(long)]
    force: bool,
    /// Release although somebody has not tried all of these drills yet
    #[arg(long)]
    anyway: bool,
}

/// Releases ended attempts.
pub(super) fn release(args: &Release) -> Result<(), Failure> {
    let class = open(&args.place.folder)?;
    let person = args.who.as_deref().map(|w| find(&class, w)).transpose()?;
    let drill = args.drill.as_deref();
    let drill = drill.map(|d| class.drill_called(d).map_err(wrong));
    let drill = drill.transpose()?;
    let tries = class
        .tries(person.as_ref().map(|p| p.id.as_str()))
        .map_err(wrong)?;
    let wanted = tries.all.iter().filter(|t| {
        let this_drill = drill.as_ref().is_none_or(|d| *d == t.name.drill);
        t.answer.is_some() && !t.released && this_drill
    });
    let wanted: Vec<AttemptName> = wanted.map(|t| t.name.clone()).collect();
    // It cannot be taken back, so it is told before.
    let (drills, standing) = all_of(&class)?;
    let (free, held) = free_and_held(&standing.people, &wanted);
    let at_work = still_open(&standing.people, &held).at_work;
    let (now, held) = if args.force {
        (wanted, Vec::new())
    } else {
        (free, held)
    };
    if let (Some(at_work), true, false) = (&at_work, now.is_empty(), args.force) {
        return Err(Failure::wrong(format!(
            "error: nothing was released, for its answer could be heard. {at_work}\n  try: when they have ended, or --force to release all the same"
        )));
    }
    let open = still_open(&standing.people, &now);
    if let (Some(untried), false) = (&open.untried, args.anyway || args.force) {
        return Err(Failure::wrong(format!(
            "error: nothing was released, for it cannot be taken back. {untried}\n  try: when they have, or --anyway to release all the same"
        )));
    }
    for line in open.lines() {
        complain(&format!("note: {line}"));
    }
    for name in &now {
        class.release(name).map_err(wrong)?;
    }
    say(&format!("{} released\n", count(now.len(), "attempt")));
    if let (Some(at_work), false) = (at_work, held.is_empty()) {
        complain(&format!(
            "note: {} not released, for its answer could be heard: {}. {at_work}\n  try: when they have ended, or --force to release all the same",
            count(held.len(), "attempt"),
            titles_of(&drills, &held)
        ));
    }
    Ok(())
}
