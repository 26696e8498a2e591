//! A closer look at a cause: how near to the readings it can be brought. The library's kernels are wide, since each has
//! to stand for all severities and unknowns about it; so a cause keeps its belief though no rig with it would read like
//! this. Here the rig with the cause is simulated again and again, its severities and all unknowns moved to where the
//! readings are met best: steps of Gauss and Newton, damped (Levenberg), the slopes those of the cause's fit and mended by
//! every visit that is made (Broyden). What is left over then is the instruments' and nothing else's.
//!
//! Not here: what follows of it for probabilities (`doubt`).

use super::evidence::Evidence;
use super::fit::{Fit, scaled};
use super::fragile;
use super::library::Library;
use super::model::Model;
use super::sample::ordered_visit;
use super::unknowns::{UNKNOWNS, Unknowns};
use super::words;
use crate::fault::Fault;
use crate::visit::{ALL, ITEMS, LeakCheck, NUMBERS, Test, Values};
use nalgebra::{DMatrix, DVector};
use std::sync::atomic::{AtomicBool, Ordering};

/// Steps from one start.
const STEPS: usize = 10;
/// An unknown is not moved further from its middle than this many deviations.
const FURTHEST: f64 = 3.0;
/// A severity is not moved by more than this in a step.
const STRIDE: f64 = 0.2;
/// Severities are this small at least.
const LEAST_SEVERITY: f64 = 0.0005;
/// What is left over of a true cause is mostly under this many squared deviations a reading (published: chi squared of
/// thirty; 95 % stay under it).
pub(super) const NEAR: f64 = 1.46;
/// Two searches came out alike within this share.
const ALIKE: f64 = 0.06;
/// A step that gains less ends the search.
const LEAST_GAIN: f64 = 0.3;

/// A rig with faults in it, and what a visit to it reads.
#[derive(Debug, Clone)]
pub(super) struct Stand {
    /// Its faults and their severities.
    pub(super) faults: Vec<(Fault, f64)>,
    /// Its unknowns.
    pub(super) unknowns: Unknowns,
    /// What a visit reads.
    pub(super) values: Values,
}

/// How near a cause came.
#[derive(Debug, Clone)]
pub(super) struct Closest {
    /// Squared deviations of all readings, words and unknowns together: what is left over.
    pub(super) distance: f64,
    /// Whether it can be relied on that nowhere is nearer: it is near, or two searches from different stands came out alike.
    pub(super) is_sure: bool,
    /// Where that is.
    pub(super) stand: Stand,
}

/// What a closer look needs.
pub(super) struct Lens<'a> {
    pub(super) library: &'a Library,
    pub(super) model: &'a Model,
    pub(super) evidence: &'a Evidence,
    pub(super) cancel: &'a AtomicBool,
}

impl Lens<'_> {
    /// Looks from several stands of one cause, the best first, until one comes as near as a true cause mostly does, or two
    /// came out alike. Where the readings bend sharply (a valve that trips, a burner that goes out) a search may stick
    /// anywhere, each somewhere else.
    pub(super) fn look(&self, stands: impl Iterator<Item = Stand>) -> Option<Closest> {
        let mut best: Option<Closest> = None;
        for stand in stands {
            let search = Search::new(self, &stand);
            let enough = search.rows.len() as f64;
            let mut found = search.run(stand, enough);
            found.is_sure = found.distance < NEAR * enough;
            best = Some(match best {
                None => found,
                Some(other) => other.or(found),
            });
            let is_sure = best.as_ref().is_some_and(|b| b.is_sure);
            if is_sure || self.cancel.load(Ordering::Relaxed) {
                break;
            }
        }
        best
    }
}

impl Closest {
    /// The nearer of two searches for one cause.
    fn or(self, other: Self) -> Self {
        let is_alike =
            (self.distance - other.distance).abs() < ALIKE * self.distance.min(other.distance);
        let is_sure = is_alike || self.is_sure || other.is_sure;
        let best = if other.distance < self.distance {
            other
        } else {
            self
        };
        Self { is_sure, ..best }
    }
}

