//! The second pass, made after the first answer where the readings are not plainly one cause's: how near the likeliest
//! causes come to the readings when they are simulated anew ([`super::look`]), what that says for "none of these", and
//! whether two faults at once come nearer ([`super::pairs`]).
//!
//! What is left over of a true cause is spread as chi squared over the readings (published), whatever the rig. Of
//! something that is not in the catalogue it is c times as much, c anything from 1 to 100 and every factor as likely
//! (own).

use super::look::{Closest, Guess, Lens, NEAR};
use super::pairs::{self, Candidate};
use crate::diagnosis::answer::{Pair, UNNAMED};
use crate::diagnosis::files::prior;
use crate::diagnosis::inference::isolate::log_sum;
use crate::diagnosis::inference::model::Model;
use crate::diagnosis::inference::posterior::Posterior;
use crate::diagnosis::library::collection::Library;
use crate::diagnosis::library::parallel::in_parallel;
use crate::diagnosis::library::unknowns::Drawn;
use crate::diagnosis::lock_up;
use crate::diagnosis::weighed::Weighed;
use crate::fault::Fault;
use crate::physics::air::atmosphere_pa;
use crate::physics::fuel::{Species, saturation_temperature_k};
use crate::visit::{ALL, Id};
use std::sync::atomic::{AtomicBool, AtomicUsize};

/// A closer look is taken where the likeliest kernel of the likeliest cause leaves the numbers this far off (squared
/// deviations a number; two of three single faults stay under it), where "none of these" has as much as this, or for a
/// word as rare as this.
const FROM_DISTANCE: f64 = 1.0;
const FROM_NONE: f64 = 0.05;
const FROM_WORD: f64 = 0.02;
/// Causes that are looked at beside the likeliest: the next in belief, down to this probability, and those whose kernels
/// stand nearest, whatever their belief. From so many stands each.
const NEXT: usize = 2;
const LEAST: f64 = 0.02;
const NEAREST: usize = 3;
const STANDS: usize = 4;
/// A container that boils this much colder than its air is thought of as one that was drawn from (own: over what the table of
/// unknowns and a few percent of butane make of one that was not).
const DRAWN_FROM_K: f64 = 4.0;
/// Readings that tell it, the plainest first.
const BEFORE_THE_REGULATOR: [Id; 4] = [
    Id::Container,
    Id::LongContainer,
    Id::HalfInlet,
    Id::FullInlet,
];
/// How much more may be left over where nothing of the catalogue is there, and in how many steps that is counted.
const MOST_LEFT: f64 = 100.0;
const SHARES: usize = 24;
/// Chance that nothing of the catalogue is there, of rigs that are worth a closer look (own).
const NONE: f64 = 0.02;
/// Chance that the search for a true cause sticks and leaves over anything, as if nothing of the catalogue were there: 5 of
/// 228 cases of the catalogue (own, by validation cases). So no answer hangs wholly on a search that did not come near.
const MISSED: f64 = 0.02;

/// Whether the first pass leaves so much open that a closer look is worth its time.
pub(in crate::diagnosis) fn wanted(model: &Model, weighed: &Weighed) -> bool {
    let Weighed {
        evidence,
        posterior: p,
        ..
    } = weighed;
    // The likeliest cause's: one kernel of another may weigh more than any of two thousand healthy ones.
    let Some(&cause) = by_belief(p).first() else {
        return false;
    };
    let own = (0..p.kernels.len()).filter(|&k| model.kernels[k].cause == cause);
    let likeliest = own.max_by(|&a, &b| p.kernels[a].total_cmp(&p.kernels[b]));
    let Some(kernel) = likeliest.map(|k| &model.kernels[k]) else {
        return false;
    };
    let numbers = evidence.numbers.len().max(1) as f64;
    let scores = model.scores_of(evidence, std::slice::from_ref(kernel));
    // One number of many may be far off and the whole still near: not where it is a lock-up that fails.
    let stands_under = |id: &Id| {
        let mut numbers = evidence.numbers.iter().filter(|n| n.0 == id.index());
        numbers.any(|n| lock_up::is_over(n.0, n.1, kernel.centre[n.0]))
    };
    p.none > FROM_NONE
        || weighed.relief_held_pa.is_some()
        || weighed.lock_up_fails.iter().any(stands_under)
        || scores.iter().any(|s| s.distance > FROM_DISTANCE * numbers)
        || evidence
            .words
            .iter()
            .any(|&(i, seen)| model.word(kernel, i, seen) < FROM_WORD)
}

