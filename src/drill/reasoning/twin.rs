//! Whether another cause makes the very same rig: a vent that mud has nearly shut and one that road dirt has, where no sun
//! shines on it, read alike whatever is read. The likelihood may prefer either, since it knows each by a few visits; so
//! this is asked of the rig itself, and of the isolability of the catalogue: where lock-ups leap with the severity no vent
//! need read as this one in the sun does, though no test parts the two. Not here: causes that the readings leave open (`assess`).

use super::causes::{Causes, read_by};
use crate::diagnosis::inference::next::Offer;
use crate::diagnosis::library::standard::standard_rig;
use crate::diagnosis::store::built_in;
use crate::fault::Fault;
use crate::visit::{ALL, ITEMS, NUMBERS, Values};
use std::sync::LazyLock;

/// Severities at which the other is run at first, and how often the step is halved about the nearest (own).
const STEP: f64 = 0.1;
const HALVED: usize = 4;
/// So many uncertainties apart two numbers are told apart, as everywhere (`diagnosis::measure::cases`).
const APART: f64 = 3.0;

/// Groups of causes that no test in the set can tell apart, as the library of the standard rig has them; none where that
/// library was made by another model.
static GROUPS: LazyLock<Vec<Vec<String>>> =
    LazyLock::new(|| built_in(&standard_rig()).map_or_else(Vec::new, |library| library.groups));

/// Whether no test in the set tells two faults apart, taken over all their severities.
pub fn are_one_group(one: Fault, other: Fault) -> bool {
    let holds = |group: &[String], fault: Fault| group.iter().any(|id| id == fault.id());
    let mut groups = GROUPS.iter();
    groups.any(|group| holds(group, one) && holds(group, other))
}

/// Whether a fault at some severity reads on this rig as `truth` does, in all that can be read with what is at hand.
pub fn reads_alike(causes: &Causes, offer: &Offer, truth: &Values, other: Fault) -> bool {
    let seen = |values: &Values| -> Values {
        let tests: Vec<_> = offer.tests().collect();
        read_by(offer, &tests, values)
    };
    let truth = seen(truth);
    let off = |severity: f64| match causes.truth(&[(other, severity)]) {
        Ok(values) => apart(&seen(&values), &truth),
        Err(_) => f64::INFINITY,
    };
    let tenths = (1..10).map(|n| f64::from(n) * STEP);
    let mut best = tenths
        .map(|s| (s, off(s)))
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .unwrap_or((STEP, f64::INFINITY));
    let mut step = STEP;
    for _ in 0..HALVED {
        step *= 0.5;
        for s in [best.0 - step, best.0 + step] {
            let here = off(s);
            if here < best.1 {
                best = (s, here);
            }
        }
    }
    best.1 <= APART
}

/// How far two visits are apart at most \[uncertainties\]; without end where a word differs or only one has a reading.
fn apart(a: &Values, b: &Values) -> f64 {
    let of = |i: usize| match (a[i], b[i]) {
        (Some(a), Some(b)) if i < NUMBERS => {
            let item = &ALL[i];
            (a - b).abs() / item.uncertainty(a).max(item.uncertainty(b))
        }
        (a, b) if a == b => 0.0,
        _ => f64::INFINITY,
    };
    (0..ITEMS).map(of).fold(0.0, f64::max)
}

#[cfg(test)]
mod tests {
    use super::are_one_group;
    use crate::fault::Fault;

    #[test]
    fn a_blocked_vent_and_a_dark_one_in_the_sun_are_one_group_and_a_torn_diaphragm_is_of_none() {
        let named = |id| Fault::named(id).expect("in the catalogue");
        let vent = named("second_vent_blocked");
        assert!(are_one_group(vent, named("mounted_in_sun")));
        assert!(are_one_group(named("mounted_in_sun"), vent));
        assert!(!are_one_group(vent, named("diaphragm_torn")));
    }
}
