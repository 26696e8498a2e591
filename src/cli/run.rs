//! `twostage run FILE`: a scenario from start to end, without a window.

use super::output::{Holds, Outputs, Replace};
use super::{Failure, inject, say_in, system_of};
use crate::report::json::Columns;
use crate::report::{Summary, Table, Watcher, json, text};
use crate::rig::Readings;
use crate::scenario::Scenario;
use crate::sim::{Simulation, usual_tolerance};
use crate::solver::Method;
use clap::ValueEnum;
use indicatif::{ProgressBar, ProgressStyle};
use std::path::PathBuf;
use std::sync::Arc;
use std::time::{Duration, Instant};

/// A run that takes longer shows how far it is.
const PATIENCE: Duration = Duration::from_millis(400);

/// Which engine.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Solver {
    /// The explicit one for short spans, the stiff one for the rest
    Auto,
    /// Explicit steps throughout: slow, the independent check
    Explicit,
    /// Implicit steps throughout
    Stiff,
}

impl Solver {
    fn method(self) -> Method {
        match self {
            Self::Auto => Method::Auto,
            Self::Explicit => Method::Explicit,
            Self::Stiff => Method::Stiff,
        }
    }

    fn words(self) -> &'static str {
        match self {
            Self::Auto => "auto",
            Self::Explicit => "explicit",
            Self::Stiff => "stiff",
        }
    }
}

/// Arguments.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Scenario file
    file: PathBuf,
    /// Write the table of readings; `-` is standard output
    #[arg(long, value_name = "FILE")]
    csv: Option<PathBuf>,
    /// Write summary, events and readings as JSON; `-` is standard output
    #[arg(long, value_name = "FILE")]
    json: Option<PathBuf>,
    #[command(flatten)]
    replace: Replace,
    /// Sum up in SI
    #[arg(long)]
    si: bool,
    /// End the run at this time instead of the file's
    #[arg(long, value_name = "TIME", allow_hyphen_values = true)]
    until: Option<String>,
    /// Engine
    #[arg(long, value_enum, default_value_t = Solver::Auto)]
    solver: Solver,
    /// Put in a fault, `second_vent_blocked=0.5@10 min`; may stand several times. It comes at once, or with
    /// ` over 5 min`, ` over 200 cycles` or ` from 50 degF to 10 degF` behind
    #[arg(long, value_name = "NAME=SEVERITY[@TIME]")]
    inject: Vec<String>,
}

/// Runs a scenario.
///
/// # Errors
/// A wrong file or option, said before the run; a run that failed.
pub fn run(args: &Args) -> Result<(), Failure> {
    let mut scenario = Scenario::load(&args.file).map_err(|e| Failure::wrong(e.to_string()))?;
    if let Some(time) = &args.until {
        scenario.run.duration_s = until_s(time, &scenario)?;
    }
    for text in &args.inject {
        inject::inject(&mut scenario, text)?;
    }
    super::tell_notes(&scenario, args.si);
    let mut outputs = Outputs::new([args.file.as_path()], args.replace);
    let csv = outputs.add_if(args.csv.as_ref(), "--csv", Holds::Table)?;
    let json = outputs.add_if(args.json.as_ref(), "--json", Holds::Json)?;
    let done = simulate(&Arc::new(scenario), args, csv.is_some(), json.is_some())?;
    let texts = [(csv, &done.csv), (json, &done.json)];
    let wanted: Vec<_> = texts
        .iter()
        .filter_map(|(slot, text)| Some(((*slot)?, text.as_bytes())))
        .collect();
    outputs.write(&wanted)?;
    // Standard output belongs to the table then.
    if !outputs.takes_standard() {
        say_in(&done.text, system_of(args.si));
    }
    Ok(())
}

