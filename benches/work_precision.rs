//! Work against precision: how many evaluations of the rig's rates an outlet pressure of so small an error takes, by
//! this program's engines and by general-purpose solvers on the same rates, from the same states, over the same
//! stretches.
//!
//!     cargo bench --no-default-features --bench work_precision      our engines, the first quarter of an hour
//!     docs/work_precision.sh                                         with the peers: table and picture
//!
//! A stretch is what lies between two events of the frosty night: modes do not change in it, so that every solver is
//! asked for the same thing. With `serve HOURS` the program answers on its standard input and output; who asks is
//! `docs/tools/peers.py`. Not here: time. Peers in another language would lose by it what the method did not.

use std::io::{self, BufReader, BufWriter, Read, Write};
use std::path::Path;
use std::sync::Arc;

use twostage::rig::{Modes, Rig, RigState};
use twostage::scenario::Scenario;
use twostage::sim::{RigSystem, Simulation, usual_tolerance};
use twostage::solver::{Engine, Method, Stop, System, Tolerance, jacobian};
use twostage::units::pa_to_inwc;

/// No stretch is longer \[s\]: what comes later is quiet.
const LONGEST_S: f64 = 300.0;
/// Nor shorter: between two events at once nothing moves.
const SHORTEST_S: f64 = 1e-3;
/// Times at which the outlet is compared, a stretch: the first after a tenth of a millisecond, each later by a share.
const LOOKS: usize = 60;
const FIRST_LOOK_S: f64 = 1e-4;

/// What lies between two events.
struct Stretch {
    rig: Arc<Rig>,
    modes: Modes,
    from_s: f64,
    to_s: f64,
    start: Vec<f64>,
    looks: Vec<f64>,
}

/// The rig in fixed modes, without its watches: nothing stops a solver.
struct Bare<'a>(RigSystem<'a>);

impl System for Bare<'_> {
    fn dim(&self) -> usize {
        self.0.dim()
    }
    fn derivatives(&self, t: f64, y: &[f64], dy: &mut [f64]) {
        self.0.derivatives(t, y, dy);
    }
    fn scales(&self) -> &[f64] {
        self.0.scales()
    }
    fn error_scales(&self) -> &[f64] {
        self.0.error_scales()
    }
    fn origin(&self, i: usize) -> f64 {
        self.0.origin(i)
    }
    fn acts_slowly(&self, i: usize) -> bool {
        self.0.acts_slowly(i)
    }
    fn acts_on(&self, i: usize) -> u64 {
        self.0.acts_on(i)
    }
    fn state_name(&self, i: usize) -> String {
        self.0.state_name(i)
    }
}

impl Stretch {
    fn system(&self) -> Bare<'_> {
        Bare(RigSystem::new(&self.rig, &self.modes))
    }

    /// Outlet at all looks \[Pa\] by one of our engines, and the evaluations that it took.
    fn ours(&self, method: Method, factor: f64) -> Result<(Vec<f64>, u64), String> {
        let usual = usual_tolerance(method);
        let tolerance = Tolerance {
            relative: factor * usual.relative,
            absolute: factor * usual.absolute,
        };
        let system = self.system();
        let mut engine = Engine::new(method, tolerance);
        let mut states = Vec::with_capacity(self.looks.len());
        let mut y = self.start.clone();
        engine
            .advance(
                &system,
                self.from_s,
                self.to_s,
                &mut y,
                &self.looks,
                &mut |t, y| states.push((t, y.to_vec())),
            )
            .map_err(|e| e.to_string())?;
        let calls = engine.work().derivative_calls;
        let outlets = states.iter().map(|(t, y)| outlet_pa(&system, *t, y));
        Ok((outlets.collect(), calls))
    }
}

fn outlet_pa(system: &Bare<'_>, t_s: f64, y: &[f64]) -> f64 {
    system.0.look(t_s, y, |_, flows| {
        flows.second.chamber_pa - flows.ambient_pa
    })
}

/// The stretches of the first hours of the night.
fn stretches(hours: f64) -> Result<Vec<Stretch>, String> {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios/frosty_night.toml");
    let scenario = Arc::new(Scenario::load(&file).map_err(|e| e.to_string())?);
    let method = Method::Stiff;
    let start = || Simulation::start(scenario.clone(), method, usual_tolerance(method));
    let mut first = start().map_err(|e| e.to_string())?;
    first
        .advance(3600.0 * hours, None, &mut |_| ())
        .map_err(|e| e.to_string())?;
    let mut begins: Vec<f64> = first.marks().iter().map(|m| m.time_s).collect();
    begins.dedup();
    let mut sim = start().map_err(|e| e.to_string())?;
    let mut all = Vec::new();
    for at_s in begins {
        sim.advance(at_s + 1e-6, None, &mut |_| ())
            .map_err(|e| e.to_string())?;
        let now = sim.moment();
        let rig = sim.rig().clone();
        let mut start = vec![0.0; RigState::dim(&rig)];
        now.state.write_to(&rig, &mut start);
        let from_s = now.t_s;
        let modes = now.modes;
        let mut y = start.clone();
        let stop = Engine::new(method, usual_tolerance(method))
            .advance(
                &RigSystem::new(&rig, &modes),
                from_s,
                from_s + LONGEST_S,
                &mut y,
                &[],
                &mut |_, _| (),
            )
            .map_err(|e| e.to_string())?;
        let to_s = match stop {
            Stop::Reached => from_s + LONGEST_S,
            Stop::Event { time_s, .. } => time_s,
        };
        let span_s = to_s - from_s;
        if span_s < SHORTEST_S {
            continue;
        }
        let ratio = span_s / FIRST_LOOK_S;
        let share = |i: usize| i as f64 / (LOOKS - 1) as f64;
        let looks = (0..LOOKS)
            .map(|i| (from_s + FIRST_LOOK_S * ratio.powf(share(i))).min(to_s))
            .collect();
        all.push(Stretch {
            rig,
            modes,
            from_s,
            to_s,
            start,
            looks,
        });
    }
    Ok(all)
}

