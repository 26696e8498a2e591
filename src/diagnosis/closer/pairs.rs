//! Two faults at once, where no single cause comes near the readings: which pairs may be there, by kernels of the library
//! laid over each other (the nearest single kernels over all others). How near they come when they are looked at closer,
//! and what that is worth: `doubt`.

use super::look::{Guess, Lens};
use crate::diagnosis::inference::evidence::Evidence;
use crate::diagnosis::inference::model::{Kernel, Model};
use crate::diagnosis::library::unknowns::{Drawn, UNKNOWNS, Unknowns};
use crate::fault::Fault;
use crate::rig::Rig;
use crate::service::LIMITS;
use crate::visit::{ALL, Scale};

/// Causes whose nearest kernels are laid over all others, and how many of each.
const CAUSES: usize = 24;
const NEAREST: usize = 2;
/// Pairs that are weighed, how many of them are looked at closer, and from how many stands each.
const PAIRS: usize = 40;
pub(in crate::diagnosis) const LOOKED_AT: usize = 8;
const STANDS: usize = 2;
/// Chance that a faulty rig has a second fault (invented).
pub(in crate::diagnosis) const SECOND_FAULT: f64 = 0.05;
/// Most that a prior counts for here, so that what may be there besides is never nothing.
const MOST_PRIOR: f64 = 0.9;

/// Prior of a pair from those of its faults: one of them is there, and of all that may be there besides it is the other.
pub(in crate::diagnosis) fn prior_of(faults: [Fault; 2], prior: impl Fn(Fault) -> f64) -> f64 {
    let [a, b] = faults.map(|f| prior(f).min(MOST_PRIOR));
    SECOND_FAULT * a * b * ((1.0 - a).recip() + (1.0 - b).recip())
}

/// A pair that may be there.
pub(in crate::diagnosis) struct Candidate {
    pub(in crate::diagnosis) faults: [Fault; 2],
    /// Logarithm of how likely the readings are by its kernels laid over each other.
    pub(in crate::diagnosis) log: f64,
    /// Severities of the likeliest of these, and their logarithms.
    stands: Vec<([f64; 2], f64)>,
}

impl Candidate {
    /// Where a closer look begins.
    pub(in crate::diagnosis) fn stands(&self) -> impl Iterator<Item = Guess> {
        let [a, b] = self.faults;
        self.stands.iter().map(move |(severities, _)| Guess {
            faults: vec![(a, severities[0]), (b, severities[1])],
            unknowns: Unknowns([0.0; UNKNOWNS]),
            drawn: Drawn::NOT,
            values: None,
        })
    }

    /// Severities of its likeliest kernels.
    pub(in crate::diagnosis) fn severities(&self) -> [f64; 2] {
        self.stands.first().map_or([0.0; 2], |s| s.0)
    }

    fn take(&mut self, severities: [f64; 2], log: f64) {
        self.log = self.log.max(log);
        let at = self.stands.partition_point(|s| s.1 >= log);
        self.stands.insert(at, (severities, log));
        self.stands.truncate(STANDS);
    }
}

/// The likeliest pairs, the likeliest first: by their kernels and by how common both are.
pub(in crate::diagnosis) fn candidates(
    model: &Model,
    evidence: &Evidence,
    prior: &dyn Fn([Fault; 2]) -> f64,
) -> Vec<Candidate> {
    let scores = model.scores(evidence);
    let faulty = |k: usize| model.causes[model.kernels[k].cause];
    let mut near: Vec<usize> = (0..scores.len()).filter(|&k| faulty(k).is_some()).collect();
    near.sort_by(|&a, &b| scores[b].log.total_cmp(&scores[a].log));
    // A few of each cause: where two faults are in the rig, the nearest of them all are mostly of one.
    let mut taken: Vec<(usize, usize)> = Vec::new();
    near.retain(|&k| {
        let cause = model.kernels[k].cause;
        if let Some(of) = taken.iter_mut().find(|t| t.0 == cause) {
            of.1 += 1;
            return of.1 <= NEAREST;
        }
        taken.push((cause, 1));
        taken.len() <= CAUSES
    });
    let mut out: Vec<Candidate> = Vec::new();
    let usual = model.usual_words();
    for a in near {
        let Some(first) = faulty(a) else { continue };
        let others: Vec<usize> = (0..model.kernels.len())
            .filter(|&b| faulty(b).is_some_and(|f| f != first))
            .collect();
        let laid: Vec<Kernel> = others
            .iter()
            .map(|&b| model.superposed(&model.kernels[a], &model.kernels[b], &usual))
            .collect();
        for (&b, score) in others.iter().zip(model.scores_of(evidence, &laid)) {
            let Some(second) = faulty(b) else { continue };
            let severities = [model.kernels[a].severity, model.kernels[b].severity];
            take(&mut out, [first, second], severities, score.log);
        }
    }
    let weight = |pair: &Candidate| pair.log + prior(pair.faults).max(1e-300).ln();
    out.sort_by(|a, b| weight(b).total_cmp(&weight(a)));
    out.truncate(PAIRS);
    out
}

