//! `twostage diagnose READINGS`: from readings to causes and the best next test.

use super::{Failure, complain, say};
use crate::diagnosis::answer::{Answer, Cause, Prediction};
use crate::diagnosis::files::cause;
use crate::diagnosis::files::prior::Priors;
use crate::diagnosis::files::readings::Readings;
use crate::diagnosis::files::slip::Slip;
use crate::diagnosis::library::collection::Growth;
use crate::diagnosis::library::standard::standard_rig;
use crate::diagnosis::store::{Prepared, refine, stored};
use crate::report::causes as told;
use crate::report::percent::belief;
use crate::report::visit::{band, value};
use crate::units::System;
use crate::visit::{ALL, Scale};
use indicatif::{ProgressBar, ProgressStyle};
use std::fmt::Write as _;
use std::path::PathBuf;
use std::sync::atomic::{AtomicBool, Ordering};

/// Arguments.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Readings file
    #[arg(required_unless_present = "priors")]
    file: Option<PathBuf>,
    /// Print the answer as JSON
    #[arg(long)]
    json: bool,
    /// Answer at once: from a first, coarse library where no full one is at hand, and without a closer look
    #[arg(long)]
    quick: bool,
    /// Print values in SI units
    #[arg(long, conflicts_with = "priors")]
    si: bool,
    /// Print how common each cause is held to be, and why
    #[arg(long, conflicts_with = "file")]
    priors: bool,
}

/// Diagnoses.
///
/// # Errors
/// A wrong file or option; a library that could not be made.
pub fn diagnose(args: &Args) -> Result<(), Failure> {
    if args.priors {
        let text = if args.json {
            super::output::json("twostage priors", &Shares::of(&Priors::default()))?
        } else {
            priors()
        };
        say(&text);
        return Ok(());
    }
    let Some(file) = &args.file else {
        return Err(Failure::wrong("error: no readings file"));
    };
    let (readings, slips) =
        Readings::load_asking(file).map_err(|e| Failure::wrong(e.to_string()))?;
    let scenario = readings.rig.clone().unwrap_or_else(standard_rig);
    let prepared = prepared(&scenario, args.quick)?;
    // What was perhaps written wrong is asked before anything is looked at closer.
    let answer = if args.quick || !slips.is_empty() {
        prepared.answer(&readings)
    } else {
        closely(&prepared, &readings)
    };
    if args.json {
        say(&super::output::json("twostage diagnose", &answer)?);
    } else {
        let units = if args.si { System::Si } else { System::Us };
        super::say_in(&text(&answer, &slips, units), units);
    }
    Ok(())
}

/// Answers with a closer look where it is wanted, and tells on the terminal how far that has come.
fn closely(prepared: &Prepared, readings: &Readings) -> Answer {
    if prepared.looks_closer(readings) {
        complain(&first(&prepared.answer(readings)));
    }
    let bar = ProgressBar::no_length();
    let style = ProgressStyle::with_template("{spinner} {msg}: {pos} visits simulated");
    bar.set_style(style.unwrap_or_else(|_| ProgressStyle::default_spinner()));
    bar.set_message("looking closer at the likeliest causes");
    let heard = |visits| bar.set_position(visits as u64);
    let answer = prepared.answer_closely(readings, &AtomicBool::new(false), &heard);
    bar.finish_and_clear();
    answer
}

/// What the first look says, in a few lines, while the closer one goes on: that takes a minute on a busy machine.
fn first(a: &Answer) -> String {
    let mut out = String::from("note: a first look, a closer one follows\n");
    for words in told::at_once(a) {
        let _ = writeln!(out, "  {words}");
    }
    if !a.refer.is_empty() {
        let why: Vec<String> = a.refer.iter().map(|w| told::refer(*w)).collect();
        let _ = writeln!(out, "  {}: {}", told::stop(a), why.join("; "));
    }
    let groups = a.groups.iter().take(3);
    let names = groups.map(|g| format!("{} {}", belief(g.probability), g.name));
    let none = format!("{} none of these", belief(a.none_of_these));
    let likely: Vec<String> = names.chain([none]).collect();
    let _ = write!(out, "  {}", likely.join("; "));
    out
}

/// The table of priors for the JSON.
#[derive(serde::Serialize)]
struct Shares {
    causes: Vec<OfCause>,
}

