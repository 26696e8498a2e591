//! What a set of readings says about the cause, which step would say most next, and whole paths:
//! the best one, and the one of a fixed order.
//!
//! Likelihood of a reading under a row: for a number a normal density with the row's deviation, in
//! a mixture with a broad one (a slip of the hand, a pair's approximation); for a word a table: the
//! row's own word, the words of the severities beside it, anything. Readings are taken as
//! independent given the row.
//!
//! No single step makes certain: in one step of twenty the model is taken not to tell how a cause
//! shows there. Then its readings speak only faintly. With L the likelihood of a step's readings,
//! ⟨⟩ the mean over the causes before anything is read, e = `DOUBT` and t = `FAINT`:
//!
//! L' = (1 - e) L / ⟨L⟩ + e Lᵗ / ⟨Lᵗ⟩
//!
//! so that after one step belief is at most about 1 - e, and steps that agree make surer. Causes
//! have equal prior weight, split over their rows; no fault at all is rare, as somebody complained.

use super::check::Check;
use super::item::{ALL, Id, Kind, Values};
use super::library::Library;
use super::tool::Bag;

/// Weight of no fault against one cause.
const HEALTHY: f64 = 0.5;
/// Weight of a pair against a single cause. Pairs are looked at only where a drill has two faults,
/// and then the complaint speaks of two things.
const PAIR: f64 = 3.0;
/// Share of the broad part of a number's likelihood, and its width in item widths.
const SLIP: (f64, f64) = (0.01, 10.0);
/// Likelihood of the row's own word, and of a neighbour's where it differs.
const WORD: (f64, f64) = (0.93, 0.065);
/// Share of the steps in which the model does not tell how a cause shows ...
const DOUBT: f64 = 0.05;
/// ... and the power of the likelihood then. Both are chosen so that stated belief comes true on
/// specimens within tolerance (`benches/drills.rs`).
const FAINT: f64 = 0.2;
/// A cause is named when its group holds this much of the belief.
pub const SURE: f64 = 0.8;
/// Causes that keep this share of the best one's belief are not told apart from it; when everything
/// at hand has been done, they cannot be.
const ALIKE: f64 = 0.12;
/// Most rows a plan looks at; the rest has next to no weight.
const PLANNED: usize = 320;
/// Rows under this weight are not looked at in a plan.
const LEAST: f64 = 1e-4;

/// One reading: an item and its value.
pub type Reading = (Id, f64);

/// Belief over the rows of a library.
#[derive(Debug, Clone)]
pub struct Belief {
    /// Weight of each row; they sum to 1.
    pub rows: Vec<f64>,
}

/// Most rows of which a table of every row against every row is kept.
const TABLED: usize = 400;

/// For every item, the likelihood of what row a shows under row b, worked out once a library.
fn table(library: &Library) -> Option<&[f32]> {
    let n = library.rows.len();
    if n > TABLED {
        return None;
    }
    let table = library.table.get_or_init(|| {
        let mut out = Vec::with_capacity(n * n * ALL.len());
        for id in Id::all() {
            for a in 0..n {
                let shown = library.rows[a].values[id.index()];
                out.extend((0..n).map(|b| ln_likelihood(library, b, id, shown) as f32));
            }
        }
        out
    });
    Some(table)
}

/// Natural logarithm of the likelihood of a value (numbers on the compressed scale) under a row.
fn ln_likelihood(library: &Library, row: usize, id: Id, value: f64) -> f64 {
    let i = id.index();
    let r = &library.rows[row];
    if let Kind::Words(words) = ALL[i].kind {
        let other = (1.0 - WORD.0 - WORD.1) / words.len() as f64;
        let mut p = other;
        if value == r.values[i] {
            p += WORD.0;
        }
        for b in &r.beside {
            if value == b[i] {
                p += 0.5 * WORD.1;
            }
        }
        return p.ln();
    }
    let z = (value - r.values[i]) / r.sigma[i];
    let broad = SLIP.1 * ALL[i].width();
    ((1.0 - SLIP.0) * (-0.5 * z * z).exp() / (2.506_628_3 * r.sigma[i]) + SLIP.0 / broad).ln()
}

