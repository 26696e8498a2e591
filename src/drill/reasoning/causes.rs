//! What every cause would show on a drill's rig, and what readings say of them.
//!
//! A drill's rig is known by its make, its site and its load, other than a rig met on the road: what stays open is the
//! fault, its severity and the specimen. So the library of diagnosis is grown with site, fuel and fill known, and with
//! the severities of drills; its likelihood is tuned for the few visits that there is time for. Causes weigh the same
//! before anything is read; no fault at all is rare, as somebody complained.

use crate::diagnosis::inference::evidence::Evidence;
use crate::diagnosis::inference::isolate::Groups;
use crate::diagnosis::inference::model::{Kernel, Model};
use crate::diagnosis::inference::next::{self, NextTest, Offer, entropy};
use crate::diagnosis::inference::posterior::posterior;
use crate::diagnosis::inference::safety;
use crate::diagnosis::inference::tuning::Tuning;
use crate::diagnosis::inference::walk::{Reached, Way, walk};
use crate::diagnosis::library::collection::{Allowance, Library};
use crate::diagnosis::library::sample::true_visit;
use crate::diagnosis::library::unknowns::World;
use crate::diagnosis::library::words::said;
use crate::fault::Fault;
use crate::scenario::Scenario;
use crate::visit::{ALL, ITEMS, Id, NUMBERS, Test, Values, quickened};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// What is wrong: no fault, one, or two.
pub type Cause = Vec<Fault>;

/// A cause is named when its group holds this much of the belief.
pub const SURE: f64 = 0.8;
/// Causes that keep this share of the best one's belief are not told apart from it; when everything
/// at hand has been done, they cannot be.
const ALIKE: f64 = 0.12;
/// What anyone does first: look, listen, flow pressure, lock-up.
const OBVIOUS: [Test; 3] = [Test::Look, Test::FlowPressure, Test::LockUp];
/// Weight of no fault against one cause.
const HEALTHY: f64 = 0.5;
/// Weight of a pair against a single cause. Pairs are looked at only where a drill has two faults,
/// and then the complaint speaks of two things.
const PAIR: f64 = 3.0;
/// Visits to each fault, and between which severities: at 0.3, 0.4 and so on to 0.9.
pub(super) const ROUNDS: usize = 7;
const SEVERITIES: (f64, f64) = (0.2, 1.0);
/// Severities at which a debrief tells what a cause would have shown.
const TOLD: usize = 3;

/// From so many deviations apart on a number tells a rig put right from the one before (own) ...
const PARTS: f64 = 2.0;
/// A word that is mostly another counts as a number that is twice as far off (own).
const WORDS_APART: f64 = 2.0;
/// ... and no single one says more than this, as a logarithm: an instrument may be misread (own).
const MOST_ODDS: f64 = 9.0;
/// Visits of severities within this of the nearest are of about that severity: their steps are a tenth.
const NEAR: f64 = 0.06;

/// A cause matters for what comes next from this much of the belief on (own).
const MATTERS: f64 = 0.05;
/// Where one alone does, it is held against the likeliest others, so many in all (own).
const AGAINST: usize = 4;

/// Mean and deviation.
fn spread(of: impl Iterator<Item = f64>) -> Option<(f64, f64)> {
    let all: Vec<f64> = of.collect();
    let n = all.len() as f64;
    let mean = all.iter().sum::<f64>() / n;
    let squares: f64 = all.iter().map(|v| (v - mean).powi(2)).sum();
    (!all.is_empty()).then(|| (mean, (squares / n).sqrt()))
}

/// Names of a cause.
pub fn cause_words(cause: &Cause) -> String {
    if cause.is_empty() {
        return "no fault at all".to_owned();
    }
    let names: Vec<String> = cause.iter().map(|f| f.name()).collect();
    names.join(" and ")
}

/// Why there is no library.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum CausesError {
    /// The healthy rig does not run.
    #[error("the rig does not run even with nothing wrong")]
    Healthy,
    /// The listener stopped it.
    #[error("stopped")]
    Stopped,
}

