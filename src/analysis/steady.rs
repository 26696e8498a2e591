//! The steady operating point: where every force balances and every store keeps its content.
//!
//! A [`Stand`] is a rig on a test stand: one container held at a pressure, the burners replaced by
//! one orifice that sets the load. Eight unknowns (two diaphragms, two chambers, two spring cases,
//! manifold, pigtail) are found by Newton's method from the point before; temperatures, fuel and
//! friction bristles are held. Friction is held at its sliding value against the motion that led
//! there, which is what makes a rising and a falling curve of them.

use super::mechanism::Mechanism;
use crate::physics::GAS_CONSTANT;
use crate::physics::fuel::{self, SPECIES, Species, Vapour};
use crate::rig::evaluate::real_pressure;
use crate::rig::{
    Charge, ExcessFlow, Held, Modes, Ramp, Readings, Rig, RigState, Site, Stage, Supply, evaluate,
    rates,
};
use crate::sim::RigSystem;
use crate::solver::{Engine, Method, Stop, Tolerance};
use crate::units::inwc_to_pa;
use nalgebra::{SMatrix, SVector};

/// Unknowns.
const N: usize = 8;
type Values = SVector<f64, N>;

/// Newton steps before a point is given up.
const MOST_STEPS: usize = 60;
/// Orifice to start from: about 60,000 Btu/h \[m²\].
const START_M2: f64 = 5e-6;
/// How long a run is waited for at first until Newton's method is tried again \[s\], and how much longer each time
/// after: a starved hose empties in seconds, a chamber behind a nick fills in hours.
const WAIT_S: f64 = 20.0;
/// See [`WAIT_S`].
const LONGER: f64 = 4.0;
/// The longest wait \[s\].
const LONGEST_S: f64 = 4e5;
/// ... and how many steps one may take: a rig that hunts never comes to rest.
const WAIT_STEPS: u64 = 20_000;
/// Times a leap from one load to another is halved.
const WALK: u32 = 6;
/// Step of the differences, in sizes.
const STEP: f64 = 1e-6;
/// Force left over, as pressure on its diaphragm, at which a point is steady \[Pa\].
const STEADY_PA: f64 = 1e-2;
/// Flow left over at which it is \[kg/s\]: 0.02 Btu/h.
const STEADY_KG_PER_S: f64 = 1e-10;
/// ... and flow of air \[mol/s\].
const STEADY_MOL_PER_S: f64 = 1e-9;
/// What is left over, in these, where the longest wait ends at rest: a pascal, 2 Btu/h. So much is the rounding of a
/// pigtail's content under 200 psig.
const AT_REST: f64 = 100.0;

/// Which way friction holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Friction {
    /// The load has risen: friction holds the diaphragms up, towards closed.
    LoadRising,
    /// The load has fallen.
    LoadFalling,
    /// No friction at all.
    None,
}

/// No steady point was found: the rig hunts there, or is still on its way after days.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error("the rig comes to no steady point")]
pub struct Unsteady {
    /// Container gauge pressure \[Pa\].
    pub container_pa: f64,
    /// Load that was asked for, at the usual outlet pressure \[W\].
    pub load_w: f64,
}

/// A steady point.
#[derive(Debug, Clone, Copy)]
pub struct OperatingPoint {
    /// What the gauges show.
    pub readings: Readings,
    /// Heat value of the load \[W\].
    pub load_w: f64,
    /// The state.
    pub state: RigState,
}

/// A rig on the test stand.
#[derive(Debug, Clone)]
pub struct Stand {
    /// The rig: one container, no appliances.
    pub rig: Rig,
    /// Valve open, everything else at rest.
    pub modes: Modes,
    state: RigState,
    container_pa: f64,
    gas: Vapour,
    /// Absolute pressure of the container's vapour \[Pa\].
    vapour_pa: f64,
    settled_m2: f64,
    /// Flow over which the excess-flow valve shuts, where it is heeded \[kg/s\].
    trips_kg_per_s: f64,
}

