//! `twostage library`: the simulated visits that diagnosis rests on, made anew and measured. Nobody needs it to find a
//! cause; whoever changes the model does.

use super::diagnose::{bar, prepared};
use super::output::{Holds, Outputs, Replace};
use super::{Failure, say};
use crate::diagnosis::inference::isolate;
use crate::diagnosis::inference::model::Model;
use crate::diagnosis::inference::tuning::Tuning;
use crate::diagnosis::library::collection::{Library, STANDARD};
use crate::diagnosis::library::standard::standard_rig;
use crate::diagnosis::library::unknowns::World;
use crate::diagnosis::measure::cases;
use crate::diagnosis::measure::evaluate::{self, Figures, Work};
use crate::diagnosis::store::Prepared;
use clap::Subcommand;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::sync::atomic::AtomicBool;

/// Arguments.
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(subcommand)]
    task: Task,
}

/// What is done with the library of the standard rig.
#[derive(Debug, Subcommand)]
enum Task {
    /// Make it anew: some minutes
    Make {
        /// Where to write it
        out: PathBuf,
        #[command(flatten)]
        replace: Replace,
        /// Samples of each fault
        #[arg(long, default_value_t = STANDARD, hide = true)]
        rounds: usize,
    },
    /// Draw cases, diagnose them and count how often it is right
    Evaluate(Evaluate),
    /// Print which faults no test can tell apart, as Markdown
    Isolability,
}

#[derive(Debug, clap::Args)]
struct Evaluate {
    /// How many cases
    count: usize,
    /// Seed of the cases
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Leave out so many of them at the beginning
    #[arg(long, default_value_t = 0, hide = true)]
    after: usize,
    /// Cases followed test by test for the minutes of work
    #[arg(long, default_value_t = 0)]
    follow: usize,
    /// Cases with geometry off by 10 %, friction doubled, noise half again as large
    #[arg(long)]
    rough: bool,
    /// Healthy rigs alone: how many of them are called faulty
    #[arg(long, conflicts_with = "follow")]
    healthy: bool,
    /// Print the figures as JSON
    #[arg(long)]
    json: bool,
    /// Count with other tunables of the likelihood: own, kept, gap, tails, floor, blur, temper
    #[arg(long, value_delimiter = ',', hide = true)]
    tune: Vec<f64>,
}

/// Makes or measures the library.
///
/// # Errors
/// A wrong option; a library that could not be made.
pub fn library(args: &Args) -> Result<(), Failure> {
    match &args.task {
        Task::Make {
            out,
            replace,
            rounds,
        } => build(out, *rounds, *replace),
        Task::Evaluate(args) => evaluate(args),
        Task::Isolability => {
            let p = prepared(&standard_rig(), false)?;
            let m = isolate::matrix(&p.library, &p.model, 24);
            say(&isolate::markdown(&p.model, &m, &p.groups));
            Ok(())
        }
    }
}

/// Makes the library of the standard rig and writes it.
fn build(out: &Path, rounds: usize, replace: Replace) -> Result<(), Failure> {
    let mut outputs = Outputs::of_nothing(replace);
    let slot = outputs.add(out, "OUT", Holds::Library)?;
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

fn evaluate(args: &Evaluate) -> Result<(), Failure> {
    let count = args.count;
    if count == 0 || count > 100_000 {
        return Err(Failure::wrong(format!(
            "error: {count} cases\n  try: from 1 to 100000"
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
    let faults = if args.healthy {
        Vec::new()
    } else {
        cases::faults(&p)
    };
    let numbers = args.after..count;
    let cases = cases::cases(&p, &faults, numbers, args.seed, world, &|_| bar.inc(1));
    bar.finish_and_clear();
    let bar = super::diagnose::bar("diagnosing");
    bar.set_length(cases.len() as u64);
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
            let f = evaluate::figures(&tuned, &cases, &|_| {});
            say(&format!(
                "{t:?}: {:.3} {:.3} healthy {:.3} unexplained {:.3} ece {:.3}\n",
                f.groups.first,
                f.groups.in_three,
                f.healthy_called_faulty,
                f.unexplained,
                f.groups.calibration_error
            ));
        }
    }
    let figures = evaluate::figures(&p, &cases, &|_| bar.inc(1));
    bar.finish_and_clear();
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
    if f.faulty == 0 {
        let rules = Some(f.baseline_healthy_called_faulty);
        line("healthy called faulty", f.healthy_called_faulty, rules);
        let again = f.healthy_called_faulty_again;
        line("... what hangs on one look looked at again", again, None);
        line("hangs on a look", f.hangs_on_a_look, None);
        line("called unexplained", f.unexplained, None);
        return out + &mistakes(f);
    }
    line("right group first", f.groups.first, Some(f.baseline_first));
    line(
        "right group among three",
        f.groups.in_three,
        Some(f.baseline_in_three),
    );
    line("right group of this rig first", f.here.first, None);
    line("right group of this rig among three", f.here.in_three, None);
    line(
        "right fault first, groups not counted",
        f.faults.first,
        None,
    );
    line(
        "right fault among three, groups not counted",
        f.faults.in_three,
        None,
    );
    let b = f.baseline_healthy_called_faulty;
    line("healthy called faulty", f.healthy_called_faulty, Some(b));
    line(
        "... what hangs on one look looked at again",
        f.healthy_called_faulty_again,
        None,
    );
    line("right group first then", f.again.first, None);
    line("right group among three then", f.again.in_three, None);
    line(
        "calibration error of groups then",
        f.again.calibration_error,
        None,
    );
    line("hangs on a look", f.hangs_on_a_look, None);
    line("faulty called healthy", f.faulty_called_healthy, None);
    line("called unexplained", f.unexplained, None);
    line("called two faults", f.called_two, None);
    line("looked at closer", f.looked_at, None);
    line(
        "calibration error of groups",
        f.groups.calibration_error,
        None,
    );
    line(
        "calibration error of groups of this rig",
        f.here.calibration_error,
        None,
    );
    line(
        "calibration error of faults",
        f.faults.calibration_error,
        None,
    );
    line(
        "sets mixed of two faults called unexplained",
        f.mixed_unexplained,
        None,
    );
    let _ = writeln!(
        out,
        "over 90 % sure and wrong: {} by groups, {} by groups of this rig, {} by faults",
        f.groups.sure_and_wrong, f.here.sure_and_wrong, f.faults.sure_and_wrong
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
    }
    out + &mistakes(f)
}

fn mistakes(f: &Figures) -> String {
    let mut out = "\nCommonest mistakes (true, called, times)\n".to_owned();
    for (a, b, n) in &f.mistakes {
        let _ = writeln!(out, "  {a:<26}{b:<26}{n:>4}");
    }
    out
}