/// Pairs of what lets the low side rise and what keeps its relief shut, for readings over where a relief opens. Kernels cannot tell them: a
/// relief that does not open shows nothing alone, and beside others they stand no higher than theirs lets them. So of those readings only
/// counts that they are no lower than that, and each of the likeliest causes has such a relief put beside it.
pub(in crate::diagnosis) fn with_relief_shut(
    lens: &Lens<'_>,
    prior: &dyn Fn([Fault; 2]) -> f64,
) -> Vec<Candidate> {
    let model = lens.model;
    let (high, low): (Vec<_>, Vec<_>) = lens.evidence.numbers.iter().partition(|n| {
        let item = &ALL[n.0];
        item.kind == Scale::Low && LIMITS.far_over.is_passed_by(item.unscaled(n.1))
    });
    let at_least = |(item, scaled, variance): (usize, f64, f64)| {
        let least = ALL[item].scaled(LIMITS.far_over.high);
        (item, least.min(scaled), variance)
    };
    let mut evidence = lens.evidence.clone();
    evidence.numbers = low;
    let over: Vec<(usize, f64, f64)> = high.into_iter().chain(evidence.over).collect();
    evidence.over = over.into_iter().map(at_least).collect();
    let held: Vec<Fault> = model
        .causes
        .iter()
        .flatten()
        .copied()
        .filter(|fault| keeps_relief_shut(*fault, &lens.library.base.rig))
        .collect();
    let mut out: Vec<Candidate> = Vec::new();
    for (score, kernel) in model.scores(&evidence).iter().zip(&model.kernels) {
        let Some(fault) = model.causes[kernel.cause].filter(|f| !held.contains(f)) else {
            continue;
        };
        for shut in &held {
            take(
                &mut out,
                [fault, *shut],
                [kernel.severity, MOST_SEVERE],
                score.log,
            );
        }
    }
    let weight = |pair: &Candidate| pair.log + prior(pair.faults).max(1e-300).ln();
    out.sort_by(|a, b| weight(b).total_cmp(&weight(a)));
    out.truncate(LOOKED_AT);
    out
}

/// A relief that does not open at all.
const MOST_SEVERE: f64 = 1.0;

/// Whether a fault does nothing but keep the relief of the low side from opening, by what it makes of a rig.
fn keeps_relief_shut(fault: Fault, rig: &Rig) -> bool {
    let mut with = rig.clone();
    fault.apply(&mut with, MOST_SEVERE);
    let both = rig.second.relief.as_ref().zip(with.second.relief.as_ref());
    both.is_some_and(|(before, after)| {
        (before.free && !after.free) || after.preload_n > 2.0 * before.preload_n
    })
}

/// Takes in a pair of kernels, whichever of its faults comes first.
fn take(all: &mut Vec<Candidate>, faults: [Fault; 2], severities: [f64; 2], log: f64) {
    let turned = [faults[1], faults[0]];
    if let Some(same) = all.iter_mut().find(|o| o.faults == faults) {
        same.take(severities, log);
    } else if let Some(same) = all.iter_mut().find(|o| o.faults == turned) {
        same.take([severities[1], severities[0]], log);
    } else {
        all.push(Candidate {
            faults,
            log,
            stands: vec![(severities, log)],
        });
    }
}

#[cfg(test)]
mod tests {
    use super::keeps_relief_shut;
    use crate::diagnosis::library::standard::standard_rig;
    use crate::fault::Fault;

    /// What keeps a relief shut is told by what it makes of the rig: one fault of the catalogue holds its disc, one seals its way out at
    /// another place and is not this.
    #[test]
    fn a_relief_that_is_held_is_told_by_the_rig() {
        let rig = standard_rig().rig;
        let held: Vec<&str> = Fault::all()
            .filter(|fault| keeps_relief_shut(*fault, &rig))
            .map(Fault::id)
            .collect();
        assert_eq!(held, ["relief_stuck_shut"]);
    }
}
