//! `drill report`: a folder of attempts into one page and one table.

use super::say;
use crate::cli::Failure;
use crate::cli::output::Output;
use crate::drill::file::Drill;
use crate::drill::log;
use crate::drill::shipped;
use crate::report::attempts::{self, Attempt};
use std::collections::HashMap;
use std::fs;
use std::path::{Path, PathBuf};

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

/// Files of one folder at most.
const MOST_FILES: usize = 5000;

fn files(folder: &Path, ending: &str) -> Result<Vec<PathBuf>, Failure> {
    let refuse = |e: std::io::Error| {
        Failure::wrong(format!(
            "error: the folder `{}` cannot be read: {e}\n  try: a folder with logs of attempts",
            folder.display()
        ))
    };
    let mut out = Vec::new();
    for entry in fs::read_dir(folder).map_err(refuse)? {
        let path = entry.map_err(refuse)?.path();
        if path.extension().is_some_and(|e| e == ending) && out.len() < MOST_FILES {
            out.push(path);
        }
    }
    out.sort();
    Ok(out)
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
    let mut drills: HashMap<String, Drill> = HashMap::new();
    let mut keep = |d: Drill| drills.insert(format!("{:016x}", d.sum), d);
    for (name, text) in shipped::DRILLS {
        if let Ok(d) = Drill::read(name, text, None) {
            keep(d);
        }
    }
    let folders = [Some(&args.folder), args.drills.as_ref()];
    for path in folders
        .into_iter()
        .flatten()
        .map(|f| files(f, "toml"))
        .collect::<Result<Vec<_>, _>>()?
        .concat()
    {
        // A folder may hold other files; a log whose drill is missing is told below.
        if let Ok(d) = Drill::load(&path) {
            keep(d);
        }
    }
    let (mut found, mut left_out) = (Vec::new(), Vec::new());
    for path in files(&args.folder, "attempt")? {
        let name = path
            .file_name()
            .unwrap_or_default()
            .to_string_lossy()
            .into_owned();
        match log::read(&path) {
            Ok(Some(contents)) => match drills.get(&contents.header.drill) {
                Some(drill) => found.push(Attempt::of(drill, &contents)),
                None => left_out.push(format!(
                    "{name}: its drill `{}` is not there",
                    contents.header.title
                )),
            },
            Ok(None) => left_out.push(format!("{name}: cut off before anything was done")),
            Err(e) => {
                let first = e.to_string();
                let first = first
                    .lines()
                    .next()
                    .unwrap_or("")
                    .trim_start_matches("error: ")
                    .to_owned();
                left_out.push(format!("{name}: {first}"));
            }
        }
    }
    Ok((found, left_out))
}
