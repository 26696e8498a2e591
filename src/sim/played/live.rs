//! A run one can play, look back into, and go on from at any moment, with its healthy twin beside it.
//!
//! Looking back loses nothing: a second pair stands at the moment that is looked at, and time that runs there
//! goes through what was recorded, acts included. A new act there, or the wish to go on from there, begins a branch:
//! what had come after is kept (`branch`), and the run goes on from that moment.

use super::branch::{BranchName, Kept, KeptBranch, Lineage, MOST_KEPT, Records, parted_s};
use super::pair::Pair;
use super::past::Past;
use crate::rig::Readings;
use crate::scenario::{Action, Scenario};
use crate::sim::error::SimError;
use crate::sim::mark::Mark;
use crate::sim::simulation::{Simulation, usual_tolerance};
use crate::sim::tape::Taped;
use crate::solver::Method;
use std::sync::Arc;

/// Rows noted in one advance.
const ROWS: f64 = 8.0;

/// A pair that stands in the past, and how many acts of the run it has gone through.
struct Look {
    pair: Pair,
    done: usize,
}

/// A live run.
pub struct Live {
    now: Pair,
    past: Past,
    look: Option<Look>,
    lineage: Lineage,
    kept: Vec<Kept>,
    /// Branches begun so far.
    begun: u32,
}

impl Live {
    /// Starts a scenario.
    ///
    /// # Errors
    /// [`SimError`] if the rig cannot come to rest.
    pub fn start(scenario: Arc<Scenario>, records: &mut Records) -> Result<Self, SimError> {
        let rig = Simulation::start(scenario, Method::Auto, usual_tolerance(Method::Auto))?;
        let now = Pair::new(rig);
        *records = Records::default();
        records.now.note(&now.rig.readings(), &now.twin_readings());
        let mut past = Past::default();
        past.note_stand(&now);
        Ok(Self {
            now,
            past,
            look: None,
            lineage: vec![(BranchName(0), 0.0)],
            kept: Vec::new(),
            begun: 0,
        })
    }

    fn shown(&self) -> &Pair {
        self.look.as_ref().map_or(&self.now, |look| &look.pair)
    }

    /// The rig at the moment that is looked at.
    pub fn rig(&self) -> &Simulation {
        &self.shown().rig
    }

    /// Readings of the healthy twin at that moment.
    pub fn twin_readings(&self) -> Readings {
        self.shown().twin_readings()
    }

    /// How far the run has come \[s\].
    pub fn front_s(&self) -> f64 {
        self.now.time_s()
    }

    /// Everything that has happened on the run, also after the moment that is looked at.
    pub fn marks(&self) -> &[Mark] {
        self.now.rig.marks()
    }

    /// What was done on the run, with the times \[s\].
    pub fn acts(&self) -> &[(f64, Taped)] {
        self.past.acts()
    }

    /// The branch the run is.
    pub fn branch(&self) -> BranchName {
        self.lineage.last().map(|step| step.0).unwrap_or_default()
    }

    /// The branches kept beside it.
    pub fn kept(&self) -> Vec<KeptBranch> {
        let told = |kept: &Kept| KeptBranch {
            name: kept.name(),
            parted_s: parted_s(&kept.lineage, &self.lineage),
            until_s: kept.front.rig.t_s,
        };
        self.kept.iter().map(told).collect()
    }

    /// Carries out an act on both (the twin ignores faults); one in the past begins a branch.
    ///
    /// # Errors
    /// As [`Live::branch_off`].
    pub fn act(&mut self, action: &Action, records: &mut Records) -> Result<(), SimError> {
        self.repeat(&Taped::Act(*action), records)
    }

    /// Does again what a copy has noted.
    ///
    /// # Errors
    /// As [`Live::branch_off`].
    pub fn repeat(&mut self, taped: &Taped, records: &mut Records) -> Result<(), SimError> {
        self.branch_off(records)?;
        self.past.note_act(&self.now, *taped);
        self.now.act(taped);
        self.past.note_stand(&self.now);
        Ok(())
    }

