//! The rig and its healthy twin, moved and acted on as one. Not here: what is recorded of them.

use crate::rig::Readings;
use crate::sim::error::SimError;
use crate::sim::mark::Mark;
use crate::sim::moment::Moment;
use crate::sim::simulation::Simulation;
use crate::sim::tape::Taped;

/// The pair at one time; no twin while the two are the same.
#[derive(Clone)]
pub(super) struct Stand {
    pub(super) rig: Moment,
    twin: Option<Moment>,
    /// How many of the run's acts were done by then.
    pub(super) acts: usize,
}

/// The rig and its twin.
pub(super) struct Pair {
    pub(super) rig: Simulation,
    twin: Simulation,
    /// Whether a fault has ever been in the rig since the last common moment: until then the twin
    /// is the rig and need not be computed.
    parted: bool,
}

impl Pair {
    /// A rig that has just started, with its twin.
    pub(super) fn new(rig: Simulation) -> Self {
        let twin = rig.healthy_twin();
        let parted = !rig.moment().faults.is_empty();
        Self { rig, twin, parted }
    }

    /// A pair that goes its own way from here.
    pub(super) fn copy(&self) -> Self {
        Self {
            rig: self.rig.copy(),
            twin: self.twin.copy(),
            parted: self.parted,
        }
    }

    pub(super) fn time_s(&self) -> f64 {
        self.rig.time_s()
    }

    pub(super) fn twin_readings(&self) -> Readings {
        if self.parted {
            self.twin.readings()
        } else {
            self.rig.readings()
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

    /// Carries out an act on both (the twin ignores faults).
    pub(super) fn act(&mut self, taped: &Taped) {
        let before = self.rig.moment().clone();
        self.rig.do_again(taped);
        if self.part(&before) {
            self.twin.do_again(taped);
        }
    }

    /// Advances both to `until_s`, showing the readings of both every `rows_s` and at the end.
    ///
    /// # Errors
    /// [`SimError`]; rig and twin then stand at the last good moment.
    pub(super) fn advance(
        &mut self,
        until_s: f64,
        rows_s: Option<f64>,
        sink: &mut dyn FnMut(&Readings, &Readings),
    ) -> Result<(), SimError> {
        let before = self.rig.moment().clone();
        let mut rows: Vec<Readings> = Vec::new();
        self.rig.advance(until_s, rows_s, &mut |r| rows.push(*r))?;
        rows.push(self.rig.readings());
        if self.part(&before) {
            let mut twins = Vec::with_capacity(rows.len());
            self.twin
                .advance(until_s, rows_s, &mut |r| twins.push(*r))?;
            twins.push(self.twin.readings());
            for (r, t) in rows.iter().zip(&twins) {
                sink(r, t);
            }
        } else {
            for r in &rows {
                sink(r, r);
            }
        }
        Ok(())
    }

    /// Where both stand, after so many acts.
    pub(super) fn stand(&self, acts: usize) -> Stand {
        Stand {
            rig: self.rig.moment().clone(),
            twin: self.parted.then(|| self.twin.moment().clone()),
            acts,
        }
    }

    /// Puts both where they stood; what stands on the rig's record after that is forgotten.
    pub(super) fn stand_at(&mut self, stand: &Stand) {
        self.rig.go_back_to(&stand.rig);
        self.parted = stand.twin.is_some();
        if let Some(twin) = &stand.twin {
            self.twin.go_back_to(twin);
        }
    }

    /// Puts both where a run of the same scenario stood, with what is on that run's record.
    pub(super) fn take_up(&mut self, stand: &Stand, marks: Vec<Mark>) {
        self.rig.set_marks(marks);
        self.stand_at(stand);
    }
}
