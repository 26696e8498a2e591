//! A closer look at a cause: how near to the readings it can be brought. The library's kernels are wide, since each has
//! to stand for all severities and unknowns about it; so a cause keeps its belief though no rig with it would read like
//! this. Here the rig with the cause is simulated again and again, its severities and all unknowns moved to where the
//! readings are met best: steps of Gauss and Newton, damped (Levenberg), the slopes those of the cause's fit and mended by
//! every visit that is made (Broyden). What is left over then is the instruments' and nothing else's.
//!
//! How likely the readings are with that cause at all, and not only where it stands best, is Laplace's approximation
//! about that place (published): a cause that reads so only within a narrow range of severities is the less likely.
//!
//! Not here: what follows of it for probabilities (`doubt`).

use crate::diagnosis::inference::evidence::Evidence;
use crate::diagnosis::inference::fit::{Fit, scaled};
use crate::diagnosis::inference::model::{Model, OfMake};
use crate::diagnosis::library::collection::Library;
use crate::diagnosis::library::fragile;
use crate::diagnosis::library::sample::{Met, ordered_visit};
use crate::diagnosis::library::unknowns::{Drawn, UNKNOWNS, Unknowns};
use crate::diagnosis::library::words;
use crate::diagnosis::lock_up;
use crate::fault::Fault;
use crate::visit::{ALL, ITEMS, Id, LeakCheck, NUMBERS, Test, Values};
use nalgebra::{Cholesky, DMatrix, DVector};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

/// Steps from one start, and at the end of it where no more readings than so many are far off.
const STEPS: usize = 10;
const LAST_STEPS: usize = 4;
const FEW_ODD: usize = 3;
/// Unknowns of the table and the draw before the visit: what a search moves besides severities.
const MOVED: usize = UNKNOWNS + 1;
/// Least draw that a search goes to: less is none, and a cause that stands so is searched for without.
const LEAST_DRAWN: f64 = 0.1;
/// An unknown is not moved further from its middle than this many deviations.
const FURTHEST: f64 = 3.0;
/// A severity is not moved by more than this in a step.
const STRIDE: f64 = 0.2;
/// Severities are this small at least.
const LEAST_SEVERITY: f64 = 0.0005;
/// A search that is not near and ends under this severity has given its cause up (own).
const NOTHING: f64 = 0.01;
/// What is left over of a true cause is mostly under this many squared deviations a reading (published: chi squared of
/// thirty; 95 % stay under it).
pub(in crate::diagnosis) const NEAR: f64 = 1.46;
/// One reading leaves over no more than this, however far it is off: it may be mistaken, or stand at an edge where a seat
/// sticks or a relief opens one time and not the next (own).
const MOST: f64 = 16.0;
/// Where nothing of the catalogue is there a word is as on the nearest rig with a cause of it, but for this share, where it
/// may be any (own).
const ODD_WORD: f64 = 0.2;
/// What is known of a severity beforehand: one over the variance of what lies evenly between 0 and 1.
const EVEN: f64 = 12.0;
/// Two searches came out alike within this share.
const ALIKE: f64 = 0.06;
/// Words that come less than once in fifty visits leave more than this over (own).
const RARE: f64 = 7.8;
/// By how much a severity is moved to see what hangs on it.
const ASIDE: f64 = 0.02;
/// The same of a draw before the visit.
const DRAWN_ASIDE: f64 = 0.1;
/// A step that gains less ends the search.
const LEAST_GAIN: f64 = 0.3;

/// A rig with faults in it that may be the one that was read.
#[derive(Debug, Clone)]
pub(in crate::diagnosis) struct Guess {
    /// Its faults and their severities.
    pub(in crate::diagnosis) faults: Vec<(Fault, f64)>,
    /// Its unknowns.
    pub(in crate::diagnosis) unknowns: Unknowns,
    /// Whether it was drawn from before the visit.
    pub(in crate::diagnosis) drawn: Drawn,
    /// What a visit reads, where one has been made.
    pub(in crate::diagnosis) values: Option<Values>,
}

