//! Likelihood: how probable a set of readings is under each cause, from the library.
//!
//! Every sample of the library is a kernel. On the scaled axes of [`crate::visit::item`], with the fit
//! y = f(s) + J(s) z + r of its cause ([`super::fit`]), it stands at `m = f + a J z + b r` and has the
//! covariance `C = h² J J' + (1 - b²) Q + g G + R + F`, a² + h² = 1: most of the effect of the
//! unknowns z is a direction of the kernel, the rest scatter of the samples. Q is the covariance
//! of r and G half that of the steps between neighbours in severity, both by stretches of
//! severity; R is the instruments' noise at the values read, F a floor for what the cheap runs
//! leave out. The tails are Student's, not normal, because a real rig is never quite the model.
//! Words have error rates ([`crate::diagnosis::library::words`]). Items that were not measured are left out, which for
//! a kernel of this kind is exact.

use super::fit::{Fit, Point, Row, scaled, squares, usual_uncertainty};
use super::tuning::Tuning;
use crate::diagnosis::library::collection::{HEALTHY_SHARE, Library, Sample};
use crate::diagnosis::library::fragile;
use crate::diagnosis::library::makes;
use crate::diagnosis::library::parallel::in_parallel;
use crate::diagnosis::library::unknowns::{AIR, UNKNOWNS, Unknowns};
use crate::diagnosis::library::words::{self, MOST_WORDS};
use crate::fault::Fault;
use crate::visit::{ALL, ITEMS, NUMBERS, Values};
use nalgebra::DMatrix;
use std::collections::HashMap;

/// Share of a doubtful word that is as on a healthy rig.
pub(in crate::diagnosis) const DOUBT: f64 = 0.5;
/// A fault that shows in less than this share of its severities hides.
pub const HIDES: f64 = 0.1;
/// A word is rare that fewer healthy rigs give.
const RARE: f64 = 0.04;

/// One sample as a kernel.
#[derive(Debug, Clone)]
pub struct Kernel {
    /// Index of its cause.
    pub cause: usize,
    /// Index of its stretch.
    pub stretch: usize,
    /// Index of its sample in the library.
    pub sample: usize,
    /// Its severity.
    pub severity: f64,
    /// Centre on the scaled axes.
    pub centre: Row,
    /// Words predicted.
    pub words: Words,
}

/// Words of a sample, as indices.
pub type Words = [u8; ITEMS - NUMBERS];

/// What the kernels of a cause over a stretch of severity share.
#[derive(Debug, Clone)]
pub struct Stretch {
    /// Covariance of a kernel without instruments' noise.
    pub spread: DMatrix<f64>,
    /// What of it is there because readings hang on the make of the regulator.
    pub(in crate::diagnosis) of_make: OfMake,
    /// ... and how a right regulator of another make reads, of a healthy rig.
    pub(in crate::diagnosis) makes: Vec<Row>,
    /// How often each word comes.
    pub(in crate::diagnosis) shares: Vec<[f64; MOST_WORDS]>,
    /// Share of a kernel's words that is the stretch's and not its sample's.
    pub(in crate::diagnosis) blur: f64,
    /// Items that hang on the make: what the samples show there is only half believed.
    pub(in crate::diagnosis) doubtful: [bool; ITEMS],
}

/// What readings scatter by because they hang on the make of the regulator: of each fault the way from the healthy rig to
/// what was simulated, of which there may be none or all, or as much the other way. Readings of one table are of one
/// state of the rig and go that way together: no make loses in the line what its outlet still has.
#[derive(Debug, Clone, Default, PartialEq)]
pub(in crate::diagnosis) struct OfMake(pub(in crate::diagnosis) Vec<Row>);

impl OfMake {
    /// A covariance.
    pub(in crate::diagnosis) fn of(&self, i: usize, j: usize) -> f64 {
        let both = |way: &Row| way[i] * way[j];
        if self.0.is_empty() || ALL[i].table != ALL[j].table {
            return 0.0;
        }
        self.0.iter().map(both).sum()
    }
}

