//! What a run comes to: extremes, steady readings against the trade's limits, burners, fuel.
//!
//! Extremes are taken over every step of the engine, so that no peak between two rows is lost. A
//! reading counts as steady when nothing has been switched for [`STEADY_S`].

mod steady;

pub use steady::{Steady, Verdicts};

use crate::physics::fuel::fill_when_cold;
use crate::rig::{Appliance, Flame, MAX_APPLIANCES, Phase, Readings, Rig};
use crate::service::LIMITS;
use crate::sim::Watch;
use crate::units::inwc_to_pa;
use serde::Serialize;
use steady::burns;

/// How long nothing may have been switched before a gauge is read \[s\].
pub const STEADY_S: f64 = 5.0;
/// Share of the connected load that counts as about half.
const HALF: std::ops::RangeInclusive<f64> = 0.35..=0.65;
/// Share of the connected load that counts as full.
const FULL: f64 = 0.9;
/// Gas flow below which nothing flows, as heat \[W\]: 30 Btu/h, under any pilot.
const NO_FLOW_W: f64 = 10.0;

/// Least and greatest value of a reading, and when.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Extremes {
    /// Least, SI.
    pub low: f64,
    /// When \[s\].
    pub low_at_s: f64,
    /// Greatest, SI.
    pub high: f64,
    /// When \[s\].
    pub high_at_s: f64,
}

impl Extremes {
    fn new(value: f64, t_s: f64) -> Self {
        Self {
            low: value,
            low_at_s: t_s,
            high: value,
            high_at_s: t_s,
        }
    }

    fn take(&mut self, value: f64, t_s: f64) {
        if value < self.low {
            (self.low, self.low_at_s) = (value, t_s);
        }
        if value > self.high {
            (self.high, self.high_at_s) = (value, t_s);
        }
    }
}

/// Gas that was shut in, and whose pressure has risen since by the place alone: no lock-up.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ShutIn {
    /// Highest outlet it came to, gauge \[Pa\].
    pub high_pa: f64,
    /// The same gas where it was shut in, gauge \[Pa\].
    pub there_pa: f64,
}

impl ShutIn {
    fn take(place: &mut Option<Self>, (high_pa, there_pa): (f64, f64)) {
        let it = place.get_or_insert(Self { high_pa, there_pa });
        it.high_pa = it.high_pa.max(high_pa);
        it.there_pa = it.there_pa.max(there_pa);
    }
}

/// A place that gas was shut in at.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Place {
    ambient_pa: f64,
    temperature_k: f64,
}

impl Place {
    fn of(r: &Readings) -> Self {
        Self {
            ambient_pa: r.ambient_pa,
            temperature_k: r.air_k,
        }
    }

    /// Whether the place is still the same, to a hundredth of an in w.c. of what is shut in.
    fn is_that_of(self, r: &Readings) -> bool {
        (r.ambient_pa - self.ambient_pa).abs() < 1.0 && (r.air_k - self.temperature_k).abs() < 0.005
    }

    /// What the outlet would read with the same gas back at this place \[Pa\] (derived: the gas law in a rigid space; where the
    /// diaphragm gives way it has risen by less, and a bonnet that breathes changes nothing of it).
    fn brought_back_pa(self, r: &Readings) -> f64 {
        let absolute_pa = r.outlet_pa + r.ambient_pa;
        absolute_pa * self.temperature_k / r.air_k - self.ambient_pa
    }
}

/// A rise by the place alone that is told from lock-up \[in w.c.\] (own: the least that a healthy lock-up stands over flow
/// pressure).
const SHUT_IN_INWC: f64 = 0.5;

/// Why a burner that was on was locked out already when the run began.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum OutBefore {
    /// No container was open.
    NoSupply,
    /// Its inlet stood too low for a flame to light and be seen \[Pa, gauge\].
    InletLow(f64),
    /// Its inlet stood too high \[Pa, gauge\].
    InletHigh(f64),
    /// The pressure was right: what came was no gas that burns, or its controls saw no flame.
    NoFlame(f64),
}

impl OutBefore {
    fn of(a: &Appliance, start: &Readings, i: usize) -> Option<Self> {
        let now = &start.appliances[i];
        if now.phase != Phase::LockedOut {
            return None;
        }
        let mut containers = start.containers[..start.container_count].iter();
        if containers.all(|c| c.valve_open <= 0.0) {
            return Some(Self::NoSupply);
        }
        let ratio = now.inlet_pa / a.rated_pa;
        Some(if a.lights_at(ratio) && a.proves_at(ratio) {
            Self::NoFlame(now.inlet_pa)
        } else if ratio < 1.0 {
            Self::InletLow(now.inlet_pa)
        } else {
            Self::InletHigh(now.inlet_pa)
        })
    }
}

