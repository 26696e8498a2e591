//! A run one can play, pause, rewind and go on from, with its healthy twin beside it.

use super::record::Record;
use super::simulation::{Moment, SimError, Simulation};
use crate::rig::Readings;
use crate::scenario::{Action, Scenario};
use crate::solver::{Method, Tolerance};
use std::sync::Arc;

/// Checkpoints kept; when there are more, every other one of the older half goes.
const CHECKPOINTS: usize = 3_000;
/// Rows noted in one advance.
const ROWS: f64 = 8.0;

/// The rig and its twin at one time.
struct Checkpoint {
    rig: Moment,
    twin: Moment,
}

/// A live run.
pub struct Live {
    rig: Simulation,
    twin: Simulation,
    checkpoints: Vec<Checkpoint>,
}

impl Live {
    /// Starts a scenario.
    ///
    /// # Errors
    /// [`SimError`] if the rig cannot come to rest.
    pub fn start(scenario: Arc<Scenario>, record: &mut Record) -> Result<Self, SimError> {
        let rig = Simulation::start(scenario, Method::Auto, Tolerance::default())?;
        let twin = rig.healthy_twin();
        *record = Record::default();
        record.note(&rig.readings(), &twin.readings());
        let mut live = Self {
            rig,
            twin,
            checkpoints: Vec::new(),
        };
        live.check_in();
        Ok(live)
    }

    /// The rig.
    pub fn rig(&self) -> &Simulation {
        &self.rig
    }

    /// The healthy twin.
    pub fn twin(&self) -> &Simulation {
        &self.twin
    }

    /// Carries out an act on both (the twin ignores faults).
    pub fn act(&mut self, action: &Action) {
        self.rig.act(action);
        self.twin.act(action);
        self.check_in();
    }

    /// Advances both to `until_s` and notes rows on the way; keeps a checkpoint.
    ///
    /// # Errors
    /// [`SimError`]; rig and twin then stand at the last good moment.
    pub fn advance(&mut self, until_s: f64, record: &mut Record) -> Result<(), SimError> {
        let dt = (until_s - self.rig.time_s()) / ROWS;
        if dt <= 0.0 {
            return Ok(());
        }
        let (mut rows, mut twins): (Vec<Readings>, Vec<Readings>) = (Vec::new(), Vec::new());
        let from = self.rig.time_s();
        for k in 1..=(ROWS as i32) {
            let t = if f64::from(k) < ROWS {
                from + dt * f64::from(k)
            } else {
                until_s
            };
            self.rig.advance(t, None, &mut |_| {})?;
            rows.push(self.rig.readings());
        }
        for r in &rows {
            self.twin.advance(r.time_s, None, &mut |_| {})?;
            twins.push(self.twin.readings());
        }
        for (r, t) in rows.iter().zip(&twins) {
            record.note(r, t);
        }
        self.check_in();
        Ok(())
    }

    /// Goes back to `t_s` (not before zero, not after now) and forgets what came after.
    ///
    /// # Errors
    /// [`SimError`] if the stretch from the last checkpoint cannot be run again.
    pub fn rewind(&mut self, t_s: f64, record: &mut Record) -> Result<(), SimError> {
        let t_s = t_s.clamp(0.0, self.rig.time_s());
        let after = self.checkpoints.partition_point(|c| c.rig.t_s <= t_s);
        let Some(c) = self.checkpoints.get(after.saturating_sub(1)) else {
            return Ok(());
        };
        self.rig.go_back_to(&c.rig);
        self.twin.go_back_to(&c.twin);
        self.checkpoints.truncate(after.max(1));
        self.rig.advance(t_s, None, &mut |_| {})?;
        self.twin.advance(t_s, None, &mut |_| {})?;
        record.forget_after(t_s);
        record.note(&self.rig.readings(), &self.twin.readings());
        self.check_in();
        Ok(())
    }

    fn check_in(&mut self) {
        self.checkpoints.push(Checkpoint {
            rig: self.rig.moment().clone(),
            twin: self.twin.moment().clone(),
        });
        if self.checkpoints.len() > CHECKPOINTS {
            let mut i = 0;
            self.checkpoints.retain(|_| {
                i += 1;
                i > CHECKPOINTS / 2 || i % 2 == 1
            });
        }
    }
}