/// The likelihood made from a library.
#[derive(Debug, Clone)]
pub struct Model {
    /// Causes; the first is healthy.
    pub causes: Vec<Option<Fault>>,
    /// The second fault of each cause that is a pair.
    pub seconds: Vec<Option<Fault>>,
    /// Kernels, cause by cause and stretch by stretch.
    pub kernels: Vec<Kernel>,
    /// Stretches; the last is of no cause and wide.
    pub stretches: Vec<Stretch>,
    /// How many kernels each cause has.
    pub counts: Vec<usize>,
    /// Share of each cause's samples that show anything.
    pub shown: Vec<f64>,
    healthy: Fit,
    /// Fit of each cause; none for what shows nowhere, and for pairs.
    fits: Vec<Option<Fit>>,
    /// Deviation of each number among healthy rigs at one air temperature.
    usual: Row,
    /// Tunables.
    pub tuning: Tuning,
}

impl Stretch {
    /// What of the covariance is there because a rig may be of any make.
    pub(in crate::diagnosis) fn of_any(&self, i: usize, j: usize) -> f64 {
        self.of_make.of(i, j) + self.makes.iter().map(|way| way[i] * way[j]).sum::<f64>()
    }

    fn of_both([a, b]: [&Self; 2]) -> Self {
        let mean = |(x, y): (&[f64; MOST_WORDS], &[f64; MOST_WORDS])| {
            std::array::from_fn(|w| 0.5 * (x[w] + y[w]))
        };
        Self {
            spread: &a.spread + &b.spread,
            of_make: OfMake([&a.of_make.0[..], &b.of_make.0].concat()),
            makes: [&a.makes[..], &b.makes].concat(),
            shares: a.shares.iter().zip(&b.shares).map(mean).collect(),
            blur: a.blur.max(b.blur),
            doubtful: std::array::from_fn(|i| a.doubtful[i] || b.doubtful[i]),
        }
    }
}

/// A sample with its numbers on their scaled axes.
#[derive(Clone, Copy)]
struct Scaled {
    index: usize,
    point: Point,
    words: Words,
}

impl Scaled {
    fn new(index: usize, s: &Sample) -> Self {
        Self {
            index,
            point: Point {
                severity: s.severity,
                unknowns: s.unknowns,
                numbers: s.coded.scaled(&s.unknowns),
            },
            words: s.coded.truths(&s.unknowns),
        }
    }
}

/// What one cause brings; stretches are counted within it.
struct Part {
    stretches: Vec<Stretch>,
    kernels: Vec<Kernel>,
}

fn words_of(values: &Values) -> Words {
    std::array::from_fn(|k| words::truly(NUMBERS + k, values) as u8)
}

/// Deviation of each number among healthy rigs at one air temperature: all other unknowns, and
/// what the fit leaves over.
fn usual(fit: &Fit) -> Row {
    let j = fit.jacobian(0.0);
    let n = fit.seen.len().max(1) as f64;
    std::array::from_fn(|i| {
        let parts: f64 = (0..UNKNOWNS)
            .filter(|c| *c != AIR)
            .map(|c| j[(i, c)].powi(2))
            .sum();
        let left: f64 = fit.seen.iter().map(|s| s.left_over[i].powi(2)).sum();
        (parts + left / n).sqrt()
    })
}

