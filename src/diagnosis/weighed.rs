//! Readings before the likelihood: the weights of the causes, what single readings decide of them by themselves, and what the
//! likelihood then makes of the rest.

use super::files::prior;
use super::files::readings::Readings;
use super::inference::evidence::{Evidence, upper_tail};
use super::inference::model::Model;
use super::inference::posterior::{self, Posterior};
use super::inference::safety::{self, Danger};
use super::parts::Pair;
use super::{lock_up, remarks, starved};
use crate::fault::{Family, Fault};
use crate::physics::STANDARD_ATMOSPHERE_PA;
use crate::service::{LIMITS, trapped_gas_pa_per_k};
use crate::visit::{self, ITEMS, Id, Test, Values, Verdict, time};

/// Weights of the causes of a model before the readings; a fault that shows nowhere has none.
pub fn priors(model: &Model, given: &[(Option<Fault>, f64)]) -> Vec<f64> {
    model
        .causes
        .iter()
        .zip(&model.counts)
        .map(|(c, n)| {
            if *n == 0 {
                0.0
            } else {
                prior::weight(*c, given).0
            }
        })
        .collect()
}

/// Share of its weight that a healthy rig keeps where what was read orders everything shut off (own).
const STRUCK_OFF: f64 = 1e-4;

/// What makes a container too full.
const OVERFILLED: &str = "container_overfilled";

/// Whether a cause is that one, whichever container it is of.
fn is_overfilled(cause: Option<Fault>) -> bool {
    let overfilled = Fault::named(OVERFILLED);
    cause.zip(overfilled).is_some_and(|(c, o)| o.names(c))
}

/// Readings of everything but the containers' fills.
fn without_fills(values: &Values) -> Values {
    let mut rest = *values;
    for id in [Id::Fill, Id::SecondFill] {
        rest[id.index()] = None;
    }
    rest
}

/// What every cause without an overfilled container is worth beside a fill that was read far too high, against its weight. What is over
/// the limit is overfilled whatever else is wrong: so all others are worth no more than the chance that the reading erred by so much,
/// together where nothing else fails, and each for itself where something does that an overfilled container may not make.
fn other_than_overfilled(model: &Model, p: &Posterior, values: &Values) -> Option<f64> {
    let chance = not_overfilled(values)?;
    let fails = visit::that_come_out(Verdict::Fail, values);
    let looks = visit::looks_that_fail(values);
    if !looks.is_empty() || fails.iter().any(|(test, _)| *test != Test::Fill) {
        return Some(chance);
    }
    let of = model.causes.iter().zip(&p.causes);
    let own: f64 = of.filter(|(c, _)| is_overfilled(**c)).map(|(_, p)| p).sum();
    let most = chance / (1.0 - chance) * own;
    Some((most / (1.0 - own).max(1e-9)).min(1.0)).filter(|_| own > 0.0)
}

/// Chance that a container whose fill was read far too high is within its limit for all that: its scales erred.
fn not_overfilled(values: &Values) -> Option<f64> {
    let over = |id: Id| {
        let fill = values[id.index()]?;
        let beyond = (fill - LIMITS.fill_caution.high) / id.item().uncertainty(fill);
        LIMITS
            .fill_caution
            .is_passed_by(fill)
            .then(|| upper_tail(beyond).max(STRUCK_OFF))
    };
    [Id::Fill, Id::SecondFill]
        .into_iter()
        .filter_map(over)
        .reduce(f64::min)
}

/// Chance that a cause which is overfilled is so by the fills that were read: none where one may be another container's, or was not read.
/// What is read well under the limit is not over it.
fn overfilled(cause: Fault, readings: &Readings) -> Option<f64> {
    let chance = |id: Id| {
        let i = id.index();
        let fill = readings.values[i]?;
        let one = readings.uncertainties[i].unwrap_or_else(|| id.item().uncertainty(fill));
        Some(upper_tail((LIMITS.fill_caution.high - fill) / one))
    };
    let chance = match cause.side() {
        None => chance(Id::Fill),
        Some(_) => chance(Id::Fill)
            .zip(chance(Id::SecondFill))
            .map(|(a, b)| a.max(b)),
    };
    chance.filter(|chance| *chance < 0.5)
}

/// By how much gas that is shut in may have warmed that nobody noticed \[K\] (own: 2 °F).
const UNNOTICED_K: f64 = 1.1;
/// The gas that a leak check shuts in begins at 9 in w.c., on a mild day by the sea \[K\].
const MILD_K: f64 = 288.7;

/// What is not known of the readings of gas that was shut in while it warmed, as the leak check shows: that check is shut off from every
/// seat, so what it gains within a degree or two is the warming's, and what a lock-up gains at the same rate may be.
fn warmed(values: &Values) -> Vec<(Id, f64)> {
    let gain = values[Id::LeakChange.index()];
    let begins_pa = 0.5 * (LIMITS.leak_start.low + LIMITS.leak_start.high);
    let warmth = UNNOTICED_K * trapped_gas_pa_per_k(begins_pa, STANDARD_ATMOSPHERE_PA, MILD_K);
    let Some(gain) = gain.filter(|pa| LIMITS.leak.is_passed_by(*pa) && *pa < warmth) else {
        return Vec::new();
    };
    let climbs = gain * time::CREEP / time::LEAK_HOLD;
    let read = [(Id::LeakChange, gain), (Id::RestCreep, climbs)];
    read.into_iter()
        .filter(|(id, _)| values[id.index()].is_some())
        .collect()
}

