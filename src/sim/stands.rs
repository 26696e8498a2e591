//! A run as a scenario that begins where it stands: what hands and time have made of the rig, its faults, the weather
//! as it is, and of the file's events those still to come.
//!
//! A scenario begins at rest, so what only a run can hold is left behind: pressures on their way, the warmth of
//! the body, liquid and ice in it, air trapped behind a blocked vent, a lock-out. Nothing here moves.

use super::active::{AT_ONCE_S, ActiveFault};
use super::moment::{Moment, by_hand};
use crate::physics::fuel::{SPECIES, Species};
use crate::rig::{Charge, Container, ContainerState, Ramp, Rig};
use crate::scenario::{Action, Event, Growth, Run, Scenario, SiteValue};

/// A run that has less than this left is given its whole length again \[s\].
const SHORTEST_S: f64 = 60.0;
/// Highest fill that a file may say.
const MOST_FILL: f64 = 0.99;
/// Temperatures that a file may say of liquid \[K\], and of what a thermostat heats.
const LIQUID_K: (f64, f64) = (223.15, 343.15);
const HEATED_K: (f64, f64) = (223.15, 600.0);
/// Air left in a container that is not worth telling, and the most that a file may say \[Pa\].
const AIR_PA: (f64, f64) = (50.0, 5e5);
/// A share of the liquid that has moved by less is still that of the scenario.
const SAME_SHARE: f64 = 2e-3;

/// The scenario that begins as a run of `scenario` stands at `moment`.
pub fn as_it_stands(scenario: &Scenario, moment: &Moment) -> Scenario {
    let (now, t) = (moment, moment.t_s);
    let mut out = scenario.clone();
    out.rig = by_hand(scenario, now);
    let before = before_faults(&out.rig, now);
    let charges = out
        .rig
        .containers
        .iter()
        .zip(&before)
        .map(|(c, s)| charge(c, s));
    out.charges = charges.collect();
    if let ([container], [state, ..]) = (&out.rig.containers[..], &before[..]) {
        out.rig.fuel.fractions = liquid(container, state, scenario.rig.fuel.fractions);
    }
    let mut events = Vec::new();
    for (i, valve) in now.modes.valves[..out.rig.containers.len()]
        .iter()
        .enumerate()
    {
        out.valves_open[i] = valve.at(t) > 0.0;
        let open = valve.to;
        let over_s = left_s(valve, t);
        if over_s > 0.0 || (open > 0.0 && open < 1.0) {
            let container = i;
            events.push(Action::Valve {
                container,
                open,
                over_s,
            });
        }
    }
    out.service_side = now.modes.service_side;
    for (i, mode) in now.modes.appliances[..out.rig.appliances.len()]
        .iter()
        .enumerate()
    {
        out.on_at_start[i] = mode.on;
        if let Some(load) = &mut out.rig.appliances[i].thermal {
            load.start_k = tenth(now.state.thermal_k[i]).clamp(HEATED_K.0, HEATED_K.1);
        }
        if mode.draw_w.to > 0.0 || mode.draw_w.at(t) > 0.0 {
            let (power_w, over_s) = (mode.draw_w.to, left_s(&mode.draw_w, t));
            events.push(Action::Draw {
                appliance: i,
                power_w,
                over_s,
            });
        }
    }
    weather(&mut out, now, &mut events);
    if now.bleed_m2() > 0.0 {
        let area_m2 = now.bleed_m2();
        events.push(Action::Bleed { area_m2 });
    }
    let at = |at_s| move |action| Event { at_s, action };
    out.events = events.into_iter().map(at(0.0)).collect();
    for fault in &now.faults {
        come_on(fault, now, &mut out.events);
    }
    let when_s = |e: &Event| e.at_s + now.later_s;
    let later = scenario.events.iter().filter(|e| when_s(e) > t);
    out.events
        .extend(later.map(|e| at(when_s(e) - t)(e.action)));
    out.events.sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
    let rest_s = (scenario.run.duration_s - t).ceil();
    if rest_s >= SHORTEST_S {
        out.run = Run {
            duration_s: rest_s,
            ..scenario.run
        };
    }
    out
}

/// Time that a ramp still takes \[s\].
fn left_s(ramp: &Ramp, t_s: f64) -> f64 {
    if ramp.from == ramp.to {
        0.0
    } else {
        (ramp.end_s - t_s).max(0.0)
    }
}

/// A temperature to a tenth of a degree \[K\], as a file is read.
fn tenth(kelvin: f64) -> f64 {
    (10.0 * (kelvin - 273.15)).round() / 10.0 + 273.15
}

/// What the containers held if what came with the faults were taken back: the faults bring it again.
fn before_faults(rig: &Rig, now: &Moment) -> Vec<ContainerState> {
    let mut state = now.state;
    for fault in &now.faults {
        if fault.fault.arrives() {
            fault.fault.arrive(rig, &mut state, fault.arrived, 0.0);
        }
    }
    state.containers[..rig.containers.len()].to_vec()
}

