//! A lock-up that breaks the bench's limits and that no cause explains: it is not left beside a cause of something else. A seat that does not
//! shut lets the container's pressure on, whatever else is wrong.

use super::inference::fit::usual_uncertainty;
use super::parts::{Pair, UNEXPLAINED};
use crate::service::LIMITS;
use crate::visit::{ALL, Id, Values};

/// Belief that may leave such a lock-up unexplained; where more does nothing is lit beside it (own).
const LEFT: f64 = 0.25;

/// Readings of a lock-up that stands over its limit or climbs, as the bench has them.
pub(super) fn failing(values: &Values) -> Vec<Id> {
    let read = |id: Id| values[id.index()];
    let is_over = |id: Id| read(id).is_some_and(|pa| LIMITS.lock_up.is_passed_by(pa));
    let climb = read(Id::RestCreep).zip(read(Id::RestMinute));
    let climbs = climb.is_some_and(|(later, minute)| LIMITS.creep.is_passed_by(later - minute));
    let is_failing = |id: &Id| is_over(*id) || (*id == Id::RestCreep && climbs);
    let both = [Id::RestMinute, Id::RestCreep];
    both.into_iter().filter(is_failing).collect()
}

/// Whether a visit that reads so leaves a reading of a lock-up unexplained: it stands lower.
fn leaves(reads: &Values, values: &Values, id: Id) -> bool {
    let item = &ALL[id.index()];
    let both = values[id.index()].zip(reads[id.index()]);
    both.is_some_and(|(read, would)| is_over(id.index(), item.scaled(read), item.scaled(would)))
}

/// Whether a reading stands so far over what it would be that it is left unexplained, both on the scaled axis.
pub(super) fn is_over(item: usize, read: f64, would_be: f64) -> bool {
    read - would_be > UNEXPLAINED * usual_uncertainty(item)
}

/// The failing lock-up that too much of the belief leaves unexplained. Of each single cause its belief, and how far it is off a reading; of a
/// pair what was simulated reads; what is none of these explains nothing.
pub(super) fn unexplained<F: Fn(Id) -> f64>(
    values: &Values,
    causes: impl Iterator<Item = (f64, F)>,
    pairs: &[Pair],
    none: f64,
) -> Option<Id> {
    let mut left: Vec<(Id, f64)> = failing(values).into_iter().map(|id| (id, none)).collect();
    if left.is_empty() {
        return None;
    }
    for (probability, off) in causes {
        let unexplained = left.iter_mut().filter(|(id, _)| off(*id) > UNEXPLAINED);
        unexplained.for_each(|(_, sum)| *sum += probability);
    }
    for pair in pairs {
        let Some(reads) = &pair.reads else { continue };
        let unexplained = left.iter_mut().filter(|(id, _)| leaves(reads, values, *id));
        unexplained.for_each(|(_, sum)| *sum += pair.probability);
    }
    let worst = left.into_iter().max_by(|a, b| a.1.total_cmp(&b.1));
    worst.filter(|w| w.1 > LEFT).map(|w| w.0)
}
