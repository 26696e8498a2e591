//! How good the diagnosis is: [`super::cases`] read, diagnosed as a question of the window or the command line is, the
//! closer look with it, and counted; beside it the quick-split rules of the trade, and the minutes of work to certainty.
//! Faults too slight to show are counted apart.

use super::baseline;
use super::cases::{Case, HEALTHY};
use crate::diagnosis::closer::doubt::Again;
use crate::diagnosis::files::cause::cause_id;
use crate::diagnosis::files::readings::Readings;
use crate::diagnosis::inference::alike;
use crate::diagnosis::inference::evidence::Evidence;
use crate::diagnosis::inference::hangs;
use crate::diagnosis::inference::next::Offer;
use crate::diagnosis::inference::posterior::posterior;
use crate::diagnosis::inference::safety::{self, Danger};
use crate::diagnosis::inference::walk::{Reached, Way, walk};
use crate::diagnosis::library::random::Random;
use crate::diagnosis::library::words;
use crate::diagnosis::store::Prepared;
use crate::diagnosis::weighed::{Weighed, priors};
use crate::visit::{ALL, ITEMS, Test, Values};
use serde::Serialize;
use std::sync::atomic::AtomicBool;

/// A diagnosis is certain from this probability of one group on.
pub const CERTAIN: f64 = 0.95;

/// From this probability on an answer is sure.
const SURE: f64 = 0.9;

/// How often what is right stands where, by one way of counting what is one cause.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Places {
    /// Share of faulty cases where it came first.
    pub first: f64,
    /// Share of faulty cases where it was among the first three.
    pub in_three: f64,
    /// Cases, faulty or healthy, where something else came first with over nine tenths.
    pub sure_and_wrong: usize,
    /// Expected calibration error over ten bins of the first one's probability.
    pub calibration_error: f64,
    /// Of each bin: cases, the sum of what was claimed, how many were right.
    pub bins: [(usize, f64, usize); 10],
    #[serde(skip)]
    faulty: usize,
}

impl Places {
    /// Takes a case: the weights of all that it may be, the place of what is right there, and the weights of what is
    /// never right: pairs of faults and "none of these". Gives how many of them stand before what is right.
    fn take(&mut self, weights: &[f64], right: usize, wrong: &[f64], is_faulty: bool) -> usize {
        let own = weights[right];
        let all = || weights.iter().chain(wrong).copied();
        let before = all().filter(|w| *w > own).count();
        let top = all().fold(0.0, f64::max);
        let bin = &mut self.bins[((10.0 * top) as usize).min(9)];
        *bin = (bin.0 + 1, bin.1 + top, bin.2 + usize::from(before == 0));
        self.sure_and_wrong += usize::from(before > 0 && top > SURE);
        if is_faulty {
            self.faulty += 1;
            self.first += one(before == 0);
            self.in_three += one(before < 3);
        }
        before
    }

    fn done(mut self) -> Self {
        let faulty = self.faulty.max(1) as f64;
        self.first /= faulty;
        self.in_three /= faulty;
        let off = self.bins.iter().map(|b| (b.1 - b.2 as f64).abs());
        let cases = self.bins.iter().map(|b| b.0).sum::<usize>().max(1);
        self.calibration_error = off.sum::<f64>() / cases as f64;
        self
    }
}

/// What was counted.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Figures {
    /// Faulty cases.
    pub faulty: usize,
    /// Healthy cases.
    pub healthy: usize,
    /// By groups that no test can tell apart.
    pub groups: Places,
    /// By groups as an answer has them: those joined that nothing would tell apart at this rig.
    pub here: Places,
    /// Each fault for itself.
    pub faults: Places,
    /// Share of healthy cases called faulty.
    pub healthy_called_faulty: f64,
    /// The same where a look that an answer hangs on is looked at again, as the answer asks for.
    pub healthy_called_faulty_again: f64,
    /// By groups, looked at again like that.
    pub again: Places,
    /// Share of all cases whose answer hangs on a look.
    pub hangs_on_a_look: f64,
    /// Share of faulty cases called healthy.
    pub faulty_called_healthy: f64,
    /// Share of all cases called unexplained.
    pub unexplained: f64,
    /// Share of all cases where a pair of faults came first.
    pub called_two: f64,
    /// Share of all cases that were looked at closer.
    pub looked_at: f64,
    /// Share called unexplained of sets mixed of two cases with different faults, test by test, without the closer look:
    /// most of them contradict themselves.
    pub mixed_unexplained: f64,
    /// Faulty cases too slight to show, in none of the shares above.
    pub slight: usize,
    /// Share of them whose group came first.
    pub slight_first: f64,
    /// Share of them called healthy.
    pub slight_called_healthy: f64,
    /// Share of **all** faulty cases, the slight ones among them, whose group came first; a fault too slight for
    /// any test to tell from healthy is one group with healthy.
    pub all_first: f64,
    /// The same, among the first three.
    pub all_in_three: f64,
    /// Share of faulty cases whose right group is the first of the quick-split rules.
    pub baseline_first: f64,
    /// ... among the first three of them.
    pub baseline_in_three: f64,
    /// Share of healthy cases the rules call faulty.
    pub baseline_healthy_called_faulty: f64,
    /// The mistakes made most often: true cause, first cause, how often.
    pub mistakes: Vec<(String, String, usize)>,
}