/// Whether a word tells no cause from another and is no sign that there is none: no visit shows it, and by itself it is no fault. Gas
/// that is seen or heard is always one.
pub(super) fn tells_nothing(model: &Model, item: usize, seen: usize) -> bool {
    let mut alone: Values = [None; ITEMS];
    alone[item] = Some(seen as f64);
    let is_harmless =
        || safety::demand(&alone).0 == Danger::None && visit::looks_that_fail(&alone).is_empty();
    !model.knows(item, seen) && is_harmless()
}

/// Readings before the likelihood: what they are worth, and what follows of single causes.
#[derive(Debug)]
pub struct Weighed {
    /// The readings on their scaled axes.
    pub(super) evidence: Evidence,
    /// Weights of the causes before.
    pub(super) weights: Vec<f64>,
    /// Probabilities after.
    pub(super) posterior: Posterior,
    /// Weights that were given with the readings.
    pub(super) given: Vec<(Option<Fault>, f64)>,
    /// How high the low side stood with its relief shut \[Pa\].
    pub(super) relief_held_pa: Option<f64>,
    /// Readings of a lock-up that stands over its limit or climbs.
    pub(super) lock_up_fails: Vec<Id>,
    /// Whether the container gives a good deal less than its fuel does in the air that was read.
    is_weak: bool,
    /// Two faults at once, where those were looked at.
    pub(super) pairs: Vec<Pair>,
}

/// Two causes of which the nearest visit is as likely as this, as a logarithm, are not told apart by what was read (own: e to 1).
const AS_NEAR: f64 = 1.0;
/// How much likelier the one may be called then at most (own): how often each is so bad stands in no table but an invented one.
const SURER: f64 = 3.0;

impl Weighed {
    /// Of a container that gives too little for its air: lets causes of the supply or the fuel that the readings do not part share what is believed of the likeliest: no surer than that, and no surer than before them.
    pub(super) fn share(&mut self, model: &Model) {
        if !self.is_weak {
            return;
        }
        let p = &mut self.posterior;
        let mut peaks = vec![f64::NEG_INFINITY; model.causes.len()];
        for (kernel, weight) in model.kernels.iter().zip(&p.kernels) {
            let c = kernel.cause;
            let each = self.weights[c] / model.counts[c] as f64;
            if *weight > 0.0 && each > 0.0 {
                peaks[c] = peaks[c].max((weight / each).ln());
            }
        }
        let of_container = |fault: Fault| {
            let family = fault.entry().family;
            matches!(family, Family::Supply | Family::Fuel)
        };
        let is_of_container = |c: &usize| model.causes[*c].is_some_and(of_container);
        let faults = (0..p.causes.len()).filter(is_of_container);
        let Some(first) = faults
            .clone()
            .max_by(|&a, &b| p.causes[a].total_cmp(&p.causes[b]))
        else {
            return;
        };
        let own = p.causes[first];
        let least = |c: usize| own * (self.weights[c] / self.weights[first]).min(SURER.recip());
        let alike = faults.filter(|&c| c != first && peaks[c] > peaks[first] - AS_NEAR);
        let raised: Vec<usize> = alike.filter(|&c| p.causes[c] < least(c)).collect();
        if raised.is_empty() {
            return;
        }
        let before: f64 = own + raised.iter().map(|&c| p.causes[c]).sum::<f64>();
        let after: f64 = own + raised.iter().map(|&c| least(c)).sum::<f64>();
        let mut by = vec![1.0; p.causes.len()];
        by[first] = before / after;
        for &c in &raised {
            by[c] = least(c) / p.causes[c].max(1e-300) * before / after;
        }
        for (cause, by) in p.causes.iter_mut().zip(&by) {
            *cause *= by;
        }
        for (kernel, weight) in model.kernels.iter().zip(&mut p.kernels) {
            *weight *= by[kernel.cause];
        }
    }

    /// Weighs readings.
    pub fn of(model: &Model, readings: &Readings) -> Self {
        let mut evidence = Evidence::of(readings, model.tuning.floor);
        evidence
            .words
            .retain(|&(item, seen)| !tells_nothing(model, item, seen));
        // What a regulator loses that was given too little is known by half.
        let open = starved::left_open(&readings.values);
        for (id, open_pa) in open.into_iter().chain(warmed(&readings.values)) {
            evidence.widen(id.index(), open_pa);
        }
        let mut weights = priors(model, &readings.priors);
        // Gas that blows out, or a pressure far over every limit: such a rig is not healthy, whatever few visits foretell. A fill weighs
        // by what scales err, below.
        if safety::demand(&without_fills(&readings.at_least())).0 == Danger::ShutOff {
            weights[0] *= STRUCK_OFF;
        }
        // What does nothing in such air is no cause of what was read, unless it was seen.
        for (weight, cause) in weights.iter_mut().zip(&model.causes) {
            if cause.is_some_and(|fault| remarks::does_nothing_in(fault, &readings.values)) {
                *weight = 0.0;
            }
            // What was weighed and is not too full is not overfilled, as far as scales err.
            let chance = cause
                .filter(|fault| is_overfilled(Some(*fault)))
                .and_then(|fault| overfilled(fault, readings));
            *weight *= chance.unwrap_or(1.0);
        }
        let mut of = posterior::posterior(model, &evidence, &weights);
        if let Some(by) = other_than_overfilled(model, &of, &readings.values) {
            for (weight, cause) in weights.iter_mut().zip(&model.causes) {
                if !is_overfilled(*cause) {
                    *weight *= by;
                }
            }
            of = posterior::posterior(model, &evidence, &weights);
        }
        Self {
            posterior: of,
            evidence,
            weights,
            given: readings.priors.clone(),
            relief_held_pa: remarks::Facts::of(&readings.values).relief_held_pa,
            lock_up_fails: lock_up::failing(&readings.at_least()),
            is_weak: starved::weak_container(&readings.values).is_some(),
            pairs: Vec::new(),
        }
    }
}
