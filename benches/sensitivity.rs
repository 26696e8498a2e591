//! How far what a visit shows hangs on numbers that nobody measured: every invented parameter of the regulator
//! is made 30 % smaller and larger, the screws are set again to the same pressures, and every healthy reading and
//! the signature of every fault are looked at again. Laws of our own are halved and doubled besides.
//!
//!     cargo bench --no-default-features --bench sensitivity            docs/sensitivity.md, src/diagnosis/library/fragile.tsv
//!     cargo bench --no-default-features --bench sensitivity -- --check the same worked out and compared
//!
//! A reading is told as higher or lower where it leaves the healthy one by two uncertainties of its instrument or
//! more. It flips where a change of a parameter turns it round, makes it vanish (under one uncertainty) or makes one
//! appear that was none. Between one and two uncertainties nothing is said.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

use twostage::diagnosis::library::collection::fits;
use twostage::diagnosis::library::standard::standard_rig;
use twostage::fault::{Fault, Onset};
use twostage::report::visit::value;
use twostage::rig::{Ramp, Rig, Stage};
use twostage::scenario::Scenario;
use twostage::units::System;
use twostage::visit::{ALL, ITEMS, Item, NUMBERS, Values};
use twostage::visit::{LeakCheck, VisitError, quickened, visit};

/// Severity of the signatures.
const MEDIUM: f64 = 0.5;
/// Air of the visits \[K\]: mild, and frost for what waits for it.
const MILD_K: f64 = 289.0;
const FROST_K: f64 = 266.0;
/// How far an invented parameter is moved, and a law of our own.
const SHARE: f64 = 0.3;
const TWICE: f64 = 2.0;

/// A parameter that nobody measured, and how it is made larger.
struct Parameter {
    words: &'static str,
    scale: fn(&mut Rig, f64),
    /// A law of our own: halved and doubled instead of moved by 30 %.
    law: bool,
}

macro_rules! part {
    ($words:literal, $($path:tt)+) => {
        Parameter { words: $words, scale: |rig, by| rig.$($path)+ *= by, law: false }
    };
}
macro_rules! law {
    ($words:literal, $($path:tt)+) => {
        Parameter { words: $words, scale: |rig, by| rig.$($path)+ *= by, law: true }
    };
}

static PARAMETERS: &[Parameter] = &[
    part!("first diaphragm's area", first.area_m2),
    part!("first stage's moving mass", first.mass_kg),
    part!("first spring's rate", first.spring_n_per_m),
    part!("first diaphragm's rubber rate", first.rubber_n_per_m),
    part!("first diaphragm's loss in the rubber", first.rubber_loss),
    part!("first stage's friction", first.friction_n),
    part!(
        "damping of the first guide",
        first.bristle_damping_n_s_per_m
    ),
    part!("first lever's ratio", first.lever_ratio),
    part!("first nozzle's bore", first.bore_m),
    part!("first stage's travel to touch", first.touch_rise_m),
    part!("first seat's stiffness", first.seat_n_per_m),
    part!("first seat's sealing force", first.seal_force_n),
    part!("first seat's leak at touch", first.seal_leak_m2),
    part!("first chamber's volume", first.chamber_m3),
    part!("first bonnet's volume", first.case_m3),
    part!("first vent's area", first.vent.area_m2),
    part!("second diaphragm's area", second.area_m2),
    part!("second stage's moving mass", second.mass_kg),
    part!("second spring's rate", second.spring_n_per_m),
    part!("second diaphragm's rubber rate", second.rubber_n_per_m),
    part!("second diaphragm's loss in the rubber", second.rubber_loss),
    part!("second stage's friction", second.friction_n),
    part!(
        "damping of the second guide",
        second.bristle_damping_n_s_per_m
    ),
    part!("second lever's ratio", second.lever_ratio),
    part!("second nozzle's bore", second.bore_m),
    part!("second stage's travel to touch", second.touch_rise_m),
    part!("second seat's stiffness", second.seat_n_per_m),
    part!("second seat's sealing force", second.seal_force_n),
    part!("second seat's leak at touch", second.seal_leak_m2),
    part!("second chamber's volume", second.chamber_m3),
    part!("second bonnet's volume", second.case_m3),
    part!("second vent's area", second.vent.area_m2),
    part!("second vent's flap", second.vent.flap_m2),
    Parameter {
        words: "relief's own spring",
        scale: |rig, by| {
            if let Some(relief) = &mut rig.second.relief {
                relief.preload_n *= by;
                relief.spring_n_per_m *= by;
            }
        },
        law: false,
    },
    part!("volume of the low side", piping.manifold_m3),
    law!("heat from the body to standing liquid", body.pool_w_per_k),
    law!(
        "share of the throttling cold that the body gives",
        body.chill_share
    ),
    law!("ice that plugs the first throat", body.ice_plug_kg),
    law!("melting of ice in the throat", body.melt_per_s_k),
    law!(
        "liquid that overflows the first body",
        body.pool_overflow_kg
    ),
    law!(
        "oily residue that doubles the friction",
        body.residue_ref_kg
    ),
    law!("warming of the bonnet in the sun", body.sun_k_m2_per_w),
];

