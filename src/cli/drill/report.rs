//! `drill report`: a folder of attempts into one page and one table.

use super::{say, tell_builds};
use crate::cli::Failure;
use crate::cli::output::{Holds, Outputs, Replace, files_of};
use crate::drill::Drill;
use crate::drill::attempt::folder;
use crate::report::attempts::{self, Attempt};
use std::path::PathBuf;
use std::sync::Arc;

/// Arguments.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Folder with the logs of attempts (`.attempt`)
    folder: PathBuf,
    /// Folder with the drills, if they are not with the logs; the shipped ones are always known
    #[arg(long, value_name = "FOLDER")]
    drills: Option<PathBuf>,
    /// Page to write; `-` is standard output
    #[arg(long, value_name = "FILE")]
    html: Option<PathBuf>,
    /// Table to write; `-` is standard output
    #[arg(long, value_name = "FILE")]
    csv: Option<PathBuf>,
    #[command(flatten)]
    replace: Replace,
}

/// Makes the report.
pub(super) fn run(args: &Args) -> Result<(), Failure> {
    let reads = [Some(&args.folder), args.drills.as_ref()];
    let reads = reads
        .into_iter()
        .flatten()
        .flat_map(|f| files_of(f, &["attempt", "toml"]));
    let mut outputs = Outputs::new(reads, args.replace);
    let html = outputs.add_if(args.html.as_ref(), "--html", Holds::Page)?;
    let csv = outputs.add_if(args.csv.as_ref(), "--csv", Holds::Table)?;
    let (found, drills, left_out) = gather(args)?;
    if found.is_empty() && left_out.is_empty() {
        return Err(Failure::wrong(format!(
            "error: there is no attempt in `{}`\n  try: the folder with the logs, which end in .attempt",
            args.folder.display()
        )));
    }
    let table = attempts::csv(&found);
    let page = html.map_or_else(String::new, |_| attempts::html(&found, &left_out));
    let wanted: Vec<_> = [(html, &page), (csv, &table)]
        .into_iter()
        .filter_map(|(slot, text)| Some((slot?, text.as_bytes())))
        .collect();
    outputs.write(&wanted)?;
    if wanted.is_empty() {
        say(&table);
    } else if !outputs.takes_standard() {
        say(&format!(
            "{} attempts, {} left out\n",
            found.len(),
            left_out.len()
        ));
    }
    tell_builds(drills.iter().map(|d| (d.title.as_str(), &**d)));
    for l in &left_out {
        super::super::complain(&format!("note: left out: {l}"));
    }
    Ok(())
}

/// Attempts, drills, and what was left out.
type Gathered = (Vec<Attempt>, Vec<Arc<Drill>>, Vec<String>);

/// The attempts of the folder, their drills, each once, and what could not be used, with the reason.
fn gather(args: &Args) -> Result<Gathered, Failure> {
    let gathered = folder::gather(&args.folder, args.drills.as_deref())
        .map_err(|e| Failure::wrong(e.to_string()))?;
    let mut drills: Vec<Arc<Drill>> = Vec::new();
    for found in &gathered.found {
        if !drills.iter().any(|d| Arc::ptr_eq(d, &found.drill)) {
            drills.push(found.drill.clone());
        }
    }
    let found = gathered.found.iter();
    let found = found.map(|f| Attempt::of(&f.drill, &f.contents)).collect();
    Ok((found, drills, gathered.left_out))
}
