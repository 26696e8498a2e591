//! One random case: a rig, a place, up to two faults, and hands that do as they like for minutes.
//! Shared by `cargo test` (some hundred cases) and `benches/soak.rs` (as many as wanted).

use std::sync::Arc;
use twostage::diagnosis::library::random::split_mix;
use twostage::fault::Fault;
use twostage::rig::{Charge, Kind, Readings, Rig, Site, presets};
use twostage::scenario::{Action, Event, Run, Scenario, SiteValue, WhichStage};
use twostage::service::TOLERANCE;
use twostage::sim::Simulation;
use twostage::solver::Method;

/// Largest error of the mass balance, of the mass that has gone (at least 1 g).
pub const BALANCE: f64 = 1e-6;
/// Largest error of the heat balance, of the heat that has passed (at least 10 kJ). A part in ten thousand is usual; worst
/// are overfilled containers, whose liquid the regulator takes for pure propane (0.27 % in 240 cases).
pub const HEAT_BALANCE: f64 = 0.01;

/// `SplitMix64` (public domain algorithm; published): a stream of numbers from a seed.
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> u64 {
        split_mix(&mut self.0)
    }

    fn share(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn within(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.share()
    }

    fn below(&mut self, n: usize) -> usize {
        (self.next() % n as u64) as usize
    }

    fn chance(&mut self, share: f64) -> bool {
        self.share() < share
    }

    /// A severity: now and then an end of the scale.
    fn severity(&mut self) -> f64 {
        match self.below(8) {
            0 => 1.0,
            1 => 0.0,
            _ => self.share(),
        }
    }
}

/// A random scenario.
fn scenario(seed: u64) -> Scenario {
    let mut dice = Dice(seed);
    let air_k = dice.within(233.15, 327.59);
    let twin = dice.chance(0.3);
    let name = presets::CONTAINERS[dice.below(presets::CONTAINERS.len())];
    let container = presets::container(name).expect("a preset");
    let kinds = presets::APPLIANCES.map(|(_, kind)| kind);
    let appliances: Vec<_> = (0..=dice.below(6))
        .map(|_| kinds[dice.below(kinds.len())])
        .map(|kind: Kind| presets::appliance(kind))
        .collect();
    let rig = Rig::standard(vec![container; if twin { 2 } else { 1 }], appliances);
    let charges = (0..rig.containers.len())
        .map(|_| Charge {
            fill: dice.within(0.05, 1.0),
            temperature_k: air_k,
            air_pa: if dice.chance(0.2) {
                dice.within(0.0, 2e5)
            } else {
                0.0
            },
        })
        .collect();
    let duration_s = dice.within(30.0, 600.0);
    let mut events: Vec<Event> = (0..dice.below(3))
        .map(|_| Event {
            at_s: dice.within(0.0, 0.5 * duration_s),
            action: Action::Inject {
                fault: Fault::all()
                    .nth(dice.below(Fault::all().count()))
                    .expect("in the catalogue"),
                severity: dice.severity(),
                over_s: if dice.chance(0.5) {
                    0.0
                } else {
                    dice.within(0.0, 120.0)
                },
            },
        })
        .collect();
    for _ in 0..dice.below(14) {
        events.push(Event {
            at_s: dice.within(0.0, duration_s),
            action: act(&mut dice, &rig),
        });
    }
    events.sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
    Scenario {
        title: format!("case {seed}"),
        summary: String::new(),
        site: Site::calm(air_k, dice.within(0.0, 3000.0)),
        charges,
        valves_open: rig.containers.iter().map(|_| dice.chance(0.85)).collect(),
        service_side: 0,
        on_at_start: rig.appliances.iter().map(|_| dice.chance(0.3)).collect(),
        rig,
        sections: Vec::new(),
        events,
        run: Run {
            duration_s,
            sample_s: 1.0,
            settle_s: 20.0,
        },
    }
}