/// Causes, the likeliest first.
fn by_belief(p: &Posterior) -> Vec<usize> {
    let mut order: Vec<usize> = (0..p.causes.len()).collect();
    order.sort_by(|&a, &b| p.causes[b].total_cmp(&p.causes[a]));
    order
}

/// Logarithm of how much likelier a distance is where nothing of the catalogue is there than under a true cause.
pub(in crate::diagnosis) fn log_doubt(distance: f64, readings: f64) -> f64 {
    let logs: Vec<f64> = (0..SHARES)
        .map(|k| {
            let c = MOST_LEFT.powf((k as f64 + 0.5) / SHARES as f64);
            0.5 * (distance * (1.0 - 1.0 / c) - readings * c.ln())
        })
        .collect();
    let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let sum: f64 = logs.iter().map(|l| (l - most).exp()).sum();
    most + (sum / SHARES as f64).ln()
}

/// Logarithm of how much likelier it makes what was seen of a cause that its search may have missed it.
fn log_missed(doubt: f64) -> f64 {
    log_sum((1.0 - MISSED).ln(), MISSED.ln() + doubt)
}

/// A cause looked at: its place among the model's causes, how near it came.
struct Single {
    cause: usize,
    closest: Closest,
    /// What its nearest kernel leaves over of the numbers, which holds where no search can be relied on.
    widely: f64,
}

impl Single {
    /// Of what it leaves over of the numbers, what can be relied on.
    fn fit(&self) -> f64 {
        if self.closest.is_sure {
            self.closest.fit
        } else {
            self.closest.fit.min(self.widely)
        }
    }

    fn distance(&self) -> f64 {
        self.fit() + self.closest.surprise
    }

    /// Logarithm of how much likelier the readings are where nothing of the catalogue is there.
    fn doubt(&self, readings: f64) -> f64 {
        log_doubt(self.fit(), readings) + self.closest.odd
    }
}

/// What a second look adds to an answer.
pub(in crate::diagnosis) struct Again {
    /// Pairs of faults, likeliest first.
    pub(in crate::diagnosis) pairs: Vec<Pair>,
    /// What the nearest single cause leaves over, in squared deviations a reading.
    pub(in crate::diagnosis) left_over: f64,
}

