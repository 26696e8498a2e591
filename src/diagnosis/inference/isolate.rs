//! Isolability: which causes the whole set of tests can tell apart, computed from the library.
//!
//! Each of some samples of a cause is read as a case of its own (itself left out of the library)
//! with every item measured, and the probability of each other cause against the true one is
//! taken. Two causes whose samples are told apart with a mean probability under
//! [`TOLD_APART`] form one group; in a larger group that holds for every two of its members.

use super::evidence::Evidence;
use super::model::{HIDES, Model};
use crate::diagnosis::files::cause::{cause_id, cause_name};
use crate::diagnosis::library::collection::Library;
use crate::fault::Fault;
use crate::visit::{ALL, ITEMS, NUMBERS};
use serde::Serialize;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Two causes are told apart from this mean probability of the true one on; 0.5 is a coin.
pub const TOLD_APART: f64 = 0.66;

/// Causes that no test in the set can tell apart.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Groups {
    /// Group of each cause of the model.
    pub of: Vec<usize>,
    /// Members of each group, as indices of causes.
    pub members: Vec<Vec<usize>>,
    /// Name of each group.
    pub names: Vec<String>,
}

impl Groups {
    /// Every cause for itself.
    pub fn apart(model: &Model) -> Self {
        Self::from_members(model, (0..model.causes.len()).map(|c| vec![c]).collect())
    }

    pub(in crate::diagnosis) fn from_members(model: &Model, members: Vec<Vec<usize>>) -> Self {
        let mut of = vec![0; model.causes.len()];
        for (g, group) in members.iter().enumerate() {
            group.iter().for_each(|&c| of[c] = g);
        }
        let names = members
            .iter()
            .map(|group| {
                let name = |&c: &usize| {
                    let all: Vec<String> = model.faults(c).map(Fault::name).collect();
                    if all.is_empty() {
                        cause_name(None)
                    } else {
                        all.join(" and ")
                    }
                };
                let names: Vec<String> = group.iter().map(name).collect();
                names.join(" / ")
            })
            .collect();
        Self { of, members, names }
    }

    /// Groups from lists of names of causes; a cause that no list names stands alone.
    pub fn from_ids(model: &Model, lists: &[Vec<String>]) -> Self {
        let mut members: Vec<Vec<usize>> = Vec::new();
        let mut placed = vec![false; model.causes.len()];
        for list in lists {
            let group: Vec<usize> = (0..model.causes.len())
                .filter(|&c| !placed[c] && list.contains(&cause_id(model.causes[c])))
                .collect();
            group.iter().for_each(|&c| placed[c] = true);
            if !group.is_empty() {
                members.push(group);
            }
        }
        members.extend((0..placed.len()).filter(|&c| !placed[c]).map(|c| vec![c]));
        members.sort();
        Self::from_members(model, members)
    }

    /// The groups as lists of names.
    pub fn ids(&self, model: &Model) -> Vec<Vec<String>> {
        self.members
            .iter()
            .map(|g| g.iter().map(|&c| cause_id(model.causes[c])).collect())
            .collect()
    }
}

/// How well each cause is told from each other: row the true one, column the other, mean
/// probability of the true one when only these two are possible.
pub type Matrix = Vec<Vec<f64>>;

/// Computes the matrix from at most `each` samples a cause.
pub fn matrix(library: &Library, model: &Model, each: usize) -> Matrix {
    let count = model.causes.len();
    let queries: Vec<(usize, usize)> = (0..count)
        .flat_map(|c| {
            let of_cause: Vec<usize> = (0..model.kernels.len())
                .filter(|&k| model.kernels[k].cause == c)
                .collect();
            let step = of_cause.len().div_ceil(each.max(1)).max(1);
            of_cause.into_iter().step_by(step).map(move |k| (c, k))
        })
        .collect();
    let next = AtomicUsize::new(0);
    let sums = Mutex::new((vec![vec![0.0; count]; count], vec![0.0; count]));
    let work = || {
        loop {
            let i = next.fetch_add(1, Ordering::Relaxed);
            let Some(&(c, k)) = queries.get(i) else { break };
            let logs = by_cause(library, model, k);
            if let Ok(mut s) = sums.lock() {
                s.1[c] += 1.0;
                for (b, log) in logs.iter().enumerate() {
                    s.0[c][b] += 1.0 / (1.0 + (log - logs[c]).exp());
                }
            }
        }
    };
    let threads = std::thread::available_parallelism().map_or(2, usize::from);
    std::thread::scope(|scope| {
        for _ in 0..threads {
            scope.spawn(work);
        }
    });
    let (mut m, n) = sums.into_inner().unwrap_or_default();
    for (row, n) in m.iter_mut().zip(n) {
        let n: f64 = n;
        row.iter_mut().for_each(|v| *v /= n.max(1.0));
    }
    m
}