impl Belief {
    /// Before anything is known.
    pub fn prior(library: &Library) -> Self {
        let mut rows_of = vec![0.0_f64; library.causes.len()];
        for r in &library.rows {
            rows_of[r.cause] += 1.0;
        }
        let rows = library
            .rows
            .iter()
            .map(|r| {
                let weight = match library.causes[r.cause].len() {
                    0 => HEALTHY,
                    1 => 1.0,
                    _ => PAIR,
                };
                weight / rows_of[r.cause]
            })
            .collect();
        let mut out = Self { rows };
        out.normalise();
        out
    }

    fn normalise(&mut self) {
        let sum: f64 = self.rows.iter().sum();
        if sum > 0.0 {
            self.rows.iter_mut().for_each(|w| *w /= sum);
        }
    }

    /// After more readings (real values).
    #[must_use]
    pub fn after(&self, library: &Library, readings: &[Reading]) -> Self {
        let scaled: Vec<Reading> = readings
            .iter()
            .map(|&(id, v)| match id.item().kind {
                Kind::Words(_) => (id, v),
                _ => (id, id.item().scaled(v)),
            })
            .collect();
        let weights = Self::prior(library).rows;
        let mut ln: Vec<f64> = self.rows.iter().map(|w| w.max(1e-300).ln()).collect();
        for step in by_step(&scaled) {
            let told: Vec<f64> = (0..self.rows.len())
                .map(|row| {
                    step.iter()
                        .map(|&(id, v)| ln_likelihood(library, row, id, v))
                        .sum()
                })
                .collect();
            for (l, p) in ln.iter_mut().zip(doubted(&told, &weights)) {
                *l += p.max(1e-300).ln();
            }
        }
        let most = ln.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let mut out = Self {
            rows: ln.iter().map(|l| (l - most).exp()).collect(),
        };
        out.normalise();
        out
    }

    /// Belief in each cause.
    pub fn by_cause(&self, library: &Library) -> Vec<f64> {
        let mut out = vec![0.0; library.causes.len()];
        for (w, r) in self.rows.iter().zip(&library.rows) {
            out[r.cause] += w;
        }
        out
    }

    /// Causes with their belief, most likely first.
    pub fn ranked(&self, library: &Library) -> Vec<(usize, f64)> {
        let mut out: Vec<(usize, f64)> = self.by_cause(library).into_iter().enumerate().collect();
        out.sort_by(|a, b| b.1.total_cmp(&a.1));
        out
    }

    /// Entropy over the causes \[bit\].
    pub fn bits(&self, library: &Library) -> f64 {
        entropy_bits(&self.by_cause(library))
    }
}

/// Readings by the step they belong to; what belongs to none stands alone.
fn by_step(readings: &[Reading]) -> Vec<Vec<Reading>> {
    let mut out: Vec<(Option<Check>, Vec<Reading>)> = Vec::new();
    for &reading in readings {
        let step = Check::of(reading.0);
        match out.iter_mut().find(|s| step.is_some() && s.0 == step) {
            Some(group) => group.1.push(reading),
            None => out.push((step, vec![reading])),
        }
    }
    out.into_iter().map(|s| s.1).collect()
}

/// The likelihood of a step's readings under each row when the model is not wholly trusted, from
/// the logarithm of the likelihood and the weights of the rows before anything is read.
fn doubted(ln: &[f64], weights: &[f64]) -> Vec<f64> {
    let most = ln.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let sharp: Vec<f64> = ln.iter().map(|l| (l - most).exp()).collect();
    let faint: Vec<f64> = ln.iter().map(|l| (FAINT * (l - most)).exp()).collect();
    let mean = |of: &[f64]| -> f64 { of.iter().zip(weights).map(|(l, w)| l * w).sum() };
    let (of_sharp, of_faint) = (mean(&sharp).max(1e-300), mean(&faint).max(1e-300));
    sharp
        .iter()
        .zip(&faint)
        .map(|(s, f)| (1.0 - DOUBT) * s / of_sharp + DOUBT * f / of_faint)
        .collect()
}