    /// Advances to `until_s`: through what was recorded while the past is looked at, and no further than its end; else
    /// the run itself, with rows noted on the way.
    ///
    /// # Errors
    /// [`SimError`]; rig and twin then stand at the last good moment.
    pub fn advance(&mut self, until_s: f64, records: &mut Records) -> Result<(), SimError> {
        if let Some(look) = &mut self.look {
            if until_s < self.now.time_s() {
                return self.past.go_on(&mut look.pair, &mut look.done, until_s);
            }
            self.look = None;
            return Ok(());
        }
        let dt = (until_s - self.now.time_s()) / ROWS;
        if dt <= 0.0 {
            return Ok(());
        }
        let record = &mut records.now;
        self.now
            .advance(until_s, Some(dt), &mut |r, t| record.note(r, t))?;
        self.past.note_stand(&self.now);
        Ok(())
    }

    /// Looks at the moment `t_s` of the run; at its end it goes on as if nobody had looked back.
    ///
    /// # Errors
    /// [`SimError`] if the stretch from the last stand cannot be gone through again.
    pub fn look_at(&mut self, t_s: f64) -> Result<(), SimError> {
        let t_s = t_s.max(0.0);
        if t_s >= self.now.time_s() {
            self.look = None;
            return Ok(());
        }
        let look = self.look.get_or_insert_with(|| Look {
            pair: self.now.copy(),
            done: usize::MAX,
        });
        let from_s = look.pair.time_s();
        // A little further on from where it stands is quicker gone through than begun anew.
        let near =
            look.done != usize::MAX && t_s >= from_s && !self.past.stands_between(from_s, t_s);
        if near {
            return self.past.go_on(&mut look.pair, &mut look.done, t_s);
        }
        look.done = self.past.bring(&mut look.pair, t_s)?;
        Ok(())
    }

    /// Lets the run go on from the moment that is looked at; what had come after is kept as a branch. Nothing
    /// happens at the end of the run.
    ///
    /// # Errors
    /// As [`Live::look_at`].
    pub fn branch_off(&mut self, records: &mut Records) -> Result<(), SimError> {
        let Some(look) = self.look.take() else {
            return Ok(());
        };
        let t_s = look.pair.time_s();
        self.keep(records);
        let done = self.past.bring(&mut self.now, t_s)?;
        self.past.forget_after(t_s, done);
        self.begun += 1;
        self.lineage.retain(|step| step.1 <= t_s);
        self.lineage.push((BranchName(self.begun), t_s));
        records.now.forget_after(t_s);
        let now = &self.now;
        records.now.note(&now.rig.readings(), &now.twin_readings());
        self.past.note_stand(&self.now);
        Ok(())
    }

    fn keep(&mut self, records: &mut Records) {
        let Some(front) = self.past.last() else {
            return;
        };
        records.keep(self.branch());
        self.kept.push(Kept {
            lineage: self.lineage.clone(),
            front: front.clone(),
            past: self.past.clone(),
            marks: self.now.rig.marks().to_vec(),
        });
        if self.kept.len() > MOST_KEPT {
            let gone = self.kept.remove(0);
            let _ = records.take(gone.name());
        }
    }