/// How near a cause came.
#[derive(Debug, Clone)]
pub(in crate::diagnosis) struct Closest {
    /// Squared deviations of all numbers and unknowns together: what is left over.
    pub(in crate::diagnosis) fit: f64,
    /// The same of words: how rare they are there, as twice the logarithm.
    pub(in crate::diagnosis) surprise: f64,
    /// Logarithm of how much likelier the words are where nothing of the catalogue is there.
    pub(in crate::diagnosis) odd: f64,
    /// How many readings of a lock-up that fails it leaves unexplained.
    pub(in crate::diagnosis) left: usize,
    /// Logarithm of the share of severities and unknowns that read about so.
    pub(in crate::diagnosis) width: f64,
    /// Whether it can be relied on that nowhere is nearer: it is near, or two searches from different stands came out alike.
    pub(in crate::diagnosis) is_sure: bool,
    /// Where that is.
    pub(in crate::diagnosis) stand: Guess,
}

/// What a closer look needs.
pub(in crate::diagnosis) struct Lens<'a> {
    pub(in crate::diagnosis) library: &'a Library,
    pub(in crate::diagnosis) model: &'a Model,
    pub(in crate::diagnosis) evidence: &'a Evidence,
    /// Readings of a lock-up that fails: what leaves one of them out is no whole answer.
    pub(in crate::diagnosis) lock_up_fails: &'a [Id],
    pub(in crate::diagnosis) cancel: &'a AtomicBool,
    /// Hears how many visits have been made.
    pub(in crate::diagnosis) heard: &'a (dyn Fn(usize) + Sync),
    pub(in crate::diagnosis) visits: AtomicUsize,
}

impl Lens<'_> {
    /// How many readings of a lock-up that fails stand over what a visit reads.
    fn left_lock_ups(&self, reads: &Values) -> usize {
        let read = |i: usize| {
            let mut all = self.evidence.numbers.iter().chain(&self.evidence.over);
            all.find(|n| n.0 == i).map(|n| n.1)
        };
        let is_left = |id: &&Id| {
            let i = id.index();
            let both = read(i).zip(reads[i].map(|pa| ALL[i].scaled(pa)));
            both.is_some_and(|(read, would)| lock_up::is_over(i, read, would))
        };
        self.lock_up_fails.iter().filter(is_left).count()
    }

    /// Looks from several stands of one cause, the best first, until one comes as near as a true cause mostly does, or two
    /// came out alike. Where the readings bend sharply (a valve that trips, a burner that goes out) a search may stick
    /// anywhere, each somewhere else.
    pub(in crate::diagnosis) fn look(
        &self,
        stands: impl IntoIterator<Item = Guess>,
    ) -> Option<Closest> {
        let mut best: Option<Closest> = None;
        for stand in stands {
            if self.cancel.load(Ordering::Relaxed) {
                break;
            }
            let search = Search::new(self, &stand);
            let enough = search.count();
            let Some(mut found) = search.run(stand, enough) else {
                continue;
            };
            found.is_sure = found.is_near(enough);
            let found = match best {
                None => found,
                Some(other) => other.or(found),
            };
            let is_sure = found.is_sure;
            best = Some(found);
            if is_sure {
                break;
            }
        }
        best
    }
}

impl Closest {
    /// All that is left over.
    pub(in crate::diagnosis) fn distance(&self) -> f64 {
        self.fit + self.surprise
    }

    /// Whether it leaves over no more than a true cause mostly does, and no rare word.
    pub(in crate::diagnosis) fn is_near(&self, readings: f64) -> bool {
        self.fit < NEAR * readings && self.surprise < RARE
    }

    /// Whether the search ended where a cause has nothing to do with what was read.
    fn does_nothing(&self) -> bool {
        let faults = &self.stand.faults;
        faults.iter().any(|f| f.1 < NOTHING)
    }