/// What every cause would show on one rig.
#[derive(Debug, Clone)]
pub struct Causes {
    /// The visits.
    pub library: Arc<Library>,
    model: Model,
    prior: Vec<f64>,
    groups: Groups,
}

/// What readings say: the belief in each cause.
#[derive(Debug, Clone, PartialEq)]
pub struct Belief(pub Vec<f64>);

impl Belief {
    /// Causes with their belief, most likely first.
    pub fn ranked(&self) -> Vec<(usize, f64)> {
        let mut out: Vec<(usize, f64)> = self.0.iter().copied().enumerate().collect();
        out.sort_by(|a, b| b.1.total_cmp(&a.1));
        out
    }

    /// Belief in some causes together.
    pub fn in_any(&self, causes: &[usize]) -> f64 {
        causes.iter().map(|&c| self.0[c]).sum()
    }

    /// Entropy over the causes \[bit\].
    pub fn bits(&self) -> f64 {
        entropy(&self.0)
    }
}

/// The likeliest of some causes, with those that are not yet told apart from it.
pub fn not_told_apart(ranked: &[(usize, f64)]) -> &[(usize, f64)] {
    let best = ranked.first().map_or(1.0, |r| r.1);
    let many = ranked.iter().take_while(|(_, p)| *p >= ALIKE * best);
    &ranked[..many.count()]
}

/// A way to the cause.
#[derive(Debug, Clone, PartialEq)]
pub struct Path {
    /// The tests with the belief in the group after each.
    pub steps: Vec<(Test, f64)>,
    /// Minutes of each, by the rig's clock: hand work, lighting and settling among them.
    pub took: Vec<f64>,
    /// Minutes of all.
    pub minutes: f64,
    /// Whether the group was reached.
    pub solved: bool,
}

/// A way gone to its end: the tests with their minutes, and what was believed before and after each.
#[derive(Debug, Clone)]
pub struct Gone {
    tests: Vec<(Test, f64)>,
    beliefs: Vec<Belief>,
    /// Everything that was read.
    pub known: Values,
}

impl Gone {
    /// One that begins, nothing read yet.
    pub fn begun(belief: Belief) -> Self {
        Self {
            tests: Vec::new(),
            beliefs: vec![belief],
            known: [None; ITEMS],
        }
    }

    /// Takes in a test that was made, its minutes, and what is believed and known after it.
    pub fn take(&mut self, test: Test, minutes: f64, belief: Belief, known: Values) {
        self.tests.push((test, minutes));
        self.beliefs.push(belief);
        self.known = known;
    }

    /// The tests with their minutes.
    pub fn tests(&self) -> &[(Test, f64)] {
        &self.tests
    }

    /// The minutes of each test with what is believed after it.
    pub fn stands(&self) -> impl Iterator<Item = (f64, &Belief)> {
        let took = self.tests.iter().map(|t| t.1);
        took.zip(&self.beliefs[1..])
    }

    /// What is believed at the end.
    pub fn end(&self) -> &Belief {
        &self.beliefs[self.tests.len()]
    }

    /// The way until these hold [`SURE`] of the belief.
    pub fn until_sure(&self, right: &[usize]) -> Path {
        let after = self.tests.iter().zip(&self.beliefs[1..]);
        let mut out = Path {
            steps: Vec::new(),
            took: Vec::new(),
            minutes: 0.0,
            solved: false,
        };
        for ((test, minutes), belief) in after {
            let held = belief.in_any(right);
            out.steps.push((*test, held));
            out.took.push(*minutes);
            out.minutes += minutes;
            if held >= SURE {
                out.solved = true;
                break;
            }
        }
        out
    }
}

/// What anyone would have read first on a rig of these values.
pub fn obvious(offer: &Offer, truth: &Values) -> Values {
    read_by(offer, &OBVIOUS, truth)
}

/// What some tests would have read on a rig of these values.
pub fn read_by<'a>(
    offer: &Offer,
    tests: impl IntoIterator<Item = &'a Test>,
    truth: &Values,
) -> Values {
    let mut known: Values = [None; ITEMS];
    for test in tests {
        for &i in offer.items(*test) {
            known[i] = truth[i];
        }
    }
    known
}

