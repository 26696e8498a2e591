//! Who sees a run, and when: samples on an even grid, the engine's own steps, the count of strokes and the
//! flames' flicker.

use super::flicker::Flicker;
use super::strokes::Strokes;
use super::system::RigSystem;
use crate::rig::gauges;
use crate::rig::{Flows, Held, Readings, RigState};
use crate::solver::Observer;

/// Sees a run as it goes.
pub trait Watch {
    /// Readings at a time asked for.
    fn sample(&mut self, readings: &Readings);

    /// Readings after a step of the engine, where [`Watch::wants_steps`].
    fn step(&mut self, _readings: &Readings) {}

    /// Whether the steps are to be shown; each costs a set of readings.
    fn wants_steps(&self) -> bool {
        false
    }
}

/// A watcher of samples only.
pub(super) struct Samples<'a>(pub(super) &'a mut dyn FnMut(&Readings));

impl Watch for Samples<'_> {
    fn sample(&mut self, readings: &Readings) {
        (self.0)(readings);
    }
}

/// Turns the engine's numbers into readings for a watcher.
pub(super) struct Gauges<'a> {
    pub(super) system: &'a RigSystem<'a>,
    pub(super) initial: Held,
    pub(super) strokes: &'a mut Strokes,
    pub(super) flicker: &'a mut Flicker,
    pub(super) watch: &'a mut dyn Watch,
    /// What the gauges showed last.
    pub(super) shown: Readings,
}

impl Gauges<'_> {
    fn read(&mut self, state: &RigState, flows: &Flows) {
        let (rig, modes) = (self.system.rig(), self.system.modes());
        gauges::read(&mut self.shown, rig, modes, state, flows, &self.initial);
        self.flicker.tell(&mut self.shown);
    }
}

impl Observer for Gauges<'_> {
    fn sample(&mut self, t_s: f64, y: &[f64]) {
        let system = self.system;
        system.look(t_s, y, |state, flows| self.read(state, flows));
        self.watch.sample(&self.shown);
    }

    fn step(&mut self, t_s: f64, y: &[f64]) {
        let system = self.system;
        system.glance(t_s, y, |state, flows| {
            self.strokes.see(flows);
            self.flicker.see(t_s, flows);
            if self.watch.wants_steps() {
                self.read(state, flows);
                self.watch.step(&self.shown);
            }
        });
    }
}

/// Multiples of `dt` in (from, to]. One that is a rounding error past an end belongs to it, so
/// that stretches laid end to end have every multiple once.
pub(super) fn grid(from_s: f64, to_s: f64, dt: f64) -> Vec<f64> {
    let rounding = |t: f64| 1e-12 * t.abs().max(dt);
    let mut out = Vec::new();
    let mut k = (from_s / dt).floor();
    while k * dt <= to_s + rounding(to_s) {
        if k * dt > from_s + rounding(from_s) {
            out.push((k * dt).min(to_s));
        }
        k += 1.0;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::grid;

    #[test]
    fn stretches_end_to_end_have_every_multiple_once() {
        // 0.1 * 3 is a rounding error over 0.3, an event falls just before 0.5.
        let ends = [0.0, 0.3, 0.5 - 1e-11, 0.5 + 1e-11, 0.77, 2.1];
        let all: Vec<f64> = ends
            .windows(2)
            .flat_map(|w| grid(w[0], w[1], 0.1))
            .collect();
        assert_eq!(all.len(), 21, "{all:?}");
        assert!(all.windows(2).all(|w| (w[1] - w[0] - 0.1).abs() < 1e-9));
    }
}