    /// The nearer of two searches for one cause. Two that gave the cause up came out alike, and say nothing of it.
    fn or(self, other: Self) -> Self {
        let (one, two) = (self.distance(), other.distance());
        let found = !self.does_nothing() && !other.does_nothing();
        let alike = found && (one - two).abs() < ALIKE * one.min(two);
        let is_sure = alike || self.is_sure || other.is_sure;
        let best = if two < one { other } else { self };
        Self { is_sure, ..best }
    }
}

/// One reading: its item, value, variance, and whether only values under it are off.
struct Line {
    item: usize,
    value: f64,
    variance: f64,
    is_end: bool,
    /// Whether it hangs on the make. However well it is met it leaves over what a right reading does, so that a cause with
    /// many of them is not nearer for it.
    is_doubtful: bool,
}

/// The search from one stand.
struct Search<'a> {
    lens: &'a Lens<'a>,
    rows: Vec<Line>,
    /// The lower factor of their covariance: what the make does to readings of one state it does to them together.
    factor: DMatrix<f64>,
    /// Words noted: item, word, and whether the item hangs on the make.
    words: Vec<(usize, usize, bool)>,
    tests: Vec<Test>,
    slopes: DMatrix<f64>,
    met: Option<Met>,
    /// Whether a reading counts by [`MOST`] at most: only about where the search ends, or nothing would pull it there.
    is_lenient: bool,
}