/// Looks again, and moves the probabilities by what is seen: first at the likeliest cause. Where it is near, kernels know
/// better how often each cause reads so, and nothing else is looked at; where it is not, at others; where none is, at pairs.
pub(in crate::diagnosis) fn look_again(
    library: &Library,
    model: &Model,
    weighed: &mut Weighed,
    cancel: &AtomicBool,
    heard: &(dyn Fn(usize) + Sync),
) -> Option<Again> {
    let lens = Lens {
        library,
        model,
        evidence: &weighed.evidence,
        lock_up_fails: &weighed.lock_up_fails,
        cancel,
        heard,
        visits: AtomicUsize::new(0),
    };
    let count = (weighed.evidence.numbers.len() + weighed.evidence.over.len()).max(1) as f64;
    let near = Nearest::of(&lens);
    let order = by_belief(&weighed.posterior);
    let mut singles = singles(&lens, weighed, &near, &order[..order.len().min(1)]);
    let mut pairs = Looked::default();
    // A relief that should have opened and did not is a second fault beside what lets the pressure rise, however near one alone comes.
    let is_held = weighed.relief_held_pa.is_some();
    // So is a lock-up that fails beside a cause of something else.
    let is_left = singles.first()?.closest.left > 0;
    if is_held || is_left || !singles.first()?.closest.is_near(count) {
        let mut others = others(&order, &weighed.posterior, &near);
        // A rig with nothing but a cold container is looked at before anything is put beside it.
        let first = singles.first().map(|s| &s.closest.stand);
        let cold = first.and_then(|s| drawn_before(&lens, s)).is_some();
        if cold && !others.contains(&0) && order.first() != Some(&0) {
            others.push(0);
        }
        singles.extend(self::singles(&lens, weighed, &near, &others));
        let least = |a: &&Single, b: &&Single| a.distance().total_cmp(&b.distance());
        // Wide kernels may stand near and be no likelier for it: what the first pass could not name is tried as two faults too.
        let is_open = weighed.posterior.none > UNNAMED;
        if is_held || is_left || is_open || singles.iter().min_by(least)?.doubt(count) > 0.0 {
            pairs = look_at_pairs(&lens, weighed);
            if let Some((_, pair)) = pairs.nearest() {
                singles.extend(alone(&lens, pair, &near));
            }
        }
    }
    let least = singles.iter().map(Single::distance);
    let left_over = least.fold(f64::INFINITY, f64::min) / count;
    let pairs = weigh(model, weighed, &singles, &pairs, count);
    Some(Again { pairs, left_over })
}

/// How near the kernels of each cause stand.
struct Nearest {
    /// The nearest one's squared distance by numbers.
    numbers: Vec<f64>,
    /// The same with the words, and not how wide the kernels are.
    all: Vec<f64>,
}

impl Nearest {
    fn of(lens: &Lens<'_>) -> Self {
        let none = vec![f64::INFINITY; lens.model.causes.len()];
        let (mut numbers, mut all) = (none.clone(), none);
        let scores = lens.model.scores(lens.evidence);
        for (score, kernel) in scores.iter().zip(&lens.model.kernels) {
            let cause = kernel.cause;
            numbers[cause] = numbers[cause].min(score.distance);
            all[cause] = all[cause].min(score.distance - 2.0 * score.words);
        }
        Self { numbers, all }
    }
}

/// What is looked at beside the likeliest cause.
fn others(order: &[usize], p: &Posterior, near: &Nearest) -> Vec<usize> {
    let least = LEAST * (1.0 - p.none);
    let next = order.iter().copied().skip(1).take(NEXT);
    let mut out: Vec<usize> = next.filter(|&c| p.causes[c] >= least).collect();
    let mut nearest = order.to_vec();
    nearest.sort_by(|&a, &b| near.all[a].total_cmp(&near.all[b]));
    let nearest = nearest.into_iter().take(NEAREST);
    out.extend(nearest.filter(|c| order.first() != Some(c) && near.all[*c].is_finite()));
    out.sort_unstable();
    out.dedup();
    out
}

/// Causes looked at, in their order.
fn singles(lens: &Lens<'_>, weighed: &Weighed, near: &Nearest, causes: &[usize]) -> Vec<Single> {
    let all = in_parallel(causes.len(), |k| {
        let cause = causes[k];
        let closest = lens.look(stands_of(lens, &weighed.posterior.kernels, cause))?;
        Some(Single {
            cause,
            closest,
            widely: near.numbers[cause],
        })
    });
    all.into_iter().flatten().collect()
}

/// Where the likeliest kernels of a cause stand.
fn stands_of(lens: &Lens<'_>, weights: &[f64], cause: usize) -> Vec<Guess> {
    let kernels = &lens.model.kernels;
    let mut of: Vec<usize> = (0..kernels.len())
        .filter(|&k| kernels[k].cause == cause)
        .collect();
    of.sort_by(|&a, &b| weights[b].total_cmp(&weights[a]));
    let stand = |k: usize| {
        let sample = &lens.library.samples[kernels[k].sample];
        Guess {
            faults: sample
                .fault
                .map(|f| (f, sample.severity))
                .into_iter()
                .collect(),
            unknowns: sample.unknowns,
            drawn: Drawn::NOT,
            values: Some(sample.values()),
        }
    };
    let mut out: Vec<Guess> = of.into_iter().take(STANDS).map(stand).collect();
    if let Some(drawn) = out.first().and_then(|g| drawn_before(lens, g)) {
        out.insert(1, drawn);
    }
    out
}