impl Model {
    /// Makes the likelihood. `None` while the library has not one healthy sample.
    pub fn new(library: &Library, tuning: Tuning) -> Option<Self> {
        let causes = library.causes();
        // Every number is put on its scaled axis once, over threads; then cause by cause.
        let mut samples: Vec<Vec<usize>> = vec![Vec::new(); causes.len()];
        let place: HashMap<Option<Fault>, usize> =
            causes.iter().enumerate().map(|(c, f)| (*f, c)).collect();
        for (index, s) in library.samples.iter().enumerate() {
            if let Some(&c) = place.get(&s.fault) {
                samples[c].push(index);
            }
        }
        let of: Vec<Vec<Scaled>> = in_parallel(causes.len(), |c| {
            let scaled = samples[c].iter();
            scaled
                .map(|&index| Scaled::new(index, &library.samples[index]))
                .collect()
        });
        if of[0].len() < HEALTHY_SHARE {
            return None;
        }
        let fit = Fit::new(&points(&of[0]), None);
        let mut model = Self {
            usual: usual(&fit),
            healthy: fit,
            kernels: Vec::new(),
            stretches: Vec::new(),
            counts: vec![0; causes.len()],
            shown: vec![1.0; causes.len()],
            seconds: vec![None; causes.len()],
            fits: vec![None; causes.len()],
            causes,
            tuning,
        };
        let part = model.part(0, &of[0], &model.healthy);
        model.add(0, of[0].len(), part);
        model.healthy = model.healthy.lightened();
        let parts = in_parallel(model.causes.len() - 1, |k| {
            let samples = &of[k + 1];
            let mut shown: Vec<&Scaled> = samples.iter().filter(|s| model.shows(s)).collect();
            let share = shown.len() as f64 / samples.len().max(1) as f64;
            // What hardly ever shows is no cause: its few samples that seem to show are odd
            // healthy ones, and would call healthy rigs faulty.
            let part = (share >= HIDES).then(|| {
                shown.sort_by(|a, b| a.point.severity.total_cmp(&b.point.severity));
                let shown: Vec<Scaled> = shown.into_iter().copied().collect();
                let healthy = Some((&model.healthy, tuning.borrowed));
                let fit = Fit::new(&points(&shown), healthy);
                let part = model.part(k + 1, &shown, &fit);
                (shown.len(), part, fit.lightened())
            });
            (share, part)
        });
        for (k, (share, part)) in parts.into_iter().enumerate() {
            model.shown[k + 1] = share;
            if let Some((count, part, fit)) = part {
                model.add(k + 1, count, part);
                model.fits[k + 1] = Some(fit);
            }
        }
        model.add_wide();
        Some(model)
    }

    /// Which items of a visit stand out: a number that is off the healthy rigs at this air
    /// temperature by over three deviations, theirs and the instrument's together, or a word that
    /// healthy rigs hardly ever give. What does not stand out is no complaint.
    pub fn stands_out(&self, values: &Values, unknowns: &Unknowns) -> [bool; ITEMS] {
        self.out_of(&scaled(values), &words_of(values), unknowns)
    }

    fn out_of(&self, y: &Row, words: &Words, unknowns: &Unknowns) -> [bool; ITEMS] {
        let mut air = Unknowns([0.0; UNKNOWNS]);
        air.0[AIR] = unknowns.0[AIR];
        let expected = self.healthy.mean(0.0, &air);
        std::array::from_fn(|i| {
            if i >= NUMBERS {
                let k = i - NUMBERS;
                return self.stretches[0].shares[k][usize::from(words[k])] < RARE;
            }
            let off = (y[i] - expected[i]).abs();
            // Most stand within the rigs' own spread, and the instrument's need not be asked.
            off > 3.0 * self.usual[i] && off > 3.0 * uncertain(i, expected[i]).hypot(self.usual[i])
        })
    }

    /// What the air does to each number of a healthy rig from one temperature to another, on the scaled axes.
    pub(in crate::diagnosis) fn air_effect(&self, from_k: f64, to_k: f64) -> Row {
        let at = |air_k| {
            let mut z = Unknowns([0.0; UNKNOWNS]);
            z.0[AIR] = Unknowns::of_air(air_k);
            self.healthy.mean(0.0, &z)
        };
        let (from, to) = (at(from_k), at(to_k));
        std::array::from_fn(|i| to[i] - from[i])
    }