/// Our engines against the tightest of their own: what they take at each tolerance.
fn alone() -> Result<(), String> {
    let all = stretches(0.25)?;
    println!(
        "{} stretches, the stiff engine against itself at 1e-4 of its tolerance",
        all.len()
    );
    println!(
        "{:>10}  {:>12}  {:>14}",
        "tolerance", "evaluations", "worst, in w.c."
    );
    let ours = |factor| -> Result<Vec<(Vec<f64>, u64)>, String> {
        all.iter().map(|s| s.ours(Method::Stiff, factor)).collect()
    };
    let reference = ours(1e-4)?;
    for factor in [10.0, 1.0, 0.1, 0.01] {
        let found = ours(factor)?;
        let calls: u64 = found.iter().map(|(_, calls)| calls).sum();
        let worst = found
            .iter()
            .zip(&reference)
            .flat_map(|(a, b)| a.0.iter().zip(&b.0));
        let worst = worst.map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
        println!("{factor:>10}  {calls:>12}  {:>14.1e}", pa_to_inwc(worst));
    }
    Ok(())
}

/// Numbers on the wire, little-endian.
struct Wire<R, W> {
    from: R,
    to: W,
}

impl<R: Read, W: Write> Wire<R, W> {
    fn number(&mut self) -> io::Result<f64> {
        let mut bytes = [0; 8];
        self.from.read_exact(&mut bytes)?;
        Ok(f64::from_le_bytes(bytes))
    }
    fn numbers(&mut self, out: &mut [f64]) -> io::Result<()> {
        for x in out {
            *x = self.number()?;
        }
        Ok(())
    }
    fn give(&mut self, numbers: &[f64]) -> io::Result<()> {
        for x in numbers {
            self.to.write_all(&x.to_le_bytes())?;
        }
        Ok(())
    }
}

/// Answers until standard input ends. Each question is an act and a stretch, both as numbers:
/// 0, what it is; 1, rates at so many places; 2, outlet at so many places; 3, our engine (0 stiff, 1 explicit);
/// 4, the matrix of how each rate moves with each state.
fn serve(hours: f64) -> Result<(), String> {
    let all = stretches(hours)?;
    let wire = &mut Wire {
        from: BufReader::new(io::stdin().lock()),
        to: BufWriter::new(io::stdout().lock()),
    };
    let trouble = |e: io::Error| e.to_string();
    wire.give(&[all.len() as f64]).map_err(trouble)?;
    loop {
        wire.to.flush().map_err(trouble)?;
        let act = match wire.number() {
            Err(e) if e.kind() == io::ErrorKind::UnexpectedEof => return Ok(()),
            other => other.map_err(trouble)?,
        };
        let index = wire.number().map_err(trouble)?;
        let stretch = all
            .get(index as usize)
            .ok_or_else(|| format!("no stretch {index}"))?;
        answer(wire, act, stretch).map_err(trouble)?;
    }
}

fn answer<R: Read, W: Write>(wire: &mut Wire<R, W>, act: f64, stretch: &Stretch) -> io::Result<()> {
    let system = stretch.system();
    let dim = system.dim();
    if act == 0.0 {
        let head = [
            dim as f64,
            stretch.looks.len() as f64,
            stretch.from_s,
            stretch.to_s,
        ];
        wire.give(&head)?;
        wire.give(&stretch.start)?;
        wire.give(system.error_scales())?;
        wire.give(&stretch.looks)?;
        let usual = usual_tolerance(Method::Stiff);
        wire.give(&[usual.relative, usual.absolute])?;
        for i in 0..dim {
            let acts_on = system.acts_on(i);
            let row: Vec<f64> = (0..dim).map(|k| f64::from(acts_on >> k & 1 == 1)).collect();
            wire.give(&row)?;
        }
        return Ok(());
    }
    if act == 4.0 {
        let t_s = wire.number()?;
        let mut y = vec![0.0; dim];
        wire.numbers(&mut y)?;
        let matrix = jacobian(&system, t_s, &y);
        return wire.give(matrix.transpose().as_slice());
    }
    if act == 3.0 {
        let method = [Method::Stiff, Method::Explicit][wire.number()? as usize];
        let factor = wire.number()?;
        let (outlets, calls) = stretch.ours(method, factor).map_err(io::Error::other)?;
        wire.give(&[calls as f64])?;
        return wire.give(&outlets);
    }
    let places = wire.number()? as usize;
    let (mut y, mut dy) = (vec![0.0; dim], vec![0.0; dim]);
    for _ in 0..places {
        let t_s = wire.number()?;
        wire.numbers(&mut y)?;
        if act == 1.0 {
            system.derivatives(t_s, &y, &mut dy);
            wire.give(&dy)?;
        } else {
            wire.give(&[outlet_pa(&system, t_s, &y)])?;
        }
    }
    Ok(())
}

fn main() -> std::process::ExitCode {
    let words: Vec<String> = std::env::args()
        .skip(1)
        .filter(|a| !a.starts_with("--"))
        .collect();
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    let done = match words[..] {
        [] => alone(),
        ["serve", hours] => hours
            .parse()
            .map_err(|e| format!("hours `{hours}`: {e}"))
            .and_then(serve),
        _ => Err("try: no word, or serve HOURS".to_owned()),
    };
    match done {
        Ok(()) => std::process::ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("error: {error}");
            std::process::ExitCode::FAILURE
        }
    }
}