/// What the rig of a scenario shows with these faults, without what every cause would show there.
///
/// # Errors
/// What stopped the run.
pub fn shown_by(scenario: &Scenario, faults: &[(Fault, f64)]) -> Result<Values, String> {
    truth_on(&quickened(scenario), faults)
}

fn truth_on(base: &Scenario, faults: &[(Fault, f64)]) -> Result<Values, String> {
    true_visit(base, faults, World::MET).map_err(|e| e.to_string())
}

impl Causes {
    /// Makes the visits for these faults, or for all that the rig can have. `listener` hears the share that is done, 0
    /// to 1, and returns whether to go on.
    ///
    /// # Errors
    /// [`CausesError`]. A fault whose visits fail shows nothing and is no cause.
    pub fn of(
        scenario: &Scenario,
        faults: Option<Vec<Fault>>,
        listener: &mut dyn FnMut(f64) -> bool,
    ) -> Result<Self, CausesError> {
        let allowance = Allowance {
            world: World::MET,
            severities: Some(SEVERITIES),
            faults,
        };
        let mut library = Library::with(scenario, allowance);
        let cancel = AtomicBool::new(false);
        let (told, heard) = std::sync::mpsc::channel();
        std::thread::scope(|scope| {
            let (library, cancel) = (&mut library, &cancel);
            scope.spawn(move || {
                library.grow(ROUNDS, None, cancel, &|g| {
                    // The other end listens until this one is dropped.
                    let _ = told.send(g);
                });
            });
            for g in heard {
                if !listener(g.done as f64 / g.of as f64) {
                    cancel.store(true, Ordering::Relaxed);
                }
            }
        });
        if cancel.into_inner() {
            return Err(CausesError::Stopped);
        }
        Self::new(Arc::new(library), Tuning::FEW).ok_or(CausesError::Healthy)
    }

    /// Of visits that were made, under a tuning; none where not even the healthy rig runs.
    pub fn new(library: Arc<Library>, tuning: Tuning) -> Option<Self> {
        let model = Model::new(&library, tuning)?;
        Some(Self::with_model(library, model))
    }

    fn with_model(library: Arc<Library>, model: Model) -> Self {
        let weight = |c: usize| match model.faults(c).count() {
            _ if model.counts[c] == 0 => 0.0,
            0 => HEALTHY,
            1 => 1.0,
            _ => PAIR,
        };
        Self {
            prior: (0..model.causes.len()).map(weight).collect(),
            groups: Groups::apart(&model),
            library,
            model,
        }
    }

    /// With pairs of these causes as well.
    #[must_use]
    pub fn with_pairs(&self, of: &[usize]) -> Self {
        Self::with_model(self.library.clone(), self.model.with_pairs(of))
    }

    /// How many there are; the first is no fault.
    pub fn count(&self) -> usize {
        self.prior.len()
    }

    /// The faults of one.
    pub fn cause(&self, place: usize) -> Cause {
        self.model.faults(place).collect()
    }

    /// Place of a cause that shows at all, in whatever order its faults are named.
    pub fn find(&self, faults: &[Fault]) -> Option<usize> {
        let same = |c: &usize| {
            let own = self.model.faults(*c);
            own.clone().count() == faults.len() && own.clone().all(|f| faults.contains(&f))
        };
        (0..self.count()).find(|c| self.prior[*c] > 0.0 && same(c))
    }

    /// What readings say.
    pub fn belief(&self, known: &Values) -> Belief {
        let evidence = Evidence::new(known, &[None; ITEMS], self.model.tuning.floor);
        Belief(posterior(&self.model, &evidence, &self.prior).causes)
    }

    /// What readings say for each cause, whatever was believed before: the ratios of these are what counts.
    pub fn speaks(&self, known: &Values) -> Vec<f64> {
        let belief = self.belief(known).0;
        let sum: f64 = self.prior.iter().sum();
        let both = belief.iter().zip(&self.prior);
        both.map(|(b, p)| if *p > 0.0 { b * sum / p } else { 0.0 })
            .collect()
    }

