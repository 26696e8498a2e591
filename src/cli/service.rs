//! `twostage service FILE`: a technician's visit, test by test.

use super::output::{Holds, Outputs, Replace, Slot};
use super::{Failure, inject, say, say_in, system_of};
use crate::report::visit as words;
use crate::rig::Rig;
use crate::scenario::Scenario;
use crate::service::{Limit, TOLERANCE};
use crate::sim::{AT_ONCE_S, Simulation};
use crate::solver::Method;
use crate::units::System;
use crate::visit::{
    Act, Bench, GRAMMAR, Hindrance, Reply, Test, TestResult, VisitError, VisitReport, prepare, run,
    run_all, run_through,
};
use indicatif::ProgressBar;
use std::fmt::Write as _;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::{Duration, Instant};

/// A visit that takes longer shows how far it is.
const PATIENCE: Duration = Duration::from_millis(400);

/// Arguments.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Scenario file: its rig, place, charge and faults; its events are left out
    file: PathBuf,
    /// Write the report as JSON; `-` is standard output
    #[arg(long, value_name = "FILE", num_args = 0..=1, default_missing_value = "-")]
    json: Option<PathBuf>,
    #[command(flatten)]
    replace: Replace,
    /// Show SI units
    #[arg(long)]
    si: bool,
    /// Put in a fault, `second_seat_grit=0.5`; may stand several times
    #[arg(long, value_name = "NAME=SEVERITY")]
    inject: Vec<String>,
    /// Make this test alone
    #[arg(long, value_enum)]
    test: Option<Test>,
    /// Go on beside a leak, as only a simulator may: without it nothing is lit after a leak check that lost gas
    #[arg(long, conflicts_with_all = ["test", "orders"])]
    go_on: bool,
    /// Do these instead of a visit, in order: `--do "light all" --do "read outlet with manometer for 5 s"`; `--do help`
    /// lists them
    #[arg(long = "do", value_name = "ORDER", conflicts_with = "test")]
    orders: Vec<String>,
}

impl clap::ValueEnum for Test {
    fn value_variants<'a>() -> &'a [Self] {
        &Self::ALL
    }

    fn to_possible_value(&self) -> Option<clap::builder::PossibleValue> {
        let name = self.words().replace(' ', "-");
        Some(clap::builder::PossibleValue::new(name).help(self.how()))
    }
}

/// Makes the visit.
///
/// # Errors
/// A wrong file or option, said before the visit; a run that failed.
pub fn service(args: &Args) -> Result<(), Failure> {
    let mut scenario = Scenario::load(&args.file).map_err(|e| Failure::wrong(e.to_string()))?;
    for text in &args.inject {
        inject::inject(&mut scenario, text)?;
    }
    super::tell_notes(&scenario, args.si);
    let mut outputs = Outputs::new([args.file.as_path()], args.replace);
    let json = outputs.add_if(args.json.as_ref(), "--json", Holds::Json)?;
    if !args.orders.is_empty() {
        return follow(&scenario, args, &outputs, json);
    }
    let report = visit(&scenario, args)?;
    if let Some(slot) = json {
        write_json(&outputs, slot, &report)?;
    }
    if !outputs.takes_standard() {
        let system = system_of(args.si);
        say_in(&told(&report, &scenario.rig, system), system);
    }
    Ok(())
}

/// An order and what it gave, for the JSON.
#[derive(Debug, serde::Serialize)]
struct Followed {
    order: String,
    gave: Reply,
    words: String,
    #[serde(serialize_with = "as_one")]
    caution: Vec<String>,
}

/// The answers of a list of orders, for the JSON.
#[derive(Debug, serde::Serialize)]
struct Session<'a> {
    version: u32,
    title: &'a str,
    orders: &'a [Followed],
}

/// What `--do help` tells.
fn help() -> String {
    let mut out =
        "Orders for --do, the rig beginning with burners off and the container open:\n".to_owned();
    for w in GRAMMAR {
        let _ = writeln!(out, "  {:<36}{}", w.words, w.what);
    }
    out
}

/// Carries out the orders of the command line, telling each as it is done.
fn follow(
    scenario: &Scenario,
    args: &Args,
    outputs: &Outputs,
    json: Option<Slot>,
) -> Result<(), Failure> {
    if args.orders.iter().any(|o| o.trim() == "help") {
        say(&help());
        return Ok(());
    }
    let system = system_of(args.si);
    let mut orders = Vec::new();
    for text in &args.orders {
        if text.trim().eq_ignore_ascii_case(WHOLE) {
            orders.push((text.clone(), None));
            continue;
        }
        let read = Act::parse(text, &scenario.rig).map_err(|e| {
            Failure::wrong(format!(
                "error: --do: {e}\n  try: `--do help` for all there are"
            ))
        })?;
        orders.extend(read.into_iter().map(|order| (text.clone(), Some(order))));
    }
    let mut sim = start(scenario, args)?;
    let mut go_on = |_: &crate::visit::Progress| true;
    let mut bench = Bench::new(&mut sim, &mut go_on);
    bench.on_site = true;
    let mut done = Vec::new();
    for (order, act) in orders {
        let Some(act) = act else {
            let report = run_all(&mut bench).map_err(|e| failed(&e, args))?;
            if !outputs.takes_standard() {
                say_in(&told(&report, bench.sim.rig(), system), system);
            }
            let rig = bench.sim.rig();
            done.extend(report.tests.into_iter().map(|test| {
                let gave = Reply::Test(Box::new(test));
                Followed {
                    words: words::reply(&gave, rig, system),
                    caution: vec![gave.caution().to_owned()],
                    order: order.clone(),
                    gave,
                }
            }));
            continue;
        };
        let forbids = if act.lights() {
            bench.forbids_a_flame()
        } else {
            None
        };
        let gave = act.follow(&mut bench).map_err(|e| failed(&e, args))?;
        let done_now = Followed {
            words: words::reply(&gave, bench.sim.rig(), system),
            caution: cautions(gave.caution(), forbids.as_ref()),
            order,
            gave,
        };
        if !outputs.takes_standard() {
            say_in(&told_order(&done_now, bench.sim.rig(), system), system);
        }
        done.push(done_now);
    }
    let Some(slot) = json else { return Ok(()) };
    let session = Session {
        version: VisitReport::VERSION,
        title: &scenario.title,
        orders: &done,
    };
    write_json(outputs, slot, &session)
}

