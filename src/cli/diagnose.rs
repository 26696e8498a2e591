//! `twostage diagnose READINGS`: from readings to causes and the best next test.

use super::output::{Holds, Outputs, Replace};
use super::{Failure, complain, say};
use crate::diagnosis::answer::{Answer, Cause};
use crate::diagnosis::cases;
use crate::diagnosis::evaluate::{self, Figures, Work};
use crate::diagnosis::file::Readings;
use crate::diagnosis::isolate;
use crate::diagnosis::library::{Growth, Library, STANDARD};
use crate::diagnosis::model::{Model, Tuning};
use crate::diagnosis::prior::Priors;
use crate::diagnosis::store::{Prepared, refine, standard_rig, stored};
use crate::diagnosis::unknowns::World;
use crate::report::visit::value;
use crate::units::System;
use crate::visit::ALL;
use indicatif::{ProgressBar, ProgressStyle};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};

/// Arguments.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Readings file
    #[arg(required_unless_present_any = ["evaluate", "isolability", "priors", "build_library"])]
    file: Option<PathBuf>,
    /// Print the answer as JSON
    #[arg(long)]
    json: bool,
    /// Answer from a first, coarse library where no full one is at hand
    #[arg(long)]
    quick: bool,
    /// Draw this many cases, diagnose them and count how often it is right
    #[arg(long, value_name = "N", conflicts_with = "file")]
    evaluate: Option<usize>,
    /// Seed of the cases
    #[arg(long, default_value_t = 1, requires = "evaluate")]
    seed: u64,
    /// Cases followed test by test for the minutes of work
    #[arg(long, default_value_t = 0, requires = "evaluate")]
    follow: usize,
    /// Cases with geometry off by 10 %, friction doubled, noise half again as large
    #[arg(long, requires = "evaluate")]
    rough: bool,
    /// Count with other tunables of the likelihood: own, kept, gap, tails, floor, blur, temper
    #[arg(long, value_delimiter = ',', requires = "evaluate", hide = true)]
    tune: Vec<f64>,
    /// Print which faults no test can tell apart, as Markdown
    #[arg(long, conflicts_with = "file")]
    isolability: bool,
    /// Print how common each cause is held to be, and why
    #[arg(long, conflicts_with = "file")]
    priors: bool,
    /// Make the library of the standard rig anew and write it here
    #[arg(long, value_name = "OUT", conflicts_with = "file")]
    build_library: Option<PathBuf>,
    #[command(flatten)]
    replace: Replace,
    /// Samples of each fault in a library made anew
    #[arg(long, default_value_t = STANDARD, requires = "build_library", hide = true)]
    rounds: usize,
}

/// Diagnoses.
///
/// # Errors
/// A wrong file or option; a library that could not be made.
pub fn diagnose(args: &Args) -> Result<(), Failure> {
    if let Some(out) = &args.build_library {
        return build(out, args.rounds, args.replace);
    }
    if let Some(count) = args.evaluate {
        return evaluate(args, count);
    }
    if args.priors {
        say(&priors());
        return Ok(());
    }
    if args.isolability {
        let p = prepared(&standard_rig(), false)?;
        let m = isolate::matrix(&p.library, &p.model, 24);
        say(&isolate::markdown(&p.model, &m, &p.groups));
        return Ok(());
    }
    let Some(file) = &args.file else {
        return Err(Failure::wrong("error: no readings file"));
    };
    let readings = Readings::load(file).map_err(|e| Failure::wrong(e.to_string()))?;
    let scenario = readings.rig.clone().unwrap_or_else(standard_rig);
    let prepared = prepared(&scenario, args.quick)?;
    let answer = prepared.answer_with_pairs(&readings, &AtomicBool::new(false));
    if args.json {
        let text = serde_json::to_string_pretty(&answer)
            .map_err(|e| Failure::failed(format!("error: no JSON: {e}")))?;
        say(&(text + "\n"));
    } else {
        say(&text(&answer));
    }
    Ok(())
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
            isolate::cause_id(line.cause),
            line.grade.words()
        );
    }
    out.push_str("\nNone of these: 1 % besides (invented). A readings file changes any weight:\n[prior]\noily_residue = 10\n");
    out
}

/// A bar on the terminal, quiet in a pipe.
fn bar(message: &'static str) -> ProgressBar {
    let bar = ProgressBar::new(1);
    let style = ProgressStyle::with_template("{wide_bar} {msg} {percent:>3} %  {eta} left");
    bar.set_style(style.unwrap_or_else(|_| ProgressStyle::default_bar()));
    bar.set_message(message);
    bar
}

