//! What every cause would show on this very rig: one whole visit a cause and severity, run on the
//! drill's own scenario, so that readings are held against like. Not here: what a set of readings
//! then says (`belief`).
//!
//! A drill's rig is known by its make, its site and its load, other than a rig met on the road.
//! What stays uncertain is the fault, its severity, the specimen (a few healthy visits with the
//! parts drawn within their tolerance tell how far apart specimens read), and the model itself:
//! how far a fault of some severity moves a reading is an assumption, so a share of every departure
//! from the healthy rig counts as uncertainty. Severities between the runs are drawn straight
//! between them on the compressed scale of the item.

use super::item::{ALL, ITEMS, Id, Kind, Values};
use super::probe::{Trouble, visit, visited};
use crate::diagnosis::random::Random;
use crate::diagnosis::unknowns::{Unknowns, World};
use crate::fault::Fault;
use crate::scenario::{Action, Event, Scenario};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

/// Severities that are run.
pub const SEVERITIES: [f64; 3] = [0.3, 0.6, 0.9];
/// How much of the step to the next severity counts as uncertainty of a row.
const STEP_SHARE: f64 = 0.3;
/// How much of a fault's departure from the healthy rig counts as uncertainty of the model, for a
/// time and for everything else. With these a stated belief comes true about as often as it says
/// on specimens within tolerance (`benches/drills.rs`); without them what was stated as 95 % or more
/// came true in 59 to 96 % of such cases.
const MODEL_SHARE: (f64, f64) = (0.3, 0.1);
/// Specimens of the healthy rig that are visited.
const SPECIMENS: usize = 8;
/// Seed of their draw; the same rig always gets the same specimens.
const SPECIMEN_SEED: u64 = 0x7370_6563;

/// What is wrong: no fault, one, or two.
pub type Cause = Vec<Fault>;

/// One cause at one severity.
#[derive(Debug, Clone)]
pub struct Row {
    /// Place of the cause in [`Library::causes`].
    pub cause: usize,
    /// Values; numbers on the item's compressed scale, words by place.
    pub values: Values,
    /// Standard deviation of each number on that scale.
    pub sigma: Values,
    /// What the next milder and the next worse severity show, for words.
    pub beside: [Values; 2],
}

/// The rows of one rig.
#[derive(Debug, Clone)]
pub struct Library {
    /// The healthy rig of the visits.
    pub scenario: Arc<Scenario>,
    /// The causes; the first is no fault.
    pub causes: Vec<Cause>,
    /// The rows.
    pub rows: Vec<Row>,
    /// How far apart healthy specimens read, one deviation on the compressed scale.
    pub spread: Values,
    /// Faults left out because a visit failed, with the reason.
    pub left_out: Vec<(Fault, Trouble)>,
    /// Every row against every row, filled by `belief` when first needed.
    pub(super) table: OnceLock<Vec<f32>>,
}

/// Why there is no library.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LibraryError {
    /// The healthy rig does not run.
    #[error("the healthy rig does not run: {0}")]
    Healthy(Trouble),
    /// The listener stopped it.
    #[error("stopped")]
    Stopped,
}

/// A scenario with faults from the start.
pub(super) fn with_faults(scenario: &Scenario, faults: &[(Fault, f64)]) -> Arc<Scenario> {
    let mut out = scenario.clone();
    out.events = faults
        .iter()
        .map(|&(fault, severity)| Event {
            at_s: 0.0,
            action: Action::Inject {
                fault,
                severity,
                over_s: 0.0,
            },
        })
        .collect();
    Arc::new(out)
}

/// Another specimen of a rig: parts, adjustment, friction and burners within their tolerance, site
/// and fuel as they are.
#[must_use]
pub fn specimen(scenario: &Scenario, random: &mut Random) -> Scenario {
    let mut out = scenario.clone();
    Unknowns::draw(random, false).apply(&mut out, World::NOMINAL, random);
    out.site = scenario.site;
    out.charges.clone_from(&scenario.charges);
    out.rig.fuel = scenario.rig.fuel;
    out
}

/// Numbers on their compressed scale, words as they are.
fn scaled(values: &Values) -> Values {
    let mut out = *values;
    for (v, item) in out.iter_mut().zip(ALL) {
        if !matches!(item.kind, Kind::Words(_)) {
            *v = item.scaled(*v);
        }
    }
    out
}

/// Threads that run visits.
const THREADS: usize = 2;