fn entropy_bits(p: &[f64]) -> f64 {
    p.iter().filter(|p| **p > 0.0).map(|p| -p * p.log2()).sum()
}

/// The readings a step gives on a rig of these true values.
pub fn readings_of(check: Check, truth: &Values) -> Vec<Reading> {
    check
        .items()
        .iter()
        .map(|&id| (id, truth[id.index()]))
        .collect()
}

/// The causes that everything at hand cannot tell from the first, the likeliest first.
pub fn group(library: &Library, bag: &Bag, truth: &Values) -> Vec<(usize, f64)> {
    let all: Vec<Reading> = Check::offered(bag)
        .into_iter()
        .flat_map(|c| readings_of(c, truth))
        .collect();
    let ranked = Belief::prior(library).after(library, &all).ranked(library);
    not_told_apart(&ranked).to_vec()
}

/// The likeliest of some causes, with those that are not yet told apart from it.
pub fn not_told_apart(ranked: &[(usize, f64)]) -> &[(usize, f64)] {
    let best = ranked.first().map_or(1.0, |r| r.1);
    let many = ranked
        .iter()
        .take_while(|(_, p)| *p >= ALIKE * best)
        .count();
    &ranked[..many]
}

/// A step worth doing next.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Next {
    /// The step.
    pub check: Check,
    /// Bits it is expected to give.
    pub bits: f64,
    /// Minutes it takes.
    pub minutes: f64,
}

/// The step that gives most bits a minute among those not yet done, if any gives something.
///
/// The expectation is over the rows as they are believed in now: if row a were true, the step
/// would show a's values, and the belief would become what those say.
pub fn next_step(library: &Library, belief: &Belief, bag: &Bag, done: &[Check]) -> Option<Next> {
    let mut live: Vec<usize> = (0..belief.rows.len())
        .filter(|&r| belief.rows[r] > LEAST)
        .collect();
    live.sort_by(|a, b| belief.rows[*b].total_cmp(&belief.rows[*a]));
    live.truncate(PLANNED);
    let now_bits = belief.bits(library);
    let prior = Belief::prior(library).rows;
    let share: f64 = live.iter().map(|&r| prior[r]).sum();
    let prior: Vec<f64> = live.iter().map(|&r| prior[r] / share).collect();
    let steps = Check::offered(bag)
        .into_iter()
        .filter(|c| !done.contains(c));
    let worth = steps.map(|check| {
        let bits = now_bits - expected_bits(library, belief, &live, &prior, check);
        Next {
            check,
            bits,
            minutes: check.minutes(bag),
        }
    });
    worth
        .filter(|n| n.bits > 0.01)
        .max_by(|a, b| (a.bits / a.minutes).total_cmp(&(b.bits / b.minutes)))
}

/// Entropy expected after a step \[bit\]; `prior` holds the weights of the `live` rows before anything is read.
fn expected_bits(
    library: &Library,
    belief: &Belief,
    live: &[usize],
    prior: &[f64],
    check: Check,
) -> f64 {
    let weight: f64 = live.iter().map(|&r| belief.rows[r]).sum();
    let ids = check.items();
    let (table, n) = (table(library), library.rows.len());
    let mut ln = vec![0.0_f32; live.len()];
    let mut by_cause = vec![0.0; library.causes.len()];
    let mut out = 0.0;
    for &a in live {
        by_cause.iter_mut().for_each(|w| *w = 0.0);
        let shown = &library.rows[a].values;
        ln.iter_mut().for_each(|l| *l = 0.0);
        for &id in ids {
            if let Some(table) = table {
                let row = &table[(id.index() * n + a) * n..][..n];
                live.iter().zip(&mut ln).for_each(|(&b, l)| *l += row[b]);
            } else {
                let value = shown[id.index()];
                for (&b, l) in live.iter().zip(&mut ln) {
                    *l += ln_likelihood(library, b, id, value) as f32;
                }
            }
        }
        let told: Vec<f64> = ln.iter().map(|l| f64::from(*l)).collect();
        let mut sum = 0.0;
        for (&b, l) in live.iter().zip(doubted(&told, prior)) {
            let w = belief.rows[b] * l;
            by_cause[library.rows[b].cause] += w;
            sum += w;
        }
        by_cause.iter_mut().for_each(|w| *w /= sum);
        out += belief.rows[a] / weight * entropy_bits(&by_cause);
    }
    out
}

