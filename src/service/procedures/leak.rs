//! Leak check, and the test of new piping.

use super::{high, low, time, verdict};
use crate::scenario::Action;
use crate::service::bench::{Bench, ServiceError};
use crate::service::limits::{self, LIMITS, rigid_share, trapped_gas_pa_per_k};
use crate::service::piping;
use crate::service::report::{Figure, Quantity, TestResult, TracePoint};
use crate::units::{pa_to_inwc, pa_to_psi};

/// How often the low side is bled again before the leak check, and the wait after each \[s\].
const BLEEDS: usize = 5;
const REST_S: f64 = 5.0;
/// A gauge that stands is looked at from far, one that falls from near: how long at a time, how often \[s\].
const LOOKS: [(f64, f64); 2] = [(5.0, 0.5), (0.5, 0.02)];
/// A gauge that would be through in so many more looks like the last is looked at from near.
const SOON: f64 = 3.0;

impl Bench<'_> {
    /// Shuts every container valve; returns which stood open.
    fn shut_supply(&mut self) -> Vec<usize> {
        let (now_s, modes) = (self.sim.time_s(), self.sim.moment().modes);
        let open: Vec<usize> = (0..self.sim.rig().containers.len())
            .filter(|&c| modes.valves[c].at(now_s) > 0.0)
            .collect();
        for &container in &open {
            let (open, over_s) = (0.0, 2.0);
            let action = Action::Valve {
                container,
                open,
                over_s,
            };
            self.act(&action, "container valve shut");
        }
        open
    }

    /// Bleeds the low side down to a pressure, as exactly as a hand does.
    fn bleed_to(&mut self, target_pa: f64) -> Result<(), ServiceError> {
        self.steps.push(format!(
            "bled the low side to {:.0} in w.c.",
            pa_to_inwc(target_pa)
        ));
        // Through a needle, for the pigtail has to be emptied too; again and again where a slow vent
        // lets the diaphragm push more gas out.
        for _ in 0..BLEEDS {
            self.bleed_until(0.4e-6, target_pa, 300.0)?;
            self.wait(REST_S, 1.0)?;
            if self.read_outlet() <= LIMITS.leak_start.high {
                break;
            }
        }
        Ok(())
    }

    /// Opens the tap until the outlet is down to `stop_pa` and nothing upstream holds it up.
    fn bleed_until(&mut self, area_m2: f64, stop_pa: f64, most_s: f64) -> Result<(), ServiceError> {
        let end_s = self.sim.time_s() + most_s;
        self.sim.act(&Action::Bleed { area_m2 });
        let mut near = false;
        while self.sim.time_s() < end_s && self.sim.readings().outlet_pa > stop_pa {
            let from = self.sim.moment().clone();
            let kept = self.trace.len();
            let (stretch_s, sample_s) = LOOKS[usize::from(near)];
            let before_pa = self.sim.readings().outlet_pa;
            let now_pa = self.wait(stretch_s, sample_s)?.outlet_pa;
            let crossed = self.trace[kept..].iter().find(|p| p.outlet_pa <= stop_pa);
            let crossed_s = crossed.map(|p| p.time_s);
            if let Some(at_s) = crossed_s {
                // Too far: go back and look from near, or shut the tap there.
                self.sim.go_back_to(&from);
                self.trace.truncate(kept);
                if near {
                    self.wait(at_s - self.sim.time_s(), sample_s)?;
                    break;
                }
            }
            let fall_pa = (before_pa - now_pa) * LOOKS[0].0 / stretch_s;
            near = crossed_s.is_some() || now_pa - stop_pa < SOON * fall_pa;
        }
        self.sim.act(&Action::Bleed { area_m2: 0.0 });
        Ok(())
    }
}