/// Minutes of work to certainty.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Work {
    /// Cases followed.
    pub cases: usize,
    /// Mean minutes of the whole fixed sequence.
    pub fixed_whole: f64,
    /// Mean minutes of the fixed sequence, stopped at certainty.
    pub fixed_stopped: f64,
    /// Mean minutes of the best next test, stopped at certainty or when no safe test is left.
    pub best_next: f64,
    /// Share of cases that reached certainty in the fixed sequence.
    pub fixed_certain: f64,
    /// Share of cases that reached it by the best next test.
    pub best_certain: f64,
    /// Share of cases that reached it by the best next test with groups as the isolability has them, none joined
    /// at the severities that the readings leave.
    pub best_certain_apart: f64,
    /// Mean size of the first group where the best next test stopped at certainty: 1 is one cause.
    pub best_size: f64,
    /// Largest of them.
    pub best_largest: usize,
    /// Share of cases whose first group was right when the best next test stopped.
    pub best_right: f64,
    /// Share of cases that reached certainty whose first group was right.
    pub certain_right: f64,
}

/// Flat priors: what the cases are drawn from.
pub fn flat(prepared: &Prepared) -> Vec<f64> {
    let n = prepared
        .model
        .counts
        .iter()
        .skip(1)
        .filter(|n| **n > 0)
        .count() as f64;
    priors(&prepared.model, &[])
        .iter()
        .enumerate()
        .map(|(c, w)| match (c, *w > 0.0) {
            (0, _) => HEALTHY,
            (_, true) => (1.0 - HEALTHY) / n,
            _ => 0.0,
        })
        .collect()
}

fn order(weights: &[f64]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..weights.len()).collect();
    order.sort_by(|&a, &b| weights[b].total_cmp(&weights[a]));
    order
}

fn share(count: usize, of: usize) -> f64 {
    count as f64 / of.max(1) as f64
}

/// Readings of a case, asked with the priors that cases are drawn from.
pub fn asked(prepared: &Prepared, read: Values) -> Readings {
    let causes = prepared.model.causes.iter().copied();
    Readings {
        values: read,
        priors: causes.zip(flat(prepared)).collect(),
        ..Readings::default()
    }
}

