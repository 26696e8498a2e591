//! A run one can play, pause, rewind and go on from, with its healthy twin beside it.

use super::error::SimError;
use super::record::Record;
use super::script::Taped;
use super::simulation::{Moment, Simulation, usual_tolerance};
use crate::rig::Readings;
use crate::scenario::{Action, Scenario};
use crate::solver::Method;
use std::sync::Arc;

/// Checkpoints kept; when there are more, every other one of the older half goes.
const CHECKPOINTS: usize = 3_000;
/// Rows noted in one advance.
const ROWS: f64 = 8.0;

/// The rig and its twin at one time; no twin while the two are the same.
struct Checkpoint {
    rig: Moment,
    twin: Option<Moment>,
}

/// A live run.
pub struct Live {
    rig: Simulation,
    twin: Simulation,
    /// Whether a fault has ever been in the rig since the last common moment: until then the twin
    /// is the rig and need not be computed.
    parted: bool,
    checkpoints: Vec<Checkpoint>,
}

impl Live {
    /// Starts a scenario.
    ///
    /// # Errors
    /// [`SimError`] if the rig cannot come to rest.
    pub fn start(scenario: Arc<Scenario>, record: &mut Record) -> Result<Self, SimError> {
        let rig = Simulation::start(scenario, Method::Auto, usual_tolerance(Method::Auto))?;
        let twin = rig.healthy_twin();
        let parted = !rig.moment().faults.is_empty();
        *record = Record::default();
        record.note(&rig.readings(), &twin.readings());
        let mut live = Self {
            rig,
            twin,
            parted,
            checkpoints: Vec::new(),
        };
        live.check_in();
        Ok(live)
    }

    /// The rig.
    pub fn rig(&self) -> &Simulation {
        &self.rig
    }

    /// Readings of the healthy twin.
    pub fn twin_readings(&self) -> Readings {
        if self.parted {
            self.twin.readings()
        } else {
            self.rig.readings()
        }
    }

    /// Carries out an act on both (the twin ignores faults).
    pub fn act(&mut self, action: &Action) {
        let before = self.rig.moment().clone();
        self.rig.act(action);
        if self.part(&before) {
            self.twin.act(action);
        }
        self.check_in();
    }

    /// Does again what a copy has noted.
    pub fn repeat(&mut self, taped: &Taped) {
        match taped {
            Taped::Act(action) => self.act(action),
            Taped::NewRegulator => {
                self.rig.fit_new_regulator();
                if self.parted {
                    self.twin.fit_new_regulator();
                }
                self.check_in();
            }
            Taped::NewContainers => {
                self.rig.fit_new_containers();
                if self.parted {
                    self.twin.fit_new_containers();
                }
                self.check_in();
            }
        }
    }

    /// Parts the twin from the rig at the moment `before`, if a fault has come in since. Returns
    /// whether the two are apart.
    fn part(&mut self, before: &Moment) -> bool {
        if !self.parted && !self.rig.moment().faults.is_empty() {
            self.twin.go_back_to(before);
            self.parted = true;
        }
        self.parted
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
        let before = self.rig.moment().clone();
        let mut rows: Vec<Readings> = Vec::with_capacity(ROWS as usize + 2);
        self.rig
            .advance(until_s, Some(dt), &mut |r| rows.push(*r))?;
        rows.push(self.rig.readings());
        if self.part(&before) {
            let mut twins = Vec::with_capacity(rows.len());
            self.twin
                .advance(until_s, Some(dt), &mut |r| twins.push(*r))?;
            twins.push(self.twin.readings());
            for (r, t) in rows.iter().zip(&twins) {
                record.note(r, t);
            }
        } else {
            for r in &rows {
                record.note(r, r);
            }
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
        self.parted = c.twin.is_some();
        if let Some(twin) = &c.twin {
            self.twin.go_back_to(twin);
        }
        self.checkpoints.truncate(after.max(1));
        let before = self.rig.moment().clone();
        self.rig.advance(t_s, None, &mut |_| {})?;
        if self.part(&before) {
            self.twin.advance(t_s, None, &mut |_| {})?;
        }
        record.forget_after(t_s);
        record.note(&self.rig.readings(), &self.twin_readings());
        self.check_in();
        Ok(())
    }

    fn check_in(&mut self) {
        self.checkpoints.push(Checkpoint {
            rig: self.rig.moment().clone(),
            twin: self.parted.then(|| self.twin.moment().clone()),
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