impl Parameter {
    fn factors(&self) -> [f64; 2] {
        if self.law {
            [1.0 / TWICE, TWICE]
        } else {
            [1.0 - SHARE, 1.0 + SHARE]
        }
    }
}

/// How a reading stands to the healthy one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Way {
    Lower,
    Same,
    Higher,
    /// Another word.
    Other(u8),
    /// Between what is seen and what is not.
    Unsure,
}

fn way(i: usize, with: &Values, without: &Values) -> Option<Way> {
    let (a, b) = (with[i]?, without[i]?);
    if i >= NUMBERS {
        return Some(if a == b {
            Way::Same
        } else {
            Way::Other(a as u8)
        });
    }
    let by = (a - b) / ALL[i].uncertainty(a).max(ALL[i].uncertainty(b));
    Some(match by {
        d if d >= 2.0 => Way::Higher,
        d if d <= -2.0 => Way::Lower,
        d if d.abs() < 1.0 => Way::Same,
        _ => Way::Unsure,
    })
}

fn flips(before: Way, after: Way) -> bool {
    before != after && before != Way::Unsure && after != Way::Unsure
}

/// A scenario with one parameter moved and both screws set again, so that it regulates as before.
fn moved(
    base: &Scenario,
    parameter: &Parameter,
    by: f64,
    set: (f64, f64),
) -> Result<Scenario, VisitError> {
    let mut scenario = base.clone();
    (parameter.scale)(&mut scenario.rig, by);
    for _ in 0..4 {
        let (second, first) = working(&visit(&Arc::new(scenario.clone()), LeakCheck::First)?);
        turn(&mut scenario.rig.second, set.0 - second);
        turn(&mut scenario.rig.first, set.1 - first);
    }
    Ok(scenario)
}

fn turn(stage: &mut Stage, by_pa: f64) {
    stage.preload_n = (stage.preload_n + by_pa * stage.area_m2).max(0.0);
}

/// Outlet and interstage pressure at half load \[Pa\].
fn working(values: &Values) -> (f64, f64) {
    let at = |table, key| {
        Item::find(table, key)
            .and_then(|i| values[i])
            .unwrap_or(0.0)
    };
    (at("half_load", "outlet"), at("first_stage", "half_load"))
}

fn with_fault(base: &Scenario, fault: Option<Fault>) -> Scenario {
    base.with_faults(fault.map(|f| (f, MEDIUM)))
}

fn at_air(base: &Scenario, air_k: f64) -> Scenario {
    let mut scenario = base.clone();
    scenario.site.air_k = Ramp::fixed(air_k);
    for charge in &mut scenario.charges {
        charge.temperature_k = air_k;
    }
    scenario
}

/// What a world of parameters shows: healthy and with each fault, mild and in frost.
struct World {
    healthy: [Values; 2],
    faulty: Vec<Option<Values>>,
}

fn frosty(fault: Fault) -> usize {
    usize::from(fault.entry().onset == Onset::Weather)
}

fn look(worlds: &[Scenario; 2], faults: &[Fault]) -> Result<World, VisitError> {
    let see = |k: usize, fault| visit(&Arc::new(with_fault(&worlds[k], fault)), LeakCheck::First);
    Ok(World {
        healthy: [see(0, None)?, see(1, None)?],
        faulty: faults
            .iter()
            .map(|&f| see(frosty(f), Some(f)).ok())
            .collect(),
    })
}