/// The order that makes a whole visit.
const WHOLE: &str = "visit";

/// The cautions of an act, one that lights beside what forbids a flame first.
fn cautions(of_act: &str, forbids: Option<&Hindrance>) -> Vec<String> {
    let flame = forbids.map(|why| format!("On a real rig nothing is lit here: {why}"));
    let own = (!of_act.is_empty()).then(|| of_act.to_owned());
    flame.into_iter().chain(own).collect()
}

fn as_one<S: serde::Serializer>(cautions: &[String], to: S) -> Result<S::Ok, S::Error> {
    to.serialize_str(&cautions.join(". "))
}

fn write_json(outputs: &Outputs, slot: Slot, what: &impl serde::Serialize) -> Result<(), Failure> {
    let text = super::output::json("twostage service", what)?;
    outputs.write(&[(slot, text.as_bytes())])
}

fn told_order(done: &Followed, rig: &Rig, system: System) -> String {
    let mut out = String::new();
    if let Reply::Test(test) = &done.gave {
        tell_test(&mut out, test, rig, system);
    } else {
        let _ = writeln!(out, "{}: {}", done.order, done.words);
    }
    for caution in &done.caution {
        let _ = writeln!(out, "    Caution: {caution}");
    }
    out
}

fn failed(error: &VisitError, args: &Args) -> Failure {
    // What the state forbids is told with what to do first.
    if let VisitError::Sim(_) = error {
        Failure::failed(format!(
            "error: the visit failed: {error}\n  {}\n  try: `twostage run` on the same file, to see where it stops",
            args.file.display()
        ))
    } else {
        Failure::failed(format!("error: {error}\n  {}", args.file.display()))
    }
}

fn start(scenario: &Scenario, args: &Args) -> Result<Simulation, Failure> {
    let prepared = Arc::new(prepare(scenario, &[]));
    let start = Simulation::start(prepared, Method::Stiff, TOLERANCE);
    let mut sim = start.map_err(|e| failed(&e.into(), args))?;
    // Faults that come at once have come before anybody reads.
    let come = sim.advance(AT_ONCE_S, None, &mut |_| {});
    come.map_err(|e| failed(&e.into(), args))?;
    Ok(sim)
}

fn visit(scenario: &Scenario, args: &Args) -> Result<VisitReport, Failure> {
    let mut sim = start(scenario, args)?;
    let started = Instant::now();
    let mut shown: Option<ProgressBar> = None;
    let mut listener = |p: &crate::visit::Progress| {
        if shown.is_none() && started.elapsed() > PATIENCE {
            // Draws on standard error, and only where that is a terminal.
            shown = Some(ProgressBar::new(100));
        }
        if let Some(bar) = &shown {
            bar.set_position((100.0 * p.share) as u64);
            bar.set_message(p.test.words());
        }
        true
    };
    let mut bench = Bench::new(&mut sim, &mut listener);
    bench.on_site = args.test.is_some();
    let report = match args.test {
        None if args.go_on => run_through(&mut bench),
        None => run_all(&mut bench),
        Some(test) => run(&mut bench, test)
            .map(|result| VisitReport::of_tests(scenario.title.clone(), vec![result], vec![], 0.0)),
    };
    if let Some(bar) = &shown {
        bar.finish_and_clear();
    }
    report.map_err(|e| failed(&e, args))
}

/// The report in words.
fn told(report: &VisitReport, rig: &Rig, system: System) -> String {
    let mut out = format!("{}\n\n", report.title);
    for test in &report.tests {
        tell_test(&mut out, test, rig, system);
    }
    for missed in &report.not_made {
        let _ = writeln!(out, "{:<19}not made  {}\n", missed.test.words(), missed.why);
    }
    let _ = writeln!(out, "Together: {}", words::comes_to(&report.conclusion()));
    for line in words::conclusion(&report.conclusion(), rig) {
        let _ = writeln!(out, "{line}");
    }
    out
}

fn tell_test(out: &mut String, test: &TestResult, rig: &Rig, system: System) {
    let _ = writeln!(
        out,
        "{:<19}{:<9}{}",
        test.test.words(),
        words::outcome(test),
        words::test(test, rig, system)
    );
    for figure in test.shown() {
        let (name, figure) = words::named(figure);
        let value = words::figure(test.test, &figure, system);
        let _ = writeln!(out, "    {name:<46}{value}");
    }
    let mut said: Vec<(&str, &str)> = Vec::new();
    for judged in &test.judged {
        let Some(limit) = judged.limit.filter(|l| !said.contains(&(l.what, l.source))) else {
            continue;
        };
        said.push((limit.what, limit.source));
        let bounds = words::bounds(judged, test.test, system);
        let _ = writeln!(out, "    limit on the {}", told_limit(&limit, &bounds));
    }
    out.push('\n');
}

/// A limit with its numbers and its source.
fn told_limit(limit: &Limit, bounds: &str) -> String {
    format!("{}, {bounds}: {}", limit.what, words::source(limit))
}