/// What became of one burner.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Burner {
    /// Name.
    pub name: String,
    /// Times its main burner was lit.
    pub lit: usize,
    /// Times it went out, for whatever reason.
    pub out: usize,
    /// Times its flame was lost while gas was on.
    pub lost: usize,
    /// Times it locked out.
    pub locked_out: usize,
    /// Why it was locked out already as the run began: it was on, and went out while the rig came to rest.
    pub out_before: Option<OutBefore>,
    /// Controls at the end.
    pub phase: Phase,
    /// Flame at the end.
    pub flame: Flame,
    /// Time it burned \[s\].
    pub burned_s: f64,
}

/// A container at start and end.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ContainerSummary {
    /// Gauge pressure \[Pa\].
    pub pressure_pa: Extremes,
    /// Liquid temperature \[K\].
    pub temperature_k: Extremes,
    /// Fill at the start.
    pub fill_start: f64,
    /// Fill at the end.
    pub fill_end: f64,
    /// Least and most of what its fuel takes of its volume with the liquid at 40 °F, as the scales tell it: by this a fill is judged.
    pub fill_cold: Extremes,
    /// Gauge pressure at the end \[Pa\].
    pub end_pa: f64,
}

/// A run's summary, SI.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Summary {
    /// Time simulated \[s\].
    pub time_s: f64,
    /// Rated input of all main burners \[W\].
    pub connected_w: f64,
    /// Outlet, gauge \[Pa\].
    pub outlet_pa: Extremes,
    /// Manifold, gauge \[Pa\].
    pub manifold_pa: Extremes,
    /// First stage, gauge \[Pa\].
    pub first_stage_pa: Extremes,
    /// Second spring case, gauge \[Pa\].
    pub second_case_pa: Extremes,
    /// Body temperature \[K\].
    pub body_k: Extremes,
    /// Largest share of the first orifice covered by ice.
    pub ice_most: f64,
    /// Outlet at the end, gauge \[Pa\].
    pub outlet_end_pa: f64,
    /// Steady flow pressure with burners on, any load.
    pub flow: Option<Steady>,
    /// Steady flow pressure at about half of the connected load.
    pub half_load: Option<Steady>,
    /// Steady flow pressure at nine tenths of the connected load or more.
    pub full_load: Option<Steady>,
    /// Steady outlet with no burner lit nor asked for.
    pub lock_up: Option<Steady>,
    /// Whether a flame, main or pilot, burned at every moment.
    pub always_burned: bool,
    /// Gas that was shut in and has warmed or gone higher since.
    pub shut_in: Option<ShutIn>,
    /// Time the manifold stood over the highest pressure allowed \[s\].
    pub over_highest_s: f64,
    /// Time the relief discharged \[s\].
    pub relief_s: f64,
    /// When the reserve side of a changeover first fed \[s\].
    pub reserve_from_s: Option<f64>,
    /// Verdicts.
    pub verdicts: Verdicts,
    /// Containers.
    pub containers: Vec<ContainerSummary>,
    /// Burners.
    pub burners: Vec<Burner>,
    /// Lightings and goings-out of all burners.
    pub burner_events: usize,
    /// Gas burned \[kg\].
    pub burned_kg: f64,
    /// Gas lost unburned \[kg\].
    pub lost_kg: f64,
    /// Mass balance error at the end over the gas drawn \[1\].
    pub balance_error: f64,
    /// Heat that containers, regulator and liquid took in \[J\].
    pub taken_in_j: f64,
    /// Heat that the vapour carried off them, liquid at 0 °C counted as 0 \[J\].
    pub carried_off_j: f64,
    /// Heat balance error at the end over the heat that passed \[1\].
    pub energy_error: f64,
}

/// What is switched, compared from step to step.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Switched {
    appliances: [(Phase, bool, bool); MAX_APPLIANCES],
    relief: bool,
    reserve: bool,
    excess: [bool; 2],
    valves: [bool; 2],
}

impl Switched {
    fn of(r: &Readings) -> Self {
        let mut appliances = [(Phase::Off, false, false); MAX_APPLIANCES];
        for (out, a) in appliances.iter_mut().zip(&r.appliances) {
            *out = (a.phase, a.flame != Flame::Out, a.pilot_lit);
        }
        Self {
            appliances,
            relief: r.second.relief_kg_per_s > 0.0,
            reserve: r.reserve_feeding,
            excess: [0, 1].map(|i| r.containers[i].excess_flow_tripped),
            valves: [0, 1].map(|i| r.containers[i].valve_open > 0.0),
        }
    }
}