fn charge(container: &Container, state: &ContainerState) -> Charge {
    let flash = container.flash(state);
    let air_pa = flash.pressure_pa * flash.vapour_fractions[Species::Air.index()];
    Charge {
        fill: ((1e4 * flash.liquid_fill).round() / 1e4).clamp(0.0, MOST_FILL),
        temperature_k: tenth(state.temperature_k).clamp(LIQUID_K.0, LIQUID_K.1),
        air_pa: if air_pa < AIR_PA.0 {
            0.0
        } else {
            air_pa.round().min(AIR_PA.1)
        },
    }
}

/// Shares of the liquid in a container: what boils off first leaves the heavier behind.
fn liquid(container: &Container, state: &ContainerState, was: [f64; SPECIES]) -> [f64; SPECIES] {
    let flash = container.flash(state);
    let mut is = was;
    let fuel: f64 = flash.liquid_fractions[..4].iter().sum();
    if flash.liquid_mol <= 0.0 || fuel <= 0.0 {
        return was;
    }
    for (share, found) in is.iter_mut().zip(&flash.liquid_fractions[..4]).skip(1) {
        *share = (1e4 * found / fuel).round() / 1e4;
    }
    is[0] = 1.0 - is[1..4].iter().sum::<f64>();
    let moved = is.iter().zip(&was).any(|(a, b)| (a - b).abs() > SAME_SHARE);
    if moved { is } else { was }
}

fn weather(out: &mut Scenario, now: &Moment, events: &mut Vec<Action>) {
    let (was, t) = (now.modes.site, now.t_s);
    let site = &mut out.site;
    for (value, ramp, to) in [
        (SiteValue::Air, was.air_k, &mut site.air_k),
        (SiteValue::Sun, was.sun_w_per_m2, &mut site.sun_w_per_m2),
        (SiteValue::Elevation, was.elevation_m, &mut site.elevation_m),
        (SiteValue::Wall, was.wall_factor, &mut site.wall_factor),
    ] {
        *to = Ramp::fixed(ramp.at(t));
        let over_s = left_s(&ramp, t);
        if over_s > 0.0 {
            let to = ramp.to;
            events.push(Action::Site { value, to, over_s });
        }
    }
}