/// Jobs over threads, results in order.
fn over_threads<T: Send>(count: usize, job: impl Fn(usize) -> T + Sync) -> Vec<T> {
    let next = AtomicUsize::new(0);
    let threads = std::thread::available_parallelism().map_or(2, usize::from);
    let mut all: Vec<(usize, T)> = std::thread::scope(|scope| {
        let work = || {
            let mut mine = Vec::new();
            loop {
                let i = next.fetch_add(1, Ordering::Relaxed);
                if i >= count {
                    return mine;
                }
                mine.push((i, job(i)));
                eprint!("\r{} of {count} worlds", i + 1);
            }
        };
        let hands: Vec<_> = (0..threads).map(|_| scope.spawn(work)).collect();
        hands
            .into_iter()
            .flat_map(|h| h.join().expect("a world is looked at"))
            .collect()
    });
    eprintln!();
    all.sort_by_key(|(i, _)| *i);
    all.into_iter().map(|(_, t)| t).collect()
}

fn shown(i: usize, v: f64) -> String {
    value(ALL[i].id, v, System::Us)
}

fn name(i: usize) -> String {
    format!("{}.{}", ALL[i].table, ALL[i].key)
}

/// One world: a parameter and a factor, and what it shows.
type Looked = (usize, f64, World);

/// For each fault, each item that flips, with the parameters that turn it.
type Fragile = BTreeMap<(usize, usize), BTreeSet<String>>;

fn find_fragile(base: &World, worlds: &[Looked], faults: &[Fault]) -> Fragile {
    let mut out = Fragile::new();
    for (parameter, by, world) in worlds {
        for (f, &fault) in faults.iter().enumerate() {
            let (Some(was), Some(is)) = (&base.faulty[f], &world.faulty[f]) else {
                continue;
            };
            let k = frosty(fault);
            for i in 0..ITEMS {
                let before = way(i, was, &base.healthy[k]);
                let after = way(i, is, &world.healthy[k]);
                if let (Some(before), Some(after)) = (before, after)
                    && flips(before, after)
                {
                    let sign = if *by > 1.0 { "larger" } else { "smaller" };
                    out.entry((f, i))
                        .or_default()
                        .insert(format!("{} {sign}", PARAMETERS[*parameter].words));
                }
            }
        }
    }
    out
}

fn healthy_table(base: &World, worlds: &[Looked]) -> String {
    let mut text = String::from(
        "| reading | as it is | lowest | with | highest | with |\n|---|---|---|---|---|---|\n",
    );
    for (i, item) in ALL.iter().enumerate().take(NUMBERS) {
        let Some(now) = base.healthy[0][i] else {
            continue;
        };
        let mut ends = [(now, "-".to_owned()), (now, "-".to_owned())];
        for (parameter, by, world) in worlds {
            let Some(v) = world.healthy[0][i] else {
                continue;
            };
            let words = || {
                let sign = if *by > 1.0 { "larger" } else { "smaller" };
                format!("{} {sign}", PARAMETERS[*parameter].words)
            };
            if v < ends[0].0 {
                ends[0] = (v, words());
            }
            if v > ends[1].0 {
                ends[1] = (v, words());
            }
        }
        let told = |(v, words): &(f64, String)| {
            // What moves by less than half an uncertainty does not move.
            if (v - now).abs() < 0.5 * item.uncertainty(now) {
                "| - | ".to_owned()
            } else {
                format!("| {} | {words} ", shown(i, *v))
            }
        };
        let _ = writeln!(
            text,
            "| {} | {} {}{}|",
            item.words,
            shown(i, now),
            told(&ends[0]),
            told(&ends[1])
        );
    }
    text
}

fn fault_table(base: &World, fragile: &Fragile, faults: &[Fault]) -> String {
    let mut text =
        String::from("| fault | stands under every change | hangs on the make |\n|---|---|---|\n");
    for (f, &fault) in faults.iter().enumerate() {
        let k = frosty(fault);
        let mut stands = Vec::new();
        let mut hangs = Vec::new();
        for (i, item) in ALL.iter().enumerate() {
            let told = base.faulty[f]
                .as_ref()
                .and_then(|v| way(i, v, &base.healthy[k]));
            let words = match told {
                Some(Way::Higher) => format!("{} higher", item.words),
                Some(Way::Lower) => format!("{} lower", item.words),
                Some(Way::Other(w)) => format!("{}: {}", item.words, shown(i, f64::from(w))),
                Some(Way::Same) => format!("{} as healthy", item.words),
                _ => continue,
            };
            match fragile.get(&(f, i)) {
                Some(by) => {
                    let by: Vec<&str> = by.iter().map(String::as_str).collect();
                    let some = by[..by.len().min(3)].join(", ");
                    let more = if by.len() > 3 {
                        format!(" and {} more", by.len() - 3)
                    } else {
                        String::new()
                    };
                    hangs.push(format!("**{words}** ({some}{more})"));
                }
                None if told != Some(Way::Same) => stands.push(words),
                None => {}
            }
        }
        let list = |l: &[String]| {
            if l.is_empty() {
                "-".to_owned()
            } else {
                l.join("; ")
            }
        };
        let _ = writeln!(
            text,
            "| {} (`{}`) | {} | {} |",
            fault.entry().name,
            fault.id(),
            list(&stands),
            list(&hangs)
        );
    }
    text
}