/// Sees a run and sums it up. Rows asked for are handed on.
pub struct Watcher<'a> {
    rows: &'a mut dyn FnMut(&Readings),
    time_moved: &'a mut dyn FnMut(f64),
    summary: Summary,
    last: Readings,
    switched: Switched,
    since_s: f64,
    /// Where gas was drawn last, and the lock-up that was read there in this stretch \[Pa\].
    drawn_at: Place,
    locked_up_pa: Option<f64>,
}

impl<'a> Watcher<'a> {
    /// Begins at the readings of the start. `rows` gets every row, `time_moved` the time.
    pub fn new(
        rig: &Rig,
        start: &Readings,
        rows: &'a mut dyn FnMut(&Readings),
        time_moved: &'a mut dyn FnMut(f64),
    ) -> Self {
        let at = |value: f64| Extremes::new(value, start.time_s);
        let containers = start.containers[..start.container_count]
            .iter()
            .map(|c| ContainerSummary {
                pressure_pa: at(c.pressure_pa),
                temperature_k: at(c.temperature_k),
                fill_start: c.fill,
                fill_end: c.fill,
                fill_cold: at(fill_when_cold(c.fill, c.temperature_k)),
                end_pa: c.pressure_pa,
            })
            .collect();
        let burners = rig
            .appliances
            .iter()
            .zip(&start.appliances)
            .enumerate()
            .map(|(i, (a, r))| Burner {
                out_before: OutBefore::of(a, start, i),
                name: a.name.clone(),
                lit: 0,
                out: 0,
                lost: 0,
                locked_out: 0,
                phase: r.phase,
                flame: r.flame,
                burned_s: 0.0,
            })
            .collect();
        Self {
            rows,
            time_moved,
            summary: Summary {
                time_s: start.time_s,
                connected_w: rig.appliances.iter().map(|a| a.input_w).sum(),
                outlet_pa: at(start.outlet_pa),
                manifold_pa: at(start.manifold_pa),
                first_stage_pa: at(start.first.chamber_pa),
                second_case_pa: at(start.second.case_pa),
                body_k: at(start.body_k),
                ice_most: start.first.ice,
                outlet_end_pa: start.outlet_pa,
                flow: None,
                half_load: None,
                full_load: None,
                lock_up: None,
                always_burned: true,
                shut_in: None,
                over_highest_s: 0.0,
                relief_s: 0.0,
                reserve_from_s: start.reserve_feeding.then_some(start.time_s),
                verdicts: Verdicts::default(),
                containers,
                burners,
                burner_events: 0,
                burned_kg: 0.0,
                lost_kg: 0.0,
                balance_error: 0.0,
                taken_in_j: 0.0,
                carried_off_j: 0.0,
                energy_error: 0.0,
            },
            last: *start,
            switched: Switched::of(start),
            since_s: start.time_s,
            drawn_at: Place::of(start),
            locked_up_pa: None,
        }
    }

    /// The summary, with the readings of the end.
    pub fn finish(mut self, end: &Readings) -> Summary {
        self.look(end);
        self.end_stretch();
        let s = &mut self.summary;
        s.time_s = end.time_s;
        s.outlet_end_pa = end.outlet_pa;
        s.burned_kg = end.burned_kg;
        s.lost_kg = end.lost_kg;
        s.balance_error = end.balance_error;
        s.taken_in_j = end.taken_in_j;
        s.carried_off_j = end.carried_off_j;
        s.energy_error = end.energy_error;
        for (summary, c) in s.containers.iter_mut().zip(&end.containers) {
            summary.fill_end = c.fill;
            summary.end_pa = c.pressure_pa;
        }
        for (burner, r) in s.burners.iter_mut().zip(&end.appliances) {
            burner.phase = r.phase;
            burner.flame = r.flame;
        }
        s.verdicts = Verdicts::of(s);
        self.summary
    }