/// The same rig where its container was drawn from before, where the readings have one that is colder than its air.
fn drawn_before(lens: &Lens<'_>, stand: &Guess) -> Option<Guess> {
    let read = |id: Id| {
        let mut numbers = lens.evidence.numbers.iter();
        let found = numbers.find(|n| n.0 == id.index())?;
        Some(ALL[found.0].unscaled(found.1))
    };
    let gauge_pa = BEFORE_THE_REGULATOR.into_iter().find_map(read)?;
    let site = lens.library.base.site;
    let (air_k, elevation_m) = if lens.library.allowance.world.outside {
        (stand.unknowns.air_k(), stand.unknowns.elevation_m())
    } else {
        (site.air_k.at(0.0), site.elevation_m.at(0.0))
    };
    let air_k = read(Id::Air).unwrap_or(air_k);
    let boils_k = saturation_temperature_k(Species::Propane, gauge_pa + atmosphere_pa(elevation_m));
    let colder_k = air_k - boils_k;
    (colder_k > DRAWN_FROM_K).then(|| Guess {
        drawn: Drawn::of_colder(colder_k, air_k),
        values: None,
        ..stand.clone()
    })
}

/// Pairs that may be there, and how near those came that were looked at.
#[derive(Default)]
struct Looked {
    found: Vec<Candidate>,
    closest: Vec<Option<Closest>>,
}

impl Looked {
    fn all(&self) -> impl Iterator<Item = (&Candidate, &Closest)> {
        let seen = self.found.iter().zip(&self.closest);
        seen.filter_map(|(found, closest)| closest.as_ref().map(|c| (found, c)))
    }

    fn nearest(&self) -> Option<(&Candidate, &Closest)> {
        self.all()
            .min_by(|a, b| a.1.distance().total_cmp(&b.1.distance()))
    }
}

/// Pairs by their kernels laid over each other, the likeliest of them looked at.
fn look_at_pairs(lens: &Lens<'_>, weighed: &Weighed) -> Looked {
    let prior = |faults| prior_of(lens.model, weighed, faults);
    let mut found = pairs::candidates(lens.model, lens.evidence, &prior);
    if weighed.relief_held_pa.is_some() {
        // Half of the looks are theirs: a relief may also be slow to open, or have been heard by nobody.
        let mut held = pairs::with_relief_shut(lens, &prior);
        held.truncate(pairs::LOOKED_AT / 2);
        found.retain(|pair| held.iter().all(|other| other.faults != pair.faults));
        found.splice(0..0, held);
    }
    let closest = in_parallel(found.len().min(pairs::LOOKED_AT), |k| {
        lens.look(found[k].stands())
    });
    Looked { found, closest }
}

/// Each of a pair's faults alone, from where the pair stands: what one fault explains needs no second.
fn alone(lens: &Lens<'_>, pair: &Closest, near: &Nearest) -> Vec<Single> {
    let faults = &pair.stand.faults;
    let seen = in_parallel(faults.len(), |k| {
        let stand = Guess {
            faults: vec![faults[k]],
            values: None,
            ..pair.stand.clone()
        };
        let drawn = drawn_before(lens, &stand);
        let of = |c: &Option<Fault>| *c == Some(faults[k].0);
        let cause = lens.model.causes.iter().position(of)?;
        Some(Single {
            cause,
            closest: lens.look([stand].into_iter().chain(drawn))?,
            widely: near.numbers[cause],
        })
    });
    seen.into_iter().flatten().collect()
}