impl Library {
    /// Runs the visits of these faults on a scenario. `listener` hears the share that is done, 0
    /// to 1, and returns whether to go on.
    ///
    /// # Errors
    /// [`LibraryError`]. A fault whose visit fails is left out and told in
    /// [`Library::left_out`].
    pub fn build(
        scenario: &Scenario,
        faults: &[Fault],
        listener: &mut dyn FnMut(f64) -> bool,
    ) -> Result<Self, LibraryError> {
        let base = Arc::new(visited(scenario));
        let healthy = visit(&base).map_err(LibraryError::Healthy)?;
        let mut random = Random::new(SPECIMEN_SEED, 0);
        let specimens = (0..SPECIMENS).map(|_| Arc::new(specimen(&base, &mut random)));
        let faulty = faults
            .iter()
            .flat_map(|&f| SEVERITIES.map(|s| with_faults(&base, &[(f, s)])));
        let jobs: Vec<Arc<Scenario>> = specimens.chain(faulty).collect();
        let mut results = run_all(&jobs, listener)?;
        let own = results.split_off(SPECIMENS);
        let (specimens, results) = (results, own);
        let mut library = Self {
            spread: spread(&scaled(&healthy), &specimens),
            scenario: base,
            causes: vec![Vec::new()],
            rows: Vec::new(),
            left_out: Vec::new(),
            table: OnceLock::new(),
        };
        let none = scaled(&healthy);
        let first = library.row(0, none, [none, none]);
        library.rows.push(first);
        for (i, &fault) in faults.iter().enumerate() {
            let runs = &results[i * SEVERITIES.len()..(i + 1) * SEVERITIES.len()];
            let good: Result<Vec<Values>, Trouble> = runs.iter().cloned().collect();
            match good {
                Ok(nodes) => library.add(fault, none, &nodes),
                Err(trouble) => library.left_out.push((fault, trouble)),
            }
        }
        Ok(library)
    }

    /// Adds a fault by its nodes: the nodes themselves and the middles between them.
    fn add(&mut self, fault: Fault, healthy: Values, nodes: &[Values]) {
        let cause = self.causes.len();
        self.causes.push(vec![fault]);
        let nodes: Vec<Values> = nodes.iter().map(scaled).collect();
        for (i, node) in nodes.iter().enumerate() {
            let milder = if i == 0 { healthy } else { nodes[i - 1] };
            let worse = nodes.get(i + 1).copied().unwrap_or(*node);
            if i > 0 {
                let middle = self.row(cause, between(&milder, node), [milder, *node]);
                self.rows.push(middle);
            }
            let before = if i == 0 { *node } else { milder };
            let own = self.row(cause, *node, [before, worse]);
            self.rows.push(own);
        }
    }

    /// A row with what is uncertain about it.
    fn row(&self, cause: usize, values: Values, beside: [Values; 2]) -> Row {
        let healthy = self.rows.first().map_or(&values, |r| &r.values);
        let mut sigma = [0.0; ITEMS];
        for i in 0..ITEMS {
            let item = &ALL[i];
            if matches!(item.kind, Kind::Words(_)) {
                continue;
            }
            let real = item.unscaled(values[i]);
            let instrument = item.uncertainty(real) * item.slope(real);
            let step = beside
                .iter()
                .map(|b| (b[i] - values[i]).abs())
                .fold(0.0, f64::max);
            let share = match item.kind {
                Kind::Time => MODEL_SHARE.0,
                _ => MODEL_SHARE.1,
            };
            sigma[i] = instrument
                .hypot(STEP_SHARE * step)
                .hypot(share * (values[i] - healthy[i]))
                .hypot(self.spread[i]);
        }
        Row {
            cause,
            values,
            sigma,
            beside,
        }
    }

    /// The healthy values on the compressed scale.
    pub fn healthy(&self) -> &Values {
        &self.rows[0].values
    }

    /// A library of pairs as well: each pair of these causes shows both deviations at once, added
    /// on the compressed scale. An approximation; a drill with two faults is only accepted when
    /// its true readings are told apart by it.
    #[must_use]
    pub fn with_pairs(&self, of: &[usize]) -> Self {
        let mut out = self.clone();
        out.table = OnceLock::new();
        let rows_of = |c: usize| self.rows.iter().filter(move |r| r.cause == c);
        for (k, &a) in of.iter().enumerate() {
            for &b in &of[k + 1..] {
                if a == 0 || b == 0 {
                    continue;
                }
                let cause = out.causes.len();
                out.causes
                    .push([self.causes[a].clone(), self.causes[b].clone()].concat());
                for x in rows_of(a) {
                    for y in rows_of(b) {
                        out.rows.push(together(self.healthy(), x, y, cause));
                    }
                }
            }
        }
        out
    }