fn act(dice: &mut Dice, rig: &Rig) -> Action {
    let over_s = dice.within(0.0, 20.0);
    let appliance = dice.below(rig.appliances.len());
    let container = dice.below(rig.containers.len());
    match dice.below(18) {
        0 => Action::Valve {
            container,
            open: if dice.chance(0.5) { 0.0 } else { dice.share() },
            over_s,
        },
        1 => Action::Valve {
            container,
            open: 1.0,
            over_s: dice.within(0.0, 10.0),
        },
        2 => Action::Tap,
        16 => Action::Press {
            stage: WhichStage::BOTH[dice.below(2)],
            force_n: if dice.chance(0.5) {
                0.0
            } else {
                dice.within(-30.0, 30.0)
            },
            over_s: dice.within(0.0, 2.0),
        },
        17 => Action::Thumb {
            stage: WhichStage::BOTH[dice.below(2)],
            on: dice.chance(0.5),
        },
        3 => Action::Bleed {
            area_m2: if dice.chance(0.5) {
                0.0
            } else {
                dice.within(0.0, 60e-6)
            },
        },
        4 => Action::Warm { to_k: 313.15 },
        5 => Action::TurnScrew {
            stage: if dice.chance(0.5) {
                WhichStage::First
            } else {
                WhichStage::Second
            },
            turns: dice.within(-6.0, 6.0),
        },
        6 => Action::Site {
            value: SiteValue::Air,
            to: dice.within(233.15, 327.59),
            over_s: dice.within(0.0, 300.0),
        },
        7 => Action::Site {
            value: SiteValue::Elevation,
            to: dice.within(0.0, 3000.0),
            over_s: dice.within(60.0, 600.0),
        },
        8 => Action::Knob { side: container },
        9 => Action::Reset { appliance },
        _ => Action::Switch {
            appliance,
            on: dice.chance(0.65),
        },
    }
}

/// What is wrong with a set of readings.
fn problem(r: &Readings) -> Option<String> {
    let mut wrong = None;
    let mut check = |what: &str, value: f64, low: f64, high: f64| {
        if !(low..=high).contains(&value) {
            wrong.get_or_insert(format!("{what} is {value} at {:.3} s", r.time_s));
        }
    };
    let vacuum = -r.ambient_pa * (1.0 + 1e-9);
    for c in &r.containers[..r.container_count] {
        check("container pressure", c.pressure_pa, vacuum, 1e8);
        check("pigtail pressure", c.pigtail_pa, vacuum, 1e8);
        check("container temperature", c.temperature_k, 120.0, 400.0);
        check("fill", c.fill, 0.0, 1.2);
        check("fuel", c.fuel_kg, 0.0, 1e3);
        check("container flow", c.flow_kg_per_s, -10.0, 10.0);
    }
    for s in [&r.first, &r.second] {
        check("chamber pressure", s.chamber_pa, vacuum, 1e8);
        check("case pressure", s.case_pa, vacuum, 1e8);
        check("rise", s.rise_m, -0.05, 0.05);
        check("lift", s.lift_m, 0.0, 0.02);
        check("flow", s.flow_kg_per_s, -10.0, 10.0);
        check("ice", s.ice, -1e-6, 1.0 + 1e-6);
        check("speed", s.speed_m_per_s, -1e3, 1e3);
    }
    check("manifold pressure", r.manifold_pa, vacuum, 1e8);
    check("body temperature", r.body_k, 120.0, 400.0);
    check("spring-case temperature", r.case_k, 120.0, 450.0);
    check("liquid in the body", r.pool_kg, -1e-6, 1e3);
    check("burned", r.burned_kg, -1e-9, 1e3);
    // Under vacuum (a container at -40 °F) air is drawn in.
    check("lost", r.lost_kg, -1.0, 1e3);
    check("mass balance", r.balance_error, 0.0, BALANCE);
    check("liquid on the low side", r.low_pool_kg, -1e-6, 1e3);
    check("heat balance", r.energy_error, 0.0, HEAT_BALANCE);
    for a in &r.appliances[..r.appliance_count] {
        check("appliance inlet", a.inlet_pa, vacuum, 1e8);
        // Nothing comes back but air, where the line stands under the air's pressure.
        let least = if r.manifold_pa < 0.0 { -10.0 } else { -1e-12 };
        check("appliance flow", a.flow_kg_per_s, least, 10.0);
        if let Some(t) = a.temperature_k {
            check("heated mass", t, 0.0, 5e3);
        }
    }
    wrong
}

/// How a case went.
pub enum Went {
    /// To its end; worst error of the mass balance.
    Well(f64),
    /// The run ended with an error that says so.
    Ended(String),
    /// A reading cannot be.
    Wrong(String),
}

/// Runs a case.
pub fn run(seed: u64) -> Went {
    let scenario = Arc::new(scenario(seed));
    let duration_s = scenario.run.duration_s;
    let mut sim = match Simulation::start(scenario, Method::Stiff, TOLERANCE) {
        Ok(sim) => sim,
        Err(e) => return Went::Ended(format!("case {seed}: start: {e}")),
    };
    let (mut wrong, mut worst) = (None, 0.0_f64);
    let result = sim.advance(duration_s, Some(1.0), &mut |r| {
        worst = worst.max(r.balance_error);
        if wrong.is_none() {
            wrong = problem(r);
        }
    });
    let end = sim.readings();
    if let Some(what) = wrong.or_else(|| problem(&end)) {
        return Went::Wrong(format!("case {seed}: {what}"));
    }
    match result {
        Ok(()) => Went::Well(worst),
        Err(e) => Went::Ended(format!("case {seed}: {e}")),
    }
}