impl<'a> Search<'a> {
    fn new(lens: &'a Lens<'a>, stand: &Guess) -> Self {
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
                variance,
                is_end,
                is_doubtful: doubtful[item],
            }
        };
        let inside = evidence.numbers.iter().map(line(false));
        let rows: Vec<Line> = inside.chain(evidence.over.iter().map(line(true))).collect();
        let words = evidence
            .words
            .iter()
            .map(|&(i, seen)| (i, seen, doubtful[i]));
        let words: Vec<(usize, usize, bool)> = words.collect();
        let items = rows.iter().map(|l| l.item).chain(words.iter().map(|w| w.0));
        let tests = items.map(|i| ALL[i].test).collect();
        let factor = factor(lens.model, &rows, stand);
        let mut slopes = slopes(lens.model, &rows, stand);
        factor.solve_lower_triangular_mut(&mut slopes);
        Self {
            lens,
            rows,
            factor,
            words,
            tests,
            slopes,
            met: None,
            is_lenient: false,
        }
    }

    /// Numbers read.
    fn count(&self) -> f64 {
        self.rows.len() as f64
    }

    fn run(mut self, from: Guess, enough: f64) -> Option<Closest> {
        let met = match from.values {
            Some(values) => self.seen(from, values),
            None => self.visit(&from)?,
        };
        let met = self.drawn_or_not(met);
        let best = self.approach(met, enough, STEPS);
        self.is_lenient = true;
        let odd = self
            .off(&best.stand)
            .iter()
            .filter(|o| o.powi(2) > MOST)
            .count();
        let steps = if (1..=FEW_ODD).contains(&odd) {
            LAST_STEPS
        } else {
            0
        };
        let seen = self.seen(best.stand.clone(), best.stand.values?);
        let mut best = self.approach(seen, enough, steps);
        self.sharpen(&best.stand);
        best.width = self.width(&best.stand);
        Some(best)
    }

    /// What a draw before the visit does, learned by a visit beside the stand, where there was one.
    fn drawn_or_not(&mut self, met: Closest) -> Closest {
        if !met.stand.drawn.is_any() {
            return met;
        }
        let mut aside = met.stand.clone();
        aside.drawn.0 = (aside.drawn.0 - DRAWN_ASIDE).max(LEAST_DRAWN);
        let by = aside.drawn.0 - met.stand.drawn.0;
        let Some(found) = self.visit(&aside).filter(|_| by != 0.0) else {
            return met;
        };
        let column = (self.off(&met.stand) - self.off(&found.stand)) / by;
        self.slopes.set_column(UNKNOWNS, &column);
        if found.distance() < met.distance() {
            found
        } else {
            met
        }
    }

    /// Steps from a stand until it is near enough or nothing is gained.
    fn approach(&mut self, mut best: Closest, enough: f64, steps: usize) -> Closest {
        let mut damping = 0.03;
        for _ in 0..steps {
            if best.distance() < enough || self.lens.cancel.load(Ordering::Relaxed) {
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
            let gain = best.distance() - found.distance();
            if gain > 0.0 {
                best = found;
                damping *= 0.3;
                if gain < LEAST_GAIN && damping < 0.1 {
                    break;
                }
            } else {
                damping = f64::max(damping * 6.0, 0.3);
            }
        }
        best
    }

    /// What a deviation counts for here, and how much of a small change of it does.
    fn counted(&self, off: f64) -> (f64, f64) {
        if self.is_lenient {
            counted(off)
        } else {
            (off, 1.0)
        }
    }

    /// Sees by a visit what hangs on each severity at a stand: the fit's slope is of many, and what a cause is weighed by
    /// hangs on it.
    fn sharpen(&mut self, at: &Guess) {
        for k in 0..at.faults.len() {
            let mut aside = at.clone();
            let severity = &mut aside.faults[k].1;
            let by = if *severity < 0.5 { ASIDE } else { -ASIDE };
            *severity += by;
            if let Some(found) = self.visit(&aside) {
                let column = (self.off(at) - self.off(&found.stand)) / by;
                self.slopes.set_column(MOVED + k, &column);
            }
        }
    }

    /// The slopes as far as each reading still counts at a stand.
    fn weighed(&self, at: &Guess) -> DMatrix<f64> {
        let mut out = self.slopes.clone();
        for (mut row, off) in out.row_iter_mut().zip(self.off(at).iter()) {
            row *= self.counted(*off).1;
        }
        out
    }

    /// Products of the slopes, with what is known of the unknowns beforehand.
    fn curvature(slopes: &DMatrix<f64>) -> DMatrix<f64> {
        let mut normal = slopes.transpose() * slopes;
        (0..MOVED).for_each(|k| normal[(k, k)] += 1.0);
        normal
    }

    /// Laplace's approximation: how much of all severities and unknowns reads about so.
    fn width(&self, at: &Guess) -> f64 {
        let severities = at.faults.len();
        let mut normal = Self::curvature(&self.weighed(at));
        (MOVED..MOVED + severities).for_each(|k| normal[(k, k)] += EVEN);
        let Some(factor) = normal.cholesky() else {
            return 0.0;
        };
        let log_det: f64 = factor.l_dirty().diagonal().iter().map(|d| d.ln()).sum();
        // What the make leaves open makes each reading the less likely.
        let open = |(k, line): (usize, &Line)| (self.factor[(k, k)] / line.variance.sqrt()).ln();
        let open: f64 = self.rows.iter().enumerate().map(open).sum();
        0.5 * severities as f64 * std::f64::consts::TAU.ln() - log_det - open
    }

    /// Where the readings would be met best, were everything straight.
    fn step(&self, at: &Guess, damping: f64) -> Option<Guess> {
        let off = self.off(at).map(|off| self.counted(off).0);
        let slopes = self.weighed(at);
        let mut normal = Self::curvature(&slopes);
        let mut wanted = slopes.transpose() * off;
        for k in 0..wanted.len() {
            if k < MOVED {
                normal[(k, k)] += damping;
                wanted[k] -= at.unknowns.0.get(k).map_or(at.drawn.0, |z| *z);
            } else {
                normal[(k, k)] += damping * (normal[(k, k)] + STRIDE.powi(-2)) + 1e-6;
            }
        }
        let step = normal.cholesky()?.solve(&wanted);
        let mut next = at.clone();
        for (z, s) in next.unknowns.0.iter_mut().zip(step.iter()) {
            *z = (*z + s).clamp(-FURTHEST, FURTHEST);
        }
        if at.drawn.is_any() {
            next.drawn.0 = (at.drawn.0 + step[UNKNOWNS]).clamp(LEAST_DRAWN, FURTHEST);
        }
        for ((_, severity), s) in next.faults.iter_mut().zip(step.iter().skip(MOVED)) {
            *severity = (*severity + s.clamp(-STRIDE, STRIDE)).clamp(LEAST_SEVERITY, 1.0);
        }
        Some(next)
    }

    /// Makes the visit there. Whether the leak check came first or last, and whether the rig was met in use, nobody has noted:
    /// the first time all ways are tried.
    fn visit(&mut self, at: &Guess) -> Option<Closest> {
        let checks = self.tests.contains(&Test::LeakCheck);
        let may_be = |met: &Met| match self.met {
            Some(found) => *met == found,
            None => checks || met.leak_check == LeakCheck::First,
        };
        let Lens { library, .. } = self.lens;
        let world = library.allowance.world;
        let wants = |test: Test| self.tests.contains(&test);
        let stands = (&at.unknowns, at.drawn);
        let of = |met: Met| {
            let base = &library.base;
            let values = ordered_visit(base, &at.faults, stands, world, met, &wants).ok()?;
            let made = self.lens.visits.fetch_add(1, Ordering::Relaxed);
            (self.lens.heard)(made + 1);
            let found = self.seen(at.clone(), values);
            found.distance().is_finite().then_some((met, found))
        };
        let go_on = |_: &Met| !self.lens.cancel.load(Ordering::Relaxed);
        let ways = Met::ALL.into_iter().filter(may_be).take_while(go_on);
        let made = ways.filter_map(of);
        let (met, best) = made.min_by(|a, b| a.1.distance().total_cmp(&b.1.distance()))?;
        self.met = Some(met);
        Some(best)
    }

    /// What a visit there leaves over.
    fn seen(&self, at: Guess, values: Values) -> Closest {
        let stand = Guess {
            values: Some(values),
            ..at
        };
        let (mut surprise, mut odd) = (0.0, 0.0);
        for &(item, seen, is_doubtful) in &self.words {
            let (mut chance, mut best, of) = words::chance_of(item, seen, &values);
            if is_doubtful {
                // As likely as on a healthy rig.
                let usual = usize::from(self.lens.model.usual_words()[item - NUMBERS]);
                chance = 0.5 * (chance + words::chance(item, seen, usual));
                best = chance.max(0.5);
            }
            surprise += 2.0 * (best / chance).ln();
            odd += (1.0 - ODD_WORD + ODD_WORD / (of as f64 * chance)).ln();
        }
        let unknowns: f64 = stand.unknowns.0.iter().map(|z| z * z).sum();
        let off = self.off(&stand);
        let numbers = self.rows.iter().zip(off.iter()).map(|(line, off)| {
            let least = if line.is_doubtful { 1.0 } else { 0.0 };
            self.counted(*off).0.powi(2).max(least)
        });
        Closest {
            fit: numbers.sum::<f64>() + unknowns + stand.drawn.surprise(),
            surprise,
            odd,
            left: self.lens.left_lock_ups(&values),
            width: 0.0,
            is_sure: false,
            stand,
        }
    }

    /// Mends the slopes by what a step did.
    fn learn(&mut self, from: &Guess, to: &Guess) {
        let moved = self.off(from) - self.off(to);
        let by = place(to) - place(from);
        // A severity counts by its stride, as an unknown by its deviation.
        let weighed = DVector::from_fn(by.len(), |k, _| {
            by[k] * if k < MOVED { 1.0 } else { STRIDE.powi(-2) }
        });
        let square = by.dot(&weighed);
        if square > 1e-9 {
            let missed = moved - &self.slopes * by;
            self.slopes += missed * weighed.transpose() / square;
        }
    }

    /// By how many deviations each reading is off, of what those before it leave open.
    fn off(&self, at: &Guess) -> DVector<f64> {
        let numbers = at.values.as_ref().map(scaled);
        let off = self.rows.iter().map(|l| {
            let foretold = numbers.as_ref().map_or(l.value, |n| n[l.item]);
            let gap = l.value - foretold;
            if l.is_end { gap.max(0.0) } else { gap }
        });
        let mut off = DVector::from_iterator(self.rows.len(), off);
        self.factor.solve_lower_triangular_mut(&mut off);
        off
    }
}