    /// How much likelier numbers are of the healthy rig than of one that still has this cause: `wrong` is what was read
    /// while it was in, and where that was not read, what it shows at this severity. A number that reads about the same
    /// either way says nothing. A drill's rig is one rig, so it is held to what it showed and not to what the cause may do
    /// on any make.
    pub fn mended(&self, (cause, severity): (&Cause, f64), wrong: &Values, after: &Values) -> f64 {
        let usual = |i: usize| spread(self.numbers(0, i, None));
        let shows = |i: usize| {
            let place = self.find(cause).filter(|_| cause.len() == 1)?;
            spread(self.numbers(place, i, Some(severity)))
        };
        let mut log_odds = 0.0;
        for (i, item) in ALL.iter().enumerate().take(NUMBERS) {
            let (Some(value), Some((healthy, scatter))) = (after[i], usual(i)) else {
                continue;
            };
            let read = wrong[i].map(|v| item.scaled(v));
            let Some(wrong) = read.or_else(|| Some(shows(i)?.0)) else {
                continue;
            };
            let uncertainty = item.uncertainty(value) * item.slope(value);
            let spread2 = scatter.powi(2) + 2.0 * uncertainty.powi(2);
            if (wrong - healthy).powi(2) > PARTS.powi(2) * spread2 {
                let off = |from: f64| (item.scaled(value) - from).powi(2) / (2.0 * spread2);
                log_odds += (off(wrong) - off(healthy)).clamp(-MOST_ODDS, MOST_ODDS);
            }
        }
        log_odds.exp()
    }

    /// The two likeliest causes that some items part, of those that matter by what is believed, with the item that parts them
    /// most; none where no two do, as before anything was read. Where one stands alone it is held against the likeliest others.
    pub fn parted(&self, belief: &Belief, items: &[usize]) -> Option<([Cause; 2], Id)> {
        let ranked = belief.ranked();
        let matter: Vec<usize> = ranked
            .iter()
            .enumerate()
            .take_while(|(n, r)| r.1 >= MATTERS || (*n < AGAINST && ranked[0].1 >= MATTERS))
            .map(|(_, r)| r.0)
            .collect();
        let mut pairs = (1..matter.len()).flat_map(|b| (0..b).map(move |a| (a, b)));
        pairs.find_map(|(a, b)| {
            let (a, b) = (matter[a], matter[b]);
            let parting = items.iter().map(|&i| (i, self.apart([a, b], i)));
            let (item, _) = parting
                .filter(|(_, apart)| *apart > 1.0)
                .max_by(|one, other| one.1.total_cmp(&other.1))?;
            Some(([self.cause(a), self.cause(b)], ALL[item].id))
        })
    }

    /// How differently two causes show an item, from 1 on apart: a number by what either scatters, a word mostly another.
    fn apart(&self, both: [usize; 2], i: usize) -> f64 {
        if i < NUMBERS {
            let of = both.map(|c| spread(self.numbers(c, i, None)));
            let [Some((a, da)), Some((b, db))] = of else {
                return 0.0;
            };
            let noise = ALL[i].usual_uncertainty();
            return (a - b).abs() / (PARTS * (da.max(db).powi(2) + noise.powi(2)).sqrt());
        }
        let word = |c: usize| {
            let of = self.model.kernels.iter().filter(|k| k.cause == c);
            let mut counts = [0_usize; 256];
            of.for_each(|k| counts[usize::from(k.words[i - NUMBERS])] += 1);
            let all: usize = counts.iter().sum();
            // Three of four say the same.
            counts.iter().position(|n| all > 0 && 4 * n > 3 * all)
        };
        let [a, b] = both.map(word);
        if a.is_some() && b.is_some() && a != b {
            WORDS_APART
        } else {
            0.0
        }
    }

    /// What the visits of a cause show of a number, on its scaled axis, at about this severity or at any.
    fn numbers(&self, cause: usize, i: usize, severity: Option<f64>) -> impl Iterator<Item = f64> {
        let of = self.model.kernels.iter().filter(move |k| k.cause == cause);
        let off = move |s: f64| severity.map_or(0.0, |at| (s - at).abs());
        let nearest = of.clone().map(|k| off(k.severity)).fold(1.0, f64::min);
        let near = of.filter(move |k| off(k.severity) < nearest + NEAR);
        near.map(move |k| k.centre[i])
    }

