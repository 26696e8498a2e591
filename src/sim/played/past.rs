//! What it takes to stand at any earlier moment of a run again: where it stood now and then, and what
//! was done to it with the times. Between two stands the run is gone through anew.

use super::pair::{Pair, Stand};
use crate::sim::error::SimError;
use crate::sim::tape::Taped;

/// Most stands kept.
const MOST: usize = 1024;
/// So many of the newest are never thinned.
const NEWEST: usize = 256;

/// Stands in order of time, and acts with their times \[s\].
#[derive(Clone, Default)]
pub(super) struct Past {
    stands: Vec<Stand>,
    acts: Vec<(f64, Taped)>,
}

impl Past {
    /// Notes what was done to the pair, before the stand that follows it.
    pub(super) fn note_act(&mut self, pair: &Pair, taped: Taped) {
        self.acts.push((pair.time_s(), taped));
    }

    /// What was done, with the times \[s\].
    pub(super) fn acts(&self) -> &[(f64, Taped)] {
        &self.acts
    }

    /// Notes where the pair stands.
    pub(super) fn note_stand(&mut self, pair: &Pair) {
        self.stands.push(pair.stand(self.acts.len()));
        self.thin();
    }

    /// Where the run stands last.
    pub(super) fn last(&self) -> Option<&Stand> {
        self.stands.last()
    }

    /// Leaves the newest as they are and the older ones evenly apart in simulated time: going through a stretch anew
    /// costs as its length does.
    fn thin(&mut self) {
        let n = self.stands.len();
        if n <= MOST {
            return;
        }
        let first_s = self.stands[0].rig.t_s;
        let apart_s = (self.stands[n - 1].rig.t_s - first_s) / (MOST / 2) as f64;
        let (mut i, mut kept_s) = (0, f64::NEG_INFINITY);
        self.stands.retain(|stand| {
            i += 1;
            let keep = i > n - NEWEST || stand.rig.t_s - kept_s >= apart_s;
            if keep {
                kept_s = stand.rig.t_s;
            }
            keep
        });
    }

    /// Brings a pair to `t_s`; how many acts were done by then.
    ///
    /// # Errors
    /// [`SimError`] if the stretch from the last stand cannot be gone through again.
    pub(super) fn bring(&self, pair: &mut Pair, t_s: f64) -> Result<usize, SimError> {
        let after = self.stands.partition_point(|s| s.rig.t_s <= t_s);
        let Some(stand) = self.stands.get(after.saturating_sub(1)) else {
            return Ok(0);
        };
        pair.stand_at(stand);
        let mut done = stand.acts;
        self.go_on(pair, &mut done, t_s)?;
        Ok(done)
    }

    /// Whether a stand lies between the two times.
    pub(super) fn stands_between(&self, a_s: f64, b_s: f64) -> bool {
        let count = |t_s: f64| self.stands.partition_point(|s| s.rig.t_s <= t_s);
        count(b_s) > count(a_s)
    }

    /// Takes a pair on to `until_s`, doing what was done on the way.
    ///
    /// # Errors
    /// As [`Past::bring`].
    pub(super) fn go_on(
        &self,
        pair: &mut Pair,
        done: &mut usize,
        until_s: f64,
    ) -> Result<(), SimError> {
        while let Some((at_s, taped)) = self.acts.get(*done).filter(|act| act.0 <= until_s) {
            pair.advance(*at_s, None, &mut |_, _| {})?;
            pair.act(taped);
            *done += 1;
        }
        pair.advance(until_s, None, &mut |_, _| {})
    }

    /// Forgets what came after `t_s` and after so many acts.
    pub(super) fn forget_after(&mut self, t_s: f64, acts: usize) {
        let n = self.stands.partition_point(|s| s.rig.t_s <= t_s);
        self.stands.truncate(n.max(1));
        self.acts.truncate(acts);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::Scenario;
    use crate::sim::{Simulation, usual_tolerance};
    use crate::solver::Method;
    use std::sync::Arc;

    #[test]
    fn many_stands_are_thinned_and_none_is_far() {
        let scenario = Arc::new(Scenario::opening());
        let method = Method::Stiff;
        let rig = Simulation::start(scenario, method, usual_tolerance(method)).expect("starts");
        let pair = Pair::new(rig);
        let mut past = Past::default();
        for i in 0..5_000 {
            let mut stand = pair.stand(0);
            stand.rig.t_s = f64::from(i);
            past.stands.push(stand);
            past.thin();
            assert!(past.stands.len() <= MOST);
        }
        let apart = past
            .stands
            .windows(2)
            .map(|w| w[1].rig.t_s - w[0].rig.t_s)
            .fold(0.0, f64::max);
        assert!(apart <= 25.0, "{apart}");
        assert_eq!(past.stands[0].rig.t_s, 0.0);
    }
}
