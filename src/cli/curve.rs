//! `twostage curve FILE`: what the regulator of a scenario can do, as curves.

use super::output::{Holds, Outputs, Replace, Slot};
use super::{Failure, inject, say, system_of};
use crate::analysis::{
    Unsteady, endurance, flow_curves, lock_up_curve, relief_capacity, stability_map,
    usual_container_pa,
};
use crate::report::unsteady;
use crate::rig::Rig;
use crate::scenario::{Action, Scenario};
use crate::units::{Dimension, W_PER_BTU_PER_H, ZERO_FAHRENHEIT_K, parse, psi_to_pa};
use std::path::{Path, PathBuf};

/// Greatest load where none is given \[W\]: 150,000 Btu/h.
const MOST_W: f64 = 150e3 * W_PER_BTU_PER_H;
/// Points of each line where no number is given, and the most that a map of stability is worked out for.
const POINTS: usize = 60;
const FILLS: usize = 16;
const LOADS: usize = 12;
const MOST_LOADS: usize = 100;
/// A container is full at this \[share of its volume\].
const FULL: f64 = 0.8;

/// What is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub enum What {
    /// Outlet against load at several container pressures, rising and falling
    Flow,
    /// Lock-up against container pressure
    LockUp,
    /// Outlet with the second seat gone, against the 2 psig of UL 144
    Relief,
    /// Hours the container feeds the rated load, against cold and fill: until it is under 14 psig, where a first
    /// stage set for 10 psig begins to fall (common practice); appliances burn on for a while
    Endurance,
}

/// Arguments.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Scenario file
    pub(super) file: PathBuf,
    /// What is drawn
    #[arg(long, value_enum, default_value_t = What::Flow)]
    what: What,
    /// Draw to this load (150 kBtu/h); endurance: draw this load instead of the rated one
    #[arg(long = "to", value_name = "POWER")]
    load: Option<String>,
    /// Points on each line (60; endurance 16)
    #[arg(long, value_parser = clap::value_parser!(u16).range(2..=2000))]
    points: Option<u16>,
    #[command(flatten)]
    pub(super) to: To,
}

/// Options that curves and stability share.
#[derive(Debug, clap::Args)]
pub struct To {
    /// Write the table; `-` is standard output, and so is none
    #[arg(long, value_name = "FILE")]
    csv: Option<PathBuf>,
    /// Write a picture
    #[arg(long, value_name = "FILE")]
    svg: Option<PathBuf>,
    #[command(flatten)]
    replace: Replace,
    /// Write SI units
    #[arg(long)]
    si: bool,
    /// Put in a fault, `second_seat_nick=0.5`; may stand several times
    #[arg(long, value_name = "NAME=SEVERITY")]
    inject: Vec<String>,
}

impl To {
    /// The scenario with the faults of file and command line put into its rig.
    pub(super) fn rig(&self, file: &Path) -> Result<(Scenario, Rig), Failure> {
        let mut scenario = Scenario::load(file).map_err(|e| Failure::wrong(e.to_string()))?;
        for text in &self.inject {
            inject::inject(&mut scenario, text)?;
        }
        let mut rig = scenario.rig.clone();
        for event in &scenario.events {
            // Standing pressures after the last cycle, with a body as warm as the air.
            let (fault, severity) = match event.action {
                Action::Inject {
                    fault, severity, ..
                } => (fault, severity),
                Action::Grow {
                    fault,
                    severity,
                    by,
                } => (
                    fault,
                    severity * by.share(u64::MAX, scenario.site.air_k.at(0.0)),
                ),
                _ => continue,
            };
            fault
                .settled(&scenario.rig, scenario.service_side)
                .apply(&mut rig, severity);
        }
        let rig = rig.with_first(scenario.service_side);
        Ok((scenario, rig))
    }

    /// Where table and picture go.
    fn wanted(&self, file: &Path) -> Result<Wanted, Failure> {
        let mut outputs = Outputs::new([file], self.replace);
        let csv = outputs.add_if(self.csv.as_ref(), "--csv", Holds::Table)?;
        let svg = outputs.add_if(self.svg.as_ref(), "--svg", Holds::Picture)?;
        Ok(Wanted { outputs, csv, svg })
    }
}

/// The load that was asked for \[W\].
fn load_w(asked: Option<&str>) -> Result<Option<f64>, Failure> {
    let wrong =
        |what: String, help: String| Failure::wrong(format!("error: --to: {what}\n  try: {help}"));
    let Some(load) = asked else {
        return Ok(None);
    };
    let watts = parse(load, Dimension::Power).map_err(|e| wrong(e.message(), e.help()))?;
    if (1.0..=1e7).contains(&watts) {
        Ok(Some(watts))
    } else {
        Err(wrong(
            format!("a load of {load}"),
            "from 10 Btu/h to 30000 kBtu/h".to_owned(),
        ))
    }
}

/// Points that were asked for, or the usual number.
fn count(asked: Option<u16>, usual: usize) -> usize {
    asked.map_or(usual, usize::from)
}