/// A way to the cause.
#[derive(Debug, Clone, PartialEq)]
pub struct Path {
    /// The steps with the belief in the group after each.
    pub steps: Vec<(Check, f64)>,
    /// Minutes of all steps.
    pub minutes: f64,
    /// Whether the group was reached.
    pub solved: bool,
}

/// Goes step by step with `choose` until the group holds [`SURE`] of the belief.
fn walk(
    library: &Library,
    bag: &Bag,
    truth: &Values,
    group: &[usize],
    choose: &mut dyn FnMut(&Belief, &[Check]) -> Option<Check>,
) -> Path {
    let mut belief = Belief::prior(library);
    let mut path = Path {
        steps: Vec::new(),
        minutes: 0.0,
        solved: false,
    };
    loop {
        let done: Vec<Check> = path.steps.iter().map(|s| s.0).collect();
        let Some(check) = choose(&belief, &done) else {
            return path;
        };
        belief = belief.after(library, &readings_of(check, truth));
        let by_cause = belief.by_cause(library);
        let held: f64 = group.iter().map(|&c| by_cause[c]).sum();
        path.steps.push((check, held));
        path.minutes += check.minutes(bag);
        if held >= SURE {
            path.solved = true;
            return path;
        }
    }
}

/// The path of the best next step, again and again.
pub fn best_path(library: &Library, bag: &Bag, truth: &Values, group: &[usize]) -> Path {
    walk(library, bag, truth, group, &mut |belief, done| {
        next_step(library, belief, bag, done).map(|n| n.check)
    })
}

/// The path of someone who always does the steps of a visit in the same order.
pub fn fixed_path(library: &Library, bag: &Bag, truth: &Values, group: &[usize]) -> Path {
    let order = Check::offered(bag);
    walk(library, bag, truth, group, &mut |_, done| {
        order.get(done.len()).copied()
    })
}

/// A path without the steps that were not needed, as one sees it afterwards: each step is left
/// out in turn if the rest still makes sure.
pub fn shortest_path(library: &Library, bag: &Bag, truth: &Values, group: &[usize]) -> Path {
    let walked = best_path(library, bag, truth, group);
    let prior = Belief::prior(library);
    let held = |checks: &[Check]| -> f64 {
        let readings: Vec<Reading> = checks.iter().flat_map(|c| readings_of(*c, truth)).collect();
        let by_cause = prior.after(library, &readings).by_cause(library);
        group.iter().map(|&c| by_cause[c]).sum()
    };
    let mut kept: Vec<Check> = walked.steps.iter().map(|s| s.0).collect();
    let mut costly = kept.clone();
    costly.sort_by(|a, b| b.minutes(bag).total_cmp(&a.minutes(bag)));
    for check in costly {
        let without: Vec<Check> = kept.iter().copied().filter(|c| *c != check).collect();
        if !without.is_empty() && held(&without) >= SURE {
            kept = without;
        }
    }
    let steps = (1..=kept.len())
        .map(|n| (kept[n - 1], held(&kept[..n])))
        .collect();
    let minutes = kept.iter().map(|c| c.minutes(bag)).sum();
    Path {
        steps,
        minutes,
        solved: walked.solved,
    }
}
