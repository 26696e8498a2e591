//! `drill report`: a folder of attempts into one page and one table.

use super::say;
use crate::cli::Failure;
use crate::cli::output::Output;
use crate::drill::folder;
use crate::report::attempts::{self, Attempt};
use std::path::PathBuf;

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
}

/// Makes the report.
pub(super) fn run(args: &Args) -> Result<(), Failure> {
    let prepared = |path: &Option<PathBuf>, option| {
        path.as_ref()
            .map(|p| Output::prepare(p, option))
            .transpose()
    };
    let html = prepared(&args.html, "--html")?;
    let csv = prepared(&args.csv, "--csv")?;
    if html.is_some() && html == csv {
        return Err(Failure::wrong(
            "error: --html and --csv name the same file\n  try: two names",
        ));
    }
    let (found, left_out) = gather(args)?;
    if found.is_empty() && left_out.is_empty() {
        return Err(Failure::wrong(format!(
            "error: there is no attempt in `{}`\n  try: the folder with the logs, which end in .attempt",
            args.folder.display()
        )));
    }
    let table = attempts::csv(&found);
    if let Some(html) = &html {
        html.write(&attempts::html(&found, &left_out))?;
    }
    if let Some(csv) = &csv {
        csv.write(&table)?;
    }
    if html.is_none() && csv.is_none() {
        say(&table);
    } else if html != Some(Output::Standard) && csv != Some(Output::Standard) {
        say(&format!(
            "{} attempts, {} left out\n",
            found.len(),
            left_out.len()
        ));
    }
    for l in &left_out {
        super::super::complain(&format!("note: left out: {l}"));
    }
    Ok(())
}

/// The attempts of the folder, and what could not be used, with the reason.
fn gather(args: &Args) -> Result<(Vec<Attempt>, Vec<String>), Failure> {
    let gathered = folder::gather(&args.folder, args.drills.as_deref())
        .map_err(|e| Failure::wrong(e.to_string()))?;
    let found = gathered.found.iter();
    let found = found.map(|f| Attempt::of(&f.drill, &f.contents)).collect();
    Ok((found, gathered.left_out))
}