/// How common one cause is held to be.
#[derive(serde::Serialize)]
struct OfCause {
    cause: String,
    share: f64,
    weight: f64,
    rests_on: &'static str,
}

impl Shares {
    fn of(table: &Priors) -> Self {
        let causes = table.lines().iter().map(|line| OfCause {
            cause: cause::cause_id(line.cause),
            share: table.share(line.cause),
            weight: line.weight,
            rests_on: line.grade.words(),
        });
        Self {
            causes: causes.collect(),
        }
    }
}

/// The table of priors.
fn priors() -> String {
    let table = Priors::default();
    let mut out = String::from("  share  weight  cause\n");
    for line in table.lines() {
        let _ = writeln!(
            out,
            "{:>5.1} %{:>8}  {} ({})",
            100.0 * table.share(line.cause),
            line.weight,
            cause::cause_id(line.cause),
            line.grade.words()
        );
    }
    out.push_str("\nNone of these: 1 % besides (invented). A readings file changes any weight:\n[prior]\noily_residue = 10\n");
    out
}

/// A bar on the terminal, quiet in a pipe.
pub(super) fn bar(message: &'static str) -> ProgressBar {
    let bar = ProgressBar::new(1);
    let style = ProgressStyle::with_template("{wide_bar} {msg} {percent:>3} %  {eta} left");
    bar.set_style(style.unwrap_or_else(|_| ProgressStyle::default_bar()));
    bar.set_message(message);
    bar
}

const LEARNS: &str = "note: this rig is learned by visits to it, for some minutes, and kept; --quick answers with what is there";

/// A library for the rig: stored, or grown now behind a bar.
pub(super) fn prepared(
    scenario: &crate::scenario::Scenario,
    quick: bool,
) -> Result<Prepared, Failure> {
    let cancel = AtomicBool::new(false);
    let bar = bar("learning this rig");
    // Where no bar is drawn nobody would know what takes minutes.
    let told = AtomicBool::new(!bar.is_hidden());
    let progress = |g: Growth| {
        if g.done < g.of && !told.swap(true, Ordering::Relaxed) {
            complain(LEARNS);
        }
        bar.set_length(g.of as u64);
        bar.set_position(g.done as u64);
    };
    let mut first = None;
    let full = refine(
        stored(scenario, &|note| complain(&format!("note: {note}"))),
        &cancel,
        &progress,
        &mut |p| {
            if quick && first.is_none() {
                first = Some(p.clone());
                cancel.store(true, Ordering::Relaxed);
            }
        },
    );
    bar.finish_and_clear();
    first.or(full).ok_or_else(|| {
        Failure::failed(
            "error: no visit to this rig could be simulated\n  try: `twostage run` on the rig, which tells why",
        )
    })
}

/// A value of an item as the trade reads it.
fn shown(item: usize, v: f64, units: System) -> String {
    value(ALL[item].id, v, units)
}

/// Readings shown for a cause: those that speak loudest for and against.
const LOUDEST: usize = 4;