/// Prior of a pair by the weights of its faults. One that shows nowhere alone has none by itself, and may still be there beside another.
fn prior_of(model: &Model, weighed: &Weighed, faults: [Fault; 2]) -> f64 {
    let total: f64 = weighed.weights.iter().sum();
    pairs::prior_of(faults, |f| {
        let place = model.causes.iter().position(|c| *c == Some(f));
        let weight = place.map_or(0.0, |c| match model.counts[c] {
            0 => prior::weight(Some(f), &weighed.given).0,
            _ => weighed.weights[c],
        });
        weight / total
    })
}

/// Logarithm of the share that pairs have of what no single cause explains, where the nearest of them leaves so much over. Before
/// anything was looked at a second fault is likelier than something that is in no catalogue, as their chances stand; the nearer the
/// pair, the more.
fn log_share_of_pairs(doubt: f64) -> f64 {
    -(NONE / pairs::SECOND_FAULT * doubt.exp()).ln_1p()
}

/// Puts single causes, pairs and "none of these" together. All is counted against the cause that was likeliest before.
fn weigh(
    model: &Model,
    weighed: &mut Weighed,
    singles: &[Single],
    pairs: &Looked,
    count: f64,
) -> Vec<Pair> {
    let total: f64 = weighed.weights.iter().sum();
    let alone: Vec<f64> = weighed.weights.iter().map(|w| w / total).collect();
    let priors: Vec<f64> = pairs
        .found
        .iter()
        .map(|found| prior_of(model, weighed, found.faults))
        .collect();
    let of_faults = |faults: [Fault; 2]| {
        let at = pairs.found.iter().position(|found| found.faults == faults);
        at.map_or(0.0, |at| priors[at])
    };
    let p = &mut weighed.posterior;
    let first = &singles[0];
    let (of_first, prior_of_first) = (p.causes[first.cause], alone[first.cause].max(1e-300));
    let tuning = model.tuning;
    let power = tuning.power(count as usize);
    let log_of = |fit: f64, closest: &Closest| {
        closest.width - 0.5 * (power * fit + tuning.words * closest.surprise)
    };
    let doubt = power * log_doubt(first.fit(), count) + tuning.words * first.closest.odd;
    let missed = log_missed(doubt);
    let own = log_of(first.fit(), &first.closest) + missed;
    // How likely something is that comes so near, against the likeliest cause.
    let against = |closest: &Closest, prior: f64| {
        let log = (of_first * prior / prior_of_first).max(1e-300).ln();
        log + log_of(closest.fit, closest) - own
    };
    let mut logs: Vec<f64> = p.causes.iter().map(|c| c.max(1e-300).ln()).collect();
    for one in singles[1..].iter().filter(|one| one.closest.is_near(count)) {
        let log = against(&one.closest, alone[one.cause]);
        logs[one.cause] = logs[one.cause].max(log);
    }
    let mut none = if tuning.may_be_none {
        let seen = (NONE * (1.0 - p.none)).max(1e-300).ln() + doubt - missed;
        p.none.max(1e-300).ln().max(seen)
    } else {
        f64::NEG_INFINITY
    };
    let mut of_pairs: Vec<(Pair, f64)> = pairs
        .all()
        .map(|(found, closest)| {
            let log = against(closest, of_faults(found.faults));
            let at = |k: usize| closest.stand.faults.get(k).map_or(0.0, |f| f.1);
            let left_over = Some(closest.distance() / count);
            let pair = Pair {
                reads: closest.stand.values,
                ..Pair::new(found.faults, [at(0), at(1)], left_over)
            };
            (pair, log)
        })
        .collect();
    // Those that were not looked at weigh as their kernels do against those of the likeliest that was.
    let best = pairs
        .all()
        .zip(&of_pairs)
        .map(|((found, _), (_, log))| (found, *log));
    if let Some((found, log)) = best.max_by(|a, b| a.1.total_cmp(&b.1)) {
        let base = log - found.log - of_faults(found.faults).max(1e-300).ln();
        let others = pairs.found.iter().skip(pairs.closest.len());
        of_pairs.extend(others.map(|o| {
            let log = base + o.log + of_faults(o.faults).max(1e-300).ln();
            (Pair::new(o.faults, o.severities(), None), log)
        }));
    }
    // What the first pass could not name is no single cause; where two come near, most of that is theirs.
    // How rare its words are counts in what it leaves over: "steady" for slow bubbles parts no pair from its leak.
    let nearest = pairs.nearest().map(|(_, c)| c);
    let nearest = nearest.filter(|c| c.fit < NEAR * count);
    if let Some(pair) = nearest {
        let left = power * log_doubt(pair.fit, count) + tuning.words * pair.odd;
        let share = log_share_of_pairs(left);
        let all = of_pairs.iter().map(|x| x.1).reduce(log_sum);
        if let Some(more) = all.map(|all| none + share - all).filter(|more| *more > 0.0) {
            of_pairs.iter_mut().for_each(|x| x.1 += more);
            none += (-share.exp_m1()).max(1e-300).ln();
        }
    }
    // That a lock-up which fails was misread is no likelier than that it fails, where a second fault beside it explains the whole (own).
    if first.closest.left > 0 {
        let explains = |x: &(Pair, f64)| x.0.left_over.is_some_and(|left| left < NEAR);
        let near: Vec<bool> = pairs.all().map(|(_, c)| c.left == 0).collect();
        let explains = |k: usize, x: &(Pair, f64)| near.get(k) == Some(&true) && explains(x);
        let raised = of_pairs.iter().enumerate().filter(|(k, x)| explains(*k, x));
        let raised = raised.map(|(_, x)| x.1).reduce(log_sum);
        let alone = logs.iter().copied().reduce(log_sum);
        if let Some(more) = raised
            .zip(alone)
            .map(|(r, a)| a - r)
            .filter(|more| *more > 0.0)
        {
            let all = of_pairs.iter_mut().enumerate();
            all.filter(|(k, x)| explains(*k, x))
                .for_each(|(_, x)| x.1 += more);
        }
    }
    let all = || logs.iter().copied().chain(of_pairs.iter().map(|x| x.1));
    let most = all().fold(none, f64::max);
    let share = |log: f64| (log - most).exp();
    let sum = all().map(share).sum::<f64>() + share(none);
    p.none = share(none) / sum;
    for (kernel, weight) in model.kernels.iter().zip(&mut p.kernels) {
        let was = p.causes[kernel.cause];
        *weight *= if was > 0.0 {
            share(logs[kernel.cause]) / sum / was
        } else {
            0.0
        };
    }
    for (cause, log) in p.causes.iter_mut().zip(&logs) {
        *cause = share(*log) / sum;
    }
    let mut out: Vec<Pair> = of_pairs
        .into_iter()
        .map(|(pair, log)| Pair {
            probability: share(log) / sum,
            ..pair
        })
        .collect();
    out.sort_by(|a, b| b.probability.total_cmp(&a.probability));
    out
}

#[cfg(test)]
mod tests {
    use super::{log_doubt, log_share_of_pairs};

    /// A pair that is as near as instruments leave it has most of what no single cause explains, and one that is far off nothing.
    #[test]
    fn what_no_single_cause_explains_is_mostly_a_near_pairs() {
        let share = |fit: f64| log_share_of_pairs(log_doubt(fit, 7.0)).exp();
        assert!(share(7.0) > 0.7 && share(7.0) < 0.99, "{}", share(7.0));
        assert!(share(60.0) < 0.01, "{}", share(60.0));
    }

    #[test]
    fn what_instruments_leave_over_is_no_doubt_and_twice_as_much_is() {
        for count in [4.0, 30.0] {
            assert!(log_doubt(count, count) < 0.0);
            let logs: Vec<f64> = (1..200).map(|k| log_doubt(f64::from(k), count)).collect();
            assert!(logs.windows(2).all(|w| w[1] > w[0]), "more is more");
            assert!(log_doubt(1e6, count).is_finite());
        }
        assert!(log_doubt(70.0, 30.0) > 4.0 && log_doubt(44.0, 30.0) < 1.0);
    }
}