    /// Goes on with a kept branch, at its end; the present run is kept instead.
    pub fn switch_to(&mut self, name: BranchName, records: &mut Records) {
        let Some(i) = self.kept.iter().position(|kept| kept.name() == name) else {
            return;
        };
        let Some(record) = records.take(name) else {
            return;
        };
        let other = self.kept.remove(i);
        self.keep(records);
        self.look = None;
        self.now.take_up(&other.front, other.marks);
        self.past = other.past;
        self.lineage = other.lineage;
        records.now = record;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sim::Channel;

    fn started() -> (Live, Records) {
        let mut records = Records::default();
        let live = Live::start(Arc::new(Scenario::opening()), &mut records).expect("starts");
        (live, records)
    }

    fn play(live: &mut Live, records: &mut Records, until_s: f64) {
        while live.front_s() < until_s {
            let to_s = (live.front_s() + 0.5).min(until_s);
            live.advance(to_s, records).expect("plays");
        }
    }

    fn blocked() -> Action {
        Action::Inject {
            fault: crate::fault::Fault::named("second_vent_blocked").expect("a fault"),
            severity: 0.9,
            over_s: 0.0,
        }
    }

    #[test]
    fn looking_back_shows_what_was_recorded_and_loses_nothing() {
        let (mut live, mut records) = started();
        play(&mut live, &mut records, 20.0);
        live.act(&blocked(), &mut records).expect("acts");
        play(&mut live, &mut records, 40.0);
        let end = live.rig().readings();
        for t_s in [3.3, 19.9, 20.0, 25.7, 11.2, 39.9] {
            live.look_at(t_s).expect("looks");
            let seen = live.rig().readings();
            assert!((seen.time_s - t_s).abs() < 1e-9);
            let noted = records.now.value_at(Channel::Outlet, t_s).expect("noted");
            assert!(
                (seen.outlet_pa - noted).abs() < 6.0,
                "{t_s}: {} {noted}",
                seen.outlet_pa
            );
            assert_eq!(live.rig().moment().faults.is_empty(), t_s < 20.0, "{t_s}");
        }
        live.look_at(f64::INFINITY).expect("looks");
        assert_eq!(live.rig().readings().outlet_pa, end.outlet_pa);
        assert_eq!(live.front_s(), 40.0);
        assert!(live.kept().is_empty());
    }

    #[test]
    fn time_that_runs_in_the_past_goes_through_the_acts_to_the_end() {
        let (mut live, mut records) = started();
        play(&mut live, &mut records, 5.0);
        live.act(&blocked(), &mut records).expect("acts");
        play(&mut live, &mut records, 10.0);
        live.look_at(4.0).expect("looks");
        for until in [4.5, 5.5, 9.0] {
            live.advance(until, &mut records).expect("plays");
            assert!((live.rig().time_s() - until).abs() < 1e-9);
            assert_eq!(live.rig().moment().faults.len(), usize::from(until > 5.0));
        }
        live.advance(10.5, &mut records).expect("plays");
        assert_eq!(live.rig().time_s(), 10.0, "at the end first");
        live.advance(10.5, &mut records).expect("plays");
        assert_eq!(live.rig().time_s(), 10.5);
    }

    #[test]
    fn an_act_in_the_past_begins_a_branch_and_the_other_is_kept_and_gone_back_to() {
        let (mut live, mut records) = started();
        play(&mut live, &mut records, 10.0);
        live.act(&blocked(), &mut records).expect("acts");
        play(&mut live, &mut records, 30.0);
        let marks = live.marks().len();
        let end = live.rig().readings();
        live.look_at(9.0).expect("looks");
        live.branch_off(&mut records).expect("branches");
        assert_eq!(live.front_s(), 9.0);
        assert_eq!(live.branch().to_string(), "B");
        assert_eq!(records.now.end_s(), Some(9.0));
        play(&mut live, &mut records, 20.0);
        assert!(
            live.rig().moment().faults.is_empty(),
            "the fault was not put in again"
        );
        let kept = live.kept();
        assert_eq!(kept.len(), 1);
        assert_eq!((kept[0].parted_s, kept[0].until_s), (9.0, 30.0));
        live.switch_to(kept[0].name, &mut records);
        assert_eq!(live.branch().to_string(), "A");
        assert_eq!(live.front_s(), 30.0);
        assert_eq!(live.marks().len(), marks);
        assert_eq!(live.rig().readings().outlet_pa, end.outlet_pa);
        assert_eq!(records.now.end_s(), Some(30.0));
        assert_eq!(live.kept()[0].parted_s, 9.0);
        // What was left can be looked at all the same, and goes on.
        live.look_at(5.0).expect("looks");
        assert!(live.rig().moment().faults.is_empty());
        live.look_at(31.0).expect("looks");
        play(&mut live, &mut records, 31.0);
    }

    #[test]
    fn no_more_branches_are_kept_than_can_be_compared() {
        let (mut live, mut records) = started();
        for i in 0..6 {
            play(&mut live, &mut records, 5.0);
            live.look_at(f64::from(i) * 0.5).expect("looks");
            live.branch_off(&mut records).expect("branches");
        }
        assert_eq!(live.kept().len(), MOST_KEPT);
        assert_eq!(records.kept.len(), MOST_KEPT);
        let names: Vec<_> = live.kept().iter().map(|k| k.name).collect();
        let of_records: Vec<_> = records.kept.iter().map(|k| k.0).collect();
        assert_eq!(names, of_records);
    }
}