/// What a deviation counts for, and how much of a small change of it still does: all of it near by, nothing far off.
fn counted(off: f64) -> (f64, f64) {
    let (near, far) = ((-0.5 * off * off).exp(), (-0.5 * MOST).exp());
    let counts = (-2.0 * ((near + far) / (1.0 + far)).ln()).max(0.0).sqrt();
    if counts < 1e-6 {
        return (off, 1.0);
    }
    let slope = off.abs() * near / (near + far) / counts;
    (counts.copysign(off), slope)
}

/// Unknowns and severities in one.
fn place(at: &Guess) -> DVector<f64> {
    let severities = at.faults.iter().map(|f| f.1);
    let unknowns = at.unknowns.0.iter().copied().chain([at.drawn.0]);
    DVector::from_iterator(MOVED + at.faults.len(), unknowns.chain(severities))
}

/// The lower factor of the readings' covariance: their own variances, and what hangs on the make, by the library.
fn factor(model: &Model, rows: &[Line], stand: &Guess) -> DMatrix<f64> {
    let of_make = stand.faults.iter().map(|(f, s)| model.of_make(*f, *s));
    let of_make: Vec<OfMake> = of_make.collect();
    let healthy = &model.stretches[0];
    let covariance = DMatrix::from_fn(rows.len(), rows.len(), |r, s| {
        let own = if r == s { rows[r].variance } else { 0.0 };
        // The end of a range says nothing of how far a reading is off.
        let tied = r == s || !(rows[r].is_end || rows[s].is_end);
        let [i, j] = [rows[r].item, rows[s].item];
        let make = if stand.faults.is_empty() {
            healthy.of_any(i, j)
        } else {
            of_make.iter().map(|m| m.of(i, j)).sum::<f64>()
        };
        own + if tied { make } else { 0.0 }
    });
    let errors = rows.iter().map(|row| row.variance.sqrt());
    let own = || DMatrix::from_diagonal(&DVector::from_iterator(rows.len(), errors));
    covariance.cholesky().map_or_else(own, Cholesky::unpack)
}