    /// Whether a sample stands out, and that by its fault and not by its unknowns alone.
    fn shows(&self, sample: &Scaled) -> bool {
        let point = &sample.point;
        let out = self.out_of(&point.numbers, &sample.words, &point.unknowns);
        if out[NUMBERS..].contains(&true) {
            return true;
        }
        if !out.contains(&true) {
            return false;
        }
        let own = self.healthy.mean(0.0, &point.unknowns);
        (0..NUMBERS)
            .any(|i| out[i] && (point.numbers[i] - own[i]).abs() > 3.0 * uncertain(i, own[i]))
    }

    /// Takes in what [`Self::part`] made of a cause.
    fn add(&mut self, cause: usize, count: usize, part: Part) {
        let before = self.stretches.len();
        self.stretches.extend(part.stretches);
        self.kernels
            .extend(part.kernels.into_iter().map(|k| Kernel {
                stretch: before + k.stretch,
                ..k
            }));
        self.counts[cause] = count;
    }

    /// Kernels and stretches of a cause; its samples in order of severity.
    fn part(&self, cause: usize, samples: &[Scaled], fit: &Fit) -> Part {
        let mut out = Part {
            stretches: Vec::new(),
            kernels: Vec::with_capacity(samples.len()),
        };
        let t = self.tuning;
        let n = samples.len();
        let toward = (1.0 - t.own.powi(2)).sqrt();
        // A fit through few samples leaves nothing over because it had to go through them.
        let free = (1.0 - t.kept.powi(2)) * n as f64 / (n as f64 + 20.0);
        let kept = (1.0 - free).sqrt();
        // What a right regulator of another make reads is no fault of it.
        let makes = if t.any_make && cause == 0 {
            makes::ways().to_vec()
        } else {
            Vec::new()
        };
        let points = points(samples);
        let away: Vec<Row> = points
            .iter()
            .enumerate()
            .map(|(s, p)| {
                let e = fit.toward(s, &p.unknowns, 1.0);
                std::array::from_fn(|i| p.numbers[i] - e[i])
            })
            .collect();
        let doubtful = fragile::of(self.causes[cause]);
        let all: Vec<usize> = (0..n).collect();
        let whole = fit.left_over(&all);
        // By Laplace's rule of succession: the chance that the next rig with this cause is like none seen so far. And how
        // far it may then be: where few severities were run the readings lie anywhere about the way from a healthy rig to
        // the worst of them.
        let is_open = t.is_open && cause > 0;
        let unseen = if is_open { 1.0 / (n + 1) as f64 } else { 0.0 };
        let mut beyond = DMatrix::zeros(NUMBERS, NUMBERS);
        if let (true, Some(worst)) = (is_open, away.last()) {
            let healthy = self.healthy.level(0.0);
            let way = std::array::from_fn(|i| worst[i] - healthy[i]);
            beyond = squares(std::iter::once(way)) / (3.0 * (n * n) as f64);
        }
        let mut from = 0;
        let ends = fit.stretches();
        for (k, (low, high)) in ends.iter().enumerate() {
            let last = k + 1 == ends.len();
            let to = (from..n)
                .find(|&s| !last && points[s].severity > *high)
                .unwrap_or(n);
            if to == from {
                continue;
            }
            let of: Vec<usize> = (from..to).collect();
            let share = of.len() as f64 / (of.len() as f64 + 12.0);
            let mut left = fit.left_over(&of) * share + &whole * (1.0 - share);
            soften(&mut left);
            let j = fit.jacobian(0.5 * (low + high));
            let mut spread = &j * j.transpose() * t.own.powi(2) + left * free;
            if cause > 0 {
                spread += steps(&away, from.saturating_sub(1), to.min(n - 1)) * t.gap + &beyond;
            }
            for i in 0..NUMBERS {
                spread[(i, i)] += (t.floor * usual_uncertainty(i)).powi(2) * 0.1;
            }
            let healthy = self.healthy.level(0.0);
            let way: Row = std::array::from_fn(|i| {
                if !doubtful[i] {
                    return 0.0;
                }
                let n = of.len() as f64;
                let moved = of.iter().map(|&s| points[s].numbers[i]).sum::<f64>() / n;
                moved - healthy[i]
            });
            let of_make = OfMake(
                way.iter()
                    .any(|d| *d != 0.0)
                    .then_some(way)
                    .into_iter()
                    .collect(),
            );
            spread += DMatrix::from_fn(NUMBERS, NUMBERS, |i, j| of_make.of(i, j));
            if !makes.is_empty() {
                spread += squares(makes.iter().copied());
            }
            let mut shares = shares(of.iter().map(|&s| samples[s].words));
            if is_open {
                self.blend(&mut shares, unseen);
            }
            out.stretches.push(Stretch {
                spread,
                of_make,
                makes: makes.clone(),
                shares,
                blur: t.blur.max(unseen),
                doubtful,
            });
            for s in of {
                let sample = &samples[s];
                let e = fit.toward(s, &points[s].unknowns, 1.0 - toward);
                let r = &fit.seen[s].left_over;
                out.kernels.push(Kernel {
                    cause,
                    stretch: out.stretches.len() - 1,
                    sample: sample.index,
                    severity: sample.point.severity,
                    centre: std::array::from_fn(|i| {
                        points[s].numbers[i] - e[i] - (1.0 - kept) * r[i]
                    }),
                    words: sample.words,
                });
            }
            from = to;
        }
        out
    }

