//! `twostage faults [NAME]`: the catalogue.

use super::output::{Holds, Outputs, Replace};
use super::{Failure, say};
use crate::fault::{Entry, Family, Fault, Grade};
use crate::report::fault_pages;
use crate::units::System;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

/// Severities a fault is described at.
const SEVERITIES: [f64; 4] = [0.25, 0.5, 0.75, 1.0];
/// Width of the text.
const COLUMNS: usize = 78;

/// Arguments.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Fault to tell about, as files name it
    name: Option<String>,
    /// Write the page of every fault, faults.md and a picture each, into this folder
    #[arg(long, value_name = "FOLDER", conflicts_with = "name")]
    paper: Option<PathBuf>,
    #[command(flatten)]
    replace: Replace,
}

/// Lists the faults, or tells about one.
///
/// # Errors
/// That there is no such fault.
pub fn faults(args: &Args) -> Result<(), Failure> {
    if let Some(folder) = &args.paper {
        return paper(folder, args.replace);
    }
    match &args.name {
        None => say(&list()),
        Some(name) => say(&about(named(name, "faults")?)),
    }
    Ok(())
}

/// Writes the pages: a text and a picture for each fault.
fn paper(folder: &Path, replace: Replace) -> Result<(), Failure> {
    let pictures = folder.join("pictures").join("faults");
    let mut outputs = Outputs::of_nothing(replace);
    outputs.make_folder(&pictures, "--paper")?;
    let text = outputs.add(&folder.join("faults.md"), "--paper", Holds::Paper)?;
    let mut slots = Vec::new();
    for fault in Fault::all() {
        let path = pictures.join(format!("{}.svg", fault.id()));
        slots.push((fault.id(), outputs.add(&path, "--paper", Holds::Picture)?));
    }
    let pages = fault_pages().map_err(|e| {
        Failure::failed(format!(
            "error: no pages: {e}\n  try: `twostage faults`, which lists them"
        ))
    })?;
    let mut all = vec![(text, pages.text.as_bytes())];
    for (id, svg) in &pages.pictures {
        if let Some((_, slot)) = slots.iter().find(|(known, _)| known == id) {
            all.push((*slot, svg.as_bytes()));
        }
    }
    outputs.write(&all)
}

/// The fault of a name given on the command line, `option` being where.
pub(super) fn named(name: &str, option: &str) -> Result<Fault, Failure> {
    Fault::find(name).map_err(|e| {
        let help = e
            .near()
            .map_or_else(|| with_part(name), |near| format!("`{near}`"));
        let short: String = name.chars().filter(|c| !c.is_control()).take(40).collect();
        Failure::wrong(format!(
            "error: {option}: there is no fault `{short}`\n  try: {help}"
        ))
    })
}

/// Most names that are offered for a part of a name.
const MOST_OFFERED: usize = 5;

/// The faults that have a part of this name, or one near it, in theirs; else where all of them stand.
fn with_part(name: &str) -> String {
    let parts = || Fault::all().flat_map(|f| f.id().split('_'));
    let near = crate::units::nearest(name, parts()).unwrap_or_default();
    let has = |fault: &Fault| fault.id().split('_').any(|part| part == near);
    let found: Vec<String> = Fault::all()
        .filter(has)
        .map(|fault| format!("`{}`", fault.id()))
        .take(MOST_OFFERED)
        .collect();
    if found.is_empty() {
        return "`twostage faults` for all of them".to_owned();
    }
    found.join(" or ")
}

fn list() -> String {
    let mut out = String::new();
    for family in Family::ALL {
        let entries: Vec<&Entry> = Fault::all()
            .map(Fault::entry)
            .filter(|entry| entry.family == family)
            .collect();
        if entries.is_empty() {
            continue;
        }
        let _ = writeln!(out, "{}", family.words());
        for entry in entries {
            let _ = writeln!(out, "  {:<28}{}", entry.id, entry.name);
        }
        out.push('\n');
    }
    out + "`twostage faults NAME` tells about one.\n"
}

fn about(fault: Fault) -> String {
    let e = fault.entry();
    let mut out = format!("{} ({})\n\n", e.name, e.id);
    let mut paragraph = |head: &str, text: &str| {
        if !text.is_empty() {
            let _ = writeln!(out, "{}", wrapped(head, text));
        }
    };
    paragraph("", e.words);
    for severity in SEVERITIES {
        paragraph(
            &format!("At {severity:.2}: "),
            &(e.meaning)(severity, System::Us),
        );
    }
    let (page, graded) = (e.page(), e.page().graded);
    let said = |words: &str, grade: Grade| format!("{words} ({})", grade.words());
    paragraph("Told apart: ", &said(e.told_apart, graded.told_apart));
    for line in crate::report::claim_lines(e).lines() {
        paragraph("", line);
    }
    paragraph(
        "A qualified technician: ",
        &said(page.advice, graded.advice),
    );
    paragraph("Looks like: ", &e.look_alikes.join(", "));
    if fault.strikes_a_side() {
        let sides = format!(
            "`{0}.left` or `{0}.right` where there are two containers; without a side the one on service",
            e.id
        );
        paragraph("Strikes a side: ", &sides);
    }
    if e.at_burner.is_some() {
        let places = format!(
            "`{0}.1` for the first appliance of the file, `{0}.2` for the second, if it has the part; without a number the \
             first that has it",
            e.id
        );
        paragraph("Strikes one appliance: ", &places);
    }
    paragraph("Caution: ", &said(e.caution, graded.caution));
    out
}

/// A paragraph in lines, its later lines indented.
fn wrapped(head: &str, text: &str) -> String {
    let (mut out, mut column) = (head.to_owned(), head.chars().count());
    for (i, word) in text.split_whitespace().enumerate() {
        let length = word.chars().count();
        if i > 0 && column + 1 + length > COLUMNS {
            out.push_str("\n  ");
            column = 2;
        } else if i > 0 {
            out.push(' ');
            column += 1;
        }
        out.push_str(word);
        column += length;
    }
    out
}