/// Makes the library of the standard rig and writes it.
fn build(out: &Path, rounds: usize, replace: Replace) -> Result<(), Failure> {
    let mut outputs = Outputs::new([], replace);
    let slot = outputs.add(out, "--build-library", Holds::Library)?;
    let bar = bar("learning the standard rig");
    let mut library = Library::new(&standard_rig());
    library.grow(rounds, None, &AtomicBool::new(false), &|g| {
        bar.set_length(g.of as u64);
        bar.set_position(g.done as u64);
    });
    bar.finish_and_clear();
    let mut p = Prepared::from_library(library).ok_or_else(|| {
        Failure::failed("error: no visit could be simulated\n  try: `twostage run`")
    })?;
    p.find_groups();
    let bytes = p.library.to_bytes();
    outputs.write(&[(slot, &bytes)])?;
    say(&format!(
        "{}: {} visits, {} groups, {} bytes\n",
        out.display(),
        p.library.samples.len(),
        p.groups.members.len(),
        bytes.len()
    ));
    Ok(())
}

fn evaluate(args: &Args, count: usize) -> Result<(), Failure> {
    if count == 0 || count > 100_000 {
        return Err(Failure::wrong(format!(
            "error: --evaluate is {count}\n  try: from 1 to 100000"
        )));
    }
    let p = prepared(&standard_rig(), false)?;
    let world = if args.rough {
        World::ROUGH
    } else {
        World::NOMINAL
    };
    let bar = bar("drawing cases");
    bar.set_length(count as u64);
    let cases = cases::cases(&p, count, args.seed, world, &|_| bar.inc(1));
    bar.finish_and_clear();
    for t in args.tune.chunks_exact(7) {
        let tuning = Tuning {
            own: t[0],
            kept: t[1],
            gap: t[2],
            tails: t[3],
            floor: t[4],
            blur: t[5],
            temper: t[6],
            ..Tuning::default()
        };
        if let Some(model) = Model::new(&p.library, tuning) {
            let tuned = Prepared { model, ..p.clone() };
            let f = evaluate::figures(&tuned, &cases);
            say(&format!(
                "{t:?}: {:.3} {:.3} healthy {:.3} unexplained {:.3} ece {:.3}\n",
                f.first, f.in_three, f.healthy_called_faulty, f.unexplained, f.calibration_error
            ));
        }
    }
    let figures = evaluate::figures(&p, &cases);
    let work = (args.follow > 0).then(|| {
        let shown = cases.iter().filter(|c| c.shows).copied();
        let followed: Vec<_> = shown.take(args.follow).collect();
        evaluate::work(&p, &followed, &|_| {})
    });
    if args.json {
        let text = serde_json::to_string_pretty(&(&figures, &work))
            .map_err(|e| Failure::failed(format!("error: no JSON: {e}")))?;
        say(&(text + "\n"));
        return Ok(());
    }
    say(&table(&figures, work.as_ref(), p.library.samples.len()));
    Ok(())
}

fn table(f: &Figures, work: Option<&Work>, samples: usize) -> String {
    let mut out = format!(
        "{} faulty and {} healthy cases against {samples} visits\n\n",
        f.faulty, f.healthy
    );
    let mut line = |what: &str, ours: f64, rules: Option<f64>| {
        let rules = rules.map_or(String::new(), |r| format!("{:>8.1} %", 100.0 * r));
        let _ = writeln!(out, "{what:<44}{:>7.1} %{rules}", 100.0 * ours);
    };
    line("right group first", f.first, Some(f.baseline_first));
    line(
        "right group among three",
        f.in_three,
        Some(f.baseline_in_three),
    );
    line(
        "right fault first, groups not counted",
        f.first_ungrouped,
        None,
    );
    line(
        "right fault among three, groups not counted",
        f.in_three_ungrouped,
        None,
    );
    let b = f.baseline_healthy_called_faulty;
    line("healthy called faulty", f.healthy_called_faulty, Some(b));
    line("faulty called healthy", f.faulty_called_healthy, None);
    line("called unexplained", f.unexplained, None);
    line("calibration error", f.calibration_error, None);
    line(
        "sets mixed of two faults called unexplained",
        f.mixed_unexplained,
        None,
    );
    if f.slight > 0 {
        let _ = writeln!(
            out,
            "{} more faults too slight to show: {:.0} % called healthy, {:.0} % named",
            f.slight,
            100.0 * f.slight_called_healthy,
            100.0 * f.slight_first
        );
        let _ = writeln!(
            out,
            "all {} faulty cases, one too slight to show being one group with healthy: {:.1} % first, {:.1} % among three",
            f.faulty + f.slight,
            100.0 * f.all_first,
            100.0 * f.all_in_three
        );
    }
    out.push_str("(second column: the quick-split rules alone)\n");
    if let Some(w) = work {
        let _ = writeln!(
            out,
            "\n{} cases followed: fixed sequence {:.1} min whole, {:.1} min when stopped at certainty ({:.0} % reach it);\nbest next test {:.1} min ({:.0} % reach it, {:.0} % right), {:.0} % of the whole sequence",
            w.cases,
            w.fixed_whole,
            w.fixed_stopped,
            100.0 * w.fixed_certain,
            w.best_next,
            100.0 * w.best_certain,
            100.0 * w.best_right,
            100.0 * w.best_next / w.fixed_whole
        );
        let _ = writeln!(
            out,
            "of these that reach it {:.1} % are right, of {:.2} causes in the mean and {} at most; without the groups of\nthe single case {:.0} % reach it",
            100.0 * w.certain_right,
            w.best_size,
            w.best_largest,
            100.0 * w.best_certain_apart
        );
        let _ = writeln!(
            out,
            "all items read, pairs of faults are looked at in {:.0} % of them, and one comes first in {:.1} %",
            100.0 * w.pairs_looked_at,
            100.0 * w.pairs_first
        );
    }
    out.push_str("\nCommonest mistakes (true, called, times)\n");
    for (a, b, n) in &f.mistakes {
        let _ = writeln!(out, "  {a:<26}{b:<26}{n:>4}");
    }
    out
}

