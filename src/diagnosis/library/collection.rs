//! The library: what simulated visits to a rig read under every cause, with severity and all
//! unknowns drawn anew for each. Grown round by round over threads, so that a coarse library comes
//! first; stopped at any moment; written to and read from bytes.
//!
//! Not here: what a library was made from (`fingerprint`), its bytes (`bytes`).

use super::coded::Coded;
use super::fingerprint;
use super::random::Random;
use super::sample::sample_visit;
use super::unknowns::{Unknowns, World};
use crate::fault::{Fault, Onset};
use crate::rig::Modes;
use crate::scenario::Scenario;
use crate::visit::Values;
use crate::visit::quickened;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::time::Instant;

/// Seed of every library.
const SEED: u64 = 20_261_125;
/// Samples of each cause in a full library, and of the healthy rig in proportion.
pub const FULL: usize = 64;
/// The same in the library that is built in.
pub const STANDARD: usize = 256;
/// Healthy samples for each sample of a fault: all causes are told from these.
pub const HEALTHY_SHARE: usize = 8;
/// Share of the draws for faults of the weather that come in the cold (invented).
const COLD_SHARE: f64 = 0.6;
/// Severities are drawn evenly from here to 1, but for a share that is drawn evenly by its
/// logarithm from the least to here (a leak is found long before it is a hundredth of the worst), and another of the whole.
const EVEN_FROM: f64 = 0.03;
const LEAST_SEVERITY: f64 = 0.0005;
const SLIGHT_SHARE: f64 = 0.2;
/// Share of the draws that are the whole fault: a vent that is sealed and a disc that is gone are other rigs than those that
/// nearly are, and not seldom met (invented).
const WHOLE_SHARE: f64 = 0.06;

/// The severity at a place from 0 to 1 of all that are drawn.
pub fn severity_at(place: f64) -> f64 {
    if place < SLIGHT_SHARE {
        return LEAST_SEVERITY * (EVEN_FROM / LEAST_SEVERITY).powf(place / SLIGHT_SHARE);
    }
    let even = (place - SLIGHT_SHARE) / (1.0 - SLIGHT_SHARE - WHOLE_SHARE);
    EVEN_FROM + (1.0 - EVEN_FROM) * even.min(1.0)
}

/// What is in the rig.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    /// The fault, none for healthy.
    pub fault: Option<Fault>,
    /// Its severity (of the first).
    pub severity: f64,
    /// The unknowns.
    pub unknowns: Unknowns,
    /// What a visit reads, true values.
    pub coded: Coded,
}

impl Sample {
    /// What a visit reads, true values.
    pub fn values(&self) -> Values {
        self.coded.values(&self.unknowns)
    }
}

/// What is looked for on a rig, and what of it is known.
#[derive(Debug, Clone, PartialEq)]
pub struct Allowance {
    /// How far the rig may differ from its scenario.
    pub world: World,
    /// Between which severities faults are drawn, evenly; as technicians meet them where none is given.
    pub severities: Option<(f64, f64)>,
    /// Faults that are looked for; all that the rig can have where none are given.
    pub faults: Option<Vec<Fault>>,
}

impl Default for Allowance {
    fn default() -> Self {
        Self {
            world: World::NOMINAL,
            severities: None,
            faults: None,
        }
    }
}

impl Allowance {
    fn severity(&self, place: f64) -> f64 {
        match self.severities {
            Some((low, high)) => low + (high - low) * place,
            None => severity_at(place),
        }
    }
}

/// All samples, and what they were made from.
#[derive(Debug, Clone)]
pub struct Library {
    /// What is looked for, and what is known.
    pub allowance: Allowance,
    /// The rig, made ready for visits.
    pub base: Scenario,
    /// Digest of what it was made from.
    pub digest: u64,
    /// Samples so far.
    pub samples: Vec<Sample>,
    /// Rounds of growth done: samples of each fault.
    pub rounds: usize,
    /// Groups of causes that cannot be told apart, by their names, once they have been computed.
    pub groups: Vec<Vec<String>>,
}

/// How far a growth has come.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Growth {
    /// Visits made.
    pub done: usize,
    /// Visits asked for.
    pub of: usize,
}

/// The van der Corput sequence in base 2: each round halves the gaps that the ones before left.
fn between_rounds(round: usize) -> f64 {
    let bits = (round as u32 + 1).reverse_bits();
    f64::from(bits) / f64::from(u32::MAX)
}

/// Draws the unknowns that go with a cause.
pub fn draw_unknowns(fault: Option<Fault>, random: &mut Random) -> Unknowns {
    let weather = fault.is_some_and(|f| f.entry().onset == Onset::Weather);
    let cold = weather && random.uniform() < COLD_SHARE;
    Unknowns::draw(random, cold)
}

