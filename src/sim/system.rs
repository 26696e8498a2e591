//! A rig in fixed modes as a system of equations for the solver.

use std::cell::RefCell;

use crate::rig::{
    ContainerState, Contents, Flows, MAX_CONTAINERS, Modes, Rig, RigState, events, rates_into,
};
use crate::solver::{Direction, System};

/// Borrowed view of a rig and its modes, constant while the engine runs.
pub struct RigSystem<'a> {
    rig: &'a Rig,
    modes: &'a Modes,
    scales: Vec<f64>,
    error_scales: Vec<f64>,
    origins: Vec<f64>,
    acts_on: Vec<u64>,
    /// The two places looked at last, and which of them was the last.
    seen: RefCell<([Seen; 2], usize)>,
    /// Where the rates were asked for last.
    rated: RefCell<Seen>,
    rates: RefCell<RigState>,
    held: RefCell<Held>,
}

/// The containers a split was made for, and the split.
#[derive(Default)]
struct Held {
    /// Whether one was made.
    made: bool,
    containers: [ContainerState; MAX_CONTAINERS],
    contents: Contents,
}

/// A container's split serves on until the container is warmer or colder by so much \[K\], or has gained or lost such
/// a share of its moles: a two-hundredth of what its temperature may err in a step, 0.03 Pa of its pressure (derived:
/// 30 kPa/K at most; liquid that fills it is stiffer, 0.4 MPa/K, and still within a step's error). Newton's iterations,
/// the columns of a Jacobian and the look at the end of a step then split it once.
const HARDLY_K: f64 = 1e-6;
/// See [`HARDLY_K`].
const HARDLY_SHARE: f64 = 1e-9;

/// Share of each state's size within which a place is as good as another: a third of what a step may err.
const AS_GOOD: f64 = 3e-6;

/// Whether a container has hardly moved from where it was split.
fn hardly_moved(split: &ContainerState, now: &ContainerState) -> bool {
    let all: f64 = split.moles.iter().sum();
    let mut moles = split.moles.iter().zip(&now.moles);
    (split.temperature_k - now.temperature_k).abs() <= HARDLY_K
        && moles.all(|(a, b)| (a - b).abs() <= HARDLY_SHARE * all)
}

/// What was evaluated where: the end of a step is looked at for events and then by the gauges.
#[derive(Default)]
struct Seen {
    t_s: f64,
    /// Empty before the first look.
    y: Vec<f64>,
    state: RigState,
    flows: Flows,
}

impl Seen {
    fn go_to(&mut self, system: &RigSystem<'_>, t_s: f64, y: &[f64]) {
        self.t_s = t_s;
        self.y.clear();
        self.y.extend_from_slice(y);
        self.state.read(system.rig, y);
        system.evaluate(t_s, &self.state, &mut self.flows);
    }
}

impl<'a> RigSystem<'a> {
    /// The system of a rig in the given modes.
    pub fn new(rig: &'a Rig, modes: &'a Modes) -> Self {
        Self {
            rig,
            modes,
            scales: RigState::scales(rig),
            error_scales: RigState::error_scales(rig),
            origins: RigState::origins(rig),
            acts_on: RigState::acts_on(rig),
            seen: RefCell::default(),
            held: RefCell::default(),
            rated: RefCell::default(),
            rates: RefCell::default(),
        }
    }

    /// The rig.
    pub fn rig(&self) -> &'a Rig {
        self.rig
    }

    /// Its modes.
    pub fn modes(&self) -> &'a Modes {
        self.modes
    }

    /// Evaluates the rig; containers that have hardly moved since they were split find themselves split already.
    fn evaluate(&self, t_s: f64, state: &RigState, flows: &mut Flows) {
        let held = &mut *self.held.borrow_mut();
        let mut pairs = held.containers.iter().zip(&state.containers);
        if !held.made || !pairs.all(|(a, b)| hardly_moved(a, b)) {
            held.made = true;
            held.containers = state.containers;
            held.contents.update(self.rig, state);
        }
        flows.update(self.rig, self.modes, t_s, state, &held.contents);
    }

    /// Whether a place is where the rates were asked for last, but for a small share of what a step may err.
    fn as_good_as(&self, rated: &Seen, t_s: f64, y: &[f64]) -> bool {
        let close = |((a, b), size): ((&f64, &f64), &f64)| (a - b).abs() <= AS_GOOD * size;
        rated.t_s == t_s
            && rated.y.len() == y.len()
            && rated.y.iter().zip(y).zip(&self.error_scales).all(close)
    }

    /// As [`RigSystem::look`], at once also if that is as good as where the rates were asked for last: the end of a
    /// step is a hair from where its last iteration was.
    pub fn glance<T>(&self, t_s: f64, y: &[f64], job: impl FnOnce(&RigState, &Flows) -> T) -> T {
        let rated = self.rated.borrow();
        if self.as_good_as(&rated, t_s, y) {
            return job(&rated.state, &rated.flows);
        }
        self.look(t_s, y, job)
    }

    /// Gives `job` the rig as evaluated at `t_s` and `y`, at once if that is one of the two places
    /// looked at last.
    pub fn look<T>(&self, t_s: f64, y: &[f64], job: impl FnOnce(&RigState, &Flows) -> T) -> T {
        let (places, last) = &mut *self.seen.borrow_mut();
        let here = |s: &Seen| s.t_s == t_s && s.y == y;
        if !here(&places[*last]) {
            *last = 1 - *last;
            let seen = &mut places[*last];
            if !here(seen) {
                seen.go_to(self, t_s, y);
            }
        }
        let seen = &places[*last];
        job(&seen.state, &seen.flows)
    }
}