/// A library for the rig: stored, or grown now behind a bar.
fn prepared(scenario: &crate::scenario::Scenario, quick: bool) -> Result<Prepared, Failure> {
    let cancel = AtomicBool::new(false);
    let bar = bar("learning this rig");
    let progress = |g: Growth| {
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
fn shown(item: usize, v: f64) -> String {
    value(ALL[item].id, v, System::Us)
}

fn percent(p: f64) -> String {
    match 100.0 * p {
        p if p < 0.5 => "under 1 %".to_owned(),
        p => format!("{p:.0} %"),
    }
}

/// Readings shown for a cause: those that speak loudest for and against.
const LOUDEST: usize = 4;

fn text(a: &Answer) -> String {
    let mut out = String::new();
    if !a.title.is_empty() {
        let _ = writeln!(out, "{}\n", a.title);
    }
    if !a.refer.is_empty() {
        let _ = writeln!(
            out,
            "Shut the container and refer to a qualified LP-gas technician:"
        );
        for why in &a.refer {
            let _ = writeln!(out, "  {}", why.words());
        }
        out.push('\n');
    }
    if a.none_of_these > 0.5 {
        let _ = writeln!(
            out,
            "No cause known here explains these readings ({} none of these). Read again before acting.\n",
            percent(a.none_of_these)
        );
    }
    let _ = writeln!(out, "Likely causes");
    for g in a.groups.iter().filter(|g| g.probability >= 0.02).take(5) {
        let _ = writeln!(out, "  {:>9}  {}", percent(g.probability), g.name);
    }
    for pair in a.pairs.iter().filter(|p| p.probability >= 0.05).take(3) {
        let _ = writeln!(
            out,
            "  {:>9}  {} (both)",
            percent(pair.probability),
            pair.name
        );
    }
    let _ = writeln!(out, "  {:>9}  none of these", percent(a.none_of_these));
    for g in a.alike_here() {
        let _ = writeln!(out, "\n{}", g.alike_words());
    }
    for c in a.causes.iter().filter(|c| c.probability >= 0.05).take(3) {
        out.push('\n');
        cause(c, &mut out);
    }
    out.push('\n');
    if a.next_tests.is_empty() {
        let _ = writeln!(out, "No further test would tell more.");
    } else {
        let _ = writeln!(out, "Next, most told per minute first");
        for t in a.next_tests.iter().take(3) {
            let _ = writeln!(
                out,
                "  {} ({:.0} min, {:.2} bit): {}",
                t.words, t.minutes, t.bits, t.reason
            );
            if !t.caution.is_empty() {
                let _ = writeln!(out, "      {}", t.caution);
            }
        }
    }
    let _ = writeln!(
        out,
        "\nFrom {} simulated visits. A simulator is no instrument: local codes and the licensed technician decide.",
        a.samples
    );
    out
}

fn cause(c: &Cause, out: &mut String) {
    let _ = writeln!(out, "{} ({}), {}", c.name, c.id, percent(c.probability));
    if let Some([mean, sd]) = c.severity {
        let _ = writeln!(out, "  severity {mean:.2} ± {sd:.2}: {}", c.meaning);
    }
    let mut loud: Vec<_> = c.readings.iter().filter(|r| r.measured.is_some()).collect();
    loud.sort_by(|a, b| b.favour.abs().total_cmp(&a.favour.abs()));
    for r in loud.iter().take(LOUDEST) {
        let Some(measured) = r.measured else { continue };
        let side = match r.favour {
            f if f > 0.5 => "for",
            f if f < -0.5 => "against",
            _ => "neutral",
        };
        let _ = writeln!(
            out,
            "  {side:<8} {}: read {}, foretold {}",
            r.words,
            shown(r.item, measured),
            shown(r.item, r.expected)
        );
    }
    let _ = writeln!(out, "  do: {}", c.action);
    if !c.told_apart.is_empty() {
        let _ = writeln!(out, "  told apart: {}", c.told_apart);
    }
    let _ = writeln!(out, "  caution: {}", c.caution);
}