/// Diagnoses every case from all its readings and counts; `progress` hears of each.
pub fn figures(prepared: &Prepared, cases: &[Case], progress: &dyn Fn(usize)) -> Figures {
    let model = &prepared.model;
    let mut f = Figures::default();
    let (mut false_alarm, mut missed) = (0, 0);
    let (mut false_again, mut hanging) = (0, 0);
    let (mut unexplained, mut called_two, mut looked_at) = (0, 0, 0);
    let (mut base_first, mut base_three, mut base_false) = (0, 0, 0);
    let mut slight = (0, 0);
    let mut slight_together = (0, 0);
    let mut mistakes: Vec<(String, String, usize)> = Vec::new();
    for (i, case) in cases.iter().enumerate() {
        progress(i);
        let Some(truth) = model.causes.iter().position(|c| *c == case.fault) else {
            continue;
        };
        let readings = asked(prepared, case.read);
        let (weighed, again) = prepared.looked(&readings, &AtomicBool::new(false), &|_| {});
        let p = &weighed.posterior;
        let wrong = never_right(&weighed, again.as_ref());
        let (group, healthy) = (prepared.groups.of[truth], prepared.groups.of[0]);
        let of_groups = alike::of_groups(&prepared.groups, p);
        let ranked = order(&of_groups);
        if !case.shows {
            f.slight += 1;
            let right = |k: usize| ranked[0] == k && wrong.iter().all(|w| *w < of_groups[k]);
            slight.0 += usize::from(right(group));
            slight.1 += usize::from(right(healthy));
            let among = |ranked: &[usize]| ranked.iter().any(|g| *g == group || *g == healthy);
            slight_together.0 += usize::from(right(group) || right(healthy));
            slight_together.1 += usize::from(among(&ranked[..3]));
            continue;
        }
        let is_faulty = case.fault.is_some();
        let before = f.groups.take(&of_groups, group, &wrong, is_faulty);
        let second = looked_again(prepared, case, &weighed, i as u64);
        hanging += usize::from(second.is_some());
        let (of_again, wrong_again) = second
            .as_ref()
            .map_or((&of_groups, &wrong), |(g, w)| (g, w));
        let before_again = f.again.take(of_again, group, wrong_again, is_faulty);
        f.faults.take(&p.causes, truth, &wrong, is_faulty);
        let items = alike::on_offer(&case.read, safety::demand(&case.read).0);
        let here = alike::joined(model, &prepared.groups, p, &items);
        let of_here = alike::of_groups(&here, p);
        f.here.take(&of_here, here.of[truth], &wrong, is_faulty);
        let is_first = |w: f64| w > 0.0 && of_groups.iter().chain(&wrong).all(|other| *other <= w);
        unexplained += usize::from(is_first(p.none));
        called_two += usize::from(
            wrong
                .first()
                .is_some_and(|w| wrong.len() > 1 && is_first(*w)),
        );
        looked_at += usize::from(again.is_some());
        let rules = baseline::rank(&case.read);
        let has = |list: &[&str]| {
            prepared.groups.members[group]
                .iter()
                .any(|&c| list.contains(&cause_id(model.causes[c]).as_str()))
        };
        if is_faulty {
            f.faulty += 1;
            missed += usize::from(ranked[0] == healthy);
            base_first += usize::from(has(&rules[..rules.len().min(1)]));
            base_three += usize::from(has(&rules[..rules.len().min(3)]));
        } else {
            f.healthy += 1;
            false_alarm += usize::from(before > 0);
            false_again += usize::from(before_again > 0);
            base_false += usize::from(!has(&rules[..rules.len().min(1)]));
        }
        if before > 0 {
            let called = if is_first(p.none) {
                "none of these".to_owned()
            } else if is_first(wrong[0]) {
                "two faults".to_owned()
            } else {
                cause_id(model.causes[order(&p.causes)[0]])
            };
            let a = cause_id(case.fault);
            match mistakes.iter_mut().find(|m| m.0 == a && m.1 == called) {
                Some(m) => m.2 += 1,
                None => mistakes.push((a, called, 1)),
            }
        }
    }
    mistakes.sort_by_key(|m| std::cmp::Reverse(m.2));
    mistakes.truncate(15);
    f.mistakes = mistakes;
    let sums = (f.groups.first as usize, f.groups.in_three as usize);
    (f.groups, f.here, f.faults) = (f.groups.done(), f.here.done(), f.faults.done());
    f.again = f.again.done();
    f.healthy_called_faulty_again = share(false_again, f.healthy);
    f.healthy_called_faulty = share(false_alarm, f.healthy);
    f.faulty_called_healthy = share(missed, f.faulty);
    f.mixed_unexplained = mixed_unexplained(prepared, cases, &flat(prepared));
    f.slight_first = share(slight.0, f.slight);
    f.all_first = share(sums.0 + slight_together.0, f.faulty + f.slight);
    f.all_in_three = share(sums.1 + slight_together.1, f.faulty + f.slight);
    f.slight_called_healthy = share(slight.1, f.slight);
    let counted = f.faulty + f.healthy;
    f.unexplained = share(unexplained, counted);
    f.called_two = share(called_two, counted);
    f.looked_at = share(looked_at, counted);
    f.hangs_on_a_look = share(hanging, counted);
    f.baseline_first = share(base_first, f.faulty);
    f.baseline_in_three = share(base_three, f.faulty);
    f.baseline_healthy_called_faulty = share(base_false, f.healthy);
    f
}

/// Beliefs in what is never right of a case with one fault: the pairs that were looked at, and none of these.
fn never_right(weighed: &Weighed, again: Option<&Again>) -> Vec<f64> {
    let pairs = again.iter().flat_map(|a| &a.pairs).map(|x| x.probability);
    pairs.chain([weighed.posterior.none]).collect()
}

/// Stream of second looks.
const SECOND: u64 = 0x6167_6169_6e21;

/// What a case comes to by groups when whatever its answer hangs on alone is looked at again; a look that differs from
/// the first is followed by a third, which decides. Looks err each for itself: what deceives an eye every time, such as dust
/// or bad light, is not in here. None where nothing hangs on a look.
fn looked_again(
    prepared: &Prepared,
    case: &Case,
    weighed: &Weighed,
    number: u64,
) -> Option<(Vec<f64>, Vec<f64>)> {
    let Prepared { model, groups, .. } = prepared;
    let on = hangs::on_looks(model, &weighed.evidence, groups, &weighed.posterior);
    if on.is_empty() {
        return None;
    }
    let mut random = Random::new(SECOND, number);
    let mut read = case.read;
    for item in on {
        let truly = words::truly(item, &case.truth);
        let mut look = || Some(words::look(item, truly, 1.0, &mut random) as f64);
        let second = look();
        if second != read[item] {
            read[item] = look();
        }
    }
    let cancel = AtomicBool::new(false);
    let (weighed, again) = prepared.looked(&asked(prepared, read), &cancel, &|_| {});
    let wrong = never_right(&weighed, again.as_ref());
    Some((alike::of_groups(groups, &weighed.posterior), wrong))
}