/// One reading: its item, value, deviation, and whether only values under it are off.
struct Line {
    item: usize,
    value: f64,
    deviation: f64,
    is_end: bool,
}

/// The search from one stand.
struct Search<'a> {
    lens: &'a Lens<'a>,
    rows: Vec<Line>,
    words: Vec<(usize, usize)>,
    tests: Vec<Test>,
    slopes: DMatrix<f64>,
    order: Option<LeakCheck>,
}

impl<'a> Search<'a> {
    fn new(lens: &'a Lens<'a>, stand: &Stand) -> Self {
        let mut doubtful = [false; ITEMS];
        for (fault, _) in &stand.faults {
            let of = fragile::of(Some(*fault));
            (0..ITEMS).for_each(|i| doubtful[i] |= of[i]);
        }
        let evidence = lens.evidence;
        let line = |is_end| {
            move |&(item, value, variance): &(usize, f64, f64)| Line {
                item,
                value,
                deviation: variance.sqrt(),
                is_end,
            }
        };
        let inside = evidence.numbers.iter().map(line(false));
        let lines = inside.chain(evidence.over.iter().map(line(true)));
        let rows: Vec<Line> = lines.filter(|l| !doubtful[l.item]).collect();
        let words: Vec<(usize, usize)> = evidence.words.clone();
        let items = rows.iter().map(|l| l.item).chain(words.iter().map(|w| w.0));
        let tests = items.map(|i| ALL[i].test).collect();
        let slopes = slopes(lens.model, &rows, stand);
        let words = words.into_iter().filter(|w| !doubtful[w.0]).collect();
        Self {
            lens,
            rows,
            words,
            tests,
            slopes,
            order: None,
        }
    }

    fn run(mut self, from: Stand, enough: f64) -> Closest {
        let mut best = Closest {
            distance: self.distance(&from),
            is_sure: false,
            stand: from,
        };
        let mut damping = 0.03;
        for _ in 0..STEPS {
            if self.lens.cancel.load(Ordering::Relaxed) {
                break;
            }
            let Some(next) = self.step(&best.stand, damping) else {
                break;
            };
            let Some(found) = self.visit(&next) else {
                damping = f64::max(damping * 8.0, 0.8);
                continue;
            };
            self.learn(&best.stand, &found.stand);
            let gain = best.distance - found.distance;
            if gain > 0.0 {
                best = found;
                damping *= 0.3;
                if best.distance < enough || (gain < LEAST_GAIN && damping < 0.1) {
                    break;
                }
            } else {
                damping = f64::max(damping * 6.0, 0.3);
            }
        }
        best
    }

    /// Where the readings would be met best, were everything straight.
    fn step(&self, at: &Stand, damping: f64) -> Option<Stand> {
        let off = self.off(at);
        let mut normal = self.slopes.transpose() * &self.slopes;
        let mut wanted = self.slopes.transpose() * off;
        for k in 0..wanted.len() {
            if k < UNKNOWNS {
                normal[(k, k)] += 1.0 + damping;
                wanted[k] -= at.unknowns.0[k];
            } else {
                normal[(k, k)] += damping * (normal[(k, k)] + STRIDE.powi(-2)) + 1e-6;
            }
        }
        let step = normal.cholesky()?.solve(&wanted);
        let mut next = at.clone();
        for (z, s) in next.unknowns.0.iter_mut().zip(step.iter()) {
            *z = (*z + s).clamp(-FURTHEST, FURTHEST);
        }
        for ((_, severity), s) in next.faults.iter_mut().zip(step.iter().skip(UNKNOWNS)) {
            *severity = (*severity + s.clamp(-STRIDE, STRIDE)).clamp(LEAST_SEVERITY, 1.0);
        }
        Some(next)
    }