/// Brings a fault to where it is, and on from there.
fn come_on(active: &ActiveFault, now: &Moment, events: &mut Vec<Event>) {
    let (fault, t) = (active.fault, now.t_s);
    let inject = |severity: f64, over_s| {
        let severity = (1e4 * severity).round() / 1e4;
        Action::Inject {
            fault,
            severity,
            over_s,
        }
    };
    let mut put = |at_s, action| events.push(Event { at_s, action });
    let severity = active.severity.at(t);
    match active.growing {
        Some(g) => match g.by {
            Growth::Temperature { .. } => {
                let (severity, by) = (g.to, g.by);
                put(
                    0.0,
                    Action::Grow {
                        fault,
                        severity,
                        by,
                    },
                );
            }
            Growth::Cycles { count } => {
                put(0.0, inject(severity, 0.0));
                let gone = now
                    .strokes
                    .of(fault.entry().worn_by)
                    .saturating_sub(g.since);
                let left = u64::from(count).saturating_sub(gone);
                if left > 0 {
                    let by = Growth::Cycles {
                        count: u32::try_from(left).unwrap_or(count),
                    };
                    put(
                        AT_ONCE_S,
                        Action::Grow {
                            fault,
                            severity: g.to,
                            by,
                        },
                    );
                }
            }
        },
        None => {
            let left = left_s(&active.severity, t);
            if left <= AT_ONCE_S {
                put(0.0, inject(active.severity.to, 0.0));
            } else {
                put(0.0, inject(severity, 0.0));
                put(AT_ONCE_S, inject(active.severity.to, left));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fault::Fault;
    use crate::scenario::WhichStage;
    use crate::sim::{Simulation, usual_tolerance};
    use crate::solver::Method;
    use crate::units::System;
    use std::sync::Arc;

    fn started(scenario: &Scenario) -> Simulation {
        let method = Method::Stiff;
        Simulation::start(Arc::new(scenario.clone()), method, usual_tolerance(method))
            .expect("comes to rest")
    }

    fn severities(sim: &Simulation) -> Vec<(String, f64)> {
        let t = sim.time_s() + 2.0;
        let told = |f: &ActiveFault| (f.fault.to_string(), f.severity.at(t));
        sim.moment().faults.iter().map(told).collect()
    }

    /// What a hand has done is in the file, and is there again when it is opened.
    #[test]
    fn a_run_that_hands_were_on_opens_as_it_stood() {
        let text = include_str!("../../scenarios/changeover.toml");
        let scenario = Scenario::parse("changeover.toml", text).expect("right");
        let mut sim = started(&scenario);
        let fault = |name| Fault::named(name).expect("in the catalogue");
        let inject = |name, severity| Action::Inject {
            fault: fault(name),
            severity,
            over_s: 0.0,
        };
        for action in [
            inject("hose_kinked.right", 0.4),
            inject("container_overfilled.right", 1.0),
            inject("second_seat_nick", 0.62),
            Action::TurnScrew {
                stage: WhichStage::Second,
                turns: 0.5,
            },
            Action::Knob { side: 1 },
            Action::Valve {
                container: 0,
                open: 0.0,
                over_s: 1.0,
            },
            Action::Switch {
                appliance: 1,
                on: false,
            },
            Action::Site {
                value: SiteValue::Air,
                to: 270.0,
                over_s: 0.0,
            },
        ] {
            sim.act(&action);
        }
        sim.advance(90.0, None, &mut |_| {}).expect("runs");
        let stands = as_it_stands(sim.scenario(), sim.moment());
        let file = stands.to_toml(System::Us);
        let opened =
            Scenario::parse("stands.toml", &file).unwrap_or_else(|e| panic!("{e}\n{file}"));
        assert_eq!(opened.valves_open, [false, true], "{file}");
        assert_eq!((opened.service_side, opened.on_at_start[1]), (1, false));
        assert!(opened.on_at_start[2], "the cooktop the file lit");
        let mut again = started(&opened);
        again.advance(2.0, None, &mut |_| {}).expect("runs");
        assert_eq!(severities(&again), severities(&sim), "{file}");
        let (a, b) = (sim.readings(), again.readings());
        for i in 0..2 {
            let (a, b) = (&a.containers[i], &b.containers[i]);
            assert!(
                (a.fill - b.fill).abs() < 2e-3,
                "{i}: {} {}\n{file}",
                a.fill,
                b.fill
            );
            let off_k = (a.temperature_k - b.temperature_k).abs();
            // A nearly empty one, its valve shut, goes with the air while the rig settles.
            assert!(off_k < 0.5, "{i}: {off_k}\n{file}");
        }
        assert_eq!(a.air_k, b.air_k);
        let screw = |s: &Simulation| s.rig().second.preload_n;
        assert!((screw(&sim) - screw(&again)).abs() < 1e-6);
        // Of the file's events those still to come.
        let later: Vec<f64> = stands
            .events
            .iter()
            .map(|e| e.at_s)
            .filter(|t| *t > 2.0)
            .collect();
        let wanted: Vec<f64> = scenario
            .events
            .iter()
            .map(|e| e.at_s - 90.0)
            .filter(|t| *t > 2.0)
            .collect();
        assert_eq!(later, wanted);
    }

    /// A run that has only just begun is the scenario it began with.
    #[test]
    fn a_run_just_begun_stands_as_it_was_loaded() {
        let scenario = Scenario::opening();
        let sim = started(&scenario);
        let mut stands = as_it_stands(sim.scenario(), sim.moment());
        for (a, b) in stands
            .rig
            .appliances
            .iter_mut()
            .zip(&scenario.rig.appliances)
        {
            if let (Some(load), Some(was)) = (&mut a.thermal, &b.thermal) {
                // The burner may have burned as long as the rig took to come to rest.
                let heat_w = a.input_w * load.efficiency.abs();
                let most_k = heat_w * scenario.run.settle_s / load.heat_j_per_k + 0.3;
                assert!((load.start_k - was.start_k).abs() < most_k, "{}", a.name);
                load.start_k = was.start_k;
            }
        }
        assert!((stands.charges[0].fill - scenario.charges[0].fill).abs() < 1e-3);
        assert!((stands.charges[0].temperature_k - scenario.charges[0].temperature_k).abs() < 0.1);
        stands.charges.clone_from(&scenario.charges);
        assert_eq!(stands, scenario);
    }

    /// What comes over a time goes on from where it is, and what grows with use has less to go.
    #[test]
    fn a_fault_on_its_way_goes_on() {
        let mut sim = started(&Scenario::opening());
        let fault = Fault::named("second_vent_blocked").expect("in the catalogue");
        sim.act(&Action::Inject {
            fault,
            severity: 0.8,
            over_s: 100.0,
        });
        sim.advance(50.0, None, &mut |_| {}).expect("runs");
        let stands = as_it_stands(sim.scenario(), sim.moment());
        let told: Vec<(f64, Action)> = stands
            .events
            .iter()
            .filter(|e| matches!(e.action, Action::Inject { .. }))
            .map(|e| (e.at_s, e.action))
            .collect();
        assert_eq!(
            told,
            [
                (
                    0.0,
                    Action::Inject {
                        fault,
                        severity: 0.4,
                        over_s: 0.0
                    }
                ),
                (
                    1.0,
                    Action::Inject {
                        fault,
                        severity: 0.8,
                        over_s: 50.0
                    }
                ),
            ]
        );
    }
}
