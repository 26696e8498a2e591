//! `class report` and `class next`.

use super::{CLOCK, Place, find, open, tell_builds, tell_left_out, wrong};
use crate::class::ClassFolder;
use crate::class::standing::{Advice, Reader, Standing, standing};
use crate::cli::output::{Holds, Outputs, Replace, files_of};
use crate::cli::{Failure, complain, say};
use crate::report::class::{advice, files, lesson};
use crate::report::telling::count;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

/// Arguments of `class report`.
#[derive(Debug, clap::Args)]
pub(super) struct Report {
    #[command(flatten)]
    place: Place,
    /// Folder for the reports [default: `reports` in the folder of the class]
    #[arg(long, value_name = "FOLDER")]
    out: Option<PathBuf>,
    #[command(flatten)]
    replace: Replace,
}

/// Drills with their short names.
type AllDrills = Vec<(String, std::sync::Arc<crate::drill::Drill>)>;

/// Everything of a class, read and worked out.
pub(super) fn all_of(class: &ClassFolder) -> Result<(AllDrills, Standing), Failure> {
    let (drills, _) = class.all_drills();
    let tries = class.tries(None).map_err(wrong)?;
    let standing = standing(&class.list, &drills, &tries);
    Ok((drills, standing))
}

/// Writes the reports.
pub(super) fn report(args: &Report) -> Result<(), Failure> {
    let class = open(&args.place.folder)?;
    let (drills, standing) = all_of(&class)?;
    let folder = args.out.clone().unwrap_or_else(|| class.reports());
    let texts = files(&class.list, &drills, &standing);
    // The class's own folder of reports holds those of last time and is for nothing else; the window replaces them too.
    let force = args.replace.force || args.out.is_none();
    let reads = class.folders_read();
    let reads = reads
        .iter()
        .flat_map(|f| files_of(f, &["attempt", "toml", "open"]));
    let mut outputs = Outputs::new(reads, Replace { force });
    let mut slots = Vec::new();
    for (name, text) in &texts {
        slots.push((
            outputs.add(&folder.join(name), "--out", kind(name))?,
            text.as_bytes(),
        ));
    }
    outputs.write(&slots)?;
    let attempts: usize = standing.people.iter().map(|p| p.marked.len()).sum();
    say(&format!(
        "{}, {} left out, {} in {}\n",
        count(attempts, "attempt"),
        standing.left_out.len(),
        count(texts.len(), "file"),
        folder.display()
    ));
    if standing.clock_is_wrong {
        complain(CLOCK);
    }
    tell_builds(&drills);
    tell_left_out(&standing.left_out);
    Ok(())
}

/// What a file of the reports holds, by its ending.
fn kind(name: &str) -> Holds {
    match Path::new(name).extension().and_then(|e| e.to_str()) {
        Some("html") => Holds::Page,
        Some("csv") => Holds::Table,
        _ => Holds::Statements,
    }
}

/// Arguments of `class next`.
#[derive(Debug, clap::Args)]
pub(super) struct Next {
    #[command(flatten)]
    place: Place,
    /// Number or name on the class list
    #[arg(long)]
    who: String,
}

/// Tells what somebody should do next.
pub(super) fn next(args: &Next) -> Result<(), Failure> {
    let class = open(&args.place.folder)?;
    let who = find(&class, &args.who)?;
    let (drills, standing) = all_of(&class)?;
    let Some(person) = standing.people.iter().find(|p| p.trainee.id == who.id) else {
        return Ok(());
    };
    let (title, why) = advice(&drills, person, Reader::Owner);
    let mut out = format!(
        "{}, number {}\nNext drill: {title} ({why})\n",
        who.name, who.number
    );
    if let Some(lesson) = lesson(person, Reader::Owner) {
        let _ = writeln!(out, "Lesson: {lesson}");
    }
    if let Advice::GoOn(name) | Advice::Try(name, _) = person.advice(Reader::Owner) {
        let place = args.place.folder.display();
        let at = class.list.drills.iter().position(|d| d == name);
        let _ = writeln!(
            out,
            "  twostage class try {place} --who {} --drill {}",
            who.number,
            at.map_or(1, |at| at + 1)
        );
    }
    say(&out);
    Ok(())
}