    /// Makes the visit there. Whether the leak check came first or last nobody has noted: the first time both are tried.
    fn visit(&mut self, at: &Stand) -> Option<Closest> {
        let orders = match self.order {
            Some(order) => vec![order],
            None => vec![LeakCheck::First, LeakCheck::Last],
        };
        let Lens { library, .. } = self.lens;
        let world = library.allowance.world;
        let wants = |test: Test| self.tests.contains(&test);
        let of = |order: LeakCheck| {
            let base = &library.base;
            let values =
                ordered_visit(base, &at.faults, &at.unknowns, world, order, &wants).ok()?;
            let stand = Stand {
                values,
                ..at.clone()
            };
            let distance = self.distance(&stand);
            let found = Closest {
                distance,
                is_sure: false,
                stand,
            };
            distance.is_finite().then_some((order, found))
        };
        let made = orders.into_iter().filter_map(of);
        let (order, best) = made.min_by(|a, b| a.1.distance.total_cmp(&b.1.distance))?;
        self.order = Some(order);
        Some(best)
    }

    /// Mends the slopes by what a step did.
    fn learn(&mut self, from: &Stand, to: &Stand) {
        let moved = self.off(from) - self.off(to);
        let by = place(to) - place(from);
        // A severity counts by its stride, as an unknown by its deviation.
        let weighed = DVector::from_fn(by.len(), |k, _| {
            by[k] * if k < UNKNOWNS { 1.0 } else { STRIDE.powi(-2) }
        });
        let square = by.dot(&weighed);
        if square > 1e-9 {
            let missed = moved - &self.slopes * by;
            self.slopes += missed * weighed.transpose() / square;
        }
    }

    /// By how many deviations each reading is off.
    fn off(&self, at: &Stand) -> DVector<f64> {
        let numbers = scaled(&at.values);
        let off = self.rows.iter().map(|l| {
            let gap = (l.value - numbers[l.item]) / l.deviation;
            if l.is_end { gap.max(0.0) } else { gap }
        });
        DVector::from_iterator(self.rows.len(), off)
    }

    fn distance(&self, at: &Stand) -> f64 {
        let surprise = |&(item, seen): &(usize, usize)| {
            let truly = at.values[item].unwrap_or(0.0) as usize;
            let chance = |word| words::chance(item, word, truly).max(1e-6);
            2.0 * (chance(truly) / chance(seen)).ln()
        };
        let unknowns: f64 = at.unknowns.0.iter().map(|z| z * z).sum();
        self.off(at).norm_squared() + self.words.iter().map(surprise).sum::<f64>() + unknowns
    }
}

/// Unknowns and severities in one.
fn place(at: &Stand) -> DVector<f64> {
    let severities = at.faults.iter().map(|f| f.1);
    let all = at.unknowns.0.iter().copied().chain(severities);
    DVector::from_iterator(UNKNOWNS + at.faults.len(), all)
}

/// How each reading goes with the unknowns and the severities, in deviations: by the fits of the causes, laid over each
/// other where there are two.
fn slopes(model: &Model, rows: &[Line], stand: &Stand) -> DMatrix<f64> {
    let healthy = model.fit(None).map(|f| f.jacobian(0.0));
    let none = || DMatrix::zeros(NUMBERS, UNKNOWNS);
    let healthy = healthy.unwrap_or_else(none);
    let fits: Vec<(Option<&Fit>, f64)> = stand
        .faults
        .iter()
        .map(|(f, s)| (model.fit(Some(*f)), *s))
        .collect();
    let mut unknowns = healthy.clone();
    for (fit, severity) in &fits {
        if let Some(fit) = fit {
            unknowns += fit.jacobian(*severity) - &healthy;
        }
    }
    let along: Vec<_> = fits
        .iter()
        .map(|(fit, severity)| fit.map(|f| f.slope(*severity)))
        .collect();
    DMatrix::from_fn(rows.len(), UNKNOWNS + along.len(), |r, k| {
        let line = &rows[r];
        let one = match k.checked_sub(UNKNOWNS) {
            None => unknowns[(line.item, k)],
            Some(f) => along[f].map_or(0.0, |row| row[line.item]),
        };
        one / line.deviation
    })
}