/// Where table and picture go, looked at before the work.
struct Wanted {
    outputs: Outputs,
    csv: Option<Slot>,
    svg: Option<Slot>,
}

impl Wanted {
    fn write(&self, csv: &str, svg: &str) -> Result<(), Failure> {
        let texts = [(self.csv, csv), (self.svg, svg)];
        let wanted: Vec<_> = texts
            .iter()
            .filter_map(|(slot, text)| Some(((*slot)?, text.as_bytes())))
            .collect();
        if wanted.is_empty() {
            say(csv);
        }
        self.outputs.write(&wanted)
    }
}

/// Draws.
///
/// # Errors
/// A wrong file or option; a rig that comes to no steady point.
pub fn curve(args: &Args) -> Result<(), Failure> {
    if matches!(args.what, What::LockUp | What::Relief) && args.load.is_some() {
        return Err(Failure::wrong(
            "error: --to: this curve runs over the container's pressure, with no burner lit\n  try: leave it out, or --what flow"
                .to_owned(),
        ));
    }
    let (scenario, rig) = args.to.rig(&args.file)?;
    let asked_w = load_w(args.load.as_deref())?;
    let (most_w, points) = (asked_w.unwrap_or(MOST_W), count(args.points, POINTS));
    let wanted = args.to.wanted(&args.file)?;
    let system = system_of(args.to.si);
    let failed = |e: &dyn std::fmt::Display| {
        Failure::failed(format!("error: no curve: {e}\n  {}", args.file.display()))
    };
    let pressures: Vec<f64> = (1..=points)
        .map(|k| psi_to_pa(15.0 + 235.0 * (k - 1) as f64 / (points.max(2) - 1) as f64))
        .collect();
    let site = &scenario.site;
    let no_point = |e: &Unsteady| failed(&unsteady(e, system));
    let (csv, svg) = match args.what {
        What::Flow => {
            let all = &mut |_| true;
            let c = flow_curves(&rig, site, &usual_container_pa(), most_w, points, all)
                .map_err(|e| no_point(&e))?;
            (c.csv(system), c.svg(system))
        }
        What::LockUp => {
            let c = lock_up_curve(&rig, site, &pressures).map_err(|e| no_point(&e))?;
            (c.csv(system), c.svg(system))
        }
        What::Relief => {
            let c = relief_capacity(&rig, site, &pressures).map_err(|e| no_point(&e))?;
            (c.csv(system), c.svg(system))
        }
        What::Endurance => {
            let rated: f64 = rig.appliances.iter().map(|a| a.input_w).sum();
            let air = [-20.0, 0.0, 20.0, 40.0, 60.0].map(|f| ZERO_FAHRENHEIT_K + f / 1.8);
            let count = count(args.points, FILLS);
            let fills: Vec<f64> = (1..=count)
                .map(|k| FULL * k as f64 / count as f64)
                .collect();
            let asked = asked_w.or((rated > 0.0).then_some(rated));
            let draw = asked.unwrap_or(MOST_W);
            let e = endurance(&rig.containers[0], &rig.fuel, draw, &air, &fills)
                .map_err(|e| failed(&e))?;
            (e.csv(system), e.svg(system))
        }
    };
    wanted.write(&csv, &svg)
}

/// Arguments of `twostage stability`.
#[derive(Debug, clap::Args)]
pub struct StabilityArgs {
    /// Scenario file
    file: PathBuf,
    /// Map up to this load (150 kBtu/h)
    #[arg(long = "to", value_name = "POWER")]
    load: Option<String>,
    /// Loads of the map, from the first share of the greatest to all of it (12, at most 100), each at five container pressures
    #[arg(long, value_parser = clap::value_parser!(u16).range(2..=2000))]
    points: Option<u16>,
    #[command(flatten)]
    to: To,
}

/// Damping and frequency over load and container pressure.
///
/// # Errors
/// A wrong file or option; a rig that comes to no steady point.
pub fn stability(args: &StabilityArgs) -> Result<(), Failure> {
    let (scenario, rig) = args.to.rig(&args.file)?;
    let most_w = load_w(args.load.as_deref())?.unwrap_or(MOST_W);
    let wanted = args.to.wanted(&args.file)?;
    let system = system_of(args.to.si);
    let count = count(args.points, LOADS);
    if count > MOST_LOADS {
        return Err(Failure::wrong(format!(
            "error: --points: {count} points, where each is worked out at five pressures\n  try: at most {MOST_LOADS}"
        )));
    }
    let loads: Vec<f64> = (1..=count)
        .map(|k| most_w * k as f64 / count as f64)
        .collect();
    let map = stability_map(
        &rig,
        &scenario.site,
        &usual_container_pa(),
        &loads,
        &mut |_| true,
    )
    .map_err(|e| {
        let why = unsteady(&e, system);
        Failure::failed(format!("error: no map: {why}\n  {}", args.file.display()))
    })?;
    wanted.write(&map.csv(system), &map.svg(system))
}