    fn look(&mut self, r: &Readings) {
        let t = r.time_s;
        let switched = Switched::of(r);
        if switched != self.switched {
            self.end_stretch();
            self.count(&switched);
            self.switched = switched;
            // Switched where the last reading was; this one is a step of any length later.
            self.since_s = self.last.time_s;
            self.locked_up_pa = None;
        }
        if r.flow_w >= NO_FLOW_W {
            self.drawn_at = Place::of(r);
        } else if t - self.since_s >= STEADY_S
            && (self.locked_up_pa.is_none() || self.drawn_at.is_that_of(r))
            && !self.is_shut_in(r)
        {
            self.locked_up_pa = Some(r.outlet_pa);
        }
        let s = &mut self.summary;
        s.always_burned &= burns(r);
        s.outlet_pa.take(r.outlet_pa, t);
        s.manifold_pa.take(r.manifold_pa, t);
        s.first_stage_pa.take(r.first.chamber_pa, t);
        s.second_case_pa.take(r.second.case_pa, t);
        s.body_k.take(r.body_k, t);
        s.ice_most = s.ice_most.max(r.first.ice);
        for (summary, c) in s.containers.iter_mut().zip(&r.containers) {
            summary.pressure_pa.take(c.pressure_pa, t);
            summary.temperature_k.take(c.temperature_k, t);
            let weighed = fill_when_cold(c.fill, c.temperature_k);
            summary.fill_cold.take(weighed, t);
        }
        if r.reserve_feeding {
            s.reserve_from_s.get_or_insert(t);
        }
        let dt = (t - self.last.time_s).max(0.0);
        if LIMITS.lock_up_caution.is_passed_by(r.manifold_pa) {
            s.over_highest_s += dt;
        }
        if r.second.relief_kg_per_s > 0.0 {
            s.relief_s += dt;
        }
        for (burner, a) in s.burners.iter_mut().zip(&r.appliances) {
            if a.flame != Flame::Out {
                burner.burned_s += dt;
            }
        }
        self.last = *r;
    }

    /// Whether the outlet has risen by the place alone since gas was drawn.
    fn is_shut_in(&self, r: &Readings) -> bool {
        r.outlet_pa - self.drawn_at.brought_back_pa(r) > inwc_to_pa(SHUT_IN_INWC)
    }

    /// A stretch in which nothing was switched has ended: its last reading was steady, if it
    /// was long enough.
    fn end_stretch(&mut self) {
        let r = &self.last;
        if r.time_s - self.since_s < STEADY_S {
            return;
        }
        let is_shut_in = self.is_shut_in(r);
        let s = &mut self.summary;
        let load = if s.connected_w > 0.0 {
            r.demand_w / s.connected_w
        } else {
            0.0
        };
        // With every service valve shut there is nothing to lock up against.
        let is_supplied = r.containers[..r.container_count]
            .iter()
            .any(|c| c.valve_open > 0.0);
        let is_at_rest = r.flow_w < NO_FLOW_W;
        // Gas that runs to a burner which nobody has turned on is no draw.
        let leaks_only = r.demand_w <= 0.0 && !burns(r);
        if is_at_rest || leaks_only {
            if is_supplied && is_at_rest && is_shut_in {
                let there_pa = self.drawn_at.brought_back_pa(r);
                ShutIn::take(&mut s.shut_in, (r.outlet_pa, there_pa));
                if let Some(pa) = self.locked_up_pa {
                    Steady::take(&mut s.lock_up, pa, r);
                }
            } else if is_supplied {
                Steady::take(&mut s.lock_up, r.outlet_pa, r);
            }
        } else if !steady::is_being_lit(r) {
            Steady::take(&mut s.flow, r.outlet_pa, r);
            if HALF.contains(&load) {
                Steady::take(&mut s.half_load, r.outlet_pa, r);
            }
            if load >= FULL {
                Steady::take(&mut s.full_load, r.outlet_pa, r);
            }
        }
    }

    fn count(&mut self, now: &Switched) {
        let s = &mut self.summary;
        let before = &self.switched.appliances;
        for (i, burner) in s.burners.iter_mut().enumerate() {
            let ((was, was_lit, _), (is, is_lit, _)) = (before[i], now.appliances[i]);
            if is_lit != was_lit {
                s.burner_events += 1;
                burner.lit += usize::from(is_lit);
                burner.out += usize::from(was_lit);
            }
            let is_new = |phase: Phase| usize::from(is == phase && was != phase);
            // Gone out, or shut off by what no longer saw it.
            let shut = was == Phase::Burning && matches!(is, Phase::Waiting | Phase::LockedOut);
            burner.lost += is_new(Phase::OpenUnlit) + usize::from(shut);
            burner.locked_out += is_new(Phase::LockedOut);
        }
    }
}

impl Watch for Watcher<'_> {
    fn sample(&mut self, r: &Readings) {
        (self.rows)(r);
    }

    fn step(&mut self, r: &Readings) {
        self.look(r);
        (self.time_moved)(r.time_s);
    }

    fn wants_steps(&self) -> bool {
        true
    }
}