impl System for RigSystem<'_> {
    fn dim(&self) -> usize {
        self.scales.len()
    }

    fn derivatives(&self, t: f64, y: &[f64], dy: &mut [f64]) {
        let rated = &mut *self.rated.borrow_mut();
        rated.go_to(self, t, y);
        let rates = &mut *self.rates.borrow_mut();
        rates_into(rates, self.rig, self.modes, &rated.state, &rated.flows);
        rates.write_to(self.rig, dy);
    }

    fn scales(&self) -> &[f64] {
        &self.scales
    }

    fn error_scales(&self) -> &[f64] {
        &self.error_scales
    }

    fn origin(&self, i: usize) -> f64 {
        self.origins[i]
    }

    fn acts_slowly(&self, i: usize) -> bool {
        RigState::acts_slowly(self.rig, i)
    }

    fn acts_on(&self, i: usize) -> u64 {
        self.acts_on[i]
    }

    fn watch_count(&self) -> usize {
        events::watch_count(self.rig)
    }

    fn watches(&self, t: f64, y: &[f64], out: &mut [f64]) {
        self.look(t, y, |state, flows| {
            events::watches(self.rig, self.modes, state, flows, out);
        });
    }

    fn watches_nearly(&self, t: f64, y: &[f64], out: &mut [f64]) {
        self.glance(t, y, |state, flows| {
            events::watches(self.rig, self.modes, state, flows, out);
        });
    }

    fn watch_direction(&self, _i: usize) -> Direction {
        Direction::Falling
    }

    fn watch_reach(&self, i: usize) -> f64 {
        events::watch_reach(self.rig, i)
    }

    fn state_name(&self, i: usize) -> String {
        RigState::name(self.rig, i)
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::rig::evaluate;
    use crate::scenario::Scenario;
    use crate::sim::{Simulation, usual_tolerance};
    use crate::solver::Method;
    use std::path::Path;

    #[test]
    fn a_container_that_hardly_moved_keeps_its_pressure_and_one_that_moved_has_its_own() {
        for name in ["frosty_night", "overfilled", "changeover"] {
            let file = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("scenarios/{name}.toml"));
            let mut scenario = Scenario::load(&file).unwrap();
            scenario.run.settle_s = 0.0;
            let method = Method::Stiff;
            let sim = Simulation::start(scenario.into(), method, usual_tolerance(method)).unwrap();
            let (rig, modes) = (sim.rig(), sim.moment().modes);
            let pressure = |system: &RigSystem<'_>, state: &RigState| {
                let mut y = vec![0.0; system.dim()];
                state.write_to(rig, &mut y);
                system.look(0.0, &y, |_, flows| flows.containers[0].flash.pressure_pa)
            };
            let system = RigSystem::new(rig, &modes);
            let mut state = sim.moment().state;
            let before = pressure(&system, &state);
            for (by_k, kept) in [(0.9 * HARDLY_K, true), (2.0 * HARDLY_K, false)] {
                state.containers[0].temperature_k =
                    sim.moment().state.containers[0].temperature_k + by_k;
                let exact = evaluate(rig, &modes, 0.0, &state).containers[0]
                    .flash
                    .pressure_pa;
                let found = pressure(&system, &state);
                assert_eq!(found == before, kept, "{name}");
                assert!(
                    (found - exact).abs() <= if kept { 0.03 } else { 0.0 },
                    "{name}: {found} {exact}"
                );
            }
        }
    }
}