/// Log-likelihood of each cause for a sample of the library read as a case, itself left out.
fn by_cause(library: &Library, model: &Model, kernel: usize) -> Vec<f64> {
    let values = library.samples[model.kernels[kernel].sample].values();
    let evidence = Evidence::new(&values, &[None; ITEMS], model.tuning.floor);
    let scores = model.scores(&evidence);
    let mut logs = vec![f64::NEG_INFINITY; model.causes.len()];
    for (k, score) in scores.iter().enumerate() {
        let c = model.kernels[k].cause;
        if k != kernel {
            let weight = (model.counts[c] as f64).ln();
            logs[c] = log_sum(logs[c], score.log - weight);
        }
    }
    // Nothing is further than this from the best, so that differences stay numbers.
    let best = logs.iter().copied().fold(-1e300, f64::max);
    logs.iter_mut().for_each(|l| *l = l.max(best - 200.0));
    logs
}

/// Logarithm of the sum of two that are given by theirs.
pub(in crate::diagnosis) fn log_sum(a: f64, b: f64) -> f64 {
    let most = a.max(b);
    if most == f64::NEG_INFINITY {
        return most;
    }
    most + ((a - most).exp() + (b - most).exp()).ln()
}

/// Groups from the matrix.
pub fn group(model: &Model, m: &Matrix) -> Groups {
    let members = linked(model.causes.len(), TOLD_APART, &|i, j| {
        let weak = model.counts[i] == 0 || model.counts[j] == 0;
        if weak { 1.0 } else { 0.5 * (m[i][j] + m[j][i]) }
    });
    Groups::from_members(model, members)
}

/// Groups of 0 to `count` - 1 by complete linkage: the two groups least apart are joined, as long as every two of
/// their members are less than `limit` apart.
pub(in crate::diagnosis) fn linked(
    count: usize,
    limit: f64,
    apart: &dyn Fn(usize, usize) -> f64,
) -> Vec<Vec<usize>> {
    let mut members: Vec<Vec<usize>> = (0..count).map(|c| vec![c]).collect();
    let widest = |a: &[usize], b: &[usize]| {
        let pairs = a.iter().flat_map(|&i| b.iter().map(move |&j| (i, j)));
        pairs.map(|(i, j)| apart(i, j)).fold(0.0, f64::max)
    };
    loop {
        let mut best = (limit, 0, 0);
        for i in 0..members.len() {
            for j in i + 1..members.len() {
                let t = widest(&members[i], &members[j]);
                if t < best.0 {
                    best = (t, i, j);
                }
            }
        }
        if best.2 == 0 {
            return members;
        }
        let joined = members.remove(best.2);
        members[best.1].extend(joined);
        members[best.1].sort_unstable();
    }
}

/// The matrix and the groups as a section of Markdown.
pub fn markdown(model: &Model, m: &Matrix, groups: &Groups) -> String {
    use std::fmt::Write as _;
    let mut out = String::from("### Groups that no test in the set can tell apart\n\n");
    for g in groups.members.iter().filter(|g| g.len() > 1) {
        let ids: Vec<String> = g.iter().map(|&c| cause_id(model.causes[c])).collect();
        let _ = writeln!(out, "* {}", ids.join(", "));
    }
    let hidden: Vec<String> = (0..model.causes.len())
        .filter(|&c| model.shown[c] < HIDES)
        .map(|c| cause_id(model.causes[c]))
        .collect();
    if !hidden.is_empty() {
        let _ = writeln!(
            out,
            "\nShown by no test (differ from healthy in under {:.0} % of severities): {}.",
            100.0 * HIDES,
            hidden.join(", ")
        );
    }
    out.push_str("\n### How well pairs are told apart\n\n");
    out.push_str("Mean probability of the true one of two, all items measured; pairs under 0.95.\n\n| true | other | told apart | shows in |\n|---|---|---|---|\n");
    for (a, row) in m.iter().enumerate() {
        for (b, v) in row.iter().enumerate() {
            if a != b && *v < 0.95 && model.counts[a] > 0 && model.counts[b] > 0 {
                let _ = writeln!(
                    out,
                    "| {} | {} | {v:.2} | {:.0} % |",
                    cause_id(model.causes[a]),
                    cause_id(model.causes[b]),
                    100.0 * model.shown[a]
                );
            }
        }
    }
    let _ = writeln!(
        out,
        "\n{} items ({NUMBERS} numbers), {} causes, {} samples.",
        ALL.len(),
        model.causes.len(),
        model.kernels.len()
    );
    out
}