    /// The test that promises most a minute after these readings, among those that are safe then.
    pub fn next(&self, known: &Values, offer: &Offer) -> Option<NextTest> {
        let danger = safety::demand(known).0;
        let mut left = offer.clone();
        left.retain(|t| danger.allows(t));
        let evidence = Evidence::new(known, &[None; ITEMS], self.model.tuning.floor);
        let p = posterior(&self.model, &evidence, &self.prior);
        let ranked = next::rank(&self.model, &self.groups, known, &evidence, &p, &left);
        ranked.into_iter().next()
    }

    /// The true values of the rig with these faults.
    ///
    /// # Errors
    /// What stopped the run.
    pub fn truth(&self, faults: &[(Fault, f64)]) -> Result<Values, String> {
        truth_on(&self.library.base, faults)
    }

    /// The way until it is enough, or nothing that is safe is left to be done.
    pub fn walk(
        &self,
        offer: &Offer,
        truth: &Values,
        way: Way,
        is_enough: &dyn Fn(&Belief) -> bool,
    ) -> Gone {
        let (mut beliefs, mut known) = (Vec::new(), [None; ITEMS]);
        let mut look = |stand: &Reached<'_>| {
            let belief = Belief(stand.posterior.causes.clone());
            let enough = is_enough(&belief);
            beliefs.push(belief);
            known = *stand.known;
            (!enough).then(|| self.groups.clone())
        };
        let walked = walk(&self.model, &self.prior, offer, truth, way, &mut look);
        Gone {
            tests: walked
                .tests
                .iter()
                .map(|t| (*t, offer.minutes(*t)))
                .collect(),
            beliefs,
            known,
        }
    }

    /// Whether any visit to a cause shows it: one that the rig's air or parts keep from acting is no cause there.
    pub fn shows_at_all(&self, cause: usize) -> bool {
        self.prior[cause] > 0.0
    }

    /// The mildest severity of the visits to a cause; none without one.
    pub fn mildest(&self, cause: usize) -> Option<f64> {
        let of = self.model.kernels.iter().filter(|k| k.cause == cause);
        of.map(|k| k.severity).min_by(f64::total_cmp)
    }

    /// Whether some severity of a cause, the mildest among them, may show this of an item: of a number, whether it lies between
    /// what nothing wrong shows and the worst of the visits; of a word, whether either shows it.
    pub fn may_show(&self, cause: usize, id: Id, value: f64) -> bool {
        let i = id.index();
        let mut of = self.model.kernels.iter();
        if i >= NUMBERS {
            let word = |k: &Kernel| said(usize::from(k.words[i - NUMBERS])) as f64;
            return of.any(|k| (k.cause == cause || k.cause == 0) && word(k) == value);
        }
        let own = |c: usize| self.numbers(c, i, None);
        let least = own(cause).chain(own(0)).fold(f64::INFINITY, f64::min);
        let most = own(cause).chain(own(0)).fold(f64::NEG_INFINITY, f64::max);
        (least..=most).contains(&ALL[i].scaled(value))
    }

    /// What an item shows with a cause, from mild to bad.
    pub fn shows(&self, cause: usize, id: Id) -> Vec<f64> {
        let of = self.model.kernels.iter().filter(|k| k.cause == cause);
        let mut all: Vec<_> = of.collect();
        all.sort_by(|a, b| a.severity.total_cmp(&b.severity));
        let value = |k: usize| {
            let (kernel, i) = (all[k], id.index());
            if i < NUMBERS {
                ALL[i].shown(ALL[i].unscaled(kernel.centre[i]))
            } else {
                said(usize::from(kernel.words[i - NUMBERS])) as f64
            }
        };
        let last = all.len().saturating_sub(1);
        let some = (0..all.len().min(TOLD)).map(|k| k * last / (TOLD - 1).min(last.max(1)));
        some.map(value).collect()
    }
}
