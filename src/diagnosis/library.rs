//! The library: what simulated visits to a rig read under every cause, with severity and all
//! unknowns drawn anew for each. Grown round by round over threads, so that a coarse library comes
//! first; stopped at any moment; written to and read from bytes.
//!
//! A library knows what it was made from: a digest of the rig, the catalogue's effects, the unknowns and
//! the list of items, and one healthy visit that is made again before the library is trusted.

use super::random::Random;
use super::reading::{ALL, ITEMS, Kind, NUMBERS, Values};
use super::unknowns::{TABLE, UNKNOWNS, Unknowns, World};
use super::visit::{quickened, visit};
use crate::fault::{Fault, Onset};
use crate::rig::Modes;
use crate::scenario::{Action, Event, Scenario};
use crate::sim::SimError;
use crate::units::{PA_PER_INWC, PA_PER_PSI};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};
use std::time::Instant;

/// Seed of every library.
const SEED: u64 = 20_261_125;
/// Samples of each cause in a full library, and of the healthy rig in proportion.
pub const FULL: usize = 64;
/// Healthy samples for each sample of a fault.
pub const HEALTHY_SHARE: usize = 4;
/// Share of the draws for faults of the weather that come in the cold (invented).
const COLD_SHARE: f64 = 0.6;
/// Lowest severity that is drawn: what is less is no fault yet.
pub const LEAST_SEVERITY: f64 = 0.03;

/// What is in the rig.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    /// The fault, none for healthy.
    pub fault: Option<Fault>,
    /// A second fault, in samples of pairs.
    pub second: Option<Fault>,
    /// Its severity (of the first).
    pub severity: f64,
    /// The unknowns.
    pub unknowns: Unknowns,
    /// What a visit reads, true values.
    pub values: Values,
}

/// All samples, and what they were made from.
#[derive(Debug, Clone)]
pub struct Library {
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

/// Makes one visit to the rig with faults in it.
///
/// # Errors
/// [`SimError`] if the run fails.
pub fn sample_visit(
    base: &Scenario,
    faults: &[(Fault, f64)],
    unknowns: &Unknowns,
    world: World,
    random: &mut Random,
) -> Result<Values, SimError> {
    let mut scenario = base.clone();
    unknowns.apply(&mut scenario, world, random);
    scenario.events = faults
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
    visit(&Arc::new(scenario))
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
    (fault.entry().apply)(&mut rig, 1.0);
    if rig != base.rig {
        return true;
    }
    let Some(arrive) = fault.entry().arrive else {
        return false;
    };
    let rest = base.rig.at_rest(&Modes::shut(base.site), &base.charges);
    let mut state = rest;
    arrive(&base.rig, &mut state, 0.0, 1.0);
    state != rest
}

fn digest(base: &Scenario) -> u64 {
    let mut hash: u64 = 0xcbf2_9ce4_8422_2325;
    let mut take = |text: &str| {
        for b in text.bytes() {
            hash = (hash ^ u64::from(b)).wrapping_mul(0x0000_0100_0000_01b3);
        }
    };
    take(&format!("{:?} {:?}", base.rig, base.service_side));
    for fault in Fault::all() {
        let mut rig = base.rig.clone();
        (fault.entry().apply)(&mut rig, 0.4);
        take(&format!("{} {rig:?}", fault.id()));
    }
    for u in &TABLE {
        take(&format!("{} {}", u.words, u.deviation));
    }
    for i in &ALL {
        take(&format!("{} {} {:?}", i.table, i.key, i.kind));
    }
    hash
}

impl Library {
    /// An empty library for a rig.
    pub fn new(scenario: &Scenario) -> Self {
        let base = quickened(scenario);
        Self {
            digest: digest(&base),
            base,
            samples: Vec::new(),
            rounds: 0,
            groups: Vec::new(),
        }
    }

    /// Causes that can be in the rig, healthy first.
    pub fn causes(&self) -> Vec<Option<Fault>> {
        std::iter::once(None)
            .chain(Fault::all().filter(|&f| fits(&self.base, f)).map(Some))
            .collect()
    }

