//! Readings before the likelihood: the weights of the causes, what single readings decide of them by themselves, and what the
//! likelihood then makes of the rest.

use super::files::prior;
use super::files::readings::Readings;
use super::inference::evidence::{Evidence, upper_tail};
use super::inference::model::Model;
use super::inference::posterior::{Posterior, posterior};
use super::inference::safety::{self, Danger};
use super::{remarks, starved};
use crate::fault::Fault;
use crate::service::LIMITS;
use crate::visit::{Id, Values};

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

/// Chance that a container whose fill was read far too high is within its limit for all that: its scales erred. What is over the
/// limit is overfilled whatever else is wrong with the rig, so that is what every cause without it is worth then.
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

/// Readings before the likelihood: what they are worth, and what follows of single causes.
#[derive(Debug)]
pub struct Weighed {
    /// The readings on their scaled axes.
    pub(super) evidence: Evidence,
    /// Weights of the causes before.
    pub(super) weights: Vec<f64>,
    /// Probabilities after.
    pub(super) posterior: Posterior,
}

impl Weighed {
    /// Weighs readings.
    pub fn of(model: &Model, readings: &Readings) -> Self {
        let mut evidence = Evidence::of(readings, model.tuning.floor);
        // What no visit shows tells no cause from another, and is no sign that there is none.
        evidence
            .words
            .retain(|&(item, seen)| model.knows(item, seen));
        // What a regulator loses that was given too little is known by half.
        for (id, open_pa) in starved::left_open(&readings.values) {
            evidence.widen(id.index(), open_pa);
        }
        let mut weights = priors(model, &readings.priors);
        // Gas that blows out, or a pressure far over every limit: such a rig is not healthy, whatever few visits foretell.
        if safety::demand(&readings.values).0 == Danger::ShutOff {
            weights[0] *= STRUCK_OFF;
        }
        if let Some(chance) = not_overfilled(&readings.values) {
            let overfilled = Fault::named(OVERFILLED);
            let is = |cause: &Option<Fault>| cause.zip(overfilled).is_some_and(|(c, o)| o.names(c));
            let others = weights.iter_mut().zip(&model.causes);
            for (weight, _) in others.filter(|(_, cause)| !is(cause)) {
                *weight *= chance;
            }
        }
        // What does nothing in such air is no cause of what was read, unless it was seen.
        for (weight, cause) in weights.iter_mut().zip(&model.causes) {
            if cause.is_some_and(|fault| remarks::does_nothing_in(fault, &readings.values)) {
                *weight = 0.0;
            }
        }
        Self {
            posterior: posterior(model, &evidence, &weights),
            evidence,
            weights,
        }
    }
}