/// Reads every second test off the next faulty case, and counts how often nothing explains it.
fn mixed_unexplained(prepared: &Prepared, cases: &[Case], prior: &[f64]) -> f64 {
    let faulty: Vec<&Case> = cases
        .iter()
        .filter(|c| c.shows && c.fault.is_some())
        .collect();
    let (mut none, mut of) = (0, 0);
    for pair in faulty.windows(2).filter(|w| w[0].fault != w[1].fault) {
        let mixed: Values = std::array::from_fn(|i| {
            let odd = Test::ALL.iter().position(|t| *t == ALL[i].test);
            pair[odd.unwrap_or(0) % 2].read[i]
        });
        let evidence = Evidence::new(&mixed, &[None; ITEMS], prepared.model.tuning.floor);
        let p = posterior(&prepared.model, &evidence, prior);
        of += 1;
        none += usize::from(p.none > 0.5);
    }
    share(none, of)
}

/// Follows the cases that show test by test: once by the best next test, once in the fixed order. The climb is
/// left out of both, and in both a test that is not safe after the readings so far is not made.
pub fn work(prepared: &Prepared, cases: &[Case], progress: &dyn Fn(usize)) -> Work {
    let cases: Vec<&Case> = cases.iter().filter(|c| c.shows).collect();
    let mut w = Work {
        cases: cases.len(),
        fixed_whole: fixed_minutes(),
        ..Work::default()
    };
    let n = cases.len().max(1) as f64;
    for (i, case) in cases.into_iter().enumerate() {
        let fixed = follow(prepared, case, Way::Fixed);
        let best = follow(prepared, case, Way::Best);
        w.fixed_stopped += fixed.minutes / n;
        w.best_next += best.minutes / n;
        w.fixed_certain += one(fixed.certain) / n;
        w.best_right += one(best.right) / n;
        if best.certain {
            w.best_certain += 1.0 / n;
            w.best_certain_apart += one(best.certain_apart) / n;
            w.certain_right += one(best.right);
            w.best_size += best.size as f64;
            w.best_largest = w.best_largest.max(best.size);
        }
        progress(i);
    }
    let certain = (w.best_certain * n).max(1.0);
    w.certain_right /= certain;
    w.best_size /= certain;
    w
}

fn one(yes: bool) -> f64 {
    f64::from(u8::from(yes))
}

/// Where a case that was followed ended.
struct Followed {
    minutes: f64,
    certain: bool,
    /// Whether it was certain of a group of the isolability, none joined for this case.
    certain_apart: bool,
    /// Whether the first group is the right one.
    right: bool,
    /// Causes in the first group.
    size: usize,
}

fn follow(prepared: &Prepared, case: &Case, way: Way) -> Followed {
    let model = &prepared.model;
    let truth = model.causes.iter().position(|c| *c == case.fault);
    let mut offer = Offer::safe(Danger::None);
    offer.retain(|t| t != Test::Climb);
    let mut out = Followed {
        minutes: 0.0,
        certain: false,
        certain_apart: false,
        right: false,
        size: 0,
    };
    let mut look = |stand: &Reached<'_>| {
        let p = stand.posterior;
        let offered =
            |i: &usize| stand.known[*i].is_some() || stand.left.items(ALL[*i].test).contains(i);
        let items: Vec<usize> = (0..ITEMS).filter(offered).collect();
        let groups = alike::joined(model, &prepared.groups, p, &items);
        let of_groups = alike::of_groups(&groups, p);
        let top = order(&of_groups)[0];
        let apart = alike::of_groups(&prepared.groups, p);
        out = Followed {
            minutes: stand.minutes,
            certain: of_groups[top] >= CERTAIN,
            certain_apart: apart.iter().any(|g| *g >= CERTAIN),
            right: truth.is_some_and(|t| groups.of[t] == top),
            size: groups.members[top].len(),
        };
        (!out.certain).then_some(groups)
    };
    walk(model, &flat(prepared), &offer, &case.read, way, &mut look);
    out
}

/// Minutes of work of the whole fixed sequence, the climb left out.
pub fn fixed_minutes() -> f64 {
    Test::ALL
        .iter()
        .filter(|t| **t != Test::Climb)
        .map(|t| t.minutes())
        .sum()
}