    /// Grows to `rounds` samples of each fault. Stops early, with what whole rounds there are, when
    /// `deadline` has passed or `cancel` is set.
    pub fn grow(
        &mut self,
        rounds: usize,
        deadline: Option<Instant>,
        cancel: &AtomicBool,
        progress: &(dyn Fn(Growth) + Sync),
    ) {
        let causes = self.causes();
        let mut jobs = Vec::new();
        for round in self.rounds..rounds {
            for k in 0..HEALTHY_SHARE {
                jobs.push((None, round * HEALTHY_SHARE + k));
            }
            jobs.extend(causes.iter().skip(1).map(|&c| (c, round)));
        }
        let round_size = causes.len() - 1 + HEALTHY_SHARE;
        let (next, done) = (AtomicUsize::new(0), AtomicUsize::new(0));
        let results = Mutex::new(vec![None; jobs.len()]);
        let (base, seed_offset) = (&self.base, 0);
        let work = || {
            loop {
                let i = next.fetch_add(1, Ordering::Relaxed);
                let late = deadline.is_some_and(|d| Instant::now() > d);
                if i >= jobs.len() || late || cancel.load(Ordering::Relaxed) {
                    break;
                }
                let (cause, round) = jobs[i];
                let sample = make(base, cause, round, seed_offset);
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
            self.rounds += 1;
            if round.iter().any(Option::is_none) {
                break;
            }
        }
    }

    /// A healthy visit without any surprise, made now: what a stored library must agree with.
    fn probe(&self) -> Option<Values> {
        let mut random = Random::new(1, 1);
        let unknowns = Unknowns([0.0; UNKNOWNS]);
        sample_visit(&self.base, &[], &unknowns, World::NOMINAL, &mut random).ok()
    }

    /// The library as bytes, with its digest and probe.
    pub fn to_bytes(&self) -> Vec<u8> {
        let mut out = Vec::from(*MAGIC);
        out.extend(self.digest.to_le_bytes());
        out.extend((self.rounds as u32).to_le_bytes());
        out.extend((self.samples.len() as u32).to_le_bytes());
        let probe = self.probe().unwrap_or([None; ITEMS]);
        write_values(&probe, &mut out);
        for s in &self.samples {
            let index = s.fault.and_then(|f| Fault::all().position(|g| g == f));
            out.push(index.map_or(0, |i| i as u8 + 1));
            out.push((255.0 * s.severity).round() as u8);
            out.extend(
                s.unknowns
                    .0
                    .map(|z| ((Z_STEPS * z).round().clamp(-127.0, 127.0) as i8).to_le_bytes()[0]),
            );
            write_values(&s.values, &mut out);
        }
        let lines: Vec<String> = self.groups.iter().map(|g| g.join(" ")).collect();
        let text = lines.join("\n");
        out.extend((text.len() as u32).to_le_bytes());
        out.extend(text.bytes());
        out
    }

    /// Takes in the samples of bytes written by [`Library::to_bytes`], if they belong to this rig
    /// and this program; `false` if not. Trusts them only after a healthy visit made now agrees.
    pub fn take_bytes(&mut self, bytes: &[u8]) -> bool {
        let mut r = Reader(bytes);
        let taken = self.read(&mut r);
        let Some((samples, rounds, groups)) = taken else {
            return false;
        };
        (self.samples, self.rounds, self.groups) = (samples, rounds, groups);
        true
    }

    fn read(&self, r: &mut Reader<'_>) -> Option<Taken> {
        if r.take(MAGIC.len())? != MAGIC || r.u64()? != self.digest {
            return None;
        }
        let (rounds, count) = (r.u32()? as usize, r.u32()? as usize);
        if count > 200_000 {
            return None;
        }
        let (stored, now) = (read_values(r)?, self.probe()?);
        let agrees = (0..NUMBERS).all(|i| match (stored[i], now[i]) {
            (Some(a), Some(b)) => (a - b).abs() < 0.5 * ALL[i].uncertainty(b),
            _ => false,
        });
        if !agrees {
            return None;
        }
        let faults: Vec<Fault> = Fault::all().collect();
        let mut samples = Vec::with_capacity(count);
        for _ in 0..count {
            let index = usize::from(r.u8()?);
            let fault = match index {
                0 => None,
                i => Some(*faults.get(i - 1)?),
            };
            let severity = f64::from(r.u8()?) / 255.0;
            let mut z = [0.0; UNKNOWNS];
            for v in &mut z {
                *v = f64::from(i8::from_le_bytes([r.u8()?])) / Z_STEPS;
            }
            samples.push(Sample {
                fault,
                second: None,
                severity,
                unknowns: Unknowns(z),
                values: read_values(r)?,
            });
        }
        let length = r.u32()? as usize;
        let text = std::str::from_utf8(r.take(length)?).ok()?;
        let groups = text
            .lines()
            .map(|line| line.split(' ').map(str::to_owned).collect())
            .collect();
        Some((samples, rounds, groups))
    }
}

/// What stored bytes hold: samples, rounds, groups.
type Taken = (Vec<Sample>, usize, Vec<Vec<String>>);

fn make(base: &Scenario, cause: Option<Fault>, round: usize, _offset: usize) -> Option<Sample> {
    let stream = cause.map_or(0, |f| {
        1 + Fault::all().position(|g| g == f).unwrap_or(0) as u64
    });
    let mut random = Random::new(SEED ^ (stream << 32), round as u64);
    let severity = match cause {
        Some(_) => LEAST_SEVERITY + (1.0 - LEAST_SEVERITY) * between_rounds(round),
        None => 0.0,
    };
    let unknowns = draw_unknowns(cause, &mut random);
    let faults: Vec<(Fault, f64)> = cause.map(|f| (f, severity)).into_iter().collect();
    let values = sample_visit(base, &faults, &unknowns, World::NOMINAL, &mut random).ok()?;
    Some(Sample {
        fault: cause,
        second: None,
        severity,
        unknowns,
        values,
    })
}

/// First bytes of a stored library; the figure is the version of the layout.
const MAGIC: &[u8; 8] = b"2stgdx01";
/// Steps of a stored unknown per standard deviation.
const Z_STEPS: f64 = 50.0;

/// Step in which a number is stored, on its scaled axis: a tenth of what an instrument shows.
fn step(kind: Kind) -> f64 {
    match kind {
        Kind::Low => 0.01 * PA_PER_INWC,
        Kind::Change => 0.002 * PA_PER_INWC,
        Kind::Middle => 0.01 * PA_PER_PSI,
        Kind::High => 0.1 * PA_PER_PSI,
        Kind::Air => 0.02,
        Kind::Fill => 0.001,
        Kind::Words(_) => 1.0,
    }
}

fn write_values(values: &Values, out: &mut Vec<u8>) {
    for (item, value) in ALL.iter().zip(values) {
        if let Kind::Words(_) = item.kind {
            out.push(value.map_or(255, |v| v as u8));
            continue;
        }
        let stored = value.map_or(i16::MIN, |v| {
            let steps = item.scaled(v) / step(item.kind);
            steps.round().clamp(-32_767.0, 32_767.0) as i16
        });
        out.extend(stored.to_le_bytes());
    }
}

fn read_values(r: &mut Reader<'_>) -> Option<Values> {
    let mut values = [None; ITEMS];
    for (item, value) in ALL.iter().zip(&mut values) {
        if let Kind::Words(words) = item.kind {
            let index = usize::from(r.u8()?);
            if index != 255 {
                if index >= words.len() {
                    return None;
                }
                *value = Some(index as f64);
            }
            continue;
        }
        let stored = i16::from_le_bytes(r.take(2)?.try_into().ok()?);
        if stored != i16::MIN {
            *value = Some(item.unscaled(f64::from(stored) * step(item.kind)));
        }
    }
    Some(values)
}

struct Reader<'a>(&'a [u8]);

impl<'a> Reader<'a> {
    fn take(&mut self, n: usize) -> Option<&'a [u8]> {
        let (head, tail) = self.0.split_at_checked(n)?;
        self.0 = tail;
        Some(head)
    }

    fn u8(&mut self) -> Option<u8> {
        Some(self.take(1)?[0])
    }

    fn u32(&mut self) -> Option<u32> {
        Some(u32::from_le_bytes(self.take(4)?.try_into().ok()?))
    }

    fn u64(&mut self) -> Option<u64> {
        Some(u64::from_le_bytes(self.take(8)?.try_into().ok()?))
    }
}