    /// Shares of words with the healthy rig's among them.
    fn blend(&self, shares: &mut [[f64; MOST_WORDS]], of_healthy: f64) {
        for (own, healthy) in shares.iter_mut().zip(&self.stretches[0].shares) {
            for (o, h) in own.iter_mut().zip(healthy) {
                *o += of_healthy * (h - *o);
            }
        }
    }

    /// The fit of a single cause.
    pub(in crate::diagnosis) fn fit(&self, cause: Option<Fault>) -> Option<&Fit> {
        if cause.is_none() {
            return Some(&self.healthy);
        }
        let at = self.causes.iter().position(|c| *c == cause)?;
        self.fits.get(at)?.as_ref()
    }

    /// How readings of a cause scatter by the make of the regulator, about a severity.
    pub(in crate::diagnosis) fn of_make(&self, fault: Fault, severity: f64) -> OfMake {
        let own = self
            .kernels
            .iter()
            .filter(|k| self.causes[k.cause] == Some(fault));
        let aside = |k: &&Kernel| (k.severity - severity).abs();
        own.min_by(|a, b| aside(a).total_cmp(&aside(b)))
            .map_or_else(OfMake::default, |k| {
                self.stretches[k.stretch].of_make.clone()
            })
    }

    /// The faults of a cause: none, one or two.
    pub fn faults(&self, cause: usize) -> impl Iterator<Item = Fault> + Clone + use<> {
        self.causes[cause].into_iter().chain(self.seconds[cause])
    }

    /// With every pair of some causes as a cause of its own, its kernels laid over each other. As uncertain as both
    /// together: that what they show adds up is an approximation.
    #[must_use]
    pub fn with_pairs(&self, of: &[usize]) -> Self {
        let mut out = self.clone();
        let usual = self.usual_words();
        for (k, &a) in of.iter().enumerate() {
            for &b in &of[k + 1..] {
                out.add_pair(self, [a, b], &usual);
            }
        }
        out
    }