/// How many readings each parameter turns.
fn parameter_table(fragile: &Fragile) -> String {
    let mut text = String::from(
        "| parameter | moved by | signatures in which a reading flips |\n|---|---|---|\n",
    );
    for p in PARAMETERS {
        let turned: BTreeSet<usize> = fragile
            .iter()
            .filter(|(_, by)| by.iter().any(|w| w.starts_with(p.words)))
            .map(|((f, _), _)| *f)
            .collect();
        let by = if p.law { "half, double" } else { "±30 %" };
        let _ = writeln!(text, "| {} | {by} | {} |", p.words, turned.len());
    }
    text
}

const HEAD: &str = "# What hangs on the make

Made by `cargo bench --no-default-features --bench sensitivity`. The regulator of this program is invented: its diaphragms,
springs, bores and volumes are plausible, and nobody measured them. So each of these numbers is made 30 % smaller and
30 % larger, the two screws are set again to the same pressures at half load, as a maker would, and the whole visit of
the technician is made again, healthy and with every fault at severity 0.5 (60 °F; 19 °F for what waits for frost). Laws of our
own are halved and doubled instead.

A reading counts as higher or lower from two uncertainties of its instrument on. **Bold** is what flips under one of
these changes: it turns round, vanishes, or appears where there was nothing. What flips is true of this make only: diagnosis
does not lean on it (`src/diagnosis/library/fragile.tsv`, made by the same run), and no page of a fault tells faults apart by it.
";

fn paper(base: &World, worlds: &[Looked], fragile: &Fragile, faults: &[Fault]) -> String {
    format!(
        "{HEAD}\n## Healthy readings at 60 °F\n\n{}\n## Every fault\n\n{}\n## Which numbers matter\n\n{}",
        healthy_table(base, worlds),
        fault_table(base, fragile, faults),
        parameter_table(fragile)
    )
}

fn rows(fragile: &Fragile, faults: &[Fault]) -> String {
    let mut text = String::new();
    for (f, i) in fragile.keys() {
        let _ = writeln!(text, "{}\t{}", faults[*f].id(), name(*i));
    }
    text
}

/// Where the results go.
const PAPER: &str = "docs/sensitivity.md";
const ROWS: &str = "src/diagnosis/library/fragile.tsv";

fn main() {
    let check = std::env::args().any(|a| a == "--check");
    let base = quickened(&standard_rig());
    let faults: Vec<Fault> = Fault::all().filter(|&f| fits(&base, f)).collect();
    let airs = [MILD_K, FROST_K].map(|k| at_air(&base, k));
    let usual = look(&airs, &faults).expect("the rig as it is can be visited");
    let set = working(&usual.healthy[0]);
    let jobs: Vec<(usize, f64)> = (0..PARAMETERS.len())
        .flat_map(|p| PARAMETERS[p].factors().map(|by| (p, by)))
        .collect();
    let looked = over_threads(jobs.len(), |k| {
        let (p, by) = jobs[k];
        let mild = moved(&airs[0], &PARAMETERS[p], by, set);
        mild.and_then(|mild| {
            let frost = at_air(&mild, FROST_K);
            look(&[mild, frost], &faults)
        })
        .map(|world| (p, by, world))
        .map_err(|e| format!("{} by {by}: {e}", PARAMETERS[p].words))
    });
    let mut worlds = Vec::new();
    for world in looked {
        match world {
            Ok(world) => worlds.push(world),
            Err(e) => println!("left out: {e}"),
        }
    }
    let fragile = find_fragile(&usual, &worlds, &faults);
    let results = [
        (PAPER, paper(&usual, &worlds, &fragile, &faults)),
        (ROWS, rows(&fragile, &faults)),
    ];
    for (path, text) in results {
        if check {
            let stands = std::fs::read_to_string(path).unwrap_or_default();
            assert!(
                stands == text,
                "{path} is stale: run the bench without --check"
            );
        } else {
            std::fs::write(path, text).expect("the paper can be written");
        }
    }
    println!(
        "{} worlds, {} faults, {} of their readings hang on the make",
        worlds.len(),
        faults.len(),
        fragile.len()
    );
}
