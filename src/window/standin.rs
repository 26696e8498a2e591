//! THROW-AWAY stand-in for the simulation until it is there. Not committed in the end.
use crate::fault::Fault;
use crate::rig::readings::*;
use crate::rig::{self, Kind, Rig, presets};
use crate::scenario::{Action, Scenario};
use std::sync::{Arc, Mutex};

pub struct Mark { pub time_s: f64, pub text: String }
#[derive(Clone)]
pub struct ActiveFault { pub fault: Fault, pub severity: f64 }
pub struct Snapshot {
    pub readings: Readings, pub twin: Option<Readings>, pub rig: Arc<Rig>, pub faults: Vec<ActiveFault>,
    pub playing: bool, pub rate: f64, pub rate_reached: f64, pub start_s: f64, pub time_s: f64, pub end_recorded_s: f64,
    pub marks: Arc<Vec<Mark>>, pub words: String, pub trouble: Option<String>, pub title: String, pub summary: String,
}
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Channel { Outlet, OutletTwin, FirstStage, SecondCase, FirstCase, FirstLift, SecondLift }
#[derive(Clone, Copy)]
pub struct Bucket { pub t: f64, pub min: f64, pub max: f64 }
pub struct Record;
impl Record {
    pub fn series(&self, c: Channel, t0: f64, t1: f64, n: usize) -> Vec<Bucket> {
        (0..n).map(|i| { let t = t0 + (t1 - t0) * i as f64 / n as f64; let v = value(c, t);
            let w = 6.0 * (1.0 + (t * 0.7).sin()); Bucket { t, min: v - w * 1e-9, max: v + w * 1e-9 } }).filter(|b| b.t >= 0.0).collect()
    }
}
fn load(t: f64) -> f64 { let u = t.rem_euclid(60.0); if (12.0..34.0).contains(&u) { 1.0 } else { 0.0 } }
fn value(c: Channel, t: f64) -> f64 {
    let u = t.rem_euclid(60.0);
    let lo = |a: f64, b: f64, t0: f64| { let d = u - t0; if d < 0.0 { a } else { b - (b - a) * (-d / 0.8).exp() * ((d * 5.0).cos() + 0.6 * (d * 5.0).sin()) } };
    let q = |idle: f64, flow: f64| if u < 34.0 { lo(idle, flow, 12.0) } else { lo(flow, idle, 34.0) };
    match c {
        Channel::Outlet => q(12.2, 10.9) * 249.1, Channel::OutletTwin => q(12.0, 11.05) * 249.1,
        Channel::FirstStage => q(10.6, 9.7) * 6894.8, Channel::FirstCase => 0.0,
        Channel::SecondCase => { let d = if u < 34.0 { u - 12.0 } else { u - 34.0 }; if d < 0.0 { 0.0 } else { 180.0 * (-d / 2.0).exp() * if u < 34.0 { -1.0 } else { 1.0 } } }
        Channel::FirstLift => q(-5e-6, 60e-6).max(0.0), Channel::SecondLift => q(-20e-6, 2.4e-4).max(0.0),
    }
}
pub enum Command { Play, Pause, Step, Rate(f64), RewindTo(f64), Act(Action), Load(Box<Scenario>) }
struct Inner { t: f64, playing: bool, rate: f64, last: std::time::Instant, on: [bool; 12], faults: Vec<ActiveFault>, air: f64, sun: f64, elev: f64, valve: f64 }
pub struct Session { inner: Mutex<Inner>, rig: Arc<Rig> }
impl Session {
    pub fn start(_s: Scenario, _wake: impl Fn() + Send + 'static) -> Self {
        let kinds = [Kind::Furnace, Kind::WaterHeater, Kind::Refrigerator, Kind::Cooktop, Kind::Cooktop, Kind::Oven];
        let rig = Rig::standard(vec![presets::container("30 lb cylinder").unwrap_or_else(|| presets::container(presets::CONTAINERS[0]).unwrap())], kinds.iter().map(|k| presets::appliance(*k)).collect());
        let mut on = [false; 12]; on[0] = true; on[2] = true;
        Self { rig: Arc::new(rig), inner: Mutex::new(Inner { t: 14.4, playing: std::env::var("STANDIN_PAUSE").is_err(), rate: 1.0, last: std::time::Instant::now(), on, faults: vec![], air: 271.0, sun: 0.0, elev: 730.0, valve: 1.0 }) }
    }
    pub fn send(&self, c: Command) {
        let mut i = self.inner.lock().unwrap(); tick(&mut i);
        match c { Command::Play => i.playing = true, Command::Pause => i.playing = false, Command::Step => i.t += 0.01, Command::Rate(r) => i.rate = r, Command::RewindTo(t) => i.t = t,
            Command::Act(Action::Switch { appliance, on }) => i.on[appliance] = on,
            Command::Act(Action::Inject { fault, severity, .. }) => { i.faults.retain(|f| f.fault != fault); i.faults.push(ActiveFault { fault, severity }); }
            Command::Act(Action::Clear { fault }) => i.faults.retain(|f| f.fault != fault),
            Command::Act(Action::Site { value, to, .. }) => match value { crate::scenario::SiteValue::Air => i.air = to, crate::scenario::SiteValue::Sun => i.sun = to, crate::scenario::SiteValue::Elevation => i.elev = to, _ => {} },
            Command::Act(Action::Valve { open, .. }) => i.valve = open,
            _ => {} }
    }
    pub fn record(&self) -> Record { Record }
    pub fn snapshot(&self) -> Arc<Snapshot> {
        let mut i = self.inner.lock().unwrap(); tick(&mut i);
        let t = i.t; let mut r = Readings { time_s: t, ambient_pa: 93_000.0, air_k: i.air, sun_w_per_m2: i.sun, elevation_m: i.elev, container_count: 1, appliance_count: self.rig.appliances.len(), body_k: i.air - 4.0, case_k: i.air, ..Default::default() };
        let out = value(Channel::Outlet, t); let w = 3.2e-4 * (value(Channel::SecondLift, t) / 2.4e-4);
        r.containers[0] = ContainerReadings { pressure_pa: 358_000.0, temperature_k: 270.0, fill: 0.62, fuel_kg: 8.4, pigtail_pa: 352_000.0, valve_open: i.valve, ..Default::default() };
        let tw = value(Channel::FirstStage, t);
        let l1 = value(Channel::FirstLift, t); let l2 = value(Channel::SecondLift, t);
        r.first = StageReadings { inlet_pa: 352_000.0, chamber_pa: tw, case_pa: 0.0, touch_rise_m: self.rig.first.touch_rise_m, rise_m: self.rig.first.touch_rise_m - l1 * self.rig.first.lever_ratio, lift_m: l1, squeeze_m: if l1 == 0.0 { 6e-6 } else { 0.0 }, flow_kg_per_s: w, vent_open: 1.0, vent_m3_per_s: 0.0, ..Default::default() };
        r.first.forces = DiaphragmForces { gas_n: 105.0, spring_n: -105.6, jet_n: -1.05, seat_n: 1.6, friction_n: 0.05, ..Default::default() };
        r.second = StageReadings { inlet_pa: tw, chamber_pa: out, case_pa: value(Channel::SecondCase, t), touch_rise_m: 4e-3, rise_m: 4e-3 - l2 * 4.0, lift_m: l2, squeeze_m: if l2 == 0.0 { 14e-6 } else { 0.0 }, flow_kg_per_s: w, vent_open: i.faults.first().map_or(1.0, |f| 1.0 - f.severity), vent_m3_per_s: value(Channel::SecondCase, t) * 2e-7, ..Default::default() };
        r.second.forces = DiaphragmForces { gas_n: 15.41, spring_n: -15.29, jet_n: -0.137, seat_n: 0.0, friction_n: 0.016, ..Default::default() };
        r.outlet_pa = out - 20.0; r.manifold_pa = out - 60.0; r.burner_flow_kg_per_s = w; r.flow_w = w * 46.3e6;
        for (k, a) in self.rig.appliances.iter().enumerate() {
            let on = i.on[k];
            r.appliances[k] = ApplianceReadings { inlet_pa: out - 80.0, flow_kg_per_s: if on { 1e-4 } else { 0.0 }, phase: if on { if load(t) > 0.0 || k != 0 { Phase::Burning } else { Phase::Satisfied } } else { Phase::Off }, flame: if on && (load(t) > 0.0 || k != 0) { Flame::Normal } else { Flame::Out }, temperature_k: a.thermal.as_ref().map(|_| 293.0), ..Default::default() };
            if on { r.demand_w += a.input_w; }
        }
        if !i.on[4] { r.appliances[4].phase = Phase::LockedOut; }
        let mut twin = r; twin.second.rise_m -= 0.5e-3; twin.outlet_pa = value(Channel::OutletTwin, t);
        let _ = rig::MAX_APPLIANCES;
        Arc::new(Snapshot { readings: r, twin: (!i.faults.is_empty()).then_some(twin), rig: self.rig.clone(), faults: i.faults.clone(), playing: i.playing, rate: i.rate, rate_reached: i.rate, start_s: 0.0, time_s: t, end_recorded_s: t.max(30.0),
            marks: Arc::new((0..20).flat_map(|k| [Mark { time_s: 12.0 + 60.0 * f64::from(k), text: "furnace lights".into() }, Mark { time_s: 12.6 + 60.0 * f64::from(k), text: "water heater asks".into() }, Mark { time_s: 34.0 + 60.0 * f64::from(k), text: "furnace satisfied".into() }]).collect()),
            words: if load(t) > 0.0 { "The furnace is lit: outlet pressure has dropped a little, the spring pushes the diaphragm down and the lever holds the seat off its nozzle.".into() } else { "No burner asks for gas: the outlet has risen until the diaphragm presses the seat shut.".into() },
            trouble: None, title: "Frost on the meadow".into(), summary: "A 24 ft trailer at 2,400 ft, the furnace cycling through a cold evening.".into() })
    }
}
fn tick(i: &mut Inner) { let n = std::time::Instant::now(); if i.playing { i.t += (n - i.last).as_secs_f64() * i.rate; } i.last = n; }