/// The end asked for \[s\].
fn until_s(text: &str, scenario: &Scenario) -> Result<f64, Failure> {
    let until_s = inject::time_s(text, "--until")?;
    let most_s = Scenario::longest_s(scenario.run.sample_s);
    if (Scenario::SHORTEST_S..=most_s).contains(&until_s) {
        return Ok(until_s);
    }
    Err(Failure::wrong(format!(
        "error: --until is {text}\n  try: from 1 ms to {} (its table has a row every {})",
        text::duration(most_s),
        text::duration(scenario.run.sample_s)
    )))
}

/// The texts of a finished run.
struct Done {
    text: String,
    csv: String,
    json: String,
}

fn simulate(
    scenario: &Arc<Scenario>,
    args: &Args,
    wants_csv: bool,
    wants_json: bool,
) -> Result<Done, Failure> {
    let failed = |e: crate::sim::SimError| {
        let help = match e {
            // Nothing of the run was made yet that could be looked at.
            crate::sim::SimError::NoRest { .. } => {
                "values of these keys nearer to the standard rig's, which is what a file has that leaves them out"
            }
            _ => "another --solver, or --until a little before that time to see what leads there",
        };
        Failure::failed(format!(
            "error: the run failed: {e}\n  {}\n  try: {help}",
            args.file.display()
        ))
    };
    let method = args.solver.method();
    let tolerance = usual_tolerance(method);
    let mut sim = Simulation::start(scenario.clone(), method, tolerance).map_err(failed)?;
    let table = Table::new(&scenario.rig);
    let (mut csv, mut columns) = (table.header(), Columns::default());
    let mut row = |r: &Readings| {
        if wants_csv {
            table.add_row(r, &mut csv);
        }
        if wants_json {
            columns.add(&table, r);
        }
    };
    let start = sim.readings();
    row(&start);
    let (end_s, sample_s) = (scenario.run.duration_s, scenario.run.sample_s);
    let mut bar = Bar::new(end_s);
    let mut moved = |t_s: f64| bar.moved_to(t_s);
    let mut watcher = Watcher::new(&scenario.rig, &start, &mut row, &mut moved);
    let result = sim.advance_watched(end_s, Some(sample_s), &mut watcher);
    let summary: Summary = watcher.finish(&sim.readings());
    bar.end();
    result.map_err(failed)?;
    let system = system_of(args.si);
    let (work, solver) = (sim.work(), args.solver.words());
    let text = text::summary(scenario, &summary, work, solver, sim.marks(), system);
    let json = if wants_json {
        json::write(
            scenario,
            solver,
            &summary,
            work,
            sim.marks(),
            &table,
            columns,
        )
        .map_err(|e| Failure::failed(format!("error: no JSON: {e}")))?
    } else {
        String::new()
    };
    Ok(Done { text, csv, json })
}

/// How far a long run is, on a terminal only.
struct Bar {
    started: Instant,
    end_s: f64,
    /// Parts of a whole run that were told last.
    told: u64,
    shown: Option<ProgressBar>,
}

impl Bar {
    fn new(end_s: f64) -> Self {
        Self {
            started: Instant::now(),
            end_s,
            told: 0,
            shown: None,
        }
    }

    fn moved_to(&mut self, t_s: f64) {
        const PARTS: f64 = 1000.0;
        // A run makes many steps in a thousandth of its time, and the clock costs more than a step.
        let part = (PARTS * t_s / self.end_s).max(0.0) as u64;
        if part == self.told && self.shown.is_some() {
            return;
        }
        self.told = part;
        if self.shown.is_none() && self.started.elapsed() > PATIENCE {
            // Draws on standard error, and only where that is a terminal.
            let bar = ProgressBar::new(PARTS as u64);
            let style = ProgressStyle::with_template("{wide_bar} {msg} {percent:>3} %  {eta} left");
            bar.set_style(style.unwrap_or_else(|_| ProgressStyle::default_bar()));
            self.shown = Some(bar);
        }
        if let Some(bar) = &self.shown {
            bar.set_position(part);
            bar.set_message(text::clock(t_s, self.end_s));
        }
    }

    fn end(&self) {
        if let Some(bar) = &self.shown {
            bar.finish_and_clear();
        }
    }
}