/// Temperature at which the liquid of the charge has a vapour pressure \[K\].
fn boiling_k(fractions: &[f64; SPECIES], pressure_pa: f64) -> f64 {
    let sum: f64 = fractions[..SPECIES - 1].iter().sum();
    let pressure = |t_k: f64| -> f64 {
        Species::ALL[..SPECIES - 1]
            .iter()
            .map(|s| fractions[s.index()] / sum * fuel::saturation_pressure_pa(*s, t_k))
            .sum()
    };
    let (mut low, mut high) = (170.0, 365.0);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if pressure(middle) < pressure_pa {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

/// The s for which s + s|s| is a pressure difference \[Pa\]: a turbulent flow is linear in it, and
/// under a pascal, where flow turns laminar, it is the difference itself.
fn root(difference_pa: f64) -> f64 {
    // The difference of squares without cancellation.
    let d = 2.0 * difference_pa;
    d / (1.0 + (1.0 + 2.0 * d.abs()).sqrt())
}

/// The difference of a [`root`] \[Pa\].
fn unrooted(root: f64) -> f64 {
    root + root * root.abs()
}

/// Density at which the rig's own real-gas law gives a pressure, to rounding (secant steps).
fn density_kg_per_m3(pressure_pa: f64, t_k: f64, gas: &Vapour) -> f64 {
    let off = |rho: f64| real_pressure(rho, gas, t_k).0 - pressure_pa;
    let mut last = pressure_pa / (gas.gas_constant_j_per_kg_k * t_k);
    let mut off_last = off(last);
    let mut rho = last * 1.1;
    for _ in 0..12 {
        let off_now = off(rho);
        if off_now.abs() <= 1e-13 * pressure_pa || off_now == off_last {
            break;
        }
        let next = rho - off_now * (rho - last) / (off_now - off_last);
        (last, off_last, rho) = (rho, off_now, next);
    }
    rho
}

impl Stand {
    /// Puts a rig on the stand, its container held at a gauge pressure \[Pa\].
    pub fn new(rig: &Rig, site: &Site, container_pa: f64) -> Self {
        let mut rig = rig.clone();
        rig.appliances.clear();
        rig.containers.truncate(1);
        rig.changeover = None;
        // What a run in time watches for is passed over; see `with_excess_flow`.
        rig.containers[0].supply.excess_trip_kg_per_s = f64::INFINITY;
        // A store so large that it keeps its temperature and content.
        rig.containers[0].steel_j_per_k = 1e12;
        let mut modes = Modes::shut(*site);
        modes.valves[0] = Ramp::fixed(1.0);
        let absolute_pa = container_pa + site.ambient_pa(0.0);
        let charge = Charge {
            fill: 0.6,
            temperature_k: boiling_k(&rig.fuel.fractions, absolute_pa),
            air_pa: 0.0,
        };
        let state = rig.at_rest(&modes, &[charge]);
        let flows = evaluate(&rig, &modes, 0.0, &state);
        let mut stand = Self {
            settled_m2: 0.0,
            trips_kg_per_s: f64::INFINITY,
            gas: flows.gas,
            vapour_pa: flows.containers[0].flash.pressure_pa,
            rig,
            modes,
            state,
            container_pa,
        };
        stand.open_a_little();
        stand
    }

    /// The same stand, whose excess-flow valve shuts over the flow of `supply`, and opens again once pressures are even
    /// enough: so a curve breaks off where it trips, and comes back only near no load.
    #[must_use]
    pub fn with_excess_flow(self, supply: &Supply) -> Self {
        Self {
            trips_kg_per_s: supply.excess_trip_kg_per_s,
            ..self
        }
    }

    /// Starts from open seats: from there every load can be walked to.
    fn open_a_little(&mut self) {
        let ambient_pa = self.modes.site.ambient_pa(0.0);
        let mut u = self.get(&self.state);
        for (k, stage) in [(0, &self.rig.first), (3, &self.rig.second)] {
            u[k] = 0.9 * stage.touch_rise_m;
            u[k + 1] = ambient_pa + stage.spring_force_n(u[k], self.state.body_k) / stage.area_m2;
        }
        u[6] = 0.0;
        self.state = self.with(&self.state, &u);
        self.rig.piping.leak_m2 = START_M2;
        self.state = self.waited(WAIT_S).0;
        // If even this fails the loads asked for will say so.
        let _ = self.walk_to(START_M2, 0);
    }

    /// The same stand, at the point it has settled at, without something that damps.
    #[must_use]
    pub fn without(&self, mechanism: Mechanism) -> Self {
        Self {
            rig: mechanism.removed_from(&self.rig),
            ..self.clone()
        }
    }

    /// Container gauge pressure asked for \[Pa\].
    pub fn container_pa(&self) -> f64 {
        self.container_pa
    }

    /// Area of an orifice that loads the outlet with about `load_w` \[m²\].
    pub fn orifice_m2(&self, load_w: f64) -> f64 {
        load_w / self.watts_per_m2()
    }

    /// What a square metre of orifice passes at 11 in w.c., as heat \[W/m²\].
    fn watts_per_m2(&self) -> f64 {
        let gas = &self.gas;
        let pa = inwc_to_pa(11.0);
        let density = (self.modes.site.ambient_pa(0.0) + pa)
            / (gas.gas_constant_j_per_kg_k * self.modes.site.air_k.at(0.0));
        0.7 * (2.0 * density * pa).sqrt() * gas.heating_value_j_per_kg
    }

    /// The steady point with an orifice as load \[m²\], from the point found before.
    ///
    /// # Errors
    /// [`Unsteady`] when Newton's method finds none.
    pub fn settle(
        &mut self,
        orifice_m2: f64,
        friction: Friction,
    ) -> Result<OperatingPoint, Unsteady> {
        let bend = |stage: &Stage| {
            let sliding_m = if stage.bristle_n_per_m > 0.0 {
                stage.friction_n / stage.bristle_n_per_m
            } else {
                0.0
            };
            match friction {
                Friction::None => 0.0,
                Friction::LoadRising => -sliding_m,
                Friction::LoadFalling => sliding_m,
            }
        };
        self.state.first.bristle_m = bend(&self.rig.first);
        self.state.second.bristle_m = bend(&self.rig.second);
        self.find(orifice_m2)?;
        if self.excess_flow_moves() {
            self.find(orifice_m2)?;
        }
        Ok(self.point())
    }

    /// Newton's method from the point before; where that finds nothing, ever longer runs in time with Newton's
    /// method after each.
    fn find(&mut self, orifice_m2: f64) -> Result<(), Unsteady> {
        if self.walk_to(orifice_m2, WALK).is_ok() {
            return Ok(());
        }
        self.rig.piping.leak_m2 = orifice_m2;
        let mut wait_s = WAIT_S;
        loop {
            let (state, whole) = self.waited(wait_s);
            self.state = state;
            let last = !whole || wait_s >= LONGEST_S;
            let mut found = self.newton(&state);
            if last && found.is_err() {
                // A chamber that no gas reaches any more hangs on no friction, and the pressure of a pigtail at rest on
                // rounding.
                let mut free = state;
                (free.first.bristle_m, free.second.bristle_m) = (0.0, 0.0);
                let left = self.residual(&free, &self.get(&free));
                found = if left.amax() < AT_REST {
                    Ok(free)
                } else {
                    self.newton(&free)
                };
            }
            if let Ok(state) = found {
                self.state = state;
                self.settled_m2 = orifice_m2;
                return Ok(());
            }
            if last {
                return Err(Unsteady {
                    container_pa: self.container_pa,
                    load_w: orifice_m2 * self.watts_per_m2(),
                });
            }
            wait_s *= LONGER;
        }
    }

    /// Shuts the excess-flow valve or opens it where the point just found asks for it.
    fn excess_flow_moves(&mut self) -> bool {
        let flows = evaluate(&self.rig, &self.modes, 0.0, &self.state);
        let container = &flows.containers[0];
        let valve = &mut self.modes.excess_flow[0];
        let across_pa = container.flash.pressure_pa - container.pigtail_pa;
        let moved = if valve.is_shut() {
            (across_pa < self.rig.containers[0].supply.excess_reset_pa).then_some(ExcessFlow::Open)
        } else {
            (container.vapour_kg_per_s > self.trips_kg_per_s)
                .then_some(ExcessFlow::Shut { rests_s: 0.0 })
        };
        if let Some(moved) = moved {
            *valve = moved;
        }
        moved.is_some()
    }

    /// From the orifice settled last to another, half-way first (in ratio) where one leap fails.
    fn walk_to(&mut self, orifice_m2: f64, halvings: u32) -> Result<(), f64> {
        self.rig.piping.leak_m2 = orifice_m2;
        match self.newton(&self.state) {
            Ok(state) => {
                self.state = state;
                self.settled_m2 = orifice_m2;
                Ok(())
            }
            Err(left) if halvings == 0 => Err(left),
            Err(_) => {
                let half_way = (self.settled_m2.max(1e-10) * orifice_m2.max(1e-10)).sqrt();
                self.walk_to(half_way, halvings - 1)?;
                self.walk_to(orifice_m2, halvings - 1)
            }
        }
    }

    fn point(&self) -> OperatingPoint {
        let state = &self.state;
        let flows = evaluate(&self.rig, &self.modes, 0.0, state);
        let readings =
            crate::rig::gauges::readings(&self.rig, &self.modes, state, &flows, &Held::default());
        OperatingPoint {
            readings,
            load_w: flows.leak_kg_per_s * flows.gas.heating_value_j_per_kg,
            state: *state,
        }
    }

    /// The unknowns at a state: rises \[m\], chamber pressures \[Pa\], and the differences that drive
    /// vents, main line and pigtail as [`root`]s, of which those flows are nearly linear.
    ///
    /// Pressures, not contents: then a diaphragm can move without stirring what it breathes through.
    fn get(&self, state: &RigState) -> Values {
        let f = evaluate(&self.rig, &self.modes, 0.0, state);
        Values::from([
            state.first.rise_m,
            f.first.chamber_pa,
            root(f.first.case_pa - f.ambient_pa),
            state.second.rise_m,
            f.second.chamber_pa,
            root(f.second.case_pa - f.ambient_pa),
            root(f.second.chamber_pa - f.manifold_pa),
            root(f.containers[0].flash.pressure_pa - f.containers[0].pigtail_pa),
        ])
    }

    /// The state at some unknowns.
    fn with(&self, base: &RigState, u: &Values) -> RigState {
        let mut s = *base;
        let r = self.gas.gas_constant_j_per_kg_k;
        let ambient_pa = self.modes.site.ambient_pa(0.0);
        for (stage, st, u) in [
            (&self.rig.first, &mut s.first, [u[0], u[1], u[2]]),
            (&self.rig.second, &mut s.second, [u[3], u[4], u[5]]),
        ] {
            st.rise_m = u[0];
            st.speed_m_per_s = 0.0;
            st.gas_kg = u[1] * stage.chamber_volume_m3(u[0]) / (r * base.body_k);
            let case_pa = ambient_pa + unrooted(u[2]);
            st.case_settled = case_pa / (GAS_CONSTANT * base.case_k);
            st.case_mol = st.case_settled * stage.case_volume_m3(u[0]);
        }
        let air_k = self.modes.site.air_k.at(0.0);
        let manifold_pa = u[4] - unrooted(u[6]);
        s.manifold_kg = manifold_pa * self.rig.piping.manifold_m3 / (r * air_k);
        let pigtail_pa = self.vapour_pa - unrooted(u[7]);
        let pigtail_k = 0.5 * (s.containers[0].temperature_k + air_k);
        s.containers[0].pigtail_kg = self.rig.containers[0].supply.pigtail_volume_m3
            * density_kg_per_m3(pigtail_pa, pigtail_k, &self.gas);
        s
    }

    /// What is left over at a state, each in its tolerance.
    fn residual(&self, base: &RigState, u: &Values) -> Values {
        let state = self.with(base, u);
        let f = evaluate(&self.rig, &self.modes, 0.0, &state);
        let d = rates(&self.rig, &self.modes, &state, &f);
        // A sealed case keeps its air: then its content is no unknown.
        let case = |stage: &Stage, rate: f64, now: f64, was: f64| {
            if stage.vent.at(state.case_k).open > 0.0 {
                rate / STEADY_MOL_PER_S
            } else {
                (now - was) / (1e-9 * was.max(1e-6))
            }
        };
        Values::from([
            f.first.forces.sum_n() / (self.rig.first.area_m2 * STEADY_PA),
            d.first.gas_kg / STEADY_KG_PER_S,
            case(
                &self.rig.first,
                d.first.case_mol,
                state.first.case_mol,
                base.first.case_mol,
            ),
            f.second.forces.sum_n() / (self.rig.second.area_m2 * STEADY_PA),
            d.second.gas_kg / STEADY_KG_PER_S,
            case(
                &self.rig.second,
                d.second.case_mol,
                state.second.case_mol,
                base.second.case_mol,
            ),
            d.manifold_kg / STEADY_KG_PER_S,
            d.containers[0].pigtail_kg / STEADY_KG_PER_S,
        ])
    }

    /// Sizes of the unknowns: a tenth of a diaphragm's travel, pressures of their gauges, roots of
    /// a hundred pascals.
    fn sizes() -> Values {
        Values::from([1e-4, 1e4, 10.0, 1e-3, 1e3, 10.0, 10.0, 10.0])
    }

    /// Newton with a step that is cut until the rest shrinks.
    fn newton(&self, start: &RigState) -> Result<RigState, f64> {
        let sizes = Self::sizes();
        let mut u = self.get(start);
        let mut rest = self.residual(start, &u);
        for _ in 0..MOST_STEPS {
            let size = rest.amax();
            if size < 1.0 {
                return Ok(self.with(start, &u));
            }
            let Some(step) = self.step(start, &u, &rest, &sizes) else {
                return Err(size);
            };
            let mut share = 1.0_f64.min(0.5 / step.component_div(&sizes).amax().max(1e-30));
            let mut better = None;
            for _ in 0..12 {
                let trial = u + step * share;
                let left = self.residual(start, &trial);
                // Norm of logarithms would hide one bad entry; the plain one follows the worst.
                if left.iter().all(|v| v.is_finite()) && left.norm() < rest.norm() {
                    better = Some((trial, left));
                    break;
                }
                share *= 0.4;
            }
            match better {
                Some((trial, left)) => (u, rest) = (trial, left),
                None => return Err(size),
            }
        }
        Err(rest.amax())
    }

    fn step(&self, base: &RigState, u: &Values, rest: &Values, sizes: &Values) -> Option<Values> {
        let mut jacobian = SMatrix::<f64, N, N>::zeros();
        for j in 0..N {
            let h = STEP * sizes[j];
            let (mut up, mut down) = (*u, *u);
            up[j] += h;
            down[j] -= h;
            let slope = (self.residual(base, &up) - self.residual(base, &down)) / (2.0 * h);
            jacobian.set_column(j, &(slope * sizes[j]));
        }
        let step = jacobian.lu().solve(&(-rest))?;
        let step = step.component_mul(sizes);
        step.iter().all(|v| v.is_finite()).then_some(step)
    }

    /// The state after a run in time without friction, for a start far from any steady point; and whether the run
    /// came to its end within [`WAIT_STEPS`].
    fn waited(&self, wait_s: f64) -> (RigState, bool) {
        let mut rig = self.rig.clone();
        for stage in [&mut rig.first, &mut rig.second] {
            stage.friction_n = 0.0;
        }
        let system = RigSystem::new(&rig, &self.modes);
        let mut y = vec![0.0; RigState::dim(&rig)];
        self.state.write_to(&rig, &mut y);
        let mut engine = Engine::new(Method::Stiff, Tolerance::default());
        engine.step_limit = WAIT_STEPS;
        // Where it fails it leaves the last good state, and Newton's method will tell. What a rig is watched for (the
        // relief opens) is passed over.
        let mut t_s = 0.0;
        let mut whole = false;
        while t_s < wait_s {
            match engine.advance(&system, t_s, wait_s, &mut y, &[], &mut |_, _| {}) {
                Ok(Stop::Event { time_s, .. }) if time_s > t_s => t_s = time_s,
                Ok(Stop::Reached) => {
                    whole = true;
                    break;
                }
                _ => break,
            }
        }
        let end = RigState::read_from(&rig, &y);
        (self.with(&self.state, &self.get(&end)), whole)
    }
}