    /// Place of a cause, in whatever order its faults are named.
    pub fn find(&self, faults: &[Fault]) -> Option<usize> {
        let mut wanted = faults.to_vec();
        wanted.sort_unstable();
        self.causes.iter().position(|c| {
            let mut have = c.clone();
            have.sort_unstable();
            have == wanted
        })
    }

    /// What an item shows with a cause, by its severities, as a person would tell it.
    pub fn shows(&self, cause: usize, id: Id) -> Vec<String> {
        let mut out: Vec<String> = Vec::new();
        for r in self.rows.iter().filter(|r| r.cause == cause) {
            let value = match id.item().kind {
                Kind::Words(_) => r.values[id.index()],
                _ => id.item().unscaled(r.values[id.index()]),
            };
            let told = id.told(value);
            if out.last() != Some(&told) {
                out.push(told);
            }
        }
        out
    }
}

fn between(a: &Values, b: &Values) -> Values {
    let mut out = *a;
    for i in 0..ITEMS {
        if !matches!(ALL[i].kind, Kind::Words(_)) {
            out[i] = 0.5 * (a[i] + b[i]);
        }
    }
    out
}

/// Root mean square distance of specimens from the rig itself. A specimen that does not run says
/// nothing about spread.
fn spread(healthy: &Values, specimens: &[Result<Values, Trouble>]) -> Values {
    let ran: Vec<Values> = specimens
        .iter()
        .filter_map(|s| s.as_ref().ok().map(scaled))
        .collect();
    let mut out = [0.0; ITEMS];
    if ran.is_empty() {
        return out;
    }
    for i in 0..ITEMS {
        if !matches!(ALL[i].kind, Kind::Words(_)) {
            let sum: f64 = ran.iter().map(|v| (v[i] - healthy[i]).powi(2)).sum();
            out[i] = (sum / ran.len() as f64).sqrt();
        }
    }
    out
}

fn together(healthy: &Values, a: &Row, b: &Row, cause: usize) -> Row {
    let mut values = *healthy;
    let mut sigma = [0.0; ITEMS];
    for i in 0..ITEMS {
        if matches!(ALL[i].kind, Kind::Words(_)) {
            values[i] = if a.values[i] == healthy[i] {
                b.values[i]
            } else {
                a.values[i]
            };
        } else {
            values[i] = a.values[i] + b.values[i] - healthy[i];
            sigma[i] = a.sigma[i].hypot(b.sigma[i]);
        }
    }
    Row {
        cause,
        values,
        sigma,
        beside: [a.values, b.values],
    }
}

fn run_all(
    jobs: &[Arc<Scenario>],
    listener: &mut dyn FnMut(f64) -> bool,
) -> Result<Vec<Result<Values, Trouble>>, LibraryError> {
    let (next, stop) = (AtomicUsize::new(0), AtomicBool::new(false));
    let done: Mutex<Vec<Option<Result<Values, Trouble>>>> = Mutex::new(vec![None; jobs.len()]);
    let (told, heard) = std::sync::mpsc::channel::<()>();
    std::thread::scope(|scope| {
        for _ in 0..THREADS {
            let told = told.clone();
            let (next, stop, done) = (&next, &stop, &done);
            scope.spawn(move || {
                loop {
                    let i = next.fetch_add(1, Ordering::Relaxed);
                    if i >= jobs.len() || stop.load(Ordering::Relaxed) {
                        break;
                    }
                    let values = visit(&jobs[i]);
                    done.lock().unwrap_or_else(PoisonError::into_inner)[i] = Some(values);
                    // The other end may have stopped listening.
                    let _ = told.send(());
                }
            });
        }
        drop(told);
        let mut count = 0;
        while heard.recv().is_ok() {
            count += 1;
            if !listener(f64::from(count) / jobs.len() as f64) {
                stop.store(true, Ordering::Relaxed);
            }
        }
    });
    if stop.load(Ordering::Relaxed) {
        return Err(LibraryError::Stopped);
    }
    let done = done.into_inner().unwrap_or_else(PoisonError::into_inner);
    Ok(done
        .into_iter()
        .map(|r| r.unwrap_or_else(|| Err("was not run".to_owned())))
        .collect())
}
