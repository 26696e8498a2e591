//! Causes that no test on offer would tell apart on *this* rig: which groups of causes are one group at the
//! severities that the readings leave.
//!
//! Two causes that differ plainly when severe may be one picture when both are slight, or behind a third that
//! hides them. From each likely group kernels are drawn by their weight after the readings; from each of these an
//! outcome of **all** items on offer, those measured already among them and measured afresh; and the mean probability of the true one of
//! two is taken, both held alike before. Under [`TOLD_APART`] they are one group here: the limit by which the
//! isolability of whole causes is counted ([`super::isolate`]). A healthy rig is never joined to a fault: what is
//! to be done then is not the same.
//!
//! Not here: groups over all severities (`isolate`).

use super::conditional::Conditionals;
use super::evidence::Evidence;
use super::isolate::{Groups, TOLD_APART, linked};
use super::model::Model;
use super::outcomes::{draw, outcomes};
use super::posterior::Posterior;
use super::safety::Danger;
use crate::visit::{ALL, ITEMS, Values};

/// Particles of each group.
const EACH: usize = 24;
/// Groups looked at: the likeliest, down to this probability, no more than so many.
const LEAST: f64 = 0.01;
/// See [`LEAST`].
const MOST: usize = 6;

/// The cause that is no fault.
pub(super) const HEALTHY: usize = 0;

/// Probability of each group.
pub fn of_groups(groups: &Groups, posterior: &Posterior) -> Vec<f64> {
    let mut out = vec![0.0; groups.members.len()];
    for (c, w) in posterior.causes.iter().enumerate() {
        out[groups.of[c]] += w;
    }
    out
}

/// Items that have been measured, or that a test gives which is safe now.
pub fn on_offer(values: &Values, danger: Danger) -> Vec<usize> {
    (0..ITEMS)
        .filter(|&i| values[i].is_some() || danger.allows_item(ALL[i].id))
        .collect()
}

/// `groups`, with those joined that no measuring of `items` would tell apart here.
pub fn joined(model: &Model, groups: &Groups, posterior: &Posterior, items: &[usize]) -> Groups {
    let probability = of_groups(groups, posterior);
    let mut likely: Vec<usize> = (0..probability.len())
        .filter(|&g| probability[g] >= LEAST && g != groups.of[HEALTHY])
        .collect();
    likely.sort_by(|&a, &b| probability[b].total_cmp(&probability[a]));
    likely.truncate(MOST);
    if likely.len() < 2 {
        return groups.clone();
    }
    let told = told_apart(model, groups, posterior, items, &likely);
    let mut members: Vec<Vec<usize>> = (0..groups.members.len())
        .filter(|g| !likely.contains(g))
        .map(|g| groups.members[g].clone())
        .collect();
    for together in linked(likely.len(), TOLD_APART, &|a, b| told[a][b]) {
        let mut all: Vec<usize> = together
            .iter()
            .flat_map(|&k| groups.members[likely[k]].iter().copied())
            .collect();
        all.sort_unstable();
        members.push(all);
    }
    members.sort();
    Groups::from_members(model, members)
}

/// Mean probability of the true one of each two of the `likely` groups.
fn told_apart(
    model: &Model,
    groups: &Groups,
    posterior: &Posterior,
    items: &[usize],
    likely: &[usize],
) -> Vec<Vec<f64>> {
    let nothing = Evidence {
        numbers: Vec::new(),
        words: Vec::new(),
        over: Vec::new(),
        told: Vec::new(),
    };
    let conditionals = Conditionals::new(model, &nothing);
    let mut particles = Vec::new();
    for &g in likely {
        let kernels = posterior.kernels.iter().copied().enumerate();
        let of = kernels.filter(|(k, _)| groups.of[model.kernels[*k].cause] == g);
        particles.extend(draw(model, groups, of, &conditionals, EACH));
    }
    let n = likely.len();
    let mut right = vec![vec![0.0; n]; n];
    outcomes(
        model,
        groups,
        &conditionals,
        &particles,
        items,
        &mut |p, weights| {
            let Some(own) = likely.iter().position(|&g| g == p.group) else {
                return;
            };
            for (other, &g) in likely.iter().enumerate() {
                let both = weights[p.group] + weights[g];
                // Neither has anything left: as good as a coin.
                let share = if both > 0.0 {
                    weights[p.group] / both
                } else {
                    0.5
                };
                right[own][other] += share / EACH as f64;
            }
        },
    );
    (0..n)
        .map(|a| (0..n).map(|b| 0.5 * (right[a][b] + right[b][a])).collect())
        .collect()
}