fn text(a: &Answer, slips: &[Slip], units: System) -> String {
    let mut out = String::new();
    if !a.title.is_empty() {
        let _ = writeln!(out, "{}\n", a.title);
    }
    for words in told::at_once(a) {
        let _ = writeln!(out, "{words}\n");
    }
    if !a.refer.is_empty() {
        let _ = writeln!(out, "{}:", told::stop(a));
        for why in &a.refer {
            let _ = writeln!(out, "  {}", told::refer(*why));
        }
        out.push('\n');
    }
    if let Some(why) = a.no_gas {
        let _ = writeln!(out, "{}\n", told::no_gas(why));
    }
    for slip in slips {
        let _ = writeln!(out, "{}\n", told::slip(slip, units));
    }
    if !slips.is_empty() {
        let _ = writeln!(out, "{}\n", told::AS_WRITTEN);
    }
    for told in told::unnamed(a)
        .into_iter()
        .chain(told::seen(a))
        .chain(told::nearest(a))
    {
        let _ = writeln!(out, "{told}\n");
    }
    for note in told::notes(a, units, !slips.is_empty()) {
        let _ = writeln!(out, "{note}\n");
    }
    let _ = writeln!(out, "Likely causes");
    let mut listed = 0.0;
    let mut list = |probability: f64, name: &str| {
        listed += probability;
        let _ = writeln!(out, "  {:>9}  {name}", belief(probability));
    };
    let groups = a.groups.iter().filter(|g| g.probability >= 0.02).take(5);
    let pairs = a.pairs.iter().filter(|p| p.probability >= 0.05).take(3);
    let mut rows: Vec<(f64, String)> = groups
        .map(|g| (g.probability, g.name.clone()))
        .chain(pairs.map(|p| (p.probability, told::both(p))))
        .collect();
    rows.sort_by(|x, y| y.0.total_cmp(&x.0));
    for (probability, name) in &rows {
        list(*probability, name);
    }
    if let Some(others) = told::others(a, listed) {
        let _ = writeln!(out, "  {:>9}  others together", belief(others));
    }
    let _ = writeln!(out, "  {:>9}  none of these", belief(a.none_of_these));
    for g in a.alike_here() {
        let _ = writeln!(out, "\n{}", told::alike(g, a.danger));
    }
    if let Some(looks) = told::hangs_on(a) {
        let _ = writeln!(out, "\n{looks}");
    }
    if let Some(words) = told::pair_first(a) {
        let _ = writeln!(out, "\n{words}");
    }
    for c in a.causes.iter().filter(|c| c.probability >= 0.05).take(3) {
        out.push('\n');
        cause(a, c, units, &mut out);
    }
    out.push('\n');
    next(a, &mut out);
    let _ = writeln!(
        out,
        "\n{} A simulator is no instrument: local codes and the licensed technician decide.",
        told::rests_on(a)
    );
    out
}

/// Tests listed at most.
const NEXT: usize = 3;

fn next(a: &Answer, out: &mut String) {
    let offers = told::next(a, NEXT);
    if offers.is_empty() {
        let _ = writeln!(out, "{}", told::no_test(a));
        return;
    }
    let _ = writeln!(out, "Next, most told per minute first");
    for offer in &offers {
        let deep = if let Some(heading) = offer.heading {
            let _ = writeln!(out, "  {heading}:");
            4
        } else {
            2
        };
        for t in &offer.tests {
            let _ = writeln!(
                out,
                "{:deep$}{} ({:.0} min; {}): {}",
                "",
                told::test_name(t),
                t.minutes,
                told::worth(t),
                told::reason(t)
            );
            if let Some(caution) = told::caution_at(&offers, t) {
                let _ = writeln!(out, "{:deep$}    {caution}", "");
            }
        }
    }
}

fn cause(a: &Answer, c: &Cause, units: System, out: &mut String) {
    let _ = writeln!(out, "{} ({}), {}", c.name, c.id, belief(c.probability));
    if let Some([mean, sd]) = c.severity {
        let places = told::places(mean);
        let _ = writeln!(
            out,
            "  severity {mean:.places$} ± {sd:.places$}: {}",
            c.worth(units)
        );
    }
    let speaks =
        |r: &&Prediction| r.measured.is_some() && !r.is_of_place() && told::says_something(r);
    let mut loud: Vec<_> = c.readings.iter().filter(speaks).collect();
    loud.sort_by(|a, b| b.favour.abs().total_cmp(&a.favour.abs()));
    for r in loud.iter().take(LOUDEST) {
        let Some(measured) = r.measured else { continue };
        let side = told::speaks(r).word();
        let _ = writeln!(
            out,
            "  {side:<16} {}: {} {}, expected {}",
            r.words,
            told::read_or_not(r),
            shown(r.item, measured, units),
            band(ALL[r.item].id, r.range, units)
        );
    }
    let left = c.readings.iter().filter(|r| r.is_unexplained());
    let left: Vec<String> = left
        .map(|r| {
            let about = match ALL[r.item].kind {
                Scale::Words(_) => "",
                _ => "about ",
            };
            format!(
                "{}: {}, it would be {about}{}",
                r.words,
                shown(r.item, r.measured.unwrap_or(0.0), units),
                shown(r.item, r.expected, units)
            )
        })
        .collect();
    if !left.is_empty() {
        let _ = writeln!(out, "  leaves unexplained: {}", left.join("; "));
    }
    let _ = writeln!(out, "  do: {}", told::action(a, c));
    if let Some((heading, words)) = told::told_apart(a, c) {
        let _ = writeln!(out, "  {heading}: {words}");
    }
    let (heading, words) = told::caution(c);
    let _ = writeln!(out, "  {heading}: {words}");
}