pub(super) fn leak_check(b: &mut Bench<'_>) -> Result<TestResult, ServiceError> {
    if let Some(name) = b.anything_lit() {
        return Err(b.forbidden(format!(
            "{name} burns gas; shut every appliance and pilot off first"
        )));
    }
    let were_open = b.shut_supply();
    b.wait(3.0, 1.0)?;
    b.bleed_to(limits::leak_check_pa())?;
    let start = b.sim.readings();
    let start_pa = b.read_outlet();
    let start_k = b.kit.thermometer.at_rest(start.air_k);
    b.steps.push("held 3 minutes".to_owned());
    let end = b.wait(time::LEAK_HOLD, 5.0)?;
    let end_pa = b.read_outlet();
    let warmed_k = b.kit.thermometer.at_rest(end.air_k) - start_k;
    let correction_pa = trapped_gas_pa_per_k(start_pa, start.ambient_pa, start_k)
        * rigid_share(&b.sim.scenario().rig, start_pa, start.ambient_pa, start_k)
        * warmed_k;
    let change_pa = end_pa - start_pa - correction_pa;
    for container in were_open {
        b.steps.push("container valve opened slowly".to_owned());
        b.open_slowly(container)?;
    }
    let started = LIMITS.leak_start.holds(start_pa);
    let pass = LIMITS.leak.holds(change_pa) && started;
    let words = if !started {
        format!(
            "The low side would not stay at 9 in w.c. to start with: it stood at {:.1}",
            pa_to_inwc(start_pa)
        )
    } else if pass {
        "No gain and no loss: tight up to the container valve".to_owned()
    } else if change_pa < 0.0 {
        "Pressure is lost: leak fluid at every joint and at the vent shows where".to_owned()
    } else {
        "Pressure is gained: the container valve does not shut, or the trapped gas has warmed"
            .to_owned()
    };
    let figures = vec![
        low("start", start_pa),
        low("end", end_pa),
        Figure {
            name: "warmed",
            value: warmed_k,
            quantity: Quantity::TemperatureChange,
        },
        low("correction", correction_pa),
        low("change", change_pa),
    ];
    let limits = vec![LIMITS.leak, LIMITS.leak_start];
    Ok(b.result(verdict(pass, false), words, figures, limits))
}

pub(super) fn new_piping(b: &mut Bench<'_>) -> Result<TestResult, ServiceError> {
    if let Some(name) = b.anything_lit() {
        return Err(b.forbidden(format!(
            "{name} burns gas; the piping is tested empty of gas, cut off at both ends"
        )));
    }
    // Taking off, capping and coupling the pump.
    b.wait(time::COUPLING, 5.0)?;
    let (t, site, rig) = (
        b.sim.time_s(),
        b.sim.moment().modes.site,
        b.sim.rig().clone(),
    );
    let times: Vec<f64> = (1..=15)
        .map(|k| t + f64::from(k) * time::NEW_PIPING / 15.0)
        .collect();
    b.steps
        .push("regulator and appliances taken off, air at 10 psi, 15 minutes".to_owned());
    let record = piping::record(&rig, &site, t, limits::new_piping_pa(), &times)?;
    let (start, end) = (record[0].1, record[record.len() - 1].1);
    let gauge = |pa: f64| b.kit.high_side(pa);
    let drop = gauge(start) - gauge(end);
    let pass = LIMITS.new_piping.holds(drop);
    b.trace = record
        .iter()
        .map(|&(time_s, pa)| TracePoint {
            time_s,
            outlet_pa: pa,
            first_stage_pa: 0.0,
            inlet_pa: 0.0,
        })
        .collect();
    let words = if pass {
        "No drop: the piping is tight".to_owned()
    } else {
        format!(
            "{:.1} psi lost in 15 minutes: find the joint with leak fluid",
            pa_to_psi(drop)
        )
    };
    let figures = vec![
        high("start", gauge(start)),
        high("end", gauge(end)),
        high("drop", drop),
    ];
    Ok(b.result(
        verdict(pass, false),
        words,
        figures,
        vec![LIMITS.new_piping],
    ))
}