/// How each reading goes with the unknowns and the severities: by the fits of the causes, laid over each other where there
/// are two.
fn slopes(model: &Model, rows: &[Line], stand: &Guess) -> DMatrix<f64> {
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
    // What a draw before the visit does no sample of the library tells: it is learned on the way.
    DMatrix::from_fn(rows.len(), MOVED + along.len(), |r, k| {
        let item = rows[r].item;
        match k.checked_sub(MOVED) {
            None if k == UNKNOWNS => 0.0,
            None => unknowns[(item, k)],
            Some(f) => along[f].map_or(0.0, |row| row[item]),
        }
    })
}

#[cfg(test)]
mod tests {
    use super::{MOST, counted};

    #[test]
    fn a_reading_counts_by_its_deviation_until_it_is_far_off() {
        for off in [-2.0, -0.5, 0.0, 1e-9, 1.0, 2.5] {
            let (counts, slope) = counted(off);
            assert!((counts - off).abs() < 0.02, "{off}: {counts}");
            assert!((slope - 1.0).abs() < 0.02, "{off}: {slope}");
        }
        let (counts, slope) = counted(40.0);
        assert!((counts * counts - MOST).abs() < 0.01 && slope < 1e-9);
        let all: Vec<f64> = (0..80).map(|k| counted(0.1 * f64::from(k)).0).collect();
        assert!(all.windows(2).all(|w| w[1] > w[0]), "more is more");
    }
}