/// Whether a fault can be in this rig at all: it changes a parameter or the state.
pub fn fits(base: &Scenario, fault: Fault) -> bool {
    let mut rig = base.rig.clone();
    fault.apply(&mut rig, 1.0);
    if rig != base.rig {
        return true;
    }
    let rest = base.rig.at_rest(&Modes::shut(base.site), &base.charges);
    let mut state = rest;
    fault.arrive(&base.rig, &mut state, 0.0, 1.0);
    state != rest
}

impl Library {
    /// An empty library for a rig.
    pub fn new(scenario: &Scenario) -> Self {
        Self::with(scenario, Allowance::default())
    }

    /// An empty library for a rig of which something is known.
    pub fn with(scenario: &Scenario, allowance: Allowance) -> Self {
        let base = quickened(scenario);
        Self {
            allowance,
            digest: fingerprint::digest(&base, &fingerprint::effect),
            base,
            samples: Vec::new(),
            rounds: 0,
            groups: Vec::new(),
        }
    }

    /// Causes that can be in the rig, healthy first.
    pub fn causes(&self) -> Vec<Option<Fault>> {
        let wanted = |f: &Fault| {
            let some = self.allowance.faults.as_ref();
            some.is_none_or(|some| some.contains(f))
        };
        let faults = Fault::all_in(&self.base.rig).filter(wanted);
        let faults = faults.filter(|&f| fits(&self.base, f)).map(Some);
        std::iter::once(None).chain(faults).collect()
    }

    /// Grows to `rounds` samples of each fault. Stops early, with what whole rounds there are, when
    /// `deadline` has passed or `cancel` is set; of a first round that the deadline cuts three quarters are made all the
    /// same, or only healthy rigs would be known on a slow computer.
    pub fn grow(
        &mut self,
        rounds: usize,
        deadline: Option<Instant>,
        cancel: &AtomicBool,
        progress: &(dyn Fn(Growth) + Sync),
    ) {
        if self.rounds == 0 {
            self.samples.clear();
        }
        let causes = self.causes();
        let mut jobs = Vec::new();
        for round in self.rounds..rounds {
            for k in 0..HEALTHY_SHARE {
                jobs.push((None, round * HEALTHY_SHARE + k));
            }
            jobs.extend(causes.iter().skip(1).map(|&c| (c, round)));
        }
        let round_size = causes.len() - 1 + HEALTHY_SHARE;
        let least = if self.rounds == 0 {
            round_size * 3 / 4
        } else {
            0
        };
        let (next, done) = (AtomicUsize::new(0), AtomicUsize::new(0));
        let results = Mutex::new(vec![None; jobs.len()]);
        let (base, allowance) = (&self.base, &self.allowance);
        let work = || {
            loop {
                let i = next.fetch_add(1, Ordering::Relaxed);
                let late = deadline.is_some_and(|d| Instant::now() > d) && i >= least;
                if i >= jobs.len() || late || cancel.load(Ordering::Relaxed) {
                    break;
                }
                let (cause, round) = jobs[i];
                let sample = make(base, allowance, cause, round);
                if let Ok(mut all) = results.lock() {
                    all[i] = Some(sample);
                }
                progress(Growth {
                    done: done.fetch_add(1, Ordering::Relaxed) + 1,
                    of: jobs.len(),
                });
            }
        };
        let threads = std::thread::available_parallelism().map_or(2, usize::from);
        std::thread::scope(|scope| {
            for _ in 0..threads.min(jobs.len().max(1)) {
                scope.spawn(work);
            }
        });
        let all = results.into_inner().unwrap_or_default();
        // Whole rounds only, so that no cause has more weight than another.
        for round in all.chunks(round_size) {
            if round.iter().any(Option::is_none) && self.rounds > 0 {
                break;
            }
            self.samples.extend(round.iter().flatten().flatten());
            if round.iter().any(Option::is_none) {
                // A first round that was cut gives a first answer, and is made whole when the growth goes on.
                break;
            }
            self.rounds += 1;
        }
    }
}

fn make(
    base: &Scenario,
    allowance: &Allowance,
    cause: Option<Fault>,
    round: usize,
) -> Option<Sample> {
    let world = allowance.world;
    let stream = cause.map_or(0, |f| {
        1 + Fault::all_in(&base.rig).position(|g| g == f).unwrap_or(0) as u64
    });
    let mut random = Random::new(SEED ^ (stream << 32), round as u64);
    let severity = match cause {
        Some(_) => allowance.severity(between_rounds(round)),
        None => 0.0,
    };
    let unknowns = draw_unknowns(cause, &mut random).within(world);
    let faults: Vec<(Fault, f64)> = cause.map(|f| (f, severity)).into_iter().collect();
    let values = sample_visit(base, &faults, &unknowns, world, &mut random).ok()?;
    Some(Sample {
        fault: cause,
        severity,
        unknowns,
        coded: Coded::of(&values),
    })
}