    fn add_pair(&mut self, single: &Self, [a, b]: [usize; 2], usual: &Words) {
        let runs = |c: usize| {
            let of = single.kernels.chunk_by(|x, y| x.stretch == y.stretch);
            of.filter(move |run| run[0].cause == c)
        };
        let cause = self.causes.len();
        self.causes.push(single.causes[a]);
        self.seconds.push(single.causes[b]);
        self.shown.push(single.shown[a].min(single.shown[b]));
        self.counts.push(single.counts[a] * single.counts[b]);
        for x in runs(a) {
            for y in runs(b) {
                let stretch = self.stretches.len();
                let both = [x, y].map(|run| &single.stretches[run[0].stretch]);
                self.stretches.push(Stretch::of_both(both));
                for (p, q) in x.iter().flat_map(|p| y.iter().map(move |q| (p, q))) {
                    let laid = single.superposed(p, q, usual);
                    self.kernels.push(Kernel {
                        cause,
                        stretch,
                        ..laid
                    });
                }
            }
        }
    }

    /// The wide stretch, for kernels laid over each other: the healthy one's spread and half again as much.
    fn add_wide(&mut self) {
        let first = &self.stretches[0];
        let wide = Stretch {
            spread: (&first.spread - squares(first.makes.iter().copied())) * 1.5,
            of_make: OfMake::default(),
            makes: Vec::new(),
            shares: first.shares.clone(),
            blur: first.blur,
            doubtful: [false; ITEMS],
        };
        self.stretches.push(wide);
    }

    /// Two kernels laid over each other: what both change adds up on the scaled axes, and a word
    /// that either changes is changed. A first guess at a pair of faults, for choosing which pairs
    /// to simulate.
    pub(in crate::diagnosis) fn superposed(&self, a: &Kernel, b: &Kernel, usual: &Words) -> Kernel {
        let healthy = self.healthy.level(0.0);
        Kernel {
            stretch: self.stretches.len() - 1,
            centre: std::array::from_fn(|i| a.centre[i] + b.centre[i] - healthy[i]),
            words: std::array::from_fn(|k| {
                if b.words[k] == usual[k] {
                    a.words[k]
                } else {
                    b.words[k]
                }
            }),
            ..a.clone()
        }
    }

    /// The commonest words of a healthy rig.
    pub(in crate::diagnosis) fn usual_words(&self) -> Words {
        std::array::from_fn(|k| {
            let shares = &self.stretches[0].shares[k];
            (0..MOST_WORDS)
                .max_by(|&a, &b| shares[a].total_cmp(&shares[b]))
                .unwrap_or(0) as u8
        })
    }
}

/// An instrument's uncertainty at a value, both scaled.
fn uncertain(i: usize, scaled: f64) -> f64 {
    usual_uncertainty(i) * ALL[i].slope(ALL[i].unscaled(scaled))
}

fn points(samples: &[Scaled]) -> Vec<Point> {
    samples.iter().map(|s| s.point).collect()
}

/// Half of every covariance is noise of few samples: only half of it counts.
fn soften(m: &mut DMatrix<f64>) {
    for i in 0..NUMBERS {
        for j in 0..NUMBERS {
            if i != j {
                m[(i, j)] *= 0.5;
            }
        }
    }
}

/// Half the mean product of the steps between neighbours, the unknowns' effect taken out.
fn steps(away: &[Row], from: usize, to: usize) -> DMatrix<f64> {
    let pairs = away[from..=to].windows(2);
    let mut sum = squares(pairs.map(|pair| std::array::from_fn(|i| pair[1][i] - pair[0][i])));
    soften(&mut sum);
    sum * 0.5 / (to - from).max(1) as f64
}

/// How often each word comes.
fn shares(words: impl Iterator<Item = Words>) -> Vec<[f64; MOST_WORDS]> {
    let mut out = vec![[0.0; MOST_WORDS]; ITEMS - NUMBERS];
    let mut n = 0.0;
    for w in words {
        n += 1.0;
        for (k, w) in w.iter().enumerate() {
            out[k][usize::from(*w).min(MOST_WORDS - 1)] += 1.0;
        }
    }
    for row in &mut out {
        row.iter_mut().for_each(|v| *v /= f64::max(n, 1.0));
    }
    out
}
